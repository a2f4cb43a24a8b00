/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OXTINT_THREADS_H
#define OXTINT_THREADS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/internal.h"

/* How many threads may run at once: as many as the processors that the caller may use, and no more than the
 * quota of its control group allows. At least 1. */
size_t oxt_i_processors(void);

/* The quota of a control group and of those above it, in processors, rounded up; 0 where there is none.
 * `root` is where the groups are mounted and `group` is a path in it that begins with a slash. */
size_t oxt_i_quota(const char *root, const char *group);

/* Work that several threads share, in pieces that have nothing to do with each other. */
typedef struct {
    size_t count;                                            /* pieces */
    size_t block;                                            /* that a thread takes at a time */
    int threads;                                             /* 0: one for each processor */
    bool (*work)(void *context, size_t first, size_t count); /* false: nobody is to go on */
    void *context;
    /* Bytes: `context` is an array with an element of this size for each thread; 0: all threads share it. */
    size_t own;
    oxt_progress_function progress; /* called by the caller's thread alone; NULL for none */
    void *user;
} oxt_i_shared_work;

/* How many threads will do it, the caller's among them. */
size_t oxt_i_share_threads(const oxt_i_shared_work *work);

/* Do all of it; the caller's thread works too, and does it alone where no other thread is to be had. OXT_ECANCEL when
 * `progress` asked to stop. */
oxt_status oxt_i_share(const oxt_i_shared_work *work, oxt_error *error);

#endif
