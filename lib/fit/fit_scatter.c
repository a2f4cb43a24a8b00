/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The scatter from dip to dip, by its likelihood. */
#include "fit/fit.h"
#include "base/solve.h"

static double square_of(double number)
{
    return number * number;
}

static const double MOST_DOF = 1e6; /* as good as exact */

static double stated_dof(const oxt_i_fit_solution *solution, double of_rows)
{
    double stated = 0.0, whole = 0.0; /* both of the mean of the rows */
    for (size_t i = 0; i < solution->model.n && solution->model.uncertain; i++) {
        const oxt_i_fit_row *row = solution->model.rows[i];
        double square = solution->weights[i] * solution->weights[i];
        stated += square * oxt_i_fit_spread(row);
        whole += square * row->aim_sigma * row->aim_sigma;
    }
    double rest = stated > 0.0 ? 1.0 - stated / whole : 1.0;
    return fmin(of_rows / (rest * rest), MOST_DOF);
}

/* The variances of the constants grow as the scatter and what is seen of a row do together. */
double oxt_i_fit_effective_dof(const oxt_i_fit_solution *solution, double of_rows)
{
    double weight = 0.0;
    if (solution->day_dof > 0.0)
        return fmin(solution->day_dof, MOST_DOF);
    if (solution->scatter_dof == 0.0)
        return stated_dof(solution, of_rows);
    for (size_t g = 0; g < solution->model.set_count; g++)
        weight += 4.0 * solution->moments[g].w;
    double own = fmax((double)solution->model.n / weight - solution->variance, 0.0);
    double whole = solution->mean_variance + own;
    return fmin(4.0 + 2.0 * whole * whole / solution->scatter_spread, MOST_DOF);
}

/* ---- likelihoods ---- */

/* Mean of Huber's psi squared of a normal deviate, for k = OXT_I_HUBER: P(|z| < k) - 2 k phi(k) +
 * 2 k^2 P(z > k). */
static const double MEAN_PSI_SQUARED = 0.71016;

/* What counts as the square of a residual over its error. Its half is minus the logarithm of the
 * likelihood whose slope by the scatter is Huber's proposal 2: normal in the middle, with the tails of
 * a power. */
static double likelihood_square(oxt_robust robust, double errors)
{
    static const double k = OXT_I_HUBER;
    double size = fabs(errors);
    if (robust == OXT_ROBUST_NONE)
        return size * size;
    double square = size <= k ? size * size : k * k * (1.0 + 2.0 * log(size / k));
    return square / MEAN_PSI_SQUARED;
}

/* Logarithm of a product of many variances, of which a double holds sixteen. */
static double sum_of_logs(const oxt_i_fit_solution *solution, size_t first, size_t end)
{
    double sum = 0.0;
    for (size_t i = first; i < end;) {
        double product = 1.0;
        for (size_t stop = end - i < 16 ? end : i + 16; i < stop; i++)
            product *= solution->model.own[i] + solution->variance;
        sum += log(product);
    }
    return sum;
}

static double logs_of_variances(const oxt_i_fit_solution *solution)
{
    double sum = 0.0;
    if (!oxt_i_fit_by_classes(solution))
        return sum_of_logs(solution, 0, solution->model.n);
    for (size_t c = 0; c < solution->class_count; c++)
        sum += solution->classes[c].rows.of.w * log(solution->classes[c].own + solution->variance);
    return sum;
}

/* Logarithm of the restricted likelihood of the residuals at the solution just made: what is left
 * of the likelihood when the parameters are integrated out (H. D. Patterson and R. Thompson,
 * Biometrika 58 (1971) 545). */
double oxt_i_fit_restricted_likelihood(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double logs = solution->sums.ln_determinant - solution->day_logs;
    double squares = solution->sums.chi_square;
    if (solution->robust == OXT_ROBUST_NONE && !solution->by_band && !model->uncertain)
        return 0.5 * (logs - logs_of_variances(solution) - squares);
    double *ln_x = solution->scratch;
    bool plain = solution->robust == OXT_ROBUST_NONE;
    for (size_t g = 0; g < model->set_count; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            double off = oxt_i_fit_residual(solution, g, i);
            const oxt_i_fit_row *row = model->rows ? model->rows[i] : NULL;
            bool band = row && row->band_sd > 0.0;
            squares -= solution->weights[i] * off * off;
            ln_x[i] = row ? row->aim + off : 0.0;
            if (band && plain)
                continue;
            double variance = oxt_i_fit_variance(solution, i);
            double errors = row ? oxt_i_fit_errors(row, off) : off / sqrt(variance);
            squares += likelihood_square(solution->robust, errors);
            logs += band ? 2.0 * oxt_i_fit_best_log_chance(row) : -log(variance);
        }
    if (solution->by_band && plain) /* the best chance less the deviance */
        logs += 2.0 * oxt_i_fit_log_chances(model->n, model->rows, ln_x);
    return 0.5 * (logs - squares);
}

/* Twice the logarithm of the likelihood of all rows. */
static double twice_log_likelihood(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double sum = -(double)model->n * log(2.0 * OXT_I_PI);
    if (solution->day_count > 0)
        sum -= solution->day_logs + oxt_i_fit_squares_of_days(solution);
    if (oxt_i_fit_by_classes(solution) && !model->rows) {
        for (size_t g = 0; g < model->set_count; g++)
            sum -= oxt_i_moments_squares(&solution->moments[g], solution->at[g].b,
                                         solution->at[g].q);
        for (size_t j = 0; j < model->prior_count; j++) { /* a row of the first set */
            const oxt_i_prior_row *prior = &model->prior[j];
            double off = solution->at[0].b + prior->of_q * solution->at[0].q - prior->value;
            if (prior->of_ln_k > 0.0)
                sum += prior->weight * off * off;
        }
        return sum - logs_of_variances(solution);
    }
    for (size_t g = 0; g < model->set_count; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            const oxt_i_fit_row *row = model->rows ? model->rows[i] : NULL;
            double off = oxt_i_fit_residual(solution, g, i);
            if (row && row->band_sd > 0.0) {
                sum += 2.0 * oxt_i_fit_log_chance(row, off, row->weight) + log(2.0 * OXT_I_PI);
                continue;
            }
            double variance = row ? row->sigma * row->sigma : model->own[i] + solution->variance;
            sum -= oxt_i_fit_weight(solution, i) * off * off + log(variance);
        }
    return sum;
}

double oxt_i_fit_aicc(const oxt_i_fit_solution *solution, size_t more)
{
    double k = (double)(solution->p + more + (solution->day_count > 0 ? 1 : 0));
    double left = (double)solution->model.n - k - 1.0;
    double of_law = oxt_i_fit_logs_of_law(solution);
    return left > 0.0 ? 2.0 * k + 2.0 * k * (k + 1.0) / left - twice_log_likelihood(solution) -
                            2.0 * of_law
                      : NAN;
}

/* ---- the scatter ---- */

/* Chi-square of the residuals at a variance of the scatter less its degrees of freedom; robust fits
 * cut each residual off, as Huber's proposal 2 does. */
static double excess_at(double variance, void *context)
{
    static const double most = OXT_I_HUBER * OXT_I_HUBER;
    const oxt_i_fit_solution *solution = context;
    const oxt_i_fit_model *model = &solution->model;
    double excess = -oxt_i_fit_counted_dof(solution);
    bool robust = solution->robust != OXT_ROBUST_NONE;
    if (oxt_i_fit_by_classes(solution)) {
        for (size_t g = 0; g < model->set_count; g++)
            for (size_t c = solution->first_class[g]; c < solution->first_class[g + 1]; c++)
                excess += 0.25 *
                          oxt_i_moments_squares(&solution->classes[c].rows.of, solution->at[g].b,
                                                solution->at[g].q) /
                          (variance + solution->classes[c].own);
        return excess;
    }
    for (size_t i = 0; i < model->n; i++) {
        double square = solution->scratch[i] / (variance + model->own[i]);
        excess += robust ? fmin(square, most) / MEAN_PSI_SQUARED : square;
    }
    return excess;
}

/* Squares of the residuals, their sum, and the sum of squared weights of their own variance. */
static double squares_of_residuals(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double sum = 0.0;
    for (size_t g = 0; g < model->set_count; g++) {
        if (oxt_i_fit_by_classes(solution)) {
            for (size_t c = solution->first_class[g]; c < solution->first_class[g + 1]; c++)
                sum += 0.25 * oxt_i_moments_squares(&solution->classes[c].rows.of,
                                                    solution->at[g].b, solution->at[g].q);
            continue;
        }
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            double off = oxt_i_fit_residual(solution, g, i);
            solution->scratch[i] = off * off;
            sum += off * off;
        }
    }
    return sum;
}

/* Paule and Mandel: the variance that makes chi-square of fixed residuals equal to its degrees of
 * freedom, 0 when they agree without any; with the standard deviation of that variance. It says where
 * the scatter is to be looked for. */
static oxt_status moment_variance(oxt_i_fit_solution *solution, double *variance, double *deviation,
                                  oxt_error *error)
{
    static const double CLOSE_ENOUGH = 1e-9;
    const oxt_i_fit_model *model = &solution->model;
    double high = squares_of_residuals(solution), squares = 0.0;
    double each = high / fmax(oxt_i_fit_counted_dof(solution), 1.0);
    high = 2.0 * each / MEAN_PSI_SQUARED;
    /* The errors of bath and time count with what was seen. */
    for (size_t i = 0; i < model->n && model->uncertain; i++)
        model->own[i] += oxt_i_fit_spread(model->rows[i]);
    *variance = 0.0;
    oxt_status status = OXT_OK;
    if (solution->class_count == 1 && oxt_i_fit_by_classes(solution))
        *variance = fmax(each - solution->classes[0].own, 0.0);
    else if (excess_at(0.0, solution) > 0.0)
        status = oxt_i_find_root(excess_at, solution, 0.0, high, CLOSE_ENOUGH * high, variance,
                                 error);
    if (oxt_i_fit_by_classes(solution))
        for (size_t c = 0; c < solution->class_count; c++)
            squares += solution->classes[c].rows.of.w *
                       square_of(1.0 / (*variance + solution->classes[c].own));
    else
        for (size_t i = 0; i < model->n; i++)
            squares += square_of(1.0 / (*variance + model->own[i]));
    for (size_t i = 0; i < model->n && model->uncertain; i++)
        model->own[i] = square_of(oxt_i_seen(model->rows[i])->sigma);
    *deviation = sqrt(2.0 / squares);
    return status;
}

/* What is known of the scatter before any row: 8 %, for two shops in three within a factor of 2.5 (common practice, no
 * source). A name says that the film lies within its band and no more: below this a scatter makes no difference to it. */
static const double LN_USUAL = -2.5257286443082556, LN_SPREAD = 0.9, LEAST_OF_NAMES = 0.033;

double oxt_i_fit_log_prior(double ln_scatter)
{
    return -0.5 * square_of((ln_scatter - LN_USUAL) / LN_SPREAD);
}

/* Where the scatter is to be looked for. Few rows say next to nothing against a large one: as far as the chi-square
 * of as many degrees of freedom allows (E. B. Wilson and M. M. Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684, from
 * memory), but not beyond what is usual. */
static void range_about(const oxt_i_fit_solution *solution, double variance, double deviation,
                        double *low, double *high)
{
    static const double MOST_USUAL = 0.25, FAR = 2.9, LEAST_SHARE = 0.06;
    double ninth = 2.0 / (9.0 * fmax(oxt_i_fit_counted_dof(solution), 1.0));
    double third = fmax(1.0 - ninth - FAR * sqrt(ninth), 1e-3);
    double whole = deviation * sqrt(0.5 * (double)solution->model.n);
    double likely = variance + 6.0 * deviation;
    double most = fmin(whole / (third * third * third),
                       fmax(MOST_USUAL * MOST_USUAL, 4.0 * likely));
    *high = sqrt(fmax(likely, most));
    *low = LEAST_SHARE * *high;
    if (solution->day_count == 0) /* some of it is what days do */
        *low = fmax(*low, sqrt(fmax(variance - 4.0 * deviation, 0.0)));
    if (solution->by_band) {
        *low = fmax(*low, LEAST_OF_NAMES);
        *high = fmax(*high, 1.5 * *low);
    }
}

oxt_status oxt_i_fit_scatter_range(oxt_i_fit_solution *solution, double *low, double *high,
                                   oxt_error *error)
{
    double deviation, variance;
    oxt_status status = moment_variance(solution, &variance, &deviation, error);
    for (int i = 0; i < 2 && !status && solution->robust != OXT_ROBUST_NONE; i++) {
        /* residuals of Huber's weights in the place of those from the start */
        status = oxt_i_fit_converge(solution, variance, error);
        if (!status)
            status = moment_variance(solution, &variance, &deviation, error);
    }
    if (!status)
        range_about(solution, variance, deviation, low, high);
    return status;
}

/* Student's t that is as wide, and as wide in its tails, as the normal deviates of all these scatters together: by
 * second and fourth moments. */
static void take_scatter(oxt_i_fit_solution *solution, const double *scatters, const double *logs,
                         size_t count, double most)
{
    double weight = 0.0, mean = 0.0, square = 0.0;
    for (size_t i = 0; i < count; i++) {
        double share = exp(logs[i] - most), variance = scatters[i] * scatters[i];
        weight += share;
        mean += share * variance;
        square += share * variance * variance;
    }
    mean /= weight;
    solution->scatter_spread = fmax(square / weight - mean * mean, 1e-15 * mean * mean);
    solution->scatter_dof = 4.0 + 2.0 * mean * mean / solution->scatter_spread;
    solution->scatter = sqrt(mean * (1.0 - 2.0 / solution->scatter_dof));
    solution->mean_variance = mean;
}

/* Do all rows have one weight, whatever the scatter, and nothing else a say in the constants? Then they stay, and sums and
 * determinant go with that weight. */
static bool has_one_weight(const oxt_i_fit_solution *solution)
{
    bool one = oxt_i_fit_by_classes(solution) && solution->model.prior_count == 0 &&
               !solution->system.shrunk;
    for (size_t c = 0; c < solution->class_count && one; c++)
        one = solution->classes[c].own == solution->classes[0].own;
    return one;
}

/* The restricted likelihood of such rows at another variance than that of the solution, where it is `here`. */
static double likelihood_at(const oxt_i_fit_solution *solution, double variance, double here)
{
    double own = solution->classes[0].own, ratio = (own + variance) / (own + solution->variance);
    double rows = (double)solution->model.n - (double)solution->p;
    return here - 0.5 * (rows * log(ratio) + solution->sums.chi_square * (1.0 / ratio - 1.0));
}

/* The scatter is estimated from the whole of its likelihood, the constants integrated out, and what is usual
 * (docs/understand/decisions/04). The usual estimate, the mode, is 0 for a quarter of sound logs of a dozen coupons,
 * because the width of the colours may explain all that is seen. */
oxt_status oxt_i_fit_find_scatter(oxt_i_fit_solution *solution, oxt_error *error)
{
    enum { POINTS = 10 };
    double logs[POINTS], scatters[POINTS], most = -HUGE_VAL;
    double low, high;
    oxt_status status = oxt_i_fit_scatter_range(solution, &low, &high, error);
    if (status)
        return status;
    solution->roughly = true;
    double ln_step = log(high / low) / POINTS, ln_first = log(high) - 0.5 * ln_step;
    double step = exp(-ln_step);
    bool one = has_one_weight(solution);
    for (int i = 0; i < POINTS; i++) { /* down, where little changes from one to the next */
        scatters[i] = i == 0 ? exp(ln_first) : scatters[i - 1] * step;
        solution->share = 0.2 + 0.7 * i / POINTS;
        if (i > 0 && one)
            logs[i] = likelihood_at(solution, scatters[i] * scatters[i], logs[0]);
        else {
            status = oxt_i_fit_converge(solution, scatters[i] * scatters[i], error);
            if (status)
                return status;
            logs[i] = oxt_i_fit_restricted_likelihood(solution);
        }
    }
    for (int i = 0; i < POINTS; i++) {
        logs[i] += oxt_i_fit_log_prior(ln_first - i * ln_step);
        most = fmax(most, logs[i]);
    }
    solution->roughly = false;
    take_scatter(solution, scatters, logs, POINTS, most);
    return OXT_OK;
}
