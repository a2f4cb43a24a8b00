/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A fit as JSON. */
#include "fit/fit.h"

static const oxt_i_json_field growth_fields[] = {
    OXT_I_JSON_FIELD(oxt_growth, k_ref_nm2_per_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_growth, T_ref_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_growth, Q_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_growth, shape, NUMBER),
    OXT_I_JSON_FIELD(oxt_growth, middle_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_growth, initial_nm, NUMBER),
    OXT_I_JSON_END,
};

json_t *oxt_i_growth_json(const oxt_growth *growth, bool *good)
{
    json_t *object = json_object();
    oxt_i_json_put(object, "law", json_string(oxt_i_law_names[growth->law]), good);
    oxt_i_json_put_fields(object, growth_fields, growth, good);
    return object;
}

static const oxt_i_json_field fit_fields[] = {
    OXT_I_JSON_FIELD(oxt_fit_values, ln_k_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, Q_stderr_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, variance_ln_k, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, covariance_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, variance_Q_J2_per_mol2, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, correlation, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, confidence, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, k_ref_low_nm2_per_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, k_ref_high_nm2_per_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, Q_low_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, Q_high_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, scatter, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, chi_square, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, dof, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, scatter_dof, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, day_count, COUNT),
    OXT_I_JSON_FIELD(oxt_fit_values, day_sd, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, reader_offset, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, reader_offset_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, ln_shape_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, initial_stderr_nm2, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, time_exponent, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, time_exponent_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, middle_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, reduced_chi_square, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, r_squared, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, aicc, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, condition, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, row_count, COUNT),
    OXT_I_JSON_FIELD(oxt_fit_values, used_count, COUNT),
    OXT_I_JSON_FIELD(oxt_fit_values, Q_held, FLAG),
    OXT_I_JSON_FIELD(oxt_fit_values, prior_share_Q, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, prior_share_ln_k, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_values, warning_count, COUNT),
    OXT_I_JSON_END,
};

static const oxt_i_json_field row_fields[] = {
    OXT_I_JSON_FIELD(oxt_fit_row, trial, COUNT),
    OXT_I_JSON_FIELD(oxt_fit_row, line, COUNT),
    OXT_I_JSON_FIELD(oxt_fit_row, used, FLAG),
    OXT_I_JSON_FIELD(oxt_fit_row, order, INT),
    OXT_I_JSON_FIELD(oxt_fit_row, low_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, high_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, observed_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, predicted_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, residual, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, sigma, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, studentized, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, leverage, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, reason, TEXT),
    OXT_I_JSON_FIELD(oxt_fit_row, weight, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, cooks_distance, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, dip_change, NUMBER),
    OXT_I_JSON_FIELD(oxt_fit_row, equivalent_s, NUMBER),
    OXT_I_JSON_END,
};

oxt_status oxt_fit_json(const oxt_fit *fit, char *buffer, size_t capacity, size_t *needed,
                        oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    bool good = true;
    oxt_status status = oxt_fit_get(fit, &values, error);
    if (status)
        return status;
    json_t *object = json_object(), *rows = json_array();
    oxt_i_json_put(object, "growth", oxt_i_growth_json(&values.growth, &good), &good);
    oxt_i_json_put_fields(object, fit_fields, &values, &good);
    for (size_t i = 0; i < values.row_count && !status && good; i++) {
        oxt_fit_row row = OXT_FIT_ROW_INIT;
        status = oxt_fit_get_row(fit, i, &row, error);
        oxt_i_json_append(rows, oxt_i_json_struct(row_fields, &row, &good), &good);
    }
    oxt_i_json_put(object, "rows", rows, &good);
    oxt_i_json_put(object, "warnings", oxt_i_warnings_json(&fit->warnings, &good), &good);
    if (!status)
        return oxt_i_json_emit(object, good, buffer, capacity, needed, error);
    json_decref(object);
    return status;
}
