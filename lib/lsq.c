/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "lsq.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <stdlib.h>
#include <string.h>

#include "lsq_linear.h"
#include "solve.h"

#define MOST_ITERATIONS 1000
#define STEP_TOLERANCE 1e-12
#define GRADIENT_TOLERANCE 1e-14
/* A gain of the square of this share of chi-square is lost in its rounding. */
#define WITHIN_ROUNDING 1e-6
/* Of the reference problems at their minima the worst has 6e-10; plateaus have 1e-14 and less. */
#define LEAST_RCOND 1e-12

/* Powell's dogleg reached the certified values of more reference problems than the others did, and
 * Levenberg and Marquardt's steps one more that it does not reach
 * (docs/decisions/03-least-squares.md). */
enum { DOGLEG, LEVENBERG_MARQUARDT, METHODS };

struct oxt_i_lsq {
    oxt_i_lsq_problem problem;
    gsl_multifit_nlinear_workspace *workspaces[METHODS]; /* the second is made when it is needed */
    gsl_multifit_nlinear_fdf functions;
    gsl_matrix *covariance;
    double *scratch;   /* n by p, for the Jacobian */
    double *residuals; /* n */
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

/* The workspace of a method; NULL when memory ran out. */
static gsl_multifit_nlinear_workspace *workspace_for(oxt_i_lsq *solver, int method)
{
    size_t n = solver->problem.n, p = solver->problem.p;
    /* What GSL will take: a Jacobian or two and some vectors. */
    size_t bytes = (4 * n * (p + 4) + 16 * p * (p + 8)) * sizeof(double);
    gsl_multifit_nlinear_parameters options = gsl_multifit_nlinear_default_parameters();
    options.trs = method == DOGLEG ? gsl_multifit_nlinear_trs_dogleg : gsl_multifit_nlinear_trs_lm;
    if (!solver->workspaces[method] && oxt_i_has_room(bytes + 16384))
        solver->workspaces[method] = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust,
                                                                &options, n, p);
    return solver->workspaces[method];
}

oxt_status oxt_i_lsq_new(oxt_i_lsq **solver, const oxt_i_lsq_problem *problem, oxt_error *error)
{
    size_t n = problem->n, p = problem->p;
    *solver = NULL;
    if (p == 0 || p > OXT_I_LSQ_MOST_PARAMETERS || n < p)
        return oxt_i_fail(error, OXT_EFEW, "n", (double)n, (double)p, NAN,
                          "%zu rows cannot determine %zu parameters", n, p);
    oxt_i_lsq *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    made->problem = *problem;
    made->scratch = malloc(n * p * sizeof *made->scratch);
    made->residuals = malloc(n * sizeof *made->residuals);
    bool has_room = made->scratch && made->residuals;
    if (has_room && !problem->linear) {
        has_room = workspace_for(made, DOGLEG);
        made->covariance = has_room ? gsl_matrix_alloc(p, p) : NULL;
    }
    if (!has_room) {
        oxt_i_lsq_free(made);
        return oxt_i_no_memory(error);
    }
    made->functions = (gsl_multifit_nlinear_fdf){
        .f = residuals, .df = jacobian, .n = n, .p = p, .params = made
    };
    *solver = made;
    return OXT_OK;
}

void oxt_i_lsq_free(oxt_i_lsq *solver)
{
    if (!solver)
        return;
    for (int method = 0; method < METHODS; method++)
        if (solver->workspaces[method])
            gsl_multifit_nlinear_free(solver->workspaces[method]);
    if (solver->covariance)
        gsl_matrix_free(solver->covariance);
    free(solver->scratch);
    free(solver->residuals);
    free(solver);
}

/* Is the residual at right angles to every column of the Jacobian, within its rounding, or is what is left
 * of it only the rounding of the parameters, as with data that the model meets exactly? Then this is
 * a minimum, even when rounding keeps GSL from one more step. */
static bool is_minimum(const gsl_multifit_nlinear_workspace *workspace)
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
        if (!(fabs(product) <= length * fmax(WITHIN_ROUNDING * size, rounding)))
            return false;
    }
    return true;
}

/* One try from a start; GSL_SUCCESS only at a minimum where the data determine every parameter. At
 * plateaus far off the residuals are flat too, but the Jacobian is singular there. */
static int try_from(oxt_i_lsq *solver, gsl_multifit_nlinear_workspace *workspace,
                    const double *parameters, const double *weights)
{
    gsl_vector_const_view start = gsl_vector_const_view_array(parameters, solver->problem.p);
    double rcond = 0.0;
    int state, info = 0;
    if (weights) {
        gsl_vector_const_view given = gsl_vector_const_view_array(weights, solver->problem.n);
        state = gsl_multifit_nlinear_winit(&start.vector, &given.vector, &solver->functions,
                                           workspace);
    } else {
        state = gsl_multifit_nlinear_init(&start.vector, &solver->functions, workspace);
    }
    if (!state)
        state = gsl_multifit_nlinear_driver(MOST_ITERATIONS, STEP_TOLERANCE, GRADIENT_TOLERANCE,
                                            0.0, NULL, NULL, &info, workspace);
    if (state == GSL_EBADFUNC)
        return state;
    if (state && is_minimum(workspace))
        state = GSL_SUCCESS;
    if (state)
        return state;
    gsl_multifit_nlinear_rcond(&rcond, workspace);
    return rcond > LEAST_RCOND ? GSL_SUCCESS : GSL_ESING;
}

static double sum_of_squares(oxt_i_lsq *solver, const double *parameters, const double *weights)
{
    double sum = 0.0;
    if (!solver->problem.residuals(parameters, solver->residuals, solver->problem.context))
        return HUGE_VAL;
    for (size_t i = 0; i < solver->problem.n; i++)
        sum += (weights ? weights[i] : 1.0) * solver->residuals[i] * solver->residuals[i];
    return isfinite(sum) ? sum : HUGE_VAL;
}

/* A better start: each parameter in turn takes its own Gauss-Newton step, halved until it is a gain.
 * From a bad start the joint step throws all of them far off because of one; these do not. */
static void step_one_by_one(oxt_i_lsq *solver, double *parameters, const double *weights)
{
    enum { SWEEPS = 5, HALVINGS = 30 };
    size_t n = solver->problem.n, p = solver->problem.p;
    for (size_t step = 0; step < SWEEPS * p; step++) {
        size_t j = step % p;
        double now = sum_of_squares(solver, parameters, weights), across = 0.0, square = 0.0;
        if (!solver->problem.jacobian(parameters, solver->scratch, solver->problem.context))
            return;
        for (size_t i = 0; i < n; i++) {
            double slope = solver->scratch[i * p + j], weight = weights ? weights[i] : 1.0;
            across += weight * slope * solver->residuals[i];
            square += weight * slope * slope;
        }
        double here = parameters[j], move = -across / square;
        if (!isfinite(move))
            continue;
        for (int i = 0; i < HALVINGS; i++, move *= 0.5) {
            parameters[j] = here + move;
            if (sum_of_squares(solver, parameters, weights) < now)
                break;
            parameters[j] = here;
        }
    }
}

static void take_result(oxt_i_lsq *solver, const gsl_multifit_nlinear_workspace *workspace,
                        oxt_i_lsq_result *result)
{
    size_t p = solver->problem.p;
    const gsl_vector *f = gsl_multifit_nlinear_residual(workspace);
    gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(workspace), 0.0, solver->covariance);
    memcpy(result->parameters, gsl_multifit_nlinear_position(workspace)->data,
           p * sizeof *result->parameters);
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            result->covariance[i * p + j] = gsl_matrix_get(solver->covariance, i, j);
    gsl_blas_ddot(f, f, &result->chi_square);
    result->iterations = gsl_multifit_nlinear_niter(workspace);
}

/* What is tried in turn until one ends well. */
static const struct {
    int method;
    bool one_by_one; /* begin so */
} rungs[] = { { DOGLEG, false }, { LEVENBERG_MARQUARDT, false }, { DOGLEG, true } };

/* GSL_ENOMEM when a workspace cannot be had. */
static int climb(oxt_i_lsq *solver, const double *weights, oxt_i_lsq_result *result)
{
    int state = GSL_CONTINUE;
    for (size_t i = 0; i < OXT_I_COUNT(rungs) && state; i++) {
        gsl_multifit_nlinear_workspace *workspace = workspace_for(solver, rungs[i].method);
        double start[OXT_I_LSQ_MOST_PARAMETERS];
        if (!workspace)
            return GSL_ENOMEM;
        memcpy(start, result->parameters, sizeof start);
        if (rungs[i].one_by_one)
            step_one_by_one(solver, start, weights);
        state = try_from(solver, workspace, start, weights);
        if (!state)
            take_result(solver, workspace, result);
    }
    return state;
}

oxt_status oxt_i_lsq_solve(oxt_i_lsq *solver, const double *weights, oxt_i_lsq_result *result,
                           oxt_error *error)
{
    int state = solver->problem.linear
                    ? oxt_i_lsq_solve_linear(&solver->problem, weights, solver->scratch,
                                             solver->residuals, result)
                    : climb(solver, weights, result);
    if (!state)
        return OXT_OK;
    if (state == GSL_ENOMEM)
        return oxt_i_no_memory(error);
    return oxt_i_fail_text(error, OXT_ENOCONV, "fit",
                           state == GSL_EBADFUNC
                               ? "the model cannot be computed at a point of the iteration"
                               : "the iteration did not converge to a minimum where the data "
                                 "determine every parameter");
}
