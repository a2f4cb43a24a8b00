/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OXTINT_RANDOM_H
#define OXTINT_RANDOM_H

#include <gsl/gsl_rng.h>

/* A generator of Matsumoto and Nishimura, in one block to be freed with free(); NULL when memory ran out.
 * GSL's own way to make one ends the program then. */
gsl_rng *oxt_i_random_new(void);

#endif
