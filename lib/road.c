/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "road.h"

#include "solve.h"

static bool is_series(const oxt_i_heating *part)
{
    return !part->at_once && !part->lumped;
}

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
        status = oxt_i_struct_in(&hot, part, sizeof hot, sizeof hot, "part", error);
    hot.start_K = bath_K;
    if (!status)
        status = oxt_i_heating_prepare(&road->hot, &hot, bath_K, error);
    return status ? status : oxt_i_road_regrow(road, growth, error);
}

oxt_status oxt_i_road_regrow(oxt_i_road *road, const oxt_growth *growth, oxt_error *error)
{
    road->growth = growth;
    oxt_status status = oxt_rate(growth, road->bath_K, &road->rate_nm2_per_s, error);
    if (!status && is_series(&road->part))
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
    return time_s - lying_s +
           (is_series(&road->part) ? oxt_i_lag_at(&road->lag, lying_s)
                                   : oxt_i_heating_lag(road->growth, &road->part, lying_s));
}

oxt_status oxt_i_road_lift_worth(const oxt_i_road *road, double time_s, double *worth_s,
                                 oxt_error *error)
{
    double exposure_nm2, from_K = surface_K(road, time_s);
    *worth_s = 0.0;
    if (road->lift.delay_s == 0.0)
        return OXT_OK;
    oxt_status status = oxt_i_lift_exposure(road->growth, &road->hot, &road->lift, from_K,
                                            &exposure_nm2, NULL, error);
    if (!status)
        *worth_s = exposure_nm2 / road->rate_nm2_per_s;
    return status;
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
} wait;

/* The slope is that of the time in the bath alone: what the lift is worth changes little, but early. */
static double worth_missing(double time_s, double *slope, void *context)
{
    const wait *until = context;
    double worth_s, T = surface_K(until->road, time_s);
    if (oxt_i_road_worth(until->road, time_s, &worth_s, NULL))
        return NAN;
    *slope = exp(-until->road->growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K *
                 (1.0 / T - 1.0 / until->road->bath_K));
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

oxt_status oxt_i_road_time(const oxt_i_road *road, double worth_s, double *time_s, oxt_error *error)
{
    if (worth_s <= road->least_s || (road->part.at_once && !road->sags)) {
        double left_s = fmax(worth_s - road->least_s, 0.0);
        *time_s = left_s > 0.0 ? left_s + road->skin_s : 0.0;
        return OXT_OK;
    }
    wait until = { road, worth_s };
    double longest = longest_s(road, worth_s);
    return oxt_i_find_rise(worth_missing, &until, 0.0, longest * (1.0 + 1e-6), longest,
                           1e-12 * longest, time_s, error);
}
