/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file file.h: files that are written whole or not at all, and never in place of something else.
 *
 * Every save of oxtint follows these rules. The new file takes the place of the old one in one step, with its
 * owner and mode as far as the system allows. A symbolic link stays, and the file that it names is replaced. A
 * directory, a device, a pipe, a socket and a link that leads nowhere are never written to.
 */
#ifndef OXTINT_FILE_H
#define OXTINT_FILE_H

#include "oxtint/error.h"

/** What a file holds, found from its content. */
typedef enum oxt_file_kind {
    OXT_FILE_CARD = 0,    /* card of a steel: JSON */
    OXT_FILE_TRIALS = 1,  /* log of trials: CSV whose header names a bath and a time */
    OXT_FILE_PICTURE = 2, /* PNG, SVG or PDF */
    OXT_FILE_PAGE = 3     /* page for the bench: HTML that names oxtint as its generator */
} oxt_file_kind;

/** What a save may replace. */
typedef enum oxt_replace {
    OXT_REPLACE_SAME_KIND = 0, /* an empty file, or one of the kind that is saved */
    OXT_REPLACE_ANY = 1        /* any regular file */
} oxt_replace;

OXT_BEGIN_DECLS

/**
 * Check whether a file may be saved under a name, before the work whose result it is to hold.
 *
 * Given:
 *   path      name of the file
 *   kind      what is to be saved there
 *   replace   what may be replaced
 * Status:
 *   OXT_EARG; OXT_EEXIST there is a file of another kind; OXT_EIO there is something that is no file, or
 *   the system does not allow it; OXT_ENOMEM
 */
OXT_API oxt_status oxt_file_check(const char *path, oxt_file_kind kind, oxt_replace replace,
                                  oxt_error *error);

/**
 * Write a file whole or not at all, in the manner of every save of oxtint.
 *
 * Given:
 *   path           name of the file
 *   kind           what it holds
 *   replace        what may be replaced
 *   data, length   its content; length in bytes
 * Status:
 *   as oxt_file_check
 */
OXT_API oxt_status oxt_file_write(const char *path, oxt_file_kind kind, oxt_replace replace,
                                  const void *data, size_t length, oxt_error *error);

OXT_END_DECLS

#endif
