/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files as spreadsheets save them: separators, decimal marks and encodings, told or refused. */
#include <dirent.h>
#include <stdio.h>
#include <string.h>

#include "base/internal.h"
#include "support.h"

#define FOLDER TEST_DATA "/spreadsheets/"

static oxt_trials *read_file(const char *name)
{
    char path[512];
    snprintf(path, sizeof path, FOLDER "%s", name);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, path, NULL, 0, NULL, NULL, &error));
    return log;
}

static oxt_trials *read_text(const char *text)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, NULL, &error));
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
        OK(oxt_trials_text(log, "note", i, note, sizeof note, NULL, &error));
        OK(oxt_trials_text(plain, "note", i, other_note, sizeof other_note, NULL, &error));
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

/* A header that names none of the columns lacks them: that is said, not that it could be cut in two ways. */
Test(csv, separators_of_an_unknown_header)
{
    static const char *const texts[] = { "v,w;x;y\n1,2;3;4\n", "v;w,x,y\n1;2,3,4\n" };
    for (size_t i = 0; i < 2; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_trials *log;
        oxt_faults *faults;
        FAILS(oxt_trials_read_csv(&log, NULL, texts[i], strlen(texts[i]), NULL, &faults, &error),
              OXT_EPARSE);
        for (size_t j = 0; j < oxt_faults_count(faults); j++) {
            oxt_fault fault = OXT_FAULT_INIT;
            OK(oxt_faults_get(faults, j, &fault, &error));
            cr_assert_null(strstr(fault.expected, "equally many"), "%s", fault.expected);
        }
        oxt_faults_free(faults);
    }
}

/* The column that was probably meant for each that is missing, "" for none. */
static void check_meant(const char *text, const char *const meant[4])
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *faults;
    FAILS(oxt_trials_read_csv(&log, NULL, text, strlen(text), NULL, &faults, &error), OXT_EPARSE);
    cr_assert_eq(oxt_faults_count(faults), 4, "%s", text);
    for (size_t i = 0; i < 4; i++) {
        oxt_fault fault = OXT_FAULT_INIT;
        OK(oxt_faults_get(faults, i, &fault, &error));
        cr_assert_str_eq(fault.found, meant[i], "%s", text);
    }
    oxt_faults_free(faults);
}

/* A header is cut where most of its columns are known, and where none is, where it has most columns: the names
 * that people write instead of the known ones are then found. */
Test(csv, an_unknown_header_is_cut_into_most_columns)
{
    check_meant("alloy;temp;hold;tint;x,y\n", (const char *[]){ "alloy", "temp", "hold", "tint" });
    check_meant("alloy,temp,hold,tint,x;y\n", (const char *[]){ "alloy", "temp", "hold", "tint" });
    check_meant("alloy;temp,hold,tint\n", (const char *[]){ "", "", "hold", "tint" });
    /* one known column outweighs any number of unknown ones */
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    static const char text[] = "steel,v;w;x;y\n1,2;3;4;5\n";
    FAILS(oxt_trials_read_csv(&log, NULL, text, sizeof text - 1, NULL, NULL, &error), OXT_EPARSE);
    cr_assert_str_eq(error.column, "bath", "%s", error.text);
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
        cr_assert_eq(oxt_trials_read_csv(&log, path, NULL, 0, NULL, &faults, NULL), OXT_EPARSE);
        check_refusal(&files[i], faults);
    }
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    FAILS(oxt_trials_read_csv(&log, FOLDER "refused_windows_1252.csv", NULL, 0, NULL, NULL, &error),
          OXT_EPARSE);
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
        cr_assert_eq(oxt_trials_read_csv(&log, NULL, texts[i].source, strlen(texts[i].source), NULL,
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
    double time_s[2], temperature_K[2];
    size_t count;
    OK(oxt_history_read_csv(&made, NULL, text, sizeof text - 1, 0.0, NULL, &error));
    OK(oxt_history_samples(made, 2, time_s, sizeof *time_s, temperature_K, sizeof *temperature_K,
                           &count, &error));
    cr_assert_eq(time_s[1], 60.25);
    NEAR(temperature_K[0], 293.65, 1e-12);
    oxt_history_free(made);
    static const char unclear[] = "time_s;temperature_C\n1.000;20\n2.000;300\n";
    FAILS(oxt_history_read_csv(&made, NULL, unclear, sizeof unclear - 1, 0.0, NULL, &error),
          OXT_EPARSE);
    SAYS("1000 or 1.000");
}

/* ---- plain lines ---- */

static const char *const odd_cells[] = {
    "600",
    "600.5",
    "600.125",
    "599.99",
    "610.25",
    "1.250",
    "0.125",
    "60",
    "60.0",
    "90",
    "45.5",
    "+60",
    "-60",
    "-0",
    "1e2",
    "0x40",
    "60.",
    ".5",
    "0060",
    "60,5",
    "1,250",
    "",
    "",
    "57.123456",
    "nan",
    "inf",
    "1 000",
    "60 s",
    " 60",
    "60 ",
    "6.0.1",
    "60\xC2\xB0",
    "300.1234567890123",
    "1234567890.1234567890123",
};
static const char *const odd_names[] = {
    "Alder 1",
    "Alder 1",
    "Birch 2",
    "",
    " Cedar",
    "A#1",
    "#x",
    "\xC3\x84lder",
    "\xFF",
    ("a name that is longer than the sixty-three bytes that a name "
     "of a steel may have")
};
static const char *const odd_colours[] = { "blue",  "Straw",     "blue",
                                           "mauve", "",          "straw",
                                           "",      "dark blue", "second order purple" };

static unsigned dice(unsigned sides)
{
    static unsigned long long state = 7;
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (unsigned)(state >> 33) % sides;
}

#define ONE_OF(list) (list)[dice(sizeof(list) / sizeof *(list))]

static void add_cell(char *plain, char *quoted, const char *cell, const char *after)
{
    strcat(strcat(plain, cell), after);
    strcat(strcat(strcat(strcat(quoted, "\""), cell), "\""), after);
}

/* Contract: a line is read alike in the short way and in the long one, which a quote anywhere takes; only blanks at
 * the ends of a cell belong to it when it is quoted. Faults, too. */
Test(csv, plain_lines_are_read_as_quoted_ones_are)
{
    oxt_error error = OXT_ERROR_INIT;
    int read = 0, refused = 0;
    for (int i = 0; i < 6000; i++) {
        char plain[4000] = "steel;finish;bath_F;time_s;colour;thickness_nm;lift_s;part_mm;note\n";
        char quoted[4000], by_plain[6000] = "", by_quoted[6000] = "";
        bool odd = i % 3 == 0;
        strcpy(quoted, plain);
        for (unsigned row = 0; row < 1 + dice(5); row++) {
            bool colour = dice(2);
            const char *number = dice(3) ? "57.5" : "40.125";
            const char *cells[] = {
                odd       ? ONE_OF(odd_names)
                : dice(2) ? "Alder 1"
                          : "Birch 2",
                odd ? ONE_OF(odd_names) : "satin",
                odd       ? ONE_OF(odd_cells)
                : dice(2) ? "600"
                          : "610.25",
                odd       ? ONE_OF(odd_cells)
                : dice(2) ? "90"
                          : "60.5",
                colour ? (odd ? ONE_OF(odd_colours) : "blue") : "",
                colour ? ""
                : odd  ? ONE_OF(odd_cells)
                       : number,
                dice(4) ? ""
                : odd   ? ONE_OF(odd_cells)
                        : "2.5",
                dice(4) ? "" : "6",
                dice(3) ? "" : "kept",
            };
            for (int j = 0; j < 9; j++) {
                /* what a quote changes is left out */
                bool blank = cells[j][0] == ' ' ||
                             (*cells[j] && cells[j][strlen(cells[j]) - 1] == ' ');
                bool comment = j == 0 && cells[j][0] == '#';
                add_cell(plain, quoted, blank || comment ? "x" : cells[j], j < 8 ? ";" : "\n");
            }
        }
        oxt_trials *first, *second;
        oxt_faults *of_plain, *of_quoted;
        oxt_status a = oxt_trials_read_csv(&first, NULL, plain, strlen(plain), NULL, &of_plain,
                                           &error);
        oxt_status b = oxt_trials_read_csv(&second, NULL, quoted, strlen(quoted), NULL, &of_quoted,
                                           &error);
        cr_assert_eq(a, b, "%s", plain);
        if (a) {
            OK(oxt_faults_report(of_plain, by_plain, sizeof by_plain, NULL, &error));
            OK(oxt_faults_report(of_quoted, by_quoted, sizeof by_quoted, NULL, &error));
            refused++;
        } else {
            OK(oxt_trials_write_csv_text(first, by_plain, sizeof by_plain, NULL, &error));
            OK(oxt_trials_write_csv_text(second, by_quoted, sizeof by_quoted, NULL, &error));
            oxt_trial one = OXT_TRIAL_INIT, other = OXT_TRIAL_INIT;
            OK(oxt_trials_get(first, oxt_trials_count(first) - 1, &one, &error));
            OK(oxt_trials_get(second, oxt_trials_count(second) - 1, &other, &error));
            cr_assert_eq(one.line, other.line);
            read++;
        }
        cr_assert_str_eq(by_plain, by_quoted, "%s", plain);
        oxt_faults_free(of_plain);
        oxt_faults_free(of_quoted);
        oxt_trials_free(first);
        oxt_trials_free(second);
    }
    cr_assert(read > 1000 && refused > 1000, "%d read, %d refused", read, refused);
}

/* Lines that end in CR LF and in LF, across the blocks that a file is read in. */
Test(csv, plain_lines_of_a_long_file)
{
    enum { COUNT = 3000 };
    oxt_error error = OXT_ERROR_INIT;
    char *text = malloc(COUNT * 64);
    size_t length = 0;
    length += (size_t)sprintf(text, "steel,bath_C,time_min,thickness_nm\r\n");
    for (int i = 0; i < COUNT; i++)
        length += (size_t)sprintf(text + length, "%sSteel %d%s,3%02d.5,1.%d,4%d.25%s\n",
                                  i % 7 ? "" : "\"", i / 12, i % 7 ? "" : "\"", i % 90, i % 9,
                                  i % 10, i % 5 ? "\r" : "");
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, scratch_file("long.csv", text, length), NULL, 0, NULL, NULL,
                           &error));
    cr_assert_eq(oxt_trials_count(log), COUNT);
    for (size_t i = 0; i < COUNT; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        char name[32];
        OK(oxt_trials_get(log, i, &trial, &error));
        snprintf(name, sizeof name, "Steel %zu", i / 12);
        cr_assert_str_eq(trial.steel, name);
        cr_assert_eq(trial.line, i + 2);
        cr_assert(trial.bath_K == 300.5 + (double)(i % 90) + 273.15);
        cr_assert(trial.thickness_nm == 40.25 + (double)(i % 10));
    }
    oxt_trials_free(log);
    free(text);
}
