/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Predicted dips. */
#include <string.h>

#include "oxl.h"

/* ---- the object ---- */

static const oxl_field dip_fields[] = {
    OXL_FIELD(oxt_dip, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_dip, time_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, earliest_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, latest_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_dip, interval_low_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, interval_high_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, next_low_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, next_high_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, chance, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static int push_interval(lua_State *L, double low, double high)
{
    lua_createtable(L, 0, 2);
    lua_pushnumber(L, low);
    lua_setfield(L, -2, "low");
    lua_pushnumber(L, high);
    lua_setfield(L, -2, "high");
    return 1;
}

static int make_interval(lua_State *L)
{
    const oxl_dip *object = lua_touserdata(L, 1);
    return push_interval(L, object->dip.interval_low_s, object->dip.interval_high_s);
}

static int make_next_interval(lua_State *L)
{
    const oxl_dip *object = lua_touserdata(L, 1);
    return push_interval(L, object->dip.next_low_s, object->dip.next_high_s);
}

static int make_target(lua_State *L)
{
    const oxl_dip *object = lua_touserdata(L, 1);
    oxl_push_target(L, &object->dip.target);
    return 1;
}

void oxl_push_cautions(lua_State *L, uint32_t cautions)
{
    lua_Integer count = 0;
    lua_newtable(L);
    for (uint32_t bit = 1; bit != 0; bit <<= 1) {
        if (!(cautions & bit))
            continue;
        lua_createtable(L, 0, 2);
        lua_pushstring(L, oxt_caution_name(bit) + sizeof "OXT_CAUTION_" - 1);
        lua_setfield(L, -2, "name");
        lua_pushstring(L, oxt_caution_text(bit));
        lua_setfield(L, -2, "text");
        lua_rawseti(L, -2, ++count);
    }
}

static int make_cautions(lua_State *L)
{
    const oxl_dip *object = lua_touserdata(L, 1);
    oxl_push_cautions(L, object->dip.cautions);
    return 1;
}

static const oxl_made made[] = {
    { "interval_s", make_interval },
    { "next_interval_s", make_next_interval },
    { "target", make_target },
    { "cautions", make_cautions },
    { NULL, NULL },
};

static oxt_status write_report(const void *object, size_t unit, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_dip *of = object;
    return oxt_dip_report(&of->dip, (oxt_temperature_unit)unit, buffer, capacity, needed, error);
}

static int dip_report(lua_State *L)
{
    const oxl_dip *object = oxl_check(L, 1, &oxl_dip_class);
    oxl_push_text(L, write_report, object, oxl_check_unit(L, 2, object->unit));
    return 1;
}

static int dip_tostring(lua_State *L)
{
    lua_settop(L, 1);
    return dip_report(L);
}

static const luaL_Reg methods[] = { { "report", dip_report }, { NULL, NULL } };

const oxl_class oxl_dip_class = {
    .name = "oxtint.dip",
    .noun = "dip",
    .size = sizeof(oxl_dip),
    .methods = methods,
    .fields = dip_fields,
    .structure = offsetof(oxl_dip, dip),
    .made = made,
    .text = dip_tostring,
};

/* ---- steel:dip ---- */

typedef struct {
    oxt_dip_options options;
    oxl_film *film;
} dip_arguments;

static const oxl_named dip_names[] = {
    { "confidence", OXL_NAMED_NUMBER, offsetof(dip_arguments, options.confidence), 0 },
    { "bath_wander_K", OXL_NAMED_NUMBER, offsetof(dip_arguments, options.bath_wander_K), 0 },
    { "time_wander_s", OXL_NAMED_NUMBER, offsetof(dip_arguments, options.time_wander_s), 0 },
    { "film", OXL_NAMED_FILM, offsetof(dip_arguments, film), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

/* A report shows the bath in the scale that it was asked for in. */
oxt_temperature_unit oxl_unit_of(lua_State *L, int index)
{
    if (lua_type(L, index) == LUA_TNUMBER)
        return OXT_KELVIN;
    const char *text = lua_tostring(L, index);
    if (strpbrk(text, "fF"))
        return OXT_FAHRENHEIT;
    return strpbrk(text, "kK") ? OXT_KELVIN : OXT_CELSIUS;
}

int oxl_steel_dip(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT, of_bath = OXT_ERROR_INIT;
    dip_arguments given = { OXT_DIP_OPTIONS_INIT, NULL };
    oxt_target target = OXT_TARGET_INIT;
    double bath_K;
    lua_settop(L, 4);
    oxl_read_named(L, 4, dip_names, 0, &given, NULL, &error);
    const oxl_film *film = oxl_choose_film(L, given.film);
    oxt_status status = oxl_check_target(L, 2, film, &target, &error);
    oxt_status bath_status = oxl_check_quantity(L, 3, oxt_parse_temperature, &bath_K, &of_bath);
    if (status)
        return oxl_fail(L, status, &error);
    if (bath_status)
        return oxl_fail(L, bath_status, &of_bath);
    oxl_dip *object = oxl_new(L, &oxl_dip_class);
    object->dip = (oxt_dip)OXT_DIP_INIT;
    object->unit = oxl_unit_of(L, 3);
    status = oxt_dip_predict(steel->steel, &target, bath_K, &given.options, &object->dip, &error);
    object->object.open = !status;
    return status ? oxl_fail(L, status, &error) : 1;
}

void oxl_open_dip(lua_State *L)
{
    oxl_register(L, &oxl_dip_class);
}
