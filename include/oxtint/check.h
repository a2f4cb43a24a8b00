/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file check.h: probable slips in a log without errors. */
#ifndef OXTINT_CHECK_H
#define OXTINT_CHECK_H

#include "oxtint/fit.h"
#include "oxtint/trials.h"
#include "oxtint/units.h"

OXT_BEGIN_DECLS

/**
 * Find what looks like a slip in a log without errors.
 *
 * Given:
 *   trials    the log; oxt_trials_read_csv remembers the columns that became notes
 *   film      the film that colours are read with
 *   unit      scale in which baths are written
 * Returned:
 *   remarks   line, column, what was found and what was expected (note); empty when there is none; to be
 *             read by oxt_faults_count, oxt_faults_get and oxt_faults_report and freed with
 *             oxt_faults_free
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 * Notes:
 *   In this order: columns that were kept as notes, with the column that was probably meant; names of steels
 *   and finishes that differ only in case or blanks; thicknesses that are probably sizes of coupons; a whole log
 *   whose baths are outside the working range of an unstated salt for half of its trials or more, with the
 *   scale on which all would be inside, or three quarters of whose times are below 5 s; baths and
 *   times far from the rest, with the reading that would lie among them; and for each steel and finish, or
 *   the first 200 of them, what a fit still needs.
 */
OXT_API oxt_status oxt_check_log(oxt_faults **remarks, const oxt_trials *trials,
                                 const oxt_film *film, oxt_temperature_unit unit,
                                 oxt_error *error);

OXT_END_DECLS

#endif
