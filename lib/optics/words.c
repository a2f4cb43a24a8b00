/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A shop's own words for colours. Reading is in words_csv.c. */
#include "base/intern.h"
#include "optics/tint.h"
#include "optics/words.h"

#include <stdlib.h>
#include <string.h>

struct oxt_words {
    oxt_word *list;
    size_t count, capacity;
};

size_t oxt_i_words_count(const oxt_words *words)
{
    return words ? words->count : 0;
}

oxt_status oxt_words_get(const oxt_words *words, size_t index, oxt_word *word, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!words || !word)
        return oxt_i_null(error, words ? "word" : "words");
    oxt_status status = oxt_i_check_index(error, index, words->count);
    return status ? status : OXT_I_STRUCT_OUT(oxt_word, word, &words->list[index], "word", error);
}

void oxt_words_free(oxt_words *words)
{
    if (!words)
        return;
    free(words->list);
    free(words);
}

/* ---- for other modules ---- */

const oxt_word *oxt_i_words_find(const oxt_words *words, const char *text)
{
    oxt_i_key key, other;
    oxt_i_key_of(text, &key);
    for (size_t i = 0; i < oxt_i_words_count(words); i++) {
        oxt_i_key_of(words->list[i].word, &other);
        if (strcmp(key.text, other.text) == 0)
            return &words->list[i];
    }
    return NULL;
}

const oxt_word *oxt_i_words_of_band(const oxt_words *words, int band)
{
    for (size_t i = 0; i < oxt_i_words_count(words); i++)
        if (words->list[i].index == band)
            return &words->list[i];
    return NULL;
}

const oxt_word *oxt_i_words_of_thickness(const oxt_words *words, double thickness_nm)
{
    for (size_t i = 0; i < oxt_i_words_count(words); i++) {
        const oxt_word *word = &words->list[i];
        if (word->index < 0 && thickness_nm >= word->low_nm && thickness_nm < word->high_nm)
            return word;
    }
    return NULL;
}

oxt_words *oxt_i_words_new(void)
{
    return calloc(1, sizeof(oxt_words));
}

bool oxt_i_words_copy(oxt_words **copy, const oxt_words *words)
{
    *copy = NULL;
    if (oxt_i_words_count(words) == 0)
        return true;
    oxt_words *made = oxt_i_words_new();
    oxt_word *list = malloc(words->count * sizeof *list);
    if (!made || !list) {
        free(made);
        free(list);
        return false;
    }
    memcpy(list, words->list, words->count * sizeof *list);
    *made = (oxt_words){ list, words->count, words->count };
    *copy = made;
    return true;
}

const char *oxt_i_words_refusal(const oxt_words *words, const char *text)
{
    oxt_i_key key;
    oxt_i_key_of(text, &key);
    if (key.length == 0 || strlen(text) >= sizeof words->list->word)
        return "a word of at most 31 bytes";
    if (strchr("0123456789#.+-", text[0]))
        return "a word that begins with a letter: others are thicknesses and colours";
    if (oxt_i_words_find(words, text))
        return "a word that is not in a line above";
    if (oxt_i_words_count(words) >= OXT_WORDS_MOST)
        return "at most 256 words";
    return NULL;
}

bool oxt_i_words_append(oxt_words *words, const oxt_word *word)
{
    if (!oxt_i_grow(&words->list, &words->capacity, words->count + 1, sizeof *word))
        return false;
    words->list[words->count++] = *word;
    return true;
}

void oxt_i_words_take_bands(oxt_words *words, double edges[OXT_TINT_COUNT + 1])
{
    double own[OXT_TINT_COUNT + 1];
    memcpy(own, edges, sizeof own);
    for (int band = 0; band < OXT_TINT_COUNT; band++) {
        const oxt_word *word = oxt_i_words_find(words, oxt_i_tint_label(band));
        if (!word || word->index >= 0)
            continue;
        own[band] = word->low_nm;
        own[band + 1] = word->high_nm;
    }
    for (int i = 0; i < OXT_TINT_COUNT; i++)
        if (own[i] > own[i + 1])
            return; /* they are ranges and no more */
    memcpy(edges, own, sizeof own);
    for (size_t i = 0; i < oxt_i_words_count(words); i++)
        for (int band = 0; band < OXT_TINT_COUNT && words->list[i].index < 0; band++)
            if (strcmp(words->list[i].word, oxt_i_tint_label(band)) == 0)
                words->list[i].index = band;
}
