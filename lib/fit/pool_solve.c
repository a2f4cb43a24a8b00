/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels by the one linear estimator: what they share under each model, and whether the trials tell it. */
#include "fit/pool.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- is there enough? ---- */

static oxt_status check_spread(const oxt_i_fit_solution *solution, const oxt_pool *pool,
                               oxt_error *error)
{
    double widest = 0.0;
    for (size_t i = 0; i < pool->group_count; i++) {
        double spread = pool->sets[i]->high_K - pool->sets[i]->low_K;
        widest = fmax(widest, spread);
        if (solution->system.own_q && spread < OXT_I_LEAST_SPREAD_K)
            return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", spread, OXT_I_LEAST_SPREAD_K, NAN,
                              "all usable trials of %s ran at one bath temperature (within %g K), "
                              "which cannot tell a Q of its own: share Q, add coupons at a bath at "
                              "least 30 K away, or give a prior",
                              pool->sets[i]->name, OXT_I_LEAST_SPREAD_K);
    }
    if (widest >= OXT_I_LEAST_SPREAD_K)
        return OXT_OK;
    return oxt_i_fail(
        error, OXT_EIDENT, "Q_J_per_mol", widest, OXT_I_LEAST_SPREAD_K, NAN,
        "every steel ran at one bath temperature (within %g K), which cannot tell how "
        "the rate changes with temperature: add coupons of one of them at a bath at "
        "least 30 K away, or give a prior",
        OXT_I_LEAST_SPREAD_K);
}

/* As the condition of one steel in fit_solve.c, with all rows alike. */
static oxt_status check_condition(oxt_i_fit_solution *solution, const oxt_pool *pool,
                                  oxt_error *error)
{
    const oxt_i_fit_model *model = &solution->model;
    bool own = solution->system.own_q;
    for (size_t g = 0; g < model->set_count; g++)
        solution->moments[g] = oxt_i_moments_of(model->first[g + 1] - model->first[g],
                                                model->u + model->first[g],
                                                model->z + model->first[g], NULL);
    if (!oxt_i_linear_solve(&solution->system, solution->moments, solution->space, solution->before,
                            &solution->sums))
        return oxt_i_fit_not_determined(solution, error);
    for (size_t g = 0; g < (own ? model->set_count : 1); g++) {
        double n = own ? solution->moments[g].w : (double)model->n;
        double condition = R * model->T_ref_K * sqrt(n * solution->before[g].variance_q) /
                           OXT_I_PUBLISHED_Q;
        if (!(condition <= OXT_I_WORST_CONDITION))
            return oxt_i_fail(
                error, OXT_EIDENT, "Q_J_per_mol", condition, 1.0, OXT_I_WORST_CONDITION,
                "the trials%s%s tell the temperature dependence %.0f times worse than "
                "the rate (expected at most %g times): nearly all of them ran in one "
                "bath; add coupons at a bath at least 30 K away, or give a prior",
                own ? " of " : "", own ? pool->sets[g]->name : "", condition,
                OXT_I_WORST_CONDITION);
    }
    return OXT_OK;
}

oxt_status oxt_i_pool_check(oxt_i_fit_solution *solution, const oxt_pool *pool, oxt_error *error)
{
    size_t used = solution->model.n, fewest = solution->p + 1 - oxt_i_fit_prior_parts(solution);
    if (used < fewest)
        return oxt_i_fail(error, OXT_EFEW, "trials", (double)used, (double)fewest, NAN,
                          "only %zu of %zu trials can be used, expected at least %zu for %zu "
                          "parameters; add coupons that show a colour",
                          used, pool->row_count, fewest, solution->p);
    if (solution->model.prior_count > 0)
        return OXT_OK;
    oxt_status status = check_spread(solution, pool, error);
    return status ? status : check_condition(solution, pool, error);
}

/* ---- getting ready ---- */

static oxt_i_linear system_of(const oxt_pool *pool, oxt_pool_model model, bool shrunk)
{
    bool factors = model == OXT_POOL_FINISH_FACTORS;
    return (oxt_i_linear){ .groups = pool->group_count,
                           .units = factors ? pool->steel_count : pool->group_count,
                           .factors = factors ? pool->factor_count : 0,
                           .unit_of = factors ? pool->steel_of : NULL,
                           .by_unit = factors ? pool->by_steel : NULL,
                           .factor_of = factors ? pool->factor_of : NULL,
                           .own_q = model == OXT_POOL_SEPARATE,
                           .held_q = NAN,
                           .shrunk = shrunk };
}

oxt_status oxt_i_pool_prepare(oxt_i_fit_solution *solution, const oxt_pool *pool,
                              oxt_pool_model model, const oxt_prior *prior, bool shrunk,
                              const oxt_fit_options *options, oxt_error *error)
{
    *solution = (oxt_i_fit_solution){ .system = system_of(pool, model, shrunk) };
    oxt_status status = oxt_i_fit_new_solution(solution, pool->sets, pool->first, options, false,
                                               error);
    if (prior && !status) {
        double unit = R * solution->model.T_ref_K;
        double deviation = prior->Q_stderr_J_per_mol / unit;
        solution->model.prior[0] = (oxt_i_prior_row){ 0.0, 1.0, prior->Q_J_per_mol / unit,
                                                      1.0 / (deviation * deviation) };
        solution->model.prior_count = 1; /* of each q */
    }
    return status;
}

/* ---- how good it is ---- */

double oxt_i_pool_aicc(const oxt_i_fit_solution *solution, const oxt_pool *pool)
{
    double k = (double)solution->p + (pool->scatter_fitted ? 1.0 : 0.0);
    double left = (double)solution->model.n - k - 1.0;
    return left > 0.0
               ? 2.0 * k + 2.0 * k * (k + 1.0) / left - oxt_i_fit_twice_log_likelihood(solution)
               : NAN;
}
