/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One dip of several predictions: the limits of a mixture, against closed forms and a bisection of erf. */
#include <string.h>

#include "support.h"

/* A prediction of blue at 600 F whose limits at 90 % lie `mean` and `next` of ln time beside its time. */
static oxt_dip dip_of(double time_s, double mean, double next)
{
    oxt_dip dip = OXT_DIP_INIT;
    dip.bath_K = 588.7;
    dip.target = target_of("blue");
    dip.time_s = dip.law_time_s = time_s;
    dip.earliest_s = 0.9 * time_s;
    dip.latest_s = 1.1 * time_s;
    dip.confidence = 0.9;
    dip.interval_low_s = time_s * exp(-mean);
    dip.interval_high_s = time_s * exp(mean);
    dip.next_low_s = time_s * exp(-next);
    dip.next_high_s = time_s * exp(next);
    dip.chance = 0.6;
    return dip;
}

static oxt_dip average_of(const oxt_dip *const *dips, const double *weights, size_t count)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip average = OXT_DIP_INIT;
    OK(oxt_dip_average(dips, weights, count, &average, &error));
    return average;
}

static const double Z90 =
    1.6448536; /* tables of the normal distribution, from memory: 5 % lie above */
static const double Z80 = 1.2815516; /* 10 % */

Test(dip_average, one_dip_is_its_own_average)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    oxt_film_description(default_film(), values.description, sizeof values.description, NULL, NULL);
    oxt_steel *steel = steel_of(&values);
    oxt_target blue = target_of("blue");
    oxt_dip dip = OXT_DIP_INIT;
    OK(oxt_dip_predict(steel, &blue, 588.7, NULL, &dip, &error));
    oxt_steel_free(steel);
    const oxt_dip *twice[] = { &dip, &dip };
    oxt_dip same = average_of(twice, (double[]){ 0.3, 2.0 }, 2);
    const double pairs[][2] = { { same.time_s, dip.time_s },
                                { same.earliest_s, dip.earliest_s },
                                { same.latest_s, dip.latest_s },
                                { same.interval_low_s, dip.interval_low_s },
                                { same.interval_high_s, dip.interval_high_s },
                                { same.next_low_s, dip.next_low_s },
                                { same.next_high_s, dip.next_high_s },
                                { same.chance, dip.chance },
                                { same.quench_nm, dip.quench_nm } };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        CLOSE(pairs[i][0], pairs[i][1], 1e-9);
    cr_assert(same.cautions == dip.cautions && !strcmp(same.part_text, dip.part_text));
}

/* Far apart and as likely: what 10 % of the one leaves out is 5 % of both. */
Test(dip_average, limits_of_two_that_lie_far_apart)
{
    oxt_dip first = dip_of(60.0, 0.1, 0.2), second = dip_of(600.0, 0.15, 0.3);
    const oxt_dip *dips[] = { &first, &second };
    oxt_dip both = average_of(dips, (double[]){ 7.0, 7.0 }, 2);
    CLOSE(both.interval_low_s, 60.0 * exp(-0.1 * Z80 / Z90), 1e-6);
    CLOSE(both.interval_high_s, 600.0 * exp(0.15 * Z80 / Z90), 1e-6);
    CLOSE(both.next_low_s, 60.0 * exp(-0.2 * Z80 / Z90), 1e-6);
    CLOSE(both.next_high_s, 600.0 * exp(0.3 * Z80 / Z90), 1e-6);
    CLOSE(both.time_s, sqrt(60.0 * 600.0), 1e-12);
    CLOSE(both.law_time_s, both.time_s, 0.0);
    CLOSE(both.earliest_s, 0.9 * both.time_s, 1e-12);
    CLOSE(both.latest_s, 1.1 * both.time_s, 1e-12);
    NEAR(both.chance, 0.0, 1e-8); /* lifted where neither has it */
}

static double normal_below(double ln_s, double middle, double deviation)
{
    return 0.5 * erfc((middle - ln_s) / deviation / sqrt(2.0));
}

/* By bisection of the sum of two of C's error functions. */
static double quantile(const double *weights, const double *middles, const double *deviations,
                       double chance)
{
    double low = -50.0, high = 50.0;
    for (int i = 0; i < 200; i++) {
        double middle = 0.5 * (low + high), sum = 0.0;
        for (int j = 0; j < 2; j++)
            sum += weights[j] * normal_below(middle, middles[j], deviations[j]);
        *(sum < chance ? &low : &high) = middle;
    }
    return exp(low);
}

Test(dip_average, limits_of_two_that_overlap)
{
    for (double apart = 1.02; apart < 2.0; apart *= 1.2)
        for (double share = 0.05; share < 1.0; share += 0.3) {
            oxt_dip first = dip_of(100.0, 0.1, 0.2), second = dip_of(100.0 * apart, 0.3, 0.5);
            const oxt_dip *dips[] = { &first, &second };
            const double weights[] = { share, 1.0 - share },
                         middles[] = { log(100.0), log(100.0 * apart) };
            const double means[] = { 0.1 / Z90, 0.3 / Z90 }, nexts[] = { 0.2 / Z90, 0.5 / Z90 };
            oxt_dip both = average_of(dips, weights, 2);
            CLOSE(both.interval_low_s, quantile(weights, middles, means, 0.05), 1e-6);
            CLOSE(both.interval_high_s, quantile(weights, middles, means, 0.95), 1e-6);
            CLOSE(both.next_low_s, quantile(weights, middles, nexts, 0.05), 1e-6);
            CLOSE(both.next_high_s, quantile(weights, middles, nexts, 0.95), 1e-6);
            CLOSE(log(both.time_s / 100.0), (1.0 - share) * log(apart), 1e-9);
        }
}

/* Where the predictions differ little, the mixture is as wide as their variance and that of their middles together:
 * K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference, 2002, section 4.3 (from memory). */
Test(dip_average, as_wide_as_the_sum_of_variances)
{
    oxt_dip first = dip_of(100.0, 0.2, 0.4), second = dip_of(106.0, 0.2, 0.4);
    const oxt_dip *dips[] = { &first, &second };
    oxt_dip both = average_of(dips, (double[]){ 0.7, 0.3 }, 2);
    double own = 0.2 / Z90, between = sqrt(0.7 * 0.3) * log(1.06);
    double half = 0.5 * log(both.interval_high_s / both.interval_low_s);
    CLOSE(half, Z90 * sqrt(own * own + between * between), 0.005);
    cr_assert(half > 1.015 * 0.2);
}

Test(dip_average, the_chance_falls_with_the_distance)
{
    double before = 0.6 + 1e-9;
    for (double apart = 1.0; apart < 1.5; apart += 0.1) {
        oxt_dip first = dip_of(100.0, 0.1, 0.2), second = dip_of(100.0 * apart, 0.1, 0.2);
        const oxt_dip *dips[] = { &first, &second };
        double chance = average_of(dips, (double[]){ 1.0, 1.0 }, 2).chance;
        cr_assert(chance < before, "%g apart: %g after %g", apart, chance, before);
        before = chance;
    }
    /* by hand, 10 % apart: lifted at 104.88 s, the windows reach from 90 to 110 and from 99 to 121 s, sd 0.1216 */
    oxt_dip first = dip_of(100.0, 0.1, 0.2), second = dip_of(110.0, 0.1, 0.2);
    const oxt_dip *dips[] = { &first, &second };
    double sd = 0.2 / Z90, at = log(sqrt(100.0 * 110.0)), wanted = 0.0;
    for (int i = 0; i < 2; i++) {
        double low = log(0.9 * dips[i]->time_s), high = log(1.1 * dips[i]->time_s),
               middle = log(dips[i]->time_s);
        wanted += 0.5 * 0.6 * (normal_below(high, at, sd) - normal_below(low, at, sd)) /
                  (normal_below(high, middle, sd) - normal_below(low, middle, sd));
    }
    CLOSE(average_of(dips, (double[]){ 1.0, 1.0 }, 2).chance, wanted, 1e-6);
}

/* A prediction that hardly counts moves the time beyond the limits of the other; the limits hold it, and those of the next
 * dip hold those of the mean. */
Test(dip_average, limits_hold_the_time_and_one_another)
{
    for (int side = -1; side < 2; side += 2) {
        oxt_dip first = dip_of(100.0, 0.01, 0.02),
                second = dip_of(side < 0 ? 1.0 : 1e4, 0.01, 0.02);
        const oxt_dip *dips[] = { &first, &second };
        oxt_dip both = average_of(dips, (double[]){ 0.97, 0.03 }, 2);
        CLOSE(log(both.time_s / 100.0), side * 0.03 * log(100.0), 1e-9);
        cr_assert(both.interval_low_s <= both.time_s && both.time_s <= both.interval_high_s);
        cr_assert(both.earliest_s <= both.time_s && both.time_s <= both.latest_s);
        oxt_dip unsure = dip_of(side < 0 ? 60.0 : 6000.0, 0.1, 3.0),
                sure = dip_of(600.0, 0.1, 0.1001);
        const oxt_dip *others[] = { &unsure, &sure };
        both = average_of(others, (double[]){ 0.04, 0.96 }, 2);
        cr_assert(both.next_low_s <= both.interval_low_s &&
                  both.interval_high_s <= both.next_high_s);
    }
}

/* What is late for one is early for the other: limits and a window that differ on either side, by C's error function. */
Test(dip_average, a_chance_of_two_sides)
{
    oxt_dip first = dip_of(100.0, 0.1, 0.2), second = dip_of(120.0, 0.1, 0.2);
    const oxt_dip *dips[] = { &first, &second };
    double wanted = 0.0, at = log(sqrt(100.0 * 120.0));
    for (int i = 0; i < 2; i++) {
        oxt_dip *dip = i ? &second : &first;
        dip->next_high_s = dip->time_s * exp(0.6);
        double low = log(dip->earliest_s), high = log(dip->latest_s), middle = log(dip->time_s);
        /* the right time may lie 0.6 above what was said: lifted at a time, that ends so much too early */
        double below = 0.6 / Z90, above = 0.2 / Z90;
        double own = normal_below(high, middle, above) - normal_below(low, middle, below);
        double here = normal_below(high, at, high < at ? below : above) -
                      normal_below(low, at, low < at ? below : above);
        wanted += 0.5 * 0.6 * fmin(here / own, 1.0);
    }
    CLOSE(average_of(dips, (double[]){ 1.0, 1.0 }, 2).chance, wanted, 1e-6);
    first.latest_s = 100.1; /* it had better be lifted sooner, but no chance grows by a rival */
    second.time_s = 95.0;
    second.interval_low_s = 85.0;
    second.next_low_s = 80.0;
    second.earliest_s = 94.0;
    cr_assert(average_of(dips, (double[]){ 1.0, 1e-9 }, 2).chance <= 0.6 + 1e-9);
    cr_assert(average_of(dips, (double[]){ 1.0, 1.0 }, 2).chance <= 0.6);
}

/* 5 % may lie above: half of what one without a limit has may be as much, so 10 % of weight leaves none. */
Test(dip_average, a_prediction_without_a_limit)
{
    oxt_dip first = dip_of(100.0, 0.1, 0.2), second = dip_of(100.0, 0.1, 0.2);
    const oxt_dip *dips[] = { &first, &second };
    second.interval_high_s = second.next_high_s = HUGE_VAL;
    oxt_dip light = average_of(dips, (double[]){ 0.91, 0.09 }, 2);
    cr_assert(isfinite(light.interval_high_s) && light.interval_high_s > 110.6);
    oxt_dip heavy = average_of(dips, (double[]){ 0.89, 0.11 }, 2);
    cr_assert(isinf(heavy.interval_high_s) && isinf(heavy.next_high_s));
    CLOSE(heavy.interval_low_s, 100.0 * exp(-0.1), 1e-6);
    oxt_dip none = average_of(dips, (double[]){ 1.0, 0.0 }, 2);
    CLOSE(none.interval_high_s, 100.0 * exp(0.1), 1e-6);
    second.interval_low_s = second.next_low_s = 0.0;
    heavy = average_of(dips, (double[]){ 0.89, 0.11 }, 2);
    NEAR(heavy.interval_low_s, 0.0, 0.0);
    NEAR(heavy.next_low_s, 0.0, 0.0);
    oxt_dip nothing = average_of(&dips[1], (double[]){ 1.0 },
                                 1); /* known: what it states is left */
    NEAR(nothing.chance, 0.6, 1e-12);
}

/* The choice of the law is in the limits; all else that one of them cautions of stays, and the rest is that of the
 * heaviest. */
Test(dip_average, cautions_of_all_and_the_rest_of_the_heaviest)
{
    oxt_dip dips[] = { dip_of(100.0, 0.1, 0.2), dip_of(105.0, 0.1, 0.2), dip_of(110.0, 0.1, 0.2) };
    const oxt_dip *list[] = { &dips[0], &dips[1], &dips[2] };
    dips[0].cautions = OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_OTHER_LAW;
    dips[1].cautions = OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_WATER;
    dips[2].cautions = OXT_CAUTION_SAG;
    for (int i = 0; i < 3; i++)
        dips[i].quench_nm = 60.0 + i;
    oxt_dip average = average_of(list, (double[]){ 0.2, 0.5, 0.3 }, 3);
    cr_assert_eq(average.cautions, OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_WATER | OXT_CAUTION_SAG);
    NEAR(average.quench_nm, 61.0, 0.0);
    average = average_of(list, (double[]){ 5e299, 0.2, 0.0 }, 3);
    cr_assert_eq(average.cautions, OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_WATER);
    NEAR(average.quench_nm, 60.0, 0.0);
}

Test(dip_average, says_what_cannot_be_averaged)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_dip first = dip_of(100.0, 0.1, 0.2), second = dip_of(110.0, 0.1, 0.2),
            average = OXT_DIP_INIT;
    const oxt_dip *dips[] = { &first, &second, NULL };
    double weights[] = { 0.5, 0.5, 0.5 };
    FAILS(oxt_dip_average(NULL, weights, 2, &average, &error), OXT_EARG);
    FAILS(oxt_dip_average(dips, NULL, 2, &average, &error), OXT_EARG);
    FAILS(oxt_dip_average(dips, weights, 2, NULL, &error), OXT_EARG);
    FAILS(oxt_dip_average(dips, weights, 3, &average, &error), OXT_EARG);
    FAILS(oxt_dip_average(dips, weights, 0, &average, &error), OXT_EDOMAIN);
    FAILS(oxt_dip_average(dips, weights, 65, &average, &error), OXT_EDOMAIN);
    FAILS(oxt_dip_average(dips, (double[]){ 0.0, 0.0 }, 2, &average, &error), OXT_EDOMAIN);
    SAYS("the weights are all 0");
    FAILS(oxt_dip_average(dips, (double[]){ 1.0, -1.0 }, 2, &average, &error), OXT_EDOMAIN);
    FAILS(oxt_dip_average(dips, (double[]){ 1.0, NAN }, 2, &average, &error), OXT_EDOMAIN);
    second.time_s = 0.0;
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EDOMAIN);
    SAYS("dip 2 is lifted at once");
    second = dip_of(110.0, 0.1, 0.2);
    second.time_s = 2.0 * second.latest_s;
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EDOMAIN);
    SAYS("dip 2 is lifted after");
    second = dip_of(110.0, 0.1, 0.2);
    second.bath_K += 1.0;
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EARG);
    SAYS("dip 2 is in a bath at");
    second = dip_of(110.0, 0.1, 0.2);
    second.target = target_of("straw");
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EARG);
    SAYS("dip 2 is for straw");
    second = dip_of(110.0, 0.1, 0.2);
    strcpy(second.part_text, "12 mm plate, 4 s to the quench");
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EARG);
    SAYS("dip 2 is of a part 12 mm plate");
    second = dip_of(110.0, 0.1, 0.2);
    second.confidence = 0.95;
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EARG);
    SAYS("limits at 95 %, the first at 90 %");
    second = dip_of(110.0, 0.1, 0.2);
    second.interval_high_s = 100.0;
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EDOMAIN);
    SAYS("beside its own window or limits");
    second = dip_of(110.0, 0.1, 0.2);
    second.chance = 1.5;
    FAILS(oxt_dip_average(dips, weights, 2, &average, &error), OXT_EDOMAIN);
    second.chance = 0.5;
    OK(oxt_dip_average(dips, weights, 2, &second, &error)); /* one of those given */
    CLOSE(second.time_s, sqrt(100.0 * 110.0), 1e-12);
}
