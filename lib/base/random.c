/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The generator MT19937 of M. Matsumoto and T. Nishimura, ACM Trans. Model. Comput. Simul. 8 (1998) 3 (from memory),
 * with the numbers of GSL's. Its state is made and turned over word by word as numbers are asked for: whoever seeds it for a
 * dozen of them does not pay for 624. */
#include "base/random.h"

#include <stdint.h>
#include <stdlib.h>

enum { WORDS = 624, AHEAD = 397 };

typedef struct {
    uint32_t words[WORDS], tempered[WORDS];
    size_t made, turned, next; /* how many are made and turned over, and that which comes next */
} state;

static void seed(void *into, unsigned long int number)
{
    state *made = into;
    made->words[0] = number ? (uint32_t)number : 4357;
    made->made = 1;
    made->turned = made->next = 0;
}

/* Word k from the one before. */
static inline uint32_t following(uint32_t word, size_t k)
{
    return UINT32_C(1812433253) * (word ^ (word >> 30)) + (uint32_t)k;
}

static void make_up_to(state *of, size_t last)
{
    uint32_t word = of->words[of->made - 1];
    for (; of->made <= last; of->made++)
        of->words[of->made] = word = following(word, of->made);
}

void oxt_i_random_seed(gsl_rng *const generators[OXT_I_STREAMS],
                       const uint32_t seeds[OXT_I_STREAMS], size_t first)
{
    state *of[OXT_I_STREAMS];
    uint32_t words[OXT_I_STREAMS];
    size_t end = first < WORDS - AHEAD ? first + AHEAD : WORDS;
    for (size_t j = 0; j < OXT_I_STREAMS; j++) {
        of[j] = generators[j]->state;
        seed(of[j], seeds[j]);
        words[j] = of[j]->words[0];
        of[j]->made = end;
    }
    for (size_t k = 1; k < end; k++)
        for (size_t j = 0; j < OXT_I_STREAMS; j++)
            of[j]->words[k] = words[j] = following(words[j], k);
}

static uint32_t turned(uint32_t word, uint32_t after, uint32_t ahead)
{
    uint32_t both = (word & UINT32_C(0x80000000)) | (after & UINT32_C(0x7fffffff));
    return ahead ^ (both >> 1) ^ ((both & 1) * UINT32_C(0x9908b0df));
}

static uint32_t tempered(uint32_t word)
{
    word ^= word >> 11;
    word ^= (word << 7) & UINT32_C(0x9d2c5680);
    word ^= (word << 15) & UINT32_C(0xefc60000);
    return word ^ (word >> 18);
}

/* One word at the start, all that are left once every word is made. */
static void turn_over(state *of)
{
    uint32_t *words = of->words;
    size_t i = of->next = of->next < WORDS ? of->next : 0, end = WORDS;
    if (of->made < WORDS) {
        make_up_to(of, i + AHEAD < WORDS ? i + AHEAD : WORDS - 1);
        end = of->made < WORDS ? i + 1 : WORDS;
    }
    const size_t low_end = end < WORDS - AHEAD ? end : WORDS - AHEAD;
    const size_t high_end = end < WORDS ? low_end : WORDS - 1;
    of->turned = end;
    for (; i < low_end; i++)
        words[i] = turned(words[i], words[i + 1], words[i + AHEAD]);
    for (; i < high_end; i++)
        words[i] = turned(words[i], words[i + 1], words[i + AHEAD - WORDS]);
    if (end == WORDS)
        words[WORDS - 1] = turned(words[WORDS - 1], words[0], words[AHEAD - 1]);
    for (i = of->next; i < end; i++)
        of->tempered[i] = tempered(words[i]);
}

static inline uint32_t next_word(state *of)
{
    if (of->next == of->turned)
        turn_over(of);
    return of->tempered[of->next++];
}

static unsigned long int next(void *from)
{
    return next_word(from);
}

static double next_double(void *from)
{
    return (double)next_word(from) / 4294967296.0;
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

/* From -1 to 1, without its ends. */
static double in_square(state *of)
{
    uint32_t word = next_word(of);
    while (word == 0)
        word = next_word(of);
    return -1.0 + 2.0 * ((double)word / 4294967296.0);
}

void oxt_i_random_discs(gsl_rng *random, size_t n, double *heights, double *squares)
{
    for (size_t i = 0; i < n;) {
        double x = in_square(random->state), y = in_square(random->state);
        heights[i] = y;
        squares[i] = x * x + y * y;
        /* no branch, which nobody could foresee */
        i += (size_t)(squares[i] <= 1.0) & (size_t)(squares[i] > 0.0);
    }
}
