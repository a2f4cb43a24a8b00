/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "random.h"

#include <stdlib.h>

gsl_rng *oxt_i_random_new(void)
{
    gsl_rng *made = malloc(sizeof *made + gsl_rng_mt19937->size);
    if (!made)
        return NULL;
    made->type = gsl_rng_mt19937;
    made->state = made + 1;
    gsl_rng_set(made, 0);
    return made;
}
