/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities to and from text. */
#include "oxl.h"

static int parse_with(lua_State *L, oxl_parser parse)
{
    oxt_error error = OXT_ERROR_INIT;
    double value = 0.0;
    oxt_status status = parse(oxl_check_text(L, 1), &value, &error);
    return oxl_give_number(L, status, value, &error);
}

static int parse_temperature(lua_State *L)
{
    return parse_with(L, oxt_parse_temperature);
}

static int parse_temperature_difference(lua_State *L)
{
    return parse_with(L, oxt_parse_temperature_difference);
}

static int parse_duration(lua_State *L)
{
    return parse_with(L, oxt_parse_duration);
}

static int parse_length(lua_State *L)
{
    return parse_with(L, oxt_parse_length);
}

OXL_WRITER(write_temperature, double, oxt_format_temperature, *of, (oxt_temperature_unit)which)

static int format_temperature(lua_State *L)
{
    double temperature_K = oxl_check_number(L, 1);
    return oxl_give_text(L, write_temperature, &temperature_K,
                         oxl_check_unit(L, 2, OXT_UNIT_CELSIUS));
}

OXL_WRITER(write_duration, double, oxt_format_duration, *of)

static int format_duration(lua_State *L)
{
    double time_s = oxl_check_number(L, 1);
    return oxl_give_text(L, write_duration, &time_s, 0);
}

OXL_WRITER(write_length, double, oxt_format_length, *of, (oxt_length_unit)which)

static int format_length(lua_State *L)
{
    static const char *const units[] = { "mm", "in", NULL }; /* in the order of oxt_length_unit */
    double length_m = oxl_check_number(L, 1);
    return oxl_give_text(L, write_length, &length_m, (size_t)luaL_checkoption(L, 2, "mm", units));
}

static int parse_srgb(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double srgb[3];
    oxt_status status = oxt_parse_srgb(oxl_check_text(L, 1), srgb, &error);
    return oxl_give_three(L, status, srgb, &error);
}

OXL_WRITER(write_srgb, double, oxt_format_srgb, of)

static int format_srgb(lua_State *L)
{
    double srgb[3];
    oxl_check_three(L, 1, srgb);
    return oxl_give_text(L, write_srgb, srgb, 0);
}

const luaL_Reg oxl_units_functions[] = {
    { "parse_temperature", parse_temperature },
    { "parse_temperature_difference", parse_temperature_difference },
    { "parse_duration", parse_duration },
    { "parse_length", parse_length },
    { "format_temperature", format_temperature },
    { "format_duration", format_duration },
    { "format_length", format_length },
    { "parse_srgb", parse_srgb },
    { "format_srgb", format_srgb },
    { NULL, NULL },
};
