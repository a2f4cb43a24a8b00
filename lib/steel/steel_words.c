/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A shop's own words in a card: given out, written and read. */

#include "optics/tint.h"
#include "optics/words.h"
#include "steel/steel.h"

#define KEY "words"

oxt_status oxt_steel_words(const oxt_steel *steel, oxt_words **words, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (words)
        *words = NULL;
    if (!steel || !words)
        return oxt_i_null(error, steel ? "words" : "steel");
    return oxt_i_words_copy(words, steel->words) ? OXT_OK : oxt_i_no_memory(error);
}

oxt_status oxt_steel_with_words(oxt_steel **reworded, const oxt_steel *steel,
                                const oxt_words *words, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (reworded)
        *reworded = NULL;
    if (!reworded || !steel)
        return oxt_i_null(error, reworded ? "steel" : "reworded");
    return oxt_i_steel_renew(reworded, steel, &steel->values, NULL, words, error);
}

/* ---- writing ---- */

static json_t *to_json(const oxt_word *word)
{
    json_t *object = json_object();
    bool good = json_object_set_new(object, "word", json_string(word->word)) == 0;
    if (good && word->index >= 0)
        good = json_object_set_new(object, "band", json_string(oxt_i_tint_label(word->index))) == 0;
    else if (good)
        good = json_object_set_new(object, "low_nm", json_real(word->low_nm)) == 0 &&
               json_object_set_new(object, "high_nm", json_real(word->high_nm)) == 0;
    if (good)
        return object;
    json_decref(object);
    return NULL;
}

bool oxt_i_steel_put_words(json_t *card, const oxt_steel *steel)
{
    oxt_word word = OXT_WORD_INIT;
    size_t count = oxt_words_count(steel->words);
    if (count == 0)
        return true;
    json_t *array = json_array();
    bool good = array != NULL;
    for (size_t i = 0; i < count && good; i++)
        good = oxt_words_get(steel->words, i, &word, NULL) == OXT_OK &&
               json_array_append_new(array, to_json(&word)) == 0;
    if (!good) {
        json_decref(array);
        return false;
    }
    return json_object_set_new(card, KEY, array) == 0;
}

/* ---- reading ---- */

static oxt_status bad(oxt_error *error, size_t index, const char *key, const char *expected)
{
    return oxt_i_fail_text(error, OXT_EPARSE, key, "'%s' of word %zu of the card: expected %s", key,
                           index + 1, expected);
}

static oxt_status read_thickness(double *thickness_nm, const json_t *object, const char *key,
                                 double above_nm, size_t index, oxt_error *error)
{
    const json_t *member = json_object_get(object, key);
    *thickness_nm = json_number_value(member);
    if (json_is_number(member) && *thickness_nm > above_nm &&
        *thickness_nm <= OXT_THICKNESS_HIGH_NM)
        return OXT_OK;
    char expected[64];
    oxt_i_snprintf(expected, sizeof expected, "a thickness above %g and up to %g nm", above_nm,
                   OXT_THICKNESS_HIGH_NM);
    return bad(error, index, key, expected);
}

static oxt_status read_meaning(oxt_word *word, const json_t *object, size_t index, oxt_error *error)
{
    const json_t *band = json_object_get(object, "band");
    if (band) {
        oxt_i_tint_word found;
        bool named = json_is_string(band) && oxt_i_tint_read(json_string_value(band), NULL, &found);
        word->index = named ? found.band : -1;
        return named ? OXT_OK : bad(error, index, "band", OXT_I_TINT_NAMES);
    }
    word->index = -1;
    oxt_status status = read_thickness(&word->low_nm, object, "low_nm", 0.0, index, error);
    return status ? status
                  : read_thickness(&word->high_nm, object, "high_nm", word->low_nm, index, error);
}

static oxt_status read_word(oxt_words *words, const json_t *object, size_t index, oxt_error *error)
{
    oxt_word word = OXT_WORD_INIT;
    const json_t *text = json_object_get(object, "word");
    const char *expected = json_is_string(text)
                               ? oxt_i_words_refusal(words, json_string_value(text))
                               : "a text";
    if (expected)
        return bad(error, index, "word", expected);
    oxt_i_copy_text(word.word, sizeof word.word, json_string_value(text));
    oxt_status status = read_meaning(&word, object, index, error);
    if (!status && !oxt_i_words_append(words, &word))
        status = oxt_i_no_memory(error);
    return status;
}

oxt_status oxt_i_steel_read_words(oxt_steel *steel, const json_t *card, oxt_error *error)
{
    const json_t *array;
    oxt_status status = oxt_i_steel_read_list(&array, card, KEY, error);
    size_t count = json_array_size(array);
    if (status || count == 0)
        return status;
    steel->words = oxt_i_words_new();
    if (!steel->words)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < count && !status; i++)
        status = read_word(steel->words, json_array_get(array, i), i, error);
    return status;
}
