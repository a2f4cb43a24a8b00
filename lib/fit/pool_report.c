/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pool as a report to read at the bench: the steels, why this model, warnings, the numbers. */
#include <string.h>

#include "fit/pool.h"

static const char *const taken_as[OXT_I_POOL_MODELS] = {
    "one Q for all, a rate for each steel and finish",
    "one Q for all, a rate for each steel, a factor for each finish",
    "Q and rate of its own for each steel and finish",
};

static const char *const named[OXT_I_POOL_MODELS] = { "a shared Q", "finish factors",
                                                      "each on its own" };

/* ---- the steels ---- */

static int widest_name(const oxt_pool *pool)
{
    int most = 0;
    for (size_t i = 0; i < pool->group_count; i++) {
        int width = oxt_i_width(pool->groups[i].set.name);
        most = width > most ? width : most;
    }
    return most;
}

/* Decimals that show three digits. */
static int decimals_of(double value)
{
    return value >= 99.95 ? 0 : value >= 9.995 ? 1 : value >= 0.9995 ? 2 : 4;
}

static void add_group(oxt_i_text *text, const oxt_pool *pool, const oxt_i_pool_group *group,
                      int width)
{
    const oxt_pool_group *result = &group->result;
    int k = decimals_of(result->growth.k_ref_nm2_per_s);
    oxt_i_text_add(text, "  %s%*s  k_ref %.*f (%.*f to %.*f) nm^2/s", group->set.name,
                   width - oxt_i_width(group->set.name), "", k, result->growth.k_ref_nm2_per_s, k,
                   result->k_ref_low_nm2_per_s, k, result->k_ref_high_nm2_per_s);
    if (pool->values.model == OXT_POOL_SEPARATE || pool->draws_Q)
        oxt_i_text_add(text, ", Q %.0f (%.0f to %.0f) kJ/mol", result->growth.Q_J_per_mol / 1e3,
                       result->Q_low_J_per_mol / 1e3, result->Q_high_J_per_mol / 1e3);
    if (pool->values.model == OXT_POOL_FINISH_FACTORS)
        oxt_i_text_add(text, ", finish x %.2f", result->finish_factor);
    oxt_i_text_add(text, ", %zu of %zu", result->used_count, result->row_count);
    if (pool->values.shrunk)
        oxt_i_text_add(text, ", shrunk %.0f %%", 100.0 * result->shrunk_by);
    oxt_i_text_add(text, "\n");
}

static void add_groups(oxt_i_text *text, const oxt_pool *pool, oxt_temperature_unit unit)
{
    const oxt_pool_values *values = &pool->values;
    oxt_i_text_add(text, "%zu %s: %zu of %zu trials used\n", values->group_count,
                   values->group_count == 1 ? "steel" : "steels and finishes", values->used_count,
                   values->row_count);
    oxt_i_text_add(text, "  rates at %s, limits of %g %%, trials used\n",
                   oxt_i_show_temperature(values->T_ref_K, unit).text, 100.0 * values->confidence);
    int width = widest_name(pool);
    for (size_t i = 0; i < pool->group_count; i++)
        add_group(text, pool, &pool->groups[i], width);
    if (values->model != OXT_POOL_SEPARATE)
        oxt_i_text_add(text, "  activation energy of all%s: Q = %.1f (%.1f to %.1f) kJ/mol\n",
                       pool->draws_Q ? ", the mean" : "", values->Q_J_per_mol / 1e3,
                       values->Q_low_J_per_mol / 1e3, values->Q_high_J_per_mol / 1e3);
    oxt_i_text_add_law(text, &pool->law, values->ln_shape_stderr, values->confidence, values->dof);
    oxt_i_text_add_scatter(text, &pool->law, "dip to dip", values->scatter);
    oxt_i_text_add(text, "\n");
    if (values->day_sd > 0.0) {
        oxt_i_text_add_scatter(text, &pool->law, "day to day", values->day_sd);
        oxt_i_text_add(text, "\n");
    }
}

/* ---- why this model ---- */

static void add_F(oxt_i_text *text, const oxt_pool_comparison *poor, const char *against)
{
    static const double DOUBTFUL = 0.05;
    if (!isfinite(poor->F))
        return;
    oxt_i_text_add(text,
                   "  against %s: F = %.2f on %.0f and %.0f degrees of freedom, p = %.2g: %s\n",
                   against, poor->F, poor->dof1, poor->dof2, poor->p_value,
                   poor->p_value < DOUBTFUL ? "the trials distinguish them"
                                            : "the trials do not distinguish them");
}

static void add_aicc(oxt_i_text *text, const oxt_pool *pool)
{
    const oxt_pool_comparison *taken = &pool->comparisons[pool->values.model];
    size_t of_shared = pool->comparisons[OXT_POOL_SHARED_Q].parameter_count;
    for (int i = 0; i < OXT_I_POOL_MODELS; i++) {
        const oxt_pool_comparison *other = &pool->comparisons[i];
        bool same = other->parameter_count == taken->parameter_count ||
                    (i == OXT_POOL_FINISH_FACTORS && other->parameter_count == of_shared);
        double less = other->aicc - taken->aicc;
        if (same || !isfinite(less))
            continue;
        oxt_i_text_add(text, "  AICc is %.1f %s than that of %s (%zu parameters instead of %zu)\n",
                       fabs(less), less >= 0.0 ? "lower" : "higher", named[i],
                       other->parameter_count, taken->parameter_count);
    }
}

static void add_model(oxt_i_text *text, const oxt_pool *pool)
{
    const oxt_pool_comparison *all = pool->comparisons;
    oxt_i_text_add(text, "Model\n  %s\n",
                   pool->draws_Q ? "Qs about a common mean, a rate for each steel and finish"
                                 : taken_as[pool->values.model]);
    if (pool->group_count == 1)
        return;
    if (pool->values.model == OXT_POOL_FINISH_FACTORS)
        add_F(text, &all[OXT_POOL_FINISH_FACTORS], "a rate for each finish of each steel");
    else
        add_F(text, &all[OXT_POOL_SHARED_Q],
              pool->values.model == OXT_POOL_SEPARATE ? "one Q for all" : "a Q for each");
    add_aicc(text, pool);
    if (!all[OXT_POOL_SEPARATE].fitted)
        oxt_i_text_add(text, "  these trials cannot determine its own Q for each\n");
    if (all[OXT_POOL_FINISH_FACTORS].parameter_count == all[OXT_POOL_SHARED_Q].parameter_count)
        oxt_i_text_add(text, "  finish factors make no difference here: too few steels in the same "
                             "finishes\n");
}

static void add_numbers(oxt_i_text *text, const oxt_pool *pool)
{
    const oxt_pool_values *values = &pool->values;
    oxt_i_text_add(text, "Numbers\n  degrees of freedom %.3g, chi-square %.3g", values->dof,
                   values->chi_square);
    if (isfinite(values->aicc))
        oxt_i_text_add(text, ", AICc %.2f", values->aicc);
    if (isfinite(values->between_sd))
        oxt_i_text_add(text, "\n  rates lie apart by a factor of %.2f (standard deviation)%s",
                       exp(values->between_sd),
                       values->shrunk ? ", and were shrunk towards each other" : "");
    if (isfinite(values->between_Q_sd_J_per_mol))
        oxt_i_text_add(text, "\n  Qs lie apart by %.1f kJ/mol (standard deviation)",
                       values->between_Q_sd_J_per_mol / 1e3);
    oxt_i_text_add(text, "\n  film: %s\n", pool->description);
}

oxt_status oxt_pool_report(const oxt_pool *pool, oxt_temperature_unit unit, char *buffer,
                           size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!pool)
        return oxt_i_null(error, "pool");
    oxt_status status = oxt_format_temperature(300.0, unit, NULL, 0, NULL, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    add_groups(&text, pool, unit);
    add_model(&text, pool);
    oxt_i_text_add_warnings(&text, &pool->warnings, unit);
    add_numbers(&text, pool);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
