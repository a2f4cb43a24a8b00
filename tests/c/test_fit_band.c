/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trade names as bands: the likelihood of an interval. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_multimin.h>
#include <string.h>

#include "fit/fit.h"
#include "support.h"

enum { ROWS = 12 };
static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double SCATTER = 0.08;

static const double baths_K[ROWS] = { 560.9, 588.7, 616.5, 560.9, 588.7, 616.5,
                                      560.9, 588.7, 616.5, 560.9, 588.7, 616.5 };
static const double times_s[ROWS] = { 45, 30, 9, 75, 55, 24, 130, 80, 37, 190, 140, 60 };

/* What a coupon of a made-up steel shows, its film off by a bit. */
static oxt_tint seen(size_t i)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = growth_of(50.0, 588.7, 80e3);
    oxt_tint tint = OXT_TINT_INIT;
    double film_nm;
    OK(oxt_thickness(&growth, baths_K[i], times_s[i], &film_nm, &error));
    OK(oxt_tint_at(default_film(), film_nm * exp(0.09 * sin(3.1 * (double)i)), &tint, &error));
    return tint;
}

static oxt_trials *log_of(void)
{
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < ROWS; i++)
        add_colour(trials, baths_K[i], times_s[i], seen(i).label);
    return trials;
}

static oxt_fit_values fitted(const oxt_trials *trials, oxt_names names, double scatter)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    oxt_fit *fit;
    options.names = names;
    options.scatter = scatter;
    OK(oxt_fit_run(&fit, trials, default_film(), &options, &error));
    OK(oxt_fit_get(fit, &values, &error));
    oxt_fit_free(fit);
    return values;
}

/* Minus the logarithm of the likelihood, straight from its definition: each band's chance under a
 * normal deviate about the model. Parameters are ln k at 588.7 K and Q/1e4. */
static double minus_log_likelihood(const gsl_vector *at, void *unused)
{
    double sum = 0.0;
    (void)unused;
    for (size_t i = 0; i < ROWS; i++) {
        oxt_tint tint = seen(i);
        double ln_k = gsl_vector_get(at, 0) -
                      1e4 * gsl_vector_get(at, 1) / R * (1.0 / baths_K[i] - 1.0 / 588.7);
        double ln_x = 0.5 * (ln_k + log(times_s[i]));
        sum -= log(gsl_cdf_ugaussian_P((log(tint.high_nm) - ln_x) / SCATTER) -
                   gsl_cdf_ugaussian_P((log(tint.low_nm) - ln_x) / SCATTER));
    }
    return sum;
}

/* The general-purpose library's simplex finds the same maximum. */
Test(fit_band, is_the_maximum_of_the_likelihood)
{
    oxt_trials *trials = log_of();
    oxt_fit_values values = fitted(trials, OXT_NAMES_AS_BANDS, SCATTER);
    gsl_vector *start = gsl_vector_alloc(2), *step = gsl_vector_alloc(2);
    gsl_vector_set(start, 0, 4.0);
    gsl_vector_set(start, 1, 7.5);
    gsl_vector_set_all(step, 0.3);
    gsl_multimin_function function = { minus_log_likelihood, 2, NULL };
    gsl_multimin_fminimizer *simplex =
        gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, 2);
    gsl_multimin_fminimizer_set(simplex, &function, start, step);
    for (int i = 0; i < 400; i++)
        gsl_multimin_fminimizer_iterate(simplex);
    double ln_k = gsl_vector_get(simplex->x, 0), Q = 1e4 * gsl_vector_get(simplex->x, 1);
    double found = log(values.growth.k_ref_nm2_per_s) -
                   values.growth.Q_J_per_mol / R * (1.0 / 588.7 - 1.0 / values.growth.T_ref_K);
    CLOSE(values.growth.Q_J_per_mol, Q, 1e-5);
    NEAR(found, ln_k, 1e-5);
    /* its AICc: two parameters, twelve rows */
    CLOSE(values.aicc, 2.0 * simplex->fval + 4.0 + 12.0 / 9.0, 1e-7);
    gsl_multimin_fminimizer_free(simplex);
    gsl_vector_free(start);
    gsl_vector_free(step);
    oxt_trials_free(trials);
}

static double likelihood_at(double ln_k, double Q)
{
    double place[] = { ln_k, Q / 1e4 };
    gsl_vector_view view = gsl_vector_view_array(place, 2);
    return minus_log_likelihood(&view.vector, NULL);
}

/* The errors are those of the curvature of the likelihood, by differences. */
Test(fit_band, errors_are_those_of_the_curvature)
{
    oxt_trials *trials = log_of();
    oxt_fit_values values = fitted(trials, OXT_NAMES_AS_BANDS, SCATTER);
    double Q = values.growth.Q_J_per_mol;
    double ln_k = log(values.growth.k_ref_nm2_per_s) -
                  Q / R * (1.0 / 588.7 - 1.0 / values.growth.T_ref_K);
    const double dk = 1e-3, dQ = 50.0;
    double middle = likelihood_at(ln_k, Q);
    double kk = (likelihood_at(ln_k + dk, Q) - 2.0 * middle + likelihood_at(ln_k - dk, Q)) /
                (dk * dk);
    double QQ = (likelihood_at(ln_k, Q + dQ) - 2.0 * middle + likelihood_at(ln_k, Q - dQ)) /
                (dQ * dQ);
    double kQ = (likelihood_at(ln_k + dk, Q + dQ) - likelihood_at(ln_k + dk, Q - dQ) -
                 likelihood_at(ln_k - dk, Q + dQ) + likelihood_at(ln_k - dk, Q - dQ)) /
                (4.0 * dk * dQ);
    CLOSE(values.Q_stderr_J_per_mol, sqrt(kk / (kk * QQ - kQ * kQ)), 1e-3);
    oxt_trials_free(trials);
}

/* A film anywhere in its band is as likely as any other there: where the model lies inside the band of all coupons at
 * once, they tell as much as one film whose error is uniform over the band, its width over the root of 12. */
Test(fit_band, one_band_wide_beside_the_scatter_is_uniform)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint band = OXT_TINT_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_growth growth = growth_of(50.0, 588.7, 80e3);
    oxt_trials *trials = new_log();
    double time_s;
    OK(oxt_tint_find(default_film(), "purple", &band, &error));
    OK(oxt_time_for_thickness(&growth, sqrt(band.low_nm * band.high_nm), 588.7, &time_s, &error));
    for (int i = 0; i < 2; i++)
        add_colour(trials, 588.7, time_s, "purple");
    options.names = OXT_NAMES_AS_BANDS;
    options.scatter = 0.04;
    options.Q_J_per_mol = 80e3;
    oxt_fit *fit = new_fit(trials, &options);
    double width = log(band.high_nm / band.low_nm);
    CLOSE(values_of_fit(fit).ln_k_stderr, 2.0 * sqrt(width * width / 12.0 + 0.04 * 0.04), 1e-9);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

/* The root of the deviance and its slope, which profiles go by: by differences over the band, through its middle, where
 * the formula is 0 over 0, and beyond its ends. */
Test(fit_band, slopes_are_those_of_differences)
{
    oxt_i_fit_row row = { .reading_count = 1, .is_band = true, .sigma = 0.3, .band_sd = 0.05 };
    row.readings[0] = (oxt_i_reading){ .ln_low = 3.0, .ln_high = 3.2, .ln_x = 3.1 };
    const double step = 1e-5;
    for (double ln_x = 2.8; ln_x < 3.4; ln_x += 0.0375) {
        double slope, at = oxt_i_fit_off(&row, ln_x, &slope);
        double low = oxt_i_fit_off(&row, ln_x - step, NULL);
        double high = oxt_i_fit_off(&row, ln_x + step, NULL);
        CLOSE(slope, (high - low) / (2.0 * step), 1e-4);
        cr_assert(low < at && at < high);
    }
    double slope;
    NEAR(oxt_i_fit_off(&row, 3.1, &slope), 0.0, 1e-12);
    CLOSE(slope,
          (oxt_i_fit_off(&row, 3.1 + 1e-3, NULL) - oxt_i_fit_off(&row, 3.1 - 1e-3, NULL)) / 2e-3,
          1e-3);
}

/* Bands that are narrow beside the scatter are points: both ways agree. Bands that are wide are not,
 * and both ways still lie within their errors. */
Test(fit_band, agrees_with_middles_where_it_should)
{
    oxt_trials *trials = log_of();
    oxt_fit_values wide = fitted(trials, OXT_NAMES_AS_BANDS, 1.0);
    oxt_fit_values points = fitted(trials, OXT_NAMES_AS_MIDDLES, 1.0);
    CLOSE(wide.growth.Q_J_per_mol, points.growth.Q_J_per_mol, 0.02);
    CLOSE(wide.Q_stderr_J_per_mol, points.Q_stderr_J_per_mol, 0.02);
    oxt_fit_values bands = fitted(trials, OXT_NAMES_AS_BANDS, -1.0);
    oxt_fit_values middles = fitted(trials, OXT_NAMES_AS_MIDDLES, -1.0);
    NEAR(bands.growth.Q_J_per_mol, middles.growth.Q_J_per_mol, middles.Q_stderr_J_per_mol);
    cr_assert(bands.scatter > 0.0);
    oxt_trials_free(trials);
}

/* Measured thicknesses are no bands: nothing changes. */
Test(fit_band, thicknesses_stay_as_they_are)
{
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < ROWS; i++)
        add_thickness(trials, baths_K[i], times_s[i], seen(i).centre_nm + 1.0);
    oxt_fit_values bands = fitted(trials, OXT_NAMES_AS_BANDS, -1.0);
    oxt_fit_values middles = fitted(trials, OXT_NAMES_AS_MIDDLES, -1.0);
    CLOSE(bands.growth.Q_J_per_mol, middles.growth.Q_J_per_mol, 1e-9);
    CLOSE(bands.scatter, middles.scatter, 1e-9);
    CLOSE(bands.aicc, middles.aicc, 1e-9);
    oxt_trials_free(trials);
}

/* With robust weights a sound log gives what it gives without them; with errors of baths and times that are
 * next to nothing, what it gives without errors. */
Test(fit_band, goes_with_all_that_can_be_asked_for)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of();
    oxt_fit_values plain = fitted(trials, OXT_NAMES_AS_BANDS, SCATTER);
    for (int way = 0; way < 3; way++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        oxt_fit_values values = OXT_FIT_VALUES_INIT;
        oxt_fit *fit;
        options.scatter = SCATTER;
        options.robust = way == 0 ? OXT_ROBUST_HUBER : OXT_ROBUST_NONE;
        options.errors_in_variables = way == 1 ? OXT_ERRORS_ORTHOGONAL
                                               : OXT_ERRORS_EFFECTIVE_VARIANCE;
        options.bath_sd_K = way > 0 ? 1e-4 : 0.0;
        OK(oxt_fit_run(&fit, trials, default_film(), &options, &error));
        OK(oxt_fit_get(fit, &values, &error));
        oxt_fit_free(fit);
        CLOSE(values.growth.Q_J_per_mol, plain.growth.Q_J_per_mol, 1e-6);
        CLOSE(values.Q_stderr_J_per_mol, plain.Q_stderr_J_per_mol, 1e-6);
    }
    oxt_trials_free(trials);
}

/* One name is far off: what its band costs beyond its best counts by its weight, in the criterion of Akaike too. Straight from
 * the definition, with GSL's normal chances. */
Test(fit_band, a_robust_fit_counts_what_is_lost_by_its_weight)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of();
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    oxt_tint band;
    double sum = 0.0, least = 1.0;
    add_colour(trials, 588.7, 20.0, "silver");
    options.scatter = SCATTER;
    options.robust = OXT_ROBUST_HUBER;
    oxt_fit *fit = new_fit(trials, &options);
    oxt_fit_values values = values_of_fit(fit);
    for (size_t i = 0; i < ROWS + 1; i++) {
        double bath_K = i < ROWS ? baths_K[i] : 588.7, time_s = i < ROWS ? times_s[i] : 20.0,
               film_nm;
        if (i < ROWS)
            band = seen(i);
        else
            OK(oxt_tint_find(default_film(), "silver", &band, &error));
        OK(oxt_thickness(&values.growth, bath_K, time_s, &film_nm, &error));
        OK(oxt_fit_get_row(fit, i, &row, &error));
        double low = log(band.low_nm / film_nm) / SCATTER,
               high = log(band.high_nm / film_nm) / SCATTER;
        double now = log(gsl_cdf_ugaussian_Q(low) - gsl_cdf_ugaussian_Q(high));
        double best = log(2.0 * gsl_cdf_ugaussian_P(0.5 * (high - low)) - 1.0);
        sum += row.weight * now + (1.0 - row.weight) * best;
        least = fmin(least, row.weight);
    }
    cr_assert(least < 0.5);
    CLOSE(values.aicc, 4.0 + 12.0 / (ROWS + 1 - 3.0) - 2.0 * sum, 1e-6);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

Test(fit_band, a_choice_that_is_none)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_trials *trials = log_of();
    oxt_fit *fit;
    options.names = (oxt_names)2;
    FAILS(oxt_fit_run(&fit, trials, default_film(), &options, &error), OXT_EARG);
    oxt_trials_free(trials);
}

/* Straw and blue alone leave all between them open: what to log next is a film midway, by the fit's own constants. */
Test(fit_band, two_names_are_too_few)
{
    static const double straw_s[3] = { 14.0, 7.0, 4.0 }, blue_s[3] = { 110.0, 55.0, 30.0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_tint straw = OXT_TINT_INIT, blue = OXT_TINT_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    oxt_fit *fit;
    char warnings[4000] = "", wanted[300] = "";
    OK(oxt_tint_find(default_film(), "straw", &straw, &error));
    OK(oxt_tint_find(default_film(), "blue", &blue, &error));
    for (int i = 0; i < 3; i++) {
        add_colour(log, baths_K[i], straw_s[i], "straw");
        add_colour(log, baths_K[i], blue_s[i], "blue");
    }
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_get(fit, &values, &error));
    for (size_t i = 0; i < fit_warning_count(fit); i++) {
        size_t length = strlen(warnings);
        OK(oxt_fit_warning(fit, i, warnings + length, sizeof warnings - length, NULL, &error));
    }
    cr_assert(strstr(warnings, "The trials show only two colours"), "%s", warnings);
    int named = 0;
    for (int i = 0; i < 3; i++) {
        char fahrenheit[32], time[32];
        double time_s = 0.0, film_nm = sqrt(straw.high_nm * blue.low_nm);
        OK(oxt_time_for_thickness(&values.growth, film_nm, baths_K[i], &time_s, &error));
        OK(oxt_format_temperature(baths_K[i], OXT_UNIT_FAHRENHEIT, fahrenheit, sizeof fahrenheit,
                                  NULL, &error));
        OK(oxt_format_duration(round(time_s), time, sizeof time, NULL, &error));
        snprintf(wanted, sizeof wanted, "(%s) for about %s, whose film should lie between",
                 fahrenheit, time);
        named += strstr(warnings, wanted) != NULL;
    }
    cr_assert_eq(named, 1, "%s\n%s", warnings, wanted);
    oxt_fit_free(fit);

    add_colour(log, baths_K[0], 45.0, "purple"); /* a third name, and the warning goes */
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    for (size_t i = 0; i < fit_warning_count(fit); i++) {
        OK(oxt_fit_warning(fit, i, warnings, sizeof warnings, NULL, &error));
        cr_assert_null(strstr(warnings, "show only"));
    }
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Common practice, no source: "yellow" is said of straw, and again of the film that follows silver. */
Test(fit_band, yellow_occurs_in_two_orders)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = new_log();
    oxt_tint straw = OXT_TINT_INIT, yellow = OXT_TINT_INIT;
    oxt_growth growth = growth_of(50.0, 588.7, 80e3);
    OK(oxt_tint_find(default_film(), "straw", &straw, &error));
    OK(oxt_tint_find(default_film(), "second order yellow", &yellow, &error));
    for (size_t i = 0; i < ROWS; i++) {
        oxt_tint tint = i % 2 ? yellow : straw;
        double time_s;
        OK(oxt_time_for_thickness(&growth, tint.centre_nm, baths_K[i], &time_s, &error));
        add_colour(trials, baths_K[i], time_s, i == 5 ? "Yellow" : tint.label);
    }
    oxt_fit *fit;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    OK(oxt_fit_run(&fit, trials, default_film(), NULL, &error));
    OK(oxt_fit_get_row(fit, 5, &row, &error));
    cr_assert(row.order == 2 && row.low_nm == yellow.low_nm);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}
