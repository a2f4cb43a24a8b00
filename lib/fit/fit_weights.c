/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a row weighs: the errors of its bath and time, and robust weights; and the constants
 * that go with these weights. */
#include <string.h>

#include "fit/fit.h"

enum { MOST_ROUNDS = 400, WHOLE_STEPS = 40, MOST_STEPS = 60, MOST_HALVINGS = 40 };

/* ---- the true bath and time of a row ---- */

/* A distance in standard deviations, squared; one that is known exactly is never moved. */
static double moved(double from, double to, double deviation)
{
    return deviation > 0.0 ? pow((to - from) / deviation, 2.0) : 0.0;
}

/* Squared distance of the row from the curve at a point of it. */
static double distance(const oxt_i_fit_model *model, const oxt_i_fit_row *row, double ln_k,
                       double q, double variance, const double at[2])
{
    if (!(at[0] > 0.0 && at[1] > 0.0))
        return HUGE_VAL;
    double off = oxt_i_fit_ln_x(model->T_ref_K, row, ln_k, q, at[0], at[1], NULL) -
                 oxt_i_seen(row)->ln_x;
    return off * off / variance + moved(row->bath_K, at[0], row->bath_sd_K) +
           moved(row->time_s, at[1], row->time_sd_s);
}

/* The point of the curve that is nearest to the row: Gauss-Newton steps, halved until they are
 * nearer. */
static void find_nearest(const oxt_i_fit_model *model, oxt_i_fit_row *row, double ln_k, double q,
                         double variance)
{
    for (int step = 0; step < MOST_STEPS; step++) {
        oxt_i_fit_linearise_row(model, row, q, row->true_K, row->true_s);
        double off = oxt_i_fit_tangent(row, ln_k, q) - oxt_i_seen(row)->ln_x;
        double factor = off / (variance + oxt_i_fit_spread(row));
        double here[2] = { row->true_K, row->true_s }, there[2];
        double aim_K = row->bath_K - factor * row->slope_K * row->bath_sd_K * row->bath_sd_K;
        double aim_s = row->time_s - factor * row->slope_s * row->time_sd_s * row->time_sd_s;
        double now = distance(model, row, ln_k, q, variance, here), share = 1.0;
        for (int i = 0; i < MOST_HALVINGS; i++, share *= 0.5) {
            there[0] = here[0] + share * (aim_K - here[0]);
            there[1] = here[1] + share * (aim_s - here[1]);
            if (distance(model, row, ln_k, q, variance, there) <= now)
                break;
        }
        oxt_i_fit_linearise_row(model, row, q, there[0], there[1]);
        if (fabs(there[0] - here[0]) <= 1e-14 * here[0] &&
            fabs(there[1] - here[1]) <= 1e-14 * here[1])
            break;
    }
}

/* Effective variance: the row stays where it was logged, with the slopes at the nearest point of the
 * curve. Those of a time that was logged too short would be too steep: short times would weigh the less,
 * the shorter they were logged, and Q come out 3 % too low. */
static void take_slopes(const oxt_i_fit_model *model, oxt_i_fit_row *row, double ln_k, double q,
                        double variance)
{
    oxt_i_fit_linearise_row(model, row, q, row->bath_K, row->time_s);
    /* A path takes long to lay; near by, the same seconds of it are lost. */
    double offset = q * (model->T_ref_K / row->bath_K - 1.0);
    oxt_i_fit_row bare = *row;
    bare.has_path = false;
    bare.day_effect = 0.0;
    bare.time_s = bare.true_s = exp(2.0 * (oxt_i_fit_tangent(row, ln_k, q) - row->day_effect) -
                                    ln_k + offset);
    oxt_i_fit_linearise_row(model, &bare, q, bare.bath_K, bare.time_s);
    double slope_K = bare.slope_K, slope_s = bare.slope_s;
    find_nearest(model, &bare, ln_k, q, variance);
    row->slope_K += bare.slope_K - slope_K;
    row->slope_s *= bare.slope_s / slope_s;
}

/* ---- the weights that go with the constants ---- */

/* A row at these constants, but for the aim of a band and robust weights. Return their ln x. */
static double stand(const oxt_i_fit_solution *solution, oxt_i_fit_row *row, double ln_k, double q,
                    double variance)
{
    /* A model that is sharper than a sixth of a band has no curvature within it to derive an error from. */
    static const double LEAST_VARIANCE = 0.04 * 0.04;
    const oxt_i_fit_model *model = &solution->model;
    double own = oxt_i_seen(row)->sigma * oxt_i_seen(row)->sigma + variance;
    if (!model->uncertain) {
        if (row->has_path) /* others stay where they were logged */
            oxt_i_fit_linearise_row(model, row, q, row->bath_K, row->time_s);
    } else if (model->orthogonal)
        find_nearest(model, row, ln_k, q, own);
    else
        take_slopes(model, row, ln_k, q, own);
    double spread = model->uncertain ? oxt_i_fit_spread(row) : 0.0;
    row->aim = oxt_i_seen(row)->ln_x;
    row->sigma = row->aim_sigma = sqrt(own + spread);
    row->band_sd = solution->by_band && row->is_band ? sqrt(fmax(variance + spread, LEAST_VARIANCE))
                                                     : 0.0;
    return oxt_i_fit_tangent(row, ln_k, q);
}

/* Its weight, once its aim is known. */
static double weight_at(const oxt_i_fit_solution *solution, oxt_i_fit_row *row, double ln_x)
{
    row->weight = 1.0;
    if (solution->robust != OXT_ROBUST_NONE)
        row->weight = oxt_i_fit_trust(solution->robust, oxt_i_fit_errors(row, ln_x - row->aim));
    return row->weight / (row->aim_sigma * row->aim_sigma);
}

double oxt_i_fit_weigh_row(const oxt_i_fit_solution *solution, oxt_i_fit_row *row, double ln_k,
                           double q, double variance)
{
    double ln_x = stand(solution, row, ln_k, q, variance);
    oxt_i_fit_aim_at_bands(1, &row, &ln_x, solution->model.n);
    return weight_at(solution, row, ln_x);
}

/* Weights of rows that stay where they are, which differ by how far they are counted. */
static void weigh_films(oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_fit_model *model = &solution->model;
    for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
        double weight = 1.0 / (model->own[i] + solution->variance);
        solution->weights[i] = weight;
        if (solution->robust != OXT_ROBUST_NONE)
            solution->weights[i] *= oxt_i_fit_trust(
                solution->robust, oxt_i_fit_residual(solution, g, i) * sqrt(weight));
    }
}

static void weigh_rows(oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_fit_model *model = &solution->model;
    double ln_k = solution->at[g].b, q = solution->at[g].q, *ln_x = solution->scratch;
    size_t first = model->first[g], end = model->first[g + 1];
    for (size_t i = first; i < end; i++)
        if (solution->hold_weights)
            oxt_i_fit_linearise_row(model, model->rows[i], q, model->rows[i]->bath_K,
                                    model->rows[i]->time_s);
        else
            ln_x[i] = stand(solution, model->rows[i], ln_k, q, solution->variance);
    if (solution->by_band && !solution->hold_weights)
        oxt_i_fit_aim_at_bands(end - first, model->rows + first, ln_x + first, model->n);
    for (size_t i = first; i < end; i++) {
        oxt_i_fit_row *row = model->rows[i];
        if (!solution->hold_weights)
            solution->weights[i] = weight_at(solution, row, ln_x[i]);
        model->u[i] = row->inverse_T_offset;
        model->z[i] = 2.0 * (row->aim - row->shift) - row->ln_time;
    }
}

static void weigh(oxt_i_fit_solution *solution, bool fixed)
{
    for (size_t g = 0; g < solution->model.set_count; g++)
        if (solution->model.rows && !fixed)
            weigh_rows(solution, g);
        else if (!solution->hold_weights)
            weigh_films(solution, g);
}

/* Tukey's weights can put out every row, when the scatter that was given is far too small. */
static oxt_status check_trusted(const oxt_i_fit_solution *solution, oxt_error *error)
{
    const oxt_i_fit_model *model = &solution->model;
    double counted = (double)oxt_i_fit_prior_parts(solution);
    if (solution->robust == OXT_ROBUST_NONE || solution->hold_weights)
        return OXT_OK;
    for (size_t i = 0; i < model->n; i++)
        counted += solution->weights[i] * oxt_i_fit_variance(solution, i) > 1e-3 ? 1.0 : 0.0;
    if (counted > (double)solution->p)
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_EIDENT, "robust",
                           "the robust weights leave too few rows: the trials lie farther from one "
                           "another than the scatter that was given allows");
}

/* ---- descent ---- */

static double cost_of(oxt_robust robust, double errors)
{
    double size = fabs(errors);
    if (robust == OXT_ROBUST_HUBER && size > OXT_I_HUBER)
        return OXT_I_HUBER * (2.0 * size - OXT_I_HUBER);
    if (robust == OXT_ROBUST_TUKEY) {
        double rest = size < OXT_I_TUKEY ? 1.0 - size * size / (OXT_I_TUKEY * OXT_I_TUKEY) : 0.0;
        return OXT_I_TUKEY * OXT_I_TUKEY / 3.0 * (1.0 - rest * rest * rest);
    }
    return size * size;
}

/* ln x of a row at other constants. */
static double ln_x_of(const oxt_i_fit_solution *solution, size_t g, const oxt_i_fit_row *row)
{
    const oxt_i_fit_model *model = &solution->model;
    double ln_k = solution->at[g].b, q = solution->at[g].q;
    return model->orthogonal
               ? oxt_i_fit_tangent(row, ln_k, q)
               : oxt_i_fit_ln_x(model->T_ref_K, row, ln_k, q, row->bath_K, row->time_s, NULL);
}

/* What rows add to twice minus the logarithm of the likelihood at other constants, their errors held; of bands that are
 * trusted, but for what stays. */
static double cost_of_rows(const oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_fit_model *model = &solution->model;
    bool plain = solution->robust == OXT_ROBUST_NONE && solution->by_band;
    size_t first = model->first[g], end = model->first[g + 1];
    double *ln_x = solution->scratch, sum = 0.0;
    for (size_t i = first; i < end; i++) {
        const oxt_i_fit_row *row = model->rows ? model->rows[i] : NULL;
        double errors;
        ln_x[i] = row ? ln_x_of(solution, g, row) : 0.0;
        if (plain && row->band_sd > 0.0)
            continue;
        if (row)
            errors = oxt_i_fit_errors(row, ln_x[i] - row->aim);
        else
            errors = oxt_i_fit_residual(solution, g, i) / sqrt(model->own[i] + solution->variance);
        sum += cost_of(solution->robust, errors);
    }
    if (plain)
        sum -= 2.0 * oxt_i_fit_log_chances(end - first, model->rows + first, ln_x + first);
    return sum;
}

static double cost_of_all(const oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    size_t qs = solution->system.own_q ? model->set_count : 1;
    double sum = 0.0;
    for (size_t g = 0; g < model->set_count; g++)
        sum += cost_of_rows(solution, g);
    for (size_t g = 0; g < qs && isnan(model->held_q); g++) {
        double off = solution->at[g].q - solution->system.prior_q;
        sum += solution->system.prior_q_weight * off * off;
    }
    for (size_t j = 0; j < model->prior_count; j++) {
        const oxt_i_prior_row *prior = &model->prior[j];
        double off = solution->at[0].b + prior->of_q * solution->at[0].q - prior->value;
        if (prior->of_ln_k > 0.0)
            sum += solution->prior_trust * prior->weight * off * off;
    }
    return sum;
}

/* Greatest change of a constant in its standard error. */
static double change_of(const oxt_i_fit_solution *solution)
{
    double most = 0.0;
    for (size_t g = 0; g < solution->model.set_count; g++) {
        const oxt_i_constants *now = &solution->at[g], *before = &solution->before[g];
        most = fmax(most, fabs(now->b - before->b) / sqrt(now->variance_b));
        if (now->variance_q > 0.0)
            most = fmax(most, fabs(now->q - before->q) / sqrt(now->variance_q));
    }
    return most;
}

/* Weights that follow the constants can swing to and fro, or creep where the minimum is flat: the share of the
 * step to go on with, less after a step back and more after one ahead. The last step is kept. */
static double damp_step(oxt_i_fit_solution *solution, double share)
{
    static const double LEAST = 0.1, MOST = 10.0;
    double along = 0.0;
    for (size_t g = 0; g < solution->model.set_count; g++) {
        const oxt_i_constants *now = &solution->at[g], *before = &solution->before[g];
        double *last = solution->step + 2 * g;
        double step[2] = { now->b - before->b, now->q - before->q };
        along += step[0] * last[0] / now->variance_b;
        if (now->variance_q > 0.0)
            along += step[1] * last[1] / now->variance_q;
        memcpy(last, step, sizeof step);
    }
    return along < 0.0 ? fmax(0.5 * share, LEAST) : fmin(1.2 * share, MOST);
}

static void go_to(oxt_i_fit_solution *solution, const double *step, double share)
{
    for (size_t g = 0; g < solution->model.set_count; g++) {
        solution->at[g].b = solution->before[g].b + share * step[2 * g];
        solution->at[g].q = solution->before[g].q + share * step[2 * g + 1];
    }
}

/* Go as far along the step as the cost falls, with the errors of the rows held. Rates and days that are draws have a cost
 * of their own, and rows that hardly move them: they go the whole step. */
static void descend(oxt_i_fit_solution *solution, double share)
{
    double *step = solution->step + 2 * solution->model.set_count;
    for (size_t g = 0; g < solution->model.set_count; g++) {
        step[2 * g] = solution->at[g].b - solution->before[g].b;
        step[2 * g + 1] = solution->at[g].q - solution->before[g].q;
    }
    if (solution->system.shrunk || solution->hold_weights || solution->day_count > 0) {
        go_to(solution, step, fmin(share, 1.0));
        return;
    }
    go_to(solution, step, 0.0);
    double cost = cost_of_all(solution) * (1.0 + 1e-12);
    for (int i = 0; i < MOST_HALVINGS; i++, share *= 0.5) {
        go_to(solution, step, share);
        if (cost_of_all(solution) <= cost)
            break;
    }
}

static oxt_status not_converged(oxt_i_fit_solution *solution, oxt_error *error)
{
    if (solution->model.orthogonal)
        return oxt_i_fail_text(
            error, OXT_ENOCONV, "fit",
            "the true baths and times did not converge: bath_sd_K or time_sd_s is too "
            "large for these trials; use the effective variance");
    return oxt_i_fit_contradiction(solution, OXT_I_ALL_SETS, error, OXT_ENOCONV, "trials",
                                   "the fit did not converge");
}

oxt_status oxt_i_fit_weigh_again(oxt_i_fit_solution *solution, oxt_error *error)
{
    if (!oxt_i_fit_by_classes(solution))
        weigh(solution, oxt_i_fit_is_fixed(solution));
    oxt_status status = check_trusted(solution, error);
    return status ? status : oxt_i_fit_solve_linear(solution, error);
}

oxt_status oxt_i_fit_converge(oxt_i_fit_solution *solution, double variance, oxt_error *error)
{
    static const double GOOD_ENOUGH = 1e-3;
    size_t sets = solution->model.set_count;
    double change = HUGE_VAL, share = 1.0, close_enough = solution->roughly ? 1e-3 : 1e-9;
    bool once = oxt_i_fit_is_fixed(solution);
    /* Near by, rounding hides whether the cost falls; and where it bends one way, as of bands and of Huber's
     * weights, steps that are not long need no looking after. */
    bool bends = solution->model.has_paths || solution->model.uncertain ||
                 solution->robust == OXT_ROBUST_TUKEY;
    double nearby = bends ? 1e-4 : 0.1;
    solution->variance = variance;
    memset(solution->step, 0, 2 * sets * sizeof *solution->step);
    for (int round = 0; round < MOST_ROUNDS; round++) {
        oxt_status status = oxt_i_watch_tick(solution->watch, solution->share, error);
        if (status)
            return status;
        memcpy(solution->before, solution->at, sets * sizeof *solution->before);
        if (!oxt_i_fit_by_classes(solution))
            weigh(solution, once);
        status = check_trusted(solution, error);
        if (status)
            return status;
        status = oxt_i_fit_solve_linear(solution, error);
        if (once)
            return status;
        if (status)
            return not_converged(solution, error);
        change = change_of(solution);
        if (change <= close_enough)
            return OXT_OK;
        if (round + 1 == MOST_ROUNDS)
            break;
        if (round >= WHOLE_STEPS)
            share = damp_step(solution, share);
        if (change > nearby || share != 1.0)
            descend(solution, share);
    }
    return change <= GOOD_ENOUGH ? OXT_OK : not_converged(solution, error);
}
