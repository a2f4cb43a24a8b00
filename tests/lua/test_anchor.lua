-- SPDX-License-Identifier: GPL-3.0-or-later
-- A card brought up to date by a coupon.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

local function slower(steel, factor)
    local log = assert(oxtint.new_trials())
    assert(log:add { steel = "Alder 1", finish = "satin", bath = 600, time = 60,
                     thickness_nm = assert(steel:thickness(600, 60 * factor)) })
    return log
end

-- Bayes' rule with a wide shift: the coupon alone is believed.
h.test("a coupon that grew at half the rate halves it", function()
    local steel = coupons.steel()
    local renewed = assert(steel:anchor(slower(steel, 0.5), { shift_stderr = 10, label = "new salt" }))
    h.near(renewed.k_ref_nm2_per_s, 0.5 * steel.k_ref_nm2_per_s, 2e-3 * steel.k_ref_nm2_per_s)
    h.equal(renewed.Q_J_per_mol, steel.Q_J_per_mol)
    h.equal(#steel.history, 0)
    h.equal(#renewed.history, 1)
    local entry = renewed.history[1]
    h.equal(entry.label, "new salt")
    h.equal(entry.k_ref_after_nm2_per_s, renewed.k_ref_nm2_per_s)
    assert(entry.what:find("1 coupon: film grows 50.0 %% slower"), entry.what)
end)

h.test("a history goes to the card and back", function()
    local steel = coupons.steel()
    local renewed = assert(steel:anchor(slower(steel, 0.9)))
    local name = h.temporary_name()
    assert(renewed:save(name))
    local again = assert(oxtint.load_steel(name))
    os.remove(name)
    h.equal(again.history[1].what, renewed.history[1].what)
    h.equal(again.history[1].k_ref_before_nm2_per_s, steel.k_ref_nm2_per_s)
end)

h.test("a coupon of another steel is refused", function()
    local log = assert(oxtint.new_trials())
    assert(log:add { steel = "Birch 2", bath = 600, time = 60, colour = "blue" })
    h.equal(select(3, coupons.steel():anchor(log)), "EARG")
    h.equal(select(3, coupons.steel():anchor(slower(coupons.steel(), 1), { shift_stderr = -1 })),
            "EDOMAIN")
end)
