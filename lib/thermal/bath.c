/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bath of limited size, and how it sags under a load. */
#include "thermal/bath.h"
#include "thermal/heat.h"
#include "thermal/salt.h"

static const double BACK_K = 0.1; /* a bath this near to its start is back */

oxt_status oxt_i_bath_in(oxt_bath *known, const oxt_bath *given, oxt_error *error)
{
    if (!given)
        return oxt_i_null(error, "bath");
    oxt_status status = OXT_I_STRUCT_IN(oxt_bath, known, given, "bath", error);
    if (!status)
        status = oxt_i_check_salt(known->salt, error);
    const oxt_i_limit limits[] = {
        { "thermometer_offset_K", known->thermometer_offset_K, -50.0, 50.0, OXT_I_CLOSED },
        { "thermometer_sd_K", known->thermometer_sd_K, 0.0, 1000.0, OXT_I_CLOSED },
        { "wander_K", known->wander_K, 0.0, 1000.0, OXT_I_CLOSED },
        { "salt_kg", known->salt_kg, 0.0, 1e6, OXT_I_CLOSED },
        { "heater_W", known->heater_W, 0.0, 1e7, OXT_I_CLOSED },
    };
    return status ? status : oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

oxt_status oxt_bath_read(const oxt_bath *bath, double reading_K, double *true_K, uint32_t *cautions,
                         oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_bath known = OXT_BATH_INIT;
    if (!true_K)
        return oxt_i_null(error, "true_K");
    oxt_status status = oxt_i_bath_in(&known, bath, error);
    double offset_K = known.thermometer_offset_K;
    if (!status)
        status = oxt_i_check(error, "reading_K", reading_K, OXT_BATH_LOW_K - offset_K,
                             OXT_BATH_HIGH_K - offset_K, OXT_I_CLOSED);
    if (status)
        return status;
    *true_K = reading_K + offset_K;
    if (cautions)
        *cautions = oxt_i_salt_cautions(known.salt, *true_K);
    return OXT_OK;
}

/* ---- bath and load ---- */

oxt_status oxt_i_check_load(const oxt_part *part, const oxt_i_surroundings *around, double bath_K,
                            oxt_error *error)
{
    oxt_part known = OXT_PART_INIT;
    if (!(around->load_kg > 0.0 && around->bath->salt_kg > 0.0))
        return OXT_OK;
    oxt_status status = oxt_i_check(error, "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                                    OXT_I_CLOSED);
    if (!status)
        status = OXT_I_STRUCT_IN(oxt_part, &known, part, "part", error);
    return status ? status : oxt_i_check(error, "size_m", known.size_m, 0.0, 1.0, OXT_I_OPEN_LOW);
}

bool oxt_i_sags(double sag_K)
{
    return sag_K > 5.0; /* the project's own choice */
}

oxt_status oxt_bath_sag(const oxt_bath *bath, const oxt_part *part, double load_kg, double bath_K,
                        oxt_sag *sag, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_bath known = OXT_BATH_INIT;
    oxt_part cold = OXT_PART_INIT;
    oxt_i_heating load;
    if (!sag)
        return oxt_i_null(error, "sag");
    oxt_status status = oxt_i_bath_in(&known, bath, error);
    const oxt_i_surroundings around = { &known, load_kg };
    if (!status)
        status = oxt_i_check(error, "load_kg", load_kg, 0.0, 1e6, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_part_in(&cold, part, bath_K, error);
    if (!status)
        status = oxt_i_check(error, "size_m", cold.size_m, 0.0, 1.0, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_heating_prepare_in(&load, &cold, bath_K, &around, error);
    if (status)
        return status;
    oxt_sag made = OXT_SAG_INIT;
    double end_K = load.coupled ? load.course.surface_K[load.course.count - 1] : bath_K;
    made.lowest_K = load.coupled ? load.course.lowest_K : bath_K;
    made.sag_K = bath_K - made.lowest_K;
    bool sags = load.coupled && made.sag_K > 0.0;
    bool creeps = sags && known.heater_W == 0.0;
    made.lowest_s = creeps ? HUGE_VAL : sags ? load.course.lowest_s : 0.0;
    made.recovery_s = made.sag_K <= BACK_K ? 0.0 : creeps ? HUGE_VAL : load.course.back_s;
    made.heat_J = load_kg / cold.density_kg_per_m3 *
                  (oxt_i_body_content(&load.body, end_K) -
                   oxt_i_body_content(&load.body, cold.start_K));
    made.cautions = oxt_i_salt_cautions(known.salt, bath_K);
    if (oxt_i_sags(made.sag_K))
        made.cautions |= OXT_CAUTION_SAG;
    return OXT_I_STRUCT_OUT(oxt_sag, sag, &made, "sag", error);
}

/* ---- frozen salt ---- */

oxt_status oxt_bath_crust(const oxt_bath *bath, const oxt_part *part, double bath_K,
                          oxt_crust *crust, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_bath known = OXT_BATH_INIT;
    oxt_crust made = OXT_CRUST_INIT;
    oxt_i_heating cold;
    if (!crust)
        return oxt_i_null(error, "crust");
    oxt_status status = oxt_i_bath_in(&known, bath, error);
    const oxt_i_surroundings around = { &known, 0.0 };
    if (!status)
        status = oxt_i_heating_prepare_in(&cold, part, bath_K, &around, error);
    if (status)
        return status;
    made.melting_K = known.salt == OXT_SALT_UNSTATED ? NAN : oxt_i_salt_melting_K(known.salt);
    made.melted_s = oxt_i_heating_crust_s(&cold);
    made.thickest_m = made.melted_s > 0.0 ? cold.course.crust_m : 0.0;
    return OXT_I_STRUCT_OUT(oxt_crust, crust, &made, "crust", error);
}
