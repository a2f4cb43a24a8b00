/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a tracker: shared by track.c and track_new.c. */
#ifndef OXTINT_LIB_TRACK_H
#define OXTINT_LIB_TRACK_H

#include "oxtint/track.h"
#include "thermal/heat.h"

#define OXT_I_LIFT_STEPS 48 /* from OXT_BATH_LOW_K to OXT_BATH_HIGH_K */
#define OXT_I_LIFT_STEP_K ((OXT_BATH_HIGH_K - OXT_BATH_LOW_K) / OXT_I_LIFT_STEPS)
#define OXT_I_COLOUR_STEPS 800 /* of OXT_I_PATH_STEP_NM, to OXT_PATH_HIGH_NM */

/* One mode of the part: its share of how far the surface is from the bath. */
typedef struct {
    double weight, rate_per_s;
    double gap_K; /* weight (theta - T_bath) */
    /* over a step: the share that is left, and weight times the mean share of a change */
    double kept, moved;
} oxt_i_track_mode;

struct oxt_track {
    oxt_growth growth;
    oxt_target target;
    double initial_nm, longest_gap_s;
    double offset_K; /* of the thermometer */
    oxt_salt salt;
    bool has_part, uneven;
    double start_K;
    oxt_i_track_mode modes[OXT_I_HEAT_TERMS];
    size_t mode_count;

    bool lift_known; /* by the caller, or from the coupons of the card */
    bool coupons_unknown;
    bool lift_cools; /* else the same equivalent time at every temperature */
    double lift_equivalent_s[OXT_I_LIFT_STEPS + 1],
        lift_bend[OXT_I_LIFT_STEPS + 1]; /* of its spline */

    double lab[OXT_I_COLOUR_STEPS + 1][3], srgb[OXT_I_COLOUR_STEPS + 1][3];
    oxt_tint tints[OXT_TINT_COUNT];

    /* the dip */
    double first_s, last_s, bath_K, surface_K, rate_nm2_per_s, exposure_nm2;
    double step_s; /* that the modes are ready for */
    size_t sample_count, refused_count, gap_count;
    double bridged_s;
};

/* Growth rate, nm^2/s, of constants and a temperature that were checked. */
static inline double oxt_i_track_rate(const oxt_track *tracker, double temperature_K)
{
    const oxt_growth *growth = &tracker->growth;
    double exponent_K = growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    double inverse = 1.0 / temperature_K - 1.0 / growth->T_ref_K;
    return growth->k_ref_nm2_per_s * exp(-exponent_K * inverse);
}

#endif
