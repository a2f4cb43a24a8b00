/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials that state their day: what a day did to all of its coupons is told from what its bath did. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_statistics.h>
#include <stdio.h>
#include <string.h>

#include "support.h"

static const double baths_K[] = { 560.9, 588.7, 616.5 };

/* Measured films of days that differ by these factors, three baths each day; `alone`: one bath a day. */
static oxt_trials *log_of_days(const double *factors, int days, int each, bool stated, bool alone)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    oxt_trials *log = new_log();
    gsl_rng_set(random, 4);
    for (int i = 0; i < days * each; i++) {
        oxt_trial trial = trial_at(baths_K[(alone ? i / each : i) % 3], 60.0 + 10.0 * (i % 5));
        trial.seen = OXT_SEEN_THICKNESS;
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, &error));
        trial.thickness_nm *= factors[i / each] * exp(gsl_ran_gaussian(random, 0.01));
        if (stated)
            sprintf(trial.day, "day %d", i / each);
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    gsl_rng_free(random);
    return log;
}

static const double apart[] = { 1.1, 1 / 1.1, 1.1, 1 / 1.1, 1.1, 1 / 1.1, 1.1, 1 / 1.1 };

/* The root of the mean square of ln 1.1 is 0.095. Six coupons of a day are then worth little more than one: the error
 * of ln k, which is twice that of ln x, is near 2 * 0.1 / sqrt(8). */
Test(days, their_deviation_is_told_from_the_scatter)
{
    oxt_trials *log = log_of_days(apart, 8, 6, true, false);
    oxt_fit *fit = new_fit(log, NULL);
    oxt_fit_values with = values_of_fit(fit);
    cr_assert_eq(with.day_count, 8);
    cr_assert(with.day_sd > 0.075 && with.day_sd < 0.13, "%g", with.day_sd);
    cr_assert(with.scatter < 0.02, "%g", with.scatter);
    cr_assert(with.ln_k_stderr > 0.055 && with.ln_k_stderr < 0.1, "%g", with.ln_k_stderr);
    cr_assert(with.dof < 20.0, "%g", with.dof);
    CLOSE(with.growth.Q_J_per_mol, 80e3, 0.02); /* each day ran all baths */
    cr_assert_eq(with.warning_count, 0);
    for (size_t i = 0; i < with.row_count; i++)
        cr_assert(fabs(row_of_fit(fit, i).residual) < 0.04);
    oxt_steel *steel;
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_fit_steel(fit, &steel, &error));
    cr_assert_eq(values_of_steel(steel).day_sd, with.day_sd);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
    log = log_of_days(apart, 8, 6, false, false);
    fit = new_fit(log, NULL);
    oxt_fit_values without = values_of_fit(fit);
    cr_assert(without.day_count == 0 && without.day_sd == 0.0);
    CLOSE(without.growth.k_ref_nm2_per_s, with.growth.k_ref_nm2_per_s, 0.01);
    cr_assert(without.ln_k_stderr < 0.5 * with.ln_k_stderr);
    cr_assert(without.scatter > 0.08, "%g", without.scatter);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* The likelihood of thicknesses is normal: generalised least squares written out, a matrix for each day, at the
 * deviations that the fit found. */
Test(days, constants_are_those_of_generalised_least_squares)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of_days(apart, 4, 3, true, false);
    oxt_fit *fit = new_fit(trials, NULL);
    oxt_fit_values v = values_of_fit(fit);
    double A[3] = { 0.0, 0.0, 0.0 }, right[2] = { 0.0, 0.0 };
    double own = v.scatter * v.scatter + 0.02 * 0.02, between = v.day_sd * v.day_sd;
    double q = v.growth.Q_J_per_mol / (OXT_GAS_CONSTANT_J_PER_MOL_K * v.growth.T_ref_K);
    double minus_twice = 12.0 * log(2.0 * acos(-1.0)) +
                         4.0 * log(own * own * (own + 3.0 * between));
    for (int day = 0; day < 4; day++)
        for (int i = 0; i < 3; i++)
            for (int j = 0; j < 3; j++) { /* the inverse of own I + between 1 1' */
                double w = (i == j ? 1.0 / own : 0.0) - between / (own * (own + 3.0 * between));
                oxt_trial a = OXT_TRIAL_INIT, b = OXT_TRIAL_INIT;
                OK(oxt_trials_get(trials, (size_t)(3 * day + i), &a, &error));
                OK(oxt_trials_get(trials, (size_t)(3 * day + j), &b, &error));
                double u = v.growth.T_ref_K / a.bath_K - 1.0, t = v.growth.T_ref_K / b.bath_K - 1.0;
                double z = 2.0 * log(b.thickness_nm) - log(b.time_s);
                A[0] += w;
                A[1] -= w * t;
                A[2] += w * u * t;
                right[0] += w * z;
                right[1] -= w * u * z;
                double y = 2.0 * log(a.thickness_nm) - log(a.time_s),
                       ln_k = log(v.growth.k_ref_nm2_per_s);
                minus_twice += 0.25 * w * (y - ln_k + q * u) * (z - ln_k + q * t);
            }
    double det = A[0] * A[2] - A[1] * A[1];
    CLOSE(log(v.growth.k_ref_nm2_per_s), (A[2] * right[0] - A[1] * right[1]) / det, 1e-9);
    CLOSE(v.growth.Q_J_per_mol,
          (A[0] * right[1] - A[1] * right[0]) / det * OXT_GAS_CONSTANT_J_PER_MOL_K *
              v.growth.T_ref_K,
          1e-9);
    /* Akaike's criterion, corrected for 12 rows, of four numbers found: two constants and two deviations */
    NEAR(v.aicc, minus_twice + 2.0 * 4.0 + 2.0 * 4.0 * 5.0 / 7.0, 1e-6);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

static bool warns(const oxt_fit *fit, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[500];
    for (size_t i = 0; i < fit_warning_count(fit); i++) {
        OK(oxt_fit_warning(fit, i, text, sizeof text, NULL, &error));
        if (strstr(text, words))
            return true;
    }
    return false;
}

Test(days, a_bath_that_is_a_day_is_a_warning)
{
    oxt_trials *log = log_of_days(apart, 6, 4, true, true);
    oxt_fit *fit = new_fit(log, NULL);
    oxt_fit_values alone = values_of_fit(fit);
    cr_assert(warns(fit, "Each bath ran on days of its own"));
    oxt_fit_free(fit);
    oxt_trials_free(log);
    log = log_of_days(apart, 6, 4, true, false);
    fit = new_fit(log, NULL);
    cr_assert(!warns(fit, "days of its own"));
    /* within a day Q is known without what the days did */
    cr_assert(values_of_fit(fit).Q_stderr_J_per_mol < 0.3 * alone.Q_stderr_J_per_mol);
    oxt_fit_free(fit);
    oxt_trials_free(log);
    log = log_of_days(apart, 1, 12, true, false);
    fit = new_fit(log, NULL);
    cr_assert(warns(fit, "All trials ran on one day"));
    cr_assert(values_of_fit(fit).day_sd == 0.0 && values_of_fit(fit).day_count == 1);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Trials that state no day are each alone on theirs. */
Test(days, some_trials_may_state_none)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = log_of_days(apart, 2, 6, true, false), *more = new_log();
    for (size_t i = 0; i < 12; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(log, i, &trial, &error));
        if (i >= 6)
            trial.day[0] = '\0';
        OK(oxt_trials_add(more, &trial, NULL, &error));
    }
    oxt_fit *fit = new_fit(more, NULL);
    cr_assert_eq(values_of_fit(fit).day_count, 7);
    oxt_fit_free(fit);
    oxt_trials_free(more);
    oxt_trials_free(log);
}

/* Half of the days 20 % thicker than the others, all before them: a drift, or days that differ. */
Test(days, what_days_do_is_no_drift)
{
    static const double steps[] = { 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.05, 1.05 };
    for (int stated = 0; stated < 2; stated++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_trials *log = log_of_days(steps, 8, 6, stated, false);
        oxt_fit *fit = new_fit(log, NULL);
        oxt_drift drift = OXT_DRIFT_INIT;
        OK(oxt_drift_find(fit, NULL, &drift, &error));
        cr_assert_eq(drift.called, !stated, "t %g, limit %g", drift.statistic, drift.limit);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
}

/* The spread of replicates is that of the constants, which the days make wide. */
Test(days, a_bootstrap_draws_days_too)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int kind = OXT_BOOTSTRAP_PAIRS; kind <= OXT_BOOTSTRAP_RESIDUAL; kind++) {
        oxt_trials *log = log_of_days(apart, 8, 6, true, false);
        oxt_fit *fit = new_fit(log, NULL);
        oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
        enum { REPLICATES = 1000 };
        double ln_k[REPLICATES], Q[REPLICATES];
        oxt_bootstrap *made;
        options.replicates = REPLICATES;
        options.kind = (oxt_bootstrap_kind)kind;
        OK(oxt_bootstrap_run(&made, fit, &options, &error));
        OK(oxt_bootstrap_get(made, NULL, REPLICATES, ln_k, Q, NULL, &error));
        double ratio = gsl_stats_sd(ln_k, 1, REPLICATES) / values_of_fit(fit).ln_k_stderr;
        cr_assert(ratio > 0.7 && ratio < 1.3, "%g", ratio);
        oxt_bootstrap_free(made);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
}

/* A dip on another day has its effect too: by the card with as much scatter as both. */
Test(days, the_next_dip_is_on_another_day)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_target target = target_of("blue");
    oxt_dip dips[2];
    for (int i = 0; i < 2; i++) {
        values.scatter = i ? 0.05 : 0.03;
        values.day_sd = i ? 0.0 : 0.04;
        oxt_steel *steel = steel_of(&values);
        dips[i] = (oxt_dip)OXT_DIP_INIT;
        OK(oxt_dip_predict(steel, &target, 600.0, NULL, &dips[i], &error));
        oxt_steel_free(steel);
    }
    CLOSE(dips[0].next_high_s, dips[1].next_high_s, 1e-12);
    CLOSE(dips[0].chance, dips[1].chance, 1e-12);
    CLOSE(dips[0].interval_high_s, dips[1].interval_high_s, 1e-12);
}

static oxt_plan_values set_of(double scatter, double day_sd)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_values made = OXT_PLAN_VALUES_INIT;
    oxt_target target = target_of("blue");
    oxt_plan *set;
    values.scatter = scatter;
    values.day_sd = day_sd;
    oxt_steel *steel = steel_of(&values);
    part.steel = steel;
    part.film = default_film();
    part.target = &target;
    options.draws = 20000;
    OK(oxt_plan_set(&set, (const oxt_plan_part *const[]){ &part, &part }, 2, 600.0, &options,
                    &error));
    OK(oxt_plan_get(set, &made, &error));
    oxt_plan_free(set);
    oxt_steel_free(steel);
    return made;
}

/* Parts of one day are off together: a day hits fewer targets, and parts match as they would without it. A draw of
 * 20,000 sets is good to half a point. */
Test(days, parts_of_a_set_share_their_day)
{
    oxt_plan_values without = set_of(0.03, 0.0), with = set_of(0.03, 0.06),
                    own = set_of(hypot(0.03, 0.06), 0.0);
    cr_assert(with.chance_targets < without.chance_targets - 0.1, "%g %g", with.chance_targets,
              without.chance_targets);
    cr_assert(with.chance_targets > own.chance_targets + 0.05, "%g %g", with.chance_targets,
              own.chance_targets);
    cr_assert(fabs(with.chance_match - without.chance_match) < 0.3 * (1.0 - own.chance_match),
              "%g %g %g", with.chance_match, without.chance_match, own.chance_match);
}

/* A pool of one steel is a fit, and shrinking keeps the days. */
Test(days, a_pool_has_days_too)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = log_of_days(apart, 8, 6, true, false);
    oxt_fit *fit = new_fit(log, NULL);
    oxt_fit_values alone = values_of_fit(fit);
    oxt_fit_free(fit);
    for (size_t i = 0; i < 48; i++) { /* a second steel, 40 % faster on the same days */
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(log, i, &trial, &error));
        strcpy(trial.steel, "Birch 2");
        trial.time_s /= 1.4;
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    for (int shrink = 0; shrink < 2; shrink++) {
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        oxt_pool_values values = OXT_POOL_VALUES_INIT;
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        oxt_pool *pool;
        oxt_steel *steel;
        options.shrink = shrink;
        OK(oxt_pool_run(&pool, log, default_film(), &options, &error));
        OK(oxt_pool_get(pool, &values, &error));
        OK(oxt_pool_get_group(pool, 0, &group, &error));
        OK(oxt_pool_steel(pool, 0, &steel, &error));
        CLOSE(values.day_sd, alone.day_sd, 0.15);
        CLOSE(group.ln_k_stderr, alone.ln_k_stderr, 0.2);
        cr_assert_eq(values_of_steel(steel).day_sd, values.day_sd);
        oxt_steel_free(steel);
        oxt_pool_free(pool);
    }
    oxt_trials_free(log);
}

/* Thicker films on the days of the longer times: told by the days, growth stays parabolic. */
Test(days, what_days_do_is_no_law)
{
    double factors[8];
    for (int i = 0; i < 8; i++)
        factors[i] = 1.0 + 0.03 * (i - 3.5);
    oxt_error error = OXT_ERROR_INIT;
    double exponents[2];
    for (int stated = 0; stated < 2; stated++) {
        oxt_trials *log = log_of_days(factors, 8, 6, stated, false), *longer = new_log();
        for (size_t i = 0; i < 48; i++) { /* longer from day to day */
            oxt_trial trial = OXT_TRIAL_INIT;
            OK(oxt_trials_get(log, i, &trial, &error));
            double times = 1.0 + 0.15 * (double)(i / 6);
            trial.time_s *= times;
            trial.thickness_nm *= sqrt(times);
            OK(oxt_trials_add(longer, &trial, NULL, &error));
        }
        oxt_fit *fit = new_fit(longer, NULL);
        exponents[stated] = values_of_fit(fit).time_exponent;
        oxt_fit_free(fit);
        oxt_trials_free(longer);
        oxt_trials_free(log);
    }
    cr_assert(fabs(exponents[1] - 0.5) < 0.5 * fabs(exponents[0] - 0.5), "%g %g", exponents[0],
              exponents[1]);
}

Test(days, a_card_keeps_their_deviation)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[4000];
    oxt_steel *again, *steel;
    oxt_steel_values values = some_steel();
    steel = steel_of(&values);
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    cr_assert_null(strstr(text, "day_sd"));
    oxt_steel_free(steel);
    values.day_sd = 0.0375;
    steel = steel_of(&values);
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    OK(oxt_steel_load(&again, NULL, text, strlen(text), &error));
    cr_assert_eq(values_of_steel(again).day_sd, 0.0375);
    oxt_steel_free(again);
    oxt_steel_free(steel);
    values.day_sd = -0.1;
    FAILS(oxt_steel_new(&steel, &values, &error), OXT_EDOMAIN);
    SAYS("day_sd");
}

/* The share of a prior, and that there was one, with days as without: by the fit without it, whose information on Q is what is
 * left. */
Test(days, a_prior_beside_days)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = log_of_days(apart, 8, 6, true, false);
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *alone, *with;
    OK(oxt_fit_run(&alone, log, default_film(), &options, &error));
    oxt_fit_values before = values_of_fit(alone);
    prior.Q_J_per_mol = before.growth.Q_J_per_mol;
    prior.Q_stderr_J_per_mol =
        before.Q_stderr_J_per_mol; /* as sure as the trials: half of what is known */
    options.prior = &prior;
    OK(oxt_fit_run(&with, log, default_film(), &options, &error));
    oxt_fit_values after = values_of_fit(with);
    NEAR(after.prior_share_Q, 0.5, 0.05);
    oxt_steel *steel;
    oxt_steel_values card = OXT_STEEL_VALUES_INIT;
    OK(oxt_fit_steel(with, &steel, &error));
    OK(oxt_steel_get(steel, &card, &error));
    cr_assert(strstr(card.origin, "with a prior"), "%s", card.origin);
    oxt_steel_free(steel);
    oxt_fit_free(alone);
    oxt_fit_free(with);
    oxt_trials_free(log);
}
