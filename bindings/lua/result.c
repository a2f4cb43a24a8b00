/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Results: failures and texts. */
#include <math.h>
#include <string.h>

#include "oxl.h"

/* A pair of texts that is called as the key below it. */
static size_t add_last_temper(lua_State *L, oxt_given *given, size_t count, size_t most)
{
    static const char *const parameters[] = { "last_K", "last_s" };
    for (int place = 1; place <= 2; place++) {
        if (lua_rawgeti(L, -1, place) == LUA_TSTRING && count < most)
            given[count++] = (oxt_given){ parameters[place - 1], lua_tostring(L, -3),
                                          lua_tostring(L, -1) };
        lua_pop(L, 1);
    }
    return count;
}

/* The texts among the arguments, and in the tables of named ones: what was typed. */
static size_t find_given(lua_State *L, oxt_given *given, size_t most)
{
    size_t count = 0;
    for (int index = 1; index <= lua_gettop(L); index++) {
        if (lua_type(L, index) == LUA_TSTRING && count < most)
            given[count++].typed = lua_tostring(L, index);
        if (!lua_istable(L, index))
            continue;
        lua_pushnil(L);
        while (lua_next(L, index)) {
            bool is_named = lua_type(L, -2) == LUA_TSTRING && lua_type(L, -1) == LUA_TSTRING;
            if (is_named && count < most) {
                given[count].name = lua_tostring(L, -2);
                given[count++].typed = lua_tostring(L, -1);
            }
            if (lua_type(L, -2) == LUA_TSTRING && lua_istable(L, -1))
                count = add_last_temper(L, given, count, most);
            lua_pop(L, 1);
        }
    }
    return count;
}

static void set_number(lua_State *L, const char *name, double number)
{
    if (isnan(number))
        return;
    lua_pushnumber(L, number);
    lua_setfield(L, -2, name);
}

static void set_text(lua_State *L, const char *name, const char *text)
{
    if (!text[0])
        return;
    lua_pushstring(L, text);
    lua_setfield(L, -2, name);
}

/* What is at fault, as far as it is known. */
static void push_details(lua_State *L, const oxt_error *error)
{
    lua_createtable(L, 0, 6);
    set_text(L, "parameter", error->parameter);
    set_number(L, "value", error->value);
    set_number(L, "low", error->low);
    set_number(L, "high", error->high);
    set_text(L, "column", error->column);
    if (error->row == 0)
        return;
    lua_pushinteger(L, (lua_Integer)error->row);
    lua_setfield(L, -2, "row");
}

int oxl_fail(lua_State *L, oxt_status status, const oxt_error *error)
{
    oxt_given given[16] = { { NULL, NULL, NULL } };
    oxt_error written = *error;
    luaL_checkstack(L, 5, NULL);
    oxt_error_retell(&written, given, find_given(L, given, sizeof given / sizeof given[0]));
    lua_pushnil(L);
    lua_pushstring(L, written.text);
    lua_pushstring(L, oxt_status_name(status) + sizeof "OXT_" - 1);
    push_details(L, &written);
    return 4;
}

int oxl_give_number(lua_State *L, oxt_status status, double value, const oxt_error *error)
{
    if (status)
        return oxl_fail(L, status, error);
    lua_pushnumber(L, value);
    return 1;
}

int oxl_give_two(lua_State *L, oxt_status status, double first, double second,
                 const oxt_error *error)
{
    lua_pushnumber(L, first);
    lua_pushnumber(L, second);
    return status ? oxl_fail(L, status, error) : 2;
}

int oxl_give_struct(lua_State *L, oxt_status status, const oxl_field *fields, const void *structure,
                    const oxt_error *error)
{
    if (status)
        return oxl_fail(L, status, error);
    oxl_push_struct(L, fields, structure);
    return 1;
}

int oxl_give_true(lua_State *L, oxt_status status, const oxt_error *error)
{
    lua_pushboolean(L, true);
    return status ? oxl_fail(L, status, error) : 1;
}

int oxl_give_object(lua_State *L, oxt_status status, oxl_object *object, const oxt_error *error)
{
    object->open = !status;
    return status ? oxl_fail(L, status, error) : 1;
}

int oxl_give_three(lua_State *L, oxt_status status, const double three[3], const oxt_error *error)
{
    if (status)
        return oxl_fail(L, status, error);
    for (int i = 0; i < 3; i++)
        lua_pushnumber(L, three[i]);
    return 3;
}

void oxl_push_numbers(lua_State *L, const double *numbers, size_t count)
{
    lua_newtable(L);
    for (size_t i = 0; i < count; i++) {
        lua_pushnumber(L, numbers[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

void oxl_push_cautions(lua_State *L, uint32_t cautions)
{
    lua_Integer count = 0;
    lua_newtable(L);
    static const char *const kinds[] = { "forbids", "case", "bath" };
    const oxt_caution_info *one;
    for (; (one = oxt_caution_get(cautions))->bit != 0; cautions &= ~one->bit) {
        const char *const fields[][2] = { { "name", one->name + sizeof "OXT_CAUTION_" - 1 },
                                          { "text", one->text },
                                          { "brief", one->brief },
                                          { "kind", kinds[one->kind] },
                                          { "source", one->source } };
        lua_createtable(L, 0, 5);
        for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
            lua_pushstring(L, fields[i][1]);
            lua_setfield(L, -2, fields[i][0]);
        }
        lua_rawseti(L, -2, ++count);
    }
}

/* ---- oxtint.cautions_report ---- */

/* The bit of a caution by its name; 0 for none. */
static uint32_t bit_of(const char *name)
{
    const oxt_caution_info *one;
    for (uint32_t all = ~UINT32_C(0); (one = oxt_caution_get(all))->bit != 0; all &= ~one->bit)
        if (strcmp(one->name + sizeof "OXT_CAUTION_" - 1, name) == 0)
            return one->bit;
    return 0;
}

/* A list of cautions, as results have them, or of their names. */
static uint32_t check_cautions(lua_State *L, int arg)
{
    uint32_t cautions = 0;
    luaL_checktype(L, arg, LUA_TTABLE);
    for (lua_Integer i = 1; lua_rawgeti(L, arg, i) != LUA_TNIL; i++) {
        if (lua_istable(L, -1)) {
            lua_pushstring(L, "name");
            lua_rawget(L, -2);
        }
        uint32_t bit = lua_type(L, -1) == LUA_TSTRING ? bit_of(lua_tostring(L, -1)) : 0;
        if (bit == 0)
            luaL_argerror(L, arg,
                          lua_pushfstring(L, "element %I: a caution or the name of one expected",
                                          (LUAI_UACINT)i));
        cautions |= bit;
        lua_settop(L, arg + 1);
    }
    return cautions;
}

static oxt_status write_cautions(const void *object, size_t detail, char *buffer, size_t capacity,
                                 size_t *needed, oxt_error *error)
{
    return oxt_caution_report(*(const uint32_t *)object, (oxt_caution_detail)detail, buffer,
                              capacity, needed, error);
}

int oxl_cautions_report(lua_State *L)
{
    size_t detail = (size_t)luaL_checkoption(L, 2, "brief", oxl_details);
    lua_settop(L, 1);
    lua_settop(L, 2);
    uint32_t cautions = check_cautions(L, 1);
    oxl_push_text(L, write_cautions, &cautions, detail);
    return 1;
}

void oxl_expect(lua_State *L, oxt_status status, const oxt_error *error)
{
    if (status)
        luaL_error(L, "%s", error->text);
}

int oxl_give_text(lua_State *L, oxl_writer writer, const void *object, size_t which)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t length;
    luaL_Buffer buffer;
    oxt_status status = writer(object, which, NULL, 0, &length, &error);
    if (status)
        return oxl_fail(L, status, &error);
    char *text = luaL_buffinitsize(L, &buffer, length + 1);
    status = writer(object, which, text, length + 1, NULL, &error);
    luaL_pushresultsize(&buffer, length);
    return status ? oxl_fail(L, status, &error) : 1;
}

void oxl_push_text(lua_State *L, oxl_writer writer, const void *object, size_t which)
{
    if (oxl_give_text(L, writer, object, which) > 1)
        luaL_error(L, "%s", lua_tostring(L, -3));
}
