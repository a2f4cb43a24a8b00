/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Roots, minima and paths whose answers are known from algebra, and what has none. */
#include "base/solve.h"
#include "support.h"

#include <gsl/gsl_cdf.h>

static double cosine_less_x(double x, void *unused)
{
    (void)unused;
    return cos(x) - x;
}

/* Rises through 0 at 2, where it is so flat that Newton's steps are short, and steep elsewhere. */
static double cube(double x, double *slope, void *context)
{
    const double *scale = context;
    *slope = *scale * 3.0 * (x - 2.0) * (x - 2.0);
    return (x - 2.0) * (x - 2.0) * (x - 2.0);
}

static double never(double x, void *unused)
{
    (void)x;
    (void)unused;
    return NAN;
}

static double never_rising(double x, double *slope, void *unused)
{
    (void)unused;
    *slope = 1.0;
    return x > 0.6 && x < 0.9 ? NAN : x - 0.7;
}

/* Outside fact: the root of cos x = x, 0.739085133215160641655 (OEIS A003957). */
Test(solve, the_root_of_a_known_equation)
{
    oxt_error error = OXT_ERROR_INIT;
    double root;
    OK(oxt_i_find_root(cosine_less_x, NULL, 0.0, 1.0, 1e-14, &root, &error));
    NEAR(root, 0.739085133215160641655, 1e-14);
    OK(oxt_i_find_root(cosine_less_x, NULL, -50.0, 50.0, 1e-14, &root, &error));
    NEAR(root, 0.739085133215160641655, 1e-14);
}

/* Contract: no sign changes, an interval the wrong way round, values that are none: there is no root, and it is said
 * between what. */
Test(solve, what_has_no_root)
{
    oxt_error error = OXT_ERROR_INIT;
    double root = -7.0;
    FAILS(oxt_i_find_root(cosine_less_x, NULL, 1.0, 2.0, 1e-9, &root, &error), OXT_ENOCONV);
    SAYS("no root was found between 1 and 2");
    FAILS(oxt_i_find_root(cosine_less_x, NULL, 1.0, 0.0, 1e-9, &root, &error), OXT_ENOCONV);
    FAILS(oxt_i_find_root(never, NULL, 0.0, 1.0, 1e-9, &root, &error), OXT_ENOCONV);
    FAILS(oxt_i_find_rise(never_rising, NULL, 0.0, 1.0, 0.1, 1e-9, &root, &error), OXT_ENOCONV);
    FAILS(oxt_i_find_minimum(never, NULL, 0.0, 1.0, 1e-6, &root, &error), OXT_ENOCONV);
    SAYS("no minimum was found between 0 and 1");
    cr_assert_eq(root, -7.0);
}

/* A guess that lies outside is none; slopes that are far too small or too large lead there too, by halves. */
Test(solve, a_rise_from_any_guess_and_rough_slopes)
{
    static const double guesses[] = { 1.5, 0.0, -4.0, 9.0, NAN }, scales[] = { 1.0, 1e-6, 30.0 };
    for (size_t i = 0; i < sizeof guesses / sizeof *guesses; i++)
        for (size_t j = 0; j < sizeof scales / sizeof *scales; j++) {
            oxt_error error = OXT_ERROR_INIT;
            double scale = scales[j], root;
            OK(oxt_i_find_rise(cube, &scale, 0.0, 7.0, guesses[i], 1e-12, &root, &error));
            NEAR(root, 2.0, 1e-4); /* next to the root the cube is rounding */
        }
}

/* Of a function that bends much: to within the tolerance from far away on either side, though secants there are far too
 * steep or too flat; by slopes that are always twice or half of what they are too. */
typedef struct {
    double factor, last_x, last_at; /* factor 0: the slope since the last look */
} bending;

static double bent(double x, double *slope, void *context)
{
    bending *of = context;
    double at = expm1(2.0 * (x - 3.0));
    *slope = of->factor > 0.0 ? of->factor * 2.0 * (at + 1.0)
                              : (at - of->last_at) / (x - of->last_x);
    if (!(*slope > 0.0))
        *slope = 2.0 * (at + 1.0);
    of->last_x = x;
    of->last_at = at;
    return at;
}

Test(solve, a_rise_that_bends)
{
    static const double factors[] = { 0.0, 1.0, 0.5, 2.0, 30.0 };
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++)
        for (double guess = 0.1; guess < 12.0; guess += 0.0917)
            for (double tolerance = 1e-3; tolerance > 1e-13; tolerance *= 0.03) {
                oxt_error error = OXT_ERROR_INIT;
                bending of = { factors[i], NAN, NAN };
                double root;
                OK(oxt_i_find_rise(bent, &of, 0.0, 12.0, guess, tolerance, &root, &error));
                NEAR(root, 3.0, (factors[i] > 2.0 ? 30.0 : 3.0) * tolerance + 1e-14);
            }
}

static double parabola(double x, void *context)
{
    const double *end = context;
    return x > *end ? NAN : (x - 0.3) * (x - 0.3);
}

Test(solve, a_minimum_within_and_at_the_end)
{
    oxt_error error = OXT_ERROR_INIT;
    double end = HUGE_VAL, place;
    OK(oxt_i_find_minimum(parabola, &end, 0.0, 1.0, 1e-7, &place, &error));
    NEAR(place, 0.3, 1e-6);
    OK(oxt_i_find_minimum(parabola, &end, 0.5, 1.0, 1e-7, &place, &error));
    NEAR(place, 0.5, 1e-6);
    end = 0.9; /* a value that is none, at one end */
    FAILS(oxt_i_find_minimum(parabola, &end, 0.0, 1.0, 1e-7, &place, &error), OXT_ENOCONV);
}

/* y1' = y2, y2' = -y1: sine and cosine. Beyond the end that the context gives there are no slopes. */
static bool circle(double x, const double *y, double *slope, void *context)
{
    const double *end = context;
    slope[0] = y[1];
    slope[1] = -y[0];
    return x <= *end;
}

/* y' = y^2 from 1 has no value at 1. */
static bool explosion(double x, const double *y, double *slope, void *unused)
{
    (void)x;
    (void)unused;
    slope[0] = y[0] * y[0];
    return isfinite(slope[0]);
}

Test(solve, paths_that_end_and_paths_that_do_not)
{
    oxt_error error = OXT_ERROR_INIT;
    double end = HUGE_VAL, y[2] = { 0.0, 1.0 };
    const double there = 10.0;
    oxt_i_path path = { circle, &end, 2, 0.0, there, 0.1, 1e-12 };
    OK(oxt_i_follow(&path, y, &error));
    NEAR(y[0], sin(there), 1e-9);
    NEAR(y[1], cos(there), 1e-9);
    end = 5.0;
    path = (oxt_i_path){ circle, &end, 2, 0.0, there, 0.1, 1e-12 };
    FAILS(oxt_i_follow(&path, y, &error), OXT_ENOCONV);
    double one = 1.0;
    path = (oxt_i_path){ explosion, NULL, 1, 0.0, 2.0, 0.1, 1e-10 };
    FAILS(oxt_i_follow(&path, &one, &error), OXT_ENOCONV);
}

/* Outside fact: GSL's chance beyond, at the quantile that was found; near 1e15 degrees of freedom GSL's own inverse calls
 * its error handler. Tables give 12.706 for 1 degree and 1.960 for very many (from memory). */
Test(solve, quantiles_of_students_t_for_any_degrees_of_freedom)
{
    for (double any = 1.0; any < 1e17; any *= 1.07)
        for (double confidence = 0.5; confidence < 0.99995;
             confidence += 0.07 * (1.0 - confidence)) {
            double known = 0.5 - 0.5 * confidence, dof[] = { any, floor(any) };
            for (size_t i = 0; i < 2; i++) {
                double t = oxt_i_t_quantile(confidence, dof[i]);
                NEAR(gsl_cdf_tdist_Q(t, dof[i]), known, 5e-15);
                NEAR(oxt_i_t_chance(exp(-0.01 * t), exp(0.003 * t), 0.01, dof[i]),
                     1.0 - gsl_cdf_tdist_Q(0.3 * t, dof[i]) - known, 2e-14);
                NEAR(oxt_i_t_chance(exp(0.003 * t), exp(0.01 * t), 0.01, dof[i]),
                     gsl_cdf_tdist_Q(0.3 * t, dof[i]) - known, 2e-14);
            }
        }
    NEAR(oxt_i_t_quantile(0.95, 1.0), 12.706, 1e-3);
    NEAR(oxt_i_t_quantile(0.95, 9026974167973196.0), 1.95996, 1e-5);
}

/* GSL's quantile at 0.98 on one side, which is 0.96 on both. */
Test(solve, a_law_is_bent_where_its_exponent_is_too_far_from_a_half)
{
    for (double dof = 1.0; dof < 1e6; dof *= 1.3) {
        double t = gsl_cdf_tdist_Pinv(0.98, dof);
        cr_assert(oxt_i_law_is_bent(0.5 - 0.0101 * t, 0.01, dof));
        cr_assert_not(oxt_i_law_is_bent(0.5 + 0.0099 * t, 0.01, dof));
    }
    cr_assert_not(oxt_i_law_is_bent(0.4, 0.0, 9.0));
}

/* JCGM 100:2008, G.4, of parts that are wrong together: (v1 + v2)^2/(v1/sqrt(n1) + v2/sqrt(n2))^2, of variances however
 * small (their squares are 0). */
Test(solve, degrees_of_freedom_of_a_sum)
{
    for (double v = 1.0; v > 1e-300; v *= 1e-20)
        NEAR(oxt_i_combined_dof(2.0 * v, 4.0, v, 9.0, 0.0),
             9.0 / ((1.0 + 1.0 / 3.0) * (1.0 + 1.0 / 3.0)), 1e-9);
    NEAR(oxt_i_combined_dof(0.0, 4.0, 0.0, 9.0, 1.0), 4.0, 0.0);
    NEAR(oxt_i_combined_dof(1.0, 1e-300, 1.0, 9.0, 0.0), 1.0, 0.0); /* never less */
}

/* GSL's error handler must not be reached by what is known to no degree at all. */
Test(solve, a_chance_without_end_is_none)
{
    NEAR(oxt_i_t_chance(0.5, HUGE_VAL, HUGE_VAL, 3.0), 0.0, 0.0);
    NEAR(oxt_i_t_chance(0.5, 2.0, NAN, 3.0), 0.0, 0.0);
    NEAR(oxt_i_t_chance(exp(-12.706), exp(12.706), 1.0, 1.0), 0.95,
         1e-4); /* tables of t, from memory */
}
