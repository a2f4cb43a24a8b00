/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A trade name as what it is: a film somewhere between the ends of its band. The likelihood is the
 * chance of the band under a normal deviate about the model; its slope and curvature by the model give
 * an aim and a weight with which least squares takes Newton's step, so that the steps end where those of
 * expectation and maximisation end, only sooner. The logarithm of a normal chance is concave: there is
 * one end.
 *
 * Source: J. Tobin, Econometrica 26 (1958) 24; M. Aitkin, J. R. Stat. Soc. C 30 (1981) 128, on normal
 * data of which only an interval is seen; both from memory. */
#include "fit/fit.h"
#include "base/vector.h"

static double ln_width(const oxt_i_fit_row *row)
{
    return oxt_i_seen(row)->ln_high - oxt_i_seen(row)->ln_low;
}

/* The band where the model is at this ln x. */
static oxt_i_normal_band band_at(const oxt_i_fit_row *row, double ln_x)
{
    return oxt_i_normal_between((oxt_i_seen(row)->ln_low - ln_x) / row->band_sd,
                                (oxt_i_seen(row)->ln_high - ln_x) / row->band_sd);
}

double oxt_i_fit_best_log_chance(const oxt_i_fit_row *row)
{
    double half = 0.5 * ln_width(row) / row->band_sd;
    return oxt_i_normal_between(-half, half).log_chance;
}

double oxt_i_fit_log_chance(const oxt_i_fit_row *row, double off, double trust)
{
    double now = band_at(row, row->aim + off).log_chance;
    return trust == 1.0 ? now : trust * now + (1.0 - trust) * oxt_i_fit_best_log_chance(row);
}

oxt_i_aim oxt_i_fit_aim_at_band(const oxt_i_fit_row *row, double ln_x, size_t row_count)
{
    const oxt_i_reading *seen = oxt_i_seen(row);
    double s = row->band_sd;
    oxt_i_band_pull pull = oxt_i_pull_of_band((seen->ln_low - ln_x) / s, (seen->ln_high - ln_x) / s,
                                              (double)row_count);
    return (oxt_i_aim){ ln_x + s * pull.step, s * pull.sigma };
}

/* ---- many at once ---- */

/* The ends of bands in deviates, and what is made of them. */
enum { BLOCK = 32 }; /* a multiple of 8 */
typedef struct {
    size_t count; /* a multiple of 8 */
    _Alignas(64) double low[BLOCK];
    double high[BLOCK], made[2][BLOCK];
} block;

/* Rows that are no bands, and those that fill up the last eight, stand for some band. */
static void fill_block(block *of, size_t n, oxt_i_fit_row *const *rows, const double *ln_x)
{
    size_t i = 0;
    for (; i < n && i < BLOCK; i++) {
        const oxt_i_reading *seen = oxt_i_seen(rows[i]);
        bool band = rows[i]->band_sd > 0.0;
        double over = band ? 1.0 / rows[i]->band_sd : 0.0;
        of->low[i] = band ? over * (seen->ln_low - ln_x[i]) : -1.0;
        of->high[i] = band ? over * (seen->ln_high - ln_x[i]) : 1.0;
    }
    for (; i % 8 != 0; i++) {
        of->low[i] = -1.0;
        of->high[i] = 1.0;
    }
    of->count = i;
}

void oxt_i_fit_aim_at_bands(size_t n, oxt_i_fit_row *const *rows, const double *ln_x,
                            size_t row_count)
{
    block of;
    for (size_t first = 0; first < n; first += BLOCK) {
        fill_block(&of, n - first, rows + first, ln_x + first);
        oxt_i_pulls_of_bands(of.count, of.low, of.high, (double)row_count, of.made[0], of.made[1]);
        for (size_t j = 0, i = first; j < BLOCK && i < n; j++, i++) {
            if (rows[i]->band_sd == 0.0)
                continue;
            rows[i]->aim = ln_x[i] + rows[i]->band_sd * of.made[0][j];
            rows[i]->aim_sigma = rows[i]->band_sd * of.made[1][j];
        }
    }
}

double oxt_i_fit_log_chances(size_t n, oxt_i_fit_row *const *rows, const double *ln_x)
{
    block of;
    double sum = 0.0;
    for (size_t first = 0; first < n; first += BLOCK) {
        fill_block(&of, n - first, rows + first, ln_x + first);
        oxt_i_normal_log_chances(of.count, of.low, of.high, of.made[0]);
        for (size_t j = 0, i = first; j < BLOCK && i < n; j++, i++)
            sum += rows[i]->band_sd > 0.0 ? of.made[0][j] : 0.0;
    }
    return sum;
}

/* ---- how far off ---- */

/* Signed root of the deviance, which is to a band what a residual over its error is to a point: its square
 * is what the band adds to chi-square, and is 0 at the middle of the band. */
static double errors_by(const oxt_i_fit_row *row, double ln_x, double log_chance)
{
    double deviance = 2.0 * (oxt_i_fit_best_log_chance(row) - log_chance);
    double from_middle = ln_x - 0.5 * (oxt_i_seen(row)->ln_low + oxt_i_seen(row)->ln_high);
    return copysign(sqrt(fmax(deviance, 0.0)), from_middle);
}

/* The same with its slope by ln x. */
static double errors_and_slope(const oxt_i_fit_row *row, double ln_x, double *slope)
{
    static const double NEXT_TO_THE_MIDDLE = 1e-5;
    double middle = 0.5 * (oxt_i_seen(row)->ln_low + oxt_i_seen(row)->ln_high);
    oxt_i_normal_band band = band_at(row, ln_x);
    double errors = errors_by(row, ln_x, band.log_chance);
    if (fabs(errors) < NEXT_TO_THE_MIDDLE) { /* where differences of logarithms are rounding */
        double half = 0.5 * ln_width(row) / row->band_sd;
        *slope = sqrt(2.0 * half * oxt_i_normal_between(-half, half).at_high) / row->band_sd;
        return *slope * (ln_x - middle);
    }
    *slope = (band.at_high - band.at_low) / (row->band_sd * errors);
    return errors;
}

double oxt_i_fit_off(const oxt_i_fit_row *row, double ln_x, double *slope)
{
    double by_ln_x = 1.0, off;
    if (row->band_sd == 0.0)
        off = ln_x - oxt_i_seen(row)->ln_x;
    else {
        off = row->sigma * errors_and_slope(row, ln_x, &by_ln_x);
        by_ln_x *= row->sigma;
    }
    if (slope)
        *slope = by_ln_x;
    return off;
}

double oxt_i_fit_errors(const oxt_i_fit_row *row, double off)
{
    double ln_x = row->aim + off;
    return row->band_sd == 0.0 ? off / row->aim_sigma
                               : errors_by(row, ln_x, band_at(row, ln_x).log_chance);
}
