/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What differs between systems: file_posix.c and file_windows.c, processors.c, io_error.c, and in text.c the locale.
 * Names of files are the bytes of the system; on Windows UTF-8. */
#ifndef OXTINT_LIB_SYSTEM_H
#define OXTINT_LIB_SYSTEM_H

#include <stdio.h>

#include "base/internal.h"

/* What a save would replace. */
typedef struct {
    char *name; /* of the file itself, behind any symbolic link; to be freed */
    bool exists, empty;
    unsigned mode, user, group; /* of a file that exists, where a system has them */
} oxt_i_place;

/* Follow a symbolic link to the file it names, so that the link stays a link. */
oxt_status oxt_i_look_at(oxt_i_place *there, const char *path, oxt_error *error);
/* Put a new file there in one step, with owner and mode of the old one; `path` is for messages. */
oxt_status oxt_i_put_file(const oxt_i_place *there, const char *path, const void *data,
                          size_t length, oxt_error *error);
/* Open a file to read, which no child of this process inherits; NULL with errno. */
FILE *oxt_i_open_file(const char *path);

#endif
