-- SPDX-License-Identifier: GPL-3.0-or-later
-- Dips as they happen.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

local steel = coupons.steel()
local blue = oxtint.target "blue"
local part = assert(oxtint.part { size_m = 0.006 })

local function new(options)
    options.steel, options.target = options.steel or steel, options.target or blue
    return assert(oxtint.tracker(options))
end

h.test("a steady bath agrees with the whole dip", function()
    local tracker = new { part = part, bath = "600 F" }
    for tenth = 0, 1200 do
        assert(tracker:feed(tenth / 10, "600 F"))
    end
    local now = tracker:read()
    h.near(now.exposure_nm2, part:exposure(steel, "600 F", 120), 1e-3 * now.exposure_nm2)
    h.near(now.surface_K, part:surface_temperature("600 F", 120), 1e-6)
    h.near(now.thickness_nm, now.exposure_nm2 ^ 0.5, 1e-12)
    h.equal(now.sample_count, 1201)
    h.equal(now.label, oxtint.name_of(now.thickness_nm))
    h.equal(oxtint.tints()[now.tint_index].label, now.label)
    h.near(oxtint.delta_e2000(now.lab, { oxtint.film_lab(now.thickness_nm) }), 0, 0.05)
end)

h.test("it says when to lift, and is right", function()
    local lift = { delay_s = 3, emissivity = 0.5 }
    local tracker, states, lift_s = new { part = part, bath = 590, lift = lift }, {}, nil
    for tenth = 0, 6000 do
        assert(tracker:feed(100 + tenth / 10, 590))
        local now = tracker:read()
        if now.to_lift_s > 0 then
            lift_s = lift_s or now.to_lift_s
            h.near(now.time_s + now.to_lift_s, lift_s, 0.02)
        elseif states[#states] ~= "lifted" and now.state == "showing" then
            h.near(now.quench_nm, blue.aim_nm, 1e-3 * blue.aim_nm)
            table.insert(states, "lifted")
        end
        if states[#states] ~= now.state and states[#states] ~= "lifted" or now.state == "past" then
            table.insert(states, now.state)
        end
        if now.state == "past" then
            break
        end
    end
    h.equal(table.concat(states, " "), "growing showing lifted past")
end)

h.test("refused samples and gaps", function()
    local tracker = new { longest_gap = "2 s" }
    assert(tracker:feed(0, 590))
    h.fails("EDOMAIN", tracker:feed(0, 590))
    h.fails("EDOMAIN", tracker:feed(1, 5000))
    h.fails("EDOMAIN", tracker:feed(1, 0 / 0))
    h.fails("EUNIT", tracker:feed(1, "590"))
    assert(tracker:feed(5, 590))
    local now = tracker:read()
    h.equal(now.refused_count, 3)
    h.equal(now.gap_count, 1)
    h.near(now.bridged_s, 5, 0)
    local rate = steel:thickness(590, 1) ^ 2
    h.near(now.exposure_nm2, 5 * rate, 1e-9 * rate)
end)

h.test("before the first sample, and after a restart", function()
    local tracker = new { initial_nm = 10 }
    local function is_fresh(now)
        assert(now.bath_K ~= now.bath_K)
        h.equal(now.to_lift_s, math.huge)
        h.equal(now.sample_count + now.refused_count, 0)
        h.near(now.thickness_nm, 10, 1e-12)
    end
    is_fresh(tracker:read())
    tracker:feed(0, 590)
    tracker:feed(0, 590)
    tracker:restart()
    is_fresh(tracker:read())
end)

h.test("cautions of the bath", function()
    local tracker = new { part = part, bath = "600 F" }
    tracker:feed(0, "1100 F")
    local names = {}
    for _, caution in ipairs(tracker:read().cautions) do
        names[caution.name] = caution.text
    end
    assert(names.MOLTEN_SALT and names.SOFTENS and names.ABOVE_WORKING and names.ABOVE_MODEL)
    h.equal(names.ABOVE_LEGAL, nil)
end)

-- Contract: nothing hangs on what the tracker was made from.
h.test("a tracker outlives its makers", function()
    local film, own_steel = oxtint.film(), coupons.steel()
    local own_part = oxtint.part { size_m = 0.006 }
    local tracker = new { steel = own_steel, film = film, part = own_part, bath = 600 }
    for _, object in ipairs { film, own_steel, own_part } do
        object:close()
    end
    assert(tracker:feed(0, 600) and tracker:feed(1, 600))
    h.equal(tracker:read().label, "bright")
    h.matches(tostring(tracker), "^dip of 1%.0 s, .* nm, growing$")
end)

h.test("misuse and failure of trackers", function()
    h.raises("steel: oxtint.steel expected, got nothing", oxtint.tracker, { target = 57 })
    h.raises("steel: oxtint.steel expected, got string", oxtint.tracker, { steel = "Alder 1" })
    h.raises("target: something to aim for expected", oxtint.tracker, { steel = steel })
    h.raises("part: oxtint.part expected", oxtint.tracker, { steel = steel, target = 57, part = true })
    h.raises("lift: table, time or text with a unit expected, got boolean", oxtint.tracker,
             { steel = steel, target = 57, lift = true })
    h.raises("lift: unknown key 'delay'", oxtint.tracker,
             { steel = steel, target = 57, lift = { delay = 3 } })
    local closed = oxtint.part { size_m = 0.006 }
    closed:close()
    h.raises("part: the part is closed", oxtint.tracker, { steel = steel, target = 57, part = closed })
    h.fails("EDOMAIN", oxtint.tracker { steel = steel, target = 57, part = part })
    h.fails("EDOMAIN", oxtint.tracker { steel = steel, target = 57, lift = { delay_s = -1 } })
    h.fails("EPARSE", oxtint.tracker { steel = steel, target = "mauve" })
    h.fails("EUNIT", oxtint.tracker { steel = steel, target = 57, bath = "600" })
end)

h.test("a tracker lifts when the dip says", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.008 })
    local pot = oxtint.bath { salt = "ternary", thermometer_offset_K = -4 }
    local given = { part = part, lift = { delay_s = 6 }, coupon = oxtint.part { size_m = 0.003 },
                    coupon_lift = { delay_s = 3 }, salt_bath = pot }
    local dip = assert(steel:dip("blue", "600 F", given))
    given.steel, given.target, given.bath = steel, "blue", "600 F"
    local tracker = assert(oxtint.tracker(given))
    assert(tracker:feed(0, "600 F"))
    h.near(tracker:read().to_lift_s, dip.time_s, 1e-3 * dip.time_s)
    h.raises("coupon: oxtint.part expected", oxtint.tracker,
             { steel = steel, target = "blue", bath = 600, coupon = false })
end)

-- Contract: at the first sample a tracker knows what a prediction knows.
h.test("a tracker says how sure it is", function()
    local options = { time_wander_s = 3, confidence = 0.9 }
    local dip = assert(steel:dip(blue, 600, options))
    local tracker = new { time_wander_s = "3 s", confidence = 0.9 }
    h.equal(h.is_nan(tracker:read().chance), true)
    tracker:feed(0, 600)
    local now = tracker:read()
    h.near(now.chance, dip.chance, 1e-9)
    h.near(now.to_lift_low_s, dip.next_interval_s.low, 1e-6)
    h.near(now.to_lift_high_s, dip.next_interval_s.high, 1e-6)
    assert(now.chance_now < 1e-3)
    for second = 1, math.ceil(now.to_lift_s) do
        tracker:feed(second, 600)
    end
    h.near(tracker:read().chance_now, dip.chance, 0.02)
    local names = {}
    for _, caution in ipairs(tracker:read().cautions) do
        names[caution.name] = true
    end
    h.equal(names.OTHER_ORDER, true)
    h.fails("EDOMAIN", oxtint.tracker { steel = steel, target = blue, confidence = 1 })
end)

-- Contract: a dip goes on from a snapshot to the last bit.
h.test("a tracker goes on after a restart", function()
    local whole, first = new { part = part, bath = 600 }, new { part = part, bath = 600 }
    for second = 0, 99 do
        whole:feed(second, 600 + second % 3)
        if second < 50 then
            first:feed(second, 600 + second % 3)
        end
    end
    local text = first:snapshot()
    local second = new { part = part, bath = 600 }
    h.equal(second:resume(text), true)
    for time = 50, 99 do
        assert(second:feed(time, 600 + time % 3))
    end
    local one, other = whole:read(), second:read()
    h.equal(other.exposure_nm2, one.exposure_nm2)
    h.equal(other.surface_K, one.surface_K)
    h.equal(other.to_lift_s, one.to_lift_s)
    h.equal(other.sample_count, 100)
    local _, details = h.fails("EARG", new { part = part, bath = 600, target = "purple" }:resume(text))
    h.equal(details.parameter, "aim_nm")
    h.fails("EPARSE", second:resume("{}"))
    h.equal(second:read().sample_count, 100)
    h.raises("string expected", second.resume, second, 1)
end)
