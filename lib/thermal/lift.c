/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the bath to the quench, through air. */
#include "thermal/heat.h"
#include "base/quadrature.h"

#include <float.h>

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
/* Stefan and Boltzmann's constant, W/(m^2 K^4); exact in the SI of 2019, cut to 10 digits. */
static const double SIGMA_W_PER_M2K4 = 5.670374419e-8;

oxt_status oxt_i_lift_in(oxt_lift *known, const oxt_lift *given, oxt_error *error)
{
    *known = (oxt_lift)OXT_LIFT_INIT;
    if (!given)
        return OXT_OK;
    oxt_status status = OXT_I_STRUCT_IN(oxt_lift, known, given, "lift", error);
    const oxt_i_limit limits[] = {
        { "delay_s", known->delay_s, 0.0, 3600.0, OXT_I_CLOSED },
        { "air_K", known->air_K, 200.0, 400.0, OXT_I_CLOSED },
        { "convection_W_per_m2K", known->convection_W_per_m2K, 0.0, 1000.0, OXT_I_CLOSED },
        { "emissivity", known->emissivity, 0.0, 1.0, OXT_I_CLOSED },
    };
    return status ? status : oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

/* Heat that leaves the part, W/(m^2 K). */
static double transfer(const oxt_lift *lift, double T)
{
    double air = lift->air_K;
    return lift->convection_W_per_m2K +
           lift->emissivity * SIGMA_W_PER_M2K4 * (T * T + air * air) * (T + air);
}

double oxt_i_lift_slope(double capacity_J_per_m2K, const oxt_lift *lift, double T)
{
    return -transfer(lift, T) * (T - lift->air_K) / capacity_J_per_m2K;
}

/* With v = ln((T_from - T_air) / (T - T_air)) the cooling takes capacity/transfer dv, which hardly changes: a few
 * points of Gauss and Legendre give time and growth to the last digits. */
typedef struct {
    double capacity_J_per_m2K;
    const oxt_lift *lift;
    double exponent_K; /* Q/R */
    double from_K;
    double fall;  /* of ln of the rate, by v */
    double panel; /* of v, over which the rate falls by e^5 at most */
} cooling;

/* Colder than this the part is as cold as the air, to the last digit. */
static const double COLD = 40.0;

static double temperature_at(const cooling *in_air, double v)
{
    return in_air->lift->air_K + (in_air->from_K - in_air->lift->air_K) * oxt_i_exp_near_0(-v);
}

/* After so little of v more that four terms are enough. */
static double cooled_by(const cooling *in_air, double T, double v)
{
    double air = in_air->lift->air_K;
    return air + (T - air) * (1.0 - v * (1.0 - v * (0.5 - v / 6.0)));
}

static double share_of_rate(const cooling *in_air, double temperature_K)
{
    return oxt_i_exp_near_0(-in_air->exponent_K * (1.0 / temperature_K - 1.0 / in_air->from_K));
}

/* K/s over K: how fast v rises. */
static double speed(const cooling *in_air, double T)
{
    return transfer(in_air->lift, T) / in_air->capacity_J_per_m2K;
}

/* How long the part takes from one v to another, and in `hot_s` the time at from_K that would grow as much. */
static double taken_s(const cooling *in_air, double from, double step, double *hot_s)
{
    double bend = step * fmax(1.0, in_air->fall), time_s = 0.0;
    const oxt_i_gauss *rule = bend < 0.1   ? &oxt_i_gauss_4
                              : step < 0.1 ? &oxt_i_gauss_8
                                           : &oxt_i_gauss_12;
    const double by_K = in_air->exponent_K / in_air->from_K;
    *hot_s = 0.0;
    for (size_t i = 0; i < rule->count; i++) {
        double v, weight;
        oxt_i_gauss_point(rule, from, from + step, i, &v, &weight);
        double T = temperature_at(in_air, v), heat = transfer(in_air->lift, T);
        double inverse = 1.0 / (T * heat); /* one division for both */
        double seconds = weight * in_air->capacity_J_per_m2K * T * inverse;
        time_s += seconds;
        *hot_s += seconds * oxt_i_exp_near_0(by_K * (T - in_air->from_K) * heat * inverse);
    }
    return time_s;
}

/* A first step for so long, to the second order in time; one panel at most. */
static double first_step(const cooling *in_air, double T, double left_s)
{
    const oxt_lift *lift = in_air->lift;
    double air = lift->air_K, now = left_s * speed(in_air, T);
    double slope = lift->emissivity * SIGMA_W_PER_M2K4 * (T * (3.0 * T + 2.0 * air) + air * air);
    double change = -0.5 * left_s * slope * (T - air) / in_air->capacity_J_per_m2K;
    return fmin(now * (fabs(change) < 0.5 ? 1.0 + change : 1.0), in_air->panel);
}

/* Seconds at from_K that grow as much as the lift does. */
static double follow(const cooling *in_air, double *quench_K)
{
    enum { MOST_STEPS = 20 };
    static const double STEADY = 1e-18; /* of v, beside which nothing is seen to cool */
    double left_s = in_air->lift->delay_s, hot_s = 0.0, v = 0.0, T = in_air->from_K;
    bool cools = in_air->capacity_J_per_m2K > 0.0 &&
                 left_s * speed(in_air, fmin(T, in_air->lift->air_K)) > STEADY;
    while (cools && v < COLD && left_s > 0.0) {
        /* so little that its middle stands for it */
        const double close_s = fmax(1e-4 * left_s, DBL_MIN);
        double step = first_step(in_air, T, left_s), missing_s = left_s, hot = 0.0;
        for (int i = 0; i < MOST_STEPS; i++) {
            missing_s = left_s - taken_s(in_air, v, step, &hot);
            if (fabs(missing_s) <= close_s || (step == in_air->panel && missing_s > 0.0))
                break;
            double change = missing_s * speed(in_air, temperature_at(in_air, v + step));
            step = fmin(fmax(step + change, 0.0), in_air->panel);
        }
        hot_s += hot;
        v += step;
        T = temperature_at(in_air, v);
        left_s = missing_s;
        if (fabs(left_s) <= close_s) {
            double rest = left_s * speed(in_air, T);
            hot_s += left_s * share_of_rate(in_air, cooled_by(in_air, T, 0.5 * rest));
            T = cooled_by(in_air, T, rest);
            left_s = 0.0;
        }
    }
    *quench_K = v < COLD ? T : in_air->lift->air_K;
    return hot_s + left_s * share_of_rate(in_air, *quench_K);
}

/* ---- a surface that is not yet as cold as the rest ---- */

double oxt_i_profile_above_K(const oxt_i_profile *profile, double time_s)
{
    double sum = 0.0;
    for (int i = 0; i < OXT_I_PROFILE_MODES; i++)
        sum += profile->gap_K[i] * (time_s > 0.0 ? exp(-profile->rate_per_s[i] * time_s) : 1.0);
    return sum;
}

/* Of a surface that is hardly hotter or colder: to the first order, before the part cools. */
static double little_more_s(const oxt_i_profile *from, double exponent_K, double delay_s)
{
    double sum_Ks = 0.0;
    for (int i = 0; i < OXT_I_PROFILE_MODES; i++) {
        double share = -oxt_i_expm1(-from->rate_per_s[i] * delay_s);
        sum_Ks += from->gap_K[i] / from->rate_per_s[i] * share;
    }
    return sum_Ks * exponent_K / (from->mean_K * from->mean_K);
}

double oxt_i_profile_more_s(const oxt_i_profile *from, double exponent_K, double slope_K_per_s,
                            double delay_s)
{
    static const double LITTLE_K = 1.0, DECAYS = 8.0, COLDEST_K = 200.0;
    double first_K = fabs(oxt_i_profile_above_K(from, 0.0));
    if (first_K < LITTLE_K)
        return first_K > 0.0 ? little_more_s(from, exponent_K, delay_s) : 0.0;
    double length_s = fmin(delay_s, DECAYS / from->rate_per_s[0]), sum_s = 0.0;
    for (size_t i = 0; i < oxt_i_gauss_12.count; i++) { /* y^2: the faster modes die away early */
        double y, weight;
        oxt_i_gauss_point(&oxt_i_gauss_12, 0.0, 1.0, i, &y, &weight);
        double time_s = length_s * y * y, above_K = oxt_i_profile_above_K(from, time_s);
        double T = fmax(from->mean_K + slope_K_per_s * time_s, COLDEST_K);
        double share = exp(-exponent_K * (1.0 / T - 1.0 / from->mean_K));
        sum_s += 2.0 * length_s * y * weight * share *
                 expm1(exponent_K * above_K / (T * (T + above_K)));
    }
    return sum_s;
}

double oxt_i_lift_hot_s(double exponent_K, double capacity_J_per_m2K, const oxt_lift *lift,
                        const oxt_i_profile *from, double *quench_K)
{
    const double from_K = from->mean_K;
    cooling in_air = { capacity_J_per_m2K, lift, exponent_K, from_K, 0.0, 0.0 };
    double end_K;
    in_air.fall = exponent_K * fabs(from_K - lift->air_K) / (from_K * from_K);
    in_air.panel = 0.5 / fmax(1.0, 0.1 * in_air.fall);
    double slope = oxt_i_lift_slope(fmax(capacity_J_per_m2K, 1e-6), lift, from_K);
    double more_s = oxt_i_profile_more_s(from, exponent_K, slope, lift->delay_s);
    double hot_s = follow(&in_air, &end_K) + more_s;
    if (quench_K)
        *quench_K = end_K;
    return hot_s;
}

oxt_status oxt_i_lift_exposure(const oxt_growth *growth, double capacity_J_per_m2K,
                               const oxt_lift *lift, const oxt_i_profile *from,
                               double *exposure_nm2, double *quench_K, oxt_error *error)
{
    double rate_nm2_per_s;
    oxt_status status = oxt_rate(growth, from->mean_K, &rate_nm2_per_s, error);
    if (!status)
        *exposure_nm2 = rate_nm2_per_s * oxt_i_lift_hot_s(growth->Q_J_per_mol / R,
                                                          capacity_J_per_m2K, lift, from, quench_K);
    return status;
}

oxt_status oxt_heat_lift_exposure(const oxt_growth *growth, const oxt_part *part,
                                  const oxt_lift *lift, double from_K, double *exposure_nm2,
                                  double *quench_K, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_lift known;
    oxt_part hot = OXT_PART_INIT;
    oxt_i_heating made;
    if (!exposure_nm2 || !lift)
        return oxt_i_null(error, lift ? "exposure_nm2" : "lift");
    oxt_status status = oxt_i_check(error, "from_K", from_K, 200.0, OXT_BATH_HIGH_K,
                                    OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_lift_in(&known, lift, error);
    /* As if it had been hot all along: its heat is then that at from_K. */
    if (!status && !part)
        status = oxt_i_null(error, "part");
    if (!status)
        status = OXT_I_STRUCT_IN(oxt_part, &hot, part, "part", error);
    hot.start_K = from_K;
    if (!status)
        status = oxt_i_heating_prepare(&made, &hot, from_K, error);
    const oxt_i_profile from = { .mean_K = from_K };
    return status ? status
                  : oxt_i_lift_exposure(growth, made.capacity_J_per_m2K, &known, &from,
                                        exposure_nm2, quench_K, error);
}
