# SPDX-License-Identifier: GPL-3.0-or-later
"""The sheet for the wall: what stands on it, and how it is written."""
import datetime
import math
import re

import numpy as np
import oxtint
import pytest
from matplotlib.image import imread
from matplotlib.patches import Rectangle
from oxtint.drawing import sheet
from pictures import drawn_texts, sheet_figure, shop

BATHS = ["550 F", "600 F", "650 F"]
MANY = ["faint straw", "straw", "dark straw", "brown", "purple", "dark blue", "blue", "light blue",
        "second order blue", "57 nm"]
INCH = 200  # pixels of the figure


def texts_of(*arguments, **options) -> list[str]:
    return [text.get_text() for text in drawn_texts(sheet_figure(*arguments, **options))]


def test_table_has_the_dips() -> None:
    steel = shop()[1].steel
    texts = texts_of(BATHS, ["blue", "brown"])
    for wanted in ("blue", "brown"):
        assert wanted in texts
        for bath in BATHS:
            dip = steel.dip(wanted, bath)
            aim, first, last = map(oxtint.format_duration, (dip.time_s, dip.earliest_s, dip.latest_s))
            loose = any(caution.name == "LOOSE_FIT" for caution in dip.cautions)
            assert aim + " ?" * loose in texts and f"{first} to {last}" in texts
    assert {f"bath at {bath}" for bath in BATHS} < set(texts)
    assert {"287.8 C", "315.6 C", "343.3 C"} < set(texts)  # (F - 32) / 1.8
    assert {"Pot", "Thermometer", "Put up on"} < set(texts)
    assert any(text.endswith("for a phone: oxtint page CARD.json --save bench.html") for text in texts)
    assert "Alder 1, satin" in texts and f"oxtint {oxtint.__version__}" in " ".join(texts)


def test_what_goes_in_is_said_and_reckoned_with() -> None:
    steel, part, coupon = shop()[1].steel, oxtint.Part("6 mm"), oxtint.Part("2 mm")
    lift = oxtint.Lift("4 s")
    options = {"part": part, "lift": lift, "coupon": coupon, "salt_bath": oxtint.Bath("ternary")}
    texts = texts_of(["600 F"], ["blue"], unit="C", **options)
    assert oxtint.format_duration(steel.dip("blue", "600 F", **options).time_s) in texts
    assert "bath at 315.6 C" in texts and "600 F" in texts
    assert ("Part: 6 mm plate, 4 s to the quench; coupons of the trials: 2 mm plate; "
            "salt: KNO3/NaNO2/NaNO3 53/40/7 by weight") in texts


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize(("baths", "targets"), [(BATHS, ["blue"]), (["480 F", *BATHS[1:], "720 F"], MANY)])
def test_every_caution_is_whole(paper, baths, targets) -> None:
    steel = shop()[1].steel
    figure = sheet_figure(baths, targets, paper=paper)
    texts = drawn_texts(figure)
    running = " ".join(text.get_text() for text in texts)
    cautions = {caution for target in targets for bath in baths
                for caution in steel.dip(target, bath).cautions}
    assert len(cautions) >= 12
    whole = all(running.count(caution.text) == 1 for caution in cautions)
    sizes = {text.get_fontsize() for text in texts for one in cautions if one.brief[:12] in text.get_text()}
    assert len(sizes) == 1 and (not whole or min(sizes) >= 9.0)  # else each in short
    for caution in cautions:
        assert running.count(caution.brief) == 1, caution
    places = [[running.index(caution.brief) for caution in cautions if caution.kind == kind]
              for kind in ("forbids", "case", "bath")]
    assert max(places[0], default=-1) < min(places[1]) and max(places[1]) < min(places[2])
    margin = 0.5 * INCH
    for box in (text.get_window_extent() for text in texts):
        assert box.x0 >= margin and box.x1 <= figure.bbox.x1 - margin
        assert box.y0 >= margin and box.y1 <= figure.bbox.y1 - margin
    assert min(text.get_fontsize() for text in texts) >= 6.0


def test_times_beyond_the_trials_are_marked() -> None:
    steel = shop()[1].steel  # trials from 540 to 650 F, films from 14 to 83 nm
    within, beyond = steel.dip("blue", "600 F"), steel.dip("blue", "700 F")
    texts = texts_of(["600 F", "700 F"], ["blue", "faint straw"])
    assert oxtint.format_duration(within.time_s) in texts
    assert oxtint.format_duration(beyond.time_s) + " †?" in texts  # and less certain than the colour lasts
    assert oxtint.format_duration(steel.dip("faint straw", "600 F").time_s) + " †" in texts
    running = " ".join(texts)
    assert "10 trials, in baths from 540 F to 650 F, of films from 14 to 83 nm" in running
    assert "Times marked † lie beyond them. Times marked ? are less certain than the colour lasts." in running
    assert "†" not in " ".join(texts_of(["600 F"], ["blue"]))
    with_none = sheet_of(oxtint.starting_steel("Elm 9"))
    assert "No trial stands behind these times (marked †)." in " ".join(with_none)


def sheet_of(steel) -> list[str]:
    saved = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sheet, "save_figure", lambda figure, *_, **__: saved.append(figure))
        oxtint.shop_sheet(steel, "wall.pdf", ["600 F"])
    return [text.get_text() for text in drawn_texts(saved[0])]


@pytest.mark.parametrize(("unit", "low", "high", "round_ones"), [
    ("F", "536 F", "652 F", ["540 F", "600 F", "650 F"]), ("C", "281 C", "344 C", ["285 C", "315 C", "340 C"]),
    ("F", "540 F", "640 F", ["540 F", "590 F", "640 F"]), ("K", "551 K", "563 K", ["555 K", "560 K"]),
    ("F", "601 F", "604 F", ["600 F"])])
def test_baths_are_round(unit, low, high, round_ones) -> None:
    ends = {"bath_low_K": oxtint.parse_temperature(low), "bath_high_K": oxtint.parse_temperature(high)}
    steel = oxtint.Steel.from_values(**{**shop()[1].steel.to_dict(), **ends})
    found = oxtint.chart_sheet(steel, None, ["blue"], unit=unit).dips[0]
    assert [oxtint.format_temperature(dip.bath_K, unit) for dip in found] == round_ones


def test_a_card_without_a_trial_keeps_to_the_bath_of_its_rule() -> None:
    guess = oxtint.starting_steel("Dogwood 4")
    sheet = oxtint.chart_sheet(guess, None, ["blue"])
    assert [oxtint.format_temperature(dip.bath_K, "F") for dip in sheet.dips[0]] == ["600 F", "650 F", "700 F"]
    assert "?" in str(sheet.coverage)


def test_the_page_is_filled() -> None:
    figure = sheet_figure(None, ["blue"])
    page, ladder = figure.axes
    texts = drawn_texts(figure)
    assert {"bath at 540 F", "bath at 600 F", "bath at 650 F"} < {text.get_text() for text in texts}
    foot = min(text.get_window_extent().y1 for text in texts if "oxtint" in text.get_text())
    assert ladder.get_window_extent().y0 - foot < 0.5 * INCH
    words = [text for text in texts if text.axes is page and text.get_position()[0] > 3.0]
    assert max(text.get_fontsize() for text in words[-5:]) >= 9.0


def test_ladder_and_bar_are_of_the_film() -> None:
    film, values = oxtint.Film(finish="matte"), shop()[1].steel.to_dict()
    figure = sheet_figure(["600 F"], ["blue"], film=film)
    page, ladder = figure.axes
    edges = [0.0, *(tint.high_nm for tint in film.tints())]
    assert [label.get_text() for label in ladder.get_yticklabels()] == [f"{edge:.0f}" for edge in edges]
    ends = np.interp([values["thickness_low_nm"], values["thickness_high_nm"]], edges, range(16))
    assert list(ladder.lines[0].get_ydata()) == pytest.approx(list(ends))
    (swatch,) = (patch for patch in page.patches if isinstance(patch, Rectangle))
    np.testing.assert_allclose(swatch.get_facecolor()[:3], film.srgb(film.target("blue").aim_nm))


def test_odd_names_are_printed_as_they_are(log) -> None:
    values = shop()[1].steel.to_dict()
    name = "steel $x^2$ <b> & ü of a name as long as a card will ever hold"
    texts = sheet_of(oxtint.Steel.from_values(**{**values, "steel": name, "finish": "0.5 Ra"}))
    assert f"{name}, 0.5 Ra" in texts


@pytest.mark.parametrize("suffix", ["pdf", "svg", "png"])
def test_same_day_same_file(suffix, tmp_path, monkeypatch) -> None:
    steel, first, second = shop()[1].steel, tmp_path / f"wall.{suffix}", tmp_path / f"b/wall.{suffix}"
    second.parent.mkdir()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    for path in (first, second):
        oxtint.shop_sheet(steel, path, BATHS)
    assert first.read_bytes() == second.read_bytes()
    assert "2001-09-09" in " ".join(texts_of(BATHS))  # 10^9 s after 1970
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    with pytest.raises(oxtint.OxtintValueError, match="'yesterday', expected whole seconds"):
        oxtint.shop_sheet(steel, first, BATHS)
    assert "2024-02-29" in " ".join(texts_of(BATHS, date=datetime.date(2024, 2, 29)))


def test_page_is_of_the_paper(tmp_path) -> None:
    steel = shop()[1].steel
    for paper, points in (("A4", (595.28, 841.89)), ("letter", (612.0, 792.0))):  # 1/72 inch
        oxtint.shop_sheet(steel, tmp_path / "wall.pdf", BATHS, paper=paper)
        box = re.search(rb"/MediaBox \[ 0 0 ([0-9.]+) ([0-9.]+) \]", (tmp_path / "wall.pdf").read_bytes())
        assert tuple(map(float, box.groups())) == pytest.approx(points, abs=0.01)
    oxtint.shop_sheet(steel, tmp_path / "wall.png", BATHS)
    up, across = imread(tmp_path / "wall.png").shape[:2]
    assert (across, up) == (1653, 2338)  # 200 to the inch


def test_written_whole_or_not_at_all(tmp_path, monkeypatch) -> None:
    steel, path = shop()[1].steel, tmp_path / "wall.pdf"
    path.write_text("the old sheet", encoding="utf-8")

    def run_out(figure, place, **options) -> None:
        place.write(b"half of")
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("matplotlib.figure.Figure.savefig", run_out)
        with pytest.raises(OSError, match="No space left on device"):
            oxtint.shop_sheet(steel, path, BATHS)
    assert path.read_text(encoding="utf-8") == "the old sheet"
    assert [one.name for one in tmp_path.iterdir()] == ["wall.pdf"]
    with pytest.raises(oxtint.OxtintOSError, match="No such file"):
        oxtint.shop_sheet(steel, tmp_path / "none/wall.pdf", BATHS)


def test_bad_requests(tmp_path, monkeypatch) -> None:
    steel, path = shop()[1].steel, tmp_path / "wall.pdf"
    for options, words in (({"baths": []}, "baths are 0, expected 1 to 4"),
                           ({"baths": ["600 F"] * 5}, "baths are 5, expected 1 to 4"),
                           ({"targets": ["blue"] * 11}, "targets are 11, expected 1 to 10"),
                           ({"targets": ["mauve"]}, "mauve"), ({"baths": ["6500 F"]}, r"bath 6500 F is out of range \(212 to 1292 F\)"),
                           ({"paper": "A3"}, "'A3', expected one of 'A4', 'letter'"),
                           ({"unit": "R"}, "unit is 'R'")):
        with pytest.raises(oxtint.OxtintValueError, match=words):
            oxtint.shop_sheet(steel, path, **options)
    with pytest.raises(oxtint.OxtintValueError, match=".png, .svg or .pdf"):
        oxtint.shop_sheet(steel, tmp_path / "wall.txt")
    monkeypatch.setattr(sheet, "_SIZES_pt", (24.0,))
    with pytest.raises(oxtint.OxtintValueError, match="the cautions need .* inches in 24 points"):
        oxtint.shop_sheet(steel, path)
    assert list(tmp_path.iterdir()) == []


# A coupon of 2 mm is still cold when straw is there at 650 F: that cell alone stays empty, with a note.
def test_a_cell_without_a_time_is_left_empty(log) -> None:
    card = oxtint.fit(log, "Alder 1", "satin").steel
    told = dict(part="6 mm", lift="4 s", coupon="2 mm", coupon_lift="2 s")
    sheet = oxtint.chart_sheet(card, **told)
    assert sheet.missing_count == 1 and math.isnan(sheet.dips[0][2].time_s) and sheet.dips[0][1].time_s > 0.0
    assert "Cells marked – have no time: the coupon named" in sheet.coverage
    drawn = texts_of(None, None, **told)
    assert "–" in drawn and "nan" not in "".join(drawn)
    with pytest.raises(oxtint.OxtintValueError, match="expected a thinner coupon"):
        oxtint.chart_sheet(card, ["650 F"], ["straw"], **told)
