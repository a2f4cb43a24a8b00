/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a log from CSV: all of it, or all of its faults. */
#include <csv.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "internal.h"

#define MOST_FAULTS 1000 /* kept; further ones are only counted */
#define MOST_COLUMNS 256
#define MOST_LINE_BYTES (1 << 20) /* longest line, so that no file can eat all memory */

struct oxt_faults {
    size_t count, kept, capacity;
    oxt_fault *list;
};

/* ---- faults ---- */

void oxt_fault_init(oxt_fault *fault)
{
    if (fault)
        *fault = (oxt_fault)OXT_FAULT_INIT;
}

size_t oxt_faults_count(const oxt_faults *faults)
{
    return faults ? faults->count : 0;
}

oxt_status oxt_faults_get(const oxt_faults *faults, size_t index, oxt_fault *fault,
                          oxt_error *error)
{
    if (!faults || !fault)
        return oxt_i_null(error, faults ? "fault" : "faults");
    if (index >= faults->kept)
        return oxt_i_fail(error, OXT_EARG, "index", (double)index, 0.0, (double)faults->kept,
                          "index is %zu, but %zu faults are kept", index, faults->kept);
    return oxt_i_struct_out(fault, &faults->list[index], sizeof *fault, sizeof *fault, "fault",
                            error);
}

void oxt_faults_free(oxt_faults *faults)
{
    if (!faults)
        return;
    free(faults->list);
    free(faults);
}

static void describe(oxt_i_text *text, const oxt_fault *fault)
{
    if (fault->line)
        oxt_i_text_add(text, "line %zu, ", fault->line);
    if (fault->column[0])
        oxt_i_text_add(text, "column %s: ", fault->column);
    oxt_i_text_add(text, "found %s%s%s, expected %s", fault->found[0] ? "'" : "",
                   fault->found[0] ? fault->found : "nothing", fault->found[0] ? "'" : "",
                   fault->expected);
}

oxt_status oxt_faults_report(const oxt_faults *faults, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    if (!faults)
        return oxt_i_null(error, "faults");
    oxt_i_text text = { 0 };
    for (size_t i = 0; i < faults->kept; i++) {
        describe(&text, &faults->list[i]);
        oxt_i_text_add(&text, "\n");
    }
    if (faults->count > faults->kept)
        oxt_i_text_add(&text, "and %zu more\n", faults->count - faults->kept);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}

/* ---- the reader ---- */

typedef enum {
    STEEL,
    FINISH,
    BATH,
    TIME,
    COLOUR,
    THICKNESS,
    LAB_L,
    LAB_A,
    LAB_B,
    SRGB,
    NOTE,
    OTHER, /* kept as a note; the last, so that it counts the roles above */
} csv_role;

typedef struct {
    csv_role role;
    bool has_unit;              /* false: each cell states its own */
    double factor;              /* of the unit, to s or nm */
    oxt_temperature_unit scale; /* of a bath */
    char name[48];              /* as the header writes it */
} csv_column;

typedef struct {
    struct csv_parser parser;
    oxt_trials *trials;
    oxt_faults *faults;
    oxt_status status; /* OXT_ENOMEM, or OXT_OK */
    bool stopped;      /* nothing more can be read */

    csv_column columns[MOST_COLUMNS];
    size_t column_count;
    int column_of[OTHER]; /* -1: none */
    bool header_done, header_good;

    oxt_i_text fields; /* of the current record, each with a NUL */
    size_t field_count;
    bool has_nul; /* a field holds a NUL byte */

    size_t line;        /* of the byte being fed, from 1 */
    size_t record_line; /* where the current record began */
    size_t record_bytes;
    bool in_record; /* a quoted field is open across lines */
    bool row_done;  /* the parser has just finished a record */
    bool line_started, line_blank, skipping, after_cr;
} reader;

static void add_fault(reader *csv, size_t line, const char *column_name, const char *found,
                      const char *expected)
{
    oxt_faults *faults = csv->faults;
    faults->count++;
    if (faults->kept == MOST_FAULTS)
        return;
    if (faults->kept == faults->capacity) {
        size_t capacity = 2 * faults->capacity + 16;
        oxt_fault *list = realloc(faults->list, capacity * sizeof *list);
        if (!list) {
            csv->status = OXT_ENOMEM;
            return;
        }
        faults->list = list;
        faults->capacity = capacity;
    }
    oxt_fault *fault = &faults->list[faults->kept++];
    *fault = (oxt_fault)OXT_FAULT_INIT;
    fault->line = line;
    oxt_i_copy_text(fault->column, sizeof fault->column, oxt_i_quoted(column_name).text);
    oxt_i_copy_text(fault->found, sizeof fault->found, oxt_i_quoted(found).text);
    oxt_i_copy_text(fault->expected, sizeof fault->expected, expected);
}

static const char *next_field(const char *field)
{
    return field + strlen(field) + 1;
}

/* ---- header ---- */

static const struct {
    const char *word;
    csv_role role;
} plain_names[] = {
    { "steel", STEEL },  { "finish", FINISH }, { "colour", COLOUR },
    { "color", COLOUR }, { "L", LAB_L },       { "L*", LAB_L },
    { "a", LAB_A },      { "a*", LAB_A },      { "b", LAB_B },
    { "b*", LAB_B },     { "srgb", SRGB },     { "note", NOTE },
    { "bath", BATH },    { "time", TIME },     { "thickness", THICKNESS },
};

static const struct {
    const char *quantity, *unit;
    csv_role role;
    double factor;
    oxt_temperature_unit scale;
} unit_names[] = {
    { "bath", "K", BATH, 1.0, OXT_KELVIN },
    { "bath", "C", BATH, 1.0, OXT_CELSIUS },
    { "bath", "F", BATH, 1.0, OXT_FAHRENHEIT },
    { "bath",
      "\xC2\xB0"
      "C",
      BATH, 1.0, OXT_CELSIUS },
    { "bath",
      "\xC2\xB0"
      "F",
      BATH, 1.0, OXT_FAHRENHEIT },
    { "time", "s", TIME, 1.0, OXT_KELVIN },
    { "time", "min", TIME, 60.0, OXT_KELVIN },
    { "time", "h", TIME, 3600.0, OXT_KELVIN },
    { "thickness", "nm", THICKNESS, 1.0, OXT_KELVIN },
    { "thickness", "um", THICKNESS, 1e3, OXT_KELVIN },
};

/* Split "bath_F", "bath (F)" and "bath [F]" into a quantity and a unit; false for a name without a
 * unit. */
static bool split_unit(const char *name, char quantity[48], char unit[48])
{
    oxt_i_copy_text(quantity, 48, name);
    char *open = strpbrk(quantity, "([");
    char *start = open ? open : strrchr(quantity, '_');
    if (!start)
        return false;
    oxt_i_copy_text(unit, 48, start + 1);
    *start = '\0';
    for (size_t n = strlen(quantity); n > 0 && quantity[n - 1] == ' '; n--)
        quantity[n - 1] = '\0';
    size_t length = strlen(unit);
    if (open && (length == 0 || !strchr(")]", unit[length - 1])))
        return false;
    if (open)
        unit[length - 1] = '\0';
    return true;
}

static void recognise(csv_column *column)
{
    char quantity[48], unit[48];
    column->role = OTHER;
    column->has_unit = false;
    for (size_t i = 0; i < OXT_I_COUNT(plain_names); i++)
        if (oxt_i_same_word(column->name, plain_names[i].word))
            column->role = plain_names[i].role;
    if (column->role != OTHER || !split_unit(column->name, quantity, unit))
        return;
    for (size_t i = 0; i < OXT_I_COUNT(unit_names); i++)
        if (oxt_i_same_word(quantity, unit_names[i].quantity) &&
            oxt_i_same_word(unit, unit_names[i].unit)) {
            column->role = unit_names[i].role;
            column->has_unit = true;
            column->factor = unit_names[i].factor;
            column->scale = unit_names[i].scale;
        }
}

static bool has(const reader *csv, csv_role role)
{
    return csv->column_of[role] >= 0;
}

static void check_header(reader *csv, const char *whole)
{
    size_t line = csv->record_line;
    if (csv->column_count == 1 && strchr(whole, ';')) {
        add_fault(csv, line, "", whole, "columns separated by commas, not semicolons");
        return;
    }
    if (!has(csv, STEEL))
        add_fault(csv, line, "steel", "", "a column steel");
    if (!has(csv, BATH))
        add_fault(csv, line, "bath", "", "a column bath_F, bath_C or bath_K");
    if (!has(csv, TIME))
        add_fault(csv, line, "time", "", "a column time_s, time_min or time_h");
    bool lab = has(csv, LAB_L) && has(csv, LAB_A) && has(csv, LAB_B);
    if (!lab && (has(csv, LAB_L) || has(csv, LAB_A) || has(csv, LAB_B)))
        add_fault(csv, line, "L", "", "the columns L, a and b together");
    else if (!lab && !has(csv, COLOUR) && !has(csv, THICKNESS) && !has(csv, SRGB))
        add_fault(csv, line, "colour", "",
                  "a column for what was seen: colour, thickness_nm, L with a and b, or srgb");
}

static void read_header(reader *csv)
{
    size_t faults_before = csv->faults->count;
    csv->header_done = true;
    for (int i = 0; i < OTHER; i++)
        csv->column_of[i] = -1;
    if (csv->field_count > MOST_COLUMNS) {
        add_fault(csv, csv->record_line, "", "too many columns", "at most 256 columns");
        csv->field_count = MOST_COLUMNS;
    }
    const char *field = csv->fields.data;
    for (size_t i = 0; i < csv->field_count; i++, field = next_field(field)) {
        csv_column *column = &csv->columns[i];
        oxt_i_copy_text(column->name, sizeof column->name, field);
        recognise(column);
        if (!oxt_i_is_utf8(field, strlen(field)))
            add_fault(csv, csv->record_line, "", field, "UTF-8 text");
        if (column->role == OTHER)
            continue;
        if (csv->column_of[column->role] >= 0)
            add_fault(csv, csv->record_line, column->name, field,
                      "only one column for this quantity");
        csv->column_of[column->role] = (int)i;
    }
    csv->column_count = csv->field_count;
    check_header(csv, csv->fields.data);
    csv->header_good = csv->faults->count == faults_before;
    csv->stopped = !csv->header_good;
}

/* ---- rows ---- */

typedef struct {
    reader *csv;
    const char *cells[MOST_COLUMNS]; /* "" where the line is too short */
    bool good;
} csv_row;

static const char *cell(const csv_row *row, csv_role role)
{
    int at = row->csv->column_of[role];
    return at < 0 ? "" : row->cells[at];
}

static const char *column_name(const csv_row *row, csv_role role)
{
    int at = row->csv->column_of[role];
    return at < 0 ? "" : row->csv->columns[at].name;
}

static void row_fault(csv_row *row, csv_role role, const char *found, const char *expected)
{
    row->good = false;
    add_fault(row->csv, row->csv->record_line, column_name(row, role), found, expected);
}

static bool whole_number(const char *text, double *value)
{
    const char *rest = text;
    return oxt_i_read_number(&rest, value) && rest[strspn(rest, " \t")] == '\0';
}

static void read_plain(csv_row *row, csv_role role, oxt_i_field field, double *result)
{
    const char *text = cell(row, role), *expected;
    double value;
    bool known = whole_number(text, &value);
    if (!oxt_i_field_holds(field, known ? value : NAN, &expected))
        row_fault(row, role, text, expected);
    else
        *result = value;
}

/* A quantity whose unit the header states, or else the cell. */
static void read_quantity(csv_row *row, csv_role role, oxt_i_field field, double *result)
{
    typedef oxt_status (*parse_function)(const char *, double *, oxt_error *);
    const parse_function parse = role == BATH   ? oxt_parse_temperature
                                 : role == TIME ? oxt_parse_duration
                                                : oxt_parse_length;
    const csv_column *column = &row->csv->columns[row->csv->column_of[role]];
    const char *text = cell(row, role), *expected;
    double value = NAN;
    if (!column->has_unit) {
        if (parse(text, &value, NULL) == OXT_OK && role == THICKNESS)
            value *= 1e9;
    } else if (whole_number(text, &value)) {
        value = role == BATH ? oxt_i_kelvin_from(value, column->scale) : value * column->factor;
    } else {
        value = NAN;
    }
    if (oxt_i_field_holds(field, value, &expected)) {
        *result = value;
        return;
    }
    char sentence[200];
    oxt_i_snprintf(sentence, sizeof sentence, "%s%s", expected,
                   !isnan(value)      ? ""
                   : column->has_unit ? ", written as a plain number"
                                      : ", written with its unit");
    row_fault(row, role, text, sentence);
}

static void read_name(csv_row *row, csv_role role, char *into, size_t capacity)
{
    const char *text = cell(row, role);
    if (strlen(text) >= capacity)
        row_fault(row, role, text, "a name of at most 63 bytes");
    oxt_i_copy_text(into, capacity, text);
}

static void read_colour(csv_row *row, oxt_trial *trial)
{
    const char *text = cell(row, COLOUR);
    bool stated;
    if (strlen(text) >= sizeof trial->colour || oxt_i_tint_parse(text, &stated) < 0)
        row_fault(row, COLOUR, text, "a trade name: " OXT_I_TINT_NAMES);
    oxt_i_copy_text(trial->colour, sizeof trial->colour, text);
}

static void read_srgb(csv_row *row, oxt_trial *trial)
{
    double srgb[3];
    const char *text = cell(row, SRGB);
    if (oxt_parse_srgb(text, srgb, NULL))
        row_fault(row, SRGB, text, "an sRGB colour such as #2b3a67");
    oxt_i_copy_text(trial->srgb, sizeof trial->srgb, text);
}

static void read_lab(csv_row *row, oxt_trial *trial)
{
    read_plain(row, LAB_L, OXT_I_LAB_L, &trial->lab[0]);
    read_plain(row, LAB_A, OXT_I_LAB_A, &trial->lab[1]);
    read_plain(row, LAB_B, OXT_I_LAB_B, &trial->lab[2]);
}

static void read_seen(csv_row *row, oxt_trial *trial)
{
    bool colour = *cell(row, COLOUR), thickness = *cell(row, THICKNESS), srgb = *cell(row, SRGB);
    bool lab = *cell(row, LAB_L) || *cell(row, LAB_A) || *cell(row, LAB_B);
    int given = colour + thickness + srgb + lab;
    if (given != 1) {
        row->good = false;
        add_fault(row->csv, row->csv->record_line, "", given ? "more than one" : "",
                  "exactly one thing seen: a colour, a thickness, L with a and b, or srgb");
        return;
    }
    if (colour) {
        trial->seen = OXT_SEEN_COLOUR;
        read_colour(row, trial);
    } else if (thickness) {
        trial->seen = OXT_SEEN_THICKNESS;
        read_quantity(row, THICKNESS, OXT_I_THICKNESS, &trial->thickness_nm);
    } else if (srgb) {
        trial->seen = OXT_SEEN_SRGB;
        read_srgb(row, trial);
    } else {
        trial->seen = OXT_SEEN_LAB;
        read_lab(row, trial);
    }
}

/* The note, and after it every other column that holds anything. */
static void read_note(const csv_row *row, oxt_i_text *note)
{
    oxt_i_text_add(note, "%s", cell(row, NOTE));
    for (size_t i = 0; i < row->csv->column_count; i++) {
        const csv_column *column = &row->csv->columns[i];
        if (column->role != OTHER || row->cells[i][0] == '\0')
            continue;
        oxt_i_text_add(note, "%s%s%s%s", note->length ? "; " : "", column->name,
                       column->name[0] ? ": " : "", row->cells[i]);
    }
}

/* Point at the cells of the record; false when there is nothing in it. */
static bool take_cells(reader *csv, csv_row *row)
{
    bool any = false;
    const char *field = csv->fields.data;
    for (size_t i = 0; i < csv->field_count; i++, field = next_field(field)) {
        any = any || *field;
        if (i < csv->column_count)
            row->cells[i] = field;
        else if (*field)
            row->good = false;
        if (i < csv->column_count && !oxt_i_is_utf8(field, strlen(field))) {
            row->good = false;
            add_fault(csv, csv->record_line, csv->columns[i].name, field, "UTF-8 text");
        }
    }
    for (size_t i = csv->field_count; i < csv->column_count; i++)
        row->cells[i] = "";
    return any;
}

static void read_row(reader *csv)
{
    csv_row row;
    row.csv = csv;
    row.good = true;
    if (!take_cells(csv, &row))
        return;
    if (csv->field_count > csv->column_count && !row.good)
        add_fault(csv, csv->record_line, "", "more fields than the header has columns",
                  "a comma inside a field to be in quotes");
    oxt_trial trial = OXT_TRIAL_INIT;
    trial.line = csv->record_line;
    if (*cell(&row, STEEL) == '\0')
        row_fault(&row, STEEL, "", "the name of a steel");
    read_name(&row, STEEL, trial.steel, sizeof trial.steel);
    read_name(&row, FINISH, trial.finish, sizeof trial.finish);
    read_quantity(&row, BATH, OXT_I_BATH, &trial.bath_K);
    read_quantity(&row, TIME, OXT_I_TIME, &trial.time_s);
    read_seen(&row, &trial);
    if (!row.good)
        return;
    oxt_i_text note = { 0 };
    read_note(&row, &note);
    if (note.failed || oxt_i_trials_append(csv->trials, &trial, note.data, NULL))
        csv->status = OXT_ENOMEM;
    oxt_i_text_free(&note);
}

/* ---- callbacks of the parser ---- */

static void on_field(void *text, size_t length, void *context)
{
    reader *csv = context;
    csv->has_nul = csv->has_nul || (length && memchr(text, '\0', length));
    oxt_i_text_add_bytes(&csv->fields, length ? text : "", length);
    oxt_i_text_add_bytes(&csv->fields, "", 1);
    csv->field_count++;
}

static void forget_record(reader *csv)
{
    csv->fields.length = 0;
    csv->field_count = 0;
    csv->has_nul = false;
    csv->record_bytes = 0;
    csv->in_record = false;
}

static void on_record(int terminator, void *context)
{
    reader *csv = context;
    (void)terminator;
    csv->row_done = true;
    if (csv->fields.failed)
        csv->status = OXT_ENOMEM;
    else if (csv->stopped || csv->status)
        ;
    else if (csv->has_nul) {
        add_fault(csv, csv->record_line, "", "a NUL byte", "UTF-8 text");
        csv->stopped = !csv->header_done; /* without a header no row can be read */
    } else if (csv->header_done)
        read_row(csv);
    else
        read_header(csv);
    forget_record(csv);
}

/* ---- feeding ---- */

static bool start_parser(reader *csv)
{
    if (csv_init(&csv->parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return false;
    csv_set_blk_size(&csv->parser, 16384); /* a long field grows by this much at a time */
    return true;
}

static void parser_failed(reader *csv)
{
    if (csv_error(&csv->parser) != CSV_EPARSE) {
        csv->status = OXT_ENOMEM;
        return;
    }
    add_fault(csv, csv->record_line, "", "a stray quote",
              "quotes around a whole field, and quotes inside it doubled");
    /* A broken header leaves nothing to read the rows by. */
    csv->stopped = csv->stopped || !csv->header_done;
    csv_free(&csv->parser);
    if (!start_parser(csv))
        csv->status = OXT_ENOMEM;
    forget_record(csv);
    csv->skipping = true;
}

/* Feed a piece that lies within one line; `ends` when its last byte ends the line. */
static void feed_piece(reader *csv, const char *piece, size_t length, bool ends)
{
    if (!csv->line_started) {
        csv->line_started = true;
        csv->skipping = !csv->in_record && piece[0] == '#';
        if (!csv->in_record)
            csv->record_line = csv->line;
        csv->row_done = false;
        csv->line_blank = true;
    }
    for (size_t i = 0; i < length; i++)
        csv->line_blank = csv->line_blank && strchr(" \t\r\n", piece[i]) && piece[i];
    if (!csv->skipping) {
        csv->record_bytes += length;
        if (csv->record_bytes > MOST_LINE_BYTES) {
            add_fault(csv, csv->record_line, "", "a line without end", "lines of at most 1 MiB");
            csv->stopped = true;
            return;
        }
        if (csv_parse(&csv->parser, piece, length, on_field, on_record, csv) != length)
            parser_failed(csv);
    }
    if (!ends)
        return;
    /* No record at the end of a line that held something: a quoted field goes on. */
    csv->in_record = !csv->skipping && !csv->row_done && (csv->in_record || !csv->line_blank);
    if (!csv->in_record)
        csv->record_bytes = 0;
    csv->line_started = false;
    csv->skipping = false;
    csv->line++;
}

/* Lines end in LF, CR LF or CR. */
static void feed(reader *csv, const char *text, size_t length)
{
    size_t start = 0;
    for (size_t i = 0; i < length && !csv->stopped && !csv->status; i++) {
        bool ends = text[i] == '\n' || text[i] == '\r';
        if (text[i] == '\n' && csv->after_cr) {
            /* second half of CR LF: the line was counted already */
            if (csv->in_record)
                csv_parse(&csv->parser, text + i, 1, on_field, on_record, csv);
            start = i + 1;
        } else if (ends || i + 1 == length) {
            feed_piece(csv, text + start, i + 1 - start, ends);
            start = i + 1;
        }
        csv->after_cr = text[i] == '\r';
    }
}

static void finish(reader *csv)
{
    if (!csv->stopped && !csv->status && csv_fini(&csv->parser, on_field, on_record, csv) != 0) {
        if (csv_error(&csv->parser) == CSV_EPARSE)
            add_fault(csv, csv->record_line, "", "a quote that is never closed", "a closing quote");
        else
            csv->status = OXT_ENOMEM;
    }
    if (csv->status || csv->faults->count > 0)
        return;
    if (!csv->header_done)
        add_fault(csv, 0, "", "", "a header line and at least one trial");
    else if (oxt_trials_count(csv->trials) == 0)
        add_fault(csv, 0, "", "only a header", "at least one trial below it");
}

static oxt_status faults_error(const reader *csv, const char *path, oxt_error *error)
{
    const oxt_fault *first = &csv->faults->list[0];
    oxt_i_text text = { 0 };
    describe(&text, first);
    const char *story = text.failed ? "" : text.data;
    if (csv->faults->count == 1)
        oxt_i_fail_text(error, OXT_EPARSE, path, "%s: %s", path, story);
    else
        oxt_i_fail_text(error, OXT_EPARSE, path, "%s: %zu faults, the first: %s", path,
                        csv->faults->count, story);
    oxt_i_text_free(&text);
    oxt_i_locate(error, first->line, first->column);
    return OXT_EPARSE;
}

/* ---- the two sources ---- */

static void free_reader(reader *csv)
{
    if (!csv)
        return;
    csv_free(&csv->parser);
    oxt_i_text_free(&csv->fields);
    oxt_trials_free(csv->trials);
    oxt_faults_free(csv->faults);
    free(csv);
}

static reader *new_reader(void)
{
    reader *csv = calloc(1, sizeof *csv);
    if (!csv)
        return NULL;
    csv->line = csv->record_line = 1;
    csv->faults = calloc(1, sizeof *csv->faults);
    if (!start_parser(csv) || !csv->faults || oxt_trials_new(&csv->trials, NULL)) {
        free_reader(csv);
        return NULL;
    }
    return csv;
}

/* Hand over what was read, and free the rest. */
static oxt_status deliver(reader *csv, const char *path, oxt_trials **trials, oxt_faults **faults,
                          oxt_error *error)
{
    finish(csv);
    oxt_status status = csv->status ? oxt_i_no_memory(error) : OXT_OK;
    if (!status && csv->faults->count > 0) {
        status = faults_error(csv, path, error);
        if (faults) {
            *faults = csv->faults;
            csv->faults = NULL;
        }
    }
    if (!status) {
        *trials = csv->trials;
        csv->trials = NULL;
    }
    free_reader(csv);
    return status;
}

/* The first bytes tell an encoding; `skip` is how many of them are a mark to be left out. */
static void check_mark(reader *csv, const char *text, size_t length, size_t *skip)
{
    *skip = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    if (length >= 2 && (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0)) {
        add_fault(csv, 1, "", "UTF-16", "a file saved as UTF-8");
        csv->stopped = true;
    }
}

static oxt_status start(oxt_trials **trials, const void *source, const char *name,
                        oxt_faults **faults, oxt_error *error)
{
    if (faults)
        *faults = NULL;
    if (trials)
        *trials = NULL;
    return trials && source ? OXT_OK : oxt_i_null(error, trials ? name : "trials");
}

oxt_status oxt_trials_read_csv(oxt_trials **trials, const char *path, oxt_faults **faults,
                               oxt_error *error)
{
    oxt_status status = start(trials, path, "path", faults, error);
    if (status)
        return status;
    FILE *stream = fopen(path, "rbe");
    if (!stream)
        return oxt_i_io_error(error, path, "read", errno);
    reader *csv = new_reader();
    if (!csv) {
        fclose(stream);
        return oxt_i_no_memory(error);
    }
    char block[16384];
    size_t got;
    bool first = true;
    while (!csv->stopped && !csv->status && (got = fread(block, 1, sizeof block, stream)) > 0) {
        size_t skip = 0;
        if (first)
            check_mark(csv, block, got, &skip);
        first = false;
        feed(csv, block + skip, got - skip);
    }
    if (ferror(stream))
        status = oxt_i_io_error(error, path, "read", errno);
    fclose(stream);
    if (status) {
        free_reader(csv);
        return status;
    }
    return deliver(csv, path, trials, faults, error);
}

oxt_status oxt_trials_read_csv_text(oxt_trials **trials, const char *text, size_t length,
                                    oxt_faults **faults, oxt_error *error)
{
    oxt_status status = start(trials, text, "text", faults, error);
    if (status)
        return status;
    reader *csv = new_reader();
    if (!csv)
        return oxt_i_no_memory(error);
    size_t skip;
    check_mark(csv, text, length, &skip);
    feed(csv, text + skip, length - skip);
    return deliver(csv, "text", trials, faults, error);
}
