/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Operations of the Lua module, drawn by operations.lua from its annotations: no call dies, whatever it is
 * given, and an error is a text. */
#include "fuzz.h"

#include <lauxlib.h>
#include <lua.h>
#include <lualib.h>

int luaopen_oxtint(lua_State *L);

static lua_State *start(void)
{
    lua_State *L = luaL_newstate();
    MUST(L != NULL, "no memory");
    luaL_openlibs(L);
    luaL_requiref(L, "oxtint", luaopen_oxtint, 0);
    lua_pop(L, 1);
    int failed = luaL_loadfile(L, FUZZ_SOURCE "/operations.lua");
    if (!failed) {
        lua_pushstring(L, FUZZ_ANNOTATIONS);
        failed = lua_pcall(L, 1, 1, 0);
    }
    MUST(!failed, "%s", lua_tostring(L, -1));
    return L;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static lua_State *L;
    if (!L)
        L = start();
    lua_pushvalue(L, 1);
    lua_pushlstring(L, (const char *)data, size);
    int failed = lua_pcall(L, 1, 0, 0);
    MUST(!failed, "%s", lua_tostring(L, -1));
    lua_gc(L, LUA_GCCOLLECT);
    return 0;
}
