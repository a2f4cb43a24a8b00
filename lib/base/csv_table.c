/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading a CSV file with a header line: all of it, or all of its faults. */
#include "base/csv_table.h"

#include <csv.h>
#include <errno.h>
#include <float.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/system.h"

#define MOST_LINE_BYTES (1 << 20) /* longest line, so that no file can eat all memory */

/* The first cell of a kind, for messages. */
typedef struct {
    size_t line; /* 0: there is none */
    char column[48], text[32];
} cell_place;

struct oxt_i_csv {
    struct csv_parser parser;
    char separator;      /* 0 until the header is read */
    bool separator_only; /* nothing else is asked for */
    oxt_i_text head;     /* the line that may be the header, until then */
    /* Numbers with a comma and with a point, and of either those that may be whole: 1,250 and 1.250. */
    cell_place comma, point, long_comma, long_point;

    const oxt_i_csv_kind *kind;
    void *context;
    oxt_faults *faults;
    oxt_status status; /* OXT_ENOMEM, or OXT_OK */
    bool stopped;      /* nothing more can be read */

    oxt_i_csv_column columns[OXT_I_CSV_MOST_COLUMNS];
    size_t column_count;
    int column_of[OXT_I_CSV_MOST_ROLES]; /* -1: none */
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
    bool is_table; /* rows of a table in memory, which have a number and no line */
};

static void add_fault(oxt_i_csv *csv, size_t line, const char *column_name, const char *found,
                      const char *expected)
{
    oxt_fault fault = OXT_FAULT_INIT;
    fault.line = csv->is_table ? 0 : line;
    fault.row = csv->is_table ? line : 0;
    oxt_i_copy_text(fault.column, sizeof fault.column, oxt_i_quoted(column_name).text);
    oxt_i_copy_text(fault.found, sizeof fault.found, oxt_i_quoted(found).text);
    oxt_i_copy_text(fault.expected, sizeof fault.expected, expected);
    if (!oxt_i_faults_add(csv->faults, &fault))
        csv->status = OXT_ENOMEM;
}

static const char *next_field(const char *field)
{
    return field + strlen(field) + 1;
}

static const struct {
    char separator;
    const char *one, *many;
} separators[] = { { ',', "comma", "commas" },
                   { ';', "semicolon", "semicolons" },
                   { '\t', "tab", "tabs" } };

static const char *separator_word(const oxt_i_csv *csv)
{
    for (size_t i = 0; i < OXT_I_COUNT(separators); i++)
        if (separators[i].separator == csv->separator)
            return separators[i].one;
    return separators[0].one;
}

/* Text that is UTF-8, and without a mark that only the start of a file has. */
static bool check_bytes(oxt_i_csv *csv, const char *column_name, const char *field)
{
    if (!oxt_i_is_utf8(field, strlen(field)))
        add_fault(csv, csv->record_line, column_name, field,
                  "UTF-8 text; a spreadsheet saves it as 'CSV UTF-8'");
    else if (strstr(field, OXT_I_BYTE_ORDER_MARK))
        add_fault(csv, csv->record_line, column_name, field,
                  "no byte-order mark (U+FEFF) within the file; delete what cannot be seen here");
    else
        return true;
    return false;
}

/* ---- header ---- */

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

static void recognise(const oxt_i_csv_kind *kind, oxt_i_csv_column *column)
{
    static const char degree_sign[] = "\xC2\xB0"; /* U+00B0 */
    char quantity[48], unit_name[48];
    const char *unit = unit_name;
    column->role = kind->roles;
    column->has_unit = false;
    for (size_t i = 0; i < kind->word_count; i++)
        if (oxt_i_same_word(column->name, kind->words[i].word))
            column->role = kind->words[i].role;
    if (column->role != kind->roles || !split_unit(column->name, quantity, unit_name))
        return;
    if (strncmp(unit, degree_sign, 2) == 0 && strchr("CcFf", unit[2]))
        unit += 2;
    for (size_t i = 0; i < kind->unit_count; i++)
        if (oxt_i_same_word(quantity, kind->units[i].quantity) &&
            oxt_i_same_word(unit, kind->units[i].unit)) {
            column->role = kind->units[i].role;
            column->has_unit = true;
            column->factor = kind->units[i].factor;
            column->scale = kind->units[i].scale;
        }
}

bool oxt_i_csv_has(const oxt_i_csv *csv, int role)
{
    return csv->column_of[role] >= 0;
}

void oxt_i_csv_header_fault(oxt_i_csv *csv, const char *column, const char *found,
                            const char *expected)
{
    add_fault(csv, csv->record_line, column, found, expected);
}

/* ---- columns that were meant ---- */

typedef struct {
    const oxt_i_csv *csv;
    const oxt_i_key *key;
    size_t least;
    oxt_i_sentence name;
    int role;
} near_column;

/* As words are compared; brackets of either kind are no matter. */
static void column_key(const char *name, oxt_i_key *key)
{
    char plain[64];
    oxt_i_copy_text(plain, sizeof plain, name);
    for (char *letter = plain; *letter; letter++)
        if (strchr("[]/", *letter))
            *letter = ' ';
    oxt_i_key_of(plain, key);
}

static void try_column(near_column *found, const char *word, const char *column, int role)
{
    oxt_i_key key;
    column_key(word, &key);
    if (role < found->csv->kind->roles && oxt_i_csv_has(found->csv, role))
        return;
    size_t edits = oxt_i_edits(found->key->text, key.text);
    if (key.length < 3 ? edits > 0 : edits >= found->least)
        return;
    found->least = edits;
    found->role = role;
    oxt_i_copy_text(found->name.text, sizeof found->name.text, column);
}

static int role_of(const oxt_i_csv_kind *kind, const char *name)
{
    oxt_i_csv_column column;
    oxt_i_copy_text(column.name, sizeof column.name, name);
    recognise(kind, &column);
    return column.role;
}

static near_column find_near(const oxt_i_csv *csv, const char *name)
{
    const oxt_i_csv_kind *kind = csv->kind;
    oxt_i_key key;
    column_key(name, &key);
    near_column found = { csv, &key, oxt_i_edits_allowed(key.length) + 1, { "" }, kind->roles };
    for (size_t i = 0; i < kind->hint_count; i++)
        try_column(&found, kind->hints[i].word, kind->hints[i].column,
                   role_of(kind, kind->hints[i].column));
    for (size_t i = 0; i < kind->unit_count; i++) {
        char column[64];
        oxt_i_snprintf(column, sizeof column, "%s_%s", kind->units[i].quantity,
                       kind->units[i].unit);
        try_column(&found, column, column, kind->units[i].role);
    }
    for (size_t i = 0; i < kind->word_count; i++)
        try_column(&found, kind->words[i].word, kind->words[i].word, kind->words[i].role);
    found.key = NULL;
    return found;
}

oxt_i_sentence oxt_i_csv_meant(const oxt_i_csv *csv, const char *column)
{
    return find_near(csv, column).name;
}

void oxt_i_csv_missing(oxt_i_csv *csv, int role, const char *column, const char *expected)
{
    if (oxt_i_csv_has(csv, role))
        return;
    const char *found = "";
    char sentence[200];
    oxt_i_copy_text(sentence, sizeof sentence, expected);
    for (size_t i = 0; i < csv->column_count && !*found; i++) {
        const oxt_i_csv_column *other = &csv->columns[i];
        near_column near = { 0 };
        if (other->role == csv->kind->roles && other->name[0])
            near = find_near(csv, other->name);
        if (!near.csv || near.role != role)
            continue;
        found = other->name;
        oxt_i_snprintf(sentence, sizeof sentence, "%s; did you mean %s?", expected, near.name.text);
    }
    oxt_i_csv_header_fault(csv, column, found, sentence);
}

size_t oxt_i_csv_header_line(const oxt_i_csv *csv)
{
    return csv->record_line;
}

bool oxt_i_csv_no_memory(oxt_i_csv *csv)
{
    csv->status = OXT_ENOMEM;
    return false;
}

static void take_column(oxt_i_csv *csv, size_t i, const char *name)
{
    oxt_i_csv_column *column = &csv->columns[i];
    oxt_i_copy_text(column->name, sizeof column->name, name);
    recognise(csv->kind, column);
    check_bytes(csv, "", name);
    if (column->role == csv->kind->roles)
        return;
    if (csv->column_of[column->role] >= 0)
        add_fault(csv, csv->record_line, column->name, name, "only one column for this quantity");
    csv->column_of[column->role] = (int)i;
}

/* The first `count` columns of `given` are there to be taken. */
static size_t start_header(oxt_i_csv *csv, size_t given)
{
    csv->header_done = true;
    for (int i = 0; i < csv->kind->roles; i++)
        csv->column_of[i] = -1;
    if (given <= OXT_I_CSV_MOST_COLUMNS)
        return given;
    add_fault(csv, csv->record_line, "", "too many columns", "at most 256 columns");
    return OXT_I_CSV_MOST_COLUMNS;
}

static void finish_header(oxt_i_csv *csv, size_t count)
{
    csv->column_count = count;
    csv->kind->check_header(csv, csv->context);
    csv->header_good = oxt_faults_count(csv->faults) == 0;
    csv->stopped = !csv->header_good;
}

static void read_header(oxt_i_csv *csv)
{
    size_t count = start_header(csv, csv->field_count);
    const char *field = csv->fields.data;
    for (size_t i = 0; i < count; i++, field = next_field(field))
        take_column(csv, i, field);
    finish_header(csv, count);
}

/* ---- plain numbers ---- */

/* Up to 15 digits and these powers of ten are exact, and so one division rounds once: W. D. Clinger, PLDI 1990. */
static const double powers_of_ten[] = { 1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                        1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15 };

/* Past the digits at a place; `number` goes on with them. */
static const char *take_digits(const char *at, const char *end, uint64_t *number)
{
    uint64_t made = *number;
    for (; at < end && *at >= '0' && *at <= '9'; at++)
        made = 10 * made + (uint64_t)(*at - '0');
    *number = made;
    return at;
}

/* What oxt_i_read_number makes of the whole cell, to the last bit. */
static bool plain_number(const oxt_i_csv *csv, const oxt_i_csv_piece *cell, double *value)
{
    const char *at = cell->text, *end = at + cell->length;
    uint64_t number = 0;
    if (FLT_EVAL_METHOD != 0 || cell->length > 17 || cell->length == 0)
        return false;
    bool negative = *at == '-';
    at += negative;
    const char *first = at;
    at = take_digits(at, end, &number);
    size_t whole = (size_t)(at - first), decimals = 0;
    if (whole == 0)
        return false;
    if (at < end && *at == '.') {
        const char *point = at;
        at = take_digits(point + 1, end, &number);
        decimals = (size_t)(at - point) - 1;
        /* what a point means for all numbers is remembered by the long way */
        bool may_be_thousands = whole <= 3 && *first != '0' && decimals == 3;
        if (decimals == 0 || !(may_be_thousands ? csv->long_point.line : csv->point.line))
            return false;
    }
    if (at < end || whole + decimals > 15)
        return false;
    double made = (double)number / powers_of_ten[decimals];
    *value = negative ? -made : made;
    return true;
}

bool oxt_i_csv_quick_number(const oxt_i_csv *csv, const oxt_i_csv_column *column,
                            const oxt_i_csv_piece *cell, double *value)
{
    if (!plain_number(csv, cell, value))
        return false;
    if (column->has_unit)
        *value = column->factor == 0.0 ? oxt_i_kelvin_from(*value, column->scale)
                                       : *value * column->factor;
    return true;
}

/* ---- rows ---- */

const oxt_i_csv_column *oxt_i_csv_columns(const oxt_i_csv *csv, size_t *count)
{
    *count = csv->column_count;
    return csv->columns;
}

size_t oxt_i_csv_line(const oxt_i_csv_row *row)
{
    return row->csv->is_table ? 0 : row->csv->record_line;
}

const char *oxt_i_csv_cell(const oxt_i_csv_row *row, int role)
{
    int at = row->csv->column_of[role];
    return at < 0 ? "" : row->cells[at];
}

void oxt_i_csv_row_fault(oxt_i_csv_row *row, int role, const char *found, const char *expected)
{
    int at = row->csv->column_of[role];
    row->good = false;
    if (at >= 0 && row->bad_bytes[at])
        return;
    add_fault(row->csv, row->csv->record_line, at < 0 ? "" : row->csv->columns[at].name, found,
              expected);
}

void oxt_i_csv_line_fault(oxt_i_csv_row *row, const char *found, const char *expected)
{
    row->good = false;
    add_fault(row->csv, row->csv->record_line, "", found, expected);
}

static bool is_plain_number(const char *text, double *value)
{
    const char *rest = text;
    return oxt_i_read_number(&rest, value) && rest[strspn(rest, " \t")] == '\0';
}

/* ---- decimal commas ---- */

/* A cell with a decimal point. */
typedef struct {
    char text[64];
} number_cell;

static void remember(const oxt_i_csv_row *row, int role, cell_place *place)
{
    if (place->line || (row->is_number && row->is_number[row->csv->column_of[role]]))
        return;
    place->line = row->csv->record_line;
    oxt_i_copy_text(place->column, sizeof place->column,
                    row->csv->columns[row->csv->column_of[role]].name);
    oxt_i_copy_text(place->text, sizeof place->text, oxt_i_csv_cell(row, role));
}

/* Whether a mark may group thousands: 1,250 and 12.500, but not 0.125, 1,25 or 1234.567. */
static bool may_group(const char *text, const char *mark)
{
    static const char digits[] = "0123456789";
    const char *start = mark;
    while (start > text && strchr(digits, start[-1]))
        start--;
    return mark - start <= 3 && *start != '0' && strspn(mark + 1, digits) == 3;
}

/* What a mark between digits means for all numbers of the file is judged at its end (check_marks). */
static number_cell with_point(const oxt_i_csv_row *row, int role)
{
    number_cell cell;
    const char *text = oxt_i_csv_cell(row, role);
    oxt_i_copy_text(cell.text, sizeof cell.text, text);
    const char *mark = strpbrk(text, ",.");
    bool is_mark = mark && mark > text && mark[1] >= '0' && mark[1] <= '9';
    if (!is_mark || strpbrk(mark + 1, ",.") || strlen(text) >= sizeof cell.text)
        return cell;
    cell.text[mark - text] = '.';
    bool whole = may_group(text, mark);
    if (*mark == ',')
        remember(row, role, whole ? &row->csv->long_comma : &row->csv->comma);
    else
        remember(row, role, whole ? &row->csv->long_point : &row->csv->point);
    return cell;
}

static void mark_fault(oxt_i_csv *csv, const cell_place *cell, const char *expected)
{
    add_fault(csv, cell->line, cell->column, cell->text, expected);
}

/* One mark for all numbers of a file. Semicolons are what a spreadsheet writes where the comma is the
 * decimal mark, and a point may group thousands; otherwise it is the other way round. */
static void check_marks(oxt_i_csv *csv)
{
    const cell_place *comma = csv->comma.line ? &csv->comma : &csv->long_comma;
    const cell_place *point = csv->point.line ? &csv->point : &csv->long_point;
    char sentence[200];
    if (comma->line && point->line) {
        const cell_place *first = comma->line < point->line ? comma : point;
        oxt_i_snprintf(sentence, sizeof sentence,
                       "one decimal mark in all numbers: line %zu has '%s', and one of the two "
                       "groups thousands",
                       first->line, first->text);
        mark_fault(csv, first == comma ? point : comma, sentence);
        return;
    }
    bool by_semicolons = csv->separator == ';';
    const cell_place *unclear = by_semicolons ? &csv->long_point : &csv->long_comma;
    const cell_place *clear = by_semicolons ? &csv->point : &csv->comma;
    if (!unclear->line || clear->line)
        return;
    size_t whole = strcspn(unclear->text, ",.");
    oxt_i_snprintf(
        sentence, sizeof sentence,
        "%.*s%.3s or %.*s.%.3s: the mark may be of thousands or of decimals, and no other "
        "number shows which",
        (int)whole, unclear->text, unclear->text + whole + 1, (int)whole, unclear->text,
        unclear->text + whole + 1);
    mark_fault(csv, unclear, sentence);
}

bool oxt_i_csv_plain_number(const oxt_i_csv_row *row, int role, double *value)
{
    return is_plain_number(with_point(row, role).text, value);
}

double oxt_i_csv_quantity(const oxt_i_csv_row *row, int role, oxt_i_csv_parser parse)
{
    const oxt_i_csv_column *column = &row->csv->columns[row->csv->column_of[role]];
    const number_cell cell = with_point(row, role);
    double value;
    if (!column->has_unit)
        return parse(cell.text, &value, NULL) == OXT_OK ? value : NAN;
    if (!is_plain_number(cell.text, &value))
        return NAN;
    return column->factor == 0.0 ? oxt_i_kelvin_from(value, column->scale) : value * column->factor;
}

/* How a quantity is written with its unit. */
static const char *example_of(oxt_i_csv_parser parse)
{
    return parse == oxt_parse_duration      ? "90 s or 1:30"
           : parse == oxt_parse_temperature ? "650 F or 343 C"
                                            : "2 mm";
}

void oxt_i_csv_quantity_fault(oxt_i_csv_row *row, int role, oxt_i_csv_parser parse, double value,
                              const char *expected)
{
    const oxt_i_csv_column *column = &row->csv->columns[row->csv->column_of[role]];
    const char *cell = oxt_i_csv_cell(row, role), *slip = isnan(value) ? oxt_i_slip(cell) : NULL;
    char sentence[200];
    bool clock = parse == oxt_parse_duration && strchr(cell, ':');
    if (slip || !isnan(value))
        oxt_i_copy_text(sentence, sizeof sentence, slip ? slip : expected);
    else if (column->has_unit)
        oxt_i_snprintf(sentence, sizeof sentence, "%s, written as a plain number%s", expected,
                       clock ? "; a column called time takes 1:30" : "");
    else
        oxt_i_snprintf(sentence, sizeof sentence, "%s, written with its unit, such as %s", expected,
                       example_of(parse));
    oxt_i_csv_row_fault(row, role, cell, sentence);
}

static void take_cell(oxt_i_csv_row *row, size_t i, const char *cell)
{
    row->cells[i] = cell;
    row->bad_bytes[i] = !check_bytes(row->csv, row->csv->columns[i].name, cell);
    row->good = row->good && !row->bad_bytes[i];
}

/* Point at the cells of the record; false when there is nothing in it. */
static bool take_cells(oxt_i_csv *csv, oxt_i_csv_row *row)
{
    bool any = false, too_many = false;
    const char *field = csv->fields.data;
    for (size_t i = 0; i < csv->field_count; i++, field = next_field(field)) {
        any = any || *field;
        too_many = too_many || (i >= csv->column_count && *field);
        if (i < csv->column_count)
            take_cell(row, i, field);
    }
    for (size_t i = csv->field_count; i < csv->column_count; i++) {
        row->cells[i] = "";
        row->bad_bytes[i] = false;
    }
    char sentence[80];
    oxt_i_snprintf(sentence, sizeof sentence, "a %s inside a field to be in quotes",
                   separator_word(csv));
    if (too_many)
        oxt_i_csv_line_fault(row, "more fields than the header has columns", sentence);
    return any;
}

static void read_row(oxt_i_csv *csv)
{
    oxt_i_csv_row row;
    row.csv = csv;
    row.good = true;
    row.is_number = NULL;
    if (!take_cells(csv, &row))
        return;
    if (!csv->kind->read_row(&row, csv->context))
        csv->status = OXT_ENOMEM;
}

/* ---- callbacks of the parser ---- */

static void on_field(void *text, size_t length, void *context)
{
    oxt_i_csv *csv = context;
    csv->has_nul = csv->has_nul || (length && memchr(text, '\0', length));
    oxt_i_text_add_bytes(&csv->fields, length ? text : "", length);
    oxt_i_text_add_bytes(&csv->fields, "", 1);
    csv->field_count++;
}

static void forget_record(oxt_i_csv *csv)
{
    csv->fields.length = 0;
    csv->field_count = 0;
    csv->has_nul = false;
    csv->record_bytes = 0;
    csv->in_record = false;
}

static void on_record(int terminator, void *context)
{
    oxt_i_csv *csv = context;
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

/* ---- what separates the columns ---- */

/* What a header would be by one separator. */
typedef struct {
    const oxt_i_csv_kind *kind;
    size_t columns, known;
} header_reading;

static void on_header_field(void *text, size_t length, void *context)
{
    header_reading *found = context;
    oxt_i_csv_column column;
    char name[sizeof column.name];
    size_t kept = length < sizeof name ? length : sizeof name - 1;
    memcpy(name, length ? text : "", kept);
    name[kept] = '\0';
    oxt_i_copy_text(column.name, sizeof column.name, name);
    recognise(found->kind, &column);
    found->columns++;
    found->known += column.role != found->kind->roles;
}

static bool try_separator(const oxt_i_csv *csv, char separator, header_reading *found)
{
    struct csv_parser parser;
    *found = (header_reading){ csv->kind, 0, 0 };
    if (csv_init(&parser, 0) != 0)
        return false;
    csv_set_delim(&parser, (unsigned char)separator);
    bool read = csv_parse(&parser, csv->head.data, csv->head.length, on_header_field, NULL,
                          found) == csv->head.length;
    read = read && csv_fini(&parser, on_header_field, NULL, found) == 0;
    csv_free(&parser);
    return read;
}

/* A line that is at fault is the last one read. */
static void head_fault(oxt_i_csv *csv, const char *expected)
{
    csv->head.data[strcspn(csv->head.data, "\r\n")] = '\0';
    add_fault(csv, csv->record_line, "", csv->head.data, expected);
    csv->stopped = true;
}

/* "sep=;", which some spreadsheets write, and read, before the header. */
static bool states_separator(oxt_i_csv *csv)
{
    const char *line = csv->head.data;
    char word[8];
    oxt_i_copy_text(word, sizeof word, line);
    word[4] = '\0';
    if (csv->head.length < 5 || !oxt_i_same_word(word, "sep=") ||
        line[5 + strspn(line + 5, "\r\n")])
        return false;
    csv->separator = line[4];
    if (!strchr(",;\t", line[4]))
        head_fault(csv, "columns separated by commas, semicolons or tabs");
    return true;
}

/* The separator by which most columns are known. Without any known the one that is there most often, so
 * that the faults are those of the columns. */
static void choose_separator(oxt_i_csv *csv)
{
    header_reading best = { csv->kind, 1, 0 };
    size_t chosen = 0, rival = 0;
    for (size_t i = 0; i < OXT_I_COUNT(separators); i++) {
        header_reading found;
        if (!try_separator(csv, separators[i].separator, &found)) {
            csv->status = OXT_ENOMEM;
            return;
        }
        if (found.columns < 2)
            continue;
        bool better = best.columns < 2 || found.known > best.known ||
                      (found.known == 0 && best.known == 0 && found.columns > best.columns);
        if (better) {
            best = found;
            chosen = rival = i;
        } else if (found.known == best.known && found.known > 0)
            rival = i;
    }
    csv->separator = separators[chosen].separator;
    if (rival == chosen)
        return;
    char sentence[200];
    oxt_i_snprintf(sentence, sizeof sentence,
                   "one separator: by %s and by %s equally many columns are known (%zu)",
                   separators[chosen].many, separators[rival].many, best.known);
    head_fault(csv, sentence);
}

static void parse(oxt_i_csv *csv, const char *piece, size_t length);

/* The line that may be the header is whole. */
static void take_head(oxt_i_csv *csv)
{
    if (csv->head.failed) {
        csv->status = OXT_ENOMEM;
        return;
    }
    bool empty = csv->head.length == strspn(csv->head.data, " \t,;\r\n");
    if (!empty && !states_separator(csv)) {
        choose_separator(csv);
        csv_set_delim(&csv->parser, (unsigned char)csv->separator);
        if (!csv->stopped && !csv->status && !csv->separator_only)
            parse(csv, csv->head.data, csv->head.length);
    } else {
        csv_set_delim(&csv->parser, (unsigned char)csv->separator);
        csv->line_blank = true; /* nothing goes on in the next line */
    }
    csv->head.length = 0;
    csv->stopped = csv->stopped || (csv->separator_only && csv->separator);
}

/* ---- feeding ---- */

static bool start_parser(oxt_i_csv *csv)
{
    if (csv_init(&csv->parser, CSV_STRICT | CSV_STRICT_FINI) != 0)
        return false;
    if (csv->separator)
        csv_set_delim(&csv->parser, (unsigned char)csv->separator);
    csv_set_blk_size(&csv->parser, 16384); /* a long field grows by this much at a time */
    return true;
}

static void parser_failed(oxt_i_csv *csv)
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

static void parse(oxt_i_csv *csv, const char *piece, size_t length)
{
    if (csv_parse(&csv->parser, piece, length, on_field, on_record, csv) != length)
        parser_failed(csv);
}

/* Feed a piece that lies within one line; `ends` when its last byte ends the line. */
static void feed_piece(oxt_i_csv *csv, const char *piece, size_t length, bool ends)
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
        if (csv->separator)
            parse(csv, piece, length);
        else
            oxt_i_text_add_bytes(&csv->head, piece, length);
        if (!csv->separator && ends)
            take_head(csv);
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

static bool is_blank(char letter)
{
    return letter == ' ' || letter == '\t';
}

/* Cut a line into cells; false when some is in quotes, or has a blank at an end, or their number is another one. */
static bool cut_line(const oxt_i_csv *csv, const char *text, size_t length, oxt_i_csv_piece *cells)
{
    const char separator = csv->separator, *const end = text + length, *cell = text;
    const size_t columns = csv->column_count;
    size_t count = 0;
    if (length == 0 || memchr(text, '"', length) || memchr(text, '\r', length))
        return false;
    for (const char *at = text;; at++) {
        if (at < end && *at != separator)
            continue;
        if (count == columns || (at > cell && (is_blank(cell[0]) || is_blank(at[-1]))))
            return false;
        cells[count++] = (oxt_i_csv_piece){ cell, (size_t)(at - cell) };
        if (at == end)
            return count == columns && columns < length + 1; /* not all of them empty */
        cell = at + 1;
    }
}

/* Take whole lines from the start of a text as long as they are plain; how many bytes they were. */
static size_t take_plain_lines(oxt_i_csv *csv, const char *text, size_t length)
{
    oxt_i_csv_piece cells[OXT_I_CSV_MOST_COLUMNS];
    size_t taken = 0;
    if (!csv->kind->read_plain || !csv->header_good || csv->in_record || csv->line_started ||
        csv->after_cr)
        return 0;
    for (;;) {
        const char *line = text + taken;
        const char *end = memchr(line, '\n', length - taken);
        if (!end || *line == '#')
            return taken;
        size_t size = (size_t)(end - line);
        if (size && line[size - 1] == '\r')
            size--;
        if (!cut_line(csv, line, size, cells) ||
            !csv->kind->read_plain(csv, cells, csv->line, csv->context))
            return taken;
        csv->line++;
        taken = (size_t)(end + 1 - text);
    }
}

/* Lines end in LF, CR LF or CR. */
static void feed(oxt_i_csv *csv, const char *text, size_t length)
{
    size_t start = take_plain_lines(csv, text, length);
    for (size_t i = start; i < length && !csv->stopped && !csv->status; i++) {
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
        if (ends && !csv->stopped && !csv->status) {
            size_t taken = take_plain_lines(csv, text + start, length - start);
            start += taken;
            i += taken;
        }
    }
}

static void finish(oxt_i_csv *csv)
{
    if (!csv->stopped && !csv->status && csv->head.length > 0)
        take_head(csv);
    if (!csv->stopped && !csv->status && csv_fini(&csv->parser, on_field, on_record, csv) != 0) {
        if (csv_error(&csv->parser) == CSV_EPARSE)
            add_fault(csv, csv->record_line, "", "a quote that is never closed", "a closing quote");
        else
            csv->status = OXT_ENOMEM;
    }
    if (!csv->stopped && !csv->status)
        check_marks(csv);
    if (csv->status || oxt_faults_count(csv->faults) > 0)
        return;
    char sentence[100];
    size_t rows = csv->kind->count(csv->context);
    oxt_i_snprintf(sentence, sizeof sentence,
                   csv->is_table      ? "%s"
                   : csv->header_done ? "%s below it"
                                      : "a header line and %s",
                   csv->kind->least_text);
    if (!csv->header_done)
        add_fault(csv, 0, "", "", sentence);
    else if (rows < csv->kind->least)
        add_fault(csv, 0, "",
                  csv->is_table ? ""
                  : rows        ? "a header and too few lines"
                                : "only a header",
                  sentence);
}

/* ---- the two sources ---- */

static void free_reader(oxt_i_csv *csv)
{
    if (!csv)
        return;
    csv_free(&csv->parser);
    oxt_i_text_free(&csv->fields);
    oxt_i_text_free(&csv->head);
    oxt_faults_free(csv->faults);
    free(csv);
}

static oxt_i_csv *new_reader(const oxt_i_csv_kind *kind, void *context)
{
    oxt_i_csv *csv = calloc(1, sizeof *csv);
    if (!csv)
        return NULL;
    csv->kind = kind;
    csv->context = context;
    csv->line = csv->record_line = 1;
    csv->faults = oxt_i_faults_new();
    if (!start_parser(csv) || !csv->faults) {
        free_reader(csv);
        return NULL;
    }
    return csv;
}

/* Hand over the faults, if any. */
static oxt_status hand_over(oxt_i_csv *csv, const char *path, oxt_faults **faults, oxt_error *error)
{
    oxt_status status = csv->status ? oxt_i_no_memory(error) : OXT_OK;
    if (!status && oxt_faults_count(csv->faults) > 0) {
        status = oxt_i_faults_error(csv->faults, path, error);
        if (faults) {
            *faults = csv->faults;
            csv->faults = NULL;
        }
    }
    return status;
}

static oxt_status deliver(oxt_i_csv *csv, const char *path, oxt_faults **faults, oxt_error *error)
{
    finish(csv);
    return hand_over(csv, path, faults, error);
}

/* ---- a table in memory ---- */

oxt_i_csv *oxt_i_csv_open_table(const oxt_i_csv_kind *kind, void *context, const char *const *names,
                                size_t count)
{
    oxt_i_csv *csv = new_reader(kind, context);
    if (!csv)
        return NULL;
    csv->is_table = true;
    csv->record_line = 0;
    size_t taken = start_header(csv, count);
    for (size_t i = 0; i < taken; i++)
        take_column(csv, i, names[i]);
    finish_header(csv, taken);
    return csv;
}

bool oxt_i_csv_is_stopped(const oxt_i_csv *csv)
{
    return csv->stopped || csv->status;
}

void oxt_i_csv_take_row(oxt_i_csv *csv, size_t number, const char *const *cells,
                        const bool *is_number)
{
    oxt_i_csv_row row;
    bool any = false;
    row.csv = csv;
    row.good = true;
    row.is_number = is_number;
    csv->record_line = number;
    for (size_t i = 0; i < csv->column_count; i++) {
        take_cell(&row, i, cells[i]);
        any = any || *cells[i];
    }
    if (any && !csv->kind->read_row(&row, csv->context))
        csv->status = OXT_ENOMEM;
}

void oxt_i_csv_cell_fault(oxt_i_csv *csv, size_t number, size_t column, const char *found,
                          const char *expected)
{
    add_fault(csv, number, csv->columns[column].name, found, expected);
}

oxt_status oxt_i_csv_close_table(oxt_i_csv *csv, oxt_faults **faults, oxt_error *error)
{
    oxt_status status = deliver(csv, "table", faults, error);
    free_reader(csv);
    return status;
}

/* The encoding is found from the first bytes of the first block, and a mark of it is left out. */
static void feed_block(oxt_i_csv *csv, const char *text, size_t length, bool first)
{
    size_t skip = first && length >= 3 && memcmp(text, OXT_I_BYTE_ORDER_MARK, 3) == 0 ? 3 : 0;
    if (first && length >= 2 &&
        (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0)) {
        add_fault(csv, 1, "", "UTF-16",
                  "a file saved as UTF-8, which spreadsheets call 'CSV UTF-8'");
        csv->stopped = true;
    }
    feed(csv, text + skip, length - skip);
}

/* Bytes of a file; 0: nobody knows, as of a pipe. */
static double bytes_of(FILE *stream)
{
    long length = fseek(stream, 0, SEEK_END) == 0 ? ftell(stream) : 0;
    (void)fseek(stream, 0, SEEK_SET);
    return length > 0 ? (double)length : 0.0;
}

/* Where a file goes on as it began, there is room for the rest of it at once. */
static void expect_rest(const oxt_i_csv *csv, double bytes, double taken)
{
    static const double MORE = 1.02;
    double rows = (double)csv->kind->count(csv->context) * (bytes - taken) / taken;
    csv->kind->expect(csv->context, (size_t)(MORE * rows));
}

static oxt_status feed_file(oxt_i_csv *csv, const char *path, oxt_error *error)
{
    static const double ENOUGH = 1 << 18; /* bytes that tell how long a line is */
    FILE *stream = oxt_i_open_file(path);
    if (!stream)
        return oxt_i_io_error(error, path, "read", errno);
    char block[16384];
    size_t got;
    double taken = 0.0, bytes = csv->kind->expect ? bytes_of(stream) : 0.0;
    while (!csv->stopped && !csv->status && (got = fread(block, 1, sizeof block, stream)) > 0) {
        feed_block(csv, block, got, taken == 0.0);
        taken += (double)got;
        if (bytes > taken && taken >= ENOUGH) {
            expect_rest(csv, bytes, taken);
            bytes = 0.0; /* once */
        }
    }
    oxt_status status = ferror(stream) ? oxt_i_io_error(error, path, "read", errno) : OXT_OK;
    fclose(stream);
    return status;
}

oxt_status oxt_i_csv_check(const oxt_i_csv_source *source, const void *found, const char *name,
                           oxt_faults **faults, oxt_error *error)
{
    if (faults)
        *faults = NULL;
    if (!found)
        return oxt_i_null(error, name);
    return source->path || source->text ? OXT_OK : oxt_i_null(error, "path");
}

oxt_status oxt_i_csv_read(const oxt_i_csv_kind *kind, void *context, const oxt_i_csv_source *source,
                          oxt_faults **faults, oxt_error *error)
{
    oxt_i_csv *csv = new_reader(kind, context);
    oxt_status status = OXT_OK;
    if (!csv)
        return oxt_i_no_memory(error);
    if (source->text)
        feed_block(csv, source->text, source->length, true);
    else
        status = feed_file(csv, source->path, error);
    if (!status)
        status = deliver(csv, source->path ? source->path : "text", faults, error);
    free_reader(csv);
    return status;
}

oxt_status oxt_i_csv_separator(char *separator, const oxt_i_csv_source *source,
                               const oxt_i_csv_word *words, size_t count, oxt_faults **faults,
                               oxt_error *error)
{
    const oxt_i_csv_kind kind = { .words = words, .word_count = count, .roles = (int)count };
    oxt_i_csv *csv = new_reader(&kind, NULL);
    if (!csv)
        return oxt_i_no_memory(error);
    csv->separator_only = true;
    feed_block(csv, source->text, source->length, true);
    if (!csv->stopped && !csv->status && csv->head.length > 0)
        take_head(csv);
    oxt_status status = hand_over(csv, "text", faults, error);
    if (!status)
        *separator = csv->separator ? csv->separator : separators[0].separator;
    free_reader(csv);
    return status;
}
