/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The columns and rows of a shop's words. */
#include "base/csv_table.h"
#include "optics/tint.h"
#include "optics/words.h"

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
        if (!oxt_i_tint_read_name(band, &found)) {
            oxt_i_nearest nearest = oxt_i_tint_nearest(band);
            oxt_i_csv_row_fault(
                row, BAND, band,
                oxt_i_tint_expected_of(&nearest, OXT_I_TINT_NAMES, &into->names_listed).text);
        }
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
    return oxt_i_words_count(into->words);
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
