/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OXTINT_THREADS_H
#define OXTINT_THREADS_H

#include <stddef.h>

/* How many threads may run at once: as many as the processors that the caller may use, and no more than the
 * quota of its control group is worth. At least 1. */
size_t oxt_i_processors(void);

/* The quota of a control group and of those above it, in processors, rounded up; 0 where there is none.
 * `root` is where the groups are mounted and `group` is a path in it that begins with a slash. */
size_t oxt_i_quota(const char *root, const char *group);

#endif
