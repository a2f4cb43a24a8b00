/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file tint.h: colour -> trade name, and a wanted colour -> interval of thickness.
 *
 * The bands follow from the computed colour of the film: the difference from bare steel grows (straws), the hue
 * turns through red (brown, purple) to blue, the blue pales to silver, and a second order follows. Each band
 * begins where the one before ends.
 */
#ifndef OXTINT_TINT_H
#define OXTINT_TINT_H

#include "oxtint/film.h"

/* Number of bands, from bright to second-order green. */
#define OXT_TINT_COUNT 15

/** One band of trade colour on one film. */
typedef struct oxt_tint {
    size_t struct_size;
    int index;        /* 0 to OXT_TINT_COUNT - 1, in order of thickness */
    int order;        /* order of interference, 1 or 2 */
    int other_index;  /* band of the other order with the same name of colour, -1 when none */
    char name[16];    /* trade name, such as "dark straw" */
    char label[32];   /* name with its order where needed, such as "second-order blue"; the shop's
                         word where the film has one (words.h) */
    double low_nm;    /* nm   where the band begins */
    double high_nm;   /* nm   where it ends */
    double centre_nm; /* nm   geometric mean of the two; 0, bare steel, for "bright" */
} oxt_tint;

#define OXT_TINT_INIT { sizeof(oxt_tint), 0, 0, 0, "", "", 0.0, 0.0, 0.0 }

/** A wanted colour as thickness: the aim, and the bounds between which the colour shows. */
typedef struct oxt_target {
    size_t struct_size;
    double aim_nm;         /* nm   thickness to aim for */
    double low_nm;         /* nm   thinnest film that still shows the colour */
    double high_nm;        /* nm   thickest film that still shows the colour */
    double other_nm;       /* nm   the same colour in another order, NaN when there is none */
    int order;             /* order of interference of aim_nm, 0 beyond the second */
    char text[48];         /* the target in words */
    char description[128]; /* film it was computed with, "" for a bare thickness */
} oxt_target;

#define OXT_TARGET_INIT { sizeof(oxt_target), 0.0, 0.0, 0.0, 0.0, 0, "", "" }

OXT_BEGIN_DECLS

/**
 * A band by its number.
 *
 * Given:
 *   film    the film
 *   index   0 (bright) to OXT_TINT_COUNT - 1 (second-order green)
 * Returned:
 *   tint    the band
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_tint_band(const oxt_film *film, int index, oxt_tint *tint, oxt_error *error);

/**
 * The band that a thickness lies in: colour -> name.
 *
 * Given:
 *   film           the film
 *   thickness_nm   nm   from 0 to the end of the second order
 * Returned:
 *   tint           the band
 * Status:
 *   OXT_EDOMAIN negative, not finite, or beyond the second order
 */
OXT_API oxt_status oxt_tint_at(const oxt_film *film, double thickness_nm, oxt_tint *tint,
                               oxt_error *error);

/**
 * The band that a trade name means.
 *
 * Given:
 *   film   the film
 *   text   name, any case, with or without its order: "blue", "second order blue", "2nd blue",
 *          "blue (second order)"; without an order the first is taken; "yellow" of the first
 *          order is straw. Blanks and hyphens do not count ("darkblue"), and other words of the
 *          trade stand for a band, such as "violet" for purple (docs/reference/tint.md lists them)
 * Returned:
 *   tint   the band; where its other_index is 0 or more the name is ambiguous
 * Status:
 *   OXT_EPARSE no such name: the message asks for the nearest, or lists all
 */
OXT_API oxt_status oxt_tint_find(const oxt_film *film, const char *text, oxt_tint *tint,
                                 oxt_error *error);

/**
 * Target from text, as typed at the bench.
 *
 * Given:
 *   film     the film
 *   text     a trade name as in oxt_tint_find (aim at the band's centre, bounds at its ends; "bright" is no
 *            target, bare steel needs no dip); a thickness such as "57 nm" (bounds 5 % to either side); or an
 *            sRGB colour such as "#2b3a67" (tolerance CIEDE2000 of 10, first order first)
 * Returned:
 *   target   the target
 * Status:
 *   OXT_EPARSE no such name or text, OXT_EDOMAIN bright, or a thickness out of range, OXT_EUNREACHABLE the band is
 *   empty on this film, or no film has the colour
 */
OXT_API oxt_status oxt_tint_target(const oxt_film *film, const char *text, oxt_target *target,
                                   oxt_error *error);

/**
 * Target from a thickness.
 *
 * Given:
 *   thickness_nm   nm   aim, > 0, up to OXT_THICKNESS_HIGH_NM
 *   low_nm         nm   lower bound, 0 to aim
 *   high_nm        nm   upper bound, aim to OXT_THICKNESS_HIGH_NM
 * Returned:
 *   target         the target; no optics enter it, so its order is 0
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_tint_target_of_thickness(double thickness_nm, double low_nm, double high_nm,
                                                oxt_target *target, oxt_error *error);

/**
 * Target from a colour: the thickness whose colour is nearest, and the range around it within a tolerance.
 *
 * Given:
 *   film        the film
 *   lab         wanted L*, a*, b*
 *   tolerance   largest CIEDE2000 that counts as the colour, > 0
 *   order       1 or 2; 0 takes the nearest of both
 * Returned:
 *   target      aim and bounds; other_nm is another thickness within the tolerance, NaN for none
 * Status:
 *   OXT_EDOMAIN, OXT_EARG order, OXT_EUNREACHABLE no film of that order is so near (the message has the
 *   nearest)
 */
OXT_API oxt_status oxt_tint_target_of_lab(const oxt_film *film, const double lab[3], double tolerance,
                                       int order, oxt_target *target, oxt_error *error);

OXT_END_DECLS

#endif
