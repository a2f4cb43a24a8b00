/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Do the promises hold in shops with habits? Made-up logs, always the same ones, few of each; tests/bench/habits.c
 * makes many. Bounds lie three standard errors of so many logs below what the many showed. */
#include "support.h"

#include "habits.h"

enum { SEED = 21004, LOGS = 250 };

static habit_count count_of(const habit *of, const char *words)
{
    habit_count sum = { 0 };
    habit_run(of, SEED, LOGS, words, &sum);
    cr_assert_eq(sum.fitted, sum.logs);
    measured("habit-count", LOGS, 0.0, HUGE_VAL);
    return sum;
}

/* Three standard errors of a share below it. */
static double least(double share)
{
    return floor(100.0 * (share - 3.0 * sqrt(share * (1.0 - share) / LOGS))) / 100.0;
}

/* Days of three coupons and of six that differ by 5 % of the film. */
Test(habits, days_that_differ)
{
    habit shop = {
        .coupons = 12, .scatter = 0.06, .day_sd = 0.05, .each_day = 3, .states_day = true
    };
    habit_count sum = count_of(&shop, "days of its own");
    measured("days-mixed", habit_share(sum.mean, &sum), least(0.94), HUGE_VAL);
    measured("days-next", habit_share(sum.next, &sum), least(0.94), HUGE_VAL);
    cr_assert_eq(sum.warned, 0);
    shop.coupons = 24;
    shop.one_bath_a_day = true;
    shop.each_day = 4;
    sum = count_of(&shop, "days of its own");
    measured("days-alone", habit_share(sum.mean, &sum), least(0.94), HUGE_VAL);
    measured("days-drift", habit_share(sum.drift, &sum), -HUGE_VAL, 0.02);
    cr_assert_eq(sum.warned, sum.fitted);
}

/* ---- lifted as soon as the colour is there ---- */

Test(habits, lifted_at_first_sight)
{
    habit shop = { .coupons = 24, .scatter = 0.06, .lifted = OXT_LIFTED_FIRST };
    habit_count blind = count_of(&shop, "");
    cr_assert(habit_share(blind.mean, &blind) < 0.1); /* nothing says so */
    for (int at = OXT_LIFTED_FIRST; at <= OXT_LIFTED_LAST; at++) {
        shop.lifted = (oxt_lifted)at;
        shop.states_lifted = true;
        habit_count sum = count_of(&shop, "");
        measured("lifted-mean", habit_share(sum.mean, &sum), least(0.93), HUGE_VAL);
        double off = sum.chance / sum.fitted - habit_share(sum.hit, &sum);
        /* three points, and three standard errors of a share of 0.88 */
        measured("lifted-chance", fabs(off), -HUGE_VAL, 0.09);
    }
}

static void lift_first(oxt_fit_options *options)
{
    options->lifted = OXT_LIFTED_FIRST;
}

/* The usual way of a shop is what a row that states nothing takes, and no other. */
Test(habits, the_usual_way_of_a_shop)
{
    habit shop = {
        .coupons = 12, .scatter = 0.06, .lifted = OXT_LIFTED_FIRST, .states_lifted = true
    };
    habit_count stated = count_of(&shop, "");
    shop.states_lifted = false;
    shop.choose = lift_first;
    habit_count usual = count_of(&shop, "");
    cr_assert(stated.mean == usual.mean && stated.width == usual.width);
    shop.lifted = OXT_LIFTED_LAST;
    shop.states_lifted = true;
    habit_count own = count_of(&shop, "");
    shop.choose = NULL;
    habit_count last = count_of(&shop, "");
    cr_assert(own.mean == last.mean && own.width == last.width);
}

/* ---- clocks that are read to 15 s, of which the log says nothing ---- */

static void exact(oxt_fit_options *options)
{
    options->rounding = OXT_ROUNDING_NONE;
}

static void cut(oxt_fit_options *options)
{
    options->rounding = OXT_ROUNDING_CUT;
}

Test(habits, a_clock_that_is_rounded)
{
    habit shop = { .coupons = 24, .scatter = 0.06, .clock = HABIT_ROUNDED, .step_s = 15.0 };
    habit_count sum = count_of(&shop, "multiples of");
    measured("clock-rounded", habit_share(sum.mean, &sum), least(0.94), HUGE_VAL);
    cr_assert_eq(sum.warned, 0);
    shop.step_s = 30.0;
    sum = count_of(&shop, "All times are whole multiples of 30 s");
    cr_assert(sum.warned > 0.9 * sum.fitted, "%d", sum.warned);
    shop.choose = exact;
    sum = count_of(&shop, "multiples of");
    cr_assert_eq(sum.warned, 0);
    cr_assert(habit_share(sum.mean, &sum) < 0.9);
}

Test(habits, a_clock_that_is_cut)
{
    habit shop = {
        .coupons = 24, .scatter = 0.06, .clock = HABIT_CUT, .step_s = 15.0, .choose = cut
    };
    habit_count sum = count_of(&shop, "");
    measured("clock-cut", habit_share(sum.mean, &sum), least(0.93), HUGE_VAL);
    shop.choose = exact;
    sum = count_of(&shop, "");
    cr_assert(habit_share(sum.mean, &sum) < 0.5);
}

/* ---- another pair of eyes, off by 10 % of the film or by a share drawn with that deviation ---- */

static void other_eyes(oxt_dip_options *options)
{
    options->reader_sd = 0.1;
}

static void know_reader(oxt_fit_options *options)
{
    options->reader_sd = 0.1;
}

Test(habits, a_dip_that_others_judge)
{
    habit shop = { .coupons = 12, .scatter = 0.06, .reader = -0.1, .judged_by_others = true };
    habit_count sum = count_of(&shop, "");
    cr_assert(habit_share(sum.mean, &sum) < 0.3); /* nothing says so */
    shop.judged_by_others = false;
    sum = count_of(&shop, "");
    measured("reader-same", habit_share(sum.mean, &sum), least(0.93), HUGE_VAL);
    shop.judged_by_others = true;
    shop.choose_dip = other_eyes;
    shop.reader_sd = 0.1;
    sum = count_of(&shop, "");
    measured("reader-others", habit_share(sum.mean, &sum), least(0.93), HUGE_VAL);
}

/* The reader's own bands, where every other coupon or one in four was measured. */
Test(habits, a_reader_whose_films_were_measured)
{
    habit shop = { .coupons = 12, .scatter = 0.06, .reader_sd = 0.1, .choose = know_reader };
    for (int measured_films = 3; measured_films <= 9; measured_films += 3)
        for (int others = 0; others < 2; others++) {
            shop.measured = measured_films;
            shop.judged_by_others = others;
            habit_count sum = count_of(&shop, "");
            measured("reader-measured", habit_share(sum.mean, &sum), least(0.93), HUGE_VAL);
        }
    shop.reader_sd = 0.0;
    shop.reader = -0.1;
    shop.measured = 6;
    habit_count sum = count_of(&shop, "");
    /* drawn towards 0 by a tenth */
    measured("reader-offset-mean", sum.offset / sum.fitted, -0.1, -0.08);
}
