/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file material.h: complex refractive index of films and substrates against wavelength. */
#ifndef OXTINT_MATERIAL_H
#define OXTINT_MATERIAL_H

#include "oxtint/error.h"

/** Materials whose published tables are built in. */
typedef enum oxt_material_kind {
    OXT_MATERIAL_IRON = 0,      /* Johnson and Christy 1974 */
    OXT_MATERIAL_CHROMIUM = 1,  /* Johnson and Christy 1974 */
    OXT_MATERIAL_MAGNETITE = 2, /* Fe3O4, Querry 1985 */
    OXT_MATERIAL_HEMATITE = 3   /* alpha-Fe2O3, ordinary ray, Querry 1985 */
} oxt_material_kind;

/** A table of complex index n + ik: opaque, immutable, shared freely between threads. */
typedef struct oxt_material oxt_material;

OXT_BEGIN_DECLS

/**
 * A material as published.
 *
 * Given:
 *   substance   one of oxt_material_kind
 * Returned:
 *   material    free it with oxt_material_free
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 * Source:
 *   iron and chromium: P. B. Johnson and R. W. Christy, Phys. Rev. B 9 (1974) 5056; magnetite and
 *   hematite: M. R. Querry, report CRDC-CR-85034 (1985)
 */
OXT_API oxt_status oxt_material_new(oxt_material **material, oxt_material_kind substance,
                                    oxt_error *error);

/**
 * A material from the caller's own table; between its rows n and k are linear in wavelength.
 *
 * Given:
 *   name            name, not empty, at most 31 bytes
 *   count           number of rows, 2 to 10000
 *   wavelength_nm   nm   rising; the table must reach from 380 or below to 780 or above
 *   n               refractive index, above 0, up to 100
 *   k               absorption index, 0 (transparent) to 100
 * Returned:
 *   material        free it with oxt_material_free
 * Status:
 *   OXT_EARG, OXT_EDOMAIN (the error's row is the row at fault, from 1), OXT_ENOMEM
 */
OXT_API oxt_status oxt_material_from_table(oxt_material **material, const char *name, size_t count,
                                           const double *wavelength_nm, const double *n,
                                           const double *k, oxt_error *error);

/**
 * Free a material; films made of it keep their own copy.
 *
 * Given:
 *   material   NULL is ignored
 */
OXT_API void oxt_material_free(oxt_material *material);

/**
 * Index of a material at a wavelength.
 *
 * Given:
 *   material        the material
 *   wavelength_nm   nm   380 to 780
 * Returned:
 *   n, k            complex index n + ik
 * Status:
 *   OXT_EDOMAIN
 */
OXT_API oxt_status oxt_material_index(const oxt_material *material, double wavelength_nm, double *n,
                                      double *k, oxt_error *error);

OXT_END_DECLS

#endif
