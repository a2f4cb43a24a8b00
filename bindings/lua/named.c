/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A table of named arguments. Access is raw: no metamethod runs while the library's structs are
 * being filled. */
#include <string.h>

#include "oxl.h"

static bool is_known(lua_State *L, int key, const oxl_named *names, int positions)
{
    if (lua_isinteger(L, key)) {
        lua_Integer place = lua_tointeger(L, key);
        return place >= 1 && place <= positions;
    }
    if (lua_type(L, key) != LUA_TSTRING)
        return false;
    for (const oxl_named *named = names; named->name; named++)
        if (strcmp(named->name, lua_tostring(L, key)) == 0)
            return true;
    return false;
}

static void add_names(luaL_Buffer *list, const oxl_named *names)
{
    for (const oxl_named *named = names; named->name; named++) {
        luaL_addstring(list, named == names ? "" : ", ");
        luaL_addstring(list, named->name);
    }
}

/* `where` is what to put before the message. */
static void refuse_key(lua_State *L, int arg, const char *where, const oxl_named *names)
{
    luaL_Buffer list;
    const char *key = luaL_tolstring(L, -1, NULL);
    luaL_buffinit(L, &list);
    luaL_addstring(&list, names->name ? "one of: " : "a list");
    add_names(&list, names);
    luaL_pushresult(&list);
    luaL_argerror(L, arg,
                  lua_pushfstring(L, "%sunknown key '%s', expected %s", where, key,
                                  lua_tostring(L, -1)));
}

static void check_keys(lua_State *L, int arg, int index, const char *where, const oxl_named *names,
                       int positions)
{
    lua_pushnil(L);
    while (lua_next(L, index)) {
        lua_pop(L, 1);
        if (!is_known(L, lua_gettop(L), names, positions))
            refuse_key(L, arg, where, names);
    }
}

static void expect(lua_State *L, int arg, const oxl_named *named, bool good, const char *expected)
{
    if (!good)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: %s expected, got %s", named->name, expected,
                                      luaL_typename(L, -1)));
}

static const char *text_value(lua_State *L, int arg, const oxl_named *named)
{
    size_t length;
    expect(L, arg, named, lua_type(L, -1) == LUA_TSTRING, "text");
    const char *text = lua_tolstring(L, -1, &length);
    expect(L, arg, named, strlen(text) == length, "text without NUL bytes");
    return text;
}

static oxl_film *film_value(lua_State *L, int arg, const oxl_named *named)
{
    oxl_film *film = oxl_test(L, -1, &oxl_film_class);
    expect(L, arg, named, film, oxl_film_class.name);
    if (!film->object.open)
        luaL_argerror(L, arg, "film: the film is closed");
    return film;
}

static oxt_status quantity_value(lua_State *L, int arg, const oxl_named *named, double *value,
                                 oxt_error *error)
{
    oxt_status status;
    oxl_parser parse = named->kind == OXL_NAMED_BATH     ? oxt_parse_temperature
                       : named->kind == OXL_NAMED_LENGTH ? oxt_parse_length
                       : named->kind == OXL_NAMED_SPREAD ? oxt_parse_temperature_difference
                                                         : oxt_parse_duration;
    bool good = oxl_read_quantity(L, -1, parse, value, &status, error);
    expect(L, arg, named, good, "number or text with a unit");
    return status;
}

/* The value is on top of the stack. */
static oxt_status read_value(lua_State *L, int arg, const oxl_named *named, void *into,
                             oxt_error *error)
{
    void *at = (char *)into + named->offset;
    int whole;
    switch (named->kind) {
    case OXL_NAMED_NUMBER:
        expect(L, arg, named, lua_type(L, -1) == LUA_TNUMBER, "number");
        *(double *)at = lua_tonumber(L, -1);
        break;
    case OXL_NAMED_WHOLE:
        expect(L, arg, named, lua_isinteger(L, -1), "whole number");
        whole = (int)lua_tointeger(L, -1);
        expect(L, arg, named, whole == lua_tointeger(L, -1), "small whole number");
        *(int *)at = whole;
        break;
    case OXL_NAMED_COUNT:
        expect(L, arg, named, lua_isinteger(L, -1) && lua_tointeger(L, -1) >= 0,
               "whole number of 0 or more");
        *(size_t *)at = (size_t)lua_tointeger(L, -1);
        break;
    case OXL_NAMED_TEXT:
        /* Without its NUL when it is too long: the library refuses it. */
        strncpy(at, text_value(L, arg, named), named->size);
        break;
    case OXL_NAMED_STRING:
        *(const char **)at = text_value(L, arg, named);
        break;
    case OXL_NAMED_THREE:
        expect(L, arg, named, oxl_read_three(L, lua_gettop(L), at), "list of three numbers");
        break;
    case OXL_NAMED_BATH:
    case OXL_NAMED_TIME:
    case OXL_NAMED_LENGTH:
    case OXL_NAMED_SPREAD:
        return quantity_value(L, arg, named, at, error);
    case OXL_NAMED_FILM:
        *(oxl_film **)at = film_value(L, arg, named);
        break;
    case OXL_NAMED_VALUE:
        *(int *)at = lua_gettop(L);
        break;
    }
    return OXT_OK;
}

static bool is_kept(const oxl_named *named)
{
    return named->kind == OXL_NAMED_STRING || named->kind == OXL_NAMED_FILM ||
           named->kind == OXL_NAMED_VALUE;
}

oxt_status oxl_read_named_at(lua_State *L, int arg, int index, const char *where,
                             const oxl_named *names, int positions, void *into, uint32_t *given,
                             oxt_error *error)
{
    oxt_status status = OXT_OK;
    check_keys(L, arg, index, where, names, positions);
    for (const oxl_named *named = names; named->name; named++) {
        lua_pushstring(L, named->name);
        bool there = lua_rawget(L, index) != LUA_TNIL;
        if (there && !status)
            status = read_value(L, arg, named, into, error);
        if (there && given)
            *given |= UINT32_C(1) << (named - names);
        if (!there || !is_kept(named))
            lua_pop(L, 1);
    }
    return status;
}

oxt_status oxl_read_named(lua_State *L, int arg, const oxl_named *names, int positions, void *into,
                          uint32_t *given, oxt_error *error)
{
    if (lua_isnoneornil(L, arg))
        return OXT_OK;
    luaL_checktype(L, arg, LUA_TTABLE);
    return oxl_read_named_at(L, arg, arg, "", names, positions, into, given, error);
}

uint32_t oxl_read_numbers(lua_State *L, int arg, int index, const char *where,
                          const oxl_named *names, int positions, void *into)
{
    uint32_t given = 0;
    check_keys(L, arg, index, lua_pushfstring(L, "%s: ", where), names, positions);
    lua_pop(L, 1);
    for (const oxl_named *named = names; named->name; named++) {
        lua_pushstring(L, named->name);
        int type = lua_rawget(L, index);
        if (type != LUA_TNIL && type != LUA_TNUMBER)
            luaL_argerror(L, arg,
                          lua_pushfstring(L, "%s: %s: number expected, got %s", where, named->name,
                                          luaL_typename(L, -1)));
        if (type == LUA_TNUMBER) {
            *(double *)(void *)((char *)into + named->offset) = lua_tonumber(L, -1);
            given |= UINT32_C(1) << (named - names);
        }
        lua_pop(L, 1);
    }
    return given;
}

int oxl_flag(lua_State *L, int arg, int index, const char *name)
{
    if (index && !lua_isboolean(L, index))
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: boolean expected, got %s", name,
                                      luaL_typename(L, index)));
    return index && lua_toboolean(L, index);
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

typedef struct {
    int overwrite;
} save_arguments;

static const oxl_named save_names[] = {
    { "overwrite", OXL_NAMED_VALUE, offsetof(save_arguments, overwrite), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

oxt_replace oxl_check_replace(lua_State *L, int arg)
{
    save_arguments given = { 0 };
    if (lua_isnoneornil(L, arg))
        return OXT_REPLACE_SAME_KIND;
    oxl_read_named(L, arg, save_names, 0, &given, NULL, NULL);
    return oxl_flag(L, arg, given.overwrite, "overwrite") ? OXT_REPLACE_ANY : OXT_REPLACE_SAME_KIND;
}
