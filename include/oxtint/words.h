/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file words.h: a shop's own words for colours. */
#ifndef OXTINT_WORDS_H
#define OXTINT_WORDS_H

#include "oxtint/faults.h"

/** One word of a shop: a band of trade colour, or a range of thickness. */
typedef struct oxt_word {
    size_t struct_size;
    char word[32];  /* as the shop writes it, UTF-8 */
    int index;      /* band, 0 to OXT_TINT_COUNT - 1; -1 for a range */
    double low_nm;  /* nm   thinnest film of a range, > 0; 0 for a band */
    double high_nm; /* nm   thickest film of a range, above low_nm, up to 1000; 0 for a band */
    size_t line;    /* line of the file that it came from, from 1 */
} oxt_word;

/* A list has at most so many words. */
#define OXT_WORDS_MOST 256

#define OXT_WORD_INIT { sizeof(oxt_word), "", 0, 0.0, 0.0, 0 }

/** A shop's words: opaque, immutable. */
typedef struct oxt_words oxt_words;

OXT_BEGIN_DECLS

/**
 * Read a shop's words from a CSV file, as spreadsheets save it (trials.h), or from the text of one.
 *
 * Given:
 *   path           name of the file; with a text it only names the text in messages, and may be NULL
 *   text, length   the text (note 1), in bytes, which is read instead of a file; NULL for none
 * Returned:
 *   words          all of them, or NULL; free them with oxt_words_free
 *   faults         when the contents are at fault: all faults, to be freed with oxt_faults_free; else NULL.
 *                  The argument itself may be NULL
 * Status:
 *   OXT_EPARSE with the number of faults and the first one in the error; OXT_EARG, OXT_EIO, OXT_ENOMEM
 * Notes:
 *   1. Columns: word, up to 31 bytes, which does not begin with a digit or #; and on each line either band, a
 *      trade name as in oxt_tint_find, or low_nm and high_nm, the thickness that the word means. A word
 *      overrides a trade name of the same letters. Other columns are left out. At most OXT_WORDS_MOST words.
 *      A range under the name of a band, as in oxt_tint, moves the ends of that band in a film that is given the words,
 *      as long as its bands stay in order.
 *   2. Give the words to a film, which then reads and prints them (oxt_film_options), and to a log
 *      (oxt_trials_new, oxt_trials_read_csv). A card keeps the words that it was fitted with (oxt_steel_words).
 */
OXT_API oxt_status oxt_words_read_csv(oxt_words **words, const char *path, const char *text,
                                      size_t length, oxt_faults **faults, oxt_error *error);

/**
 * One word.
 *
 * Given:
 *   words   the words
 *   index   from 0; there is at least one word
 * Returned:
 *   word    a copy
 * Status:
 *   OXT_EARG, also past the last word
 */
OXT_API oxt_status oxt_words_get(const oxt_words *words, size_t index, oxt_word *word,
                                 oxt_error *error);

/**
 * Free words. Films and logs that were given them have copies.
 *
 * Given:
 *   words   NULL is ignored
 */
OXT_API void oxt_words_free(oxt_words *words);

OXT_END_DECLS

#endif
