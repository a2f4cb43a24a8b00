/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was done to a card since it was made. */
#include <stdlib.h>
#include <string.h>

#include "steel/steel.h"
#include "optics/words.h"

#define KEY "history"
#define LARGEST_COUNT 1e15 /* trials, as of the card itself */

size_t oxt_steel_history_count(const oxt_steel *steel)
{
    return steel ? steel->history_count : 0;
}

oxt_status oxt_steel_history(const oxt_steel *steel, size_t index, oxt_steel_change *entry,
                             oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !entry)
        return oxt_i_null(error, steel ? "entry" : "steel");
    oxt_status status = oxt_i_check_index(error, index, steel->history_count);
    return status
               ? status
               : OXT_I_STRUCT_OUT(oxt_steel_change, entry, &steel->history[index], "entry", error);
}

oxt_status oxt_i_steel_renew(oxt_steel **renewed, const oxt_steel *old,
                             const oxt_steel_values *values, const oxt_steel_change *entry,
                             const oxt_words *words, oxt_error *error)
{
    oxt_status status = oxt_i_steel_make(renewed, values, words, error);
    size_t count = old->history_count + (entry ? 1 : 0);
    if (status || count == 0)
        return status;
    oxt_steel_change *history = malloc(count * sizeof *history);
    if (!history) {
        oxt_steel_free(*renewed);
        *renewed = NULL;
        return oxt_i_no_memory(error);
    }
    if (old->history_count > 0)
        memcpy(history, old->history, old->history_count * sizeof *history);
    if (entry)
        history[count - 1] = *entry;
    (*renewed)->history = history;
    (*renewed)->history_count = oxt_i_steel_fold(history, count);
    return OXT_OK;
}

size_t oxt_i_steel_fold(oxt_steel_change *history, size_t count)
{
    if (count <= OXT_I_MOST_ENTRIES)
        return count;
    size_t folded = count - OXT_I_MOST_ENTRIES + 1, trials = 0;
    oxt_steel_change *first = &history[0];
    for (size_t i = 0; i < folded; i++) {
        size_t more = history[i].trial_count;
        trials = more < SIZE_MAX - trials ? trials + more : SIZE_MAX;
    }
    oxt_i_copy_text(first->what, sizeof first->what, "the oldest changes, taken together");
    first->label[0] = '\0';
    first->k_ref_after_nm2_per_s = history[folded - 1].k_ref_after_nm2_per_s;
    first->trial_count = (double)trials < LARGEST_COUNT ? trials : (size_t)LARGEST_COUNT;
    memmove(&history[1], &history[folded], (OXT_I_MOST_ENTRIES - 1) * sizeof *history);
    return OXT_I_MOST_ENTRIES;
}

/* ---- the fields of an entry, once ---- */

typedef struct {
    const char *key;
    size_t offset, capacity;
} text_field;

#define TEXT(field)                                                                     \
    {                                                                                   \
#field, offsetof(oxt_steel_change, field), sizeof((oxt_steel_change *)0)->field \
    }

static const text_field texts[] = { TEXT(what), TEXT(label), TEXT(origin) };

static const struct {
    const char *key;
    size_t offset;
} numbers[] = {
    { "k_ref_before_nm2_per_s", offsetof(oxt_steel_change, k_ref_before_nm2_per_s) },
    { "k_ref_after_nm2_per_s", offsetof(oxt_steel_change, k_ref_after_nm2_per_s) },
};

static double *number_at(oxt_steel_change *entry, size_t i)
{
    return (double *)((char *)entry + numbers[i].offset);
}

/* ---- writing ---- */

static json_t *to_json(const oxt_steel_change *entry)
{
    json_t *object = json_object();
    bool good = object != NULL;
    for (size_t i = 0; i < OXT_I_COUNT(texts) && good; i++)
        good = json_object_set_new(object, texts[i].key,
                                   json_string((const char *)entry + texts[i].offset)) == 0;
    for (size_t i = 0; i < OXT_I_COUNT(numbers) && good; i++)
        good = json_object_set_new(
                   object, numbers[i].key,
                   json_real(*(const double *)((const char *)entry + numbers[i].offset))) == 0;
    if (good)
        good = json_object_set_new(object, "trial_count",
                                   json_integer((json_int_t)entry->trial_count)) == 0;
    if (good)
        return object;
    json_decref(object);
    return NULL;
}

bool oxt_i_steel_put_history(json_t *card, const oxt_steel *steel)
{
    if (steel->history_count == 0)
        return true;
    json_t *array = json_array();
    bool good = array != NULL;
    for (size_t i = 0; i < steel->history_count && good; i++)
        good = json_array_append_new(array, to_json(&steel->history[i])) == 0;
    if (!good) {
        json_decref(array);
        return false;
    }
    return json_object_set_new(card, KEY, array) == 0;
}

/* ---- reading ---- */

static oxt_status bad_member(oxt_error *error, size_t entry, const char *key, const char *expected)
{
    return oxt_i_fail_text(error, OXT_EPARSE, key,
                           "entry %zu of the card's history lacks '%s', expected %s", entry + 1,
                           key, expected);
}

static oxt_status read_texts(oxt_steel_change *entry, const json_t *object, size_t index,
                             oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(texts); i++) {
        const json_t *member = json_object_get(object, texts[i].key);
        if (!json_is_string(member) || json_string_length(member) >= texts[i].capacity) {
            char expected[64];
            oxt_i_snprintf(expected, sizeof expected, "a text of at most %zu bytes",
                           texts[i].capacity - 1);
            return bad_member(error, index, texts[i].key, expected);
        }
        oxt_i_copy_text((char *)entry + texts[i].offset, texts[i].capacity,
                        json_string_value(member));
    }
    return OXT_OK;
}

static oxt_status read_entry(oxt_steel_change *entry, const json_t *object, size_t index,
                             oxt_error *error)
{
    *entry = (oxt_steel_change)OXT_STEEL_CHANGE_INIT;
    oxt_status status = read_texts(entry, object, index, error);
    for (size_t i = 0; i < OXT_I_COUNT(numbers) && !status; i++) {
        const json_t *member = json_object_get(object, numbers[i].key);
        *number_at(entry, i) = json_number_value(member);
        if (!json_is_number(member) || !(*number_at(entry, i) > 0.0))
            status = bad_member(error, index, numbers[i].key, "a number above 0");
    }
    const json_t *count = json_object_get(object, "trial_count");
    if (!status && (!json_is_integer(count) || json_integer_value(count) < 0 ||
                    (double)json_integer_value(count) > LARGEST_COUNT ||
                    (uintmax_t)json_integer_value(count) > SIZE_MAX))
        status = bad_member(error, index, "trial_count", "a whole number, 0 or more");
    entry->trial_count = (size_t)json_integer_value(count);
    return status;
}

oxt_status oxt_i_steel_read_history(oxt_steel *steel, const json_t *card, oxt_error *error)
{
    const json_t *array;
    oxt_status status = oxt_i_steel_read_list(&array, card, KEY, error);
    size_t count = json_array_size(array);
    if (status || count == 0)
        return status;
    steel->history = malloc(count * sizeof *steel->history);
    if (!steel->history)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++)
        status = read_entry(&steel->history[i], json_array_get(array, i), i, error);
    steel->history_count = status ? count : oxt_i_steel_fold(steel->history, count);
    return status;
}
