-- SPDX-License-Identifier: GPL-3.0-or-later
-- A small test harness: TAP, assertions, temporary files.
local harness = { root = "./" }
local count, failed, temporary = 0, 0, {}

-- Run one test: a function that raises an error when something does not hold.
function harness.test(name, body)
    local good, message = xpcall(body, debug.traceback)
    count = count + 1
    print(("%s %d - %s"):format(good and "ok" or "not ok", count, name))
    if not good then
        failed = failed + 1
        print("# " .. tostring(message):gsub("\n", "\n# "))
    end
end

function harness.finish()
    for _, path in ipairs(temporary) do
        os.remove(path)
    end
    print("1.." .. count)
    os.exit(failed == 0, true)
end

local function show(value)
    return type(value) == "string" and ("%q"):format(value) or tostring(value)
end

function harness.equal(found, expected, what)
    if found ~= expected then
        error(("%sfound %s, expected %s"):format(what and what .. ": " or "", show(found),
                                                 show(expected)), 2)
    end
end

function harness.near(found, expected, tolerance, what)
    if not (type(found) == "number" and math.abs(found - expected) <= tolerance) then
        error(("%sfound %s, expected %.17g +- %g"):format(what and what .. ": " or "", show(found),
                                                        expected, tolerance), 2)
    end
end

function harness.matches(text, pattern)
    if type(text) ~= "string" or not text:find(pattern) then
        error(("%s does not match %s"):format(show(text), show(pattern)), 2)
    end
end

-- An expected failure: nil, a message, a code, details. Call it as fails(code, f(...)); gives the message and the
-- details.
function harness.fails(code, first, message, found, ...)
    if first ~= nil or found ~= code or type(message) ~= "string" or #message < 8
        or type((...)) ~= "table" or select("#", ...) ~= 1 then
        error(("found %s, %s, %s, expected nil, a message, %s"):format(show(first), show(message),
                                                                     show(found), show(code)), 2)
    end
    return message, ...
end

-- Misuse: an error whose message holds a plain text.
function harness.raises(text, call, ...)
    local good, message = pcall(call, ...)
    if good then
        error("no error was raised, expected one with " .. show(text), 2)
    end
    if not tostring(message):find(text, 1, true) then
        error(("the error is %s, expected %s in it"):format(show(message), show(text)), 2)
    end
end

function harness.is_nan(value)
    return type(value) == "number" and value ~= value
end

-- A name for a file, which is removed in the end.
function harness.temporary_name()
    local path = os.tmpname()
    table.insert(temporary, path)
    return path
end

function harness.temporary_file(text)
    local path = harness.temporary_name()
    local file = assert(io.open(path, "wb"))
    file:write(text)
    file:close()
    return path
end

function harness.read_file(path)
    local file = assert(io.open(path, "rb"))
    local text = file:read("a")
    file:close()
    return text
end

return harness
