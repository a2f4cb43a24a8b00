/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One row of a fit: its name, a thickness as a row, what it counts for. */
#include "fit/fit.h"

void oxt_i_row_name(const oxt_i_fit_row *row, char *buffer, size_t capacity)
{
    if (row->line)
        oxt_i_snprintf(buffer, capacity, "Line %zu", row->line);
    else
        oxt_i_snprintf(buffer, capacity, "Trial %zu", row->trial + 1);
}

void oxt_i_row_text(const oxt_i_fit_row *row, char *buffer, size_t capacity)
{
    if (row->text[0])
        oxt_i_copy_text(buffer, capacity, row->text);
    else
        oxt_i_snprintf(buffer, capacity, "%.4g nm", row->readings[0].low_nm);
}

void oxt_i_fit_how_far(double off, char *buffer, size_t capacity)
{
    double factor = exp(fabs(off));
    if (factor <= 2.0)
        oxt_i_snprintf(buffer, capacity, "%.0f %%", 100.0 * fabs(expm1(off)));
    else
        oxt_i_snprintf(buffer, capacity, "a factor of %s", oxt_i_show_factor(factor).text);
}

/* ---- a thickness ---- */

void oxt_i_fit_read_thickness(oxt_i_fit_row *row, double thickness_nm, double uncertainty)
{
    double ln_x = log(thickness_nm), sigma = fmax(uncertainty, OXT_I_LEAST_SIGMA);
    row->readings[0] = (oxt_i_reading){ thickness_nm, thickness_nm, ln_x, ln_x, ln_x, sigma, 0,
                                        0.0,          0.0 };
    row->reading_count = 1;
}

oxt_i_fit_row oxt_i_fit_film_row(const oxt_i_films *films, size_t i)
{
    const oxt_i_film_row *film = &films->rows[i];
    oxt_i_fit_row row = { .trial = film->trial,
                          .line = film->line,
                          .bath_K = film->bath_K,
                          .time_s = film->time_s,
                          .true_K = film->bath_K,
                          .true_s = film->time_s,
                          .reason = "" };
    oxt_i_fit_read_thickness(&row, film->thickness_nm, oxt_i_film_sigma(films, i));
    return row;
}

/* ---- weight ---- */

double oxt_i_fit_spread(const oxt_i_fit_row *row)
{
    double by_bath = row->slope_K * row->bath_sd_K, by_time = row->slope_s * row->time_sd_s;
    return by_bath * by_bath + by_time * by_time;
}

/* A row whose day has an effect moves the constants by what of it is not taken for the day's. */
oxt_i_fit_leverages oxt_i_fit_leverage(const oxt_i_constants *at, const oxt_i_fit_row *row,
                                       double u, double weight)
{
    double share = row ? row->day_share : 0.0, of_rate = 1.0 - share;
    double of_q = row ? u - share * row->day_u : u;
    double constants = of_rate * of_rate * at->variance_b -
                       of_q * (2.0 * of_rate * at->covariance - of_q * at->variance_q);
    double rate = of_rate * at->variance_b - (of_q + of_rate * u) * at->covariance +
                  u * of_q * at->variance_q;
    double day = row ? row->day_variance : 0.0;
    return (oxt_i_fit_leverages){ fmin(0.25 * weight * (constants + day), 1.0),
                                  0.25 * weight * constants, 0.25 * weight * rate };
}
