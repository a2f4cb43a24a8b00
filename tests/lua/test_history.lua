-- SPDX-License-Identifier: GPL-3.0-or-later
-- Logged temperatures.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

local function dip()
    return assert(oxtint.history { time_s = { 0, 8, 90 }, temperature_K = { 293.15, 600, 600 } })
end

h.test("samples come back, and lines run between them", function()
    local history = dip()
    h.equal(#history, 3)
    h.equal(history[2].time_s, 8.0)
    h.equal(history[2].temperature_K, 600.0)
    h.equal(history[0], nil)
    h.equal(history[4], nil)
    h.equal(table.concat(history.time_s, " "), "0.0 8.0 90.0")
    h.equal(table.concat(history.temperature_K, " "), "293.15 600.0 600.0")
    h.near(history:temperature(4), (293.15 + 600) / 2, 1e-9)
    h.near(history:temperature "1:00", 600, 1e-9)
    h.fails("EDOMAIN", history:temperature(91))
    h.fails("EUNIT", history:temperature "91")
end)

-- Definition of the parabolic law: x = sqrt(x0^2 + k t).
h.test("a constant temperature is a plain stay", function()
    local steel = coupons.steel()
    local stay = assert(oxtint.history { time_s = { 10, 70 }, temperature_K = 600 })
    local bare = steel:thickness(600, 60)
    h.near(stay:thickness(steel), bare, 1e-9)
    h.near(stay:thickness(steel, 20), math.sqrt(20 ^ 2 + bare ^ 2), 1e-9)
    h.near(stay:exposure(steel), bare ^ 2, 1e-9)
    h.near(stay:exposure(steel, "20 s"), bare ^ 2 * 50 / 60, 1e-9)
    h.near(stay:exposure(steel, 20, "0:50"), bare ^ 2 / 2, 1e-9)
    h.fails("EDOMAIN", stay:exposure(steel, 0))
    h.fails("EDOMAIN", stay:exposure(steel, 20, 10))
end)

h.test("adjoining stretches add", function()
    local history, steel = dip(), coupons.steel()
    local sum = history:exposure(steel, 0, 5) + history:exposure(steel, 5, 33)
                + history:exposure(steel, 33)
    h.near(sum, history:exposure(steel), 1e-9)
end)

h.test("a file is read whole, or all of its faults", function()
    local path = h.temporary_file("time_s,temperature_F\n0,68\n8,600\n90,600\n")
    local history = assert(oxtint.read_history(path))
    h.near(history:temperature(90), (600 + 459.67) / 1.8, 1e-9)
    h.equal(#assert(oxtint.read_history(path, 82)), 3)
    local none, _, code, details = oxtint.read_history(path, 81)
    h.equal(none, nil)
    h.equal(code, "EPARSE")
    h.equal(#details.faults, 1)
    h.equal(details.faults[1].line, 4)
    path = h.temporary_file("time_s,temperature_F\n0,hot\n8,600\n7,600\n")
    none, _, code, details = oxtint.read_history(path)
    h.equal(none, nil)
    h.equal(code, "EPARSE")
    local faults = details.faults
    h.equal(faults[1].column .. faults[1].found, "temperature_Fhot")
    h.equal(faults[2].column .. faults[2].found, "time_s7")
    h.fails("EIO", oxtint.read_history "nowhere.csv")
    local read = assert(oxtint.read_history_text("time_s,temperature_F\n0,68\n8,600\n90,600\n", 82))
    h.equal(#read, 3)
    h.near(read:temperature(90), (600 + 459.67) / 1.8, 1e-9)
    h.fails("EPARSE", oxtint.read_history_text("time_s,temperature_F\n0,68\n8,600\n90,600\n", 81))
end)

-- 600 F is 588.70556 K, 68 F is 293.15 K: NIST SP 811.
h.test("a history of texts with units", function()
    local texts = assert(oxtint.history { time_s = { 0, "8 s", "1:30" }, temperature_K = { "68 F", "600 F", 590 },
                                          longest_gap_s = "2 min" })
    h.near(texts[1].temperature_K, 293.15, 1e-9)
    h.near(texts[2].temperature_K, 588.70556, 1e-5)
    h.near(texts[3].time_s, 90, 0)
    h.near(assert(oxtint.history { time_s = { 0, 9 }, temperature_K = "600 F" })[2].temperature_K, 588.70556, 1e-5)
    h.fails("EDOMAIN", oxtint.history { time_s = { 0, 9 }, temperature_K = 600, longest_gap_s = "5 s" })
end)

h.test("misuse and failure of histories", function()
    h.raises("time_s is missing", oxtint.history, { temperature_K = 600 })
    h.raises("temperature_K is missing", oxtint.history, { time_s = { 0, 1 } })
    h.raises("has 1 numbers, but time_s has 2", oxtint.history,
             { time_s = { 0, 1 }, temperature_K = { 600 } })
    h.raises("time_s: element 2: number or text with a unit expected, got boolean", oxtint.history,
             { time_s = { 0, true }, temperature_K = 600 })
    h.raises("temperature_K: list expected, got boolean", oxtint.history,
             { time_s = { 0, 1 }, temperature_K = true })
    h.fails("EUNIT", oxtint.history { time_s = { 0, "1" }, temperature_K = 600 })
    h.fails("EUNIT", oxtint.history { time_s = { 0, 1 }, temperature_K = { 600, "600" } })
    h.fails("EUNIT", oxtint.history { time_s = { 0, 1 }, temperature_K = "600" })
    h.fails("EUNIT", oxtint.history { time_s = { 0, 1 }, temperature_K = 600, longest_gap_s = "5" })
    h.fails("EUNIT", oxtint.read_history("nowhere.csv", "5"))
    h.raises("unknown key", oxtint.history, { time = {} })
    h.fails("EFEW", oxtint.history { time_s = { 0 }, temperature_K = 600 })
    local message = h.fails("EDOMAIN", oxtint.history { time_s = { 0, 12.5, 12 },
                                                        temperature_K = 600 })
    h.matches(message, "time 12 s of sample 3 is not after 12.5 s")
    h.fails("EDOMAIN", oxtint.history { time_s = { 0, 9 }, temperature_K = 600, longest_gap_s = 5 })
    local history = dip()
    h.raises("oxtint.steel expected", history.exposure, history, "steel")
    history:close()
    h.raises("the history is closed", function() return #history end)
    h.raises("the history is closed", history.temper, history)
end)

-- Lumped: 316 - (316 - 20) exp(-t/tau), tau = rho c V/(h A), written out; it enters at 5 s.
h.test("a thermocouple finds the heat transfer", function()
    local part = assert(oxtint.part { shape = "any", size_m = 0.003, heat_J_per_kgK = 560 })
    local times, kelvin = {}, {}
    for i = 0, 119 do
        local share = i < 5 and 1 or math.exp(-(i - 5) / (7850 * 560 * 0.003 / 450))
        times[#times + 1], kelvin[#kelvin + 1] = i, 589.15 - 296 * share
    end
    local log = assert(oxtint.history { time_s = times, temperature_K = kelvin })
    local found = assert(log:find_transfer(part, "316 C"))
    h.near(found.transfer_W_per_m2K, 450, 0.5)
    h.near(found.enter_s, 5, 0.02)
    h.equal(found.used, 120)
    h.fails("EFEW", assert(oxtint.history { time_s = { 0, 1 }, temperature_K = { 589, 589 } }):find_transfer(part, "316 C"))
    h.raises("invalid option", log.find_transfer, log, part, "316 C", "edge")
end)
