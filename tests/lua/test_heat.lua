-- SPDX-License-Identifier: GPL-3.0-or-later
-- Parts that warm up.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

h.test("the thermocouple bead of the textbook", function()
    -- Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, example 5.1: from 25 to 199 C in gas
    -- of 200 C in 5.164786 s.
    local bead = assert(oxtint.part {
        shape = "any", size_m = 7.058824e-4 / 6, start = "25 C", transfer_W_per_m2K = 400,
        density_kg_per_m3 = 8500, heat_J_per_kgK = 400, conductivity_W_per_mK = 20,
    })
    local warming = assert(bead:warming("200 C"))
    h.equal(warming.lumped, true)
    assert(math.abs(warming.tau_s - 1) < 1e-6)
    local surface_K = assert(bead:surface_temperature("200 C", 5.164786))
    assert(math.abs(surface_K - 472.15) < 1e-5)
end)

h.test("carbon steel of EN 1993-1-2", function()
    local part = assert(oxtint.part { size_m = 0.006, start = "200 C" })
    local warming = assert(part:warming "200 C")
    h.near(warming.heat_J_per_kgK, 529.76, 1e-4)
    h.near(warming.conductivity_W_per_mK, 47.34, 1e-4)
end)

h.test("a thicker part is never sooner, and time is the inverse of exposure", function()
    local steel, before = coupons.steel(), 0
    for _, size_m in ipairs { 0.001, 0.003, 0.006, 0.02, 0.05 } do
        local part = assert(oxtint.part { size_m = size_m })
        local time_s, lag_s = part:time_for(steel, 57, "620 F")
        assert(time_s > before and lag_s > 0 and lag_s < time_s)
        local exposure = assert(part:exposure(steel, "620 F", time_s))
        assert(math.abs(exposure ^ 0.5 - 57) < 1e-4)
        before = time_s
    end
end)

h.test("misuse and failure of parts", function()
    h.raises("unknown key", oxtint.part, { size = 1 })
    h.raises("cube", oxtint.part, { shape = "cube" })
    h.raises("table expected", oxtint.part, 6)
    local part = assert(oxtint.part { size_m = 0.006, start = "300 C" })
    h.fails("EDOMAIN", part:warming("200 C"))
    h.fails("EUNIT", oxtint.part { size_m = 0.006 }:warming "600")
    h.raises("oxtint.steel expected", part.exposure, part, "steel", 600, 60)
end)

-- Ranges of oxt_part: a part that no bath would take is not made.
h.test("parts are checked when they are made", function()
    for name, value in pairs { size_m = -1, start = 100, transfer_W_per_m2K = 0, density_kg_per_m3 = 0,
                               heat_J_per_kgK = -1, conductivity_W_per_mK = -1 } do
        local message, details = h.fails("EDOMAIN", oxtint.part { size_m = 0.006, [name] = value })
        assert(details.parameter:find(name, 1, true) and message:find(details.parameter, 1, true), name)
    end
    local message = h.fails("EDOMAIN", oxtint.part { size_m = "2 m" })
    h.matches(message, "size_m 2 m is too large %(limit 1000 mm%)")
    h.equal(assert(oxtint.part {}).size_m, 0.0)
end)

-- Physics: without losses the part grows as in the bath; else it cools and grows less.
h.test("a part grows between lift and quench", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.002 })
    local rate = steel:thickness(600, 1) ^ 2
    local sheltered, quench = part:lift_exposure(steel, 600,
                                                 { delay_s = 8, convection_W_per_m2K = 0, emissivity = 0 })
    h.near(sheltered, 8 * rate, 1e-9)
    h.near(quench, 600, 1e-9)
    local open, cooler = part:lift_exposure(steel, "600 K", { delay_s = 8 })
    assert(open < sheltered and cooler < 600)
    h.fails("EDOMAIN", part:lift_exposure(steel, 600, { delay_s = -1 }))
    h.fails("EUNIT", part:lift_exposure(steel, "600", { delay_s = 1 }))
    h.raises("lift: table, time or text with a unit expected, got nil", part.lift_exposure, part, steel, 600, nil)
    h.equal(part:lift_exposure(steel, 600, 8), part:lift_exposure(steel, 600, { delay_s = 8 }))
    h.equal(part:lift_exposure(steel, 600, "8 s"), part:lift_exposure(steel, 600, { delay_s = 8 }))
    h.fails("EUNIT", part:lift_exposure(steel, 600, "8"))
    h.raises("unknown key 'delay'", part.lift_exposure, part, steel, 600, { delay = 8 })
    h.raises("delay_s: number expected", part.lift_exposure, part, steel, 600, { delay_s = "8" })
end)

-- Contract: a part like the coupons takes the time of the trials; one of its own is reckoned with.
h.test("a dip hears of part, lift, coupon and the film already there", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.006 })
    local lift = { delay_s = 5 }
    local bare = assert(steel:dip("blue", 600))
    local same = assert(steel:dip("blue", 600, { coupon = part, coupon_lift = lift }))
    h.near(same.time_s, bare.time_s, 1e-9)
    assert(same.lag_s > 0 and same.lift_growth_nm > 0 and bare.lag_s == 0)
    local slower = assert(steel:dip("blue", 600, { part = part }))
    h.near(slower.time_s, part:time_for(steel, bare.target.aim_nm, 600), 1e-9)
    local sooner = assert(steel:dip("blue", 600, { part = part, lift = lift }))
    assert(sooner.time_s < slower.time_s)
    h.near(steel:bath_for("blue", sooner.time_s, { part = part, lift = lift }), 600, 1e-6)
    local brown = assert(steel:dip("brown", 600))
    local rest = assert(steel:dip("blue", 600, { initial = "brown" }))
    h.near(brown.time_s + rest.time_s, bare.time_s, 1e-9)
    h.equal(rest.initial_nm, brown.target.aim_nm)
    h.equal(steel:dip("blue", 600, { initial = 30 }).initial_nm, 30.0)
    h.fails("EUNREACHABLE", steel:dip("brown", 600, { initial = "blue" }))
    h.fails("EPARSE", steel:dip("blue", 600, { initial = "mauve" }))
    -- texts and numbers as in Python: a size alone is a plate of steel, a time alone the delay of a lift
    local texts = assert(steel:dip("blue", 600, { part = "6 mm", lift = "5 s", coupon = 0.002, coupon_lift = 3,
                                                  bath_wander_K = "9 F", time_wander_s = "2 s" }))
    local plain = assert(steel:dip("blue", 600, { part = part, lift = lift, coupon = assert(oxtint.part { size_m = "2 mm" }),
                                                  coupon_lift = { delay_s = 3 }, bath_wander_K = 5, time_wander_s = 2 }))
    h.equal(texts.time_s, plain.time_s)
    h.equal(texts.chance, plain.chance)
    h.equal(texts.part_text, plain.part_text)
    for name, wrong in pairs { part = "6", lift = "4 furlongs", coupon = "2 F", coupon_lift = "3", bath_wander_K = "5",
                               time_wander_s = "2 mm" } do
        h.fails("EUNIT", steel:dip("blue", 600, { [name] = wrong }))
    end
    h.fails("EDOMAIN", steel:dip("blue", 600, { part = 6 }))
    h.raises("part: a size above 0 expected", steel.dip, steel, "blue", 600, { part = 0 })
    h.raises("part: oxtint.part expected, got boolean", steel.dip, steel, "blue", 600, { part = true })
    h.raises("coupon_lift: table, time or text", steel.dip, steel, "blue", 600, { coupon_lift = true })
    local list = { { name = "bezel", steel = steel, target = "blue", part = "6 mm", lift = "5 s" },
                   { name = "collar", steel = steel, target = "blue", part = part, lift = lift } }
    local set = assert(oxtint.plan_set { bath = 600, parts = list, bath_wander_K = "2 K", time_wander_s = "1 s" })
    h.equal(set.steps[1].dip.time_s, set.steps[2].dip.time_s)
    h.fails("EUNIT", oxtint.plan_set { bath = 600, parts = { { steel = steel, target = "blue", part = "6" } } })
    part:close()
    h.raises("part: the part is closed", steel.dip, steel, "blue", 600, { part = part })
end)

h.test("a dip hears of its salt bath, its load and the part's last temper", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.006 })
    local pot = oxtint.bath { salt = "ternary", thermometer_offset_K = 5, salt_kg = 15, heater_W = 1000 }
    local here = assert(steel:dip("blue", 595, { part = part, salt_bath = pot }))
    assert(here.crust_s > 5 and here.preheat_saves_s > 3)
    assert(here.time_s > steel:dip("blue", 600, { part = part }).time_s + 2)
    h.near(here.crust_s, pot:crust(part, 600).melted_s, 1e-9)
    local warm = assert(oxtint.part { size_m = 0.006, start = 142 + 273.15 })
    h.near(here.time_s - here.preheat_saves_s, steel:dip("blue", 595, { part = warm, salt_bath = pot }).time_s, 1e-6)
    local still = assert(oxtint.part { size_m = 0.006, flow = "still", transfer_at_K = 100 })
    local steep = assert(oxtint.part { size_m = 0.006, flow = "still", transfer_at_K = 100, transfer_exponent = 0.4 })
    local half = assert(oxtint.part { size_m = 0.006, wetted = 0.5 })
    h.equal(still.flow, "still")
    assert(still:surface_temperature(600, 10) > part:surface_temperature(600, 10))
    assert(still:surface_temperature(600, 120) < part:surface_temperature(600, 120))
    assert(steep:surface_temperature(600, 120) < still:surface_temperature(600, 120))
    h.near(half:surface_temperature(600, 60), oxtint.part { size_m = 0.012 }:surface_temperature(600, 60), 1e-9)
    h.raises("flow", oxtint.part, { size_m = 0.006, flow = "windy" })
    local function names(options)
        local found = {}
        for _, caution in ipairs(assert(steel:dip("blue", 595, options)).cautions) do
            found[caution.name] = true
        end
        return found
    end
    assert(names { part = part, salt_bath = pot, load_kg = 3 }.SAG)
    assert(not names { part = part, salt_bath = pot }.SAG)
    assert(names { last_temper = { "400 F", "2 h" } }.HARDENED)
    assert(not names { last_temper = { "700 F", "2 h" } }.HARDENED)
    h.fails("EUNIT", steel:dip("blue", 600, { last_temper = { "400", "2 h" } }))
    local _, said = steel:dip("blue", 600, { last_temper = { "40 F", "2 h" } })
    assert(said == "last_temper 40 F is out of range (212 to 1292 F)", said)
    _, said = steel:dip("5000 nm", 600)
    assert(said == "thickness 5000 nm is too large (limit 1000 nm)", said)
    h.raises("last_temper: list of a temperature and a time", steel.dip, steel, "blue", 600,
             { last_temper = 477 })
    h.raises("salt_bath: oxtint.salt_bath expected", steel.dip, steel, "blue", 600,
             { salt_bath = 5 })
end)
