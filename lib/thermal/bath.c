/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bath of limited size, and how it sags under a load. */
#include "base/quadrature.h"
#include "thermal/bath.h"
#include "thermal/heat.h"
#include "thermal/salt.h"

#include <gsl/gsl_sf_lambert.h>

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double BACK_K = 0.1; /* a bath this near to its start is back */
/* Below it a load is taken as one temperature throughout. */
static const double LUMPED_BIOT = 0.1;

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

/* The later time at which a free bath is `below_K` under its start: ramp t = dip (1 - exp(-t/tau)) -
 * below is solved by Lambert's W. */
static double back_after(const oxt_i_load *both, double below_K)
{
    gsl_sf_result w = { 0.0, 0.0 };
    double ramp_K = both->ramp_K_per_s * both->tau_both_s;
    double line = (both->dip_K - below_K) / ramp_K;
    if (line < 700.0)                                                /* beyond it W is 0 */
        gsl_sf_lambert_W0_e(-both->dip_K / ramp_K * exp(-line), &w); /* this form never aborts */
    return both->tau_both_s * (line + w.val);
}

static double bath_at(const oxt_i_load *both, double time_s)
{
    if (time_s >= both->held_from_s)
        return both->bath_K;
    return both->bath_K + both->ramp_K_per_s * time_s +
           both->dip_K * expm1(-time_s / both->tau_both_s);
}

static double gap_at(const oxt_i_load *both, double time_s)
{
    if (time_s >= both->held_from_s)
        return both->held_gap_K * exp((both->held_from_s - time_s) / both->tau_s);
    return both->settled_K + both->fading_K * exp(-time_s / both->tau_both_s);
}

double oxt_i_load_part_K(const oxt_i_load *both, double time_s)
{
    return bath_at(both, time_s) - gap_at(both, time_s);
}

static void solve_free_phase(oxt_i_load *both, double heater_K_per_s)
{
    double share = both->ratio / (1.0 + both->ratio);
    both->settled_K = heater_K_per_s * both->tau_both_s;
    both->fading_K = both->first_gap_K - both->settled_K;
    both->ramp_K_per_s = heater_K_per_s / (1.0 + both->ratio);
    both->dip_K = share * both->fading_K;
    /* the heater outweighs the load from here on: gap = heater tau/ratio */
    double ramp_K = both->ramp_K_per_s * both->tau_both_s;
    if (ramp_K >= both->dip_K) {
        both->lowest_s = both->held_from_s = 0.0;
        both->held_gap_K = both->first_gap_K;
        return;
    }
    both->lowest_s = both->held_from_s = HUGE_VAL;
    if (ramp_K == 0.0)
        return;
    both->lowest_s = both->tau_both_s * log(both->dip_K / ramp_K);
    double back_s = back_after(both, 0.0);
    both->held_gap_K = gap_at(both, back_s);
    both->held_from_s = back_s;
}

static oxt_status check_lumped(const oxt_part *part, const oxt_i_heating *alone, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "size_m", part->size_m, 0.0, 1.0, OXT_I_OPEN_LOW);
    if (!status && alone->biot >= LUMPED_BIOT)
        status = oxt_i_fail(error, OXT_EDOMAIN, "size_m", part->size_m, NAN, NAN,
                            "the Biot number of this part is %.3g, expected below %g: it is too "
                            "thick to be one temperature throughout",
                            alone->biot, LUMPED_BIOT);
    return status;
}

oxt_status oxt_i_load_meet(oxt_i_load *both, const oxt_bath *bath, const oxt_part *part,
                           double load_kg, double bath_K, oxt_error *error)
{
    oxt_i_heating alone;
    oxt_status status = oxt_i_check(error, "load_kg", load_kg, 0.0, 1e6, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_heating_prepare(&alone, part, bath_K, error);
    if (!status)
        status = check_lumped(part, &alone, error);
    if (status)
        return status;
    double bath_J_per_K = bath->salt_kg *
                          oxt_i_salt_heat(bath->salt, oxt_i_salt_known(bath->salt, bath_K));
    *both = (oxt_i_load){ .bath_K = bath_K,
                          .first_gap_K = bath_K - part->start_K,
                          .tau_s = alone.tau_s,
                          .load_J_per_K = load_kg * alone.heat };
    if (bath->salt_kg > 0.0)
        both->ratio = both->load_J_per_K / bath_J_per_K;
    both->tau_both_s = both->tau_s / (1.0 + both->ratio);
    solve_free_phase(both, bath->salt_kg > 0.0 ? bath->heater_W / bath_J_per_K : 0.0);
    return OXT_OK;
}

double oxt_i_load_sag_K(const oxt_i_load *both)
{
    return isinf(both->lowest_s) ? both->dip_K : both->bath_K - bath_at(both, both->lowest_s);
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
    oxt_i_load both;
    if (!sag)
        return oxt_i_null(error, "sag");
    oxt_status status = oxt_i_bath_in(&known, bath, error);
    if (!status)
        status = oxt_i_load_meet(&both, &known, part, load_kg, bath_K, error);
    if (status)
        return status;
    oxt_sag made = OXT_SAG_INIT;
    bool creeps = isinf(both.lowest_s);
    made.lowest_s = both.lowest_s;
    made.sag_K = oxt_i_load_sag_K(&both);
    made.lowest_K = bath_K - made.sag_K;
    made.recovery_s = made.sag_K <= BACK_K ? 0.0 : creeps ? HUGE_VAL : back_after(&both, BACK_K);
    made.heat_J = both.load_J_per_K * (both.first_gap_K - (creeps ? made.sag_K : 0.0));
    made.cautions = oxt_i_salt_cautions(known.salt, bath_K);
    if (oxt_i_sags(made.sag_K))
        made.cautions |= OXT_CAUTION_SAG;
    return OXT_I_STRUCT_OUT(oxt_sag, sag, &made, "sag", error);
}

/* ---- exposure ---- */

/* Growth rate over that at the start of the bath. */
static double share_of_rate(const oxt_growth *growth, const oxt_i_load *both, double time_s)
{
    double inverse = 1.0 / oxt_i_load_part_K(both, time_s) - 1.0 / both->bath_K;
    return exp(-growth->Q_J_per_mol / R * inverse);
}

static double panel(const oxt_growth *growth, const oxt_i_load *both, double from_s, double to_s)
{
    const oxt_i_gauss *rule = &oxt_i_gauss_16;
    double sum = 0.0, at_s, weight;
    for (size_t i = 0; i < rule->count; i++) {
        oxt_i_gauss_point(rule, from_s, to_s, i, &at_s, &weight);
        sum += weight * share_of_rate(growth, both, at_s);
    }
    return sum;
}

/* Gauss-Legendre on panels that lengthen with the time since the phase began. */
static double integrate(const oxt_growth *growth, const oxt_i_load *both, double from_s,
                        double to_s)
{
    double sum = 0.0, at_s = from_s;
    double shortest_s = fmax(0.5 * both->tau_both_s, 1e-9 * (to_s - from_s));
    while (at_s < to_s) {
        double next_s = fmin(at_s + fmax(shortest_s, 0.5 * (at_s - from_s)), to_s);
        if (next_s == at_s)
            break;
        sum += panel(growth, both, at_s, next_s);
        at_s = next_s;
    }
    return sum;
}

double oxt_i_load_equivalent(const oxt_growth *growth, const oxt_i_load *both, double time_s)
{
    double held_s = fmin(both->held_from_s, time_s);
    return integrate(growth, both, 0.0, held_s) + integrate(growth, both, held_s, time_s);
}
