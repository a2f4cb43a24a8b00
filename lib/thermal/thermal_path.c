/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A part through bath and air: time in the bath -> equivalent time -> exposure, and back. */
#include "thermal/thermal_path.h"

#include "base/quadrature.h"
#include "base/solve.h"

oxt_status oxt_i_thermal_path_prepare(oxt_i_thermal_path *thermal, const oxt_growth *growth,
                                      const oxt_part *part, const oxt_lift *lift, double bath_K,
                                      const oxt_i_surroundings *around, oxt_error *error)
{
    static const oxt_part at_once = OXT_PART_INIT;
    oxt_part hot = OXT_PART_INIT;
    thermal->bath_K = bath_K;
    oxt_status status = oxt_i_heating_prepare_in(&thermal->part, part ? part : &at_once, bath_K,
                                                 around, error);
    if (!status)
        status = oxt_i_lift_in(&thermal->lift, lift, error);
    if (!status && part)
        status = OXT_I_STRUCT_IN(oxt_part, &hot, part, "part", error);
    hot.start_K = bath_K;
    if (!status)
        status = oxt_i_heating_prepare(&thermal->hot, &hot, bath_K, error);
    return status ? status : oxt_i_thermal_path_regrow(thermal, growth, error);
}

oxt_status oxt_i_thermal_path_regrow(oxt_i_thermal_path *thermal, const oxt_growth *growth,
                                     oxt_error *error)
{
    thermal->growth = growth;
    oxt_status status = oxt_rate(growth, thermal->bath_K, &thermal->rate_nm2_per_s, error);
    if (status)
        return status;
    oxt_i_lag_prepare(&thermal->lag, growth, &thermal->part);
    thermal->least_s = oxt_i_thermal_path_lift_equivalent(thermal, 0.0);
    return OXT_OK;
}

/* The same thermal path in a bath that differs by little, but for its lag. */
static oxt_status move_bath(oxt_i_thermal_path *thermal, const oxt_part *part,
                            const oxt_i_surroundings *around, double bath_K, oxt_error *error)
{
    oxt_part known = OXT_PART_INIT;
    oxt_status status = OXT_OK;
    if (part)
        status = OXT_I_STRUCT_IN(oxt_part, &known, part, "part", error);
    thermal->bath_K = thermal->hot.start_K = bath_K;
    if (thermal->part.coupled)
        status = oxt_i_heating_prepare_in(&thermal->part, &known, bath_K, around, error);
    else
        oxt_i_heating_move(&thermal->part, &known, bath_K);
    oxt_i_heating_move(&thermal->hot, &known, bath_K);
    return status;
}

static double surface_K(const oxt_i_thermal_path *thermal, double time_s)
{
    return oxt_i_heating_surface_K(&thermal->part, time_s);
}

double oxt_i_thermal_path_lag(const oxt_i_thermal_path *thermal, double time_s)
{
    return oxt_i_lag_at(&thermal->lag, &thermal->part, time_s);
}

/* Seconds in a bath that grow what the lift after a time does, by an activation energy. */
static double lift_seconds(const oxt_i_thermal_path *thermal, double Q_J_per_mol, double bath_K,
                           double time_s)
{
    const double exponent_K = Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    oxt_i_profile from;
    if (thermal->lift.delay_s == 0.0)
        return 0.0;
    oxt_i_heating_profile(&thermal->part, time_s, &from);
    return oxt_i_exp_near_0(-exponent_K * (1.0 / from.mean_K - 1.0 / bath_K)) *
           oxt_i_lift_hot_s(exponent_K, thermal->hot.capacity_J_per_m2K, &thermal->lift, &from,
                            NULL);
}

double oxt_i_thermal_path_lift_equivalent(const oxt_i_thermal_path *thermal, double time_s)
{
    return lift_seconds(thermal, thermal->growth->Q_J_per_mol, thermal->bath_K, time_s);
}

double oxt_i_thermal_path_equivalent(const oxt_i_thermal_path *thermal, double time_s)
{
    return fmax(time_s - oxt_i_thermal_path_lag(thermal, time_s), 0.0) +
           oxt_i_thermal_path_lift_equivalent(thermal, time_s);
}

/* How fast the equivalent time rises with the time in the bath, but for the lift, which changes little, but early. */
static double slope_in_bath(const oxt_i_thermal_path *thermal, double time_s)
{
    double activation_K = thermal->growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    return exp(-activation_K * (1.0 / surface_K(thermal, time_s) - 1.0 / thermal->bath_K));
}

typedef struct {
    const oxt_i_thermal_path *thermal;
    double wanted_s, steeper; /* by which the slope is steeper than in the bath */
    oxt_i_path_place last;    /* where it was looked at before */
} wait;

/* The slope is that since the last look. */
static double equivalent_missing(double time_s, double *slope, void *context)
{
    wait *until = context;
    const oxt_i_path_place *last = &until->last;
    *slope = 1.0;
    if (time_s == 0.0)
        return until->thermal->least_s - until->wanted_s;
    double equivalent_s = oxt_i_thermal_path_equivalent(until->thermal, time_s);
    *slope = (equivalent_s - last->equivalent_s) / (time_s - last->time_s);
    if (!(*slope > 0.0))
        *slope = until->steeper * slope_in_bath(until->thermal, time_s);
    until->last = (oxt_i_path_place){ time_s, equivalent_s, *slope };
    return equivalent_s - until->wanted_s;
}

/* A time that gives this equivalent time or more: with a steady bath the whole lag is the most that can be
 * lost; one that sags for good costs a share of the time. */
static double longest_s(const oxt_i_thermal_path *thermal, double equivalent_s)
{
    double settled_s = oxt_i_heating_settled_s(&thermal->part);
    double lag_s = oxt_i_thermal_path_lag(thermal, equivalent_s + settled_s);
    double longest = (equivalent_s + fmax(lag_s, 0.0)) * (1.0 + 1e-9);
    for (int i = 0; i < 60 && thermal->part.coupled; i++) {
        if (longest - oxt_i_thermal_path_lag(thermal, longest) >= equivalent_s)
            break;
        longest *= 2.0;
    }
    return longest;
}

oxt_status oxt_i_thermal_path_find(const oxt_i_thermal_path *thermal, double equivalent_s,
                                   const oxt_i_path_place *near, oxt_i_path_place *found,
                                   oxt_error *error)
{
    *found = (oxt_i_path_place){ fmax(equivalent_s - thermal->least_s, 0.0), equivalent_s, 1.0 };
    if (equivalent_s <= thermal->least_s || thermal->part.at_once)
        return OXT_OK;
    wait until = { thermal, equivalent_s, 1.0, { NAN, NAN, NAN } };
    double longest = longest_s(thermal, equivalent_s), high_s = longest * (1.0 + 1e-6);
    double guess_s = longest;
    if (near && near->time_s > 0.0) { /* by the slope half way */
        double more_s = equivalent_s - near->equivalent_s;
        double half_s = fmax(near->time_s + 0.5 * more_s / near->slope, 0.0);
        until.steeper = near->slope / slope_in_bath(thermal, near->time_s);
        double near_s = near->time_s + more_s / (until.steeper * slope_in_bath(thermal, half_s));
        guess_s = near_s > 0.0 && near_s < longest ? near_s : longest;
    }
    oxt_status status = oxt_i_find_rise(equivalent_missing, &until, 0.0, high_s, guess_s,
                                        1e-9 * longest, &found->time_s, error);
    found->slope = until.last.slope;
    return status;
}

oxt_status oxt_i_thermal_path_time(const oxt_i_thermal_path *thermal, double equivalent_s,
                                   const oxt_i_path_place *near, double *time_s, oxt_error *error)
{
    oxt_i_path_place found;
    oxt_status status = oxt_i_thermal_path_find(thermal, equivalent_s, near, &found, error);
    if (!status)
        *time_s = found.time_s;
    return status;
}

/* ---- exposure ---- */

oxt_status oxt_bath_exposure(const oxt_growth *growth, const oxt_bath *bath, const oxt_part *part,
                             double load_kg, double bath_K, double time_s, double *exposure_nm2,
                             oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_bath known = OXT_BATH_INIT;
    oxt_i_thermal_path thermal;
    const oxt_i_surroundings around = { &known, load_kg };
    if (!exposure_nm2)
        return oxt_i_null(error, "exposure_nm2");
    oxt_status status = bath ? oxt_i_bath_in(&known, bath, error) : OXT_OK;
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "load_kg", load_kg, 0.0, 1e6, OXT_I_CLOSED);
    if (!status && !part)
        status = oxt_i_null(error, "part");
    if (!status)
        status = oxt_i_check_load(part, &around, bath_K, error);
    if (!status)
        status = oxt_i_thermal_path_prepare(&thermal, growth, part, NULL, bath_K, &around, error);
    if (!status)
        *exposure_nm2 = thermal.rate_nm2_per_s * oxt_i_thermal_path_equivalent(&thermal, time_s);
    return status;
}

oxt_status oxt_heat_time_for_exposure(const oxt_growth *growth, const oxt_part *part, double bath_K,
                                      double exposure_nm2, double *time_s, double *lag_s,
                                      oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_thermal_path thermal;
    if (!time_s)
        return oxt_i_null(error, "time_s");
    oxt_status status = oxt_i_check(error, "exposure_nm2", exposure_nm2, 0.0, HUGE_VAL,
                                    OXT_I_CLOSED);
    if (!status && !part)
        status = oxt_i_null(error, "part");
    if (!status)
        status = oxt_i_thermal_path_prepare(&thermal, growth, part, NULL, bath_K, NULL, error);
    if (status)
        return status;
    double found_s, equivalent_s = exposure_nm2 / thermal.rate_nm2_per_s;
    if (!(equivalent_s <= OXT_TIME_HIGH_S))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", bath_K, NAN, NAN,
                          "the exposure would take %.3g s at %s, longer than %g s", equivalent_s,
                          oxt_i_mark(bath_K, NULL).text, OXT_TIME_HIGH_S);
    status = oxt_i_thermal_path_time(&thermal, equivalent_s, NULL, &found_s, error);
    if (status)
        return status;
    *time_s = found_s;
    if (lag_s)
        *lag_s = found_s - equivalent_s;
    return OXT_OK;
}

/* ---- what moves it ---- */

/* Seconds in a bath of 1/temperature `inverse_bath` that grow what a time on the thermal path does, without the lift; and their
 * mean of 1/T - 1/T_bath times them. */
typedef struct {
    double activation_K, inverse_bath, sum, moment;
} seconds;

static void add_seconds(seconds *all, double time_s, double temperature_K)
{
    double beyond = 1.0 / temperature_K - all->inverse_bath;
    double share = time_s * exp(-all->activation_K * beyond);
    all->sum += share;
    all->moment += share * beyond;
}

/* A series: the surface jumps like the root of time, t = length y^2. */
static double add_series(seconds *all, const oxt_i_thermal_path *thermal, double time_s)
{
    enum { PANELS = 2, POINTS = 32 };
    double at_s[POINTS], weight_s[POINTS], temperature_K[POINTS], sums[2];
    if (thermal->part.at_once)
        return 0.0;
    double length_s = fmin(time_s, 40.0 / thermal->part.rate_per_s[0]);
    for (size_t i = 0; i < POINTS; i++) {
        size_t panel = i / oxt_i_gauss_16.count, point = i % oxt_i_gauss_16.count;
        double y, weight;
        oxt_i_gauss_point(&oxt_i_gauss_16, (double)panel / PANELS, (double)(panel + 1) / PANELS,
                          point, &y, &weight);
        at_s[i] = length_s * y * y;
        weight_s[i] = 2.0 * length_s * y * weight;
    }
    oxt_i_heating_surfaces_K(&thermal->part, POINTS, at_s, temperature_K);
    oxt_i_bath_seconds(POINTS, all->activation_K, all->inverse_bath, weight_s, temperature_K, sums);
    all->sum += sums[0];
    all->moment += sums[1];
    return length_s;
}

/* A course: by Simpson's rule over its steps. */
static double add_course(seconds *all, const oxt_i_thermal_path *thermal, double time_s)
{
    const oxt_i_course *course = &thermal->part.course;
    double end_s = fmin(time_s, course->time_s[course->count - 1]);
    for (size_t i = 0; i + 2 < course->count && course->time_s[i] < end_s; i += 2) {
        double from_s = course->time_s[i], to_s = fmin(course->time_s[i + 2], end_s);
        double each_s = (to_s - from_s) / 6.0;
        add_seconds(all, each_s, course->surface_K[i]);
        add_seconds(all, 4.0 * each_s, surface_K(thermal, 0.5 * (from_s + to_s)));
        add_seconds(all, each_s, surface_K(thermal, to_s));
    }
    return end_s;
}

static double seconds_of(const oxt_i_thermal_path *thermal, double inverse_bath, double time_s,
                         double *moment)
{
    double activation_K = thermal->growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    seconds all = { activation_K, inverse_bath, 0.0, 0.0 };
    bool coupled = thermal->part.coupled;
    double length_s = (coupled ? add_course : add_series)(&all, thermal, time_s);
    add_seconds(&all, time_s - length_s, coupled ? surface_K(thermal, time_s) : thermal->bath_K);
    *moment = all.moment;
    return all.sum;
}

oxt_status oxt_i_thermal_path_slopes_at(const oxt_i_thermal_path *thermal, const oxt_part *part,
                                        const oxt_i_surroundings *around, double time_s,
                                        oxt_i_thermal_path_slopes *found, oxt_error *error)
{
    const oxt_growth *growth = thermal->growth;
    const double bath_K = thermal->bath_K, inverse = 1.0 / bath_K, R = OXT_GAS_CONSTANT_J_PER_MOL_K;
    const double Q = growth->Q_J_per_mol, dQ = 1.0 + 1e-4 * Q, ds = 1e-4 * time_s;
    /* hotter, so that no part is hotter than the bath, but where no bath is hotter */
    const double small_K = thermal->part.coupled ? 0.1 : 1e-3;
    const double dK = bath_K < 900.0 ? small_K : -small_K;
    oxt_i_thermal_path moved = *thermal;
    const double end_K = surface_K(thermal, time_s);
    oxt_status status = move_bath(&moved, part, around, bath_K + dK, error);
    if (status)
        return status;
    const double lift_s = lift_seconds(thermal, Q, bath_K, time_s);
    const double steeper_s = lift_seconds(thermal, Q + dQ, bath_K, time_s);
    const double later_s = lift_seconds(thermal, Q, bath_K, time_s + ds);
    const double hotter_s = lift_seconds(&moved, Q, bath_K, time_s);
    double moment, unused, all_s = seconds_of(thermal, inverse, time_s, &moment) + lift_s;
    double moved_s = seconds_of(&moved, inverse, time_s, &unused) + hotter_s;
    double at_end = exp(-Q / R * (1.0 / end_K - inverse));
    found->per_Q = -(inverse - 1.0 / growth->T_ref_K) / R +
                   ((steeper_s - lift_s) / dQ - moment / R) / all_s;
    found->per_K = log(moved_s / all_s) / dK;
    found->per_s = (at_end + (later_s - lift_s) / ds) / all_s;
    if (isfinite(found->per_K) && isfinite(found->per_s) && isfinite(found->per_Q))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_ENOCONV, "part", "the part's path could not be varied");
}
