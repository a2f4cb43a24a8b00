/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What changes from day to day: trials of one day share an effect on ln x, a draw from a normal about 0 whose standard
 * deviation is estimated with the scatter (fit_deviations.c). The effects are integrated out day by day, so that the
 * one linear estimator sees nothing but the moments of each day, the mean of which counts for less.
 *
 * Source: effects as draws: C. R. Henderson, Biometrics 31 (1975) 423, from memory. */
#include <stdlib.h>
#include <string.h>

#include "fit/fit.h"

/* ---- which day ---- */

typedef struct {
    size_t code, row;
} dated;

static int by_code(const void *a, const void *b)
{
    const dated *x = a, *y = b;
    if (x->code != y->code)
        return x->code < y->code ? -1 : 1;
    return (x->row > y->row) - (x->row < y->row);
}

/* Share of the squares of 1/T that is within days; rows of one day follow one another. */
static double share_within(const oxt_i_trial_set *set, const dated *all, size_t count)
{
    oxt_i_moments sum = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }, day = sum;
    double within = 0.0;
    for (size_t i = 0; i < count; i++) {
        const oxt_i_fit_row *row = &set->rows[all[i].row];
        oxt_i_moments one = { 1.0, 1.0 / row->bath_K, 0.0, 0.0, 0.0, 0.0 };
        oxt_i_moments_add(&sum, &one);
        oxt_i_moments_add(&day, &one);
        if (i + 1 < count && set->rows[all[i + 1].row].day == row->day)
            continue;
        within += day.uu;
        day.w = 0.0;
    }
    return sum.uu > 0.0 ? within / sum.uu : 1.0;
}

oxt_status oxt_i_fit_number_days(oxt_i_trial_set *set, oxt_error *error)
{
    dated *all = malloc((set->row_count + 1) * sizeof *all);
    size_t count = 0, stated = 0, last = 0;
    if (!all)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < set->row_count; i++)
        if (set->rows[i].reading_count > 0) {
            all[count++] = (dated){ set->rows[i].day, i };
            stated += set->rows[i].day > 0 ? 1 : 0;
        }
    qsort(all, count, sizeof *all, by_code);
    for (size_t i = 0; i < count; i++) {
        /* one that states no day is alone on its own */
        set->day_count += all[i].code == 0 || all[i].code != last ? 1 : 0;
        last = all[i].code;
        set->rows[all[i].row].day = set->day_count;
    }
    set->within_days = share_within(set, all, count);
    if (stated == 0)
        set->day_count = 0;
    for (size_t i = 0; i < count && stated == 0; i++)
        set->rows[all[i].row].day = 0;
    free(all);
    return OXT_OK;
}

/* ---- moments ---- */

static double square_of(double number)
{
    return number * number;
}

void oxt_i_fit_sum_days(const oxt_i_fit_solution *solution, size_t g)
{
    const oxt_i_fit_model *model = &solution->model;
    size_t days = model->sets[g]->day_count;
    memset(solution->days, 0, days * sizeof *solution->days);
    for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
        oxt_i_moments row = {
            0.25 * solution->weights[i], model->u[i], model->z[i], 0.0, 0.0, 0.0
        };
        oxt_i_moments_add(&solution->days[model->rows[i]->day - 1], &row);
    }
}

/* How many times the variance of a day's mean is that without an effect; z is twice ln x. */
static double swollen(const oxt_i_fit_solution *solution, const oxt_i_moments *day)
{
    return 1.0 + 4.0 * square_of(solution->day_sd) * day->w;
}

oxt_i_moments oxt_i_fit_moments_of_days(oxt_i_fit_solution *solution, size_t g)
{
    oxt_i_moments sum = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 };
    oxt_i_fit_sum_days(solution, g);
    for (size_t d = 0; d < solution->model.sets[g]->day_count; d++) {
        oxt_i_moments day = solution->days[d];
        double times = swollen(solution, &day);
        day.w /= times;
        solution->day_logs += log(times);
        oxt_i_moments_add(&sum, &day);
    }
    return sum;
}

void oxt_i_fit_take_day_effects(oxt_i_fit_solution *solution)
{
    const oxt_i_fit_model *model = &solution->model;
    for (size_t g = 0; g < model->set_count; g++) {
        if (model->sets[g]->day_count == 0)
            continue;
        const oxt_i_constants *at = &solution->at[g];
        oxt_i_fit_sum_days(solution, g);
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            oxt_i_fit_row *row = model->rows[i];
            const oxt_i_moments *day = &solution->days[row->day - 1];
            double off = day->z - (at->b - at->q * day->u);
            row->day_share = 1.0 - 1.0 / swollen(solution, day);
            row->day_effect = 0.5 * off * row->day_share;
            row->day_u = day->u;
            row->day_variance = row->day_share / day->w;
        }
    }
}

double oxt_i_fit_squares_of_days(const oxt_i_fit_solution *solution)
{
    double sum = 0.0;
    for (size_t g = 0; g < solution->model.set_count && solution->day_sd > 0.0; g++) {
        const oxt_i_trial_set *set = solution->model.sets[g];
        memset(solution->days, 0, set->day_count * sizeof *solution->days);
        for (size_t i = solution->model.first[g];
             i < solution->model.first[g + 1] && set->day_count > 0; i++) {
            const oxt_i_fit_row *row = solution->model.rows[i];
            if (solution->days[row->day - 1].w == 0.0)
                sum += square_of(row->day_effect / solution->day_sd);
            solution->days[row->day - 1].w = 1.0;
        }
    }
    return sum;
}
