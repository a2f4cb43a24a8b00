/* SPDX-License-Identifier: GPL-3.0-or-later */
/* XYZ, CIE Lab, sRGB and colour difference. */
#include <string.h>

#include "base/internal.h"
#include "optics/colour.h"

/* Input of a conversion between XYZ and Lab, and a place for its result. */
static oxt_status check_conversion(const char *name, const double three[3],
                                   const double white_xyz[3], const char *made,
                                   const double *result, oxt_error *error)
{
    oxt_status status = oxt_i_check_three(error, name, three, -HUGE_VAL, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_three(error, "white_xyz", white_xyz, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    return status || result ? status : oxt_i_null(error, made);
}

/* A result that a double cannot hold is a failure, never a silent infinity. */
static oxt_status give_three(const double made[3], const char *name, double three[3],
                             oxt_error *error)
{
    oxt_status status = oxt_i_check_three(error, name, made, -HUGE_VAL, HUGE_VAL, OXT_I_CLOSED);
    if (!status)
        memcpy(three, made, 3 * sizeof *made);
    return status;
}

/* ISO/CIE 11664-4: the cube root, and the straight line below (6/29)^3. */
static double lightness_of(double ratio)
{
    return ratio > 216.0 / 24389.0 ? cbrt(ratio) : (24389.0 / 27.0 * ratio + 16.0) / 116.0;
}

static double ratio_of(double lightness)
{
    return lightness > 6.0 / 29.0 ? lightness * lightness * lightness
                                  : (116.0 * lightness - 16.0) * 27.0 / 24389.0;
}

oxt_status oxt_lab_from_xyz(const double xyz[3], const double white_xyz[3], double lab[3],
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check_conversion("xyz", xyz, white_xyz, "lab", lab, error);
    if (status)
        return status;
    double fx = lightness_of(xyz[0] / white_xyz[0]);
    double fy = lightness_of(xyz[1] / white_xyz[1]);
    double fz = lightness_of(xyz[2] / white_xyz[2]);
    double made[3] = { 116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz) };
    return give_three(made, "lab", lab, error);
}

oxt_status oxt_xyz_from_lab(const double lab[3], const double white_xyz[3], double xyz[3],
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check_conversion("lab", lab, white_xyz, "xyz", xyz, error);
    if (status)
        return status;
    double fy = (lab[0] + 16.0) / 116.0;
    double fx = fy + lab[1] / 500.0;
    double fz = fy - lab[2] / 200.0;
    double made[3] = { white_xyz[0] * ratio_of(fx), white_xyz[1] * ratio_of(fy),
                       white_xyz[2] * ratio_of(fz) };
    return give_three(made, "xyz", xyz, error);
}

/* IEC 61966-2-1: linear sRGB to XYZ (white Y = 1). The way back is its exact inverse, so that the
 * round trip closes. */
static const double rgb_to_xyz[3][3] = { { 0.4124, 0.3576, 0.1805 },
                                         { 0.2126, 0.7152, 0.0722 },
                                         { 0.0193, 0.1192, 0.9505 } };

static double determinant(const double m[3][3])
{
    return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
           m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
           m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

/* Solve the 3 by 3 system by Cramer's rule; the matrix is fixed and well conditioned. */
static void linear_rgb(const double xyz[3], double rgb[3])
{
    double whole = determinant(rgb_to_xyz);
    for (int column = 0; column < 3; column++) {
        double replaced[3][3];
        memcpy(replaced, rgb_to_xyz, sizeof replaced);
        for (int row = 0; row < 3; row++)
            replaced[row][column] = xyz[row] / 100.0;
        rgb[column] = determinant(replaced) / whole;
    }
}

static double encode(double linear)
{
    return linear <= 0.0031308 ? 12.92 * linear : 1.055 * pow(linear, 1.0 / 2.4) - 0.055;
}

static double decode(double component)
{
    return component <= 0.04045 ? component / 12.92 : pow((component + 0.055) / 1.055, 2.4);
}

/* Rounding of a colour on the edge of the gamut is not "out of gamut". */
static bool fits_screen(const double rgb[3])
{
    for (int i = 0; i < 3; i++)
        if (rgb[i] < -1e-9 || rgb[i] > 1.0 + 1e-9)
            return false;
    return true;
}

/* Oklab, whose hue is even where that of CIE Lab bends (most so in the blues): from linear sRGB to cones, their cube
 * roots to lightness and two chromas, and back.
 * Source: B. Ottosson, A perceptual color space for image processing (2020). */
static const double rgb_to_cones[3][3] = { { 0.4122214708, 0.5363325363, 0.0514459929 },
                                           { 0.2119034982, 0.6806995451, 0.1073969566 },
                                           { 0.0883024619, 0.2817188376, 0.6299787005 } };
static const double roots_to_oklab[3][3] = { { 0.2104542553, 0.7936177850, -0.0040720468 },
                                             { 1.9779984951, -2.4285922050, 0.4505937099 },
                                             { 0.0259040371, 0.7827717662, -0.8086757660 } };
static const double oklab_to_roots[3][3] = { { 1.0, 0.3963377774, 0.2158037573 },
                                             { 1.0, -0.1055613458, -0.0638541728 },
                                             { 1.0, -0.0894841775, -1.2914855480 } };
static const double cones_to_rgb[3][3] = { { 4.0767416621, -3.3077115913, 0.2309699292 },
                                           { -1.2684380046, 2.6097574011, -0.3413193965 },
                                           { -0.0041960863, -0.7034186147, 1.7076147010 } };

static void multiply(const double m[3][3], const double given[3], double made[3])
{
    for (int i = 0; i < 3; i++)
        made[i] = m[i][0] * given[0] + m[i][1] * given[1] + m[i][2] * given[2];
}

/* Linear sRGB of a colour whose chroma is reduced to a share, lightness and hue kept. */
static void with_chroma(const double oklab[3], double share, double rgb[3])
{
    const double reduced[3] = { oklab[0], share * oklab[1], share * oklab[2] };
    double cones[3];
    multiply(oklab_to_roots, reduced, cones);
    for (int i = 0; i < 3; i++)
        cones[i] = cones[i] * cones[i] * cones[i];
    multiply(cones_to_rgb, cones, rgb);
}

/* The largest share of the chroma that fits, by halving. */
static void reduce_chroma(double rgb[3])
{
    double fits = 0.0, exceeds = 1.0, cones[3], oklab[3];
    multiply(rgb_to_cones, rgb, cones);
    for (int i = 0; i < 3; i++)
        cones[i] = cbrt(cones[i]);
    multiply(roots_to_oklab, cones, oklab);
    for (int i = 0; i < 40; i++) {
        double share = 0.5 * (fits + exceeds);
        with_chroma(oklab, share, rgb);
        *(fits_screen(rgb) ? &fits : &exceeds) = share;
    }
    with_chroma(oklab, fits, rgb);
}

oxt_status oxt_srgb_from_xyz(const double xyz[3], oxt_gamut gamut, double srgb[3],
                             int *out_of_gamut, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check_three(error, "xyz", xyz, -1e6, 1e6, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_choice("gamut", (int)gamut, OXT_GAMUT_KEEP_HUE, error);
    if (!status && !srgb)
        status = oxt_i_null(error, "srgb");
    if (status)
        return status;
    double rgb[3];
    linear_rgb(xyz, rgb);
    bool outside = !fits_screen(rgb);
    if (out_of_gamut)
        *out_of_gamut = outside;
    if (outside && gamut == OXT_GAMUT_KEEP_HUE)
        reduce_chroma(rgb);
    for (int i = 0; i < 3; i++)
        srgb[i] = encode(fmin(fmax(rgb[i], 0.0), 1.0));
    return OXT_OK;
}

oxt_status oxt_xyz_from_srgb(const double srgb[3], double xyz[3], oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check_three(error, "srgb", srgb, 0.0, 1.0, OXT_I_CLOSED);
    if (!status && !xyz)
        status = oxt_i_null(error, "xyz");
    if (status)
        return status;
    double rgb[3] = { decode(srgb[0]), decode(srgb[1]), decode(srgb[2]) };
    for (int i = 0; i < 3; i++)
        xyz[i] = 100.0 * (rgb_to_xyz[i][0] * rgb[0] + rgb_to_xyz[i][1] * rgb[1] +
                          rgb_to_xyz[i][2] * rgb[2]);
    return OXT_OK;
}

static int hex_digit(char letter)
{
    if (letter >= '0' && letter <= '9')
        return letter - '0';
    if (letter >= 'a' && letter <= 'f')
        return letter - 'a' + 10;
    if (letter >= 'A' && letter <= 'F')
        return letter - 'A' + 10;
    return -1;
}

oxt_status oxt_parse_srgb(const char *text, double srgb[3], oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!text || !srgb)
        return oxt_i_null(error, text ? "srgb" : "text");
    bool good = strlen(text) == 7 && text[0] == '#';
    int digits[6] = { 0 };
    for (int i = 0; i < 6 && good; i++) {
        digits[i] = hex_digit(text[1 + i]);
        good = digits[i] >= 0;
    }
    if (!good)
        return oxt_i_fail_text(error, OXT_EPARSE, "srgb",
                               "cannot read '%s', expected an sRGB colour such as #2b3a67",
                               oxt_i_quoted(text).text);
    for (int i = 0; i < 3; i++)
        srgb[i] = (16 * digits[2 * i] + digits[2 * i + 1]) / 255.0;
    return OXT_OK;
}

oxt_status oxt_format_srgb(const double srgb[3], char *buffer, size_t capacity, size_t *needed,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = oxt_i_check_three(error, "srgb", srgb, 0.0, 1.0, OXT_I_CLOSED);
    if (status)
        return status;
    char text[16];
    oxt_i_snprintf(text, sizeof text, "#%02lx%02lx%02lx", lround(255.0 * srgb[0]),
                   lround(255.0 * srgb[1]), lround(255.0 * srgb[2]));
    return oxt_i_emit(text, buffer, capacity, needed, error);
}

static double hue_degrees(double a, double b)
{
    if (a == 0.0 && b == 0.0)
        return 0.0;
    double hue = atan2(b, a) * 180.0 / OXT_I_PI;
    return hue < 0.0 ? hue + 360.0 : hue;
}

static double sine(double degrees)
{
    return sin(degrees * OXT_I_PI / 180.0);
}

static double cosine(double degrees)
{
    return cos(degrees * OXT_I_PI / 180.0);
}

/* Difference and mean of two hues by the short way round (Sharma et al., equations 10 and 14). */
static void compare_hues(double h1, double h2, bool grey, double *difference, double *mean)
{
    double step = h2 - h1;
    if (grey) {
        *difference = 0.0;
        *mean = h1 + h2;
        return;
    }
    *difference = step > 180.0 ? step - 360.0 : step < -180.0 ? step + 360.0 : step;
    double sum = h1 + h2;
    if (fabs(step) <= 180.0)
        *mean = sum / 2.0;
    else
        *mean = sum < 360.0 ? (sum + 360.0) / 2.0 : (sum - 360.0) / 2.0;
}

static double seventh_power_share(double chroma)
{
    double power = pow(chroma, 7.0);
    return sqrt(power / (power + 6103515625.0)); /* 25^7 */
}

double oxt_i_delta_e2000(const double lab1[3], const double lab2[3])
{
    return oxt_i_delta_e2000_by(lab1, lab2, 1.0, 1.0);
}

double oxt_i_delta_e2000_by(const double lab1[3], const double lab2[3], double lightness_factor,
                            double chroma_factor)
{
    double chroma = (hypot(lab1[1], lab1[2]) + hypot(lab2[1], lab2[2])) / 2.0;
    double stretch = 1.0 + 0.5 * (1.0 - seventh_power_share(chroma));
    double a1 = stretch * lab1[1], a2 = stretch * lab2[1];
    double c1 = hypot(a1, lab1[2]), c2 = hypot(a2, lab2[2]);
    double hue_step, hue;
    compare_hues(hue_degrees(a1, lab1[2]), hue_degrees(a2, lab2[2]), c1 * c2 == 0.0, &hue_step,
                 &hue);

    double L = (lab1[0] + lab2[0]) / 2.0, C = (c1 + c2) / 2.0;
    double T = 1.0 - 0.17 * cosine(hue - 30.0) + 0.24 * cosine(2.0 * hue) +
               0.32 * cosine(3.0 * hue + 6.0) - 0.20 * cosine(4.0 * hue - 63.0);
    double offset = (L - 50.0) * (L - 50.0);
    double S_L = 1.0 + 0.015 * offset / sqrt(20.0 + offset);
    double S_C = 1.0 + 0.045 * C;
    double S_H = 1.0 + 0.015 * C * T;
    double turn = 30.0 * exp(-((hue - 275.0) / 25.0) * ((hue - 275.0) / 25.0));
    double R_T = -2.0 * seventh_power_share(C) * sine(2.0 * turn);

    double l = (lab2[0] - lab1[0]) / (lightness_factor * S_L);
    double c = (c2 - c1) / (chroma_factor * S_C);
    double h = 2.0 * sqrt(c1 * c2) * sine(hue_step / 2.0) / S_H;
    return sqrt(fmax(l * l + c * c + h * h + R_T * c * h, 0.0));
}

static oxt_status difference_checked(const double lab1[3], const double lab2[3], double *result,
                                     oxt_error *error)
{
    oxt_status status = oxt_i_check_three(error, "lab1", lab1, -1e6, 1e6, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_three(error, "lab2", lab2, -1e6, 1e6, OXT_I_CLOSED);
    if (!status)
        *result = oxt_i_delta_e2000(lab1, lab2);
    return status;
}

oxt_status oxt_delta_e2000(size_t n, const double *lab1, ptrdiff_t lab1_stride, const double *lab2,
                           ptrdiff_t lab2_stride, double *difference, size_t *failed,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (n > 0 && (!lab1 || !lab2 || !difference))
        return oxt_i_null(error, !lab1 ? "lab1" : !lab2 ? "lab2" : "difference");
    oxt_i_tally tally = { OXT_OK, 0, error };
    for (size_t i = 0; i < n; i++) {
        oxt_error detail;
        detail.struct_size = sizeof detail;
        oxt_status status = difference_checked(oxt_i_at(lab1, i, lab1_stride),
                                               oxt_i_at(lab2, i, lab2_stride), &difference[i],
                                               tally.failed ? NULL : &detail);
        if (status) {
            difference[i] = NAN;
            oxt_i_tally_failure(&tally, status, &detail, i);
        }
    }
    if (failed)
        *failed = tally.failed;
    return tally.status;
}
