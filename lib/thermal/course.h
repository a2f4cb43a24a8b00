/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The temperature of a part step by step, where it is no series: properties that follow temperature, a heat
 * transfer that follows the difference, salt that freezes on it and melts again, a bath that sags. */
#ifndef OXTINT_LIB_COURSE_H
#define OXTINT_LIB_COURSE_H

#include "oxtint/heat.h"
#include "base/internal.h"

#define OXT_I_COURSE_MODES 8
#define OXT_I_COURSE_STEPS 200
#define OXT_I_COURSE_NODES (2 * OXT_I_COURSE_STEPS + 1)

/* A part as the modes of one whose surface lets no heat through: their rates do not depend on what is outside.
 * Its surface is at the mean, plus the modes, plus what faster modes add at once. */
typedef struct {
    oxt_shape shape;
    double half_m, volume_per_area_m;
    double density;
    double heat, conductivity; /* 0: carbon steel by temperature */
    size_t count;              /* modes; 0: one temperature throughout */
    const double *square;      /* of their roots */
    double share;              /* of each mode in the heat that comes in */
    double rest;               /* what the faster modes add: share over square */
} oxt_i_body;

void oxt_i_body_of(oxt_i_body *made, const oxt_part *part);
/* OXT_I_COURSE_MODES squares of the roots of a plate, a cylinder or a sphere. */
const double *oxt_i_body_squares(oxt_shape shape);
double oxt_i_body_heat(const oxt_i_body *body, double T_K);
double oxt_i_body_conductivity(const oxt_i_body *body, double T_K);
/* J/m^3 that it holds at a temperature beyond 0 C. */
double oxt_i_body_content(const oxt_i_body *body, double T_K);

/* What is outside. */
typedef struct {
    double transfer, exponent, gap_K; /* W/(m^2 K), h = transfer (dT/gap)^exponent */
    double melting_K;                 /* of salt that freezes; 0: none does */
    double latent_J_per_m3, crust_W_per_mK;
    double set_K; /* the bath before, where its heater holds it */
    double
        bath_J_per_m2K; /* capacity of the bath for each square metre of the load; 0: without limits */
    double heater_W_per_m2; /* its spare power, likewise */
} oxt_i_outside;

typedef enum { OXT_I_CRUST, OXT_I_BARE } oxt_i_stage;

/* The state of a part at a time. */
typedef struct {
    oxt_i_stage stage;
    bool held;               /* the bath, by its heater */
    double since_s, first_s; /* when the stage began, and its first step */
    double time_s, bath_K;
    double first_J_per_m3, content_J_per_m3, mean_K, surface_K, flux;
    double given_J_per_m2; /* by the bath while salt is frozen */
    double mode_K[OXT_I_COURSE_MODES];
    double middle_K, middle_flux; /* of the surface, half way through the last step */
} oxt_i_body_state;

void oxt_i_body_start(oxt_i_body_state *state, const oxt_i_body *body, const oxt_i_outside *outside,
                      double start_K);
/* The next step, at most so long; the bath beyond its own balance changes by so many K per second. How long it was. */
double oxt_i_body_step(oxt_i_body_state *state, const oxt_i_body *body,
                       const oxt_i_outside *outside, double most_s, double ramp_K_per_s);

/* The surface at nodes in time, two for each step. */
typedef struct {
    size_t count;
    size_t broken; /* node at which the crust has melted; 0: none stood */
    double time_s[OXT_I_COURSE_NODES], surface_K[OXT_I_COURSE_NODES], mean_K[OXT_I_COURSE_NODES];
    double crust_m;            /* at its thickest */
    double lowest_K, lowest_s; /* of the bath */
    double back_s;             /* when it is back; HUGE_VAL: never */
} oxt_i_course;

oxt_status oxt_i_course_run(oxt_i_course *made, const oxt_i_body *body,
                            const oxt_i_outside *outside, double start_K, oxt_error *error);
/* The last node at or before a time. */
size_t oxt_i_course_node(const oxt_i_course *course, double time_s);
double oxt_i_course_surface_K(const oxt_i_course *course, double time_s);
double oxt_i_course_mean_K(const oxt_i_course *course, double time_s);

#endif
