-- SPDX-License-Identifier: GPL-3.0-or-later
-- Results as JSON.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

local function number(text, key)
    return tonumber(text:match('"' .. key .. '": ([^,\n]+)'))
end

-- Contract of oxt_dip_json and its like: fields by their names in C, number for number.
h.test("every result gives JSON", function()
    local fit = coupons.fit()
    local steel = fit.steel
    local dip = assert(steel:dip("blue", 600))
    h.equal(number(dip:to_json(), "time_s"), dip.time_s)
    h.equal(number(fit:to_json(), "chi_square"), fit.chi_square)
    h.equal(number(assert(fit:laws()):to_json(), "T_ref_K"), assert(fit:laws()).T_ref_K)
    h.equal(number(assert(steel:advise()):to_json(), "half_width"), assert(steel:advise()).coupons[1].half_width)
    local pool = assert(oxtint.pool(coupons.log(0.03)))
    h.equal(number(pool:to_json(), "scatter"), pool.scatter)
    local set = assert(oxtint.plan_set { parts = { { name = "ring", steel = steel, target = "blue" } }, bath = 600 })
    h.equal(number(set:to_json(), "chance_targets"), set.chance_targets)
    h.matches(set:to_json(), '"name": "ring"')
    for _, caution in ipairs(dip.cautions) do
        h.matches(dip:to_json(), '"name": "' .. caution.name .. '"')
    end
    dip:close()
    h.raises("the dip is closed", dip.to_json, dip)
end)
