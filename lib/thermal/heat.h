/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heating of a part, for its tests, the dip and the tracker. */
#ifndef OXTINT_LIB_HEAT_H
#define OXTINT_LIB_HEAT_H

#include "oxtint/bath.h"
#include "base/internal.h"
#include "base/vector.h"
#include "thermal/course.h"

#define OXT_I_HEAT_TERMS 60

/* A part in a bath, made ready: everything that the temperature of its surface needs. A part of any shape
 * is lumped, a series of one term. */
typedef struct {
    double bath_K, start_K;
    double biot, tau_s; /* of the lumped part, whether it is taken or not */
    bool at_once;       /* no heating-up at all */
    bool lumped;
    size_t count;                        /* terms; 0 when at_once */
    double weight[OXT_I_HEAT_TERMS];     /* share of the first gap */
    double rate_per_s[OXT_I_HEAT_TERMS]; /* of its decay, the slowest first */
    double square[OXT_I_HEAT_TERMS];     /* of the root of a series, which is rate times unit */
    double unit_s;
    double root_biot; /* of the half thickness or radius, which the roots go by */
    oxt_shape shape;
    double heat, conductivity, transfer;
    double capacity_J_per_m2K; /* of the part, for each square metre of its surface */
    bool coupled;              /* no series: its temperatures are those of the course */
    oxt_i_body body;
    oxt_i_outside outside;
    oxt_i_course course;
} oxt_i_heating;

/* A bath that was checked, for its salt, and the mass that goes in together. */
typedef struct {
    const oxt_bath *bath;
    double load_kg;
} oxt_i_surroundings;

/* Check a part; `known` gets it with the defaults of what the caller does not know. */
oxt_status oxt_i_part_in(oxt_part *known, const oxt_part *given, double bath_K, oxt_error *error);
/* A part that was checked, and a stirred or still bath without salt that freezes or sags. */
void oxt_i_body_in(oxt_i_body *body, oxt_i_outside *outside, const oxt_part *known, double bath_K);
double oxt_i_volume_per_area_m(const oxt_part *part);
oxt_status oxt_i_heating_prepare(oxt_i_heating *made, const oxt_part *part, double bath_K,
                                 oxt_error *error);
/* The same in a bath whose salt freezes on a cold part, or which sags under a load. */
oxt_status oxt_i_heating_prepare_in(oxt_i_heating *made, const oxt_part *part, double bath_K,
                                    const oxt_i_surroundings *around, oxt_error *error);

#define OXT_I_PROFILE_MODES 5

/* The profile of a part that is lifted: its mean, and by how much its surface differs from it, in modes that die away
 * while the surface lets little heat through. */
typedef struct {
    double mean_K;
    double gap_K[OXT_I_PROFILE_MODES], rate_per_s[OXT_I_PROFILE_MODES];
} oxt_i_profile;

void oxt_i_heating_profile(const oxt_i_heating *part, double time_s, oxt_i_profile *made);
/* That of a part which is followed step by step and is not of one temperature. */
void oxt_i_body_profile(const oxt_i_body *body, const oxt_i_body_state *state, oxt_i_profile *made);
void oxt_i_heating_inner_rates(const oxt_i_heating *part, double rate_per_s[OXT_I_PROFILE_MODES]);
/* For each K of the gap of a term of a series: what it is of the mean, and of the modes of a profile. */
void oxt_i_heating_inner(const oxt_i_heating *part, size_t term, double *mean,
                         double inner[OXT_I_PROFILE_MODES]);
/* How far the surface is above the mean, so long after the lift. */
double oxt_i_profile_above_K(const oxt_i_profile *profile, double time_s);
/* Until frozen salt has melted; 0: none froze. */
double oxt_i_heating_crust_s(const oxt_i_heating *part);
/* Let the bath of a part that was checked differ by little: to the first order. */
void oxt_i_heating_move(oxt_i_heating *made, const oxt_part *known, double bath_K);
double oxt_i_heating_surface_K(const oxt_i_heating *part, double time_s);
/* That of a series at n rising times above 0, a multiple of 8. */
void oxt_i_heating_surfaces_K(const oxt_i_heating *part, size_t n, const double *time_s,
                              double *surface_K);

/* What a part loses to heating up, as a function of time. */
typedef struct {
    double activation_K, at_bath, all; /* of a lumped part */
    double until_s;                    /* of a series: nothing more is lost after it */
    double sum[OXT_I_CHEBYSHEV];
    double after[OXT_I_COURSE_STEPS + 1]; /* of a course: what is lost by the end of each step */
} oxt_i_lag;

void oxt_i_lag_prepare(oxt_i_lag *lag, const oxt_growth *growth, const oxt_i_heating *part);
/* How much of a time in the bath is lost: exposure = k(bath) (time - lag). */
double oxt_i_lag_at(const oxt_i_lag *lag, const oxt_i_heating *part, double time_s);
/* The time after which nothing more is lost. */
double oxt_i_heating_settled_s(const oxt_i_heating *part);

/* The n-th root (from 1) of the characteristic equation of a shape at a Biot number of its half
 * thickness or radius. */
oxt_status oxt_i_heat_root(oxt_shape shape, double biot, size_t n, double *root, oxt_error *error);

/* The words for oxt_shape, in its order. */
extern const char *const oxt_i_shape_names[OXT_SHAPE_ANY + 1];
/* "2 mm plate", and "2 mm plate, 4 s to the quench" (heat_text.c). */
void oxt_i_part_text(const oxt_part *part, char *buffer, size_t capacity);
void oxt_i_path_text(const oxt_part *part, const oxt_lift *lift, char *buffer, size_t capacity);

/* Check a lift; NULL is a quench at once. */
oxt_status oxt_i_lift_in(oxt_lift *known, const oxt_lift *given, oxt_error *error);
/* K/s by which a part changes in air at T. */
double oxt_i_lift_slope(double capacity_J_per_m2K, const oxt_lift *lift, double T);
/* oxt_heat_lift_exposure for what was checked before, from the profile of a part, whose surface comes to its mean. */
oxt_status oxt_i_lift_exposure(const oxt_growth *growth, double capacity_J_per_m2K,
                               const oxt_lift *lift, const oxt_i_profile *from,
                               double *exposure_nm2, double *quench_K, oxt_error *error);
/* The same in seconds at the mean of the profile, by Q/R of constants that were checked. */
double oxt_i_lift_hot_s(double exponent_K, double capacity_J_per_m2K, const oxt_lift *lift,
                        const oxt_i_profile *from, double *quench_K);
/* What a surface grows more than the mean of its part, in so long a way to the quench: in seconds at the mean. */
double oxt_i_profile_more_s(const oxt_i_profile *from, double exponent_K, double slope_K_per_s,
                            double delay_s);

#endif
