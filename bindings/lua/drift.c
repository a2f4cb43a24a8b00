/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Has the rate changed in the course of a log? */
#include "oxl.h"

static const oxl_field drift_fields[] = {
    OXL_FIELD(oxt_drift, called, OXL_FLAG),
    OXL_FIELD(oxt_drift, coupon_count, OXL_COUNT),
    OXL_FIELD(oxt_drift, since, OXL_PLACE),
    OXL_FIELD(oxt_drift, line, OXL_COUNT),
    OXL_FIELD(oxt_drift, after_count, OXL_COUNT),
    OXL_FIELD(oxt_drift, rate_factor, OXL_NUMBER),
    OXL_FIELD(oxt_drift, rate_factor_low, OXL_NUMBER),
    OXL_FIELD(oxt_drift, rate_factor_high, OXL_NUMBER),
    OXL_FIELD(oxt_drift, anchor_factor, OXL_NUMBER),
    OXL_FIELD(oxt_drift, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_drift, statistic, OXL_NUMBER),
    OXL_FIELD(oxt_drift, limit, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static oxt_status write_report(const void *object, size_t which, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_drift *of = object;
    return oxt_drift_report(&of->drift, (oxt_caution_detail)which, buffer, capacity, needed, error);
}

static int drift_report(lua_State *L)
{
    size_t detail = (size_t)luaL_checkoption(L, 2, "brief", oxl_details);
    oxl_push_text(L, write_report, oxl_check(L, 1, &oxl_drift_class), detail);
    return 1;
}

static int drift_tostring(lua_State *L)
{
    lua_settop(L, 1);
    return drift_report(L);
}

static int make_cautions(lua_State *L)
{
    const oxl_drift *of = lua_touserdata(L, 1);
    oxl_push_cautions(L, of->drift.cautions);
    return 1;
}

static const oxl_made made[] = { { "cautions", make_cautions }, { NULL, NULL } };

static const luaL_Reg methods[] = { { "report", drift_report }, { NULL, NULL } };

const oxl_class oxl_drift_class = {
    .name = "oxtint.drift",
    .noun = "drift",
    .size = sizeof(oxl_drift),
    .methods = methods,
    .fields = drift_fields,
    .structure = offsetof(oxl_drift, drift),
    .made = made,
    .text = drift_tostring,
};

static const oxl_named drift_names[] = {
    { "false_alarm", OXL_NAMED_NUMBER, offsetof(oxt_drift_options, false_alarm), 0 },
    { "confidence", OXL_NAMED_NUMBER, offsetof(oxt_drift_options, confidence), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

int oxl_fit_drift(lua_State *L)
{
    const oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_drift_options options = OXT_DRIFT_OPTIONS_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, drift_names, 0, &options, NULL, &error);
    oxl_drift *object = oxl_new(L, &oxl_drift_class);
    object->drift = (oxt_drift)OXT_DRIFT_INIT;
    oxt_status status = oxt_drift_find(fit->fit, &options, &object->drift, &error);
    object->object.open = !status;
    return status ? oxl_fail(L, status, &error) : 1;
}

void oxl_open_drift(lua_State *L)
{
    oxl_register(L, &oxl_drift_class);
}
