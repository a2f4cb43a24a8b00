/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file light.h: illuminants, observers, and how a colour is adapted from one light to another. */
#ifndef OXTINT_LIGHT_H
#define OXTINT_LIGHT_H

#include "oxtint/error.h"

/** Light that falls on the part. */
typedef enum oxt_illuminant {
    OXT_ILLUMINANT_D65 = 0,    /* daylight */
    OXT_ILLUMINANT_D50 = 1,    /* daylight at the horizon, print viewing */
    OXT_ILLUMINANT_A = 2,      /* tungsten lamp */
    OXT_ILLUMINANT_FL2 = 3,    /* plain cool white fluorescent lamp */
    OXT_ILLUMINANT_FL11 = 4,   /* three-band fluorescent lamp */
    OXT_ILLUMINANT_LED_B3 = 5, /* blue-pumped LED, about 4100 K */
    OXT_ILLUMINANT_LED_V1 = 6  /* violet-pumped LED, about 2700 K */
} oxt_illuminant;

/** Eye that looks at it. */
typedef enum oxt_observer {
    OXT_OBSERVER_1931_2_DEGREE = 0, /* small fields */
    OXT_OBSERVER_1964_10_DEGREE = 1 /* large fields */
} oxt_observer;

OXT_BEGIN_DECLS

/**
 * XYZ of the white of a light, summed from 380 to 780 nm every 5 nm.
 *
 * Given:
 *   illuminant   one of oxt_illuminant
 *   observer     one of oxt_observer
 * Returned:
 *   white_xyz    3 numbers, Y = 100
 * Status:
 *   OXT_EARG
 * Source:
 *   CIE 15:2018; observers ISO/CIE 11664-1
 */
OXT_API oxt_status oxt_light_white(oxt_illuminant illuminant, oxt_observer observer,
                                   double white_xyz[3], oxt_error *error);

/**
 * Adapt a colour from one white to another (CAT16, complete adaptation): the colour that looks the same there.
 *
 * Given:
 *   xyz                3 numbers, -1e6 to 1e6
 *   from_xyz, to_xyz   whites, 3 numbers each, > 0, up to 1e6
 * Returned:
 *   adapted_xyz        3 numbers
 * Status:
 *   OXT_EDOMAIN
 * Source:
 *   C. Li and others, Color Res. Appl. 42 (2017) 703-718
 */
OXT_API oxt_status oxt_light_adapt(const double xyz[3], const double from_xyz[3],
                                   const double to_xyz[3], double adapted_xyz[3], oxt_error *error);

OXT_END_DECLS

#endif
