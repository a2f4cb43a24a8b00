/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shape of a law as one parameter more beside the constants. */
#include "fit/fit.h"

/* The set of a fit of one steel, which is its own. */
static oxt_growth *law_of(const oxt_i_fit_solution *solution)
{
    return solution->law;
}

static void move_shape(oxt_i_fit_solution *solution, double ln_shape)
{
    oxt_growth *law = law_of(solution);
    law->shape = exp(ln_shape);
    for (size_t i = 0; i < solution->model.n; i++)
        oxt_i_fit_move_row(law, solution->model.rows[i]);
    oxt_i_fit_fill_columns(solution, false);
}

/* What is known of the shape; and rows that are points are so in ln of the film, whatever the law makes of it. */
static double cost_of(const oxt_i_fit_solution *solution, double ln_shape)
{
    double cost = 0.0;
    if (solution->ln_shape_sd > 0.0) {
        double off = (ln_shape - solution->ln_shape) / solution->ln_shape_sd;
        cost += 0.5 * off * off;
    }
    for (size_t i = 0; i < solution->model.n; i++) {
        const oxt_i_fit_row *row = solution->model.rows[i];
        if (!(solution->by_band && row->is_band))
            cost -= log(0.5 * oxt_i_exponent_of(law_of(solution), oxt_i_seen(row)->seen_nm));
    }
    return cost;
}

/* Films and times that determine a shape besides the constants. */
static oxt_status check_enough(const oxt_i_fit_solution *solution, const oxt_fit_options *options,
                               oxt_error *error)
{
    enum { FEWEST = 6 };
    if (options->ln_shape_sd > 0.0 || solution->model.n >= FEWEST)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EFEW, "law", (double)solution->model.n, FEWEST, NAN,
                      "%zu trials cannot determine the shape of a law besides the constants, "
                      "expected at least %d; give the shape",
                      solution->model.n, FEWEST);
}

/* The scatter was found at the best shape: one degree of freedom less is behind it. */
static void count_shape(oxt_i_fit_solution *solution)
{
    double left = fmax(oxt_i_fit_counted_dof(solution), 2.0), more = left / (left - 1.0);
    oxt_i_constants *at = &solution->at[0];
    solution->scatter *= sqrt(more);
    solution->mean_variance *= more;
    solution->scatter_spread *= more * more;
    solution->extra_variance *= more;
    at->variance_b *= more;
    at->covariance *= more;
    at->variance_q *= more;
}

oxt_status oxt_i_fit_find_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                oxt_error *error)
{
    static const double STEP = 0.05;
    double low, high, found, start = log(law_of(solution)->shape);
    oxt_status status = check_enough(solution, options, error);
    if (status)
        return status;
    oxt_i_fit_shape_range(law_of(solution), &low, &high);
    solution->ln_shape = start;
    solution->ln_shape_sd = options->ln_shape_sd;
    const oxt_i_extra extra = { move_shape, cost_of, low, high, STEP };
    status = oxt_i_fit_find_extra(solution, &extra, start, options, &found, error);
    if (!status && options->ln_shape_sd == 0.0)
        count_shape(solution);
    return status;
}
