-- SPDX-License-Identifier: GPL-3.0-or-later
-- Long calls tell how far they are, and stop. The bootstrap's are in test_interval.lua.
local oxtint = require "oxtint"
local h = require "harness"
local coupons = require "coupons"

-- What takes `progress`, and what it works on.
local function calls()
    local log, other, fit, wide = coupons.log(0.03), coupons.log(0.03), coupons.fit(), coupons.fit()
    return {
        { function(options) return oxtint.fit(log, options) end, log },
        { function(options) return oxtint.pool(other, options) end, other },
        { function(options) return fit:laws(options) end, fit },
        { function(options) return wide:profile("ln-k", options) end, wide },
    }
end

h.test("fits, pools, laws and profiles tell how far they are", function()
    for _, call in ipairs(calls()) do
        local last = 0
        assert(call[1] { progress = function(done) assert(done >= last); last = done end })
        h.equal(last, 1.0)
    end
end)

h.test("progress may stop a fit, a pool, laws or a profile, raise an error, or close what it works on", function()
    for _, call in ipairs(calls()) do
        local run, from = call[1], call[2]
        local made, message, code = run { progress = function() return true end }
        h.equal(made, nil)
        h.equal(code, "ECANCEL")
        assert(message:find("stopped", 1, true))
        local good, raised = pcall(run, { progress = function() error({ "mine" }) end })
        h.equal(good, false)
        h.equal(raised[1], "mine")
        good, message = pcall(run, { progress = 3 })
        assert(not good and message:find("progress: function expected, got number", 1, true))
        assert(run { progress = function() from:close() end })
    end
end)
