/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to distrust in a pool. */
#include "pool_internal.h"

/* What the warnings about rows look at. */
static void fill_rows(const oxt_pool *pool, const oxt_i_fit_solution *base, double dof)
{
    for (size_t i = 0; i < base->model.n; i++) {
        oxt_i_seen_row *row = base->model.rows[i];
        row->residual = oxt_i_fit_residual(base, i);
        row->leverage = oxt_i_fit_leverage(base, i);
        row->studentized = oxt_i_fit_studentized(row, -base->residuals[i], base->result.chi_square,
                                                 dof);
    }
    for (size_t i = 0; i < pool->group_count; i++)
        pool->groups[i].fit->values.used_count = pool->used_count;
}

static void take_over(oxt_pool *pool, oxt_fit *fit)
{
    for (size_t i = 0; i < fit->warning_count; i++)
        oxt_i_fit_warn(pool->notes, "%s: %s", fit->name, fit->warnings[i]);
    pool->notes->memory_failed = pool->notes->memory_failed || fit->memory_failed;
}

static void warn_numbers(oxt_pool *pool)
{
    const oxt_pool_values *values = &pool->values;
    if (values->scatter > 0.15)
        oxt_i_fit_warn(pool->notes,
                       "Trials disagree by %.0f %% in thickness beyond the width of their colours: "
                       "look for a bath, time or finish that changed.",
                       100.0 * values->scatter);
    if (values->dof < 4.0)
        oxt_i_fit_warn(pool->notes,
                       "Only %zu trials for %zu parameters: the errors themselves are uncertain.",
                       values->used_count, values->parameter_count);
}

static void warn_Q(oxt_pool *pool, const char *whose, const char *colon,
                   const oxt_pool_group *group)
{
    double Q = group->growth.Q_J_per_mol;
    if (group->Q_stderr_J_per_mol > 0.25 * Q)
        oxt_i_fit_warn(
            pool->notes,
            "%s%sQ is uncertain by %.0f %%: keep to the baths of the trials, or add coupons "
            "at baths farther apart.",
            whose, colon, 100.0 * group->Q_stderr_J_per_mol / Q);
    if (Q < 40e3 || Q > 180e3)
        oxt_i_fit_warn(
            pool->notes,
            "%s%sQ = %.0f kJ/mol is outside what is published for iron and mild steel (57 "
            "to 138 kJ/mol).",
            whose, colon, Q / 1e3);
}

static void warn_Qs(oxt_pool *pool)
{
    if (pool->values.model != OXT_POOL_SEPARATE) {
        warn_Q(pool, "", "", &pool->groups[0].result);
        return;
    }
    for (size_t i = 0; i < pool->group_count; i++)
        warn_Q(pool, pool->groups[i].fit->name, ": ", &pool->groups[i].result);
}

static void warn_few(oxt_pool *pool)
{
    for (size_t i = 0; i < pool->group_count; i++)
        if (pool->groups[i].used == 1)
            oxt_i_fit_warn(
                pool->notes,
                "%s: a single coupon tells its rate; all else comes from the other steels.",
                pool->groups[i].fit->name);
}

/* One chance in twenty, as is usual. */
static void warn_model(oxt_pool *pool)
{
    static const double DOUBTFUL = 0.05;
    const oxt_pool_comparison *taken = &pool->comparisons[pool->values.model];
    if (!(taken->p_value < DOUBTFUL))
        return;
    oxt_i_fit_warn(pool->notes, "%s (p = %.2g): compare the models.",
                   taken->model == OXT_POOL_FINISH_FACTORS
                       ? "The trials contradict one factor of each finish for all steels"
                       : "The trials contradict one Q for all",
                   taken->p_value);
}

oxt_status oxt_i_pool_warn(oxt_pool *pool, const oxt_i_pool_solution *solution, oxt_error *error)
{
    const oxt_i_fit_solution *base = &solution->base;
    double dof = (double)(base->model.n + base->model.prior_count - base->p);
    fill_rows(pool, base, dof);
    for (size_t i = 0; i < pool->group_count; i++) {
        oxt_i_fit_warn_rows(pool->groups[i].fit, dof);
        take_over(pool, pool->groups[i].fit);
    }
    warn_numbers(pool);
    warn_Qs(pool);
    warn_few(pool);
    warn_model(pool);
    return pool->notes->memory_failed ? oxt_i_no_memory(error) : OXT_OK;
}
