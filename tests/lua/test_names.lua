-- SPDX-License-Identifier: GPL-3.0-or-later
-- The module, the C headers and the annotations name the same things.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"
local headers = require "headers"

local function names_in_order(set)
    local names = {}
    for name in pairs(set) do
        table.insert(names, name)
    end
    table.sort(names)
    return names
end

local function in_order(set)
    local names, place = names_in_order(set), 0
    return function()
        place = place + 1
        return names[place], set[names[place]]
    end
end

local function sorted(set)
    return table.concat(names_in_order(set), " ")
end

local function union(...)
    local all = {}
    for _, set in ipairs { ... } do
        for name, value in pairs(set) do
            all[name] = value
        end
    end
    return all
end

local log = coupons.log(0.03)
for _, seen in ipairs { { colour = "blue" }, { lab = { 31, 17, -47 } }, { srgb = "#2b3a67" } } do
    assert(log:add(union({ steel = "Birch 2", bath = 600, time = 90 }, seen)))
end
assert(log:add { steel = "Birch 2", bath = 600, time = 90, thickness_nm = 50, part = 0.006,
                 shape = "sphere", start = 293, transfer_W_per_m2K = 600, lift = 3, bath_sd = 2,
                 time_sd = 1, thickness_sd_nm = 2, colour_tolerance = 3, day = "Monday",
                 lifted = "last" })
local fit = assert(oxtint.fit(log, { steel = "Alder 1" }))
local pool = assert(oxtint.pool(log))
local renewed = assert(fit.steel:anchor(log))
local bootstrap = assert(fit:bootstrap { replicates = 100 })
local validation = assert(fit:cross_validate())
local record = assert(fit.steel:track_record())
local recorded = assert(fit.steel:record(assert(fit.steel:dip("blue", 600)), "blue"))
local dip = assert(fit.steel:dip("blue", 600))
local laws = assert(fit:laws())
local bands = oxtint.tints()
local part = assert(oxtint.part { size_m = 0.006 })
local warming = assert(part:warming(600))
local set = assert(oxtint.plan_set { parts = { { steel = fit.steel, target = "blue" } }, bath = 600 })
local advice, drift = assert(fit.steel:advise()), assert(fit:drift())
local chart, sheet = assert(fit.steel:chart { trials = log, dip = dip }), assert(fit.steel:chart_sheet())
local bath = oxtint.bath()
local sag = assert(bath:sag(part, 1, 600))
local tracker = assert(oxtint.tracker { steel = fit.steel, target = "blue", part = part, bath = 600 })
assert(tracker:feed(0, 600))
local tracking = tracker:read()
local matches = assert(oxtint.film():match { oxtint.film_lab(57) })
local history = assert(oxtint.history { time_s = { 0, 60, 120 }, temperature_K = { 293, 600, 590 } })
local temper = assert(history:temper { steel = "1095", last = { "400 F", "2 h" } })
local words = assert(oxtint.read_words(h.temporary_file("word,band\nlamp blue,blue\n")))
local worded = assert(fit.steel:with_words(words))
local _, _, _, details = oxtint.read_trials(h.temporary_file("steel\n"))
local faults = details.faults

-- What a type of C is in Lua.
local lua_types = {
    oxt_temperature_unit = "string", double = "float", ["double[]"] = "table", ["char[]"] = "string", size_t = "integer",
    int = "integer", oxt_growth = "table", oxt_law = "string", oxt_law = "string", oxt_laws_verdict = "string", oxt_shape = "string", oxt_seen = "string",
    oxt_metal = "string", oxt_flow = "string", oxt_salt = "string", oxt_basis = "string", oxt_path_source = "string",
    oxt_track_phase = "string", oxt_pool_model = "string",
    oxt_target = "userdata", uint32_t = "table",
}

local function type_of(value)
    return math.type(value) or type(value)
end

-- header, struct, sample, fields that only Lua has, and fields whose type is another one in Lua
local structs = {
    { "growth.h", "oxt_growth", fit.growth },
    { "fit.h", "oxt_fit_values", fit,
      { k_ref_nm2_per_s = 1, T_ref_K = 1, Q_J_per_mol = 1, covariance = 1, stderr = 1, residuals = 1, rows = 1,
        law_shape = 1, law_middle_nm = 1, initial_nm = 1, warnings = 1, steel = 1 }, { Q_held = "boolean" } },
    { "fit.h", "oxt_fit_row", fit.rows[1], {}, { used = "boolean" } },
    { "pool.h", "oxt_pool_values", pool, { groups = 1, comparison = 1, steels = 1, warnings = 1 },
      { shrunk = "boolean" } },
    { "pool.h", "oxt_pool_group", pool.groups[1] },
    { "pool.h", "oxt_pool_comparison", pool.comparison[1], {}, { fitted = "boolean" } },
    { "laws.h", "oxt_laws_values", laws, { results = 1, sentence = 1 }, { Q_held = "boolean" } },
    { "laws.h", "oxt_law_result", laws.results.power, {},
      { converged = "boolean", shape_at_limit = "boolean", initial_at_zero = "boolean" } },
    { "interval.h", "oxt_bootstrap_values", bootstrap },
    { "cross_validation.h", "oxt_cross_validation_values", validation, { rows = 1 }, { by_bath = "boolean" } },
    { "cross_validation.h", "oxt_cross_validation_row", validation.rows[1], {}, { predicted = "boolean", hit = "boolean" } },
    { "prior.h", "oxt_prior", oxtint.mild_steel_prior() },
    { "steel.h", "oxt_steel_values", worded,
      { k_ref_nm2_per_s = 1, T_ref_K = 1, Q_J_per_mol = 1, history = 1, recorded = 1, coupon_text = 1, cautions = 1, words = 1, film = 1 } },
    { "steel.h", "oxt_steel_change", renewed.history[1] },
    { "dip.h", "oxt_dip", dip, { interval_s = 1, next_interval_s = 1 } },
    { "plan.h", "oxt_plan_values", set, { steps = 1 } },
    { "plan.h", "oxt_plan_step", set.steps[1], { dip = 1 } },
    { "advise.h", "oxt_advised_coupon", advice.coupons[1] },
    { "chart.h", "oxt_chart", chart, { bands = 1, marks = 1 } },
    { "chart.h", "oxt_chart_band", chart.bands[1], {}, { leaves_below = "boolean" } },
    { "chart.h", "oxt_chart_mark", chart.marks[1] },
    { "chart.h", "oxt_sheet", sheet, { dips = 1 } },
    { "drift.h", "oxt_drift", drift, {}, { called = "boolean", trend = "boolean" } },
    { "record.h", "oxt_record", record, {}, { kept = "boolean" } },
    { "steel.h", "oxt_recorded_dip", recorded.recorded[1], {}, { hit = "boolean" } },
    { "tint.h", "oxt_target", dip.target },
    { "tint.h", "oxt_tint", bands[8] },
    { "film.h", "oxt_match", matches[1] },
    { "heat.h", "oxt_part", part },
    { "bath.h", "oxt_bath", bath },
    { "bath.h", "oxt_sag", sag },
    { "bath.h", "oxt_salt_values", oxtint.salt "ternary" },
    { "bath.h", "oxt_convection", bath:convection { size_m = 0.05, bath = 600 } },
    { "heat.h", "oxt_warming", warming, {}, { lumped = "boolean" } },
    { "track.h", "oxt_track_state", tracking },
    { "trials.h", "oxt_trial", union(log[1], log[13], log[14], log[15], log[16]), { note = 1 },
      { lifted = "string" } },
    { "faults.h", "oxt_fault", faults[1] },
    { "words.h", "oxt_word", words[1] },
    { "temper.h", "oxt_temper", temper, {}, { softens = "boolean", below_floor = "boolean" } },
}
for _, row in ipairs(structs) do
    local file, name, sample, only_here, other = table.unpack(row)
    h.test(name .. " has in Lua the fields of its header", function()
        local expected, found = headers.struct(file, name), {}
        for field, value in pairs(sample) do
            found[field] = type_of(value)
        end
        h.equal(sorted(found), sorted(union(expected, only_here or {})))
        for field, kind in pairs(expected) do
            h.equal(found[field], other and other[field] or lua_types[kind], field)
        end
    end)
end

-- Names that a function takes, read off its own error.
local function known_names(call, ...)
    local _, message = pcall(call, ...)
    local names = {}
    for name in message:match("expected one of: ([^)]*)"):gmatch("[%w_]+") do
        names[name] = true
    end
    return names
end

local nonsense = { ["?"] = 1 }
local named = {
    fit_options = known_names(oxtint.fit, log, nonsense),
    fit_each_options = known_names(oxtint.fit_each, log, nonsense),
    pool_options = known_names(oxtint.pool, log, nonsense),
    laws_options = known_names(fit.laws, fit, nonsense),
    cross_validation_options = known_names(fit.cross_validate, fit, nonsense),
    anchor_options = known_names(fit.steel.anchor, fit.steel, log, nonsense),
    profile_options = known_names(fit.profile, fit, "Q", nonsense),
    interval_options = known_names(bootstrap.interval, bootstrap, "Q", nonsense),
    bootstrap_options = known_names(fit.bootstrap, fit, nonsense),
    prior = known_names(oxtint.fit, log, { prior = nonsense }),
    dip_options = known_names(fit.steel.dip, fit.steel, "blue", 600, nonsense),
    forgiving_options = known_names(fit.steel.most_forgiving, fit.steel, "blue", nonsense),
    advise_options = known_names(fit.steel.advise, fit.steel, nonsense),
    chart_options = known_names(fit.steel.chart, fit.steel, nonsense),
    map_options = known_names(fit.steel.chart_map, fit.steel, { 600 }, { 60, 90 }, nonsense),
    sheet_options = known_names(fit.steel.chart_sheet, fit.steel, nonsense),
    drift_options = known_names(fit.drift, fit, nonsense),
    record_options = known_names(fit.steel.record, fit.steel, dip, "blue", nonsense),
    track_record_options = known_names(fit.steel.track_record, fit.steel, nonsense),
    new_set = known_names(oxtint.plan_set, nonsense),
    plan_part = known_names(oxtint.plan_set, { parts = { nonsense }, bath = 600 }),
    film_options = known_names(oxtint.film, nonsense),
    film_choice = known_names(oxtint.tints, nonsense),
    lab_target = known_names(oxtint.target, nonsense),
    material_table = known_names(oxtint.material, nonsense),
    match_options = known_names(oxtint.film().match, oxtint.film(), { 50, 0, 0 }, nonsense),
    layer = known_names(oxtint.film, { layers = { nonsense } }),
    finish_spreads = known_names(oxtint.film, { finish = nonsense }),
    new_part = known_names(oxtint.part, nonsense),
    lift = known_names(oxtint.part { size_m = 0.006 }.lift_exposure, part, fit.steel, 600, nonsense),
    new_bath = known_names(oxtint.bath, nonsense),
    new_tracker = known_names(oxtint.tracker, nonsense),
    new_trial = known_names(log.add, log, nonsense),
    steel_from_values = known_names(oxtint.steel_from_values, nonsense),
    new_history = known_names(oxtint.history, nonsense),
    temper_options = known_names(oxtint.temper_dip, 600, 60, nonsense),
}
-- header, names that only Lua has, names that Lua has in another form
local film = { film = 1 }
local options = {
    fit_options = { "fit.h", film, { user = 1 } }, pool_options = { "pool.h", film, { user = 1 } },
    laws_options = { "laws.h", {}, { user = 1 } }, prior = { "prior.h" }, dip_options = { "dip.h", { film = 1, last_temper = 1 },
                    { last_temper_K = 1, last_temper_s = 1 } }, match_options = { "film.h" },
    anchor_options = { "anchor.h", film },
    fit_each_options = { "fit_each.h", union(headers.struct("fit.h", "oxt_fit_options"), film), { fit = 1, user = 1, best_law = 1 } },
    bootstrap_options = { "interval.h", {}, { user = 1 } },
    cross_validation_options = { "cross_validation.h", {}, { user = 1 } },
    lift = { "heat.h" },
    film_options = { "film.h", { finish = 1, observer_deg = 1 },
                     { layer_count = 1, shares = 1, thickness_spread = 1, angle_spread_deg = 1,
                       observer = 1 } },
    temper_options = { "temper.h", { last = 1 }, { last_K = 1, last_s = 1 } },
    chart_options = { "chart.h", { film = 1, bath_low = 1, bath_high = 1, time_low = 1, time_high = 1 },
                      { bath_low_K = 1, bath_high_K = 1, time_low_s = 1, time_high_s = 1 } },
    sheet_options = { "chart.h", union(named.dip_options, { baths = 1 }),
                      { baths_K = 1, bath_count = 1, target_count = 1, dip = 1 } },
    drift_options = { "drift.h" },
    record_options = { "record.h", { film = 1, time = 1 }, { time_s = 1 } },
    steel_from_values = { "steel.h", union(headers.struct("growth.h", "oxt_growth"), { law_shape = 1, law_middle_nm = 1 }),
                          { growth = 1, change_count = 1, record_count = 1, cautions = 1, shape = 1 }, "oxt_steel_values" },
    advise_options = { "advise.h", { film = 1, bath = 1, low = 1, high = 1, shortest = 1, longest = 1 },
                       { target_bath_K = 1, low_K = 1, high_K = 1, shortest_s = 1, longest_s = 1 } },
}
for name, row in in_order(options) do
    h.test(name .. " are the options of the header", function()
        local expected = union(headers.struct(row[1], row[4] or "oxt_" .. name), row[2] or {})
        for other in pairs(row[3] or {}) do
            assert(expected[other], other)
            expected[other] = nil
        end
        h.equal(sorted(named[name]), sorted(expected))
    end)
end

-- What a choice may be, read off its own error.
local function known_choices(call, ...)
    local _, message = pcall(call, ...)
    return message:match("one of (.-) expected")
end
for enum, row in in_order {
    oxt_salt = { "bath.h", known_choices(oxtint.salt, "?"),
                 function(name)
                     return (name:lower():gsub("salt_", ""):gsub("_", " "):gsub("60 40", "60/40"))
                 end },
    oxt_surface = { "bath.h", known_choices(bath.convection, bath, { size_m = 0.05, bath = 600, surface = "?" }),
                    function(name) return (name:lower():gsub("^surface_", "")) end },
    oxt_shape = { "heat.h", known_choices(oxtint.part, { shape = "?" }),
                  function(name) return (name:lower():gsub("^shape_", "")) end },
    oxt_criterion = { "advise.h", known_choices(fit.steel.advise, fit.steel, { criterion = "?" }),
                      function(name) return (name:lower():gsub("advise_", "")) end },
    oxt_metal = { "heat.h", known_choices(oxtint.part, { metal = "?" }),
                  function(name) return (name:lower():gsub("^metal_", ""):gsub("_", " ")) end },
    oxt_flow = { "heat.h", known_choices(oxtint.part, { flow = "?" }),
                 function(name) return (name:lower():gsub("^flow_", "")) end },
    oxt_illuminant = { "light.h", known_choices(oxtint.light_white, "?"),
                       function(name) return (name:gsub("^ILLUMINANT_", ""):gsub("_", "-")) end },
    oxt_errors_in_variables = {
        "fit.h", known_choices(oxtint.fit, log, { errors_in_variables = "?" }),
        function(name) return (name:lower():gsub("^errors_", ""):gsub("_", "-")) end },
    oxt_robust = { "fit.h", known_choices(oxtint.fit, log, { robust = "?" }),
                   function(name) return (name:lower():gsub("^robust_", "")) end },
    oxt_names = { "fit.h", known_choices(oxtint.fit, log, { names = "?" }),
                  function(name) return (name:lower():gsub("^names_", ""):gsub("_", "-")) end },
    oxt_pool_model = { "pool.h", known_choices(oxtint.pool, log, { model = "?" }),
                       function(name) return (name:lower():gsub("^pool_", ""):gsub("_", "-")) end },
    oxt_interval_quantity = { "interval.h", known_choices(fit.profile, fit, "?"), function(name)
        name = name:gsub("^INTERVAL_", "")
        return #name > 1 and name:lower():gsub("_", "-") or name
    end },
    oxt_interval_scale = { "interval.h", known_choices(fit.profile, fit, "Q", { scale = "?" }),
                         function(name) return (name:lower():gsub("^interval_scale_", "")) end },
    oxt_bootstrap_kind = { "interval.h", known_choices(fit.bootstrap, fit, { kind = "?" }),
                           function(name) return (name:lower():gsub("^bootstrap_", "")) end },
    oxt_bootstrap_method = {
        "interval.h", known_choices(bootstrap.interval, bootstrap, "Q", { method = "?" }),
        function(name) return (name:lower():gsub("^bootstrap_", ""):gsub("_", "-")) end },
    oxt_finish = { "film.h", known_choices(oxtint.finish, "?"),
                   function(name) return (name:lower():gsub("^finish_", "")) end },
} do
    h.test("the choices of " .. enum .. " are those of the header, in its order", function()
        local expected = {}
        for place, name in ipairs(headers.enum(row[1], enum)) do
            expected[place] = row[3](name)
        end
        h.equal(row[2], table.concat(expected, ", "))
    end)
end

local annotations = headers.annotations()

h.test("every function of the module is annotated, and no other", function()
    local functions, values = {}, {}
    for name, value in pairs(oxtint) do
        (type(value) == "function" and functions or values)[name] = true
    end
    h.equal(sorted(functions), sorted(annotations.functions))
    h.equal(sorted(values), sorted(annotations.classes.oxtint))
    h.equal(sorted(functions), "adapt_white bath cautions_report delta_e2000 dip_average film film_lab film_reflectance film_srgb "
        .. "finish fit fit_each format_duration format_length format_srgb format_temperature history lab_from_xyz light_white load_steel material mild_steel_prior name_of "
        .. "new_trials parse_duration parse_length parse_srgb parse_temperature parse_temperature_difference part plan_set pool "
        .. "read_history read_history_text read_trials read_trials_text read_words read_words_text "
        .. "salt srgb_keeping_hue starting_steel steel_from_card steel_from_values target temper_dip temper_hardness temper_parameter temper_temperature "
        .. "temper_time tints tracker xyz_from_lab xyz_from_srgb")
end)

local objects = { film = oxtint.film(), trials = log, fit = fit, pool = pool, laws = laws, steel = fit.steel,
                  target = dip.target, dip = dip, material = oxtint.material "iron", part = part,
                  set = set, advice = advice, drift = drift, record = record, salt_bath = bath, history = history, temper = temper, tracker = tracker,
                  bootstrap = bootstrap, cross_validation = validation, baths = assert(fit.steel:baths("blue")) }
for name, object in in_order(objects) do
    h.test("every method of oxtint." .. name .. " is annotated, and no other", function()
        local _, methods = debug.getupvalue(debug.getmetatable(object).__index, 2)
        h.equal(sorted(methods), sorted(annotations.methods["oxtint." .. name]))
    end)
end

-- What an annotation says of a field, and what it is.
local annotated_types = { number = "float", integer = "integer", string = "string",
                          boolean = "boolean" }
local samples = {
    film = { description = oxtint.film().description }, fit = fit, steel = worded,
    fits = assert(oxtint.fit_each(log)), pool = pool, pool_group = pool.groups[1], pool_comparison = pool.comparison[1],
    laws = laws, law_result = laws.results.power,
    target = dip.target, dip = dip, growth = fit.growth, stderr = fit.stderr, row = fit.rows[1],
    tint = bands[8], fault = faults[1], word = words[1], trial = union(log[1], log[13], log[14], log[15], log[16]),
    material = oxtint.material "iron", part = part, warming = warming, salt_bath = bath, sag = sag,
    salt_values = oxtint.salt "ternary", convection = bath:convection { size_m = 0.05, bath = 600 }, match = matches[1], matches = { verdict = matches.verdict },
    track_state = tracking, steel_change = renewed.history[1], bootstrap = bootstrap,
    cross_validation = validation, cross_validation_row = validation.rows[1],
    chart = chart, chart_band = chart.bands[1], chart_mark = chart.marks[1], sheet = sheet,
    set = set, plan_step = set.steps[1], drift = drift, record = record, recorded_dip = recorded.recorded[1], coupon = advice.coupons[1],
    advice = { coupons = advice.coupons }, interval = dip.interval_s, caution = dip.cautions[1],
    history = { time_s = history.time_s, temperature_K = history.temperature_K },
    sample = history[1], temper = temper,
}
for name, sample in in_order(samples) do
    h.test("every field of oxtint." .. name .. " is annotated, and no other", function()
        local found, class = {}, annotations.classes["oxtint." .. name]
        for field, value in pairs(sample) do
            local expected = annotated_types[class[field] and class[field]:gsub("%?$", "")]
            if expected then
                h.equal(type_of(value), expected, field)
            end
            found[field] = true
        end
        h.equal(sorted(found), sorted(class))
    end)
end
for name, names in in_order(named) do
    h.test("every name of oxtint." .. name .. " is annotated, and no other", function()
        h.equal(sorted(names), sorted(annotations.classes["oxtint." .. name]))
    end)
end

-- The list of statuses in error.h.
h.test("every code is annotated, and no other", function()
    local header = h.read_file(h.root .. "include/oxtint/error.h")
    local library = h.read_file(h.root .. "bindings/lua/library/oxtint.lua")
    local expected, found = {}, {}
    for code in header:gmatch("X%(OXT_(E%u+),") do
        expected[code] = true
    end
    for code in library:gmatch('\n%-%-%-| "(%u+)"') do
        found[code] = true
    end
    h.equal(sorted(found), sorted(expected))
end)

-- Contract: the name in C without its prefix.
h.test("every caution that a dip can carry has its name in C", function()
    local header = h.read_file(h.root .. "include/oxtint/error.h")
    for _, bath in ipairs { "120 C", "300 C", "545 C", "580 C", "660 C" } do
        for _, caution in ipairs(assert(fit.steel:dip("straw", bath)).cautions) do
            assert(header:find("OXT_CAUTION_" .. caution.name .. ",", 1, true), caution.name)
        end
    end
end)

h.test("annotations are plain Lua that loads", function()
    assert(loadfile(h.root .. "bindings/lua/library/oxtint.lua"))
end)
