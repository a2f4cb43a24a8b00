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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static int make_rows(lua_State *L)
{
    const oxl_cross_validation *from = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxt_cross_validation_row row = OXT_CROSS_VALIDATION_ROW_INIT;
    lua_createtable(L, (int)from->values.coupon_count, 0);
    for (size_t i = 0; i < from->values.coupon_count; i++) {
        oxl_expect(L, oxt_cross_validation_get_row(from->validation, i, &row, &error), &error);
        oxl_push_struct(L, row_fields, &row);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static const oxl_made made[] = { { "rows", make_rows }, { NULL, NULL } };

static oxt_status write_report(const void *object, size_t unit, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_cross_validation *from = object;
    return oxt_cross_validation_report(from->validation, (oxt_temperature_unit)unit, buffer,
                                       capacity, needed, error);
}

const oxl_class oxl_cross_validation_class = {
    .name = "oxtint.cross_validation",
    .noun = "cross-validation",
    .size = sizeof(oxl_cross_validation),
    .release = release,
    .fields = fields,
    .structure = offsetof(oxl_cross_validation, values),
    .made = made,
    .report = write_report,
};

/* ---- fit:cross_validate(options) ---- */

/* `by_bath` and `progress` are places on the stack. */
typedef struct {
    oxt_cross_validation_options options;
    int by_bath, progress;
} arguments;

static const oxl_named names[] = {
    { "by_bath", OXL_NAMED_VALUE, offsetof(arguments, by_bath), 0 },
    { "confidence", OXL_NAMED_NUMBER, offsetof(arguments, options.confidence), 0 },
    { "threads", OXL_NAMED_WHOLE, offsetof(arguments, options.threads), 0 },
    { "progress", OXL_NAMED_VALUE, offsetof(arguments, progress), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

int oxl_fit_cross_validate(lua_State *L)
{
    const oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    arguments given = { OXT_CROSS_VALIDATION_OPTIONS_INIT, 0, 0 };
    oxl_watcher watcher;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, names, 0, &given, NULL, &error);
    given.options.by_bath = oxl_flag(L, 2, given.by_bath, "by_bath");
    oxl_cross_validation *object = oxl_new(L, &oxl_cross_validation_class);
    object->values = (oxt_cross_validation_values)OXT_CROSS_VALIDATION_VALUES_INIT;
    oxl_watch(L, 2, given.progress, &watcher, &given.options.progress, &given.options.user);
    oxt_status status = oxt_cross_validation_run(&object->validation, fit->fit, &given.options,
                                                 &error);
    if (watcher.raised)
        return lua_error(L);
    if (!status)
        status = oxt_cross_validation_get(object->validation, &object->values, &error);
    if (status)
        return oxl_fail(L, status, &error);
    object->object.open = true;
    return 1;
}

void oxl_open_cross_validation(lua_State *L)
{
    oxl_register(L, &oxl_cross_validation_class);
}
