-- SPDX-License-Identifier: GPL-3.0-or-later
-- From a log to growth constants.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Physics: coupons that follow the law exactly give back its constants.
h.test("a fit finds the constants that made the coupons", function()
    local fit = assert(oxtint.fit(coupons.log()))
    h.near(fit.Q_J_per_mol, coupons.Q, 1e-6 * coupons.Q)
    h.near(fit.k_ref_nm2_per_s, coupons.rate(fit.T_ref_K), 1e-6 * fit.k_ref_nm2_per_s)
    h.equal(fit.row_count, 12)
    h.equal(fit.used_count, 12)
    assert(fit.dof > fit.scatter_dof and fit.scatter_dof > 4)
    assert(math.abs(fit.time_exponent - 0.5) < 1e-6 and fit.middle_nm > 10)
    for _, residual in ipairs(fit.residuals) do
        h.near(residual, 0, 1e-9)
    end
end)

-- Physics: one log more of the same coupons, read as colours, gives the same constants within its
-- error (three standard errors).
h.test("colours tell the same as thicknesses", function()
    local log = assert(oxtint.new_trials())
    for _, bath in ipairs { 560, 580, 600, 620, 640 } do
        for _, time in ipairs { 20, 30, 40, 60 } do
            local name = assert(oxtint.name_of(coupons.thickness(bath, time)))
            assert(log:add { steel = "Alder 1", bath = bath, time = time, colour = name })
        end
    end
    local fit = assert(oxtint.fit(log))
    h.near(fit.Q_J_per_mol, coupons.Q, 3 * fit.stderr.Q_J_per_mol)
    h.near(math.log(fit.k_ref_nm2_per_s), math.log(coupons.rate(fit.T_ref_K)), 3 * fit.stderr.ln_k_ref)
end)

h.test("the numbers of a fit hang together", function()
    local fit = coupons.fit()
    h.equal(fit.growth.k_ref_nm2_per_s, fit.k_ref_nm2_per_s)
    h.equal(fit.growth.T_ref_K, fit.T_ref_K)
    h.equal(fit.growth.Q_J_per_mol, fit.Q_J_per_mol)
    h.equal(fit.growth.law, "parabolic")
    h.equal(fit.covariance[1][1], fit.variance_ln_k)
    h.equal(fit.covariance[1][2], fit.covariance_J_per_mol)
    h.equal(fit.covariance[2][1], fit.covariance_J_per_mol)
    h.equal(fit.covariance[2][2], fit.variance_Q_J2_per_mol2)
    h.near(fit.stderr.ln_k_ref ^ 2, fit.variance_ln_k, 1e-12 * fit.variance_ln_k)
    h.near(fit.stderr.Q_J_per_mol ^ 2, fit.variance_Q_J2_per_mol2, 1e-12 * fit.variance_Q_J2_per_mol2)
    h.equal(fit.stderr.ln_k_ref, fit.ln_k_stderr)
    h.equal(fit.stderr.Q_J_per_mol, fit.Q_stderr_J_per_mol)
    h.near(fit.stderr.k_ref_nm2_per_s / fit.k_ref_nm2_per_s, fit.ln_k_stderr, 1e-12)
    assert(fit.k_ref_low_nm2_per_s < fit.k_ref_nm2_per_s and fit.k_ref_nm2_per_s < fit.k_ref_high_nm2_per_s)
    assert(fit.Q_low_J_per_mol < fit.Q_J_per_mol and fit.Q_J_per_mol < fit.Q_high_J_per_mol)
    h.near(fit.chi_square / (fit.used_count - 2), fit.reduced_chi_square, 1e-12)
    h.equal(fit.Q_held, false)
    h.equal(fit.confidence, 0.95)
end)

-- Contract of oxt_fit_row: the residual is ln(observed / predicted), and the rows lead back to the
-- log.
h.test("rows lead back to the log", function()
    local log = coupons.log(0.03)
    local fit = assert(oxtint.fit(log))
    h.equal(#fit.rows, #log)
    h.equal(#fit.residuals, #log)
    for i, row in ipairs(fit.rows) do
        h.equal(row.trial, i)
        h.equal(row.used, true)
        h.equal(row.order, 0)
        h.equal(row.reason, "")
        h.near(row.observed_nm, log[row.trial].thickness_nm, 1e-9)
        h.near(row.residual, math.log(row.observed_nm / row.predicted_nm), 1e-12)
        h.equal(row.residual, fit.residuals[i])
    end
    assert(rawequal(fit.rows, fit.rows))
end)

-- Contract: bright shows only that the film is thin, so the row is left out and says why.
h.test("a bright coupon is left out", function()
    local log = coupons.log(0.03)
    assert(log:add { steel = "Alder 1", finish = "satin", bath = 560, time = 1, colour = "bright" })
    local fit = assert(oxtint.fit(log))
    h.equal(fit.row_count, 13)
    h.equal(fit.used_count, 12)
    h.equal(fit.rows[13].used, false)
    h.matches(fit.rows[13].reason, "bright")
    assert(h.is_nan(fit.residuals[13]) and h.is_nan(fit.rows[13].observed_nm))
    h.matches(table.concat(fit.warnings, "\n"), "bright")
end)

h.test("a steel and a finish are chosen by name", function()
    local log = coupons.log(0.03)
    for _, trial in ipairs(coupons.log(0.03, "Birch 2")) do
        assert(log:add { steel = trial.steel, finish = "mirror", bath = trial.bath_K,
                         time = trial.time_s, thickness_nm = 2 * trial.thickness_nm })
    end
    local message = h.fails("EARG", oxtint.fit(log))
    h.matches(message, "'Alder 1', 'Birch 2'")
    local alder = assert(oxtint.fit(log, { steel = "Alder 1", finish = "satin" }))
    local birch = assert(oxtint.fit(log, { steel = "Birch 2" }))
    -- twice the thickness in the same time is four times the rate: x^2 = k t (C. Wagner, Z. phys.
    -- Chem. B21 (1933) 25)
    h.near(birch.k_ref_nm2_per_s / alder.k_ref_nm2_per_s, 4, 1e-9)
    h.equal(birch.rows[1].trial, 13)
    h.equal(birch.steel.steel, "Birch 2")
    h.equal(birch.steel.finish, "mirror")
    h.fails("EARG", oxtint.fit(log, { steel = "Cedar 3" }))
    h.fails("EARG", oxtint.fit(log, { steel = "Alder 1", finish = "mirror" }))
end)

-- Contract of oxt_fit_options: Q may be held, with or without an error.
h.test("Q is held at a given value", function()
    local held = coupons.fit { Q_J_per_mol = 75e3 }
    h.equal(held.Q_J_per_mol, 75e3)
    h.equal(held.Q_held, true)
    h.equal(held.stderr.Q_J_per_mol, 0.0)
    assert(h.is_nan(held.Q_low_J_per_mol) and h.is_nan(held.correlation))
    local uncertain = coupons.fit { Q_J_per_mol = 75e3, Q_stderr_J_per_mol = 5e3 }
    h.equal(uncertain.stderr.Q_J_per_mol, 5e3)
    assert(uncertain.variance_ln_k >= held.variance_ln_k)
end)

h.test("the other choices are heard", function()
    local usual = coupons.fit()
    h.equal(coupons.fit({ scatter = 0.2 }).scatter, 0.2)
    h.equal(coupons.fit({ confidence = 0.5 }).confidence, 0.5)
    assert(coupons.fit({ confidence = 0.5 }).Q_low_J_per_mol > usual.Q_low_J_per_mol)
    assert(coupons.fit({ thickness_uncertainty = 0.2 }).rows[1].sigma > usual.rows[1].sigma)
    local log = assert(oxtint.new_trials())
    for _, bath in ipairs { 560, 600, 640 } do
        local L, a, b = oxtint.film_lab(coupons.thickness(bath, 60))
        assert(log:add { steel = "Alder 1", bath = bath, time = 60, lab = { L, a, b } })
    end
    local tight = assert(oxtint.fit(log, { colour_tolerance = 1 })).rows[1]
    local loose = assert(oxtint.fit(log, { colour_tolerance = 6 })).rows[1]
    assert(loose.high_nm - loose.low_nm > tight.high_nm - tight.low_nm)
end)

-- Contract of oxt_fit_options: the errors of baths and times widen the rows.
h.test("errors of bath and time are heard", function()
    local plain, noisy = coupons.fit { scatter = 0.03 }, coupons.fit { scatter = 0.03, bath_sd_K = 5 }
    local timed = coupons.fit { scatter = 0.03, time_sd_s = 2 }
    local orthogonal = coupons.fit { scatter = 0.03, bath_sd_K = 5,
                                     errors_in_variables = "orthogonal" }
    assert(noisy.stderr.Q_J_per_mol > plain.stderr.Q_J_per_mol and timed.stderr.Q_J_per_mol > plain.stderr.Q_J_per_mol)
    assert(orthogonal.Q_J_per_mol ~= noisy.Q_J_per_mol)
    h.near(orthogonal.Q_J_per_mol, noisy.Q_J_per_mol, 0.2 * noisy.stderr.Q_J_per_mol)
    h.equal(coupons.fit({ errors_in_variables = "effective-variance" }).Q_J_per_mol, coupons.fit().Q_J_per_mol)
    h.fails("EDOMAIN", oxtint.fit(coupons.log(), { bath_sd_K = -1 }))
end)

-- Contract of oxt_robust: a blunder is distrusted, and named.
h.test("robust weights distrust a blunder", function()
    local log = coupons.log(0.03)
    assert(log:add { steel = "Alder 1", finish = "satin", bath = 600, time = 60, thickness_nm = 200 })
    for _, robust in ipairs { "huber", "tukey" } do
        local fit = assert(oxtint.fit(log, { robust = robust }))
        assert(fit.rows[13].weight < 0.3)
        assert(fit.rows[1].weight > 0.9)
        h.matches(table.concat(fit.warnings, "\n"), "Trial 13: 200 nm at .* has little weight")
        assert(math.abs(fit.Q_J_per_mol - coupons.Q) < math.abs(oxtint.fit(log).Q_J_per_mol - coupons.Q) + fit.stderr.Q_J_per_mol)
    end
    h.equal(oxtint.fit(log, { robust = "none" }).rows[13].weight, 1.0)
end)

h.test("rows say what they pull", function()
    local log = coupons.log(0.03)
    log:add { steel = "Alder 1", finish = "satin", bath = 640, time = 60,
              thickness_nm = 1.3 * coupons.thickness(640, 60) }
    local fit = assert(oxtint.fit(log))
    local row = fit.rows[13] -- too thick: without it dips take longer
    assert(row.dip_change > 0.05 and row.cooks_distance > 0.3)
    h.matches(fit:report(), "Most influential coupons\n  Trial 13: without it")
end)

-- Contract of oxt_prior: one bath is enough when Q is known beforehand.
h.test("a prior tells what the log cannot", function()
    local log = assert(oxtint.new_trials())
    assert(log:add { steel = "Alder 1", bath = 600, time = 60, colour = "blue" })
    h.matches(h.fails("EFEW", oxtint.fit(log)), "or give a prior")
    local prior = assert(oxtint.mild_steel_prior())
    local fit = assert(oxtint.fit(log, { prior = prior }))
    h.equal(fit.Q_held, false)
    h.near(fit.Q_J_per_mol, 71e3, fit.stderr.Q_J_per_mol)
    assert(fit.prior_share_Q > 0.99 and fit.prior_share_ln_k < 0.2)
    h.matches(fit:report(), "100 %% of the information on Q and")
    h.equal(coupons.fit().prior_share_Q, 0.0)
    h.fails("EARG", oxtint.fit(log, { prior = {} }))
    local dense = assert(oxtint.film { absorption_scale = 2 })
    assert(oxtint.mild_steel_prior({ film = dense }).ln_k ~= prior.ln_k)
end)

-- Contract: colours are read with the film given, and the steel remembers it.
h.test("another film reads the colours otherwise", function()
    local dense = assert(oxtint.film { absorption_scale = 2 })
    local log = assert(oxtint.new_trials())
    for i, name in ipairs { "straw", "brown", "purple", "dark blue" } do
        assert(log:add { steel = "Alder 1", bath = 540 + 20 * i, time = 60, colour = name })
    end
    local usual = assert(oxtint.fit(log))
    local other = assert(oxtint.fit(log, { film = dense }))
    assert(usual.k_ref_nm2_per_s ~= other.k_ref_nm2_per_s)
    h.equal(other.steel.description, dense.description)
    h.equal(usual.steel.description, oxtint.film().description)
end)

-- x^3 grows as the time: eight times as long for twice the film.
h.test("a fit by another law", function()
    local log = assert(oxtint.new_trials())
    for i, film in ipairs { 20, 26, 33, 41, 50, 60, 71, 83 } do
        local bath = 560 + 25 * (i % 3)
        local rate = 40 * math.exp(-80e3 / 8.314462618 * (1 / bath - 1 / 588.7))
        assert(log:add { steel = "Alder 1", bath = bath, time = 45 ^ 2 * (film / 45) ^ 3 / rate,
                         thickness_nm = film })
    end
    local found = assert(oxtint.fit(log, { law = "power" }))
    h.equal(found.growth.law, "power")
    h.near(found.growth.shape, 3, 0.02)
    assert(found.ln_shape_stderr > 0)
    h.equal(assert(oxtint.fit(log, { law = "best" })).growth.law, "power")
    local card = found.steel
    h.near(card:time_for(90, 600) / card:time_for(45, 600), 2 ^ found.growth.shape, 1e-6)
    local made = assert(oxtint.steel_from_values {
        steel = "Alder 1", k_ref_nm2_per_s = 40, T_ref_K = 588.7, law = "logarithmic", law_shape = 20,
        law_middle_nm = 45, dof = 10, bath_low_K = 560, bath_high_K = 640, thickness_low_nm = 20,
        thickness_high_nm = 80 })
    h.near(made:time_for(45, 588.7), 45 ^ 2 / 40, 1e-9)
    h.fails("EDOMAIN", oxtint.fit(log, { law = "power", law_shape = 13 }))
    h.raises("law: one of parabolic, power, linear-parabolic, logarithmic expected, got 'cubic'",
             oxtint.fit, log, { law = "cubic" })
end)

h.test("logs that cannot be fitted", function()
    local log = assert(oxtint.new_trials())
    h.fails("EFEW", oxtint.fit(log))
    for _, time in ipairs { 20, 40, 80 } do
        assert(log:add { steel = "Alder 1", bath = 600, time = time,
                         thickness_nm = coupons.thickness(600, time) })
    end
    h.fails("EIDENT", oxtint.fit(log))
    assert(oxtint.fit(log, { Q_J_per_mol = 80e3 }))
    assert(log:add { steel = "Alder 1", bath = 660, time = 20, thickness_nm = 5 })
    h.fails("EIDENT", oxtint.fit(log))
    h.fails("EDOMAIN", oxtint.fit(log, { Q_J_per_mol = -1 }))
    h.fails("EDOMAIN", oxtint.fit(log, { confidence = 1 }))
    h.fails("EDOMAIN", oxtint.fit(log, { scatter = 0 / 0 }))
end)

h.test("misuse of fit", function()
    local log = coupons.log()
    h.raises("oxtint.trials expected, got table", oxtint.fit, {})
    h.raises("oxtint.trials expected, got no value", oxtint.fit)
    h.raises("oxtint.trials expected, got oxtint.film", oxtint.fit, oxtint.film())
    h.raises("table expected, got string", oxtint.fit, log, "Alder 1")
    h.raises("steel: text expected, got number", oxtint.fit, log, { steel = 1 })
    h.raises("confidence: number expected, got string", oxtint.fit, log, { confidence = "0.9" })
    h.raises("film: oxtint.film expected, got table", oxtint.fit, log, { film = {} })
    h.raises("unknown key 'Q', expected one of: steel, finish, Q_J_per_mol, Q_stderr_J_per_mol, "
             .. "scatter, thickness_uncertainty, colour_tolerance, confidence, bath_sd_K, time_sd_s, "
             .. "errors_in_variables, robust, names, lifted, rounding, reader_sd, law, law_shape, "
             .. "ln_shape_sd, law_middle_nm, with_initial, prior, film", oxtint.fit, log, { Q = 80e3 })
    h.raises("robust: one of none, huber, tukey expected, got 'huge'", oxtint.fit, log,
             { robust = "huge" })
    h.raises("errors_in_variables: one of effective-variance, orthogonal expected, got number",
             oxtint.fit, log, { errors_in_variables = 1 })
    h.raises("prior: table expected, got number", oxtint.fit, log, { prior = 71e3 })
    h.raises("prior: Q_J_per_mol: number expected, got string", oxtint.fit, log,
             { prior = { Q_J_per_mol = "71e3" } })
    h.raises("prior: unknown key 'Q', expected one of: temperature_K, ln_k, ln_k_stderr, "
             .. "Q_J_per_mol, Q_stderr_J_per_mol", oxtint.fit, log, { prior = { Q = 71e3 } })
end)

h.test("the report in each scale", function()
    local fit = coupons.fit()
    h.matches(fit:report("F"), "rate at [%d.]+ F")
    h.matches(fit:report("K"), "rate at [%d.]+ K")
    h.matches(fit:report(), "rate at [%d.]+ C")
    h.equal(tostring(fit), fit:report("C"))
    h.matches(fit:report(), "^Alder 1, satin: 12 of 12 trials used\n")
    h.raises("invalid option 'R'", fit.report, fit, "R")
end)

-- Contract: a fit keeps what it needs, and later trials do not change it.
h.test("a fit does not hang on its log", function()
    local log = coupons.log(0.03)
    local fit = assert(oxtint.fit(log))
    local Q = fit.Q_J_per_mol
    assert(log:add { steel = "Alder 1", bath = 600, time = 60, thickness_nm = 500 })
    log:close()
    collectgarbage()
    h.equal(fit.Q_J_per_mol, Q)
    h.equal(#fit.rows, 12)
end)

-- Contract: a coupon that states its part counts for what its time was worth at the bath.
h.test("the road of a coupon is reckoned in", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.006 })
    local log = oxtint.new_trials()
    for _, bath in ipairs { 560, 590, 620 } do
        for _, time in ipairs { 60, 100, 160 } do
            local film_nm = assert(part:exposure(steel, bath, time)) ^ 0.5
            assert(log:add { steel = "Alder 1", bath = bath, time = time, thickness_nm = film_nm,
                             part = 0.006 })
        end
    end
    local fit = assert(oxtint.fit(log))
    h.near(fit.Q_J_per_mol, steel.Q_J_per_mol, 1e-4 * steel.Q_J_per_mol)
    local row = fit.rows[1]
    assert(row.equivalent_s < 60)
    h.near(row.equivalent_s, assert(part:exposure(steel, 560, 60)) / steel:thickness(560, 1) ^ 2, 1e-4)
end)

-- Contract of oxt_names: both ways read the same log much alike.
h.test("names count as bands, or as middles", function()
    local log = assert(oxtint.read_trials(h.root .. "examples/demo/trials.csv"))
    local middles = assert(oxtint.fit(log, { steel = "Birch 2", names = "as-middles" }))
    local bands = assert(oxtint.fit(log, { steel = "Birch 2" }))
    assert(bands.Q_J_per_mol ~= middles.Q_J_per_mol and math.abs(bands.Q_J_per_mol - middles.Q_J_per_mol) < middles.stderr.Q_J_per_mol)
    h.near(assert(oxtint.fit(log, { steel = "Birch 2", names = "as-bands" })).Q_J_per_mol, bands.Q_J_per_mol, 1e-9)
    local pooled = assert(oxtint.pool(log)).Q_J_per_mol
    assert(assert(oxtint.pool(log, { names = "as-middles" })).Q_J_per_mol ~= pooled)
end)

local function many()
    local log = assert(oxtint.new_trials())
    local columns = { steel = {}, finish = {}, bath_K = {}, time_s = {}, thickness_nm = {} }
    for group = 1, 5 do
        for i = 1, group == 3 and 2 or 8 do
            local bath, time = 560 + 20 * (i % 3), 40 + 7 * i
            table.insert(columns.steel, group < 5 and "Steel " .. group or "Steel 1")
            table.insert(columns.finish, group < 5 and "satin" or "")
            table.insert(columns.bath_K, bath)
            table.insert(columns.time_s, time)
            table.insert(columns.thickness_nm, math.sqrt((20 + 5 * group) * time * math.exp(9000 / 590 - 9000 / bath)) * (1 + 0.02 * math.sin(i)))
        end
    end
    assert(log:add_columns(columns))
    return log
end

-- Contract: to the last bit what each fit alone gives; one that cannot be fitted stops no other.
h.test("each steel and finish of a log", function()
    local log, last = many(), 0
    local fits = assert(oxtint.fit_each(log, { threads = 2, confidence = 0.9, progress = function(done) last = done end }))
    h.equal(last, 1.0)
    h.equal(#fits.steel, 5)
    h.equal(table.concat(fits.status, " "), "OK OK EFEW OK OK")
    for i, steel in ipairs(fits.steel) do
        local fit, message = oxtint.fit(log, { steel = steel, finish = fits.finish[i], confidence = 0.9 })
        if fit then
            h.equal(fits.k_ref_nm2_per_s[i], fit.k_ref_nm2_per_s)
            h.equal(fits.Q_high_J_per_mol[i], fit.Q_high_J_per_mol)
            h.equal(fits.remarks[i], table.concat(fit.warnings, "\n"))
        else
            h.equal(fits.remarks[i], message)
            h.equal(h.is_nan(fits.Q_J_per_mol[i]), true)
        end
    end
    h.equal(fits.trial_count[3], 2)
end)

h.test("some of the groups, and a stop", function()
    local log = many()
    h.equal(#assert(oxtint.fit_each(log, { steel = "Steel 1" })).steel, 2)
    h.equal(#assert(oxtint.fit_each(log, { finish = "" })).steel, 1)
    h.fails("EARG", oxtint.fit_each(log, { steel = "none" }))
    h.fails("ECANCEL", oxtint.fit_each(log, { progress = function() return true end }))
    h.raises("no more", oxtint.fit_each, log, { progress = function() error("no more") end })
    h.fails("EDOMAIN", oxtint.fit_each(log, { threads = 999 }))
end)

-- Physics: x^2 = 14^2 + k t. The card has the film, and a dip says so.
h.test("a film before the dip", function()
    local log = oxtint.new_trials()
    for i = 0, 17 do
        local bath, film = 560 + 25 * (i % 3), 22 + 2.5 * i
        assert(log:add { steel = "Alder 1", bath = bath, time = (film ^ 2 - 196) / 30 * math.exp(16 * (590 / bath - 1)),
                         thickness_nm = film })
    end
    local fit = assert(oxtint.fit(log, { with_initial = true, scatter = 0.001 }))
    h.near(fit.initial_nm, 14, 0.1)
    assert(fit.initial_stderr_nm2 > 0)
    h.near(fit.steel.growth.initial_nm, fit.initial_nm, 0)
    h.near(fit.steel:dip("blue", 590).initial_nm, fit.initial_nm, 1e-12)
    h.fails("EARG", oxtint.fit(log, { with_initial = true, law = "power" }))
end)

h.test("a report is in the scale of the log, unless another is named", function()
    local log = assert(oxtint.read_trials_text("steel,bath_F,time_s,colour\nA,560,60,straw\nA,560,300,brown\n" ..
        "A,600,60,brown\nA,600,130,blue\nA,650,40,blue\nA,650,10,straw\n"))
    local fit = assert(oxtint.fit(log))
    h.equal(fit:report(), fit:report("F"))
    h.equal(tostring(fit), fit:report("F"))
    assert(fit:report() ~= fit:report("C"))
    local boot = assert(fit:bootstrap { replicates = 100 })
    h.equal(boot:report(), boot:report("F"))
    local pool = assert(oxtint.pool(log))
    h.equal(pool:report(), pool:report("F"))
    local laws = assert(fit:laws())
    h.equal(laws:report(), laws:report("F"))
end)
