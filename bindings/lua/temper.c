/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What dips and histories do to hardened steel. */
#include "oxl.h"

/* ---- the object ---- */

static const oxl_field temper_fields[] = {
    OXL_FIELD(oxt_temper, parameter, OXL_NUMBER),
    OXL_FIELD(oxt_temper, one_hour_K, OXL_NUMBER),
    OXL_FIELD(oxt_temper, last_parameter, OXL_NUMBER),
    OXL_FIELD(oxt_temper, total_parameter, OXL_NUMBER),
    OXL_FIELD(oxt_temper, hardness_before_HRC, OXL_NUMBER),
    OXL_FIELD(oxt_temper, hardness_after_HRC, OXL_NUMBER),
    OXL_FIELD(oxt_temper, softens, OXL_MAYBE),
    OXL_FIELD(oxt_temper, below_floor, OXL_FLAG),
    OXL_FIELD(oxt_temper, cautions, OXL_CAUTIONS),
    OXL_END,
};

OXL_WRITER(write_report, oxl_temper, oxt_temper_report, &of->temper, oxl_report_unit(which),
           oxl_report_detail(which))

const oxl_class oxl_temper_class = {
    .name = "oxtint.temper",
    .noun = "temper",
    .size = sizeof(oxl_temper),
    .fields = temper_fields,
    .structure = offsetof(oxl_temper, temper),
    .report = write_report,
    .asked = OXL_ASK_BOTH,
    .unit = offsetof(oxl_temper, unit),
};

/* ---- what is known of the part ---- */

typedef struct {
    oxt_temper_options options;
    oxl_last_temper last;
} temper_arguments;

static const oxl_field temper_names[] = {
    OXL_AS("steel", temper_arguments, options.steel, OXL_STRING),
    { "last", OXL_OTHER, offsetof(temper_arguments, last), .read = oxl_read_last_temper },
    OXL_AS("constant", temper_arguments, options.constant, OXL_NUMBER),
    OXL_END,
};

oxt_status oxl_read_last_temper(lua_State *L, int arg, const char *name, void *into,
                                oxt_error *error)
{
    oxl_last_temper *last = into;
    int index = lua_gettop(L);
    oxt_status of_K = OXT_OK, of_s = OXT_OK;
    bool is_list = lua_istable(L, index) && lua_rawlen(L, index) == 2;
    if (is_list) {
        lua_rawgeti(L, index, 1);
        lua_rawgeti(L, index, 2);
        last->unit = oxl_unit_of(L, index + 1);
    }
    if (!is_list ||
        !oxl_read_quantity(L, index + 1, oxt_parse_temperature, &last->last_K, &of_K, error) ||
        !oxl_read_quantity(L, index + 2, oxt_parse_duration, &last->last_s, &of_s,
                           of_K ? NULL : error))
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: list of a temperature and a time expected", name));
    if (!of_K && !of_s && !(last->last_K > 0.0 && last->last_s > 0.0))
        luaL_argerror(L, arg, lua_pushfstring(L, "%s: both numbers must be above 0", name));
    return of_K ? of_K : of_s;
}

static oxt_status read_options(lua_State *L, int arg, temper_arguments *given, oxt_error *error)
{
    oxt_status status = oxl_read_named(L, arg, temper_names, given, error);
    given->options.last_K = given->last.last_K;
    given->options.last_s = given->last.last_s;
    return status;
}

/* ---- functions ---- */

int oxl_history_temper(lua_State *L)
{
    const oxl_history *history = oxl_check(L, 1, &oxl_history_class);
    oxt_error error = OXT_ERROR_INIT;
    temper_arguments given = { OXT_TEMPER_OPTIONS_INIT, { .unit = OXT_UNIT_CELSIUS } };
    lua_settop(L, 2);
    oxt_status status = read_options(L, 2, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_temper *object = oxl_new(L, &oxl_temper_class);
    object->temper = (oxt_temper)OXT_TEMPER_INIT;
    object->unit = given.last.unit;
    status = oxt_temper_history(history->history, &given.options, &object->temper, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

static int temper_dip(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    temper_arguments given = { OXT_TEMPER_OPTIONS_INIT, { .unit = OXT_UNIT_CELSIUS } };
    double bath_K = 0.0, time_s = 0.0;
    lua_settop(L, 3);
    oxt_status status = oxl_check_temperature(L, 1, &bath_K, &error);
    if (!status)
        status = oxl_check_time(L, 2, &time_s, &error);
    if (!status)
        status = read_options(L, 3, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_temper *object = oxl_new(L, &oxl_temper_class);
    object->temper = (oxt_temper)OXT_TEMPER_INIT;
    object->unit = oxl_unit_of(L, 1);
    status = oxt_temper_dip(bath_K, time_s, &given.options, &object->temper, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

static double constant_argument(lua_State *L)
{
    return lua_isnoneornil(L, 3) ? OXT_TEMPER_CONSTANT : oxl_check_number(L, 3);
}

static int temper_parameter(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double temperature_K = 0.0, time_s = 0.0, parameter = 0.0, constant = constant_argument(L);
    oxt_status status = oxl_check_temperature(L, 1, &temperature_K, &error);
    if (!status)
        status = oxl_check_time(L, 2, &time_s, &error);
    if (!status)
        status = oxt_temper_parameter(temperature_K, time_s, constant, &parameter, &error);
    return oxl_give_number(L, status, parameter, &error);
}

/* From a parameter, and a quantity as the second argument. */
static int from_parameter(lua_State *L, oxl_parser parse,
                          oxt_status (*call)(double, double, double, double *, oxt_error *))
{
    oxt_error error = OXT_ERROR_INIT;
    double parameter = oxl_check_number(L, 1), other = 0.0, found = 0.0;
    double constant = constant_argument(L);
    oxt_status status = oxl_check_quantity(L, 2, parse, &other, &error);
    if (!status)
        status = call(parameter, other, constant, &found, &error);
    return oxl_give_number(L, status, found, &error);
}

static int temper_temperature(lua_State *L)
{
    return from_parameter(L, oxt_parse_duration, oxt_temper_temperature);
}

static int temper_time(lua_State *L)
{
    return from_parameter(L, oxt_parse_temperature, oxt_temper_time);
}

static int temper_hardness(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double hardness_HRC = 0.0;
    const char *steel = oxl_check_text(L, 1);
    oxt_status status = oxt_temper_hardness(steel, oxl_check_number(L, 2), &hardness_HRC, &error);
    return oxl_give_number(L, status, hardness_HRC, &error);
}

const luaL_Reg oxl_temper_functions[] = {
    { "temper_dip", temper_dip },
    { "temper_parameter", temper_parameter },
    { "temper_temperature", temper_temperature },
    { "temper_time", temper_time },
    { "temper_hardness", temper_hardness },
    { NULL, NULL },
};
