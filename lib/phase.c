/* SPDX-License-Identifier: GPL-3.0-or-later */
/* exp, cos and sin without a branch or a call, so that compilers make vector instructions of the
 * loop; the results do not depend on the machine's mathematical library. */
#include "phase.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

/* Added to a number below 2^51 it leaves the nearest whole number in the last bits. */
static const double ROUND = 0x1.8p52;

static inline double whole(double number)
{
    double moved = number + ROUND;
    return moved - ROUND;
}

static inline uint64_t bits_of(double number)
{
    uint64_t bits;
    memcpy(&bits, &number, sizeof bits);
    return bits;
}

/* 2^power, negative after an odd number of half turns. */
static inline double signed_power(double power, double half_turns)
{
    uint64_t bits = (bits_of(power + ROUND) + 1023) << 52 ^ bits_of(half_turns + ROUND) << 63;
    double number;
    memcpy(&number, &bits, sizeof number);
    return number;
}

/* Taylor's series, up to half of ln 2; even and odd terms apart, to be added up side by side. */
static inline double exp_series(double r)
{
    double s = r * r;
    double even = 1.0 / 2 +
                  s * (1.0 / 24 +
                       s * (1.0 / 720 + s * (1.0 / 40320 + s * (1.0 / 3628800 + s / 479001600))));
    double odd = 1.0 / 6 +
                 s * (1.0 / 120 + s * (1.0 / 5040 + s * (1.0 / 362880 +
                                                         s * (1.0 / 39916800 + s / 6227020800.0))));
    return 1.0 + (r + (s * even + s * r * odd));
}

/* Taylor's series, up to half of pi; `s` is the square of the angle. */
static inline double sin_series(double x, double s)
{
    double sum = -1.0 / 121645100408832000.0 + s / 51090942171709440000.0;
    sum = -1.0 / 1307674368000.0 + s * (1.0 / 355687428096000.0 + s * sum);
    sum = -1.0 / 39916800 + s * (1.0 / 6227020800.0 + s * sum);
    sum = -1.0 / 5040 + s * (1.0 / 362880 + s * sum);
    sum = -1.0 / 6 + s * (1.0 / 120 + s * sum);
    return x + x * s * sum;
}

static inline double cos_series(double s)
{
    double sum = -1.0 / 6402373705728000.0 + s / 2432902008176640000.0;
    sum = -1.0 / 87178291200.0 + s * (1.0 / 20922789888000.0 + s * sum);
    sum = -1.0 / 3628800 + s * (1.0 / 479001600 + s * sum);
    sum = -1.0 / 720 + s * (1.0 / 40320 + s * sum);
    sum = -1.0 / 2 + s * (1.0 / 24 + s * sum);
    return 1.0 + s * sum;
}

/* ln 2 and pi are taken away in parts, whose products with a small whole number are exact. */
void oxt_i_phases(size_t n, const double *restrict decay, const double *restrict turn, double way,
                  double *restrict re, double *restrict im)
{
    for (size_t i = 0; i < n; i++) {
        double a = way * decay[i], t = way * turn[i];
        double power = whole(a * 1.4426950408889634);
        /* No less than -1000, where all light is lost. */
        power = 0.5 * (power - 1000.0 + fabs(power + 1000.0));
        double r = a - power * 0x1.62e42feep-1 - power * 0x1.a39ef35793c76p-33;
        double half_turns = whole(t * 0.3183098861837907);
        double x = t - half_turns * 0x1.921fb544p+1 - half_turns * 0x1.0b4611a6p-33 -
                   half_turns * 0x1.3198a2e037073p-68;
        double size = exp_series(r) * signed_power(power, half_turns);
        re[i] = size * cos_series(x * x);
        im[i] = size * sin_series(x, x * x);
    }
}
