/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Salts, for the bath. */
#ifndef OXTINT_LIB_SALT_H
#define OXTINT_LIB_SALT_H

#include "thermal/bath.h"

oxt_status oxt_i_check_salt(oxt_salt salt, oxt_error *error);
/* Range of the correlations. */
void oxt_i_salt_range(oxt_salt salt, double *low_K, double *high_K);

#endif
