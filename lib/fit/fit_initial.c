/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The film that every coupon had before its dip, as one parameter more beside the constants: by its exposure, in which
 * the model is all but linear, and which may be 0. */
#include "fit/fit.h"

static void move_initial(oxt_i_fit_solution *solution, double initial_nm2)
{
    oxt_i_put_initial(solution->law, initial_nm2);
    oxt_i_fit_move_rows(solution);
}

static double cost_of(const oxt_i_fit_solution *solution, double initial_nm2)
{
    (void)initial_nm2;
    return -oxt_i_fit_logs_of_law(solution);
}

/* Thinnest and thickest film of the rows, and the least end of what one of them may be. */
typedef struct {
    double thinnest_nm, thickest_nm, low_nm;
} reach;

static reach reach_of(const oxt_i_fit_solution *solution)
{
    reach made = { HUGE_VAL, 0.0, HUGE_VAL };
    for (size_t i = 0; i < solution->model.n; i++) {
        const oxt_i_fit_row *row = solution->model.rows[i];
        made.thinnest_nm = fmin(made.thinnest_nm, oxt_i_seen(row)->seen_nm);
        made.thickest_nm = fmax(made.thickest_nm, oxt_i_seen(row)->seen_nm);
        for (size_t j = 0; j < row->reading_count; j++)
            made.low_nm = fmin(made.low_nm, row->readings[j].low_nm);
    }
    return made;
}

static oxt_status check_films(const oxt_i_fit_solution *solution, const reach *films,
                              oxt_error *error)
{
    enum { FEWEST = 6 };
    static const double LEAST_RATIO = 1.5;
    double ratio = films->thickest_nm / films->thinnest_nm;
    if (solution->model.n < FEWEST)
        return oxt_i_fail(error, OXT_EFEW, "with_initial", (double)solution->model.n, FEWEST, NAN,
                          "%zu trials cannot determine the film before the dips besides the "
                          "constants, expected at least %d",
                          solution->model.n, FEWEST);
    if (ratio >= LEAST_RATIO)
        return OXT_OK;
    return oxt_i_fail(
        error, OXT_EIDENT, "with_initial", ratio, LEAST_RATIO, NAN,
        "the films of the trials lie within a factor of %.2f, expected at least %g: they "
        "cannot show the film before the dips; add coupons that come out thinner",
        ratio, LEAST_RATIO);
}

/* Is it known to better than what the middle film has? */
static oxt_status check_found(const oxt_i_fit_solution *solution, oxt_error *error)
{
    static const double WORST = 0.5;
    double middle_nm = solution->law->middle_nm;
    double share = sqrt(solution->extra_variance) / (middle_nm * middle_nm);
    if (share < WORST)
        return OXT_OK;
    return oxt_i_fail(
        error, OXT_EIDENT, "with_initial", share, 0.0, WORST,
        "the trials do not determine the film before the dips: add coupons of thin films, "
        "or of more different times in one bath");
}

oxt_status oxt_i_fit_find_initial(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                  oxt_error *error)
{
    static const double MOST = 0.9, STEP = 0.01;
    const reach films = reach_of(solution);
    double middle_nm2 = solution->law->middle_nm * solution->law->middle_nm, found;
    double most_nm2 = MOST * oxt_i_exposure_of(solution->law, films.low_nm);
    const oxt_i_extra extra = { .move = move_initial,
                                .cost = cost_of,
                                .high = fmin(most_nm2, MOST * middle_nm2),
                                .step = fmin(STEP * middle_nm2, 0.05 * most_nm2),
                                .steepness = options->scatter < 0.0 ? oxt_i_fit_steepness : NULL };
    oxt_status status = check_films(solution, &films, error);
    if (!status)
        status = oxt_i_fit_find_extra(solution, &extra, 0.0, options, &found, error);
    if (!status && options->scatter < 0.0)
        oxt_i_fit_count_extra(solution);
    return status ? status : check_found(solution, error);
}
