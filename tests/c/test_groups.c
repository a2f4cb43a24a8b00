/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log knows its steels: names once, and the rows of each steel. */
#include <stdio.h>
#include <string.h>

#include "base/intern.h"
#include "optics.h"
#include "support.h"

/* ---- interned strings ---- */

Test(groups, strings_are_kept_once_and_in_order)
{
    enum { COUNT = 20000 };
    oxt_i_intern set = { 0 };
    char text[32];
    uint32_t number;
    cr_assert_eq(oxt_i_intern_find(&set, "", 0), OXT_I_NOT_INTERNED);
    for (int again = 0; again < 2; again++)
        for (uint32_t i = 0; i < COUNT; i++) {
            int length = snprintf(text, sizeof text, "%u", i * 7919);
            cr_assert(oxt_i_intern_add(&set, text, (size_t)length, &number));
            cr_assert_eq(number, i);
        }
    for (uint32_t i = 0; i < COUNT; i++) {
        size_t length, expected = (size_t)snprintf(text, sizeof text, "%u", i * 7919);
        cr_assert_str_eq(oxt_i_intern_get(&set, i, &length), text);
        cr_assert_eq(length, expected);
        cr_assert_eq(oxt_i_intern_find(&set, text, length), i);
    }
    cr_assert_eq(oxt_i_intern_find(&set, "x", 1), OXT_I_NOT_INTERNED);
    oxt_i_intern_free(&set);
}

/* Nothing, a NUL, and what only differs behind a NUL. */
Test(groups, strings_are_bytes)
{
    static const struct {
        const char *bytes;
        size_t length;
    } strings[] = {
        { "", 0 }, { "\0", 1 }, { "a\0b", 3 }, { "a\0c", 3 }, { "a", 1 }, { "a\0", 2 }
    };
    oxt_i_intern set = { 0 };
    for (uint32_t i = 0; i < 6; i++) {
        uint32_t number;
        cr_assert(oxt_i_intern_add(&set, strings[i].bytes, strings[i].length, &number));
        cr_assert_eq(number, i);
    }
    for (uint32_t i = 0; i < 6; i++)
        cr_assert_eq(oxt_i_intern_find(&set, strings[i].bytes, strings[i].length), i);
    oxt_i_intern_free(&set);
}

/* ---- groups ---- */

/* A coupon of a made-up steel, with a little scatter. */
static void add(oxt_trials *log, const char *steel, const char *finish)
{
    oxt_growth growth = growth_of(30.0, 590.0, 76e3);
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    strcpy(trial.steel, steel);
    strcpy(trial.finish, finish);
    trial.bath_K = 560.0 + 60.0 * chance();
    trial.time_s = 30.0 + 90.0 * chance();
    trial.seen = OXT_SEEN_THICKNESS;
    OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, &error));
    trial.thickness_nm *= 0.98 + 0.04 * chance();
    OK(oxt_trials_add(log, &trial, NULL, &error));
}

static oxt_trial_group group_of(const oxt_trials *log, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    OK(oxt_trials_group(log, index, &group, &error));
    return group;
}

Test(groups, each_steel_with_each_finish_as_it_first_appears)
{
    static const char *const rows[][2] = { { "Alder 1", "satin" }, { "Birch 2", "" },
                                           { "Alder 1", "" },      { "Alder 1", "satin" },
                                           { "Birch 2", "satin" }, { "Alder 1", "satin" },
                                           { "satin", "Alder 1" } };
    static const size_t counts[] = { 3, 1, 1, 1, 1 };
    static const int firsts[] = { 0, 1, 2, 4, 6 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_trial_group none = OXT_TRIAL_GROUP_INIT;
    FAILS(oxt_trials_group(log, 0, &none, &error), OXT_EARG);
    for (size_t i = 0; i < 7; i++)
        add(log, rows[i][0], rows[i][1]);
    for (size_t i = 0; i < 5; i++) {
        oxt_trial_group group = group_of(log, i);
        cr_assert_str_eq(group.steel, rows[firsts[i]][0]);
        cr_assert_str_eq(group.finish, rows[firsts[i]][1]);
        cr_assert_eq(group.count, counts[i]);
        cr_assert_eq(group.group_count, 5);
    }
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    FAILS(oxt_trials_group(log, 5, &group, &error), OXT_EARG);
    SAYS("index is 5, expected below 5");
    oxt_trials_free(log);
}

/* ---- fits ---- */

static oxt_fit *fit_of(const oxt_trials *log, const char *steel, const char *finish)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit;
    options.steel = steel;
    options.finish = finish;
    OK(oxt_fit_run(&fit, log, default_film(), &options, &error));
    return fit;
}

/* The fit of a steel in a log of many is that of a log of its own, to the last bit, and its rows have the places
 * that they have in the log. */
Test(groups, a_steel_among_many_is_fitted_as_alone)
{
    enum { STEELS = 300, ROWS = 8 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log(), *alone = new_log();
    char name[64];
    size_t places[ROWS], found = 0;
    for (int row = 0; row < ROWS; row++)
        for (int steel = 0; steel < STEELS; steel++) {
            snprintf(name, sizeof name, "Steel %d", (steel * 7 + row) % STEELS);
            add(log, name, row % 2 ? "satin" : "mirror");
        }
    for (size_t i = 0; i < oxt_trials_count(log); i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(log, i, &trial, &error));
        if (strcmp(trial.steel, "Steel 123") != 0)
            continue;
        OK(oxt_trials_add(alone, &trial, NULL, &error));
        places[found++] = i;
    }
    cr_assert_eq(found, ROWS);
    oxt_fit *among = fit_of(log, "Steel 123", NULL), *single = fit_of(alone, NULL, NULL);
    oxt_fit_values a = OXT_FIT_VALUES_INIT, b = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_get(among, &a, &error));
    OK(oxt_fit_get(single, &b, &error));
    cr_assert_eq(memcmp(&a, &b, sizeof a), 0);
    for (size_t i = 0; i < ROWS; i++) {
        oxt_fit_row row = OXT_FIT_ROW_INIT;
        OK(oxt_fit_get_row(among, i, &row, &error));
        cr_assert_eq(row.trial, places[i]);
    }
    oxt_fit_free(among);
    oxt_fit_free(single);
    oxt_trials_free(alone);
    oxt_trials_free(log);
}

Test(groups, steels_and_finishes_that_are_not_there_are_told)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_trials *log = new_log();
    oxt_fit *fit;
    add(log, "Alder 1", "satin");
    add(log, "Birch 2", "satin");
    add(log, "Alder 1", "mirror");
    FAILS(oxt_fit_run(&fit, log, default_film(), NULL, &error), OXT_EARG);
    SAYS("the log holds 2 steels, choose one: 'Alder 1', 'Birch 2'");
    options.steel = "Alder";
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("no trial is of steel 'Alder'; the log holds 'Alder 1', 'Birch 2'");
    options.steel = "Alder 1";
    options.finish = "matte";
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("no trial of 'Alder 1' has finish 'matte'; the log holds 'satin', 'mirror'");
    add(log, "Alder 1", "");
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("no trial of 'Alder 1' has finish 'matte'; the log holds 'satin', 'mirror', none");
    add(log, "Cedar 3", "");
    options.steel = "Cedar 3";
    FAILS(oxt_fit_run(&fit, log, default_film(), &options, &error), OXT_EARG);
    SAYS("no trial of 'Cedar 3' has finish 'matte'; the log states no finish");
    oxt_trials_free(log);
}
