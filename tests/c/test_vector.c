/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The exponential and the cube root that vector loops share, and normal deviates by many. Outside values: exp and cbrt of the C library, which
 * are within 1 ulp. */
#include <gsl/gsl_randist.h>
#include <stdlib.h>

#include "optics.h"
#include "support.h"
#include "base/random.h"
#include "base/vector.h"

static double ulps_apart(double a, double b)
{
    return fabs(a - b) / (nextafter(fabs(b), INFINITY) - fabs(b));
}

Test(vector, exponential_is_that_of_the_c_library)
{
    double worst = 0.0;
    for (int i = 0; i < 1000000; i++) {
        double x = -708.0 + 1417.0 * chance();
        worst = fmax(worst, ulps_apart(oxt_i_exp(x), exp(x)));
    }
    for (int i = -100000; i <= 100000; i++)
        worst = fmax(worst, ulps_apart(oxt_i_exp(1e-6 * i), exp(1e-6 * i)));
    cr_assert_leq(worst, 2.0);
}

/* Results below the smallest normal number, too large, and no number at all. */
Test(vector, exponential_at_the_ends)
{
    for (double x = -746.0; x < -707.0; x += 0.01)
        NEAR(oxt_i_exp(x), exp(x), 5e-324 + 2.3e-16 * exp(x));
    cr_assert_eq(oxt_i_exp(0.0), 1.0);
    cr_assert_eq(oxt_i_exp(-0.0), 1.0);
    cr_assert(isfinite(oxt_i_exp(709.78)) && isinf(oxt_i_exp(709.79)));
    cr_assert(isinf(oxt_i_exp(1e300)) && isinf(oxt_i_exp(INFINITY)));
    cr_assert(oxt_i_exp(-746.0) == 0.0 && oxt_i_exp(-1e300) == 0.0 && oxt_i_exp(-INFINITY) == 0.0);
    cr_assert(isnan(oxt_i_exp(NAN)));
}

/* Lab of whole rows against oxt_lab_from_xyz, whose cube roots are those of the C library: on both sides of the
 * straight line near black, up to a hundred times the white. */
Test(vector, lab_of_rows_is_that_of_one_colour)
{
    enum { COUNT = 50021 };
    static double x[COUNT], y[COUNT], z[COUNT], lightness[COUNT], a[COUNT], b[COUNT];
    static const double white[3] = { 95.047, 100.0, 108.883 };
    for (int i = 0; i < COUNT; i++) {
        x[i] = i == 0 ? 0.0 : pow(10.0, -6.0 + 10.0 * chance());
        y[i] = i == 0 ? 0.0 : pow(10.0, -6.0 + 10.0 * chance());
        z[i] = i == 0 ? 0.0 : pow(10.0, -6.0 + 10.0 * chance());
    }
    oxt_i_labs(COUNT, white, x, y, z, lightness, a, b);
    for (int i = 0; i < COUNT; i++) {
        oxt_error error = OXT_ERROR_INIT;
        double expected[3];
        OK(oxt_lab_from_xyz((double[3]){ x[i], y[i], z[i] }, white, expected, &error));
        double size = fmax(fabs(expected[1]), fmax(fabs(expected[2]), 100.0));
        NEAR(lightness[i], expected[0], 1e-15 * fmax(fabs(expected[0]), 100.0));
        NEAR(a[i], expected[1], 5e-15 * size);
        NEAR(b[i], expected[2], 5e-15 * size);
    }
}

/* A bath is any temperature above 0 K: near it nothing grows, in an array as one by one. */
Test(vector, films_next_to_absolute_zero)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    const double baths_K[] = { 1e-3, 0.5, 0.0, -1.0, 600.0 };
    double films_nm[5], seconds[5] = { 1.0, 1.0, 1.0, 1.0, 1.0 }, one;
    size_t bad = 0;
    FAILS(oxt_thickness_n(&growth, 5, baths_K, sizeof *baths_K, seconds, 0, films_nm, &bad, &error),
          OXT_EDOMAIN);
    cr_assert_eq(bad, 2);
    cr_assert(films_nm[0] == 0.0 && films_nm[1] == 0.0 && isnan(films_nm[2]) && isnan(films_nm[3]));
    OK(oxt_rate(&growth, 0.5, &one, &error));
    cr_assert_eq(one, 0.0);
    const oxt_i_arrhenius by = { 55.0, 80e3 / OXT_GAS_CONSTANT_J_PER_MOL_K, 1.0 / 588.7 };
    cr_assert_eq(oxt_i_thicknesses(by, 5, baths_K, seconds, films_nm), 2); /* the quick way alone */
}

/* Outside fact: the C library's log, itself within 1 ulp. An array has the bits of its numbers one by one. */
Test(vector, logarithms)
{
    double numbers[2000], worst = 0.0;
    size_t count = 0;
    for (double x = 1e-300; x < 1e300; x *= 4.1) {
        worst = fmax(worst, ulps_apart(oxt_i_ln(x), log(x)));
        numbers[count++] = x;
    }
    for (int i = 1; i < 400; i++) {
        double near = 1.0 + 0.002 * (i - 200) + 1e-9 * i;
        worst = fmax(worst, ulps_apart(oxt_i_ln(near), log(near)));
        numbers[count++] = near;
    }
    cr_assert(worst <= 2.0, "%g ulp", worst);
    cr_assert_eq(oxt_i_ln(1.0), 0.0);
    double one_by_one[2000];
    for (size_t i = 0; i < count; i++)
        one_by_one[i] = oxt_i_ln(numbers[i]);
    oxt_i_lns(count, numbers);
    for (size_t i = 0; i < count; i++)
        cr_assert(numbers[i] == one_by_one[i]);
}

/* Outside fact: the generator and the normal deviates of GSL, in runs of any length between its own deviates of
 * other kinds, from the first word on and over many turns of the state. */
Test(vector, normal_deviates_are_those_of_gsl)
{
    static const unsigned long seeds[] = { 0, 1, 4294967295u };
    gsl_rng *own = oxt_i_random_new(), *gsls = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t seed = 0; seed < 3; seed++) {
        gsl_rng_set(own, seeds[seed]);
        gsl_rng_set(gsls, seeds[seed]);
        for (size_t run = 0; run < 300; run++) {
            double heights[40], squares[40];
            size_t n = run * run % 40;
            oxt_i_random_discs(own, n, heights, squares);
            oxt_i_finish_normals(n, heights, squares);
            for (size_t i = 0; i < n; i++)
                CLOSE(heights[i], gsl_ran_ugaussian(gsls), 2e-15);
            cr_assert_eq(gsl_ran_chisq(own, 3.5), gsl_ran_chisq(gsls, 3.5));
            cr_assert_eq(gsl_rng_get(own), gsl_rng_get(gsls));
        }
    }
    gsl_rng_free(gsls);
    free(own);
}
