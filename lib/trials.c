/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log of trials in memory, and how it is written. Reading is in trials_csv.c, checking in trial.c. */
#include <csv.h>
#include <stdlib.h>
#include <string.h>

#include "internal.h"

typedef struct {
    oxt_trial trial;
    char *note; /* never NULL */
} entry;

struct oxt_trials {
    entry *entries;
    size_t count, capacity;
};

oxt_status oxt_trials_new(oxt_trials **trials, oxt_error *error)
{
    if (!trials)
        return oxt_i_null(error, "trials");
    *trials = calloc(1, sizeof **trials);
    return *trials ? OXT_OK : oxt_i_no_memory(error);
}

void oxt_trials_free(oxt_trials *trials)
{
    if (!trials)
        return;
    for (size_t i = 0; i < trials->count; i++)
        free(trials->entries[i].note);
    free(trials->entries);
    free(trials);
}

/* ---- filling ---- */

static bool make_room(oxt_trials *trials)
{
    if (trials->count < trials->capacity)
        return true;
    size_t capacity = 2 * trials->capacity + 16;
    entry *entries = realloc(trials->entries, capacity * sizeof *entries);
    if (!entries)
        return false;
    trials->entries = entries;
    trials->capacity = capacity;
    return true;
}

oxt_status oxt_i_trials_append(oxt_trials *trials, const oxt_trial *trial, const char *note,
                               oxt_error *error)
{
    size_t length = strlen(note);
    char *copy = malloc(length + 1);
    if (!copy || !make_room(trials)) {
        free(copy);
        return oxt_i_no_memory(error);
    }
    memcpy(copy, note, length + 1);
    trials->entries[trials->count++] = (entry){ *trial, copy };
    return OXT_OK;
}

oxt_status oxt_trials_add(oxt_trials *trials, const oxt_trial *trial, const char *note,
                          oxt_error *error)
{
    if (!trials || !trial)
        return oxt_i_null(error, trials ? "trial" : "trials");
    oxt_trial checked = OXT_TRIAL_INIT;
    oxt_status status = oxt_i_struct_in(&checked, trial, sizeof checked, sizeof checked, "trial",
                                        error);
    if (!status)
        status = oxt_i_check_trial(&checked, note, error);
    return status ? status : oxt_i_trials_append(trials, &checked, note ? note : "", error);
}

/* ---- reading back ---- */

size_t oxt_trials_count(const oxt_trials *trials)
{
    return trials ? trials->count : 0;
}

const oxt_trial *oxt_i_trial(const oxt_trials *trials, size_t index)
{
    return &trials->entries[index].trial;
}

static oxt_status check_index(const oxt_trials *trials, size_t index, oxt_error *error)
{
    if (!trials)
        return oxt_i_null(error, "trials");
    if (index >= trials->count)
        return oxt_i_fail(error, OXT_EARG, "index", (double)index, 0.0, (double)trials->count - 1.0,
                          "index is %zu, but the log has %zu trial%s", index, trials->count,
                          oxt_i_plural(trials->count));
    return OXT_OK;
}

oxt_status oxt_trials_get(const oxt_trials *trials, size_t index, oxt_trial *trial,
                          oxt_error *error)
{
    oxt_status status = check_index(trials, index, error);
    if (!status && !trial)
        status = oxt_i_null(error, "trial");
    return status ? status
                  : oxt_i_struct_out(trial, &trials->entries[index].trial, sizeof *trial,
                                     sizeof *trial, "trial", error);
}

oxt_status oxt_trials_note(const oxt_trials *trials, size_t index, char *buffer, size_t capacity,
                           size_t *needed, oxt_error *error)
{
    oxt_status status = check_index(trials, index, error);
    return status ? status
                  : oxt_i_emit(trials->entries[index].note, buffer, capacity, needed, error);
}

/* ---- writing ---- */

/* Quote what a reader would otherwise split, trim or take for a comment. */
static bool needs_quotes(const char *text)
{
    size_t length = strlen(text);
    if (length == 0)
        return false;
    return strpbrk(text, "\",\r\n") != NULL || strchr(" \t#", text[0]) != NULL ||
           strchr(" \t", text[length - 1]) != NULL;
}

static void add_field(oxt_i_text *text, const char *field)
{
    if (!needs_quotes(field)) {
        oxt_i_text_add(text, "%s", field);
        return;
    }
    size_t length = strlen(field);
    size_t quoted = csv_write(NULL, 0, field, length);
    char *buffer = malloc(quoted);
    if (!buffer) {
        text->failed = true;
        return;
    }
    csv_write(buffer, quoted, field, length);
    oxt_i_text_add_bytes(text, buffer, quoted);
    free(buffer);
}

static void add_seen(oxt_i_text *text, const oxt_trial *trial)
{
    switch (trial->seen) {
    case OXT_SEEN_COLOUR:
        add_field(text, trial->colour);
        oxt_i_text_add(text, ",,,,,,");
        break;
    case OXT_SEEN_THICKNESS:
        oxt_i_text_add(text, ",");
        oxt_i_text_add_number(text, trial->thickness_nm);
        oxt_i_text_add(text, ",,,,,");
        break;
    case OXT_SEEN_LAB:
        oxt_i_text_add(text, ",");
        for (int i = 0; i < 3; i++) {
            oxt_i_text_add(text, ",");
            oxt_i_text_add_number(text, trial->lab[i]);
        }
        oxt_i_text_add(text, ",,");
        break;
    default:
        oxt_i_text_add(text, ",,,,,%s,", trial->srgb);
    }
}

/* The columns that may be missing: whether any trial states them. */
typedef struct {
    bool shape, number[OXT_I_FIELDS];
} columns;

static columns find_columns(const oxt_trials *trials)
{
    columns used = { 0 };
    for (size_t i = 0; i < trials->count; i++) {
        const oxt_trial *trial = &trials->entries[i].trial;
        used.shape = used.shape || trial->part_shape != OXT_PLATE;
        for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++)
            used.number[field] = used.number[field] || oxt_i_stated(trial, field) != 0.0;
    }
    return used;
}

static void add_header(oxt_i_text *text, const columns *used)
{
    oxt_i_text_add(text, "steel,finish,bath_K,time_s,colour,thickness_nm,L,a,b,srgb,");
    if (used->shape)
        oxt_i_text_add(text, "shape,");
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++)
        if (used->number[field])
            oxt_i_text_add(text, "%s,", oxt_i_stated_column(field));
    oxt_i_text_add(text, "note\n");
}

static void add_stated(oxt_i_text *text, const columns *used, const oxt_trial *trial)
{
    if (used->shape && trial->part_size_m != 0.0)
        oxt_i_text_add(text, "%s", oxt_i_shape_words[trial->part_shape]);
    if (used->shape)
        oxt_i_text_add(text, ",");
    for (oxt_i_field field = OXT_I_PART; field < OXT_I_FIELDS; field++) {
        double value = oxt_i_stated(trial, field);
        if (value != 0.0)
            oxt_i_text_add_number(text, value);
        if (used->number[field])
            oxt_i_text_add(text, ",");
    }
}

static void write_csv(const oxt_trials *trials, oxt_i_text *text)
{
    columns used = find_columns(trials);
    add_header(text, &used);
    for (size_t i = 0; i < trials->count; i++) {
        const oxt_trial *trial = &trials->entries[i].trial;
        add_field(text, trial->steel);
        oxt_i_text_add(text, ",");
        add_field(text, trial->finish);
        oxt_i_text_add(text, ",");
        oxt_i_text_add_number(text, trial->bath_K);
        oxt_i_text_add(text, ",");
        oxt_i_text_add_number(text, trial->time_s);
        oxt_i_text_add(text, ",");
        add_seen(text, trial);
        add_stated(text, &used, trial);
        add_field(text, trials->entries[i].note);
        oxt_i_text_add(text, "\n");
    }
}

oxt_status oxt_trials_write_csv(const oxt_trials *trials, const char *path, oxt_error *error)
{
    if (!trials || !path)
        return oxt_i_null(error, trials ? "path" : "trials");
    oxt_i_text text = { 0 };
    write_csv(trials, &text);
    oxt_status status = text.failed ? oxt_i_no_memory(error)
                                    : oxt_i_write_file(path, text.data, text.length, error);
    oxt_i_text_free(&text);
    return status;
}

oxt_status oxt_trials_write_csv_text(const oxt_trials *trials, char *buffer, size_t capacity,
                                     size_t *needed, oxt_error *error)
{
    if (!trials)
        return oxt_i_null(error, "trials");
    oxt_i_text text = { 0 };
    write_csv(trials, &text);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
