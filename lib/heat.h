/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of the heat room: for its tests, and for the dip. */
#ifndef OXTINT_LIB_HEAT_H
#define OXTINT_LIB_HEAT_H

#include "internal.h"

/* The n-th root (from 1) of the characteristic equation of a shape at a Biot number of its half
 * thickness or radius. */
oxt_status oxt_i_heat_root(oxt_shape shape, double biot, size_t n, double *root, oxt_error *error);

#endif
