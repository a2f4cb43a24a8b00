/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loops that the compiler turns into vector instructions, once for each kind of processor. Products and sums
 * are not fused (CMakeLists.txt), so all of them give the same bits. */
#include "vector.h"

#include <float.h>
#include <math.h>

#if defined(__GNUC__)
#define IN_LINE static inline __attribute__((always_inline))
#else
#define IN_LINE static inline
#endif

/* FOR_EACH_PROCESSOR(type, name, parameters, arguments) defines `name`, which runs the loop `name_loop` in the widest
 * vectors that the processor at hand has. */
#if defined(__x86_64__) && defined(__GNUC__)
#define FOR_EACH_PROCESSOR(type, name, parameters, arguments)               \
    __attribute__((target("avx512f"))) static type name##_avx512 parameters \
    {                                                                       \
        return name##_loop arguments;                                       \
    }                                                                       \
    __attribute__((target("avx2"))) static type name##_avx2 parameters      \
    {                                                                       \
        return name##_loop arguments;                                       \
    }                                                                       \
    type name parameters                                                    \
    {                                                                       \
        return __builtin_cpu_supports("avx512f") ? name##_avx512 arguments  \
               : __builtin_cpu_supports("avx2")  ? name##_avx2 arguments    \
                                                 : name##_loop arguments;    \
    }
#else
#define FOR_EACH_PROCESSOR(type, name, parameters, arguments) \
    type name parameters                                      \
    {                                                         \
        return name##_loop arguments;                         \
    }
#endif

/* 1 for a number from above 0, or from 0, to the largest; without a branch. */
IN_LINE int64_t above_0(double x)
{
    return (int64_t)(x > 0.0) & (int64_t)(x <= DBL_MAX);
}

IN_LINE int64_t from_0(double x)
{
    return (int64_t)(x >= 0.0) & (int64_t)(x <= DBL_MAX);
}

/* ---- growth ---- */

IN_LINE size_t oxt_i_rates_loop(oxt_i_arrhenius by, size_t n, const double *restrict temperature_K,
                                double *restrict rate_nm2_per_s)
{
    int64_t good = 0;
    for (size_t i = 0; i < n; i++) {
        double value = oxt_i_rate(by, temperature_K[i]);
        int64_t ok = above_0(temperature_K[i]) & from_0(value);
        good += ok;
        rate_nm2_per_s[i] = ok ? value : NAN;
    }
    return n - (size_t)good;
}

FOR_EACH_PROCESSOR(size_t, oxt_i_rates,
                   (oxt_i_arrhenius by, size_t n, const double *restrict temperature_K,
                    double *restrict rate_nm2_per_s),
                   (by, n, temperature_K, rate_nm2_per_s))

IN_LINE size_t oxt_i_thicknesses_loop(oxt_i_arrhenius by, size_t n, const double *restrict bath_K,
                                      const double *restrict time_s, double *restrict thickness_nm)
{
    int64_t good = 0;
    for (size_t i = 0; i < n; i++) {
        double exposure = oxt_i_rate(by, bath_K[i]) * time_s[i];
        int64_t ok = above_0(bath_K[i]) & from_0(time_s[i]) & from_0(exposure);
        good += ok;
        thickness_nm[i] = sqrt(ok ? exposure : NAN);
    }
    return n - (size_t)good;
}

FOR_EACH_PROCESSOR(size_t, oxt_i_thicknesses,
                   (oxt_i_arrhenius by, size_t n, const double *restrict bath_K,
                    const double *restrict time_s, double *restrict thickness_nm),
                   (by, n, bath_K, time_s, thickness_nm))

IN_LINE size_t oxt_i_times_loop(oxt_i_arrhenius by, size_t n, const double *restrict thickness_nm,
                                const double *restrict bath_K, double *restrict time_s)
{
    int64_t good = 0;
    for (size_t i = 0; i < n; i++) {
        double x = thickness_nm[i];
        double value = x * x / oxt_i_rate(by, bath_K[i]);
        value = x > 0.0 ? value : x * 0.0;
        int64_t ok = above_0(bath_K[i]) & from_0(x) & from_0(value);
        good += ok;
        time_s[i] = ok ? value : NAN;
    }
    return n - (size_t)good;
}

FOR_EACH_PROCESSOR(size_t, oxt_i_times,
                   (oxt_i_arrhenius by, size_t n, const double *restrict thickness_nm,
                    const double *restrict bath_K, double *restrict time_s),
                   (by, n, thickness_nm, bath_K, time_s))

IN_LINE size_t oxt_i_thicknesses_at_loop(double rate_nm2_per_s, size_t n,
                                         const double *restrict time_s,
                                         double *restrict thickness_nm)
{
    int64_t good = 0;
    for (size_t i = 0; i < n; i++) {
        double exposure = rate_nm2_per_s * time_s[i];
        int64_t ok = from_0(time_s[i]) & from_0(exposure);
        good += ok;
        thickness_nm[i] = sqrt(ok ? exposure : NAN);
    }
    return n - (size_t)good;
}

FOR_EACH_PROCESSOR(size_t, oxt_i_thicknesses_at,
                   (double rate_nm2_per_s, size_t n, const double *restrict time_s,
                    double *restrict thickness_nm),
                   (rate_nm2_per_s, n, time_s, thickness_nm))

IN_LINE size_t oxt_i_times_at_loop(double rate_nm2_per_s, size_t n,
                                   const double *restrict thickness_nm, double *restrict time_s)
{
    int64_t good = 0;
    for (size_t i = 0; i < n; i++) {
        double x = thickness_nm[i];
        double value = x * x / rate_nm2_per_s;
        value = x > 0.0 ? value : x * 0.0;
        int64_t ok = from_0(x) & from_0(value);
        good += ok;
        time_s[i] = ok ? value : NAN;
    }
    return n - (size_t)good;
}

FOR_EACH_PROCESSOR(size_t, oxt_i_times_at,
                   (double rate_nm2_per_s, size_t n, const double *restrict thickness_nm,
                    double *restrict time_s),
                   (rate_nm2_per_s, n, thickness_nm, time_s))

/* ---- phases of light in a film ---- */

/* 2^power, negative after an odd number of half turns. */
IN_LINE double signed_power(double power, double half_turns)
{
    uint64_t sign = oxt_i_bits(half_turns + OXT_I_ROUND) << 63;
    uint64_t bits = oxt_i_bits(oxt_i_power_of_2(power)) ^ sign;
    double number;
    memcpy(&number, &bits, sizeof number);
    return number;
}

/* Taylor's series, up to half of pi; `s` is the square of the angle. */
IN_LINE double sin_series(double x, double s)
{
    double sum = -1.0 / 121645100408832000.0 + s / 51090942171709440000.0;
    sum = -1.0 / 1307674368000.0 + s * (1.0 / 355687428096000.0 + s * sum);
    sum = -1.0 / 39916800 + s * (1.0 / 6227020800.0 + s * sum);
    sum = -1.0 / 5040 + s * (1.0 / 362880 + s * sum);
    sum = -1.0 / 6 + s * (1.0 / 120 + s * sum);
    return x + x * s * sum;
}

IN_LINE double cos_series(double s)
{
    double sum = -1.0 / 6402373705728000.0 + s / 2432902008176640000.0;
    sum = -1.0 / 87178291200.0 + s * (1.0 / 20922789888000.0 + s * sum);
    sum = -1.0 / 3628800 + s * (1.0 / 479001600 + s * sum);
    sum = -1.0 / 720 + s * (1.0 / 40320 + s * sum);
    sum = -1.0 / 2 + s * (1.0 / 24 + s * sum);
    return 1.0 + s * sum;
}

/* Whole half turns are taken away in three parts of pi, whose products with a small whole number are exact. */
IN_LINE void oxt_i_phases_loop(size_t n, const double *restrict decay, const double *restrict turn,
                               double way, double *restrict re, double *restrict im)
{
    for (size_t i = 0; i < n; i++) {
        double a = way * decay[i], t = way * turn[i];
        double power = oxt_i_whole(a * 1.4426950408889634);
        /* No less than -1000, where all light is lost. */
        power = 0.5 * (power - 1000.0 + fabs(power + 1000.0));
        double r = oxt_i_less_ln_2(a, power);
        double half_turns = oxt_i_whole(t * 0.3183098861837907);
        double x = t - half_turns * 0x1.921fb544p+1 - half_turns * 0x1.0b4611a6p-33 -
                   half_turns * 0x1.3198a2e037073p-68;
        double size = oxt_i_exp_series(r) * signed_power(power, half_turns);
        re[i] = size * cos_series(x * x);
        im[i] = size * sin_series(x, x * x);
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_phases,
                   (size_t n, const double *restrict decay, const double *restrict turn, double way,
                    double *restrict re, double *restrict im),
                   (n, decay, turn, way, re, im))
