/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What linear and nonlinear problems share: one QR factorisation of the weighted Jacobian. */
#ifndef OXTINT_LSQ_LINEAR_H
#define OXTINT_LSQ_LINEAR_H

#include <gsl/gsl_matrix.h>

#include "lsq.h"

/* Rows of the Jacobian or the residuals, each times the root of its weight; `weights` NULL: all 1. */
void oxt_i_lsq_scale(double *values, size_t n, size_t columns, const double *weights);

/* (R^T R)^-1 of the upper rows of a factorised Jacobian, row by row, and the reciprocal of the condition
 * of R by sums of columns; 0 when R is singular, and no covariance then. */
double oxt_i_lsq_covariance(const gsl_matrix *QR, double *covariance);

/* The minimum of a linear problem, as a status of GSL's. `jacobian` has room for n times p numbers and
 * `residuals` for n; both are lost. */
int oxt_i_lsq_solve_linear(const oxt_i_lsq_problem *problem, const double *weights,
                           double *jacobian, double *residuals, oxt_i_lsq_result *result);

#endif
