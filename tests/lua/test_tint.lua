-- SPDX-License-Identifier: GPL-3.0-or-later
-- Wanted colours.
local oxtint = require "oxtint"
local h = require "harness"

-- Contract of oxt_tint_target: aim at the centre of the band, bounds at its ends.
h.test("a trade name is its band", function()
    local blue = oxtint.tints()[8]
    local target = assert(oxtint.target("blue"))
    h.equal(target.text, blue.label)
    h.equal(target.aim_nm, blue.centre_nm)
    h.equal(target.low_nm, blue.low_nm)
    h.equal(target.high_nm, blue.high_nm)
    h.equal(target.order, 1)
    h.equal(target.other_nm, oxtint.tints()[blue.other_index].centre_nm)
    h.equal(tostring(target), target.text)
    h.equal(oxtint.target("second order blue").order, 2)
    assert(h.is_nan(oxtint.target("brown").other_nm))
end)

-- Contract of oxt_tint_target: a thickness has bounds 5 % to either side. A bare number goes the
-- same way, digit for digit.
h.test("a number is the same target as its text", function()
    local text, number = assert(oxtint.target("57 nm")), assert(oxtint.target(57))
    for name, value in pairs(text) do
        if value == value then
            h.equal(number[name], value, name)
        end
    end
    h.near(text.low_nm, 0.95 * 57, 1e-12)
    h.near(text.high_nm, 1.05 * 57, 1e-12)
    for _, thickness in ipairs { 57.3, 1 / 3, 1e-7, 999.999999999, 123456789e-6 } do
        h.near(oxtint.target(thickness).aim_nm, thickness, 4e-16 * thickness)
    end
end)

-- Physics, round trip: the colour of a film of 57 nm is that of a film of 57 nm.
h.test("the colour of a film leads back to its thickness", function()
    local lab = { oxtint.film_lab(57) }
    local target = assert(oxtint.target(lab))
    h.near(target.aim_nm, 57, 1e-3)
    h.equal(target.order, 1)
    local narrow = assert(oxtint.target { lab[1], lab[2], lab[3], tolerance = 2 })
    assert(narrow.low_nm > target.low_nm and narrow.high_nm < target.high_nm)
    -- the edge of the stretch is where the difference reaches the tolerance
    h.near(oxtint.delta_e2000(lab, { oxtint.film_lab(narrow.high_nm) }), 2, 1e-3)
    local second = oxtint.target { lab[1], lab[2], lab[3], order = 2, tolerance = 40 }
    h.equal(second.order, 2)
end)

-- Contract: an sRGB colour as text; the first order first.
h.test("an sRGB colour is a target", function()
    local r, g, b = oxtint.film_srgb(30)
    local function byte(component)
        return math.floor(255 * component + 0.5)
    end
    local text = ("#%02x%02x%02x"):format(byte(r), byte(g), byte(b))
    h.near(oxtint.target(text).aim_nm, 30, 1)
end)

h.test("a target is a target again", function()
    local target = assert(oxtint.target("dark straw"))
    local again = assert(oxtint.target(target))
    for name, value in pairs(target) do
        if value == value then
            h.equal(again[name], value, name)
        end
    end
end)

h.test("targets that cannot be", function()
    h.fails("EPARSE", oxtint.target("mauve"))
    h.fails("EDOMAIN", oxtint.target("bright"))
    h.fails("EUNIT", oxtint.target("57"))
    h.fails("EDOMAIN", oxtint.target("-57 nm"))
    h.fails("EPARSE", oxtint.target("#2b3a6"))
    for _, thickness in ipairs { 0, -57, 1001, 0 / 0, math.huge, -math.huge } do
        h.fails("EDOMAIN", oxtint.target(thickness))
    end
    h.fails("EUNREACHABLE", oxtint.target { 60, 150, 150 })
    h.fails("EDOMAIN", oxtint.target { 101, 0, 0 })
    h.fails("EDOMAIN", oxtint.target { 50, 0, -30, tolerance = -1 })
    h.fails("EARG", oxtint.target { 50, 0, -30, order = 3 })
end)

h.test("misuse of targets", function()
    h.raises("trade name, thickness, L* a* b* or oxtint.target expected, got boolean",
             oxtint.target, true)
    h.raises("got oxtint.film", oxtint.target, oxtint.film())
    h.raises("value expected", oxtint.target)
    h.raises("list of L*, a*, b* expected", oxtint.target, { 50, 0 })
    h.raises("list of L*, a*, b* expected", oxtint.target, { 50, 0, "-30" })
    h.raises("unknown key '4', expected one of: tolerance, order", oxtint.target, { 50, 0, -30, 4 })
    h.raises("unknown key 'tolerence', expected one of: tolerance, order", oxtint.target,
             { 50, 0, -30, tolerence = 4 })
    h.raises("order: whole number expected, got number", oxtint.target, { 50, 0, -30, order = 1.5 })
    h.raises("order: small whole number expected", oxtint.target, { 50, 0, -30, order = 1 << 40 })
    h.raises("tolerance: number expected, got string", oxtint.target,
             { 50, 0, -30, tolerance = "4" })
    h.raises("without NUL bytes", oxtint.target, "blue\0")
    h.raises("unknown key 'flim'", oxtint.target, "blue", { flim = 1 })
end)

-- Contract: the name is looked up on the film given.
h.test("a target knows the film that it was computed with", function()
    local dense = assert(oxtint.film { absorption_scale = 2 })
    local target = assert(oxtint.target("blue", { film = dense }))
    h.equal(target.description, dense.description)
    h.equal(target.low_nm, oxtint.tints { film = dense }[8].low_nm)
    h.equal(oxtint.target("57 nm").description, "")
end)
