/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Limits of a fit by profiles: one number is held, the other fitted anew, and chi-square watched. */
#include "base/lsq.h"
#include "base/solve.h"
#include "base/watch.h"
#include "fit/fit.h"
#include "fit/interval.h"

#include <stdlib.h>

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- what is asked ---- */

oxt_status oxt_i_check_interval(oxt_interval_quantity what, double bath_K, double confidence,
                                oxt_error *error)
{
    oxt_status status = oxt_i_check_choice("what", (int)what, OXT_INTERVAL_SHAPE, error);
    if (!status && what == OXT_INTERVAL_DIP_TIME)
        status = oxt_i_check_bath(bath_K, error);
    if (!status)
        status = oxt_i_check(error, "confidence", confidence, 0.5, 0.9999, OXT_I_CLOSED);
    return status;
}

double oxt_i_interval_offset(oxt_interval_quantity what, double bath_K, double T_ref_K)
{
    return what == OXT_INTERVAL_DIP_TIME ? T_ref_K / bath_K - 1.0 : 0.0;
}

void oxt_i_interval_factors(double ln_k, double *low, double *high)
{
    double shortest = exp(ln_k - *high);
    *high = exp(ln_k - *low);
    *low = shortest;
}

/* ---- chi-square along a line ---- */

/* A line in (ln k_ref, q), along which the other parameter is fitted. */
typedef struct {
    const oxt_i_fit_model *model;
    double at[2], along[2];
} line;

typedef struct {
    line line;
    oxt_i_lsq *solver;
    double *weights;
    double start;            /* of the other parameter */
    double inverse_T_offset; /* of the bath; NAN when q is held */
    double least;            /* chi-square to be reached */
    oxt_i_watch watch;
    double share;       /* of the work that is done */
    oxt_status stopped; /* by the caller */
    oxt_status status;  /* of the last solution */
    oxt_error *error;
} profile;

/* Residuals at a place on the line, or their slopes along it; the other is NULL. */
static void evaluate(const line *on, double place, double *result, double *slopes)
{
    const oxt_i_fit_model *model = on->model;
    double ln_k = on->at[0] + place * on->along[0], q = on->at[1] + place * on->along[1];
    for (size_t i = 0; i < model->n; i++) {
        const oxt_i_fit_row *row = model->rows[i];
        double by_q, slope;
        double ln_x = oxt_i_fit_ln_x(model->T_ref_K, row, ln_k, q, row->true_K, row->true_s, &by_q);
        double off = oxt_i_fit_off(row, ln_x + row->shift, slopes ? &slope : NULL);
        if (slopes)
            slopes[i] = slope * (0.5 * on->along[0] + on->along[1] * by_q);
        else
            result[i] = off;
    }
    for (size_t j = 0; j < model->prior_count; j++) {
        const oxt_i_prior_row *prior = &model->prior[j];
        if (slopes)
            slopes[model->n + j] = prior->of_ln_k * on->along[0] + prior->of_q * on->along[1];
        else
            result[model->n + j] = prior->of_ln_k * ln_k + prior->of_q * q - prior->value;
    }
}

static bool residuals(const double *parameters, double *result, void *context)
{
    profile *of = context;
    if (!of->stopped) /* who asked once is not asked again */
        of->stopped = oxt_i_watch_tick(&of->watch, of->share, NULL);
    if (!of->stopped)
        evaluate(&of->line, parameters[0], result, NULL);
    return !of->stopped;
}

static bool jacobian(const double *parameters, double *result, void *context)
{
    evaluate(&((const profile *)context)->line, parameters[0], NULL, result);
    return true;
}

/* Least chi-square with the one number held; NAN when it was not found. */
static double chi_square_at(profile *of, double held)
{
    oxt_i_lsq_result result = { 0 };
    bool holds_q = isnan(of->inverse_T_offset);
    of->line.at[0] = holds_q ? 0.0 : held;
    of->line.at[1] = holds_q ? held : 0.0;
    /* From a start within the rounding of the minimum no step is seen to go down. */
    result.parameters[0] = of->start + 1.0;
    of->status = oxt_i_lsq_solve(of->solver, of->weights, &result, of->error);
    if (of->stopped)
        of->status = of->stopped;
    return of->status ? NAN : result.chi_square;
}

static double short_of(double held, void *context)
{
    profile *of = context;
    return of->status ? NAN : chi_square_at(of, held) - of->least;
}

/* The limit on one side, from a step of the size that a straight line would give. */
static oxt_status find_limit(profile *of, double best, double step, double *limit)
{
    enum { DOUBLINGS = 20 };
    double tolerance = fmax(1e-10 * fabs(step), 1e-14 * (1.0 + fabs(best)));
    double near = best, far = best + step;
    for (int i = 0; i < DOUBLINGS; i++) {
        double left = short_of(far, of);
        if (of->status)
            return of->status;
        if (left >= 0.0) {
            oxt_status status = oxt_i_find_root(short_of, of, fmin(near, far), fmax(near, far),
                                                tolerance, limit, of->error);
            return of->status ? of->status : status;
        }
        step *= 2.0;
        near = far;
        far = best + step;
    }
    *limit = copysign(HUGE_VAL, step);
    return OXT_OK;
}

/* ---- getting ready ---- */

static oxt_status prepare(profile *of, const oxt_fit_values *values, oxt_error *error)
{
    const oxt_i_fit_model *model = of->line.model;
    const oxt_i_fit_row *rows = model->sets[0]->rows;
    bool holds_q = isnan(of->inverse_T_offset);
    size_t count = model->n + model->prior_count;
    of->weights = malloc(count * sizeof *of->weights);
    if (!of->weights)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < model->n; i++)
        of->weights[i] = rows[i].weight / (rows[i].sigma * rows[i].sigma);
    for (size_t j = 0; j < model->prior_count; j++)
        of->weights[model->n + j] = model->prior[j].weight;
    of->line.along[0] = holds_q ? 1.0 : of->inverse_T_offset;
    of->line.along[1] = holds_q ? 0.0 : 1.0;
    of->start = holds_q ? log(values->growth.k_ref_nm2_per_s)
                        : values->growth.Q_J_per_mol / (R * model->T_ref_K);
    oxt_i_lsq_problem problem = { count, 1, residuals, jacobian, of };
    return oxt_i_lsq_new(&of->solver, &problem, error);
}

/* Variance of ln k_ref - m Q by the covariance of the fit, with the part that the rows do not decide
 * left as it is: that of a held Q. */
static double variance_of(const oxt_fit_values *values, double m, double scale)
{
    double of_Q = values->variance_Q_J2_per_mol2;
    if (!values->Q_held)
        return scale *
               (values->variance_ln_k - 2.0 * m * values->covariance_J_per_mol + m * m * of_Q);
    double by_Q = of_Q > 0.0 ? values->covariance_J_per_mol / of_Q : 0.0;
    return scale * (values->variance_ln_k - by_Q * by_Q * of_Q) + (by_Q - m) * (by_Q - m) * of_Q;
}

/* Limits of ln k in a bath, or of q. */
static oxt_status find_limits(const oxt_fit *fit, profile *of, double best, double step,
                              double goal, double *low, double *high, oxt_error *error)
{
    oxt_i_reopened again;
    oxt_status status = oxt_i_fit_reopen(&again, fit, error);
    of->line.model = &again.solution.model;
    if (!status)
        status = prepare(of, &fit->values, error);
    if (!status) {
        of->least = chi_square_at(of, best) + goal;
        status = of->status;
    }
    of->share = 0.1;
    if (!status)
        status = find_limit(of, best, -step, low);
    of->share = 0.55;
    if (!status)
        status = find_limit(of, best, step, high);
    oxt_i_lsq_free(of->solver);
    free(of->weights);
    oxt_i_fit_close(&again);
    return of->stopped ? oxt_i_stopped(error)
                       : status; /* the search has said that it found nothing */
}

/* Do the residuals go straight with both constants? With days of unknown deviation the errors of the constants are a
 * mean over it, which no one chi-square has. */
static bool is_straight(const oxt_fit *fit)
{
    bool straight = !fit->set.paths;
    if (fit->values.day_sd > 0.0)
        return true;
    for (size_t i = 0; i < fit->set.row_count && fit->set.rows; i++)
        straight = straight && fit->set.rows[i].band_sd == 0.0;
    return straight;
}

static oxt_status limits(const oxt_fit *fit, double inverse_T_offset,
                         const oxt_interval_options *asked, double *low, double *high,
                         oxt_error *error)
{
    const oxt_fit_values *values = &fit->values;
    double unit = R * values->growth.T_ref_K, q = values->growth.Q_J_per_mol / unit;
    double scale = 1.0, dof = values->dof;
    if (asked->scale == OXT_INTERVAL_SCALE_REDUCED && values->chi_square > 0.0) {
        scale = values->reduced_chi_square; /* of the rows alone, as its degrees of freedom */
        dof = values->chi_square / scale;
    }
    double t = oxt_i_t_quantile(asked->confidence, dof);
    bool of_q = isnan(inverse_T_offset);
    double best = of_q ? q : log(values->growth.k_ref_nm2_per_s) - q * inverse_T_offset;
    double step = t * (of_q ? sqrt(scale * values->variance_Q_J2_per_mol2) / unit
                            : sqrt(variance_of(values, inverse_T_offset / unit, scale)));
    profile of = { .inverse_T_offset = inverse_T_offset,
                   .watch = oxt_i_watch_start(asked->progress, asked->user),
                   .error = error };
    *low = best - step;
    *high = best + step;
    /* F(1, dof) is the square of Student's t. */
    oxt_status status = values->Q_held || step == 0.0 || is_straight(fit)
                            ? OXT_OK
                            : find_limits(fit, &of, best, step, t * t * scale, low, high, error);
    return status ? status : oxt_i_watch_end(&of.watch, error);
}

static oxt_status check_call(const oxt_fit *fit, oxt_interval_quantity what, double bath_K,
                             const oxt_interval_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_check_interval(what, bath_K, options->confidence, error);
    if (!status)
        status = oxt_i_check_choice("scale", (int)options->scale, OXT_INTERVAL_SCALE_REDUCED,
                                    error);
    if (!status && what == OXT_INTERVAL_SHAPE)
        status =
            oxt_i_fail_text(error, OXT_EARG, "what",
                            "what is a shape, which has limits by a bootstrap: a profile has those "
                            "of the constants");
    if (!status && what == OXT_INTERVAL_Q && fit->values.Q_held)
        status = oxt_i_fail_text(error, OXT_EIDENT, "what",
                                 "Q was held: the trials do not determine its limits");
    return status;
}

oxt_status oxt_interval_profile(const oxt_fit *fit, oxt_interval_quantity what, double bath_K,
                                const oxt_interval_options *options, double *low, double *high,
                                oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_interval_options chosen = OXT_INTERVAL_OPTIONS_INIT;
    if (!fit || !low || !high)
        return oxt_i_null(error, !fit ? "fit" : !low ? "low" : "high");
    oxt_status status = OXT_I_OPTIONS_IN(oxt_interval_options, &chosen, options, error);
    if (!status)
        status = check_call(fit, what, bath_K, &chosen, error);
    if (status)
        return status;
    const oxt_growth growth = fit->values.growth;
    double ends[2], unit = what == OXT_INTERVAL_Q ? R * growth.T_ref_K : 1.0;
    double inverse_T_offset = what == OXT_INTERVAL_Q
                                  ? NAN
                                  : oxt_i_interval_offset(what, bath_K, growth.T_ref_K);
    status = limits(fit, inverse_T_offset, &chosen, &ends[0], &ends[1], error);
    if (status)
        return status;
    if (what == OXT_INTERVAL_DIP_TIME)
        oxt_i_interval_factors(log(growth.k_ref_nm2_per_s) -
                                   growth.Q_J_per_mol / (R * growth.T_ref_K) * inverse_T_offset,
                               &ends[0], &ends[1]);
    *low = ends[0] * unit;
    *high = ends[1] * unit;
    return OXT_OK;
}
