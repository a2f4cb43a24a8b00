/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The manners of a guest: the host's locale and error handler of GSL. Every call's manners, and those of
 * threads, are in every_call.c. */
#define _GNU_SOURCE /* feenableexcept */

#include <fenv.h>
#include <gsl/gsl_errno.h>
#include <locale.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "support.h"

/* ---- one text of everything that parses, formats and computes ---- */

typedef struct {
    char *data;
    size_t length, capacity;
} story;

__attribute__((format(printf, 2, 3))) static void tell(story *all, const char *format, ...)
{
    va_list list;
    va_start(list, format);
    int length = vsnprintf(all->data + all->length, all->capacity - all->length, format, list);
    va_end(list);
    cr_assert(length >= 0 && all->length + (size_t)length < all->capacity);
    all->length += (size_t)length;
}

/* Bytes, so that the decimal mark of the test's own printing does not matter. */
static void tell_number(story *all, double value)
{
    unsigned char bytes[sizeof value];
    memcpy(bytes, &value, sizeof value);
    for (size_t i = 0; i < sizeof value; i++)
        tell(all, "%02x", bytes[i]);
    tell(all, "\n");
}

#define TEXT_ROOM 20000

/* Append the text that a call gives; `call` uses buffer and TEXT_ROOM. */
#define TELL_TEXT(call)                   \
    do {                                  \
        char *buffer = malloc(TEXT_ROOM); \
        cr_assert_not_null(buffer);       \
        OK(call);                         \
        tell(all, "%s\n", buffer);        \
        free(buffer);                     \
    } while (0)

static void tell_units(story *all)
{
    static const char *const temperatures[] = { "343.5 C", "650.25 F", "616.65 K", "343,5 C", "x" };
    static const char *const differences[] = { "4.5 F", "2.5 K", "4,5 F", "x" };
    static const char *const durations[] = { "1:30.5", "0.5 h", "1.5 min 2.25 s", "1,5 min" };
    static const char *const lengths[] = { "6.35 mm", "1 1/4 in", "0.25 in", "6,35 mm" };
    oxt_error error = OXT_ERROR_INIT;
    double value;
    for (size_t i = 0; i < 5; i++)
        if (oxt_parse_temperature(temperatures[i], &value, &error) == OXT_OK)
            tell_number(all, value);
        else
            tell(all, "%s\n", error.text);
    for (size_t i = 0; i < 4; i++) {
        if (oxt_parse_temperature_difference(differences[i], &value, &error) == OXT_OK)
            tell_number(all, value);
        else
            tell(all, "%s\n", error.text);
        if (oxt_parse_duration(durations[i], &value, &error) == OXT_OK)
            tell_number(all, value);
        else
            tell(all, "%s\n", error.text);
        if (oxt_parse_length(lengths[i], &value, &error) == OXT_OK)
            tell_number(all, value);
        else
            tell(all, "%s\n", error.text);
    }
    TELL_TEXT(oxt_format_temperature(616.483, OXT_UNIT_CELSIUS, buffer, TEXT_ROOM, NULL, &error));
    TELL_TEXT(oxt_format_temperature(616.483, OXT_UNIT_KELVIN, buffer, TEXT_ROOM, NULL, &error));
    TELL_TEXT(oxt_format_duration(8.43, buffer, TEXT_ROOM, NULL, &error));
    TELL_TEXT(oxt_format_length(0.00635, OXT_UNIT_MILLIMETRE, buffer, TEXT_ROOM, NULL, &error));
    TELL_TEXT(oxt_format_srgb((double[]){ 0.1, 0.55, 0.9 }, buffer, TEXT_ROOM, NULL, &error));
}

static void tell_film(story *all, const oxt_film *film)
{
    static const char *const targets[] = { "57.5 nm", "blue",    "#1e6daf", "second-order blue",
                                           "57,5 nm", "#00ff00", "mauve",   "9999.5 nm" };
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < 8; i++) {
        oxt_target target = OXT_TARGET_INIT;
        if (oxt_tint_target(film, targets[i], &target, &error) == OXT_OK) {
            tell(all, "%s, %s\n", target.text, target.description);
            tell_number(all, target.aim_nm);
            tell_number(all, target.low_nm);
            tell_number(all, target.high_nm);
        } else {
            tell(all, "%s\n", error.text);
        }
    }
    for (double x = 0.0; x < 1000.0; x += 31.7) {
        double lab[3];
        OK(oxt_film_colour(film, OXT_SPACE_LAB, x, lab, NULL, &error));
        for (int i = 0; i < 3; i++)
            tell_number(all, lab[i]);
    }
    oxt_film *other;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    options.absorption_scale = 1.25;
    options.coat_index = 1.475;
    options.angle_deg = 12.5;
    options.thickness_spread = 0.05;
    OK(oxt_film_new(&other, &options, &error));
    TELL_TEXT(oxt_film_description(other, buffer, TEXT_ROOM, NULL, &error));
    oxt_film_free(other);
}

static void tell_steel(story *all, const oxt_film *film, const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    for (double bath_K = 540.0; bath_K < 640.0; bath_K += 20.5) {
        oxt_target target = OXT_TARGET_INIT;
        oxt_dip dip = OXT_DIP_INIT;
        OK(oxt_tint_target(film, "light blue", &target, &error));
        OK(oxt_dip_predict(steel, &target, bath_K, NULL, &dip, &error));
        tell_number(all, dip.time_s);
        tell_number(all, dip.next_low_s);
        tell_number(all, dip.chance);
        TELL_TEXT(oxt_dip_report(&dip, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, buffer, TEXT_ROOM, NULL,
                                 &error));
        double found;
        OK(bath_for_time(steel, &target, 90.5, NULL, &found, &error));
        tell_number(all, found);
    }
    TELL_TEXT(oxt_steel_save_text(steel, buffer, TEXT_ROOM, NULL, &error));
}

/* The text of a card read and written again. */
static void tell_card(story *all, const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    char *card = malloc(TEXT_ROOM);
    oxt_steel *again;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    cr_assert_not_null(card);
    OK(oxt_steel_save_text(steel, card, TEXT_ROOM, NULL, &error));
    OK(oxt_steel_load(&again, NULL, card, strlen(card), &error));
    OK(oxt_steel_get(again, &values, &error));
    tell_number(all, values.growth.k_ref_nm2_per_s);
    tell_number(all, values.growth.Q_J_per_mol);
    TELL_TEXT(oxt_steel_save_text(again, buffer, TEXT_ROOM, NULL, &error));
    oxt_steel_free(again);
    free(card);
}

static const char csv[] = "steel,bath (C),time,colour,thickness_nm,L,a,b,srgb,note\n"
                          "Alder 1,290.5,1:30.5,straw,,,,,,half a shade\n"
                          "Alder 1,300.25,2 min,,37.75,,,,,\n"
                          "Alder 1,310.5,90.5 s,,,44.725,0.876,-41.597,,\n"
                          "Alder 1,315,150 s,,,,,,#4482b8,\n"
                          "Alder 1,297.125,3.5 min,dark blue,,,,,,\n"
                          "Alder 1,305.5,100 s,brown,,,,,,\n";

static void tell_trials(story *all, const oxt_film *film, oxt_steel **steel)
{
    static const char faulty[] = "steel,bath (C),time,thickness_nm\n"
                                 "Alder 1,\"290,5\",1:30,37.5\nAlder 1,290.5,90,1e4\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials, *again, *none;
    oxt_faults *faults;
    oxt_fit *fit;
    oxt_pool *pool;
    OK(oxt_trials_read_csv(&trials, NULL, csv, sizeof csv - 1, NULL, NULL, &error));
    TELL_TEXT(oxt_trials_write_csv_text(trials, buffer, TEXT_ROOM, NULL, &error));
    char *text = malloc(TEXT_ROOM);
    cr_assert_not_null(text);
    OK(oxt_trials_write_csv_text(trials, text, TEXT_ROOM, NULL, &error));
    OK(oxt_trials_read_csv(&again, NULL, text, strlen(text), NULL, NULL, &error));
    TELL_TEXT(oxt_trials_write_csv_text(again, buffer, TEXT_ROOM, NULL, &error));
    FAILS(oxt_trials_read_csv(&none, NULL, faulty, sizeof faulty - 1, NULL, &faults, &error),
          OXT_EPARSE);
    tell(all, "%s\n", error.text);
    TELL_TEXT(oxt_faults_report(faults, buffer, TEXT_ROOM, NULL, &error));
    oxt_faults_free(faults);
    OK(oxt_fit_run(&fit, trials, film, NULL, &error));
    TELL_TEXT(oxt_fit_report(fit, OXT_UNIT_CELSIUS, buffer, TEXT_ROOM, NULL, &error));
    OK(oxt_fit_steel(fit, steel, &error));
    oxt_fit_free(fit);
    OK(oxt_pool_run(&pool, trials, film, NULL, &error));
    TELL_TEXT(oxt_pool_report(pool, OXT_UNIT_CELSIUS, buffer, TEXT_ROOM, NULL, &error));
    oxt_pool_free(pool);
    free(text);
    oxt_trials_free(again);
    oxt_trials_free(trials);
}

/* Everything, from the texts of a log to the texts of a dip. To be freed. */
static char *everything(void)
{
    story told = { malloc(1 << 20), 0, 1 << 20 }, *all = &told;
    cr_assert_not_null(told.data);
    oxt_steel *steel;
    tell_units(all);
    tell_film(all, default_film());
    tell_trials(all, default_film(), &steel);
    tell_steel(all, default_film(), steel);
    tell_card(all, steel);
    oxt_steel_free(steel);
    return told.data;
}

/* ---- locale ---- */

/* A locale with a decimal comma, made here, so that the test does not depend on what the machine has. */
static void enter_comma_locale(const char *scratch)
{
    char output[4000], directory[600], shown[40];
    snprintf(directory, sizeof directory, "%s/%s", TEST_SCRATCH, scratch);
    run(output, sizeof output, "mkdir -p '%s' && %s -i de_DE -f UTF-8 '%s/de_DE.UTF-8' 2>&1",
        directory, TEST_LOCALEDEF, directory);
    cr_assert_eq(setenv("LOCPATH", directory, 1), 0);
    cr_assert_not_null(setlocale(LC_ALL, "de_DE.UTF-8"),
                       "no locale could be made (Debian: package locales): %s", output);
    snprintf(shown, sizeof shown, "%.1f", 1.5);
    cr_assert_str_eq(shown, "1,5");
}

static void first_difference(const char *a, const char *b)
{
    size_t at = 0;
    while (a[at] && a[at] == b[at])
        at++;
    size_t from = at > 60 ? at - 60 : 0;
    cr_assert(a[at] == b[at], "in the C locale:\n%.120s\nwith a decimal comma:\n%.120s", a + from,
              b + from);
}

Test(host, decimal_comma_changes_nothing)
{
    char *in_c = everything();
    enter_comma_locale("locale-of-process");
    locale_t before = uselocale((locale_t)0);
    char *in_comma = everything();
    first_difference(in_c, in_comma);
    cr_assert(strlen(in_c) > 10000);
    /* and the host still has what it had chosen */
    char shown[40];
    snprintf(shown, sizeof shown, "%.1f", 1.5);
    cr_assert_str_eq(shown, "1,5");
    cr_assert_eq(uselocale((locale_t)0), before);
    free(in_c);
    free(in_comma);
}

/* A thread may have a locale of its own, by uselocale. */
Test(host, locale_of_the_thread_is_kept)
{
    char shown[40];
    enter_comma_locale("locale-of-thread");
    locale_t comma = duplocale(LC_GLOBAL_LOCALE);
    cr_assert_neq(comma, (locale_t)0);
    cr_assert_not_null(setlocale(LC_ALL, "C"));
    char *in_c = everything();
    uselocale(comma);
    snprintf(shown, sizeof shown, "%.1f", 1.5);
    cr_assert_str_eq(shown, "1,5");
    char *in_comma = everything();
    first_difference(in_c, in_comma);
    cr_assert_eq(uselocale((locale_t)0), comma);
    uselocale(LC_GLOBAL_LOCALE);
    freelocale(comma);
    free(in_c);
    free(in_comma);
}

/* ---- GSL ---- */

static int handler_calls;

static void count_call(const char *reason, const char *file, int line, int number)
{
    (void)reason;
    (void)file;
    (void)line;
    (void)number;
    handler_calls++;
}

static void fit_bad_data(const oxt_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit *fit;
    for (int kind = 0; kind < 6; kind++) {
        oxt_trials *trials = new_log();
        for (int i = 0; i < 6; i++) {
            double bath_K = kind == 0 ? 573.15 : 550.0 + 10.0 * i;
            double x = kind == 1   ? 90.0 - 15.0 * i
                       : kind == 2 ? 30.0
                       : kind == 3 ? 1000.0
                       : kind == 4 ? 1e-6 * (i + 1)
                                   : 30.0 * exp(0.1 * i);
            add_thickness(trials, bath_K, kind == 3 ? 1e-3 : 100.0, x);
        }
        oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
        for (int held = 0; held < 2; held++) {
            options.Q_J_per_mol = held ? 1e-3 : 0.0;
            oxt_fit_run(&fit, trials, film, &options, &error);
            oxt_fit_free(fit);
            options.scatter = 0.0;
            oxt_fit_run(&fit, trials, film, &options, &error);
            oxt_fit_free(fit);
        }
        oxt_trials_free(trials);
    }
}

/* The distribution of Student for next to no and for very many degrees of freedom. */
static void predict_with_odd_freedom(const oxt_film *film)
{
    static const double freedoms[] = { 1e-300, 1e-6, 0.3, 1.0, 2.5, 1e6, 1e18, 1e300 };
    static const double sizes[] = { 0.0, 1e-200, 1e-4, 1.0, 1e4, 1e150 };
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < sizeof freedoms / sizeof freedoms[0]; i++)
        for (size_t j = 0; j < sizeof sizes / sizeof sizes[0]; j++) {
            oxt_steel_values values = OXT_STEEL_VALUES_INIT;
            oxt_target target = OXT_TARGET_INIT;
            oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
            oxt_dip dip = OXT_DIP_INIT;
            oxt_steel *steel;
            strcpy(values.steel, "Alder 1");
            values.growth = growth_of(12.0, 573.15, 80e3);
            values.dof = freedoms[i];
            values.variance_ln_k = sizes[j];
            values.scatter = sizes[j];
            values.bath_low_K = values.bath_high_K = 573.15;
            values.thickness_low_nm = values.thickness_high_nm = 50.0;
            options.confidence = i % 2 ? 0.9999 : 0.5;
            OK(oxt_steel_new(&steel, &values, &error));
            OK(oxt_tint_target(film, "blue", &target, &error));
            oxt_status status = oxt_dip_predict(steel, &target, 580.0, &options, &dip, &error);
            if (freedoms[i] < 1.0 || freedoms[i] > 1e15)
                cr_assert(status == OXT_EDOMAIN && strcmp(error.parameter, "dof") == 0);
            oxt_steel_free(steel);
        }
}

/* Splines, quadrature and searches on films from plain to the roughest. */
static void make_films_of_every_finish(void)
{
    static const double grey[3] = { 50.0, 0.0, 0.0 };
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 0; i <= 10; i++) {
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        oxt_match_options wide = OXT_MATCH_OPTIONS_INIT;
        oxt_film *film;
        size_t count;
        oxt_match_verdict verdict;
        double x = OXT_PATH_HIGH_NM, xyz[3];
        options.thickness_spread = 0.05 * i;
        options.angle_spread_deg = 4.0 * i;
        options.absorption_scale = 0.5 * i;
        wide.reach = 1000.0;
        wide.lightness_factor = i % 2 ? 1e12 : 1.0;
        OK(oxt_film_new(&film, &options, &error));
        OK(oxt_film_colours(film, OXT_SPACE_PATH_XYZ, 1, &x, 0, xyz, NULL, NULL, &error));
        OK(oxt_film_match(film, grey, &wide, 0, NULL, &count, &verdict, &error));
        oxt_film_free(film);
    }
}

/* GSL's default handler ends the program; a host's own may do anything. Neither is ever called. */
Test(host, error_handler_of_gsl_stays_the_hosts)
{
    gsl_error_handler_t *first = gsl_set_error_handler(count_call);
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    for (double scale = -1.0; scale <= 6.0; scale += 0.25) {
        oxt_film *film;
        oxt_film_options options = OXT_FILM_OPTIONS_INIT;
        options.absorption_scale = scale;
        oxt_film_new(&film, &options, &error);
        oxt_film_free(film);
    }
    for (double L = 0.0; L <= 100.0; L += 25.0)
        for (double a = -200.0; a <= 200.0; a += 80.0)
            for (double b = -200.0; b <= 200.0; b += 80.0)
                oxt_tint_target_of_lab(default_film(), (double[]){ L, a, b }, b + 201.0, 0, &target,
                                       &error);
    make_films_of_every_finish();
    fit_bad_data(default_film());
    predict_with_odd_freedom(default_film());
    free(everything());
    cr_assert_eq(handler_calls, 0);
    cr_assert_eq(gsl_set_error_handler(first), count_call);
    cr_assert_neq(first, count_call);
}

/* Contract: GSL ends the program when it gets no memory, so nothing of it that allocates is called. */
Test(host, nothing_of_gsl_that_allocates_is_called)
{
    char line[400];
    int seen = 0;
    FILE *symbols = popen(TEST_NM " --undefined-only " TEST_STATIC, "r");
    cr_assert_not_null(symbols);
    while (fgets(line, sizeof line, symbols)) {
        const char *name = strstr(line, " gsl_");
        seen += name != NULL;
        cr_assert(!name || (!strstr(name, "alloc") && !strstr(name, "_new") &&
                            !strstr(name, "LU_decomp") && !strstr(name, "gsl_error")),
                  "%s", name);
    }
    cr_assert_eq(pclose(symbols), 0);
    cr_assert(seen > 5, "no symbols of GSL were found");
}

/* A Q that is no number of chemistry took the exponential integral to 0, where GSL ends the program. */
Test(host, odd_activation_energies_do_not_reach_gsl)
{
    static const double Qs[] = { 1e-321, 1e-300, 1e-18, 0.0, 1e-3, 0.5,   1.0,
                                 1.5,    1e3,    1e6,   1e7, 1e8,  1e300, NAN };
    gsl_error_handler_t *first = gsl_set_error_handler(count_call);
    for (size_t i = 0; i < sizeof Qs / sizeof *Qs; i++)
        for (double size_m = 1e-9; size_m < 1.0; size_m *= 10.0) {
            oxt_error error = OXT_ERROR_INIT;
            const oxt_growth growth = growth_of(30.0, 588.7, Qs[i]);
            oxt_part part = OXT_PART_INIT;
            double exposure_nm2 = NAN;
            part.size_m = size_m;
            bool holds = Qs[i] == 0.0 || (Qs[i] >= 1.0 && Qs[i] <= 1e7);
            cr_assert_eq(oxt_bath_exposure(&growth, NULL, &part, 0.0, 588.7, 60.0, &exposure_nm2,
                                           &error),
                         holds ? OXT_OK : OXT_EDOMAIN, "Q = %g", Qs[i]);
            cr_assert(!holds || (exposure_nm2 >= 0.0 && exposure_nm2 <= 1800.0), "Q = %g: %g",
                      Qs[i], exposure_nm2);
            /* Nothing is lost to heating up where the rate is the same at every temperature. */
            if (Qs[i] == 0.0)
                NEAR(exposure_nm2, 1800.0, 1e-9);
        }
    cr_assert_eq(handler_calls, 0);
    gsl_set_error_handler(first);
}

/* Contract: with floating-point traps on, what cannot be computed is refused, and does not end the program;
 * the traps are on again after each call. */
Test(host, traps_of_the_host_are_held)
{
#ifdef FE_NOMASK_ENV
    const int traps = FE_INVALID | FE_DIVBYZERO | FE_OVERFLOW;
    static const char readings[] = "time_s,temperature_C\n0,20\n1,1e999\n2,x\n";
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3), huge = growth_of(1e308, 1.0, 1e7);
    oxt_track *tracker;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_history *history;
    oxt_status status[8];
    double value;
    OK(oxt_tint_target_of_thickness(57.0, 50.0, 60.0, &target, &error));
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    OK(oxt_track_new(&tracker, steel, default_film(), &target, NULL, &error));
    feclearexcept(FE_ALL_EXCEPT);
    feenableexcept(traps);
    status[0] = oxt_parse_length("1e999 mm", &value, &error);
    status[1] = oxt_thickness(&huge, 1e300, 1e300, &value, &error);
    status[2] = oxt_rate(&growth, NAN, &value, &error);
    status[3] = oxt_history_read_csv(&history, NULL, readings, strlen(readings), 0.0, NULL, &error);
    status[4] = oxt_track_read(tracker, &now, &error);
    status[5] = oxt_track_feed(tracker, NAN, 600.0, &error);
    status[6] = oxt_time_for_thickness(&growth, 50.0, 1.0, &value, &error);
    status[7] = oxt_rate(&huge, 1e300, &value, &error);
    int left = fedisableexcept(traps);
    for (int i = 0; i < 8; i++)
        cr_assert(i == 4 || status[i] != OXT_OK, "call %d", i);
    cr_assert_eq(left & traps, traps);
    oxt_track_free(tracker);
    oxt_steel_free(steel);
#endif
}
