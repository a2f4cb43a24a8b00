/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How uncertain a fit is: profiles and the bootstrap. */
#include "oxl.h"

/* ---- what an interval is of ---- */

typedef struct {
    double bath_K, thickness_nm, confidence;
    oxt_interval_quantity what;
    int choice;   /* of scales or methods */
    int progress; /* its place on the stack, 0 for none */
} interval_arguments;

/* Arguments 2 and 3: what it is of, and named values, among them a choice, of a profile `progress`, of a bootstrap
 * `thickness_nm`.
 * The library refuses a bath of 0. */
static oxt_status read_interval(lua_State *L, const char *name, const char *const *choices,
                                bool profile, interval_arguments *given, oxt_error *error)
{
    static const char *const subjects[] = { "ln-k", "Q", "dip-time", "shape", NULL };
    const oxl_named names[] = {
        { "bath", OXL_NAMED_BATH, offsetof(interval_arguments, bath_K), 0 },
        { "confidence", OXL_NAMED_NUMBER, offsetof(interval_arguments, confidence), 0 },
        { name, OXL_NAMED_VALUE, offsetof(interval_arguments, choice), 0 },
        profile
            ? (oxl_named){ "progress", OXL_NAMED_VALUE, offsetof(interval_arguments, progress), 0 }
            : (oxl_named){ "thickness_nm", OXL_NAMED_NUMBER,
                           offsetof(interval_arguments, thickness_nm), 0 },
        { NULL, OXL_NAMED_NUMBER, 0, 0 },
    };
    *given = (interval_arguments){ 0.0, 0.0, 0.95, OXT_INTERVAL_LN_K, 0, 0 };
    given->what = (oxt_interval_quantity)oxl_choose(L, 2, 2, "what", subjects);
    lua_settop(L, 3);
    oxt_status status = oxl_read_named(L, 3, names, 0, given, NULL, error);
    /* Its place on the stack, 0 when it was not given: the first of the choices. */
    given->choice = given->choice ? oxl_choose(L, 3, given->choice, name, choices) : 0;
    return status;
}

static int give_limits(lua_State *L, oxt_status status, double low, double high,
                       const oxt_error *error)
{
    if (status)
        return oxl_fail(L, status, error);
    lua_pushnumber(L, low);
    lua_pushnumber(L, high);
    return 2;
}

int oxl_fit_profile(lua_State *L)
{
    static const char *const scales[] = { "stated", "reduced", NULL };
    oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    interval_arguments given;
    oxt_error error = OXT_ERROR_INIT;
    double low = 0.0, high = 0.0;
    oxl_watcher watcher = { L, 0, false };
    oxt_interval_options options = OXT_INTERVAL_OPTIONS_INIT;
    oxt_status status = read_interval(L, "scale", scales, true, &given, &error);
    options.confidence = given.confidence;
    options.scale = (oxt_interval_scale)given.choice;
    if (!status) {
        oxl_watch(L, 3, given.progress, &watcher, &options.progress, &options.user);
        status = oxt_interval_profile(fit->fit, given.what, given.bath_K, &options, &low, &high,
                                      &error);
    }
    if (watcher.raised)
        return lua_error(L);
    return give_limits(L, status, low, high, &error);
}

/* ---- the object ---- */

OXL_RELEASE(release, oxl_bootstrap, bootstrap, oxt_bootstrap_free)

static const oxl_field fields[] = {
    OXL_FIELD(oxt_bootstrap_values, replicates, OXL_COUNT),
    OXL_FIELD(oxt_bootstrap_values, failed, OXL_COUNT),
    OXL_FIELD(oxt_bootstrap_values, T_ref_K, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, mean_ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, mean_Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, sd_ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, sd_Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, correlation, OXL_NUMBER),
    { "law", OXL_CHOICE, offsetof(oxt_bootstrap_values, law), oxl_laws_of_growth, NULL },
    OXL_FIELD(oxt_bootstrap_values, law_shape, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, law_middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, mean_ln_shape, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, sd_ln_shape, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static oxt_status write_report(const void *object, size_t unit, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_bootstrap *made = object;
    return oxt_bootstrap_report(made->bootstrap, (oxt_temperature_unit)unit, buffer, capacity,
                                needed, error);
}

static int bootstrap_interval(lua_State *L)
{
    static const char *const methods[] = { "percentile", "bias-corrected", NULL };
    oxl_bootstrap *from = oxl_check(L, 1, &oxl_bootstrap_class);
    interval_arguments given;
    oxt_error error = OXT_ERROR_INIT;
    double low = 0.0, high = 0.0;
    oxt_status status = read_interval(L, "method", methods, false, &given, &error);
    if (!status)
        status = oxt_bootstrap_interval(from->bootstrap, given.what, given.bath_K,
                                        given.thickness_nm, given.confidence,
                                        (oxt_bootstrap_method)given.choice, &low, &high, &error);
    return give_limits(L, status, low, high, &error);
}

/* A list of ln k_ref, one of Q, and one of the shape of the law. */
static int bootstrap_samples(lua_State *L)
{
    const oxl_bootstrap *from = oxl_check(L, 1, &oxl_bootstrap_class);
    oxt_error error = OXT_ERROR_INIT;
    size_t count = from->values.replicates;
    double *ln_k = lua_newuserdatauv(L, 3 * count * sizeof *ln_k, 0), *Q = ln_k + count,
           *shape = Q + count;
    oxl_expect(L, oxt_bootstrap_get(from->bootstrap, NULL, count, ln_k, Q, shape, &error), &error);
    oxl_push_numbers(L, ln_k, count);
    oxl_push_numbers(L, Q, count);
    oxl_push_numbers(L, shape, count);
    return 3;
}

static const luaL_Reg methods[] = { { "interval", bootstrap_interval },
                                    { "samples", bootstrap_samples },
                                    { NULL, NULL } };

const oxl_class oxl_bootstrap_class = {
    .name = "oxtint.bootstrap",
    .noun = "bootstrap",
    .size = sizeof(oxl_bootstrap),
    .release = release,
    .methods = methods,
    .fields = fields,
    .structure = offsetof(oxl_bootstrap, values),
    .report = write_report,
};

/* ---- running ---- */

/* `kind` and `progress` are places on the stack, 0 for none. */
typedef struct {
    int replicates, random_seed, threads, kind, progress;
} bootstrap_arguments;

static const oxl_named bootstrap_names[] = {
    { "replicates", OXL_NAMED_WHOLE, offsetof(bootstrap_arguments, replicates), 0 },
    { "kind", OXL_NAMED_VALUE, offsetof(bootstrap_arguments, kind), 0 },
    { "random_seed", OXL_NAMED_WHOLE, offsetof(bootstrap_arguments, random_seed), 0 },
    { "threads", OXL_NAMED_WHOLE, offsetof(bootstrap_arguments, threads), 0 },
    { "progress", OXL_NAMED_VALUE, offsetof(bootstrap_arguments, progress), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static void take_options(lua_State *L, const bootstrap_arguments *given,
                         oxt_bootstrap_options *options)
{
    static const char *const kinds[] = { "pairs", "residual", NULL };
    options->replicates = (size_t)given->replicates;
    options->random_seed = (uint64_t)given->random_seed;
    options->threads = given->threads;
    if (given->kind)
        options->kind = (oxt_bootstrap_kind)oxl_choose(L, 2, given->kind, "kind", kinds);
}

int oxl_fit_bootstrap(lua_State *L)
{
    oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
    bootstrap_arguments given = { (int)options.replicates, (int)options.random_seed, 0, 0, 0 };
    oxt_error error = OXT_ERROR_INIT;
    oxl_watcher watcher;
    lua_settop(L, 2);
    oxl_read_named(L, 2, bootstrap_names, 0, &given, NULL, &error);
    take_options(L, &given, &options);
    oxl_watch(L, 2, given.progress, &watcher, &options.progress, &options.user);
    oxl_bootstrap *made = oxl_new(L, &oxl_bootstrap_class);
    oxt_status status = oxt_bootstrap_run(&made->bootstrap, fit->fit, &options, &error);
    if (watcher.raised)
        return lua_error(L);
    made->values = (oxt_bootstrap_values)OXT_BOOTSTRAP_VALUES_INIT;
    if (!status)
        status = oxt_bootstrap_get(made->bootstrap, &made->values, 0, NULL, NULL, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    made->object.open = true;
    oxl_owe(L, made->values.replicates * 2 * sizeof(double));
    return 1;
}

void oxl_open_interval(lua_State *L)
{
    oxl_register(L, &oxl_bootstrap_class);
}
