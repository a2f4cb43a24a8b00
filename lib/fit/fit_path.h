/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The thermal path of a coupon at nodes in time. */
#ifndef OXTINT_FIT_PATH_H
#define OXTINT_FIT_PATH_H

#include "oxtint/heat.h"
#include "thermal/heat.h"

typedef struct {
    double bath_K;
    size_t count;
    /* 40 while it warms up, one while it is hot, 24 of the lift */
    double weight_s[40 + 1 + 24];
    double gap_per_K[40 + 1 + 24]; /* 1/T - 1/T_bath */
} oxt_i_coupon_path;

/* What the paths of a log share: the last parts and baths; all zero at first. */
typedef struct {
    oxt_part parts[8];
    oxt_i_heating heatings[8];
    size_t next;
} oxt_i_coupon_path_maker;

oxt_status oxt_i_coupon_path_lay(oxt_i_coupon_path *path, oxt_i_coupon_path_maker *maker,
                                 const oxt_part *part, const oxt_lift *lift, double bath_K,
                                 double time_s, oxt_error *error);
/* ln of the equivalent time at the bath for an activation temperature Q/R, of either sign; `slope` by it, NULL
 * allowed. */
double oxt_i_coupon_path_ln_equivalent(const oxt_i_coupon_path *path, double activation_K,
                                       double *slope);

#endif
