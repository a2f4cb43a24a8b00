/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a log may tell of a coupon beyond its dip and its colour: every column in every unit, its range,
 * and that only what is stated is written. */
#include <stdio.h>
#include <string.h>

#include "support.h"

#define HEADER "steel,bath_K,time_s,thickness_nm,"
#define ROW "Alder 1,600,90,50,"
#define AT(field) offsetof(oxt_trial, field)

static const size_t numbers[] = { AT(part_size_m),     AT(part_start_K),    AT(transfer_W_per_m2K),
                                  AT(lift_s),          AT(bath_sd_K),       AT(time_sd_s),
                                  AT(thickness_sd_nm), AT(colour_tolerance) };
enum { NUMBERS = sizeof numbers / sizeof numbers[0] };

static double number_at(const oxt_trial *trial, size_t offset)
{
    double value;
    memcpy(&value, (const char *)trial + offset, sizeof value);
    return value;
}

static void set_number(oxt_trial *trial, size_t offset, double value)
{
    memcpy((char *)trial + offset, &value, sizeof value);
}

static oxt_trials *read_text(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_status status = oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, NULL, &error);
    cr_assert_eq(status, OXT_OK, "%s: %s", text, error.text);
    return log;
}

/* The first trial of a text, whose note must be empty: nothing was taken for another column. */
static oxt_trial first_of(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    char note[100];
    oxt_trials *log = read_text(text);
    OK(oxt_trials_get(log, 0, &trial, &error));
    OK(oxt_trials_text(log, "note", 0, note, sizeof note, NULL, &error));
    cr_assert_str_empty(note, "%s", text);
    oxt_trials_free(log);
    return trial;
}

/* ---- reading ---- */

typedef struct {
    const char *column, *cell;
    size_t at;
    double expected;
} reading;

/* 1 in = 25.4 mm, t/C = (t/F - 32)/1.8, and a difference of 1.8 F is one of 1 C or 1 K: NIST SP 811
 * (2008), appendices B.8 and B.9 and section 8.5. */
static const reading readings[] = {
    { "part_mm", "6", AT(part_size_m), 0.006 },
    { "part (mm)", "6", AT(part_size_m), 0.006 },
    { "PART_MM", "6.0", AT(part_size_m), 0.006 },
    { "part_cm", "0.6", AT(part_size_m), 0.006 },
    { "part_in", "0.25", AT(part_size_m), 0.00635 },
    { "part [in]", "0.25", AT(part_size_m), 0.00635 },
    { "part_m", "0.006", AT(part_size_m), 0.006 },
    { "part", "6 mm", AT(part_size_m), 0.006 },
    { "part", "1/4 in", AT(part_size_m), 0.00635 },
    { "part_mm,start_F", "6,68", AT(part_start_K), 293.15 },
    { "part_mm,start_C", "6,20", AT(part_start_K), 293.15 },
    { "part_mm,start (C)", "6,-20", AT(part_start_K), 253.15 },
    { "part_mm,start_K", "6,293.15", AT(part_start_K), 293.15 },
    { "part_mm,start [\xC2\xB0"
      "F]",
      "6,68", AT(part_start_K), 293.15 },
    { "part_mm,start", "6,68 F", AT(part_start_K), 293.15 },
    { "start,part", "20 C,6 mm", AT(part_start_K), 293.15 },
    { "part_mm,transfer_W_per_m2K", "6,350", AT(transfer_W_per_m2K), 350.0 },
    { "part_mm,Transfer (W/m2K)", "6,350", AT(transfer_W_per_m2K), 350.0 },
    { "part_mm,transfer [W/(m2 K)]", "6,350", AT(transfer_W_per_m2K), 350.0 },
    { "lift_s", "3", AT(lift_s), 3.0 },
    { "lift_min", "0.05", AT(lift_s), 3.0 },
    { "lift (s)", "3", AT(lift_s), 3.0 },
    { "lift", "3 s", AT(lift_s), 3.0 },
    { "lift", "0:03", AT(lift_s), 3.0 },
    { "bath_sd_F", "9", AT(bath_sd_K), 5.0 },
    { "bath_sd_C", "5", AT(bath_sd_K), 5.0 },
    { "bath_sd_K", "5", AT(bath_sd_K), 5.0 },
    { "bath_sd (F)", "9", AT(bath_sd_K), 5.0 },
    { "bath_sd [\xC2\xB0"
      "C]",
      "5", AT(bath_sd_K), 5.0 },
    { "bath_sd", "9 F", AT(bath_sd_K), 5.0 },
    { "bath_sd", "5 K", AT(bath_sd_K), 5.0 },
    { "time_sd_s", "1.5", AT(time_sd_s), 1.5 },
    { "time_sd_min", "0.025", AT(time_sd_s), 1.5 },
    { "time_sd_h", "0.001", AT(time_sd_s), 3.6 },
    { "time_sd", "1.5 s", AT(time_sd_s), 1.5 },
    { "thickness_sd_nm", "2", AT(thickness_sd_nm), 2.0 },
    { "thickness_sd (um)", "0.002", AT(thickness_sd_nm), 2.0 },
    { "thickness_sd", "2 nm", AT(thickness_sd_nm), 2.0 },
    { "colour_tolerance", "1.5", AT(colour_tolerance), 1.5 },
    { "Color_Tolerance", "1.5", AT(colour_tolerance), 1.5 },
};

Test(trial_columns, each_column_in_each_unit)
{
    for (size_t i = 0; i < sizeof readings / sizeof readings[0]; i++) {
        const reading *wanted = &readings[i];
        char text[200];
        snprintf(text, sizeof text, HEADER "%s\n" ROW "%s\n", wanted->column, wanted->cell);
        oxt_trial trial = first_of(text);
        double value = number_at(&trial, wanted->at);
        cr_assert(fabs(value - wanted->expected) <= 1e-12 * wanted->expected, "%s%.17g", text,
                  value);
        for (size_t j = 0; j < NUMBERS; j++)
            if (numbers[j] != wanted->at && numbers[j] != AT(part_size_m))
                cr_assert_eq(number_at(&trial, numbers[j]), 0.0, "%s", text);
    }
}

Test(trial_columns, shapes_in_any_case)
{
    static const char *const names[] = { "plate", "Cylinder", "SPHERE", "any" };
    for (int shape = OXT_SHAPE_PLATE; shape <= OXT_SHAPE_ANY; shape++) {
        char text[200];
        snprintf(text, sizeof text, "shape," HEADER "part_mm\n%s," ROW "6\n", names[shape]);
        cr_assert_eq((int)first_of(text).part_shape, shape, "%s", text);
    }
}

/* ---- days, and where a coupon was lifted ---- */

Test(trial_columns, a_day_is_any_text)
{
    static const char *const days[] = { "2026-03-05", "Monday", "7", "Charge n\xC2\xBA 3",
                                        "-1.50" };
    for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
        char text[200];
        snprintf(text, sizeof text, HEADER "Day\n" ROW "%s\n", days[i]);
        cr_assert_str_eq(first_of(text).day, days[i]);
    }
    cr_assert_str_eq(first_of(HEADER "day\n" ROW "\n").day, "");
}

Test(trial_columns, lifted_in_any_case)
{
    static const char *const names[] = { "", "first", "Middle", "LAST", "after" };
    for (int at = OXT_LIFTED_NOT_STATED; at <= OXT_LIFTED_AFTER; at++) {
        char text[200];
        snprintf(text, sizeof text, "lifted," HEADER "note\n%s," ROW "\n", names[at]);
        cr_assert_eq((int)first_of(text).lifted, at, "%s", text);
    }
}

static void refuses(const char *text, const char *column, const char *expected)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_status status = oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, NULL, &error);
    cr_assert_eq(status, OXT_EPARSE, "%s", text);
    cr_assert_null(log);
    SAYS(column);
    SAYS(expected);
}

Test(trial_columns, a_day_that_is_too_long_and_a_lift_that_is_none)
{
    refuses(HEADER "day\n" ROW "12345678901234567890123456789012\n", "day", "at most 31 bytes");
    cr_assert_str_eq(first_of(HEADER "day\n" ROW "1234567890123456789012345678901\n").day,
                     "1234567890123456789012345678901");
    refuses(HEADER "lifted\n" ROW "early\n", "lifted", "first, middle, last or after");
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_trial trial = trial_at(600.0, 90.0);
    strcpy(trial.colour, "blue");
    trial.lifted = (oxt_lifted)(OXT_LIFTED_AFTER + 1);
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EARG);
    SAYS("lifted");
    trial.lifted = OXT_LIFTED_LAST;
    memset(trial.day, 'x', sizeof trial.day);
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EARG);
    SAYS("day");
    strcpy(trial.day, "\xFF");
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EPARSE);
    SAYS("UTF-8");
    oxt_trials_free(log);
}

/* Codes are those of the texts; -1 where nothing is stated. */
Test(trial_columns, days_and_lifts_out_again)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[40];
    int32_t codes[4];
    oxt_trials *log = read_text(
        "steel,bath_K,time_s,colour,day,lifted\nA,600,60,blue,Tue,first\n"
        "A,600,60,blue,Mon,\nA,600,60,blue,,last\nA,600,60,blue,Tue,after\n");
    OK(oxt_trials_codes(log, "day", 4, codes, sizeof *codes, &error));
    cr_assert(codes[0] == codes[3] && codes[0] != codes[1] && codes[2] == -1);
    OK(oxt_trials_text(log, "day", 1, text, sizeof text, NULL, &error));
    cr_assert_str_eq(text, "Mon");
    OK(oxt_trials_text(log, "day", 2, text, sizeof text, NULL, &error));
    cr_assert_str_empty(text);
    OK(oxt_trials_codes(log, "lifted", 4, codes, sizeof *codes, &error));
    cr_assert(codes[0] == OXT_LIFTED_FIRST && codes[1] == -1 && codes[2] == OXT_LIFTED_LAST);
    OK(oxt_trials_text(log, "lifted", 3, text, sizeof text, NULL, &error));
    cr_assert_str_eq(text, "after");
    oxt_trials_free(log);
}

/* Numbers become the texts that a file would hold. */
Test(trial_columns, days_as_numbers)
{
    oxt_error error = OXT_ERROR_INIT;
    const int32_t day[] = { 3, 4 };
    const double bath_K[] = { 600.0, 600.0 };
    const char *const steel = "A", *const colour = "blue";
    const oxt_column columns[] = {
        { sizeof(oxt_column), "steel", &steel, 0, NULL, 0, NULL, 0, OXT_COLUMN_TEXT },
        { sizeof(oxt_column), "colour", &colour, 0, NULL, 0, NULL, 0, OXT_COLUMN_TEXT },
        { sizeof(oxt_column), "bath_K", bath_K, sizeof *bath_K, NULL, 0, NULL, 0,
          OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "time_s", bath_K, sizeof *bath_K, NULL, 0, NULL, 0,
          OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "day", day, sizeof *day, NULL, 0, NULL, 0, OXT_COLUMN_INT32 },
    };
    const oxt_column *all[] = { &columns[0], &columns[1], &columns[2], &columns[3], &columns[4] };
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_trials *log = new_log();
    OK(oxt_trials_add_columns(log, 2, all, 5, NULL, &error));
    OK(oxt_trials_get(log, 1, &trial, &error));
    cr_assert_str_eq(trial.day, "4");
    oxt_trials_free(log);
}

static void check_nothing_stated(const char *text)
{
    oxt_trial trial = first_of(text);
    for (size_t i = 0; i < NUMBERS; i++)
        cr_assert_eq(number_at(&trial, numbers[i]), 0.0);
    cr_assert_eq(trial.part_shape, OXT_SHAPE_PLATE);
}

Test(trial_columns, empty_cells_and_missing_columns_state_nothing)
{
    check_nothing_stated("steel,bath_K,time_s,thickness_nm\nAlder 1,600,90,50\n");
    check_nothing_stated(HEADER "part,shape,start_F,transfer_W_per_m2K,lift,bath_sd,time_sd_s,"
                                "thickness_sd_nm,colour_tolerance\n" ROW ",,,,,,,,\n");
    check_nothing_stated(HEADER "part,shape,start_F,transfer_W_per_m2K,lift,bath_sd,time_sd_s,"
                                "thickness_sd_nm,colour_tolerance\n" ROW " \n");
}

/* ---- faults ---- */

/* The only fault of a row with this cell in this column. */
static void check_fault(const char *columns, const char *cells, const char *column,
                        const char *found, const char *expected)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *faults;
    oxt_fault fault = OXT_FAULT_INIT;
    char text[300];
    snprintf(text, sizeof text, HEADER "%s\n" ROW "%s\n", columns, cells);
    FAILS(oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, &faults, &error), OXT_EPARSE);
    cr_assert_eq(oxt_faults_count(faults), 1, "%s%s", text, error.text);
    OK(oxt_faults_get(faults, 0, &fault, &error));
    cr_assert_eq(fault.line, 2, "%s", text);
    cr_assert_str_eq(fault.column, column, "%s", text);
    cr_assert_str_eq(fault.found, found, "%s", text);
    cr_assert(strstr(fault.expected, expected), "%s%s", text, fault.expected);
    oxt_faults_free(faults);
}

/* One column, and what it does not take. A stated 0 is a slip where 0 is no value of the quantity. */
static const struct {
    const char *column, *cell, *expected;
} bad_cells[] = {
    { "part_mm", "0", "above 0 and up to 1 m" },
    { "part_mm", "-6", "above 0" },
    { "part_mm", "1000.1", "up to 1 m" },
    { "part_mm", "6 mm", "a plain number" },
    { "part_mm", "nan", "a plain number" },
    { "part", "6", "with its unit" },
    { "part", "-6 mm", "with its unit" },
    { "part", "0 mm", "above 0" },
    { "lift_s", "-1", "0 to 3600 s" },
    { "lift_min", "60.1", "0 to 3600 s" },
    { "lift", "slow", "with its unit" },
    { "bath_sd_F", "-1", "0 to 1000 K" },
    { "bath_sd_K", "1000.1", "1800 F" },
    { "bath_sd_F", "5 F", "a plain number" },
    { "bath_sd", "5", "with its unit" },
    { "bath_sd", "5 s", "with its unit" },
    { "bath_sd", "-5 F", "0 to 1000 K" },
    { "time_sd_s", "-1", "0 to 1000000 s" },
    { "time_sd_h", "278", "0 to 1000000 s" },
    { "time_sd", "1", "with its unit" },
    { "thickness_sd_nm", "0", "above 0" },
    { "thickness_sd_nm", "1000.1", "up to 1000 nm" },
    { "thickness_sd_nm", "inf", "a plain number" },
    { "colour_tolerance", "0", "above 0 and up to 50" },
    { "colour_tolerance", "50.1", "up to 50" },
    { "colour_tolerance", "1.5.5", "CIEDE2000" },
};

Test(trial_columns, what_a_column_does_not_take)
{
    for (size_t i = 0; i < sizeof bad_cells / sizeof bad_cells[0]; i++) {
        char quoted[40];
        snprintf(quoted, sizeof quoted, "\"%s\"", bad_cells[i].cell);
        check_fault(bad_cells[i].column, quoted, bad_cells[i].column, bad_cells[i].cell,
                    bad_cells[i].expected);
    }
    check_fault("part_mm,shape", "6,cube", "shape", "cube", "plate, cylinder, sphere or any");
    check_fault("part_mm,start_K", "6,199.9", "start_K", "199.9", "from 200 K");
    check_fault("part_mm,start_K", "6,600.1", "start_K", "600.1", "to the bath");
    check_fault("part_mm,start_C", "6,701", "start_C", "701", "to the bath");
    check_fault("part_mm,start_F", "6,0 F", "start_F", "0 F", "a plain number");
    check_fault("part_mm,start", "6,70", "start", "70", "with its unit");
    check_fault("part_mm,transfer_W_per_m2K", "6,0", "transfer_W_per_m2K", "0", "above 0");
    check_fault("part_mm,transfer (W/m2K)", "6,1000001", "transfer (W/m2K)", "1000001",
                "up to 1000000");
}

Test(trial_columns, shape_start_and_transfer_need_a_size)
{
    check_fault("shape", "plate", "shape", "plate", "the size of the coupon");
    check_fault("part_mm,start_F", ",70", "start_F", "70", "the size of the coupon");
    check_fault("transfer_W_per_m2K,part", "600,", "transfer_W_per_m2K", "600", "part_mm");
}

Test(trial_columns, one_column_for_a_quantity)
{
    static const char text[] = HEADER "part_mm,part_in,bath_sd_K,bath_sd\n" ROW "6,,,\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    FAILS(oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, NULL, &error), OXT_EPARSE);
    SAYS("2 faults, the first: line 1, column part_in");
}

/* A typing error in every column at once: each is told, with its line, its column and what stood
 * there, and a sound line between them is none of them. */
Test(trial_columns, a_slip_in_each_column_is_told_at_once)
{
    static const char *const columns[] = {
        "part",    "shape",     "start_F",         "transfer_W_per_m2K", "lift_s",
        "bath_sd", "time_sd_s", "thickness_sd_nm", "colour_tolerance"
    };
    static const char *const found[] = { "6mn",  "plat", "7O",  "6oo", "2;5",
                                         "5 FF", "l",    "two", "3.." };
    static const char text[] = HEADER
        "part,shape,start_F,transfer_W_per_m2K,lift_s,bath_sd,time_sd_s,thickness_sd_nm,"
        "colour_tolerance\n" ROW "6 mm,plate,70,600,2.5,5 F,1,2,3\n" ROW
        "6mn,plat,7O,6oo,2;5,5 FF,l,two,3..\n" ROW "6 mm,plate,70,600,2.5,5 F,1,2,3\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *faults;
    FAILS(oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, &faults, &error), OXT_EPARSE);
    cr_assert_null(log);
    cr_assert_eq(oxt_faults_count(faults), 9, "%s", error.text);
    for (size_t i = 0; i < 9; i++) {
        oxt_fault fault = OXT_FAULT_INIT;
        OK(oxt_faults_get(faults, i, &fault, &error));
        cr_assert_eq(fault.line, 3);
        cr_assert_str_eq(fault.column, columns[i]);
        cr_assert_str_eq(fault.found, found[i]);
    }
    oxt_faults_free(faults);
}

/* ---- adding ---- */

static oxt_trial coupon(void)
{
    oxt_trial trial = trial_at(600.0, 90.0);
    trial.seen = OXT_SEEN_THICKNESS;
    trial.thickness_nm = 50.0;
    trial.part_size_m = 0.006;
    return trial;
}

/* Ranges of a number in memory; both ends are in it, and 0 is not stated. */
static const struct {
    size_t at;
    const char *name;
    double low, high, beyond;
} ranges[] = {
    { AT(part_size_m), "part_size_m", 5e-324, 1.0, 1.0001 },
    { AT(part_start_K), "part_start_K", 200.0, 600.0, 600.1 },
    { AT(transfer_W_per_m2K), "transfer_W_per_m2K", 5e-324, 1e6, 1.0001e6 },
    { AT(lift_s), "lift_s", 5e-324, 3600.0, 3600.1 },
    { AT(bath_sd_K), "bath_sd_K", 5e-324, 1000.0, 1000.1 },
    { AT(time_sd_s), "time_sd_s", 5e-324, OXT_TIME_HIGH_S, 1.1 * OXT_TIME_HIGH_S },
    { AT(thickness_sd_nm), "thickness_sd_nm", 5e-324, OXT_THICKNESS_HIGH_NM, 1000.1 },
    { AT(colour_tolerance), "colour_tolerance", 5e-324, 50.0, 50.1 },
};

Test(trial_columns, adding_takes_the_ends_of_the_ranges_and_refuses_what_lies_beyond)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        const double taken[] = { 0.0, ranges[i].low, ranges[i].high };
        const double refused[] = { -1e-6, ranges[i].beyond, NAN, HUGE_VAL, -HUGE_VAL };
        oxt_trial trial = coupon();
        for (size_t j = 0; j < 3; j++) {
            set_number(&trial, ranges[i].at, taken[j]);
            OK(oxt_trials_add(log, &trial, NULL, &error));
        }
        for (size_t j = 0; j < 5; j++) {
            set_number(&trial, ranges[i].at, refused[j]);
            FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EDOMAIN);
            cr_assert_str_eq(error.parameter, ranges[i].name, "%s", error.text);
        }
    }
    oxt_trials_free(log);
}

Test(trial_columns, adding_refuses_a_shape_that_is_none_or_a_part_without_a_size)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_trial trial = coupon();
    trial.part_shape = (oxt_shape)4;
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "part_shape");
    trial = coupon();
    trial.part_size_m = 0.0;
    trial.part_shape = OXT_SHAPE_SPHERE;
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "part_shape");
    trial.part_shape = OXT_SHAPE_PLATE;
    trial.part_start_K = 293.15;
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "part_start_K");
    trial.part_start_K = 0.0;
    trial.transfer_W_per_m2K = 600.0;
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "transfer_W_per_m2K");
    SAYS("expected part_size_m");
    cr_assert_eq(oxt_trials_count(log), 0);
    oxt_trials_free(log);
}

/* ---- writing ---- */

static void check_written(const oxt_trials *log, const char *expected)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[1000];
    OK(oxt_trials_write_csv_text(log, text, sizeof text, NULL, &error));
    cr_assert_str_eq(text, expected);
}

Test(trial_columns, only_what_a_trial_states_is_written)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_trial trial = coupon();
    trial.bath_sd_K = 2.5;
    OK(oxt_trials_add(log, &trial, NULL, &error));
    check_written(log, "steel,finish,bath_K,time_s,colour,thickness_nm,L,a,b,srgb,part_m,bath_sd_K,"
                       "note\nAlder 1,,600,90,,50,,,,,0.006,2.5,\n");
    trial.part_shape = OXT_SHAPE_CYLINDER;
    trial.bath_sd_K = 0.0;
    OK(oxt_trials_add(log, &trial, "bar", &error));
    trial.part_shape = OXT_SHAPE_PLATE;
    trial.part_size_m = 0.0;
    OK(oxt_trials_add(log, &trial, NULL, &error));
    check_written(log, "steel,finish,bath_K,time_s,colour,thickness_nm,L,a,b,srgb,shape,part_m,"
                       "bath_sd_K,note\n"
                       "Alder 1,,600,90,,50,,,,,plate,0.006,2.5,\n"
                       "Alder 1,,600,90,,50,,,,,cylinder,0.006,,bar\n"
                       "Alder 1,,600,90,,50,,,,,,,,\n");
    oxt_trials_free(log);
}
