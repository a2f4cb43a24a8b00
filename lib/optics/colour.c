/* SPDX-License-Identifier: GPL-3.0-or-later */
/* XYZ, CIE Lab, sRGB and colour difference. */
#include <string.h>

#include "base/internal.h"
#include "base/vector.h"
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

double oxt_i_delta_e2000(const double lab1[3], const double lab2[3])
{
    return oxt_i_delta_e2000_by(lab1, lab2, 1.0, 1.0);
}

static void put_colour(oxt_i_colours *row, size_t i, const double lab[3])
{
    row->lightness[i] = lab[0];
    row->a[i] = lab[1];
    row->b[i] = lab[2];
}

double oxt_i_delta_e2000_by(const double lab1[3], const double lab2[3], double lightness_factor,
                            double chroma_factor)
{
    oxt_i_colours one, two;
    double difference;
    put_colour(&one, 0, lab1);
    put_colour(&two, 0, lab2);
    oxt_i_differences(1, &one, &two, lightness_factor, chroma_factor, &difference);
    return difference;
}

/* Up to OXT_I_COLOUR_BLOCK pairs, from the `first`. */
static void some_differences(size_t n, size_t first, const double *lab1, ptrdiff_t lab1_stride,
                             const double *lab2, ptrdiff_t lab2_stride, double *difference,
                             oxt_i_tally *tally)
{
    oxt_i_colours one, two;
    bool bad[OXT_I_COLOUR_BLOCK];
    for (size_t i = 0; i < n; i++) {
        const double *a = oxt_i_at(lab1, first + i, lab1_stride);
        const double *b = oxt_i_at(lab2, first + i, lab2_stride);
        oxt_error detail;
        detail.struct_size = sizeof detail;
        oxt_error *told = tally->failed ? NULL : &detail;
        oxt_status status = oxt_i_check_three(told, "lab1", a, -1e6, 1e6, OXT_I_CLOSED);
        if (!status)
            status = oxt_i_check_three(told, "lab2", b, -1e6, 1e6, OXT_I_CLOSED);
        bad[i] = status != OXT_OK;
        put_colour(&one, i, a);
        put_colour(&two, i, b);
        if (bad[i])
            oxt_i_tally_failure(tally, status, &detail, first + i);
    }
    oxt_i_differences(n, &one, &two, 1.0, 1.0, difference + first);
    for (size_t i = 0; i < n; i++)
        if (bad[i])
            difference[first + i] = NAN;
}

oxt_status oxt_delta_e2000(size_t n, const double *lab1, ptrdiff_t lab1_stride, const double *lab2,
                           ptrdiff_t lab2_stride, double *difference, size_t *failed,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (n > 0 && (!lab1 || !lab2 || !difference))
        return oxt_i_null(error, !lab1 ? "lab1" : !lab2 ? "lab2" : "difference");
    oxt_i_tally tally = { OXT_OK, 0, error };
    for (size_t i = 0; i < n; i += OXT_I_COLOUR_BLOCK)
        some_differences(n - i < OXT_I_COLOUR_BLOCK ? n - i : OXT_I_COLOUR_BLOCK, i, lab1,
                         lab1_stride, lab2, lab2_stride, difference, &tally);
    if (failed)
        *failed = tally.failed;
    return tally.status;
}
