/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Interpolation that takes no memory: GSL allocates its own. */
#ifndef OXTINT_SPLINE_H
#define OXTINT_SPLINE_H

#include <stddef.h>

/* Prepare a natural cubic spline through `count` (at least 2) values at equal steps: `bend` receives its
 * second derivatives, times the square of the step and over 6. */
void oxt_i_spline_prepare(const double *y, size_t count, double *bend);

/* The spline at a place counted in steps, 0 to count - 1; beyond them the value at the end. */
double oxt_i_spline_at(const double *y, const double *bend, size_t count, double place);

/* Steffen's interpolation, which never overshoots, of at least two rows of rising x; x is within them.
 * Source: M. Steffen, Astron. Astrophys. 239 (1990) 443, with the simplest ends of its section 2.2. */
double oxt_i_steffen_at(const double *x, const double *y, size_t count, double at);

#endif
