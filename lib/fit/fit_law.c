/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Another law than the parabolic one: each film as the film of the parabolic law that takes as long, so that the linear
 * estimator stays. */
#include "fit/fit.h"
#include "growth/growth.h"

bool oxt_i_fit_has_shape(const oxt_fit_options *options)
{
    return options->law != OXT_LAW_PARABOLIC &&
           (options->law_shape == 0.0 || options->ln_shape_sd > 0.0);
}

oxt_status oxt_i_fit_check_law(const oxt_fit_options *options, oxt_error *error)
{
    oxt_growth law = { sizeof law, options->law, 1.0, 1.0, 0.0, options->law_shape, 1.0, 0.0 };
    bool given = options->law_shape != 0.0;
    if (options->law_middle_nm != 0.0)
        law.middle_nm = options->law_middle_nm;
    if (!given && options->ln_shape_sd > 0.0)
        return oxt_i_fail_text(error, OXT_EARG, "ln_shape_sd",
                               "ln_shape_sd is %g, expected the shape that it is about",
                               options->ln_shape_sd);
    if ((options->law != OXT_LAW_PARABOLIC || options->with_initial) && options->reader_sd > 0.0)
        return oxt_i_fail_text(
            error, OXT_EARG, "reader_sd",
            "reader_sd is %g, expected 0 with another law than the parabolic one, "
            "or a film before the dips",
            options->reader_sd);
    if (options->with_initial != 0 && options->with_initial != 1)
        return oxt_i_fail(error, OXT_EARG, "with_initial", options->with_initial, 0.0, 1.0,
                          "with_initial is %d, expected 0 or 1", options->with_initial);
    if (options->with_initial && oxt_i_fit_has_shape(options))
        return oxt_i_fail_text(
            error, OXT_EARG, "with_initial",
            "a film before the dips and the shape of a law bend the growth of thin "
            "films alike: expected law_shape as well, held");
    if (!given)
        law.shape = 1.0; /* a shape that every law may have */
    return oxt_i_check_growth(&law, error);
}

/* ---- the rows ---- */

static void move_row(const oxt_i_scaled_law *law, oxt_i_fit_row *row)
{
    for (size_t j = 0; j < row->reading_count; j++) {
        oxt_i_reading *seen = &row->readings[j];
        double exponent, unused;
        seen->ln_x = 0.5 * oxt_i_scaled_ln_exposure(law, seen->seen_nm, &exponent);
        seen->sigma = fmax(0.5 * exponent * seen->seen_sigma, OXT_I_LEAST_SIGMA);
        if (!row->is_band)
            continue;
        seen->ln_low = 0.5 * oxt_i_scaled_ln_exposure(law, seen->low_nm, &unused);
        seen->ln_high = 0.5 * oxt_i_scaled_ln_exposure(law, seen->high_nm, &unused);
    }
}

void oxt_i_fit_move_row(const oxt_growth *law, oxt_i_fit_row *row)
{
    const oxt_i_scaled_law scaled = oxt_i_scale_law(law);
    move_row(&scaled, row);
}

void oxt_i_fit_move_rows(oxt_i_fit_solution *solution)
{
    const oxt_i_scaled_law scaled = oxt_i_scale_law(solution->law);
    for (size_t i = 0; i < solution->model.n; i++)
        move_row(&scaled, solution->model.rows[i]);
    oxt_i_fit_fill_columns(solution, false);
}

double oxt_i_fit_steepness(const oxt_i_fit_solution *solution)
{
    return oxt_i_exponent_of(solution->law, solution->law->middle_nm);
}

/* The middle film of the trials, as they are read at first. */
static double middle_of(oxt_i_trial_set *const *sets, size_t count)
{
    double sum = 0.0, used = 0.0;
    for (size_t g = 0; g < count; g++)
        for (size_t i = 0; i < sets[g]->row_count; i++)
            if (sets[g]->rows[i].reading_count > 0) {
                sum += log(sets[g]->rows[i].readings[0].seen_nm);
                used += 1.0;
            }
    return used > 0.0 ? fmin(fmax(exp(sum / used), 1.0), 1000.0) : 1.0;
}

double oxt_i_fit_middle_of(const oxt_i_trial_set *set)
{
    double sum = 0.0;
    for (size_t i = 0; i < set->row_count; i++)
        if (set->rows[i].reading_count > 0)
            sum += log(oxt_i_seen(&set->rows[i])->seen_nm);
    return exp(sum / (double)set->used_count);
}

void oxt_i_fit_shape_range(const oxt_growth *law, double *low, double *high)
{
    bool power = law->law == OXT_LAW_POWER;
    *low = power                             ? 1.0
           : law->law == OXT_LAW_LOGARITHMIC ? 0.05 * law->middle_nm
                                             : 0.02 * law->middle_nm;
    *high = power ? 12.0 : 50.0 * law->middle_nm;
    *low = log(fmax(*low, 0.1));
    *high = log(*high);
}

/* The films themselves, which the logarithms of the rows are until then. */
static void keep_films(oxt_i_trial_set *set)
{
    for (size_t i = 0; i < set->row_count; i++)
        for (size_t j = 0; j < set->rows[i].reading_count; j++) {
            oxt_i_reading *seen = &set->rows[i].readings[j];
            seen->seen_nm = exp(seen->ln_x);
            seen->seen_sigma = seen->sigma;
        }
}

oxt_status oxt_i_fit_take_law(oxt_i_trial_set *const *sets, size_t count,
                              const oxt_fit_options *options, oxt_error *error)
{
    oxt_growth law = OXT_GROWTH_INIT;
    double low, high;
    for (size_t g = 0; g < count; g++)
        sets[g]->law = law;
    if (options->law == OXT_LAW_PARABOLIC && !options->with_initial)
        return OXT_OK;
    for (size_t g = 0; g < count; g++)
        keep_films(sets[g]);
    law = (oxt_growth){ sizeof law,         options->law,           1.0, 1.0, 0.0,
                        options->law_shape, options->law_middle_nm, 0.0 };
    if (law.middle_nm == 0.0)
        law.middle_nm = middle_of(sets, count);
    oxt_i_fit_shape_range(&law, &low, &high);
    if (law.shape == 0.0 && law.law != OXT_LAW_PARABOLIC)
        law.shape = law.law == OXT_LAW_POWER ? 2.0 : exp(0.5 * (low + high));
    oxt_status status = oxt_i_check_growth(&law, error);
    for (size_t g = 0; g < count && !status; g++) {
        sets[g]->law = law;
        for (size_t i = 0; i < sets[g]->row_count; i++)
            oxt_i_fit_move_row(&law, &sets[g]->rows[i]);
    }
    return status;
}

double oxt_i_fit_logs_of_law(const oxt_i_fit_solution *solution)
{
    double sum = 0.0, exponent;
    if (!solution->law || oxt_i_grows_plainly(solution->law))
        return 0.0;
    const oxt_i_scaled_law law = oxt_i_scale_law(solution->law);
    for (size_t i = 0; i < solution->model.n; i++) {
        const oxt_i_fit_row *row = solution->model.rows[i];
        if (solution->by_band && row->is_band)
            continue;
        oxt_i_scaled_ln_exposure(&law, oxt_i_seen(row)->seen_nm, &exponent);
        sum += log(0.5 * exponent);
    }
    return sum;
}
