/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file material.h: complex refractive index of films and substrates against wavelength. */
#ifndef OXTINT_MATERIAL_H
#define OXTINT_MATERIAL_H

#include "oxtint/error.h"

/** A table of complex index n + ik: opaque, immutable, shared freely between threads. */
typedef struct oxt_material oxt_material;

OXT_BEGIN_DECLS

/**
 * A material as published, or from the caller's own table, between whose rows n and k are linear in wavelength.
 *
 * Given:
 *   name            without a table: "iron", "chromium", "magnetite" (Fe3O4) or "hematite" (alpha-Fe2O3, ordinary
 *                   ray); with one: any name, not empty, at most 31 bytes of UTF-8
 *   count           number of rows, 2 to 10000; 0 for a published table, and NULL for the three columns
 *   wavelength_nm   nm   rising; the table must reach from 380 or below to 780 or above
 *   n               refractive index, above 0, up to 100
 *   k               absorption index, 0 (transparent) to 100
 * Returned:
 *   material        free it with oxt_material_free
 * Status:
 *   OXT_EARG, OXT_EDOMAIN (the error's row is the row at fault, from 1), OXT_ENOMEM
 * Source:
 *   iron and chromium: P. B. Johnson and R. W. Christy, Phys. Rev. B 9 (1974) 5056; magnetite and
 *   hematite: M. R. Querry, report CRDC-CR-85034 (1985)
 */
OXT_API oxt_status oxt_material_new(oxt_material **material, const char *name, size_t count,
                                    const double *wavelength_nm, const double *n, const double *k,
                                    oxt_error *error);

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
