/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Times and baths that were read off a coarse scale: all of them are multiples of a step, and many multiples occur. A
 * few that occur again and again are settings, which are exact. */
#include <stdlib.h>

#include "fit/fit.h"

typedef struct {
    double factor, zero; /* of the scale that was read, from K or s */
    double step;         /* on it */
} grid;

enum { FEWEST_DIFFERENT = 5, ENOUGH_DIFFERENT = 6 };

static double value_of(const oxt_i_fit_row *row, bool time)
{
    return time ? row->time_s : row->bath_K;
}

static bool is_on(const grid *of, double value)
{
    double steps = (value * of->factor - of->zero) / of->step;
    return fabs(steps - round(steps)) < 1e-6;
}

static bool all_on(const oxt_i_trial_set *set, const grid *of, bool time)
{
    for (size_t i = 0; i < set->row_count; i++)
        if (set->rows[i].reading_count > 0 && !is_on(of, value_of(&set->rows[i], time)))
            return false;
    return true;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Are there many different ones? Settings are three to five. What is said to be cut is so. */
static oxt_status are_many(const oxt_i_trial_set *set, bool time, oxt_rounding rounding, bool *many,
                           oxt_error *error)
{
    size_t count = 0, different = 0;
    *many = time && rounding == OXT_ROUNDING_CUT;
    if (*many)
        return OXT_OK;
    double *values = malloc((set->row_count + 1) * sizeof *values);
    if (!values)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < set->row_count; i++)
        if (set->rows[i].reading_count > 0)
            values[count++] = value_of(&set->rows[i], time);
    qsort(values, count, sizeof *values, by_value);
    for (size_t i = 0; i < count; i++)
        different += i == 0 || values[i] - values[i - 1] > 1e-6 ? 1 : 0;
    free(values);
    *many = different >= ENOUGH_DIFFERENT ||
            (different >= FEWEST_DIFFERENT && 2 * different > count);
    return OXT_OK;
}

/* Was any film seen by its colour? Who measures films has a clock to match. */
static bool by_eye(const oxt_i_trial_set *set)
{
    bool found = false;
    for (size_t i = 0; i < set->row_count; i++)
        found = found || (set->rows[i].reading_count > 0 && set->rows[i].text[0] != '\0');
    return found;
}

/* The coarsest of some grids that all values lie on; NULL for none. */
static const grid *find(const oxt_i_trial_set *set, const grid *grids, size_t count, bool time)
{
    for (size_t i = 0; i < count; i++)
        if (all_on(set, &grids[i], time))
            return &grids[i];
    return NULL;
}

static void blur(oxt_i_trial_set *set, const grid *on, bool time, double shift)
{
    double step = on->step / on->factor;
    for (size_t i = 0; i < set->row_count; i++) {
        oxt_i_fit_row *row = &set->rows[i];
        double *sd = time ? &row->time_sd_s : &row->bath_sd_K;
        *(time ? &row->time_s : &row->bath_K) += shift * step;
        if (*sd == 0.0) /* what is stated is so */
            *sd = step / sqrt(12.0);
    }
}

oxt_status oxt_i_fit_find_grids(oxt_i_trial_set *set, oxt_i_warnings *warnings,
                                oxt_rounding rounding, oxt_error *error)
{
    static const grid times[] = { { 1.0, 0.0, 60.0 },
                                  { 1.0, 0.0, 30.0 },
                                  { 1.0, 0.0, 15.0 },
                                  { 1.0, 0.0, 10.0 },
                                  { 1.0, 0.0, 5.0 } };
    /* rounding to 5 s does no harm that shows, and settings of 5 s are common */
    size_t count = OXT_I_COUNT(times) - (rounding == OXT_ROUNDING_CUT ? 0 : 1);
    /* Fahrenheit and Celsius, coarse before fine */
    static const grid baths[] = {
        { 1.8, 459.67, 10.0 }, { 1.0, 273.15, 5.0 }, { 1.8, 459.67, 5.0 },
        { 1.0, 273.15, 2.0 },  { 1.8, 459.67, 2.0 }, { 1.0, 273.15, 1.0 }
    };
    static const double COARSE_S = 30.0;
    double shift = rounding == OXT_ROUNDING_CUT ? 0.5 : 0.0;
    bool many;
    if (rounding == OXT_ROUNDING_NONE || !by_eye(set))
        return OXT_OK;
    const grid *time = find(set, times, count, true),
               *bath = find(set, baths, OXT_I_COUNT(baths), false);
    oxt_status status = time ? are_many(set, true, rounding, &many, error) : OXT_OK;
    if (time && !status && many) {
        blur(set, time, true, shift);
        if (time->step >= COARSE_S && rounding == OXT_ROUNDING_NEAREST)
            oxt_i_warn(warnings, "COARSE_TIMES", time->step,
                       "All times are whole multiples of %g s: they are taken to be rounded. Note "
                       "them to the second, or state that they were cut, or exact.",
                       time->step);
    }
    if (!status && bath)
        status = are_many(set, false, rounding, &many, error);
    if (!status && bath && many)
        blur(set, bath, false, 0.0);
    return status;
}
