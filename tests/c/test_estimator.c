/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What all estimates of the library rest on: the scatter, its prior, the F of nested models, false alarms and the
 * verdict, each against an outside computation; and that a long call tells how far it is, and stops. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdlib.h>
#include <string.h>

#include "support.h"

static const double R = 8.31446261815324;

static gsl_rng *random_of(unsigned long seed)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    return random;
}

/* Coupons of one steel in three baths, with normal errors of ln x. */
typedef struct {
    size_t count;
    double noise, exponent; /* scatter; x is a power of time, 0.5 in parabolic growth */
    const char *steel, *finish;
    double rate; /* over the usual one */
} plan;

static void add_coupons(oxt_trials *log, gsl_rng *random, const plan *of)
{
    static const double baths_K[] = { 560.0, 590.0, 620.0 };
    const oxt_growth growth = growth_of(55.0 * of->rate, 588.7, 80e3);
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < of->count; i++) {
        oxt_trial trial = trial_at(baths_K[i % 3], 20.0 * pow(2.0, (double)(i % 5)));
        double exact_nm;
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &exact_nm, &error));
        exact_nm *= pow(trial.time_s / 80.0, of->exponent - 0.5);
        strcpy(trial.steel, of->steel);
        strcpy(trial.finish, of->finish);
        trial.seen = OXT_SEEN_THICKNESS;
        trial.thickness_nm = exact_nm * exp(gsl_ran_gaussian(random, of->noise));
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
}

static oxt_trials *log_of(gsl_rng *random, size_t count, double noise)
{
    const plan usual = { count, noise, 0.5, "Alder 1", "", 1.0 };
    oxt_trials *log = new_log();
    add_coupons(log, random, &usual);
    return log;
}

/* ---- the scatter ---- */

/* Physics: normal errors without any outlier have the scatter that they were made with, robust weights or not
 * (Huber's proposal 2 is consistent there: P. J. Huber, Robust Statistics, 1981, from memory). Of 20,000 rows it
 * is known to 0.5 %. */
Test(estimator, robust_weights_leave_normal_scatter_as_it_is)
{
    gsl_rng *random = random_of(11);
    oxt_trials *log = log_of(random, 20000, 0.08);
    for (int robust = OXT_ROBUST_NONE; robust <= OXT_ROBUST_TUKEY; robust++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.robust = (oxt_robust)robust;
        oxt_fit *fit = new_fit(log, &options);
        double scatter = values_of_fit(fit).scatter;
        /* 2 % of each thickness is its own */
        CLOSE(sqrt(scatter * scatter + 0.02 * 0.02), 0.08, 0.02);
        oxt_fit_free(fit);
    }
    oxt_trials_free(log);
    gsl_rng_free(random);
}

/* Sum of squares of ln x about the straight line in 1/T, by GSL's multifit. */
static double squares_left(const oxt_trials *trials, size_t n)
{
    gsl_matrix *X = gsl_matrix_alloc(n, 2), *C = gsl_matrix_alloc(2, 2);
    gsl_vector *y = gsl_vector_alloc(n), *c = gsl_vector_alloc(2);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(n, 2);
    oxt_error error = OXT_ERROR_INIT;
    double squares;
    for (size_t i = 0; i < n; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(trials, i, &trial, &error));
        gsl_matrix_set(X, i, 0, 1.0);
        gsl_matrix_set(X, i, 1, 600.0 / trial.bath_K - 1.0);
        gsl_vector_set(y, i, log(trial.thickness_nm) - 0.5 * log(trial.time_s));
    }
    gsl_multifit_linear(X, y, c, C, &squares, work);
    gsl_multifit_linear_free(work);
    gsl_matrix_free(X);
    gsl_matrix_free(C);
    gsl_vector_free(y);
    gsl_vector_free(c);
    return squares;
}

/* Student's t by second and fourth moments of normal deviates whose s follows its restricted likelihood and what is
 * usual (ln s normal), where all rows have one own variance: sums over a fine grid, docs/understand/decisions/04-scatter.md. */
typedef struct {
    double scatter, dof;
} known_scatter;

static known_scatter scatter_by_sums(double squares, double n, double own, double usual)
{
    enum { STEPS = 20000 };
    static const double LOW = 1e-3, HIGH = 2.0, LN_SPREAD = 0.9;
    double weight = 0.0, mean = 0.0, square = 0.0;
    for (int i = 0; i < STEPS; i++) {
        double s = LOW * pow(HIGH / LOW, (i + 0.5) / STEPS), whole = s * s + own;
        double off = log(s / usual) / LN_SPREAD;
        double share = exp(-0.5 * (n - 2.0) * log(whole * n / squares) - 0.5 * squares / whole -
                           0.5 * off * off);
        weight += share;
        mean += share * s * s;
        square += share * pow(s, 4.0);
    }
    mean /= weight;
    double dof = 4.0 + 2.0 / (square / weight / (mean * mean) - 1.0);
    return (known_scatter){ sqrt(mean * (dof - 2.0) / dof), dof };
}

/* Outside fact: the sums above. Six rows that disagree by a third leave what is usual its say. */
Test(estimator, the_scatter_follows_its_likelihood_and_what_is_usual)
{
    gsl_rng *random = random_of(5);
    double most = 0.0;
    for (int i = 0; i < 20; i++) {
        oxt_trials *log = log_of(random, 6, 0.3);
        oxt_fit *fit = new_fit(log, NULL);
        double squares = squares_left(log, 6), own = 0.02 * 0.02;
        known_scatter expected = scatter_by_sums(squares, 6.0, own, 0.08);
        CLOSE(values_of_fit(fit).scatter, expected.scatter, 0.02);
        CLOSE(values_of_fit(fit).scatter_dof, expected.dof, 0.1);
        most = fmax(most, scatter_by_sums(squares, 6.0, own, 0.16).scatter / expected.scatter);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    cr_assert_gt(most, 1.1);
    gsl_rng_free(random);
}

/* ---- nested models ---- */

static oxt_trials *three_steels(gsl_rng *random, size_t count, double noise)
{
    static const char *const steels[] = { "Alder 1", "Birch 2", "Cedar 3" };
    static const double rates[] = { 1.0, 1.5, 0.7 };
    oxt_trials *log = new_log();
    for (size_t i = 0; i < 3; i++) {
        const plan of = { count, noise, 0.5, steels[i], "", rates[i] };
        add_coupons(log, random, &of);
    }
    return log;
}

static oxt_pool *pool_of(const oxt_trials *log, const oxt_pool_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool *pool;
    OK(oxt_pool_run(&pool, log, default_film(), options, &error));
    return pool;
}

/* Sum of squares of 2 ln x - ln t with a line of its own for each steel, or with parallel ones: closed formulas. */
static double squares_of_lines(const oxt_trials *trials, size_t count, bool parallel)
{
    oxt_error error = OXT_ERROR_INIT;
    double uu[3] = { 0.0 }, uz[3] = { 0.0 }, zz = 0.0, sum = 0.0;
    for (size_t g = 0; g < 3; g++) {
        double mean_u = 0.0, mean_z = 0.0;
        for (int pass = 0; pass < 2; pass++)
            for (size_t i = 0; i < count; i++) {
                oxt_trial trial = OXT_TRIAL_INIT;
                OK(oxt_trials_get(trials, g * count + i, &trial, &error));
                double u = 600.0 / trial.bath_K;
                double z = 2.0 * log(trial.thickness_nm) - log(trial.time_s);
                mean_u += pass ? 0.0 : u / (double)count;
                mean_z += pass ? 0.0 : z / (double)count;
                uu[g] += pass ? (u - mean_u) * (u - mean_u) : 0.0;
                uz[g] += pass ? (u - mean_u) * (z - mean_z) : 0.0;
                zz += pass ? (z - mean_z) * (z - mean_z) : 0.0;
            }
        sum += uz[g] * uz[g] / uu[g];
    }
    double all = uz[0] + uz[1] + uz[2];
    return zz - (parallel ? all * all / (uu[0] + uu[1] + uu[2]) : sum);
}

static bool warns(const oxt_pool *pool, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[600];
    bool found = false;
    for (size_t i = 0; i < pool_warning_count(pool); i++) {
        OK(oxt_pool_warning(pool, i, text, sizeof text, NULL, &error));
        found = found || strstr(text, words);
    }
    return found;
}

/* Outside fact: R. A. Fisher's F of parallel lines against lines of their own (analysis of covariance; N. R. Draper and
 * H. Smith, Applied Regression Analysis, 1998, from memory), with GSL's chance of it. And the contract that a shared
 * Q is called contradicted below one chance in twenty, and not above. */
Test(estimator, F_of_a_shared_Q_is_that_of_parallel_lines)
{
    gsl_rng *random = random_of(3);
    int below = 0, doubtful = 0;
    for (int i = 0; i < 60; i++) {
        const size_t count = 7;
        oxt_trials *log = three_steels(random, count, 0.08);
        oxt_pool *pool = pool_of(log, NULL);
        oxt_pool_comparison shared = OXT_POOL_COMPARISON_INIT;
        oxt_error error = OXT_ERROR_INIT;
        OK(oxt_pool_get_comparison(pool, OXT_POOL_SHARED_Q, &shared, &error));
        double own = squares_of_lines(log, count, false);
        double F = (squares_of_lines(log, count, true) - own) / 2.0 / (own / 15.0);
        CLOSE(shared.F, F, 1e-8);
        cr_assert(shared.dof1 == 2.0 && shared.dof2 == 15.0);
        CLOSE(shared.p_value, gsl_cdf_fdist_Q(F, 2.0, 15.0), 1e-8);
        cr_assert_eq(warns(pool, "contradict one Q for all"), shared.p_value < 0.05);
        below += shared.p_value < 0.05;
        doubtful += shared.p_value >= 0.05 && shared.p_value < 0.5;
        oxt_pool_free(pool);
        oxt_trials_free(log);
    }
    cr_assert(below > 0 && doubtful > 5);
    gsl_rng_free(random);
}

/* Outside fact: with one own variance, a given scatter and a balanced log the rates of the steels are normal with known
 * variances, and the width between them is the mean over its restricted likelihood and a half-Cauchy prior of 0.5: here a
 * sum over a fine grid. Three steels leave the prior its say. */
Test(estimator, the_width_between_rates_is_the_mean_of_its_likelihood_and_prior)
{
    enum { COUNT = 15, STEPS = 200000 };
    gsl_rng *random = random_of(8);
    oxt_trials *trials = three_steels(random, COUNT, 0.05);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.scatter = 0.05;
    oxt_pool *pool = pool_of(trials, &options);
    oxt_pool_values values = OXT_POOL_VALUES_INIT;
    oxt_error error = OXT_ERROR_INIT;
    double rates[3], mean = 0.0, squares = 0.0, found[2];
    OK(oxt_pool_get(pool, &values, &error));
    for (size_t i = 0; i < 3; i++) {
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        OK(oxt_pool_get_group(pool, i, &group, &error));
        rates[i] = log(group.growth.k_ref_nm2_per_s);
        mean += rates[i] / 3.0;
    }
    for (size_t i = 0; i < 3; i++)
        squares += (rates[i] - mean) * (rates[i] - mean);
    double own = 4.0 * (0.05 * 0.05 + 0.02 * 0.02) / COUNT; /* of ln k, the baths alike */
    for (int wide = 0; wide < 2; wide++) {
        double width = wide ? 1.0 : 0.5, weight = 0.0, sum = 0.0;
        for (int i = 0; i < STEPS; i++) {
            double B = width * tan(0.5 * 3.14159265358979323846 * (i + 0.5) / STEPS);
            double variance = B * B + own;
            double share = exp(-0.5 * squares / variance) / variance; /* 3 rates less their mean */
            weight += share;
            sum += share * B;
        }
        found[wide] = sum / weight;
    }
    CLOSE(values.between_sd, found[0], 0.001);
    cr_assert_gt(found[1] / found[0], 1.1);
    oxt_pool_free(pool);
    oxt_trials_free(trials);
    gsl_rng_free(random);
}

/* ---- alarms and verdicts ---- */

/* Contract: one sound log in a hundred is called to have an outlier. Of 4,000 that is 40, give or take 7. */
Test(estimator, one_sound_log_in_a_hundred_raises_an_alarm)
{
    enum { LOGS = 4000 };
    gsl_rng *random = random_of(21);
    oxt_error error = OXT_ERROR_INIT;
    char text[600];
    int alarms = 0;
    for (int i = 0; i < LOGS; i++) {
        oxt_trials *log = log_of(random, 12, 0.1);
        oxt_fit *fit = new_fit(log, NULL);
        bool named = false;
        for (size_t j = 0; j < fit_warning_count(fit); j++) {
            OK(oxt_fit_warning(fit, j, text, sizeof text, NULL, &error));
            named = named || strstr(text, "far beyond their scatter");
        }
        alarms += named;
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    cr_assert(alarms >= 16 && alarms <= 64, "%d alarms", alarms);
    gsl_rng_free(random);
}

/* Contract of oxt_laws_verdict: the parabolic law holds where n agrees with 2 and its interval lies within 1.5 to 3; it
 * is contradicted where n differs from 2, and open else. Logs of many exponents come near all four limits. */
Test(estimator, the_verdict_keeps_its_limits)
{
    gsl_rng *random = random_of(2);
    oxt_error error = OXT_ERROR_INIT;
    int near_low[2] = { 0, 0 }, near_high[2] = { 0, 0 };
    for (int i = 0; i < 1500; i++) {
        const plan of = {
            12, gsl_ran_flat(random, 0.05, 0.2), gsl_ran_flat(random, 0.4, 0.6), "Alder 1", "", 1.0
        };
        oxt_trials *log = new_log();
        add_coupons(log, random, &of);
        oxt_fit *fit = new_fit(log, NULL);
        oxt_laws *laws;
        oxt_laws_values values = OXT_LAWS_VALUES_INIT;
        OK(oxt_laws_run(&laws, fit, NULL, &error));
        OK(oxt_laws_get(laws, &values, &error));
        bool within = values.exponent_low >= 1.5 && values.exponent_high <= 3.0;
        cr_assert_eq(values.verdict, values.p < 0.05 ? OXT_VERDICT_CONTRADICTED
                                     : within        ? OXT_VERDICT_HOLDS
                                                     : OXT_VERDICT_OPEN);
        if (values.p >= 0.05 && values.exponent_high <= 2.9)
            near_low[within] += fabs(values.exponent_low - 1.5) < 0.1;
        if (values.p >= 0.05 && values.exponent_low >= 1.6)
            near_high[within] += fabs(values.exponent_high - 3.0) < 0.2;
        oxt_laws_free(laws);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    cr_assert(near_low[0] > 0 && near_low[1] > 0 && near_high[0] > 0 && near_high[1] > 0,
              "%d %d %d %d", near_low[0], near_low[1], near_high[0], near_high[1]);
    gsl_rng_free(random);
}

/* ---- the bootstrap ---- */

/* Outside fact: the covariance of weighted least squares. Rows with errors of their own, from 1 % to 12 %, drawn by
 * residuals: the constants of the replicates scatter as that covariance says (B. Efron and R. J. Tibshirani, An
 * Introduction to the Bootstrap, 1993, chapter 9, from memory), whichever row comes first. */
Test(estimator, residuals_are_drawn_in_the_error_of_each_row)
{
    gsl_rng *random = random_of(9);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log(), *sound = log_of(random, 60, 1e-9);
    for (size_t i = 0; i < 60; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(sound, i, &trial, &error));
        double own = i < 30 ? 0.12 : 0.01;
        trial.thickness_nm *= exp(gsl_ran_gaussian(random, own));
        trial.thickness_sd_nm = own * trial.thickness_nm;
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.scatter = 0.0;
    oxt_fit *fit = new_fit(log, &options);
    oxt_bootstrap_options drawn = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_bootstrap_values values = OXT_BOOTSTRAP_VALUES_INIT;
    oxt_bootstrap *bootstrap;
    drawn.kind = OXT_BOOTSTRAP_RESIDUAL;
    OK(oxt_bootstrap_run(&bootstrap, fit, &drawn, &error));
    OK(oxt_bootstrap_get(bootstrap, &values, 0, NULL, NULL, NULL, &error));
    const oxt_fit_values of_fit = values_of_fit(fit);
    double scale = sqrt(of_fit.reduced_chi_square);
    CLOSE(values.sd_ln_k, of_fit.ln_k_stderr * scale, 0.1);
    CLOSE(values.sd_Q_J_per_mol, of_fit.Q_stderr_J_per_mol * scale, 0.1);
    oxt_bootstrap_free(bootstrap);
    oxt_fit_free(fit);
    oxt_trials_free(log);
    oxt_trials_free(sound);
    gsl_rng_free(random);
}

/* ---- worst cases ---- */

/* Physics: rows that are all alike have no scatter beyond their own, and those of one bath tell no Q. */
Test(estimator, rows_that_are_all_alike)
{
    enum { N = 100000 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_fit *fit = NULL;
    for (size_t i = 0; i < N; i++)
        add_thickness(log, 590.0, 60.0, 50.0);
    FAILS(oxt_fit_run(&fit, log, default_film(), NULL, &error), OXT_EIDENT);
    cr_assert_null(fit);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.Q_J_per_mol = 80e3;
    fit = new_fit(log, &options);
    const oxt_fit_values values = values_of_fit(fit);
    CLOSE(values.growth.k_ref_nm2_per_s, 2500.0 / 60.0, 1e-12);
    cr_assert(values.scatter < 0.005 && isnan(values.r_squared));
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Physics: a pool of thousands of steels with one Q finds it as well as its coupons tell it, and each rate is that of its own
 * coupons at this Q. */
Test(estimator, thousands_of_steels_share_a_Q)
{
    enum { STEELS = 3000 };
    gsl_rng *random = random_of(4);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    char names[STEELS][16];
    for (size_t i = 0; i < STEELS; i++) {
        snprintf(names[i], sizeof names[i], "Alder %zu", i);
        const plan of = { 6, 0.06, 0.5, names[i], "", exp(gsl_ran_gaussian(random, 0.3)) };
        add_coupons(log, random, &of);
    }
    oxt_pool *pool = pool_of(log, NULL);
    oxt_pool_values values = OXT_POOL_VALUES_INIT;
    OK(oxt_pool_get(pool, &values, &error));
    cr_assert_eq(values.group_count, STEELS);
    NEAR(values.Q_J_per_mol, 80e3, 4.0 * values.Q_stderr_J_per_mol);
    CLOSE(values.between_sd, 0.3, 0.05);
    CLOSE(sqrt(values.scatter * values.scatter + 0.02 * 0.02), 0.06, 0.02);
    for (size_t i = 0; i < STEELS; i += 577) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        OK(oxt_pool_get_group(pool, i, &group, &error));
        options.steel = group.steel;
        options.Q_J_per_mol = values.Q_J_per_mol;
        options.scatter = values.scatter;
        oxt_fit *fit = new_fit(log, &options);
        const oxt_growth alone = values_of_fit(fit).growth;
        CLOSE(group.growth.k_ref_nm2_per_s,
              alone.k_ref_nm2_per_s *
                  exp(-alone.Q_J_per_mol / R * (1.0 / values.T_ref_K - 1.0 / alone.T_ref_K)),
              1e-10);
        oxt_fit_free(fit);
    }
    oxt_pool_free(pool);
    oxt_trials_free(log);
    gsl_rng_free(random);
}

/* Contract: a pool names the coupon that contradicts the others, as a fit does. */
Test(estimator, a_pool_names_the_coupon_that_contradicts_the_others)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool *pool = NULL;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < 10; i++) {
        oxt_trial trial = trial_at(560.0 + 6.0 * (double)i, 60.0);
        strcpy(trial.steel, i % 2 ? "Alder 1" : "Birch 2");
        trial.line = i + 2;
        trial.seen = OXT_SEEN_THICKNESS;
        trial.thickness_nm = 60.0 * exp(-0.02 * (double)i) * (i == 7 ? 1.8 : 1.0);
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    FAILS(oxt_pool_run(&pool, log, default_film(), NULL, &error), OXT_EIDENT);
    SAYS("hotter baths gave thinner films");
    SAYS("line 9 contradicts the others most");
    cr_assert_eq(error.row, 9);
    cr_assert_null(pool);
    oxt_trials_free(log);
}

/* The same where each steel has a Q of its own: the coupon is one of the steel that has no answer, although another lies
 * farther off. */
Test(estimator, a_pool_of_separate_steels_names_a_coupon_of_the_one_at_fault)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_pool *pool = NULL;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < 16; i++) {
        bool alder = i < 8;
        oxt_trial trial = trial_at(560.0 + 8.0 * (double)(i % 8), 60.0);
        strcpy(trial.steel, alder ? "Alder 1" : "Birch 2");
        trial.line = i + 2;
        trial.seen = OXT_SEEN_THICKNESS;
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, &error));
        if (alder)
            trial.thickness_nm = 60.0 * exp(-0.02 * (double)i) * (i == 4 ? 1.5 : 1.0);
        else if (i == 12)
            trial.thickness_nm *= 3.0;
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    options.model = OXT_POOL_SEPARATE;
    FAILS(oxt_pool_run(&pool, log, default_film(), &options, &error), OXT_EIDENT);
    SAYS("the trials of Alder 1 contradict each other");
    cr_assert_eq(error.row, 6);
    cr_assert_null(pool);
    oxt_trials_free(log);
}

/* ---- progress ---- */

typedef struct {
    int calls, stop_at; /* 0: never */
    double last;
    bool rises;
} listener;

static int listen(double done, void *user)
{
    listener *to = user;
    to->rises = to->rises && done >= to->last && done <= 1.0;
    to->last = done;
    return ++to->calls == to->stop_at;
}

static listener run_all(int which, const oxt_trials *log, const oxt_fit *fit, int stop_at,
                        oxt_status wanted)
{
    listener made = { 0, stop_at, 0.0, true };
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options fit_options = OXT_FIT_OPTIONS_INIT;
    oxt_pool_options pool_options = OXT_POOL_OPTIONS_INIT;
    oxt_laws_options laws_options = OXT_LAWS_OPTIONS_INIT;
    oxt_fit *found = NULL;
    oxt_pool *pool = NULL;
    oxt_laws *laws = NULL;
    oxt_status status;
    fit_options.progress = pool_options.progress = laws_options.progress = listen;
    fit_options.user = pool_options.user = laws_options.user = &made;
    if (which == 0)
        status = oxt_fit_run(&found, log, default_film(), &fit_options, &error);
    else if (which == 1)
        status = oxt_pool_run(&pool, log, default_film(), &pool_options, &error);
    else
        status = oxt_laws_run(&laws, fit, &laws_options, &error);
    cr_assert_eq(status, wanted, "%s: %s", oxt_status_name(status), error.text);
    cr_assert_eq(found || pool || laws, wanted == OXT_OK);
    oxt_fit_free(found);
    oxt_pool_free(pool);
    oxt_laws_free(laws);
    return made;
}

/* Contract of oxt_progress_function: what is done never falls and ends at 1; a call that is asked to stop does so at once,
 * with OXT_ECANCEL and nothing to free. A short call speaks once, at its end; one of many coupons on the way too. */
Test(estimator, a_long_call_tells_how_far_it_is_and_stops)
{
    gsl_rng *random = random_of(6);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *few = log_of(random, 12, 0.06), *many = new_log();
    oxt_trials *measured_ones = log_of(random, 12, 0.06);
    for (size_t i = 0; i < 60000; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        oxt_tint tint = OXT_TINT_INIT;
        OK(oxt_trials_get(few, i % 12, &trial, &error));
        OK(oxt_tint_at(default_film(), trial.thickness_nm * exp(gsl_ran_gaussian(random, 0.06)),
                       &tint, &error));
        strcpy(trial.colour, tint.label);
        trial.seen = OXT_SEEN_COLOUR;
        OK(oxt_trials_add(many, &trial, NULL, &error));
    }
    oxt_fit *fit = new_fit(measured_ones, NULL);
    for (int which = 0; which < 3; which++) {
        listener heard = run_all(which, few, fit, 0, OXT_OK);
        cr_assert(heard.calls >= 1 && heard.last == 1.0 && heard.rises);
        heard = run_all(which, few, fit, 1, OXT_ECANCEL);
        cr_assert_eq(heard.calls, 1);
        if (which == 2)
            continue;
        heard = run_all(which, many, fit, 0, OXT_OK);
        cr_assert(heard.calls > 1 && heard.last == 1.0 && heard.rises);
        heard = run_all(which, many, fit, 1, OXT_ECANCEL);
        cr_assert(heard.calls == 1 && heard.last < 1.0);
    }
    oxt_fit_free(fit);
    oxt_trials_free(measured_ones);
    oxt_trials_free(few);
    oxt_trials_free(many);
    gsl_rng_free(random);
}
