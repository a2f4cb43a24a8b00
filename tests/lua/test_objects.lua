-- SPDX-License-Identifier: GPL-3.0-or-later
-- Manners of the objects: closing, collecting, coroutines.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- Each kind of object: how to make one, and a use that needs it open.
local kinds = {
    { "oxtint.material", function() return oxtint.material "iron" end,
      function(material) return material:index(550) end },
    { "oxtint.part", function() return oxtint.part { size_m = 0.006 } end,
      function(part) return part:warming(600) end },
    { "oxtint.salt_bath", oxtint.bath, function(bath) return bath:true_K(600) end },
    { "oxtint.film", oxtint.film, function(film) return oxtint.film_lab(50, { film = film }) end },
    { "oxtint.trials", coupons.log, function(log) return #log end },
    { "oxtint.fit", coupons.fit, function(fit) return fit:report() end },
    { "oxtint.pool", function() return oxtint.pool(coupons.log(0.03)) end,
      function(pool) return pool:report() end },
    { "oxtint.laws", function() return coupons.fit():laws() end,
      function(laws) return laws:report() end },
    { "oxtint.bootstrap", function() return coupons.fit():bootstrap { replicates = 100 } end,
      function(bootstrap) return bootstrap:interval("Q", { confidence = 0.9 }) end },
    { "oxtint.cross_validation", function() return coupons.fit():cross_validate() end,
      function(validation) return validation:report() end },
    { "oxtint.steel", coupons.steel, function(steel) return steel:dip("blue", 600) end },
    { "oxtint.target", function() return oxtint.target("blue") end,
      function(target) return target.aim_nm end },
    { "oxtint.dip", function() return coupons.steel():dip("blue", 600) end,
      function(dip) return dip:report() end },
    { "oxtint.set", function()
        return oxtint.plan_set { parts = { { steel = coupons.steel(), target = "blue" } }, bath = 600 }
      end, function(set) return set:report() end },
    { "oxtint.advice", function() return coupons.steel():advise() end,
      function(advice) return advice:report() end },
    { "oxtint.record", function() return coupons.steel():track_record() end,
      function(record) return record:report() end },
    { "oxtint.drift", function() return coupons.fit():drift() end,
      function(drift) return drift:report() end },
    { "oxtint.history",
      function() return oxtint.history { time_s = { 0, 60 }, temperature_K = { 293, 600 } } end,
      function(history) return history:temperature(30) end },
    { "oxtint.temper", function() return oxtint.temper_dip(600, 60) end,
      function(temper) return temper:report() end },
    { "oxtint.tracker", function() return oxtint.tracker { steel = coupons.steel(), target = 57 } end,
      function(tracker) return tracker:feed(0, 600) and tracker:read() end },
}

for _, kind in ipairs(kinds) do
    local name, make, use = table.unpack(kind)

    h.test(name .. " is an object of its kind", function()
        local object = assert(make())
        local meta = debug.getmetatable(object)
        h.equal(type(object), "userdata")
        h.equal(getmetatable(object), false) -- locked
        h.equal(meta.__name, name)
        assert(meta.__gc and meta.__close and meta.__tostring and meta.__index)
        assert(use(object))
    end)

    h.test(name .. " may be closed twice, and then says so", function()
        local object = make()
        object:close()
        object:close()
        debug.getmetatable(object).__gc(object)
        debug.getmetatable(object).__close(object)
        h.equal(tostring(object), name .. " (closed)")
        h.raises("closed", use, object)
        h.raises("closed", function() return object.anything end)
    end)

    h.test(name .. " is closed at the end of its block", function()
        local kept
        do
            local object <close> = make()
            kept = object
            assert(use(object))
        end
        h.raises("closed", use, kept)
        -- by an error too, which arrives unchanged
        local good, message = pcall(function()
            local object <close> = make()
            kept = object
            error("slipped", 0)
        end)
        h.equal(good, false)
        h.equal(message, "slipped")
        h.raises("closed", use, kept)
    end)

    h.test(name .. " refuses what is none of its kind", function()
        local meta = debug.getmetatable(make())
        local sibling = name == "oxtint.film" and oxtint.target(57) or oxtint.film()
        for _, other in ipairs { 1, "text", {}, io.stdout, sibling } do
            for _, method in ipairs { "__gc", "__close", "__tostring", "__index" } do
                h.raises(name .. " expected", meta[method], other, "close")
            end
        end
        h.raises(name .. " expected", meta.__index, setmetatable({}, { __name = name }), "close")
    end)
end

-- Contract: `==` is that of what an object says, for those that are values.
h.test("objects that say the same are equal", function()
    local steel = coupons.steel()
    local log = coupons.log()
    local words = "word,band\nlamp blue,blue\n"
    for _, row in ipairs {
        { function() return oxtint.part { size_m = 0.006 } end, oxtint.part { size_m = 0.007 } },
        { function() return oxtint.bath { salt = "ternary" } end, oxtint.bath() },
        { function() return oxtint.target "blue" end, oxtint.target "purple" },
        { function() return steel:dip("blue", 600) end, steel:dip("blue", 601) },
        { function() return steel:dip({ 31, 17, -47 }, 600) end, steel:dip("blue", 600) },
        { function() return oxtint.steel_from_card(steel:to_card()) end,
          oxtint.steel_from_card((steel:to_card():gsub("Alder 1", "Alder 2"))) },
        { function() return oxtint.read_words_text(words) end,
          oxtint.read_words_text((words:gsub("lamp", "deep"))) },
    } do
        local one, same, other = assert(row[1]()), assert(row[1]()), assert(row[2])
        assert(not rawequal(one, same))
        h.equal(one, same)
        assert(one ~= other and one ~= log)
        same:close()
        assert(one ~= same)
    end
    assert(oxtint.film() ~= oxtint.film()) -- handles are themselves alone
end)

h.test("the length and the items of a closed log", function()
    local log = coupons.log()
    log:close()
    h.raises("the log is closed", function() return #log end)
    h.raises("the log is closed", function() return log[1] end)
    h.raises("the log is closed", log.add, log, {})
    h.raises("the log is closed", log.write, log, "trials.csv")
    h.raises("the log is closed", oxtint.fit, log)
end)

h.test("closed objects as arguments", function()
    local steel, target, film = coupons.steel(), oxtint.target("blue"), oxtint.film()
    target:close()
    film:close()
    h.raises("the target is closed", steel.dip, steel, target, 600)
    h.raises("the target is closed", oxtint.target, target)
    h.raises("the film is closed", steel.dip, steel, "blue", 600, { film = film })
    h.raises("the film is closed", oxtint.fit, coupons.log(), { film = film })
    for _, use in ipairs { "lab", "path_lab", "white", "match", "tint", "tints", "difference" } do
        h.raises("the film is closed", film[use], film, 57)
    end
    h.raises("the film is closed", oxtint.film().difference, oxtint.film(), film, 57)
    local material = oxtint.material "iron"
    material:close()
    h.raises("the material is closed", oxtint.film, { layers = { material } })
    h.raises("the material is closed", oxtint.film, { substrate = material })
    steel:close()
    h.raises("the steel is closed", steel.save, steel, "card.json")
    h.raises("the steel is closed", steel.bath_for, steel, "blue", 60)
    h.raises("the steel is closed", steel.thickness, steel, 600, 60)
end)

h.test("pairs runs over the fields", function()
    local fit = coupons.fit()
    local seen = 0
    for name, value in pairs(fit) do
        if value == value and name ~= "growth" then
            assert(rawequal(fit[name], value), name)
        end
        seen = seen + 1
    end
    assert(seen > 25)
    fit:close()
    h.raises("closed", pairs, fit)
end)

-- Contract: results do not hang on what they came from.
h.test("a steel and a dip outlive their makers", function()
    local fit = coupons.fit()
    local steel = fit.steel
    local dip = steel:dip("blue", 600)
    fit:close()
    h.near(steel:dip("blue", 600).time_s, dip.time_s, 0)
    steel:close()
    h.matches(dip:report(), "lift after")
    h.equal(dip.target.text, "blue")
end)

h.test("the steel of a fit is made anew when it was closed", function()
    local fit = coupons.fit()
    assert(rawequal(fit.steel, fit.steel))
    fit.steel:close()
    h.equal(fit.steel.steel, "Alder 1")
end)

local function alive_in(objects)
    local count = 0
    for _ in pairs(objects) do
        count = count + 1
    end
    return count
end

-- Contract: a finalizer may close any object in the middle of a call that was given it.
h.test("a log, a card and a film may be closed by a finalizer while they are used", function()
    local card = coupons.steel():to_card()
    for amount = 0, 300, 3 do
        local steel, film, log = assert(oxtint.steel_from_card(card)), oxtint.film(), coupons.log()
        local words = assert(oxtint.read_words_text "word,band\nlamp blue,blue\n")
        local function close_soon(...)
            collectgarbage()
            collectgarbage("stop")
            for _, object in ipairs { ... } do
                setmetatable({}, { __gc = function() object:close() end })
            end
            local garbage = {}
            for i = 1, amount do
                garbage[i] = { i }
            end
            collectgarbage("restart")
            collectgarbage("incremental", 10, 100, 2)
        end
        local used = steel.film
        close_soon(log)
        pcall(steel.chart, steel, { trials = log })
        close_soon(steel, film)
        pcall(oxtint.plan_set, { parts = { { steel = steel, target = "blue", film = film },
                                           { steel = steel, target = "straw", film = film } }, bath = 600, draws = 100 })
        close_soon(words)
        pcall(oxtint.film, { words = words, layers = { "hematite", "magnetite" } })
    end
    collectgarbage("incremental", 200, 100, 13)
end)

-- Contract: __gc frees; the collector is told of memory that it cannot see, so that films do not
-- pile up while their handles look small to it.
h.test("thousands of objects are collected", function()
    local alive = setmetatable({}, { __mode = "v" })
    local log = coupons.log()
    local fit = assert(oxtint.fit(log))
    for i = 1, 3000 do
        alive[i] = assert(oxtint.new_trials())
        alive[-i] = assert(oxtint.target(57))
        alive[0.5 + i] = assert(fit.steel:dip(57, 600))
    end
    for i = 3001, 3300 do
        alive[i] = assert(oxtint.fit(log))
    end
    collectgarbage()
    h.equal(next(alive), nil)
    local films, most = setmetatable({}, { __mode = "v" }), 0
    for i = 1, 200 do
        films[i] = assert(oxtint.film())
        most = math.max(most, alive_in(films))
    end
    assert(most < 200, "no film was collected")
end)

h.test("a stopped collector stays stopped", function()
    collectgarbage()
    collectgarbage("stop")
    local films = setmetatable({}, { __mode = "v" })
    for i = 1, 50 do
        films[i] = assert(oxtint.film())
    end
    local count = alive_in(films)
    collectgarbage("restart")
    h.equal(count, 50)
end)

-- Contract: whatever a finalizer closes while the module allocates, nothing is used after it was
-- freed; the call gives its result, fails, or raises an error.
h.test("finalizers may close anything at any time", function()
    local mode = collectgarbage("generational")
    local finished = 0
    for round = 1, 300 do
        local log = coupons.log(0.03)
        local fit = assert(oxtint.fit(log))
        local film = assert(oxtint.film())
        local options = { film = film, steel = "Alder" .. " 1" }
        local clear = assert(oxtint.material { name = "clear", wavelength_nm = { 300, 900 },
                                               n = { 1.5, 1.5 }, k = { 0, 0 } })
        local part = assert(oxtint.part { size_m = 0.006 })
        local dip = { steel = fit.steel, target = "blue", film = film, part = part, bath = 600 }
        local stack = { { clear, share = 0.5 }, { "hematite", share = 0.5 } }
        for _ = 1, 4 do
            setmetatable({}, { __gc = function()
                log:close()
                fit:close()
                film:close()
                clear:close()
                stack[2] = nil
                part:close()
                dip.steel, dip.part = nil, nil
                options.film, options.steel = nil, nil
            end })
        end
        collectgarbage("step", round % 3)
        for _, call in ipairs {
            function() return oxtint.fit(log, options) end,
            function() return fit.rows, fit.warnings, fit.steel, fit:report() end,
            function() return oxtint.tints { film = film }, film.description end,
            function() return log[1], #log end,
            function() return oxtint.film { layers = stack, substrate = clear } end,
            function() return film:path_lab { 1, 2, 3 }, film:match { 31, 17, -47 } end,
            function() return oxtint.tracker(dip):read() end,
        } do
            pcall(call)
            finished = finished + 1
        end
    end
    collectgarbage(mode)
    h.equal(finished, 2100)
end)

h.test("coroutines share objects", function()
    local log = coupons.log(0.03)
    local work = coroutine.wrap(function(first)
        local fit <close> = assert(oxtint.fit(first))
        local steel = coroutine.yield(fit.steel)
        for i = 1, 3 do
            coroutine.yield(steel:dip(50 + i, 600))
        end
        error("slipped", 0)
    end)
    local steel = work(log)
    for i = 1, 3 do
        local dip = i == 1 and work(steel) or work()
        h.near(dip.target.aim_nm, 50 + i, 1e-9)
    end
    h.raises("slipped", work)
    h.equal(steel.steel, "Alder 1")
end)

h.test("a coroutine that is closed closes its objects", function()
    local kept
    local thread = coroutine.create(function()
        local log <close> = coupons.log()
        kept = log
        coroutine.yield()
    end)
    assert(coroutine.resume(thread))
    h.equal(#kept, 12)
    assert(coroutine.close(thread))
    h.raises("closed", function() return #kept end)
end)

h.test("the module may be loaded again", function()
    local before = coupons.log()
    package.loaded.oxtint = nil
    local again = require "oxtint"
    package.loaded.oxtint = oxtint
    assert(again ~= oxtint)
    assert(again.fit(before))
    h.equal(debug.getmetatable(again.new_trials()), debug.getmetatable(before))
end)
