/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Illuminants, observers, adaptation. */
#include <string.h>

#include "optics.h"
#include "support.h"

enum { LIGHTS = OXT_ILLUMINANT_LED_V1 + 1 };

static void white_of(int light, oxt_observer observer, double white[3])
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_light_white((oxt_illuminant)light, observer, white, &error));
    cr_assert(fabs(white[1] - 100.0) < 1e-11);
}

/* Sums of the published tables by another program, to their printed digits (see the file). */
Test(light, whites_are_the_sums_of_the_published_tables)
{
    table whites = read_table("illuminant_whites.csv");
    cr_assert_eq(whites.rows, LIGHTS);
    for (size_t i = 0; i < LIGHTS; i++) {
        double white[3];
        white_of((int)at(&whites, i, 0), OXT_OBSERVER_1931_2_DEGREE, white);
        double sum = white[0] + white[1] + white[2];
        NEAR(white[0] / sum, at(&whites, i, 1), 5.1e-7);
        NEAR(white[1] / sum, at(&whites, i, 2), 5.1e-7);
        NEAR(white[0], at(&whites, i, 3), 5.1e-5);
        NEAR(white[2], at(&whites, i, 4), 5.1e-5);
    }
    free_table(&whites);
}

/* CIE 15:2018, chromaticities of the illuminants (figures from memory), to about their last digit. */
Test(light, chromaticities_are_those_of_cie_15)
{
    static const struct {
        oxt_illuminant light;
        oxt_observer observer;
        double x, y;
    } published[] = {
        { OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, 0.3127, 0.3290 },
        { OXT_ILLUMINANT_D65, OXT_OBSERVER_1964_10_DEGREE, 0.3138, 0.3310 },
        { OXT_ILLUMINANT_D50, OXT_OBSERVER_1931_2_DEGREE, 0.3457, 0.3585 },
        { OXT_ILLUMINANT_D50, OXT_OBSERVER_1964_10_DEGREE, 0.3477, 0.3595 },
        { OXT_ILLUMINANT_A, OXT_OBSERVER_1931_2_DEGREE, 0.4476, 0.4074 },
        { OXT_ILLUMINANT_A, OXT_OBSERVER_1964_10_DEGREE, 0.4512, 0.4059 },
        { OXT_ILLUMINANT_FL2, OXT_OBSERVER_1931_2_DEGREE, 0.3721, 0.3751 },
        { OXT_ILLUMINANT_FL11, OXT_OBSERVER_1931_2_DEGREE, 0.3805, 0.3769 },
        { OXT_ILLUMINANT_LED_B3, OXT_OBSERVER_1931_2_DEGREE, 0.3756, 0.3723 },
        { OXT_ILLUMINANT_LED_V1, OXT_OBSERVER_1931_2_DEGREE, 0.4548, 0.4044 },
    };
    double worst = 0.0;
    for (size_t i = 0; i < sizeof published / sizeof published[0]; i++) {
        double white[3];
        white_of((int)published[i].light, published[i].observer, white);
        double sum = white[0] + white[1] + white[2];
        worst = worse(worse(worst, white[0] / sum - published[i].x),
                      white[1] / sum - published[i].y);
    }
    measured("cie-whites", worst, -HUGE_VAL, 1e-4);
}

Test(light, unknown_lights_are_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    double white[3] = { -7.0, -7.0, -7.0 };
    static const int bad[] = { -1, LIGHTS, 1000 };
    for (int i = 0; i < 3; i++) {
        FAILS(oxt_light_white((oxt_illuminant)bad[i], OXT_OBSERVER_1931_2_DEGREE, white, &error),
              OXT_EARG);
        cr_assert_str_eq(error.parameter, "illuminant");
        FAILS(oxt_light_white(OXT_ILLUMINANT_D65, (oxt_observer)(bad[i] < 0 ? -1 : 2 + i), white,
                              &error),
              OXT_EARG);
        cr_assert_str_eq(error.parameter, "observer");
    }
    FAILS(oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, NULL, &error), OXT_EARG);
    cr_assert_eq(white[0], -7.0);
}

/* ---- adaptation ---- */

static void adapt(const double xyz[3], const double from[3], const double to[3], double adapted[3])
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_light_adapt(xyz, from, to, adapted, &error));
}

static const double colours[][3] = { { 20.0, 12.0, 40.0 }, { 35.0, 36.0, 5.0 }, { 1.0, 1.1, 0.2 },
                                     { 0.0, 0.0, 0.0 },    { 90.0, 95.0, 80 },  { 5.0, 9.0, 60.0 },
                                     { -2.0, 3.0, 1.0 } };
enum { COLOURS = sizeof colours / sizeof colours[0] };

/* Every light to every other. */
Test(light, adaptation_scales_the_cones)
{
    for (int from = 0; from < LIGHTS; from++)
        for (int to = 0; to < LIGHTS; to++) {
            double a[3], b[3], found[3], expected[3], back[3];
            white_of(from, OXT_OBSERVER_1964_10_DEGREE, a);
            white_of(to, OXT_OBSERVER_1931_2_DEGREE, b);
            adapt(a, a, b, found);
            for (int j = 0; j < 3; j++)
                CLOSE(found[j], b[j], 1e-13); /* white goes to white */
            for (int i = 0; i < COLOURS; i++) {
                adapt(colours[i], a, b, found);
                adapt_by_cones(colours[i], a, b, expected);
                adapt(found, b, a, back);
                for (int j = 0; j < 3; j++) {
                    NEAR(found[j], expected[j], 1e-11);
                    NEAR(back[j], colours[i][j], 1e-11);
                }
                adapt(colours[i], a, a, found);
                for (int j = 0; j < 3; j++)
                    NEAR(found[j], colours[i][j], 1e-12);
            }
        }
}

/* The adaptation of a mixture of lights is the mixture of their adaptations. */
Test(light, adaptation_is_linear)
{
    double a[3], b[3];
    white_of(OXT_ILLUMINANT_A, OXT_OBSERVER_1931_2_DEGREE, a);
    white_of(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, b);
    for (int i = 1; i < COLOURS; i++) {
        double one[3], two[3], both[3], sum[3];
        for (int j = 0; j < 3; j++)
            sum[j] = 2.0 * colours[i][j] - 0.5 * colours[i - 1][j];
        adapt(colours[i], a, b, one);
        adapt(colours[i - 1], a, b, two);
        adapt(sum, a, b, both);
        for (int j = 0; j < 3; j++)
            NEAR(both[j], 2.0 * one[j] - 0.5 * two[j], 1e-11);
    }
}

Test(light, adaptation_in_place_and_bad_whites)
{
    oxt_error error = OXT_ERROR_INIT;
    double a[3], b[3], xyz[3] = { 20.0, 12.0, 40.0 }, apart[3];
    white_of(OXT_ILLUMINANT_A, OXT_OBSERVER_1931_2_DEGREE, a);
    white_of(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, b);
    adapt(xyz, a, b, apart);
    adapt(xyz, a, b, xyz);
    cr_assert_eq(memcmp(xyz, apart, sizeof xyz), 0);
    static const double bad[][3] = {
        { 0.0, 100.0, 100.0 },
        { 95.0, -1.0, 100.0 },
        { 95.0, 100.0, NAN },
        { INFINITY, 1.0, 1.0 },
    };
    for (int i = 0; i < 4; i++) {
        FAILS(oxt_light_adapt(xyz, bad[i], b, apart, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "from_xyz");
        FAILS(oxt_light_adapt(xyz, a, bad[i], apart, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "to_xyz");
    }
    FAILS(oxt_light_adapt((double[]){ 20.0, 1.5e6, 40.0 }, a, b, apart, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "xyz");
    /* a colour that no light has: red without any green, whose middle cone would be negative */
    FAILS(oxt_light_adapt(xyz, (const double[]){ 100.0, 1.0, 1.0 }, b, apart, &error), OXT_EDOMAIN);
    FAILS(oxt_light_adapt((const double[]){ NAN, 0.0, 0.0 }, a, b, apart, &error), OXT_EDOMAIN);
    cr_assert_str_eq(error.parameter, "xyz");
    FAILS(oxt_light_adapt(xyz, a, b, NULL, &error), OXT_EARG);
    FAILS(oxt_light_adapt(NULL, a, b, apart, &error), OXT_EARG);
}
