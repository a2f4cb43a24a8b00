/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The road of each coupon: what its time was worth at bath temperature. It does not depend on how fast
 * the steel grows, only on how steeply with temperature, that is on q. */
#include "fit_internal.h"
#include "road.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
/* A coupon that was lifted before it was hot grew next to nothing, but not nothing. */
static const double LEAST_WORTH_S = 1e-6;

double oxt_i_fit_ln_worth(const oxt_i_fit_model *model, const oxt_i_seen_row *row, double q,
                          double bath_K, double time_s)
{
    oxt_growth growth = OXT_GROWTH_INIT;
    oxt_i_road road;
    double worth_s;
    if (!row->has_road)
        return log(time_s);
    growth.k_ref_nm2_per_s = 1.0;
    growth.T_ref_K = model->T_ref_K;
    growth.Q_J_per_mol = fmax(q, 0.0) * R * model->T_ref_K;
    if (oxt_i_road_prepare(&road, &growth, &row->part, &row->lift, bath_K, NULL) ||
        oxt_i_road_worth(&road, time_s, &worth_s, NULL))
        worth_s = 0.0;
    return log(fmax(worth_s, LEAST_WORTH_S));
}

double oxt_i_fit_ln_x(const oxt_i_fit_model *model, const oxt_i_seen_row *row, double ln_k,
                      double q, double bath_K, double time_s)
{
    return 0.5 * (ln_k - q * (model->T_ref_K / bath_K - 1.0) +
                  oxt_i_fit_ln_worth(model, row, q, bath_K, time_s));
}

/* Slopes of ln worth, by differences: they steer the solution and its errors, not where it ends. */
static void stand_on_road(const oxt_i_fit_model *model, oxt_i_seen_row *row, double q)
{
    double K = row->true_K, s = row->true_s;
    const double dq = 1e-4 * (1.0 + fabs(q)), dK = 1e-3, ds = 1e-4 * s;
    double here = oxt_i_fit_ln_worth(model, row, q, K, s);
    double per_q = (oxt_i_fit_ln_worth(model, row, q + dq, K, s) - here) / dq;
    double per_K = (oxt_i_fit_ln_worth(model, row, q, K + dK, s) - here) / dK;
    double per_s = (oxt_i_fit_ln_worth(model, row, q, K, s + ds) - here) / ds;
    row->ln_time = here - per_q * q;
    row->lateness -= per_q;
    row->slope_K += 0.5 * per_K;
    row->slope_s = 0.5 * per_s;
}

void oxt_i_fit_stand_at(const oxt_i_fit_model *model, oxt_i_seen_row *row, double q, double true_K,
                        double true_s)
{
    row->true_K = true_K;
    row->true_s = true_s;
    row->ln_time = log(true_s);
    row->lateness = model->T_ref_K / true_K - 1.0;
    row->slope_K = 0.5 * q * model->T_ref_K / (true_K * true_K);
    row->slope_s = 0.5 / true_s;
    if (row->has_road)
        stand_on_road(model, row, q);
    row->shift = row->slope_K * (row->bath_K - true_K) + row->slope_s * (row->time_s - true_s);
}
