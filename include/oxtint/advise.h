/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file advise.h: the next coupons that help most.
 *
 * The narrower its band, the more a coupon tells, unless its colour may be mistaken for another. With g the
 * gradient of ln x by (ln k_ref, Q) and v the variance of what is read off the coupon, the
 * covariance of the constants becomes (S^-1 + sum g g'/v)^-1. The coupons are chosen together, so
 * that this leaves the time of one dip (c-optimal), or both constants (D-optimal), least uncertain; or m of x
 * growing as time^m, by which laws differ (c-optimal in three).
 *
 * Source: V. V. Fedorov, Theory of Optimal Experiments (1972), exchange of points; from memory.
 */
#ifndef OXTINT_ADVISE_H
#define OXTINT_ADVISE_H

#include "oxtint/film.h"
#include "oxtint/steel.h"
#include "oxtint/tint.h"
#include "oxtint/units.h"

/* Most coupons that are advised at once. */
#define OXT_ADVICE_HIGH 4

/** What the coupons are for. */
typedef enum oxt_criterion {
    OXT_ADVISE_DIP = 0,      /* the time of one dip */
    OXT_ADVISE_CONSTANTS = 1, /* ln k_ref and Q together */
    OXT_ADVISE_LAW = 2        /* the law of growth: m of x growing as time^m, 1/2 of the parabolic law */
} oxt_criterion;

/** What may be chosen about the advice. */
typedef struct oxt_advise_options {
    size_t struct_size;
    double low_K;              /* K   coldest bath allowed, OXT_BATH_LOW_K to high_K; 533.15 */
    double high_K;             /* K   hottest bath allowed, up to OXT_BATH_HIGH_K; 644.26 */
    double shortest_s;         /* s   shortest time that can be kept well, above 0; 15 */
    double longest_s;          /* s   longest time allowed, up to OXT_TIME_HIGH_S; 3600 */
    size_t count;              /* coupons wanted, 1 to OXT_ADVICE_HIGH; 3 */
    oxt_criterion criterion;   /* OXT_ADVISE_DIP */
    int highest_order;         /* 2: colours of the second order count too; 1 */
    double target_bath_K;      /* K   bath of that dip; 0: middle of the range in 1/T */
    const oxt_target *target;  /* what it is to show; NULL: any, the advice is the same */
} oxt_advise_options;

#define OXT_ADVISE_OPTIONS_INIT \
    { sizeof(oxt_advise_options), 533.15, 644.26, 15.0, 3600.0, 3, OXT_ADVISE_DIP, 1, 0.0, \
      NULL }

/** One advised coupon. */
typedef struct oxt_advised_coupon {
    size_t struct_size;
    double bath_K;         /* K    whole kelvins above the coldest bath, or the hottest */
    double time_s;         /* s    whole */
    char label[32];        /* band that is to be expected, as in oxt_tint */
    double thickness_nm;   /* nm   film that is to be expected */
    double chance;         /* 0 to 1: that its colour is usable */
    double half_width;     /* of the 95 % interval of ln time of the dip after the coupons so far, which three refits
                              in four do not exceed */
    double interval_ratio; /* the half-width to be expected over the one now */
    size_t count;          /* coupons that were advised in all, 1 to OXT_ADVICE_HIGH */
    uint32_t cautions;     /* bits of oxt_caution */
    double exponent_stderr; /* of OXT_ADVISE_LAW: standard error of m to be expected after the coupons so far; else 0 */
} oxt_advised_coupon;

#define OXT_ADVISED_COUPON_INIT { sizeof(oxt_advised_coupon), 0.0, 0.0, "", 0.0, 0.0, 0.0, 0.0, 0, 0, 0.0 }

/** Advice: opaque, immutable, shared freely between threads. */
typedef struct oxt_advise oxt_advise;

OXT_BEGIN_DECLS

/**
 * The next coupons that help most.
 *
 * Given:
 *   steel     the steel, with 1 degree of freedom or more; a card from a prior alone will do
 *   film      the film that the colours will be read with
 *   options   NULL for the usual ones
 * Returned:
 *   advice    the coupons [1, 2, 3] and what they leave uncertain [4]; free it with oxt_advise_free
 * Status:
 *   OXT_EDOMAIN, OXT_EARG unknown criterion, OXT_EUNREACHABLE no bath and time allowed shows a colour
 *   that is informative, the card states no error for the dip, or the dip takes longer than
 *   OXT_TIME_HIGH_S; OXT_ENOMEM
 * Notes:
 *   1. What a coupon may show is weighed by its chance: the error of the card and the scatter spread it over
 *      the bands. A share does not count where it is bright, silver or past the second order, or where its
 *      name occurs in two orders of which the other has a chance of more than 1 in 20. The film expected
 *      always counts.
 *   2. The second order does not count unless it is asked for: its narrow bands promise much, but a name
 *      without its order is soon taken for the first.
 *   3. Repeats are advised where they are best.
 *   4. With OXT_ADVISE_LAW the error of m is that of the card, of one that states none 0.1; about the middle film of
 *      the trials it is taken not to go with those of ln k_ref and Q. Films far from the middle one tell most.
 *   5. Half-widths are of Student's t; each coupon adds a degree of freedom. They take what a coupon shows in three
 *      cases of four at least, and the scatter of the card, larger by what three refits in four do not exceed. The
 *      first coupon of a card without trials counts as a fit of one coupon with a prior does.
 */
OXT_API oxt_status oxt_advise_run(oxt_advise **advice, const oxt_steel *steel, const oxt_film *film,
                                  const oxt_advise_options *options, oxt_error *error);

/**
 * Free advice.
 *
 * Given:
 *   advice   NULL is ignored
 */
OXT_API void oxt_advise_free(oxt_advise *advice);

/**
 * One advised coupon.
 *
 * Given:
 *   advice   the advice
 *   index    0 to count - 1, count as in the options and in each coupon; the one that helps most comes first
 * Returned:
 *   coupon   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_advise_get(const oxt_advise *advice, size_t index, oxt_advised_coupon *coupon,
                                  oxt_error *error);

/**
 * The advice as a report to read at the bench, with its cautions.
 *
 * Given:
 *   advice              the advice
 *   unit                scale for temperatures
 *   detail              how much of each caution
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_advise_report(const oxt_advise *advice, oxt_temperature_unit unit,
                                     oxt_caution_detail detail, char *buffer, size_t capacity,
                                     size_t *needed, oxt_error *error);

/**
 * Advice as JSON, for machines: fields by their names here, numbers in their units, null for what is not finite.
 *
 * Given:
 *   advice              the advice
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_advise_json(const oxt_advise *advice, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
