/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each law on the trials: least squares on ln x from several starts, and at the limits of its shape. */
#include <string.h>

#include "fit/laws.h"

static const double LEAST_EXPONENT = 1.0, MOST_EXPONENT = 12.0;
/* Of A and L over the middle film: beyond this the law is linear within rounding of what is seen, and a
 * film that is a hundred times L does not grow in any time. */
static const double AS_GOOD_AS_INFINITE = 1e4, LEAST_LOG_SCALE = 0.01;
/* Below this share of the middle film A only rounds. */
static const double LEAST_LINEAR = 1e-4;

/* ---- the model ---- */

/* The parameters are -ln of the time of the middle film, q, ln shape and ln x0: these are nearly
 * uncorrelated under every law, unlike ln k. */
typedef struct {
    oxt_i_laws_data *data;
    oxt_i_law_solution at; /* what is held, and the places of what is not */
} model;

static void take(model *of, const double *parameters)
{
    oxt_i_law_solution *at = &of->at;
    at->ln_time = -parameters[0];
    if (at->q_at < at->p)
        at->q = parameters[at->q_at];
    if (at->shape_at < at->p)
        at->law.shape = exp(parameters[at->shape_at]);
    if (at->initial_at < at->p)
        at->initial_nm = exp(parameters[at->initial_at]);
}

static double thinnest(const oxt_i_laws_data *data)
{
    double least = HUGE_VAL;
    for (size_t i = 0; i < data->n; i++)
        least = fmin(least, oxt_i_seen(&data->rows[i])->ln_x);
    return exp(least);
}

/* Is the shape one that is looked for? */
static bool shape_within_limits(const oxt_i_laws_data *data, const oxt_i_law *law)
{
    double of_middle = law->shape / exp(data->middle_ln_x);
    switch (law->kind) {
    case OXT_LAW_POWER:
        return law->shape > LEAST_EXPONENT && law->shape < MOST_EXPONENT;
    case OXT_LAW_LINEAR_PARABOLIC:
        return of_middle > LEAST_LINEAR && of_middle < AS_GOOD_AS_INFINITE;
    case OXT_LAW_LOGARITHMIC:
        return of_middle > LEAST_LOG_SCALE && of_middle < AS_GOOD_AS_INFINITE;
    default:
        return true;
    }
}

/* A film before the dip that is next to nothing is the limit of none, which is tried too. */
static bool within_limits(const oxt_i_laws_data *data, const oxt_i_law_solution *at)
{
    static const double NEXT_TO_NOTHING = 1e-3;
    return (at->shape_held || shape_within_limits(data, &at->law)) &&
           (at->initial_nm == 0.0 || at->initial_nm > NEXT_TO_NOTHING * thinnest(data));
}

static double ln_equivalent(const oxt_i_laws_data *data, const oxt_i_fit_row *row, double q,
                            double *by_q)
{
    return oxt_i_fit_ln_equivalent(data->T_ref_K, row, q, row->bath_K, row->time_s, by_q);
}

/* ln of the exposure of a row, and of the whole of it, with the film before the dip; `by_q` the slope
 * of ln of its equivalent time. */
static void exposures(const oxt_i_laws_data *data, const oxt_i_law_solution *at,
                      const oxt_i_fit_row *row, double *of_dip, double *whole, double *by_q)
{
    double offset = data->T_ref_K / row->bath_K - 1.0;
    *of_dip = oxt_i_law_ln_G(&at->law, data->middle_ln_x) - at->ln_time - at->q * offset +
              ln_equivalent(data, row, at->q, by_q);
    *whole = *of_dip;
    if (at->initial_nm > 0.0) {
        double before = oxt_i_law_ln_G(&at->law, log(at->initial_nm));
        *whole = fmax(*of_dip, before) + log1p(exp(-fabs(*of_dip - before)));
    }
}

void oxt_i_law_residuals(const oxt_i_laws_data *data, const oxt_i_law_solution *solution,
                         double *result)
{
    for (size_t i = 0; i < data->n; i++) {
        double of_dip, whole;
        exposures(data, solution, &data->rows[i], &of_dip, &whole, NULL);
        result[i] = oxt_i_law_ln_x(&solution->law, whole) - oxt_i_seen(&data->rows[i])->ln_x;
    }
}

static bool residuals(const double *parameters, double *result, void *context)
{
    model *of = context;
    take(of, parameters);
    oxt_i_laws_data *data = of->data;
    if (!data->stopped)
        data->stopped = oxt_i_watch_tick(data->watch, data->share, data->error);
    if (data->stopped ||
        !within_limits(of->data, &of->at)) /* it would run on for ever: the limits are tried too */
        return false;
    oxt_i_law_residuals(data, &of->at, result);
    return true;
}

static bool jacobian(const double *parameters, double *result, void *context)
{
    model *of = context;
    take(of, parameters);
    const oxt_i_law_solution *at = &of->at;
    const oxt_i_law *law = &at->law;
    double middle_by_shape = oxt_i_law_by_shape(law, of->data->middle_ln_x);
    for (size_t i = 0; i < of->data->n; i++) {
        const oxt_i_fit_row *row = &of->data->rows[i];
        double of_dip, whole, by_q, *line = result + i * at->p;
        exposures(of->data, at, row, &of_dip, &whole, &by_q);
        double ln_x = oxt_i_law_ln_x(law, whole), share = exp(of_dip - whole);
        double per_ln_G = 1.0 / oxt_i_law_exponent(law, ln_x);
        double ln_x0 = log(at->initial_nm), before = 1.0 - share;
        line[0] = per_ln_G * share;
        if (at->q_at < at->p)
            line[at->q_at] = line[0] * (by_q - (of->data->T_ref_K / row->bath_K - 1.0));
        if (at->shape_at < at->p) {
            double moved = share * middle_by_shape - oxt_i_law_by_shape(law, ln_x);
            if (at->initial_nm > 0.0)
                moved += before * oxt_i_law_by_shape(law, ln_x0);
            line[at->shape_at] = per_ln_G * moved;
        }
        if (at->initial_at < at->p)
            line[at->initial_at] = per_ln_G * before * oxt_i_law_exponent(law, ln_x0);
    }
    return true;
}

/* ---- one solution from one start ---- */

/* Number what is free. */
static void number(oxt_i_law_solution *at, bool q_free, bool shape_free, bool initial_free)
{
    at->p = 1 + (size_t)q_free + (size_t)shape_free + (size_t)initial_free;
    at->q_at = at->shape_at = at->initial_at = at->p;
    size_t next = 1;
    if (q_free)
        at->q_at = next++;
    if (shape_free)
        at->shape_at = next++;
    if (initial_free)
        at->initial_at = next;
}

/* Chi-square of residuals that are only rounding. */
static double rounding(const oxt_i_laws_data *data)
{
    static const double ROUNDING = 1e-12;
    double sum = 0.0;
    for (size_t i = 0; i < data->n; i++)
        sum += data->weights[i] * ROUNDING * ROUNDING;
    return sum;
}

/* Solve from a start, and keep the answer when it is better than `best`. */
static oxt_status try_start(oxt_i_laws_data *data, const oxt_i_law_solution *start,
                            oxt_i_law_solution *best, oxt_error *error)
{
    model of = { data, *start };
    oxt_i_lsq_problem problem = { data->n, start->p, residuals, jacobian, &of };
    oxt_i_lsq_result result = { .parameters = { -start->ln_time } };
    oxt_i_lsq *solver;
    oxt_error detail = OXT_ERROR_INIT;
    if (start->q_at < start->p)
        result.parameters[start->q_at] = start->q;
    if (start->shape_at < start->p)
        result.parameters[start->shape_at] = log(start->law.shape);
    if (start->initial_at < start->p)
        result.parameters[start->initial_at] = log(start->initial_nm);
    oxt_status status = oxt_i_lsq_new(&solver, &problem, error);
    if (status)
        return status;
    status = oxt_i_lsq_solve(solver, data->weights, &result, &detail);
    oxt_i_lsq_free(solver);
    if (status == OXT_ENOMEM)
        return oxt_i_no_memory(error);
    if (data->stopped)
        return data->stopped;
    if (status)
        return OXT_OK;
    take(&of, result.parameters);
    /* A gain within rounding does not undo a limit. */
    bool better = !best->found ||
                  result.chi_square < best->chi_square * (1.0 - 1e-12) - rounding(data);
    if (!better)
        return OXT_OK;
    *best = of.at;
    best->found = true;
    best->chi_square = result.chi_square;
    memcpy(best->covariance, result.covariance, start->p * start->p * sizeof *best->covariance);
    return OXT_OK;
}

/* The start that agrees with the parabolic fit at the middle film. */
static oxt_i_law_solution start_of(const oxt_i_laws_data *data, const oxt_i_law *law)
{
    oxt_i_law_solution at = { .law = *law };
    at.ln_time = 2.0 * data->middle_ln_x - data->fit_ln_k;
    at.q = data->Q_held ? data->fit_q
                        : 0.5 * data->fit_q * oxt_i_law_exponent(law, data->middle_ln_x);
    return at;
}

/* ---- what is tried ---- */

/* A shape to begin with, of the middle film where it is a length; or one to hold. */
typedef struct {
    double shape;
    bool held;
} trial_shape;

static const trial_shape parabolic[] = { { 0.0, true } };
static const trial_shape power[] = {
    { 1.0, true }, { 12.0, true }, { 2.0, false }, { 5.0, false }
};
static const trial_shape linear_parabolic[] = {
    { 0.0, true }, { 1e4, true }, { 0.2, false }, { 3.0, false }
};
static const trial_shape logarithmic[] = {
    { 0.01, true }, { 1e4, true }, { 0.1, false }, { 0.8, false }
};

static const struct {
    const trial_shape *shapes;
    size_t count;
} tried[OXT_LAW_COUNT] = { { parabolic, OXT_I_COUNT(parabolic) },
                           { power, OXT_I_COUNT(power) },
                           { linear_parabolic, OXT_I_COUNT(linear_parabolic) },
                           { logarithmic, OXT_I_COUNT(logarithmic) } };

static oxt_status try_shape(oxt_i_laws_data *data, oxt_law kind, const trial_shape *tried_shape,
                            double initial_nm, oxt_i_law_solution *best, oxt_error *error)
{
    bool is_length = kind == OXT_LAW_LINEAR_PARABOLIC || kind == OXT_LAW_LOGARITHMIC;
    oxt_i_law law = { kind, tried_shape->shape * (is_length ? exp(data->middle_ln_x) : 1.0) };
    oxt_i_law_solution start = start_of(data, &law);
    start.shape_held = tried_shape->held;
    start.initial_nm = initial_nm;
    number(&start, !data->Q_held, !tried_shape->held, initial_nm > 0.0);
    return try_start(data, &start, best, error);
}

oxt_status oxt_i_law_solve(oxt_i_laws_data *data, oxt_law kind, oxt_i_law_solution *best,
                           oxt_error *error)
{
    static const double OF_THINNEST[] = { 0.4, 0.9 };
    oxt_status status = OXT_OK;
    *best = (oxt_i_law_solution){ .found = false };
    for (size_t i = 0; i < tried[kind].count && !status; i++)
        status = try_shape(data, kind, &tried[kind].shapes[i], 0.0, best, error);
    if (!data->has_initial)
        return status;
    for (size_t j = 0; j < OXT_I_COUNT(OF_THINNEST); j++)
        for (size_t i = 0; i < tried[kind].count && !status; i++)
            status = try_shape(data, kind, &tried[kind].shapes[i], OF_THINNEST[j] * thinnest(data),
                               best, error);
    return status;
}
