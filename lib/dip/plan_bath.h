/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one bath of a set: every load cools it for all. */
#ifndef OXTINT_LIB_PLAN_BATH_H
#define OXTINT_LIB_PLAN_BATH_H

#include "base/watch.h"
#include "dip/dip.h"

/* The bath with all loads in it. */
typedef struct {
    double set_K;
    double heat_J_per_K; /* of the salt */
    double heater_W;
} oxt_i_set_pot;

/* A part of a set in that bath. */
typedef struct {
    oxt_growth growth;
    oxt_lift lift;
    oxt_i_body body;
    oxt_i_outside outside; /* but for the temperature of the bath */
    bool at_once;          /* no body: as hot as the bath */
    double start_K, area_m2;
    double set_nm2_per_s; /* rate in the bath as it was set */
    double needed_s;      /* equivalent time, the lift with it */
    double air_J_per_m2K; /* its capacity as it cools in air */

    double time_s, enter_s, lift_s; /* as planned */

    bool inside, done;
    oxt_i_body_state state, before; /* now, and at the start of a step */
    double exposure_nm2, rate_nm2_per_s, exposure_before_nm2, rate_before_nm2_per_s;
    double got_s;    /* equivalent time, with the lift */
    double share;    /* of the rate at the lift in that of the bath as it was set */
    double lowest_K; /* of the bath while it is inside */
} oxt_i_set_load;

/* Take the part of a dip that was prepared without its load. */
void oxt_i_set_load_of(oxt_i_set_load *made, const oxt_i_dip_plan *plan, double load_kg,
                       double time_s);
/* Times, entries and lifts so that every part gets what it needs, the slowest part first. */
oxt_status oxt_i_set_times(oxt_i_set_load *loads, size_t count, const oxt_i_set_pot *pot,
                           double spacing_s, oxt_i_watch *watch, double share_done,
                           oxt_error *error);

#endif
