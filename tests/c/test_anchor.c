/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A card brought up to date by a coupon or two, and what it remembers of it. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double OWN = 0.02; /* the usual error of a measured thickness */

/* ---- cards and coupons ---- */

static oxt_steel_values some_card(void)
{
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    strcpy(values.steel, "Alder 1");
    values.growth = growth_of(55.0, 588.7, 80e3);
    values.variance_ln_k = 0.0025;
    values.variance_Q_J2_per_mol2 = 9e6;
    values.covariance_J_per_mol = 40.0;
    values.scatter = 0.06;
    values.dof = 10.0;
    values.bath_low_K = 560.0;
    values.bath_high_K = 616.0;
    values.thickness_low_nm = 35.0;
    values.thickness_high_nm = 70.0;
    values.trial_count = 12;
    strcpy(values.description, "made up");
    strcpy(values.origin, "made up");
    return values;
}

static oxt_steel_change entry_of(const oxt_steel *steel, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_change entry = OXT_STEEL_CHANGE_INIT;
    OK(oxt_steel_history(steel, index, &entry, &error));
    return entry;
}

static oxt_steel *renewed_by(const oxt_steel *steel, const oxt_trials *log, double shift_stderr)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_anchor_options options = OXT_ANCHOR_OPTIONS_INIT;
    oxt_steel *renewed;
    options.shift_stderr = shift_stderr;
    OK(oxt_anchor_steel(&renewed, steel, log, default_film(), &options, &error));
    return renewed;
}

/* The rate that a coupon shows, as ln k_ref, and its variance: ln k is twice ln x less ln t. */
static double shown(const oxt_growth *card, double bath_K, double time_s, double thickness_nm)
{
    return log(thickness_nm * thickness_nm / time_s) +
           card->Q_J_per_mol / R * (1.0 / bath_K - 1.0 / card->T_ref_K);
}

static double variance_shown(const oxt_steel_values *card)
{
    return 4.0 * (OWN * OWN + card->scatter * card->scatter);
}

/* ---- Bayes' rule ---- */

/* Conjugate normal update, by hand: precisions add, the mean is weighted by them. What Q has to do with
 * ln k_ref is the same weighted mean of what it has in the card and in the coupons. */
Test(anchor, the_posterior_is_that_of_the_closed_formula)
{
    static const double shifts[] = { 0.0, 0.05, 0.3, 3.0 };
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card);
    oxt_trials *coupons = new_log();
    add_thickness(coupons, 566.0, 100.0, 42.0);
    add_thickness(coupons, 575.0, 80.0, 47.0);
    double by_Q = card.covariance_J_per_mol / card.variance_Q_J2_per_mol2;
    double own = card.variance_ln_k - by_Q * card.covariance_J_per_mol;
    for (size_t i = 0; i < 4; i++) {
        oxt_steel *renewed = renewed_by(steel, coupons, shifts[i]);
        oxt_steel_values found = values_of_steel(renewed);
        double of_coupon = 1.0 / variance_shown(&card), of_card = 0.0, all = 0.0, mean = log(55.0);
        for (int round = 0; round < 200; round++) { /* a farther shift counts as wide as it is */
            double shift = shifts[i] > 0.0 ? fmax(shifts[i], fabs(mean - log(55.0))) : 0.0;
            of_card = 1.0 / (own + shift * shift);
            all = of_card + 2.0 * of_coupon;
            mean = (of_card * log(55.0) + of_coupon * shown(&card.growth, 566.0, 100.0, 42.0) +
                    of_coupon * shown(&card.growth, 575.0, 80.0, 47.0)) /
                   all;
        }
        double slope = (of_card * by_Q + of_coupon * (1.0 / 566.0 - 1.0 / 588.7) / R +
                        of_coupon * (1.0 / 575.0 - 1.0 / 588.7) / R) /
                       all;
        NEAR(log(found.growth.k_ref_nm2_per_s), mean, 1e-7);
        CLOSE(found.covariance_J_per_mol, slope * card.variance_Q_J2_per_mol2, 1e-7);
        CLOSE(found.variance_ln_k, 1.0 / all + slope * slope * card.variance_Q_J2_per_mol2, 1e-7);
        cr_assert(found.growth.Q_J_per_mol == 80e3 && found.growth.T_ref_K == 588.7);
        CLOSE(found.variance_Q_J2_per_mol2, card.variance_Q_J2_per_mol2, 1e-14);
        cr_assert(found.scatter == card.scatter && found.dof == card.dof);
        oxt_steel_free(renewed);
    }
    oxt_trials_free(coupons);
    oxt_steel_free(steel);
}

/* A coupon whose film is as thick as the rate makes it, give or take the scatter: measured, or named by its colour. */
static oxt_trials *one_coupon(gsl_rng *random, double ln_k, double scatter, bool named)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *made = new_log();
    oxt_trial trial = trial_at(588.7, 100.0);
    oxt_tint tint = OXT_TINT_INIT;
    if (named) /* of films from 28 to 70 nm by the card */
        trial.time_s = round(exp(gsl_ran_flat(random, log(14.0), log(90.0))));
    double film_nm = sqrt(trial.time_s) * exp(0.5 * ln_k + gsl_ran_gaussian(random, scatter));
    if (!named) {
        add_thickness(made, 588.7, trial.time_s, film_nm * exp(gsl_ran_gaussian(random, OWN)));
        return made;
    }
    OK(oxt_tint_at(default_film(), film_nm, &tint, &error));
    strcpy(trial.colour, tint.label);
    OK(oxt_trials_add(made, &trial, NULL, &error));
    return made;
}

/* New salt in which the film grows twice as fast or half as fast, 2.3 times the shift that is assumed: the limits of the
 * rate by one coupon still hold where its film was measured, and the entry says that it is far. A named colour has a
 * band, within which the card is believed: the limits hold less often. Measured: 90.4 % of these, 90.1 % of 10,000
 * others. */
Test(anchor, a_shift_beyond_the_assumed_one)
{
    enum { TIMES = 1000 };
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card);
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 20261129);
    double held = 0.0, told = 0.0, honest = 0.0, named = 0.0;
    for (int i = 0; i < 3 * TIMES; i++) {
        bool far = i < TIMES || i >= 2 * TIMES, by_name = i >= 2 * TIMES;
        double shift = far ? (i % 2 ? log(2.0) : -log(2.0)) : gsl_ran_gaussian(random, 0.3);
        double ln_k = log(55.0) + gsl_ran_gaussian(random, sqrt(card.variance_ln_k)) + shift;
        oxt_trials *coupon = one_coupon(random, ln_k, card.scatter, by_name);
        oxt_steel *renewed = renewed_by(steel, coupon, 0.3);
        oxt_steel_values found = values_of_steel(renewed);
        double off = fabs(log(found.growth.k_ref_nm2_per_s) - ln_k);
        bool holds = off < gsl_cdf_tdist_Pinv(0.975, found.dof) * sqrt(found.variance_ln_k);
        bool says = strstr(entry_of(renewed, 0).what, "; beyond the shift assumed") != NULL;
        *(by_name ? &named : far ? &held : &honest) += holds ? 1.0 / TIMES : 0.0;
        told += !far || by_name ? 0.0 : says ? 1.0 / TIMES : 0.0;
        oxt_steel_free(renewed);
        oxt_trials_free(coupon);
    }
    gsl_rng_free(random);
    oxt_steel_free(steel);
    measured("anchor-count", TIMES, 0.0, HUGE_VAL);
    measured("anchor-far", held, 0.93, 0.99);
    measured("anchor-far-named", named, 0.86, 0.99);
    measured("anchor-honest", honest, 0.93, 0.99);
    cr_assert_gt(told, 0.7);
}

/* A finish of one letter is a finish: the coupons of others are left alone. */
Test(anchor, coupons_of_another_finish_do_not_count)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values card = some_card();
    oxt_trials *own = new_log(), *both = new_log();
    oxt_trial trial = trial_at(566.0, 100.0);
    strcpy(card.finish, "m");
    strcpy(trial.finish, "m");
    trial.seen = OXT_SEEN_THICKNESS;
    trial.thickness_nm = 42.0;
    OK(oxt_trials_add(own, &trial, NULL, &error));
    OK(oxt_trials_add(both, &trial, NULL, &error));
    strcpy(trial.finish, "s");
    trial.thickness_nm = 60.0;
    OK(oxt_trials_add(both, &trial, NULL, &error));
    oxt_steel *steel = steel_of(&card), *by_own = renewed_by(steel, own, 0.3),
              *by_both = renewed_by(steel, both, 0.3);
    cr_assert_eq(values_of_steel(by_own).growth.k_ref_nm2_per_s,
                 values_of_steel(by_both).growth.k_ref_nm2_per_s);
    oxt_steel_free(by_own);
    oxt_steel_free(by_both);
    oxt_steel_free(steel);
    oxt_trials_free(own);
    oxt_trials_free(both);
}

/* The limits of Bayes' rule: a wide shift leaves the coupons alone, none leaves a sure card as it is. */
Test(anchor, the_shift_says_who_is_believed)
{
    oxt_steel_values card = some_card();
    card.variance_ln_k = 1e-10;
    card.variance_Q_J2_per_mol2 = card.covariance_J_per_mol = 0.0;
    oxt_steel *steel = steel_of(&card);
    oxt_trials *coupons = new_log();
    add_thickness(coupons, 600.0, 100.0, 60.0);
    double coupon = shown(&card.growth, 600.0, 100.0, 60.0);
    oxt_steel *wide = renewed_by(steel, coupons, 10.0), *none = renewed_by(steel, coupons, 0.0);
    NEAR(log(values_of_steel(wide).growth.k_ref_nm2_per_s), coupon, 2e-4);
    CLOSE(values_of_steel(wide).variance_ln_k, variance_shown(&card), 1e-3);
    NEAR(log(values_of_steel(none).growth.k_ref_nm2_per_s), log(55.0), 1e-8);
    CLOSE(values_of_steel(none).variance_ln_k, 1e-10, 1e-6);
    cr_assert(fabs(coupon - log(55.0)) > 0.1);
    oxt_steel_free(wide);
    oxt_steel_free(none);
    oxt_trials_free(coupons);
    oxt_steel_free(steel);
}

/* Bayes' rule does not care whether coupons come one by one, when the shift comes once and is no farther than was
 * assumed. */
Test(anchor, one_by_one_is_both_at_once)
{
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card);
    oxt_trials *first = new_log(), *second = new_log(), *both = new_log();
    add_thickness(first, 566.0, 100.0, 45.0);
    add_thickness(second, 610.0, 40.0, 52.0);
    add_thickness(both, 566.0, 100.0, 45.0);
    add_thickness(both, 610.0, 40.0, 52.0);
    oxt_steel *at_once = renewed_by(steel, both, 0.5), *one = renewed_by(steel, first, 0.5);
    oxt_steel *two = renewed_by(one, second, 0.0);
    oxt_steel_values a = values_of_steel(at_once), b = values_of_steel(two);
    CLOSE(b.growth.k_ref_nm2_per_s, a.growth.k_ref_nm2_per_s, 1e-9);
    CLOSE(b.variance_ln_k, a.variance_ln_k, 1e-9);
    CLOSE(b.covariance_J_per_mol, a.covariance_J_per_mol, 1e-9);
    cr_assert(a.trial_count == 14 && b.trial_count == 14);
    cr_assert(a.bath_low_K == 560.0 && b.bath_high_K == 616.0);
    cr_assert(a.change_count == 1 && b.change_count == 2);
    oxt_steel_free(at_once);
    oxt_steel_free(one);
    oxt_steel_free(two);
    oxt_trials_free(first);
    oxt_trials_free(second);
    oxt_trials_free(both);
    oxt_steel_free(steel);
}

/* A card without trials has ranges that no coupon reached: the first one ends that. */
Test(anchor, the_first_coupon_makes_the_ranges)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel;
    oxt_trials *log = new_log();
    OK(oxt_prior_steel(&steel, "Alder 1", NULL, default_film(), &error));
    add_colour(log, 600.0, 60.0, "purple");
    oxt_steel *renewed = renewed_by(steel, log, 0.3);
    oxt_steel_values found = values_of_steel(renewed);
    cr_assert(found.bath_low_K == 600.0 && found.bath_high_K == 600.0 && found.trial_count == 1);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
    oxt_trials_free(log);
}

/* ---- the history ---- */

/* By hand: a sure coupon that shows 0.88 of the rate is told as 12 % slower. */
Test(anchor, the_entry_says_how_much_slower)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card), *renewed;
    oxt_anchor_options options = OXT_ANCHOR_OPTIONS_INIT;
    oxt_trials *log = new_log();
    oxt_trial other = trial_at(600.0, 60.0);
    add_thickness(log, 588.7, 100.0, sqrt(0.88 * 55.0 * 100.0));
    strcpy(other.steel, "Birch 2");
    strcpy(other.colour, "blue");
    OK(oxt_trials_add(log, &other, NULL, &error));
    options.shift_stderr = 10.0;
    options.label = "new salt, 3 May";
    OK(oxt_anchor_steel(&renewed, steel, log, default_film(), &options, &error));
    oxt_steel_change entry = entry_of(renewed, 0);
    cr_assert_str_eq(entry.what,
                     "1 coupon: film grows 12.0 % slower than by the card; k_ref 55 -> 48.4 "
                     "nm^2/s at 315.6 C");
    cr_assert_str_eq(entry.label, "new salt, 3 May");
    /* in the scale of the log: 588.7 K is 600 F */
    oxt_steel *in_F;
    OK(oxt_trials_set_unit(log, OXT_UNIT_FAHRENHEIT, &error));
    OK(oxt_anchor_steel(&in_F, steel, log, default_film(), &options, &error));
    cr_assert(strstr(entry_of(in_F, 0).what, " at 600 F"), "%s", entry_of(in_F, 0).what);
    oxt_steel_free(in_F);
    cr_assert_str_eq(entry.origin, "made up");
    cr_assert(entry.k_ref_before_nm2_per_s == 55.0 && entry.trial_count == 1);
    cr_assert(entry.k_ref_after_nm2_per_s == values_of_steel(renewed).growth.k_ref_nm2_per_s);
    cr_assert(strstr(values_of_steel(renewed).origin, "re-anchored on 1 coupon"));
    FAILS(oxt_steel_history(renewed, 1, &entry, &error), OXT_EARG);
    cr_assert_eq(values_of_steel(steel).change_count, 0);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
    oxt_trials_free(log);
}

static char *card_of(const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t length = 0;
    OK(oxt_steel_save_text(steel, NULL, 0, &length, &error));
    char *text = malloc(length + 1);
    OK(oxt_steel_save_text(steel, text, length + 1, NULL, &error));
    return text;
}

/* Round trip, by chance: a card that was renewed again and again comes back number for number and text for
 * text, and its card is the same. */
Test(anchor, a_history_comes_back)
{
    enum { ROUNDS = 25 };
    oxt_error error = OXT_ERROR_INIT;
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(random, 0);
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card);
    for (size_t i = 0; i < ROUNDS; i++) {
        oxt_anchor_options options = OXT_ANCHOR_OPTIONS_INIT;
        oxt_trials *log = new_log();
        oxt_steel *renewed, *again;
        char label[64];
        snprintf(label, sizeof label, "salt %zu, \"\xC2\xB5\" \\ \xF0\x9F\x94\xA5", i);
        options.label = i % 3 ? label : NULL;
        add_thickness(log, 560.0 + 80.0 * gsl_rng_uniform(random),
                      20.0 + 100.0 * gsl_rng_uniform(random),
                      40.0 + 40.0 * gsl_rng_uniform(random));
        OK(oxt_anchor_steel(&renewed, steel, log, default_film(), &options, &error));
        char *text = card_of(renewed);
        OK(oxt_steel_load(&again, NULL, text, strlen(text), &error));
        char *second = card_of(again);
        cr_assert_str_eq(second, text);
        cr_assert_eq(values_of_steel(again).change_count, i + 1);
        for (size_t j = 0; j <= i; j++) {
            oxt_steel_change a = entry_of(renewed, j), b = entry_of(again, j);
            cr_assert_eq(memcmp(&a, &b, sizeof a), 0, "entry %zu of %zu", j, i + 1);
        }
        cr_assert_str_eq(entry_of(again, i).label, i % 3 ? label : "");
        free(text);
        free(second);
        oxt_trials_free(log);
        oxt_steel_free(steel);
        oxt_steel_free(again);
        steel = renewed;
    }
    oxt_steel_free(steel);
    gsl_rng_free(random);
}

/* ---- damage and refusals ---- */

static void card_fails(const char *card, const char *from, const char *to, oxt_status status,
                       const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = (oxt_steel *)&error;
    const char *place = strstr(card, from);
    cr_assert_not_null(place, "%s", from);
    char *edited = calloc(1, strlen(card) + strlen(to) + 1);
    memcpy(edited, card, (size_t)(place - card));
    strcat(strcat(edited, to), place + strlen(from));
    FAILS(oxt_steel_load(&steel, NULL, edited, strlen(edited), &error), status);
    cr_assert_null(steel);
    SAYS(words);
    free(edited);
}

Test(anchor, each_damage_of_a_history_is_named)
{
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card);
    oxt_trials *log = new_log();
    add_thickness(log, 600.0, 60.0, 55.0);
    oxt_steel *renewed = renewed_by(steel, log, 0.3);
    char *text = card_of(renewed);
    card_fails(text, "\"history\": [", "\"history\": 5, \"x\": [", OXT_EPARSE, "expected a list");
    card_fails(text, "\"what\"", "\"w\"", OXT_EPARSE, "entry 1 of the card's history lacks 'what'");
    card_fails(
        text, "\"k_ref_after_nm2_per_s\": ", "\"k_ref_after_nm2_per_s\": -", OXT_EPARSE,
        "'k_ref_after_nm2_per_s' of entry 1 of the card's history: expected a number above 0");
    card_fails(text, "\"trial_count\": 1\n", "\"trial_count\": 1.5\n", OXT_EPARSE,
               "a whole number");
    card_fails(text, "\"label\": \"\"",
               "\"label\": \"a label that goes on and on and on until it is too long to be kept\"",
               OXT_EDOMAIN, "'label' of entry 1 of the card's history is longer than 63 bytes");
    free(text);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
    oxt_trials_free(log);
}

static void reanchor_fails(const oxt_steel_values *card, const oxt_trials *log, const char *label,
                           double shift_stderr, oxt_status status)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_anchor_options options = OXT_ANCHOR_OPTIONS_INIT;
    oxt_steel *steel = steel_of(card), *renewed = steel;
    options.label = label;
    options.shift_stderr = shift_stderr;
    FAILS(oxt_anchor_steel(&renewed, steel, log, default_film(), &options, &error), status);
    cr_assert_null(renewed);
    oxt_steel_free(steel);
}

Test(anchor, what_cannot_be_is_refused)
{
    oxt_steel_values card = some_card(), other = card, flat = card, crossed = card;
    oxt_trials *log = new_log(), *bright = new_log();
    add_thickness(log, 600.0, 60.0, 55.0);
    add_colour(bright, 560.0, 5.0, "bright");
    strcpy(other.steel, "Birch 2");
    flat.growth.Q_J_per_mol = 0.0;
    crossed.variance_ln_k = 0.25;
    crossed.covariance_J_per_mol = 1400.0;
    reanchor_fails(&other, log, NULL, 0.3, OXT_EARG);
    reanchor_fails(&card, bright, NULL, 0.3, OXT_EFEW);
    reanchor_fails(&flat, log, NULL, 0.3, OXT_EDOMAIN);
    reanchor_fails(&crossed, log, NULL, 0.3, OXT_EDOMAIN);
    reanchor_fails(&card, log, NULL, -0.1, OXT_EDOMAIN);
    reanchor_fails(&card, log, "\xFF", 0.3, OXT_EPARSE);
    reanchor_fails(&card, log, "a label that goes on and on and on until it is too long to be kept",
                   0.3, OXT_EARG);
    oxt_trials_free(log);
    oxt_trials_free(bright);
}

/* A hundredth is faster or slower too, what would be written as 0.0 % is neither; a rate eleven times as high is no
 * percentage. */
Test(anchor, the_entry_says_which_way)
{
    static const struct {
        double ratio;
        const char *words;
    } cases[] = { { 1.01, "film grows 1.0 % faster than by the card;" },
                  { 0.99, "film grows 1.0 % slower than by the card;" },
                  { 1.0004, "film grows as fast as by the card;" },
                  { 0.9996, "film grows as fast as by the card;" },
                  { 1.98, "film grows 98.0 % faster than by the card;" },
                  { 2.02, "film grows 2.0 times as fast as by the card;" },
                  { 11.4, "film grows 11 times as fast as by the card;" },
                  { 1.0 / 3.3, "film grows 3.3 times as slow as by the card;" } };
    oxt_steel_values card = some_card();
    oxt_steel *steel = steel_of(&card);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        oxt_trials *log = new_log();
        add_thickness(log, 588.7, 100.0, sqrt(cases[i].ratio * 55.0 * 100.0));
        oxt_steel *renewed = renewed_by(steel, log, 10.0);
        oxt_steel_change entry = entry_of(renewed, 0);
        cr_assert(strstr(entry.what, cases[i].words), "%s", entry.what);
        oxt_steel_free(renewed);
        oxt_trials_free(log);
    }
    oxt_steel_free(steel);
}

/* k_ref at T_ref and Q are independent of each other at 1/T = 1/T_ref + R cov/var(Q): too hot for any bath, and
 * too cold for one. */
Test(anchor, a_card_that_no_bath_tells_about)
{
    static const double at_K[] = { 250.0, 1200.0 };
    oxt_trials *log = new_log();
    add_thickness(log, 600.0, 60.0, 55.0);
    for (size_t i = 0; i < 2; i++) {
        oxt_steel_values card = some_card();
        card.covariance_J_per_mol = card.variance_Q_J2_per_mol2 / R *
                                    (1.0 / at_K[i] - 1.0 / card.growth.T_ref_K);
        card.variance_ln_k = 0.01 + card.covariance_J_per_mol * card.covariance_J_per_mol /
                                        card.variance_Q_J2_per_mol2;
        oxt_error error = OXT_ERROR_INIT;
        oxt_steel *steel = steel_of(&card), *renewed;
        FAILS(oxt_anchor_steel(&renewed, steel, log, default_film(), NULL, &error), OXT_EDOMAIN);
        SAYS("nothing to do with each other");
        cr_assert_str_eq(error.parameter, "covariance_J_per_mol");
        oxt_steel_free(steel);
    }
    oxt_trials_free(log);
}

/* A card that is brought up to date every day for ten years: it loads, its size has a limit, and the oldest
 * entries stand together for what they did to the rate. */
Test(anchor, a_long_history_is_folded)
{
    enum { TIMES = 3600 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel, *next;
    oxt_trials *log = new_log();
    size_t needed = 0, trials = 0;
    add_thickness(log, 590.0, 60.0, 50.0);
    OK(oxt_prior_steel(&steel, "Alder 1", "", default_film(), &error));
    oxt_steel_values first = OXT_STEEL_VALUES_INIT, last = OXT_STEEL_VALUES_INIT;
    OK(oxt_steel_get(steel, &first, &error));
    for (int i = 0; i < TIMES; i++) {
        OK(oxt_anchor_steel(&next, steel, log, default_film(), NULL, &error));
        oxt_steel_free(steel);
        steel = next;
    }
    OK(oxt_steel_get(steel, &last, &error));
    size_t count = values_of_steel(steel).change_count;
    cr_assert(count > 100 && count < 1000, "%zu", count);
    double before = first.growth.k_ref_nm2_per_s;
    for (size_t i = 0; i < count; i++) {
        oxt_steel_change entry = OXT_STEEL_CHANGE_INIT;
        OK(oxt_steel_history(steel, i, &entry, &error));
        cr_assert_eq(entry.k_ref_before_nm2_per_s, before);
        before = entry.k_ref_after_nm2_per_s;
        trials += entry.trial_count;
    }
    cr_assert_eq(before, last.growth.k_ref_nm2_per_s);
    cr_assert_eq(trials, TIMES);
    OK(oxt_steel_save_text(steel, NULL, 0, &needed, &error));
    cr_assert_leq(needed, 1 << 20);
    char *text = malloc(needed + 1);
    OK(oxt_steel_save_text(steel, text, needed + 1, NULL, &error));
    OK(oxt_steel_load(&next, NULL, text, needed, &error));
    cr_assert_eq(values_of_steel(next).change_count, count);
    free(text);
    oxt_steel_free(next);
    oxt_steel_free(steel);
    oxt_trials_free(log);
}
