/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The next coupons that help most. */
#include "oxl.h"

/* ---- the object ---- */

static const oxl_field coupon_fields[] = {
    OXL_FIELD(oxt_advised_coupon, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, time_s, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, label, OXL_TEXT),
    OXL_FIELD(oxt_advised_coupon, thickness_nm, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, chance, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, half_width, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, interval_ratio, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, exponent_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_advised_coupon, count, OXL_COUNT),
    OXL_FIELD(oxt_advised_coupon, cautions, OXL_CAUTIONS),
    OXL_END,
};

OXL_RELEASE(release, oxl_advice, advice, oxt_advise_free)

OXL_ITEM(push_coupon, oxl_advice, advice, oxt_advise_get, coupon_fields, oxt_advised_coupon,
         OXT_ADVISED_COUPON_INIT)

static const oxl_made made[] = {
    { "coupons", .item = push_coupon, .count = offsetof(oxl_advice, count) },
    { .name = NULL },
};

OXL_WRITER(write_report, oxl_advice, oxt_advise_report, of->advice, oxl_report_unit(which),
           oxl_report_detail(which))

OXL_WRITER(write_json, oxl_advice, oxt_advise_json, of->advice)

const oxl_class oxl_advice_class = {
    .name = "oxtint.advice",
    .noun = "advice",
    .size = sizeof(oxl_advice),
    .release = release,
    .made = made,
    .json = write_json,
    .report = write_report,
    .asked = OXL_ASK_BOTH,
    .unit = offsetof(oxl_advice, unit),
};

/* ---- the method ---- */

typedef struct {
    oxt_advise_options options;
    const oxl_film *film;
    int target, bath; /* places on the stack */
    int count;
} advice_arguments;

static const char *const criteria[] = { "dip", "constants", "law", NULL };

static const oxl_field advice_names[] = {
    OXL_FIELD(advice_arguments, target, OXL_VALUE),
    OXL_FIELD(advice_arguments, bath, OXL_VALUE),
    OXL_AS("low", advice_arguments, options.low_K, OXL_BATH),
    OXL_AS("high", advice_arguments, options.high_K, OXL_BATH),
    OXL_AS("shortest", advice_arguments, options.shortest_s, OXL_TIME),
    OXL_AS("longest", advice_arguments, options.longest_s, OXL_TIME),
    OXL_FIELD(advice_arguments, count, OXL_INT),
    { "criterion", OXL_CHOICE, offsetof(advice_arguments, options.criterion), .choices = criteria },
    OXL_AS("highest_order", advice_arguments, options.highest_order, OXL_INT),
    { "film", OXL_OBJECT, offsetof(advice_arguments, film), .class = &oxl_film_class },
    OXL_END,
};

oxt_status oxl_check_aim(lua_State *L, int target_arg, int bath_arg, const oxl_film *film,
                         oxt_advise_options *options, oxt_target *target, oxt_error *error)
{
    oxt_status status = OXT_OK;
    if (bath_arg)
        status = oxl_check_temperature(L, bath_arg, &options->target_bath_K, error);
    if (status || !target_arg)
        return status;
    options->target = target;
    return oxl_check_target(L, target_arg, film, target, error);
}

int oxl_steel_advise(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    advice_arguments given = { .options = OXT_ADVISE_OPTIONS_INIT, .count = 3 };
    oxt_target target = OXT_TARGET_INIT;
    lua_settop(L, 2);
    oxt_status status = oxl_read_named(L, 2, advice_names, &given, &error);
    const oxl_film *film = oxl_steel_film(L, given.film, 1);
    given.options.count = given.count > 0 ? (size_t)given.count : 0;
    if (!status)
        status = oxl_check_aim(L, given.target, given.bath, film, &given.options, &target, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_advice *object = oxl_new(L, &oxl_advice_class);
    object->unit = given.bath ? oxl_unit_of(L, given.bath) : OXT_UNIT_FAHRENHEIT;
    status = oxt_advise_run(&object->advice, steel->steel, film->film, &given.options, &error);
    object->count = given.options.count;
    return oxl_give_object(L, status, &object->object, &error);
}
