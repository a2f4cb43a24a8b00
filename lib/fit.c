/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials -> growth constants, with honest errors: from the solution to numbers, warnings and steel.
 * Reading the trials is in fit_rows.c, solving in fit_solve.c, the report in fit_report.c. */
#include <stdlib.h>
#include <string.h>

#include "fit_internal.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

void oxt_fit_options_init(oxt_fit_options *options)
{
    if (options)
        *options = (oxt_fit_options)OXT_FIT_OPTIONS_INIT;
}

void oxt_fit_values_init(oxt_fit_values *values)
{
    if (values)
        *values = (oxt_fit_values)OXT_FIT_VALUES_INIT;
}

void oxt_fit_row_init(oxt_fit_row *row)
{
    if (row)
        *row = (oxt_fit_row)OXT_FIT_ROW_INIT;
}

void oxt_i_fit_warn(oxt_fit *fit, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    int length = oxt_i_vsnprintf(NULL, 0, format, list);
    va_end(list);
    char *sentence = length < 0 ? NULL : malloc((size_t)length + 1);
    char **warnings = realloc(fit->warnings, (fit->warning_count + 1) * sizeof *warnings);
    if (warnings)
        fit->warnings = warnings;
    if (!sentence || !warnings) {
        free(sentence);
        fit->memory_failed = true;
        return;
    }
    va_start(list, format);
    oxt_i_vsnprintf(sentence, (size_t)length + 1, format, list);
    va_end(list);
    warnings[fit->warning_count++] = sentence;
}

/* ---- the numbers of the result ---- */

static void fill_covariance(oxt_fit_values *values, const oxt_i_fit_solution *solution,
                            const oxt_fit_options *options)
{
    double scale = R * solution->model.T_ref_K; /* J/mol for one unit of q */
    const double *C = solution->result.covariance;
    values->variance_ln_k = C[0];
    if (solution->p == 2) {
        values->covariance_J_per_mol = C[1] * scale;
        values->variance_Q_J2_per_mol2 = C[3] * scale * scale;
    } else {
        /* A held Q that is off by dQ moves ln k_ref by dQ times the weighted mean of the lateness,
         * which T_ref makes small; its error goes to both. */
        double mean = 0.0, sum = 0.0;
        for (size_t i = 0; i < solution->model.n; i++) {
            mean += 0.25 * solution->weights[i] * solution->model.rows[i]->lateness;
            sum += 0.25 * solution->weights[i];
        }
        for (size_t j = 0; j < solution->model.prior_count; j++) {
            const oxt_i_prior_row *prior = &solution->model.prior[j];
            mean -= prior->weight * prior->of_ln_k * prior->of_q;
            sum += prior->weight * prior->of_ln_k * prior->of_ln_k;
        }
        double shift = mean / sum / scale; /* d ln k_ref / dQ */
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

static double counted_dof(const oxt_i_fit_solution *solution)
{
    return (double)(solution->model.n + solution->model.prior_count - solution->p);
}

/* Those of the rows, for the errors of the constants. */
static double dof_of_rows(const oxt_i_fit_solution *solution)
{
    double counted = counted_dof(solution);
    return solution->model.prior_count ? fmax(counted, OXT_I_LEAST_DOF_WITH_PRIOR) : counted;
}

double oxt_i_fit_twice_log_likelihood(const oxt_i_fit_solution *solution, size_t i)
{
    const oxt_i_seen_row *row = solution->model.rows[i];
    double off = solution->residuals[i];
    if (row->band_sd > 0.0)
        return 2.0 * row->best_log_chance - row->weight * pow(oxt_i_fit_errors(row, off), 2.0);
    return -solution->weights[i] * off * off - log(2.0 * OXT_I_PI * row->sigma * row->sigma);
}

static void fill_quality(oxt_fit_values *values, const oxt_i_fit_solution *solution,
                         bool scatter_fitted)
{
    size_t n = solution->model.n;
    double weight = 0.0, mean = 0.0, total = 0.0, of_rows = 0.0, twice_ln_chance = 0.0;
    for (size_t i = 0; i < n; i++) {
        weight += solution->weights[i];
        mean += solution->weights[i] * solution->model.rows[i]->aim;
        of_rows += solution->weights[i] * solution->residuals[i] * solution->residuals[i];
        twice_ln_chance += oxt_i_fit_twice_log_likelihood(solution, i);
    }
    mean /= weight;
    for (size_t i = 0; i < n; i++) {
        double offset = solution->model.rows[i]->aim - mean;
        total += solution->weights[i] * offset * offset;
    }
    values->chi_square = solution->result.chi_square;
    values->reduced_chi_square = values->chi_square / dof_of_rows(solution);
    /* Below this only rounding tells the rows apart. */
    values->r_squared = total > 1e-18 ? 1.0 - of_rows / total : NAN;
    double k = (double)solution->p + (scatter_fitted ? 1.0 : 0.0);
    double left = (double)n - k - 1.0;
    values->aicc = left > 0.0 ? 2.0 * k + 2.0 * k * (k + 1.0) / left - twice_ln_chance : NAN;
    /* Condition of two columns scaled to equal length; the correlation of the estimates is that of
     * the columns but for its sign. */
    double c = solution->p == 2
                   ? fabs(solution->result.covariance[1]) /
                         sqrt(solution->result.covariance[0] * solution->result.covariance[3])
                   : 0.0;
    values->condition = sqrt((1.0 + c) / (1.0 - c));
}

static void fill_values(oxt_fit *fit, const oxt_i_fit_solution *solution,
                        const oxt_fit_options *options)
{
    oxt_fit_values *values = &fit->values;
    double q = solution->p == 2 ? solution->result.parameters[1] : solution->model.held_q;
    values->growth.k_ref_nm2_per_s = exp(solution->result.parameters[0]);
    values->growth.T_ref_K = solution->model.T_ref_K;
    values->growth.Q_J_per_mol = solution->p == 2 ? q * R * solution->model.T_ref_K
                                                  : options->Q_J_per_mol;
    values->Q_held = solution->p == 1;
    values->scatter = solution->scatter;
    values->dof = oxt_i_fit_effective_dof(solution, dof_of_rows(solution));
    values->row_count = fit->row_count;
    values->used_count = solution->model.n;
    fill_covariance(values, solution, options);
    fill_intervals(values, options->confidence);
    fill_quality(values, solution, options->scatter < 0.0);
    oxt_i_fit_prior_shares(solution, values);
}

/* The residual over its own standard error, with the scale of the errors taken from the other rows:
 * a gross outlier swells the scatter, and must not hide behind it. Where the others agree by chance
 * the scale stops at the width of what was seen in the row itself. */
double oxt_i_fit_studentized(const oxt_i_seen_row *row, double off, double chi_square, double dof)
{
    if (dof <= 1.0 || row->leverage >= 1.0 - 1e-9)
        return NAN;
    double inner = off / (row->aim_sigma * sqrt(1.0 - row->leverage));
    double others = fmax(chi_square - row->weight * inner * inner, 0.0) / (dof - 1.0);
    double width = oxt_i_seen(row)->sigma / row->sigma;
    return inner / sqrt(fmax(others, width * width));
}

/* ln(observed / predicted) at the bath and time that were logged; in an orthogonal fit the residual of
 * the solution is that of the tangent at the true ones. */
static double residual_as_logged(const oxt_i_fit_model *model, const oxt_i_seen_row *row,
                                 const oxt_growth *growth)
{
    double q = growth->Q_J_per_mol / (R * model->T_ref_K);
    return oxt_i_seen(row)->ln_x - oxt_i_fit_ln_x(model, row, log(growth->k_ref_nm2_per_s), q,
                                                  row->bath_K, row->time_s, NULL);
}

double oxt_i_fit_residual(const oxt_i_fit_solution *solution, size_t i)
{
    const oxt_i_seen_row *row = solution->model.rows[i];
    return oxt_i_seen(row)->ln_x - row->aim - solution->residuals[i];
}

static void fill_rows(oxt_fit *fit, const oxt_i_fit_solution *solution)
{
    for (size_t i = 0; i < solution->model.n; i++) {
        oxt_i_seen_row *row = solution->model.rows[i];
        row->residual = solution->model.orthogonal
                            ? residual_as_logged(&solution->model, row, &fit->values.growth)
                            : oxt_i_fit_residual(solution, i);
        row->leverage = oxt_i_fit_leverage(solution, i);
        row->worth_s = exp(oxt_i_fit_ln_equivalent(
            &solution->model, row, fit->values.growth.Q_J_per_mol / (R * solution->model.T_ref_K),
            row->bath_K, row->time_s, NULL));
        row->studentized = oxt_i_fit_studentized(row, -solution->residuals[i],
                                                 fit->values.chi_square, counted_dof(solution));
    }
    oxt_i_fit_influence(solution);
}

static void keep_choices(oxt_fit *fit, const oxt_i_fit_solution *solution,
                         const oxt_fit_options *options)
{
    fit->options = *options;
    fit->options.steel = fit->options.finish = NULL;
    fit->options.prior = NULL;
    fit->prior_count = solution->model.prior_count;
    memcpy(fit->prior, solution->model.prior, sizeof fit->prior);
}

/* ---- what to distrust ---- */

static void warn_readings(oxt_fit *fit)
{
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count > 0 && row->reading != 0) {
            char what[64];
            oxt_i_row_name(row, what, sizeof what);
            double ratio = exp(row->readings[0].ln_x - (oxt_i_seen(row)->ln_x - row->residual));
            oxt_i_fit_warn(
                fit,
                "%s: %s is read as order %d (%.0f nm): in order %d (%.0f nm) it would be "
                "%.2g times what the other trials say. State the order in the log.",
                what, row->text, oxt_i_seen(row)->order, exp(oxt_i_seen(row)->ln_x),
                row->readings[0].order, exp(row->readings[0].ln_x), ratio);
        }
    }
}

/* Below this weight a row is named. */
static const double DISTRUSTED = 0.5;

static void warn_distrusted(oxt_fit *fit)
{
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0 || !(row->weight < DISTRUSTED))
            continue;
        char what[64], celsius[32], fahrenheit[32], time[32];
        oxt_i_row_name(row, what, sizeof what);
        oxt_format_temperature(row->bath_K, OXT_CELSIUS, celsius, sizeof celsius, NULL, NULL);
        oxt_format_temperature(row->bath_K, OXT_FAHRENHEIT, fahrenheit, sizeof fahrenheit, NULL,
                               NULL);
        oxt_format_duration(row->time_s, time, sizeof time, NULL, NULL);
        oxt_i_fit_warn(
            fit,
            "%s: %s at %s (%s) after %s was distrusted (weight %.2f): it lies %.1f times "
            "its error %s the rest.",
            what, row->text, celsius, fahrenheit, time, row->weight,
            fabs(row->residual) / row->sigma, row->residual > 0.0 ? "above" : "below");
    }
}

/* Far beyond their scatter, by Student's t of what the others leave. */
static double outlier_limit(const oxt_fit *fit, double dof)
{
    /* Bonferroni: one alarm in a hundred logs of sound trials, whatever their number. */
    return oxt_i_t_quantile(1.0 - 0.01 / (double)fit->values.used_count, dof - 1.0);
}

static void warn_outliers(oxt_fit *fit, double dof)
{
    if (dof <= 1.0)
        return;
    double limit = outlier_limit(fit, dof);
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0 || row->weight < DISTRUSTED ||
            !(fabs(row->studentized) > limit))
            continue;
        char what[64];
        oxt_i_row_name(row, what, sizeof what);
        oxt_i_fit_warn(fit,
                       "%s: the film is %.0f %% %s than the other trials say, far beyond their "
                       "scatter: check its time, bath and colour.",
                       what, 100.0 * fabs(expm1(row->residual)),
                       row->residual > 0.0 ? "thicker" : "thinner");
    }
}

void oxt_i_fit_warn_rows(oxt_fit *fit, double dof)
{
    warn_readings(fit);
    warn_distrusted(fit);
    warn_outliers(fit, dof);
}

/* A slip in the time of a coupon that warms up can bend the constants until it fits, and the others do not: then it is
 * named by what the others say without it. */
static void name_contradiction(oxt_fit *fit, const oxt_i_fit_solution *solution, double dof)
{
    static const double FAR = 8.0, FARTHER_THAN_COLOURS = 0.4;
    double off, usual;
    char name[64], far[40];
    if (!solution->model.has_paths || solution->robust != OXT_ROBUST_NONE || dof <= 1.0)
        return;
    const oxt_i_seen_row *row = oxt_i_fit_contradicting(solution, &off, &usual);
    if (!row || fabs(off) < FARTHER_THAN_COLOURS || fabs(off) < FAR * usual ||
        fabs(row->studentized) > outlier_limit(fit, dof))
        return;
    oxt_i_row_name(row, name, sizeof name);
    oxt_i_fit_how_far(off, far, sizeof far);
    oxt_i_fit_warn(fit, "%s contradicts the others by %s: check its time, bath and colour.", name,
                   far);
}

static void warn_numbers(oxt_fit *fit)
{
    const oxt_fit_values *values = &fit->values;
    double Q = values->growth.Q_J_per_mol;
    if (values->scatter > 0.15)
        oxt_i_fit_warn(fit,
                       "Trials disagree by %.0f %% in thickness beyond the width of their colours: "
                       "look for a bath, time or finish that changed.",
                       100.0 * values->scatter);
    if (values->used_count < (values->Q_held ? 5 : 6))
        oxt_i_fit_warn(fit, "Only %zu trial%s: the errors themselves are uncertain.",
                       values->used_count, oxt_i_plural(values->used_count));
    if (!values->Q_held && values->Q_stderr_J_per_mol > 0.25 * Q)
        oxt_i_fit_warn(
            fit,
            "Q is uncertain by %.0f %%: keep to the baths of the trials, or add coupons at "
            "baths farther apart.",
            100.0 * values->Q_stderr_J_per_mol / Q);
    if (!values->Q_held && (Q < 40e3 || Q > 180e3))
        oxt_i_fit_warn(
            fit,
            "Q = %.0f kJ/mol is outside what is published for iron and mild steel (57 to "
            "138 kJ/mol).",
            Q / 1e3);
}

/* The thinnest and the thickest of the bands that names were seen in, and how many differ; 0 when something
 * else than a name was seen too. */
static size_t different_names(const oxt_fit *fit, const oxt_i_reading **thin,
                              const oxt_i_reading **thick)
{
    *thin = *thick = NULL;
    size_t different = 0;
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0)
            continue;
        if (row->band_sd == 0.0)
            return 0;
        const oxt_i_reading *seen = oxt_i_seen(row);
        different += !*thin ? 1 : 0;
        if (*thin && seen->ln_x != (*thin)->ln_x && seen->ln_x != (*thick)->ln_x)
            different++;
        if (!*thin || seen->ln_x < (*thin)->ln_x)
            *thin = seen;
        if (!*thick || seen->ln_x > (*thick)->ln_x)
            *thick = seen;
    }
    return different;
}

/* The logged bath in which a time is least certain. */
static double least_certain_bath(const oxt_fit *fit)
{
    const oxt_fit_values *v = &fit->values;
    double most = -1.0, bath_K = v->growth.T_ref_K;
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0)
            continue;
        double s = (1.0 / row->bath_K - 1.0 / v->growth.T_ref_K) / R;
        double variance = v->variance_ln_k - 2.0 * s * v->covariance_J_per_mol +
                          s * s * v->variance_Q_J2_per_mol2;
        if (variance > most) {
            most = variance;
            bath_K = row->bath_K;
        }
    }
    return bath_K;
}

/* Bands that are all alike bound the film and do no more. */
static void warn_few_names(oxt_fit *fit)
{
    const oxt_i_reading *thin, *thick;
    size_t different = different_names(fit, &thin, &thick);
    if (different == 0 || different > 2)
        return;
    /* midway between two bands; at the end of one that is alone */
    double film_nm = different == 2 ? sqrt(thin->high_nm * thick->low_nm) : thick->high_nm;
    double bath_K = least_certain_bath(fit), time_s;
    char celsius[32], fahrenheit[32], time[32];
    if (oxt_time_for_thickness(&fit->values.growth, film_nm, bath_K, &time_s, NULL))
        return;
    oxt_format_temperature(bath_K, OXT_CELSIUS, celsius, sizeof celsius, NULL, NULL);
    oxt_format_temperature(bath_K, OXT_FAHRENHEIT, fahrenheit, sizeof fahrenheit, NULL, NULL);
    if (oxt_format_duration(round(time_s), time, sizeof time, NULL, NULL))
        return;
    oxt_i_fit_warn(fit,
                   "The trials show only %s, and a colour only says that the film lies within its "
                   "band: the limits are wide. Log next a coupon at %s (%s) for about %s, %s.",
                   different == 2 ? "two colours" : "one colour", celsius, fahrenheit, time,
                   different == 2 ? "whose film should lie between the two"
                                  : "where the colour should just be changing");
}

static oxt_status check_answer(const oxt_fit *fit, const oxt_i_fit_solution *solution,
                               oxt_error *error)
{
    const oxt_growth *growth = &fit->values.growth;
    if (!(growth->Q_J_per_mol > 0.0)) {
        char what[300];
        oxt_i_snprintf(
            what, sizeof what,
            "the trials of %s contradict each other: hotter baths gave thinner films (Q = "
            "%.0f kJ/mol)",
            fit->name, growth->Q_J_per_mol / 1e3);
        return oxt_i_fit_contradiction(solution, error, OXT_EIDENT, "Q_J_per_mol", what);
    }
    if (oxt_i_check_growth(growth, NULL) || !isfinite(fit->values.ln_k_stderr) ||
        !isfinite(fit->values.Q_stderr_J_per_mol))
        return oxt_i_fail_text(error, OXT_EIDENT, "trials",
                               "the trials of %s do not determine k_ref and Q", fit->name);
    return OXT_OK;
}

/* ---- running ---- */

oxt_status oxt_i_fit_check_options(const oxt_fit_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "Q_J_per_mol", options->Q_J_per_mol, 0.0, 1e6,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "Q_stderr_J_per_mol", options->Q_stderr_J_per_mol, 0.0, 1e6,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "scatter", options->scatter, -1.0, 10.0, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "thickness_uncertainty", options->thickness_uncertainty, 0.0,
                             1.0, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "colour_tolerance", options->colour_tolerance, 0.0, 50.0,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "confidence", options->confidence, 0.5, 0.9999, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "bath_sd_K", options->bath_sd_K, 0.0, 100.0, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "time_sd_s", options->time_sd_s, 0.0, OXT_TIME_HIGH_S,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_choice("errors_in_variables", (int)options->errors_in_variables,
                                    OXT_ORTHOGONAL, error);
    if (!status)
        status = oxt_i_check_choice("robust", (int)options->robust, OXT_ROBUST_TUKEY, error);
    if (!status)
        status = oxt_i_check_choice("names", (int)options->names, OXT_NAMES_AS_MIDDLES, error);
    return status;
}

static oxt_status run(oxt_fit *fit, const oxt_trials *trials, const oxt_film *film,
                      const oxt_fit_options *options, oxt_error *error)
{
    oxt_i_fit_solution solution = { 0 };
    double dof = 0.0;
    oxt_status status = oxt_i_fit_read_rows(fit, trials, film, options, error);
    if (!status)
        status = oxt_i_fit_prepare(&solution, fit, options, error);
    if (!status)
        status = oxt_i_fit_solve(&solution, options, error);
    if (!status) {
        fill_values(fit, &solution, options);
        fill_rows(fit, &solution);
        keep_choices(fit, &solution, options);
        dof = counted_dof(&solution);
        status = check_answer(fit, &solution, error);
        if (!status)
            name_contradiction(fit, &solution, dof);
    }
    oxt_i_fit_free_solution(&solution);
    if (status)
        return status;
    oxt_i_fit_warn_rows(fit, dof);
    warn_numbers(fit);
    warn_few_names(fit);
    return fit->memory_failed ? oxt_i_no_memory(error) : OXT_OK;
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
    oxt_status status = OXT_OK;
    if (options)
        status = oxt_i_struct_in(&chosen, options, sizeof chosen, sizeof chosen, "options", error);
    if (!status)
        status = oxt_i_fit_check_options(&chosen, error);
    if (status)
        return status;
    oxt_fit *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    made->values = (oxt_fit_values)OXT_FIT_VALUES_INIT;
    status = run(made, trials, film, &chosen, error);
    if (status) {
        oxt_fit_free(made);
        return status;
    }
    *fit = made;
    return OXT_OK;
}

void oxt_fit_free(oxt_fit *fit)
{
    if (!fit)
        return;
    for (size_t i = 0; i < fit->warning_count; i++)
        free(fit->warnings[i]);
    free(fit->warnings);
    free(fit->rows);
    free(fit->paths);
    free(fit);
}

/* ---- reading the result ---- */

oxt_status oxt_fit_get(const oxt_fit *fit, oxt_fit_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit || !values)
        return oxt_i_null(error, fit ? "values" : "fit");
    return oxt_i_struct_out(values, &fit->values, sizeof *values, sizeof *values, "values", error);
}

oxt_status oxt_fit_get_row(const oxt_fit *fit, size_t index, oxt_fit_row *row, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit || !row)
        return oxt_i_null(error, fit ? "row" : "fit");
    oxt_status status = oxt_i_check_index(error, index, fit->row_count);
    if (status)
        return status;
    oxt_fit_row made = OXT_FIT_ROW_INIT;
    const oxt_i_seen_row *seen = &fit->rows[index];
    made.trial = seen->trial;
    made.line = seen->line;
    made.used = seen->reading_count > 0;
    oxt_i_copy_text(made.reason, sizeof made.reason, made.used ? "" : seen->reason);
    made.low_nm = made.high_nm = made.observed_nm = made.predicted_nm = NAN;
    made.residual = made.sigma = made.studentized = made.leverage = NAN;
    made.weight = made.cooks_distance = made.dip_change = made.worth_s = NAN;
    if (made.used) {
        const oxt_i_reading *reading = oxt_i_seen(seen);
        made.order = reading->order;
        made.low_nm = reading->low_nm;
        made.high_nm = reading->high_nm;
        made.observed_nm = exp(reading->ln_x);
        made.predicted_nm = exp(reading->ln_x - seen->residual);
        made.residual = seen->residual;
        made.sigma = seen->sigma;
        made.studentized = seen->studentized;
        made.leverage = seen->leverage;
        made.weight = seen->weight;
        made.cooks_distance = seen->cooks_distance;
        made.dip_change = seen->dip_change;
        made.worth_s = seen->worth_s;
    }
    return oxt_i_struct_out(row, &made, sizeof made, sizeof made, "row", error);
}

size_t oxt_fit_warning_count(const oxt_fit *fit)
{
    return fit ? fit->warning_count : 0;
}

oxt_status oxt_fit_warning(const oxt_fit *fit, size_t index, char *buffer, size_t capacity,
                           size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fit)
        return oxt_i_null(error, "fit");
    oxt_status status = oxt_i_check_index(error, index, fit->warning_count);
    return status ? status : oxt_i_emit(fit->warnings[index], buffer, capacity, needed, error);
}

void oxt_i_fit_reach(const oxt_fit *fit, oxt_steel_values *values)
{
    values->bath_low_K = values->thickness_low_nm = HUGE_VAL;
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0)
            continue;
        values->bath_low_K = fmin(values->bath_low_K, row->bath_K);
        values->bath_high_K = fmax(values->bath_high_K, row->bath_K);
        values->thickness_low_nm = fmin(values->thickness_low_nm, oxt_i_seen(row)->low_nm);
        values->thickness_high_nm = fmax(values->thickness_high_nm, oxt_i_seen(row)->high_nm);
    }
    oxt_i_fit_put_coupons(fit, values);
}

oxt_status oxt_fit_steel(const oxt_fit *fit, oxt_steel **steel, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!fit)
        return oxt_i_null(error, "fit");
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_i_copy_text(values.steel, sizeof values.steel, fit->steel);
    oxt_i_copy_text(values.finish, sizeof values.finish, fit->finish);
    values.growth = fit->values.growth;
    values.variance_ln_k = fit->values.variance_ln_k;
    values.covariance_J_per_mol = fit->values.covariance_J_per_mol;
    values.variance_Q_J2_per_mol2 = fit->values.variance_Q_J2_per_mol2;
    values.scatter = fit->values.scatter;
    values.dof = fit->values.dof;
    values.trial_count = fit->values.used_count;
    oxt_i_fit_reach(fit, &values);
    bool prior = fit->values.prior_share_Q > 0.0 || fit->values.prior_share_ln_k > 0.0;
    oxt_i_copy_text(values.description, sizeof values.description, fit->description);
    oxt_i_snprintf(values.origin, sizeof values.origin, "fit of %zu trial%s by oxtint %s%s",
                   values.trial_count, oxt_i_plural(values.trial_count), oxt_version(),
                   fit->values.Q_held ? ", Q given"
                   : prior            ? ", with a prior"
                                      : "");
    return oxt_steel_new(steel, &values, error);
}
