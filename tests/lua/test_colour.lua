-- SPDX-License-Identifier: GPL-3.0-or-later
-- Films, their colours, and the trade names.
local oxtint = require "oxtint"
local h = require "harness"

-- G. Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, table 1: all 34 pairs, to the
-- four decimals printed there.
h.test("CIEDE2000 of the published pairs", function()
    local pairs_read = 0
    for line in io.lines(h.root .. "tests/data/ciede2000.csv") do
        local row = {}
        for cell in line:gmatch("[^,]+") do
            table.insert(row, tonumber(cell))
        end
        if #row == 8 then
            local first, second = { row[2], row[3], row[4] }, { row[5], row[6], row[7] }
            h.near(oxtint.delta_e2000(first, second), row[8], 5.001e-5)
            h.near(oxtint.delta_e2000(second, first), row[8], 5.001e-5)
            pairs_read = pairs_read + 1
        end
    end
    h.equal(pairs_read, 34)
end)

-- IEC 61966-2-1: Y of the primaries, 0.2126, 0.7152 and 0.0722; CIE 15:2004: L* of the white is 100, and 18.4187 %
-- is L* 50, from ((50 + 16) / 116)^3.
h.test("colours from one space to another", function()
    local _, Y = oxtint.xyz_from_srgb { 1, 0, 0 }
    h.near(Y, 21.26, 0.01)
    _, Y = oxtint.xyz_from_srgb { 0, 1, 0 }
    h.near(Y, 71.52, 0.01)
    local white = { oxtint.light_white() }
    local L, a, b = oxtint.lab_from_xyz(white)
    h.near(L, 100, 1e-9)
    h.near(a, 0, 1e-9)
    h.near(b, 0, 1e-9)
    local grey = {}
    for i = 1, 3 do
        grey[i] = white[i] * (66 / 116) ^ 3
    end
    h.near(oxtint.lab_from_xyz(grey), 50, 1e-9)
    local lamp = { oxtint.light_white "A" }
    h.near(oxtint.lab_from_xyz(lamp, lamp), 100, 1e-9)
    local back = { oxtint.xyz_from_lab({ oxtint.lab_from_xyz({ 20, 30, 10 }, lamp) }, lamp) }
    for i, value in ipairs { 20, 30, 10 } do
        h.near(back[i], value, 1e-9)
    end
    h.fails("EDOMAIN", oxtint.xyz_from_srgb { 2, 0, 0 })
    h.fails("EDOMAIN", oxtint.lab_from_xyz({ 20, 30, 10 }, { 0, 0, 0 }))
    h.raises("list of three numbers", oxtint.lab_from_xyz, { 1, 2 })
end)

h.test("misuse and failures of delta_e2000", function()
    local grey = { 50, 0, 0 }
    h.raises("list of three numbers expected", oxtint.delta_e2000, grey, { 50, 0 })
    h.raises("list of three numbers expected", oxtint.delta_e2000, grey, { 50, 0, 0, 0 })
    h.raises("list of three numbers expected", oxtint.delta_e2000, { 50, 0, "0" }, grey)
    h.raises("list of three numbers expected", oxtint.delta_e2000, grey)
    h.fails("EDOMAIN", oxtint.delta_e2000(grey, { 0 / 0, 0, 0 }))
end)

-- Physics: where there is no film there is nothing to absorb, so bare steel looks the same whatever
-- the film would be, and a film of 57 nm does not.
h.test("bare steel does not know the film", function()
    local dense = assert(oxtint.film { absorption_scale = 3 })
    local bare, other = { oxtint.film_lab(0) }, { oxtint.film_lab(0, { film = dense }) }
    for i = 1, 3 do
        h.near(other[i], bare[i], 1e-12)
    end
    local thin, thick = { oxtint.film_lab(57) }, { oxtint.film_lab(57, { film = dense }) }
    assert(oxtint.delta_e2000(thin, thick) > 1)
end)

-- Physics: a passive surface reflects more than nothing and less than all.
h.test("reflectance lies between 0 and 1 at 81 wavelengths", function()
    local wavelengths, reflectances = oxtint.film_reflectance(57)
    h.equal(#wavelengths, 81)
    h.equal(#reflectances, 81)
    for i, reflectance in ipairs(reflectances) do
        h.equal(wavelengths[i], 375.0 + 5 * i)
        assert(reflectance > 0 and reflectance < 1)
    end
end)

-- IEC 61966-2-1 and ISO/CIE 11664-4: a colour that the screen can show has the same lightness on
-- both roads; Y from sRGB by the luminance row of the standard.
h.test("sRGB and L* tell the same lightness", function()
    local L = oxtint.film_lab(30)
    local r, g, b, out_of_gamut = oxtint.film_srgb(30)
    h.equal(out_of_gamut, false)
    local function linear(component)
        return component <= 0.04045 and component / 12.92 or ((component + 0.055) / 1.055) ^ 2.4
    end
    local Y = 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    h.near(116 * Y ^ (1 / 3) - 16, L, 1e-9)
end)

-- IEC 61966-2-1: components run from 0 to 1. The deepest blue of a film is past what a screen can
-- show.
h.test("a colour out of gamut is brought in and flagged", function()
    local r, _, _, out_of_gamut = oxtint.film_srgb(50)
    h.near(r, 0.0, 1e-6)
    h.equal(out_of_gamut, true)
end)

-- Contract: a thickness from 0 to 1000 nm.
h.test("failures of the colours of a film", function()
    for _, name in ipairs { "film_lab", "film_srgb", "film_reflectance" } do
        for _, thickness in ipairs { -1, 1001, 0 / 0, math.huge } do
            h.fails("EDOMAIN", oxtint[name](thickness))
        end
        h.raises("number expected, got string", oxtint[name], "57")
        h.raises("number expected, got no value", oxtint[name])
    end
    h.fails("EDOMAIN", oxtint.name_of(-1))
    h.fails("EDOMAIN", oxtint.name_of(999))
    h.raises("number expected, got string", oxtint.name_of, "57")
end)

-- Contract of oxt_tint: bands touch, each begins where the one before ends, and "bright" means bare.
h.test("bands touch and carry their names", function()
    local bands = oxtint.tints()
    h.equal(#bands, 15)
    h.equal(bands[1].label, "bright")
    h.equal(bands[#bands].label, "second-order green")
    local before = 0.0
    for place, band in ipairs(bands) do
        h.equal(band.index, place)
        h.equal(band.low_nm, before)
        assert(band.centre_nm < band.high_nm)
        assert(band.centre_nm > band.low_nm or place == 1)
        h.equal(oxtint.name_of(band.centre_nm), band.label)
        before = band.high_nm
    end
end)

-- Physics: the order of interference repeats a colour, so purple and blue come twice, and
-- first-order yellow (straw) has its second.
h.test("bands of the other order point at each other", function()
    local bands, twice = oxtint.tints(), {}
    for place, band in ipairs(bands) do
        local other = bands[band.other_index]
        if other and other.other_index then
            h.equal(other.other_index, place)
            h.equal(other.name, band.name)
            h.equal(other.order, 3 - band.order)
            twice[band.name] = true
        end
    end
    assert(twice.purple and twice.blue)
    h.equal(bands[2].other_index, nil)
end)

-- Contract: `film` is accepted wherever colours are looked at.
h.test("another film moves the bands", function()
    local dense = assert(oxtint.film { absorption_scale = 2 })
    local usual, other = oxtint.tints(), oxtint.tints { film = dense }
    assert(usual[8].low_nm ~= other[8].low_nm)
    local edge = (usual[8].low_nm + other[8].low_nm) / 2
    assert(oxtint.name_of(edge) ~= oxtint.name_of(edge, { film = dense }))
    h.matches(dense.description, "absorption x 2")
    assert(oxtint.film().description ~= dense.description)
    h.equal(tostring(dense), dense.description)
end)

-- Contract of oxt_film_options: absorption_scale from 0 to 5.
h.test("failures and misuse of films", function()
    h.fails("EDOMAIN", oxtint.film { absorption_scale = -1 })
    h.fails("EDOMAIN", oxtint.film { absorption_scale = 0 / 0 })
    h.raises("absorption_scale: number expected, got string", oxtint.film,
             { absorption_scale = "1" })
    h.raises("unknown key 'absorbtion', expected one of: absorption_scale", oxtint.film,
             { absorbtion = 1 })
    h.raises("table expected, got number", oxtint.film, 1)
    h.raises("film: oxtint.film expected, got number", oxtint.film_lab, 57, { film = 1 })
    h.raises("film: oxtint.film expected, got userdata", oxtint.film_lab, 57,
             { film = oxtint.new_trials() })
    h.raises("unknown key 'filn', expected one of: film", oxtint.tints, { filn = 1 })
    local closed = oxtint.film()
    closed:close()
    h.raises("the film is closed", oxtint.name_of, 57, { film = closed })
end)

-- Common practice, no source: docs/reference/tint.md says which word stands for which band.
h.test("other words of the trade, and a slip asked back", function()
    local film = oxtint.film()
    h.equal(film:find_tint("violet").label, "purple")
    h.equal(film:find_tint("light straw").label, "faint straw")
    h.equal(film:find_tint("2nd blue").label, "second-order blue")
    local nothing, message = film:find_tint("bleu")
    h.equal(nothing, nil)
    h.equal(message, "'bleu' is no trade name of a colour; did you mean 'blue'?")
end)
