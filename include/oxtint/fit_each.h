/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file fit_each.h: every steel and finish of a log fitted by itself, on the threads of the machine.
 *
 * Each group is fitted as oxt_fit_run would (oxt_laws_fit, with best_law), to the last bit, on any number of threads. A group that cannot
 * be fitted keeps its status and its sentence, and stops no other.
 */
#ifndef OXTINT_FIT_EACH_H
#define OXTINT_FIT_EACH_H

#include "oxtint/fit.h"

/** What may be chosen about many fits. */
typedef struct oxt_fit_each_options {
    size_t struct_size;
    const oxt_fit_options *fit; /* of each fit; its steel and finish, where not NULL, choose the groups; NULL
                                   for the usual ones and all groups */
    oxt_progress_function progress; /* NULL for none */
    void *user;                     /* handed to `progress` */
    int threads;                /* 1 to 256; 0: one for each processor that the calling thread may run on, and
                                   no more than the quota of its control group */
    int best_law;               /* 1: each group by the law that its trials show, as oxt_laws_fit; 0: all by that of
                                   the fits */
} oxt_fit_each_options;

#define OXT_FIT_EACH_OPTIONS_INIT { sizeof(oxt_fit_each_options), NULL, NULL, NULL, 0, 0 }

/** One steel with one finish, and whether it could be fitted. */
typedef struct oxt_fit_each_group {
    size_t struct_size;
    char steel[64];
    char finish[64];            /* "" for trials that state none */
    size_t trial_count;
    oxt_status status;          /* of its fit; oxt_fit_each_remarks has the sentence */
} oxt_fit_each_group;

#define OXT_FIT_EACH_GROUP_INIT { sizeof(oxt_fit_each_group), "", "", 0, OXT_OK }

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
 *   OXT_OK also when groups could not be fitted: see oxt_fit_each_get. OXT_EARG no group is asked for, or a
 *   option of the fits is not allowed; OXT_EDOMAIN; OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM
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
 * Number of groups; 0 for NULL.
 *
 * Given:
 *   fits     the results
 * Returned:
 *   failed   how many of them could not be fitted; NULL allowed
 */
OXT_API size_t oxt_fit_each_count(const oxt_fit_each *fits, size_t *failed);

/**
 * A group and the numbers of its fit. oxt_fit_run with its steel and finish, and the same options and film,
 * makes the whole fit with rows and steel, the same to the last bit.
 *
 * Given:
 *   fits     the results
 *   index    0 to oxt_fit_each_count - 1, in the order in which the groups first appear in the log
 * Returned:
 *   group    a copy; NULL allowed
 *   values   a copy, of NaN and 0 when the group could not be fitted; NULL allowed
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_fit_each_get(const oxt_fit_each *fits, size_t index, oxt_fit_each_group *group,
                                    oxt_fit_values *values, oxt_error *error);

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
 * The results as a table to read: steel, finish, rate and Q with their errors, scatter and the number of
 * warnings; those that could not be fitted last, with the reason.
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
