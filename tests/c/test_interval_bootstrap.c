/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bootstrap: what closed formulas say of it, the same numbers on any number of threads, and an end
 * when the caller asks for one. */
#define _GNU_SOURCE /* sched_setaffinity */

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <sched.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "support.h"
#include "base/threads.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double BATH_K = 602.0;

/* ---- made-up logs ---- */

static oxt_trials *made_up_log(unsigned long seed, size_t count, double scatter)
{
    static const double baths_K[] = { 550.0, 588.7, 630.0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    oxt_trials *log = new_log();
    gsl_rng_set(random, seed);
    for (size_t i = 0; i < count; i++) {
        double bath_K = baths_K[i % 3], time_s = 50.0 + 20.0 * (double)(i % 7), thickness_nm = 0.0;
        OK(oxt_thickness(&growth, bath_K, time_s, &thickness_nm, &error));
        add_thickness(log, bath_K, time_s, thickness_nm * exp(gsl_ran_gaussian(random, scatter)));
    }
    gsl_rng_free(random);
    return log;
}

static oxt_fit *fit_of(oxt_trials *log, const oxt_fit_options *options)
{
    oxt_fit *fit = new_fit(log, options);
    oxt_trials_free(log);
    return fit;
}

static oxt_fit_values fit_values(const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_get(fit, &values, &error));
    return values;
}

static oxt_bootstrap *bootstrap_of(const oxt_fit *fit, size_t replicates, oxt_bootstrap_kind kind,
                                   int threads)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_bootstrap *made;
    options.replicates = replicates;
    options.kind = kind;
    options.threads = threads;
    OK(oxt_bootstrap_run(&made, fit, &options, &error));
    return made;
}

static oxt_bootstrap_values values_of(const oxt_bootstrap *from)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_bootstrap_values values = OXT_BOOTSTRAP_VALUES_INIT;
    OK(oxt_bootstrap_get(from, &values, 0, NULL, NULL, NULL, &error));
    return values;
}

/* ---- closed formulas ---- */

/* Sum over the rows of the squared residuals, each over its own standard error, about their mean. */
static double pool_variance(const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t n = fit_values(fit).used_count;
    double sum = 0.0, squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        oxt_fit_row row = OXT_FIT_ROW_INIT;
        OK(oxt_fit_get_row(fit, i, &row, &error));
        double inner = row.residual / (row.sigma * sqrt(1.0 - row.leverage));
        sum += inner;
        squares += inner * inner;
    }
    return squares / (double)n - sum / (double)n * sum / (double)n;
}

/* Given the rows, a refit of resampled residuals in a straight-line model has the covariance of the fit
 * times their variance (B. Efron and R. J. Tibshirani, An Introduction to the Bootstrap, 1993, chapter 9,
 * from memory). Four standard errors of a standard deviation, sd / sqrt(2 B), and of a correlation. */
Test(bootstrap, residuals_have_the_errors_of_the_closed_formula)
{
    enum { COUNT = 20000 };
    oxt_fit *fit = fit_of(made_up_log(1, 15, 0.08), NULL);
    oxt_fit_values expected = fit_values(fit);
    oxt_bootstrap *made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_RESIDUAL, 2);
    oxt_bootstrap_values found = values_of(made);
    double size = sqrt(pool_variance(fit)), tolerance = 4.0 / sqrt(2.0 * COUNT);
    CLOSE(found.sd_ln_k, size * expected.ln_k_stderr, tolerance);
    CLOSE(found.sd_Q_J_per_mol, size * expected.Q_stderr_J_per_mol, tolerance);
    NEAR(found.correlation, expected.correlation, 4.0 / sqrt(COUNT));
    NEAR(found.mean_ln_k, log(expected.growth.k_ref_nm2_per_s), 4.0 * found.sd_ln_k / sqrt(COUNT));
    NEAR(found.mean_Q_J_per_mol, expected.growth.Q_J_per_mol,
         4.0 * found.sd_Q_J_per_mol / sqrt(COUNT));
    cr_assert(found.failed == 0 && found.replicates == COUNT);
    cr_assert(found.T_ref_K == expected.growth.T_ref_K);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* Limits of every kind agree with Student's t where the errors are normal: within 6 % of the half width
 * for 300 coupons, of which 3 % are chance of the replicates and the rest chance of the coupons. */
Test(bootstrap, many_normal_coupons_have_the_limits_of_student)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.confidence = 0.9;
    oxt_fit *fit = fit_of(made_up_log(2, 300, 0.08), &options);
    oxt_fit_values t = fit_values(fit);
    double low, high, half = 0.5 * (t.Q_high_J_per_mol - t.Q_low_J_per_mol);
    double half_ln_k = 0.5 * log(t.k_ref_high_nm2_per_s / t.k_ref_low_nm2_per_s);
    for (int kind = 0; kind < 2; kind++) {
        oxt_bootstrap *made = bootstrap_of(fit, 10000, (oxt_bootstrap_kind)kind, 2);
        for (int method = 0; method < 2; method++) {
            OK(oxt_bootstrap_interval(made, OXT_INTERVAL_Q, 0.0, 0.0, 0.9,
                                      (oxt_bootstrap_method)method, &low, &high, &error));
            NEAR(low, t.Q_low_J_per_mol, 0.06 * half);
            NEAR(high, t.Q_high_J_per_mol, 0.06 * half);
            OK(oxt_bootstrap_interval(made, OXT_INTERVAL_LN_K, 0.0, 0.0, 0.9,
                                      (oxt_bootstrap_method)method, &low, &high, &error));
            NEAR(low, log(t.k_ref_low_nm2_per_s), 0.06 * half_ln_k);
            NEAR(high, log(t.k_ref_high_nm2_per_s), 0.06 * half_ln_k);
        }
        oxt_bootstrap_free(made);
    }
    oxt_fit_free(fit);
}

/* Definitions (Efron and Tibshirani, chapters 13 and 14, from memory), on the replicates themselves: the
 * limits of a dip's time are quantiles of k/k*, and the correction moves them by twice the normal deviate
 * of the share of replicates that lie below the fit. */
Test(bootstrap, limits_are_quantiles_of_the_replicates)
{
    enum { COUNT = 3000 };
    static double ln_k[COUNT], Q[COUNT], ln_time[COUNT];
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = fit_of(made_up_log(3, 15, 0.1), NULL);
    oxt_bootstrap *made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_PAIRS, 2);
    oxt_bootstrap_values values = values_of(made);
    double m = (1.0 / BATH_K - 1.0 / values.T_ref_K) / R, low, high;
    size_t count = 0, below = 0;
    OK(oxt_bootstrap_get(made, NULL, COUNT, ln_k, Q, NULL, &error));
    for (size_t i = 0; i < COUNT; i++)
        if (!isnan(ln_k[i])) {
            ln_time[count] = values.ln_k - ln_k[i] - m * (values.Q_J_per_mol - Q[i]);
            below += ln_time[count++] < 0.0;
        }
    cr_assert_eq(count, COUNT - values.failed);
    gsl_sort(ln_time, 1, count);
    OK(oxt_bootstrap_interval(made, OXT_INTERVAL_DIP_TIME, BATH_K, 0.0, 0.8,
                              OXT_BOOTSTRAP_PERCENTILE, &low, &high, &error));
    NEAR(log(low), gsl_stats_quantile_from_sorted_data(ln_time, 1, count, 0.1), 1e-12);
    NEAR(log(high), gsl_stats_quantile_from_sorted_data(ln_time, 1, count, 0.9), 1e-12);
    OK(oxt_bootstrap_interval(made, OXT_INTERVAL_DIP_TIME, BATH_K, 0.0, 0.8,
                              OXT_BOOTSTRAP_BIAS_CORRECTED, &low, &high, &error));
    double shift = 2.0 * gsl_cdf_ugaussian_Pinv((double)below / (double)count);
    double z = gsl_cdf_ugaussian_Pinv(0.9);
    NEAR(log(low),
         gsl_stats_quantile_from_sorted_data(ln_time, 1, count, gsl_cdf_ugaussian_P(shift - z)),
         1e-12);
    NEAR(log(high),
         gsl_stats_quantile_from_sorted_data(ln_time, 1, count, gsl_cdf_ugaussian_P(shift + z)),
         1e-12);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* Contract: the report has the constants of the fit, the standard errors and the limits of the replicates. */
Test(bootstrap, report)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = fit_of(made_up_log(3, 15, 0.1), NULL);
    oxt_bootstrap *made = bootstrap_of(fit, 200, OXT_BOOTSTRAP_PAIRS, 2);
    oxt_bootstrap_values values = values_of(made);
    char report[1000], expected[1000], at[32];
    double k[2], Q[2];
    OK(oxt_format_temperature(values.T_ref_K, OXT_UNIT_FAHRENHEIT, at, sizeof at, NULL, &error));
    OK(oxt_bootstrap_interval(made, OXT_INTERVAL_LN_K, 0.0, 0.0, 0.95, OXT_BOOTSTRAP_PERCENTILE, k,
                              k + 1, &error));
    OK(oxt_bootstrap_interval(made, OXT_INTERVAL_Q, 0.0, 0.0, 0.95, OXT_BOOTSTRAP_PERCENTILE, Q,
                              Q + 1, &error));
    snprintf(expected, sizeof expected,
             "  rate at %s: k_ref = %.4g nm^2/s, standard error %.1f %% (95 %%: %.4g to %.4g)\n"
             "  activation energy: Q = %.4g kJ/mol, standard error %.2g kJ/mol (95 %%: %.4g to "
             "%.4g)\n  correlation of ln k_ref and Q %.3f\n"
             "  15 coupons are few for a bootstrap: of limits of 90 %% some 85 %% hold, while the "
             "fit's own hold\n",
             at, exp(values.ln_k), 100.0 * values.sd_ln_k, exp(k[0]), exp(k[1]),
             values.Q_J_per_mol / 1e3, values.sd_Q_J_per_mol / 1e3, Q[0] / 1e3, Q[1] / 1e3,
             values.correlation);
    OK(oxt_bootstrap_report(made, OXT_UNIT_FAHRENHEIT, report, sizeof report, NULL, &error));
    cr_assert_str_eq(strchr(report, '\n') + 1, expected, "%s", report);
    cr_assert(strstr(report, "bootstrap of 200 replicates, 0 could not be fitted\n"));
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* Means, standard deviations and correlation are those of the replicates that could be fitted, by the definitions of
 * the sample, n - 1 in the denominator: few of them, so that it counts. */
Test(bootstrap, numbers_are_those_of_the_sample)
{
    enum { COUNT = 100 };
    static double ln_k[COUNT], Q[COUNT];
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    add_thickness(log, 560.9, 60.0, 33.0);
    add_thickness(log, 588.7, 60.0, 57.0);
    add_thickness(log, 588.7, 90.0, 71.0);
    oxt_fit *fit = fit_of(log, NULL);
    oxt_bootstrap *made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_PAIRS, 1);
    oxt_bootstrap_values values = values_of(made);
    OK(oxt_bootstrap_get(made, NULL, COUNT, ln_k, Q, NULL, &error));
    size_t count = 0;
    for (size_t i = 0; i < COUNT; i++)
        if (!isnan(ln_k[i])) {
            ln_k[count] = ln_k[i];
            Q[count++] = Q[i];
        }
    cr_assert(count < COUNT && count == COUNT - values.failed);
    CLOSE(values.mean_ln_k, gsl_stats_mean(ln_k, 1, count), 1e-12);
    CLOSE(values.mean_Q_J_per_mol, gsl_stats_mean(Q, 1, count), 1e-12);
    CLOSE(values.sd_ln_k, gsl_stats_sd(ln_k, 1, count), 1e-9);
    CLOSE(values.sd_Q_J_per_mol, gsl_stats_sd(Q, 1, count), 1e-9);
    CLOSE(values.correlation, gsl_stats_correlation(ln_k, 1, Q, 1, count), 1e-9);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* A mean of residuals is as skew as one of them, over the root of their number: one thick film among eight makes
 * skewness sqrt(6), of the pool, over sqrt(8). Four standard errors, sqrt(6/B). */
Test(bootstrap, residuals_are_drawn_with_their_sign)
{
    enum { COUNT = 4000, ROWS = 8 };
    static double ln_k[COUNT];
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options held = OXT_FIT_OPTIONS_INIT;
    oxt_trials *log = new_log();
    held.Q_J_per_mol = 80e3;
    for (int i = 0; i < ROWS; i++)
        add_thickness(log, 588.7, 60.0, i ? 50.0 : 65.0);
    oxt_fit *fit = fit_of(log, &held);
    oxt_bootstrap *made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_RESIDUAL, 1);
    OK(oxt_bootstrap_get(made, NULL, COUNT, ln_k, NULL, NULL, &error));
    NEAR(gsl_stats_skew(ln_k, 1, COUNT), (ROWS - 2.0) / sqrt(ROWS - 1.0) / sqrt(ROWS),
         4.0 * sqrt(6.0 / COUNT));
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* Contract: limits take 2 over 1 less the confidence of replicates that could be fitted, and no more. */
Test(bootstrap, as_few_replicates_as_the_refusal_asks_for)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = fit_of(made_up_log(6, 30, 0.08), NULL);
    double low, high;
    for (uint32_t count = 199; count <= 200; count++) {
        oxt_bootstrap *made = bootstrap_of(fit, count, OXT_BOOTSTRAP_RESIDUAL, 1);
        oxt_status status = oxt_bootstrap_interval(made, OXT_INTERVAL_Q, 0.0, 0.0, 0.99,
                                                   OXT_BOOTSTRAP_PERCENTILE, &low, &high, &error);
        cr_assert_eq(values_of(made).failed, 0);
        cr_assert_eq(status, count == 200 ? OXT_OK : OXT_EFEW);
        oxt_bootstrap_free(made);
    }
    oxt_fit_free(fit);
}

/* What is not of the rows is drawn by its standard error: a held Q, and a prior where the rows say next to
 * nothing. Four standard errors of a standard deviation. */
Test(bootstrap, beliefs_are_drawn_too)
{
    enum { COUNT = 10000 };
    oxt_fit_options held = OXT_FIT_OPTIONS_INIT, with_prior = OXT_FIT_OPTIONS_INIT;
    oxt_prior prior = { sizeof prior, 600.0, 4.0, 0.7, 71e3, 20e3 };
    double tolerance = 4.0 / sqrt(2.0 * COUNT);
    held.Q_J_per_mol = 71e3;
    held.Q_stderr_J_per_mol = 5e3;
    with_prior.prior = &prior;
    oxt_trials *one_bath = new_log();
    add_thickness(one_bath, 588.7, 60.0, 57.0);
    add_thickness(one_bath, 588.7, 90.0, 71.0);
    oxt_fit *fit = fit_of(made_up_log(4, 9, 0.08), &held);
    oxt_bootstrap *made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_PAIRS, 2);
    CLOSE(values_of(made).sd_Q_J_per_mol, 5e3, tolerance);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
    fit = fit_of(one_bath, &with_prior);
    made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_PAIRS, 2);
    CLOSE(values_of(made).sd_Q_J_per_mol, 20e3, tolerance + 0.01);
    cr_assert_eq(values_of(made).failed, 0);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* Of three coupons, two in one bath, a draw of three stands in one bath with the chance (2/3)^3 +
 * (1/3)^3 = 1/3: it tells nothing of Q and is left out. Four standard deviations of the binomial. */
Test(bootstrap, replicates_in_one_bath_are_left_out)
{
    enum { COUNT = 10000 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    double low, high;
    add_thickness(log, 570.0, 60.0, 40.0);
    add_thickness(log, 570.0, 90.0, 50.0);
    add_thickness(log, 610.0, 60.0, 65.0);
    oxt_fit *fit = fit_of(log, NULL);
    oxt_bootstrap *made = bootstrap_of(fit, COUNT, OXT_BOOTSTRAP_PAIRS, 2);
    NEAR((double)values_of(made).failed, COUNT / 3.0, 4.0 * sqrt(COUNT * 2.0 / 9.0));
    OK(oxt_bootstrap_interval(made, OXT_INTERVAL_Q, 0.0, 0.0, 0.999, OXT_BOOTSTRAP_PERCENTILE, &low,
                              &high, &error));
    FAILS(oxt_bootstrap_interval(made, OXT_INTERVAL_Q, 0.0, 0.0, 0.9999, OXT_BOOTSTRAP_PERCENTILE,
                                 &low, &high, &error),
          OXT_EFEW);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* ---- threads ---- */

static void check_same(const oxt_fit *fit, oxt_bootstrap_kind kind)
{
    enum { COUNT = 333 };
    static const int threads[] = { 1, 2, 7, 0 };
    double ln_k[4][COUNT], Q[4][COUNT];
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < 4; i++) {
        oxt_bootstrap *made = bootstrap_of(fit, COUNT, kind, threads[i]);
        OK(oxt_bootstrap_get(made, NULL, COUNT, ln_k[i], Q[i], NULL, &error));
        cr_assert_eq(memcmp(ln_k[i], ln_k[0], sizeof ln_k[0]), 0, "%d threads", threads[i]);
        cr_assert_eq(memcmp(Q[i], Q[0], sizeof Q[0]), 0, "%d threads", threads[i]);
        oxt_bootstrap_free(made);
    }
}

/* Contract: the numbers do not depend on how many threads there were, bit by bit, whatever the fit. */
Test(bootstrap, any_number_of_threads_gives_the_same)
{
    oxt_fit_options options[4] = { OXT_FIT_OPTIONS_INIT, OXT_FIT_OPTIONS_INIT, OXT_FIT_OPTIONS_INIT,
                                   OXT_FIT_OPTIONS_INIT };
    options[1].robust = OXT_ROBUST_HUBER;
    options[1].bath_sd_K = 2.0;
    options[2].errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    options[2].bath_sd_K = 2.0;
    options[3].law = OXT_LAW_POWER; /* its search for the shape begins anew in each replicate */
    for (size_t i = 0; i < 4; i++) {
        oxt_fit *fit = fit_of(made_up_log(5, 9, 0.08), &options[i]);
        check_same(fit, OXT_BOOTSTRAP_PAIRS);
        check_same(fit, OXT_BOOTSTRAP_RESIDUAL);
        oxt_fit_free(fit);
    }
}

/* Contract: another seed, other numbers; no two replicates of one are the same draw. */
Test(bootstrap, each_replicate_has_numbers_of_its_own)
{
    enum { COUNT = 1000 };
    static double first[COUNT], second[COUNT];
    oxt_error error = OXT_ERROR_INIT;
    oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_fit *fit = fit_of(made_up_log(6, 30, 0.08), NULL);
    oxt_bootstrap *made;
    options.replicates = COUNT;
    for (uint64_t seed = 7; seed < 9; seed++) {
        options.random_seed = seed << 40;
        OK(oxt_bootstrap_run(&made, fit, &options, &error));
        OK(oxt_bootstrap_get(made, NULL, COUNT, seed == 7 ? first : second, NULL, NULL, &error));
        oxt_bootstrap_free(made);
    }
    gsl_sort(first, 1, COUNT);
    gsl_sort(second, 1, COUNT);
    cr_assert(memcmp(first, second, sizeof first) != 0);
    for (size_t i = 1; i < COUNT; i++)
        cr_assert(first[i] > first[i - 1]);
    oxt_fit_free(fit);
}

/* ---- progress ---- */

typedef struct {
    double last;
    int calls, stop_after; /* 0: never */
    oxt_fit **to_free;
} watcher;

static int watch(double done, void *user)
{
    watcher *by = user;
    cr_assert(done > by->last && done <= 1.0, "%g after %g", done, by->last);
    cr_assert(!by->stop_after || by->calls < by->stop_after);
    by->last = done;
    by->calls++;
    if (by->to_free)
        oxt_fit_free(*by->to_free);
    by->to_free = NULL;
    return by->calls == by->stop_after;
}

/* Contract: progress rises to 1 in several steps, and the fit may be freed once it is called. */
Test(bootstrap, progress_rises_to_one)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int threads = 1; threads < 4; threads++) {
        oxt_fit *fit = fit_of(made_up_log(8, 9, 0.08), NULL);
        watcher by = { 0.0, 0, 0, &fit };
        oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
        oxt_bootstrap *made;
        options.threads = threads;
        options.progress = watch;
        options.user = &by;
        OK(oxt_bootstrap_run(&made, fit, &options, &error));
        cr_assert(by.last == 1.0 && (threads > 1 || by.calls > 10), "%d calls", by.calls);
        oxt_bootstrap_free(made);
    }
}

/* Contract: when the caller asks to stop nothing is made, and `progress` is not called again; likewise at
 * the very end. */
Test(bootstrap, the_caller_can_stop_it)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = fit_of(made_up_log(9, 9, 0.08), NULL);
    for (int threads = 1; threads < 4; threads += 2) {
        watcher by = { 0.0, 0, 1, NULL };
        oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
        oxt_bootstrap *made = (oxt_bootstrap *)&by;
        options.replicates = threads == 1 ? 100000 : 100;
        options.threads = threads;
        options.progress = watch;
        options.user = &by;
        FAILS(oxt_bootstrap_run(&made, fit, &options, &error), OXT_ECANCEL);
        cr_assert_null(made);
        cr_assert_eq(by.calls, 1);
        cr_assert(threads > 1 || by.last < 0.001, "stopped after %g", by.last);
    }
    oxt_fit_free(fit);
}

/* ---- what is refused ---- */

Test(bootstrap, what_cannot_be_asked_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options held = OXT_FIT_OPTIONS_INIT;
    held.Q_J_per_mol = 71e3;
    oxt_fit *fit = fit_of(made_up_log(10, 9, 0.08), &held);
    oxt_bootstrap *made;
    oxt_bootstrap_options few = OXT_BOOTSTRAP_OPTIONS_INIT, kind = few, threads = few;
    double low, high;
    few.replicates = 99;
    kind.kind = (oxt_bootstrap_kind)2;
    threads.threads = 257;
    FAILS(oxt_bootstrap_run(&made, fit, &few, &error), OXT_EDOMAIN);
    FAILS(oxt_bootstrap_run(&made, fit, &kind, &error), OXT_EARG);
    FAILS(oxt_bootstrap_run(&made, fit, &threads, &error), OXT_EDOMAIN);
    made = bootstrap_of(fit, 100, OXT_BOOTSTRAP_PAIRS, 1);
    FAILS(oxt_bootstrap_interval(made, OXT_INTERVAL_Q, 0.0, 0.0, 0.9, OXT_BOOTSTRAP_PERCENTILE,
                                 &low, &high, &error),
          OXT_EIDENT);
    FAILS(oxt_bootstrap_interval(made, OXT_INTERVAL_LN_K, 0.0, 0.0, 0.9, (oxt_bootstrap_method)2,
                                 &low, &high, &error),
          OXT_EARG);
    FAILS(oxt_bootstrap_get(made, NULL, 99, &low, &high, NULL, &error), OXT_ESPACE);
    cr_assert(isnan(values_of(made).correlation) && values_of(made).sd_Q_J_per_mol == 0.0);
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
}

/* ---- how many threads ---- */

static void write_quota(const char *directory, const char *text)
{
    char path[800];
    mkdir(directory, 0777);
    snprintf(path, sizeof path, "%s/cpu.max", directory);
    FILE *file = fopen(path, "w");
    cr_assert(file && fputs(text, file) >= 0 && fclose(file) == 0);
}

/* The kernel's documentation, Control Group v2, cpu.max: "$MAX $PERIOD" in microseconds, "max" for none; a
 * group has no more than those above it. */
Test(bootstrap, a_quota_of_processors_counts)
{
    char root[700], one[720], two[740];
    snprintf(root, sizeof root, "%s", scratch_directory("quota"));
    snprintf(one, sizeof one, "%s/one", root);
    snprintf(two, sizeof two, "%s/two", one);
    cr_assert_eq(oxt_i_quota(root, "/one/two"), 0);
    write_quota(one, "max 100000\n");
    write_quota(two, "250000 100000\n");
    cr_assert_eq(oxt_i_quota(root, "/one/two"), 3);
    cr_assert_eq(oxt_i_quota(root, "/one"), 0);
    cr_assert_eq(oxt_i_quota(root, "/"), 0);
    write_quota(one, "50000 100000\n");
    cr_assert_eq(oxt_i_quota(root, "/one/two"), 1);
    write_quota(one, "nonsense");
    cr_assert_eq(oxt_i_quota(root, "/one/two"), 3);
}

/* A process that may run on one processor has one, however many there are. */
Test(bootstrap, the_affinity_mask_counts)
{
    cpu_set_t mine, one;
    cr_assert_eq(sched_getaffinity(0, sizeof mine, &mine), 0);
    cr_assert(oxt_i_processors() >= 1 && oxt_i_processors() <= (size_t)CPU_COUNT(&mine));
    int first = 0;
    while (!CPU_ISSET(first, &mine))
        first++;
    CPU_ZERO(&one);
    CPU_SET(first, &one);
    cr_assert_eq(sched_setaffinity(0, sizeof one, &one), 0);
    cr_assert_eq(oxt_i_processors(), 1);
}
