/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file record.h: dips made by a card, recorded: does it keep what it promises?
 *
 * Sources: C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404 (limits of a share); Y. H. Wang,
 * Statistica Sinica 3 (1993) 295 (number of hits of unequal chances); both from memory.
 */
#ifndef OXTINT_RECORD_H
#define OXTINT_RECORD_H

#include "oxtint/dip.h"

/* Classes of promised chances: up to 50, 70, 85, 95 and 100 %. */
#define OXT_RECORD_BINS 5

/** What is recorded of a dip beside what came out. */
typedef struct oxt_record_options {
    size_t struct_size;
    double time_s;     /* s   when it was lifted, up to OXT_TIME_HIGH_S; 0: as predicted; 0 */
    const char *label; /* kept with it, such as a date, at most 63 bytes; NULL for none */
} oxt_record_options;

#define OXT_RECORD_OPTIONS_INIT { sizeof(oxt_record_options), 0.0, NULL }

/** What came of the dips of a card beside what was promised. */
typedef struct oxt_record {
    size_t struct_size;
    char name[132];        /* steel and finish, for the report */
    size_t dip_count;      /* dips recorded */
    size_t promised_count; /* of which lifted as predicted, by the rate that the card has now; the rest of
                              this struct is about these */
    size_t hit_count;      /* of which showed the wanted colour */
    double expected_hits;  /* sum of the chances promised */
    double confidence;     /* of the two limits, 0.95 */
    double hits_low;       /* limits of the hits to be expected of so many such dips, by the hits that there
                              were; NaN without a dip */
    double hits_high;
    double p_value;        /* chance of so few hits if every promise were kept; 1 without a dip */
    double recent_p_value; /* the same of the last 20 */
    double false_alarm;    /* chance that a card which keeps its promises is said not to */
    int kept;              /* 0 when the smaller of the two is below half the false alarm, else 1 */
    double bin_count[OXT_RECORD_BINS];    /* dips by the chance promised, as OXT_RECORD_BINS has it */
    double bin_expected[OXT_RECORD_BINS]; /* sum of their chances */
    double bin_hits[OXT_RECORD_BINS];
} oxt_record;

#define OXT_RECORD_INIT                                                                                  \
    { sizeof(oxt_record), "", 0, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, { 0.0 }, { 0.0 }, { 0.0 } }

OXT_BEGIN_DECLS

/**
 * Record a dip with the card that promised it. The card itself is another one, all else the same.
 *
 * Given:
 *   steel      the steel
 *   film       the film that `seen` is read with
 *   dip        what was promised by the steel
 *   seen       what came out, as in oxt_tint_target: a trade name, "bright" among them, "57 nm" or "#2b3a67"
 *   options    NULL for the usual ones (notes 1 and 2)
 * Returned:
 *   recorded   free it with oxt_steel_free
 * Status:
 *   OXT_EARG, OXT_EDOMAIN; OXT_EPARSE `seen` is no colour; OXT_EUNREACHABLE no film has it; OXT_ENOMEM
 * Notes:
 *   1. A dip lifted more than 2 % and more than a second off the predicted time is recorded as a coupon, but
 *   nothing was promised of it.
 *   2. A hit is a film within the bounds of the target; of a name the middle of its band.
 *   3. A card keeps OXT_RECORD_MOST dips; of more the oldest go.
 */
OXT_API oxt_status oxt_record_add(oxt_steel **recorded, const oxt_steel *steel, const oxt_film *film,
                                  const oxt_dip *dip, const char *seen,
                                  const oxt_record_options *options, oxt_error *error);

/**
 * What came of the recorded dips beside what was promised.
 *
 * Given:
 *   steel         the steel
 *   false_alarm   chance that a card which keeps its promises is said not to, at one look, 0.001 to 0.1
 * Returned:
 *   record        the numbers
 * Status:
 *   OXT_EARG, OXT_EDOMAIN
 */
OXT_API oxt_status oxt_record_get(const oxt_steel *steel, double false_alarm, oxt_record *record,
                                  oxt_error *error);

/**
 * The recorded dips as coupons, at the end of a log: all of them, or none.
 *
 * Given:
 *   steel    the steel
 *   trials   the log; each gets steel and finish of the card, and part and lift [1]
 * Status:
 *   OXT_EARG, OXT_ENOMEM, and what oxt_trials_add refuses
 * Notes:
 *   1. Those that were named, where the constants of the card stand for the steel itself (oxt_steel_values.basis).
 *   Where they include the path of its coupons, a dip is a coupon without part and lift, and its time that of the
 *   coupon that would have had the same film (oxt_recorded_dip.coupon_time_s).
 */
OXT_API oxt_status oxt_record_trials(const oxt_steel *steel, oxt_trials *trials, oxt_error *error);

/**
 * The record as a report to read at the bench: hits against promises, a calibration table, and whether the
 * card keeps its promises.
 *
 * Given:
 *   record              the numbers
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_record_report(const oxt_record *record, char *buffer, size_t capacity,
                                     size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
