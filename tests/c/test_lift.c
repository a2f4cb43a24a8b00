/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the bath to the quench, and dips of parts that are not like the coupons. */
#include <gsl/gsl_integration.h>
#include <string.h>

#include "support.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

static oxt_part plate(double size_m)
{
    oxt_part part = OXT_PART_INIT;
    part.size_m = size_m;
    return part;
}

static oxt_lift lift_of(double delay_s)
{
    oxt_lift lift = OXT_LIFT_INIT;
    lift.delay_s = delay_s;
    return lift;
}

static double lifted(const oxt_growth *growth, const oxt_part *part, const oxt_lift *lift,
                     double from_K, double *quench_K)
{
    oxt_error error = OXT_ERROR_INIT;
    double exposure_nm2 = 0.0;
    OK(oxt_heat_lift_exposure(growth, part, lift, from_K, &exposure_nm2, quench_K, &error));
    return exposure_nm2;
}

static double rate_at(const oxt_growth *growth, double temperature_K)
{
    oxt_error error = OXT_ERROR_INIT;
    double rate = 0.0;
    OK(oxt_rate(growth, temperature_K, &rate, &error));
    return rate;
}

static oxt_growth usual_growth(void)
{
    return growth_of(55.0, 588.7, 80e3);
}

/* F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, example 5.5, first step:
 * a sphere of 10 mm cools in air from 400 to 335 C in 93.8 s; 93.79931 s with exact logarithms. */
Test(lift, cools_as_the_sphere_of_the_textbook)
{
    oxt_growth growth = usual_growth();
    oxt_part part = OXT_PART_INIT;
    part.shape = OXT_SHAPE_SPHERE;
    part.size_m = 0.01;
    part.density_kg_per_m3 = 3000.0;
    part.heat_J_per_kgK = 1000.0;
    part.conductivity_W_per_mK = 20.0;
    oxt_lift lift = lift_of(93.79931);
    lift.emissivity = 0.0;
    double quench_K;
    lifted(&growth, &part, &lift, 673.15, &quench_K);
    NEAR(quench_K, 608.15, 1e-5);
}

/* The same book, equation 5.18: the time for cooling by radiation alone. */
Test(lift, radiates_as_the_textbook_integrates)
{
    oxt_growth growth = usual_growth();
    oxt_part part = plate(0.004);
    part.heat_J_per_kgK = 560.0;
    oxt_lift lift = { sizeof lift, 60.0, 293.15, 0.0, 0.8 };
    double T, from = 620.0, around = lift.air_K;
    lifted(&growth, &part, &lift, from, &T);
    double unit_s = 7850.0 * 560.0 * 0.002 / (4.0 * 0.8 * 5.670374419e-8 * pow(around, 3.0));
    double time_s = unit_s *
                    (log((T + around) / (T - around)) - log((from + around) / (from - around)) +
                     2.0 * (atan(T / around) - atan(from / around)));
    CLOSE(time_s, 60.0, 1e-9);
}

typedef struct {
    oxt_growth growth;
    double from_K, air_K, tau_s;
} convection;

static double rate_while_cooling(double time_s, void *context)
{
    const convection *in_air = context;
    return rate_at(&in_air->growth,
                   in_air->air_K + (in_air->from_K - in_air->air_K) * exp(-time_s / in_air->tau_s));
}

/* Convection alone is an exponential; its exposure by adaptive quadrature. */
Test(lift, exposure_against_quadrature)
{
    oxt_part part = plate(0.002);
    part.heat_J_per_kgK = 560.0;
    oxt_lift lift = { sizeof lift, 90.0, 293.15, 25.0, 0.0 };
    convection in_air = { usual_growth(), 620.0, 293.15, 7850.0 * 560.0 * 0.001 / 25.0 };
    gsl_function rate = { rate_while_cooling, &in_air };
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(100);
    double expected, estimate;
    gsl_integration_qag(&rate, 0.0, 90.0, 0.0, 1e-12, 100, GSL_INTEG_GAUSS61, space, &expected,
                        &estimate);
    gsl_integration_workspace_free(space);
    CLOSE(lifted(&in_air.growth, &part, &lift, 620.0, NULL), expected, 1e-9);
}

/* Mathematics: convection and radiation together, by ten thousand steps of Runge and Kutta for temperature and
 * exposure; from a foil to a bar, from a moment to the longest time. */
Test(lift, exposure_against_a_stepped_path)
{
    enum { STEPS = 10000 };
    const double sizes_m[] = { 0.0005, 0.004, 0.02 }, delays_s[] = { 0.3, 3.0, 10.0, 60.0, 400.0 };
    oxt_growth growth = usual_growth();
    for (size_t i = 0; i < 15; i++) {
        oxt_part part = plate(sizes_m[i % 3]);
        part.heat_J_per_kgK = 560.0;
        oxt_lift lift = { sizeof lift, delays_s[i / 3], 293.15, 12.0, 0.8 };
        double capacity = 7850.0 * 560.0 * 0.5 * part.size_m, h = lift.delay_s / STEPS, T = 620.0;
        double expected = 0.0, found_K;
        for (int step = 0; step < STEPS; step++) {
            const double share[] = { 0.0, 0.5, 0.5, 1.0 }, weight[] = { 1.0, 2.0, 2.0, 1.0 };
            double slope = 0.0, cooled = 0.0, grown = 0.0;
            for (int k = 0; k < 4; k++) {
                double at_K = T + share[k] * h * slope;
                slope = -(12.0 * (at_K - 293.15) +
                          0.8 * 5.670374419e-8 * (pow(at_K, 4.0) - pow(293.15, 4.0))) /
                        capacity;
                cooled += h / 6.0 * weight[k] * slope;
                grown += h / 6.0 * weight[k] * 55.0 * exp(-80e3 / R * (1.0 / at_K - 1.0 / 588.7));
            }
            T += cooled;
            expected += grown;
        }
        CLOSE(lifted(&growth, &part, &lift, 620.0, &found_K), expected, 1e-10);
        NEAR(found_K, T, 1e-7);
    }
}

/* Physics: nothing that takes heat, no cooling; a size of 0 stays hot by contract. */
Test(lift, without_losses_it_grows_as_in_the_bath)
{
    oxt_growth growth = usual_growth();
    oxt_part part = plate(0.004), none = plate(0.0);
    oxt_lift sheltered = { sizeof sheltered, 8.0, 293.15, 0.0, 0.0 }, open = lift_of(8.0);
    double expected = 8.0 * rate_at(&growth, 600.0), quench_K;
    CLOSE(lifted(&growth, &part, &sheltered, 600.0, &quench_K), expected, 1e-12);
    CLOSE(quench_K, 600.0, 1e-12);
    CLOSE(lifted(&growth, &none, &open, 600.0, NULL), expected, 1e-12);
    cr_assert(lifted(&growth, &part, &open, 600.0, &quench_K) < expected);
    cr_assert(quench_K < 600.0);
}

/* Physics: a longer way grows more, but never faster than at the start; a thin part and moving air
 * cool sooner. */
Test(lift, longer_grows_more_and_cooling_less)
{
    oxt_growth growth = usual_growth();
    oxt_part thin = plate(0.001), thick = plate(0.006);
    double last = 0.0;
    for (double delay_s = 0.0; delay_s <= 60.0; delay_s += 5.0) {
        oxt_lift lift = lift_of(delay_s), windy = lift;
        windy.convection_W_per_m2K = 50.0;
        double grown = lifted(&growth, &thin, &lift, 600.0, NULL);
        cr_assert(delay_s == 0.0 ? grown == 0.0 : grown > last);
        cr_assert(grown <= delay_s * rate_at(&growth, 600.0));
        cr_assert(lifted(&growth, &thick, &lift, 600.0, NULL) >= grown);
        cr_assert(lifted(&growth, &thin, &windy, 600.0, NULL) <= grown);
        last = grown;
    }
}

Test(lift, refuses_what_is_out_of_range)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = usual_growth();
    oxt_part part = plate(0.004);
    const oxt_lift bad[] = { { sizeof(oxt_lift), -1.0, 293.15, 10.0, 0.3 },
                             { sizeof(oxt_lift), 4000.0, 293.15, 10.0, 0.3 },
                             { sizeof(oxt_lift), 5.0, 500.0, 10.0, 0.3 },
                             { sizeof(oxt_lift), 5.0, 293.15, -1.0, 0.3 },
                             { sizeof(oxt_lift), 5.0, 293.15, 10.0, 1.1 },
                             { sizeof(oxt_lift), NAN, 293.15, 10.0, 0.3 } };
    double exposure;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        FAILS(oxt_heat_lift_exposure(&growth, &part, &bad[i], 600.0, &exposure, NULL, &error),
              OXT_EDOMAIN);
    FAILS(oxt_heat_lift_exposure(&growth, &part, &bad[0], 1000.0, &exposure, NULL, &error),
          OXT_EDOMAIN);
    FAILS(oxt_heat_lift_exposure(&growth, &part, &bad[0], 200.0, &exposure, NULL, &error),
          OXT_EDOMAIN);
}

/* ---- dips ---- */

static oxt_dip predict(const char *name, double bath_K, const oxt_dip_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target target = target_of(name);
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_dip_predict(steel, &target, bath_K, options, &dip, &error));
    oxt_steel_free(steel);
    return dip;
}

static double exposure_of(const oxt_part *part, double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = usual_growth();
    double exposure_nm2 = 0.0;
    OK(oxt_bath_exposure(&growth, NULL, part, 0.0, bath_K, time_s, &exposure_nm2, &error));
    return exposure_nm2;
}

/* Forwards along the thermal path: heating up, bath and lift together grow the aim and the bounds. */
Test(lifted_dip, grows_the_target_at_the_quench)
{
    const double sizes_m[] = { 0.001, 0.006, 0.03 };
    oxt_growth growth = usual_growth();
    for (size_t i = 0; i < 3; i++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        oxt_part part = plate(sizes_m[i]);
        oxt_lift lift = lift_of(6.0);
        options.part = &part;
        options.lift = &lift;
        oxt_dip dip = predict("blue", 600.0, &options);
        const double times[] = { dip.time_s, dip.earliest_s, dip.latest_s };
        const double films[] = { dip.target.aim_nm, dip.target.low_nm, dip.target.high_nm };
        for (size_t j = 0; j < 3; j++) {
            double grown = grown_nm2(&growth, &part, &lift, 600.0, times[j]);
            CLOSE(sqrt(grown), films[j], 1e-8);
        }
        double at_lift_nm = sqrt(exposure_of(&part, 600.0, dip.time_s));
        CLOSE(dip.lift_growth_nm, dip.target.aim_nm - at_lift_nm, 1e-4);
        CLOSE(dip.lag_s,
              dip.time_s - exposure_of(&part, 600.0, dip.time_s) / rate_at(&growth, 600.0), 1e-9);
    }
}

/* The lift alone grows the aim: the part leaves at once, with the film of the lift; past the band the dip is refused. */
Test(lifted_dip, may_be_the_lift_alone)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = usual_growth();
    oxt_part part = plate(0.03);
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target blue = target_of("blue");
    double bath_K = 680.0, grown = 0.0;
    oxt_lift lift = lift_of(1.0);
    part.start_K = bath_K;
    options.part = &part;
    options.lift = &lift;
    for (; sqrt(grown) < blue.aim_nm; lift.delay_s *= 1.01)
        OK(oxt_heat_lift_exposure(&growth, &part, &lift, bath_K, &grown, NULL, &error));
    OK(oxt_heat_lift_exposure(&growth, &part, &lift, bath_K, &grown, NULL, &error));
    oxt_dip dip = predict("blue", bath_K, &options);
    cr_assert(dip.time_s == 0.0 && sqrt(grown) < blue.high_nm);
    CLOSE(dip.quench_nm, sqrt(grown), 1e-9);
    oxt_steel_values values = some_steel();
    values.growth = growth;
    oxt_steel *steel = steel_of(&values);
    lift.delay_s *= 3.0;
    FAILS(oxt_dip_predict(steel, &blue, bath_K, &options, &dip, &error), OXT_EUNREACHABLE);
    oxt_steel_free(steel);
}

/* Contract: a part like the coupons, lifted as they were, takes the time of the trials. */
Test(lifted_dip, a_coupon_takes_the_time_of_the_trials)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_part coupon = plate(0.003);
    oxt_lift lift = lift_of(4.0);
    oxt_dip bare = predict("blue", 600.0, NULL);
    options.coupon = &coupon;
    options.coupon_lift = &lift;
    for (int named = 0; named < 2; named++) {
        options.part = named ? &coupon : NULL;
        options.lift = named ? &lift : NULL;
        oxt_dip dip = predict("blue", 600.0, &options);
        CLOSE(dip.time_s, bare.time_s, 1e-9);
        CLOSE(dip.earliest_s, bare.earliest_s, 1e-9);
        CLOSE(dip.latest_s, bare.latest_s, 1e-9);
        cr_assert(dip.lag_s > 0.0 && dip.lift_growth_nm > 0.0);
    }
}

/* With both known the difference of the two lags is what counts (no lift: the rest is the same). */
Test(lifted_dip, differs_from_the_coupon_by_the_lags)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = usual_growth();
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_part coupon = plate(0.003), part = plate(0.008);
    options.coupon = &coupon;
    options.part = &part;
    oxt_dip bare = predict("blue", 600.0, NULL), dip = predict("blue", 600.0, &options);
    double time_s, lag_s, worth = exposure_of(&coupon, 600.0, bare.time_s);
    OK(oxt_heat_time_for_exposure(&growth, &part, 600.0, worth, &time_s, &lag_s, &error));
    CLOSE(dip.time_s, time_s, 1e-9);
    CLOSE(dip.lag_s, lag_s, 1e-6);
    cr_assert(dip.time_s > bare.time_s);
}

/* Physics: a thicker part is never sooner, a hotter bath never slower, a longer way to the quench
 * never lengthens the dip. */
Test(lifted_dip, moves_the_right_way)
{
    const oxt_target purple = target_of("purple");
    const oxt_growth growth = some_steel().growth;
    double last_bath_s = HUGE_VAL;
    for (double bath_K = 560.0; bath_K <= 640.0; bath_K += 20.0) {
        double last_size_s = 0.0;
        for (double size_m = 0.0; size_m <= 0.04; size_m += 0.004) {
            double last_lift_s = HUGE_VAL;
            for (double delay_s = 0.0; delay_s <= 12.0; delay_s += 4.0) {
                oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
                oxt_part part = plate(size_m);
                oxt_lift lift = lift_of(delay_s);
                options.part = &part;
                options.lift = &lift;
                if (size_m == 0.0 &&
                    rate_at(&growth, bath_K) * delay_s > purple.high_nm * purple.high_nm)
                    continue; /* the lift alone is too much */
                oxt_dip dip = predict("purple", bath_K, &options);
                cr_assert(dip.earliest_s <= dip.time_s && dip.time_s <= dip.latest_s);
                cr_assert(dip.time_s <= last_lift_s);
                last_lift_s = dip.time_s;
                if (delay_s > 0.0)
                    continue;
                cr_assert(dip.time_s >= last_size_s);
                last_size_s = dip.time_s;
                if (size_m == 0.0) {
                    cr_assert(dip.time_s < last_bath_s);
                    last_bath_s = dip.time_s;
                }
            }
        }
    }
}

/* ---- a film already there ---- */

/* Parabolic law: exposures add, so a dip may be broken off and gone on with. */
Test(topped_up_dip, goes_on_where_the_first_ended)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target brown = target_of("brown");
    oxt_dip first = predict("brown", 600.0, NULL), whole = predict("blue", 600.0, NULL);
    options.initial = &brown;
    oxt_dip rest = predict("blue", 600.0, &options);
    CLOSE(first.time_s + rest.time_s, whole.time_s, 1e-12);
    cr_assert(rest.initial_nm == brown.aim_nm);
    cr_assert(rest.next_low_s > 0.0 && rest.next_low_s < rest.time_s);
}

Test(topped_up_dip, what_is_known_of_the_film_counts)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target sharp = OXT_TARGET_INIT, brown = target_of("brown");
    OK(oxt_tint_target_of_thickness(brown.aim_nm, brown.aim_nm, brown.aim_nm, &sharp, &error));
    options.initial = &brown;
    double named = predict("purple", 600.0, &options).chance;
    options.initial = &sharp;
    oxt_dip measured = predict("purple", 600.0, &options);
    cr_assert(named < measured.chance);
    /* Statistics by hand: scatter acts on what is added only. */
    oxt_target purple = target_of("purple");
    double there = sharp.aim_nm * sharp.aim_nm, aim = purple.aim_nm * purple.aim_nm - there;
    double slope = -(1.0 / 600.0 - 1.0 / 588.7) / OXT_GAS_CONSTANT_J_PER_MOL_K;
    double of_next = 0.0021 + slope * slope * 31.7e6 + 4.0 * 0.05 * 0.05;
    CLOSE(log(measured.next_high_s / measured.time_s), 2.2281388519649385 * sqrt(of_next), 1e-9);
    oxt_growth growth = usual_growth();
    CLOSE(measured.time_s, aim / rate_at(&growth, 600.0), 1e-12);
}

Test(topped_up_dip, nothing_is_left_to_do_in_the_window)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target blue = target_of("blue"), there = OXT_TARGET_INIT;
    double nm = 0.5 * (blue.aim_nm + blue.high_nm);
    OK(oxt_tint_target_of_thickness(nm, nm, nm, &there, &error));
    options.initial = &there;
    oxt_dip dip = predict("blue", 600.0, &options);
    cr_assert(dip.time_s == 0.0 && dip.earliest_s == 0.0 && dip.latest_s > 0.0);
    cr_assert(dip.chance == 1.0);
    options.initial = &blue; /* all of the band is as likely */
    cr_assert(predict("blue", 600.0, &options).chance < 1.0);
}

/* A film only grows. */
Test(topped_up_dip, an_overshoot_is_polished_off)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_of("blue"), brown = target_of("brown");
    oxt_dip dip = OXT_DIP_INIT;
    double bath_K;
    options.initial = &blue;
    FAILS(oxt_dip_predict(steel, &brown, 600.0, &options, &dip, &error), OXT_EUNREACHABLE);
    SAYS("polish it off and start again");
    FAILS(bath_for_time(steel, &brown, 60.0, &options, &bath_K, &error), OXT_EUNREACHABLE);
    oxt_steel_free(steel);
}

/* ---- the bath it goes into ---- */

/* Contract: an offset is another bath, and the errors of a bath add as independent ones do. */
Test(dip_in_a_bath, thermometer_and_wander_count)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT, by_hand = OXT_DIP_OPTIONS_INIT;
    oxt_bath bath = { sizeof bath, OXT_SALT_TERNARY, 5.0, 3.0, 4.0, 0.0, 0.0 };
    options.salt_bath = &bath;
    by_hand.bath_wander_K = 5.0;
    oxt_dip here = predict("blue", 595.0, &options), there = predict("blue", 600.0, &by_hand);
    cr_assert(here.bath_K == 595.0);
    CLOSE(here.time_s, there.time_s, 1e-12);
    CLOSE(here.next_high_s, there.next_high_s, 1e-12);
    CLOSE(here.chance, there.chance, 1e-12);
    cr_assert(!(here.cautions & OXT_CAUTION_BELOW_MELTING));
}

/* Physics: a load cools a bath of little salt and makes each part slower, the more the heavier;
 * without limits, or with hardly a load, it is the plain dip. */
Test(dip_in_a_bath, a_load_slows_it)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = usual_growth();
    oxt_part part = plate(0.003);
    oxt_bath bath = { sizeof bath, OXT_SALT_BINARY_60_40, 0.0, 0.0, 0.0, 15.0, 1000.0 };
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    part.shape = OXT_SHAPE_ANY;
    options.part = &part;
    double plain_s = predict("blue", 600.0, &options).time_s, last_s = plain_s;
    options.salt_bath = &bath;
    options.load_kg = 1e-6;
    /* within what properties by temperature differ from those of the mean */
    bath.salt = OXT_SALT_UNSTATED;
    CLOSE(predict("blue", 600.0, &options).time_s, plain_s, 2e-2);
    last_s = predict("blue", 600.0, &options).time_s * (1.0 - 1e-9);
    for (double load_kg = 0.25; load_kg <= 4.0; load_kg *= 2.0) {
        double grown;
        options.load_kg = load_kg;
        oxt_dip dip = predict("blue", 600.0, &options);
        cr_assert(dip.time_s >= last_s && dip.lag_s > 0.0);
        last_s = dip.time_s;
        OK(oxt_bath_exposure(&growth, &bath, &part, load_kg, 600.0, dip.time_s, &grown, &error));
        CLOSE(sqrt(grown), dip.target.aim_nm, 1e-9);
    }
    cr_assert(predict("blue", 600.0, &options).cautions & OXT_CAUTION_SAG);
    options.load_kg = 1e5; /* it would freeze the bath */
    oxt_steel_values values = some_steel();
    values.bath_low_K = 597.0; /* the bath sags below what the trials ran in */
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_of("blue");
    oxt_dip none = OXT_DIP_INIT;
    oxt_dip_options light = options;
    light.load_kg = 0.0;
    OK(oxt_dip_predict(steel, &blue, 600.0, &light, &none, &error));
    cr_assert(!(none.cautions & OXT_CAUTION_EXTRAPOLATED_BATH));
    light.load_kg = 4.0;
    OK(oxt_dip_predict(steel, &blue, 600.0, &light, &none, &error));
    cr_assert(none.cautions & OXT_CAUTION_EXTRAPOLATED_BATH);
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &none, &error), OXT_EUNREACHABLE);
    SAYS("the load cools the bath too far");
    oxt_steel_free(steel);
    options.load_kg = 4.0;
    bath.salt_kg = 0.0;
    oxt_dip steady = predict("blue", 600.0, &options);
    CLOSE(steady.time_s, plain_s, 1e-12);
    cr_assert(!(steady.cautions & OXT_CAUTION_SAG));
    bath.salt_kg = 15.0;
    bath.heater_W = 0.0; /* it never comes back: the search still ends */
    cr_assert(predict("blue", 600.0, &options).time_s > last_s);
}

/* The same heat balance in closed form, growth under the crust left out: a part at the melting point after
 * C (T_m - T_0)/(h (T_b - T_m)), which a bare one is after tau ln((T_b - T_0)/(T_b - T_m)). With a share of the
 * rate at the melting point the crust costs a little less. */
Test(dip_in_a_bath, frozen_salt_delays_it)
{
    oxt_part part = plate(0.003);
    oxt_bath bath = OXT_BATH_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    const double bath_K = 588.75, tau_s = 7850.0 * 540.0 * 0.003 / 600.0;
    part.shape = OXT_SHAPE_ANY;
    part.heat_J_per_kgK = 540.0;
    options.part = &part;
    options.salt_bath = &bath;
    options.time_wander_s = 2.0;
    oxt_dip bare = predict("blue", bath_K, &options);
    cr_assert(bare.crust_s == 0.0 && bare.preheat_saves_s == 0.0);
    static const oxt_salt salts[] = { OXT_SALT_TERNARY, OXT_SALT_BINARY_60_40 };
    static const double melting_K[] = { 142.0 + 273.15, 229.0 + 273.15 };
    for (int i = 0; i < 2; i++) {
        bath.salt = salts[i];
        oxt_dip frozen = predict("blue", bath_K, &options);
        double up = melting_K[i] - 293.15, left = bath_K - melting_K[i];
        double closed_s = tau_s * (up / left - log((bath_K - 293.15) / left));
        cr_assert(frozen.time_s - bare.time_s < closed_s &&
                      frozen.time_s - bare.time_s > 0.8 * closed_s,
                  "%g s, closed form %g s", frozen.time_s - bare.time_s, closed_s);
        CLOSE(frozen.crust_s, tau_s * up / left, 2e-3);
        cr_assert(frozen.preheat_saves_s > 1.3 * closed_s);
        CLOSE(frozen.lag_s - bare.lag_s, frozen.time_s - bare.time_s, 1e-6);
        cr_assert(fabs(frozen.chance - bare.chance) < 0.02);
        part.start_K = melting_K[i];
        oxt_dip warm = predict("blue", bath_K, &options);
        cr_assert(warm.crust_s == 0.0);
        CLOSE(frozen.time_s - warm.time_s, frozen.preheat_saves_s, 1e-6);
        part.start_K = 293.15;
    }
    /* What shows the colour already is not dipped, and no salt freezes on it. */
    oxt_target there = target_of("blue");
    options.initial = &there;
    cr_assert_eq(predict("blue", bath_K, &options).time_s, 0.0);
}

/* J. H. Hollomon and L. D. Jaffe, Trans. AIME 162 (1945) 223: blue at 600 F is a heavier temper than
 * 2 h at 400 F and a lighter one than 2 h at 700 F. The caution stands before the lift. */
Test(dip_in_a_bath, a_hardened_part_is_called_out)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    char text[8000];
    options.last_temper_K = 477.594;
    options.last_temper_s = 7200.0;
    oxt_dip dip = predict("blue", 588.7, &options);
    cr_assert(dip.cautions & OXT_CAUTION_HARDENED);
    OK(oxt_dip_report(&dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, text, sizeof text, NULL,
                      &error));
    const char *forbids = strstr(text, "  - DO NOT DIP: "), *lift = strstr(text, "lift after");
    cr_assert(forbids && lift && forbids < lift);
    cr_assert(!strstr(lift, "DO NOT DIP"), "once is enough");
    options.last_temper_K = 644.26;
    cr_assert(!(predict("blue", 588.7, &options).cautions & OXT_CAUTION_HARDENED));
    cr_assert(!(predict("blue", 588.7, NULL).cautions & OXT_CAUTION_HARDENED));
}

/* The parameter of Hollomon and Jaffe written out, T (20 + log10 h), over the whole of the dip: a tenth of
 * its time would be 5 % less. The caution comes on top of all others. */
Test(dip_in_a_bath, a_dip_softens_by_its_whole_time)
{
    for (int i = 0; i < 2; i++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        oxt_dip bare = predict("blue", 588.7, &options);
        double parameter = 588.7 * (20.0 + log10(bare.time_s / 3600.0));
        options.last_temper_s = 7200.0;
        options.last_temper_K = (i ? 1.02 : 0.98) * parameter / (20.0 + log10(2.0));
        uint32_t cautions = predict("blue", 588.7, &options).cautions;
        cr_assert_eq(cautions, i ? bare.cautions : bare.cautions | OXT_CAUTION_HARDENED);
    }
}

/* dip.h: times are at bath temperature unless both the part and its way out are known. */
Test(dip_in_a_bath, part_and_lift_are_both_needed)
{
    oxt_part part = plate(0.006);
    oxt_lift lift = OXT_LIFT_INIT;
    for (int i = 0; i < 4; i++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.part = i & 1 ? &part : NULL;
        options.lift = i & 2 ? &lift : NULL;
        uint32_t cautions = predict("blue", 600.0, &options).cautions;
        cr_assert_eq((cautions & OXT_CAUTION_AT_TEMPERATURE) != 0, i != 3, "%d", i);
    }
}

/* A bath without limit does not excuse a load that is none. */
Test(dip_in_a_bath, a_load_is_checked_in_every_bath)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    oxt_part part = plate(0.006);
    oxt_bath bath = OXT_BATH_INIT;
    double exposure_nm2;
    OK(oxt_bath_exposure(&growth, &bath, &part, 1.0, 600.0, 60.0, &exposure_nm2, &error));
    FAILS(oxt_bath_exposure(&growth, &bath, &part, -1.0, 600.0, 60.0, &exposure_nm2, &error),
          OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "load_kg");
}

Test(dip_in_a_bath, refuses_what_it_cannot_reckon)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_of("blue");
    oxt_part thick = plate(0.05);
    oxt_bath bath = { sizeof bath, OXT_SALT_BINARY_60_40, 0.0, 0.0, 0.0, 15.0, 1000.0 };
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    options.salt_bath = &bath;
    options.load_kg = 1.0;
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EARG);
    SAYS("expected the part");
    options.part = &thick;
    OK(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error));
    options.load_kg = 0.0;
    options.part = NULL;
    options.last_temper_K = 477.0;
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EDOMAIN);
    options.last_temper_K = 0.0;
    options.load_kg = -1.0;
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EDOMAIN);
    bath.thermometer_offset_K = 60.0;
    options.load_kg = 0.0;
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EDOMAIN);
    oxt_steel_free(steel);
}

/* ---- back ---- */

/* Round trip: the bath for a time is the one that the time was predicted for. */
Test(lifted_dip, bath_for_a_time_turns_it_round)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_of("blue"), straw = target_of("straw");
    oxt_part part = plate(0.006), thick = plate(0.03), coupon = plate(0.003);
    oxt_lift lift = lift_of(5.0);
    const oxt_bath warm = { sizeof warm, OXT_SALT_UNSTATED, 4.0, 0.0, 0.0, 0.0, 0.0 };
    const oxt_bath small = { sizeof small, OXT_SALT_BINARY_60_40, -2.0, 0.0, 0.0, 20.0, 1500.0 };
    const oxt_dip_options options[] = {
        { sizeof options[0], .confidence = 0.95, .part = &part },
        { sizeof options[0], .confidence = 0.95, .part = &thick, .lift = &lift },
        { sizeof options[0], .confidence = 0.95, .part = &part, .lift = &lift, .coupon = &coupon,
          .coupon_lift = &lift, .initial = &straw, .salt_bath = &warm, .load_kg = 0.5 },
        { sizeof options[0], .confidence = 0.95, .part = &part, .lift = &lift, .salt_bath = &small,
          .load_kg = 1.5 },
    };
    for (size_t i = 0; i < 4; i++)
        for (double bath_K = 570.0; bath_K <= 630.0; bath_K += 30.0) {
            double back_K;
            oxt_dip dip = predict("blue", bath_K, &options[i]);
            OK(bath_for_time(steel, &blue, dip.time_s, &options[i], &back_K, &error));
            CLOSE(back_K, bath_K, 1e-7);
        }
    oxt_part hot = part;
    double back_K;
    hot.start_K = 700.0;
    oxt_dip_options preheated = options[0];
    preheated.part = &hot;
    FAILS(bath_for_time(steel, &blue, 3600.0, &preheated, &back_K, &error), OXT_EUNREACHABLE);
    SAYS("colder than the part");
    oxt_steel_free(steel);
}

/* The report names what the time was reckoned with. */
Test(lifted_dip, report_tells_lag_lift_and_film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_part part = plate(0.006);
    oxt_lift lift = lift_of(5.0);
    oxt_target straw = target_of("straw");
    char text[8000];
    options.part = &part;
    options.lift = &lift;
    options.initial = &straw;
    oxt_dip dip = predict("blue", 600.0, &options);
    OK(oxt_dip_report(&dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, text, sizeof text, NULL,
                      &error));
    cr_assert(strstr(text, "heating-up time included"));
    cr_assert(strstr(text, "growth between lift and quench"));
    cr_assert(strstr(text, "film already on the part"));
    cr_assert(!(dip.cautions & OXT_CAUTION_AT_TEMPERATURE));
    dip = predict("blue", 600.0, NULL);
    OK(oxt_dip_report(&dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, text, sizeof text, NULL,
                      &error));
    cr_assert(!strstr(text, "heating-up time included"));
    cr_assert(dip.cautions & OXT_CAUTION_AT_TEMPERATURE);
}
