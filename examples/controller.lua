-- SPDX-License-Identifier: GPL-3.0-or-later
-- A controller with coroutines: one gives the readings of a thermocouple, which here is simulated, and each part is
-- one that waits for readings until it is to be lifted. A part enters when its coroutine is started.
--
--     LUA_CPATH="build/lua/lua/?.so" lua5.4 examples/controller.lua [TRIALS.csv]
local oxtint = require "oxtint"
local here = arg[0]:match("^.*/") or "./"

-- Readings of a bath that swings, with one that comes twice, one from a loose contact, and a gap.
local function readings()
    for tenth = 0, 2999 do
        local time_s, bath_K = tenth / 10, 588.7 + 3 * math.sin(0.005 * tenth)
        if tenth == 400 then
            bath_K = 5000
        end
        if tenth < 500 or tenth >= 580 then
            coroutine.yield(time_s, bath_K)
        end
        if tenth == 700 then
            coroutine.yield(time_s, bath_K)
        end
    end
end

-- One part: fed by resume(time_s, bath_K); ends when it is to be lifted.
local function part(name, tracker)
    return coroutine.create(function(time_s, bath_K)
        local snapshot
        while true do
            local taken, message = tracker:feed(time_s, bath_K)
            if not taken then
                print(("%6.1f s  %s: %s"):format(time_s, name, message))
            end
            local now = tracker:read()
            if now.to_lift_s == 0 then
                print(("%6.1f s  lift the %s: %.1f nm in the quench, chance %.0f %%"):format(
                    time_s, name, now.quench_nm, 100 * now.chance_now))
                return now
            end
            snapshot = tracker:snapshot() -- for a file: a controller that is restarted goes on with tracker:resume
            time_s, bath_K = coroutine.yield(snapshot)
        end
    end)
end

local log = assert(oxtint.read_trials(arg[1] or here .. "demo/trials.csv"))
local steel = assert(oxtint.fit(log, { steel = "Alder 1" })).steel
local waiting = {}
for enter_s, one in pairs { [0] = { "bezel", "3 mm" }, [20] = { "collar", "6 mm" } } do
    local tracker = assert(oxtint.tracker { steel = steel, target = "blue", part = one[2], bath = 588.7 })
    table.insert(waiting, { enter_s = enter_s, work = part(one[1], tracker) })
end
table.sort(waiting, function(a, b) return a.enter_s < b.enter_s end)

for time_s, bath_K in coroutine.wrap(readings) do
    for place = #waiting, 1, -1 do
        local one = waiting[place]
        if time_s >= one.enter_s then
            assert(coroutine.resume(one.work, time_s, bath_K))
            if coroutine.status(one.work) == "dead" then
                table.remove(waiting, place)
            end
        end
    end
    if #waiting == 0 then
        break
    end
end
assert(#waiting == 0, "the readings ended before the lift")
