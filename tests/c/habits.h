/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up shops with habits that a log does not show at a glance: days that differ, clocks that are rounded, parts that
 * are lifted at the first sight of a colour, eyes that read it otherwise. Whoever includes it defines OK(call), which
 * must hold, and default_film(). */
#ifndef OXTINT_TEST_HABITS_H
#define OXTINT_TEST_HABITS_H

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "oxtint.h"

typedef enum {
    HABIT_EXACT,
    HABIT_ROUNDED,
    HABIT_CUT,
    HABIT_SET
} habit_clock; /* set: lifted at such a time */

typedef struct {
    const char *name;
    int coupons;
    double scatter;        /* of ln x */
    double day_sd;         /* of ln x */
    int each_day;          /* coupons; 0: all on one day */
    bool one_bath_a_day;   /* else all three baths in turn */
    bool states_day;       /* in the log */
    habit_clock clock;     /* of the times, as they are written down */
    double step_s;         /* of the clock */
    oxt_lifted lifted;     /* where in a band it is lifted; OXT_LIFTED_NOT_STATED: by the clock */
    bool states_lifted;    /* in the log */
    double reader;         /* by how much of ln x the names are off, as the reader gives them */
    double reader_sd;      /* that is drawn anew for each log with this deviation */
    int measured;          /* coupons whose films are measured, the first ones */
    bool judged_by_others; /* dips are judged by the library's bands, else by the same reader's */
    void (*choose)(oxt_fit_options *options);     /* NULL: the usual ones */
    void (*choose_dip)(oxt_dip_options *options); /* NULL: the usual ones */
} habit;

typedef struct {
    int logs, fitted, warned, drift, mean, next, hit;
    double chance, width, day_sd, scatter,
        offset; /* sums; the width of its logarithm; offset as it was fitted */
} habit_count;

static const double habit_baths_K[] = { 566.483, 588.706, 610.928 }; /* 560, 600 and 640 F */
static const double HABIT_DIP_K = 599.817;                           /* 620 F */

/* Blue in a minute at 650 F, 75 kJ/mol. */
static double habit_time(double film_nm, double bath_K)
{
    double rate = 54.0 * exp(-75e3 / OXT_GAS_CONSTANT_J_PER_MOL_K * (1.0 / bath_K - 1.0 / 616.483));
    return film_nm * film_nm / rate;
}

static oxt_tint habit_band(const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_find(default_film(), name, &tint, &error));
    return tint;
}

/* One coupon on a day whose films are thicker by `effect`: by the clock a film from dark straw to light blue, and else
 * one of these colours, as far into its band as the shop lifts. */
static void habit_coupon(const habit *of, gsl_rng *random, double effect, bool measured,
                         oxt_trial *trial)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint first = habit_band("dark straw"), last = habit_band("light blue"), seen;
    double luck = effect + gsl_ran_gaussian(random, of->scatter), film_nm, time_s;
    seen = (oxt_tint)OXT_TINT_INIT;
    if (of->lifted == OXT_LIFTED_NOT_STATED) {
        film_nm = first.centre_nm * pow(last.centre_nm / first.centre_nm, gsl_rng_uniform(random));
        double step_s = of->clock == HABIT_SET ? of->step_s : 1.0;
        time_s = fmax(round(habit_time(film_nm, trial->bath_K) / step_s), 1.0) * step_s;
        film_nm *= exp(luck) * sqrt(time_s / habit_time(film_nm, trial->bath_K));
        OK(oxt_tint_at(default_film(), film_nm * exp(-of->reader), &seen, &error));
    } else {
        int which = first.index +
                    (int)gsl_rng_uniform_int(random, (unsigned long)(last.index - first.index + 1));
        OK(oxt_tint_band(default_film(), which, &seen, &error));
        double low = seen.low_nm, high = seen.high_nm;
        film_nm = of->lifted == OXT_LIFTED_FIRST  ? low
                  : of->lifted == OXT_LIFTED_LAST ? high
                                                  : sqrt(low * high);
        time_s = fmax(round(habit_time(film_nm * exp(-luck), trial->bath_K)), 1.0);
    }
    trial->time_s = time_s;
    if (of->clock == HABIT_ROUNDED)
        trial->time_s = fmax(round(time_s / of->step_s), 1.0) * of->step_s;
    if (of->clock == HABIT_CUT)
        trial->time_s = fmax(floor(time_s / of->step_s), 1.0) * of->step_s;
    if (measured) {
        trial->seen = OXT_SEEN_THICKNESS;
        trial->thickness_nm = film_nm * exp(gsl_ran_gaussian(random, 0.02));
    } else {
        strcpy(trial->colour, seen.label);
    }
}

static oxt_trials *habit_log(const habit *of, gsl_rng *random)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    double effect = 0.0;
    OK(oxt_trials_new(&log, NULL, &error));
    for (int i = 0; i < of->coupons; i++) {
        int each = of->each_day ? of->each_day : of->coupons, day = i / each;
        oxt_trial trial = OXT_TRIAL_INIT;
        if (i % each == 0)
            effect = gsl_ran_gaussian(random, of->day_sd);
        strcpy(trial.steel, "Alder 1");
        trial.bath_K = habit_baths_K[(of->one_bath_a_day ? day : i) % 3];
        if (of->states_day)
            sprintf(trial.day, "day %d", day + 1);
        if (of->states_lifted)
            trial.lifted = of->lifted;
        habit_coupon(of, random, effect, i < of->measured, &trial);
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    return log;
}

/* Blue in the words of the card, where it has any. */
static void habit_aim(const oxt_steel *steel, oxt_target *target)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_words *words;
    oxt_film *own;
    OK(oxt_steel_words(steel, &words, &error));
    options.words = words;
    if (words) {
        OK(oxt_film_new(&own, &options, &error));
        OK(oxt_tint_target(own, "blue", target, &error));
        oxt_film_free(own);
    }
    oxt_words_free(words);
}

static void habit_judge(const habit *of, gsl_rng *random, const oxt_fit *fit, habit_count *sum)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    double luck = gsl_ran_gaussian(random, of->day_sd) + gsl_ran_gaussian(random, of->scatter);
    if (of->choose_dip)
        of->choose_dip(&options);
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    oxt_target judged = target;
    if (!of->judged_by_others)
        habit_aim(steel, &target);
    OK(oxt_dip_predict(steel, &target, HABIT_DIP_K, &options, &dip, &error));
    oxt_steel_free(steel);
    /* the film that is called blue: by the reader's own bands, or by others */
    double shift = of->judged_by_others ? 1.0 : exp(of->reader);
    double mean_s = habit_time(judged.aim_nm * shift, HABIT_DIP_K);
    double next_s = mean_s * exp(-2.0 * luck);
    double film_nm = judged.aim_nm * shift * exp(luck) * sqrt(dip.time_s / mean_s);
    sum->mean += dip.interval_low_s <= mean_s && mean_s <= dip.interval_high_s;
    sum->next += dip.next_low_s <= next_s && next_s <= dip.next_high_s;
    sum->hit += judged.low_nm * shift <= film_nm && film_nm < judged.high_nm * shift;
    sum->chance += dip.chance;
    sum->width += log(0.5 * (dip.interval_high_s - dip.interval_low_s) / dip.time_s);
}

static bool habit_warned(const oxt_fit *fit, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_get(fit, &values, &error));
    for (size_t i = 0; i < values.warning_count; i++) {
        char text[1000];
        OK(oxt_fit_warning(fit, i, text, sizeof text, NULL, &error));
        if (strstr(text, words))
            return true;
    }
    return false;
}

/* Logs of a shop, each with its own numbers of chance from `seed` and its place; `words`: of a warning to be counted. */
static void habit_run(const habit *shop, unsigned long seed, int logs, const char *words,
                      habit_count *sum)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    habit drawn = *shop;
    const habit *of = &drawn;
    if (of->choose)
        of->choose(&options);
    for (int i = 0; i < logs; i++) {
        oxt_fit *fit;
        oxt_drift drift = OXT_DRIFT_INIT;
        oxt_fit_values values = OXT_FIT_VALUES_INIT;
        gsl_rng_set(random, seed + (unsigned long)i);
        if (shop->reader_sd > 0.0)
            drawn.reader = gsl_ran_gaussian(random, shop->reader_sd);
        oxt_trials *log = habit_log(of, random);
        sum->logs++;
        if (!oxt_fit_run(&fit, log, default_film(), &options, &error)) {
            sum->fitted++;
            sum->warned += habit_warned(fit, words);
            OK(oxt_drift_find(fit, NULL, &drift, &error));
            OK(oxt_fit_get(fit, &values, &error));
            sum->drift += drift.called;
            sum->day_sd += values.day_sd;
            sum->scatter += values.scatter;
            sum->offset += values.reader_offset;
            habit_judge(of, random, fit, sum);
            oxt_fit_free(fit);
        }
        oxt_trials_free(log);
    }
    gsl_rng_free(random);
}

static double habit_share(int count, const habit_count *of)
{
    return (double)count / of->fitted;
}

#endif
