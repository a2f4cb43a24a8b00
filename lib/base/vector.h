/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Exponentials, the growth law and the phases of a film over arrays. One element alone takes the same steps as an element of an
 * array, so that both give the same bits, whatever the processor. */
#ifndef OXTINT_LIB_VECTOR_H
#define OXTINT_LIB_VECTOR_H

#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

/* Into every loop, however long: a call would keep it out of vectors. */
#if defined(__GNUC__)
#define OXT_I_IN_LINE static inline __attribute__((always_inline))
#else
#define OXT_I_IN_LINE static inline
#endif

/* Added to a number below 2^51 it leaves the nearest whole number in the last bits. */
#define OXT_I_ROUND 0x1.8p52

static inline double oxt_i_whole(double number)
{
    double moved = number + OXT_I_ROUND;
    return moved - OXT_I_ROUND;
}

static inline uint64_t oxt_i_bits(double number)
{
    uint64_t bits;
    memcpy(&bits, &number, sizeof bits);
    return bits;
}

/* 2^power for a whole power from -1022 to 1023. */
static inline double oxt_i_power_of_2(double power)
{
    uint64_t bits = (oxt_i_bits(power + OXT_I_ROUND) + 1023) << 52;
    double number;
    memcpy(&number, &bits, sizeof number);
    return number;
}

/* exp(r) - 1, |r| up to half of ln 2, by a polynomial through Chebyshev's points, off by less than 3e-17 of exp(r); even
 * and odd terms apart, to be added up side by side. */
static inline double oxt_i_expm1_series(double r)
{
    double s = r * r;
    double even = 0.041666666666624164 +
                  s * (0.0013888888917196736 +
                       s * (2.480152132234228e-05 + s * 2.7620075892548164e-07));
    double odd = 0.008333333333330065 +
                 s * (0.00019841269863040559 +
                      s * (2.7557268480289716e-06 + s * 2.51003758422237e-08));
    even = 0.5 + s * even;
    odd = 1.0 / 6.0 + s * odd;
    return r + (s * even + s * r * odd);
}

/* a less a whole number of ln 2, which is taken away in two parts whose products are exact. */
static inline double oxt_i_less_ln_2(double a, double power)
{
    return a - power * 0x1.62e42feep-1 - power * 0x1.a39ef35793c76p-33;
}

/* exp of any double, within 2 ulp; without a branch or a call, so that compilers make vector instructions of
 * a loop around it. */
static inline double oxt_i_exp(double x)
{
    x = x > 800.0 ? 800.0 : x; /* where the result is infinite or 0; NaN stays */
    x = x < -800.0 ? -800.0 : x;
    double power = oxt_i_whole(x * 1.4426950408889634);
    double half = oxt_i_whole(0.5 *
                              power); /* in two steps, for results near the ends of the range */
    return (1.0 + oxt_i_expm1_series(oxt_i_less_ln_2(x, power))) * oxt_i_power_of_2(half) *
           oxt_i_power_of_2(power - half);
}

/* exp of numbers that are mostly close to 0, where it is a few products without a call. */
static inline double oxt_i_exp_near_0(double x)
{
    return fabs(x) < 0.34 ? 1.0 + oxt_i_expm1_series(x) : exp(x);
}

/* exp(x) - 1, x up to 700, to as many digits. */
static inline double oxt_i_expm1(double x)
{
    x = x < -40.0 ? -40.0 : x; /* below it is -1 */
    double power = oxt_i_whole(x * 1.4426950408889634), scale = oxt_i_power_of_2(power);
    return scale * oxt_i_expm1_series(oxt_i_less_ln_2(x, power)) + (scale - 1.0);
}

/* ln of a positive, normal double, within 2 ulp: x = 2^power m with m from the root of 1/2 to that of 2, and the series of
 * ln m in (m - 1)/(m + 1). */
static inline double oxt_i_ln(double x)
{
    static const uint64_t ROOT_OF_HALF = UINT64_C(0x3fe6a09e667f3bcd);
    uint64_t above = oxt_i_bits(x) - ROOT_OF_HALF +
                     (UINT64_C(1023) << 52); /* the exponent, never below 0 */
    uint64_t bits = (above & UINT64_C(0x000fffffffffffff)) + ROOT_OF_HALF;
    /* a small whole number in the last bits of 2^52, since not every processor turns 64 bits into a double */
    uint64_t whole = (above >> 52) | UINT64_C(0x4330000000000000);
    double power, m;
    memcpy(&power, &whole, sizeof power);
    memcpy(&m, &bits, sizeof m);
    power -= 0x1p52 + 1023.0;
    double s = (m - 1.0) / (m + 1.0), z = s * s;
    double even = 1.0 / 3 +
                  z * z * (1.0 / 7 + z * z * (1.0 / 11 + z * z * (1.0 / 15 + z * z * (1.0 / 19))));
    double odd = 1.0 / 5 +
                 z * z * (1.0 / 9 + z * z * (1.0 / 13 + z * z * (1.0 / 17 + z * z * (1.0 / 21))));
    double rest = 2.0 * s * z * (even + z * odd) + power * 0x1.a39ef35793c76p-33;
    return power * 0x1.62e42feep-1 + (2.0 * s + rest);
}

/* Chance of a standard normal deviate above x over its density there, x >= 0: Mills' ratio. A polynomial through
 * Chebyshev's points in (x - 6)/(x + 6), over x + 3; off by less than 1e-15 of it. */
OXT_I_IN_LINE double oxt_i_mills(double x)
{
    double t = (x - 6.0) / (x + 6.0), z = t * t;
    double even = -0.0005613923901526815 +
                  z * (-0.001273993618158241 + z * (-8.072486941582664e-06 +
                                                    z * (1.3433637803894494e-05 +
                                                         z * (-1.9117895790973284e-06 +
                                                              z * (1.8757704915828868e-07 +
                                                                   z * -1.1724112710804844e-08)))));
    double odd = 0.002277900562074563 +
                 z * (0.00036155493648521586 +
                      z * (-3.856709103433589e-05 +
                           z * (8.967742908004259e-07 +
                                z * (2.903000476699084e-07 +
                                     z * (-6.04141429676313e-08 + z * 5.566747829613288e-09)))));
    even = 0.6303528701201622 + z * (0.24440825836026905 + z * (0.04564289021510237 + z * even));
    odd = -0.42157844540463946 + z * (-0.11910648463961276 + z * (-0.011144488495986668 + z * odd));
    return (1.4613989480718077 + z * even + t * (-0.83074380806748 + z * odd)) / (x + 3.0);
}

/* A standard normal deviate between two ends, low < high: the logarithm of its chance, and its densities at the ends over
 * that chance. However far out they lie: the end that is nearer to 0 is the measure of all. */
typedef struct {
    double log_chance, at_low, at_high;
} oxt_i_normal_band;

OXT_I_IN_LINE oxt_i_normal_band oxt_i_normal_between(double low, double high)
{
    double side = low + high < 0.0 ? -1.0
                                   : 1.0; /* the mirror image, so that the upper end is far */
    double near = side < 0.0 ? -high : low, far = side < 0.0 ? -low : high;
    double half_square = 0.5 * near * near;
    double fall = oxt_i_exp(0.5 * (near - far) * (near + far)); /* of the density, to the far end */
    double density = 0.3989422804014327 * oxt_i_exp(-half_square);
    double tail = oxt_i_mills(near < 0.0 ? -near : near), beyond = fall * oxt_i_mills(far);
    double part = near < 0.0 ? 1.0 - density * (tail + beyond) : tail - beyond;
    double at_near = (near < 0.0 ? density : 1.0) / part, at_far = at_near * fall;
    double ln_unit = near < 0.0 ? 0.0 : -0.9189385332046727 - half_square;
    return (oxt_i_normal_band){ oxt_i_ln(part) + ln_unit, side < 0.0 ? at_far : at_near,
                                side < 0.0 ? at_near : at_far };
}

/* Where such a band draws a least-squares solution that has the deviate at 0: Newton's step by the slope and the curvature of
 * its log_chance, and the standard deviation that goes with it. Deep inside a wide band the curvature is next to nothing, and
 * yet the deviate is not outside: it is not below that of an error which is uniform over the band, over the number of rows,
 * where all of which lie so. */
typedef struct {
    double step, sigma;
} oxt_i_band_pull;

OXT_I_IN_LINE oxt_i_band_pull oxt_i_pull_of_band(double low, double high, double row_count)
{
    oxt_i_normal_band band = oxt_i_normal_between(low, high);
    double width = high - low, mean = band.at_low - band.at_high;
    double share = mean * mean -
                   (low * band.at_low - high * band.at_high); /* 1 - variance within */
    double least = 1.0 / ((1.0 + width * width / 12.0) * row_count);
    share = share < least ? least : share;
    share = share > 1.0 ? 1.0 : share;
    return (oxt_i_band_pull){ mean / share, 1.0 / sqrt(share) };
}

/* What the Arrhenius rate needs: k = k_ref exp(-exponent_K (1/T - 1/T_ref)). */
typedef struct {
    double k_ref_nm2_per_s, exponent_K, inverse_T_ref;
} oxt_i_arrhenius;

static inline double oxt_i_rate(oxt_i_arrhenius by, double temperature_K)
{
    return by.k_ref_nm2_per_s *
           oxt_i_exp(-by.exponent_K * (1.0 / temperature_K - by.inverse_T_ref));
}

/* ln of n positive, normal numbers, in their place. */
void oxt_i_lns(size_t n, double *numbers);

/* Normal deviates of the points of oxt_i_random_discs, in the place of their heights. */
void oxt_i_finish_normals(size_t n, double *restrict heights, const double *restrict squares);

/* The same of n bands, a multiple of 8. */
void oxt_i_normal_log_chances(size_t n, const double *restrict low, const double *restrict high,
                              double *restrict log_chance);
void oxt_i_pulls_of_bands(size_t n, const double *restrict low, const double *restrict high,
                          double row_count, double *restrict step, double *restrict sigma);

/* Thicknesses and times of n elements; NaN for an input that is out of range or a result that a double
 * cannot hold. Return how many. */
size_t oxt_i_thicknesses(oxt_i_arrhenius by, size_t n, const double *restrict bath_K,
                         const double *restrict time_s, double *restrict thickness_nm);
size_t oxt_i_times(oxt_i_arrhenius by, size_t n, const double *restrict thickness_nm,
                   const double *restrict bath_K, double *restrict time_s);
/* The same in one bath, whose rate is known. */
size_t oxt_i_thicknesses_at(double rate_nm2_per_s, size_t n, const double *restrict time_s,
                            double *restrict thickness_nm);
size_t oxt_i_times_at(double rate_nm2_per_s, size_t n, const double *restrict thickness_nm,
                      double *restrict time_s);

/* Add weight exp(-rate_per_s t) at n times to as many sums; n is a multiple of 8, here and below. */
void oxt_i_add_decays(size_t n, double weight, double rate_per_s, const double *restrict time_s,
                      double *restrict sums);

/* Share of the rate at 1/temperature `inverse_bath` that is missing at n temperatures. */
void oxt_i_missing_shares(size_t n, double activation_K, double inverse_bath,
                          const double *restrict temperature_K, double *restrict share);

/* The sum of n times in which as much grows there as at these temperatures in times of such weights, and their sum times
 * 1/T - inverse_bath. */
void oxt_i_bath_seconds(size_t n, double activation_K, double inverse_bath,
                        const double *restrict weight_s, const double *restrict temperature_K,
                        double sums[2]);

/* 2^(way decay) exp(i pi way turn) of n pairs: what a way through a film does to the amplitude of light. The decay is
 * not above 0; the half turns are true to rounding up to 1e6. */
void oxt_i_phases(size_t n, const double *restrict decay, const double *restrict turn, double way,
                  double *restrict re, double *restrict im);

/* Amplitudes on top of a layer from those at its foot, which the way there and back has turned already: Airy's
 * formula with the amplitude of the upper face. */
void oxt_i_add_layer(size_t n, const double *restrict face_re, const double *restrict face_im,
                     const double *restrict foot_re, const double *restrict foot_im,
                     double *restrict re, double *restrict im);

/* Add the reflectance of the outermost layer, times a weight, to a sum. A thick coat above it, whose own face has
 * the reflectance `coat` (0: no coat), sends light back and forth without interference. */
void oxt_i_add_reflectance(size_t n, const double *restrict face_re, const double *restrict face_im,
                           const double *restrict foot_re, const double *restrict foot_im,
                           double coat, double weight, double *restrict sum);

/* Sums of n products, a multiple of 8, of `a` and three rows of weights; in one order whatever the processor. */
void oxt_i_three_sums(size_t n, const double *restrict a, const double *restrict weights,
                      double sums[3]);

/* Sums of n rows, in one order whatever the processor: of the weights and of weighted u, z and y; and of weighted squares and
 * products about their means, uu, uz, zz, uy, zy, yy. `w` NULL: all weights 1; `y` NULL: all 0. */
void oxt_i_sums(size_t n, const double *u, const double *z, const double *y, const double *w,
                double sums[4]);
void oxt_i_products(size_t n, const double *u, const double *z, const double *y, const double *w,
                    const double means[3], double products[6]);

/* Add to X, Y and Z of n films of one layer the sums of their reflectance with three rows of weights, in one order
 * whatever the processor. The rows of the film, `width` long, a multiple of 8, are decay and turn of the phase there and back for
 * each nanometre, and what the reflectance over and below its fraction has of 1, of the square of the phase, and of its real
 * and imaginary part. */
#define OXT_I_PLAIN_ROWS 10
void oxt_i_plain_films(size_t n, const double *restrict thickness_nm, size_t width,
                       const double *restrict film, const double *restrict weights,
                       double *restrict x, double *restrict y, double *restrict z);

/* The shares of the first so many Chebyshev polynomials in a function that is known at the zeros of the one after them:
 * at the positive ones, x, and at their mirrors, -x. */
#define OXT_I_CHEBYSHEV 64
void oxt_i_chebyshev(const double *restrict x, const double *restrict at,
                     const double *restrict mirrored, double *restrict share);

/* Products of amplitudes: a becomes a b. */
void oxt_i_multiply(size_t n, const double *restrict b_re, const double *restrict b_im,
                    double *restrict a_re, double *restrict a_im);

/* L*, a*, b* of n colours X, Y, Z, of which none is below 0; within 4e-16 of what cbrt of libm gives, for X, Y
 * and Z as shares of the white. */
void oxt_i_labs(size_t n, const double white_xyz[3], const double *restrict x,
                const double *restrict y, const double *restrict z, double *restrict lightness,
                double *restrict a, double *restrict b);

#define OXT_I_COLOUR_BLOCK 64
/* Up to so many colours, row by row. */
typedef struct {
    double lightness[OXT_I_COLOUR_BLOCK], a[OXT_I_COLOUR_BLOCK], b[OXT_I_COLOUR_BLOCK];
} oxt_i_colours;

/* CIEDE2000 of n pairs, with the factors k_L and k_C. */
void oxt_i_differences(size_t n, const oxt_i_colours *one, const oxt_i_colours *two,
                       double lightness_factor, double chroma_factor, double *restrict difference);

#endif
