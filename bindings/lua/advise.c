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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

OXL_RELEASE(release, oxl_advice, advice, oxt_advise_free)

static int make_coupons(lua_State *L)
{
    const oxl_advice *of = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    lua_newtable(L);
    for (size_t i = 0; i < of->count; i++) {
        oxl_expect(L, oxt_advise_get(of->advice, i, &coupon, &error), &error);
        oxl_push_struct(L, coupon_fields, &coupon);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static const oxl_made made[] = { { "coupons", make_coupons }, { NULL, NULL } };

static oxt_status write_report(const void *object, size_t which, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_advice *of = object;
    return oxt_advise_report(of->advice, oxl_report_unit(which), oxl_report_detail(which), buffer,
                             capacity, needed, error);
}

static oxt_status write_json(const void *object, size_t which, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    const oxl_advice *of = object;
    (void)which;
    return oxt_advise_json(of->advice, buffer, capacity, needed, error);
}

const oxl_class oxl_advice_class = {
    .name = "oxtint.advice",
    .noun = "advice",
    .size = sizeof(oxl_advice),
    .release = release,
    .made = made,
    .json = write_json,
    .report = write_report,
    .unit = offsetof(oxl_advice, unit),
};

/* ---- the method ---- */

typedef struct {
    oxt_advise_options options;
    oxl_film *film;
    int target, bath, criterion; /* places on the stack */
    int count;
} advice_arguments;

static const oxl_named advice_names[] = {
    { "target", OXL_NAMED_VALUE, offsetof(advice_arguments, target), 0 },
    { "bath", OXL_NAMED_VALUE, offsetof(advice_arguments, bath), 0 },
    { "low", OXL_NAMED_BATH, offsetof(advice_arguments, options.low_K), 0 },
    { "high", OXL_NAMED_BATH, offsetof(advice_arguments, options.high_K), 0 },
    { "shortest", OXL_NAMED_TIME, offsetof(advice_arguments, options.shortest_s), 0 },
    { "longest", OXL_NAMED_TIME, offsetof(advice_arguments, options.longest_s), 0 },
    { "count", OXL_NAMED_WHOLE, offsetof(advice_arguments, count), 0 },
    { "criterion", OXL_NAMED_VALUE, offsetof(advice_arguments, criterion), 0 },
    { "highest_order", OXL_NAMED_WHOLE, offsetof(advice_arguments, options.highest_order), 0 },
    { "film", OXL_NAMED_FILM, offsetof(advice_arguments, film), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static const char *const criteria[] = { "dip", "constants", "law", NULL };

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

static oxt_status read_advice(lua_State *L, advice_arguments *given, oxt_target *target,
                              const oxl_film **film, oxt_error *error)
{
    oxt_status status = oxl_read_named(L, 2, advice_names, 0, given, NULL, error);
    if (given->criterion)
        given->options.criterion = (oxt_criterion)oxl_choose(L, 2, given->criterion, "criterion",
                                                             criteria);
    given->options.count = given->count > 0 ? (size_t)given->count : 0;
    *film = oxl_steel_film(L, given->film, 1);
    return status ? status
                  : oxl_check_aim(L, given->target, given->bath, *film, &given->options, target,
                                  error);
}

int oxl_steel_advise(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    advice_arguments given = { .options = OXT_ADVISE_OPTIONS_INIT, .count = 3 };
    oxt_target target = OXT_TARGET_INIT;
    const oxl_film *film;
    lua_settop(L, 2);
    oxt_status status = read_advice(L, &given, &target, &film, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_advice *object = oxl_new(L, &oxl_advice_class);
    object->unit = given.bath ? oxl_unit_of(L, given.bath) : OXT_UNIT_FAHRENHEIT;
    status = oxt_advise_run(&object->advice, steel->steel, film->film, &given.options, &error);
    object->count = given.options.count;
    object->object.open = !status;
    return status ? oxl_fail(L, status, &error) : 1;
}

void oxl_open_advise(lua_State *L)
{
    oxl_register(L, &oxl_advice_class);
}
