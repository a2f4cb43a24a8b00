/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A failing call of every function that can fail: status, name of the case, call. The calls may use
 * `error`, and the things that struct failing holds. */
#ifndef OXTINT_TEST_FAILING_H
#define OXTINT_TEST_FAILING_H

#define FAILING_CALLS(X)                                                                           \
    X(OXT_EARG, temperature_null, oxt_parse_temperature(NULL, number, error))                      \
    X(OXT_EUNIT, temperature_bare, oxt_parse_temperature("650", number, error))                    \
    X(OXT_EDOMAIN, temperature_cold, oxt_parse_temperature("-300 C", number, error))               \
    X(OXT_EUNIT, difference, oxt_parse_temperature_difference("5", number, error))                 \
    X(OXT_EPARSE, duration, oxt_parse_duration("1:75", number, error))                             \
    X(OXT_EUNIT, length_unit, oxt_parse_length("6 furlong", number, error))                        \
    X(OXT_ESPACE, temperature_out,                                                                 \
      oxt_format_temperature(600, OXT_UNIT_KELVIN, text, 3, NULL, error))                          \
    X(OXT_EARG, temperature_scale,                                                                 \
      oxt_format_temperature(600, (oxt_temperature_unit)7, text, 40, NULL, error))                 \
    X(OXT_EDOMAIN, duration_out, oxt_format_duration(-1, text, 40, NULL, error))                   \
    X(OXT_EARG, length_out, oxt_format_length(1, (oxt_length_unit)9, text, 40, NULL, error))       \
    X(OXT_EDOMAIN, rate, oxt_rate(&growth, 0, number, error))                                      \
    X(OXT_EDOMAIN, of_exposure, oxt_thickness_of_exposure(&growth, -1, 4, number, error))          \
    X(OXT_EDOMAIN, thickness, oxt_thickness(&growth, -573, 60, number, error))                     \
    X(OXT_EUNREACHABLE, time_for, oxt_time_for_thickness(&growth, 50, 1, number, error))           \
    X(OXT_EARG, thickness_n, oxt_thickness_n(NULL, 1, three, 8, three, 8, number, NULL, error))    \
    X(OXT_EARG, time_n,                                                                            \
      oxt_time_for_thickness_n(&growth, 1, three, 8, NULL, 8, number, NULL, error))                \
    X(OXT_EDOMAIN, lab_from_xyz, oxt_lab_from_xyz(three, dark, number, error))                     \
    X(OXT_EARG, xyz_from_lab, oxt_xyz_from_lab(NULL, three, number, error))                        \
    X(OXT_EDOMAIN, srgb_from_xyz, oxt_srgb_from_xyz(nothing, OXT_GAMUT_CLIP, number, NULL, error)) \
    X(OXT_EDOMAIN, keeping_hue,                                                                    \
      oxt_srgb_from_xyz(nothing, OXT_GAMUT_KEEP_HUE, number, NULL, error))                         \
    X(OXT_EDOMAIN, xyz_from_srgb, oxt_xyz_from_srgb(three, number, error))                         \
    X(OXT_EPARSE, parse_srgb, oxt_parse_srgb("#12345", number, error))                             \
    X(OXT_ESPACE, format_srgb, oxt_format_srgb(dark, text, 7, NULL, error))                        \
    X(OXT_EARG, delta_n, oxt_delta_e2000(1, three, 24, NULL, 24, number, NULL, error))             \
    X(OXT_EARG, light_white, oxt_light_white((oxt_illuminant)7, 0, number, error))                 \
    X(OXT_EDOMAIN, adapt_white, oxt_light_adapt(three, dark, three, number, error))                \
    X(OXT_EARG, warming, oxt_heat_warming(NULL, 600, result, error))                               \
    X(OXT_EARG, find_transfer, oxt_heat_find_transfer(NULL, 600, NULL, 0, result, error))          \
    X(OXT_EARG, surface, oxt_heat_surface_temperature(NULL, 600, 60, number, error))               \
    X(OXT_EARG, dip_exposure, oxt_bath_exposure(&growth, NULL, NULL, 0.0, 600, 60, number, error)) \
    X(OXT_EDOMAIN, for_exposure,                                                                   \
      oxt_heat_time_for_exposure(&growth, NULL, 600, -1, number, NULL, error))                     \
    X(OXT_EARG, lift, oxt_heat_lift_exposure(&growth, NULL, NULL, 600, number, NULL, error))       \
    X(OXT_EARG, salt, oxt_bath_salt((oxt_salt)4, 0, result, error))                                \
    X(OXT_EARG, bath_true, oxt_bath_read(NULL, 600, number, NULL, error))                          \
    X(OXT_EARG, bath_sag, oxt_bath_sag(NULL, NULL, 1, 600, result, error))                         \
    X(OXT_EARG, bath_dip_exposure,                                                                 \
      oxt_bath_exposure(&growth, NULL, NULL, 1, 600, 60, number, error))                           \
    X(OXT_EARG, crust, oxt_bath_crust(NULL, NULL, 600, result, error))                             \
    X(OXT_EARG, convection, oxt_bath_convection(NULL, 0, 0.01, 600, 100, result, error))           \
    X(OXT_EARG, material_new, oxt_material_new(result, "rust", 0, NULL, NULL, NULL, error))        \
    X(OXT_EDOMAIN, material_table, oxt_material_new(result, "own", 3, three, three, three, error)) \
    X(OXT_EARG, material_index, oxt_material_index(NULL, 500, number, number + 1, error))          \
    X(OXT_EARG, finish_grade, oxt_film_finish((oxt_finish)3, number, number + 1, error))           \
    X(OXT_EDOMAIN, film_new, oxt_film_new(result, &absorption, error))                             \
    X(OXT_EARG, film_description, oxt_film_description(NULL, text, 40, NULL, error))               \
    X(OXT_EDOMAIN, film_reflectance, oxt_film_reflectance(film, 5, 1, dark, number, error))        \
    X(OXT_EDOMAIN, film_lab, oxt_film_colour(film, OXT_SPACE_LAB, -1, number, NULL, error))        \
    X(OXT_EDOMAIN, film_srgb, oxt_film_colour(film, OXT_SPACE_SRGB, NAN, number, NULL, error))     \
    X(OXT_EARG, film_colours,                                                                      \
      oxt_film_colours(film, OXT_SPACE_LAB, 1, NULL, 8, number, NULL, NULL, error))                \
    X(OXT_EARG, film_space,                                                                        \
      oxt_film_colours(film, (oxt_colour_space)6, 1, three, 8, number, NULL, NULL, error))         \
    X(OXT_EARG, film_none,                                                                         \
      oxt_film_colours(NULL, OXT_SPACE_SRGB, 1, three, 8, number, NULL, NULL, error))              \
    X(OXT_EARG, path_colours,                                                                      \
      oxt_film_colours(film, OXT_SPACE_PATH_LAB, 1, three, 8, NULL, NULL, NULL, error))            \
    X(OXT_EARG, path_none,                                                                         \
      oxt_film_colours(NULL, OXT_SPACE_PATH_XYZ, 1, three, 8, number, NULL, NULL, error))          \
    X(OXT_EDOMAIN, film_difference, oxt_film_difference(film, film, 1001, number, error))          \
    X(OXT_EDOMAIN, film_match,                                                                     \
      oxt_film_match(film, nothing, NULL, 1, result, (void *)(number + 99), (void *)number,        \
                     error))                                                                       \
    X(OXT_EARG, tint_band, oxt_tint_band(film, OXT_TINT_COUNT, result, error))                     \
    X(OXT_EDOMAIN, tint_at, oxt_tint_at(film, 900, result, error))                                 \
    X(OXT_EPARSE, tint_find, oxt_tint_find(film, "mauve", result, error))                          \
    X(OXT_EDOMAIN, target_from_name, oxt_tint_target(film, "bright", result, error))               \
    X(OXT_EDOMAIN, target_from_thickness, oxt_tint_target_of_thickness(50, 60, 70, result, error)) \
    X(OXT_EUNREACHABLE, target_from_lab, oxt_tint_target_of_lab(film, three, 1, 0, result, error)) \
    X(OXT_EUNIT, target_parse, oxt_tint_target(film, "57", result, error))                         \
    X(OXT_EARG, trials_new, oxt_trials_new(NULL, NULL, error))                                     \
    X(OXT_EARG, trials_add, oxt_trials_add(NULL, NULL, NULL, error))                               \
    X(OXT_EARG, trials_add_columns, oxt_trials_add_columns(NULL, 1, NULL, 0, NULL, error))         \
    X(OXT_EARG, trials_numbers, oxt_trials_numbers(trials, "bath_F", 99, number, 8, error))        \
    X(OXT_EARG, trials_codes, oxt_trials_codes(trials, "bath_K", 99, result, 4, error))            \
    X(OXT_EIO, trials_read, oxt_trials_read_csv(result, NOWHERE, NULL, 0, NULL, NULL, error))      \
    X(OXT_EPARSE, trials_read_text,                                                                \
      oxt_trials_read_csv(result, NULL, "x\n1\n", 4, NULL, NULL, error))                           \
    X(OXT_EIO, trials_write, oxt_trials_write_csv(trials, NOWHERE, OXT_REPLACE_SAME_KIND, error))  \
    X(OXT_ESPACE, trials_write_text, oxt_trials_write_csv_text(trials, text, 5, NULL, error))      \
    X(OXT_EARG, trials_get, oxt_trials_get(trials, 999, result, error))                            \
    X(OXT_EARG, trials_group, oxt_trials_group(trials, 999, result, error))                        \
    X(OXT_EARG, trials_text, oxt_trials_text(trials, "note", 999, text, 40, NULL, error))          \
    X(OXT_EARG, faults_get, oxt_faults_get(NULL, 0, result, error))                                \
    X(OXT_EIO, words_read, oxt_words_read_csv(result, NOWHERE, NULL, 0, NULL, error))              \
    X(OXT_EPARSE, words_text, oxt_words_read_csv(result, NULL, "x\n", 2, NULL, error))             \
    X(OXT_EARG, words_get, oxt_words_get(NULL, 0, result, error))                                  \
    X(OXT_EARG, csv_separator, oxt_trials_csv_separator(text, "x", 1, NULL, 1, NULL, error))       \
    X(OXT_EARG, trials_unit, oxt_trials_set_unit(NULL, OXT_UNIT_CELSIUS, error))                   \
    X(OXT_EARG, trials_coupon, oxt_trials_set_coupon(NULL, NULL, NULL, error))                     \
    X(OXT_EARG, check_trials, oxt_check_log(result, trials, NULL, OXT_UNIT_KELVIN, error))         \
    X(OXT_EARG, faults_report, oxt_faults_report(NULL, text, 40, NULL, error))                     \
    X(OXT_EARG, steel_new, oxt_steel_new(result, &nameless, error))                                \
    X(OXT_EARG, steel_get, oxt_steel_get(NULL, result, error))                                     \
    X(OXT_EIO, steel_load, oxt_steel_load(result, NOWHERE, NULL, 0, error))                        \
    X(OXT_EPARSE, steel_load_text, oxt_steel_load(result, NULL, "{", 1, error))                    \
    X(OXT_EVERSION, steel_newer,                                                                   \
      oxt_steel_load(result, NULL, NEWER_CARD, sizeof NEWER_CARD - 1, error))                      \
    X(OXT_EIO, file_check, oxt_file_check("/", OXT_FILE_CARD, OXT_REPLACE_ANY, error))             \
    X(OXT_EIO, file_write, oxt_file_write(NOWHERE, OXT_FILE_CARD, OXT_REPLACE_ANY, "", 0, error))  \
    X(OXT_EIO, steel_save, oxt_steel_save(steel, NOWHERE, OXT_REPLACE_SAME_KIND, error))           \
    X(OXT_ESPACE, steel_save_text, oxt_steel_save_text(steel, text, 9, NULL, error))               \
    X(OXT_EARG, prior_usual, oxt_prior_mild_steel(result, NULL, error))                            \
    X(OXT_EARG, steel_starting, oxt_prior_steel(result, "", NULL, film, error))                    \
    X(OXT_EFEW, fit_run, oxt_fit_run(result, few, film, NULL, error))                              \
    X(OXT_EIDENT, fit_one_bath, oxt_fit_run(result, one_bath, film, NULL, error))                  \
    X(OXT_EARG, fit_each, oxt_fit_each_run(result, NULL, film, NULL, error))                       \
    X(OXT_EARG, fits_get, oxt_fit_each_get(NULL, 0, NULL, result, error))                          \
    X(OXT_EARG, fits_remarks, oxt_fit_each_remarks(NULL, 0, text, 40, NULL, error))                \
    X(OXT_EARG, fits_report, oxt_fit_each_report(NULL, OXT_UNIT_KELVIN, text, 40, NULL, error))    \
    X(OXT_EARG, fit_get, oxt_fit_get(NULL, result, error))                                         \
    X(OXT_EARG, fit_get_row, oxt_fit_get_row(fit, 999, result, error))                             \
    X(OXT_EARG, fit_warning, oxt_fit_warning(fit, 999, text, 40, NULL, error))                     \
    X(OXT_ESPACE, fit_json, oxt_fit_json(fit, text, 9, NULL, error))                               \
    X(OXT_EARG, laws_json, oxt_laws_json(NULL, text, 40, NULL, error))                             \
    X(OXT_EARG, pool_json, oxt_pool_json(NULL, text, 40, NULL, error))                             \
    X(OXT_EARG, dip_json, oxt_dip_json(NULL, text, 40, NULL, error))                               \
    X(OXT_EARG, plan_json, oxt_plan_json(NULL, text, 40, NULL, error))                             \
    X(OXT_EARG, advise_json, oxt_advise_json(NULL, text, 40, NULL, error))                         \
    X(OXT_ESPACE, fit_report, oxt_fit_report(fit, OXT_UNIT_KELVIN, text, 9, NULL, error))          \
    X(OXT_EARG, fit_steel, oxt_fit_steel(NULL, result, error))                                     \
    X(OXT_EFEW, pool_run, oxt_pool_run(result, few, film, NULL, error))                            \
    X(OXT_EARG, pool_get, oxt_pool_get(NULL, result, error))                                       \
    X(OXT_EARG, pool_get_group, oxt_pool_get_group(NULL, 0, result, error))                        \
    X(OXT_EARG, pool_get_comparison,                                                               \
      oxt_pool_get_comparison(NULL, OXT_POOL_SHARED_Q, result, error))                             \
    X(OXT_EARG, pool_warning, oxt_pool_warning(NULL, 0, text, 40, NULL, error))                    \
    X(OXT_EARG, pool_report, oxt_pool_report(NULL, OXT_UNIT_KELVIN, text, 40, NULL, error))        \
    X(OXT_EARG, pool_steel, oxt_pool_steel(NULL, 0, result, error))                                \
    X(OXT_EARG, laws_fit, oxt_laws_fit(result, NULL, NULL, NULL, error))                           \
    X(OXT_EARG, laws_run, oxt_laws_run(result, NULL, NULL, error))                                 \
    X(OXT_EARG, laws_get, oxt_laws_get(NULL, result, error))                                       \
    X(OXT_EARG, laws_get_law, oxt_laws_get_law(NULL, OXT_LAW_POWER, result, error))                \
    X(OXT_EARG, laws_report, oxt_laws_report(NULL, OXT_UNIT_KELVIN, text, 40, NULL, error))        \
    X(OXT_EARG, fit_profile,                                                                       \
      oxt_interval_profile(fit, (oxt_interval_quantity)3, 600, NULL, number, number + 1, error))   \
    X(OXT_EARG, steel_history, oxt_steel_history(NULL, 0, result, error))                          \
    X(OXT_EARG, steel_words, oxt_steel_words(NULL, result, error))                                 \
    X(OXT_EARG, steel_with_words, oxt_steel_with_words(result, NULL, NULL, error))                 \
    X(OXT_EARG, steel_reanchor, oxt_anchor_steel(result, steel, few, NULL, NULL, error))           \
    X(OXT_EARG, bootstrap_run, oxt_bootstrap_run(result, NULL, NULL, error))                       \
    X(OXT_EARG, bootstrap_get, oxt_bootstrap_get(NULL, result, 0, NULL, NULL, NULL, error))        \
    X(OXT_EARG, bootstrap_interval,                                                                \
      oxt_bootstrap_interval(NULL, OXT_INTERVAL_Q, 600, 0.0, 0.9, OXT_BOOTSTRAP_PERCENTILE,        \
                             number, number + 1, error))                                           \
    X(OXT_EARG, bootstrap_report,                                                                  \
      oxt_bootstrap_report(NULL, OXT_UNIT_KELVIN, text, 40, NULL, error))                          \
    X(OXT_EARG, record_add, oxt_record_add(result, NULL, NULL, NULL, "blue", NULL, error))         \
    X(OXT_EDOMAIN, record_get, oxt_record_get(steel, 9, result, error))                            \
    X(OXT_EARG, record_trials, oxt_record_trials(NULL, NULL, error))                               \
    X(OXT_EARG, record_report, oxt_record_report(NULL, text, 40, NULL, error))                     \
    X(OXT_EARG, steel_recorded_dip, oxt_steel_recorded_dip(NULL, 0, result, error))                \
    X(OXT_EARG, cross_validation_run, oxt_cross_validation_run(result, NULL, NULL, error))         \
    X(OXT_EARG, cross_validation_get, oxt_cross_validation_get(NULL, result, error))               \
    X(OXT_EARG, cross_validation_get_row, oxt_cross_validation_get_row(NULL, 0, result, error))    \
    X(OXT_EARG, cross_validation_report,                                                           \
      oxt_cross_validation_report(NULL, OXT_UNIT_KELVIN, text, 40, NULL, error))                   \
    X(OXT_EARG, cautions_report, oxt_caution_report(1, 7, text, 40, NULL, error))                  \
    X(OXT_EDOMAIN, dip_predict, oxt_dip_predict(steel, &target, 9, NULL, result, error))           \
    X(OXT_EUNREACHABLE, dip_bath, oxt_dip_for_time(steel, &target, 1e-9, NULL, result, error))     \
    X(OXT_EARG, dip_report,                                                                        \
      oxt_dip_report(NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, 40, NULL, error))             \
    X(OXT_EARG, dip_average, oxt_dip_average(NULL, number, 1, result, error))                      \
    X(OXT_EARG, equivalent_time, oxt_dip_equivalent_time(steel, NULL, number, error))              \
    X(OXT_EARG, steel_coupon_text, oxt_steel_coupon_text(NULL, text, 40, NULL, error))             \
    X(OXT_EARG, forgiving, oxt_plan_baths(NULL, &target, NULL, NULL, result, NULL, NULL, error))   \
    X(OXT_EARG, baths_report,                                                                      \
      oxt_plan_baths_report(NULL, 0, NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, 40, NULL,     \
                            error))                                                                \
    X(OXT_EARG, set_plan, oxt_plan_set(result, NULL, 1, 600, NULL, error))                         \
    X(OXT_EARG, set_get, oxt_plan_get(NULL, result, error))                                        \
    X(OXT_EARG, set_step, oxt_plan_get_step(NULL, 0, result, NULL, error))                         \
    X(OXT_EARG, set_report,                                                                        \
      oxt_plan_report(NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, 40, NULL, error))            \
    X(OXT_EARG, advise, oxt_advise_run(result, NULL, film, NULL, error))                           \
    X(OXT_EARG, advice_get, oxt_advise_get(NULL, 0, result, error))                                \
    X(OXT_EARG, advice_report,                                                                     \
      oxt_advise_report(NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, 40, NULL, error))          \
    X(OXT_EARG, chart_data, oxt_chart_data(NULL, film, NULL, result, 0, NULL, 0, NULL, error))     \
    X(OXT_EARG, chart_spread,                                                                      \
      oxt_chart_spread(NULL, NULL, NULL, 600, NULL, 1, number, NULL, error))                       \
    X(OXT_EARG, chart_map, oxt_chart_map(NULL, film, NULL, 1, three, 1, three, number, error))     \
    X(OXT_EARG, chart_sheet, oxt_chart_sheet(NULL, film, NULL, 0, NULL, result, error))            \
    X(OXT_EARG, chart_svg,                                                                         \
      oxt_chart_svg(NULL, film, NULL, OXT_UNIT_KELVIN, text, 40, NULL, error))                     \
    X(OXT_EARG, chart_sheet_svg, oxt_chart_sheet_svg(NULL, film, NULL, text, 40, NULL, error))     \
    X(OXT_EARG, drift_of, oxt_drift_find(NULL, NULL, result, error))                               \
    X(OXT_EARG, drift_report, oxt_drift_report(NULL, OXT_CAUTION_BRIEF, text, 40, NULL, error))    \
    X(OXT_EFEW, history_new, oxt_history_new(result, 1, three, 8, three, 8, 0, error))             \
    X(OXT_EIO, history_read, oxt_history_read_csv(result, NOWHERE, NULL, 0, 0, NULL, error))       \
    X(OXT_EPARSE, history_text, oxt_history_read_csv(result, NULL, "x\n", 2, 0, NULL, error))      \
    X(OXT_EARG, history_samples, oxt_history_samples(NULL, 0, NULL, 0, NULL, 0, result, error))    \
    X(OXT_EARG, history_temperature, oxt_history_temperature(NULL, 0, number, error))              \
    X(OXT_EARG, history_exposure, oxt_history_exposure(NULL, &growth, 0, 1, number, error))        \
    X(OXT_EDOMAIN, temper_parameter, oxt_temper_parameter(600, 0, 20, number, error))              \
    X(OXT_EUNREACHABLE, temper_temperature, oxt_temper_temperature(9e3, 1e-20, 20, number, error)) \
    X(OXT_EUNREACHABLE, temper_time, oxt_temper_time(9e3, 9, 20, number, error))                   \
    X(OXT_EARG, temper_hardness, oxt_temper_hardness("Alder 1", 11000, number, error))             \
    X(OXT_EDOMAIN, temper_dip, oxt_temper_dip(9, 60, NULL, result, error))                         \
    X(OXT_EARG, temper_history, oxt_temper_history(NULL, NULL, result, error))                     \
    X(OXT_EARG, temper_report,                                                                     \
      oxt_temper_report(NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, text, 40, NULL, error))          \
    X(OXT_EARG, tracker_new, oxt_track_new(result, steel, NULL, &target, NULL, error))             \
    X(OXT_EARG, tracker_restart, oxt_track_restart(NULL, error))                                   \
    X(OXT_EDOMAIN, tracker_feed, oxt_track_feed(tracker, 0, 9, error))                             \
    X(OXT_EPARSE, tracker_resume, oxt_track_resume(tracker, "{}", 2, error))                       \
    X(OXT_ESPACE, tracker_snapshot, oxt_track_snapshot(tracker, text, 9, NULL, error))             \
    X(OXT_EARG, tracker_read, oxt_track_read(NULL, result, error))

#endif
