/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up shops of known habits, whose logs are fitted and whose dips are judged: do the promises hold? Whoever
 * includes it defines OK(call), which must hold, and default_film(). */
#ifndef OXTINT_TEST_PROMISES_H
#define OXTINT_TEST_PROMISES_H

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "oxtint.h"

/* What is written down of a coupon. */
typedef enum { PROMISE_NAME, PROMISE_NAME_AS_MIDDLE, PROMISE_THICKNESS, PROMISE_LAB } promise_seen;

typedef struct {
    const char *name;
    int coupons;
    double scatter;  /* of ln x */
    double exponent; /* n of x^n = k t; 0: 2 */
    oxt_law law;     /* another one, with a shape in nm */
    double shape;
    double Q_J_per_mol; /* 0: 75 kJ/mol */
    promise_seen seen;
    double lab_sd;      /* of each of L*, a* and b* as measured; 0: 1 */
    bool on_colour;     /* lifted as the middle of a band shows, and not by the clock */
    bool free_exponent; /* intervals that do without the parabolic law */
    bool with_prior;    /* oxt_prior_mild_steel */
    bool from_prior;    /* each steel is drawn from it */
    double dip_bath_K;  /* 0: 620 F */
    double slower;      /* times of a steel that grows so many times slower; 0: 1 */
    void (*choose)(oxt_fit_options *options); /* NULL: the usual ones */
    bool outside;                             /* of promise_outside, not promise_targets */
    bool of_rate;                             /* the scatter is one of the rate, not of thickness */
    bool best_law;                            /* the fit by the law that the trials show */
    bool averaged;                            /* dips by all laws, averaged by their weights */
} promise_scene;

enum { PROMISE_TARGETS = 3 };
static const char *const promise_targets[PROMISE_TARGETS] = { "dark straw", "blue", "light blue" };
/* Films that no coupon shows: two thinner ones and a thicker one. */
static const char *const promise_outside[PROMISE_TARGETS] = { "faint straw", "straw", "silver" };

/* Counts over all logs of a scene; of each target where there are several. */
typedef struct {
    int logs, fitted, warned, mean[PROMISE_TARGETS], next[PROMISE_TARGETS], hit;
    double chance, scatter;
    double mean_width,
        next_width; /* sums of the logarithm of the half widths for blue, of its time */
} promise_count;

static const double promise_baths_K[] = { 566.483, 588.706, 610.928 }; /* 560, 600 and 640 F */
static const double PROMISE_DIP_K = 599.817;                           /* 620 F */
static const double PROMISE_MIDDLE_NM = 45.0;

/* Time over that of the middle film, by each law as it is written down in growth.h. */
static double promise_ratio(const promise_scene *scene, double film_nm)
{
    double m = PROMISE_MIDDLE_NM, A = scene->shape, L = scene->shape;
    if (scene->law == OXT_LAW_LINEAR_PARABOLIC)
        return film_nm * (film_nm + A) / (m * (m + A));
    if (scene->law == OXT_LAW_LOGARITHMIC)
        return expm1(film_nm / L) / expm1(m / L);
    return pow(film_nm / m, scene->exponent > 0.0 ? scene->exponent : 2.0);
}

/* Blue in a minute at 650 F; the middle film takes as long whatever the law is. */
static double promise_time(const promise_scene *scene, double film_nm, double bath_K)
{
    double Q = scene->Q_J_per_mol > 0.0 ? scene->Q_J_per_mol : 75e3;
    double rate = 54.0 * exp(-Q / OXT_GAS_CONSTANT_J_PER_MOL_K * (1.0 / bath_K - 1.0 / 616.483));
    double slower = scene->slower > 0.0 ? scene->slower : 1.0;
    return slower * PROMISE_MIDDLE_NM * PROMISE_MIDDLE_NM / rate * promise_ratio(scene, film_nm);
}

static double promise_film(const promise_scene *scene, double time_s, double bath_K)
{
    double m = PROMISE_MIDDLE_NM, A = scene->shape, L = scene->shape;
    double ratio = time_s / promise_time(scene, m, bath_K);
    if (scene->law == OXT_LAW_LINEAR_PARABOLIC)
        return sqrt(0.25 * A * A + ratio * m * (m + A)) - 0.5 * A;
    if (scene->law == OXT_LAW_LOGARITHMIC)
        return L * log1p(ratio * expm1(m / L));
    return m * pow(ratio, 1.0 / (scene->exponent > 0.0 ? scene->exponent : 2.0));
}

/* A film that comes out so much thicker, or whose rate is so much faster: the same under the parabolic law. */
static double promise_scattered(const promise_scene *scene, double film_nm, double luck)
{
    if (!scene->of_rate)
        return film_nm * exp(luck);
    return promise_film(scene, promise_time(scene, film_nm, PROMISE_DIP_K) * exp(2.0 * luck),
                        PROMISE_DIP_K);
}

static oxt_tint promise_band(const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_find(default_film(), name, &tint, &error));
    return tint;
}

static void promise_see(const promise_scene *scene, gsl_rng *random, double film_nm,
                        oxt_trial *trial)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double lab[3];
    if (scene->seen == PROMISE_THICKNESS) {
        trial->seen = OXT_SEEN_THICKNESS;
        trial->thickness_nm = film_nm * exp(gsl_ran_gaussian(random, 0.02));
        return;
    }
    if (scene->seen == PROMISE_LAB) {
        OK(oxt_film_colour(default_film(), OXT_SPACE_PATH_LAB, film_nm, lab, NULL, &error));
        trial->seen = OXT_SEEN_LAB;
        for (int i = 0; i < 3; i++)
            trial->lab[i] = lab[i] +
                            gsl_ran_gaussian(random, scene->lab_sd > 0.0 ? scene->lab_sd : 1.0);
        return;
    }
    OK(oxt_tint_at(default_film(), film_nm, &tint, &error));
    strcpy(trial->colour, tint.label);
}

/* One coupon: a film aimed at from dark straw to light blue, or the middle of one of those bands. */
static oxt_trial promise_coupon(const promise_scene *scene, gsl_rng *random, int index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint first = promise_band("dark straw"), last = promise_band("light blue"),
             band = OXT_TINT_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    double luck = gsl_ran_gaussian(random, scene->scatter), film_nm;
    strcpy(trial.steel, "Alder 1");
    trial.bath_K = promise_baths_K[index % 3];
    if (scene->on_colour) {
        int which = first.index +
                    (int)gsl_rng_uniform_int(random, (unsigned long)(last.index - first.index + 1));
        OK(oxt_tint_band(default_film(), which, &band, &error));
        film_nm = band.centre_nm;
        trial.time_s =
            fmax(round(promise_time(scene, promise_scattered(scene, film_nm, -luck), trial.bath_K)),
                 1.0);
    } else {
        film_nm = first.centre_nm * pow(last.centre_nm / first.centre_nm, gsl_rng_uniform(random));
        trial.time_s = fmax(round(promise_time(scene, film_nm, trial.bath_K)), 1.0);
        film_nm = promise_scattered(scene, promise_film(scene, trial.time_s, trial.bath_K), luck);
    }
    promise_see(scene, random, film_nm, &trial);
    return trial;
}

/* The cards whose dips are averaged: that of the fit, or those of all laws with their weights. */
typedef struct {
    oxt_steel *steels[OXT_LAW_COUNT];
    double weights[OXT_LAW_COUNT];
    size_t count;
} promise_cards;

static void promise_add_law(const oxt_trials *log, const oxt_laws *laws, oxt_law law,
                            promise_cards *made)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_law_result result = OXT_LAW_RESULT_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit;
    OK(oxt_laws_get_law(laws, law, &result, &error));
    options.law = law;
    if (!(result.weight > 0.001) || oxt_fit_run(&fit, log, default_film(), &options, &error))
        return;
    OK(oxt_fit_steel(fit, &made->steels[made->count], &error));
    oxt_fit_free(fit);
    made->weights[made->count++] = result.weight;
}

static promise_cards promise_cards_of(const promise_scene *scene, const oxt_trials *log,
                                      const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_laws *laws;
    promise_cards made = { .count = 0 };
    if (scene->averaged && !oxt_laws_run(&laws, fit, NULL, &error)) {
        for (int law = 0; law < OXT_LAW_COUNT; law++)
            promise_add_law(log, laws, (oxt_law)law, &made);
        oxt_laws_free(laws);
    }
    if (made.count == 0) {
        OK(oxt_fit_steel(fit, &made.steels[0], &error));
        made.weights[made.count++] = 1.0;
    }
    return made;
}

static void promise_predict(const promise_cards *cards, const oxt_target *target, double bath_K,
                            const oxt_dip_options *options, oxt_dip *dip)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dips[OXT_LAW_COUNT];
    const oxt_dip *list[OXT_LAW_COUNT];
    for (size_t i = 0; i < cards->count; i++) {
        dips[i] = (oxt_dip)OXT_DIP_INIT;
        list[i] = &dips[i];
        OK(oxt_dip_predict(cards->steels[i], target, bath_K, options, &dips[i], &error));
    }
    if (cards->count == 1)
        *dip = dips[0];
    else
        OK(oxt_dip_average(list, cards->weights, cards->count, dip, &error));
}

static void promise_judge(const promise_scene *scene, gsl_rng *random, const oxt_trials *trials,
                          const oxt_fit *fit, promise_count *sum)
{
    oxt_error error = OXT_ERROR_INIT;
    double bath_K = scene->dip_bath_K > 0.0 ? scene->dip_bath_K : PROMISE_DIP_K;
    double luck = gsl_ran_gaussian(random, scene->scatter);
    promise_cards cards = promise_cards_of(scene, trials, fit);
    for (int i = 0; i < PROMISE_TARGETS; i++) {
        oxt_target target = OXT_TARGET_INIT;
        oxt_dip dip = OXT_DIP_INIT;
        OK(oxt_tint_target(default_film(), scene->outside ? promise_outside[i] : promise_targets[i],
                           &target, &error));
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.free_exponent = scene->free_exponent;
        promise_predict(&cards, &target, bath_K, &options, &dip);
        double mean_s = promise_time(scene, target.aim_nm, bath_K);
        double next_s = promise_time(scene, promise_scattered(scene, target.aim_nm, -luck), bath_K);
        sum->mean[i] += dip.interval_low_s <= mean_s && mean_s <= dip.interval_high_s;
        sum->next[i] += dip.next_low_s <= next_s && next_s <= dip.next_high_s;
        if (i != 1)
            continue;
        double film_nm = promise_scattered(scene, promise_film(scene, dip.time_s, bath_K), luck);
        sum->hit += target.low_nm <= film_nm && film_nm < target.high_nm;
        sum->chance += dip.chance;
        sum->mean_width += log(0.5 * (dip.interval_high_s - dip.interval_low_s) / dip.time_s);
        sum->next_width += log(0.5 * (dip.next_high_s - dip.next_low_s) / dip.time_s);
    }
    for (size_t i = 0; i < cards.count; i++)
        oxt_steel_free(cards.steels[i]);
}

static bool promise_warned(const oxt_fit *fit, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    bool found = false;
    OK(oxt_fit_get(fit, &values, &error));
    for (size_t i = 0; i < values.warning_count; i++) {
        char text[1000];
        OK(oxt_fit_warning(fit, i, text, sizeof text, NULL, &error));
        found = found || strstr(text, words);
    }
    return found;
}

/* A steel of the prior: its Q, and how much slower it is than the shop's. */
static const promise_scene *promise_draw(promise_scene *drawn, const oxt_prior *prior,
                                         gsl_rng *random)
{
    const promise_scene shop = { .Q_J_per_mol = prior->Q_J_per_mol };
    drawn->Q_J_per_mol =
        fmax(prior->Q_J_per_mol + gsl_ran_gaussian(random, prior->Q_stderr_J_per_mol), 20e3);
    double one_nm2 = exp(prior->ln_k + gsl_ran_gaussian(random, prior->ln_k_stderr));
    drawn->slower = PROMISE_MIDDLE_NM * PROMISE_MIDDLE_NM / one_nm2 /
                    promise_time(&shop, PROMISE_MIDDLE_NM, prior->temperature_K);
    return drawn;
}

/* Logs of a scene, each with its own numbers of chance from `seed` and its place; `words`: of a warning to be
 * counted. */
static void promise_run(const promise_scene *scene, unsigned long seed, int from, int to,
                        const char *words, promise_count *sum)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    oxt_error error = OXT_ERROR_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    promise_scene drawn = *scene;
    OK(oxt_prior_mild_steel(&prior, default_film(), &error));
    options.names = scene->seen == PROMISE_NAME_AS_MIDDLE ? OXT_NAMES_AS_MIDDLES
                                                          : OXT_NAMES_AS_BANDS;
    options.prior = scene->with_prior ? &prior : NULL;
    if (scene->choose)
        scene->choose(&options);
    for (int i = from; i < to; i++) {
        oxt_trials *log;
        oxt_fit *fit;
        gsl_rng_set(random, seed + (unsigned long)i);
        if (scene->from_prior)
            scene = promise_draw(&drawn, &prior, random);
        OK(oxt_trials_new(&log, NULL, &error));
        for (int j = 0; j < scene->coupons; j++) {
            oxt_trial trial = promise_coupon(scene, random, j);
            OK(oxt_trials_add(log, &trial, NULL, &error));
        }
        sum->logs++;
        oxt_status status = scene->best_law
                                ? oxt_laws_fit(&fit, log, default_film(), &options, &error)
                                : oxt_fit_run(&fit, log, default_film(), &options, &error);
        if (!status) {
            sum->fitted++;
            sum->warned += promise_warned(fit, words);
            oxt_fit_values values = OXT_FIT_VALUES_INIT;
            OK(oxt_fit_get(fit, &values, &error));
            sum->scatter += values.scatter;
            promise_judge(scene, random, log, fit, sum);
            oxt_fit_free(fit);
        }
        oxt_trials_free(log);
    }
    gsl_rng_free(random);
}

static double promise_share(int count, const promise_count *of)
{
    return (double)count / of->fitted;
}

#endif
