-- SPDX-License-Identifier: GPL-3.0-or-later
-- Laws of growth compared on the trials of a fit.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Coupons whose film grows as time^(1/n).
local function log_of(n)
    local log = assert(oxtint.new_trials())
    for _, bath in ipairs { 560, 600, 640 } do
        for _, time in ipairs { 20, 40, 80, 160 } do
            local thickness = 50 * (coupons.rate(bath) * time / 3200) ^ (1 / n)
            assert(log:add { steel = "Alder 1", bath = bath, time = time, thickness_nm = thickness })
        end
    end
    return log
end

-- Physics: exact coupons give back their exponent and their activation energy.
h.test("the exponent of time is found", function()
    local laws = assert(assert(oxtint.fit(log_of(3.1))):laws())
    h.near(laws.exponent, 3.1, 1e-6)
    h.near(laws.results.power.Q_J_per_mol, coupons.Q, 1e-6 * coupons.Q)
    h.equal(laws.results.power.shape, laws.exponent)
    h.equal(laws.results.power.kind, "power")
    h.equal(laws.best, "power")
    h.equal(laws.rival, "power")
    h.equal(laws.verdict, "contradicted")
    h.matches(laws.sentence, "^the trials contradict the parabolic law: x grows as time%^%(1/3%.10%)")
end)

h.test("the parabolic law holds for coupons that follow it", function()
    local laws = assert(assert(oxtint.fit(log_of(2))):laws { confidence = 0.9 })
    h.equal(laws.verdict, "holds")
    h.equal(laws.best, "parabolic")
    h.equal(laws.confidence, 0.9)
    h.equal(laws.results.parabolic.aicc_difference, 0.0)
    assert(laws.results.parabolic.shape ~= laws.results.parabolic.shape) -- NaN
    h.matches(tostring(laws), "What to do\n  %- Nothing")
    h.matches(laws:report("F"), "^Alder 1: laws of growth on 12 trials\n")
end)

-- Algebra: what was there before adds to x^2.
h.test("a film that was there before is found", function()
    local log = assert(oxtint.new_trials())
    for _, bath in ipairs { 560, 600, 640 } do
        for _, time in ipairs { 20, 40, 80, 160 } do
            local thickness = math.sqrt(15 ^ 2 + coupons.rate(bath) * time)
            assert(log:add { steel = "Alder 1", bath = bath, time = time, thickness_nm = thickness })
        end
    end
    local fit = assert(oxtint.fit(log))
    local laws = assert(fit:laws { with_initial = true })
    h.equal(laws.verdict, "holds")
    h.near(laws.results.parabolic.initial_nm, 15, 1e-5)
    h.equal(laws.results.parabolic.initial_at_zero, false)
    h.equal(assert(fit:laws { with_initial = false }).results.parabolic.initial_nm, 0.0)
end)

h.test("a comparison outlives its fit", function()
    local fit = coupons.fit()
    local laws = assert(fit:laws())
    fit:close()
    assert(laws:report())
    h.equal(laws.row_count, 12)
    h.raises("the fit is closed", fit.laws, fit)
end)

h.test("misuse is an error, and too few coupons a failure", function()
    local fit = coupons.fit()
    h.raises("with_initial: boolean expected, got number", fit.laws, fit, { with_initial = 1 })
    h.raises("confidence: number expected", fit.laws, fit, { confidence = "95 %" })
    local none, message, code = fit:laws { confidence = 1 }
    h.equal(none, nil)
    h.equal(code, "EDOMAIN")
    h.matches(message, "confidence")
    local log = assert(oxtint.new_trials())
    for place, bath in ipairs { 560, 580, 600, 620, 640 } do
        assert(log:add { steel = "Alder 1", bath = bath, time = 60 + place % 2 * 60,
                         thickness_nm = 30 + 8 * place })
    end
    none, message, code = assert(oxtint.fit(log)):laws()
    h.equal(none, nil)
    h.equal(code, "EFEW")
    h.matches(message, "short and long times in one bath")
end)
