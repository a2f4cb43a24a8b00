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

oxt_status oxl_read_progress(lua_State *L, int arg, const char *name, void *watcher,
                             oxt_error *error)
{
    (void)error;
    if (lua_type(L, -1) != LUA_TFUNCTION)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: function expected, got %s", name,
                                      luaL_typename(L, -1)));
    *(oxl_watcher *)watcher = (oxl_watcher){ L, lua_gettop(L), false };
    return OXT_OK;
}

void oxl_watch(oxl_watcher *watcher, oxt_progress_function *progress, void **user)
{
    if (!watcher->function)
        return;
    luaL_checkstack(watcher->L, LUA_MINSTACK, NULL);
    *progress = tell;
    *user = watcher;
}
