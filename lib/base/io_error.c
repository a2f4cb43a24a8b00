/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a system says of a file that it refuses. */
#define _XOPEN_SOURCE 700

#include <errno.h>
#include <string.h>

#include "base/internal.h"

oxt_status oxt_i_io_error(oxt_error *error, const char *path, const char *verb, int number)
{
    char reason[128];
    if (number == ENOMEM)
        return oxt_i_no_memory(error);
#ifdef _WIN32
    int unknown = strerror_s(reason, sizeof reason, number);
#else
    int unknown = strerror_r(number, reason, sizeof reason);
#endif
    if (unknown)
        oxt_i_snprintf(reason, sizeof reason, "error %d", number);
    return oxt_i_fail_text(error, OXT_EIO, "path", "cannot %s '%s': %s", verb, path, reason);
}
