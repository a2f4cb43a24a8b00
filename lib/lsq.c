/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "lsq.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <stdlib.h>
#include <string.h>

#include "solve.h"

#define MOST_ITERATIONS 1000
#define STEP_TOLERANCE 1e-12
#define GRADIENT_TOLERANCE 1e-14

struct oxt_i_lsq {
    oxt_i_lsq_problem problem;
    gsl_multifit_nlinear_workspace *workspace;
    gsl_multifit_nlinear_fdf functions;
    gsl_matrix *covariance;
    double *scratch; /* n by p, for the Jacobian */
};

static int residuals(const gsl_vector *parameters, void *context, gsl_vector *result)
{
    const oxt_i_lsq_problem *problem = &((oxt_i_lsq *)context)->problem;
    /* GSL's vectors are contiguous here: they come from its own workspace. */
    if (!problem->residuals(parameters->data, result->data, problem->context))
        return GSL_EBADFUNC;
    for (size_t i = 0; i < problem->n; i++)
        if (!isfinite(result->data[i]))
            return GSL_EBADFUNC;
    return GSL_SUCCESS;
}

static int jacobian(const gsl_vector *parameters, void *context, gsl_matrix *result)
{
    oxt_i_lsq *solver = context;
    const oxt_i_lsq_problem *problem = &solver->problem;
    if (!problem->jacobian(parameters->data, solver->scratch, problem->context))
        return GSL_EBADFUNC;
    for (size_t i = 0; i < problem->n; i++)
        for (size_t j = 0; j < problem->p; j++) {
            double value = solver->scratch[i * problem->p + j];
            if (!isfinite(value))
                return GSL_EBADFUNC;
            gsl_matrix_set(result, i, j, value);
        }
    return GSL_SUCCESS;
}

oxt_status oxt_i_lsq_new(oxt_i_lsq **solver, const oxt_i_lsq_problem *problem, oxt_error *error)
{
    *solver = NULL;
    if (problem->p == 0 || problem->p > OXT_I_LSQ_MOST_PARAMETERS || problem->n < problem->p)
        return oxt_i_fail(error, OXT_EFEW, "n", (double)problem->n, (double)problem->p, NAN,
                          "%zu rows cannot determine %zu parameters", problem->n, problem->p);
    oxt_i_lsq *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    made->problem = *problem;
    made->scratch = malloc(problem->n * problem->p * sizeof *made->scratch);
    /* What GSL will take: a Jacobian or two and some vectors. */
    size_t bytes = (4 * problem->n * (problem->p + 4) + 16 * problem->p * (problem->p + 8)) *
                   sizeof(double);
    gsl_multifit_nlinear_parameters options = gsl_multifit_nlinear_default_parameters();
    /* Powell's dogleg reached the certified values of more reference problems than the others did
     * (docs/decisions/03-least-squares.md). */
    options.trs = gsl_multifit_nlinear_trs_dogleg;
    if (made->scratch && oxt_i_has_room(bytes + 16384)) {
        made->workspace = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &options,
                                                     problem->n, problem->p);
        made->covariance = gsl_matrix_alloc(problem->p, problem->p);
    }
    if (!made->workspace || !made->covariance) {
        oxt_i_lsq_free(made);
        return oxt_i_no_memory(error);
    }
    made->functions = (gsl_multifit_nlinear_fdf){
        .f = residuals, .df = jacobian, .n = problem->n, .p = problem->p, .params = made
    };
    *solver = made;
    return OXT_OK;
}

void oxt_i_lsq_free(oxt_i_lsq *solver)
{
    if (!solver)
        return;
    if (solver->workspace)
        gsl_multifit_nlinear_free(solver->workspace);
    if (solver->covariance)
        gsl_matrix_free(solver->covariance);
    free(solver->scratch);
    free(solver);
}

/* Is the residual at right angles to every column of the Jacobian, within `share`, or is what is left
 * of it only the rounding of the parameters, as with data that the model meets exactly? Then this is
 * a minimum, even when rounding keeps GSL from one more step. */
static bool is_minimum(const gsl_multifit_nlinear_workspace *workspace, double share)
{
    const gsl_matrix *J = gsl_multifit_nlinear_jac(workspace);
    const gsl_vector *f = gsl_multifit_nlinear_residual(workspace);
    const gsl_vector *x = gsl_multifit_nlinear_position(workspace);
    double size = gsl_blas_dnrm2(f);
    for (size_t j = 0; j < J->size2; j++) {
        gsl_vector_const_view column = gsl_matrix_const_column(J, j);
        double product, length = gsl_blas_dnrm2(&column.vector);
        gsl_blas_ddot(&column.vector, f, &product);
        double rounding = 1e-14 * length * fabs(gsl_vector_get(x, j));
        if (!(fabs(product) <= length * fmax(share * size, rounding)))
            return false;
    }
    return true;
}

/* The first full step solves a linear problem; GSL would go on to look for better ones within the
 * rounding, at the cost of most of the time of a fit. */
static int solve_linear(gsl_multifit_nlinear_workspace *workspace)
{
    static const double SHARE = 1e-13;
    int state = GSL_CONTINUE;
    for (int i = 0; i < MOST_ITERATIONS && state == GSL_CONTINUE; i++) {
        if (is_minimum(workspace, SHARE))
            return GSL_SUCCESS;
        int info;
        state = gsl_multifit_nlinear_iterate(workspace);
        if (!state)
            state = gsl_multifit_nlinear_test(STEP_TOLERANCE, GRADIENT_TOLERANCE, 0.0, &info,
                                              workspace);
    }
    return state;
}

static int iterate(const oxt_i_lsq *solver)
{
    int info = 0;
    return solver->problem.linear
               ? solve_linear(solver->workspace)
               : gsl_multifit_nlinear_driver(MOST_ITERATIONS, STEP_TOLERANCE, GRADIENT_TOLERANCE,
                                             0.0, NULL, NULL, &info, solver->workspace);
}

oxt_status oxt_i_lsq_solve(oxt_i_lsq *solver, const double *weights, oxt_i_lsq_result *result,
                           oxt_error *error)
{
    size_t n = solver->problem.n, p = solver->problem.p;
    gsl_multifit_nlinear_workspace *workspace = solver->workspace;
    gsl_vector_const_view start = gsl_vector_const_view_array(result->parameters, p);
    int state;
    if (weights) {
        gsl_vector_const_view given = gsl_vector_const_view_array(weights, n);
        state = gsl_multifit_nlinear_winit(&start.vector, &given.vector, &solver->functions,
                                           workspace);
    } else {
        state = gsl_multifit_nlinear_init(&start.vector, &solver->functions, workspace);
    }
    if (!state)
        state = iterate(solver);
    if (state == GSL_EBADFUNC)
        return oxt_i_fail_text(error, OXT_ENOCONV, "fit",
                               "the model cannot be computed at a point of the iteration");
    if (state && !is_minimum(workspace, 1e-7))
        return oxt_i_fail_text(error, OXT_ENOCONV, "fit",
                               "the iteration did not converge within %d steps", MOST_ITERATIONS);
    const gsl_vector *f = gsl_multifit_nlinear_residual(workspace);
    gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(workspace), 0.0, solver->covariance);
    memcpy(result->parameters, gsl_multifit_nlinear_position(workspace)->data,
           p * sizeof *result->parameters);
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            result->covariance[i * p + j] = gsl_matrix_get(solver->covariance, i, j);
    gsl_blas_ddot(f, f, &result->chi_square);
    result->iterations = gsl_multifit_nlinear_niter(workspace);
    return OXT_OK;
}
