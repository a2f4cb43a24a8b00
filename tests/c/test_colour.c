/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <string.h>

#include "support.h"
#include "base/internal.h"

/* The white of sRGB: x = 0.3127, y = 0.3290 (IEC 61966-2-1), as the rows of its matrix add up. */
static const double D65[3] = { 95.05, 100.0, 108.9 };

static double difference(const double lab1[3], const double lab2[3])
{
    oxt_error error = OXT_ERROR_INIT;
    double found;
    OK(oxt_delta_e2000(1, lab1, 0, lab2, 0, &found, NULL, &error));
    return found;
}

static void lab_of(double X, double Y, double Z, double lab[3])
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_lab_from_xyz((double[]){ X, Y, Z }, D65, lab, &error));
}

/* ---- CIEDE2000 ---- */

/* G. Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, table 1: all 34 pairs. */
Test(colour, ciede2000_of_the_published_pairs)
{
    oxt_error error = OXT_ERROR_INIT;
    table pairs = read_table("ciede2000.csv");
    double worst = 0.0;
    cr_assert_eq(pairs.rows, 34);
    for (size_t i = 0; i < pairs.rows; i++) {
        const double *row = &pairs.cells[i * pairs.columns];
        double forth, back;
        OK(oxt_delta_e2000(1, row + 1, 0, row + 4, 0, &forth, NULL, &error));
        OK(oxt_delta_e2000(1, row + 4, 0, row + 1, 0, &back, NULL, &error));
        worst = worse(worst, forth - row[7]);
        NEAR(back, forth, 1e-12);
    }
    measured("ciede2000-pairs", worst, -HUGE_VAL, 5e-5 + 1e-9);
    free_table(&pairs);
}

/* A difference is 0 to itself, above 0 to anything else, and the same both ways. Hues that differ by
 * exactly 180 degrees are left out: there the mean hue is not defined (Sharma et al., section 3). */
Test(colour, ciede2000_is_a_difference)
{
    static const double steps[] = { -90.0, -31.0, -4.0, 0.0, 3.0, 30.5, 88.0 };
    enum { COUNT = 7 * 7 * 4 };
    double colours[COUNT][3];
    int count = 0;
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 7; j++)
            for (int k = 0; k < 7; k++, count++) {
                colours[count][0] = 5.0 + 30.0 * i;
                colours[count][1] = steps[j];
                colours[count][2] = steps[k];
            }
    for (int i = 0; i < COUNT; i++)
        for (int j = 0; j <= i; j++) {
            const double *a = colours[i], *b = colours[j];
            double forth = difference(a, b);
            if (i == j)
                cr_assert_eq(forth, 0.0);
            else
                cr_assert(forth > 0.1);
            if (a[1] * b[2] != a[2] * b[1])
                NEAR(difference(b, a), forth, 1e-11);
        }
}

/* Sharma et al., equations 8 to 22, by angles in degrees as they stand there. */
static double share_by_angles(double chroma)
{
    return sqrt(pow(chroma, 7.0) / (pow(chroma, 7.0) + pow(25.0, 7.0)));
}

static double hue_by_angles(double a, double b)
{
    double hue = atan2(b, a) * 180.0 / OXT_I_PI;
    return hue < 0.0 ? hue + 360.0 : hue;
}

static double difference_by_angles(const double one[3], const double two[3])
{
    const double degree = OXT_I_PI / 180.0;
    double G = 0.5 - 0.5 * share_by_angles(0.5 * (hypot(one[1], one[2]) + hypot(two[1], two[2])));
    double a1 = (1.0 + G) * one[1], a2 = (1.0 + G) * two[1];
    double C1 = hypot(a1, one[2]), C2 = hypot(a2, two[2]), L = 0.5 * (one[0] + two[0]);
    double h1 = hue_by_angles(a1, one[2]), h2 = hue_by_angles(a2, two[2]), C = 0.5 * (C1 + C2);
    double step = h2 - h1 + (h2 - h1 > 180.0 ? -360.0 : h2 - h1 < -180.0 ? 360.0 : 0.0);
    double far = fabs(h1 - h2) <= 180.0 ? 0.0 : h1 + h2 < 360.0 ? 360.0 : -360.0;
    bool grey = C1 * C2 == 0.0;
    double h = grey ? h1 + h2 : 0.5 * (h1 + h2 + far);
    double T = 1.0 - 0.17 * cos((h - 30.0) * degree) + 0.24 * cos(2.0 * h * degree) +
               0.32 * cos((3.0 * h + 6.0) * degree) - 0.20 * cos((4.0 * h - 63.0) * degree);
    double turn = 30.0 * exp(-pow((h - 275.0) / 25.0, 2.0));
    double R = -2.0 * share_by_angles(C) * sin(2.0 * turn * degree);
    double dL = (two[0] - one[0]) /
                (1.0 + 0.015 * pow(L - 50.0, 2.0) / sqrt(20.0 + pow(L - 50.0, 2.0)));
    double dC = (C2 - C1) / (1.0 + 0.045 * C);
    double dH = grey ? 0.0 : 2.0 * sqrt(C1 * C2) * sin(0.5 * step * degree);
    dH /= 1.0 + 0.015 * C * T;
    return sqrt(fmax(dL * dL + dC * dC + dH * dH + R * dC * dH, 0.0));
}

/* The library has directions in the place of angles. Here all hues meet all hues, some of them nearly opposed, with
 * chromas from grey to beyond any film's, and lightnesses that differ or do not. */
Test(colour, ciede2000_is_that_by_angles)
{
    static const double chromas[] = { 0.0, 1e-9, 0.3, 12.0, 25.0, 60.0, 150.0 };
    for (int i = 0; i < 360; i++)
        for (int j = 0; j < 360; j++) {
            double h1 = i * OXT_I_PI / 180.0, h2 = (j + 1e-3) * OXT_I_PI / 180.0;
            double c1 = chromas[(i + j) % 7], c2 = chromas[(3 * i + j) % 7];
            double one[3] = { 40.0 + (i % 3) * 20.0, c1 * cos(h1), c1 * sin(h1) };
            double two[3] = { 40.0 + (j % 3) * 20.0, c2 * cos(h2), c2 * sin(h2) };
            double found = difference(one, two), expected = difference_by_angles(one, two);
            NEAR(found * found, expected * expected, 1e-12 * (1.0 + expected * expected));
        }
}

/* Hues that are exactly opposed: the step is from the smaller to the greater (Sharma et al., equations 10 and 14). */
Test(colour, ciede2000_of_opposed_hues)
{
    static const double a[][2] = { { 20.0, 0.0 }, { 0.0, 20.0 }, { -20.0, 0.0 }, { 0.0, -20.0 },
                                   { 3.0, -4.0 }, { -3.0, 4.0 }, { 3.0, 4.0 },   { -3.0, -4.0 } };
    for (int i = 0; i < 8; i++) {
        double one[3] = { 50.0, a[i][0], a[i][1] },
               two[3] = { 60.0, -2.0 * a[i][0], -2.0 * a[i][1] };
        CLOSE(difference(one, two), difference_by_angles(one, two), 1e-12);
    }
}

/* At L* = 50 and on the axis of grey S_L is 1 and nothing else weighs (ISO/CIE 11664-6). */
Test(colour, ciede2000_of_greys_is_the_step_in_lightness)
{
    for (double step = 0.25; step < 40.0; step *= 1.7) {
        const double low[3] = { 50.0 - step / 2.0, 0.0, 0.0 },
                     high[3] = { 50.0 + step / 2.0, 0.0, 0.0 };
        CLOSE(difference(low, high), step, 1e-12);
    }
}

Test(colour, ciede2000_of_many)
{
    oxt_error error = OXT_ERROR_INIT;
    table pairs = read_table("ciede2000.csv");
    ptrdiff_t row = (ptrdiff_t)(pairs.columns * sizeof(double));
    double found[34];
    size_t failed = 99;
    OK(oxt_delta_e2000(34, &pairs.cells[1], row, &pairs.cells[4], row, found, &failed, &error));
    cr_assert_eq(failed, 0);
    for (size_t i = 0; i < 34; i++)
        NEAR(found[i], at(&pairs, i, 7), 5e-5 + 1e-9);
    pairs.cells[4 * pairs.columns + 2] = INFINITY;
    FAILS(oxt_delta_e2000(34, &pairs.cells[1], row, &pairs.cells[4], 0, found, &failed, &error),
          OXT_EDOMAIN);
    cr_assert(failed == 1 && error.row == 5 && isnan(found[4]));
    cr_assert_str_eq(error.parameter, "lab1");
    for (size_t i = 0; i < 34; i++)
        if (i != 4)
            cr_assert_eq(found[i],
                         difference(&pairs.cells[i * pairs.columns + 1], &pairs.cells[4]));
    free_table(&pairs);
}

/* Contract: any number of pairs in one call, faults anywhere among them; each is what it is alone. */
Test(colour, ciede2000_of_more_than_a_block)
{
    enum { COUNT = 200 };
    oxt_error error = OXT_ERROR_INIT;
    double one[COUNT][3], two[COUNT][3], found[COUNT];
    size_t failed;
    for (int i = 0; i < COUNT; i++)
        for (int j = 0; j < 3; j++) {
            one[i][j] = 30.0 + 20.0 * sin(i + j);
            two[i][j] = 30.0 + 25.0 * sin(2.0 * i + j);
        }
    one[70][1] = NAN;
    two[140][2] = INFINITY;
    FAILS(oxt_delta_e2000(COUNT, one[0], sizeof one[0], two[0], sizeof two[0], found, &failed,
                          &error),
          OXT_EDOMAIN);
    cr_assert(failed == 2 && error.row == 71);
    cr_assert_str_eq(error.parameter, "lab1");
    for (int i = 0; i < COUNT; i++)
        cr_assert(i == 70 || i == 140 ? isnan(found[i]) : found[i] == difference(one[i], two[i]));
}

/* ---- Lab ---- */

/* ISO/CIE 11664-4: the white is L* = 100 and without colour, whatever its brightness. */
Test(colour, white_is_l_100)
{
    oxt_error error = OXT_ERROR_INIT;
    static const double whites[][3] = { { 95.05, 100.0, 108.9 },
                                        { 96.42, 100.0, 82.49 }, /* D50 */
                                        { 0.5, 0.5, 0.5 } };
    for (size_t i = 0; i < 3; i++) {
        double lab[3];
        OK(oxt_lab_from_xyz(whites[i], whites[i], lab, &error));
        NEAR(lab[0], 100.0, 1e-12);
        NEAR(lab[1], 0.0, 1e-12);
        NEAR(lab[2], 0.0, 1e-12);
        OK(oxt_lab_from_xyz((double[]){ 0.0, 0.0, 0.0 }, whites[i], lab, &error));
        NEAR(lab[0], 0.0, 1e-12);
    }
}

/* ISO/CIE 11664-4: L* = 903.3 Y/Yn where Y/Yn <= 0.008856, else 116 (Y/Yn)^(1/3) - 16; the exact
 * constants are (29/3)^3 and (6/29)^3. A perfect diffuser of 18 % has L* = 49.50. */
Test(colour, lightness_on_both_branches)
{
    double lab[3], above[3];
    for (double share = 1e-6; share <= 0.008; share *= 3.0) {
        lab_of(95.05 * share, 100.0 * share, 108.9 * share, lab);
        CLOSE(lab[0], 24389.0 / 27.0 * share, 1e-12);
        NEAR(lab[1], 0.0, 1e-12);
    }
    lab_of(95.05 * 0.18, 18.0, 108.9 * 0.18, lab);
    NEAR(lab[0], 49.496, 5e-4);
    /* the branches touch so smoothly that only the last digits tell where they meet */
    double edge = 216.0 / 24389.0, below = 215.5 / 24389.0, beyond = 216.5 / 24389.0;
    lab_of(95.05 * below, 100.0 * below, 108.9 * below, lab);
    CLOSE(lab[0], 24389.0 / 27.0 * below, 1e-12);
    lab_of(95.05 * beyond, 100.0 * beyond, 108.9 * beyond, lab);
    CLOSE(lab[0], 116.0 * cbrt(beyond) - 16.0, 1e-12);
    lab_of(95.05 * edge, 100.0 * edge, 108.9 * edge, lab);
    NEAR(lab[0], 8.0, 1e-12);
    lab_of(95.05 * edge, 100.0 * edge * (1.0 + 1e-9), 108.9 * edge, above);
    NEAR(above[0] - lab[0], 8e-9, 1e-10); /* slope 903.3 on either side */
}

Test(colour, lab_and_xyz_round_trip)
{
    oxt_error error = OXT_ERROR_INIT;
    for (double L = 0.0; L <= 100.0; L += 2.5)
        for (double a = -120.0; a <= 120.0; a += 24.0)
            for (double b = -120.0; b <= 120.0; b += 24.0) {
                double xyz[3], back[3];
                OK(oxt_xyz_from_lab((double[]){ L, a, b }, D65, xyz, &error));
                OK(oxt_lab_from_xyz(xyz, D65, back, &error));
                NEAR(back[0], L, 1e-11);
                NEAR(back[1], a, 1e-10);
                NEAR(back[2], b, 1e-10);
            }
}

Test(colour, colours_out_of_range_are_refused)
{
    static const double bad[] = { NAN, INFINITY, -INFINITY };
    oxt_error error = OXT_ERROR_INIT;
    double out[3] = { -7.0, -7.0, -7.0 }, number;
    for (int place = 0; place < 9; place++) {
        double three[3] = { 0.5, 0.5, 0.5 };
        three[place % 3] = bad[place / 3];
        FAILS(oxt_lab_from_xyz(three, D65, out, &error), OXT_EDOMAIN);
        FAILS(oxt_lab_from_xyz(D65, three, out, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "white_xyz");
        FAILS(oxt_xyz_from_lab(three, D65, out, &error), OXT_EDOMAIN);
        FAILS(oxt_xyz_from_lab(D65, three, out, &error), OXT_EDOMAIN);
        FAILS(oxt_srgb_from_xyz(three, OXT_GAMUT_CLIP, out, NULL, &error), OXT_EDOMAIN);
        FAILS(oxt_xyz_from_srgb(three, out, &error), OXT_EDOMAIN);
        FAILS(oxt_delta_e2000(1, three, 0, D65, 0, &number, NULL, &error), OXT_EDOMAIN);
        FAILS(oxt_delta_e2000(1, D65, 0, three, 0, &number, NULL, &error), OXT_EDOMAIN);
    }
    FAILS(oxt_lab_from_xyz(D65, (double[]){ 95.0, 0.0, 109.0 }, out, &error), OXT_EDOMAIN);
    FAILS(oxt_delta_e2000(1, (double[]){ 1.1e6, 0.0, 0.0 }, 0, D65, 0, &number, NULL, &error),
          OXT_EDOMAIN);
    FAILS(oxt_xyz_from_srgb((double[]){ 0.5, 1.0000001, 0.5 }, out, &error), OXT_EDOMAIN);
    /* finite inputs whose answer no double can hold */
    FAILS(oxt_xyz_from_lab((double[]){ 1e200, 0.0, 0.0 }, D65, out, &error), OXT_EDOMAIN);
    FAILS(oxt_lab_from_xyz((double[]){ 1e300, 1.0, 1.0 }, (double[]){ 1e-300, 1.0, 1.0 }, out,
                           &error),
          OXT_EDOMAIN);
    cr_assert(out[0] == -7.0 && out[1] == -7.0 && out[2] == -7.0);
}

/* ---- sRGB ---- */

static void srgb_of(const double xyz[3], double srgb[3], int *clipped)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_srgb_from_xyz(xyz, OXT_GAMUT_CLIP, srgb, clipped, &error));
}

/* IEC 61966-2-1: chromaticities of the primaries and the white. Its matrix has four decimals, which
 * is what limits the agreement. */
Test(colour, srgb_primaries_and_white)
{
    static const double published[4][5] = {
        { 1, 0, 0, 0.64, 0.33 },
        { 0, 1, 0, 0.30, 0.60 },
        { 0, 0, 1, 0.15, 0.06 },
        { 1, 1, 1, 0.3127, 0.3290 },
    };
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 0; i < 4; i++) {
        double xyz[3], srgb[3];
        int clipped = 7;
        OK(oxt_xyz_from_srgb(published[i], xyz, &error));
        double sum = xyz[0] + xyz[1] + xyz[2];
        NEAR(xyz[0] / sum, published[i][3], 1e-4);
        NEAR(xyz[1] / sum, published[i][4], 1e-4);
        srgb_of(xyz, srgb, &clipped);
        cr_assert_eq(clipped, 0);
        for (int j = 0; j < 3; j++)
            NEAR(srgb[j], published[i][j], 1e-9);
    }
    double xyz[3];
    OK(oxt_xyz_from_srgb((double[]){ 1.0, 1.0, 1.0 }, xyz, &error));
    NEAR(xyz[1], 100.0, 1e-12);
}

/* IEC 61966-2-1: 12.92 C below 0.0031308, 1.055 C^(1/2.4) - 0.055 above. The standard's two branches
 * meet only to its printed digits. The mean of black and white in light is 0.7354 in sRGB. */
Test(colour, srgb_on_both_branches)
{
    oxt_error error = OXT_ERROR_INIT;
    double srgb[3], xyz[3];
    for (double linear = 1e-6; linear <= 0.003; linear *= 2.7) {
        srgb_of((double[]){ 95.05 * linear, 100.0 * linear, 108.9 * linear }, srgb, NULL);
        for (int i = 0; i < 3; i++)
            CLOSE(srgb[i], 12.92 * linear, 1e-12);
    }
    for (double linear = 0.0032; linear <= 1.0; linear *= 1.31) {
        srgb_of((double[]){ 95.05 * linear, 100.0 * linear, 108.9 * linear }, srgb, NULL);
        for (int i = 0; i < 3; i++)
            CLOSE(srgb[i], 1.055 * pow(linear, 1.0 / 2.4) - 0.055, 1e-12);
    }
    srgb_of((double[]){ 47.525, 50.0, 54.45 }, srgb, NULL);
    NEAR(srgb[1], 0.7354, 5e-5);
    double before[3], behind[3];
    srgb_of((double[]){ 0.297583, 0.313079, 0.340943 }, before, NULL);
    srgb_of((double[]){ 0.297585, 0.313081, 0.340946 }, behind, NULL);
    NEAR(behind[1] - before[1], 0.0, 1e-6);
    OK(oxt_xyz_from_srgb((double[]){ 0.04, 0.04, 0.04 }, xyz, &error));
    CLOSE(xyz[1], 100.0 * 0.04 / 12.92, 1e-12);
}

Test(colour, srgb_and_xyz_round_trip)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int red = 0; red <= 32; red++)
        for (int green = 0; green <= 32; green++)
            for (int blue = 0; blue <= 32; blue++) {
                double srgb[3] = { red / 32.0, green / 32.0, blue / 32.0 }, xyz[3], back[3];
                int clipped = 7;
                OK(oxt_xyz_from_srgb(srgb, xyz, &error));
                srgb_of(xyz, back, &clipped);
                cr_assert_eq(clipped, 0);
                for (int i = 0; i < 3; i++) {
                    NEAR(back[i], srgb[i], 1e-7); /* at the branches' small gap */
                    cr_assert(back[i] >= 0.0 && back[i] <= 1.0);
                }
            }
}

/* A pure spectral colour lies outside; equal energy at 520 nm: ISO/CIE 11664-1. */
Test(colour, colour_outside_the_screen_is_clipped_and_flagged)
{
    double srgb[3];
    int clipped = 0;
    srgb_of((double[]){ 6.327, 71.0, 7.825 }, srgb, &clipped);
    cr_assert_eq(clipped, 1);
    cr_assert(srgb[0] == 0.0 && srgb[1] > 0.9 && srgb[2] == 0.0);
    srgb_of((double[]){ 120.0, 126.0, 137.0 }, srgb, &clipped); /* brighter than white */
    cr_assert_eq(clipped, 1);
    for (int i = 0; i < 3; i++)
        cr_assert(srgb[i] > 1.0 - 1e-15 && srgb[i] <= 1.0);
    srgb_of((double[]){ -1e-12, -1e-12, -1e-12 }, srgb, &clipped); /* only rounding */
    cr_assert_eq(clipped, 0);
    cr_assert(srgb[0] == 0.0 && srgb[1] == 0.0 && srgb[2] == 0.0);
    srgb_of((double[]){ 1e6, 1e6, 1e6 }, srgb, &clipped);
    cr_assert_eq(clipped, 1);
    oxt_error error = OXT_ERROR_INIT;
    const double bright[3] = { 1.1e6, 0.0, 0.0 };
    FAILS(oxt_srgb_from_xyz(bright, OXT_GAMUT_CLIP, srgb, NULL, &error), OXT_EDOMAIN);
    FAILS(oxt_srgb_from_xyz(bright, (oxt_gamut)2, srgb, NULL, &error), OXT_EDOMAIN);
    FAILS(oxt_srgb_from_xyz(srgb, (oxt_gamut)2, srgb, NULL, &error), OXT_EARG);
    cr_assert_str_eq(error.parameter, "gamut");
}

Test(colour, hex_round_trip_of_every_byte)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int channel = 0; channel < 3; channel++)
        for (int value = 0; value < 256; value++) {
            int bytes[3] = { 17, 128, 254 };
            char text[8], again[8], upper[8];
            double srgb[3];
            bytes[channel] = value;
            snprintf(text, sizeof text, "#%02x%02x%02x", bytes[0] & 255, bytes[1] & 255,
                     bytes[2] & 255);
            snprintf(upper, sizeof upper, "#%02X%02X%02X", bytes[0] & 255, bytes[1] & 255,
                     bytes[2] & 255);
            OK(oxt_parse_srgb(text, srgb, &error));
            for (int i = 0; i < 3; i++)
                NEAR(srgb[i], bytes[i] / 255.0, 1e-16);
            OK(oxt_format_srgb(srgb, again, sizeof again, NULL, &error));
            cr_assert_str_eq(again, text);
            OK(oxt_parse_srgb(upper, srgb, &error));
            OK(oxt_format_srgb(srgb, again, sizeof again, NULL, &error));
            cr_assert_str_eq(again, text);
        }
}

Test(colour, hex_rounds_to_the_nearest_byte)
{
    oxt_error error = OXT_ERROR_INIT;
    char text[8];
    static const double values[] = { 0.49 / 255.0, 0.51 / 255.0, 254.49 / 255.0, 254.51 / 255.0 };
    static const char *const expected[] = { "#000000", "#010101", "#fefefe", "#ffffff" };
    for (int i = 0; i < 4; i++) {
        OK(oxt_format_srgb((double[]){ values[i], values[i], values[i] }, text, 8, NULL, &error));
        cr_assert_str_eq(text, expected[i]);
    }
    FAILS(oxt_format_srgb((double[]){ -0.001, 0.0, 0.0 }, text, 8, NULL, &error), OXT_EDOMAIN);
    FAILS(oxt_format_srgb((double[]){ 0.0, 0.0, NAN }, text, 8, NULL, &error), OXT_EDOMAIN);
}

Test(colour, texts_that_are_no_hex_colour)
{
    static const char *const bad[] = { "",
                                       "#",
                                       "2b3a67",
                                       "#2b3a6",
                                       "#2b3a678",
                                       "#2b3a6g",
                                       "# 2b3a67",
                                       "#2b3a67 ",
                                       "#2b3a-7",
                                       "#+b3a67",
                                       "#0x3a67",
                                       "blue",
                                       ("#\xC3\xA9"
                                        "b3a6") };
    oxt_error error = OXT_ERROR_INIT;
    double srgb[3] = { -7.0, -7.0, -7.0 };
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        FAILS(oxt_parse_srgb(bad[i], srgb, &error), OXT_EPARSE);
        SAYS("#2b3a67");
        SAYS(bad[i]);
    }
    FAILS(oxt_parse_srgb(NULL, srgb, &error), OXT_EARG);
    cr_assert_eq(srgb[0], -7.0);
}

/* ---- onto a screen, hue kept ---- */

static void srgb_keeping_hue(const double xyz[3], double srgb[3], int *flag)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_srgb_from_xyz(xyz, OXT_GAMUT_KEEP_HUE, srgb, flag, &error));
    for (int i = 0; i < 3; i++)
        cr_assert(srgb[i] >= 0.0 && srgb[i] <= 1.0);
}

Test(colour, keeping_hue_leaves_screen_colours_alone)
{
    oxt_error error = OXT_ERROR_INIT;
    for (int i = 0; i < 9 * 9 * 9; i++) {
        const double given[3] = { i / 81 / 8.0, i / 9 % 9 / 8.0, i % 9 / 8.0 };
        double xyz[3], one[3], two[3];
        int flag = 7, usual = 7;
        OK(oxt_xyz_from_srgb(given, xyz, &error));
        srgb_keeping_hue(xyz, one, &flag);
        OK(oxt_srgb_from_xyz(xyz, OXT_GAMUT_CLIP, two, &usual, &error));
        cr_assert(flag == 0 && usual == 0 && memcmp(one, two, sizeof one) == 0);
        OK(oxt_srgb_from_xyz(xyz, OXT_GAMUT_KEEP_HUE, one, NULL, &error));
    }
}

/* B. Ottosson, A perceptual color space for image processing (2020), written anew from XYZ; the library starts from
 * linear sRGB. */
static void oklab_of(const double xyz[3], double lab[3])
{
    static const double to_cones[3][3] = { { 0.8189330101, 0.3618667424, -0.1288597137 },
                                           { 0.0329845436, 0.9293118715, 0.0361456387 },
                                           { 0.0482003018, 0.2643662691, 0.6338517070 } };
    static const double to_lab[3][3] = { { 0.2104542553, 0.7936177850, -0.0040720468 },
                                         { 1.9779984951, -2.4285922050, 0.4505937099 },
                                         { 0.0259040371, 0.7827717662, -0.8086757660 } };
    double roots[3];
    for (int i = 0; i < 3; i++)
        roots[i] = cbrt(
            (to_cones[i][0] * xyz[0] + to_cones[i][1] * xyz[1] + to_cones[i][2] * xyz[2]) / 100.0);
    for (int i = 0; i < 3; i++)
        lab[i] = to_lab[i][0] * roots[0] + to_lab[i][1] * roots[1] + to_lab[i][2] * roots[2];
}

/* The four pairs of XYZ and Oklab that the same page states, three decimals. */
Test(colour, oklab_of_the_published_pairs)
{
    static const double pairs[4][2][3] = { { { 95.0, 100.0, 108.9 }, { 1.0, 0.0, 0.0 } },
                                           { { 100.0, 0.0, 0.0 }, { 0.450, 1.236, -0.019 } },
                                           { { 0.0, 100.0, 0.0 }, { 0.922, -0.671, 0.263 } },
                                           { { 0.0, 0.0, 100.0 }, { 0.153, -1.415, -0.449 } } };
    for (int i = 0; i < 4; i++) {
        double found[3];
        oklab_of(pairs[i][0], found);
        for (int j = 0; j < 3; j++)
            NEAR(found[j], pairs[i][1][j], 6e-4);
    }
}

/* Colours that no screen shows, over all hues and lightnesses. Hue is compared where the chroma that is left tells
 * one. The matrices of the two ways to Oklab differ in the fourth digit, of which a cube root near 0 makes more:
 * measured 0.3 degrees and 0.004. */
Test(colour, keeping_hue_gives_up_chroma_only)
{
    oxt_error error = OXT_ERROR_INIT;
    int outside = 0;
    double worst_hue = 0.0, worst_lightness = 0.0;
    for (double L = 5.0; L <= 95.0; L += 2.0)
        for (int degrees = 0; degrees < 360; degrees += 5) {
            double hue = degrees * 3.14159265358979323846 / 180.0, xyz[3], srgb[3], before[3],
                   back[3];
            const double lab[3] = { L, 150.0 * cos(hue), 150.0 * sin(hue) };
            int flag = 0;
            OK(oxt_xyz_from_lab(lab, D65, xyz, &error));
            oklab_of(xyz, before);
            if (before[0] < 0.02 || before[0] > 0.98)
                continue;
            srgb_keeping_hue(xyz, srgb, &flag);
            cr_assert_eq(flag, 1);
            OK(oxt_xyz_from_srgb(srgb, xyz, &error));
            oklab_of(xyz, back);
            double chroma = hypot(back[1], back[2]);
            cr_assert(chroma < hypot(before[1], before[2]));
            worst_lightness = fmax(worst_lightness, fabs(back[0] - before[0]));
            if (chroma > 0.02)
                worst_hue = fmax(
                    worst_hue, fabs(remainder(atan2(back[2], back[1]) - atan2(before[2], before[1]),
                                              2.0 * 3.14159265358979323846)));
            /* and no more than it must: it lies on the border of what a screen shows */
            double least = fmin(fmin(srgb[0], srgb[1]), srgb[2]),
                   most = fmax(fmax(srgb[0], srgb[1]), srgb[2]);
            cr_assert(least < 1e-3 || most > 1.0 - 1e-6, "L* %g, hue %d: %g %g", L, degrees, least,
                      most);
            outside++;
        }
    cr_assert(worst_hue * 180.0 / 3.14159265358979323846 < 0.5 && worst_lightness < 5e-3, "%g %g",
              worst_hue, worst_lightness);
    cr_assert(outside > 3000, "%d", outside);
}

/* Brighter than the white, or below black: white and black. */
Test(colour, keeping_hue_beyond_white_and_black)
{
    oxt_error error = OXT_ERROR_INIT;
    double srgb[3];
    int flag = 0;
    srgb_keeping_hue((const double[]){ 190.0, 200.0, 218.0 }, srgb, &flag);
    for (int i = 0; i < 3; i++)
        NEAR(srgb[i], 1.0, 1e-6);
    cr_assert_eq(flag, 1);
    srgb_keeping_hue((const double[]){ -1.0, -1.0, -1.0 }, srgb, &flag);
    for (int i = 0; i < 3; i++)
        NEAR(srgb[i], 0.0, 1e-6);
    cr_assert_eq(flag, 1);
    FAILS(oxt_srgb_from_xyz((const double[]){ NAN, 1.0, 1.0 }, OXT_GAMUT_KEEP_HUE, srgb, &flag,
                            &error),
          OXT_EDOMAIN);
    FAILS(oxt_srgb_from_xyz(NULL, OXT_GAMUT_KEEP_HUE, srgb, &flag, &error), OXT_EARG);
    FAILS(oxt_srgb_from_xyz(D65, OXT_GAMUT_KEEP_HUE, NULL, &flag, &error), OXT_EARG);
}
