/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The most forgiving bath, and sets of parts. */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <stdio.h>
#include <string.h>

#include "support.h"
#include "volumes.h"

static oxt_target target_on(const oxt_film *film, const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    OK(oxt_tint_target(film, name, &target, &error));
    return target;
}

static oxt_dip best_of(const oxt_steel_values *values, const oxt_bath_range *range,
                       const oxt_dip_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel *steel = steel_of(values);
    oxt_target blue = target_on(default_film(), "blue");
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_plan_baths(steel, &blue, range, options, &dip, NULL, NULL, &error));
    oxt_steel_free(steel);
    return dip;
}

/* ---- the most forgiving bath ---- */

/* No bath of a fine grid over the range, whose dip is short enough, has a better chance. */
Test(forgiving, no_other_bath_has_a_better_chance)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_on(default_film(), "blue");
    const double wanders[][2] = { { 0.0, 0.0 }, { 2.0, 3.0 }, { 0.0, 10.0 }, { 8.0, 0.0 } };
    for (size_t i = 0; i < 4; i++) {
        oxt_bath_range range = OXT_BATH_RANGE_INIT;
        oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
        range.longest_s = 900.0;
        options.bath_wander_K = wanders[i][0];
        options.time_wander_s = wanders[i][1];
        oxt_dip best = best_of(&values, &range, &options);
        cr_assert(best.bath_K >= range.low_K && best.bath_K <= range.high_K);
        cr_assert(best.time_s <= range.longest_s);
        for (double bath_K = range.low_K; bath_K <= range.high_K; bath_K += 0.25) {
            oxt_dip dip = OXT_DIP_INIT;
            OK(oxt_dip_predict(steel, &blue, bath_K, &options, &dip, &error));
            cr_assert(dip.time_s > range.longest_s || dip.chance <= best.chance + 1e-9);
        }
    }
    oxt_steel_free(steel);
}

/* Physics: a clock that wanders asks for a cooler, slower bath; common practice says the same, no
 * source. With constants known everywhere alike, it is the slowest dip allowed. */
Test(forgiving, a_hasty_hand_wants_a_cooler_bath)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_dip_options steady = OXT_DIP_OPTIONS_INIT, hasty = OXT_DIP_OPTIONS_INIT;
    hasty.time_wander_s = 6.0;
    double cool_K = best_of(&values, NULL, &hasty).bath_K;
    cr_assert(cool_K < best_of(&values, NULL, &steady).bath_K - 1.0);
    oxt_bath_range range = OXT_BATH_RANGE_INIT;
    values.variance_Q_J2_per_mol2 = 0.0;
    range.longest_s = 300.0;
    oxt_dip slowest = best_of(&values, &range, &hasty);
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_on(default_film(), "blue");
    double bath_K;
    OK(bath_for_time(steel, &blue, 300.0, &hasty, &bath_K, &error));
    NEAR(slowest.bath_K, bath_K, 0.02);
    range = (oxt_bath_range){ sizeof range, bath_K + 5.0, 640.0, 300.0,
                              9 }; /* or the end of the range */
    NEAR(best_of(&values, &range, &hasty).bath_K, bath_K + 5.0, 1e-6);
    oxt_steel_free(steel);
}

/* Physics: 20 s at bath temperature after the lift grow past blue in a hot bath. A range that begins at the hottest
 * bath that does not, within a kelvin, has that one to offer. */
Test(forgiving, only_the_coolest_bath_will_do)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_on(default_film(), "blue");
    oxt_bath_range range = { sizeof range, 600.0, 970.0, 300.0, 9 };
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    lift.delay_s = 20.0;
    options.lift = &lift;
    while (oxt_dip_predict(steel, &blue, range.low_K + 1.0, &options, &dip, &error) == OXT_OK)
        range.low_K += 1.0;
    cr_assert_eq(error.status, OXT_EUNREACHABLE);
    oxt_dip best = best_of(&values, &range, &options);
    cr_assert(best.bath_K >= range.low_K && best.bath_K <= range.low_K + 1.0, "%g K", best.bath_K);
    oxt_steel_free(steel);
}

/* Statistics: the fit is surest near the middle of its trials. */
Test(forgiving, without_wander_the_best_bath_is_where_the_fit_is_surest)
{
    oxt_steel_values values = some_steel();
    NEAR(best_of(&values, NULL, NULL).bath_K, 588.7, 0.05);
}

Test(forgiving, says_what_is_out_of_reach)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_on(default_film(), "blue");
    oxt_bath_range range = { sizeof range, 540.0, 560.0, 60.0, 9 };
    oxt_dip dip = OXT_DIP_INIT;
    FAILS(oxt_plan_baths(steel, &blue, &range, NULL, &dip, NULL, NULL, &error), OXT_EUNREACHABLE);
    SAYS("longer than the 60 s allowed");
    range.low_K = 570.0;
    FAILS(oxt_plan_baths(steel, &blue, &range, NULL, &dip, NULL, NULL, &error), OXT_EDOMAIN);
    SAYS("low_K");
    range.low_K = 540.0;
    range.longest_s = 0.0;
    FAILS(oxt_plan_baths(steel, &blue, &range, NULL, &dip, NULL, NULL, &error), OXT_EDOMAIN);
    range = (oxt_bath_range){ sizeof range, 590.0, 590.0, 600.0, 9 };
    OK(oxt_plan_baths(steel, &blue, &range, NULL, &dip, NULL, NULL, &error));
    cr_assert(dip.bath_K == 590.0);
    oxt_steel_free(steel);
}

/* The comparison of baths as text, with its dips. */
static size_t compare(const oxt_steel *steel, const oxt_bath_range *range,
                      const oxt_dip_options *options, oxt_dip dips[9], oxt_dip *best, char *text,
                      size_t capacity)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target blue = target_on(default_film(), "blue");
    oxt_dip *list[9];
    size_t count, needed;
    for (int i = 0; i < 9; i++) {
        dips[i] = (oxt_dip)OXT_DIP_INIT;
        list[i] = &dips[i];
    }
    *best = (oxt_dip)OXT_DIP_INIT;
    OK(oxt_plan_baths(steel, &blue, range, options, best, list, &count, &error));
    OK(oxt_plan_baths_report((const oxt_dip *const *)list, count, best, OXT_UNIT_KELVIN,
                             OXT_CAUTION_BRIEF, text, capacity, &needed, &error));
    cr_assert_eq(needed, strlen(text));
    return count;
}

/* Contract: a row for each bath that is quick enough, and the best one. */
Test(forgiving, baths_are_compared)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_on(default_film(), "blue");
    oxt_bath_range range = { sizeof range, 560.0, 640.0, 90.0, 9 };
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip dips[9], best, alone = OXT_DIP_INIT;
    char text[8000];
    options.time_wander_s = 3.0;
    size_t count = compare(steel, &range, &options, dips, &best, text, sizeof text);
    cr_assert(count > 1 && count < 9);
    for (size_t i = 0; i < count; i++) {
        /* the last baths of 560, 570, ... 640 K */
        CLOSE(dips[i].bath_K, 640.0 - 10.0 * (double)(count - 1 - i), 1e-12);
        cr_assert(dips[i].time_s <= 90.0 && dips[i].chance <= best.chance + 1e-9);
        OK(oxt_dip_predict(steel, &blue, dips[i].bath_K, &options, &alone, &error));
        cr_assert(dips[i].time_s == alone.time_s && dips[i].chance == alone.chance);
    }
    OK(oxt_plan_baths(steel, &blue, &range, &options, &alone, NULL, NULL, &error));
    cr_assert(alone.bath_K == best.bath_K, "the rows do not enter");
    cr_assert(strstr(text, "600 K") && strstr(text, "640 K") &&
              strstr(text, "Most forgiving bath"));
    cr_assert(!strstr(text, "560 K"), "blue takes longer than 90 s there");
    cr_assert(strstr(text, "Cautions"));
    cr_assert(strstr(strstr(text, "Cautions"), "water"), "%s", text);
    /* Those of any bath in the table, though the best one is cool: above 538 C, as in docs/reference/bath.md. */
    range = (oxt_bath_range){ sizeof range, 560.0, 820.0, 90.0, 9 };
    cr_assert(!strstr(text, "TOO HOT"), "%s", text);
    compare(steel, &range, &options, dips, &best, text, sizeof text);
    cr_assert(strstr(text, "TOO HOT"), "%s", text);
    oxt_dip *list[] = { &dips[0] };
    for (range.rows = 0; range.rows < 2; range.rows++)
        FAILS(oxt_plan_baths(steel, &blue, &range, &options, &best, list, &count, &error),
              OXT_EARG);
    oxt_steel_free(steel);
}

/* The best bath is one that no caution forbids and whose salt is liquid, though another has a better chance; each row
 * whose bath is barred says so, and what forbids stands before the times. */
Test(forgiving, no_bath_is_chosen_that_is_forbidden_or_frozen)
{
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_dip dips[9], best;
    char text[8000];
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_bath_range range = { sizeof range, 533.0, 613.0, 3600.0, 9 };
    const oxt_dip any = best_of(&values, &range, NULL);
    options.last_temper_K = any.bath_K - 90.0;
    options.last_temper_s = 7200.0;
    size_t count = compare(steel, &range, &options, dips, &best, text, sizeof text), forbidden = 0;
    cr_assert(best.bath_K < any.bath_K && best.chance < any.chance, "%g K %g, %g K %g", best.bath_K, best.chance, any.bath_K, any.chance);
    cr_assert(!(best.cautions & OXT_CAUTION_HARDENED));
    for (size_t i = 0; i < count; i++)
        forbidden += (dips[i].cautions & OXT_CAUTION_HARDENED) != 0;
    cr_assert(forbidden > 0 && forbidden < count);
    size_t marked = 0;
    for (const char *at = text; (at = strstr(at, "%  DO NOT DIP\n")); at++)
        marked++;
    cr_assert_eq(marked, forbidden);
    cr_assert(strstr(text, "DO NOT DIP: ") < strstr(text, "bath at"));

    oxt_bath salt = OXT_BATH_INIT;
    options = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
    salt.salt = OXT_SALT_BINARY_60_40; /* works from 240 C, 513 K, up */
    options.salt_bath = &salt;
    range = (oxt_bath_range){ sizeof range, 460.0, 540.0, 1e6, 9 };
    compare(steel, &range, &options, dips, &best, text, sizeof text);
    cr_assert(!(best.cautions & OXT_CAUTION_BELOW_MELTING), "%g", best.bath_K);
    cr_assert(strstr(text, "%  TOO COLD\n"));
    cr_assert(!strstr(strstr(text, "Most forgiving"), "%  TOO COLD"));

    range.high_K = 500.0; /* none is left: the best of all, with its caution */
    compare(steel, &range, &options, dips, &best, text, sizeof text);
    cr_assert(best.cautions & OXT_CAUTION_BELOW_MELTING);
    oxt_steel_free(steel);
}

/* ---- sets ---- */

typedef struct {
    oxt_steel *steels[3];
    oxt_film *matte;
    oxt_part sizes[3];
    oxt_lift lift;
    oxt_dip_options options[3];
    oxt_target targets[3];
    oxt_plan_part parts[3];
    const oxt_plan_part *list[3];
} bench;

/* Three fittings of two steels, three sizes and two finishes. */
static void lay_out(bench *made)
{
    oxt_error error = OXT_ERROR_INIT;
    static const char *const names[] = { "bezel", "finial", "ring" };
    static const double sizes_m[] = { 0.006, 0.012, 0.002 };
    oxt_steel_values values = some_steel();
    oxt_film_options matte = OXT_FILM_OPTIONS_INIT;
    OK(oxt_film_finish(OXT_FINISH_SATIN, &matte.thickness_spread, &matte.angle_spread_deg, &error));
    OK(oxt_film_new(&made->matte, &matte, &error));
    made->steels[0] = made->steels[1] = steel_of(&values);
    strcpy(values.steel, "Alder 2");
    values.growth.k_ref_nm2_per_s = 70.0;
    values.scatter = 0.04;
    made->steels[2] = steel_of(&values);
    made->lift = (oxt_lift)OXT_LIFT_INIT;
    made->lift.delay_s = 4.0;
    for (size_t i = 0; i < 3; i++) {
        const oxt_film *film = i == 1 ? made->matte : default_film();
        made->sizes[i] = (oxt_part)OXT_PART_INIT;
        made->sizes[i].size_m = sizes_m[i];
        made->options[i] = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
        made->options[i].part = &made->sizes[i];
        made->options[i].lift = &made->lift;
        made->targets[i] = target_on(film, "blue");
        made->parts[i] = (oxt_plan_part)OXT_PLAN_PART_INIT;
        strcpy(made->parts[i].name, names[i]);
        made->parts[i].steel = made->steels[i];
        made->parts[i].film = film;
        made->parts[i].target = &made->targets[i];
        made->parts[i].options = &made->options[i];
        made->list[i] = &made->parts[i];
    }
}

static void clear_away(bench *made)
{
    oxt_steel_free(made->steels[0]);
    oxt_steel_free(made->steels[2]);
    oxt_film_free(made->matte);
}

/* Contract: lifts keep their distance, so do entries, and each part stays in for its own time. */
Test(set, can_be_worked_by_one_person)
{
    oxt_error error = OXT_ERROR_INIT;
    bench on;
    oxt_plan *set;
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    bool seen[3] = { false, false, false };
    lay_out(&on);
    options.spacing_s = 15.0;
    OK(oxt_plan_set(&set, on.list, 3, 600.0, &options, &error));
    OK(oxt_plan_get(set, &values, &error));
    cr_assert_eq(values.count, 3);
    double last_enter = -HUGE_VAL, last_lift = -HUGE_VAL;
    for (size_t i = 0; i < 3; i++) {
        oxt_plan_step step = OXT_PLAN_STEP_INIT;
        oxt_dip dip = OXT_DIP_INIT, alone = OXT_DIP_INIT;
        OK(oxt_plan_get_step(set, i, &step, &dip, &error));
        seen[step.part] = true;
        cr_assert_str_eq(step.name, on.parts[step.part].name);
        CLOSE(step.lift_s - step.enter_s, dip.time_s, 1e-9);
        cr_assert(i ? step.enter_s - last_enter >= 15.0 - 1e-9 : step.enter_s == 0.0);
        cr_assert(step.lift_s - last_lift >= 15.0 - 1e-9);
        last_enter = step.enter_s;
        last_lift = step.lift_s;
        OK(oxt_dip_predict(on.parts[step.part].steel, on.parts[step.part].target, 600.0,
                           on.parts[step.part].options, &alone, &error));
        CLOSE(dip.time_s, alone.time_s, 1e-12);
    }
    cr_assert(seen[0] && seen[1] && seen[2] && values.last_lift_s == last_lift);
    oxt_plan_free(set);
    clear_away(&on);
}

/* Statistics: one part alone hits its target with the chance of its dip, within the error of the
 * draws (3 standard errors of 40,000 draws). */
Test(set, of_one_is_a_dip)
{
    oxt_error error = OXT_ERROR_INIT;
    bench on;
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    options.draws = 40000;
    options.bath_wander_K = 2.0;
    options.time_wander_s = 2.0;
    lay_out(&on);
    for (size_t i = 0; i < 3; i++) {
        oxt_plan *set;
        oxt_plan_values values = OXT_PLAN_VALUES_INIT;
        oxt_plan_step step = OXT_PLAN_STEP_INIT;
        oxt_dip dip = OXT_DIP_INIT;
        OK(oxt_plan_set(&set, &on.list[i], 1, 600.0, &options, &error));
        OK(oxt_plan_get(set, &values, &error));
        OK(oxt_plan_get_step(set, 0, &step, &dip, &error));
        NEAR(values.chance_targets, dip.chance, 3.0 * sqrt(0.25 / 40000.0));
        cr_assert(values.mean_mismatch == 0.0 && values.chance_match == 1.0);
        oxt_plan_free(set);
    }
    clear_away(&on);
}

static oxt_plan_values values_in(double bath_K, const oxt_plan_part *const *list, size_t count,
                                 const oxt_plan_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_plan *set;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    OK(oxt_plan_set(&set, list, count, bath_K, options, &error));
    OK(oxt_plan_get(set, &values, &error));
    oxt_plan_free(set);
    return values;
}

static oxt_plan_values values_of(const oxt_plan_part *const *list, size_t count,
                                 const oxt_plan_options *options)
{
    return values_in(600.0, list, count, options);
}

/* Three parts of two steels, drawn one after the other by GSL: hits and mismatches of so many sets. */
enum { SETS = 200 };

static void draw_by_gsl(const oxt_steel_values steels[2], double time_wander_s, double aim_nm,
                        const oxt_target *target, double *hits, double mismatch[SETS])
{
    oxt_error error = OXT_ERROR_INIT;
    gsl_rng *dice = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(dice, 5);
    *hits = 0.0;
    for (int i = 0; i < SETS; i++) {
        double shared[2], lab[3][3], day;
        bool hit = true;
        gsl_ran_ugaussian(dice); /* of the bath */
        day = steels[1].day_sd > 0.0 ? gsl_ran_ugaussian(dice) : 0.0;
        mismatch[i] = 0.0;
        for (size_t part = 0; part < 3; part++) {
            const oxt_steel_values *of = &steels[part % 2];
            if (part < 2) {
                shared[part] = sqrt(of->variance_ln_k) * gsl_ran_ugaussian(dice);
                gsl_ran_ugaussian(dice); /* of Q */
                double stretch = sqrt(of->dof / gsl_ran_chisq(dice, of->dof));
                shared[part] += 2.0 * of->day_sd * day;
                if (of->ln_shape_stderr > 0.0)
                    shared[part] -= of->growth.shape * log(aim_nm / of->growth.middle_nm) *
                                    of->ln_shape_stderr * gsl_ran_ugaussian(dice);
                shared[part] *= stretch;
            }
            double power = of->growth.law == OXT_LAW_POWER ? of->growth.shape : 2.0;
            double middle_nm = power < 2.0 ? of->growth.middle_nm : 1.0;
            double time_s = middle_nm * middle_nm * pow(aim_nm / middle_nm, power) /
                            of->growth.k_ref_nm2_per_s;
            double ln_grown = shared[part % 2] + 2.0 * of->scatter * gsl_ran_ugaussian(dice);
            ln_grown += time_wander_s / time_s * gsl_ran_ugaussian(dice);
            gsl_ran_ugaussian(dice); /* of the film before */
            double film_nm = aim_nm * exp(ln_grown / power), apart_by;
            hit = hit && film_nm >= target->low_nm && film_nm < target->high_nm;
            OK(oxt_film_colour(default_film(), OXT_SPACE_PATH_LAB, film_nm, lab[part], NULL,
                               &error));
            for (size_t j = 0; j < part; j++) {
                OK(oxt_delta_e2000(1, lab[j], 0, lab[part], 0, &apart_by, NULL, &error));
                mismatch[i] = fmax(mismatch[i], apart_by);
            }
        }
        *hits += hit;
    }
    gsl_rng_free(dice);
    gsl_sort(mismatch, 1, SETS);
}

/* Statistics: a set drawn in blocks is the set drawn part by part. Once with few degrees of freedom and the error of the fit
 * alone, once with all that can vary and so many of them that how they add up does not count. */
Test(set, draws_are_those_of_gsl)
{
    oxt_target blue = target_on(default_film(), "blue");
    for (int all = 0; all < 2; all++) {
        oxt_steel_values steels[2] = { some_steel(), some_steel() };
        oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
        oxt_plan_part parts[2] = { OXT_PLAN_PART_INIT, OXT_PLAN_PART_INIT };
        const oxt_plan_part *list[3] = { &parts[0], &parts[1], &parts[0] };
        double hits, mismatch[SETS];
        strcpy(steels[1].steel, "Alder 2");
        for (int i = 0; i < 2; i++) {
            steels[i].variance_Q_J2_per_mol2 = 0.0;
            steels[i].scatter = all ? 0.05 : 0.0;
            steels[i].dof = all ? 1e12 : 4.0 + 3.0 * i;
        }
        if (all) {
            steels[1].day_sd = 0.03;
            steels[1].growth.law = OXT_LAW_POWER;
            steels[1].growth.shape = 1.7;
            steels[1].growth.middle_nm = 40.0;
            steels[1].ln_shape_stderr = 0.2;
        }
        for (int i = 0; i < 2; i++) {
            parts[i].steel = steel_of(&steels[i]);
            parts[i].film = default_film();
            parts[i].target = &blue;
        }
        options.draws = SETS;
        options.random_seed = 5;
        options.time_wander_s = all ? 2.0 : 0.0;
        oxt_plan_values values = values_in(588.7, list, 3, &options);
        draw_by_gsl(steels, options.time_wander_s, blue.aim_nm, &blue, &hits, mismatch);
        cr_assert_eq(values.chance_targets, hits / SETS);
        CLOSE(values.mean_mismatch, gsl_stats_mean(mismatch, 1, SETS), all ? 1e-4 : 1e-9);
        CLOSE(values.high_mismatch, mismatch[189], all ? 1e-4 : 1e-9); /* 95 % of 200 */
        for (int i = 0; i < 2; i++)
            oxt_steel_free((oxt_steel *)parts[i].steel);
    }
}

/* Statistics: what parts share does not part them. Two alike of one steel match better than the same
 * two of cards that were fitted apart; without any scatter they match wholly. */
Test(set, shared_errors_do_not_part_the_parts)
{
    bench on;
    lay_out(&on);
    on.parts[1] = on.parts[0];
    oxt_plan_values shared = values_of(on.list, 2, NULL);
    oxt_steel_values twin = some_steel();
    strcpy(twin.steel, "Alder 7");
    on.parts[1].steel = steel_of(&twin);
    oxt_plan_values apart = values_of(on.list, 2, NULL);
    cr_assert(shared.mean_mismatch < apart.mean_mismatch);
    cr_assert(shared.chance_match > apart.chance_match);
    cr_assert(shared.aim_mismatch == 0.0 && apart.aim_mismatch == 0.0);
    oxt_steel_free((oxt_steel *)on.parts[1].steel);
    /* one card loaded twice is one steel */
    twin = some_steel();
    on.parts[1].steel = steel_of(&twin);
    oxt_plan_values twice = values_of(on.list, 2, NULL);
    cr_assert(twice.mean_mismatch == shared.mean_mismatch &&
              twice.chance_match == shared.chance_match);
    oxt_steel_free((oxt_steel *)on.parts[1].steel);
    twin.scatter = 0.0;
    on.parts[0].steel = on.parts[1].steel = steel_of(&twin);
    oxt_plan_options wander = OXT_PLAN_OPTIONS_INIT;
    wander.bath_wander_K = 5.0;
    oxt_plan_values same = values_of(on.list, 2, &wander);
    cr_assert(same.mean_mismatch < 1e-9 && same.chance_match == 1.0);
    oxt_steel_free((oxt_steel *)on.parts[1].steel);
    clear_away(&on);
}

/* More wander, worse match; a wider tolerance, a better chance; the same seed, the same answer. */
Test(set, moves_the_right_way)
{
    bench on;
    lay_out(&on);
    oxt_plan_options usual = OXT_PLAN_OPTIONS_INIT, hasty = usual, lenient = usual;
    hasty.time_wander_s = 6.0;
    lenient.tolerance = 12.0;
    oxt_plan_values first = values_of(on.list, 3, &usual), again = values_of(on.list, 3, &usual);
    cr_assert(first.mean_mismatch == again.mean_mismatch);
    cr_assert(values_of(on.list, 3, &hasty).mean_mismatch > first.mean_mismatch);
    cr_assert(values_of(on.list, 3, &lenient).chance_match > first.chance_match);
    cr_assert(first.high_mismatch > first.mean_mismatch);
    cr_assert(first.mean_mismatch > first.aim_mismatch);
    clear_away(&on);
}

Test(set, says_which_part_is_at_fault)
{
    oxt_error error = OXT_ERROR_INIT;
    bench on;
    oxt_plan *set;
    lay_out(&on);
    on.parts[1].film = NULL;
    FAILS(oxt_plan_set(&set, on.list, 3, 600.0, NULL, &error), OXT_EARG);
    cr_assert(error.row == 2 && !set);
    SAYS("film");
    on.parts[1].film = default_film();
    on.sizes[2].size_m = -1.0;
    FAILS(oxt_plan_set(&set, on.list, 3, 600.0, NULL, &error), OXT_EDOMAIN);
    cr_assert(error.row == 3);
    on.sizes[2].size_m = 0.002;
    FAILS(oxt_plan_set(&set, on.list, 3, 2000.0, NULL, &error), OXT_EDOMAIN);
    FAILS(oxt_plan_set(&set, on.list, 0, 600.0, NULL, &error), OXT_EDOMAIN);
    oxt_plan_options bad = OXT_PLAN_OPTIONS_INIT;
    bad.draws = 5;
    FAILS(oxt_plan_set(&set, on.list, 3, 600.0, &bad, &error), OXT_EDOMAIN);
    bad = (oxt_plan_options)OXT_PLAN_OPTIONS_INIT;
    bad.spacing_s = -1.0;
    FAILS(oxt_plan_set(&set, on.list, 3, 600.0, &bad, &error), OXT_EDOMAIN);
    strcpy(on.parts[0].name, "rin\xFFg");
    FAILS(oxt_plan_set(&set, on.list, 3, 600.0, NULL, &error), OXT_EARG);
    cr_assert(error.row == 1 && strstr(error.text, "not UTF-8"));
    memset(on.parts[0].name, 'x', sizeof on.parts[0].name);
    FAILS(oxt_plan_set(&set, on.list, 3, 600.0, NULL, &error), OXT_EARG);
    SAYS("name does not end");
    clear_away(&on);
}

/* The cautions of a set are those of all its dips. */
Test(set, cautions_of_all_dips)
{
    oxt_error error = OXT_ERROR_INIT;
    bench on;
    oxt_plan *set;
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    uint32_t all = 0;
    lay_out(&on);
    OK(oxt_plan_set(&set, on.list, 3, 588.7, NULL, &error));
    OK(oxt_plan_get(set, &values, &error));
    for (size_t i = 0; i < values.count; i++) {
        oxt_plan_step step = OXT_PLAN_STEP_INIT;
        oxt_dip dip = OXT_DIP_INIT;
        OK(oxt_plan_get_step(set, i, &step, &dip, &error));
        cr_assert_eq(dip.cautions & (UNSTATED_BATH), UNSTATED_BATH);
        all |= dip.cautions;
    }
    cr_assert_eq(values.cautions, all);
    oxt_plan_free(set);
    clear_away(&on);
}

Test(set, report_can_be_worked_by)
{
    oxt_error error = OXT_ERROR_INIT;
    bench on;
    oxt_plan *set;
    char text[8000];
    lay_out(&on);
    OK(oxt_plan_set(&set, on.list, 3, 588.7, NULL, &error));
    OK(oxt_plan_report(set, OXT_UNIT_FAHRENHEIT, OXT_CAUTION_BRIEF, text, sizeof text, NULL,
                       &error));
    const char *finial = strstr(text, "finial: blue"), *ring = strstr(text, "ring: blue");
    cr_assert(finial && ring && finial < ring, "the slowest goes first");
    cr_assert(strstr(text, "600 F") && strstr(text, "Cautions"));
    oxt_plan_values values = OXT_PLAN_VALUES_INIT;
    char wanted[80];
    OK(oxt_plan_get(set, &values, &error));
    snprintf(wanted, sizeof wanted, "chance that all match within %-7.3g %.0f %%\n",
             values.tolerance, 100.0 * values.chance_match);
    cr_assert(strstr(text, wanted), "%s", text);
    oxt_plan_free(set);
    oxt_plan_free(NULL);
    clear_away(&on);
}

/* ---- progress ---- */

typedef struct {
    int calls, stop_after; /* 0: never */
    double last;
} watched;

static int watch(double done, void *user)
{
    watched *seen = user;
    cr_assert(done >= seen->last && done <= 1.0);
    seen->last = done;
    seen->calls++;
    return seen->calls == seen->stop_after;
}

/* Contract: progress rises to 1, and changes nothing; asked to stop, nothing is made and it is not called again, also
 * for the largest set allowed, whose draws would take hours. */
Test(plan, a_set_tells_its_progress_and_stops)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
    oxt_plan_values told = OXT_PLAN_VALUES_INIT, silent = OXT_PLAN_VALUES_INIT;
    oxt_steel_values values = some_steel();
    oxt_steel *steel = steel_of(&values);
    oxt_target target = target_of("blue");
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    static const oxt_plan_part *list[1000];
    oxt_plan *set;
    part.steel = steel;
    part.film = default_film();
    part.target = &target;
    for (size_t i = 0; i < 1000; i++)
        list[i] = &part;
    OK(oxt_plan_set(&set, list, 5, 600.0, &options, &error));
    OK(oxt_plan_get(set, &silent, &error));
    oxt_plan_free(set);
    watched seen = { 0, 0, 0.0 };
    options.progress = watch;
    options.user = &seen;
    OK(oxt_plan_set(&set, list, 5, 600.0, &options, &error));
    OK(oxt_plan_get(set, &told, &error));
    oxt_plan_free(set);
    cr_assert(seen.calls >= 1 && seen.last == 1.0, "%d calls", seen.calls);
    cr_assert(told.mean_mismatch == silent.mean_mismatch);
    options.draws = 1000000;
    for (int stop = 1; stop <= 4; stop += 3) {
        seen = (watched){ 0, stop, 0.0 };
        FAILS(oxt_plan_set(&set, list, 1000, 600.0, &options, &error), OXT_ECANCEL);
        cr_assert(!set && seen.calls == stop);
    }
    oxt_steel_free(steel);
}

/* ---- one bath for all ---- */

enum { LOADS = 3 };

/* Three loads of plates in 5 kg of 60/40 salt, c = 1443 + 0.172 T (T in C, Sandia's correlation), with their own balance:
 * the film of each and the coldest bath. */
static void dip_together(const double enter_s[LOADS], const double lift_s[LOADS], double heater_W,
                         double film_nm[LOADS], double *sag_K)
{
    const double set_K = 588.75, step_s = 0.05, load_kg = 0.5, half_m = 0.003;
    const double area_m2 = load_kg / (7850.0 * half_m);
    const double bath_J_per_K = 5.0 * (1443.0 + 0.172 * (set_K - 273.15));
    volumes of[LOADS];
    double bath_K = set_K, lowest_K = set_K, grown_nm2[LOADS] = { 0.0 };
    for (int i = 0; i < LOADS; i++)
        of[i] = volumes_steel(VOLUMES_PLATE, half_m, set_K, 600.0, 30);
    for (double time_s = 0.0; time_s < lift_s[LOADS - 1]; time_s += step_s) {
        double drawn_J = 0.0;
        for (int i = 0; i < LOADS; i++) {
            if (time_s < enter_s[i] || time_s >= lift_s[i])
                continue;
            double before_J = of[i].taken_J_per_m2;
            double before = exp(-80e3 / 8.314462618 * (1.0 / of[i].surface_K - 1.0 / 588.7));
            of[i].bath_K = bath_K;
            volumes_step(&of[i], step_s);
            double now = exp(-80e3 / 8.314462618 * (1.0 / of[i].surface_K - 1.0 / 588.7));
            grown_nm2[i] += 55.0 * 0.5 * step_s * (before + now);
            drawn_J += area_m2 * (of[i].taken_J_per_m2 - before_J);
        }
        bath_K = fmin(bath_K + (heater_W * step_s - drawn_J) / bath_J_per_K, set_K);
        lowest_K = fmin(lowest_K, bath_K);
    }
    for (int i = 0; i < LOADS; i++)
        film_nm[i] = sqrt(grown_nm2[i]);
    *sag_K = set_K - lowest_K;
}

/* Taken one by one, each load as if it were alone in an endless bath, they come out 8 nm too thin; as they are planned
 * together each has its film. */
Test(set, loads_of_a_set_share_one_bath)
{
    static const double heaters_W[] = { 0.0, 1500.0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    values.bath_low_K = 585.0;
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_on(default_film(), "blue");
    for (int h = 0; h < 2; h++) {
        oxt_plan_part parts[LOADS];
        const oxt_plan_part *list[LOADS];
        oxt_part part = OXT_PART_INIT;
        oxt_bath bath = OXT_BATH_INIT, endless = OXT_BATH_INIT;
        oxt_dip_options told = OXT_DIP_OPTIONS_INIT;
        oxt_plan_options options = OXT_PLAN_OPTIONS_INIT;
        oxt_plan *set, *alone;
        double enter_s[LOADS], lift_s[LOADS], film_nm[LOADS], sag_K;
        part.size_m = 0.006;
        bath.salt_kg = 5.0;
        bath.heater_W = heaters_W[h];
        told.part = &part;
        told.salt_bath = &bath;
        told.load_kg = 0.5;
        options.spacing_s = 15.0;
        for (int i = 0; i < LOADS; i++) {
            parts[i] = (oxt_plan_part)OXT_PLAN_PART_INIT;
            parts[i].steel = steel;
            parts[i].film = default_film();
            parts[i].target = &blue;
            parts[i].options = &told;
            list[i] = &parts[i];
        }
        OK(oxt_plan_set(&set, list, LOADS, 588.75, &options, &error));
        told.salt_bath = &endless;
        OK(oxt_plan_set(&alone, list, LOADS, 588.75, &options, &error));
        for (int way = 0; way < 2; way++) {
            oxt_plan_values found = OXT_PLAN_VALUES_INIT;
            OK(oxt_plan_get(way ? alone : set, &found, &error));
            for (size_t i = 0; i < LOADS; i++) {
                oxt_plan_step step = OXT_PLAN_STEP_INIT;
                oxt_dip dip = OXT_DIP_INIT;
                OK(oxt_plan_get_step(way ? alone : set, i, &step, &dip, &error));
                enter_s[i] = step.enter_s;
                lift_s[i] = step.lift_s;
                cr_assert(way || (dip.cautions & OXT_CAUTION_SAG));
                NEAR(step.lift_s - step.enter_s, dip.time_s, 1e-9);
                cr_assert(step.enter_s >= 0.0 && (i > 0 || step.enter_s < 1e-9), "%g",
                          step.enter_s);
                bool below = dip.cautions & OXT_CAUTION_EXTRAPOLATED_BATH;
                cr_assert_eq(below, !way); /* the bath sags below what the trials ran in */
            }
            dip_together(enter_s, lift_s, heaters_W[h], film_nm, &sag_K);
            if (way) {
                cr_assert(found.sag_K == 0.0 && film_nm[1] < blue.aim_nm - 4.0);
                continue;
            }
            NEAR(found.sag_K, sag_K, 0.1);
            for (int i = 0; i < LOADS; i++)
                NEAR(film_nm[i], blue.aim_nm, 0.1);
            cr_assert(found.cautions & OXT_CAUTION_SAG);
        }
        char report[4000];
        OK(oxt_plan_report(set, OXT_UNIT_KELVIN, OXT_CAUTION_BRIEF, report, sizeof report, NULL,
                           &error));
        cr_assert(strstr(report, h ? "The loads cool the bath by up to 12.4 K"
                                   : "The loads cool the bath by up to 27.3 K"));
        oxt_dip_options other = told;
        told.salt_bath = other.salt_bath = &bath;
        oxt_bath cooler = bath;
        cooler.salt_kg = 4.0;
        other.salt_bath = &cooler;
        parts[2].options = &other;
        oxt_plan *none;
        FAILS(oxt_plan_set(&none, list, LOADS, 588.75, &options, &error), OXT_EARG);
        SAYS("part 3 is in another bath");
        other.salt_bath = NULL; /* and one that names none is in that of the others */
        other.load_kg = 0.0;
        OK(oxt_plan_set(&none, list, LOADS, 588.75, &options, &error));
        oxt_plan_values two = OXT_PLAN_VALUES_INIT;
        OK(oxt_plan_get(none, &two, &error));
        cr_assert(two.sag_K > (h ? 5.0 : 15.0) && two.sag_K < (h ? 12.0 : 20.0), "%g", two.sag_K);
        oxt_plan_free(none);
        oxt_plan_free(set);
        oxt_plan_free(alone);
    }
    oxt_steel_free(steel);
}
