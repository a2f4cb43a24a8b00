/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Roots and minima in one dimension and differential equations, through GSL, without ever reaching its error handler. */
#ifndef OXTINT_SOLVE_H
#define OXTINT_SOLVE_H

#include "internal.h"

typedef double (*oxt_i_function)(double x, void *context);

/* Is this much memory to be had? GSL reports a failed allocation through its error handler, which by
 * default ends the program, so it is asked first. */
bool oxt_i_has_room(size_t bytes);

/* Brent's method between low and high, where the function changes sign. */
oxt_status oxt_i_find_root(oxt_i_function function, void *context, double low, double high,
                           double tolerance, double *root, oxt_error *error);

/* Brent's minimiser between low and high. Without an inner minimum the lower of the two ends (or of
 * the middle) is the answer. */
oxt_status oxt_i_find_minimum(oxt_i_function function, void *context, double low, double high,
                              double tolerance, double *place, oxt_error *error);

/* d y/d x of a system; false when a value is not finite. */
typedef bool (*oxt_i_slopes)(double x, const double *y, double *slope, void *context);

/* Follow a smooth system of `count` (at most 4) equations from one x to another, by the pair of
 * Prince and Dormand of order 8. */
oxt_status oxt_i_follow(oxt_i_slopes slopes, void *context, size_t count, double from, double to,
                        double tolerance, double *y, oxt_error *error);

#endif
