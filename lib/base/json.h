/* SPDX-License-Identifier: GPL-3.0-or-later */
/* JSON as it is written. */
#ifndef OXTINT_LIB_JSON_H
#define OXTINT_LIB_JSON_H

#include "base/internal.h"

#include <jansson.h>

/* A member of an object; takes over `value`, and notes that memory ran out. */
void oxt_i_json_put(json_t *object, const char *key, json_t *value, bool *good);
/* An element of a list, likewise. */
void oxt_i_json_append(json_t *list, json_t *value, bool *good);
/* A number; null where it is not finite. */
json_t *oxt_i_json_number(double number);
/* The whole as text, two spaces a level; takes over `value`. */
oxt_status oxt_i_json_text(json_t *value, bool good, oxt_i_text *text, oxt_error *error);
/* The same into the caller's buffer. */
oxt_status oxt_i_json_emit(json_t *value, bool good, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error);

/* The value of a text; OXT_EPARSE without a message where it is no JSON, and `fault` says where. */
oxt_status oxt_i_json_read(json_t **value, const char *text, size_t length, json_error_t *fault,
                           oxt_error *error);

#endif
