/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loops that the compiler turns into vector instructions, once for each kind of processor. Products and sums
 * are not fused (CMakeLists.txt), so all of them give the same bits. */
#include "base/vector.h"

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

/* ---- logarithms ---- */

IN_LINE void oxt_i_lns_loop(size_t n, double *numbers)
{
    for (size_t i = 0; i < n; i++)
        numbers[i] = oxt_i_ln(numbers[i]);
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
    double sum = -1.0 / 121645100408832000.0 + s * (1.0 / 51090942171709440000.0);
    sum = -1.0 / 1307674368000.0 + s * (1.0 / 355687428096000.0 + s * sum);
    sum = -1.0 / 39916800 + s * (1.0 / 6227020800.0 + s * sum);
    sum = -1.0 / 5040 + s * (1.0 / 362880 + s * sum);
    sum = -1.0 / 6 + s * (1.0 / 120 + s * sum);
    return x + x * s * sum;
}

IN_LINE double cos_series(double s)
{
    double sum = -1.0 / 6402373705728000.0 + s * (1.0 / 2432902008176640000.0);
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
        sums[j] = ((part[0] + part[4]) + (part[2] + part[6])) +
                  ((part[1] + part[5]) + (part[3] + part[7]));
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

IN_LINE double sum_of(const double part[LANES])
{
    return ((part[0] + part[4]) + (part[2] + part[6])) +
           ((part[1] + part[5]) + (part[3] + part[7]));
}

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
        sums[j] = sum_of(part[j]);
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
        products[j] = sum_of(part[j]);
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
        share[k] = ((part[0] + part[4]) + (part[2] + part[6])) +
                   ((part[1] + part[5]) + (part[3] + part[7]));
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
    double angle = 1.0471975511965976 * oxt_i_exp(hue.y < 0.0 ? -exponent : -on_right);
    return sin_series(angle, angle * angle);
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
