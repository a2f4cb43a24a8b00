/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure a dip is while it happens, and how it survives a restart of the program. */
#include <gsl/gsl_cdf.h>
#include <stdio.h>
#include <string.h>

#include "support.h"

static const double BATH_K = 588.7, DAY_SD = 0.02;

/* A tracker of a steel with other constants, all else as some_steel has it. */
static oxt_track *tracker_with(double ln_k_shift, double Q_shift, const oxt_track_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_target blue = target_of("blue");
    oxt_steel *steel;
    oxt_track *made;
    values.covariance_J_per_mol = -50.0;
    values.day_sd = DAY_SD;
    values.growth.k_ref_nm2_per_s *= exp(ln_k_shift);
    values.growth.Q_J_per_mol += Q_shift;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_track_new(&made, steel, default_film(), &blue, options, &error));
    oxt_steel_free(steel);
    return made;
}

static void feed(oxt_track *tracker, double time_s, double temperature_K)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_track_feed(tracker, time_s, temperature_K, &error));
}

static oxt_track_state reading(const oxt_track *tracker)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    OK(oxt_track_read(tracker, &now, &error));
    return now;
}

/* ---- chances ---- */

static oxt_dip dip_of(const oxt_dip_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_target blue = target_of("blue");
    oxt_steel *steel;
    oxt_dip dip = OXT_DIP_INIT;
    values.covariance_J_per_mol = -50.0;
    values.day_sd = DAY_SD;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_dip_predict(steel, &blue, BATH_K + 20.0, options, &dip, &error));
    oxt_steel_free(steel);
    return dip;
}

/* At the moment of entering nothing is known but what a prediction knows: the two must agree, whatever wanders. Of
 * a part that warms up the prediction varies the whole path: 1 %. */
Test(track_chance, begins_as_the_prediction)
{
    const double wanders_s[] = { 0.0, 6.0 }, sizes_m[] = { 0.0, 0.006 },
                 confidences[] = { 0.0, 0.8 };
    for (int i = 0; i < 8; i++) {
        oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
        oxt_dip_options predicted = OXT_DIP_OPTIONS_INIT;
        oxt_part part = OXT_PART_INIT;
        oxt_bath bath = OXT_BATH_INIT;
        bath.thermometer_sd_K = i & 4 ? 3.0 : 0.0;
        part.size_m = sizes_m[i & 1];
        options.part = predicted.part = &part;
        options.salt_bath = predicted.salt_bath = &bath;
        options.bath_K = BATH_K + 20.0;
        options.time_wander_s = predicted.time_wander_s = wanders_s[i >> 1 & 1];
        options.confidence = confidences[i >> 2];
        predicted.confidence = options.confidence == 0.0 ? 0.95 : options.confidence;
        oxt_dip dip = dip_of(&predicted);
        oxt_track *tracker = tracker_with(0.0, 0.0, &options);
        cr_assert(isnan(reading(tracker).chance) && isnan(reading(tracker).chance_now));
        feed(tracker, 0.0, BATH_K + 20.0);
        oxt_track_state now = reading(tracker);
        double near = i & 1 ? 0.01 : 1e-9;
        cr_assert(now.chance_now < 1e-3, "%g", now.chance_now);
        CLOSE(now.chance, dip.chance, near);
        CLOSE(now.to_lift_s, dip.time_s, 1e-6);
        CLOSE(now.to_lift_low_s, dip.next_low_s, near);
        CLOSE(now.to_lift_high_s, dip.next_high_s, near);
        oxt_track_free(tracker);
    }
}

static double ramp(double time_s)
{
    return BATH_K - 25.0 + 0.5 * time_s;
}

/* Propagation of errors, by dips of steels whose constants are a little off: the slope of ln exposure with each. */
Test(track_chance, of_a_bath_that_changes)
{
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    options.time_wander_s = 2.0;
    oxt_track *as_is = tracker_with(0.0, 0.0, &options);
    oxt_track *steeper = tracker_with(0.0, 10.0, &options);
    for (int i = 0; i <= 600; i++) {
        feed(as_is, 0.1 * i, ramp(0.1 * i));
        feed(steeper, 0.1 * i, ramp(0.1 * i));
    }
    oxt_track_state now = reading(as_is);
    double by_Q = log(reading(steeper).exposure_nm2 / now.exposure_nm2) / 10.0;
    oxt_steel_values steel = some_steel();
    const double covariance = -50.0;
    oxt_target blue = target_of("blue");
    double rate = 0.0, exposure = now.exposure_nm2;
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_rate(&steel.growth, now.surface_K, &rate, &error));
    double of_fit = steel.variance_ln_k + 2.0 * by_Q * covariance +
                    by_Q * by_Q * steel.variance_Q_J2_per_mol2;
    double of_dip = 4.0 * (pow(steel.scatter, 2.0) + DAY_SD * DAY_SD);
    double in_time = pow(2.0 * rate / fmax(exposure, pow(blue.low_nm, 2.0)), 2.0);
    double variance = of_fit + of_dip + in_time, spread = sqrt(variance);
    /* the scatter is no better known than the constants, and wrong with them; the clock's error is known */
    double dof = steel.dof * pow(variance / (of_fit + of_dip), 2.0);
    double chance = gsl_cdf_tdist_P(log(pow(blue.high_nm, 2.0) / exposure) / spread, dof) -
                    gsl_cdf_tdist_P(log(pow(blue.low_nm, 2.0) / exposure) / spread, dof);
    cr_assert(chance > 0.2 && chance < 0.95, "%g", chance);
    CLOSE(now.chance_now, chance, 1e-5);
    oxt_track_free(as_is);
    oxt_track_free(steeper);
}

/* The chance of a lift rises to that of the best moment, is it there, and falls off. */
Test(track_chance, rises_and_falls)
{
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    options.time_wander_s = 3.0; /* far more than the first seconds of the dip */
    oxt_track *tracker = tracker_with(0.0, 0.0, &options);
    double last = 0.0, best = 0.0;
    bool is_passed = false;
    for (int i = 0; i < 4000; i++) {
        feed(tracker, 0.1 * i, BATH_K);
        oxt_track_state now = reading(tracker);
        cr_assert(now.to_lift_low_s <= now.to_lift_s && now.to_lift_s <= now.to_lift_high_s);
        cr_assert(now.chance_now >= 0.0 && now.chance_now <= 1.0);
        if (now.to_lift_s > 0.0) {
            cr_assert(now.chance_now >= last && now.chance > 0.3);
            best = now.chance;
        } else if (!is_passed) {
            NEAR(now.chance_now, best, 0.01);
            is_passed = true;
        }
        if (now.state == OXT_TRACK_PAST)
            cr_assert(now.chance_now < 0.5 && now.chance == now.chance_now);
        last = now.to_lift_s > 0.0 ? now.chance_now : last;
    }
    cr_assert(is_passed && reading(tracker).chance_now < 1e-6);
    oxt_track_free(tracker);
}

/* What lies outside the trials: the bath on both sides with a part, on the hot side where the part itself is
 * measured, which is cold at first; the film; nothing tried at all. */
Test(track_chance, extrapolation)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    part.size_m = 0.003;
    const struct {
        const oxt_part *part;
        double bath_K;
        bool is_outside;
    } rows[] = { { &part, 550.0, true }, { &part, BATH_K, false }, { &part, 630.0, true },
                 { NULL, 300.0, false }, { NULL, BATH_K, false },  { NULL, 630.0, true } };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        options.part = rows[i].part;
        options.bath_K = rows[i].part ? BATH_K : 0.0;
        oxt_track *tracker = tracker_with(0.0, 0.0, &options);
        feed(tracker, 0.0, rows[i].bath_K);
        uint32_t cautions = reading(tracker).cautions;
        cr_assert_eq((cautions & OXT_CAUTION_EXTRAPOLATED_BATH) != 0, rows[i].is_outside, "%zu", i);
        cr_assert(!(cautions & OXT_CAUTION_EXTRAPOLATED_FILM));
        oxt_track_free(tracker);
    }
    oxt_steel_values values = some_steel();
    oxt_steel *steel;
    oxt_track *tracker;
    oxt_target blue = target_of("blue");
    values.thickness_low_nm = 80.0;
    values.variance_ln_k = 1.0;
    OK(oxt_steel_new(&steel, &values, &error));
    OK(oxt_track_new(&tracker, steel, default_film(), &blue, NULL, &error));
    feed(tracker, 0.0, BATH_K);
    uint32_t cautions = reading(tracker).cautions;
    cr_assert(cautions & OXT_CAUTION_EXTRAPOLATED_FILM && cautions & OXT_CAUTION_LOOSE_FIT);
    cr_assert(cautions & OXT_CAUTION_OTHER_ORDER);
    oxt_track_free(tracker);
    oxt_steel_free(steel);
}

/* A film that is there already and is the target: nothing is left to do, and it only gets worse. */
Test(track_chance, of_a_film_already_there)
{
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_target blue = target_of("blue");
    options.initial_nm = 0.5 * (blue.aim_nm + blue.high_nm);
    oxt_track *tracker = tracker_with(0.0, 0.0, &options);
    feed(tracker, 0.0, BATH_K);
    oxt_track_state now = reading(tracker);
    cr_assert(now.chance_now == 1.0 && now.chance == 1.0 && now.to_lift_high_s == 0.0);
    feed(tracker, 600.0, BATH_K);
    cr_assert(reading(tracker).chance_now < 0.01);
    oxt_track_free(tracker);
}

Test(track_chance, settings_out_of_range)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_target blue = target_of("blue");
    oxt_track *made;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    options.confidence = 0.2;
    FAILS(tracker_by(&made, &growth, default_film(), &blue, &options, &error), OXT_EDOMAIN);
    SAYS("confidence");
    options.confidence = 0.9;
    options.time_wander_s = -1.0;
    FAILS(tracker_by(&made, &growth, default_film(), &blue, &options, &error), OXT_EDOMAIN);
    SAYS("time_wander_s");
}

/* ---- several parts ---- */

/* Each part has its own tracker, fed from the sample on at which it enters: it is as if it were alone, by any clock. */
Test(track_chance, several_parts_in_one_bath)
{
    enum { PARTS = 4 };
    oxt_track *together[PARTS], *alone[PARTS];
    oxt_part parts[PARTS];
    for (int i = 0; i < PARTS; i++) {
        oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
        parts[i] = (oxt_part)OXT_PART_INIT;
        parts[i].size_m = 0.002 * (i + 1);
        options.part = &parts[i];
        options.bath_K = BATH_K;
        together[i] = tracker_with(0.0, 0.0, &options);
        alone[i] = tracker_with(0.0, 0.0, &options);
    }
    for (int second = 0; second < 90; second++)
        for (int i = 0; i < PARTS; i++)
            if (second >= 10 * i) {
                double bath_K = BATH_K + 2.0 * sin(second);
                feed(together[i], second, bath_K);
                feed(alone[i], second - 10 * i, bath_K);
            }
    for (int i = 0; i < PARTS; i++) {
        oxt_track_state one = reading(together[i]), other = reading(alone[i]);
        cr_assert_eq(memcmp(&one, &other, sizeof one), 0);
        oxt_track_free(together[i]);
        oxt_track_free(alone[i]);
    }
}

/* A fit is loose for a tracker where it is for the dip: the limits of the rate alone are wider than the colour lasts. */
Test(track_chance, a_loose_fit_is_loose_in_both)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_target blue = target_of("blue");
    int loose = 0, sharp = 0;
    for (double sd = 0.004; sd < 1.0; sd *= 1.3) {
        oxt_steel_values values = some_steel();
        oxt_dip dip = OXT_DIP_INIT;
        oxt_track *tracker;
        values.variance_ln_k = sd * sd;
        values.covariance_J_per_mol = 0.0;
        values.variance_Q_J2_per_mol2 = 1e4;
        oxt_steel *steel = steel_of(&values);
        OK(oxt_dip_predict(steel, &blue, BATH_K, NULL, &dip, &error));
        OK(oxt_track_new(&tracker, steel, default_film(), &blue, NULL, &error));
        feed(tracker, 0.0, BATH_K);
        bool is_loose = dip.cautions & OXT_CAUTION_LOOSE_FIT;
        cr_assert_eq((reading(tracker).cautions & OXT_CAUTION_LOOSE_FIT) != 0, is_loose, "%g", sd);
        *(is_loose ? &loose : &sharp) += 1;
        oxt_track_free(tracker);
        oxt_steel_free(steel);
    }
    cr_assert(loose > 3 && sharp > 3);
    oxt_steel_values half = some_steel();
    half.dof = 0.5;
    oxt_steel *steel = steel_of(&half);
    oxt_track *none;
    FAILS(oxt_track_new(&none, steel, default_film(), &blue, NULL, &error), OXT_EDOMAIN);
    SAYS("dof");
    oxt_steel_free(steel);
}

/* ---- snapshots ---- */

static oxt_track *thick_part(double size_m, oxt_flow flow)
{
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    part.size_m = size_m;
    part.flow = flow;
    lift.delay_s = 4.0;
    options.part = &part;
    options.lift = &lift;
    options.bath_K = BATH_K;
    return tracker_with(0.0, 0.0, &options);
}

/* Every third sample is spoilt, and there is a gap. */
static void feed_part(oxt_track *tracker, int from, int to)
{
    for (int i = from; i < to; i++) {
        if (i % 3 == 1)
            oxt_track_feed(tracker, 0.1 * i, 5000.0, NULL);
        else
            feed(tracker, 0.1 * i + (i > 300 ? 20.0 : 0.0), BATH_K + sin(0.1 * i));
    }
}

static const char *snapshot_of(const oxt_track *tracker)
{
    static char text[4096];
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_track_snapshot(tracker, text, sizeof text, NULL, &error));
    return text;
}

/* To the last bit, and before the first sample too. */
Test(track_chance, a_snapshot_goes_on_as_if_nothing_had_been)
{
    oxt_error error = OXT_ERROR_INIT;
    const double sizes_m[] = { 0.002, 0.03, 0.03 };
    for (int i = 0; i < 3; i++)
        for (int cut = 0; cut < 700; cut += 99) {
            const oxt_flow flow = i < 2 ? OXT_FLOW_STIRRED : OXT_FLOW_STILL;
            oxt_track *whole = thick_part(sizes_m[i], flow), *before = thick_part(sizes_m[i], flow);
            oxt_track *after = thick_part(sizes_m[i], flow);
            feed_part(whole, 0, 700);
            feed_part(before, 0, cut);
            const char *text = snapshot_of(before);
            feed(after, 1e5, 400.0); /* is left */
            OK(oxt_track_resume(after, text, strlen(text), &error));
            oxt_track_state one = reading(before), other = reading(after);
            cr_assert(one.sample_count == other.sample_count);
            cr_assert(cut == 0 || memcmp(&one, &other, sizeof one) == 0);
            feed_part(after, cut, 700);
            one = reading(whole);
            other = reading(after);
            cr_assert_eq(memcmp(&one, &other, sizeof one), 0, "%d", cut);
            oxt_track_free(whole);
            oxt_track_free(before);
            oxt_track_free(after);
        }
}

static void refused(oxt_track *tracker, const char *text, oxt_status wanted, const char *said)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_state before = reading(tracker);
    FAILS(oxt_track_resume(tracker, text, strlen(text), &error), wanted);
    SAYS(said);
    oxt_track_state after = reading(tracker);
    cr_assert_eq(memcmp(&before, &after, sizeof before), 0);
}

/* A snapshot in which one text stands for another. */
static const char *changed(const char *text, const char *from, const char *to)
{
    static char made[4200];
    const char *at = strstr(text, from);
    cr_assert(at, "%s", from);
    snprintf(made, sizeof made, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    return made;
}

Test(track_chance, snapshots_that_are_none)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[4096];
    oxt_track *tracker = thick_part(0.03, OXT_FLOW_STIRRED);
    oxt_track *other = thick_part(0.002, OXT_FLOW_STIRRED);
    oxt_track *still = thick_part(0.03, OXT_FLOW_STILL);
    oxt_track *slower = tracker_with(-0.01, 0.0, NULL);
    feed_part(tracker, 0, 300);
    strcpy(text, snapshot_of(tracker));
    refused(slower, text, OXT_EARG, "k_ref_nm2_per_s");
    refused(other, text, OXT_EARG, "lift_s");
    refused(tracker, "", OXT_EPARSE, "not the snapshot of a tracker");
    refused(tracker, "{}", OXT_EPARSE, "lacks 'oxtint_track'");
    refused(tracker, changed(text, "\"major\": 1", "\"major\": 2"), OXT_EVERSION, "newer");
    refused(tracker, changed(text, "\"exposure_nm2\": ", "\"exposure_nm2\": -"), OXT_EDOMAIN,
            "exposure_nm2");
    refused(tracker, changed(text, "\"sample_count\": ", "\"sample_count\": -"), OXT_EPARSE,
            "sample_count");
    refused(tracker, changed(text, "\"bath_K\": ", "\"bath_C\": "), OXT_EPARSE, "bath_K");
    refused(tracker, changed(text, "\"aim_nm\": ", "\"aim_nm\": 1"), OXT_EARG, "another tracker");
    refused(tracker, changed(text, "\"aim_nm\": ", "\"aim_A\": "), OXT_EPARSE, "aim_nm");
    char nulls[100] = "\"gap_K\": [null], \"others_K\": [";
    for (int i = 0; i < 8; i++) { /* one of them as many as the part has terms */
        refused(tracker, changed(text, "\"gap_K\": [", nulls), OXT_EPARSE, "gap_K");
        memmove(nulls + 15, nulls + 10, strlen(nulls + 10) + 1);
        memcpy(nulls + 10, "null,", 5);
    }
    refused(tracker, changed(text, "\"gap_K\": [", "\"gap_K\": [1.0, "), OXT_EPARSE, "gap_K");
    feed_part(still, 0, 300);
    const char *of_still = snapshot_of(still);
    refused(still, changed(of_still, "\"stage\": ", "\"stage\": 1"), OXT_EPARSE, "state");
    refused(still, changed(of_still, "\"state.flux\": ", "\"flux\": "), OXT_EPARSE, "flux");
    for (size_t length = 0; length < strlen(text) - 1; length++)
        FAILS(oxt_track_resume(tracker, text, length, &error), OXT_EPARSE);
    FAILS(oxt_track_resume(NULL, text, strlen(text), &error), OXT_EARG);
    FAILS(oxt_track_resume(tracker, NULL, 0, &error), OXT_EARG);
    FAILS(oxt_track_snapshot(NULL, text, sizeof text, NULL, &error), OXT_EARG);
    OK(oxt_track_resume(tracker, text, strlen(text), &error));
    oxt_track_free(tracker);
    oxt_track_free(other);
    oxt_track_free(slower);
    oxt_track_free(still);
}
