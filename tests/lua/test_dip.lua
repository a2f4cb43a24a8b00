-- SPDX-License-Identifier: GPL-3.0-or-later
-- Predicted dips.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Parabolic law, C. Wagner, Z. phys. Chem. B21 (1933) 25: t = x^2 / k, for the aim and for both
-- bounds.
h.test("times follow the constants of the steel", function()
    local steel = coupons.steel()
    local dip = assert(steel:dip("57 nm", 590))
    local rate = steel:thickness(590, 1) ^ 2
    h.near(dip.time_s, 57 ^ 2 / rate, 1e-9)
    h.near(dip.earliest_s, (0.95 * 57) ^ 2 / rate, 1e-9)
    h.near(dip.latest_s, (1.05 * 57) ^ 2 / rate, 1e-9)
    h.equal(dip.bath_K, 590.0)
    h.equal(dip.target.text, "57 nm")
end)

-- Coupons that follow the law exactly: the prediction is the time that made them.
h.test("a dip repeats the coupons", function()
    local steel = assert(oxtint.fit(coupons.log())).steel
    h.near(steel:dip(coupons.thickness(600, 80), 600).time_s, 80, 1e-4)
end)

-- Contract of oxt_dip: the interval of the next dip takes in that of the mean.
h.test("intervals lie round the aim, the next dip outside the mean", function()
    local dip = assert(coupons.steel():dip("blue", "600 F"))
    assert(dip.earliest_s < dip.time_s and dip.time_s < dip.latest_s)
    assert(dip.next_interval_s.low < dip.interval_s.low and dip.interval_s.low < dip.time_s)
    assert(dip.time_s < dip.interval_s.high and dip.interval_s.high < dip.next_interval_s.high)
    h.equal(dip.interval_s.low, dip.interval_low_s)
    h.equal(dip.interval_s.high, dip.interval_high_s)
    h.equal(dip.next_interval_s.low, dip.next_low_s)
    h.equal(dip.next_interval_s.high, dip.next_high_s)
    assert(dip.chance > 0 and dip.chance <= 1)
    h.equal(dip.confidence, 0.95)
end)

-- Three coupons of a given scatter leave one degree of freedom: Student's t is Cauchy's, and at 99.9 % there is no upper limit.
h.test("a limit without end is reported", function()
    local log = assert(oxtint.new_trials())
    for _, row in ipairs { { 560, 22.9 }, { 590, 42.9 }, { 620, 44.2 } } do
        assert(log:add { steel = "Alder 1", bath = row[1], time = 100, thickness_nm = row[2] })
    end
    local steel = assert(oxtint.fit(log, { scatter = 0.1 })).steel
    local dip = assert(steel:dip("blue", "600 F", { confidence = 0.999 }))
    assert(dip.next_interval_s.high > 1e20)
    assert(dip:report():find("0 s to over 11 days", 1, true))
end)

-- Statistics: more confidence or more wander makes an interval wider, and wander lowers the chance.
h.test("the choices of a dip are heard", function()
    local steel = coupons.steel()
    local usual = assert(steel:dip("blue", 600))
    local sure = assert(steel:dip("blue", 600, { confidence = 0.99 }))
    h.equal(sure.confidence, 0.99)
    assert(sure.interval_s.low < usual.interval_s.low)
    for _, options in ipairs { { bath_wander_K = 5 }, { time_wander_s = 5 } } do
        local wandering = assert(steel:dip("blue", 600, options))
        h.equal(wandering.interval_s.low, usual.interval_s.low)
        assert(wandering.next_interval_s.low < usual.next_interval_s.low)
        assert(wandering.chance < usual.chance)
    end
end)

-- Contract: a text, a number, L* a* b* and a target lead to the same dip.
h.test("every kind of target is taken", function()
    local steel = coupons.steel()
    h.equal(steel:dip(57, 600).time_s, steel:dip("57 nm", 600).time_s)
    h.equal(steel:dip(oxtint.target("blue"), 600).time_s, steel:dip("blue", 600).time_s)
    h.near(steel:dip({ oxtint.film_lab(57) }, 600).time_s, steel:dip(57, 600).time_s, 1e-2)
    local dip = assert(steel:dip("blue", 600))
    h.equal(steel:dip(dip.target, 600).time_s, dip.time_s)
    h.near(steel:dip("blue", "600 K").time_s, dip.time_s, 0)
end)

local function names_of(dip)
    local names = {}
    for _, caution in ipairs(dip.cautions) do
        names[caution.name] = caution.text
    end
    return names
end

-- Contract: every dip carries the caution about molten salt, and those that its numbers call for.
h.test("cautions come with the dip", function()
    local steel = coupons.steel()
    local within = names_of(assert(steel:dip("blue", 600)))
    h.matches(within.MOLTEN_SALT, "burns deep")
    h.matches(within.WATER, "steam")
    h.matches(within.SOFTENS, "tempers")
    h.equal(within.EXTRAPOLATED_BATH, nil)
    h.equal(within.OTHER_OPTICS, nil)
    local outside = names_of(assert(steel:dip("blue", 660)))
    h.matches(outside.EXTRAPOLATED_BATH, "extrapolation")
    local six_mm = assert(oxtint.part { size_m = 0.006 })
    h.matches(names_of(assert(steel:dip("blue", 600, { part = six_mm }))).COUPONS_UNKNOWN, "state it in the log")
    h.equal(names_of(assert(steel:dip("blue", 600, { part = six_mm, coupon = six_mm }))).COUPONS_UNKNOWN, nil)
    local dense = assert(oxtint.film { absorption_scale = 2 })
    h.matches(names_of(assert(steel:dip("blue", 600, { film = dense }))).OTHER_OPTICS, "film stack")
    -- 570 C, iron-oxygen phase diagram
    assert(names_of(assert(steel:dip("blue", "571 C"))).ABOVE_MODEL)
    h.equal(names_of(assert(steel:dip("blue", "569 C"))).ABOVE_MODEL, nil)
end)

h.test("the report in each scale", function()
    local steel = coupons.steel()
    local dip = assert(steel:dip("blue", "600 F"))
    h.matches(dip:report("C"), "^blue .* in a bath at 315.6 C\n")
    h.matches(dip:report("K"), "in a bath at 588.7 K\n")
    h.matches(dip:report(), "in a bath at 600 F\n")
    h.equal(tostring(dip), dip:report())
    h.matches(tostring(dip), "lift after")
    h.matches(tostring(dip), "\n  %- BURNS: molten salt clings and burns deep")
    assert(not tostring(dip):find("throws the salt", 1, true))
    h.matches(dip:report("F", "whole"), "at once and throws the salt")
    h.raises("invalid option 'all'", dip.report, dip, "F", "all")
    -- as the bath was asked for
    h.matches(tostring(steel:dip("blue", "320 C")), "in a bath at 320 C\n")
    h.matches(tostring(steel:dip("blue", "600 kelvin")), "in a bath at 600 K\n")
    h.matches(tostring(steel:dip("blue", 600)), "in a bath at 600 K\n")
    h.raises("invalid option 'R'", dip.report, dip, "R")
end)

h.test("dips that cannot be", function()
    local steel = coupons.steel()
    h.fails("EDOMAIN", steel:dip("blue", 300))
    h.fails("EDOMAIN", steel:dip("blue", 0 / 0))
    h.fails("EUNIT", steel:dip("blue", "600"))
    h.fails("EPARSE", steel:dip("mauve", 600))
    h.fails("EUNREACHABLE", steel:dip("blue", "100 C"))
    h.fails("EDOMAIN", steel:dip("blue", 600, { confidence = 0.2 }))
    h.fails("EDOMAIN", steel:dip("blue", 600, { bath_wander_K = -1 }))
    h.fails("EDOMAIN", steel:dip("blue", 600, { time_wander_s = 0 / 0 }))
end)

h.test("misuse of dip", function()
    local steel = coupons.steel()
    h.raises("got nil", steel.dip, steel)
    h.raises("number or text with a unit expected, got nil", steel.dip, steel, "blue")
    h.raises("number or text with a unit expected, got table", steel.dip, steel, "blue", { 600 })
    h.raises("table expected, got number", steel.dip, steel, "blue", 600, 0.9)
    h.raises("confidence: number expected, got string", steel.dip, steel, "blue", 600,
             { confidence = "0.9" })
    h.raises("unknown key 'wander', expected one of: confidence, bath_wander_K, time_wander_s, "
             .. "film", steel.dip, steel, "blue", 600, { wander = 1 })
    h.raises("oxtint.steel expected, got oxtint.target", steel.dip, oxtint.target("blue"), "blue",
             600)
end)

-- Contract: a card that states its coupons takes them as part and lift, says so, and refuses another; the
-- reference is the exposure of the same path.
h.test("a dip is of the usual coupon", function()
    local truth, log = coupons.steel(), assert(oxtint.new_trials())
    local thin = assert(oxtint.part { size_m = 0.002 })
    for _, bath in ipairs { 560, 600, 640 } do
        for _, time in ipairs { 60, 120, 240 } do
            local grown = math.sqrt(thin:exposure(truth, bath, time))
            assert(log:add { steel = "Alder 1", bath = bath, time = time, thickness_nm = grown, part = "2 mm" })
        end
    end
    local steel = assert(oxtint.fit(log)).steel
    h.equal(steel.basis, "steel")
    h.equal(steel.coupon_text, "2 mm plate")
    h.equal(steel.coupon_size_m, 0.002)
    h.equal(truth.basis, "coupons")
    h.equal(truth.coupon_text, "not stated")
    local dip = assert(steel:dip("blue", 600))
    h.near(math.sqrt(thin:exposure(truth, 600, dip.time_s)), dip.target.aim_nm, 1e-3 * dip.target.aim_nm)
    h.equal(dip.part_text, "2 mm plate, as the coupons")
    h.equal(dip.part_source, "coupon")
    h.equal(dip.part_size_m, 0.002)
    local none = assert(oxtint.part { size_m = 0 })
    local bare = assert(steel:dip("blue", 600, { part = none }))
    h.near(bare.time_s, dip.time_s - dip.lag_s, 1e-6 * dip.time_s)
    h.near(steel:equivalent_time(log, 5), thin:exposure(steel, 600, 120) / coupons.rate_of(steel, 600), 1e-6)
    local tracker = assert(oxtint.tracker { steel = steel, target = "blue", bath = 600 })
    assert(tracker:feed(0, 600))
    h.near(tracker:read().to_lift_s, dip.time_s, 1e-3 * dip.time_s)
    local nothing, message = steel:dip("blue", 600, { coupon = thin })
    assert(nothing == nil and message:find("stand for the steel itself", 1, true))
end)

h.test("a lift that alone overshoots is out of reach", function()
    local nothing, message, code = oxtint.starting_steel("Dogwood 4"):dip("faint straw", "650 F",
        { lift = { delay_s = 5 } })
    assert(nothing == nil and message:find("grow 16.6 nm, past faint straw", 1, true))
    h.equal(code, "EUNREACHABLE")
end)

-- Tables of the normal distribution, from memory: as likely and far apart, 5 % of two is what 10 % of one leaves out.
h.test("dips of which each may be right are averaged", function()
    local function of(k)
        return assert(oxtint.steel_from_values {
            steel = "Alder 1", k_ref_nm2_per_s = k, T_ref_K = 588.7, scatter = 0.05, variance_ln_k = 0.001, dof = 1e6,
            bath_low_K = 560, bath_high_K = 640, thickness_low_nm = 20, thickness_high_nm = 80 })
    end
    local steel, later = of(40), of(5)
    local first = assert(steel:dip("blue", "600 F", { confidence = 0.9 }))
    local second = assert(later:dip("blue", "600 F", { confidence = 0.9 }))
    local both = assert(oxtint.dip_average({ first, second }, { 3, 3 }))
    h.near(both.time_s, math.sqrt(first.time_s * second.time_s), 1e-9 * first.time_s)
    local z = 1.2815516 / 1.6448536
    h.near(both.interval_s.low, first.time_s * (first.interval_s.low / first.time_s) ^ z, 1e-4 * first.time_s)
    h.near(both.interval_s.high, second.time_s * (second.interval_s.high / second.time_s) ^ z, 1e-4 * second.time_s)
    local alone = assert(oxtint.dip_average({ first, second }, { 1, 0 }))
    h.near(alone.interval_high_s, first.interval_high_s, 1e-9 * first.interval_high_s)
    assert(alone:report():find("600 F", 1, true), "the first one's scale")
    h.fails("EDOMAIN", oxtint.dip_average({ first, second }, { 0, 0 }))
    h.fails("EARG", oxtint.dip_average({ first, assert(steel:dip("straw", "600 F", { confidence = 0.9 })) }, { 1, 1 }))
    h.raises("as many weights as dips", oxtint.dip_average, { first }, { 1, 2 })
    h.raises("numbers expected", oxtint.dip_average, { first }, { "x" })
    h.raises("dips[1]", oxtint.dip_average, { 5 }, { 1 })
end)
