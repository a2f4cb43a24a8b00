/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trials -> growth constants. */
#include <math.h>
#include <string.h>

#include "oxl.h"

/* ---- the object ---- */

OXL_RELEASE(release, oxl_fit, fit, oxt_fit_free)

static const oxl_field fit_fields[] = {
    { "growth", OXL_STRUCT, offsetof(oxt_fit_values, growth), NULL, oxl_growth_fields },
    { "k_ref_nm2_per_s", OXL_NUMBER, offsetof(oxt_fit_values, growth.k_ref_nm2_per_s), NULL, NULL },
    { "T_ref_K", OXL_NUMBER, offsetof(oxt_fit_values, growth.T_ref_K), NULL, NULL },
    { "Q_J_per_mol", OXL_NUMBER, offsetof(oxt_fit_values, growth.Q_J_per_mol), NULL, NULL },
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
    { "law_shape", OXL_NUMBER, offsetof(oxt_fit_values, growth.shape), NULL, NULL },
    { "law_middle_nm", OXL_NUMBER, offsetof(oxt_fit_values, growth.middle_nm), NULL, NULL },
    { "initial_nm", OXL_NUMBER, offsetof(oxt_fit_values, growth.initial_nm), NULL, NULL },
    OXL_FIELD(oxt_fit_values, initial_stderr_nm2, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
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

static void get_row(lua_State *L, const oxl_fit *fit, size_t index, oxt_fit_row *row)
{
    oxt_error error = OXT_ERROR_INIT;
    oxl_expect(L, oxt_fit_get_row(fit->fit, index, row, &error), &error);
}

static int make_residuals(lua_State *L)
{
    const oxl_fit *fit = lua_touserdata(L, 1);
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    lua_newtable(L);
    for (size_t i = 0; i < fit->values.row_count; i++) {
        get_row(L, fit, i, &row);
        lua_pushnumber(L, row.residual);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static int make_rows(lua_State *L)
{
    const oxl_fit *fit = lua_touserdata(L, 1);
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    lua_newtable(L);
    for (size_t i = 0; i < fit->values.row_count; i++) {
        get_row(L, fit, i, &row);
        oxl_push_struct(L, row_fields, &row);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static oxt_status write_warning(const void *object, size_t index, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error)
{
    const oxl_fit *fit = object;
    return oxt_fit_warning(fit->fit, index, buffer, capacity, needed, error);
}

static int make_warnings(lua_State *L)
{
    const oxl_fit *fit = lua_touserdata(L, 1);
    oxl_push_texts(L, write_warning, fit, fit->values.warning_count);
    return 1;
}

static const oxl_made made[] = {
    { "covariance", make_covariance },
    { "stderr", make_stderr },
    { "residuals", make_residuals },
    { "rows", make_rows },
    { "warnings", make_warnings },
    { "steel", oxl_fit_steel },
    { NULL, NULL },
};

/* ---- methods ---- */

static oxt_status write_report(const void *object, size_t unit, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_fit *fit = object;
    return oxt_fit_report(fit->fit, (oxt_temperature_unit)unit, buffer, capacity, needed, error);
}

static const luaL_Reg methods[] = {
    { "cross_validate", oxl_fit_cross_validate },
    { "laws", oxl_fit_laws },
    { "drift", oxl_fit_drift },
    { "profile", oxl_fit_profile },
    { "bootstrap", oxl_fit_bootstrap },
    { NULL, NULL },
};

static oxt_status write_json(const void *object, size_t which, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    const oxl_fit *of = object;
    (void)which;
    return oxt_fit_json(of->fit, buffer, capacity, needed, error);
}

const oxl_class oxl_fit_class = {
    .name = "oxtint.fit",
    .noun = "fit",
    .size = sizeof(oxl_fit),
    .release = release,
    .methods = methods,
    .fields = fit_fields,
    .structure = offsetof(oxl_fit, values),
    .made = made,
    .json = write_json,
    .report = write_report,
};

/* ---- the function ---- */

/* The choices are places on the stack of their names, and of the table of the prior. */
typedef struct {
    oxt_fit_options options;
    oxl_film *film;
    int errors_in_variables, robust, prior, names, lifted, rounding, law, with_initial, progress;
    int threads; /* of fit_each alone */
    bool best;   /* the law that the trials show */
} fit_arguments;

#define FIT_NAMES                                                                                  \
    { "steel", OXL_NAMED_STRING, offsetof(fit_arguments, options.steel), 0 },                      \
        { "finish", OXL_NAMED_STRING, offsetof(fit_arguments, options.finish), 0 },                \
        { "Q_J_per_mol", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.Q_J_per_mol), 0 },      \
        { "Q_stderr_J_per_mol", OXL_NAMED_NUMBER,                                                  \
          offsetof(fit_arguments, options.Q_stderr_J_per_mol), 0 },                                \
        { "scatter", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.scatter), 0 },              \
        { "thickness_uncertainty", OXL_NAMED_NUMBER,                                               \
          offsetof(fit_arguments, options.thickness_uncertainty), 0 },                             \
        { "colour_tolerance", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.colour_tolerance), \
          0 },                                                                                     \
        { "confidence", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.confidence), 0 },        \
        { "bath_sd_K", OXL_NAMED_SPREAD, offsetof(fit_arguments, options.bath_sd_K), 0 },          \
        { "time_sd_s", OXL_NAMED_TIME, offsetof(fit_arguments, options.time_sd_s), 0 },            \
        { "errors_in_variables", OXL_NAMED_VALUE, offsetof(fit_arguments, errors_in_variables),    \
          0 },                                                                                     \
        { "robust", OXL_NAMED_VALUE, offsetof(fit_arguments, robust), 0 },                         \
        { "names", OXL_NAMED_VALUE, offsetof(fit_arguments, names), 0 },                           \
        { "lifted", OXL_NAMED_VALUE, offsetof(fit_arguments, lifted), 0 },                         \
        { "rounding", OXL_NAMED_VALUE, offsetof(fit_arguments, rounding), 0 },                     \
        { "reader_sd", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.reader_sd), 0 },          \
        { "law", OXL_NAMED_VALUE, offsetof(fit_arguments, law), 0 },                               \
        { "law_shape", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.law_shape), 0 },          \
        { "ln_shape_sd", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.ln_shape_sd), 0 },      \
        { "law_middle_nm", OXL_NAMED_NUMBER, offsetof(fit_arguments, options.law_middle_nm), 0 },  \
        { "with_initial", OXL_NAMED_VALUE, offsetof(fit_arguments, with_initial), 0 },             \
        { "prior", OXL_NAMED_VALUE, offsetof(fit_arguments, prior), 0 },                           \
        { "film", OXL_NAMED_FILM, offsetof(fit_arguments, film), 0 },                              \
    {                                                                                              \
        "progress", OXL_NAMED_VALUE, offsetof(fit_arguments, progress), 0                          \
    }

static const oxl_named fit_names[] = { FIT_NAMES, { NULL, OXL_NAMED_NUMBER, 0, 0 } };

static const oxl_named each_names[] = {
    FIT_NAMES,
    { "threads", OXL_NAMED_WHOLE, offsetof(fit_arguments, threads), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

const char *const oxl_robusts[] = { "none", "huber", "tukey", NULL };
const char *const oxl_roundings[] = { "nearest", "cut", "none", NULL };
const char *const oxl_name_readings[] = { "as-bands", "as-middles", NULL };

static void read_law(lua_State *L, fit_arguments *given)
{
    const char *name = lua_tostring(L, given->law);
    given->best = lua_type(L, given->law) == LUA_TSTRING && strcmp(name, "best") == 0;
    if (!given->best)
        given->options.law = (oxt_law)oxl_choose(L, 2, given->law, "law", oxl_laws_of_growth);
}

/* What the stack holds of them; `prior` is where a prior is put. */
static void read_choices(lua_State *L, fit_arguments *given, oxt_prior *prior)
{
    static const char *const ways[] = { "effective-variance", "orthogonal", NULL };
    if (given->errors_in_variables)
        given->options.errors_in_variables = (oxt_errors_in_variables)oxl_choose(
            L, 2, given->errors_in_variables, "errors_in_variables", ways);
    if (given->robust)
        given->options.robust = (oxt_robust)oxl_choose(L, 2, given->robust, "robust", oxl_robusts);
    if (given->names)
        given->options.names = (oxt_names)oxl_choose(L, 2, given->names, "names",
                                                     oxl_name_readings);
    if (given->lifted)
        given->options.lifted = (oxt_lifted)(oxl_choose(L, 2, given->lifted, "lifted", oxl_lifted) +
                                             1);
    if (given->rounding)
        given->options.rounding = (oxt_rounding)oxl_choose(L, 2, given->rounding, "rounding",
                                                           oxl_roundings);
    if (given->law)
        read_law(L, given);
    given->options.with_initial = oxl_flag(L, 2, given->with_initial, "with_initial");
    if (given->prior) {
        oxl_read_prior(L, 2, given->prior, prior);
        given->options.prior = prior;
    }
}

static int run_fit(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    fit_arguments given = { .options = OXT_FIT_OPTIONS_INIT };
    oxl_watcher watcher;
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, fit_names, 0, &given, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    read_choices(L, &given, &prior);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxl_fit *fit = oxl_new(L, &oxl_fit_class);
    oxl_watch(L, 2, given.progress, &watcher, &given.options.progress, &given.options.user);
    status = (given.best ? oxt_laws_fit : oxt_fit_run)(&fit->fit, log->trials, film->film,
                                                       &given.options, &error);
    if (watcher.raised)
        return lua_error(L);
    fit->values = (oxt_fit_values)OXT_FIT_VALUES_INIT;
    if (!status)
        status = oxt_fit_get(fit->fit, &fit->values, &error);
    if (status)
        return oxl_fail(L, status, &error);
    fit->object.open = true;
    oxl_owe(L, fit->values.row_count * 2 * sizeof(oxt_fit_row));
    return 1;
}

/* ---- many fits ---- */

typedef struct {
    oxl_object object;
    oxt_fit_each *fits;
} oxl_fits;

OXL_RELEASE(release_fits, oxl_fits, fits, oxt_fit_each_free)

/* Holds the results while they are made to columns; no script sees it. */
static const oxl_class fits_class = {
    .name = "oxtint.fits",
    .noun = "fits",
    .size = sizeof(oxl_fits),
    .release = release_fits,
};

static oxt_status write_remarks(const void *object, size_t index, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error)
{
    const oxl_fits *from = object;
    return oxt_fit_each_remarks(from->fits, index, buffer, capacity, needed, error);
}

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
    const oxl_field *numbers = fit_fields + 1; /* those behind "growth" */
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
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_error error = OXT_ERROR_INIT;
    oxl_watcher watcher;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, each_names, 0, &given, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    read_choices(L, &given, &prior);
    options.fit = &given.options;
    options.threads = given.threads;
    options.best_law = given.best;
    oxl_watch(L, 2, given.progress, &watcher, &options.progress, &options.user);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxl_fits *fits = oxl_new(L, &fits_class);
    status = oxt_fit_each_run(&fits->fits, log->trials, film->film, &options, &error);
    if (watcher.raised)
        return lua_error(L);
    if (status)
        return oxl_fail(L, status, &error);
    push_columns(L, fits);
    oxl_close(fits, &fits_class);
    return 1;
}

void oxl_open_fit(lua_State *L)
{
    static const luaL_Reg functions[] = { { "fit", run_fit },
                                          { "fit_each", run_each },
                                          { NULL, NULL } };
    oxl_register(L, &fits_class);
    oxl_register(L, &oxl_fit_class);
    luaL_setfuncs(L, functions, 0);
}
