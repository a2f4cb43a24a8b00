/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A trial, and what each of its numbers must be. */
#ifndef OXTINT_LIB_TRIAL_H
#define OXTINT_LIB_TRIAL_H

#include "oxtint/trials.h"
#include "base/internal.h"

/* The numbers of a trial. From OXT_I_PART on they may be 0: not stated. */
typedef enum {
    OXT_I_BATH,
    OXT_I_TIME,
    OXT_I_THICKNESS,
    OXT_I_LAB_L,
    OXT_I_LAB_A,
    OXT_I_LAB_B,
    OXT_I_PART,
    OXT_I_START,
    OXT_I_TRANSFER,
    OXT_I_LIFT,
    OXT_I_BATH_SD,
    OXT_I_TIME_SD,
    OXT_I_THICKNESS_SD,
    OXT_I_TOLERANCE,
    OXT_I_FIELDS /* how many there are */
} oxt_i_field;

/* Where a coupon was lifted, as a log has it. */
extern const char *const oxt_i_lifted_names[OXT_LIFTED_AFTER + 1];

/* True when the number is one that the field takes; else `expected` describes one. */
bool oxt_i_field_holds(oxt_i_field field, double value, const char **expected);
/* The least and the greatest number that it takes. */
void oxt_i_field_limits(oxt_i_field field, double *low, double *high);
/* The number itself, and its column as a log is written. */
double oxt_i_field_get(const oxt_trial *trial, oxt_i_field field);
void oxt_i_field_set(oxt_trial *trial, oxt_i_field field, double value);
const char *oxt_i_field_column(oxt_i_field field);
/* A fixed array must hold its NUL, and UTF-8 before it. */
oxt_status oxt_i_check_text(const char *text, size_t capacity, const char *name, oxt_error *error);
/* All but what was seen, which only a log knows the words for. */
oxt_status oxt_i_check_done(const oxt_trial *trial, oxt_error *error);
oxt_status oxt_i_check_trial(const oxt_trial *trial, const char *note, const oxt_words *words,
                             oxt_error *error);
/* Its part and its lift; false when it states neither. */
bool oxt_i_trial_path(const oxt_trial *trial, oxt_part *part, oxt_lift *lift);

/* Add a trial that has been checked. */
oxt_status oxt_i_trials_append(oxt_trials *trials, const oxt_trial *trial, const char *note,
                               oxt_error *error);

#endif
