/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where an answer comes from: what each row pulls, and what the prior says. */
#include "fit_internal.h"

/* Leaving a row out of a linear problem is an update of rank one: its own prediction moves by
 * h/(1 - h) of its residual, and ln of the time of a dip by minus twice that, since ln x = ln t / 2
 * there. R. D. Cook, Technometrics 19 (1977) 15, for the distance. */
void oxt_i_fit_influence(const oxt_i_fit_solution *solution)
{
    for (size_t i = 0; i < solution->model.n; i++) {
        oxt_i_seen_row *row = solution->model.rows[i];
        double h = row->leverage, off = -solution->residuals[i];
        row->cooks_distance = row->dip_change = NAN;
        if (h >= 1.0 - 1e-9)
            continue;
        row->cooks_distance = off * off * solution->weights[i] * h / ((1.0 - h) * (1.0 - h)) /
                              (double)solution->p;
        row->dip_change = 2.0 * off * h / (1.0 - h);
    }
}

/* Information of one parameter of two, the other being fitted with it. */
static double information(double own, double across, double other)
{
    return other > 0.0 ? fmax(own - across * across / other, 0.0) : own;
}

static double share(double trials, double both)
{
    return both > 0.0 ? fmin(fmax(1.0 - trials / both, 0.0), 1.0) : 0.0;
}

void oxt_i_fit_prior_shares(const oxt_i_fit_solution *solution, oxt_fit_values *values)
{
    const oxt_i_fit_model *model = &solution->model;
    double kk = 0.0, kq = 0.0, qq = 0.0;
    for (size_t i = 0; i < model->n; i++) {
        double weight = 0.25 * solution->weights[i], late = model->rows[i]->lateness;
        kk += weight;
        kq -= weight * late;
        qq += weight * late * late;
    }
    if (model->prior_count == 0)
        return;
    const double *C = solution->result.covariance;
    if (solution->p == 1) {
        values->prior_share_ln_k = share(kk, 1.0 / C[0]);
        return;
    }
    values->prior_share_ln_k = share(information(kk, kq, qq), 1.0 / C[0]);
    values->prior_share_Q = share(information(qq, kq, kk), 1.0 / C[3]);
}
