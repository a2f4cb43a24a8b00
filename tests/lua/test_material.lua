-- SPDX-License-Identifier: GPL-3.0-or-later
-- Materials.
local oxtint = require "oxtint"
local h = require "harness"

-- Published tables, with their sources in the files: P. B. Johnson and R. W. Christy, Phys. Rev. B 9
-- (1974) 5056, and M. R. Querry, report CRDC-CR-85034 (1985).
for _, name in ipairs { "iron", "chromium", "magnetite", "hematite" } do
    h.test("index of " .. name .. " as published", function()
        local material, rows = assert(oxtint.material(name)), 0
        for line in io.lines(h.root .. "tests/data/" .. name .. "_index.csv") do
            local wavelength, n, k = line:match("^([%d.]+),([%d.]+),([%d.]+)$")
            if wavelength then
                local found_n, found_k = material:index(tonumber(wavelength))
                h.near(found_n, tonumber(n), 1e-12)
                h.near(found_k, tonumber(k), 1e-12)
                rows = rows + 1
            end
        end
        assert(rows > 10)
        h.equal(material.name, name)
        h.equal(tostring(material), name)
    end)
end

local function own(changes)
    local made = { name = "clear", wavelength_nm = { 380, 480, 780 }, n = { 1.5, 1.7, 1.1 },
                   k = { 0, 0.2, 0.5 } }
    for key, value in pairs(changes or {}) do
        made[key] = value or nil
    end
    return made
end

-- Contract of oxt_material_new: linear between the rows.
h.test("a table of one's own", function()
    local material = assert(oxtint.material(own()))
    local n, k = material:index(430)
    h.near(n, 1.6, 1e-15)
    h.near(k, 0.1, 1e-15)
    n, k = material:index(780)
    h.equal(n, 1.1)
    h.equal(k, 0.5)
    h.equal(tostring(material), "clear")
    for name, value in pairs(material) do
        h.equal(material[name], value)
    end
end)

-- Contract of oxt_material_new: wavelengths rise and cover 380 to 780 nm, n > 0, k >= 0; the
-- row at fault is told.
h.test("tables that do not hold", function()
    for row, change in ipairs { { wavelength_nm = { 381, 480, 780 } },
                                { wavelength_nm = { 380, 380, 780 } },
                                { wavelength_nm = { 380, 480, 779 } } } do
        h.matches(h.fails("EDOMAIN", oxtint.material(own(change))), "^row " .. row .. ": wave")
    end
    local message, details = h.fails("EDOMAIN", oxtint.material(own { n = { 1, 0, 1 } }))
    h.matches(message, "^row 2: n is 0")
    h.equal(details.row, 2)
    h.equal(details.parameter .. details.value, "n0.0")
    h.matches(h.fails("EDOMAIN", oxtint.material(own { k = { 0, 0, -1 } })), "^row 3: k is")
    h.fails("EDOMAIN", oxtint.material(own { n = { 1, 0 / 0, 1 } }))
    h.fails("EDOMAIN", oxtint.material { name = "clear", wavelength_nm = {}, n = {}, k = {} })
    h.fails("EARG", oxtint.material(own { name = "" }))
    h.fails("EARG", oxtint.material(own { name = ("x"):rep(32) }))
    h.fails("EARG", oxtint.material(own { name = "\xff" }))
    h.equal(oxtint.material(own { name = ("x"):rep(31) }).name, ("x"):rep(31))
end)

h.test("misuse of materials", function()
    h.raises("material: name is 'rust', expected iron, chromium, magnetite or hematite",
             oxtint.material, "rust")
    h.raises("material: text without NUL bytes expected", oxtint.material, "iron\0")
    h.raises("name or table expected, got number", oxtint.material, 1)
    h.raises("name or table expected, got nil", oxtint.material)
    for _, name in ipairs { "name", "wavelength_nm", "n", "k" } do
        h.raises(name .. " is missing", oxtint.material, own { [name] = false })
    end
    h.raises("name: text expected, got number", oxtint.material, own { name = 1 })
    h.raises("name: text without NUL", oxtint.material, own { name = "a\0b" })
    h.raises("n: list of numbers expected, got number", oxtint.material, own { n = 1.5 })
    h.raises("k: element 2: number expected, got string", oxtint.material, own { k = { 0, "0", 0 } })
    h.raises("lists of one length", oxtint.material, own { k = { 0, 0 } })
    h.raises("unknown key 'kappa', expected one of: name, wavelength_nm, n, k", oxtint.material,
             own { kappa = 1 })
    local iron = oxtint.material "iron"
    h.raises("number expected, got string", iron.index, iron, "550")
    h.fails("EDOMAIN", iron:index(379))
    h.fails("EDOMAIN", iron:index(781))
    h.fails("EDOMAIN", iron:index(0 / 0))
end)
