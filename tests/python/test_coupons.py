# SPDX-License-Identifier: GPL-3.0-or-later
"""A card knows its coupons: what predictions, pictures and the command make of it."""
import json
import math
import pickle

import matplotlib

matplotlib.use("Agg")
import numpy as np
import oxtint
import pytest
from matplotlib import pyplot
from oxtint import arrhenius, colour_chart, coupon_map, growth_curve
from oxtint.command import main

AIM_nm = oxtint.Film().target("blue").aim_nm
BATH_K = 588.7055555555556  # 600 F
SIZE_mm = 2.15  # a plate that loses 20 s to heating up


def truth() -> oxtint.Steel:
    """178 s at 600 F to the middle of blue: what the steel itself needs."""
    return oxtint.Steel.from_values(
        steel="Alder 1", k_ref_nm2_per_s=AIM_nm**2 / 178.0, T_ref_K=BATH_K, Q_J_per_mol=80e3, dof=5.0,
        bath_low_K=560.0, bath_high_K=620.0, thickness_low_nm=20.0, thickness_high_nm=90.0)


def grown_nm(part: oxtint.Part, bath: str | float, time_s: float) -> float:
    return math.sqrt(part.exposure(truth(), bath, time_s))


def log_of(*sizes_mm: float) -> oxtint.TrialLog:
    """Coupons as they came out, in three baths; the sizes, over and over."""
    log, place = oxtint.TrialLog(), 0
    for bath in ("560 F", "600 F", "640 F"):
        for time_s in (80.0, 150.0, 240.0):
            size_mm = sizes_mm[place % len(sizes_mm)]
            place += 1
            log.add("Alder 1", bath=bath, time=time_s, part=f"{size_mm} mm",
                    thickness_nm=grown_nm(oxtint.Part(f"{size_mm} mm"), bath, time_s))
    return log


@pytest.fixture(scope="module")
def steel() -> oxtint.Steel:
    return oxtint.fit(log_of(SIZE_mm)).steel


@pytest.fixture
def card(steel, tmp_path):
    steel.save(tmp_path / "card.json")
    return str(tmp_path / "card.json")


def test_the_card_has_them(steel):
    assert steel.basis == "steel" and steel.coupon_text == "2.15 mm plate"
    assert steel.coupon.text == "plate of 2.15 mm" and steel.coupon_lift is None
    assert steel.to_dict()["coupon_size_m"] == pytest.approx(2.15e-3)
    assert oxtint.Steel.from_values(**steel.to_dict()) == steel
    needed = ("steel", "k_ref_nm2_per_s", "T_ref_K", "dof", "bath_low_K", "bath_high_K", "thickness_low_nm",
              "thickness_high_nm")
    some = {name: steel.to_dict()[name] for name in needed}
    assert oxtint.Steel.from_values(**some).to_dict()["basis"] == "coupons"
    for name in needed:  # as its docstring says
        with pytest.raises(oxtint.OxtintValueError, match=name.removesuffix("_nm2_per_s")):
            oxtint.Steel.from_values(**{other: value for other, value in some.items() if other != name})
    assert pickle.loads(pickle.dumps(steel)) == steel
    plain = truth()
    assert plain.basis == "coupons" and plain.coupon is None and plain.coupon_text == "not stated"
    with pytest.raises(oxtint.OxtintValueError, match="basis is 'stone'"):
        oxtint.Steel.from_values(**{**steel.to_dict(), "basis": "stone"})


def test_a_dip_is_of_the_very_coupon(steel):
    """The steel needs 2:58 at 600 F; the coupon, which heats up first, 3:19."""
    dip = steel.dip("blue", "600 F")
    assert oxtint.format_duration(dip.time_s) == "3:19"
    assert grown_nm(oxtint.Part(f"{SIZE_mm} mm"), "600 F", dip.time_s) == pytest.approx(AIM_nm, rel=1e-3)
    assert dip.part_text == "2.15 mm plate, as the coupons" and dip.part_source == "coupon"
    assert (dip.part_size_m, dip.part_shape) == (pytest.approx(2.15e-3), "plate")
    bare = steel.dip("blue", "600 F", part=oxtint.Part(0), lift=oxtint.Lift(0))
    assert oxtint.format_duration(bare.time_s) == "2:58"
    assert bare.part_text == "at bath temperature at once" and bare.part_source == "named"
    thick = steel.dip("blue", "600 F", part=oxtint.Part("6 mm"))
    assert grown_nm(oxtint.Part("6 mm"), "600 F", thick.time_s) == pytest.approx(AIM_nm, rel=1e-3)
    assert "2.15 mm plate, as the coupons" in dip._repr_html_()
    assert dip.to_dict()["quench_nm"] == pytest.approx(AIM_nm)


def test_all_predictions_agree(steel):
    dip = steel.dip("blue", "600 F")
    assert steel.bath_for("blue", dip.time_s) == pytest.approx(BATH_K, abs=1e-6)
    best = steel.most_forgiving("blue", "590 F", "610 F")
    assert best.time_s == pytest.approx(steel.dip("blue", best.bath_K).time_s)
    assert "part: 2.15 mm plate, as the coupons" in str(steel.baths("blue"))
    plan = oxtint.plan_set([oxtint.SetPart("collar", steel, "blue")], "600 F")
    assert plan.steps[0].dip.time_s == pytest.approx(dip.time_s)
    assert "collar: blue (2.15 mm plate, as the coupons)" in plan.report()
    table = str(oxtint.dip_table(steel, ["600 F"], ["blue"]))
    assert table.startswith("Lift after (colour visible from - to); part: 2.15 mm plate, as the coupons\n")
    assert "3:19" in table
    tracker = oxtint.Tracker(steel, "blue", bath="600 F")
    tracker.feed(0.0, "600 F")
    assert tracker.read().to_lift_s == pytest.approx(dip.time_s, rel=1e-3)
    itself = oxtint.Tracker(steel, "blue", part=oxtint.Part(0), bath="600 F")
    itself.feed(0.0, "600 F")
    assert itself.read().to_lift_s == pytest.approx(178.0, rel=1e-3)


@pytest.mark.parametrize("call", ["dip", "bath_for", "most_forgiving", "baths", "tracker", "set"])
def test_a_coupon_is_refused(steel, call):
    coupon = oxtint.Part("2 mm")
    calls = {
        "dip": lambda: steel.dip("blue", "600 F", part=coupon, coupon=coupon),
        "bath_for": lambda: steel.bath_for("blue", 100.0, coupon=coupon),
        "most_forgiving": lambda: steel.most_forgiving("blue", coupon_lift=oxtint.Lift(3)),
        "baths": lambda: steel.baths("blue", coupon=coupon),
        "tracker": lambda: oxtint.Tracker(steel, "blue", bath="600 F", coupon=coupon),
        "set": lambda: oxtint.plan_set([oxtint.SetPart("collar", steel, "blue", coupon=coupon)], "600 F")}
    with pytest.raises(oxtint.OxtintValueError, match="stand for the steel itself"):
        calls[call]()


def test_equivalent_times_are_those_of_the_fit():
    log = log_of(SIZE_mm, 6.0)
    found = oxtint.fit(log)
    for row in found.rows:
        assert found.steel.equivalent_time(log[row.trial]) == pytest.approx(row.equivalent_s, rel=1e-6)
    assert found.steel.equivalent_time(log[1]) < log[1].time_s - 20.0  # 6 mm
    assert truth().equivalent_time(log[1]) == log[1].time_s


def test_the_chart_has_each_coupon_on_its_colour(steel):
    """A coupon that grew as the steel does lies on its film, whatever its size; so does the dip."""
    log = log_of(SIZE_mm, 12.0)
    dip = steel.dip("blue", "600 F")
    artists = colour_chart(steel, log, dip=dip)
    ax = artists.image.axes
    assert ax.get_ylabel() == "equivalent time at bath temperature"
    # Across, coupons may stand aside; up, each is at its time.
    _, times_s = np.asarray(artists.trials.get_offsets()).T
    films = steel.thickness([trial.bath_K for trial in log], times_s)
    np.testing.assert_allclose(films, [trial.thickness_nm for trial in log], rtol=2e-3)
    assert not artists.otherwise
    assert float(artists.dip.aim.get_ydata()[0]) == pytest.approx(178.0, rel=1e-3)
    assert "lift after 3:19" in artists.dip.label.get_text()
    assert colour_chart(truth(), log).image.axes.get_ylabel() == "time in the bath, as the coupons"
    with pytest.raises(oxtint.OxtintValueError, match="without a coupon or a film already there"):
        colour_chart(steel, dip=steel.dip("blue", "600 F", initial=30.0))
    pyplot.close("all")


def test_the_map_has_all_coupons_at_equivalent_times(steel):
    log = log_of(SIZE_mm)
    rough = oxtint.Steel.from_values(**{**steel.to_dict(), "variance_ln_k": 0.01, "scatter": 0.05,
                                        "variance_Q_J2_per_mol2": 64e6})
    drawn = coupon_map(rough, "blue", "600 F", trials=log, low="580 F", high="620 F",
                              shortest=60.0, longest=600.0)
    ax = drawn.coupons.axes
    assert ax.get_ylabel() == "equivalent time at bath temperature"
    _, times_s = np.asarray(drawn.coupons.get_offsets()).T
    for time_s, coupon in zip(times_s, drawn.advice.coupons):
        assert rough.thickness(coupon.bath_K, time_s) == pytest.approx(coupon.thickness_nm)
        assert coupon.time_s - time_s == pytest.approx(20.0, abs=3.0)
    _, times_s = np.asarray(drawn.trials.get_offsets()).T
    np.testing.assert_allclose(times_s, [rough.equivalent_time(trial) for trial in log])
    assert np.isfinite(np.ma.filled(drawn.cells.get_array(), np.nan)).any()
    pyplot.close("all")


def test_curves_follow_the_coupon(steel):
    """The curve ends at the aim at the lift; rates are of the steel at temperature."""
    curve = growth_curve(steel, "blue", "600 F")
    times_s, films_nm = curve.line.get_data()
    dip = steel.dip("blue", "600 F")
    assert np.interp(dip.time_s, times_s, films_nm) == pytest.approx(AIM_nm, rel=1e-3)
    log = log_of(SIZE_mm)
    drawn = arrhenius(oxtint.fit(log), log)
    baths, rates = drawn.line.get_data()
    assert np.interp(600.0, baths, rates) == pytest.approx(AIM_nm**2 / 178.0, rel=2e-3)
    pyplot.close("all")


def test_anchoring_reads_a_coupon_as_the_cards_own(steel):
    log = oxtint.TrialLog()
    log.add("Alder 1", bath="600 F", time=150.0,
            thickness_nm=grown_nm(oxtint.Part(f"{SIZE_mm} mm"), "600 F", 150.0))
    assert steel.anchor(log).k_ref_nm2_per_s == pytest.approx(steel.k_ref_nm2_per_s, rel=2e-3)


def test_a_lift_that_overshoots_is_out_of_reach():
    """5 s at 650 F grow more than faint straw is thick, by the starting card."""
    starting = oxtint.starting_steel("Dogwood 4")
    with pytest.raises(oxtint.OxtintValueError, match="on the way to the quench alone grow 16.6 nm, past "
                       r"faint straw \(up to 14.0 nm\): quench sooner or use a cooler bath") as raised:
        starting.dip("faint straw", "650 F", lift=oxtint.Lift("5 s"))
    assert raised.value.code == "EUNREACHABLE" and raised.value.parameter == "lift"


# ---- the command ----


def said(capsys, *words):
    status = main(list(words))
    return status, capsys.readouterr()


def test_the_command_dips_the_coupon(card, capsys):
    status, told = said(capsys, "dip", card, "--target", "blue", "--bath", "600 F")
    assert status == 0 and "lift after                               3:19" in told.out
    assert "part                                     2.15 mm plate, as the coupons" in told.out
    _, told = said(capsys, "dip", card, "--target", "blue", "--bath", "600 F", "--part", "none")
    assert "lift after                               2:58" in told.out
    status, told = said(capsys, "dip", card, "--target", "blue", "--bath", "600 F", "--part", "2 mm",
                        "--coupon", "2 mm")
    assert status == 1 and "stand for the steel itself" in told.err
    _, told = said(capsys, "card", card)
    assert "their coupons                 2.15 mm plate" in told.out
    _, told = said(capsys, "advise", card)
    assert "part: 2.15 mm plate, as the coupons" in told.out
    _, told = said(capsys, "card", card, "--json")
    assert json.loads(told.out)[0]["basis"] == "steel"


def test_the_sheet_is_of_the_coupon(steel, tmp_path):
    """The times on the wall give the colours that stand beside them, on the very coupon."""
    path = tmp_path / "wall.svg"
    with matplotlib.rc_context({"svg.fonttype": "none"}):
        oxtint.shop_sheet(steel, path, ["600 F"], ["brown", "dark blue", "blue"])
    text = path.read_text()
    assert "Part: 2.15 mm plate, as the coupons" in text
    for name in ("brown", "dark blue", "blue"):
        dip = steel.dip(name, "600 F")
        assert oxtint.format_duration(dip.time_s) in text
        grown = grown_nm(oxtint.Part(f"{SIZE_mm} mm"), "600 F", dip.time_s)
        assert oxtint.name_of(grown) == name
