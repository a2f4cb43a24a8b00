/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hits against promised chances. */
#include "base/hits.h"

#include <gsl/gsl_cdf.h>

#include "base/solve.h"

/* A share is beyond its limit with the chance of `tail`. */
typedef struct {
    double a, b, tail;
} limit;

static double beyond(double share, void *context)
{
    const limit *of = context;
    return gsl_cdf_beta_P(share, of->a, of->b) - of->tail;
}

static double find_limit(double a, double b, double tail)
{
    limit of = { a, b, tail };
    double found = tail < 0.5 ? 0.0 : 1.0;
    oxt_i_find_root(beyond, &of, 0.0, 1.0, 1e-12, &found, NULL);
    return found;
}

void oxt_i_hit_limits(size_t hits, size_t count, double confidence, double *low, double *high)
{
    double n = (double)count, k = (double)hits, tail = 0.5 * (1.0 - confidence);
    *low = hits == 0 ? 0.0 : n * find_limit(k, n - k + 1.0, tail);
    *high = hits == count ? n : n * find_limit(k + 1.0, n - k, 1.0 - tail);
}

double oxt_i_hits_at_most(size_t hits, size_t count, const double *chances)
{
    double exactly[OXT_I_MOST_HITS + 1] = { 1.0 },
                                     sum = 0.0; /* chance of so many of the first ones */
    for (size_t i = 0; i < count; i++)
        for (size_t k = (i + 1 < hits ? i + 1 : hits) + 1; k-- > 0;)
            exactly[k] = exactly[k] * (1.0 - chances[i]) +
                         (k > 0 ? exactly[k - 1] * chances[i] : 0.0);
    for (size_t k = 0; k <= hits; k++)
        sum += exactly[k];
    return fmin(sum, 1.0);
}
