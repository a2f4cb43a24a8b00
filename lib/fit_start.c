/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A start that no single row can move, and the row that contradicts the others: least sum of absolute residuals, each
 * bounded, by a median for ln k_ref at each of some q. With coupons that warm up the model bends, and least squares from
 * anywhere may end where one slip of the pen is explained by a Q that the others never had. */
#include <stdlib.h>

#include "fit_internal.h"

static int compare(const void *a, const void *b)
{
    double first = *(const double *)a, second = *(const double *)b;
    return first < second ? -1 : first > second;
}

/* Sum of absolute residuals at this q, from the median of ln k. None counts for more than FAR: the film of a coupon
 * that was still cold depends on q so much that one slip of its time would outweigh all the others. */
static double absolutes(const oxt_i_fit_solution *solution, double q, double *ln_k)
{
    static const double FAR = 1.0; /* of ln k: a factor of e in time */
    enum { ENOUGH = 512 };         /* of many rows every so manieth will do */
    const oxt_i_fit_model *model = &solution->model;
    size_t stride = model->n / ENOUGH + 1, count = 0;
    double *rates = solution->scratch, sum = 0.0;
    for (size_t i = 0; i < model->n; i += stride) {
        const oxt_i_seen_row *row = model->rows[i];
        rates[count++] = 2.0 * (oxt_i_seen(row)->ln_x -
                                oxt_i_fit_ln_x(model, row, 0.0, q, row->bath_K, row->time_s, NULL));
    }
    qsort(rates, count, sizeof *rates, compare);
    *ln_k = 0.5 * (rates[(count - 1) / 2] + rates[count / 2]);
    for (size_t i = 0; i < count; i++)
        sum += fmin(fabs(rates[i] - *ln_k), FAR);
    return sum;
}

void oxt_i_fit_resistant(const oxt_i_fit_solution *solution, double *ln_k, double *q)
{
    static const double LEAST = 4.0, MOST = 40.0,
                        FINEST = 0.25; /* 20 to 200 kJ/mol in usual baths */
    double step = 4.0, here;
    if (!isnan(solution->model.held_q)) {
        *q = solution->model.held_q;
        absolutes(solution, *q, ln_k);
        return;
    }
    *q = LEAST;
    double least = absolutes(solution, LEAST, ln_k);
    for (double at = LEAST + step; at <= MOST; at += step) {
        double sum = absolutes(solution, at, &here);
        if (sum < least) {
            least = sum;
            *q = at;
            *ln_k = here;
        }
    }
    for (step *= 0.5; step >= FINEST; step *= 0.5) {
        double middle = *q;
        for (int side = -1; side <= 1; side += 2) {
            double sum = absolutes(solution, middle + side * step, &here);
            if (sum < least) {
                least = sum;
                *q = middle + side * step;
                *ln_k = here;
            }
        }
    }
}

const oxt_i_seen_row *oxt_i_fit_contradicting(const oxt_i_fit_solution *solution, double *off,
                                              double *usual)
{
    const oxt_i_fit_model *model = &solution->model;
    const oxt_i_seen_row *which = NULL;
    double ln_k, q;
    if (model->n < 4)
        return NULL;
    oxt_i_fit_resistant(solution, &ln_k, &q);
    *off = 0.0;
    for (size_t i = 0; i < model->n; i++) {
        const oxt_i_seen_row *row = model->rows[i];
        double residual = oxt_i_seen(row)->ln_x -
                          oxt_i_fit_ln_x(model, row, ln_k, q, row->bath_K, row->time_s, NULL);
        solution->scratch[i] = fabs(residual);
        if (fabs(residual) > fabs(*off)) {
            *off = residual;
            which = row;
        }
    }
    qsort(solution->scratch, model->n, sizeof *solution->scratch, compare);
    *usual = solution->scratch[model->n / 2];
    return which;
}

void oxt_i_fit_how_far(double off, char *buffer, size_t capacity)
{
    double factor = exp(fabs(off));
    if (factor < 10.0)
        oxt_i_snprintf(buffer, capacity, "%.0f %%", 100.0 * fabs(expm1(off)));
    else
        oxt_i_snprintf(buffer, capacity, "a factor of %.3g", factor);
}

oxt_status oxt_i_fit_contradiction(const oxt_i_fit_solution *solution, oxt_error *error,
                                   oxt_status status, const char *parameter, const char *what)
{
    double off, usual;
    char name[64], far[40];
    const oxt_i_seen_row *row = oxt_i_fit_contradicting(solution, &off, &usual);
    if (!row)
        return oxt_i_fail_text(error, status, parameter,
                               "%s; check the baths, the times and the orders of the colours",
                               what);
    oxt_i_row_name(row, name, sizeof name);
    name[0] = oxt_i_lower(name[0]);
    oxt_i_fit_how_far(off, far, sizeof far);
    oxt_i_fail_text(error, status, parameter,
                    "%s; %s contradicts the others most, by %s: check its time, bath and colour",
                    what, name, far);
    oxt_i_locate(error, row->line, NULL);
    return status;
}
