-- SPDX-License-Identifier: GPL-3.0-or-later
-- The run of colours of the demo's film, as it comes from the bath and as it will look oiled.
--
--     lua5.4 examples/oiled.lua
local oxtint = require "oxtint"

local dry = assert(oxtint.film())
local oiled = assert(oxtint.film { coat_index = oxtint.OIL_INDEX })

local function shown(film, thickness_nm)
    local r, g, b = film:srgb(thickness_nm)
    local hex = ("#%02x%02x%02x"):format(math.floor(255 * r + 0.5), math.floor(255 * g + 0.5),
                                         math.floor(255 * b + 0.5))
    return ("%s %-20s"):format(hex, film:tint(thickness_nm).label)
end

print("    nm  dry                          oiled                         moved by")
for thickness_nm = 0, 220, 5 do
    print(("%6.1f  %s %s %9.1f"):format(thickness_nm, shown(dry, thickness_nm),
                                       shown(oiled, thickness_nm),
                                       dry:difference(oiled, thickness_nm)))
end
