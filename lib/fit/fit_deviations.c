/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The scatter and what days differ by, together: both deviations have a posterior on a grid, whose spread goes into the
 * errors and their degrees of freedom.
 *
 * Source: moments of a scaled inverse chi-square: A. Gelman et al., Bayesian Data Analysis, 3rd ed., appendix A, from
 * memory. */
#include "fit/fit.h"

static double square_of(double number)
{
    return number * number;
}

/* What days differ by: half of the shops by less than three quarters of this, as a share of the film (common practice,
 * no source). Half of a Student's t with 4 degrees of freedom: five or six days outweigh it. */
static const double USUAL_DAY_SD = 0.05;

static double log_prior(double day_sd)
{
    return -2.5 * log1p(0.25 * square_of(day_sd / USUAL_DAY_SD));
}

/* One place of the grid. */
typedef struct {
    double scatter, day_sd, share;
    oxt_i_constants at;
    double variance; /* of ln k_ref and of q together, as the used baths weigh them */
} node;

static oxt_status visit(oxt_i_fit_solution *solution, double scatter, node *made, oxt_error *error)
{
    oxt_status status = oxt_i_fit_converge(solution, scatter * scatter, error);
    if (status)
        return status;
    const oxt_i_constants *at = &solution->at[0];
    const oxt_i_fit_model *model = &solution->model;
    double mean = 0.0, square = 0.0;
    for (size_t i = model->first[0]; i < model->first[1]; i++) {
        mean += model->u[i] / (double)(model->first[1] - model->first[0]);
        square += square_of(model->u[i]) / (double)(model->first[1] - model->first[0]);
    }
    *made = (node){ .scatter = scatter, .day_sd = solution->day_sd, .at = *at };
    made->variance = at->variance_b - 2.0 * mean * at->covariance + square * at->variance_q;
    made->share = oxt_i_fit_restricted_likelihood(solution) + log_prior(solution->day_sd);
    return OXT_OK;
}

/* The largest deviation of days that is looked at: what the means of the days differ by, or the prior's. */
static double largest_deviation(oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    double sum = 0.0, days = 0.0;
    for (size_t g = 0; g < model->set_count; g++) {
        if (model->sets[g]->day_count == 0)
            continue;
        oxt_i_fit_sum_days(solution, g);
        for (size_t d = 0; d < model->sets[g]->day_count; d++) {
            const oxt_i_moments *day = &solution->days[d];
            sum += square_of(0.5 * (solution->at[g].b - solution->at[g].q * day->u - day->z));
            days += 1.0;
        }
    }
    return 4.0 * USUAL_DAY_SD + 2.0 * sqrt(sum / days);
}

/* One side of the grid, whose places are the middles of as many equal steps. */
typedef struct {
    double low, high;
    size_t count;
} side;

static double place_on(const side *of, size_t index)
{
    return of->low + (of->high - of->low) * ((double)index + 0.5) / (double)of->count;
}

/* Keep what is not hopeless of a side, with a step beyond it. */
static bool narrow(side *of, const bool *hopeful)
{
    size_t first = 0, end = of->count;
    double step = (of->high - of->low) / (double)of->count, low = of->low;
    while (first < end && !hopeful[first])
        first++;
    while (end > first && !hopeful[end - 1])
        end--;
    if (first == end)
        return false;
    of->low = first > 0 ? low + step * ((double)first - 1.0) : low;
    of->high = end < of->count ? low + step * ((double)end + 1.0) : of->high;
    return 2 * (end - first) < of->count && of->count > 1;
}

enum { SCATTERS = 10, DEVIATIONS = 8 };

/* Does a grid miss the peak between its places? It is then drawn closer. */
static bool narrow_both(side *scatters, side *places, const node *nodes)
{
    static const double HOPELESS = 8.0; /* logarithm of a share of the most */
    bool scatter[SCATTERS] = { false }, place[DEVIATIONS] = { false };
    double most = -HUGE_VAL;
    for (size_t i = 0; i < scatters->count * places->count; i++)
        most = fmax(most, nodes[i].share);
    for (size_t i = 0; i < scatters->count * places->count; i++)
        if (nodes[i].share > most - HOPELESS)
            scatter[i / places->count] = place[i % places->count] = true;
    bool closer = narrow(scatters, scatter);
    return narrow(places, place) || closer;
}

/* Student's t with so many degrees of freedom is as wide, and as wide in its tails, as the normal deviates of all these
 * variances together. */
static double dof_of(double mean, double square)
{
    return 4.0 + 2.0 / fmax(square / (mean * mean) - 1.0, 1e-6);
}

/* Scatter and deviation of the days, with the degrees of freedom of their sum; a scatter that is given stays. */
static void take_deviations(oxt_i_fit_solution *solution, const node *nodes, size_t count,
                            bool given)
{
    double of_rows = 0.0, of_days = 0.0, square = 0.0;
    for (size_t i = 0; i < count; i++) {
        double rows = square_of(nodes[i].scatter), days = square_of(nodes[i].day_sd);
        of_rows += nodes[i].share * rows;
        of_days += nodes[i].share * days;
        square += nodes[i].share * square_of(rows + days);
    }
    double mean = of_rows + of_days, dof = dof_of(mean, square), scale = 1.0 - 2.0 / dof;
    solution->scatter_dof = dof;
    solution->scatter = sqrt(given ? of_rows : scale * of_rows);
    solution->day_sd = sqrt(given ? fmax(scale * mean - of_rows, 0.0) : scale * of_days);
}

/* The constants over the whole grid. */
static void take_constants(oxt_i_fit_solution *solution, const node *nodes, size_t count)
{
    double b = 0.0, q = 0.0, mean = 0.0, square = 0.0, bb = 0.0, bq = 0.0, qq = 0.0;
    for (size_t i = 0; i < count; i++) {
        double share = nodes[i].share;
        b += share * nodes[i].at.b;
        q += share * nodes[i].at.q;
        mean += share * nodes[i].variance;
        square += share * square_of(nodes[i].variance);
    }
    for (size_t i = 0; i < count; i++) {
        const oxt_i_constants *at = &nodes[i].at;
        bb += nodes[i].share * (at->variance_b + square_of(at->b - b));
        bq += nodes[i].share * (at->covariance + (at->b - b) * (at->q - q));
        qq += nodes[i].share * (at->variance_q + square_of(at->q - q));
    }
    solution->day_dof = dof_of(mean, square);
    double scale = 1.0 - 2.0 / solution->day_dof;
    solution->day_covariance = (oxt_i_constants){ .variance_b = scale * bb,
                                                  .covariance = scale * bq,
                                                  .variance_q = scale * qq };
}

/* False where no place of the grid has a likelihood that a double holds. */
static bool share_out(node *nodes, size_t count)
{
    double most = -HUGE_VAL, all = 0.0;
    for (size_t i = 0; i < count; i++)
        most = fmax(most, nodes[i].share);
    for (size_t i = 0; i < count; i++)
        all += nodes[i].share = exp(nodes[i].share - most);
    for (size_t i = 0; i < count; i++)
        nodes[i].share /= all;
    return isfinite(most);
}

oxt_status oxt_i_fit_find_deviations(oxt_i_fit_solution *solution, oxt_error *error)
{
    enum { ROUNDS = 3 };
    bool given = solution->scatter >= 0.0, closer = true;
    side scatters = { solution->scatter, solution->scatter, 1 }, places = { 0.0, 1.0, DEVIATIONS };
    oxt_status status = OXT_OK;
    if (!given) {
        double low, high;
        status = oxt_i_fit_scatter_range(solution, &low, &high, error);
        if (status)
            return status;
        scatters = (side){ log(low), log(high), SCATTERS };
    }
    double share = solution->share, most = largest_deviation(solution);
    size_t count = scatters.count * places.count;
    node nodes[SCATTERS * DEVIATIONS];
    solution->roughly = true;
    for (int round = 0; round < ROUNDS && closer && !status; round++) {
        for (size_t i = 0; i < count && !status; i++) {
            double scatter = place_on(&scatters, i / places.count);
            double place = place_on(&places, i % places.count);
            solution->day_sd = most * place * place; /* closer where most of it lies */
            solution->share = share + (0.9 - share) * (double)i / (double)count;
            status = visit(solution, given ? scatter : exp(scatter), &nodes[i], error);
            if (!status && !given)
                nodes[i].share += oxt_i_fit_log_prior(scatter);
            nodes[i].share += log(place); /* the steps are as wide as this */
        }
        closer = !status && narrow_both(&scatters, &places, nodes);
    }
    solution->roughly = false;
    if (status)
        return status;
    if (!share_out(nodes, count))
        return oxt_i_fail_text(
            error, OXT_ENOCONV, "trials",
            "no scatter and no deviation of the days agree with these trials: check "
            "the errors that they and the options state");
    take_deviations(solution, nodes, count, given);
    take_constants(solution, nodes, count);
    return OXT_OK;
}
