/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules of quadrature that take no memory: GSL allocates its own. */
#ifndef OXTINT_QUADRATURE_H
#define OXTINT_QUADRATURE_H

#include "base/internal.h"

/* A rule of Gauss and Legendre on -1 to 1: its positive points and their weights, the innermost first. */
typedef struct {
    size_t count; /* even */
    const double *place, *weight;
} oxt_i_gauss;

extern const oxt_i_gauss oxt_i_gauss_4, oxt_i_gauss_8, oxt_i_gauss_12, oxt_i_gauss_16, oxt_i_gauss_24,
    oxt_i_gauss_40;

/* Point i of the rule, moved to the interval, and its weight there. */
void oxt_i_gauss_point(const oxt_i_gauss *rule, double from, double to, size_t i, double *at,
                       double *weight);

#endif
