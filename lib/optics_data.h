/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Published optical tables; the numbers and their sources stand in optics_data.c. */
#ifndef OXTINT_OPTICS_DATA_H
#define OXTINT_OPTICS_DATA_H

#include "oxtint/film.h"

typedef struct {
    double wavelength_nm, n, k;
} oxt_i_index;

#define OXT_I_IRON_COUNT 16
#define OXT_I_MAGNETITE_COUNT 44

extern const oxt_i_index oxt_i_iron[OXT_I_IRON_COUNT];
extern const oxt_i_index oxt_i_magnetite[OXT_I_MAGNETITE_COUNT];
extern const double oxt_i_observer[OXT_WAVELENGTH_COUNT][3];
extern const double oxt_i_d65[OXT_WAVELENGTH_COUNT];

#endif
