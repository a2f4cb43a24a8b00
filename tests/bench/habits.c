/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shops with habits, over many made-up logs of each. Not a test: tests/c/test_habits.c is, with fewer logs.
 *
 *     build/release/tests/bench/bench_habits [LOGS [WORDS OF A SHOP'S NAME]]
 */
#include <stdio.h>
#include <stdlib.h>

#include "oxtint.h"

#define OK(call)                                                          \
    do {                                                                  \
        if ((call) != OXT_OK) {                                           \
            fprintf(stderr, "bench_habits: %s: %s\n", #call, error.text); \
            exit(1);                                                      \
        }                                                                 \
    } while (0)

static oxt_film *film;

static const oxt_film *default_film(void)
{
    return film;
}

#include "../c/habits.h"

enum { SEED = 21004 };

#define DAYS(called, count, each, sd, alone, stated)                                       \
    {                                                                                      \
        .name = called, .coupons = count, .scatter = 0.06, .day_sd = sd, .each_day = each, \
        .one_bath_a_day = alone, .states_day = stated                                      \
    }

static void lift_first(oxt_fit_options *options)
{
    options->lifted = OXT_LIFTED_FIRST;
}

static void exact(oxt_fit_options *options)
{
    options->rounding = OXT_ROUNDING_NONE;
}

static void cut(oxt_fit_options *options)
{
    options->rounding = OXT_ROUNDING_CUT;
}

static void know_reader(oxt_fit_options *options)
{
    options->reader_sd = 0.1;
}

static void other_eyes(oxt_dip_options *options)
{
    options->reader_sd = 0.1;
}

#define EYES(called, count, films, off, sd, others, told, asked)                             \
    {                                                                                        \
        .name = called, .coupons = count, .scatter = 0.06, .measured = films, .reader = off, \
        .reader_sd = sd, .judged_by_others = others, .choose = told, .choose_dip = asked     \
    }

static const habit shops[] = {
    EYES("eyes 10 % off, the same: 12", 12, 0, -0.1, 0.0, false, NULL, NULL),
    EYES("eyes 10 % off, others: 12", 12, 0, -0.1, 0.0, true, NULL, NULL),
    EYES("eyes 10 % off, others, stated: 12", 12, 0, -0.1, 0.0, true, NULL, other_eyes),
    EYES("eyes 10 % off, others, stated: 24", 24, 0, -0.1, 0.0, true, NULL, other_eyes),
    EYES("eyes at random, others, stated: 12", 12, 0, 0.0, 0.1, true, NULL, other_eyes),
    EYES("eyes at random, others, stated: 24", 24, 0, 0.0, 0.1, true, NULL, other_eyes),
    EYES("eyes 10 % off, 6 of 12 measured, not told", 12, 6, -0.1, 0.0, false, NULL, NULL),
    EYES("eyes 10 % off, others, 6 of 12, not told", 12, 6, -0.1, 0.0, true, NULL, NULL),
    EYES("eyes 10 % off, 6 of 12 measured", 12, 6, -0.1, 0.0, false, know_reader, NULL),
    EYES("eyes 10 % off, others, 6 of 12 measured", 12, 6, -0.1, 0.0, true, know_reader, NULL),
    EYES("eyes at random, 3 of 12 measured", 12, 3, 0.0, 0.1, false, know_reader, NULL),
    EYES("eyes at random, 6 of 12 measured", 12, 6, 0.0, 0.1, false, know_reader, NULL),
    EYES("eyes at random, 9 of 12 measured", 12, 9, 0.0, 0.1, false, know_reader, NULL),
    EYES("eyes at random, 12 of 24 measured", 24, 12, 0.0, 0.1, false, know_reader, NULL),
    EYES("eyes at random, others, 3 of 12 measured", 12, 3, 0.0, 0.1, true, know_reader, NULL),
    EYES("eyes at random, others, 6 of 12 measured", 12, 6, 0.0, 0.1, true, know_reader, NULL),
    EYES("eyes at random, others, 9 of 12 measured", 12, 9, 0.0, 0.1, true, know_reader, NULL),
    { .name = "plain, 12", .coupons = 12, .scatter = 0.06 },
    { .name = "plain, 24", .coupons = 24, .scatter = 0.06 },
    DAYS("days, not stated: 12, mixed baths", 12, 3, 0.05, false, false),
    DAYS("days, not stated: 24, mixed baths", 24, 6, 0.05, false, false),
    DAYS("days, not stated: 12, a bath a day", 12, 4, 0.05, true, false),
    DAYS("days, not stated: 24, a bath a day", 24, 4, 0.05, true, false),
    DAYS("days, stated: 12, mixed baths", 12, 3, 0.05, false, true),
    DAYS("days, stated: 24, mixed baths", 24, 6, 0.05, false, true),
    DAYS("days, stated: 12, a bath a day", 12, 4, 0.05, true, true),
    DAYS("days, stated: 24, a bath a day", 24, 4, 0.05, true, true),
    DAYS("days, stated: 24, a bath a day, 3 days", 24, 8, 0.05, true, true),
    DAYS("days, stated, alike: 12, mixed baths", 12, 3, 0.0, false, true),
    DAYS("days, stated, alike: 24, mixed baths", 24, 6, 0.0, false, true),
    DAYS("days, stated, 10 %: 24, mixed baths", 24, 6, 0.1, false, true),
    DAYS("days, stated: 48, mixed baths", 48, 6, 0.05, false, true),
    { .name = "first sight, not stated: 12",
      .coupons = 12,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_FIRST },
    { .name = "first sight, not stated: 24",
      .coupons = 24,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_FIRST },
    { .name = "first sight, stated: 12",
      .coupons = 12,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_FIRST,
      .states_lifted = true },
    { .name = "first sight, stated: 24",
      .coupons = 24,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_FIRST,
      .states_lifted = true },
    { .name = "at its best, stated: 24",
      .coupons = 24,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_MIDDLE,
      .states_lifted = true },
    { .name = "last, stated: 24",
      .coupons = 24,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_LAST,
      .states_lifted = true },
    { .name = "first sight, the shop's way: 24",
      .coupons = 24,
      .scatter = 0.06,
      .lifted = OXT_LIFTED_FIRST,
      .choose = lift_first },
    { .name = "clock to 15 s, exact: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 15.0,
      .choose = exact },
    { .name = "clock to 15 s, exact: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 15.0,
      .choose = exact },
    { .name = "clock to 5 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 5.0 },
    { .name = "clock to 10 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 10.0 },
    { .name = "clock to 30 s, exact: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 30.0,
      .choose = exact },
    { .name = "set to 5 s, exact: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 5.0,
      .choose = exact },
    { .name = "set to 5 s: 12", .coupons = 12, .scatter = 0.06, .clock = HABIT_SET, .step_s = 5.0 },
    { .name = "set to 5 s, exact: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 5.0,
      .choose = exact },
    { .name = "set to 5 s: 24", .coupons = 24, .scatter = 0.06, .clock = HABIT_SET, .step_s = 5.0 },
    { .name = "set to 15 s, exact: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 15.0,
      .choose = exact },
    { .name = "set to 15 s: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 15.0 },
    { .name = "set to 15 s, exact: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 15.0,
      .choose = exact },
    { .name = "set to 15 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 15.0 },
    { .name = "set to 30 s, exact: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 30.0,
      .choose = exact },
    { .name = "set to 30 s: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 30.0 },
    { .name = "set to 30 s, exact: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 30.0,
      .choose = exact },
    { .name = "set to 30 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_SET,
      .step_s = 30.0 },
    { .name = "clock to 15 s: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 15.0 },
    { .name = "clock to 15 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 15.0 },
    { .name = "clock cut to 15 s, exact: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_CUT,
      .step_s = 15.0,
      .choose = exact },
    { .name = "clock cut to 15 s: 12",
      .coupons = 12,
      .scatter = 0.06,
      .clock = HABIT_CUT,
      .step_s = 15.0,
      .choose = cut },
    { .name = "clock cut to 15 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_CUT,
      .step_s = 15.0,
      .choose = cut },
    { .name = "clock to 30 s: 24",
      .coupons = 24,
      .scatter = 0.06,
      .clock = HABIT_ROUNDED,
      .step_s = 30.0 },
};

int main(int count, char **arguments)
{
    oxt_error error = OXT_ERROR_INIT;
    int logs = count > 1 ? atoi(arguments[1]) : 2000;
    OK(oxt_film_new(&film, NULL, &error));
    for (size_t i = 0; i < sizeof shops / sizeof *shops; i++) {
        habit_count sum = { 0 };
        if (count > 2 && !strstr(shops[i].name, arguments[2]))
            continue;
        habit_run(&shops[i], SEED, logs, count > 3 ? arguments[3] : "day", &sum);
        printf("%-42s fit %5.3f | mean %.3f, +-%.0f %% | next %.3f | chance %.3f, hit %.3f | drift "
               "%.3f | scatter %.3f, days %.3f | eyes %+.3f | warned %.3f\n",
               shops[i].name, (double)sum.fitted / sum.logs, habit_share(sum.mean, &sum),
               100.0 * exp(sum.width / sum.fitted), habit_share(sum.next, &sum),
               sum.chance / sum.fitted, habit_share(sum.hit, &sum), habit_share(sum.drift, &sum),
               sum.scatter / sum.fitted, sum.day_sd / sum.fitted, sum.offset / sum.fitted,
               habit_share(sum.warned, &sum));
        fflush(stdout);
    }
    oxt_film_free(film);
    return 0;
}
