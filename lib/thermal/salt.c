/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The salts: limits, properties, cautions. */
#include "thermal/salt.h"

#define CELSIUS(degrees) ((degrees) + 273.15)

/* Where tempering of steel begins: common practice. Wustite: iron-oxygen phase diagram. */
static const double TEMPERING_K = CELSIUS(150.0), WUSTITE_K = CELSIUS(570.0);

/* California Code of Regulations, Title 8, section 5188(b)(2): 1200 F. */
static const double LEGAL_K = CELSIUS(649.0);

/* One salt; temperatures in degrees Celsius. */
typedef struct {
    double melting_low, melting_high, working_low, working_high;
    double known_low, known_high; /* between which the correlations of density and heat hold */
    double latent_J_per_kg;       /* from memory; of an unstated salt the largest */
    const char *name, *source;
} salt_data;

static const salt_data all_salts[] = {
    /* 350 to 1000 F */
    [OXT_SALT_UNSTATED] = { 177.0, 177.0, 177.0, 538.0, 240.0, 580.0, 161e3,
                            "nitrate tempering salt, unstated",
                            "working range: common practice, no source; it stands for melting "
                            "too" },
    [OXT_SALT_BINARY_60_40] = { 220.0, 238.0, 240.0, 565.0, 240.0, 580.0, 161e3,
                                "NaNO3/KNO3 60/40 by weight",
                                "solar-thermal literature, from memory; lower end: where its "
                                "correlations begin" },
    [OXT_SALT_BINARY_EUTECTIC] = { 222.0, 222.0, 240.0, 565.0, 240.0, 580.0, 100e3,
                                   "NaNO3/KNO3 eutectic, 50/50 by mole",
                                   "melting: handbook, from memory; working range: that of the "
                                   "60/40 salt" },
    [OXT_SALT_TERNARY] = { 142.0, 142.0, 162.0, 538.0, 162.0, 515.0, 80e3,
                           "KNO3/NaNO2/NaNO3 53/40/7 by weight",
                           "data sheets and handbooks, from memory; lower end: where its "
                           "correlations begin" },
};

oxt_status oxt_i_check_salt(oxt_salt salt, oxt_error *error)
{
    if ((int)salt >= OXT_SALT_UNSTATED && salt <= OXT_SALT_TERNARY)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EARG, "salt", salt, OXT_SALT_UNSTATED, OXT_SALT_TERNARY,
                      "salt is %d, expected one of oxt_salt", (int)salt);
}

double oxt_i_salt_density(oxt_salt salt, double T)
{
    return salt == OXT_SALT_TERNARY ? 2293.6 - 0.7497 * T : 2090.0 - 0.636 * (T - 273.15);
}

double oxt_i_salt_heat(oxt_salt salt, double T)
{
    return salt == OXT_SALT_TERNARY ? 5806.0 + T * (-10.833 + T * 7.2413e-3)
                                    : 1443.0 + 0.172 * (T - 273.15);
}

double oxt_i_salt_viscosity(oxt_salt salt, double T)
{
    double t = T - 273.15;
    if (salt == OXT_SALT_TERNARY)
        return exp(-4.343 - 2.0143 * (log(t) - 5.011));
    return 1e-3 * (22.714 + t * (-0.120 + t * (2.281e-4 - t * 1.474e-7)));
}

double oxt_i_salt_conductivity(oxt_salt salt, double T)
{
    double t = T - 273.15;
    return salt == OXT_SALT_TERNARY ? 0.421 - 6.53e-4 * (t - 260.0) : 0.443 + 1.9e-4 * t;
}

/* The slope of the density over it. */
double oxt_i_salt_expansion(oxt_salt salt, double T)
{
    return (salt == OXT_SALT_TERNARY ? 0.7497 : 0.636) / oxt_i_salt_density(salt, T);
}

double oxt_i_salt_known(oxt_salt salt, double temperature_K)
{
    const salt_data *data = &all_salts[salt];
    return fmin(fmax(temperature_K, CELSIUS(data->known_low)), CELSIUS(data->known_high));
}

oxt_status oxt_bath_salt(oxt_salt salt, double temperature_K, oxt_salt_values *values,
                         oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_salt_values made = OXT_SALT_VALUES_INIT;
    if (!values)
        return oxt_i_null(error, "values");
    oxt_status status = oxt_i_check_salt(salt, error);
    if (!status && temperature_K != 0.0)
        status = oxt_i_check(error, "temperature_K", temperature_K,
                             CELSIUS(all_salts[salt].known_low),
                             CELSIUS(all_salts[salt].known_high), OXT_I_CLOSED);
    if (status)
        return status;
    const salt_data *data = &all_salts[salt];
    made.melting_low_K = CELSIUS(data->melting_low);
    made.melting_high_K = CELSIUS(data->melting_high);
    made.working_low_K = CELSIUS(data->working_low);
    made.working_high_K = CELSIUS(data->working_high);
    made.legal_high_K = LEGAL_K;
    const bool known = temperature_K != 0.0;
    made.density_kg_per_m3 = known ? oxt_i_salt_density(salt, temperature_K) : NAN;
    made.heat_J_per_kgK = known ? oxt_i_salt_heat(salt, temperature_K) : NAN;
    made.viscosity_Pa_s = known ? oxt_i_salt_viscosity(salt, temperature_K) : NAN;
    made.conductivity_W_per_mK = known ? oxt_i_salt_conductivity(salt, temperature_K) : NAN;
    made.expansion_per_K = known ? oxt_i_salt_expansion(salt, temperature_K) : NAN;
    oxt_i_copy_text(made.name, sizeof made.name, data->name);
    oxt_i_snprintf(made.source, sizeof made.source,
                   "%s; legal maximum: California Title 8, section 5188(b)(2)", data->source);
    return OXT_I_STRUCT_OUT(oxt_salt_values, values, &made, "values", error);
}

/* Where a mixture melts over a range: the middle, oxtint's own choice. */
double oxt_i_salt_melting_K(oxt_salt salt)
{
    return CELSIUS(0.5 * (all_salts[salt].melting_low + all_salts[salt].melting_high));
}

uint32_t oxt_i_salt_cautions(oxt_salt salt, double bath_K)
{
    const salt_data *data = &all_salts[salt];
    uint32_t cautions = OXT_CAUTION_MOLTEN_SALT | OXT_CAUTION_WATER | OXT_CAUTION_ORGANICS |
                        OXT_CAUTION_CYANIDES | OXT_CAUTION_LIGHT_METALS | OXT_CAUTION_VENTILATION |
                        OXT_CAUTION_HOT_RINSE | OXT_CAUTION_POT | OXT_CAUTION_DATA_SHEET;
    bool may_be_plain = salt == OXT_SALT_UNSTATED; /* or hold nitrite: either until it is stated */
    if (may_be_plain || salt == OXT_SALT_TERNARY)
        cautions |= OXT_CAUTION_NITRITE;
    if (may_be_plain && bath_K < CELSIUS(all_salts[OXT_SALT_BINARY_60_40].working_low))
        cautions |= OXT_CAUTION_FREEZING;
    if (bath_K >= TEMPERING_K)
        cautions |= OXT_CAUTION_SOFTENS;
    if (bath_K < CELSIUS(data->working_low))
        cautions |= OXT_CAUTION_BELOW_MELTING;
    if (bath_K > CELSIUS(data->working_high))
        cautions |= OXT_CAUTION_ABOVE_WORKING;
    if (bath_K > LEGAL_K)
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

/* ---- frozen salt ---- */

/* Solid salt conducts about as well as the liquid (0.5 W/(m K), Sandia's correlations for 60/40): from memory. It hardly
 * matters. */
static const double CRUST_W_PER_MK = 0.6;

static void take_crust(oxt_salt salt, oxt_i_outside *outside)
{
    const salt_data *data = &all_salts[salt];
    outside->melting_K = salt == OXT_SALT_UNSTATED ? 0.0 : oxt_i_salt_melting_K(salt);
    outside->latent_J_per_m3 = oxt_i_salt_density(salt, oxt_i_salt_known(salt, 0.0)) *
                               data->latent_J_per_kg;
    outside->crust_W_per_mK = CRUST_W_PER_MK;
}

void oxt_i_outside_of(oxt_i_outside *made, const oxt_i_body *body, const oxt_bath *bath,
                      double load_kg)
{
    double kg_per_m2 = body->density * body->volume_per_area_m;
    take_crust(bath->salt, made);
    if (!(bath->salt_kg > 0.0 && load_kg > 0.0))
        return;
    double bath_J_per_K = bath->salt_kg *
                          oxt_i_salt_heat(bath->salt, oxt_i_salt_known(bath->salt, made->set_K));
    made->bath_J_per_m2K = bath_J_per_K * kg_per_m2 / load_kg;
    made->heater_W_per_m2 = bath->heater_W * kg_per_m2 / load_kg;
}
