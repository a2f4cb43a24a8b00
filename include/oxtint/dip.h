/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file dip.h: steel, target and bath -> time, window, intervals, chance, cautions; and back. */
#ifndef OXTINT_DIP_H
#define OXTINT_DIP_H

#include "oxtint/bath.h"
#include "oxtint/heat.h"
#include "oxtint/steel.h"
#include "oxtint/temper.h"
#include "oxtint/tint.h"
#include "oxtint/trials.h"
#include "oxtint/units.h"

/** What may be chosen about a prediction. */
typedef struct oxt_dip_options {
    size_t struct_size;
    double confidence;    /* of the intervals, 0.5 to 0.9999; 0.95 */
    double bath_wander_K; /* K   standard deviation of the bath beyond that of the trials, 0 to 1000; 0 */
    double time_wander_s; /* s   standard deviation of the lift beyond that of the trials, 0 to
                             OXT_TIME_HIGH_S; 0 */
    const oxt_part *part; /* what goes in; of size 0: at bath temperature at once; NULL: like the
                             coupons, those of the card where it states them */
    const oxt_lift *lift; /* its way to the quench; NULL: as the coupons' */
    const oxt_part *coupon;      /* what the trials were run with, for a card that does not state it;
                                    NULL: at bath temperature at once */
    const oxt_lift *coupon_lift; /* its way to the quench; NULL: quenched at once */
    const oxt_target *initial; /* film already there: at its aim, anywhere between its bounds;
                                  NULL: bare steel */
    const oxt_bath *salt_bath; /* its thermometer, wander and salt; NULL: as the trials' */
    double load_kg; /* kg  all such parts that go in together, and cool a salt_bath of limited salt;
                       0 to 1e6; 0: too little to count */
    double last_temper_K; /* K   a hardened part's last temper, as in oxt_temper_options; 0: none */
    double last_temper_s; /* s   its time; 0: none */
    int free_exponent; /* 1: the intervals do not rely on the parabolic law; the film grows as time^m, with m known
                          from the trials and beforehand as 1/2 within 0.1; 0 */
    double reader_sd;  /* standard deviation of ln thickness by which who judges the dip may see each colour begin and
                          end elsewhere than who read the trials, 0 to 1; 0: the same eyes */
} oxt_dip_options;

#define OXT_DIP_OPTIONS_INIT \
    { sizeof(oxt_dip_options), 0.95, 0.0, 0.0, NULL, NULL, NULL, NULL, NULL, NULL, 0.0, 0.0, 0.0, 0, \
      0.0 }

/** Where the part or the lift of a prediction comes from. */
typedef enum oxt_path_source {
    OXT_PATH_INSIDE = 0, /* like the coupons, whose own is inside the constants: its size is not known */
    OXT_PATH_COUPON = 1, /* that of the coupons: of the card, or named as options.coupon */
    OXT_PATH_NAMED = 2   /* named in the options */
} oxt_path_source;

/** A predicted dip. Times count from entering the bath, as those of the trials do. */
typedef struct oxt_dip {
    size_t struct_size;
    double bath_K;          /* K   as its thermometer reads */
    oxt_target target;      /* what was asked for */
    double time_s;          /* s   when to lift */
    double earliest_s;      /* s   from here on the part shows the target */
    double latest_s;        /* s   from here on it no longer does */
    double confidence;      /* of the four limits below */
    double interval_low_s;  /* s   lift-time uncertainty, fit only */
    double interval_high_s;
    double next_low_s;      /* s   lift-time uncertainty, next dip: with its scatter */
    double next_high_s;
    double chance;          /* 0 to 1: of the wanted colour, lifted at time_s */
    uint32_t cautions;      /* bits of oxt_caution */
    double lag_s;           /* s   heating-up time included in time_s; 0 without a part */
    double lift_growth_nm;  /* nm  that grow between the lift and the quench; 0 without a lift */
    double initial_nm;      /* nm  film that was already there */
    double quench_nm;       /* nm  film in the quench; above the aim only where time_s is 0 and the lift
                                   alone grows more */
    oxt_path_source part_source; /* where the part comes from */
    oxt_path_source lift_source; /* where the lift comes from */
    oxt_shape part_shape;   /* of the part that was included */
    double part_size_m;     /* m   its size, see oxt_shape; 0: at bath temperature at once */
    double lift_s;          /* s   from leaving the bath to the quench; 0: quenched at once */
    char part_text[160];    /* part and lift in words: "2 mm plate, 4 s to the quench, as the coupons" */
    double crust_s;         /* s   until salt that froze on the part has melted; 0: none freezes, or the salt
                                   is not stated */
    double preheat_saves_s; /* s   by which the lift comes sooner if the part is warmed to the melting point
                                   of the salt first; 0 where none freezes */
    double law_time_s;      /* s   when to lift by the exponent of the trials' own growth, or by the parabolic law where
                                   the card has another one and the film is not among those of its trials; else time_s */
    double sag_K;           /* K   by which the load cools the bath at most, included in time_s; 0 without a load */
    double coupon_time_s;   /* s   after which a coupon of the trials, lifted in the same bath, has the same film from
                                   bare steel; 0: the constants of the card stand for the steel itself */
} oxt_dip;

#define OXT_DIP_INIT                                                                          \
    { sizeof(oxt_dip), 0.0, OXT_TARGET_INIT, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0.0, \
      0.0, 0.0, 0.0, OXT_PATH_INSIDE, OXT_PATH_INSIDE, OXT_SHAPE_PLATE, 0.0, 0.0, "", 0.0, 0.0, 0.0, 0.0, \
      0.0 }

OXT_BEGIN_DECLS

/**
 * Predict the dip for a target in a bath.
 *
 * Given:
 *   steel     the steel, with 1 degree of freedom or more [1]
 *   target    what is wanted
 *   bath_K    K   as its thermometer reads, OXT_BATH_LOW_K to OXT_BATH_HIGH_K; outside the trials it
 *             is answered with a caution
 *   options   part, lift, coupon [2], film already there [3], bath [4], last temper [5]; NULL for the usual
 *             ones
 * Returned:
 *   dip       the prediction [6]; all times 0 where the film already there shows the target's aim
 * Status:
 *   OXT_EDOMAIN also a coupon that would have been lifted before it was hot, OXT_EUNREACHABLE the film
 *   would take longer than OXT_TIME_HIGH_S, the film already there is past the target, or the lift alone
 *   grows past it, OXT_EARG also a coupon named for a card that states its own, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   1. A card whose constants stand for the steel itself (oxt_steel_values.basis) states its usual coupon:
 *      part and lift are like it unless others are named, and a coupon must not be named.
 *   2. The times of any other card include the heating-up of its coupons and their growth on the way to the
 *      quench: name the coupon and the part, and the difference between the two is included.
 *   3. A film already there is taken to lie evenly between its bounds: their distance over the root of 12 is
 *      its standard error.
 *   4. A salt_bath adds its offset to the reading, its wander and the error of its thermometer to the wander;
 *      with a load and a limited mass of salt it sags.
 *   5. A dip that would soften a part whose last temper is stated carries OXT_CAUTION_HARDENED; all of its
 *      time counts as hot.
 *   6. earliest_s <= time_s <= latest_s, and each interval holds time_s; its upper end is HUGE_VAL where few
 *      coupons and a high confidence leave no limit. Where the lift alone grows more than the aim, but
 *      still shows the target, time_s is 0 and chance that of the film it gives.
 */
OXT_API oxt_status oxt_dip_predict(const oxt_steel *steel, const oxt_target *target, double bath_K,
                                   const oxt_dip_options *options, oxt_dip *dip, oxt_error *error);

/**
 * The dip, and with it the bath, that gives a target in a given time.
 *
 * Given:
 *   steel     the steel; Q > 0
 *   target    what is wanted
 *   time_s    s   above 0, up to OXT_TIME_HIGH_S
 *   options   NULL for the usual ones
 * Returned:
 *   dip       the prediction in that bath, OXT_BATH_LOW_K to OXT_BATH_HIGH_K, with its cautions
 * Status:
 *   OXT_EDOMAIN, OXT_EUNREACHABLE no such bath gives it, OXT_ENOCONV, OXT_ENOMEM
 */
OXT_API oxt_status oxt_dip_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
                                    const oxt_dip_options *options, oxt_dip *dip,
                                    oxt_error *error);

/**
 * One dip of several predictions, of which each may be the right one, such as by cards of several laws of growth.
 *
 * Given:
 *   dips      [count]   predictions for one target and part in one bath at one confidence, each with time_s > 0
 *   weights   [count]   0 to 1e300, how likely each is; only their ratios count. For laws: oxt_law_result.weight
 *   count     1 to 64
 * Returned:
 *   average   times, limits and chance of all [1], with their cautions but OXT_CAUTION_OTHER_LAW; the rest is that
 *             of the dip with the largest weight. It may be one of those given
 * Status:
 *   OXT_EARG also another bath, target, part or confidence than the first one's; OXT_EDOMAIN also weights that are all 0;
 *   OXT_ENOCONV
 * Source:
 *   averaging by Akaike weights: K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference, 2002,
 *   chapter 4 (from memory); a mixture in place of their sum of variances is oxtint's own
 * Notes:
 *   1. The logarithms of time_s, earliest_s and latest_s are means by weight. Each prediction takes ln time as normal
 *      on either side of its own time, as wide as its limits say. The limits of the average leave out as much of the
 *      mixture of these below as above, so they are the wider the farther the predictions differ: 0 or HUGE_VAL where
 *      some have no limit. The chance is the mean of those stated, each less what lifting at another time than its own
 *      costs.
 */
OXT_API oxt_status oxt_dip_average(const oxt_dip *const *dips, const double *weights, size_t count,
                                   oxt_dip *average, oxt_error *error);

/**
 * Equivalent time of a coupon: the time at bath temperature that grows as much as its own time did, at which
 * a chart of the card shows it.
 *
 * Given:
 *   steel          the steel
 *   trial          the coupon; what was seen on it does not matter, but must be sound
 * Returned:
 *   equivalent_s   s   >= 0
 * Status:
 *   OXT_EARG, OXT_EDOMAIN, OXT_EPARSE, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   Heating-up is subtracted and growth on the way to the quench added, of the coupon that the trial states
 *   or else of the card's usual one. Where the constants of the card include the path of its coupons
 *   (oxt_steel_values.basis), it is the coupon's own time.
 */
OXT_API oxt_status oxt_dip_equivalent_time(const oxt_steel *steel, const oxt_trial *trial,
                                           double *equivalent_s, oxt_error *error);

/**
 * A dip as a report to read at the bench, with its cautions.
 *
 * Given:
 *   dip                 the prediction
 *   unit                scale for temperatures
 *   detail              how much of each caution
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_dip_report(const oxt_dip *dip, oxt_temperature_unit unit,
                                  oxt_caution_detail detail, char *buffer, size_t capacity,
                                  size_t *needed, oxt_error *error);

/**
 * A dip as JSON, for machines: fields by their names here, numbers in their units, null for what is not finite.
 *
 * Given:
 *   dip                 the prediction
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_dip_json(const oxt_dip *dip, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
