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
#define OXT_I_CHROMIUM_COUNT 16
#define OXT_I_HEMATITE_COUNT 44
#define OXT_I_OBSERVER_COUNT 2
#define OXT_I_ILLUMINANT_COUNT 7

extern const oxt_i_index oxt_i_iron[OXT_I_IRON_COUNT];
extern const oxt_i_index oxt_i_magnetite[OXT_I_MAGNETITE_COUNT];
extern const oxt_i_index oxt_i_chromium[OXT_I_CHROMIUM_COUNT];
extern const oxt_i_index oxt_i_hematite[OXT_I_HEMATITE_COUNT];
extern const double oxt_i_observers[OXT_I_OBSERVER_COUNT][OXT_WAVELENGTH_COUNT][3];
extern const double oxt_i_illuminants[OXT_I_ILLUMINANT_COUNT][OXT_WAVELENGTH_COUNT];

#endif
