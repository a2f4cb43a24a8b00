/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Does a fit predict its own coupons? Each is predicted from the others. */
#include "oxl.h"

/* ---- the object ---- */

OXL_RELEASE(release, oxl_cross_validation, validation, oxt_cross_validation_free)

static const oxl_field fields[] = {
    OXL_FIELD(oxt_cross_validation_values, coupon_count, OXL_COUNT),
    OXL_FIELD(oxt_cross_validation_values, predicted_count, OXL_COUNT),
    OXL_FIELD(oxt_cross_validation_values, hit_count, OXL_COUNT),
    OXL_FIELD(oxt_cross_validation_values, expected_hits, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_values, hits_low, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_values, hits_high, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_values, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_values, by_bath, OXL_FLAG),
    { "unit", OXL_CHOICE, offsetof(oxt_cross_validation_values, unit), .choices = oxl_units },
    OXL_END,
};

static const oxl_field row_fields[] = {
    OXL_FIELD(oxt_cross_validation_row, trial, OXL_PLACE),
    OXL_FIELD(oxt_cross_validation_row, line, OXL_COUNT),
    OXL_FIELD(oxt_cross_validation_row, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, time_s, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, seen, OXL_TEXT),
    OXL_FIELD(oxt_cross_validation_row, observed_nm, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, predicted, OXL_FLAG),
    OXL_FIELD(oxt_cross_validation_row, predicted_nm, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, colour, OXL_TEXT),
    OXL_FIELD(oxt_cross_validation_row, chance, OXL_NUMBER),
    OXL_FIELD(oxt_cross_validation_row, hit, OXL_FLAG),
    OXL_FIELD(oxt_cross_validation_row, reason, OXL_TEXT),
    OXL_END,
};

OXL_ITEM(push_row, oxl_cross_validation, validation, oxt_cross_validation_get_row, row_fields,
         oxt_cross_validation_row, OXT_CROSS_VALIDATION_ROW_INIT)

static const oxl_made made[] = {
    { "rows", .item = push_row, .count = offsetof(oxl_cross_validation, values.coupon_count) },
    { .name = NULL },
};

OXL_WRITER(write_report, oxl_cross_validation, oxt_cross_validation_report, of->validation,
           (oxt_temperature_unit)which)

const oxl_class oxl_cross_validation_class = {
    .name = "oxtint.cross_validation",
    .noun = "cross-validation",
    .size = sizeof(oxl_cross_validation),
    .release = release,
    .fields = fields,
    .structure = offsetof(oxl_cross_validation, values),
    .unit = offsetof(oxl_cross_validation, values.unit),
    .made = made,
    .report = write_report,
};

/* ---- fit:cross_validate(options) ---- */

typedef struct {
    oxt_cross_validation_options options;
    oxl_watcher watcher;
} arguments;

static const oxl_field names[] = {
    OXL_AS("by_bath", arguments, options.by_bath, OXL_FLAG),
    OXL_AS("confidence", arguments, options.confidence, OXL_NUMBER),
    OXL_AS("threads", arguments, options.threads, OXL_INT),
    { "progress", OXL_OTHER, offsetof(arguments, watcher), .read = oxl_read_progress },
    OXL_END,
};

int oxl_fit_cross_validate(lua_State *L)
{
    const oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    arguments given = { .options = OXT_CROSS_VALIDATION_OPTIONS_INIT };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, names, &given, &error);
    oxl_cross_validation *object = oxl_new(L, &oxl_cross_validation_class);
    object->values = (oxt_cross_validation_values)OXT_CROSS_VALIDATION_VALUES_INIT;
    oxl_watch(&given.watcher, &given.options.progress, &given.options.user);
    oxt_status status = oxt_cross_validation_run(&object->validation, fit->fit, &given.options,
                                                 &error);
    if (given.watcher.raised)
        return lua_error(L);
    if (!status)
        status = oxt_cross_validation_get(object->validation, &object->values, &error);
    return oxl_give_object(L, status, &object->object, &error);
}
