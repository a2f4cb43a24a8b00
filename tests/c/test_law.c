/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Growth by other laws than the parabolic one: limits, inverses, dips, a tracker, a card. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "support.h"
#include "growth/law.h"

static oxt_growth by_law(oxt_law law, double shape, double middle_nm)
{
    return (oxt_growth){ sizeof(oxt_growth), law, 40.0, 588.7, 80e3, shape, middle_nm, 0.0 };
}

static double film_after(const oxt_growth *growth, double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double film_nm = 0.0;
    OK(oxt_thickness(growth, bath_K, time_s, &film_nm, &error));
    return film_nm;
}

static double time_of(const oxt_growth *growth, double film_nm, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    double time_s = 0.0;
    OK(oxt_time_for_thickness(growth, film_nm, bath_K, &time_s, &error));
    return time_s;
}

static const struct {
    oxt_law law;
    double shape;
} laws[] = { { OXT_LAW_POWER, 1.0 },
             { OXT_LAW_POWER, 2.6 },
             { OXT_LAW_POWER, 12.0 },
             { OXT_LAW_LINEAR_PARABOLIC, 0.0 },
             { OXT_LAW_LINEAR_PARABOLIC, 30.0 },
             { OXT_LAW_LINEAR_PARABOLIC, 1e5 },
             { OXT_LAW_LOGARITHMIC, 12.0 },
             { OXT_LAW_LOGARITHMIC, 1e6 } };
enum { LAWS = sizeof laws / sizeof laws[0] };

/* The limits by their definition: n = 2 and A = 0 are the parabolic law; a very large A or L the linear one, whose film
 * grows as the time. */
Test(law, limits)
{
    const oxt_growth parabolic = by_law(OXT_LAW_PARABOLIC, 0.0, 0.0);
    for (double film_nm = 1.0; film_nm < 300.0; film_nm *= 1.7) {
        double time_s = time_of(&parabolic, film_nm, 600.0);
        const oxt_growth same[] = { by_law(OXT_LAW_POWER, 2.0, 45.0),
                                    by_law(OXT_LAW_LINEAR_PARABOLIC, 0.0, 45.0) };
        const oxt_growth linear[] = { by_law(OXT_LAW_POWER, 1.0, 45.0),
                                      by_law(OXT_LAW_LINEAR_PARABOLIC, 1e6, 45.0),
                                      by_law(OXT_LAW_LOGARITHMIC, 1e6, 45.0) };
        for (int i = 0; i < 2; i++)
            CLOSE(time_of(&same[i], film_nm, 600.0), time_s, 1e-12);
        for (int i = 0; i < 3; i++)
            CLOSE(time_of(&linear[i], film_nm, 600.0),
                  time_of(&parabolic, 45.0, 600.0) * film_nm / 45.0, 4e-4);
    }
}

/* Whatever the law, the middle film grows as by the parabolic one, a film comes back from its time, and time and rate are
 * those of one exposure. */
Test(law, the_middle_film_and_round_trips)
{
    const oxt_growth parabolic = by_law(OXT_LAW_PARABOLIC, 0.0, 0.0);
    for (size_t i = 0; i < LAWS; i++) {
        const oxt_growth growth = by_law(laws[i].law, laws[i].shape, 37.0);
        CLOSE(time_of(&growth, 37.0, 600.0), time_of(&parabolic, 37.0, 600.0), 1e-12);
        for (double film_nm = 1e-3; film_nm < 900.0; film_nm *= 3.1) {
            double time_s = time_of(&growth, film_nm, 600.0);
            if (time_s > 1e-300 && time_s < 1e300)
                CLOSE(film_after(&growth, 600.0, time_s), film_nm, 1e-11);
        }
        double ratio = time_of(&growth, 60.0, 600.0) / time_of(&growth, 60.0, 560.0);
        CLOSE(ratio, time_of(&parabolic, 60.0, 600.0) / time_of(&parabolic, 60.0, 560.0), 1e-12);
    }
}

/* Slopes by finite differences. */
Test(law, slopes)
{
    for (size_t i = 0; i < LAWS; i++)
        for (double film_nm = 5.0; film_nm < 200.0; film_nm *= 2.3) {
            oxt_growth growth = by_law(laws[i].law, laws[i].shape, 37.0), more = growth,
                       less = growth;
            double h = 1e-5;
            double up = oxt_i_exposure_of(&growth, film_nm * exp(h));
            double down = oxt_i_exposure_of(&growth, film_nm * exp(-h));
            CLOSE(oxt_i_exponent_of(&growth, film_nm), log(up / down) / (2.0 * h), 1e-6);
            more.shape *= exp(h);
            less.shape *= exp(-h);
            double slope = log(oxt_i_exposure_of(&more, film_nm) /
                               oxt_i_exposure_of(&less, film_nm)) /
                           (2.0 * h);
            NEAR(oxt_i_by_shape_of(&growth, film_nm), slope, 1e-5 * (1.0 + fabs(slope)));
        }
}

/* B. E. Deal and A. S. Grove, J. Appl. Phys. 36 (1965) 3770, for silicon in wet oxygen at 1200 C: A = 0.05 um and
 * B = 0.72 um^2/h (their table I, from memory), x^2 + A x = B t: half a micrometre after 0.38 h. */
Test(law, deal_and_grove)
{
    const double A_nm = 50.0, B_nm2_per_s = 0.72e6 / 3600.0, middle_nm = 300.0;
    oxt_growth growth = by_law(OXT_LAW_LINEAR_PARABOLIC, A_nm, middle_nm);
    growth.T_ref_K = 1473.15;
    growth.k_ref_nm2_per_s = B_nm2_per_s * middle_nm / (middle_nm + A_nm);
    NEAR(time_of(&growth, 500.0, 1473.15) / 3600.0, (0.25 + 0.025) / 0.72, 1e-12);
    NEAR(film_after(&growth, 1473.15, 0.38 * 3600.0), 499.0, 1.0);
}

/* ---- what goes on from it ---- */

static oxt_steel_values values_by(oxt_law law, double shape)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    strcpy(values.steel, "Alder 1");
    values.growth = by_law(law, shape, 45.0);
    values.variance_ln_k = 4e-4;
    values.scatter = 0.05;
    values.dof = 10.0;
    values.bath_low_K = 560.0;
    values.bath_high_K = 640.0;
    values.thickness_low_nm = 20.0;
    values.thickness_high_nm = 70.0;
    return values;
}

/* A dip, its window, and what is left on a film that is there are differences of one function of the film; a tracker that is
 * fed the bath at once agrees. */
Test(law, dips_and_a_tracker)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT, there = OXT_TARGET_INIT;
    OK(oxt_tint_target(default_film(), "blue", &target, &error));
    OK(oxt_tint_target_of_thickness(25.0, 25.0, 25.0, &there, &error));
    for (size_t i = 0; i < LAWS; i++) {
        oxt_steel_values values = values_by(laws[i].law, laws[i].shape);
        oxt_steel *steel;
        oxt_dip dip = OXT_DIP_INIT;
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        OK(oxt_steel_new(&steel, &values, &error));
        OK(oxt_dip_predict(steel, &target, 600.0, NULL, &dip, &error));
        double whole_s = time_of(&values.growth, target.aim_nm, 600.0);
        CLOSE(dip.time_s, whole_s, 1e-9);
        CLOSE(dip.earliest_s, time_of(&values.growth, target.low_nm, 600.0), 1e-9);
        CLOSE(dip.latest_s, time_of(&values.growth, target.high_nm, 600.0), 1e-9);
        options.initial = &there;
        OK(oxt_dip_predict(steel, &target, 600.0, &options, &dip, &error));
        CLOSE(dip.time_s, whole_s - time_of(&values.growth, 25.0, 600.0), 1e-9);
        oxt_track *tracker;
        oxt_track_state state = OXT_TRACK_STATE_INIT;
        oxt_track_options chosen = OXT_TRACK_OPTIONS_INIT;
        chosen.initial_nm = 25.0;
        OK(oxt_track_new(&tracker, steel, default_film(), &target, &chosen, &error));
        for (int step = 0; step <= 10; step++)
            OK(oxt_track_feed(tracker, dip.time_s * step / 10.0, 600.0, &error));
        OK(oxt_track_read(tracker, &state, &error));
        CLOSE(state.thickness_nm, target.aim_nm, 1e-9);
        oxt_track_free(tracker);
        oxt_steel_free(steel);
    }
}

/* The error of the shape counts away from the middle film: n within a tenth is for blue, 66 nm of 45, that of
 * n ln(66/45). */
Test(law, the_error_of_the_shape)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip without = OXT_DIP_INIT, with = OXT_DIP_INIT;
    oxt_steel *steel;
    oxt_steel_values values = values_by(OXT_LAW_POWER, 3.0);
    OK(oxt_tint_target_of_thickness(66.0, 60.0, 72.0, &target, &error));
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &target, 588.7, NULL, &without, &error));
    oxt_steel_free(steel);
    values.ln_shape_stderr = 0.1;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &target, 588.7, NULL, &with, &error));
    oxt_steel_free(steel);
    double t = 2.2281; /* Student's t of 10 degrees of freedom, printed tables */
    double in_shape = 0.1 * 3.0 * log(66.0 / 45.0);
    CLOSE(log(with.interval_high_s / with.time_s), t * sqrt(4e-4 + in_shape * in_shape), 1e-4);
    CLOSE(log(without.interval_high_s / without.time_s), t * 0.02, 1e-4);
}

/* Films that the trials did not cover are told by both laws. */
Test(law, a_film_beyond_the_trials_has_two_times)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target near = OXT_TARGET_INIT, far = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_steel *steel;
    oxt_steel_values values = values_by(OXT_LAW_POWER, 3.0);
    OK(oxt_tint_target_of_thickness(60.0, 55.0, 65.0, &near, &error));
    OK(oxt_tint_target_of_thickness(90.0, 85.0, 95.0, &far, &error));
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &near, 600.0, NULL, &dip, &error));
    cr_assert(!(dip.cautions & OXT_CAUTION_OTHER_LAW) && dip.law_time_s == dip.time_s);
    OK(oxt_dip_predict(steel, &far, 600.0, NULL, &dip, &error));
    cr_assert(dip.cautions & OXT_CAUTION_OTHER_LAW);
    CLOSE(dip.law_time_s / dip.time_s, 45.0 / 90.0, 1e-9); /* x^2 over x^3, alike at 45 nm */
    oxt_steel_free(steel);
}

/* Advised coupons show what the law of the card makes of their bath and time. */
Test(law, advice)
{
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < LAWS; i++) {
        oxt_steel_values values = values_by(laws[i].law, laws[i].shape);
        oxt_steel *steel;
        oxt_advise *advice;
        oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
        values.growth.middle_nm = 20.0; /* the colours that are advised are thicker */
        OK(oxt_steel_new(&steel, &values, &error));
        OK(oxt_advise_run(&advice, steel, default_film(), NULL, &error));
        for (size_t j = 0; j < 3; j++) {
            oxt_tint tint = OXT_TINT_INIT;
            OK(oxt_advise_get(advice, j, &coupon, &error));
            double film_nm = film_after(&values.growth, coupon.bath_K, coupon.time_s);
            CLOSE(coupon.thickness_nm, film_nm, 1e-9);
            OK(oxt_tint_at(default_film(), film_nm, &tint, &error));
            cr_assert_str_eq(coupon.label, tint.label);
        }
        oxt_advise_free(advice);
        oxt_steel_free(steel);
    }
}

/* A film that is there before the dip: no coupon is advised that would end below it. */
Test(law, advice_with_a_film_before)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = values_by(OXT_LAW_PARABOLIC, 0.0);
    oxt_steel *steel;
    oxt_advise *advice;
    oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    values.growth.initial_nm = 40.0;
    values.growth.middle_nm = 60.0;
    options.shortest_s = 1.0;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_advise_run(&advice, steel, default_film(), &options, &error));
    for (size_t j = 0; j < 3; j++) {
        OK(oxt_advise_get(advice, j, &coupon, &error));
        cr_assert(coupon.thickness_nm > 40.0, "%g nm", coupon.thickness_nm);
        CLOSE(coupon.thickness_nm, film_after(&values.growth, coupon.bath_K, coupon.time_s), 1e-9);
    }
    oxt_advise_free(advice);
    oxt_steel_free(steel);
}

/* A card keeps its law. */
Test(law, a_card_keeps_its_law)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = values_by(OXT_LAW_LOGARITHMIC, 21.5), read = OXT_STEEL_VALUES_INIT;
    oxt_steel *steel, *again;
    char card[4000];
    size_t needed = 0;
    values.ln_shape_stderr = 0.25;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_steel_save_text(steel, card, sizeof card, &needed, &error));
    cr_assert(strstr(card, "\"law\": \"logarithmic\""), "%s", card);
    OK(oxt_steel_load(&again, NULL, card, needed, &error));
    OK(oxt_steel_get(again, &read, &error));
    cr_assert(read.growth.law == OXT_LAW_LOGARITHMIC && read.growth.shape == 21.5 &&
              read.growth.middle_nm == 45.0 && read.ln_shape_stderr == 0.25);
    oxt_steel_free(again);
    oxt_steel_free(steel);
    char *law = strstr(card, "logarithmic");
    memcpy(law, "paralinear!", 11);
    FAILS(oxt_steel_load(&again, NULL, card, needed, &error), OXT_EPARSE);
    SAYS("expected parabolic, power, linear-parabolic or logarithmic");
}

/* ---- fits ---- */

static oxt_trials *log_by(const oxt_growth *growth, double off)
{
    oxt_trials *log = new_log();
    for (int i = 0; i < 18; i++) {
        double bath_K = 560.0 + 25.0 * (i % 3), aim_nm = 18.0 + 4.0 * i;
        double time_s = time_of(growth, aim_nm, bath_K);
        add_thickness(log, bath_K, time_s, aim_nm * exp(i % 2 ? off : -off));
    }
    return log;
}

Test(law, a_fit_gives_each_law_back)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int held = 0; held < 2; held++)
        for (size_t i = 0; i < LAWS; i++) {
            if (laws[i].shape == 0.0 || laws[i].shape > 1e4 || laws[i].shape == 1.0 ||
                laws[i].shape == 12.0)
                continue; /* at a limit */
            const oxt_growth truth = by_law(laws[i].law, laws[i].shape, 45.0);
            oxt_trials *log = log_by(&truth, 0.0);
            oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
            oxt_fit *fit;
            options.law = truth.law;
            options.law_middle_nm = 45.0;
            options.law_shape = held ? truth.shape : 0.0;
            options.scatter = 0.0;
            OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
            oxt_fit_values values = values_of_fit(fit);
            CLOSE(values.growth.shape, truth.shape, held ? 1e-12 : 3e-3);
            CLOSE(values.growth.Q_J_per_mol, 80e3, held ? 1e-9 : 1e-3);
            CLOSE(time_of(&values.growth, 60.0, 600.0), time_of(&truth, 60.0, 600.0),
                  held ? 1e-9 : 1e-3);
            cr_assert((values.ln_shape_stderr == 0.0) == held);
            oxt_fit_free(fit);
            oxt_trials_free(log);
        }
}

Test(law, what_a_fit_by_a_law_needs)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth truth = by_law(OXT_LAW_POWER, 2.6, 45.0);
    oxt_trials *log = log_by(&truth, 0.02), *few = new_log();
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit = NULL;
    for (int i = 0; i < 5; i++)
        add_thickness(few, 560.0 + 25.0 * (i % 3), 30.0 + 20.0 * i, 20.0 + 9.0 * i);
    options.law = OXT_LAW_POWER;
    FAILS(oxt_fit_run(&fit, few, default_film(), &options, &error), OXT_EFEW);
    SAYS("5 trials cannot determine the shape of a law besides the constants");
    options.law_shape = 2.6;
    OK(oxt_fit_run(&fit, few, default_film(), &options, &error));
    oxt_fit_free(fit);
    options.law_shape = 13.0;
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EDOMAIN);
    options.law_shape = 0.0;
    options.ln_shape_sd = 0.2;
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("expected the shape that it is about");
    options.ln_shape_sd = 0.0;
    options.reader_sd = 0.1;
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    options.reader_sd = 0.0;
    options.law = (oxt_law)7;
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    oxt_trials_free(log);
    oxt_trials_free(few);
}

/* A prior of the shape draws it, the more the surer it is. */
Test(law, a_prior_of_the_shape)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth truth = by_law(OXT_LAW_POWER, 2.6, 45.0);
    oxt_trials *log = log_by(&truth, 0.05);
    double before = 0.0;
    for (int i = 0; i < 4; i++) {
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        oxt_fit *fit;
        options.law = OXT_LAW_POWER;
        options.law_shape = 4.0;
        options.ln_shape_sd = pow(10.0, -i);
        OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
        oxt_fit_values values = values_of_fit(fit);
        cr_assert(values.growth.shape > before && values.growth.shape < 4.0001, "%g",
                  values.growth.shape);
        cr_assert(values.ln_shape_stderr <= 1.01 * options.ln_shape_sd);
        before = values.growth.shape;
        oxt_fit_free(fit);
    }
    cr_assert(before > 3.9);
    oxt_trials_free(log);
}

/* Each replicate draws anew what is known of the shape. Of exact films nothing else varies, and the shape found is a mean
 * of prior and coupons: it moves by the share of the prior, stderr^2 / sd^2, of what was drawn. */
Test(law, a_bootstrap_draws_the_prior_of_the_shape)
{
    enum { COUNT = 400 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth truth = by_law(OXT_LAW_POWER, 2.6, 45.0);
    oxt_trials *log = new_log();
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_bootstrap_options chosen = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_fit *fit;
    for (int i = 0; i < 12; i++) {
        double bath_K = 560.0 + 25.0 * (i % 3), aim_nm = 40.0 + i;
        add_thickness(log, bath_K, time_of(&truth, aim_nm, bath_K), aim_nm);
    }
    options.law = OXT_LAW_POWER;
    options.law_shape = 2.6;
    options.ln_shape_sd = 0.1;
    options.scatter = 0.06;
    OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
    chosen.replicates = COUNT;
    chosen.kind = OXT_BOOTSTRAP_RESIDUAL;
    oxt_bootstrap *made;
    oxt_bootstrap_values drawn = OXT_BOOTSTRAP_VALUES_INIT;
    OK(oxt_bootstrap_run(&made, fit, &chosen, &error));
    OK(oxt_bootstrap_get(made, &drawn, 0, NULL, NULL, NULL, &error));
    double sd = values_of_fit(fit).ln_shape_stderr;
    cr_assert(sd > 0.05 && sd < 0.1);
    CLOSE(drawn.sd_ln_shape, sd * sd / 0.1, 0.12);
    oxt_laws *compared;
    FAILS(oxt_laws_run(&compared, fit, NULL, &error), OXT_EARG);
    SAYS("the fit is by the power law, expected one by the parabolic law");
    oxt_bootstrap_free(made);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* Of 18 coupons with a scatter of 2 % each law is recognised, and the parabolic one stays where it holds. */
Test(law, the_law_that_the_trials_show)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth truths[] = { by_law(OXT_LAW_PARABOLIC, 0.0, 0.0),
                                  by_law(OXT_LAW_POWER, 3.2, 45.0),
                                  by_law(OXT_LAW_LOGARITHMIC, 15.0, 45.0) };
    for (int i = 0; i < 3; i++) {
        oxt_trials *log = log_by(&truths[i], 0.02);
        oxt_fit *fit;
        OK(oxt_laws_fit(&fit, log, default_film(), NULL, &error));
        oxt_fit_values values = values_of_fit(fit);
        cr_assert_eq(values.growth.law, truths[i].law, "%d: %d", i, (int)values.growth.law);
        bool said = false;
        for (size_t j = 0; j < values.warning_count; j++) {
            char text[400];
            OK(oxt_fit_warning(fit, j, text, sizeof text, NULL, &error));
            said = said || strstr(text, "which of all laws agrees best");
        }
        cr_assert_eq(said, i > 0);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    /* a law that agrees a little better is no reason where the parabolic one is not contradicted */
    int unproven = 0;
    for (double n = 2.05; n < 2.4; n += 0.05) {
        const oxt_growth near = by_law(OXT_LAW_POWER, n, 45.0);
        oxt_trials *log = log_by(&near, 0.1);
        oxt_fit *usual, *shown;
        oxt_laws *compared;
        oxt_laws_values found = OXT_LAWS_VALUES_INIT;
        OK(oxt_fit_run(&usual, log, default_film(), NULL, &error));
        OK(oxt_laws_run(&compared, usual, NULL, &error));
        OK(oxt_laws_get(compared, &found, &error));
        OK(oxt_laws_fit(&shown, log, default_film(), NULL, &error));
        bool proven = found.verdict == OXT_VERDICT_CONTRADICTED;
        unproven += !proven && found.best != OXT_LAW_PARABOLIC;
        cr_assert_eq(values_of_fit(shown).growth.law, proven ? found.best : OXT_LAW_PARABOLIC);
        oxt_laws_free(compared);
        oxt_fit_free(usual);
        oxt_fit_free(shown);
        oxt_trials_free(log);
    }
    cr_assert(unproven > 0);
    oxt_trials *few = new_log();
    oxt_fit *fit;
    for (int i = 0; i < 4; i++)
        add_thickness(few, 560.0 + 25.0 * (i % 3), 30.0 + 20.0 * i, 20.0 + 9.0 * i);
    OK(oxt_laws_fit(&fit, few, default_film(), NULL, &error));
    cr_assert_eq(values_of_fit(fit).growth.law, OXT_LAW_PARABOLIC);
    oxt_fit_free(fit);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.law = OXT_LAW_POWER;
    FAILS(oxt_laws_fit(&fit, few, default_film(), &options, &error), OXT_EARG);
    SAYS("expected neither");
    oxt_trials_free(few);
}

/* Each replicate of a bootstrap has its own shape: limits of a dip widen away from the middle film, and a spread is of
 * times by the constants and the shape of each. */
Test(law, a_bootstrap_finds_the_shape)
{
    enum { COUNT = 300 };
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth truth = by_law(OXT_LAW_POWER, 2.6, 45.0);
    oxt_trials *trials = log_by(&truth, 0.05);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_bootstrap_options chosen = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_fit *fit;
    options.law = OXT_LAW_POWER;
    OK(oxt_fit_run(&fit, trials, default_film(), &options, &error));
    oxt_fit_values values = values_of_fit(fit);
    chosen.replicates = COUNT;
    for (int kind = 0; kind < 2; kind++) {
        oxt_bootstrap *made;
        oxt_bootstrap_values drawn = OXT_BOOTSTRAP_VALUES_INIT;
        double ln_k[COUNT], Q[COUNT], shape[COUNT], time_s[COUNT], width[2];
        chosen.kind = (oxt_bootstrap_kind)kind;
        OK(oxt_bootstrap_run(&made, fit, &chosen, &error));
        OK(oxt_bootstrap_get(made, &drawn, COUNT, ln_k, Q, shape, &error));
        cr_assert(drawn.law == OXT_LAW_POWER && drawn.law_shape == values.growth.shape);
        cr_assert(fabs(log(drawn.sd_ln_shape / values.ln_shape_stderr)) < 0.5);
        for (int i = 0; i < 2; i++) {
            double low, high;
            OK(oxt_bootstrap_interval(made, OXT_INTERVAL_DIP_TIME, 600.0,
                                      i ? 90.0 : values.growth.middle_nm, 0.95,
                                      OXT_BOOTSTRAP_PERCENTILE, &low, &high, &error));
            width[i] = log(high / low);
        }
        cr_assert(width[1] > 1.1 * width[0]);
        oxt_steel *steel;
        oxt_target target = OXT_TARGET_INIT;
        OK(oxt_tint_target_of_thickness(60.0, 58.0, 62.0, &target, &error));
        OK(oxt_fit_steel(fit, &steel, &error));
        OK(oxt_chart_spread(steel, made, &target, 600.0, NULL, COUNT, time_s, NULL, &error));
        for (size_t i = 0; i < COUNT; i++) {
            oxt_growth growth = values.growth;
            growth.k_ref_nm2_per_s = exp(ln_k[i]);
            growth.Q_J_per_mol = Q[i];
            growth.shape = shape[i];
            CLOSE(time_s[i], time_of(&growth, 60.0, 600.0), 1e-9);
        }
        oxt_steel_free(steel);
        oxt_bootstrap_free(made);
    }
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

/* ---- a film before the dip ---- */

static oxt_growth with_initial(oxt_law law, double shape, double initial_nm)
{
    oxt_growth growth = by_law(law, shape, 45.0);
    growth.initial_nm = initial_nm;
    return growth;
}

/* x^2 = x0^2 + k t by its definition, with k that of the middle film: its time is that of bare steel. */
Test(law, a_film_before_the_dip)
{
    const oxt_growth bare = by_law(OXT_LAW_PARABOLIC, 0.0, 0.0),
                     there = with_initial(OXT_LAW_PARABOLIC, 0.0, 15.0);
    oxt_error error = OXT_ERROR_INIT;
    double rate, films_nm[2], baths_K[2] = { 600.0, 620.0 };
    OK(oxt_rate(&bare, 600.0, &rate, &error));
    double own = rate * (45.0 * 45.0 - 15.0 * 15.0) / (45.0 * 45.0);
    CLOSE(time_of(&there, 45.0, 600.0), time_of(&bare, 45.0, 600.0), 1e-12);
    NEAR(film_after(&there, 600.0, 0.0), 15.0, 1e-12);
    for (double time_s = 1.0; time_s < 1e5; time_s *= 3.0)
        CLOSE(film_after(&there, 600.0, time_s), sqrt(15.0 * 15.0 + own * time_s), 1e-12);
    cr_assert(time_of(&there, 14.0, 600.0) == 0.0 && time_of(&there, 15.0, 600.0) < 1e-9);
    OK(oxt_thickness_n(&there, 2, baths_K, sizeof(double), &(double){ 60.0 }, 0, films_nm, NULL,
                       &error));
    for (int i = 0; i < 2; i++)
        CLOSE(films_nm[i], film_after(&there, baths_K[i], 60.0), 1e-15);
    double grown_nm;
    OK(oxt_thickness_of_exposure(&there, 30.0, 100.0, &grown_nm, &error));
    CLOSE(grown_nm, sqrt(900.0 + 100.0 * own / rate), 1e-12);
    for (size_t i = 0; i < LAWS; i++) { /* under every law G(x) = G(x0) + E, by that law's own G */
        const oxt_growth plain = by_law(laws[i].law, laws[i].shape, 45.0),
                         with = with_initial(laws[i].law, laws[i].shape, 12.0);
        double part = time_of(&plain, 12.0, 600.0), whole = time_of(&plain, 45.0, 600.0);
        for (double film_nm = 13.0; film_nm < 120.0; film_nm *= 1.5)
            CLOSE(time_of(&with, film_nm, 600.0),
                  (time_of(&plain, film_nm, 600.0) - part) * whole / (whole - part), 1e-9);
        CLOSE(film_after(&with, 600.0, time_of(&with, 70.0, 600.0)), 70.0, 1e-9);
    }
}

/* Slopes by finite differences. */
Test(law, slopes_with_a_film_before)
{
    for (size_t i = 0; i < LAWS; i++)
        for (double film_nm = 18.0; film_nm < 200.0; film_nm *= 2.3) {
            oxt_growth growth = with_initial(laws[i].law, laws[i].shape, 12.0), more = growth,
                       less = growth, plain = growth;
            const double h = 1e-5;
            double up = oxt_i_exposure_of(&growth, film_nm * exp(h));
            double down = oxt_i_exposure_of(&growth, film_nm * exp(-h));
            CLOSE(oxt_i_exponent_of(&growth, film_nm), log(up / down) / (2.0 * h), 1e-5);
            more.shape *= exp(h);
            less.shape *= exp(-h);
            double slope = log(oxt_i_exposure_of(&more, film_nm) /
                               oxt_i_exposure_of(&less, film_nm)) /
                           (2.0 * h);
            NEAR(oxt_i_by_shape_of(&growth, film_nm), slope, 1e-4 * (1.0 + fabs(slope)));
            more = less = growth;
            plain.initial_nm = 0.0;
            double initial_nm2 = oxt_i_exposure_of(&plain, 12.0), step_nm2 = 1e-4 * initial_nm2;
            oxt_i_put_initial(&more, initial_nm2 + step_nm2);
            oxt_i_put_initial(&less, initial_nm2 - step_nm2);
            slope = (oxt_i_ln_exposure_of(&more, film_nm) - oxt_i_ln_exposure_of(&less, film_nm)) /
                    (2.0 * step_nm2);
            NEAR(oxt_i_by_initial_of(&growth, film_nm), slope, 1e-7 + 1e-4 * fabs(slope));
            NEAR(oxt_i_by_initial_of(&growth, 45.0), 0.0, 1e-12);
        }
}

/* Less than nothing is for slopes: what grows on it is what grows beyond nothing, and as much again. */
Test(law, less_than_nothing)
{
    oxt_growth growth = with_initial(OXT_LAW_PARABOLIC, 0.0, 0.0);
    oxt_i_put_initial(&growth, -225.0);
    cr_assert_eq(growth.initial_nm, -15.0);
    CLOSE(oxt_i_exposure_of(&growth, 30.0), (900.0 + 225.0) * 2025.0 / (2025.0 + 225.0), 1e-12);
    oxt_i_put_initial(&growth, 225.0);
    cr_assert_eq(growth.initial_nm, 15.0);
}

/* A dip, a tracker and a card have it; its error is that of the exposure beyond it, d ln (x^2 - x0^2) beside that of the
 * middle film, and nothing at the middle film. */
Test(law, dips_with_a_film_before)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = values_by(OXT_LAW_PARABOLIC, 0.0), read = OXT_STEEL_VALUES_INIT;
    oxt_target target = OXT_TARGET_INIT, thin = OXT_TARGET_INIT;
    oxt_dip without = OXT_DIP_INIT, with = OXT_DIP_INIT;
    oxt_steel *steel, *again;
    char card[4000];
    size_t needed;
    OK(oxt_tint_target_of_thickness(66.0, 60.0, 72.0, &target, &error));
    OK(oxt_tint_target_of_thickness(13.0, 12.0, 14.0, &thin, &error));
    values.growth = with_initial(OXT_LAW_PARABOLIC, 0.0, 15.0);
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &target, 588.7, NULL, &without, &error));
    CLOSE(without.time_s, time_of(&values.growth, 66.0, 588.7), 1e-12);
    NEAR(without.initial_nm, 15.0, 1e-12);
    FAILS(oxt_dip_predict(steel, &thin, 588.7, NULL, &with, &error), OXT_EUNREACHABLE);
    SAYS("have a film of 15.0 nm before the dip");
    oxt_steel_free(steel);
    values.initial_stderr_nm2 = 100.0;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &target, 588.7, NULL, &with, &error));
    double t = 2.2281; /* Student's t of 10 degrees of freedom, printed tables */
    double in_initial = 100.0 * (1.0 / (45.0 * 45.0 - 225.0) - 1.0 / (66.0 * 66.0 - 225.0));
    CLOSE(log(without.interval_high_s / without.time_s), t * 0.02, 1e-4);
    CLOSE(log(with.interval_high_s / with.time_s), t * hypot(0.02, in_initial), 1e-4);
    oxt_track *tracker;
    oxt_track_state state = OXT_TRACK_STATE_INIT;
    OK(oxt_track_new(&tracker, steel, default_film(), &target, NULL, &error));
    for (int step = 0; step <= 10; step++)
        OK(oxt_track_feed(tracker, with.time_s * step / 10.0, 588.7, &error));
    OK(oxt_track_read(tracker, &state, &error));
    CLOSE(state.thickness_nm, 66.0, 1e-9);
    oxt_track_free(tracker);
    OK(oxt_steel_save_text(steel, card, sizeof card, &needed, &error));
    OK(oxt_steel_load(&again, NULL, card, needed, &error));
    OK(oxt_steel_get(again, &read, &error));
    cr_assert(read.growth.initial_nm == 15.0 && read.growth.middle_nm == 45.0 &&
              read.initial_stderr_nm2 == 100.0);
    oxt_steel_free(again);
    oxt_steel_free(steel);
    values.growth.initial_nm = 45.0;
    FAILS(oxt_steel_new(&steel, &values, &error), OXT_EDOMAIN);
    SAYS("expected a film thinner than the middle one");
    values.growth.initial_nm = 15.0;
    values.growth.middle_nm = 0.0;
    FAILS(oxt_steel_new(&steel, &values, &error), OXT_EDOMAIN);
}

/* Exact coupons give it back, under every law that is held, and films that lie close together or few of them do not show
 * it. */
Test(law, a_fit_finds_the_film_before)
{
    oxt_error error = OXT_ERROR_INIT;
    const struct {
        oxt_law law;
        double shape;
    } held[] = { { OXT_LAW_PARABOLIC, 0.0 },
                 { OXT_LAW_POWER, 2.6 },
                 { OXT_LAW_LINEAR_PARABOLIC, 30.0 },
                 { OXT_LAW_LOGARITHMIC, 12.0 } };
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit;
    options.with_initial = 1;
    options.scatter = 1e-3;
    for (int i = 0; i < 4; i++) {
        const oxt_growth truth = with_initial(held[i].law, held[i].shape, 14.0);
        oxt_trials *log = log_by(&truth, 0.0);
        options.law = held[i].law;
        options.law_shape = held[i].shape;
        OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
        oxt_fit_values values = values_of_fit(fit);
        NEAR(values.growth.initial_nm, 14.0, 0.1);
        CLOSE(time_of(&values.growth, 60.0, 600.0), time_of(&truth, 60.0, 600.0), 2e-3);
        cr_assert(values.initial_stderr_nm2 > 0.0 && values.time_exponent_stderr == 0.0);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
    options.law = OXT_LAW_PARABOLIC;
    options.law_shape = 0.0;
    const oxt_growth bare = by_law(OXT_LAW_PARABOLIC, 0.0, 0.0);
    oxt_trials *close = new_log(), *few = new_log(), *log = log_by(&bare, 0.0);
    for (int i = 0; i < 12; i++)
        add_thickness(close, 560.0 + 25.0 * (i % 3),
                      time_of(&bare, 30.0 + i, 560.0 + 25.0 * (i % 3)), 30.0 + i);
    for (int i = 0; i < 5; i++)
        add_thickness(few, 560.0 + 25.0 * (i % 3), 30.0 + 20.0 * i, 20.0 + 9.0 * i);
    OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
    NEAR(values_of_fit(fit).growth.initial_nm, 0.0, 3.0);
    oxt_laws *compared;
    FAILS(oxt_laws_run(&compared, fit, NULL, &error), OXT_EARG);
    SAYS("has a film before the dips");
    oxt_fit_free(fit);
    FAILS(oxt_fit_run(&fit, close, default_film(), &options, &error), OXT_EIDENT);
    SAYS("the films of the trials lie within a factor of 1.37");
    FAILS(oxt_fit_run(&fit, few, default_film(), &options, &error), OXT_EFEW);
    SAYS("5 trials cannot determine the film before the dips");
    FAILS(oxt_laws_fit(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("with_initial is 1, expected 0 where the trials choose the law");
    options.law = OXT_LAW_POWER;
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("expected law_shape as well, held");
    options.with_initial = 2;
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("with_initial is 2, expected 0 or 1");
    oxt_trials_free(close);
    oxt_trials_free(few);
    oxt_trials_free(log);
}

/* Errors beside a film that was there before are those of three parameters, by J^T J of any text on least squares: ln k of
 * the middle film M, Q, and s = x0^2. Half the logarithm of the time is that of (x^2 - s) M^2/(M^2 - s) over k; in it the
 * scatter is as stated, and an error of the thickness x^2/(x^2 - s) times its own. */
Test(law, errors_with_a_film_before_are_those_of_three_parameters)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth truth = with_initial(OXT_LAW_PARABOLIC, 0.0, 14.0);
    const double s = 14.0 * 14.0;
    oxt_trials *log = log_by(&truth, 0.0);
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit;
    double square[9] = { 0.0 };
    options.with_initial = 1;
    options.scatter = 0.05;
    options.law_middle_nm = 25.0; /* where an error of s is one of ln k too */
    OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
    const oxt_fit_values v = values_of_fit(fit);
    const double middle2 = v.growth.middle_nm * v.growth.middle_nm;
    for (size_t i = 0; i < v.row_count; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(log, i, &trial, &error));
        double x2 = trial.thickness_nm * trial.thickness_nm;
        double sd = hypot(0.05, 0.02 * x2 / (x2 - s));
        const double row[] = { 0.5 / sd,
                               0.5e4 * (1.0 / v.growth.T_ref_K - 1.0 / trial.bath_K) /
                                   OXT_GAS_CONSTANT_J_PER_MOL_K / sd,
                               50.0 * (1.0 / (x2 - s) - 1.0 / (middle2 - s)) / sd };
        for (int j = 0; j < 9; j++)
            square[j] += row[j / 3] * row[j % 3];
    }
    gsl_matrix_view of = gsl_matrix_view_array(square, 3, 3);
    gsl_linalg_cholesky_decomp1(&of.matrix);
    gsl_linalg_cholesky_invert(&of.matrix);
    CLOSE(v.ln_k_stderr, sqrt(square[0]), 0.02);
    CLOSE(v.Q_stderr_J_per_mol, 1e4 * sqrt(square[4]), 0.02);
    CLOSE(v.initial_stderr_nm2, 100.0 * sqrt(square[8]), 0.02);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* ---- reports ---- */

static void report_says(const oxt_fit *fit, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    char report[8000];
    OK(oxt_fit_report(fit, OXT_UNIT_KELVIN, report, sizeof report, NULL, &error));
    cr_assert(strstr(report, words), "%s\nlacks: %s", report, words);
}

/* The limits of a shape are those of its logarithm, those of a film those of its square: by Student's t. */
Test(law, the_report_gives_shape_and_film_before_with_limits)
{
    oxt_error error = OXT_ERROR_INIT;
    char words[300];
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit;
    const struct {
        oxt_law law;
        double shape;
        const char *name, *unit;
    } wanted[] = { { OXT_LAW_POWER, 2.6, "power law, n", "" },
                   { OXT_LAW_LINEAR_PARABOLIC, 30.0, "linear-parabolic law, A", " nm" },
                   { OXT_LAW_LOGARITHMIC, 25.0, "logarithmic law, L", " nm" } };
    for (int i = 0; i < 3; i++)
        for (int held = 0; held < 2; held++) {
            const oxt_growth truth = by_law(wanted[i].law, wanted[i].shape, 45.0);
            oxt_trials *log = log_by(&truth, 0.01);
            options.law = wanted[i].law;
            options.law_middle_nm = 45.0;
            options.law_shape = held ? wanted[i].shape : 0.0;
            OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
            const oxt_fit_values v = values_of_fit(fit);
            const double off = exp(gsl_cdf_tdist_Pinv(0.975, v.dof) * v.ln_shape_stderr);
            int length = snprintf(words, sizeof words, "  %s = %.3g%s", wanted[i].name,
                                  v.growth.shape, wanted[i].unit);
            if (!held)
                length += snprintf(words + length, sizeof words - (size_t)length,
                                   " (95 %%: %.3g to %.3g)", v.growth.shape / off,
                                   v.growth.shape * off);
            snprintf(words + length, sizeof words - (size_t)length,
                     "; k_ref is that of the middle film, 45 nm\n");
            report_says(fit, words);
            oxt_fit_free(fit);
            oxt_trials_free(log);
        }
    /* a film that the trials show, and one whose limit is none at all */
    for (int i = 0; i < 2; i++) {
        const double initial_nm = i ? 4.0 : 14.0;
        const oxt_growth truth = with_initial(OXT_LAW_PARABOLIC, 0.0, initial_nm);
        oxt_trials *log = log_by(&truth, 0.01);
        options = (oxt_fit_options)OXT_FIT_OPTIONS_INIT;
        options.with_initial = 1;
        OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
        const oxt_fit_values v = values_of_fit(fit);
        const double nm2 = pow(v.growth.initial_nm, 2.0);
        const double off = gsl_cdf_tdist_Pinv(0.975, v.dof) * v.initial_stderr_nm2;
        cr_assert((off > nm2) == (i == 1), "%g of %g", off, nm2);
        snprintf(words, sizeof words,
                 "  film before the dips: %.3g nm (95 %%: %.3g to %.3g); k_ref is that of the "
                 "middle film, %.3g nm\n",
                 v.growth.initial_nm, sqrt(fmax(nm2 - off, 0.0)), sqrt(nm2 + off),
                 v.growth.middle_nm);
        report_says(fit, words);
        oxt_fit_free(fit);
        oxt_trials_free(log);
    }
}
