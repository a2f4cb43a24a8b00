/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a way through a film does to the amplitude of light. */
#ifndef OXTINT_PHASE_H
#define OXTINT_PHASE_H

#include <stddef.h>

/* exp(way * (decay + i turn)) of n pairs. The decay is not above 0; the turn is true to rounding up to
 * 1e6 radians. */
void oxt_i_phases(size_t n, const double *restrict decay, const double *restrict turn, double way,
                  double *restrict re, double *restrict im);

#endif
