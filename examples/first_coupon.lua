-- SPDX-License-Identifier: GPL-3.0-or-later
-- A new steel in the demo's shop: from no coupon at all to a first one, and on to two.
--
--     lua5.4 examples/first_coupon.lua
local oxtint = require "oxtint"

local function show(what, steel)
    local dip = assert(steel:dip("blue", "620 F"))
    print(("%-16s blue at 620 F: lift after %s (95 %%: %s to %s)"):format(
        what, oxtint.format_duration(dip.time_s), oxtint.format_duration(dip.interval_s.low),
        oxtint.format_duration(dip.interval_s.high)))
end

show("before any", assert(oxtint.starting_steel("Dogwood 4")))

-- Invented coupons. What was known beforehand stays part of every fit.
local prior = assert(oxtint.mild_steel_prior())
local log = assert(oxtint.new_trials())
local coupons = { { "620 F", "1:30", "purple" }, { "570 F", "3:00", "brown" },
                  { "650 F", "1:10", "blue" } }
local fit
for count, coupon in ipairs(coupons) do
    assert(log:add { steel = "Dogwood 4", bath = coupon[1], time = coupon[2], colour = coupon[3] })
    fit = assert(oxtint.fit(log, { prior = prior, scatter = 0.06 }))
    show(("after %d"):format(count), fit.steel)
end
print()
print(fit:report("F"))
