/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One balance of salt, heater and all loads of a set, and the times by which its parts still match. */
#include "dip/plan_bath.h"

#include <stdlib.h>

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

void oxt_i_set_load_of(oxt_i_set_load *made, const oxt_i_dip_plan *plan, double load_kg,
                       double time_s)
{
    const oxt_i_heating *part = &plan->part.part;
    *made = (oxt_i_set_load){ .growth = plan->steel.growth,
                              .lift = plan->part.lift,
                              .at_once = part->at_once,
                              .start_K = part->start_K,
                              .set_nm2_per_s = plan->part.rate_nm2_per_s,
                              .needed_s = plan->needed_s,
                              .air_J_per_m2K = plan->part.hot.capacity_J_per_m2K,
                              .time_s = time_s };
    if (part->at_once)
        return;
    made->body = part->body;
    made->outside = part->outside;
    made->area_m2 = load_kg / (part->body.density * part->body.volume_per_area_m);
}

/* ---- one course of the bath ---- */

static double rate_at(const oxt_i_set_load *load, double temperature_K)
{
    double beyond = 1.0 / temperature_K - 1.0 / load->growth.T_ref_K;
    return load->growth.k_ref_nm2_per_s * exp(-load->growth.Q_J_per_mol / R * beyond);
}

/* J that the bath has given to a load; what freezing takes, melting gives back. */
static double drawn_J(const oxt_i_set_load *load)
{
    const oxt_i_body_state *state = &load->state;
    if (load->at_once || !load->inside)
        return 0.0;
    double held_J = (state->content_J_per_m3 - state->first_J_per_m3) *
                    load->body.volume_per_area_m;
    return load->area_m2 * (state->stage == OXT_I_CRUST ? state->given_J_per_m2 : held_J);
}

static void enter(oxt_i_set_load *load, double bath_K)
{
    load->inside = true;
    load->exposure_nm2 = 0.0;
    load->lowest_K = load->outside.set_K = bath_K;
    if (!load->at_once)
        oxt_i_body_start(&load->state, &load->body, &load->outside, load->start_K);
    load->rate_nm2_per_s = rate_at(load, load->at_once ? bath_K : load->start_K);
}

/* By Simpson's rule over the steps of the part. */
static void advance(oxt_i_set_load *load, double bath_K, double step_s, double ramp_K_per_s)
{
    double left_s = step_s;
    while (left_s > 1e-9 * step_s) {
        double taken_s = left_s, middle_K = bath_K + 0.5 * ramp_K_per_s * step_s;
        double end_K = bath_K + ramp_K_per_s * step_s;
        if (!load->at_once) {
            taken_s = oxt_i_body_step(&load->state, &load->body, &load->outside, left_s,
                                      ramp_K_per_s);
            middle_K = load->state.middle_K;
            end_K = load->state.surface_K;
        }
        double end = rate_at(load, end_K);
        load->exposure_nm2 += taken_s / 6.0 *
                              (load->rate_nm2_per_s + 4.0 * rate_at(load, middle_K) + end);
        load->rate_nm2_per_s = end;
        left_s -= taken_s;
        if (!(taken_s > 0.0))
            break;
    }
}

static oxt_status leave(oxt_i_set_load *load, double bath_K, oxt_error *error)
{
    oxt_i_profile from = { .mean_K = load->at_once ? bath_K : load->state.mean_K };
    double surface_K = load->at_once ? bath_K : load->state.surface_K, lifted_nm2;
    if (load->body.count > 0)
        oxt_i_body_profile(&load->body, &load->state, &from);
    oxt_status status = oxt_i_lift_exposure(&load->growth, load->air_J_per_m2K, &load->lift, &from,
                                            &lifted_nm2, NULL, error);
    load->inside = false;
    load->done = true;
    load->share = rate_at(load, surface_K) / load->set_nm2_per_s;
    load->got_s = (load->exposure_nm2 + lifted_nm2) / load->set_nm2_per_s;
    return status;
}

/* How far the next step may go: finer after each entry, and up to the next entry or lift. In a bath that takes hours to
 * come back, a hundredth of that. */
static double next_step_s(const oxt_i_set_load *loads, size_t count, double time_s, double entry_s)
{
    static const double GROWTH = 0.2, LEAST_S = 0.1, USUAL_S = 5.0, SLOW_GROWTH = 0.01;
    double since_s = time_s - entry_s, most_s = fmax(USUAL_S, SLOW_GROWTH * since_s);
    double step_s = fmin(fmax(GROWTH * since_s, LEAST_S), most_s);
    for (size_t i = 0; i < count; i++) {
        if (loads[i].inside)
            step_s = fmin(step_s, loads[i].lift_s - time_s);
        else if (!loads[i].done)
            step_s = fmin(step_s, loads[i].enter_s - time_s);
    }
    return step_s;
}

/* One step of all that is inside, with the bath on a straight line. How much the bath gave. */
static double advance_all(oxt_i_set_load *loads, size_t count, double bath_K, double step_s,
                          double ramp_K_per_s)
{
    double given_J = 0.0;
    for (size_t i = 0; i < count; i++) {
        oxt_i_set_load *load = &loads[i];
        if (!load->inside)
            continue;
        double before_J = drawn_J(load);
        advance(load, bath_K, step_s, ramp_K_per_s);
        given_J += drawn_J(load) - before_J;
    }
    return given_J;
}

static void keep(oxt_i_set_load *load)
{
    load->before = load->state;
    load->exposure_before_nm2 = load->exposure_nm2;
    load->rate_before_nm2_per_s = load->rate_nm2_per_s;
}

static void take_back(oxt_i_set_load *load)
{
    load->state = load->before;
    load->exposure_nm2 = load->exposure_before_nm2;
    load->rate_nm2_per_s = load->rate_before_nm2_per_s;
}

/* The step is taken with the ramp of the last one, and again with the ramp that comes of it. */
static void step_all(oxt_i_set_load *loads, size_t count, const oxt_i_set_pot *pot, double *bath_K,
                     double *ramp_K_per_s, double step_s)
{
    double end_K = *bath_K;
    for (size_t i = 0; i < count; i++)
        keep(&loads[i]);
    for (int turn = 0; turn < 2; turn++) {
        for (size_t i = 0; i < count && turn > 0; i++)
            take_back(&loads[i]);
        double given_J = advance_all(loads, count, *bath_K, step_s, *ramp_K_per_s);
        end_K = fmin(*bath_K + (pot->heater_W * step_s - given_J) / pot->heat_J_per_K, pot->set_K);
        *ramp_K_per_s = (end_K - *bath_K) / step_s;
    }
    *bath_K = end_K;
    for (size_t i = 0; i < count; i++) {
        loads[i].state.bath_K = end_K;
        loads[i].lowest_K = fmin(loads[i].lowest_K, end_K);
    }
}

/* From the first entry to the last lift. */
static oxt_status follow(oxt_i_set_load *loads, size_t count, const oxt_i_set_pot *pot,
                         oxt_error *error)
{
    static const double AT_ONCE_S = 1e-6;
    double time_s = 0.0, entry_s = 0.0, bath_K = pot->set_K, ramp_K_per_s = 0.0;
    size_t lifted = 0;
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < count; i++)
        loads[i].inside = loads[i].done = false;
    for (;;) {
        for (size_t i = 0; i < count && !status; i++) {
            oxt_i_set_load *load = &loads[i];
            if (!load->done && !load->inside && load->enter_s <= time_s + AT_ONCE_S) {
                enter(load, bath_K);
                entry_s = time_s;
            }
            if (load->inside && load->lift_s <= time_s + AT_ONCE_S) {
                status = leave(load, bath_K, error);
                lifted++;
            }
        }
        if (lifted == count || status)
            break;
        double step_s = next_step_s(loads, count, time_s, entry_s);
        step_all(loads, count, pot, &bath_K, &ramp_K_per_s, step_s);
        time_s += step_s;
    }
    return status;
}

/* ---- the times ---- */

typedef struct {
    double time_s;
    size_t index;
} turn;

static int slowest_first(const void *a, const void *b)
{
    const turn *first = a, *second = b;
    if (first->time_s != second->time_s)
        return first->time_s < second->time_s ? 1 : -1;
    return (first->index > second->index) - (first->index < second->index);
}

/* In order, with neither two lifts nor two entries closer than the spacing. */
static void schedule(oxt_i_set_load *loads, const turn *order, size_t count, double spacing_s)
{
    double enter_s = -HUGE_VAL, lift_s = -HUGE_VAL;
    for (size_t i = 0; i < count; i++) {
        oxt_i_set_load *load = &loads[order[i].index];
        lift_s = fmax(lift_s + spacing_s, enter_s + spacing_s + load->time_s);
        load->lift_s = lift_s = i == 0 ? load->time_s : lift_s;
        load->enter_s = enter_s = lift_s - load->time_s;
    }
}

static double most_missing_s(oxt_i_set_load *loads, size_t count)
{
    double most_s = 0.0;
    for (size_t i = 0; i < count; i++) {
        oxt_i_set_load *load = &loads[i];
        double missing_s = load->needed_s - load->got_s;
        bool at_least = load->time_s == 0.0 && missing_s < 0.0; /* the lift alone gives more */
        if (at_least || load->needed_s == 0.0)
            continue;
        double change_s = missing_s / fmax(load->share, 0.2);
        change_s = fmin(fmax(change_s, -0.5 * load->time_s), load->time_s + load->needed_s);
        load->time_s = fmax(load->time_s + change_s, 0.0);
        most_s = fmax(most_s, fabs(missing_s));
    }
    return most_s;
}

oxt_status oxt_i_set_times(oxt_i_set_load *loads, size_t count, const oxt_i_set_pot *pot,
                           double spacing_s, oxt_i_watch *watch, double share_done,
                           oxt_error *error)
{
    enum { MOST = 40 };
    static const double CLOSE_S = 0.01;
    turn *order = malloc(count * sizeof *order);
    if (!order)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < count; i++)
        order[i] = (turn){ loads[i].time_s, i };
    qsort(order, count, sizeof *order, slowest_first);
    oxt_status status = OXT_OK;
    double missing_s = HUGE_VAL;
    for (int i = 0; i < MOST && missing_s > CLOSE_S && !status; i++) {
        schedule(loads, order, count, spacing_s);
        status = follow(loads, count, pot, error);
        if (!status)
            missing_s = most_missing_s(loads, count);
        if (!status)
            status = oxt_i_watch_tick(watch, share_done, error);
    }
    free(order);
    if (!status && missing_s > CLOSE_S)
        status = oxt_i_fail_text(error, OXT_ENOCONV, "parts",
                                 "the loads cool the bath so far that no times were found for "
                                 "them: dip fewer at once");
    return status;
}
