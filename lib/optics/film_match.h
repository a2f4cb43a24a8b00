/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a colour back to the thickness of a film. */
#ifndef OXTINT_LIB_FILM_MATCH_H
#define OXTINT_LIB_FILM_MATCH_H

#include "oxtint/film.h"
#include "base/internal.h"

/* A colour to look for, and how it is compared. */
typedef struct {
    const double *lab;
    double lightness_factor, chroma_factor;
} oxt_i_wanted;

/* A stretch of thickness whose colour is near a given one. */
typedef struct {
    double aim_nm, low_nm, high_nm; /* nearest point, and the stretch within the tolerance */
    double distance;                /* CIEDE2000 at the nearest point */
    int order;                      /* 1, 2, or 0 past the second order */
} oxt_i_match;

/* All stretches within `tolerance` of the nearest point of each dip of the distance along the path,
 * nearest first, and how many (at most `capacity`). A stretch counts only when its nearest point
 * is within `reach` of the colour. */
oxt_status oxt_i_match_colour(const oxt_film *film, const oxt_i_wanted *wanted, double reach,
                              double tolerance, oxt_i_match *matches, size_t capacity,
                              size_t *count, oxt_error *error);
/* The stretch around a thickness within which the distance stays below a limit. */
oxt_status oxt_i_match_stretch(const oxt_film *film, const oxt_i_wanted *wanted, double aim_nm,
                               double limit, double *low_nm, double *high_nm, oxt_error *error);
int oxt_i_order_of(const oxt_film *film, double thickness_nm);

#endif
