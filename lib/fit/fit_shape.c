/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shape of a law as one parameter more beside the constants. */
#include "fit/fit.h"

static void move_shape(oxt_i_fit_solution *solution, double ln_shape)
{
    solution->law->shape = exp(ln_shape);
    for (size_t i = 0; i < solution->model.n; i++)
        oxt_i_fit_move_row(solution->law, solution->model.rows[i]);
    oxt_i_fit_fill_columns(solution, false);
}

/* What is known of the shape. */
static double cost_of(const oxt_i_fit_solution *solution, double ln_shape)
{
    double off = 0.0;
    if (solution->ln_shape_sd > 0.0)
        off = (ln_shape - solution->ln_shape) / solution->ln_shape_sd;
    return 0.5 * off * off - oxt_i_fit_logs_of_law(solution);
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
    double low, high, found, start = log(solution->law->shape);
    oxt_status status = check_enough(solution, options, error);
    if (status)
        return status;
    oxt_i_fit_shape_range(solution->law, &low, &high);
    solution->ln_shape = start;
    solution->ln_shape_sd = options->ln_shape_sd;
    const oxt_i_extra extra = { move_shape, cost_of, low, high, STEP };
    status = oxt_i_fit_find_extra(solution, &extra, start, options, &found, error);
    if (!status && options->ln_shape_sd == 0.0 && options->scatter < 0.0)
        count_shape(solution);
    return status;
}
