/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/lsq.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <stdlib.h>
#include <string.h>

#define MOST_ITERATIONS 1000
#define MOST_REFUSALS 15
#define STEP_TOLERANCE 1e-12
#define GRADIENT_TOLERANCE 1e-14
/* A gain of the square of this share of chi-square is lost in its rounding. */
#define WITHIN_ROUNDING 1e-6
/* Of the reference problems at their minima the worst has 6e-10; plateaus have 1e-14 and less. */
#define LEAST_RCOND 1e-12

/* Powell's dogleg reached the certified values of more reference problems than the others did, and
 * Levenberg and Marquardt's steps one more that it does not reach
 * (docs/understand/decisions/03-least-squares.md). */
typedef enum { DOGLEG, LEVENBERG_MARQUARDT } steps;

struct oxt_i_lsq {
    oxt_i_lsq_problem problem;
    double *jacobian;  /* n by p, factorised once it has been evaluated */
    double *residuals; /* n; those at `parameters`, weighted */
    double *trial;     /* n; those of a step that is tried, then Q^T times the residuals */
};

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
    made->jacobian = malloc(n * p * sizeof *made->jacobian);
    made->residuals = malloc(n * sizeof *made->residuals);
    made->trial = malloc(n * sizeof *made->trial);
    if (!made->jacobian || !made->residuals || !made->trial) {
        oxt_i_lsq_free(made);
        return oxt_i_no_memory(error);
    }
    *solver = made;
    return OXT_OK;
}

void oxt_i_lsq_free(oxt_i_lsq *solver)
{
    if (!solver)
        return;
    free(solver->jacobian);
    free(solver->residuals);
    free(solver->trial);
    free(solver);
}

/* ---- linear algebra ---- */

/* Rows of the Jacobian or the residuals, each times the root of its weight; `weights` NULL: all 1. */
static void scale(double *values, size_t n, size_t columns, const double *weights)
{
    for (size_t i = 0; weights && i < n; i++)
        for (size_t j = 0; j < columns; j++)
            values[i * columns + j] *= sqrt(weights[i]);
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

/* (R^T R)^-1 of the upper rows of a factorised Jacobian, row by row, and the reciprocal of the condition
 * of R by sums of columns; 0 when R is singular, and no covariance then. */
static double covariance_of(const gsl_matrix *QR, double *covariance)
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

/* ---- where a search stands ---- */

typedef struct {
    oxt_i_lsq *solver;
    const double *weights;
    size_t p;
    double x[OXT_I_LSQ_MOST_PARAMETERS];
    double square;                              /* of the residuals */
    double tau[OXT_I_LSQ_MOST_PARAMETERS];      /* of the factorisation */
    double along[OXT_I_LSQ_MOST_PARAMETERS];    /* Q^T times the residuals */
    double gradient[OXT_I_LSQ_MOST_PARAMETERS]; /* of half the square */
    double
        longest[OXT_I_LSQ_MOST_PARAMETERS]; /* the longest its column has been: J. J. More, 1978 */
    double radius;                          /* of the region that the dogleg trusts */
    double damping, growth;                 /* of Levenberg and Marquardt's steps */
} search;

static gsl_matrix_view factors(const search *now)
{
    return gsl_matrix_view_array(now->solver->jacobian, now->solver->problem.n, now->p);
}

static double R_at(const search *now, size_t i, size_t j)
{
    return now->solver->jacobian[i * now->p + j];
}

/* Weighted residuals at a place; false where there are none. */
static bool evaluate(const search *now, const double *x, double *residuals, double *square)
{
    const oxt_i_lsq_problem *problem = &now->solver->problem;
    *square = 0.0;
    if (!problem->residuals(x, residuals, problem->context))
        return false;
    scale(residuals, problem->n, 1, now->weights);
    for (size_t i = 0; i < problem->n; i++)
        *square += residuals[i] * residuals[i];
    return isfinite(*square);
}

/* Jacobian, its factors, and the gradient at the present place. */
static bool linearise(search *now)
{
    const oxt_i_lsq_problem *problem = &now->solver->problem;
    size_t n = problem->n, p = now->p;
    double *J = now->solver->jacobian;
    if (!problem->jacobian(now->x, J, problem->context))
        return false;
    scale(J, n, p, now->weights);
    for (size_t j = 0; j < p; j++) {
        double square = 0.0;
        now->gradient[j] = 0.0;
        for (size_t i = 0; i < n; i++) {
            square += J[i * p + j] * J[i * p + j];
            now->gradient[j] += J[i * p + j] * now->solver->residuals[i];
        }
        if (!isfinite(square) || !isfinite(now->gradient[j]))
            return false;
        now->longest[j] = fmax(now->longest[j], sqrt(square));
        if (now->longest[j] == 0.0)
            now->longest[j] = 1.0;
    }
    gsl_matrix_view QR = factors(now);
    gsl_vector_view tau = gsl_vector_view_array(now->tau, p);
    gsl_vector_view f = gsl_vector_view_array(now->solver->trial, n);
    memcpy(now->solver->trial, now->solver->residuals, n * sizeof *now->solver->trial);
    gsl_linalg_QR_decomp(&QR.matrix, &tau.vector);
    gsl_linalg_QR_QTvec(&QR.matrix, &tau.vector, &f.vector);
    memcpy(now->along, now->solver->trial, p * sizeof *now->along);
    return true;
}

static double scaled_length(const search *now, const double *vector)
{
    double square = 0.0;
    for (size_t j = 0; j < now->p; j++)
        square += now->longest[j] * vector[j] * now->longest[j] * vector[j];
    return sqrt(square);
}

/* Square of the length of R times a step, which is that of the Jacobian times it. */
static double square_of_change(const search *now, const double *step)
{
    double square = 0.0;
    for (size_t i = 0; i < now->p; i++) {
        double sum = 0.0;
        for (size_t j = i; j < now->p; j++)
            sum += R_at(now, i, j) * step[j];
        square += sum * sum;
    }
    return square;
}

/* ---- steps ---- */

/* R step = -along; false where R is singular. */
static bool gauss_newton(const search *now, double *step)
{
    for (size_t i = now->p; i-- > 0;) {
        double sum = -now->along[i];
        for (size_t j = i + 1; j < now->p; j++)
            sum -= R_at(now, i, j) * step[j];
        step[i] = sum / R_at(now, i, i);
        if (!isfinite(step[i]))
            return false;
    }
    return true;
}

/* Within the radius: along the steepest slope, then over to the minimum of the linear model. Source:
 * M. J. D. Powell, in: Numerical Methods for Nonlinear Algebraic Equations, 1970, 87. From memory. */
static void dogleg(const search *now, double *step)
{
    double far[OXT_I_LSQ_MOST_PARAMETERS], slope_square = 0.0, aa = 0.0, ab = 0.0, bb = 0.0;
    bool has_far = gauss_newton(now, far);
    if (has_far && scaled_length(now, far) <= now->radius) {
        memcpy(step, far, sizeof far);
        return;
    }
    for (size_t j = 0; j < now->p; j++) {
        double slope = now->gradient[j] / now->longest[j];
        step[j] = -slope / now->longest[j];
        slope_square += slope * slope;
    }
    double length = slope_square / square_of_change(now, step);
    double longest = now->radius / sqrt(slope_square);
    bool is_cut = !(length < longest);
    for (size_t j = 0; j < now->p; j++)
        step[j] *= is_cut ? longest : length;
    if (is_cut || !has_far)
        return;
    for (size_t j = 0; j < now->p; j++) {
        double a = now->longest[j] * step[j], b = now->longest[j] * far[j] - a;
        aa += a * a;
        ab += a * b;
        bb += b * b;
    }
    double left = now->radius * now->radius - aa;
    double share = left / (ab + sqrt(ab * ab + bb * left));
    for (size_t j = 0; j < now->p; j++)
        step[j] += share * (far[j] - step[j]);
}

/* The minimum of the linear model plus the damping times the scaled square of the step. */
static void damped(const search *now, double *step)
{
    enum { P = OXT_I_LSQ_MOST_PARAMETERS };
    double stacked[2 * P * P] = { 0.0 }, right[2 * P] = { 0.0 }, taus[P];
    size_t p = now->p;
    for (size_t i = 0; i < p; i++) {
        for (size_t j = i; j < p; j++)
            stacked[i * p + j] = R_at(now, i, j);
        stacked[(p + i) * p + i] = sqrt(now->damping) * now->longest[i];
        right[i] = -now->along[i];
    }
    gsl_matrix_view QR = gsl_matrix_view_array(stacked, 2 * p, p);
    gsl_matrix_view R = gsl_matrix_view_array(stacked, p, p);
    gsl_vector_view tau = gsl_vector_view_array(taus, p);
    gsl_vector_view b = gsl_vector_view_array(right, 2 * p);
    gsl_vector_view move = gsl_vector_view_array(right, p);
    gsl_linalg_QR_decomp(&QR.matrix, &tau.vector);
    gsl_linalg_QR_QTvec(&QR.matrix, &tau.vector, &b.vector);
    gsl_blas_dtrsv(CblasUpper, CblasNoTrans, CblasNonUnit, &R.matrix, &move.vector);
    memcpy(step, right, p * sizeof *step);
}

/* `gain` is the share of the expected gain that a step has made. Damping as H. B. Nielsen has it (report
 * IMM-REP-1999-05, Technical University of Denmark; from memory). */
static void adapt(search *now, double gain)
{
    double beyond = 2.0 * gain - 1.0;
    if (gain > 0.75)
        now->radius *= 3.0;
    else if (!(gain >= 0.25))
        now->radius /= 2.0;
    if (gain > 0.0) {
        now->damping *= fmax(1.0 / 3.0, 1.0 - beyond * beyond * beyond);
        now->growth = 2.0;
    } else {
        now->damping *= now->growth;
        now->growth *= 2.0;
    }
}

/* ---- the search ---- */

/* Is the residual at right angles to every column of the Jacobian, within its rounding, or is what is left
 * of it only the rounding of the parameters, as with data that the model meets exactly? Then this is
 * a minimum, even when rounding allows no step more. */
static bool is_minimum(const search *now)
{
    double size = sqrt(now->square);
    for (size_t j = 0; j < now->p; j++) {
        double square = 0.0;
        for (size_t i = 0; i <= j; i++)
            square += R_at(now, i, j) * R_at(now, i, j);
        double length = sqrt(square), rounding = 1e-14 * length * fabs(now->x[j]);
        if (!(fabs(now->gradient[j]) <= length * fmax(WITHIN_ROUNDING * size, rounding)))
            return false;
    }
    return true;
}

static bool is_flat(const search *now)
{
    double largest = 0.0;
    for (size_t j = 0; j < now->p; j++)
        largest = fmax(largest, fabs(now->gradient[j] * fmax(fabs(now->x[j]), 1.0)));
    return largest <= GRADIENT_TOLERANCE * fmax(0.5 * now->square, 1.0);
}

static bool is_short(const search *now, const double *step)
{
    for (size_t j = 0; j < now->p; j++)
        if (!(fabs(step[j]) <= STEP_TOLERANCE * (fabs(now->x[j]) + STEP_TOLERANCE)))
            return false;
    return true;
}

/* Take one step that is a gain; false when there is none to be had. */
static bool go_down(search *now, steps by, double *step)
{
    for (int refused = 0; refused <= MOST_REFUSALS; refused++) {
        double to[OXT_I_LSQ_MOST_PARAMETERS], square, expected = 0.0;
        if (by == DOGLEG)
            dogleg(now, step);
        else
            damped(now, step);
        for (size_t j = 0; j < now->p; j++) {
            to[j] = now->x[j] + step[j];
            expected -= 2.0 * now->gradient[j] * step[j];
        }
        expected -= square_of_change(now, step);
        bool is_there = evaluate(now, to, now->solver->trial, &square);
        double gain = is_there ? (now->square - square) / expected : -1.0;
        adapt(now, gain);
        if (!(gain > 0.0))
            continue;
        memcpy(now->x, to, sizeof to);
        memcpy(now->solver->residuals, now->solver->trial,
               now->solver->problem.n * sizeof *now->solver->residuals);
        now->square = square;
        return true;
    }
    return false;
}

/* One try from a start; GSL_SUCCESS only at a minimum where the data determine every parameter. At
 * plateaus far off the residuals are flat too, but the Jacobian is singular there. */
static int try_from(oxt_i_lsq *solver, steps by, const double *start, const double *weights,
                    oxt_i_lsq_result *result)
{
    search now = {
        .solver = solver, .weights = weights, .p = solver->problem.p, .damping = 1e-3, .growth = 2.0
    };
    size_t iterations = 0;
    bool is_done = false, is_stuck = false;
    memcpy(now.x, start, sizeof now.x);
    if (!evaluate(&now, now.x, solver->residuals, &now.square) || !linearise(&now))
        return GSL_EBADFUNC;
    now.radius = 0.3 * fmax(1.0, scaled_length(&now, now.x));
    while (!is_done && !is_stuck && iterations < MOST_ITERATIONS) {
        double step[OXT_I_LSQ_MOST_PARAMETERS];
        is_stuck = !go_down(&now, by, step);
        if (is_stuck)
            break;
        iterations++;
        if (!linearise(&now))
            return GSL_EBADFUNC;
        is_done = is_short(&now, step) || is_flat(&now);
    }
    if (!is_done && !is_minimum(&now))
        return GSL_ENOPROG;
    gsl_matrix_view QR = factors(&now);
    if (!(covariance_of(&QR.matrix, result->covariance) > LEAST_RCOND))
        return GSL_ESING;
    memcpy(result->parameters, now.x, now.p * sizeof *now.x);
    result->chi_square = now.square;
    result->iterations = iterations;
    return GSL_SUCCESS;
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
        if (!solver->problem.jacobian(parameters, solver->jacobian, solver->problem.context))
            return;
        for (size_t i = 0; i < n; i++) {
            double slope = solver->jacobian[i * p + j], weight = weights ? weights[i] : 1.0;
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

/* What is tried in turn until one ends well. */
static const struct {
    steps by;
    bool one_by_one; /* begin so */
} rungs[] = { { DOGLEG, false }, { LEVENBERG_MARQUARDT, false }, { DOGLEG, true } };

static int climb(oxt_i_lsq *solver, const double *weights, oxt_i_lsq_result *result)
{
    int state = GSL_CONTINUE;
    for (size_t i = 0; i < OXT_I_COUNT(rungs) && state; i++) {
        double start[OXT_I_LSQ_MOST_PARAMETERS];
        memcpy(start, result->parameters, sizeof start);
        if (rungs[i].one_by_one)
            step_one_by_one(solver, start, weights);
        state = try_from(solver, rungs[i].by, start, weights, result);
    }
    return state;
}

oxt_status oxt_i_lsq_solve(oxt_i_lsq *solver, const double *weights, oxt_i_lsq_result *result,
                           oxt_error *error)
{
    int state = climb(solver, weights, result);
    if (!state)
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_ENOCONV, "fit",
                           state == GSL_EBADFUNC
                               ? "the model cannot be computed at a point of the iteration"
                               : "the iteration did not converge to a minimum where the data "
                                 "determine every parameter");
}
