/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a dip, or any history, does to hardened steel. */
#include <stdio.h>
#include <string.h>

#include "support.h"
#include "thermal/temper.h"

static double celsius(double temperature_C)
{
    return temperature_C + 273.15;
}

static double fahrenheit(double temperature_F)
{
    return (temperature_F + 459.67) / 1.8;
}

static double parameter_of(double temperature_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_temper_parameter(temperature_K, time_s, 20.0, &found, &error));
    return found;
}

static oxt_history *history_of(size_t n, const double *time_s, const double *temperature_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *made;
    OK(oxt_history_new(&made, n, time_s, sizeof(double), temperature_K, sizeof(double), 0.0,
                       &error));
    return made;
}

static double after(const oxt_history *history, double initial, double constant)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_i_temper_after(history, initial, constant, &found, &error));
    return found;
}

/* ---- the parameter ---- */

/* P = T (C + log10 t) of Hollomon and Jaffe, Trans. AIME 162 (1945) 223, evaluated elsewhere. */
Test(temper, parameter_and_its_inverses)
{
    oxt_error error = OXT_ERROR_INIT;
    table rows = read_table("tempering.csv");
    double worst = 0.0;
    cr_assert(rows.rows == 13);
    for (size_t i = 0; i < rows.rows; i++) {
        double T_K = celsius(at(&rows, i, 1)), time_s = 3600.0 * at(&rows, i, 2);
        double P = at(&rows, i, 3), found;
        worst = worse(worst, parameter_of(T_K, time_s) / P - 1.0);
        OK(oxt_temper_temperature(P, time_s, 20.0, &found, &error));
        NEAR(found, T_K, 1e-6);
        OK(oxt_temper_time(P, T_K, 20.0, &found, &error));
        CLOSE(found, time_s, 1e-7);
    }
    measured("temper-parameter", worst, -HUGE_VAL, 1e-9);
    free_table(&rows);
}

/* The same definition: 300 C for 1 h is 323.2026 C for 10 min. With t in seconds C is smaller by
 * log10 3600. */
Test(temper, equal_parameters_and_other_constants)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_temper_temperature(parameter_of(celsius(300.0), 3600.0), 600.0, 20.0, &found, &error));
    NEAR(found, celsius(323.2026), 5e-5);
    for (double constant = 5.0; constant <= 30.0; constant += 2.5) {
        OK(oxt_temper_parameter(600.0, 90.0, constant, &found, &error));
        CLOSE(found, 600.0 * (constant - log10(3600.0) + log10(90.0)), 1e-14);
    }
}

/* The same definition: 1 h at 200 C counts as 1.16631 s at 300 C. */
Test(temper, a_second_temper_adds_to_the_first)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper found = OXT_TEMPER_INIT;
    double counts_s;
    OK(oxt_temper_time(parameter_of(celsius(200.0), 3600.0), celsius(300.0), 20.0, &counts_s,
                       &error));
    NEAR(counts_s, 1.16631, 5e-6);
    options.last_K = celsius(200.0);
    options.last_s = 3600.0;
    OK(oxt_temper_dip(celsius(300.0), 300.0, &options, &found, &error));
    table rows = read_table("tempering.csv");
    cr_assert(at(&rows, rows.rows - 1, 0) == 3.0);
    CLOSE(found.total_parameter, at(&rows, rows.rows - 1, 3), 1e-9);
    CLOSE(found.parameter, parameter_of(celsius(300.0), 300.0), 1e-15);
    free_table(&rows);
}

Test(temper, longer_and_hotter_is_more)
{
    double before_T = 0.0;
    for (double T_K = 250.0; T_K < 1300.0; T_K *= 1.1) {
        double before_t = 0.0;
        for (double time_s = 0.1; time_s < 1e6; time_s *= 3.0) {
            cr_assert_gt(parameter_of(T_K, time_s), before_t);
            before_t = parameter_of(T_K, time_s);
        }
        cr_assert_gt(before_t, before_T);
        before_T = before_t;
    }
}

Test(temper, numbers_that_are_none)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    FAILS(oxt_temper_parameter(0.0, 60.0, 20.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_parameter(600.0, 0.0, 20.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_parameter(600.0, 60.0, 31.0, &found, &error), OXT_EDOMAIN);
    SAYS("constant");
    FAILS(oxt_temper_parameter(600.0, 1e-20, 20.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_parameter(1e-322, 3600.0, 20.0, &found, &error), OXT_EDOMAIN); /* no digits */
    SAYS("time_s");
    FAILS(oxt_temper_parameter(600.0, 60.0, 20.0, NULL, &error), OXT_EARG);
    FAILS(oxt_temper_temperature(-1.0, 60.0, 20.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_temperature(1e4, 1e-20, 20.0, &found, &error), OXT_EUNREACHABLE);
    FAILS(oxt_temper_time(1e4, NAN, 20.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_time(1e4, 10.0, 20.0, &found, &error), OXT_EUNREACHABLE);
}

/* ---- a history ---- */

/* The rule for tempers one after the other, by hand. */
static double next_temper(double parameter, double T_K, double time_s)
{
    return T_K * (20.0 + log10(pow(10.0, parameter / T_K - 20.0) + time_s / 3600.0));
}

Test(temper, two_stays_with_a_steep_ramp_between)
{
    const double time_s[] = { 0.0, 3600.0, 3600.0001, 3900.0001 };
    const double up_K[] = { 473.15, 473.15, 573.15, 573.15 };
    const double down_K[] = { 573.15, 573.15, 473.15, 473.15 };
    oxt_history *up = history_of(4, time_s, up_K), *down = history_of(4, time_s, down_K);
    CLOSE(after(up, 0.0, 20.0), next_temper(parameter_of(473.15, 3600.0), 573.15, 300.0), 1e-8);
    CLOSE(after(up, 11000.0, 20.0),
          next_temper(next_temper(11000.0, 473.15, 3600.0), 573.15, 300.0), 1e-8);
    CLOSE(after(down, 0.0, 20.0), next_temper(parameter_of(573.15, 3600.0), 473.15, 300.0), 1e-8);
    oxt_history_free(up);
    oxt_history_free(down);
}

/* Ramps up and down against the rule in very many small steps at the temperature of their middle,
 * whose error goes with the square of the step: extrapolated from two of them. */
static double by_steps(const oxt_history *history, double initial, double end_s, size_t steps)
{
    oxt_error error = OXT_ERROR_INIT;
    double parameter = initial, step_s = end_s / (double)steps;
    for (size_t i = 0; i < steps; i++) {
        double T_K;
        OK(oxt_history_temperature(history, ((double)i + 0.5) * step_s, &T_K, &error));
        parameter = next_temper(parameter, T_K, step_s);
    }
    return parameter;
}

Test(temper, ramps_are_the_limit_of_many_short_stays)
{
    const double time_s[] = { 0.0, 64.0, 128.0, 256.0, 512.0 };
    const double temperature_K[] = { 293.15, 573.15, 600.0, 560.0, 310.0 };
    oxt_history *dip = history_of(5, time_s, temperature_K);
    for (double initial = 0.0; initial < 13000.0; initial += 4000.0) {
        double coarse = by_steps(dip, initial, 512.0, 8192);
        double fine = by_steps(dip, initial, 512.0, 16384);
        CLOSE(after(dip, initial, 20.0), fine + (fine - coarse) / 3.0, 2e-10);
    }
    oxt_history_free(dip);
}

/* Contract: samples may be added where the history runs straight. */
Test(temper, splitting_changes_nothing)
{
    const double few_s[] = { 0.0, 60.0, 300.0, 400.0 }, few_K[] = { 300.0, 580.0, 580.0, 350.0 };
    double many_s[401], many_K[401];
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *few = history_of(4, few_s, few_K);
    for (int i = 0; i <= 400; i++) {
        many_s[i] = i;
        OK(oxt_history_temperature(few, i, &many_K[i], &error));
    }
    oxt_history *many = history_of(401, many_s, many_K);
    for (double initial = 0.0; initial < 13000.0; initial += 3000.0)
        for (double constant = 5.0; constant <= 30.0; constant += 12.5)
            CLOSE(after(many, initial, constant), after(few, initial, constant), 1e-10);
    oxt_history_free(few);
    oxt_history_free(many);
}

/* Whatever the piece: a jump of 1100 K in a nanosecond, thirty years of cooling, and any state. */
Test(temper, steep_and_slow_pieces)
{
    const double time_s[] = { 0.0, 1e-9, 1e9 }, temperature_K[] = { 200.0, 1300.0, 200.0 };
    oxt_history *harsh = history_of(3, time_s, temperature_K);
    for (double constant = 5.0; constant <= 30.0; constant += 5.0) {
        double before = 0.0;
        for (double initial = 0.0; initial <= 50000.0; initial += 10000.0) {
            double found = after(harsh, initial, constant);
            cr_assert(found >= initial && found < 60000.0);
            cr_assert(found >= before * (1.0 - 1e-11), "%g after %g", found, initial);
            before = found;
        }
    }
    oxt_error error = OXT_ERROR_INIT;
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper found = OXT_TEMPER_INIT;
    options.constant = 4.9;
    FAILS(oxt_temper_history(harsh, &options, &found, &error), OXT_EDOMAIN);
    oxt_history_free(harsh);
}

/* ---- hardness ---- */

/* ASM Heat Treater's Guide, typical hardnesses after tempering for 2 h; which rows are from memory
 * stands in the table. */
Test(temper, hardness_of_the_table)
{
    oxt_error error = OXT_ERROR_INIT;
    table rows = read_table("temper_hardness.csv");
    cr_assert(rows.rows == 52);
    for (size_t i = 0; i < rows.rows; i++) {
        char steel[8];
        double found;
        snprintf(steel, sizeof steel, "%.0f", at(&rows, i, 0));
        OK(oxt_temper_hardness(steel, parameter_of(fahrenheit(at(&rows, i, 1)), 7200.0), &found,
                               &error));
        NEAR(found, at(&rows, i, 2), 1e-9);
    }
    free_table(&rows);
}

/* Contract: between two rows never outside them, and nothing beyond the table. */
Test(temper, hardness_falls_with_the_parameter)
{
    oxt_error error = OXT_ERROR_INIT;
    static const char *const steels[] = { "1030", "1040", "1050", "1060", "1080", "1095" };
    for (size_t i = 0; i < 6; i++) {
        double before = 70.0, found;
        double low = parameter_of(fahrenheit(400.0), 7200.0);
        double high = parameter_of(fahrenheit(1100.0), 7200.0);
        for (double parameter = low; parameter < high; parameter += 5.0) {
            OK(oxt_temper_hardness(steels[i], parameter, &found, &error));
            cr_assert(found <= before);
            before = found;
        }
        FAILS(oxt_temper_hardness(steels[i], low - 1.0, &found, &error), OXT_EDOMAIN);
        FAILS(oxt_temper_hardness(steels[i], 19000.0, &found, &error), OXT_EDOMAIN);
    }
    double found;
    FAILS(oxt_temper_hardness("Alder 1", 11000.0, &found, &error), OXT_EARG);
    SAYS("1095");
    FAILS(oxt_temper_hardness(NULL, 11000.0, &found, &error), OXT_EARG);
    SAYS("steel");
    FAILS(oxt_temper_hardness("1095", 11000.0, NULL, &error), OXT_EARG);
    SAYS("hardness_HRC");
}

/* ---- a dip ---- */

static oxt_temper_options spring(void)
{
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    options.steel = "1095";
    options.last_K = fahrenheit(400.0);
    options.last_s = 7200.0;
    return options;
}

static oxt_temper dip_of(double bath_K, double time_s, const oxt_temper_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_temper found = OXT_TEMPER_INIT;
    OK(oxt_temper_dip(bath_K, time_s, options, &found, &error));
    return found;
}

/* The cautions of the part, after those of every bath were found: a dip names a bath. */
static uint32_t of_part(uint32_t cautions)
{
    const uint32_t bath = EVERY_BATH | OXT_CAUTION_NITRITE;
    cr_assert_eq(cautions & bath, bath);
    return cautions & ~bath;
}

/* The hardness before is that of the ASM row of 400 F, 58 HRC. Softer afterwards than before, and no
 * softer than two hours in that bath leave it: 52 HRC by the row of 600 F. */
Test(temper, a_dip_hotter_than_the_last_temper_softens)
{
    const oxt_temper_options options = spring();
    oxt_temper found = dip_of(fahrenheit(600.0), 300.0, &options);
    cr_assert_eq(found.softens, 1);
    cr_assert_eq(found.below_floor, 0);
    cr_assert_eq(of_part(found.cautions), OXT_CAUTION_SOFTENS | OXT_CAUTION_HARDENED);
    NEAR(found.hardness_before_HRC, 58.0, 1e-9);
    cr_assert(found.hardness_after_HRC < 57.0 && found.hardness_after_HRC > 52.0);
    CLOSE(found.one_hour_K, found.parameter / 20.0, 1e-15);
    CLOSE(parameter_of(found.one_hour_K, 3600.0), found.parameter, 1e-14);
}

Test(temper, a_dip_cooler_than_the_last_temper_does_not)
{
    const oxt_temper_options options = spring();
    oxt_temper found = dip_of(fahrenheit(350.0), 60.0, &options);
    cr_assert_eq(found.softens, 0);
    cr_assert_eq(of_part(found.cautions), OXT_CAUTION_BELOW_MELTING | OXT_CAUTION_FREEZING);
    NEAR(found.hardness_before_HRC, 58.0, 1e-9);
    NEAR(found.hardness_after_HRC, 58.0, 0.01);
    cr_assert(found.total_parameter >= found.last_parameter);
}

/* Doubling the time of a temper adds T log10 2: what the last temper, repeated, does. */
Test(temper, below_the_last_temper_little_is_added)
{
    const oxt_temper_options options = spring();
    for (double bath_F = 400.0; bath_F < 700.0; bath_F += 25.0)
        for (double time_s = 1.0; time_s <= 7200.0; time_s *= 1.5) {
            oxt_temper found = dip_of(fahrenheit(bath_F), time_s, &options);
            double added = found.total_parameter - found.last_parameter;
            cr_assert_eq(found.softens, found.parameter > found.last_parameter);
            if (!found.softens)
                cr_assert(added >= 0.0 && added <= fahrenheit(bath_F) * log10(2.0) + 1e-9);
        }
    oxt_temper same = dip_of(fahrenheit(400.0), 7200.0, &options);
    cr_assert_eq(same.softens, 0);
    CLOSE(same.total_parameter - same.last_parameter, fahrenheit(400.0) * log10(2.0), 1e-9);
}

Test(temper, what_is_not_stated_is_not_known)
{
    oxt_temper_options options = OXT_TEMPER_OPTIONS_INIT;
    oxt_temper found = dip_of(fahrenheit(600.0), 300.0, NULL);
    cr_assert_eq(found.softens, -1);
    cr_assert_eq(of_part(found.cautions), OXT_CAUTION_SOFTENS);
    cr_assert(isnan(found.last_parameter) && isnan(found.hardness_before_HRC) &&
              isnan(found.hardness_after_HRC));
    cr_assert(found.total_parameter == found.parameter);
    options.steel = "1095";
    found = dip_of(fahrenheit(600.0), 7200.0, &options);
    cr_assert(isnan(found.hardness_before_HRC));
    NEAR(found.hardness_after_HRC, 52.0, 1e-9);
    found = dip_of(fahrenheit(350.0), 60.0, &options);
    cr_assert(isnan(found.hardness_after_HRC), "no table covers it");
    options.constant = 15.0; /* of the rows too */
    found = dip_of(fahrenheit(600.0), 7200.0, &options);
    NEAR(found.hardness_after_HRC, 52.0, 1e-9);
}

/* Shortest hold that the rule was tried on, 10 s: from memory of the paper. */
Test(temper, a_dip_below_the_floor_is_flagged)
{
    oxt_error error = OXT_ERROR_INIT;
    cr_assert_eq(dip_of(600.0, 9.99, NULL).below_floor, 1);
    cr_assert_eq(dip_of(600.0, 10.0, NULL).below_floor, 0);
    const double short_s[] = { 0.0, 9.5, 9.6, 30.0 }, long_s[] = { 0.0, 10.5, 10.6, 30.0 };
    const double temperature_K[] = { 600.0, 600.0, 300.0, 300.0 };
    oxt_temper found = OXT_TEMPER_INIT;
    oxt_history *brief = history_of(4, short_s, temperature_K);
    oxt_history *lasting = history_of(4, long_s, temperature_K);
    OK(oxt_temper_history(brief, NULL, &found, &error));
    cr_assert_eq(found.below_floor, 1);
    OK(oxt_temper_history(lasting, NULL, &found, &error));
    cr_assert_eq(found.below_floor, 0);
    oxt_history_free(brief);
    oxt_history_free(lasting);
}

/* A history of one temperature is a dip. */
Test(temper, a_stay_as_a_history)
{
    oxt_error error = OXT_ERROR_INIT;
    const double time_s[] = { 10.0, 310.0 }, bath_K[] = { 590.0, 590.0 };
    const oxt_temper_options options = spring();
    oxt_temper dip = dip_of(590.0, 300.0, &options), found = OXT_TEMPER_INIT;
    oxt_history *stay = history_of(2, time_s, bath_K);
    OK(oxt_temper_history(stay, &options, &found, &error));
    CLOSE(found.parameter, dip.parameter, 1e-13);
    CLOSE(found.total_parameter, dip.total_parameter, 1e-13);
    NEAR(found.hardness_after_HRC, dip.hardness_after_HRC, 1e-9);
    cr_assert(found.softens == dip.softens && found.cautions == of_part(dip.cautions));
    oxt_history_free(stay);
}

Test(temper, options_that_are_none)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_temper found = OXT_TEMPER_INIT;
    oxt_temper_options options = spring();
    options.steel = "O1";
    FAILS(oxt_temper_dip(600.0, 60.0, &options, &found, &error), OXT_EARG);
    SAYS("'O1'");
    options = spring();
    options.last_s = 0.0;
    FAILS(oxt_temper_dip(600.0, 60.0, &options, &found, &error), OXT_EDOMAIN);
    SAYS("last_s");
    options = spring();
    options.last_K = 0.0;
    FAILS(oxt_temper_dip(600.0, 60.0, &options, &found, &error), OXT_EDOMAIN);
    SAYS("last_K");
    options = spring();
    options.constant = 0.0;
    FAILS(oxt_temper_dip(600.0, 60.0, &options, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_dip(300.0, 60.0, NULL, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_dip(600.0, 0.0, NULL, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_temper_history(NULL, NULL, &found, &error), OXT_EARG);
}

/* ---- the report ---- */

static const char *report_of(const oxt_temper *temper, oxt_temperature_unit unit)
{
    static char text[4000];
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_temper_report(temper, unit, OXT_CAUTION_BRIEF, text, sizeof text, NULL, &error));
    return unbroken(text);
}

Test(temper, the_report_first_says_whether_it_softens)
{
    const oxt_temper_options options = spring();
    oxt_temper found = dip_of(fahrenheit(600.0), 300.0, &options);
    const char *text = report_of(&found, OXT_UNIT_FAHRENHEIT);
    cr_assert(strncmp(text, "SOFTENS", 7) == 0, "%s", text);
    cr_assert(strstr(text, "DO NOT DIP: ") && strstr(text, "hardness before 58.0 HRC"), "%s", text);
    found = dip_of(fahrenheit(350.0), 5.0, &options);
    text = report_of(&found, OXT_UNIT_CELSIUS);
    cr_assert(strncmp(text, "Does not soften", 15) == 0 && !strstr(text, "DO NOT DIP: "), "%s",
              text);
    cr_assert_not_null(strstr(text, "less than 10 s"));
    found = dip_of(fahrenheit(350.0), 60.0, NULL);
    text = report_of(&found, OXT_UNIT_KELVIN);
    cr_assert(strstr(text, "not known") && strstr(text, "Cautions"), "%s", text);
    oxt_error error = OXT_ERROR_INIT;
    found.parameter = NAN;
    FAILS(oxt_temper_report(&found, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EDOMAIN);
    FAILS(oxt_temper_report(NULL, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, NULL, 0, NULL, &error),
          OXT_EARG);
}
