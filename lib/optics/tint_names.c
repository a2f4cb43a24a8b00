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
    switch (index) {
    case PURPLE:
        return PURPLE_2;
    case BLUE:
        return BLUE_2;
    case YELLOW_2:
        return STRAW;
    case PURPLE_2:
        return PURPLE;
    case BLUE_2:
        return BLUE;
    default:
        return -1;
    }
}

/* Other words of the trade, each with the band that it stands for (docs/tint.md). Common practice, no
 * source: what one shop calls bronze another calls brown. */
static const struct {
    const char *word;
    int band;
} synonyms[] = {
    { "bare", BRIGHT },
    { "bare steel", BRIGHT },
    { "bright steel", BRIGHT },
    { "very pale straw", FAINT_STRAW },
    { "pale straw", FAINT_STRAW },
    { "light straw", FAINT_STRAW },
    { "very pale yellow", FAINT_STRAW },
    { "pale yellow", FAINT_STRAW },
    { "light yellow", FAINT_STRAW },
    { "faint yellow", FAINT_STRAW },
    { "light gold", FAINT_STRAW },
    { "pale gold", FAINT_STRAW },
    { "straw yellow", STRAW },
    { "golden straw", STRAW },
    { "gold", STRAW },
    { "golden", STRAW },
    { "golden yellow", STRAW },
    { "deep straw", DARK_STRAW },
    { "deep yellow", DARK_STRAW },
    { "dark yellow", DARK_STRAW },
    { "deep gold", DARK_STRAW },
    { "dark gold", DARK_STRAW },
    { "yellow brown", BROWN },
    { "brown yellow", BROWN },
    { "golden brown", BROWN },
    { "light brown", BROWN },
    { "dark brown", BROWN },
    { "red brown", BROWN },
    { "reddish brown", BROWN },
    { "purple brown", BROWN },
    { "bronze", BROWN },
    { "copper", BROWN },
    { "violet", PURPLE },
    { "plum", PURPLE },
    { "brown purple", PURPLE },
    { "red purple", PURPLE },
    { "reddish purple", PURPLE },
    { "light purple", PURPLE },
    { "full purple", PURPLE },
    { "dark purple", PURPLE },
    { "deep purple", PURPLE },
    { "bluish purple", DARK_BLUE },
    { "blue violet", DARK_BLUE },
    { "very dark blue", DARK_BLUE },
    { "deep blue", DARK_BLUE },
    { "midnight blue", DARK_BLUE },
    { "navy blue", DARK_BLUE },
    { "navy", DARK_BLUE },
    { "full blue", BLUE },
    { "bright blue", BLUE },
    { "medium blue", BLUE },
    { "mid blue", BLUE },
    { "cornflower blue", BLUE },
    { "pale blue", LIGHT_BLUE },
    { "sky blue", LIGHT_BLUE },
    { "faint blue", LIGHT_BLUE },
    { "greenish blue", LIGHT_BLUE },
    { "blue grey", SILVER },
    { "grey blue", LIGHT_BLUE },
    { "blue gray", SILVER },
    { "gray blue", LIGHT_BLUE },
    { "silver grey", SILVER },
    { "silver gray", SILVER },
    { "pale grey", SILVER },
    { "pale gray", SILVER },
    { "light grey", SILVER },
    { "light gray", SILVER },
    { "grey", SILVER },
    { "gray", SILVER },
};

/* The words of an order, as they stand before or after the colour; the longer ones first. */
static const struct {
    const char *word;
    int order;
} order_words[] = {
    { "firstorder", 1 },  { "1storder", 1 }, { "first", 1 },  { "1st", 1 },
    { "secondorder", 2 }, { "2ndorder", 2 }, { "second", 2 }, { "2nd", 2 },
};

static bool has_key(const oxt_i_key *key, const char *word)
{
    oxt_i_key other;
    oxt_i_key_of(word, &other);
    return strcmp(key->text, other.text) == 0;
}

/* Cut the order off a key; 0 when it states none. */
static int take_order(oxt_i_key *key)
{
    for (size_t i = 0; i < OXT_I_COUNT(order_words); i++) {
        size_t length = strlen(order_words[i].word);
        if (length > key->length)
            continue;
        char *end = key->text + key->length - length;
        if (strncmp(key->text, order_words[i].word, length) == 0)
            memmove(key->text, key->text + length, key->length - length + 1);
        else if (strcmp(end, order_words[i].word) == 0)
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
        if (has_key(key, oxt_i_tint_name(i)))
            return i == YELLOW_2 ? STRAW : i; /* the trade calls the first order's yellow straw */
    for (size_t i = 0; i < OXT_I_COUNT(synonyms); i++)
        if (has_key(key, synonyms[i].word))
            return synonyms[i].band;
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
    bool yellow = order == 0 && has_key(&key, "yellow");
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
    for (size_t i = 0; i < OXT_I_COUNT(synonyms); i++)
        oxt_i_tint_try(&nearest, synonyms[i].word);
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
