/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/intern.h"

#include <stdlib.h>
#include <string.h>

/* G. Fowler, L. C. Noll and K.-P. Vo's hash, variant 1a, 64 bits (RFC 9923), folded. */
static uint32_t hash_of(const void *bytes, size_t length)
{
    const unsigned char *at = bytes;
    uint64_t hash = 0xCBF29CE484222325u;
    for (size_t i = 0; i < length; i++)
        hash = (hash ^ at[i]) * 0x100000001B3u;
    return (uint32_t)(hash ^ hash >> 32); /* the low bits choose the slot */
}

const char *oxt_i_intern_get(const oxt_i_intern *set, uint32_t number, size_t *length)
{
    size_t start = number ? set->ends[number - 1] + 1 : 0;
    if (length)
        *length = set->ends[number] - start;
    return set->bytes + start;
}

static uint32_t find(const oxt_i_intern *set, const void *bytes, size_t length, uint32_t hash)
{
    size_t last = set->slot_count - 1;
    for (size_t slot = hash & last; set->slot_count && set->slots[slot].after;
         slot = (slot + 1) & last) {
        size_t known_length;
        uint32_t number = set->slots[slot].after - 1;
        if (set->slots[slot].hash != hash)
            continue;
        const char *known = oxt_i_intern_get(set, number, &known_length);
        if (known_length == length && memcmp(known, bytes, length) == 0)
            return number;
    }
    return OXT_I_NOT_INTERNED;
}

uint32_t oxt_i_intern_find(const oxt_i_intern *set, const void *bytes, size_t length)
{
    return find(set, bytes, length, hash_of(bytes, length));
}

/* Into the first empty slot from that of its hash on. */
static void put(oxt_i_intern *set, oxt_i_slot made)
{
    size_t slot = made.hash & (set->slot_count - 1);
    while (set->slots[slot].after)
        slot = (slot + 1) & (set->slot_count - 1);
    set->slots[slot] = made;
}

/* Room for one more slot: at most half of them are taken. */
static bool grow_slots(oxt_i_intern *set)
{
    if (2 * (set->count + 1) <= set->slot_count)
        return true;
    oxt_i_intern larger = *set;
    larger.slot_count = set->slot_count ? 2 * set->slot_count : 16;
    larger.slots = calloc(larger.slot_count, sizeof *larger.slots);
    if (!larger.slots)
        return false;
    for (size_t i = 0; i < set->slot_count; i++)
        if (set->slots[i].after)
            put(&larger, set->slots[i]);
    free(set->slots);
    *set = larger;
    return true;
}

void oxt_i_intern_cut(oxt_i_intern *set, size_t count)
{
    if (count >= set->count)
        return;
    set->count = count;
    set->used = count ? set->ends[count - 1] + 1 : 0;
    memset(set->slots, 0, set->slot_count * sizeof *set->slots);
    for (uint32_t number = 0; number < count; number++) {
        size_t length;
        const char *bytes = oxt_i_intern_get(set, number, &length);
        put(set, (oxt_i_slot){ number + 1, hash_of(bytes, length) });
    }
}

bool oxt_i_grow(void *array, size_t *capacity, size_t needed, size_t size)
{
    void *block;
    memcpy(&block, array, sizeof block); /* whatever the type that it points to */
    if (needed <= *capacity)
        return true;
    size_t larger = *capacity + *capacity / 2 + 16;
    if (larger < needed)
        larger = needed;
    if (larger > SIZE_MAX / size || !(block = realloc(block, larger * size)))
        return false;
    memcpy(array, &block, sizeof block);
    *capacity = larger;
    return true;
}

bool oxt_i_intern_add(oxt_i_intern *set, const void *bytes, size_t length, uint32_t *number)
{
    uint32_t hash = hash_of(bytes, length);
    *number = find(set, bytes, length, hash);
    if (*number != OXT_I_NOT_INTERNED)
        return true;
    if (set->count >= OXT_I_NOT_INTERNED - 1 || !grow_slots(set) ||
        !oxt_i_grow(&set->ends, &set->capacity, set->count + 1, sizeof *set->ends) ||
        !oxt_i_grow(&set->bytes, &set->bytes_capacity, set->used + length + 1, 1))
        return false;
    memcpy(set->bytes + set->used, bytes, length);
    set->bytes[set->used + length] = '\0';
    *number = (uint32_t)set->count++;
    put(set, (oxt_i_slot){ *number + 1, hash });
    set->ends[*number] = set->used + length;
    set->used += length + 1;
    return true;
}

void oxt_i_intern_free(oxt_i_intern *set)
{
    free(set->bytes);
    free(set->ends);
    free(set->slots);
}
