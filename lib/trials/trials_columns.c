/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log of a table in memory, column by column, and its columns out again. Most rows are taken as numbers (trial_row.c);
 * one in which anything is unusual is read as the row of a file would be, which finds its faults. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "thermal/heat.h"
#include "trials/trial_row.h"

/* ---- columns in ---- */

enum { TEXT_OF_NUMBER = 32, BLOCK = 256 };

/* What is done with the cells of a column. */
typedef enum { TAKE_NUMBER, TAKE_CODE, TAKE_TEXT, ASK_READER } manner;

typedef struct {
    oxt_column given;
    manner manner;
    int role;
    oxt_i_field field; /* OXT_I_FIELDS: not a number */
    double factor;     /* of the unit; 0: a temperature on `scale` */
    oxt_temperature_unit scale;
    uint32_t *known;  /* what each level is in this role; NOT_LOOKED at first */
    const char *last; /* the text of the row before, and what it is */
    uint32_t last_is;
    double
        number[BLOCK]; /* of some rows: numbers in the library's units, or what their texts are */
    uint32_t is[BLOCK];
} source;

#define NOT_LOOKED (UINT32_MAX - 2)

typedef struct {
    oxt_i_csv *reader;
    oxt_i_trials_reading reading;
    oxt_i_row_maker maker;
    source *sources;
    size_t count;
    const char **cells; /* of one row, for the reader */
    bool *is_number;
    char (*numbers)[TEXT_OF_NUMBER];
} table;

static const void *value_at(const oxt_column *column, size_t row)
{
    return (const char *)column->values + (ptrdiff_t)row * column->stride;
}

static bool is_missing(const oxt_column *column, size_t row)
{
    return column->missing && column->missing[(ptrdiff_t)row * column->missing_stride];
}

#define LOADER(type)                        \
    static type load_##type(const void *at) \
    {                                       \
        type value;                         \
        memcpy(&value, at, sizeof value);   \
        return value;                       \
    }
typedef const char *text;
LOADER(double)
LOADER(float)
LOADER(int8_t)
LOADER(int16_t)
LOADER(int32_t)
LOADER(int64_t)
LOADER(uint8_t)
LOADER(uint16_t)
LOADER(uint32_t)
LOADER(uint64_t)
LOADER(text)

/* A whole number, which may be above INT64_MAX only for the last kind. */
static int64_t whole_at(const oxt_column *column, size_t row)
{
    const void *at = value_at(column, row);
    switch (column->kind) {
    case OXT_COLUMN_INT8:
        return load_int8_t(at);
    case OXT_COLUMN_INT16:
        return load_int16_t(at);
    case OXT_COLUMN_INT32:
        return load_int32_t(at);
    case OXT_COLUMN_UINT8:
        return load_uint8_t(at);
    case OXT_COLUMN_UINT16:
        return load_uint16_t(at);
    case OXT_COLUMN_UINT32:
        return load_uint32_t(at);
    default:
        return load_int64_t(at);
    }
}

/* The code of a row, SIZE_MAX for none; false when it is beyond the levels. */
static bool code_at(const oxt_column *column, size_t row, size_t *code)
{
    *code = SIZE_MAX;
    if (is_missing(column, row))
        return true;
    int64_t whole = whole_at(column, row);
    if (whole < 0 && column->kind != OXT_COLUMN_UINT64)
        return true;
    *code = (size_t)whole;
    return (uint64_t)whole < column->level_count;
}

static const char *text_at(const oxt_column *column, size_t row)
{
    text found = is_missing(column, row) ? NULL : load_text(value_at(column, row));
    return found ? found : "";
}

/* ---- the quick way ---- */

#define FILL(type)                                                    \
    for (size_t i = 0; i < count; i++)                                \
        number[i] = (double)load_##type(value_at(column, first + i)); \
    break

/* The numbers of some rows in their own units, NaN for what is missing. */
static void load_numbers(const oxt_column *column, size_t first, size_t count, double *number)
{
    switch (column->kind) {
    case OXT_COLUMN_DOUBLE:
        FILL(double);
    case OXT_COLUMN_FLOAT:
        FILL(float);
    case OXT_COLUMN_INT8:
        FILL(int8_t);
    case OXT_COLUMN_INT16:
        FILL(int16_t);
    case OXT_COLUMN_INT32:
        FILL(int32_t);
    case OXT_COLUMN_INT64:
        FILL(int64_t);
    case OXT_COLUMN_UINT8:
        FILL(uint8_t);
    case OXT_COLUMN_UINT16:
        FILL(uint16_t);
    case OXT_COLUMN_UINT32:
        FILL(uint32_t);
    default:
        FILL(uint64_t);
    }
    for (size_t i = 0; i < count && column->missing; i++)
        if (is_missing(column, first + i))
            number[i] = NAN;
}

static void take_units(const source *from, size_t count, double *number)
{
    for (size_t i = 0; i < count && from->factor == 0.0 && from->scale != OXT_UNIT_KELVIN; i++)
        number[i] = oxt_i_kelvin_from(number[i], from->scale);
    for (size_t i = 0; i < count && from->factor != 0.0 && from->factor != 1.0; i++)
        number[i] *= from->factor;
}

/* What a text is in the role of its column; OXT_I_BAD_CELL asks the reader. */
static bool look_at(table *in, const source *from, const char *given, uint32_t *is)
{
    if (from->role < OXT_I_ROLE_NUMBERS)
        return oxt_i_cell_text(&in->maker, from->role, given, strlen(given), is);
    *is = *given ? OXT_I_BAD_CELL
                 : OXT_I_EMPTY_CELL; /* a quantity with its unit, or what becomes a note */
    return true;
}

static bool read_code(table *in, source *from, size_t row, uint32_t *is)
{
    size_t code;
    *is = OXT_I_BAD_CELL;
    if (!code_at(&from->given, row, &code))
        return true;
    if (code == SIZE_MAX) {
        *is = OXT_I_EMPTY_CELL;
        return true;
    }
    if (from->known[code] == NOT_LOOKED &&
        !look_at(in, from, from->given.levels[code], &from->known[code]))
        return false;
    *is = from->known[code];
    return true;
}

static bool read_text(table *in, source *from, size_t row, uint32_t *is)
{
    text found = text_at(&from->given, row);
    if (found != from->last) {
        if (!look_at(in, from, found, &from->last_is))
            return false;
        from->last = found;
    }
    *is = from->last_is;
    return true;
}

/* The cells of some rows, a column at a time; false when memory ran out. */
static bool load_block(table *in, size_t first, size_t count)
{
    bool good = true;
    for (size_t column = 0; column < in->count; column++) {
        source *from = &in->sources[column];
        if (from->manner == TAKE_NUMBER || from->manner == ASK_READER)
            load_numbers(&from->given, first, count, from->number);
        if (from->manner == TAKE_NUMBER)
            take_units(from, count, from->number);
        for (size_t i = 0; i < count && good && from->manner != TAKE_NUMBER; i++) {
            if (from->manner == TAKE_CODE)
                good = read_code(in, from, first + i, &from->is[i]);
            else if (from->manner == TAKE_TEXT)
                good = read_text(in, from, first + i, &from->is[i]);
            else
                from->is[i] = isnan(from->number[i]) ? OXT_I_EMPTY_CELL : OXT_I_BAD_CELL;
        }
    }
    return good;
}

/* Row i of the block, when nothing about it is unusual. */
static oxt_i_row_result take_quickly(table *in, size_t i, oxt_i_cells *cells)
{
    for (size_t column = 0; column < in->count; column++) {
        const source *from = &in->sources[column];
        if (from->manner == TAKE_NUMBER)
            cells->number[from->field] = from->number[i];
        else if (from->role < OXT_I_ROLE_NUMBERS)
            cells->text[from->role] = from->is[i];
        else if (from->is[i] != OXT_I_EMPTY_CELL)
            return OXT_I_ROW_UNUSUAL;
    }
    return oxt_i_row_take(&in->maker, cells);
}

/* ---- the way of a file ---- */

/* The cell as a file would hold it. */
static const char *cell_at(table *in, size_t i, size_t row)
{
    const oxt_column *column = &in->sources[i].given;
    char *buffer = in->numbers[i];
    size_t code;
    if (column->levels)
        return code_at(column, row, &code) && code != SIZE_MAX ? column->levels[code] : "";
    if (column->kind == OXT_COLUMN_TEXT)
        return text_at(column, row);
    double value;
    load_numbers(column, row, 1, &value);
    if (isnan(value))
        return "";
    if (column->kind <= OXT_COLUMN_FLOAT)
        oxt_i_copy_text(buffer, TEXT_OF_NUMBER, oxt_i_shortest(value).text);
    else if (column->kind == OXT_COLUMN_UINT64)
        oxt_i_snprintf(buffer, TEXT_OF_NUMBER, "%" PRIu64, load_uint64_t(value_at(column, row)));
    else
        oxt_i_snprintf(buffer, TEXT_OF_NUMBER, "%" PRId64, whole_at(column, row));
    return buffer;
}

static bool check_code(table *in, size_t i, size_t row)
{
    const oxt_column *column = &in->sources[i].given;
    size_t code;
    char found[32], expected[80];
    if (!column->levels || code_at(column, row, &code))
        return true;
    oxt_i_snprintf(found, sizeof found, "%zu", code);
    oxt_i_snprintf(expected, sizeof expected, "a code of one of its %zu text%s",
                   column->level_count, oxt_i_plural(column->level_count));
    oxt_i_csv_cell_fault(in->reader, row + 1, i, found, expected);
    return false;
}

static void take_by_reader(table *in, size_t row)
{
    bool good = true;
    for (size_t i = 0; i < in->count; i++) {
        good = check_code(in, i, row) && good;
        in->cells[i] = cell_at(in, i, row);
    }
    if (good)
        oxt_i_csv_take_row(in->reader, row + 1, in->cells, in->is_number);
}

/* ---- the table ---- */

static oxt_status check_column(const oxt_column *column, size_t row_count, oxt_error *error)
{
    if (!column->name)
        return oxt_i_fail_text(error, OXT_EARG, "columns", "the name of a column is NULL");
    if (!column->values && row_count > 0)
        return oxt_i_fail_text(error, OXT_EARG, "columns", "the values of column %s are NULL",
                               oxt_i_quoted(column->name).text);
    oxt_status status = oxt_i_check_choice("kind", (int)column->kind, OXT_COLUMN_TEXT, error);
    if (!status && column->levels &&
        (column->kind <= OXT_COLUMN_FLOAT || column->kind == OXT_COLUMN_TEXT))
        status = oxt_i_fail_text(error, OXT_EARG, "columns",
                                 "column %s has levels, expected whole numbers as codes",
                                 oxt_i_quoted(column->name).text);
    for (size_t i = 0; !status && column->levels && i < column->level_count; i++)
        if (!column->levels[i])
            status = oxt_i_fail_text(error, OXT_EARG, "columns", "level %zu of column %s is NULL",
                                     i, oxt_i_quoted(column->name).text);
    return status;
}

static void choose_manner(source *made, const oxt_i_csv_column *column)
{
    made->role = column->role;
    made->field = oxt_i_role_field(made->role);
    made->factor = column->has_unit ? column->factor : 1.0;
    made->scale = column->scale;
    if (made->given.levels)
        made->manner = TAKE_CODE;
    else if (made->given.kind == OXT_COLUMN_TEXT)
        made->manner = TAKE_TEXT;
    else
        made->manner = made->field < OXT_I_FIELDS &&
                               (column->has_unit || oxt_i_field_is_plain(made->field))
                           ? TAKE_NUMBER
                           : ASK_READER;
}

/* Memory, and what is done with each column; the columns are known to be whole. */
static bool start(table *in, oxt_trials *trials)
{
    const char **names = malloc((in->count + 1) * sizeof *names);
    in->cells = calloc(in->count + 1, sizeof *in->cells);
    in->is_number = calloc(in->count + 1, sizeof *in->is_number);
    in->numbers = calloc(in->count + 1, sizeof *in->numbers);
    in->reading.log = trials;
    bool good = names && in->cells && in->is_number && in->numbers &&
                oxt_i_row_start(&in->maker, trials);
    for (size_t i = 0; good && i < in->count; i++) {
        source *made = &in->sources[i];
        names[i] = made->given.name;
        in->is_number[i] = !made->given.levels && made->given.kind != OXT_COLUMN_TEXT;
        if (!made->given.levels)
            continue;
        made->known = malloc((made->given.level_count + 1) * sizeof *made->known);
        good = made->known != NULL;
        for (size_t level = 0; good && level < made->given.level_count; level++)
            made->known[level] = NOT_LOOKED;
    }
    if (good) {
        in->reader = oxt_i_csv_open_table(&oxt_i_trials_kind, &in->reading, names, in->count);
        good = in->reader != NULL;
    }
    free(names);
    return good;
}

/* Every row until memory runs out; false then. */
static bool take_rows(table *in, size_t row_count)
{
    size_t count;
    const oxt_i_csv_column *columns = oxt_i_csv_columns(in->reader, &count);
    oxt_i_cells cells;
    oxt_i_cells_clear(&cells);
    for (size_t i = 0; i < count; i++) {
        choose_manner(&in->sources[i], &columns[i]);
        in->maker.has_stated = in->maker.has_stated || oxt_i_role_is_stated(columns[i].role);
    }
    if (!oxt_i_log_reserve(in->maker.log, row_count))
        return false;
    for (size_t first = 0; first < row_count; first += BLOCK) {
        size_t some = row_count - first < BLOCK ? row_count - first : BLOCK;
        if (!load_block(in, first, some))
            return false;
        for (size_t i = 0; i < some; i++) {
            oxt_i_row_result result = take_quickly(in, i, &cells);
            if (result == OXT_I_ROW_UNUSUAL)
                take_by_reader(in, first + i);
            if (result == OXT_I_ROW_NO_MEMORY || oxt_i_csv_is_stopped(in->reader))
                return false;
        }
    }
    return true;
}

static oxt_status add(table *in, oxt_trials *trials, size_t row_count, oxt_faults **faults,
                      oxt_error *error)
{
    oxt_i_log_mark before = oxt_i_log_now(trials);
    bool good = start(in, trials), readable = good && !oxt_i_csv_is_stopped(in->reader);
    if (readable)
        good = take_rows(in, row_count);
    if (in->reader && !good)
        oxt_i_csv_no_memory(in->reader);
    oxt_status status = in->reader ? oxt_i_csv_close_table(in->reader, faults, error)
                                   : oxt_i_no_memory(error);
    if (status)
        oxt_i_log_cut(trials, &before);
    return status;
}

oxt_status oxt_trials_add_columns(oxt_trials *trials, size_t row_count,
                                  const oxt_column *const *columns, size_t column_count,
                                  oxt_faults **faults, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (faults)
        *faults = NULL;
    if (!trials || (!columns && column_count > 0))
        return oxt_i_null(error, trials ? "columns" : "trials");
    oxt_status status = oxt_i_check(error, "row_count", (double)row_count, 0.0,
                                    (double)(OXT_I_NO_ROW - 1 - oxt_trials_count(trials)),
                                    OXT_I_CLOSED);
    if (status)
        return status;
    table in = { .count = column_count };
    in.sources = calloc(column_count + 1, sizeof *in.sources);
    if (!in.sources)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < column_count && !status; i++) {
        oxt_column *given = &in.sources[i].given;
        *given = (oxt_column)OXT_COLUMN_INIT;
        status = columns[i] ? OXT_I_STRUCT_IN(oxt_column, given, columns[i], "columns", error)
                            : oxt_i_null(error, "columns");
        if (!status)
            status = check_column(given, row_count, error);
    }
    if (!status)
        status = add(&in, trials, row_count, faults, error);
    for (size_t i = 0; i < column_count; i++)
        free(in.sources[i].known);
    free(in.sources);
    free(in.cells);
    free(in.is_number);
    free(in.numbers);
    return status;
}

/* ---- columns out ---- */

static oxt_status no_column(const char *name, const char *known, oxt_error *error)
{
    return oxt_i_fail_text(error, OXT_EARG, "name", "a log has no column %s, expected %s",
                           oxt_i_quoted(name).text, known);
}

static oxt_status check_room(const oxt_trials *trials, const char *name, size_t count,
                             const void *values, oxt_error *error)
{
    if (!trials || !name || (!values && count > 0))
        return oxt_i_null(error, !trials ? "trials" : !name ? "name" : "values");
    size_t needed = oxt_trials_count(trials);
    if (count >= needed)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EARG, "count", (double)count, (double)needed, NAN,
                      "count is %zu, expected at least the %zu trial%s of the log", count, needed,
                      oxt_i_plural(needed));
}

/* A number of a row, NaN for none. */
static double number_of(const oxt_trials *trials, const oxt_i_log_row *row, oxt_i_field field)
{
    const char *numbers;
    double stated;
    switch (field) {
    case OXT_I_BATH:
        return row->bath_K;
    case OXT_I_TIME:
        return row->time_s;
    case OXT_I_THICKNESS:
        return row->seen == OXT_SEEN_THICKNESS ? row->thickness_nm : NAN;
    case OXT_I_LAB_L:
    case OXT_I_LAB_A:
    case OXT_I_LAB_B:
        if (row->seen != OXT_SEEN_LAB)
            return NAN;
        numbers = oxt_i_intern_get(oxt_i_log_interned(trials, OXT_I_LABS), row->colour, NULL);
        return load_double(numbers + (field - OXT_I_LAB_L) * sizeof(double));
    default:
        numbers = oxt_i_intern_get(oxt_i_log_interned(trials, OXT_I_STATED), row->stated, NULL);
        stated = load_double(numbers + (field - OXT_I_PART) * sizeof(double));
        return stated == 0.0 ? NAN : stated;
    }
}

oxt_status oxt_trials_numbers(const oxt_trials *trials, const char *name, size_t count,
                              double *values, ptrdiff_t stride, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check_room(trials, name, count, values, error);
    if (status)
        return status;
    oxt_i_field field = 0;
    while (field < OXT_I_FIELDS && strcmp(name, oxt_i_field_column(field)) != 0)
        field++;
    bool line = strcmp(name, "line") == 0;
    if (field == OXT_I_FIELDS && !line)
        return no_column(name,
                         "bath_K, time_s, thickness_nm, L, a, b, line or a number that a coupon "
                         "may state, such as part_m",
                         error);
    const oxt_i_log_row *rows = oxt_i_log_all_rows(trials);
    for (size_t i = 0; i < oxt_trials_count(trials); i++)
        *oxt_i_at_out(values, i, stride) = line ? (double)rows[i].line
                                                : number_of(trials, &rows[i], field);
    return OXT_OK;
}

static oxt_status find_texts(const char *name, int *role, oxt_error *error)
{
    static const char *const names[] = { "steel", "finish", "colour", "srgb",
                                         "note",  "day",    "shape",  "lifted" };
    for (*role = OXT_I_ROLE_STEEL; *role < OXT_I_ROLE_NUMBERS; ++*role)
        if (strcmp(name, names[*role]) == 0)
            return OXT_OK;
    return no_column(name, "steel, finish, colour, srgb, note, day, shape or lifted", error);
}

/* -1 for none. */
static int32_t code_of(const oxt_trials *trials, const oxt_i_log_row *row, int role)
{
    oxt_i_stated_values known;
    switch (role) {
    case OXT_I_ROLE_STEEL:
        return (int32_t)oxt_i_log_group_at(trials, row->group).steel;
    case OXT_I_ROLE_FINISH:
        return (int32_t)oxt_i_log_group_at(trials, row->group).finish_number;
    case OXT_I_ROLE_COLOUR:
        return row->seen == OXT_SEEN_COLOUR ? (int32_t)row->colour : -1;
    case OXT_I_ROLE_SRGB:
        return row->seen == OXT_SEEN_SRGB ? (int32_t)row->colour : -1;
    case OXT_I_ROLE_NOTE:
        return (int32_t)row->note;
    case OXT_I_ROLE_DAY:
        known = oxt_i_log_stated(trials, row);
        return (int32_t)known.day - 1;
    case OXT_I_ROLE_LIFTED:
        known = oxt_i_log_stated(trials, row);
        return known.lifted != 0.0 ? (int32_t)known.lifted : -1;
    default:
        known = oxt_i_log_stated(trials, row);
        return known.number[0] != 0.0 ? (int32_t)known.part_shape : -1;
    }
}

oxt_status oxt_trials_codes(const oxt_trials *trials, const char *name, size_t count,
                            int32_t *codes, ptrdiff_t stride, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    int role;
    oxt_status status = check_room(trials, name, count, codes, error);
    if (!status)
        status = find_texts(name, &role, error);
    if (status)
        return status;
    const oxt_i_log_row *rows = oxt_i_log_all_rows(trials);
    for (size_t i = 0; i < oxt_trials_count(trials); i++) {
        int32_t code = code_of(trials, &rows[i], role);
        memcpy((char *)codes + (ptrdiff_t)i * stride, &code, sizeof code);
    }
    return OXT_OK;
}

oxt_status oxt_trials_text(const oxt_trials *trials, const char *name, size_t index, char *buffer,
                           size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    int role;
    if (!trials || !name)
        return oxt_i_null(error, trials ? "name" : "trials");
    oxt_status status = find_texts(name, &role, error);
    if (!status)
        status = oxt_i_check_index(error, index, oxt_trials_count(trials));
    if (status)
        return status;
    int32_t code = code_of(trials, &oxt_i_log_all_rows(trials)[index], role);
    const char *found = "";
    if (code >= 0)
        found = role == OXT_I_ROLE_SHAPE ? oxt_i_shape_names[code]
                : role == OXT_I_ROLE_LIFTED
                    ? oxt_i_lifted_names[code]
                    : oxt_i_intern_get(oxt_i_log_interned(trials, (oxt_i_log_set)role),
                                       (uint32_t)code, NULL);
    return oxt_i_emit(found, buffer, capacity, needed, error);
}
