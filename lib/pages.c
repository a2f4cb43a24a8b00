/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* madvise */
#include <stdint.h>
#include <stdlib.h>
#if defined(__linux__)
#include <sys/mman.h>
#endif

#include "internal.h"

void *oxt_i_many(size_t count, size_t size)
{
    static const size_t LARGE = (size_t)1 << 22, PAGE = (size_t)1 << 21;
    if (count > (SIZE_MAX - 1) / size)
        return NULL;
    char *made = malloc(count * size + 1);
#if defined(__linux__) && defined(MADV_HUGEPAGE)
    if (made && count * size >= LARGE) {
        size_t skip = (PAGE - (uintptr_t)made % PAGE) % PAGE;
        (void)madvise(made + skip, count * size - skip, MADV_HUGEPAGE);
    }
#else
    (void)LARGE;
    (void)PAGE;
#endif
    return made;
}
