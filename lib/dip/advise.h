/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the two files of the advice share. */
#ifndef OXTINT_LIB_ADVISE_H
#define OXTINT_LIB_ADVISE_H

#include "oxtint/advise.h"
#include "base/internal.h"

struct oxt_advise {
    oxt_criterion criterion;
    char name[140];  /* steel and finish */
    char target[48]; /* in words, "" when none was named */
    char coupon[96]; /* that of the card in words, "" when it states none */
    double bath_K;   /* of the dip that the coupons are for */
    double time_s;   /* of that dip, 0 when no target was named */
    double now;      /* half-width of ln time of that dip */
    double exponent, exponent_stderr; /* m of x growing as time^m, now; of OXT_ADVISE_LAW alone */
    oxt_advised_coupon coupons[OXT_ADVICE_HIGH];
    size_t count;
};

#endif
