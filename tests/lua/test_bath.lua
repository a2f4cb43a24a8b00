-- SPDX-License-Identifier: GPL-3.0-or-later
-- Salts and the baths that hold them.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

local function names_of(cautions)
    local names = {}
    for _, caution in ipairs(cautions) do
        names[caution.name] = caution.text
    end
    return names
end

h.test("salts have limits and properties", function()
    -- 350 to 1000 F: common practice, no source
    local limits = assert(oxtint.salt "unstated")
    h.near(limits.working_low_K, 450.15, 1e-9)
    h.near(limits.working_high_K, 811.15, 1e-9)
    h.matches(limits.source, "common practice")
    -- design-basis correlations of Sandia National Laboratories at 300 C
    local hot = assert(oxtint.salt("binary 60/40", "300 C"))
    h.near(hot.density_kg_per_m3, 1899.2, 1e-6)
    h.near(hot.heat_J_per_kgK, 1494.6, 1e-6)
    assert(limits.heat_J_per_kgK ~= limits.heat_J_per_kgK, "NaN without a temperature")
    h.fails("EDOMAIN", oxtint.salt("ternary", "100 C"))
    h.fails("EUNIT", oxtint.salt("ternary", "100"))
end)

-- Properties of the salt by hand in tests/c/test_bath.c: 817 W/(m2 K) by Churchill and Chu.
h.test("a still bath has natural convection", function()
    local bath = assert(oxtint.bath { salt = "binary 60/40" })
    local found = assert(bath:convection { size_m = "50 mm", bath = "350 C" })
    h.near(found.film_K, 573.15, 1e-9)
    h.near(found.transfer_W_per_m2K, found.nusselt * 0.5 / 0.05, 1e-6)
    assert(found.exponent > 0.2 and found.exponent < 0.33)
    local ball = assert(bath:convection { size_m = 0.05, bath = "350 C", difference_K = "18 F", surface = "sphere" })
    assert(ball.transfer_W_per_m2K < found.transfer_W_per_m2K)
    h.near(ball.film_K, 618.15, 1e-9)
    h.fails("EDOMAIN", bath:convection { size_m = 0.05 })
    h.fails("EDOMAIN", bath:convection { size_m = 2, bath = 600 })
    h.raises("one of upright, lying, sphere expected", bath.convection, bath,
             { size_m = 0.05, bath = 600, surface = "flat" })
end)

h.test("a bath corrects its thermometer", function()
    local bath = oxtint.bath { thermometer_offset_K = -4 }
    h.near(bath:true_K(600), 596, 1e-9)
    h.fails("EDOMAIN", bath:true_K "2000 F")
    h.fails("EDOMAIN", oxtint.bath { thermometer_offset_K = 60 }:true_K(600))
    -- 9 F are 5 K (NIST SP 811)
    local texts = assert(oxtint.bath { thermometer_offset_K = "9 F", wander_K = "3.6 F", thermometer_sd_K = "1.8 F" })
    h.near(texts.thermometer_offset_K, 5, 1e-12)
    h.near(texts.wander_K, 2, 1e-12)
    h.near(texts.thermometer_sd_K, 1, 1e-12)
    h.fails("EUNIT", oxtint.bath { wander_K = "3" })
end)

-- Physics: without a heater the salt loses what the load takes.
h.test("a load without a heater cools the bath for good", function()
    local bath = oxtint.bath { salt = "binary 60/40", salt_kg = 10 }
    local part = assert(oxtint.part { size_m = 0.006 })
    local sag = assert(bath:sag(part, 2, "600 F"))
    local heat = assert(oxtint.salt("binary 60/40", "600 F")).heat_J_per_kgK
    h.near(sag.heat_J / (10 * heat * sag.sag_K), 1, 1e-4) -- the salt that freezes melts again
    h.equal(sag.recovery_s, math.huge)
    assert(names_of(sag.cautions).SAG)
    local heated = oxtint.bath { salt = "binary 60/40", salt_kg = 10, heater_W = 1000 }
    local milder = assert(heated:sag(part, 2, "600 F"))
    assert(milder.sag_K < sag.sag_K and milder.recovery_s < math.huge)
end)

h.test("a sag costs film, endless salt costs none", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.003 })
    local small = oxtint.bath { salt_kg = 10, heater_W = 500 }
    local plain = assert(part:exposure(steel, "620 F", 90))
    h.near(oxtint.bath():exposure(steel, part, 2, "620 F", 90), plain, 1e-9 * plain)
    assert(small:exposure(steel, part, 2, "620 F", "1:30") < 0.9 * plain)
end)

h.test("a crust melts the sooner the hotter the bath, and a preheated part has none", function()
    local bath = assert(oxtint.bath { salt = "binary 60/40" })
    local part = assert(oxtint.part { size_m = 0.006 })
    local cool, hot = assert(bath:crust(part, "300 C")), assert(bath:crust(part, "340 C"))
    h.near(cool.melting_K, 229 + 273.15, 1e-9)
    assert(cool.melted_s > 1.4 * hot.melted_s and hot.melted_s > 10)
    assert(cool.thickest_m > 1e-4 and cool.thickest_m < 0.01)
    local warm = assert(oxtint.part { size_m = 0.006, start = "230 C" })
    h.equal(assert(bath:crust(warm, "300 C")).melted_s, 0)
    h.fails("EDOMAIN", bath:crust(part, "10 C"))
end)

-- 350 F: lower end of the working range of nitrate tempering salts: common practice, no source
h.test("cautions follow the salt and the true temperature", function()
    local cold = names_of(oxtint.bath():cautions "345 F")
    assert(cold.BELOW_MELTING and cold.WATER and cold.CYANIDES and cold.MOLTEN_SALT)
    h.equal(names_of(oxtint.bath { salt = "ternary" }:cautions "345 F").BELOW_MELTING, nil)
    h.equal(names_of(oxtint.bath { thermometer_offset_K = 5 }:cautions "345 F").BELOW_MELTING, nil)
    h.fails("EDOMAIN", oxtint.bath():cautions "50 F")
end)

h.test("only steel is for this process", function()
    h.matches(h.fails("EDOMAIN", oxtint.part { size_m = 0.006, metal = "brass" }), "brass is not for this process")
    h.raises("lead", oxtint.part, { size_m = 0.006, metal = "lead" })
end)

h.test("misuse of baths", function()
    local bath = oxtint.bath { salt_kg = 10 }
    h.raises("one of unstated, binary 60/40, binary eutectic, ternary", oxtint.bath, { salt = "table" })
    h.raises("table", oxtint.salt, "table")
    h.raises("oxtint.part expected", bath.sag, bath, 1, 1, 600)
    h.raises("oxtint.steel expected", bath.exposure, bath, 1, 1, 1, 600, 60)
    h.raises("number expected, got string", bath.sag, bath, oxtint.part { size_m = 0.006 }, "1", 600)
    local thick = oxtint.part { size_m = 0.06 }
    assert(bath:sag(thick, 1, 600)) -- however thick
    h.equal(tostring(oxtint.bath { salt = "ternary" }), "bath of salt, ternary")
    h.matches(tostring(bath), "^bath of 10%.?0* kg of salt, unstated$")
end)
