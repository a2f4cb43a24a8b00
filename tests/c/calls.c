/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "calls.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- the list ---- */

static call_case all[600];
static size_t all_count;

size_t call_cases(const call_case **cases)
{
    *cases = all;
    return all_count;
}

/* A call of `function` enters itself into the list. */
#define CALL(function, variant)                                                             \
    static oxt_status function##_##variant(const call_stage *stage, call_result *out,       \
                                           oxt_error *error);                               \
    __attribute__((constructor)) static void function##_##variant##_enter(void)             \
    {                                                                                       \
        if (all_count < sizeof all / sizeof all[0])                                         \
            all[all_count++] = (call_case){ #function, #variant, function##_##variant };    \
    }                                                                                       \
    static oxt_status function##_##variant(__attribute__((unused)) const call_stage *stage, \
                                           __attribute__((unused)) call_result *out,        \
                                           __attribute__((unused)) oxt_error *error)

#ifndef CALL_CLEAR
#define CALL_CLEAR(object) (void)(object)
#endif

/* A call that cannot fail. */
#define PLAIN(function, ...) \
    CALL(function, plain)    \
    {                        \
        __VA_ARGS__;         \
        return OXT_OK;       \
    }

/* A call that gives numbers or a handle. */
#define GIVES(function, variant, ...) \
    CALL(function, variant)           \
    {                                 \
        return __VA_ARGS__;           \
    }

/* A call that fills a struct. */
#define FILLS(function, variant, type, init, ...)  \
    CALL(function, variant)                        \
    {                                              \
        type *into = (type *)(void *)&out->object; \
        *into = (type)init;                        \
        out->object_size = sizeof *into;           \
        memcpy(out->before, into, sizeof *into);   \
        oxt_status status = __VA_ARGS__;           \
        CALL_CLEAR(into);                          \
        return status;                             \
    }

/* A call that makes a handle. */
#define HANDLE(type, free)                   \
    static void release_##type(void *handle) \
    {                                        \
        free(handle);                        \
    }
HANDLE(film, oxt_film_free)
HANDLE(material, oxt_material_free)
HANDLE(trials, oxt_trials_free)
HANDLE(faults, oxt_faults_free)
HANDLE(fit, oxt_fit_free)
HANDLE(fit_each, oxt_fit_each_free)
HANDLE(laws, oxt_laws_free)
HANDLE(pool, oxt_pool_free)
HANDLE(bootstrap, oxt_bootstrap_free)
HANDLE(cross_validation, oxt_cross_validation_free)
HANDLE(steel, oxt_steel_free)
HANDLE(advise, oxt_advise_free)
HANDLE(plan, oxt_plan_free)
HANDLE(history, oxt_history_free)
HANDLE(track, oxt_track_free)

#define MAKES(function, variant, type, ...) \
    CALL(function, variant)                 \
    {                                       \
        oxt_##type *made = out->handle;     \
        out->release = release_##type;      \
        oxt_status status = __VA_ARGS__;    \
        out->handle = made;                 \
        return status;                      \
    }

#define TEXT out->text, CALL_TEXT, NULL
#define STRIDE ((ptrdiff_t)sizeof(double))
#define NUMBERS(...) ((const double[]){ __VA_ARGS__ })

/* ---- what they read ---- */

static const char log_text[] =
    "steel,finish,bath_F,time_s,colour,thickness_nm,L,a,b,srgb,note,salt,bath_sd\n"
    "Alder 1,polished,550,60,straw,,,,,,\"two\nlines, \"\"quoted\"\"\",clock salt,5 F\n"
    "Alder 1,polished,550,300,brown,,,,,,,,\n"
    "Alder 1,polished,600,60,brown,,,,,,,,\n"
    "# a comment\n"
    "Alder 1,polished,600,130,blue,,,,,,,,\n"
    "Alder 1,polished,650,40,,62.5,,,,,,,\n"
    "Alder 1,ground,650,60,,,58.5,-4.8,-28,,,,\n"
    "Alder 1,polished,650,50,,,,,,#4482b8,,,\n"
    "Alder 1,ground,650,50,,61,,,,,,,\n"
    "Alder 1,polished,650,400,blue,,,,,,,,\n"
    "Alder 1,polished,650,10,,,,,,#00ff00,,,\n";

/* Coupons that warm up and are carried to the quench. */
static const char path_text[] = "steel,bath (C),time,thickness_nm,part,lift\n"
                                "Alder 1,290,3:00,38,6 mm,4 s\n"
                                "Alder 1,290,8:00,66,6 mm,4 s\n"
                                "Alder 1,310,2:00,42,6 mm,4 s\n"
                                "Alder 1,310,5:00,73,6 mm,4 s\n"
                                "Alder 1,330,2:30,67,6 mm,4 s\n"
                                "Alder 1,330,4:00,88,6 mm,4 s\n"
                                "Alder 1,300,4:00,57,6 mm,4 s\n"
                                "Alder 1,300,9:00,81,6 mm,4 s\n";

static const char faulty_text[] = "steel,bath_F,time_s,colour\nA,6500,0,mauve\nA,hot,60,blue\n";

static const char history_text[] = "time_s,temperature_C\n0,20\n10,150\n20,280\n90,315\n180,316\n";

static const char faulty_history[] = "time_s,temperature_C\n0,20\n10,warm\n5,30\n";

static bool write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "wb");
    if (!file)
        return false;
    bool good = fputs(text, file) >= 0;
    return fclose(file) == 0 && good;
}

static oxt_status make_films(call_stage *made, oxt_error *error)
{
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.thickness_spread = 0.05;
    options.angle_spread_deg = 8.0;
    options.coat_index = 1.475;
    oxt_status status = oxt_film_new(&made->film, NULL, error);
    if (!status)
        status = oxt_film_new(&made->rough_film, &options, error);
    if (!status)
        status = oxt_material_new(&made->material, "magnetite", 0, NULL, NULL, NULL, error);
    if (!status)
        status = oxt_tint_target(made->film, "blue", &made->blue, error);
    if (!status)
        status = oxt_tint_target(made->film, "second order blue", &made->second_blue, error);
    if (!status)
        status = oxt_tint_target(made->film, "faint straw", &made->straw, error);
    return status;
}

static oxt_status make_fits(call_stage *made, oxt_error *error)
{
    oxt_fit_options one_finish = OXT_FIT_OPTIONS_INIT;
    oxt_bootstrap_options few = OXT_BOOTSTRAP_OPTIONS_INIT;
    one_finish.finish = "polished";
    few.replicates = 100;
    few.threads = 1;
    oxt_status status = oxt_trials_read_csv(&made->trials, NULL, log_text, sizeof log_text - 1,
                                            NULL, NULL, error);
    if (!status)
        status = oxt_trials_read_csv(&made->path_trials, NULL, path_text, sizeof path_text - 1,
                                     NULL, NULL, error);
    if (!status)
        status = oxt_fit_run(&made->fit, made->trials, made->film, &one_finish, error);
    if (!status)
        status = oxt_fit_each_run(&made->fits, made->trials, made->film, NULL, error);
    if (!status)
        status = oxt_fit_run(&made->path_fit, made->path_trials, made->film, NULL, error);
    if (!status)
        status = oxt_laws_run(&made->laws, made->fit, NULL, error);
    if (!status)
        status = oxt_bootstrap_run(&made->bootstrap, made->fit, &few, error);
    if (!status)
        status = oxt_cross_validation_run(&made->validation, made->fit, NULL, error);
    if (!status)
        status = oxt_pool_run(&made->pool, made->trials, made->film, NULL, error);
    if (!status)
        status = oxt_drift_find(made->fit, NULL, &made->drift, error);
    return status;
}

static oxt_status make_steels(call_stage *made, oxt_error *error)
{
    const oxt_plan_part part = { sizeof part, "collar", NULL, NULL, NULL, NULL };
    oxt_status status = oxt_fit_steel(made->fit, &made->steel, error);
    if (!status)
        status = oxt_anchor_steel(&made->renewed, made->steel, made->trials, made->film, NULL,
                                  error);
    if (!status)
        status = oxt_steel_save_text(made->renewed, made->card, sizeof made->card, NULL, error);
    if (!status)
        status = oxt_advise_run(&made->advice, made->steel, made->film, NULL, error);
    if (!status)
        status = oxt_dip_predict(made->steel, &made->blue, 588.7, NULL, &made->dip, error);
    if (!status)
        status = oxt_record_add(&made->recorded, made->steel, made->film, &made->dip, "blue", NULL,
                                error);
    if (!status)
        status = oxt_record_get(made->recorded, 0.01, &made->record, error);
    oxt_plan_part first = part, second = part;
    first.steel = second.steel = made->steel;
    first.film = second.film = made->film;
    first.target = second.target = &made->blue;
    if (!status)
        status = oxt_plan_set(&made->set, (const oxt_plan_part *[]){ &first, &second }, 2, 588.7,
                              NULL, error);
    return status;
}

bool call_stage_make(call_stage *made, const char *directory, oxt_error *error)
{
    oxt_trials *none;
    memset(made, 0, sizeof *made);
    made->growth = (oxt_growth)OXT_GROWTH_INIT;
    made->blue = (oxt_target)OXT_TARGET_INIT;
    made->second_blue = (oxt_target)OXT_TARGET_INIT;
    made->straw = (oxt_target)OXT_TARGET_INIT;
    made->part = (oxt_part)OXT_PART_INIT;
    made->lift = (oxt_lift)OXT_LIFT_INIT;
    made->bath = (oxt_bath)OXT_BATH_INIT;
    made->dip = (oxt_dip)OXT_DIP_INIT;
    made->record = (oxt_record)OXT_RECORD_INIT;
    made->temper = (oxt_temper)OXT_TEMPER_INIT;
    made->drift = (oxt_drift)OXT_DRIFT_INIT;
    made->growth.k_ref_nm2_per_s = 30.0;
    made->growth.T_ref_K = 588.7;
    made->growth.Q_J_per_mol = 76e3;
    made->part.size_m = 0.006;
    made->lift.delay_s = 3.0;
    made->bath.salt = OXT_SALT_TERNARY;
    made->bath.salt_kg = 10.0;
    made->bath.heater_W = 500.0;
    made->bath.thermometer_sd_K = made->bath.wander_K = 1.0;
    oxt_status status = make_films(made, error);
    if (!status)
        status = make_fits(made, error);
    if (!status)
        status = make_steels(made, error);
    if (!status)
        status = oxt_history_read_csv(&made->history, NULL, history_text, sizeof history_text - 1,
                                      0.0, NULL, error);
    if (!status)
        status = oxt_temper_dip(588.7, 120.0, NULL, &made->temper, error);
    if (!status && oxt_trials_read_csv(&none, NULL, faulty_text, sizeof faulty_text - 1, NULL,
                                       &made->faults, NULL) != OXT_EPARSE)
        return false;
    snprintf(made->log_path, sizeof made->log_path, "%s/log.csv", directory);
    snprintf(made->history_path, sizeof made->history_path, "%s/history.csv", directory);
    snprintf(made->card_path, sizeof made->card_path, "%s/card.json", directory);
    return status == OXT_OK && write_file(made->log_path, log_text) &&
           write_file(made->history_path, history_text) && write_file(made->card_path, made->card);
}

void call_stage_free(call_stage *made)
{
    oxt_history_free(made->history);
    oxt_plan_free(made->set);
    oxt_advise_free(made->advice);
    oxt_steel_free(made->renewed);
    oxt_steel_free(made->steel);
    oxt_bootstrap_free(made->bootstrap);
    oxt_cross_validation_free(made->validation);
    oxt_steel_free(made->recorded);
    oxt_pool_free(made->pool);
    oxt_laws_free(made->laws);
    oxt_fit_free(made->path_fit);
    oxt_fit_free(made->fit);
    oxt_fit_each_free(made->fits);
    oxt_faults_free(made->faults);
    oxt_trials_free(made->path_trials);
    oxt_trials_free(made->trials);
    oxt_material_free(made->material);
    oxt_film_free(made->rough_film);
    oxt_film_free(made->film);
}

/* ---- version.h, error.h ---- */

/* Static text goes into the result. */
static oxt_status say(call_result *out, const char *text)
{
    snprintf(out->text, sizeof out->text, "%s", text);
    return OXT_OK;
}

GIVES(oxt_version, plain, say(out, oxt_version()))
GIVES(oxt_status_name, plain, say(out, oxt_status_name(OXT_EDOMAIN)))
static oxt_status retold(call_result *out, oxt_error *error)
{
    oxt_error made = OXT_ERROR_INIT;
    const oxt_given typed = { NULL, "reading", "9000 F" };
    oxt_bath bath = OXT_BATH_INIT;
    double number;
    oxt_bath_read(&bath, 5255.372222222222, &number, NULL, &made);
    oxt_error_retell(&made, &typed, 1);
    if (strstr(made.text, "9000 F"))
        return say(out, made.text);
    /* it stays as it was where memory runs out */
    if (error)
        *error = (oxt_error){ .struct_size = sizeof *error,
                              .status = OXT_ENOMEM,
                              .text = "out of memory" };
    return OXT_ENOMEM;
}
GIVES(oxt_error_retell, plain, retold(out, error))
GIVES(oxt_caution_get, plain, say(out, oxt_caution_get(OXT_CAUTION_WATER)->name))
GIVES(oxt_caution_get, first_of_two,
      say(out, oxt_caution_get(OXT_CAUTION_WATER | OXT_CAUTION_HARDENED)->name))
GIVES(oxt_caution_report, plain,
      oxt_caution_report(OXT_CAUTION_WATER, OXT_CAUTION_WHOLE, TEXT, error))

/* ---- units.h ---- */

GIVES(oxt_parse_temperature, plain, oxt_parse_temperature("650.5 F", out->number, error))
GIVES(oxt_parse_temperature_difference, plain,
      oxt_parse_temperature_difference("4.5 F", out->number, error))
GIVES(oxt_parse_duration, plain, oxt_parse_duration("1 min 30.5 s", out->number, error))
GIVES(oxt_parse_length, plain, oxt_parse_length("1 1/4 in", out->number, error))
GIVES(oxt_format_temperature, plain, oxt_format_temperature(616.48, OXT_UNIT_CELSIUS, TEXT, error))
GIVES(oxt_format_duration, plain, oxt_format_duration(90.5, TEXT, error))
GIVES(oxt_format_length, plain, oxt_format_length(0.00635, OXT_UNIT_MILLIMETRE, TEXT, error))

/* ---- growth.h ---- */

GIVES(oxt_rate, plain, oxt_rate(&stage->growth, 600.0, out->number, error))
GIVES(oxt_thickness_of_exposure, plain,
      oxt_thickness_of_exposure(&stage->growth, 10.0, 900.0, out->number, error))
GIVES(oxt_thickness, plain, oxt_thickness(&stage->growth, 600.0, 90.0, out->number, error))
GIVES(oxt_time_for_thickness, plain,
      oxt_time_for_thickness(&stage->growth, 57.0, 600.0, out->number, error))
GIVES(oxt_thickness_n, plain,
      oxt_thickness_n(&stage->growth, 3, NUMBERS(560, 580, 600), STRIDE, NUMBERS(60), 0,
                      out->number, NULL, error))
GIVES(oxt_time_for_thickness_n, plain,
      oxt_time_for_thickness_n(&stage->growth, 3, NUMBERS(30, 50, 70), STRIDE, NUMBERS(600), 0,
                               out->number, NULL, error))

/* ---- colour.h, light.h ---- */

#define SOME_XYZ NUMBERS(0.2, 0.22, 0.4)
#define WHITE NUMBERS(0.95047, 1.0, 1.08883)
#define BLUE_LAB NUMBERS(44.7, 0.9, -41.6)

GIVES(oxt_lab_from_xyz, plain, oxt_lab_from_xyz(SOME_XYZ, WHITE, out->number, error))
GIVES(oxt_xyz_from_lab, plain, oxt_xyz_from_lab(BLUE_LAB, WHITE, out->number, error))
GIVES(oxt_srgb_from_xyz, clipped,
      oxt_srgb_from_xyz(SOME_XYZ, OXT_GAMUT_CLIP, out->number, NULL, error))
GIVES(oxt_srgb_from_xyz, keeping_hue,
      oxt_srgb_from_xyz(SOME_XYZ, OXT_GAMUT_KEEP_HUE, out->number, NULL, error))
GIVES(oxt_xyz_from_srgb, plain, oxt_xyz_from_srgb(NUMBERS(0.1, 0.5, 0.9), out->number, error))
GIVES(oxt_parse_srgb, plain, oxt_parse_srgb("#4482b8", out->number, error))
GIVES(oxt_format_srgb, plain, oxt_format_srgb(NUMBERS(0.1, 0.5, 0.9), TEXT, error))
GIVES(oxt_delta_e2000, plain,
      oxt_delta_e2000(1, BLUE_LAB, 0, NUMBERS(50, 2, -30), 0, out->number, NULL, error))
GIVES(oxt_light_white, plain,
      oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, out->number, error))
GIVES(oxt_light_adapt, plain,
      oxt_light_adapt(SOME_XYZ, NUMBERS(1.0985, 1, 0.35585), WHITE, out->number, error))

/* ---- heat.h ---- */

FILLS(oxt_heat_warming, plain, oxt_warming, OXT_WARMING_INIT,
      oxt_heat_warming(&stage->part, 600.0, into, error))
FILLS(oxt_heat_find_transfer, plain, oxt_transfer, OXT_TRANSFER_INIT,
      oxt_heat_find_transfer(&stage->part, 589.15, stage->history, OXT_THERMOCOUPLE_CENTRE, into,
                             error))
GIVES(oxt_heat_surface_temperature, plain,
      oxt_heat_surface_temperature(&stage->part, 600.0, 20.0, out->number, error))
/* A part thick enough that its inside lags behind its surface. */
static oxt_status thick(const call_stage *stage, oxt_shape shape, double *number, oxt_error *error)
{
    oxt_part part = stage->part;
    part.shape = shape;
    part.size_m = 0.05;
    return oxt_bath_exposure(&stage->growth, NULL, &part, 0.0, 600.0, 200.0, number, error);
}
GIVES(oxt_heat_surface_temperature, thick, thick(stage, OXT_SHAPE_CYLINDER, out->number, error))
GIVES(oxt_heat_time_for_exposure, plain,
      oxt_heat_time_for_exposure(&stage->growth, &stage->part, 600.0, 3000.0, out->number,
                                 out->number + 1, error))
GIVES(oxt_heat_lift_exposure, plain,
      oxt_heat_lift_exposure(&stage->growth, &stage->part, &stage->lift, 600.0, out->number,
                             out->number + 1, error))

/* ---- bath.h ---- */

FILLS(oxt_bath_salt, plain, oxt_salt_values, OXT_SALT_VALUES_INIT,
      oxt_bath_salt(OXT_SALT_TERNARY, 600.0, into, error))
static oxt_status read_bath(const call_stage *stage, call_result *out, oxt_error *error)
{
    uint32_t bits;
    oxt_status status = oxt_bath_read(&stage->bath, 600.0, out->number + 1, &bits, error);
    if (!status)
        out->number[0] = bits;
    return status;
}
GIVES(oxt_bath_read, plain, read_bath(stage, out, error))
FILLS(oxt_bath_sag, plain, oxt_sag, OXT_SAG_INIT,
      oxt_bath_sag(&stage->bath, &stage->part, 1.0, 600.0, into, error))
GIVES(oxt_bath_exposure, plain,
      oxt_bath_exposure(&stage->growth, &stage->bath, &stage->part, 1.0, 600.0, 90.0, out->number,
                        error))
GIVES(oxt_bath_exposure, without_load,
      oxt_bath_exposure(&stage->growth, NULL, &stage->part, 0.0, 600.0, 90.0, out->number, error))
GIVES(oxt_bath_exposure, thick_plate, thick(stage, OXT_SHAPE_PLATE, out->number, error))
GIVES(oxt_bath_exposure, thick_sphere, thick(stage, OXT_SHAPE_SPHERE, out->number, error))
static oxt_status crust_of(oxt_salt salt, const call_stage *stage, oxt_crust *into,
                           oxt_error *error)
{
    oxt_bath bath = OXT_BATH_INIT;
    bath.salt = salt;
    return oxt_bath_crust(&bath, &stage->part, 600.0, into, error);
}
FILLS(oxt_bath_crust, plain, oxt_crust, OXT_CRUST_INIT,
      crust_of(OXT_SALT_TERNARY, stage, into, error))
FILLS(oxt_bath_convection, plain, oxt_convection, OXT_CONVECTION_INIT,
      oxt_bath_convection(&stage->bath, OXT_SURFACE_LYING, 0.01, 600.0, 100.0, into, error))

/* ---- material.h, film.h ---- */

MAKES(oxt_material_new, published, material,
      oxt_material_new(&made, "iron", 0, NULL, NULL, NULL, error))
MAKES(oxt_material_new, own, material,
      oxt_material_new(&made, "own", 2, NUMBERS(380, 780), NUMBERS(2.0, 2.1), NUMBERS(0.1, 0.0),
                       error))
PLAIN(oxt_material_free, oxt_material_free(NULL))
GIVES(oxt_material_index, plain,
      oxt_material_index(stage->material, 500.0, out->number, out->number + 1, error))
GIVES(oxt_film_finish, plain,
      oxt_film_finish(OXT_FINISH_SATIN, out->number, out->number + 1, error))
MAKES(oxt_film_new, plain, film, oxt_film_new(&made, NULL, error))
static oxt_status film_of_layers(const call_stage *stage, oxt_film **made, oxt_error *error)
{
    const oxt_material *layers[] = { stage->material, stage->material };
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.layer_count = 2;
    options.layers = layers;
    options.thickness_spread = 0.05;
    options.angle_spread_deg = 8.0;
    options.illuminant = OXT_ILLUMINANT_A;
    return oxt_film_new(made, &options, error);
}
MAKES(oxt_film_new, layers, film, film_of_layers(stage, &made, error))
PLAIN(oxt_film_free, oxt_film_free(NULL))
GIVES(oxt_film_description, plain, oxt_film_description(stage->rough_film, TEXT, error))
GIVES(oxt_film_reflectance, plain,
      oxt_film_reflectance(stage->film, 57.0, 3, NUMBERS(400, 500, 600), out->number, error))
GIVES(oxt_film_reflectance, rough,
      oxt_film_reflectance(stage->rough_film, 57.0, 3, NUMBERS(400, 500, 600), out->number, error))
GIVES(oxt_film_colours, xyz,
      oxt_film_colours(stage->film, OXT_SPACE_XYZ, 1, NUMBERS(57), 0, out->number, NULL, NULL,
                       error))
GIVES(oxt_film_colour, lab,
      oxt_film_colour(stage->film, OXT_SPACE_LAB, 57.0, out->number, NULL, error))
GIVES(oxt_film_colour, rough,
      oxt_film_colour(stage->rough_film, OXT_SPACE_LAB, 57.0, out->number, NULL, error))
GIVES(oxt_film_colour, srgb,
      oxt_film_colour(stage->film, OXT_SPACE_SRGB, 57.0, out->number, NULL, error))
GIVES(oxt_film_colours, lab,
      oxt_film_colours(stage->film, OXT_SPACE_LAB, 2, NUMBERS(20, 57), STRIDE, out->number, NULL,
                       NULL, error))
GIVES(oxt_film_colours, srgb,
      oxt_film_colours(stage->film, OXT_SPACE_SRGB, 2, NUMBERS(20, 57), STRIDE, out->number, NULL,
                       NULL, error))
GIVES(oxt_film_colours, path_lab,
      oxt_film_colours(stage->film, OXT_SPACE_PATH_LAB, 2, NUMBERS(20, 57), STRIDE, out->number,
                       NULL, NULL, error))
GIVES(oxt_film_colours, path_xyz,
      oxt_film_colours(stage->film, OXT_SPACE_PATH_XYZ, 2, NUMBERS(20, 57), STRIDE, out->number,
                       NULL, NULL, error))
GIVES(oxt_film_colours, path_srgb,
      oxt_film_colours(stage->film, OXT_SPACE_PATH_SRGB, 2, NUMBERS(20, 57), STRIDE, out->number,
                       NULL, NULL, error))
GIVES(oxt_film_difference, plain,
      oxt_film_difference(stage->film, stage->rough_film, 57.0, out->number, error))
static oxt_status match(const call_stage *stage, call_result *out, oxt_error *error)
{
    oxt_match *found = (oxt_match *)(void *)&out->object;
    size_t count;
    oxt_match_verdict verdict;
    *found = (oxt_match)OXT_MATCH_INIT;
    oxt_status status = oxt_film_match(stage->film, BLUE_LAB, NULL, 1, found, &count, &verdict,
                                       error);
    if (!status) {
        CALL_CLEAR(found);
        out->number[0] = (double)count;
        out->number[1] = found->thickness_nm;
    }
    return status;
}
GIVES(oxt_film_match, plain, match(stage, out, error))

/* ---- tint.h ---- */

FILLS(oxt_tint_band, plain, oxt_tint, OXT_TINT_INIT, oxt_tint_band(stage->film, 3, into, error))
FILLS(oxt_tint_at, plain, oxt_tint, OXT_TINT_INIT, oxt_tint_at(stage->film, 57.0, into, error))
FILLS(oxt_tint_find, plain, oxt_tint, OXT_TINT_INIT,
      oxt_tint_find(stage->film, "dark blue", into, error))
FILLS(oxt_tint_target, plain, oxt_target, OXT_TARGET_INIT,
      oxt_tint_target(stage->film, "blue", into, error))
FILLS(oxt_tint_target_of_thickness, plain, oxt_target, OXT_TARGET_INIT,
      oxt_tint_target_of_thickness(57.0, 50.0, 60.0, into, error))
FILLS(oxt_tint_target_of_lab, plain, oxt_target, OXT_TARGET_INIT,
      oxt_tint_target_of_lab(stage->film, BLUE_LAB, 5.0, 0, into, error))
FILLS(oxt_tint_target, name, oxt_target, OXT_TARGET_INIT,
      oxt_tint_target(stage->film, "second order blue", into, error))
FILLS(oxt_tint_target, thickness, oxt_target, OXT_TARGET_INIT,
      oxt_tint_target(stage->film, "57.5 nm", into, error))
/* The blue of 170 nm: the second order is nearest, the first one near enough to be preferred. */
FILLS(oxt_tint_target, colour, oxt_target, OXT_TARGET_INIT,
      oxt_tint_target(stage->film, "#154eba", into, error))

/* ---- trials.h ---- */

static oxt_status grow_log(oxt_trials **made, oxt_error *error)
{
    oxt_status status = oxt_trials_new(made, NULL, error);
    for (int i = 0; !status && i < 40; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        strcpy(trial.steel, "Alder 1");
        strcpy(trial.colour, "blue");
        trial.bath_K = 580.0 + i;
        trial.time_s = 60.0;
        status = oxt_trials_add(*made, &trial, "a note", error);
    }
    if (status) {
        oxt_trials_free(*made);
        *made = NULL;
    }
    return status;
}
MAKES(oxt_trials_new, plain, trials, oxt_trials_new(&made, NULL, error))
PLAIN(oxt_trials_free, oxt_trials_free(NULL))
MAKES(oxt_trials_add, plain, trials, grow_log(&made, error))
static const char words_text[] = "word,band,low_nm,high_nm\nlamp blue,blue,,\nclock blue,,47,55\n";
static oxt_status words_of(oxt_words **words, oxt_error *error)
{
    return oxt_words_read_csv(words, NULL, words_text, sizeof words_text - 1, NULL, error);
}
static void release_words(void *words)
{
    oxt_words_free(words);
}
static oxt_status make_words(call_result *out, oxt_error *error)
{
    oxt_words *words = NULL;
    oxt_status status = words_of(&words, error);
    out->handle = words;
    out->release = release_words;
    return status;
}
static oxt_status worded_log(oxt_trials **made, oxt_error *error)
{
    static const char text[] = "steel,bath_F,time_s,colour\nA,600,60,Lamp-Blue\n";
    oxt_words *words;
    *made = NULL;
    oxt_status status = words_of(&words, error);
    if (!status)
        status = oxt_trials_read_csv(made, NULL, text, sizeof text - 1, words, NULL, error);
    oxt_words_free(words);
    return status;
}
static oxt_status one_word(oxt_word *into, oxt_error *error)
{
    oxt_words *words;
    oxt_status status = words_of(&words, error);
    if (!status)
        status = oxt_words_get(words, 1, into, error);
    oxt_words_free(words);
    return status;
}
/* A log is no list of words: the reader fails in any case, with another status without memory. */
static oxt_status no_words(const call_stage *stage, call_result *out, oxt_error *error)
{
    oxt_words *none = (oxt_words *)(void *)out;
    oxt_faults *faults = (oxt_faults *)(void *)out;
    oxt_status status = oxt_words_read_csv(&none, stage->log_path, NULL, 0, &faults, error);
    out->handle = faults;
    out->release = release_faults;
    if (none)
        return OXT_EBUG;
    return status == OXT_EPARSE ? OXT_OK : status;
}
GIVES(oxt_words_read_csv, plain, make_words(out, error))
GIVES(oxt_words_read_csv, faulty, no_words(stage, out, error))
FILLS(oxt_words_get, plain, oxt_word, OXT_WORD_INIT, one_word(into, error))
PLAIN(oxt_words_free, oxt_words_free(NULL))
MAKES(oxt_trials_read_csv, words, trials, worded_log(&made, error))
static oxt_status columned_log(oxt_trials **made, oxt_error *error)
{
    static const char *const names[] = { "Alder 1", "Birch 2" };
    static const int32_t codes[] = { 0, 1, 1, -1 };
    static const double baths[] = { 590.0, 600.0, 610.0, NAN }, films[] = { 40.0, 50.0, NAN, NAN };
    static const char *const seen[] = { NULL, "", "blue", NULL }, *const salt = "clock salt";
    static const double second = 60.0;
    const oxt_column columns[] = {
        { sizeof(oxt_column), "steel", codes, sizeof *codes, names, 2, NULL, 0, OXT_COLUMN_INT32 },
        { sizeof(oxt_column), "bath_K", baths, sizeof *baths, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "time_s", &second, 0, NULL, 0, (const unsigned char[]){ 0, 0, 0, 1 },
          1, OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "thickness_nm", films, sizeof *films, NULL, 0, NULL, 0,
          OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "colour", seen, sizeof *seen, NULL, 0, NULL, 0, OXT_COLUMN_TEXT },
        { sizeof(oxt_column), "salt", &salt, 0, NULL, 0, (const unsigned char[]){ 1, 0, 1, 1 }, 1,
          OXT_COLUMN_TEXT },
    };
    const oxt_column *const given[] = { &columns[0], &columns[1], &columns[2],
                                        &columns[3], &columns[4], &columns[5] };
    oxt_status status = oxt_trials_new(made, NULL, error);
    for (int again = 0; again < 2 && !status; again++)
        status = oxt_trials_add_columns(*made, 4, given, 6, NULL, error);
    if (status) {
        oxt_trials_free(*made);
        *made = NULL;
    }
    return status;
}
MAKES(oxt_trials_add_columns, plain, trials, columned_log(&made, error))
/* All faults or none: it fails in any case, with another status without memory, and the log is as before. */
static oxt_status columned_faults(call_result *out, oxt_error *error)
{
    static const char *const name = "Alder 1";
    static const double bath = 7000.0;
    const oxt_column columns[] = {
        { sizeof(oxt_column), "steel", &name, 0, NULL, 0, NULL, 0, OXT_COLUMN_TEXT },
        { sizeof(oxt_column), "bath_K", &bath, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "time_s", &bath, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "thickness_nm", &bath, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE },
    };
    const oxt_column *const given[] = { &columns[0], &columns[1], &columns[2], &columns[3] };
    oxt_trials *log = NULL;
    oxt_faults *faults = NULL;
    oxt_status status = grow_log(&log, error);
    if (!status)
        status = oxt_trials_add_columns(log, 30, given, 4, &faults, error);
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    bool kept = !log || (oxt_trials_count(log) == 40 && !oxt_trials_group(log, 0, &group, NULL) &&
                         group.group_count == 1);
    oxt_trials_free(log);
    out->handle = faults;
    out->release = release_faults;
    if (!kept)
        return OXT_EBUG;
    return status == OXT_EPARSE ? OXT_OK : status;
}
GIVES(oxt_trials_add_columns, faulty, columned_faults(out, error))
GIVES(oxt_trials_numbers, plain,
      oxt_trials_numbers(stage->trials, "thickness_nm", CALL_NUMBERS, out->number, STRIDE, error))
static oxt_status colour_codes(const call_stage *stage, call_result *out, oxt_error *error)
{
    int32_t codes[CALL_NUMBERS] = { 0 };
    oxt_status status = oxt_trials_codes(stage->trials, "colour", CALL_NUMBERS, codes,
                                         sizeof *codes, error);
    for (int i = 0; i < CALL_NUMBERS && !status; i++)
        out->number[i] = codes[i];
    return status;
}
GIVES(oxt_trials_codes, plain, colour_codes(stage, out, error))
GIVES(oxt_trials_text, plain, oxt_trials_text(stage->trials, "colour", 0, TEXT, error))
MAKES(oxt_trials_read_csv, plain, trials,
      oxt_trials_read_csv(&made, stage->log_path, NULL, 0, NULL, NULL, error))
MAKES(oxt_trials_read_csv, text, trials,
      oxt_trials_read_csv(&made, NULL, log_text, sizeof log_text - 1, NULL, NULL, error))
/* All faults or none: the reader fails in any case, with another status without memory. */
static oxt_status read_faults(call_result *out, oxt_error *error)
{
    oxt_trials *none = (oxt_trials *)(void *)out;
    oxt_faults *faults = (oxt_faults *)(void *)out;
    oxt_status status = oxt_trials_read_csv(&none, NULL, faulty_text, sizeof faulty_text - 1, NULL,
                                            &faults, error);
    out->handle = faults;
    out->release = release_faults;
    if (none)
        return OXT_EBUG;
    return status == OXT_EPARSE ? OXT_OK : status;
}
GIVES(oxt_trials_read_csv, faulty, read_faults(out, error))
/* With what became a note. A field of more than libcsv's first block stands before the first separator. */
CALL(oxt_trials_read_csv, remarks)
{
    static const char text[] =
        "a column of the shop that has a very long name which goes on and on until it fills more "
        "than the hundred "
        "and twenty-eight bytes of a block;steel;bath_F;time_s;colour;Salt\n"
        "x;Alder 1;550;60;straw;clock salt\nx;Alder 1;600;60;blue;clock salt\n";
    oxt_trials *log = NULL;
    oxt_faults *remarks = NULL;
    oxt_status status = oxt_trials_read_csv(&log, NULL, text, sizeof text - 1, NULL, NULL, error);
    if (!status)
        status = oxt_check_log(&remarks, log, stage->film, OXT_UNIT_FAHRENHEIT, error);
    if (!status)
        out->number[0] = (double)oxt_faults_count(remarks);
    oxt_faults_free(remarks);
    oxt_trials_free(log);
    return status;
}
GIVES(oxt_trials_write_csv, plain,
      oxt_trials_write_csv(stage->trials, out->path, OXT_REPLACE_SAME_KIND, error))
GIVES(oxt_trials_write_csv_text, plain, oxt_trials_write_csv_text(stage->trials, TEXT, error))
PLAIN(oxt_trials_count, out->number[0] = (double)oxt_trials_count(stage->trials))
static oxt_status separate(call_result *out, oxt_error *error)
{
    static const char *const columns[] = { "name", "card" };
    return oxt_trials_csv_separator(out->text, "name;card\n", 10, columns, 2, NULL, error);
}
GIVES(oxt_trials_csv_separator, plain, separate(out, error))
PLAIN(oxt_trials_unit, out->number[0] = (double)oxt_trials_unit(stage->trials))
static oxt_status log_in_C(oxt_trials **made, oxt_error *error)
{
    oxt_status status = oxt_trials_new(made, NULL, error);
    return status ? status : oxt_trials_set_unit(*made, OXT_UNIT_CELSIUS, error);
}
MAKES(oxt_trials_set_unit, plain, trials, log_in_C(&made, error))
static oxt_status log_of_plates(oxt_trials **made, oxt_error *error)
{
    static const char text[] =
        "steel,bath_C,time_s,colour,lift_s\nA,300,60,blue,\nA,310,60,blue,3\n";
    oxt_part plate = OXT_PART_INIT;
    plate.size_m = 0.002;
    oxt_status status = oxt_trials_read_csv(made, NULL, text, sizeof text - 1, NULL, NULL, error);
    if (!status)
        status = oxt_trials_set_coupon(*made, &plate, NULL, error);
    if (status) {
        oxt_trials_free(*made);
        *made = NULL;
    }
    return status;
}
MAKES(oxt_trials_set_coupon, plain, trials, log_of_plates(&made, error))
FILLS(oxt_trials_group, plain, oxt_trial_group, OXT_TRIAL_GROUP_INIT,
      oxt_trials_group(stage->trials, 0, into, error))
FILLS(oxt_trials_get, plain, oxt_trial, OXT_TRIAL_INIT,
      oxt_trials_get(stage->trials, 3, into, error))
GIVES(oxt_trials_text, note, oxt_trials_text(stage->trials, "note", 0, TEXT, error))
PLAIN(oxt_faults_count, out->number[0] = (double)oxt_faults_count(stage->faults))
FILLS(oxt_faults_get, plain, oxt_fault, OXT_FAULT_INIT,
      oxt_faults_get(stage->faults, 0, into, error))
GIVES(oxt_faults_report, plain, oxt_faults_report(stage->faults, TEXT, error))
static oxt_status check_trials(const call_stage *stage, call_result *out, oxt_error *error)
{
    oxt_faults *remarks = NULL;
    oxt_status status = oxt_check_log(&remarks, stage->trials, stage->film, OXT_UNIT_CELSIUS,
                                      error);
    out->handle = remarks;
    out->release = release_faults;
    return status;
}
GIVES(oxt_check_log, plain, check_trials(stage, out, error))
PLAIN(oxt_faults_free, oxt_faults_free(NULL))

/* ---- steel.h, prior.h, anchor.h ---- */

static oxt_steel_values some_values(const call_stage *stage)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    strcpy(values.steel, "Alder 1");
    values.growth = stage->growth;
    values.dof = 5.0;
    values.bath_low_K = 560.0;
    values.bath_high_K = 620.0;
    values.thickness_low_nm = 20.0;
    values.thickness_high_nm = 90.0;
    return values;
}
static oxt_status make_steel(const call_stage *stage, oxt_steel **made, oxt_error *error)
{
    oxt_steel_values values = some_values(stage);
    return oxt_steel_new(made, &values, error);
}
MAKES(oxt_steel_new, plain, steel, make_steel(stage, &made, error))
PLAIN(oxt_steel_free, oxt_steel_free(NULL))
FILLS(oxt_steel_get, plain, oxt_steel_values, OXT_STEEL_VALUES_INIT,
      oxt_steel_get(stage->steel, into, error))
MAKES(oxt_record_add, plain, steel,
      oxt_record_add(&made, stage->recorded, stage->film, &stage->dip, "57 nm", NULL, error))
FILLS(oxt_steel_recorded_dip, plain, oxt_recorded_dip, OXT_RECORDED_DIP_INIT,
      oxt_steel_recorded_dip(stage->recorded, 0, into, error))
FILLS(oxt_record_get, plain, oxt_record, OXT_RECORD_INIT,
      oxt_record_get(stage->recorded, 0.01, into, error))
GIVES(oxt_record_report, plain, oxt_record_report(&stage->record, TEXT, error))
static oxt_status add_dips(const call_stage *stage, oxt_trials **made, oxt_error *error)
{
    oxt_status status = oxt_trials_new(made, NULL, error);
    if (!status)
        status = oxt_record_trials(stage->recorded, *made, error);
    if (!status)
        return OXT_OK;
    oxt_trials_free(*made);
    *made = NULL;
    return status;
}
MAKES(oxt_record_trials, plain, trials, add_dips(stage, &made, error))
FILLS(oxt_steel_history, plain, oxt_steel_change, OXT_STEEL_CHANGE_INIT,
      oxt_steel_history(stage->renewed, 0, into, error))
MAKES(oxt_steel_load, plain, steel, oxt_steel_load(&made, stage->card_path, NULL, 0, error))
MAKES(oxt_steel_load, text, steel,
      oxt_steel_load(&made, NULL, stage->card, strlen(stage->card), error))
GIVES(oxt_steel_save, plain,
      oxt_steel_save(stage->renewed, out->path, OXT_REPLACE_SAME_KIND, error))
GIVES(oxt_file_check, card,
      oxt_file_check(stage->card_path, OXT_FILE_CARD, OXT_REPLACE_SAME_KIND, error))
GIVES(oxt_file_write, plain,
      oxt_file_write(out->path, OXT_FILE_CARD, OXT_REPLACE_SAME_KIND, "{}", 2, error))
GIVES(oxt_steel_coupon_text, plain, oxt_steel_coupon_text(stage->steel, TEXT, error))
static oxt_status reworded_steel(const call_stage *stage, oxt_steel **made, oxt_error *error)
{
    oxt_words *words;
    *made = NULL;
    oxt_status status = words_of(&words, error);
    if (!status)
        status = oxt_steel_with_words(made, stage->renewed, words, error);
    oxt_words_free(words);
    return status;
}
static oxt_status words_of_steel(const call_stage *stage, call_result *out, oxt_error *error)
{
    oxt_steel *steel = NULL;
    oxt_words *words = NULL;
    oxt_status status = reworded_steel(stage, &steel, error);
    if (!status)
        status = oxt_steel_words(steel, &words, error);
    oxt_steel_free(steel);
    out->handle = words;
    out->release = release_words;
    return status;
}
/* A card with words, written and read. */
static oxt_status worded_card(const call_stage *stage, oxt_steel **made, oxt_error *error)
{
    char text[8192];
    oxt_steel *steel;
    *made = NULL;
    oxt_status status = reworded_steel(stage, &steel, error);
    if (!status)
        status = oxt_steel_save_text(steel, text, sizeof text, NULL, error);
    if (!status)
        status = oxt_steel_load(made, NULL, text, strlen(text), error);
    oxt_steel_free(steel);
    return status;
}
GIVES(oxt_steel_words, plain, words_of_steel(stage, out, error))
MAKES(oxt_steel_with_words, plain, steel, reworded_steel(stage, &made, error))
MAKES(oxt_steel_load, words, steel, worded_card(stage, &made, error))
GIVES(oxt_steel_save_text, plain, oxt_steel_save_text(stage->renewed, TEXT, error))
FILLS(oxt_prior_mild_steel, plain, oxt_prior, OXT_PRIOR_INIT,
      oxt_prior_mild_steel(into, stage->film, error))
MAKES(oxt_prior_steel, plain, steel,
      oxt_prior_steel(&made, "Alder 1", "polished", stage->film, error))
MAKES(oxt_anchor_steel, plain, steel,
      oxt_anchor_steel(&made, stage->renewed, stage->trials, stage->film, NULL, error))

/* ---- fit.h, laws.h, pool.h, interval.h ---- */

/* By everything that a fit can be asked for. */
static oxt_status fit_all(const call_stage *stage, oxt_fit **made, oxt_error *error)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_status status = oxt_prior_mild_steel(&prior, stage->film, error);
    options.prior = &prior;
    options.robust = OXT_ROBUST_TUKEY;
    options.errors_in_variables = OXT_ERRORS_ORTHOGONAL;
    options.bath_sd_K = 1.0;
    options.time_sd_s = 1.0;
    if (status) {
        *made = NULL;
        return status;
    }
    return oxt_fit_run(made, stage->trials, stage->film, &options, error);
}
static oxt_status fit_bands(const call_stage *stage, oxt_fit **made, oxt_error *error)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.names = OXT_NAMES_AS_BANDS;
    return oxt_fit_run(made, stage->trials, stage->film, &options, error);
}
/* Days that differ, and a clock that was read to 15 s. */
static oxt_status fit_days(const call_stage *stage, oxt_fit **made, oxt_error *error)
{
    static const char text[] =
        "steel,bath_F,time_s,colour,day,lifted\nA,560,60,dark straw,1,\n"
        "A,600,75,blue,1,first\nA,560,150,purple,1,\nA,600,45,purple,2,last\n"
        "A,560,240,blue,2,\nA,560,315,light blue,2,after\n";
    oxt_trials *log;
    *made = NULL;
    oxt_status status = oxt_trials_read_csv(&log, NULL, text, sizeof text - 1, NULL, NULL, error);
    if (!status)
        status = oxt_fit_run(made, log, stage->film, NULL, error);
    oxt_trials_free(log);
    return status;
}
static oxt_status draw_days(const call_stage *stage, oxt_bootstrap **made, oxt_error *error)
{
    oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
    oxt_fit *fit;
    options.replicates = 100;
    options.threads = 1;
    options.kind = OXT_BOOTSTRAP_RESIDUAL;
    *made = NULL;
    oxt_status status = fit_days(stage, &fit, error);
    if (!status)
        status = oxt_bootstrap_run(made, fit, &options, error);
    oxt_fit_free(fit);
    return status;
}
MAKES(oxt_fit_run, days, fit, fit_days(stage, &made, error))
MAKES(oxt_bootstrap_run, days, bootstrap, draw_days(stage, &made, error))
MAKES(oxt_fit_run, plain, fit, oxt_fit_run(&made, stage->trials, stage->film, NULL, error))
MAKES(oxt_fit_run, everything, fit, fit_all(stage, &made, error))
MAKES(oxt_fit_run, bands, fit, fit_bands(stage, &made, error))
MAKES(oxt_fit_run, paths, fit, oxt_fit_run(&made, stage->path_trials, stage->film, NULL, error))
PLAIN(oxt_fit_free, oxt_fit_free(NULL))
FILLS(oxt_fit_get, plain, oxt_fit_values, OXT_FIT_VALUES_INIT, oxt_fit_get(stage->fit, into, error))
FILLS(oxt_fit_get_row, plain, oxt_fit_row, OXT_FIT_ROW_INIT,
      oxt_fit_get_row(stage->fit, 1, into, error))
GIVES(oxt_fit_warning, plain, oxt_fit_warning(stage->fit, 0, TEXT, error))
GIVES(oxt_fit_json, plain, oxt_fit_json(stage->fit, TEXT, error))
GIVES(oxt_fit_report, plain, oxt_fit_report(stage->fit, OXT_UNIT_CELSIUS, TEXT, error))
static oxt_status fit_groups(const call_stage *stage, int threads, oxt_fit_each **made,
                             oxt_error *error)
{
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    options.threads = threads;
    return oxt_fit_each_run(made, stage->trials, stage->film, &options, error);
}
MAKES(oxt_fit_each_run, one, fit_each, fit_groups(stage, 1, &made, error))
MAKES(oxt_fit_each_run, threads, fit_each, fit_groups(stage, 3, &made, error))
/* With what was found in each group: none is lost without memory. */
CALL(oxt_fit_each_run, results)
{
    oxt_fit_each *made = NULL;
    oxt_status status = fit_groups(stage, 1, &made, error);
    double fitted = 0.0, ln_k = 0.0;
    for (size_t i = 0; i < oxt_fit_each_count(made, NULL); i++) {
        oxt_fit_each_group group = OXT_FIT_EACH_GROUP_INIT;
        oxt_fit_values values = OXT_FIT_VALUES_INIT;
        oxt_fit_each_get(made, i, &group, &values, NULL);
        if (group.status == OXT_OK) {
            fitted += 1.0;
            ln_k += log(values.growth.k_ref_nm2_per_s);
        }
    }
    oxt_fit_each_free(made);
    if (!status) {
        out->number[0] = fitted;
        out->number[1] = ln_k;
    }
    return status;
}
PLAIN(oxt_fit_each_free, oxt_fit_each_free(NULL))
PLAIN(oxt_fit_each_count, out->number[0] = (double)oxt_fit_each_count(stage->fits, NULL))
FILLS(oxt_fit_each_get, group, oxt_fit_each_group, OXT_FIT_EACH_GROUP_INIT,
      oxt_fit_each_get(stage->fits, 1, into, NULL, error))
FILLS(oxt_fit_each_get, values, oxt_fit_values, OXT_FIT_VALUES_INIT,
      oxt_fit_each_get(stage->fits, 0, NULL, into, error))
GIVES(oxt_fit_each_remarks, plain, oxt_fit_each_remarks(stage->fits, 1, TEXT, error))
GIVES(oxt_fit_each_report, plain, oxt_fit_each_report(stage->fits, OXT_UNIT_CELSIUS, TEXT, error))
GIVES(oxt_fit_report, paths, oxt_fit_report(stage->path_fit, OXT_UNIT_FAHRENHEIT, TEXT, error))
MAKES(oxt_fit_steel, plain, steel, oxt_fit_steel(stage->fit, &made, error))
MAKES(oxt_laws_fit, plain, fit, oxt_laws_fit(&made, stage->trials, stage->film, NULL, error))
MAKES(oxt_laws_run, plain, laws, oxt_laws_run(&made, stage->fit, NULL, error))
static oxt_status laws_initial(const call_stage *stage, oxt_laws **made, oxt_error *error)
{
    oxt_laws_options options = OXT_LAWS_OPTIONS_INIT;
    options.with_initial = 1;
    return oxt_laws_run(made, stage->path_fit, &options, error);
}
MAKES(oxt_laws_run, initial, laws, laws_initial(stage, &made, error))
PLAIN(oxt_laws_free, oxt_laws_free(NULL))
FILLS(oxt_laws_get, plain, oxt_laws_values, OXT_LAWS_VALUES_INIT,
      oxt_laws_get(stage->laws, into, error))
FILLS(oxt_laws_get_law, plain, oxt_law_result, OXT_LAW_RESULT_INIT,
      oxt_laws_get_law(stage->laws, OXT_LAW_POWER, into, error))
GIVES(oxt_laws_json, plain, oxt_laws_json(stage->laws, TEXT, error))
GIVES(oxt_laws_report, plain, oxt_laws_report(stage->laws, OXT_UNIT_CELSIUS, TEXT, error))
static oxt_status pool_of(const call_stage *stage, oxt_pool_model model, int shrink,
                          oxt_pool **made, oxt_error *error)
{
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_status status = oxt_prior_mild_steel(&prior, stage->film, error);
    options.model = model;
    options.shrink = shrink;
    options.prior = shrink ? &prior : NULL;
    if (status) {
        *made = NULL;
        return status;
    }
    return oxt_pool_run(made, stage->trials, stage->film, &options, error);
}
MAKES(oxt_pool_run, plain, pool, oxt_pool_run(&made, stage->trials, stage->film, NULL, error))
MAKES(oxt_pool_run, shrunk, pool, pool_of(stage, OXT_POOL_SEPARATE, 1, &made, error))
MAKES(oxt_pool_run, best, pool, pool_of(stage, OXT_POOL_BEST, 0, &made, error))
PLAIN(oxt_pool_free, oxt_pool_free(NULL))
FILLS(oxt_pool_get, plain, oxt_pool_values, OXT_POOL_VALUES_INIT,
      oxt_pool_get(stage->pool, into, error))
FILLS(oxt_pool_get_group, plain, oxt_pool_group, OXT_POOL_GROUP_INIT,
      oxt_pool_get_group(stage->pool, 0, into, error))
FILLS(oxt_pool_get_comparison, plain, oxt_pool_comparison, OXT_POOL_COMPARISON_INIT,
      oxt_pool_get_comparison(stage->pool, OXT_POOL_SHARED_Q, into, error))
GIVES(oxt_pool_warning, plain, oxt_pool_warning(stage->pool, 0, TEXT, error))
GIVES(oxt_pool_json, plain, oxt_pool_json(stage->pool, TEXT, error))
GIVES(oxt_pool_report, plain, oxt_pool_report(stage->pool, OXT_UNIT_CELSIUS, TEXT, error))
MAKES(oxt_pool_steel, plain, steel, oxt_pool_steel(stage->pool, 0, &made, error))
GIVES(oxt_interval_profile, plain,
      oxt_interval_profile(stage->fit, OXT_INTERVAL_DIP_TIME, 600.0, NULL, out->number,
                           out->number + 1, error))
static oxt_status draw(const call_stage *stage, oxt_bootstrap_kind kind, int threads,
                       oxt_bootstrap **made, oxt_error *error)
{
    oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
    options.replicates = 100;
    options.kind = kind;
    options.threads = threads;
    return oxt_bootstrap_run(made, stage->fit, &options, error);
}
MAKES(oxt_bootstrap_run, pairs, bootstrap, draw(stage, OXT_BOOTSTRAP_PAIRS, 1, &made, error))
MAKES(oxt_bootstrap_run, residuals, bootstrap, draw(stage, OXT_BOOTSTRAP_RESIDUAL, 1, &made, error))
MAKES(oxt_bootstrap_run, threads, bootstrap, draw(stage, OXT_BOOTSTRAP_PAIRS, 3, &made, error))
PLAIN(oxt_bootstrap_free, oxt_bootstrap_free(NULL))
FILLS(oxt_bootstrap_get, plain, oxt_bootstrap_values, OXT_BOOTSTRAP_VALUES_INIT,
      oxt_bootstrap_get(stage->bootstrap, into, 0, NULL, NULL, NULL, error))
GIVES(oxt_bootstrap_interval, plain,
      oxt_bootstrap_interval(stage->bootstrap, OXT_INTERVAL_Q, 0.0, 0.0, 0.9,
                             OXT_BOOTSTRAP_BIAS_CORRECTED, out->number, out->number + 1, error))
GIVES(oxt_bootstrap_get, replicates,
      oxt_bootstrap_get(stage->bootstrap, NULL, 100, out->number, out->number + 100, NULL, error))
GIVES(oxt_bootstrap_report, plain,
      oxt_bootstrap_report(stage->bootstrap, OXT_UNIT_CELSIUS, TEXT, error))
static oxt_status validate(const call_stage *stage, int by_bath, int threads,
                           oxt_cross_validation **made, oxt_error *error)
{
    oxt_cross_validation_options options = OXT_CROSS_VALIDATION_OPTIONS_INIT;
    options.by_bath = by_bath;
    options.threads = threads;
    return oxt_cross_validation_run(made, stage->fit, &options, error);
}
MAKES(oxt_cross_validation_run, coupons, cross_validation, validate(stage, 0, 1, &made, error))
MAKES(oxt_cross_validation_run, baths, cross_validation, validate(stage, 1, 1, &made, error))
MAKES(oxt_cross_validation_run, threads, cross_validation, validate(stage, 0, 3, &made, error))
PLAIN(oxt_cross_validation_free, oxt_cross_validation_free(NULL))
FILLS(oxt_cross_validation_get, plain, oxt_cross_validation_values,
      OXT_CROSS_VALIDATION_VALUES_INIT, oxt_cross_validation_get(stage->validation, into, error))
FILLS(oxt_cross_validation_get_row, plain, oxt_cross_validation_row, OXT_CROSS_VALIDATION_ROW_INIT,
      oxt_cross_validation_get_row(stage->validation, 0, into, error))
GIVES(oxt_cross_validation_report, plain,
      oxt_cross_validation_report(stage->validation, OXT_UNIT_CELSIUS, TEXT, error))

/* ---- dip.h, plan.h ---- */

/* With all that a dip can be asked for. */
static oxt_dip_options whole_dip(const call_stage *stage)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.bath_wander_K = 1.0;
    options.time_wander_s = 1.0;
    options.part = &stage->part;
    options.lift = &stage->lift;
    options.salt_bath = &stage->bath;
    options.load_kg = 1.0;
    options.last_temper_K = 480.0;
    options.last_temper_s = 7200.0;
    return options;
}
static oxt_status whole(const call_stage *stage, const oxt_target *initial, oxt_dip *dip,
                        oxt_error *error)
{
    oxt_dip_options options = whole_dip(stage);
    options.initial = initial;
    return oxt_dip_predict(stage->steel, &stage->blue, 588.7, &options, dip, error);
}
FILLS(oxt_dip_predict, plain, oxt_dip, OXT_DIP_INIT,
      oxt_dip_predict(stage->steel, &stage->blue, 588.7, NULL, into, error))
FILLS(oxt_dip_predict, whole, oxt_dip, OXT_DIP_INIT, whole(stage, NULL, into, error))
FILLS(oxt_dip_predict, initial, oxt_dip, OXT_DIP_INIT, whole(stage, &stage->straw, into, error))
static oxt_status dip_for(const call_stage *stage, oxt_dip *dip, oxt_error *error)
{
    oxt_dip_options options = whole_dip(stage);
    return oxt_dip_for_time(stage->steel, &stage->blue, 150.0, &options, dip, error);
}
FILLS(oxt_dip_for_time, plain, oxt_dip, OXT_DIP_INIT,
      oxt_dip_for_time(stage->steel, &stage->blue, 90.0, NULL, into, error))
FILLS(oxt_dip_for_time, whole, oxt_dip, OXT_DIP_INIT, dip_for(stage, into, error))
FILLS(oxt_dip_average, plain, oxt_dip, OXT_DIP_INIT,
      oxt_dip_average((const oxt_dip *[]){ &stage->dip, &stage->dip }, (double[]){ 1.0, 2.0 }, 2,
                      into, error))
static oxt_status equivalent(const call_stage *stage, double *number, oxt_error *error)
{
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_steel *steel;
    oxt_status status = oxt_trials_get(stage->path_trials, 0, &trial, error);
    if (!status)
        status = oxt_fit_steel(stage->path_fit, &steel, error);
    if (status)
        return status;
    status = oxt_dip_equivalent_time(steel, &trial, number, error);
    oxt_steel_free(steel);
    return status;
}
GIVES(oxt_dip_equivalent_time, plain, equivalent(stage, out->number, error))
GIVES(oxt_dip_json, plain, oxt_dip_json(&stage->dip, TEXT, error))
GIVES(oxt_dip_report, plain,
      oxt_dip_report(&stage->dip, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, TEXT, error))
static oxt_status baths(const call_stage *stage, oxt_dip *best, oxt_error *error)
{
    oxt_dip made[9];
    oxt_dip *dips[9];
    size_t count;
    for (int i = 0; i < 9; i++) {
        made[i] = (oxt_dip)OXT_DIP_INIT;
        dips[i] = &made[i];
    }
    return oxt_plan_baths(stage->steel, &stage->blue, NULL, NULL, best, dips, &count, error);
}
FILLS(oxt_plan_baths, plain, oxt_dip, OXT_DIP_INIT, baths(stage, into, error))
GIVES(oxt_plan_baths_report, plain,
      oxt_plan_baths_report((const oxt_dip *[]){ &stage->dip, &stage->dip }, 2, &stage->dip,
                            OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, TEXT, error))
static oxt_status plan(const call_stage *stage, oxt_plan **made, oxt_error *error)
{
    oxt_dip_options of_first = whole_dip(stage);
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_part first = OXT_PLAN_PART_INIT;
    strcpy(first.name, "bezel");
    first.steel = stage->steel;
    first.film = stage->film;
    first.target = &stage->blue;
    oxt_plan_part second = first;
    first.options = &of_first;
    options.draws = 100;
    return oxt_plan_set(made, (const oxt_plan_part *[]){ &first, &second }, 2, 588.7, &options,
                        error);
}
MAKES(oxt_plan_set, plain, plan, plan(stage, &made, error))
PLAIN(oxt_plan_free, oxt_plan_free(NULL))
FILLS(oxt_plan_get, plain, oxt_plan_values, OXT_PLAN_VALUES_INIT,
      oxt_plan_get(stage->set, into, error))
FILLS(oxt_plan_get_step, plain, oxt_plan_step, OXT_PLAN_STEP_INIT,
      oxt_plan_get_step(stage->set, 0, into, NULL, error))
FILLS(oxt_plan_get_step, dip, oxt_dip, OXT_DIP_INIT,
      oxt_plan_get_step(stage->set, 0, &(oxt_plan_step)OXT_PLAN_STEP_INIT, into, error))
GIVES(oxt_plan_json, plain, oxt_plan_json(stage->set, TEXT, error))
GIVES(oxt_plan_report, plain,
      oxt_plan_report(stage->set, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, TEXT, error))

/* ---- advise.h, drift.h ---- */

MAKES(oxt_advise_run, plain, advise, oxt_advise_run(&made, stage->steel, stage->film, NULL, error))
PLAIN(oxt_advise_free, oxt_advise_free(NULL))
FILLS(oxt_advise_get, plain, oxt_advised_coupon, OXT_ADVISED_COUPON_INIT,
      oxt_advise_get(stage->advice, 0, into, error))
GIVES(oxt_advise_json, plain, oxt_advise_json(stage->advice, TEXT, error))
GIVES(oxt_advise_report, plain,
      oxt_advise_report(stage->advice, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, TEXT, error))
FILLS(oxt_drift_find, plain, oxt_drift, OXT_DRIFT_INIT,
      oxt_drift_find(stage->fit, NULL, into, error))
GIVES(oxt_drift_report, plain, oxt_drift_report(&stage->drift, OXT_CAUTION_WHOLE, TEXT, error))

/* ---- chart.h ---- */

/* A log, and in one variant the dip. */
static oxt_chart_options charted(const call_stage *stage, bool with_dip)
{
    oxt_chart_options options = OXT_CHART_OPTIONS_INIT;
    options.trials = stage->trials;
    options.dip = with_dip ? &stage->dip : NULL;
    return options;
}

FILLS(oxt_chart_data, plain, oxt_chart, OXT_CHART_INIT,
      oxt_chart_data(stage->steel, stage->film, NULL, into, 0, NULL, 0, NULL, error))
FILLS(oxt_chart_data, dip, oxt_chart, OXT_CHART_INIT,
      oxt_chart_data(stage->steel, stage->film, &(oxt_chart_options[]){ charted(stage, true) }[0],
                     into, 0, NULL, 0, NULL, error))
FILLS(oxt_chart_data, bands, oxt_chart_band, OXT_CHART_BAND_INIT,
      oxt_chart_data(stage->steel, stage->film, NULL, &(oxt_chart)OXT_CHART_INIT, 1, into, 0, NULL,
                     error))
FILLS(oxt_chart_data, marks, oxt_chart_mark, OXT_CHART_MARK_INIT,
      oxt_chart_data(stage->steel, stage->film, &(oxt_chart_options[]){ charted(stage, false) }[0],
                     &(oxt_chart)OXT_CHART_INIT, 0, NULL, 1, into, error))
GIVES(oxt_chart_spread, plain,
      oxt_chart_spread(stage->steel, stage->bootstrap, &stage->blue, 588.7, NULL, 100, out->number,
                       NULL, error))
GIVES(oxt_chart_map, plain,
      oxt_chart_map(stage->steel, stage->film, NULL, 2, NUMBERS(570.0, 600.0), 2,
                    NUMBERS(30.0, 60.0, 120.0), out->number, error))
FILLS(oxt_chart_sheet, plain, oxt_dip, OXT_DIP_INIT,
      oxt_chart_sheet(stage->steel, stage->film, NULL, 1, into, &(oxt_sheet)OXT_SHEET_INIT, error))
FILLS(oxt_chart_sheet, sheet, oxt_sheet, OXT_SHEET_INIT,
      oxt_chart_sheet(stage->steel, stage->film, NULL, 0, NULL, into, error))
GIVES(oxt_chart_svg, plain,
      oxt_chart_svg(stage->steel, stage->film, &(oxt_chart_options[]){ charted(stage, true) }[0],
                    OXT_UNIT_CELSIUS, TEXT, error))
GIVES(oxt_chart_sheet_svg, plain, oxt_chart_sheet_svg(stage->steel, stage->film, NULL, TEXT, error))

/* ---- history.h, temper.h ---- */

MAKES(oxt_history_new, plain, history,
      oxt_history_new(&made, 3, NUMBERS(0, 60, 120), STRIDE, NUMBERS(293, 580, 590), STRIDE, 0.0,
                      error))
MAKES(oxt_history_read_csv, plain, history,
      oxt_history_read_csv(&made, stage->history_path, NULL, 0, 0.0, NULL, error))
MAKES(oxt_history_read_csv, text, history,
      oxt_history_read_csv(&made, NULL, history_text, sizeof history_text - 1, 0.0, NULL, error))
static oxt_status read_history_faults(call_result *out, oxt_error *error)
{
    oxt_history *none = (oxt_history *)(void *)out;
    oxt_faults *faults = (oxt_faults *)(void *)out;
    oxt_status status = oxt_history_read_csv(&none, NULL, faulty_history, sizeof faulty_history - 1,
                                             0.0, &faults, error);
    out->handle = faults;
    out->release = release_faults;
    if (none)
        return OXT_EBUG;
    return status == OXT_EPARSE ? OXT_OK : status;
}
GIVES(oxt_history_read_csv, faulty, read_history_faults(out, error))
PLAIN(oxt_history_free, oxt_history_free(NULL))
static oxt_status samples_of(const call_stage *stage, double *number, oxt_error *error)
{
    size_t count = 0;
    oxt_status status = oxt_history_samples(stage->history, 5, number, STRIDE, number + 5, STRIDE,
                                            &count, error);
    if (!status)
        number[10] = (double)count;
    return status;
}
GIVES(oxt_history_samples, plain, samples_of(stage, out->number, error))
GIVES(oxt_history_temperature, plain,
      oxt_history_temperature(stage->history, 15.0, out->number, error))
GIVES(oxt_history_exposure, plain,
      oxt_history_exposure(stage->history, &stage->growth, 0.0, 170.0, out->number, error))
GIVES(oxt_temper_parameter, plain, oxt_temper_parameter(480.0, 7200.0, 20.0, out->number, error))
GIVES(oxt_temper_temperature, plain,
      oxt_temper_temperature(11000.0, 60.0, 20.0, out->number, error))
GIVES(oxt_temper_time, plain, oxt_temper_time(11000.0, 500.0, 20.0, out->number, error))
GIVES(oxt_temper_hardness, plain, oxt_temper_hardness("1095", 11000.0, out->number, error))
static oxt_status temper(const call_stage *stage, oxt_temper *into, oxt_error *error)
{
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    options.steel = "1095";
    options.last_K = 480.0;
    options.last_s = 7200.0;
    return oxt_temper_history(stage->history, &options, into, error);
}
FILLS(oxt_temper_dip, plain, oxt_temper, OXT_TEMPER_INIT,
      oxt_temper_dip(588.7, 120.0, NULL, into, error))
FILLS(oxt_temper_history, plain, oxt_temper, OXT_TEMPER_INIT, temper(stage, into, error))
GIVES(oxt_temper_report, plain,
      oxt_temper_report(&stage->temper, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, TEXT, error))

/* ---- track.h ---- */

static oxt_status tracker(const call_stage *stage, oxt_track **made, oxt_error *error)
{
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    oxt_part part = stage->part;
    part.size_m = 0.03;
    options.part = &part;
    options.bath_K = 588.7;
    options.lift = &stage->lift;
    options.salt_bath = &stage->bath;
    return oxt_track_new(made, stage->steel, stage->film, &stage->blue, &options, error);
}
MAKES(oxt_track_new, plain, track,
      oxt_track_new(&made, stage->steel, stage->film, &stage->blue, NULL, error))
MAKES(oxt_track_new, part, track, tracker(stage, &made, error))
PLAIN(oxt_track_free, oxt_track_free(NULL))
/* Read before its first sample, fed a dip, read again, begun anew. */
static oxt_status track(const call_stage *stage, oxt_track_state *into, oxt_error *error)
{
    oxt_track *made;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxt_status status = tracker(stage, &made, error);
    if (status)
        return status;
    status = oxt_track_read(made, &now, error);
    for (int i = 0; !status && i < 60; i++)
        status = oxt_track_feed(made, 2.0 * i + (i > 30 ? 20.0 : 0.0), 588.7 + i % 3, error);
    if (!status)
        status = oxt_track_read(made, &now, error);
    char text[4096];
    if (!status)
        status = oxt_track_snapshot(made, text, sizeof text, NULL, error);
    if (!status)
        status = oxt_track_restart(made, error);
    if (!status)
        status = oxt_track_resume(made, text, strlen(text), error);
    if (!status)
        *into = now;
    oxt_track_free(made);
    return status;
}
FILLS(oxt_track_snapshot, plain, oxt_track_state, OXT_TRACK_STATE_INIT, track(stage, into, error))
FILLS(oxt_track_resume, plain, oxt_track_state, OXT_TRACK_STATE_INIT, track(stage, into, error))
FILLS(oxt_track_restart, plain, oxt_track_state, OXT_TRACK_STATE_INIT, track(stage, into, error))
FILLS(oxt_track_feed, plain, oxt_track_state, OXT_TRACK_STATE_INIT, track(stage, into, error))
FILLS(oxt_track_read, plain, oxt_track_state, OXT_TRACK_STATE_INIT, track(stage, into, error))
