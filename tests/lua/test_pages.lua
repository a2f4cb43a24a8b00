-- SPDX-License-Identifier: GPL-3.0-or-later
-- The pages of documentation and the example do what they say.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- The files that the pages name, each a temporary one.
local files = {
    ["trials.csv"] = h.temporary_name(),
    ["birch.csv"] = h.temporary_name(),
    ["birch.json"] = h.temporary_name(),
    ["history.csv"] = h.temporary_name(),
    ["faulty.csv"] = h.temporary_name(),
}
assert(coupons.log(0.03):write(files["trials.csv"]))

-- Run a snippet with its files swapped and its locals kept for the next one; what it says to print
-- behind "-->" must be printed, in that order.
local function run_snippet(snippet, environment)
    local said = {}
    for text in snippet:gmatch("%-%->%s*([^\n]+)") do
        table.insert(said, text)
    end
    function environment.print(...)
        local cells = table.pack(...)
        for i = 1, cells.n do
            cells[i] = tostring(cells[i])
        end
        if table.concat(cells, " ") == said[1] then
            table.remove(said, 1)
        end
    end
    local code = snippet:gsub('"([%w_]+%.%w+)"', function(name)
        return files[name] and ("%q"):format(files[name])
    end)
    code = ("\n" .. code):gsub("\nlocal ", "\n")
    assert(load(code, "=snippet", "t", environment))()
    h.equal(said[1], nil, "never printed")
end

do
    local environment, number = setmetatable({}, { __index = _G }), 0
    for snippet in h.read_file(h.root .. "docs/reference/lua.md"):gmatch("```lua\n(.-)```") do
        number = number + 1
        h.test(("snippet %d of the page: %s"):format(number, snippet:match("[^\n]+")), function()
            run_snippet(snippet, environment)
        end)
    end
    h.test("the page has snippets", function()
        assert(number > 0)
    end)
end

h.test("every entry point stands on the page", function()
    local page = h.read_file(h.root .. "docs/reference/lua.md")
    for name in pairs(oxtint) do
        assert(page:find("oxtint." .. name, 1, true) or name == "version", name)
    end
end)

h.test("every method of a film stands on the page", function()
    local page = h.read_file(h.root .. "docs/reference/lua.md")
    local _, methods = debug.getupvalue(debug.getmetatable(oxtint.film()).__index, 2)
    for name in pairs(methods) do
        assert(page:find(":" .. name .. "[ ({]"), name)
    end
end)

local function run_example(name, ...)
    local command = ("LUA_CPATH=%q %s %sexamples/%s %s 2>&1"):format(package.cpath, arg[-1], h.root,
                                                                   name, table.concat({ ... }, " "))
    local pipe = io.popen(command)
    local text = pipe:read("a")
    local good = pipe:close()
    return text, good
end

h.test("the example runs on the demo log", function()
    local text, good = run_example("dip.lua")
    h.equal(good, true)
    h.matches(text, "^Alder 1, %a+: %d+ of %d+ trials used\n")
    h.matches(text, "\nblue .* in a bath at 600 F\n")
    h.matches(text, "lift after")
end)

h.test("the example takes a log and a steel", function()
    local text, good = run_example("dip.lua", files["trials.csv"], "'Alder 1'")
    h.equal(good, true)
    h.matches(text, "^Alder 1, satin: 12 of 12 trials used\n")
    text, good = run_example("dip.lua", files["trials.csv"], "'Cedar 3'")
    h.equal(good, nil)
    h.matches(text, "no trial is of steel 'Cedar 3'")
end)

-- Contract of the example: the caution of 5 K, and a film that is still blue.
h.test("the example of a load runs", function()
    local text, good = run_example("load.lua")
    h.equal(good, true)
    local sags, most = {}, tonumber(text:match("At most (%d+) at once%."))
    for count, sag_K in text:gmatch("\n +(%d+) +([%d.]+) K ") do
        sags[tonumber(count)] = tonumber(sag_K)
    end
    h.equal(#sags, 12)
    assert(most > 0 and most < 12 and sags[most] <= 5 and sags[12] > sags[most])
    text, good = run_example("load.lua", "500", "3000")
    h.equal(good, true)
    h.matches(text, "At most 12 at once%.")
end)

-- Contract of the example: the fault is told, and the lift gives what was wanted.
h.test("the example of a dip that is watched runs", function()
    local text, good = run_example("watch.lua")
    h.equal(good, true)
    h.matches(text, "^%- [A-Z ]+: .*\n%- WATER: .*\n%- ABOVE ALL: ") -- what to mind, before all else
    h.matches(text, "\n  0%.0 s  bath 307%.6 C  part  20%.0 C    0%.0 nm  bright ")
    h.matches(text, "\nrefused: temperature_K is 5000, expected")
    h.matches(text, "lift in 1?%d s\n[ %d]%d%d%.%d s  lift now: [%d.]+ nm, and [%d.]+ nm in the quench %(blue%)\n")
end)

-- Contract of the example: what the thermocouple spoilt is told, and each part is lifted at its aim.
h.test("the example of a controller with coroutines runs", function()
    local text, good = run_example("controller.lua")
    h.equal(good, true, text)
    local aim_nm, lifted = oxtint.target("blue").aim_nm, 0
    for time_s, nm, chance in text:gmatch("([%d.]+) s  lift the %a+: ([%d.]+) nm in the quench, chance (%d+) %%") do
        h.near(tonumber(nm), aim_nm, 0.2)
        assert(tonumber(time_s) > 60 and tonumber(chance) > 40)
        lifted = lifted + 1
    end
    h.equal(lifted, 2)
    h.equal(select(2, text:gsub("expected at least 200 and at most 1300", "")), 2)
    h.equal(select(2, text:gsub("expected after 70, that of the last sample", "")), 2)
end)

-- Contract of the example: every coupon narrows what the first dip left open.
h.test("the example of a first coupon runs", function()
    local text, good = run_example("first_coupon.lua")
    h.equal(good, true)
    local last = math.huge
    for low, high in text:gmatch("95 %%: (%S+ ?s?) to (%S+)%)\n") do
        if select(2, low:gsub(":", "")) + select(2, high:gsub(":", "")) > 0 then
            local width = oxtint.parse_duration(high) / oxtint.parse_duration(low)
            assert(width < last)
            last = width
        end
    end
    assert(last < 2)
    h.matches(text, "\nDogwood 4: 3 of 3 trials used\n")
    h.matches(text, "%d+ %% of the information on Q")
end)

-- Contract of the example: the dips of the sheet, and a star for each place of a coupon.
h.test("the example of the wall runs", function()
    local wall = h.temporary_name()
    local text, good = run_example("wall.lua", h.root .. "examples/demo/trials.csv", wall)
    h.equal(good, true)
    h.matches(text, "Alder 1, satin; Part: 6 mm plate, 4 s to the quench")
    h.matches(text, "\nblue +540 F  %d:%d%d")
    h.matches(h.read_file(wall), "^<%?xml.*</svg>\n$")
    os.remove(wall)
    local _, stars = text:gsub("%*", "")
    h.equal(stars, 10)
    h.matches(text, "\n +P  purple from 36 to 45 nm")
end)

-- Contract of the example: dry as oxtint.film() has it, and paler when oiled.
h.test("the example of oiled colours runs", function()
    local text, good = run_example("oiled.lua")
    h.equal(good, true)
    h.matches(text, "\n +0%.0  #%x+ bright +#%x+ bright +%d")
    h.matches(text, "\n +60%.0  #%x+ blue +#%x+ blue +%d")
    h.matches(text, "\n +85%.0  #%x+ silver +#%x+ light blue +%d")
    local last = 0
    for thickness, hex, label in text:gmatch("\n +([%d.]+)  (#%x+) (%S[%w %-]-)  ") do
        h.equal(label, oxtint.name_of(tonumber(thickness)))
        h.equal(#hex, 7)
        last = tonumber(thickness)
    end
    h.equal(last, 220.0)
end)
