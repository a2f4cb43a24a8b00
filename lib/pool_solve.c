/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels by one least squares. The rows have three parameters each among many, so the normal
 * equations are made and solved here: GSL's Cholesky calls the host's error handler where a matrix has
 * no inverse. */
#include <stdlib.h>
#include <string.h>

#include "pool_internal.h"

enum { MOST_ROUNDS = 400, WHOLE_STEPS = 40 };

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- constants as sums of parameters ---- */

static void add_term(oxt_i_pool_form *form, size_t at, double by)
{
    form->at[form->count] = at;
    form->by[form->count++] = by;
}

oxt_i_pool_form oxt_i_pool_ln_k(const oxt_i_pool_solution *solution, size_t index)
{
    const oxt_i_pool_group *group = &solution->pool->groups[index];
    bool factors = solution->model == OXT_POOL_FINISH_FACTORS;
    size_t unit = factors ? group->steel : index, first = solution->shrunk ? 1 : 0;
    oxt_i_pool_form form = { .count = 0 };
    if (solution->shrunk)
        add_term(&form, 0, 1.0);
    add_term(&form, first + unit, solution->shrunk ? solution->between_sd : 1.0);
    if (factors && group->factor != OXT_I_POOL_NONE)
        add_term(&form, first + solution->unit_count + group->factor, 1.0);
    return form;
}

oxt_i_pool_form oxt_i_pool_q(const oxt_i_pool_solution *solution, size_t index)
{
    oxt_i_pool_form form = { .count = 0 };
    size_t first = solution->base.p - solution->q_count;
    add_term(&form, first + (solution->q_count > 1 ? index : 0), 1.0);
    return form;
}

double oxt_i_pool_value(const oxt_i_pool_solution *solution, const oxt_i_pool_form *form)
{
    double sum = 0.0;
    for (size_t i = 0; i < form->count; i++)
        sum += form->by[i] * solution->parameters[form->at[i]];
    return sum;
}

double oxt_i_pool_covariance(const oxt_i_pool_solution *solution, const oxt_i_pool_form *a,
                             const oxt_i_pool_form *b)
{
    double sum = 0.0;
    for (size_t i = 0; i < a->count; i++)
        for (size_t j = 0; j < b->count; j++)
            sum += a->by[i] * b->by[j] *
                   solution->covariance[a->at[i] * solution->base.p + b->at[j]];
    return sum;
}

/* ---- one line of the design ---- */

typedef struct {
    size_t at[4];
    double by[4];
    size_t count;
    double value; /* what the sum should be */
} line;

static line line_of_row(const oxt_i_pool_solution *solution, size_t i)
{
    const oxt_i_seen_row *row = solution->base.model.rows[i];
    oxt_i_pool_form ln_k = oxt_i_pool_ln_k(solution, solution->group_of[i]);
    oxt_i_pool_form q = oxt_i_pool_q(solution, solution->group_of[i]);
    line made = { .count = ln_k.count + 1 };
    for (size_t j = 0; j < ln_k.count; j++) {
        made.at[j] = ln_k.at[j];
        made.by[j] = 0.5 * ln_k.by[j];
    }
    made.at[ln_k.count] = q.at[0];
    made.by[ln_k.count] = -0.5 * row->lateness;
    made.value = row->aim - 0.5 * row->ln_time - row->shift;
    return made;
}

/* What stands after the rows: the priors of the qs, then the offsets'. */
static line line_of_prior(const oxt_i_pool_solution *solution, size_t j)
{
    size_t qs = solution->prior_weight > 0.0 ? solution->q_count : 0;
    line made = { .by = { 1.0 }, .count = 1 };
    made.at[0] = j < qs ? solution->base.p - solution->q_count + j : 1 + j - qs;
    made.value = j < qs ? solution->prior_q : 0.0;
    return made;
}

static line line_at(const oxt_i_pool_solution *solution, size_t i)
{
    size_t n = solution->base.model.n;
    return i < n ? line_of_row(solution, i) : line_of_prior(solution, i - n);
}

/* ---- linear algebra ---- */

/* Cholesky's factor in place, lower triangle; false when the matrix has no inverse. */
static bool factorise(double *A, size_t p)
{
    static const double LEAST_PIVOT = 1e-13; /* of what it was before it was reduced */
    for (size_t j = 0; j < p; j++) {
        double whole = A[j * p + j];
        for (size_t k = 0; k < j; k++)
            A[j * p + j] -= A[j * p + k] * A[j * p + k];
        if (!(A[j * p + j] > LEAST_PIVOT * whole) || !isfinite(A[j * p + j]))
            return false;
        A[j * p + j] = sqrt(A[j * p + j]);
        for (size_t i = j + 1; i < p; i++) {
            for (size_t k = 0; k < j; k++)
                A[i * p + j] -= A[i * p + k] * A[j * p + k];
            A[i * p + j] /= A[j * p + j];
        }
    }
    return true;
}

/* The inverse of a matrix from its factor, in place, both triangles. */
static void invert(double *L, size_t p)
{
    for (size_t j = 0; j < p; j++) {
        L[j * p + j] = 1.0 / L[j * p + j];
        for (size_t i = j + 1; i < p; i++) {
            double sum = 0.0;
            for (size_t k = j; k < i; k++)
                sum -= L[i * p + k] * L[k * p + j];
            L[i * p + j] = sum / L[i * p + i];
        }
    }
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j <= i; j++) {
            double sum = 0.0;
            for (size_t k = i; k < p; k++)
                sum += L[k * p + i] * L[k * p + j];
            L[j * p + i] = sum;
            if (i != j)
                L[i * p + j] = sum;
        }
}

static oxt_status not_told(const oxt_i_pool_solution *solution, oxt_error *error)
{
    return oxt_i_fail_text(error, OXT_EIDENT, "trials",
                           "the %zu usable trials do not determine the %zu parameters of the model",
                           solution->base.model.n, solution->base.p);
}

/* Parameters and covariance at these weights. */
static oxt_status solve(oxt_i_pool_solution *solution, const double *weights, oxt_error *error)
{
    size_t p = solution->base.p;
    size_t count = solution->base.model.n + solution->base.model.prior_count;
    double *A = solution->covariance, *right = solution->right;
    memset(A, 0, p * p * sizeof *A);
    memset(right, 0, p * sizeof *right);
    for (size_t i = 0; i < count; i++) {
        line made = line_at(solution, i);
        for (size_t a = 0; a < made.count; a++) {
            right[made.at[a]] += weights[i] * made.by[a] * made.value;
            for (size_t b = 0; b < made.count; b++)
                A[made.at[a] * p + made.at[b]] += weights[i] * made.by[a] * made.by[b];
        }
    }
    if (!factorise(A, p))
        return not_told(solution, error);
    solution->ln_determinant = 0.0;
    for (size_t j = 0; j < p; j++)
        solution->ln_determinant -= 2.0 * log(A[j * p + j]);
    invert(A, p);
    for (size_t j = 0; j < p; j++) {
        solution->parameters[j] = 0.0;
        for (size_t k = 0; k < p; k++)
            solution->parameters[j] += A[j * p + k] * right[k];
    }
    return OXT_OK;
}

/* ---- settling ---- */

static void weigh(oxt_i_pool_solution *solution, double variance)
{
    oxt_i_fit_solution *base = &solution->base;
    for (size_t i = 0; i < base->model.n && !solution->hold_rows; i++) {
        oxt_i_seen_row *row = base->model.rows[i];
        oxt_i_pool_form ln_k = oxt_i_pool_ln_k(solution, solution->group_of[i]);
        oxt_i_pool_form at = oxt_i_pool_q(solution, solution->group_of[i]);
        double q = oxt_i_pool_value(solution, &at);
        if (solution->hold_weights)
            oxt_i_fit_stand_at(&base->model, row, q, row->bath_K, row->time_s);
        else
            base->weights[i] = oxt_i_fit_weigh_row(base, row, oxt_i_pool_value(solution, &ln_k), q,
                                                   variance);
    }
    size_t qs = solution->prior_weight > 0.0 ? solution->q_count : 0;
    for (size_t j = 0; j < base->model.prior_count; j++)
        base->weights[base->model.n + j] = j < qs ? base->prior_trust * solution->prior_weight
                                                  : 1.0;
}

static void find_residuals(oxt_i_pool_solution *solution)
{
    oxt_i_fit_solution *base = &solution->base;
    base->result.chi_square = 0.0;
    for (size_t i = 0; i < base->model.n + base->model.prior_count; i++) {
        line made = line_at(solution, i);
        double sum = -made.value;
        for (size_t a = 0; a < made.count; a++)
            sum += made.by[a] * solution->parameters[made.at[a]];
        base->residuals[i] = sum;
        base->result.chi_square += base->weights[i] * sum * sum;
    }
}

/* Greatest change of a parameter in its standard error. */
static double change_from(const oxt_i_pool_solution *solution, const double *before)
{
    double most = 0.0;
    for (size_t j = 0; j < solution->base.p; j++) {
        double deviation = sqrt(solution->covariance[j * solution->base.p + j]);
        most = fmax(most, fabs(solution->parameters[j] - before[j]) / deviation);
    }
    return most;
}

oxt_status oxt_i_pool_settle(oxt_i_fit_solution *base, double variance, oxt_error *error)
{
    static const double CLOSE_ENOUGH = 1e-9, GOOD_ENOUGH = 1e-3;
    oxt_i_pool_solution *solution = (oxt_i_pool_solution *)(void *)base;
    bool once = solution->hold_rows ||
                ((base->robust == OXT_ROBUST_NONE || solution->hold_weights) &&
                 !base->model.uncertain && !base->model.has_paths &&
                 (!base->by_band || solution->hold_weights));
    double change = HUGE_VAL, *before = solution->before;
    for (int round = 0; round < MOST_ROUNDS; round++) {
        memcpy(before, solution->parameters, base->p * sizeof *before);
        weigh(solution, variance);
        oxt_status status = solve(solution, base->weights, error);
        if (status)
            return status;
        find_residuals(solution);
        change = change_from(solution, before);
        if (once || change <= CLOSE_ENOUGH)
            return OXT_OK;
        /* Weights that swing to and fro settle by half steps. */
        for (size_t j = 0; j < base->p && round >= WHOLE_STEPS && round + 1 < MOST_ROUNDS; j++)
            solution->parameters[j] = 0.5 * (solution->parameters[j] + before[j]);
    }
    return change <= GOOD_ENOUGH ? OXT_OK
                                 : oxt_i_fail_text(error, OXT_ENOCONV, "pool",
                                                   "the weights of the rows did not settle");
}

static double leverage(const oxt_i_fit_solution *base, size_t i)
{
    const oxt_i_pool_solution *solution = (const oxt_i_pool_solution *)(const void *)base;
    line made = line_of_row(solution, i);
    double sum = 0.0;
    for (size_t a = 0; a < made.count; a++)
        for (size_t b = 0; b < made.count; b++)
            sum += made.by[a] * made.by[b] *
                   solution->covariance[made.at[a] * base->p + made.at[b]];
    return fmin(sum * base->weights[i], 1.0);
}

static double ln_determinant(const oxt_i_fit_solution *base)
{
    return ((const oxt_i_pool_solution *)(const void *)base)->ln_determinant;
}

static const oxt_i_fit_pooled pooled = { oxt_i_pool_settle, leverage, ln_determinant };

/* ---- is there enough? ---- */

static oxt_status check_spread(const oxt_i_pool_solution *solution, oxt_error *error)
{
    const oxt_pool *pool = solution->pool;
    bool each = solution->model == OXT_POOL_SEPARATE;
    double widest = 0.0;
    for (size_t i = 0; i < pool->group_count; i++) {
        const oxt_fit *fit = pool->groups[i].fit;
        double low = HUGE_VAL, high = 0.0;
        for (size_t j = 0; j < fit->row_count; j++)
            if (fit->rows[j].reading_count > 0) {
                low = fmin(low, fit->rows[j].bath_K);
                high = fmax(high, fit->rows[j].bath_K);
            }
        widest = fmax(widest, high - low);
        if (each && high - low < OXT_I_LEAST_SPREAD_K)
            return oxt_i_fail(error, OXT_EIDENT, "Q_J_per_mol", high - low, OXT_I_LEAST_SPREAD_K,
                              NAN,
                              "all usable trials of %s ran at one bath temperature (within %g K), "
                              "which cannot tell a Q of its own: share Q, add coupons at a bath at "
                              "least 30 K away, or give a prior",
                              fit->name, OXT_I_LEAST_SPREAD_K);
    }
    if (widest >= OXT_I_LEAST_SPREAD_K)
        return OXT_OK;
    return oxt_i_fail(
        error, OXT_EIDENT, "Q_J_per_mol", widest, OXT_I_LEAST_SPREAD_K, NAN,
        "every steel ran at one bath temperature (within %g K), which cannot tell how "
        "the rate changes with temperature: add coupons of one of them at a bath at "
        "least 30 K away, or give a prior",
        OXT_I_LEAST_SPREAD_K);
}

/* As the condition of one steel in fit_solve.c, with all rows alike. */
static oxt_status check_condition(oxt_i_pool_solution *solution, oxt_error *error)
{
    const oxt_i_fit_model *model = &solution->base.model;
    for (size_t i = 0; i < model->n; i++)
        solution->base.scratch[i] = 1.0;
    oxt_status status = solve(solution, solution->base.scratch, error);
    for (size_t i = 0; i < solution->q_count && !status; i++) {
        oxt_i_pool_form q = oxt_i_pool_q(solution, i);
        const oxt_i_pool_group *group = &solution->pool->groups[i];
        bool own = solution->q_count > 1;
        double n = own ? (double)group->used : (double)model->n;
        double square = 4.0 / oxt_i_pool_covariance(solution, &q, &q);
        double condition = R * model->T_ref_K / (OXT_I_PUBLISHED_Q * sqrt(square / n));
        if (!(condition <= OXT_I_WORST_CONDITION))
            return oxt_i_fail(
                error, OXT_EIDENT, "Q_J_per_mol", condition, 1.0, OXT_I_WORST_CONDITION,
                "the trials%s%s tell the temperature dependence %.0f times worse than "
                "the rate (expected at most %g times): nearly all of them ran in one "
                "bath; add coupons at a bath at least 30 K away, or give a prior",
                own ? " of " : "", own ? group->fit->name : "", condition, OXT_I_WORST_CONDITION);
    }
    return status;
}

/* A start that is typical, for every q and rate. */
static void start(oxt_i_pool_solution *solution)
{
    size_t p = solution->base.p, first_q = p - solution->q_count;
    for (size_t j = 0; j < p; j++)
        solution->parameters[j] = j >= first_q ? 16.0 : 0.0;
    for (size_t j = 0; j < (solution->shrunk ? 1 : solution->unit_count); j++)
        solution->parameters[j] = 4.0;
}

oxt_status oxt_i_pool_check(oxt_i_pool_solution *solution, oxt_error *error)
{
    const oxt_i_fit_model *model = &solution->base.model;
    if (model->n + model->prior_count <= solution->base.p)
        return oxt_i_fail(error, OXT_EFEW, "trials", (double)model->n,
                          (double)(solution->base.p + 1 - model->prior_count), NAN,
                          "only %zu of %zu trials can be used, expected at least %zu for %zu "
                          "parameters; add coupons that show a colour",
                          model->n, solution->pool->row_count,
                          solution->base.p + 1 - model->prior_count, solution->base.p);
    if (solution->prior_weight > 0.0)
        return OXT_OK;
    oxt_status status = check_spread(solution, error);
    if (!status)
        status = check_condition(solution, error);
    start(solution);
    return status;
}

/* ---- getting ready ---- */

static void take_rows(oxt_i_pool_solution *solution)
{
    oxt_i_fit_model *model = &solution->base.model;
    double inverse = 0.0;
    for (size_t i = 0; i < solution->pool->group_count; i++) {
        oxt_fit *fit = solution->pool->groups[i].fit;
        for (size_t j = 0; j < fit->row_count; j++) {
            oxt_i_seen_row *row = &fit->rows[j];
            if (row->reading_count == 0)
                continue;
            solution->group_of[model->n] = i;
            model->rows[model->n++] = row;
            inverse += 1.0 / row->bath_K;
            model->uncertain = model->uncertain || row->bath_sd_K > 0.0 || row->time_sd_s > 0.0;
            model->has_paths = model->has_paths || row->has_path;
        }
    }
    model->T_ref_K = (double)model->n / inverse;
    model->held_q = NAN;
    for (size_t i = 0; i < model->n; i++) {
        oxt_i_seen_row *row = model->rows[i];
        row->true_K = row->bath_K;
        row->true_s = row->time_s;
        row->lateness = model->T_ref_K / row->bath_K - 1.0;
        row->ln_time = log(row->time_s);
        row->shift = 0.0;
    }
}

static void count_parameters(oxt_i_pool_solution *solution)
{
    const oxt_pool *pool = solution->pool;
    bool factors = solution->model == OXT_POOL_FINISH_FACTORS;
    solution->unit_count = factors ? pool->steel_count : pool->group_count;
    solution->factor_count = factors ? pool->factor_count : 0;
    solution->q_count = solution->model == OXT_POOL_SEPARATE ? pool->group_count : 1;
    solution->base.p = (solution->shrunk ? 1 : 0) + solution->unit_count + solution->factor_count +
                       solution->q_count;
}

static oxt_status take_memory(oxt_i_pool_solution *solution, oxt_error *error)
{
    oxt_i_fit_solution *base = &solution->base;
    size_t p = base->p, used = solution->pool->used_count;
    size_t count = used + solution->q_count + solution->unit_count;
    base->model.rows = malloc((used + 1) * sizeof *base->model.rows);
    base->weights = malloc(count * sizeof *base->weights);
    base->residuals = malloc(count * sizeof *base->residuals);
    base->scratch = malloc(count * sizeof *base->scratch);
    solution->group_of = malloc((used + 1) * sizeof *solution->group_of);
    solution->parameters = malloc(p * sizeof *solution->parameters);
    solution->before = malloc(p * sizeof *solution->before);
    solution->right = malloc(p * sizeof *solution->right);
    solution->covariance = malloc(p * p * sizeof *solution->covariance);
    bool good = base->model.rows && base->weights && base->residuals && base->scratch &&
                solution->group_of && solution->parameters && solution->before && solution->right &&
                solution->covariance;
    return good ? OXT_OK : oxt_i_no_memory(error);
}

oxt_status oxt_i_pool_prepare(oxt_i_pool_solution *solution, const oxt_pool *pool,
                              oxt_pool_model model, const oxt_prior *prior, bool shrunk,
                              oxt_error *error)
{
    *solution = (oxt_i_pool_solution){ .pool = pool, .model = model, .shrunk = shrunk };
    solution->base.pooled = &pooled;
    solution->base.prior_trust = 1.0;
    count_parameters(solution);
    oxt_status status = take_memory(solution, error);
    if (status)
        return status;
    take_rows(solution);
    if (prior) {
        double unit = R * solution->base.model.T_ref_K;
        solution->prior_q = prior->Q_J_per_mol / unit;
        solution->prior_weight = pow(unit / prior->Q_stderr_J_per_mol, 2.0);
    }
    solution->base.model.prior_count = (prior ? solution->q_count : 0) +
                                       (shrunk ? solution->unit_count : 0);
    start(solution);
    return OXT_OK;
}

void oxt_i_pool_free_solution(oxt_i_pool_solution *solution)
{
    oxt_i_fit_free_solution(&solution->base);
    free(solution->group_of);
    free(solution->parameters);
    free(solution->before);
    free(solution->right);
    free(solution->covariance);
}

/* ---- how good it is ---- */

double oxt_i_pool_aicc(const oxt_i_pool_solution *solution)
{
    const oxt_i_fit_solution *base = &solution->base;
    double n = (double)base->model.n, twice_ln_chance = 0.0;
    for (size_t i = 0; i < base->model.n; i++)
        twice_ln_chance += oxt_i_fit_twice_log_likelihood(base, i);
    double k = (double)base->p + (solution->pool->scatter_fitted ? 1.0 : 0.0);
    double left = n - k - 1.0;
    return left > 0.0 ? 2.0 * k + 2.0 * k * (k + 1.0) / left - twice_ln_chance : NAN;
}
