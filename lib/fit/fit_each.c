/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every steel and finish of a log, fitted by itself. The report is at the end. */
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "oxtint/fit_each.h"
#include "oxtint/laws.h"
#include "base/threads.h"
#include "trials/trials.h"
#include "fit/fit.h"

enum { MOST_THREADS = 256, GROUPS_AT_A_TIME = 16 };

typedef struct {
    oxt_fit_each_group group;
    oxt_fit_values values;
    char *remarks; /* the warnings, a line each, or the reason; NULL: none */
    size_t steel;  /* its number in the log */
} result;

struct oxt_fit_each {
    result *results;
    size_t count, failed;
};

void oxt_fit_each_free(oxt_fit_each *fits)
{
    if (!fits)
        return;
    for (size_t i = 0; i < fits->count && fits->results; i++)
        free(fits->results[i].remarks);
    free(fits->results);
    free(fits);
}

/* ---- one group ---- */

/* What all threads read, but for the results, each of which is written by one. */
typedef struct {
    oxt_fit_each *fits;
    const oxt_trials *trials;
    const oxt_film *film;
    oxt_fit_options options; /* of all; steel and finish are those that were asked for */
    oxt_prior prior;
    bool best_law; /* each by the law that its trials show */
    atomic_bool no_memory;
} job;

static oxt_fit_values no_values(void)
{
    oxt_fit_values none = OXT_FIT_VALUES_INIT;
    oxt_growth *growth = &none.growth;
    growth->k_ref_nm2_per_s = growth->T_ref_K = growth->Q_J_per_mol = NAN;
    none.ln_k_stderr = none.Q_stderr_J_per_mol = none.correlation = none.confidence = NAN;
    none.variance_ln_k = none.covariance_J_per_mol = none.variance_Q_J2_per_mol2 = NAN;
    none.k_ref_low_nm2_per_s = none.k_ref_high_nm2_per_s = NAN;
    none.Q_low_J_per_mol = none.Q_high_J_per_mol = none.scatter = none.chi_square = NAN;
    none.dof = none.reduced_chi_square = none.r_squared = none.aicc = none.condition = NAN;
    none.prior_share_Q = none.prior_share_ln_k = NAN;
    return none;
}

/* False when memory ran out. */
static bool keep_text(result *kept, const oxt_i_text *text)
{
    kept->remarks = text->failed ? NULL : malloc(text->length + 1);
    if (kept->remarks)
        memcpy(kept->remarks, text->data, text->length + 1);
    return kept->remarks;
}

static bool keep(result *kept, const oxt_fit *fit, const oxt_error *error)
{
    oxt_i_text text = { 0 };
    bool good = kept->group.status != OXT_ENOMEM;
    if (fit)
        kept->values = fit->values;
    for (size_t i = 0; fit && i < fit->warnings.count; i++)
        oxt_i_text_add(&text, "%s%s", i ? "\n" : "", fit->warnings.list[i].text);
    if (!fit)
        oxt_i_text_add(&text, "%s", error->text);
    good = good && !text.failed && (!text.length || keep_text(kept, &text));
    oxt_i_text_free(&text);
    return good;
}

static bool fit_one(const job *of, size_t index)
{
    result *kept = &of->fits->results[index];
    oxt_fit_options options = of->options;
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = NULL;
    options.steel = kept->group.steel;
    options.finish = kept->group.finish;
    kept->values = no_values();
    kept->values.unit = oxt_trials_unit(of->trials);
    kept->group.status = of->best_law ? oxt_laws_fit(&fit, of->trials, of->film, &options, &error)
                                      : oxt_i_fit_run(&fit, of->trials, kept->steel, of->film,
                                                      &options, &error);
    bool good = keep(kept, fit, &error);
    oxt_fit_free(fit);
    return good;
}

static bool fit_some(void *context, size_t first, size_t count)
{
    OXT_I_HOLD_TRAPS; /* of this thread */
    job *of = context;
    for (size_t i = first; i < first + count; i++)
        if (!fit_one(of, i)) {
            atomic_store(&of->no_memory, true);
            return false;
        }
    return true;
}

/* ---- all groups ---- */

static bool is_asked_for(const oxt_i_log_group *group, const oxt_fit_options *options)
{
    return group->count > 0 &&
           (!options->steel || strcmp(options->steel, group->steel_name) == 0) &&
           (!options->finish || strcmp(options->finish, group->finish) == 0);
}

static oxt_status list_groups(job *of, oxt_error *error)
{
    oxt_fit_each *fits = of->fits;
    size_t all = oxt_i_log_groups(of->trials);
    fits->results = calloc(all + 1, sizeof *fits->results);
    if (!fits->results)
        return oxt_i_no_memory(error);
    oxt_i_use_large_pages(fits->results, all * sizeof *fits->results);
    for (size_t i = 0; i < all; i++) {
        const oxt_i_log_group found = oxt_i_log_group_at(of->trials, i);
        if (!is_asked_for(&found, &of->options))
            continue;
        fits->results[fits->count].steel = found.steel;
        oxt_fit_each_group *group = &fits->results[fits->count++].group;
        *group = (oxt_fit_each_group)OXT_FIT_EACH_GROUP_INIT;
        oxt_i_copy_text(group->steel, sizeof group->steel, found.steel_name);
        oxt_i_copy_text(group->finish, sizeof group->finish, found.finish);
        group->trial_count = found.count;
    }
    if (fits->count == 0)
        return oxt_i_fail_text(error, OXT_EARG, all ? "steel" : "trials",
                               all ? "the log has no trials of the steel and finish asked for"
                                   : "the log holds no trials");
    return OXT_OK;
}

/* The choices of each fit, checked once; the prior is copied. */
static oxt_status take_choices(job *of, const oxt_fit_options *given, oxt_error *error)
{
    oxt_fit_options *options = &of->options;
    *options = (oxt_fit_options)OXT_FIT_OPTIONS_INIT;
    if (!given)
        return OXT_OK;
    oxt_status status = OXT_I_STRUCT_IN(oxt_fit_options, options, given, "fit", error);
    options->progress = NULL; /* other threads than the caller's fit too */
    if (!status)
        status = oxt_i_fit_check_options(options, error);
    if (status || !options->prior)
        return status;
    status = oxt_i_prior_in(&of->prior, options->prior, error);
    options->prior = &of->prior;
    return status;
}

static oxt_status fit_all(job *of, const oxt_fit_each_options *options, oxt_error *error)
{
    oxt_fit_each *fits = of->fits;
    oxt_status status = oxt_i_check(error, "threads", options->threads, 0.0, MOST_THREADS,
                                    OXT_I_CLOSED);
    if (!status && options->best_law != 0 && options->best_law != 1)
        status = oxt_i_fail(error, OXT_EARG, "best_law", options->best_law, 0.0, 1.0,
                            "best_law is %d, expected 0 or 1", options->best_law);
    of->best_law = options->best_law == 1;
    if (!status)
        status = take_choices(of, options->fit, error);
    if (!status && of->best_law)
        status = oxt_i_laws_check_choice(&of->options, error);
    if (!status)
        status = list_groups(of, error);
    if (status)
        return status;
    oxt_i_shared_work work = { .count = fits->count,
                               .block = GROUPS_AT_A_TIME,
                               .threads = options->threads,
                               .work = fit_some,
                               .context = of,
                               .progress = options->progress,
                               .user = options->user };
    status = oxt_i_share(&work, error);
    if (atomic_load(&of->no_memory))
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < fits->count; i++)
        fits->failed += fits->results[i].group.status != OXT_OK;
    return status;
}

oxt_status oxt_fit_each_run(oxt_fit_each **fits, const oxt_trials *trials, const oxt_film *film,
                            const oxt_fit_each_options *options, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (fits)
        *fits = NULL;
    if (!fits || !trials || !film)
        return oxt_i_null(error, !fits ? "fits" : !trials ? "trials" : "film");
    oxt_fit_each_options chosen = OXT_FIT_EACH_OPTIONS_INIT;
    oxt_status status = OXT_I_OPTIONS_IN(oxt_fit_each_options, &chosen, options, error);
    if (status)
        return status;
    oxt_fit_each *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    job of = { .fits = made, .trials = trials, .film = film };
    status = fit_all(&of, &chosen, error);
    if (status)
        oxt_fit_each_free(made);
    else
        *fits = made;
    return status;
}

/* ---- reading the results ---- */

size_t oxt_fit_each_count(const oxt_fit_each *fits, size_t *failed)
{
    if (failed)
        *failed = fits ? fits->failed : 0;
    return fits ? fits->count : 0;
}

static oxt_status check(const oxt_fit_each *fits, size_t index, oxt_error *error)
{
    return fits ? oxt_i_check_index(error, index, fits->count) : oxt_i_null(error, "fits");
}

oxt_status oxt_fit_each_get(const oxt_fit_each *fits, size_t index, oxt_fit_each_group *group,
                            oxt_fit_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(fits, index, error);
    if (!status && group)
        status = OXT_I_STRUCT_OUT(oxt_fit_each_group, group, &fits->results[index].group, "group",
                                  error);
    if (!status && values)
        status = OXT_I_STRUCT_OUT(oxt_fit_values, values, &fits->results[index].values, "values",
                                  error);
    return status;
}

oxt_status oxt_fit_each_remarks(const oxt_fit_each *fits, size_t index, char *buffer,
                                size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(fits, index, error);
    if (status)
        return status;
    const char *remarks = fits->results[index].remarks;
    return oxt_i_emit(remarks ? remarks : "", buffer, capacity, needed, error);
}

/* ---- the report ---- */

static void name_group(const result *of, char *name, size_t capacity)
{
    oxt_i_snprintf(name, capacity, "%s%s%s", of->group.steel, of->group.finish[0] ? ", " : "",
                   of->group.finish);
}

static int widest(const oxt_fit_each *fits)
{
    char name[140];
    int most = (int)strlen("steel");
    for (size_t i = 0; i < fits->count; i++) {
        name_group(&fits->results[i], name, sizeof name);
        int width = oxt_i_width(name);
        most = width > most ? width : most;
    }
    return most;
}

static void add_group(oxt_i_text *text, const result *of, oxt_temperature_unit unit, int width)
{
    const oxt_fit_values *values = &of->values;
    char name[140], rate[32];
    name_group(of, name, sizeof name);
    oxt_i_snprintf(rate, sizeof rate, "%.4g", values->growth.k_ref_nm2_per_s);
    oxt_i_text_add(text, "  %s%*s  %4zu of %-4zu %9s %8s %6.1f %% %6.1f %7.1f %6.1f %%", name,
                   width - oxt_i_width(name), "", values->used_count, values->row_count,
                   oxt_i_show_temperature(values->growth.T_ref_K, unit).text, rate,
                   100.0 * values->ln_k_stderr, values->growth.Q_J_per_mol / 1e3,
                   values->Q_stderr_J_per_mol / 1e3, 100.0 * values->scatter);
    if (values->growth.law != OXT_LAW_PARABOLIC)
        oxt_i_text_add(text, "  %s law, %s = %.3g%s", oxt_i_law_names[values->growth.law],
                       oxt_i_law_letters[values->growth.law], values->growth.shape,
                       oxt_i_law_units[values->growth.law]);
    if (values->warning_count)
        oxt_i_text_add(text, "  %zu warning%s", values->warning_count,
                       oxt_i_plural(values->warning_count));
    oxt_i_text_add(text, "\n");
}

static void add_failures(oxt_i_text *text, const oxt_fit_each *fits)
{
    char name[140], item[1200];
    oxt_i_text_add(text, "\nNot fitted\n");
    for (size_t i = 0; i < fits->count; i++) {
        const result *of = &fits->results[i];
        if (of->group.status == OXT_OK)
            continue;
        name_group(of, name, sizeof name);
        oxt_i_snprintf(item, sizeof item, "%s: %s", name, of->remarks);
        oxt_i_text_add_item(text, item);
    }
}

oxt_status oxt_fit_each_report(const oxt_fit_each *fits, oxt_temperature_unit unit, char *buffer,
                               size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!fits)
        return oxt_i_null(error, "fits");
    oxt_status status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_FAHRENHEIT, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    int width = widest(fits);
    size_t fitted = fits->count - fits->failed;
    oxt_i_text_add(&text, "%zu of %zu %s fitted\n", fitted, fits->count,
                   fits->count == 1 ? "steel" : "steels and finishes");
    if (fitted)
        oxt_i_text_add(&text, "  %-*s  %12s %9s %8s %8s %6s %7s %8s\n", width, "steel",
                       "trials used", "rate at", "k_ref", "error", "Q", "error", "scatter");
    for (size_t i = 0; i < fits->count; i++)
        if (fits->results[i].group.status == OXT_OK)
            add_group(&text, &fits->results[i], unit, width);
    if (fitted)
        oxt_i_text_add(&text, "  k_ref in nm^2/s, Q and its error in kJ/mol, standard errors\n");
    if (fits->failed)
        add_failures(&text, fits);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
