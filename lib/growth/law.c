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

/* z e^z/(e^z - 1), which is 1 at 0, from e^z - 1. */
static double steepness(double z, double risen)
{
    return z < 1e-8 ? 1.0 + 0.5 * z : z > LARGE ? z : z * (1.0 + 1.0 / risen);
}

/* ln G, and d ln G/d ln x. */
static double ln_G_at(const oxt_i_law *law, double x, double ln_x, double *exponent)
{
    switch (law->kind) {
    case OXT_LAW_POWER:
        *exponent = law->shape;
        return law->shape * ln_x;
    case OXT_LAW_LINEAR_PARABOLIC:
        *exponent = (2.0 * x + law->shape) / (x + law->shape);
        return ln_x + log(x + law->shape);
    case OXT_LAW_LOGARITHMIC: {
        double z = x / law->shape, risen = expm1(fmin(z, LARGE));
        *exponent = steepness(z, risen);
        return z > LARGE ? log(law->shape) + z : log(law->shape * risen);
    }
    default:
        *exponent = 2.0;
        return 2.0 * ln_x;
    }
}

double oxt_i_law_ln_G(const oxt_i_law *law, double ln_x)
{
    double exponent;
    return ln_G_at(law, exp(ln_x), ln_x, &exponent);
}

double oxt_i_law_exponent(const oxt_i_law *law, double ln_x)
{
    double exponent;
    ln_G_at(law, exp(ln_x), ln_x, &exponent);
    return exponent;
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

double oxt_i_law_by_shape(const oxt_i_law *law, double ln_x)
{
    double x = exp(ln_x);
    switch (law->kind) {
    case OXT_LAW_POWER:
        return law->shape * ln_x;
    case OXT_LAW_LINEAR_PARABOLIC:
        return law->shape / (x + law->shape);
    case OXT_LAW_LOGARITHMIC:
        return 1.0 - oxt_i_law_exponent(law, ln_x);
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
    return law->kind == OXT_LAW_PARABOLIC ? 0.0 : 2.0 * ln_middle - oxt_i_law_ln_G(law, ln_middle);
}

/* ln of G as it is scaled, and back. */
static double ln_scaled(const oxt_growth *growth, double film_nm)
{
    const oxt_i_law law = law_of(growth);
    return oxt_i_law_ln_G(&law, log(film_nm)) + ln_scale(growth, &law);
}

static double film_of_scaled(const oxt_growth *growth, double scaled_nm2)
{
    const oxt_i_law law = law_of(growth);
    if (law.kind == OXT_LAW_PARABOLIC || scaled_nm2 == 0.0)
        return sqrt(scaled_nm2);
    return exp(oxt_i_law_ln_x(&law, log(scaled_nm2) - ln_scale(growth, &law)));
}

/* G of the film before, and what the growth beyond it is multiplied by so that the middle film keeps its time. */
typedef struct {
    double nm2, times;
} before;

static before before_of(const oxt_growth *growth)
{
    if (growth->initial_nm == 0.0)
        return (before){ 0.0, 1.0 };
    double nm2 = copysign(exp(ln_scaled(growth, fabs(growth->initial_nm))), growth->initial_nm);
    double middle_nm2 = growth->middle_nm * growth->middle_nm;
    return (before){ nm2, middle_nm2 / (middle_nm2 - nm2) };
}

oxt_i_scaled_law oxt_i_scale_law(const oxt_growth *growth)
{
    const oxt_i_law law = law_of(growth);
    const before there = before_of(growth);
    return (oxt_i_scaled_law){ law, ln_scale(growth, &law), there.nm2, log(there.times) };
}

double oxt_i_scaled_ln_exposure(const oxt_i_scaled_law *of, double film_nm, double *exponent)
{
    double ln_G = ln_G_at(&of->law, film_nm, log(film_nm), exponent) + of->ln_scale;
    if (of->initial_nm2 == 0.0)
        return ln_G;
    double share = of->initial_nm2 * exp(-ln_G);
    *exponent = share < 1.0 ? *exponent / (1.0 - share) : HUGE_VAL;
    return share < 1.0 ? ln_G + log1p(-share) + of->ln_times : -HUGE_VAL;
}

bool oxt_i_grows_plainly(const oxt_growth *growth)
{
    return growth->law == OXT_LAW_PARABOLIC && growth->initial_nm == 0.0;
}

double oxt_i_ln_exposure_of(const oxt_growth *growth, double film_nm)
{
    const oxt_i_scaled_law law = oxt_i_scale_law(growth);
    double exponent;
    return oxt_i_scaled_ln_exposure(&law, film_nm, &exponent);
}

double oxt_i_exponent_of(const oxt_growth *growth, double film_nm)
{
    const oxt_i_scaled_law law = oxt_i_scale_law(growth);
    double exponent;
    oxt_i_scaled_ln_exposure(&law, film_nm, &exponent);
    return exponent;
}

double oxt_i_exposure_of(const oxt_growth *growth, double film_nm)
{
    if (oxt_i_grows_plainly(growth) || film_nm == 0.0)
        return film_nm * film_nm;
    if (growth->initial_nm == 0.0)
        return exp(ln_scaled(growth, film_nm));
    const before there = before_of(growth);
    return there.times * fmax(exp(ln_scaled(growth, film_nm)) - there.nm2, 0.0);
}

double oxt_i_equal_nm(const oxt_growth *growth, double film_nm)
{
    return sqrt(oxt_i_exposure_of(growth, film_nm));
}

double oxt_i_film_of(const oxt_growth *growth, double exposure_nm2)
{
    if (growth->initial_nm == 0.0)
        return film_of_scaled(growth, exposure_nm2);
    const before there = before_of(growth);
    return film_of_scaled(growth, fmax(exposure_nm2 / there.times + there.nm2, 0.0));
}

/* d ln G/d ln shape as it is scaled. */
static double scaled_by_shape(const oxt_growth *growth, double film_nm)
{
    const oxt_i_law law = law_of(growth);
    return oxt_i_law_by_shape(&law, log(film_nm)) -
           oxt_i_law_by_shape(&law, log(growth->middle_nm));
}

double oxt_i_by_shape_of(const oxt_growth *growth, double film_nm)
{
    double by_shape = scaled_by_shape(growth, film_nm);
    if (growth->initial_nm == 0.0)
        return by_shape;
    double nm2 = before_of(growth).nm2, G_nm2 = exp(ln_scaled(growth, film_nm));
    double of_initial = nm2 * scaled_by_shape(growth, fabs(growth->initial_nm));
    return (G_nm2 * by_shape - of_initial) / (G_nm2 - nm2) +
           of_initial / (growth->middle_nm * growth->middle_nm - nm2);
}

double oxt_i_by_initial_of(const oxt_growth *growth, double film_nm)
{
    double nm2 = before_of(growth).nm2;
    return 1.0 / (growth->middle_nm * growth->middle_nm - nm2) -
           1.0 / (exp(ln_scaled(growth, film_nm)) - nm2);
}

void oxt_i_put_initial(oxt_growth *growth, double initial_nm2)
{
    growth->initial_nm = copysign(film_of_scaled(growth, fabs(initial_nm2)), initial_nm2);
}

double oxt_i_exposure_slope(const oxt_growth *growth, double film_nm)
{
    const oxt_i_law law = law_of(growth);
    return before_of(growth).times * oxt_i_law_exponent(&law, log(film_nm)) *
           exp(ln_scaled(growth, film_nm)) / film_nm;
}

double oxt_i_initial_stderr_nm(const oxt_growth *growth, double stderr_nm2)
{
    if (growth->initial_nm == 0.0 || stderr_nm2 == 0.0)
        return 0.0;
    return stderr_nm2 * before_of(growth).times / oxt_i_exposure_slope(growth, growth->initial_nm);
}
