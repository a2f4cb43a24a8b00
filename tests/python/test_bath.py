# SPDX-License-Identifier: GPL-3.0-or-later
"""Baths that sag, against SciPy's integration of their equations."""
import math

import numpy as np
import oxtint
import pytest
from scipy.integrate import solve_ivp

GAS_CONSTANT = 8.314462618
START = 293.15
BATH = 600.0


def simulate(steel, part, bath, load, salt_kg, heater, end):
    """Temperatures and exposure by the equations of the two bodies, with the heater switched by hand."""
    warming = part.warming(BATH)
    c_bath = salt_kg * oxtint.salt("binary 60/40", BATH).heat_J_per_kgK
    c_load = load * warming.heat_J_per_kgK

    def slopes(held):
        def slope(_, y):
            flow = c_load / warming.tau_s * (y[0] - y[1])
            rate = steel.k_ref_nm2_per_s * math.exp(-steel.Q_J_per_mol / GAS_CONSTANT * (1 / y[1] - 1 / steel.T_ref_K))
            return [0.0 if held else (heater - flow) / c_bath, flow / c_load, rate]
        return slope

    def back(time, y):
        return y[0] - BATH if time > 0.01 else -1.0

    back.terminal, back.direction = True, 1
    options = {"method": "DOP853", "rtol": 1e-12, "atol": 1e-10}
    held = heater >= c_load / warming.tau_s * (BATH - START)
    free = solve_ivp(slopes(held), (0.0, end), [BATH, START, 0.0], events=None if held else back,
                     dense_output=True, **options)
    if free.t[-1] < end:
        rest = solve_ivp(slopes(True), (free.t[-1], end), free.y[:, -1], **options)
        return free, rest.y[2, -1]
    return free, free.y[2, -1]


@pytest.mark.parametrize("heater", [0.0, 400.0, 2500.0, 50000.0])
@pytest.mark.parametrize("size", ["0.5 mm", "3 mm"])
@pytest.mark.parametrize("end", [10.0, 120.0, 900.0])
def test_sag_equals_scipy(steel, heater, size, end, measured) -> None:
    bath = oxtint.Bath(salt_kg=12.0, heater_W=heater)  # of the heat of the 60/40; none of it freezes
    part = oxtint.Part(size, "any", heat_J_per_kgK=560.0)
    free, exposure = simulate(steel, part, bath, 1.5, 12.0, heater, end)
    measured("scipy-sag", bath.exposure(steel, part, 1.5, BATH, end) / exposure - 1.0, 2e-4)
    sag = bath.sag(part, 1.5, BATH)
    if sag.lowest_s < free.t[-1]:
        assert sag.lowest_K == pytest.approx(free.sol(sag.lowest_s)[0], abs=2e-3)
        times = np.linspace(0.0, free.t[-1], 20001)
        assert free.sol(times)[0].min() >= sag.lowest_K - 2e-3
    if 0.0 < sag.recovery_s < free.t[-1]:
        assert free.sol(sag.recovery_s)[0] == pytest.approx(BATH - 0.1, abs=2e-2)


def test_without_heater_or_salt(steel) -> None:
    part = oxtint.Part("3 mm")
    sag = oxtint.Bath(salt_kg=10.0).sag(part, 1.0, BATH)
    assert math.isinf(sag.recovery_s) and math.isinf(sag.lowest_s)
    assert "SAG" in [caution.name for caution in sag.cautions]
    endless = oxtint.Bath()
    assert endless.sag(part, 1.0, BATH).sag_K == 0.0
    assert endless.exposure(steel, part, 1.0, BATH, 60.0) == part.exposure(steel, BATH, 60.0)


def test_salts() -> None:
    # Sohal et al., INL/EXT-10-18297 (2010), at 400 C
    hot = oxtint.salt("ternary", "400 C")
    assert hot.density_kg_per_m3 == pytest.approx(1788.939, abs=1e-3)
    assert hot.heat_J_per_kgK == pytest.approx(1795.023, abs=1e-3)
    for salt in ("unstated", "binary 60/40", "binary eutectic", "ternary"):
        limits = oxtint.salt(salt)
        assert (limits.melting_low_K <= limits.melting_high_K <= limits.working_low_K
                < limits.working_high_K < limits.legal_high_K)
        assert limits.name and "5188" in limits.source and math.isnan(limits.heat_J_per_kgK)


def test_thermometer_and_cautions() -> None:
    bath = oxtint.Bath("ternary", thermometer_offset_K=-6.0, thermometer_sd_K=2.0, wander_K=1.0)
    assert bath.true("600 F") == pytest.approx(oxtint.parse_temperature("600 F") - 6.0)
    names = [caution.name for caution in bath.cautions("600 F")]
    assert names == ["SOFTENS", "MOLTEN_SALT", "WATER", "ORGANICS", "CYANIDES", "LIGHT_METALS", "NITRITE",
                     "VENTILATION", "POT", "HOT_RINSE", "DATA_SHEET"]
    assert "BELOW_MELTING" in [caution.name for caution in bath.cautions("330 F")]
    assert repr(bath) == "<Bath of salt, ternary>"


def test_crust() -> None:
    """By hand: the part is at the melting point when the bath has given h (T_bath - T_melting) for so long."""
    bath, part = oxtint.Bath("binary eutectic"), oxtint.Part("3 mm", "any", heat_J_per_kgK=550.0)
    crust = bath.crust(part, "300 C")
    assert crust.melting_K == pytest.approx(222.0 + 273.15)
    assert crust.melted_s == pytest.approx(7850.0 * 550.0 * 0.003 * 202.0 / (600.0 * 78.0), rel=2e-3)
    assert 1e-4 < crust.thickest_m < 0.01
    assert bath.crust(oxtint.Part("6 mm", start="230 C"), "300 C").melted_s == 0.0
    assert oxtint.Bath().crust(part, "300 C").melted_s == 0.0


@pytest.mark.parametrize(("make", "words"), [
    (lambda: oxtint.Bath("table"), "table"),
    (lambda: oxtint.Bath(salt_kg=-1.0).true(600.0), "salt_kg"),
    (lambda: oxtint.Bath(salt_kg=9.0).sag(oxtint.Part("6 mm"), 0.0, 600.0), "load_kg"),
    (lambda: oxtint.Part("6 mm", metal="nickel silver").warming(600.0), "nickel silver is not for"),
    (lambda: oxtint.Part("6 mm", metal="lead"), "lead"),
])
def test_what_is_refused(make, words) -> None:
    with pytest.raises(oxtint.OxtintValueError, match=words):
        make()
