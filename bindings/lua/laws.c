/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is growth parabolic at all? Laws of growth compared on the trials of a fit. */
#include "oxl.h"

static const char *const verdicts[] = { "holds", "open", "contradicted", NULL };

/* ---- the object ---- */

OXL_RELEASE(release, oxl_laws, laws, oxt_laws_free)

static const oxl_field laws_fields[] = {
    { "verdict", OXL_CHOICE, offsetof(oxt_laws_values, verdict), .choices = verdicts },
    { "best", OXL_CHOICE, offsetof(oxt_laws_values, best), .choices = oxl_laws_of_growth },
    { "rival", OXL_CHOICE, offsetof(oxt_laws_values, rival), .choices = oxl_laws_of_growth },
    OXL_FIELD(oxt_laws_values, exponent, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, exponent_low, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, exponent_high, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, F, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, F_dof, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, p, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, T_ref_K, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, thinnest_nm, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, thickest_nm, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, time_ratio_half, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, time_ratio_twice, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_laws_values, row_count, OXL_COUNT),
    OXL_FIELD(oxt_laws_values, replicate_count, OXL_COUNT),
    OXL_FIELD(oxt_laws_values, Q_held, OXL_FLAG),
    OXL_FIELD(oxt_laws_values, sentence, OXL_TEXT),
    { "unit", OXL_CHOICE, offsetof(oxt_laws_values, unit), .choices = oxl_units },
    OXL_END,
};

static const oxl_field result_fields[] = {
    { "kind", OXL_CHOICE, offsetof(oxt_law_result, kind), .choices = oxl_laws_of_growth },
    OXL_FIELD(oxt_law_result, converged, OXL_FLAG),
    OXL_FIELD(oxt_law_result, parameters, OXL_COUNT),
    OXL_FIELD(oxt_law_result, k_ref, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, ln_k_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, Q_stderr_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, shape, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, shape_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, shape_low, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, shape_high, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, shape_at_limit, OXL_FLAG),
    OXL_FIELD(oxt_law_result, initial_nm, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, initial_at_zero, OXL_FLAG),
    OXL_FIELD(oxt_law_result, chi_square, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, dof, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, aicc, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, aicc_difference, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, weight, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, lack_of_fit_F, OXL_NUMBER),
    OXL_FIELD(oxt_law_result, lack_of_fit_p, OXL_NUMBER),
    OXL_END,
};

static int make_results(lua_State *L)
{
    const oxl_laws *laws = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxt_law_result result = OXT_LAW_RESULT_INIT;
    lua_newtable(L);
    for (int kind = 0; kind < OXT_LAW_COUNT; kind++) {
        oxl_expect(L, oxt_laws_get_law(laws->laws, (oxt_law)kind, &result, &error), &error);
        oxl_push_struct(L, result_fields, &result);
        lua_setfield(L, -2, oxl_laws_of_growth[kind]);
    }
    return 1;
}

static const oxl_made made[] = {
    { "results", .make = make_results },
    { .name = NULL },
};

OXL_WRITER(write_report, oxl_laws, oxt_laws_report, of->laws, (oxt_temperature_unit)which)

OXL_WRITER(write_json, oxl_laws, oxt_laws_json, of->laws)

const oxl_class oxl_laws_class = {
    .name = "oxtint.laws",
    .noun = "comparison of laws",
    .size = sizeof(oxl_laws),
    .release = release,
    .fields = laws_fields,
    .structure = offsetof(oxl_laws, values),
    .unit = offsetof(oxl_laws, values.unit),
    .made = made,
    .json = write_json,
    .report = write_report,
};

/* ---- fit:laws(options) ---- */

typedef struct {
    oxt_laws_options options;
    oxl_watcher watcher;
} laws_arguments;

static const oxl_field laws_names[] = {
    OXL_AS("with_initial", laws_arguments, options.with_initial, OXL_FLAG),
    OXL_AS("confidence", laws_arguments, options.confidence, OXL_NUMBER),
    { "progress", OXL_OTHER, offsetof(laws_arguments, watcher), .read = oxl_read_progress },
    OXL_END,
};

int oxl_fit_laws(lua_State *L)
{
    const oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    laws_arguments given = { .options = OXT_LAWS_OPTIONS_INIT };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, laws_names, &given, &error);
    oxl_laws *laws = oxl_new(L, &oxl_laws_class);
    laws->values = (oxt_laws_values)OXT_LAWS_VALUES_INIT;
    oxl_watch(&given.watcher, &given.options.progress, &given.options.user);
    oxt_status status = oxt_laws_run(&laws->laws, fit->fit, &given.options, &error);
    if (given.watcher.raised)
        return lua_error(L);
    if (!status)
        status = oxt_laws_get(laws->laws, &laws->values, &error);
    return oxl_give_object(L, status, &laws->object, &error);
}
