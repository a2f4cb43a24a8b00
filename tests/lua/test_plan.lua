-- SPDX-License-Identifier: GPL-3.0-or-later
-- The most forgiving bath, and sets of parts.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

h.test("no other bath has a better chance", function()
    local steel = coupons.steel()
    local best = assert(steel:most_forgiving("blue", { low = 560, high = 640, longest = 600,
                                                       time_wander_s = 4 }))
    for bath = 560, 640, 5 do
        local dip = assert(steel:dip("blue", bath, { time_wander_s = 4 }))
        assert(dip.time_s > 600 or dip.chance <= best.chance + 1e-9)
    end
    -- common practice, no source: a hasty hand wants a cooler bath
    assert(steel:most_forgiving("blue", { time_wander_s = 8 }).bath_K
           < steel:most_forgiving("blue", { bath_wander_K = 1 }).bath_K)
    h.fails("EUNREACHABLE", steel:most_forgiving("blue", { low = 500, high = 510, longest = 1 }))
    h.fails("EUNIT", steel:most_forgiving("blue", { low = "500" }))
    h.raises("unknown key 'coldest'", steel.most_forgiving, steel, "blue", { coldest = 500 })
end)

h.test("baths are a list of dips, and a table in the scale of the coldest", function()
    local steel = coupons.steel()
    local baths = assert(steel:baths("blue", { low = "560 F", high = "640 F", rows = 5 }))
    h.equal(#baths, 5)
    h.near(baths[1].bath_K, 566.483, 1e-3) -- 560 F: NIST SP 811
    h.near(baths[5].time_s, assert(steel:dip("blue", "640 F")).time_s, 1e-9)
    h.equal(baths[6], nil)
    for _, dip in ipairs(baths) do
        assert(dip.chance <= baths.best.chance + 1e-9)
    end
    h.equal(baths.best.bath_K, assert(steel:most_forgiving("blue", { low = "560 F", high = "640 F" })).bath_K)
    h.equal(tostring(baths), baths:report())
    h.matches(baths:report("K"), "588.7 K")
    local rows = 0
    for line in tostring(baths):gmatch("[^\n]+") do
        rows = rows + (line:find("^  %d.* F .*%%$") and 1 or 0)
    end
    h.equal(rows, 6) -- five baths and the best
    h.fails("EARG", steel:baths("blue", { rows = 1 }))
end)

h.test("a set can be worked by one person", function()
    local steel, satin = coupons.steel(), assert(oxtint.film { finish = "satin" })
    local part = assert(oxtint.part { size_m = 0.006 })
    local set = assert(oxtint.plan_set {
        bath = "600 F", spacing = "12 s", time_wander_s = 2,
        parts = { { name = "ring", steel = steel, target = "blue" },
                  { name = "bezel", steel = steel, target = "blue", part = part,
                    lift = { delay_s = 4 } },
                  { name = "cap", steel = steel, target = "blue", film = satin } },
    })
    h.equal(set.count, 3)
    local last
    for place, step in ipairs(set.steps) do
        h.near(step.lift_s - step.enter_s, step.dip.time_s, 1e-9)
        assert(place == 1 and step.enter_s == 0 or step.enter_s - last.enter_s >= 12 - 1e-9)
        assert(place == 1 or step.lift_s - last.lift_s >= 12 - 1e-9)
        last = step
    end
    h.equal(set.steps[1].name, "bezel") -- it warms up longest
    h.equal(set.steps[1].part, 2)
    assert(set.aim_mismatch < set.mean_mismatch and set.mean_mismatch < set.high_mismatch)
    assert(set.chance_targets > 0 and set.chance_targets < 1)
    assert(tostring(set):find("600 F", 1, true) and tostring(set):find("bezel: blue", 1, true))
    h.equal(set.cautions[1].name, "OTHER_ORDER")
    h.equal(set.cautions[#set.cautions].name, "DATA_SHEET")
    h.matches(set:report("F", "whole"), "throws the salt")
end)

h.test("the loads of a set share one bath", function()
    local steel, part = coupons.steel(), assert(oxtint.part { size_m = 0.006 })
    local function plan(kg)
        local bath = assert(oxtint.bath { salt_kg = kg, heater_W = 1500 })
        local one = { steel = steel, target = "blue", part = part, salt_bath = bath, load_kg = 0.5 }
        return assert(oxtint.plan_set { bath = "600 F", spacing = "15 s", parts = { one, one, one } })
    end
    local small, endless = plan(5), plan(0)
    assert(small.sag_K > 10 and small.sag_K < 15 and endless.sag_K == 0)
    for _, step in ipairs(small.steps) do
        assert(step.dip.time_s > endless.steps[1].dip.time_s + 10)
    end
end)

h.test("misuse and failure of sets", function()
    local steel = coupons.steel()
    local function plan(part, bath)
        return oxtint.plan_set { parts = { { steel = steel, target = "blue" }, part },
                                 bath = bath or 600 }
    end
    h.fails("EDOMAIN", plan(nil, 2000))
    h.fails("EUNREACHABLE", plan { steel = steel, target = "brown", initial = "blue" })
    h.fails("EPARSE", plan { steel = steel, target = "mauve" })
    h.raises("parts[2]: steel: oxtint.steel expected", plan, { target = "blue" })
    h.raises("parts[2]: target: expected", plan, { steel = steel })
    h.raises("parts[2]: table expected, got number", plan, 7)
    h.raises("parts[2]: unknown key 'size'", plan, { size = 7 })
    h.raises("parts: list expected", oxtint.plan_set, { bath = 600 })
    h.raises("bath: number or text", oxtint.plan_set, { parts = {} })
    h.fails("EDOMAIN", oxtint.plan_set { parts = {}, bath = 600 })
    h.fails("EDOMAIN", oxtint.plan_set { parts = { { steel = steel, target = "blue" } }, bath = 600,
                                         draws = 1 })
end)

-- Contract: progress rises to 1; it may stop the plan or raise an error.
h.test("progress of a set", function()
    local steel, last, parts = coupons.steel(), 0, {}
    for i = 1, 5 do parts[i] = { steel = steel, target = "blue" } end
    local function plan(progress, draws)
        return oxtint.plan_set { parts = parts, bath = "600 F", draws = draws, progress = progress }
    end
    assert(plan(function(done) assert(done >= last); last = done end))
    h.equal(last, 1.0)
    for i = 1, 500 do parts[i] = parts[1] end
    h.fails("ECANCEL", plan(function() return true end, 1000000))
    local good, raised = pcall(plan, function() error({ "mine" }) end, 1000000)
    assert(not good and raised[1] == "mine")
    good, raised = pcall(plan, 3)
    assert(not good and raised:find("progress: function expected, got number", 1, true))
end)
