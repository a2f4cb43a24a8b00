/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of a steel before its first coupon. */
#include <string.h>

#include "optics/tint.h"
#include "optics/words.h"
#include "steel/steel.h"
#include "fit/fit.h"

/* The sources stand in prior.h. */
static const double USUAL_Q = 71e3, USUAL_Q_STDERR = 20e3;
static const double RULE_BATH_F = 650.0, RULE_TIME_S = 60.0, RULE_FACTOR = 2.0;

oxt_status oxt_i_prior_in(oxt_prior *into, const oxt_prior *prior, oxt_error *error)
{
    oxt_status status = OXT_I_STRUCT_IN(oxt_prior, into, prior, "prior", error);
    bool has_rate = into->ln_k_stderr != 0.0, has_Q = into->Q_stderr_J_per_mol != 0.0;
    const oxt_i_limit limits[] = {
        { "prior.ln_k_stderr", into->ln_k_stderr, 0.0, 100.0, OXT_I_CLOSED },
        { "prior.Q_stderr_J_per_mol", into->Q_stderr_J_per_mol, 0.0, 1e6, OXT_I_CLOSED },
        { "prior.temperature_K", into->temperature_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
          OXT_I_CLOSED },
        { "prior.ln_k", into->ln_k, -100.0, 100.0, OXT_I_CLOSED },
        { "prior.Q_J_per_mol", into->Q_J_per_mol, 0.0, 1e6, OXT_I_OPEN_LOW },
    };
    if (!status)
        status = oxt_i_check_all(error, limits, 2);
    if (!status && has_rate)
        status = oxt_i_check_all(error, limits + 2, 2);
    if (!status && has_Q)
        status = oxt_i_check_all(error, limits + 4, 1);
    if (!status && !has_rate && !has_Q)
        status = oxt_i_fail_text(error, OXT_EARG, "prior",
                                 "the prior is empty: give ln_k_stderr, Q_stderr_J_per_mol or "
                                 "both");
    return status;
}

oxt_status oxt_prior_mild_steel(oxt_prior *prior, const oxt_film *film, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!prior || !film)
        return oxt_i_null(error, prior ? "film" : "prior");
    oxt_target blue = OXT_TARGET_INIT;
    oxt_prior made = OXT_PRIOR_INIT;
    oxt_status status = oxt_tint_target(film, "first-order blue", &blue, error);
    if (status)
        return status;
    made.temperature_K = oxt_i_kelvin_from(RULE_BATH_F, OXT_UNIT_FAHRENHEIT);
    made.ln_k = log(blue.aim_nm * blue.aim_nm / RULE_TIME_S);
    made.ln_k_stderr = log(RULE_FACTOR);
    made.Q_J_per_mol = USUAL_Q;
    made.Q_stderr_J_per_mol = USUAL_Q_STDERR;
    return OXT_I_STRUCT_OUT(oxt_prior, prior, &made, "prior", error);
}

/* ---- the card of a steel that has not been tried ---- */

/* Baths of the published experiments, K; scatter of a careful shop: common practice, no source; and as
 * good as infinitely many degrees of freedom, since the errors are given and not estimated. */
static const double PUBLISHED_LOW_K = 523.15, PUBLISHED_HIGH_K = 723.15;
static const double USUAL_SCATTER = 0.1, GIVEN_DOF = 1e6;

static void put_numbers(oxt_steel_values *values, const oxt_prior *prior, const oxt_film *film)
{
    const double *edges = oxt_i_film_edges(film);
    values->growth.k_ref_nm2_per_s = exp(prior->ln_k);
    values->growth.T_ref_K = prior->temperature_K;
    values->growth.Q_J_per_mol = prior->Q_J_per_mol;
    values->variance_ln_k = prior->ln_k_stderr * prior->ln_k_stderr;
    values->variance_Q_J2_per_mol2 = prior->Q_stderr_J_per_mol * prior->Q_stderr_J_per_mol;
    values->scatter = USUAL_SCATTER;
    values->dof = GIVEN_DOF;
    values->bath_low_K = PUBLISHED_LOW_K;
    values->bath_high_K = PUBLISHED_HIGH_K;
    values->thickness_low_nm = edges[1];
    values->thickness_high_nm = edges[OXT_I_FIRST_OF_SECOND];
}

oxt_status oxt_prior_steel(oxt_steel **steel, const char *name, const char *finish,
                           const oxt_film *film, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (steel)
        *steel = NULL;
    if (!steel || !name || !film)
        return oxt_i_null(error, !steel ? "steel" : !name ? "name" : "film");
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_status status = oxt_i_take_text(values.steel, sizeof values.steel, name, "name", error);
    if (!status && finish)
        status = oxt_i_take_text(values.finish, sizeof values.finish, finish, "finish", error);
    if (!status)
        status = oxt_prior_mild_steel(&prior, film, error);
    if (!status)
        status = oxt_film_description(film, values.description, sizeof values.description, NULL,
                                      error);
    if (status)
        return status;
    put_numbers(&values, &prior, film);
    oxt_i_copy_text(
        values.origin, sizeof values.origin,
        "no trial yet: published Q of mild steel in nitrate, and the rule that a minute "
        "at 650 F gives blue");
    return oxt_i_steel_make(steel, &values, oxt_i_film_words(film), error);
}
