-- SPDX-License-Identifier: GPL-3.0-or-later
-- Logs of invented coupons whose growth constants are known exactly.
local oxtint = require "oxtint"

-- Invented constants, of the size that mild steel in a nitrate bath shows.
local coupons = { k_ref = 40.0, T_ref = 600.0, Q = 80e3 }
local R = 8.314462618 -- J/(mol K), SI of 2019

-- Arrhenius rate and parabolic growth: x = sqrt(k t).
function coupons.rate(bath_K)
    return coupons.k_ref * math.exp(-coupons.Q / R * (1 / bath_K - 1 / coupons.T_ref))
end

-- The same by the constants of a steel.
function coupons.rate_of(steel, bath_K)
    return steel.k_ref_nm2_per_s * math.exp(-steel.Q_J_per_mol / R * (1 / bath_K - 1 / steel.T_ref_K))
end

function coupons.thickness(bath_K, time_s)
    return math.sqrt(coupons.rate(bath_K) * time_s)
end

-- A log of thicknesses that follow the law but for a share that alternates.
function coupons.log(share, steel)
    local log = assert(oxtint.new_trials())
    local sign = 1
    for _, bath in ipairs { 560, 600, 640 } do
        for _, time in ipairs { 20, 40, 80, 160 } do
            local thickness = coupons.thickness(bath, time) * (1 + sign * (share or 0))
            assert(log:add { steel = steel or "Alder 1", finish = "satin", bath = bath, time = time,
                             thickness_nm = thickness })
            sign = -sign
        end
    end
    return log
end

function coupons.fit(options)
    return assert(oxtint.fit(coupons.log(0.03), options))
end

function coupons.steel()
    return coupons.fit().steel
end

return coupons
