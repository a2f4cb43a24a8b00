-- SPDX-License-Identifier: GPL-3.0-or-later
-- Several steels and finishes fitted together.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Two steels, the second `factor` times as fast, with a share that alternates; of the second only the
-- first coupons.
local function two(share, factor, count)
    local log = coupons.log(share)
    for i = 1, count do
        local first = log[i]
        assert(log:add { steel = "Birch 2", finish = first.finish, bath = first.bath_K, time = first.time_s,
                         thickness_nm = first.thickness_nm * math.sqrt(factor) })
    end
    return log
end

-- Physics: coupons that follow the law exactly give back its constants, the single one too.
-- 9 F are 5 K (NIST SP 811).
h.test("spreads of a pool are texts too", function()
    local texts = assert(oxtint.pool(two(0, 1.7, 1), { bath_sd_K = "9 F", time_sd_s = "2 s" }))
    local numbers = assert(oxtint.pool(two(0, 1.7, 1), { bath_sd_K = 5, time_sd_s = 2 }))
    h.near(texts.Q_J_per_mol, numbers.Q_J_per_mol, 1e-9 * numbers.Q_J_per_mol)
    h.near(texts.groups[1].ln_k_stderr, numbers.groups[1].ln_k_stderr, 1e-12)
    assert(texts.groups[1].ln_k_stderr > 1.001 * assert(oxtint.pool(two(0, 1.7, 1))).groups[1].ln_k_stderr)
    h.fails("EUNIT", oxtint.pool(two(0, 1.7, 1), { time_sd_s = "2" }))
end)

h.test("a pool finds the constants that made the coupons", function()
    local pool = assert(oxtint.pool(two(0, 1.7, 1)))
    h.equal(pool.model, "shared-q")
    h.equal(pool.group_count, 2)
    h.equal(pool.used_count, 13)
    h.near(pool.Q_J_per_mol, coupons.Q, 1e-6 * coupons.Q)
    local one = pool.groups[2]
    h.equal(one.steel, "Birch 2")
    h.equal(one.used_count, 1)
    h.near(one.growth.k_ref_nm2_per_s, 1.7 * coupons.rate(pool.T_ref_K), 1e-6)
    h.matches(table.concat(pool.warnings, "\n"), "Birch 2, satin: a single coupon")
    h.equal(pool.comparison[3].fitted, false)
    h.equal(pool.comparison[3].model, "separate")
end)

-- Physics: films of the cube root of time, in two steels; a law that is none is refused with those that are.
h.test("a pool by a law, and each fit by the law of its trials", function()
    local log = oxtint.new_trials()
    for i = 0, 17 do
        local bath, film = 560 + 25 * (i % 3), 20 + 3 * i
        for steel, times in pairs { ["Alder 1"] = 1, ["Birch 2"] = 2 } do
            assert(log:add { steel = steel, bath = bath, time = times * (film / 20) ^ 3 * math.exp(9 * (590 / bath - 1)),
                             thickness_nm = film })
        end
    end
    local pool = assert(oxtint.pool(log, { law = "power", scatter = 0.01 }))
    h.equal(pool.law, "power")
    h.near(pool.law_shape, 3, 0.01)
    h.equal(pool.groups[1].growth.law, "power")
    assert(pool.ln_shape_stderr > 0 and pool.law_middle_nm > 30)
    h.near(pool.steels[1].growth.shape, pool.law_shape, 0)
    local held = assert(oxtint.pool(log, { law = "power", law_shape = 3, law_middle_nm = 40 }))
    h.equal(held.law_middle_nm, 40)
    h.equal(held.ln_shape_stderr, 0)
    h.raises("linear-parabolic", oxtint.pool, log, { law = "cubic" })
    local fits = assert(oxtint.fit_each(log, { law = "best" }))
    h.equal(fits.law[1], "power")
    h.near(fits.law_shape[2], 3, 0.03)
    h.fails("EARG", oxtint.fit_each(log, { law = "best", law_shape = 3 }))
end)

-- Contract: a log of one steel gives what a fit gives.
h.test("a pool of one steel is a fit", function()
    local pool, fit = assert(oxtint.pool(coupons.log(0.03))), coupons.fit()
    h.near(pool.Q_J_per_mol, fit.Q_J_per_mol, 1e-9 * fit.Q_J_per_mol)
    h.near(pool.groups[1].ln_k_stderr, fit.ln_k_stderr, 1e-9 * fit.ln_k_stderr)
    h.near(pool.steels[1]:dip("blue", 600).time_s, fit.steel:dip("blue", 600).time_s, 1e-6)
    assert(pool.between_sd ~= pool.between_sd)
end)

-- Contract of shrink: towards each other, the one with fewer coupons more.
h.test("shrinking pulls rates together", function()
    local log = two(0.03, 1.2, 4)
    local plain = assert(oxtint.pool(log, { scatter = 0.1 }))
    local shrunk = assert(oxtint.pool(log, { scatter = 0.1, shrink = true, between_sd = 0.1 }))
    local function ratio(pool)
        return pool.groups[2].growth.k_ref_nm2_per_s / pool.groups[1].growth.k_ref_nm2_per_s
    end
    h.near(ratio(plain), 1.2, 1e-9)
    assert(ratio(shrunk) > 1 and ratio(shrunk) < 1.15)
    assert(shrunk.groups[2].shrunk_by > shrunk.groups[1].shrunk_by)
    h.equal(plain.groups[2].shrunk_by, 0.0)
    h.equal(shrunk.between_sd, 0.1)
    assert(shrunk.between_Q_sd_J_per_mol > 0)
    local one = assert(oxtint.pool(log, { scatter = 0.1, shrink = true, between_Q_sd_J_per_mol = 0 }))
    assert(one.between_Q_sd_J_per_mol ~= one.between_Q_sd_J_per_mol)
    h.equal(shrunk.shrunk, true)
end)

h.test("a pool that cannot be fitted says why", function()
    local _, message, code = oxtint.pool(two(0.03, 1.2, 1), { model = "separate" })
    h.equal(code, "EIDENT")
    h.matches(message, "Birch 2, satin ran at one bath")
    _, _, code = oxtint.pool(assert(oxtint.new_trials()))
    h.equal(code, "EFEW")
    local log = coupons.log(0.03)
    h.raises("shrink: boolean expected, got number", oxtint.pool, log, { shrink = 1 })
    h.raises("model: one of shared-q, finish-factors, separate, best expected, got 'all'", oxtint.pool, log,
             { model = "all" })
end)
