/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "road.h"

#include "solve.h"

oxt_status oxt_i_road_prepare(oxt_i_road *road, const oxt_growth *growth, const oxt_part *part,
                              const oxt_lift *lift, double bath_K, oxt_error *error)
{
    static const oxt_part at_once = OXT_PART_INIT;
    oxt_part hot = OXT_PART_INIT;
    road->growth = growth;
    road->bath_K = bath_K;
    oxt_status status = oxt_rate(growth, bath_K, &road->rate_nm2_per_s, error);
    if (!status)
        status = oxt_i_heating_prepare(&road->part, part ? part : &at_once, bath_K, error);
    if (!status)
        status = oxt_i_lift_in(&road->lift, lift, error);
    if (!status && part)
        status = oxt_i_struct_in(&hot, part, sizeof hot, sizeof hot, "part", error);
    hot.start_K = bath_K;
    return status ? status : oxt_i_heating_prepare(&road->hot, &hot, bath_K, error);
}

oxt_status oxt_i_road_lift_worth(const oxt_i_road *road, double time_s, double *worth_s,
                                 oxt_error *error)
{
    double exposure_nm2, from_K = oxt_i_heating_surface_K(&road->part, time_s);
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
    double lag_s = 0.0, lift_s = 0.0;
    oxt_status status = oxt_i_heating_lag(road->growth, &road->part, time_s, &lag_s, error);
    if (!status)
        status = oxt_i_road_lift_worth(road, time_s, &lift_s, error);
    if (!status)
        *worth_s = fmax(time_s - lag_s, 0.0) + lift_s;
    return status;
}

typedef struct {
    const oxt_i_road *road;
    double wanted_s;
} wait;

static double worth_missing(double time_s, void *context)
{
    const wait *until = context;
    double worth_s;
    if (oxt_i_road_worth(until->road, time_s, &worth_s, NULL))
        return NAN;
    return worth_s - until->wanted_s;
}

oxt_status oxt_i_road_time(const oxt_i_road *road, double worth_s, double *time_s, oxt_error *error)
{
    double at_least_s, lag_s;
    oxt_status status = oxt_i_road_lift_worth(road, 0.0, &at_least_s, error);
    if (status)
        return status;
    if (worth_s <= at_least_s || road->part.at_once) {
        *time_s = fmax(worth_s - at_least_s, 0.0);
        return OXT_OK;
    }
    /* The whole lag is the most that can be lost. */
    status = oxt_i_heating_lag(road->growth, &road->part,
                               worth_s + oxt_i_heating_settled_s(&road->part), &lag_s, error);
    if (status)
        return status;
    double longest_s = (worth_s + lag_s) * (1.0 + 1e-9);
    wait until = { road, worth_s };
    return oxt_i_find_root(worth_missing, &until, 0.0, longest_s, 1e-12 * longest_s, time_s, error);
}
