/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels and finishes of one log, fitted together. */
#include "oxl.h"

static const char *const models[] = { "shared-q", "finish-factors", "separate", "best", NULL };

/* ---- the object ---- */

OXL_RELEASE(release, oxl_pool, pool, oxt_pool_free)

static const oxl_field pool_fields[] = {
    { "model", OXL_CHOICE, offsetof(oxt_pool_values, model), models, NULL },
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
    { "law", OXL_CHOICE, offsetof(oxt_pool_values, law), oxl_laws_of_growth, NULL },
    OXL_FIELD(oxt_pool_values, law_shape, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, law_middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_pool_values, ln_shape_stderr, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field group_fields[] = {
    OXL_FIELD(oxt_pool_group, steel, OXL_TEXT),
    OXL_FIELD(oxt_pool_group, finish, OXL_TEXT),
    { "growth", OXL_STRUCT, offsetof(oxt_pool_group, growth), NULL, oxl_growth_fields },
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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field comparison_fields[] = {
    { "model", OXL_CHOICE, offsetof(oxt_pool_comparison, model), models, NULL },
    OXL_FIELD(oxt_pool_comparison, fitted, OXL_FLAG),
    OXL_FIELD(oxt_pool_comparison, parameter_count, OXL_COUNT),
    OXL_FIELD(oxt_pool_comparison, chi_square, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, aicc, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, F, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, dof1, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, dof2, OXL_NUMBER),
    OXL_FIELD(oxt_pool_comparison, p_value, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

/* ---- lists ---- */

static int make_groups(lua_State *L)
{
    const oxl_pool *pool = lua_touserdata(L, 1);
    lua_newtable(L);
    for (size_t i = 0; i < pool->values.group_count; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        oxl_expect(L, oxt_pool_get_group(pool->pool, i, &group, &error), &error);
        oxl_push_struct(L, group_fields, &group);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

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

static int make_steels(lua_State *L)
{
    const oxl_pool *pool = lua_touserdata(L, 1);
    lua_newtable(L);
    for (size_t i = 0; i < pool->values.group_count; i++) {
        oxl_push_pool_steel(L, pool, i);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static oxt_status write_warning(const void *object, size_t index, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error)
{
    const oxl_pool *pool = object;
    return oxt_pool_warning(pool->pool, index, buffer, capacity, needed, error);
}

static int make_warnings(lua_State *L)
{
    const oxl_pool *pool = lua_touserdata(L, 1);
    oxl_push_texts(L, write_warning, pool, pool->values.warning_count);
    return 1;
}

static const oxl_made made[] = {
    { "groups", make_groups },
    { "comparison", make_comparison },
    { "steels", make_steels },
    { "warnings", make_warnings },
    { NULL, NULL },
};

static oxt_status write_report(const void *object, size_t unit, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_pool *pool = object;
    return oxt_pool_report(pool->pool, (oxt_temperature_unit)unit, buffer, capacity, needed, error);
}

static oxt_status write_json(const void *object, size_t which, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    const oxl_pool *of = object;
    (void)which;
    return oxt_pool_json(of->pool, buffer, capacity, needed, error);
}

const oxl_class oxl_pool_class = {
    .name = "oxtint.pool",
    .noun = "pool",
    .size = sizeof(oxl_pool),
    .release = release,
    .fields = pool_fields,
    .structure = offsetof(oxl_pool, values),
    .made = made,
    .json = write_json,
    .report = write_report,
};

/* ---- the function ---- */

/* Those that are not numbers are places on the stack. */
typedef struct {
    oxt_pool_options options;
    oxl_film *film;
    int model, shrink, robust, prior, names, lifted, rounding, law, progress;
} pool_arguments;

#define NUMBER(field)                                                        \
    {                                                                        \
#field, OXL_NAMED_NUMBER, offsetof(pool_arguments, options.field), 0 \
    }
#define PLACE(field)                                                \
    {                                                               \
#field, OXL_NAMED_VALUE, offsetof(pool_arguments, field), 0 \
    }

static const oxl_named pool_names[] = {
    PLACE(model),
    PLACE(shrink),
    NUMBER(between_sd),
    NUMBER(between_Q_sd_J_per_mol),
    NUMBER(scatter),
    NUMBER(thickness_uncertainty),
    NUMBER(colour_tolerance),
    NUMBER(confidence),
    { "bath_sd_K", OXL_NAMED_SPREAD, offsetof(pool_arguments, options.bath_sd_K), 0 },
    { "time_sd_s", OXL_NAMED_TIME, offsetof(pool_arguments, options.time_sd_s), 0 },
    PLACE(robust),
    PLACE(prior),
    PLACE(names),
    PLACE(lifted),
    PLACE(rounding),
    PLACE(law),
    NUMBER(law_shape),
    NUMBER(ln_shape_sd),
    NUMBER(law_middle_nm),
    { "film", OXL_NAMED_FILM, offsetof(pool_arguments, film), 0 },
    PLACE(progress),
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static void read_choices(lua_State *L, pool_arguments *given, oxt_prior *prior)
{
    oxt_pool_options *options = &given->options;
    if (given->model)
        options->model = (oxt_pool_model)oxl_choose(L, 2, given->model, "model", models);
    options->shrink = oxl_flag(L, 2, given->shrink, "shrink");
    if (given->robust)
        options->robust = (oxt_robust)oxl_choose(L, 2, given->robust, "robust", oxl_robusts);
    if (given->names)
        options->names = (oxt_names)oxl_choose(L, 2, given->names, "names", oxl_name_readings);
    if (given->lifted)
        options->lifted = (oxt_lifted)(oxl_choose(L, 2, given->lifted, "lifted", oxl_lifted) + 1);
    if (given->rounding)
        options->rounding = (oxt_rounding)oxl_choose(L, 2, given->rounding, "rounding",
                                                     oxl_roundings);
    if (given->law)
        options->law = (oxt_law)oxl_choose(L, 2, given->law, "law", oxl_laws_of_growth);
    if (given->prior) {
        oxl_read_prior(L, 2, given->prior, prior);
        options->prior = prior;
    }
}

static int run_pool(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    pool_arguments given = { .options = OXT_POOL_OPTIONS_INIT };
    oxl_watcher watcher;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, pool_names, 0, &given, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    read_choices(L, &given, &prior);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxl_pool *pool = oxl_new(L, &oxl_pool_class);
    oxl_watch(L, 2, given.progress, &watcher, &given.options.progress, &given.options.user);
    status = oxt_pool_run(&pool->pool, log->trials, film->film, &given.options, &error);
    if (watcher.raised)
        return lua_error(L);
    pool->values = (oxt_pool_values)OXT_POOL_VALUES_INIT;
    if (!status)
        status = oxt_pool_get(pool->pool, &pool->values, &error);
    if (status)
        return oxl_fail(L, status, &error);
    pool->object.open = true;
    oxl_owe(L, pool->values.row_count * 2 * sizeof(oxt_fit_row));
    return 1;
}

void oxl_open_pool(lua_State *L)
{
    static const luaL_Reg functions[] = { { "pool", run_pool }, { NULL, NULL } };
    oxl_register(L, &oxl_pool_class);
    luaL_setfuncs(L, functions, 0);
}
