/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colours that are known to be valid. */
#ifndef OXTINT_LIB_COLOUR_H
#define OXTINT_LIB_COLOUR_H

#include "oxtint/colour.h"
#include "base/internal.h"

double oxt_i_delta_e2000(const double lab1[3], const double lab2[3]);
/* With the factors k_L and k_C. */
double oxt_i_delta_e2000_by(const double lab1[3], const double lab2[3], double lightness_factor,
                            double chroma_factor);

oxt_status oxt_i_check_lab(const double lab[3], oxt_error *error);

#endif
