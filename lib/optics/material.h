/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a material, for the film. */
#ifndef OXTINT_LIB_MATERIAL_H
#define OXTINT_LIB_MATERIAL_H

#include "base/internal.h"
#include "optics/optics_data.h"

struct oxt_material {
    char name[32];
    size_t count;
    oxt_i_index rows[];
};

/* Between the rows, linear in wavelength; the table covers the wavelength. */
oxt_i_index oxt_i_index_at(const oxt_material *material, double wavelength_nm);
oxt_status oxt_i_material_copy(oxt_material **copy, const oxt_material *material, oxt_error *error);

#endif
