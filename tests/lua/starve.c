/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Run a script with ever more memory, until it has enough: Lua is refused its first allocation, then
 * its second, and so on, and every one after it. Whatever the script was doing then, nothing may be
 * left behind when the state is closed.
 *
 *     starve MODULE SCRIPT     prints how often it starved
 *
 * To be run with GLIBC_TUNABLES=glibc.malloc.tcache_count=0, so that freed memory counts as free. */
#include <dlfcn.h>
#include <malloc.h>
#include <stdio.h>
#include <stdlib.h>

#include <lauxlib.h>
#include <lua.h>
#include <lualib.h>

typedef struct {
    long left; /* allocations still to be granted; negative: all */
} larder;

static void *allocate(void *context, void *block, size_t old_size, size_t size)
{
    larder *from = context;
    if (size == 0) {
        free(block);
        return NULL;
    }
    if (!block || size > old_size) {
        if (from->left == 0)
            return NULL;
        if (from->left > 0)
            from->left--;
    }
    return realloc(block, size);
}

static int run(lua_State *L)
{
    lua_CFunction open;
    *(void **)&open = lua_touserdata(L, 2);
    /* Lua drops an object for good when the call of its finalizer finds no memory, so finalizers
     * wait for the end, when there is some again. */
    lua_gc(L, LUA_GCSTOP);
    luaL_openlibs(L);
    luaL_requiref(L, "oxtint", open, 0);
    if (luaL_loadfile(L, lua_touserdata(L, 1)) != LUA_OK)
        return lua_error(L);
    lua_call(L, 0, 0);
    return 0;
}

/* Status of the script when so many allocations are granted. */
static int run_with(long granted, const char *script, void *open)
{
    larder from = { -1 };
    lua_State *L = lua_newstate(allocate, &from);
    if (!L)
        exit(2);
    lua_pushcfunction(L, run);
    lua_pushlightuserdata(L, (void *)script);
    lua_pushlightuserdata(L, open);
    from.left = granted;
    int status = lua_pcall(L, 2, 0, 0);
    from.left = -1;
    if (status != LUA_OK && status != LUA_ERRMEM)
        fprintf(stderr, "after %ld allocations: %s\n", granted, lua_tostring(L, -1));
    lua_close(L);
    return status;
}

int main(int argc, char **argv)
{
    void *module = argc == 3 ? dlopen(argv[1], RTLD_NOW | RTLD_GLOBAL) : NULL;
    void *open = module ? dlsym(module, "luaopen_oxtint") : NULL;
    if (!open || run_with(-1, argv[2], open) != LUA_OK)
        return 2;
    size_t before = mallinfo2().uordblks;
    long granted = 0;
    int status;
    while ((status = run_with(granted, argv[2], open)) == LUA_ERRMEM) {
        if (mallinfo2().uordblks != before) {
            fprintf(stderr, "after %ld allocations: memory was left behind\n", granted);
            return 1;
        }
        granted++;
    }
    printf("%ld\n", granted);
    return status == LUA_OK ? 0 : 1;
}
