/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One parameter more beside the constants, on which the rows depend: found by its likelihood at the scatter, and the
 * scatter anew, in turn; the one is small where the other is right. */
#include "base/solve.h"
#include "fit/fit.h"

typedef struct {
    oxt_i_fit_solution *solution;
    const oxt_i_extra *extra;
    double variance, day_sd,
        steepness;     /* of the scatter and the days, and where these were found */
    oxt_status status; /* that ends the search */
    oxt_error *error;
} search;

static double steepness_of(const search *in)
{
    return in->extra->steepness ? in->extra->steepness(in->solution) : 1.0;
}

/* From the scatter and the days that the solution stands at. */
static void start_from(search *in)
{
    in->variance = in->solution->variance;
    in->day_sd = in->solution->day_sd;
    in->steepness = steepness_of(in);
}

/* Minus the logarithm of the posterior, at the scatter that was found last. Where the constants do not converge it is not. */
static double cost_at(double value, void *context)
{
    static const double NOWHERE = 1e100;
    search *in = context;
    if (in->status)
        return NOWHERE;
    in->extra->move(in->solution, value);
    double times = steepness_of(in) / in->steepness;
    in->solution->day_sd = times * in->day_sd;
    oxt_status status = oxt_i_fit_converge(in->solution, times * times * in->variance, in->error);
    if (status == OXT_ECANCEL || status == OXT_ENOMEM)
        in->status = status;
    return status ? NOWHERE
                  : in->extra->cost(in->solution, value) -
                        oxt_i_fit_restricted_likelihood(in->solution);
}

/* From a step to either side; the place itself comes last, and stays. */
static oxt_status take_slopes(search *in, double place)
{
    oxt_i_fit_solution *solution = in->solution;
    double step = in->extra->step, cost[3];
    start_from(in);
    for (int i = 0; i < 3; i++) {
        double sign = i == 0 ? -1.0 : i == 1 ? 1.0 : 0.0;
        cost[i] = cost_at(place + sign * step, in);
        for (size_t g = 0; g < solution->model.set_count; g++) {
            oxt_i_constants *slope = &solution->extra_slope[g];
            slope->b = (i > 0 ? slope->b : 0.0) + sign * solution->at[g].b / (2.0 * step);
            slope->q = (i > 0 ? slope->q : 0.0) + sign * solution->at[g].q / (2.0 * step);
        }
    }
    double curvature = (cost[0] - 2.0 * cost[2] + cost[1]) / (step * step);
    double range = in->extra->high - in->extra->low;
    solution->extra_variance = fmin(curvature > 0.0 ? 1.0 / curvature : HUGE_VAL,
                                    range * range / 12.0);
    return in->status;
}

/* Between the neighbours of the best of some places, where it has but one minimum; near the place that was found last, if
 * it is sought again. */
static oxt_status find_place(search *in, bool again, double tolerance, double *place)
{
    enum { PLACES = 13 };
    double each = (in->extra->high - in->extra->low) / (PLACES - 1), least = HUGE_VAL;
    int best = 0;
    start_from(in);
    if (again) {
        double low = fmax(*place - each, in->extra->low),
               high = fmin(*place + each, in->extra->high);
        oxt_status status = oxt_i_find_minimum(cost_at, in, low, high, tolerance, place, in->error);
        bool inside = (*place > low || low == in->extra->low) &&
                      (*place < high || high == in->extra->high);
        if (in->status || (!status && inside))
            return in->status;
    }
    for (int i = 0; i < PLACES; i++) {
        double cost = cost_at(in->extra->low + i * each, in);
        best = cost < least ? i : best;
        least = fmin(cost, least);
    }
    double low = in->extra->low + each * (best > 0 ? best - 1 : 0);
    double high = in->extra->low + each * (best < PLACES - 1 ? best + 1 : best);
    oxt_status status = oxt_i_find_minimum(cost_at, in, low, high, tolerance, place, in->error);
    return in->status ? in->status : status;
}

oxt_status oxt_i_fit_find_extra(oxt_i_fit_solution *solution, const oxt_i_extra *extra,
                                double start, const oxt_fit_options *options, double *found,
                                oxt_error *error)
{
    enum { ROUNDS = 4 };
    static const double NEAR = 0.05,
                        CLOSE = 1e-6; /* the first in steps: the scatter is not yet right */
    search in = { .solution = solution, .extra = extra, .error = error };
    double place = start;
    for (int round = 0; round < ROUNDS && !in.status; round++) {
        double before = place;
        solution->roughly = true;
        in.status = find_place(&in, round > 0, round > 0 ? CLOSE : NEAR * extra->step, &place);
        solution->roughly = false;
        if (in.status)
            break;
        extra->move(solution, place);
        in.status = oxt_i_fit_solve(solution, options, error);
        if (round > 0 && fabs(place - before) < NEAR * extra->step)
            break;
    }
    *found = place;
    return in.status ? in.status : take_slopes(&in, place);
}

oxt_status oxt_i_fit_seek_extra(oxt_i_fit_solution *solution, const oxt_i_extra *extra,
                                double *found, oxt_error *error)
{
    static const double NOWHERE = 1e99;
    search in = { .solution = solution, .extra = extra, .error = error };
    solution->roughly = true;
    oxt_status status = find_place(&in, false, 1e-6, found);
    solution->roughly = false;
    if (!status && cost_at(*found, &in) > NOWHERE)
        status = OXT_ENOCONV;
    return in.status ? in.status : status;
}

oxt_status oxt_i_fit_know_extra(oxt_i_fit_solution *solution, const oxt_i_extra *extra,
                                double place, oxt_error *error)
{
    search in = { .solution = solution, .extra = extra, .error = error };
    return take_slopes(&in, place);
}
