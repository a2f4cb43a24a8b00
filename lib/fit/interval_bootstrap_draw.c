/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One replicate of a bootstrap: drawn from the rows of a fit, and fitted. */
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fit/interval.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
/* As for the fit: baths closer together are one. */
static const double LEAST_SPREAD_K = 5.0;

/* ---- random numbers ---- */

static uint32_t mixed(uint32_t number)
{
    number = (number ^ (number >> 16)) * UINT32_C(0x85ebca6b);
    number = (number ^ (number >> 13)) * UINT32_C(0xc2b2ae35);
    return number ^ (number >> 16);
}

/* A stream for each replicate, of so many of them at once. The mixing is one to one, so that no two replicates share a
 * stream, and scatters neighbours, of which generators make neighbouring streams. */
static void start_streams(const oxt_i_bootstrap_worker *worker, size_t first)
{
    uint64_t given = worker->job->options.random_seed;
    uint32_t key = mixed((uint32_t)given) + mixed((uint32_t)(given >> 32) + 1);
    uint32_t seeds[OXT_I_STREAMS];
    for (size_t j = 0; j < OXT_I_STREAMS; j++)
        seeds[j] = mixed((uint32_t)(first + j) ^ key);
    oxt_i_random_seed(worker->streams, seeds, worker->own.solution.model.n);
}

static size_t any_of(const oxt_i_bootstrap_worker *worker, size_t count)
{
    return gsl_rng_uniform_int(worker->random, count);
}

/* ---- drawing ---- */

/* What is not of the rows: the prior, and a held Q. */
static void draw_beliefs(oxt_i_bootstrap_worker *worker)
{
    const oxt_i_bootstrap_job *job = worker->job;
    const oxt_i_prior_row *prior = job->whole.solution.model.prior;
    oxt_i_fit_model *model = &worker->own.solution.model;
    for (size_t j = 0; j < model->prior_count; j++)
        model->prior[j].value = prior[j].value +
                                gsl_ran_gaussian(worker->random, 1.0 / sqrt(prior[j].weight));
    if (job->fit.Q_held)
        model->held_q = job->q + gsl_ran_gaussian(worker->random, job->fit.Q_stderr_J_per_mol /
                                                                      (R * model->T_ref_K));
    if (worker->has_shape && job->chosen.ln_shape_sd > 0.0)
        worker->own.solution.ln_shape = log(job->chosen.law_shape) +
                                        gsl_ran_gaussian(worker->random, job->chosen.ln_shape_sd);
}

/* A film that a logarithm of the rows moves to, which another shape makes another logarithm of. */
static double moved_film(const oxt_i_bootstrap_job *job, double film_nm, double moved)
{
    const oxt_growth *law = &job->fit.growth;
    return oxt_i_film_of(law, exp(oxt_i_ln_exposure_of(law, film_nm) + 2.0 * moved));
}

static void put_pair(oxt_i_bootstrap_worker *worker, size_t i, size_t drawn)
{
    oxt_i_fit_model *model = &worker->own.solution.model;
    const oxt_i_fit_model *whole = &worker->job->whole.solution.model;
    model->rows[i] = &worker->own.set.rows[drawn];
    model->u[i] = whole->u[drawn];
    model->z[i] = whole->z[drawn];
    model->own[i] = whole->own[drawn];
}

/* Whole days, where days are stated: their rows are not independent. */
static void draw_days(oxt_i_bootstrap_worker *worker)
{
    size_t n = worker->own.solution.model.n, i = 0;
    while (i < n) {
        size_t day = 1 + any_of(worker, worker->own.set.day_count);
        for (size_t j = 0; j < n && i < n; j++)
            if (worker->own.set.rows[j].day == day)
                put_pair(worker, i++, j);
    }
}

static void draw_pairs(oxt_i_bootstrap_worker *worker)
{
    size_t n = worker->own.solution.model.n;
    if (worker->effects)
        draw_days(worker);
    for (size_t i = 0; i < n && !worker->effects; i++)
        put_pair(worker, i, any_of(worker, n));
}

static void draw_residuals(oxt_i_bootstrap_worker *worker)
{
    const oxt_i_bootstrap_job *job = worker->job;
    oxt_i_fit_model *model = &worker->own.solution.model;
    for (size_t d = 0; d < worker->own.set.day_count && worker->effects; d++)
        worker->effects[d] = gsl_ran_gaussian(worker->random, job->fit.day_sd);
    for (size_t i = 0; i < model->n; i++) {
        const oxt_i_fit_row *row = &job->whole.set.rows[i];
        const oxt_i_reading *seen = oxt_i_seen(row);
        double moved = row->sigma * job->pool[any_of(worker, job->pool_count)] - row->residual;
        if (worker->effects)
            moved += worker->effects[row->day - 1] - row->day_effect;
        model->u[i] = job->whole.solution.model.u[i];
        model->z[i] = job->whole.solution.model.z[i] + 2.0 * moved;
        if (worker->fixed)
            continue;
        oxt_i_reading *drawn = &worker->own.set.rows[i].readings[row->reading];
        drawn->ln_x = seen->ln_x + moved;
        drawn->ln_low = seen->ln_low + moved; /* a band moves as a whole */
        drawn->ln_high = seen->ln_high + moved;
        if (!worker->has_shape)
            continue;
        drawn->seen_nm = moved_film(job, seen->seen_nm, moved);
        drawn->low_nm = moved_film(job, seen->low_nm, moved);
        drawn->high_nm = moved_film(job, seen->high_nm, moved);
    }
}

/* Fitted rows begin where the fit left them, whatever this thread did before. */
static void draw(oxt_i_bootstrap_worker *worker)
{
    const oxt_i_bootstrap_job *job = worker->job;
    const oxt_i_fit_model *whole = &job->whole.solution.model;
    if (whole->uncertain && whole->orthogonal)
        memcpy(worker->own.set.rows, job->whole.set.rows, whole->n * sizeof *job->whole.set.rows);
    draw_beliefs(worker);
    if (job->options.kind == OXT_BOOTSTRAP_PAIRS)
        draw_pairs(worker);
    else
        draw_residuals(worker);
}

/* ---- fitting ---- */

static bool determines_Q(const oxt_i_bootstrap_worker *worker)
{
    const oxt_i_fit_model *model = &worker->own.solution.model;
    double low = HUGE_VAL, high = 0.0;
    if (!isnan(model->held_q))
        return true;
    for (size_t j = 0; j < model->prior_count; j++)
        if (model->prior[j].of_ln_k == 0.0)
            return true;
    for (size_t i = 0; i < model->n; i++) {
        low = fmin(low, model->rows[i]->bath_K);
        high = fmax(high, model->rows[i]->bath_K);
    }
    return high - low >= LEAST_SPREAD_K;
}

/* With the shape that it finds for itself. */
static bool shaped(oxt_i_bootstrap_worker *worker, double *shape)
{
    static const double ERRORS = 6.0;
    const oxt_i_bootstrap_job *job = worker->job;
    oxt_i_fit_solution *solution = &worker->own.solution;
    double ln_shape;
    solution->law->shape = job->fit.growth.shape;
    solution->variance = job->fit.scatter * job->fit.scatter;
    solution->day_sd = job->fit.day_sd;
    if (oxt_i_fit_seek_shape(solution, &job->chosen, ERRORS * job->fit.ln_shape_stderr, &ln_shape))
        return false;
    *shape = exp(ln_shape);
    return true;
}

static bool fitted(oxt_i_bootstrap_worker *worker, double *shape)
{
    const oxt_i_bootstrap_job *job = worker->job;
    oxt_i_fit_solution *solution = &worker->own.solution;
    *shape = job->fit.growth.shape;
    solution->at[0].b = log(job->fit.growth.k_ref_nm2_per_s);
    solution->at[0].q = isnan(solution->model.held_q) ? job->q : solution->model.held_q;
    if (worker->has_shape)
        return determines_Q(worker) && shaped(worker, shape);
    return determines_Q(worker) &&
           !oxt_i_fit_converge(solution, job->fit.scatter * job->fit.scatter, NULL);
}

static void replicate(oxt_i_bootstrap_worker *worker, size_t index)
{
    const oxt_i_fit_solution *solution = &worker->own.solution;
    oxt_bootstrap *results = worker->job->results;
    draw(worker);
    double shape;
    bool good = fitted(worker, &shape);
    results->ln_k[index] = good ? solution->at[0].b : NAN;
    results->Q[index] = good ? solution->at[0].q * R * solution->model.T_ref_K : NAN;
    results->shape[index] = good ? shape : NAN;
}

void oxt_i_bootstrap_replicates(oxt_i_bootstrap_worker *worker, size_t first, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (i % OXT_I_STREAMS == 0)
            start_streams(worker, first + i);
        worker->random = worker->streams[i % OXT_I_STREAMS];
        replicate(worker, first + i);
    }
}

/* ---- getting ready ---- */

oxt_status oxt_i_bootstrap_prepare(oxt_i_bootstrap_worker *worker, oxt_i_bootstrap_job *job,
                                   const oxt_fit *fit, oxt_error *error)
{
    worker->job = job;
    oxt_status status = oxt_i_fit_reopen(&worker->own, fit, error);
    for (size_t j = 0; j < OXT_I_STREAMS && !status; j++)
        if (!(worker->streams[j] = oxt_i_random_new()))
            status = oxt_i_no_memory(error);
    if (!status && worker->own.solution.day_count > 0) {
        worker->effects = malloc(worker->own.set.day_count * sizeof *worker->effects);
        status = worker->effects ? OXT_OK : oxt_i_no_memory(error);
    }
    worker->own.solution.class_count = 0; /* rows change their places */
    worker->own.solution.law = &worker->own.set.law;
    worker->has_shape = oxt_i_fit_has_shape(&fit->options);
    worker->fixed = oxt_i_fit_is_fixed(&worker->own.solution) && !worker->has_shape;
    return status;
}

void oxt_i_bootstrap_clear(oxt_i_bootstrap_worker *worker)
{
    for (size_t j = 0; j < OXT_I_STREAMS; j++)
        free(worker->streams[j]);
    free(worker->effects);
    oxt_i_fit_close(&worker->own);
}
