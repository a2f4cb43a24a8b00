/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log read as a proof-reader does. What counts as far from the rest is the project's own choice. */
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <stdlib.h>
#include <string.h>

#include "oxtint/bath.h"
#include "oxtint/check.h"
#include "base/csv_table.h"
#include "trials/trials.h"

#define MOST_GROUPS 200     /* that are fitted */
#define LEAST_ROWS 4        /* from which on a row can lie far from the rest */
#define FEW_NM 13.0         /* a log of nothing thicker holds sizes in mm, or hardly any colour */
#define FEW_SECONDS 5.0     /* three of four times below it are minutes, most likely */
#define BATH_NEAR_K 80.0    /* a bath is never far from the median within this, */
#define BATH_FAR_K 150.0    /* and always beyond this; */
#define TIME_NEAR log(10.0) /* the same for ln time */
#define TIME_FAR log(30.0)
#define SPREADS 4.0          /* between them, standard deviations by the median deviation */
#define PER_DEVIATION 1.4826 /* of a normal distribution: 1 / 0.6745 */

typedef struct {
    const oxt_trials *trials;
    oxt_trial *rows; /* of the log, put together */
    size_t count;
    oxt_temperature_unit unit;
    oxt_faults *remarks;
    bool failed; /* memory ran out */
} checking;

static void remark(checking *in, size_t line, const char *column, const char *found,
                   const char *expected)
{
    oxt_fault made = OXT_FAULT_INIT;
    made.line = line;
    oxt_i_copy_text(made.column, sizeof made.column, column);
    oxt_i_copy_text(made.found, sizeof made.found, found);
    oxt_i_copy_text(made.expected, sizeof made.expected, expected);
    in->failed = in->failed || !oxt_i_faults_add(in->remarks, &made);
}

/* ---- columns ---- */

static void check_columns(checking *in)
{
    const oxt_faults *kept = oxt_i_trials_kept_columns(in->trials);
    oxt_fault column = OXT_FAULT_INIT;
    for (size_t i = 0; oxt_faults_get(kept, i, &column, NULL) == OXT_OK; i++)
        in->failed = in->failed || !oxt_i_faults_add(in->remarks, &column);
}

/* ---- names ---- */

typedef struct {
    char key[64]; /* in lower case, without blanks */
    const char *name;
    size_t line, count;
} name_entry;

static void write_key(const char *name, char key[64])
{
    size_t length = 0;
    for (; *name && length < 63; name++) {
        bool hard_blank = (unsigned char)name[0] == 0xC2 && (unsigned char)name[1] == 0xA0;
        if (hard_blank)
            name++;
        else if (*name != ' ' && *name != '\t')
            key[length++] = oxt_i_lower(*name);
    }
    key[length] = '\0';
}

static int compare_names(const void *a, const void *b)
{
    const name_entry *first = a, *second = b;
    int order = strcmp(first->key, second->key);
    if (!order)
        order = strcmp(first->name, second->name);
    return order ? order : (first->line > second->line) - (first->line < second->line);
}

/* The names from one key on, one entry for each; `end` is behind the last row of the key. */
static size_t gather_names(name_entry *entries, size_t start, size_t count, size_t *end)
{
    size_t names = 1;
    entries[start].count = 1;
    size_t i = start + 1;
    for (; i < count && strcmp(entries[i].key, entries[start].key) == 0; i++) {
        name_entry *last = &entries[start + names - 1];
        if (strcmp(entries[i].name, last->name) == 0) {
            last->count++;
            continue;
        }
        entries[start + names] = entries[i];
        entries[start + names++].count = 1;
    }
    *end = i;
    return names;
}

static void tell_names(checking *in, const char *column, const name_entry *entries, size_t names)
{
    const name_entry *usual = entries;
    for (size_t i = 1; i < names; i++)
        if (entries[i].count > usual->count)
            usual = &entries[i];
    for (size_t i = 0; i < names; i++) {
        if (&entries[i] == usual)
            continue;
        char sentence[200];
        oxt_i_snprintf(sentence, sizeof sentence,
                       "'%s', as %zu other trial%s: it differs only in case or blanks, and makes "
                       "another %s",
                       usual->name, usual->count, oxt_i_plural(usual->count), column);
        remark(in, entries[i].line, column, entries[i].name, sentence);
    }
}

static void check_names(checking *in, const char *column, size_t offset)
{
    name_entry *entries = malloc((in->count + 1) * sizeof *entries);
    if (!entries) {
        in->failed = true;
        return;
    }
    size_t count = 0, end;
    for (size_t i = 0; i < in->count; i++) {
        const oxt_trial *trial = &in->rows[i];
        name_entry *entry = &entries[count];
        entry->name = (const char *)trial + offset;
        entry->line = trial->line;
        write_key(entry->name, entry->key);
        count += entry->key[0] != '\0';
    }
    qsort(entries, count, sizeof *entries, compare_names);
    for (size_t i = 0; i < count; i = end) {
        size_t names = gather_names(entries, i, count, &end);
        tell_names(in, column, entries + i, names);
    }
    free(entries);
}

/* ---- thicknesses ---- */

static void check_thicknesses(checking *in)
{
    const oxt_trial *first = NULL;
    for (size_t i = 0; i < in->count; i++) {
        const oxt_trial *trial = &in->rows[i];
        if (trial->seen != OXT_SEEN_THICKNESS)
            continue;
        if (trial->thickness_nm >= FEW_NM)
            return;
        first = first ? first : trial;
    }
    if (!first)
        return;
    char found[32];
    oxt_i_snprintf(found, sizeof found, "%.4g nm", first->thickness_nm);
    remark(in, first->line, "thickness_nm", found,
           "a film as thick as colours are, from 6 nm (faint straw) on; if it is the size of the "
           "coupon in mm, it belongs in a column part_mm");
}

/* ---- baths and times ---- */

/* The median of numbers, which are sorted. */
static double median(double *numbers, size_t count)
{
    gsl_sort(numbers, 1, count);
    return gsl_stats_median_from_sorted_data(numbers, 1, count);
}

typedef struct {
    double middle, reach; /* farther from the middle is far from the rest */
    double low, high;     /* of the rest */
} usual_range;

static double bath_of(const oxt_trial *trial)
{
    return trial->bath_K;
}

static double ln_time_of(const oxt_trial *trial)
{
    return log(trial->time_s);
}

static bool find_range(checking *in, double (*value)(const oxt_trial *), double near, double far,
                       usual_range *range)
{
    double *numbers = malloc(in->count * sizeof *numbers);
    if (!numbers) {
        in->failed = true;
        return false;
    }
    for (size_t i = 0; i < in->count; i++)
        numbers[i] = value(&in->rows[i]);
    range->middle = median(numbers, in->count);
    for (size_t i = 0; i < in->count; i++)
        numbers[i] = fabs(value(&in->rows[i]) - range->middle);
    double spread = PER_DEVIATION * median(numbers, in->count);
    free(numbers);
    range->reach = fmin(fmax(SPREADS * spread, near), far);
    range->low = HUGE_VAL;
    range->high = -HUGE_VAL;
    for (size_t i = 0; i < in->count; i++) {
        double number = value(&in->rows[i]);
        if (fabs(number - range->middle) > range->reach)
            continue;
        range->low = fmin(range->low, number);
        range->high = fmax(range->high, number);
    }
    return true;
}

static bool among(const usual_range *range, double number, double margin)
{
    return number >= range->low - margin && number <= range->high + margin;
}

static void tell_bath(checking *in, const oxt_trial *trial, const usual_range *range)
{
    char meant[64] = "", sentence[200];
    /* the same number on the other scale of a shop */
    for (int from = OXT_UNIT_CELSIUS; from <= OXT_UNIT_FAHRENHEIT; from++) {
        int to = OXT_UNIT_CELSIUS + OXT_UNIT_FAHRENHEIT - from;
        double number = oxt_i_kelvin_to(trial->bath_K, (oxt_temperature_unit)from);
        if (among(range, oxt_i_kelvin_from(number, (oxt_temperature_unit)to), 5.0))
            oxt_i_snprintf(meant, sizeof meant, "; %.0f %c would be, and it is %.0f %c", number,
                           oxt_i_unit_letter(to), number, oxt_i_unit_letter(from));
    }
    oxt_i_snprintf(sentence, sizeof sentence, "a bath like the others (%s to %s)%s",
                   oxt_i_show_temperature(range->low, in->unit).text,
                   oxt_i_show_temperature(range->high, in->unit).text, meant);
    remark(in, trial->line, "bath", oxt_i_show_temperature(trial->bath_K, in->unit).text, sentence);
}

static void tell_time(checking *in, const oxt_trial *trial, const usual_range *range)
{
    char sentence[200];
    size_t at = (size_t)oxt_i_snprintf(sentence, sizeof sentence,
                                       "a time like the others (%s to %s)",
                                       oxt_i_show_time(exp(range->low)).text,
                                       oxt_i_show_time(exp(range->high)).text);
    for (int i = 0; i < 2; i++) { /* minutes read as hours, and the reverse */
        double time_s = i ? trial->time_s * 60.0 : trial->time_s / 60.0;
        if (!among(range, log(time_s), 0.01))
            continue;
        oxt_i_snprintf(sentence + at, sizeof sentence - at, "; %s would be",
                       oxt_i_show_time(time_s).text);
        break;
    }
    remark(in, trial->line, "time", oxt_i_show_time(trial->time_s).text, sentence);
}

static void check_range(checking *in, double (*value)(const oxt_trial *), double near, double far,
                        void (*tell)(checking *, const oxt_trial *, const usual_range *))
{
    usual_range range;
    if (in->count < LEAST_ROWS || !find_range(in, value, near, far, &range))
        return;
    for (size_t i = 0; i < in->count; i++) {
        const oxt_trial *trial = &in->rows[i];
        if (fabs(value(trial) - range.middle) > range.reach)
            tell(in, trial, &range);
    }
}

/* ---- the scale of the whole log ---- */

/* The same numbers on another scale, where they are baths of the salt: Celsius or Fahrenheit first. */
static void name_scale(const oxt_salt_values *salt, oxt_temperature_unit from, double low_K,
                       double high_K, char *sentence, size_t capacity)
{
    static const oxt_temperature_unit order[] = { OXT_UNIT_CELSIUS, OXT_UNIT_FAHRENHEIT,
                                                  OXT_UNIT_KELVIN };
    double low = oxt_i_kelvin_to(low_K, from), high = oxt_i_kelvin_to(high_K, from);
    sentence[0] = '\0';
    for (size_t i = 0; i < OXT_I_COUNT(order) && !sentence[0]; i++)
        if (order[i] != from && oxt_i_kelvin_from(low, order[i]) >= salt->working_low_K &&
            oxt_i_kelvin_from(high, order[i]) <= salt->working_high_K)
            oxt_i_snprintf(sentence, capacity, "; %.0f to %.0f %c would be, and these are in %c",
                           low, high, oxt_i_unit_letter(order[i]), oxt_i_unit_letter(from));
}

static void check_scale(checking *in)
{
    oxt_salt_values salt = OXT_SALT_VALUES_INIT;
    const oxt_trial *first = NULL;
    double low_K = HUGE_VAL, high_K = 0.0;
    size_t outside = 0;
    if (oxt_bath_salt(OXT_SALT_UNSTATED, 0.0, &salt, NULL))
        return;
    for (size_t i = 0; i < in->count; i++) {
        const oxt_trial *trial = &in->rows[i];
        low_K = fmin(low_K, trial->bath_K);
        high_K = fmax(high_K, trial->bath_K);
        if (trial->bath_K >= salt.working_low_K && trial->bath_K <= salt.working_high_K)
            continue;
        first = first ? first : trial;
        outside++;
    }
    if (!first || 2 * outside < in->count)
        return;
    char found[80], meant[80], sentence[200];
    name_scale(&salt, oxt_trials_unit(in->trials), low_K, high_K, meant, sizeof meant);
    oxt_i_snprintf(found, sizeof found, "%s to %s", oxt_i_show_temperature(low_K, in->unit).text,
                   oxt_i_show_temperature(high_K, in->unit).text);
    oxt_i_snprintf(sentence, sizeof sentence, "baths in which nitrate salt works (%s to %s)%s",
                   oxt_i_show_temperature(salt.working_low_K, in->unit).text,
                   oxt_i_show_temperature(salt.working_high_K, in->unit).text, meant);
    remark(in, first->line, "bath", found, sentence);
}

/* Minutes in a column of seconds. */
static void check_seconds(checking *in)
{
    double low_s = HUGE_VAL, high_s = 0.0;
    const oxt_trial *first = NULL;
    size_t few = 0;
    for (size_t i = 0; i < in->count; i++) {
        const oxt_trial *trial = &in->rows[i];
        low_s = fmin(low_s, trial->time_s);
        high_s = fmax(high_s, trial->time_s);
        if (trial->time_s >= FEW_SECONDS)
            continue;
        first = first ? first : trial;
        few++;
    }
    if (in->count < LEAST_ROWS || 4 * few < 3 * in->count)
        return;
    char found[80], sentence[200];
    oxt_i_snprintf(found, sizeof found, "%s to %s", oxt_i_show_time(low_s).text,
                   oxt_i_show_time(high_s).text);
    oxt_i_snprintf(sentence, sizeof sentence,
                   "dips of more than a few seconds; if these are minutes, %s to %s, the column is "
                   "time_min",
                   oxt_i_show_time(60.0 * low_s).text, oxt_i_show_time(60.0 * high_s).text);
    remark(in, first->line, "time", found, sentence);
}

/* ---- what a fit needs ---- */

static oxt_status try_fit(checking *in, oxt_i_log_group group, const oxt_film *film,
                          oxt_error *error)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_error refusal = OXT_ERROR_INIT;
    oxt_fit *fit;
    options.steel = group.steel_name;
    options.finish = group.finish;
    oxt_status status = oxt_fit_run(&fit, in->trials, film, &options, &refusal);
    oxt_fit_free(fit);
    if (status == OXT_ENOMEM)
        return oxt_i_no_memory(error);
    if (!status)
        return OXT_OK;
    const char letter[] = { oxt_i_unit_letter(in->unit), '\0' };
    const oxt_given scale = { NULL, NULL, letter };
    oxt_error_retell(&refusal, &scale, 1);
    char name[140], sentence[300];
    oxt_i_snprintf(name, sizeof name, "%s%s%s", group.steel_name, *group.finish ? ", " : "",
                   group.finish);
    oxt_i_snprintf(sentence, sizeof sentence, "trials enough for a fit: %s", refusal.text);
    remark(in, 0, "", name, sentence);
    return OXT_OK;
}

static oxt_status check_groups(checking *in, const oxt_film *film, oxt_error *error)
{
    oxt_status status = OXT_OK;
    size_t count = 0;
    for (size_t i = 0; i < oxt_i_log_groups(in->trials) && !status; i++) {
        const oxt_i_log_group group = oxt_i_log_group_at(in->trials, i);
        if (group.count > 0 && count++ < MOST_GROUPS)
            status = try_fit(in, group, film, error);
    }
    return status;
}

oxt_status oxt_check_log(oxt_faults **remarks, const oxt_trials *trials, const oxt_film *film,
                         oxt_temperature_unit unit, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!remarks)
        return oxt_i_null(error, "remarks");
    *remarks = NULL;
    if (!trials || !film)
        return oxt_i_null(error, trials ? "film" : "trials");
    oxt_status status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_FAHRENHEIT, error);
    if (status)
        return status;
    size_t count = oxt_trials_count(trials);
    checking in = {
        trials, malloc((count + 1) * sizeof(oxt_trial)), count, unit, oxt_i_faults_new(), false
    };
    if (!in.remarks || !in.rows) {
        oxt_faults_free(in.remarks);
        free(in.rows);
        return oxt_i_no_memory(error);
    }
    for (size_t i = 0; i < count; i++)
        in.rows[i] = oxt_i_trial(trials, i);
    check_columns(&in);
    check_names(&in, "steel", offsetof(oxt_trial, steel));
    check_names(&in, "finish", offsetof(oxt_trial, finish));
    check_thicknesses(&in);
    check_scale(&in);
    check_seconds(&in);
    check_range(&in, bath_of, BATH_NEAR_K, BATH_FAR_K, tell_bath);
    check_range(&in, ln_time_of, TIME_NEAR, TIME_FAR, tell_time);
    status = check_groups(&in, film, error);
    free(in.rows);
    if (!status && in.failed)
        status = oxt_i_no_memory(error);
    if (status)
        oxt_faults_free(in.remarks);
    else
        *remarks = in.remarks;
    return status;
}
