/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Roots and minima in one dimension and differential equations, with all of their state on the stack: GSL
 * allocates its own (docs/understand/decisions/02-gsl-error-handler.md). */
#ifndef OXTINT_SOLVE_H
#define OXTINT_SOLVE_H

#include "base/internal.h"

typedef double (*oxt_i_function)(double x, void *context);

/* Brent's method between low and high, where the function changes sign. */
oxt_status oxt_i_find_root(oxt_i_function function, void *context, double low, double high,
                           double tolerance, double *root, oxt_error *error);

/* Value and slope of a function. */
typedef double (*oxt_i_sloped)(double x, double *slope, void *context);

/* Newton's method, from a guess, where the function rises through 0 between low and high; by halves where it
 * would leave them or its steps do not shrink. The slope may be rough. Ends when a step is within the tolerance, or by how much
 * the slope changed since the last one what it leaves is. */
oxt_status oxt_i_find_rise(oxt_i_sloped function, void *context, double low, double high,
                           double guess, double tolerance, double *root, oxt_error *error);

/* Brent's minimiser between low and high. Without an inner minimum the lower of the two ends (or of
 * the middle) is the answer. */
oxt_status oxt_i_find_minimum(oxt_i_function function, void *context, double low, double high,
                              double tolerance, double *place, oxt_error *error);

/* d y/d x of a system; false when a value is not finite. */
typedef bool (*oxt_i_slopes)(double x, const double *y, double *slope, void *context);

#define OXT_I_MOST_EQUATIONS 4

/* A path to follow: a smooth system of `count` (at most OXT_I_MOST_EQUATIONS) equations. */
typedef struct {
    oxt_i_slopes slopes;
    void *context;
    size_t count;
    double from, to;
    double first_step;
    double tolerance; /* of each step, relative to each of y */
} oxt_i_path;

/* Follow it from y at its one end to y at the other, by extrapolation of the midpoint rule. */
oxt_status oxt_i_follow(const oxt_i_path *path, double *y, oxt_error *error);

#endif
