/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A card knows its coupons: what its constants stand for, and which part and lift a prediction takes. And
 * what holds of every prediction, whatever its parts, coupons and lifts. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_rng.h>
#include <stdlib.h>
#include <string.h>

#include "support.h"

static const double BLUE_BATH_K = 588.706; /* 600 F */

/* ---- logs of coupons ---- */

/* 178 s at 600 F to the middle of blue: what the steel itself needs. */
static oxt_growth truth(void)
{
    const oxt_target blue = target_of("blue");
    return growth_of(blue.aim_nm * blue.aim_nm / 178.0, BLUE_BATH_K, 80e3);
}

/* The exposure of a thin part, from entering the bath to the quench: of one temperature when it is lifted. In air its
 * heat is that of the bath's temperature, as the library has it. */
static double path_nm2(const oxt_growth *growth, const oxt_part *part, const oxt_lift *lift,
                       double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double in_bath, in_air, surface_K;
    oxt_warming warming = OXT_WARMING_INIT;
    oxt_part hot = *part;
    hot.start_K = bath_K;
    OK(oxt_heat_warming(&hot, bath_K, &warming, &error));
    hot.start_K = part->start_K;
    hot.heat_J_per_kgK = warming.heat_J_per_kgK;
    OK(oxt_bath_exposure(growth, NULL, part, 0.0, bath_K, time_s, &in_bath, &error));
    OK(oxt_heat_surface_temperature(part, bath_K, time_s, &surface_K, &error));
    OK(oxt_heat_lift_exposure(growth, &hot, lift, surface_K, &in_air, NULL, &error));
    return in_bath + in_air;
}

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

/* A plate of a size with a lift, as it came out. */
static oxt_trial coupon_of(double size_m, double lift_s, double bath_K, double time_s)
{
    const oxt_growth growth = truth();
    const oxt_part part = plate(size_m);
    const oxt_lift lift = lift_of(lift_s);
    oxt_trial trial = trial_at(bath_K, time_s);
    trial.part_size_m = size_m;
    trial.lift_s = lift_s;
    trial.seen = OXT_SEEN_THICKNESS;
    trial.thickness_nm = sqrt(path_nm2(&growth, &part, &lift, bath_K, time_s));
    return trial;
}

static void add(oxt_trials *log, oxt_trial trial)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_trials_add(log, &trial, NULL, &error));
}

/* Nine coupons in three baths; the sizes, over and over. */
static oxt_trials *log_of(const double *sizes_m, size_t count, double lift_s)
{
    static const double baths_K[] = { 566.5, BLUE_BATH_K, 610.9 };
    oxt_trials *log = new_log();
    for (size_t i = 0; i < 9; i++)
        add(log,
            coupon_of(sizes_m[i % count], lift_s, baths_K[i / 3], 80.0 + 60.0 * (double)(i % 3)));
    return log;
}

static oxt_steel *fitted(oxt_trials *log, bool *warned, const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    oxt_steel *steel;
    char text[400];
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    for (size_t i = 0; warned && i < fit_warning_count(fit); i++) {
        OK(oxt_fit_warning(fit, i, text, sizeof text, NULL, &error));
        *warned = *warned || strstr(text, words);
    }
    oxt_fit_free(fit);
    oxt_trials_free(log);
    return steel;
}

static oxt_steel *two_mm_steel(void)
{
    const double two_mm = 0.002;
    return fitted(log_of(&two_mm, 1, 4.0), NULL, NULL);
}

static oxt_dip predict(const oxt_steel *steel, const char *name, double bath_K,
                       const oxt_dip_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_target target = target_of(name);
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_dip_predict(steel, &target, bath_K, options, &dip, &error));
    return dip;
}

/* ---- the card ---- */

/* Contract: the middle coupon by volume over surface, the lower of two, with the ends of the range; a
 * sphere of 9 mm has the volume over surface of a plate of 3 mm. */
Test(coupons, the_middle_one_is_the_usual_one)
{
    oxt_trials *log = new_log();
    static const double sizes_m[] = { 0.001, 0.002, 0.009, 0.004, 0.010, 0.020 };
    for (size_t i = 0; i < 6; i++) {
        oxt_trial trial = coupon_of(sizes_m[i], (double)i, 560.0 + 10.0 * (double)i, 200.0);
        trial.part_shape = i == 2 ? OXT_SHAPE_SPHERE : OXT_SHAPE_PLATE;
        trial.part_start_K = i == 2 ? 310.0 : 0.0;
        trial.transfer_W_per_m2K = i == 2 ? 900.0 : 0.0;
        add(log, trial);
    }
    oxt_steel *steel = fitted(log, NULL, NULL);
    oxt_steel_values values = values_of_steel(steel);
    cr_assert_eq(values.basis, OXT_BASIS_STEEL);
    cr_assert_eq(values.coupon_shape, OXT_SHAPE_SPHERE);
    cr_assert(values.coupon_size_m == 0.009 && values.coupon_start_K == 310.0);
    cr_assert(values.coupon_transfer_W_per_m2K == 900.0 && values.coupon_lift_s == 2.0);
    cr_assert(values.coupon_size_low_m == 0.001 && values.coupon_size_high_m == 0.020);
    cr_assert(values.coupon_lift_low_s == 0.0 && values.coupon_lift_high_s == 5.0);
    char text[200];
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_steel_coupon_text(steel, text, sizeof text, NULL, &error));
    cr_assert_str_eq(text, "9 mm sphere, 2 s to the quench; sizes 1 mm to 20 mm; lifts 0 s to 5 s");
    oxt_steel_free(steel);
}

/* A lift that is stated is told, however short. */
Test(coupons, a_very_short_lift_is_told)
{
    const double two_mm = 0.002;
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = fitted(log_of(&two_mm, 1, 0.0005), NULL, NULL);
    char text[200];
    OK(oxt_steel_coupon_text(steel, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, " to the quench"), "%s", text);
    oxt_steel_free(steel);
}

/* Each number of a card's coupon is refused by its own name: steel.h gives the limits. */
Test(coupons, numbers_out_of_range_are_named)
{
    oxt_steel *sound = two_mm_steel();
    static const struct {
        const char *name;
        size_t offset;
        double value;
    } cases[] = {
#define CASE(field, value) { #field, offsetof(oxt_steel_values, field), value }
        CASE(coupon_size_m, 1.1),         CASE(coupon_start_K, 980.0),
        CASE(coupon_start_K, 100.0),      CASE(coupon_transfer_W_per_m2K, 2e6),
        CASE(coupon_lift_s, 3601.0),      CASE(coupon_size_low_m, 1.1),
        CASE(coupon_size_high_m, 1.1),    CASE(coupon_lift_low_s, 3601.0),
        CASE(coupon_lift_high_s, 3601.0),
#undef CASE
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_steel_values values = values_of_steel(sound);
        oxt_steel *steel;
        *(double *)((char *)&values + cases[i].offset) = cases[i].value;
        FAILS(oxt_steel_new(&steel, &values, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, cases[i].name);
    }
    oxt_steel_free(sound);
}

/* Contract: nothing stated leaves the coupons' path inside; lifts alone are of coupons without a size. */
Test(coupons, what_was_stated_decides)
{
    const double none = 0.0;
    oxt_steel *plain = fitted(log_of(&none, 1, 0.0), NULL, NULL);
    oxt_steel *lifted = fitted(log_of(&none, 1, 5.0), NULL, NULL);
    cr_assert_eq(values_of_steel(plain).basis, OXT_BASIS_COUPONS);
    cr_assert_eq(values_of_steel(lifted).basis, OXT_BASIS_STEEL);
    cr_assert(values_of_steel(lifted).coupon_size_m == 0.0 &&
              values_of_steel(lifted).coupon_lift_s == 5.0);
    CLOSE(predict(lifted, "blue", BLUE_BATH_K, NULL).time_s, 178.0 - 5.0, 1e-3);
    oxt_steel_free(plain);
    oxt_steel_free(lifted);
}

/* Physics: in a log of which some coupons state no part, those are like the others: the constants and the
 * card are those of a log that states all, and a warning says so. */
Test(coupons, who_states_no_part_was_like_the_others)
{
    const double sizes_m[] = { 0.002 };
    oxt_trials *all = log_of(sizes_m, 1, 4.0), *some = new_log();
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < oxt_trials_count(all); i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(all, i, &trial, &error));
        if (i % 4 == 0)
            trial.part_size_m = trial.lift_s = 0.0;
        add(some, trial);
    }
    bool warned = false;
    oxt_steel *whole = fitted(all, NULL, NULL);
    oxt_steel *mixed =
        fitted(some, &warned,
               "3 of 9 trials state no part: they are taken to be like the usual "
               "coupon of the others, 2 mm plate, 4 s to the quench. If they were not, "
               "state how they were run.");
    oxt_steel_values a = values_of_steel(whole), b = values_of_steel(mixed);
    cr_assert(warned);
    CLOSE(b.growth.k_ref_nm2_per_s, a.growth.k_ref_nm2_per_s, 1e-12);
    CLOSE(b.growth.Q_J_per_mol, a.growth.Q_J_per_mol, 1e-12);
    CLOSE(b.growth.Q_J_per_mol, 80e3, 1e-3);
    cr_assert(b.coupon_size_m == 0.002 && b.coupon_lift_s == 4.0 && b.coupon_size_low_m == 0.002);
    oxt_steel_free(whole);
    oxt_steel_free(mixed);
}

/* Round trip; and a card of format 1.1 knows nothing of coupons, so that their path is inside. */
Test(coupons, a_card_keeps_them)
{
    oxt_error error = OXT_ERROR_INIT;
    const double sizes_m[] = { 0.002, 0.002, 0.006 };
    oxt_steel *steel = fitted(log_of(sizes_m, 3, 4.0), NULL, NULL), *back, *older;
    char text[6000];
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    OK(oxt_steel_load(&back, NULL, text, strlen(text), &error));
    oxt_steel_values a = values_of_steel(steel), b = values_of_steel(back);
    cr_assert_arr_eq(&a, &b, sizeof a);
    char *basis = strstr(text, "\"basis\""), *end = strchr(strstr(basis, "\"coupon\""), '}') + 1;
    char *comma = basis;
    while (*comma != ',')
        comma--;
    memmove(comma, end, strlen(end) + 1);
    memcpy(strstr(text, "\"minor\": 4"), "\"minor\": 1", 10);
    OK(oxt_steel_load(&older, NULL, text, strlen(text), &error));
    b = values_of_steel(older);
    cr_assert(b.basis == OXT_BASIS_COUPONS && b.coupon_size_m == 0.0);
    cr_assert_eq(b.growth.k_ref_nm2_per_s, a.growth.k_ref_nm2_per_s);
    oxt_steel_free(steel);
    oxt_steel_free(back);
    oxt_steel_free(older);
}

/* Contract: what is wrong with the coupon of a card is named. */
Test(coupons, a_damaged_coupon_is_named)
{
    static const struct {
        const char *from, *to;
        oxt_status status;
        const char *words;
    } edits[] = {
        { "\"basis\": \"steel\"", "\"basis\": \"stone\"", OXT_EPARSE, "\"coupons\" or \"steel\"" },
        { "\"basis\": \"steel\"", "\"basis\": 1", OXT_EPARSE, "\"coupons\" or \"steel\"" },
        { "\"plate\"", "\"plank\"", OXT_EPARSE, "plate, cylinder, sphere or any" },
        { "\"coupon\"", "\"token\"", OXT_EPARSE, "plate, cylinder, sphere or any" },
        { "\"lift_s\": ", "\"lift_s\": true, \"x\": ", OXT_EPARSE, "'lift_s'" },
        { "\"size_m\": ", "\"size_m\": -", OXT_EDOMAIN, "coupon_size_m" },
        { "\"size_low_m\": ", "\"size_low_m\": 0.5, \"x\": ", OXT_EDOMAIN, "within its own range" },
        { "\"start_K\": ", "\"start_K\": 9.0, \"x\": ", OXT_EDOMAIN, "coupon_start_K" },
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = two_mm_steel(), *back;
    char text[6000], edited[6100];
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    for (size_t i = 0; i < sizeof edits / sizeof *edits; i++) {
        char *place = strstr(text, edits[i].from);
        cr_assert_not_null(place, "%s", edits[i].from);
        snprintf(edited, sizeof edited, "%.*s%s%s", (int)(place - text), text, edits[i].to,
                 place + strlen(edits[i].from));
        FAILS(oxt_steel_load(&back, NULL, edited, strlen(edited), &error), edits[i].status);
        SAYS(edits[i].words);
    }
    oxt_steel_values values = some_steel();
    values.coupon_size_m = 0.002;
    FAILS(oxt_steel_new(&back, &values, &error), OXT_EARG);
    SAYS("include its thermal path");
    values.basis = (oxt_basis)7;
    FAILS(oxt_steel_new(&back, &values, &error), OXT_EARG);
    oxt_steel_free(steel);
}

/* ---- dips ---- */

/* Virtual dip of a fitted steel: by the true constants the usual coupon has the film aimed at when it is
 * lifted as the card says, without anything being named; a part of no size needs 178 s. */
Test(coupons, a_dip_is_of_the_usual_coupon)
{
    const oxt_growth growth = truth();
    const oxt_part two_mm = plate(0.002), none = plate(0.0), six_mm = plate(0.006);
    const oxt_lift four_s = lift_of(4.0), at_once = lift_of(0.0);
    oxt_steel *steel = two_mm_steel();
    oxt_dip dip = predict(steel, "blue", BLUE_BATH_K, NULL);
    CLOSE(sqrt(path_nm2(&growth, &two_mm, &four_s, BLUE_BATH_K, dip.time_s)), dip.target.aim_nm,
          1e-3);
    CLOSE(dip.quench_nm, dip.target.aim_nm, 1e-12);
    cr_assert(dip.lag_s > 5.0 && dip.lift_growth_nm > 0.5);
    cr_assert(dip.part_source == OXT_PATH_COUPON && dip.lift_source == OXT_PATH_COUPON);
    cr_assert(dip.part_size_m == 0.002 && dip.lift_s == 4.0 && dip.part_shape == OXT_SHAPE_PLATE);

    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.part = &none;
    options.lift = &at_once;
    dip = predict(steel, "blue", BLUE_BATH_K, &options);
    CLOSE(dip.time_s, 178.0, 1e-3);
    cr_assert(dip.lag_s == 0.0 && dip.lift_growth_nm == 0.0 && dip.part_source == OXT_PATH_NAMED);

    /* another part keeps the coupons' lift; another lift keeps their size */
    options.part = &six_mm;
    options.lift = NULL;
    dip = predict(steel, "blue", BLUE_BATH_K, &options);
    CLOSE(sqrt(path_nm2(&growth, &six_mm, &four_s, BLUE_BATH_K, dip.time_s)), dip.target.aim_nm,
          1e-3);
    options.part = NULL;
    options.lift = &at_once;
    dip = predict(steel, "blue", BLUE_BATH_K, &options);
    CLOSE(sqrt(path_nm2(&growth, &two_mm, &at_once, BLUE_BATH_K, dip.time_s)), dip.target.aim_nm,
          1e-3);
    oxt_steel_free(steel);
}

/* Contract: times hold for parts like the coupons until both part and lift are known, by name or from the card,
 * whose report says "as the coupons". */
Test(coupons, like_the_coupons_until_both_are_named)
{
    const oxt_part six_mm = plate(0.006);
    const oxt_lift at_once = lift_of(0.0);
    const double none = 0.0;
    oxt_steel *steels[] = { two_mm_steel(), fitted(log_of(&none, 1, 0.0), NULL, NULL) };
    for (size_t i = 0; i < 2; i++)
        for (int named = 0; named < 4; named++) {
            oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
            options.part = named & 1 ? &six_mm : NULL;
            options.lift = named & 2 ? &at_once : NULL;
            oxt_dip dip = predict(steels[i], "blue", BLUE_BATH_K, &options);
            cr_assert_eq((dip.cautions & OXT_CAUTION_AT_TEMPERATURE) != 0, i == 1 && named != 3);
        }
    oxt_steel_free(steels[0]);
    oxt_steel_free(steels[1]);
}

/* Contract: where a part or a lift is named and that of the coupons is not known, the time holds what the
 * coupons lost to heating up as well, and a caution says so. */
Test(coupons, that_nobody_stated)
{
    const oxt_part six_mm = plate(0.006), two_mm = plate(0.002);
    const oxt_lift four_s = lift_of(4.0);
    oxt_steel_values values = some_steel();
    oxt_steel *stated = two_mm_steel(), *plain = steel_of(&values);
    for (int named = 0; named < 16; named++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.part = named & 1 ? &six_mm : NULL;
        options.lift = named & 2 ? &four_s : NULL;
        options.coupon = named & 4 ? &two_mm : NULL;
        options.coupon_lift = named & 8 ? &four_s : NULL;
        bool unknown = (named & 5) == 1 || (named & 10) == 2 || (named & 5) == 5;
        oxt_dip dip = predict(plain, "blue", BLUE_BATH_K, &options);
        cr_assert_eq((dip.cautions & OXT_CAUTION_COUPONS_UNKNOWN) != 0, unknown, "%d", named);
        if (named & 12)
            continue;
        dip = predict(stated, "blue", BLUE_BATH_K, &options);
        cr_assert_eq(dip.cautions & OXT_CAUTION_COUPONS_UNKNOWN, 0, "%d", named);
    }
    oxt_steel_free(stated);
    oxt_steel_free(plain);
}

/* Contract: the text of a part says where it comes from. */
Test(coupons, the_part_in_words)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_part six_mm = plate(0.006), none = plate(0.0);
    const oxt_lift at_once = lift_of(0.0), five_s = lift_of(5.0);
    const struct {
        const oxt_part *part, *coupon;
        const oxt_lift *lift;
        bool stated;
        const char *text;
    } cases[] = {
        { NULL, NULL, NULL, true, "2 mm plate, 4 s to the quench, as the coupons" },
        { &six_mm, NULL, NULL, true, "6 mm plate; 4 s to the quench, as the coupons" },
        { NULL, NULL, &five_s, true, "2 mm plate, as the coupons; 5 s to the quench" },
        { NULL, NULL, &at_once, true, "2 mm plate, as the coupons" },
        { &none, NULL, &at_once, true, "at bath temperature at once" },
        { NULL, NULL, NULL, false, "like the coupons" },
        { &six_mm, NULL, &five_s, false, "6 mm plate, 5 s to the quench" },
        { NULL, &six_mm, NULL, false, "6 mm plate, as the coupons" },
    };
    oxt_steel_values values = some_steel();
    oxt_steel *stated = two_mm_steel(), *plain = steel_of(&values);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char report[8000];
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        options.part = cases[i].part;
        options.coupon = cases[i].coupon;
        options.lift = cases[i].lift;
        oxt_dip dip = predict(cases[i].stated ? stated : plain, "blue", 575.0, &options);
        cr_assert_str_eq(dip.part_text, cases[i].text);
        OK(oxt_dip_report(&dip, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, report, sizeof report, NULL,
                          &error));
        cr_assert(strstr(report, dip.part_text));
    }
    oxt_steel_free(stated);
    oxt_steel_free(plain);
}

/* Contract: a card that states its coupons takes no others, in whatever is predicted. */
Test(coupons, none_is_named_for_a_card_that_states_them)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = two_mm_steel();
    const oxt_target blue = target_of("blue");
    const oxt_part coupon = plate(0.002);
    const oxt_lift lift = lift_of(4.0);
    oxt_dip dip = OXT_DIP_INIT;
    double bath_K;
    for (int i = 0; i < 2; i++) {
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        oxt_track_options tracked = OXT_TRACK_OPTIONS_INIT;
        oxt_plan_part part = OXT_PLAN_PART_INIT;
        oxt_track *tracker;
        oxt_plan *set;
        tracked.bath_K = BLUE_BATH_K;
        options.coupon = tracked.coupon = i ? NULL : &coupon;
        options.coupon_lift = tracked.coupon_lift = i ? &lift : NULL;
        part.steel = steel;
        part.film = default_film();
        part.target = &blue;
        part.options = &options;
        FAILS(oxt_dip_predict(steel, &blue, BLUE_BATH_K, &options, &dip, &error), OXT_EARG);
        SAYS("the constants of Alder 1 stand for the steel itself");
        SAYS("2 mm plate, 4 s to the quench");
        cr_assert_str_eq(error.parameter, i ? "coupon_lift" : "coupon");
        FAILS(bath_for_time(steel, &blue, 60.0, &options, &bath_K, &error), OXT_EARG);
        FAILS(oxt_plan_baths(steel, &blue, NULL, &options, &dip, NULL, NULL, &error), OXT_EARG);
        FAILS(oxt_plan_set(&set, (const oxt_plan_part *[]){ &part }, 1, BLUE_BATH_K, NULL, &error),
              OXT_EARG);
        FAILS(oxt_track_new(&tracker, steel, default_film(), &blue, &tracked, &error), OXT_EARG);
        SAYS("stand for the steel itself");
    }
    oxt_steel_free(steel);
}

/* ---- what else predicts ---- */

/* The bath for a time turns the usual coupon's dip round; tables and sets name it. */
Test(coupons, plans_are_of_the_usual_coupon)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = two_mm_steel();
    const oxt_target blue = target_of("blue");
    oxt_dip dip = predict(steel, "blue", BLUE_BATH_K, NULL), best = OXT_DIP_INIT;
    double bath_K;
    char text[8000];
    OK(bath_for_time(steel, &blue, dip.time_s, NULL, &bath_K, &error));
    CLOSE(bath_K, BLUE_BATH_K, 1e-7);
    OK(oxt_plan_baths(steel, &blue, NULL, NULL, &best, NULL, NULL, &error));
    CLOSE(best.time_s, predict(steel, "blue", best.bath_K, NULL).time_s, 1e-12);
    cr_assert_eq(best.part_source, OXT_PATH_COUPON);
    OK(oxt_plan_baths_report(NULL, 0, &best, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, sizeof text,
                             NULL, &error));
    cr_assert(strstr(text, "part: 2 mm plate, 4 s to the quench, as the coupons\n"));
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    oxt_plan *set;
    part.steel = steel;
    part.film = default_film();
    part.target = &blue;
    OK(oxt_plan_set(&set, (const oxt_plan_part *[]){ &part }, 1, BLUE_BATH_K, NULL, &error));
    oxt_plan_step step = OXT_PLAN_STEP_INIT;
    OK(oxt_plan_get_step(set, 0, &step, &best, &error));
    CLOSE(best.time_s, dip.time_s, 1e-12);
    OK(oxt_plan_report(set, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, "part 1: blue (2 mm plate, 4 s to the quench, as the coupons)"));
    oxt_plan_free(set);
    oxt_steel_free(steel);
}

static double to_lift_s(const oxt_steel *steel, const oxt_part *part, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_target blue = target_of("blue");
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxt_track *tracker;
    options.part = part;
    options.bath_K = bath_K;
    OK(oxt_track_new(&tracker, steel, default_film(), &blue, &options, &error));
    OK(oxt_track_feed(tracker, 0.0, BLUE_BATH_K, &error));
    OK(oxt_track_read(tracker, &now, &error));
    oxt_track_free(tracker);
    return now.to_lift_s;
}

/* A tracker that knows the bath follows the usual coupon in it, to the second that the dip has; without a
 * bath, or with a part of no size, the samples are of the part. 4 s of lift are worth a little less than
 * 4 s in the bath, none where there is no part to cool. */
Test(coupons, a_tracker_follows_the_usual_coupon)
{
    const oxt_part none = plate(0.0);
    oxt_steel *steel = two_mm_steel();
    CLOSE(to_lift_s(steel, NULL, BLUE_BATH_K), predict(steel, "blue", BLUE_BATH_K, NULL).time_s,
          1e-3);
    CLOSE(to_lift_s(steel, NULL, 0.0), 178.0 - 4.0, 1e-3);
    CLOSE(to_lift_s(steel, &none, BLUE_BATH_K), 178.0 - 4.0, 1e-3);
    oxt_steel_free(steel);
}

/* Virtual coupons: run as the card's usual one, the advised coupon has the film that the advice expects, by
 * the true constants; and the dip that they are for is known as well as the dip says. */
Test(coupons, advice_is_for_the_usual_coupon)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = truth();
    const oxt_part two_mm = plate(0.002);
    const oxt_lift four_s = lift_of(4.0);
    const oxt_target blue = target_of("blue");
    oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
    oxt_steel *exact = two_mm_steel();
    oxt_steel_values values = values_of_steel(exact);
    values.variance_ln_k = 0.01;
    values.variance_Q_J2_per_mol2 = 64e6;
    values.scatter = 0.05;
    oxt_steel *steel = steel_of(&values);
    oxt_advise *advice;
    char text[4000], known[80];
    options.target = &blue;
    options.target_bath_K = BLUE_BATH_K;
    OK(oxt_advise_run(&advice, steel, default_film(), &options, &error));
    for (size_t i = 0; i < 3; i++) {
        oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
        OK(oxt_advise_get(advice, i, &coupon, &error));
        CLOSE(coupon.thickness_nm,
              sqrt(path_nm2(&growth, &two_mm, &four_s, coupon.bath_K, coupon.time_s)), 1e-3);
        cr_assert(coupon.interval_ratio < 1.0);
    }
    OK(oxt_advise_report(advice, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, sizeof text, NULL,
                         &error));
    cr_assert(strstr(text, "part: 2 mm plate, 4 s to the quench, as the coupons"));
    /* the equivalent time, in which the half-width is told, from the dip's own times */
    oxt_dip dip = predict(steel, "blue", BLUE_BATH_K, NULL);
    double middle = path_nm2(&growth, &two_mm, &four_s, BLUE_BATH_K, dip.time_s);
    double high = path_nm2(&growth, &two_mm, &four_s, BLUE_BATH_K, dip.interval_high_s);
    snprintf(known, sizeof known, "to +%.0f %% (95 %%)", 100.0 * (high / middle - 1.0));
    cr_assert(strstr(text, known), "%s not in %s", known, text);
    oxt_advise_free(advice);
    oxt_steel_free(exact);
    oxt_steel_free(steel);
}

/* ---- re-anchoring ---- */

static oxt_steel *anchored(const oxt_steel *steel, oxt_trial trial)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_steel *renewed;
    add(log, trial);
    OK(oxt_anchor_steel(&renewed, steel, log, default_film(), NULL, &error));
    oxt_trials_free(log);
    return renewed;
}

/* Physics: a coupon that grew as the steel does leaves the card as it is, stated or not; a thick one too,
 * since its own path is taken off. */
Test(coupons, a_new_coupon_is_read_as_the_cards_own)
{
    oxt_steel *steel = two_mm_steel();
    const double k = values_of_steel(steel).growth.k_ref_nm2_per_s;
    oxt_trial stated = coupon_of(0.002, 4.0, BLUE_BATH_K, 150.0), unstated = stated;
    unstated.part_size_m = unstated.lift_s = 0.0;
    const oxt_trial coupons[] = { stated, unstated, coupon_of(0.012, 1.0, BLUE_BATH_K, 300.0) };
    for (size_t i = 0; i < 3; i++) {
        oxt_steel *renewed = anchored(steel, coupons[i]);
        oxt_steel_values values = values_of_steel(renewed);
        CLOSE(values.growth.k_ref_nm2_per_s, k, 2e-3);
        cr_assert(values.basis == OXT_BASIS_STEEL && values.coupon_size_m == 0.002);
        cr_assert(values.coupon_size_high_m == (i == 2 ? 0.012 : 0.002));
        cr_assert(values.coupon_lift_low_s == (i == 2 ? 1.0 : 4.0));
        oxt_steel_free(renewed);
    }
    oxt_steel_free(steel);
}

/* Contract: where the path is inside the constants, nobody knows what a stated part differs from; coupons of
 * another steel are none of the card's business. */
Test(coupons, a_part_is_refused_where_paths_are_inside)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    strcpy(values.finish, "satin");
    oxt_steel *steel = steel_of(&values), *renewed;
    oxt_trial plain = coupon_of(0.0, 0.0, BLUE_BATH_K, 150.0), stated[3];
    strcpy(plain.finish, "satin");
    stated[0] = coupon_of(0.006, 4.0, BLUE_BATH_K, 150.0);
    stated[1] = coupon_of(0.006, 0.0, BLUE_BATH_K, 150.0);
    stated[2] = coupon_of(0.0, 4.0, BLUE_BATH_K, 150.0);
    for (size_t i = 0; i < 3; i++) {
        oxt_trials *log = new_log();
        strcpy(stated[i].finish, "satin");
        add(log, plain);
        add(log, stated[i]);
        FAILS(oxt_anchor_steel(&renewed, steel, log, default_film(), NULL, &error), OXT_EARG);
        cr_assert_str_eq(error.parameter, i == 2 ? "lift_s" : "part_size_m");
        SAYS("trial 2 states how it was run (");
        SAYS(i == 0 ? "(6 mm plate, 4 s to the quench)" : i == 1 ? "(6 mm plate)" : "4 s to the");
        SAYS("leave part and lift out");
        cr_assert_null(renewed);
        oxt_trials_free(log);
    }
    oxt_trials *log = new_log();
    strcpy(stated[0].steel, "Elm 5");
    add(log, plain);
    add(log, stated[0]);
    strcpy(stated[1].finish, "another finish");
    add(log, stated[1]);
    OK(oxt_anchor_steel(&renewed, steel, log, default_film(), NULL, &error));
    cr_assert_eq(values_of_steel(renewed).trial_count, values.trial_count + 1);
    oxt_trials_free(log);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
}

/* Contract: the first coupons of a card without trials settle what its constants stand for. */
Test(coupons, the_first_coupon_settles_the_basis)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *starting;
    OK(oxt_prior_steel(&starting, "Alder 1", NULL, default_film(), &error));
    cr_assert_eq(values_of_steel(starting).basis, OXT_BASIS_COUPONS);
    oxt_steel *renewed = anchored(starting, coupon_of(0.006, 4.0, BLUE_BATH_K, 150.0));
    cr_assert(values_of_steel(renewed).basis == OXT_BASIS_STEEL);
    cr_assert(values_of_steel(renewed).coupon_size_m == 0.006 &&
              values_of_steel(renewed).coupon_lift_s == 4.0);
    oxt_steel_free(renewed);
    oxt_steel_free(starting);
}

/* ---- equivalent times ---- */

/* Definition, by the exposure of its own path over the rate at the bath; where the path is inside the
 * constants, a coupon's own time. */
Test(coupons, equivalent_time_is_that_of_the_same_growth)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = two_mm_steel();
    const oxt_growth growth = values_of_steel(steel).growth;
    oxt_trial stated = coupon_of(0.006, 3.0, 575.0, 200.0), unstated = trial_at(575.0, 200.0);
    unstated.seen = OXT_SEEN_THICKNESS;
    unstated.thickness_nm = 40.0;
    const struct {
        const oxt_trial *trial;
        double size_m, lift_s;
    } cases[] = { { &stated, 0.006, 3.0 }, { &unstated, 0.002, 4.0 } };
    for (size_t i = 0; i < 2; i++) {
        const oxt_part part = plate(cases[i].size_m);
        const oxt_lift lift = lift_of(cases[i].lift_s);
        double rate, found_s;
        OK(oxt_rate(&growth, 575.0, &rate, &error));
        OK(oxt_dip_equivalent_time(steel, cases[i].trial, &found_s, &error));
        CLOSE(found_s, path_nm2(&growth, &part, &lift, 575.0, 200.0) / rate, 1e-6);
        cr_assert(found_s < 195.0);
    }
    double untouched_s = 0.0;
    FAILS(oxt_dip_equivalent_time(steel, NULL, &untouched_s, &error), OXT_EARG);
    SAYS("trial");
    FAILS(oxt_dip_equivalent_time(steel, &stated, NULL, &error), OXT_EARG);
    SAYS("equivalent_s");
    stated.part_start_K = 600.0;
    FAILS(oxt_dip_equivalent_time(steel, &stated, &untouched_s, &error), OXT_EDOMAIN);
    cr_assert(error.value == 600.0 && error.low == 200.0 && error.high == 575.0);
    stated.part_start_K = 0.0;
    oxt_steel_values values = some_steel();
    oxt_steel *plain = steel_of(&values);
    double own_s;
    OK(oxt_dip_equivalent_time(plain, &stated, &own_s, &error));
    cr_assert_eq(own_s, 200.0);
    oxt_steel_free(plain);
    oxt_steel_free(steel);
}

/* ---- what holds of every dip ---- */

/* A steel of no uncertainty but its scatter, 30 nm^2/s at 600 K. */
static oxt_steel *sure_steel(double scatter)
{
    oxt_steel_values values = some_steel();
    values.growth = growth_of(30.0, 600.0, 76e3);
    values.variance_ln_k = values.covariance_J_per_mol = values.variance_Q_J2_per_mol2 = 0.0;
    values.scatter = scatter;
    return steel_of(&values);
}

/* By hand: 5 s at 30 nm^2/s grow sqrt(150) = 12.25 nm. A target that ends below is out of reach, with the
 * reason; one that holds it beyond its aim is to be lifted at once, and the chance is that of 12.25 nm. */
Test(invariants, a_lift_that_alone_overshoots)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = sure_steel(0.05);
    const oxt_lift lift = lift_of(5.0);
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    options.lift = &lift;
    OK(oxt_tint_target_of_thickness(10.0, 6.0, 12.2, &target, &error));
    FAILS(oxt_dip_predict(steel, &target, 600.0, &options, &dip, &error), OXT_EUNREACHABLE);
    SAYS("the 5 s on the way to the quench alone grow 12.2 nm");
    SAYS("(up to 12.2 nm): quench sooner or use a cooler bath");
    OK(oxt_tint_target_of_thickness(10.0, 6.0, 13.0, &target, &error));
    OK(oxt_dip_predict(steel, &target, 600.0, &options, &dip, &error));
    cr_assert(dip.time_s == 0.0 && dip.earliest_s == 0.0);
    CLOSE(dip.latest_s, 13.0 * 13.0 / 30.0 - 5.0, 1e-12);
    CLOSE(dip.quench_nm, sqrt(150.0), 1e-12);
    CLOSE(dip.lift_growth_nm, sqrt(150.0), 1e-12);
    double dof = some_steel().dof, given = log(sqrt(150.0));
    double chance = gsl_cdf_tdist_P((log(13.0) - given) / 0.05, dof) -
                    gsl_cdf_tdist_P((log(6.0) - given) / 0.05, dof);
    CLOSE(dip.chance, chance, 1e-9);
    cr_assert(chance < 0.9);
    /* the same in a set: its draws are of the film that comes out, within 4 standard errors */
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    oxt_plan_options chosen = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    oxt_plan *set;
    part.steel = steel;
    part.film = default_film();
    part.target = &target;
    part.options = &options;
    chosen.draws = 40000;
    OK(oxt_plan_set(&set, (const oxt_plan_part *[]){ &part }, 1, 600.0, &chosen, &error));
    OK(oxt_plan_get(set, &values, &error));
    NEAR(values.chance_targets, chance, 4.0 * sqrt(chance * (1.0 - chance) / 40000.0));
    oxt_plan_free(set);
    oxt_steel_free(steel);
}

/* A range of which the hot end overshoots still has its best bath, and a bath for a time its answer. */
Test(invariants, cooler_baths_are_found_where_hot_ones_overshoot)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = sure_steel(0.05);
    const oxt_lift lift = lift_of(20.0);
    const oxt_target straw = target_of("straw");
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_bath_range range = OXT_BATH_RANGE_INIT;
    oxt_dip dip = OXT_DIP_INIT, best = OXT_DIP_INIT;
    double bath_K;
    options.lift = &lift;
    options.time_wander_s = 2.0;
    range.low_K = 540.0;
    range.high_K = 660.0;
    FAILS(oxt_dip_predict(steel, &straw, range.high_K, &options, &dip, &error), OXT_EUNREACHABLE);
    OK(oxt_plan_baths(steel, &straw, &range, &options, &best, NULL, NULL, &error));
    cr_assert(best.bath_K < 600.0 && best.time_s > 0.0);
    OK(bath_for_time(steel, &straw, 30.0, &options, &bath_K, &error));
    OK(oxt_dip_predict(steel, &straw, bath_K, &options, &dip, &error));
    CLOSE(dip.time_s, 30.0, 1e-6);
    range.low_K = 655.0;
    FAILS(oxt_plan_baths(steel, &straw, &range, &options, &best, NULL, NULL, &error),
          OXT_EUNREACHABLE);
    SAYS("on the way to the quench alone");
    oxt_steel_free(steel);
}

static double uniform(gsl_rng *random, double low, double high)
{
    return low + (high - low) * gsl_rng_uniform(random);
}

static double evenly_in_ratio(gsl_rng *random, double low, double high)
{
    return exp(uniform(random, log(low), log(high)));
}

typedef struct {
    oxt_part part, coupon;
    oxt_lift lift, coupon_lift;
    oxt_dip_options options;
    oxt_target target;
    double bath_K;
} made_up_dip;

static oxt_part any_part(gsl_rng *random)
{
    oxt_part part = plate(evenly_in_ratio(random, 5e-4, 2.5e-2));
    part.shape = (oxt_shape)gsl_rng_uniform_int(random, 4);
    part.transfer_W_per_m2K = uniform(random, 200.0, 2000.0);
    return part;
}

static oxt_steel *any_dip(gsl_rng *random, made_up_dip *made)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    double aim_nm = uniform(random, 10.0, 100.0), width = uniform(random, 0.0, 0.2);
    made->bath_K = uniform(random, 500.0, 900.0);
    /* the coupons' own time for the film, from a tenth of a second to an hour */
    values.growth = growth_of(aim_nm * aim_nm / evenly_in_ratio(random, 0.1, 3600.0), made->bath_K,
                              uniform(random, 40e3, 250e3));
    values.variance_ln_k = pow(uniform(random, 0.0, 0.3), 2.0);
    values.variance_Q_J2_per_mol2 = pow(uniform(random, 0.0, 8e3), 2.0);
    values.covariance_J_per_mol = 0.0;
    values.scatter = uniform(random, 0.0, 0.15);
    values.dof = uniform(random, 1.0, 15.0);
    OK(oxt_tint_target_of_thickness(aim_nm, aim_nm * (1.0 - width), aim_nm * (1.0 + width),
                                    &made->target, &error));
    made->part = any_part(random);
    made->coupon = any_part(random);
    made->lift = lift_of(uniform(random, 0.0, 10.0));
    made->coupon_lift = lift_of(uniform(random, 0.0, 10.0));
    made->options = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
    unsigned long named = gsl_rng_uniform_int(random, 16);
    made->options.part = named & 1 ? &made->part : NULL;
    made->options.lift = named & 2 ? &made->lift : NULL;
    made->options.coupon = named & 4 ? &made->coupon : NULL;
    made->options.coupon_lift = named & 8 ? &made->coupon_lift : NULL;
    if (named == 0) { /* a card that states its own */
        values.basis = OXT_BASIS_STEEL;
        values.coupon_size_m = made->coupon.size_m;
        values.coupon_shape = made->coupon.shape;
        values.coupon_transfer_W_per_m2K = made->coupon.transfer_W_per_m2K;
        values.coupon_lift_s = made->coupon_lift.delay_s;
    }
    return steel_of(&values);
}

static void check_holds(const oxt_dip *dip)
{
    cr_assert(0.0 <= dip->earliest_s && dip->earliest_s <= dip->time_s, "%g %g", dip->earliest_s,
              dip->time_s);
    cr_assert(dip->time_s <= dip->latest_s, "%g %g", dip->time_s, dip->latest_s);
    cr_assert(0.0 <= dip->next_low_s &&
              dip->next_low_s <= dip->interval_low_s + 1e-9 * dip->time_s);
    cr_assert(dip->interval_low_s <= dip->time_s && dip->time_s <= dip->interval_high_s);
    cr_assert(dip->interval_high_s <= dip->next_high_s * (1.0 + 1e-9));
    cr_assert(dip->chance >= 0.0 && dip->chance <= 1.0);
    cr_assert(dip->quench_nm >= dip->target.aim_nm * (1.0 - 1e-12));
    cr_assert(dip->quench_nm <= fmax(dip->target.high_nm, dip->target.aim_nm * (1.0 + 1e-12)));
    cr_assert(dip->quench_nm <= dip->target.aim_nm * (1.0 + 1e-9) || dip->time_s == 0.0);
    cr_assert(dip->lift_growth_nm >= 0.0 && dip->lift_growth_nm <= dip->quench_nm * (1.0 + 1e-12));
}

/* Physics: along its own path the part has grown as much at the aim, and at the ends of the window, as a
 * coupon of the trials had along its own. */
static void check_grows(const oxt_steel *steel, const made_up_dip *made, const oxt_dip *dip)
{
    const oxt_steel_values values = values_of_steel(steel);
    const oxt_part none = plate(0.0);
    const oxt_lift at_once = lift_of(0.0);
    bool stated = values.basis == OXT_BASIS_STEEL;
    const oxt_part *coupon = made->options.coupon ? made->options.coupon : &none;
    const oxt_lift *coupon_lift = made->options.coupon_lift ? made->options.coupon_lift : &at_once;
    const oxt_part *part = made->options.part ? made->options.part
                           : stated           ? &made->coupon
                                              : coupon;
    const oxt_lift *lift = made->options.lift ? made->options.lift
                           : stated           ? &made->coupon_lift
                                              : coupon_lift;
    const double films_nm[] = { dip->target.low_nm, dip->target.aim_nm, dip->target.high_nm };
    const double times_s[] = { dip->earliest_s, dip->time_s, dip->latest_s };
    for (int i = 0; i < 3; i++) {
        double rate, wanted_nm2 = films_nm[i] * films_nm[i];
        oxt_error error = OXT_ERROR_INIT;
        OK(oxt_rate(&values.growth, made->bath_K, &rate, &error));
        double own_s = wanted_nm2 / rate;
        double needed_nm2 = grown_nm2(&values.growth, coupon, coupon_lift, made->bath_K, own_s);
        if (times_s[i] > 0.0)
            CLOSE(grown_nm2(&values.growth, part, lift, made->bath_K, times_s[i]), needed_nm2,
                  1e-6);
        else
            cr_assert(path_nm2(&values.growth, part, lift, made->bath_K, 0.0) >=
                      needed_nm2 * (1.0 - 1e-9));
    }
}

/* Does a tracker with the same coupon refuse it? */
static bool tracker_refuses(const oxt_steel *steel, const made_up_dip *made)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_track *tracker;
    options.bath_K = made->bath_K;
    options.coupon = made->options.coupon;
    options.coupon_lift = made->options.coupon_lift;
    oxt_status status = oxt_track_new(&tracker, steel, default_film(), &made->target, &options,
                                      &error);
    oxt_track_free(tracker);
    return status && strcmp(error.parameter, "coupon") == 0;
}

/* Seed 1. Q of 40 to 250 kJ/mol, 500 to 900 K; parts, coupons and lifts of all kinds. */
Test(invariants, hold_of_thousands_of_random_dips)
{
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    size_t answered = 0, overshot = 0, cold = 0, far = 0, checked = 0;
    gsl_rng_set(random, 1);
    for (int i = 0; i < 6000; i++) {
        made_up_dip made = { .target = OXT_TARGET_INIT };
        oxt_error error = OXT_ERROR_INIT;
        oxt_steel *steel = any_dip(random, &made);
        oxt_dip dip = OXT_DIP_INIT;
        oxt_status status = oxt_dip_predict(steel, &made.target, made.bath_K, &made.options, &dip,
                                            &error);
        bool is_cold = status && strcmp(error.parameter, "coupon") == 0;
        if (!status) {
            check_holds(&dip);
            check_grows(steel, &made, &dip);
            answered++;
        } else {
            cr_assert(status == OXT_EUNREACHABLE || (status == OXT_EDOMAIN && is_cold), "%s",
                      error.text);
            overshot += strcmp(error.parameter, "lift") == 0;
            far += strcmp(error.parameter, "bath_K") == 0;
            cold += is_cold;
        }
        if (made.options.coupon && (is_cold || i % 8 == 0)) {
            cr_assert_eq(tracker_refuses(steel, &made), is_cold, "%s", error.text);
            checked++;
        }
        oxt_steel_free(steel);
    }
    gsl_rng_free(random);
    cr_assert_eq(answered + overshot + cold + far, 6000);
    cr_assert(answered > 4000 && overshot > 100 && cold > 300 && checked > 600, "%zu %zu %zu %zu",
              answered, overshot, cold, checked);
}

/* A coupon that would be lifted while it is cold is refused by the dip with the reason; the bath for a time
 * is then found among those in which it is not. */
Test(invariants, a_coupon_still_cold_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    const oxt_target blue = target_of("blue");
    const oxt_part coupon = plate(0.02), part = plate(0.003);
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    double bath_K;
    options.coupon = &coupon;
    options.part = &part;
    FAILS(oxt_dip_predict(steel, &blue, 720.0, &options, &dip, &error), OXT_EDOMAIN);
    SAYS("when the one named is still cold: expected a thinner coupon");
    OK(bath_for_time(steel, &blue, 120.0, &options, &bath_K, &error));
    OK(oxt_dip_predict(steel, &blue, bath_K, &options, &dip, &error));
    CLOSE(dip.time_s, 120.0, 1e-6);
    FAILS(bath_for_time(steel, &blue, 2.0, &options, &bath_K, &error), OXT_EUNREACHABLE);
    SAYS("blue in 2 s would take a bath in which the coupon is still cold by then");
    oxt_steel_free(steel);
}
