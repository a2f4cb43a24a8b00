/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "thermal/thermal_path.h"

#include "base/quadrature.h"
#include "base/solve.h"

oxt_status oxt_i_road_prepare(oxt_i_road *road, const oxt_growth *growth, const oxt_part *part,
                              const oxt_lift *lift, double bath_K, oxt_error *error)
{
    static const oxt_part at_once = OXT_PART_INIT;
    oxt_part hot = OXT_PART_INIT;
    road->bath_K = bath_K;
    road->skin_s = 0.0;
    road->sags = false;
    oxt_status status = oxt_i_heating_prepare(&road->part, part ? part : &at_once, bath_K, error);
    if (!status)
        status = oxt_i_lift_in(&road->lift, lift, error);
    if (!status && part)
        status = OXT_I_STRUCT_IN(oxt_part, &hot, part, "part", error);
    hot.start_K = bath_K;
    if (!status)
        status = oxt_i_heating_prepare(&road->hot, &hot, bath_K, error);
    return status ? status : oxt_i_road_regrow(road, growth, error);
}

oxt_status oxt_i_road_regrow(oxt_i_road *road, const oxt_growth *growth, oxt_error *error)
{
    road->growth = growth;
    oxt_status status = oxt_rate(growth, road->bath_K, &road->rate_nm2_per_s, error);
    if (!status)
        oxt_i_lag_prepare(&road->lag, growth, &road->part);
    return status ? status : oxt_i_road_lift_worth(road, 0.0, &road->least_s, error);
}

oxt_status oxt_i_road_load(oxt_i_road *road, const oxt_bath *bath, const oxt_part *part,
                           double load_kg, oxt_error *error)
{
    road->sags = bath->salt_kg > 0.0 && load_kg > 0.0;
    return road->sags ? oxt_i_load_meet(&road->load, bath, part, load_kg, road->bath_K, error)
                      : OXT_OK;
}

/* The same road in a bath that differs by little, but for its lag. */
static oxt_status move_bath(oxt_i_road *road, const oxt_bath *bath, const oxt_part *part,
                            double load_kg, double bath_K, oxt_error *error)
{
    oxt_part known = OXT_PART_INIT;
    oxt_status status = OXT_OK;
    if (part)
        status = OXT_I_STRUCT_IN(oxt_part, &known, part, "part", error);
    road->bath_K = road->hot.start_K = bath_K;
    oxt_i_heating_move(&road->part, &known, bath_K);
    oxt_i_heating_move(&road->hot, &known, bath_K);
    return status ? status : oxt_i_road_load(road, bath, part, load_kg, error);
}

/* Time since the part lies bare in the bath. */
static double bare_s(const oxt_i_road *road, double time_s)
{
    return fmax(time_s - road->skin_s, 0.0);
}

static double surface_K(const oxt_i_road *road, double time_s)
{
    time_s = bare_s(road, time_s);
    return road->sags ? oxt_i_load_part_K(&road->load, time_s)
                      : oxt_i_heating_surface_K(&road->part, time_s);
}

double oxt_i_road_lag(const oxt_i_road *road, double time_s)
{
    double lying_s = bare_s(road, time_s);
    if (road->sags)
        return time_s - oxt_i_load_worth(road->growth, &road->load, lying_s);
    return time_s - lying_s + oxt_i_lag_at(&road->lag, &road->part, lying_s);
}

/* Seconds in a bath of a rate that grow what the lift does, from a temperature and by a growth. */
static oxt_status lift_seconds(const oxt_i_road *road, const oxt_growth *growth,
                               double rate_nm2_per_s, double from_K, double *seconds,
                               oxt_error *error)
{
    double exposure_nm2;
    *seconds = 0.0;
    if (road->lift.delay_s == 0.0)
        return OXT_OK;
    oxt_status status = oxt_i_lift_exposure(growth, &road->hot, &road->lift, from_K, &exposure_nm2,
                                            NULL, error);
    if (!status)
        *seconds = exposure_nm2 / rate_nm2_per_s;
    return status;
}

oxt_status oxt_i_road_lift_worth(const oxt_i_road *road, double time_s, double *worth_s,
                                 oxt_error *error)
{
    return lift_seconds(road, road->growth, road->rate_nm2_per_s, surface_K(road, time_s), worth_s,
                        error);
}

oxt_status oxt_i_road_worth(const oxt_i_road *road, double time_s, double *worth_s,
                            oxt_error *error)
{
    double lift_s = 0.0;
    oxt_status status = oxt_i_road_lift_worth(road, time_s, &lift_s, error);
    if (!status)
        *worth_s = fmax(time_s - oxt_i_road_lag(road, time_s), 0.0) + lift_s;
    return status;
}

typedef struct {
    const oxt_i_road *road;
    double wanted_s;
    double last_s, last_worth_s; /* where it was looked at before */
} wait;

/* The slope is that since the last look, and at first that of the time in the bath alone: what the lift is worth
 * changes little, but early. */
static double worth_missing(double time_s, double *slope, void *context)
{
    wait *until = context;
    double worth_s;
    if (oxt_i_road_worth(until->road, time_s, &worth_s, NULL))
        return NAN;
    *slope = (worth_s - until->last_worth_s) / (time_s - until->last_s);
    if (!(*slope > 0.0))
        *slope = exp(-until->road->growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K *
                     (1.0 / surface_K(until->road, time_s) - 1.0 / until->road->bath_K));
    until->last_s = time_s;
    until->last_worth_s = worth_s;
    return worth_s - until->wanted_s;
}

/* A time that is worth this much or more: with a steady bath the whole lag is the most that can be
 * lost; one that sags for good costs a share of the time. */
static double longest_s(const oxt_i_road *road, double worth_s)
{
    double settled_s = oxt_i_heating_settled_s(&road->part) + road->skin_s;
    double lag_s = oxt_i_road_lag(road, worth_s + settled_s);
    double longest = (worth_s + fmax(lag_s, 0.0)) * (1.0 + 1e-9);
    for (int i = 0; i < 60 && road->sags; i++) {
        if (longest - oxt_i_road_lag(road, longest) >= worth_s)
            break;
        longest *= 2.0;
    }
    return longest;
}

oxt_status oxt_i_road_time(const oxt_i_road *road, double worth_s, double guess_s, double *time_s,
                           oxt_error *error)
{
    if (worth_s <= road->least_s || (road->part.at_once && !road->sags)) {
        double left_s = fmax(worth_s - road->least_s, 0.0);
        *time_s = left_s > 0.0 ? left_s + road->skin_s : 0.0;
        return OXT_OK;
    }
    wait until = { road, worth_s, NAN, NAN };
    double longest = longest_s(road, worth_s), high_s = longest * (1.0 + 1e-6);
    bool known = guess_s > 0.0 && guess_s < longest;
    return oxt_i_find_rise(worth_missing, &until, 0.0, high_s, known ? guess_s : longest,
                           1e-9 * longest, time_s, error);
}

/* ---- what moves it ---- */

/* Seconds in a bath of 1/temperature `inverse_bath` that grow what a time on the road does, without the lift; and their
 * mean of 1/T - 1/T_bath times them. */
static double seconds_of(const oxt_i_road *road, double inverse_bath, double time_s, double *moment)
{
    enum { PANELS = 2 };
    double activation_K = road->growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    double lying_s = bare_s(road, time_s), length_s = lying_s, sum = 0.0;
    if (!road->sags)
        length_s = road->part.at_once ? 0.0 : fmin(lying_s, 40.0 / road->part.rate_per_s[0]);
    *moment = 0.0;
    for (size_t i = 0; i < PANELS * oxt_i_gauss_16.count; i++) {
        size_t panel = i / oxt_i_gauss_16.count, point = i % oxt_i_gauss_16.count;
        double y, weight; /* time = length y^2: the surface jumps like the root of time */
        oxt_i_gauss_point(&oxt_i_gauss_16, (double)panel / PANELS, (double)(panel + 1) / PANELS,
                          point, &y, &weight);
        double at_s = time_s - lying_s + length_s * y * y;
        double beyond = 1.0 / surface_K(road, at_s) - inverse_bath;
        double share = 2.0 * length_s * y * weight * exp(-activation_K * beyond);
        sum += share;
        *moment += share * beyond;
    }
    double beyond = 1.0 / road->bath_K - inverse_bath;
    double share = (lying_s - length_s) * exp(-activation_K * beyond);
    *moment += share * beyond;
    return sum + share;
}

oxt_status oxt_i_road_moves(const oxt_i_road *road, const oxt_bath *bath, const oxt_part *part,
                            double load_kg, double time_s, oxt_i_road_slopes *found,
                            oxt_error *error)
{
    const oxt_growth *growth = road->growth;
    const double bath_K = road->bath_K, inverse = 1.0 / bath_K, R = OXT_GAS_CONSTANT_J_PER_MOL_K;
    const double rate = road->rate_nm2_per_s;
    const double dQ = 1.0 + 1e-4 * growth->Q_J_per_mol, ds = 1e-4 * time_s;
    /* hotter, so that no part is hotter than the bath, but where no bath is hotter */
    const double dK = bath_K < 900.0 ? 1e-3 : -1e-3;
    oxt_i_road moved = *road;
    oxt_growth other = *growth;
    other.Q_J_per_mol += dQ;
    double other_rate, lift_s, hotter_s, later_s, steeper_s;
    const double end_K = surface_K(road, time_s);
    oxt_status status = move_bath(&moved, bath, part, load_kg, bath_K + dK, error);
    if (!status)
        status = oxt_rate(&other, bath_K, &other_rate, error);
    if (!status)
        status = lift_seconds(road, growth, rate, end_K, &lift_s, error);
    if (!status)
        status = lift_seconds(road, &other, other_rate, end_K, &steeper_s, error);
    if (!status)
        status = lift_seconds(road, growth, rate, surface_K(road, time_s + ds), &later_s, error);
    if (!status)
        status = lift_seconds(&moved, growth, rate, surface_K(&moved, time_s), &hotter_s, error);
    if (status)
        return status;
    double moment, unused, all_s = seconds_of(road, inverse, time_s, &moment) + lift_s;
    double moved_s = seconds_of(&moved, inverse, time_s, &unused) + hotter_s;
    double at_end = exp(-growth->Q_J_per_mol / R * (1.0 / end_K - inverse));
    found->per_Q = -(inverse - 1.0 / growth->T_ref_K) / R +
                   ((steeper_s - lift_s) / dQ - moment / R) / all_s;
    found->per_K = log(moved_s / all_s) / dK;
    found->per_s = (at_end + (later_s - lift_s) / ds) / all_s;
    if (isfinite(found->per_K) && isfinite(found->per_s) && isfinite(found->per_Q))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_ENOCONV, "part", "the part's path could not be varied");
}
