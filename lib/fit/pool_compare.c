/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The three models beside one another. They are nested: finish factors, a shared Q, all separate. So
 * that only the models differ, all are fitted at the row weights of the richest one. */
#include <gsl/gsl_cdf.h>
#include <stdlib.h>
#include <string.h>

#include "fit/pool.h"

/* From the poorest to the richest. */
static const oxt_pool_model nested[OXT_I_POOL_MODELS] = { OXT_POOL_FINISH_FACTORS,
                                                          OXT_POOL_SHARED_Q, OXT_POOL_SEPARATE };

/* A model that the trials do not determine is left out of the comparison; memory that runs out is a failure. */
static oxt_status unless_no_memory(oxt_status status)
{
    return status == OXT_ENOMEM || status == OXT_ECANCEL ? status : OXT_OK;
}

/* The weights of the richest model that the trials determine, and the scatter that goes with them. */
typedef struct {
    double *weights, variance;
    bool by_band, found;
} common;

static oxt_status weigh_by(common *made, oxt_pool *pool, oxt_pool_model model,
                           const oxt_fit_options *options, oxt_i_watch *watch, oxt_error *error)
{
    oxt_i_fit_solution solution;
    oxt_status status = oxt_i_pool_prepare(&solution, pool, model, NULL, false, options, error);
    solution.watch = watch;
    if (!status)
        status = oxt_i_pool_check(&solution, pool, error);
    if (!status)
        status = oxt_i_fit_solve_as_read(&solution, options, error);
    if (!status && !oxt_i_fit_take_columns(&solution))
        status = oxt_i_no_memory(error);
    if (!status) {
        for (size_t i = 0; i < pool->used_count; i++)
            made->weights[i] = oxt_i_fit_weight(&solution, i);
        made->variance = solution.variance;
        made->by_band = solution.by_band;
        made->found = true;
    }
    oxt_i_fit_free_solution(&solution);
    return unless_no_memory(status);
}

static oxt_status settle_at(oxt_i_fit_solution *solution, const common *weights, oxt_error *error)
{
    if (!oxt_i_fit_take_scratch(solution))
        return oxt_i_no_memory(error);
    memcpy(solution->weights, weights->weights, solution->model.n * sizeof *solution->weights);
    solution->hold_weights = true;
    solution->by_band = weights->by_band;
    oxt_i_fit_fill_columns(solution, true);
    return oxt_i_fit_converge(solution, weights->variance, error);
}

static oxt_status fit_model(oxt_pool *pool, oxt_pool_model model, const common *weights,
                            const oxt_fit_options *options, oxt_i_watch *watch, oxt_error *error)
{
    oxt_pool_comparison *comparison = &pool->comparisons[model];
    oxt_i_fit_solution solution;
    oxt_status status = oxt_i_pool_prepare(&solution, pool, model, NULL, false, options, error);
    comparison->parameter_count = solution.p + (pool->has_shape ? 1 : 0);
    solution.watch = watch;
    if (!status)
        status = oxt_i_pool_check(&solution, pool, error);
    if (!status)
        status = settle_at(&solution, weights, error);
    if (!status) {
        comparison->fitted = 1;
        comparison->chi_square = solution.sums.chi_square;
        comparison->aicc = oxt_i_fit_aicc(&solution, pool->more);
        pool->physical[model] = true;
        for (size_t g = 0; g < pool->group_count; g++)
            pool->physical[model] = pool->physical[model] && solution.at[g].q > 0.0;
    }
    oxt_i_fit_free_solution(&solution);
    return unless_no_memory(status);
}

static void compare_with(oxt_pool_comparison *poor, const oxt_pool_comparison *rich, size_t rows)
{
    double dof1 = (double)rich->parameter_count - (double)poor->parameter_count;
    double dof2 = (double)rows - (double)rich->parameter_count;
    if (!poor->fitted || !rich->fitted || dof1 < 1.0 || dof2 < 1.0)
        return;
    double F = fmax(poor->chi_square - rich->chi_square, 0.0) / dof1 / (rich->chi_square / dof2);
    if (!isfinite(F))
        return;
    poor->F = F;
    poor->dof1 = dof1;
    poor->dof2 = dof2;
    poor->p_value = gsl_cdf_fdist_Q(F, dof1, dof2);
}

oxt_status oxt_i_pool_compare(oxt_pool *pool, const oxt_fit_options *options, oxt_i_watch *watch,
                              oxt_error *error)
{
    common weights = { .weights = malloc(pool->used_count * sizeof(double)) };
    oxt_status status = weights.weights ? OXT_OK : oxt_i_no_memory(error);
    for (int i = 0; i < OXT_I_POOL_MODELS; i++) {
        oxt_pool_comparison *comparison = &pool->comparisons[i];
        *comparison = (oxt_pool_comparison)OXT_POOL_COMPARISON_INIT;
        comparison->model = (oxt_pool_model)i;
        comparison->chi_square = comparison->aicc = comparison->F = NAN;
        comparison->dof1 = comparison->dof2 = comparison->p_value = NAN;
    }
    for (int i = OXT_I_POOL_MODELS - 1; i >= 0 && !weights.found && !status; i--)
        status = weigh_by(&weights, pool, nested[i], options, watch, error);
    for (int i = 0; i < OXT_I_POOL_MODELS && weights.found && !status; i++)
        status = fit_model(pool, nested[i], &weights, options, watch, error);
    for (int i = 0; i + 1 < OXT_I_POOL_MODELS && !status; i++)
        compare_with(&pool->comparisons[nested[i]], &pool->comparisons[nested[i + 1]],
                     pool->used_count);
    free(weights.weights);
    return status;
}

oxt_pool_model oxt_i_pool_best(const oxt_pool *pool)
{
    const oxt_pool_comparison *shared = &pool->comparisons[OXT_POOL_SHARED_Q];
    const oxt_pool_comparison *best = shared;
    for (int i = 0; i < OXT_I_POOL_MODELS; i++) {
        const oxt_pool_comparison *other = &pool->comparisons[i];
        bool another = other->parameter_count != shared->parameter_count;
        if (another && pool->physical[i] && other->aicc < best->aicc)
            best = other;
    }
    return best->model;
}
