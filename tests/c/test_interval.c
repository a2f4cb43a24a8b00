/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Profiles: what Student's t says where the model is a straight line, and what other fits say where it is
 * not. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <string.h>

#include "support.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double BATH_K = 602.0;

static oxt_growth truth(void)
{
    return growth_of(55.0, 588.7, 80e3);
}

/* Coupons in three baths. With a road they are lifted while they still warm up, so that what their time
 * was worth bends with Q; without, they are thin and quenched at once. */
static oxt_trials *made_up_log(gsl_rng *random, size_t count, double scatter, bool roads)
{
    static const double baths_K[] = { 550.0, 588.7, 630.0 }, sizes_m[] = { 0.004, 0.008, 0.014 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = truth();
    oxt_trials *log = new_log();
    for (size_t i = 0; i < count; i++) {
        oxt_part part = OXT_PART_INIT;
        oxt_trial trial = trial_at(baths_K[i % 3], 50.0 + 20.0 * (double)(i % 7));
        double exposure = 0.0;
        part.size_m = sizes_m[i / 3 % 3];
        if (roads)
            trial.part_size_m = part.size_m;
        if (roads)
            OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, trial.bath_K, trial.time_s, &exposure,
                                 &error));
        else
            OK(oxt_rate(&growth, trial.bath_K, &exposure, &error));
        if (!roads)
            exposure *= trial.time_s;
        trial.seen = OXT_SEEN_THICKNESS;
        trial.thickness_nm = sqrt(exposure) * exp(gsl_ran_gaussian(random, scatter));
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    return log;
}

static oxt_fit_values values_of(const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_get(fit, &values, &error));
    return values;
}

/* A fit of one seeded log. */
static oxt_fit *seeded_fit(unsigned long seed, size_t count, double scatter, bool roads,
                           const oxt_fit_options *options)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, seed);
    oxt_trials *log = made_up_log(random, count, scatter, roads);
    oxt_fit *fit = new_fit(log, options);
    oxt_trials_free(log);
    gsl_rng_free(random);
    return fit;
}

typedef struct {
    double low, high;
} limits;

static limits profile(const oxt_fit *fit, oxt_interval_quantity what, double confidence,
                      oxt_interval_scale scale)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_interval_options options = OXT_INTERVAL_OPTIONS_INIT;
    limits found = { 0.0, 0.0 };
    options.confidence = confidence;
    options.scale = scale;
    OK(oxt_interval_profile(fit, what, BATH_K, &options, &found.low, &found.high, &error));
    return found;
}

/* Standard error of ln of the time of a dip, by the covariance of the fit. */
static double dip_stderr(const oxt_fit_values *values)
{
    double m = (1.0 / BATH_K - 1.0 / values->growth.T_ref_K) / R;
    return sqrt(values->variance_ln_k - 2.0 * m * values->covariance_J_per_mol +
                m * m * values->variance_Q_J2_per_mol2);
}

static void check_limits(limits found, double best, double half)
{
    NEAR(found.low, best - half, 1e-6 * half);
    NEAR(found.high, best + half, 1e-6 * half);
}

static void check_all(const oxt_fit *fit, double confidence, oxt_interval_scale scale)
{
    oxt_fit_values values = values_of(fit);
    bool reduced = scale == OXT_INTERVAL_SCALE_REDUCED;
    double dof = reduced ? values.chi_square / values.reduced_chi_square : values.dof;
    double errors = gsl_cdf_tdist_Pinv(0.5 + 0.5 * confidence, dof);
    if (reduced)
        errors *= sqrt(values.reduced_chi_square);
    check_limits(profile(fit, OXT_INTERVAL_LN_K, confidence, scale),
                 log(values.growth.k_ref_nm2_per_s), errors * values.ln_k_stderr);
    check_limits(profile(fit, OXT_INTERVAL_Q, confidence, scale), values.growth.Q_J_per_mol,
                 errors * values.Q_stderr_J_per_mol);
    limits time = profile(fit, OXT_INTERVAL_DIP_TIME, confidence, scale);
    check_limits((limits){ log(time.low), log(time.high) }, 0.0, errors * dip_stderr(&values));
}

/* D. M. Bates and D. G. Watts, Nonlinear Regression Analysis and Its Applications, 1988, chapter 6 (from
 * memory): where the model is a straight line in its parameters the profile is Student's t, exactly. */
Test(spread, a_straight_line_has_the_limits_of_student)
{
    oxt_prior prior = { sizeof prior, 600.0, 4.0, 0.7, 71e3, 20e3 };
    oxt_fit_options options[4] = { OXT_FIT_OPTIONS_INIT, OXT_FIT_OPTIONS_INIT, OXT_FIT_OPTIONS_INIT,
                                   OXT_FIT_OPTIONS_INIT };
    options[1].robust = OXT_ROBUST_TUKEY;
    options[2].prior = &prior;
    options[3].errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    options[3].bath_sd_K = 2.0;
    for (size_t i = 0; i < 4; i++) {
        oxt_fit *fit = seeded_fit(3, 12, 0.06, false, &options[i]);
        check_all(fit, 0.95, OXT_INTERVAL_SCALE_STATED);
        check_all(fit, 0.5, OXT_INTERVAL_SCALE_STATED);
        check_all(fit, 0.9999, OXT_INTERVAL_SCALE_REDUCED);
        oxt_fit_free(fit);
    }
}

/* A held Q is not asked of the trials: its error goes on as the fit carried it. */
Test(spread, a_held_Q_is_carried_through)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.Q_J_per_mol = 71e3;
    options.Q_stderr_J_per_mol = 20e3;
    for (int roads = 0; roads < 2; roads++) {
        oxt_fit *fit = seeded_fit(4, 7, 0.06, roads, &options);
        oxt_fit_values values = values_of(fit);
        double t = gsl_cdf_tdist_Pinv(0.95, values.dof), low, high;
        check_limits(profile(fit, OXT_INTERVAL_LN_K, 0.9, OXT_INTERVAL_SCALE_STATED),
                     log(values.growth.k_ref_nm2_per_s), t * values.ln_k_stderr);
        limits time = profile(fit, OXT_INTERVAL_DIP_TIME, 0.9, OXT_INTERVAL_SCALE_STATED);
        check_limits((limits){ log(time.low), log(time.high) }, 0.0, t * dip_stderr(&values));
        FAILS(oxt_interval_profile(fit, OXT_INTERVAL_Q, 0.0, NULL, &low, &high, &error),
              OXT_EIDENT);
        oxt_fit_free(fit);
    }
}

/* What is known sharply beforehand sets the limits, also where the thermal paths of the coupons bend the model:
 * Student's t times the error that was stated. */
Test(spread, a_sharp_prior_sets_the_limits)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_prior prior = { sizeof prior, BATH_K, 4.0, 1e-4, 71e3, 50.0 };
    options.prior = &prior;
    oxt_fit *fit = seeded_fit(3, 12, 0.06, true, &options);
    oxt_fit_values values = values_of(fit);
    double t = gsl_cdf_tdist_Pinv(0.975, values.dof);
    limits of_q = profile(fit, OXT_INTERVAL_Q, 0.95, OXT_INTERVAL_SCALE_STATED);
    NEAR(of_q.low, 71e3 - t * 50.0, 0.05 * t * 50.0);
    NEAR(of_q.high, 71e3 + t * 50.0, 0.05 * t * 50.0);
    limits time = profile(fit, OXT_INTERVAL_DIP_TIME, 0.95, OXT_INTERVAL_SCALE_STATED);
    NEAR(log(time.high / time.low), 2.0 * t * 1e-4, 0.05 * t * 1e-4);
    oxt_fit_free(fit);
}

/* Chi-square of the rows when a prior as good as certain holds one number. */
static double held_at(const oxt_trials *log, double scatter, oxt_interval_quantity what,
                      double value)
{
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.scatter = scatter;
    options.prior = &prior;
    if (what == OXT_INTERVAL_Q) {
        prior.Q_J_per_mol = value;
        prior.Q_stderr_J_per_mol = 0.05;
    } else {
        prior.temperature_K = BATH_K;
        prior.ln_k = value;
        prior.ln_k_stderr = 1e-6;
    }
    oxt_fit *fit = new_fit(log, &options);
    double chi_square = values_of(fit).chi_square;
    oxt_fit_free(fit);
    return chi_square;
}

/* Definition of the profile, by other fits: with one number held at a limit and the other fitted anew,
 * chi-square is higher by F(1, dof). The road of each coupon bends the model, so that these limits are
 * not those of Student's t. */
Test(spread, chi_square_rises_by_f_at_the_limits)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 0);
    oxt_trials *trials = made_up_log(random, 9, 0.1, true);
    oxt_fit *fit = new_fit(trials, NULL);
    oxt_fit_values values = values_of(fit);
    double rise = gsl_cdf_fdist_Pinv(0.99, 1.0, values.dof);
    limits Q = profile(fit, OXT_INTERVAL_Q, 0.99, OXT_INTERVAL_SCALE_STATED);
    NEAR(held_at(trials, values.scatter, OXT_INTERVAL_Q, Q.low) - values.chi_square, rise,
         1e-3 * rise);
    NEAR(held_at(trials, values.scatter, OXT_INTERVAL_Q, Q.high) - values.chi_square, rise,
         1e-3 * rise);
    limits time = profile(fit, OXT_INTERVAL_DIP_TIME, 0.99, OXT_INTERVAL_SCALE_STATED);
    double rate = 0.0;
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_rate(&values.growth, BATH_K, &rate, &error));
    NEAR(held_at(trials, values.scatter, OXT_INTERVAL_DIP_TIME, log(rate / time.low)) -
             values.chi_square,
         rise, 1e-3 * rise);
    NEAR(held_at(trials, values.scatter, OXT_INTERVAL_DIP_TIME, log(rate / time.high)) -
             values.chi_square,
         rise, 1e-3 * rise);
    cr_assert(fabs(Q.high + Q.low - 2.0 * values.growth.Q_J_per_mol) > 0.005 * (Q.high - Q.low),
              "the model is not bent: %g to %g about %g", Q.low, Q.high, values.growth.Q_J_per_mol);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
    gsl_rng_free(random);
}

/* Definition of an interval: it holds the truth in its share of logs. 200 seeded logs; by the binomial
 * distribution a share of 0.9 lies within 3 standard deviations, 0.064. The scatter is known, so that the quantile is the
 * normal one: the confidence of Student's t with 7 degrees of freedom that has it. */
Test(spread, intervals_hold_the_truth_in_their_share)
{
    enum { LOGS = 200 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 0);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_growth growth = truth();
    oxt_error error = OXT_ERROR_INIT;
    int held_Q = 0, held_time = 0;
    double confidence = 2.0 * gsl_cdf_tdist_P(gsl_cdf_ugaussian_Pinv(0.95), 7.0) - 1.0;
    options.scatter = 0.08;
    options.thickness_uncertainty = 1e-3;
    for (int i = 0; i < LOGS; i++) {
        oxt_trials *log = made_up_log(random, 9, 0.08, true);
        oxt_fit *fit = new_fit(log, &options);
        oxt_growth found = values_of(fit).growth;
        double rate, estimate;
        limits Q = profile(fit, OXT_INTERVAL_Q, confidence, OXT_INTERVAL_SCALE_STATED);
        limits time = profile(fit, OXT_INTERVAL_DIP_TIME, confidence, OXT_INTERVAL_SCALE_STATED);
        OK(oxt_rate(&growth, BATH_K, &rate, &error));
        OK(oxt_rate(&found, BATH_K, &estimate, &error));
        held_Q += Q.low <= 80e3 && 80e3 <= Q.high;
        held_time += time.low <= estimate / rate && estimate / rate <= time.high;
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    NEAR(held_Q, 0.9 * LOGS, 0.064 * LOGS);
    NEAR(held_time, 0.9 * LOGS, 0.064 * LOGS);
    gsl_rng_free(random);
}

Test(spread, what_cannot_be_asked_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit = seeded_fit(5, 9, 0.06, false, NULL);
    double low = 1.0, high = 2.0;
    oxt_interval_options sure = OXT_INTERVAL_OPTIONS_INIT, scale = OXT_INTERVAL_OPTIONS_INIT;
    sure.confidence = 1.0;
    scale.scale = (oxt_interval_scale)2;
    FAILS(oxt_interval_profile(fit, OXT_INTERVAL_DIP_TIME, 30.0, NULL, &low, &high, &error),
          OXT_EDOMAIN);
    FAILS(oxt_interval_profile(fit, OXT_INTERVAL_Q, 600.0, &sure, &low, &high, &error),
          OXT_EDOMAIN);
    FAILS(oxt_interval_profile(fit, OXT_INTERVAL_Q, 600.0, &scale, &low, &high, &error), OXT_EARG);
    FAILS(oxt_interval_profile(fit, OXT_INTERVAL_Q, 600.0, NULL, &low, NULL, &error), OXT_EARG);
    cr_assert(low == 1.0 && high == 2.0);
    OK(oxt_interval_profile(fit, OXT_INTERVAL_Q, NAN, NULL, &low, &high, &error));
    oxt_fit_free(fit);
}

/* ---- progress ---- */

typedef struct {
    double last;
    int calls, stop_after;
    oxt_fit *fit; /* freed at the first call */
} watcher;

static int watch(double done, void *user)
{
    watcher *of = user;
    cr_assert(done >= of->last && done <= 1.0);
    of->last = done;
    oxt_fit_free(of->fit);
    of->fit = NULL;
    return ++of->calls == of->stop_after + 1; /* once: it is not asked in vain */
}

/* Contract of oxt_interval_options: the share done rises to 1, the fit may be freed meanwhile, and the caller may
 * stop; 2,000 coupons that warm up take long enough to be asked. */
Test(spread, a_profile_tells_how_far_it_is_and_may_be_stopped)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_interval_options options = OXT_INTERVAL_OPTIONS_INIT;
    for (int stopped = 0; stopped < 2; stopped++) {
        watcher seen = { 0.0, 0, stopped ? 0 : 1000000, seeded_fit(5, 2000, 0.06, true, NULL) };
        const oxt_fit *fit = seen.fit;
        double low = -1.0, high = -1.0;
        limits alone = profile(fit, OXT_INTERVAL_DIP_TIME, 0.95, OXT_INTERVAL_SCALE_STATED);
        options.progress = watch;
        options.user = &seen;
        oxt_status status = oxt_interval_profile(fit, OXT_INTERVAL_DIP_TIME, BATH_K, &options, &low,
                                                 &high, &error);
        cr_assert(status == (stopped ? OXT_ECANCEL : OXT_OK), "%d: %s", status, error.text);
        cr_assert(seen.calls > 0 && !seen.fit);
        if (stopped)
            cr_assert(low == -1.0 && high == -1.0 && strstr(error.text, "stopped"), "%s",
                      error.text);
        else
            cr_assert(seen.last == 1.0 && low == alone.low && high == alone.high);
    }
}
