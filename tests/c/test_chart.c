/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What pictures show: charts, the spread of a time, the map of the next coupon, the sheet; and two as SVG. */
#include <stdlib.h>
#include <string.h>

#include "support.h"
#include "page/svg.h"

static double film_at(const oxt_steel_values *steel, double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double nm;
    OK(oxt_thickness(&steel->growth, bath_K, time_s, &nm, &error));
    return nm;
}

/* A log of "Alder 1", of which the second coupon was seen as a thinner colour than the steel has by then. */
static oxt_trials *coupons(void)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_trial photograph = trial_at(600.0, 40.0);
    add_thickness(log, 580.0, 60.0, 50.0);
    add_colour(log, 588.7, 60.0, "straw");
    photograph.seen = OXT_SEEN_SRGB;
    strcpy(photograph.srgb, "#336699");
    OK(oxt_trials_add(log, &photograph, NULL, &error));
    return log;
}

/* ---- the frame ---- */

Test(chart, ends_are_those_of_the_trials_and_the_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_trials *log = coupons();
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    oxt_chart chart = OXT_CHART_INIT;
    options.trials = log;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error));
    cr_assert(chart.bath_low_K == values.bath_low_K - 15.0);
    cr_assert(chart.bath_high_K == values.bath_high_K + 15.0);
    cr_assert_float_eq(chart.time_low_s, 0.6 * 40.0, 1e-9);
    cr_assert_float_eq(chart.time_high_s, 1.7 * 60.0, 1e-9);
    cr_assert(chart.mark_count == 3 && isnan(chart.aim_s));
    cr_assert_str_eq(chart.time_label, "time in the bath, as the coupons");
    oxt_dip dip = OXT_DIP_INIT; /* which is longer than any coupon */
    oxt_target silver = target_of("silver");
    OK(oxt_dip_predict(steel, &silver, 600.0, NULL, &dip, &error));
    options.dip = &dip;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error));
    cr_assert(chart.latest_s > 60.0);
    cr_assert_float_eq(chart.time_high_s, 1.7 * chart.latest_s, 1e-9);
    options.dip = NULL;
    oxt_steel_values itself = values;
    itself.basis = OXT_BASIS_STEEL;
    itself.coupon_size_m = 0.001;
    oxt_steel *other = steel_of(&itself);
    OK(oxt_chart_data(other, default_film(), NULL, &chart, 0, NULL, 0, NULL, &error));
    cr_assert_str_eq(chart.time_label, "equivalent time at bath temperature");
    oxt_steel_free(other);
    cr_assert_eq(chart.cautions, values_of_steel(steel).cautions);
    options.bath_low_K = 500.0;
    options.bath_high_K = 700.0;
    options.time_low_s = 5.0;
    options.time_high_s = 4000.0;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error));
    cr_assert(chart.bath_low_K == 500.0 && chart.bath_high_K == 700.0);
    const double ticks[] = { 5.0, 10.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0 };
    cr_assert_eq(chart.tick_count, 9);
    for (size_t i = 0; i < 9; i++)
        cr_assert(chart.ticks_s[i] == ticks[i]);
    options.bath_low_K = 700.0;
    FAILS(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    cr_assert(strstr(error.text, "from low to high"));
    options.bath_low_K = -1.0;
    FAILS(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    options.bath_low_K = 0.0;
    options.time_high_s = HUGE_VAL;
    FAILS(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    oxt_trials_free(log);
    oxt_steel_free(steel);
}

/* The window of a dip lies on the films of its target. */
Test(chart, a_dip_lies_on_its_own_colour)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_part part = OXT_PART_INIT;
    oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
    oxt_target blue = target_of("blue");
    oxt_dip dip = OXT_DIP_INIT, there = OXT_DIP_INIT;
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    oxt_chart chart = OXT_CHART_INIT;
    part.size_m = 0.006;
    told.part = &part;
    OK(oxt_dip_predict(steel, &blue, 600.0, &told, &dip, &error));
    options.dip = &dip;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error));
    cr_assert_float_eq(film_at(&values, 600.0, chart.earliest_s), blue.low_nm, 1e-9);
    cr_assert_float_eq(film_at(&values, 600.0, chart.aim_s), blue.aim_nm, 1e-9);
    cr_assert_float_eq(film_at(&values, 600.0, chart.latest_s), blue.high_nm, 1e-9);
    cr_assert(chart.time_low_s < chart.earliest_s && chart.time_high_s > chart.latest_s);
    cr_assert_eq(chart.cautions, dip.cautions);
    oxt_target straw = target_of("straw");
    told.initial = &straw;
    OK(oxt_dip_predict(steel, &blue, 600.0, &told, &there, &error));
    options.dip = &there;
    FAILS(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    cr_assert(strstr(error.text, "a film already there"));
    oxt_steel_free(steel);
}

/* ---- bands and marks ---- */

/* Where a name belongs the steel has a film of its band, and a band that is left out is out of view. */
Test(chart, names_stand_beside_their_colours)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    oxt_chart_band bands[OXT_TINT_COUNT];
    oxt_chart chart = OXT_CHART_INIT;
    size_t below = 0;
    for (size_t i = 0; i < OXT_TINT_COUNT; i++)
        bands[i] = (oxt_chart_band)OXT_CHART_BAND_INIT;
    options.bath_low_K = 560.0;
    options.bath_high_K = 620.0;
    options.time_low_s = 10.0;
    options.time_high_s = 100.0;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, OXT_TINT_COUNT, bands, 0, NULL,
                      &error));
    const size_t count = chart.band_count;
    double thinnest = film_at(&values, 560.0, 10.0), thickest = film_at(&values, 620.0, 100.0);
    for (size_t i = 0; i < count; i++) {
        oxt_tint tint = OXT_TINT_INIT;
        double nm = film_at(&values, 620.0, bands[i].label_s);
        OK(oxt_tint_band(default_film(), bands[i].index, &tint, &error));
        cr_assert_str_eq(bands[i].label, tint.label);
        cr_assert(bands[i].low_nm == tint.low_nm && bands[i].high_nm == tint.high_nm);
        cr_assert(tint.high_nm > thinnest && tint.low_nm < thickest);
        if (!bands[i].leaves_below)
            cr_assert(nm > tint.low_nm && nm < tint.high_nm);
        below += bands[i].leaves_below;
    }
    cr_assert(below >= 1 && bands[0].low_nm <= thinnest && bands[count - 1].high_nm >= thickest);
    bands[1] = (oxt_chart_band)OXT_CHART_BAND_INIT;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, 1, bands, 0, NULL, &error));
    cr_assert(chart.band_count == count && bands[1].high_nm == 0.0);
    oxt_steel_free(steel);
}

Test(chart, coupons_have_the_colour_that_was_seen)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_trials *log = coupons();
    oxt_trial other = trial_at(600.0, 60.0), trial = OXT_TRIAL_INIT;
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    oxt_chart_mark marks[4] = { OXT_CHART_MARK_INIT, OXT_CHART_MARK_INIT, OXT_CHART_MARK_INIT,
                                OXT_CHART_MARK_INIT };
    oxt_trial measured = trial_at(600.0, 50.0);
    oxt_chart chart = OXT_CHART_INIT;
    double srgb[3], equivalent_s;
    strcpy(other.steel, "Birch 2"); /* is no coupon of this steel */
    strcpy(other.colour, "blue");
    OK(oxt_trials_add(log, &other, NULL, &error));
    measured.seen = OXT_SEEN_LAB;
    OK(oxt_film_colour(default_film(), OXT_SPACE_LAB, 52.0, measured.lab, NULL, &error));
    OK(oxt_trials_add(log, &measured, NULL, &error));
    options.trials = log;
    OK(oxt_chart_data(steel, default_film(), &options, &chart, 0, NULL, 4, marks, &error));
    cr_assert_eq(chart.mark_count, 4);
    for (size_t i = 0; i < 4; i++) {
        OK(oxt_trials_get(log, marks[i].trial, &trial, &error));
        OK(oxt_dip_equivalent_time(steel, &trial, &equivalent_s, &error));
        cr_assert(marks[i].bath_K == trial.bath_K && marks[i].equivalent_s == equivalent_s);
    }
    cr_assert(marks[0].seen_nm == 50.0 && strcmp(marks[0].label, "") == 0);
    OK(oxt_film_colour(default_film(), OXT_SPACE_SRGB, 50.0, srgb, NULL, &error));
    cr_assert(memcmp(srgb, marks[0].srgb, sizeof srgb) == 0);
    cr_assert(film_at(&values, 588.7, 60.0) > 50.0); /* blue, and straw was seen */
    cr_assert_str_eq(marks[1].label, "straw");
    cr_assert(isnan(marks[2].seen_nm) && strcmp(marks[2].label, "") == 0);
    cr_assert_float_eq(marks[2].srgb[0], 0x33 / 255.0, 1e-12);
    NEAR(marks[3].seen_nm, 52.0, 0.01);
    oxt_trials_free(log);
    oxt_steel_free(steel);
}

/* ---- the spread ---- */

/* A dip that is hot at once takes x^2/k: the lift by each replicate is that by its own rate. */
Test(chart, the_spread_is_that_of_the_rates)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (int i = 0; i < 8; i++)
        add_thickness(log, 560.0 + 8.0 * i, 90.0, 34.0 + 5.5 * i + (i % 3));
    oxt_fit *fit = new_fit(log, NULL);
    oxt_bootstrap_options few = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_bootstrap_values drawn = OXT_BOOTSTRAP_VALUES_INIT;
    oxt_bootstrap *bootstrap;
    oxt_steel *steel;
    enum { REPLICATES = 200 };
    double times_s[REPLICATES], ln_k[REPLICATES], Q[REPLICATES];
    size_t failed = 9;
    few.replicates = REPLICATES;
    OK(oxt_bootstrap_run(&bootstrap, fit, &few, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    const oxt_target blue = target_of("blue");
    OK(oxt_chart_spread(steel, bootstrap, &blue, 600.0, NULL, REPLICATES, times_s, &failed,
                        &error));
    OK(oxt_bootstrap_get(bootstrap, &drawn, REPLICATES, ln_k, Q, NULL, &error));
    cr_assert_eq(failed, 0);
    for (size_t i = 0; i < REPLICATES; i++) {
        double rate = exp(ln_k[i] - Q[i] / OXT_GAS_CONSTANT_J_PER_MOL_K *
                                        (1.0 / 600.0 - 1.0 / drawn.T_ref_K));
        cr_assert_float_eq(times_s[i] * rate / (blue.aim_nm * blue.aim_nm), 1.0, 1e-9);
    }
    FAILS(oxt_chart_spread(steel, bootstrap, &blue, 600.0, NULL, REPLICATES - 1, times_s, NULL,
                           &error),
          OXT_ESPACE);
    FAILS(oxt_chart_spread(steel, bootstrap, &blue, 6000.0, NULL, REPLICATES, times_s, NULL,
                           &error),
          OXT_EDOMAIN);
    oxt_bootstrap_free(bootstrap);
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

/* ---- the map ---- */

/* A cell is the advice within it; where the steel is bright, or past the second order, a coupon tells nothing. */
Test(chart, a_cell_of_the_map_is_the_advice_in_it)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    const double baths_K[] = { 580.0, 600.0 }, times_s[] = { 0.01, 0.05, 60.0, 90.0, 1e5, 2e5 };
    double ratios[2 * 5];
    oxt_advise_options options = OXT_ADVISE_OPTIONS_INIT;
    OK(oxt_chart_map(steel, default_film(), NULL, 2, baths_K, 5, times_s, ratios, &error));
    options.target_bath_K = 2.0 / (1.0 / options.low_K + 1.0 / options.high_K);
    options.low_K = options.high_K = 600.0;
    options.shortest_s = 60.0;
    options.longest_s = 90.0;
    options.count = 1;
    oxt_advise *advice;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    OK(oxt_advise_run(&advice, steel, default_film(), &options, &error));
    OK(oxt_advise_get(advice, 0, &coupon, &error));
    cr_assert(ratios[2 * 2 + 1] == coupon.interval_ratio && coupon.interval_ratio < 1.0);
    cr_assert(ratios[2 * 2] != ratios[2 * 2 + 1]);
    cr_assert(isnan(ratios[0]) && isnan(ratios[1]) && isnan(ratios[8]) && isnan(ratios[9]));
    const double falling[] = { 60.0, 50.0 };
    FAILS(oxt_chart_map(steel, default_film(), NULL, 2, baths_K, 1, falling, ratios, &error),
          OXT_EDOMAIN);
    cr_assert_eq(error.row, 2);
    FAILS(oxt_chart_map(steel, default_film(), NULL, 0, baths_K, 1, times_s, ratios, &error),
          OXT_EDOMAIN);
    oxt_advise_free(advice);
    oxt_steel_free(steel);
}

/* Where the card states its coupons, the times of a map are not their own: a thick coupon is later. */
Test(chart, a_map_has_equivalent_times)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel(), thick = values;
    thick.basis = OXT_BASIS_STEEL;
    thick.coupon_size_m = 0.01;
    oxt_steel *steel = steel_of(&values), *own = steel_of(&thick);
    const double bath_K = 600.0, times_s[] = { 60.0, 90.0 };
    double at_once, later;
    OK(oxt_chart_map(steel, default_film(), NULL, 1, &bath_K, 1, times_s, &at_once, &error));
    OK(oxt_chart_map(own, default_film(), NULL, 1, &bath_K, 1, times_s, &later, &error));
    cr_assert(at_once < 1.0 && later < 1.0);
    cr_assert_float_eq(later, at_once, 0.05); /* the same films */
    oxt_steel_free(steel);
    oxt_steel_free(own);
}

/* ---- the sheet ---- */

enum { MOST_DIPS = OXT_SHEET_BATHS * OXT_SHEET_TARGETS };

static void start_dips(oxt_dip dips[MOST_DIPS])
{
    for (size_t i = 0; i < MOST_DIPS; i++)
        dips[i] = (oxt_dip)OXT_DIP_INIT;
}

Test(chart, a_sheet_has_its_dips)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    values.bath_low_K = 555.0;  /* 539.3 F */
    values.bath_high_K = 617.0; /* 650.9 F */
    oxt_steel *steel = steel_of(&values);
    oxt_sheet sheet = OXT_SHEET_INIT;
    oxt_sheet_options options = OXT_SHEET_OPTIONS_INIT;
    oxt_dip dips[MOST_DIPS], one = OXT_DIP_INIT;
    start_dips(dips);
    OK(oxt_chart_sheet(steel, default_film(), NULL, 40, dips, &sheet, &error));
    cr_assert(sheet.bath_count == 3 && sheet.target_count == 6);
    const double round_F[] = { 540.0, 600.0, 650.0 };
    for (size_t i = 0; i < 18; i++) {
        cr_assert_float_eq(1.8 * dips[i].bath_K - 459.67, round_F[i % 3], 1e-9);
        OK(oxt_dip_predict(steel, &dips[i].target, dips[i].bath_K, NULL, &one, &error));
        cr_assert(one.time_s == dips[i].time_s && (one.cautions & ~sheet.cautions) == 0);
    }
    cr_assert_str_eq(dips[0].target.text, "straw");
    cr_assert_str_eq(dips[17].target.text, "light blue");
    cr_assert(strstr(sheet.coverage, "in baths from 539.3 F to 650.9 F"));
    cr_assert(strstr(sheet.path_text, "Part: ") && strstr(sheet.film_text, "magnetite"));
    const double hot_K = 640.0;
    options.baths_K = &hot_K;
    options.bath_count = 1;
    options.unit = OXT_UNIT_CELSIUS;
    OK(oxt_chart_sheet(steel, default_film(), &options, 40, dips, &sheet, &error));
    cr_assert(sheet.outside_count == 6 && strstr(sheet.coverage, "Times marked"));
    cr_assert(sheet.missing_count == 0 && !strstr(sheet.coverage, "\u2013"));
    for (int loose = 0; loose < 2; loose++) {
        values.variance_ln_k = loose ? 0.25 : 1e-6;
        values.covariance_J_per_mol = 0.0;
        values.variance_Q_J2_per_mol2 = 1e4;
        oxt_steel *other = steel_of(&values);
        OK(oxt_chart_sheet(other, default_film(), NULL, 40, dips, &sheet, &error));
        cr_assert_eq((sheet.cautions & OXT_CAUTION_LOOSE_FIT) != 0, loose);
        cr_assert_eq(strstr(sheet.coverage, "Times marked ? are less certain") != NULL, loose);
        oxt_steel_free(other);
    }
    options.bath_count = 5;
    FAILS(oxt_chart_sheet(steel, default_film(), &options, 40, dips, &sheet, &error), OXT_EARG);
    cr_assert(strstr(error.text, "baths are 5, expected 1 to 4"));
    oxt_steel_free(steel);
}

/* A coupon of 2 mm is still cold when blue is there in a hot bath, and shows it in a cooler one: that cell alone is
 * empty. On a film past blue all of its row is. A bath that nobody has, or no cell at all, is refused. */
Test(chart, a_sheet_leaves_a_cell_empty_that_has_no_time)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_sheet_options options = OXT_SHEET_OPTIONS_INIT;
    oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
    oxt_part coupon = OXT_PART_INIT, part = OXT_PART_INIT;
    oxt_sheet sheet = OXT_SHEET_INIT;
    oxt_target blue = target_of("blue"), silver = target_of("silver"), over = target_of("70 nm");
    double baths_K[] = { 620.0, 670.0 };
    oxt_dip dips[MOST_DIPS], one = OXT_DIP_INIT;
    static char svg[200000];
    start_dips(dips);
    coupon.size_m = 0.002;
    part.size_m = 0.006;
    told.coupon = &coupon;
    told.part = &part;
    options.dip = &told;
    options.baths_K = baths_K;
    options.bath_count = 2;
    options.targets = (const oxt_target *[]){ &blue, &silver };
    options.target_count = 2;
    FAILS(oxt_dip_predict(steel, &blue, baths_K[1], &told, &one, &error), OXT_EDOMAIN);
    OK(oxt_chart_sheet(steel, default_film(), &options, 4, dips, &sheet, &error));
    cr_assert(sheet.missing_count == 1 && isnan(dips[1].time_s) && isnan(dips[1].chance));
    cr_assert(dips[1].bath_K == 670.0 && !strcmp(dips[1].target.text, "blue"));
    cr_assert(dips[0].time_s > 0.0 && dips[2].time_s > 0.0 && dips[3].time_s > 0.0);
    cr_assert(
        strstr(sheet.coverage, " Cells marked \u2013 have no time: the coupon named would still"));
    cr_assert(strstr(sheet.path_text, "6 mm plate; coupons of the trials: 2 mm plate"));
    OK(oxt_chart_sheet_svg(steel, default_film(), &options, svg, sizeof svg, NULL, &error));
    cr_assert(strstr(svg, ">\u2013</text>") && !strstr(svg, "nan"));
    told.initial = &over; /* past blue */
    OK(oxt_chart_sheet(steel, default_film(), &options, 4, dips, &sheet, &error));
    cr_assert(sheet.missing_count == 2 && strstr(sheet.path_text, "6 mm plate"));
    cr_assert(strstr(sheet.coverage, "no time: no lift in that bath gives that film."));
    options.target_count = 1;
    FAILS(oxt_chart_sheet(steel, default_film(), &options, 4, dips, &sheet, &error),
          OXT_EUNREACHABLE);
    told.initial = NULL;
    baths_K[1] = 3000.0;
    FAILS(oxt_chart_sheet(steel, default_film(), &options, 4, dips, &sheet, &error), OXT_EDOMAIN);
    oxt_steel_free(steel);
}

/* ---- pictures ---- */

static char *chart_svg(const oxt_steel *steel, const oxt_chart_options *options,
                       oxt_temperature_unit unit)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t length;
    OK(oxt_chart_svg(steel, default_film(), options, unit, NULL, 0, &length, &error));
    char *text = malloc(length + 1);
    cr_assert_not_null(text);
    OK(oxt_chart_svg(steel, default_film(), options, unit, text, length + 1, NULL, &error));
    return text;
}

/* Coupons of one bath and time have one label, which gives their number and each name once. */
Test(chart, coupons_in_one_place_have_one_label)
{
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_trials *log = new_log();
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    cr_assert(film_at(&values, 588.7, 60.0) > 50.0); /* blue, and other colours were seen */
    add_colour(log, 588.7, 60.0, "straw");
    add_colour(log, 588.7, 60.0, "brown");
    add_colour(log, 588.7, 60.0, "straw");
    add_colour(log, 588.7, 70.0, "straw");
    options.trials = log;
    char *svg = chart_svg(steel, &options, OXT_UNIT_CELSIUS);
    const char *label = strstr(svg, "3 coupons: straw, brown<");
    cr_assert(label && !strstr(label + strlen("3 coupons"), "coupons"));
    cr_assert(strstr(svg, ">straw<"));
    free(svg);
    oxt_trials_free(log);
    oxt_steel_free(steel);
}

/* What has not been tried says so, and what was tried in one bath has that bath, as it would be set. */
Test(chart, a_sheet_of_little_or_nothing)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_sheet_options options = OXT_SHEET_OPTIONS_INIT;
    oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_sheet sheet = OXT_SHEET_INIT;
    oxt_steel *steel, *untried;
    values.bath_low_K = values.bath_high_K = 591.0; /* 604.1 F */
    steel = steel_of(&values);
    bath.salt = OXT_SALT_TERNARY;
    told.salt_bath = &bath;
    options.dip = &told;
    oxt_dip dips[MOST_DIPS];
    start_dips(dips);
    OK(oxt_chart_sheet(steel, default_film(), &options, MOST_DIPS, dips, &sheet, &error));
    cr_assert(sheet.bath_count == 1 && sheet.target_count == 6);
    NEAR(1.8 * dips[0].bath_K - 459.67, 600.0, 1e-9);
    oxt_salt_values salt = OXT_SALT_VALUES_INIT;
    OK(oxt_bath_salt(OXT_SALT_TERNARY, 0.0, &salt, &error));
    const char *named = strstr(sheet.path_text, "; salt: ");
    cr_assert(named && strcmp(named + 8, salt.name) == 0);
    /* 30 K to either side of where the rate of an untried one is from, and no further than its range */
    for (int narrow = 0; narrow < 2; narrow++) {
        values.trial_count = 0;
        values.bath_low_K = narrow ? 580.0 : 500.0;
        values.bath_high_K = narrow ? 605.0 : 700.0;
        oxt_steel *none = steel_of(&values);
        OK(oxt_chart_sheet(none, default_film(), NULL, MOST_DIPS, dips, &sheet, &error));
        const oxt_dip *first = &dips[0], *last = &dips[sheet.bath_count - 1];
        double low_K = narrow ? 580.0 : values.growth.T_ref_K - 30.0;
        double high_K = narrow ? 605.0 : values.growth.T_ref_K + 30.0;
        cr_assert(first->bath_K >= low_K && first->bath_K < low_K + 10.0 / 1.8, "%g",
                  first->bath_K);
        cr_assert(last->bath_K <= high_K && last->bath_K > high_K - 10.0 / 1.8, "%g", last->bath_K);
        oxt_steel_free(none);
    }
    OK(oxt_prior_steel(&untried, "Alder 1", NULL, default_film(), &error));
    OK(oxt_chart_sheet(untried, default_film(), NULL, 0, NULL, &sheet, &error));
    cr_assert(strstr(sheet.coverage, "No trial stands behind these times"));
    char *svg = chart_svg(untried, NULL, OXT_UNIT_CELSIUS);
    cr_assert(strstr(svg, "</svg>") && !strstr(svg, "nan"));
    free(svg);
    oxt_steel_free(untried);
    oxt_steel_free(steel);
}

/* Widths of letters of DejaVu Sans, in 1/2048 of the em and with 1 % of room, from its tables: "i" 569, "M" 1767, and in
 * bold "M" 2038; one of two bytes counts once, one of East Asia is an em wide. */
Test(chart, texts_are_as_wide_as_their_letters)
{
    const double pt = 2048.0 / 1.01;
    cr_assert_float_eq(oxt_i_svg_width("i", pt, false), 569.0, 0.5);
    cr_assert_float_eq(oxt_i_svg_width("iM", pt, false), 569.0 + 1767.0, 0.5);
    cr_assert_float_eq(oxt_i_svg_width("M", pt, true), 2038.0, 0.5);
    cr_assert_float_eq(oxt_i_svg_width("\xC3\xBC", pt, false), 0.85 * 2048.0, 0.5);
    cr_assert_float_eq(oxt_i_svg_width("\xE9\x9D\x92", pt, false), 2048.0, 0.5);
}

/* XML 1.0, 2.2 and 2.4: what a text must not hold as it is. */
Test(chart, texts_of_a_picture_are_escaped)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    strcpy(values.steel, "A<b>&\"\x01\xEF\xBF\xBE");
    strcpy(values.origin, "]]> -- <!-- &amp;");
    oxt_steel *steel = steel_of(&values);
    char *svg = chart_svg(steel, NULL, OXT_UNIT_KELVIN), sheet[120000];
    OK(oxt_chart_sheet_svg(steel, default_film(), NULL, sheet, sizeof sheet, NULL, &error));
    const char *name = "A&lt;b&gt;&amp;&quot;\xEF\xBF\xBD\xEF\xBF\xBD";
    cr_assert(strstr(svg, name) && !strstr(svg, "<b>") && !strchr(svg, 1));
    cr_assert(strstr(sheet, name) && strstr(sheet, "]]&gt; -- &lt;!-- &amp;amp;"));
    cr_assert(strstr(svg, "bath temperature (K)"));
    free(svg);
    oxt_steel_free(steel);
}

/* Ten steels' worth of names and colours: whatever is drawn is a number. */
Test(chart, a_picture_has_only_numbers)
{
    oxt_steel_values values = some_steel();
    const double Qs[] = { 0.0, 80e3, 400e3 };
    for (size_t i = 0; i < 3; i++) {
        oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
        options.bath_low_K = 450.0;
        options.bath_high_K = 900.0;
        options.time_low_s = 1e-3;
        options.time_high_s = 1e6;
        values.growth.Q_J_per_mol = Qs[i];
        oxt_steel *steel = steel_of(&values);
        char *svg = chart_svg(steel, &options, OXT_UNIT_CELSIUS);
        cr_assert(!strstr(svg, "nan") && !strstr(svg, "inf") && strstr(svg, "</svg>"));
        free(svg);
        oxt_steel_free(steel);
    }
}

Test(chart, a_sheet_without_room_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_sheet_options options = OXT_SHEET_OPTIONS_INIT;
    char sheet[120000];
    options.paper = (oxt_paper)7;
    FAILS(oxt_chart_sheet_svg(steel, default_film(), &options, sheet, sizeof sheet, NULL, &error),
          OXT_EARG);
    options.paper = OXT_PAPER_LETTER;
    options.date = "\xFF";
    FAILS(oxt_chart_sheet_svg(steel, default_film(), &options, sheet, sizeof sheet, NULL, &error),
          OXT_EARG);
    options.date = "5 March";
    OK(oxt_chart_sheet_svg(steel, default_film(), &options, sheet, sizeof sheet, NULL, &error));
    cr_assert(strstr(sheet, "5 March, oxtint") && strstr(sheet, "viewBox=\"0 0 612.00 792.00\""));
    oxt_steel_free(steel);
}
