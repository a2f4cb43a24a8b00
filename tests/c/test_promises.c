/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Short forms of the scenes of tests/bench/promises.c: logs made by chance, always the same ones. A bound is what is
 * promised and three standard errors of a share of so many logs, in whole per cent. */
#include <stdlib.h>

#include "support.h"
#include "promises.h"

enum { LOGS = 600, SEED = 20260 };

static promise_count run(const promise_scene *scene)
{
    promise_count sum = { 0 };
    promise_run(scene, SEED, 0, LOGS, "parabolic", &sum);
    cr_assert_gt(sum.fitted, 0.97 * LOGS, "%s: %d fitted", scene->name, sum.fitted);
    measured("promises-count", LOGS, 0.0, HUGE_VAL);
    return sum;
}

static double errors_of(double share)
{
    return 3.0 * sqrt(share * (1.0 - share) / LOGS);
}

static double least(double share)
{
    return floor(100.0 * (share - errors_of(share))) / 100.0;
}

static void keeps(const char *name, double share, double low, double high)
{
    measured(name, share, least(low), ceil(100.0 * (high + errors_of(high))) / 100.0);
}

Test(promises, a_dozen_scattered_coupons_and_more)
{
    const struct {
        int coupons;
        const char *mean, *next;
    } logs[] = { { 12, "promise-mean-12", "promise-next-12" },
                 { 24, "promise-mean-24", "promise-next-24" },
                 { 48, "promise-mean-48", "promise-next-48" } };
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        promise_scene scene = { .name = "names", .coupons = logs[i].coupons, .scatter = 0.06 };
        promise_count of = run(&scene);
        keeps(logs[i].mean, promise_share(of.mean[1], &of), 0.94, 0.97);
        keeps(logs[i].next, promise_share(of.next[1], &of), 0.94, 0.97);
        if (scene.coupons == 12)
            measured("promise-width-12", exp(of.mean_width / of.fitted), 0.05, 0.14);
    }
}

/* Their names hold no more than the clock does, but the log does not say so. */
Test(promises, coupons_lifted_as_the_colour_shows)
{
    promise_scene scene = {
        .name = "lifted on colour", .coupons = 12, .scatter = 0.06, .on_colour = true
    };
    promise_count of = run(&scene);
    keeps("promise-next-on-colour", promise_share(of.next[1], &of), 0.92, 0.97);
}

static void lift_in_the_middle(oxt_fit_options *options)
{
    options->lifted = OXT_LIFTED_MIDDLE;
}

/* Where it does, they are films, with all of the scatter in their times; and the law is not called bent for that. */
Test(promises, coupons_that_say_that_they_were_lifted_as_the_colour_showed)
{
    promise_scene scene = {
        .name = "stated", .scatter = 0.06, .on_colour = true, .choose = lift_in_the_middle
    };
    for (scene.coupons = 12; scene.coupons <= 48; scene.coupons *= 2) {
        promise_count of = run(&scene);
        measured("promise-next-lifted", promise_share(of.next[1], &of), least(0.94), HUGE_VAL);
        measured("promise-bent-lifted", promise_share(of.warned, &of), 0.0, 0.08);
        if (scene.coupons == 48)
            NEAR(of.scatter / of.fitted, 0.06, 0.002); /* none of it is taken for the eye's */
    }
}

Test(promises, three_coupons)
{
    static const promise_seen seen[] = { PROMISE_NAME, PROMISE_THICKNESS };
    for (size_t i = 0; i < 2; i++) {
        promise_scene scene = { .name = "three", .coupons = 3, .scatter = 0.06, .seen = seen[i] };
        promise_count of = run(&scene);
        keeps("promise-next-3", promise_share(of.next[1], &of), 0.94, 1.0);
        measured("promise-width-3", exp(of.next_width / of.fitted), 0.2, 1.0);
    }
}

/* Shops that scatter less and more than is usual. */
Test(promises, careful_and_careless_shops)
{
    promise_scene scene = { .name = "careless", .coupons = 12, .scatter = 0.10 };
    promise_count of = run(&scene);
    keeps("promise-next-careless", promise_share(of.next[1], &of), 0.92, 0.97);
    scene.scatter = 0.03;
    of = run(&scene);
    keeps("promise-next-careful", promise_share(of.next[1], &of), 0.95, 1.0);
}

/* Trials that grow as x^2.5 = k t are told so, sound ones are not. */
Test(promises, trials_that_are_not_parabolic_are_told)
{
    promise_scene bent = { .name = "bent", .coupons = 12, .scatter = 0.06, .exponent = 2.5 };
    promise_count of = run(&bent);
    keeps("promise-bent-12", promise_share(of.warned, &of), 0.60, 1.0);
    bent.coupons = 24;
    of = run(&bent);
    keeps("promise-bent-24", promise_share(of.warned, &of), 0.94, 1.0);
    promise_scene sound = { .name = "sound", .coupons = 12, .scatter = 0.06 };
    of = run(&sound);
    keeps("promise-bent-false", promise_share(of.warned, &of), 0.0, 0.05);
}

/* Intervals with the exponent free hold from dark straw to light blue, whatever it is. */
Test(promises, intervals_without_the_parabolic_law)
{
    static const double exponents[] = { 1.6, 2.0, 2.5, 3.0 };
    for (size_t i = 0; i < sizeof exponents / sizeof exponents[0]; i++) {
        promise_scene scene = { .name = "free",
                                .coupons = 12,
                                .scatter = 0.06,
                                .exponent = exponents[i],
                                .free_exponent = true };
        promise_count of = run(&scene);
        for (int j = 0; j < PROMISE_TARGETS; j++)
            keeps("promise-free", promise_share(of.mean[j], &of), 0.92, 1.0);
    }
}

/* The only coupon of a steel five times slower than is usual: what is known beforehand does not decide alone that a
 * colour is that of the second order. */
Test(promises, one_coupon_of_a_slow_steel)
{
    promise_scene scene = {
        .name = "slow", .coupons = 1, .scatter = 0.06, .with_prior = true, .slower = 5.0
    };
    promise_count of = { 0 };
    promise_run(&scene, SEED, 0, LOGS, "comes twice as the film grows", &of);
    cr_assert_eq(of.fitted, LOGS);
    keeps("promise-one-slow", promise_share(of.mean[1], &of), 0.93, 1.0);
    cr_assert_gt(of.warned, LOGS / 10);
    scene.slower = 1.0;
    of = run(&scene);
    keeps("promise-one-usual", promise_share(of.mean[1], &of), 0.94, 1.0);
}

/* ---- what a stated chance sorts ---- */

typedef struct {
    double chance, hit;
} told;

static int by_chance(const void *a, const void *b)
{
    double first = ((const told *)a)->chance, second = ((const told *)b)->chance;
    return (first > second) - (first < second);
}

/* Dips of one shop, one by each of its logs, in the order of the chances stated. */
static void tell(double scatter, told dips[LOGS])
{
    promise_scene scene = { .name = "told", .coupons = 12, .scatter = scatter };
    for (int i = 0; i < LOGS; i++) {
        promise_count of = { 0 };
        promise_run(&scene, SEED, i, i + 1, "parabolic", &of);
        dips[i] = (told){ of.chance, of.hit };
    }
    qsort(dips, LOGS, sizeof dips[0], by_chance);
}

static told mean_of(const told *dips, int count)
{
    told sum = { 0.0, 0.0 };
    for (int i = 0; i < count; i++) {
        sum.chance += dips[i].chance / count;
        sum.hit += dips[i].hit / count;
    }
    return sum;
}

/* Shops that scatter more are told lower chances and hit less; in one shop a higher chance hardly says more. */
Test(promises, a_chance_sorts_shops_more_than_dips)
{
    static told careful[LOGS], usual[LOGS], careless[LOGS];
    tell(0.03, careful);
    tell(0.06, usual);
    tell(0.10, careless);
    told best = mean_of(careful, LOGS), worst = mean_of(careless, LOGS);
    told low = mean_of(usual, LOGS / 2), high = mean_of(usual + LOGS / 2, LOGS / 2);
    cr_assert(best.hit > best.chance && fabs(worst.hit - worst.chance) < 0.1);
    measured("sorted-shops", best.hit - worst.hit, 0.2, 0.5);
    measured("sorted-dips", high.hit - low.hit, -0.1, 0.1);
}

/* ---- the prior against the trials ---- */

static double contradicted(promise_scene scene, int logs)
{
    promise_count sum = { 0 };
    scene.scatter = 0.06;
    scene.with_prior = true;
    promise_run(&scene, SEED, 0, logs, "contradict the prior", &sum);
    return promise_share(sum.warned, &sum);
}

/* Steels that are as the prior has them, and one whose Q is that of iron in air, 138 kJ/mol. */
Test(promises, trials_that_contradict_the_prior)
{
    enum { MANY = 2000 };
    promise_scene scene = { .name = "prior", .coupons = 12, .from_prior = true };
    measured("prior-false", contradicted(scene, MANY), 0.003, 0.015);
    scene.from_prior = false;
    scene.Q_J_per_mol = 138e3;
    measured("prior-other-Q", contradicted(scene, MANY), 0.45, 1.0);
}

/* ---- measured colours ---- */

static void scatter_widely(oxt_fit_options *options)
{
    options->scatter = 0.5;
}

/* The nearest film of a measured colour is often one of the other order, which the others rule out by far: that is no
 * warning, unless their scatter leaves both open. */
Test(promises, the_order_of_a_measured_colour)
{
    enum { FEW = 100 };
    promise_scene scene = {
        .name = "Lab", .coupons = 12, .scatter = 0.06, .seen = PROMISE_LAB, .lab_sd = 3.0
    };
    promise_count sum = { 0 }, open = { 0 };
    promise_run(&scene, SEED, 0, FEW, "is read as order", &sum);
    cr_assert_eq(sum.fitted, FEW);
    cr_assert(sum.warned < FEW / 20, "%d", sum.warned);
    scene.choose = scatter_widely;
    promise_run(&scene, SEED, 0, FEW, "Check it.", &open);
    cr_assert(open.warned > FEW / 10, "%d", open.warned);
}

/* ---- growth by another law ---- */

static void by_power_law(oxt_fit_options *options)
{
    options->law = OXT_LAW_POWER;
}

/* A shape that is fitted with the constants: dark straw, blue and light blue of steels that grow as the root and as the
 * cube root of time. The steepest one with the parabolic law holds next to never. */
Test(promises, growth_by_a_power_law)
{
    promise_scene scene = { .coupons = 20, .scatter = 0.06, .choose = by_power_law };
    for (scene.exponent = 2.0; scene.exponent < 3.5; scene.exponent += 1.0) {
        scene.name = "power law";
        promise_count of = run(&scene);
        for (int i = 0; i < PROMISE_TARGETS; i++)
            measured("promise-by-law", promise_share(of.mean[i], &of), least(0.93), HUGE_VAL);
    }
    scene.exponent = 3.0;
    scene.choose = NULL;
    promise_count wrong = run(&scene);
    cr_assert(promise_share(wrong.mean[0], &wrong) < 0.1 &&
              promise_share(wrong.mean[2], &wrong) < 0.1);
}
