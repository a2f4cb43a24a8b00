/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loops that the compiler turns into vector instructions, once for each kind of processor. Products and sums
 * are not fused (CMakeLists.txt), so all of them give the same bits. */
#include "base/vector.h"

#include <float.h>
#include <math.h>

#define IN_LINE OXT_I_IN_LINE

/* FOR_EACH_PROCESSOR(type, name, parameters, arguments) defines `name`, which runs the loop `name_loop` in the widest
 * vectors that the processor at hand has. */
#if defined(__x86_64__) && defined(__GNUC__) && !defined(OXT_I_ONE_LOOP)
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

/* ---- logarithms ---- */

IN_LINE void oxt_i_lns_loop(size_t n, double *numbers)
{
    double rest[8] = { 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0 }; /* side by side all the same */
    size_t whole = n - n % 8;
    for (size_t i = 0; i < whole; i++)
        numbers[i] = oxt_i_ln(numbers[i]);
    if (n > whole) {
        memcpy(rest, numbers + whole, (n - whole) * sizeof *rest);
        for (size_t i = 0; i < 8; i++)
            rest[i] = oxt_i_ln(rest[i]);
        memcpy(numbers + whole, rest, (n - whole) * sizeof *rest);
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_lns, (size_t n, double *numbers), (n, numbers))

IN_LINE void oxt_i_finish_normals_loop(size_t n, double *restrict heights,
                                       const double *restrict squares)
{
    for (size_t i = 0; i < n; i++)
        heights[i] *= sqrt(-2.0 * oxt_i_ln(squares[i]) / squares[i]);
}

FOR_EACH_PROCESSOR(void, oxt_i_finish_normals,
                   (size_t n, double *restrict heights, const double *restrict squares),
                   (n, heights, squares))

/* ---- chances ---- */

IN_LINE void oxt_i_pulls_of_bands_loop(size_t n, const double *restrict low,
                                       const double *restrict high, double row_count,
                                       double *restrict step, double *restrict sigma)
{
    for (size_t i = 0; i < n; i++) {
        oxt_i_band_pull made = oxt_i_pull_of_band(low[i], high[i], row_count);
        step[i] = made.step;
        sigma[i] = made.sigma;
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_pulls_of_bands,
                   (size_t n, const double *restrict low, const double *restrict high,
                    double row_count, double *restrict step, double *restrict sigma),
                   (n, low, high, row_count, step, sigma))

IN_LINE void oxt_i_normal_log_chances_loop(size_t n, const double *restrict low,
                                           const double *restrict high, double *restrict log_chance)
{
    for (size_t i = 0; i < n; i++)
        log_chance[i] = oxt_i_normal_between(low[i], high[i]).log_chance;
}

FOR_EACH_PROCESSOR(void, oxt_i_normal_log_chances,
                   (size_t n, const double *restrict low, const double *restrict high,
                    double *restrict log_chance),
                   (n, low, high, log_chance))

IN_LINE double sum_of_eight(const double part[8])
{
    return ((part[0] + part[4]) + (part[2] + part[6])) +
           ((part[1] + part[5]) + (part[3] + part[7]));
}

/* ---- parts that warm up ---- */

IN_LINE void oxt_i_add_decays_loop(size_t n, double weight, double rate_per_s,
                                   const double *restrict time_s, double *restrict sums)
{
    for (size_t i = 0; i < n; i++)
        sums[i] += weight * oxt_i_exp(-rate_per_s * time_s[i]);
}

FOR_EACH_PROCESSOR(void, oxt_i_add_decays,
                   (size_t n, double weight, double rate_per_s, const double *restrict time_s,
                    double *restrict sums),
                   (n, weight, rate_per_s, time_s, sums))

IN_LINE void oxt_i_missing_shares_loop(size_t n, double activation_K, double inverse_bath,
                                       const double *restrict temperature_K, double *restrict share)
{
    for (size_t i = 0; i < n; i++)
        share[i] = -oxt_i_expm1(-activation_K * (1.0 / temperature_K[i] - inverse_bath));
}

FOR_EACH_PROCESSOR(void, oxt_i_missing_shares,
                   (size_t n, double activation_K, double inverse_bath,
                    const double *restrict temperature_K, double *restrict share),
                   (n, activation_K, inverse_bath, temperature_K, share))

IN_LINE void oxt_i_bath_seconds_loop(size_t n, double activation_K, double inverse_bath,
                                     const double *restrict weight_s,
                                     const double *restrict temperature_K, double sums[2])
{
    double part[2][8] = { { 0.0 } };
    for (size_t i = 0; i < n; i += 8)
        for (size_t k = 0; k < 8; k++) {
            double beyond = 1.0 / temperature_K[i + k] - inverse_bath;
            double seconds = weight_s[i + k] * oxt_i_exp(-activation_K * beyond);
            part[0][k] += seconds;
            part[1][k] += seconds * beyond;
        }
    sums[0] = sum_of_eight(part[0]);
    sums[1] = sum_of_eight(part[1]);
}

FOR_EACH_PROCESSOR(void, oxt_i_bath_seconds,
                   (size_t n, double activation_K, double inverse_bath,
                    const double *restrict weight_s, const double *restrict temperature_K,
                    double sums[2]),
                   (n, activation_K, inverse_bath, weight_s, temperature_K, sums))

/* ---- growth ---- */

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

/* Polynomials through Chebyshev's points, which take fewer terms than Taylor's series; each is off by less than 6e-17
 * before rounding. Even and odd terms apart, to be added up side by side. */

/* 2^x, |x| up to a half. */
IN_LINE double power_series(double x)
{
    double s = x * x;
    double even = 9.618129107606888e-3 +
                  s * (1.540353044173605e-4 +
                       s * (1.321544258792169e-6 + s * 7.072585949269223e-9));
    double odd = 1.3333558146416936e-3 +
                 s * (1.525273382983612e-5 +
                      s * (1.0178062445845774e-7 + s * 4.4549605981865186e-10));
    even = 1.0 + s * (0.24022650695910097 + s * even);
    odd = 0.6931471805599453 + s * (0.0555041086648216 + s * odd);
    return even + x * odd;
}

/* The sine and the cosine of pi x, |x| up to a half; `s` is the square of x. */
IN_LINE double sin_series(double x, double s)
{
    double z = s * s;
    double even = 4.662998161898394e-4 + z * 7.697826768224191e-7;
    double odd = -7.370430505916944e-3 + z * -2.1903497074626018e-5;
    even = 3.141592653589793 + z * (2.5501640398773007 + z * (8.21458865731029e-2 + z * even));
    odd = -5.167712780049969 + z * (-0.5992645293189447 + z * odd);
    return x * (even + s * odd);
}

IN_LINE double cos_series(double s)
{
    double z = s * s;
    double even = 1.929562652479866e-3 + z * 4.166399462726949e-6;
    double odd = -2.580689002587539e-2 + z * -1.0458286368326585e-4;
    even = 1.0 + z * (4.058712126416736 + z * (0.2353306302721577 + z * even));
    odd = -4.934802200544679 + z * (-1.3352627688518803 + z * odd);
    return even + s * odd;
}

typedef struct {
    double re, im, square; /* the last of its absolute value */
} phase;

/* 2^power exp(i pi turns): half turns in whole numbers are a sign. No less than 2^-1000, where all light is lost. */
IN_LINE phase phase_of(double power, double half_turns)
{
    /* the last bits become those of an exponent */
    static const double ROUND_UP = OXT_I_ROUND + 1023.0;
    power = power > -1000.0 ? power : -1000.0;
    double moved = power + ROUND_UP, turned = half_turns + OXT_I_ROUND;
    uint64_t bits = (oxt_i_bits(moved) << 52) ^ (oxt_i_bits(turned) << 63);
    double size, x = half_turns - (turned - OXT_I_ROUND);
    memcpy(&size, &bits, sizeof size);
    size *= power_series(power - (moved - ROUND_UP));
    return (phase){ size * cos_series(x * x), size * sin_series(x, x * x), size * size };
}

IN_LINE void oxt_i_phases_loop(size_t n, const double *restrict decay, const double *restrict turn,
                               double way, double *restrict re, double *restrict im)
{
    for (size_t i = 0; i < n; i++) {
        phase made = phase_of(way * decay[i], way * turn[i]);
        re[i] = made.re;
        im[i] = made.im;
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_phases,
                   (size_t n, const double *restrict decay, const double *restrict turn, double way,
                    double *restrict re, double *restrict im),
                   (n, decay, turn, way, re, im))

/* ---- films ---- */

IN_LINE void oxt_i_multiply_loop(size_t n, const double *restrict b_re, const double *restrict b_im,
                                 double *restrict a_re, double *restrict a_im)
{
    for (size_t i = 0; i < n; i++) {
        double re = a_re[i] * b_re[i] - a_im[i] * b_im[i];
        a_im[i] = a_re[i] * b_im[i] + a_im[i] * b_re[i];
        a_re[i] = re;
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_multiply,
                   (size_t n, const double *restrict b_re, const double *restrict b_im,
                    double *restrict a_re, double *restrict a_im),
                   (n, b_re, b_im, a_re, a_im))

/* Real and imaginary parts apart: C's complex product and quotient look for infinities, which costs more than
 * the arithmetic. */
IN_LINE void oxt_i_add_layer_loop(size_t n, const double *restrict face_re,
                                  const double *restrict face_im, const double *restrict foot_re,
                                  const double *restrict foot_im, double *restrict re,
                                  double *restrict im)
{
    for (size_t i = 0; i < n; i++) {
        double low_re = 1.0 + face_re[i] * foot_re[i] - face_im[i] * foot_im[i];
        double low_im = face_re[i] * foot_im[i] + face_im[i] * foot_re[i];
        double up_re = face_re[i] + foot_re[i], up_im = face_im[i] + foot_im[i];
        double scale = 1.0 / (low_re * low_re + low_im * low_im);
        re[i] = (up_re * low_re + up_im * low_im) * scale;
        im[i] = (up_im * low_re - up_re * low_im) * scale;
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_add_layer,
                   (size_t n, const double *restrict face_re, const double *restrict face_im,
                    const double *restrict foot_re, const double *restrict foot_im,
                    double *restrict re, double *restrict im),
                   (n, face_re, face_im, foot_re, foot_im, re, im))

/* R = U / L below the coat; coat + (1 - coat)^2 R / (1 - coat R) above it, in one division. */
IN_LINE void oxt_i_add_reflectance_loop(size_t n, const double *restrict face_re,
                                        const double *restrict face_im,
                                        const double *restrict foot_re,
                                        const double *restrict foot_im, double coat, double weight,
                                        double *restrict sum)
{
    double offset = weight * coat, through = weight * (1.0 - coat) * (1.0 - coat);
    for (size_t i = 0; i < n; i++) {
        double low_re = 1.0 + face_re[i] * foot_re[i] - face_im[i] * foot_im[i];
        double low_im = face_re[i] * foot_im[i] + face_im[i] * foot_re[i];
        double up_re = face_re[i] + foot_re[i], up_im = face_im[i] + foot_im[i];
        double up = up_re * up_re + up_im * up_im, low = low_re * low_re + low_im * low_im;
        sum[i] += offset + through * up / (low - coat * up);
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_add_reflectance,
                   (size_t n, const double *restrict face_re, const double *restrict face_im,
                    const double *restrict foot_re, const double *restrict foot_im, double coat,
                    double weight, double *restrict sum),
                   (n, face_re, face_im, foot_re, foot_im, coat, weight, sum))

/* Eight sums side by side, for vectors of any width and none that waits for the last. */
IN_LINE void oxt_i_three_sums_loop(size_t n, const double *restrict a,
                                   const double *restrict weights, double sums[3])
{
    for (size_t j = 0; j < 3; j++) {
        const double *w = weights + j * n;
        double part[8] = { 0.0 };
        for (size_t i = 0; i < n; i += 8)
            for (size_t k = 0; k < 8; k++)
                part[k] += w[i + k] * a[i + k];
        sums[j] = sum_of_eight(part);
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_three_sums,
                   (size_t n, const double *restrict a, const double *restrict weights,
                    double sums[3]),
                   (n, a, weights, sums))

/* ---- moments ---- */

/* Of rows with weights and with a third column, which may be wanting. */
typedef struct {
    const double *u, *z, *y, *w;
} rows;

enum { LANES = 8 }; /* sums side by side of each; the last rows go to the first of them */

IN_LINE void add_to_sums(rows of, size_t i, size_t k, double part[4][LANES])
{
    double weight = of.w ? of.w[i] : 1.0;
    part[0][k] += weight;
    part[1][k] += weight * of.u[i];
    part[2][k] += weight * of.z[i];
    part[3][k] += of.y ? weight * of.y[i] : 0.0;
}

IN_LINE void sums_of(size_t n, rows of, double sums[4])
{
    double part[4][LANES] = { { 0.0 } };
    size_t i = 0;
    for (; i + LANES <= n; i += LANES)
        for (size_t k = 0; k < LANES; k++)
            add_to_sums(of, i + k, k, part);
    for (size_t k = 0; i < n; i++, k++)
        add_to_sums(of, i, k, part);
    for (size_t j = 0; j < 4; j++)
        sums[j] = sum_of_eight(part[j]);
}

IN_LINE void add_to_products(rows of, const double means[3], size_t i, size_t k,
                             double part[6][LANES])
{
    double weight = of.w ? of.w[i] : 1.0, u = of.u[i] - means[0], z = of.z[i] - means[1];
    double y = of.y ? of.y[i] - means[2] : 0.0, wu = weight * u, wz = weight * z;
    part[0][k] += wu * u;
    part[1][k] += wu * z;
    part[2][k] += wz * z;
    part[3][k] += wu * y;
    part[4][k] += wz * y;
    part[5][k] += weight * y * y;
}

IN_LINE void products_of(size_t n, rows of, const double means[3], double products[6])
{
    double part[6][LANES] = { { 0.0 } };
    size_t i = 0;
    for (; i + LANES <= n; i += LANES)
        for (size_t k = 0; k < LANES; k++)
            add_to_products(of, means, i + k, k, part);
    for (size_t k = 0; i < n; i++, k++)
        add_to_products(of, means, i, k, part);
    for (size_t j = 0; j < 6; j++)
        products[j] = sum_of_eight(part[j]);
}

/* Each kind is compiled apart. */
IN_LINE void oxt_i_sums_loop(size_t n, const double *u, const double *z, const double *y,
                             const double *w, double sums[4])
{
    if (w && y)
        sums_of(n, (rows){ u, z, y, w }, sums);
    else if (w)
        sums_of(n, (rows){ u, z, NULL, w }, sums);
    else if (y)
        sums_of(n, (rows){ u, z, y, NULL }, sums);
    else
        sums_of(n, (rows){ u, z, NULL, NULL }, sums);
}

FOR_EACH_PROCESSOR(void, oxt_i_sums,
                   (size_t n, const double *u, const double *z, const double *y, const double *w,
                    double sums[4]),
                   (n, u, z, y, w, sums))

IN_LINE void oxt_i_products_loop(size_t n, const double *u, const double *z, const double *y,
                                 const double *w, const double means[3], double products[6])
{
    if (w && y)
        products_of(n, (rows){ u, z, y, w }, means, products);
    else if (w)
        products_of(n, (rows){ u, z, NULL, w }, means, products);
    else if (y)
        products_of(n, (rows){ u, z, y, NULL }, means, products);
    else
        products_of(n, (rows){ u, z, NULL, NULL }, means, products);
}

FOR_EACH_PROCESSOR(void, oxt_i_products,
                   (size_t n, const double *u, const double *z, const double *y, const double *w,
                    const double means[3], double products[6]),
                   (n, u, z, y, w, means, products))

/* Both sides of the fraction are sums of 1, the square of the phase and its two parts. */
IN_LINE double plain_reflectance(const double *row, size_t width, double thickness_nm)
{
    phase by = phase_of(thickness_nm * row[0], thickness_nm * row[width]);
    double up = row[2 * width] + row[3 * width] * by.square + row[4 * width] * by.re +
                row[5 * width] * by.im;
    double low = row[6 * width] + row[7 * width] * by.square + row[8 * width] * by.re +
                 row[9 * width] * by.im;
    return up / low;
}

/* Two films side by side: while one waits for a result, the other goes on. */
IN_LINE void oxt_i_plain_films_loop(size_t n, const double *restrict thickness_nm, size_t width,
                                    const double *restrict film, const double *restrict weights,
                                    double *restrict x, double *restrict y, double *restrict z)
{
    enum { SIDES = 2 };
    for (size_t k = 0; k < n; k += SIDES) {
        double sums[SIDES][3][8] = { { { 0.0 } } };
        const double nm[SIDES] = { thickness_nm[k], thickness_nm[k + 1 < n ? k + 1 : k] };
        for (size_t i = 0; i < width; i += 8)
            for (size_t j = 0; j < 8; j++)
                for (size_t side = 0; side < SIDES; side++) {
                    const double *w = weights + i + j;
                    double R = plain_reflectance(film + i + j, width, nm[side]);
                    sums[side][0][j] += w[0] * R;
                    sums[side][1][j] += w[width] * R;
                    sums[side][2][j] += w[2 * width] * R;
                }
        for (size_t side = 0; side < SIDES && k + side < n; side++) {
            x[k + side] += sum_of_eight(sums[side][0]);
            y[k + side] += sum_of_eight(sums[side][1]);
            z[k + side] += sum_of_eight(sums[side][2]);
        }
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_plain_films,
                   (size_t n, const double *restrict thickness_nm, size_t width,
                    const double *restrict film, const double *restrict weights, double *restrict x,
                    double *restrict y, double *restrict z),
                   (n, thickness_nm, width, film, weights, x, y, z))

/* ---- Chebyshev sums ---- */

IN_LINE void oxt_i_chebyshev_loop(const double *restrict x, const double *restrict at,
                                  const double *restrict mirrored, double *restrict share)
{
    enum { N = OXT_I_CHEBYSHEV, HALF = N / 2 };
    double even[HALF], odd[HALF], now[HALF], next[HALF];
    for (size_t j = 0; j < HALF; j++) {
        even[j] = 2.0 / N * (at[j] + mirrored[j]);
        odd[j] = 2.0 / N * (at[j] - mirrored[j]);
        now[j] = 1.0;
        next[j] = x[j];
    }
    for (size_t k = 0; k < N; k++) {
        const double *f = k % 2 ? odd : even;
        double part[8] = { 0.0 };
        for (size_t j = 0; j < HALF; j += 8)
            for (size_t i = 0; i < 8; i++)
                part[i] += f[j + i] * now[j + i];
        share[k] = sum_of_eight(part);
        for (size_t j = 0; j < HALF; j++) {
            double after = 2.0 * x[j] * next[j] - now[j];
            now[j] = next[j];
            next[j] = after;
        }
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_chebyshev,
                   (const double *restrict x, const double *restrict at,
                    const double *restrict mirrored, double *restrict share),
                   (x, at, mirrored, share))

/* ---- colour ---- */

/* Cube root of a number from 2^-1022 up: a third of the exponent and of the leading digits, off by 5 % at most, then
 * Halley's iteration, whose error is the cube of the last one, and a step of Newton's. */
IN_LINE double cube_root(double x)
{
    uint64_t whole = (oxt_i_bits(x) >> 32) | 0x4330000000000000u;
    double high;
    memcpy(&high, &whole, sizeof high);
    double third = (high - 0x1p52) * (1.0 / 3.0) + 715094163.0;
    uint64_t bits = oxt_i_bits(third + 0x1p52) << 32;
    double y;
    memcpy(&y, &bits, sizeof y);
    for (int i = 0; i < 2; i++) {
        double cube = y * y * y;
        y *= (cube + 2.0 * x) / (2.0 * cube + x);
    }
    return y - (y - x / (y * y)) * (1.0 / 3.0);
}

/* ISO/CIE 11664-4: the cube root, and the straight line below (6/29)^3. */
IN_LINE double lightness_of(double ratio)
{
    double root = cube_root(ratio > 1e-9 ? ratio : 1e-9);
    return ratio > 216.0 / 24389.0 ? root : (24389.0 / 27.0 * ratio + 16.0) / 116.0;
}

IN_LINE void oxt_i_labs_loop(size_t n, const double white_xyz[3], const double *restrict x,
                             const double *restrict y, const double *restrict z,
                             double *restrict lightness, double *restrict a, double *restrict b)
{
    double by_x = 1.0 / white_xyz[0], by_y = 1.0 / white_xyz[1], by_z = 1.0 / white_xyz[2];
    for (size_t i = 0; i < n; i++) {
        double fx = lightness_of(x[i] * by_x), fy = lightness_of(y[i] * by_y),
               fz = lightness_of(z[i] * by_z);
        lightness[i] = 116.0 * fy - 16.0;
        a[i] = 500.0 * (fx - fy);
        b[i] = 200.0 * (fy - fz);
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_labs,
                   (size_t n, const double white_xyz[3], const double *restrict x,
                    const double *restrict y, const double *restrict z, double *restrict lightness,
                    double *restrict a, double *restrict b),
                   (n, white_xyz, x, y, z, lightness, a, b))

/* ---- differences of colours: CIEDE2000 (ISO/CIE 11664-6), whose hues are here directions ---- */

IN_LINE double seventh_power_share(double chroma)
{
    double square = chroma * chroma, power = square * square * square * chroma;
    return sqrt(power / (power + 6103515625.0)); /* 25^7 */
}

typedef struct {
    double x, y;
} direction;

/* The mean hue of two colours and 2 sqrt(c1 c2) sin(dh/2), their difference in hue; by the short way round (Sharma et al.,
 * equations 10 and 14). Where the hues lie apart by more than a right angle, the mean is at right angles to what the
 * directions differ by. Greys do not differ in hue, so that
 * their mean is not looked at. */
IN_LINE direction compare_hues(direction one, direction two, double c1, double c2, double *step)
{
    double product = c1 * c2, cross = one.x * two.y - one.y * two.x;
    double dot = one.x * two.x + one.y * two.y;
    /* exactly opposed: from the smaller hue to the greater */
    double opposed = one.y > 0.0 ? 1.0 : one.y < 0.0 ? -1.0 : one.x > 0.0 ? 1.0 : -1.0;
    double side = cross > 0.0 ? 1.0 : cross < 0.0 ? -1.0 : opposed;
    double root = sqrt(dot >= 0.0 ? 0.5 * (product + dot) : 2.0 * (product - dot));
    double x = dot >= 0.0 ? one.x * c2 + two.x * c1 : side * (two.y * c1 - one.y * c2);
    double y = dot >= 0.0 ? one.y * c2 + two.y * c1 : side * (one.x * c2 - two.x * c1);
    double size = sqrt(x * x + y * y);
    *step = product == 0.0 ? 0.0 : dot >= 0.0 ? cross / root : side * root;
    direction mean = { size > 0.0 ? x / size : 1.0, size > 0.0 ? y / size : 0.0 };
    return mean;
}

/* The square of an angle in radians from its cosine: 16 times the series of arcsin(s)^2, where s is the sine of a quarter
 * of it. */
IN_LINE double squared_angle(double cosine)
{
    double half = 0.5 - 0.5 * cosine, rest = 1.0 - half; /* squares of sine and cosine of half */
    double z = half / (2.0 + 2.0 * sqrt(rest > 0.0 ? rest : 0.0));
    double sum = 1.0 + z * (128.0 / 153);
    sum = 1.0 + z * (98.0 / 120) * sum;
    sum = 1.0 + z * (72.0 / 91) * sum;
    sum = 1.0 + z * (50.0 / 66) * sum;
    sum = 1.0 + z * (32.0 / 45) * sum;
    sum = 1.0 + z * (18.0 / 28) * sum;
    sum = 1.0 + z * (8.0 / 15) * sum;
    sum = 1.0 + z * (2.0 / 6) * sum;
    return 16.0 * z * sum;
}

/* Sine of twice the angle by which blues are turned, 30 degrees at a hue of 275 degrees and less on either side; nothing from 360 on. */
IN_LINE double blue_turn(direction hue)
{
    double z = 0.08715574274765817 * hue.x - 0.9961946980917455 * hue.y;
    double exponent = 3282.806350011744 / 625.0 * squared_angle(z);
    double on_right = hue.x > 0.0 ? 800.0 : exponent;
    double turn = 1.0 / 3.0 * oxt_i_exp(hue.y < 0.0 ? -exponent : -on_right);
    return sin_series(turn, turn * turn);
}

/* 1 - 0.17 cos(h - 30) + 0.24 cos(2 h) + 0.32 cos(3 h + 6) - 0.2 cos(4 h - 63), by the angle sums. */
IN_LINE double hue_weight(direction hue)
{
    double x = hue.x, y = hue.y;
    double x2 = x * x - y * y, y2 = 2.0 * x * y;
    double x3 = x * x2 - y * y2, y3 = x * y2 + y * x2;
    double x4 = x2 * x2 - y2 * y2, y4 = 2.0 * x2 * y2;
    return 1.0 - 0.17 * (0.8660254037844386 * x + 0.5 * y) + 0.24 * x2 +
           0.32 * (0.9945218953682733 * x3 - 0.10452846326765347 * y3) -
           0.20 * (0.45399049973954675 * x4 + 0.8910065241883679 * y4);
}

IN_LINE void oxt_i_differences_loop(size_t n, const oxt_i_colours *one, const oxt_i_colours *two,
                                    double lightness_factor, double chroma_factor,
                                    double *restrict difference)
{
    const double *restrict L1 = one->lightness, *restrict L2 = two->lightness;
    const double *restrict A1 = one->a, *restrict A2 = two->a;
    const double *restrict B1 = one->b, *restrict B2 = two->b;
    for (size_t i = 0; i < n; i++) {
        double a1 = A1[i], a2 = A2[i], b1 = B1[i], b2 = B2[i];
        double chroma = 0.5 * (sqrt(a1 * a1 + b1 * b1) + sqrt(a2 * a2 + b2 * b2));
        double stretch = 1.5 - 0.5 * seventh_power_share(chroma);
        direction first = { stretch * a1, b1 }, second = { stretch * a2, b2 };
        double c1 = sqrt(first.x * first.x + b1 * b1), c2 = sqrt(second.x * second.x + b2 * b2);
        double L = 0.5 * (L1[i] + L2[i]) - 50.0, C = 0.5 * (c1 + c2), step;
        direction hue = compare_hues(first, second, c1, c2, &step);
        double S_L = 1.0 + 0.015 * L * L / sqrt(20.0 + L * L);
        double l = (L2[i] - L1[i]) / (lightness_factor * S_L);
        double c = (c2 - c1) / (chroma_factor * (1.0 + 0.045 * C));
        double h = step / (1.0 + 0.015 * C * hue_weight(hue));
        double R_T = -2.0 * seventh_power_share(C) * blue_turn(hue);
        double square = l * l + c * c + h * h + R_T * c * h;
        difference[i] = sqrt(square > 0.0 ? square : 0.0);
    }
}

FOR_EACH_PROCESSOR(void, oxt_i_differences,
                   (size_t n, const oxt_i_colours *one, const oxt_i_colours *two,
                    double lightness_factor, double chroma_factor, double *restrict difference),
                   (n, one, two, lightness_factor, chroma_factor, difference))
