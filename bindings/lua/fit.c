/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials -> growth constants. */
#include <math.h>
#include <string.h>

#include "oxl.h"

/* ---- the object ---- */

OXL_RELEASE(release, oxl_fit, fit, oxt_fit_free)

static const oxl_field fit_fields[] = {
    { "growth", OXL_STRUCT, offsetof(oxt_fit_values, growth), .inner = oxl_growth_fields },
    { "unit", OXL_CHOICE, offsetof(oxt_fit_values, unit), .choices = oxl_units },
    OXL_AS("k_ref_nm2_per_s", oxt_fit_values, growth.k_ref_nm2_per_s, OXL_NUMBER),
    OXL_AS("T_ref_K", oxt_fit_values, growth.T_ref_K, OXL_NUMBER),
    OXL_AS("Q_J_per_mol", oxt_fit_values, growth.Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, ln_k_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, Q_stderr_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, variance_ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, covariance_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, variance_Q_J2_per_mol2, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, correlation, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, k_ref_low_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, k_ref_high_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, Q_low_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, Q_high_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, scatter, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, chi_square, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, dof, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, scatter_dof, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, time_exponent, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, time_exponent_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, reduced_chi_square, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, r_squared, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, aicc, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, condition, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, row_count, OXL_COUNT),
    OXL_FIELD(oxt_fit_values, used_count, OXL_COUNT),
    OXL_FIELD(oxt_fit_values, Q_held, OXL_FLAG),
    OXL_FIELD(oxt_fit_values, prior_share_Q, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, prior_share_ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, warning_count, OXL_COUNT),
    OXL_FIELD(oxt_fit_values, day_count, OXL_COUNT),
    OXL_FIELD(oxt_fit_values, day_sd, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, reader_offset, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, reader_offset_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, ln_shape_stderr, OXL_NUMBER),
    OXL_AS("law_shape", oxt_fit_values, growth.shape, OXL_NUMBER),
    OXL_AS("law_middle_nm", oxt_fit_values, growth.middle_nm, OXL_NUMBER),
    OXL_AS("initial_nm", oxt_fit_values, growth.initial_nm, OXL_NUMBER),
    OXL_FIELD(oxt_fit_values, initial_stderr_nm2, OXL_NUMBER),
    OXL_END,
};

static const oxl_field row_fields[] = {
    OXL_FIELD(oxt_fit_row, trial, OXL_PLACE),
    OXL_FIELD(oxt_fit_row, line, OXL_COUNT),
    OXL_FIELD(oxt_fit_row, used, OXL_FLAG),
    OXL_FIELD(oxt_fit_row, order, OXL_INT),
    OXL_FIELD(oxt_fit_row, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, observed_nm, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, predicted_nm, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, residual, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, sigma, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, studentized, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, leverage, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, reason, OXL_TEXT),
    OXL_FIELD(oxt_fit_row, weight, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, cooks_distance, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, dip_change, OXL_NUMBER),
    OXL_FIELD(oxt_fit_row, equivalent_s, OXL_NUMBER),
    OXL_END,
};

/* ---- fields made from several numbers ---- */

static void push_pair(lua_State *L, double first, double second)
{
    lua_createtable(L, 2, 0);
    lua_pushnumber(L, first);
    lua_rawseti(L, -2, 1);
    lua_pushnumber(L, second);
    lua_rawseti(L, -2, 2);
}

static int make_covariance(lua_State *L)
{
    const oxl_fit *fit = lua_touserdata(L, 1);
    double across = fit->values.covariance_J_per_mol;
    lua_createtable(L, 2, 0);
    push_pair(L, fit->values.variance_ln_k, across);
    lua_rawseti(L, -2, 1);
    push_pair(L, across, fit->values.variance_Q_J2_per_mol2);
    lua_rawseti(L, -2, 2);
    return 1;
}

static int make_stderr(lua_State *L)
{
    const oxl_fit *fit = lua_touserdata(L, 1);
    lua_createtable(L, 0, 3);
    lua_pushnumber(L, fit->values.ln_k_stderr);
    lua_setfield(L, -2, "ln_k_ref");
    lua_pushnumber(L, fit->values.growth.k_ref_nm2_per_s * fit->values.ln_k_stderr);
    lua_setfield(L, -2, "k_ref_nm2_per_s");
    lua_pushnumber(L, fit->values.Q_stderr_J_per_mol);
    lua_setfield(L, -2, "Q_J_per_mol");
    return 1;
}

static void push_residual(lua_State *L, const void *object, size_t index)
{
    const oxl_fit *fit = object;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    oxt_error error = OXT_ERROR_INIT;
    oxl_expect(L, oxt_fit_get_row(fit->fit, index, &row, &error), &error);
    lua_pushnumber(L, row.residual);
}

OXL_ITEM(push_row, oxl_fit, fit, oxt_fit_get_row, row_fields, oxt_fit_row, OXT_FIT_ROW_INIT)

OXL_WRITER(write_warning, oxl_fit, oxt_fit_warning, of->fit, which)

static const oxl_made made[] = {
    { "covariance", .make = make_covariance },
    { "stderr", .make = make_stderr },
    { "residuals", .item = push_residual, .count = offsetof(oxl_fit, values.row_count) },
    { "rows", .item = push_row, .count = offsetof(oxl_fit, values.row_count) },
    { "warnings", .text = write_warning, .count = offsetof(oxl_fit, values.warning_count) },
    { "steel", .make = oxl_fit_steel },
    { .name = NULL },
};

/* ---- methods ---- */

OXL_WRITER(write_report, oxl_fit, oxt_fit_report, of->fit, (oxt_temperature_unit)which)

static const luaL_Reg methods[] = {
    { "cross_validate", oxl_fit_cross_validate },
    { "laws", oxl_fit_laws },
    { "drift", oxl_fit_drift },
    { "profile", oxl_fit_profile },
    { "bootstrap", oxl_fit_bootstrap },
    { NULL, NULL },
};

OXL_WRITER(write_json, oxl_fit, oxt_fit_json, of->fit)

const oxl_class oxl_fit_class = {
    .name = "oxtint.fit",
    .noun = "fit",
    .size = sizeof(oxl_fit),
    .release = release,
    .methods = methods,
    .fields = fit_fields,
    .structure = offsetof(oxl_fit, values),
    .unit = offsetof(oxl_fit, values.unit),
    .made = made,
    .json = write_json,
    .report = write_report,
};

/* ---- the function ---- */

typedef struct {
    oxt_fit_options options;
    const oxl_film *film;
    oxl_watcher watcher;
    int threads; /* of fit_each alone */
    int law;     /* OXT_LAW_COUNT: the one that the trials show */
} fit_arguments;

const char *const oxl_robusts[] = { "none", "huber", "tukey", NULL };
const char *const oxl_roundings[] = { "nearest", "cut", "none", NULL };
const char *const oxl_name_readings[] = { "as-bands", "as-middles", NULL };
static const char *const ways[] = { "effective-variance", "orthogonal", NULL };

static oxt_status read_law(lua_State *L, int arg, const char *name, void *into, oxt_error *error)
{
    bool best = lua_type(L, -1) == LUA_TSTRING && strcmp(lua_tostring(L, -1), "best") == 0;
    (void)error;
    *(int *)into = best ? OXT_LAW_COUNT
                        : oxl_choose(L, arg, lua_gettop(L), name, oxl_laws_of_growth);
    return OXT_OK;
}

#define OPTION(member, kind) OXL_AS(#member, fit_arguments, options.member, kind)
#define CHOICE(member, list)                                                          \
    {                                                                                 \
#member, OXL_CHOICE, offsetof(fit_arguments, options.member), .choices = list \
    }

static const oxl_field fit_names[] = {
    OPTION(steel, OXL_STRING),
    OPTION(finish, OXL_STRING),
    OPTION(Q_J_per_mol, OXL_NUMBER),
    OPTION(Q_stderr_J_per_mol, OXL_NUMBER),
    OPTION(scatter, OXL_NUMBER),
    OPTION(thickness_uncertainty, OXL_NUMBER),
    OPTION(colour_tolerance, OXL_NUMBER),
    OPTION(confidence, OXL_NUMBER),
    OPTION(bath_sd_K, OXL_SPREAD),
    OPTION(time_sd_s, OXL_TIME),
    CHOICE(errors_in_variables, ways),
    CHOICE(robust, oxl_robusts),
    CHOICE(names, oxl_name_readings),
    { "lifted", OXL_CHOICE, offsetof(fit_arguments, options.lifted), .choices = oxl_lifted,
      .first = OXT_LIFTED_FIRST },
    CHOICE(rounding, oxl_roundings),
    OPTION(reader_sd, OXL_NUMBER),
    { "law", OXL_OTHER, offsetof(fit_arguments, law), .read = read_law },
    OPTION(law_shape, OXL_NUMBER),
    OPTION(ln_shape_sd, OXL_NUMBER),
    OPTION(law_middle_nm, OXL_NUMBER),
    OPTION(with_initial, OXL_FLAG),
    { "prior", OXL_OTHER, offsetof(fit_arguments, options.prior), .read = oxl_read_prior },
    { "film", OXL_OBJECT, offsetof(fit_arguments, film), .class = &oxl_film_class },
    { "progress", OXL_OTHER, offsetof(fit_arguments, watcher), .read = oxl_read_progress },
    OXL_END,
};

static const oxl_field each_names[] = {
    OXL_ALL(fit_names),
    OXL_FIELD(fit_arguments, threads, OXL_INT),
    OXL_END,
};

/* True for the law that the trials show. */
static bool take_law(fit_arguments *given)
{
    if (given->law != OXT_LAW_COUNT)
        given->options.law = (oxt_law)given->law;
    return given->law == OXT_LAW_COUNT;
}

static int run_fit(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    fit_arguments given = { .options = OXT_FIT_OPTIONS_INIT };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, fit_names, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxl_fit *fit = oxl_new(L, &oxl_fit_class);
    oxl_watch(&given.watcher, &given.options.progress, &given.options.user);
    status = (take_law(&given) ? oxt_laws_fit : oxt_fit_run)(&fit->fit, log->trials, film->film,
                                                             &given.options, &error);
    if (given.watcher.raised)
        return lua_error(L);
    fit->values = (oxt_fit_values)OXT_FIT_VALUES_INIT;
    if (!status)
        status = oxt_fit_get(fit->fit, &fit->values, &error);
    oxl_owe(L, fit->values.row_count * 2 * sizeof(oxt_fit_row));
    return oxl_give_object(L, status, &fit->object, &error);
}

/* ---- many fits ---- */

typedef struct {
    oxl_object object;
    oxt_fit_each *fits;
} oxl_fits;

OXL_RELEASE(release_fits, oxl_fits, fits, oxt_fit_each_free)

/* Holds the results while they are made to columns; no script sees it. */
const oxl_class oxl_fits_class = {
    .name = "oxtint.fits",
    .noun = "fits",
    .size = sizeof(oxl_fits),
    .release = release_fits,
};

OXL_WRITER(write_remarks, oxl_fits, oxt_fit_each_remarks, of->fits, which)

static void push_group(lua_State *L, const oxl_fits *from, size_t index,
                       const oxt_fit_each_group *group, oxt_law law)
{
    lua_pushstring(L, group->steel);
    lua_pushstring(L, group->finish);
    lua_pushstring(L, oxt_status_name(group->status) + strlen("OXT_"));
    oxl_push_text(L, write_remarks, from, index);
    lua_pushnumber(L, (lua_Number)group->trial_count);
    lua_pushstring(L, oxl_laws_of_growth[law]);
}

/* A number, also where the field is a count; NaN where there is no fit. */
static void push_value(lua_State *L, const oxl_field *field, const oxt_fit_values *values,
                       bool fitted)
{
    oxl_push_field(L, field, values);
    if (!fitted || lua_isboolean(L, -1)) {
        lua_Number number = fitted ? lua_toboolean(L, -1) : (lua_Number)NAN;
        lua_pop(L, 1);
        lua_pushnumber(L, number);
    }
}

/* A list for each name, filled group by group: they lie on the stack side by side. */
static void push_columns(lua_State *L, const oxl_fits *from)
{
    static const char *const names[] = { "steel",   "finish",      "status",
                                         "remarks", "trial_count", "law" };
    enum { GROUP = sizeof names / sizeof *names };
    const oxl_field *numbers = fit_fields + 2; /* those behind "growth" and "unit" */
    int first = lua_gettop(L) + 1, count = GROUP;
    for (const oxl_field *field = numbers; field->name; field++)
        count++;
    luaL_checkstack(L, count + GROUP + 2, NULL);
    for (int i = 0; i < count; i++)
        lua_createtable(L, (int)oxt_fit_each_count(from->fits, NULL), 0);
    for (size_t i = 0; i < oxt_fit_each_count(from->fits, NULL); i++) {
        oxt_fit_each_group group = OXT_FIT_EACH_GROUP_INIT;
        oxt_fit_values values = OXT_FIT_VALUES_INIT;
        oxt_error error = OXT_ERROR_INIT;
        oxl_expect(L, oxt_fit_each_get(from->fits, i, &group, &values, &error), &error);
        push_group(L, from, i, &group, values.growth.law);
        for (int j = GROUP - 1; j >= 0; j--)
            lua_rawseti(L, first + j, (lua_Integer)i + 1);
        for (int j = GROUP; j < count; j++) {
            push_value(L, &numbers[j - GROUP], &values, group.status == OXT_OK);
            lua_rawseti(L, first + j, (lua_Integer)i + 1);
        }
    }
    lua_createtable(L, 0, count);
    lua_insert(L, first);
    for (int j = count - 1; j >= 0; j--)
        lua_setfield(L, first, j < GROUP ? names[j] : numbers[j - GROUP].name);
}

/* fit_each(log, options): columns, a row for each steel and finish. */
static int run_each(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    fit_arguments given = { .options = OXT_FIT_OPTIONS_INIT };
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, each_names, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    options.fit = &given.options;
    options.threads = given.threads;
    options.best_law = take_law(&given);
    oxl_watch(&given.watcher, &options.progress, &options.user);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxl_fits *fits = oxl_new(L, &oxl_fits_class);
    status = oxt_fit_each_run(&fits->fits, log->trials, film->film, &options, &error);
    if (given.watcher.raised)
        return lua_error(L);
    if (status)
        return oxl_fail(L, status, &error);
    push_columns(L, fits);
    oxl_close(fits, &oxl_fits_class);
    return 1;
}

const luaL_Reg oxl_fit_functions[] = { { "fit", run_fit },
                                       { "fit_each", run_each },
                                       { NULL, NULL } };
