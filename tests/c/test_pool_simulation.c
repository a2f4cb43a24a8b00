/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Do pooled intervals hold what they promise, and does shrinking help? Logs of known steels, made by
 * chance, always the same ones. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <string.h>

#include "support.h"

static const double baths_K[] = { 560.9, 588.7, 616.5 }; /* 550, 600 and 650 F */
static const double TRUE_Q = 80e3, SCATTER = 0.06, DIP_BATH_K = 602.0;

static double true_thickness(const oxt_growth *growth, double bath_K, double time_s)
{
    double thickness_nm = 0.0;
    cr_assert_eq(oxt_thickness(growth, bath_K, time_s, &thickness_nm, NULL), OXT_OK);
    return thickness_nm;
}

/* Coupons lifted at whole seconds when the film should be 18 to 80 nm, and named by the film that came
 * out. */
static void add_coupons_of(oxt_trials *trials, gsl_rng *random, const char *steel,
                           const oxt_growth *growth, int first_bath, int count)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int i = first_bath; i < first_bath + count; i++) {
        double time_s = 0.0;
        oxt_tint tint = OXT_TINT_INIT;
        oxt_trial trial = trial_at(baths_K[i % 3], 1.0);
        OK(oxt_time_for_thickness(growth, 18.0 * pow(80.0 / 18.0, gsl_rng_uniform(random)),
                                  trial.bath_K, &time_s, &error));
        trial.time_s = fmax(round(time_s), 1.0);
        OK(oxt_tint_at(default_film(),
                       true_thickness(growth, trial.bath_K, trial.time_s) *
                           exp(gsl_ran_gaussian(random, SCATTER)),
                       &tint, &error));
        strcpy(trial.steel, steel);
        strcpy(trial.colour, tint.label);
        OK(oxt_trials_add(trials, &trial, NULL, &error));
    }
}

static void add_coupons(oxt_trials *trials, gsl_rng *random, const char *steel, double k_ref,
                        int count)
{
    oxt_growth growth = growth_of(k_ref, 588.7, TRUE_Q);
    add_coupons_of(trials, random, steel, &growth, 0, count);
}

/* Does the interval of the mean time of a dip hold the truth? */
static bool held_by(const oxt_pool *pool, size_t index, const oxt_growth *growth, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_steel *steel;
    double time_s = 0.0;
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    OK(oxt_time_for_thickness(growth, target.aim_nm, bath_K, &time_s, &error));
    OK(oxt_pool_steel(pool, index, &steel, &error));
    OK(oxt_dip_predict(steel, &target, bath_K, NULL, &dip, &error));
    oxt_steel_free(steel);
    return dip.interval_low_s <= time_s && time_s <= dip.interval_high_s;
}

static bool held(const oxt_pool *pool, size_t index, double k_ref)
{
    oxt_growth growth = growth_of(k_ref, 588.7, TRUE_Q);
    return held_by(pool, index, &growth, DIP_BATH_K);
}

/* Two steels, one with few coupons: the interval of 95 % holds in 95 % of logs, a few more since the
 * scatter's estimate is on the wide side; Q is not biased. 93 and 98 % are 3.4 and 5 standard errors of
 * 1,200 logs from it. */
Test(pool_simulation, intervals_of_pooled_steels_hold)
{
    enum { LOGS = 1200 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 19750301);
    double of_many = 0.0, of_few = 0.0, Q = 0.0;
    for (int i = 0; i < LOGS; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_pool_values values = OXT_POOL_VALUES_INIT;
        oxt_trials *trials = new_log();
        oxt_pool *pool;
        add_coupons(trials, random, "Alder 1", 55.0, 12);
        add_coupons(trials, random, "Birch 2", 30.0, 4);
        OK(oxt_pool_run(&pool, trials, default_film(), NULL, &error));
        OK(oxt_pool_get(pool, &values, &error));
        of_many += held(pool, 0, 55.0) ? 1.0 / LOGS : 0.0;
        of_few += held(pool, 1, 30.0) ? 1.0 / LOGS : 0.0;
        Q += values.Q_J_per_mol / LOGS;
        oxt_pool_free(pool);
        oxt_trials_free(trials);
    }
    gsl_rng_free(random);
    measured("pool-count", LOGS, 0.0, HUGE_VAL);
    measured("pool-many", of_many, 0.93, 0.98);
    measured("pool-few", of_few, 0.93, 0.98);
    CLOSE(Q, TRUE_Q, 0.02);
}

enum { STEELS = 20 };

/* A log of steels whose rates are drawn from a normal; the last has two coupons. */
static oxt_trials *drawn_log(gsl_rng *random, double between_sd, double rates[STEELS])
{
    oxt_trials *trials = new_log();
    for (int i = 0; i < STEELS; i++) {
        char name[32];
        snprintf(name, sizeof name, "T-coupon %d", i + 1);
        rates[i] = 35.0 * exp(gsl_ran_gaussian(random, between_sd));
        add_coupons(trials, random, name, rates[i], i + 1 < STEELS ? 6 : 2);
    }
    return trials;
}

static oxt_pool_group last_of(const oxt_trials *trials, int shrink, double *between_sd)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_pool_values values = OXT_POOL_VALUES_INIT;
    oxt_pool_group group = OXT_POOL_GROUP_INIT;
    oxt_pool *pool;
    options.shrink = shrink;
    OK(oxt_pool_run(&pool, trials, default_film(), &options, &error));
    OK(oxt_pool_get(pool, &values, &error));
    OK(oxt_pool_get_group(pool, STEELS - 1, &group, &error));
    *between_sd = values.between_sd;
    oxt_pool_free(pool);
    return group;
}

static double off(const oxt_pool_group *group, double k_ref)
{
    double rate = 0.0;
    cr_assert_eq(oxt_rate(&group->growth, 588.7, &rate, NULL), OXT_OK);
    return log(rate / k_ref);
}

/* Rates that lie about as far apart as two coupons can tell them: shrinking makes the mean squared error
 * smaller, the error that it states is the one that is found, and the width comes back. */
Test(pool_simulation, shrinking_comes_nearer_to_the_truth)
{
    enum { LOGS = 200 };
    static const double BETWEEN = 0.15;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 19561231);
    double plain = 0.0, shrunk = 0.0, stated = 0.0, width = 0.0;
    for (int i = 0; i < LOGS; i++) {
        double rates[STEELS], between_sd;
        oxt_trials *trials = drawn_log(random, BETWEEN, rates);
        oxt_pool_group without = last_of(trials, 0, &between_sd);
        oxt_pool_group with = last_of(trials, 1, &between_sd);
        plain += pow(off(&without, rates[STEELS - 1]), 2.0) / LOGS;
        shrunk += pow(off(&with, rates[STEELS - 1]), 2.0) / LOGS;
        stated += with.variance_ln_k / LOGS;
        width += between_sd / LOGS;
        oxt_trials_free(trials);
    }
    gsl_rng_free(random);
    cr_assert(shrunk < 0.85 * plain, "%g shrunk, %g plain", shrunk, plain);
    CLOSE(stated, shrunk, 0.3); /* the standard error of a variance of 200 is a tenth */
    CLOSE(width, BETWEEN, 0.1);
}

/* ---- Qs that differ ---- */

enum { MANY = 30 };

/* Of shops with many steels whose Qs differ, some with a single coupon. */
typedef struct {
    double held, told, spread; /* shares and means */
} differing;

static differing shops_of(double Q_sd, int shrink, int logs)
{
    static const int coupons[] = { 12, 12, 6, 1 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    differing sum = { 0.0, 0.0, 0.0 };
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_error error = OXT_ERROR_INIT;
    options.shrink = shrink;
    gsl_rng_set(random, 20261129);
    for (int i = 0; i < logs; i++) {
        oxt_trials *trials = new_log();
        oxt_growth growths[MANY];
        oxt_pool_values values = OXT_POOL_VALUES_INIT;
        oxt_pool *pool;
        char name[32], warning[600];
        for (int j = 0; j < MANY; j++) {
            snprintf(name, sizeof name, "T-coupon %d", j + 1);
            growths[j] = growth_of(35.0 * exp(gsl_ran_gaussian(random, 0.3)), 588.7,
                                   75e3 + gsl_ran_gaussian(random, Q_sd));
            add_coupons_of(trials, random, name, &growths[j], j % 3, coupons[j % 4]);
        }
        OK(oxt_pool_run(&pool, trials, default_film(), &options, &error));
        OK(oxt_pool_get(pool, &values, &error));
        for (int j = 0; j < MANY; j++)
            sum.held += held_by(pool, (size_t)j, &growths[j], baths_K[2]) ? 1.0 / (logs * MANY)
                                                                          : 0.0;
        sum.spread += values.between_Q_sd_J_per_mol / logs;
        for (size_t j = 0; j < values.warning_count; j++) {
            OK(oxt_pool_warning(pool, j, warning, sizeof warning, NULL, &error));
            sum.told += strstr(warning, "contradict one Q") ? 1.0 / logs : 0.0;
        }
        oxt_pool_free(pool);
        oxt_trials_free(trials);
    }
    gsl_rng_free(random);
    return sum;
}

/* One Q for all promises too much of these shops, and says so although some steels have no Q of their own; Qs that are
 * draws hold. 40 logs of 30 steels; three standard errors of so many dips, of one log in two by themselves, are 3 %. */
Test(pool_simulation, Qs_that_differ)
{
    enum { LOGS = 40 };
    differing shared = shops_of(8e3, 0, LOGS), drawn = shops_of(8e3, 1, LOGS);
    differing alike = shops_of(0.0, 1, LOGS), sound = shops_of(0.0, 0, LOGS);
    measured("pool-Q-count", LOGS, 0.0, HUGE_VAL);
    cr_assert_lt(shared.held, 0.88);
    cr_assert_gt(shared.told, 0.4);
    cr_assert_leq(sound.told, 0.1);
    measured("pool-Q-drawn", drawn.held, 0.90, 0.98);
    measured("pool-Q-alike", alike.held, 0.92, 0.98);
    cr_assert(drawn.spread > 4e3 && drawn.spread < 12e3, "%g", drawn.spread);
    cr_assert_lt(alike.spread, 0.5 * drawn.spread);
}
