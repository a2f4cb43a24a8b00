/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A logged temperature: what is taken for one, and the exposure that it gives. */
#include <stdlib.h>
#include <string.h>

#include "support.h"

static oxt_history *history_of(size_t n, const double *time_s, const double *temperature_K)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *made;
    OK(oxt_history_new(&made, n, time_s, sizeof(double), temperature_K, sizeof(double), 0.0,
                       &error));
    return made;
}

static double exposure(const oxt_history *history, const oxt_growth *growth, double from_s,
                       double to_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_history_exposure(history, growth, from_s, to_s, &found, &error));
    return found;
}

/* A dip as a logger sees it: warm-up, a bath that wanders, lift, cooling in air. */
static const double log_s[] = { -2.0, 0.0, 5.0, 12.5, 20.0, 50.0, 80.0, 81.0, 140.0 };
static const double log_K[] = { 293.15, 293.15, 480.0, 570.0, 588.0, 590.5, 586.0, 560.0, 310.0 };
enum { LOG = sizeof log_s / sizeof log_s[0] };

/* ---- exposure ---- */

/* Definition: k(T) t. */
Test(history, one_temperature_is_a_plain_stay)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    const double time_s[] = { 0.0, 7.0, 90.0 }, bath_K = 600.0;
    oxt_history *stay;
    OK(oxt_history_new(&stay, 3, time_s, sizeof(double), &bath_K, 0, 0.0, &error));
    double expected;
    OK(oxt_rate(&growth, bath_K, &expected, &error));
    CLOSE(exposure(stay, &growth, 0.0, 90.0), 90.0 * expected, 1e-14);
    oxt_history_free(stay);
}

/* Over a straight ramp from T1 to T2, with u = 1/T, the mean of exp(-a/T) is the integral of
 * exp(-a u)/u^2 du over T2 - T1, which parts and the exponential integral give:
 * F(T) = T exp(-a/T) - a E1(a/T). Abramowitz and Stegun, 5.1.1 and 5.1.26. */
static double ramp_integral(double T, double a)
{
    /* E1 by its continued fraction, 5.1.22, which has converged for the arguments used here */
    double z = a / T, fraction = 0.0;
    for (int n = 400; n > 0; n--)
        fraction = n / (1.0 + n / (z + fraction));
    return T * exp(-z) - a * exp(-z) / (z + fraction);
}

Test(history, a_ramp_has_its_exact_integral)
{
    const double ends_K[][2] = {
        { 293.15, 588.7 }, { 588.7, 293.15 }, { 200.0, 1300.0 }, { 588.0, 588.7 }, { 600.0, 599.0 }
    };
    const double time_s[] = { 10.0, 70.0 };
    for (size_t i = 0; i < sizeof ends_K / sizeof ends_K[0]; i++)
        for (double Q = 2e4; Q < 1e6; Q *= 1.7) {
            /* the exact form loses digits in the difference when the ramp is short */
            double a = Q / OXT_GAS_CONSTANT_J_PER_MOL_K, T1 = ends_K[i][0], T2 = ends_K[i][1];
            const oxt_growth growth = growth_of(30.0, fmax(T1, T2), Q);
            double scale = 30.0 * exp(a / fmax(T1, T2));
            double expected = 60.0 * scale * (ramp_integral(T2, a) - ramp_integral(T1, a)) /
                              (T2 - T1);
            oxt_history *ramp = history_of(2, time_s, ends_K[i]);
            CLOSE(exposure(ramp, &growth, 10.0, 70.0), expected,
                  fabs(T2 - T1) > 100.0 ? 1e-11 : 1e-9);
            oxt_history_free(ramp);
        }
}

/* Whatever the activation energy: none at all, and one so high that only the hottest moment counts,
 * where k falls as exp(-b t) with b = Q/(R T^2) times the slope, to first order in 1/(Q/(R T)). */
Test(history, no_activation_energy_and_a_very_high_one)
{
    const double time_s[] = { 0.0, 100.0 }, temperature_K[] = { 300.0, 600.0 };
    oxt_history *ramp = history_of(2, time_s, temperature_K);
    const oxt_growth flat = growth_of(30.0, 588.7, 0.0);
    CLOSE(exposure(ramp, &flat, 0.0, 100.0), 3000.0, 1e-14);
    for (double Q = 1e6; Q <= 1e7; Q *= 10.0) {
        const oxt_growth steep = growth_of(30.0, 600.0, Q);
        double reduced = Q / (OXT_GAS_CONSTANT_J_PER_MOL_K * 600.0);
        CLOSE(exposure(ramp, &steep, 0.0, 100.0), 30.0 * 600.0 / 3.0 / reduced, 3.0 / reduced);
    }
    oxt_history_free(ramp);
}

/* A lumped dip sampled at equal steps: the error of straight pieces goes with the square of the
 * step. */
Test(history, a_sampled_dip_converges_to_the_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_part part = OXT_PART_INIT;
    part.size_m = 0.006;
    double expected, before = 0.0;
    OK(oxt_bath_exposure(&growth, NULL, &part, 0.0, 600.0, 120.0, &expected, &error));
    for (size_t n = 241; n <= 3841; n = 2 * n - 1) {
        double *time_s = malloc(n * sizeof *time_s), *temperature_K = malloc(n * sizeof *time_s);
        cr_assert(time_s && temperature_K);
        for (size_t i = 0; i < n; i++) {
            time_s[i] = 120.0 * (double)i / (double)(n - 1);
            OK(oxt_heat_surface_temperature(&part, 600.0, time_s[i], &temperature_K[i], &error));
        }
        oxt_history *sampled = history_of(n, time_s, temperature_K);
        double off = fabs(exposure(sampled, &growth, 0.0, 120.0) - expected);
        cr_assert_lt(off, 1e-3 * expected);
        if (before > 0.0)
            NEAR(before / off, 4.0, 0.05);
        before = off;
        oxt_history_free(sampled);
        free(time_s);
        free(temperature_K);
    }
}

Test(history, adjoining_stretches_add)
{
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_history *dip = history_of(LOG, log_s, log_K);
    double whole = exposure(dip, &growth, -2.0, 140.0), sum = 0.0;
    for (double from_s = -2.0; from_s < 140.0; from_s += 0.71)
        sum += exposure(dip, &growth, from_s, fmin(from_s + 0.71, 140.0));
    CLOSE(sum, whole, 1e-12);
    cr_assert(exposure(dip, &growth, 33.3, 33.3) == 0.0);
    cr_assert(exposure(dip, &growth, 140.0, 140.0) == 0.0);
    oxt_history_free(dip);
}

Test(history, hotter_is_never_less)
{
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3);
    oxt_history *dip = history_of(LOG, log_s, log_K);
    double whole = exposure(dip, &growth, -2.0, 140.0);
    for (size_t i = 0; i < LOG; i++) {
        double warmer_K[LOG];
        memcpy(warmer_K, log_K, sizeof warmer_K);
        warmer_K[i] += 0.5;
        oxt_history *warmer = history_of(LOG, log_s, warmer_K);
        cr_assert_gt(exposure(warmer, &growth, -2.0, 140.0), whole);
        oxt_history_free(warmer);
    }
    oxt_history_free(dip);
}

/* ---- samples ---- */

Test(history, samples_come_back_and_lines_run_between_them)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *dip = history_of(LOG, log_s, log_K);
    double time_s[LOG], kelvin[2 * LOG], temperature_K;
    size_t count = 0;
    OK(oxt_history_samples(dip, 0, NULL, 0, NULL, 0, &count, &error));
    cr_assert_eq(count, LOG);
    OK(oxt_history_samples(dip, LOG, time_s, sizeof *time_s, kelvin, 2 * sizeof *kelvin, &count,
                           &error));
    for (size_t i = 0; i < LOG; i++) {
        cr_assert(time_s[i] == log_s[i] && kelvin[2 * i] == log_K[i]);
        OK(oxt_history_temperature(dip, log_s[i], &temperature_K, &error));
        cr_assert(temperature_K == log_K[i]);
        if (i > 0) {
            OK(oxt_history_temperature(dip, 0.75 * log_s[i - 1] + 0.25 * log_s[i], &temperature_K,
                                       &error));
            NEAR(temperature_K, 0.75 * log_K[i - 1] + 0.25 * log_K[i], 1e-9);
        }
    }
    FAILS(oxt_history_samples(dip, LOG - 1, time_s, sizeof *time_s, kelvin, sizeof *kelvin, &count,
                              &error),
          OXT_ESPACE);
    FAILS(oxt_history_samples(dip, LOG, time_s, sizeof *time_s, NULL, 0, &count, &error), OXT_EARG);
    FAILS(oxt_history_samples(dip, 0, NULL, 0, NULL, 0, NULL, &error), OXT_EARG);
    FAILS(oxt_history_temperature(dip, -2.1, &temperature_K, &error), OXT_EDOMAIN);
    FAILS(oxt_history_temperature(dip, 140.1, &temperature_K, &error), OXT_EDOMAIN);
    FAILS(oxt_history_temperature(dip, NAN, &temperature_K, &error), OXT_EDOMAIN);
    oxt_history_free(dip);
}

/* The arrays may lie in records, in either order. */
Test(history, strides_are_in_bytes)
{
    oxt_error error = OXT_ERROR_INIT;
    struct {
        double temperature_K;
        int channel;
        double time_s;
    } records[] = { { 300.0, 1, 0.0 }, { 400.0, 1, 1.0 }, { 500.0, 1, 3.0 } };
    oxt_history *forwards, *backwards;
    OK(oxt_history_new(&forwards, 3, &records[0].time_s, sizeof records[0],
                       &records[0].temperature_K, sizeof records[0], 0.0, &error));
    double temperature_K;
    OK(oxt_history_temperature(forwards, 2.0, &temperature_K, &error));
    cr_assert(temperature_K == 450.0);
    oxt_history_free(forwards);
    FAILS(oxt_history_new(&backwards, 3, &records[2].time_s, -(ptrdiff_t)sizeof records[0],
                          &records[2].temperature_K, -(ptrdiff_t)sizeof records[0], 0.0, &error),
          OXT_EDOMAIN);
    cr_assert_null(backwards);
    SAYS("time 1 s of sample 2 is not after 3 s");
}

/* ---- refusals ---- */

static void refuse(size_t place, double time_s, double temperature_K, double gap_s,
                   const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    double times_s[] = { 0.0, 5.0, 12.5, 20.0 }, temperatures_K[] = { 300.0, 400.0, 500.0, 600.0 };
    oxt_history *none = (oxt_history *)&error;
    times_s[place] = time_s;
    temperatures_K[place] = temperature_K;
    FAILS(oxt_history_new(&none, 4, times_s, sizeof(double), temperatures_K, sizeof(double), gap_s,
                          &error),
          OXT_EDOMAIN);
    cr_assert_null(none);
    cr_assert_eq(error.row, place + 1);
    SAYS(words);
}

Test(history, what_is_no_history_is_refused_in_words)
{
    refuse(3, 12.0, 600.0, 0.0, "time 12 s of sample 4 is not after 12.5 s");
    refuse(3, 12.5, 600.0, 0.0, "time 12.5 s of sample 4 is not after 12.5 s");
    refuse(1, NAN, 400.0, 0.0, "time nan s of sample 2");
    refuse(3, INFINITY, 600.0, 0.0, "sample 4");
    refuse(0, -2e12, 300.0, 0.0, "sample 1");
    refuse(1, 5.0, 199.9, 0.0, "temperature 199.9 K of sample 2");
    refuse(1, 5.0, 1300.1, 0.0, "1300 K");
    refuse(2, 12.5, NAN, 0.0, "temperature nan K of sample 3");
    refuse(3, 20.5, 600.0, 7.75, "8 s pass between sample 3 and sample 4, more than 7.75 s");
}

Test(history, arguments_that_are_none)
{
    oxt_error error = OXT_ERROR_INIT;
    const oxt_growth growth = growth_of(30.0, 588.7, 76e3), hot = growth_of(1e300, 300.0, 1e6);
    oxt_history *none, *dip = history_of(LOG, log_s, log_K);
    double found;
    FAILS(oxt_history_new(&none, 1, log_s, 8, log_K, 8, 0.0, &error), OXT_EFEW);
    FAILS(oxt_history_new(&none, 2, NULL, 8, log_K, 8, 0.0, &error), OXT_EARG);
    FAILS(oxt_history_new(&none, 2, log_s, 8, NULL, 8, 0.0, &error), OXT_EARG);
    FAILS(oxt_history_new(&none, 2, log_s, 8, log_K, 8, -1.0, &error), OXT_EDOMAIN);
    FAILS(oxt_history_exposure(dip, &growth, -3.0, 1.0, &found, &error), OXT_EDOMAIN);
    SAYS("from_s");
    FAILS(oxt_history_exposure(dip, &growth, 10.0, 9.0, &found, &error), OXT_EDOMAIN);
    SAYS("to_s");
    FAILS(oxt_history_exposure(dip, &growth, 10.0, 141.0, &found, &error), OXT_EDOMAIN);
    FAILS(oxt_history_exposure(dip, &hot, 10.0, 90.0, &found, &error), OXT_EDOMAIN);
    SAYS("growth constants");
    FAILS(oxt_history_exposure(dip, NULL, 10.0, 90.0, &found, &error), OXT_EARG);
    oxt_history_free(dip);
}

/* ---- CSV ---- */

static oxt_history *read_text(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *made;
    oxt_faults *faults = (oxt_faults *)&error;
    OK(oxt_history_read_csv(&made, NULL, text, strlen(text), 0.0, &faults, &error));
    cr_assert_null(faults);
    return made;
}

/* 650 F is 616.483 K (NIST SP 811, appendix B.9: T/K = (t/F + 459.67)/1.8). */
Test(history, columns_in_any_order_and_case_with_units_in_the_header_or_the_cell)
{
    static const char *const texts[] = {
        "time_s,temperature_F\n30,68\n90,650\n",
        "channel,TEMPERATURE_f,Time_Min\n1,68,0.5\n1,650,1.5\n",
        ("temperature (\xC2\xB0"
         "C),time [h]\n20,0.0083333333333333333\n343.33333333333333,0.025\n"),
        "# from the logger\n\ntime,temperature\n30 s,68 F\n# lift\n1:30,650 F\n",
        "time_s,temperature_K\r\n30,293.15\r\n90,616.48333333333333\r\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_history *made = read_text(texts[i]);
        double time_s[2], temperature_K[2];
        size_t count = 0;
        OK(oxt_history_samples(made, 2, time_s, sizeof *time_s, temperature_K,
                               sizeof *temperature_K, &count, &error));
        cr_assert_eq(count, 2, "%s", texts[i]);
        NEAR(time_s[0], 30.0, 1e-9);
        NEAR(temperature_K[0], 293.15, 1e-9);
        NEAR(time_s[1], 90.0, 1e-9);
        NEAR(temperature_K[1], (650.0 + 459.67) / 1.8, 1e-9);
        oxt_history_free(made);
    }
}

typedef struct {
    size_t line;
    const char *column, *found, *expected;
} wanted_fault;

static void expect_faults(const char *text, double gap_s, size_t count, const wanted_fault *wanted)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_history *none = (oxt_history *)&error;
    oxt_faults *faults;
    FAILS(oxt_history_read_csv(&none, NULL, text, strlen(text), gap_s, &faults, &error),
          OXT_EPARSE);
    cr_assert_null(none);
    cr_assert_eq(oxt_faults_count(faults), count, "%s", error.text);
    for (size_t i = 0; i < count; i++) {
        oxt_fault fault = OXT_FAULT_INIT;
        OK(oxt_faults_get(faults, i, &fault, &error));
        cr_assert_eq(fault.line, wanted[i].line, "%s", fault.expected);
        cr_assert_str_eq(fault.column, wanted[i].column);
        cr_assert_str_eq(fault.found, wanted[i].found);
        cr_assert_not_null(strstr(fault.expected, wanted[i].expected), "%s", fault.expected);
    }
    oxt_faults_free(faults);
}

/* One slip is one fault: the time after it is held against the last good one, and a gap is told only
 * between two good lines that follow each other. */
Test(history, all_faults_at_once)
{
    static const wanted_fault wanted[] = {
        { 4, "time_s", "2", "a time after 5 s" },
        { 5, "temperature_C", "hot", "written as a plain number" },
        { 7, "time_s", "", "written as a plain number" },
        { 9, "time_s", "60", "a time at most 20 s after 30 s" },
        { 10, "temperature_C", "1500", "1300 K" },
    };
    expect_faults("time_s,temperature_C\n0,20\n5,200\n2,250\n8,hot\n9,300\n,310\n30,315\n60,300\n"
                  "70,1500\n",
                  20.0, 5, wanted);
    static const wanted_fault words[] = {
        { 2, "time", "30", "written with its unit, such as 90 s or 1:30" },
        { 3, "temperature", "650", "written with its unit, such as 650 F or 343 C" },
    };
    expect_faults("time,temperature\n30,68 F\n1:00,650\n2:00,650 F\n3:00,70 F\n", 0.0, 2, words);
}

Test(history, a_file_that_is_no_history)
{
    static const wanted_fault no_columns[] = { { 1, "time", "seconds", "did you mean time_s?" },
                                               { 1, "temperature", "bath_F",
                                                 "did you mean temperature_F?" } };
    expect_faults("bath_F,seconds\n1,2\n3,4\n", 0.0, 2, no_columns);
    static const wanted_fault empty[] = { { 0, "", "", "a header line and at least two samples" } };
    expect_faults("", 0.0, 1, empty);
    static const wanted_fault only[] = { { 0, "", "only a header", "at least two samples below" } };
    expect_faults("time_s,temperature_C\n", 0.0, 1, only);
    static const wanted_fault one[] = { { 0, "", "a header and too few lines", "two samples" } };
    expect_faults("time_s,temperature_C\n0,20\n", 0.0, 1, one);
    expect_faults("time_s;temperature_C\n0;20\n", 0.0, 1, one);
}

Test(history, a_file_is_read_as_its_text)
{
    oxt_error error = OXT_ERROR_INIT;
    static const char text[] = "time_s,temperature_C\n0,20\n60,300\n";
    oxt_history *made, *none;
    oxt_faults *faults;
    const char *path = scratch_file("history.csv", text, sizeof text - 1);
    OK(oxt_history_read_csv(&made, path, NULL, 0, 60.0, &faults, &error));
    size_t count = 0;
    OK(oxt_history_samples(made, 0, NULL, 0, NULL, 0, &count, &error));
    cr_assert_eq(count, 2);
    oxt_history_free(made);
    FAILS(oxt_history_read_csv(&none, path, NULL, 0, 59.0, &faults, &error), OXT_EPARSE);
    cr_assert_null(none);
    SAYS("history.csv");
    oxt_faults_free(faults);
    FAILS(oxt_history_read_csv(&none, path, NULL, 0, -1.0, &faults, &error), OXT_EDOMAIN);
    cr_assert_null(faults);
    FAILS(oxt_history_read_csv(&none, NULL, NULL, 0, 0.0, NULL, &error), OXT_EARG);
    FAILS(oxt_history_read_csv(NULL, NULL, text, 3, 0.0, NULL, &error), OXT_EARG);
}
