# SPDX-License-Identifier: GPL-3.0-or-later
"""Baths that sag, against SciPy's integration of their equations."""
import math
import re

import numpy as np
import oxtint
import pytest
from scipy.integrate import solve_ivp

from conftest import ROOT

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


def test_a_dip_says_how_far_its_load_cools_the_bath(steel) -> None:
    bath, part = oxtint.Bath(salt="binary eutectic", salt_kg=10.0), oxtint.Part("6 mm")
    loaded = steel.dip("blue", "600 F", part=part, salt_bath=bath, load_kg=1.0)
    alone = oxtint.parse_temperature("600 F")
    assert loaded.sag_K == pytest.approx(bath.sag(part, 1.0, "600 F").sag_K, rel=0.02) and loaded.sag_K > 5.0
    assert re.search(rf"bath cooled by the load, up to +{1.8 * loaded.sag_K:.1f} F, included\n", loaded.report("F"))
    assert re.search(rf"bath cooled by the load, up to +{loaded.sag_K:.1f} C, included\n", loaded.report("C"))
    without = steel.dip("blue", alone, part=part)
    assert without.sag_K == 0.0 and "cooled by the load" not in str(without)


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


def churchill(surface, rayleigh, prandtl):
    # S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1323 and 1049; sphere: S. W. Churchill,
    # Heat Exchanger Design Handbook, 2.5.7: as in Incropera and DeWitt, equations 9.26, 9.34 and 9.35. Written anew.
    if surface == "sphere":
        return 2.0 + 0.589 * rayleigh**0.25 / (1.0 + (0.469 / prandtl)**(9 / 16))**(4 / 9)
    base, by = (0.825, 0.492) if surface == "upright" else (0.60, 0.559)
    return (base + 0.387 * rayleigh**(1 / 6) / (1.0 + (by / prandtl)**(9 / 16))**(8 / 27))**2


@pytest.mark.parametrize("surface", ["upright", "lying", "sphere"])
@pytest.mark.parametrize("name", ["binary 60/40", "ternary"])
def test_convection(name, surface) -> None:
    for size, difference in ((0.006, 2.0), (0.05, 10.0), (0.05, 100.0), (0.1, 150.0)):
        found = oxtint.Bath(name).convection(size, 650.0, difference, surface)
        salt = oxtint.salt(name, found.film_K)
        assert found.film_K == pytest.approx(650.0 - difference / 2.0)
        diffusivity = salt.conductivity_W_per_mK / (salt.density_kg_per_m3 * salt.heat_J_per_kgK)
        viscosity = salt.viscosity_Pa_s / salt.density_kg_per_m3
        rayleigh = 9.80665 * salt.expansion_per_K * difference * size**3 / (viscosity * diffusivity)
        assert found.rayleigh == pytest.approx(rayleigh) and found.prandtl == pytest.approx(viscosity / diffusivity)
        nusselt = churchill(surface, rayleigh, viscosity / diffusivity)
        assert found.nusselt == pytest.approx(nusselt)
        assert found.transfer_W_per_m2K == pytest.approx(nusselt * salt.conductivity_W_per_mK / size)


def test_convection_as_the_start_of_a_still_bath(steel) -> None:
    # Near 430 W/(m2 K) at 10 K and 230 at 1 K for a plate of 50 mm: an outside calculation.
    bath = oxtint.Bath("binary 60/40")
    for difference, expected in ((10.0, 430.0), (1.0, 230.0), ("295 K", 1000.0)):
        found = bath.convection("50 mm", "315.6 C", difference)
        assert found.transfer_W_per_m2K == pytest.approx(expected, rel=0.04)
    found = bath.convection("50 mm", "600 F")
    part = oxtint.Part("6 mm", flow="still", transfer_W_per_m2K=found.transfer_W_per_m2K, transfer_at_K=100.0,
                       transfer_exponent=found.exponent)
    assert part.time_for(steel, 50.0, "600 F").lag_s > oxtint.Part("6 mm", transfer_W_per_m2K=900.0).time_for(
        steel, 50.0, "600 F").lag_s
    with pytest.raises(oxtint.OxtintValueError, match="surface"):
        bath.convection("50 mm", "600 F", surface="flat")
    with pytest.raises(oxtint.OxtintValueError, match="difference"):
        bath.convection("50 mm", "600 F", difference="500 K")


def crust_s(bath_C, melting_C, conductivity=0.6, latent=161e3):
    """What a crust costs a plate of 6 mm from 20 C, by two equations: the part, and J. Stefan's condition at the
    face of a crust through which heat flows steadily; specific heat of EN 1993-1-2. The time lost is the integral
    of the share of the rate in the bath that is missing; Q 76 kJ/mol."""
    bath, melting, transfer = bath_C + 273.15, melting_C + 273.15, 600.0

    def per_K(T):  # J/(m2 K) of each face
        t = T - 273.15
        return 7850.0 * 0.003 * (425.0 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3)

    def missing(T):
        return 1.0 - math.exp(-76e3 / GAS_CONSTANT * (1.0 / T - 1.0 / bath))

    def bare(_, y):
        return [transfer * (bath - y[0]) / per_K(y[0]), missing(y[0])]

    def under(_, y):  # in the square of the crust's thickness, which begins smoothly
        through = conductivity * (melting - y[0]) / math.sqrt(max(y[1], 1e-16))
        growth = (through - transfer * (bath - melting)) / (1937.36 * latent)
        return [through / per_K(y[0]), 2.0 * math.sqrt(max(y[1], 1e-16)) * growth, missing(y[0])]

    def gone(_, y):
        return y[1] - 1e-14

    gone.terminal, gone.direction = True, -1
    options = {"method": "LSODA", "rtol": 1e-8, "atol": 1e-14}
    first = solve_ivp(under, (0.0, 2000.0), [START, 1e-12, 0.0], events=gone, **options)
    rest = solve_ivp(bare, (0.0, 2000.0), [first.y[0, -1], first.y[2, -1]], **options)
    plain = solve_ivp(bare, (0.0, 2000.0), [START, 0.0], **options)
    return rest.y[1, -1] - plain.y[1, -1]


@pytest.mark.parametrize(("bath", "seconds"), [(260.0, (59.0, 80.0, 118.0)), (315.6, (19.0, 22.0, 28.0))])
def test_crust_by_the_melting_point(bath, seconds) -> None:
    # docs/reference/bath.md; the middle one is oxtint's
    assert [round(crust_s(bath, melting)) for melting in (221.0, 229.0, 238.0)] == list(seconds)
    steel = oxtint.Steel.from_values(
        steel="any", k_ref_nm2_per_s=50.0, T_ref_K=588.7, Q_J_per_mol=76e3, dof=20, bath_low_K=500.0, bath_high_K=620.0,
        thickness_low_nm=10.0, thickness_high_nm=80.0)
    part = oxtint.Part("3 mm", "any")  # volume over surface
    plain, salted = (steel.dip("blue", f"{bath} C", part=part, salt_bath=oxtint.Bath(salt)).time_s
                     for salt in ("unstated", "binary 60/40"))
    assert salted - plain == pytest.approx(crust_s(bath, 229.0), abs=1.5)


def test_crust_by_its_conductivity() -> None:
    assert [round(crust_s(260.0, 229.0, way)) for way in (0.3, 1.2)] == [85, 73]
    assert abs(crust_s(315.6, 229.0, 0.3) - crust_s(315.6, 229.0, 1.2)) < 0.5


def test_cold_coupons_hold_their_crust() -> None:
    # docs/reference/bath.md
    truth = oxtint.Steel.from_values(
        steel="any", k_ref_nm2_per_s=50.0, T_ref_K=588.7, Q_J_per_mol=76e3, dof=20, bath_low_K=500.0, bath_high_K=620.0,
        thickness_low_nm=10.0, thickness_high_nm=80.0)
    salted = {"salt_bath": oxtint.Bath("binary 60/40")}
    ternary = {"salt_bath": oxtint.Bath("ternary")}
    for colour in ("straw", "brown", "blue"):
        plain = truth.dip(colour, "600 F", part="1.5 mm").time_s
        assert truth.dip(colour, "600 F", part="1.5 mm", **salted).time_s - plain == pytest.approx(5.3, abs=0.2)
        assert truth.dip(colour, "600 F", part="1.5 mm", **ternary).time_s - plain == pytest.approx(0.7, abs=0.1)
    fits = []
    for start in ("20 C", "240 C"):
        log = oxtint.TrialLog()
        for bath in ("560 F", "580 F", "600 F", "620 F", "640 F"):
            for colour in ("brown", "blue"):
                dip = truth.dip(colour, bath, part=oxtint.Part("1.5 mm", start=start), **salted)
                log.add("any", bath=bath, time=dip.time_s, thickness_nm=dip.target.aim_nm, part="1.5 mm", start=start)
        fits.append(oxtint.fit(log))
    rates = [fit.steel.dip("blue", "600 F", part=oxtint.Part(0)).time_s for fit in fits]
    assert rates[1] / rates[0] == pytest.approx(0.85, abs=0.01)
    true_s = truth.dip("blue", "600 F", part="6 mm", **salted).time_s
    assert true_s == pytest.approx(144.0, abs=1.0)
    assert fits[0].steel.dip("blue", "600 F", part="6 mm", **salted).time_s - true_s == pytest.approx(11.0, abs=1.0)
    assert fits[0].steel.dip("blue", "600 F", part="6 mm").time_s - true_s == pytest.approx(-11.0, abs=1.0)
    assert fits[1].steel.dip("blue", "600 F", part="6 mm", **salted).time_s == pytest.approx(true_s, rel=1e-4)


def test_docs_convection() -> None:
    rows = re.findall(r"^\| (60/40|ternary), (\d+) K \| (.*) \|$",
                      (ROOT / "docs/reference/bath.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert len(rows) == 4
    for name, difference, cells in rows:
        bath = oxtint.Bath({"60/40": "binary 60/40"}.get(name, name))
        made = [bath.convection(size, "600 F", float(difference), surface) for size, surface in (
            ("30 mm", "upright"), ("100 mm", "upright"), ("6 mm", "lying"), ("12 mm", "lying"), ("12 mm", "sphere"))]
        assert cells == " | ".join(f"{one.transfer_W_per_m2K:.0f} ({one.exponent:.2f})" for one in made)


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
