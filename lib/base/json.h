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
/* Two limits. */
json_t *oxt_i_json_pair(double low, double high, bool *good);
/* Cautions as a list, each with its code, its number and its sentences. */
json_t *oxt_i_json_cautions(uint32_t cautions, bool *good);

/* ---- structs ---- */

typedef enum {
    OXT_I_JSON_NUMBER, /* double */
    OXT_I_JSON_INT,    /* int */
    OXT_I_JSON_COUNT,  /* size_t */
    OXT_I_JSON_FLAG,   /* int 0 or 1 */
    OXT_I_JSON_TEXT,   /* array of char */
    OXT_I_JSON_CHOICE, /* enum from 0; one of `choices` */
    OXT_I_JSON_CAUTIONS
} oxt_i_json_kind;

/* One field; lists of them end with a NULL key. */
typedef struct {
    const char *key;
    oxt_i_json_kind kind;
    size_t offset;
    const char *const *choices;
} oxt_i_json_field;

#define OXT_I_JSON_FIELD(type, member, kind)                     \
    {                                                            \
#member, OXT_I_JSON_##kind, offsetof(type, member), NULL \
    }
#define OXT_I_JSON_CHOSEN(type, member, choices)                    \
    {                                                               \
#member, OXT_I_JSON_CHOICE, offsetof(type, member), choices \
    }
#define OXT_I_JSON_END                   \
    {                                    \
        NULL, OXT_I_JSON_NUMBER, 0, NULL \
    }

/* Put the fields of a struct into an object. */
void oxt_i_json_put_fields(json_t *object, const oxt_i_json_field *fields, const void *values,
                           bool *good);
/* A new object of them. */
json_t *oxt_i_json_struct(const oxt_i_json_field *fields, const void *values, bool *good);

/* ---- text ---- */

/* The whole as text, two spaces a level; takes over `value`. */
oxt_status oxt_i_json_text(json_t *value, bool good, oxt_i_text *text, oxt_error *error);
/* The same into the caller's buffer. */
oxt_status oxt_i_json_emit(json_t *value, bool good, char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error);

/* The value of a text; OXT_EPARSE without a message where it is no JSON, and `fault` says where. */
oxt_status oxt_i_json_read(json_t **value, const char *text, size_t length, json_error_t *fault,
                           oxt_error *error);

#endif
