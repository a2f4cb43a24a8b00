/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A shop's own words for colours. */
#include "base/csv_table.h"
#include "optics/tint.h"
#include "optics/words.h"

#include <stdlib.h>
#include <string.h>

struct oxt_words {
    oxt_word *list;
    size_t count, capacity;
};

size_t oxt_words_count(const oxt_words *words)
{
    return words ? words->count : 0;
}

oxt_status oxt_words_get(const oxt_words *words, size_t index, oxt_word *word, oxt_error *error)
{
    if (!words || !word)
        return oxt_i_null(error, words ? "word" : "words");
    if (index >= words->count)
        return oxt_i_fail(error, OXT_EARG, "index", (double)index, 0.0, (double)words->count - 1.0,
                          "index is %zu, but there are %zu words", index, words->count);
    return OXT_I_STRUCT_OUT(oxt_word, word, &words->list[index], "word", error);
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
    for (size_t i = 0; i < oxt_words_count(words); i++) {
        oxt_i_key_of(words->list[i].word, &other);
        if (strcmp(key.text, other.text) == 0)
            return &words->list[i];
    }
    return NULL;
}

const oxt_word *oxt_i_words_of_band(const oxt_words *words, int band)
{
    for (size_t i = 0; i < oxt_words_count(words); i++)
        if (words->list[i].index == band)
            return &words->list[i];
    return NULL;
}

const oxt_word *oxt_i_words_of_thickness(const oxt_words *words, double thickness_nm)
{
    for (size_t i = 0; i < oxt_words_count(words); i++) {
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
    if (oxt_words_count(words) == 0)
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
        return "a word that stands in no line before";
    if (oxt_words_count(words) >= OXT_WORDS_MOST)
        return "at most 256 words";
    return NULL;
}

bool oxt_i_words_append(oxt_words *words, const oxt_word *word)
{
    if (words->count == words->capacity) {
        size_t capacity = 2 * words->capacity + 16;
        oxt_word *list = realloc(words->list, capacity * sizeof *list);
        if (!list)
            return false;
        words->list = list;
        words->capacity = capacity;
    }
    words->list[words->count++] = *word;
    return true;
}

/* ---- reading ---- */

enum { WORD, BAND, LOW, HIGH, OTHER };

static const oxt_i_csv_word columns[] = { { "word", WORD }, { "band", BAND } };

static const oxt_i_csv_unit units[] = { { "low", "nm", LOW, 1.0, OXT_UNIT_KELVIN },
                                        { "high", "nm", HIGH, 1.0, OXT_UNIT_KELVIN } };

static const oxt_i_csv_hint hints[] = {
    { "name", "word" },
    { "colour", "word" },
    { "color", "word" },
    { "means", "band" },
};

typedef struct {
    oxt_words *words;
    bool names_listed;
} reading;

static void check_header(oxt_i_csv *csv, void *context)
{
    (void)context;
    oxt_i_csv_missing(csv, WORD, "word", "a column word");
    bool low = oxt_i_csv_has(csv, LOW), high = oxt_i_csv_has(csv, HIGH);
    if (low != high)
        oxt_i_csv_header_fault(csv, low ? "high_nm" : "low_nm", "", "low_nm and high_nm together");
    else if (!low)
        oxt_i_csv_missing(csv, BAND, "band", "a column band, or low_nm and high_nm");
}

static void read_name(oxt_i_csv_row *row, const oxt_words *words, oxt_word *word)
{
    const char *text = oxt_i_csv_cell(row, WORD);
    const char *expected = oxt_i_words_refusal(words, text);
    if (expected)
        oxt_i_csv_row_fault(row, WORD, text, expected);
    oxt_i_copy_text(word->word, sizeof word->word, text);
}

static void read_thickness(oxt_i_csv_row *row, int role, double least_nm, double *thickness_nm)
{
    if (!oxt_i_csv_plain_number(row, role, thickness_nm) || !(*thickness_nm > least_nm) ||
        *thickness_nm > OXT_THICKNESS_HIGH_NM)
        oxt_i_csv_row_fault(row, role, oxt_i_csv_cell(row, role),
                            role == LOW ? "a thickness above 0 and up to 1000 nm"
                                        : "a thickness above low_nm and up to 1000 nm");
}

static void read_meaning(oxt_i_csv_row *row, reading *into, oxt_word *word)
{
    const char *band = oxt_i_csv_has(row->csv, BAND) ? oxt_i_csv_cell(row, BAND) : "";
    bool ranged = oxt_i_csv_has(row->csv, LOW) &&
                  (*oxt_i_csv_cell(row, LOW) || *oxt_i_csv_cell(row, HIGH));
    if ((*band != '\0') == ranged) {
        oxt_i_csv_line_fault(row, ranged ? "both" : "",
                             "either a band, or a thickness from low_nm to high_nm");
    } else if (ranged) {
        word->index = -1;
        read_thickness(row, LOW, 0.0, &word->low_nm);
        read_thickness(row, HIGH, word->low_nm, &word->high_nm);
    } else {
        oxt_i_tint_word found = { 0, -1, true, 0.0, 0.0 };
        oxt_i_nearest nearest = oxt_i_tint_nearest(band);
        if (!oxt_i_tint_read_name(band, &found))
            oxt_i_csv_row_fault(
                row, BAND, band,
                oxt_i_tint_expected_of(&nearest, OXT_I_TINT_NAMES, &into->names_listed).text);
        word->index = found.band;
    }
}

static bool read_row(oxt_i_csv_row *row, void *context)
{
    reading *into = context;
    oxt_word word = OXT_WORD_INIT;
    word.line = oxt_i_csv_line(row);
    read_name(row, into->words, &word);
    read_meaning(row, into, &word);
    return !row->good || oxt_i_words_append(into->words, &word);
}

static size_t count_rows(const void *context)
{
    const reading *into = context;
    return into->words->count;
}

static const oxt_i_csv_kind kind = {
    .words = columns,
    .word_count = OXT_I_COUNT(columns),
    .units = units,
    .unit_count = OXT_I_COUNT(units),
    .roles = OTHER,
    .hints = hints,
    .hint_count = OXT_I_COUNT(hints),
    .check_header = check_header,
    .read_row = read_row,
    .count = count_rows,
    .least = 1,
    .least_text = "at least one word",
};

oxt_status oxt_words_read_csv(oxt_words **words, const char *path, const char *text, size_t length,
                              oxt_faults **faults, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    const oxt_i_csv_source source = { path, text, length };
    if (words)
        *words = NULL;
    oxt_status status = oxt_i_csv_check(&source, words, "words", faults, error);
    if (status)
        return status;
    reading into = { oxt_i_words_new(), false };
    if (!into.words)
        return oxt_i_no_memory(error);
    status = oxt_i_csv_read(&kind, &into, &source, faults, error);
    if (status)
        oxt_words_free(into.words);
    else
        *words = into.words;
    return status;
}
