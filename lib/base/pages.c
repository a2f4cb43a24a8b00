/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* madvise */
#include <stdint.h>
#include <stdlib.h>
#if defined(__linux__)
#include <sys/mman.h>
#endif

#include "base/internal.h"

void oxt_i_use_large_pages(void *block, size_t bytes)
{
#if defined(__linux__) && defined(MADV_HUGEPAGE)
    static const size_t LARGE = (size_t)1 << 22, PAGE = (size_t)1 << 21;
    size_t skip = (PAGE - (uintptr_t)block % PAGE) % PAGE;
    if (bytes >= LARGE) /* where it is refused, small ones do */
        (void)madvise((char *)block + skip, bytes - skip, MADV_HUGEPAGE);
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
