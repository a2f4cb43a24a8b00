/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one linear estimator: z = b - q u + ln of a factor, with a rate b for each unit (a steel, or a steel with one
 * finish) and slopes q. Rows enter by their weighted moments alone, so that one solution costs as much as there
 * are groups, not rows. */
#ifndef OXTINT_LINEAR_H
#define OXTINT_LINEAR_H

#include <stdbool.h>
#include <stddef.h>

#define OXT_I_NO_FACTOR ((size_t)-1)

/* Sum of weights, weighted means, and sums of squares and products about the means. */
typedef struct {
    double w, u, z, uu, uz, zz;
} oxt_i_moments;

/* Those of u, z and a third column. */
typedef struct {
    oxt_i_moments of;
    double y, uy, zy, yy;
} oxt_i_moments_3;

/* Merge two sets of rows; give all rows so many times their weight. */
void oxt_i_moments_add(oxt_i_moments *to, const oxt_i_moments *other);
void oxt_i_moments_3_add(oxt_i_moments_3 *to, const oxt_i_moments_3 *other);
void oxt_i_moments_scale(oxt_i_moments *of, double weight);
void oxt_i_moments_3_scale(oxt_i_moments_3 *of, double weight);
/* Moments of n rows; `w` NULL: all weights 1; `y` NULL: all 0. */
oxt_i_moments oxt_i_moments_of(size_t n, const double *u, const double *z, const double *w);
oxt_i_moments_3 oxt_i_moments_3_of(size_t n, const double *u, const double *z, const double *y,
                                   const double *w);
/* Weighted sum of (b - q u - z)^2. */
double oxt_i_moments_squares(const oxt_i_moments *of, double b, double q);

/* What the groups have in common. A group is one unit's rows with one finish. */
typedef struct {
    size_t groups, units, factors;
    const size_t
        *unit_of; /* of each group, in order: those of a unit follow one another in `by_unit` */
    const size_t *by_unit;          /* the groups, unit after unit; NULL: each group is a unit */
    const size_t *factor_of;        /* of each group, OXT_I_NO_FACTOR for 1; NULL: none */
    bool own_q;                     /* a q for each group, which then is a unit without a factor */
    double held_q;                  /* NAN: q is fitted */
    double prior_q, prior_q_weight; /* of each q that is fitted; weight 0: none */
    bool shrunk;       /* the rates are draws from a normal about a mean that is fitted */
    double between_sd; /* its standard deviation */
} oxt_i_linear;

/* The constants of a group with their covariance. */
typedef struct {
    double b, q, variance_b, covariance, variance_q;
    double factor; /* ln of the factor that is a part of b */
} oxt_i_constants;

typedef struct {
    double chi_square;     /* weighted squares, those of the prior and of the draws among them */
    double ln_determinant; /* of the covariance of all parameters */
} oxt_i_linear_sums;

/* How many parameters are fitted: rates, factors, qs; shrunk rates have their mean besides. */
size_t oxt_i_linear_parameters(const oxt_i_linear *system);
/* How many numbers of work space a solution takes. */
size_t oxt_i_linear_space(const oxt_i_linear *system);
/* Solve for the moments of each group. False when they do not determine every parameter. */
bool oxt_i_linear_solve(const oxt_i_linear *system, const oxt_i_moments *groups, double *space,
                        oxt_i_constants *constants, oxt_i_linear_sums *sums);

#endif
