/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file cross_validation.h: does a fit predict its own coupons? Each is predicted from the others.
 *
 * Source: M. Stone, J. R. Stat. Soc. B 36 (1974) 111 (a row predicted from the others); C. J. Clopper and
 * E. S. Pearson, Biometrika 26 (1934) 404 (limits of a share); both from memory.
 */
#ifndef OXTINT_CROSS_VALIDATION_H
#define OXTINT_CROSS_VALIDATION_H

#include "oxtint/fit.h"

/** What may be chosen about a cross-validation. */
typedef struct oxt_cross_validation_options {
    size_t struct_size;
    int by_bath;       /* 0: each coupon alone is left out; 1: with all coupons within 5 K of its bath, which
                          shows how far the fit carries to a bath that it has not seen; 0 */
    double confidence; /* of all limits, 0.5 to 0.9999; 0.95 */
    int threads;       /* 1 to 256; 0: one for each processor that the calling thread may run on; 0 */
    oxt_progress_function progress; /* told now and then, the last time with 1; NULL for none */
    void *user;                     /* handed to `progress` */
} oxt_cross_validation_options;

#define OXT_CROSS_VALIDATION_OPTIONS_INIT \
    { sizeof(oxt_cross_validation_options), 0, 0.95, 0, NULL, NULL }

/** How well a fit predicts its own coupons. */
typedef struct oxt_cross_validation_values {
    size_t struct_size;
    size_t coupon_count;    /* coupons that the fit used */
    size_t predicted_count; /* of which the others predict; oxt_cross_validation_row has each reason */
    size_t hit_count;       /* of which show the colour predicted */
    double expected_hits;   /* sum of the chances that were promised */
    double hits_low;        /* limits of the hits to be expected of so many such coupons, by the hits that
                               there were; NaN when none was predicted */
    double hits_high;
    double confidence;      /* of all limits */
    int by_bath;            /* 1: left out with all coupons of its bath */
    oxt_temperature_unit unit;    /* of the log, for reports: oxt_trials_unit when it was read */
} oxt_cross_validation_values;

#define OXT_CROSS_VALIDATION_VALUES_INIT \
    { sizeof(oxt_cross_validation_values), 0, 0, 0, 0.0, 0.0, 0.0, 0.0, 0, \
      OXT_UNIT_CELSIUS }

/** One coupon, predicted from the others. */
typedef struct oxt_cross_validation_row {
    size_t struct_size;
    size_t trial;        /* index in the log, from 0 */
    size_t line;         /* line of the file, 0 when there was none */
    double bath_K;       /* K   as logged */
    double time_s;       /* s   as logged */
    char seen[64];       /* what was seen, in words */
    double observed_nm;  /* nm   geometric mean of what was seen */
    int predicted;       /* 1 when the others predict it; else what follows is NaN, 0 and "" */
    double predicted_nm; /* nm   by the fit of the others */
    double low_nm;       /* nm   limits of its film: error of that fit and scatter of one dip, of a measured
                            coupon also the error of the measurement */
    double high_nm;
    char colour[32];     /* trade colour of predicted_nm */
    double chance;       /* 0 to 1: that such a coupon shows this colour */
    int hit;             /* 1 when it does */
    char reason[96];     /* why the others do not predict it, "" when they do */
} oxt_cross_validation_row;

#define OXT_CROSS_VALIDATION_ROW_INIT                                                               \
    { sizeof(oxt_cross_validation_row), 0, 0, 0.0, 0.0, "", 0.0, 0, 0.0, 0.0, 0.0, "", 0.0, 0, "" }

/** A finished cross-validation: opaque, immutable, shared freely between threads. */
typedef struct oxt_cross_validation oxt_cross_validation;

OXT_BEGIN_DECLS

/**
 * Predict each coupon of a fit from the others.
 *
 * Given:
 *   fit          the fit; not read any more once `progress` is called
 *   options      NULL for the usual ones
 * Returned:
 *   validation   free it with oxt_cross_validation_free
 * Status:
 *   OXT_EARG, OXT_EDOMAIN; OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM. Coupons that the others do not
 *   predict are no failure
 * Notes:
 *   1. For each coupon constants and scatter are found anew from the others, with the options of the fit, its
 *   prior among them, and with each colour read in the order in which the fit read it. With more than 50
 *   coupons of which one is left out the scatter is that of the fit.
 *   2. The chance is what a dip in that bath for that time would have been promised: that the film lies in
 *   the band of the predicted colour. The sum of the chances is to be compared with the hits: a fit that
 *   keeps its promises has about as many, be they high or low.
 *   3. The time grows with the square of the number of coupons.
 */
OXT_API oxt_status oxt_cross_validation_run(oxt_cross_validation **validation, const oxt_fit *fit,
                                            const oxt_cross_validation_options *options,
                                            oxt_error *error);

/**
 * Free a cross-validation.
 *
 * Given:
 *   validation   NULL is ignored
 */
OXT_API void oxt_cross_validation_free(oxt_cross_validation *validation);

/**
 * The numbers of a cross-validation.
 *
 * Given:
 *   validation   the cross-validation
 * Returned:
 *   values       a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_cross_validation_get(const oxt_cross_validation *validation,
                                            oxt_cross_validation_values *values, oxt_error *error);

/**
 * One coupon.
 *
 * Given:
 *   validation   the cross-validation
 *   index        0 to coupon_count - 1, in the order of the log
 * Returned:
 *   row          a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_cross_validation_get_row(const oxt_cross_validation *validation, size_t index,
                                                oxt_cross_validation_row *row, oxt_error *error);

/**
 * The cross-validation as a report to read at the bench: hits against the chances promised, the misses by
 * line, and what could not be predicted.
 *
 * Given:
 *   validation          the cross-validation
 *   unit                scale for temperatures
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_cross_validation_report(const oxt_cross_validation *validation,
                                               oxt_temperature_unit unit, char *buffer,
                                               size_t capacity, size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
