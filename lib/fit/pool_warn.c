/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Warnings of a pool. */
#include <gsl/gsl_cdf.h>

#include "fit/pool.h"

/* Warnings about the rows of a group, with its name. */
static void take_over(oxt_pool *pool, const oxt_i_pool_group *group)
{
    for (size_t i = 0; i < group->warnings.count; i++)
        oxt_i_warn(&pool->warnings, group->warnings.list[i].code, group->warnings.list[i].number,
                   "%s: %s", group->set.name, group->warnings.list[i].text);
    pool->warnings.failed = pool->warnings.failed || group->warnings.failed;
}

static void warn_numbers(oxt_pool *pool)
{
    const oxt_pool_values *values = &pool->values;
    oxt_i_fit_warn_scatter(&pool->warnings, values->scatter, values->used_count);
    if (values->dof < 4.0)
        oxt_i_warn(&pool->warnings, "FEW_TRIALS", values->dof,
                   "Only %zu trials for %zu parameters: the errors themselves are uncertain.",
                   values->used_count, values->parameter_count);
}

static void warn_Qs(oxt_pool *pool)
{
    bool own = pool->values.model == OXT_POOL_SEPARATE;
    for (size_t i = 0; i < (own ? pool->group_count : 1); i++)
        oxt_i_fit_warn_Q(&pool->warnings, own ? pool->groups[i].set.name : NULL,
                         pool->groups[i].result.growth.Q_J_per_mol,
                         pool->groups[i].result.Q_stderr_J_per_mol);
}

static void warn_few(oxt_pool *pool)
{
    for (size_t i = 0; i < pool->group_count; i++)
        if (pool->groups[i].set.used_count == 1)
            oxt_i_warn(
                &pool->warnings, "SINGLE_COUPON", 1.0,
                "%s: a single coupon determines its rate; all else comes from the other steels.",
                pool->groups[i].set.name);
}

/* Chance that the Qs of the groups differ as much when they are one, of those groups whose own trials have a Q: one
 * with a single coupon has none, and a model with a Q for each is then not fitted at all. */
static double chance_of_one_Q(const oxt_pool *pool, const oxt_i_fit_solution *solution)
{
    double weight = 0.0, mean = 0.0, squares = 0.0, count = 0.0, T_ref_K = solution->model.T_ref_K;
    for (size_t g = 0; g < pool->group_count; g++) {
        const oxt_i_moments *rows = &solution->moments[g];
        double least = OXT_I_LEAST_SPREAD_K / T_ref_K;
        if (!(rows->uu > 0.25 * least * least * rows->w))
            continue;
        double off = -rows->uz / rows->uu - mean;
        weight += rows->uu;
        mean += rows->uu / weight * off;
        squares += rows->uu * (1.0 - rows->uu / weight) * off * off;
        count += 1.0;
    }
    return count > 1.0 ? gsl_cdf_fdist_Q(squares / (count - 1.0), count - 1.0, pool->values.dof)
                       : NAN;
}

/* One chance in twenty, as is usual. */
static void warn_model(oxt_pool *pool, const oxt_i_fit_solution *solution)
{
    static const double DOUBTFUL = 0.05;
    const oxt_pool_comparison *taken = &pool->comparisons[pool->values.model];
    bool factors = taken->model == OXT_POOL_FINISH_FACTORS;
    double p = taken->p_value;
    if (isnan(p) && taken->model == OXT_POOL_SHARED_Q)
        p = chance_of_one_Q(pool, solution);
    if (!(p < DOUBTFUL) || pool->draws_Q)
        return;
    oxt_i_warn(&pool->warnings, "MODEL_DOUBTFUL", p, "%s (p = %.2g): compare the models%s.",
               factors ? "The trials contradict one factor of each finish for all steels"
                       : "The trials contradict one Q for all",
               p, factors ? "" : ", or shrink the rates, which lets the Qs differ too");
}

oxt_status oxt_i_pool_warn(oxt_pool *pool, oxt_i_fit_solution *solution, oxt_error *error)
{
    oxt_i_fit_answer answer = { .T_ref_K = solution->model.T_ref_K,
                                .variance = solution->variance,
                                .chi_square = solution->sums.chi_square,
                                .dof = oxt_i_fit_counted_dof(solution),
                                .parameters = solution->p,
                                .robust = solution->robust };
    for (size_t g = 0; g < pool->group_count; g++) {
        oxt_i_pool_group *group = &pool->groups[g];
        answer.at = solution->at[g];
        for (size_t i = 0; i < group->set.row_count && group->set.rows; i++)
            if (group->set.rows[i].reading_count > 0)
                oxt_i_fit_finish_row(&answer, &group->set.rows[i]);
        oxt_i_fit_warn_rows(&group->warnings, &group->set, &answer, solution->model.n);
        take_over(pool, group);
    }
    oxt_i_fit_warn_contradiction(&pool->warnings, solution, &answer);
    warn_numbers(pool);
    warn_Qs(pool);
    warn_few(pool);
    warn_model(pool, solution);
    pool->values.warning_count = pool->warnings.count;
    return pool->warnings.failed ? oxt_i_no_memory(error) : OXT_OK;
}
