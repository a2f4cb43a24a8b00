/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A pool as JSON. */
#include "fit/pool.h"

static const char *const models[] = { "shared-q", "finish-factors", "separate", "best" };

static const oxt_i_json_field pool_fields[] = {
    OXT_I_JSON_CHOSEN(oxt_pool_values, model, models),
    OXT_I_JSON_CHOSEN(oxt_pool_values, law, oxt_i_law_names),
    OXT_I_JSON_FIELD(oxt_pool_values, law_shape, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, law_middle_nm, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, ln_shape_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, shrunk, FLAG),
    OXT_I_JSON_FIELD(oxt_pool_values, T_ref_K, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, Q_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, Q_stderr_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, Q_low_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, Q_high_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, confidence, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, scatter, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, dof, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, scatter_dof, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, day_sd, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, chi_square, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, aicc, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, between_sd, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, between_Q_sd_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_values, parameter_count, COUNT),
    OXT_I_JSON_FIELD(oxt_pool_values, group_count, COUNT),
    OXT_I_JSON_FIELD(oxt_pool_values, row_count, COUNT),
    OXT_I_JSON_FIELD(oxt_pool_values, used_count, COUNT),
    OXT_I_JSON_FIELD(oxt_pool_values, warning_count, COUNT),
    OXT_I_JSON_END,
};

static const oxt_i_json_field group_fields[] = {
    OXT_I_JSON_FIELD(oxt_pool_group, steel, TEXT),
    OXT_I_JSON_FIELD(oxt_pool_group, finish, TEXT),
    OXT_I_JSON_FIELD(oxt_pool_group, ln_k_stderr, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, Q_stderr_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, variance_ln_k, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, covariance_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, variance_Q_J2_per_mol2, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, k_ref_low_nm2_per_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, k_ref_high_nm2_per_s, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, Q_low_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, Q_high_J_per_mol, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, finish_factor, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, shrunk_by, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_group, row_count, COUNT),
    OXT_I_JSON_FIELD(oxt_pool_group, used_count, COUNT),
    OXT_I_JSON_END,
};

static const oxt_i_json_field comparison_fields[] = {
    OXT_I_JSON_CHOSEN(oxt_pool_comparison, model, models),
    OXT_I_JSON_FIELD(oxt_pool_comparison, fitted, FLAG),
    OXT_I_JSON_FIELD(oxt_pool_comparison, parameter_count, COUNT),
    OXT_I_JSON_FIELD(oxt_pool_comparison, chi_square, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_comparison, aicc, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_comparison, F, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_comparison, dof1, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_comparison, dof2, NUMBER),
    OXT_I_JSON_FIELD(oxt_pool_comparison, p_value, NUMBER),
    OXT_I_JSON_END,
};

static json_t *groups_to_json(const oxt_pool *pool, bool *good)
{
    json_t *list = json_array();
    for (size_t i = 0; i < pool->values.group_count; i++) {
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        oxt_pool_get_group(pool, i, &group, NULL);
        json_t *one = oxt_i_json_struct(group_fields, &group, good);
        oxt_i_json_put(one, "growth", oxt_i_growth_json(&group.growth, good), good);
        oxt_i_json_append(list, one, good);
    }
    return list;
}

/* From the poorest to the richest. */
static json_t *comparisons_to_json(const oxt_pool *pool, bool *good)
{
    static const oxt_pool_model nested[] = { OXT_POOL_FINISH_FACTORS, OXT_POOL_SHARED_Q,
                                             OXT_POOL_SEPARATE };
    json_t *list = json_array();
    for (size_t i = 0; i < OXT_I_COUNT(nested); i++) {
        oxt_pool_comparison comparison = OXT_POOL_COMPARISON_INIT;
        oxt_pool_get_comparison(pool, nested[i], &comparison, NULL);
        oxt_i_json_append(list, oxt_i_json_struct(comparison_fields, &comparison, good), good);
    }
    return list;
}

oxt_status oxt_pool_json(const oxt_pool *pool, char *buffer, size_t capacity, size_t *needed,
                         oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    bool good = true;
    if (!pool)
        return oxt_i_null(error, "pool");
    json_t *object = oxt_i_json_struct(pool_fields, &pool->values, &good);
    oxt_i_json_put(object, "groups", groups_to_json(pool, &good), &good);
    oxt_i_json_put(object, "comparison", comparisons_to_json(pool, &good), &good);
    oxt_i_json_put(object, "warnings", oxt_i_warnings_json(&pool->warnings, &good), &good);
    return oxt_i_json_emit(object, good, buffer, capacity, needed, error);
}
