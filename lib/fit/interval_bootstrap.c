/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bootstrap: the threads that share its replicates, and the caller who is kept in the picture. */
#include "fit/interval.h"

#include <stdlib.h>

#include "base/threads.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

enum { FEWEST = 100, MOST = 1000000, MOST_THREADS = 256, LARGEST_BLOCK = 32, ROWS_IN_BLOCK = 4096 };

void oxt_bootstrap_free(oxt_bootstrap *bootstrap)
{
    if (!bootstrap)
        return;
    free(bootstrap->ln_k);
    free(bootstrap->Q);
    free(bootstrap->shape);
    free(bootstrap);
}

/* ---- the work ---- */

/* Replicates between two looks at the flag: few where each takes long. */
static size_t block_of(const oxt_i_bootstrap_job *job)
{
    size_t block = ROWS_IN_BLOCK / job->whole.set.used_count;
    return block < 1 ? 1 : block > LARGEST_BLOCK ? LARGEST_BLOCK : block;
}

static bool replicate(void *context, size_t first, size_t count)
{
    oxt_i_bootstrap_replicates(context, first, count);
    return true;
}

static oxt_status run_threads(oxt_i_bootstrap_job *job, const oxt_fit *fit, oxt_error *error)
{
    oxt_i_shared_work work = { .count = job->options.replicates,
                               .block = block_of(job),
                               .threads = job->options.threads,
                               .work = replicate,
                               .own = sizeof(oxt_i_bootstrap_worker),
                               .progress = job->options.progress,
                               .user = job->options.user };
    size_t count = oxt_i_share_threads(&work);
    oxt_i_bootstrap_worker *workers = calloc(count, sizeof *workers);
    oxt_status status = workers ? OXT_OK : oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++)
        status = oxt_i_bootstrap_prepare(&workers[i], job, fit, error);
    work.context = workers;
    if (!status)
        status = oxt_i_share(&work, error);
    for (size_t i = 0; i < count && workers; i++)
        oxt_i_bootstrap_clear(&workers[i]);
    free(workers);
    return status;
}

/* ---- the residuals ---- */

/* Each over its own standard error, about their mean. A row that decides its own prediction has none. */
static oxt_status fill_pool(oxt_i_bootstrap_job *job, oxt_error *error)
{
    size_t n = job->whole.set.used_count;
    double sum = 0.0;
    job->pool = malloc(n * sizeof *job->pool);
    if (!job->pool)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < n; i++) {
        const oxt_i_fit_row *row = &job->whole.set.rows[i];
        if (row->leverage >= 1.0 - 1e-9)
            continue;
        double inner = row->residual / (row->sigma * sqrt(1.0 - row->leverage));
        job->pool[job->pool_count++] = inner;
        sum += inner;
    }
    for (size_t i = 0; i < job->pool_count; i++)
        job->pool[i] -= sum / (double)job->pool_count;
    return OXT_OK;
}

/* ---- running ---- */

static oxt_status check_options(const oxt_bootstrap_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "replicates", (double)options->replicates, FEWEST, MOST,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_choice("kind", (int)options->kind, OXT_BOOTSTRAP_RESIDUAL, error);
    return status
               ? status
               : oxt_i_check(error, "threads", options->threads, 0.0, MOST_THREADS, OXT_I_CLOSED);
}

static oxt_bootstrap *new_results(const oxt_i_bootstrap_job *job)
{
    size_t count = job->options.replicates;
    oxt_bootstrap *made = calloc(1, sizeof *made);
    if (!made)
        return NULL;
    made->ln_k = malloc(count * sizeof *made->ln_k);
    made->Q = malloc(count * sizeof *made->Q);
    made->shape = malloc(count * sizeof *made->shape);
    made->growth = job->fit.growth;
    if (made->ln_k && made->Q && made->shape)
        return made;
    oxt_bootstrap_free(made);
    return NULL;
}

static void summarise_shape(oxt_bootstrap_values *values, const oxt_bootstrap *made,
                            const oxt_i_bootstrap_job *job)
{
    double good = (double)(values->replicates - values->failed), squares = 0.0;
    values->law = job->fit.growth.law;
    values->law_shape = job->fit.growth.shape;
    values->law_middle_nm = job->fit.growth.middle_nm;
    if (!oxt_i_fit_has_shape(&job->chosen))
        return;
    for (size_t i = 0; i < values->replicates; i++)
        if (!isnan(made->shape[i]))
            values->mean_ln_shape += log(made->shape[i]) / good;
    for (size_t i = 0; i < values->replicates; i++)
        if (!isnan(made->shape[i])) {
            double off = log(made->shape[i]) - values->mean_ln_shape;
            squares += off * off / (good - 1.0);
        }
    values->sd_ln_shape = sqrt(squares);
}

static void summarise(oxt_bootstrap *made, const oxt_i_bootstrap_job *job)
{
    oxt_bootstrap_values values = OXT_BOOTSTRAP_VALUES_INIT;
    double kk = 0.0, kQ = 0.0, QQ = 0.0;
    values.replicates = job->options.replicates;
    values.T_ref_K = job->fit.growth.T_ref_K;
    values.unit = job->fit.unit;
    values.ln_k = log(job->fit.growth.k_ref_nm2_per_s);
    values.Q_J_per_mol = job->fit.growth.Q_J_per_mol;
    for (size_t i = 0; i < values.replicates; i++)
        values.failed += isnan(made->ln_k[i]);
    double good = (double)(values.replicates - values.failed);
    for (size_t i = 0; i < values.replicates; i++)
        if (!isnan(made->ln_k[i])) {
            values.mean_ln_k += made->ln_k[i] / good;
            values.mean_Q_J_per_mol += made->Q[i] / good;
        }
    for (size_t i = 0; i < values.replicates; i++)
        if (!isnan(made->ln_k[i])) {
            double k = made->ln_k[i] - values.mean_ln_k, Q = made->Q[i] - values.mean_Q_J_per_mol;
            kk += k * k / (good - 1.0);
            kQ += k * Q / (good - 1.0);
            QQ += Q * Q / (good - 1.0);
        }
    summarise_shape(&values, made, job);
    values.sd_ln_k = sqrt(kk);
    values.sd_Q_J_per_mol = sqrt(QQ);
    values.correlation = made->Q_is_exact ? NAN : kQ / sqrt(kk * QQ);
    made->values = values;
}

static oxt_status run(oxt_i_bootstrap_job *job, const oxt_fit *fit, oxt_error *error)
{
    job->fit = fit->values;
    job->robust = fit->options.robust;
    job->chosen = fit->options;
    job->q = fit->values.growth.Q_J_per_mol / (R * fit->values.growth.T_ref_K);
    oxt_status status = oxt_i_fit_reopen(&job->whole, fit, error);
    if (status)
        return status;
    job->results = new_results(job);
    if (!job->results)
        return oxt_i_no_memory(error);
    oxt_i_copy_text(job->results->name, sizeof job->results->name, fit->set.name);
    job->results->coupons = job->fit.used_count;
    job->results->Q_is_exact = job->fit.Q_held && job->fit.Q_stderr_J_per_mol == 0.0;
    if (job->options.kind == OXT_BOOTSTRAP_RESIDUAL)
        status = fill_pool(job, error);
    if (!status)
        status = run_threads(job, fit, error);
    if (!status)
        summarise(job->results, job);
    return status;
}

oxt_status oxt_bootstrap_run(oxt_bootstrap **bootstrap, const oxt_fit *fit,
                             const oxt_bootstrap_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (bootstrap)
        *bootstrap = NULL;
    if (!bootstrap || !fit)
        return oxt_i_null(error, bootstrap ? "fit" : "bootstrap");
    oxt_i_bootstrap_job job = { .options = OXT_BOOTSTRAP_OPTIONS_INIT };
    oxt_status status = OXT_I_OPTIONS_IN(oxt_bootstrap_options, &job.options, options, error);
    if (!status)
        status = check_options(&job.options, error);
    if (status)
        return status;
    status = run(&job, fit, error);
    oxt_i_fit_close(&job.whole);
    free(job.pool);
    if (status)
        oxt_bootstrap_free(job.results);
    else
        *bootstrap = job.results;
    return status;
}
