/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log read as a proof-reader does: slips are told, and sound logs are left in peace. */
#include <stdio.h>
#include <string.h>

#include "base/internal.h"
#include "optics.h"
#include "support.h"

#define HEADER "steel,finish,bath_F,time_s,colour\n"

static oxt_trials *log_of(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, NULL, &error));
    return log;
}

static oxt_faults *check_text(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = log_of(text);
    oxt_faults *remarks;
    OK(oxt_check_log(&remarks, log, default_film(), OXT_UNIT_FAHRENHEIT, &error));
    oxt_trials_free(log); /* what was found does not lean on it */
    return remarks;
}

typedef struct {
    size_t line;
    const char *column, *found, *expected;
} wanted;

static void check_remarks(const char *text, const wanted *all, size_t count)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *remarks = check_text(text);
    char report[4096];
    OK(oxt_faults_report(remarks, report, sizeof report, NULL, &error));
    cr_assert_eq(oxt_faults_count(remarks), count, "%s gave\n%s", text, report);
    for (size_t i = 0; i < count; i++) {
        oxt_fault fault = OXT_FAULT_INIT;
        OK(oxt_faults_get(remarks, i, &fault, &error));
        cr_assert_eq(fault.line, all[i].line, "%s", report);
        cr_assert_str_eq(fault.column, all[i].column);
        cr_assert_str_eq(fault.found, all[i].found);
        cr_assert(strstr(fault.expected, all[i].expected), "%s", fault.expected);
    }
    oxt_faults_free(remarks);
}

#define CHECK(text, ...)                                      \
    do {                                                      \
        static const wanted all[] = { __VA_ARGS__ };          \
        check_remarks(text, all, sizeof all / sizeof all[0]); \
    } while (0)

/* Six coupons in three baths, which a fit can use. */
#define SOUND                                                                               \
    "A,x,560,100,purple\nA,x,560,160,blue\nA,x,600,60,purple\nA,x,600,95,blue\nA,x,650,30," \
    "purple\n"                                                                              \
    "A,x,650,50,blue\n"

Test(check, a_sound_log_is_left_in_peace)
{
    check_remarks(HEADER SOUND, NULL, 0);
    check_remarks(
        "steel,finish,bath_F,time_s,colour,note\nA,x,560,100,purple,n\nA,x,600,60,purple,\n"
        "A,x,600,95,blue,\nA,x,650,50,blue,\n",
        NULL, 0);
}

Test(check, columns_that_became_notes)
{
    CHECK("steel,finish,bath_F,time_s,colour,Salt,Lift s,Thickness (mm)\n"
          "A,x,560,100,purple,,,2\nA,x,560,160,blue,,,2\nA,x,600,60,purple,,,2\nA,x,650,50,blue,,,"
          "2\n",
          { 1, "Salt", "Salt", "a known column; it is kept as a note" },
          { 1, "Lift s", "Lift s", "did you mean lift_s?" },
          { 1, "Thickness (mm)", "Thickness (mm)", "did you mean part_mm?" });
    /* a column that is there is not meant again */
    CHECK("steel,finish,bath_F,time_s,colour,bath_2\n"
          "A,x,560,100,purple,1\nA,x,560,160,blue,1\nA,x,600,60,purple,1\nA,x,650,50,blue,1\n",
          { 1, "bath_2", "bath_2", "kept as a note" });
}

Test(check, names_that_differ_only_in_case_or_blanks)
{
    CHECK(HEADER SOUND "a ,x,600,80,blue\nA,X,600,70,blue\nA\xC2\xA0,x,600,75,blue\n",
          { 10, "steel", "A\xC2\xA0", "and makes another steel" },
          { 8, "steel", "a", "'A', as 7 other trials: it differs only in case or blanks" },
          { 9, "finish", "X", "'x', as 8 other trials" },
          { 0, "", "a, x", "trials enough for a fit: only 1 of 1 trial" },
          { 0, "", "A, X", "trials enough for a fit" },
          { 0, "", "A\xC2\xA0, x", "trials enough for a fit" });
}

/* 600 C is 1112 F, and 1:30 as hours and minutes is 1:30:00 (SI Brochure, table 8). */
Test(check, baths_and_times_far_from_the_rest)
{
    CHECK(HEADER SOUND "A,x,1112,60,blue\n",
          { 8, "bath", "1112 F",
            "a bath like the others (560 F to 650 F); 600 F would be, and it is "
            "600 C" });
    CHECK(HEADER SOUND "A,x,600,5400,blue\n",
          { 8, "time", "1:30:00", "a time like the others (30 s to 2:40); 1:30 would be" });
    CHECK(HEADER SOUND "A,x,600,1.5,blue\n", { 8, "time", "1.5 s", "1:30 would be" });
    CHECK("steel,finish,bath_C,time_s,colour\nA,x,293,100,purple\nA,x,315,60,purple\n"
          "A,x,315,95,blue\nA,x,343,50,blue\nA,x,600,60,blue\n",
          { 6, "bath", "1112 F", "600 F would be, and it is 600 C" });
}

/* Numbers of one scale under the name of another: 560 to 650 F are 293 to 343 C. A nitrate tempering salt works from 350
 * to 1000 F (common practice, no source), which is 177 to 538 C. */
Test(check, a_whole_log_on_another_scale)
{
    CHECK(HEADER "A,x,293,100,purple\nA,x,293,160,blue\nA,x,315,60,purple\nA,x,343,50,blue\n",
          { 2, "bath", "293 F to 343 F",
            "baths in which nitrate salt works (350.6 F to 1000.4 F); 293 to 343 C would be, and "
            "these are in F" });
    CHECK("steel,finish,bath_C,time_s,colour\nA,x,530,100,purple\nA,x,560,160,blue\n"
          "A,x,600,60,purple\nA,x,660,50,blue\n",
          { 3, "bath", "986 F to 1220 F", "530 to 660 F would be, and these are in C" });
    CHECK("steel,finish,bath_C,time_s,colour\nA,x,120,100,purple\nA,x,130,160,blue\n"
          "A,x,150,60,purple\nA,x,160,50,blue\n",
          { 2, "bath", "248 F to 320 F", "baths in which nitrate salt works" });
}

/* One cold bath of four is no scale, and a hot shop none either. */
Test(check, a_log_near_the_limits_of_salt)
{
    check_remarks(HEADER "A,x,345,6000,straw\nA,x,400,2000,straw\nA,x,420,1900,dark straw\n"
                         "A,x,440,1600,brown\n",
                  NULL, 0);
    check_remarks("steel,finish,bath_C,time_s,colour\nA,x,440,7,blue\nA,x,460,8,blue\n"
                  "A,x,500,6,light blue\nA,x,530,6,silver\n",
                  NULL, 0);
}

/* 100 s are 1.7 min. A third of short dips is a shop's own. */
Test(check, minutes_in_a_column_of_seconds)
{
    CHECK(HEADER "A,x,560,1.7,purple\nA,x,560,2.7,blue\nA,x,600,1,purple\nA,x,600,6,light blue\n"
                 "A,x,650,0.5,purple\nA,x,650,0.8,blue\n",
          { 2, "time", "0.5 s to 6 s",
            "if these are minutes, 30 s to 6:00, the column is time_min" });
    check_remarks(HEADER SOUND "A,x,650,4,faint straw\nA,x,650,4.5,faint straw\n", NULL, 0);
}

/* Steps that a design may well have are none: 90 F, and a factor of 8 in time. */
Test(check, a_wide_design_is_no_slip)
{
    check_remarks(HEADER
                  "A,x,550,400,purple\nA,x,550,600,blue\nA,x,600,60,purple\nA,x,600,95,blue\n"
                  "A,x,690,12,purple\nA,x,690,20,blue\n",
                  NULL, 0);
}

/* Between 80 K and 150 K a bath is far from the others beyond four standard deviations, each 1.4826 times the median
 * distance from the median, as it is of a normal distribution (1 over its quantile at 3/4, from memory): with a median
 * distance of 18 K beyond 106.7 K. */
Test(check, a_bath_four_deviations_off_is_a_slip)
{
    static const double off_K[] = { 0.0, -10.0, 10.0, -18.0, 18.0, -25.0, 25.0, -40.0 };
    for (int far = 0; far < 2; far++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_fault fault = OXT_FAULT_INIT;
        oxt_trials *log = new_log();
        oxt_faults *remarks;
        for (size_t i = 0; i < OXT_I_COUNT(off_K); i++)
            add_thickness(log, 590.0 + off_K[i], 60.0, 55.0 + 0.5 * off_K[i]);
        add_thickness(log, 590.0 + (far ? 110.0 : 103.0), 60.0, 105.0);
        OK(oxt_check_log(&remarks, log, default_film(), OXT_UNIT_KELVIN, &error));
        cr_assert_eq(oxt_faults_count(remarks), (size_t)far);
        if (far)
            OK(oxt_faults_get(remarks, 0, &fault, &error));
        cr_assert_str_eq(fault.column, far ? "bath" : "");
        oxt_faults_free(remarks);
        oxt_trials_free(log);
    }
}

Test(check, sizes_in_a_column_of_thicknesses)
{
    CHECK("steel,bath_F,time_s,thickness_nm\nA,560,100,2\nA,560,160,3\nA,600,60,6\nA,650,50,6.35\n",
          { 2, "thickness_nm", "2 nm", "it belongs in a column part_mm" });
    oxt_faults *remarks = check_text(
        "steel,bath_F,time_s,thickness_nm\nA,560,100,40\nA,560,160,50\n"
        "A,600,60,9\nA,650,50,55\n");
    oxt_fault fault = OXT_FAULT_INIT;
    for (size_t i = 0; oxt_faults_get(remarks, i, &fault, NULL) == OXT_OK; i++)
        cr_assert_str_neq(fault.column, "thickness_nm");
    oxt_faults_free(remarks);
}

/* What a fit would still need is what it says itself. */
Test(check, what_a_fit_needs)
{
    CHECK(HEADER SOUND "B,,600,60,blue\nB,,600,90,light blue\nB,,601,70,blue\n",
          { 0, "", "B", "trials enough for a fit: " });
    CHECK(HEADER SOUND "C,y,600,10,bright\n", { 0, "", "C, y", "stayed bright" });
}

/* The log's own scale, in what a fit says of it too. */
Test(check, a_refused_fit_speaks_the_scale_of_the_log)
{
    CHECK(HEADER "a,x,600,60,brown\na,x,600,100,purple\na,x,600,170,blue\n",
          { 0, "", "a, x", "600 F, within 9 F" });
}

Test(check, an_empty_log_and_arguments_that_are_none)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *remarks;
    OK(oxt_trials_new(&log, NULL, &error));
    OK(oxt_check_log(&remarks, log, default_film(), OXT_UNIT_KELVIN, &error));
    cr_assert_eq(oxt_faults_count(remarks), 0);
    oxt_faults_free(remarks);
    FAILS(oxt_check_log(&remarks, NULL, default_film(), OXT_UNIT_KELVIN, &error), OXT_EARG);
    FAILS(oxt_check_log(&remarks, log, NULL, OXT_UNIT_KELVIN, &error), OXT_EARG);
    FAILS(oxt_check_log(&remarks, log, default_film(), (oxt_temperature_unit)7, &error), OXT_EARG);
    FAILS(oxt_check_log(NULL, log, default_film(), OXT_UNIT_KELVIN, &error), OXT_EARG);
    cr_assert_null(remarks);
    oxt_trials_free(log);
}
