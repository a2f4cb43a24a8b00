/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a log, for the fit. A log keeps each name once, and knows the rows of each steel. */
#ifndef OXTINT_LIB_TRIALS_H
#define OXTINT_LIB_TRIALS_H

#include "internal.h"

#define OXT_I_NO_GROUP SIZE_MAX

/* One steel with one finish, in order of appearance. The texts move when the log grows. */
typedef struct {
    size_t steel; /* of the steels, in order of appearance */
    size_t count; /* trials */
    const char *steel_name, *finish;
} oxt_i_log_group;

/* One trial, put together from what the log keeps. */
oxt_trial oxt_i_trial(const oxt_trials *trials, size_t index);

/* A measured thickness that states nothing but, perhaps, its own error. */
typedef struct {
    double bath_K, time_s, thickness_nm;
    double sigma; /* of ln thickness */
    size_t line;
    uint32_t trial;
} oxt_i_film_row;

/* The trials of a steel, and of one finish unless it is NULL, where all are such thicknesses, in the order of the
 * log; NULL where one is something else. `uncertainty` is the sigma of those that state none. The caller frees them. */
oxt_status oxt_i_log_films(const oxt_trials *trials, size_t steel, const char *finish,
                           double uncertainty, double least_sigma, oxt_i_film_row **films,
                           size_t *count, oxt_error *error);

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

/* The trials of a steel, and of one finish unless it is NULL, in the order of the log. The time goes with the
 * trials of the steel, not with those of the log. The caller frees `rows`. */
oxt_status oxt_i_log_rows(const oxt_trials *trials, size_t steel, const char *finish, size_t **rows,
                          size_t *count, oxt_error *error);

#endif
