/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/quadrature.h"

#include "base/solve.h"

/* Zeros of the Legendre polynomials and their weights, computed to 40 digits by Newton's method; the first
 * 15 agree with M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, table 25.4. */
static const double place_4[] = { 0.33998104358485626480, 0.86113631159405257522 };
static const double weight_4[] = { 0.65214515486254614263, 0.34785484513745385737 };
static const double place_8[] = { 0.18343464249564980494, 0.52553240991632898582,
                                  0.79666647741362673959, 0.96028985649753623168 };
static const double weight_8[] = { 0.36268378337836198297, 0.31370664587788728734,
                                   0.22238103445337447054, 0.10122853629037625915 };
static const double place_12[] = { 0.12523340851146891547, 0.36783149899818019375,
                                   0.58731795428661744730, 0.76990267419430468704,
                                   0.90411725637047485668, 0.98156063424671925069 };
static const double weight_12[] = { 0.24914704581340278500, 0.23349253653835480876,
                                    0.20316742672306592175, 0.16007832854334622633,
                                    0.10693932599531843096, 0.04717533638651182719 };
static const double place_16[] = { 0.09501250983763744019, 0.28160355077925891323,
                                   0.45801677765722738634, 0.61787624440264374845,
                                   0.75540440835500303390, 0.86563120238783174388,
                                   0.94457502307323257608, 0.98940093499164993260 };
static const double weight_16[] = { 0.18945061045506849629, 0.18260341504492358887,
                                    0.16915651939500253819, 0.14959598881657673208,
                                    0.12462897125553387205, 0.09515851168249278481,
                                    0.06225352393864789286, 0.02715245941175409485 };

const oxt_i_gauss oxt_i_gauss_4 = { 4, place_4, weight_4 };
const oxt_i_gauss oxt_i_gauss_8 = { 8, place_8, weight_8 };
const oxt_i_gauss oxt_i_gauss_12 = { 12, place_12, weight_12 };
const oxt_i_gauss oxt_i_gauss_16 = { 16, place_16, weight_16 };

void oxt_i_gauss_point(const oxt_i_gauss *rule, double from, double to, size_t i, double *at,
                       double *weight)
{
    size_t half = rule->count / 2, j = i < half ? half - 1 - i : i - half;
    double middle = 0.5 * (from + to), width = 0.5 * (to - from);
    *at = middle + (i < half ? -width : width) * rule->place[j];
    *weight = width * rule->weight[j];
}

/* The last of the first n + 1 Hermite polynomials that are orthonormal under the normal density, and the
 * sum of the squares of those before it. */
static double hermite(size_t n, double x, double *squares)
{
    double before = 0.0, now = 1.0;
    *squares = 0.0;
    for (size_t k = 0; k < n; k++) {
        double next = (x * now - sqrt((double)k) * before) / sqrt((double)k + 1.0);
        *squares += now * now;
        before = now;
        now = next;
    }
    return now;
}

static double hermite_at(double x, void *context)
{
    double squares;
    return hermite(*(const size_t *)context, x, &squares);
}

/* The zeros lie more than pi/sqrt(n + 1/2) apart and within 2 sqrt(n + 1/2) of the middle: G. Szego,
 * Orthogonal Polynomials, 1939, chapter 6, from memory. Steps a third as long meet each of them alone. */
oxt_status oxt_i_normal_points(size_t count, double *points, double *weights, oxt_error *error)
{
    double reach = 2.0 * sqrt((double)count + 0.5);
    size_t steps = (size_t)(6.0 * reach * reach / (4.0 * OXT_I_PI) * 2.0) + 2, found = 0;
    double step = 2.0 * reach / (double)steps, sum = 0.0, from = -reach;
    double at_from = hermite_at(from, &count);
    for (size_t i = 1; i <= steps && found < count; i++) {
        double to = -reach + step * (double)i, at_to = hermite_at(to, &count);
        if ((at_from < 0.0) != (at_to < 0.0)) {
            double squares;
            oxt_status status = oxt_i_find_root(hermite_at, &count, from, to, 1e-15, &points[found],
                                                error);
            if (status)
                return status;
            hermite(count, points[found], &squares);
            weights[found] = 1.0 / squares;
            sum += weights[found++];
        }
        from = to;
        at_from = at_to;
    }
    for (size_t i = 0; i < found; i++)
        weights[i] /= sum;
    return found == count ? OXT_OK
                          : oxt_i_fail_text(error, OXT_ENOCONV, "count",
                                            "the points of a normal deviate were not found");
}
