/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Do the intervals hold what they promise? Logs of a known steel, made by chance and fitted, always
 * the same ones. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <string.h>

#include "support.h"

enum { LOGS = 2000, COUPONS = 12 };

static const double baths_K[] = { 560.9, 588.7, 616.5 }; /* 550, 600 and 650 F */
static const double DIP_BATH_K = 602.0;

static oxt_growth truth(void)
{
    return growth_of(55.0, 588.7, 80e3);
}

static double true_time(double thickness_nm, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = truth();
    double time_s = 0.0;
    OK(oxt_time_for_thickness(&growth, thickness_nm, bath_K, &time_s, &error));
    return time_s;
}

/* What comes out of a dip: the true thickness with its scatter. */
static double dipped(gsl_rng *random, double bath_K, double time_s, double scatter)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = truth();
    double thickness_nm = 0.0;
    OK(oxt_thickness(&growth, bath_K, time_s, &thickness_nm, &error));
    return thickness_nm * exp(gsl_ran_gaussian(random, scatter));
}

/* How logs are made. */
typedef struct {
    double scatter;
    double outliers;             /* share of coupons whose time is wrong by a factor of 2 to 5 */
    double bath_sd_K, time_sd_s; /* errors of what is written down */
} shop;

/* Factor by which a written time is wrong: none, or 2 to 5 to either side. */
static double blunder(gsl_rng *random, const shop *in)
{
    if (in->outliers == 0.0 || gsl_rng_uniform(random) >= in->outliers)
        return 1.0;
    double factor = gsl_ran_flat(random, 2.0, 5.0);
    return gsl_rng_uniform(random) < 0.5 ? factor : 1.0 / factor;
}

/* Coupons aimed evenly in ln thickness from the middle of faint straw to that of silver, lifted at
 * whole seconds, and named by the film that came out. */
static oxt_trials *made_up_log(gsl_rng *random, const shop *in)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint first = OXT_TINT_INIT, last = OXT_TINT_INIT;
    OK(oxt_tint_find(default_film(), "faint straw", &first, &error));
    OK(oxt_tint_find(default_film(), "silver", &last, &error));
    oxt_trials *log = new_log();
    for (int i = 0; i < COUPONS; i++) {
        double bath_K = baths_K[i % 3];
        double aim_nm = first.centre_nm *
                        pow(last.centre_nm / first.centre_nm, gsl_rng_uniform(random));
        double time_s = fmax(round(true_time(aim_nm, bath_K)), 1.0);
        oxt_tint tint = OXT_TINT_INIT;
        OK(oxt_tint_at(default_film(), dipped(random, bath_K, time_s, in->scatter), &tint, &error));
        double off_s = in->time_sd_s > 0.0 ? gsl_ran_gaussian(random, in->time_sd_s) : 0.0;
        double off_K = in->bath_sd_K > 0.0 ? gsl_ran_gaussian(random, in->bath_sd_K) : 0.0;
        add_colour(log, bath_K + off_K, fmax(time_s + off_s, 1.0) * blunder(random, in),
                   tint.label);
    }
    return log;
}

/* What the prediction of one log was worth. */
typedef struct {
    double mean_held, next_held, hit; /* 1 or 0 */
    double chance, Q;
    double half_width; /* of the interval of the mean time, of the time */
} outcome;

static outcome judge(gsl_rng *random, const oxt_fit *fit, double scatter)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_steel_get(steel, &values, &error));
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    OK(oxt_dip_predict(steel, &target, DIP_BATH_K, NULL, &dip, &error));
    oxt_steel_free(steel);
    double mean_s = true_time(target.aim_nm, DIP_BATH_K);
    /* The time at which one more coupon reaches the aim: its scatter is twice that of ln x. */
    double next_s = mean_s * exp(2.0 * gsl_ran_gaussian(random, scatter));
    double film_nm = dipped(random, DIP_BATH_K, dip.time_s, scatter);
    return (outcome){ dip.interval_low_s <= mean_s && mean_s <= dip.interval_high_s,
                      dip.next_low_s <= next_s && next_s <= dip.next_high_s,
                      target.low_nm <= film_nm && film_nm < target.high_nm,
                      dip.chance,
                      values.growth.Q_J_per_mol,
                      log(0.5 * (dip.interval_high_s - dip.interval_low_s) / dip.time_s) };
}

/* Means over all logs. */
static outcome simulate(const shop *in, const oxt_fit_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 19761204);
    outcome sum = { 0 };
    for (int i = 0; i < LOGS; i++) {
        oxt_trials *log = made_up_log(random, in);
        oxt_fit *fit;
        OK(oxt_fit_run(&fit, log, default_film(), options, &error));
        outcome one = judge(random, fit, in->scatter);
        sum.mean_held += one.mean_held / LOGS;
        sum.next_held += one.next_held / LOGS;
        sum.hit += one.hit / LOGS;
        sum.chance += one.chance / LOGS;
        sum.Q += one.Q / LOGS;
        sum.half_width += one.half_width / LOGS; /* a logarithm */
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    gsl_rng_free(random);
    sum.half_width = exp(sum.half_width);
    return sum;
}

/* The 95 % interval of the mean time holds within these limits, that for the next dip in at least 90 %
 * of the logs; Q is biased by less than 2 %; and the chance promises few more dips than come out: a shop that scatters more
 * than is usual is thought a little better than it is. */
static void check(const outcome *of, double least, double most)
{
    cr_assert(of->mean_held >= least && of->mean_held <= most, "the interval holds in %.2f %%",
              100.0 * of->mean_held);
    cr_assert(of->next_held >= 0.9, "the next dip falls in the interval in %.2f %%",
              100.0 * of->next_held);
    CLOSE(of->Q, truth().Q_J_per_mol, 0.02);
    measured("Q-bias", fabs(of->Q / truth().Q_J_per_mol - 1.0), -HUGE_VAL, 0.02);
    measured("simulation-count", LOGS, 0.0, HUGE_VAL);
    cr_assert(of->hit >= of->chance - 0.05, "%.3f hit, %.3f promised", of->hit, of->chance);
}

/* Seed 19761204. The chance is on the safe side: the width of the limits of the scatter is in it. */
Test(simulation, scatter_of_6_percent)
{
    shop in = { .scatter = 0.06 };
    outcome of = simulate(&in, NULL);
    check(&of, 0.93, 0.98);
    measured("dip-mean-6", of.mean_held, 0.93, 0.98);
    measured("dip-next-6", of.next_held, 0.9, HUGE_VAL);
    measured("chance-promised-6", of.chance, 0.7, 0.9);
    measured("chance-hit-6", of.hit, 0.75, 0.95);
    measured("half-width-6", of.half_width, 0.1, 0.2);
}

/* With so little scatter the width of
 * the names is what is uncertain, and it is taken for more than it is. */
Test(simulation, scatter_of_3_percent)
{
    shop in = { .scatter = 0.03 };
    outcome of = simulate(&in, NULL);
    check(&of, 0.95, 1.0);
    measured("dip-mean-3", of.mean_held, 0.95, 1.0);
    measured("dip-next-3", of.next_held, 0.9, HUGE_VAL);
}

Test(simulation, scatter_of_10_percent)
{
    shop in = { .scatter = 0.10 };
    outcome of = simulate(&in, NULL);
    check(&of, 0.93, 0.98);
    measured("dip-mean-10", of.mean_held, 0.93, 0.98);
    measured("dip-next-10", of.next_held, 0.9, HUGE_VAL);
}

/* ---- logs with blunders: one coupon in ten has its time wrong by a factor of 2 to 5 ---- */

Test(simulation, blunders_and_robust_weights)
{
    for (int robust = OXT_ROBUST_HUBER; robust <= OXT_ROBUST_TUKEY; robust++) {
        shop in = { .scatter = 0.06, .outliers = 0.1 };
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.robust = (oxt_robust)robust;
        outcome of = simulate(&in, &options);
        check(&of, 0.92, 0.99);
        measured("dip-mean-blunders", of.mean_held, 0.92, 0.99);
    }
}

/* In sound logs robust weights cost little. */
Test(simulation, robust_weights_where_nothing_is_wrong)
{
    for (int robust = OXT_ROBUST_HUBER; robust <= OXT_ROBUST_TUKEY; robust++) {
        shop in = { .scatter = 0.06 };
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.robust = (oxt_robust)robust;
        outcome of = simulate(&in, &options);
        check(&of, 0.93, 0.985);
    }
}

/* ---- coupons that are repeated, which is good practice at any bench ---- */

/* So many settings of bath and time, each with so many coupons that are alike. */
typedef struct {
    const char *name;
    int settings, alike;
    double scatter;
} bench;

static double coupon_time(gsl_rng *random, const bench *of, int setting, double *bath_K)
{
    static const char *const films[] = { "straw", "purple", "blue" };
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint first = OXT_TINT_INIT, last = OXT_TINT_INIT;
    *bath_K = of->settings ? baths_K[setting % 3] : 555.0 + 22.0 * (setting / 3);
    if (of->settings == 0) { /* the same three films in four baths */
        OK(oxt_tint_find(default_film(), films[setting % 3], &first, &error));
        return fmax(round(true_time(first.centre_nm, *bath_K)), 1.0);
    }
    OK(oxt_tint_find(default_film(), "faint straw", &first, &error));
    OK(oxt_tint_find(default_film(), "silver", &last, &error));
    double aim_nm = first.centre_nm *
                    pow(last.centre_nm / first.centre_nm, gsl_rng_uniform(random));
    return fmax(round(true_time(aim_nm, *bath_K)), 1.0);
}

static oxt_trials *repeated_log(gsl_rng *random, const bench *of)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (int i = 0; i < (of->settings ? of->settings : 12); i++) {
        double bath_K, time_s = coupon_time(random, of, i, &bath_K);
        for (int j = 0; j < of->alike; j++) {
            oxt_tint tint = OXT_TINT_INIT;
            OK(oxt_tint_at(default_film(), dipped(random, bath_K, time_s, of->scatter), &tint,
                           &error));
            add_colour(log, bath_K, time_s, tint.label);
        }
    }
    return log;
}

/* Shares in which the interval of the mean blue time holds at 540, 600 and 650 F; the least of the three. */
static double least_held(const bench *of, const oxt_fit_options *options)
{
    enum { REPEATED = 300 };
    static const double dips_K[] = { 555.4, 588.7, 616.5 };
    oxt_error error = OXT_ERROR_INIT;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    oxt_target target = OXT_TARGET_INIT;
    double held[3] = { 0 }, answers = 0.0;
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    gsl_rng_set(random, 19870611);
    measured("repeated-count", REPEATED, 0.0, HUGE_VAL);
    for (int i = 0; i < REPEATED; i++) {
        oxt_trials *log = repeated_log(random, of);
        oxt_fit *fit;
        oxt_steel *steel;
        oxt_status status = oxt_fit_run(&fit, log, default_film(), options, &error);
        oxt_trials_free(log);
        if (status) /* one colour in all baths: hotter ones need not have gained */
            continue;
        answers += 1.0;
        OK(oxt_fit_steel(fit, &steel, &error));
        for (int j = 0; j < 3; j++) {
            oxt_dip dip = OXT_DIP_INIT;
            double mean_s = true_time(target.aim_nm, dips_K[j]);
            OK(oxt_dip_predict(steel, &target, dips_K[j], NULL, &dip, &error));
            held[j] += dip.interval_low_s <= mean_s && mean_s <= dip.interval_high_s;
        }
        oxt_steel_free(steel);
        oxt_fit_free(fit);
    }
    gsl_rng_free(random);
    cr_assert(answers > 0.97 * REPEATED, "%s: %g answers", of->name, answers);
    return fmin(fmin(held[0], held[1]), held[2]) / answers;
}

static const bench benches[] = { { "repeated-3x4", 4, 3, 0.02 },
                                 { "repeated-3x6", 6, 3, 0.03 },
                                 { "repeated-5x3", 3, 5, 0.03 },
                                 { "repeated-4x4", 4, 4, 0.06 },
                                 { "repeated-films", 0, 1, 0.03 } };

/* Read as middles, alike coupons are off by the same amount, and too sure: the least share is 78 to 90 %. */
Test(simulation, repeated_coupons)
{
    for (size_t i = 0; i < sizeof benches / sizeof benches[0]; i++)
        measured(benches[i].name, least_held(&benches[i], NULL), 0.93, HUGE_VAL);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.names = OXT_NAMES_AS_MIDDLES;
    cr_assert(least_held(&benches[2], &options) < 0.9);
}

Test(simulation, repeated_coupons_by_other_ways)
{
    for (int way = 0; way < 3; way++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.robust = way == 0   ? OXT_ROBUST_HUBER
                         : way == 1 ? OXT_ROBUST_TUKEY
                                    : OXT_ROBUST_NONE;
        options.errors_in_variables = way == 2 ? OXT_ERRORS_ORTHOGONAL
                                               : OXT_ERRORS_EFFECTIVE_VARIANCE;
        options.bath_sd_K = way == 2 ? 1.0 : 0.0;
        options.time_sd_s = way == 2 ? 1.0 : 0.0;
        for (size_t i = 0; i < 3; i++)
            measured("repeated-ways", least_held(&benches[i], &options), 0.93, HUGE_VAL);
    }
}

/* ---- logs written down with errors of 5 F and 2 s ---- */

static outcome simulate_noisy(oxt_errors_in_variables way)
{
    shop in = { .scatter = 0.06, .bath_sd_K = 5.0 / 1.8, .time_sd_s = 2.0 };
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.bath_sd_K = in.bath_sd_K;
    options.time_sd_s = in.time_sd_s;
    options.errors_in_variables = way;
    return simulate(&in, &options);
}

/* Names as the middles of their bands. */
Test(simulation, names_as_middles)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.names = OXT_NAMES_AS_MIDDLES;
    shop plain = { .scatter = 0.06 };
    outcome of = simulate(&plain, &options);
    check(&of, 0.93, 0.98);
    measured("dip-mean-middles", of.mean_held, 0.93, 0.98);
}

Test(simulation, noisy_logs_by_effective_variance)
{
    outcome of = simulate_noisy(OXT_ERRORS_EFFECTIVE_VARIANCE);
    check(&of, 0.93, 0.985);
    measured("dip-mean-effective", of.mean_held, 0.93, 0.985);
}

Test(simulation, noisy_logs_by_orthogonal_distance)
{
    outcome of = simulate_noisy(OXT_ERRORS_ORTHOGONAL);
    check(&of, 0.93, 0.985);
    measured("dip-mean-noisy", of.mean_held, 0.93, 0.985);
}

/* ---- a few coupons and a prior ---- */

/* A steel that the usual prior may well hold. */
static oxt_growth drawn(gsl_rng *random, const oxt_prior *prior)
{
    double ln_k = prior->ln_k + gsl_ran_gaussian(random, prior->ln_k_stderr);
    double Q = prior->Q_J_per_mol + gsl_ran_gaussian(random, prior->Q_stderr_J_per_mol);
    return growth_of(exp(ln_k), prior->temperature_K, fmax(Q, 20e3));
}

static oxt_trials *few_coupons(gsl_rng *random, const oxt_growth *growth, int count)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (int i = 0; i < count; i++) {
        double time_s = 0.0, film_nm = 0.0, bath_K = baths_K[i % 3];
        double aim_nm = 20.0 * pow(3.5, gsl_rng_uniform(random));
        oxt_tint tint = OXT_TINT_INIT;
        OK(oxt_time_for_thickness(growth, aim_nm, bath_K, &time_s, &error));
        OK(oxt_thickness(growth, bath_K, time_s, &film_nm, &error));
        film_nm *= exp(gsl_ran_gaussian(random, 0.06));
        OK(oxt_tint_at(default_film(), film_nm, &tint, &error));
        add_colour(log, bath_K, time_s, tint.label);
    }
    return log;
}

/* Does the interval hold the time that the drawn steel needs? */
static bool holds(const oxt_trials *log, const oxt_growth *growth, const oxt_prior *prior)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_fit *fit;
    oxt_steel *steel;
    double time_s = 0.0;
    options.prior = prior;
    OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    OK(oxt_dip_predict(steel, &target, DIP_BATH_K, NULL, &dip, &error));
    OK(oxt_time_for_thickness(growth, target.aim_nm, DIP_BATH_K, &time_s, &error));
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    return dip.interval_low_s <= time_s && time_s <= dip.interval_high_s;
}

/* With no degrees of freedom but the counted ones the first would be as wide as the prior. */
Test(simulation, a_few_coupons_and_a_prior)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 19761204);
    OK(oxt_prior_mild_steel(&prior, default_film(), &error));
    for (int count = 1; count <= 4; count++) {
        int held = 0;
        for (int i = 0; i < LOGS; i++) {
            oxt_growth growth = drawn(random, &prior);
            oxt_trials *log = few_coupons(random, &growth, count);
            held += holds(log, &growth, &prior);
            oxt_trials_free(log);
        }
        measured("dip-mean-prior", (double)held / LOGS, 0.95, 1.0);
    }
    gsl_rng_free(random);
}
