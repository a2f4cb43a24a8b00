/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shape of a law as one parameter more beside the constants. */
#include "fit/fit.h"

void oxt_i_fit_move_shape(oxt_i_fit_solution *solution, double ln_shape)
{
    solution->law->shape = exp(ln_shape);
    oxt_i_fit_move_rows(solution);
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
    size_t fewest = solution->p + 2 > FEWEST ? solution->p + 2 : FEWEST;
    if (options->ln_shape_sd > 0.0 || solution->model.n >= fewest)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EFEW, "law", (double)solution->model.n, (double)fewest, NAN,
                      "%zu trials cannot determine the shape of a law besides the constants, "
                      "expected at least %zu; give the shape",
                      solution->model.n, fewest);
}

void oxt_i_fit_count_extra(oxt_i_fit_solution *solution)
{
    double left = fmax(oxt_i_fit_counted_dof(solution), 2.0), more = left / (left - 1.0);
    solution->scatter *= sqrt(more);
    solution->mean_variance *= more;
    solution->scatter_spread *= more * more;
    solution->extra_variance *= more;
    for (size_t g = 0; g < solution->model.set_count; g++) {
        oxt_i_constants *at = &solution->at[g];
        at->variance_b *= more;
        at->covariance *= more;
        at->variance_q *= more;
    }
}

static void count_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options)
{
    if (options->ln_shape_sd == 0.0 && options->scatter < 0.0)
        oxt_i_fit_count_extra(solution);
}

/* From the shape that the prior is about, or the first one. */
static oxt_i_extra shape_of(oxt_i_fit_solution *solution, const oxt_fit_options *options)
{
    bool about = options->ln_shape_sd > 0.0;
    oxt_i_extra made = { .move = oxt_i_fit_move_shape,
                         .cost = cost_of,
                         .step = OXT_I_SHAPE_STEP,
                         .steepness = options->scatter < 0.0 ? oxt_i_fit_steepness : NULL };
    oxt_i_fit_shape_range(solution->law, &made.low, &made.high);
    solution->ln_shape = about ? log(options->law_shape) : log(solution->law->shape);
    solution->ln_shape_sd = options->ln_shape_sd;
    return made;
}

oxt_status oxt_i_fit_find_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                oxt_error *error)
{
    const oxt_i_extra extra = shape_of(solution, options);
    double found;
    oxt_status status = check_enough(solution, options, error);
    if (!status)
        status = oxt_i_fit_find_extra(solution, &extra, log(solution->law->shape), options, &found,
                                      error);
    if (!status)
        count_shape(solution, options);
    return status;
}

oxt_status oxt_i_fit_know_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                oxt_error *error)
{
    const oxt_i_extra extra = shape_of(solution, options);
    oxt_status status = oxt_i_fit_know_extra(solution, &extra, log(solution->law->shape), error);
    if (!status)
        count_shape(solution, options);
    return status;
}

oxt_status oxt_i_fit_seek_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                double within, double *ln_shape)
{
    double about = solution->ln_shape, place = log(solution->law->shape);
    oxt_i_extra extra = shape_of(solution, options);
    solution->ln_shape = about; /* drawn */
    extra.low = fmax(extra.low, place - within);
    extra.high = fmin(extra.high, place + within);
    return oxt_i_fit_seek_extra(solution, &extra, ln_shape, NULL);
}
