/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Residual, leverage and influence of each row. */
#include "fit/fit.h"

/* The residual over its own standard error, with the scale of the errors taken from the other rows:
 * a gross outlier swells the scatter, and must not hide behind it. Where the others agree by chance
 * the scale stops at the width of what was seen in the row itself. */
double oxt_i_fit_studentized(const oxt_i_fit_answer *answer, double off, double own, double sigma,
                             double aim_sigma, double weight, double leverage)
{
    if (answer->dof <= 1.0 || leverage >= 1.0 - 1e-9)
        return NAN;
    double inner = off / (aim_sigma * sqrt(1.0 - leverage));
    double others = fmax(answer->chi_square - weight * inner * inner, 0.0) / (answer->dof - 1.0);
    double width = own / sigma;
    return inner / sqrt(fmax(others, width * width));
}

/* Leaving a row out of a linear problem is an update of rank one: its own prediction moves by
 * h/(1 - h) of its residual, and ln of the time of a dip by minus twice that, since ln x = ln t / 2
 * there. R. D. Cook, Technometrics 19 (1977) 15, for the distance. */
void oxt_i_fit_finish_row(const oxt_i_fit_answer *answer, oxt_i_fit_row *row)
{
    double ln_k = answer->at.b, q = answer->at.q;
    double weight = row->weight / (row->aim_sigma * row->aim_sigma);
    double off = row->aim - oxt_i_fit_tangent(row, ln_k, q), seen = oxt_i_seen(row)->ln_x;
    row->residual = seen - row->aim + off;
    if (answer
            ->orthogonal) /* as logged: that of the solution is of the tangent at the true bath and time */
        row->residual = seen - oxt_i_fit_ln_x(answer->T_ref_K, row, ln_k, q, row->bath_K,
                                              row->time_s, NULL);
    oxt_i_fit_leverages of = oxt_i_fit_leverage(&answer->at, row, row->inverse_T_offset, weight);
    double h = row->leverage = of.all;
    row->equivalent_s = row->has_path ? exp(oxt_i_fit_ln_equivalent(answer->T_ref_K, row, q,
                                                                    row->bath_K, row->time_s, NULL))
                                      : row->time_s;
    row->studentized = oxt_i_fit_studentized(answer, off, oxt_i_seen(row)->sigma, row->sigma,
                                             row->aim_sigma, row->weight, h);
    row->cooks_distance = row->dip_change = NAN;
    if (h >= 1.0 - 1e-9)
        return;
    row->cooks_distance = off * off * weight * of.constants / ((1.0 - h) * (1.0 - h)) /
                          (double)answer->parameters;
    row->dip_change = 2.0 * off * of.rate / (1.0 - h);
}

oxt_i_fit_answer oxt_i_fit_answer_of(const oxt_fit *fit)
{
    double scatter = fit->values.scatter;
    return (oxt_i_fit_answer){ .at = fit->constants,
                               .T_ref_K = fit->values.growth.T_ref_K,
                               .variance = scatter * scatter,
                               .chi_square = fit->values.chi_square,
                               .dof = fit->counted_dof,
                               .parameters = fit->parameters,
                               .robust = fit->options.robust,
                               .orthogonal = fit->options.errors_in_variables ==
                                             OXT_ERRORS_ORTHOGONAL };
}

oxt_i_fit_row oxt_i_fit_answered_film(const oxt_i_fit_answer *answer, const oxt_i_films *films,
                                      size_t i)
{
    oxt_i_fit_row row = oxt_i_fit_film_row(films, i);
    row.inverse_T_offset = answer->T_ref_K / row.bath_K - 1.0;
    row.ln_time = log(row.time_s);
    row.aim = oxt_i_seen(&row)->ln_x;
    row.sigma = row.aim_sigma = sqrt(oxt_i_seen(&row)->sigma * oxt_i_seen(&row)->sigma +
                                     answer->variance);
    double off = oxt_i_fit_tangent(&row, answer->at.b, answer->at.q) - row.aim;
    row.weight = oxt_i_fit_trust(answer->robust, off / row.sigma);
    oxt_i_fit_finish_row(answer, &row);
    return row;
}

oxt_i_fit_row oxt_i_fit_row_at(const oxt_fit *fit, size_t index)
{
    if (fit->set.rows)
        return fit->set.rows[index];
    oxt_i_fit_answer answer = oxt_i_fit_answer_of(fit);
    return oxt_i_fit_answered_film(&answer, &fit->set.films, index);
}
