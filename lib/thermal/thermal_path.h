/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The thermal path of one part through one bath: time in the bath -> equivalent time at the quench, and
 * back. */
#ifndef OXTINT_LIB_THERMAL_PATH_H
#define OXTINT_LIB_THERMAL_PATH_H

#include "thermal/bath.h"
#include "thermal/heat.h"

/* The equivalent time of a dip is that which grows the same film at bath temperature: the time in the bath,
 * less the heating-up time, and what the lift adds. */
typedef struct {
    const oxt_growth *growth;
    double bath_K;
    double rate_nm2_per_s; /* at the bath */
    oxt_i_heating part;
    oxt_i_lag lag;
    oxt_i_heating hot; /* the same part as it leaves the bath */
    oxt_lift lift;
    double least_s; /* equivalent time of the lift when the part is lifted at once */
} oxt_i_thermal_path;

/* `part` NULL is at bath temperature at once; `lift` NULL is a quench at once; `around` NULL is a bath whose salt is
 * not stated and which nothing cools. `growth` must outlive the thermal path. */
oxt_status oxt_i_thermal_path_prepare(oxt_i_thermal_path *thermal, const oxt_growth *growth,
                                      const oxt_part *part, const oxt_lift *lift, double bath_K,
                                      const oxt_i_surroundings *around, oxt_error *error);
/* the same path with other constants of the growth. */
oxt_status oxt_i_thermal_path_regrow(oxt_i_thermal_path *thermal, const oxt_growth *growth,
                                     oxt_error *error);
/* By how much the logarithm of what a dip grows moves with what is uncertain. */
typedef struct {
    double per_Q; /* mol/J  relative to ln k at T_ref */
    double per_K; /* 1/K    of the bath */
    double per_s; /* 1/s    of the time of the lift */
} oxt_i_thermal_path_slopes;

/* Those after a time above 0; part and surroundings as the thermal path was prepared with. */
oxt_status oxt_i_thermal_path_slopes_at(const oxt_i_thermal_path *thermal, const oxt_part *part,
                                        const oxt_i_surroundings *around, double time_s,
                                        oxt_i_thermal_path_slopes *found, oxt_error *error);
/* How much of a time in the bath is lost to heating up. */
double oxt_i_thermal_path_lag(const oxt_i_thermal_path *thermal, double time_s);
/* Equivalent time of the way to the quench after a time in the bath. */
double oxt_i_thermal_path_lift_equivalent(const oxt_i_thermal_path *thermal, double time_s);
double oxt_i_thermal_path_equivalent(const oxt_i_thermal_path *thermal, double time_s);
/* A time in the bath, its equivalent time, and how fast that rises with it. */
typedef struct {
    double time_s, equivalent_s, slope;
} oxt_i_path_place;

/* The place of an equivalent time, looked for from one near by, where there is one (NULL: none); at time 0 when the lift
 * alone gives more. */
oxt_status oxt_i_thermal_path_find(const oxt_i_thermal_path *thermal, double equivalent_s,
                                   const oxt_i_path_place *near, oxt_i_path_place *found,
                                   oxt_error *error);
/* Its time alone. */
oxt_status oxt_i_thermal_path_time(const oxt_i_thermal_path *thermal, double equivalent_s,
                                   const oxt_i_path_place *near, double *time_s, oxt_error *error);

#endif
