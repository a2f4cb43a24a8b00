-- SPDX-License-Identifier: GPL-3.0-or-later
-- What pictures show, as tables, and two of them as SVG.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

local steel = coupons.steel()

h.test("a chart has the ends, bands and coupons of its steel", function()
    local log = coupons.log(0.03)
    assert(log:add { steel = "Alder 1", finish = "satin", bath = 600, time = 80, colour = "straw" })
    local dip = assert(steel:dip("blue", 600))
    local chart = assert(steel:chart { trials = log, dip = dip, bath_low = "500 F", bath_high = 680, time_low = "10 s",
                                       time_high = "10:00" })
    h.near(chart.bath_low_K, oxtint.parse_temperature("500 F"), 1e-9)
    h.equal(chart.bath_high_K, 680.0)
    h.equal(chart.time_high_s, 600.0)
    h.near(steel:thickness(600, chart.aim_s), dip.target.aim_nm, 1e-9)
    h.near(steel:thickness(600, chart.latest_s), dip.target.high_nm, 1e-9)
    h.equal(#chart.marks, 13)
    h.equal(chart.mark_count, 13)
    h.equal(chart.marks[13].trial, 13)
    h.equal(chart.marks[13].label, "straw")
    h.equal(chart.marks[1].label, "")
    h.equal(chart.marks[1].bath_K, log[1].bath_K)
    h.equal(#chart.marks[1].srgb, 3)
    h.equal(#chart.bands, chart.band_count)
    for _, band in ipairs(chart.bands) do
        local nm = steel:thickness(680, band.label_s)
        assert(band.leaves_below or nm > band.low_nm and nm < band.high_nm, band.label)
        h.equal(band.label, oxtint.tints()[band.index].label)
    end
    h.equal(table.concat(chart.ticks_s, " "), "10.0 30.0 60.0 120.0 300.0 600.0")
    h.equal(chart.name, steel.steel .. (steel.finish ~= "" and ", " .. steel.finish or ""))
end)

h.test("a chart without anything has a frame", function()
    local chart = assert(steel:chart())
    h.equal(#chart.marks, 0)
    assert(chart.aim_s ~= chart.aim_s) -- NaN
    h.equal(chart.bath_low_K, steel.bath_low_K - 15)
end)

h.test("the spread of a dip is that of the rates", function()
    local fit = coupons.fit()
    local bootstrap = assert(fit:bootstrap { replicates = 100 })
    local times = assert(fit.steel:chart_spread(bootstrap, "blue", 600))
    h.equal(#times, 100)
    table.sort(times)
    local low, high = bootstrap:interval("dip-time", { bath = 600, confidence = 0.9 })
    local aim = assert(fit.steel:dip("blue", 600)).time_s
    assert(times[3] < low * aim and times[98] > high * aim)
end)

h.test("a cell of the map is the advice in it", function()
    local baths, times = { "580 K", 600 }, { 0.01, 0.05, 60, "1:30" }
    local ratios = assert(steel:chart_map(baths, times, { bath = 590, target = "blue" }))
    h.equal(#ratios, 3)
    h.equal(#ratios[1], 2)
    assert(ratios[1][1] ~= ratios[1][1]) -- bright steel tells nothing
    local advice = assert(steel:advise { bath = 590, low = 600, high = 600, shortest = 60, longest = 90, count = 1 })
    h.near(ratios[3][2], advice.coupons[1].interval_ratio, 1e-12)
end)

h.test("a sheet has a dip for each target and bath", function()
    local sheet = assert(steel:chart_sheet { baths = { 580, "600 K" }, targets = { "blue", "57 nm", "brown" }, part = 0.004,
                                             unit = "C" })
    h.equal(sheet.target_count, 3)
    h.equal(#sheet.dips, 3)
    h.equal(#sheet.dips[1], 2)
    h.equal(sheet.dips[3][2], assert(steel:dip("brown", 600, { part = 0.004 })))
    h.matches(sheet.path_text, "^Part: 4 mm plate")
    h.matches(sheet.coverage, " C, of films from ")
    local none, message, code = steel:chart_sheet { baths = { 1, 2, 3, 4, 5 } }
    h.equal(none, nil)
    h.equal(code, "EARG")
    h.matches(message, "baths are 5, expected 1 to 4")
    none, message = steel:chart_sheet { targets = { "blue", "blue", "blue", "blue", "blue", "blue", "blue", "blue", "blue", "blue",
                                                    "blue" } }
    h.equal(none, nil)
    h.matches(message, "targets are 11, expected 1 to 10")
end)

h.test("pictures are SVG", function()
    local chart = assert(steel:chart_svg({ trials = coupons.log(0.03) }, "C"))
    h.matches(chart, "^<%?xml")
    h.matches(chart, "bath temperature %(°C%)")
    h.matches(chart, "</svg>\n$")
    local sheet = assert(steel:chart_sheet_svg { paper = "letter", date = "5 March <&>" })
    h.matches(sheet, "5 March &lt;&amp;&gt;, oxtint")
    h.matches(sheet, 'viewBox="0 0 612.00 792.00"')
    local none, message = steel:chart_svg { bath_low = 700, bath_high = 600 }
    h.equal(none, nil)
    h.matches(message, "from low to high")
end)

h.test("misuse of charts", function()
    h.raises("trials: oxtint.trials expected", steel.chart, steel, { trials = 1 })
    h.raises("dip: oxtint.dip expected", steel.chart, steel, { dip = 1 })
    h.raises("unknown key", steel.chart_svg, steel, { colour = 1 })
    h.raises("baths: list expected", steel.chart_sheet, steel, { baths = 600 })
    h.raises("paper: one of A4, letter expected", steel.chart_sheet, steel, { paper = "A3" })
    h.raises("oxtint.bootstrap expected", steel.chart_spread, steel, 1, "blue", 600)
end)
