/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The generator MT19937 of M. Matsumoto and T. Nishimura, ACM Trans. Model. Comput. Simul. 8 (1998) 3 (from memory),
 * with the numbers of GSL's. Its state is made and turned over word by word as numbers are asked for: whoever seeds it for a
 * dozen of them does not pay for 624. */
#include "base/random.h"

#include <stdint.h>
#include <stdlib.h>

enum { WORDS = 624, AHEAD = 397 };

typedef struct {
    uint32_t words[WORDS];
    size_t made, next;
} state;

static void seed(void *into, unsigned long int number)
{
    state *made = into;
    made->words[0] = number ? (uint32_t)number : 4357;
    made->made = 1;
    made->next = 0;
}

static void make_up_to(state *of, size_t last)
{
    uint32_t word = of->words[of->made - 1];
    for (; of->made <= last; of->made++) {
        word = UINT32_C(1812433253) * (word ^ (word >> 30)) + (uint32_t)of->made;
        of->words[of->made] = word;
    }
}

static unsigned long int next(void *from)
{
    state *of = from;
    size_t i = of->next;
    if (of->made < WORDS)
        make_up_to(of, i + AHEAD < WORDS ? i + AHEAD : WORDS - 1);
    uint32_t *words = of->words;
    uint32_t both = (words[i] & UINT32_C(0x80000000)) |
                    (words[i + 1 < WORDS ? i + 1 : 0] & UINT32_C(0x7fffffff));
    uint32_t word = words[i + AHEAD < WORDS ? i + AHEAD : i + AHEAD - WORDS] ^ (both >> 1) ^
                    (both & 1 ? UINT32_C(0x9908b0df) : 0);
    words[i] = word;
    of->next = i + 1 < WORDS ? i + 1 : 0;
    word ^= word >> 11;
    word ^= (word << 7) & UINT32_C(0x9d2c5680);
    word ^= (word << 15) & UINT32_C(0xefc60000);
    return word ^ (word >> 18);
}

static double next_double(void *from)
{
    return (double)next(from) / 4294967296.0;
}

static const gsl_rng_type generator = { "mt19937", UINT32_MAX, 0,          sizeof(state),
                                        seed,      next,       next_double };

gsl_rng *oxt_i_random_new(void)
{
    gsl_rng *made = malloc(sizeof *made + sizeof(state));
    if (!made)
        return NULL;
    made->type = &generator;
    made->state = made + 1;
    gsl_rng_set(made, 0);
    return made;
}
