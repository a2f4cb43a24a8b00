-- SPDX-License-Identifier: GPL-3.0-or-later
-- Tables of named arguments.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

h.test("nil and an empty table mean the usual choices", function()
    local log = coupons.log(0.03)
    local usual = oxtint.fit(log).Q_J_per_mol
    h.equal(oxtint.fit(log, nil).Q_J_per_mol, usual)
    h.equal(oxtint.fit(log, {}).Q_J_per_mol, usual)
    h.equal(oxtint.film_lab(57, {}), oxtint.film_lab(57))
    h.equal(#oxtint.tints(nil), 15)
end)

-- Contract: access is raw, so that no script runs while the arguments are read.
h.test("metamethods of the table are not asked", function()
    local asked = false
    local options = setmetatable({ confidence = 0.9 }, {
        __index = function() asked = true end,
        __pairs = function() asked = true end,
    })
    h.equal(oxtint.fit(coupons.log(0.03), options).confidence, 0.9)
    h.equal(asked, false)
end)

h.test("texts are not numbers, nor numbers texts", function()
    local log, steel = coupons.log(0.03), coupons.steel()
    h.raises("number expected, got string", oxtint.name_of, "60")
    h.raises("scatter: number expected, got string", oxtint.fit, log, { scatter = "0.1" })
    h.raises("finish: text expected, got number", oxtint.fit, log, { finish = 1 })
    h.fails("EUNIT", steel:dip(57, 600, { bath_wander_K = "1" }))
    h.raises("confidence: number expected, got string", steel.dip, steel, 57, 600, { confidence = "0.9" })
    h.raises("string expected, got number", steel.save, steel, 1)
end)

-- Contract: misuse raises an error whatever else is wrong; of two texts that cannot be read the first one is told.
h.test("what cannot be read does not hide what is misused", function()
    local log = coupons.log(0.03)
    h.fails("EUNIT", oxtint.fit(log, { bath_sd_K = "5 parsecs", time_sd_s = "soon" }))
    assert(select(2, oxtint.fit(log, { bath_sd_K = "5 parsecs", time_sd_s = "soon" })):find("parsecs", 1, true))
    h.raises("robust: one of none, huber, tukey expected", oxtint.fit, log, { bath_sd_K = "5 parsecs", robust = "very" })
    h.raises("film: oxtint.film expected, got table", oxtint.fit, log, { bath_sd_K = "5 parsecs", film = {} })
end)

-- Contract of oxtint.version: that of the header.
h.test("the version is that of the header", function()
    local header = h.read_file(h.root .. "include/oxtint/version.h")
    local parts = {}
    for _, part in ipairs { "MAJOR", "MINOR", "PATCH" } do
        table.insert(parts, header:match("OXT_VERSION_" .. part .. " (%d+)"))
    end
    h.equal(oxtint.version, table.concat(parts, "."))
end)
