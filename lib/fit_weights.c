/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a row weighs: the errors of its bath and time, and how far it is trusted; and the constants
 * that go with these weights. */
#include "fit_internal.h"

enum { MOST_ROUNDS = 400, WHOLE_STEPS = 40, MOST_STEPS = 60, MOST_HALVINGS = 40 };

static const double MOST_DOF = 1e6; /* as good as exact */
static const double TUKEY = 4.685;  /* 95 % efficiency with normal errors */

static double q_of(const oxt_i_fit_solution *solution)
{
    return solution->p == 2 ? solution->result.parameters[1] : solution->model.held_q;
}

/* How far a residual is trusted, 0 to 1, when it is so many times its error. */
static double trust(oxt_robust robust, double errors)
{
    double size = fabs(errors);
    if (robust == OXT_ROBUST_HUBER)
        return size > OXT_I_HUBER ? OXT_I_HUBER / size : 1.0;
    if (robust == OXT_ROBUST_TUKEY) {
        double share = size / TUKEY;
        return share < 1.0 ? (1.0 - share * share) * (1.0 - share * share) : 0.0;
    }
    return 1.0;
}

double oxt_i_fit_spread(const oxt_i_seen_row *row)
{
    double by_bath = row->slope_K * row->bath_sd_K, by_time = row->slope_s * row->time_sd_s;
    return by_bath * by_bath + by_time * by_time;
}

double oxt_i_fit_effective_dof(const oxt_i_fit_solution *solution, double of_rows)
{
    double stated = 0.0, whole = 0.0; /* both of the mean of the rows */
    for (size_t i = 0; i < solution->model.n; i++) {
        const oxt_i_seen_row *row = solution->model.rows[i];
        double square = solution->weights[i] * solution->weights[i];
        stated += square * oxt_i_fit_spread(row);
        whole += square * row->aim_sigma * row->aim_sigma;
    }
    double rest = 1.0 - stated / whole;
    return fmin(of_rows / (rest * rest), MOST_DOF);
}

/* ---- the true bath and time of a row ---- */

/* A distance in standard deviations, squared; one that is known exactly is never moved. */
static double moved(double from, double to, double deviation)
{
    return deviation > 0.0 ? pow((to - from) / deviation, 2.0) : 0.0;
}

/* Squared distance of the row from the curve at a point of it. */
static double distance(const oxt_i_fit_model *model, const oxt_i_seen_row *row, double ln_k,
                       double q, double variance, const double at[2])
{
    if (!(at[0] > 0.0 && at[1] > 0.0))
        return HUGE_VAL;
    double off = oxt_i_fit_ln_x(model, row, ln_k, q, at[0], at[1], NULL) - oxt_i_seen(row)->ln_x;
    return off * off / variance + moved(row->bath_K, at[0], row->bath_sd_K) +
           moved(row->time_s, at[1], row->time_sd_s);
}

/* The point of the curve that is nearest to the row: Gauss-Newton steps, halved until they are
 * nearer. */
static void find_nearest(const oxt_i_fit_model *model, oxt_i_seen_row *row, double ln_k, double q,
                         double variance)
{
    for (int step = 0; step < MOST_STEPS; step++) {
        oxt_i_fit_stand_at(model, row, q, row->true_K, row->true_s);
        double off = oxt_i_fit_tangent(row, ln_k, q) - oxt_i_seen(row)->ln_x;
        double pull = off / (variance + oxt_i_fit_spread(row));
        double here[2] = { row->true_K, row->true_s }, there[2];
        double aim_K = row->bath_K - pull * row->slope_K * row->bath_sd_K * row->bath_sd_K;
        double aim_s = row->time_s - pull * row->slope_s * row->time_sd_s * row->time_sd_s;
        double now = distance(model, row, ln_k, q, variance, here), share = 1.0;
        for (int i = 0; i < MOST_HALVINGS; i++, share *= 0.5) {
            there[0] = here[0] + share * (aim_K - here[0]);
            there[1] = here[1] + share * (aim_s - here[1]);
            if (distance(model, row, ln_k, q, variance, there) <= now)
                break;
        }
        oxt_i_fit_stand_at(model, row, q, there[0], there[1]);
        if (fabs(there[0] - here[0]) <= 1e-14 * here[0] &&
            fabs(there[1] - here[1]) <= 1e-14 * here[1])
            break;
    }
}

/* Effective variance: the row stays where it was logged, with the slopes at the nearest point of the
 * curve. Those of a time that was logged too short would be too steep: short times would weigh the less,
 * the shorter they were logged, and Q come out 3 % too low. */
static void take_slopes(const oxt_i_fit_model *model, oxt_i_seen_row *row, double ln_k, double q,
                        double variance)
{
    oxt_i_fit_stand_at(model, row, q, row->bath_K, row->time_s);
    /* A path takes long to lay; near by, the same seconds of it are lost. */
    double late = q * (model->T_ref_K / row->bath_K - 1.0);
    oxt_i_seen_row bare = *row;
    bare.has_path = false;
    bare.time_s = bare.true_s = exp(2.0 * oxt_i_fit_tangent(row, ln_k, q) - ln_k + late);
    oxt_i_fit_stand_at(model, &bare, q, bare.bath_K, bare.time_s);
    double slope_K = bare.slope_K, slope_s = bare.slope_s;
    find_nearest(model, &bare, ln_k, q, variance);
    row->slope_K += bare.slope_K - slope_K;
    row->slope_s *= bare.slope_s / slope_s;
}

/* ---- the weights that go with the constants ---- */

double oxt_i_fit_weigh_row(const oxt_i_fit_solution *solution, oxt_i_seen_row *row, double ln_k,
                           double q, double variance)
{
    /* A model that is sharper than a sixth of a band has no curvature within it to tell an error by. */
    static const double LEAST_VARIANCE = 0.04 * 0.04;
    const oxt_i_fit_model *model = &solution->model;
    double own = oxt_i_seen(row)->sigma * oxt_i_seen(row)->sigma + variance;
    if (!model->uncertain)
        oxt_i_fit_stand_at(model, row, q, row->bath_K, row->time_s);
    else if (model->orthogonal)
        find_nearest(model, row, ln_k, q, own);
    else
        take_slopes(model, row, ln_k, q, own);
    double ln_x = oxt_i_fit_tangent(row, ln_k, q);
    row->aim = oxt_i_seen(row)->ln_x;
    row->sigma = row->aim_sigma = sqrt(own + oxt_i_fit_spread(row));
    row->band_sd = 0.0;
    if (solution->by_band && row->is_band)
        oxt_i_fit_aim_at_band(row, ln_x, fmax(variance + oxt_i_fit_spread(row), LEAST_VARIANCE),
                              model->n);
    row->weight = trust(solution->robust, oxt_i_fit_errors(row, ln_x - row->aim));
    return row->weight / (row->aim_sigma * row->aim_sigma);
}

static void weigh(oxt_i_fit_solution *solution, double variance)
{
    const oxt_i_fit_model *model = &solution->model;
    double ln_k = solution->result.parameters[0], q = q_of(solution);
    for (size_t i = 0; i < model->n; i++)
        solution->weights[i] = oxt_i_fit_weigh_row(solution, model->rows[i], ln_k, q, variance);
    for (size_t j = 0; j < model->prior_count; j++)
        solution->weights[model->n + j] = solution->prior_trust * model->prior[j].weight;
}

/* Tukey's weights can put out every row, when the scatter that was given is far too small. */
static oxt_status check_trusted(const oxt_i_fit_solution *solution, oxt_error *error)
{
    double trusted = (double)solution->model.prior_count;
    for (size_t i = 0; i < solution->model.n; i++)
        trusted += solution->model.rows[i]->weight > 1e-3 ? 1.0 : 0.0;
    if (trusted > (double)solution->p)
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_EIDENT, "robust",
                           "the robust weights leave too few rows: the trials lie farther from one "
                           "another than the scatter that was given allows");
}

/* Greatest change of a parameter in its standard error. */
static double change_of(const oxt_i_fit_solution *solution, const double before[2])
{
    double most = 0.0;
    for (size_t j = 0; j < solution->p; j++) {
        double deviation = sqrt(solution->result.covariance[j * solution->p + j]);
        most = fmax(most, fabs(solution->result.parameters[j] - before[j]) / deviation);
    }
    return most;
}

/* ---- descent ---- */

static double cost_of(oxt_robust robust, double errors)
{
    double size = fabs(errors);
    if (robust == OXT_ROBUST_HUBER && size > OXT_I_HUBER)
        return OXT_I_HUBER * (2.0 * size - OXT_I_HUBER);
    if (robust == OXT_ROBUST_TUKEY) {
        double rest = size < TUKEY ? 1.0 - size * size / (TUKEY * TUKEY) : 0.0;
        return TUKEY * TUKEY / 3.0 * (1.0 - rest * rest * rest);
    }
    return size * size;
}

double oxt_i_fit_row_cost(const oxt_i_fit_solution *solution, const oxt_i_seen_row *row,
                          double ln_k, double q)
{
    const oxt_i_fit_model *model = &solution->model;
    double ln_x = model->orthogonal
                      ? oxt_i_fit_tangent(row, ln_k, q)
                      : oxt_i_fit_ln_x(model, row, ln_k, q, row->bath_K, row->time_s, NULL);
    return cost_of(solution->robust, oxt_i_fit_errors(row, ln_x - row->aim));
}

static double cost_at(const oxt_i_fit_solution *solution, const double *parameters)
{
    const oxt_i_fit_model *model = &solution->model;
    double ln_k = parameters[0], q = solution->p == 2 ? parameters[1] : model->held_q, sum = 0.0;
    for (size_t i = 0; i < model->n; i++)
        sum += oxt_i_fit_row_cost(solution, model->rows[i], ln_k, q);
    for (size_t j = 0; j < model->prior_count; j++) {
        const oxt_i_prior_row *prior = &model->prior[j];
        double off = prior->of_ln_k * ln_k + prior->of_q * q - prior->value;
        sum += solution->weights[model->n + j] * off * off;
    }
    return sum;
}

/* Weights that follow the constants can swing to and fro, or creep where the minimum is flat: the share of the
 * step to go on with, less after a step back and more after one ahead. `step` is the last one. */
static double paced(const oxt_i_fit_solution *solution, const double before[2], double step[2],
                    double share)
{
    static const double LEAST = 0.1, MOST = 10.0;
    double along = 0.0;
    for (size_t j = 0; j < solution->p; j++) {
        double now = solution->result.parameters[j] - before[j];
        along += now * step[j] / solution->result.covariance[j * solution->p + j];
        step[j] = now;
    }
    return along < 0.0 ? fmax(0.5 * share, LEAST) : fmin(1.2 * share, MOST);
}

/* Go as far along the step as the cost falls, with the errors of the rows held. */
static void descend(oxt_i_fit_solution *solution, const double before[2], double share)
{
    double step[2], cost = cost_at(solution, before) * (1.0 + 1e-12);
    for (size_t j = 0; j < solution->p; j++)
        step[j] = solution->result.parameters[j] - before[j];
    for (int i = 0; i < MOST_HALVINGS; i++, share *= 0.5) {
        for (size_t j = 0; j < solution->p; j++)
            solution->result.parameters[j] = before[j] + share * step[j];
        if (cost_at(solution, solution->result.parameters) <= cost)
            break;
    }
}

static oxt_status not_converged(const oxt_i_fit_solution *solution, oxt_error *error)
{
    if (solution->model.orthogonal)
        return oxt_i_fail_text(
            error, OXT_ENOCONV, "fit",
            "the true baths and times did not converge: bath_sd_K or time_sd_s is too "
            "large for these trials; use the effective variance");
    return oxt_i_fit_contradiction(solution, error, OXT_ENOCONV, "trials",
                                   "the fit did not converge");
}

oxt_status oxt_i_fit_settle(oxt_i_fit_solution *solution, double variance, oxt_error *error)
{
    static const double CLOSE_ENOUGH = 1e-9, GOOD_ENOUGH = 1e-3, NEARBY = 1e-4;
    double change = HUGE_VAL, step[2] = { 0.0, 0.0 }, share = 1.0;
    const oxt_i_fit_model *model = &solution->model;
    bool once = solution->robust == OXT_ROBUST_NONE && !model->uncertain && !model->has_paths &&
                !solution->by_band;
    for (int round = 0; round < MOST_ROUNDS; round++) {
        double before[2] = { solution->result.parameters[0], solution->result.parameters[1] };
        weigh(solution, variance);
        oxt_status status = check_trusted(solution, error);
        if (!status)
            status = oxt_i_lsq_solve(solution->solver, solution->weights, &solution->result, error);
        if (status)
            return status == OXT_ENOCONV && !once ? not_converged(solution, error) : status;
        oxt_i_fit_residuals(solution);
        change = change_of(solution, before);
        if (once || change <= CLOSE_ENOUGH)
            return OXT_OK;
        if (round + 1 == MOST_ROUNDS)
            break;
        if (round >= WHOLE_STEPS)
            share = paced(solution, before, step, share);
        if (change > NEARBY || share != 1.0) /* near by, rounding hides whether the cost falls */
            descend(solution, before, share);
    }
    return change <= GOOD_ENOUGH ? OXT_OK : not_converged(solution, error);
}
