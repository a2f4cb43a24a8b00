/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A trade name as what it is: a film somewhere between the ends of its band. The likelihood is the
 * chance of the band under a normal deviate about the model; its slope and curvature by the model give
 * an aim and a weight with which least squares takes Newton's step, so that the steps end where those of
 * expectation and maximisation end, only sooner. The logarithm of a normal chance is concave: there is
 * one end.
 *
 * Source: J. Tobin, Econometrica 26 (1958) 24; M. Aitkin, J. R. Stat. Soc. C 30 (1981) 128, on normal
 * data of which only an interval is seen; both from memory. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "fit_internal.h"

/* ln of the chance between two deviates, a < b; the tail that is farther out is subtracted in the tail,
 * where nothing cancels. */
static double log_chance(double a, double b)
{
    if (a + b < 0.0) { /* mirror, so that the interval lies on the upper side */
        double swap = a;
        a = -b;
        b = -swap;
    }
    if (a < 30.0)
        return log(gsl_cdf_ugaussian_Q(a) - gsl_cdf_ugaussian_Q(b));
    /* Mills: Q(a) = phi(a)/a (1 - 1/a^2 + ...), far out */
    return -0.5 * a * a - 0.5 * log(2.0 * OXT_I_PI) - log(a);
}

/* phi(x) over a chance. */
static double density_over(double x, double log_of_chance)
{
    return exp(-0.5 * x * x - 0.5 * log(2.0 * OXT_I_PI) - log_of_chance);
}

void oxt_i_fit_aim_at_band(oxt_i_seen_row *row, double ln_x, double variance)
{
    static const double LEAST_SHARE = 1e-6; /* of the weight of a row without a width */
    double s = sqrt(variance);
    double a = (log(oxt_i_seen(row)->low_nm) - ln_x) / s;
    double b = (log(oxt_i_seen(row)->high_nm) - ln_x) / s;
    row->log_chance = log_chance(a, b);
    double at_a = density_over(a, row->log_chance), at_b = density_over(b, row->log_chance);
    double mean = at_a - at_b;
    double share = mean * mean - (a * at_a - b * at_b); /* 1 - variance within the band */
    share = fmin(fmax(share, LEAST_SHARE), 1.0);
    row->sigma = s / sqrt(share);
    row->aim = ln_x + s * mean / share;
}
