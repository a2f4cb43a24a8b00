/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What profiles and the bootstrap share. */
#ifndef OXTINT_INTERVAL_INTERNAL_H
#define OXTINT_INTERVAL_INTERNAL_H

#include "oxtint/interval.h"
#include "base/internal.h"

/* Check what an interval is of, its bath and its confidence. */
oxt_status oxt_i_check_interval(oxt_interval_quantity what, double bath_K, double confidence,
                                oxt_error *error);
/* What ln k has of -q: T_ref/T - 1 in the bath of a dip, nothing at T_ref. */
double oxt_i_interval_offset(oxt_interval_quantity what, double bath_K, double T_ref_K);
/* Limits of ln k in a bath -> factors on the time there; `ln_k` is that of the fit. */
void oxt_i_interval_factors(double ln_k, double *low, double *high);

#endif
