/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a log, for the fit. A log keeps each name once, and knows the rows of each steel. */
#ifndef OXTINT_LIB_TRIALS_H
#define OXTINT_LIB_TRIALS_H

#include "base/intern.h"
#include "trials/trial.h"

#define OXT_I_NO_GROUP SIZE_MAX
#define OXT_I_NO_ROW UINT32_MAX

/* What a trial states beyond its bath, its time and what was seen: mostly the same in all rows of a log, so it is
 * kept once. Filled with 0 before it is used: its bytes are compared. */
typedef struct {
    double number[OXT_I_FIELDS - OXT_I_PART]; /* in the order of oxt_i_field; 0: not stated */
    double part_shape;
    double day;    /* 1 more than its number; 0: not stated */
    double lifted; /* oxt_lifted */
} oxt_i_stated_values;

/* One trial as a log keeps it. Texts and whatever repeats are numbers of interned strings. */
typedef struct {
    double bath_K, time_s, thickness_nm;
    size_t line;
    uint32_t group, next; /* `next`: row of the same group, OXT_I_NO_ROW for the last */
    uint32_t colour;      /* of the names, of the sRGB colours, or of the Labs, as was seen */
    uint32_t stated, note;
    uint8_t seen;
} oxt_i_log_row;

/* What is interned, a set each. */
typedef enum {
    OXT_I_STEELS,
    OXT_I_FINISHES,
    OXT_I_COLOURS,
    OXT_I_SRGBS,
    OXT_I_NOTES,
    OXT_I_DAYS,   /* the last of those that are texts */
    OXT_I_GROUPS, /* steel and finish, two numbers */
    OXT_I_LABS,   /* three doubles */
    OXT_I_STATED, /* oxt_i_stated_values */
    OXT_I_SETS    /* how many there are */
} oxt_i_log_set;

/* One steel with one finish, in order of appearance. The texts move when the log grows. */
typedef struct {
    size_t steel; /* of the steels, in order of appearance */
    size_t count; /* trials */
    size_t finish_number;
    const char *steel_name, *finish;
} oxt_i_log_group;

/* One trial, put together from what the log keeps. */
oxt_trial oxt_i_trial(const oxt_trials *trials, size_t index);

/* A measured thickness that states nothing but, perhaps, its own error: there may be millions. */
typedef struct {
    double bath_K, time_s, thickness_nm;
    uint32_t line, trial;
} oxt_i_film_row;

typedef struct {
    oxt_i_film_row *rows; /* NULL: there are none */
    size_t count;
    double *sigmas; /* of ln thickness, where some state their own; NULL: all have `sigma` */
    double sigma;
} oxt_i_films;

static inline double oxt_i_film_sigma(const oxt_i_films *films, size_t i)
{
    return films->sigmas ? films->sigmas[i] : films->sigma;
}

/* The trials of a steel, and of one finish unless it is NULL, where all are such thicknesses, in the order of the
 * log; none where one is something else. `uncertainty` is the sigma of those that state none. */
oxt_status oxt_i_log_films(const oxt_trials *trials, size_t steel, const char *finish,
                           double uncertainty, double least_sigma, oxt_i_films *films,
                           oxt_error *error);
void oxt_i_films_free(oxt_i_films *films);

/* The rows, as they are kept; they move when the log grows. */
const oxt_i_log_row *oxt_i_log_all_rows(const oxt_trials *trials);
const oxt_i_intern *oxt_i_log_interned(const oxt_trials *trials, oxt_i_log_set set);
oxt_i_stated_values oxt_i_log_stated(const oxt_trials *trials, const oxt_i_log_row *row);

/* ---- filling; false when memory ran out ---- */

/* The number of bytes in a set other than the steels and groups. */
bool oxt_i_log_intern(oxt_trials *trials, oxt_i_log_set set, const void *bytes, size_t length,
                      uint32_t *number);
/* A steel by its name, and a group of a steel and a finish by their numbers; new ones go to the end. */
bool oxt_i_log_take_steel(oxt_trials *trials, const char *name, size_t length, uint32_t *steel);
bool oxt_i_log_take_group(oxt_trials *trials, uint32_t steel, uint32_t finish, uint32_t *group);
/* Where the next row goes, NULL when memory ran out; and taking it, filled with numbers of this log, but for `next`. */
oxt_i_log_row *oxt_i_log_next(oxt_trials *trials);
void oxt_i_log_append(oxt_trials *trials);
/* Room for so many more rows. */
bool oxt_i_log_reserve(oxt_trials *trials, size_t more);

/* What a log held at a time, and forgetting all that was added since. */
typedef struct {
    size_t rows, kept_columns, interned[OXT_I_SETS];
    bool unit_known;
} oxt_i_log_mark;
oxt_i_log_mark oxt_i_log_now(const oxt_trials *trials);
void oxt_i_log_cut(oxt_trials *trials, const oxt_i_log_mark *mark);

/* How many names of steels there are; one whose first group is none has no trial. */
size_t oxt_i_log_steels(const oxt_trials *trials);
const char *oxt_i_log_steel(const oxt_trials *trials, size_t steel);
/* False when the log has no such steel. */
bool oxt_i_log_find_steel(const oxt_trials *trials, const char *name, size_t *steel);

size_t oxt_i_log_groups(const oxt_trials *trials);
oxt_i_log_group oxt_i_log_group_at(const oxt_trials *trials, size_t index);
/* The groups of a steel, OXT_I_NO_GROUP after the last. */
size_t oxt_i_log_first_group(const oxt_trials *trials, size_t steel);
size_t oxt_i_log_next_group(const oxt_trials *trials, size_t index);

/* The trials of a steel, and of one finish unless it is NULL, in the order of the log. The time grows with the
 * trials of the steel, not with those of the log. The caller frees `rows`. */
oxt_status oxt_i_log_rows(const oxt_trials *trials, size_t steel, const char *finish, size_t **rows,
                          size_t *count, oxt_error *error);

const oxt_words *oxt_i_trials_words(const oxt_trials *trials);
/* Those of the log, else those of the film, else NULL: the words of whatever is fitted. */
const oxt_words *oxt_i_words_of_fit(const oxt_trials *trials, const oxt_film *film);

/* Columns of a log's file that became notes, listed as faults are; NULL where there are none. */
bool oxt_i_trials_keep_column(oxt_trials *trials, const oxt_fault *column);
const oxt_faults *oxt_i_trials_kept_columns(const oxt_trials *trials);
/* The scale that a bath was typed on; the first one counts. */
void oxt_i_trials_note_unit(oxt_trials *trials, oxt_temperature_unit unit);

#endif
