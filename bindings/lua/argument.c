/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Arguments by position. */
#include <string.h>

#include "oxl.h"

const char *oxl_check_text(lua_State *L, int arg)
{
    luaL_checktype(L, arg, LUA_TSTRING);
    size_t length;
    const char *text = lua_tolstring(L, arg, &length);
    if (strlen(text) != length)
        luaL_argerror(L, arg, "a text without NUL bytes expected");
    return text;
}

const char *oxl_check_data(lua_State *L, int arg, size_t *length)
{
    luaL_checktype(L, arg, LUA_TSTRING);
    return lua_tolstring(L, arg, length);
}

double oxl_check_number(lua_State *L, int arg)
{
    luaL_checktype(L, arg, LUA_TNUMBER);
    return lua_tonumber(L, arg);
}

bool oxl_read_three(lua_State *L, int index, double three[3])
{
    if (!lua_istable(L, index) || lua_rawlen(L, index) != 3)
        return false;
    bool good = true;
    for (int i = 0; i < 3; i++) {
        good = lua_rawgeti(L, index, i + 1) == LUA_TNUMBER && good;
        three[i] = lua_tonumber(L, -1);
        lua_pop(L, 1);
    }
    return good;
}

void oxl_check_three(lua_State *L, int arg, double three[3])
{
    if (!oxl_read_three(L, arg, three))
        luaL_typeerror(L, arg, "list of three numbers");
}

const double *oxl_check_numbers(lua_State *L, int arg, int index, const char *name, size_t *count)
{
    const char *before = name ? name : "", *colon = name ? ": " : "";
    if (!lua_istable(L, index))
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s%slist of numbers expected, got %s", before, colon,
                                      luaL_typename(L, index)));
    *count = lua_rawlen(L, index);
    double *numbers = lua_newuserdatauv(L, (*count + 1) * sizeof *numbers, 0);
    for (size_t i = 0; i < *count; i++) {
        if (lua_rawgeti(L, index, (lua_Integer)i + 1) != LUA_TNUMBER)
            luaL_argerror(L, arg,
                          lua_pushfstring(L, "%s%selement %I: number expected, got %s", before,
                                          colon, (LUAI_UACINT)i + 1, luaL_typename(L, -1)));
        numbers[i] = lua_tonumber(L, -1);
        lua_pop(L, 1);
    }
    return numbers;
}

const char *const oxl_units[] = { "K", "C", "F", NULL };

oxt_temperature_unit oxl_check_unit(lua_State *L, int arg, oxt_temperature_unit otherwise)
{
    return (oxt_temperature_unit)luaL_checkoption(L, arg, oxl_units[otherwise], oxl_units);
}

const char *const oxl_details[] = { "brief", "whole", NULL };

size_t oxl_check_report(lua_State *L, int arg, oxt_temperature_unit otherwise)
{
    size_t unit = (size_t)oxl_check_unit(L, arg, otherwise);
    return unit | (size_t)luaL_checkoption(L, arg + 1, "brief", oxl_details) << 3;
}

bool oxl_read_quantity(lua_State *L, int index, oxl_parser parse, double *value, oxt_status *status,
                       oxt_error *error)
{
    *status = OXT_OK;
    if (lua_type(L, index) == LUA_TNUMBER) {
        *value = lua_tonumber(L, index);
        return true;
    }
    if (lua_type(L, index) != LUA_TSTRING)
        return false;
    size_t length;
    const char *text = lua_tolstring(L, index, &length);
    if (strlen(text) != length)
        return false;
    *status = parse(text, value, error);
    return true;
}

static oxt_status read_list(lua_State *L, int arg, oxl_parser parse, oxl_column *into,
                            oxt_error *error)
{
    oxt_status status = OXT_OK;
    into->count = lua_rawlen(L, arg);
    double *values = lua_newuserdatauv(L, (into->count + 1) * sizeof *values, 0);
    into->many = values;
    for (size_t i = 0; i < into->count && !status; i++) {
        lua_rawgeti(L, arg, (lua_Integer)i + 1);
        if (!oxl_read_quantity(L, -1, parse, &values[i], &status, error))
            luaL_argerror(L, arg,
                          lua_pushfstring(L, "element %I: number or text with a unit expected",
                                          (LUAI_UACINT)i + 1));
        lua_pop(L, 1);
    }
    return status;
}

oxt_status oxl_check_column(lua_State *L, int arg, oxl_parser parse, oxl_column *into,
                            oxt_error *error)
{
    into->many = NULL;
    into->count = 1;
    if (lua_istable(L, arg))
        return read_list(L, arg, parse, into, error);
    return oxl_check_quantity(L, arg, parse, &into->one, error);
}

oxt_status oxl_check_quantity(lua_State *L, int arg, oxl_parser parse, double *value,
                              oxt_error *error)
{
    oxt_status status;
    if (!oxl_read_quantity(L, arg, parse, value, &status, error))
        luaL_typeerror(L, arg, "number or text with a unit");
    return status;
}
