/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws of growth, G(x) = E, in logarithms so that nothing overflows. */
#ifndef OXTINT_LIB_LAW_H
#define OXTINT_LIB_LAW_H

#include <stdbool.h>

#include "oxtint/growth.h"

/* A law with its shape: n, A in nm or L in nm. */
typedef struct {
    oxt_law kind;
    double shape;
} oxt_i_law;

/* ln G at ln x. */
double oxt_i_law_ln_G(const oxt_i_law *law, double ln_x);
/* ln x at ln G, the inverse. */
double oxt_i_law_ln_x(const oxt_i_law *law, double ln_G);
/* d ln G/d ln x: the local exponent of time. */
double oxt_i_law_exponent(const oxt_i_law *law, double ln_x);
/* d ln G/d ln shape at ln x. */
double oxt_i_law_by_shape(const oxt_i_law *law, double ln_x);
/* "parabolic", "power", ...: in the order of oxt_law. */
extern const char *const oxt_i_law_names[OXT_LAW_COUNT];
/* The letter of its shape, "" of the parabolic law, and what follows its number. */
extern const char *const oxt_i_law_letters[OXT_LAW_COUNT], *const oxt_i_law_units[OXT_LAW_COUNT];

/* ---- by growth constants, whose law is scaled at its middle film ---- */

/* Exposure that grows a film on bare steel, and back; both 0 at 0. */
double oxt_i_exposure_of(const oxt_growth *growth, double film_nm);
double oxt_i_film_of(const oxt_growth *growth, double exposure_nm2);
/* A law with what all films of some constants have in common, and of a film the logarithm of its exposure, which neither
 * overflows nor vanishes, and d ln exposure/d ln film. */
typedef struct {
    oxt_i_law law;
    double ln_scale, initial_nm2, ln_times;
} oxt_i_scaled_law;
oxt_i_scaled_law oxt_i_scale_law(const oxt_growth *growth);
double oxt_i_scaled_ln_exposure(const oxt_i_scaled_law *law, double film_nm, double *exponent);
/* The same for one film. */
double oxt_i_ln_exposure_of(const oxt_growth *growth, double film_nm);
/* The film of the parabolic law that takes as long as this one. */
double oxt_i_equal_nm(const oxt_growth *growth, double film_nm);
/* d ln exposure/d ln film: 2 of the parabolic law. */
double oxt_i_exponent_of(const oxt_growth *growth, double film_nm);
/* d ln exposure/d ln shape of a film: 0 at the middle one. */
double oxt_i_by_shape_of(const oxt_growth *growth, double film_nm);
/* d ln exposure of a film by G of the film before, 1/nm^2: 0 at the middle one. */
double oxt_i_by_initial_of(const oxt_growth *growth, double film_nm);
/* The film before from its G; less than nothing is for slopes, and no film. */
void oxt_i_put_initial(oxt_growth *growth, double initial_nm2);
/* d exposure/d film, nm. */
double oxt_i_exposure_slope(const oxt_growth *growth, double film_nm);
/* The standard error of the film before in nm, from that of its G. */
double oxt_i_initial_stderr_nm(const oxt_growth *growth, double stderr_nm2);
/* x = sqrt(E)? */
bool oxt_i_grows_plainly(const oxt_growth *growth);

#endif
