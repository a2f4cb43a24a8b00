/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A shop's words for the modules that read and print names of colours; NULL for none. */
#ifndef OXTINT_LIB_WORDS_H
#define OXTINT_LIB_WORDS_H

#include "oxtint/film.h"
#include "oxtint/tint.h"
#include "base/internal.h"

size_t oxt_i_words_count(const oxt_words *words);
/* The word that a text is, in any case and with any blanks; NULL: none. */
const oxt_word *oxt_i_words_find(const oxt_words *words, const char *text);
/* What a shop calls a band, or a thickness that lies in a range: the first that it lists; NULL: nothing. */
const oxt_word *oxt_i_words_of_band(const oxt_words *words, int band);
const oxt_word *oxt_i_words_of_thickness(const oxt_words *words, double thickness_nm);
/* An empty list, NULL when memory ran out. */
oxt_words *oxt_i_words_new(void);
/* False when memory ran out. A copy of none is NULL. */
bool oxt_i_words_copy(oxt_words **copy, const oxt_words *words);
/* What is expected in place of a word that a list cannot take; NULL: it can. */
const char *oxt_i_words_refusal(const oxt_words *words, const char *text);
/* False when memory ran out. */
bool oxt_i_words_append(oxt_words *words, const oxt_word *word);
/* A range under the name of a band is that band's, as this reader sees it: the ends of the bands become these where they
 * stay in order, and the range a word for its band. */
void oxt_i_words_take_bands(oxt_words *words, double edges[OXT_TINT_COUNT + 1]);
const oxt_words *oxt_i_film_words(const oxt_film *film);

#endif
