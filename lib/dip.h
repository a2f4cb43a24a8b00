/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of the dip room, for the plans of several dips. */
#ifndef OXTINT_LIB_DIP_H
#define OXTINT_LIB_DIP_H

#include "road.h"

/* What a dip is reckoned from. */
typedef struct {
    oxt_steel_values steel;
    oxt_dip_options options;
    oxt_target target;
    double initial_nm, initial_stderr_nm; /* film already there */
    oxt_bath bath;
    double wander_K; /* of the bath, all told */
    oxt_i_road part, coupon;
    double needed_s; /* what the dip must be worth, for the aim and the ends of the window */
    double needed_low_s, needed_high_s;
} oxt_i_dip_plan;

/* By how much the logarithm of what a dip grows moves with what is uncertain. */
typedef struct {
    double per_Q; /* mol/J  relative to ln k at T_ref */
    double per_K; /* 1/K    of the bath */
    double per_s; /* 1/s    of the time of the lift */
} oxt_i_dip_moves;

/* Check everything but the bath's temperature. */
oxt_status oxt_i_dip_take(oxt_i_dip_plan *made, const oxt_steel *steel, const oxt_target *target,
                          const oxt_dip_options *options, oxt_error *error);
/* Prepare the roads of coupon and part in a bath of this true temperature, and what they must be
 * worth. */
oxt_status oxt_i_dip_roads(oxt_i_dip_plan *made, double bath_K, oxt_error *error);
/* The part that goes in; NULL: hot at once. */
const oxt_part *oxt_i_dip_part(const oxt_i_dip_plan *of);

/* Check everything and walk the roads. A plan must not be moved: its roads point
 * into it. */
oxt_status oxt_i_dip_prepare(oxt_i_dip_plan *made, const oxt_steel *steel, const oxt_target *target,
                             double bath_K, const oxt_dip_options *options, oxt_error *error);
/* The prediction. */
oxt_status oxt_i_dip_fill(const oxt_i_dip_plan *of, oxt_dip *dip, oxt_error *error);
oxt_status oxt_i_dip_find_moves(const oxt_i_dip_plan *of, double time_s, oxt_i_dip_moves *found,
                                oxt_error *error);

#endif
