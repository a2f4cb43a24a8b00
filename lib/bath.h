/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of the bath room, for whatever names a bath. */
#ifndef OXTINT_LIB_BATH_H
#define OXTINT_LIB_BATH_H

#include "internal.h"

/* Copy a bath in and check it; `known` holds the defaults. */
oxt_status oxt_i_bath_in(oxt_bath *known, const oxt_bath *given, oxt_error *error);

/* Cautions of every salt bath, and those of a temperature by the limits of a salt. */
uint32_t oxt_i_salt_cautions(oxt_salt salt, double bath_K);

#endif
