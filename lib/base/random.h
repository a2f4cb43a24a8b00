/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OXTINT_RANDOM_H
#define OXTINT_RANDOM_H

#include <gsl/gsl_rng.h>
#include <stdint.h>

/* A generator of Matsumoto and Nishimura, in one block to be freed with free(); NULL when memory ran out.
 * GSL's own way to make one ends the program then. */
gsl_rng *oxt_i_random_new(void);
/* Seed four of them side by side, for each word of a state waits for the one before; so many numbers of each are made ready. */
enum { OXT_I_STREAMS = 4 };
void oxt_i_random_seed(gsl_rng *const generators[OXT_I_STREAMS],
                       const uint32_t seeds[OXT_I_STREAMS], size_t first);
/* The numbers of gsl_ran_ugaussian, in its order, up to a square root and a logarithm that oxt_i_finish_normals takes of
 * many at once: points within a circle (Box and Muller, by the polar method), their height and the square of their distance. */
void oxt_i_random_discs(gsl_rng *random, size_t n, double *heights, double *squares);

#endif
