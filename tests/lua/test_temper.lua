-- SPDX-License-Identifier: GPL-3.0-or-later
-- What dips do to hardened steel.
local oxtint = require "oxtint"
local h = require "harness"

local known = { steel = "1095", last = { "400 F", "2 h" } }

-- Hollomon and Jaffe, Trans. AIME 162 (1945) 223: P = T (20 + log10 t).
h.test("the parameter and its inverses", function()
    h.near(oxtint.temper_parameter("300 C", "1 h"), 11463, 1e-9)
    h.near(oxtint.temper_parameter("300 C", 3600, 18), 573.15 * 18, 1e-9)
    h.near(oxtint.temper_temperature(11463, "10 min"), 323.2026 + 273.15, 5e-5)
    h.near(oxtint.temper_time(11463, "325 C"), 0.1459114171 * 3600, 1e-6)
    h.fails("EDOMAIN", oxtint.temper_parameter(600, 0))
    h.fails("EUNIT", oxtint.temper_parameter("600", 60))
    h.fails("EUNREACHABLE", oxtint.temper_time(11463, 10))
    h.raises("number expected", oxtint.temper_time, "11463", 600)
end)

-- ASM Heat Treater's Guide, 1095, 2 h: read in a stored copy.
h.test("hardness of the table", function()
    for temper_F, hardness in pairs { [400] = 58, [500] = 57, [600] = 52, [700] = 47 } do
        local parameter = oxtint.temper_parameter(temper_F .. " F", "2 h")
        h.near(oxtint.temper_hardness("1095", parameter), hardness, 1e-9)
    end
    h.fails("EDOMAIN", oxtint.temper_hardness("1095", 9000))
    h.fails("EARG", oxtint.temper_hardness("Alder 1", 11000))
end)

local function caution_names(temper)
    local names = {}
    for _, caution in ipairs(temper.cautions) do
        names[caution.name] = true
    end
    return names
end

h.test("a hotter dip softens, a cooler one does not", function()
    local hot = assert(oxtint.temper_dip("600 F", "5 min", known))
    h.equal(hot.softens, true)
    h.equal(hot.below_floor, false)
    local said = caution_names(hot)
    assert(said.SOFTENS and said.HARDENED and said.WATER)
    h.near(hot.hardness_before_HRC, 58, 1e-9)
    assert(hot.hardness_after_HRC < 57)
    h.matches(tostring(hot), "^SOFTENS")
    h.matches(tostring(hot), "one hour at +%d+%.?%d* F\n")
    h.matches(hot:report "C", "one hour at +%d+%.?%d* C\n")
    local cool = assert(oxtint.temper_dip("350 F", "1 min", known))
    h.equal(cool.softens, false)
    said = caution_names(cool)
    assert(said.WATER and not said.SOFTENS and not said.HARDENED)
    h.equal(oxtint.temper_dip("350 F", 9).below_floor, true)
end)

h.test("what is not stated is not known", function()
    local temper = assert(oxtint.temper_dip(600, 60))
    h.equal(temper.softens, nil)
    assert(h.is_nan(temper.last_parameter) and h.is_nan(temper.hardness_after_HRC))
    local said = caution_names(temper)
    assert(said.SOFTENS and not said.HARDENED)
    h.matches(temper:report(), "^Whether it softens is not known")
end)

h.test("a history tempers as its stay does", function()
    local stay = assert(oxtint.history { time_s = { 0, 300 }, temperature_K = 590 })
    local temper, dip = assert(stay:temper(known)), assert(oxtint.temper_dip(590, 300, known))
    h.near(temper.parameter, dip.parameter, 1e-8)
    h.near(temper.total_parameter, dip.total_parameter, 1e-8)
    h.equal(stay:temper().softens, nil)
    h.matches(tostring(temper), "one hour at +%d+%.?%d* F\n")
end)

h.test("misuse and failure of tempers", function()
    for _, last in ipairs { "400 F", { "400 F" }, { "400 F", "2 h", 1 }, { {}, 1 }, { 0, 0 } } do
        h.raises("last: ", oxtint.temper_dip, 600, 60, { last = last })
    end
    h.raises("unknown key", oxtint.temper_dip, 600, 60, { lats = 1 })
    h.fails("EUNIT", oxtint.temper_dip(600, 60, { last = { "400", "2 h" } }))
    h.fails("EARG", oxtint.temper_dip(600, 60, { steel = "O1" }))
    h.fails("EDOMAIN", oxtint.temper_dip(300, 60))
    h.fails("EDOMAIN", oxtint.temper_dip(600, 60, { constant = 1 }))
end)
