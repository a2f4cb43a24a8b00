/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reflectance of a stack of absorbing films on an absorbing substrate, at any angle. */
#ifndef OXTINT_STACK_H
#define OXTINT_STACK_H

#include <complex.h>
#include <stdbool.h>
#include <stddef.h>

#define OXT_I_STACK_MOST 32

/* What of a stack does not depend on its thickness, at one wavelength, angle and polarisation: the
 * amplitude of each interface and the phase that each nanometre of each film adds there and back. */
typedef struct {
    size_t count;
    double complex interface[OXT_I_STACK_MOST + 1]; /* the outermost first */
    double complex phase_per_nm[OXT_I_STACK_MOST];
} oxt_i_stack;

/* Prepare a stack. `ambient` is the real index above it, `across` the invariant of refraction
 * (ambient index times the sine of the angle). Indices are n + ik with k >= 0. */
void oxt_i_stack_prepare(oxt_i_stack *stack, double ambient, size_t count,
                         const double complex *index, double complex substrate, double across,
                         bool in_plane, double wavelength_nm);

/* Reflectance with films of these thicknesses. */
double oxt_i_stack_reflectance(const oxt_i_stack *stack, const double *thickness_nm);

/* Reflectance of the bare face between two transparent media. */
double oxt_i_face_reflectance(double ambient, double index, double across, bool in_plane);

#endif
