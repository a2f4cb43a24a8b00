/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows of a log whose cells have been read to numbers: from a table of columns, or from a file's plain lines. A row
 * that is taken here is what the reader of CSV (trials_csv.c) makes of it; where anything is unusual the row is left
 * to that reader, which has the sentences. */
#ifndef OXTINT_LIB_TRIAL_ROW_H
#define OXTINT_LIB_TRIAL_ROW_H

#include "base/csv_table.h"
#include "trials/trials.h"

/* ---- the columns of a log (trials_csv.c) ---- */

/* Texts in the order of the log's sets, choices, and numbers in the order of oxt_i_field. */
typedef enum {
    OXT_I_ROLE_STEEL = OXT_I_STEELS,
    OXT_I_ROLE_FINISH = OXT_I_FINISHES,
    OXT_I_ROLE_COLOUR = OXT_I_COLOURS,
    OXT_I_ROLE_SRGB = OXT_I_SRGBS,
    OXT_I_ROLE_NOTE = OXT_I_NOTES,
    OXT_I_ROLE_DAY = OXT_I_DAYS,
    OXT_I_ROLE_SHAPE, /* this and the next are choices */
    OXT_I_ROLE_LIFTED,
    OXT_I_ROLE_NUMBERS, /* how many are not numbers */
    OXT_I_ROLE_OTHER = OXT_I_ROLE_NUMBERS +
                       OXT_I_FIELDS /* kept as a note; how many others there are */
} oxt_i_trial_role;

static inline int oxt_i_field_role(oxt_i_field field)
{
    return OXT_I_ROLE_NUMBERS + (int)field;
}
/* The number that a role is; OXT_I_FIELDS for others. */
static inline oxt_i_field oxt_i_role_field(int role)
{
    return role < OXT_I_ROLE_NUMBERS || role == OXT_I_ROLE_OTHER
               ? OXT_I_FIELDS
               : (oxt_i_field)(role - OXT_I_ROLE_NUMBERS);
}
/* Whether it states something of the coupon. */
static inline bool oxt_i_role_is_stated(int role)
{
    oxt_i_field field = oxt_i_role_field(role);
    return (role >= OXT_I_ROLE_DAY && role < OXT_I_ROLE_NUMBERS) ||
           (field >= OXT_I_PART && field < OXT_I_FIELDS);
}
/* Whether a number has no unit. */
bool oxt_i_field_is_plain(oxt_i_field field);

/* ---- rows ---- */

#define OXT_I_EMPTY_CELL UINT32_MAX
#define OXT_I_BAD_CELL (UINT32_MAX - 1)

typedef struct {
    size_t line;
    /* numbers of the log's sets, and choices; OXT_I_EMPTY_CELL, OXT_I_BAD_CELL */
    uint32_t text[OXT_I_ROLE_NUMBERS];
    double number[OXT_I_FIELDS]; /* in the library's units; NaN: empty */
} oxt_i_cells;

#define OXT_I_KNOWN_GROUPS 1024 /* a power of two */

typedef struct {
    oxt_trials *log;
    bool has_stated; /* some cell from OXT_I_PART on, a day or a choice may be given */
    uint32_t no_finish, no_note, no_stated;
    oxt_i_stated_values stated; /* of the row before, and its number */
    uint32_t stated_number;
    double low[OXT_I_FIELDS], high[OXT_I_FIELDS]; /* that each number may be, both ends too */
    struct {
        uint32_t steel, finish, group;
    } known[OXT_I_KNOWN_GROUPS]; /* groups that were taken lately */
} oxt_i_row_maker;

typedef enum { OXT_I_ROW_TAKEN, OXT_I_ROW_UNUSUAL, OXT_I_ROW_NO_MEMORY } oxt_i_row_result;

/* What the reader works with. */
typedef struct {
    oxt_trials *log;
    bool names_listed; /* the trade names have been listed once */
    bool started;      /* what plain lines are read with is there */
    oxt_i_row_maker maker;
    oxt_i_field fields[OXT_I_CSV_MOST_COLUMNS]; /* of each column; OXT_I_FIELDS for texts */
    oxt_i_cells cells; /* of the line before too: what is the same again is not checked again */
    struct {
        char text[64];
        size_t length;
    } last[OXT_I_ROLE_NUMBERS];
} oxt_i_trials_reading;

extern const oxt_i_csv_kind oxt_i_trials_kind;

bool oxt_i_row_start(oxt_i_row_maker *maker, oxt_trials *log);
/* All cells empty. */
void oxt_i_cells_clear(oxt_i_cells *cells);
/* What a text is in a role: its number, OXT_I_EMPTY_CELL, or OXT_I_BAD_CELL. False when memory ran out. */
bool oxt_i_cell_text(oxt_i_row_maker *maker, int role, const char *text, size_t length,
                     uint32_t *number);
oxt_i_row_result oxt_i_row_take(oxt_i_row_maker *maker, const oxt_i_cells *cells);

#endif
