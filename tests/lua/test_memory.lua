-- SPDX-License-Identifier: GPL-3.0-or-later
-- Memory that runs out in Lua.
local h = require "harness"
local coupons = require "coupons"

local script = [[
local oxtint = require "oxtint"
local log = assert(oxtint.read_trials(%q))
assert(log:add { steel = "Alder 1", finish = "satin", bath = 560, time = 1, colour = "bright",
                 note = "left out" })
assert(oxtint.new_trials():write(%q))
assert(select(4, oxtint.read_trials(%q)).faults[1])
local again = assert(oxtint.read_trials_text(log:to_csv()))
assert(oxtint.part { size_m = 0.006 } == oxtint.part { size_m = 0.006 })
local fit <close> = assert(oxtint.fit(log, { steel = "Alder 1", film = oxtint.film() }))
local used = { fit.rows, fit.residuals, fit.warnings, fit.covariance, fit.stderr, tostring(fit),
               log[1], log[13], tostring(log), #log }
local pool <close> = assert(oxtint.pool(log, { model = "best", shrink = true }))
used = { pool.groups, pool.comparison, pool.steels, pool.warnings, tostring(pool) }
assert(fit.steel:save(%q))
local steel = assert(oxtint.load_steel(%q))
assert(oxtint.steel_from_card(steel:to_card()) == steel)
local dip = assert(steel:dip("blue", "600 F", { confidence = 0.9 }))
used = { dip.cautions, dip.target, dip.interval_s, tostring(dip), tostring(steel),
         tostring(dip.target), steel:thickness({ 560, 600 }, { 30, 60 }),
         steel:bath_for({ 31, 17, -47 }, 60),
         oxtint.tints(), oxtint.film_reflectance(57), oxtint.film_srgb(57), oxtint.name_of(57),
         oxtint.film().description, oxtint.format_temperature(600), oxtint.format_duration(90) }
local clear = assert(oxtint.material { name = "clear", wavelength_nm = { 300, 900 },
                                       n = { 1.5, 1.5 }, k = { 0, 0 } })
local oiled <close> = assert(oxtint.film { layers = { "hematite", { clear } },
                                           substrate = "chromium", illuminant = "A",
                                           finish = { thickness_spread = 0.1 },
                                           coat_index = oxtint.OIL_INDEX })
used = { tostring(clear), clear:index(550), oiled:path_srgb { 10, 20 }, oiled:match({ 50, 0, 0 }),
         oiled:tint(20), oiled:target("blue"), oiled:reflectance(20, { 500, 600 }), oiled:white() }
local bath <close> = assert(oxtint.bath { salt = "ternary", salt_kg = 9 })
used = { tostring(bath), bath.salt, bath:cautions "600 F", oxtint.salt "ternary",
         bath:sag(oxtint.part { size_m = 0.003, metal = "steel" }, 1, "600 F") }
assert(not oxtint.material { name = "clear", wavelength_nm = { 300, 200 }, n = { 1, 1 },
                             k = { 0, 0 } })
assert(not pcall(oxtint.film, { layers = { { "rust" } } }))
local trace <close> = assert(oxtint.history { time_s = { 0, 60 }, temperature_K = { 293, 600 } })
local temper = trace:temper { steel = "1095", last = { "400 F", "2 h" } }
used = { trace.time_s, trace.temperature_K, trace[1], tostring(trace), trace:exposure(steel),
         temper.cautions, tostring(temper), oxtint.temper_dip("600 F", 60) }
assert(not oxtint.history { time_s = { 60, 0 }, temperature_K = { 293, 600 } })
for name, value in pairs(fit) do
    used[name] = value
end
local tracker <close> = assert(oxtint.tracker { steel = steel, target = "blue", bath = 600,
                                                part = assert(oxtint.part { size_m = 0.006 }) })
assert(tracker:feed(0, 600) and not tracker:feed(0, 600))
used = { tracker:read(), tostring(tracker) }
assert(not pcall(oxtint.tracker, { steel = steel, target = 57, lift = { delay = 3 } }))
assert(not oxtint.parse_temperature("hot"))
assert(not pcall(oxtint.fit, log, { stel = "Alder 1" }))
]]

-- Contract: objects are made empty before they are filled, so an error of memory in Lua leaks
-- nothing, whichever allocation it meets.
h.test("memory may run out at any allocation", function()
    local log = h.temporary_name()
    local faulty = h.temporary_file("steel,bath_F,time_s,colour\nA,1,1,x\n")
    assert(coupons.log(0.03):write(log))
    local card, host = h.temporary_name(), h.temporary_name()
    local path = h.temporary_file(script:format(log, h.temporary_name(), faulty, card, card))
    local built = os.execute(("env -u LD_PRELOAD cc -std=gnu11 %stests/lua/starve.c -o %s "
        .. "$(pkg-config --cflags --libs lua5.4) -ldl"):format(h.root, host))
    h.equal(built, true)
    local module = assert(package.searchpath("oxtint", package.cpath))
    if not module:find("/", 1, true) then
        module = "./" .. module
    end
    local command = "GLIBC_TUNABLES=glibc.malloc.tcache_count=0 %s %s %s 2>&1"
    local pipe = io.popen(command:format(host, module, path))
    local found = pipe:read("a")
    h.equal(pipe:close(), true, found)
    -- more than the standard libraries of Lua take on their own
    assert(tonumber(found) > 700, found)
end)
