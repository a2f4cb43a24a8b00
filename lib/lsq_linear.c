/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Linear problems of the least-squares core: one QR factorisation, and steps until nothing but rounding is
 * left of the gradient. */
#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include "lsq_linear.h"

void oxt_i_lsq_scale(double *values, size_t n, size_t columns, const double *weights)
{
    for (size_t i = 0; weights && i < n; i++)
        for (size_t j = 0; j < columns; j++)
            values[i * columns + j] *= sqrt(weights[i]);
}

static int factorize(const oxt_i_lsq_problem *problem, const double *weights,
                     const double *parameters, gsl_matrix *QR, gsl_vector *tau)
{
    if (!problem->jacobian(parameters, QR->data, problem->context))
        return GSL_EBADFUNC;
    oxt_i_lsq_scale(QR->data, problem->n, problem->p, weights);
    gsl_linalg_QR_decomp(QR, tau);
    for (size_t j = 0; j < problem->p; j++)
        if (!isfinite(gsl_matrix_get(QR, j, j)))
            return GSL_EBADFUNC;
        else if (gsl_matrix_get(QR, j, j) == 0.0)
            return GSL_ESING;
    return GSL_SUCCESS;
}

/* One step. `left` is the length of what the columns can still explain of the residuals. */
static int step(const oxt_i_lsq_problem *problem, const double *weights, const gsl_matrix *QR,
                const gsl_vector *tau, double *residuals, oxt_i_lsq_result *result, double *left)
{
    gsl_vector_view f = gsl_vector_view_array(residuals, problem->n);
    gsl_vector_view move = gsl_vector_view_array(residuals, problem->p);
    gsl_matrix_const_view R = gsl_matrix_const_submatrix(QR, 0, 0, problem->p, problem->p);
    if (!problem->residuals(result->parameters, residuals, problem->context))
        return GSL_EBADFUNC;
    oxt_i_lsq_scale(residuals, problem->n, 1, weights);
    gsl_blas_ddot(&f.vector, &f.vector, &result->chi_square);
    gsl_linalg_QR_QTvec(QR, tau, &f.vector);
    *left = gsl_blas_dnrm2(&move.vector);
    gsl_blas_dtrsv(CblasUpper, CblasNoTrans, CblasNonUnit, &R.matrix, &move.vector);
    return isfinite(*left) ? GSL_SUCCESS : GSL_EBADFUNC;
}

/* The largest sum of the sizes in a column. */
static double column_norm(const gsl_matrix *of)
{
    double largest = 0.0;
    for (size_t j = 0; j < of->size2; j++) {
        double sum = 0.0;
        for (size_t i = 0; i <= j; i++)
            sum += fabs(gsl_matrix_get(of, i, j));
        largest = fmax(largest, sum);
    }
    return largest;
}

double oxt_i_lsq_covariance(const gsl_matrix *QR, double *covariance)
{
    size_t p = QR->size2;
    double inverse[OXT_I_LSQ_MOST_PARAMETERS * OXT_I_LSQ_MOST_PARAMETERS];
    gsl_matrix_const_view R = gsl_matrix_const_submatrix(QR, 0, 0, p, p);
    gsl_matrix_view of_R = gsl_matrix_view_array(inverse, p, p);
    gsl_matrix_view product = gsl_matrix_view_array(covariance, p, p);
    for (size_t j = 0; j < p; j++)
        if (gsl_matrix_get(QR, j, j) == 0.0)
            return 0.0;
    gsl_matrix_set_identity(&of_R.matrix);
    gsl_blas_dtrsm(CblasLeft, CblasUpper, CblasNoTrans, CblasNonUnit, 1.0, &R.matrix, &of_R.matrix);
    gsl_blas_dgemm(CblasNoTrans, CblasTrans, 1.0, &of_R.matrix, &of_R.matrix, 0.0, &product.matrix);
    return 1.0 / (column_norm(&R.matrix) * column_norm(&of_R.matrix));
}

int oxt_i_lsq_solve_linear(const oxt_i_lsq_problem *problem, const double *weights,
                           double *jacobian, double *residuals, oxt_i_lsq_result *result)
{
    enum { MOST_STEPS = 10 };
    double taus[OXT_I_LSQ_MOST_PARAMETERS], left, before = HUGE_VAL;
    gsl_matrix_view QR = gsl_matrix_view_array(jacobian, problem->n, problem->p);
    gsl_vector_view tau = gsl_vector_view_array(taus, problem->p);
    int state = factorize(problem, weights, result->parameters, &QR.matrix, &tau.vector);
    result->iterations = 0;
    while (!state) {
        state = step(problem, weights, &QR.matrix, &tau.vector, residuals, result, &left);
        /* The first step solves the problem; the next ones take back its rounding, while they can. */
        if (state || result->iterations == MOST_STEPS || left > 0.5 * before)
            break;
        for (size_t j = 0; j < problem->p; j++)
            result->parameters[j] -= residuals[j];
        result->iterations++;
        before = left;
    }
    if (!state)
        oxt_i_lsq_covariance(&QR.matrix, result->covariance);
    return state;
}
