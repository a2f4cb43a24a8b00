/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The card of a steel: JSON, written and read. */
#include "oxtint/version.h"
#include "base/json.h"
#include "growth/law.h"
#include "optics/tint.h"
#include "optics/words.h"
#include "steel/steel.h"
#include "thermal/heat.h"

#include <stdlib.h>
#include <string.h>

#define CARD "the card"
#define COUPON "the card's coupon"

static const char *const basis_words[] = { "coupons", "steel" };

static const oxt_i_card_field change_texts[] = {
    OXT_I_CARD_TEXT(oxt_steel_change, what),
    OXT_I_CARD_TEXT(oxt_steel_change, label),
    OXT_I_CARD_TEXT(oxt_steel_change, origin),
};
static const oxt_i_card_field change_numbers[] = {
    OXT_I_CARD_NUMBER(oxt_steel_change, k_ref_before_nm2_per_s, 0.0, OXT_I_OPEN_LOW),
    OXT_I_CARD_NUMBER(oxt_steel_change, k_ref_after_nm2_per_s, 0.0, OXT_I_OPEN_LOW),
};
static const oxt_i_card_fields texts_of_change = { change_texts, OXT_I_COUNT(change_texts), false },
                               numbers_of_change = { change_numbers, OXT_I_COUNT(change_numbers),
                                                     false };

/* ---- writing ---- */

static void put_fields(json_t *object, const oxt_i_card_fields *list, const void *values,
                       bool *good)
{
    for (size_t i = 0; i < list->count; i++) {
        const oxt_i_card_field *field = &list->fields[i];
        const char *at = (const char *)values + field->offset;
        double number = field->capacity ? NAN : *(const double *)(const void *)at;
        if (number == 0.0 && list->later)
            continue;
        oxt_i_json_put(object, field->key, field->capacity ? json_string(at) : json_real(number),
                       good);
    }
}

static void put_version(json_t *card, bool *good)
{
    json_t *version = json_object();
    oxt_i_json_put(version, "major", json_integer(OXT_CARD_MAJOR), good);
    oxt_i_json_put(version, "minor", json_integer(OXT_CARD_MINOR), good);
    oxt_i_json_put(card, OXT_I_CARD_KEY, version, good);
}

static void put_coupon(json_t *card, const oxt_steel_values *values, bool *good)
{
    oxt_i_json_put(card, "basis", json_string(basis_words[values->basis]), good);
    if (values->basis != OXT_BASIS_STEEL)
        return;
    json_t *coupon = json_object();
    oxt_i_json_put(coupon, "shape", json_string(oxt_i_shape_names[values->coupon_shape]), good);
    put_fields(coupon, &oxt_i_coupon_numbers, values, good);
    oxt_i_json_put(card, "coupon", coupon, good);
}

static json_t *word_to_json(const oxt_steel *steel, size_t index, bool *good)
{
    oxt_word word = OXT_WORD_INIT;
    json_t *object = json_object();
    *good = oxt_words_get(steel->words, index, &word, NULL) == OXT_OK && *good;
    oxt_i_json_put(object, "word", json_string(word.word), good);
    if (word.index >= 0 && word.low_nm == 0.0) {
        oxt_i_json_put(object, "band", json_string(oxt_i_tint_label(word.index)), good);
    } else {
        oxt_i_json_put(object, "low_nm", json_real(word.low_nm), good);
        oxt_i_json_put(object, "high_nm", json_real(word.high_nm), good);
    }
    return object;
}

static json_t *change_to_json(const oxt_steel *steel, size_t index, bool *good)
{
    const oxt_steel_change *change = &steel->history[index];
    json_t *object = json_object();
    put_fields(object, &texts_of_change, change, good);
    put_fields(object, &numbers_of_change, change, good);
    oxt_i_json_put(object, "trial_count", json_integer((json_int_t)change->trial_count), good);
    return object;
}

static json_t *dip_to_json(const oxt_steel *steel, size_t index, bool *good)
{
    const oxt_recorded_dip *dip = &steel->record[index];
    json_t *object = json_object();
    put_fields(object, &oxt_i_record_texts, dip, good);
    put_fields(object, &oxt_i_record_numbers, dip, good);
    put_fields(object, &oxt_i_record_later, dip, good);
    oxt_i_json_put(object, "part_shape", json_string(oxt_i_shape_names[dip->part_shape]), good);
    oxt_i_json_put(object, "hit", json_boolean(dip->hit), good);
    return object;
}

/* A list that is not empty. */
static void put_list(json_t *card, const char *key, const oxt_steel *steel, size_t count,
                     json_t *(*to_json)(const oxt_steel *steel, size_t index, bool *good),
                     bool *good)
{
    if (count == 0)
        return;
    json_t *array = json_array();
    for (size_t i = 0; i < count && *good; i++)
        oxt_i_json_append(array, to_json(steel, i, good), good);
    oxt_i_json_put(card, key, array, good);
}

static oxt_status card_text(const oxt_steel *steel, oxt_i_text *text, oxt_error *error)
{
    const oxt_steel_values *values = &steel->values;
    bool good = true;
    json_t *card = json_object();
    put_version(card, &good);
    put_fields(card, &oxt_i_steel_texts, values, &good);
    oxt_i_json_put(card, "law", json_string(oxt_i_law_names[values->growth.law]), &good);
    put_fields(card, &oxt_i_steel_numbers, values, &good);
    put_fields(card, &oxt_i_later_numbers, values, &good);
    oxt_i_json_put(card, "trial_count", json_integer((json_int_t)values->trial_count), &good);
    put_coupon(card, values, &good);
    put_list(card, "words", steel, oxt_i_words_count(steel->words), word_to_json, &good);
    put_list(card, "history", steel, steel->history_count, change_to_json, &good);
    put_list(card, "record", steel, steel->record_count, dip_to_json, &good);
    return oxt_i_json_text(card, good, text, error);
}

oxt_status oxt_steel_save_text(const oxt_steel *steel, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel)
        return oxt_i_null(error, "steel");
    oxt_i_text text;
    oxt_status status = card_text(steel, &text, error);
    return status ? status : oxt_i_emit_text(&text, buffer, capacity, needed, error);
}

oxt_status oxt_steel_save(const oxt_steel *steel, const char *path, oxt_replace replace,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !path)
        return oxt_i_null(error, steel ? "path" : "steel");
    oxt_i_text text;
    oxt_status status = card_text(steel, &text, error);
    if (status)
        return status;
    status = oxt_file_write(path, OXT_FILE_CARD, replace, text.data, text.length, error);
    oxt_i_text_free(&text);
    return status;
}

/* ---- reading ---- */

/* `where` is the part of the card that the member belongs to, such as "word 2 of the card". */
static oxt_status bad_member(oxt_error *error, const char *where, const char *key,
                             const json_t *member, const char *expected)
{
    if (!member)
        return oxt_i_fail_text(error, OXT_EPARSE, key, "%s lacks '%s', expected %s", where, key,
                               expected);
    return oxt_i_fail_text(error, OXT_EPARSE, key, "'%s' of %s: expected %s", key, where, expected);
}

static oxt_status read_field(void *values, const oxt_i_card_field *field, const json_t *object,
                             const char *where, oxt_error *error)
{
    char *at = (char *)values + field->offset;
    const json_t *member = json_object_get(object, field->key);
    if (!field->capacity) {
        *(double *)(void *)at = json_number_value(member);
        return json_is_number(member) ? OXT_OK
                                      : bad_member(error, where, field->key, member, "a number");
    }
    if (!json_is_string(member))
        return bad_member(error, where, field->key, member, "a text");
    if (json_string_length(member) >= field->capacity)
        return oxt_i_fail(error, OXT_EDOMAIN, field->key, (double)json_string_length(member), 0.0,
                          (double)field->capacity - 1.0, "'%s' of %s is longer than %zu bytes",
                          field->key, where, field->capacity - 1);
    oxt_i_copy_text(at, field->capacity, json_string_value(member));
    return OXT_OK;
}

static oxt_status read_fields(void *values, const oxt_i_card_fields *list, const json_t *object,
                              const char *where, oxt_error *error)
{
    oxt_status status = OXT_OK;
    for (size_t i = 0; i < list->count && !status; i++)
        if (!list->later || json_object_get(object, list->fields[i].key))
            status = read_field(values, &list->fields[i], object, where, error);
    return status;
}

static oxt_status read_count(size_t *count, const json_t *object, const char *where,
                             oxt_error *error)
{
    static const char key[] = "trial_count";
    const json_t *member = json_object_get(object, key);
    if (!json_is_integer(member) || json_integer_value(member) < 0)
        return bad_member(error, where, key, member, "a whole number, 0 or more");
    if ((uintmax_t)json_integer_value(member) > SIZE_MAX)
        return bad_member(error, where, key, member,
                          "a number of trials that this machine can count");
    *count = (size_t)json_integer_value(member);
    return OXT_OK;
}

/* One of some words. */
static oxt_status read_choice(int *choice, const json_t *object, const char *key,
                              const char *const *words, int count, const char *where,
                              const char *expected, oxt_error *error)
{
    const json_t *member = json_object_get(object, key);
    for (*choice = 0; *choice < count && json_is_string(member); ++*choice)
        if (strcmp(json_string_value(member), words[*choice]) == 0)
            return OXT_OK;
    return bad_member(error, where, key, member, expected);
}

/* A list; NULL where the card has none, as before it was kept. */
static oxt_status find_list(const json_t **list, size_t *count, const json_t *card, const char *key,
                            oxt_error *error)
{
    *list = json_object_get(card, key);
    *count = json_array_size(*list);
    return !*list || json_is_array(*list) ? OXT_OK : bad_member(error, CARD, key, *list, "a list");
}

static oxt_status read_version(const json_t *object, oxt_error *error)
{
    const json_t *version = json_object_get(object, OXT_I_CARD_KEY);
    const json_t *major = json_object_get(version, "major");
    if (!json_is_integer(major) || !json_is_integer(json_object_get(version, "minor")))
        return oxt_i_fail_text(error, OXT_EPARSE, OXT_I_CARD_KEY,
                               "this is not the card of a steel: it lacks '%s' with its major and "
                               "minor version",
                               OXT_I_CARD_KEY);
    json_int_t number = json_integer_value(major);
    if (number == OXT_CARD_MAJOR)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EVERSION, "major", (double)number, OXT_CARD_MAJOR, OXT_CARD_MAJOR,
                      "the card has format %lld, this oxtint (%s) reads format %d",
                      (long long)number, oxt_version(), OXT_CARD_MAJOR);
}

static oxt_status read_coupon(oxt_steel_values *values, const json_t *card, oxt_error *error)
{
    int choice;
    if (!json_object_get(card, "basis")) /* before format 1.2 */
        return OXT_OK;
    oxt_status status = read_choice(&choice, card, "basis", basis_words, OXT_I_COUNT(basis_words),
                                    CARD, "\"coupons\" or \"steel\"", error);
    if (status)
        return status;
    values->basis = (oxt_basis)choice;
    if (values->basis != OXT_BASIS_STEEL)
        return OXT_OK;
    const json_t *coupon = json_object_get(card, "coupon");
    status = read_choice(&choice, coupon, "shape", oxt_i_shape_names, OXT_SHAPE_ANY + 1, COUPON,
                         "plate, cylinder, sphere or any", error);
    if (status)
        return status;
    values->coupon_shape = (oxt_shape)choice;
    return read_fields(values, &oxt_i_coupon_numbers, coupon, COUPON, error);
}

static oxt_status read_values(oxt_steel_values *values, const json_t *card, oxt_error *error)
{
    int law = OXT_LAW_PARABOLIC;
    oxt_status status = read_fields(values, &oxt_i_steel_texts, card, CARD, error);
    if (!status)
        status = read_choice(&law, card, "law", oxt_i_law_names, OXT_LAW_COUNT, CARD,
                             "parabolic, power, linear-parabolic or logarithmic", error);
    values->growth.law = (oxt_law)law;
    if (!status)
        status = read_fields(values, &oxt_i_steel_numbers, card, CARD, error);
    if (!status)
        status = read_fields(values, &oxt_i_later_numbers, card, CARD, error);
    if (!status)
        status = read_count(&values->trial_count, card, CARD, error);
    return status ? status : read_coupon(values, card, error);
}

static oxt_status read_thickness(double *thickness_nm, const json_t *object, const char *key,
                                 double above_nm, const char *where, oxt_error *error)
{
    const json_t *member = json_object_get(object, key);
    *thickness_nm = json_number_value(member);
    if (json_is_number(member) && *thickness_nm > above_nm &&
        *thickness_nm <= OXT_THICKNESS_HIGH_NM)
        return OXT_OK;
    char expected[64];
    oxt_i_snprintf(expected, sizeof expected, "a thickness above %g and up to %g nm", above_nm,
                   OXT_THICKNESS_HIGH_NM);
    return bad_member(error, where, key, member, expected);
}

static oxt_status read_meaning(oxt_word *word, const json_t *object, const char *where,
                               oxt_error *error)
{
    const json_t *band = json_object_get(object, "band");
    word->index = -1;
    if (band) {
        oxt_i_tint_word found;
        if (!json_is_string(band) || !oxt_i_tint_read_name(json_string_value(band), &found))
            return bad_member(error, where, "band", band, OXT_I_TINT_NAMES);
        word->index = found.band;
        return OXT_OK;
    }
    oxt_status status = read_thickness(&word->low_nm, object, "low_nm", 0.0, where, error);
    return status ? status
                  : read_thickness(&word->high_nm, object, "high_nm", word->low_nm, where, error);
}

static oxt_status read_word(oxt_words *words, const json_t *object, const char *where,
                            oxt_error *error)
{
    oxt_word word = OXT_WORD_INIT;
    const json_t *text = json_object_get(object, "word");
    const char *expected = json_is_string(text)
                               ? oxt_i_words_refusal(words, json_string_value(text))
                               : "a text";
    if (expected)
        return bad_member(error, where, "word", text, expected);
    oxt_i_copy_text(word.word, sizeof word.word, json_string_value(text));
    oxt_status status = read_meaning(&word, object, where, error);
    if (!status && !oxt_i_words_append(words, &word))
        status = oxt_i_no_memory(error);
    return status;
}

static oxt_status read_words(oxt_steel *steel, const json_t *card, oxt_error *error)
{
    const json_t *list;
    size_t count;
    char where[64];
    oxt_status status = find_list(&list, &count, card, "words", error);
    if (status || count == 0)
        return status;
    steel->words = oxt_i_words_new();
    if (!steel->words)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++) {
        oxt_i_snprintf(where, sizeof where, "word %zu of the card", i + 1);
        status = read_word(steel->words, json_array_get(list, i), where, error);
    }
    return status;
}

static oxt_status read_change(void *entry, const json_t *object, const char *where,
                              oxt_error *error)
{
    oxt_steel_change *change = entry;
    *change = (oxt_steel_change)OXT_STEEL_CHANGE_INIT;
    oxt_status status = read_fields(change, &texts_of_change, object, where, error);
    if (!status)
        status = read_fields(change, &numbers_of_change, object, where, error);
    for (size_t i = 0; i < OXT_I_COUNT(change_numbers) && !status; i++) {
        const json_t *member = json_object_get(object, change_numbers[i].key);
        if (!(json_number_value(member) > 0.0))
            status = bad_member(error, where, change_numbers[i].key, member, "a number above 0");
    }
    if (!status)
        status = read_count(&change->trial_count, object, where, error);
    if (status || (double)change->trial_count <= OXT_I_LARGEST_COUNT)
        return status;
    return bad_member(error, where, "trial_count", object, "at most 1e15 trials");
}

static oxt_status read_dip(void *entry, const json_t *object, const char *where, oxt_error *error)
{
    oxt_recorded_dip *dip = entry;
    int shape;
    *dip = (oxt_recorded_dip)OXT_RECORDED_DIP_INIT;
    oxt_status status = read_fields(dip, &oxt_i_record_texts, object, where, error);
    if (!status)
        status = read_fields(dip, &oxt_i_record_numbers, object, where, error);
    if (!status)
        status = read_fields(dip, &oxt_i_record_later, object, where, error);
    if (!status)
        status = oxt_i_card_check(&oxt_i_record_numbers, dip, error);
    if (!status)
        status = oxt_i_card_check(&oxt_i_record_later, dip, error);
    if (!status)
        status = read_choice(&shape, object, "part_shape", oxt_i_shape_names, OXT_SHAPE_ANY + 1,
                             where, "plate, cylinder, sphere or any", error);
    if (status)
        return status;
    const json_t *hit = json_object_get(object, "hit");
    dip->part_shape = (oxt_shape)shape;
    dip->hit = json_is_true(hit);
    return json_is_boolean(hit) ? OXT_OK : bad_member(error, where, "hit", hit, "true or false");
}

/* A list of the card, read entry by entry into memory that the caller frees whatever is returned; `noun` is what one
 * entry is called. */
static oxt_status read_list(void **entries, size_t *count, size_t size, const json_t *card,
                            const char *key, const char *noun,
                            oxt_status (*read)(void *entry, const json_t *object, const char *where,
                                               oxt_error *error),
                            oxt_error *error)
{
    const json_t *list;
    char where[64];
    oxt_status status = find_list(&list, count, card, key, error);
    if (status || *count == 0)
        return status;
    *entries = oxt_i_many(*count, size);
    if (!*entries)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < *count && !status; i++) {
        oxt_i_snprintf(where, sizeof where, "%s %zu of the card's %s", noun, i + 1, key);
        status = read((char *)*entries + i * size, json_array_get(list, i), where, error);
    }
    return status;
}

static oxt_status read_history(oxt_steel *steel, const json_t *card, oxt_error *error)
{
    size_t count = 0;
    void *entries = NULL;
    oxt_status status = read_list(&entries, &count, sizeof *steel->history, card, "history",
                                  "entry", read_change, error);
    steel->history = entries;
    steel->history_count = status ? 0 : oxt_i_steel_fold(steel->history, count);
    return status;
}

static oxt_status read_record(oxt_steel *steel, const json_t *card, oxt_error *error)
{
    size_t count = 0;
    void *entries = NULL;
    oxt_status status = read_list(&entries, &count, sizeof *steel->record, card, "record", "dip",
                                  read_dip, error);
    steel->record = entries;
    if (status)
        return status;
    steel->record_count = count < OXT_RECORD_MOST ? count : OXT_RECORD_MOST;
    if (count > OXT_RECORD_MOST)
        memmove(steel->record, steel->record + count - OXT_RECORD_MOST,
                OXT_RECORD_MOST * sizeof *steel->record);
    return OXT_OK;
}

static oxt_status read_card(const json_t *card, oxt_steel **steel, oxt_error *error)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_status status = read_version(card, error);
    if (!status)
        status = read_values(&values, card, error);
    if (!status)
        status = oxt_steel_new(steel, &values, error);
    if (!status)
        status = read_words(*steel, card, error);
    if (!status)
        status = read_history(*steel, card, error);
    if (!status)
        status = read_record(*steel, card, error);
    if (!status)
        oxt_i_steel_judge(*steel);
    if (status) {
        oxt_steel_free(*steel);
        *steel = NULL;
    }
    return status;
}

/* Whether a text begins with a letter, or with the # of a comment, as a log of coupons does; and the start of its first
 * line. */
static bool begins_as_table(const char *text, size_t length, char *line, size_t capacity)
{
    size_t kept = 0;
    while (kept + 1 < capacity && kept < length && text[kept] != '\n' && text[kept] != '\r') {
        line[kept] = text[kept];
        kept++;
    }
    line[kept] = '\0';
    return *line == '#' || (*line >= 'a' && *line <= 'z') || (*line >= 'A' && *line <= 'Z');
}

static oxt_status read_json(json_t **object, const char *text, size_t length, oxt_error *error)
{
    json_error_t fault;
    oxt_status status = oxt_i_json_read(object, text, length, &fault, error);
    if (status != OXT_EPARSE)
        return status;
    char first_line[40];
    if (begins_as_table(text, length, first_line, sizeof first_line))
        return oxt_i_fail_text(error, OXT_EPARSE, "text",
                               "this is no card: it begins with '%s', where a card begins with {; "
                               "a log of coupons becomes a card by a fit",
                               oxt_i_quoted(first_line).text);
    status = oxt_i_fail_text(error, OXT_EPARSE, "text",
                             "the card is damaged at line %d, column %d: %s", fault.line,
                             fault.column, fault.text);
    oxt_i_locate(error, (size_t)fault.line, NULL);
    return status;
}

static oxt_status load_text(oxt_steel **steel, const char *text, size_t length, oxt_error *error)
{
    if (length > OXT_I_CARD_BYTES)
        return oxt_i_fail(error, OXT_EPARSE, "length", (double)length, 0.0, OXT_I_CARD_BYTES,
                          "the text has %zu bytes, more than the %d of a card", length,
                          OXT_I_CARD_BYTES);
    if (memchr(text, '\0', length)) /* jansson would pass over some of them */
        return oxt_i_fail_text(error, OXT_EPARSE, "text",
                               "the card is damaged: it holds a NUL byte");
    json_t *object;
    oxt_status status = read_json(&object, text, length, error);
    if (status)
        return status;
    status = read_card(object, steel, error);
    json_decref(object);
    return status;
}

/* Name the file in front of what is wrong with it. */
static void name_file(oxt_error *error, const char *path)
{
    if (!oxt_i_is_writable(error))
        return;
    char message[sizeof error->text];
    memcpy(message, error->text, sizeof message);
    char text[sizeof error->text + 300];
    oxt_i_snprintf(text, sizeof text, "%.256s: %s", path, message);
    oxt_i_copy_text(error->text, sizeof error->text, text);
}

oxt_status oxt_steel_load(oxt_steel **steel, const char *path, const char *text, size_t length,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!steel || (!path && !text))
        return oxt_i_null(error, steel ? "path" : "steel");
    char *content = NULL;
    if (!text) {
        oxt_status status = oxt_i_read_file(path, OXT_I_CARD_BYTES, &content, &length, error);
        if (status)
            return status;
    }
    oxt_status status = load_text(steel, content ? content : text, length, error);
    if (status && path)
        name_file(error, path);
    free(content);
    return status;
}
