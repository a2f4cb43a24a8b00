/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up shops for the advice: a steel of unknown constants, a log of six named coupons, and what
 * three more are worth. Whoever includes it defines OK(call), which must hold, and default_film(). */
#ifndef OXTINT_TEST_SHOPS_H
#define OXTINT_TEST_SHOPS_H

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "oxtint.h"

static const double SHOP_SCATTER = 0.06;
enum { SHOP_COUPONS = 6, SHOP_MORE = 3 };

/* How the shops work. */
typedef struct {
    double scatter;    /* as in oxt_fit_options */
    double middle_nm;  /* that the even grid aims at */
    int highest_order; /* as in oxt_advise_options */
    bool bare_names;   /* logged without their order */
    bool
        in_the_middle; /* the dip is in the middle of the baths of the log, else anywhere from 500 to 700 F */
} shop_rules;

typedef struct {
    const shop_rules *rules;
    oxt_growth truth;
    oxt_trial coupons[SHOP_COUPONS];
    double target_bath_K;
    oxt_law law; /* of its steel, with n of the power law about 40 nm */
    double n;
} shop;

static double shop_time(const oxt_growth *growth, double film_nm, double bath_K, double shortest_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double time_s = 0.0;
    OK(oxt_time_for_thickness(growth, film_nm, bath_K, &time_s, &error));
    return fmin(fmax(round(time_s), shortest_s), OXT_TIME_HIGH_S);
}

/* A coupon as it comes out; false when it is past the second order, which has no name. */
static bool shop_dip(gsl_rng *random, const shop *of, double bath_K, double time_s,
                     oxt_trial *trial)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double film_nm = 0.0;
    *trial = (oxt_trial)OXT_TRIAL_INIT;
    strcpy(trial->steel, "Alder 1");
    trial->bath_K = bath_K;
    trial->time_s = time_s;
    OK(oxt_thickness(&of->truth, bath_K, time_s, &film_nm, &error));
    film_nm *= exp(gsl_ran_gaussian(random, SHOP_SCATTER));
    if (oxt_tint_at(default_film(), film_nm, &tint, &error))
        return false;
    strcpy(trial->colour, of->rules->bare_names ? tint.name : tint.label);
    return true;
}

/* Two or three baths 15 to 35 K apart; films even in ln thickness from faint straw to silver. */
static void shop_open(gsl_rng *random, shop *made)
{
    double baths_K[3];
    int count = 2 + (int)gsl_rng_uniform_int(random, 2);
    made->truth = (oxt_growth)OXT_GROWTH_INIT;
    made->truth.k_ref_nm2_per_s = exp(gsl_ran_flat(random, log(15.0), log(80.0)));
    made->truth.T_ref_K = 588.7;
    made->truth.Q_J_per_mol = gsl_ran_flat(random, 65e3, 95e3);
    made->truth.law = made->law;
    made->truth.shape = made->law ? made->n : 0.0;
    made->truth.middle_nm = made->law ? 40.0 : 0.0;
    made->target_bath_K = gsl_ran_flat(random, 533.15, 644.26);
    baths_K[0] = round(gsl_ran_flat(random, 545.0, 580.0));
    for (int i = 1; i < count; i++)
        baths_K[i] = baths_K[i - 1] + round(gsl_ran_flat(random, 15.0, 35.0));
    if (made->rules->in_the_middle)
        made->target_bath_K = 0.5 * (baths_K[0] + baths_K[count - 1]);
    for (int i = 0; i < SHOP_COUPONS; i++) {
        double bath_K = baths_K[i % count];
        double aim_nm = exp(gsl_ran_flat(random, log(9.0), log(93.0)));
        while (!shop_dip(random, made, bath_K, shop_time(&made->truth, aim_nm, bath_K, 5.0),
                         &made->coupons[i]))
            ;
    }
}

/* The shop's steel after some more coupons; false when its log can not be fitted. */
static bool shop_fit(const shop *of, const oxt_trial *more, size_t count, oxt_steel **steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_fit *fit;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.scatter = of->rules->scatter;
    OK(oxt_trials_new(&log, NULL, &error));
    for (size_t i = 0; i < SHOP_COUPONS; i++)
        OK(oxt_trials_add(log, &of->coupons[i], NULL, &error));
    for (size_t i = 0; i < count; i++)
        OK(oxt_trials_add(log, &more[i], NULL, &error));
    bool fitted = !oxt_fit_run(&fit, log, default_film(), &options, &error);
    oxt_trials_free(log);
    if (!fitted)
        return false;
    OK(oxt_fit_steel(fit, steel, &error));
    oxt_fit_free(fit);
    return true;
}

/* Half the 95 % interval of ln time of a dip. */
static double half_width(const oxt_steel *steel, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    OK(oxt_dip_predict(steel, &target, bath_K, NULL, &dip, &error));
    return log(dip.interval_high_s / dip.time_s);
}

/* The coupons of an advice, as they come out of the bath. A coupon without a name is dipped again. */
static void shop_follow(gsl_rng *random, const shop *of, const oxt_advise *advice, oxt_trial *more)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    coupon.count = 1;
    for (size_t i = 0; i < coupon.count; i++) {
        OK(oxt_advise_get(advice, i, &coupon, &error));
        while (!shop_dip(random, of, coupon.bath_K, coupon.time_s, &more[i]))
            ;
    }
}

/* The usual way: three baths evenly over the range, each for the predicted middle of the first
 * order. */
static void shop_even(gsl_rng *random, const shop *of, const oxt_steel *steel, oxt_trial *more)
{
    static const double baths_K[SHOP_MORE] = { 533.15, 588.705, 644.26 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    OK(oxt_steel_get(steel, &values, &error));
    for (size_t i = 0; i < SHOP_MORE; i++) {
        double time_s = shop_time(&values.growth, of->rules->middle_nm, baths_K[i], 15.0);
        while (!shop_dip(random, of, baths_K[i], fmin(time_s, 3600.0), &more[i]))
            ;
    }
}

typedef struct {
    double advised, even,
        predicted;    /* mean half-widths over that before, and as it was to be expected */
    double log_ratio; /* mean of ln (advised / even) */
    double wider;     /* share of shops whose advised interval is the wider */
    double missed;    /* share whose interval is wider than was promised */
    int shops;
} shop_outcome;

static shop_outcome shop_run(unsigned long number, int shops, const shop_rules *rules)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, number);
    shop_outcome sum = { 0 };
    while (sum.shops < shops) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
        oxt_trial more[SHOP_MORE];
        shop of = { .rules = rules };
        oxt_steel *before, *advised = NULL, *even = NULL;
        oxt_advise *advice;
        oxt_advised_coupon last = OXT_ADVISED_COUPON_INIT;
        shop_open(random, &of);
        if (!shop_fit(&of, NULL, 0, &before))
            continue;
        options.target_bath_K = of.target_bath_K;
        options.highest_order = rules->highest_order;
        OK(oxt_advise_run(&advice, before, default_film(), &options, &error));
        OK(oxt_advise_get(advice, SHOP_MORE - 1, &last, &error));
        shop_follow(random, &of, advice, more);
        oxt_advise_free(advice);
        bool good = shop_fit(&of, more, SHOP_MORE, &advised);
        shop_even(random, &of, before, more);
        good = shop_fit(&of, more, SHOP_MORE, &even) && good;
        if (good) {
            double was = half_width(before, of.target_bath_K);
            double now = half_width(advised, of.target_bath_K);
            double other = half_width(even, of.target_bath_K);
            sum.advised += now / was;
            sum.even += other / was;
            sum.predicted += last.interval_ratio;
            sum.log_ratio += log(now / other);
            sum.wider += now > other;
            sum.missed += now > last.half_width;
            sum.shops++;
        }
        oxt_steel_free(before);
        oxt_steel_free(advised);
        oxt_steel_free(even);
    }
    gsl_rng_free(random);
    sum.advised /= shops;
    sum.even /= shops;
    sum.predicted /= shops;
    sum.log_ratio /= shops;
    sum.wider /= shops;
    sum.missed /= shops;
    return sum;
}

/* ---- one coupon after another, from the card of a steel that has not been tried ---- */

enum { SHOP_FIRST = 6 };

typedef struct {
    int counted[SHOP_FIRST], missed[SHOP_FIRST], covered[SHOP_FIRST];
} shop_promises;

static const double SHOP_FIRST_BATH_K = 599.817; /* 620 F */

/* The advised coupon, its name, and the card of all coupons so far with the prior; false when it shows nothing. */
static bool shop_next(gsl_rng *random, const shop *of, oxt_trials *log, const oxt_prior *prior,
                      oxt_steel **steel, double *promised)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
    oxt_fit_options known = OXT_FIT_OPTIONS_INIT;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    oxt_advise *advice;
    oxt_trial trial;
    oxt_fit *fit;
    options.count = 1;
    options.target_bath_K = SHOP_FIRST_BATH_K;
    known.prior = prior;
    OK(oxt_advise_run(&advice, *steel, default_film(), &options, &error));
    OK(oxt_advise_get(advice, 0, &coupon, &error));
    oxt_advise_free(advice);
    *promised = coupon.half_width;
    if (!shop_dip(random, of, coupon.bath_K, coupon.time_s, &trial))
        return false;
    OK(oxt_trials_add(log, &trial, NULL, &error));
    if (oxt_fit_run(&fit, log, default_film(), &known, &error))
        return false;
    oxt_steel_free(*steel);
    OK(oxt_fit_steel(fit, steel, &error));
    oxt_fit_free(fit);
    return true;
}

static shop_promises shop_one_by_one(unsigned long number, int shops)
{
    static const shop_rules rules = { .scatter = -1.0 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    oxt_error error = OXT_ERROR_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    shop_promises sum = { { 0 }, { 0 }, { 0 } };
    OK(oxt_prior_mild_steel(&prior, default_film(), &error));
    for (int i = 0; i < shops; i++) {
        shop of = { .rules = &rules, .truth = OXT_GROWTH_INIT };
        oxt_steel *steel;
        oxt_trials *log;
        gsl_rng_set(random, number + (unsigned long)i);
        of.truth.k_ref_nm2_per_s = exp(prior.ln_k + gsl_ran_gaussian(random, prior.ln_k_stderr));
        of.truth.T_ref_K = prior.temperature_K;
        of.truth.Q_J_per_mol =
            fmax(prior.Q_J_per_mol + gsl_ran_gaussian(random, prior.Q_stderr_J_per_mol), 20e3);
        OK(oxt_prior_steel(&steel, "Alder 1", "", default_film(), &error));
        OK(oxt_trials_new(&log, NULL, &error));
        double promised;
        for (int j = 0; j < SHOP_FIRST && shop_next(random, &of, log, &prior, &steel, &promised);
             j++) {
            oxt_target target = OXT_TARGET_INIT;
            oxt_dip dip = OXT_DIP_INIT;
            double time_s = 0.0;
            OK(oxt_tint_target(default_film(), "blue", &target, &error));
            OK(oxt_dip_predict(steel, &target, SHOP_FIRST_BATH_K, NULL, &dip, &error));
            OK(oxt_time_for_thickness(&of.truth, target.aim_nm, SHOP_FIRST_BATH_K, &time_s,
                                      &error));
            sum.counted[j]++;
            sum.missed[j] += dip.interval_high_s > dip.time_s * exp(promised);
            sum.covered[j] += dip.interval_low_s <= time_s && time_s <= dip.interval_high_s;
        }
        oxt_steel_free(steel);
        oxt_trials_free(log);
    }
    gsl_rng_free(random);
    return sum;
}

/* ---- until the law is told ---- */

enum { SHOP_LAW_MORE = 24 };

/* Two coupons at a time beyond the first six, until their fit says that growth is not parabolic: by advice for the law,
 * with colours of the second order or without; by advice for both constants; on a grid of three baths for the middle of the
 * first order; on one of three baths by four films of the first order. */
typedef enum {
    SHOP_ADVISED_LAW,
    SHOP_ADVISED_LAW_SECOND,
    SHOP_ADVISED_CONSTANTS,
    SHOP_GRID_OF_BATHS,
    SHOP_GRID_OF_FILMS,
    SHOP_WAYS
} shop_way;

typedef struct {
    double coupons; /* mean, those that never told as SHOP_LAW_MORE */
    double told;    /* share that told, by SHOP_LAW_MORE at most */
    double
        promised_ratio; /* mean error of m after the first two over the promised one; of advice for the law */
    int shops;
} shop_law_outcome;

static bool shop_is_bent(const oxt_steel_values *of)
{
    double t = gsl_cdf_tdist_Pinv(0.98, of->dof);
    return of->time_exponent_stderr > 0.0 &&
           fabs(of->time_exponent - 0.5) > t * of->time_exponent_stderr;
}

static void shop_two_of_grid(gsl_rng *random, const shop *of, const oxt_steel *steel, bool of_films,
                             size_t first, oxt_trial *more)
{
    static const double baths_K[] = { 533.15, 588.705, 644.26 };
    static const double films_nm[] = { 10.0, 20.0, 40.0, 80.0 }, middle_nm = 54.9;
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    OK(oxt_steel_get(steel, &values, &error));
    for (size_t i = 0; i < 2; i++) {
        double bath_K = baths_K[(first + i) % 3];
        double film_nm = of_films ? films_nm[(first + i) % 4] : middle_nm;
        double time_s = shop_time(&values.growth, film_nm, bath_K, 15.0);
        while (!shop_dip(random, of, bath_K, fmin(time_s, 3600.0), &more[i]))
            ;
    }
}

static void shop_two_more(gsl_rng *random, const shop *of, const oxt_steel *steel, shop_way way,
                          size_t first, oxt_trial *more, double *promised)
{
    oxt_error error = OXT_ERROR_INIT;
    if (way >= SHOP_GRID_OF_BATHS) {
        shop_two_of_grid(random, of, steel, way == SHOP_GRID_OF_FILMS, first, more);
        return;
    }
    oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
    oxt_advised_coupon last = OXT_ADVISED_COUPON_INIT;
    oxt_advise *advice;
    options.count = 2;
    options.criterion = way == SHOP_ADVISED_CONSTANTS ? OXT_ADVISE_CONSTANTS : OXT_ADVISE_LAW;
    options.highest_order = way == SHOP_ADVISED_LAW_SECOND ? 2 : 1;
    OK(oxt_advise_run(&advice, steel, default_film(), &options, &error));
    OK(oxt_advise_get(advice, 1, &last, &error));
    *promised = last.exponent_stderr;
    shop_follow(random, of, advice, more);
    oxt_advise_free(advice);
}

static shop_law_outcome shop_tell_law(unsigned long number, int shops, double n, shop_way way)
{
    static const shop_rules rules = { .scatter = SHOP_SCATTER };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    shop_law_outcome sum = { 0 };
    for (int i = 0; sum.shops < shops; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_trial more[SHOP_LAW_MORE];
        oxt_steel_values values = OXT_STEEL_VALUES_INIT;
        oxt_steel *steel;
        shop of = { .rules = &rules, .law = n == 2.0 ? OXT_LAW_PARABOLIC : OXT_LAW_POWER, .n = n };
        gsl_rng_set(random, number + (unsigned long)i);
        shop_open(random, &of);
        if (!shop_fit(&of, NULL, 0, &steel))
            continue;
        size_t count = 0;
        bool good = true, told = false;
        OK(oxt_steel_get(steel, &values, &error));
        if (shop_is_bent(&values)) { /* known without a coupon more */
            oxt_steel_free(steel);
            continue;
        }
        while (count < SHOP_LAW_MORE && good && !told) {
            double promised = 0.0;
            shop_two_more(random, &of, steel, way, count, more + count, &promised);
            count += 2;
            oxt_steel *after;
            good = shop_fit(&of, more, count, &after);
            if (!good)
                break;
            oxt_steel_free(steel);
            steel = after;
            OK(oxt_steel_get(steel, &values, &error));
            told = shop_is_bent(&values);
            if (count == 2 && way <= SHOP_ADVISED_LAW_SECOND)
                sum.promised_ratio += values.time_exponent_stderr / promised;
        }
        oxt_steel_free(steel);
        sum.coupons += told ? (double)count : SHOP_LAW_MORE;
        sum.told += told;
        sum.shops++;
    }
    gsl_rng_free(random);
    sum.coupons /= shops;
    sum.told /= shops;
    sum.promised_ratio /= shops;
    return sum;
}

#endif
