/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The solution of a fit: model, scatter, and the order that each colour was read in. */
#include <stdlib.h>

#include "fit_internal.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

enum {
    FEWEST_ROWS = 3, /* one more than the parameters, so that there is an error at all */
    FEWEST_ROWS_HELD = 2,
};

/* Baths closer together than this are one bath read with a thermometer's jitter. */
static const double LEAST_SPREAD_K = 5.0;

/* ---- the model: ln x = (ln k_ref - q (T_ref/T - 1) + ln t) / 2, with q = Q / (R T_ref) ---- */

static bool residuals(const double *parameters, double *result, void *context)
{
    const oxt_i_fit_model *model = context;
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
    const oxt_i_fit_model *model = context;
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

void oxt_i_fit_free_solution(oxt_i_fit_solution *solution)
{
    oxt_i_lsq_free(solution->solver);
    free(solution->model.rows);
    free(solution->weights);
    free(solution->residuals);
}

static oxt_status solve_with(oxt_i_fit_solution *solution, double variance, oxt_error *error)
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
static double restricted_likelihood(const oxt_i_fit_solution *solution)
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
static double moment_variance(const oxt_i_fit_solution *solution, double *deviation)
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
static oxt_status solve_scatter(oxt_i_fit_solution *solution, double given, oxt_error *error)
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

double oxt_i_fit_leverage(const oxt_i_fit_solution *solution, size_t i)
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
static double predicted_without(const oxt_i_fit_solution *solution, size_t i)
{
    double h = oxt_i_fit_leverage(solution, i);
    double seen = oxt_i_seen(solution->model.rows[i])->ln_x;
    return h < 1.0 - 1e-9 ? seen + solution->residuals[i] / (1.0 - h) : seen;
}

/* Read the one row anew that gains most by it. The reading that stands keeps its place unless
 * another is clearly nearer to what the other rows say. */
static bool reread_one(oxt_i_fit_solution *solution)
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

oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, double given_scatter, oxt_error *error)
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

static oxt_status check_spread(const oxt_i_fit_model *model, const char *name, oxt_error *error)
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

oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error)
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
