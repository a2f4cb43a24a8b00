/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws of growth, G(x) = E. */
#include "growth/law.h"

#include <math.h>

const char *const oxt_i_law_names[OXT_LAW_COUNT] = { "parabolic", "power", "linear-parabolic",
                                                     "logarithmic" };
const char *const oxt_i_law_letters[OXT_LAW_COUNT] = { "", "n", "A", "L" };
const char *const oxt_i_law_units[OXT_LAW_COUNT] = { "", "", " nm", " nm" };

/* Above this exp(z) - 1 is exp(z) within rounding. */
static const double LARGE = 37.0;

/* z e^z/(e^z - 1), which is 1 at 0. */
static double steepness(double z)
{
    return z < 1e-8 ? 1.0 + 0.5 * z : z / -expm1(-z);
}

double oxt_i_law_ln_G(const oxt_i_law *law, double ln_x)
{
    switch (law->kind) {
    case OXT_LAW_POWER:
        return law->shape * ln_x;
    case OXT_LAW_LINEAR_PARABOLIC:
        return ln_x + log(exp(ln_x) + law->shape);
    case OXT_LAW_LOGARITHMIC: {
        double z = exp(ln_x) / law->shape;
        return log(law->shape) + (z > LARGE ? z : log(expm1(z)));
    }
    default:
        return 2.0 * ln_x;
    }
}

double oxt_i_law_ln_x(const oxt_i_law *law, double ln_G)
{
    switch (law->kind) {
    case OXT_LAW_POWER:
        return ln_G / law->shape;
    case OXT_LAW_LINEAR_PARABOLIC: {
        double half = 0.5 * law->shape * exp(-0.5 * ln_G); /* of A, in square roots of G */
        return 0.5 * ln_G - log(half + hypot(half, 1.0));
    }
    case OXT_LAW_LOGARITHMIC: {
        double ln_ratio = ln_G - log(law->shape);
        return log(law->shape) + log(ln_ratio > LARGE ? ln_ratio : log1p(exp(ln_ratio)));
    }
    default:
        return 0.5 * ln_G;
    }
}

double oxt_i_law_exponent(const oxt_i_law *law, double ln_x)
{
    double x = exp(ln_x);
    switch (law->kind) {
    case OXT_LAW_POWER:
        return law->shape;
    case OXT_LAW_LINEAR_PARABOLIC:
        return (2.0 * x + law->shape) / (x + law->shape);
    case OXT_LAW_LOGARITHMIC:
        return steepness(x / law->shape);
    default:
        return 2.0;
    }
}

double oxt_i_law_by_shape(const oxt_i_law *law, double ln_x)
{
    double x = exp(ln_x);
    switch (law->kind) {
    case OXT_LAW_POWER:
        return law->shape * ln_x;
    case OXT_LAW_LINEAR_PARABOLIC:
        return law->shape / (x + law->shape);
    case OXT_LAW_LOGARITHMIC:
        return 1.0 - steepness(x / law->shape);
    default:
        return 0.0;
    }
}

/* ---- by growth constants ---- */

static oxt_i_law law_of(const oxt_growth *growth)
{
    return (oxt_i_law){ growth->law, growth->shape };
}

/* ln of what G is multiplied by. */
static double ln_scale(const oxt_growth *growth, const oxt_i_law *law)
{
    double ln_middle = log(growth->middle_nm);
    return 2.0 * ln_middle - oxt_i_law_ln_G(law, ln_middle);
}

double oxt_i_ln_exposure_of(const oxt_growth *growth, double film_nm)
{
    const oxt_i_law law = law_of(growth);
    double ln_G = oxt_i_law_ln_G(&law, log(film_nm));
    return law.kind == OXT_LAW_PARABOLIC ? ln_G : ln_G + ln_scale(growth, &law);
}

double oxt_i_exposure_of(const oxt_growth *growth, double film_nm)
{
    if (growth->law == OXT_LAW_PARABOLIC || film_nm == 0.0)
        return film_nm * film_nm;
    return exp(oxt_i_ln_exposure_of(growth, film_nm));
}

double oxt_i_equal_nm(const oxt_growth *growth, double film_nm)
{
    return sqrt(oxt_i_exposure_of(growth, film_nm));
}

double oxt_i_film_of(const oxt_growth *growth, double exposure_nm2)
{
    const oxt_i_law law = law_of(growth);
    if (law.kind == OXT_LAW_PARABOLIC || exposure_nm2 == 0.0)
        return sqrt(exposure_nm2);
    return exp(oxt_i_law_ln_x(&law, log(exposure_nm2) - ln_scale(growth, &law)));
}

double oxt_i_exponent_of(const oxt_growth *growth, double film_nm)
{
    const oxt_i_law law = law_of(growth);
    return oxt_i_law_exponent(&law, log(film_nm));
}

double oxt_i_by_shape_of(const oxt_growth *growth, double film_nm)
{
    const oxt_i_law law = law_of(growth);
    return oxt_i_law_by_shape(&law, log(film_nm)) -
           oxt_i_law_by_shape(&law, log(growth->middle_nm));
}
