-- SPDX-License-Identifier: GPL-3.0-or-later
-- Tests of the Lua module, in plain Lua; prints TAP.
--
--     LUA_CPATH="build/lua/lua/?.so" lua5.4 tests/lua/test.lua [SUBJECT...]
local here = arg[0]:match("^.*/") or "./"
package.path = here .. "?.lua"

local harness = require "harness"
harness.root = here .. "../../"

for _, subject in ipairs(#arg > 0 and arg or { "units", "colour", "material", "light", "film", "heat", "bath", "tint", "trials",
                           "fit", "pool", "laws", "interval", "cross_validation", "progress", "steel", "record", "anchor", "dip", "plan", "advise", "chart", "history", "temper", "track", "objects", "memory",
                           "json", "arguments", "names", "pages" }) do
    require("test_" .. subject)
end
harness.finish()
