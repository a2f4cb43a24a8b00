-- SPDX-License-Identifier: GPL-3.0-or-later
-- For Lua 5.4, in the top folder of the sources: `luarocks make` with this file builds the module, `luarocks test`
-- with it runs its tests.
rockspec_format = "3.0"
package = "oxtint"
version = "dev-1"
source = { url = "git+file://." } -- not fetched: made from the sources that it lies in
description = {
    summary = "Growth of coloured oxide films on steel",
    detailed = "When to lift a steel part out of a hot salt bath so that its film of oxide shows a wanted colour.",
    license = "GPL-3.0-or-later",
}
dependencies = { "lua >= 5.4, < 5.5" }
external_dependencies = {
    GSL = { header = "gsl/gsl_version.h" },
    LIBCSV = { header = "csv.h" },
    JANSSON = { header = "jansson.h" },
}
build = {
    type = "cmake",
    variables = {
        OXT_LUA = "ON",
        OXT_INSTALL = "OFF", -- of what is installed, the module alone
        BUILD_SHARED_LIBS = "OFF",
        OXT_LUA_INCLUDE = "$(LUA_INCDIR)",
        OXT_LUA_FOLDER = "$(LIBDIR)",
    },
}
test = { type = "command", script = "tests/lua/test.lua" }
