/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The columns and rows of a log of trials. */
#include <string.h>

#include "oxtint/colour.h"
#include "optics/tint.h"
#include "optics/words.h"
#include "thermal/heat.h"
#include "trials/trial_row.h"

_Static_assert(OXT_I_ROLE_OTHER <= OXT_I_CSV_MOST_ROLES, "too many roles");

#define NUMBER(field) (OXT_I_ROLE_NUMBERS + OXT_I_##field)

static const oxt_i_csv_word plain_names[] = {
    { "steel", OXT_I_ROLE_STEEL },
    { "finish", OXT_I_ROLE_FINISH },
    { "colour", OXT_I_ROLE_COLOUR },
    { "color", OXT_I_ROLE_COLOUR },
    { "L", NUMBER(LAB_L) },
    { "L*", NUMBER(LAB_L) },
    { "a", NUMBER(LAB_A) },
    { "a*", NUMBER(LAB_A) },
    { "b", NUMBER(LAB_B) },
    { "b*", NUMBER(LAB_B) },
    { "srgb", OXT_I_ROLE_SRGB },
    { "note", OXT_I_ROLE_NOTE },
    { "bath", NUMBER(BATH) },
    { "time", NUMBER(TIME) },
    { "thickness", NUMBER(THICKNESS) },
    { "part", NUMBER(PART) },
    { "shape", OXT_I_ROLE_SHAPE },
    { "day", OXT_I_ROLE_DAY },
    { "lifted", OXT_I_ROLE_LIFTED },
    { "start", NUMBER(START) },
    { "lift", NUMBER(LIFT) },
    { "bath_sd", NUMBER(BATH_SD) },
    { "time_sd", NUMBER(TIME_SD) },
    { "thickness_sd", NUMBER(THICKNESS_SD) },
    { "transfer_W_per_m2K", NUMBER(TRANSFER) },
    { "colour_tolerance", NUMBER(TOLERANCE) },
    { "color_tolerance", NUMBER(TOLERANCE) },
};

static const oxt_i_csv_unit unit_names[] = {
    OXT_I_CSV_TEMPERATURES("bath", NUMBER(BATH)),
    OXT_I_CSV_TIMES("time", NUMBER(TIME)),
    { "thickness", "nm", NUMBER(THICKNESS), 1.0, OXT_UNIT_KELVIN },
    { "thickness", "um", NUMBER(THICKNESS), 1e3, OXT_UNIT_KELVIN },
    { "part", "mm", NUMBER(PART), 1e-3, OXT_UNIT_KELVIN },
    { "part", "cm", NUMBER(PART), 1e-2, OXT_UNIT_KELVIN },
    { "part", "m", NUMBER(PART), 1.0, OXT_UNIT_KELVIN },
    { "part", "in", NUMBER(PART), 0.0254, OXT_UNIT_KELVIN },
    OXT_I_CSV_TEMPERATURES("start", NUMBER(START)),
    { "transfer", "W/m2K", NUMBER(TRANSFER), 1.0, OXT_UNIT_KELVIN },
    { "transfer", "W/(m2 K)", NUMBER(TRANSFER), 1.0, OXT_UNIT_KELVIN },
    { "lift", "s", NUMBER(LIFT), 1.0, OXT_UNIT_KELVIN },
    { "lift", "min", NUMBER(LIFT), 60.0, OXT_UNIT_KELVIN },
    /* a difference: a factor, and no zero of a scale */
    { "bath_sd", "K", NUMBER(BATH_SD), 1.0, OXT_UNIT_KELVIN },
    { "bath_sd", "C", NUMBER(BATH_SD), 1.0, OXT_UNIT_KELVIN },
    { "bath_sd", "F", NUMBER(BATH_SD), 5.0 / 9.0, OXT_UNIT_KELVIN },
    OXT_I_CSV_TIMES("time_sd", NUMBER(TIME_SD)),
    { "thickness_sd", "nm", NUMBER(THICKNESS_SD), 1.0, OXT_UNIT_KELVIN },
    { "thickness_sd", "um", NUMBER(THICKNESS_SD), 1e3, OXT_UNIT_KELVIN },
};

/* ---- header ---- */

/* What people write, and what it is here; common practice, no source. */
static const oxt_i_csv_hint hints[] = {
    { "temperature", "bath_F" },
    { "temperature_F", "bath_F" },
    { "temperature_C", "bath_C" },
    { "temp", "bath_F" },
    { "temp_F", "bath_F" },
    { "temp_C", "bath_C" },
    { "temperature (\xC2\xB0"
      "F)",
      "bath_F" },
    { "temperature (\xC2\xB0"
      "C)",
      "bath_C" },
    { "seconds", "time_s" },
    { "minutes", "time_min" },
    { "duration", "time_s" },
    { "duration_s", "time_s" },
    { "duration_min", "time_min" },
    { "hold", "time_s" },
    { "material", "steel" },
    { "alloy", "steel" },
    { "grade", "steel" },
    { "surface", "finish" },
    { "result", "colour" },
    { "tint", "colour" },
    { "thickness_mm", "part_mm" },
    { "thickness_in", "part_in" },
    { "thickness_cm", "part_cm" },
    { "size_mm", "part_mm" },
    { "size_in", "part_in" },
    { "size", "part" },
    { "diameter_mm", "part_mm" },
    { "diameter_in", "part_in" },
    { "diameter", "part" },
    { "film_nm", "thickness_nm" },
    { "date", "day" },
    { "batch", "day" },
    { "session", "day" },
    { "notes", "note" },
    { "remark", "note" },
    { "comment", "note" },
};

/* Let the log remember what becomes a note. */
static void keep_columns(oxt_i_csv *csv, oxt_i_trials_reading *into)
{
    size_t count;
    const oxt_i_csv_column *columns = oxt_i_csv_columns(csv, &count);
    for (size_t i = 0; i < count; i++) {
        if (columns[i].role != OXT_I_ROLE_OTHER || columns[i].name[0] == '\0')
            continue;
        oxt_fault kept = OXT_FAULT_INIT;
        oxt_i_sentence meant = oxt_i_csv_meant(csv, columns[i].name);
        kept.line = oxt_i_csv_header_line(csv);
        oxt_i_copy_text(kept.column, sizeof kept.column, columns[i].name);
        oxt_i_copy_text(kept.found, sizeof kept.found, columns[i].name);
        oxt_i_snprintf(kept.expected, sizeof kept.expected,
                       "a known column; it is kept as a note%s%s%s",
                       meant.text[0] ? "; did you mean " : "", meant.text,
                       meant.text[0] ? "?" : "");
        if (!oxt_i_trials_keep_column(into->log, &kept)) {
            oxt_i_csv_no_memory(csv);
            return;
        }
    }
}

static void check_header(oxt_i_csv *csv, void *context)
{
    size_t count;
    const oxt_i_csv_column *columns = oxt_i_csv_columns(csv, &count);
    if (count > 0 && columns[0].name[0] == '{') {
        oxt_i_csv_header_fault(csv, "", columns[0].name,
                               "a header such as steel,bath_F,time,colour; this looks like a card, "
                               "which is what a fit of a log makes");
        return;
    }
    oxt_i_csv_missing(csv, OXT_I_ROLE_STEEL, "steel", "a column steel");
    oxt_i_csv_missing(csv, NUMBER(BATH), "bath",
                      "a column bath_F, bath_C or bath_K, or bath with a scale in each cell");
    oxt_i_csv_missing(csv, NUMBER(TIME), "time",
                      "a column time_s, time_min or time_h, or time with a unit in each cell");
    oxt_i_trials_reading *into = context;
    for (size_t i = 0; i < count; i++)
        if (columns[i].role == NUMBER(BATH) && columns[i].has_unit)
            oxt_i_trials_note_unit(into->log, columns[i].scale);
    bool L = oxt_i_csv_has(csv, NUMBER(LAB_L)), a = oxt_i_csv_has(csv, NUMBER(LAB_A)),
         b = oxt_i_csv_has(csv, NUMBER(LAB_B)), lab = L && a && b;
    if (!lab && (L || a || b))
        oxt_i_csv_header_fault(csv, "L", "", "the columns L, a and b together");
    else if (!lab && !oxt_i_csv_has(csv, OXT_I_ROLE_COLOUR) &&
             !oxt_i_csv_has(csv, NUMBER(THICKNESS)) && !oxt_i_csv_has(csv, OXT_I_ROLE_SRGB))
        oxt_i_csv_missing(
            csv, OXT_I_ROLE_COLOUR, "colour",
            "a column for what was seen: colour, thickness_nm, L with a and b, or srgb");
    keep_columns(csv, into);
}

/* ---- rows ---- */

static oxt_status parse_nm(const char *text, double *thickness_nm, oxt_error *error)
{
    double length_m;
    oxt_status status = oxt_parse_length(text, &length_m, error);
    if (!status)
        *thickness_nm = length_m * 1e9;
    return status;
}

/* What reads a number with its unit; NULL for one that has no unit. */
static const oxt_i_csv_parser parsers[OXT_I_FIELDS] = {
    [OXT_I_BATH] = oxt_parse_temperature,
    [OXT_I_TIME] = oxt_parse_duration,
    [OXT_I_THICKNESS] = parse_nm,
    [OXT_I_PART] = oxt_parse_length,
    [OXT_I_START] = oxt_parse_temperature,
    [OXT_I_LIFT] = oxt_parse_duration,
    [OXT_I_BATH_SD] = oxt_parse_temperature_difference,
    [OXT_I_TIME_SD] = oxt_parse_duration,
    [OXT_I_THICKNESS_SD] = parse_nm,
};

bool oxt_i_field_is_plain(oxt_i_field field)
{
    return field < OXT_I_FIELDS && !parsers[field];
}

static bool is_given(const oxt_i_csv_row *row, int role)
{
    return *oxt_i_csv_cell(row, role) != '\0';
}

static void read_number(oxt_i_csv_row *row, oxt_i_field field, oxt_trial *trial)
{
    const int role = oxt_i_field_role(field);
    const oxt_i_csv_parser parse = parsers[field];
    const char *expected;
    double value = NAN;
    if (parse)
        value = oxt_i_csv_quantity(row, role, parse);
    else if (!oxt_i_csv_plain_number(row, role, &value))
        value = NAN;
    if (oxt_i_field_holds(field, value, &expected)) {
        oxt_i_field_set(trial, field, value);
        return;
    }
    if (field == OXT_I_THICKNESS && value > OXT_THICKNESS_HIGH_NM)
        expected = "the thickness of the film, above 0 and up to 1000 nm; the size of the coupon "
                   "belongs in a column part_mm or part";
    if (parse)
        oxt_i_csv_quantity_fault(row, role, parse, value, expected);
    else
        oxt_i_csv_row_fault(row, role, oxt_i_csv_cell(row, role), expected);
}

static void read_if_given(oxt_i_csv_row *row, oxt_i_field field, oxt_trial *trial)
{
    if (is_given(row, oxt_i_field_role(field)))
        read_number(row, field, trial);
}

static void read_name(oxt_i_csv_row *row, int role, char *into, size_t capacity)
{
    const char *text = oxt_i_csv_cell(row, role);
    if (strlen(text) >= capacity)
        oxt_i_csv_row_fault(row, role, text,
                            capacity < 64 ? "a text of at most 31 bytes"
                                          : "a name of at most 63 bytes");
    oxt_i_copy_text(into, capacity, text);
}

static void read_colour(oxt_i_csv_row *row, oxt_trial *trial, oxt_i_trials_reading *into)
{
    const char *text = oxt_i_csv_cell(row, OXT_I_ROLE_COLOUR);
    const oxt_words *words = oxt_i_trials_words(into->log);
    oxt_i_tint_word found;
    if (strlen(text) >= sizeof trial->colour || !oxt_i_tint_read(text, words, &found))
        oxt_i_csv_row_fault(row, OXT_I_ROLE_COLOUR, text,
                            oxt_i_tint_expected(text, words, &into->names_listed).text);
    oxt_i_copy_text(trial->colour, sizeof trial->colour, text);
}

static void read_srgb(oxt_i_csv_row *row, oxt_trial *trial)
{
    double srgb[3];
    const char *text = oxt_i_csv_cell(row, OXT_I_ROLE_SRGB);
    if (oxt_parse_srgb(text, srgb, NULL))
        oxt_i_csv_row_fault(row, OXT_I_ROLE_SRGB, text, "an sRGB colour such as #2b3a67");
    oxt_i_copy_text(trial->srgb, sizeof trial->srgb, text);
}

static void read_seen(oxt_i_csv_row *row, oxt_trial *trial, oxt_i_trials_reading *into)
{
    bool colour = is_given(row, OXT_I_ROLE_COLOUR), thickness = is_given(row, NUMBER(THICKNESS)),
         srgb = is_given(row, OXT_I_ROLE_SRGB),
         lab = is_given(row, NUMBER(LAB_L)) || is_given(row, NUMBER(LAB_A)) ||
               is_given(row, NUMBER(LAB_B));
    int given = colour + thickness + srgb + lab;
    if (given != 1) {
        oxt_i_csv_line_fault(
            row, given ? "more than one" : "",
            "exactly one thing seen: a colour, a thickness, L with a and b, or srgb");
    } else if (colour) {
        trial->seen = OXT_SEEN_COLOUR;
        read_colour(row, trial, into);
    } else if (thickness) {
        trial->seen = OXT_SEEN_THICKNESS;
        read_number(row, OXT_I_THICKNESS, trial);
    } else if (srgb) {
        trial->seen = OXT_SEEN_SRGB;
        read_srgb(row, trial);
    } else {
        trial->seen = OXT_SEEN_LAB;
        read_number(row, OXT_I_LAB_L, trial);
        read_number(row, OXT_I_LAB_A, trial);
        read_number(row, OXT_I_LAB_B, trial);
    }
}

static void read_shape(oxt_i_csv_row *row, oxt_trial *trial)
{
    const char *text = oxt_i_csv_cell(row, OXT_I_ROLE_SHAPE);
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++)
        if (oxt_i_same_word(text, oxt_i_shape_names[shape])) {
            trial->part_shape = (oxt_shape)shape;
            return;
        }
    oxt_i_csv_row_fault(row, OXT_I_ROLE_SHAPE, text, "a shape: plate, cylinder, sphere or any");
}

static void read_lifted(oxt_i_csv_row *row, oxt_trial *trial)
{
    const char *text = oxt_i_csv_cell(row, OXT_I_ROLE_LIFTED);
    for (int at = OXT_LIFTED_FIRST; at <= OXT_LIFTED_AFTER; at++)
        if (oxt_i_same_word(text, oxt_i_lifted_names[at])) {
            trial->lifted = (oxt_lifted)at;
            return;
        }
    oxt_i_csv_row_fault(row, OXT_I_ROLE_LIFTED, text,
                        "where in the colour it was lifted: first, middle, last or after");
}

static void read_start(oxt_i_csv_row *row, oxt_trial *trial)
{
    const char *expected;
    read_number(row, OXT_I_START, trial);
    oxt_i_field_holds(OXT_I_START, 0.0, &expected);
    if (trial->bath_K > 0.0 && trial->part_start_K > trial->bath_K)
        oxt_i_csv_row_fault(row, NUMBER(START), oxt_i_csv_cell(row, NUMBER(START)), expected);
}

/* What belongs to a coupon of a known size, and means nothing without it. */
static void read_part(oxt_i_csv_row *row, oxt_trial *trial)
{
    static const int needy[] = { OXT_I_ROLE_SHAPE, NUMBER(START), NUMBER(TRANSFER) };
    if (is_given(row, NUMBER(PART))) {
        read_number(row, OXT_I_PART, trial);
        if (is_given(row, OXT_I_ROLE_SHAPE))
            read_shape(row, trial);
        if (is_given(row, NUMBER(START)))
            read_start(row, trial);
        read_if_given(row, OXT_I_TRANSFER, trial);
        return;
    }
    for (size_t i = 0; i < OXT_I_COUNT(needy); i++)
        if (is_given(row, needy[i]))
            oxt_i_csv_row_fault(row, needy[i], oxt_i_csv_cell(row, needy[i]),
                                "the size of the coupon with it, in a column such as part_mm");
}

/* The note, and after it every other column that holds anything. */
static void read_note(const oxt_i_csv_row *row, oxt_i_text *note)
{
    oxt_i_text_add(note, "%s", oxt_i_csv_cell(row, OXT_I_ROLE_NOTE));
    size_t count;
    const oxt_i_csv_column *columns = oxt_i_csv_columns(row->csv, &count);
    for (size_t i = 0; i < count; i++) {
        const oxt_i_csv_column *column = &columns[i];
        if (column->role != OXT_I_ROLE_OTHER || row->cells[i][0] == '\0')
            continue;
        oxt_i_text_add(note, "%s%s%s%s", note->length ? "; " : "", column->name,
                       column->name[0] ? ": " : "", row->cells[i]);
    }
}

static bool read_row(oxt_i_csv_row *row, void *context)
{
    oxt_i_trials_reading *into = context;
    oxt_trial trial = OXT_TRIAL_INIT;
    trial.line = oxt_i_csv_line(row);
    if (!is_given(row, OXT_I_ROLE_STEEL))
        oxt_i_csv_row_fault(row, OXT_I_ROLE_STEEL, "", "the name of a steel");
    read_name(row, OXT_I_ROLE_STEEL, trial.steel, sizeof trial.steel);
    read_name(row, OXT_I_ROLE_FINISH, trial.finish, sizeof trial.finish);
    read_number(row, OXT_I_BATH, &trial);
    read_number(row, OXT_I_TIME, &trial);
    read_seen(row, &trial, into);
    read_part(row, &trial);
    for (oxt_i_field field = OXT_I_LIFT; field < OXT_I_FIELDS; field++)
        read_if_given(row, field, &trial);
    read_name(row, OXT_I_ROLE_DAY, trial.day, sizeof trial.day);
    if (is_given(row, OXT_I_ROLE_LIFTED))
        read_lifted(row, &trial);
    if (!row->good)
        return true;
    oxt_i_text note = { 0 };
    read_note(row, &note);
    bool kept = !note.failed && oxt_i_trials_append(into->log, &trial, note.data, NULL) == OXT_OK;
    oxt_i_trials_note_unit(into->log, oxt_i_scale_of(oxt_i_csv_cell(row, NUMBER(BATH))));
    oxt_i_text_free(&note);
    return kept;
}

/* ---- plain lines ---- */

static bool start_plain(const oxt_i_csv *csv, oxt_i_trials_reading *into)
{
    size_t count;
    const oxt_i_csv_column *columns = oxt_i_csv_columns(csv, &count);
    if (!oxt_i_row_start(&into->maker, into->log))
        return false; /* the reader runs out of memory too, and reports it */
    oxt_i_cells_clear(&into->cells);
    for (size_t i = 0; i < count; i++) {
        into->fields[i] = oxt_i_role_field(columns[i].role);
        into->maker.has_stated = into->maker.has_stated || oxt_i_role_is_stated(columns[i].role);
    }
    into->started = true;
    return true;
}

/* A text, which is mostly that of the line before; false when memory ran out. */
static bool take_text(int role, const oxt_i_csv_piece *cell, oxt_i_trials_reading *into)
{
    if (cell->length == into->last[role].length &&
        memcmp(cell->text, into->last[role].text, cell->length) == 0)
        return true;
    if (!oxt_i_cell_text(&into->maker, role, cell->text, cell->length, &into->cells.text[role])) {
        into->last[role].length = SIZE_MAX; /* what stands in the cell is no text */
        return false;
    }
    bool kept = cell->length < sizeof into->last[role].text;
    if (kept)
        memcpy(into->last[role].text, cell->text, cell->length);
    into->last[role].length = kept ? cell->length : SIZE_MAX;
    return true;
}

/* One cell into `cells`; false when it is for the reader. */
static bool take_plain(const oxt_i_csv *csv, const oxt_i_csv_column *column,
                       const oxt_i_csv_piece *cell, oxt_i_field field, oxt_i_trials_reading *into)
{
    if (column->role == OXT_I_ROLE_OTHER)
        return cell->length == 0;
    if (field == OXT_I_FIELDS)
        return take_text(column->role, cell, into);
    into->cells.number[field] = NAN;
    if (cell->length == 0)
        return true;
    return (column->has_unit || oxt_i_field_is_plain(field)) &&
           oxt_i_csv_quick_number(csv, column, cell, &into->cells.number[field]);
}

static bool read_plain_line(const oxt_i_csv *csv, const oxt_i_csv_piece *cells, size_t line,
                            void *context)
{
    oxt_i_trials_reading *into = context;
    size_t count;
    const oxt_i_csv_column *columns = oxt_i_csv_columns(csv, &count);
    if (!into->started && !start_plain(csv, into))
        return false;
    into->cells.line = line;
    for (size_t i = 0; i < count; i++)
        if (!take_plain(csv, &columns[i], &cells[i], into->fields[i], into))
            return false;
    return oxt_i_row_take(&into->maker, &into->cells) == OXT_I_ROW_TAKEN;
}

static size_t count_rows(const void *context)
{
    const oxt_i_trials_reading *into = context;
    return oxt_trials_count(into->log);
}

/* Where there is no room, the rows find out. */
static void expect_rows(void *context, size_t more)
{
    const oxt_i_trials_reading *into = context;
    (void)oxt_i_log_reserve(into->log, more);
}

const oxt_i_csv_kind oxt_i_trials_kind = {
    .words = plain_names,
    .word_count = OXT_I_COUNT(plain_names),
    .units = unit_names,
    .unit_count = OXT_I_COUNT(unit_names),
    .roles = OXT_I_ROLE_OTHER,
    .hints = hints,
    .hint_count = OXT_I_COUNT(hints),
    .check_header = check_header,
    .read_row = read_row,
    .read_plain = read_plain_line,
    .count = count_rows,
    .expect = expect_rows,
    .least = 1,
    .least_text = "at least one trial",
};

oxt_status oxt_trials_read_csv(oxt_trials **trials, const char *path, const char *text,
                               size_t length, const oxt_words *words, oxt_faults **faults,
                               oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    const oxt_i_csv_source source = { path, text, length };
    if (trials)
        *trials = NULL;
    oxt_status status = oxt_i_csv_check(&source, trials, "trials", faults, error);
    if (!status)
        status = oxt_trials_new(trials, words, error);
    if (status)
        return status;
    oxt_i_trials_reading into = { .log = *trials };
    status = oxt_i_csv_read(&oxt_i_trials_kind, &into, &source, faults, error);
    if (status) {
        oxt_trials_free(*trials);
        *trials = NULL;
    }
    return status;
}

oxt_status oxt_trials_csv_separator(char *separator, const char *text, size_t length,
                                    const char *const *columns, size_t column_count,
                                    oxt_faults **faults, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_csv_word words[OXT_I_CSV_MOST_ROLES];
    const oxt_i_csv_source source = { NULL, text, length };
    oxt_status status = oxt_i_csv_check(&source, separator, "separator", faults, error);
    if (!status && !columns)
        status = oxt_i_null(error, "columns");
    if (!status)
        status = oxt_i_check(error, "column_count", (double)column_count, 1.0, OXT_I_CSV_MOST_ROLES,
                             OXT_I_CLOSED);
    for (size_t i = 0; i < column_count && !status; i++) {
        words[i] = (oxt_i_csv_word){ columns[i], (int)i };
        if (!columns[i])
            status = oxt_i_null(error, "columns");
    }
    return status ? status
                  : oxt_i_csv_separator(separator, &source, words, column_count, faults, error);
}
