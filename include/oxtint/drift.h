/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file drift.h: has the bath, or the steel, changed since the log was begun?
 *
 * A salt ages, a thermocouple drifts, another bar of steel is cut: from some coupon on the rate has
 * changed. The residuals of a fit in the order of its log are searched for the step that explains
 * them best. The constants and the scatter of the fit contain a part of such a step; therefore each
 * step is fitted together with ln k_ref and Q, and compared with the scatter that is left beside it.
 * Where the log states its days a trend over them is fitted too: a bath that ages a little every day.
 *
 * Sources: a step as a change of level in the order of time: E. S. Page, Biometrika 41 (1954) 100;
 * its place by least squares: D. V. Hinkley, Biometrika 57 (1970) 1; the largest of Student's t
 * over all places: K. J. Worsley, J. Am. Stat. Assoc. 74 (1979) 365. All from memory.
 */
#ifndef OXTINT_DRIFT_H
#define OXTINT_DRIFT_H

#include "oxtint/fit.h"

/* Fewest coupons in which a drift can be found. */
#define OXT_DRIFT_COUPONS 8

/* Fewest days in which a trend over them can be found. */
#define OXT_DRIFT_DAYS 5

/** What may be chosen about a drift. */
typedef struct oxt_drift_options {
    size_t struct_size;
    double false_alarm; /* chance of a false alarm in a stable log, 0.001 to 0.1; 0.01 */
    double confidence;  /* of the limits, 0.5 to 0.9999; 0.95 */
} oxt_drift_options;

#define OXT_DRIFT_OPTIONS_INIT { sizeof(oxt_drift_options), 0.01, 0.95 }

/** Whether a log has drifted, and by how much. */
typedef struct oxt_drift {
    size_t struct_size;
    int called;              /* 1 when a drift was found, else 0 */
    size_t coupon_count;     /* coupons that the fit used */
    size_t since;            /* first coupon after the change: index in the log, from 0; of a trend
                                the first of all */
    size_t line;             /* its line of the file, 0 when there was none */
    size_t after_count;      /* coupons used from there on */
    double rate_factor;      /* rate after over rate before: 0.88 is 12 % slow; of a trend that of
                                the last day over that of the first */
    double rate_factor_low;  /* its limits */
    double rate_factor_high;
    double anchor_factor;    /* what to multiply the fit's k_ref by, Q kept, to have the rate after,
                                of a trend on the last day */
    double confidence;       /* of the limits */
    double statistic;        /* largest |t| of a step; NaN with too few coupons */
    double limit;            /* of the statistic, above which a drift is called; NaN with too few
                                coupons */
    uint32_t cautions;       /* bits of oxt_caution, for the baths of the log */
    int trend;               /* 1 when what is called is a trend over the days, 0 for a step */
    size_t day_count;        /* days of those coupons, 0 when the log states none */
    double rate_factor_per_day; /* of a trend: rate of a day over that of the day before, else 1 */
    double trend_statistic;  /* |t| of the trend; NaN with too few days */
    double trend_limit;      /* of it, above which a trend is called; NaN with too few days */
} oxt_drift;

#define OXT_DRIFT_INIT                                                                            \
    {                                                                                             \
        sizeof(oxt_drift), 0, 0, 0, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, 0, 0.0, 0.0, 0.0 \
    }

OXT_BEGIN_DECLS

/**
 * Look for a drift in the log of a fit, whose order is taken as that of time.
 *
 * Given:
 *   fit       the fit
 *   options   NULL for the usual ones
 * Returned:
 *   drift     the answer; when it is not called, since, line and after_count are 0, the three factors
 *             1, and the limits of rate_factor NaN
 * Status:
 *   OXT_EARG, OXT_EDOMAIN, OXT_ENOMEM
 * Notes:
 *   1. The step is looked for between the third coupon and the third from the end. Residuals beyond
 *   twice the usual one are clipped at that value, so that one bad coupon is no drift. In fewer than
 *   OXT_DRIFT_COUPONS coupons no drift is called. Where the baths changed together with the order, a
 *   drift cannot be distinguished from another Q, and is not called.
 *   2. The chance of a false alarm is that of one look: with 0.01 a shop that looks after every coupon
 *   from the 8th to the 40th gets a false alarm in 6 of 100 logs, with 0.001 in 1.
 *   3. A drift that is only just called is overstated: one that looks smaller is not called yet.
 *   4. A trend is looked for in OXT_DRIFT_DAYS days or more, in the order in which the log has them: the
 *   slope of the day effects by Student's t with the degrees of freedom of the days. The false alarm is
 *   then shared, half for steps and half for the trend. Of both beyond their limits the one that chance
 *   would do less often is called. A trend goes on: the next day is rate_factor_per_day times the last.
 */
OXT_API oxt_status oxt_drift_find(const oxt_fit *fit, const oxt_drift_options *options,
                                  oxt_drift *drift, oxt_error *error);

/**
 * A drift in one sentence, with what to do about it, and the cautions.
 *
 * Given:
 *   drift               the answer
 *   detail              how much of each caution
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN, OXT_ESPACE
 */
OXT_API oxt_status oxt_drift_report(const oxt_drift *drift, oxt_caution_detail detail, char *buffer,
                                    size_t capacity, size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
