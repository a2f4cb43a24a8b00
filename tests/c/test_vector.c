/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The exponential that vector loops share. Outside value: exp of the C library, which is within 1 ulp. */
#include "optics.h"
#include "support.h"
#include "vector.h"

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
