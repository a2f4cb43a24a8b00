/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_min.h>
#include <gsl/gsl_odeiv2.h>
#include <gsl/gsl_roots.h>
#include <stdlib.h>

#define MOST_STEPS 200
/* A minimum cannot be told more finely than this share of itself: Brent's steps stay above the square
 * root of the precision of a double, and the interval above a few of them. */
#define FINEST_MINIMUM 1e-7
#define WORKSPACE_BYTES 4096 /* far more than a one-dimensional solver of GSL takes */

bool oxt_i_has_room(size_t bytes)
{
    void *probe = malloc(bytes);
    free(probe);
    return probe != NULL;
}

/* GSL calls its error handler for a value that is not finite; this keeps such values from it. */
typedef struct {
    oxt_i_function function;
    void *context;
    bool bad;
} guarded;

static double call_guarded(double x, void *context)
{
    guarded *guard = context;
    double value = guard->function(x, guard->context);
    if (isfinite(value))
        return value;
    guard->bad = true;
    return 0.0;
}

static oxt_status not_found(oxt_error *error, const char *what, double low, double high)
{
    return oxt_i_fail(error, OXT_ENOCONV, what, NAN, low, high, "no %s was found between %g and %g",
                      what, low, high);
}

oxt_status oxt_i_find_root(oxt_i_function function, void *context, double low, double high,
                           double tolerance, double *root, oxt_error *error)
{
    guarded guard = { function, context, false };
    double at_low = call_guarded(low, &guard), at_high = call_guarded(high, &guard);
    bool straddles = (at_low <= 0.0 && at_high >= 0.0) || (at_low >= 0.0 && at_high <= 0.0);
    if (guard.bad || !straddles || !(low < high))
        return not_found(error, "root", low, high);
    if (!oxt_i_has_room(WORKSPACE_BYTES))
        return oxt_i_no_memory(error);
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    if (!solver)
        return oxt_i_no_memory(error);
    gsl_function wrapped = { call_guarded, &guard };
    int state = gsl_root_fsolver_set(solver, &wrapped, low, high);
    if (!state)
        state = GSL_CONTINUE;
    for (int i = 0; i < MOST_STEPS && state == GSL_CONTINUE && !guard.bad; i++) {
        state = gsl_root_fsolver_iterate(solver);
        if (!state)
            state = gsl_root_test_interval(gsl_root_fsolver_x_lower(solver),
                                           gsl_root_fsolver_x_upper(solver), tolerance, 0.0);
    }
    double found = gsl_root_fsolver_root(solver);
    gsl_root_fsolver_free(solver);
    if (state || guard.bad)
        return not_found(error, "root", low, high);
    *root = found;
    return OXT_OK;
}

oxt_status oxt_i_find_minimum(oxt_i_function function, void *context, double low, double high,
                              double tolerance, double *place, oxt_error *error)
{
    guarded guard = { function, context, false };
    double middle = 0.5 * (low + high);
    double at_low = call_guarded(low, &guard), at_high = call_guarded(high, &guard);
    double at_middle = call_guarded(middle, &guard);
    if (guard.bad || !(low < high))
        return not_found(error, "minimum", low, high);
    if (at_middle >= at_low || at_middle >= at_high) {
        *place = at_low < at_high ? low : high;
        if (at_middle < at_low && at_middle < at_high)
            *place = middle;
        return OXT_OK;
    }
    if (!oxt_i_has_room(WORKSPACE_BYTES))
        return oxt_i_no_memory(error);
    gsl_min_fminimizer *solver = gsl_min_fminimizer_alloc(gsl_min_fminimizer_brent);
    if (!solver)
        return oxt_i_no_memory(error);
    gsl_function wrapped = { call_guarded, &guard };
    int state = gsl_min_fminimizer_set_with_values(solver, &wrapped, middle, at_middle, low, at_low,
                                                   high, at_high);
    if (!state)
        state = GSL_CONTINUE;
    for (int i = 0; i < MOST_STEPS && state == GSL_CONTINUE && !guard.bad; i++) {
        state = gsl_min_fminimizer_iterate(solver);
        if (!state)
            state = gsl_min_test_interval(gsl_min_fminimizer_x_lower(solver),
                                          gsl_min_fminimizer_x_upper(solver), tolerance,
                                          FINEST_MINIMUM);
    }
    double found = gsl_min_fminimizer_x_minimum(solver);
    gsl_min_fminimizer_free(solver);
    if (state || guard.bad)
        return not_found(error, "minimum", low, high);
    *place = found;
    return OXT_OK;
}

typedef struct {
    oxt_i_slopes slopes;
    void *context;
} system_of;

static int call_slopes(double x, const double y[], double slope[], void *context)
{
    system_of *given = context;
    return given->slopes(x, y, slope, given->context) ? GSL_SUCCESS : GSL_EBADFUNC;
}

oxt_status oxt_i_follow(oxt_i_slopes slopes, void *context, size_t count, double from, double to,
                        double tolerance, double *y, oxt_error *error)
{
    system_of given = { slopes, context };
    gsl_odeiv2_system system = { call_slopes, NULL, count, &given };
    if (to == from)
        return OXT_OK;
    if (!oxt_i_has_room(4 * WORKSPACE_BYTES))
        return oxt_i_no_memory(error);
    gsl_odeiv2_step *step = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rk8pd, count);
    gsl_odeiv2_control *control = gsl_odeiv2_control_y_new(0.0, tolerance);
    gsl_odeiv2_evolve *evolve = gsl_odeiv2_evolve_alloc(count);
    double x = from, width = to - from;
    int state = GSL_SUCCESS;
    for (int i = 0; i < 10 * MOST_STEPS && x < to && !state; i++)
        state = gsl_odeiv2_evolve_apply(evolve, control, step, &system, &x, to, &width, y);
    gsl_odeiv2_evolve_free(evolve);
    gsl_odeiv2_control_free(control);
    gsl_odeiv2_step_free(step);
    return state || x < to ? not_found(error, "path", from, to) : OXT_OK;
}

double oxt_i_t_quantile(double confidence, double dof)
{
    return gsl_cdf_tdist_Pinv(0.5 + 0.5 * confidence, dof);
}
