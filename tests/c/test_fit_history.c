/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fits of coupons whose size, lift and errors are stated in the log. */
#include <string.h>

#include "support.h"

enum { ROWS = 12 };

static oxt_growth truth(void)
{
    return growth_of(55.0, 588.7, 80e3);
}

/* Coupons of several sizes, shapes, starts and lifts in three baths, with the film that really grew:
 * warming up, in the bath, and on the way to the quench. */
static oxt_trial coupon(size_t i)
{
    static const double baths_K[] = { 560.9, 588.7, 616.5 };
    static const double sizes_m[] = { 0.002, 0.006, 0.012, 0.03 };
    oxt_growth growth = truth();
    oxt_trial trial = trial_at(baths_K[i % 3], 60.0 + 25.0 * (double)i);
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    trial.part_size_m = part.size_m = sizes_m[i % 4];
    trial.part_shape = part.shape = i % 2 ? OXT_SHAPE_CYLINDER : OXT_SHAPE_PLATE;
    trial.part_start_K = part.start_K = i % 3 ? 293.15 : 423.15;
    trial.transfer_W_per_m2K = part.transfer_W_per_m2K = 800.0;
    trial.lift_s = lift.delay_s = (double)(i % 4) * 2.0;
    trial.seen = OXT_SEEN_THICKNESS;
    trial.thickness_nm = sqrt(grown_nm2(&growth, &part, &lift, trial.bath_K, trial.time_s));
    return trial;
}

static void add(oxt_trials *log, const oxt_trial *trial)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_trials_add(log, trial, NULL, &error));
}

static double rate_of(const oxt_growth *growth, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    double rate = 0.0;
    OK(oxt_rate(growth, bath_K, &rate, &error));
    return rate;
}

/* A log that is told how its coupons were run is the log whose rows say so: plates of 2 mm with a lift of 3 s, of which
 * one states that it was a bar of 8 mm, lifted in 5 s. */
Test(fit_history, a_log_is_told_how_its_coupons_were_run)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = truth();
    oxt_trials *stated = new_log(), *told = new_log();
    oxt_part plate = OXT_PART_INIT, bar = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT, slow = OXT_LIFT_INIT;
    plate.size_m = 0.002;
    bar.size_m = 0.008;
    bar.shape = OXT_SHAPE_CYLINDER;
    lift.delay_s = 3.0;
    slow.delay_s = 5.0;
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = trial_at(560.0 + 20.0 * (double)(i % 3), 60.0 + 20.0 * (double)i);
        bool is_bar = i == 5;
        trial.seen = OXT_SEEN_THICKNESS;
        trial.thickness_nm = sqrt(grown_nm2(&growth, is_bar ? &bar : &plate, is_bar ? &slow : &lift,
                                            trial.bath_K, trial.time_s));
        if (is_bar) {
            trial.part_size_m = bar.size_m;
            trial.part_shape = bar.shape;
            trial.lift_s = slow.delay_s;
        }
        add(told, &trial);
        trial.part_size_m = is_bar ? bar.size_m : plate.size_m;
        trial.lift_s = is_bar ? slow.delay_s : lift.delay_s;
        add(stated, &trial);
    }
    OK(oxt_trials_set_coupon(told, &plate, &lift, &error));
    oxt_fit *fit = new_fit(told, NULL), *other = new_fit(stated, NULL);
    oxt_fit_values found = values_of_fit(fit), known = values_of_fit(other);
    cr_assert(found.growth.k_ref_nm2_per_s == known.growth.k_ref_nm2_per_s);
    cr_assert(found.growth.Q_J_per_mol == known.growth.Q_J_per_mol);
    CLOSE(rate_of(&found.growth, 580.0), rate_of(&growth, 580.0), 1e-3);
    oxt_fit_free(fit);
    oxt_fit_free(other);

    oxt_trials *bars = new_log();
    oxt_trial film = trial_at(580.0, 60.0), one_bar = OXT_TRIAL_INIT;
    film.seen = OXT_SEEN_THICKNESS;
    film.thickness_nm = 40.0;
    add(bars, &film);
    OK(oxt_trials_set_coupon(bars, &bar, NULL, &error));
    OK(oxt_trials_get(bars, 0, &one_bar, &error));
    cr_assert(one_bar.part_shape == OXT_SHAPE_CYLINDER && one_bar.part_size_m == bar.size_m);
    oxt_trials_free(bars);

    /* said twice it stays; what a log has no place for, or no bath of it allows, changes nothing */
    plate.size_m = 0.004;
    OK(oxt_trials_set_coupon(told, &plate, NULL, &error));
    plate.flow = OXT_FLOW_STILL;
    FAILS(oxt_trials_set_coupon(told, &plate, NULL, &error), OXT_EARG);
    plate.flow = OXT_FLOW_STIRRED;
    plate.start_K = 561.0;
    FAILS(oxt_trials_set_coupon(told, &plate, NULL, &error), OXT_EDOMAIN);
    lift.delay_s = 3601.0;
    FAILS(oxt_trials_set_coupon(told, NULL, &lift, &error), OXT_EDOMAIN);
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial one = OXT_TRIAL_INIT;
        OK(oxt_trials_get(told, i, &one, &error));
        cr_assert_eq(one.part_size_m, i == 5 ? bar.size_m : 0.002);
        cr_assert_eq(one.part_shape, i == 5 ? OXT_SHAPE_CYLINDER : OXT_SHAPE_PLATE);
        cr_assert_eq(one.lift_s, i == 5 ? 5.0 : 3.0);
    }
    oxt_trials_free(stated);
    oxt_trials_free(told);
}

/* Round trip: what grew along each coupon's own road gives the constants back; taken for time at bath
 * temperature, the same coupons give others. */
Test(fit_history, the_constants_come_back)
{
    oxt_trials *log = new_log(), *blind = new_log();
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = coupon(i);
        add(log, &trial);
        trial.part_size_m = trial.part_start_K = trial.transfer_W_per_m2K = trial.lift_s = 0.0;
        trial.part_shape = OXT_SHAPE_PLATE;
        add(blind, &trial);
    }
    oxt_fit *fit = new_fit(log, NULL), *other = new_fit(blind, NULL);
    oxt_fit_values found = values_of_fit(fit), biased = values_of_fit(other);
    oxt_growth growth = truth();
    for (double bath_K = 550.0; bath_K <= 630.0; bath_K += 20.0)
        CLOSE(rate_of(&found.growth, bath_K), rate_of(&growth, bath_K), 1e-5);
    CLOSE(found.growth.Q_J_per_mol, 80e3, 1e-5);
    cr_assert(fabs(biased.growth.Q_J_per_mol - 80e3) > 3e3, "Q %g", biased.growth.Q_J_per_mol);
    cr_assert(biased.scatter > 10.0 * found.scatter);
    for (size_t i = 0; i < ROWS; i++) {
        oxt_fit_row row = row_of_fit(fit, i);
        oxt_trial trial = coupon(i);
        double equivalent_s = trial.thickness_nm * trial.thickness_nm /
                              rate_of(&growth, trial.bath_K);
        CLOSE(row.equivalent_s, equivalent_s, 1e-5);
        NEAR(row.residual, 0.0, 1e-5);
        CLOSE(row_of_fit(other, i).equivalent_s, trial.time_s, 1e-15);
    }
    oxt_fit_free(fit);
    oxt_fit_free(other);
    oxt_trials_free(log);
    oxt_trials_free(blind);
}

/* And so does the orthogonal fit, whose true baths and times lie on the same roads. */
Test(fit_history, errors_in_variables_go_along)
{
    oxt_trials *log = new_log();
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = coupon(i);
        trial.bath_sd_K = 2.0;
        trial.time_sd_s = 1.5;
        add(log, &trial);
    }
    for (int way = OXT_ERRORS_EFFECTIVE_VARIANCE; way <= OXT_ERRORS_ORTHOGONAL; way++) {
        options.errors_in_variables = (oxt_errors_in_variables)way;
        oxt_fit *fit = new_fit(log, &options);
        CLOSE(values_of_fit(fit).growth.Q_J_per_mol, 80e3, 1e-4);
        oxt_fit_free(fit);
    }
    oxt_trials_free(log);
}

/* A dip of the fitted steel needs no coupon: along the road of a part it grows the target. */
Test(fit_history, its_steel_needs_no_coupon)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = coupon(i);
        add(log, &trial);
    }
    oxt_fit *fit = new_fit(log, NULL);
    oxt_steel *steel;
    oxt_target blue = OXT_TARGET_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_part part = OXT_PART_INIT;
    const oxt_lift at_once = OXT_LIFT_INIT;
    oxt_growth growth = truth();
    double grown;
    part.size_m = 0.009;
    options.part = &part;
    options.lift = &at_once;
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_tint_target(default_film(), "blue", &blue, &error));
    OK(oxt_dip_predict(steel, &blue, 595.0, &options, &dip, &error));
    OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, 595.0, dip.time_s, &grown, &error));
    CLOSE(sqrt(grown), blue.aim_nm, 1e-5);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Contract: coupons of two kinds in one log are a warning. */
Test(fit_history, a_mixed_log_is_a_warning)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    char text[400];
    bool said = false;
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = coupon(i);
        if (i < 3)
            trial.part_size_m = trial.part_start_K = trial.transfer_W_per_m2K = trial.lift_s = 0.0;
        if (i < 3)
            trial.part_shape = OXT_SHAPE_PLATE;
        add(log, &trial);
    }
    oxt_fit *fit = new_fit(log, NULL);
    for (size_t i = 0; i < fit_warning_count(fit); i++) {
        OK(oxt_fit_warning(fit, i, text, sizeof text, NULL, &error));
        said = said || strstr(text, "3 of 12 trials state no part");
    }
    cr_assert(said);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Contract: what a row states of its errors overrides the options, and says the same. */
Test(fit_history, errors_of_a_row_go_before_the_options)
{
    oxt_trials *stated = new_log(), *plain = new_log(), *twice = new_log();
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT, none = OXT_FIT_OPTIONS_INIT;
    options.bath_sd_K = 2.5;
    options.time_sd_s = 1.5;
    options.thickness_uncertainty = 0.05;
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = trial_at(555.0 + 20.0 * (double)(i % 4), 40.0 + 11.0 * (double)i);
        trial.seen = OXT_SEEN_THICKNESS;
        oxt_growth growth = truth();
        oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, NULL);
        trial.thickness_nm *= exp(0.06 * sin(2.5 * (double)i));
        add(plain, &trial);
        trial.bath_sd_K = 2.5;
        trial.time_sd_s = 1.5;
        trial.thickness_sd_nm = 0.05 * trial.thickness_nm;
        add(stated, &trial);
        if (i == 4)
            trial.thickness_sd_nm *= 4.0;
        add(twice, &trial);
    }
    oxt_fit *by_row = new_fit(stated, &none), *by_option = new_fit(plain, &options);
    CLOSE(values_of_fit(by_row).growth.Q_J_per_mol, values_of_fit(by_option).growth.Q_J_per_mol,
          1e-9);
    CLOSE(values_of_fit(by_row).ln_k_stderr, values_of_fit(by_option).ln_k_stderr, 1e-9);
    oxt_fit *less_sure = new_fit(twice, &none);
    cr_assert(row_of_fit(less_sure, 4).sigma > row_of_fit(by_row, 4).sigma + 0.1);
    cr_assert(row_of_fit(less_sure, 4).leverage < row_of_fit(by_row, 4).leverage);
    oxt_fit_free(by_row);
    oxt_fit_free(by_option);
    oxt_fit_free(less_sure);
    oxt_trials_free(stated);
    oxt_trials_free(plain);
    oxt_trials_free(twice);
}

/* A colour that was read less surely is a wider stretch of film. */
Test(fit_history, a_colour_may_be_less_sure)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < 8; i++) {
        oxt_trial trial = trial_at(560.0 + 15.0 * (double)(i % 4), 45.0 + 12.0 * (double)i);
        double thickness_nm;
        oxt_growth growth = truth();
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &thickness_nm, &error));
        trial.seen = OXT_SEEN_LAB;
        OK(oxt_film_colour(default_film(), OXT_SPACE_LAB, thickness_nm, trial.lab, NULL, &error));
        trial.colour_tolerance = i == 5 ? 8.0 : 0.0;
        add(log, &trial);
    }
    oxt_fit *fit = new_fit(log, NULL);
    for (size_t i = 0; i < 8; i++)
        if (i != 5)
            cr_assert(row_of_fit(fit, 5).high_nm / row_of_fit(fit, 5).low_nm >
                      row_of_fit(fit, i).high_nm / row_of_fit(fit, i).low_nm);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}
