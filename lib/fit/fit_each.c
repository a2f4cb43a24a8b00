/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every steel and finish of a log, fitted by itself. The report is at the end. */
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "oxtint/fit_each.h"
#include "base/threads.h"
#include "trials/trials.h"
#include "fit/fit.h"

enum { MOST_THREADS = 256, GROUPS_AT_A_TIME = 16, LONGEST_WARNING = 1000 };

typedef struct {
    oxt_trial_group group;
    oxt_status status;
    oxt_fit_values values;
    char *remarks; /* the warnings, a line each, or the reason; NULL: none */
    size_t warning_count;
} result;

struct oxt_fit_each {
    result *results;
    size_t count, failed;
    oxt_fit_options options; /* its texts are those of each group */
    oxt_prior prior;
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
    atomic_bool no_memory;
} job;

static oxt_status run(const oxt_fit_each *fits, size_t index, const oxt_trials *trials,
                      const oxt_film *film, oxt_fit **fit, oxt_error *error)
{
    oxt_fit_options options = fits->options;
    options.steel = fits->results[index].group.steel;
    options.finish = fits->results[index].group.finish;
    return oxt_fit_run(fit, trials, film, &options, error);
}

/* False when memory ran out. */
static bool keep_text(result *kept, const char *text, size_t length)
{
    kept->remarks = malloc(length + 1);
    if (!kept->remarks)
        return false;
    memcpy(kept->remarks, text, length);
    kept->remarks[length] = '\0';
    return true;
}

static bool keep_warnings(result *kept, const oxt_fit *fit)
{
    oxt_i_text text = { 0 };
    kept->warning_count = oxt_fit_warning_count(fit);
    for (size_t i = 0; i < kept->warning_count; i++) {
        char sentence[LONGEST_WARNING];
        if (oxt_fit_warning(fit, i, sentence, sizeof sentence, NULL, NULL) == OXT_OK)
            oxt_i_text_add(&text, "%s%s", i ? "\n" : "", sentence);
    }
    bool good = !text.failed && (!text.length || keep_text(kept, text.data, text.length));
    oxt_i_text_free(&text);
    return good;
}

static bool fit_one(const job *of, size_t index)
{
    result *kept = &of->fits->results[index];
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = NULL;
    kept->status = run(of->fits, index, of->trials, of->film, &fit, &error);
    if (kept->status)
        return kept->status != OXT_ENOMEM && keep_text(kept, error.text, strlen(error.text));
    kept->values = (oxt_fit_values)OXT_FIT_VALUES_INIT;
    bool good = !oxt_fit_get(fit, &kept->values, NULL) && keep_warnings(kept, fit);
    oxt_fit_free(fit);
    return good;
}

static bool fit_some(void *context, size_t first, size_t count)
{
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

static oxt_status list_groups(oxt_fit_each *fits, const oxt_trials *trials, oxt_error *error)
{
    size_t all = oxt_i_log_groups(trials);
    fits->results = calloc(all + 1, sizeof *fits->results);
    if (!fits->results)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < all; i++) {
        const oxt_i_log_group of = oxt_i_log_group_at(trials, i);
        if (!is_asked_for(&of, &fits->options))
            continue;
        result *made = &fits->results[fits->count++];
        made->group = (oxt_trial_group)OXT_TRIAL_GROUP_INIT;
        oxt_i_copy_text(made->group.steel, sizeof made->group.steel, of.steel_name);
        oxt_i_copy_text(made->group.finish, sizeof made->group.finish, of.finish);
        made->group.count = of.count;
    }
    if (fits->count == 0)
        return oxt_i_fail_text(error, OXT_EARG, all ? "steel" : "trials",
                               all ? "the log has no trials of the steel and finish asked for"
                                   : "the log holds no trials");
    return OXT_OK;
}

/* The choices of each fit, checked once; the prior is copied. */
static oxt_status take_choices(oxt_fit_each *fits, const oxt_fit_options *given, oxt_error *error)
{
    fits->options = (oxt_fit_options)OXT_FIT_OPTIONS_INIT;
    if (!given)
        return OXT_OK;
    oxt_status status = OXT_I_STRUCT_IN(oxt_fit_options, &fits->options, given, "fit", error);
    fits->options.progress = NULL; /* other threads than the caller's fit too */
    if (!status)
        status = oxt_i_fit_check_options(&fits->options, error);
    if (status || !fits->options.prior)
        return status;
    status = oxt_i_prior_in(&fits->prior, fits->options.prior, error);
    fits->options.prior = &fits->prior;
    return status;
}

static oxt_status fit_all(oxt_fit_each *fits, const oxt_trials *trials, const oxt_film *film,
                          const oxt_fit_each_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "threads", options->threads, 0.0, MOST_THREADS,
                                    OXT_I_CLOSED);
    if (!status)
        status = take_choices(fits, options->fit, error);
    if (!status)
        status = list_groups(fits, trials, error);
    if (status)
        return status;
    job of = { .fits = fits, .trials = trials, .film = film };
    oxt_i_shared_work work = { .count = fits->count,
                               .block = GROUPS_AT_A_TIME,
                               .threads = options->threads,
                               .work = fit_some,
                               .context = &of,
                               .progress = options->progress,
                               .user = options->user };
    status = oxt_i_share(&work, error);
    if (atomic_load(&of.no_memory))
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < fits->count; i++)
        fits->failed += fits->results[i].status != OXT_OK;
    fits->options.steel = fits->options.finish = NULL; /* the caller's */
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
    oxt_status status = OXT_OK;
    if (options)
        status = OXT_I_STRUCT_IN(oxt_fit_each_options, &chosen, options, "options", error);
    if (status)
        return status;
    oxt_fit_each *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    status = fit_all(made, trials, film, &chosen, error);
    if (status)
        oxt_fit_each_free(made);
    else
        *fits = made;
    return status;
}

/* ---- reading the results ---- */

size_t oxt_fit_each_count(const oxt_fit_each *fits)
{
    return fits ? fits->count : 0;
}

size_t oxt_fit_each_failed(const oxt_fit_each *fits)
{
    return fits ? fits->failed : 0;
}

static oxt_status check(const oxt_fit_each *fits, size_t index, oxt_error *error)
{
    return fits ? oxt_i_check_index(error, index, fits->count) : oxt_i_null(error, "fits");
}

oxt_status oxt_fit_each_group(const oxt_fit_each *fits, size_t index, oxt_trial_group *group,
                              oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(fits, index, error);
    if (!status && !group)
        status = oxt_i_null(error, "group");
    return status ? status
                  : OXT_I_STRUCT_OUT(oxt_trial_group, group, &fits->results[index].group, "group",
                                     error);
}

oxt_status oxt_fit_each_get(const oxt_fit_each *fits, size_t index, oxt_fit_values *values,
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check(fits, index, error);
    if (!status && !values)
        status = oxt_i_null(error, "values");
    if (status)
        return status;
    const result *of = &fits->results[index];
    if (of->status)
        return oxt_i_fail_text(error, of->status, "trials", "%s", of->remarks);
    return OXT_I_STRUCT_OUT(oxt_fit_values, values, &of->values, "values", error);
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

oxt_status oxt_fit_each_fit(const oxt_fit_each *fits, size_t index, const oxt_trials *trials,
                            const oxt_film *film, oxt_fit **fit, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (fit)
        *fit = NULL;
    oxt_status status = check(fits, index, error);
    return status ? status : run(fits, index, trials, film, fit, error);
}

/* ---- columns ---- */

typedef enum { NUMBER, COUNT, FLAG } kind;

#define FIELD(name, kind)                           \
    {                                               \
#name, offsetof(oxt_fit_values, name), kind \
    }
#define OF_GROWTH(name)                                      \
    {                                                        \
#name, offsetof(oxt_fit_values, growth.name), NUMBER \
    }
static const struct {
    const char *name;
    size_t offset;
    kind kind;
} columns[] = {
    OF_GROWTH(k_ref_nm2_per_s),
    OF_GROWTH(T_ref_K),
    OF_GROWTH(Q_J_per_mol),
    FIELD(ln_k_stderr, NUMBER),
    FIELD(Q_stderr_J_per_mol, NUMBER),
    FIELD(variance_ln_k, NUMBER),
    FIELD(covariance_J_per_mol, NUMBER),
    FIELD(variance_Q_J2_per_mol2, NUMBER),
    FIELD(correlation, NUMBER),
    FIELD(confidence, NUMBER),
    FIELD(k_ref_low_nm2_per_s, NUMBER),
    FIELD(k_ref_high_nm2_per_s, NUMBER),
    FIELD(Q_low_J_per_mol, NUMBER),
    FIELD(Q_high_J_per_mol, NUMBER),
    FIELD(scatter, NUMBER),
    FIELD(chi_square, NUMBER),
    FIELD(dof, NUMBER),
    FIELD(reduced_chi_square, NUMBER),
    FIELD(r_squared, NUMBER),
    FIELD(aicc, NUMBER),
    FIELD(condition, NUMBER),
    FIELD(row_count, COUNT),
    FIELD(used_count, COUNT),
    FIELD(Q_held, FLAG),
    FIELD(prior_share_Q, NUMBER),
    FIELD(prior_share_ln_k, NUMBER),
};

static double value_of(const result *of, size_t column)
{
    const char *at = (const char *)&of->values + columns[column].offset;
    double number;
    size_t count;
    int flag;
    switch (columns[column].kind) {
    case COUNT:
        memcpy(&count, at, sizeof count);
        return (double)count;
    case FLAG:
        memcpy(&flag, at, sizeof flag);
        return flag;
    default:
        memcpy(&number, at, sizeof number);
        return number;
    }
}

oxt_status oxt_fit_each_numbers(const oxt_fit_each *fits, const char *name, size_t count,
                                double *values, ptrdiff_t stride, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    static const char *const others[] = { "status", "trial_count", "warning_count" };
    if (!fits || !name || !values)
        return oxt_i_null(error, !fits ? "fits" : !name ? "name" : "values");
    if (count < fits->count)
        return oxt_i_fail(error, OXT_EARG, "count", (double)count, (double)fits->count, NAN,
                          "count is %zu, expected at least the %zu group%s", count, fits->count,
                          oxt_i_plural(fits->count));
    size_t column = 0, other = 0;
    while (column < OXT_I_COUNT(columns) && strcmp(name, columns[column].name) != 0)
        column++;
    while (other < OXT_I_COUNT(others) && strcmp(name, others[other]) != 0)
        other++;
    if (column == OXT_I_COUNT(columns) && other == OXT_I_COUNT(others))
        return oxt_i_fail_text(error, OXT_EARG, "name",
                               "the fits have no column %s, expected a field of oxt_fit_values, "
                               "status, trial_count or warning_count",
                               oxt_i_quoted(name).text);
    for (size_t i = 0; i < fits->count; i++) {
        const result *of = &fits->results[i];
        *oxt_i_at_out(values, i, stride) = column < OXT_I_COUNT(columns)
                                               ? (of->status ? NAN : value_of(of, column))
                                           : other == 0 ? (double)of->status
                                           : other == 1 ? (double)of->group.count
                                                        : (double)of->warning_count;
    }
    return OXT_OK;
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
    char name[140], at[32], rate[32];
    name_group(of, name, sizeof name);
    oxt_format_temperature(values->growth.T_ref_K, unit, at, sizeof at, NULL, NULL);
    oxt_i_snprintf(rate, sizeof rate, "%.4g", values->growth.k_ref_nm2_per_s);
    oxt_i_text_add(text, "  %s%*s  %4zu of %-4zu %9s %8s %6.1f %% %6.1f %7.1f %6.1f %%", name,
                   width - oxt_i_width(name), "", values->used_count, values->row_count, at, rate,
                   100.0 * values->ln_k_stderr, values->growth.Q_J_per_mol / 1e3,
                   values->Q_stderr_J_per_mol / 1e3, 100.0 * values->scatter);
    if (of->warning_count)
        oxt_i_text_add(text, "  %zu warning%s", of->warning_count, oxt_i_plural(of->warning_count));
    oxt_i_text_add(text, "\n");
}

static void add_failures(oxt_i_text *text, const oxt_fit_each *fits)
{
    char name[140], item[1200];
    oxt_i_text_add(text, "\nNot fitted\n");
    for (size_t i = 0; i < fits->count; i++) {
        const result *of = &fits->results[i];
        if (of->status == OXT_OK)
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
        if (fits->results[i].status == OXT_OK)
            add_group(&text, &fits->results[i], unit, width);
    if (fitted)
        oxt_i_text_add(&text, "  k_ref in nm^2/s, Q and its error in kJ/mol, standard errors\n");
    if (fits->failed)
        add_failures(&text, fits);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
