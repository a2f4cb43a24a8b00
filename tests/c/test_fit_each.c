/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every steel and finish of a log fitted by itself. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "optics.h"
#include "support.h"

/* Coupons of a made-up steel, with scatter. */
static void add_coupons(oxt_trials *log, const char *steel, const char *finish, int count, double k)
{
    oxt_growth growth = growth_of(k, 590.0, 76e3);
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 0; i < count; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        strcpy(trial.steel, steel);
        strcpy(trial.finish, finish);
        trial.bath_K = 560.0 + 30.0 * (i % 3);
        trial.time_s = 30.0 + 90.0 * chance();
        trial.seen = OXT_SEEN_THICKNESS;
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, &error));
        trial.thickness_nm *= 0.95 + 0.1 * chance();
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
}

/* Forty steels of two finishes; one has too few coupons, and one has all of them in one bath. */
static oxt_trials *many(void)
{
    oxt_trials *log = new_log();
    char name[32];
    for (int i = 0; i < 40; i++) {
        snprintf(name, sizeof name, "Steel %d", i);
        add_coupons(log, name, "satin", 8, 20.0 + i);
        add_coupons(log, name, "", 6, 25.0 + i);
    }
    add_coupons(log, "Few", "satin", 2, 30.0);
    for (int i = 0; i < 6; i++)
        add_thickness(log, 590.0, 60.0 + i, 40.0 + i);
    return log;
}

static oxt_fit_each *fit_each(const oxt_trials *log, const oxt_fit_each_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_each *fits;
    OK(oxt_fit_each_run(&fits, log, default_film(), options, &error));
    return fits;
}

static oxt_fit_each_group group_of(const oxt_fit_each *fits, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_each_group group = OXT_FIT_EACH_GROUP_INIT;
    OK(oxt_fit_each_get(fits, index, &group, NULL, &error));
    return group;
}

static oxt_fit_values values_of(const oxt_fit_each *fits, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_each_get(fits, index, NULL, &values, &error));
    return values;
}

/* Contract: to the last bit what a fit of the group alone gives, on any number of threads. */
Test(fit_each, is_each_fit_alone_on_any_number_of_threads)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = many();
    static const int threads[] = { 1, 2, 7 };
    for (size_t j = 0; j < 3; j++) {
        oxt_fit_options of_each = OXT_FIT_OPTIONS_INIT;
        oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
        of_each.bath_sd_K = 1.0;
        options.fit = &of_each;
        options.threads = threads[j];
        oxt_fit_each *fits = fit_each(log, &options);
        size_t failed;
        cr_assert(oxt_fit_each_count(fits, &failed) == 82 && failed == 2);
        for (size_t i = 0; i < 82; i++) {
            oxt_fit_each_group group = group_of(fits, i);
            oxt_fit *alone;
            oxt_fit_values values = values_of(fits, i);
            of_each.steel = group.steel;
            of_each.finish = group.finish;
            oxt_status status = oxt_fit_run(&alone, log, default_film(), &of_each, &error);
            char remarks[4000], warning[1000], sentence[1000];
            strcpy(sentence, error.text);
            cr_assert_eq(group.status, status, "%s", group.steel);
            OK(oxt_fit_each_remarks(fits, i, remarks, sizeof remarks, NULL, &error));
            if (status) {
                cr_assert_str_eq(remarks, sentence);
                cr_assert(isnan(values.growth.k_ref_nm2_per_s) && isnan(values.prior_share_Q));
                continue;
            }
            oxt_fit_values expected = values_of_fit(alone);
            cr_assert_eq(memcmp(&values, &expected, sizeof values), 0, "%s", group.steel);
            for (size_t w = 0; w < fit_warning_count(alone); w++) {
                OK(oxt_fit_warning(alone, w, warning, sizeof warning, NULL, &error));
                cr_assert(strstr(remarks, warning));
            }
            oxt_fit_free(alone);
        }
        of_each.steel = of_each.finish = NULL;
        oxt_fit_each_free(fits);
    }
    oxt_trials_free(log);
}

/* Physics: the constants that the coupons were made with, within the scatter. */
/* A prior of the rate counts in each fit, and is copied. */
Test(fit_each, with_a_prior)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = many();
    oxt_prior prior = { sizeof prior, 600.0, log2(16.0), 0.05, 76e3, 5e3 };
    oxt_fit_options of_each = OXT_FIT_OPTIONS_INIT;
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    of_each.prior = &prior;
    options.fit = &of_each;
    oxt_fit_each *fits = fit_each(log, &options);
    for (size_t i = 0; i < 5; i++) {
        oxt_fit_each_group group = group_of(fits, i);
        oxt_fit_values values = values_of(fits, i);
        of_each.steel = group.steel;
        of_each.finish = group.finish;
        oxt_fit *alone = new_fit(log, &of_each);
        oxt_fit_values expected = values_of_fit(alone);
        cr_assert_eq(memcmp(&values, &expected, sizeof values), 0, "%s", group.steel);
        oxt_fit_free(alone);
    }
    oxt_fit_each_free(fits);
    of_each.steel = of_each.finish = NULL;
    prior.ln_k_stderr = -1.0;
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "prior.ln_k_stderr");
    oxt_trials_free(log);
}

Test(fit_each, numbers)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = many();
    oxt_fit_each *fits = fit_each(log, NULL);
    for (size_t i = 0; i < 80; i++) {
        oxt_fit_values values = values_of(fits, i);
        oxt_fit_each_group group = group_of(fits, i);
        oxt_growth growth = growth_of((i % 2 ? 25.0 : 20.0) + (double)(i / 2), 590.0, 76e3);
        double rate;
        OK(oxt_rate(&growth, values.growth.T_ref_K, &rate, &error));
        CLOSE(values.growth.k_ref_nm2_per_s, rate, 0.12);
        CLOSE(values.growth.Q_J_per_mol, 76e3, 0.35);
        cr_assert(values.used_count == (i % 2 ? 6 : 8) && group.trial_count == values.used_count);
        cr_assert_eq(group.status, OXT_OK);
    }
    cr_assert(values_of(fits, 80).used_count == 0 && group_of(fits, 80).trial_count == 2);
    cr_assert_eq(group_of(fits, 80).status, OXT_EFEW);
    cr_assert_eq(group_of(fits, 81).status, OXT_EIDENT);
    char report[20000];
    OK(oxt_fit_each_report(fits, OXT_UNIT_FAHRENHEIT, report, sizeof report, NULL, &error));
    cr_assert(strstr(report, "80 of 82 steels and finishes fitted"));
    cr_assert(strstr(report, "Few, satin: "));
    oxt_fit_each_free(fits);
    oxt_trials_free(log);
}

Test(fit_each, some_of_the_groups)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = many();
    oxt_fit_options of_each = OXT_FIT_OPTIONS_INIT;
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    options.fit = &of_each;
    of_each.finish = "";
    oxt_fit_each *fits = fit_each(log, &options);
    cr_assert_eq(oxt_fit_each_count(fits, NULL), 41);
    oxt_fit_each_free(fits);
    of_each.finish = NULL;
    of_each.steel = "Steel 3";
    fits = fit_each(log, &options);
    cr_assert(oxt_fit_each_count(fits, NULL) == 2 && strcmp(group_of(fits, 1).finish, "") == 0);
    oxt_fit_each_free(fits);
    of_each.steel = "none";
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_EARG);
    of_each.steel = NULL;
    of_each.confidence = 2.0;
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_EDOMAIN);
    options.fit = NULL;
    options.threads = 300;
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_EDOMAIN);
    SAYS("threads");
    oxt_trials *empty = new_log();
    FAILS(oxt_fit_each_run(&fits, empty, default_film(), NULL, &error), OXT_EARG);
    SAYS("holds no trials");
    oxt_trials_free(empty);
    oxt_trials_free(log);
}

typedef struct {
    int calls, stop_at;
    double last;
} watch;

static int look(double done, void *user)
{
    watch *by = user;
    cr_assert(done > by->last && done <= 1.0);
    by->last = done;
    return ++by->calls == by->stop_at;
}

Test(fit_each, progress_and_cancel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = many();
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    watch by = { 0, 0, 0.0 };
    options.progress = look;
    options.user = &by;
    options.threads = 1;
    oxt_fit_each *fits = fit_each(log, &options);
    cr_assert(by.calls > 2 && by.last == 1.0);
    oxt_fit_each_free(fits);
    by = (watch){ 0, 2, 0.0 };
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_ECANCEL);
    cr_assert(!fits && by.calls == 2);
    oxt_trials_free(log);
}

/* Contract: with best_law each is what oxt_laws_fit gives, and a law beside it is refused. */
Test(fit_each, each_by_the_law_that_its_trials_show)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log = new_log();
    oxt_fit_options of_each = OXT_FIT_OPTIONS_INIT;
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    oxt_fit_each *fits;
    add_coupons(log, "Alder 1", "", 18, 30.0);
    for (int i = 0; i < 18; i++) { /* Birch 2 grows as the cube root of time */
        oxt_trial trial = OXT_TRIAL_INIT;
        strcpy(trial.steel, "Birch 2");
        trial.bath_K = 560.0 + 30.0 * (i % 3);
        trial.thickness_nm = 20.0 + 3.0 * i;
        trial.time_s = pow(trial.thickness_nm / 20.0, 3.0) *
                       exp(9.0 * (590.0 / trial.bath_K - 1.0));
        trial.seen = OXT_SEEN_THICKNESS;
        OK(oxt_trials_add(log, &trial, NULL, &error));
    }
    options.fit = &of_each;
    options.best_law = 1;
    fits = fit_each(log, &options);
    for (size_t i = 0; i < 2; i++) {
        oxt_fit_values values = values_of(fits, i), alone = OXT_FIT_VALUES_INIT;
        oxt_fit_options single = OXT_FIT_OPTIONS_INIT;
        oxt_fit *fit;
        single.steel = i ? "Birch 2" : "Alder 1";
        OK(oxt_laws_fit(&fit, log, default_film(), &single, &error));
        OK(oxt_fit_get(fit, &alone, &error));
        cr_assert_eq(memcmp(&alone, &values, sizeof values), 0);
        cr_assert_eq(values.growth.law, i ? OXT_LAW_POWER : OXT_LAW_PARABOLIC);
        oxt_fit_free(fit);
    }
    char report[2000];
    OK(oxt_fit_each_report(fits, OXT_UNIT_KELVIN, report, sizeof report, NULL, &error));
    cr_assert(strstr(report, "power law, n = 3"), "%s", report);
    oxt_fit_each_free(fits);
    options.best_law = 2;
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_EARG);
    SAYS("best_law is 2, expected 0 or 1");
    options.best_law = 1;
    of_each.law = OXT_LAW_POWER;
    FAILS(oxt_fit_each_run(&fits, log, default_film(), &options, &error), OXT_EARG);
    SAYS("expected neither: the trials choose");
    oxt_trials_free(log);
}
