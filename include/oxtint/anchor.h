/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file anchor.h: a card brought up to date by a coupon or two: new salt, another thermometer.
 *
 * Source: Bayes' rule for normal errors, with the activation energy unchanged.
 */
#ifndef OXTINT_ANCHOR_H
#define OXTINT_ANCHOR_H

#include "oxtint/film.h"
#include "oxtint/steel.h"
#include "oxtint/trials.h"

/** What may be chosen about a re-anchoring. */
typedef struct oxt_anchor_options {
    size_t struct_size;
    double shift_stderr;          /* how far ln k may have moved since the card was made: a standard
                                     deviation, 0 to 10; 0.3, oxtint's own assumption */
    double thickness_uncertainty; /* relative standard error of a measured thickness, > 0; 0.02 */
    double colour_tolerance;      /* CIEDE2000 by which a measured colour may be wrong, > 0; 3 */
    const char *label;            /* kept with the entry, such as a date, up to 63 bytes; NULL for none */
} oxt_anchor_options;

#define OXT_ANCHOR_OPTIONS_INIT { sizeof(oxt_anchor_options), 0.3, 0.02, 3.0, NULL }

OXT_BEGIN_DECLS

/**
 * Bring a card up to date by new coupons: k_ref moves towards what they show.
 *
 * Given:
 *   steel     the card (note 1)
 *   trials    new coupons (notes 2 and 3); those of the card's steel count, and of its finish where it has
 *             one
 *   film      the film that their colours are read with
 *   options   NULL for the usual ones
 * Returned:
 *   renewed   free it with oxt_steel_free; with one more entry of history, whose `what` has how much
 *             faster or slower the bath was
 * Status:
 *   OXT_EARG no coupon matches, one states a part or a lift that the card cannot use, or a label that is too
 *   long; OXT_EPARSE a label that is not UTF-8; OXT_EFEW
 *   no coupon shows a colour or a thickness; OXT_EDOMAIN also a card whose Q is 0, or so correlated with
 *   k_ref that no bath separates them; OXT_ENOCONV; OXT_ENOMEM
 * Notes:
 *   1. How far k_ref moves follows from the errors of the coupons, those of the card and `shift_stderr`.
 *   Scatter, T_ref, dof, Q and its variance stay; the covariance of Q with k_ref is carried through.
 *   2. The coupons are read as the card's own were. Where its constants are those of the steel itself
 *   (oxt_steel_values.basis), a coupon that states no part is taken to be the card's usual one; where they
 *   include the path of its coupons, which the card does not state, a coupon that states a part or a lift is
 *   refused: nobody knows what it differs from. The first coupons of a card without trials determine which of
 *   the two it is.
 *   3. Coupons given one after another have the same effect as all at once when only the first call has a
 *   shift.
 */
OXT_API oxt_status oxt_anchor_steel(oxt_steel **renewed, const oxt_steel *steel,
                                    const oxt_trials *trials, const oxt_film *film,
                                    const oxt_anchor_options *options, oxt_error *error);

OXT_END_DECLS

#endif
