/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials -> growth constants, with honest errors. Reading the trials is in fit_rows.c, the report in
 * fit_report.c. */
#include <gsl/gsl_cdf.h>
#include <stdlib.h>
#include <string.h>

#include "fit_internal.h"
#include "lsq.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

enum {
    FEWEST_ROWS = 3, /* one more than the parameters, so that there is an error at all */
    FEWEST_ROWS_HELD = 2,
};

/* Baths closer together than this are one bath read with a thermometer's jitter. */
static const double LEAST_SPREAD_K = 5.0;

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

/* ---- the model: ln x = (ln k_ref - q (T_ref/T - 1) + ln t) / 2, with q = Q / (R T_ref) ---- */

typedef struct {
    oxt_i_seen_row **rows; /* the used ones */
    size_t n;
    double T_ref_K;
    double held_q; /* NAN when q is fitted */
} growth_model;

static bool residuals(const double *parameters, double *result, void *context)
{
    const growth_model *model = context;
    double q = isnan(model->held_q) ? parameters[1] : model->held_q;
    for (size_t i = 0; i < model->n; i++) {
        const oxt_i_seen_row *row = model->rows[i];
        double ln_x = 0.5 * (parameters[0] - q * row->lateness + row->ln_time);
        result[i] = ln_x - oxt_i_seen(row)->ln_x;
    }
    return true;
}

static bool jacobian(const double *parameters, double *result, void *context)
{
    const growth_model *model = context;
    (void)parameters;
    size_t p = isnan(model->held_q) ? 2 : 1;
    for (size_t i = 0; i < model->n; i++) {
        result[i * p] = 0.5;
        if (p == 2)
            result[i * p + 1] = -0.5 * model->rows[i]->lateness;
    }
    return true;
}

/* ---- one solution, and the scatter that goes with it ---- */

typedef struct {
    growth_model model;
    size_t p;
    oxt_i_lsq *solver;
    oxt_i_lsq_result result;
    double *weights, *residuals;
    double scatter;
} fit_solution;

static void free_solution(fit_solution *solution)
{
    oxt_i_lsq_free(solution->solver);
    free(solution->model.rows);
    free(solution->weights);
    free(solution->residuals);
}

static oxt_status solve_with(fit_solution *solution, double variance, oxt_error *error)
{
    for (size_t i = 0; i < solution->model.n; i++) {
        double sigma = oxt_i_seen(solution->model.rows[i])->sigma;
        solution->weights[i] = 1.0 / (variance + sigma * sigma);
    }
    oxt_status status = oxt_i_lsq_solve(solution->solver, solution->weights, &solution->result,
                                        error);
    if (!status)
        residuals(solution->result.parameters, solution->residuals, &solution->model);
    return status;
}

/* Logarithm of the restricted likelihood of the residuals at the solution just made: what is left
 * of the likelihood when the parameters are integrated out (H. D. Patterson and R. Thompson,
 * Biometrika 58 (1971) 545). */
static double restricted_likelihood(const fit_solution *solution)
{
    const double *C = solution->result.covariance;
    double logs = log(solution->p == 2 ? C[0] * C[3] - C[1] * C[2] : C[0]);
    for (size_t i = 0; i < solution->model.n; i++)
        logs += log(solution->weights[i]);
    return 0.5 * (logs - solution->result.chi_square);
}

/* Paule and Mandel: the variance that makes chi-square of fixed residuals equal to its degrees of
 * freedom, 0 when they agree without any. Newton's steps from 0 never overshoot, because chi-square
 * falls and is convex in the variance. Returned with the standard deviation of that variance. */
static double moment_variance(const fit_solution *solution, double *deviation)
{
    enum { MOST_STEPS = 60 };
    double variance = 0.0, dof = (double)(solution->model.n - solution->p);
    for (int step = 0; step < MOST_STEPS; step++) {
        double excess = -dof, slope = 0.0, squares = 0.0;
        for (size_t i = 0; i < solution->model.n; i++) {
            double sigma = oxt_i_seen(solution->model.rows[i])->sigma;
            double weight = 1.0 / (variance + sigma * sigma);
            double pull = weight * solution->residuals[i];
            excess += pull * solution->residuals[i];
            slope += pull * pull;
            squares += weight * weight;
        }
        *deviation = sqrt(2.0 / squares);
        if (excess <= 1e-6 * dof)
            break;
        variance += excess / slope;
    }
    return variance;
}

/* The scatter is estimated by its mean over the restricted likelihood. The usual estimate, the mode,
 * is 0 for a quarter of sound logs of a dozen coupons, because the width of the colours may explain
 * all that is seen; the mean is never 0, and the intervals for the next dip hold. A wide prior
 * (half-Cauchy, 25 %) keeps it finite with few rows: A. Gelman, Bayesian Analysis 1 (2006) 515. */
static oxt_status solve_scatter(fit_solution *solution, double given, oxt_error *error)
{
    enum { POINTS = 10 };
    static const double PRIOR_SCALE = 0.25, EQUAL_WEIGHTS = 1e3;
    double logs[POINTS], scatters[POINTS], most = -HUGE_VAL;
    solution->scatter = given;
    if (given >= 0.0)
        return solve_with(solution, given * given, error);
    oxt_status status = solve_with(solution, EQUAL_WEIGHTS, error);
    if (status)
        return status;
    double deviation, variance = moment_variance(solution, &deviation);
    double low = sqrt(fmax(variance - 4.0 * deviation, 0.0));
    double high = sqrt(variance + 6.0 * deviation);
    for (int i = 0; i < POINTS && !status; i++) {
        scatters[i] = low + (high - low) * (i + 0.5) / POINTS;
        status = solve_with(solution, scatters[i] * scatters[i], error);
        double relative = scatters[i] / PRIOR_SCALE;
        logs[i] = restricted_likelihood(solution) - log1p(relative * relative);
        most = fmax(most, logs[i]);
    }
    if (status)
        return status;
    double weight = 0.0, sum = 0.0;
    for (int i = 0; i < POINTS; i++) {
        double share = exp(logs[i] - most);
        weight += share;
        sum += share * scatters[i];
    }
    solution->scatter = sum / weight;
    return solve_with(solution, solution->scatter * solution->scatter, error);
}

static double leverage(const fit_solution *solution, size_t i)
{
    double gradient[2] = { 0.5, -0.5 * solution->model.rows[i]->lateness };
    double sum = 0.0;
    for (size_t a = 0; a < solution->p; a++)
        for (size_t b = 0; b < solution->p; b++)
            sum += gradient[a] * gradient[b] * solution->result.covariance[a * solution->p + b];
    return fmin(sum * solution->weights[i], 1.0);
}

/* ---- which order a colour was ---- */

/* What the other rows say of row i: ln x of the fit without it. */
static double predicted_without(const fit_solution *solution, size_t i)
{
    double h = leverage(solution, i);
    double seen = oxt_i_seen(solution->model.rows[i])->ln_x;
    return h < 1.0 - 1e-9 ? seen + solution->residuals[i] / (1.0 - h) : seen;
}

/* Read the one row anew that gains most by it. The reading that stands keeps its place unless
 * another is clearly nearer to what the other rows say. */
static bool reread_one(fit_solution *solution)
{
    static const double CLEARLY = 0.6;
    double most = 0.0;
    size_t which = 0, reading = 0;
    for (size_t i = 0; i < solution->model.n; i++) {
        const oxt_i_seen_row *row = solution->model.rows[i];
        double expected = predicted_without(solution, i);
        double now = fabs(expected - oxt_i_seen(row)->ln_x);
        for (size_t j = 0; j < row->reading_count; j++) {
            double then = fabs(expected - row->readings[j].ln_x);
            if (then < CLEARLY * now && now - then > most) {
                most = now - then;
                which = i;
                reading = j;
            }
        }
    }
    if (most == 0.0)
        return false;
    solution->model.rows[which]->reading = reading;
    return true;
}

static oxt_status solve_orders(fit_solution *solution, double given_scatter, oxt_error *error)
{
    oxt_status status = solve_scatter(solution, given_scatter, error);
    for (size_t turn = 0; turn < solution->model.n && !status && reread_one(solution); turn++)
        status = solve_scatter(solution, given_scatter, error);
    return status;
}

/* ---- is there enough to fit? ---- */

static oxt_status check_enough(const oxt_fit *fit, size_t used, bool held, oxt_error *error)
{
    size_t fewest = held ? FEWEST_ROWS_HELD : FEWEST_ROWS;
    if (used >= fewest)
        return OXT_OK;
    if (used == 0 && fit->bright_count == fit->row_count)
        return oxt_i_fail(error, OXT_EFEW, "trials", 0.0, (double)fewest, NAN,
                          "all %zu trials of %s came out bright: they only say that the film is "
                          "thinner than straw; add coupons that stayed in longer or ran hotter",
                          fit->row_count, fit->name);
    return oxt_i_fail(
        error, OXT_EFEW, "trials", (double)used, (double)fewest, NAN,
        "only %zu of %zu trials of %s can be used, expected at least %zu; add coupons "
        "that show a colour",
        used, fit->row_count, fit->name, fewest);
}

static oxt_status check_spread(const growth_model *model, const char *name, oxt_error *error)
{
    double low = HUGE_VAL, high = 0.0;
    for (size_t i = 0; i < model->n; i++) {
        low = fmin(low, model->rows[i]->bath_K);
        high = fmax(high, model->rows[i]->bath_K);
    }
    if (high - low >= LEAST_SPREAD_K)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", high - low, LEAST_SPREAD_K, NAN,
                      "all %zu usable trials of %s ran at one bath temperature (%.1f C, within %g "
                      "K), which cannot tell how the rate changes with temperature: add coupons at "
                      "a bath at least 30 K away, or give Q",
                      model->n, name, low - 273.15, LEAST_SPREAD_K);
}

static oxt_status prepare(fit_solution *solution, oxt_fit *fit, const oxt_fit_options *options,
                          oxt_error *error)
{
    bool held = options->Q_J_per_mol > 0.0;
    size_t used = 0;
    double inverse = 0.0;
    solution->model.rows = malloc((fit->row_count + 1) * sizeof *solution->model.rows);
    if (!solution->model.rows)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < fit->row_count; i++)
        if (fit->rows[i].reading_count > 0) {
            solution->model.rows[used++] = &fit->rows[i];
            inverse += 1.0 / fit->rows[i].bath_K;
        }
    solution->model.n = used;
    solution->p = held ? 1 : 2;
    oxt_status status = check_enough(fit, used, held, error);
    if (!status && !held)
        status = check_spread(&solution->model, fit->name, error);
    if (status)
        return status;
    /* The middle in 1/T: there ln k_ref and Q are all but uncorrelated. */
    solution->model.T_ref_K = (double)used / inverse;
    for (size_t i = 0; i < used; i++) {
        oxt_i_seen_row *row = solution->model.rows[i];
        row->ln_time = log(row->time_s);
        row->lateness = solution->model.T_ref_K / row->bath_K - 1.0;
    }
    solution->model.held_q = held ? options->Q_J_per_mol / (R * solution->model.T_ref_K) : NAN;
    solution->weights = malloc(used * sizeof *solution->weights);
    solution->residuals = malloc(used * sizeof *solution->residuals);
    if (!solution->weights || !solution->residuals)
        return oxt_i_no_memory(error);
    /* Any start will do, since the model is linear in its parameters; this one is typical. */
    solution->result.parameters[0] = 4.0;
    solution->result.parameters[1] = 16.0;
    oxt_i_lsq_problem problem = { used, solution->p, residuals, jacobian, &solution->model, true };
    return oxt_i_lsq_new(&solution->solver, &problem, error);
}

/* ---- the numbers of the result ---- */

static void fill_covariance(oxt_fit_values *values, const fit_solution *solution,
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
            mean += solution->weights[i] * solution->model.rows[i]->lateness;
            sum += solution->weights[i];
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

static void fill_quality(oxt_fit_values *values, const fit_solution *solution, bool scatter_fitted)
{
    size_t n = solution->model.n;
    double weight = 0.0, mean = 0.0, total = 0.0, logs = 0.0;
    for (size_t i = 0; i < n; i++) {
        weight += solution->weights[i];
        mean += solution->weights[i] * oxt_i_seen(solution->model.rows[i])->ln_x;
        logs += log(2.0 * 3.14159265358979323846 / solution->weights[i]);
    }
    mean /= weight;
    for (size_t i = 0; i < n; i++) {
        double offset = oxt_i_seen(solution->model.rows[i])->ln_x - mean;
        total += solution->weights[i] * offset * offset;
    }
    values->chi_square = solution->result.chi_square;
    values->reduced_chi_square = values->chi_square / values->dof;
    /* Below this only rounding tells the rows apart. */
    values->r_squared = total > 1e-18 ? 1.0 - values->chi_square / total : NAN;
    double k = (double)solution->p + (scatter_fitted ? 1.0 : 0.0);
    double left = (double)n - k - 1.0;
    values->aicc = left > 0.0 ? values->chi_square + logs + 2.0 * k + 2.0 * k * (k + 1.0) / left
                              : NAN;
    /* Condition of two columns scaled to equal length; the correlation of the estimates is that of
     * the columns but for its sign. */
    double c = solution->p == 2
                   ? fabs(solution->result.covariance[1]) /
                         sqrt(solution->result.covariance[0] * solution->result.covariance[3])
                   : 0.0;
    values->condition = sqrt((1.0 + c) / (1.0 - c));
}

static void fill_values(oxt_fit *fit, const fit_solution *solution, const oxt_fit_options *options)
{
    oxt_fit_values *values = &fit->values;
    double q = solution->p == 2 ? solution->result.parameters[1] : solution->model.held_q;
    values->growth.k_ref_nm2_per_s = exp(solution->result.parameters[0]);
    values->growth.T_ref_K = solution->model.T_ref_K;
    values->growth.Q_J_per_mol = solution->p == 2 ? q * R * solution->model.T_ref_K
                                                  : options->Q_J_per_mol;
    values->Q_held = solution->p == 1;
    values->scatter = solution->scatter;
    values->dof = (double)(solution->model.n - solution->p);
    values->row_count = fit->row_count;
    values->used_count = solution->model.n;
    fill_covariance(values, solution, options);
    fill_intervals(values, options->confidence);
    fill_quality(values, solution, options->scatter < 0.0);
}

/* The residual over its own standard error, with the scale of the errors taken from the other rows:
 * a gross outlier swells the scatter, and must not hide behind it. Where the others agree by chance
 * the scale stops at the width of what was seen in the row itself. */
static double studentized(const oxt_i_seen_row *row, double chi_square, double dof)
{
    if (dof <= 1.0 || row->leverage >= 1.0 - 1e-9)
        return NAN;
    double inner = row->residual / (row->sigma * sqrt(1.0 - row->leverage));
    double others = fmax(chi_square - inner * inner, 0.0) / (dof - 1.0);
    double width = oxt_i_seen(row)->sigma / row->sigma;
    return inner / sqrt(fmax(others, width * width));
}

static void fill_rows(oxt_fit *fit, const fit_solution *solution)
{
    for (size_t i = 0; i < solution->model.n; i++) {
        oxt_i_seen_row *row = solution->model.rows[i];
        row->residual = -solution->residuals[i];
        row->sigma = 1.0 / sqrt(solution->weights[i]);
        row->leverage = leverage(solution, i);
        row->studentized = studentized(row, fit->values.chi_square, fit->values.dof);
    }
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

/* Bonferroni: one alarm in a hundred logs of sound trials, whatever their number. */
static void warn_outliers(oxt_fit *fit)
{
    const oxt_fit_values *values = &fit->values;
    if (values->dof <= 1.0)
        return;
    double limit = oxt_i_t_quantile(1.0 - 0.01 / (double)values->used_count, values->dof - 1.0);
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0 || !(fabs(row->studentized) > limit))
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

static void warn_numbers(oxt_fit *fit)
{
    const oxt_fit_values *values = &fit->values;
    double Q = values->growth.Q_J_per_mol;
    if (values->scatter > 0.15)
        oxt_i_fit_warn(fit,
                       "Trials disagree by %.0f %% in thickness beyond the width of their colours: "
                       "look for a bath, time or finish that changed.",
                       100.0 * values->scatter);
    if (values->dof < 4.0)
        oxt_i_fit_warn(fit, "Only %zu trials: the errors themselves are uncertain.",
                       values->used_count);
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
            "172 kJ/mol).",
            Q / 1e3);
}

static oxt_status check_answer(const oxt_fit *fit, oxt_error *error)
{
    const oxt_growth *growth = &fit->values.growth;
    if (!(growth->Q_J_per_mol > 0.0))
        return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", growth->Q_J_per_mol, 0.0, NAN,
                          "the trials of %s contradict each other: hotter baths gave thinner films "
                          "(Q = %.0f kJ/mol); check the baths, the times and the orders of the "
                          "colours",
                          fit->name, growth->Q_J_per_mol / 1e3);
    if (oxt_i_check_growth(growth, NULL) || !isfinite(fit->values.ln_k_stderr) ||
        !isfinite(fit->values.Q_stderr_J_per_mol))
        return oxt_i_fail_text(error, OXT_EIDENT, "trials",
                               "the trials of %s do not determine k_ref and Q", fit->name);
    return OXT_OK;
}

/* ---- running ---- */

static oxt_status check_options(const oxt_fit_options *options, oxt_error *error)
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
    return status;
}

static oxt_status run(oxt_fit *fit, const oxt_trials *trials, const oxt_film *film,
                      const oxt_fit_options *options, oxt_error *error)
{
    fit_solution solution = { 0 };
    oxt_status status = oxt_i_fit_read_rows(fit, trials, film, options, error);
    if (!status)
        status = prepare(&solution, fit, options, error);
    if (!status)
        status = solve_orders(&solution, options->scatter, error);
    if (!status) {
        fill_values(fit, &solution, options);
        fill_rows(fit, &solution);
        status = check_answer(fit, error);
    }
    free_solution(&solution);
    if (status)
        return status;
    warn_readings(fit);
    warn_outliers(fit);
    warn_numbers(fit);
    return fit->memory_failed ? oxt_i_no_memory(error) : OXT_OK;
}

oxt_status oxt_fit_run(oxt_fit **fit, const oxt_trials *trials, const oxt_film *film,
                       const oxt_fit_options *options, oxt_error *error)
{
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
        status = check_options(&chosen, error);
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
    free(fit);
}

/* ---- reading the result ---- */

oxt_status oxt_fit_get(const oxt_fit *fit, oxt_fit_values *values, oxt_error *error)
{
    if (!fit || !values)
        return oxt_i_null(error, fit ? "values" : "fit");
    return oxt_i_struct_out(values, &fit->values, sizeof *values, sizeof *values, "values", error);
}

oxt_status oxt_fit_get_row(const oxt_fit *fit, size_t index, oxt_fit_row *row, oxt_error *error)
{
    if (!fit || !row)
        return oxt_i_null(error, fit ? "row" : "fit");
    if (index >= fit->row_count)
        return oxt_i_fail(error, OXT_EARG, "index", (double)index, 0.0, (double)fit->row_count,
                          "index is %zu, but the fit has %zu rows", index, fit->row_count);
    oxt_fit_row made = OXT_FIT_ROW_INIT;
    const oxt_i_seen_row *seen = &fit->rows[index];
    made.trial = seen->trial;
    made.line = seen->line;
    made.used = seen->reading_count > 0;
    oxt_i_copy_text(made.reason, sizeof made.reason, seen->reason);
    made.low_nm = made.high_nm = made.observed_nm = made.predicted_nm = NAN;
    made.residual = made.sigma = made.studentized = made.leverage = NAN;
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
    if (!fit)
        return oxt_i_null(error, "fit");
    if (index >= fit->warning_count)
        return oxt_i_fail(error, OXT_EARG, "index", (double)index, 0.0, (double)fit->warning_count,
                          "index is %zu, but the fit has %zu warnings", index, fit->warning_count);
    return oxt_i_emit(fit->warnings[index], buffer, capacity, needed, error);
}

oxt_status oxt_fit_steel(const oxt_fit *fit, oxt_steel **steel, oxt_error *error)
{
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
    values.bath_low_K = values.thickness_low_nm = HUGE_VAL;
    for (size_t i = 0; i < fit->row_count; i++) {
        const oxt_i_seen_row *row = &fit->rows[i];
        if (row->reading_count == 0)
            continue;
        values.bath_low_K = fmin(values.bath_low_K, row->bath_K);
        values.bath_high_K = fmax(values.bath_high_K, row->bath_K);
        values.thickness_low_nm = fmin(values.thickness_low_nm, oxt_i_seen(row)->low_nm);
        values.thickness_high_nm = fmax(values.thickness_high_nm, oxt_i_seen(row)->high_nm);
    }
    oxt_i_copy_text(values.description, sizeof values.description, fit->description);
    oxt_i_snprintf(values.origin, sizeof values.origin, "fit of %zu trials by oxtint %s%s",
                   values.trial_count, oxt_version(), fit->values.Q_held ? ", Q given" : "");
    return oxt_steel_new(steel, &values, error);
}
