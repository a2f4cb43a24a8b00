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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static oxt_status write_report(const void *object, size_t which, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_temper *of = object;
    return oxt_temper_report(&of->temper, oxl_report_unit(which), oxl_report_detail(which), buffer,
                             capacity, needed, error);
}

const oxl_class oxl_temper_class = {
    .name = "oxtint.temper",
    .noun = "temper",
    .size = sizeof(oxl_temper),
    .fields = temper_fields,
    .structure = offsetof(oxl_temper, temper),
    .report = write_report,
    .unit = offsetof(oxl_temper, unit),
};

/* ---- what is known of the part ---- */

typedef struct {
    oxt_temper_options options;
    int last;                  /* place on the stack */
    oxt_temperature_unit unit; /* that the last temper was written in */
} temper_arguments;

static const oxl_named temper_names[] = {
    { "steel", OXL_NAMED_STRING, offsetof(temper_arguments, options.steel), 0 },
    { "last", OXL_NAMED_VALUE, offsetof(temper_arguments, last), 0 },
    { "constant", OXL_NAMED_NUMBER, offsetof(temper_arguments, options.constant), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static const char misuse[] = "%s: list of a temperature and a time expected";

/* One of the two quantities of the last temper. */
static oxt_status read_last(lua_State *L, int arg, int index, const char *where, int place,
                            double *value, oxt_error *error)
{
    oxt_status status;
    lua_rawgeti(L, index, place);
    if (!oxl_read_quantity(L, -1, place == 1 ? oxt_parse_temperature : oxt_parse_duration, value,
                           &status, error))
        luaL_argerror(L, arg, lua_pushfstring(L, misuse, where));
    lua_pop(L, 1);
    return status;
}

oxt_status oxl_read_last_temper(lua_State *L, int arg, int index, const char *where, double *last_K,
                                double *last_s, oxt_error *error)
{
    if (!lua_istable(L, index) || lua_rawlen(L, index) != 2)
        luaL_argerror(L, arg, lua_pushfstring(L, misuse, where));
    oxt_status status = read_last(L, arg, index, where, 1, last_K, error);
    if (!status)
        status = read_last(L, arg, index, where, 2, last_s, error);
    if (!status && !(*last_K > 0.0 && *last_s > 0.0))
        luaL_argerror(L, arg, lua_pushfstring(L, "%s: both numbers must be above 0", where));
    return status;
}

static oxt_status read_options(lua_State *L, int arg, temper_arguments *given, oxt_error *error)
{
    oxt_status status = oxl_read_named(L, arg, temper_names, 0, given, NULL, error);
    if (status || !given->last)
        return status;
    status = oxl_read_last_temper(L, arg, given->last, "last", &given->options.last_K,
                                  &given->options.last_s, error);
    if (!status && lua_rawgeti(L, given->last, 1))
        given->unit = oxl_unit_of(L, -1);
    return status;
}

/* ---- functions ---- */

int oxl_history_temper(lua_State *L)
{
    const oxl_history *history = oxl_check(L, 1, &oxl_history_class);
    oxt_error error = OXT_ERROR_INIT;
    temper_arguments given = { OXT_TEMPER_OPTIONS_INIT, 0, OXT_UNIT_CELSIUS };
    lua_settop(L, 2);
    oxt_status status = read_options(L, 2, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_temper *object = oxl_new(L, &oxl_temper_class);
    object->temper = (oxt_temper)OXT_TEMPER_INIT;
    object->unit = given.unit;
    status = oxt_temper_history(history->history, &given.options, &object->temper, &error);
    object->object.open = !status;
    return status ? oxl_fail(L, status, &error) : 1;
}

static int temper_dip(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    temper_arguments given = { OXT_TEMPER_OPTIONS_INIT, 0, OXT_UNIT_CELSIUS };
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
    object->object.open = !status;
    return status ? oxl_fail(L, status, &error) : 1;
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

void oxl_open_temper(lua_State *L)
{
    static const luaL_Reg functions[] = {
        { "temper_dip", temper_dip },
        { "temper_parameter", temper_parameter },
        { "temper_temperature", temper_temperature },
        { "temper_time", temper_time },
        { "temper_hardness", temper_hardness },
        { NULL, NULL },
    };
    oxl_register(L, &oxl_temper_class);
    luaL_setfuncs(L, functions, 0);
}
