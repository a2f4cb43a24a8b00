/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file fit_each.h: every steel and finish of a log fitted by itself, on the threads of the machine.
 *
 * Each group is fitted as oxt_fit_run would, to the last bit, on any number of threads. A group that cannot
 * be fitted keeps its status and its sentence, and stops no other.
 */
#ifndef OXTINT_FIT_EACH_H
#define OXTINT_FIT_EACH_H

#include "oxtint/fit.h"

/** What may be chosen about many fits. */
typedef struct oxt_fit_each_options {
    size_t struct_size;
    const oxt_fit_options *fit; /* how each is fitted; its steel and finish, where not NULL, say which groups
                                   are; NULL for the usual ones and all groups */
    oxt_progress_function progress; /* NULL for none */
    void *user;                     /* handed to `progress` */
    int threads;                /* 1 to 256; 0: one for each processor that the calling thread may run on, and
                                   no more than the quota of its control group */
} oxt_fit_each_options;

#define OXT_FIT_EACH_OPTIONS_INIT { sizeof(oxt_fit_each_options), NULL, NULL, NULL, 0 }

/** The results of many fits, a group each: opaque, immutable, shared freely between threads. */
typedef struct oxt_fit_each oxt_fit_each;

OXT_BEGIN_DECLS

/**
 * Fit each steel with each of its finishes.
 *
 * Given:
 *   trials    the log; no more is added to it until the call ends
 *   film      the film that colours are read with
 *   options   NULL for the usual ones
 * Returned:
 *   fits      free it with oxt_fit_each_free
 * Status:
 *   OXT_OK also when groups could not be fitted: see oxt_fits_error. OXT_EARG no group is asked for, or a
 *   choice of the fits does not hold; OXT_EDOMAIN; OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM
 */
OXT_API oxt_status oxt_fit_each_run(oxt_fit_each **fits, const oxt_trials *trials, const oxt_film *film,
                                const oxt_fit_each_options *options, oxt_error *error);

/**
 * Free the results.
 *
 * Given:
 *   fits   NULL is ignored
 */
OXT_API void oxt_fit_each_free(oxt_fit_each *fits);

/**
 * Number of groups.
 *
 * Given:
 *   fits   the results
 * Returned:
 *   the number; 0 for NULL
 */
OXT_API size_t oxt_fit_each_count(const oxt_fit_each *fits);

/**
 * Number of groups that could not be fitted.
 *
 * Given:
 *   fits   the results
 * Returned:
 *   the number; 0 for NULL
 */
OXT_API size_t oxt_fit_each_failed(const oxt_fit_each *fits);

/**
 * Steel and finish of a group, and how many trials it has.
 *
 * Given:
 *   fits    the results
 *   index   0 to oxt_fit_each_count - 1, in the order in which the groups first appear in the log
 * Returned:
 *   group   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_fit_each_group(const oxt_fit_each *fits, size_t index, oxt_trial_group *group,
                                  oxt_error *error);

/**
 * The numbers of a group's fit.
 *
 * Given:
 *   fits     the results
 *   index    0 to oxt_fit_each_count - 1
 * Returned:
 *   values   a copy, when the group was fitted
 * Status:
 *   that of the group's fit, with its sentence in the error; OXT_EARG
 */
OXT_API oxt_status oxt_fit_each_get(const oxt_fit_each *fits, size_t index, oxt_fit_values *values,
                                    oxt_error *error);

/**
 * The warnings of a group's fit, a line each, or why it could not be fitted.
 *
 * Given:
 *   fits                the results
 *   index               0 to oxt_fit_each_count - 1
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE
 */
OXT_API oxt_status oxt_fit_each_remarks(const oxt_fit_each *fits, size_t index, char *buffer,
                                        size_t capacity, size_t *needed, oxt_error *error);

/**
 * One number of each group as a column.
 *
 * Given:
 *   fits     the results
 *   name     of a field of oxt_fit_values or of its growth, such as "k_ref_nm2_per_s", "Q_stderr_J_per_mol"
 *            or "used_count"; or "status", "trial_count", "warning_count"
 *   count    of values that there is room for, at least oxt_fit_each_count
 *   stride   bytes from one value to the next
 * Returned:
 *   values   a number for each group; NaN for those that could not be fitted, but for the last three
 * Status:
 *   OXT_EARG there is no such column, or no room
 */
OXT_API oxt_status oxt_fit_each_numbers(const oxt_fit_each *fits, const char *name, size_t count,
                                        double *values, ptrdiff_t stride, oxt_error *error);

/**
 * The whole fit of a group, with rows, warnings and steel: made anew, the same to the last bit.
 *
 * Given:
 *   fits     the results
 *   index    0 to oxt_fit_each_count - 1
 *   trials   the log that they are of
 *   film     the film that they were made with
 * Returned:
 *   fit      free it with oxt_fit_free
 * Status:
 *   as oxt_fit_run
 */
OXT_API oxt_status oxt_fit_each_fit(const oxt_fit_each *fits, size_t index, const oxt_trials *trials,
                                const oxt_film *film, oxt_fit **fit, oxt_error *error);

/**
 * The results as a table to read: steel, finish, rate and Q with their errors, scatter, and what is to be
 * said of each; those that could not be fitted last, with the reason.
 *
 * Given:
 *   fits                the results
 *   unit                scale for temperatures
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_fit_each_report(const oxt_fit_each *fits, oxt_temperature_unit unit, char *buffer,
                                   size_t capacity, size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
