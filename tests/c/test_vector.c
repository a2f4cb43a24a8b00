/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What vector loops share, and normal deviates by many. Outside values: exp, expm1, log, erfc and cbrt of the C library,
 * which are within 1 ulp, and normal chances of GSL. */
#include <gsl/gsl_cdf.h>
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

/* Four of them that are seeded side by side, with few numbers made ready or all of them. */
Test(vector, streams_are_those_of_gsl)
{
    static const uint32_t seeds[OXT_I_STREAMS] = { 0, 1, 77, UINT32_MAX };
    gsl_rng *own[OXT_I_STREAMS], *gsls = gsl_rng_alloc(gsl_rng_mt19937);
    for (size_t j = 0; j < OXT_I_STREAMS; j++)
        own[j] = oxt_i_random_new();
    for (size_t first = 0; first < 1000; first = 3 * first + 1) {
        oxt_i_random_seed(own, seeds, first);
        for (size_t j = 0; j < OXT_I_STREAMS; j++) {
            gsl_rng_set(gsls, seeds[j]);
            for (size_t i = 0; i < 2000; i++)
                cr_assert_eq(gsl_rng_get(own[j]), gsl_rng_get(gsls));
        }
    }
    for (size_t j = 0; j < OXT_I_STREAMS; j++)
        free(own[j]);
    gsl_rng_free(gsls);
}

Test(vector, exponential_less_1)
{
    double worst = 0.0;
    for (int i = 0; i < 200000; i++) {
        double x = (i % 2 ? 60.0 : 1.5) * (chance() - 0.6), small = 1e-9 * x;
        worst = fmax(worst, ulps_apart(oxt_i_expm1(x), expm1(x)));
        worst = fmax(worst, ulps_apart(oxt_i_expm1(small), expm1(small)));
    }
    cr_assert(worst <= 3.0, "%g ulp", worst);
    cr_assert(oxt_i_expm1(0.0) == 0.0 && oxt_i_expm1(-1e300) == -1.0);
    for (double x = -3.0; x < 3.0; x += 0.01)
        CLOSE(oxt_i_exp_near_0(x), exp(x), 5e-16);
}

/* Chances and densities of a band against GSL's, in the middle and in either tail; and far out, where none is left that a
 * double holds, against Laplace's continued fraction for Mills' ratio (M. Abramowitz and I. A. Stegun, Handbook of Mathematical
 * Functions, 26.2.14, from memory). */
Test(vector, bands_are_those_of_gsl)
{
    for (double low = -9.0; low < 9.0; low += 0.137)
        for (double width = 0.03; width < 8.0; width *= 1.7) {
            double high = low + width;
            double chance = low > 0.0 ? gsl_cdf_ugaussian_Q(low) - gsl_cdf_ugaussian_Q(high)
                                      : gsl_cdf_ugaussian_P(high) - gsl_cdf_ugaussian_P(low);
            oxt_i_normal_band made = oxt_i_normal_between(low, high);
            NEAR(made.log_chance, log(chance), 1e-12);
            CLOSE(made.at_low, gsl_ran_ugaussian_pdf(low) / chance, 1e-12);
            CLOSE(made.at_high, gsl_ran_ugaussian_pdf(high) / chance, 1e-12);
        }
    for (double low = 10.0; low < 1e4; low *= 3.0) {
        double below = low;
        for (int k = 40; k > 0; k--)
            below = low + k / below;
        oxt_i_normal_band up = oxt_i_normal_between(low, low + 9.0);
        oxt_i_normal_band down = oxt_i_normal_between(-low - 9.0, -low);
        CLOSE(up.at_low, below, 1e-13);
        CLOSE(up.log_chance, -0.5 * low * low - 0.9189385332046727 - log(below), 1e-14);
        cr_assert(down.log_chance == up.log_chance && down.at_high == up.at_low);
    }
}

/* Mean and variance of a normal deviate within a band, by Simpson's rule over its density: the step of Newton's towards the
 * band is the mean over what of the variance is gone, and its error the root of one over that. */
Test(vector, a_band_draws_to_its_mean)
{
    double low[8], high[8], step[8], sigma[8], chances[8];
    for (int i = 0; i < 8; i++) {
        low[i] = 0.9 * i - 4.0;
        high[i] = low[i] + 0.4 + 0.3 * i;
        double sum = 0.0, mean = 0.0, square = 0.0;
        for (int k = 0; k <= 2000; k++) {
            double x = low[i] + (high[i] - low[i]) * k / 2000.0;
            double weight = exp(-0.5 * x * x) * (k == 0 || k == 2000 ? 1.0 : k % 2 ? 4.0 : 2.0);
            sum += weight;
            mean += weight * x;
            square += weight * x * x;
        }
        mean /= sum;
        double gone = 1.0 - (square / sum - mean * mean);
        oxt_i_band_pull pull = oxt_i_pull_of_band(low[i], high[i], 12.0);
        CLOSE(pull.step, mean / gone, 1e-9);
        CLOSE(pull.sigma, 1.0 / sqrt(gone), 1e-9);
    }
    oxt_i_pulls_of_bands(8, low, high, 12.0, step, sigma);
    oxt_i_normal_log_chances(8, low, high, chances);
    for (int i = 0; i < 8; i++) {
        oxt_i_band_pull pull = oxt_i_pull_of_band(low[i], high[i], 12.0);
        cr_assert(step[i] == pull.step && sigma[i] == pull.sigma);
        cr_assert(chances[i] == oxt_i_normal_between(low[i], high[i]).log_chance);
    }
    /* deep inside, of all twelve rows, as one whose error is uniform over the band */
    CLOSE(oxt_i_pull_of_band(-40.0, 40.0, 12.0).sigma, sqrt(12.0 * (1.0 + 80.0 * 80.0 / 12.0)),
          1e-12);
}

Test(vector, warming_by_many)
{
    double time_s[16], sums[16] = { 0.0 }, surface_K[16], share[16], both[2], sum = 0.0,
                       moment = 0.0;
    const double activation_K = 9600.0, inverse = 1.0 / 588.7;
    for (int i = 0; i < 16; i++) {
        time_s[i] = 0.3 * i * i;
        surface_K[i] = 300.0 + 20.0 * i;
        double beyond = 1.0 / surface_K[i] - inverse;
        sum += time_s[i] * exp(-activation_K * beyond);
        moment += time_s[i] * exp(-activation_K * beyond) * beyond;
    }
    oxt_i_add_decays(16, 0.7, 0.5, time_s, sums);
    oxt_i_add_decays(16, 0.2, 4.0, time_s, sums);
    oxt_i_missing_shares(16, activation_K, inverse, surface_K, share);
    oxt_i_bath_seconds(16, activation_K, inverse, time_s, surface_K, both);
    for (int i = 0; i < 16; i++) {
        CLOSE(sums[i], 0.7 * exp(-0.5 * time_s[i]) + 0.2 * exp(-4.0 * time_s[i]), 1e-15);
        CLOSE(share[i], -expm1(-activation_K * (1.0 / surface_K[i] - inverse)), 1e-14);
    }
    CLOSE(both[0], sum, 1e-14);
    CLOSE(both[1], moment, 1e-13);
}
