/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The solution of a fit: model, scatter, and the order that each colour was read in. */
#include <stdlib.h>

#include "fit_internal.h"
#include "solve.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* A rate known to 5 %, which few logs of colours reach, is then a Q known to 100 %. */
static const double WORST_CONDITION = OXT_I_WORST_CONDITION;

/* ---- the model: ln x = (ln k_ref - q (T_ref/T - 1) + ln t) / 2, with q = Q / (R T_ref) ---- */

static double q_of(const oxt_i_fit_model *model, const double *parameters)
{
    return isnan(model->held_q) ? parameters[1] : model->held_q;
}

static bool residuals(const double *parameters, double *result, void *context)
{
    const oxt_i_fit_model *model = context;
    double q = q_of(model, parameters);
    for (size_t i = 0; i < model->n; i++) {
        const oxt_i_seen_row *row = model->rows[i];
        result[i] = oxt_i_fit_tangent(row, parameters[0], q) - row->aim;
    }
    for (size_t j = 0; j < model->prior_count; j++) {
        const oxt_i_prior_row *prior = &model->prior[j];
        result[model->n + j] = prior->of_ln_k * parameters[0] + prior->of_q * q - prior->value;
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
    for (size_t j = 0; j < model->prior_count; j++) {
        result[(model->n + j) * p] = model->prior[j].of_ln_k;
        if (p == 2)
            result[(model->n + j) * p + 1] = model->prior[j].of_q;
    }
    return true;
}

void oxt_i_fit_residuals(oxt_i_fit_solution *solution)
{
    residuals(solution->result.parameters, solution->residuals, &solution->model);
}

/* ---- one steel or several ---- */

static oxt_status settle(oxt_i_fit_solution *solution, double variance, oxt_error *error)
{
    return solution->pooled ? solution->pooled->settle(solution, variance, error)
                            : oxt_i_fit_settle(solution, variance, error);
}

static double ln_determinant(const oxt_i_fit_solution *solution)
{
    const double *C = solution->result.covariance;
    if (solution->pooled)
        return solution->pooled->ln_determinant(solution);
    return log(solution->p == 2 ? C[0] * C[3] - C[1] * C[2] : C[0]);
}

/* ---- the scatter ---- */

void oxt_i_fit_free_solution(oxt_i_fit_solution *solution)
{
    oxt_i_lsq_free(solution->solver);
    free(solution->model.rows);
    free(solution->weights);
    free(solution->residuals);
    free(solution->scratch);
}

/* Variance of a row beside the scatter. */
static double own_variance(const oxt_i_fit_solution *solution, size_t i)
{
    const oxt_i_seen_row *row = solution->model.rows[i];
    double sigma = oxt_i_seen(row)->sigma;
    return sigma * sigma + oxt_i_fit_spread(row);
}

static double degrees_of_freedom(const oxt_i_fit_solution *solution)
{
    return (double)(solution->model.n + solution->model.prior_count - solution->p);
}

/* Mean of Huber's psi squared of a normal deviate, for k = OXT_I_HUBER: P(|z| < k) - 2 k phi(k) +
 * 2 k^2 P(z > k). */
static const double MEAN_PSI_SQUARED = 0.71016;

/* What stands for the square of a residual over its error. Its half is minus the logarithm of the
 * likelihood whose slope by the scatter is Huber's proposal 2: normal in the middle, with the tails of
 * a power. */
static double likelihood_square(const oxt_i_fit_solution *solution, double errors)
{
    static const double k = OXT_I_HUBER;
    double size = fabs(errors);
    if (solution->robust == OXT_ROBUST_NONE)
        return size * size;
    double square = size <= k ? size * size : k * k * (1.0 + 2.0 * log(size / k));
    return square / MEAN_PSI_SQUARED;
}

/* Logarithm of the restricted likelihood of the residuals at the solution just made: what is left
 * of the likelihood when the parameters are integrated out (H. D. Patterson and R. Thompson,
 * Biometrika 58 (1971) 545). */
double oxt_i_fit_restricted_likelihood(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double logs = ln_determinant(solution), squares = 0.0;
    for (size_t i = 0; i < model->n; i++) {
        const oxt_i_seen_row *row = model->rows[i];
        squares += likelihood_square(solution, oxt_i_fit_errors(row, solution->residuals[i]));
        logs += row->band_sd > 0.0 ? 2.0 * row->best_log_chance : -2.0 * log(row->aim_sigma);
    }
    for (size_t j = model->n; j < model->n + model->prior_count; j++)
        squares += solution->weights[j] * solution->residuals[j] * solution->residuals[j];
    return 0.5 * (logs - squares);
}

/* Chi-square of the residuals at a variance of the scatter less its degrees of freedom; robust fits
 * cut each residual off, as Huber's proposal 2 does. */
static double excess_at(double variance, void *context)
{
    static const double k = OXT_I_HUBER;
    const oxt_i_fit_solution *solution = context;
    double excess = -degrees_of_freedom(solution);
    for (size_t i = 0; i < solution->model.n; i++) {
        double off = solution->residuals[i];
        double square = off * off / (variance + own_variance(solution, i));
        excess += solution->robust == OXT_ROBUST_NONE ? square
                                                      : fmin(square, k * k) / MEAN_PSI_SQUARED;
    }
    return excess;
}

/* Paule and Mandel: the variance that makes chi-square of fixed residuals equal to its degrees of
 * freedom, 0 when they agree without any; with the standard deviation of that variance. It says where
 * the scatter is to be looked for. */
static oxt_status moment_variance(oxt_i_fit_solution *solution, double *variance, double *deviation,
                                  oxt_error *error)
{
    static const double CLOSE_ENOUGH = 1e-9;
    double high = 0.0, squares = 0.0;
    for (size_t i = 0; i < solution->model.n; i++)
        high += solution->residuals[i] * solution->residuals[i];
    high *= 2.0 / (MEAN_PSI_SQUARED * fmax(degrees_of_freedom(solution), 1.0));
    *variance = 0.0;
    if (excess_at(0.0, solution) > 0.0) {
        oxt_status status = oxt_i_find_root(excess_at, solution, 0.0, high, CLOSE_ENOUGH * high,
                                            variance, error);
        if (status)
            return status;
    }
    for (size_t i = 0; i < solution->model.n; i++) {
        double weight = 1.0 / (*variance + own_variance(solution, i));
        squares += weight * weight;
    }
    *deviation = sqrt(2.0 / squares);
    return OXT_OK;
}

static int compare(const void *a, const void *b)
{
    double first = *(const double *)a, second = *(const double *)b;
    return first < second ? -1 : first > second;
}

/* Median of the size of the residuals, as the standard deviation of normal ones. */
static double median_scatter(const oxt_i_fit_solution *solution)
{
    size_t n = solution->model.n;
    for (size_t i = 0; i < n; i++)
        solution->scratch[i] = fabs(solution->residuals[i]);
    qsort(solution->scratch, n, sizeof *solution->scratch, compare);
    double middle = 0.5 * (solution->scratch[(n - 1) / 2] + solution->scratch[n / 2]);
    return 1.4826 * middle * sqrt((double)n / fmax(degrees_of_freedom(solution), 1.0));
}

/* The rows at the constants as they stand. */
static oxt_status stay(oxt_i_fit_solution *solution)
{
    double q = q_of(&solution->model, solution->result.parameters);
    for (size_t i = 0; i < solution->model.n; i++)
        oxt_i_fit_weigh_row(solution, solution->model.rows[i], solution->result.parameters[0], q,
                            1.0);
    oxt_i_fit_residuals(solution);
    return OXT_OK;
}

/* Residuals to begin with: all rows alike, names as middles, the prior only where the rows say nothing;
 * robust fits go on with Huber's weights at the scatter that the median tells. */
static oxt_status start(oxt_i_fit_solution *solution, oxt_error *error)
{
    enum { MOST_ROUNDS = 40 };
    static const double EQUAL_WEIGHTS = 1e3, LITTLE_TRUST = 1e-5;
    oxt_robust robust = solution->robust;
    bool by_band = solution->by_band;
    solution->robust = OXT_ROBUST_NONE;
    solution->by_band = false;
    solution->prior_trust = LITTLE_TRUST;
    bool bends = solution->model.has_paths && !solution->pooled;
    if (bends)
        oxt_i_fit_resistant(solution, &solution->result.parameters[0],
                            &solution->result.parameters[1]);
    oxt_status status = bends && robust != OXT_ROBUST_NONE ? stay(solution)
                                                           : settle(solution, EQUAL_WEIGHTS, error);
    solution->prior_trust = 1.0;
    solution->robust = robust;
    double scatter = 0.0, before = -1.0;
    for (int i = 0; i < MOST_ROUNDS && !status && robust != OXT_ROBUST_NONE; i++) {
        scatter = median_scatter(solution);
        if (fabs(scatter - before) <= 1e-10 * scatter)
            break;
        before = scatter;
        status = settle(solution, scatter * scatter, error);
    }
    solution->by_band = by_band;
    return status;
}

/* The scatter is estimated by its mean over the restricted likelihood. The usual estimate, the mode,
 * is 0 for a quarter of sound logs of a dozen coupons, because the width of the colours may explain
 * all that is seen; the mean is never 0, and the intervals for the next dip hold. A wide prior
 * (half-Cauchy, 25 %) keeps it finite with few rows: A. Gelman, Bayesian Analysis 1 (2006) 515. */
static oxt_status find_scatter(oxt_i_fit_solution *solution, oxt_error *error)
{
    enum { POINTS = 10 };
    static const double PRIOR_SCALE = 0.25;
    double logs[POINTS], scatters[POINTS], most = -HUGE_VAL;
    double deviation, variance;
    oxt_status status = moment_variance(solution, &variance, &deviation, error);
    if (status)
        return status;
    double low = sqrt(fmax(variance - 4.0 * deviation, 0.0));
    double high = sqrt(variance + 6.0 * deviation);
    for (int i = 0; i < POINTS; i++) {
        scatters[i] = low + (high - low) * (i + 0.5) / POINTS;
        status = settle(solution, scatters[i] * scatters[i], error);
        if (status)
            return status;
        double relative = scatters[i] / PRIOR_SCALE;
        logs[i] = oxt_i_fit_restricted_likelihood(solution) - log1p(relative * relative);
        most = fmax(most, logs[i]);
    }
    double weight = 0.0, sum = 0.0;
    for (int i = 0; i < POINTS; i++) {
        double share = exp(logs[i] - most);
        weight += share;
        sum += share * scatters[i];
    }
    solution->scatter = sum / weight;
    return OXT_OK;
}

bool oxt_i_fit_by_band(const oxt_i_fit_model *model, oxt_names names)
{
    bool named = false;
    for (size_t i = 0; i < model->n; i++)
        named = named || model->rows[i]->is_band;
    return named && names == OXT_NAMES_AS_BANDS;
}

/* Tukey's weights begin where Huber's end, with the scatter that Huber's found: alone they may settle
 * on a few rows that agree by chance. */
oxt_status oxt_i_fit_solve_as_read(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                   oxt_error *error)
{
    solution->robust = options->robust == OXT_ROBUST_NONE ? OXT_ROBUST_NONE : OXT_ROBUST_HUBER;
    solution->scatter = options->scatter;
    oxt_status status = OXT_OK;
    solution->by_band = oxt_i_fit_by_band(&solution->model, options->names);
    if (options->scatter < 0.0 || solution->robust != OXT_ROBUST_NONE || solution->by_band)
        status = start(solution, error);
    if (!status && options->scatter < 0.0)
        status = find_scatter(solution, error);
    if (!status)
        status = settle(solution, solution->scatter * solution->scatter, error);
    if (!status && options->robust == OXT_ROBUST_TUKEY) {
        solution->robust = OXT_ROBUST_TUKEY;
        status = settle(solution, solution->scatter * solution->scatter, error);
    }
    return status;
}

double oxt_i_fit_leverage(const oxt_i_fit_solution *solution, size_t i)
{
    if (solution->pooled)
        return solution->pooled->leverage(solution, i);
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
    double seen = solution->model.rows[i]->aim;
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

oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                           oxt_error *error)
{
    oxt_status status = oxt_i_fit_solve_as_read(solution, options, error);
    for (size_t turn = 0; turn < solution->model.n && !status && reread_one(solution); turn++)
        status = oxt_i_fit_solve_as_read(solution, options, error);
    return status;
}

/* ---- is there enough to fit? ---- */

/* One more than the parameters, so that there is an error at all; a prior's parts count as rows. */
static oxt_status check_enough(const oxt_fit *fit, const oxt_i_fit_solution *solution,
                               oxt_error *error)
{
    size_t used = solution->model.n, fewest = solution->p + 1 - solution->model.prior_count;
    const char *hint = solution->model.prior_count ? "" : ", or give a prior";
    if (used >= fewest)
        return OXT_OK;
    if (used == 0 && fit->bright_count == fit->row_count)
        return oxt_i_fail(
            error, OXT_EFEW, "trials", 0.0, (double)fewest, NAN,
            "all %zu trial%s of %s came out bright: bright only says that the film is "
            "thinner than straw; add coupons that stayed in longer or ran hotter",
            fit->row_count, oxt_i_plural(fit->row_count), fit->name);
    return oxt_i_fail(
        error, OXT_EFEW, "trials", (double)used, (double)fewest, NAN,
        "only %zu of %zu trial%s of %s can be used, expected at least %zu; add coupons "
        "that show a colour%s",
        used, fit->row_count, oxt_i_plural(fit->row_count), fit->name, fewest, used ? hint : "");
}

static oxt_status check_spread(const oxt_i_fit_model *model, const char *name, oxt_error *error)
{
    double low = HUGE_VAL, high = 0.0;
    for (size_t i = 0; i < model->n; i++) {
        low = fmin(low, model->rows[i]->bath_K);
        high = fmax(high, model->rows[i]->bath_K);
    }
    if (high - low >= OXT_I_LEAST_SPREAD_K)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", high - low, OXT_I_LEAST_SPREAD_K, NAN,
                      "all %zu usable trials of %s ran at one bath temperature (%s, within %g "
                      "K), which cannot tell how the rate changes with temperature: add coupons at "
                      "a bath at least 30 K away, or give Q or a prior",
                      model->n, name, oxt_i_mark(low, NULL).text, OXT_I_LEAST_SPREAD_K);
}

/* Condition of the design in ln k_ref and ln Q: how many times worse the trials tell the relative error
 * of Q than that of the rate. At T_ref the two columns are at right angles; Q is the published one, so
 * that this is of the baths alone. */
static double condition_of_Q(const oxt_i_fit_model *model)
{
    double square = 0.0;
    for (size_t i = 0; i < model->n; i++)
        square += model->rows[i]->lateness * model->rows[i]->lateness;
    return R * model->T_ref_K / (OXT_I_PUBLISHED_Q * sqrt(square / (double)model->n));
}

static oxt_status check_condition(const oxt_i_fit_model *model, const char *name, oxt_error *error)
{
    double condition = condition_of_Q(model);
    if (condition <= WORST_CONDITION)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", condition, 1.0, WORST_CONDITION,
                      "the trials of %s tell the temperature dependence %.0f times worse than the "
                      "rate (expected at most %g times): nearly all of them ran in one "
                      "bath; add coupons at a bath at least 30 K away, or give Q or a prior",
                      name, condition, WORST_CONDITION);
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
}

static oxt_status take_options(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                               oxt_prior *prior, oxt_error *error)
{
    bool held = options->Q_J_per_mol > 0.0;
    solution->p = held ? 1 : 2;
    solution->prior_trust = 1.0;
    solution->model.orthogonal = options->errors_in_variables == OXT_ORTHOGONAL;
    oxt_status status = options->prior ? oxt_i_prior_in(prior, options->prior, error) : OXT_OK;
    if (!status && held && prior->Q_stderr_J_per_mol > 0.0)
        status = oxt_i_fail_text(error, OXT_EARG, "prior",
                                 "Q is held at a value and has a prior: give one of the two");
    if (!status)
        solution->model.prior_count = (prior->ln_k_stderr > 0.0) +
                                      (prior->Q_stderr_J_per_mol > 0.0);
    return status;
}

/* Choose the used rows, with their middle in 1/T: there ln k_ref and Q are all but uncorrelated. */
static oxt_status choose_rows(oxt_i_fit_model *model, oxt_fit *fit, oxt_error *error)
{
    double inverse = 0.0;
    model->rows = malloc((fit->row_count + 1) * sizeof *model->rows);
    if (!model->rows)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < fit->row_count; i++)
        if (fit->rows[i].reading_count > 0) {
            model->rows[model->n++] = &fit->rows[i];
            inverse += 1.0 / fit->rows[i].bath_K;
        }
    model->T_ref_K = (double)model->n / inverse;
    for (size_t i = 0; i < model->n; i++) {
        oxt_i_seen_row *row = model->rows[i];
        row->lateness = model->T_ref_K / row->bath_K - 1.0;
        row->true_K = row->bath_K;
        row->true_s = row->time_s;
        model->uncertain = model->uncertain || row->bath_sd_K > 0.0 || row->time_sd_s > 0.0;
        model->has_paths = model->has_paths || row->has_path;
    }
    return OXT_OK;
}

oxt_status oxt_i_fit_make_solver(oxt_i_fit_solution *solution, oxt_error *error)
{
    size_t count = solution->model.n + solution->model.prior_count;
    solution->weights = malloc(count * sizeof *solution->weights);
    solution->residuals = malloc(count * sizeof *solution->residuals);
    solution->scratch = malloc(count * sizeof *solution->scratch);
    if (!solution->weights || !solution->residuals || !solution->scratch)
        return oxt_i_no_memory(error);
    /* Any start will do, since the model is linear in its parameters; this one is typical. */
    solution->result.parameters[0] = 4.0;
    solution->result.parameters[1] = 16.0;
    oxt_i_lsq_problem problem = { count, solution->p, residuals, jacobian, &solution->model, true };
    return oxt_i_lsq_new(&solution->solver, &problem, error);
}

oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error)
{
    oxt_prior prior = OXT_PRIOR_INIT;
    bool held = options->Q_J_per_mol > 0.0;
    oxt_status status = take_options(solution, options, &prior, error);
    if (!status)
        status = choose_rows(&solution->model, fit, error);
    if (!status)
        status = check_enough(fit, solution, error);
    if (!status && !held && prior.Q_stderr_J_per_mol == 0.0)
        status = check_spread(&solution->model, fit->name, error);
    if (!status && !held && prior.Q_stderr_J_per_mol == 0.0)
        status = check_condition(&solution->model, fit->name, error);
    if (status)
        return status;
    solution->model.held_q = held ? options->Q_J_per_mol / (R * solution->model.T_ref_K) : NAN;
    take_prior(&solution->model, &prior);
    return oxt_i_fit_make_solver(solution, error);
}
