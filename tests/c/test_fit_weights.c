/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What rows weigh in a fit: errors of the logged bath and time, robust weights, and what each row
 * pulls. */
#include <gsl/gsl_fit.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/internal.h"
#include "support.h"
#include "trials/trials.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double baths_K[] = { 560.9, 588.7, 616.5 };

enum { ROWS = 12 };

static oxt_growth truth(void)
{
    return growth_of(55.0, 588.7, 80e3);
}

/* Measured thicknesses, each off by a factor of exp(+-spread); line 7 is off by one more factor. */
static oxt_trials *log_of(size_t rows, double spread, double factor_of_seventh)
{
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < rows; i++) {
        double bath_K = baths_K[i % 3], time_s = 20.0 + 7.0 * (double)i, thickness_nm = 0.0;
        oxt_growth growth = truth();
        oxt_thickness(&growth, bath_K, time_s, &thickness_nm, NULL);
        thickness_nm *= exp(spread * sin(2.5 * (double)i)) * (i == 6 ? factor_of_seventh : 1.0);
        add_thickness(trials, bath_K, time_s, thickness_nm);
    }
    return trials;
}

/* The log without one of its rows. */
static oxt_trials *without(const oxt_trials *trials, size_t left_out)
{
    oxt_trials *made = new_log();
    for (size_t i = 0; i < oxt_trials_count(trials); i++) {
        oxt_trial trial = oxt_i_trial(trials, i);
        if (i != left_out)
            oxt_trials_add(made, &trial, NULL, NULL);
    }
    return made;
}

/* What was fitted, in one piece. */
typedef struct {
    oxt_fit_values values;
    oxt_fit_row rows[ROWS + 1];
    char warnings[4000];
} answer;

static answer fit_of(const oxt_trials *trials, const oxt_fit_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    answer found = { .values = OXT_FIT_VALUES_INIT };
    OK(oxt_fit_run(&fit, trials, default_film(), options, &error));
    OK(oxt_fit_get(fit, &found.values, &error));
    cr_assert(found.values.row_count <= ROWS + 1);
    for (size_t i = 0; i < found.values.row_count; i++) {
        found.rows[i] = (oxt_fit_row)OXT_FIT_ROW_INIT;
        OK(oxt_fit_get_row(fit, i, &found.rows[i], &error));
    }
    for (size_t i = 0; i < fit_warning_count(fit); i++) {
        size_t length = strlen(found.warnings);
        OK(oxt_fit_warning(fit, i, found.warnings + length, sizeof found.warnings - length, NULL,
                           &error));
    }
    oxt_fit_free(fit);
    return found;
}

static void fit_fails(const oxt_trials *trials, const oxt_fit_options *options, oxt_status status,
                      const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    FAILS(oxt_fit_run(&fit, trials, default_film(), options, &error), status);
    SAYS(words);
}

static double ln_rate(const answer *of, double temperature_K)
{
    const oxt_growth *growth = &of->values.growth;
    return log(growth->k_ref_nm2_per_s) -
           growth->Q_J_per_mol / R * (1.0 / temperature_K - 1.0 / growth->T_ref_K);
}

static void same_constants(const answer *a, const answer *b, double tolerance)
{
    CLOSE(a->values.growth.k_ref_nm2_per_s, b->values.growth.k_ref_nm2_per_s, tolerance);
    CLOSE(a->values.growth.Q_J_per_mol, b->values.growth.Q_J_per_mol, tolerance);
    CLOSE(a->values.variance_ln_k, b->values.variance_ln_k, tolerance);
    CLOSE(a->values.variance_Q_J2_per_mol2, b->values.variance_Q_J2_per_mol2, tolerance);
    CLOSE(a->values.chi_square, b->values.chi_square, tolerance);
}

static oxt_fit_options with_scatter(double scatter)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.scatter = scatter;
    return options;
}

/* ---- errors of bath and time ---- */

/* Where baths and times are exact there is nothing to fit in them. */
Test(fit_weights, exact_baths_and_times_are_left_alone)
{
    oxt_trials *trials = log_of(ROWS, 0.05, 1.0);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    answer plain = fit_of(trials, NULL);
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    answer orthogonal = fit_of(trials, &options);
    same_constants(&plain, &orthogonal, 1e-12);
    cr_assert_eq(plain.values.scatter, orthogonal.values.scatter);
    for (size_t i = 0; i < ROWS; i++)
        cr_assert_eq(plain.rows[i].weight, 1.0);
    oxt_trials_free(trials);
}

/* The bath and time at which the line comes nearest to a trial, by Newton's steps with all second derivatives:
 * another road than the fit's. */
static void nearest(double ln_k, double Q, double T_ref_K, const oxt_trial *trial, double own,
                    const double sd[2], double at[2])
{
    double logged[2] = { trial->bath_K, trial->time_s };
    at[0] = logged[0], at[1] = logged[1];
    for (int step = 0; step < 30; step++) {
        double T = at[0], t = at[1], by_T = 0.5 * Q / (R * T * T), by_t = 0.5 / t;
        double off = 0.5 * (ln_k - Q / R * (1.0 / T - 1.0 / T_ref_K) + log(t)) -
                     log(trial->thickness_nm);
        /* Half the gradient and half the matrix of second derivatives. */
        double g[2] = { off * by_T / own + (T - logged[0]) / (sd[0] * sd[0]),
                        off * by_t / own + (t - logged[1]) / (sd[1] * sd[1]) };
        double TT = (by_T * by_T - 2.0 * off * by_T / T) / own + 1.0 / (sd[0] * sd[0]);
        double tt = (by_t * by_t - off * by_t / t) / own + 1.0 / (sd[1] * sd[1]);
        double Tt = by_T * by_t / own, determinant = TT * tt - Tt * Tt;
        at[0] -= (tt * g[0] - Tt * g[1]) / determinant;
        at[1] -= (TT * g[1] - Tt * g[0]) / determinant;
    }
}

/* The closed formula of the weighted line z = 2 ln x - ln t = ln k_ref + Q s, with the variance that
 * its own slopes where it is nearest give, again and again: d z/dT = Q/(R T^2), d z/dt = 1/t. */
Test(fit_weights, effective_variance_agrees_with_an_iterated_line)
{
    static const double sd[2] = { 3.0, 2.0 }, own = 0.02 * 0.02 + 0.03 * 0.03;
    oxt_trials *trials = log_of(ROWS, 0.08, 1.0);
    oxt_fit_options options = with_scatter(0.03);
    options.bath_sd_K = sd[0];
    options.time_sd_s = sd[1];
    answer found = fit_of(trials, &options);
    double s[ROWS], z[ROWS], weight[ROWS], stated = 0, whole = 0, ln_k = 4.0, Q = 70e3, cov[3],
                                           chi = 0;
    for (int round = 0; round < 60; round++) {
        for (size_t i = 0; i < ROWS; i++) {
            const oxt_trial made = oxt_i_trial(trials, i), *trial = &made;
            double at[2], T_ref_K = found.values.growth.T_ref_K;
            nearest(ln_k, Q, T_ref_K, trial, own, sd, at);
            double by_bath = Q / (R * at[0] * at[0]) * sd[0], by_time = sd[1] / at[1];
            s[i] = -(1.0 / trial->bath_K - 1.0 / T_ref_K) / R;
            z[i] = 2.0 * log(trial->thickness_nm) - log(trial->time_s);
            weight[i] = 1.0 / (4.0 * own + by_bath * by_bath + by_time * by_time);
            CLOSE(round < 59 ? 1.0 : found.rows[i].sigma, round < 59 ? 1.0 : 0.5 / sqrt(weight[i]),
                  1e-8);
        }
        gsl_fit_wlinear(s, 1, weight, 1, z, 1, ROWS, &ln_k, &Q, cov, cov + 1, cov + 2, &chi);
    }
    for (size_t i = 0; i < ROWS; i++) {
        stated += weight[i] * (1.0 - 4.0 * own * weight[i]);
        whole += weight[i];
    }
    /* JCGM 100:2008, G.4.1: u^4/nu summed, of a part with ROWS - 2 and one without limit. */
    CLOSE(found.values.dof, (ROWS - 2) * pow(whole / (whole - stated), 2.0), 1e-8);
    CLOSE(log(found.values.growth.k_ref_nm2_per_s), ln_k, 1e-8);
    CLOSE(found.values.growth.Q_J_per_mol, Q, 1e-8);
    CLOSE(found.values.variance_ln_k, cov[0], 1e-7);
    CLOSE(found.values.variance_Q_J2_per_mol2, cov[2], 1e-7);
    CLOSE(found.values.chi_square, chi, 1e-7);
    oxt_trials_free(trials);
}

/* The less is stated, the more the errors are left to the rows. */
Test(fit_weights, degrees_of_freedom_go_to_those_of_the_rows)
{
    oxt_trials *trials = log_of(ROWS, 0.08, 1.0);
    double last = HUGE_VAL;
    for (double bath_sd_K = 5.0; bath_sd_K > 1e-3; bath_sd_K *= 0.5) {
        oxt_fit_options options = with_scatter(0.05);
        options.bath_sd_K = bath_sd_K;
        answer found = fit_of(trials, &options);
        cr_assert(found.values.dof < last && found.values.dof > ROWS - 2.0);
        CLOSE(found.values.reduced_chi_square * (ROWS - 2), found.values.chi_square, 1e-12);
        last = found.values.dof;
    }
    CLOSE(last, ROWS - 2.0, 1e-4);
    oxt_trials_free(trials);
}

/* Both ways agree to first order in the deviations: half of them, a quarter of the difference. */
Test(fit_weights, both_ways_agree_to_first_order)
{
    oxt_trials *trials = log_of(ROWS, 0.05, 1.0);
    double difference[3];
    for (int i = 0; i < 3; i++) {
        oxt_fit_options options = with_scatter(0.05);
        options.bath_sd_K = 0.5 / (1 << i);
        options.time_sd_s = 0.25 / (1 << i);
        answer effective = fit_of(trials, &options);
        options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
        answer orthogonal = fit_of(trials, &options);
        difference[i] = fabs(ln_rate(&effective, 600.0) - ln_rate(&orthogonal, 600.0));
        NEAR(effective.values.growth.Q_J_per_mol, orthogonal.values.growth.Q_J_per_mol,
             0.2 * effective.values.Q_stderr_J_per_mol);
    }
    cr_assert(difference[0] > 1e-6, "the log does not show it");
    CLOSE(difference[1], 0.25 * difference[0], 0.05);
    CLOSE(difference[2], 0.25 * difference[1], 0.05);
    oxt_trials_free(trials);
}

/* Coupons that follow the law stay where they are, whatever their errors. */
Test(fit_weights, an_orthogonal_fit_of_exact_rows_gives_the_constants_back)
{
    oxt_trials *trials = log_of(ROWS, 0.0, 1.0);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.bath_sd_K = 4.0;
    options.time_sd_s = 3.0;
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    answer found = fit_of(trials, &options);
    CLOSE(found.values.growth.Q_J_per_mol, 80e3, 1e-9);
    CLOSE(exp(ln_rate(&found, 588.7)), 55.0, 1e-9);
    NEAR(found.values.chi_square, 0.0, 1e-12);
    oxt_trials_free(trials);
}

/* A time known no better than itself: the nearest point of the curve is still found. */
Test(fit_weights, an_orthogonal_fit_with_times_that_are_hardly_known)
{
    oxt_trials *trials = log_of(ROWS, 0.3, 1.0);
    add_thickness(trials, 588.7, 2.0, 40.0); /* 10 nm by the others */
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.time_sd_s = 10.0;
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    answer found = fit_of(trials, &options);
    CLOSE(found.values.growth.Q_J_per_mol, 80e3, 0.2);
    cr_assert(found.rows[ROWS].residual > 1.0); /* as logged */
    CLOSE(found.rows[ROWS].observed_nm, 40.0, 1e-12);
    oxt_trials_free(trials);
}

/* Times said to be known to a minute, of dips of seconds, and films that grow thinner the hotter the
 * bath: there is no curve to be near to. */
Test(fit_weights, an_orthogonal_fit_that_does_not_settle)
{
    oxt_trials *trials = new_log();
    add_thickness(trials, 575.0, 21.0, 9.0);
    add_thickness(trials, 560.0, 522.0, 220.0);
    add_thickness(trials, 590.0, 4.13, 9.0);
    oxt_fit_options options = with_scatter(0.0);
    options.bath_sd_K = 1.0;
    options.time_sd_s = 60.0;
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    fit_fails(trials, &options, OXT_ENOCONV, "is too large for these trials");
    oxt_trials_free(trials);
}

/* What the errors of bath and time explain is not scatter. */
Test(fit_weights, the_scatter_is_what_is_left)
{
    oxt_trials *trials = log_of(ROWS, 0.10, 1.0);
    double last = 1.0;
    for (double bath_sd = 0.0; bath_sd < 9.0; bath_sd += 4.0)
        for (int way = 0; way < 2; way++) {
            oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
            options.bath_sd_K = bath_sd;
            options.errors_in_variables = way ? OXT_ERRORS_ORTHOGONAL
                                              : OXT_ERRORS_EFFECTIVE_VARIANCE;
            answer found = fit_of(trials, &options);
            cr_assert(found.values.scatter > 0.0 && found.values.scatter < last + 0.01 * way);
            if (way)
                last = found.values.scatter;
        }
    oxt_trials_free(trials);
}

/* ---- robust weights ---- */

/* Huber's weights are 1 to 1.345 errors, Tukey's fall from the first: P. J. Huber, Robust Statistics,
 * 1981; A. E. Beaton and J. W. Tukey, Technometrics 16 (1974) 147 (from memory). */
Test(fit_weights, rows_weigh_what_the_formulas_say)
{
    oxt_trials *trials = log_of(ROWS, 0.1, 1.5);
    for (int tukey = 0; tukey < 2; tukey++) {
        oxt_fit_options options = with_scatter(0.06);
        options.robust = tukey ? OXT_ROBUST_TUKEY : OXT_ROBUST_HUBER;
        answer found = fit_of(trials, &options);
        double in_ln_k = 0.0, in_Q = 0.0;
        for (size_t i = 0; i < ROWS; i++) {
            const oxt_fit_row *row = &found.rows[i];
            double off = fabs(row->residual) / row->sigma, share = off / 4.685;
            double weight = tukey         ? share < 1.0 ? pow(1.0 - share * share, 2.0) : 0.0
                            : off > 1.345 ? 1.345 / off
                                          : 1.0;
            NEAR(row->weight, weight, 1e-7);
            CLOSE(row->sigma, sqrt(0.06 * 0.06 + 0.02 * 0.02), 1e-12);
            double pull = row->weight * row->residual / (row->sigma * row->sigma);
            in_ln_k += pull;
            in_Q += pull * (found.values.growth.T_ref_K / oxt_i_trial(trials, i).bath_K - 1.0);
        }
        NEAR(in_ln_k, 0.0, 1e-5); /* weighted residuals balance: it is the minimum */
        NEAR(in_Q, 0.0, 1e-6);
    }
    oxt_trials_free(trials);
}

/* Rows that lie within 1.345 errors are all trusted, and Huber's fit is the plain one. */
Test(fit_weights, sound_rows_are_trusted)
{
    oxt_trials *trials = log_of(ROWS, 0.05, 1.0);
    oxt_fit_options options = with_scatter(0.06);
    answer plain = fit_of(trials, &options);
    options.robust = OXT_ROBUST_HUBER;
    answer huber = fit_of(trials, &options);
    same_constants(&plain, &huber, 1e-9);
    cr_assert_str_eq(huber.warnings, "");
    oxt_trials_free(trials);
}

/* A row far enough off does not count for Tukey: the fit is that of the others. */
Test(fit_weights, tukey_leaves_a_gross_outlier_out)
{
    oxt_trials *trials = log_of(ROWS, 0.05, 3.0), *rest = without(trials, 6);
    oxt_fit_options options = with_scatter(0.06);
    options.robust = OXT_ROBUST_TUKEY;
    answer found = fit_of(trials, &options), wanted = fit_of(rest, &options);
    cr_assert_eq(found.rows[6].weight, 0.0);
    NEAR(ln_rate(&found, 600.0), ln_rate(&wanted, 600.0), 1e-8);
    CLOSE(found.values.growth.Q_J_per_mol, wanted.values.growth.Q_J_per_mol, 1e-8);
    CLOSE(found.values.Q_stderr_J_per_mol, wanted.values.Q_stderr_J_per_mol, 1e-8);
    oxt_trials_free(trials);
    oxt_trials_free(rest);
}

/* With the scatter estimated too, one coupon of thirteen that is off by a factor of 4 moves the rate in
 * its own bath by 19 standard errors in least squares, by 1.2 with Huber's weights, which go on to pull
 * but no harder, and by 0.02 with Tukey's. */
Test(fit_weights, an_outlier_does_not_carry_the_fit_away)
{
    oxt_trials *sound = log_of(ROWS, 0.05, 1.0);
    oxt_trials *spoilt = log_of(ROWS, 0.05, 1.0);
    add_thickness(spoilt, 616.5, 60.0, 300.0);
    answer wanted = fit_of(sound, NULL);
    for (int robust = OXT_ROBUST_NONE; robust <= OXT_ROBUST_TUKEY; robust++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.robust = (oxt_robust)robust;
        answer found = fit_of(spoilt, &options);
        double moved = fabs(ln_rate(&found, 616.5) - ln_rate(&wanted, 616.5)) /
                       wanted.values.ln_k_stderr;
        double most = robust == OXT_ROBUST_HUBER ? 1.5 : 0.1;
        cr_assert(robust ? moved < most : moved > 10.0, "%d: %g", robust, moved);
        cr_assert(robust ? found.values.scatter < 2.0 * wanted.values.scatter
                         : found.values.scatter > 3.0 * wanted.values.scatter,
                  "%d: %g for %g", robust, found.values.scatter, wanted.values.scatter);
    }
    oxt_trials_free(sound);
    oxt_trials_free(spoilt);
}

/* A row is named where less than half of its weight is left. */
Test(fit_weights, rows_of_less_than_half_their_weight_are_named)
{
    bool near[2] = { false, false };
    for (double factor = 1.1; factor < 1.5; factor += 0.01) {
        oxt_trials *trials = log_of(ROWS, 0.0, factor);
        oxt_fit_options options = with_scatter(0.06);
        options.robust = OXT_ROBUST_HUBER;
        answer found = fit_of(trials, &options);
        bool named = strstr(found.warnings, "has little weight") != NULL;
        double weight = found.rows[6].weight;
        cr_assert_eq(named, weight < 0.5, "%g", weight);
        near[named] = near[named] || fabs(weight - 0.5) < 0.03;
        oxt_trials_free(trials);
    }
    cr_assert(near[0] && near[1]);
}

Test(fit_weights, a_distrusted_row_is_named)
{
    static const char text[] = "steel,bath_F,time,colour\n"
                               "Alder 1,550,1:00,straw\nAlder 1,600,1:00,brown\n"
                               "Alder 1,650,1:00,blue\nAlder 1,550,1:20,dark straw\n"
                               "Alder 1,650,0:40,purple\nAlder 1,600,20:00,straw\n"
                               "Alder 1,600,0:30,straw\nAlder 1,650,0:30,purple\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials;
    OK(oxt_trials_read_csv(&trials, NULL, text, sizeof text - 1, NULL, NULL, &error));
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.robust = OXT_ROBUST_TUKEY;
    answer found = fit_of(trials, &options);
    const oxt_fit_row *row = &found.rows[5];
    cr_assert(row->weight < 0.01);
    char sentence[300];
    sprintf(sentence,
            "Line 7: 'straw' at 315.6 C (600 F) after 20:00 has little weight (%.2f): it lies "
            "%.1f times its error below the rest.",
            row->weight, -row->residual / row->sigma);
    cr_assert(strstr(found.warnings, sentence), "%s", found.warnings);
    cr_assert_null(strstr(found.warnings, "Line 7: the film is")); /* named once */
    oxt_trials_free(trials);
}

/* How far a coupon lies from the others is told by what the true constants grow on it in 25 s. */
static void check_factor_of_line_3(const char *told)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = truth();
    oxt_part part = OXT_PART_INIT;
    double exposure_nm2;
    part.size_m = 0.02194;
    OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, 588.7, 25.0, &exposure_nm2, &error));
    CLOSE(atof(told), 34.2 / sqrt(exposure_nm2), 0.3);
}

/* A thick coupon that was in the bath for 3:03, and not for 25 s: after 25 s it is cold, and its film depends on Q so
 * much that bending Q to it costs little by absolute residuals. Simulated at 55 nm^2/s, 80 kJ/mol and 6 % scatter. */
Test(fit_weights, a_slip_of_a_cold_coupon_is_named)
{
    static const char text[] = "steel,bath_K,time_s,part_mm,thickness_nm\n"
                               "Alder 1,560.9,226,8.88,57.8\nAlder 1,588.7,25,21.94,34.2\n"
                               "Alder 1,616.5,63,3.65,58.5\nAlder 1,560.9,31,1.30,23.0\n"
                               "Alder 1,588.7,60,3.37,43.0\nAlder 1,616.5,183,24.23,45.3\n"
                               "Alder 1,560.9,242,8.40,64.4\nAlder 1,588.7,103,9.00,35.3\n"
                               "Alder 1,616.5,140,13.93,57.1\nAlder 1,560.9,99,5.84,38.3\n"
                               "Alder 1,588.7,34,2.32,27.4\nAlder 1,616.5,36,1.28,53.5\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials;
    OK(oxt_trials_read_csv(&trials, NULL, text, sizeof text - 1, NULL, NULL, &error));
    for (int robust = OXT_ROBUST_NONE; robust <= OXT_ROBUST_TUKEY; robust++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        oxt_fit *fit = NULL;
        options.robust = (oxt_robust)robust;
        if (oxt_fit_run(&fit, trials, default_film(), &options, &error)) {
            SAYS("line 3 contradicts the others most, by a factor of ");
            cr_assert_eq(error.row, 3);
            check_factor_of_line_3(strstr(error.text, "by a factor of ") + 15);
        } else {
            answer found = fit_of(trials, &options);
            cr_assert(strstr(found.warnings, "Line 3"), "%d: %s", robust, found.warnings);
        }
        oxt_fit_free(fit);
    }
    oxt_trials_free(trials);
}

/* Four coupons of 4 to 22 mm, of which the second was in the bath for longer than the 22 s of the log: Q bends until they
 * fit, so that none is an outlier, and yet the others do not want that Q. By the constants that they were made with the
 * film is many times too thick for its time. */
Test(fit_weights, a_slip_that_Q_bends_to_is_warned_of)
{
    static const double slip_baths_K[] = { 560.9, 588.7, 616.5, 560.9 },
                        sizes_m[] = { 0.02154, 0.01345, 0.00588, 0.00419 },
                        times_s[] = { 157.0, 110.0, 219.0, 41.0 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = truth();
    double in_110_s, in_22_s, told;
    for (int slip = 0; slip < 2; slip++) {
        oxt_trials *trials = new_log();
        for (size_t i = 0; i < 4; i++) {
            oxt_trial trial = trial_at(slip_baths_K[i], times_s[i]);
            oxt_part part = OXT_PART_INIT;
            double exposure_nm2;
            trial.part_size_m = part.size_m = sizes_m[i];
            OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, slip_baths_K[i], times_s[i],
                                 &exposure_nm2, &error));
            trial.thickness_nm = sqrt(exposure_nm2);
            trial.seen = OXT_SEEN_THICKNESS;
            trial.line = i + 2;
            if (i == 1) {
                in_110_s = trial.thickness_nm;
                OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, slip_baths_K[i], 22.0,
                                     &exposure_nm2, &error));
                in_22_s = sqrt(exposure_nm2);
                trial.time_s = slip ? 22.0 : 110.0;
            }
            OK(oxt_trials_add(trials, &trial, NULL, &error));
        }
        answer found = fit_of(trials, NULL);
        const char *warning = strstr(found.warnings,
                                     "Line 3 contradicts the others by a factor of ");
        cr_assert_eq(warning != NULL, slip == 1, "%s", found.warnings);
        if (warning) {
            cr_assert_eq(sscanf(warning + 45, "%lf", &told), 1);
            CLOSE(told, in_110_s / in_22_s, 0.2);
        }
        oxt_trials_free(trials);
    }
}

/* A second order that was not stated looks like an outlier, but it is a reading. */
Test(fit_weights, an_unstated_order_is_read_before_it_is_distrusted)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint blue = OXT_TINT_INIT;
    oxt_growth growth = truth();
    double time_s = 0.0;
    OK(oxt_tint_find(default_film(), "second-order blue", &blue, &error));
    OK(oxt_time_for_thickness(&growth, blue.centre_nm, 588.7, &time_s, &error));
    for (int robust = OXT_ROBUST_HUBER; robust <= OXT_ROBUST_TUKEY; robust++) {
        oxt_trials *trials = log_of(ROWS, 0.05, 1.0);
        add_colour(trials, 588.7, time_s, "blue");
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.robust = (oxt_robust)robust;
        answer found = fit_of(trials, &options);
        cr_assert(found.rows[ROWS].order == 2 && found.rows[ROWS].weight > 0.9);
        oxt_trials_free(trials);
    }
}

Test(fit_weights, rows_that_all_distrust_one_another)
{
    oxt_trials *trials = log_of(ROWS, 0.5, 1.0);
    oxt_fit_options options = with_scatter(0.0);
    options.thickness_uncertainty = 0.001;
    options.robust = OXT_ROBUST_TUKEY;
    fit_fails(trials, &options, OXT_EIDENT, "the robust weights leave too few rows");
    oxt_trials_free(trials);
}

/* Contract: rows count only while Tukey trusts them by more than a thousandth. Two coupons in one bath with Q given, as
 * far from their mean as is said in errors: at 4.64 of 4.685 errors the weight is (1 - 0.981)^2 = 0.0004. */
Test(fit_weights, two_rows_that_hardly_trust_one_another)
{
    for (int farther = 0; farther < 2; farther++) {
        oxt_trials *trials = new_log();
        oxt_fit_options options = with_scatter(0.1);
        double off = (farther ? 4.64 : 4.5) * sqrt(0.1 * 0.1 + 0.02 * 0.02);
        options.robust = OXT_ROBUST_TUKEY;
        options.Q_J_per_mol = 80e3;
        add_thickness(trials, 588.7, 60.0, 60.0 * exp(off));
        add_thickness(trials, 588.7, 60.0, 60.0 * exp(-off));
        if (farther)
            fit_fails(trials, &options, OXT_EIDENT, "the robust weights leave too few rows");
        else
            NEAR(fit_of(trials, &options).rows[0].weight, pow(1.0 - pow(4.5 / 4.685, 2.0), 2.0),
                 1e-9);
        oxt_trials_free(trials);
    }
}

/* The start is one that no single row can move: with a quarter of the coupons off by a factor of 4, in the hottest bath,
 * Tukey's constants are those of the others, which are exact; with Q given too, and for each of several steels that
 * have a Q of their own. */
Test(fit_weights, tukey_starts_where_most_rows_agree)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of(ROWS, 0.0, 1.0), *spoilt = new_log(), *two = new_log();
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = oxt_i_trial(trials, i);
        if (i == 2 || i == 5 || i == 8)
            trial.thickness_nm *= 4.0;
        OK(oxt_trials_add(spoilt, &trial, NULL, &error));
        OK(oxt_trials_add(two, &trial, NULL, &error));
        strcpy(trial.steel, "Birch 2");
        trial.thickness_nm *= 1.3;
        OK(oxt_trials_add(two, &trial, NULL, &error));
    }
    oxt_fit_options options = with_scatter(0.06);
    options.robust = OXT_ROBUST_TUKEY;
    answer found = fit_of(spoilt, &options);
    CLOSE(found.values.growth.Q_J_per_mol, 80e3, 1e-6);
    NEAR(ln_rate(&found, 588.7), log(55.0), 1e-6);
    options.Q_J_per_mol = 80e3;
    found = fit_of(spoilt, &options);
    NEAR(ln_rate(&found, 588.7), log(55.0), 1e-6);
    oxt_pool_options how = OXT_POOL_OPTIONS_INIT;
    oxt_pool *pool;
    how.model = OXT_POOL_SEPARATE;
    how.robust = OXT_ROBUST_TUKEY;
    how.scatter = 0.06;
    OK(oxt_pool_run(&pool, two, default_film(), &how, &error));
    for (size_t i = 0; i < 2; i++) {
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        OK(oxt_pool_get_group(pool, i, &group, &error));
        CLOSE(group.growth.Q_J_per_mol, 80e3, 1e-6);
    }
    oxt_pool_free(pool);
    oxt_trials_free(trials);
    oxt_trials_free(spoilt);
    oxt_trials_free(two);
}

Test(fit_weights, choices_out_of_range)
{
    oxt_trials *trials = log_of(ROWS, 0.05, 1.0);
    static const size_t offsets[] = { offsetof(oxt_fit_options, bath_sd_K),
                                      offsetof(oxt_fit_options, time_sd_s) };
    for (size_t i = 0; i < 2; i++)
        for (int j = 0; j < 3; j++) {
            oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
            *(double *)((char *)&options + offsets[i]) = j == 0 ? -1.0 : j == 1 ? NAN : 1e9;
            fit_fails(trials, &options, OXT_EDOMAIN, i ? "time_sd_s" : "bath_sd_K");
        }
    for (int j = 0; j < 2; j++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        options.errors_in_variables = (oxt_errors_in_variables)(j ? 2 : 77);
        fit_fails(trials, &options, OXT_EARG, "errors_in_variables is");
        options = (oxt_fit_options)OXT_FIT_OPTIONS_INIT;
        options.robust = (oxt_robust)(j ? 3 : 77);
        fit_fails(trials, &options, OXT_EARG, "robust is");
    }
    oxt_trials_free(trials);
}

/* ---- what each row pulls ---- */

/* By really leaving each row out. Cook's distance is that of the constants in their covariance, over
 * the number of constants: R. D. Cook, Technometrics 19 (1977) 15 (from memory). */
static void check_influence(const oxt_fit_options *options, double tolerance)
{
    oxt_trials *trials = log_of(ROWS, 0.05, 1.05);
    answer all = fit_of(trials, options);
    const oxt_fit_values *v = &all.values;
    double determinant = v->variance_ln_k * v->variance_Q_J2_per_mol2 -
                         v->covariance_J_per_mol * v->covariance_J_per_mol;
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trials *rest = without(trials, i);
        answer left = fit_of(rest, options);
        double bath_K = oxt_i_trial(trials, i).bath_K;
        double dip = ln_rate(&all, bath_K) - ln_rate(&left, bath_K); /* ln t = 2 ln x - ln k */
        double in_ln_k = ln_rate(&left, v->growth.T_ref_K) - log(v->growth.k_ref_nm2_per_s);
        double in_Q = left.values.growth.Q_J_per_mol - v->growth.Q_J_per_mol;
        double cook = 0.5 / determinant *
                      (in_ln_k * in_ln_k * v->variance_Q_J2_per_mol2 -
                       2.0 * in_ln_k * in_Q * v->covariance_J_per_mol +
                       in_Q * in_Q * v->variance_ln_k);
        NEAR(all.rows[i].dip_change, dip, tolerance * fmax(fabs(dip), 1e-3));
        NEAR(all.rows[i].cooks_distance, cook, 2.5 * tolerance * fmax(cook, 1e-3));
        oxt_trials_free(rest);
    }
    oxt_trials_free(trials);
}

Test(fit_weights, influence_agrees_with_leaving_rows_out)
{
    oxt_fit_options options = with_scatter(0.04);
    check_influence(&options, 1e-6);
    options.bath_sd_K = 0.5;
    options.time_sd_s = 0.2;
    check_influence(&options, 1e-2);
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    check_influence(&options, 1e-2);
}

/* A row that alone decides its own prediction cannot be left out. */
Test(fit_weights, a_row_that_alone_decides)
{
    oxt_trials *trials = new_log();
    add_thickness(trials, 560.0, 60.0, 30.0);
    add_thickness(trials, 560.0, 120.0, 43.0);
    add_thickness(trials, 610.0, 60.0, 60.0);
    answer found = fit_of(trials, NULL);
    cr_assert(isnan(found.rows[2].dip_change) && isnan(found.rows[2].cooks_distance));
    cr_assert(isfinite(found.rows[0].dip_change) && isfinite(found.rows[0].cooks_distance));
    oxt_trials_free(trials);
}

Test(fit_weights, the_report_names_what_pulls_hardest)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of(ROWS, 0.03, 1.3);
    oxt_fit *fit;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    char report[8000], sentence[200];
    OK(oxt_fit_run(&fit, trials, default_film(), NULL, &error));
    OK(oxt_fit_get_row(fit, 6, &row, &error));
    OK(oxt_fit_report(fit, OXT_UNIT_CELSIUS, report, sizeof report, NULL, &error));
    cr_assert(row.dip_change > 0.0); /* it is too thick: without it dips take longer */
    sprintf(sentence,
            "Most influential coupons\n  Trial 7: without it, lift times in this bath are %.1f %% "
            "longer "
            "(Cook's distance %.2g)\n",
            100.0 * expm1(row.dip_change), row.cooks_distance);
    cr_assert(strstr(report, sentence), "%s", report);
    const char *first = strstr(report, "without it");
    int named = 0;
    for (; first; first = strstr(first + 1, "without it"))
        named++;
    cr_assert_eq(named, 3);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}
