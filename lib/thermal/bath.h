/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bath, for whatever names one. */
#ifndef OXTINT_LIB_BATH_H
#define OXTINT_LIB_BATH_H

#include "oxtint/bath.h"
#include "base/internal.h"

/* Copy a bath in and check it; `known` holds the defaults. */
oxt_status oxt_i_bath_in(oxt_bath *known, const oxt_bath *given, oxt_error *error);

/* Cautions of every salt bath, and those of a temperature by the limits of a salt. */
uint32_t oxt_i_salt_cautions(oxt_salt salt, double bath_K);
/* Those of all baths in a range, of a salt that is not stated. */
uint32_t oxt_i_range_cautions(double low_K, double high_K);

/* A load that meets a bath, both of one temperature throughout.
 *
 * First the bath runs free: gap = settled + fading exp(-t/tau_both), and the bath is at
 * start + ramp t - dip (1 - exp(-t/tau_both)). When it is back at its start, the heater holds it there
 * and the gap closes with the part's own tau. */
typedef struct {
    double bath_K;             /* at the start */
    double first_gap_K, ratio; /* start's gap; heat capacity of load over bath */
    double tau_s, tau_both_s;
    double settled_K, fading_K, ramp_K_per_s, dip_K;
    double lowest_s, held_from_s, held_gap_K;
    double load_J_per_K;
} oxt_i_load;

/* Check the load and let it meet a bath that was checked. */
oxt_status oxt_i_load_meet(oxt_i_load *both, const oxt_bath *bath, const oxt_part *part,
                           double load_kg, double bath_K, oxt_error *error);
double oxt_i_load_part_K(const oxt_i_load *both, double time_s);
/* Seconds at the bath's first temperature that grow as much as a time in the sagging bath. */
double oxt_i_load_equivalent(const oxt_growth *growth, const oxt_i_load *both, double time_s);
double oxt_i_load_sag_K(const oxt_i_load *both);

/* A sag that deserves a caution. */
bool oxt_i_sags(double sag_K);

#endif
