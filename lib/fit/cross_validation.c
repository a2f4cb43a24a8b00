/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each coupon of a fit predicted from the others: the fit is taken up again without it, from where it stands. */
#include <stdlib.h>
#include <string.h>

#include "oxtint/cross_validation.h"
#include "base/hits.h"
#include "base/threads.h"
#include "fit/fit.h"
#include "optics/tint.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

struct oxt_cross_validation {
    oxt_cross_validation_values values;
    char name[140]; /* of the steel */
    oxt_cross_validation_row *rows;
};

/* What all threads read; each row of the results is written by one of them. */
typedef struct {
    const oxt_fit *fit;
    oxt_cross_validation_options options;
    oxt_i_reopened whole; /* with rows that nobody writes to */
    oxt_cross_validation *results;
} job;

typedef struct {
    const job *job;
    oxt_i_reopened own;
    oxt_status status; /* OXT_ENOMEM when memory ran out */
} worker;

/* ---- the others ---- */

static bool is_left_out(const worker *of, size_t index, size_t i)
{
    const oxt_i_fit_row *rows = of->job->whole.set.rows;
    return i == index || (of->job->options.by_bath &&
                          fabs(rows[i].bath_K - rows[index].bath_K) <= OXT_I_LEAST_SPREAD_K);
}

/* The columns of all others, as logged. */
static void take_others(worker *of, size_t index)
{
    oxt_i_fit_model *model = &of->own.solution.model;
    oxt_i_trial_set *set = &of->own.set;
    model->n = 0;
    set->low_K = HUGE_VAL;
    set->high_K = 0.0;
    for (size_t i = 0; i < set->row_count; i++) {
        oxt_i_fit_row *row = &set->rows[i];
        if (is_left_out(of, index, i))
            continue;
        set->low_K = fmin(set->low_K, row->bath_K);
        set->high_K = fmax(set->high_K, row->bath_K);
        model->rows[model->n++] = row;
    }
    set->used_count = of->own.first[1] = model->n;
    oxt_i_fit_fill_columns(&of->own.solution, false);
}

/* Of so many coupons one does not move the scatter: it stays, which leaves a few steps from where the fit stands. */
enum { MANY = 50 };

static oxt_status solve(worker *of)
{
    oxt_i_fit_solution *solution = &of->own.solution;
    const oxt_fit *fit = of->job->fit;
    solution->at[0] = fit->constants;
    if (of->job->options.by_bath || fit->values.used_count <= MANY)
        return oxt_i_fit_solve_as_read(solution, &fit->options, NULL);
    return oxt_i_fit_converge(solution, solution->scatter * solution->scatter, NULL);
}

/* Constants and scatter of the others; the reason why there are none, or NULL. */
static const char *fit_others(worker *of)
{
    oxt_i_fit_solution *solution = &of->own.solution;
    const oxt_i_fit_model *model = &solution->model;
    bool Q_known = of->job->fit->values.Q_held;
    for (size_t j = 0; j < model->prior_count; j++)
        Q_known = Q_known || model->prior[j].of_ln_k == 0.0;
    if (model->n == 0 || oxt_i_fit_counted_dof(solution) < 1.0)
        return "too few others";
    if (!Q_known && oxt_i_fit_check_design(solution, NULL))
        return "the others do not determine Q: their baths lie too close together";
    oxt_status status = solve(of);
    if (status == OXT_ENOMEM)
        of->status = status;
    return status                       ? "the others contradict each other"
           : !(solution->at[0].q > 0.0) ? "the others contradict each other: hotter baths gave "
                                          "thinner films"
                                        : NULL;
}

/* ---- one coupon ---- */

/* Its ln x by the fit of the others, and the variance of that by the error of the fit; on a day of its own. */
static double predict(const worker *of, const oxt_i_fit_row *row, double *variance)
{
    oxt_i_fit_row on_another_day = *row;
    on_another_day.day_effect = 0.0;
    const oxt_i_fit_solution *solution = &of->own.solution;
    const oxt_i_constants *at = &solution->at[0];
    oxt_fit_values values = { .Q_held = of->job->fit->values.Q_held };
    double by_q, scale = R * solution->model.T_ref_K;
    double ln_x = oxt_i_fit_ln_x(solution->model.T_ref_K, &on_another_day, at->b, at->q,
                                 row->bath_K, row->time_s, &by_q);
    oxt_i_fit_fill_covariance(&values, solution, &of->job->fit->options);
    double by_Q = by_q / scale;
    *variance = fmax(0.25 * values.variance_ln_k + by_Q * values.covariance_J_per_mol +
                         by_Q * by_Q * values.variance_Q_J2_per_mol2,
                     0.0);
    return ln_x;
}

static void fill_prediction(const worker *of, const oxt_i_fit_row *row,
                            oxt_cross_validation_row *made)
{
    const oxt_i_fit_solution *solution = &of->own.solution;
    const oxt_fit *fit = of->job->fit;
    double variance, ln_x = predict(of, row, &variance);
    double measured = row->is_band ? 0.0 : oxt_i_seen(row)->sigma;
    double of_fit = oxt_i_fit_effective_dof(solution, oxt_i_fit_dof_of_rows(solution));
    double scatter = solution->scatter * solution->scatter;
    double seen = oxt_i_fit_spread(row) + measured * measured;
    scatter += solution->day_sd * solution->day_sd;
    double deviation = sqrt(variance + scatter + seen);
    double of_scatter = solution->scatter_dof > 0.0 ? solution->scatter_dof : of_fit;
    double dof = oxt_i_combined_dof(variance, of_fit, scatter, of_scatter, seen);
    double film_nm = oxt_i_fit_film_nm(&fit->set, ln_x);
    if (film_nm >= fit->edges[OXT_TINT_COUNT]) {
        oxt_i_copy_text(made->reason, sizeof made->reason,
                        "the others predict a film past the second order, which has no name");
        return;
    }
    double t = oxt_i_t_quantile(of->job->options.confidence, dof);
    int band = oxt_i_band_at(fit->edges, film_nm);
    double low_nm = fit->edges[band], high_nm = fit->edges[band + 1];
    made->predicted = 1;
    made->predicted_nm = film_nm;
    made->low_nm = oxt_i_fit_film_nm(&fit->set, ln_x - t * deviation);
    made->high_nm = oxt_i_fit_film_nm(&fit->set, ln_x + t * deviation);
    oxt_i_copy_text(made->colour, sizeof made->colour, oxt_i_band_label(fit->words, band));
    made->chance = oxt_i_t_chance(oxt_i_equal_nm(&fit->set.law, low_nm) / exp(ln_x),
                                  oxt_i_equal_nm(&fit->set.law, high_nm) / exp(ln_x), deviation,
                                  dof);
    made->hit = made->observed_nm >= low_nm && made->observed_nm < high_nm;
}

/* Without the quotes of a message. */
static void put_seen(const oxt_i_fit_row *row, char *seen, size_t capacity)
{
    oxt_i_row_text(row, seen, capacity);
    size_t length = strlen(seen);
    if (length < 2 || seen[0] != '\'')
        return;
    memmove(seen, seen + 1, length - 2);
    seen[length - 2] = '\0';
}

static void leave_out(worker *of, size_t index)
{
    const oxt_i_fit_row *row = &of->job->whole.set.rows[index];
    oxt_cross_validation_row made = OXT_CROSS_VALIDATION_ROW_INIT;
    made.trial = row->trial;
    made.line = row->line;
    made.bath_K = row->bath_K;
    made.time_s = row->time_s;
    put_seen(row, made.seen, sizeof made.seen);
    made.observed_nm = oxt_i_fit_film_nm(&of->job->fit->set, oxt_i_seen(row)->ln_x);
    made.predicted_nm = made.low_nm = made.high_nm = made.chance = NAN;
    take_others(of, index);
    const char *reason = fit_others(of);
    if (reason)
        oxt_i_copy_text(made.reason, sizeof made.reason, reason);
    else
        fill_prediction(of, row, &made);
    of->job->results->rows[index] = made;
}

static bool leave_out_block(void *context, size_t first, size_t count)
{
    worker *of = context;
    for (size_t i = first; i < first + count && !of->status; i++)
        leave_out(of, i);
    return !of->status;
}

/* ---- all of them ---- */

static oxt_status run_threads(const job *of, oxt_error *error)
{
    oxt_i_shared_work work = { .count = of->whole.set.row_count,
                               .block = 1,
                               .threads = of->options.threads,
                               .work = leave_out_block,
                               .own = sizeof(worker),
                               .progress = of->options.progress,
                               .user = of->options.user };
    size_t count = oxt_i_share_threads(&work);
    worker *workers = calloc(count, sizeof *workers);
    oxt_status status = workers ? OXT_OK : oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++) {
        workers[i].job = of;
        status = oxt_i_fit_reopen(&workers[i].own, of->fit, error);
    }
    work.context = workers;
    if (!status)
        status = oxt_i_share(&work, error);
    for (size_t i = 0; i < count && workers; i++) {
        oxt_i_fit_close(&workers[i].own);
        if (!status && workers[i].status)
            status = oxt_i_no_memory(error);
    }
    free(workers);
    return status;
}

static void summarise(const job *of)
{
    oxt_cross_validation_values values = OXT_CROSS_VALIDATION_VALUES_INIT;
    values.coupon_count = of->whole.set.row_count;
    values.confidence = of->options.confidence;
    values.by_bath = of->options.by_bath;
    values.unit = of->fit->values.unit;
    values.hits_low = values.hits_high = NAN;
    for (size_t i = 0; i < values.coupon_count; i++) {
        const oxt_cross_validation_row *row = &of->results->rows[i];
        if (!row->predicted)
            continue;
        values.predicted_count++;
        values.hit_count += row->hit ? 1 : 0;
        values.expected_hits += row->chance;
    }
    if (values.predicted_count > 0)
        oxt_i_hit_limits(values.hit_count, values.predicted_count, values.confidence,
                         &values.hits_low, &values.hits_high);
    of->results->values = values;
}

static oxt_status run(job *of, oxt_error *error)
{
    oxt_status status = oxt_i_fit_reopen(&of->whole, of->fit, error);
    if (status)
        return status;
    of->results = calloc(1, sizeof *of->results);
    if (!of->results)
        return oxt_i_no_memory(error);
    of->results->rows = malloc(of->whole.set.row_count * sizeof *of->results->rows);
    if (!of->results->rows)
        return oxt_i_no_memory(error);
    oxt_i_copy_text(of->results->name, sizeof of->results->name, of->fit->set.name);
    status = run_threads(of, error);
    if (!status)
        summarise(of);
    return status;
}

oxt_status oxt_cross_validation_run(oxt_cross_validation **validation, const oxt_fit *fit,
                                    const oxt_cross_validation_options *options, oxt_error *error)
{
    enum { MOST_THREADS = 256 };
    OXT_I_HOLD_TRAPS;
    if (validation)
        *validation = NULL;
    if (!validation || !fit)
        return oxt_i_null(error, validation ? "fit" : "validation");
    job of = { .fit = fit, .options = OXT_CROSS_VALIDATION_OPTIONS_INIT };
    oxt_status status = OXT_I_OPTIONS_IN(oxt_cross_validation_options, &of.options, options, error);
    if (!status)
        status = oxt_i_check_choice("by_bath", of.options.by_bath, 1, error);
    if (!status)
        status = oxt_i_check(error, "confidence", of.options.confidence, 0.5, 0.9999, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "threads", of.options.threads, 0.0, MOST_THREADS, OXT_I_CLOSED);
    if (status)
        return status;
    status = run(&of, error);
    oxt_i_fit_close(&of.whole);
    if (status)
        oxt_cross_validation_free(of.results);
    else
        *validation = of.results;
    return status;
}

void oxt_cross_validation_free(oxt_cross_validation *validation)
{
    if (!validation)
        return;
    free(validation->rows);
    free(validation);
}

/* ---- reading the result ---- */

oxt_status oxt_cross_validation_get(const oxt_cross_validation *validation,
                                    oxt_cross_validation_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!validation || !values)
        return oxt_i_null(error, validation ? "values" : "validation");
    return OXT_I_STRUCT_OUT(oxt_cross_validation_values, values, &validation->values, "values",
                            error);
}

oxt_status oxt_cross_validation_get_row(const oxt_cross_validation *validation, size_t index,
                                        oxt_cross_validation_row *row, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!validation || !row)
        return oxt_i_null(error, validation ? "row" : "validation");
    oxt_status status = oxt_i_check_index(error, index, validation->values.coupon_count);
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_cross_validation_row, row, &validation->rows[index], "row",
                                     error);
}

/* ---- the report ---- */

void oxt_i_text_add_hits(oxt_i_text *text, const oxt_cross_validation_values *of)
{
    oxt_i_text_add(
        text, "%zu of %zu coupon%s show%s the colour predicted from the others (%.1f expected)",
        of->hit_count, of->predicted_count, oxt_i_plural(of->predicted_count),
        of->predicted_count == 1 ? "s" : "", of->expected_hits);
}

static void add_row(oxt_i_text *text, const oxt_cross_validation_row *row,
                    oxt_temperature_unit unit)
{
    if (row->line)
        oxt_i_text_add(text, "  Line %zu: ", row->line);
    else
        oxt_i_text_add(text, "  Trial %zu: ", row->trial + 1);
    oxt_i_text_add(text, "%s, %s, seen %s", oxt_i_show_temperature(row->bath_K, unit).text,
                   oxt_i_show_time(row->time_s).text, row->seen);
    if (row->predicted)
        oxt_i_text_add(
            text, " (%.0f nm); predicted %s with a chance of %.0f %% (%.0f nm, %.0f to %.0f)\n",
            row->observed_nm, row->colour, 100.0 * row->chance, row->predicted_nm, row->low_nm,
            row->high_nm);
    else
        oxt_i_text_add(text, ": %s\n", row->reason);
}

static void add_rows(oxt_i_text *text, const oxt_cross_validation *of, bool predicted,
                     const char *title, oxt_temperature_unit unit)
{
    for (size_t i = 0; i < of->values.coupon_count; i++) {
        const oxt_cross_validation_row *row = &of->rows[i];
        if (row->hit || (row->predicted != 0) != predicted)
            continue;
        oxt_i_text_add(text, "%s", title);
        title = "";
        add_row(text, row, unit);
    }
}

static void add_verdict(oxt_i_text *text, const oxt_cross_validation_values *of)
{
    bool fewer = of->expected_hits > of->hits_high, more = of->expected_hits < of->hits_low;
    oxt_i_text_add(text, "  so many hits go with an expectation of %.1f to %.1f (%g %%)%s\n",
                   of->hits_low, of->hits_high, 100.0 * of->confidence,
                   fewer  ? "; the chances promised are too high"
                   : more ? "; the chances promised are too low"
                          : "");
}

oxt_status oxt_cross_validation_report(const oxt_cross_validation *validation,
                                       oxt_temperature_unit unit, char *buffer, size_t capacity,
                                       size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!validation)
        return oxt_i_null(error, "validation");
    oxt_status status = oxt_format_temperature(300.0, unit, NULL, 0, NULL, error);
    if (status)
        return status;
    const oxt_cross_validation_values *values = &validation->values;
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s: each coupon predicted %s\n", validation->name,
                   values->by_bath ? "from those of other baths" : "from all others");
    if (values->predicted_count > 0) {
        oxt_i_text_add(&text, "  ");
        oxt_i_text_add_hits(&text, values);
        oxt_i_text_add(&text, "\n");
        add_verdict(&text, values);
    }
    add_rows(&text, validation, true, "Misses\n", unit);
    add_rows(&text, validation, false, "Not predicted\n", unit);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
