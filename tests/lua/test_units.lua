-- SPDX-License-Identifier: GPL-3.0-or-later
-- Quantities to and from text.
local oxtint = require "oxtint"
local h = require "harness"

-- NIST SP 811 (2008), appendix B.8: T/K = (t/F + 459.67)/1.8 and T/K = t/C + 273.15.
h.test("temperatures in F, C and K", function()
    h.near(oxtint.parse_temperature("650 F"), (650 + 459.67) / 1.8, 1e-10)
    h.near(oxtint.parse_temperature("343.5 C"), 616.65, 1e-10)
    h.equal(oxtint.parse_temperature("616 K"), 616.0)
end)

-- Contract of parse_temperature: a unit is needed, a number is needed, above absolute zero.
h.test("texts that are no temperature", function()
    h.fails("EUNIT", oxtint.parse_temperature("650"))
    h.fails("EUNIT", oxtint.parse_temperature("650 R"))
    h.fails("EPARSE", oxtint.parse_temperature("hot"))
    h.fails("EDOMAIN", oxtint.parse_temperature("-300 C"))
end)

-- NIST SP 811 (2008), section 8.5: an interval of 1 C is one of 1 K and one of 1.8 F.
h.test("differences of temperatures", function()
    h.near(oxtint.parse_temperature_difference("9 F"), 5, 1e-15)
    h.equal(oxtint.parse_temperature_difference("-2.5 C"), -2.5)
    h.fails("EUNIT", oxtint.parse_temperature_difference("9"))
    h.fails("EPARSE", oxtint.parse_temperature_difference("some"))
end)

-- Contract of parse_duration: clock or units.
h.test("durations by clock and by units", function()
    h.equal(oxtint.parse_duration("1:30"), 90.0)
    h.equal(oxtint.parse_duration("1:02:30"), 3750.0)
    h.equal(oxtint.parse_duration("1 min 30 s"), 90.0)
    h.fails("EUNIT", oxtint.parse_duration("90"))
    h.fails("EPARSE", oxtint.parse_duration("1:75"))
    local _, message = oxtint.parse_duration("1:5")
    h.equal(message, "cannot read '1:5', expected two digits after the colon, such as 1:05")
    h.fails("EDOMAIN", oxtint.parse_duration("-5 s"))
end)

-- The inch is 25.4 mm exactly: NIST SP 811 (2008), appendix B.8.
h.test("lengths", function()
    h.near(oxtint.parse_length("1/4 in"), 0.00635, 1e-15)
    h.near(oxtint.parse_length("60 nm"), 60e-9, 1e-20)
    h.fails("EUNIT", oxtint.parse_length("6"))
    h.fails("EDOMAIN", oxtint.parse_length("-6 mm"))
end)

-- Contract of format_temperature: at most one decimal; C when no scale is given.
h.test("temperatures are written in the scale asked for", function()
    h.equal(oxtint.format_temperature(616.4833333, "F"), "650 F")
    h.equal(oxtint.format_temperature(616.4833333, "C"), "343.3 C")
    h.equal(oxtint.format_temperature(616.4833333, "K"), "616.5 K")
    h.equal(oxtint.format_temperature(616.4833333), "343.3 C")
    h.fails("EDOMAIN", oxtint.format_temperature(-1, "K"))
    h.fails("EDOMAIN", oxtint.format_temperature(0 / 0))
end)

-- The inch is 25.4 mm exactly; sRGB of 8 bits: IEC 61966-2-1.
h.test("lengths and sRGB colours as text", function()
    h.equal(oxtint.format_length(0.00635), "6.35 mm")
    h.equal(oxtint.format_length(0.00635, "in"), "0.25 in")
    h.fails("EDOMAIN", oxtint.format_length(-1))
    h.raises("invalid option", oxtint.format_length, 1, "ell")
    local red, green, blue = oxtint.parse_srgb "#ff8000"
    h.equal(red, 1.0)
    h.near(green, 128 / 255, 1e-15)
    h.equal(blue, 0.0)
    h.equal(oxtint.format_srgb { red, green, blue }, "#ff8000")
    h.fails("EPARSE", oxtint.parse_srgb "orange")
    h.fails("EDOMAIN", oxtint.format_srgb { 1, 2, 0 })
    h.raises("list of three numbers", oxtint.format_srgb, 1)
end)

-- Contract of oxt_error: what is at fault, its value and its limits, in the library's unit.
h.test("a failure says in numbers what is at fault", function()
    local _, details = h.fails("EDOMAIN", oxtint.parse_temperature "-300 C")
    h.near(details.value, -26.85, 1e-9)
    local steel = assert(oxtint.steel_from_values {
        steel = "Alder 1", k_ref_nm2_per_s = 30, T_ref_K = 600, Q_J_per_mol = 76e3, dof = 10,
        bath_low_K = 560, bath_high_K = 640, thickness_low_nm = 20, thickness_high_nm = 80 })
    local message
    message, details = h.fails("EDOMAIN", steel:dip("blue", "6500 F"))
    h.equal(message, "bath 6500 F is out of range (212 to 1292 F)")
    h.equal(details.parameter, "bath_K")
    h.near(details.value, (6500 + 459.67) / 1.8, 1e-9)
    h.near(details.low, (212 + 459.67) / 1.8, 1e-9)
    h.near(details.high, (1292 + 459.67) / 1.8, 1e-9)
    h.equal(details.row, nil)
    h.equal(details.column, nil)
    _, details = h.fails("EDOMAIN", steel:thickness({ 600, -1 }, 60))
    h.equal(details.row, 2)
end)

-- Contract of format_duration: as read off a clock.
h.test("durations are written as on a clock", function()
    h.equal(oxtint.format_duration(8.44), "8.4 s")
    h.equal(oxtint.format_duration(58), "58 s")
    h.equal(oxtint.format_duration(90), "1:30")
    h.equal(oxtint.format_duration(3750), "1:02:30")
    h.fails("EDOMAIN", oxtint.format_duration(-1))
    h.equal(oxtint.format_duration(1e6), "277:46:40")
    h.equal(oxtint.format_duration(2.7e46), "over 11 days")
    h.equal(oxtint.format_duration(math.huge), "over 11 days")
end)

-- Contract of the module: misuse raises an error.
h.test("misuse of the quantities", function()
    for _, name in ipairs { "parse_temperature", "parse_temperature_difference", "parse_duration",
                            "parse_length" } do
        h.raises("string expected, got number", oxtint[name], 650)
        h.raises("string expected, got no value", oxtint[name])
        h.raises("without NUL bytes", oxtint[name], "650 F\0")
    end
    h.raises("number expected, got string", oxtint.format_temperature, "616")
    h.raises("invalid option 'R'", oxtint.format_temperature, 616, "R")
    h.raises("number expected, got string", oxtint.format_duration, "90")
    h.raises("number expected, got no value", oxtint.format_duration)
end)

-- Contract: no call looks at the locale of its host. A German host writes 57,5 for 57.5; the
-- interpreter that is started here does, and the module does not.
h.test("a host with a decimal comma", function()
    local folder = h.temporary_name()
    os.remove(folder)
    local script = h.temporary_file([[
        local oxtint = require "oxtint"
        assert(os.setlocale("de_DE.UTF-8"))
        assert(("%.1f"):format(57.5) == "57,5")
        io.write(("%s %s %s"):format(oxtint.target(57.5).text, oxtint.format_duration(8.4),
                                     oxtint.format_temperature(616.4833333)))
    ]])
    local localedef = "mkdir %s && env -u LD_PRELOAD localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8"
    local made = os.execute(localedef:format(folder, folder))
    local pipe = io.popen(("LOCPATH=%s LUA_CPATH=%q %s %s 2>&1")
        :format(folder, package.cpath, arg[-1], script))
    local found = pipe:read("a")
    pipe:close()
    os.execute(("rm -r %s"):format(folder))
    h.equal(made, true)
    h.equal(found, "57.5 nm 8.4 s 343.3 C")
end)
