-- SPDX-License-Identifier: GPL-3.0-or-later
-- How many fittings may go into the demo shop's bath at once: 8 kg of the ternary salt at 600 F with
-- 800 W to spare, and fittings of 3 mm sheet that weigh 90 g each.
--
--     lua5.4 examples/load.lua [SALT_KG [HEATER_W]]
local oxtint = require "oxtint"

local here = arg[0]:match("^.*/") or ""
local steel = assert(oxtint.fit(assert(oxtint.read_trials(here .. "demo/trials.csv")),
                                { steel = "Alder 1", finish = "satin" })).steel
local bath = oxtint.bath {
    salt = "ternary", salt_kg = tonumber(arg[1] or 8), heater_W = tonumber(arg[2] or 800),
}
local fitting, each_kg = assert(oxtint.part { size_m = 0.003 }), 0.09
local wanted = assert(oxtint.target "blue")
local time_s = assert(fitting:time_for(steel, wanted.aim_nm, "600 F"))

print(("%s: one fitting is blue after %s"):format(bath, oxtint.format_duration(time_s)))
print("fittings  bath sags by  back after  film then is")
local most = 0
for count = 1, 12 do
    local load_kg = count * each_kg
    local sag = assert(bath:sag(fitting, load_kg, "600 F"))
    local film_nm = assert(bath:exposure(steel, fitting, load_kg, "600 F", time_s)) ^ 0.5
    local back = sag.recovery_s == math.huge and "never" or assert(oxtint.format_duration(sag.recovery_s))
    print(("%8d  %10.1f K  %10s  %5.1f nm, %s"):format(count, sag.sag_K, back, film_nm,
                                                      oxtint.name_of(film_nm)))
    if sag.sag_K <= 5 and film_nm >= wanted.low_nm then
        most = count
    end
end
print(("At most %d at once."):format(most))
