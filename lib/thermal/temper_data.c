/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Hardness after quenching in water and tempering for 2 h: ASM Heat Treater's Guide, typical hardnesses
 * after tempering. Read in a stored copy: the first four rows of 1095. All others are from memory. */
#include "thermal/temper_data.h"

#define TO_1100                                                  \
    {                                                            \
        400.0, 500.0, 600.0, 700.0, 800.0, 900.0, 1000.0, 1100.0 \
    }
#define TO_1200                                                          \
    {                                                                    \
        400.0, 500.0, 600.0, 700.0, 800.0, 900.0, 1000.0, 1100.0, 1200.0 \
    }

const oxt_i_hardness oxt_i_hardnesses[OXT_I_HARDNESS_STEELS] = {
    /* from memory */
    { "1030", 8, TO_1100, { 50.0, 45.0, 43.0, 39.0, 31.0, 28.0, 25.0, 22.0 } },
    { "1040", 8, TO_1100, { 51.0, 48.0, 46.0, 42.0, 37.0, 30.0, 27.0, 22.0 } },
    { "1050", 9, TO_1200, { 52.0, 50.0, 46.0, 44.0, 40.0, 37.0, 31.0, 29.0, 22.0 } },
    { "1060", 9, TO_1200, { 56.0, 55.0, 50.0, 42.0, 38.0, 37.0, 35.0, 33.0, 26.0 } },
    { "1080", 9, TO_1200, { 57.0, 55.0, 50.0, 43.0, 41.0, 40.0, 39.0, 38.0, 32.0 } },
    /* the first four read, the others from memory */
    { "1095", 9, TO_1200, { 58.0, 57.0, 52.0, 47.0, 43.0, 42.0, 41.0, 40.0, 33.0 } },
};
