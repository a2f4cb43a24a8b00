/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A steel with what was done to its card. */
#ifndef OXTINT_STEEL_INTERNAL_H
#define OXTINT_STEEL_INTERNAL_H

#include "oxtint/steel.h"
#include "oxtint/trials.h"
#include "base/internal.h"

/* A card is at most this large, which OXT_I_MOST_ENTRIES of the longest texts, OXT_WORDS_MOST words and
 * OXT_RECORD_MOST dips stay well below. */
#define OXT_I_CARD_BYTES (1 << 20)
#define OXT_I_MOST_ENTRIES 256
#define OXT_I_LARGEST_COUNT 1e15 /* trials; a card holds any such number exactly */

struct oxt_steel {
    oxt_steel_values values;
    oxt_steel_change *history; /* the oldest first */
    size_t history_count;
    oxt_words *words;         /* a shop's own, NULL: none */
    oxt_recorded_dip *record; /* the oldest first */
    size_t record_count;
    bool is_broken; /* the card no longer keeps its promises (oxt_i_steel_judge) */
};

/* A steel with the shop's words, NULL for none. */
oxt_status oxt_i_steel_make(oxt_steel **steel, const oxt_steel_values *values,
                            const oxt_words *words, oxt_error *error);
/* A steel with the history of an older one, and an entry more unless it is NULL. */
oxt_status oxt_i_steel_renew(oxt_steel **renewed, const oxt_steel *old,
                             const oxt_steel_values *values, const oxt_steel_change *entry,
                             const oxt_words *words, oxt_error *error);
/* One dip more in the record of a steel that oxt_i_steel_renew made; the oldest goes where the record is full. */
void oxt_i_steel_record(oxt_steel *steel, const oxt_recorded_dip *dip);
/* Whether a recorded dip was promised, by the rate that the card has now. */
bool oxt_i_is_promised(const oxt_steel *steel, const oxt_recorded_dip *dip);
/* Chance of so few hits, of all such dips and of the last 20, if every promise were kept; and whether it is then said to
 * be kept. */
void oxt_i_steel_p_values(const oxt_steel *steel, double *p_value, double *recent_p_value);
bool oxt_i_are_kept(double p_value, double recent_p_value, double false_alarm);
/* Find out whether it is, of a steel whose record or rate is new: a dip only asks for the answer. */
void oxt_i_steel_judge(oxt_steel *steel);
/* Fold the oldest entries into one when there are more than OXT_I_MOST_ENTRIES; how many there are then. */
size_t oxt_i_steel_fold(oxt_steel_change *history, size_t count);
/* How the coupons were run, whose numbers have been checked; ranges that were left at 0 are filled. */
oxt_status oxt_i_steel_check_coupon(oxt_steel_values *values, oxt_error *error);

/* The usual coupon as a part and a lift; false where its path is inside the constants. */
bool oxt_i_steel_coupon(const oxt_steel_values *values, oxt_part *part, oxt_lift *lift);
void oxt_i_steel_coupon_text(const oxt_steel_values *values, char *buffer, size_t capacity);
/* A trial that states no part was run as the card's usual coupon, where the card states it. */
void oxt_i_fill_coupon(oxt_trial *trial, const oxt_steel_values *card);

/* ---- what a card keeps of a struct, once: for checking, writing and reading ---- */

typedef struct {
    const char *key, *name;  /* in the card; in the struct, for messages */
    size_t offset, capacity; /* bytes of a text; 0: a number */
    double low, high;        /* that a number may be */
    oxt_i_ends ends;
} oxt_i_card_field;

typedef struct {
    const oxt_i_card_field *fields;
    size_t count;
    bool later; /* a card has them only where they are not 0 */
} oxt_i_card_fields;

#define OXT_I_CARD_TEXT(type, field)                                                              \
    {                                                                                             \
#field, #field, offsetof(type, field), sizeof(((type *)0)->field), 0.0, 0.0, OXT_I_CLOSED \
    }
#define OXT_I_CARD_NUMBER(type, field, low, ends)                     \
    {                                                                 \
#field, #field, offsetof(type, field), 0, low, HUGE_VAL, ends \
    }

/* Of oxt_steel_values, which has the numbers of the coupon too. */
extern const oxt_i_card_fields oxt_i_steel_texts, oxt_i_steel_numbers, oxt_i_later_numbers,
    oxt_i_coupon_numbers;
/* Of oxt_recorded_dip. */
extern const oxt_i_card_fields oxt_i_record_texts, oxt_i_record_numbers, oxt_i_record_later;
oxt_status oxt_i_card_check(const oxt_i_card_fields *list, const void *values, oxt_error *error);

#endif
