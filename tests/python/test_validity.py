# SPDX-License-Identifier: GPL-3.0-or-later
"""docs/understand/validity.md: each published figure beside oxtint's, the table of sensitivity, the limits; page and pictures are fresh."""
import functools
import math

import matplotlib.style
import numpy as np
import oxtint
import pytest
from matplotlib.text import Text
from pictures import drawn_texts

import sensitivity
import validity
import validity_page
from validity import Row

HOW_TO = "run tests/python/validity_page.py, look at what it made, and say in docs/changelog.md what moved"


@functools.cache
def rows() -> dict[str, tuple[str, Row]]:
    """Section and row by key."""
    return {row.key: (section, row) for section, found in validity.sections().items() for row in found}


@pytest.mark.parametrize("key", list(validity.expected()))
def test_what_oxtint_gives_beside_what_was_published(key) -> None:
    # The source of each is in tests/data/validity_*.csv and on the page.
    section, row = rows()[key]
    assert row.value == pytest.approx(validity.expected()[key], rel=validity.TOLERANCE[section]), row.stated


def test_nothing_is_expected_that_is_not_a_row() -> None:
    assert list(validity.expected()) == list(rows())
    assert sum(len(found) for found in validity.sections().values()) == len(rows())


def test_every_miss_says_why() -> None:
    missed = [row for _, row in rows().values() if row.misses]
    assert len(missed) > 30
    assert not [row.key for row in missed if not row.why]
    assert not set(validity.WHY) - set(rows())


@pytest.mark.parametrize("name", ["rates", "Q", "thickness", "temper_colours", "other"])
def test_every_figure_has_a_source_and_says_how_much_of_it_was_read(name) -> None:
    for row in validity.table(name):
        assert row["source"]
        assert row["seen"] in ("read", "memory", "computed")
        if name != "temper_colours":
            assert bool(row["extent"]) == (row["seen"] == "read"), row


# ---- the arithmetic of the published side, against figures worked out elsewhere ----

def law(key: str) -> tuple[float, float]:
    return validity.published_rate(next(row for row in validity.table("rates") if row["key"] == key))


@pytest.mark.parametrize(("key", "k"), [("surman-350", 7.29), ("surman-400", 44.1), ("surman-500", 802.0)])
def test_a_law_in_grams_of_oxygen_for_square_metres(key, k) -> None:
    # P. L. Surman, Corros. Sci. 13 (1973) 825, its law evaluated by hand as magnetite with W2 = k t.
    assert law(key) == (pytest.approx(k, rel=2e-3), pytest.approx(2.0 * k, rel=2e-3))


@pytest.mark.parametrize(("key", "k"), [("stanley-500", 8513.0), ("stanley-300", 4.732)])
def test_a_law_in_grams_of_oxygen_for_square_centimetres(key, k) -> None:
    # Stanley, von Hoene and Huntoon (1950), evaluated by hand; 1 ug/cm2 of oxygen is 7.00 nm of magnetite.
    assert law(key)[0] == pytest.approx(k, rel=1e-3)
    assert validity.NM_PER_G_PER_CM2 * 1e-6 == pytest.approx(6.998, rel=1e-4)


def test_rates_from_metal_loss_and_from_mass() -> None:
    # Goods and Bradshaw (2004): 1 to 4 um of metal a year for 7000 h; magnetite is 2.1 times as thick as the metal that it ate.
    for um_a_year, k in zip((1.0, 4.0), law("goods-316")):
        x_nm = 2.1 * 1e3 * um_a_year * 7000.0 / 8766.0
        assert x_nm ** 2 / (7000.0 * 3600.0) == pytest.approx(k, rel=0.01)
    # J. Mater. Energy Systems 1 (1980) 59: 10 mg/cm2 in a month of 30.44 days.
    x_nm = 10e-3 * validity.NM_PER_G_PER_CM2
    assert x_nm ** 2 / (30.44 * 86400.0) == pytest.approx(law("jmes-550")[0], rel=1e-3)


def test_a_colour_and_a_time_are_a_rate() -> None:
    # Rapatz: cornflower blue after 45 min; the bands of docs/reference/tint.md end at 52.1 and 63.3 nm.
    low, high = law("air-230-45")
    assert low == pytest.approx(52.1 ** 2 / 2700.0, rel=2e-3)
    assert high == pytest.approx(63.3 ** 2 / 2700.0, rel=2e-3)


def test_a_law_is_not_to_be_extrapolated() -> None:
    # The law of 500 to 900 C at 230 C: 23 times too slow by the 72 nm of the older scale, worked out by hand.
    optical, older = validity.extrapolated()
    assert older == pytest.approx(22.8, rel=0.01)
    assert 10.0 < optical < older
    hot = oxtint.Steel.from_values(steel="Birch 2", k_ref_nm2_per_s=8513.0, T_ref_K=773.15, Q_J_per_mol=138070.0, dof=10.0,
                                   bath_low_K=773.15, bath_high_K=843.0, thickness_low_nm=20.0, thickness_high_nm=80.0)
    assert "EXTRAPOLATED_BATH" in validity_page.names(hot.dip("blue", "230 C").cautions)


def test_the_prior_is_the_one_of_its_page() -> None:
    # docs/reference/prior.md: 71 +- 20 kJ/mol; blue of 57.4 nm in a minute at 650 F within a factor of 2.
    assert validity.rate((650.0 - 32.0) / 1.8) == pytest.approx(57.43 ** 2 / 60.0, rel=1e-3)
    assert validity.doubt((650.0 - 32.0) / 1.8) == pytest.approx(math.log(2.0), rel=1e-6)
    # 100 K below, Q adds 20,000 / 8.314 (1/516.48 - 1/616.48) = 0.7555.
    assert validity.doubt(616.483 - 100.0 - 273.15) == pytest.approx(math.hypot(math.log(2.0), 0.7555), rel=1e-3)


@pytest.mark.parametrize(("low", "high", "verdict"), [
    (-1.0, 0.1, "agrees"), (0.5, 0.9, "agrees"), (1.5, 3.0, "within the prior's 95 %"), (-3.0, -1.9, "within the prior's 95 %"),
    (2.0, 3.0, "misses: 7.4 times too fast"), (-9.0, -2.5, "misses: 12 times too slow")])
def test_verdicts_of_rates(low, high, verdict) -> None:
    assert validity.judge(low, high, 1.0) == verdict


@pytest.mark.parametrize(("low", "high", "verdict"), [
    (60.0, 60.0, "agrees"), (91.5, 100.0, "within the prior's 95 %"), (121.0, 130.0, "misses: 2.5 standard errors"),
    (11.0, 21.0, "misses: 2.5 standard errors"), (20.0, 200.0, "agrees")])
def test_verdicts_of_Q(low, high, verdict) -> None:
    assert validity.judge_Q(low, high) == verdict


def test_two_colours_have_a_Q() -> None:
    # Blue after 45 min at 230 C and after 3 min at 293 C: R ln 15 / (1/503.15 - 1/566.15) = 101.8 kJ/mol.
    Q, error = validity.two_point_Q(("blue", 230.0, 2700.0), ("blue", 293.0, 180.0))
    assert Q == pytest.approx(101.8, rel=1e-3)
    # Each band is ln(63.3/52.1) wide, and its square counts: 2 x 0.1947 / sqrt(12) twice, by 37.6 kJ/mol a unit.
    assert error == pytest.approx(37.59 * math.sqrt(2.0) * 2.0 * 0.19446 / math.sqrt(12.0), rel=2e-3)


def test_what_the_page_says_in_short_holds() -> None:
    found, short = validity.sections(), validity_page.conclusions()
    assert short["in_order"] > 0.97 * short["pairs"] > 400.0
    assert all(row.value > 0.85 for row in found["order"])
    # Melts and thin films agree with the prior, iron in gas has about twice its Q.
    by_key = {row.key: row for row in found["Q"]}
    assert all(by_key[key].verdict == "agrees" for key in ("melt-mild", "melt-iron", "thin-film"))
    assert all(0.45 < by_key[key].value < 0.6 for key in ("surman", "graham", "stanley"))
    assert 60.0 < short["Q_colours"] < 91.0
    # The prior's rate is mostly too fast.
    cold = [row.value for row in found["rates"] if not row.key.endswith(("500", "550"))]
    assert sum(value > 1.0 for value in cold) > 0.8 * len(cold)
    # Hardness and heat: mostly within a fifth, within a third at worst, but for one.
    ratios = {row.key: float(row.ratio) for name in ("temper", "heat") for row in found[name]}
    assert ratios.pop("temper-rate") < 0.5
    assert all(1.0 / 1.34 < ratio < 1.34 for ratio in ratios.values())
    assert sum(0.8 < ratio < 1.2 for ratio in ratios.values()) > 0.8 * len(ratios)


# ---- sensitivity ----

def change(words: str) -> sensitivity.Change:
    return next(one for one in sensitivity.changes() if words in one.assumption)


def test_an_old_error_of_the_thermometer_cancels_and_a_new_one_does_not() -> None:
    # 3 K at 588.7 K make k faster by Q 3 / (R T T'), with the Q of the card.
    bath_K = (600.0 + 459.67) / 1.8
    faster = sensitivity.usual().Q_J_per_mol / validity.R * (1.0 / bath_K - 1.0 / (bath_K + 3.0))
    assert change("salt 3 K hotter").dip_only == pytest.approx(math.exp(-faster) - 1.0, abs=1e-6)
    assert abs(change("salt 3 K hotter").alike) < 1e-3


def test_a_film_that_is_there_saves_its_share() -> None:
    # x2 = x0^2 + k t: the time is shorter by (x0 / x)^2.
    aim = sensitivity.usual_film().target("blue").aim_nm
    for initial_nm in (2.0, 4.0, 6.0):
        assert change(f"a film of {initial_nm:.0f} nm").dip_only == pytest.approx(-(initial_nm / aim) ** 2, rel=1e-6)


def test_another_aim_alone_goes_as_the_square_of_the_film() -> None:
    aim = sensitivity.usual_film().target("blue").aim_nm
    for words, film, _ in sensitivity.films():
        assert change(words).dip_only == pytest.approx((film.target("blue").aim_nm / aim) ** 2 - 1.0, rel=1e-6), words


def test_heat_matters_where_part_and_coupon_differ() -> None:
    halved, doubled = change("coefficient halved"), change("coefficient doubled")
    assert halved.dip_only > halved.alike > 0.05
    assert doubled.dip_only < doubled.alike < -0.05
    assert change("specific heat").dip_only > change("specific heat").alike > 0.0
    # a thin part: its surface leads its mean by a third of the Biot number, 0.04, of the gap
    assert -1e-3 < change("conductivity").dip_only <= change("conductivity").alike < 0.0
    # By hand for a plate of Bi < 0.1: what heating up costs goes as rho c d / (2 h), and h halved adds it once more.
    lag = -change("heating up left out").dip_only
    assert 0.15 < lag < 0.45


def test_laws_agree_near_the_coupons() -> None:
    # docs/reference/laws.md: near the middle of the trials the laws agree; blue is at the thick end of these.
    for name in ("the power law", "the linear-parabolic law", "the logarithmic law"):
        assert abs(change(name).alike) < 0.1
    laws = sensitivity.usual().laws()
    bath_K = (600.0 + 459.67) / 1.8
    parabolic = sensitivity.law_time(laws["parabolic"], 57.0, bath_K, laws.T_ref_K)
    assert parabolic == pytest.approx(sensitivity.usual().steel.time_for(57.0, bath_K), rel=0.02)


def test_what_the_page_says_of_the_table_holds() -> None:
    for words in ("finish mirror", "finish matte", "a film of 2 nm", "a film of 4 nm", "a film of 6 nm"):
        assert abs(change(words).alike) < 0.05, words  # cancels, all but a few percent
    assert change("absorption").alike > 0.2
    for words in ("lamplight", "observer of 10", "under oil"):
        assert 0.05 < abs(change(words).alike) < 0.15, words  # a tenth or so


def test_the_usual_card_is_that_of_the_demo() -> None:
    log = oxtint.read_trials(validity.ROOT / "examples/demo/trials.csv")
    demo = oxtint.fit(log, "Alder 1", "satin", film=oxtint.Film(finish="satin"))
    assert sensitivity.usual().k_ref_nm2_per_s == pytest.approx(demo.k_ref_nm2_per_s, rel=1e-9)
    assert sensitivity.usual_s() == demo.steel.dip("blue", "600 F", film=oxtint.Film(finish="satin")).time_s


# ---- limits ----

@pytest.mark.parametrize(("limit", "caution"), [pytest.param(limit, caution, id=f"{limit.outside}-{caution}")
                                                for limit in validity_page.LIMITS for caution in limit.cautions])
def test_a_limit_is_warned_of_where_the_page_says(limit, caution) -> None:
    assert caution in limit.cautions[caution]()
    assert validity_page.places(caution), f"no file of lib raises {caution}"


def test_a_usual_dip_carries_no_warning_of_what_is_outside() -> None:
    always = {"OTHER_ORDER", "AT_TEMPERATURE", "SOFTENS"}
    warned = {caution for limit in validity_page.LIMITS for caution in limit.cautions} - always
    assert len(warned) >= 12
    assert not warned & (validity_page.plain() - {"FREEZING"})


def test_a_limit_without_a_warning_says_so_on_the_page() -> None:
    silent = [limit for limit in validity_page.LIMITS if not limit.cautions]
    assert len(silent) >= 5
    for limit in silent:
        assert "| nothing warns |" in validity_page.limit_row(limit)


# ---- page and pictures ----

def test_the_page_is_fresh() -> None:
    assert validity_page.PAGE.read_text(encoding="utf-8") == validity_page.page(), HOW_TO


def test_prose_fits_on_lines() -> None:
    for line in validity_page.page().splitlines():
        assert len(line) <= 100 or line[0] in "|!<", line


@pytest.mark.parametrize("name", list(validity_page.DRAWN))
def test_a_picture_shows_what_the_tests_find(name) -> None:
    with matplotlib.style.context("default"):
        drawn = validity_page.drawn_data(validity_page.DRAWN[name]())
    saved = validity_page.saved_data(name)
    assert len(drawn) == len(saved) > 10, HOW_TO
    for now, then in zip(drawn, saved):
        np.testing.assert_allclose(now, then, rtol=1e-4, atol=1e-6, err_msg=HOW_TO)


@pytest.mark.parametrize("name", list(validity_page.DRAWN))
def test_no_words_of_a_picture_are_cut_off_or_on_each_other(name) -> None:
    with matplotlib.style.context("default"):
        figure = validity_page.DRAWN[name]()
        texts = drawn_texts(figure)
    boxes = [Text.get_window_extent(text) for text in texts]
    for text, box in zip(texts, boxes):
        assert box.x0 >= 0.0 and box.y0 >= 0.0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, text
    for one, (text, box) in enumerate(zip(texts, boxes)):
        for other, second in zip(texts[one + 1:], boxes[one + 1:]):
            if not (text.get_rotation() or other.get_rotation()):
                assert not box.shrunk(0.95, 0.9).overlaps(second.shrunk(0.95, 0.9)), (text, other)


def test_a_row_that_misses_is_seen(monkeypatch) -> None:
    row = Row("x", "source", "stated", "gives", 2.0, "2.0", "misses: 2.0 times too fast")
    monkeypatch.setitem(validity.WHY, "x", "reason")
    assert "| **misses: 2.0 times too fast** | reason |" in validity_page.table_of([row])
