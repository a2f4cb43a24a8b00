/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A steel with what was done to its card. */
#ifndef OXTINT_STEEL_INTERNAL_H
#define OXTINT_STEEL_INTERNAL_H

#include <jansson.h>

#include "internal.h"

struct oxt_steel {
    oxt_steel_values values;
    oxt_steel_entry *history; /* the oldest first */
    size_t history_count;
};

/* A steel with the history of an older one, and an entry more. */
oxt_status oxt_i_steel_renew(oxt_steel **renewed, const oxt_steel *old,
                             const oxt_steel_values *values, const oxt_steel_entry *entry,
                             oxt_error *error);
/* The history in a card: written when there is one, and read when there is one. */
bool oxt_i_steel_put_history(json_t *card, const oxt_steel *steel);
oxt_status oxt_i_steel_read_history(oxt_steel *steel, const json_t *card, oxt_error *error);

#endif
