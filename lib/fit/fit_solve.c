/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The solution of a fit or a pool: rows as columns, the start, and the order that each colour was read in. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"
#include "growth/growth.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- the start ---- */

/* The rows at the constants as they stand. */
static void stay(oxt_i_fit_solution *solution)
{
    oxt_i_fit_model *model = &solution->model;
    for (size_t g = 0; g < model->set_count && model->rows; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            oxt_i_fit_row *row = model->rows[i];
            oxt_i_fit_weigh_row(solution, row, solution->at[g].b, solution->at[g].q, 1.0);
            model->u[i] = row->inverse_T_offset;
            model->z[i] = 2.0 * (row->aim - row->shift) - row->ln_time;
        }
}

/* Constants to begin with: all rows alike, names as middles, the prior only where the rows determine nothing. Where
 * one row may move them too far, with robust weights or where the model bends, those that no row can move. */
static oxt_status start(oxt_i_fit_solution *solution, oxt_error *error)
{
    static const double EQUAL_WEIGHTS = 1e3, LITTLE_TRUST = 1e-5;
    oxt_robust robust = solution->robust;
    bool by_band = solution->by_band, is_robust = robust != OXT_ROBUST_NONE;
    oxt_status status = OXT_OK;
    solution->robust = OXT_ROBUST_NONE;
    solution->by_band = false;
    solution->prior_trust = LITTLE_TRUST;
    if (solution->model.has_paths || is_robust)
        oxt_i_fit_resistant(solution, solution->at);
    if (is_robust)
        stay(solution);
    else
        status = oxt_i_fit_converge(solution, EQUAL_WEIGHTS, error);
    solution->prior_trust = 1.0;
    solution->robust = robust;
    solution->by_band = by_band;
    return status;
}

/* Rows that stayed where they are have not been looked at one by one. */
static void mark_rows(oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    if (!model->rows || !oxt_i_fit_is_fixed(solution))
        return;
    for (size_t g = 0; g < model->set_count; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++)
            solution->weights[i] = oxt_i_fit_weigh_row(solution, model->rows[i], solution->at[g].b,
                                                       solution->at[g].q, solution->variance);
}

/* Tukey's weights begin where Huber's end, with the scatter that Huber's found: alone they may converge
 * on a few rows that agree by chance. */
oxt_status oxt_i_fit_solve_as_read(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                   oxt_error *error)
{
    solution->robust = options->robust == OXT_ROBUST_NONE ? OXT_ROBUST_NONE : OXT_ROBUST_HUBER;
    solution->scatter = options->scatter;
    solution->scatter_dof = 0.0;
    solution->share = 0.0;
    solution->roughly = false;
    solution->day_sd = 0.0;
    oxt_status status = OXT_OK;
    solution->by_band = oxt_i_fit_by_band(&solution->model, options->names);
    if (options->scatter < 0.0 || solution->robust != OXT_ROBUST_NONE || solution->by_band ||
        solution->day_count > 0)
        status = start(solution, error);
    if (!status && solution->day_count > 0)
        status = oxt_i_fit_find_deviations(solution, error);
    else if (!status && options->scatter < 0.0)
        status = oxt_i_fit_find_scatter(solution, error);
    solution->share = 0.9;
    if (!status)
        status = oxt_i_fit_converge(solution, solution->scatter * solution->scatter, error);
    if (!status && options->robust == OXT_ROBUST_TUKEY) {
        solution->robust = OXT_ROBUST_TUKEY;
        status = oxt_i_fit_converge(solution, solution->scatter * solution->scatter, error);
    }
    if (!status)
        mark_rows(solution);
    return status;
}

/* ---- which order a colour was ---- */

/* ln x of a row by the fit without it. */
static double predicted_without(const oxt_i_fit_solution *solution, size_t g, size_t i)
{
    double seen = solution->model.rows[i]->aim;
    double h = oxt_i_fit_leverage(&solution->at[g], solution->model.rows[i], solution->model.u[i],
                                  solution->weights[i])
                   .all;
    return h < 1.0 - 1e-9 ? seen + oxt_i_fit_residual(solution, g, i) / (1.0 - h) : seen;
}

/* Read the one row anew that gains most by it. The reading that stands keeps its place unless
 * another is clearly nearer to the fit of the other rows; a prior alone does not say which it was. */
static bool reread_one(oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double most = 0.0;
    size_t which = 0, reading = 0;
    for (size_t g = 0; g < model->set_count && model->rows; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            const oxt_i_fit_row *row = model->rows[i];
            if (row->reading_count < 2 || model->first[g + 1] - model->first[g] < 2)
                continue;
            double expected = predicted_without(solution, g, i);
            double now = fabs(expected - oxt_i_seen(row)->ln_x);
            for (size_t j = 0; j < row->reading_count; j++) {
                double then = fabs(expected - row->readings[j].ln_x);
                if (then < OXT_I_CLEARLY_NEARER * now && now - then > most) {
                    most = now - then;
                    which = i;
                    reading = j;
                }
            }
        }
    if (most == 0.0)
        return false;
    model->rows[which]->reading = reading;
    return true;
}

oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                           oxt_error *error)
{
    oxt_status status = oxt_i_fit_solve_as_read(solution, options, error);
    size_t turns = solution->hold_orders ? 0 : solution->model.n;
    for (size_t turn = 0; turn < turns && !status && reread_one(solution); turn++) {
        oxt_i_fit_fill_columns(solution, false);
        status = oxt_i_fit_solve_as_read(solution, options, error);
    }
    return status;
}

/* ---- is there enough to fit? ---- */

/* One more than the parameters, so that there is an error at all; a prior's parts count as rows. */
static oxt_status check_enough(const oxt_i_trial_set *set, size_t parameters, size_t parts_of_prior,
                               oxt_error *error)
{
    size_t used = set->used_count, fewest = parameters + 1 - parts_of_prior;
    const char *hint = parts_of_prior ? "" : ", or give a prior";
    if (used >= fewest)
        return OXT_OK;
    if (used == 0 && set->bright_count == set->row_count)
        return oxt_i_fail(error, OXT_EFEW, "trials", 0.0, (double)fewest, NAN,
                          "all %zu trial%s of %s stayed bright: bright shows only that the film is "
                          "thinner than straw; add coupons that stayed in longer or ran hotter",
                          set->row_count, oxt_i_plural(set->row_count), set->name);
    return oxt_i_fail(
        error, OXT_EFEW, "trials", (double)used, (double)fewest, NAN,
        "only %zu of %zu trial%s of %s can be used, expected at least %zu; add coupons "
        "that show a colour%s",
        used, set->row_count, oxt_i_plural(set->row_count), set->name, fewest, used ? hint : "");
}

/* The name of the set for a message; nothing where several share a q. */
static const char *whose(const oxt_i_fit_solution *solution, size_t g)
{
    return solution->system.own_q || solution->system.groups == 1 ? solution->model.sets[g]->name
                                                                  : "";
}

/* Of baths that tell Q: common practice, no source. */
static const double APART_K = 30.0;

/* Baths of one set at least must differ; of each where each has a q of its own. */
static oxt_status check_spread(const oxt_i_fit_solution *solution, oxt_error *error)
{
    const oxt_i_fit_model *model = &solution->model;
    bool own = solution->system.own_q, alone = !own && model->set_count == 1;
    double widest = 0.0;
    for (size_t g = 0; g < model->set_count; g++) {
        const oxt_i_trial_set *set = model->sets[g];
        double spread = set->high_K - set->low_K;
        widest = fmax(widest, spread);
        if ((own || alone) && spread < OXT_I_LEAST_SPREAD_K)
            return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", spread, OXT_I_LEAST_SPREAD_K, NAN,
                              "all %zu usable trials of %s ran at one bath temperature (%s, within "
                              "%s), which cannot determine %s: %sadd coupons at a bath at least %s "
                              "away, or give %s",
                              set->used_count, set->name, oxt_i_mark(set->low_K, NULL).text,
                              oxt_i_mark_difference(OXT_I_LEAST_SPREAD_K).text,
                              own ? "its own Q" : "how the rate changes with temperature",
                              own ? "share Q, " : "", oxt_i_mark_difference(APART_K).text,
                              own ? "a prior" : "Q or a prior");
    }
    if (widest >= OXT_I_LEAST_SPREAD_K)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", widest, OXT_I_LEAST_SPREAD_K, NAN,
                      "every steel ran at one bath temperature (within %s), which cannot "
                      "determine how the rate changes with temperature: add coupons of one of them "
                      "at a bath at least %s away, or give a prior",
                      oxt_i_mark_difference(OXT_I_LEAST_SPREAD_K).text,
                      oxt_i_mark_difference(APART_K).text);
}

/* Moments of a set with all rows alike. */
static oxt_i_moments plain_moments(const oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_fit_model *model = &solution->model;
    size_t first = model->first[g];
    oxt_i_moments sum = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 };
    if (solution->class_count == 0)
        return oxt_i_moments_of(model->first[g + 1] - first, model->u + first, model->z + first,
                                NULL);
    for (size_t c = solution->first_class[g]; c < solution->first_class[g + 1]; c++)
        oxt_i_moments_add(&sum, &solution->classes[c].rows.of);
    return sum;
}

/* Condition of the design in ln k_ref and ln Q: how many times less well the trials determine the relative
 * error of Q than that of the rate, all rows alike. At T_ref the two columns are at right angles; Q is the
 * published one, so that this is of the baths alone. */
static oxt_status check_condition(oxt_i_fit_solution *solution, oxt_error *error)
{
    const oxt_i_fit_model *model = &solution->model;
    bool own = solution->system.own_q;
    for (size_t g = 0; g < model->set_count; g++)
        solution->moments[g] = plain_moments(solution, g);
    if (!oxt_i_linear_solve(&solution->system, solution->moments, solution->space, solution->before,
                            &solution->sums))
        return oxt_i_fit_not_determined(solution, error);
    for (size_t g = 0; g < (own ? model->set_count : 1); g++) {
        double n = own ? solution->moments[g].w : (double)model->n;
        double condition = R * model->T_ref_K * sqrt(n * solution->before[g].variance_q) /
                           OXT_I_PUBLISHED_Q;
        const char *name = whose(solution, g);
        if (!(condition <= OXT_I_WORST_CONDITION))
            return oxt_i_fail(
                error, OXT_EIDENT, "Q_J_per_mol", condition, 1.0, OXT_I_WORST_CONDITION,
                "the trials%s%s determine the temperature dependence %.0f times less well than the "
                "rate (expected at most %g times): nearly all of them ran in one bath; add coupons "
                "at a bath at least %s away, or give %s",
                *name ? " of " : "", name, condition, OXT_I_WORST_CONDITION,
                oxt_i_mark_difference(APART_K).text,
                model->set_count == 1 ? "Q or a prior" : "a prior");
    }
    return OXT_OK;
}

oxt_status oxt_i_fit_check_design(oxt_i_fit_solution *solution, oxt_error *error)
{
    oxt_status status = check_spread(solution, error);
    return status ? status : check_condition(solution, error);
}

/* Baths that lie closer together than the advice to run them apart, and a Q that may yet be a usual one. */
static bool is_undetermined(const oxt_i_fit_solution *solution, size_t set, double Q,
                            double stderr_of_Q)
{
    static const double CLOSE_K = 20.0, MANY_ERRORS = 3.0;
    double widest_K = 0.0;
    for (size_t g = 0; g < solution->model.set_count; g++)
        if (g == set || !solution->system.own_q)
            widest_K = fmax(widest_K,
                            solution->model.sets[g]->high_K - solution->model.sets[g]->low_K);
    return widest_K < CLOSE_K && Q + MANY_ERRORS * stderr_of_Q > OXT_I_LEAST_USUAL_Q;
}

oxt_status oxt_i_fit_check_answer(oxt_i_fit_solution *solution, size_t set,
                                  const oxt_growth *growth, double ln_k_stderr,
                                  double Q_stderr_J_per_mol, oxt_error *error)
{
    const char *name = whose(solution, set);
    char what[300];
    if (growth->Q_J_per_mol > 0.0 && !oxt_i_check_growth(growth, NULL) && isfinite(ln_k_stderr) &&
        isfinite(Q_stderr_J_per_mol))
        return OXT_OK;
    if (growth->Q_J_per_mol > 0.0)
        return oxt_i_fail_text(error, OXT_EIDENT, "trials",
                               "the trials of %s do not determine k_ref and Q",
                               solution->model.sets[set]->name);
    if (is_undetermined(solution, set, growth->Q_J_per_mol, Q_stderr_J_per_mol))
        return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", growth->Q_J_per_mol,
                          OXT_I_LEAST_USUAL_Q, NAN,
                          "the trials%s%s do not determine how the rate changes with temperature "
                          "(Q = %.0f +/- %.0f kJ/mol): their baths are too close together for so "
                          "few coupons; add coupons at a bath at least %s away, or give %s",
                          *name ? " of " : "", name, growth->Q_J_per_mol / 1e3,
                          Q_stderr_J_per_mol / 1e3, oxt_i_mark_difference(APART_K).text,
                          solution->model.set_count == 1 ? "Q or a prior" : "a prior");
    oxt_i_snprintf(
        what, sizeof what,
        "the trials%s%s contradict each other: hotter baths gave thinner films (Q = %.0f "
        "kJ/mol)",
        *name ? " of " : "", name, growth->Q_J_per_mol / 1e3);
    return oxt_i_fit_contradiction(solution, *name ? set : OXT_I_ALL_SETS, error, OXT_EIDENT,
                                   "Q_J_per_mol", what);
}

/* ---- getting ready ---- */

static void take_prior(oxt_i_fit_model *model, const oxt_prior *prior)
{
    double unit = R * model->T_ref_K; /* J/mol for one unit of q */
    size_t count = 0;
    if (prior->ln_k_stderr > 0.0)
        model->prior[count++] = (oxt_i_prior_row){ 1.0, 1.0 - model->T_ref_K / prior->temperature_K,
                                                   prior->ln_k, pow(prior->ln_k_stderr, -2.0) };
    if (prior->Q_stderr_J_per_mol > 0.0)
        model->prior[count++] = (oxt_i_prior_row){ 0.0, 1.0, prior->Q_J_per_mol / unit,
                                                   pow(unit / prior->Q_stderr_J_per_mol, 2.0) };
    model->prior_count = count;
}

oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error)
{
    oxt_prior prior = OXT_PRIOR_INIT;
    bool held = options->Q_J_per_mol > 0.0;
    fit->first[1] = fit->set.used_count;
    fit->one = &fit->set;
    solution->system = (oxt_i_linear){ .groups = 1, .units = 1, .held_q = held ? 1.0 : NAN };
    oxt_status status = options->prior ? oxt_i_prior_in(&prior, options->prior, error) : OXT_OK;
    if (!status && held && prior.Q_stderr_J_per_mol > 0.0)
        status = oxt_i_fail_text(error, OXT_EARG, "prior",
                                 "Q is held at a value and has a prior: give one of the two");
    if (!status)
        status = check_enough(&fit->set, oxt_i_linear_parameters(&solution->system),
                              (prior.ln_k_stderr > 0.0) + (prior.Q_stderr_J_per_mol > 0.0), error);
    if (!status)
        status = oxt_i_fit_new_solution(solution, &fit->one, fit->first, options, false, error);
    if (!status && !held && prior.Q_stderr_J_per_mol == 0.0)
        status = oxt_i_fit_check_design(solution, error);
    if (!status)
        take_prior(&solution->model, &prior);
    return status;
}
