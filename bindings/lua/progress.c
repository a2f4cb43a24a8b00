/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A function of Lua that receives the progress of a long call. */
#include "oxl.h"

static int tell(double done, void *user)
{
    oxl_watcher *watcher = user;
    lua_pushvalue(watcher->L, watcher->function);
    lua_pushnumber(watcher->L, done);
    watcher->raised = lua_pcall(watcher->L, 1, 1, 0) != LUA_OK;
    if (watcher->raised)
        return 1;
    int stop = lua_toboolean(watcher->L, -1);
    lua_pop(watcher->L, 1);
    return stop;
}

void oxl_watch(lua_State *L, int arg, int index, oxl_watcher *watcher,
               oxt_progress_function *progress, void **user)
{
    *watcher = (oxl_watcher){ L, index, false };
    if (!index)
        return;
    if (lua_type(L, index) != LUA_TFUNCTION)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "progress: function expected, got %s",
                                      luaL_typename(L, index)));
    luaL_checkstack(L, LUA_MINSTACK, NULL);
    *progress = tell;
    *user = watcher;
}
