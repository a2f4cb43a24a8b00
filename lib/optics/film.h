/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a film: shared by film.c, film_new.c and film_match.c. */
#ifndef OXTINT_LIB_FILM_H
#define OXTINT_LIB_FILM_H

#include "oxtint/tint.h"
#include "base/internal.h"
#include "base/vector.h"
#include "optics/material.h"
#include "optics/stack.h"

#define OXT_I_MOST_SPREADS 320                  /* points in thickness */
#define OXT_I_MOST_TILTS 5                      /* angles of the light on tilted facets */
#define OXT_I_MOST_BEAMS (2 * OXT_I_MOST_TILTS) /* tilts and polarisations */

/* Points of the prepared path: every OXT_I_PATH_STEP_NM from 0 to OXT_PATH_HIGH_NM. */
#define OXT_I_SPLINE_COUNT 801

/* Light of one angle and polarisation. */
typedef struct {
    double weight;
    double across; /* sine of the angle in air */
    bool in_plane; /* p, else s */
    double face;   /* reflectance of the coat's outer face */
} oxt_i_beam;

struct oxt_film {
    double absorption_scale;
    size_t layer_count;
    oxt_material **layers;
    double *shares;
    oxt_material *substrate;
    bool coated;
    double ambient; /* index of what lies on the stack: air or the coat */

    oxt_i_beam beams[OXT_I_MOST_BEAMS];
    size_t beam_count;
    /* Weights of the factors spread_first, spread_first + spread_step ... of the thickness. */
    double spread[OXT_I_MOST_SPREADS];
    double spread_first, spread_step;
    size_t spread_count;
    oxt_i_stack *stacks[OXT_I_MOST_BEAMS]; /* at the wavelengths of the sum, one for each beam */
    /* Of a film of one layer, not spread, for each beam; else NULL. */
    double (*plain)[OXT_I_PLAIN_ROWS][OXT_I_STACK_WIDTH];

    bool is_daylight; /* D65 and the 2 degree observer: no adaptation */
    double weight[3][OXT_I_STACK_WIDTH];
    double white_xyz[3], daylight_xyz[3];

    double path_xyz[3][OXT_I_SPLINE_COUNT];
    double path_lab[OXT_I_SPLINE_COUNT][3];
    double path_bend[3][OXT_I_SPLINE_COUNT]; /* of its splines */
    double edges[OXT_TINT_COUNT + 1];
    char description[128];
    oxt_words *words; /* NULL: none; they are no part of what the film looks like */
};

/* Cosines of the angles at which light falls on the facets of a finish, and the share of the light at each. */
typedef struct {
    size_t count;
    double cosine[OXT_I_MOST_TILTS], weight[OXT_I_MOST_TILTS];
} oxt_i_tilts;

/* Of what is s and what is p light to a facet, where both together are 1: Gauss quadrature of the facets' own
 * distribution. Source: W. Gautschi, Orthogonal Polynomials (2004), sections 1.4 and 2.2. */
oxt_status oxt_i_film_tilts(double angle_deg, double tilt_deg, oxt_polarisation polarisation,
                            oxt_i_tilts tilts[2], oxt_error *error);
/* Prepare the stack of one beam at n wavelengths. */
void oxt_i_beam_prepare(const oxt_film *film, const oxt_i_beam *beam, size_t n,
                        const double *wavelength_nm, oxt_i_stack *stack);
/* X, Y, Z (rows of `count`) of even films, not averaged over the spread: `count` thicknesses from 0 in steps. */
void oxt_i_film_even_xyz(const oxt_film *film, double step_nm, size_t count, double *xyz);

/* Path of colours at equal steps of thickness, from 0 to past the second order; the film's splines
 * reach farther. */
#define OXT_I_PATH_STEP_NM 0.5
#define OXT_I_PATH_COUNT 561

/* Lab from the film's splines, for a thickness known to be in range: in the film's own light, and
 * adapted to daylight. */
void oxt_i_path_lab(const oxt_film *film, double thickness_nm, double lab[3]);
void oxt_i_path_daylight_lab(const oxt_film *film, double thickness_nm, double lab[3]);
/* Up to OXT_I_COLOUR_BLOCK of them. */
void oxt_i_path_daylight_labs(const oxt_film *film, size_t n, const double *thickness_nm,
                              oxt_i_colours *lab);
/* Lab in the film's light of a colour written as "#rrggbb", which is meant in daylight. */
oxt_status oxt_i_film_lab_of_srgb(const oxt_film *film, const char *text, double lab[3],
                                  oxt_error *error);

#endif
