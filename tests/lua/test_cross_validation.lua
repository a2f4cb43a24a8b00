-- SPDX-License-Identifier: GPL-3.0-or-later
-- Each coupon of a fit predicted from the others.
local h = require "harness"
local coupons = require "coupons"

h.test("a cross-validation is its rows", function()
    local fit = coupons.fit()
    local last = 0
    local made = assert(fit:cross_validate { threads = 1, progress = function(done)
        assert(done > last)
        last = done
    end })
    h.equal(last, 1.0)
    h.equal(made.by_bath, false)
    h.equal(#made.rows, made.coupon_count)
    h.equal(made.coupon_count, fit.used_count)
    local sum, hits, predicted = 0, 0, 0
    for _, row in ipairs(made.rows) do
        h.equal(row.reason == "", row.predicted)
        if row.predicted then
            predicted = predicted + 1
            sum = sum + row.chance
            hits = hits + (row.hit and 1 or 0)
            assert(row.low_nm < row.predicted_nm and row.predicted_nm < row.high_nm)
        end
    end
    h.equal(made.predicted_count, predicted)
    h.equal(made.hit_count, hits)
    h.near(made.expected_hits, sum, 1e-9)
    assert(made.hits_low <= hits and hits <= made.hits_high)
    assert(made:report("F"):find(hits .. " of " .. predicted .. " coupons show the colour predicted", 1, true))
    h.equal(tostring(made), made:report())
    assert(fit:report():find(" coupons show the colour predicted from the others (", 1, true))
end)

h.test("a coupon may be left out with all of its bath", function()
    local made = assert(coupons.fit():cross_validate { by_bath = true })
    h.equal(made.by_bath, true)
    assert(made:report():find("predicted from those of other baths", 1, true))
end)

h.test("bad options are refused, and progress may stop it", function()
    local fit = coupons.fit()
    h.fails("EDOMAIN", fit:cross_validate { confidence = 1 })
    h.fails("EDOMAIN", fit:cross_validate { threads = -1 })
    h.raises("by_bath: boolean expected, got number", fit.cross_validate, fit, { by_bath = 1 })
    h.raises("unknown key 'bath'", fit.cross_validate, fit, { bath = 600 })
    local _, _, code = fit:cross_validate { progress = function() return true end }
    h.equal(code, "ECANCEL")
end)
