-- SPDX-License-Identifier: GPL-3.0-or-later
-- What the C headers and the annotations declare.
local harness = require "harness"
local headers = {}

-- Fields of a struct: name -> type, "char[]" and "double[]" for arrays; struct_size is left out.
function headers.struct(file, name)
    local text = harness.read_file(harness.root .. "include/oxtint/" .. file)
    local body = text:match("typedef struct " .. name .. " (%b{}) " .. name .. ";")
    assert(body, "no struct " .. name)
    local fields = {}
    for declaration in body:sub(2, -2):gsub("/%*.-%*/", ""):gmatch("([^;]+);") do
        local single, arrays = declaration:gsub("%s*%b[]%s*$", "")
        local kind, field = single:match("^(.-)([%w_]+)%s*$")
        if field ~= "struct_size" then
            kind = kind:match("^%s*(.-)%s*$"):gsub("%s+", " ")
            fields[field] = kind .. (arrays > 0 and "[]" or "")
        end
    end
    return fields
end

-- Names of an enum in their order, without "OXT_".
function headers.enum(file, name)
    local text = harness.read_file(harness.root .. "include/oxtint/" .. file)
    local body = text:match("typedef enum " .. name .. " (%b{}) " .. name .. ";")
    assert(body, "no enum " .. name)
    local names = {}
    for value in body:gsub("/%*.-%*/", ""):gmatch("OXT_([%w_]+) = %d+") do
        table.insert(names, value)
    end
    return names
end

-- Annotations: functions of the module, and the fields and methods of each class. An optional field
-- has "?" behind its type.
function headers.annotations()
    local text = harness.read_file(harness.root .. "bindings/lua/library/oxtint.lua")
    local found = { functions = {}, classes = {}, methods = {} }
    local class, variables = nil, {}
    for line in text:gmatch("[^\n]+") do
        local field, optional, kind = line:match("^%-%-%-@field ([%w_]+)(%??) (%S+)")
        local variable, method = line:match("^function ([%w_]+)[.:]([%w_]+)%(")
        if line:match("^%-%-%-@class ") then
            class = line:match("^%-%-%-@class (%S+)")
            found.classes[class] = {}
        elseif field then
            found.classes[class][field] = kind .. optional
        elseif line:match("^local [%w_]+ = {}$") then
            variables[line:match("^local ([%w_]+)")] = class
        elseif variable == "oxtint" then
            found.functions[method] = true
        elseif variable then
            local owner = variables[variable]
            found.methods[owner] = found.methods[owner] or {}
            found.methods[owner][method] = true
        end
    end
    return found
end

return headers
