/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Each coupon of a fit predicted from the others. */
#include <gsl/gsl_cdf.h>

#include "support.h"

#include "logs.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

static gsl_rng *dice(unsigned long number)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, number);
    return random;
}

/* A stable log of names, or of thicknesses that a wrong rate from some coupon on bends. */
static oxt_trials *named_log(unsigned long seed, int coupons)
{
    gsl_rng *random = dice(seed);
    log_plan plan = { coupons, coupons, 1.0, 24.0, 80.0 };
    oxt_trials *made = drifting_log(random, &plan);
    gsl_rng_free(random);
    return made;
}

static oxt_trials *measured_log(unsigned long seed, size_t coupons)
{
    gsl_rng *random = dice(seed);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *made = new_log();
    for (size_t i = 0; i < coupons; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        strcpy(trial.steel, "Alder 1");
        trial.bath_K = 560.0 + 20.0 * (double)(i % 4);
        trial.time_s = 60.0 * (double)(1 + i % 7);
        double k = 50.0 * exp(-80e3 / R * (1.0 / trial.bath_K - 1.0 / 590.0));
        trial.seen = OXT_SEEN_THICKNESS;
        trial.thickness_nm = sqrt(k * trial.time_s) * exp(gsl_ran_gaussian(random, 0.05));
        OK(oxt_trials_add(made, &trial, NULL, &error));
    }
    gsl_rng_free(random);
    return made;
}

static oxt_fit *fitted(const oxt_trials *trials, const oxt_fit_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    OK(oxt_fit_run(&fit, trials, default_film(), options, &error));
    return fit;
}

static oxt_cross_validation *validated(const oxt_fit *fit, int by_bath, int threads)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_cross_validation_options options = OXT_CROSS_VALIDATION_OPTIONS_INIT;
    oxt_cross_validation *made;
    options.by_bath = by_bath;
    options.threads = threads;
    OK(oxt_cross_validation_run(&made, fit, &options, &error));
    return made;
}

static oxt_cross_validation_values values_of(const oxt_cross_validation *from)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_cross_validation_values values = OXT_CROSS_VALIDATION_VALUES_INIT;
    OK(oxt_cross_validation_get(from, &values, &error));
    return values;
}

static oxt_cross_validation_row row_of(const oxt_cross_validation *from, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_cross_validation_row row = OXT_CROSS_VALIDATION_ROW_INIT;
    OK(oxt_cross_validation_get_row(from, index, &row, &error));
    return row;
}

static oxt_trials *without(const oxt_trials *trials, size_t index, double apart_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *made = new_log();
    oxt_trial out = OXT_TRIAL_INIT;
    OK(oxt_trials_get(trials, index, &out, &error));
    for (size_t i = 0; i < oxt_trials_count(trials); i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(trials, i, &trial, &error));
        if (i != index && fabs(trial.bath_K - out.bath_K) >= apart_K)
            OK(oxt_trials_add(made, &trial, NULL, &error));
    }
    return made;
}

/* The prediction of a coupon, by the numbers of a whole fit of a log without it. */
static void check_row(const oxt_cross_validation_row *row, const oxt_fit *others)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values fit = OXT_FIT_VALUES_INIT;
    double film_nm;
    OK(oxt_fit_get(others, &fit, &error));
    OK(oxt_thickness(&fit.growth, row->bath_K, row->time_s, &film_nm, &error));
    NEAR(row->predicted_nm, film_nm, 1e-4 * film_nm);
    double per_Q = -(1.0 / row->bath_K - 1.0 / fit.growth.T_ref_K) / R; /* d ln k / d Q */
    double variance = 0.25 * (fit.variance_ln_k + 2.0 * per_Q * fit.covariance_J_per_mol +
                              per_Q * per_Q * fit.variance_Q_J2_per_mol2);
    double deviation = sqrt(variance + fit.scatter * fit.scatter);
    if (strstr(row->seen, " nm"))
        deviation = sqrt(deviation * deviation + 0.02 * 0.02);
    /* fit and scatter are wrong together: JCGM 100:2008, G.4 */
    double whole = deviation * deviation, scatter = fit.scatter * fit.scatter;
    double dof = pow(whole / (variance / sqrt(fit.dof) + scatter / sqrt(fit.scatter_dof)), 2.0);
    double t = gsl_cdf_tdist_Pinv(0.975, dof);
    NEAR(log(row->high_nm / row->predicted_nm), t * deviation, 2e-3 * t * deviation);
    NEAR(log(row->predicted_nm / row->low_nm), t * deviation, 2e-3 * t * deviation);
    oxt_tint tint = OXT_TINT_INIT;
    OK(oxt_tint_at(default_film(), row->predicted_nm, &tint, &error));
    cr_assert_str_eq(row->colour, tint.label);
    double chance = gsl_cdf_tdist_P(log(tint.high_nm / film_nm) / deviation, dof) -
                    gsl_cdf_tdist_P(log(tint.low_nm / film_nm) / deviation, dof);
    NEAR(row->chance, chance, 2e-3);
    cr_assert(row->hit == (tint.low_nm <= row->observed_nm && row->observed_nm < tint.high_nm));
}

/* What a whole fit of the others says, which shares no more with it than the solver. */
static void check_against_fits(const oxt_trials *trials, const oxt_fit_options *options,
                               bool by_bath)
{
    oxt_fit *fit = fitted(trials, options);
    oxt_cross_validation *found = validated(fit, by_bath, 1);
    oxt_cross_validation_values values = values_of(found);
    double sum = 0.0;
    size_t hits = 0;
    cr_assert(values.coupon_count == oxt_trials_count(trials) &&
              values.predicted_count == values.coupon_count && values.by_bath == by_bath);
    for (size_t i = 0; i < values.coupon_count; i++) {
        oxt_trials *others = without(trials, i, by_bath ? 5.0 : -1.0);
        oxt_fit *of_others = fitted(others, options);
        oxt_cross_validation_row row = row_of(found, i);
        check_row(&row, of_others);
        sum += row.chance;
        hits += row.hit != 0;
        oxt_fit_free(of_others);
        oxt_trials_free(others);
    }
    NEAR(values.expected_hits, sum, 1e-9);
    cr_assert(values.hit_count == hits);
    oxt_cross_validation_free(found);
    oxt_fit_free(fit);
}

Test(cross_validation, names_are_predicted_as_by_a_fit_of_the_others)
{
    oxt_trials *trials = named_log(20011, 12);
    check_against_fits(trials, NULL, false);
    check_against_fits(trials, NULL, true);
    oxt_trials_free(trials);
}

Test(cross_validation, thicknesses_are_predicted_as_by_a_fit_of_the_others)
{
    oxt_trials *trials = measured_log(20012, 14);
    check_against_fits(trials, NULL, false);
    check_against_fits(trials, NULL, true);
    oxt_trials_free(trials);
}

Test(cross_validation, a_prior_a_held_Q_and_robust_weights_stay_in_force)
{
    oxt_trials *trials = named_log(20013, 9);
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    prior.Q_J_per_mol = 80e3;
    prior.Q_stderr_J_per_mol = 10e3;
    prior.ln_k = log(55.0);
    prior.ln_k_stderr = 0.3;
    prior.temperature_K = 588.7;
    options.prior = &prior;
    check_against_fits(trials, &options, false);
    options.prior = NULL;
    options.Q_J_per_mol = 78e3;
    options.Q_stderr_J_per_mol = 4e3;
    check_against_fits(trials, &options, true);
    options.Q_J_per_mol = 0.0;
    options.robust = OXT_ROBUST_HUBER;
    check_against_fits(trials, &options, false);
    oxt_trials_free(trials);
}

/* With the scatter given the residual of a row that is left out is e / (1 - h): D. M. Allen, Technometrics 16
 * (1974) 125, from memory. */
Test(cross_validation, residuals_are_those_of_the_closed_form)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = measured_log(20014, 10);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.scatter = 0.05;
    oxt_fit *fit = fitted(trials, &options);
    oxt_cross_validation *found = validated(fit, 0, 1);
    for (size_t i = 0; i < oxt_trials_count(trials); i++) {
        oxt_fit_row row = OXT_FIT_ROW_INIT;
        oxt_cross_validation_row left = row_of(found, i);
        OK(oxt_fit_get_row(fit, i, &row, &error));
        NEAR(log(left.observed_nm / left.predicted_nm), row.residual / (1.0 - row.leverage), 1e-9);
    }
    oxt_cross_validation_free(found);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

/* Over many honest logs the chances are kept, within three errors of their sum; with a scatter that is stated four
 * times too small they are not. */
Test(cross_validation, chances_of_honest_logs_are_kept)
{
    enum { LOGS = 400 };
    double expected = 0.0, variance = 0.0, hits = 0.0, predicted = 0.0;
    double promised = 0.0, kept = 0.0;
    for (unsigned long i = 0; i < LOGS; i++) {
        oxt_trials *trials = named_log(30000 + i, 12);
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        oxt_fit *fit = fitted(trials, &options);
        oxt_cross_validation *found = validated(fit, 0, 1);
        oxt_cross_validation_values values = values_of(found);
        expected += values.expected_hits;
        hits += (double)values.hit_count;
        predicted += (double)values.predicted_count;
        for (size_t j = 0; j < values.coupon_count; j++) {
            oxt_cross_validation_row row = row_of(found, j);
            variance += row.predicted ? row.chance * (1.0 - row.chance) : 0.0;
        }
        oxt_cross_validation_free(found);
        oxt_fit_free(fit);
        options.scatter = 0.015;
        fit = fitted(trials, &options);
        found = validated(fit, 0, 1);
        values = values_of(found);
        promised += values.expected_hits;
        kept += (double)values.hit_count;
        oxt_cross_validation_free(found);
        oxt_fit_free(fit);
        oxt_trials_free(trials);
    }
    cr_assert(fabs(hits - expected) < 3.0 * sqrt(variance) + 0.04 * expected,
              "%g hits where %g were promised, of %g", hits, expected, predicted);
    cr_assert(promised > kept + 5.0 * sqrt(variance), "%g kept of %g", kept, promised);
    measured("cross-validation-hits", hits / expected, 0.9, 1.1);
}

/* C. J. Clopper and E. S. Pearson: of 11 hits of 12 the 95 % limits of the share are 0.6152 and 0.9979, of 0 of 5
 * they are 0 and 0.5218 (tables, from memory; tests/python has them by SciPy). */
Test(cross_validation, limits_of_the_hits_are_exact)
{
    oxt_trials *trials = measured_log(20015, 12);
    oxt_fit *fit = fitted(trials, NULL);
    oxt_cross_validation *found = validated(fit, 0, 1);
    oxt_cross_validation_values values = values_of(found);
    double k = (double)values.hit_count, n = (double)values.predicted_count;
    NEAR(gsl_cdf_binomial_Q((unsigned)k - 1, values.hits_low / n, (unsigned)n), 0.025, 1e-8);
    if (values.hit_count < values.predicted_count)
        NEAR(gsl_cdf_binomial_P((unsigned)k, values.hits_high / n, (unsigned)n), 0.025, 1e-8);
    else
        NEAR(values.hits_high, n, 0.0);
    oxt_cross_validation_free(found);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

/* ---- what cannot be predicted, and what is missed ---- */

Test(cross_validation, a_bath_that_the_others_cannot_do_without_is_not_predicted)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = new_log();
    char text[2000];
    for (int i = 0; i < 6; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        strcpy(trial.steel, "Alder 1");
        trial.bath_K = i < 5 ? 580.0 : 610.0;
        trial.time_s = i < 5 ? 60.0 * (i + 1) : 120.0;
        trial.seen = OXT_SEEN_THICKNESS;
        trial.thickness_nm = i < 5 ? sqrt(45.0 * trial.time_s) : 110.0;
        OK(oxt_trials_add(trials, &trial, NULL, &error));
    }
    oxt_fit *fit = fitted(trials, NULL);
    oxt_cross_validation *found = validated(fit, 0, 1);
    oxt_cross_validation_values values = values_of(found);
    oxt_cross_validation_row row = row_of(found, 5);
    cr_assert(values.coupon_count == 6 && values.predicted_count == 5);
    cr_assert(!row.predicted && !row.hit && strstr(row.reason, "do not determine Q"));
    cr_assert(isnan(row.predicted_nm) && isnan(row.low_nm) && isnan(row.chance));
    OK(oxt_cross_validation_report(found, OXT_UNIT_CELSIUS, text, sizeof text, NULL, &error));
    cr_assert(strstr(text,
                     "Not predicted\n  Trial 6: 336.9 C, 2:00, seen 110 nm: the others do not"),
              "%s", text);
    oxt_cross_validation_free(found);
    found = validated(fit, 1, 1);
    values = values_of(found);
    cr_assert(values.predicted_count == 0 && isnan(values.hits_low) && isnan(values.hits_high));
    OK(oxt_cross_validation_report(found, OXT_UNIT_CELSIUS, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, "from those of other baths\nNot predicted\n"), "%s", text);
    oxt_cross_validation_free(found);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

Test(cross_validation, a_coupon_of_another_colour_is_a_miss_and_named)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = named_log(20016, 12);
    oxt_trial odd = OXT_TRIAL_INIT;
    char text[4000];
    strcpy(odd.steel, "Alder 1");
    odd.bath_K = 588.7;
    odd.time_s = 60.0; /* blue after a few seconds more than a minute is far too soon */
    strcpy(odd.colour, "light blue");
    OK(oxt_trials_add(trials, &odd, NULL, &error));
    oxt_fit *fit = fitted(trials, NULL);
    oxt_cross_validation *found = validated(fit, 0, 0);
    oxt_cross_validation_row row = row_of(found, 12);
    cr_assert(row.predicted && !row.hit && row.predicted_nm < 60.0 && row.trial == 12);
    OK(oxt_cross_validation_report(found, OXT_UNIT_FAHRENHEIT, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, "Misses\n") &&
                  strstr(text, "  Trial 13: 600 F, 1:00, seen light blue ("),
              "%s", text);
    OK(oxt_fit_report(fit, OXT_UNIT_FAHRENHEIT, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, "coupons show the colour predicted from the others ("), "%s", text);
    oxt_cross_validation_free(found);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
    /* of three, two of which predict the third beside a prior, a report promises nothing */
    oxt_trials *few = new_log();
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_fit_options with_prior = OXT_FIT_OPTIONS_INIT;
    for (int i = 0; i < 3; i++)
        add_thickness(few, 560.0 + 25.0 * i, 60.0, 30.0 + 12.0 * i);
    OK(oxt_prior_mild_steel(&prior, default_film(), &error));
    with_prior.prior = &prior;
    OK(oxt_fit_run(&fit, few, default_film(), &with_prior, &error));
    oxt_cross_validation *of_three = validated(fit, 0, 0);
    cr_assert(row_of(of_three, 0).predicted);
    oxt_cross_validation_free(of_three);
    OK(oxt_fit_report(fit, OXT_UNIT_FAHRENHEIT, text, sizeof text, NULL, &error));
    cr_assert(!strstr(text, "predicted from the others"), "%s", text);
    oxt_fit_free(fit);
    oxt_trials_free(few);
}

Test(cross_validation, chances_that_are_too_high_are_said_to_be)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    char text[8000];
    options.scatter = 0.001;
    oxt_trials *trials = measured_log(20017, 40);
    for (size_t i = 0; i < 40; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(trials, i, &trial, &error));
        trial.thickness_nm *= i % 2 ? 1.25 : 0.8;
        OK(oxt_trials_add(trials, &trial, NULL, &error));
    }
    options.thickness_uncertainty = 0.001;
    oxt_fit *fit = fitted(trials, &options);
    oxt_cross_validation *found = validated(fit, 0, 1);
    oxt_cross_validation_values values = values_of(found);
    cr_assert(values.expected_hits > values.hits_high);
    OK(oxt_cross_validation_report(found, OXT_UNIT_KELVIN, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, "; the chances promised are too high\n"), "%s", text);
    oxt_cross_validation_free(found);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

Test(cross_validation, any_number_of_threads_gives_the_same_to_the_last_bit)
{
    oxt_trials *trials = named_log(20018, 30);
    oxt_fit *fit = fitted(trials, NULL);
    oxt_cross_validation *one = validated(fit, 0, 1), *three = validated(fit, 0, 3);
    for (size_t i = 0; i < 30; i++) {
        oxt_cross_validation_row first = row_of(one, i), second = row_of(three, i);
        cr_assert(!memcmp(&first.predicted_nm, &second.predicted_nm, 3 * sizeof(double)) &&
                  first.chance == second.chance && first.hit == second.hit);
    }
    oxt_cross_validation_free(one);
    oxt_cross_validation_free(three);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

static int stop(double done, void *user)
{
    *(double *)user = done;
    return done > 0.0;
}

Test(cross_validation, can_be_cancelled)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = named_log(20019, 200);
    oxt_fit *fit = fitted(trials, NULL);
    double done = -1.0;
    oxt_cross_validation *made;
    oxt_cross_validation_options options = OXT_CROSS_VALIDATION_OPTIONS_INIT;
    options.progress = stop;
    options.user = &done;
    cr_assert(oxt_cross_validation_run(&made, fit, &options, &error) == OXT_ECANCEL);
    cr_assert(!made && done > 0.0 && done <= 1.0);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}
