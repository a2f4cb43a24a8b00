/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log of trials in memory, and how it is written. Reading is in trials_csv.c. */
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

void oxt_trial_init(oxt_trial *trial)
{
    if (trial)
        *trial = (oxt_trial)OXT_TRIAL_INIT;
}

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

/* ---- checking ---- */

static const struct {
    const char *name, *expected;
    double low, high;
    oxt_i_ends ends;
} fields[] = {
    [OXT_I_BATH] = { "bath_K", "a bath from 100 C to 700 C (212 F to 1292 F, 373.15 K to 973.15 K)",
                     OXT_BATH_LOW_K, OXT_BATH_HIGH_K, OXT_I_CLOSED },
    [OXT_I_TIME] = { "time_s", "a time above 0 and up to 1000000 s", 0.0, OXT_TIME_HIGH_S,
                     OXT_I_OPEN_LOW },
    [OXT_I_THICKNESS] = { "thickness_nm", "a thickness above 0 and up to 1000 nm", 0.0,
                          OXT_THICKNESS_HIGH_NM, OXT_I_OPEN_LOW },
    [OXT_I_LAB_L] = { "L", "a lightness L* from 0 to 100", 0.0, 100.0, OXT_I_CLOSED },
    [OXT_I_LAB_A] = { "a", "a* from -200 to 200", -200.0, 200.0, OXT_I_CLOSED },
    [OXT_I_LAB_B] = { "b", "b* from -200 to 200", -200.0, 200.0, OXT_I_CLOSED },
};

bool oxt_i_field_holds(oxt_i_field field, double value, const char **expected)
{
    *expected = fields[field].expected;
    return oxt_i_check(NULL, "", value, fields[field].low, fields[field].high,
                       fields[field].ends) == OXT_OK;
}

static oxt_status check_number(oxt_i_field field, double value, oxt_error *error)
{
    const char *expected;
    if (oxt_i_field_holds(field, value, &expected))
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, fields[field].name, value, fields[field].low,
                      fields[field].high, "%s is %g, expected %s", fields[field].name, value,
                      expected);
}

/* A fixed array must hold its NUL, and UTF-8 before it. */
static oxt_status check_text(const char *text, size_t capacity, const char *name, oxt_error *error)
{
    if (!memchr(text, '\0', capacity))
        return oxt_i_fail_text(error, OXT_EARG, name, "%s does not end within %zu bytes", name,
                               capacity);
    if (!oxt_i_is_utf8(text, strlen(text)))
        return oxt_i_fail_text(error, OXT_EPARSE, name, "%s is not UTF-8", name);
    return OXT_OK;
}

static oxt_status check_seen(const oxt_trial *trial, oxt_error *error)
{
    double srgb[3];
    bool stated;
    oxt_status status;
    switch (trial->seen) {
    case OXT_SEEN_COLOUR:
        status = check_text(trial->colour, sizeof trial->colour, "colour", error);
        if (!status && oxt_i_tint_parse(trial->colour, &stated) < 0)
            status =
                oxt_i_fail_text(error, OXT_EPARSE, "colour",
                                "'%s' is no trade name of a colour, expected " OXT_I_TINT_NAMES,
                                oxt_i_quoted(trial->colour).text);
        return status;
    case OXT_SEEN_THICKNESS:
        return check_number(OXT_I_THICKNESS, trial->thickness_nm, error);
    case OXT_SEEN_LAB:
        status = check_number(OXT_I_LAB_L, trial->lab[0], error);
        if (!status)
            status = check_number(OXT_I_LAB_A, trial->lab[1], error);
        return status ? status : check_number(OXT_I_LAB_B, trial->lab[2], error);
    case OXT_SEEN_SRGB:
        status = check_text(trial->srgb, sizeof trial->srgb, "srgb", error);
        return status ? status : oxt_parse_srgb(trial->srgb, srgb, error);
    default:
        return oxt_i_fail(error, OXT_EARG, "seen", trial->seen, OXT_SEEN_COLOUR, OXT_SEEN_SRGB,
                          "seen is %d, expected one of oxt_seen", (int)trial->seen);
    }
}

static oxt_status check_trial(const oxt_trial *trial, const char *note, oxt_error *error)
{
    oxt_status status = check_text(trial->steel, sizeof trial->steel, "steel", error);
    if (!status && trial->steel[0] == '\0')
        status = oxt_i_fail_text(error, OXT_EARG, "steel",
                                 "steel is empty, expected the name of a steel");
    if (!status)
        status = check_text(trial->finish, sizeof trial->finish, "finish", error);
    if (!status)
        status = check_number(OXT_I_BATH, trial->bath_K, error);
    if (!status)
        status = check_number(OXT_I_TIME, trial->time_s, error);
    if (!status)
        status = check_seen(trial, error);
    if (!status && note && !oxt_i_is_utf8(note, strlen(note)))
        status = oxt_i_fail_text(error, OXT_EPARSE, "note", "note is not UTF-8");
    return status;
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
        status = check_trial(&checked, note, error);
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
                          "index is %zu, but the log has %zu trials", index, trials->count);
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

static void write_csv(const oxt_trials *trials, oxt_i_text *text)
{
    oxt_i_text_add(text, "steel,finish,bath_K,time_s,colour,thickness_nm,L,a,b,srgb,note\n");
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
