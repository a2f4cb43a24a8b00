-- SPDX-License-Identifier: GPL-3.0-or-later
-- The next coupons, and drift.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

h.test("advised coupons stay in their range and help one by one", function()
    local steel = coupons.steel()
    local advice = assert(steel:advise { target = "blue", bath = "640 F", low = "560 F", high = "660 F",
                                         shortest = "20 s", longest = "5:00", count = 4 })
    h.equal(#advice.coupons, 4)
    local ratio = 1
    for _, coupon in ipairs(advice.coupons) do
        assert(coupon.bath_K >= oxtint.parse_temperature("560 F"))
        assert(coupon.bath_K <= oxtint.parse_temperature("660 F"))
        assert(coupon.time_s >= 20 and coupon.time_s <= 300 and coupon.time_s % 1 == 0)
        h.equal(oxtint.name_of(coupon.thickness_nm), coupon.label)
        h.near(steel:thickness(coupon.bath_K, coupon.time_s), coupon.thickness_nm, 1e-9)
        assert(coupon.interval_ratio < ratio)
        ratio = coupon.interval_ratio
    end
    h.equal(advice.coupons[1].cautions[1].name, "SOFTENS")
    h.equal(advice.coupons[1].cautions[2].name, "MOLTEN_SALT")
    h.matches(advice:report("F", "whole"), "throws the salt")
    assert(tostring(advice):find("blue at 640 F", 1, true))
    assert(advice:report("K"):find("K", 1, true))
    assert(rawequal(advice.coupons, advice.coupons))
end)

-- A. C. Atkinson and A. N. Donev, Optimum Experimental Designs (1992), from memory: a straight line is
-- best known at both its ends.
h.test("both constants need both ends", function()
    local advice = assert(coupons.steel():advise { criterion = "constants", count = 2, low = 560,
                                                   high = 640, shortest = 1 })
    local first, second = advice.coupons[1].bath_K, advice.coupons[2].bath_K
    h.equal(math.min(first, second), 560.0)
    h.equal(math.max(first, second), 640.0)
end)

-- The farther from the middle film, the more a coupon tells of the exponent.
h.test("coupons that tell laws apart", function()
    local advice = assert(coupons.steel():advise { criterion = "law", count = 2, highest_order = 2 })
    local first, second = advice.coupons[1].exponent_stderr, advice.coupons[2].exponent_stderr
    assert(second > 0 and second < first)
    h.matches(advice:report(), "for the law of growth")
end)

h.test("misuse and failure of advice", function()
    local steel = coupons.steel()
    h.fails("EDOMAIN", steel:advise { count = 5 })
    h.fails("EDOMAIN", steel:advise { count = -1 })
    h.fails("EARG", steel:advise { highest_order = 3 })
    h.fails("EUNIT", steel:advise { bath = "600" })
    h.fails("EPARSE", steel:advise { target = "mauve" })
    h.raises("criterion: one of dip, constants, law expected", steel.advise, steel, { criterion = "all" })
    h.raises("unknown key 'baths'", steel.advise, steel, { baths = 600 })
    h.raises("count: whole number expected", steel.advise, steel, { count = 2.5 })
end)

-- Twelve coupons as the law has them, then twelve of a bath that runs 20 % fast.
h.test("a bath that runs fast", function()
    local log = coupons.log(0.01)
    for _, bath in ipairs { 560, 600, 640 } do
        for place, time in ipairs { 20, 40, 80, 160 } do
            local share = place % 2 == 0 and 0.01 or -0.01
            assert(log:add { steel = "Alder 1", finish = "satin", bath = bath, time = time,
                             thickness_nm = coupons.thickness(bath, 1.2 * time) * (1 + share) })
        end
    end
    local fit = assert(oxtint.fit(log))
    local drift = assert(fit:drift())
    h.equal(drift.called, true)
    h.equal(drift.since, 13)
    h.equal(drift.after_count, 12)
    h.near(drift.rate_factor, 1.2, 0.02)
    h.near(drift.anchor_factor * fit.k_ref_nm2_per_s / (1.2 * coupons.rate(fit.T_ref_K)), 1, 0.01)
    h.matches(drift:report(), "^since coupon 13 the film grows %d+ %% faster")
    h.matches(drift:report(), "\nCautions for every salt bath\n.*  %- WATER: ")
    h.matches(drift:report "whole", "throws the salt")
    h.equal(drift.cautions[#drift.cautions].name, "DATA_SHEET")
    h.equal(drift.trend, false)
    h.equal(drift.day_count, 0)
    h.equal(drift.rate_factor_per_day, 1)
    assert(drift.trend_statistic ~= drift.trend_statistic and drift.trend_limit ~= drift.trend_limit)
    h.equal(coupons.fit():drift { false_alarm = 0.001 }.called, false)
    h.fails("EDOMAIN", fit:drift { false_alarm = 0 })
    h.fails("EDOMAIN", fit:drift { confidence = 1 })
    h.raises("unknown key 'alarm'", fit.drift, fit, { alarm = 1 })
end)
