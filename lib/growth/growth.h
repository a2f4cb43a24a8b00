/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Growth for other modules. */
#ifndef OXTINT_LIB_GROWTH_H
#define OXTINT_LIB_GROWTH_H

#include "oxtint/growth.h"
#include "base/internal.h"

oxt_status oxt_i_check_growth(const oxt_growth *growth, oxt_error *error);

#endif
