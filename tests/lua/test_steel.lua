-- SPDX-License-Identifier: GPL-3.0-or-later
-- Steels, their cards, and what grows on them.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Contract of oxt_steel_save: a card loads back number for number.
h.test("a steel saved is the steel loaded", function()
    local steel, path = coupons.steel(), h.temporary_name()
    h.equal(steel:save(path), true)
    local loaded = assert(oxtint.load_steel(path))
    for name, value in pairs(steel) do
        if type(value) ~= "table" then
            h.equal(loaded[name], value, name)
        end
    end
    h.equal(loaded.k_ref_nm2_per_s, steel.growth.k_ref_nm2_per_s)
    h.equal(loaded.T_ref_K, steel.growth.T_ref_K)
    h.equal(loaded.Q_J_per_mol, steel.growth.Q_J_per_mol)
    h.matches(tostring(loaded), "^oxtint.steel: Alder 1, satin, fit of 12 trials")
end)

h.test("a steel as text, and from values", function()
    local steel, path = coupons.steel(), h.temporary_name()
    assert(steel:save(path))
    h.equal(steel:to_card(), h.read_file(path))
    h.equal(assert(oxtint.steel_from_card(steel:to_card())), steel)
    h.fails("EPARSE", oxtint.steel_from_card("{}"))
    h.raises("string expected", oxtint.steel_from_card, {})
    local values = { steel = steel.steel, finish = steel.finish, k_ref_nm2_per_s = steel.k_ref_nm2_per_s,
                     T_ref_K = steel.T_ref_K, Q_J_per_mol = steel.Q_J_per_mol, trial_count = steel.trial_count }
    for _, name in ipairs { "variance_ln_k", "covariance_J_per_mol", "variance_Q_J2_per_mol2", "scatter", "dof",
                            "scatter_dof", "time_exponent", "time_exponent_stderr", "middle_nm",
                            "bath_low_K", "bath_high_K", "thickness_low_nm", "thickness_high_nm", "description",
                            "origin", "basis" } do
        values[name] = steel[name]
    end
    local made = assert(oxtint.steel_from_values(values))
    h.equal(made, steel)
    h.equal(made:dip("blue", 600), steel:dip("blue", 600))
    values.time_exponent, values.time_exponent_stderr, values.middle_nm = 0.4, 0.01, 45
    local bent = assert(oxtint.steel_from_values(values)):dip("light blue", 600)
    h.near(bent.law_time_s / bent.time_s, (73 / 45) ^ 0.48, 0.1)
    local free = assert(oxtint.steel_from_values(values)):dip("light blue", 600, { free_exponent = true })
    assert(free.interval_s.high > bent.interval_s.high)
    local others = assert(oxtint.steel_from_values(values)):dip("light blue", 600, { reader_sd = 0.1 })
    assert(others.interval_s.high > bent.interval_s.high and others.chance < bent.chance)
    values.time_exponent, values.time_exponent_stderr, values.middle_nm = 0, 0, 0
    values.scatter = -1
    local message, details = h.fails("EDOMAIN", oxtint.steel_from_values(values))
    h.matches(message, "scatter is %-1")
    h.equal(details.parameter, "scatter")
    h.fails("EARG", oxtint.steel_from_values {})
    h.raises("unknown key 'quench'", oxtint.steel_from_values, { quench = 1 })
    h.raises("trial_count: whole number of 0 or more expected", oxtint.steel_from_values, { trial_count = -1 })
    h.raises("basis: one of coupons, steel expected", oxtint.steel_from_values, { basis = "salt" })
    h.raises("table expected", oxtint.steel_from_values)
end)

-- x^2 = k t: the time for a thickness is the inverse of the thickness after a time.
h.test("times for thicknesses, one or many", function()
    local steel = coupons.steel()
    local time_s = assert(steel:time_for(57, "600 K"))
    h.near(steel:thickness(600, time_s), 57, 1e-9)
    h.equal(steel:time_for("57 nm", 600), time_s)
    local times = assert(steel:time_for({ 28.5, 57 }, 600))
    h.equal(#times, 2)
    h.near(times[2] / times[1], 4, 1e-9)
    h.equal(times[2], time_s)
    h.equal(#steel:time_for(57, { 560, 600, 640 }), 3)
    h.fails("EDOMAIN", steel:time_for(-1, 600))
    h.fails("EUNIT", steel:time_for("57", 600))
    h.raises("list as long as the one before", steel.time_for, steel, { 1, 2 }, { 600 })
end)

-- Contract of oxt_caution_report: each once, a list of what is particular and one of what is always true.
h.test("cautions of several results as one text", function()
    local steel = coupons.steel()
    local first, second = steel:dip("blue", "120 C"), steel:dip("blue", "545 C")
    local all = {}
    for _, dip in ipairs { first, second } do
        table.move(dip.cautions, 1, #dip.cautions, #all + 1, all)
    end
    local text = oxtint.cautions_report(all)
    h.equal(select(2, text:gsub("WATER:", "")), 1)
    for _, caution in ipairs(all) do
        assert(text:gsub("%s+", " "):find(caution.brief, 1, true), caution.brief)
    end
    assert(#oxtint.cautions_report(all, "whole") > #text)
    h.equal(oxtint.cautions_report {}, oxtint.cautions_report({}, "brief"))
    h.matches(oxtint.cautions_report { "WATER" }, "WATER: dry and preheat")
    h.raises("element 1: a caution or the name of one expected", oxtint.cautions_report, { "FIRE" })
    h.raises("table expected", oxtint.cautions_report, "WATER")
end)

-- Contract of oxt_steel_save: a card replaces a card, and a log only when it is told to.
h.test("a save does not replace a file of another kind", function()
    local steel, path = coupons.steel(), h.temporary_name()
    local file = assert(io.open(path, "w"))
    file:write("steel,bath_F,time_s,colour\nAlder 1,600,60,blue\n")
    file:close()
    local saved, message, code = steel:save(path)
    h.equal(saved, nil)
    h.equal(code, "EEXIST")
    h.matches(message, "card")
    h.matches(h.read_file(path), "^steel,bath_F")
    h.equal(steel:save(path, { overwrite = true }), true)
    h.equal(steel:save(path), true)
    local log = coupons.log()
    h.equal(select(3, log:write(path)), "EEXIST")
    h.equal(log:write(path, { overwrite = true }), true)
    h.equal(pcall(steel.save, steel, path, { overwrite = 1 }), false)
    h.equal(pcall(steel.save, steel, path, { force = true }), false)
end)

-- The card writes each field under its name in C: so each field here is the one that it says.
h.test("each field is the field of its name", function()
    local steel, path = coupons.steel(), h.temporary_name()
    assert(steel:save(path))
    local compared = 0
    for name, text in h.read_file(path):gmatch('"([%w_]+)": ([^,\n]+)') do
        local value = steel[name]
        if value == nil then
            value = steel.growth[name]
        end
        if type(value) == "number" then
            h.equal(value, tonumber(text), name)
            compared = compared + 1
        elseif type(value) == "string" then
            h.equal('"' .. value:match("[^,]*"), text:gsub('"$', ""), name)
            compared = compared + 1
        end
    end
    h.equal(compared, 23)
end)

-- The range of the trials is what was logged.
h.test("a steel knows what its trials covered", function()
    local steel = coupons.steel()
    h.equal(steel.bath_low_K, 560.0)
    h.equal(steel.bath_high_K, 640.0)
    h.equal(steel.trial_count, 12)
    h.near(steel.thickness_low_nm, coupons.thickness(560, 20) * 1.03, 1e-9)
    h.near(steel.thickness_high_nm, coupons.thickness(640, 160) * 0.97, 1e-9)
end)

h.test("cards that cannot be loaded", function()
    local steel, path = coupons.steel(), h.temporary_name()
    assert(steel:save(path))
    local card = h.read_file(path)
    local function load_changed(pattern, replacement)
        local changed, count = card:gsub(pattern, replacement)
        h.equal(count, 1)
        return oxtint.load_steel(h.temporary_file(changed))
    end
    h.fails("EVERSION", load_changed('"major": 1', '"major": 2'))
    h.fails("EDOMAIN", load_changed('"scatter": ', '"scatter": -'))
    h.fails("EPARSE", load_changed('"scatter": [^,]+', '"scatter": "much"'))
    h.fails("EPARSE", load_changed('"finish": [^,]+,', ""))
    h.fails("EPARSE", oxtint.load_steel(h.temporary_file("steel,finish\n")))
    h.fails("EPARSE", oxtint.load_steel(h.temporary_file("")))
    h.matches(h.fails("EIO", oxtint.load_steel("/nonexistent/card.json")), "/nonexistent/card.json")
    h.fails("EIO", steel:save("/nonexistent/card.json"))
end)

-- C. Wagner, Z. phys. Chem. B21 (1933) 25: parabolic growth, so twice the time gives sqrt(2) times
-- the film.
h.test("twice the time gives sqrt(2) times the film", function()
    local steel = coupons.steel()
    h.near(steel:thickness(600, 120) / steel:thickness(600, 60), math.sqrt(2), 1e-14)
    h.equal(steel:thickness(600, 0), 0.0)
end)

-- Arrhenius: k = k_ref exp(-(Q/R) (1/T - 1/T_ref)), with R of the SI of 2019.
h.test("thickness follows the constants of the steel", function()
    local steel = coupons.steel()
    local rate = steel.k_ref_nm2_per_s * math.exp(-steel.Q_J_per_mol / 8.314462618 * (1 / 575 - 1 / steel.T_ref_K))
    h.near(steel:thickness(575, 70), math.sqrt(rate * 70), 1e-11)
end)

-- Contract: lists give lists, and one value goes with every element of the other list.
h.test("lists of baths and times", function()
    local steel = coupons.steel()
    local function list(found, expected)
        h.equal(#found, #expected)
        for i, value in ipairs(expected) do
            h.equal(found[i], value)
        end
    end
    local one, two = steel:thickness(560, 30), steel:thickness(600, 60)
    list(steel:thickness({ 560, 600 }, { 30, 60 }), { one, two })
    list(steel:thickness({ 560, 560 }, 30), { one, one })
    list(steel:thickness(560, { 30 }), { one })
    list(steel:thickness({}, 30), {})
    list(steel:thickness({}, {}), {})
    list(steel:thickness({ "600 K", 600 }, "1:00"), { two, two })
    h.near(steel:thickness("600 F", "60 s"), steel:thickness((600 + 459.67) / 1.8, 60), 1e-12)
end)

h.test("failures and misuse of thickness", function()
    local steel = coupons.steel()
    h.fails("EDOMAIN", steel:thickness(-1, 60))
    h.fails("EDOMAIN", steel:thickness(600, -1))
    h.fails("EDOMAIN", steel:thickness(600, 0 / 0))
    h.fails("EUNIT", steel:thickness("600", 60))
    h.fails("EUNIT", steel:thickness(600, "60"))
    h.fails("EPARSE", steel:thickness({ 600, "hot" }, 60))
    h.matches(h.fails("EDOMAIN", steel:thickness({ 600, -1, 600 }, 60)), "element 2")
    h.raises("as long as the one before", steel.thickness, steel, { 600, 610 }, { 60 })
    h.raises("number or text with a unit expected, got nil", steel.thickness, steel)
    h.raises("number or text with a unit expected, got nil", steel.thickness, steel, 600)
    h.raises("number or text with a unit expected, got boolean", steel.thickness, steel, true, 60)
    h.raises("element 2: number or text with a unit expected", steel.thickness, steel, 600,
             { 60, false })
end)

-- Round trip: the bath that gives a target in a time gives the time of that target.
h.test("bath_for turns dip round", function()
    local steel = coupons.steel()
    for _, time in ipairs { 15, 60, 240 } do
        local bath = assert(steel:bath_for("blue", time))
        h.near(steel:dip("blue", bath).time_s, time, 1e-9 * time)
    end
    h.near(steel:bath_for("blue", "1:30"), steel:bath_for("blue", 90), 0)
    h.near(steel:thickness(steel:bath_for(57, 90), 90), 57, 1e-9)
    local dense = assert(oxtint.film { absorption_scale = 2 })
    assert(steel:bath_for("blue", 90) ~= steel:bath_for("blue", 90, { film = dense }))
end)

h.test("no bath comes without its cautions", function()
    local steel = coupons.steel()
    local dip = assert(steel:dip_for_time("blue", 90))
    local bath_K, cautions = steel:bath_for("blue", 90)
    h.near(dip.bath_K, bath_K, 0)
    h.near(dip.time_s, 90, 1e-6)
    h.equal(#cautions, #dip.cautions)
    h.equal(cautions[1].kind, "case")
    h.equal(cautions[#cautions].kind, "bath")
    h.matches(cautions[#cautions].brief, "^ABOVE ALL: ")
    -- 538 C is the end of the usual working range: common practice, no source
    local hot
    hot, cautions = steel:bath_for("light blue", 1)
    assert(hot > 811.15)
    h.equal(cautions[1].kind, "forbids")
    h.matches(cautions[1].text, "^TOO HOT: .*538 C")
    h.fails("EUNREACHABLE", steel:dip_for_time("blue", 1e-3))
    -- the card's own baths
    h.equal(steel.cautions[1].name, "SOFTENS")
    h.equal(steel.cautions[#steel.cautions].name, "DATA_SHEET")
    local baths = assert(steel:baths("blue", { low = "560 F", high = "620 F" }))
    local short, whole = baths:report(), baths:report("F", "whole")
    assert(short:find("WATER: ", 1, true) and not short:find("throws the salt", 1, true))
    assert(whole:find("throws the salt", 1, true))
end)

-- 700 C is 1292 F, 100 C is 212 F: NIST SP 811
h.test("messages speak of what was typed", function()
    local steel = coupons.steel()
    local function says(words, result, message)
        h.equal(result, nil)
        h.equal(message, words)
    end
    says("bath 6500 F is out of range (212 to 1292 F)", steel:dip("blue", "6500 F"))
    says("low (640 F) must be below high (560 F)",
         steel:most_forgiving("blue", { low = "640 F", high = "560 F" }))
    h.matches(select(2, steel:most_forgiving("blue", { low = "500 F", high = "700 F", longest = "1 s" })),
              "^even at 700 F blue takes ")
    h.matches(select(2, steel:dip("blue", 50)), "^bath_K is 50, expected")
end)

h.test("failures and misuse of bath_for", function()
    local steel = coupons.steel()
    h.fails("EUNREACHABLE", steel:bath_for("blue", 1e-3))
    h.fails("EUNREACHABLE", steel:bath_for("faint straw", 1e6))
    h.fails("EDOMAIN", steel:bath_for("blue", 0))
    h.fails("EDOMAIN", steel:bath_for("blue", 2e6))
    h.fails("EPARSE", steel:bath_for("mauve", 60))
    h.fails("EUNIT", steel:bath_for("blue", "60"))
    h.raises("got boolean", steel.bath_for, steel, true, 60)
    h.raises("number or text with a unit expected, got nil", steel.bath_for, steel, "blue")
    h.raises("unknown key 'confident', expected one of: confidence", steel.bath_for, steel, "blue", 60,
             { confident = 0.9 })
end)

h.test("misuse of cards", function()
    local steel = coupons.steel()
    h.raises("string expected, got no value", oxtint.load_steel)
    h.raises("string expected, got number", oxtint.load_steel, 5)
    h.raises("string expected, got nil", steel.save, steel, nil)
    h.raises("without NUL bytes", steel.save, steel, "card\0.json")
end)

-- Common practice, no source: about a minute at 650 F gives blue.
h.test("a steel to begin with", function()
    local steel = assert(oxtint.starting_steel("Alder 1"))
    h.equal(steel.finish, "")
    h.equal(steel.trial_count, 0)
    h.matches(steel.origin, "no trial yet")
    local dip = assert(steel:dip("blue", "650 F"))
    h.near(dip.time_s, 60, 1e-6)
    assert(dip.interval_s.high > 3.8 * dip.time_s)
    local names = {}
    for _, caution in ipairs(dip.cautions) do
        names[caution.name] = true
    end
    assert(names.EXTRAPOLATED_BATH and names.EXTRAPOLATED_FILM and names.LOOSE_FIT)
    local dense = assert(oxtint.film { absorption_scale = 2 })
    local other = assert(oxtint.starting_steel("Alder 1", "satin", { film = dense }))
    h.equal(other.finish, "satin")
    h.equal(other.description, dense.description)
    h.fails("EARG", oxtint.starting_steel(""))
    h.fails("EARG", oxtint.starting_steel(("x"):rep(64)))
    h.raises("string expected, got no value", oxtint.starting_steel)
    h.raises("string expected, got table", oxtint.starting_steel, "Alder 1", {})
end)
