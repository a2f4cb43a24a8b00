/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is missing is named: each pointer that a call needs, one at a time, and of two faults the first. */
#include <stdio.h>
#include <string.h>

#include "support.h"

#define MISSING(name, call)                                                           \
    do {                                                                              \
        FAILS(call, OXT_EARG);                                                        \
        cr_assert_str_eq(error.parameter, name, #call " blames %s", error.parameter); \
    } while (0)

static oxt_steel *steel;
static oxt_trials *coupons;
static oxt_fit *fit;
static oxt_target blue;
static const oxt_film *film;

static void set_up(void)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    film = default_film();
    steel = steel_of(&values);
    blue = target_of("blue");
    coupons = new_log();
    for (int i = 0; i < 12; i++) { /* x^2 = 50 t at 580 K, a little off */
        double bath_K = 560.0 + 20.0 * (i % 3), time_s = 20.0 + 10.0 * i;
        add_thickness(coupons, bath_K, time_s,
                      sqrt(50.0 * time_s) * exp(0.012 * (bath_K - 580.0)) * (1.0 + 0.01 * (i % 4)));
    }
    OK(oxt_fit_run(&fit, coupons, film, NULL, &error));
}

static void tear_down(void)
{
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(coupons);
}

Test(arguments, that_make_a_handle, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *made;
    MISSING("fit", oxt_fit_run(NULL, coupons, film, NULL, &error));
    MISSING("trials", oxt_fit_run(&made, NULL, film, NULL, &error));
    MISSING("film", oxt_fit_run(&made, coupons, NULL, NULL, &error));
    oxt_pool *pool;
    MISSING("pool", oxt_pool_run(NULL, coupons, film, NULL, &error));
    MISSING("trials", oxt_pool_run(&pool, NULL, film, NULL, &error));
    MISSING("film", oxt_pool_run(&pool, coupons, NULL, NULL, &error));
    oxt_laws *laws;
    MISSING("laws", oxt_laws_run(NULL, fit, NULL, &error));
    MISSING("fit", oxt_laws_run(&laws, NULL, NULL, &error));
    oxt_bootstrap *bootstrap;
    MISSING("bootstrap", oxt_bootstrap_run(NULL, fit, NULL, &error));
    MISSING("fit", oxt_bootstrap_run(&bootstrap, NULL, NULL, &error));
    oxt_cross_validation *validation;
    MISSING("validation", oxt_cross_validation_run(NULL, fit, NULL, &error));
    MISSING("fit", oxt_cross_validation_run(&validation, NULL, NULL, &error));
    oxt_advise *advice;
    MISSING("advice", oxt_advise_run(NULL, steel, film, NULL, &error));
    MISSING("steel", oxt_advise_run(&advice, NULL, film, NULL, &error));
    MISSING("film", oxt_advise_run(&advice, steel, NULL, NULL, &error));
    MISSING("fit", oxt_laws_fit(NULL, coupons, film, NULL, &error));
    oxt_steel *recorded;
    oxt_dip dip = OXT_DIP_INIT;
    MISSING("recorded", oxt_record_add(NULL, steel, film, &dip, "blue", NULL, &error));
    MISSING("steel", oxt_record_add(&recorded, NULL, film, &dip, "blue", NULL, &error));
    MISSING("film", oxt_record_add(&recorded, steel, NULL, &dip, "blue", NULL, &error));
    MISSING("seen", oxt_record_add(&recorded, steel, film, &dip, NULL, NULL, &error));
    oxt_steel *starting;
    MISSING("steel", oxt_prior_steel(NULL, "Alder 1", NULL, film, &error));
    MISSING("name", oxt_prior_steel(&starting, NULL, NULL, film, &error));
    MISSING("film", oxt_prior_steel(&starting, "Alder 1", NULL, NULL, &error));
    oxt_prior prior = OXT_PRIOR_INIT;
    MISSING("prior", oxt_prior_mild_steel(NULL, film, &error));
    MISSING("film", oxt_prior_mild_steel(&prior, NULL, &error));
    MISSING("steel", oxt_fit_steel(fit, NULL, &error));
    MISSING("fit", oxt_fit_steel(NULL, &starting, &error));
    oxt_plan *set;
    const oxt_plan_part *parts[] = { NULL };
    MISSING("set", oxt_plan_set(NULL, parts, 1, 600.0, NULL, &error));
    MISSING("parts", oxt_plan_set(&set, NULL, 1, 600.0, NULL, &error));
    MISSING("parts", oxt_plan_set(&set, parts, 1, 600.0, NULL, &error));
    oxt_track *tracker;
    MISSING("tracker", oxt_track_new(NULL, steel, film, &blue, NULL, &error));
    MISSING("steel", oxt_track_new(&tracker, NULL, film, &blue, NULL, &error));
    MISSING("film", oxt_track_new(&tracker, steel, NULL, &blue, NULL, &error));
    MISSING("target", oxt_track_new(&tracker, steel, film, NULL, NULL, &error));
}

Test(arguments, of_a_set_part, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_plan *set;
    oxt_plan_part whole = OXT_PLAN_PART_INIT;
    whole.steel = steel;
    whole.film = film;
    whole.target = &blue;
    for (int i = 0; i < 3; i++) {
        static const char *const names[] = { "steel", "film", "target" };
        oxt_plan_part part = whole;
        const oxt_plan_part *parts[] = { &whole, &part };
        part.steel = i == 0 ? NULL : steel;
        part.film = i == 1 ? NULL : film;
        part.target = i == 2 ? NULL : &blue;
        MISSING(names[i], oxt_plan_set(&set, parts, 2, 600.0, NULL, &error));
        cr_assert(error.row == 2 && !set);
    }
}

Test(arguments, of_predictions, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_drift drift = OXT_DRIFT_INIT;
    double value;
    MISSING("dip", oxt_dip_predict(steel, &blue, 600.0, NULL, NULL, &error));
    MISSING("steel", oxt_dip_predict(NULL, &blue, 600.0, NULL, &dip, &error));
    MISSING("target", oxt_dip_predict(steel, NULL, 600.0, NULL, &dip, &error));
    MISSING("dip", oxt_dip_for_time(steel, &blue, 60.0, NULL, NULL, &error));
    MISSING("steel", oxt_dip_for_time(NULL, &blue, 60.0, NULL, &dip, &error));
    MISSING("best", oxt_plan_baths(steel, &blue, NULL, NULL, NULL, NULL, NULL, &error));
    MISSING("steel", oxt_plan_baths(NULL, &blue, NULL, NULL, &dip, NULL, NULL, &error));
    MISSING("drift", oxt_drift_find(fit, NULL, NULL, &error));
    MISSING("fit", oxt_drift_find(NULL, NULL, &drift, &error));
    oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    MISSING("exposure_nm2",
            oxt_bath_exposure(&growth, NULL, &part, 0.0, 600.0, 60.0, NULL, &error));
    MISSING("part", oxt_bath_exposure(&growth, NULL, NULL, 0.0, 600.0, 60.0, &value, &error));
    MISSING("growth", oxt_bath_exposure(NULL, NULL, &part, 0.0, 600.0, 60.0, &value, &error));
    MISSING("time_s", oxt_heat_time_for_exposure(&growth, &part, 600.0, 60.0, NULL, NULL, &error));
    MISSING("part", oxt_heat_time_for_exposure(&growth, NULL, 600.0, 60.0, &value, NULL, &error));
    MISSING("lift", oxt_heat_lift_exposure(&growth, &part, NULL, 600.0, &value, NULL, &error));
    MISSING("part", oxt_heat_lift_exposure(&growth, NULL, &lift, 600.0, &value, NULL, &error));
    MISSING("exposure_nm2",
            oxt_heat_lift_exposure(&growth, &part, &lift, 600.0, NULL, NULL, &error));
    MISSING("temperature_K", oxt_heat_surface_temperature(&part, 600.0, 1.0, NULL, &error));
    MISSING("part", oxt_heat_surface_temperature(NULL, 600.0, 1.0, &value, &error));
    MISSING("warming", oxt_heat_warming(&part, 600.0, NULL, &error));
    MISSING("part", oxt_heat_warming(NULL, 600.0, &(oxt_warming)OXT_WARMING_INIT, &error));
    oxt_transfer transfer = OXT_TRANSFER_INIT;
    MISSING("history",
            oxt_heat_find_transfer(&part, 600.0, NULL, OXT_THERMOCOUPLE_CENTRE, &transfer, &error));
    const oxt_bath bath = OXT_BATH_INIT;
    MISSING("crust", oxt_bath_crust(&bath, &part, 600.0, NULL, &error));
    MISSING("bath", oxt_bath_crust(NULL, &part, 600.0, &(oxt_crust)OXT_CRUST_INIT, &error));
    MISSING("part", oxt_bath_crust(&bath, NULL, 600.0, &(oxt_crust)OXT_CRUST_INIT, &error));
}

Test(arguments, of_films, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    const double wavelength_nm = 550.0;
    double value, three[3];
    MISSING("film", oxt_film_reflectance(NULL, 50.0, 1, &wavelength_nm, &value, &error));
    MISSING("wavelength_nm", oxt_film_reflectance(film, 50.0, 1, NULL, &value, &error));
    MISSING("reflectance", oxt_film_reflectance(film, 50.0, 1, &wavelength_nm, NULL, &error));
    MISSING("colour", oxt_film_colour(film, OXT_SPACE_LAB, 50.0, NULL, NULL, &error));
    MISSING("film", oxt_film_colour(NULL, OXT_SPACE_LAB, 50.0, three, NULL, &error));
    MISSING("colour", oxt_film_colour(film, OXT_SPACE_SRGB, 50.0, NULL, NULL, &error));
    MISSING("other", oxt_film_difference(film, NULL, 50.0, &value, &error));
    MISSING("difference", oxt_film_difference(film, film, 50.0, NULL, &error));
    MISSING("film", oxt_film_difference(NULL, film, 50.0, &value, &error));
    /* of two faults the first is told */
    FAILS(oxt_film_reflectance(film, -1.0, 1, NULL, &value, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "thickness_nm");
    FAILS(oxt_bath_exposure(&(oxt_growth)OXT_GROWTH_INIT, NULL, NULL, 0.0, 600.0, -1.0, &value,
                            &error),
          OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "time_s");
}

/* The true bath must be in range, not only what its thermometer reads. */
Test(arguments, a_bath_beyond_the_range_by_its_thermometer, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    options.salt_bath = &bath;
    OK(oxt_dip_predict(steel, &blue, 950.0, &options, &dip, &error));
    bath.thermometer_offset_K = 40.0;
    FAILS(oxt_dip_predict(steel, &blue, 950.0, &options, &dip, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "bath_K");
    /* a fault of the bath is told before a load without its part */
    options.load_kg = 1.0;
    bath.salt_kg = 10.0;
    bath.wander_K = -1.0;
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "wander_K");
    bath.wander_K = 0.0;
    FAILS(oxt_dip_predict(steel, &blue, 600.0, &options, &dip, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "part");
}

Test(arguments, that_read_a_handle, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_plan *set;
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    const oxt_plan_part *parts[] = { &part };
    oxt_plan_step step = OXT_PLAN_STEP_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    part.steel = steel;
    part.film = film;
    part.target = &blue;
    OK(oxt_plan_set(&set, parts, 1, 600.0, NULL, &error));
    MISSING("set", oxt_plan_get(NULL, &(oxt_plan_values)OXT_PLAN_VALUES_INIT, &error));
    MISSING("values", oxt_plan_get(set, NULL, &error));
    MISSING("set", oxt_plan_get_step(NULL, 0, &step, NULL, &error));
    MISSING("step", oxt_plan_get_step(set, 0, NULL, NULL, &error));
    MISSING("best", oxt_plan_baths_report(NULL, 0, NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL,
                                          0, NULL, &error));
    MISSING("dips", oxt_plan_baths_report(NULL, 1, &dip, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL,
                                          0, NULL, &error));
    MISSING("count",
            oxt_plan_baths(steel, &blue, NULL, NULL, &dip, (oxt_dip *[]){ &dip }, NULL, &error));
    oxt_plan_free(set);
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    MISSING("fit", oxt_fit_get_row(NULL, 0, &row, &error));
    MISSING("row", oxt_fit_get_row(fit, 0, NULL, &error));
    MISSING("fit", oxt_fit_warning(NULL, 0, NULL, 0, NULL, &error));
    MISSING("steel", oxt_steel_get(NULL, &(oxt_steel_values)OXT_STEEL_VALUES_INIT, &error));
    MISSING("values", oxt_steel_get(steel, NULL, &error));
    MISSING("trials", oxt_trials_get(NULL, 0, &(oxt_trial)OXT_TRIAL_INIT, &error));
    MISSING("trial", oxt_trials_get(coupons, 0, NULL, &error));
}

Test(arguments, of_light_and_numbers, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(50.0, 580.0, 80e3);
    const oxt_bath bath = OXT_BATH_INIT;
    const oxt_part part = OXT_PART_INIT;
    const double three[3] = { 0.4, 0.5, 0.3 }, times[2] = { 0.0, 1.0 };
    oxt_tint tint = OXT_TINT_INIT;
    double difference[1];
    MISSING("true_K", oxt_bath_read(&bath, 600.0, NULL, NULL, &error));
    MISSING("sag", oxt_bath_sag(&bath, &part, 1.0, 600.0, NULL, &error));
    MISSING("exposure_nm2",
            oxt_bath_exposure(&growth, &bath, &part, 1.0, 600.0, 60.0, NULL, &error));
    MISSING("convection",
            oxt_bath_convection(&bath, OXT_SURFACE_SPHERE, 0.01, 600.0, 50.0, NULL, &error));
    MISSING("bath", oxt_bath_convection(NULL, OXT_SURFACE_SPHERE, 0.01, 600.0, 50.0,
                                        &(oxt_convection)OXT_CONVECTION_INIT, &error));
    MISSING("values", oxt_bath_salt(OXT_SALT_BINARY_60_40, 0.0, NULL, &error));
    MISSING("lab", oxt_lab_from_xyz(three, three, NULL, &error));
    MISSING("xyz", oxt_xyz_from_lab(three, three, NULL, &error));
    MISSING("srgb", oxt_srgb_from_xyz(three, OXT_GAMUT_CLIP, NULL, NULL, &error));
    MISSING("xyz", oxt_xyz_from_srgb(three, NULL, &error));
    MISSING("lab1", oxt_delta_e2000(1, NULL, 3, three, 3, difference, NULL, &error));
    MISSING("lab2", oxt_delta_e2000(1, three, 3, NULL, 3, difference, NULL, &error));
    MISSING("difference", oxt_delta_e2000(1, three, 3, three, 3, NULL, NULL, &error));
    MISSING("film", oxt_film_new(NULL, NULL, &error));
    MISSING("material", oxt_material_new(NULL, "magnetite", 0, NULL, NULL, NULL, &error));
    MISSING("thickness_nm", oxt_thickness_of_exposure(&growth, 0.0, 100.0, NULL, &error));
    MISSING("rate_nm2_per_s", oxt_rate(&growth, 580.0, NULL, &error));
    MISSING("thickness_nm", oxt_thickness(&growth, 580.0, 60.0, NULL, &error));
    MISSING("history", oxt_history_new(NULL, 2, times, 8, three, 8, 0.0, &error));
    MISSING("temper", oxt_temper_dip(600.0, 60.0, NULL, NULL, &error));
    MISSING("temperature_K", oxt_temper_temperature(11000.0, 3600.0, 20.0, NULL, &error));
    MISSING("time_s", oxt_temper_time(11000.0, 600.0, 20.0, NULL, &error));
    MISSING("film", oxt_tint_at(NULL, 50.0, &tint, &error));
    MISSING("tint", oxt_tint_at(film, 50.0, NULL, &error));
    MISSING("film", oxt_tint_find(NULL, "blue", &tint, &error));
    MISSING("text", oxt_tint_find(film, NULL, &tint, &error));
    MISSING("tint", oxt_tint_find(film, "blue", NULL, &error));
    MISSING("target", oxt_tint_target(film, "blue", NULL, &error));
    MISSING("target", oxt_tint_target_of_thickness(50.0, 45.0, 55.0, NULL, &error));
    MISSING("film", oxt_tint_target_of_lab(NULL, three, 3.0, 0, &blue, &error));
    MISSING("lab", oxt_tint_target_of_lab(film, NULL, 3.0, 0, &blue, &error));
    MISSING("target", oxt_tint_target_of_lab(film, three, 3.0, 0, NULL, &error));
    MISSING("film", oxt_tint_target(NULL, "blue", &blue, &error));
    MISSING("text", oxt_tint_target(film, NULL, &blue, &error));
    MISSING("target", oxt_tint_target(film, "blue", NULL, &error));
}

Test(arguments, of_pictures, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_chart chart = OXT_CHART_INIT;
    oxt_sheet sheet = OXT_SHEET_INIT;
    oxt_sheet_options options = OXT_SHEET_OPTIONS_INIT;
    const double bath_K = 600.0, times_s[] = { 60.0, 90.0 };
    double ratio;
    MISSING("chart", oxt_chart_data(steel, film, NULL, NULL, 0, NULL, 0, NULL, &error));
    MISSING("bands", oxt_chart_data(steel, film, NULL, &chart, 1, NULL, 0, NULL, &error));
    MISSING("marks", oxt_chart_data(steel, film, NULL, &chart, 0, NULL, 1, NULL, &error));
    MISSING("time_s", oxt_chart_spread(steel, NULL, &blue, 600.0, NULL, 1, NULL, NULL, &error));
    MISSING("film", oxt_chart_map(steel, NULL, NULL, 1, &bath_K, 1, times_s, &ratio, &error));
    MISSING("bath_K", oxt_chart_map(steel, film, NULL, 1, NULL, 1, times_s, &ratio, &error));
    MISSING("time_s", oxt_chart_map(steel, film, NULL, 1, &bath_K, 1, NULL, &ratio, &error));
    MISSING("ratios", oxt_chart_map(steel, film, NULL, 1, &bath_K, 1, times_s, NULL, &error));
    MISSING("sheet", oxt_chart_sheet(steel, film, NULL, 0, NULL, NULL, &error));
    MISSING("dips", oxt_chart_sheet(steel, film, NULL, 1, NULL, &sheet, &error));
    options.targets = (const oxt_target *[]){ &blue, NULL };
    options.target_count = 2;
    MISSING("targets", oxt_chart_sheet(steel, film, &options, 0, NULL, &sheet, &error));
}

/* No report has a scale or a length that there is not. */
Test(arguments, of_reports, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_temperature_unit unit = (oxt_temperature_unit)9, kelvin = OXT_UNIT_KELVIN;
    const oxt_caution_detail brief = OXT_CAUTION_BRIEF, detail = (oxt_caution_detail)9;
    oxt_cross_validation *validation;
    oxt_bootstrap *bootstrap;
    oxt_laws *laws;
    oxt_pool *pool;
    oxt_advise *advice;
    oxt_bootstrap_options few = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_dip dip = OXT_DIP_INIT, endless;
    few.replicates = 100;
    OK(oxt_cross_validation_run(&validation, fit, NULL, &error));
    OK(oxt_bootstrap_run(&bootstrap, fit, &few, &error));
    OK(oxt_laws_run(&laws, fit, NULL, &error));
    OK(oxt_pool_run(&pool, coupons, film, NULL, &error));
    OK(oxt_advise_run(&advice, steel, film, NULL, &error));
    OK(oxt_dip_predict(steel, &blue, 600.0, NULL, &dip, &error));
    MISSING("unit", oxt_cross_validation_report(validation, unit, NULL, 0, NULL, &error));
    MISSING("unit", oxt_bootstrap_report(bootstrap, unit, NULL, 0, NULL, &error));
    MISSING("unit", oxt_laws_report(laws, unit, NULL, 0, NULL, &error));
    MISSING("unit", oxt_pool_report(pool, unit, NULL, 0, NULL, &error));
    MISSING("unit", oxt_advise_report(advice, unit, brief, NULL, 0, NULL, &error));
    MISSING("detail", oxt_advise_report(advice, kelvin, detail, NULL, 0, NULL, &error));
    MISSING("unit", oxt_dip_report(&dip, unit, brief, NULL, 0, NULL, &error));
    MISSING("detail", oxt_dip_report(&dip, kelvin, detail, NULL, 0, NULL, &error));
    const oxt_dip *const dips[] = { &dip, &endless };
    endless = dip;
    memset(endless.part_text, 'x', sizeof endless.part_text);
    MISSING("part_text", oxt_dip_report(&endless, kelvin, brief, NULL, 0, NULL, &error));
    MISSING("detail", oxt_plan_baths_report(dips, 1, &dip, kelvin, detail, NULL, 0, NULL, &error));
    MISSING("part_text",
            oxt_plan_baths_report(dips, 2, &dip, kelvin, brief, NULL, 0, NULL, &error));
    FAILS(oxt_bootstrap_interval(bootstrap, OXT_INTERVAL_SHAPE, 600.0, 50.0, 0.95,
                                 OXT_BOOTSTRAP_PERCENTILE, &(double){ 0.0 }, &(double){ 0.0 },
                                 &error),
          OXT_EIDENT);
    SAYS("the fit did not find the shape of a law");
    oxt_cross_validation_free(validation);
    oxt_bootstrap_free(bootstrap);
    oxt_laws_free(laws);
    oxt_pool_free(pool);
    oxt_advise_free(advice);
}

Test(arguments, of_logs_and_files, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *loaded;
    MISSING("fits", oxt_fit_each_get(NULL, 0, NULL, NULL, &error));
    MISSING("bootstrap", oxt_bootstrap_get(NULL, NULL, 0, NULL, NULL, NULL, &error));
    MISSING("group", oxt_trials_group(coupons, 0, NULL, &error));
    MISSING("trials", oxt_trials_write_csv(NULL, "x", OXT_REPLACE_ANY, &error));
    MISSING("path", oxt_trials_write_csv(coupons, NULL, OXT_REPLACE_ANY, &error));
    MISSING("trials", oxt_trials_write_csv_text(NULL, NULL, 0, NULL, &error));
    MISSING("trials", oxt_trials_text(NULL, "steel", 0, NULL, 0, NULL, &error));
    MISSING("name", oxt_trials_text(coupons, NULL, 0, NULL, 0, NULL, &error));
    MISSING("fit", oxt_fit_report(NULL, OXT_UNIT_KELVIN, NULL, 0, NULL, &error));
    MISSING("steel", oxt_steel_save_text(NULL, NULL, 0, NULL, &error));
    MISSING("steel", oxt_steel_load(NULL, "x", NULL, 0, &error));
    MISSING("path", oxt_steel_load(&loaded, NULL, NULL, 0, &error));
}

/* A colour that was measured is told as it was given. */
Test(arguments, a_measured_colour_in_words, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    double lab[3];
    char expected[48];
    OK(oxt_film_colour(film, OXT_SPACE_LAB, 57.0, lab, NULL, &error));
    OK(oxt_tint_target_of_lab(film, lab, 2.0, 1, &target, &error));
    snprintf(expected, sizeof expected, "L* %.1f a* %.1f b* %.1f", lab[0], lab[1], lab[2]);
    cr_assert_str_eq(target.text, expected);
}
