/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files as spreadsheets save them: separators, decimal marks and encodings, told or refused. */
#include <dirent.h>
#include <stdio.h>
#include <string.h>

#include "internal.h"
#include "support.h"

#define FOLDER TEST_DATA "/spreadsheets/"

static oxt_trials *read_file(const char *name)
{
    char path[512];
    snprintf(path, sizeof path, FOLDER "%s", name);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, path, NULL, &error));
    return log;
}

static oxt_trials *read_text(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv_text(&log, text, strlen(text), NULL, &error));
    return log;
}

static oxt_trial trial_of(const oxt_trials *log, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    OK(oxt_trials_get(log, index, &trial, &error));
    return trial;
}

static void same_trials(const oxt_trials *log, const oxt_trials *plain, const char *name)
{
    cr_assert_eq(oxt_trials_count(log), oxt_trials_count(plain), "%s", name);
    for (size_t i = 0; i < oxt_trials_count(plain); i++) {
        oxt_error error = OXT_ERROR_INIT;
        char note[64], other_note[64];
        oxt_trial trial = trial_of(log, i), other = trial_of(plain, i);
        trial.line = other.line; /* a line sep=; comes before */
        cr_assert(memcmp(&trial, &other, sizeof trial) == 0, "%s, trial %zu", name, i);
        OK(oxt_trials_note(log, i, note, sizeof note, NULL, &error));
        OK(oxt_trials_note(plain, i, other_note, sizeof other_note, NULL, &error));
        cr_assert_str_eq(note, other_note);
    }
}

/* tests/data/spreadsheets/README.md says how each was saved. */
Test(csv, files_of_spreadsheets_read_as_the_plain_one)
{
    oxt_trials *plain = read_file("plain.csv");
    cr_assert_eq(oxt_trials_count(plain), 4);
    cr_assert_eq(trial_of(plain, 0).bath_K, 315.5 + 273.15);
    cr_assert_eq(trial_of(plain, 2).time_s, 45.25);
    cr_assert_eq(trial_of(plain, 0).part_size_m, 2.5e-3);
    int files = 0;
    DIR *folder = opendir(FOLDER);
    cr_assert_not_null(folder);
    for (const struct dirent *entry = readdir(folder); entry; entry = readdir(folder)) {
        if (entry->d_name[0] == '.' || strstr(entry->d_name, "refused") ||
            strcmp(entry->d_name, "README.md") == 0)
            continue;
        oxt_trials *log = read_file(entry->d_name);
        same_trials(log, plain, entry->d_name);
        oxt_trials_free(log);
        files++;
    }
    closedir(folder);
    cr_assert_eq(files, 9);
    oxt_trials_free(plain);
}

typedef struct {
    const char *source;
    size_t line;
    const char *column, *found, *expected;
} refusal;

static void check_refusal(const refusal *wanted, oxt_faults *faults)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fault fault = OXT_FAULT_INIT;
    cr_assert_not_null(faults, "%s was read", wanted->source);
    OK(oxt_faults_get(faults, 0, &fault, &error));
    cr_assert_eq(oxt_faults_count(faults), 1, "%s", wanted->source);
    cr_assert_eq(fault.line, wanted->line, "%s: line %zu", wanted->source, fault.line);
    cr_assert_str_eq(fault.column, wanted->column);
    cr_assert_str_eq(fault.found, wanted->found);
    cr_assert(strstr(fault.expected, wanted->expected), "%s: %s", wanted->source, fault.expected);
    oxt_faults_free(faults);
}

/* What can be read in two ways is refused with both; what is no UTF-8 says how to save it. */
Test(csv, files_of_spreadsheets_that_are_refused)
{
    static const refusal files[] = {
        { "refused_utf16.txt", 1, "", "UTF-16", "'CSV UTF-8'" },
        { "refused_thousands_or_decimals.csv", 2, "time_s", "1,200", "1200 or 1.200: the mark" },
        { "refused_point_of_thousands.csv", 2, "time_s", "1.200", "1200 or 1.200: the mark" },
        { "refused_two_marks.csv", 3, "time_s", "1.200", "line 2 has '315,5'" },
        { "refused_two_separators.csv", 1, "", "steel,bath_F;time_s,colour;note",
          "by commas and by semicolons" },
    };
    for (size_t i = 0; i < OXT_I_COUNT(files); i++) {
        char path[512];
        snprintf(path, sizeof path, FOLDER "%s", files[i].source);
        oxt_trials *log;
        oxt_faults *faults;
        cr_assert_eq(oxt_trials_read_csv(&log, path, &faults, NULL), OXT_EPARSE);
        check_refusal(&files[i], faults);
    }
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    FAILS(oxt_trials_read_csv(&log, FOLDER "refused_windows_1252.csv", NULL, &error), OXT_EPARSE);
    SAYS("'CSV UTF-8'");
}

/* One mark is of decimals in all numbers of a file; the separator says what the other would group. */
Test(csv, decimal_marks)
{
    static const struct {
        const char *text;
        double bath_K, time_s;
    } good[] = {
        { "steel;bath_C;time_s;colour\nA;315,5;90;blue\n", 588.65, 90.0 },
        { "steel;bath_C;time_s;colour\nA;315,125;1,250;blue\n", 588.275, 1.25 },
        { "steel;bath_C;time_s;colour\nA;315.5;90.125;blue\n", 588.65, 90.125 },
        { "steel;bath_C;time_s;colour\nA;315;0.125;blue\n", 588.15, 0.125 },
        { "steel;bath_C;time_s;colour\nA;315;1234.125;blue\n", 588.15, 1234.125 },
        { "steel\tbath_C\ttime_s\tcolour\nA\t315,5\t90,125\tblue\n", 588.65, 90.125 },
        { "steel\tbath_C\ttime_s\tcolour\nA\t315.125\t90\tblue\n", 588.275, 90.0 },
        { "steel,bath_C,time_s,colour\nA,\"315,5\",\"1,250\",blue\n", 588.65, 1.25 },
        { "steel,bath_C,time_s,colour\nA,315.125,1.250,blue\n", 588.275, 1.25 },
        { "steel;bath;time;colour\nA;315,5 C;1:30,5;blue\n", 588.65, 90.5 },
        { "SEP=;\nsteel;bath_C;time_s;colour\nA;315,5;90;blue\n", 588.65, 90.0 },
        { "sep=\t\r\nsteel\tbath_C\ttime_s\tcolour\r\nA\t315,5\t90\tblue", 588.65, 90.0 },
        { "# log\n;;;\n\nsteel;bath_C;time_s;colour\n\nA;315,5;90;blue\n;;;\n", 588.65, 90.0 },
        { "steel;bath_C;time_s;colour;note, of the day\nA;315,5;90;blue;a, b\n", 588.65, 90.0 },
        { "\"steel\";\"bath_C\";\"time_s\";\"colour\"\n\"A\";\"315,5\";90;\"blue\"\n", 588.65,
          90.0 },
    };
    for (size_t i = 0; i < OXT_I_COUNT(good); i++) {
        oxt_trials *log = read_text(good[i].text);
        cr_assert_eq(oxt_trials_count(log), 1, "%s", good[i].text);
        NEAR(trial_of(log, 0).bath_K, good[i].bath_K, 1e-12);
        cr_assert_eq(trial_of(log, 0).time_s, good[i].time_s, "%s", good[i].text);
        cr_assert_str_eq(trial_of(log, 0).steel, "A");
        oxt_trials_free(log);
    }
}

Test(csv, marks_and_separators_that_are_refused)
{
    static const refusal texts[] = {
        { "steel;bath_C;time_s;colour\nA;315.5;90;blue\nA;315;90,5;blue\n", 3, "time_s", "90,5",
          "line 2 has '315.5'" },
        { "steel,bath_C,time_s,colour\nA,315.5,\"1,200\",blue\n", 2, "time_s", "1,200",
          "line 2 has '315.5'" },
        { "steel\tbath_C\ttime_s\tcolour\nA\t315\t1,200\tblue\n", 2, "time_s", "1,200",
          "1200 or 1.200" },
        { "steel;bath_C;time_s;colour\nA;315;12.250;blue\n", 2, "time_s", "12.250",
          "12250 or 12.250" },
        { "steel;bath_C;time_s;colour\nA;315;1.250,5;blue\n", 2, "time_s", "1.250,5",
          "a decimal point in place of the comma" },
        { "steel;bath_C;time_s;colour\nA;315;90;blue;x\n", 2, "",
          "more fields than the header has columns", "a semicolon inside a field" },
        { "sep=|\nsteel|bath_C\n", 1, "", "sep=|", "commas, semicolons or tabs" },
    };
    for (size_t i = 0; i < OXT_I_COUNT(texts); i++) {
        oxt_trials *log;
        oxt_faults *faults;
        cr_assert_eq(oxt_trials_read_csv_text(&log, texts[i].source, strlen(texts[i].source),
                                              &faults, NULL),
                     OXT_EPARSE);
        check_refusal(&texts[i], faults);
    }
}

/* The one reader serves histories too. */
Test(csv, a_history_with_decimal_commas)
{
    oxt_error error = OXT_ERROR_INIT;
    static const char text[] = "\xEF\xBB\xBFtime (s);temperature (C)\r\n0;20,5\r\n60,25;300\r\n";
    oxt_history *made;
    double time_s, temperature_K;
    OK(oxt_history_read_csv_text(&made, text, sizeof text - 1, 0.0, NULL, &error));
    OK(oxt_history_sample(made, 1, &time_s, &temperature_K, &error));
    cr_assert_eq(time_s, 60.25);
    OK(oxt_history_sample(made, 0, &time_s, &temperature_K, &error));
    NEAR(temperature_K, 293.65, 1e-12);
    oxt_history_free(made);
    static const char unclear[] = "time_s;temperature_C\n1.000;20\n2.000;300\n";
    FAILS(oxt_history_read_csv_text(&made, unclear, sizeof unclear - 1, 0.0, NULL, &error),
          OXT_EPARSE);
    SAYS("1000 or 1.000");
}
