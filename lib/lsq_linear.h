/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef OXTINT_LSQ_LINEAR_H
#define OXTINT_LSQ_LINEAR_H

#include "lsq.h"

/* The minimum of a linear problem, as a status of GSL's. `jacobian` has room for n times p numbers and
 * `residuals` for n; both are lost. */
int oxt_i_lsq_solve_linear(const oxt_i_lsq_problem *problem, const double *weights,
                           double *jacobian, double *residuals, oxt_i_lsq_result *result);

#endif
