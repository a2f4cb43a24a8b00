/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a steel to the time of a dip: window, intervals, chance, cautions, and back. */
#define _GNU_SOURCE /* feenableexcept */
#include <fenv.h>
#include <gsl/gsl_cdf.h>
#include <stdio.h>
#include <string.h>

#include "support.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* A steel that knows its film. */
static oxt_steel_values some_values(void)
{
    oxt_steel_values values = some_steel();
    oxt_film_description(default_film(), values.description, sizeof values.description, NULL, NULL);
    return values;
}

static oxt_dip predict_with(const oxt_steel_values *values, const oxt_target *target, double bath_K,
                            const oxt_dip_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_steel *steel = steel_of(values);
    OK(oxt_dip_predict(steel, target, bath_K, options, &dip, &error));
    oxt_steel_free(steel);
    return dip;
}

/* The dip of the usual steel for a named colour. */
static oxt_dip predict(const char *name, double bath_K)
{
    oxt_steel_values values = some_values();
    oxt_target target = target_of(name);
    return predict_with(&values, &target, bath_K, NULL);
}

static const char *const names[] = { "faint straw",    "straw",      "dark straw",
                                     "brown",          "purple",     "dark blue",
                                     "blue",           "light blue", "silver",
                                     "57 nm",          "#2b3a67",    "second order blue",
                                     "2nd order green" };
enum { NAMES = sizeof names / sizeof names[0] };

/* ---- times ---- */

Test(dip, the_times_are_those_of_the_thicknesses)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = some_values().growth;
    for (size_t i = 0; i < NAMES; i++)
        for (double bath_K = 480.0; bath_K < 900.0; bath_K += 60.0) {
            oxt_target target = target_of(names[i]);
            oxt_dip dip = predict(names[i], bath_K);
            double aim = 0, low = 0, high = 0;
            OK(oxt_time_for_thickness(&growth, target.aim_nm, bath_K, &aim, &error));
            OK(oxt_time_for_thickness(&growth, target.low_nm, bath_K, &low, &error));
            OK(oxt_time_for_thickness(&growth, target.high_nm, bath_K, &high, &error));
            cr_assert(dip.time_s == aim && dip.earliest_s == low && dip.latest_s == high);
            cr_assert(low <= aim && aim <= high && low < high);
            cr_assert(dip.bath_K == bath_K && dip.target.aim_nm == target.aim_nm);
            cr_assert_str_eq(dip.target.text, target.text);
        }
}

Test(dip, a_hotter_bath_is_never_slower)
{
    for (size_t i = 0; i < NAMES; i++) {
        double before = HUGE_VAL;
        for (double bath_K = 440.0; bath_K <= OXT_BATH_HIGH_K; bath_K += 5.0) {
            double time_s = predict(names[i], bath_K).time_s;
            cr_assert(time_s < before);
            before = time_s;
        }
    }
}

/* ---- intervals ---- */

static double width(double low_s, double high_s)
{
    return log(high_s / low_s);
}

/* Variance of ln t at a fixed thickness is that of ln k(T) = ln k_ref - (Q/R)(1/T - 1/T_ref), which
 * follows from the covariance of ln k_ref and Q; Student's t with the degrees of freedom of the fit. */
Test(dip, the_interval_is_that_of_the_rate)
{
    for (int negative = 0; negative < 2; negative++)
        for (double bath_K = 500.0; bath_K < 700.0; bath_K += 40.0) {
            oxt_steel_values values = some_values();
            values.covariance_J_per_mol = negative ? -100.0 : 100.0;
            oxt_target target = target_of("blue");
            oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
            options.confidence = 0.9;
            oxt_dip dip = predict_with(&values, &target, bath_K, &options);
            double s = -(1.0 / bath_K - 1.0 / 588.7) / R;
            double variance = 0.0021 + 2.0 * s * values.covariance_J_per_mol + s * s * 31.7e6;
            double half = gsl_cdf_tdist_Pinv(0.95, 10.0) * sqrt(variance);
            double next = gsl_cdf_tdist_Pinv(0.95, 10.0) * sqrt(variance + 4.0 * 0.05 * 0.05);
            CLOSE(log(dip.interval_high_s / dip.time_s), half, 1e-9);
            CLOSE(log(dip.time_s / dip.interval_low_s), half, 1e-9);
            CLOSE(log(dip.next_high_s / dip.time_s), next, 1e-9);
            CLOSE(log(dip.time_s / dip.next_low_s), next, 1e-9);
            cr_assert_eq(dip.confidence, 0.9);
        }
}

Test(dip, intervals_grow_with_the_confidence)
{
    static const double confidences[] = { 0.5, 0.6826894921, 0.9, 0.95, 0.99, 0.9999 };
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    double mean_before = 0.0, next_before = 0.0;
    for (int i = 0; i < 6; i++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.confidence = confidences[i];
        oxt_dip dip = predict_with(&values, &target, 600.0, &options);
        cr_assert(dip.interval_low_s < dip.time_s && dip.time_s < dip.interval_high_s);
        cr_assert(dip.next_low_s < dip.interval_low_s && dip.interval_high_s < dip.next_high_s);
        cr_assert(width(dip.interval_low_s, dip.interval_high_s) > mean_before);
        cr_assert(width(dip.next_low_s, dip.next_high_s) > next_before);
        mean_before = width(dip.interval_low_s, dip.interval_high_s);
        next_before = width(dip.next_low_s, dip.next_high_s);
    }
}

/* With ln k_ref and Q uncorrelated at T_ref, the answer is surest there. */
Test(dip, the_interval_is_narrowest_near_the_middle_of_the_trials)
{
    double least = HUGE_VAL, where = 0.0;
    for (double bath_K = 520.0; bath_K < 660.0; bath_K += 0.1) {
        oxt_dip dip = predict("blue", bath_K);
        if (width(dip.interval_low_s, dip.interval_high_s) < least) {
            least = width(dip.interval_low_s, dip.interval_high_s);
            where = bath_K;
        }
    }
    NEAR(where, 588.7, 0.1);
}

/* What wanders: the lift as a part of the time, the bath through d ln k/dT = Q/(R T^2). */
Test(dip, what_wanders_widens_the_next_dip_only)
{
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    oxt_dip still = predict_with(&values, &target, 600.0, NULL);
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.time_wander_s = 5.0;
    options.bath_wander_K = 3.0;
    oxt_dip dip = predict_with(&values, &target, 600.0, &options);
    cr_assert(dip.interval_low_s == still.interval_low_s && dip.time_s == still.time_s);
    double t_mean = gsl_cdf_tdist_Pinv(0.975, 10.0);
    double of_mean = pow(log(still.interval_high_s / still.time_s) / t_mean, 2.0);
    double of_bath = 80e3 / (R * 600.0 * 600.0) * 3.0, of_lift = 5.0 / still.time_s;
    double expected = sqrt(of_mean + 0.1 * 0.1 + of_bath * of_bath + of_lift * of_lift);
    /* The part of the variance that ten degrees of freedom know: JCGM 100:2008, G.4. */
    double t = gsl_cdf_tdist_Pinv(0.975, 10.0 * pow(expected * expected / (of_mean + 0.01), 2.0));
    CLOSE(log(dip.next_high_s / dip.time_s) / t, expected, 1e-9);
}

/* Who judges a dip by other eyes than read the trials is off by one share of the film, which is one more error of ln t, of
 * twice it, known exactly: in the mean time as in the next one. Half of the shares are beyond 0.674 of their deviation. */
Test(dip, other_eyes_widen_both_intervals)
{
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip same = predict_with(&values, &target, 600.0, NULL);
    options.reader_sd = 0.1;
    oxt_dip dip = predict_with(&values, &target, 600.0, &options);
    double t = gsl_cdf_tdist_Pinv(0.975, 10.0);
    double of_fit = pow(log(same.interval_high_s / same.time_s) / t, 2.0), of_eyes = 0.2 * 0.2;
    double dof = 10.0 * pow((of_fit + of_eyes) / of_fit, 2.0);
    CLOSE(log(dip.interval_high_s / dip.time_s),
          gsl_cdf_tdist_Pinv(0.975, dof) * sqrt(of_fit + of_eyes), 1e-9);
    double of_next = of_fit + 0.1 * 0.1;
    dof = 10.0 * pow((of_next + of_eyes) / of_next, 2.0);
    CLOSE(log(dip.time_s / dip.next_low_s),
          gsl_cdf_tdist_Pinv(0.975, dof) * sqrt(of_next + of_eyes), 1e-9);
    cr_assert(dip.time_s == same.time_s && dip.earliest_s == same.earliest_s);
    values.variance_ln_k = values.variance_Q_J2_per_mol2 = values.covariance_J_per_mol = 0.0;
    values.scatter = 1e-9;
    target.low_nm = target.aim_nm * exp(-0.0674490);
    target.high_nm = target.aim_nm * exp(0.0674490);
    values.dof = values.scatter_dof = 1e9;
    NEAR(predict_with(&values, &target, 600.0, &options).chance, 0.5, 1e-5);
}

/* More coupons do not help against other eyes: LOOSE FIT is of the fit alone. */
Test(dip, other_eyes_are_no_loose_fit)
{
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.reader_sd = 0.2;
    oxt_dip dip = predict_with(&values, &target, 600.0, &options);
    cr_assert(dip.interval_high_s - dip.interval_low_s > dip.latest_s - dip.earliest_s);
    cr_assert(!(dip.cautions & OXT_CAUTION_LOOSE_FIT));
    values.variance_ln_k = 0.2;
    dip = predict_with(&values, &target, 600.0, &options);
    cr_assert(dip.cautions & OXT_CAUTION_LOOSE_FIT);
}

/* Fit and scatter, which are wrong together, by their degrees of freedom: 10 and 5 of them; JCGM 100:2008, G.4. */
Test(dip, a_scatter_that_is_known_less_well_widens_the_next_dip)
{
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    oxt_dip alike = predict_with(&values, &target, 600.0, NULL);
    double t_mean = gsl_cdf_tdist_Pinv(0.975, 10.0);
    double of_mean = pow(log(alike.interval_high_s / alike.time_s) / t_mean, 2.0);
    double whole = sqrt(of_mean + 0.01);
    CLOSE(log(alike.next_high_s / alike.time_s), t_mean * whole, 1e-9);
    values.scatter_dof = 5.0;
    oxt_dip dip = predict_with(&values, &target, 600.0, NULL);
    cr_assert_eq(dip.interval_high_s, alike.interval_high_s);
    double unsure = of_mean / sqrt(10.0) + 0.01 / sqrt(5.0);
    double t = gsl_cdf_tdist_Pinv(0.975, pow((of_mean + 0.01) / unsure, 2.0));
    CLOSE(log(dip.next_high_s / dip.time_s), t * whole, 1e-9);
    cr_assert_lt(dip.chance, alike.chance);
}

/* ln of what a dip of a part grows, lift and all, from the calls for each of the two. */
static double ln_grown(const oxt_growth *growth, const oxt_part *part, const oxt_lift *lift,
                       double bath_K, double time_s)
{
    return log(grown_nm2(growth, part, lift, bath_K, time_s));
}

/* Mathematics: how far the next dip may go is the slope of what grows, by central differences of the calls for
 * exposure, times what is uncertain: of the bath, of the time, and of Q. */
Test(dip, a_part_that_warms_up_moves_as_what_it_grows)
{
    const oxt_shape shapes[] = { OXT_SHAPE_PLATE, OXT_SHAPE_CYLINDER, OXT_SHAPE_SPHERE,
                                 OXT_SHAPE_PLATE };
    const double sizes_m[] = { 0.02, 0.03, 0.025, 0.003 };
    double t = gsl_cdf_tdist_Pinv(0.975, 10.0);
    oxt_target target = target_of("blue");
    oxt_lift lift = OXT_LIFT_INIT;
    lift.delay_s = 6.0;
    for (size_t i = 0; i < 4; i++) {
        oxt_part part = OXT_PART_INIT;
        part.shape = shapes[i];
        part.size_m = sizes_m[i];
        oxt_steel_values values = some_values();
        values.variance_ln_k = values.covariance_J_per_mol = values.variance_Q_J2_per_mol2 = 0.0;
        values.scatter = 0.0;
        oxt_growth growth = values.growth;
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.part = &part;
        options.lift = &lift;
        const double K = 600.0, at = predict_with(&values, &target, K, &options).time_s;
        const double here = ln_grown(&growth, &part, &lift, K, at);

        options.bath_wander_K = 1.0;
        double high = predict_with(&values, &target, K, &options).next_high_s;
        double per_K = (ln_grown(&growth, &part, &lift, K + 0.05, at) -
                        ln_grown(&growth, &part, &lift, K - 0.05, at)) /
                       0.1;
        CLOSE((ln_grown(&growth, &part, &lift, K, high) - here) / t, per_K, 1e-5);

        options.bath_wander_K = 0.0;
        options.time_wander_s = 2.0;
        high = predict_with(&values, &target, K, &options).next_high_s;
        double per_s = (ln_grown(&growth, &part, &lift, K, at + 0.01) -
                        ln_grown(&growth, &part, &lift, K, at - 0.01)) /
                       0.02;
        CLOSE((ln_grown(&growth, &part, &lift, K, high) - here) / t, 2.0 * per_s, 1e-4);

        options.time_wander_s = 0.0;
        values.variance_Q_J2_per_mol2 = 1e6;
        high = predict_with(&values, &target, K, &options).next_high_s;
        oxt_growth more = growth, less = growth;
        more.Q_J_per_mol += 100.0;
        less.Q_J_per_mol -= 100.0;
        double per_Q =
            (ln_grown(&more, &part, &lift, K, at) - ln_grown(&less, &part, &lift, K, at)) / 200.0;
        CLOSE((ln_grown(&growth, &part, &lift, K, high) - here) / t, 1e3 * fabs(per_Q), 1e-4);
    }
}

/* A steel known without error: the mean is a point, and the next dip hits where nothing scatters. */
Test(dip, a_steel_without_error)
{
    oxt_steel_values values = some_values();
    values.variance_ln_k = values.variance_Q_J2_per_mol2 = values.scatter = 0.0;
    oxt_target target = target_of("blue");
    oxt_dip dip = predict_with(&values, &target, 500.0, NULL);
    cr_assert(dip.interval_low_s == dip.time_s && dip.next_high_s == dip.time_s);
    cr_assert_eq(dip.chance, 1.0);
}

/* ---- chance ---- */

/* 1 less the two tails of Student's t outside the window, in units of the standard deviation of the
 * next dip, all on ln x. */
Test(dip, the_chance_is_what_the_tails_leave)
{
    oxt_steel_values values = some_values();
    oxt_target target = target_of("brown");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.time_wander_s = 4.0;
    oxt_dip dip = predict_with(&values, &target, 610.0, &options);
    double s = -(1.0 / 610.0 - 1.0 / 588.7) / R;
    double of_mean = 0.25 * (0.0021 + s * s * 31.7e6); /* x goes with the root of t */
    double estimated = of_mean + 0.05 * 0.05, whole = estimated + pow(0.5 * 4.0 / dip.time_s, 2.0);
    double deviation = sqrt(whole),
           dof = 10.0 * pow(whole / estimated, 2.0); /* JCGM 100:2008, G.4 */
    double below = gsl_cdf_tdist_P(log(target.low_nm / target.aim_nm) / deviation, dof);
    double above = gsl_cdf_tdist_Q(log(target.high_nm / target.aim_nm) / deviation, dof);
    CLOSE(dip.chance, 1.0 - below - above, 1e-9);
    cr_assert(dip.chance > 0.3 && dip.chance < 0.99);
}

Test(dip, the_chance_falls_with_all_that_scatters)
{
    oxt_target target = target_of("blue");
    for (int which = 0; which < 4; which++) {
        double before = 1.0 + 1e-12;
        for (double much = 0.0; much < 4.0; much += 0.25) {
            oxt_steel_values values = some_values();
            oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
            if (which == 0)
                options.bath_wander_K = 5.0 * much;
            if (which == 1)
                options.time_wander_s = 10.0 * much;
            if (which == 2)
                values.scatter = 0.1 * much;
            if (which == 3)
                values.variance_ln_k = 0.1 * much;
            double chance = predict_with(&values, &target, 600.0, &options).chance;
            cr_assert(chance >= 0.0 && chance <= 1.0);
            cr_assert(chance < before, "chance %g is not below %g", chance, before);
            before = chance;
        }
        cr_assert(before < 0.7);
    }
}

/* A target without a lower bound is missed on one side only. */
Test(dip, a_window_open_below)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_target target = OXT_TARGET_INIT;
    OK(oxt_tint_target_of_thickness(50.0, 0.0, 50.0, &target, &error));
    oxt_dip dip = predict_with(&values, &target, 600.0, NULL);
    cr_assert(dip.earliest_s == 0.0 && dip.latest_s == dip.time_s);
    NEAR(dip.chance, 0.5, 1e-12);
}

/* ---- and back ---- */

Test(dip, bath_to_time_to_bath)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_steel *steel = steel_of(&values);
    for (size_t i = 0; i < NAMES; i++)
        for (double bath_K = 430.0; bath_K <= OXT_BATH_HIGH_K; bath_K += 17.0) {
            oxt_target target = target_of(names[i]);
            oxt_dip dip = OXT_DIP_INIT;
            double back_K = 0.0;
            OK(oxt_dip_predict(steel, &target, bath_K, NULL, &dip, &error));
            OK(bath_for_time(steel, &target, dip.time_s, NULL, &back_K, &error));
            CLOSE(back_K, bath_K, 1e-9);
        }
    oxt_steel_free(steel);
}

/* ---- what cannot be answered ---- */

static void predict_fails(const oxt_target *target, double bath_K, const oxt_dip_options *options,
                          oxt_status status, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_steel *steel = steel_of(&values);
    oxt_dip dip = OXT_DIP_INIT;
    dip.time_s = -7.0;
    FAILS(oxt_dip_predict(steel, target, bath_K, options, &dip, &error), status);
    cr_assert_eq(dip.time_s, -7.0, "written in spite of the failure");
    SAYS(words);
    oxt_steel_free(steel);
}

Test(dip, a_bath_that_is_none)
{
    static const double baths_K[] = { 373.14, 973.16, 273.15 + 1200.0, 0.0, -5.0, NAN, HUGE_VAL };
    oxt_target target = target_of("blue");
    for (int i = 0; i < 7; i++)
        predict_fails(&target, baths_K[i], NULL, OXT_EDOMAIN, "100 C to 700 C");
    predict("faint straw", OXT_BATH_HIGH_K);
}

Test(dip, a_time_beyond_all_patience)
{
    oxt_target target = target_of("second order blue");
    predict_fails(&target, OXT_BATH_LOW_K, NULL, OXT_EUNREACHABLE, "second-order blue would take ");
    predict_fails(&target, OXT_BATH_LOW_K, NULL, OXT_EUNREACHABLE, "use a hotter bath");
}

Test(dip, targets_and_options_out_of_range)
{
    static const double wrong[][3] = { { 0.0, 0.0, 0.0 },      { 50.0, 51.0, 60.0 },
                                       { 50.0, 40.0, 49.0 },   { 50.0, -1.0, 60.0 },
                                       { 50.0, 40.0, 1001.0 }, { NAN, 40.0, 60.0 },
                                       { 50.0, NAN, 60.0 },    { 50.0, 40.0, NAN } };
    oxt_target target = target_of("blue");
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        oxt_target spoilt = target;
        spoilt.aim_nm = wrong[i][0];
        spoilt.low_nm = wrong[i][1];
        spoilt.high_nm = wrong[i][2];
        predict_fails(&spoilt, 600.0, NULL, OXT_EDOMAIN, "target.");
    }
    oxt_target unset = { 0 };
    predict_fails(&unset, 600.0, NULL, OXT_EARG, "target");
    oxt_dip_options options[] = { OXT_DIP_OPTIONS_INIT, OXT_DIP_OPTIONS_INIT, OXT_DIP_OPTIONS_INIT,
                                  OXT_DIP_OPTIONS_INIT, OXT_DIP_OPTIONS_INIT };
    options[0].confidence = 0.49;
    options[1].bath_wander_K = -1.0;
    options[2].time_wander_s = NAN;
    options[3].time_wander_s = -1.0;
    options[4].reader_sd = -0.1;
    for (int i = 0; i < 5; i++)
        predict_fails(&target, 600.0, &options[i], OXT_EDOMAIN, "expected at least");
    options[0].struct_size = 0;
    predict_fails(&target, 600.0, &options[0], OXT_EARG, "options");
}

/* A text without an end, in a target put together by hand, is not read past its end. */
Test(dip, a_target_whose_text_has_no_end)
{
    oxt_target target = target_of("blue");
    memset(target.text, 'x', sizeof target.text);
    predict_fails(&target, 600.0, NULL, OXT_EARG, "target.text does not end");
    target = target_of("blue");
    memset(target.description, 'x', sizeof target.description);
    predict_fails(&target, 600.0, NULL, OXT_EARG, "target.description does not end");
}

Test(dip, no_bath_gives_it_in_that_time)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_steel *steel = steel_of(&values);
    oxt_target target = target_of("blue");
    double bath_K = -7.0;
    FAILS(bath_for_time(steel, &target, 0.01, NULL, &bath_K, &error), OXT_EUNREACHABLE);
    SAYS("expected one from 100 C to 700 C");
    FAILS(bath_for_time(steel, &target, 1e-30, NULL, &bath_K, &error), OXT_EUNREACHABLE);
    FAILS(bath_for_time(steel, &target, 0.0, NULL, &bath_K, &error), OXT_EDOMAIN);
    FAILS(bath_for_time(steel, &target, 1.1e6, NULL, &bath_K, &error), OXT_EDOMAIN);
    FAILS(bath_for_time(steel, &target, NAN, NULL, &bath_K, &error), OXT_EDOMAIN);
    cr_assert_eq(bath_K, -7.0, "written in spite of the failure");
    oxt_steel_free(steel);
    values.growth.Q_J_per_mol = 0.0; /* then every bath takes the same time */
    steel = steel_of(&values);
    FAILS(bath_for_time(steel, &target, 60.0, NULL, &bath_K, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "Q_J_per_mol");
    oxt_steel_free(steel);
}

/* ---- cautions ---- */

#define C(degrees) ((degrees) + 273.15)

static bool cautions_with(const oxt_steel_values *values, const char *name, double bath_K,
                          uint32_t caution)
{
    oxt_target target = target_of(name);
    return (predict_with(values, &target, bath_K, NULL).cautions & caution) != 0;
}

static bool cautions(double bath_K, uint32_t caution)
{
    oxt_steel_values values = some_values();
    return cautions_with(&values, "faint straw", bath_K, caution);
}

/* Working range of nitrate salts, 350 to 1000 F: common practice, no source. Legal maximum, 1200 F:
 * California Code of Regulations, Title 8, section 5188(b)(2). Wustite above 570 C: iron-oxygen phase
 * diagram. Tempering begins near 150 C: common practice, no source. */
Test(dip, cautions_of_the_bath)
{
    cr_assert(cautions(C(176.5), OXT_CAUTION_BELOW_MELTING));
    cr_assert(!cautions(C(177.5), OXT_CAUTION_BELOW_MELTING));
    cr_assert(!cautions(C(537.5), OXT_CAUTION_ABOVE_WORKING));
    cr_assert(cautions(C(538.5), OXT_CAUTION_ABOVE_WORKING));
    cr_assert(!cautions(C(648.5), OXT_CAUTION_ABOVE_LEGAL));
    cr_assert(cautions(C(649.5), OXT_CAUTION_ABOVE_LEGAL));
    cr_assert(!cautions(C(569.0), OXT_CAUTION_ABOVE_MODEL));
    cr_assert(cautions(C(571.0), OXT_CAUTION_ABOVE_MODEL));
    cr_assert(!cautions(C(149.0), OXT_CAUTION_SOFTENS));
    cr_assert(cautions(C(151.0), OXT_CAUTION_SOFTENS));
}

/* A person may always be at a salt bath, and a part always heats and grows on the way out. Nothing but
 * that, and that blue comes twice, is to be said of blue at 600 K, which the trials reached. */
Test(dip, cautions_of_every_dip)
{
    const uint32_t always = UNSTATED_BATH | OXT_CAUTION_AT_TEMPERATURE;
    oxt_target target = target_of("blue");
    oxt_steel_values values = some_values();
    for (double bath_K = C(150.0); bath_K < C(700.0); bath_K += 25.0)
        cr_assert(cautions_with(&values, "blue", bath_K, always) &&
                  (predict("blue", bath_K).cautions & always) == always);
    cr_assert_eq(predict_with(&values, &target, 600.0, NULL).cautions,
                 always | OXT_CAUTION_OTHER_ORDER);
}

/* Part and lift must both be named for the times to hold as they stand. */
Test(dip, at_temperature_unless_part_and_lift_are_named)
{
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    part.size_m = 0.003;
    oxt_target target = target_of("blue");
    oxt_steel_values values = some_values();
    for (int named = 0; named < 4; named++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.part = named & 1 ? &part : NULL;
        options.lift = named & 2 ? &lift : NULL;
        uint32_t found = predict_with(&values, &target, 600.0, &options).cautions;
        cr_assert_eq((found & OXT_CAUTION_AT_TEMPERATURE) != 0, named != 3, "%d", named);
    }
}

/* A loose fit is loose whatever goes in. */
Test(dip, loose_fit_with_a_part_too)
{
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    part.size_m = 0.003;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.part = &part;
    options.lift = &lift;
    oxt_target target = target_of("blue");
    oxt_steel_values values = some_values();
    cr_assert(!(predict_with(&values, &target, 600.0, &options).cautions & OXT_CAUTION_LOOSE_FIT));
    values.variance_ln_k = 0.05;
    cr_assert(predict_with(&values, &target, 600.0, &options).cautions & OXT_CAUTION_LOOSE_FIT);
}

Test(dip, cautions_of_what_the_trials_did_not_reach)
{
    oxt_steel_values values = some_values(); /* 560.9 to 616.5 K, 14.1 to 103.9 nm */
    cr_assert(cautions(560.8, OXT_CAUTION_EXTRAPOLATED_BATH));
    cr_assert(!cautions(560.9, OXT_CAUTION_EXTRAPOLATED_BATH));
    cr_assert(!cautions(616.5, OXT_CAUTION_EXTRAPOLATED_BATH));
    cr_assert(cautions(616.6, OXT_CAUTION_EXTRAPOLATED_BATH));
    cr_assert(cautions_with(&values, "faint straw", 600.0, OXT_CAUTION_EXTRAPOLATED_FILM));
    cr_assert(!cautions_with(&values, "straw", 600.0, OXT_CAUTION_EXTRAPOLATED_FILM));
    cr_assert(!cautions_with(&values, "103 nm", 600.0, OXT_CAUTION_EXTRAPOLATED_FILM));
    cr_assert(cautions_with(&values, "105 nm", 600.0, OXT_CAUTION_EXTRAPOLATED_FILM));
}

Test(dip, cautions_of_the_target)
{
    oxt_steel_values values = some_values();
    cr_assert(cautions_with(&values, "blue", 600.0, OXT_CAUTION_OTHER_ORDER));
    cr_assert(cautions_with(&values, "second order purple", 600.0, OXT_CAUTION_OTHER_ORDER));
    cr_assert(!cautions_with(&values, "brown", 600.0, OXT_CAUTION_OTHER_ORDER));
    cr_assert(!cautions_with(&values, "57 nm", 600.0, OXT_CAUTION_OTHER_ORDER));
    cr_assert(!cautions_with(&values, "blue", 600.0, OXT_CAUTION_OTHER_OPTICS));
    strcpy(values.description, "another film");
    cr_assert(cautions_with(&values, "blue", 600.0, OXT_CAUTION_OTHER_OPTICS));
    cr_assert(!cautions_with(&values, "57 nm", 600.0, OXT_CAUTION_OTHER_OPTICS), "no optics in it");
    values.description[0] = '\0'; /* nothing is known of the film */
    cr_assert(!cautions_with(&values, "blue", 600.0, OXT_CAUTION_OTHER_OPTICS));
}

Test(dip, cautions_of_the_window)
{
    oxt_steel_values values = some_values();
    for (double bath_K = 560.0; bath_K < 760.0; bath_K += 4.0) {
        oxt_target target = target_of("blue");
        oxt_dip dip = predict_with(&values, &target, bath_K, NULL);
        bool brief = dip.latest_s - dip.earliest_s < 3.0;
        cr_assert_eq((dip.cautions & OXT_CAUTION_SHORT_WINDOW) != 0, brief);
    }
    cr_assert(!cautions_with(&values, "blue", 600.0, OXT_CAUTION_SHORT_WINDOW));
    cr_assert(cautions_with(&values, "blue", 740.0, OXT_CAUTION_SHORT_WINDOW));
    cr_assert(!cautions_with(&values, "blue", 600.0, OXT_CAUTION_LOOSE_FIT));
    values.variance_ln_k = 0.05;
    cr_assert(cautions_with(&values, "blue", 600.0, OXT_CAUTION_LOOSE_FIT));
}

/* ---- the report ---- */

static const char *report_in(const oxt_dip *dip, oxt_temperature_unit unit,
                             oxt_caution_detail detail)
{
    static char text[8000];
    oxt_error error = OXT_ERROR_INIT;
    size_t needed;
    OK(oxt_dip_report(dip, unit, detail, text, sizeof text, &needed, &error));
    cr_assert_eq(strlen(text), needed);
    return text;
}

static const char *report_of(const oxt_dip *dip, oxt_temperature_unit unit)
{
    return report_in(dip, unit, OXT_CAUTION_BRIEF);
}

static void check_says(const char *report, const char *words)
{
    cr_assert(strstr(report, words), "'%s' is not in\n%s", words, report);
}

static void check_clock(const char *report, const char *label, double low_s, double high_s)
{
    char low[40], high[40], line[200];
    oxt_format_duration(low_s, low, sizeof low, NULL, NULL);
    oxt_format_duration(high_s, high, sizeof high, NULL, NULL);
    snprintf(line, sizeof line, "%s %s to %s", label, low, high);
    check_says(report, line);
}

Test(dip, the_report_holds_the_numbers)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = predict("blue", C(343.0));
    check_says(report_of(&dip, OXT_UNIT_CELSIUS),
               "blue (52.1 to 63.3 nm, aim 57.4 nm) in a bath at 343 C");
    check_says(report_of(&dip, OXT_UNIT_FAHRENHEIT), "in a bath at 649.4 F\n");
    dip = predict("blue", 616.2);
    check_says(report_of(&dip, OXT_UNIT_KELVIN), "in a bath at 616.2 K\n");
    const char *report = unbroken(report_of(&dip, OXT_UNIT_CELSIUS));
    char aim[40], line[120];
    oxt_format_duration(dip.time_s, aim, sizeof aim, NULL, NULL);
    snprintf(line, sizeof line, "lift after %s part like the coupons colour", aim);
    check_says(report, line);
    check_clock(report, "colour visible from", dip.earliest_s, dip.latest_s);
    check_clock(report, "lift-time uncertainty, fit only (95 %)", dip.interval_low_s,
                dip.interval_high_s);
    check_clock(report, "lift-time uncertainty, next dip (95 %)", dip.next_low_s, dip.next_high_s);
    snprintf(line, sizeof line, "chance of the wanted colour %.0f %%", 100.0 * dip.chance);
    check_says(report, line);
    dip.lag_s = 75.0;
    check_says(unbroken(report_of(&dip, OXT_UNIT_CELSIUS)), "heating-up time included 1:15");
    char small[30];
    FAILS(oxt_dip_report(&dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, small, sizeof small, NULL,
                         &error),
          OXT_ESPACE);
    FAILS(oxt_dip_report(&dip, (oxt_temperature_unit)7, OXT_CAUTION_BRIEF, small, sizeof small,
                         NULL, &error),
          OXT_EARG);
}

/* Three coupons for two constants leave one degree of freedom, Student's t is then Cauchy's, and at
 * 99.9 % there is hardly a limit: the time times exp(tan(0.4995 pi) s), its logarithm's deviation s. Beyond
 * what a double can hold the limit is infinite; a report says of both that they are over 11 days. */
Test(dip, limits_without_end_are_reported)
{
    const double pi = 3.14159265358979323846;
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_part part = OXT_PART_INIT;
    part.size_m = 0.006;
    values.trial_count = 3;
    values.dof = 1.0;
    values.scatter = 0.0;
    values.covariance_J_per_mol = values.variance_Q_J2_per_mol2 = 0.0;
    values.growth.T_ref_K = 616.0;
    options.confidence = 0.999;
    const double deviations[] = { 0.162, 1.5, 0.162, 1.5 };
    for (size_t i = 0; i < 4; i++) {
        values.variance_ln_k = deviations[i] * deviations[i];
        options.part = i < 2 ? NULL : &part;
        oxt_dip dip = predict_with(&values, &target, 616.0, &options);
        double factor = exp(tan(0.4995 * pi) * deviations[i]);
        if (isinf(factor))
            cr_assert(dip.interval_high_s == HUGE_VAL && dip.next_high_s == HUGE_VAL);
        else if (!options.part)
            CLOSE(dip.interval_high_s, dip.time_s * factor, 1e-9);
        cr_assert(dip.interval_high_s > 1e40 && isfinite(dip.time_s) && isfinite(dip.latest_s));
        cr_assert(0.0 <= dip.interval_low_s && dip.interval_low_s < dip.time_s);
        const char *report = unbroken(report_of(&dip, OXT_UNIT_FAHRENHEIT));
        check_says(report, "fit only (99.9 %) 0 s to over 11 days");
        check_says(report, "next dip (99.9 %) 0 s to over 11 days");
        cr_assert(dip.cautions & OXT_CAUTION_LOOSE_FIT);
    }
}

#if defined(__linux__) && (defined(__x86_64__) || defined(__i386__))
/* Contract: a host may let floating-point exceptions end the program; a limit that overflows does not. */
Test(dip, limits_without_end_trip_no_trap)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_target target = target_of("blue");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    values.trial_count = 3;
    values.dof = 1.0;
    values.variance_ln_k = 4.0;
    options.confidence = 0.999;
    oxt_steel *steel = steel_of(&values);
    static const int traps[] = { FE_INVALID | FE_DIVBYZERO | FE_OVERFLOW, FE_OVERFLOW };
    for (int i = 0; i < 2; i++) {
        feclearexcept(FE_ALL_EXCEPT);
        feenableexcept(traps[i]);
        oxt_status status = oxt_dip_predict(steel, &target, 616.0, &options, &dip, &error);
        int left = fedisableexcept(FE_ALL_EXCEPT);
        cr_assert(status == OXT_OK && dip.next_high_s == HUGE_VAL && left == traps[i]);
    }
    oxt_steel_free(steel);
}
#endif

/* Every caution, in short or whole, in every unit; none that was not raised; and none of them twice. */
Test(dip, the_report_holds_all_cautions)
{
    static const uint32_t all[] = {
#define BIT(symbol, bit, kind, lead, brief, more, source) bit,
        OXT_CAUTION_LIST(BIT)
#undef BIT
    };
    oxt_dip dip = predict("blue", 600.0);
    for (uint32_t raised = 0; raised < 0x2000000; raised += 1 + raised / 7) {
        dip.cautions = raised;
        for (int detail = 0; detail < 2; detail++) {
            const char *report = unbroken(
                report_in(&dip, (oxt_temperature_unit)(raised % 3), (oxt_caution_detail)detail));
            for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
                const char *brief = strstr(report, oxt_caution_get(all[i])->brief);
                const char *text = strstr(report, oxt_caution_get(all[i])->text);
                cr_assert_eq(brief != NULL, (raised & all[i]) != 0);
                cr_assert_eq(text != NULL, (raised & all[i]) != 0 && detail == OXT_CAUTION_WHOLE);
                cr_assert(!brief || !strstr(brief + 1, oxt_caution_get(all[i])->brief));
            }
        }
    }
}

/* The answer is not buried: what forbids it before the lift, what is particular after it, what is
 * always so at the end, a line each. */
Test(dip, the_report_in_the_order_of_reading)
{
    oxt_dip dip = predict("blue", C(545.0));
    const char *report = report_of(&dip, OXT_UNIT_FAHRENHEIT);
    const char *forbids = strstr(report, "TOO HOT"), *lift = strstr(report, "lift after");
    const char *here = strstr(report, "Cautions for this case\n"),
               *here_one = strstr(report, "UNTRIED");
    const char *always = strstr(report, "Cautions for every salt bath\n  - HARDENED STEEL:");
    cr_assert(forbids && lift && here && here_one && always);
    cr_assert(forbids < lift && lift < here && here < here_one && here_one < always);
    dip = predict("blue", 600.0);
    report = report_of(&dip, OXT_UNIT_FAHRENHEIT);
    int lines = 0;
    for (const char *at = report; (at = strchr(at, '\n')) != NULL; at++)
        lines++;
    cr_assert(lines <= 24, "%d lines\n%s", lines, report);
}

Test(dip, a_report_of_no_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    FAILS(oxt_dip_report(&dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    FAILS(oxt_dip_report(NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EARG);
    dip = predict("blue", 600.0);
    dip.latest_s = NAN;
    FAILS(oxt_dip_report(&dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    dip = predict("blue", 600.0);
    dip.struct_size = 0;
    FAILS(oxt_dip_report(&dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EARG);
    dip = predict("blue", 600.0);
    memset(dip.target.text, 'x', sizeof dip.target.text);
    memset(dip.target.description, 'x', sizeof dip.target.description);
    FAILS(oxt_dip_report(&dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EARG);
}

/* ---- growth that is not parabolic ---- */

/* A card whose trials grew as time^0.4, x^2.5 = k t, about 45 nm. */
static oxt_steel_values bent_values(void)
{
    oxt_steel_values values = some_values();
    values.time_exponent = 0.4;
    values.time_exponent_stderr = 0.02;
    values.middle_nm = 45.0;
    return values;
}

/* m of the trials and 1/2 within 0.1 beforehand, by their weights; the time of a film by x^(1/m) over that by x^2 is
 * (x/45)^(1/m - 2), and ln of it moves by -ln(x/45)/m^2 for each unit of m. */
Test(dip, the_exponent_of_the_trials_gives_a_second_time)
{
    oxt_steel_values values = bent_values();
    double m = (0.5 / 0.01 + 0.4 / 0.0004) / (1.0 / 0.01 + 1.0 / 0.0004);
    double variance = 1.0 / (1.0 / 0.01 + 1.0 / 0.0004);
    static const char *const thin_and_thick[] = { "dark straw", "light blue" };
    for (int i = 0; i < 2; i++) {
        oxt_target target = target_of(thin_and_thick[i]);
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        oxt_dip dip = predict_with(&values, &target, 600.0, NULL);
        double film = log(target.aim_nm / 45.0), shift = (1.0 / m - 2.0) * film;
        CLOSE(dip.law_time_s, dip.time_s * exp(shift), 1e-9);
        cr_assert(dip.cautions & OXT_CAUTION_OTHER_LAW);
        options.free_exponent = 1;
        oxt_dip free_of_it = predict_with(&values, &target, 600.0, &options);
        double t = gsl_cdf_tdist_Pinv(0.975, 10.0);
        double of_mean = pow(log(dip.interval_high_s / dip.time_s) / t, 2.0);
        double off = t * sqrt(of_mean + film * film * variance / pow(m, 4.0));
        CLOSE(free_of_it.interval_high_s, dip.time_s * exp(fmax(shift + off, 0.0)), 1e-4);
        CLOSE(free_of_it.interval_low_s, dip.time_s * exp(fmin(shift - off, 0.0)), 1e-4);
        cr_assert_eq(free_of_it.time_s, dip.time_s);
        cr_assert(free_of_it.next_high_s > dip.next_high_s ||
                  free_of_it.next_low_s < dip.next_low_s);
    }
}

/* The chance is what of the next dip's distribution lies in the window: of the normal one where nothing limits what is
 * known of the scatter, moved and widened by the exponent like the interval. */
Test(dip, the_chance_counts_the_exponent_as_the_interval_does)
{
    oxt_steel_values values = bent_values();
    values.dof = values.scatter_dof = 1e9;
    static const char *const films[] = { "dark straw", "blue", "light blue", "silver" };
    for (int i = 0; i < 4; i++) {
        oxt_target target = target_of(films[i]);
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        target.low_nm = 0.97 * target.aim_nm; /* a window that is wider on one side */
        options.confidence = 0.9999;          /* so wide that neither limit is the aim itself */
        oxt_dip held = predict_with(&values, &target, 600.0, &options);
        options.free_exponent = 1;
        oxt_dip dip = predict_with(&values, &target, 600.0, &options);
        double low = log(dip.next_low_s / dip.time_s), high = log(dip.next_high_s / dip.time_s);
        double sd = 0.5 * (high - low) / gsl_cdf_ugaussian_Pinv(0.99995),
               middle = 0.5 * (low + high);
        double late = (log(dip.latest_s / dip.time_s) + middle) / sd;
        double early = (log(dip.earliest_s / dip.time_s) + middle) / sd;
        cr_assert_float_eq(dip.chance, gsl_cdf_ugaussian_P(late) - gsl_cdf_ugaussian_P(early),
                           1e-4);
        cr_assert_lt(dip.chance, held.chance);
    }
}

/* Of a card with one degree of freedom: what wanders beside its fit makes no dip surer and no interval narrower. */
Test(dip, what_adds_to_a_doubt_makes_nothing_surer)
{
    oxt_steel_values values = some_values();
    values.dof = 1.0;
    values.variance_ln_k = 0.0016;
    values.variance_Q_J2_per_mol2 = values.covariance_J_per_mol = 0.0;
    values.scatter = 0.01;
    oxt_target target = target_of("blue");
    double alone = 1.0, low_s = HUGE_VAL, high_s = 0.0;
    for (double wander_K = 0.0; wander_K < 8.0; wander_K += 2.0) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.bath_wander_K = wander_K;
        oxt_dip dip = predict_with(&values, &target, 590.0, &options);
        cr_assert(dip.next_low_s <= dip.interval_low_s && dip.next_high_s >= dip.interval_high_s);
        cr_assert_leq(dip.chance, alone);
        cr_assert(dip.next_low_s <= low_s && dip.next_high_s >= high_s);
        if (wander_K == 0.0) {
            alone = dip.chance;
            low_s = dip.next_low_s;
            high_s = dip.next_high_s;
        }
    }
}

/* A lift that comes while salt is still frozen on the part carries a caution: a thick part's straw, and no colour that
 * takes longer than the crust. */
Test(dip, a_lift_under_a_crust_is_warned_of)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_part part = OXT_PART_INIT;
    bath.salt = OXT_SALT_BINARY_60_40;
    options.salt_bath = &bath;
    options.part = &part;
    values.growth.Q_J_per_mol = 40e3; /* so that a film grows under the crust as well */
    int under = 0, after = 0;
    for (part.size_m = 0.002; part.size_m < 0.02; part.size_m += 0.004)
        for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
            const oxt_target target = target_of(names[i]);
            oxt_dip dip = predict_with(&values, &target, 600.0, &options);
            bool is_under = dip.crust_s > dip.time_s;
            cr_assert_eq((dip.cautions & OXT_CAUTION_CRUST) != 0, is_under);
            char report[6000];
            OK(oxt_dip_report(&dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, report, sizeof report, NULL,
                              &error));
            static const char words[] = "; preheating the part saves ";
            const char *saves = strstr(report, words);
            cr_assert_eq(saves != NULL, dip.crust_s > 0.0, "%s", report);
            if (saves && dip.preheat_saves_s < 60.0)
                CLOSE(strtod(saves + sizeof words - 1, NULL), dip.preheat_saves_s, 0.05);
            *(is_under ? &under : &after) += 1;
        }
    cr_assert(under > 0 && after > 0);
    cr_assert(strstr(oxt_caution_get(OXT_CAUTION_CRUST)->brief, "preheat the part, dry"));
}

/* ---- a coupon that is named for the dip ---- */

/* The film is as uncertain as that of a coupon, however the part warms up: the chance is that of the coupon itself, and
 * the limits are the times for films as much thinner and thicker as the coupon's limits make them. */
Test(dip, a_part_is_as_uncertain_as_the_coupons)
{
    oxt_steel_values values = some_values();
    oxt_part coupon = OXT_PART_INIT, part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT, other = OXT_LIFT_INIT;
    coupon.size_m = 0.001;
    part.size_m = 0.006;
    lift.delay_s = 2.0;
    other.delay_s = 4.0;
    static const char *const films[] = { "brown", "purple", "blue" };
    static const double baths_K[] = { 588.7, 616.5, 644.3 };
    for (int i = 0; i < 9; i++) {
        const oxt_target target = target_of(films[i % 3]);
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.coupon = &coupon;
        options.coupon_lift = &lift;
        options.part = &part;
        options.lift = &other;
        oxt_dip_options bare = OXT_DIP_OPTIONS_INIT;
        oxt_target there = OXT_TARGET_INIT;
        oxt_error error = OXT_ERROR_INIT;
        const double there_nm = i % 2 ? 20.0 : 0.0; /* a film is there already, or none */
        OK(oxt_tint_target_of_thickness(20.0, 19.999, 20.001, &there, &error));
        options.initial = bare.initial = i % 2 ? &there : NULL;
        oxt_dip plain = predict_with(&values, &target, baths_K[i / 3], &bare);
        oxt_dip dip = predict_with(&values, &target, baths_K[i / 3], &options);
        cr_assert_float_eq(dip.chance, plain.chance, 1e-9);
        /* its heating up is in the rate as well, which shows in a part unlike it */
        cr_assert(dip.cautions & OXT_CAUTION_COUPONS_UNKNOWN);
        options.part = options.coupon;
        options.lift = options.coupon_lift;
        oxt_dip alike = predict_with(&values, &target, baths_K[i / 3], &options);
        if (!options.initial) { /* else it warms up once more */
            cr_assert(!(alike.cautions & OXT_CAUTION_COUPONS_UNKNOWN));
            CLOSE(alike.time_s, plain.time_s, 1e-6);
        }
        options.part = &part;
        options.lift = &other;
        const double limits[][2] = { { plain.interval_low_s, dip.interval_low_s },
                                     { plain.interval_high_s, dip.interval_high_s },
                                     { plain.next_low_s, dip.next_low_s },
                                     { plain.next_high_s, dip.next_high_s } };
        for (int j = 0; j < 4; j++) {
            double grown_nm2 = target.aim_nm * target.aim_nm - there_nm * there_nm;
            double film_nm = sqrt(there_nm * there_nm + grown_nm2 * limits[j][0] / plain.time_s);
            oxt_target as_thick = OXT_TARGET_INIT;
            OK(oxt_tint_target_of_thickness(film_nm, 0.99 * film_nm, 1.01 * film_nm, &as_thick,
                                            &error));
            cr_assert_float_eq(limits[j][1],
                               predict_with(&values, &as_thick, baths_K[i / 3], &options).time_s,
                               1e-3);
        }
    }
}

/* Where nothing is uncertain but the hand, the chance is that the lift falls into the window, whatever part and coupon. */
Test(dip, a_hand_alone_hits_while_the_colour_shows)
{
    oxt_steel_values values = some_values();
    oxt_part coupon = OXT_PART_INIT, part = OXT_PART_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    values.variance_ln_k = values.variance_Q_J2_per_mol2 = values.covariance_J_per_mol = 0.0;
    values.scatter = 1e-6;
    values.dof = values.scatter_dof = 1e9;
    coupon.size_m = 0.0012;
    part.size_m = 0.006;
    options.coupon = &coupon;
    options.part = &part;
    static const char *const films[] = { "brown", "purple" };
    for (int i = 0; i < 4; i++) {
        const oxt_target target = target_of(films[i % 2]);
        const double bath_K = i < 2 ? 600.0 : 616.5;
        oxt_dip sure = predict_with(&values, &target, bath_K, &options);
        options.time_wander_s = 0.5 * (sure.latest_s - sure.earliest_s);
        oxt_dip dip = predict_with(&values, &target, bath_K, &options);
        double late = (dip.latest_s - dip.time_s) / options.time_wander_s;
        double early = (dip.earliest_s - dip.time_s) / options.time_wander_s;
        cr_assert_float_eq(dip.chance, gsl_cdf_ugaussian_P(late) - gsl_cdf_ugaussian_P(early),
                           0.015, "%g, %g", dip.chance,
                           gsl_cdf_ugaussian_P(late) - gsl_cdf_ugaussian_P(early));
        options.time_wander_s = 0.0;
    }
}

/* With hand and bath that wander, and with other eyes that judge, the chance is that of many simulated dips. */
Test(dip, a_wandering_hand_is_as_likely_to_hit_as_simulated)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_values();
    values.dof = values.scatter_dof = 1e9;
    oxt_steel *steel = steel_of(&values);
    oxt_part coupon = OXT_PART_INIT, part = OXT_PART_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    coupon.size_m = 0.001;
    part.size_m = 0.004;
    options.coupon = &coupon;
    options.part = &part;
    static const char *const films[] = { "brown", "blue" };
    for (int i = 0; i < 6; i++) {
        const oxt_target target = target_of(films[i % 2]);
        options.reader_sd = i < 4 ? 0.0 : 0.1; /* other eyes */
        oxt_plan_part one = OXT_PLAN_PART_INIT;
        oxt_plan_options many = OXT_PLAN_OPTIONS_INIT;
        oxt_plan_values found = OXT_PLAN_VALUES_INIT;
        const oxt_plan_part *parts[] = { &one };
        oxt_plan *set;
        double bath_K = i < 2 ? 600.0 : 630.0;
        one.steel = steel;
        one.film = default_film();
        one.target = &target;
        one.options = &options;
        many.draws = 100000;
        many.time_wander_s = 2.0;
        many.bath_wander_K = 2.0;
        OK(oxt_plan_set(&set, parts, 1, bath_K, &many, &error));
        OK(oxt_plan_get(set, &found, &error));
        oxt_plan_free(set);
        options.time_wander_s = 2.0;
        options.bath_wander_K = 2.0;
        oxt_dip dip = predict_with(&values, &target, bath_K, &options);
        options.time_wander_s = options.bath_wander_K = 0.0;
        cr_assert_float_eq(dip.chance, found.chance_targets, 0.01, "%s: %g, %g", films[i % 2],
                           dip.chance, found.chance_targets);
    }
    oxt_steel_free(steel);
}

/* ---- the film with which the trials began ---- */

/* A card whose coupons had 14 nm before they were dipped, known to 25 nm^2, which is 25/(2 * 14) nm. */
static oxt_steel_values begun_values(void)
{
    oxt_steel_values values = some_values();
    values.growth.middle_nm = 40.0;
    values.growth.initial_nm = 14.0;
    values.initial_stderr_nm2 = 25.0;
    return values;
}

/* A film is added from the one that is named: x^2 - x1^2 by the same rate; of a thinner one than the trials began with
 * they say nothing. */
Test(dip, a_film_already_there_takes_the_place_of_that_of_the_trials)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = begun_values();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_of("blue"), there = OXT_TARGET_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip plain = OXT_DIP_INIT, dip = OXT_DIP_INIT;
    options.initial = &there;
    OK(oxt_dip_predict(steel, &blue, 600.0, NULL, &plain, &error));
    for (double nm = 14.0; nm < 40.0; nm += 5.0) {
        OK(oxt_tint_target_of_thickness(nm, nm - 0.5, nm + 0.5, &there, &error));
        OK(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error));
        CLOSE(dip.time_s / plain.time_s,
              (blue.aim_nm * blue.aim_nm - nm * nm) / (blue.aim_nm * blue.aim_nm - 14.0 * 14.0),
              1e-9);
        cr_assert(dip.initial_nm == nm && dip.next_low_s < dip.time_s && dip.chance > 0.5);
    }
    /* however thin it is, the report tells the film that was there */
    values.growth.initial_nm = 0.0;
    values.growth.middle_nm = 0.0;
    values.initial_stderr_nm2 = 0.0;
    OK(oxt_tint_target_of_thickness(0.8, 0.7, 0.9, &there, &error));
    char report[6000];
    const oxt_dip over = predict_with(&values, &blue, 600.0, &options);
    OK(oxt_dip_report(&over, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, report, sizeof report, NULL,
                      &error));
    cr_assert(strstr(report, "0.8 nm"), "%s", report);
    OK(oxt_tint_target_of_thickness(13.9, 13.0, 14.5, &there, &error));
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EUNREACHABLE);
    cr_assert(strstr(error.text, "13.9 nm") && strstr(error.text, "began with 14.0 nm"));
    cr_assert_str_eq(error.parameter, "initial");
    oxt_steel_free(steel);
}

/* A target whose aim the trials began with needs no time, whatever coupon, part and law; how likely it shows is what the
 * error of that film leaves: of straw from low to high, a normal distribution about 14 nm. */
Test(dip, a_film_with_which_the_trials_began_is_as_likely_as_it_is_known)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = begun_values();
    oxt_target target = OXT_TARGET_INIT;
    oxt_part coupon = OXT_PART_INIT, part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    coupon.size_m = 0.001;
    part.size_m = 0.004;
    lift.delay_s = 2.0;
    OK(oxt_tint_target_of_thickness(10.0, 6.0, 14.2, &target, &error));
    double sd = 25.0 / (2.0 * 14.0);
    double expected = gsl_cdf_ugaussian_P(0.2 / sd) - gsl_cdf_ugaussian_P(-8.0 / sd);
    for (int i = 0; i < 4; i++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        if (i % 2) {
            options.coupon = &coupon;
            options.coupon_lift = &lift;
            options.part = &part;
        }
        if (i > 1) { /* x^4.4, its scale kept at the middle film: by its slope at 14 nm */
            values.growth.law = OXT_LAW_POWER;
            values.growth.shape = 4.4;
            sd = 25.0 / (4.4 * 40.0 * 40.0 * pow(14.0 / 40.0, 4.4) / 14.0);
            expected = gsl_cdf_ugaussian_P(0.2 / sd) - gsl_cdf_ugaussian_P(-8.0 / sd);
        }
        oxt_dip dip = predict_with(&values, &target, 600.0, &options);
        cr_assert(dip.time_s == 0.0 && dip.earliest_s == 0.0);
        cr_assert_float_eq(dip.chance, expected, 1e-9);
    }
}

/* No caution at the middle film, for an exponent within its error of 1/2, or one that nothing is known of. */
Test(dip, the_caution_about_the_law_is_for_films_that_it_moves)
{
    oxt_steel_values values = bent_values();
    oxt_target middle = OXT_TARGET_INIT, blue = target_of("light blue");
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_tint_target_of_thickness(45.0, 44.0, 46.0, &middle, &error));
    cr_assert(!(predict_with(&values, &middle, 600.0, NULL).cautions & OXT_CAUTION_OTHER_LAW));
    int moved = 0, alike = 0;
    for (double aim_nm = 30.0; aim_nm < 70.0; aim_nm *= 1.002) { /* 5 %, as dip.md says */
        OK(oxt_tint_target_of_thickness(aim_nm, 0.99 * aim_nm, 1.01 * aim_nm, &middle, &error));
        oxt_dip dip = predict_with(&values, &middle, 600.0, NULL);
        bool is_moved = fabs(log(dip.law_time_s / dip.time_s)) > 0.05;
        cr_assert_eq((dip.cautions & OXT_CAUTION_OTHER_LAW) != 0, is_moved, "%g nm", aim_nm);
        *(is_moved ? &moved : &alike) += 1;
    }
    cr_assert(moved > 50 && alike > 50, "%d %d", moved, alike);
    /* where no middle is stated, the geometric one of the ends */
    oxt_dip stated = predict_with(&values, &blue, 600.0, NULL);
    values.thickness_low_nm = values.middle_nm / 2.0;
    values.thickness_high_nm = values.middle_nm * 2.0;
    values.middle_nm = 0.0;
    CLOSE(predict_with(&values, &blue, 600.0, NULL).law_time_s, stated.law_time_s, 1e-12);
    values = bent_values();
    values.time_exponent_stderr = 0.05; /* 10 degrees of freedom: 2.36 errors are needed */
    cr_assert(!(predict_with(&values, &blue, 600.0, NULL).cautions & OXT_CAUTION_OTHER_LAW));
    values.time_exponent_stderr = 0.0;
    oxt_dip dip = predict_with(&values, &blue, 600.0, NULL);
    cr_assert(!(dip.cautions & OXT_CAUTION_OTHER_LAW) && dip.law_time_s == dip.time_s);
    values.time_exponent = 0.0;
    values.middle_nm = 0.0;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.free_exponent = 1;
    oxt_dip unknown = predict_with(&values, &blue, 600.0, &options);
    cr_assert_gt(unknown.interval_high_s, dip.interval_high_s);
}

Test(dip, the_report_gives_both_times)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = bent_values();
    oxt_target target = target_of("light blue");
    oxt_dip dip = predict_with(&values, &target, 600.0, NULL);
    char text[8000], other[40];
    OK(oxt_dip_report(&dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, text, sizeof text, NULL,
                      &error));
    OK(oxt_format_duration(round(dip.law_time_s), other, sizeof other, NULL, &error));
    cr_assert_not_null(strstr(text, "by the other law of growth"));
    cr_assert_not_null(strstr(text, other), "%s is not in %s", other, text);
}
