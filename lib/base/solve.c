/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/solve.h"

#include <float.h>
#include <gsl/gsl_cdf.h>
#include <string.h>

#define MOST_STEPS 200
/* A minimum cannot be located more finely than the square root of the precision of a double. */
#define FINEST_MINIMUM 1.5e-8

static oxt_status not_found(oxt_error *error, const char *what, double low, double high)
{
    return oxt_i_fail(error, OXT_ENOCONV, what, NAN, low, high, "no %s was found between %g and %g",
                      what, low, high);
}

/* ---- roots ---- */

/* Brent's bracket: `best` is the nearest so far, `other` has the other sign, `last` came before `best`. */
typedef struct {
    double best, at_best, other, at_other, last, at_last;
    double step, before; /* the step that is next and the one before it */
} bracket;

static void keep_best_first(bracket *now)
{
    if ((now->at_best > 0.0) == (now->at_other > 0.0)) {
        now->other = now->last;
        now->at_other = now->at_last;
        now->step = now->before = now->best - now->last;
    }
    if (fabs(now->at_other) < fabs(now->at_best)) {
        now->last = now->best;
        now->at_last = now->at_best;
        now->best = now->other;
        now->at_best = now->at_other;
        now->other = now->last;
        now->at_other = now->at_last;
    }
}

/* By a line or a parabola of y where that stays well inside and gets shorter, else by halves. */
static void choose_step(bracket *now, double half, double least)
{
    double p, q, s = now->at_best / now->at_last;
    if (fabs(now->before) < least || fabs(now->at_last) <= fabs(now->at_best)) {
        now->step = now->before = half;
        return;
    }
    if (now->last == now->other) {
        p = 2.0 * half * s;
        q = 1.0 - s;
    } else {
        double r = now->at_best / now->at_other, u = now->at_last / now->at_other;
        p = s * (2.0 * half * u * (u - r) - (now->best - now->last) * (r - 1.0));
        q = (u - 1.0) * (r - 1.0) * (s - 1.0);
    }
    if (p > 0.0)
        q = -q;
    p = fabs(p);
    if (2.0 * p < fmin(3.0 * half * q - fabs(least * q), fabs(now->before * q))) {
        now->before = now->step;
        now->step = p / q;
    } else {
        now->step = now->before = half;
    }
}

/* Source: R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 4. */
oxt_status oxt_i_find_root(oxt_i_function function, void *context, double low, double high,
                           double tolerance, double *root, oxt_error *error)
{
    bracket now = {
        high, function(high, context), low, function(low, context), low, 0.0, 0.0, 0.0
    };
    bool straddles = (now.at_other <= 0.0 && now.at_best >= 0.0) ||
                     (now.at_other >= 0.0 && now.at_best <= 0.0);
    if (!straddles || !(low < high) || !isfinite(now.at_best - now.at_other))
        return not_found(error, "root", low, high);
    now.at_last = now.at_other;
    now.step = now.before = high - low;
    if (now.at_other == 0.0) {
        *root = low;
        return OXT_OK;
    }
    for (int i = 0; i < MOST_STEPS; i++) {
        keep_best_first(&now);
        double half = 0.5 * (now.other - now.best);
        double least = 2.0 * DBL_EPSILON * fabs(now.best) + 0.5 * tolerance;
        if (fabs(half) <= least || now.at_best == 0.0) {
            *root = now.best;
            return OXT_OK;
        }
        choose_step(&now, half, least);
        now.last = now.best;
        now.at_last = now.at_best;
        now.best += fabs(now.step) > least ? now.step : copysign(least, half);
        now.at_best = function(now.best, context);
        if (!isfinite(now.at_best))
            break;
    }
    return not_found(error, "root", low, high);
}

oxt_status oxt_i_find_rise(oxt_i_sloped function, void *context, double low, double high,
                           double guess, double tolerance, double *root, oxt_error *error)
{
    static const double ALIKE = 0.1; /* slopes */
    double x = guess, slope, last_x = NAN, last_at = NAN, last_slope = NAN, last_step = HUGE_VAL;
    bool below = false, above = false; /* whether the ends are places where the sign is known */
    if (!(guess > low && guess < high))
        x = 0.5 * (low + high);
    for (int i = 0; i < MOST_STEPS && low < high; i++) {
        double at = function(x, &slope, context);
        if (!isfinite(at))
            break;
        below = below || at <= 0.0;
        above = above || at >= 0.0;
        *(at < 0.0 ? &low : &high) = x;
        double next = x - at / slope;
        bool halved = !(next >= low && next <= high) || fabs(next - x) > 0.5 * last_step;
        next = halved ? 0.5 * (low + high) : next;
        last_step = fabs(next - x);
        /* The step is off by about as much as its slope is; of the first one nothing is known. */
        double unlike = i == 0 ? 0.0
                               : fabs(slope / last_slope - 1.0) +
                                     fabs((at - last_at) / (slope * (x - last_x)) - 1.0);
        double error_left = last_step * (i == 0 ? 1.0 : unlike);
        bool close = !halved && unlike < ALIKE && error_left <= tolerance;
        last_x = x;
        last_at = at;
        last_slope = slope;
        if (close || high - low <= tolerance || at == 0.0 || last_step <= DBL_EPSILON * fabs(x)) {
            /* At an end that was only given, the function need not have risen. */
            if ((!below && function(low, &slope, context) > 0.0) ||
                (!above && function(high, &slope, context) < 0.0))
                break;
            *root = at == 0.0 ? x : next;
            return OXT_OK;
        }
        x = next;
    }
    return not_found(error, "root", low, high);
}

/* ---- minima ---- */

/* The three lowest places so far, the lowest first, and the interval. */
typedef struct {
    double low, high;
    double x[3], f[3];
    double step, before;
} valley;

/* The next place: the bottom of a parabola where that stays inside and its steps get shorter, else a
 * golden section of the longer side. */
static double next_place(valley *now, double least)
{
    static const double GOLDEN = 0.3819660112501051;
    const double *x = now->x, *f = now->f;
    double middle = 0.5 * (now->low + now->high);
    double r = (x[0] - x[1]) * (f[0] - f[2]), q = (x[0] - x[2]) * (f[0] - f[1]);
    double p = (x[0] - x[2]) * q - (x[0] - x[1]) * r, earlier = now->before;
    q = 2.0 * (q - r);
    if (q > 0.0)
        p = -p;
    q = fabs(q);
    now->before = now->step;
    if (fabs(earlier) > least && fabs(p) < fabs(0.5 * q * earlier) && p > q * (now->low - x[0]) &&
        p < q * (now->high - x[0])) {
        now->step = p / q;
        double at = x[0] + now->step;
        if (at - now->low < 2.0 * least || now->high - at < 2.0 * least)
            now->step = copysign(least, middle - x[0]);
    } else {
        now->before = x[0] < middle ? now->high - x[0] : now->low - x[0];
        now->step = GOLDEN * now->before;
    }
    return x[0] + (fabs(now->step) >= least ? now->step : copysign(least, now->step));
}

static void take_place(valley *now, double at, double value)
{
    double *x = now->x, *f = now->f;
    size_t rank = value <= f[0] ? 0 : value <= f[1] || x[1] == x[0] ? 1 : 2;
    double end = rank == 0 ? x[0] : at;
    if ((rank == 0) == (at >= x[0]))
        now->low = end;
    else
        now->high = end;
    if (rank == 2 && value > f[2] && x[2] != x[0] && x[2] != x[1])
        return;
    for (size_t i = 2; i > rank; i--) {
        x[i] = x[i - 1];
        f[i] = f[i - 1];
    }
    x[rank] = at;
    f[rank] = value;
}

/* Source: R. P. Brent, as above, chapter 5. */
static bool descend(oxt_i_function function, void *context, valley *now, double tolerance)
{
    for (int i = 0; i < MOST_STEPS; i++) {
        double middle = 0.5 * (now->low + now->high);
        double least = FINEST_MINIMUM * fabs(now->x[0]) + 0.25 * tolerance;
        if (fabs(now->x[0] - middle) <= 2.0 * least - 0.5 * (now->high - now->low))
            return true;
        double at = next_place(now, least), value = function(at, context);
        if (!isfinite(value))
            return false;
        take_place(now, at, value);
    }
    return false;
}

oxt_status oxt_i_find_minimum(oxt_i_function function, void *context, double low, double high,
                              double tolerance, double *place, oxt_error *error)
{
    double middle = 0.5 * (low + high);
    double at_low = function(low, context), at_high = function(high, context);
    double at_middle = function(middle, context);
    if (!isfinite(at_low) || !isfinite(at_high) || !isfinite(at_middle) || !(low < high))
        return not_found(error, "minimum", low, high);
    if (at_middle >= at_low || at_middle >= at_high) {
        *place = at_low < at_high ? low : high;
        return OXT_OK;
    }
    valley now = { low, high, { middle, middle, middle }, { at_middle, at_middle, at_middle },
                   0.0, 0.0 };
    if (!descend(function, context, &now, tolerance))
        return not_found(error, "minimum", low, high);
    *place = now.x[0];
    return OXT_OK;
}

/* ---- differential equations ---- */

enum { COLUMNS = 9, MOST_TRIES = 100000 };

/* Gragg's smoothed midpoint rule over a step of `width` in `parts`. */
static bool midpoint(const oxt_i_path *path, double x, const double *y, double width, size_t parts,
                     double *end)
{
    double before[OXT_I_MOST_EQUATIONS], now[OXT_I_MOST_EQUATIONS], slope[OXT_I_MOST_EQUATIONS];
    double h = width / (double)parts;
    if (!path->slopes(x, y, slope, path->context))
        return false;
    for (size_t i = 0; i < path->count; i++) {
        before[i] = y[i];
        now[i] = y[i] + h * slope[i];
    }
    for (size_t part = 1; part < parts; part++) {
        if (!path->slopes(x + h * (double)part, now, slope, path->context))
            return false;
        for (size_t i = 0; i < path->count; i++) {
            double next = before[i] + 2.0 * h * slope[i];
            before[i] = now[i];
            now[i] = next;
        }
    }
    if (!path->slopes(x + width, now, slope, path->context))
        return false;
    for (size_t i = 0; i < path->count; i++) {
        end[i] = 0.5 * (now[i] + before[i] + h * slope[i]);
        if (!isfinite(end[i]))
            return false;
    }
    return true;
}

/* One step: ever finer midpoint rules, extrapolated to infinitely many parts. The number of columns that it
 * took, or 0 when the step is too long. */
static size_t extrapolate(const oxt_i_path *path, double x, const double *y, double width,
                          double *end)
{
    double table[COLUMNS][OXT_I_MOST_EQUATIONS] = {
        { 0.0 }
    }; /* the last row, from its rawest entry on */
    for (size_t j = 0; j < COLUMNS; j++) {
        double raw[OXT_I_MOST_EQUATIONS];
        bool good = j > 1;
        if (!midpoint(path, x, y, width, 2 * (j + 1), raw))
            return 0;
        for (size_t i = 0; i < path->count; i++) {
            double above = table[0][i], error = 0.0;
            table[0][i] = raw[i];
            for (size_t k = 1; k <= j; k++) {
                double finer = (double)(j + 1) / (double)(j + 1 - k);
                error = (table[k - 1][i] - above) / (finer * finer - 1.0);
                above = table[k][i];
                table[k][i] = table[k - 1][i] + error;
            }
            end[i] = table[j][i];
            good = good && fabs(error) <= path->tolerance * fabs(end[i]);
        }
        if (good)
            return j + 1;
    }
    return 0;
}

/* Source: R. Bulirsch and J. Stoer, Numer. Math. 8 (1966) 1, with the even numbers of parts; steps as
 * long as five to seven columns are good for. */
oxt_status oxt_i_follow(const oxt_i_path *path, double *y, oxt_error *error)
{
    double x = path->from, width = path->first_step;
    for (int try = 0; try < MOST_TRIES && x < path->to; try++) {
        double end[OXT_I_MOST_EQUATIONS];
        bool last = !(x + width < path->to);
        double taken = last ? path->to - x : width;
        size_t columns = extrapolate(path, x, y, taken, end);
        if (columns > 0) {
            memcpy(y, end, path->count * sizeof *y);
            x = last ? path->to : x + taken;
        }
        width = taken * (columns == 0 ? 0.3 : columns < 5 ? 3.0 : columns < 7 ? 1.4 : 0.9);
        if (x + width == x)
            break;
    }
    return x < path->to ? not_found(error, "path", path->from, path->to) : OXT_OK;
}

/* ---- Student's t ---- */

/* Gamma(x + 1/2)/Gamma(x). NIST Digital Library of Mathematical Functions, 5.11.14 and 5.11.17, from where its terms are
 * good to all digits. */
static double gamma_ratio(double x)
{
    double below = 1.0;
    for (; x < 12.0; x += 1.0)
        below *= x / (x + 0.5);
    double w = x - 0.25, u = 1.0 / (w * w);
    return below * sqrt(w) *
           (1.0 +
            u * (1.0 / 64.0 + u * (-19.0 / 8192.0 +
                                   u * (631.0 / 524288.0 + u * (-174317.0 / 134217728.0 +
                                                                u * 20491783.0 / 8589934592.0)))));
}

/* Student's t with n degrees of freedom: the chance beyond t on both sides, and t times the density there. The incomplete
 * beta function by the series whose terms, all of one sign, shrink faster; same source, 8.17.7 and 8.17.8. */
static double beyond_both(double t, double n, double *t_density)
{
    enum { MOST_TERMS = 1000 };
    double t2 = t * t, term = 1.0, sum = 0.0;
    *t_density = t * gamma_ratio(0.5 * n) / sqrt(OXT_I_PI * n) *
                 exp(-0.5 * (n + 1.0) * log1p(t2 / n));
    bool near = t2 < n;
    if (t2 >= (near ? 200.0 : HUGE_VAL)) /* what is left counts for nothing beside 1 */
        return 0.0;
    double first = near ? 3.0 : n + 2.0, share = (near ? t2 : n) / (n + t2);
    for (int k = 0; k < 2 * MOST_TERMS && term > DBL_EPSILON / 8.0 * sum; k += 2) {
        sum += term;
        term *= share * (n + 1.0 + k) / (first + k);
    }
    return near ? fmax(1.0 - 2.0 * *t_density * sum, 0.0) : 2.0 / n * *t_density * sum;
}

/* Halley's steps in ln t for ln of the chance beyond, from the first terms of Cornish and Fisher (M. Abramowitz and I. A.
 * Stegun, Handbook of Mathematical Functions, 26.7.5, from memory). */
double oxt_i_t_quantile(double confidence, double dof)
{
    enum { MOST_HALLEY_STEPS = 30 };
    double beyond = 1.0 - confidence, z = gsl_cdf_ugaussian_Qinv(0.5 * beyond), z2 = z * z;
    double fourth = (((79.0 * z2 + 776.0) * z2 + 1482.0) * z2 - 1920.0) * z2 - 945.0;
    double third = ((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0 + fourth / (240.0 * dof);
    double second = (5.0 * z2 + 16.0) * z2 + 3.0 + third / (4.0 * dof);
    double t = z * fmax(1.0 + ((z2 + 1.0) / 4.0 + second / (96.0 * dof)) / dof, 1.0);
    for (int i = 0; i < MOST_HALLEY_STEPS; i++) {
        double t_density, both = beyond_both(t, dof, &t_density), slope = 2.0 * t_density / both;
        double newton = log(both / beyond) / slope;
        double bend = 1.0 - (dof + 1.0) * t * t / (dof + t * t) + slope;
        double step = newton / fmax(1.0 + 0.5 * newton * bend, 0.5);
        t *= exp(step);
        if (!(fabs(step) > 3e-5)) /* what is left is its cube */
            break;
    }
    return t;
}

static double beyond(double t, double dof)
{
    double unused, both = beyond_both(fabs(t), dof, &unused);
    return t < 0.0 ? 1.0 - 0.5 * both : 0.5 * both;
}

double oxt_i_t_chance(double low, double high, double deviation, double dof)
{
    if (deviation == 0.0)
        return low <= 1.0 && high >= 1.0 ? 1.0 : 0.0;
    double above = beyond(log(high) / deviation, dof);
    double below = low > 0.0 ? beyond(-log(low) / deviation, dof) : 0.0;
    return fmax(1.0 - above - below, 0.0);
}

double oxt_i_combined_dof(double first, double first_dof, double second, double second_dof,
                          double known)
{
    static const double MOST = 1e15;
    double unsure = first / sqrt(first_dof) + second / sqrt(second_dof);
    double ratio = (first + second + known) /
                   unsure; /* of variances that may be too small to square */
    return unsure > 0.0 ? fmax(fmin(ratio * ratio, MOST), 1.0) : first_dof;
}

bool oxt_i_law_is_bent(double m, double m_stderr, double dof)
{
    static const double CONFIDENCE = 0.96, LEAST_T = 2.05; /* of no degree is it less */
    double off = fabs(m - 0.5);
    return m_stderr > 0.0 && off > LEAST_T * m_stderr &&
           off > oxt_i_t_quantile(CONFIDENCE, dof) * m_stderr;
}
