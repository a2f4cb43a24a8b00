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

static const double ROOT_OF_HALF = 0.70710678118654752;

/* Chance above a deviate. */
static double chance_above(double x)
{
    return 0.5 * erfc(x * ROOT_OF_HALF);
}

/* Beyond this a chance is close to what a double cannot hold. */
static const double FAR_OUT = 30.0;

/* The chance between two deviates, a < b; the tail that is farther out is subtracted in the tail, where nothing cancels. */
static double chance_between(double a, double b)
{
    return a + b < 0.0 ? chance_above(-b) - chance_above(-a) : chance_above(a) - chance_above(b);
}

/* Its logarithm. */
static double log_chance(double a, double b)
{
    double out = fmax(a, -b);
    if (out < FAR_OUT)
        return log(chance_between(a, b));
    /* Mills: Q(a) = phi(a)/a (1 - 1/a^2 + ...), far out */
    return -0.5 * out * out - 0.5 * log(2.0 * OXT_I_PI) - log(out);
}

/* phi(x) over a chance. */
static double density_over(double x, double log_of_chance)
{
    return exp(-0.5 * x * x - 0.5 * log(2.0 * OXT_I_PI) - log_of_chance);
}

static double ln_width(const oxt_i_fit_row *row)
{
    return oxt_i_seen(row)->ln_high - oxt_i_seen(row)->ln_low;
}

/* ln of the chance of the band where the model is at this ln x. */
static double chance_of_band(const oxt_i_fit_row *row, double ln_x)
{
    return log_chance((oxt_i_seen(row)->ln_low - ln_x) / row->band_sd,
                      (oxt_i_seen(row)->ln_high - ln_x) / row->band_sd);
}

void oxt_i_fit_aim_at_band(oxt_i_fit_row *row, double ln_x, double variance, size_t row_count)
{
    double s = sqrt(variance), width = ln_width(row);
    double a = (oxt_i_seen(row)->ln_low - ln_x) / s, b = (oxt_i_seen(row)->ln_high - ln_x) / s;
    if (row->band_sd != s) /* it is the same from step to step */
        row->best_log_chance = log(erf(0.5 * width / s * ROOT_OF_HALF));
    row->band_sd = s;
    bool far = fmax(a, -b) >= FAR_OUT;
    double over = far ? 1.0 : 1.0 / chance_between(a, b), chance = far ? log_chance(a, b) : 0.0;
    double at_a = over * density_over(a, chance), at_b = over * density_over(b, chance);
    double mean = at_a - at_b;
    double share = mean * mean - (a * at_a - b * at_b); /* 1 - variance within the band */
    /* Deep inside a wide band the curvature is next to nothing, and yet the film is not outside: where all rows
     * lie so, together they count as much as one whose error is uniform over its band. */
    double least = variance / (variance + width * width / 12.0) / (double)row_count;
    share = fmin(fmax(share, least), 1.0);
    row->aim_sigma = s / sqrt(share);
    row->aim = ln_x + s * mean / share;
}

/* Signed root of the deviance, which is to a band what a residual over its error is to a point: its square
 * is what the band adds to chi-square, and is 0 at the middle of the band. */
static double errors_of(const oxt_i_fit_row *row, double ln_x)
{
    double deviance = 2.0 * (row->best_log_chance - chance_of_band(row, ln_x));
    double from_middle = ln_x - 0.5 * (oxt_i_seen(row)->ln_low + oxt_i_seen(row)->ln_high);
    return copysign(sqrt(fmax(deviance, 0.0)), from_middle);
}

/* The same with its slope by ln x. */
static double errors_and_slope(const oxt_i_fit_row *row, double ln_x, double *slope)
{
    static const double NEXT_TO_THE_MIDDLE = 1e-5;
    double low = oxt_i_seen(row)->ln_low, high = oxt_i_seen(row)->ln_high;
    double errors = errors_of(row, ln_x), half = 0.5 * ln_width(row) / row->band_sd;
    if (fabs(errors) < NEXT_TO_THE_MIDDLE) { /* where differences of logarithms are rounding */
        *slope = sqrt(2.0 * half * density_over(half, row->best_log_chance)) / row->band_sd;
        return *slope * (ln_x - 0.5 * (low + high));
    }
    double chance = chance_of_band(row, ln_x);
    *slope = (density_over((high - ln_x) / row->band_sd, chance) -
              density_over((low - ln_x) / row->band_sd, chance)) /
             (row->band_sd * errors);
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
    return row->band_sd == 0.0 ? off / row->aim_sigma : errors_of(row, row->aim + off);
}
