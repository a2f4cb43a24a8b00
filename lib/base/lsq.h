/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The nonlinear least-squares core: laws of growth, profiles of what bends, and the reference problems of the
 * tests. */
#ifndef OXTINT_LSQ_H
#define OXTINT_LSQ_H

#include "base/internal.h"

#define OXT_I_LSQ_MOST_PARAMETERS 8

/* `n` residuals of `p` parameters: model minus observation, before weighting. Both functions return
 * false where the model cannot be computed. The Jacobian is row by row: d residual i / d parameter j
 * at [i * p + j]. */
typedef struct {
    size_t n, p;
    bool (*residuals)(const double *parameters, double *residuals, void *context);
    bool (*jacobian)(const double *parameters, double *jacobian, void *context);
    void *context;
} oxt_i_lsq_problem;

typedef struct {
    double parameters[OXT_I_LSQ_MOST_PARAMETERS];
    double chi_square; /* weighted sum of squared residuals */
    /* inverse of J^T W J, row by row; to be scaled by chi_square / (n - p) where the weights are
     * relative ones */
    double covariance[OXT_I_LSQ_MOST_PARAMETERS * OXT_I_LSQ_MOST_PARAMETERS];
    size_t iterations;
} oxt_i_lsq_result;

typedef struct oxt_i_lsq oxt_i_lsq;

/* A solver for one problem; it may solve it many times with other weights and starts. */
oxt_status oxt_i_lsq_new(oxt_i_lsq **solver, const oxt_i_lsq_problem *problem, oxt_error *error);
void oxt_i_lsq_free(oxt_i_lsq *solver);

/* Solve from the parameters in `result`, which the answer replaces. `weights` NULL: all 1. */
oxt_status oxt_i_lsq_solve(oxt_i_lsq *solver, const double *weights, oxt_i_lsq_result *result,
                           oxt_error *error);

#endif
