/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <string.h>

#include "base/internal.h"
#include "support.h"

typedef oxt_status (*parser)(const char *, double *, oxt_error *);

/* expected is a number for OXT_OK; `says` is part of the message otherwise. */
typedef struct {
    const char *text;
    oxt_status status;
    double expected;
    const char *says;
} parse_case;

#define BAD NAN

static void check_cases(parser parse, const parse_case *cases, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        oxt_error error = OXT_ERROR_INIT;
        double value = -7.0;
        oxt_status status = parse(cases[i].text, &value, &error);
        cr_assert_eq(status, cases[i].status, "'%s' gave %s: %s", cases[i].text,
                     oxt_status_name(status), error.text);
        if (status == OXT_OK) {
            cr_assert(fabs(value - cases[i].expected) <= 1e-14 * fabs(cases[i].expected),
                      "'%s' is %.17g, expected %.17g", cases[i].text, value, cases[i].expected);
        } else {
            SAYS(cases[i].says);
            cr_assert_eq(value, -7.0, "'%s' wrote its result", cases[i].text);
        }
    }
}

#define CHECK_CASES(parse, cases) check_cases(parse, cases, sizeof(cases) / sizeof(cases)[0])

/* 0 C = 273.15 K, F = 9/5 C + 32: SI Brochure (9th edition) 2.3.1 and NIST SP 811, B.8. The numbers
 * follow from these definitions; the spellings are a contract. */
Test(units, temperatures)
{
    static const parse_case cases[] = {
        { "0 C", OXT_OK, 273.15, NULL },
        { "212 F", OXT_OK, 373.15, NULL },
        { "-40 C", OXT_OK, 233.15, NULL },
        { "-40 F", OXT_OK, 233.15, NULL },
        { "32F", OXT_OK, 273.15, NULL },
        { "650 F", OXT_OK, 273.15 + (650.0 - 32.0) / 1.8, NULL },
        { "650 deg F", OXT_OK, 273.15 + (650.0 - 32.0) / 1.8, NULL },
        { "650degrees fahrenheit", OXT_OK, 273.15 + (650.0 - 32.0) / 1.8, NULL },
        { "  343.5\tcelsius  ", OXT_OK, 616.65, NULL },
        { "343.5\xC2\xB0"
          "c",
          OXT_OK, 616.65, NULL },
        { "616.65 Kelvin", OXT_OK, 616.65, NULL },
        { "+.5e3 k", OXT_OK, 500.0, NULL },
        { "", OXT_EPARSE, BAD, "expected a temperature such as" },
        { "F", OXT_EPARSE, BAD, "'F'" },
        { "hot", OXT_EPARSE, BAD, "'hot'" },
        { "650,5 F", OXT_EPARSE, BAD,
          "cannot read '650,5 F', expected a decimal point in place of the comma" },
        { "1,250 F", OXT_EPARSE, BAD, "no comma in thousands" },
        { "650, F", OXT_EUNIT, BAD, "F, C or K" },
        { "nan C", OXT_EPARSE, BAD, "nan" },
        { "inf K", OXT_EPARSE, BAD, "inf" },
        { "0x300 K", OXT_EPARSE, BAD, "0x300" },
        { "1e999 K", OXT_EPARSE, BAD, "1e999" },
        { "650", OXT_EUNIT, BAD, "F, C or K" },
        { "650 deg", OXT_EUNIT, BAD, "F, C or K" },
        { "650 R", OXT_EUNIT, BAD, "'650 R'" },
        { "650 F.", OXT_EUNIT, BAD, "needs a unit" },
        { "343,5 C", OXT_EPARSE, BAD, "'343,5 C'" },
        { "650 F 20", OXT_EUNIT, BAD, "needs a unit" },
        { "650 of the old and very long scale", OXT_EUNIT, BAD, "needs a unit" },
        { "0 K", OXT_EDOMAIN, BAD, "absolute zero" },
        { "-273.15 C", OXT_EDOMAIN, BAD, "absolute zero" },
        { "-459.67 F", OXT_EDOMAIN, BAD, "absolute zero" },
        { NULL, OXT_EARG, BAD, "NULL" },
    };
    CHECK_CASES(oxt_parse_temperature, cases);
}

/* An interval of temperature has the same value in C as in K, and 1.8 times it in F: NIST SP 811 (2008),
 * section 8.5. */
Test(units, temperature_differences)
{
    static const parse_case cases[] = {
        { "5 K", OXT_OK, 5.0, NULL },
        { "5 C", OXT_OK, 5.0, NULL },
        { "9 F", OXT_OK, 5.0, NULL },
        { "-9 deg F", OXT_OK, -5.0, NULL },
        { "0 F", OXT_OK, 0.0, NULL },
        { "2.5\xC2\xB0"
          "c",
          OXT_OK, 2.5, NULL },
        { " 1e3 kelvin ", OXT_OK, 1000.0, NULL },
        { "-300 C", OXT_OK, -300.0, NULL },
        { "", OXT_EPARSE, BAD, "expected a difference such as" },
        { "F", OXT_EPARSE, BAD, "'F'" },
        { "nan K", OXT_EPARSE, BAD, "nan" },
        { "5", OXT_EUNIT, BAD, "F, C or K" },
        { "5 s", OXT_EUNIT, BAD, "'5 s'" },
        { "5 F 2", OXT_EUNIT, BAD, "needs a unit" },
        { NULL, OXT_EARG, BAD, "NULL" },
    };
    CHECK_CASES(oxt_parse_temperature_difference, cases);
}

/* A difference is that of two temperatures: the zero of the scale does not enter. */
Test(units, differences_of_temperatures_that_were_read)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[40];
    double low, high, difference;
    for (int scale = 0; scale < 3; scale++)
        for (int step = -400; step <= 400; step += 37) {
            char letter = "KCF"[scale];
            sprintf(text, "%d %c", 700 + step, letter);
            OK(oxt_parse_temperature(text, &high, &error));
            sprintf(text, "700 %c", letter);
            OK(oxt_parse_temperature(text, &low, &error));
            sprintf(text, "%d %c", step, letter);
            OK(oxt_parse_temperature_difference(text, &difference, &error));
            NEAR(difference, high - low, 1e-10);
        }
}

/* 1 min = 60 s, 1 h = 3600 s: SI Brochure, table 8. */
Test(units, durations)
{
    static const parse_case cases[] = {
        { "90 s", OXT_OK, 90.0, NULL },
        { "90S", OXT_OK, 90.0, NULL },
        { "1:30", OXT_OK, 90.0, NULL },
        { " 01:02:30 ", OXT_OK, 3750.0, NULL },
        { "0:00", OXT_OK, 0.0, NULL },
        { "100:00", OXT_OK, 6000.0, NULL },
        { "1:30.5", OXT_OK, 90.5, NULL },
        { "2 min", OXT_OK, 120.0, NULL },
        { "1 min 30 s", OXT_OK, 90.0, NULL },
        { "1h30min15sec", OXT_OK, 5415.0, NULL },
        { "0.5 h", OXT_OK, 1800.0, NULL },
        { "1 hour 1 minute 1 second", OXT_OK, 3661.0, NULL },
        { "0 s", OXT_OK, 0.0, NULL },
        { "", OXT_EPARSE, BAD, "expected a duration such as" },
        { "soon", OXT_EPARSE, BAD, "'soon'" },
        { "1:60", OXT_EPARSE, BAD, "'1:60'" },
        { "1:75:00", OXT_EPARSE, BAD, "'1:75:00'" },
        { "1.5:00", OXT_EPARSE, BAD, "'1.5:00'" },
        { "1:", OXT_EPARSE, BAD, "'1:'" },
        { ":30", OXT_EPARSE, BAD, "':30'" },
        { "-1:30", OXT_EPARSE, BAD, "'-1:30'" },
        { "1:-30", OXT_EPARSE, BAD, "'1:-30'" },
        { "1:02:03:04", OXT_EPARSE, BAD, "1:02:03:04" },
        { "1:30 s", OXT_EPARSE, BAD, "'1:30 s'" },
        { "90", OXT_EUNIT, BAD, "s, min or h" },
        { "1 min 30", OXT_EUNIT, BAD, "s, min or h" },
        { "3 days", OXT_EUNIT, BAD, "'3 days'" },
        { "1,5 min", OXT_EPARSE, BAD, "a decimal point in place of the comma" },
        { "1:5", OXT_EPARSE, BAD, "'1:5', expected two digits after the colon, such as 1:05" },
        { "1:5:00", OXT_EPARSE, BAD, "two digits after the colon" },
        { "1:02:3", OXT_EPARSE, BAD, "two digits after the colon" },
        { "1:5.5", OXT_EPARSE, BAD, "two digits after the colon" },
        { "1:005", OXT_EPARSE, BAD, "expected a duration such as" },
        { "-90 s", OXT_EDOMAIN, BAD, "negative" },
        { "1e308 h", OXT_EDOMAIN, BAD, "finite" },
        { "1e308 s 1e308 s", OXT_EDOMAIN, BAD, "finite" },
        { "1e308:00:00", OXT_EDOMAIN, BAD, "finite" },
        { NULL, OXT_EARG, BAD, "NULL" },
    };
    CHECK_CASES(oxt_parse_duration, cases);
}

/* 1 in = 25.4 mm exactly: NIST SP 811, B.8. */
Test(units, lengths)
{
    static const parse_case cases[] = {
        { "1 in", OXT_OK, 0.0254, NULL },
        { "25.4 mm", OXT_OK, 0.0254, NULL },
        { "2.54cm", OXT_OK, 0.0254, NULL },
        { "1/4 in", OXT_OK, 0.00635, NULL },
        { "1/4\"", OXT_OK, 0.00635, NULL },
        { "0.25 Inches", OXT_OK, 0.00635, NULL },
        { "1 1/4 inch", OXT_OK, 0.03175, NULL },
        { "60 nm", OXT_OK, 6e-8, NULL },
        { "60 um", OXT_OK, 6e-5, NULL },
        { "60 \xC2\xB5m", OXT_OK, 6e-5, NULL },
        { "60 \xCE\xBCm", OXT_OK, 6e-5, NULL },
        { "2 m", OXT_OK, 2.0, NULL },
        { "0 mm", OXT_OK, 0.0, NULL },
        { "", OXT_EPARSE, BAD, "expected a length such as" },
        { "thick", OXT_EPARSE, BAD, "'thick'" },
        { "1/0 in", OXT_EPARSE, BAD, "'1/0 in'" },
        { "1/ in", OXT_EPARSE, BAD, "'1/ in'" },
        { "1/-4 in", OXT_EPARSE, BAD, "'1/-4 in'" },
        { "1 1 in", OXT_EPARSE, BAD, "'1 1 in'" },
        { "6", OXT_EUNIT, BAD, "mm, cm, m, um, nm or in" },
        { "2 ft", OXT_EPARSE, BAD, "'2 ft', expected inches in place of feet; 1 ft is 12 in" },
        { "1 Foot", OXT_EPARSE, BAD, "1 ft is 12 in" },
        { "1/2'", OXT_EPARSE, BAD, "1 ft is 12 in" },
        { "0,25 in", OXT_EPARSE, BAD, "a decimal point in place of the comma" },
        { "6 furlong", OXT_EUNIT, BAD, "'6 furlong'" },
        { "6 mm 2", OXT_EUNIT, BAD, "'6 mm 2'" },
        { "-6 mm", OXT_EDOMAIN, BAD, "negative" },
        { "1/1e-309 in", OXT_EDOMAIN, BAD, "finite" },
        { NULL, OXT_EARG, BAD, "NULL" },
    };
    CHECK_CASES(oxt_parse_length, cases);
}

/* One equals the other to the last bit, because neither is rounded on the way (NIST SP 811, B.8). */
Test(units, inch_and_millimetre_are_exact)
{
    oxt_error error = OXT_ERROR_INIT;
    double inch, millimetre, micrometre, nanometre;
    OK(oxt_parse_length("1 in", &inch, &error));
    OK(oxt_parse_length("25.4 mm", &millimetre, &error));
    cr_assert_eq(inch, 0.0254);
    cr_assert_eq(millimetre, 0.0254);
    OK(oxt_parse_length("1 um", &micrometre, &error));
    OK(oxt_parse_length("1000 nm", &nanometre, &error));
    cr_assert_eq(micrometre, 1e-6);
    cr_assert_eq(nanometre, 1e-6);
}

/* ---- writing ---- */

typedef struct {
    double value;
    int unit;
    const char *expected;
} format_case;

/* Contract: at most one decimal, no trailing zeros, a point whatever the locale. */
Test(units, written_temperatures)
{
    static const format_case cases[] = {
        { 616.483333, OXT_UNIT_FAHRENHEIT, "650 F" }, { 616.483333, OXT_UNIT_CELSIUS, "343.3 C" },
        { 616.483333, OXT_UNIT_KELVIN, "616.5 K" },   { 273.15, OXT_UNIT_CELSIUS, "0 C" },
        { 273.14, OXT_UNIT_CELSIUS, "0 C" },          { 255.36, OXT_UNIT_FAHRENHEIT, "0 F" },
        { 233.15, OXT_UNIT_FAHRENHEIT, "-40 F" },     { 233.15, OXT_UNIT_CELSIUS, "-40 C" },
        { 1273.15, OXT_UNIT_CELSIUS, "1000 C" },
    };
    oxt_error error = OXT_ERROR_INIT;
    char text[40];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        OK(oxt_format_temperature(cases[i].value, (oxt_temperature_unit)cases[i].unit, text,
                                  sizeof text, NULL, &error));
        cr_assert_str_eq(text, cases[i].expected);
    }
    FAILS(oxt_format_temperature(0.0, OXT_UNIT_KELVIN, text, sizeof text, NULL, &error),
          OXT_EDOMAIN);
    FAILS(oxt_format_temperature(NAN, OXT_UNIT_KELVIN, text, sizeof text, NULL, &error),
          OXT_EDOMAIN);
    FAILS(oxt_format_temperature(300.0, (oxt_temperature_unit)3, text, sizeof text, NULL, &error),
          OXT_EARG);
    cr_assert_str_eq(error.parameter, "unit");
}

/* Contract: as read off a clock; the borders lie where rounding carries over. */
Test(units, written_durations)
{
    static const format_case cases[] = {
        { 0.0, 0, "0 s" },
        { 0.04, 0, "0 s" },
        { 8.4, 0, "8.4 s" },
        { 9.0, 0, "9 s" },
        { 9.949, 0, "9.9 s" },
        { 9.951, 0, "10 s" },
        { 58.4, 0, "58 s" },
        { 59.4999, 0, "59 s" },
        { 59.5, 0, "1:00" },
        { 90.0, 0, "1:30" },
        { 3599.4, 0, "59:59" },
        { 3599.5, 0, "1:00:00" },
        { 3750.0, 0, "1:02:30" },
        { 360000.0, 0, "100:00:00" },
        { 1e6, 0, "277:46:40" },
        { 1000000.1, 0, "over 11 days" },
        { 2.7e46, 0, "over 11 days" },
        { INFINITY, 0, "over 11 days" },
    };
    oxt_error error = OXT_ERROR_INIT;
    char text[40];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        OK(oxt_format_duration(cases[i].value, text, sizeof text, NULL, &error));
        cr_assert_str_eq(text, cases[i].expected);
    }
    FAILS(oxt_format_duration(-0.1, text, sizeof text, NULL, &error), OXT_EDOMAIN);
    SAYS("-0.1");
    FAILS(oxt_format_duration(NAN, text, sizeof text, NULL, &error), OXT_EDOMAIN);
}

Test(units, written_lengths)
{
    static const format_case cases[] = {
        { 0.00635, OXT_UNIT_MILLIMETRE, "6.35 mm" },
        { 0.00635, OXT_UNIT_INCH, "0.25 in" },
        { 0.003175, OXT_UNIT_INCH, "0.125 in" },
        { 0.0254, OXT_UNIT_MILLIMETRE, "25.4 mm" },
        { 0.0, OXT_UNIT_INCH, "0 in" },
        { 1e-7, OXT_UNIT_MILLIMETRE, "0 mm" },
        { 2.0, OXT_UNIT_MILLIMETRE, "2000 mm" },
    };
    oxt_error error = OXT_ERROR_INIT;
    char text[40];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        OK(oxt_format_length(cases[i].value, (oxt_length_unit)cases[i].unit, text, sizeof text,
                             NULL, &error));
        cr_assert_str_eq(text, cases[i].expected);
    }
    FAILS(oxt_format_length(-1e-3, OXT_UNIT_INCH, text, sizeof text, NULL, &error), OXT_EDOMAIN);
    FAILS(oxt_format_length(1e-3, (oxt_length_unit)2, text, sizeof text, NULL, &error), OXT_EARG);
}

/* What is written reads back to within half a unit of the last digit, and writes the same again. */
Test(units, temperatures_round_trip)
{
    static const double half_digit_K[] = { 0.05, 0.05, 0.05 / 1.8 };
    oxt_error error = OXT_ERROR_INIT;
    char text[40], again[40];
    double back;
    for (double kelvin = 200.0; kelvin < 1500.0; kelvin += 0.37)
        for (int unit = OXT_UNIT_KELVIN; unit <= OXT_UNIT_FAHRENHEIT; unit++) {
            OK(oxt_format_temperature(kelvin, (oxt_temperature_unit)unit, text, 40, NULL, &error));
            OK(oxt_parse_temperature(text, &back, &error));
            NEAR(back, kelvin, half_digit_K[unit] + 1e-9);
            OK(oxt_format_temperature(back, (oxt_temperature_unit)unit, again, 40, NULL, &error));
            cr_assert_str_eq(again, text);
        }
}

Test(units, durations_round_trip)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[40], again[40];
    double back;
    for (double time_s = 0.0; time_s < 20000.0; time_s = 1.003 * time_s + 0.013) {
        OK(oxt_format_duration(time_s, text, 40, NULL, &error));
        OK(oxt_parse_duration(text, &back, &error));
        NEAR(back, time_s, (time_s < 9.95 ? 0.05 : 0.5) + 1e-9);
        OK(oxt_format_duration(back, again, 40, NULL, &error));
        cr_assert_str_eq(again, text);
    }
}

Test(units, lengths_round_trip)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[40], again[40];
    double back;
    for (double length_m = 0.0; length_m < 1.0; length_m = 1.01 * length_m + 1.7e-5)
        for (int unit = OXT_UNIT_MILLIMETRE; unit <= OXT_UNIT_INCH; unit++) {
            OK(oxt_format_length(length_m, (oxt_length_unit)unit, text, 40, NULL, &error));
            OK(oxt_parse_length(text, &back, &error));
            NEAR(back, length_m, 0.0005 * (unit == OXT_UNIT_INCH ? 0.0254 : 1e-3) + 1e-12);
            OK(oxt_format_length(back, (oxt_length_unit)unit, again, 40, NULL, &error));
            cr_assert_str_eq(again, text);
        }
}

/* A change is never told as none with a direction, and a small one with a digit that counts. */
Test(units, changes_in_words)
{
    static const char *const words[] = { "faster", "fast", "slower", "slow" };
    static const struct {
        double ratio;
        const char *whole, *tenths;
    } cases[] = { { 1.0, "as fast", "as fast" },
                  { 1.0004, "as fast", "as fast" },
                  { 0.9996, "as fast", "as fast" },
                  { 1.004, "0.4 % faster", "0.4 % faster" },
                  { 0.992, "0.8 % slower", "0.8 % slower" },
                  { 0.99, "1 % slower", "1.0 % slower" },
                  { 1.264, "26 % faster", "26.4 % faster" },
                  { 3.1, "3.1 times as fast", "3.1 times as fast" },
                  { 0.09, "11 times as slow", "11 times as slow" } };
    for (size_t i = 0; i < OXT_I_COUNT(cases); i++) {
        cr_assert_str_eq(oxt_i_show_change(cases[i].ratio, 0, words).text, cases[i].whole);
        cr_assert_str_eq(oxt_i_show_change(cases[i].ratio, 1, words).text, cases[i].tenths);
    }
}

/* A text that does not fit is cut, but ends in NUL and nothing beyond is touched. */
Test(units, text_that_does_not_fit_is_cut)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[8];
    size_t needed = 0;
    OK(oxt_format_temperature(616.483333, OXT_UNIT_CELSIUS, NULL, 0, &needed, &error));
    cr_assert_eq(needed, strlen("343.3 C"));
    for (size_t capacity = 1; capacity <= needed; capacity++) {
        memset(text, '#', sizeof text);
        FAILS(oxt_format_temperature(616.483333, OXT_UNIT_CELSIUS, text, capacity, &needed, &error),
              OXT_ESPACE);
        SAYS("8 bytes");
        cr_assert_eq(needed, 7);
        cr_assert(strlen(text) == capacity - 1 && memcmp(text, "343.3 C", capacity - 1) == 0);
        for (size_t i = capacity; i < sizeof text; i++)
            cr_assert_eq(text[i], '#');
    }
    OK(oxt_format_temperature(616.483333, OXT_UNIT_CELSIUS, text, 8, NULL, &error));
    cr_assert_str_eq(text, "343.3 C");
}
