/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A CSV file with a header line: all of its rows, or all of its faults. What the columns mean and what
 * a row must hold is up to the module that reads it. */
#ifndef OXTINT_CSV_TABLE_H
#define OXTINT_CSV_TABLE_H

#include "oxtint/faults.h"
#include "base/internal.h"

/* ---- faults (faults.c) ---- */

oxt_faults *oxt_i_faults_new(void);
/* Forget all but the first. */
void oxt_i_faults_cut(oxt_faults *faults, size_t count);
/* False when memory ran out. */
bool oxt_i_faults_add(oxt_faults *faults, const oxt_fault *fault);
/* Fill the error with the first fault and the number of all; there must be one. Gives OXT_EPARSE. */
oxt_status oxt_i_faults_error(const oxt_faults *faults, const char *path, oxt_error *error);

/* ---- columns ---- */

#define OXT_I_CSV_MOST_COLUMNS 256
#define OXT_I_CSV_MOST_ROLES 32

typedef struct {
    int role;
    bool has_unit;              /* false: each cell states its own */
    double factor;              /* of the unit; 0: a temperature on `scale` */
    oxt_temperature_unit scale; /* of a temperature */
    char name[48];              /* as the header writes it */
} oxt_i_csv_column;

/* A name of a column without a unit. */
typedef struct {
    const char *word;
    int role;
} oxt_i_csv_word;

/* A name with a unit: "bath_F", "bath (F)", "bath [F]"; a degree sign may stand before C and F. */
typedef struct {
    const char *quantity, *unit;
    int role;
    double factor;
    oxt_temperature_unit scale;
} oxt_i_csv_unit;

/* The units of a temperature and of a time. */
#define OXT_I_CSV_TEMPERATURES(quantity, role)                                                     \
    { quantity, "K", role, 0.0, OXT_UNIT_KELVIN }, { quantity, "C", role, 0.0, OXT_UNIT_CELSIUS }, \
    {                                                                                              \
        quantity, "F", role, 0.0, OXT_UNIT_FAHRENHEIT                                              \
    }
#define OXT_I_CSV_TIMES(quantity, role)                   \
    { quantity, "s", role, 1.0, OXT_UNIT_KELVIN },        \
        { quantity, "min", role, 60.0, OXT_UNIT_KELVIN }, \
    {                                                     \
        quantity, "h", role, 3600.0, OXT_UNIT_KELVIN      \
    }

typedef struct {
    const char *word, *column;
} oxt_i_csv_hint;

typedef struct oxt_i_csv oxt_i_csv;

typedef struct {
    oxt_i_csv *csv;
    const char *cells[OXT_I_CSV_MOST_COLUMNS]; /* "" where the line is too short */
    bool bad_bytes[OXT_I_CSV_MOST_COLUMNS];    /* such a cell is reported once */
    bool good;                                 /* no fault so far */
    const bool
        *is_number; /* of each column of a table in memory: its cells came as numbers; NULL: none */
} oxt_i_csv_row;

/* A cell where it lies in the file. */
typedef struct {
    const char *text;
    size_t length;
} oxt_i_csv_piece;

/* What a module makes of a file. Roles are numbered from 0; a column of none of them has the role
 * `roles`. */
typedef struct {
    const oxt_i_csv_word *words;
    size_t word_count;
    const oxt_i_csv_unit *units;
    size_t unit_count;
    int roles;
    const oxt_i_csv_hint *hints; /* other names that people write, and what they mean */
    size_t hint_count;
    void (*check_header)(oxt_i_csv *csv, void *context);
    bool (*read_row)(oxt_i_csv_row *row, void *context); /* false when memory ran out */
    /* A short way for a line of as many cells as there are columns, without quotes and blanks at their ends. True
     * when the row was taken, as read_row would have; false: nothing was done. NULL: there is none. */
    bool (*read_plain)(const oxt_i_csv *csv, const oxt_i_csv_piece *cells, size_t line,
                       void *context);
    size_t (*count)(const void *context); /* rows kept */
    /* About so many more will come: of a long file, once some of it is read. NULL: nobody asks. */
    void (*expect)(void *context, size_t more);
    size_t least;           /* rows that there must be */
    const char *least_text; /* such as "at least one trial" */
} oxt_i_csv_kind;

/* A text of a length, which the path, where it is not NULL, names in messages; or the file at the path where the text is
 * NULL. */
typedef struct {
    const char *path, *text;
    size_t length;
} oxt_i_csv_source;

/* What is read, when there is `found`, the place for what it becomes, which is called `name`. */
oxt_status oxt_i_csv_check(const oxt_i_csv_source *source, const void *found, const char *name,
                           oxt_faults **faults, oxt_error *error);
/* Faults go to `faults` (NULL allowed) when the contents are at fault. */
oxt_status oxt_i_csv_read(const oxt_i_csv_kind *kind, void *context, const oxt_i_csv_source *source,
                          oxt_faults **faults, oxt_error *error);

/* What separates the columns of a text whose header has some of these: the rule that every reader here goes by. */
oxt_status oxt_i_csv_separator(char *separator, const oxt_i_csv_source *source,
                               const oxt_i_csv_word *words, size_t count, oxt_faults **faults,
                               oxt_error *error);

/* ---- a table in memory, whose cells are made to texts ---- */

/* A reader of columns with these names; NULL when memory ran out. Faults of the names are found already. */
oxt_i_csv *oxt_i_csv_open_table(const oxt_i_csv_kind *kind, void *context, const char *const *names,
                                size_t count);
/* True when the names are at fault, or memory ran out: no row can be read. */
bool oxt_i_csv_is_stopped(const oxt_i_csv *csv);
/* Read a row, numbered from 1, of a cell for each column. One of empty cells is skipped. */
void oxt_i_csv_take_row(oxt_i_csv *csv, size_t number, const char *const *cells,
                        const bool *is_number);
/* A fault of a cell that is no text at all. */
void oxt_i_csv_cell_fault(oxt_i_csv *csv, size_t number, size_t column, const char *found,
                          const char *expected);
/* Close the reader, and hand over its faults as oxt_i_csv_read does. */
oxt_status oxt_i_csv_close_table(oxt_i_csv *csv, oxt_faults **faults, oxt_error *error);

/* ---- for the functions of the module ---- */

bool oxt_i_csv_has(const oxt_i_csv *csv, int role);
void oxt_i_csv_header_fault(oxt_i_csv *csv, const char *column, const char *found,
                            const char *expected);
/* A fault of a column that must be there, which names the one that was probably meant. */
void oxt_i_csv_missing(oxt_i_csv *csv, int role, const char *column, const char *expected);
/* The column that an unknown one was probably meant for, "" for none: one that is not there yet. */
oxt_i_sentence oxt_i_csv_meant(const oxt_i_csv *csv, const char *column);
/* Line of the header. */
size_t oxt_i_csv_header_line(const oxt_i_csv *csv);
bool oxt_i_csv_no_memory(oxt_i_csv *csv);
/* The columns, and their number. */
const oxt_i_csv_column *oxt_i_csv_columns(const oxt_i_csv *csv, size_t *count);
/* Where the row begins, from 1. */
size_t oxt_i_csv_line(const oxt_i_csv_row *row);
/* The cell of a role; "" when there is no such column. */
const char *oxt_i_csv_cell(const oxt_i_csv_row *row, int role);
void oxt_i_csv_row_fault(oxt_i_csv_row *row, int role, const char *found, const char *expected);
/* A fault of the whole row. */
void oxt_i_csv_line_fault(oxt_i_csv_row *row, const char *found, const char *expected);
/* A quantity whose unit the header states, or a plain number, of at most 15 digits with a decimal point at most: what
 * oxt_i_csv_quantity makes of it, to the last bit. False for anything else, and for a point that is not yet known. */
bool oxt_i_csv_quick_number(const oxt_i_csv *csv, const oxt_i_csv_column *column,
                            const oxt_i_csv_piece *cell, double *value);
/* A cell that is a plain number, with a decimal comma or point. */
bool oxt_i_csv_plain_number(const oxt_i_csv_row *row, int role, double *value);

/* A quantity whose unit the header states, or else the cell, read by `parse`; K for a temperature, else
 * in the unit whose factor is 1. NaN for what cannot be read. */
typedef oxt_status (*oxt_i_csv_parser)(const char *text, double *value, oxt_error *error);
double oxt_i_csv_quantity(const oxt_i_csv_row *row, int role, oxt_i_csv_parser parse);
/* A fault of such a cell, which also shows how it is written when it was not read. */
void oxt_i_csv_quantity_fault(oxt_i_csv_row *row, int role, oxt_i_csv_parser parse, double value,
                              const char *expected);

#endif
