/* SPDX-License-Identifier: GPL-3.0-or-later */
/* JSON as it is written. */
#include "base/json.h"

#include <string.h>

void oxt_i_json_put(json_t *object, const char *key, json_t *value, bool *good)
{
    if (json_object_set_new(object, key, value) != 0)
        *good = false;
}

void oxt_i_json_append(json_t *list, json_t *value, bool *good)
{
    if (json_array_append_new(list, value) != 0)
        *good = false;
}

json_t *oxt_i_json_number(double number)
{
    return isfinite(number) ? json_real(number) : json_null();
}

static int add_piece(const char *piece, size_t length, void *context)
{
    oxt_i_text_add_bytes(context, piece, length);
    return 0;
}

json_t *oxt_i_json_pair(double low, double high, bool *good)
{
    json_t *pair = json_array();
    oxt_i_json_append(pair, oxt_i_json_number(low), good);
    oxt_i_json_append(pair, oxt_i_json_number(high), good);
    return pair;
}

json_t *oxt_i_json_cautions(uint32_t cautions, bool *good)
{
    static const char *const kinds[] = { "forbids", "case", "bath" };
    json_t *list = json_array();
    const oxt_caution_info *one;
    for (; (one = oxt_caution_get(cautions))->bit != 0; cautions &= ~one->bit) {
        json_t *object = json_object();
        oxt_i_json_put(object, "name", json_string(one->name + sizeof "OXT_CAUTION_" - 1), good);
        oxt_i_json_put(object, "number", json_integer(one->bit), good);
        oxt_i_json_put(object, "kind", json_string(kinds[one->kind]), good);
        oxt_i_json_put(object, "brief", json_string(one->brief), good);
        oxt_i_json_put(object, "text", json_string(one->text), good);
        oxt_i_json_put(object, "source", json_string(one->source), good);
        oxt_i_json_append(list, object, good);
    }
    return list;
}

static json_t *field_to_json(const oxt_i_json_field *field, const void *at, bool *good)
{
    switch (field->kind) {
    case OXT_I_JSON_NUMBER:
        return oxt_i_json_number(*(const double *)at);
    case OXT_I_JSON_INT:
        return json_integer(*(const int *)at);
    case OXT_I_JSON_COUNT:
        return json_integer((json_int_t) * (const size_t *)at);
    case OXT_I_JSON_FLAG:
        return json_boolean(*(const int *)at != 0);
    case OXT_I_JSON_TEXT:
        return json_string(at);
    case OXT_I_JSON_CHOICE:
        return json_string(field->choices[*(const unsigned *)at]);
    case OXT_I_JSON_CAUTIONS:
        return oxt_i_json_cautions(*(const uint32_t *)at, good);
    }
    return NULL;
}

void oxt_i_json_put_fields(json_t *object, const oxt_i_json_field *fields, const void *values,
                           bool *good)
{
    for (const oxt_i_json_field *field = fields; field->key; field++)
        oxt_i_json_put(object, field->key,
                       field_to_json(field, (const char *)values + field->offset, good), good);
}

json_t *oxt_i_json_struct(const oxt_i_json_field *fields, const void *values, bool *good)
{
    json_t *object = json_object();
    oxt_i_json_put_fields(object, fields, values, good);
    return object;
}

/* jansson passes over pieces that it could not hand on; this text remembers it. */
oxt_status oxt_i_json_text(json_t *value, bool good, oxt_i_text *text, oxt_error *error)
{
    *text = (oxt_i_text){ 0 };
    good = value && good &&
           json_dump_callback(value, add_piece, text,
                              JSON_INDENT(2) | JSON_PRESERVE_ORDER | JSON_REAL_PRECISION(17)) ==
               0 &&
           !text->failed;
    json_decref(value);
    if (good)
        return OXT_OK;
    oxt_i_text_free(text);
    return oxt_i_no_memory(error);
}

oxt_status oxt_i_json_emit(json_t *value, bool good, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error)
{
    oxt_i_text text;
    oxt_status status = oxt_i_json_text(value, good, &text, error);
    return status ? status : oxt_i_emit_text(&text, buffer, capacity, needed, error);
}

/* The JSON of a text, NULL when it is none. jansson takes some failed allocations for faults of the text,
 * and passes over others, so that the text is read twice: readings that differ were short of memory. */
oxt_status oxt_i_json_read(json_t **value, const char *text, size_t length, json_error_t *fault,
                           oxt_error *error)
{
    json_error_t second;
    *value = json_loadb(text, length, JSON_REJECT_DUPLICATES, fault);
    json_t *again = json_loadb(text, length, JSON_REJECT_DUPLICATES, &second);
    bool same = *value
                    ? again && json_equal(*value, again)
                    : !again && fault->line > 0 && fault->line == second.line &&
                          fault->column == second.column && strcmp(fault->text, second.text) == 0;
    json_decref(again);
    if (same && *value)
        return OXT_OK;
    json_decref(*value);
    *value = NULL;
    return same ? OXT_EPARSE : oxt_i_no_memory(error);
}
