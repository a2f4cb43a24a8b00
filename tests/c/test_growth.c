/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "optics.h"
#include "support.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* A made-up steel in a made-up bath. */
static oxt_growth sample(void)
{
    return growth_of(12.0, 573.15, 80e3);
}

static double thickness_of(const oxt_growth *growth, double bath_K, double time_s)
{
    oxt_error error = OXT_ERROR_INIT;
    double thickness_nm;
    OK(oxt_thickness(growth, bath_K, time_s, &thickness_nm, &error));
    return thickness_nm;
}

static double rate_of(const oxt_growth *growth, double bath_K)
{
    oxt_error error = OXT_ERROR_INIT;
    double rate_nm2_per_s;
    OK(oxt_rate(growth, bath_K, &rate_nm2_per_s, &error));
    return rate_nm2_per_s;
}

static double exposure_of(const oxt_growth *growth, double bath_K, double time_s)
{
    return rate_of(growth, bath_K) * time_s;
}

static double grown(const oxt_growth *growth, double initial_nm, double exposure_nm2)
{
    oxt_error error = OXT_ERROR_INIT;
    double thickness_nm;
    OK(oxt_thickness_of_exposure(growth, initial_nm, exposure_nm2, &thickness_nm, &error));
    return thickness_nm;
}

/* ---- the laws ---- */

/* Parabolic law, C. Wagner, Z. phys. Chem. B21 (1933) 25: x^2 = k t. */
Test(growth, is_parabolic_in_time)
{
    oxt_growth growth = sample();
    for (double time_s = 1e-3; time_s < 1e5; time_s *= 7.0) {
        double once = thickness_of(&growth, 590.0, time_s);
        CLOSE(thickness_of(&growth, 590.0, 2.0 * time_s), sqrt(2.0) * once, 1e-14);
        CLOSE(thickness_of(&growth, 590.0, 100.0 * time_s), 10.0 * once, 1e-14);
    }
    CLOSE(thickness_of(&growth, 573.15, 75.0), 30.0, 1e-15); /* sqrt(12 nm^2/s * 75 s) */
    cr_assert_eq(thickness_of(&growth, 590.0, 0.0), 0.0);
}

/* Arrhenius: ln k is a straight line in 1/T with slope -Q/R (IUPAC Gold Book, "Arrhenius equation"). */
Test(growth, rate_follows_arrhenius)
{
    oxt_growth growth = sample();
    cr_assert_eq(rate_of(&growth, 573.15), 12.0);
    for (double low_K = 400.0; low_K < 900.0; low_K += 37.0)
        for (double high_K = low_K + 5.0; high_K < 950.0; high_K += 61.0) {
            double slope = log(rate_of(&growth, high_K) / rate_of(&growth, low_K)) /
                           (1.0 / high_K - 1.0 / low_K);
            CLOSE(-slope * R, 80e3, 1e-10);
        }
    growth.Q_J_per_mol = 0.0;
    cr_assert_eq(rate_of(&growth, 400.0), 12.0);
}

/* The reference temperature is only where the rate is stated: moving it changes nothing. */
Test(growth, reference_temperature_is_arbitrary)
{
    oxt_growth growth = sample(), moved = sample();
    moved.T_ref_K = 620.0;
    moved.k_ref_nm2_per_s = rate_of(&growth, 620.0);
    for (double bath_K = 380.0; bath_K < 970.0; bath_K += 23.0)
        CLOSE(rate_of(&moved, bath_K), rate_of(&growth, bath_K), 1e-12);
}

Test(growth, rises_with_temperature_and_time)
{
    oxt_growth growth = sample();
    for (double bath_K = OXT_BATH_LOW_K; bath_K < OXT_BATH_HIGH_K; bath_K += 9.7)
        for (double time_s = 1.0; time_s < OXT_TIME_HIGH_S; time_s *= 3.1) {
            double here = thickness_of(&growth, bath_K, time_s);
            cr_assert(thickness_of(&growth, bath_K + 0.01, time_s) > here);
            cr_assert(thickness_of(&growth, bath_K, time_s * 1.0001) > here);
        }
}

/* The exposure is an integral over time: stays add, in whatever order and however cut. */
Test(growth, exposures_add)
{
    oxt_growth growth = sample();
    double hot = exposure_of(&growth, 610.0, 40.0), cool = exposure_of(&growth, 560.0, 300.0);
    CLOSE(exposure_of(&growth, 610.0, 15.0) + exposure_of(&growth, 610.0, 25.0), hot, 1e-15);
    double hot_first = grown(&growth, grown(&growth, 0.0, hot), cool);
    double cool_first = grown(&growth, grown(&growth, 0.0, cool), hot);
    CLOSE(hot_first, cool_first, 1e-15);
    CLOSE(hot_first, grown(&growth, 0.0, hot + cool), 1e-15);
    CLOSE(grown(&growth, 0.0, hot), thickness_of(&growth, 610.0, 40.0), 1e-15);
}

/* x^2 = x0^2 + k t: a film already there counts as the time it would have taken. */
Test(growth, initial_film_counts_as_a_head_start)
{
    oxt_growth growth = sample();
    double rate = rate_of(&growth, 600.0);
    for (double initial_nm = 0.0; initial_nm < 200.0; initial_nm += 13.0) {
        double head_start_s = initial_nm * initial_nm / rate;
        CLOSE(grown(&growth, initial_nm, 60.0 * rate),
              thickness_of(&growth, 600.0, 60.0 + head_start_s), 1e-14);
        CLOSE(grown(&growth, initial_nm, 0.0), initial_nm, 0.0);
    }
    /* neither square may overflow or vanish on the way */
    CLOSE(grown(&growth, 1e200, 1.0), 1e200, 1e-15);
    CLOSE(grown(&growth, 0.0, 1e-300), 1e-150, 1e-15);
}

/* ---- the inverses ---- */

Test(growth, inverses_close_the_round_trip)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    for (double bath_K = OXT_BATH_LOW_K; bath_K < OXT_BATH_HIGH_K; bath_K += 11.3)
        for (double time_s = 0.5; time_s < 1e6; time_s *= 4.3) {
            double thickness_nm = thickness_of(&growth, bath_K, time_s), time_back;
            OK(oxt_time_for_thickness(&growth, thickness_nm, bath_K, &time_back, &error));
            CLOSE(time_back, time_s, 1e-12);
        }
    double time_s;
    OK(oxt_time_for_thickness(&growth, 0.0, 600.0, &time_s, &error));
    cr_assert_eq(time_s, 0.0);
}

/* Stanley, von Hoene and Huntoon, Trans. ASM (1950), pure iron in air, 500-900 C: W^2 = K t + C with
 * K = 0.37 exp(-33000/(R T)), R in cal/(mol K); the unit of K, g^2 cm^-4 s^-1, is from memory. What
 * follows from that (1 cal = 4.184 J; oxygen uptake to Fe3O4 by molar masses 231.533 and 4 x 15.999
 * and density 5.17 g/cm3) is derived: 8513 nm^2/s at 500 C, and, outside the range of the paper,
 * 4.732 at 300 C (60 nm in 12.7 min) and 0.2968 at 250 C. */
Test(growth, published_constants_of_iron_in_air)
{
    static const double derived[][2] = { { 773.15, 8513.0 },
                                         { 573.15, 4.732 },
                                         { 523.15, 0.2968 } };
    oxt_error error = OXT_ERROR_INIT;
    double cm_per_uptake = 231.533 / 63.996 / 5.17; /* cm of Fe3O4 per g/cm2 of oxygen */
    double nm_per_uptake = 1e7 * cm_per_uptake;
    double k_0 = 0.37 * nm_per_uptake * nm_per_uptake, Q = 33000.0 * 4.184;
    oxt_growth growth = growth_of(k_0 * exp(-Q / (R * 773.15)), 773.15, Q);
    for (size_t i = 0; i < 3; i++)
        CLOSE(rate_of(&growth, derived[i][0]), derived[i][1], 5e-4);
    double time_s;
    OK(oxt_time_for_thickness(&growth, 60.0, 573.15, &time_s, &error));
    NEAR(time_s / 60.0, 12.7, 0.05);
}

/* ---- what is refused ---- */

Test(growth, constants_out_of_range_are_refused)
{
    static const double bad[] = { NAN, INFINITY, -INFINITY, -1.0 };
    oxt_error error = OXT_ERROR_INIT;
    double result;
    for (size_t i = 0; i < 4; i++) {
        oxt_growth growth = sample();
        growth.k_ref_nm2_per_s = bad[i];
        FAILS(oxt_rate(&growth, 600.0, &result, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "k_ref_nm2_per_s");
        growth = sample();
        growth.T_ref_K = bad[i];
        FAILS(oxt_rate(&growth, 600.0, &result, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "T_ref_K");
        growth = sample();
        growth.Q_J_per_mol = bad[i];
        FAILS(oxt_rate(&growth, 600.0, &result, &error), OXT_EDOMAIN);
        cr_assert_str_eq(error.parameter, "Q_J_per_mol");
    }
    oxt_growth growth = sample();
    growth.k_ref_nm2_per_s = 0.0;
    FAILS(oxt_rate(&growth, 600.0, &result, &error), OXT_EDOMAIN);
    growth = sample();
    growth.law = (oxt_law)4;
    FAILS(oxt_rate(&growth, 600.0, &result, &error), OXT_EARG);
    SAYS("law is 4, expected 0 to 3");
    growth = sample();
    growth.struct_size = sizeof growth - 1;
    FAILS(oxt_rate(&growth, 600.0, &result, &error), OXT_EARG);
    SAYS("struct_size");
}

Test(growth, inputs_out_of_range_are_refused)
{
    static const double bad[] = { NAN, INFINITY, -INFINITY, -1.0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    double result;
    for (size_t i = 0; i < 4; i++) {
        double x = bad[i];
        FAILS(oxt_rate(&growth, x, &result, &error), OXT_EDOMAIN);
        FAILS(oxt_thickness(&growth, x, 60.0, &result, &error), OXT_EDOMAIN);
        FAILS(oxt_thickness(&growth, 600.0, x, &result, &error), OXT_EDOMAIN);
        FAILS(oxt_thickness_of_exposure(&growth, x, 1.0, &result, &error), OXT_EDOMAIN);
        FAILS(oxt_thickness_of_exposure(&growth, 1.0, x, &result, &error), OXT_EDOMAIN);
        FAILS(oxt_time_for_thickness(&growth, x, 600.0, &result, &error), OXT_EDOMAIN);
        FAILS(oxt_time_for_thickness(&growth, 50.0, x, &result, &error), OXT_EDOMAIN);
    }
    FAILS(oxt_rate(&growth, 0.0, &result, &error), OXT_EDOMAIN);
}

/* An answer that a double cannot hold is a failure, never an infinity. */
Test(growth, answers_beyond_a_double_are_refused)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    double result = -7.0;
    growth.k_ref_nm2_per_s = 1e305;
    FAILS(oxt_rate(&growth, 1e5, &result, &error), OXT_EDOMAIN);
    FAILS(oxt_thickness(&growth, 573.15, 1e30, &result, &error), OXT_EDOMAIN);
    growth = sample();
    FAILS(oxt_time_for_thickness(&growth, 50.0, 1.0, &result, &error), OXT_EUNREACHABLE);
    cr_assert_eq(result, -7.0);
}

/* ---- many at once ---- */

#define MANY 40

static void baths_and_times(double *bath_K, double *time_s)
{
    for (int i = 0; i < MANY; i++) {
        bath_K[i] = 500.0 + 5.0 * i;
        time_s[i] = 3.0 + 17.0 * i;
    }
}

Test(growth, many_equal_one_by_one)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    double bath_K[MANY], time_s[MANY], x[MANY], t[MANY];
    size_t failed = 99;
    baths_and_times(bath_K, time_s);
    OK(oxt_thickness_n(&growth, MANY, bath_K, 8, time_s, 8, x, &failed, &error));
    OK(oxt_time_for_thickness_n(&growth, MANY, x, 8, bath_K, 8, t, NULL, &error));
    cr_assert_eq(failed, 0);
    for (int i = 0; i < MANY; i++) {
        cr_assert_eq(x[i], thickness_of(&growth, bath_K[i], time_s[i]));
        CLOSE(t[i], time_s[i], 1e-12);
    }
}

/* A value that a call may be given, now and then one that it refuses. */
static double value_between(double low, double high)
{
    static const double odd[] = { 0.0, -0.0, -1.0, NAN, INFINITY, -INFINITY, 1e-320, 1e-5, 1e308 };
    if (chance() < 0.02)
        return odd[(size_t)(chance() * 9.0)];
    return low + (high - low) * chance();
}

/* Arrays of more than one block of vectors, whole and in part, with one bath, one time, or neither. */
Test(growth, arrays_equal_one_by_one_to_the_last_bit)
{
    enum { MOST = 1300 };
    oxt_growth growth = sample();
    double bath_K[MOST], other[MOST], x[MOST], t[MOST];
    for (size_t n = 1; n <= MOST; n += n < 20 ? 1 : 257) {
        for (size_t i = 0; i < n; i++) {
            bath_K[i] = value_between(500.0, 900.0);
            other[i] = value_between(0.0, 1000.0);
        }
        for (int shape = 0; shape < 3; shape++) {
            ptrdiff_t bath_stride = shape == 1 ? 0 : 8, other_stride = shape == 2 ? 0 : 8;
            size_t x_failed = 0, t_failed = 0, x_expected = 0, t_expected = 0;
            oxt_thickness_n(&growth, n, bath_K, bath_stride, other, other_stride, x, &x_failed,
                            NULL);
            oxt_time_for_thickness_n(&growth, n, other, other_stride, bath_K, bath_stride, t,
                                     &t_failed, NULL);
            for (size_t i = 0; i < n; i++) {
                double T = bath_K[shape == 1 ? 0 : i], y = other[shape == 2 ? 0 : i];
                double x_one = NAN, t_one = NAN;
                x_expected += oxt_thickness(&growth, T, y, &x_one, NULL) != OXT_OK;
                t_expected += oxt_time_for_thickness(&growth, y, T, &t_one, NULL) != OXT_OK;
                cr_assert(x[i] == x_one || (isnan(x[i]) && isnan(x_one)), "%g %g", T, y);
                cr_assert(t[i] == t_one || (isnan(t[i]) && isnan(t_one)), "%g %g", T, y);
            }
            cr_assert(x_failed == x_expected && t_failed == t_expected);
        }
    }
}

/* Strides are bytes: one value for all, backwards, and a column of a larger table. */
Test(growth, strides)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    struct row {
        char name[16];
        double bath_K, time_s;
        char note[8];
    } rows[MANY];
    double bath_K[MANY], time_s[MANY], x[MANY];
    baths_and_times(bath_K, time_s);
    memset(rows, 0x11, sizeof rows);
    for (int i = 0; i < MANY; i++) {
        rows[i].bath_K = bath_K[i];
        rows[i].time_s = time_s[i];
    }
    OK(oxt_thickness_n(&growth, MANY, &rows[0].bath_K, sizeof(struct row), &rows[0].time_s,
                       sizeof(struct row), x, NULL, &error));
    for (int i = 0; i < MANY; i++)
        cr_assert_eq(x[i], thickness_of(&growth, bath_K[i], time_s[i]));
    OK(oxt_thickness_n(&growth, MANY, bath_K, 0, time_s, 8, x, NULL, &error));
    for (int i = 0; i < MANY; i++)
        cr_assert_eq(x[i], thickness_of(&growth, bath_K[0], time_s[i]));
    OK(oxt_thickness_n(&growth, MANY, bath_K + MANY - 1, -8, time_s, 8, x, NULL, &error));
    for (int i = 0; i < MANY; i++)
        cr_assert_eq(x[i], thickness_of(&growth, bath_K[MANY - 1 - i], time_s[i]));
}

/* The result may lie over an input, also over the one value for all. */
Test(growth, result_may_replace_an_input)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    double bath_K[MANY], time_s[MANY], expected[MANY], x[MANY];
    baths_and_times(bath_K, time_s);
    OK(oxt_thickness_n(&growth, MANY, bath_K, 8, time_s, 8, expected, NULL, &error));
    memcpy(x, bath_K, sizeof x);
    OK(oxt_thickness_n(&growth, MANY, x, 8, time_s, 8, x, NULL, &error));
    cr_assert_eq(memcmp(x, expected, sizeof x), 0);
    memcpy(x, time_s, sizeof x);
    OK(oxt_thickness_n(&growth, MANY, bath_K, 8, x, 8, x, NULL, &error));
    cr_assert_eq(memcmp(x, expected, sizeof x), 0);
    OK(oxt_thickness_n(&growth, MANY, bath_K, 0, time_s, 8, expected, NULL, &error));
    x[0] = bath_K[0];
    OK(oxt_thickness_n(&growth, MANY, x, 0, time_s, 8, x, NULL, &error));
    cr_assert_eq(memcmp(x, expected, sizeof x), 0);
}

Test(growth, failed_element_is_nan_and_counted)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    double bath_K[MANY], time_s[MANY], x[MANY];
    size_t failed = 99;
    baths_and_times(bath_K, time_s);
    time_s[6] = -1.0;
    bath_K[11] = NAN;
    bath_K[MANY - 1] = 0.0;
    FAILS(oxt_thickness_n(&growth, MANY, bath_K, 8, time_s, 8, x, &failed, &error), OXT_EDOMAIN);
    cr_assert_eq(failed, 3);
    cr_assert_eq(error.row, 7);
    cr_assert_str_eq(error.parameter, "time_s");
    cr_assert_eq(error.value, -1.0);
    SAYS("element 7: ");
    for (int i = 0; i < MANY; i++)
        if (i == 6 || i == 11 || i == MANY - 1)
            cr_assert(isnan(x[i]));
        else
            cr_assert_eq(x[i], thickness_of(&growth, bath_K[i], time_s[i]));
    /* the status is that of the first failure, whatever comes after it */
    double thickness_nm[3] = { 50.0, 50.0, -1.0 }, baths[3] = { 600.0, 1.0, 600.0 };
    FAILS(oxt_time_for_thickness_n(&growth, 3, thickness_nm, 8, baths, 8, x, &failed, &error),
          OXT_EUNREACHABLE);
    cr_assert(failed == 2 && error.row == 2 && isfinite(x[0]));
}

Test(growth, none_at_all_is_no_failure)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_growth growth = sample();
    size_t failed = 99;
    OK(oxt_thickness_n(&growth, 0, NULL, 0, NULL, 0, NULL, &failed, &error));
    cr_assert_eq(failed, 0);
    growth.Q_J_per_mol = -1.0;
    FAILS(oxt_thickness_n(&growth, 0, NULL, 0, NULL, 0, NULL, &failed, &error), OXT_EDOMAIN);
}
