/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs of test coupons: read whole or not at all, with all faults named, and written so that they
 * read back number for number. */
#define _XOPEN_SOURCE 700

#include <gsl/gsl_rng.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/internal.h"
#include "support.h"

/* A text with its length, so that it may hold NUL bytes. */
#define BYTES(text) text, sizeof(text) - 1

static oxt_trials *read_bytes(const char *text, size_t length)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *faults = (oxt_faults *)&error;
    OK(oxt_trials_read_csv(&log, NULL, text, length, NULL, &faults, &error));
    cr_assert_null(faults);
    return log;
}

static oxt_trials *read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

static oxt_trial trial_of(const oxt_trials *log, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    OK(oxt_trials_get(log, index, &trial, &error));
    return trial;
}

static const char *note_of(const oxt_trials *log, size_t index)
{
    static char note[4096];
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_trials_text(log, "note", index, note, sizeof note, NULL, &error));
    return note;
}

/* ---- what separates columns ---- */

static char separator_of(const char *text)
{
    static const char *const columns[] = { "name", "card", "target" };
    oxt_error error = OXT_ERROR_INIT;
    char found = '?';
    OK(oxt_trials_csv_separator(&found, text, strlen(text), columns, 3, NULL, &error));
    return found;
}

Test(trials, the_rule_of_separators_by_itself)
{
    cr_assert_eq(separator_of("name,card,target\na;b;c\n"), ',');
    cr_assert_eq(separator_of("\xEF\xBB\xBFNAME;card;note, long\na;b\n"), ';');
    cr_assert_eq(separator_of("# list, of parts\n\n\"name\"\tcard"), '\t');
    cr_assert_eq(separator_of("sep=\t\nname;card;target\n"), '\t');
    cr_assert_eq(separator_of("a;b;c\n"), ';');
    cr_assert_eq(separator_of(""), ',');
    cr_assert_eq(separator_of("name\nx;y\n"), ',');
}

Test(trials, a_header_that_two_separators_fit_is_refused)
{
    static const char *const columns[] = { "name", "card", "target", NULL };
    static const char text[] = "\nname,card;target\na,b\n", stated[] = "sep=|\nname\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults;
    oxt_fault fault = OXT_FAULT_INIT;
    char found = '?';
    cr_assert_eq(oxt_trials_csv_separator(&found, text, sizeof text - 1, columns, 3, &faults,
                                          &error),
                 OXT_EPARSE);
    OK(oxt_faults_get(faults, 0, &fault, &error));
    cr_assert(fault.line == 2 && strstr(fault.expected, "by commas and by semicolons"), "%s",
              fault.expected);
    oxt_faults_free(faults);
    cr_assert_eq(oxt_trials_csv_separator(&found, stated, sizeof stated - 1, columns, 2, NULL,
                                          &error),
                 OXT_EPARSE);
    cr_assert_eq(oxt_trials_csv_separator(&found, "x", 1, columns, 4, NULL, &error), OXT_EARG);
    cr_assert_eq(oxt_trials_csv_separator(&found, "x", 1, columns, 0, NULL, &error), OXT_EDOMAIN);
    cr_assert_eq(oxt_trials_csv_separator(&found, "x", 1, columns, 33, NULL, &error), OXT_EDOMAIN);
    cr_assert_eq(oxt_trials_csv_separator(NULL, "x", 1, columns, 2, NULL, &error), OXT_EARG);
    cr_assert_eq(found, '?');
}

/* ---- the scale of the baths ---- */

static void expect_unit(const char *text, oxt_temperature_unit unit)
{
    oxt_trials *log = read_text(text);
    cr_assert_eq(oxt_trials_unit(log), unit, "%s", text);
    oxt_trials_free(log);
}

/* Not the scale of `start`, and of several letters the first: "650 Fahrenheit" is no C by its last one. */
Test(trials, baths_are_told_in_the_scale_they_were_typed_in)
{
    expect_unit("steel,bath_F,time_s,colour\nA,600,60,blue\n", OXT_UNIT_FAHRENHEIT);
    expect_unit("steel,bath_C,time_s,colour,part_mm,start_F\nA,310,60,blue,2,70\n",
                OXT_UNIT_CELSIUS);
    expect_unit("steel,bath (K),time_s,colour\n\"A\",590,60,blue\n", OXT_UNIT_KELVIN);
    expect_unit("steel,bath,time_s,colour\nA,600 Fahrenheit,60,blue\nA,310 C,60,blue\n",
                OXT_UNIT_FAHRENHEIT);
    expect_unit("steel,bath,time_s,colour\nA,310 deg C,60,blue\nA,600 F,60,blue\n",
                OXT_UNIT_CELSIUS);
    expect_unit("steel,bath,time_s,colour\nA,590K,60,blue\n", OXT_UNIT_KELVIN);
}

Test(trials, a_log_made_in_code_is_in_C_until_it_is_said_or_a_table_says_it)
{
    static const char *const names[] = { "steel", "bath_F", "time_s", "colour" },
                             *const steel = "A", *const colour = "blue", *const bad = "bleu";
    static const double bath = 600.0, time = 60.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_new(&log, NULL, &error));
    cr_assert_eq(oxt_trials_unit(log), OXT_UNIT_CELSIUS);
    oxt_column columns[4];
    const oxt_column *all[4];
    const void *values[] = { &steel, &bath, &time, &bad };
    for (int i = 0; i < 4; i++) {
        columns[i] = (oxt_column)OXT_COLUMN_INIT;
        columns[i].name = names[i];
        columns[i].values = values[i];
        columns[i].kind = i == 0 || i == 3 ? OXT_COLUMN_TEXT : OXT_COLUMN_DOUBLE;
        all[i] = &columns[i];
    }
    /* a table that is refused says nothing */
    cr_assert_eq(oxt_trials_add_columns(log, 1, all, 4, NULL, &error), OXT_EPARSE);
    cr_assert_eq(oxt_trials_unit(log), OXT_UNIT_CELSIUS);
    columns[3].values = &colour;
    OK(oxt_trials_add_columns(log, 1, all, 4, NULL, &error));
    cr_assert_eq(oxt_trials_unit(log), OXT_UNIT_FAHRENHEIT);
    /* what was said first stays, and what is said outright counts */
    columns[1].name = "bath_K";
    OK(oxt_trials_add_columns(log, 1, all, 4, NULL, &error));
    cr_assert_eq(oxt_trials_unit(log), OXT_UNIT_FAHRENHEIT);
    OK(oxt_trials_set_unit(log, OXT_UNIT_KELVIN, &error));
    cr_assert_eq(oxt_trials_unit(log), OXT_UNIT_KELVIN);
    cr_assert_eq(oxt_trials_set_unit(log, (oxt_temperature_unit)3, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "unit");
    cr_assert_eq(oxt_trials_unit(log), OXT_UNIT_KELVIN);
    oxt_trials_free(log);
}

/* ---- reading ---- */

/* 650 F is 343.33 C or 616.48 K (NIST SP 811, appendix B.9: T/K = (t/F + 459.67)/1.8). */
Test(trials, columns_in_any_order_and_case_with_units_in_the_header_or_the_cell)
{
    static const char *const texts[] = {
        "steel,finish,bath_F,time_s,colour\nAlder 1,polished,650,90,blue\n",
        "COLOR,Time_S,BATH_f,Finish,Steel\nblue,90,650,polished,Alder 1\n",
        "colour,bath (F),time_min,steel,finish\nblue,650,1.5,Alder 1,polished\n",
        "colour,bath [C],time (h),steel,finish\nblue,343.33333333333333,0.025,Alder 1,polished\n",
        "steel,finish,bath_K,time (s),colour\nAlder 1,polished,616.48333333333333,90,blue\n",
        "steel,finish,bath_C,time_s,colour\nAlder 1,polished,343.33333333333333,90.0e0,blue\n",
        "steel,finish,bath(F),time[min],colour\nAlder 1,polished,650,1.5,blue\n",
        "steel,finish,bath (\xC2\xB0"
        "F),time_s,colour\nAlder 1,polished,650,90,blue\n",
        "steel,finish,bath,time,colour\nAlder 1,polished,650 F,1:30,blue\n",
        "steel,finish,bath,time,colour\nAlder 1,polished,616.48333333333333 K,90 s,blue\n",
        "steel,finish,bath,time,colour\nAlder 1,polished,650 deg F,1.5 min,blue\n",
        " steel , finish,\tbath_F ,time_s, colour\n  Alder 1 ,polished ,\t650, 90 ,blue\n",
        "steel,finish,bath_F,time_s,colour,thickness_nm,L,a,b,srgb,note\n"
        "Alder 1,polished,650,90,blue,,,,,,\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        oxt_trials *log = read_text(texts[i]);
        cr_assert_eq(oxt_trials_count(log), 1, "%s", texts[i]);
        oxt_trial trial = trial_of(log, 0);
        cr_assert_str_eq(trial.steel, "Alder 1");
        cr_assert_str_eq(trial.finish, "polished");
        cr_assert_str_eq(trial.colour, "blue");
        cr_assert_eq(trial.seen, OXT_SEEN_COLOUR);
        cr_assert_eq(trial.line, 2);
        NEAR(trial.bath_K, (650.0 + 459.67) / 1.8, 1e-9);
        NEAR(trial.time_s, 90.0, 1e-9);
        cr_assert_str_empty(note_of(log, 0));
        oxt_trials_free(log);
    }
}

Test(trials, every_kind_of_thing_seen)
{
    oxt_trials *log = read_text("steel,bath_C,time_s,colour,thickness_nm,L,a,b,srgb\n"
                                "A,300,60,Second Order Blue,,,,,\n"
                                "A,300,60,,57.25,,,,\n"
                                "A,300,60,,,37.5,-4,-21.25,\n"
                                "A,300,60,,,,,,#2B3a67\n");
    cr_assert_eq(oxt_trials_count(log), 4);
    cr_assert_str_eq(trial_of(log, 0).colour, "Second Order Blue");
    oxt_trial trial = trial_of(log, 1);
    cr_assert_eq(trial.seen, OXT_SEEN_THICKNESS);
    cr_assert_eq(trial.thickness_nm, 57.25);
    trial = trial_of(log, 2);
    cr_assert_eq(trial.seen, OXT_SEEN_LAB);
    cr_assert(trial.lab[0] == 37.5 && trial.lab[1] == -4.0 && trial.lab[2] == -21.25);
    trial = trial_of(log, 3);
    cr_assert_eq(trial.seen, OXT_SEEN_SRGB);
    cr_assert_str_eq(trial.srgb, "#2B3a67");
    cr_assert_str_empty(trial.finish, "a log without a column finish");
    oxt_trials_free(log);
}

Test(trials, thickness_in_its_units_and_lab_with_stars)
{
    static const char *const texts[] = { "steel,bath_C,time_s,thickness_nm\nA,300,60,57\n",
                                         "steel,bath_C,time_s,thickness (um)\nA,300,60,0.057\n",
                                         "steel,bath_C,time_s,thickness\nA,300,60,57 nm\n" };
    for (size_t i = 0; i < 3; i++) {
        oxt_trials *log = read_text(texts[i]);
        NEAR(trial_of(log, 0).thickness_nm, 57.0, 1e-9);
        oxt_trials_free(log);
    }
    oxt_trials *log = read_text("b*,a*,L*,steel,bath_C,time_s\n3,2,1,A,300,60\n");
    oxt_trial trial = trial_of(log, 0);
    cr_assert(trial.lab[0] == 1.0 && trial.lab[1] == 2.0 && trial.lab[2] == 3.0);
    oxt_trials_free(log);
}

/* One log in all line endings: with and without a byte order mark and a final line ending. */
static size_t with_endings(const char *text, const char *ending, bool mark, bool final, char *into)
{
    char *at = into;
    if (mark)
        at = stpcpy(at, "\xEF\xBB\xBF");
    for (; *text; text++)
        if (*text == '\n' && (text[1] || final))
            at = stpcpy(at, ending);
        else if (*text != '\n')
            *at++ = *text;
    *at = '\0';
    return (size_t)(at - into);
}

/* RFC 4180: quoted fields may hold commas, doubled quotes and line breaks. Lines of trials are those
 * where they begin, whatever the fields before them hold. */
Test(trials, line_endings_quotes_comments_and_lines)
{
    static const char text[] = "# log of the second bath\n"
                               "\n"
                               "steel,bath_C,time_s,colour,note\n"
                               "\n"
                               "\"Alder, 1\",300,60,blue,\"first\n"
                               "\n"
                               "# third, \"\"quoted\"\"\n"
                               "fourth\"\n"
                               "   \t\n"
                               "# a comment, with a stray \" and, commas\n"
                               ",,,,\n"
                               "Alder 2,300,61,straw,\"\"\n"
                               "Alder 3,300,62,purple\n";
    static const char *const endings[] = { "\n", "\r\n", "\r" };
    for (int which = 0; which < 12; which++) {
        const char *ending = endings[which % 3];
        char made[1024], note[200];
        size_t length = with_endings(text, ending, which % 2, which / 6, made);
        snprintf(note, sizeof note, "first%s%s# third, \"quoted\"%sfourth", ending, ending, ending);
        oxt_trials *log = read_bytes(made, length);
        cr_assert_eq(oxt_trials_count(log), 3);
        cr_assert_str_eq(trial_of(log, 0).steel, "Alder, 1");
        cr_assert_str_eq(note_of(log, 0), note);
        cr_assert_str_empty(note_of(log, 1));
        cr_assert_str_eq(trial_of(log, 2).colour, "purple");
        cr_assert_eq(trial_of(log, 0).line, 5);
        cr_assert_eq(trial_of(log, 1).line, 12);
        cr_assert_eq(trial_of(log, 2).line, 13);
        oxt_trials_free(log);
    }
}

Test(trials, utf8_names_and_other_columns)
{
    oxt_trials *log = read_text(
        "steel,finish,bath_C,time_s,salt,colour,note,\xC3\x96"
        "fen\n"
        "Erle N\xC2\xBA 1,gl\xC3\xA4nzend,300,60,clock salt,blue,slow lift,\xF0\x9F\x94\xA5\n"
        "Erle N\xC2\xBA 1,gl\xC3\xA4nzend,300,60,,blue,,2\n"
        "Erle N\xC2\xBA 1,gl\xC3\xA4nzend,300,60,,blue,,\n");
    cr_assert_str_eq(trial_of(log, 0).steel, "Erle N\xC2\xBA 1");
    cr_assert_str_eq(trial_of(log, 0).finish, "gl\xC3\xA4nzend");
    cr_assert_str_eq(note_of(log, 0), "slow lift; salt: clock salt; \xC3\x96"
                                      "fen: \xF0\x9F\x94\xA5");
    cr_assert_str_eq(note_of(log, 1), "\xC3\x96"
                                      "fen: 2");
    cr_assert_str_empty(note_of(log, 2));
    oxt_trials_free(log);
}

/* ---- faults ---- */

#define HEADER "steel,finish,bath_F,time_s,colour\n"
#define ALL "steel,bath_C,time_s,colour,thickness_nm,L,a,b,srgb\n"
#define MANY_COMMAS_16 ",,,,,,,,,,,,,,,,"
#define MANY_COMMAS_256                                                                           \
    MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16     \
        MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 \
            MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16 MANY_COMMAS_16
#define LONG_NAME "an alloy whose name goes on and on and on until it is too long!!"

/* One text, its one fault. */
typedef struct {
    const char *text;
    size_t length, line;
    const char *column, *found, *expected; /* expected: words in it */
} fault_case;

static const fault_case fault_cases[] = {
    /* numbers */
    { BYTES(HEADER "A,,6500,60,blue\n"), 2, "bath_F", "6500", "100 C to 700 C" },
    { BYTES(HEADER "A,,211.9,60,blue\n"), 2, "bath_F", "211.9", "212 F" },
    { BYTES(HEADER "A,,nan,60,blue\n"), 2, "bath_F", "nan", "a plain number" },
    { BYTES(HEADER "A,,inf,60,blue\n"), 2, "bath_F", "inf", "a plain number" },
    { BYTES(HEADER "A,,0x28A,60,blue\n"), 2, "bath_F", "0x28A", "a plain number" },
    { BYTES(HEADER "A,,650 F,60,blue\n"), 2, "bath_F", "650 F", "a plain number" },
    { BYTES(HEADER "A,,,60,blue\n"), 2, "bath_F", "", "a bath" },
    { BYTES(HEADER "A,,650,0,blue\n"), 2, "time_s", "0", "above 0" },
    { BYTES(HEADER "A,,650,-60,blue\n"), 2, "time_s", "-60", "above 0" },
    { BYTES(HEADER "A,,650,1000001,blue\n"), 2, "time_s", "1000001", "up to 1000000 s" },
    { BYTES(HEADER "A,,650,1e999,blue\n"), 2, "time_s", "1e999", "a time" },
    { BYTES(HEADER "A,,650,NaN,blue\n"), 2, "time_s", "NaN", "a plain number" },
    { BYTES(HEADER "A,,650,-inf,blue\n"), 2, "time_s", "-inf", "a plain number" },
    { BYTES(HEADER "A,,650,0x1p5,blue\n"), 2, "time_s", "0x1p5", "a plain number" },
    { BYTES(HEADER "A,,650,\"1,5,5\",blue\n"), 2, "time_s", "1,5,5", "a decimal point" },
    { BYTES(HEADER "A,,650,6 0,blue\n"), 2, "time_s", "6 0", "a plain number" },
    { BYTES("steel,bath,time_s,colour\nA,650,60,blue\n"), 2, "bath", "650", "with its unit" },
    { BYTES("steel,bath,time_s,colour\nA,6500 F,60,blue\n"), 2, "bath", "6500 F", "1292 F" },
    { BYTES("steel,bath_F,time,colour\nA,650,60,blue\n"), 2, "time", "60", "with its unit" },
    { BYTES("steel,bath_F,time,colour\nA,650,1:75,blue\n"), 2, "time", "1:75", "a time" },
    { BYTES("steel,bath_F,time (min),colour\nA,650,-1,blue\n"), 2, "time (min)", "-1", "above 0" },
    { BYTES(ALL "A,300,60,,0,,,,\n"), 2, "thickness_nm", "0", "above 0" },
    { BYTES(ALL "A,300,60,,1000.5,,,,\n"), 2, "thickness_nm", "1000.5", "1000 nm" },
    { BYTES(ALL "A,300,60,,,101,0,0,\n"), 2, "L", "101", "0 to 100" },
    { BYTES(ALL "A,300,60,,,50,-201,0,\n"), 2, "a", "-201", "-200 to 200" },
    { BYTES(ALL "A,300,60,,,50,0,x,\n"), 2, "b", "x", "-200 to 200" },
    { BYTES(ALL "A,300,60,,,50,0,,\n"), 2, "b", "", "-200 to 200" },
    /* names */
    { BYTES(HEADER "A,,650,60,mauve\n"), 2, "colour", "mauve", "a trade name: bright, faint" },
    { BYTES(HEADER "A,,650,60,third order blue\n"), 2, "colour", "third order blue", "a trade" },
    { BYTES(ALL "A,300,60,,,,,,2b3a67\n"), 2, "srgb", "2b3a67", "#2b3a67" },
    { BYTES(ALL "A,300,60,,,,,,#2b3a6\n"), 2, "srgb", "#2b3a6", "an sRGB colour" },
    { BYTES(HEADER ",,650,60,blue\n"), 2, "steel", "", "name of a steel" },
    { BYTES(HEADER LONG_NAME ",,650,60,blue\n"), 2, "steel",
      "an alloy whose name goes on and on and on until it is too long!", "at most 63 bytes" },
    { BYTES(HEADER "A," LONG_NAME ",650,60,blue\n"), 2, "finish",
      "an alloy whose name goes on and on and on until it is too long!", "at most 63 bytes" },
    /* things seen */
    { BYTES(ALL "A,300,60,blue,57,,,,\n"), 2, "", "more than one", "exactly one thing seen" },
    { BYTES(ALL "A,300,60,,,,,,\n"), 2, "", "", "exactly one thing seen" },
    /* header */
    { BYTES("finish,bath_F,time_s,colour\nx,650,60,blue\n"), 1, "steel", "", "a column steel" },
    { BYTES("steel,time_s,colour\nA,60,blue\n"), 1, "bath", "", "bath_F, bath_C or bath_K" },
    { BYTES("steel,bath_R,time_s,colour\nA,650,60,blue\n"), 1, "bath", "bath_R",
      "a column bath_F, bath_C or bath_K, or bath with a scale in each cell; did you mean bath_" },
    { BYTES("stel,bath_F,time_s,colour\nA,650,60,blue\n"), 1, "steel", "stel",
      "did you mean steel?" },
    { BYTES("steel,Temp (F),time_s,colour\nA,650,60,blue\n"), 1, "bath", "Temp (F)",
      "did you mean bath_F?" },
    { BYTES("steel,bath_F,time_s,Thickness\nA,650,60,2 mm\n"), 2, "Thickness", "2 mm",
      "the size of the coupon belongs in a column part_mm" },
    { BYTES("steel,bath_F,colour\nA,650,blue\n"), 1, "time", "", "time_s, time_min or time_h" },
    { BYTES("steel,bath_F,time_s\nA,650,60\n"), 1, "colour", "", "what was seen" },
    { BYTES("steel,bath_F,time_s,L,a\nA,650,60,1,2\n"), 1, "L", "", "L, a and b together" },
    { BYTES("steel,bath_F,time_s,colour,Color\n"), 1, "Color", "Color", "only one column" },
    { BYTES("steel,bath_F,time_s,colour,bath_C\n"), 1, "bath_C", "bath_C", "only one column" },
    { BYTES("steel,bath_F,time_s,colour" MANY_COMMAS_256 "\n"), 1, "", "too many columns",
      "at most 256" },
    /* the file as a whole */
    { BYTES(""), 0, "", "", "a header line" },
    { BYTES("\xEF\xBB\xBF"), 0, "", "", "a header line" },
    { BYTES("\n# nothing yet\n  \n"), 0, "", "", "a header line" },
    { BYTES(HEADER), 0, "", "only a header", "at least one trial" },
    { BYTES(HEADER ",,,,\n# none\n"), 0, "", "only a header", "at least one trial" },
    /* bytes */
    { BYTES("\xFF\xFEs\0t\0"), 1, "", "UTF-16", "UTF-8" },
    { BYTES("\xFE\xFF\0s\0t"), 1, "", "UTF-16", "UTF-8" },
    { BYTES(HEADER "Erle \xC4 1,,650,60,blue\n"), 2, "steel", "Erle ? 1", "UTF-8 text" },
    { BYTES(HEADER "Erle \xC0\x80,,650,60,blue\n"), 2, "steel", "Erle ??", "UTF-8 text" },
    { BYTES(HEADER "Erle \xED\xA0\x80,,650,60,blue\n"), 2, "steel", "Erle ???", "UTF-8 text" },
    { BYTES("steel,bath_F,time_s,colour,\xC4\n"), 1, "", "?", "UTF-8 text" },
    { BYTES(HEADER "A\0B,,650,60,blue\n"), 2, "", "a NUL byte", "UTF-8 text" },
    { BYTES("steel,finish,bath_F,time_s,colour,x\0y\nA,,650,60,blue,1\n"), 1, "", "a NUL byte",
      "UTF-8 text" },
    { BYTES(HEADER "A,,650,60,bl\xFC"
                   "e\n"),
      2, "colour", "bl?e", "CSV UTF-8" },
    { BYTES(HEADER "A\xC4,,650,60,blue,\n"), 2, "steel", "A?", "UTF-8 text" },
    { BYTES(HEADER "\xEF\xBB\xBF"
                   "A,,650,60,blue\n"),
      2, "steel",
      "\xEF\xBB\xBF"
      "A",
      "no byte-order mark" },
    { BYTES("steel,bath_F,\xEF\xBB\xBFtime_s,time,colour\nA,650,60,1:00,blue\n"), 1, "",
      "\xEF\xBB\xBFtime_s", "no byte-order mark" },
    /* a slip in a quantity is told as what it is */
    { BYTES("steel,bath,time,colour\nA,650 F,1:5,blue\n"), 2, "time", "1:5", "such as 1:05" },
    { BYTES("steel,bath,time,colour,part\nA,650 F,1:05,blue,1 ft\n"), 2, "part", "1 ft", "12 in" },
    /* how it would be right */
    { BYTES("steel,bath,time,colour\nA,650 F,90,blue\n"), 2, "time", "90", "such as 90 s or 1:30" },
    { BYTES("steel,bath,time,colour\nA,650,1:30,blue\n"), 2, "bath", "650",
      "such as 650 F or 343 C" },
    { BYTES("steel,bath_F,time_s,colour\nA,650,1:30,blue\n"), 2, "time_s", "1:30",
      "a plain number; a column called time takes 1:30" },
    { BYTES("{\n  \"oxtint_card\": {},\n"), 1, "", "{", "this looks like a card" },
    /* quotes and commas */
    { BYTES(HEADER "A,,650,60,\"blue\n\n"), 2, "", "a quote that is never closed", "closing" },
    { BYTES(HEADER "A,,650,60,bl\"ue\n"), 2, "", "a stray quote", "doubled" },
    { BYTES(HEADER "\"A\"1,,650,60,blue\n"), 2, "", "a stray quote", "doubled" },
    { BYTES("steel,bath_F,time_s,co\"lour\nA,650,60,blue\n"), 1, "", "a stray quote", "doubled" },
    { BYTES(HEADER "A,,650,60,blue,oops\n"), 2, "", "more fields than the header has columns",
      "a comma inside a field" },
    /* lines are those of the file */
    { BYTES("#\n" HEADER "\"A\n\nB\",,650,60,blue\n\r\n\"C\r\nD\",,650,-5,blue\n"), 7, "time_s",
      "-5", "above 0" },
};

/* The faults of a text that must have some; nothing may be loaded. */
static oxt_faults *faults_of(const char *text, size_t length, oxt_error *detail)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = (oxt_trials *)&error;
    oxt_faults *faults = NULL;
    FAILS(oxt_trials_read_csv(&log, NULL, text, length, NULL, &faults, &error), OXT_EPARSE);
    cr_assert_null(log, "half-loaded");
    cr_assert_not_null(faults);
    *detail = error;
    return faults;
}

static oxt_fault fault_at(const oxt_faults *faults, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fault fault = OXT_FAULT_INIT;
    OK(oxt_faults_get(faults, index, &fault, &error));
    return fault;
}

Test(trials, each_fault_is_named_with_line_column_found_and_expected)
{
    for (size_t i = 0; i < sizeof fault_cases / sizeof fault_cases[0]; i++) {
        const fault_case *wanted = &fault_cases[i];
        oxt_error error = OXT_ERROR_INIT;
        oxt_faults *faults = faults_of(wanted->text, wanted->length, &error);
        cr_assert_eq(oxt_faults_count(faults), 1, "%zu faults in '%s': %s",
                     oxt_faults_count(faults), wanted->text, error.text);
        oxt_fault fault = fault_at(faults, 0);
        cr_assert_eq(fault.line, wanted->line, "line %zu in '%s'", fault.line, wanted->text);
        cr_assert_str_eq(fault.column, wanted->column, "column '%s' in '%s'", fault.column,
                         wanted->text);
        cr_assert_str_eq(fault.found, wanted->found, "found '%s' in '%s'", fault.found,
                         wanted->text);
        cr_assert(strstr(fault.expected, wanted->expected), "expected '%s' in '%s'", fault.expected,
                  wanted->text);
        cr_assert_eq(error.row, wanted->line);
        cr_assert_str_eq(error.column, wanted->column);
        SAYS(wanted->expected);
        oxt_faults_free(faults);
    }
}

/* Only a time is written like a clock. */
Test(trials, a_bath_like_a_clock_is_no_time)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults = faults_of(BYTES("steel,bath_F,time_s,colour\nA,6:50,1:30,blue\n"), &error);
    cr_assert_eq(oxt_faults_count(faults), 2);
    cr_assert(strstr(fault_at(faults, 0).expected, "written as a plain number"));
    cr_assert(!strstr(fault_at(faults, 0).expected, "a column called time"));
    cr_assert(strstr(fault_at(faults, 1).expected, "a column called time takes 1:30"));
    oxt_faults_free(faults);
}

/* The names are told once for a file, and not at all where the nearest will do. */
Test(trials, trade_names_are_listed_once)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults = faults_of(BYTES(HEADER "A,,650,60,bleu\nA,,650,60,mauve\nA,,650,60,pink\n"
                                                "A,,650,60,strwa\nA,,650,60,violet\n"),
                                   &error);
    static const char *const expected[] = { "a trade name; did you mean 'blue'?",
                                            "a trade name: bright, faint straw",
                                            "a trade name, as listed above",
                                            "a trade name; did you mean 'straw'?" };
    cr_assert_eq(oxt_faults_count(faults), OXT_I_COUNT(expected));
    for (size_t i = 0; i < OXT_I_COUNT(expected); i++)
        cr_assert(strstr(fault_at(faults, i).expected, expected[i]), "%s",
                  fault_at(faults, i).expected);
    oxt_faults_free(faults);
}

Test(trials, all_faults_are_reported_at_once)
{
    static const char text[] = "steel,bath_F,time_s,colour,note\n"
                               "A,650,60,blue,sound\n"
                               "A,6500,-60,mauve,three faults\n"
                               ",650,60,blue,\"two\nlines\"\n"
                               "A,650,60,bl\"ue,\n"
                               "A,650,60,blue,also sound\n"
                               "A,650,0,blue,\n";
    static const struct {
        size_t line;
        const char *column, *found;
    } wanted[] = { { 3, "bath_F", "6500" }, { 3, "time_s", "-60" },     { 3, "colour", "mauve" },
                   { 4, "steel", "" },      { 6, "", "a stray quote" }, { 8, "time_s", "0" } };
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults = faults_of(text, strlen(text), &error);
    cr_assert_eq(oxt_faults_count(faults), 6);
    for (size_t i = 0; i < 6; i++) {
        oxt_fault fault = fault_at(faults, i);
        cr_assert_eq(fault.line, wanted[i].line);
        cr_assert_str_eq(fault.column, wanted[i].column);
        cr_assert_str_eq(fault.found, wanted[i].found);
    }
    SAYS("6 faults, the first: line 3, column bath_F: found '6500', expected a bath");
    char report[4096];
    OK(oxt_faults_report(faults, report, sizeof report, NULL, &error));
    cr_assert(
        strstr(report, "line 4, column steel: found nothing, expected the name of a steel\n"));
    cr_assert(strstr(report, "line 8, column time_s: found '0', expected a time above 0"));
    cr_assert_null(strstr(report, " more")); /* all of them are there */
    oxt_faults_free(faults);
}

Test(trials, faults_beyond_a_thousand_are_counted)
{
    enum { BAD = 1500 };
    static char text[64 + BAD * 16] = HEADER;
    char *end = text + strlen(text);
    for (int i = 0; i < BAD; i++)
        end = stpcpy(end, "A,,650,0,blue\n");
    oxt_error error = OXT_ERROR_INIT;
    oxt_faults *faults = faults_of(text, strlen(text), &error);
    SAYS("1500 faults");
    cr_assert_eq(oxt_faults_count(faults), BAD);
    cr_assert_eq(fault_at(faults, 999).line, 1001);
    oxt_fault fault = OXT_FAULT_INIT;
    FAILS(oxt_faults_get(faults, 1000, &fault, &error), OXT_EARG);
    size_t needed;
    OK(oxt_faults_report(faults, NULL, 0, &needed, &error));
    char *report = malloc(needed + 1);
    OK(oxt_faults_report(faults, report, needed + 1, NULL, &error));
    cr_assert(strstr(report, "\nand 500 more\n"));
    free(report);
    oxt_faults_free(faults);
}

/* The argument for the faults may be NULL; the first one still stands in the error. */
Test(trials, faults_need_not_be_asked_for)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    FAILS(oxt_trials_read_csv(&log, NULL, BYTES(HEADER "A,,650,0,blue\n"), NULL, NULL, &error),
          OXT_EPARSE);
    SAYS("line 2, column time_s");
    cr_assert_eq(error.row, 2);
}

/* ---- files ---- */

Test(trials, paths_that_cannot_be_read)
{
    static const char *const paths[] = {
        TEST_SCRATCH "/no such file.csv",
        TEST_SCRATCH, /* a directory */
        TEST_SCRATCH "/CTestTestfile.cmake/log.csv",
        "",
        "/proc/self/mem", /* opens, and then cannot be read */
    };
    oxt_error error = OXT_ERROR_INIT;
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        oxt_trials *log = (oxt_trials *)&error;
        oxt_faults *faults = (oxt_faults *)&error;
        FAILS(oxt_trials_read_csv(&log, paths[i], NULL, 0, NULL, &faults, &error), OXT_EIO);
        cr_assert(log == NULL && faults == NULL);
        cr_assert_str_eq(error.parameter, "path");
        SAYS(paths[i]);
    }
    oxt_trials *log;
    FAILS(oxt_trials_read_csv(&log, paths[0], NULL, 0, NULL, NULL, &error), OXT_EIO);
    SAYS("No such file");
}

/* AddressSanitizer does, as gcc and as clang say. */
#ifdef __has_feature
enum { KEEPS_FREED_MEMORY = __has_feature(address_sanitizer) };
#elif defined __SANITIZE_ADDRESS__
enum { KEEPS_FREED_MEMORY = 1 };
#else
enum { KEEPS_FREED_MEMORY = 0 };
#endif

static long peak_kilobytes(void)
{
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return usage.ru_maxrss;
}

static void check_endless_line(const char *path, size_t line)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    oxt_faults *faults;
    FAILS(oxt_trials_read_csv(&log, path, NULL, 0, NULL, &faults, &error), OXT_EPARSE);
    SAYS(path);
    cr_assert_null(log);
    cr_assert_eq(oxt_faults_count(faults), 1);
    cr_assert_eq(fault_at(faults, 0).line, line);
    cr_assert(strstr(fault_at(faults, 0).expected, "at most 1 MiB"));
    oxt_faults_free(faults);
}

/* Faults behind a line of 3 MB are not found, since nothing behind it is read. */
Test(trials, line_of_3_megabytes_is_refused_without_reading_on)
{
    size_t length = strlen(HEADER) + 3000000 + 40;
    char *text = malloc(length);
    memset(text, 'x', length);
    memcpy(text, HEADER, strlen(HEADER));
    memcpy(text + length - 32, "\nA,,650,0,mauve\nA,,650,0,mauve\n\n", 32);
    const char *path = scratch_file("long_line.csv", text, length);
    free(text);
    long before = peak_kilobytes();
    check_endless_line(path, 2);
    if (!KEEPS_FREED_MEMORY)
        cr_assert_leq(peak_kilobytes() - before, 16 * 1024);
}

/* A file without end, of NUL bytes, and one that is a single quoted field. */
Test(trials, files_without_end)
{
    check_endless_line("/dev/zero", 1);
    size_t length = 3000000;
    char *text = malloc(length);
    memset(text, '\n', length);
    text[0] = '"';
    const char *path = scratch_file("long_field.csv", text, length);
    free(text);
    check_endless_line(path, 1);
}

Test(trials, hundred_thousand_rows)
{
    enum { ROWS = 100000 };
    char *text = malloc(64 + 40 * (size_t)ROWS), *end = stpcpy(text, HEADER);
    for (int i = 0; i < ROWS; i++)
        end += sprintf(end, "Alder %d,,650,%d.5,blue\n", i % 7, i + 1);
    const char *path = scratch_file("many_rows.csv", text, (size_t)(end - text));
    free(text);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, path, NULL, 0, NULL, NULL, &error));
    cr_assert_eq(oxt_trials_count(log), ROWS);
    for (size_t i = 0; i < ROWS; i++) {
        oxt_trial trial = trial_of(log, i);
        cr_assert(trial.line == i + 2 && trial.time_s == (double)i + 1.5);
    }
    oxt_trials_free(log);
}

/* ---- adding in memory ---- */

typedef struct {
    void (*spoil)(oxt_trial *);
    oxt_status status;
    const char *parameter;
} refusal;

#define SPOIL(name, ...)                       \
    static void spoil_##name(oxt_trial *trial) \
    {                                          \
        __VA_ARGS__;                           \
    }

SPOIL(steel, trial->steel[0] = '\0')
SPOIL(steel_end, memset(trial->steel, 'x', sizeof trial->steel))
SPOIL(steel_bytes, strcpy(trial->steel, "\xC4"))
SPOIL(finish_bytes, strcpy(trial->finish, "\xFF"))
SPOIL(finish_end, memset(trial->finish, 'x', sizeof trial->finish))
SPOIL(bath_high, trial->bath_K = (6500.0 + 459.67) / 1.8)
SPOIL(bath_low, trial->bath_K = 373.1)
SPOIL(bath_nan, trial->bath_K = NAN)
SPOIL(bath_inf, trial->bath_K = HUGE_VAL)
SPOIL(time_zero, trial->time_s = 0.0)
SPOIL(time_negative, trial->time_s = -60.0)
SPOIL(time_nan, trial->time_s = NAN)
SPOIL(time_long, trial->time_s = 1.1e6)
SPOIL(colour, strcpy(trial->colour, "mauve"))
SPOIL(colour_end, memset(trial->colour, 'x', sizeof trial->colour))
SPOIL(thickness, trial->seen = OXT_SEEN_THICKNESS)
SPOIL(thickness_nan, trial->seen = OXT_SEEN_THICKNESS, trial->thickness_nm = NAN)
SPOIL(thickness_high, trial->seen = OXT_SEEN_THICKNESS, trial->thickness_nm = 1000.1)
SPOIL(lightness, trial->seen = OXT_SEEN_LAB, trial->lab[0] = -0.1)
SPOIL(lab_a, trial->seen = OXT_SEEN_LAB, trial->lab[1] = 201.0)
SPOIL(lab_b, trial->seen = OXT_SEEN_LAB, trial->lab[2] = NAN)
SPOIL(srgb, trial->seen = OXT_SEEN_SRGB, strcpy(trial->srgb, "#12345"))
SPOIL(srgb_end, trial->seen = OXT_SEEN_SRGB, memset(trial->srgb, '1', sizeof trial->srgb))
SPOIL(seen, trial->seen = (oxt_seen)4)
SPOIL(size, trial->struct_size = 0)

static const refusal refusals[] = {
    { spoil_steel, OXT_EARG, "steel" },
    { spoil_steel_end, OXT_EARG, "steel" },
    { spoil_steel_bytes, OXT_EPARSE, "steel" },
    { spoil_finish_bytes, OXT_EPARSE, "finish" },
    { spoil_finish_end, OXT_EARG, "finish" },
    { spoil_bath_high, OXT_EDOMAIN, "bath_K" },
    { spoil_bath_low, OXT_EDOMAIN, "bath_K" },
    { spoil_bath_nan, OXT_EDOMAIN, "bath_K" },
    { spoil_bath_inf, OXT_EDOMAIN, "bath_K" },
    { spoil_time_zero, OXT_EDOMAIN, "time_s" },
    { spoil_time_negative, OXT_EDOMAIN, "time_s" },
    { spoil_time_nan, OXT_EDOMAIN, "time_s" },
    { spoil_time_long, OXT_EDOMAIN, "time_s" },
    { spoil_colour, OXT_EPARSE, "colour" },
    { spoil_colour_end, OXT_EARG, "colour" },
    { spoil_thickness, OXT_EDOMAIN, "thickness_nm" },
    { spoil_thickness_nan, OXT_EDOMAIN, "thickness_nm" },
    { spoil_thickness_high, OXT_EDOMAIN, "thickness_nm" },
    { spoil_lightness, OXT_EDOMAIN, "L" },
    { spoil_lab_a, OXT_EDOMAIN, "a" },
    { spoil_lab_b, OXT_EDOMAIN, "b" },
    { spoil_srgb, OXT_EPARSE, "srgb" },
    { spoil_srgb_end, OXT_EARG, "srgb" },
    { spoil_seen, OXT_EARG, "seen" },
    { spoil_size, OXT_EARG, "trial" },
};

Test(trials, adding_refuses_what_a_file_would)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
        oxt_trial trial = trial_at(600.0, 60.0);
        strcpy(trial.colour, "blue");
        refusals[i].spoil(&trial);
        FAILS(oxt_trials_add(log, &trial, NULL, &error), refusals[i].status);
        cr_assert_str_eq(error.parameter, refusals[i].parameter, "case %zu: %s", i, error.text);
        cr_assert_eq(oxt_trials_count(log), 0);
    }
    oxt_trial trial = trial_at(600.0, 60.0);
    strcpy(trial.colour, "blue");
    FAILS(oxt_trials_add(log, &trial, "\xFF", &error), OXT_EPARSE);
    cr_assert_str_eq(error.parameter, "note");
    FAILS(oxt_trials_add(log, &trial, "\xEF\xBB\xBFnew salt", &error), OXT_EPARSE);
    cr_assert_str_eq(error.parameter, "note");
    strcpy(trial.steel, "\xEF\xBB\xBF"
                        "Alder 1");
    FAILS(oxt_trials_add(log, &trial, NULL, &error), OXT_EPARSE);
    SAYS("byte-order mark");
    strcpy(trial.steel, "Alder 1");
    OK(oxt_trials_add(log, &trial, NULL, &error));
    cr_assert_eq(oxt_trials_count(log), 1);
    FAILS(oxt_trials_get(log, 1, &trial, &error), OXT_EARG);
    FAILS(oxt_trials_text(log, "note", 1, NULL, 0, NULL, &error), OXT_EARG);
    oxt_trials_free(log);
}

/* The ends of the ranges are in them. */
Test(trials, adding_takes_the_ends_of_the_ranges)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    add_thickness(log, OXT_BATH_LOW_K, OXT_TIME_HIGH_S, OXT_THICKNESS_HIGH_NM);
    add_thickness(log, OXT_BATH_HIGH_K, 5e-324, 5e-324);
    oxt_trial trial = trial_at(600.0, 60.0);
    trial.seen = OXT_SEEN_LAB;
    trial.lab[0] = 100.0;
    trial.lab[1] = -200.0;
    trial.lab[2] = 200.0;
    OK(oxt_trials_add(log, &trial, NULL, &error));
    cr_assert_eq(oxt_trials_count(log), 3);
    oxt_trials_free(log);
}

/* ---- writing ---- */

/* The same trials, number for number and byte for byte; only the lines may differ. */
static void check_same(const oxt_trials *a, const oxt_trials *b)
{
    cr_assert_eq(oxt_trials_count(a), oxt_trials_count(b));
    for (size_t i = 0; i < oxt_trials_count(a); i++) {
        oxt_trial one = trial_of(a, i), other = trial_of(b, i);
        cr_assert_str_eq(one.steel, other.steel);
        cr_assert_str_eq(one.finish, other.finish);
        cr_assert(one.bath_K == other.bath_K && one.time_s == other.time_s);
        cr_assert_eq(one.seen, other.seen);
        if (one.seen == OXT_SEEN_COLOUR)
            cr_assert_str_eq(one.colour, other.colour);
        if (one.seen == OXT_SEEN_THICKNESS)
            cr_assert_eq(one.thickness_nm, other.thickness_nm);
        for (int j = 0; j < 3 && one.seen == OXT_SEEN_LAB; j++)
            cr_assert_eq(one.lab[j], other.lab[j]);
        if (one.seen == OXT_SEEN_SRGB)
            cr_assert_str_eq(one.srgb, other.srgb);
        cr_assert_eq(one.part_shape, other.part_shape);
        cr_assert_eq(one.part_size_m, other.part_size_m);
        cr_assert_eq(one.part_start_K, other.part_start_K);
        cr_assert_eq(one.transfer_W_per_m2K, other.transfer_W_per_m2K);
        cr_assert_eq(one.lift_s, other.lift_s);
        cr_assert_eq(one.bath_sd_K, other.bath_sd_K);
        cr_assert_eq(one.time_sd_s, other.time_sd_s);
        cr_assert_eq(one.thickness_sd_nm, other.thickness_sd_nm);
        cr_assert_eq(one.colour_tolerance, other.colour_tolerance);
        cr_assert_str_eq(one.day, other.day);
        cr_assert_eq(one.lifted, other.lifted);
        char note[4096];
        strcpy(note, note_of(a, i));
        cr_assert_str_eq(note, note_of(b, i));
    }
}

static char *written_text(const oxt_trials *log, size_t *length)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_trials_write_csv_text(log, NULL, 0, length, &error));
    char *text = malloc(*length + 1);
    OK(oxt_trials_write_csv_text(log, text, *length + 1, NULL, &error));
    cr_assert_eq(strlen(text), *length);
    return text;
}

static void check_round_trip(const oxt_trials *log)
{
    size_t length, again_length;
    char *text = written_text(log, &length);
    oxt_trials *back = read_bytes(text, length);
    check_same(log, back);
    char *again = written_text(back, &again_length);
    cr_assert_str_eq(text, again);
    free(again);
    free(text);
    oxt_trials_free(back);
}

static const char *const awkward_texts[] = {
    "plain",
    "with, comma",
    "a \"quoted\" word",
    "two\nlines",
    "three\r\nlines\r\n",
    "lone\rreturn",
    "  leading",
    "trailing \t",
    "# no comment",
    "\"",
    "\"\"",
    ",",
    "\n",
    " ",
    "\xEF\xBB\xBEmark",
    "\xC3\xB6",
    "a; b: c",
    "#",
    "'single' = 1\\",
    "",
};

Test(trials, every_kind_of_row_with_awkward_texts_reads_back)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    for (size_t i = 0; i < sizeof awkward_texts / sizeof awkward_texts[0]; i++)
        for (int seen = 0; seen < 4; seen++) {
            oxt_trial trial = trial_at(400.0 + 100.0 / 3.0, 1e-3 / 7.0);
            const char *text = awkward_texts[i];
            strcpy(trial.steel, *text ? text : "x");
            strcpy(trial.finish, text);
            trial.seen = (oxt_seen)seen;
            strcpy(trial.colour, " Second-Order Blue, ");
            trial.thickness_nm = 1.0 / 3.0;
            trial.lab[0] = 100.0 / 3.0;
            trial.lab[1] = -1e-300;
            trial.lab[2] = -0.1;
            strcpy(trial.srgb, "#0aF9e1");
            OK(oxt_trials_add(log, &trial, text, &error));
        }
    check_round_trip(log);
    oxt_trials_free(log);
}

Test(trials, an_empty_log_is_written_as_a_header)
{
    oxt_trials *log = new_log();
    size_t length;
    char *text = written_text(log, &length);
    cr_assert_str_eq(text, "steel,finish,bath_K,time_s,colour,thickness_nm,L,a,b,srgb,note\n");
    free(text);
    oxt_trials_free(log);
}

/* ---- random logs, always the same ones ---- */

static void random_text(gsl_rng *random, char *into, size_t most)
{
    static const char *const pieces[] = { "a",
                                          "B",
                                          "7",
                                          " ",
                                          "\t",
                                          ",",
                                          ";",
                                          "\"",
                                          "\"\"",
                                          "\n",
                                          "\r",
                                          "\r\n",
                                          "#",
                                          "'",
                                          "\xC3\xA4",
                                          "\xE2\x82\xAC",
                                          "\xF0\x9F\x94\xA5",
                                          "=",
                                          "-",
                                          "nan" };
    size_t want = gsl_rng_uniform_int(random, (unsigned long)most);
    *into = '\0';
    for (size_t length = 0;;) {
        const char *piece = pieces[gsl_rng_uniform_int(random, 20)];
        length += strlen(piece);
        if (length > want)
            return;
        strcat(into, piece);
    }
}

/* Any double of a range: its bits are random, not only its leading digits. */
static double random_number(gsl_rng *random, double low, double high)
{
    double value = low + (high - low) * gsl_rng_uniform_pos(random) +
                   (high - low) * 1e-10 * gsl_rng_uniform(random);
    return fmin(fmax(value, low), high);
}

/* Stated one time in three, so that logs with and without each column occur. */
static double maybe(gsl_rng *random, double low, double high)
{
    return gsl_rng_uniform_int(random, 3) ? 0.0 : random_number(random, low, high);
}

static void state_more(gsl_rng *random, oxt_trial *trial)
{
    trial->part_size_m = maybe(random, 1e-9, 1.0);
    if (trial->part_size_m != 0.0) {
        trial->part_shape = (oxt_shape)gsl_rng_uniform_int(random, 4);
        trial->part_start_K = maybe(random, 200.0, trial->bath_K);
        trial->transfer_W_per_m2K = maybe(random, 1e-300, 1e6);
    }
    trial->lift_s = maybe(random, 0.0, 3600.0);
    trial->bath_sd_K = maybe(random, 0.0, 1000.0);
    trial->time_sd_s = maybe(random, 0.0, OXT_TIME_HIGH_S);
    trial->thickness_sd_nm = maybe(random, 1e-300, OXT_THICKNESS_HIGH_NM);
    trial->colour_tolerance = maybe(random, 1e-300, 50.0);
    if (!gsl_rng_uniform_int(random, 3))
        random_text(random, trial->day, sizeof trial->day);
    trial->lifted = (oxt_lifted)gsl_rng_uniform_int(random, OXT_LIFTED_AFTER + 1);
}

static oxt_trial random_trial(gsl_rng *random)
{
    static const char *const colours[] = { "blue",          "BLUE (second order)",
                                           "faint-straw",   "silver",
                                           "Bright",        "2nd order red",
                                           " Dark  Straw, " };
    oxt_trial trial = OXT_TRIAL_INIT;
    do
        random_text(random, trial.steel, sizeof trial.steel);
    while (!trial.steel[0]);
    random_text(random, trial.finish, sizeof trial.finish);
    trial.bath_K = random_number(random, OXT_BATH_LOW_K, OXT_BATH_HIGH_K);
    trial.time_s = exp(random_number(random, -700.0, 13.8));
    trial.seen = (oxt_seen)gsl_rng_uniform_int(random, 4);
    strcpy(trial.colour, colours[gsl_rng_uniform_int(random, 7)]);
    trial.thickness_nm = exp(random_number(random, -30.0, 6.9));
    trial.lab[0] = random_number(random, 0.0, 100.0);
    trial.lab[1] = random_number(random, -200.0, 200.0);
    trial.lab[2] = random_number(random, -200.0, 200.0);
    sprintf(trial.srgb, "#%06lx", gsl_rng_uniform_int(random, 1UL << 24));
    state_more(random, &trial);
    return trial;
}

Test(trials, random_logs_read_back)
{
    oxt_error error = OXT_ERROR_INIT;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20240229);
    for (int turn = 0; turn < 300; turn++) {
        oxt_trials *log = new_log();
        unsigned long rows = 1 + gsl_rng_uniform_int(random, 12);
        for (unsigned long i = 0; i < rows; i++) {
            oxt_trial trial = random_trial(random);
            char note[200];
            random_text(random, note, sizeof note);
            OK(oxt_trials_add(log, &trial, note, &error));
        }
        check_round_trip(log);
        oxt_trials_free(log);
    }
    gsl_rng_free(random);
}

/* ---- writing files: whole or not at all ---- */

static oxt_trials *one_row(double time_s)
{
    oxt_trials *log = new_log();
    add_colour(log, 600.0, time_s, "blue");
    return log;
}

static void check_file(const char *path, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    OK(oxt_trials_read_csv(&log, path, NULL, 0, NULL, NULL, &error));
    cr_assert_eq(oxt_trials_count(log), 1);
    cr_assert_eq(trial_of(log, 0).time_s, time_s);
    oxt_trials_free(log);
}

static void write_one(const char *path, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = one_row(time_s);
    OK(oxt_trials_write_csv(log, path, OXT_REPLACE_SAME_KIND, &error));
    oxt_trials_free(log);
}

static void write_fails(const char *path)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = one_row(99.0);
    FAILS(oxt_trials_write_csv(log, path, OXT_REPLACE_SAME_KIND, &error), OXT_EIO);
    cr_assert_str_eq(error.parameter, "path");
    SAYS(path);
    oxt_trials_free(log);
}

static mode_t mode_of(const char *path)
{
    struct stat state;
    cr_assert_eq(lstat(path, &state), 0);
    return state.st_mode;
}

Test(trials, a_file_is_replaced_and_keeps_its_mode)
{
    static const mode_t modes[] = { 0600, 0640, 0444, 0666 };
    const char *directory = scratch_directory("trials_replaced");
    char path[700];
    snprintf(path, sizeof path, "%s/log.csv", directory);
    umask(022);
    write_one(path, 1.0);
    check_file(path, 1.0);
    cr_assert_eq(mode_of(path) & 0777, 0644);
    for (int i = 0; i < 4; i++) {
        chmod(path, modes[i]);
        write_one(path, 2.0 + i);
        check_file(path, 2.0 + i);
        cr_assert_eq(mode_of(path) & 0777, modes[i]);
    }
    cr_assert_eq(files_in(directory), 1, "a temporary file is left");
}

Test(trials, a_symbolic_link_stays_a_link)
{
    const char *directory = scratch_directory("trials_linked");
    char path[700], link[700];
    snprintf(path, sizeof path, "%s/log.csv", directory);
    snprintf(link, sizeof link, "%s/link.csv", directory);
    write_one(path, 1.0);
    cr_assert_eq(symlink("log.csv", link), 0);
    write_one(link, 2.0);
    cr_assert(S_ISLNK(mode_of(link)));
    check_file(path, 2.0);
    check_file(link, 2.0);
    cr_assert_eq(files_in(directory), 2);
}

Test(trials, a_write_that_fails_leaves_nothing)
{
    const char *directory = scratch_directory("trials_failing");
    char path[700];
    snprintf(path, sizeof path, "%s/missing/log.csv", directory);
    write_fails(path);
    write_fails("");
    cr_assert_eq(files_in(directory), 0);
    snprintf(path, sizeof path, "%s/a directory", directory);
    cr_assert_eq(mkdir(path, 0777), 0);
    write_fails(path);
    cr_assert_eq(files_in(directory), 1, "a temporary file is left");
}

/* The disk is full halfway: the old file stays as it was. */
Test(trials, a_write_that_ends_halfway_keeps_the_old_file)
{
    const char *directory = scratch_directory("trials_full");
    char path[700];
    snprintf(path, sizeof path, "%s/log.csv", directory);
    write_one(path, 1.0);
    struct rlimit limit;
    getrlimit(RLIMIT_FSIZE, &limit);
    limit.rlim_cur = 50;
    signal(SIGXFSZ, SIG_IGN);
    cr_assert_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    write_fails(path);
    limit.rlim_cur = limit.rlim_max;
    setrlimit(RLIMIT_FSIZE, &limit);
    check_file(path, 1.0);
    cr_assert_eq(files_in(directory), 1, "a temporary file is left");
}

/* Contract: a log is written in its own scale, and read back to the last bit; where one bath cannot be, in K. */
Test(trials, a_log_is_written_in_its_scale)
{
    static const struct {
        oxt_temperature_unit unit;
        int count; /* the first 500 are halves of F; not every number of K is one of F plus 459.67, over 1.8 */
        const char *column;
    } cases[] = { { OXT_UNIT_KELVIN, 2000, "bath_K," },
                  { OXT_UNIT_CELSIUS, 2000, "bath_C," },
                  { OXT_UNIT_FAHRENHEIT, 500, "bath_F," },
                  { OXT_UNIT_FAHRENHEIT, 2000, "bath_K," } };
    static char text[300000];
    oxt_error error = OXT_ERROR_INIT;
    for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
        oxt_trials *log = new_log(), *again;
        for (int i = 0; i < cases[k].count; i++) {
            oxt_trial trial = OXT_TRIAL_INIT;
            strcpy(trial.steel, "Alder 1");
            strcpy(trial.colour, "blue");
            trial.time_s = 90.0;
            trial.bath_K = i < 500 ? (500.0 + 0.5 * i + 459.67) / 1.8 : 500.0 + 0.1234567891 * i;
            OK(oxt_trials_add(log, &trial, NULL, &error));
        }
        OK(oxt_trials_set_unit(log, cases[k].unit, &error));
        OK(oxt_trials_write_csv_text(log, text, sizeof text, NULL, &error));
        cr_assert(strstr(text, cases[k].column), "%.60s", text);
        cr_assert(k != 2 || strstr(text, "\nAlder 1,,600.5,90,blue,"));
        OK(oxt_trials_read_csv(&again, NULL, text, strlen(text), NULL, NULL, &error));
        for (size_t i = 0; i < (size_t)cases[k].count; i++) {
            oxt_trial first = OXT_TRIAL_INIT, second = OXT_TRIAL_INIT;
            OK(oxt_trials_get(log, i, &first, &error));
            OK(oxt_trials_get(again, i, &second, &error));
            cr_assert_eq(first.bath_K, second.bath_K);
        }
        oxt_trials_free(again);
        oxt_trials_free(log);
    }
}
