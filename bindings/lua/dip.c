/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Predicted dips. */
#include <string.h>

#include "oxl.h"

/* ---- the object ---- */

/* In the order of oxt_path_source. */
static const char *const sources[] = { "inside", "coupon", "named" };

static const oxl_field interval_fields[] = {
    OXL_AS("low", oxt_dip, interval_low_s, OXL_NUMBER),
    OXL_AS("high", oxt_dip, interval_high_s, OXL_NUMBER),
    OXL_END,
};

static const oxl_field next_interval_fields[] = {
    OXL_AS("low", oxt_dip, next_low_s, OXL_NUMBER),
    OXL_AS("high", oxt_dip, next_high_s, OXL_NUMBER),
    OXL_END,
};

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
    OXL_FIELD(oxt_dip, lag_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, lift_growth_nm, OXL_NUMBER),
    OXL_FIELD(oxt_dip, crust_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, preheat_saves_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, initial_nm, OXL_NUMBER),
    OXL_FIELD(oxt_dip, quench_nm, OXL_NUMBER),
    OXL_FIELD(oxt_dip, part_size_m, OXL_NUMBER),
    OXL_FIELD(oxt_dip, lift_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, law_time_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, sag_K, OXL_NUMBER),
    OXL_FIELD(oxt_dip, coupon_time_s, OXL_NUMBER),
    OXL_FIELD(oxt_dip, part_text, OXL_TEXT),
    OXL_FIELD(oxt_dip, cautions, OXL_CAUTIONS),
    { "interval_s", OXL_STRUCT, .inner = interval_fields },
    { "next_interval_s", OXL_STRUCT, .inner = next_interval_fields },
    { "part_shape", OXL_CHOICE, offsetof(oxt_dip, part_shape), .choices = oxl_shapes },
    { "part_source", OXL_CHOICE, offsetof(oxt_dip, part_source), .choices = sources },
    { "lift_source", OXL_CHOICE, offsetof(oxt_dip, lift_source), .choices = sources },
    OXL_END,
};

static int make_target(lua_State *L)
{
    const oxl_dip *object = lua_touserdata(L, 1);
    oxl_push_target(L, &object->dip.target);
    return 1;
}

static const oxl_made made[] = {
    { "target", .make = make_target },
    { .name = NULL },
};

OXL_WRITER(write_report, oxl_dip, oxt_dip_report, &of->dip, oxl_report_unit(which),
           oxl_report_detail(which))

static bool is_same(lua_State *L, const void *a, const void *b)
{
    const oxl_dip *first = a, *second = b;
    (void)L;
    return oxl_is_same_struct(dip_fields, &first->dip, &second->dip) &&
           oxl_is_same_target(&first->dip.target, &second->dip.target);
}

OXL_WRITER(write_json, oxl_dip, oxt_dip_json, &of->dip)

const oxl_class oxl_dip_class = {
    .name = "oxtint.dip",
    .noun = "dip",
    .size = sizeof(oxl_dip),
    .fields = dip_fields,
    .structure = offsetof(oxl_dip, dip),
    .made = made,
    .is_same = is_same,
    .json = write_json,
    .report = write_report,
    .asked = OXL_ASK_BOTH,
    .unit = offsetof(oxl_dip, unit),
};

/* ---- steel:dip and steel:bath_for ---- */

#define OPTION(member, kind) OXL_AS(#member, oxl_dip_arguments, options.member, kind)
#define READ(member, reader)                                                            \
    {                                                                                   \
#member, OXL_OTHER, offsetof(oxl_dip_arguments, options.member), .read = reader \
    }

const oxl_field oxl_dip_part_names[] = {
    { "film", OXL_OBJECT, offsetof(oxl_dip_arguments, film), .class = &oxl_film_class },
    READ(part, oxl_read_part),
    READ(lift, oxl_read_lift),
    READ(coupon, oxl_read_part),
    READ(coupon_lift, oxl_read_lift),
    OXL_FIELD(oxl_dip_arguments, initial, OXL_VALUE),
    { "salt_bath", OXL_INSIDE, offsetof(oxl_dip_arguments, options.salt_bath),
      .class = &oxl_bath_class },
    OPTION(load_kg, OXL_NUMBER),
    OPTION(free_exponent, OXL_FLAG),
    OPTION(reader_sd, OXL_NUMBER),
    { "last_temper", OXL_OTHER, offsetof(oxl_dip_arguments, last_temper),
      .read = oxl_read_last_temper },
    OXL_END,
};

const oxl_field oxl_dip_names[] = {
    OPTION(confidence, OXL_NUMBER),
    OPTION(bath_wander_K, OXL_SPREAD),
    OPTION(time_wander_s, OXL_TIME),
    OXL_ALL(oxl_dip_part_names),
    OXL_END,
};

/* A film already there: a thickness known exactly, or whatever else may stand for a target. */
static oxt_status read_initial(lua_State *L, const oxl_film *film, oxl_dip_arguments *given,
                               oxt_error *error)
{
    if (!given->initial)
        return OXT_OK;
    given->there = (oxt_target)OXT_TARGET_INIT;
    given->options.initial = &given->there;
    if (lua_type(L, given->initial) != LUA_TNUMBER)
        return oxl_check_target(L, given->initial, film, &given->there, error);
    double nm = lua_tonumber(L, given->initial);
    return oxt_tint_target_of_thickness(nm, nm, nm, &given->there, error);
}

oxt_status oxl_take_dip(lua_State *L, int steel, oxl_dip_arguments *given, oxt_error *error)
{
    given->options.last_temper_K = given->last_temper.last_K;
    given->options.last_temper_s = given->last_temper.last_s;
    given->film = oxl_steel_film(L, given->film, steel);
    return read_initial(L, given->film, given, error);
}

/* Target and options, the second and fourth argument; four places are on the stack. */
static oxt_status read_dip(lua_State *L, oxl_dip_arguments *given, oxt_target *target,
                           oxt_error *error)
{
    *given = (oxl_dip_arguments){ .options = OXT_DIP_OPTIONS_INIT };
    oxt_status status = oxl_read_named(L, 4, oxl_dip_names, given, error);
    oxt_status taken = oxl_take_dip(L, 1, given, status ? NULL : error);
    if (!status)
        status = taken;
    oxt_status target_status = oxl_check_target(L, 2, given->film, target, status ? NULL : error);
    return status ? status : target_status;
}

/* A report shows the bath in the scale that it was asked for in. */
oxt_temperature_unit oxl_unit_of(lua_State *L, int index)
{
    if (lua_type(L, index) != LUA_TSTRING)
        return OXT_UNIT_KELVIN;
    const char *text = lua_tostring(L, index);
    if (strpbrk(text, "fF"))
        return OXT_UNIT_FAHRENHEIT;
    return strpbrk(text, "kK") ? OXT_UNIT_KELVIN : OXT_UNIT_CELSIUS;
}

oxl_dip *oxl_new_dip(lua_State *L, oxt_temperature_unit unit)
{
    oxl_dip *object = oxl_new(L, &oxl_dip_class);
    object->dip = (oxt_dip)OXT_DIP_INIT;
    object->unit = unit;
    return object;
}

int oxl_steel_dip(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT, of_bath = OXT_ERROR_INIT;
    oxl_dip_arguments given;
    oxt_target target = OXT_TARGET_INIT;
    double bath_K = 0.0;
    lua_settop(L, 4);
    oxt_status status = read_dip(L, &given, &target, &error);
    oxt_status bath_status = oxl_check_temperature(L, 3, &bath_K, &of_bath);
    if (status)
        return oxl_fail(L, status, &error);
    if (bath_status)
        return oxl_fail(L, bath_status, &of_bath);
    oxl_dip *object = oxl_new_dip(L, oxl_unit_of(L, 3));
    status = oxt_dip_predict(steel->steel, &target, bath_K, &given.options, &object->dip, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

/* The dip that gives a target in a time, written into a new object; four places are on the stack. */
static oxt_status dip_for_time(lua_State *L, oxt_temperature_unit unit, oxl_dip **object,
                               oxt_error *error)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error of_time = OXT_ERROR_INIT;
    oxl_dip_arguments given;
    oxt_target target = OXT_TARGET_INIT;
    double time_s = 0.0;
    lua_settop(L, 4);
    oxt_status status = read_dip(L, &given, &target, error);
    oxt_status time_status = oxl_check_time(L, 3, &time_s, &of_time);
    if (!status && time_status) {
        status = time_status;
        *error = of_time;
    }
    if (status)
        return status;
    *object = oxl_new_dip(L, unit);
    status = oxt_dip_for_time(steel->steel, &target, time_s, &given.options, &(*object)->dip,
                              error);
    (*object)->object.open = !status;
    return status;
}

/* The scale of a temper or a wander among the options at a place; C where there is none. */
static oxt_temperature_unit told_scale(lua_State *L, int options)
{
    oxt_temperature_unit unit = OXT_UNIT_CELSIUS;
    int top = lua_gettop(L);
    if (lua_type(L, options) != LUA_TTABLE)
        return unit;
    lua_getfield(L, options, "bath_wander_K");
    if (lua_getfield(L, options, "last_temper") == LUA_TTABLE)
        lua_rawgeti(L, -1, 1);
    for (int place = lua_gettop(L); place > top; place--)
        if (lua_type(L, place) == LUA_TSTRING) {
            unit = oxl_unit_of(L, place);
            break;
        }
    lua_settop(L, top);
    return unit;
}

int oxl_steel_dip_for_time(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxl_dip *object;
    oxt_temperature_unit unit = oxl_check_unit(L, 5, told_scale(L, 4));
    oxt_status status = dip_for_time(L, unit, &object, &error);
    return status ? oxl_fail(L, status, &error) : 1;
}

/* The bath alone, and its cautions beside it: no number of a bath goes without. */
int oxl_steel_bath_for(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxl_dip *object;
    oxt_status status = dip_for_time(L, OXT_UNIT_CELSIUS, &object, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_pushnumber(L, object->dip.bath_K);
    oxl_push_cautions(L, object->dip.cautions);
    return 2;
}

static int dip_average(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    luaL_checktype(L, 1, LUA_TTABLE);
    luaL_checktype(L, 2, LUA_TTABLE);
    size_t count = lua_rawlen(L, 1);
    luaL_argcheck(L, lua_rawlen(L, 2) == count, 2, "as many weights as dips expected");
    const oxt_dip **dips = lua_newuserdatauv(L, (count + 1) * sizeof *dips, 0);
    double *weights = lua_newuserdatauv(L, (count + 1) * sizeof *weights, 0);
    oxt_temperature_unit unit = OXT_UNIT_KELVIN;
    for (size_t i = 0; i < count; i++) {
        char name[32];
        snprintf(name, sizeof name, "dips[%zu]", i + 1);
        lua_rawgeti(L, 1, (lua_Integer)i + 1); /* the table keeps it */
        const oxl_dip *dip = oxl_check_named(L, 1, lua_gettop(L), name, &oxl_dip_class);
        lua_rawgeti(L, 2, (lua_Integer)i + 1);
        if (lua_type(L, -1) != LUA_TNUMBER)
            return luaL_argerror(L, 2, "numbers expected");
        weights[i] = lua_tonumber(L, -1);
        dips[i] = &dip->dip;
        unit = i == 0 ? dip->unit : unit;
        lua_pop(L, 2);
    }
    oxl_dip *object = oxl_new_dip(L, unit);
    oxt_status status = oxt_dip_average(dips, weights, count, &object->dip, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

const luaL_Reg oxl_dip_functions[] = { { "dip_average", dip_average }, { NULL, NULL } };
