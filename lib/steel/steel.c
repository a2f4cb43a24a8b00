/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of one steel, and its card on disk. */
#include "oxtint/version.h"
#include "growth/growth.h"
#include "optics/words.h"
#include "thermal/bath.h"
#include "steel/steel.h"

#include <stdlib.h>
#include <string.h>

#define LARGEST_COUNT 1e15 /* trials; a card holds any such number exactly */

/* ---- the fields, once: for checking, reading and writing ---- */

typedef struct {
    const char *key;
    size_t offset;
    double low;
    oxt_i_ends ends;
} number_field;

#define NUMBER(field, low, ends)                             \
    {                                                        \
#field, offsetof(oxt_steel_values, field), low, ends \
    }
#define GROWTH(field, low, ends)                                                            \
    {                                                                                       \
#field, offsetof(oxt_steel_values, growth) + offsetof(oxt_growth, field), low, ends \
    }

static const number_field numbers[] = {
    GROWTH(k_ref_nm2_per_s, 0.0, OXT_I_OPEN_LOW),
    GROWTH(T_ref_K, 0.0, OXT_I_OPEN_LOW),
    GROWTH(Q_J_per_mol, 0.0, OXT_I_CLOSED),
    NUMBER(variance_ln_k, 0.0, OXT_I_CLOSED),
    NUMBER(covariance_J_per_mol, -HUGE_VAL, OXT_I_CLOSED),
    NUMBER(variance_Q_J2_per_mol2, 0.0, OXT_I_CLOSED),
    NUMBER(scatter, 0.0, OXT_I_CLOSED),
    NUMBER(dof, 0.0, OXT_I_OPEN_LOW),
    NUMBER(bath_low_K, 0.0, OXT_I_OPEN_LOW),
    NUMBER(bath_high_K, 0.0, OXT_I_OPEN_LOW),
    NUMBER(thickness_low_nm, 0.0, OXT_I_OPEN_LOW),
    NUMBER(thickness_high_nm, 0.0, OXT_I_OPEN_LOW),
};

typedef struct {
    const char *key;
    size_t offset, capacity;
} text_field;

#define TEXT(field)                                                                     \
    {                                                                                   \
#field, offsetof(oxt_steel_values, field), sizeof((oxt_steel_values *)0)->field \
    }

static const text_field texts[] = { TEXT(steel), TEXT(finish), TEXT(description), TEXT(origin) };

static double *number_at(oxt_steel_values *values, const number_field *field)
{
    return (double *)((char *)values + field->offset);
}

static double number_of(const oxt_steel_values *values, const number_field *field)
{
    return *(const double *)((const char *)values + field->offset);
}

/* ---- checking ---- */

static oxt_status check_texts(const oxt_steel_values *values, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(texts); i++) {
        const char *text = (const char *)values + texts[i].offset;
        if (!memchr(text, '\0', texts[i].capacity))
            return oxt_i_fail_text(error, OXT_EARG, texts[i].key,
                                   "%s does not end within %zu bytes", texts[i].key,
                                   texts[i].capacity);
        if (!oxt_i_is_utf8(text, strlen(text)))
            return oxt_i_fail_text(error, OXT_EPARSE, texts[i].key, "%s is not UTF-8",
                                   texts[i].key);
    }
    if (values->steel[0] == '\0')
        return oxt_i_fail_text(error, OXT_EARG, "steel",
                               "steel is empty, expected the name of a steel");
    return OXT_OK;
}

static oxt_status check_values(const oxt_steel_values *values, oxt_error *error)
{
    oxt_status status = check_texts(values, error);
    if (!status && values->growth.struct_size != sizeof values->growth)
        status = oxt_i_fail(error, OXT_EARG, "growth", (double)values->growth.struct_size,
                            (double)sizeof values->growth, (double)sizeof values->growth,
                            "growth has struct_size %zu, expected %zu: start values with "
                            "OXT_STEEL_VALUES_INIT",
                            values->growth.struct_size, sizeof values->growth);
    if (!status)
        status = oxt_i_check_growth(&values->growth, error);
    for (size_t i = 0; i < OXT_I_COUNT(numbers) && !status; i++)
        status = oxt_i_check(error, numbers[i].key, number_of(values, &numbers[i]), numbers[i].low,
                             HUGE_VAL, numbers[i].ends);
    if (!status)
        status = oxt_i_check(error, "bath_high_K", values->bath_high_K, values->bath_low_K,
                             HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "thickness_high_nm", values->thickness_high_nm,
                             values->thickness_low_nm, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "trial_count", (double)values->trial_count, 0.0, LARGEST_COUNT,
                             OXT_I_CLOSED);
    if (status)
        return status;
    double most = sqrt(values->variance_ln_k) * sqrt(values->variance_Q_J2_per_mol2);
    if (fabs(values->covariance_J_per_mol) > most * (1.0 + 1e-9))
        return oxt_i_fail(error, OXT_EDOMAIN, "covariance_J_per_mol", values->covariance_J_per_mol,
                          -most, most,
                          "covariance_J_per_mol is %g, expected at most %g in size, the geometric "
                          "mean of the variances",
                          values->covariance_J_per_mol, most);
    return OXT_OK;
}

oxt_status oxt_steel_cautions(const oxt_steel *steel, uint32_t *cautions, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    if (!cautions)
        return oxt_i_null(error, "cautions");
    oxt_status status = oxt_steel_get(steel, &values, error);
    if (!status)
        *cautions = oxt_i_range_cautions(values.bath_low_K, values.bath_high_K);
    return status;
}

oxt_status oxt_steel_new(oxt_steel **steel, const oxt_steel_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!steel || !values)
        return oxt_i_null(error, steel ? "values" : "steel");
    oxt_steel_values checked = OXT_STEEL_VALUES_INIT;
    oxt_status status = OXT_I_STRUCT_IN(oxt_steel_values, &checked, values, "values", error);
    if (!status)
        status = check_values(&checked, error);
    if (!status)
        status = oxt_i_steel_check_coupon(&checked, error);
    if (status)
        return status;
    *steel = calloc(1, sizeof **steel);
    if (!*steel)
        return oxt_i_no_memory(error);
    (*steel)->values = checked;
    return OXT_OK;
}

oxt_status oxt_i_steel_make(oxt_steel **steel, const oxt_steel_values *values,
                            const oxt_words *words, oxt_error *error)
{
    oxt_status status = oxt_steel_new(steel, values, error);
    if (status || oxt_i_words_copy(&(*steel)->words, words))
        return status;
    oxt_steel_free(*steel);
    *steel = NULL;
    return oxt_i_no_memory(error);
}

void oxt_steel_free(oxt_steel *steel)
{
    if (!steel)
        return;
    free(steel->history);
    oxt_words_free(steel->words);
    free(steel);
}

oxt_status oxt_steel_get(const oxt_steel *steel, oxt_steel_values *values, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!steel || !values)
        return oxt_i_null(error, steel ? "values" : "steel");
    return OXT_I_STRUCT_OUT(oxt_steel_values, values, &steel->values, "values", error);
}

/* ---- writing ---- */

/* Takes over `value`; NULL, out of memory, is noted. */
static void put(json_t *object, const char *key, json_t *value, bool *good)
{
    if (!value || json_object_set_new(object, key, value) != 0)
        *good = false;
}

static json_t *to_json(const oxt_steel_values *values)
{
    bool good = true;
    json_t *object = json_object(), *version = json_object();
    if (!object || !version) {
        json_decref(object);
        json_decref(version);
        return NULL;
    }
    put(version, "major", json_integer(OXT_CARD_MAJOR), &good);
    put(version, "minor", json_integer(OXT_CARD_MINOR), &good);
    put(object, OXT_I_CARD_KEY, version, &good);
    for (size_t i = 0; i < OXT_I_COUNT(texts); i++)
        put(object, texts[i].key, json_string((const char *)values + texts[i].offset), &good);
    put(object, "law", json_string("parabolic"), &good);
    for (size_t i = 0; i < OXT_I_COUNT(numbers); i++)
        put(object, numbers[i].key, json_real(number_of(values, &numbers[i])), &good);
    put(object, "trial_count", json_integer((json_int_t)values->trial_count), &good);
    if (good && oxt_i_steel_put_coupon(object, values))
        return object;
    json_decref(object);
    return NULL;
}

static int add_piece(const char *piece, size_t length, void *context)
{
    oxt_i_text_add_bytes(context, piece, length);
    return 0;
}

/* jansson passes over pieces that it could not hand on; this text remembers it. */
static oxt_status card_text(const oxt_steel *steel, oxt_i_text *text, oxt_error *error)
{
    json_t *object = to_json(&steel->values);
    *text = (oxt_i_text){ 0 };
    bool good =
        object && oxt_i_steel_put_words(object, steel) && oxt_i_steel_put_history(object, steel) &&
        json_dump_callback(object, add_piece, text,
                           JSON_INDENT(2) | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(17)) == 0 &&
        !text->failed;
    json_decref(object);
    if (good)
        return OXT_OK;
    oxt_i_text_free(text);
    return oxt_i_no_memory(error);
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

static oxt_status bad_member(oxt_error *error, const char *key, const json_t *member,
                             const char *expected)
{
    return oxt_i_fail_text(error, OXT_EPARSE, key, "the card %s '%s', expected %s",
                           member ? "has the wrong kind of" : "lacks", key, expected);
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

static oxt_status read_texts(const json_t *object, oxt_steel_values *values, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(texts); i++) {
        const json_t *member = json_object_get(object, texts[i].key);
        if (!json_is_string(member))
            return bad_member(error, texts[i].key, member, "a text");
        if (json_string_length(member) >= texts[i].capacity)
            return oxt_i_fail(error, OXT_EDOMAIN, texts[i].key, (double)json_string_length(member),
                              0.0, (double)texts[i].capacity - 1.0,
                              "'%s' of the card is longer than %zu bytes", texts[i].key,
                              texts[i].capacity - 1);
        oxt_i_copy_text((char *)values + texts[i].offset, texts[i].capacity,
                        json_string_value(member));
    }
    const json_t *law = json_object_get(object, "law");
    if (!json_is_string(law) || strcmp(json_string_value(law), "parabolic") != 0)
        return bad_member(error, "law", law, "\"parabolic\"");
    return OXT_OK;
}

static oxt_status read_numbers(const json_t *object, oxt_steel_values *values, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(numbers); i++) {
        const json_t *member = json_object_get(object, numbers[i].key);
        if (!json_is_number(member))
            return bad_member(error, numbers[i].key, member, "a number");
        *number_at(values, &numbers[i]) = json_number_value(member);
    }
    const json_t *count = json_object_get(object, "trial_count");
    if (!json_is_integer(count) || json_integer_value(count) < 0)
        return bad_member(error, "trial_count", count, "a whole number, 0 or more");
    if ((uintmax_t)json_integer_value(count) > SIZE_MAX)
        return bad_member(error, "trial_count", count,
                          "a number of trials that this machine can count");
    values->trial_count = (size_t)json_integer_value(count);
    return OXT_OK;
}

oxt_status oxt_i_steel_read_list(const json_t **list, const json_t *card, const char *key,
                                 oxt_error *error)
{
    *list = json_object_get(card, key);
    if (!*list || json_is_array(*list))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_EPARSE, key,
                           "the card has the wrong kind of '%s', expected a list", key);
}

static oxt_status from_json(const json_t *object, oxt_steel **steel, oxt_error *error)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_status status = read_version(object, error);
    if (!status)
        status = read_texts(object, &values, error);
    if (!status)
        status = read_numbers(object, &values, error);
    if (!status)
        status = oxt_i_steel_read_coupon(&values, object, error);
    if (!status)
        status = oxt_steel_new(steel, &values, error);
    if (!status)
        status = oxt_i_steel_read_words(*steel, object, error);
    if (!status)
        status = oxt_i_steel_read_history(*steel, object, error);
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

/* The JSON of a text, NULL when it is none. jansson takes some failed allocations for faults of the text,
 * and passes over others, so that the text is read twice: readings that differ were short of memory. */
static oxt_status read_json(json_t **object, const char *text, size_t length, oxt_error *error)
{
    json_error_t first, second;
    *object = json_loadb(text, length, JSON_REJECT_DUPLICATES, &first);
    json_t *again = json_loadb(text, length, JSON_REJECT_DUPLICATES, &second);
    bool same = *object ? again && json_equal(*object, again)
                        : !again && first.line > 0 && first.line == second.line &&
                              first.column == second.column && strcmp(first.text, second.text) == 0;
    json_decref(again);
    if (same && *object)
        return OXT_OK;
    json_decref(*object);
    *object = NULL;
    if (!same)
        return oxt_i_no_memory(error);
    char first_line[40];
    if (begins_as_table(text, length, first_line, sizeof first_line))
        return oxt_i_fail_text(error, OXT_EPARSE, "text",
                               "this is no card: it begins with '%s', where a card begins with {; "
                               "a log of coupons becomes a card by a fit",
                               oxt_i_quoted(first_line).text);
    oxt_status status = oxt_i_fail_text(error, OXT_EPARSE, "text",
                                        "the card is damaged at line %d, column %d: %s", first.line,
                                        first.column, first.text);
    oxt_i_locate(error, (size_t)first.line, NULL);
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
    status = from_json(object, steel, error);
    json_decref(object);
    return status;
}

/* Name the file in front of what is wrong with it. */
static void name_file(oxt_error *error, const char *path)
{
    if (!oxt_i_is_writable(error))
        return;
    char story[sizeof error->text];
    memcpy(story, error->text, sizeof story);
    char text[sizeof error->text + 300];
    oxt_i_snprintf(text, sizeof text, "%.256s: %s", path, story);
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
