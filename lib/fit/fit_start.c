/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A start that no single row can move, and the row that contradicts the others: least sum of absolute residuals, each
 * bounded, by a median for ln k_ref of each set at each of some q. With coupons that warm up the model bends, and least
 * squares from anywhere may end where one slip of the pen is explained by a Q that the others never had. */
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "fit/fit.h"

/* ln k that a row alone would have at this q. */
static double rate_at(const oxt_i_fit_model *model, size_t i, double q)
{
    if (!model->rows)
        return model->z[i] + q * model->u[i];
    const oxt_i_fit_row *row = model->rows[i];
    return 2.0 * (oxt_i_seen(row)->ln_x -
                  oxt_i_fit_ln_x(model->T_ref_K, row, 0.0, q, row->bath_K, row->time_s, NULL));
}

/* Sum of absolute residuals of a set at this q, from the median of ln k. None counts for more than FAR: the film of a
 * coupon that was still cold depends on q so much that one slip of its time would outweigh all the others. */
static double absolutes_of(const oxt_i_fit_solution *solution, size_t g, double q, double *ln_k)
{
    static const double FAR = 1.0; /* of ln k: a factor of e in time */
    enum { ENOUGH = 512 };         /* of many rows every so manieth will do */
    const oxt_i_fit_model *model = &solution->model;
    size_t first = model->first[g], end = model->first[g + 1];
    size_t stride = (end - first) / ENOUGH + 1, count = 0;
    double *rates = solution->scratch + first, sum = 0.0;
    for (size_t i = first; i < end; i += stride)
        rates[count++] = rate_at(model, i, q);
    gsl_sort(rates, 1, count);
    *ln_k = gsl_stats_median_from_sorted_data(rates, 1, count);
    for (size_t i = 0; i < count; i++)
        sum += fmin(fabs(rates[i] - *ln_k), FAR);
    return sum;
}

/* Sets that share a q. */
typedef struct {
    size_t first, end;
} sharers;

static double absolutes(const oxt_i_fit_solution *solution, sharers sets, double q)
{
    double sum = 0.0, ln_k;
    for (size_t g = sets.first; g < sets.end; g++)
        sum += absolutes_of(solution, g, q, &ln_k);
    return sum;
}

static void search(const oxt_i_fit_solution *solution, sharers sets, oxt_i_constants *at)
{
    static const double LEAST = 4.0, MOST = 40.0,
                        FINEST = 0.25; /* 20 to 200 kJ/mol in usual baths */
    double step = 4.0, q = LEAST;
    bool held = !isnan(solution->model.held_q);
    double least = held ? 0.0 : absolutes(solution, sets, LEAST);
    for (double here = LEAST + step; here <= MOST && !held; here += step) {
        double sum = absolutes(solution, sets, here);
        if (sum < least) {
            least = sum;
            q = here;
        }
    }
    for (step *= 0.5; step >= FINEST && !held; step *= 0.5) {
        double middle = q;
        for (int side = -1; side <= 1; side += 2) {
            double sum = absolutes(solution, sets, middle + side * step);
            if (sum < least) {
                least = sum;
                q = middle + side * step;
            }
        }
    }
    for (size_t g = sets.first; g < sets.end; g++) {
        at[g].q = held ? solution->model.held_q : q;
        absolutes_of(solution, g, at[g].q, &at[g].b);
    }
}

void oxt_i_fit_resistant(oxt_i_fit_solution *solution, oxt_i_constants *at)
{
    size_t sets = solution->model.set_count;
    if (!solution->system.own_q) {
        search(solution, (sharers){ 0, sets }, at);
        return;
    }
    for (size_t g = 0; g < sets; g++)
        search(solution, (sharers){ g, g + 1 }, at);
}

bool oxt_i_fit_contradicting(oxt_i_fit_solution *solution, size_t set, oxt_i_fit_row *which,
                             double *off, double *usual)
{
    const oxt_i_fit_model *model = &solution->model;
    size_t found = 0, of_set = set == OXT_I_ALL_SETS ? 0 : set;
    if (model->n < 4 || !oxt_i_fit_take_scratch(solution))
        return false;
    oxt_i_fit_resistant(solution, solution->before);
    *off = 0.0;
    for (size_t g = 0; g < model->set_count; g++)
        for (size_t i = model->first[g]; i < model->first[g + 1]; i++) {
            double residual = 0.5 *
                              (rate_at(model, i, solution->before[g].q) - solution->before[g].b);
            solution->scratch[i] = fabs(residual);
            if ((set == g || set == OXT_I_ALL_SETS) && fabs(residual) > fabs(*off)) {
                *off = residual;
                found = i;
                of_set = g;
            }
        }
    gsl_sort(solution->scratch, 1, model->n);
    *usual = solution->scratch[model->n / 2];
    *which = model->rows
                 ? *model->rows[found]
                 : oxt_i_fit_film_row(&model->sets[of_set]->films, found - model->first[of_set]);
    return true;
}

oxt_status oxt_i_fit_contradiction(oxt_i_fit_solution *solution, size_t set, oxt_error *error,
                                   oxt_status status, const char *parameter, const char *what)
{
    double off, usual;
    char name[64], far[40];
    oxt_i_fit_row row;
    if (!oxt_i_fit_contradicting(solution, set, &row, &off, &usual))
        return oxt_i_fail_text(error, status, parameter,
                               "%s; check the baths, the times and the orders of the colours",
                               what);
    oxt_i_row_name(&row, name, sizeof name);
    name[0] = oxt_i_lower(name[0]);
    oxt_i_fit_how_far(off, far, sizeof far);
    oxt_i_fail_text(error, status, parameter,
                    "%s; %s contradicts the others most, by %s: check its time, bath and colour",
                    what, name, far);
    oxt_i_locate(error, row.line, NULL);
    return status;
}
