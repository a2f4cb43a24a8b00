/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Thin films by another way than the library's: products of characteristic matrices, and the fields
 * inside the films. Source: M. Born and E. Wolf, Principles of Optics, section 1.6. */
#ifndef OXTINT_TEST_OPTICS_H
#define OXTINT_TEST_OPTICS_H

#include <complex.h>
#include <stdbool.h>
#include <stddef.h>

#include "oxtint.h"

#define MOST_SHEETS 8

/* Films on a substrate, the outermost first. */
typedef struct {
    size_t count;
    double complex index[MOST_SHEETS]; /* n + ik */
    double thickness_nm[MOST_SHEETS];
    double complex substrate;
    double ambient; /* real index above the films */
} sheets;

/* How the light falls in. `across` is the ambient index times the sine of the angle. */
typedef struct {
    double across;
    bool in_plane; /* p, else s */
    double wavelength_nm;
} light_ray;

/* Shares of the light. `absorbed` is summed over the films from the fields inside them. */
typedef struct {
    double reflected, transmitted, absorbed;
} shares_of_light;

shares_of_light by_matrices(const sheets *stack, const light_ray *ray);

/* Complete adaptation from one white to another: C. Li and others, Color Res. Appl. 42 (2017) 703. */
void adapt_by_cones(const double xyz[3], const double from[3], const double to[3],
                    double adapted[3]);

/* Lab in daylight of a film of magnetite on iron in one of the lights, seen straight on: characteristic
 * matrices over the published tables of tests/data, the sums and the cube root of CIE 15. */
void daylight_lab_by_matrices(oxt_illuminant light, double thickness_nm, double lab[3]);

/* The same stack by the library's recursion. */
double by_recursion(const sheets *stack, const light_ray *ray);

/* A material of one index at every wavelength. */
oxt_material *flat_material(double n, double k);
oxt_material *published_material(const char *name);
double complex index_of(const oxt_material *material, double wavelength_nm);

oxt_film *film_with(const oxt_film_options *options);
oxt_film *film_of_grade(oxt_finish grade, const oxt_film_options *options);
double reflectance_of(const oxt_film *film, double thickness_nm, double wavelength_nm);

/* Random numbers from 0 to 1 that are the same in every run. */
double chance(void);

#endif
