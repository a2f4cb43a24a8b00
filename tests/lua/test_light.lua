-- SPDX-License-Identifier: GPL-3.0-or-later
-- Lights, finishes, adaptation, and colours for a screen.
local oxtint = require "oxtint"
local h = require "harness"

-- CIE 15:2018 to four decimals; the fifth decimal hangs on the step and the ends of the sum.
local chromaticities = {
    D65 = { 0.3127, 0.3290 }, D50 = { 0.3457, 0.3585 }, A = { 0.4476, 0.4074 },
    FL2 = { 0.3721, 0.3751 }, FL11 = { 0.3805, 0.3769 }, ["LED-B3"] = { 0.3756, 0.3723 },
    ["LED-V1"] = { 0.4548, 0.4044 },
}
for name, expected in pairs(chromaticities) do
    h.test("chromaticity of " .. name, function()
        local X, Y, Z = oxtint.light_white(name)
        h.near(Y, 100, 1e-12)
        h.near(X / (X + Y + Z), expected[1], 6e-5)
        h.near(Y / (X + Y + Z), expected[2], 6e-5)
    end)
end

-- CIE 15:2018: D65 seen by the CIE 1964 observer, x = 0.3138, y = 0.3310.
h.test("white of the ten-degree observer", function()
    local X, Y, Z = oxtint.light_white("D65", 10)
    h.near(X / (X + Y + Z), 0.3138, 6e-5)
    h.near(Y / (X + Y + Z), 0.3310, 6e-5)
    h.equal(oxtint.light_white(), oxtint.light_white("D65", 2))
    h.equal(table.concat({ oxtint.film { illuminant = "D65", observer_deg = 10 }:white() }, " "),
            table.concat({ X, Y, Z }, " "))
end)

-- C. Li and others, Color Res. Appl. 42 (2017) 703: a white becomes the other white, black
-- stays, and complete adaptation there and back is nothing.
h.test("adaptation", function()
    local day, lamp = { oxtint.light_white() }, { oxtint.light_white "A" }
    local white = { oxtint.adapt_white(lamp, lamp, day) }
    local black = { oxtint.adapt_white({ 0, 0, 0 }, lamp, day) }
    local there = { oxtint.adapt_white({ 20, 30, 10 }, lamp, day) }
    local back = { oxtint.adapt_white(there, day, lamp) }
    for i, component in ipairs { 20, 30, 10 } do
        h.near(white[i], day[i], 1e-11)
        h.equal(black[i], 0.0)
        h.near(back[i], component, 1e-11)
    end
    assert(there[3] > 20) -- the same stuff, in a light with more blue
    h.fails("EDOMAIN", oxtint.adapt_white(day, { 0, 1, 1 }, day))
    h.fails("EDOMAIN", oxtint.adapt_white({ 0 / 0, 1, 1 }, day, day))
end)

-- The spreads of the header's documentation, the project's own assumption.
h.test("finishes", function()
    for name, expected in pairs { mirror = { 0, 0 }, satin = { 0.05, 8 }, matte = { 0.12, 20 } } do
        local thickness_spread, angle_spread_deg = oxtint.finish(name)
        h.equal(thickness_spread, expected[1] + 0.0)
        h.equal(angle_spread_deg, expected[2] + 0.0)
    end
end)

-- IEC 61966-2-1: grey is grey, and D65 white is 1, 1, 1. Contract of oxt_srgb_keeping_hue: where a
-- screen can show the colour nothing changes; where it cannot, the lightness of Oklab stays (B. Ottosson,
-- A perceptual color space for image processing, 2020: the first row of each matrix, from XYZ and from
-- linear sRGB).
h.test("sRGB with its hue kept", function()
    local function linear(component)
        return component <= 0.04045 and component / 12.92 or ((component + 0.055) / 1.055) ^ 2.4
    end
    local r, g, b, out_of_gamut = oxtint.srgb_keeping_hue { 20 * 0.9505, 20, 20 * 1.089 }
    h.near(r, g, 2e-3)
    h.near(b, g, 2e-3)
    h.equal(out_of_gamut, false)
    r, g, b, out_of_gamut = oxtint.srgb_keeping_hue { 12, 10, 60 }
    h.equal(out_of_gamut, true)
    local function lightness(l, m, s)
        return 0.2104542553 * l ^ (1 / 3) + 0.7936177850 * m ^ (1 / 3) - 0.0040720468 * s ^ (1 / 3)
    end
    r, g, b = linear(r), linear(g), linear(b)
    h.near(lightness(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b,
                     0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b,
                     0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b),
           lightness(0.8189330101 * 0.12 + 0.3618667424 * 0.10 - 0.1288597137 * 0.60,
                     0.0329845436 * 0.12 + 0.9293118715 * 0.10 + 0.0361456387 * 0.60,
                     0.0482003018 * 0.12 + 0.2643662691 * 0.10 + 0.6338517070 * 0.60), 1e-4)
    assert(b > r and b > g)
    h.fails("EDOMAIN", oxtint.srgb_keeping_hue { 0 / 0, 0, 0 })
end)

h.test("misuse of lights and finishes", function()
    h.raises("illuminant: one of D65, D50, A, FL2, FL11, LED-B3, LED-V1 expected, got 'moon'",
             oxtint.light_white, "moon")
    h.raises("expected, got number", oxtint.light_white, 1)
    h.raises("observer_deg: 2 or 10 expected, got 3", oxtint.light_white, "D65", 3)
    h.raises("number expected, got string", oxtint.light_white, "D65", "2")
    h.raises("grade: one of mirror, satin, matte expected, got 'hammered'", oxtint.finish,
             "hammered")
    h.raises("got no value", oxtint.finish)
    h.raises("list of three numbers expected", oxtint.adapt_white, { 1, 2 }, { 1, 1, 1 },
             { 1, 1, 1 })
    h.raises("list of three numbers expected", oxtint.adapt_white, { 1, 2, 3 }, { 1, 1, 1 })
    h.raises("list of three numbers expected", oxtint.srgb_keeping_hue, 1)
end)
