/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The trade names of colours, without any film. */
#include <string.h>

#include "optics/tint.h"

enum {
    BRIGHT,
    FAINT_STRAW,
    STRAW,
    DARK_STRAW,
    BROWN,
    PURPLE,
    DARK_BLUE,
    BLUE,
    LIGHT_BLUE,
    SILVER,
    YELLOW_2,
    RED_2,
    PURPLE_2,
    BLUE_2,
    GREEN_2
};

_Static_assert(GREEN_2 + 1 == OXT_TINT_COUNT, "a band without a name");

#define SECOND "second-order "

static const char *const labels[OXT_TINT_COUNT] = {
    "bright",        "faint straw", "straw",         "dark straw",  "brown",
    "purple",        "dark blue",   "blue",          "light blue",  "silver",
    SECOND "yellow", SECOND "red",  SECOND "purple", SECOND "blue", SECOND "green",
};

const char *oxt_i_tint_label(int band)
{
    return labels[band];
}

int oxt_i_tint_order(int band)
{
    return band < OXT_I_FIRST_OF_SECOND ? 1 : 2;
}

const char *oxt_i_tint_name(int band)
{
    return labels[band] + (oxt_i_tint_order(band) == 2 ? sizeof SECOND - 1 : 0);
}

int oxt_i_tint_other(int index)
{
    static const signed char others[OXT_TINT_COUNT] = { [PURPLE] = PURPLE_2,
                                                        [BLUE] = BLUE_2,
                                                        [YELLOW_2] = STRAW,
                                                        [PURPLE_2] = PURPLE,
                                                        [BLUE_2] = BLUE };
    return others[index] ? others[index] : -1; /* 0, bright, is the other of none */
}

/* Other words of the trade for each band (docs/reference/tint.md), as many as there are. Common practice, no source: what one
 * shop calls bronze another calls brown. */
static const char *const synonyms[YELLOW_2][10] = {
    [BRIGHT] = { "bare", "bare steel", "bright steel" },
    [FAINT_STRAW] = { "very pale straw", "pale straw", "light straw", "very pale yellow",
                      "pale yellow", "light yellow", "faint yellow", "light gold", "pale gold" },
    [STRAW] = { "straw yellow", "golden straw", "gold", "golden", "golden yellow" },
    [DARK_STRAW] = { "deep straw", "deep yellow", "dark yellow", "deep gold", "dark gold" },
    [BROWN] = { "yellow brown", "brown yellow", "golden brown", "light brown", "dark brown",
                "red brown", "reddish brown", "purple brown", "bronze", "copper" },
    [PURPLE] = { "violet", "plum", "brown purple", "red purple", "reddish purple", "light purple",
                 "full purple", "dark purple", "deep purple" },
    [DARK_BLUE] = { "bluish purple", "blue violet", "very dark blue", "deep blue", "midnight blue",
                    "navy blue", "navy" },
    [BLUE] = { "full blue", "bright blue", "medium blue", "mid blue", "cornflower blue" },
    [LIGHT_BLUE] = { "pale blue", "sky blue", "faint blue", "greenish blue", "grey blue",
                     "gray blue" },
    [SILVER] = { "blue grey", "blue gray", "silver grey", "silver gray", "pale grey", "pale gray",
                 "light grey", "light gray", "grey", "gray" },
};

/* The words of an order, as they stand before or after the colour; the longer ones first. */
static const struct {
    const char *word;
    int order;
} order_words[] = {
    { "firstorder", 1 },  { "1storder", 1 }, { "first", 1 },  { "1st", 1 },
    { "secondorder", 2 }, { "2ndorder", 2 }, { "second", 2 }, { "2nd", 2 },
};

/* Cut the order off a key; 0 when it states none. */
static int take_order(oxt_i_key *key)
{
    for (size_t i = 0; i < OXT_I_COUNT(order_words); i++) {
        size_t length = strlen(order_words[i].word);
        if (length > key->length)
            continue;
        char *end = key->text + key->length - length;
        if (*key->text == *order_words[i].word &&
            strncmp(key->text, order_words[i].word, length) == 0)
            memmove(key->text, key->text + length, key->length - length + 1);
        else if (*end == *order_words[i].word && strcmp(end, order_words[i].word) == 0)
            *end = '\0';
        else
            continue;
        key->length -= length;
        return order_words[i].order;
    }
    return 0;
}

/* The band of a word that states no order, -1 for none: the first one where there are two. */
static int find_band(const oxt_i_key *key)
{
    for (int i = 0; i < OXT_TINT_COUNT; i++)
        if (oxt_i_is_key(key, oxt_i_tint_name(i)))
            return i == YELLOW_2 ? STRAW : i; /* the trade calls the first order's yellow straw */
    for (int i = 0; i < YELLOW_2; i++)
        for (size_t j = 0; j < OXT_I_COUNT(synonyms[i]) && synonyms[i][j]; j++)
            if (oxt_i_is_key(key, synonyms[i][j]))
                return i;
    return -1;
}

/* The band of the second order with the colour of one, -1 for none. */
static int in_second_order(int band)
{
    if (oxt_i_tint_order(band) == 2)
        return band;
    return band == STRAW ? YELLOW_2 : oxt_i_tint_other(band);
}

bool oxt_i_tint_read_name(const char *text, oxt_i_tint_word *found)
{
    oxt_i_key key;
    oxt_i_key_of(text, &key);
    int order = take_order(&key), band = find_band(&key);
    if (band < 0 || (order == 1 && oxt_i_tint_order(band) == 2))
        return false;
    bool yellow = order == 0 && oxt_i_is_key(&key, "yellow");
    if (order == 2 && (band = in_second_order(band)) < 0)
        return false;
    *found = (oxt_i_tint_word){ band, yellow ? YELLOW_2 : oxt_i_tint_other(band), true, 0.0, 0.0 };
    /* a name that occurs once states its order */
    found->stated = order != 0 || found->other < 0;
    return true;
}

/* ---- words that are none ---- */

void oxt_i_tint_try(oxt_i_nearest *nearest, const char *word)
{
    oxt_i_key other;
    oxt_i_key_of(word, &other);
    size_t edits = oxt_i_edits(nearest->key.text, other.text);
    if (edits < nearest->edits) {
        nearest->edits = edits;
        oxt_i_copy_text(nearest->word, sizeof nearest->word, word);
    }
}

oxt_i_nearest oxt_i_tint_nearest(const char *text)
{
    oxt_i_nearest nearest = { { "", 0 }, 0, "" };
    oxt_i_key_of(text, &nearest.key);
    nearest.edits = oxt_i_edits_allowed(nearest.key.length) + 1;
    for (size_t i = 0; i < OXT_TINT_COUNT; i++)
        oxt_i_tint_try(&nearest, labels[i]);
    for (size_t i = 0; i < YELLOW_2; i++)
        for (size_t j = 0; j < OXT_I_COUNT(synonyms[i]) && synonyms[i][j]; j++)
            oxt_i_tint_try(&nearest, synonyms[i][j]);
    return nearest;
}

oxt_i_sentence oxt_i_tint_expected_of(const oxt_i_nearest *nearest, const char *names, bool *listed)
{
    oxt_i_sentence sentence;
    bool found = nearest->word[0] != '\0';
    if (found)
        oxt_i_snprintf(sentence.text, sizeof sentence.text, "a trade name; did you mean '%s'?",
                       nearest->word);
    else if (*listed)
        oxt_i_copy_text(sentence.text, sizeof sentence.text, "a trade name, as listed above");
    else
        oxt_i_snprintf(sentence.text, sizeof sentence.text, "a trade name: %s", names);
    *listed = *listed || !found;
    return sentence;
}
