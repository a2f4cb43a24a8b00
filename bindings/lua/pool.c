/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels and finishes of one log, fitted together. */
#include "oxl.h"

static const char *const models[] = { "shared-q", "finish-factors", "separate", "best", NULL };

/* ---- the object ---- */

OXL_RELEASE(release, oxl_pool, pool, oxt_pool_free)

static const oxl_field pool_fields[] = {
    { "model", OXL_CHOICE, offsetof(oxt_pool_values, model), .choices = models },
    OXL_FIELD(oxt_pool_values, shrunk, OXL_FLAG),
    OXL_FIELD(oxt_pool_values, T_ref_K, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, Q_stderr_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, Q_low_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, Q_high_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, scatter, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, dof, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, scatter_dof, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, day_sd, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, chi_square, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, aicc, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, between_sd, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, between_Q_sd_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, parameter_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_values, group_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_values, row_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_values, used_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_values, warning_count, OXL_COUNT),
    { "law", OXL_CHOICE, offsetof(oxt_pool_values, law), .choices = oxl_laws_of_growth },
    OXL_FIELD(oxt_pool_values, law_shape, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, law_middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, ln_shape_stderr, OXL_NUMBER),
    { "unit", OXL_CHOICE, offsetof(oxt_pool_values, unit), .choices = oxl_units },
    OXL_END,
};

static const oxl_field group_fields[] = {
    OXL_FIELD(oxt_pool_group, steel, OXL_TEXT),
    OXL_FIELD(oxt_pool_group, finish, OXL_TEXT),
    { "growth", OXL_STRUCT, offsetof(oxt_pool_group, growth), .inner = oxl_growth_fields },
    OXL_FIELD(oxt_pool_group, ln_k_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, Q_stderr_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, variance_ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, covariance_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, variance_Q_J2_per_mol2, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, k_ref_low_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, k_ref_high_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, Q_low_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, Q_high_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, finish_factor, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, shrunk_by, OXL_NUMBER),
    OXL_FIELD(oxt_pool_group, row_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_group, used_count, OXL_COUNT),
    OXL_END,
};

static const oxl_field comparison_fields[] = {
    { "model", OXL_CHOICE, offsetof(oxt_pool_comparison, model), .choices = models },
    OXL_FIELD(oxt_pool_comparison, fitted, OXL_FLAG),
    OXL_FIELD(oxt_pool_comparison, parameter_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_comparison, chi_square, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, aicc, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, F, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, dof1, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, dof2, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, p_value, OXL_NUMBER),
    OXL_END,
};

/* ---- lists ---- */

OXL_ITEM(push_group, oxl_pool, pool, oxt_pool_get_group, group_fields, oxt_pool_group,
         OXT_POOL_GROUP_INIT)

/* From the poorest to the richest. */
static int make_comparison(lua_State *L)
{
    static const oxt_pool_model nested[] = { OXT_POOL_FINISH_FACTORS, OXT_POOL_SHARED_Q,
                                             OXT_POOL_SEPARATE };
    const oxl_pool *pool = lua_touserdata(L, 1);
    lua_newtable(L);
    for (int i = 0; i < 3; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_pool_comparison comparison = OXT_POOL_COMPARISON_INIT;
        oxl_expect(L, oxt_pool_get_comparison(pool->pool, nested[i], &comparison, &error), &error);
        oxl_push_struct(L, comparison_fields, &comparison);
        lua_rawseti(L, -2, i + 1);
    }
    return 1;
}

OXL_WRITER(write_warning, oxl_pool, oxt_pool_warning, of->pool, which)

static const oxl_made made[] = {
    { "groups", .item = push_group, .count = offsetof(oxl_pool, values.group_count) },
    { "comparison", .make = make_comparison },
    { "steels", .item = oxl_push_pool_steel, .count = offsetof(oxl_pool, values.group_count) },
    { "warnings", .text = write_warning, .count = offsetof(oxl_pool, values.warning_count) },
    { .name = NULL },
};

OXL_WRITER(write_report, oxl_pool, oxt_pool_report, of->pool, (oxt_temperature_unit)which)

OXL_WRITER(write_json, oxl_pool, oxt_pool_json, of->pool)

const oxl_class oxl_pool_class = {
    .name = "oxtint.pool",
    .noun = "pool",
    .size = sizeof(oxl_pool),
    .release = release,
    .fields = pool_fields,
    .structure = offsetof(oxl_pool, values),
    .unit = offsetof(oxl_pool, values.unit),
    .made = made,
    .json = write_json,
    .report = write_report,
};

/* ---- the function ---- */

typedef struct {
    oxt_pool_options options;
    const oxl_film *film;
    oxl_watcher watcher;
} pool_arguments;

#define OPTION(member, kind) OXL_AS(#member, pool_arguments, options.member, kind)
#define CHOICE(member, list)                                                           \
    {                                                                                  \
#member, OXL_CHOICE, offsetof(pool_arguments, options.member), .choices = list \
    }

static const oxl_field pool_names[] = {
    CHOICE(model, models),
    OPTION(shrink, OXL_FLAG),
    OPTION(between_sd, OXL_NUMBER),
    OPTION(between_Q_sd_J_per_mol, OXL_NUMBER),
    OPTION(scatter, OXL_NUMBER),
    OPTION(thickness_uncertainty, OXL_NUMBER),
    OPTION(colour_tolerance, OXL_NUMBER),
    OPTION(confidence, OXL_NUMBER),
    OPTION(bath_sd_K, OXL_SPREAD),
    OPTION(time_sd_s, OXL_TIME),
    CHOICE(robust, oxl_robusts),
    { "prior", OXL_OTHER, offsetof(pool_arguments, options.prior), .read = oxl_read_prior },
    CHOICE(names, oxl_name_readings),
    { "lifted", OXL_CHOICE, offsetof(pool_arguments, options.lifted), .choices = oxl_lifted,
      .first = OXT_LIFTED_FIRST },
    CHOICE(rounding, oxl_roundings),
    CHOICE(law, oxl_laws_of_growth),
    OPTION(law_shape, OXL_NUMBER),
    OPTION(ln_shape_sd, OXL_NUMBER),
    OPTION(law_middle_nm, OXL_NUMBER),
    { "film", OXL_OBJECT, offsetof(pool_arguments, film), .class = &oxl_film_class },
    { "progress", OXL_OTHER, offsetof(pool_arguments, watcher), .read = oxl_read_progress },
    OXL_END,
};

static int run_pool(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    pool_arguments given = { .options = OXT_POOL_OPTIONS_INIT };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, pool_names, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxl_pool *pool = oxl_new(L, &oxl_pool_class);
    oxl_watch(&given.watcher, &given.options.progress, &given.options.user);
    status = oxt_pool_run(&pool->pool, log->trials, film->film, &given.options, &error);
    if (given.watcher.raised)
        return lua_error(L);
    pool->values = (oxt_pool_values)OXT_POOL_VALUES_INIT;
    if (!status)
        status = oxt_pool_get(pool->pool, &pool->values, &error);
    oxl_owe(L, pool->values.row_count * 2 * sizeof(oxt_fit_row));
    return oxl_give_object(L, status, &pool->object, &error);
}

const luaL_Reg oxl_pool_functions[] = { { "pool", run_pool }, { NULL, NULL } };
