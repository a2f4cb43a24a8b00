/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reflectance of a stack of absorbing films on an absorbing substrate. */
#ifndef OXTINT_STACK_H
#define OXTINT_STACK_H

#include <complex.h>
#include <stddef.h>

/* Light of one wavelength falls straight from air onto `count` films, the outermost first, on a
 * substrate. Indices are n + ik with k >= 0. */
double oxt_i_stack_reflectance(size_t count, const double complex *index,
                               const double *thickness_nm, double complex substrate,
                               double wavelength_nm);

#endif
