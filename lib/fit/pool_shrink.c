/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rates as draws from a common normal: how wide it is, and what that does to each of them. The least
 * squares with the offsets of the rates as N(0, 1) observations are the equations of the mixed model of
 * C. R. Henderson, and their determinant and sum of squares its restricted likelihood. */
#include <string.h>

#include "fit/pool.h"

void oxt_i_pool_pull(oxt_pool *pool, const oxt_i_fit_solution *shrunk)
{
    const oxt_i_linear *system = &shrunk->system;
    double between = system->between_sd * system->between_sd;
    for (size_t i = 0; i < pool->group_count;) { /* unit after unit */
        size_t end = i;
        double weight = 0.0;
        do
            weight += shrunk->moments[system->by_unit ? system->by_unit[end] : end].w;
        while (++end < pool->group_count && system->by_unit &&
               system->unit_of[system->by_unit[end]] == system->unit_of[system->by_unit[i]]);
        for (; i < end; i++)
            pool->groups[system->by_unit ? system->by_unit[i] : i].result.shrunk_by =
                1.0 / (1.0 + between * weight);
    }
}

/* Of the width alone: at weights that stay the rows enter by their moments, but for bands and robust fits. */
static double likelihood(const oxt_i_fit_solution *shrunk)
{
    if (shrunk->robust != OXT_ROBUST_NONE || shrunk->by_band)
        return oxt_i_fit_restricted_likelihood(shrunk);
    return 0.5 * (shrunk->sums.ln_determinant - shrunk->sums.chi_square);
}

/* The mean over the restricted likelihood, as the scatter's, under a wide prior (half-Cauchy; steels that
 * differ by a factor of 1.6 are usual): the mode is 0 for many a log of few steels, which would take
 * them all for one. The points are equally likely ones under the prior. */
static oxt_status find_between(oxt_i_fit_solution *shrunk, oxt_error *error)
{
    enum { POINTS = 100 };
    static const double PRIOR_SCALE = 0.5;
    double logs[POINTS], widths[POINTS], most = -HUGE_VAL;
    for (int i = 0; i < POINTS; i++) {
        widths[i] = PRIOR_SCALE * tan(0.5 * OXT_I_PI * (i + 0.5) / POINTS);
        shrunk->system.between_sd = widths[i];
        oxt_status status = oxt_i_fit_solve_linear(shrunk, error);
        if (status)
            return status;
        logs[i] = likelihood(shrunk);
        most = fmax(most, logs[i]);
    }
    double weight = 0.0, sum = 0.0;
    for (int i = 0; i < POINTS; i++) {
        double share = exp(logs[i] - most);
        weight += share;
        sum += share * widths[i];
    }
    shrunk->system.between_sd = sum / weight;
    return OXT_OK;
}

oxt_status oxt_i_pool_shrink(oxt_i_fit_solution *shrunk, const oxt_i_fit_solution *from,
                             double between_sd, oxt_error *error)
{
    double variance = from->scatter * from->scatter;
    size_t sets = shrunk->model.set_count;
    shrunk->robust = from->robust;
    shrunk->by_band = from->by_band;
    shrunk->scatter = from->scatter;
    shrunk->day_sd = from->day_sd;
    shrunk->system.between_sd = between_sd < 0.0 ? 1.0 : between_sd;
    /* Begin where the rates were without shrinking. */
    memcpy(shrunk->at, from->at, sets * sizeof *shrunk->at);
    oxt_status status = oxt_i_fit_converge(shrunk, variance, error);
    if (status || between_sd >= 0.0)
        return status;
    shrunk->hold_rows = true;
    status = find_between(shrunk, error);
    shrunk->hold_rows = false;
    if (status)
        return status;
    memcpy(shrunk->at, from->at, sets * sizeof *shrunk->at);
    return oxt_i_fit_converge(shrunk, variance, error);
}
