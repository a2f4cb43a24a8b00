-- SPDX-License-Identifier: GPL-3.0-or-later
-- Logs of coupons.
local oxtint = require "oxtint"
local h = require "harness"

local function coupon(changes)
    local trial = { steel = "Alder 1", bath = 600, time = 90, colour = "blue" }
    for name, value in pairs(changes) do
        trial[name] = value or nil
    end
    return trial
end

h.test("a log begins empty and grows", function()
    local log = assert(oxtint.new_trials())
    h.equal(#log, 0)
    h.equal(log[1], nil)
    h.equal(log:add(coupon {}), true)
    h.equal(log:add(coupon { finish = "satin", note = "second hook" }), true)
    h.equal(#log, 2)
    h.equal(log[1].note, "")
    h.equal(log[2].note, "second hook")
    h.equal(log[2].finish, "satin")
    h.equal(tostring(log), "oxtint.trials: 2")
end)

h.test("a log knows its steels and finishes", function()
    local log = assert(oxtint.new_trials())
    h.equal(#log:groups(), 0)
    for _, names in ipairs { { "Alder 1", "satin" }, { "Birch 2", "" }, { "Alder 1", "satin" } } do
        assert(log:add(coupon { steel = names[1], finish = names[2] }))
    end
    local groups = log:groups()
    h.equal(#groups, 2)
    h.equal(groups[1].steel .. ", " .. groups[1].finish .. ": " .. groups[1].count, "Alder 1, satin: 2")
    h.equal(groups[2].steel .. ", " .. groups[2].finish .. ": " .. groups[2].count, "Birch 2, : 1")
end)

-- Contract: baths and times are numbers in K and s, or texts with units.
h.test("baths and times are numbers or texts", function()
    local log = assert(oxtint.new_trials())
    assert(log:add(coupon { bath = "600 F", time = "1:30" }))
    assert(log:add(coupon { bath = 600, time = 2.5 }))
    h.near(log[1].bath_K, (600 + 459.67) / 1.8, 1e-10)
    h.equal(log[1].time_s, 90.0)
    h.equal(log[2].bath_K, 600.0)
    h.equal(log[2].time_s, 2.5)
end)

-- Contract: exactly one thing is seen, and `seen` names it.
h.test("each kind of thing seen", function()
    local log = assert(oxtint.new_trials())
    assert(log:add(coupon {}))
    assert(log:add(coupon { colour = false, thickness_nm = 57.5 }))
    assert(log:add(coupon { colour = false, lab = { 31, 17, -47 } }))
    assert(log:add(coupon { colour = false, srgb = "#2b3a67" }))
    local kinds = { "colour", "thickness_nm", "lab", "srgb" }
    for i, trial in ipairs(log) do
        h.equal(trial.seen, kinds[i])
        for j, kind in ipairs(kinds) do
            h.equal(trial[kind] ~= nil, i == j, kind)
        end
        h.equal(trial.line, 0)
    end
    h.equal(log[1].colour, "blue")
    h.equal(log[2].thickness_nm, 57.5)
    h.equal(table.concat(log[3].lab, " "), "31.0 17.0 -47.0")
    h.equal(log[4].srgb, "#2b3a67")
end)

h.test("places outside the log hold nothing", function()
    local log = assert(oxtint.new_trials())
    assert(log:add(coupon {}))
    h.equal(log[1.0].steel, "Alder 1")
    for _, place in ipairs { 0, -1, 2, 1.5, math.huge, math.maxinteger, math.mininteger } do
        h.equal(log[place], nil)
    end
    h.equal(log["1"], nil)
    h.equal(log[log], nil)
    h.equal(log.nothing, nil)
end)

-- Contract of oxt_trials_add: a trial that does not hold is not added.
h.test("trials that do not hold", function()
    local log = assert(oxtint.new_trials())
    h.fails("EUNIT", log:add(coupon { bath = "600" }))
    h.fails("EPARSE", log:add(coupon { time = "soon" }))
    h.fails("EDOMAIN", log:add(coupon { bath = 20 }))
    h.fails("EDOMAIN", log:add(coupon { bath = 0 / 0 }))
    h.fails("EDOMAIN", log:add(coupon { time = 0 }))
    h.fails("EPARSE", log:add(coupon { colour = "mauve" }))
    h.fails("EARG", log:add(coupon { steel = "" }))
    h.fails("EARG", log:add(coupon { steel = ("A"):rep(64) }))
    h.fails("EARG", log:add(coupon { finish = ("A"):rep(1000) }))
    h.fails("EPARSE", log:add(coupon { steel = "Alder \xff" }))
    h.fails("EPARSE", log:add(coupon { note = "\xff" }))
    h.fails("EDOMAIN", log:add(coupon { colour = false, thickness_nm = 0 }))
    h.fails("EDOMAIN", log:add(coupon { colour = false, lab = { 101, 0, 0 } }))
    h.fails("EPARSE", log:add(coupon { colour = false, srgb = "#2b3a6g" }))
    h.fails("EARG", log:add(coupon { colour = false, srgb = "#2b3a67ff" }))
    h.equal(#log, 0)
    h.equal(log:add(coupon { steel = ("A"):rep(63) }), true)
end)

-- Contract: what is stated is there, with its unit read from a text; what is not stated is nil.
h.test("what is known of a coupon", function()
    local log = assert(oxtint.new_trials())
    assert(log:add(coupon { part = "1/4 in", shape = "cylinder", start = "20 C",
                            transfer_W_per_m2K = 350, lift = "3 s", bath_sd = "9 F",
                            time_sd = 1.5, thickness_sd_nm = 2, colour_tolerance = 1,
                            day = "2026-03-05", lifted = "first" }))
    assert(log:add(coupon { part = 0.006, lift = 0 }))
    assert(log:add(coupon { bath_sd = 2 }))
    local trial = log[1]
    h.near(trial.part_size_m, 0.00635, 1e-17)
    h.equal(trial.part_shape, "cylinder")
    h.equal(trial.part_start_K, 293.15)
    h.equal(trial.transfer_W_per_m2K, 350.0)
    h.equal(trial.lift_s, 3.0)
    h.near(trial.bath_sd_K, 5, 1e-15)
    h.equal(trial.time_sd_s, 1.5)
    h.equal(trial.thickness_sd_nm, 2.0)
    h.equal(trial.colour_tolerance, 1.0)
    h.equal(trial.day, "2026-03-05")
    h.equal(trial.lifted, "first")
    h.equal(log[2].day, nil)
    h.equal(log[2].lifted, nil)
    local columns = log:columns()
    h.equal(columns.day[1], "2026-03-05")
    h.equal(columns.lifted[1], "first")
    h.equal(columns.lifted[2], "")
    local again = assert(oxtint.new_trials())
    assert(again:add_columns(columns))
    h.equal(again[1].lifted, "first")
    h.equal(again[2].day, nil)
    h.equal(log[2].part_shape, "plate")
    h.equal(log[2].lift_s, nil)
    h.equal(log[2].part_start_K, nil)
    h.equal(log[3].part_size_m, nil)
    h.equal(log[3].part_shape, nil)
    h.equal(log[3].bath_sd_K, 2.0)
end)

h.test("what is known of a coupon and does not hold", function()
    local log = assert(oxtint.new_trials())
    h.fails("EUNIT", log:add(coupon { part = "6" }))
    h.fails("EUNIT", log:add(coupon { part = "6", shape = "sphere" }))
    h.fails("EUNIT", log:add(coupon { bath_sd = "5" }))
    h.fails("EDOMAIN", log:add(coupon { part = 1.1 }))
    h.fails("EDOMAIN", log:add(coupon { part = 0.006, start = 601 }))
    h.fails("EARG", log:add(coupon { start = 293 }))
    h.fails("EARG", log:add(coupon { transfer_W_per_m2K = 600 }))
    h.fails("EDOMAIN", log:add(coupon { lift = "2 h" }))
    h.fails("EDOMAIN", log:add(coupon { bath_sd = "-5 F" }))
    h.fails("EDOMAIN", log:add(coupon { time_sd = -1 }))
    h.fails("EDOMAIN", log:add(coupon { thickness_sd_nm = 0 / 0 }))
    h.fails("EDOMAIN", log:add(coupon { colour_tolerance = 51 }))
    h.raises("lifted: one of first, middle, last, after expected, got 'early'", log.add, log,
             coupon { lifted = "early" })
    h.raises("day: text expected, got number", log.add, log, coupon { day = 5 })
    h.raises("shape: a part with it expected", log.add, log, coupon { shape = "plate" })
    h.raises("shape: one of plate, cylinder, sphere, any expected, got 'cube'", log.add, log,
             coupon { part = 0.006, shape = "cube" })
    h.raises("bath_sd: number or text with a unit expected, got table", log.add, log,
             coupon { bath_sd = {} })
    h.raises("colour_tolerance: number expected, got string", log.add, log,
             coupon { colour_tolerance = "3" })
    h.equal(#log, 0)
end)

h.test("misuse of add", function()
    local log = assert(oxtint.new_trials())
    local one = "exactly one of colour, thickness_nm, lab and srgb expected"
    h.raises("steel is missing", log.add, log, coupon { steel = false })
    h.raises("bath is missing", log.add, log, coupon { bath = false })
    h.raises("time is missing", log.add, log, coupon { time = false })
    h.raises(one, log.add, log, coupon { colour = false })
    h.raises(one, log.add, log, coupon { thickness_nm = 57 })
    h.raises("table expected, got string", log.add, log, "Alder 1")
    h.raises("table expected, got no value", log.add, log)
    h.raises("steel: text expected, got number", log.add, log, coupon { steel = 1 })
    h.raises("steel: text without NUL bytes expected", log.add, log, coupon { steel = "Al\0der" })
    h.raises("bath: number or text with a unit expected, got table", log.add, log,
             coupon { bath = {} })
    h.raises("bath: number or text with a unit expected, got string", log.add, log,
             coupon { bath = "600 F\0" })
    h.raises("time: number or text with a unit expected, got boolean", log.add, log,
             coupon { time = true })
    h.raises("thickness_nm: number expected, got string", log.add, log,
             coupon { colour = false, thickness_nm = "60" })
    h.raises("lab: list of three numbers expected, got table", log.add, log,
             coupon { colour = false, lab = { 1, 2 } })
    h.raises("lab: list of three numbers expected, got table", log.add, log,
             coupon { colour = false, lab = { 1, 2, "3" } })
    h.raises("note: text expected, got number", log.add, log, coupon { note = 1 })
    h.raises("unknown key 'color', expected one of: steel, finish, bath, time, colour, "
             .. "thickness_nm, lab, srgb, note, part, shape, start, transfer_W_per_m2K, lift, bath_sd, "
             .. "time_sd, thickness_sd_nm, colour_tolerance, day, lifted", log.add, log, coupon { color = "blue" })
    h.raises("unknown key '1'", log.add, log, coupon { "Alder 1" })
    h.raises("unknown key 'true'", log.add, log, coupon { [true] = 1 })
    h.equal(#log, 0)
end)

-- Contract of oxt_trials_write_csv: reads back to the same trials, number for number.
h.test("a log written is the log read", function()
    local log, path = assert(oxtint.new_trials()), h.temporary_name()
    assert(log:add(coupon { bath = "607.3 F", time = 1 / 3, note = 'third, "hook"\nleft' }))
    assert(log:add(coupon { colour = false, thickness_nm = 100 / 3, finish = "satin" }))
    assert(log:add(coupon { colour = false, lab = { 31.4, 17.1, -47.9 } }))
    assert(log:add(coupon { colour = false, srgb = "#2b3a67" }))
    assert(log:add(coupon { part = 1 / 300, shape = "any", start = 880 / 3, bath_sd = "5 F",
                            lift = 10 / 3, time_sd = 1 / 7, thickness_sd_nm = 1 / 3 }))
    h.equal(log:write(path), true)
    local read = assert(oxtint.read_trials(path))
    h.equal(#read, #log)
    for i, trial in ipairs(log) do
        for name, value in pairs(trial) do
            if name == "lab" then
                h.equal(table.concat(read[i].lab, " "), table.concat(value, " "))
            elseif name ~= "line" then
                h.equal(read[i][name], value, name)
            end
        end
        assert(read[i].line > (i > 1 and read[i - 1].line or 1))
    end
end)

h.test("files that cannot be read or written", function()
    local log = assert(oxtint.new_trials())
    local message, details = h.fails("EIO", oxtint.read_trials("/nonexistent/trials.csv"))
    h.matches(message, "/nonexistent/trials.csv")
    h.equal(details.faults, nil)
    h.fails("EIO", log:write("/nonexistent/trials.csv"))
    h.raises("string expected, got no value", oxtint.read_trials)
    h.raises("string expected, got number", oxtint.read_trials, 1)
    h.raises("without NUL bytes", oxtint.read_trials, "trials.csv\0")
    h.raises("string expected, got nil", log.write, log, nil)
end)

-- Contract of oxt_trials_read_csv: all faults at once, each with its line and column.
h.test("a log with faults names them all", function()
    local path = h.temporary_file("steel,bath_F,time_s,colour\n"
        .. "Alder 1,600,60,blue\n"
        .. "Alder 1,cold,60,blue\n"
        .. "Alder 1,600,-5,mauve\n")
    local message, details = h.fails("EPARSE", oxtint.read_trials(path))
    h.matches(message, "3 faults")
    local faults = details.faults
    h.equal(#faults, 3)
    h.matches(details.report, "\n.*\n")
    h.matches(details.report, "line 3.*cold")
    h.equal(faults[1].line, 3)
    h.equal(faults[1].column, "bath_F")
    h.equal(faults[1].found, "cold")
    h.matches(faults[1].expected, "212 F")
    h.equal(faults[2].line, 4)
    h.equal(faults[2].column, "time_s")
    h.equal(faults[3].column, "colour")
    h.equal(faults[3].found, "mauve")
end)

-- Contract of to_csv: the text is what write puts in a file, and reads back to the same trials.
h.test("a log as text", function()
    local log, path = assert(oxtint.read_trials(h.root .. "examples/demo/trials.csv")), h.temporary_name()
    assert(log:write(path))
    h.equal(log:to_csv(), h.read_file(path))
    local back = assert(oxtint.read_trials_text(log:to_csv()))
    h.equal(#back, #log)
    h.equal(back[7].time_s, log[7].time_s)
    h.equal(back[7].thickness_nm, log[7].thickness_nm)
    local _, details = h.fails("EPARSE", oxtint.read_trials_text("steel,bath_F,time_s,colour\nAlder 1,600,60,mauve\n"))
    h.equal(details.faults[1].found, "mauve")
    h.fails("EPARSE", oxtint.read_trials_text(""))
    local worded = assert(oxtint.read_words_text("word,band\nlamp blue,blue\n"))
    h.equal(worded[1].word, "lamp blue")
    h.equal(#assert(oxtint.read_trials_text("steel,bath_F,time_s,colour\nAlder 1,600,60,lamp blue\n", worded)), 1)
    h.raises("string expected, got number", oxtint.read_trials_text, 1)
end)

-- Contract: a thousand faults are kept, the rest is counted in the message.
h.test("a file of nothing but faults", function()
    local lines = { "steel,bath_F,time_s,colour" }
    for _ = 1, 1500 do
        table.insert(lines, "Alder 1,600,60,mauve")
    end
    local path = h.temporary_file(table.concat(lines, "\n"))
    local message, details = h.fails("EPARSE", oxtint.read_trials(path))
    h.matches(message, "1500 faults")
    h.equal(#details.faults, 1000)
    h.equal(details.faults[1000].line, 1001)
end)

h.test("the demo log can be read", function()
    local log = assert(oxtint.read_trials(h.root .. "examples/demo/trials.csv"))
    local steels, count = {}, 0
    for _, trial in ipairs(log) do
        count = count + (steels[trial.steel] and 0 or 1)
        steels[trial.steel] = true
    end
    h.equal(count, 3)
end)

-- tests/data/spreadsheets/README.md says how each was saved.
h.test("a log with semicolons and decimal commas", function()
    local folder = h.root .. "/tests/data/spreadsheets/"
    local plain = assert(oxtint.read_trials(folder .. "plain.csv"))
    local log = assert(oxtint.read_trials(folder .. "semicolon_decimal_comma_bom.csv"))
    h.equal(#log, #plain)
    for i = 1, #log do
        for key, value in pairs(plain[i]) do
            h.equal(log[i][key], value)
        end
    end
    h.fails("EPARSE", oxtint.read_trials(folder .. "refused_two_marks.csv"))
end)

-- 600 C is 1112 F: SI Brochure, table 8. What counts as far is stated in docs/reference/check.md.
h.test("the scale that baths were typed in", function()
    local header = "steel,%s,time_s,colour\nA,%s,60,blue\n"
    for column, case in pairs { bath_F = { "600", "F" }, bath_C = { "310", "C" }, bath = { "590 K", "K" } } do
        h.equal(assert(oxtint.read_trials(h.temporary_file(header:format(column, case[1])))):unit(), case[2])
    end
    local log = oxtint.new_trials()
    h.equal(log:unit(), "C")
    assert(log:add { steel = "A", bath = "600 F", time = 60, colour = "blue" })
    assert(log:add { steel = "A", bath = "310 C", time = 60, colour = "blue" })
    h.equal(log:unit(), "F")
    log:set_unit("K")
    h.equal(log:unit(), "K")
    h.raises("bad argument", function() log:set_unit("R") end)
    h.raises("value expected", function() log:set_unit() end)
    local numbers = oxtint.new_trials()
    assert(numbers:add { steel = "A", bath = 590, time = 60, colour = "blue" })
    h.equal(numbers:unit(), "C")
    local set = oxtint.new_trials()
    set:set_unit("K")
    assert(set:add { steel = "A", bath = "600 F", time = 60, colour = "blue" })
    h.equal(set:unit(), "K") -- what was set stays
end)

h.test("a log is told how its coupons were run", function()
    local log = oxtint.new_trials()
    assert(log:add { steel = "A", bath = "600 F", time = 60, colour = "blue" })
    assert(log:add { steel = "A", bath = "610 F", time = 60, colour = "blue", part = "4 mm", lift = "5 s" })
    h.equal(assert(log:set_coupon("2 mm", "3 s")), log)
    h.equal(log[1].part_size_m, 0.002)
    h.equal(log[1].lift_s, 3)
    h.equal(log[2].part_size_m, 0.004) -- it says so itself
    h.equal(log[2].lift_s, 5)
    h.fails("EUNIT", log:set_coupon("2 furlongs"))
    h.raises("bad argument", function() log:set_coupon(true) end)
end)

h.test("a log read as a proof-reader", function()
    local path = h.temporary_file("steel,bath_F,time_s,colour,Lift s\nA,560,100,purple,3\nA,560,160,blue,3\n" ..
                        "A,600,60,purple,3\nA,650,50,blue,3\nA,1112,60,blue,3\n")
    local remarks = assert(oxtint.read_trials(path)):check("F")
    h.equal(#remarks, 2)
    h.equal(remarks[1].column, "Lift s")
    h.equal(remarks[2].line, 6)
    h.equal(remarks[2].found, "1112 F")
    h.equal(#assert(oxtint.new_trials()):check(), 0)
end)

-- Contract of docs/reference/words.md.
h.test("a shop's own words are read and spoken", function()
    local path = h.temporary_file("word,band,low_nm,high_nm\nlamp blue,blue,,\nclock blue,,47,55\n")
    local words = assert(oxtint.read_words(path))
    h.equal(#words, 2)
    h.equal(words[1].index, oxtint.film():find_tint("blue").index)
    h.equal(words[2].index, nil)
    h.equal(words[2].high_nm, 55.0)
    local film = assert(oxtint.film { words = words })
    h.equal(film:target("Lamp Blue").text, "lamp blue")
    h.equal(film:target("Lamp Blue").other_nm, oxtint.target("blue").other_nm)
    h.equal(film:tint(50).label, "clock blue")
    local log = assert(oxtint.new_trials(words))
    h.equal(log:add(coupon { colour = "clock blue" }), true)
    local csv = h.temporary_file("steel,bath_F,time_s,colour\nA,600,60,lamp blue\n")
    h.equal(assert(oxtint.read_trials(csv, words))[1].colour, "lamp blue")
    h.fails("EPARSE", oxtint.read_trials(csv))
    h.fails("EPARSE", oxtint.read_words(csv))
    h.raises("words", oxtint.film, { words = 3 })
end)

-- Contract of docs/reference/words.md.
h.test("a card keeps the shop's words, and predictions speak them", function()
    local words = assert(oxtint.read_words(h.temporary_file("word,band,low_nm,high_nm\nlamp blue,blue,,\nclock blue,,47,55\n")))
    local csv = h.temporary_file("steel,bath_F,time_s,colour\nA,560,160,lamp blue\nA,600,60,purple\n"
        .. "A,600,95,lamp blue\nA,650,50,lamp blue\nA,650,30,purple\n")
    local plain = assert(assert(oxtint.starting_steel("B")):with_words())
    h.equal(plain.words, nil)
    h.equal(plain.film:target("blue").text, "blue")
    local card = os.tmpname()
    assert(assert(oxtint.fit(assert(oxtint.read_trials(csv, words)))).steel:save(card, { overwrite = true }))
    local steel = assert(oxtint.load_steel(card))
    os.remove(card)
    h.equal(#steel.words, 2)
    h.equal(steel.words[2].low_nm, 47.0)
    h.equal(steel.film:tint(50).label, "clock blue")
    h.equal(assert(steel:dip("lamp blue", "600 F")).target.text, "lamp blue")
    h.equal(assert(steel:dip("blue", "600 F")).target.text, "lamp blue")
    h.equal(assert(steel:dip_for_time("clock blue", "1:30")).target.text, "clock blue")
    h.equal(assert(steel:most_forgiving("lamp blue")).target.text, "lamp blue")
    h.matches(tostring(assert(steel:baths("blue"))), "lamp blue")
    h.matches(assert(steel:advise { target = "lamp blue" }):report(), "lamp blue")
    local tracker = assert(oxtint.tracker { steel = steel, target = "lamp blue" })
    tracker:close()
    local set = assert(oxtint.plan_set { bath = "600 F", parts = { { name = "bezel", steel = steel, target = "lamp blue" } } })
    h.matches(set:report(), "lamp blue")
    -- a film that is named speaks its own words, and other words replace the card's
    h.fails("EPARSE", steel:dip("lamp blue", "600 F", { film = assert(oxtint.film()) }))
    local other = assert(oxtint.read_words(h.temporary_file("word,band\nlamp blue,dark blue\n")))
    h.equal(assert(steel:with_words(other)).film:find_tint("lamp blue").name, "dark blue")
    h.fails("EPARSE", assert(steel:with_words()):dip("lamp blue", "600 F"))
    -- closed by mistake, the film that is as tabulated is made anew
    plain.film:close()
    h.equal(plain.film:target("blue").text, "blue")
    h.equal(assert(plain:dip("blue", "600 F")).target.text, "blue")
end)

local TABLE = { steel = { "Alder 1", "Birch 2", "Alder 1" }, bath_F = { 600, 610, 620.5 }, time = { "1:30", "2:00", 90 .. " s" },
                colour = { "blue", false, "" }, thickness_nm = { false, 57.5, false }, srgb = { "", "", "#2b3a67" },
                part_mm = { 6, 0 / 0, false }, shape = { "sphere", "", false } }

-- Contract: rows are what add() makes of the same cells, and columns() gives them back.
h.test("columns in and out", function()
    local log, one = assert(oxtint.new_trials()), assert(oxtint.new_trials())
    h.equal(log:add_columns(TABLE), true)
    assert(one:add { steel = "Alder 1", bath = "600 F", time = "1:30", colour = "blue", part = "6 mm", shape = "sphere" })
    assert(one:add { steel = "Birch 2", bath = "610 F", time = 120, thickness_nm = 57.5 })
    assert(one:add { steel = "Alder 1", bath = "620.5 F", time = 90, srgb = "#2b3a67" })
    h.equal(#log, 3)
    for i = 1, 3 do
        for name, value in pairs(one[i]) do
            h.equal(log[i][name], value)
        end
    end
    local columns = log:columns()
    h.equal(table.concat(columns.steel, "|"), "Alder 1|Birch 2|Alder 1")
    h.equal(columns.thickness_nm[2], 57.5)
    h.equal(columns.thickness_nm[1] ~= columns.thickness_nm[1], true)
    h.equal(table.concat(columns.colour, "|"), "blue||")
    h.equal(table.concat(columns.shape, "|"), "sphere||")
    h.equal(columns.lift_s, nil)
    local back = assert(oxtint.new_trials())
    h.equal(back:add_columns(columns), true)
    h.equal(back[2].bath_K, log[2].bath_K)
    h.equal(back[1].part_size_m, 0.006)
end)

h.test("faults of columns, and lists that are none", function()
    local log = assert(oxtint.new_trials())
    local message, details = h.fails("EPARSE", log:add_columns { steel = { "A", "" }, bath_F = { 6500, 600 },
                                                                time_s = { 60, 60 }, colour = { "blue", "mauve" } })
    h.equal(message:find("table: 3 faults, the first: row 1, column bath_F: found '6500'", 1, true), 1)
    h.equal(#details.faults, 3)
    local faults = details.faults
    h.equal(faults[3].row .. faults[3].column, "2colour")
    h.equal(#log, 0)
    h.raises("values, expected", log.add_columns, log, { steel = { "A" }, bath_F = { 600, 601 } })
    h.raises("steel: list expected, got string", log.add_columns, log, { steel = "A" })
    h.raises("columns by their names", log.add_columns, log, { { "A" } })
    h.raises("row 1 holds a NUL", log.add_columns, log, { steel = { "A\0" } })
end)
