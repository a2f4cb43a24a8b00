/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file film.h: thickness -> reflectance -> colour.
 *
 * By default light falls straight from air onto a magnetite film on iron, and the CIE 1931 2 degree
 * observer sees it under D65. Stack, angle, finish, oil on top, light and eye can be chosen.
 * Reflectance comes from the complex indices; colour is summed from 380 to 780 nm in steps of 5 nm.
 *
 * A dip time depends on x^2/t alone, so an error of the optical constants cancels as long as trials and target
 * are read with the same film.
 *
 * Sources: magnetite: M. R. Querry, report CRDC-CR-85034 (1985); iron: P. B. Johnson and
 * R. W. Christy, Phys. Rev. B 9 (1974) 5056; observer: ISO/CIE 11664-1; D65: CIE 15:2018;
 * thin films: M. Born and E. Wolf, Principles of Optics, chapter 1.6.
 */
#ifndef OXTINT_FILM_H
#define OXTINT_FILM_H

#include "oxtint/light.h"
#include "oxtint/material.h"
#include "oxtint/words.h"

/* The wavelengths at which colours are summed, nm, and how many there are. */
#define OXT_WAVELENGTH_LOW_NM 380.0
#define OXT_WAVELENGTH_HIGH_NM 780.0
#define OXT_WAVELENGTH_STEP_NM 5.0
#define OXT_WAVELENGTH_COUNT 81

/* Thickest film that is computed, nm: beyond it the steps of 5 nm are too coarse. */
#define OXT_THICKNESS_HIGH_NM 1000.0

/* Thickest film of the prepared path of colours, nm. */
#define OXT_PATH_HIGH_NM 400.0

/* Refractive index of oil, wax or clear lacquer on top; common practice, no source. */
#define OXT_OIL_INDEX 1.47

/** Polarisation of the light. */
typedef enum oxt_polarisation {
    OXT_POLARISATION_NONE = 0, /* the mean of the two */
    OXT_POLARISATION_S = 1, /* perpendicular to the plane of incidence */
    OXT_POLARISATION_P = 2  /* parallel to it */
} oxt_polarisation;

/** Finish of the surface; oxt_film_finish has its spreads of thickness and angle. */
typedef enum oxt_finish { OXT_FINISH_MIRROR = 0, OXT_FINISH_SATIN = 1, OXT_FINISH_MATTE = 2 } oxt_finish;

/** A film stack seen in a light: opaque, immutable, shared freely between threads. */
typedef struct oxt_film oxt_film;

/** Options of a film: after the colon the default, which all but absorption_scale have when they are 0 or NULL. */
typedef struct oxt_film_options {
    size_t struct_size;      /* sizeof(oxt_film_options), set by OXT_FILM_OPTIONS_INIT */
    double absorption_scale; /* factor on the absorption k of the films, 0 to 5: 1 */
    size_t layer_count;      /* number of films: one, of magnetite */
    const oxt_material *const *layers; /* the films, the outermost first: NULL */
    const double *shares;    /* share of each in the thickness, > 0, together 1: equal shares */
    const oxt_material *substrate; /* what they grow on: iron */
    double angle_deg;        /* degrees   angle of incidence, 0 to 85: 0 */
    oxt_polarisation polarisation; /* of the light: OXT_POLARISATION_NONE */
    double thickness_spread; /* standard deviation of ln thickness over the surface, 0 to 0.5: 0 */
    double angle_spread_deg; /* degrees   tilt of its facets, root mean square in both directions together [1 of
                                oxt_film_new], 0 to 40: 0 */
    double coat_index;       /* index of oil, wax or lacquer on top, 1 to 2.5: none */
    oxt_illuminant illuminant; /* light: OXT_ILLUMINANT_D65 */
    oxt_observer observer;   /* eye: OXT_OBSERVER_1931_2_DEGREE */
    const oxt_words *words;  /* a shop's own words for colours, read and written; copied: none */
} oxt_film_options;

#define OXT_FILM_OPTIONS_INIT                                                                     \
    { sizeof(oxt_film_options), 1.0, 0, NULL, NULL, NULL, 0.0, OXT_POLARISATION_NONE, 0.0, 0.0, 0.0,     \
      OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, NULL }

/** One film whose colour is near a given one. */
typedef struct oxt_match {
    size_t struct_size;
    double thickness_nm;   /* nm   where the colour is nearest */
    double low_nm;         /* nm   thinnest film whose colour is within the tolerance of the nearest one's */
    double high_nm;        /* nm   thickest such film */
    double uncertainty_nm; /* nm   half of high_nm - low_nm */
    double difference;     /* CIEDE2000 at thickness_nm */
    int order;             /* order of interference, 1 or 2; 0 beyond the second */
} oxt_match;

#define OXT_MATCH_INIT { sizeof(oxt_match), 0.0, 0.0, 0.0, 0.0, 0.0, 0 }

/** What a search by colour found. */
typedef enum oxt_match_verdict {
    OXT_MATCH_UNIQUE = 0,    /* one film has this colour */
    OXT_MATCH_AMBIGUOUS = 1, /* films of different thickness match it about as well */
    OXT_MATCH_OFF_PATH = 2   /* no film has it */
} oxt_match_verdict;

/** How a measured colour is compared: range; default. */
typedef struct oxt_match_options {
    size_t struct_size;
    double tolerance;        /* CIEDE2000, uncertainty of the measured colour, > 0, up to 100; 3 */
    double reach;            /* CIEDE2000, beyond which it is no colour of this film, > 0, up to 1000; 15 */
    double lightness_factor; /* k_L of CIEDE2000, 1 to 1e12: large where lightness is uncertain; 1 */
    double chroma_factor;    /* k_C of CIEDE2000, 1 to 1e12; with k_L at 1e9, hue alone counts; 1 */
} oxt_match_options;

#define OXT_MATCH_OPTIONS_INIT { sizeof(oxt_match_options), 3.0, 15.0, 1.0, 1.0 }

/** What the three numbers of a film's colour are, and how they are computed (note 1 of oxt_film_colours). */
typedef enum oxt_colour_space {
    OXT_SPACE_XYZ = 0,      /* CIE XYZ, the white of the film's light at Y = 100 */
    OXT_SPACE_LAB = 1,      /* CIE L*a*b* against that white */
    OXT_SPACE_SRGB = 2,     /* sRGB, 0 to 1, adapted to D65 */
    OXT_SPACE_PATH_XYZ = 3, /* the same three from the film's prepared path */
    OXT_SPACE_PATH_LAB = 4,
    OXT_SPACE_PATH_SRGB = 5
} oxt_colour_space;

OXT_BEGIN_DECLS

/**
 * Spreads of thickness and angle for a finish. The values are the project's own assumption: measure yours.
 *
 * Given:
 *   grade              one of oxt_finish
 * Returned:
 *   thickness_spread   0 for a mirror, 0.05 for satin, 0.12 for matte
 *   angle_spread_deg   0, 8 and 20 degrees
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_film_finish(oxt_finish grade, double *thickness_spread,
                                   double *angle_spread_deg, oxt_error *error);

/**
 * Prepare a film: tables, colours along the path of thickness, bands of the trade names.
 *
 * Given:
 *   options   NULL for air | magnetite | iron as tabulated; materials may be freed afterwards
 * Returned:
 *   film      free it with oxt_film_free
 * Status:
 *   OXT_EARG, OXT_EDOMAIN, OXT_ENOMEM
 * Notes:
 *   1. A finish is averaged over a log-normal spread of thickness out to 5 standard deviations, in 20 equal steps
 *      or more, each at most 0.04 of the thickness, and over facets whose slopes are normal in two directions;
 *      the tangent of angle_spread_deg is the root mean square slope. A facet counts by the light that it takes,
 *      none where it faces away; s and p are taken to the facet. Within CIEDE2000 0.05 of a dense sum.
 *   2. A coat adds its own reflection and does not interfere.
 */
OXT_API oxt_status oxt_film_new(oxt_film **film, const oxt_film_options *options, oxt_error *error);

/**
 * Free a film.
 *
 * Given:
 *   film   NULL is ignored
 */
OXT_API void oxt_film_free(oxt_film *film);

/**
 * What the film is, in words; two films with the same description give the same colours.
 *
 * Given:
 *   film                the film
 *   buffer, capacity    where the text goes; at most 127 bytes long
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_ESPACE
 */
OXT_API oxt_status oxt_film_description(const oxt_film *film, char *buffer, size_t capacity,
                                        size_t *needed, oxt_error *error);

/**
 * Reflectance of a film of one thickness at n wavelengths.
 *
 * Given:
 *   film            the film
 *   thickness_nm    nm   0 to OXT_THICKNESS_HIGH_NM
 *   n               number of wavelengths
 *   wavelength_nm   nm   n numbers, 380 to 780
 * Returned:
 *   reflectance     n numbers, 0 to 1
 * Status:
 *   OXT_EDOMAIN, OXT_ENOMEM
 */
OXT_API oxt_status oxt_film_reflectance(const oxt_film *film, double thickness_nm, size_t n,
                                        const double *wavelength_nm, double *reflectance,
                                        oxt_error *error);

/**
 * Colour of a film of one thickness.
 *
 * Given:
 *   film           the film
 *   space          what its three numbers are
 *   thickness_nm   nm   0 to OXT_THICKNESS_HIGH_NM, or to OXT_PATH_HIGH_NM from the path
 * Returned:
 *   colour         3 numbers
 *   out_of_gamut   1 where the chroma of an sRGB colour was reduced (note 2), else 0; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN
 * Notes:
 *   1, 2 as in oxt_film_colours.
 */
OXT_API oxt_status oxt_film_colour(const oxt_film *film, oxt_colour_space space,
                                   double thickness_nm, double colour[3], int *out_of_gamut,
                                   oxt_error *error);

/**
 * Colours of n films.
 *
 * Given:
 *   film                             the film
 *   space                            what the three numbers of each are (note 1)
 *   n                                number of elements
 *   thickness_nm, thickness_stride   nm   0 to OXT_THICKNESS_HIGH_NM, or to OXT_PATH_HIGH_NM from the path, and the
 *                                    stride in bytes, 0 = one value for all
 * Returned:
 *   colours                          n times three numbers, one after another
 *   out_of_gamut                     n flags: 1 where the chroma of an sRGB colour was reduced (note 2); NULL allowed
 *   failed                           number of elements that are NaN; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN of the first element that failed; all others are computed
 * Notes:
 *   1. OXT_SPACE_XYZ, _LAB and _SRGB sum the spectrum of each film. OXT_SPACE_PATH_... interpolate between films
 *      0.5 nm apart that were computed when the film was made: hundreds of times faster, within CIEDE2000 0.02.
 *   2. A colour that a screen cannot show is brought into sRGB by OXT_GAMUT_KEEP_HUE (colour.h).
 */
OXT_API oxt_status oxt_film_colours(const oxt_film *film, oxt_colour_space space, size_t n,
                                    const double *thickness_nm, ptrdiff_t thickness_stride,
                                    double *colours, int *out_of_gamut, size_t *failed,
                                    oxt_error *error);

/**
 * Colour difference between two films of one thickness, for example in daylight and under a lamp, or dry and
 * oiled: CIEDE2000 after both are adapted to D65.
 *
 * Given:
 *   film, other    the two films
 *   thickness_nm   nm   0 to OXT_THICKNESS_HIGH_NM
 * Returned:
 *   difference     0 or more
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_film_difference(const oxt_film *film, const oxt_film *other,
                                       double thickness_nm, double *difference, oxt_error *error);

/**
 * All films that match a measured colour, the nearest first.
 *
 * Given:
 *   film       the film
 *   lab        measured L* 0 to 100, a* and b* -200 to 200, against the white of the film's light
 *   options    NULL for the usual ones
 *   capacity   number of elements of matches
 * Returned:
 *   matches    the nearest ones, each started with OXT_MATCH_INIT by the caller; NULL with capacity 0
 *   count      how many there are in all
 *   verdict    one of oxt_match_verdict
 * Status:
 *   OXT_EDOMAIN, OXT_EARG
 * Notes:
 *   Thicknesses from 0 to 280 nm are searched. Another film counts when its distance from the measured colour
 *   exceeds that of the nearest film by the tolerance at most.
 */
OXT_API oxt_status oxt_film_match(const oxt_film *film, const double lab[3],
                                  const oxt_match_options *options, size_t capacity,
                                  oxt_match *matches, size_t *count, oxt_match_verdict *verdict,
                                  oxt_error *error);

OXT_END_DECLS

#endif
