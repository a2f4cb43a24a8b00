# SPDX-License-Identifier: GPL-3.0-or-later
"""A dip as it happens, against SciPy and against the whole dip."""
import math

import numpy as np
import oxtint
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import j0, j1

GAS_CONSTANT = 8.314462618


def rate(steel: oxtint.Steel, temperature):
    return steel.k_ref_nm2_per_s * np.exp(-steel.Q_J_per_mol / GAS_CONSTANT * (1.0 / temperature - 1.0 / steel.T_ref_K))


def centre_and_surface(shape, biot, fourier):
    """What is left of the step there (F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer,
    equations 5.39, 5.47 and 5.48, with many terms)."""
    equation = {"plate": lambda z: z * np.sin(z) - biot * np.cos(z), "cylinder": lambda z: z * j1(z) - biot * j0(z),
                "sphere": lambda z: (1.0 - biot) * np.sin(z) - z * np.cos(z)}[shape]
    places = np.linspace(1e-6, 150.0, 40000)
    turns = np.flatnonzero(np.diff(np.sign(equation(places))))
    z = np.array([brentq(equation, places[i], places[i + 1]) for i in turns])
    if shape == "plate":
        share, surface = 4.0 * np.sin(z) / (2.0 * z + np.sin(2.0 * z)), np.cos(z)
    elif shape == "cylinder":
        share, surface = 2.0 / z * j1(z) / (j0(z)**2 + j1(z)**2), j0(z)
    else:
        share, surface = 4.0 * (np.sin(z) - z * np.cos(z)) / (2.0 * z - np.sin(2.0 * z)), np.sin(z) / z
    fading = np.exp(-np.outer(fourier, z**2))
    return fading @ share, fading @ (share * surface)


@pytest.mark.parametrize(("size", "seconds"), [
    ("6 mm", (0.4, 0.2, 0.1)), ("12 mm", (1.6, 0.8, 0.5)), ("25 mm", (7.1, 3.5, 2.4))])
def test_a_thermocouple_in_the_middle_is_late(steel, size, seconds) -> None:
    # docs/reference/track.md; the tracker is fed the middle of a part in place of its surface
    bath = oxtint.parse_temperature("600 F")
    for shape, stated, parts in zip(("plate", "cylinder", "sphere"), seconds, (2.0, 4.0, 6.0)):
        for transfer in (300.0, 600.0):
            part = oxtint.Part(size, shape, transfer_W_per_m2K=transfer)
            warming, half = part.warming(bath), oxtint.parse_length(size) / 2.0
            diffusivity = warming.conductivity_W_per_mK / (7850.0 * warming.heat_J_per_kgK)
            times = np.linspace(0.0, 1500.0, 15001)
            left = centre_and_surface(shape, transfer * half / warming.conductivity_W_per_mK,
                                      diffusivity * times / half**2)
            exposures = []
            for one in left:
                tracker = oxtint.Tracker(steel, "blue", longest_gap=60.0)
                tracker.feed_all(times, bath - (bath - 293.15) * np.clip(one, 0.0, 1.0))
                exposures.append(tracker.read().thickness_nm**2)
            late = (exposures[1] - exposures[0]) / rate(steel, bath)
            assert late == pytest.approx(half**2 / (parts * diffusivity), rel=0.05)
            assert late == pytest.approx(stated, abs=0.12)


def test_lumped_part_in_a_swinging_bath_equals_scipy(steel) -> None:
    part, bath = oxtint.Part("3 mm", "any"), oxtint.parse_temperature("600 F")
    tau = part.warming(bath).tau_s

    def swinging(time):
        return bath + 5.0 * np.sin(0.2 * time)

    def slopes(time, state):
        return [(swinging(time) - state[0]) / tau, rate(steel, state[0])]

    solution = solve_ivp(slopes, (0.0, 120.0), [293.15, 0.0], rtol=1e-11, atol=1e-9)
    tracker = oxtint.Tracker(steel, "blue", part=part, bath=bath)
    times = np.arange(0, 12001) / 100.0
    assert tracker.feed_all(times, swinging(times)) == 0
    now = tracker.read()
    assert now.surface_K == pytest.approx(solution.y[0, -1], abs=1e-4)
    assert now.exposure_nm2 == pytest.approx(solution.y[1, -1], rel=1e-5)
    assert now.thickness_nm == pytest.approx(now.exposure_nm2 ** 0.5)
    assert now.sample_count == 12001


def test_forecast_is_the_time_of_the_dip(steel) -> None:
    part, blue = oxtint.Part("1/4 in"), oxtint.Film().target("blue")
    tracker = oxtint.Tracker(steel, blue, part=part, bath="600 F")
    assert math.isnan(tracker.read().bath_K) and tracker.read().to_lift_s == math.inf
    tracker.feed("10 s", "600 F")
    now = tracker.read()
    assert now.to_lift_s == pytest.approx(part.time_for(steel, blue.aim_nm, "600 F").time_s)
    assert now.state == "growing" and now.label == "bright" and now.srgb[0] > 0.5
    names = [caution.name for caution in now.cautions]
    assert names.index("AT_TEMPERATURE") < names.index("COUPONS_UNKNOWN") < names.index("SOFTENS")


def test_a_dip_from_end_to_end(steel) -> None:
    part = oxtint.Part("6 mm")
    tracker = oxtint.Tracker(steel, "blue", part=part, bath="600 F", lift=oxtint.Lift("3 s"))
    plain = oxtint.Tracker(steel, "blue", part=part, bath="600 F")
    states: list[str] = []
    for tenth in range(6000):
        tracker.feed(tenth / 10, "600 F")
        plain.feed(tenth / 10, "600 F")
        now = tracker.read()
        assert now.to_lift_s <= plain.read().to_lift_s and now.quench_nm > now.thickness_nm
        if now.to_lift_s == 0.0 and "showing" == now.state == states[-1] and "lifted" not in states:
            assert now.quench_nm == pytest.approx(oxtint.Film().target("blue").aim_nm, rel=1e-3)
            states += ["lifted"]
        if not states or states[-1] != now.state and states[-1] != "lifted" or now.state == "past":
            states += [now.state]
        if now.state == "past":
            break
    assert states == ["growing", "showing", "lifted", "past"]
    tracker.restart()
    assert tracker.read().exposure_nm2 == 0.0 and tracker.read().sample_count == 0


def test_faults_and_gaps(steel) -> None:
    tracker = oxtint.Tracker(steel, "blue", longest_gap="2 s")
    tracker.feed(0.0, 590.0)
    for time, temperature, parameter in ((0.0, 590.0, "time_s"), (1.0, 1999.0, "temperature_K"),
                                         (1.0, math.nan, "temperature_K")):
        with pytest.raises(oxtint.OxtintValueError, match="expected") as raised:
            tracker.feed(time, temperature)
        assert raised.value.parameter == parameter
    assert tracker.feed_all([1.0, 2.0, 2.0, 7.0], [590.0, math.nan, 590.0, 590.0]) == 1
    now = tracker.read()
    assert (now.refused_count, now.gap_count, now.bridged_s) == (4, 1, 5.0)
    assert now.exposure_nm2 == pytest.approx(7.0 * rate(steel, 590.0))
    assert tracker.feed_all(["8 s", "9 s"], "600 F") == 0


def test_film_already_there_and_what_is_refused(steel) -> None:
    tracker = oxtint.Tracker(steel, 57.0, initial_nm=20.0)
    assert tracker.read().thickness_nm == pytest.approx(20.0)
    with pytest.raises(TypeError, match="bath"):
        oxtint.Tracker(steel, "blue", part=oxtint.Part("6 mm"))
    with pytest.raises(oxtint.OxtintValueError, match="start_K"):
        oxtint.Tracker(steel, "blue", part=oxtint.Part("6 mm"), bath="0 C")
    with pytest.raises(oxtint.OxtintValueError, match="initial_nm"):
        oxtint.Tracker(steel, "blue", initial_nm=-1.0)
    with pytest.raises(oxtint.OxtintValueError, match="emissivity"):
        oxtint.Tracker(steel, "blue", lift=oxtint.Lift(3.0, emissivity=2.0))


# Contract: nothing hangs on the film that the tracker was made with.
def test_film_may_go(steel) -> None:
    tracker = oxtint.Tracker(steel, "blue", film=oxtint.Film(coat_index=oxtint.OIL_INDEX))
    tracker.feed_all(np.arange(100.0), 590.0)
    now = tracker.read()
    oiled = oxtint.Film(coat_index=oxtint.OIL_INDEX)
    assert oxtint.delta_e2000(now.lab, oiled.lab(now.thickness_nm)) < 0.05
    assert now.label == oiled.tint(now.thickness_nm).label


def test_lifts_when_the_dip_says(steel) -> None:
    made = dict(part=oxtint.Part("8 mm"), lift=oxtint.Lift("6 s"), coupon=oxtint.Part("3 mm"),
                coupon_lift=oxtint.Lift("3 s"),
                salt_bath=oxtint.Bath("ternary", thermometer_offset_K=-4.0))
    dip = steel.dip("blue", "600 F", **made)
    tracker = oxtint.Tracker(steel, "blue", bath="600 F", **made)
    tracker.feed(0.0, "600 F")
    assert tracker.read().to_lift_s == pytest.approx(dip.time_s, rel=1e-3)


def test_a_tracker_says_how_sure_it_is(steel) -> None:
    # Contract: at the first sample a tracker knows what a prediction knows.
    dip = steel.dip("blue", "600 F", time_wander_s=3.0, confidence=0.9)
    tracker = oxtint.Tracker(steel, "blue", time_wander_s="3 s", confidence=0.9)
    assert math.isnan(tracker.read().chance) and math.isnan(tracker.read().chance_now)
    tracker.feed(0, "600 F")
    now = tracker.read()
    assert now.chance == pytest.approx(dip.chance) and now.chance_now < 1e-3
    assert now.to_lift_interval_s == pytest.approx(dip.next_interval_s)
    chances = []
    while now.to_lift_s > 0.0:
        tracker.feed(now.time_s + 0.5, "600 F")
        now = tracker.read()
        chances.append(now.chance_now)
    assert np.all(np.diff(chances) > -1e-3) and chances[-1] == pytest.approx(dip.chance, abs=0.01)
    assert {"OTHER_ORDER"} <= {caution.name for caution in now.cautions}
    with pytest.raises(oxtint.OxtintValueError, match="confidence"):
        oxtint.Tracker(steel, "blue", confidence=1.0)


def test_a_tracker_goes_on_after_a_restart(steel) -> None:
    def made(target: str = "blue") -> oxtint.Tracker:
        return oxtint.Tracker(steel, target, part="30 mm", bath="600 F", lift="3 s")

    whole, first, second = made(), made(), made()
    times, baths = np.arange(100.0), 588.0 + np.arange(100) % 3
    whole.feed_all(times, baths)
    first.feed_all(times[:50], baths[:50])
    second.resume(first.snapshot())
    assert second.read() == first.read()
    second.feed_all(times[50:], baths[50:])
    assert second.read() == whole.read()
    with pytest.raises(oxtint.OxtintValueError, match="another tracker: its aim_nm"):
        made("purple").resume(first.snapshot())
    with pytest.raises(oxtint.OxtintValueError, match="not the snapshot of a tracker"):
        second.resume("[]")
    assert second.read().sample_count == 100
