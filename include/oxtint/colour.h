/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file colour.h: XYZ, CIE Lab, sRGB and colour difference.
 *
 * XYZ is scaled so that the white has Y = 100. sRGB components run from 0 to 1.
 */
#ifndef OXTINT_COLOUR_H
#define OXTINT_COLOUR_H

#include "oxtint/error.h"

/** What becomes of a colour that a screen cannot show. */
typedef enum oxt_gamut {
    OXT_GAMUT_CLIP = 0,    /* each component is clipped, which may change the hue */
    OXT_GAMUT_KEEP_HUE = 1 /* chroma is reduced until it fits; lightness and hue in Oklab are kept */
} oxt_gamut;

OXT_BEGIN_DECLS

/**
 * CIE 1976 L*a*b* of an XYZ.
 *
 * Given:
 *   xyz         3 numbers, finite
 *   white_xyz   3 numbers, the white of the same light, > 0
 * Returned:
 *   lab         L*, a*, b*
 * Status:
 *   OXT_EDOMAIN
 * Source:
 *   ISO/CIE 11664-4
 */
OXT_API oxt_status oxt_lab_from_xyz(const double xyz[3], const double white_xyz[3], double lab[3],
                                    oxt_error *error);

/**
 * XYZ of a CIE 1976 L*a*b*; the inverse of oxt_lab_from_xyz.
 *
 * Given:
 *   lab         L*, a*, b*, finite
 *   white_xyz   3 numbers, > 0
 * Returned:
 *   xyz         3 numbers
 * Status:
 *   OXT_EDOMAIN
 * Source:
 *   ISO/CIE 11664-4
 */
OXT_API oxt_status oxt_xyz_from_lab(const double lab[3], const double white_xyz[3], double xyz[3],
                                    oxt_error *error);

/**
 * sRGB of an XYZ under D65.
 *
 * Given:
 *   xyz            3 numbers, white Y = 100, -1e6 to 1e6
 *   gamut          what becomes of a colour that a screen cannot show
 * Returned:
 *   srgb           3 numbers, 0 to 1
 *   out_of_gamut   1 when a screen cannot show the colour, else 0; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN
 * Source:
 *   IEC 61966-2-1; Oklab: B. Ottosson, A perceptual color space for image processing (2020)
 */
OXT_API oxt_status oxt_srgb_from_xyz(const double xyz[3], oxt_gamut gamut, double srgb[3],
                                     int *out_of_gamut, oxt_error *error);

/**
 * XYZ under D65 of an sRGB colour; the inverse of oxt_srgb_from_xyz.
 *
 * Given:
 *   srgb   3 numbers, 0 to 1
 * Returned:
 *   xyz    3 numbers, white Y = 100
 * Status:
 *   OXT_EDOMAIN
 * Source:
 *   IEC 61966-2-1
 */
OXT_API oxt_status oxt_xyz_from_srgb(const double srgb[3], double xyz[3], oxt_error *error);

/**
 * Read an sRGB colour written as "#rrggbb".
 *
 * Given:
 *   text   '#' and six hexadecimal digits
 * Returned:
 *   srgb   3 numbers, 0 to 1
 * Status:
 *   OXT_EPARSE
 */
OXT_API oxt_status oxt_parse_srgb(const char *text, double srgb[3], oxt_error *error);

/**
 * Write an sRGB colour as "#rrggbb", each component rounded to 8 bits.
 *
 * Given:
 *   srgb   3 numbers, 0 to 1
 *   buffer, capacity    where the text goes; 8 bytes are enough
 * Returned:
 *   needed   length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EDOMAIN, OXT_ESPACE
 */
OXT_API oxt_status oxt_format_srgb(const double srgb[3], char *buffer, size_t capacity,
                                   size_t *needed, oxt_error *error);

/**
 * CIEDE2000 differences of n pairs of colours, with kL = kC = kH = 1.
 *
 * Given:
 *   n                    number of pairs
 *   lab1, lab1_stride    first colours: L*, a*, b*, each -1e6 to 1e6, and the bytes from one colour to the next,
 *                        0 = the same colour for all
 *   lab2, lab2_stride    second colours, the same
 * Returned:
 *   difference           n numbers, 0 or more; about 1 can just be seen side by side
 *   failed               number of elements that are NaN; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN of the first element that failed; all others are computed
 * Source:
 *   ISO/CIE 11664-6; G. Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30 (2005) 21-30
 */
OXT_API oxt_status oxt_delta_e2000(size_t n, const double *lab1, ptrdiff_t lab1_stride,
                                   const double *lab2, ptrdiff_t lab2_stride, double *difference,
                                   size_t *failed, oxt_error *error);

OXT_END_DECLS

#endif
