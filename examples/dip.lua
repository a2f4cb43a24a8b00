-- SPDX-License-Identifier: GPL-3.0-or-later
-- Fit one steel of a log of coupons, and predict its dip for blue at 600 F.
--
--     lua5.4 examples/dip.lua [TRIALS.csv [STEEL [FINISH]]]
local oxtint = require "oxtint"

local here = arg[0]:match("^.*/") or ""
local path, steel, finish = arg[1] or here .. "demo/trials.csv", arg[2], arg[3]

local log = assert(oxtint.read_trials(path))
if not steel then
    steel, finish = log[1].steel, log[1].finish
end

local fit = assert(oxtint.fit(log, { steel = steel, finish = finish }))
print(fit:report("F"))

local dip = assert(fit.steel:dip("blue", "600 F"))
print(dip)
