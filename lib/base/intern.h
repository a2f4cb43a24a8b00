/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Byte strings that are kept once each and known by their number, in order of appearance. */
#ifndef OXTINT_LIB_INTERN_H
#define OXTINT_LIB_INTERN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define OXT_I_NOT_INTERNED UINT32_MAX

/* Of open addressing: its hash tells most other strings apart without a look at them. */
typedef struct {
    uint32_t after, hash; /* number + 1, 0 where empty */
} oxt_i_slot;

typedef struct {
    char *bytes;  /* of all strings, each followed by a NUL */
    size_t *ends; /* of each string, its NUL left out */
    oxt_i_slot *slots;
    size_t used, bytes_capacity, count, capacity, slot_count;
} oxt_i_intern;

/* The number of a string, which is kept when it is new; false when memory ran out. */
bool oxt_i_intern_add(oxt_i_intern *set, const void *bytes, size_t length, uint32_t *number);
/* The number of a string, OXT_I_NOT_INTERNED when it is not kept. */
uint32_t oxt_i_intern_find(const oxt_i_intern *set, const void *bytes, size_t length);
/* A string; it ends with a NUL that its length, which may be NULL, leaves out. It moves when more are added. */
const char *oxt_i_intern_get(const oxt_i_intern *set, uint32_t number, size_t *length);
/* Forget all strings but the first `count`, which keep their numbers. */
void oxt_i_intern_cut(oxt_i_intern *set, size_t count);
void oxt_i_intern_free(oxt_i_intern *set);

/* Room for `needed` elements of a size in an array, whose pointer `array` points to. */
bool oxt_i_grow(void *array, size_t *capacity, size_t needed, size_t size);

#endif
