/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One replicate of a bootstrap: drawn from the rows of a fit, and fitted. */
#include <gsl/gsl_randist.h>
#include <stdlib.h>
#include <string.h>

#include "bootstrap.h"
#include "random.h"

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

/* A stream for each replicate. The mixing is one to one, so that no two replicates share a stream, and
 * scatters neighbours, of which generators make neighbouring streams. */
static void start_stream(const oxt_i_bootstrap_worker *worker, size_t index)
{
    uint64_t given = worker->job->options.random_seed;
    uint32_t key = mixed((uint32_t)given) + mixed((uint32_t)(given >> 32) + 1);
    gsl_rng_set(worker->random, mixed((uint32_t)index ^ key));
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
    oxt_i_fit_model *model = &worker->solution.model;
    for (size_t j = 0; j < model->prior_count; j++)
        model->prior[j].value = job->model.prior[j].value +
                                gsl_ran_gaussian(worker->random,
                                                 1.0 / sqrt(job->model.prior[j].weight));
    if (job->fit.Q_held)
        model->held_q = job->q + gsl_ran_gaussian(worker->random, job->fit.Q_stderr_J_per_mol /
                                                                      (R * model->T_ref_K));
}

static void draw_pairs(oxt_i_bootstrap_worker *worker)
{
    oxt_i_fit_model *model = &worker->solution.model;
    for (size_t i = 0; i < model->n; i++)
        model->rows[i] = &worker->rows[any_of(worker, model->n)];
}

static void draw_residuals(oxt_i_bootstrap_worker *worker)
{
    const oxt_i_bootstrap_job *job = worker->job;
    for (size_t i = 0; i < job->model.n; i++) {
        const oxt_i_seen_row *row = &job->rows[i];
        const oxt_i_reading *seen = oxt_i_seen(row);
        oxt_i_reading *drawn = &worker->rows[i].readings[row->reading];
        double moved = row->sigma * job->pool[any_of(worker, job->pool_count)] - row->residual;
        drawn->ln_x = seen->ln_x + moved;
        drawn->low_nm = seen->low_nm * exp(moved); /* a band moves as a whole */
        drawn->high_nm = seen->high_nm * exp(moved);
    }
}

/* Fitted rows begin where the fit left them, whatever this thread did before. */
static void draw(oxt_i_bootstrap_worker *worker, size_t index)
{
    const oxt_i_bootstrap_job *job = worker->job;
    start_stream(worker, index);
    if (job->model.uncertain && job->model.orthogonal)
        memcpy(worker->rows, job->rows, job->model.n * sizeof *worker->rows);
    draw_beliefs(worker);
    if (job->options.kind == OXT_BOOTSTRAP_PAIRS)
        draw_pairs(worker);
    else
        draw_residuals(worker);
}

/* ---- fitting ---- */

static bool tells_Q(const oxt_i_bootstrap_worker *worker)
{
    const oxt_i_fit_model *model = &worker->solution.model;
    double low = HUGE_VAL, high = 0.0;
    for (size_t j = 0; j < model->prior_count; j++)
        if (model->prior[j].of_ln_k == 0.0)
            return true;
    for (size_t i = 0; i < model->n; i++) {
        low = fmin(low, model->rows[i]->bath_K);
        high = fmax(high, model->rows[i]->bath_K);
    }
    return worker->solution.p == 1 || high - low >= LEAST_SPREAD_K;
}

static bool fitted(oxt_i_bootstrap_worker *worker)
{
    const oxt_i_bootstrap_job *job = worker->job;
    oxt_i_fit_solution *solution = &worker->solution;
    solution->result.parameters[0] = log(job->fit.growth.k_ref_nm2_per_s);
    solution->result.parameters[1] = job->q;
    return tells_Q(worker) &&
           !oxt_i_fit_settle(solution, job->fit.scatter * job->fit.scatter, NULL);
}

void oxt_i_bootstrap_replicate(oxt_i_bootstrap_worker *worker, size_t index)
{
    const oxt_i_fit_solution *solution = &worker->solution;
    oxt_bootstrap *results = worker->job->results;
    draw(worker, index);
    bool good = fitted(worker);
    double q = solution->p == 2 ? solution->result.parameters[1] : solution->model.held_q;
    results->ln_k[index] = good ? solution->result.parameters[0] : NAN;
    results->Q[index] = good ? q * R * solution->model.T_ref_K : NAN;
}

/* ---- getting ready ---- */

oxt_status oxt_i_bootstrap_prepare(oxt_i_bootstrap_worker *worker, oxt_i_bootstrap_job *job,
                                   const oxt_fit *fit, oxt_error *error)
{
    worker->job = job;
    worker->rows = oxt_i_fit_used_rows(fit);
    worker->random = oxt_i_random_new();
    if (!worker->rows || !worker->random)
        return oxt_i_no_memory(error);
    worker->solution.p = job->fit.Q_held ? 1 : 2;
    worker->solution.prior_trust = 1.0;
    worker->solution.robust = job->robust;
    oxt_status status = oxt_i_fit_take_up(&worker->solution.model, fit, worker->rows, error);
    if (status)
        return status;
    worker->solution.by_band = oxt_i_fit_by_band(&worker->solution.model, fit->options.names);
    return oxt_i_fit_make_solver(&worker->solution, error);
}

void oxt_i_bootstrap_clear(oxt_i_bootstrap_worker *worker)
{
    free(worker->random);
    oxt_i_fit_free_solution(&worker->solution);
    free(worker->rows);
}
