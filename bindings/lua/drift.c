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
    OXL_FIELD(oxt_drift, cautions, OXL_CAUTIONS),
    OXL_FIELD(oxt_drift, trend, OXL_FLAG),
    OXL_FIELD(oxt_drift, day_count, OXL_COUNT),
    OXL_FIELD(oxt_drift, rate_factor_per_day, OXL_NUMBER),
    OXL_FIELD(oxt_drift, trend_statistic, OXL_NUMBER),
    OXL_FIELD(oxt_drift, trend_limit, OXL_NUMBER),
    OXL_END,
};

OXL_WRITER(write_report, oxl_drift, oxt_drift_report, &of->drift, (oxt_caution_detail)which)

const oxl_class oxl_drift_class = {
    .name = "oxtint.drift",
    .noun = "drift",
    .size = sizeof(oxl_drift),
    .fields = drift_fields,
    .structure = offsetof(oxl_drift, drift),
    .report = write_report,
    .asked = OXL_ASK_DETAIL,
};

static const oxl_field drift_names[] = {
    OXL_FIELD(oxt_drift_options, false_alarm, OXL_NUMBER),
    OXL_FIELD(oxt_drift_options, confidence, OXL_NUMBER),
    OXL_END,
};

int oxl_fit_drift(lua_State *L)
{
    const oxl_fit *fit = oxl_check(L, 1, &oxl_fit_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_drift_options options = OXT_DRIFT_OPTIONS_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, drift_names, &options, &error);
    oxl_drift *object = oxl_new(L, &oxl_drift_class);
    object->drift = (oxt_drift)OXT_DRIFT_INIT;
    oxt_status status = oxt_drift_find(fit->fit, &options, &object->drift, &error);
    return oxl_give_object(L, status, &object->object, &error);
}
