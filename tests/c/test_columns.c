/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log from columns in memory, and columns from a log, without text in between. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support.h"

static const double nothing = NAN;

static oxt_column numbers(const char *name, const double *values)
{
    oxt_column made = OXT_COLUMN_INIT;
    made.name = name;
    made.values = values;
    made.stride = sizeof *values;
    return made;
}

static oxt_column texts(const char *name, const char *const *values)
{
    oxt_column made = OXT_COLUMN_INIT;
    made.name = name;
    made.kind = OXT_COLUMN_TEXT;
    made.values = values;
    made.stride = sizeof *values;
    return made;
}

static oxt_column codes(const char *name, const int8_t *values, const char *const *levels,
                        size_t level_count)
{
    oxt_column made = OXT_COLUMN_INIT;
    made.name = name;
    made.kind = OXT_COLUMN_INT8;
    made.values = values;
    made.stride = sizeof *values;
    made.levels = levels;
    made.level_count = level_count;
    return made;
}

static size_t group_count(const oxt_trials *log)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    OK(oxt_trials_group(log, 0, &group, &error));
    return group.group_count;
}

#define ADD(log, rows, ...)                                                       \
    oxt_trials_add_columns(log, rows, (const oxt_column *const[]){ __VA_ARGS__ }, \
                           sizeof((const oxt_column *const[]){ __VA_ARGS__ }) /   \
                               sizeof(const oxt_column *),                        \
                           &faults, &error)

/* Both logs as their files would be. */
static void must_be_equal(const oxt_trials *a, const oxt_trials *b)
{
    oxt_error error = OXT_ERROR_INIT;
    char *first = malloc(100000), *second = malloc(100000);
    OK(oxt_trials_write_csv_text(a, first, 100000, NULL, &error));
    OK(oxt_trials_write_csv_text(b, second, 100000, NULL, &error));
    cr_assert_str_eq(first, second);
    free(first);
    free(second);
}

static const char *const steels[] = { "Alder 1", "Birch 2" };
static const char *const names[] = { "blue", "Straw", "", "second order purple" };
static const char csv[] = "steel,finish,bath_F,time_min,colour,thickness_nm,L,a,b,srgb,part_mm,"
                          "shape,start_C,lift_s,note,salt\n"
                          "Alder 1,satin,600,1.5,blue,,,,,,,,,,,\n"
                          "Birch 2,satin,610.5,2,,57.25,,,,,6,sphere,20,2.5,\"kept, as it is\",\n"
                          "Alder 1,,620,0.1,,,35,9.5,-38,,6,,,0,,clock\n"
                          "Birch 2,satin,599.125,3,,,,,,#2b3a67,,,,,,\n"
                          ",,,,,,,,,,,,,,,\n"
                          "Alder 1,satin,600,10,Straw,,,,,,6,sphere,20,2.5,,\n";

/* Contract: what a file of the same cells gives. */
Test(columns, are_read_as_a_file_is)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    oxt_trials *log = new_log(), *file;
    const int8_t steel[] = { 0, 1, 0, 1, -1, 0 }, colour[] = { 0, 2, -1, -1, -5, 1 };
    const char *const finish[] = { "satin", "satin", NULL, "satin", "", "satin" };
    const double bath[] = { 600, 610.5, 620, 599.125, nothing, 600 };
    const float minutes[] = { 1.5f, 2.0f, 0.1f, 3.0f, NAN, 10.0f };
    const double film[] = { nothing, 57.25, nothing, nothing, nothing, nothing };
    const int32_t L[] = { 0, 0, 35, 0, 0, 0 };
    const unsigned char no_L[] = { 1, 1, 0, 1, 1, 1 };
    const double a[] = { nothing, nothing, 9.5, nothing, nothing, nothing };
    const double b[] = { nothing, nothing, -38, nothing, nothing, nothing };
    const char *const srgb[] = { "", "", "", "#2b3a67", "", "" };
    const double part[] = { nothing, 6, 6, nothing, nothing, 6 };
    const char *const shape[] = { NULL, "sphere", NULL, NULL, NULL, "Sphere" };
    const uint16_t start[] = { 0, 20, 0, 0, 0, 20 };
    const unsigned char no_start[] = { 1, 0, 1, 1, 1, 0 };
    const double lift[] = { nothing, 2.5, 0, nothing, nothing, 2.5 };
    const char *const note[] = { NULL, "kept, as it is", NULL, NULL, NULL, NULL };
    const char *const salt[] = { NULL, NULL, "clock", NULL, NULL, NULL };
    oxt_column c[16] = { codes("steel", steel, steels, 2),
                         texts("Finish", finish),
                         numbers("bath (F)", bath),
                         numbers("time_min", NULL),
                         codes("color", colour, names, 4),
                         numbers("thickness_nm", film),
                         numbers("L*", NULL),
                         numbers("a", a),
                         numbers("b", b),
                         texts("srgb", srgb),
                         numbers("part_mm", part),
                         texts("shape", shape),
                         numbers("start_C", NULL),
                         numbers("lift_s", lift),
                         texts("note", note),
                         texts("salt", salt) };
    c[3].values = minutes;
    c[3].kind = OXT_COLUMN_FLOAT;
    c[3].stride = sizeof *minutes;
    c[6].values = L;
    c[6].kind = OXT_COLUMN_INT32;
    c[6].stride = sizeof *L;
    c[6].missing = no_L;
    c[6].missing_stride = 1;
    c[12].values = start;
    c[12].kind = OXT_COLUMN_UINT16;
    c[12].stride = sizeof *start;
    c[12].missing = no_start;
    c[12].missing_stride = 1;
    const oxt_column *all[16];
    for (int i = 0; i < 16; i++)
        all[i] = &c[(i + 5) % 16]; /* in any order */
    OK(oxt_trials_add_columns(log, 6, all, 16, &faults, &error));
    cr_assert_null(faults);
    /* 0.1f is the float nearest to 0.1, and stays that */
    char *text = malloc(sizeof csv + 40), *found;
    strcpy(text, csv);
    found = strstr(text, ",0.1,");
    memmove(found + strlen(",0.10000000149011612,"), found + strlen(",0.1,"),
            strlen(found + strlen(",0.1,")) + 1);
    memcpy(found, ",0.10000000149011612,", strlen(",0.10000000149011612,"));
    OK(oxt_trials_read_csv(&file, NULL, text, strlen(text), NULL, NULL, &error));
    cr_assert_eq(oxt_trials_count(log), 5);
    must_be_equal(log, file);
    oxt_trial trial = OXT_TRIAL_INIT;
    OK(oxt_trials_get(log, 4, &trial, &error));
    cr_assert_eq(trial.line, 0);
    cr_assert_str_eq(trial.colour, "Straw");
    free(text);
    oxt_trials_free(file);
    oxt_trials_free(log);
}

/* Every kind of whole number; one value for all rows; backwards; every second value. */
Test(columns, lie_in_memory_in_any_way)
{
    const int8_t i8[] = { 60, 61, 62 };
    const int16_t i16[] = { 60, 61, 62 };
    const int32_t i32[] = { 60, 61, 62 };
    const int64_t i64[] = { 60, 61, 62 };
    const uint8_t u8[] = { 60, 61, 62 };
    const uint16_t u16[] = { 60, 61, 62 };
    const uint32_t u32[] = { 60, 61, 62 };
    const uint64_t u64[] = { 60, 61, 62 };
    const float f[] = { 60, 61, 62 };
    const double d[] = { 60, 61, 62 }, spaced[] = { 60, 0, 61, 0, 62, 0 };
    const struct {
        oxt_column_kind kind;
        const void *values;
        ptrdiff_t stride;
        double first, last;
    } cases[] = {
        { OXT_COLUMN_INT8, i8, 1, 60, 62 },
        { OXT_COLUMN_INT16, i16, 2, 60, 62 },
        { OXT_COLUMN_INT32, i32, 4, 60, 62 },
        { OXT_COLUMN_INT64, i64, 8, 60, 62 },
        { OXT_COLUMN_UINT8, u8, 1, 60, 62 },
        { OXT_COLUMN_UINT16, u16, 2, 60, 62 },
        { OXT_COLUMN_UINT32, u32, 4, 60, 62 },
        { OXT_COLUMN_UINT64, u64, 8, 60, 62 },
        { OXT_COLUMN_FLOAT, f, sizeof *f, 60, 62 },
        { OXT_COLUMN_DOUBLE, d, sizeof *d, 60, 62 },
        { OXT_COLUMN_DOUBLE, d + 2, -(ptrdiff_t)sizeof *d, 62, 60 },
        { OXT_COLUMN_DOUBLE, spaced, 2 * sizeof *d, 60, 62 },
        { OXT_COLUMN_INT8, i8 + 1, 0, 61, 61 },
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    const char *const blue = "blue";
    const double bath = 600.0;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        oxt_trials *log = new_log();
        oxt_column steel = texts("steel", steels), colour = texts("colour", &blue),
                   baths = numbers("bath_K", &bath), times = numbers("time_s", NULL);
        steel.stride = colour.stride = baths.stride = 0;
        times.kind = cases[i].kind;
        times.values = cases[i].values;
        times.stride = cases[i].stride;
        OK(ADD(log, 3, &steel, &colour, &baths, &times));
        double found[3];
        OK(oxt_trials_numbers(log, "time_s", 3, found, sizeof *found, &error));
        cr_assert(found[0] == cases[i].first && found[2] == cases[i].last, "case %zu", i);
        oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
        OK(oxt_trials_group(log, 0, &group, &error));
        cr_assert(strcmp(group.steel, "Alder 1") == 0 && group.count == 3);
        oxt_trials_free(log);
    }
}

/* Codes in every kind of whole number; none of them where it is below 0 or missing. */
Test(columns, codes_of_every_kind)
{
    const int8_t i8[] = { 1, 0, -1 };
    const int16_t i16[] = { 1, 0, -1 };
    const int32_t i32[] = { 1, 0, -1 };
    const int64_t i64[] = { 1, 0, -1 };
    const uint8_t u8[] = { 1, 0, 1 };
    const uint16_t u16[] = { 1, 0, 1 };
    const uint32_t u32[] = { 1, 0, 1 };
    const uint64_t u64[] = { 1, 0, 1 };
    const struct {
        oxt_column_kind kind;
        const void *values;
        ptrdiff_t stride;
        const char *last;
    } cases[] = {
        { OXT_COLUMN_INT8, i8, 1, "" },          { OXT_COLUMN_INT16, i16, 2, "" },
        { OXT_COLUMN_INT32, i32, 4, "" },        { OXT_COLUMN_INT64, i64, 8, "" },
        { OXT_COLUMN_UINT8, u8, 1, "ground" },   { OXT_COLUMN_UINT16, u16, 2, "ground" },
        { OXT_COLUMN_UINT32, u32, 4, "ground" }, { OXT_COLUMN_UINT64, u64, 8, "ground" },
    };
    static const char *const levels[] = { "satin", "ground" };
    const char *const blue = "blue";
    const double bath = 600.0, time = 60.0;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_faults *faults;
        oxt_trials *log = new_log();
        oxt_column steel = texts("steel", steels), colour = texts("colour", &blue),
                   baths = numbers("bath_K", &bath), times = numbers("time_s", &time),
                   finish = codes("finish", NULL, levels, 2);
        steel.stride = colour.stride = baths.stride = times.stride = 0;
        finish.kind = cases[i].kind;
        finish.values = cases[i].values;
        finish.stride = cases[i].stride;
        OK(ADD(log, 3, &steel, &colour, &baths, &times, &finish));
        const char *const wanted[] = { "ground", "satin", cases[i].last };
        for (size_t row = 0; row < 3; row++) {
            oxt_trial trial = OXT_TRIAL_INIT;
            OK(oxt_trials_get(log, row, &trial, &error));
            cr_assert_str_eq(trial.finish, wanted[row], "case %zu, row %zu", i, row);
        }
        oxt_trials_free(log);
    }
}

/* A quantity in every kind of number is that number, up to the largest of its kind that a time may be. */
Test(columns, numbers_of_every_kind)
{
    const double d[] = { 60.0, 1e6 };
    const float f[] = { 60.0F, 1e6F };
    const int8_t i8[] = { 60, INT8_MAX };
    const int16_t i16[] = { 60, INT16_MAX };
    const int32_t i32[] = { 60, 1000000 };
    const int64_t i64[] = { 60, 1000000 };
    const uint8_t u8[] = { 60, UINT8_MAX };
    const uint16_t u16[] = { 60, UINT16_MAX };
    const uint32_t u32[] = { 60, 1000000 };
    const uint64_t u64[] = { 60, 1000000 };
    const struct {
        oxt_column_kind kind;
        const void *values;
        ptrdiff_t stride;
        double last;
    } cases[] = {
        { OXT_COLUMN_DOUBLE, d, 8, 1e6 },   { OXT_COLUMN_FLOAT, f, 4, 1e6 },
        { OXT_COLUMN_INT8, i8, 1, 127.0 },  { OXT_COLUMN_INT16, i16, 2, 32767.0 },
        { OXT_COLUMN_INT32, i32, 4, 1e6 },  { OXT_COLUMN_INT64, i64, 8, 1e6 },
        { OXT_COLUMN_UINT8, u8, 1, 255.0 }, { OXT_COLUMN_UINT16, u16, 2, 65535.0 },
        { OXT_COLUMN_UINT32, u32, 4, 1e6 }, { OXT_COLUMN_UINT64, u64, 8, 1e6 },
    };
    const char *const blue = "blue";
    const double bath = 600.0;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_faults *faults;
        oxt_trials *log = new_log();
        oxt_column steel = texts("steel", steels), colour = texts("colour", &blue),
                   baths = numbers("bath_K", &bath), times = numbers("time_s", NULL);
        steel.stride = colour.stride = baths.stride = 0;
        times.kind = cases[i].kind;
        times.values = cases[i].values;
        times.stride = cases[i].stride;
        OK(ADD(log, 2, &steel, &colour, &baths, &times));
        for (size_t row = 0; row < 2; row++) {
            oxt_trial trial = OXT_TRIAL_INIT;
            OK(oxt_trials_get(log, row, &trial, &error));
            cr_assert_eq(trial.time_s, row ? cases[i].last : 60.0, "case %zu", i);
        }
        oxt_trials_free(log);
    }
}

/* Numbers where a text belongs are read as a file would write them, none where they are missing. */
Test(columns, whole_numbers_as_names)
{
    const uint64_t largest_and_less[] = { 18446744073709551615ULL, 7, 9 };
    const bool missing[] = { false, true, false };
    const char *const blue = "blue";
    const double bath = 600.0, time = 60.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    oxt_trials *log = new_log();
    oxt_column steel = texts("steel", steels), colour = texts("colour", &blue),
               baths = numbers("bath_K", &bath), times = numbers("time_s", &time),
               finish = numbers("finish", NULL);
    steel.stride = colour.stride = baths.stride = times.stride = 0;
    finish.kind = OXT_COLUMN_UINT64;
    finish.values = largest_and_less;
    finish.stride = sizeof *largest_and_less;
    finish.missing = (const unsigned char *)missing;
    finish.missing_stride = sizeof *missing;
    OK(ADD(log, 3, &steel, &colour, &baths, &times, &finish));
    static const char *const wanted[] = { "18446744073709551615", "", "9" };
    for (size_t row = 0; row < 3; row++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(log, row, &trial, &error));
        cr_assert_str_eq(trial.finish, wanted[row]);
    }
    oxt_trials_free(log);
}

/* Contract: a table with a fault leaves the log as it was, with its steels and how many trials each has. */
Test(columns, with_a_fault_leave_a_log_alone)
{
    static const char *const both[] = { "Alder 1", "Cedar 3" };
    static const char *const blue[] = { "blue", "bleu" };
    const double bath = 600.0, time = 60.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    oxt_trials *log = new_log();
    oxt_column steel = texts("steel", both), colour = texts("colour", blue),
               baths = numbers("bath_K", &bath), times = numbers("time_s", &time);
    baths.stride = times.stride = 0;
    oxt_trial satin = trial_at(560.0, 120.0);
    strcpy(satin.colour, "blue");
    strcpy(satin.finish, "satin");
    add_colour(log, 588.7, 60.0, "blue");
    add_colour(log, 600.0, 30.0, "purple");
    OK(oxt_trials_add(log, &satin, NULL, &error));
    FAILS(ADD(log, 2, &steel, &colour, &baths, &times), OXT_EPARSE);
    oxt_faults_free(faults);
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    cr_assert_eq(oxt_trials_count(log), 3);
    cr_assert_eq(group_count(log), 2);
    OK(oxt_trials_group(log, 0, &group, &error));
    cr_assert_eq(group.count, 2);
    /* both finishes are still those of one steel */
    oxt_fit *fit;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_run(&fit, log, default_film(), NULL, &error));
    OK(oxt_fit_get(fit, &values, &error));
    cr_assert_eq(values.row_count, 3);
    oxt_fit_free(fit);
    oxt_trials_free(log);
}

static oxt_fault fault_at(const oxt_faults *faults, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fault fault = OXT_FAULT_INIT;
    OK(oxt_faults_get(faults, index, &fault, &error));
    return fault;
}

Test(columns, all_faults_are_told_by_row_and_column)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    const int8_t steel[] = { 0, 2, -1, 0 }, colour[] = { 0, 1, 0, 4 };
    const double bath[] = { 6500, 600, 600, 600 }, time[] = { 60, 60, -1, 60 };
    const char *const tints[] = { "blue", "mauve" };
    oxt_column c[] = { codes("steel", steel, steels, 2), numbers("bath_F", bath),
                       numbers("time_s", time), codes("colour", colour, tints, 2) };
    static const struct {
        size_t row;
        const char *column, *found;
    } expected[] = {
        { 1, "bath_F", "6500" }, { 2, "steel", "2" },  { 3, "steel", "" },
        { 3, "time_s", "-1" },   { 4, "colour", "4" },
    };
    oxt_trials *log = new_log();
    add_thickness(log, 590.0, 60.0, 40.0);
    FAILS(ADD(log, 4, &c[0], &c[1], &c[2], &c[3]), OXT_EPARSE);
    SAYS("table: 5 faults, the first: row 1, column bath_F: found '6500', expected a bath");
    cr_assert(error.row == 1 && strcmp(error.column, "bath_F") == 0);
    cr_assert_eq(oxt_faults_count(faults), 5);
    for (size_t i = 0; i < 5; i++) {
        oxt_fault fault = fault_at(faults, i);
        cr_assert(fault.row == expected[i].row && fault.line == 0, "fault %zu", i);
        cr_assert_str_eq(fault.column, expected[i].column);
        cr_assert_str_eq(fault.found, expected[i].found);
    }
    cr_assert_str_eq(fault_at(faults, 4).expected, "a code of one of its 2 texts");
    char report[2000];
    OK(oxt_faults_report(faults, report, sizeof report, NULL, &error));
    cr_assert(strstr(report, "row 3, column time_s: found '-1', expected a time"));
    oxt_faults_free(faults);
    /* the log is as before, and takes what is right */
    int32_t code;
    cr_assert(oxt_trials_count(log) == 1 && group_count(log) == 1);
    OK(oxt_trials_codes(log, "steel", 1, &code, sizeof code, &error));
    cr_assert_eq(code, 0);
    OK(oxt_trials_codes(log, "colour", 1, &code, sizeof code, &error));
    cr_assert_eq(code, -1);
    const double good[] = { 600, 600, 600, 600 }, hold[] = { 60, 61, 62, 63 };
    const int8_t both[] = { 1, 1, 0, 1 };
    c[0].values = both;
    c[1].values = good;
    c[2].values = hold;
    c[3].values = (const int8_t[]){ 0, 0, 0, 0 };
    OK(ADD(log, 4, &c[0], &c[1], &c[2], &c[3]));
    cr_assert(oxt_trials_count(log) == 5 && group_count(log) == 2);
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    OK(oxt_trials_group(log, 1, &group, &error));
    cr_assert(strcmp(group.steel, "Birch 2") == 0 && group.count == 3);
    oxt_trials_free(log);
}

/* What a mask hides is not stated, though a number that would do stands there; a start is below its bath. */
Test(columns, numbers_that_are_hidden_and_a_start_above_the_bath)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    const double bath = 600.0, time = 60.0, film = 40.0, lift[] = { 3.0, 4.0 }, part = 6.0;
    const double start[] = { 293.0, 601.0 };
    const unsigned char hidden[] = { 0, 1 };
    oxt_column steel = texts("steel", steels), baths = numbers("bath_K", &bath),
               times = numbers("time_s", &time), films = numbers("thickness_nm", &film),
               lifts = numbers("lift_s", lift), parts = numbers("part_mm", &part),
               starts = numbers("start_K", start);
    steel.stride = baths.stride = times.stride = films.stride = parts.stride = 0;
    lifts.missing = hidden;
    lifts.missing_stride = 1;
    oxt_trials *log = new_log();
    OK(ADD(log, 2, &steel, &baths, &times, &films, &lifts));
    double found[2];
    OK(oxt_trials_numbers(log, "lift_s", 2, found, sizeof *found, &error));
    cr_assert(found[0] == 3.0 && isnan(found[1]));
    FAILS(ADD(log, 2, &steel, &baths, &times, &films, &parts, &starts), OXT_EPARSE);
    SAYS("row 2, column start_K: found '601'");
    oxt_faults_free(faults);
    FAILS(ADD(log, 2, &steel, &baths, &times, &films, &starts), OXT_EPARSE);
    SAYS("row 1, column start_K: found '293', expected the size of the coupon with it");
    oxt_faults_free(faults);
    cr_assert_eq(oxt_trials_count(log), 2);
    oxt_trials_free(log);
}

/* The columns themselves are at fault: nothing of a row is read. */
Test(columns, that_cannot_be_read)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    const double number[] = { 1.0 };
    oxt_column bath = numbers("bath_F", number), time = numbers("time_s", number),
               again = numbers("time_min", number), steel = texts("steel", steels),
               code = codes("steel", (const int8_t[]){ 0 }, steels, 2), none = OXT_COLUMN_INIT;
    oxt_trials *log = new_log();
    FAILS(ADD(log, 1, &steel, &bath), OXT_EPARSE);
    cr_assert_eq(oxt_faults_count(faults), 2);
    cr_assert_str_eq(fault_at(faults, 0).column, "time");
    oxt_faults_free(faults);
    FAILS(ADD(log, 1, &steel, &bath, &time, &again), OXT_EPARSE);
    oxt_faults_free(faults);
    FAILS(ADD(log, 1, &steel, NULL), OXT_EARG);
    FAILS(ADD(log, 1, &none), OXT_EARG);
    SAYS("name of a column is NULL");
    none.name = "steel";
    FAILS(ADD(log, 1, &none), OXT_EARG);
    SAYS("values of column steel are NULL");
    code.kind = OXT_COLUMN_DOUBLE;
    FAILS(ADD(log, 1, &code), OXT_EARG);
    SAYS("whole numbers as codes");
    code = codes("steel", (const int8_t[]){ 0 }, (const char *const[]){ "A", NULL }, 2);
    FAILS(ADD(log, 1, &code), OXT_EARG);
    SAYS("level 1 of column steel is NULL");
    bath.kind = (oxt_column_kind)99;
    FAILS(ADD(log, 1, &bath), OXT_EARG);
    bath.kind = OXT_COLUMN_DOUBLE;
    FAILS(oxt_trials_add_columns(log, SIZE_MAX, NULL, 0, NULL, &error), OXT_EDOMAIN);
    oxt_column colour = texts("colour", names);
    FAILS(ADD(log, 0, &steel, &bath, &time, &colour), OXT_EPARSE);
    SAYS("expected at least one trial");
    oxt_faults_free(faults);
    cr_assert_eq(oxt_trials_count(log), 0);
    oxt_trials_free(log);
}

/* Contract: the same doubles, whatever number stands in the cell, and the same refusals. */
Test(columns, a_quantity_in_another_unit_is_that_of_a_file)
{
    static const char *const heads[] = { "bath_F", "bath_C", "bath_K" };
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    for (int i = 0; i < 3000; i++) {
        double bath = (i % 3 == 2 ? 373.15 : 100.0) + i * 0.37, minutes = i * 0.0123;
        char text[200];
        snprintf(text, sizeof text, "steel,%s,time_min,colour\nAlder 1,%.17g,%.17g,blue\n",
                 heads[i % 3], bath, minutes);
        oxt_trials *log = new_log(), *file;
        oxt_column steel = texts("steel", steels), colour = texts("colour", names),
                   baths = numbers(heads[i % 3], &bath), times = numbers("time_min", &minutes);
        oxt_status by_file = oxt_trials_read_csv(&file, NULL, text, strlen(text), NULL, NULL,
                                                 &error);
        oxt_status by_column = ADD(log, 1, &steel, &colour, &baths, &times);
        cr_assert_eq(by_file, by_column, "%s", text);
        if (!by_file)
            must_be_equal(log, file);
        oxt_faults_free(faults);
        oxt_trials_free(file);
        oxt_trials_free(log);
    }
}

/* A name for each row: as many groups. */
Test(columns, many_names)
{
    enum { COUNT = 200000 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    char(*made)[24] = malloc(COUNT * sizeof *made);
    const char **levels = malloc(COUNT * sizeof *levels);
    int32_t *code = malloc(COUNT * sizeof *code);
    for (int i = 0; i < COUNT; i++) {
        snprintf(made[i], sizeof *made, "Steel %d", i);
        levels[i] = made[i];
        code[i] = COUNT - 1 - i;
    }
    const double bath = 600.0, time = 60.0, film = 40.0;
    oxt_column steel = codes("steel", NULL, levels, COUNT), baths = numbers("bath_K", &bath),
               times = numbers("time_s", &time), films = numbers("thickness_nm", &film);
    steel.kind = OXT_COLUMN_INT32;
    steel.values = code;
    steel.stride = sizeof *code;
    baths.stride = times.stride = films.stride = 0;
    oxt_trials *log = new_log();
    OK(ADD(log, COUNT, &steel, &baths, &times, &films));
    cr_assert_eq(group_count(log), COUNT);
    int32_t *back = malloc(COUNT * sizeof *back);
    OK(oxt_trials_codes(log, "steel", COUNT, back, sizeof *back, &error));
    for (int i = 0; i < COUNT; i++)
        cr_assert_eq(back[i], i);
    for (int i = 0; i < COUNT; i += 777) {
        char text[64];
        OK(oxt_trials_text(log, "steel", (size_t)i, text, sizeof text, NULL, &error));
        cr_assert_str_eq(text, made[code[i]]);
    }
    oxt_trials_free(log);
    free(back);
    free(code);
    free(levels);
    free(made);
}

Test(columns, out_of_a_log)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, NULL, csv, sizeof csv - 1, NULL, NULL, &error));
    double got[10];
    int32_t code[5];
    char text[64];
    OK(oxt_trials_numbers(log, "thickness_nm", 5, got, 2 * sizeof *got, &error));
    cr_assert(isnan(got[0]) && got[2] == 57.25 && isnan(got[4]) && isnan(got[8]));
    OK(oxt_trials_numbers(log, "b", 5, got, sizeof *got, &error));
    cr_assert(isnan(got[1]) && got[2] == -38.0 && isnan(got[3]));
    OK(oxt_trials_numbers(log, "part_m", 5, got, sizeof *got, &error));
    cr_assert(isnan(got[0]) && got[1] == 0.006 && got[4] == 0.006);
    OK(oxt_trials_numbers(log, "line", 5, got, sizeof *got, &error));
    cr_assert(got[0] == 2.0 && got[4] == 7.0);
    static const struct {
        const char *column;
        const char *expected[5]; /* NULL: none */
    } cases[] = {
        { "steel", { "Alder 1", "Birch 2", "Alder 1", "Birch 2", "Alder 1" } },
        { "finish", { "satin", "satin", "", "satin", "satin" } },
        { "colour", { "blue", NULL, NULL, NULL, "Straw" } },
        { "srgb", { NULL, NULL, NULL, "#2b3a67", NULL } },
        { "shape", { NULL, "sphere", "plate", NULL, "sphere" } },
        { "note", { "", "kept, as it is", "salt: clock", "", "" } },
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        OK(oxt_trials_codes(log, cases[i].column, 5, code, sizeof *code, &error));
        for (int j = 0; j < 5; j++) {
            const char *const expected = cases[i].expected[j];
            cr_assert_eq(code[j] < 0, expected == NULL, "%s", cases[i].column);
            OK(oxt_trials_text(log, cases[i].column, (size_t)j, text, sizeof text, NULL, &error));
            cr_assert_str_eq(text, expected ? expected : "");
            for (int k = 0; k < j && expected; k++) /* one code for each text */
                if (cases[i].expected[k])
                    cr_assert_eq(code[k] == code[j], strcmp(cases[i].expected[k], expected) == 0);
        }
    }
    FAILS(oxt_trials_numbers(log, "bath_F", 5, got, sizeof *got, &error), OXT_EARG);
    FAILS(oxt_trials_numbers(log, "bath_K", 4, got, sizeof *got, &error), OXT_EARG);
    SAYS("count is 4, expected at least the 5 trials of the log");
    FAILS(oxt_trials_codes(log, "bath_K", 5, code, sizeof *code, &error), OXT_EARG);
    FAILS(oxt_trials_text(log, "bath_K", 0, text, sizeof text, NULL, &error), OXT_EARG);
    FAILS(oxt_trials_text(log, "steel", 5, text, sizeof text, NULL, &error), OXT_EARG);
    oxt_trials_free(log);
}
