-- SPDX-License-Identifier: GPL-3.0-or-later
-- The page for the wall beside the bath, as SVG that any browser prints; and the chart of the same steel as letters in
-- a terminal, from the numbers alone.
--
--     lua5.4 examples/wall.lua [TRIALS.csv [WALL.svg]]
local oxtint = require "oxtint"

local here = arg[0]:match("^.*/") or "./"
local log = assert(oxtint.read_trials(arg[1] or here .. "demo/trials.csv"))
local steel = assert(oxtint.fit(log, { steel = "Alder 1", finish = "satin" })).steel
local film = steel.film

local sheet = { part = "6 mm", lift = "4 s", unit = "F", date = os.date("%Y-%m-%d") }
if arg[2] then
    local file = assert(io.open(arg[2], "wb"))
    assert(file:write(assert(steel:chart_sheet_svg(sheet))))
    assert(file:close())
    print("Saved " .. arg[2])
end

-- What stands on it, as tables.
local what = assert(steel:chart_sheet(sheet))
print(what.name .. "; " .. what.path_text)
for _, row in ipairs(what.dips) do
    local line = ("%-14s"):format(row[1].target.text)
    for _, dip in ipairs(row) do
        line = line .. ("%18s"):format(oxtint.format_temperature(dip.bath_K, "F") .. "  "
            .. oxtint.format_duration(dip.time_s))
    end
    print(line)
end

-- The chart: a letter for each band, time up, bath across; a coupon is a star.
local chart = assert(steel:chart { trials = log })
local letters, columns, rows = "BFSDNPUbLsYRQVG", 64, 20
local range = chart.time_high_s / chart.time_low_s
local function bath_at(column)
    return chart.bath_low_K + (column - 0.5) / columns * (chart.bath_high_K - chart.bath_low_K)
end
local function time_at(row)
    return chart.time_low_s * range ^ ((row - 0.5) / rows)
end
local marks = {}
for _, mark in ipairs(chart.marks) do
    local column = math.ceil((mark.bath_K - chart.bath_low_K) / (chart.bath_high_K - chart.bath_low_K) * columns)
    local row = math.ceil(math.log(mark.equivalent_s / chart.time_low_s) / math.log(range) * rows)
    marks[row * columns + column] = true
end
for row = rows, 1, -1 do
    local line = {}
    for column = 1, columns do
        local index = film:tint(math.min(steel:thickness(bath_at(column), time_at(row)), 229)).index
        line[column] = marks[row * columns + column] and "*" or letters:sub(index, index)
    end
    print(("%7s  %s"):format(oxtint.format_duration(time_at(row)), table.concat(line)))
end
for _, band in ipairs(chart.bands) do
    print(("%7s  %s from %.0f to %.0f nm"):format(letters:sub(band.index, band.index), band.label, band.low_nm,
                                                 band.high_nm))
end
