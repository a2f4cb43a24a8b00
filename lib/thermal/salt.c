/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The salts: limits, properties, cautions. */
#include "thermal/salt.h"

#define CELSIUS(degrees) ((degrees) + 273.15)

/* Where tempering of steel begins: common practice. Wustite: iron-oxygen phase diagram. */
static const double TEMPERING_K = CELSIUS(150.0), WUSTITE_K = CELSIUS(570.0);

/* California Code of Regulations, Title 8, section 5188(b)(2): 1200 F. */
#define LEGAL_K CELSIUS(649.0)

static const oxt_salt_limits all_limits[] = {
    /* 350 to 1000 F */
    [OXT_SALT_UNSTATED] = { sizeof(oxt_salt_limits), CELSIUS(177.0), CELSIUS(177.0), CELSIUS(177.0),
                            CELSIUS(538.0), LEGAL_K, "nitrate tempering salt, unstated",
                            "working range: common practice, no source; it stands for melting too; "
                            "legal maximum: California Title 8, section 5188(b)(2)" },
    [OXT_SALT_BINARY_60_40] = { sizeof(oxt_salt_limits), CELSIUS(220.0), CELSIUS(238.0),
                                CELSIUS(240.0), CELSIUS(565.0), LEGAL_K,
                                "NaNO3/KNO3 60/40 by weight",
                                "solar-thermal literature, from memory; lower end: where its "
                                "correlations begin; legal: California Title 8, section "
                                "5188(b)(2)" },
    [OXT_SALT_BINARY_EUTECTIC] = { sizeof(oxt_salt_limits), CELSIUS(222.0), CELSIUS(222.0),
                                   CELSIUS(240.0), CELSIUS(565.0), LEGAL_K,
                                   "NaNO3/KNO3 eutectic, 50/50 by mole",
                                   "melting: handbook, from memory; working range: that of the "
                                   "60/40 "
                                   "salt; legal: California Title 8, section 5188(b)(2)" },
    [OXT_SALT_TERNARY] = { sizeof(oxt_salt_limits), CELSIUS(142.0), CELSIUS(142.0), CELSIUS(162.0),
                           CELSIUS(538.0), LEGAL_K, "KNO3/NaNO2/NaNO3 53/40/7 by weight",
                           "data sheets and handbooks, from memory; lower end: where its "
                           "correlations begin; legal: California Title 8, section 5188(b)(2)" },
};

oxt_status oxt_i_check_salt(oxt_salt salt, oxt_error *error)
{
    if ((int)salt >= OXT_SALT_UNSTATED && salt <= OXT_SALT_TERNARY)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EARG, "salt", salt, OXT_SALT_UNSTATED, OXT_SALT_TERNARY,
                      "salt is %d, expected one of oxt_salt", (int)salt);
}

oxt_status oxt_bath_salt_limits(oxt_salt salt, oxt_salt_limits *limits, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!limits)
        return oxt_i_null(error, "limits");
    oxt_status status = oxt_i_check_salt(salt, error);
    if (status)
        return status;
    return OXT_I_STRUCT_OUT(oxt_salt_limits, limits, &all_limits[salt], "limits", error);
}

void oxt_i_salt_range(oxt_salt salt, double *low_K, double *high_K)
{
    *low_K = salt == OXT_SALT_TERNARY ? CELSIUS(162.0) : CELSIUS(240.0);
    *high_K = salt == OXT_SALT_TERNARY ? CELSIUS(515.0) : CELSIUS(580.0);
}

oxt_status oxt_bath_salt_properties(oxt_salt salt, double temperature_K, double *density_kg_per_m3,
                                    double *heat_J_per_kgK, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    double low_K, high_K;
    oxt_status status = oxt_i_check_salt(salt, error);
    if (!status && (!density_kg_per_m3 || !heat_J_per_kgK))
        status = oxt_i_null(error, density_kg_per_m3 ? "heat_J_per_kgK" : "density_kg_per_m3");
    if (status)
        return status;
    oxt_i_salt_range(salt, &low_K, &high_K);
    status = oxt_i_check(error, "temperature_K", temperature_K, low_K, high_K, OXT_I_CLOSED);
    if (status)
        return status;
    double T = temperature_K, T_C = temperature_K - 273.15;
    bool ternary = salt == OXT_SALT_TERNARY;
    *density_kg_per_m3 = ternary ? 2293.6 - 0.7497 * T : 2090.0 - 0.636 * T_C;
    *heat_J_per_kgK = ternary ? 5806.0 + T * (-10.833 + T * 7.2413e-3) : 1443.0 + 0.172 * T_C;
    return OXT_OK;
}

uint32_t oxt_i_salt_cautions(oxt_salt salt, double bath_K)
{
    const oxt_salt_limits *limits = &all_limits[salt];
    uint32_t cautions = OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_WATER | OXT_CAUTION_ORGANICS |
                        OXT_CAUTION_CYANIDES | OXT_CAUTION_LIGHT_METALS | OXT_CAUTION_VENTILATION |
                        OXT_CAUTION_HOT_RINSE | OXT_CAUTION_POT | OXT_CAUTION_DATA_SHEET;
    bool may_be_plain = salt == OXT_SALT_UNSTATED; /* or hold nitrite: either until it is stated */
    if (may_be_plain || salt == OXT_SALT_TERNARY)
        cautions |= OXT_CAUTION_NITRITE;
    if (may_be_plain && bath_K < all_limits[OXT_SALT_BINARY_60_40].working_low_K)
        cautions |= OXT_CAUTION_FREEZING;
    if (bath_K >= TEMPERING_K)
        cautions |= OXT_CAUTION_SOFTENS;
    if (bath_K < limits->working_low_K)
        cautions |= OXT_CAUTION_BELOW_MELTING;
    if (bath_K > limits->working_high_K)
        cautions |= OXT_CAUTION_ABOVE_WORKING;
    if (bath_K > limits->legal_high_K)
        cautions |= OXT_CAUTION_ABOVE_LEGAL;
    if (bath_K > WUSTITE_K)
        cautions |= OXT_CAUTION_ABOVE_MODEL;
    return cautions;
}

uint32_t oxt_i_range_cautions(double low_K, double high_K)
{
    return oxt_i_salt_cautions(OXT_SALT_UNSTATED, low_K) |
           oxt_i_salt_cautions(OXT_SALT_UNSTATED, high_K);
}

/* ---- a frozen skin ---- */

/* J/kg, from memory; of an unstated salt the largest. */
static double latent_heat(oxt_salt salt)
{
    return salt == OXT_SALT_TERNARY ? 80e3 : salt == OXT_SALT_BINARY_EUTECTIC ? 100e3 : 161e3;
}

oxt_status oxt_bath_skin_delay(oxt_salt salt, const oxt_part *part, double bath_K, double skin_m,
                               double *delay_s, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_warming warming = OXT_WARMING_INIT;
    if (!delay_s)
        return oxt_i_null(error, "delay_s");
    oxt_status status = oxt_i_check_salt(salt, error);
    if (!status)
        status = oxt_i_check(error, "skin_m", skin_m, 0.0, 0.02, OXT_I_CLOSED);
    if (!status)
        status = oxt_heat_warming(part, bath_K, &warming, error); /* checks the part and bath_K */
    if (status)
        return status;
    double melting_K = all_limits[salt].melting_high_K, low_K, high_K, density, heat;
    if (bath_K <= melting_K)
        return oxt_i_fail(error, OXT_EDOMAIN, "bath_K", bath_K, melting_K, OXT_BATH_HIGH_K,
                          "%s: frozen salt does not melt there, expected above %s",
                          oxt_i_mark(bath_K, "bath_K").text, oxt_i_mark(melting_K, NULL).text);
    oxt_i_salt_range(salt, &low_K, &high_K);
    status = oxt_bath_salt_properties(salt, low_K, &density, &heat, error);
    double reaching_W_per_m2 = part->transfer_W_per_m2K * (bath_K - melting_K);
    if (!status)
        *delay_s = density * latent_heat(salt) * skin_m / reaching_W_per_m2;
    return status;
}
