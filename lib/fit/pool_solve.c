/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels by the one linear estimator: what they share under each model, and whether the trials determine it. */
#include "fit/pool.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- is there enough? ---- */

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
    return oxt_i_fit_check_design(solution, error);
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

oxt_status oxt_i_pool_prepare(oxt_i_fit_solution *solution, oxt_pool *pool, oxt_pool_model model,
                              const oxt_prior *prior, bool shrunk, const oxt_fit_options *options,
                              oxt_error *error)
{
    *solution = (oxt_i_fit_solution){ .system = system_of(pool, model, shrunk), .law = &pool->law };
    oxt_status status = oxt_i_fit_new_solution(solution, (const oxt_i_trial_set *const *)pool->sets,
                                               pool->first, options, false, error);
    if (prior && !status) {
        double unit = R * solution->model.T_ref_K;
        double deviation = prior->Q_stderr_J_per_mol / unit;
        solution->model.prior[0] = (oxt_i_prior_row){ 0.0, 1.0, prior->Q_J_per_mol / unit,
                                                      1.0 / (deviation * deviation) };
        solution->model.prior_count = 1; /* of each q */
    }
    return status;
}
