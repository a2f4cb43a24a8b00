/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file prior.h: what is known of a steel before its first coupon. */
#ifndef OXTINT_PRIOR_H
#define OXTINT_PRIOR_H

#include "oxtint/film.h"
#include "oxtint/steel.h"

/** What is known beforehand of a steel's growth constants: ln k at a temperature, Q, or both. */
typedef struct oxt_prior {
    size_t struct_size;
    double temperature_K;      /* K   at which ln_k holds, OXT_BATH_LOW_K to OXT_BATH_HIGH_K */
    double ln_k;               /* ln of the rate in nm^2/s, -100 to 100 */
    double ln_k_stderr;        /* its standard error, up to 100; 0: nothing is known of the rate */
    double Q_J_per_mol;        /* J/mol   activation energy, above 0, up to 1e6 */
    double Q_stderr_J_per_mol; /* J/mol   its standard error, up to 1e6; 0: nothing is known of Q */
} oxt_prior;

#define OXT_PRIOR_INIT { sizeof(oxt_prior), 0.0, 0.0, 0.0, 0.0, 0.0 }

OXT_BEGIN_DECLS

/**
 * What is known of mild steel in a nitrate bath: Q = 71 kJ/mol with a standard error of 20 kJ/mol, and
 * a rate at 650 F that gives the middle of the first blue in a minute, with a standard error of a factor
 * of 2.
 *
 * Given:
 *   film    the film that blue is read with
 * Returned:
 *   prior   both of its parts
 * Status:
 *   OXT_EARG, OXT_EUNREACHABLE the film shows no blue
 * Source:
 *   Q: A. Baraka and others, British Corrosion Journal, 1976 (citation from memory): mild steel in
 *   the melt of sodium and potassium nitrate, 250 to 450 C, parabolic. Iron in another melt (57
 *   kJ/mol) lies within the error, iron in oxygen and air (134, 138) within 3.4 of them: docs/reference/prior.md.
 *   A minute at 650 F: common practice, no source.
 */
OXT_API oxt_status oxt_prior_mild_steel(oxt_prior *prior, const oxt_film *film, oxt_error *error);

/**
 * A steel without trials: a card from oxt_prior_mild_steel alone, so that a first coupon can be dipped.
 * Every dip from it has wide intervals, and the cautions that it is extrapolated.
 *
 * Given:
 *   name     name of the steel, not empty, up to 63 bytes
 *   finish   name of the finish, up to 63 bytes; NULL for none
 *   film     the film that its colours are read with
 * Returned:
 *   steel    free it with oxt_steel_free; no trials, the baths of the published experiments, the
 *            thicknesses of the first order
 * Status:
 *   OXT_EARG, OXT_EPARSE a name that is not UTF-8, OXT_EUNREACHABLE the film shows no blue, OXT_ENOMEM
 */
OXT_API oxt_status oxt_prior_steel(oxt_steel **steel, const char *name, const char *finish,
                                   const oxt_film *film, oxt_error *error);

OXT_END_DECLS

#endif
