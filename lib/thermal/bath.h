/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bath, for whatever names one. */
#ifndef OXTINT_LIB_BATH_H
#define OXTINT_LIB_BATH_H

#include "thermal/heat.h"

/* Copy a bath in and check it; `known` holds the defaults. */
oxt_status oxt_i_bath_in(oxt_bath *known, const oxt_bath *given, oxt_error *error);

/* Cautions of every salt bath, and those of a temperature by the limits of a salt. */
uint32_t oxt_i_salt_cautions(oxt_salt salt, double bath_K);
/* Those of all baths in a range, of a salt that is not stated. */
uint32_t oxt_i_range_cautions(double low_K, double high_K);

/* A load that cools a bath needs a size, and a bath in its range. */
oxt_status oxt_i_check_load(const oxt_part *part, const oxt_i_surroundings *around, double bath_K,
                            oxt_error *error);

/* A sag that deserves a caution. */
bool oxt_i_sags(double sag_K);

#endif
