/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rates as draws from a common normal: how wide it is, and what that does to each of them. The least
 * squares with the offsets of the rates as N(0, 1) observations are the equations of the mixed model of
 * C. R. Henderson, and their determinant and sum of squares its restricted likelihood. */
#include <string.h>

#include "pool_internal.h"

static double pulled_by(double own_weight, double between_sd)
{
    return 1.0 / (1.0 + between_sd * between_sd * own_weight);
}

double oxt_i_pool_pull(const oxt_i_pool_solution *shrunk, size_t group)
{
    const oxt_pool *pool = shrunk->pool;
    bool of_steel = shrunk->model == OXT_POOL_FINISH_FACTORS;
    double weight = 0.0;
    for (size_t i = 0; i < shrunk->base.model.n; i++) {
        size_t other = shrunk->group_of[i];
        bool same = of_steel ? pool->groups[other].steel == pool->groups[group].steel
                             : other == group;
        weight += same ? 0.25 * shrunk->base.weights[i] : 0.0;
    }
    return pulled_by(weight, shrunk->between_sd);
}

/* The mean over the restricted likelihood, as the scatter's, under a wide prior (half-Cauchy; steels that
 * differ by a factor of 1.6 are usual): the mode is 0 for many a log of few steels, which would take
 * them all for one. The points are equally likely ones under the prior. */
static oxt_status find_between(oxt_i_pool_solution *shrunk, oxt_error *error)
{
    enum { POINTS = 100 };
    static const double PRIOR_SCALE = 0.5;
    double logs[POINTS], widths[POINTS], most = -HUGE_VAL;
    for (int i = 0; i < POINTS; i++) {
        widths[i] = PRIOR_SCALE * tan(0.5 * OXT_I_PI * (i + 0.5) / POINTS);
        shrunk->between_sd = widths[i];
        oxt_status status = oxt_i_pool_settle(&shrunk->base, 0.0, error);
        if (status)
            return status;
        logs[i] = oxt_i_fit_restricted_likelihood(&shrunk->base);
        most = fmax(most, logs[i]);
    }
    double weight = 0.0, sum = 0.0;
    for (int i = 0; i < POINTS; i++) {
        double share = exp(logs[i] - most);
        weight += share;
        sum += share * widths[i];
    }
    shrunk->between_sd = sum / weight;
    return OXT_OK;
}

/* Begin where the rates were without shrinking. */
static void start_from(oxt_i_pool_solution *shrunk, const oxt_i_pool_solution *from)
{
    size_t units = from->unit_count, rest = from->base.p - units;
    double mean = 0.0, width = shrunk->between_sd;
    for (size_t j = 0; j < units; j++)
        mean += from->parameters[j] / (double)units;
    shrunk->parameters[0] = mean;
    for (size_t j = 0; j < units; j++)
        shrunk->parameters[1 + j] = width > 0.0 ? (from->parameters[j] - mean) / width : 0.0;
    memcpy(shrunk->parameters + 1 + units, from->parameters + units, rest * sizeof(double));
}

oxt_status oxt_i_pool_shrink(oxt_i_pool_solution *shrunk, const oxt_i_pool_solution *from,
                             double between_sd, oxt_error *error)
{
    double variance = from->base.scatter * from->base.scatter;
    shrunk->base.robust = from->base.robust;
    shrunk->base.by_band = from->base.by_band;
    shrunk->base.scatter = from->base.scatter;
    shrunk->between_sd = between_sd < 0.0 ? 1.0 : between_sd;
    start_from(shrunk, from);
    oxt_status status = oxt_i_pool_settle(&shrunk->base, variance, error);
    if (status || between_sd >= 0.0)
        return status;
    shrunk->hold_rows = true;
    status = find_between(shrunk, error);
    shrunk->hold_rows = false;
    if (status)
        return status;
    start_from(shrunk, from);
    return oxt_i_pool_settle(&shrunk->base, variance, error);
}
