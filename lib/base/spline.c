/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/spline.h"

#include <math.h>

/* Elimination of bend[i - 1] + 4 bend[i] + bend[i + 1] = y[i - 1] - 2 y[i] + y[i + 1]; the share that a
 * row hands on has its limit, 2 - sqrt(3), to the last digit after 16 rows. */
enum { SHARES = 32 };

void oxt_i_spline_prepare(const double *y, size_t count, double *bend)
{
    double share[SHARES];
    bend[0] = bend[count - 1] = share[0] = 0.0;
    for (size_t i = 1; i < SHARES; i++)
        share[i] = 1.0 / (4.0 - share[i - 1]);
    for (size_t i = 1; i + 1 < count; i++) {
        double by = share[i < SHARES ? i : SHARES - 1];
        bend[i] = (y[i - 1] - 2.0 * y[i] + y[i + 1] - bend[i - 1]) * by;
    }
    for (size_t i = count - 1; i-- > 1;)
        bend[i] -= share[i < SHARES ? i : SHARES - 1] * bend[i + 1];
}

double oxt_i_spline_at(const double *y, const double *bend, size_t count, double place)
{
    const double last = (double)(count - 1);
    double inside = place > 0.0 ? place : 0.0; /* 0 for NaN */
    inside = inside < last ? inside : last;
    size_t i = (size_t)(ptrdiff_t)inside;
    i -= i == count - 1;
    double t = inside - (double)i, s = 1.0 - t;
    return s * y[i] + t * y[i + 1] + s * (s * s - 1.0) * bend[i] + t * (t * t - 1.0) * bend[i + 1];
}

static double secant(const double *x, const double *y, size_t i)
{
    return (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
}

static double steffen_slope(const double *x, const double *y, size_t count, size_t i)
{
    if (i == 0 || i == count - 1)
        return secant(x, y, i == 0 ? 0 : count - 2);
    double before = secant(x, y, i - 1), after = secant(x, y, i);
    double h_before = x[i] - x[i - 1], h_after = x[i + 1] - x[i];
    double parabola = (before * h_after + after * h_before) / (h_before + h_after);
    double least = fmin(fmin(fabs(before), fabs(after)), 0.5 * fabs(parabola));
    return (copysign(1.0, before) + copysign(1.0, after)) * least;
}

double oxt_i_steffen_at(const double *x, const double *y, size_t count, double at)
{
    size_t i = 0;
    while (i + 2 < count && at >= x[i + 1])
        i++;
    double h = x[i + 1] - x[i], s = secant(x, y, i), d = at - x[i];
    double from = steffen_slope(x, y, count, i), to = steffen_slope(x, y, count, i + 1);
    double cubic = (from + to - 2.0 * s) / (h * h), square = (3.0 * s - 2.0 * from - to) / h;
    return y[i] + d * (from + d * (square + d * cubic));
}
