/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file version.h: which oxtint this is. */
#ifndef OXTINT_VERSION_H
#define OXTINT_VERSION_H

#include "oxtint/error.h"

#define OXT_VERSION_MAJOR 0
#define OXT_VERSION_MINOR 2
#define OXT_VERSION_PATCH 0

OXT_BEGIN_DECLS

/**
 * Version of the library that is running, such as "0.2.0".
 *
 * Returned:
 *   static text, never NULL; compare it with OXT_VERSION_* to see that header and library agree
 */
OXT_API const char *oxt_version(void);

OXT_END_DECLS

#endif
