/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A comparison of laws as JSON. */
#include "base/json.h"
#include "fit/laws.h"

static const char *const verdicts[] = { "holds", "open", "contradicted" };

static const oxt_i_json_field laws_fields[] = {
    OXT_I_JSON_CHOSEN(oxt_laws_values, verdict, verdicts),
    OXT_I_JSON_CHOSEN(oxt_laws_values, best, oxt_i_law_names),
    OXT_I_JSON_CHOSEN(oxt_laws_values, rival, oxt_i_law_names),
    OXT_I_JSON_FIELD(oxt_laws_values, exponent, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, exponent_low, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, exponent_high, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, F, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, F_dof, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, p, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, T_ref_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, middle_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, thinnest_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, thickest_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, time_ratio_half, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, time_ratio_twice, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, confidence, NUMBER),
    OXT_I_JSON_FIELD(oxt_laws_values, row_count, COUNT),
    OXT_I_JSON_FIELD(oxt_laws_values, replicate_count, COUNT),
    OXT_I_JSON_FIELD(oxt_laws_values, Q_held, FLAG),
    OXT_I_JSON_FIELD(oxt_laws_values, sentence, TEXT),
    OXT_I_JSON_END,
};

static const oxt_i_json_field result_fields[] = {
    OXT_I_JSON_CHOSEN(oxt_law_result, kind, oxt_i_law_names),
    OXT_I_JSON_FIELD(oxt_law_result, converged, FLAG),
    OXT_I_JSON_FIELD(oxt_law_result, parameters, COUNT),
    OXT_I_JSON_FIELD(oxt_law_result, k_ref, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, ln_k_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, Q_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, Q_stderr_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, shape, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, shape_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, shape_low, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, shape_high, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, shape_at_limit, FLAG),
    OXT_I_JSON_FIELD(oxt_law_result, initial_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, initial_at_zero, FLAG),
    OXT_I_JSON_FIELD(oxt_law_result, chi_square, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, dof, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, aicc, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, aicc_difference, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, weight, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, lack_of_fit_F, NUMBER),
    OXT_I_JSON_FIELD(oxt_law_result, lack_of_fit_p, NUMBER),
    OXT_I_JSON_END,
};

oxt_status oxt_laws_json(const oxt_laws *laws, char *buffer, size_t capacity, size_t *needed,
                         oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    bool good = true;
    if (!laws)
        return oxt_i_null(error, "laws");
    json_t *object = oxt_i_json_struct(laws_fields, &laws->values, &good), *results = json_object();
    for (size_t i = 0; i < OXT_LAW_COUNT; i++)
        oxt_i_json_put(results, oxt_i_law_names[i],
                       oxt_i_json_struct(result_fields, &laws->results[i], &good), &good);
    oxt_i_json_put(object, "laws", results, &good);
    return oxt_i_json_emit(object, good, buffer, capacity, needed, error);
}
