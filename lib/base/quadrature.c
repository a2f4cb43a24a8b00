/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/quadrature.h"

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
