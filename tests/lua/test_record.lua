-- SPDX-License-Identifier: GPL-3.0-or-later
-- Dips made by a card, recorded with it.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

h.test("a dip is recorded with what was promised and what came out", function()
    local steel = coupons.steel()
    local dip = assert(steel:dip("blue", 600))
    local second = assert(steel:record(dip, "blue", { label = "a Tuesday" }))
    local third = assert(second:record(dip, "61 nm", { time = dip.time_s + 30 }))
    h.equal(steel.record_count, 0)
    h.equal(third.record_count, 2)
    local first, last = table.unpack(third.recorded)
    h.equal(first.hit, true)
    h.equal(first.label, "a Tuesday")
    h.near(first.chance, dip.chance, 0)
    h.equal(last.chance, -1.0)
    h.equal(last.seen, "61 nm")
    local record = assert(third:track_record())
    h.equal(record.dip_count, 2)
    h.equal(record.promised_count, 1)
    h.equal(record.kept, true)
    h.equal(#record.bin_hits, 5)
    assert(record:report():find("2 dips recorded, 1 lifted as predicted", 1, true))
    h.equal(tostring(record), record:report())
    local loaded = assert(oxtint.steel_from_card(third:to_card()))
    h.equal(loaded.recorded[2].seen, "61 nm")
    local log = assert(oxtint.new_trials())
    assert(log:add_record(third))
    h.equal(#log, 2)
    h.equal(log[1].colour, "blue")
    h.near(log[2].thickness_nm, 61, 1e-9)
end)

h.test("a card that gives another colour than promised is said not to keep it", function()
    local steel = coupons.steel()
    local dip = assert(steel:dip("blue", 600))
    for _ = 1, 12 do
        steel = assert(steel:record(dip, "silver"))
    end
    local record = assert(steel:track_record { false_alarm = 0.01 })
    h.equal(record.kept, false)
    assert(record:report():find("no longer keeps its promises", 1, true))
end)

h.test("what is no record is refused", function()
    local steel = coupons.steel()
    local dip = assert(steel:dip("blue", 600))
    h.fails("EPARSE", steel:record(dip, "blu"))
    h.fails("EDOMAIN", steel:track_record { false_alarm = 1 })
    h.raises("unknown key 'date'", steel.record, steel, dip, "blue", { date = "x" })
    h.raises("dip expected", steel.record, steel, "blue", "blue")
end)
