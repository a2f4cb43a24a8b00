/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A steel with what was done to its card. */
#ifndef OXTINT_STEEL_INTERNAL_H
#define OXTINT_STEEL_INTERNAL_H

#include <jansson.h>

#include "oxtint/steel.h"
#include "oxtint/trials.h"
#include "base/internal.h"

/* A card is at most this large, which OXT_I_MOST_ENTRIES of the longest texts and
 * OXT_WORDS_MOST words stay well below. */
#define OXT_I_CARD_BYTES (1 << 20)
#define OXT_I_MOST_ENTRIES 256

struct oxt_steel {
    oxt_steel_values values;
    oxt_steel_change *history; /* the oldest first */
    size_t history_count;
    oxt_words *words; /* a shop's own, NULL: none */
};

/* A steel with the shop's words, NULL for none. */
oxt_status oxt_i_steel_make(oxt_steel **steel, const oxt_steel_values *values,
                            const oxt_words *words, oxt_error *error);
/* The words in a card (steel_words.c): written when there are some, and read when there are some. */
bool oxt_i_steel_put_words(json_t *card, const oxt_steel *steel);
oxt_status oxt_i_steel_read_words(oxt_steel *steel, const json_t *card, oxt_error *error);

/* A list in a card; NULL where it has none, as before it was kept. */
oxt_status oxt_i_steel_read_list(const json_t **list, const json_t *card, const char *key,
                                 oxt_error *error);
/* A steel with the history of an older one, and an entry more unless it is NULL. */
oxt_status oxt_i_steel_renew(oxt_steel **renewed, const oxt_steel *old,
                             const oxt_steel_values *values, const oxt_steel_change *entry,
                             const oxt_words *words, oxt_error *error);
/* Fold the oldest entries into one when there are more than OXT_I_MOST_ENTRIES; how many there are then. */
size_t oxt_i_steel_fold(oxt_steel_change *history, size_t count);
/* The history in a card: written when there is one, and read when there is one. */
bool oxt_i_steel_put_history(json_t *card, const oxt_steel *steel);
oxt_status oxt_i_steel_read_history(oxt_steel *steel, const json_t *card, oxt_error *error);

/* How the coupons were run (steel_coupon.c): checked, with ranges that were left at 0 filled; in a card,
 * written and read. */
oxt_status oxt_i_steel_check_coupon(oxt_steel_values *values, oxt_error *error);
bool oxt_i_steel_put_coupon(json_t *card, const oxt_steel_values *values);
oxt_status oxt_i_steel_read_coupon(oxt_steel_values *values, const json_t *card, oxt_error *error);

/* The usual coupon as a part and a lift; false where its path is inside the constants. */
bool oxt_i_steel_coupon(const oxt_steel_values *values, oxt_part *part, oxt_lift *lift);
void oxt_i_steel_coupon_text(const oxt_steel_values *values, char *buffer, size_t capacity);
/* A trial that states no part was run as the card's usual coupon, where the card states it. */
void oxt_i_fill_coupon(oxt_trial *trial, const oxt_steel_values *card);

#endif
