/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dips made by a card, recorded with it. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_rng.h>
#include <string.h>

#include "support.h"

static const double K_600_F = 588.705555555556;

static oxt_steel *a_steel(void)
{
    oxt_steel_values values = some_steel();
    return steel_of(&values);
}

static oxt_dip dip_for(const oxt_steel *steel, const char *target)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxt_target wanted = target_of(target);
    OK(oxt_dip_predict(steel, &wanted, K_600_F, NULL, &dip, &error));
    return dip;
}

/* The card with a dip more, in place of the card. */
static void record(oxt_steel **steel, const oxt_dip *dip, const char *seen, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_record_options options = OXT_RECORD_OPTIONS_INIT;
    oxt_steel *made;
    options.time_s = time_s;
    options.label = "a Tuesday";
    OK(oxt_record_add(&made, *steel, default_film(), dip, seen, &options, &error));
    oxt_steel_free(*steel);
    *steel = made;
}

static oxt_record record_of(const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_record made = OXT_RECORD_INIT;
    OK(oxt_record_get(steel, 0.01, &made, &error));
    return made;
}

static void report_of(const oxt_steel *steel, char *text, size_t capacity)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_record made = record_of(steel);
    OK(oxt_record_report(&made, text, capacity, NULL, &error));
}

static oxt_recorded_dip dip_at(const oxt_steel *steel, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_recorded_dip made = OXT_RECORDED_DIP_INIT;
    OK(oxt_steel_recorded_dip(steel, index, &made, &error));
    return made;
}

Test(record, a_dip_is_kept_with_what_was_promised_and_what_came_out)
{
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    record(&steel, &dip, "blue", 0.0);
    record(&steel, &dip, "dark blue", dip.time_s + 0.5);
    oxt_recorded_dip first = dip_at(steel, 0), second = dip_at(steel, 1);
    NEAR(first.bath_K, K_600_F, 1e-9);
    cr_assert(first.time_s == dip.time_s && first.chance == dip.chance && first.hit == 1);
    cr_assert(first.low_nm == dip.target.low_nm && first.high_nm == dip.target.high_nm);
    cr_assert(first.k_ref_nm2_per_s == 55.0 && first.part_size_m == 0.0 && first.lift_s == 0.0);
    cr_assert_str_eq(first.target, dip.target.text);
    cr_assert_str_eq(first.seen, "blue");
    cr_assert_str_eq(first.label, "a Tuesday");
    cr_assert(second.hit == 0 && second.time_s == dip.time_s + 0.5 && second.chance == dip.chance);
    cr_assert_eq(values_of_steel(steel).record_count, 2);
    oxt_steel_free(steel);
}

/* What came out is read as a target is; the middle of a name counts. */
Test(record, a_hit_lies_within_the_bounds_of_the_target)
{
    static const struct {
        const char *seen;
        int hit;
    } cases[] = {
        { "blue", 1 },   { "Blue", 1 },   { "57 nm", 1 },      { "40 nm", 0 },
        { "purple", 0 }, { "bright", 0 }, { "light blue", 0 }, { "second order blue", 0 }
    };
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        record(&steel, &dip, cases[i].seen, 0.0);
        cr_assert(dip_at(steel, i).hit == cases[i].hit, "%s", cases[i].seen);
    }
    double srgb[3], film_nm = 57.0;
    char text[16];
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_film_colours(default_film(), OXT_SPACE_SRGB, 1, &film_nm, 0, srgb, NULL, NULL, &error));
    OK(oxt_format_srgb(srgb, text, sizeof text, NULL, &error));
    record(&steel, &dip, text, 0.0);
    cr_assert(dip_at(steel, 8).hit == 1, "%s", text);
    oxt_steel_free(steel);
}

Test(record, nothing_was_promised_of_a_dip_that_was_lifted_at_another_time)
{
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    cr_assert(dip.time_s > 55.0);
    record(&steel, &dip, "blue", dip.time_s + 3.0);
    record(&steel, &dip, "blue", dip.time_s * 0.985);
    cr_assert(dip_at(steel, 0).chance == -1.0 && dip_at(steel, 1).chance == dip.chance);
    oxt_record made = record_of(steel);
    cr_assert(made.dip_count == 2 && made.promised_count == 1 && made.hit_count == 1);
    NEAR(made.expected_hits, dip.chance, 1e-15);
    oxt_steel_free(steel);
}

/* Hits of equal chances are binomial. */
Test(record, so_few_hits_have_the_chance_of_the_binomial)
{
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    dip.chance = 0.8;
    for (int i = 0; i < 30; i++)
        record(&steel, &dip, i % 3 ? "blue" : "purple", 0.0); /* 20 hits, 14 of the last 20 */
    oxt_record made = record_of(steel);
    cr_assert(made.promised_count == 30 && made.hit_count == 20 && made.kept == 1);
    NEAR(made.expected_hits, 24.0, 1e-12);
    NEAR(made.p_value, gsl_cdf_binomial_P(20, 0.8, 30), 1e-12);
    NEAR(made.recent_p_value, gsl_cdf_binomial_P(14, 0.8, 20), 1e-12);
    NEAR(gsl_cdf_binomial_Q(19, made.hits_low / 30.0, 30), 0.025, 1e-9);
    NEAR(gsl_cdf_binomial_P(20, made.hits_high / 30.0, 30), 0.025, 1e-9);
    cr_assert(made.bin_count[2] == 30.0 && made.bin_hits[2] == 20.0 && made.bin_count[1] == 0.0);
    NEAR(made.bin_expected[2], 24.0, 1e-12);
    oxt_steel_free(steel);
}

/* Of unequal chances: 0.5, 0.9 and 0.2 by hand. None: 0.5 * 0.1 * 0.8 = 0.04; one: 0.5 * 0.1 * 0.8 + 0.5 * 0.9 * 0.8 +
 * 0.5 * 0.1 * 0.2 = 0.41. */
Test(record, so_few_hits_of_unequal_chances)
{
    static const double chances[] = { 0.5, 0.9, 0.2 };
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    for (int i = 0; i < 3; i++) {
        dip.chance = chances[i];
        record(&steel, &dip, i == 1 ? "blue" : "purple", 0.0);
    }
    oxt_record made = record_of(steel);
    NEAR(made.p_value, 0.04 + 0.41, 1e-15);
    NEAR(made.recent_p_value, made.p_value, 0.0);
    cr_assert(made.bin_count[0] == 2.0 && made.bin_count[3] == 1.0 && made.bin_hits[3] == 1.0);
    oxt_steel_free(steel);
}

/* Records of 25 dips whose promises hold are called in at most 1 of 100, three errors allowed; a card whose rate has
 * doubled, which gives one hit of ten, in nearly all. */
Test(record, a_card_that_keeps_its_promises_is_hardly_ever_said_not_to)
{
    enum { RECORDS = 1500, DIPS = 25 };
    gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
    int called = 0, found = 0;
    gsl_rng_set(random, 20231);
    for (int i = 0; i < RECORDS; i++) {
        oxt_steel *good = a_steel(), *bad = a_steel();
        oxt_dip dip = dip_for(good, "blue");
        for (int j = 0; j < DIPS; j++) {
            dip.chance = 0.5 + 0.49 * gsl_rng_uniform(random);
            record(&good, &dip, gsl_rng_uniform(random) < dip.chance ? "blue" : "purple", 0.0);
            if (i < 100)
                record(&bad, &dip,
                       gsl_rng_uniform(random) < (j < 5 ? dip.chance : 0.1) ? "blue" : "silver",
                       0.0);
        }
        called += !record_of(good).kept;
        found += i < 100 && !record_of(bad).kept;
        oxt_steel_free(good);
        oxt_steel_free(bad);
    }
    gsl_rng_free(random);
    measured("record-false-count", RECORDS, 0.0, HUGE_VAL);
    measured("record-false", (double)called / RECORDS, -HUGE_VAL,
             0.01 + 3.0 * sqrt(0.01 / RECORDS));
    cr_assert(found >= 99, "%d of 100", found);
}

/* ---- the card ---- */

Test(record, a_card_keeps_it)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel(), *loaded;
    oxt_dip dip = dip_for(steel, "blue");
    char text[9000], again[9000], *place;
    record(&steel, &dip, "blue", 0.0);
    record(&steel, &dip, "40 nm", 90.0);
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    cr_assert(strstr(text, "\"minor\": 4") && strstr(text, "\"record\": ["));
    OK(oxt_steel_load(&loaded, NULL, text, strlen(text), &error));
    OK(oxt_steel_save_text(loaded, again, sizeof again, NULL, &error));
    cr_assert_str_eq(text, again);
    oxt_recorded_dip first = dip_at(steel, 1), second = dip_at(loaded, 1);
    cr_assert(first.chance == second.chance && first.bath_K == second.bath_K &&
              !strcmp(second.seen, "40 nm") && second.hit == 0);
    oxt_steel_free(loaded);
    place = strstr(text, "\"hit\": true");
    memcpy(place, "\"hit\": 1   ", 11);
    FAILS(oxt_steel_load(&loaded, NULL, text, strlen(text), &error), OXT_EPARSE);
    SAYS("'hit' of dip 1 of the card's record: expected true or false");
    memcpy(place, "\"hit\": true", 11);
    place = strstr(text, "\"chance\": 0.");
    memcpy(place, "\"chance\": 7.", 12);
    FAILS(oxt_steel_load(&loaded, NULL, text, strlen(text), &error), OXT_EDOMAIN);
    SAYS("chance is 7.");
    oxt_steel_free(steel);
}

/* A new rate promises anew: what the old one promised is kept, and does not count. */
Test(record, dips_by_an_older_rate_do_not_count)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel(), *renewed;
    oxt_dip dip = dip_for(steel, "blue");
    oxt_trials *coupons = new_log();
    record(&steel, &dip, "silver", 0.0);
    oxt_trial trial = trial_at(K_600_F, 40.0);
    strcpy(trial.colour, "blue");
    strcpy(trial.finish, values_of_steel(steel).finish);
    OK(oxt_trials_add(coupons, &trial, NULL, &error));
    OK(oxt_anchor_steel(&renewed, steel, coupons, default_film(), NULL, &error));
    oxt_record made = record_of(renewed);
    cr_assert(made.dip_count == 1 && made.promised_count == 0 && made.kept == 1);
    cr_assert(isnan(made.hits_low) && made.p_value == 1.0);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
    oxt_trials_free(coupons);
}

Test(record, of_more_than_500_dips_the_oldest_go)
{
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    record(&steel, &dip, "silver", 0.0);
    for (int i = 0; i < OXT_RECORD_MOST; i++)
        record(&steel, &dip, "blue", 0.0);
    oxt_record made = record_of(steel);
    cr_assert(made.dip_count == OXT_RECORD_MOST && made.hit_count == OXT_RECORD_MOST);
    NEAR(made.p_value, 1.0, 1e-12);
    oxt_steel_free(steel);
}

/* ---- the caution of every dip ---- */

static uint32_t cautions_of_dips(const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target blue = target_of("blue");
    oxt_dip best = OXT_DIP_INIT, first = OXT_DIP_INIT, second = OXT_DIP_INIT, step = OXT_DIP_INIT;
    oxt_sheet sheet = OXT_SHEET_INIT;
    oxt_bath_range range = OXT_BATH_RANGE_INIT;
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_step row = OXT_PLAN_STEP_INIT;
    oxt_plan *plan;
    size_t count;
    range.rows = 2;
    OK(oxt_plan_baths(steel, &blue, &range, NULL, &best, (oxt_dip *[]){ &first, &second }, &count,
                      &error));
    OK(oxt_chart_sheet(steel, default_film(), NULL, 0, NULL, &sheet, &error));
    part.steel = steel;
    part.film = default_film();
    part.target = &blue;
    options.draws = 100;
    OK(oxt_plan_set(&plan, (const oxt_plan_part *[]){ &part }, 1, K_600_F, &options, &error));
    OK(oxt_plan_get_step(plan, 0, &row, &step, &error));
    oxt_plan_free(plan);
    const uint32_t cautions[] = { dip_for(steel, "blue").cautions,
                                  best.cautions,
                                  first.cautions,
                                  sheet.cautions,
                                  step.cautions,
                                  values_of_steel(steel).cautions };
    for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
        cr_assert_eq((cautions[i] ^ cautions[0]) & OXT_CAUTION_BROKEN_PROMISES, 0, "%zu", i);
    return cautions[0] & OXT_CAUTION_BROKEN_PROMISES;
}

/* Ten of ten misses of 0.9: as unlikely as 1e-10. Its file, and a card with other words, have the same record; one that
 * was anchored has another rate, which promised none of them. */
Test(record, every_dip_of_a_card_that_is_not_kept_says_so)
{
    oxt_error error = OXT_ERROR_INIT;
    static char text[40000];
    oxt_steel *steel = a_steel(), *loaded, *reworded, *renewed;
    oxt_dip dip = dip_for(steel, "blue");
    dip.chance = 0.9;
    cr_assert_eq(cautions_of_dips(steel), 0);
    record(&steel, &dip, "purple", 0.0);
    cr_assert_eq(cautions_of_dips(steel), 0);
    cr_assert(record_of(steel).kept == 1);
    for (int i = 0; i < 9; i++)
        record(&steel, &dip, "purple", 0.0);
    cr_assert_eq(cautions_of_dips(steel), OXT_CAUTION_BROKEN_PROMISES);
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    OK(oxt_steel_load(&loaded, NULL, text, strlen(text), &error));
    cr_assert_eq(cautions_of_dips(loaded), OXT_CAUTION_BROKEN_PROMISES);
    OK(oxt_steel_with_words(&reworded, steel, NULL, &error));
    cr_assert_eq(cautions_of_dips(reworded), OXT_CAUTION_BROKEN_PROMISES);
    oxt_trials *trials = new_log();
    OK(oxt_record_trials(steel, trials, &error));
    OK(oxt_anchor_steel(&renewed, steel, trials, default_film(), NULL, &error));
    cr_assert_eq(cautions_of_dips(renewed), 0);
    oxt_trials_free(trials);
    oxt_steel_free(renewed);
    oxt_steel_free(reworded);
    oxt_steel_free(loaded);
    oxt_steel_free(steel);
}

/* ---- as coupons ---- */

Test(record, a_log_takes_the_dips_as_coupons)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel();
    oxt_part part = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target blue = target_of("blue");
    oxt_dip dip = dip_for(steel, "blue"), thick = OXT_DIP_INIT;
    oxt_trials *trials = new_log();
    part.size_m = 0.004;
    lift.delay_s = 5.0;
    options.part = &part;
    options.lift = &lift;
    OK(oxt_dip_predict(steel, &blue, K_600_F, &options, &thick, &error));
    record(&steel, &dip, "dark blue", 0.0);
    record(&steel, &thick, "61 nm", 0.0);
    record(&steel, &dip, "#2b3a67", 0.0);
    OK(oxt_record_trials(steel, trials, &error));
    cr_assert_eq(oxt_trials_count(trials), 3);
    oxt_trial first = OXT_TRIAL_INIT, second = OXT_TRIAL_INIT, third = OXT_TRIAL_INIT;
    OK(oxt_trials_get(trials, 0, &first, &error));
    OK(oxt_trials_get(trials, 1, &second, &error));
    OK(oxt_trials_get(trials, 2, &third, &error));
    cr_assert(first.time_s == dip.time_s && first.part_size_m == 0.0 && first.lift_s == 0.0);
    cr_assert(!strcmp(first.colour, "dark blue") &&
              !strcmp(first.steel, values_of_steel(steel).steel));
    cr_assert(second.seen == OXT_SEEN_THICKNESS && second.part_size_m == 0.0 &&
              second.lift_s == 0.0);
    CLOSE(second.time_s, dip.time_s, 1e-9); /* thick.time_s is that of the part */
    cr_assert(thick.time_s > 1.1 * dip.time_s && dip_at(steel, 1).time_s == thick.time_s &&
              dip_at(steel, 1).part_size_m == 0.004 && dip_at(steel, 1).lift_s == 5.0);
    cr_assert(dip_at(steel, 0).coupon_time_s == 0.0);
    NEAR(second.thickness_nm, 61.0, 1e-9);
    cr_assert(third.seen == OXT_SEEN_SRGB && !strcmp(third.srgb, "#2b3a67"));
    oxt_trials_free(trials);
    oxt_steel_free(steel);
}

/* A dip of a part on a card whose constants include its coupons' path, coupons named. */
static oxt_dip dip_of_part(const oxt_steel *steel, const char *target, double bath_K,
                           bool has_coupon)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part part = OXT_PART_INIT, coupon = OXT_PART_INIT;
    oxt_lift lift = OXT_LIFT_INIT, coupon_lift = OXT_LIFT_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target wanted = target_of(target);
    oxt_dip dip = OXT_DIP_INIT;
    part.size_m = 0.006;
    coupon.size_m = 0.002;
    lift.delay_s = 4.0;
    coupon_lift.delay_s = 2.0;
    options.part = &part;
    options.lift = &lift;
    options.coupon = has_coupon ? &coupon : NULL;
    options.coupon_lift = has_coupon ? &coupon_lift : NULL;
    OK(oxt_dip_predict(steel, &wanted, bath_K, &options, &dip, &error));
    return dip;
}

/* Equivalent time of a plate by the constants of the steel itself, as the fit takes it. */
static double equivalent_s(const oxt_steel *by, double size_m, double lift_s, double bath_K,
                           double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    double found_s;
    strcpy(trial.steel, values_of_steel(by).steel);
    strcpy(trial.colour, "blue");
    trial.bath_K = bath_K;
    trial.time_s = time_s;
    trial.part_size_m = size_m;
    trial.lift_s = lift_s;
    OK(oxt_dip_equivalent_time(by, &trial, &found_s, &error));
    return found_s;
}

/* Definition: the coupon of the same film has the same equivalent time, whenever the part was lifted, but for a second
 * or a per cent by which a coupon that is lifted early is still cold; a part that came
 * out as promised is the coupon that was promised. */
Test(record, a_part_is_read_back_as_the_coupon_with_its_film)
{
    static const double SHARES[] = { 1.0, 0.6, 0.8, 1.3, 2.0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = a_steel();
    values.basis = OXT_BASIS_STEEL;
    oxt_steel *itself = steel_of(&values);
    oxt_trials *trials = new_log();
    for (int has_coupon = 0; has_coupon < 2; has_coupon++) {
        oxt_dip dip = dip_of_part(steel, "blue", K_600_F, has_coupon);
        CLOSE(dip.coupon_time_s, dip_for(steel, "blue").time_s, 1e-9);
        for (size_t i = 0; i < 5; i++) {
            double time_s = SHARES[i] * dip.time_s;
            record(&steel, &dip, "blue", time_s);
            double coupon_s = dip_at(steel, i + 5u * (size_t)has_coupon).coupon_time_s;
            double of_part = equivalent_s(itself, 0.006, 4.0, K_600_F, time_s);
            double of_coupon = has_coupon ? equivalent_s(itself, 0.002, 2.0, K_600_F, coupon_s)
                                          : coupon_s;
            cr_assert(fabs(of_coupon - of_part) < fmax(0.01 * of_part, 1.0),
                      "%g of %g s: %g for %g s", SHARES[i], dip.time_s, of_coupon, of_part);
        }
    }
    OK(oxt_record_trials(steel, trials, &error));
    for (size_t i = 0; i < 10; i++) {
        oxt_trial trial = OXT_TRIAL_INIT;
        OK(oxt_trials_get(trials, i, &trial, &error));
        cr_assert(trial.time_s == dip_at(steel, i).coupon_time_s && trial.part_size_m == 0.0 &&
                  trial.lift_s == 0.0);
    }
    oxt_trials_free(trials);
    oxt_steel_free(itself);
    oxt_steel_free(steel);
}

/* Where the card states its coupons, the log has the part itself. */
Test(record, a_card_that_states_its_coupons_keeps_the_part)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    values.basis = OXT_BASIS_STEEL;
    values.coupon_size_m = 0.002;
    oxt_steel *steel = steel_of(&values);
    oxt_trials *trials = new_log();
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_dip dip = dip_of_part(steel, "blue", K_600_F, false);
    cr_assert(dip.coupon_time_s == 0.0);
    record(&steel, &dip, "blue", 0.0);
    OK(oxt_record_trials(steel, trials, &error));
    OK(oxt_trials_get(trials, 0, &trial, &error));
    cr_assert(dip_at(steel, 0).coupon_time_s == 0.0 && trial.time_s == dip.time_s &&
              trial.part_size_m == 0.006 && trial.lift_s == 4.0);
    oxt_trials_free(trials);
    oxt_steel_free(steel);
}

/* A film that was there takes no time of the dip, and all of that of a coupon. */
Test(record, a_dip_over_a_film_is_a_coupon_from_bare_steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel();
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_target there = target_of("40 nm"), blue = target_of("blue");
    oxt_dip over = OXT_DIP_INIT, bare = dip_for(steel, "blue");
    options.initial = &there;
    OK(oxt_dip_predict(steel, &blue, K_600_F, &options, &over, &error));
    record(&steel, &over, "blue", 0.0);
    record(&steel, &over, "blue", over.time_s + 10.0);
    cr_assert(over.time_s < 0.7 * bare.time_s);
    CLOSE(dip_at(steel, 0).coupon_time_s, bare.time_s, 1e-9);
    CLOSE(dip_at(steel, 1).coupon_time_s, bare.time_s + 10.0, 1e-9);
    oxt_steel_free(steel);
}

/* Three of three as promised say nothing against the card. */
Test(record, parts_that_came_out_as_promised_leave_the_card_as_it_is)
{
    static const double BATHS_K[] = { 577.594444, K_600_F, 599.816667 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel(), *renewed;
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < 3; i++) {
        oxt_dip dip = dip_of_part(steel, "blue", BATHS_K[i], true);
        record(&steel, &dip, "blue", 0.0);
    }
    OK(oxt_record_trials(steel, trials, &error));
    OK(oxt_anchor_steel(&renewed, steel, trials, default_film(), NULL, &error));
    double moved = log(values_of_steel(renewed).growth.k_ref_nm2_per_s / 55.0);
    cr_assert(fabs(moved) < values_of_steel(steel).scatter, "%g", moved);
    oxt_trials_free(trials);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
}

/* The card keeps both times, and one without the coupon's is read as it was. */
Test(record, a_card_keeps_when_its_coupon_would_have_been_lifted)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel(), *loaded;
    oxt_dip dip = dip_of_part(steel, "blue", K_600_F, true), plain = dip_for(steel, "blue");
    static char text[20000];
    record(&steel, &dip, "blue", 0.0);
    record(&steel, &plain, "blue", 0.0);
    OK(oxt_steel_save_text(steel, text, sizeof text, NULL, &error));
    const char *first = strstr(text, "\"coupon_time_s\"");
    cr_assert(first && !strstr(first + 1, "\"coupon_time_s\""));
    OK(oxt_steel_load(&loaded, NULL, text, strlen(text), &error));
    cr_assert(dip_at(loaded, 0).coupon_time_s == dip_at(steel, 0).coupon_time_s &&
              dip_at(loaded, 1).coupon_time_s == 0.0);
    oxt_steel_free(loaded);
    char *digit = strpbrk(strstr(text, "\"coupon_time_s\""), "123456789");
    *digit = '-';
    FAILS(oxt_steel_load(&loaded, NULL, text, strlen(text), &error), OXT_EDOMAIN);
    *digit = '"';
    FAILS(oxt_steel_load(&loaded, NULL, text, strlen(text), &error), OXT_EPARSE);
    oxt_steel_free(steel);
}

/* A shop's own word is read by a film that has it; a log without it takes none of the dips. */
Test(record, a_log_that_does_not_know_a_word_is_left_as_it_was)
{
    static const char csv[] = "word,band\nlamp blue,blue\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_words *words;
    oxt_film *film;
    oxt_steel *steel = a_steel(), *second;
    oxt_dip dip = dip_for(steel, "blue");
    oxt_trials *trials = new_log();
    OK(oxt_words_read_csv(&words, NULL, csv, sizeof csv - 1, NULL, &error));
    options.words = words;
    OK(oxt_film_new(&film, &options, &error));
    record(&steel, &dip, "blue", 0.0);
    OK(oxt_record_add(&second, steel, film, &dip, "lamp blue", NULL, &error));
    cr_assert(dip_at(second, 1).hit == 1);
    FAILS(oxt_record_trials(second, trials, &error), OXT_EPARSE);
    SAYS("lamp blue");
    cr_assert_eq(oxt_trials_count(trials), 0);
    oxt_trials_free(trials);
    oxt_steel_free(second);
    oxt_steel_free(steel);
    oxt_film_free(film);
    oxt_words_free(words);
}

/* ---- the report, and what is refused ---- */

Test(record, a_report_says_whether_the_promises_are_kept)
{
    oxt_steel *steel = a_steel();
    oxt_dip dip = dip_for(steel, "blue");
    char text[2000];
    report_of(steel, text, sizeof text);
    cr_assert(strstr(text, ": 0 dips recorded, 0 lifted as predicted"), "%s", text);
    dip.chance = 0.9;
    record(&steel, &dip, "blue", 0.0);
    report_of(steel, text, sizeof text);
    cr_assert(strstr(text, "  1 of 1 showed the wanted colour, 0.9 promised ("), "%s", text);
    cr_assert(strstr(text, "  85 to 95 %        1        0.9      1\n"), "%s", text);
    cr_assert(strstr(text, "keeps its promises as far as"), "%s", text);
    for (int i = 0; i < 3; i++)
        record(&steel, &dip, "silver", 0.0);
    report_of(steel, text, sizeof text);
    cr_assert(
        strstr(text,
               "no longer keeps its promises: if it did, so few hits would come in 0.37 % of"),
        "%s", text);
    oxt_steel_free(steel);
}

Test(record, what_is_no_record_is_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = a_steel(), *made;
    oxt_dip dip = dip_for(steel, "blue"), odd = dip;
    oxt_record_options options = OXT_RECORD_OPTIONS_INIT;
    oxt_record found = OXT_RECORD_INIT;
    FAILS(oxt_record_add(&made, steel, default_film(), &dip, "blu", NULL, &error), OXT_EPARSE);
    SAYS("'blue'?");
    cr_assert_null(made);
    options.time_s = -1.0;
    FAILS(oxt_record_add(&made, steel, default_film(), &dip, "blue", &options, &error),
          OXT_EDOMAIN);
    options.time_s = 0.0;
    options.label = "a label of more than sixty-three bytes, which is longer than a card keeps";
    FAILS(oxt_record_add(&made, steel, default_film(), &dip, "blue", &options, &error), OXT_EARG);
    odd.time_s = 0.0;
    FAILS(oxt_record_add(&made, steel, default_film(), &odd, "blue", NULL, &error), OXT_EDOMAIN);
    odd.time_s = 60.0;
    odd.chance = 2.0;
    FAILS(oxt_record_add(&made, steel, default_film(), &odd, "blue", NULL, &error), OXT_EDOMAIN);
    FAILS(oxt_record_get(steel, 0.5, &found, &error), OXT_EDOMAIN);
    memset(found.name, 'x', sizeof found.name);
    FAILS(oxt_record_report(&found, NULL, 0, NULL, &error), OXT_EARG);
    oxt_steel_free(steel);
}
