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
