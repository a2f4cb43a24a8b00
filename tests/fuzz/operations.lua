-- SPDX-License-Identifier: GPL-3.0-or-later
-- Bytes -> operations of the module oxtint. Functions, methods, options and their types come from the
-- annotations, so that most arguments are of the right kind; some are anything. Gives a function of bytes.
local annotations = ...
local oxtint = require "oxtint"

local classes, functions = {}, {}

do -- what the annotations say
  local class, parameters = nil, {}
  for line in io.lines(annotations) do
    local name = line:match "^%-%-%-@class ([%w_.]+)"
    if name then
      class = {}
      classes[name] = class
    end
    local field, kind = line:match "^%-%-%-@field ([%w_]+)%??%s+(%S+)"
    if field and class then class[#class + 1] = { field, kind } end
    kind = line:match "^%-%-%-@param [%w_]+%??%s+(%S+)"
    if kind then parameters[#parameters + 1] = kind end
    local owner, mark, called = line:match "^function ([%w_]+)([.:])([%w_]+)%("
    if owner then
      -- files are the business of other tests
      if not called:match "save" and not called:match "write" and not called:match "^load"
        and not called:match "^read_" then
        functions[#functions + 1] = { owner = owner, method = mark == ":", name = called,
                                      parameters = parameters }
      end
    end
    if not line:match "^%-%-%-" then parameters = {} end
  end
end
assert(#functions > 80, "the annotations were not understood")

local texts = {
  "600 F", "315 C", "588.7 K", "4 s", "1:30", "6 mm", "0.25 in", "5 F", "blue", "straw", "second order blue",
  "57 nm", "#4482b8", "bright", "Alder 1", "polished", "1095", "plate", "ternary", "", "\0", "\xff",
  "mirror", "satin", "celsius", "F", "K", "power", "pairs", "Q",
}

local bytes, at
local function byte()
  at = at + 1
  return bytes:byte(at) or 0
end

local function number()
  local kind = byte()
  if kind < 80 then return byte() end
  if kind < 140 then return 540 + byte() * 0.4 end
  if kind < 180 then return byte() / 255 end
  if kind < 200 then return byte() * 1e-4 end
  if kind < 215 then return -byte() end
  if kind < 230 then return 10.0 ^ (byte() - 128) end
  local odd = { 0 / 0, 1 / 0, -1 / 0, math.maxinteger, math.mininteger, 5e-324, 1.7e308, -0.0 }
  return odd[kind % #odd + 1]
end

local objects -- made so far: { object, name of its class }

local function junk()
  local kind = byte() % 7
  if kind == 0 then return nil end
  if kind == 1 then return byte() > 127 end
  if kind == 2 then return number() end
  if kind == 3 then return texts[byte() % #texts + 1] end
  if kind == 4 then
    local made = objects[byte() % math.max(#objects, 1) + 1]
    return made and made[1]
  end
  if kind == 5 then return bytes:sub(at + 1, at + byte() % 8) end
  return { number(), [texts[byte() % #texts + 1]] = number() }
end

local value

local function named(class, depth)
  local made = {}
  if depth > 3 then return made end
  local likely = byte()
  for _, field in ipairs(class) do
    if byte() <= likely then made[field[1]] = value(field[2], depth + 1) end
  end
  return made
end

function value(kind, depth)
  if byte() > 244 then return junk() end
  local choices = {}
  for one in kind:gmatch "[^|]+" do choices[#choices + 1] = one end
  kind = choices[byte() % #choices + 1] or "string"
  local literal = kind:match '^"(.*)"$'
  if literal then return literal end
  local inner = kind:match "^(.+)%[%]$"
  if inner then
    local made = {}
    for i = 1, byte() % 6 do made[i] = value(inner, depth + 1) end
    return made
  end
  if kind == "number" or kind == "integer" then return number() end
  if kind == "boolean" then return byte() > 127 end
  if kind == "string" then return texts[byte() % #texts + 1] end
  local class = classes[kind]
  for i = #objects, 1, -1 do
    if objects[i][2] == kind and byte() > 30 then return objects[i][1] end
  end
  if class then return named(class, depth) end
  return texts[byte() % #texts + 1]
end

local function keep(object)
  local kind = type(object)
  if kind ~= "userdata" and kind ~= "table" then return end
  local meta = getmetatable(object)
  local name = type(meta) == "table" and meta.__name or nil
  if name and #objects < 40 then objects[#objects + 1] = { object, name } end
end

local function check(good, ...)
  if good then
    local first, message = ...
    if first == nil and message ~= nil then assert(type(message) == "string", "a failure without a text") end
    for i = 1, select("#", ...) do keep((select(i, ...))) end
  else
    local message = ...
    assert(type(message) == "string" or message == nil, "an error that is no text")
  end
end

local function operate()
  local called = functions[(byte() * 256 + byte()) % #functions + 1]
  local arguments = {}
  for i, kind in ipairs(called.parameters) do arguments[i] = value(kind, 0) end
  local count = #called.parameters - (byte() > 230 and 1 or 0)
  if called.method then
    for i = #objects, 1, -1 do
      local object, class = objects[i][1], objects[i][2]
      if class == "oxtint." .. called.owner and byte() > 20 and (called.name ~= "close" or i > 2 and byte() > 200) then
        check(pcall(function() return object[called.name](object, table.unpack(arguments, 1, count)) end))
        return
      end
    end
  else
    check(pcall(oxtint[called.name], table.unpack(arguments, 1, count)))
  end
end

local film, steel = oxtint.film {}, oxtint.starting_steel("Alder 1", "polished")

return function(given)
  bytes, at, objects = given, 0, {}
  keep(film)
  keep(steel)
  local log = oxtint.new_trials()
  for i = 1, 6 do
    log:add { steel = "Alder 1", bath = 550 + 12 * i, time = 60 + 20 * i, colour = i % 2 == 0 and "blue" or "brown" }
  end
  keep(log)
  for _ = 1, 24 do
    if at >= #bytes then break end
    local kind = byte() % 8
    if kind == 0 and #objects > 0 then
      local object = objects[byte() % #objects + 1][1]
      local class = classes[objects[byte() % #objects + 1][2]]
      if class and #class > 0 then
        pcall(function() return object[class[byte() % #class + 1][1]] end)
      end
      pcall(tostring, object)
      pcall(function() return #object end)
      pcall(function() object[texts[byte() % #texts + 1]] = number() end)
    else
      operate()
    end
  end
  objects = {}
end
