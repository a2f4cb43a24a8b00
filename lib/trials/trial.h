/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers of a trial, and what each must be. */
#ifndef OXTINT_LIB_TRIAL_H
#define OXTINT_LIB_TRIAL_H

#include "oxtint/trials.h"
#include "base/internal.h"

/* The numbers of a trial, and what each must be. From OXT_I_PART on they may be 0: not stated. */
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

/* True when the number is one that the field takes; else `expected` says what it takes. */
bool oxt_i_field_holds(oxt_i_field field, double value, const char **expected);
/* The least and the greatest number that it takes. */
void oxt_i_field_limits(oxt_i_field field, double *low, double *high);
/* A number that may be not stated, and its column as it is written. */
double oxt_i_stated(const oxt_trial *trial, oxt_i_field field);
void oxt_i_state(oxt_trial *trial, oxt_i_field field, double value);
const char *oxt_i_stated_column(oxt_i_field field);
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
