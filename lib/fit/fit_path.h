/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The thermal path of a coupon at nodes in time. */
#ifndef OXTINT_FIT_PATH_H
#define OXTINT_FIT_PATH_H

#include "oxtint/heat.h"
#include "thermal/heat.h"

#define OXT_I_PATH_HEATING 40
#define OXT_I_PATH_COOLING 24

typedef struct {
    double bath_K;
    size_t count;
    double weight_s[OXT_I_PATH_HEATING + 1 + OXT_I_PATH_COOLING];
    double gap_per_K[OXT_I_PATH_HEATING + 1 + OXT_I_PATH_COOLING]; /* 1/T - 1/T_bath */
} oxt_i_coupon_path;

/* Nodes and weights on 0 to 1. */
typedef struct {
    double heating_at[OXT_I_PATH_HEATING], heating_weight[OXT_I_PATH_HEATING];
    double cooling_at[OXT_I_PATH_COOLING], cooling_weight[OXT_I_PATH_COOLING];
} oxt_i_coupon_path_rule;

/* What the paths of a log share: the rule, and the last parts and baths. */
typedef struct {
    oxt_i_coupon_path_rule rule;
    oxt_part parts[8];
    oxt_i_heating heatings[8];
    size_t next;
} oxt_i_coupon_path_maker;

void oxt_i_coupon_path_rules(oxt_i_coupon_path_rule *rule);
void oxt_i_coupon_path_maker_init(oxt_i_coupon_path_maker *maker);
oxt_status oxt_i_coupon_path_lay(oxt_i_coupon_path *path, oxt_i_coupon_path_maker *maker,
                                 const oxt_part *part, const oxt_lift *lift, double bath_K,
                                 double time_s, oxt_error *error);
/* ln of the equivalent time at the bath for an activation temperature Q/R, of either sign; `slope` by it, NULL
 * allowed. */
double oxt_i_coupon_path_ln_equivalent(const oxt_i_coupon_path *path, double activation_K,
                                       double *slope);

#endif
