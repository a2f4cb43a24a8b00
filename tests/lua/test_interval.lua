-- SPDX-License-Identifier: GPL-3.0-or-later
-- Profiles and the bootstrap: agreement with the fit, and manners.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Contract of oxt_interval_profile: limits by Student's t where the model is a straight line.
h.test("a profile has the limits of the fit", function()
    local fit = coupons.fit()
    local low, high = fit:profile("Q")
    h.near(low, fit.Q_low_J_per_mol, 1e-6 * fit.Q_stderr_J_per_mol)
    h.near(high, fit.Q_high_J_per_mol, 1e-6 * fit.Q_stderr_J_per_mol)
    low, high = fit:profile("ln-k", { scale = "stated" })
    h.near(low, math.log(fit.k_ref_low_nm2_per_s), 1e-6 * fit.ln_k_stderr)
    h.near(high, math.log(fit.k_ref_high_nm2_per_s), 1e-6 * fit.ln_k_stderr)
    low, high = fit:profile("dip-time", { bath = "620 F", confidence = 0.9 })
    h.near(math.log(low) + math.log(high), 0, 1e-6)
end)

h.test("a bootstrap is its samples", function()
    local fit = coupons.fit()
    local last = 0
    local made = assert(fit:bootstrap { replicates = 400, kind = "residual", random_seed = 3,
        progress = function(done) assert(done > last); last = done end })
    h.equal(last, 1.0)
    local ln_k, Q = made:samples()
    h.equal(#ln_k, 400)
    local sum, squares = 0, 0
    for _, value in ipairs(Q) do
        sum = sum + value
    end
    for _, value in ipairs(Q) do
        squares = squares + (value - sum / 400) ^ 2
    end
    h.near(made.sd_Q_J_per_mol, math.sqrt(squares / 399), 1e-9 * made.sd_Q_J_per_mol)
    table.sort(Q)
    local low = assert(made:interval("Q", { confidence = 0.9 }))
    assert(low > Q[20] and low < Q[22])
    assert(made:interval("dip-time", { bath = 600, method = "bias-corrected" }))
    assert(made:report("F"):find("bootstrap of 400 replicates, 0 could not be fitted\n  rate at %d+.%d F: k_ref"))
    h.equal(tostring(made), made:report())
    local _, again = assert(fit:bootstrap { replicates = 400, kind = "residual", random_seed = 3,
                                            threads = 3 }):samples()
    table.sort(again)
    h.equal(table.concat(again, " "), table.concat(Q, " "))
end)

-- Contract: the seed that the annotation names.
h.test("the usual seed of a bootstrap is 1", function()
    local fit = oxtint.fit(coupons.log(0.03))
    local usual = assert(fit:bootstrap { replicates = 100 })
    h.equal(usual.mean_ln_k, assert(fit:bootstrap { replicates = 100, random_seed = 1 }).mean_ln_k)
    assert(usual.mean_ln_k ~= assert(fit:bootstrap { replicates = 100, random_seed = 2 }).mean_ln_k)
end)

h.test("progress may stop a bootstrap, raise an error, or close the fit", function()
    local fit = coupons.fit()
    local calls = 0
    local made, message, code = fit:bootstrap { replicates = 1000000, threads = 1, progress = function()
        calls = calls + 1
        return true
    end }
    h.equal(made, nil)
    h.equal(code, "ECANCEL")
    h.equal(calls, 1)
    assert(message:find("stopped", 1, true))
    local good, raised = pcall(fit.bootstrap, fit, { progress = function() error({ "mine" }) end })
    h.equal(good, false)
    h.equal(raised[1], "mine")
    assert(fit:bootstrap { progress = function() fit:close() end })
    h.equal(tostring(fit), "oxtint.fit (closed)")
end)

h.test("what cannot be asked is refused", function()
    local fit = coupons.fit()
    h.equal(select(3, fit:profile("dip-time")), "EDOMAIN")
    h.equal(select(3, fit:profile("Q", { confidence = 1 })), "EDOMAIN")
    h.equal(select(3, fit:profile("dip-time", { bath = "600" })), "EUNIT")
    h.equal(select(3, fit:bootstrap { replicates = -5 }), "EDOMAIN")
    local good, message = pcall(fit.bootstrap, fit, { progress = 3 })
    assert(not good and message:find("progress: function expected, got number", 1, true))
    good, message = pcall(fit.profile, fit, "k")
    assert(not good and message:find("ln-k, Q, dip-time", 1, true))
end)

-- Contract: each replicate has its own shape, and a dip away from the middle film is known the less for it.
h.test("a bootstrap by a law finds the shape anew", function()
    local log = oxtint.new_trials()
    for i = 0, 23 do
        local bath, film = 560 + 25 * (i % 3), 20 + 2 * i
        assert(log:add { steel = "Alder 1", bath = bath, time = (film / 12) ^ 3 * math.exp(14 * (590 / bath - 1)),
                         thickness_nm = film * (i % 2 == 0 and 1.05 or 0.95) })
    end
    local boot = assert(assert(oxtint.fit(log, { law = "power" })):bootstrap { replicates = 200 })
    h.equal(boot.law, "power")
    local _, _, shapes = boot:samples()
    assert(#shapes == 200 and boot.sd_ln_shape > 0)
    local low, high = boot:interval("shape")
    assert(low < boot.law_shape and boot.law_shape < high)
    local function width(film)
        local first, last = boot:interval("dip-time", { bath = 590, thickness_nm = film })
        return last / first
    end
    assert(width(90) > 1.1 * width(boot.law_middle_nm))
    h.fails("EDOMAIN", boot:interval("dip-time", { bath = 590, thickness_nm = -1 }))
    h.matches(boot:report(), "power law: n = ")
end)
