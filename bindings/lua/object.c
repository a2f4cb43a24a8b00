/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Objects: making, checking, closing, and reading their fields. */
#include <string.h>

#include "oxl.h"

/* A metatable lies in the registry under the address of its class, so that no other module, and no
 * other version of this one, can be taken for it. */
static bool push_metatable(lua_State *L, const oxl_class *class)
{
    return lua_rawgetp(L, LUA_REGISTRYINDEX, class) == LUA_TTABLE;
}

void *oxl_new(lua_State *L, const oxl_class *class)
{
    void *object = lua_newuserdatauv(L, class->size, 1);
    memset(object, 0, class->size);
    push_metatable(L, class);
    lua_setmetatable(L, -2);
    return object;
}

void *oxl_test(lua_State *L, int index, const oxl_class *class)
{
    void *object = lua_touserdata(L, index);
    if (!object || !lua_getmetatable(L, index))
        return NULL;
    push_metatable(L, class);
    bool same = lua_rawequal(L, -1, -2);
    lua_pop(L, 2);
    return same ? object : NULL;
}

/* Open or closed. */
static void *check_any(lua_State *L, int arg, const oxl_class *class)
{
    void *object = oxl_test(L, arg, class);
    if (!object)
        luaL_typeerror(L, arg, class->name);
    return object;
}

static void check_open(lua_State *L, int arg, const oxl_object *object, const oxl_class *class)
{
    if (!object->open)
        luaL_argerror(L, arg, lua_pushfstring(L, "the %s is closed", class->noun));
}

void *oxl_check(lua_State *L, int arg, const oxl_class *class)
{
    void *object = check_any(L, arg, class);
    check_open(L, arg, object, class);
    return object;
}

void *oxl_check_named(lua_State *L, int arg, int index, const char *where, const oxl_class *class)
{
    oxl_object *object = oxl_test(L, index, class);
    if (!object)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: %s expected, got %s", where, class->name,
                                      luaL_typename(L, index)));
    if (!object->open)
        luaL_argerror(L, arg, lua_pushfstring(L, "%s: the %s is closed", where, class->noun));
    return object;
}

void oxl_close(void *object, const oxl_class *class)
{
    ((oxl_object *)object)->open = false;
    if (class->release)
        class->release(object);
}

void oxl_owe(lua_State *L, size_t bytes)
{
    int kilobytes = bytes / 1024 < 1 << 20 ? (int)(bytes / 1024) : 1 << 20;
    if (kilobytes > 0 && lua_gc(L, LUA_GCISRUNNING))
        lua_gc(L, LUA_GCSTEP, kilobytes);
}

/* ---- metamethods; their first upvalue is the class ---- */

static const oxl_class *class_of(lua_State *L)
{
    return lua_touserdata(L, lua_upvalueindex(1));
}

/* __gc, __close and close: may run on any object, and twice. */
static int object_close(lua_State *L)
{
    const oxl_class *class = class_of(L);
    oxl_close(check_any(L, 1, class), class);
    return 0;
}

/* The method `report`, of a class that has one. */
static int object_report(lua_State *L)
{
    const oxl_class *class = class_of(L);
    const char *object = oxl_check(L, 1, class);
    const oxt_temperature_unit *own = (const void *)(object + class->unit);
    oxt_temperature_unit otherwise = class->unit ? *own : OXT_UNIT_CELSIUS;
    size_t which = 0;
    if (class->asked == OXL_ASK_UNIT)
        which = oxl_check_unit(L, 2, otherwise);
    else if (class->asked == OXL_ASK_DETAIL)
        which = (size_t)luaL_checkoption(L, 2, "brief", oxl_details);
    else if (class->asked == OXL_ASK_BOTH)
        which = oxl_check_report(L, 2, otherwise);
    oxl_push_text(L, class->report, object, which);
    return 1;
}

static int object_to_json(lua_State *L)
{
    const oxl_class *class = class_of(L);
    oxl_push_text(L, class->json, oxl_check(L, 1, class), 0);
    return 1;
}

static int object_tostring(lua_State *L)
{
    const oxl_class *class = class_of(L);
    const oxl_object *object = check_any(L, 1, class);
    if (object->open && class->text)
        return class->text(L);
    if (object->open && class->report) {
        lua_settop(L, 1);
        return object_report(L);
    }
    if (object->open)
        lua_pushfstring(L, "%s: %I", class->name, (LUAI_UACINT) class->count(object));
    else
        lua_pushfstring(L, "%s (closed)", class->name);
    return 1;
}

/* Closed objects, and those of two classes, are like none. */
static int object_same(lua_State *L)
{
    const oxl_class *class = class_of(L);
    const oxl_object *a = oxl_test(L, 1, class), *b = oxl_test(L, 2, class);
    bool same = a && b && a->open && b->open;
    if (same && class->by_value)
        same = oxl_is_same_struct(class->fields, (const char *)a + class->structure,
                                  (const char *)b + class->structure);
    else if (same)
        same = class->is_same(L, a, b);
    lua_pushboolean(L, same);
    return 1;
}

static int object_length(lua_State *L)
{
    const oxl_class *class = class_of(L);
    lua_pushinteger(L, (lua_Integer) class->count(oxl_check(L, 1, class)));
    return 1;
}

/* object[i], from 1; nil past the ends. */
static int push_item(lua_State *L, const oxl_class *class, const void *object)
{
    int whole;
    lua_Integer place = lua_tointegerx(L, 2, &whole);
    if (whole && place >= 1 && (lua_Unsigned)place <= class->count(object))
        class->item(L, object, (size_t)place - 1);
    else
        lua_pushnil(L);
    return 1;
}

/* A kept object that was closed since is made anew. */
static bool is_usable(lua_State *L)
{
    const oxl_object *object = lua_touserdata(L, -1);
    return !lua_isnil(L, -1) && (!object || object->open);
}

static void make(lua_State *L, const oxl_made *made)
{
    const char *object = lua_touserdata(L, 1);
    if (made->make) {
        made->make(L);
        return;
    }
    if (!made->count) {
        oxl_push_text(L, made->text, object, 0);
        return;
    }
    size_t count = *(const size_t *)(const void *)(object + made->count);
    lua_createtable(L, (int)count, 0);
    for (size_t i = 0; i < count; i++) {
        if (made->item)
            made->item(L, object, i);
        else
            oxl_push_text(L, made->text, object, i);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

/* Push a made field of the object at index 1, from its user value when it lies there already. */
static void push_made(lua_State *L, const oxl_made *made)
{
    if (lua_getiuservalue(L, 1, 1) != LUA_TTABLE) {
        lua_pop(L, 1);
        lua_newtable(L);
        lua_pushvalue(L, -1);
        lua_setiuservalue(L, 1, 1);
    }
    lua_getfield(L, -1, made->name);
    if (!is_usable(L)) {
        lua_pop(L, 1);
        make(L, made);
        lua_pushvalue(L, -1);
        lua_setfield(L, -3, made->name);
    }
    lua_remove(L, -2);
}

/* The second upvalue is the table of methods. They are found on a closed object too, so that it can
 * be closed again; the others say themselves that it is closed. */
static int object_index(lua_State *L)
{
    const oxl_class *class = class_of(L);
    oxl_object *object = check_any(L, 1, class);
    lua_settop(L, 2);
    lua_pushvalue(L, 2);
    if (lua_rawget(L, lua_upvalueindex(2)) != LUA_TNIL)
        return 1;
    check_open(L, 1, object, class);
    if (lua_type(L, 2) == LUA_TNUMBER && class->item)
        return push_item(L, class, object);
    if (lua_type(L, 2) != LUA_TSTRING)
        return 1;
    const char *name = lua_tostring(L, 2);
    if (oxl_push_named(L, class->fields, name, (char *)object + class->structure))
        return 1;
    for (const oxl_made *made = class->made; made && made->name; made++)
        if (strcmp(made->name, name) == 0)
            push_made(L, made);
    return 1;
}

static int next_field(lua_State *L)
{
    luaL_checktype(L, 1, LUA_TTABLE);
    lua_settop(L, 2);
    if (lua_next(L, 1))
        return 2;
    lua_pushnil(L);
    return 1;
}

/* All fields in a table of their own, for `pairs`. */
static int object_pairs(lua_State *L)
{
    const oxl_class *class = class_of(L);
    oxl_object *object = oxl_check(L, 1, class);
    lua_settop(L, 1);
    lua_pushcfunction(L, next_field);
    lua_newtable(L);
    oxl_set_fields(L, class->fields, (char *)object + class->structure);
    for (const oxl_made *made = class->made; made && made->name; made++) {
        push_made(L, made);
        lua_setfield(L, -2, made->name);
    }
    return 2;
}

static void set_closure(lua_State *L, const oxl_class *class, const char *name, lua_CFunction call)
{
    lua_pushlightuserdata(L, (void *)class);
    lua_pushcclosure(L, call, 1);
    lua_setfield(L, -2, name);
}

static void set_index(lua_State *L, const oxl_class *class)
{
    lua_pushlightuserdata(L, (void *)class);
    lua_newtable(L);
    if (class->methods)
        luaL_setfuncs(L, class->methods, 0);
    set_closure(L, class, "close", object_close);
    if (class->report)
        set_closure(L, class, "report", object_report);
    if (class->json)
        set_closure(L, class, "to_json", object_to_json);
    lua_pushcclosure(L, object_index, 2);
    lua_setfield(L, -2, "__index");
}

void oxl_register(lua_State *L, const oxl_class *class)
{
    bool known = push_metatable(L, class);
    lua_pop(L, 1);
    if (known)
        return;
    lua_newtable(L);
    lua_pushstring(L, class->name);
    lua_setfield(L, -2, "__name");
    set_closure(L, class, "__gc", object_close);
    set_closure(L, class, "__close", object_close);
    set_closure(L, class, "__tostring", object_tostring);
    set_index(L, class);
    if (class->is_same || class->by_value)
        set_closure(L, class, "__eq", object_same);
    lua_pushboolean(L, false); /* what getmetatable gives: a script cannot change it */
    lua_setfield(L, -2, "__metatable");
    if (class->count)
        set_closure(L, class, "__len", object_length);
    if (class->fields)
        set_closure(L, class, "__pairs", object_pairs);
    lua_rawsetp(L, LUA_REGISTRYINDEX, class);
}
