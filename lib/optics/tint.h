/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Bands and their trade names. */
#ifndef OXTINT_LIB_TINT_H
#define OXTINT_LIB_TINT_H

#include "oxtint/tint.h"
#include "oxtint/words.h"
#include "base/internal.h"

/* Ends of the bands: band i runs from edge i to edge i + 1. */
const double *oxt_i_film_edges(const oxt_film *film);
/* The band of a thickness by these ends; the last one beyond them. */
int oxt_i_band_at(const double *edges, double thickness_nm);
/* The shop's word for a band, or else its label. */
const char *oxt_i_band_label(const oxt_words *words, int band);
/* The first band of the second order. */
#define OXT_I_FIRST_OF_SECOND 10
/* Find the band edges of a path (called while a film is made). */
oxt_status oxt_i_tint_edges(const oxt_film *film, double edges[OXT_TINT_COUNT + 1],
                            oxt_error *error);
/* A trade name without any film. */
typedef struct {
    int band, other;        /* `other`: of the other order, -1 for none */
    bool stated;            /* the text states the order, or the name occurs once */
    double low_nm, high_nm; /* of a shop's word for a range, whose band is -1; else 0 */
} oxt_i_tint_word;
/* False for what is no trade name, and no word of the shop, which goes first (NULL: none). */
bool oxt_i_tint_read(const char *text, const oxt_words *words, oxt_i_tint_word *found);
/* What should stand in place of a text that is none; the names are `listed` once. */
oxt_i_sentence oxt_i_tint_expected(const char *text, const oxt_words *words, bool *listed);
/* The same as a failure; `trade`: the names of the trade that are expected there. */
oxt_status oxt_i_no_tint(const char *text, const oxt_words *words, const char *trade,
                         oxt_error *error);

/* ---- of the trade alone (tint_names.c) ---- */

bool oxt_i_tint_read_name(const char *text, oxt_i_tint_word *found);
/* The band of the other order with the colour of one, -1 for none. */
int oxt_i_tint_other(int index);
/* The trade name of a band, without and with its order where needed; oxt_i_tint_read_name takes the label back. */
const char *oxt_i_tint_name(int band);
const char *oxt_i_tint_label(int band);
int oxt_i_tint_order(int band);
/* The word that is nearest to a text, "" while none is near. */
typedef struct {
    oxt_i_key key; /* of the text */
    size_t edits;
    char word[64];
} oxt_i_nearest;
oxt_i_nearest oxt_i_tint_nearest(const char *text);
void oxt_i_tint_try(oxt_i_nearest *nearest, const char *word);
oxt_i_sentence oxt_i_tint_expected_of(const oxt_i_nearest *nearest, const char *names,
                                      bool *listed);
/* All trade names, for messages; a target is none of bare steel. */
#define OXT_I_TARGET_NAMES                                                         \
    "faint straw, straw, dark straw, brown, purple, dark blue, blue, light blue, " \
    "silver, or second order yellow, red, purple, blue, green"
#define OXT_I_TINT_NAMES "bright, " OXT_I_TARGET_NAMES

oxt_status oxt_i_target_in(oxt_target *into, const oxt_target *target, oxt_error *error);

#endif
