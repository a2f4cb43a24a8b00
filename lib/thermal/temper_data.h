/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Published hardness after tempering. */
#ifndef OXTINT_TEMPER_DATA_H
#define OXTINT_TEMPER_DATA_H

#include "base/internal.h"

#define OXT_I_HARDNESS_STEELS 6
#define OXT_I_HARDNESS_MOST_ROWS 9
#define OXT_I_HARDNESS_HOLD_S 7200.0

typedef struct {
    const char *steel;
    size_t rows;
    double temper_F[OXT_I_HARDNESS_MOST_ROWS], hardness_HRC[OXT_I_HARDNESS_MOST_ROWS];
} oxt_i_hardness;

extern const oxt_i_hardness oxt_i_hardnesses[OXT_I_HARDNESS_STEELS];

/* Words of all steels, for messages. */
#define OXT_I_HARDNESS_NAMES "1030, 1040, 1050, 1060, 1080 or 1095"

#endif
