/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file film.h: thickness -> reflectance -> colour.
 *
 * Light falls straight from air onto a magnetite film on iron. Reflectance comes from the complex
 * indices of film and iron; colour is what the CIE 1931 2 degree observer sees under D65, summed
 * from 380 to 780 nm in steps of 5 nm.
 *
 * Only x^2/t enters a dip time, so an error of the optical constants cancels as long as trials and
 * target are read with the same film.
 *
 * Sources: magnetite: M. R. Querry, report CRDC-CR-85034 (1985); iron: P. B. Johnson and
 * R. W. Christy, Phys. Rev. B 9 (1974) 5056; observer: ISO/CIE 11664-1; D65: CIE 15:2018;
 * thin films: M. Born and E. Wolf, Principles of Optics, chapter 1.6.
 */
#ifndef OXTINT_FILM_H
#define OXTINT_FILM_H

#include "oxtint/error.h"

/* The wavelengths at which colours are summed, nm, and how many there are. */
#define OXT_WAVELENGTH_LOW_NM 380.0
#define OXT_WAVELENGTH_HIGH_NM 780.0
#define OXT_WAVELENGTH_STEP_NM 5.0
#define OXT_WAVELENGTH_COUNT 81

/* Thickest film that is computed, nm: beyond it the steps of 5 nm are too coarse. */
#define OXT_THICKNESS_HIGH_NM 1000.0

/** A film stack seen in a light: opaque, immutable, shared freely between threads. */
typedef struct oxt_film oxt_film;

/** What may be chosen about a film. */
typedef struct oxt_film_options {
    size_t struct_size;      /* sizeof(oxt_film_options), set by OXT_FILM_OPTIONS_INIT */
    double absorption_scale; /* factor on the tabulated absorption of the film, 0 to 5; 1 */
} oxt_film_options;

#define OXT_FILM_OPTIONS_INIT { sizeof(oxt_film_options), 1.0 }

OXT_BEGIN_DECLS

/**
 * Set the options to OXT_FILM_OPTIONS_INIT.
 *
 * Given:
 *   options   the struct to start; NULL is ignored
 */
OXT_API void oxt_film_options_init(oxt_film_options *options);

/**
 * Prepare a film: tables, colours along the path of thickness, bands of the trade names.
 *
 * Given:
 *   options   NULL for air | magnetite | iron as tabulated
 * Returned:
 *   film      free it with oxt_film_free
 * Status:
 *   OXT_EDOMAIN, OXT_ENOMEM
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
 * XYZ of the white that goes with the film's light (a perfect mirror).
 *
 * Given:
 *   film        the film
 * Returned:
 *   white_xyz   3 numbers, Y = 100
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_film_white(const oxt_film *film, double white_xyz[3], oxt_error *error);

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
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_film_reflectance(const oxt_film *film, double thickness_nm, size_t n,
                                        const double *wavelength_nm, double *reflectance,
                                        oxt_error *error);

/**
 * XYZ of a film.
 *
 * Given:
 *   film           the film
 *   thickness_nm   nm   0 to OXT_THICKNESS_HIGH_NM
 * Returned:
 *   xyz            3 numbers, white Y = 100
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_film_xyz(const oxt_film *film, double thickness_nm, double xyz[3],
                                oxt_error *error);

/**
 * CIE L*a*b* of a film.
 *
 * Given:
 *   film           the film
 *   thickness_nm   nm   0 to OXT_THICKNESS_HIGH_NM
 * Returned:
 *   lab            L*, a*, b*
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_film_lab(const oxt_film *film, double thickness_nm, double lab[3],
                                oxt_error *error);

/**
 * sRGB of a film, clipped where a screen cannot show it.
 *
 * Given:
 *   film           the film
 *   thickness_nm   nm   0 to OXT_THICKNESS_HIGH_NM
 * Returned:
 *   srgb           3 numbers, 0 to 1
 *   out_of_gamut   1 when a component was clipped, else 0; NULL allowed
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_film_srgb(const oxt_film *film, double thickness_nm, double srgb[3],
                                 int *out_of_gamut, oxt_error *error);

/**
 * oxt_film_lab for n thicknesses.
 *
 * Given:
 *   film                             the film
 *   n                                number of elements
 *   thickness_nm, thickness_stride   nm   array and its stride in bytes, 0 = one value for all
 *   lab_stride                       bytes from one L*, a*, b* to the next
 * Returned:
 *   lab                              n times three doubles
 *   failed                           number of elements that are NaN; NULL allowed
 * Status:
 *   of the first element that failed; all others are computed
 */
OXT_API oxt_status oxt_film_lab_n(const oxt_film *film, size_t n, const double *thickness_nm,
                                  ptrdiff_t thickness_stride, double *lab, ptrdiff_t lab_stride,
                                  size_t *failed, oxt_error *error);

/**
 * oxt_film_srgb for n thicknesses.
 *
 * Given:
 *   film                             the film
 *   n                                number of elements
 *   thickness_nm, thickness_stride   nm   array and its stride in bytes, 0 = one value for all
 *   srgb_stride                      bytes from one colour to the next
 * Returned:
 *   srgb                             n times three doubles, 0 to 1
 *   out_of_gamut                     n flags, one after another; NULL allowed
 *   failed                           number of elements that are NaN; NULL allowed
 * Status:
 *   of the first element that failed; all others are computed
 */
OXT_API oxt_status oxt_film_srgb_n(const oxt_film *film, size_t n, const double *thickness_nm,
                                   ptrdiff_t thickness_stride, double *srgb, ptrdiff_t srgb_stride,
                                   int *out_of_gamut, size_t *failed, oxt_error *error);

OXT_END_DECLS

#endif
