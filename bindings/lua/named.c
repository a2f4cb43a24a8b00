/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table of named arguments. Access is raw: no metamethod runs while the library's structs are
 * being filled. */
#include <stdio.h>
#include <string.h>

#include "oxl.h"

/* A table that is read: its place on the stack, the argument that it is a part of, and what to put before messages. */
typedef struct {
    lua_State *L;
    int arg, index;
    const char *where, *colon;
    oxt_error *error; /* NULL once a text could not be read: misuse is still looked for */
    oxt_status status;
} reading;

static bool is_name(const char *key, const oxl_field *names)
{
    for (const oxl_field *named = names; named->name; named++)
        if (named->kind == OXL_FIELDS ? is_name(key, named->inner) : strcmp(named->name, key) == 0)
            return true;
    return false;
}

static bool is_known(lua_State *L, int key, const oxl_field *names, int positions)
{
    if (lua_isinteger(L, key)) {
        lua_Integer place = lua_tointeger(L, key);
        return place >= 1 && place <= positions;
    }
    return lua_type(L, key) == LUA_TSTRING && is_name(lua_tostring(L, key), names);
}

static void add_names(luaL_Buffer *list, const oxl_field *names, const char *before)
{
    for (const oxl_field *named = names; named->name; named++) {
        luaL_addstring(list, named == names ? before : ", ");
        if (named->kind == OXL_FIELDS)
            add_names(list, named->inner, "");
        else
            luaL_addstring(list, named->name);
    }
}

static void refuse_key(const reading *from, const oxl_field *names)
{
    lua_State *L = from->L;
    luaL_Buffer list;
    const char *key = luaL_tolstring(L, -1, NULL);
    luaL_buffinit(L, &list);
    if (!names->name)
        luaL_addstring(&list, "a list");
    add_names(&list, names, "one of: ");
    luaL_pushresult(&list);
    luaL_argerror(L, from->arg,
                  lua_pushfstring(L, "%s%sunknown key '%s', expected %s", from->where, from->colon,
                                  key, lua_tostring(L, -1)));
}

static void check_keys(const reading *from, const oxl_field *names, int positions)
{
    lua_State *L = from->L;
    lua_pushnil(L);
    while (lua_next(L, from->index)) {
        lua_pop(L, 1);
        if (!is_known(L, lua_gettop(L), names, positions))
            refuse_key(from, names);
    }
}

static void expect(const reading *from, const char *name, bool good, const char *expected)
{
    if (!good)
        luaL_argerror(from->L, from->arg,
                      lua_pushfstring(from->L, "%s: %s expected, got %s", name, expected,
                                      luaL_typename(from->L, -1)));
}

static const char *text_value(const reading *from, const char *name)
{
    size_t length;
    expect(from, name, lua_type(from->L, -1) == LUA_TSTRING, "text");
    const char *text = lua_tolstring(from->L, -1, &length);
    expect(from, name, strlen(text) == length, "text without NUL bytes");
    return text;
}

static int whole_value(const reading *from, const char *name)
{
    expect(from, name, lua_isinteger(from->L, -1), "whole number");
    int whole = (int)lua_tointeger(from->L, -1);
    expect(from, name, whole == lua_tointeger(from->L, -1), "small whole number");
    return whole;
}

static oxt_status quantity_value(const reading *from, const oxl_field *named, const char *name,
                                 double *value)
{
    oxt_status status;
    oxl_parser parse = named->kind == OXL_BATH     ? oxt_parse_temperature
                       : named->kind == OXL_LENGTH ? oxt_parse_length
                       : named->kind == OXL_SPREAD ? oxt_parse_temperature_difference
                                                   : oxt_parse_duration;
    bool good = oxl_read_quantity(from->L, -1, parse, value, &status, from->error);
    expect(from, name, good, "number or text with a unit");
    return status;
}

/* The value is on top of the stack; `name` is that of the field, with what goes before. */
static oxt_status read_value(const reading *from, const oxl_field *named, const char *name,
                             void *at)
{
    lua_State *L = from->L;
    char *object;
    switch (named->kind) {
    case OXL_INT:
        *(int *)at = whole_value(from, name);
        break;
    case OXL_COUNT:
        expect(from, name, lua_isinteger(L, -1) && lua_tointeger(L, -1) >= 0,
               "whole number of 0 or more");
        *(size_t *)at = (size_t)lua_tointeger(L, -1);
        break;
    case OXL_FLAG:
        expect(from, name, lua_isboolean(L, -1), "boolean");
        *(int *)at = lua_toboolean(L, -1);
        break;
    case OXL_CHOICE:
        *(int *)at = named->first + oxl_choose(L, from->arg, lua_gettop(L), name, named->choices);
        break;
    case OXL_TEXT:
        strncpy(at, text_value(from, name), named->size);
        break;
    case OXL_STRING:
        *(const char **)at = text_value(from, name);
        break;
    case OXL_NUMBERS:
        expect(from, name, oxl_read_three(L, lua_gettop(L), at), "list of three numbers");
        break;
    case OXL_BATH:
    case OXL_TIME:
    case OXL_LENGTH:
    case OXL_SPREAD:
        return quantity_value(from, named, name, at);
    case OXL_OBJECT:
    case OXL_INSIDE:
        object = oxl_check_named(L, from->arg, lua_gettop(L), name, named->class);
        object += named->kind == OXL_INSIDE ? named->class->structure : 0;
        memcpy(at, &object, sizeof object);
        break;
    case OXL_OTHER:
        return named->read(L, from->arg, name, at, from->error);
    case OXL_VALUE:
        *(int *)at = lua_gettop(L);
        break;
    default:
        expect(from, name, lua_type(L, -1) == LUA_TNUMBER, "number");
        *(double *)at = lua_tonumber(L, -1);
    }
    return OXT_OK;
}

/* Of the field that is on top of the stack, if it is there; the stack is then as before, but for what is kept. */
static bool read_field(reading *from, const oxl_field *named, void *at)
{
    int before = lua_gettop(from->L) - 1;
    bool is_there = !lua_isnil(from->L, -1);
    oxt_status status = OXT_OK;
    char name[80];
    snprintf(name, sizeof name, "%s%s%s", from->where, from->colon, named->name);
    if (is_there)
        status = read_value(from, named, name, at);
    if (status && !from->status) {
        from->status = status;
        from->error = NULL;
    }
    if (!is_there || named->kind < OXL_STRING)
        lua_settop(from->L, before);
    return is_there;
}

static void read_fields(reading *from, const oxl_field *names, char *into, uint32_t *given)
{
    for (const oxl_field *named = names; named->name; named++) {
        if (named->kind == OXL_FIELDS) {
            read_fields(from, named->inner, into + named->offset, NULL);
            continue;
        }
        luaL_checkstack(from->L, LUA_MINSTACK, NULL);
        lua_pushstring(from->L, named->name);
        lua_rawget(from->L, from->index);
        if (read_field(from, named, into + named->offset) && given)
            *given |= UINT32_C(1) << (named - names);
    }
}

oxt_status oxl_read_table(lua_State *L, int arg, int index, const char *where,
                          const oxl_field *names, int positions, void *into, uint32_t *given,
                          oxt_error *error)
{
    reading from = { L, arg, index, where ? where : "", where ? ": " : "", error, OXT_OK };
    if (!lua_istable(L, index))
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s%stable expected, got %s", from.where, from.colon,
                                      luaL_typename(L, index)));
    check_keys(&from, names, positions);
    read_fields(&from, names, into, given);
    return from.status;
}

oxt_status oxl_read_named(lua_State *L, int arg, const oxl_field *names, void *into,
                          oxt_error *error)
{
    if (lua_isnoneornil(L, arg))
        return OXT_OK;
    luaL_checktype(L, arg, LUA_TTABLE);
    return oxl_read_table(L, arg, arg, NULL, names, 0, into, NULL, error);
}

int oxl_choose(lua_State *L, int arg, int index, const char *name, const char *const *choices)
{
    luaL_Buffer list;
    for (int i = 0; choices[i] && lua_type(L, index) == LUA_TSTRING; i++)
        if (strcmp(lua_tostring(L, index), choices[i]) == 0 &&
            lua_rawlen(L, index) == strlen(choices[i]))
            return i;
    const char *found = lua_type(L, index) == LUA_TSTRING
                            ? lua_pushfstring(L, "'%s'", lua_tostring(L, index))
                            : luaL_typename(L, index);
    luaL_buffinit(L, &list);
    for (int i = 0; choices[i]; i++) {
        luaL_addstring(&list, i ? ", " : "");
        luaL_addstring(&list, choices[i]);
    }
    luaL_pushresult(&list);
    return luaL_argerror(L, arg,
                         lua_pushfstring(L, "%s: one of %s expected, got %s", name,
                                         lua_tostring(L, -1), found));
}

oxt_replace oxl_check_replace(lua_State *L, int arg)
{
    static const oxl_field names[] = { { "overwrite", OXL_FLAG, .size = sizeof(int) }, OXL_END };
    int overwrite = 0;
    oxl_read_named(L, arg, names, &overwrite, NULL);
    return overwrite ? OXT_REPLACE_ANY : OXT_REPLACE_SAME_KIND;
}
