/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How uncertain a fit is: profiles and the bootstrap. */
#include "oxl.h"

/* ---- what an interval is of ---- */

typedef struct {
    double bath_K, thickness_nm, confidence;
    oxt_interval_quantity what;
    int choice; /* of scales or methods */
    oxl_watcher watcher;
} interval_arguments;

static const oxl_field interval_names[] = {
    OXL_AS("bath", interval_arguments, bath_K, OXL_BATH),
    OXL_FIELD(interval_arguments, confidence, OXL_NUMBER),
    OXL_END,
};

/* Arguments 2 and 3: what it is of, and named values. The library refuses a bath of 0. */
static oxt_status read_interval(lua_State *L, const oxl_field *names, interval_arguments *given,
                                oxt_error *error)
{
    static const char *const subjects[] = { "ln-k", "Q", "dip-time", "shape", NULL };
    *given = (interval_arguments){ .confidence = 0.95 };
    given->what = (oxt_interval_quantity)oxl_choose(L, 2, 2, "what", subjects);
    lua_settop(L, 3);
    return oxl_read_named(L, 3, names, given, error);
}

int oxl_fit_profile(lua_State *L)
{
    static const char *const scales[] = { "stated", "reduced", NULL };
    static const oxl_field names[] = {
        OXL_ALL(interval_names),
        { "scale", OXL_CHOICE, offsetof(interval_arguments, choice), .choices = scales },
        { "progress", OXL_OTHER, offsetof(interval_arguments, watcher), .read = oxl_read_progress },
        OXL_END,
    };
    oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    interval_arguments given;
    oxt_error error = OXT_ERROR_INIT;
    double low = 0.0, high = 0.0;
    oxt_interval_options options = OXT_INTERVAL_OPTIONS_INIT;
    oxt_status status = read_interval(L, names, &given, &error);
    options.confidence = given.confidence;
    options.scale = (oxt_interval_scale)given.choice;
    oxl_watch(&given.watcher, &options.progress, &options.user);
    if (!status)
        status = oxt_interval_profile(fit->fit, given.what, given.bath_K, &options, &low, &high,
                                      &error);
    if (given.watcher.raised)
        return lua_error(L);
    return oxl_give_two(L, status, low, high, &error);
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
    { "law", OXL_CHOICE, offsetof(oxt_bootstrap_values, law), .choices = oxl_laws_of_growth },
    OXL_FIELD(oxt_bootstrap_values, law_shape, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, law_middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, mean_ln_shape, OXL_NUMBER),
    OXL_FIELD(oxt_bootstrap_values, sd_ln_shape, OXL_NUMBER),
    { "unit", OXL_CHOICE, offsetof(oxt_bootstrap_values, unit), .choices = oxl_units },
    OXL_END,
};

OXL_WRITER(write_report, oxl_bootstrap, oxt_bootstrap_report, of->bootstrap,
           (oxt_temperature_unit)which)

static int bootstrap_interval(lua_State *L)
{
    static const char *const methods[] = { "percentile", "bias-corrected", NULL };
    static const oxl_field names[] = {
        OXL_ALL(interval_names),
        { "method", OXL_CHOICE, offsetof(interval_arguments, choice), .choices = methods },
        OXL_FIELD(interval_arguments, thickness_nm, OXL_NUMBER),
        OXL_END,
    };
    oxl_bootstrap *from = oxl_check(L, 1, &oxl_bootstrap_class);
    interval_arguments given;
    oxt_error error = OXT_ERROR_INIT;
    double low = 0.0, high = 0.0;
    oxt_status status = read_interval(L, names, &given, &error);
    if (!status)
        status = oxt_bootstrap_interval(from->bootstrap, given.what, given.bath_K,
                                        given.thickness_nm, given.confidence,
                                        (oxt_bootstrap_method)given.choice, &low, &high, &error);
    return oxl_give_two(L, status, low, high, &error);
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
    .unit = offsetof(oxl_bootstrap, values.unit),
    .report = write_report,
};

/* ---- running ---- */

typedef struct {
    oxt_bootstrap_options options;
    int replicates, random_seed;
    oxl_watcher watcher;
} bootstrap_arguments;

static const char *const kinds[] = { "pairs", "residual", NULL };

static const oxl_field bootstrap_names[] = {
    OXL_FIELD(bootstrap_arguments, replicates, OXL_INT),
    { "kind", OXL_CHOICE, offsetof(bootstrap_arguments, options.kind), .choices = kinds },
    OXL_FIELD(bootstrap_arguments, random_seed, OXL_INT),
    OXL_AS("threads", bootstrap_arguments, options.threads, OXL_INT),
    { "progress", OXL_OTHER, offsetof(bootstrap_arguments, watcher), .read = oxl_read_progress },
    OXL_END,
};

int oxl_fit_bootstrap(lua_State *L)
{
    oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    bootstrap_arguments given = { .options = OXT_BOOTSTRAP_OPTIONS_INIT };
    oxt_bootstrap_options *options = &given.options;
    oxt_error error = OXT_ERROR_INIT;
    given.replicates = (int)options->replicates;
    given.random_seed = (int)options->random_seed;
    lua_settop(L, 2);
    oxl_read_named(L, 2, bootstrap_names, &given, &error);
    options->replicates = (size_t)given.replicates;
    options->random_seed = (uint64_t)given.random_seed;
    oxl_watch(&given.watcher, &options->progress, &options->user);
    oxl_bootstrap *made = oxl_new(L, &oxl_bootstrap_class);
    oxt_status status = oxt_bootstrap_run(&made->bootstrap, fit->fit, options, &error);
    if (given.watcher.raised)
        return lua_error(L);
    made->values = (oxt_bootstrap_values)OXT_BOOTSTRAP_VALUES_INIT;
    if (!status)
        status = oxt_bootstrap_get(made->bootstrap, &made->values, 0, NULL, NULL, NULL, &error);
    oxl_owe(L, made->values.replicates * 2 * sizeof(double));
    return oxl_give_object(L, status, &made->object, &error);
}
