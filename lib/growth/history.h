/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a history: for its reader, and for what a history does to steel. */
#ifndef OXTINT_LIB_HISTORY_H
#define OXTINT_LIB_HISTORY_H

#include "oxtint/history.h"
#include "base/internal.h"

typedef struct {
    double time_s, temperature_K;
} oxt_i_sample;

struct oxt_history {
    size_t count, capacity;
    oxt_i_sample *samples;
};

/* What a sample may be: finite and within the limits of history.h. */
bool oxt_i_time_holds(double time_s);
bool oxt_i_sample_temperature_holds(double temperature_K);
oxt_status oxt_i_check_gap(double longest_gap_s, oxt_error *error);

/* Add a sample that has been checked; false when memory ran out. */
bool oxt_i_history_append(oxt_history *history, oxt_i_sample sample);

#endif
