/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The columns and rows of a logged temperature. */
#include <stdlib.h>

#include "base/csv_table.h"
#include "growth/history.h"

enum { TIME, TEMPERATURE, OTHER };

static const oxt_i_csv_word words[] = { { "time", TIME }, { "temperature", TEMPERATURE } };

static const oxt_i_csv_unit units[] = { OXT_I_CSV_TIMES("time", TIME),
                                        OXT_I_CSV_TEMPERATURES("temperature", TEMPERATURE) };

typedef struct {
    oxt_history *history;
    double longest_gap_s;
    bool timed; /* a time has been read */
    bool whole; /* also on the line before, so that a gap can be found */
    double last_s;
} reading;

static const oxt_i_csv_hint hints[] = {
    { "seconds", "time_s" },       { "minutes", "time_min" },     { "elapsed_s", "time_s" },
    { "temp", "temperature" },     { "temp_F", "temperature_F" }, { "temp_C", "temperature_C" },
    { "bath_F", "temperature_F" }, { "bath_C", "temperature_C" },
};

static void check_header(oxt_i_csv *csv, void *context)
{
    (void)context;
    oxt_i_csv_missing(csv, TIME, "time", "a column time_s, time_min or time_h");
    oxt_i_csv_missing(csv, TEMPERATURE, "temperature",
                      "a column temperature_F, temperature_C or temperature_K");
}

/* A time that does not follow leaves the last one as it was, so that one slip is one fault. */
static void read_time(oxt_i_csv_row *row, reading *into, double *time_s)
{
    char sentence[120];
    *time_s = oxt_i_csv_quantity(row, TIME, oxt_parse_duration);
    bool after_whole = into->whole;
    into->whole = false;
    if (!oxt_i_time_holds(*time_s)) {
        oxt_i_csv_quantity_fault(row, TIME, oxt_parse_duration, *time_s,
                                 "a time from -1e12 s to 1e12 s");
        return;
    }
    if (into->timed && *time_s <= into->last_s) {
        oxt_i_snprintf(sentence, sizeof sentence, "a time after %s s, that of the line before",
                       oxt_i_shortest(into->last_s).text);
        oxt_i_csv_row_fault(row, TIME, oxt_i_csv_cell(row, TIME), sentence);
        return;
    }
    if (after_whole && into->longest_gap_s > 0.0 && *time_s - into->last_s > into->longest_gap_s) {
        oxt_i_snprintf(sentence, sizeof sentence, "a time at most %g s after %s s",
                       into->longest_gap_s, oxt_i_shortest(into->last_s).text);
        oxt_i_csv_row_fault(row, TIME, oxt_i_csv_cell(row, TIME), sentence);
    }
    into->timed = into->whole = true;
    into->last_s = *time_s;
}

static bool read_row(oxt_i_csv_row *row, void *context)
{
    reading *into = context;
    oxt_i_sample sample;
    read_time(row, into, &sample.time_s);
    sample.temperature_K = oxt_i_csv_quantity(row, TEMPERATURE, oxt_parse_temperature);
    if (!oxt_i_sample_temperature_holds(sample.temperature_K))
        oxt_i_csv_quantity_fault(row, TEMPERATURE, oxt_parse_temperature, sample.temperature_K,
                                 "a temperature from 200 K to 1300 K (-73 C to 1026 C, -99 F to "
                                 "1880 F)");
    return !row->good || oxt_i_history_append(into->history, sample);
}

static size_t count_rows(const void *context)
{
    const reading *into = context;
    return into->history->count;
}

static const oxt_i_csv_kind kind = {
    .words = words,
    .word_count = OXT_I_COUNT(words),
    .units = units,
    .unit_count = OXT_I_COUNT(units),
    .roles = OTHER,
    .hints = hints,
    .hint_count = OXT_I_COUNT(hints),
    .check_header = check_header,
    .read_row = read_row,
    .count = count_rows,
    .least = 2,
    .least_text = "at least two samples",
};

oxt_status oxt_history_read_csv(oxt_history **history, const char *path, const char *text,
                                size_t length, double longest_gap_s, oxt_faults **faults,
                                oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    const oxt_i_csv_source source = { path, text, length };
    if (history)
        *history = NULL;
    oxt_status status = oxt_i_csv_check(&source, history, "history", faults, error);
    if (!status)
        status = oxt_i_check_gap(longest_gap_s, error);
    if (status)
        return status;
    reading into = { .history = calloc(1, sizeof *into.history), .longest_gap_s = longest_gap_s };
    if (!into.history)
        return oxt_i_no_memory(error);
    status = oxt_i_csv_read(&kind, &into, &source, faults, error);
    if (status)
        oxt_history_free(into.history);
    else
        *history = into.history;
    return status;
}
