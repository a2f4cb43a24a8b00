/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weights of a light and an eye, for the film. */
#ifndef OXTINT_LIB_LIGHT_H
#define OXTINT_LIB_LIGHT_H

#include "oxtint/film.h"
#include "optics/stack.h"

oxt_status oxt_i_check_light(oxt_illuminant illuminant, oxt_observer observer, oxt_error *error);

/* Observer times light at the 81 wavelengths, scaled to Y = 100 for the white, and their sum. */
void oxt_i_light_weights(oxt_illuminant illuminant, oxt_observer observer,
                         double weight[3][OXT_I_STACK_WIDTH], double white_xyz[3]);

#endif
