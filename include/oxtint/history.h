/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file history.h: a logged temperature, such as that of a thermocouple in a coupon -> exposure.
 *
 * Between two samples the temperature is linear in time. The exposure is the integral of the growth
 * rate k(T(t)), so that a film is known for any heating-up, drift of the bath, or pause.
 */
#ifndef OXTINT_HISTORY_H
#define OXTINT_HISTORY_H

#include "oxtint/faults.h"
#include "oxtint/growth.h"

/* Coldest and hottest sample that is accepted, K. */
#define OXT_HISTORY_LOW_K 200.0
#define OXT_HISTORY_HIGH_K 1300.0

/* Longest time, s, from 0 to either side, so that the clock of a computer will do. */
#define OXT_HISTORY_TIME_HIGH_S 1e12

/** A logged temperature: opaque, immutable. */
typedef struct oxt_history oxt_history;

OXT_BEGIN_DECLS

/**
 * A history from arrays.
 *
 * Given:
 *   n                                  number of samples, 2 or more
 *   time_s, time_stride                s   array and its stride in bytes; each later than the one
 *                                      before, -1e12 to 1e12; they need not begin at 0
 *   temperature_K, temperature_stride  K   the same, OXT_HISTORY_LOW_K to OXT_HISTORY_HIGH_K; stride 0
 *                                      is one value for all
 *   longest_gap_s                      s   longest time between two samples, >= 0; 0: no limit
 * Returned:
 *   history                            free it with oxt_history_free
 * Status:
 *   OXT_EDOMAIN with the sample, from 1, as row of the error; OXT_EFEW fewer than 2, OXT_ENOMEM
 */
OXT_API oxt_status oxt_history_new(oxt_history **history, size_t n, const double *time_s,
                                   ptrdiff_t time_stride, const double *temperature_K,
                                   ptrdiff_t temperature_stride, double longest_gap_s,
                                   oxt_error *error);

/**
 * Read a history from a CSV file, UTF-8, with a header line, or from the text of one.
 *
 * Given:
 *   path            name of the file; with a text it only names the text in messages, and may be NULL
 *   text, length    the text (note), in bytes, which is read instead of a file; NULL for none
 *   longest_gap_s   s   as in oxt_history_new
 * Returned:
 *   history         the whole history, or NULL when anything is wrong: nothing is half-loaded
 *   faults          when the contents are at fault: all faults (beyond 1000 they are only counted), to
 *                   be freed with oxt_faults_free; else NULL. The argument itself may be NULL
 * Status:
 *   OXT_EPARSE with the number of faults and the first one in the error, OXT_EDOMAIN a longest_gap_s
 *   below 0; OXT_EARG, OXT_EIO, OXT_ENOMEM
 * Notes:
 *   Columns, in any order and any case: time_s, time_min or time_h; temperature_F, temperature_C or
 *   temperature_K. The unit may also be in brackets: "temperature (F)". A column time or temperature without
 *   a unit holds texts with units, such as "1:30" or "650 F". Other columns are left out. Blank lines and
 *   lines that begin with # are skipped.
 */
OXT_API oxt_status oxt_history_read_csv(oxt_history **history, const char *path, const char *text,
                                        size_t length, double longest_gap_s, oxt_faults **faults,
                                        oxt_error *error);

/**
 * Free a history.
 *
 * Given:
 *   history   NULL is ignored
 */
OXT_API void oxt_history_free(oxt_history *history);

/**
 * The samples of a history.
 *
 * Given:
 *   history                            the history
 *   capacity                           samples that there is room for, all of them; 0 asks for their number
 *   time_stride, temperature_stride    bytes from one value to the next
 * Returned:
 *   time_s                             s   of each sample; NULL where capacity is 0
 *   temperature_K                      K   the same
 *   count                              number of samples
 * Status:
 *   OXT_EARG; OXT_ESPACE capacity is neither 0 nor enough, and only count is given
 */
OXT_API oxt_status oxt_history_samples(const oxt_history *history, size_t capacity, double *time_s,
                                       ptrdiff_t time_stride, double *temperature_K,
                                       ptrdiff_t temperature_stride, size_t *count,
                                       oxt_error *error);

/**
 * Temperature at a time, linear between samples.
 *
 * Given:
 *   history         the history
 *   time_s          s   from its first sample to its last
 * Returned:
 *   temperature_K   K
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_history_temperature(const oxt_history *history, double time_s,
                                           double *temperature_K, oxt_error *error);

/**
 * Exposure of a stretch of a history; those of adjoining stretches add.
 *
 * Given:
 *   history        the history
 *   growth         the steel's constants
 *   from_s         s   from its first sample on
 *   to_s           s   from from_s to its last sample
 * Returned:
 *   exposure_nm2   nm^2
 * Status:
 *   OXT_EDOMAIN, OXT_ENOMEM
 * Notes:
 *   The integral of k(T) over the linear pieces by Gauss-Legendre quadrature, within 1e-10 of itself.
 */
OXT_API oxt_status oxt_history_exposure(const oxt_history *history, const oxt_growth *growth,
                                        double from_s, double to_s, double *exposure_nm2,
                                        oxt_error *error);

OXT_END_DECLS

#endif
