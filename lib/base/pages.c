/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* madvise */
#include <stdint.h>
#include <stdlib.h>
#if defined(__linux__)
#include <sys/mman.h>
#include <unistd.h>
#endif

#include "base/internal.h"

void oxt_i_use_large_pages(void *block, size_t bytes)
{
#if defined(__linux__) && defined(MADV_HUGEPAGE)
    static const size_t LARGE = (size_t)1 << 22;
    if (bytes < LARGE)
        return;
    /* From the start of its mapping, a few bytes before it: a mapping that is all of one kind is moved when it grows, and
     * another one copied. Where large pages are refused, small ones do. */
    size_t before = (uintptr_t)block % (size_t)sysconf(_SC_PAGESIZE);
    (void)madvise((char *)block - before, before + bytes, MADV_HUGEPAGE);
#else
    (void)block;
    (void)bytes;
#endif
}

void *oxt_i_many(size_t count, size_t size)
{
    if (count > (SIZE_MAX - 1) / size)
        return NULL;
    void *made = malloc(count * size + 1);
    if (made)
        oxt_i_use_large_pages(made, count * size);
    return made;
}
