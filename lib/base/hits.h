/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hits against promised chances. */
#ifndef OXTINT_LIB_HITS_H
#define OXTINT_LIB_HITS_H

#include <stddef.h>

/* Limits of the expected number of hits, by `hits` of `count`, which is not 0: C. J. Clopper and E. S. Pearson,
 * Biometrika 26 (1934) 404. */
void oxt_i_hit_limits(size_t hits, size_t count, double confidence, double *low, double *high);

#define OXT_I_MOST_HITS 500
/* Chance of so many hits or fewer, `hits` up to `count` up to OXT_I_MOST_HITS, of independent events with these
 * chances: Y. H. Wang, Statistica Sinica 3 (1993) 295. */
double oxt_i_hits_at_most(size_t hits, size_t count, const double *chances);

#endif
