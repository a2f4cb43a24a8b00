/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials -> growth constants with standard errors: from the solution to numbers, warnings and steel.
 * Reading the trials is in fit_rows.c, solving in fit_solve.c, the influence of rows in fit_influence.c and
 * fit_warn.c, the report in fit_report.c. */
#include <stdlib.h>
#include <string.h>

#include "oxtint/version.h"
#include "growth/growth.h"
#include "optics/tint.h"
#include "optics/words.h"
#include "steel/steel.h"
#include "fit/fit.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- the numbers of the result ---- */

/* A held Q that is off by dQ moves ln k_ref by dQ times the weighted mean of the inverse_T_offset, which T_ref makes
 * small; its error goes to both. */
void oxt_i_fit_fill_covariance(oxt_fit_values *values, const oxt_i_fit_solution *solution,
                               const oxt_fit_options *options)
{
    double scale = R * solution->model.T_ref_K;                /* J/mol for one unit of q */
    bool averaged = solution->day_covariance.variance_b > 0.0; /* over the deviations of the days */
    const oxt_i_constants *at = averaged ? &solution->day_covariance : &solution->at[0];
    values->variance_ln_k = at->variance_b;
    values->covariance_J_per_mol = at->covariance * scale;
    values->variance_Q_J2_per_mol2 = at->variance_q * scale * scale;
    const oxt_i_constants *by = solution->extra_slope;
    values->variance_ln_k += solution->extra_variance * by->b * by->b;
    values->covariance_J_per_mol += solution->extra_variance * by->b * by->q * scale;
    values->variance_Q_J2_per_mol2 += solution->extra_variance * by->q * by->q * scale * scale;
    if (values->Q_held) {
        double shift = solution->moments[0].u / scale; /* d ln k_ref / dQ */
        double variance = options->Q_stderr_J_per_mol * options->Q_stderr_J_per_mol;
        values->variance_ln_k += shift * shift * variance;
        values->covariance_J_per_mol = shift * variance;
        values->variance_Q_J2_per_mol2 = variance;
    }
    values->ln_k_stderr = sqrt(values->variance_ln_k);
    values->Q_stderr_J_per_mol = sqrt(values->variance_Q_J2_per_mol2);
    double product = values->ln_k_stderr * values->Q_stderr_J_per_mol;
    values->correlation = product > 0.0 ? values->covariance_J_per_mol / product : NAN;
}

static void fill_intervals(oxt_fit_values *values, double confidence)
{
    double t = oxt_i_t_quantile(confidence, values->dof);
    values->confidence = confidence;
    values->k_ref_low_nm2_per_s = values->growth.k_ref_nm2_per_s * exp(-t * values->ln_k_stderr);
    values->k_ref_high_nm2_per_s = values->growth.k_ref_nm2_per_s * exp(t * values->ln_k_stderr);
    values->Q_low_J_per_mol = NAN;
    values->Q_high_J_per_mol = NAN;
    if (!values->Q_held) {
        values->Q_low_J_per_mol = values->growth.Q_J_per_mol - t * values->Q_stderr_J_per_mol;
        values->Q_high_J_per_mol = values->growth.Q_J_per_mol + t * values->Q_stderr_J_per_mol;
    }
}

double oxt_i_fit_dof_of_rows(const oxt_i_fit_solution *solution)
{
    double counted = oxt_i_fit_counted_dof(solution);
    return solution->model.prior_count ? fmax(counted, OXT_I_LEAST_DOF_WITH_PRIOR) : counted;
}

/* Weighted squares of ln x about their mean. */
static double squares_of_films(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    oxt_i_moments sum = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 };
    if (!model->rows)
        return oxt_i_fit_film_moments(solution).yy;
    for (size_t i = 0; i < model->n; i++) {
        oxt_i_moments row = { solution->weights[i], 0.0, model->rows[i]->aim, 0.0, 0.0, 0.0 };
        oxt_i_moments_add(&sum, &row);
    }
    return sum.zz;
}

/* Of thicknesses by their classes, row by row all the same. */
static double squares_by_blocks(const oxt_i_fit_solution *solution)
{
    const oxt_i_films *films = &solution->model.sets[0]->films;
    const oxt_i_constants *at = &solution->at[0];
    oxt_i_film_block of;
    double sum = 0.0;
    for (size_t i = 0, n; i < films->count; i += n) {
        n = films->count - i < OXT_I_FILM_BLOCK ? films->count - i : OXT_I_FILM_BLOCK;
        oxt_i_fit_fill_films(films, solution->model.T_ref_K, i, n, of.u, of.z, of.own);
        for (size_t j = 0; j < n; j++) {
            double off = 0.5 * (at->b - at->q * of.u[j] - of.z[j]);
            sum += off * off / (of.own[j] + solution->variance);
        }
    }
    return sum;
}

static double squares_of_rows(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double sum = 0.0;
    if (!model->u)
        return squares_by_blocks(solution);
    for (size_t i = 0; i < model->n; i++) {
        double off = oxt_i_fit_residual(solution, 0, i);
        sum += oxt_i_fit_weight(solution, i) * off * off;
    }
    return sum;
}

/* Weighted squares of what the prior knows. */
static double squares_of_prior(const oxt_i_fit_solution *solution)
{
    const oxt_i_constants *at = &solution->at[0];
    double sum = 0.0;
    for (size_t j = 0; j < solution->model.prior_count; j++) {
        const oxt_i_prior_row *prior = &solution->model.prior[j];
        double off = prior->of_ln_k * at->b + prior->of_q * at->q - prior->value;
        sum += prior->weight * off * off;
    }
    return sum;
}

static void fill_quality(oxt_fit_values *values, const oxt_i_fit_solution *solution,
                         bool scatter_fitted)
{
    double total = squares_of_films(solution);
    double of_rows = solution->sums.chi_square - squares_of_prior(solution);
    bool cancels = solution->weights || !(of_rows > 1e-3 * total); /* digits would */
    if (cancels && solution->day_count == 0)
        of_rows = squares_of_rows(solution);
    values->chi_square = of_rows + squares_of_prior(solution);
    values->reduced_chi_square = values->chi_square / oxt_i_fit_dof_of_rows(solution);
    /* Below this the rows differ by rounding only. */
    values->r_squared = total > 1e-18 ? 1.0 - of_rows / total : NAN;
    values->aicc = oxt_i_fit_aicc(solution, (scatter_fitted ? 1 : 0) +
                                                (solution->extra_variance > 0.0 ? 1 : 0));
    /* Condition of two columns scaled to equal length; the correlation of the estimates is that of
     * the columns but for its sign. */
    const oxt_i_constants *at = &solution->at[0];
    double c = values->Q_held ? 0.0 : fabs(at->covariance) / sqrt(at->variance_b * at->variance_q);
    values->condition = sqrt((1.0 + c) / (1.0 - c));
}

static void fill_values(oxt_fit *fit, oxt_i_fit_solution *solution, const oxt_fit_options *options)
{
    oxt_fit_values *values = &fit->values;
    fit->constants = solution->at[0];
    fit->counted_dof = oxt_i_fit_counted_dof(solution);
    fit->parameters = solution->p;
    values->Q_held = options->Q_J_per_mol > 0.0;
    values->growth.k_ref_nm2_per_s = exp(solution->at[0].b);
    values->growth.T_ref_K = solution->model.T_ref_K;
    values->growth.Q_J_per_mol = values->Q_held ? options->Q_J_per_mol
                                                : solution->at[0].q * R * solution->model.T_ref_K;
    values->scatter = solution->scatter;
    values->dof = oxt_i_fit_effective_dof(solution, oxt_i_fit_dof_of_rows(solution));
    values->scatter_dof = solution->scatter_dof > 0.0 ? solution->scatter_dof : values->dof;
    values->day_count = fit->set.day_count;
    values->day_sd = solution->day_sd;
    values->reader_offset = solution->reader_offset;
    values->reader_offset_stderr = solution->reader_sd > 0.0 ? sqrt(solution->extra_variance)
                                                             : options->reader_sd;
    values->growth.law = fit->set.law.law;
    values->growth.shape = fit->set.law.shape;
    values->growth.middle_nm = fit->set.law.middle_nm;
    values->growth.initial_nm = fit->set.law.initial_nm;
    values->initial_stderr_nm2 = options->with_initial ? sqrt(solution->extra_variance) : 0.0;
    values->ln_shape_stderr = oxt_i_fit_has_shape(options) ? sqrt(solution->extra_variance) : 0.0;
    values->row_count = fit->set.row_count;
    values->used_count = solution->model.n;
    oxt_i_fit_fill_covariance(values, solution, options);
    fill_intervals(values, options->confidence);
    fill_quality(values, solution, options->scatter < 0.0);
    oxt_i_fit_find_exponent(solution, values);
    oxt_i_fit_prior_shares(solution, values);
}

static void keep_choices(oxt_fit *fit, const oxt_i_fit_solution *solution,
                         const oxt_fit_options *options)
{
    fit->options = *options;
    fit->options.steel = fit->options.finish = NULL;
    fit->options.prior = NULL;
    fit->options.progress = NULL;
    fit->options.user = NULL;
    fit->prior_count = solution->model.prior_count;
    memcpy(fit->prior, solution->model.prior, sizeof fit->prior);
}

/* ---- running ---- */

oxt_status oxt_i_fit_check_options(const oxt_fit_options *options, oxt_error *error)
{
    const struct {
        const char *name;
        double value, low, high;
        oxt_i_ends ends;
    } numbers[] = {
        { "Q_J_per_mol", options->Q_J_per_mol, 0.0, 1e6, OXT_I_CLOSED },
        { "Q_stderr_J_per_mol", options->Q_stderr_J_per_mol, 0.0, 1e6, OXT_I_CLOSED },
        { "scatter", options->scatter, -1.0, 10.0, OXT_I_CLOSED },
        { "thickness_uncertainty", options->thickness_uncertainty, 0.0, 1.0, OXT_I_OPEN_LOW },
        { "colour_tolerance", options->colour_tolerance, 0.0, 50.0, OXT_I_OPEN_LOW },
        { "confidence", options->confidence, 0.5, 0.9999, OXT_I_CLOSED },
        { "bath_sd_K", options->bath_sd_K, 0.0, 100.0, OXT_I_CLOSED },
        { "time_sd_s", options->time_sd_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED },
        { "reader_sd", options->reader_sd, 0.0, 1.0, OXT_I_CLOSED },
        { "ln_shape_sd", options->ln_shape_sd, 0.0, 10.0, OXT_I_CLOSED },
    };
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < OXT_I_COUNT(numbers) && !status; i++)
        status = oxt_i_check(error, numbers[i].name, numbers[i].value, numbers[i].low,
                             numbers[i].high, numbers[i].ends);
    if (!status)
        status = oxt_i_check_choice("errors_in_variables", (int)options->errors_in_variables,
                                    OXT_ERRORS_ORTHOGONAL, error);
    if (!status)
        status = oxt_i_check_choice("robust", (int)options->robust, OXT_ROBUST_TUKEY, error);
    if (!status)
        status = oxt_i_check_choice("names", (int)options->names, OXT_NAMES_AS_MIDDLES, error);
    if (!status)
        status = oxt_i_check_choice("lifted", (int)options->lifted, OXT_LIFTED_AFTER, error);
    if (!status)
        status = oxt_i_check_choice("rounding", (int)options->rounding, OXT_ROUNDING_NONE, error);
    if (!status)
        status = oxt_i_fit_check_law(options, error);
    return status;
}

static oxt_status run(oxt_fit *fit, const oxt_trials *trials, size_t steel, const oxt_film *film,
                      const oxt_fit_options *options, oxt_error *error)
{
    oxt_i_trial_set *set = &fit->set;
    oxt_i_watch watch = oxt_i_watch_start(options->progress, options->user);
    oxt_i_fit_solution solution = { .watch = &watch, .law = &fit->set.law };
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_status status = oxt_i_fit_read_rows(set, &fit->warnings, trials, steel, film, options,
                                            error);
    if (!status)
        status = oxt_i_fit_take_law(&set, 1, options, error);
    memcpy(fit->edges, oxt_i_film_edges(film), sizeof fit->edges);
    if (!status)
        status = oxt_film_description(film, fit->description, sizeof fit->description, NULL, error);
    if (!status)
        status = oxt_i_fit_prepare(&solution, fit, options, error);
    if (!status)
        status = oxt_i_fit_solve(&solution, options, error);
    if (!status && oxt_i_fit_has_shape(options))
        status = oxt_i_fit_find_shape(&solution, options, error);
    if (!status && options->with_initial)
        status = oxt_i_fit_find_initial(&solution, options, error);
    if (!status && oxt_i_fit_has_reader(&solution.model, options))
        status = oxt_i_fit_find_reader(&solution, options, error);
    if (!status && solution.reader_sd > 0.0 &&
        !oxt_i_fit_take_reader(&fit->words, fit->edges, solution.reader_offset))
        status = oxt_i_no_memory(error);
    if (!status) {
        fill_values(fit, &solution, options);
        keep_choices(fit, &solution, options);
        status = oxt_i_fit_check_answer(&solution, 0, &fit->values.growth, fit->values.ln_k_stderr,
                                        fit->values.Q_stderr_J_per_mol, error);
    }
    if (!status) {
        const oxt_i_fit_answer answer = oxt_i_fit_answer_of(fit);
        for (size_t i = 0; i < solution.model.n && solution.model.rows; i++)
            oxt_i_fit_finish_row(&answer, solution.model.rows[i]);
        oxt_i_fit_warn_contradiction(&fit->warnings, &solution, &answer);
        oxt_i_fit_warn_rows(&fit->warnings, &fit->set, &answer, solution.model.n);
        oxt_i_fit_warn(fit);
        if (options->prior && !oxt_i_prior_in(&prior, options->prior, NULL))
            oxt_i_fit_warn_prior(fit, &prior);
        fit->values.warning_count = fit->warnings.count;
        status = fit->warnings.failed ? oxt_i_no_memory(error) : oxt_i_watch_end(&watch, error);
    }
    oxt_i_fit_free_solution(&solution);
    return status;
}

oxt_status oxt_i_fit_run(oxt_fit **fit, const oxt_trials *trials, size_t steel,
                         const oxt_film *film, const oxt_fit_options *options, oxt_error *error)
{
    oxt_fit *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    made->values = (oxt_fit_values)OXT_FIT_VALUES_INIT;
    oxt_status status = oxt_i_words_copy(&made->words, oxt_i_words_of_fit(trials, film))
                            ? run(made, trials, steel, film, options, error)
                            : oxt_i_no_memory(error);
    if (status) {
        oxt_fit_free(made);
        return status;
    }
    made->values.unit = oxt_trials_unit(trials);
    *fit = made;
    return OXT_OK;
}

oxt_status oxt_fit_run(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
                       const oxt_fit_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit || !trials || !film) {
        if (fit)
            *fit = NULL;
        return oxt_i_null(error, !fit ? "fit" : !trials ? "trials" : "film");
    }
    *fit = NULL;
    oxt_fit_options chosen = OXT_FIT_OPTIONS_INIT;
    oxt_status status = OXT_I_OPTIONS_IN(oxt_fit_options, &chosen, options, error);
    if (!status)
        status = oxt_i_fit_check_options(&chosen, error);
    if (status)
        return status;
    return oxt_i_fit_run(fit, trials, OXT_I_NO_STEEL, film, &chosen, error);
}

void oxt_fit_free(oxt_fit *fit)
{
    if (!fit)
        return;
    oxt_i_warnings_free(&fit->warnings);
    oxt_i_fit_free_set(&fit->set);
    oxt_words_free(fit->words);
    free(fit);
}

/* ---- reading the result ---- */

oxt_status oxt_fit_get(const oxt_fit *fit, oxt_fit_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit || !values)
        return oxt_i_null(error, fit ? "values" : "fit");
    return OXT_I_STRUCT_OUT(oxt_fit_values, values, &fit->values, "values", error);
}

oxt_status oxt_fit_get_row(const oxt_fit *fit, size_t index, oxt_fit_row *row, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit || !row)
        return oxt_i_null(error, fit ? "row" : "fit");
    oxt_status status = oxt_i_check_index(error, index, fit->set.row_count);
    if (status)
        return status;
    oxt_fit_row made = OXT_FIT_ROW_INIT;
    const oxt_i_fit_row of = oxt_i_fit_row_at(fit, index), *seen = &of;
    made.trial = seen->trial;
    made.line = seen->line;
    made.used = seen->reading_count > 0;
    oxt_i_copy_text(made.reason, sizeof made.reason, made.used ? "" : seen->reason);
    made.low_nm = made.high_nm = made.observed_nm = made.predicted_nm = NAN;
    made.residual = made.sigma = made.studentized = made.leverage = NAN;
    made.weight = made.cooks_distance = made.dip_change = made.equivalent_s = NAN;
    if (made.used) {
        const oxt_i_reading *reading = oxt_i_seen(seen);
        made.order = reading->order;
        made.low_nm = reading->low_nm;
        made.high_nm = reading->high_nm;
        made.observed_nm = oxt_i_fit_film_nm(&fit->set, reading->ln_x);
        made.predicted_nm = oxt_i_fit_film_nm(&fit->set, reading->ln_x - seen->residual);
        made.residual = seen->residual;
        made.sigma = seen->sigma;
        made.studentized = seen->studentized;
        made.leverage = seen->leverage;
        made.weight = seen->weight;
        made.cooks_distance = seen->cooks_distance;
        made.dip_change = seen->dip_change;
        made.equivalent_s = seen->equivalent_s;
    }
    return OXT_I_STRUCT_OUT(oxt_fit_row, row, &made, "row", error);
}

oxt_status oxt_fit_warning(const oxt_fit *fit, size_t index, char *buffer, size_t capacity,
                           size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit)
        return oxt_i_null(error, "fit");
    return oxt_i_warnings_give(&fit->warnings, index, buffer, capacity, needed, error);
}

oxt_status oxt_fit_steel(const oxt_fit *fit, oxt_steel **steel, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!fit)
        return oxt_i_null(error, "fit");
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    values.growth = fit->values.growth;
    values.variance_ln_k = fit->values.variance_ln_k;
    values.covariance_J_per_mol = fit->values.covariance_J_per_mol;
    values.variance_Q_J2_per_mol2 = fit->values.variance_Q_J2_per_mol2;
    values.scatter = fit->values.scatter;
    values.day_sd = fit->values.day_sd;
    values.dof = fit->values.dof;
    values.scatter_dof = fit->values.scatter_dof;
    values.time_exponent = fit->values.time_exponent;
    values.time_exponent_stderr = fit->values.time_exponent_stderr;
    values.middle_nm = fit->values.middle_nm;
    values.ln_shape_stderr = fit->values.ln_shape_stderr;
    values.initial_stderr_nm2 = fit->values.initial_stderr_nm2;
    oxt_i_fit_reach(&fit->set, &values);
    oxt_i_copy_text(values.description, sizeof values.description, fit->description);
    oxt_i_snprintf(values.origin, sizeof values.origin, "fit of %zu trial%s by oxtint %s%s",
                   values.trial_count, oxt_i_plural(values.trial_count), oxt_version(),
                   fit->values.Q_held ? ", Q given"
                   : fit->prior_count ? ", with a prior"
                                      : "");
    return oxt_i_steel_make(steel, &values, fit->words, error);
}
