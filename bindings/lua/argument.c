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

/* Misuse of an argument, or of the part `name` of one. */
static void refuse(lua_State *L, int arg, const char *name, const char *message)
{
    luaL_argerror(L, arg, name ? lua_pushfstring(L, "%s: %s", name, message) : message);
}

/* Without a parser, numbers alone. */
static oxt_status read_list(lua_State *L, int arg, int index, const char *name, oxl_parser parse,
                            oxl_column *into, oxt_error *error)
{
    oxt_status status = OXT_OK;
    into->count = lua_rawlen(L, index);
    double *values = lua_newuserdatauv(L, (into->count + 1) * sizeof *values, 0);
    into->many = values;
    for (size_t i = 0; i < into->count && !status; i++) {
        bool is_number = lua_rawgeti(L, index, (lua_Integer)i + 1) == LUA_TNUMBER;
        values[i] = lua_tonumber(L, -1);
        if (!is_number && !(parse && oxl_read_quantity(L, -1, parse, &values[i], &status, error)))
            refuse(L, arg, name,
                   lua_pushfstring(L, "element %I: number%s expected, got %s", (LUAI_UACINT)i + 1,
                                   parse ? " or text with a unit" : "", luaL_typename(L, -1)));
        lua_pop(L, 1);
    }
    return status;
}

const double *oxl_check_numbers(lua_State *L, int arg, int index, const char *name, size_t *count)
{
    oxl_column column;
    if (!lua_istable(L, index))
        refuse(L, arg, name,
               lua_pushfstring(L, "list of numbers expected, got %s", luaL_typename(L, index)));
    read_list(L, arg, index, name, NULL, &column, NULL);
    *count = column.count;
    return column.many;
}

oxt_status oxl_read_column(lua_State *L, int arg, int index, const char *name, oxl_parser parse,
                           oxl_column *into, oxt_error *error)
{
    oxt_status status;
    into->many = NULL;
    into->count = 1;
    if (lua_istable(L, index))
        return read_list(L, arg, index, name, parse, into, error);
    if (!oxl_read_quantity(L, index, parse, &into->one, &status, error))
        refuse(L, arg, name, lua_pushfstring(L, "list expected, got %s", luaL_typename(L, index)));
    return status;
}

oxt_status oxl_check_column(lua_State *L, int arg, oxl_parser parse, oxl_column *into,
                            oxt_error *error)
{
    if (!lua_istable(L, arg) && lua_type(L, arg) != LUA_TNUMBER && lua_type(L, arg) != LUA_TSTRING)
        luaL_typeerror(L, arg, "number or text with a unit");
    return oxl_read_column(L, arg, arg, NULL, parse, into, error);
}

oxt_status oxl_check_quantity(lua_State *L, int arg, oxl_parser parse, double *value,
                              oxt_error *error)
{
    oxt_status status;
    if (!oxl_read_quantity(L, arg, parse, value, &status, error))
        luaL_typeerror(L, arg, "number or text with a unit");
    return status;
}
