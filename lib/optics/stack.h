/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reflectance of a stack of absorbing films on an absorbing substrate, at any angle. */
#ifndef OXTINT_STACK_H
#define OXTINT_STACK_H

#include <complex.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/internal.h"

/* Most wavelengths of a stack, and of a sum over them: OXT_WAVELENGTH_COUNT and what fills the last vector. */
#define OXT_I_STACK_WIDTH 88

/* Layers beyond which the size of a stack would overflow. */
#define OXT_I_STACK_MOST (SIZE_MAX / (64 * OXT_I_STACK_WIDTH))

/* What of a stack does not depend on its thickness, for one angle and polarisation: in rows of
 * `width` wavelengths (a multiple of 8, the last ones 0), for each layer, the outermost first, the amplitude of its upper face (re, im)
 * and what each nanometre adds there and back to the phase (decay, in powers of 2; turn, in half turns); at the end
 * the amplitude of the substrate (re, im). */
typedef struct {
    size_t count, width;
    double rows[];
} oxt_i_stack;

/* Direction and polarisation: `across` is the invariant of refraction (index times the sine of the
 * angle), `ambient` the real index above the stack. */
typedef struct {
    double ambient, across;
    bool in_plane; /* p, else s */
} oxt_i_ray;

/* An empty stack of at most OXT_I_STACK_MOST layers and OXT_I_STACK_WIDTH wavelengths, to be freed. */
oxt_status oxt_i_stack_new(oxt_i_stack **stack, size_t count, size_t wavelengths, oxt_error *error);

/* Put in the index n + ik, k >= 0, of a layer at a wavelength; layer `count` is the substrate. */
void oxt_i_stack_put(oxt_i_stack *stack, size_t layer, size_t wavelength, double complex index);

/* Make amplitudes and phases of the indices at so many wavelengths. */
void oxt_i_stack_prepare(oxt_i_stack *stack, const oxt_i_ray *ray, size_t wavelengths,
                         const double *wavelength_nm);

/* The rows of oxt_i_plain_films, of a stack of one layer that is prepared, by the thickness of the whole, with the
 * coat and the weight of oxt_i_walk_add. */
void oxt_i_stack_flatten(const oxt_i_stack *stack, double share, double coat, double weight,
                         double *rows);

/* One run of evenly spaced thicknesses: what is added, for one after the other, by oxt_i_walk_add. */
typedef struct {
    const oxt_i_stack *stack;
    const double *shares; /* of the thickness, one for each layer */
    double first_nm, step_nm;
    size_t done;     /* thicknesses added so far */
    bool multiplies; /* one layer alone: a step is a factor of the amplitudes at its foot */
    double foot_re[OXT_I_STACK_WIDTH], foot_im[OXT_I_STACK_WIDTH];
    double step_re[OXT_I_STACK_WIDTH], step_im[OXT_I_STACK_WIDTH];
} oxt_i_walk;

/* Start a run at a thickness; step 0 for one thickness alone. */
void oxt_i_walk_start(oxt_i_walk *walk, const oxt_i_stack *stack, const double *shares,
                      double first_nm, double step_nm);

/* Add the reflectance at each of the stack's `width` wavelengths, times a weight, and go on by a step. `coat`: reflectance of the
 * outer face of a thick coat on the stack; 0 for no coat. */
void oxt_i_walk_add(oxt_i_walk *walk, double coat, double weight, double *reflectance);

/* Reflectance of the bare face between two transparent media. */
double oxt_i_face_reflectance(double ambient, double index, double across, bool in_plane);

#endif
