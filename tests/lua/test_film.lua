-- SPDX-License-Identifier: GPL-3.0-or-later
-- Stacks, angles, finishes, coats and lights; the prepared path; the way back from a colour.
local oxtint = require "oxtint"
local h = require "harness"

local function clear(n)
    return assert(oxtint.material { name = "clear", wavelength_nm = { 300, 900 }, n = { n, n },
                                    k = { 0, 0 } })
end

local function chroma(film, thickness)
    local _, a, b = film:lab(thickness)
    return math.sqrt(a * a + b * b)
end

-- Physics: straight on, s and p are the same; at a slant bare metal reflects s better, and
-- unpolarised light is the mean of both.
h.test("s and p", function()
    local waves = { 400, 550, 700 }
    local function reflectances(polarisation, angle)
        local film = assert(oxtint.film { polarisation = polarisation, angle_deg = angle })
        return film:reflectance(57, waves), film:reflectance(0, waves)
    end
    local s, p = reflectances("s", 0), reflectances("p", 0)
    local s60, bare_s60 = reflectances("s", 60)
    local p60, bare_p60 = reflectances("p", 60)
    local both60 = reflectances("none", 60)
    for i in ipairs(waves) do
        h.near(s[i], p[i], 1e-14)
        h.near(both60[i], (s60[i] + p60[i]) / 2, 1e-14)
        assert(bare_s60[i] > bare_p60[i] + 0.1)
    end
end)

-- D. Brewster, Phil. Trans. 105 (1815) 125: no p light is reflected at atan(n); from memory. M. Born
-- and E. Wolf, Principles of Optics, section 1.5: straight on ((n - 1)/(n + 1))^2 is.
h.test("Brewster's angle of a transparent substrate", function()
    local glass = clear(1.5)
    local film = assert(oxtint.film { layers = { glass }, substrate = glass, polarisation = "p",
                                      angle_deg = math.deg(math.atan(1.5)) })
    h.near(film:reflectance(57, 550), 0, 1e-28)
    local straight = assert(oxtint.film { layers = { glass }, substrate = glass })
    h.near(straight:reflectance(57, 550), 0.04, 1e-15)
end)

-- M. Born and E. Wolf, section 1.6: a quarter-wave film reflects ((n0 ns - n1^2)/(n0 ns + n1^2))^2;
-- none at all with n1 the root of n0 ns.
h.test("a quarter-wave film", function()
    for _, n in ipairs { 1.38, 2.3, 1.5 ^ 0.5 } do
        local film = assert(oxtint.film { layers = { clear(n) }, substrate = clear(1.5) })
        h.near(film:reflectance(550 / (4 * n), 550), ((1.5 - n * n) / (1.5 + n * n)) ^ 2, 1e-15)
    end
end)

-- Physics: two films of one material are one film, and the outermost stands first.
h.test("layers and their shares", function()
    local magnetite = oxtint.material "magnetite"
    local one = { oxtint.film():lab(57) }
    for _, layers in ipairs { {}, { "magnetite" }, { { magnetite } }, { magnetite, "magnetite" },
                              { { "magnetite", share = 0.3 }, { magnetite, share = 0.7 } } } do
        local lab = { assert(oxtint.film { layers = layers, substrate = "iron" }):lab(57) }
        for i = 1, 3 do
            h.near(lab[i], one[i], 1e-10)
        end
    end
    local many = {}
    for i = 1, 300 do
        many[i] = i % 2 == 0 and "magnetite" or { magnetite }
    end
    h.near(oxtint.film { layers = many }:lab(57), one[1], 1e-9)
    many[300] = "rust"
    h.raises("layers[300]", oxtint.film, { layers = many })
    local rusty = assert(oxtint.film { layers = { { "hematite", share = 0.1 },
                                                  { "magnetite", share = 0.9 } } })
    local buried = assert(oxtint.film { layers = { { "magnetite", share = 0.9 },
                                                   { "hematite", share = 0.1 } } })
    assert(rusty:difference(buried, 57) > 1)
    h.matches(rusty.description, "hematite.*magnetite.*iron")
    local chromium = assert(oxtint.film { substrate = "chromium" })
    h.matches(chromium.description, "chromium")
    local n, k = oxtint.material("chromium"):index(550)
    -- Fresnel straight on, as above, for a metal
    h.near(chromium:reflectance(0, 550), ((n - 1) ^ 2 + k * k) / ((n + 1) ^ 2 + k * k), 1e-14)
end)

-- Physics: an incoherent layer of transparent index over iron, summed by hand: its face reflects r,
-- the metal below R, and the light goes to and fro between them.
h.test("oil on bare iron", function()
    local n, k = oxtint.material("iron"):index(550)
    local oil = oxtint.OIL_INDEX
    local face = ((oil - 1) / (oil + 1)) ^ 2
    local below = ((n - oil) ^ 2 + k * k) / ((n + oil) ^ 2 + k * k)
    local oiled = assert(oxtint.film { coat_index = oil })
    h.near(oiled:reflectance(0, 550), face + (1 - face) ^ 2 * below / (1 - face * below), 1e-14)
    h.equal(oil, 1.47)
end)

-- Common practice, no source: oil and a matte surface make a blue paler; neither changes its order.
h.test("oil and a matte surface make blue paler", function()
    local dry = oxtint.film()
    local blue = dry:find_tint("blue").centre_nm
    for _, choice in ipairs { { coat_index = oxtint.OIL_INDEX }, { finish = "matte" } } do
        local other = assert(oxtint.film(choice))
        assert(chroma(other, blue) < chroma(dry, blue) - 2)
        assert(other:lab(blue) > dry:lab(blue))
        h.matches(other:tint(blue).name, "blue")
        h.equal(other:tint(blue).order, 1)
    end
end)

-- Contract of oxt_film_finish: a grade is its spreads; a mirror is not averaged at all.
h.test("a finish by name and by its spreads", function()
    local thickness_spread, angle_spread_deg = oxtint.finish "satin"
    local by_name = assert(oxtint.film { finish = "satin" })
    local by_spreads = assert(oxtint.film {
        finish = { thickness_spread = thickness_spread, angle_spread_deg = angle_spread_deg } })
    h.equal(by_name:difference(by_spreads, 57), 0.0)
    h.equal(by_name.description, by_spreads.description)
    assert(by_name:difference(oxtint.film(), 57) > 0)
    h.equal(oxtint.film { finish = "mirror" }.description, oxtint.film().description)
    h.equal(oxtint.film { finish = {} }.description, oxtint.film().description)
end)

-- Physics: metamerism; a spectrum that is not flat changes its colour from daylight to a lamp.
h.test("daylight against an LED", function()
    local day = oxtint.film()
    for _, name in ipairs { "LED-B3", "LED-V1", "FL11", "A" } do
        local lamp = assert(oxtint.film { illuminant = name })
        assert(day:difference(lamp, 57) > 1, name)
        h.near(lamp:difference(day, 57), day:difference(lamp, 57), 1e-9)
    end
    h.equal(day:difference(oxtint.film(), 57), 0.0)
end)

-- Contract: methods and functions are two ways to one number.
h.test("methods say what the functions say", function()
    local film = assert(oxtint.film { finish = "satin" })
    local with = { film = film }
    local function same(...)
        return table.concat({ ... }, " ", 1, 3)
    end
    h.equal(same(film:lab(57)), same(oxtint.film_lab(57, with)))
    h.equal(same(film:srgb(57)), same(oxtint.film_srgb(57, with)))
    h.equal(select(4, film:srgb(57)), select(4, oxtint.film_srgb(57, with)))
    h.equal(film:tint(57).label, oxtint.name_of(57, with))
    h.equal(film:tints()[8].low_nm, oxtint.tints(with)[8].low_nm)
    h.equal(film:target("blue").aim_nm, oxtint.target("blue", with).aim_nm)
    h.equal(film:target({ film:lab(57) }).order, 1)
    h.equal(film:find_tint("blue (second order)").label, "second-order blue")
    local waves, reflectances = film:reflectance(57)
    local _, others = oxtint.film_reflectance(57, with)
    h.equal(#waves, 81)
    h.equal(table.concat(reflectances, " "), table.concat(others, " "))
    h.equal(table.concat(film:reflectance(57, waves), " "), table.concat(reflectances, " "))
    h.equal(film:reflectance(57, 550), reflectances[35])
    h.equal(#film:reflectance(57, {}), 0)
end)

-- ISO/CIE 11664-4: L* = 116 (Y/Yn)^(1/3) - 16 for a Y that is not tiny.
h.test("XYZ and L* tell the same lightness", function()
    for _, choice in ipairs { {}, { illuminant = "A" }, { observer_deg = 10 } } do
        local film = assert(oxtint.film(choice))
        local _, Y = film:xyz(57)
        local _, white_Y = film:white()
        h.near(white_Y, 100, 1e-12)
        h.near(116 * (Y / 100) ^ (1 / 3) - 16, film:lab(57), 1e-10)
    end
end)

-- The bound that film.h states: CIEDE2000 of 0.02 from the full computation, from 0 to 400 nm.
h.test("the path is near the full computation", function()
    local film = assert(oxtint.film { illuminant = "FL11", coat_index = oxtint.OIL_INDEX })
    local list = {}
    for i = 0, 400 do
        list[i + 1] = math.min(400, 0.997 * i + 0.3)
    end
    local labs, xyzs, srgbs = film:path_lab(list), film:path_xyz(list), film:path_srgb(list)
    h.equal(#labs, 401)
    for i, thickness in ipairs(list) do
        assert(oxtint.delta_e2000(labs[i], { film:lab(thickness) }) <= 0.02)
        local _, Y = film:xyz(thickness)
        h.near(xyzs[i][2], Y, 0.01)
        local r, g, b = film:srgb(thickness)
        h.near(srgbs[i][1], r, 2e-3)
        h.near(srgbs[i][2], g, 2e-3)
        h.near(srgbs[i][3], b, 2e-3)
    end
end)

h.test("one thickness of the path is one of a list", function()
    local film = oxtint.film()
    local flags = {}
    for _, name in ipairs { "path_lab", "path_xyz", "path_srgb" } do
        for i, colour in ipairs(film[name](film, { 30, 50.5 })) do
            local found = { film[name](film, i == 1 and 30 or 50.5) }
            for place = 1, 3 do
                h.equal(found[place], colour[place])
            end
            h.equal(found[4], colour.out_of_gamut)
            table.insert(flags, tostring(found[4]))
        end
        h.equal(#film[name](film, {}), 0)
    end
    h.equal(table.concat(flags, " "), "nil nil nil nil false true")
end)

-- Physics: a film's own colour is the colour of its thickness.
h.test("a film's own colour leads back to its thickness", function()
    for _, choice in ipairs { {}, { finish = "satin", coat_index = oxtint.OIL_INDEX },
                              { illuminant = "LED-B3", observer_deg = 10 } } do
        local film = assert(oxtint.film(choice))
        for _, thickness in ipairs { 20, 40, 57, 118, 175 } do
            local best = assert(film:match { film:lab(thickness) })[1]
            h.near(best.thickness_nm, thickness, 2e-3)
            h.near(best.difference, 0, 0.01)
            assert(best.low_nm < thickness and thickness < best.high_nm)
            h.near(best.uncertainty_nm, (best.high_nm - best.low_nm) / 2, 1e-12)
            h.equal(best.order, film:tint(thickness).order)
        end
    end
end)

-- Contract of oxt_film_match: the verdict, the factors, and the order of the list.
h.test("verdicts", function()
    local film = oxtint.film()
    local blue = film:match({ film:lab(57) }, { tolerance = 3 })
    h.equal(blue.verdict, "ambiguous")
    assert(#blue > 1 and blue[1].difference <= blue[2].difference)
    local L, a, b = film:lab(40)
    local purple = film:match({ L, a, b }, { tolerance = 3 })
    h.equal(purple.verdict, "unique")
    h.equal(#purple, 1)
    local none = film:match { 20, 90, 90 }
    h.equal(none.verdict, "off path")
    h.equal(#none, 0)
    h.equal(film:match({ L + 15, a, b }, { reach = 5 }).verdict, "off path")
    -- of a photograph that is too light the hue and the chroma still tell
    h.near(film:match({ L + 15, a, b }, { reach = 5, lightness_factor = 1e9 })[1].thickness_nm, 40,
           2e-2)
    -- a wider tolerance makes a wider stretch
    assert(film:match({ L, a, b }, { tolerance = 1 })[1].uncertainty_nm < purple[1].uncertainty_nm)
end)

-- Contract of the header: ranges, and codes where a number is outside them.
h.test("failures of films", function()
    local film = oxtint.film()
    for _, choice in ipairs {
        { angle_deg = 86 }, { angle_deg = -1 }, { coat_index = 0.9 }, { coat_index = 3 },
        { finish = { thickness_spread = 0.6 } }, { finish = { angle_spread_deg = 41 } },
        { finish = { thickness_spread = 0 / 0 } },
        { layers = { { "iron", share = 0.5 }, { "iron", share = 0.4 } } },
        { layers = { { "iron", share = 0 }, { "iron", share = 1 } } },
        { layers = { { "iron", share = 0 / 0 } } },
    } do
        h.fails("EDOMAIN", oxtint.film(choice))
    end
    for _, name in ipairs { "lab", "srgb", "xyz", "reflectance", "path_lab", "path_xyz",
                            "path_srgb", "tint" } do
        for _, thickness in ipairs { -1, 1001, 0 / 0 } do
            h.fails("EDOMAIN", film[name](film, thickness))
        end
        h.raises("number", film[name], film, "57")
        h.raises("number", film[name], film)
        h.raises("oxtint.film expected", film[name], oxtint, 57)
    end
    h.fails("EDOMAIN", film:path_lab { 57, 401 })
    h.fails("EDOMAIN", film:reflectance(57, 379))
    h.fails("EDOMAIN", film:reflectance(57, { 550, 781 }))
    h.fails("EDOMAIN", film:difference(film, -1))
    h.fails("EDOMAIN", film:match { 101, 0, 0 })
    h.fails("EDOMAIN", film:match({ 50, 0, 0 }, { tolerance = 0 }))
    h.fails("EDOMAIN", film:match({ 50, 0, 0 }, { lightness_factor = 0.5 }))
    h.fails("EPARSE", film:find_tint "mauve")
    h.fails("EPARSE", film:target "mauve")
end)

h.test("misuse of the choices", function()
    local names = "expected iron, chromium, magnetite or hematite"
    for text, choice in pairs {
        ["layers: list expected, got string"] = { layers = "magnetite" },
        ["layers: unknown key 'share', expected a list"] = { layers = { share = 1 } },
        ["layers[1]: name is 'rust', " .. names] = { layers = { "rust" } },
        ["layers[2]: oxtint.material or its name expected, got number"] = { layers = { "iron", 1 } },
        ["layers[1]: oxtint.material or its name expected, got nil"] =
            { layers = { { share = 1 } } },
        ["layers[1]: unknown key '2', expected one of: share"] = { layers = { { "iron", 0.1 } } },
        ["layers[1]: share: number expected, got string"] = { layers = { { "iron", share = "1" } } },
        ["a share of the thickness for each expected, or for none"] =
            { layers = { "iron", { "iron", share = 1 } } },
        ["substrate: name is 'tin', " .. names] = { substrate = "tin" },
        ["substrate: oxtint.material or its name expected, got userdata"] =
            { substrate = oxtint.film() },
        ["polarisation: one of none, s, p expected, got 'x'"] = { polarisation = "x" },
        ["finish: one of mirror, satin, matte expected, got number"] = { finish = 1 },
        ["finish: unknown key 'angle', expected one of: thickness_spread, angle_spread_deg"] =
            { finish = { angle = 1 } },
        ["illuminant: one of D65, D50"] = { illuminant = "d65" },
        ["observer_deg: 2 or 10 expected, got 3"] = { observer_deg = 3 },
        ["observer_deg: whole number expected"] = { observer_deg = "2" },
        ["angle_deg: number expected, got string"] = { angle_deg = "45" },
    } do
        h.raises(text, oxtint.film, choice)
    end
end)

h.test("misuse of the methods", function()
    local film = oxtint.film()
    h.raises("oxtint.film expected, got number", film.difference, film, 57)
    h.raises("element 2: number expected, got string", film.path_lab, film, { 1, "2" })
    h.raises("element 1: number expected, got table", film.reflectance, film, 57, { {} })
    h.raises("list of numbers expected, got string", film.reflectance, film, 57, "550")
    h.raises("list of three numbers expected", film.match, film, { 50, 0 })
    h.raises("unknown key 'order', expected one of: tolerance, reach", film.match, film,
             { 50, 0, 0 }, { order = 1 })
    h.raises("string expected, got number", film.find_tint, film, 57)
    h.raises("trade name, thickness, L* a* b* or oxtint.target expected", film.target, film)
end)
