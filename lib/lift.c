/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From the bath to the quench, through air. */
#include "heat.h"
#include "solve.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
/* Stefan and Boltzmann's constant, W/(m^2 K^4); exact in the SI of 2019, cut to 10 digits. */
static const double SIGMA_W_PER_M2K4 = 5.670374419e-8;

void oxt_lift_init(oxt_lift *lift)
{
    if (lift)
        *lift = (oxt_lift)OXT_LIFT_INIT;
}

oxt_status oxt_i_lift_in(oxt_lift *known, const oxt_lift *given, oxt_error *error)
{
    *known = (oxt_lift)OXT_LIFT_INIT;
    if (!given)
        return OXT_OK;
    oxt_status status = oxt_i_struct_in(known, given, sizeof *known, sizeof *known, "lift", error);
    if (!status)
        status = oxt_i_check(error, "delay_s", known->delay_s, 0.0, 3600.0, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "air_K", known->air_K, 200.0, 400.0, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "convection_W_per_m2K", known->convection_W_per_m2K, 0.0,
                             1000.0, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "emissivity", known->emissivity, 0.0, 1.0, OXT_I_CLOSED);
    return status;
}

typedef struct {
    const oxt_i_heating *part;
    const oxt_lift *lift;
    double exponent_K; /* Q/R */
    double from_K;
} cooling;

static double share_of_rate(const cooling *in_air, double temperature_K)
{
    return exp(-in_air->exponent_K * (1.0 / temperature_K - 1.0 / in_air->from_K));
}

/* Heat that leaves the part, W/(m^2 K). */
static double transfer(const oxt_lift *lift, double T)
{
    double air = lift->air_K;
    return lift->convection_W_per_m2K +
           lift->emissivity * SIGMA_W_PER_M2K4 * (T * T + air * air) * (T + air);
}

double oxt_i_lift_slope(const oxt_i_heating *part, const oxt_lift *lift, double T)
{
    return -transfer(lift, T) * (T - lift->air_K) / part->capacity_J_per_m2K;
}

/* When the part is as cold as the air, to the last digit. From there on a thin part would need ever
 * more steps for nothing. */
static double cooled_s(const cooling *in_air)
{
    double coldest_K = fmin(in_air->from_K, in_air->lift->air_K);
    double slowest = transfer(in_air->lift, coldest_K);
    return slowest > 0.0 ? 40.0 * in_air->part->capacity_J_per_m2K / slowest : HUGE_VAL;
}

/* Temperature, and the time at from_K that would grow as much. */
static bool cool(double time_s, const double *y, double *slope, void *context)
{
    const cooling *in_air = context;
    const oxt_lift *lift = in_air->lift;
    (void)time_s;
    slope[0] = oxt_i_lift_slope(in_air->part, lift, y[0]);
    slope[1] = share_of_rate(in_air, y[0]);
    return isfinite(slope[0]) && isfinite(slope[1]);
}

oxt_status oxt_i_lift_exposure(const oxt_growth *growth, const oxt_i_heating *part,
                               const oxt_lift *lift, double from_K, double *exposure_nm2,
                               double *quench_K, oxt_error *error)
{
    cooling in_air = { part, lift, growth->Q_J_per_mol / R, from_K };
    double rate_nm2_per_s, state[] = { from_K, 0.0 };
    oxt_status status = oxt_rate(growth, from_K, &rate_nm2_per_s, error);
    if (status)
        return status;
    double cooling_s = part->capacity_J_per_m2K > 0.0 ? fmin(cooled_s(&in_air), lift->delay_s)
                                                      : 0.0;
    oxt_i_path path = { cool, &in_air, 2, 0.0, cooling_s, cooling_s, 1e-11 };
    if (cooling_s > 0.0)
        status = oxt_i_follow(&path, state, error);
    if (status)
        return status;
    if (cooling_s < lift->delay_s) /* what is left, at one temperature */
        state[1] += share_of_rate(&in_air, state[0]) * (lift->delay_s - cooling_s);
    *exposure_nm2 = rate_nm2_per_s * state[1];
    if (quench_K)
        *quench_K = state[0];
    return OXT_OK;
}

oxt_status oxt_lift_exposure(const oxt_growth *growth, const oxt_part *part, const oxt_lift *lift,
                             double from_K, double *exposure_nm2, double *quench_K,
                             oxt_error *error)
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
        status = oxt_i_struct_in(&hot, part, sizeof hot, sizeof hot, "part", error);
    hot.start_K = from_K;
    if (!status)
        status = oxt_i_heating_prepare(&made, &hot, from_K, error);
    return status
               ? status
               : oxt_i_lift_exposure(growth, &made, &known, from_K, exposure_nm2, quench_K, error);
}
