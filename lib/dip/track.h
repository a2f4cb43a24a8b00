/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a tracker: shared by track.c and track_new.c. */
#ifndef OXTINT_LIB_TRACK_H
#define OXTINT_LIB_TRACK_H

#include "oxtint/steel.h"
#include "oxtint/track.h"
#include "thermal/heat.h"

#define OXT_I_LIFT_STEPS 48 /* from OXT_BATH_LOW_K to OXT_BATH_HIGH_K */
#define OXT_I_LIFT_STEP_K ((OXT_BATH_HIGH_K - OXT_BATH_LOW_K) / OXT_I_LIFT_STEPS)
#define OXT_I_COLOUR_STEPS 800 /* of OXT_I_PATH_STEP_NM, to OXT_PATH_HIGH_NM */

/* One mode of the part: its share of how far the surface is from the bath. */
typedef struct {
    double weight, rate_per_s;
    double gap_K; /* weight (theta - T_bath) */
    double mean;  /* its part in how far the mean is from the bath, for each K of the gap */
    double inner[OXT_I_PROFILE_MODES]; /* its part in the modes of a profile, likewise */
    /* over a step: the share that is left, and weight times the mean share of a change */
    double kept, moved;
} oxt_i_track_mode;

/* What is uncertain about a dip (track_chance.c). */
typedef struct {
    double variance_ln_k, covariance_J_per_mol, variance_Q_J2_per_mol2, scatter, dof, scatter_dof;
    double ln_shape_stderr, initial_stderr_nm2;
    double per_Q;      /* slope of ln exposure that a coupon holds; NaN: that of the dip as it is */
    double confidence; /* of the limits */
    double time_wander_s, thermometer_sd_K;
    double bath_low_K, bath_high_K; /* of the trials */
    bool is_tried;
    uint32_t cautions; /* of the target, whatever the bath does */
} oxt_i_track_doubt;

struct oxt_track {
    oxt_growth growth;
    oxt_target target;
    double initial_nm, longest_gap_s;
    double initial_nm2; /* exposure that the film already there took */
    /* exposures beyond it at which the thinnest film of the target, its aim and its thickest are there: by the growth
     * constants, and with a coupon, each at the time of its own */
    double own_nm2[3], wanted_nm2[3];
    double offset_K; /* of the thermometer */
    double meant_K;  /* the bath that was named, until the first sample; NaN: none was */
    oxt_salt salt;
    bool has_part, uneven;
    double start_K;
    oxt_i_track_mode modes[OXT_I_HEAT_TERMS];
    size_t mode_count;
    bool coupled; /* no series: a still bath, or salt that freezes */
    oxt_i_body body;
    oxt_i_outside outside;
    oxt_i_body_state state;

    bool lift_known; /* by the caller, or from the coupons of the card */
    bool coupons_unknown;
    bool lift_cools; /* else the same equivalent time at every temperature */
    oxt_lift lift;
    double capacity_J_per_m2K, inner_rate_per_s[OXT_I_PROFILE_MODES]; /* of the part */
    double lift_equivalent_s[OXT_I_LIFT_STEPS + 1],
        lift_bend[OXT_I_LIFT_STEPS + 1]; /* of its spline */

    double lab[OXT_I_COLOUR_STEPS + 1][3], srgb[OXT_I_COLOUR_STEPS + 1][3];
    oxt_tint tints[OXT_TINT_COUNT];

    oxt_i_track_doubt doubt;

    /* the dip */
    double first_s, last_s, bath_K, surface_K, rate_nm2_per_s, exposure_nm2;
    double inverse_nm2_per_K; /* integral of the rate times 1/T - 1/T_ref */
    double rate_inverse;      /* what it is of, now */
    double step_s;            /* that the modes are ready for */
    size_t leap_count; /* 1: the last sample leapt, and is taken when the next one agrees with it */
    double leap_s, leap_K;
    size_t sample_count, refused_count, gap_count;
    double bridged_s;
};

/* Exposure by the growth constants that gives the film of one of the tracker's, and its slope; and back. */
double oxt_i_track_own(const oxt_track *tracker, double exposure_nm2, double *slope);
double oxt_i_track_wanted(const oxt_track *tracker, double own_nm2);

/* Growth rate, nm^2/s, of constants and a temperature that were checked. */
static inline double oxt_i_track_rate(const oxt_track *tracker, double temperature_K)
{
    const oxt_growth *growth = &tracker->growth;
    double exponent_K = growth->Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    double inverse = 1.0 / temperature_K - 1.0 / growth->T_ref_K;
    return growth->k_ref_nm2_per_s * exp(-exponent_K * inverse);
}

/* Of the samples, and before them the one that is meant: what to mind of it is told while the part is still dry. */
static inline double oxt_i_track_bath_K(const oxt_track *tracker)
{
    return tracker->sample_count > 0 ? tracker->bath_K : tracker->meant_K;
}

static inline double oxt_i_track_inverse(const oxt_track *tracker, double temperature_K)
{
    return 1.0 / temperature_K - 1.0 / tracker->growth.T_ref_K;
}

/* ---- what comes, with the bath held as it is (track_forecast.c) ---- */

/* The times until a lift comes to three exposures, which rise. */
void oxt_i_track_forecast(const oxt_track *tracker, const double wanted_nm2[3], double time_s[3]);
/* Growth between a lift now and the quench. */
double oxt_i_track_lift_exposure(const oxt_track *tracker);
/* Surface after more time at the present bath. */
double oxt_i_track_surface_after(const oxt_track *tracker, double more_s);
/* Make the modes ready for a step. */
void oxt_i_track_ready(oxt_track *tracker, double step_s);

/* What is uncertain of a steel and a target, and of the options; bath_K is the bath that is meant, 0 for none. */
oxt_status oxt_i_track_take_doubt(oxt_i_track_doubt *made, const oxt_steel_values *steel,
                                  const oxt_target *target, const oxt_track_options *options,
                                  const oxt_bath *bath, double bath_K, oxt_error *error);
/* The chances and the limits of the lift, and their cautions, once the rest of the state is known. */
void oxt_i_track_fill_doubt(const oxt_track *tracker, oxt_track_state *made);

#endif
