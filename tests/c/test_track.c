/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_integration.h>
#include <string.h>

#include "thermal/heat.h"
#include "support.h"

static const double BATH_K = 588.7;

static oxt_growth usual_growth(void)
{
    return growth_of(30.0, 588.7, 76e3);
}

static oxt_part part_of(oxt_shape shape, double size_m)
{
    oxt_part part = OXT_PART_INIT;
    part.shape = shape;
    part.size_m = size_m;
    return part;
}

static oxt_track *tracker_of(const oxt_part *part, const oxt_lift *lift, const char *wanted)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track *made;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    const oxt_growth growth = usual_growth();
    const oxt_target target = target_of(wanted);
    options.part = part;
    options.bath_K = part ? BATH_K : 0.0;
    options.lift = lift;
    OK(tracker_by(&made, &growth, default_film(), &target, &options, &error));
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

typedef double (*history)(double time_s);

static double constant(double time_s)
{
    (void)time_s;
    return BATH_K;
}

static double ramp(double time_s)
{
    return BATH_K - 15.0 + 0.2 * time_s;
}

/* A controller that swings by 4 K with a period of 20 s. */
static double wobble(double time_s)
{
    return BATH_K + 4.0 * sin(0.314 * time_s);
}

/* Exposure of a dip that is sampled `per_s` times in a second. */
static double tracked(const oxt_part *part, history bath, double per_s, double time_s)
{
    oxt_track *tracker = tracker_of(part, NULL, "blue");
    for (double i = 0.0; i <= per_s * time_s; i++)
        feed(tracker, i / per_s, bath(i / per_s));
    oxt_track_state now = reading(tracker);
    CLOSE(now.time_s, time_s, 1e-12);
    cr_assert(now.gap_count == 0 && now.refused_count == 0);
    oxt_track_free(tracker);
    return now.exposure_nm2;
}

/* The trapezoidal rule: the error falls with the square of the step, less where a long one is taken in parts. */
static void falls_with_the_square(const oxt_part *part, history bath, double time_s, double exact)
{
    double at_1_Hz = fabs(tracked(part, bath, 1.0, time_s) / exact - 1.0);
    double at_10_Hz = fabs(tracked(part, bath, 10.0, time_s) / exact - 1.0);
    double at_100_Hz = fabs(tracked(part, bath, 100.0, time_s) / exact - 1.0);
    cr_assert(at_1_Hz < 2e-3, "%g", at_1_Hz);
    cr_assert(at_10_Hz < at_1_Hz / 20.0 + 1e-9, "%g %g", at_1_Hz, at_10_Hz);
    cr_assert(at_100_Hz < at_10_Hz / 20.0 + 1e-9, "%g %g", at_10_Hz, at_100_Hz);
}

Test(track, steady_bath_agrees_with_the_whole_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++)
        for (double size_m = 0.003; size_m < 0.05; size_m *= 4.0) {
            oxt_part part = part_of((oxt_shape)shape, size_m);
            double exact;
            OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, BATH_K, 120.0, &exact, &error));
            falls_with_the_square(&part, constant, 120.0, exact);
        }
}

/* ---- a bath that changes ---- */

typedef struct {
    oxt_growth growth;
    oxt_i_heating heating;
    double start_K, slope_K_per_s;
} ramped;

/* Each mode of a part follows a ramp with a lag of 1/rate: the solution of
 * theta' = rate (T_0 + s t - theta). */
static double rate_in_ramp(double time_s, void *context)
{
    const ramped *dip = context;
    double bath_K = ramp(time_s), surface_K = bath_K, rate = 0.0;
    for (size_t i = 0; i < dip->heating.count; i++) {
        double behind_K = dip->slope_K_per_s / dip->heating.rate_per_s[i];
        double gap_K = dip->start_K - ramp(0.0) + behind_K;
        surface_K += dip->heating.weight[i] *
                     (gap_K * exp(-dip->heating.rate_per_s[i] * time_s) - behind_K);
    }
    oxt_rate(&dip->growth, surface_K, &rate, NULL);
    return rate;
}

Test(track, ramp_agrees_with_adaptive_quadrature)
{
    oxt_error error = OXT_ERROR_INIT;
    const double sizes_m[] = { 0.0, 0.006, 0.03 };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(2000);
    for (int i = 0; i < 3; i++) {
        oxt_part part = part_of(OXT_SHAPE_CYLINDER, sizes_m[i]);
        ramped dip = { .growth = usual_growth(), .start_K = part.start_K, .slope_K_per_s = 0.2 };
        gsl_function function = { rate_in_ramp, &dip };
        double exact, accuracy;
        OK(oxt_i_heating_prepare(&dip.heating, &part, BATH_K, &error));
        gsl_integration_qag(&function, 0.0, 150.0, 0.0, 1e-11, 2000, GSL_INTEG_GAUSS61, space,
                            &exact, &accuracy);
        falls_with_the_square(&part, ramp, 150.0, exact);
    }
    gsl_integration_workspace_free(space);
}

/* Samples of the part itself: no heating-up is added. */
static double rate_of_the_sample(double time_s, void *context)
{
    double rate = 0.0;
    oxt_rate(context, wobble(time_s), &rate, NULL);
    return rate;
}

Test(track, samples_of_the_part_itself)
{
    oxt_growth growth = usual_growth();
    gsl_function function = { rate_of_the_sample, &growth };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(2000);
    double exact, accuracy;
    gsl_integration_qag(&function, 0.0, 150.0, 0.0, 1e-11, 2000, GSL_INTEG_GAUSS61, space, &exact,
                        &accuracy);
    falls_with_the_square(NULL, wobble, 150.0, exact);
    gsl_integration_workspace_free(space);
}

/* Contract: any clock will do. One that counts from 1970 is read to a quarter of a microsecond. */
Test(track, any_clock)
{
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.03);
    oxt_track *near = tracker_of(&part, NULL, "blue"), *far = tracker_of(&part, NULL, "blue");
    for (int i = 0; i <= 900; i++) {
        feed(near, 0.1 * i, wobble(0.1 * i));
        feed(far, 1.7e9 + 0.1 * i, wobble(0.1 * i));
    }
    CLOSE(reading(far).exposure_nm2, reading(near).exposure_nm2, 1e-5);
    CLOSE(reading(far).time_s, 90.0, 1e-7);
    oxt_track_free(near);
    oxt_track_free(far);
}

/* ---- what comes ---- */

/* The forecast of the first moment, before anything is warm, against the inverse of the exposure. */
Test(track, forecast_of_the_first_sample_is_the_time_of_the_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    const oxt_target target = target_of("blue");
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++)
        for (double size_m = 0.001; size_m < 0.07; size_m *= 2.0) {
            oxt_part part = part_of((oxt_shape)shape, size_m);
            const double films_nm[] = { target.low_nm, target.aim_nm, target.high_nm };
            double exact_s[3];
            for (int i = 0; i < 3; i++)
                OK(oxt_heat_time_for_exposure(&growth, &part, BATH_K, films_nm[i] * films_nm[i],
                                              &exact_s[i], NULL, &error));
            oxt_track *tracker = tracker_of(&part, NULL, "blue");
            feed(tracker, 7.0, BATH_K);
            oxt_track_state now = reading(tracker);
            CLOSE(now.to_earliest_s, exact_s[0], 1e-7);
            CLOSE(now.to_lift_s, exact_s[1], 1e-7);
            CLOSE(now.to_latest_s, exact_s[2], 1e-7);
            cr_assert(now.time_s == 0.0 && now.surface_K == part.start_K && now.bath_K == BATH_K);
            oxt_track_free(tracker);
        }
}

/* In a steady bath the time to the lift runs down with the clock, and a lift when it has run out
 * gives the aim in the quench to 0.1 %, whatever the way there is. */
Test(track, counts_down_and_hits)
{
    const double delays_s[] = { 0.0, 2.0, 15.0 };
    const oxt_target target = target_of("blue");
    for (int i = 0; i < 3; i++)
        for (double size_m = 0.003; size_m < 0.06; size_m *= 3.0) {
            oxt_part part = part_of(OXT_SHAPE_PLATE, size_m);
            oxt_lift lift = OXT_LIFT_INIT;
            lift.delay_s = delays_s[i];
            oxt_track *tracker = tracker_of(&part, &lift, "blue");
            oxt_track_state now;
            double lift_s = NAN, time_s = 0.0;
            do {
                feed(tracker, time_s, BATH_K);
                now = reading(tracker);
                if (isnan(lift_s))
                    lift_s = now.to_lift_s;
                if (now.to_lift_s > 0.0)
                    NEAR(time_s + now.to_lift_s, lift_s, 0.01);
                time_s += 0.1;
            } while (now.to_lift_s > 0.0);
            CLOSE(now.quench_nm, target.aim_nm, 1e-3);
            NEAR(now.time_s, lift_s, 0.11);
            cr_assert(now.state == OXT_TRACK_SHOWING);
            oxt_track_free(tracker);
        }
}

/* The table of the lift against the differential equation that it comes from. Above 600 C the heat of
 * carbon steel is held, a kink that a smooth table cuts short. */
static void lift_agrees(double size_m, double delay_s)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    oxt_part part = part_of(OXT_SHAPE_PLATE, size_m);
    oxt_lift lift = OXT_LIFT_INIT;
    lift.delay_s = delay_s;
    oxt_track *tracker = tracker_of(&part, &lift, "blue");
    for (double bath_K = 400.0; bath_K < 970.0; bath_K += 7.3) {
        double exact;
        OK(oxt_track_restart(tracker, &error));
        feed(tracker, 0.0, bath_K);
        feed(tracker, 4000.0, bath_K);
        oxt_track_state now = reading(tracker);
        OK(oxt_heat_lift_exposure(&growth, &part, &lift, now.surface_K, &exact, NULL, &error));
        CLOSE(pow(now.quench_nm, 2.0) - pow(now.thickness_nm, 2.0), exact,
              bath_K < 840.0 ? 1e-4 : 2e-3);
    }
    oxt_track_free(tracker);
}

Test(track, growth_on_the_way_to_the_quench)
{
    lift_agrees(0.001, 4.0);
    lift_agrees(0.004, 6.0);
    lift_agrees(0.02, 60.0);
    lift_agrees(0.002, 300.0);
}

/* A part that is lifted before it is soaked, as a dip has it. */
Test(track, a_thick_part_starts_from_its_own_profile)
{
    const oxt_growth growth = usual_growth();
    oxt_lift lift = OXT_LIFT_INIT, at_once = OXT_LIFT_INIT;
    lift.delay_s = 30.0;
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_SPHERE; shape++) {
        oxt_part part = part_of((oxt_shape)shape, 0.04);
        oxt_track *tracker = tracker_of(&part, &lift, "blue");
        for (int i = 0; i <= 1000; i++) {
            feed(tracker, 0.1 * i, BATH_K);
            if (i == 0 || i % 250 != 0)
                continue;
            oxt_track_state now = reading(tracker);
            double exact = grown_nm2(&growth, &part, &lift, BATH_K, 0.1 * i) -
                           grown_nm2(&growth, &part, &at_once, BATH_K, 0.1 * i);
            CLOSE(pow(now.quench_nm, 2.0) - pow(now.thickness_nm, 2.0), exact, 6e-3);
        }
        oxt_track_free(tracker);
    }
}

/* Contract: a part of which nothing is known stays as hot as it was. */
Test(track, lift_of_an_unknown_part)
{
    oxt_lift lift = OXT_LIFT_INIT;
    lift.delay_s = 5.0;
    oxt_track *tracker = tracker_of(NULL, &lift, "blue");
    feed(tracker, 0.0, BATH_K);
    feed(tracker, 1.0, BATH_K);
    oxt_track_state now = reading(tracker);
    CLOSE(now.quench_nm, sqrt(6.0) * now.thickness_nm, 1e-12);
    oxt_track_free(tracker);
}

Test(track, what_every_dip_does)
{
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006), preheated = part;
    oxt_lift slow = OXT_LIFT_INIT, slower = OXT_LIFT_INIT;
    slow.delay_s = 3.0;
    slower.delay_s = 6.0;
    preheated.start_K = 500.0;
    oxt_track *at_once = tracker_of(&part, NULL, "blue");
    oxt_track *later = tracker_of(&part, &slow, "blue");
    oxt_track *latest = tracker_of(&part, &slower, "blue");
    oxt_track *hotter = tracker_of(&part, NULL, "blue");
    oxt_track *warm = tracker_of(&preheated, NULL, "blue");
    for (int i = 0; i < 600; i++) {
        double time_s = 0.1 * i;
        feed(at_once, time_s, wobble(time_s));
        feed(later, time_s, wobble(time_s));
        feed(latest, time_s, wobble(time_s));
        feed(hotter, time_s, wobble(time_s) + 2.0);
        feed(warm, time_s, wobble(time_s));
        oxt_track_state now = reading(at_once);
        cr_assert(reading(later).to_lift_s < now.to_lift_s);
        cr_assert(reading(latest).to_lift_s < reading(later).to_lift_s);
        cr_assert(reading(hotter).to_lift_s < now.to_lift_s);
        cr_assert(reading(warm).to_lift_s < now.to_lift_s);
        cr_assert(now.to_earliest_s < now.to_lift_s && now.to_lift_s < now.to_latest_s);
    }
    oxt_track_free(at_once);
    oxt_track_free(later);
    oxt_track_free(latest);
    oxt_track_free(hotter);
    oxt_track_free(warm);
}

/* A film never grows thinner, so that a dip quenched at once only goes on: growing, showing, past. */
Test(track, state_only_goes_on)
{
    oxt_part part = part_of(OXT_SHAPE_SPHERE, 0.02);
    oxt_track *tracker = tracker_of(&part, NULL, "purple");
    const oxt_target target = target_of("purple");
    double before_nm = 0.0;
    int before = OXT_TRACK_GROWING, seen = 1;
    for (int i = 0; i < 3000; i++) {
        feed(tracker, 0.1 * i, wobble(0.1 * i));
        oxt_track_state now = reading(tracker);
        cr_assert(now.thickness_nm >= before_nm && now.quench_nm == now.thickness_nm);
        cr_assert((int)now.state == before || (int)now.state == before + 1);
        cr_assert((now.to_earliest_s == 0.0) == (now.thickness_nm >= target.low_nm));
        cr_assert((now.to_lift_s == 0.0) == (now.thickness_nm >= target.aim_nm));
        seen += (int)now.state != before;
        before = (int)now.state;
        before_nm = now.thickness_nm;
    }
    cr_assert(seen == 3 && before == OXT_TRACK_PAST);
    oxt_track_free(tracker);
}

/* A part leaves no more of a change of the bath than it has followed: after a step up the forecast
 * must count that the surface is still behind. */
Test(track, forecast_follows_a_bath_that_was_turned_up)
{
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.03);
    oxt_track *tracker = tracker_of(&part, NULL, "blue");
    for (int i = 0; i <= 600; i++)
        feed(tracker, i, BATH_K - 60.0);
    feed(tracker, 600.5, BATH_K);
    oxt_track_state now = reading(tracker);
    double plain_s = (pow(target_of("blue").aim_nm, 2.0) - now.exposure_nm2) / 30.0;
    cr_assert(now.surface_K < BATH_K - 40.0 && now.to_lift_s > plain_s + 1.0);
    double lift_s = now.time_s + now.to_lift_s;
    for (int i = 1; now.to_lift_s > 0.0; i++) {
        feed(tracker, 600.5 + 0.1 * i, BATH_K);
        now = reading(tracker);
    }
    NEAR(now.time_s, lift_s, 0.11);
    oxt_track_free(tracker);
}

/* ---- what goes wrong ---- */

static void same_dip(const oxt_track_state *a, const oxt_track_state *b)
{
    cr_assert(a->time_s == b->time_s && a->bath_K == b->bath_K && a->surface_K == b->surface_K);
    cr_assert(a->exposure_nm2 == b->exposure_nm2 && a->quench_nm == b->quench_nm);
    cr_assert(a->to_lift_s == b->to_lift_s && a->to_latest_s == b->to_latest_s);
    cr_assert(a->state == b->state && a->tint_index == b->tint_index);
    cr_assert(a->sample_count == b->sample_count && a->gap_count == b->gap_count);
    cr_assert(a->bridged_s == b->bridged_s && a->cautions == b->cautions);
}

Test(track, refused_samples_change_nothing)
{
    oxt_error error = OXT_ERROR_INIT;
    static const struct {
        double time_s, temperature_K;
        const char *parameter;
    } bad[] = {
        { 2.0, 600.0, "time_s" },         { 1.9, 600.0, "time_s" },
        { NAN, 600.0, "time_s" },         { HUGE_VAL, 600.0, "time_s" },
        { 2e6, 600.0, "time_s" },         { 2.1, NAN, "temperature_K" },
        { 2.1, 199.9, "temperature_K" },  { 2.1, 1300.1, "temperature_K" },
        { 2.1, -1e308, "temperature_K" }, { 2.1, HUGE_VAL, "temperature_K" },
    };
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.02);
    oxt_track *tracker = tracker_of(&part, NULL, "blue"), *clean = tracker_of(&part, NULL, "blue");
    FAILS(oxt_track_feed(tracker, NAN, 600.0, &error), OXT_EDOMAIN);
    for (int i = 0; i <= 20; i++) {
        feed(tracker, 0.1 * i, BATH_K);
        feed(clean, 0.1 * i, BATH_K);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        FAILS(oxt_track_feed(tracker, bad[i].time_s, bad[i].temperature_K, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, bad[i].parameter);
        SAYS("expected");
        oxt_track_state now = reading(tracker), expected = reading(clean);
        cr_assert_eq(now.refused_count, i + 2);
        same_dip(&now, &expected);
    }
    feed(tracker, 2.5, BATH_K + 1.0);
    feed(clean, 2.5, BATH_K + 1.0);
    oxt_track_state now = reading(tracker), expected = reading(clean);
    same_dip(&now, &expected);
    oxt_track_free(tracker);
    oxt_track_free(clean);
}

/* Contract: with coupon, part, lift and bath alike, tracker and prediction agree on the moment. */
Test(track, lifts_when_the_dip_says)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    strcpy(values.steel, "Alder 1");
    values.growth = growth_of(55.0, 588.7, 80e3);
    values.scatter = 0.05;
    values.dof = 10.0;
    values.bath_low_K = 560.0;
    values.bath_high_K = 620.0;
    values.thickness_low_nm = 15.0;
    values.thickness_high_nm = 100.0;
    oxt_steel *steel = steel_of(&values);
    oxt_part part = OXT_PART_INIT, coupon = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT, coupon_lift = OXT_LIFT_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_target blue = OXT_TARGET_INIT;
    part.size_m = 0.008;
    coupon.size_m = 0.003;
    lift.delay_s = 6.0;
    coupon_lift.delay_s = 3.0;
    bath.salt = OXT_SALT_TERNARY;
    bath.thermometer_offset_K = -4.0;
    OK(oxt_tint_target(default_film(), "blue", &blue, &error));
    oxt_dip_options of_dip = OXT_DIP_OPTIONS_INIT;
    of_dip.part = &part;
    of_dip.coupon = &coupon;
    of_dip.lift = &lift;
    of_dip.coupon_lift = &coupon_lift;
    of_dip.salt_bath = &bath;
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_dip_predict(steel, &blue, 600.0, &of_dip, &dip, &error));
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    options.part = &part;
    options.bath_K = 600.0;
    options.lift = &lift;
    options.coupon = &coupon;
    options.coupon_lift = &coupon_lift;
    options.salt_bath = &bath;
    oxt_track *tracker;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    OK(oxt_track_new(&tracker, steel, default_film(), &blue, &options, &error));
    OK(oxt_track_feed(tracker, 0.0, 600.0, &error));
    OK(oxt_track_read(tracker, &now, &error));
    CLOSE(now.to_lift_s, dip.time_s, 1e-3);
    cr_assert(now.bath_K == 596.0 && !(now.cautions & OXT_CAUTION_BELOW_MELTING));
    oxt_track_free(tracker);
    options.bath_K = 0.0;
    options.part = NULL;
    FAILS(oxt_track_new(&tracker, steel, default_film(), &blue, &options, &error), OXT_EDOMAIN);
    SAYS("bath_K");
    oxt_steel_free(steel);
}

/* Seconds at the bath that a thin coupon of time constant `tau_s` has had, its law written out: the
 * middle of each of many short steps. */
static double equivalent_s(double tau_s, double time_s, double Q_J_per_mol)
{
    enum { STEPS = 20000 };
    double sum = 0.0, each_s = time_s / STEPS;
    for (int i = 0; i < STEPS; i++) {
        double K = BATH_K - (BATH_K - 293.15) * exp(-(i + 0.5) * each_s / tau_s);
        sum += each_s * exp(-Q_J_per_mol / 8.314462618 * (1.0 / K - 1.0 / BATH_K));
    }
    return sum;
}

/* On a film that is there already a dip adds what a coupon had between that film and the aim: a coupon
 * that loses 4 s in all lost most of them before. A lift of a coupon without mass adds as much to both. */
Test(track, a_coupon_and_a_film_already_there)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    const oxt_target blue = target_of("blue");
    for (double initial_nm = 0.0; initial_nm < 50.0; initial_nm += 20.0)
        for (int heavy = 0; heavy < 2; heavy++) {
            oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
            oxt_part coupon = OXT_PART_INIT, thin = OXT_PART_INIT;
            oxt_lift lift = OXT_LIFT_INIT, at_once = OXT_LIFT_INIT;
            oxt_track *tracker;
            oxt_track_state now = OXT_TRACK_STATE_INIT;
            coupon.shape = OXT_SHAPE_ANY;
            coupon.size_m = 0.0015;
            coupon.heat_J_per_kgK = 550.0;
            lift.delay_s = 5.0;
            options.initial_nm = initial_nm;
            options.bath_K = BATH_K;
            options.coupon = heavy ? &coupon : NULL;
            options.coupon_lift = heavy ? NULL : &lift;
            options.part = &thin; /* another than the coupon, and quenched at once */
            options.lift = &at_once;
            OK(tracker_by(&tracker, &growth, default_film(), &blue, &options, &error));
            OK(oxt_track_feed(tracker, 0.0, BATH_K, &error));
            OK(oxt_track_read(tracker, &now, &error));
            double aim_s = blue.aim_nm * blue.aim_nm / growth.k_ref_nm2_per_s;
            double there_s = initial_nm * initial_nm / growth.k_ref_nm2_per_s;
            double expected_s = aim_s - there_s;
            if (heavy) {
                double tau_s = 7850.0 * 550.0 * 0.0015 / 600.0;
                expected_s = equivalent_s(tau_s, aim_s, growth.Q_J_per_mol);
                if (initial_nm > 0.0)
                    expected_s -= equivalent_s(tau_s, there_s, growth.Q_J_per_mol);
            } else if (initial_nm == 0.0) {
                expected_s += lift.delay_s; /* on bare steel its growth stays */
            }
            CLOSE(now.to_lift_s, expected_s, 1e-5);
            oxt_track_free(tracker);
        }
}

/* In a bath that stays as it is, a tracker that is told the same says what the dip says: when the colour begins, is best
 * and ends, and how likely it is. Part and lift that are not named are those of the coupon. */
Test(track, a_steady_bath_gives_the_dip_whatever_the_coupon)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    values.variance_ln_k = 0.03 * 0.03;
    values.scatter = 0.04;
    oxt_steel *steel = steel_of(&values);
    oxt_part coupon = OXT_PART_INIT, part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT, other = OXT_LIFT_INIT;
    coupon.size_m = 0.001;
    part.size_m = 0.006;
    lift.delay_s = 2.0;
    other.delay_s = 4.0;
    static const char *const names[] = { "brown", "purple", "blue" };
    static const double baths_K[] = { 588.7, 616.5, 644.3 };
    for (int i = 0; i < 9; i++)
        for (int named = 0; named < 2; named++) {
            const oxt_target target = target_of(names[i % 3]);
            oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
            oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
            oxt_dip dip = OXT_DIP_INIT;
            oxt_track_state now = OXT_TRACK_STATE_INIT;
            oxt_track *tracker;
            told.coupon = options.coupon = &coupon;
            told.coupon_lift = options.coupon_lift = &lift;
            told.part = options.part = named ? &part : NULL;
            told.lift = options.lift = named ? &other : NULL;
            options.bath_K = baths_K[i / 3];
            OK(oxt_dip_predict(steel, &target, options.bath_K, &told, &dip, &error));
            OK(oxt_track_new(&tracker, steel, default_film(), &target, &options, &error));
            OK(oxt_track_feed(tracker, 0.0, options.bath_K, &error));
            OK(oxt_track_read(tracker, &now, &error));
            cr_assert_float_eq(now.to_earliest_s, dip.earliest_s, 0.01);
            cr_assert_float_eq(now.to_lift_s, dip.time_s, 0.01);
            cr_assert_float_eq(now.to_latest_s, dip.latest_s, 0.01);
            cr_assert_float_eq(now.chance, dip.chance, 2e-3);
            for (double t = 0.25; t <= dip.latest_s;
                 t += 0.25) { /* the film is of the target's while it says so */
                OK(oxt_track_feed(tracker, t, options.bath_K, &error));
                OK(oxt_track_read(tracker, &now, &error));
                bool shows = t > dip.earliest_s + 0.05 && t < dip.latest_s - 0.05;
                cr_assert(!shows ||
                          (now.state == OXT_TRACK_SHOWING && now.quench_nm >= target.low_nm &&
                           now.quench_nm <= target.high_nm));
                cr_assert(t > dip.earliest_s - 0.05 || now.state == OXT_TRACK_GROWING);
            }
            oxt_track_free(tracker);
        }
    oxt_steel_free(steel);
}

/* A steel whose trials began with a film of 14 nm. */
static oxt_steel *steel_begun(void)
{
    oxt_steel_values values = some_steel();
    values.growth.middle_nm = 40.0;
    values.growth.initial_nm = 14.0;
    return steel_of(&values);
}

/* A film thinner than that with which the trials began is one that they do not tell of. */
Test(track, a_film_thinner_than_that_of_the_trials_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = steel_begun();
    const oxt_target blue = target_of("blue");
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_track *tracker;
    options.initial_nm = 13.9;
    FAILS(oxt_track_new(&tracker, steel, default_film(), &blue, &options, &error),
          OXT_EUNREACHABLE);
    cr_assert(strstr(error.text, "the trials began with 14.0 nm"));
    options.initial_nm = 14.0;
    OK(oxt_track_new(&tracker, steel, default_film(), &blue, &options, &error));
    oxt_track_free(tracker);
    oxt_steel_free(steel);
}

/* A target that begins below that film shows from the start, whatever growth a coupon had on its way to the quench. */
Test(track, a_colour_with_which_the_trials_began_shows_at_once)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = steel_begun();
    oxt_target target = OXT_TARGET_INIT;
    oxt_lift slow = OXT_LIFT_INIT, at_once = OXT_LIFT_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_track *tracker;
    slow.delay_s = 5.0;
    options.coupon_lift = told.coupon_lift = &slow;
    options.lift = told.lift = &at_once;
    options.bath_K = 600.0;
    OK(oxt_tint_target_of_thickness(20.0, 10.0, 25.0, &target, &error));
    OK(oxt_dip_predict(steel, &target, 600.0, &told, &dip, &error));
    OK(oxt_track_new(&tracker, steel, default_film(), &target, &options, &error));
    OK(oxt_track_feed(tracker, 0.0, 600.0, &error));
    OK(oxt_track_read(tracker, &now, &error));
    cr_assert(dip.earliest_s == 0.0 && now.to_earliest_s == 0.0);
    cr_assert_float_eq(now.to_lift_s, dip.time_s, 0.01);
    cr_assert_float_eq(now.to_latest_s, dip.latest_s, 0.01);
    cr_assert_eq(now.state, OXT_TRACK_SHOWING);
    oxt_track_free(tracker);
    oxt_steel_free(steel);
}

/* A coupon that is none is refused, whatever film is there. */
Test(track, a_coupon_that_is_none)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    const oxt_target blue = target_of("blue");
    for (double initial_nm = 0.0; initial_nm < 50.0; initial_nm += 20.0) {
        oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
        oxt_part coupon = OXT_PART_INIT;
        oxt_track *tracker;
        coupon.size_m = 2.0;
        options.initial_nm = initial_nm;
        options.bath_K = BATH_K;
        options.coupon = &coupon;
        FAILS(tracker_by(&tracker, &growth, default_film(), &blue, &options, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "size_m");
        cr_assert_null(tracker);
    }
}

/* A hole of 20 s while the part warms up: bridged as if the bath had been steady, which it was. */
Test(track, gap_is_bridged_and_reported)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    oxt_track *tracker = tracker_of(&part, NULL, "blue");
    for (int i = 0; i <= 1000; i++)
        if (i <= 100 || i >= 300)
            feed(tracker, 0.1 * i, BATH_K);
    oxt_track_state now = reading(tracker);
    double exact;
    OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, BATH_K, 100.0, &exact, &error));
    CLOSE(now.exposure_nm2, exact, 1e-4);
    cr_assert_eq(now.gap_count, 1);
    NEAR(now.bridged_s, 20.0, 1e-9);
    /* as long as the longest is not longer */
    feed(tracker, 105.0, BATH_K);
    cr_assert_eq(reading(tracker).gap_count, 1);
    oxt_track_free(tracker);
}

/* ---- a reading that leaps ---- */

/* A bath does not change by 150 K from one sample to the next and back: what a loose contact shows is refused, and the
 * film is that of the dip without it. */
Test(track, a_leap_that_comes_back_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    oxt_track *tracker = tracker_of(&part, NULL, "blue"), *clean = tracker_of(&part, NULL, "blue");
    for (int i = 0; i <= 300; i++) {
        if (i == 100)
            feed(tracker, 0.1 * i, BATH_K + 150.0);
        else if (i == 200 || i == 201) /* up, then down: neither is a bath */
            feed(tracker, 0.1 * i, BATH_K + (i == 200 ? 120.0 : -120.0));
        else {
            feed(tracker, 0.1 * i, BATH_K);
            feed(clean, 0.1 * i, BATH_K);
        }
    }
    oxt_track_state now = reading(tracker), expected = reading(clean);
    cr_assert_eq(now.refused_count, 3);
    same_dip(&now, &expected);
    feed(tracker, 30.1, BATH_K + 150.0); /* while it waits for the next, time goes on from it */
    FAILS(oxt_track_feed(tracker, 30.1, BATH_K, &error), OXT_EDOMAIN);
    oxt_track_free(tracker);
    oxt_track_free(clean);
}

/* A part that is moved to another bath: the samples stay where they leapt to, and nothing of them is lost. Logged so
 * closely that no reading leaps, the same baths give the same film. */
Test(track, a_leap_that_stays_is_a_bath)
{
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    for (int side = -1; side <= 1; side += 2) {
        oxt_track *tracker = tracker_of(&part, NULL, "blue");
        oxt_track *closely = tracker_of(&part, NULL, "blue");
        for (int i = 0; i <= 400; i++) {
            double bath_K = BATH_K + (i > 200 ? 120.0 * side : 0.0);
            feed(tracker, 0.1 * i, bath_K);
            if (i == 201)
                for (int j = 1; j < 10; j++)
                    feed(closely, 20.0 + 0.01 * j, BATH_K + 12.0 * side * j);
            feed(closely, 0.1 * i, bath_K);
            if (i == 201)
                CLOSE(reading(tracker).time_s, 20.0, 1e-12); /* not yet known what it is */
        }
        oxt_track_state now = reading(tracker), expected = reading(closely);
        cr_assert(now.refused_count == 0 && now.gap_count == 0 && now.sample_count == 401);
        CLOSE(now.exposure_nm2, expected.exposure_nm2, 2e-4);
        NEAR(now.surface_K, expected.surface_K, 1e-3);
        oxt_track_free(tracker);
        oxt_track_free(closely);
    }
}

/* After a gap another bath is no leap; nor is it one where the part itself is measured, which may be put into water. */
Test(track, what_is_no_leap)
{
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    oxt_track *bath = tracker_of(&part, NULL, "blue"), *surface = tracker_of(NULL, NULL, "blue");
    for (int i = 0; i <= 100; i++) {
        feed(bath, 0.1 * i, BATH_K);
        feed(surface, 0.1 * i, BATH_K);
    }
    feed(bath, 30.0, BATH_K - 150.0);
    feed(surface, 10.1, 300.0);
    cr_assert(reading(bath).gap_count == 1 && reading(bath).sample_count == 102);
    NEAR(reading(bath).time_s, 30.0, 1e-12);
    NEAR(reading(surface).surface_K, 300.0, 1e-12);
    cr_assert(reading(bath).refused_count == 0 && reading(surface).refused_count == 0);
    oxt_track_free(bath);
    oxt_track_free(surface);
}

/* A part that comes out of an equal bath is as hot as this one at once. */
Test(track, a_part_as_hot_as_the_bath)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = usual_growth();
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    double rate_nm2_per_s;
    part.start_K = BATH_K;
    OK(oxt_rate(&growth, BATH_K, &rate_nm2_per_s, &error));
    CLOSE(tracked(&part, constant, 10.0, 60.0), 60.0 * rate_nm2_per_s, 1e-9);
}

Test(track, restarted_is_new)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = part_of(OXT_SHAPE_CYLINDER, 0.03);
    oxt_lift lift = OXT_LIFT_INIT;
    lift.delay_s = 2.0;
    oxt_track *again = tracker_of(&part, &lift, "blue"), *fresh = tracker_of(&part, &lift, "blue");
    feed(again, 1000.0, 500.0);
    feed(again, 1100.0, 700.0);
    oxt_track_feed(again, NAN, NAN, NULL);
    OK(oxt_track_restart(again, &error));
    for (int i = 0; i < 100; i++) {
        feed(again, 0.7 * i, wobble(i));
        feed(fresh, 0.7 * i, wobble(i));
        oxt_track_state a = reading(again), b = reading(fresh);
        same_dip(&a, &b);
        cr_assert_eq(a.refused_count, 0);
    }
    oxt_track_free(again);
    oxt_track_free(fresh);
}

Test(track, before_the_first_sample)
{
    oxt_track *tracker = tracker_of(NULL, NULL, "blue");
    oxt_track_state now = reading(tracker);
    cr_assert(isnan(now.bath_K) && isnan(now.surface_K) && now.time_s == 0.0);
    cr_assert(now.to_lift_s == HUGE_VAL && now.to_latest_s == HUGE_VAL);
    cr_assert(now.state == OXT_TRACK_GROWING && now.sample_count == 0 && now.thickness_nm == 0.0);
    cr_assert_str_eq(now.label, "bright");
    feed(tracker, 0.0, 250.0); /* no film comes at this cold in any time */
    cr_assert(reading(tracker).to_lift_s == HUGE_VAL);
    oxt_track_free(tracker);
}

/* x^2 = x0^2 + E, and the rest of the way is shorter by x0^2/k. */
Test(track, film_already_there)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track *tracker;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    const oxt_growth growth = usual_growth();
    const oxt_target target = target_of("blue");
    options.initial_nm = 20.0;
    OK(tracker_by(&tracker, &growth, default_film(), &target, &options, &error));
    feed(tracker, 0.0, BATH_K);
    CLOSE(reading(tracker).to_lift_s, (target.aim_nm * target.aim_nm - 400.0) / 30.0, 1e-12);
    feed(tracker, 5.0, BATH_K);
    CLOSE(reading(tracker).thickness_nm, sqrt(400.0 + 150.0), 1e-12);
    oxt_track_free(tracker);
}

/* ---- what is seen ---- */

Test(track, colours_and_names_are_those_of_the_film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options lamp = OXT_FILM_OPTIONS_INIT;
    oxt_film *film;
    oxt_track *tracker;
    const oxt_growth growth = usual_growth();
    const oxt_target target = target_of("blue");
    lamp.illuminant = OXT_ILLUMINANT_FL2;
    OK(oxt_film_new(&film, &lamp, &error));
    OK(tracker_by(&tracker, &growth, film, &target, NULL, &error));
    feed(tracker, 0.0, 640.0);
    for (double time_s = 0.4;; time_s += 1.7) {
        feed(tracker, time_s, 640.0);
        oxt_track_state now = reading(tracker);
        oxt_tint tint = OXT_TINT_INIT;
        double lab[3], srgb[3], difference;
        if (oxt_tint_at(film, now.thickness_nm, &tint, NULL))
            break;
        cr_assert_str_eq(now.label, tint.label);
        cr_assert_eq(now.tint_index, tint.index);
        OK(oxt_film_colour(film, OXT_SPACE_LAB, now.thickness_nm, lab, NULL, &error));
        OK(oxt_film_colour(film, OXT_SPACE_SRGB, now.thickness_nm, srgb, NULL, &error));
        OK(oxt_delta_e2000(1, lab, 0, now.lab, 0, &difference, NULL, &error));
        cr_assert(difference < 0.05, "%g at %g nm", difference, now.thickness_nm);
        /* steepest where a blue leaves what a screen can show: 0.008 */
        for (int i = 0; i < 3; i++)
            NEAR(now.srgb[i], srgb[i], 0.02);
    }
    cr_assert_str_empty(reading(tracker).label);
    cr_assert(reading(tracker).tint_index == -1 && isfinite(reading(tracker).lab[0]));
    feed(tracker, 5000.0, 640.0);
    cr_assert(isnan(reading(tracker).lab[0]) && isnan(reading(tracker).srgb[2]));
    oxt_track_free(tracker);
    oxt_film_free(film);
}

/* Contract: a tracker keeps nothing of what it was made from. */
Test(track, outlives_what_it_was_made_from)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film *film;
    oxt_track *tracker;
    oxt_growth growth = usual_growth();
    oxt_target target = target_of("blue");
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    options.part = &part;
    options.bath_K = BATH_K;
    options.lift = &lift;
    lift.delay_s = 2.0;
    OK(oxt_film_new(&film, NULL, &error));
    oxt_track *kept = tracker_of(&part, &lift, "blue");
    OK(tracker_by(&tracker, &growth, film, &target, &options, &error));
    oxt_film_free(film);
    memset(&growth, 0, sizeof growth);
    memset(&target, 0, sizeof target);
    memset(&part, 0, sizeof part);
    memset(&lift, 0, sizeof lift);
    memset(&options, 0, sizeof options);
    for (int i = 0; i < 20; i++) {
        feed(tracker, i, BATH_K);
        feed(kept, i, BATH_K);
    }
    oxt_track_state now = reading(tracker), expected = reading(kept);
    same_dip(&now, &expected);
    cr_assert_arr_eq(now.lab, expected.lab, 3);
    oxt_track_free(tracker);
    oxt_track_free(kept);
}

/* Cautions of a steel and its target, which test_track_chance.c looks at. */
static const uint32_t FROM_THE_TRIALS = OXT_CAUTION_EXTRAPOLATED_BATH |
                                        OXT_CAUTION_EXTRAPOLATED_FILM | OXT_CAUTION_OTHER_ORDER |
                                        OXT_CAUTION_LOOSE_FIT;

static uint32_t cautions_in(const oxt_part *part, double bath_K)
{
    oxt_track *tracker = tracker_of(part, NULL, "blue");
    feed(tracker, 0.0, bath_K);
    uint32_t cautions = reading(tracker).cautions;
    oxt_track_free(tracker);
    return cautions & ~FROM_THE_TRIALS;
}

/* The temperatures are those of oxt_caution_text. */
Test(track, cautions_of_the_bath)
{
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.003);
    const uint32_t salt = EVERY_BATH | OXT_CAUTION_NITRITE;
    /* with a part; its coupons are not stated */
    const uint32_t own = OXT_CAUTION_COUPONS_UNKNOWN;
    const uint32_t always = salt | OXT_CAUTION_AT_TEMPERATURE;
    const uint32_t hot = always | OXT_CAUTION_SOFTENS;
    const uint32_t cold = OXT_CAUTION_BELOW_MELTING | OXT_CAUTION_FREEZING;
    cr_assert_eq(cautions_in(&part, 420.0), always | cold | own);
    cr_assert_eq(cautions_in(&part, 440.0), hot | cold | own);
    cr_assert_eq(cautions_in(&part, BATH_K), hot | own);
    cr_assert_eq(cautions_in(NULL, 420.0), always);
    const uint32_t quick = hot | OXT_CAUTION_SHORT_WINDOW | OXT_CAUTION_ABOVE_WORKING;
    cr_assert_eq(cautions_in(NULL, 830.0), quick);
    cr_assert_eq(cautions_in(NULL, 850.0), quick | OXT_CAUTION_ABOVE_MODEL);
    cr_assert_eq(cautions_in(NULL, 930.0),
                 quick | OXT_CAUTION_ABOVE_MODEL | OXT_CAUTION_ABOVE_LEGAL);
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_track *tracker = tracker_of(&part, &lift, "blue");
    cr_assert_eq(reading(tracker).cautions & ~FROM_THE_TRIALS, salt | own | OXT_CAUTION_SOFTENS);
    oxt_track_free(tracker);
}

/* A part of any shape may be uneven, for a tracker as for a dip. */
Test(track, caution_of_any_shape)
{
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++) {
        const oxt_part part = part_of((oxt_shape)shape, 0.006);
        cr_assert_eq((cautions_in(&part, BATH_K) & OXT_CAUTION_UNEVEN) != 0,
                     shape == OXT_SHAPE_ANY);
    }
}

/* While the part is still dry the bath that is meant is what there is to mind: by the salt's own temperature, that of the
 * thermometer less its error. Without a bath nothing is known of it. */
Test(track, cautions_before_the_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    const uint32_t of_bath = OXT_CAUTION_SOFTENS | OXT_CAUTION_ABOVE_WORKING |
                             OXT_CAUTION_ABOVE_MODEL | OXT_CAUTION_ABOVE_LEGAL |
                             OXT_CAUTION_BELOW_MELTING;
    const struct {
        double bath_K;
        uint32_t cautions;
    } baths[] = {
        { 0.0, 0 },
        { 440.0, OXT_CAUTION_SOFTENS | OXT_CAUTION_BELOW_MELTING },
        { BATH_K, OXT_CAUTION_SOFTENS },
        { 830.0, OXT_CAUTION_SOFTENS | OXT_CAUTION_ABOVE_WORKING },
        { 930.0, of_bath & ~(uint32_t)OXT_CAUTION_BELOW_MELTING },
    };
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.003);
    const oxt_growth growth = usual_growth();
    const oxt_target target = target_of("blue");
    for (size_t i = 0; i < sizeof baths / sizeof *baths; i++) {
        oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
        oxt_track *tracker;
        options.bath_K = baths[i].bath_K;
        options.part = baths[i].bath_K > 0.0 ? &part : NULL;
        OK(tracker_by(&tracker, &growth, default_film(), &target, &options, &error));
        uint32_t cautions = reading(tracker).cautions;
        cr_assert_eq(cautions & of_bath, baths[i].cautions, "%g K", baths[i].bath_K);
        bool outside = (cautions & OXT_CAUTION_EXTRAPOLATED_BATH) != 0; /* of the trials */
        cr_assert_eq(outside, i == 1 || i > 2, "%g K", baths[i].bath_K);
        oxt_track_free(tracker);
    }
}

/* The rest of the window: it shrinks while the dip goes on, and ends with it. */
Test(track, caution_of_a_window_that_closes)
{
    oxt_track *tracker = tracker_of(NULL, NULL, "blue");
    bool before = false;
    for (int i = 0; reading(tracker).state != OXT_TRACK_PAST; i++) {
        feed(tracker, 0.1 * i, BATH_K);
        oxt_track_state now = reading(tracker);
        bool caution = (now.cautions & OXT_CAUTION_SHORT_WINDOW) != 0;
        cr_assert_eq(caution,
                     now.state != OXT_TRACK_PAST && now.to_latest_s - now.to_earliest_s < 3.0);
        cr_assert(caution || !before || now.state == OXT_TRACK_PAST);
        before = caution;
    }
    oxt_track_free(tracker);
}

Test(track, bad_settings)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track *made = (oxt_track *)&error;
    oxt_growth growth = usual_growth(), steep = growth_of(30.0, 588.7, 1e8);
    oxt_target target = target_of("blue");
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_part part = part_of(OXT_SHAPE_PLATE, 0.006);
    oxt_lift lift = OXT_LIFT_INIT;
    FAILS(tracker_by(&made, &steep, default_film(), &target, NULL, &error), OXT_EDOMAIN);
    cr_assert_null(made);
    options.part = &part;
    FAILS(tracker_by(&made, &growth, default_film(), &target, &options, &error), OXT_EDOMAIN);
    SAYS("bath_K");
    options.bath_K = BATH_K;
    options.lift = &lift;
    lift.delay_s = -1.0;
    FAILS(tracker_by(&made, &growth, default_film(), &target, &options, &error), OXT_EDOMAIN);
    SAYS("delay_s");
    lift.delay_s = 1.0;
    options.initial_nm = -1.0;
    FAILS(tracker_by(&made, &growth, default_film(), &target, &options, &error), OXT_EDOMAIN);
    SAYS("initial_nm");
    options.initial_nm = 0.0;
    options.longest_gap_s = 0.0;
    FAILS(tracker_by(&made, &growth, default_film(), &target, &options, &error), OXT_EDOMAIN);
    SAYS("longest_gap_s");
    options.longest_gap_s = 5.0;
    target.high_nm = 1.0;
    FAILS(tracker_by(&made, &growth, default_film(), &target, &options, &error), OXT_EDOMAIN);
    SAYS("high_nm");
    FAILS(tracker_by(&made, &growth, NULL, &target, &options, &error), OXT_EARG);
    FAILS(oxt_track_new(&made, NULL, default_film(), &target, &options, &error), OXT_EARG);
    FAILS(oxt_track_feed(NULL, 0.0, 600.0, &error), OXT_EARG);
}
