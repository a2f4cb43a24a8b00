/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The thermal path of each coupon, and its equivalent time at bath temperature. Bath, size, transfer and lift
 * alone make the temperature; only what is summed over it knows the constants. So it is laid out once, at
 * nodes of a quadrature in time, and equivalent time = sum of w_j exp(-Q/R (1/T_j - 1/T_bath)). */
#include <stdlib.h>

#include "base/quadrature.h"
#include "fit/fit.h"
#include "thermal/thermal_path.h"

/* After so many times the slowest time constant the part is as hot as the bath, within the rounding of what
 * follows. */
static const double SETTLED = 25.0;

/* ---- laying a path ---- */

static void add_node(oxt_i_coupon_path *path, double seconds, double temperature_K)
{
    path->weight_s[path->count] = seconds;
    path->gap_per_K[path->count++] = 1.0 / temperature_K - 1.0 / path->bath_K;
}

/* t = L y^2: the surface jumps like the root of time, and most happens early. */
static void lay_heating(oxt_i_coupon_path *path, const oxt_i_heating *part, double time_s)
{
    double y, weight;
    double settled_s = part->at_once ? 0.0 : SETTLED / part->rate_per_s[0];
    double length_s = fmin(time_s, settled_s);
    for (size_t i = 0; i < oxt_i_gauss_40.count && length_s > 0.0; i++) {
        oxt_i_gauss_point(&oxt_i_gauss_40, 0.0, 1.0, i, &y, &weight);
        add_node(path, 2.0 * length_s * y * weight,
                 oxt_i_heating_surface_K(part, length_s * y * y));
    }
    if (time_s > length_s)
        add_node(path, time_s - length_s, path->bath_K);
}

/* One step of Runge and Kutta, of order 4. */
static double cooled_by(const oxt_i_heating *part, const oxt_lift *lift, double T, double step_s)
{
    double k1 = oxt_i_lift_slope(part->capacity_J_per_m2K, lift, T);
    double k2 = oxt_i_lift_slope(part->capacity_J_per_m2K, lift, T + 0.5 * step_s * k1);
    double k3 = oxt_i_lift_slope(part->capacity_J_per_m2K, lift, T + 0.5 * step_s * k2);
    double k4 = oxt_i_lift_slope(part->capacity_J_per_m2K, lift, T + step_s * k3);
    return T + step_s / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
}

/* t = L y^3: the film grows while the part is hot, early. Steps between nodes are short beside the time that
 * the part takes to cool. */
static void lay_lift(oxt_i_coupon_path *path, const oxt_i_heating *part, const oxt_lift *lift,
                     const oxt_i_profile *from)
{
    static const double SHORT = 0.02, AS_COLD = 80.0; /* time constants */
    double now_s = 0.0, T = from->mean_K, y, weight;
    if (lift->delay_s == 0.0)
        return;
    if (!(part->capacity_J_per_m2K > 0.0)) {
        add_node(path, lift->delay_s, T);
        return;
    }
    for (size_t i = 0; i < oxt_i_gauss_24.count; i++) {
        oxt_i_gauss_point(&oxt_i_gauss_24, 0.0, 1.0, i, &y, &weight);
        double then_s = lift->delay_s * y * y * y;
        double rate = -oxt_i_lift_slope(part->capacity_J_per_m2K, lift, T) /
                      fmax(fabs(T - lift->air_K), 1e-9);
        double constants = (then_s - now_s) * rate;
        if (constants > AS_COLD)
            T = lift->air_K;
        double steps = constants > AS_COLD ? 0.0 : fmax(ceil(constants / SHORT), 1.0);
        for (double step = 0.0; step < steps; step += 1.0)
            T = cooled_by(part, lift, T, (then_s - now_s) / steps);
        now_s = then_s;
        add_node(path, 3.0 * lift->delay_s * y * y * weight,
                 T + oxt_i_profile_above_K(from, now_s));
    }
}

static bool same_part(const oxt_part *a, const oxt_part *b)
{
    return a->size_m == b->size_m && a->shape == b->shape && a->start_K == b->start_K &&
           a->transfer_W_per_m2K == b->transfer_W_per_m2K;
}

/* The roots of a part in a bath take longer than the rest: a log has few of them. */
static oxt_status heating_of(oxt_i_coupon_path_maker *maker, const oxt_part *part, double bath_K,
                             const oxt_i_heating **found, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(maker->heatings); i++)
        if (maker->heatings[i].bath_K == bath_K && same_part(&maker->parts[i], part)) {
            *found = &maker->heatings[i];
            return OXT_OK;
        }
    size_t place = maker->next++ % OXT_I_COUNT(maker->heatings);
    *found = &maker->heatings[place];
    maker->parts[place] = *part;
    oxt_status status = oxt_i_heating_prepare(&maker->heatings[place], part, bath_K, error);
    if (status)
        maker->heatings[place].bath_K = 0.0;
    return status;
}

/* On a heating that is known. */
static oxt_status lay_on(oxt_i_coupon_path *path, const oxt_i_heating *cold, const oxt_part *part,
                         const oxt_lift *lift, double bath_K, double time_s, oxt_error *error)
{
    oxt_i_heating hot;
    oxt_i_profile from;
    oxt_part warm = *part;
    oxt_lift known;
    warm.start_K = bath_K;
    path->bath_K = bath_K;
    path->count = 0;
    oxt_status status = oxt_i_heating_prepare(&hot, &warm, bath_K, error);
    if (!status)
        status = oxt_i_lift_in(&known, lift, error);
    if (status)
        return status;
    lay_heating(path, cold, time_s);
    oxt_i_heating_profile(cold, time_s, &from);
    lay_lift(path, &hot, &known, &from);
    return OXT_OK;
}

oxt_status oxt_i_coupon_path_lay(oxt_i_coupon_path *path, oxt_i_coupon_path_maker *maker,
                                 const oxt_part *part, const oxt_lift *lift, double bath_K,
                                 double time_s, oxt_error *error)
{
    const oxt_i_heating *cold;
    oxt_status status = heating_of(maker, part, bath_K, &cold, error);
    return status ? status : lay_on(path, cold, part, lift, bath_K, time_s, error);
}

double oxt_i_coupon_path_ln_equivalent(const oxt_i_coupon_path *path, double activation_K,
                                       double *slope)
{
    double sum = 0.0, moment = 0.0, nearest = path->gap_per_K[0];
    for (size_t j = 1; j < path->count; j++)
        if (activation_K < 0.0 ? path->gap_per_K[j] > nearest : path->gap_per_K[j] < nearest)
            nearest = path->gap_per_K[j];
    for (size_t j = 0; j < path->count; j++) {
        double beyond = path->gap_per_K[j] - nearest;
        double share = path->weight_s[j] * exp(-activation_K * beyond);
        sum += share;
        moment += share * beyond;
    }
    if (slope)
        *slope = -nearest - moment / sum;
    return log(sum) - activation_K * nearest;
}

/* ---- the rows of a fit ---- */

/* Steps of the slopes by bath and time, which steer the errors of a row and not where the fit ends. */
static const double STEP_K = 1e-3, STEP_OF_TIME = 1e-4;

oxt_status oxt_i_fit_lay_paths(oxt_i_trial_set *set, oxt_error *error)
{
    size_t count = 0, place = 0;
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < set->row_count; i++)
        count += set->rows[i].reading_count > 0 && set->rows[i].has_path ? 1 : 0;
    if (count == 0)
        return OXT_OK;
    set->paths = malloc(count * sizeof *set->paths);
    if (!set->paths)
        return oxt_i_no_memory(error);
    oxt_i_coupon_path_maker maker = { .next = 0 }; /* it is large */
    for (size_t i = 0; i < set->row_count && !status; i++) {
        oxt_i_fit_row *row = &set->rows[i];
        if (row->reading_count == 0 || !row->has_path)
            continue;
        status = oxt_i_coupon_path_lay(&set->paths[place], &maker, &row->part, &row->lift,
                                       row->bath_K, row->time_s, error);
        row->path = &set->paths[place++];
        if (status)
            oxt_i_locate(error, row->line, NULL);
    }
    return status;
}

/* At another bath or time than the logged ones; a path that cannot be laid grows nothing that counts. */
static double ln_equivalent(double T_ref_K, const oxt_i_fit_row *row, double q, double bath_K,
                            double time_s, double *by_q)
{
    oxt_i_coupon_path made;
    const oxt_i_coupon_path *path = row->path;
    double slope;
    if (bath_K != row->bath_K || time_s != row->time_s) {
        oxt_i_heating cold;
        if (oxt_i_heating_prepare(&cold, &row->part, bath_K, NULL) ||
            lay_on(&made, &cold, &row->part, &row->lift, bath_K, time_s, NULL) || made.count == 0)
            return log(1e-6);
        path = &made;
    }
    double ln_s = oxt_i_coupon_path_ln_equivalent(path, q * T_ref_K, &slope);
    if (by_q)
        *by_q = slope * T_ref_K;
    return ln_s;
}

double oxt_i_fit_ln_equivalent(double T_ref_K, const oxt_i_fit_row *row, double q, double bath_K,
                               double time_s, double *by_q)
{
    if (row->has_path)
        return ln_equivalent(T_ref_K, row, q, bath_K, time_s, by_q);
    if (by_q)
        *by_q = 0.0;
    return log(time_s);
}

double oxt_i_fit_ln_x(double T_ref_K, const oxt_i_fit_row *row, double ln_k, double q,
                      double bath_K, double time_s, double *by_q)
{
    double offset = T_ref_K / bath_K - 1.0, slope;
    double ln_s = oxt_i_fit_ln_equivalent(T_ref_K, row, q, bath_K, time_s, &slope);
    if (by_q)
        *by_q = 0.5 * (slope - offset);
    return 0.5 * (ln_k - q * offset + ln_s) + row->day_effect;
}

static void linearise_on_path(double T_ref_K, oxt_i_fit_row *row, double q)
{
    double K = row->true_K, s = row->true_s, ds = STEP_OF_TIME * s, per_q = 0.0;
    double here = ln_equivalent(T_ref_K, row, q, K, s, &per_q);
    row->ln_time = here - per_q * q;
    row->inverse_T_offset -= per_q;
    if (row->bath_sd_K > 0.0)
        row->slope_K += 0.5 * (ln_equivalent(T_ref_K, row, q, K + STEP_K, s, NULL) - here) / STEP_K;
    if (row->time_sd_s > 0.0)
        row->slope_s = 0.5 * (ln_equivalent(T_ref_K, row, q, K, s + ds, NULL) - here) / ds;
}

void oxt_i_fit_linearise_row(const oxt_i_fit_model *model, oxt_i_fit_row *row, double q,
                             double true_K, double true_s)
{
    row->true_K = true_K;
    row->true_s = true_s;
    row->ln_time = log(true_s);
    row->inverse_T_offset = model->T_ref_K / true_K - 1.0;
    row->slope_K = 0.5 * q * model->T_ref_K / (true_K * true_K);
    row->slope_s = 0.5 / true_s;
    if (row->has_path)
        linearise_on_path(model->T_ref_K, row, q);
    row->shift = row->slope_K * (row->bath_K - true_K) + row->slope_s * (row->time_s - true_s);
}
