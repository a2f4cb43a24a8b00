-- SPDX-License-Identifier: GPL-3.0-or-later
-- Watch a dip of the demo shop as a controller would: ten samples of the bath in a second, one of them
-- lost, one from a loose thermocouple. The bath is simulated; all figures are invented.
--
--     lua5.4 examples/watch.lua [COLOUR]
local oxtint = require "oxtint"

local here = arg[0]:match("^.*/") or ""
local log = assert(oxtint.read_trials(here .. "demo/trials.csv"))
local fit = assert(oxtint.fit(log, { steel = "Alder 1", finish = "satin" }))

local meant_K = oxtint.parse_temperature "600 F"

-- A controller that swings by 3 K, and the cold part that cools the bath at first.
local function bath_K(time_s)
    return meant_K + 3 * math.sin(time_s / 4) - 8 * math.exp(-time_s / 15)
end

local tracker = assert(oxtint.tracker {
    steel = fit.steel, target = arg[1] or "blue", bath = meant_K,
    part = assert(oxtint.part { size_m = 0.006 }), lift = { delay_s = 3 },
})

local function sample(tenth)
    local lost, loose = tenth == 123, tenth == 217
    if lost then
        return
    end
    local taken, message = tracker:feed(tenth / 10, loose and 5000 or bath_K(tenth / 10))
    if not taken then
        print("refused: " .. message)
    end
end

local function show(now)
    print(("%5.1f s  bath %5.1f C  part %5.1f C  %5.1f nm  %-14s lift in %.0f s"):format(
        now.time_s, now.bath_K - 273.15, now.surface_K - 273.15, now.thickness_nm, now.label,
        now.to_lift_s))
end

-- What to mind comes first, in the order in which it is read.
for _, caution in ipairs(tracker:read().cautions) do
    print("- " .. caution.brief)
end

local tenth, now = 0, nil
repeat
    sample(tenth)
    now = tracker:read()
    if tenth % 50 == 0 then
        show(now)
    end
    tenth = tenth + 1
until now.to_lift_s == 0

print(("%5.1f s  lift now: %.1f nm, and %.1f nm in the quench (%s)"):format(
    now.time_s, now.thickness_nm, now.quench_nm, oxtint.name_of(now.quench_nm)))
