# SPDX-License-Identifier: GPL-3.0-or-later
"""The SVG that C draws: well-formed, readable, and the same picture as matplotlib's."""
import datetime
import io
import itertools
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

import numpy as np
import oxtint
import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.image import imread
from matplotlib.textpath import text_to_path
from pictures import ROOT, shop

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"
ZOOM = 2.0  # pixels to a point
BATHS = ["550 F", "600 F", "650 F"]


def chart(**options) -> str:
    log, fit = shop()
    return oxtint.chart_svg(fit.steel, log, dip=fit.steel.dip("blue", "600 F"), **options)


def sheet(*arguments, **options) -> str:
    return oxtint.chart_sheet_svg(shop()[1].steel, *arguments, date=datetime.date(2026, 3, 5), **options)


def texts_of(svg: str) -> list[str]:
    return [element.text for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def pixels(svg: str) -> np.ndarray:
    """The picture as librsvg draws it, rows from above."""
    data = subprocess.run(["rsvg-convert", "--width", str(round(ZOOM * view(svg)[0])), "--keep-aspect-ratio"],
                          input=svg.encode(), capture_output=True, check=True).stdout
    return imread(io.BytesIO(data))[:, :, :3]


def view(svg: str) -> tuple[float, float]:
    _, _, across, down = map(float, ElementTree.fromstring(svg).get("viewBox").split())
    return across, down


def frame(svg: str) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the chart, points."""
    clip = ElementTree.fromstring(svg).find(f".//{SVG}clipPath/{SVG}rect")
    left, top, across, down = (float(clip.get(name)) for name in ("x", "y", "width", "height"))
    return left, top, left + across, top + down


def places(svg: str, data, baths_K, times_s) -> tuple[np.ndarray, np.ndarray]:
    """Where baths and times are, in points."""
    left, top, right, bottom = frame(svg)
    (cold, hot), (first, last) = data.bath_range_K, data.time_range_s
    across = left + (right - left) * (np.asarray(baths_K) - cold) / (hot - cold)
    return across, bottom - (bottom - top) * np.log(np.asarray(times_s) / first) / np.log(last / first)


# ---- what it is ----


@pytest.mark.parametrize("svg", [chart(), chart(unit="C"), sheet(BATHS), sheet(BATHS, paper="letter")])
def test_it_is_svg_with_a_title(svg) -> None:
    root = ElementTree.fromstring(svg)
    assert root.tag == f"{SVG}svg" and root.get("version") == "1.1"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert "Alder 1, satin" in root[0].text and len(root[1].text) > 50
    assert all(reference.startswith("#") for element in root.iter() if (reference := element.get(HREF)))
    subprocess.run(["xmllint", "--noout", "-"], input=svg.encode(), check=True)


def test_it_fits_on_paper() -> None:
    sizes = {name: (ElementTree.fromstring(svg).get("width"), ElementTree.fromstring(svg).get("height"))
             for name, svg in (("chart", chart()), ("A4", sheet()), ("letter", sheet(paper="letter")))}
    assert sizes["A4"] == ("210.00mm", "297.00mm") and sizes["letter"] == ("215.90mm", "279.40mm")
    assert [float(size[:-2]) for size in sizes["chart"]] < [279.4, 210.0]  # Letter and A4, across


def test_odd_names_come_out_right() -> None:
    values = shop()[1].steel.to_dict()
    steel = oxtint.Steel.from_values(**{**values, "steel": "A<b>&\"'ü]]>", "origin": "<!-- & -->"})
    for svg in (oxtint.chart_svg(steel), oxtint.chart_sheet_svg(steel)):
        assert "A<b>&\"'ü]]>, satin" in texts_of(svg)
        assert "A<b>&\"'ü]]>, satin" in ElementTree.fromstring(svg)[0].text
    assert any("card: <!-- & -->" in text for text in texts_of(oxtint.chart_sheet_svg(steel)))


@pytest.mark.parametrize("svg", [chart(), sheet(["480 F", *BATHS], ["straw", "second order blue", "57 nm"]),
                                 sheet(paper="letter")])
def test_no_words_are_cut_off_or_on_each_other(svg) -> None:
    across, down = view(svg)
    boxes = []
    for element in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        size, bold = float(element.get("font-size")), element.get("font-weight") == "bold"
        x, y = float(element.get("x")), float(element.get("y"))
        if x == 0.0:  # turned
            continue
        font = FontProperties(family="DejaVu Sans", size=size, weight="bold" if bold else "normal")
        width, _, _ = text_to_path.get_text_width_height_descent(element.text, font, False)
        x -= {"middle": 0.5 * width, "end": width}.get(element.get("text-anchor"), 0.0)
        boxes.append((element.text, x, y - 0.75 * size, x + width, y))
    for name, left, top, right, bottom in boxes:
        assert left >= 10.0 and right <= across - 5.0 and top >= 5.0 and bottom <= down - 5.0, name
    for one, other in itertools.combinations(boxes, 2):
        wide = min(one[3], other[3]) - max(one[1], other[1])
        high = min(one[4], other[4]) - max(one[2], other[2])
        assert wide <= 1.0 or high <= 1.0, (one[0], other[0])


# ---- the same picture ----


def test_colours_are_those_of_the_steel() -> None:
    log, fit = shop()
    svg = oxtint.chart_svg(fit.steel)  # without marks
    data = oxtint.chart_data(fit.steel)
    drawn, film = pixels(svg), oxtint.Film()
    rng = np.random.default_rng(7)
    baths_K = rng.uniform(data.bath_range_K[0] + 1.0, data.bath_range_K[1] - 1.0, 400)
    times_s = np.exp(rng.uniform(*(np.log(data.time_range_s) + (0.02, -0.02)), 400))
    x, y = places(svg, data, baths_K, times_s)
    found = drawn[(ZOOM * y).astype(int), (ZOOM * x).astype(int)]
    wrong = np.abs(found - film.srgb(fit.steel.thickness(baths_K, times_s))).max(axis=1)
    # a grid line or an edge may lie there; a pixel covers up to 0.4 nm, and purple changes by 0.01 in one
    assert np.quantile(wrong, 0.85) < 0.02 and np.median(wrong) < 0.006


def test_it_is_the_picture_of_matplotlib() -> None:
    """Colours at the same baths and times; one has 241 points across and up, the other contours."""
    from matplotlib import pyplot

    log, fit = shop()
    dip = fit.steel.dip("blue", "600 F")
    svg, data = chart(), oxtint.chart_data(fit.steel, log, dip=dip)
    drawn = pixels(svg)
    artists = oxtint.colour_chart(fit.steel, log, dip=dip)
    figure, ax = artists.figure, artists.image.axes
    figure.set_dpi(200)
    figure.canvas.draw()
    theirs = np.asarray(figure.canvas.buffer_rgba())[:, :, :3] / 255.0
    baths_F, times_s = (mesh.ravel() for mesh in np.meshgrid(np.linspace(515.0, 675.0, 40), np.geomspace(6.5, 300.0, 40)))
    x, y = places(svg, data, (baths_F + 459.67) / 1.8, times_s)
    ours = drawn[(ZOOM * y).astype(int), (ZOOM * x).astype(int)]
    at = ax.transData.transform(np.column_stack([baths_F, times_s])).astype(int)
    wrong = np.abs(ours - theirs[theirs.shape[0] - 1 - at[:, 1], at[:, 0]]).max(axis=1)
    pyplot.close(figure)
    assert np.median(wrong) < 0.01 and np.mean(wrong > 0.05) < 0.12  # lines, marks and the label


@pytest.mark.parametrize("law, shape", [("parabolic", 0.0), ("power", 3.0), ("linear-parabolic", 40.0),
                                        ("logarithmic", 20.0)])
def test_edges_are_where_a_film_is_reached(law: str, shape: float) -> None:
    steel = oxtint.fit(shop()[0], "Alder 1", "satin", law=law, law_shape=shape).steel
    svg = oxtint.chart_svg(steel)
    data, root = oxtint.chart_data(steel), ElementTree.fromstring(svg)
    numbers = list(map(float, root.find(f".//{SVG}path[@id='curve']").get("d")[1:].split()))
    across, down = np.array(numbers[::2]), np.array(numbers[1::2])
    baths_K = np.linspace(*data.bath_range_K, across.size)
    shifts = [float(use.get("y")) for use in root.find(f".//{SVG}g[@id='edges']")]
    edges = [tint.high_nm for tint in oxtint.Film().tints()]
    assert len(shifts) == len(edges) == 15
    for shift, edge in zip(shifts, edges):
        x, y = places(svg, data, baths_K, steel.time_for(edge, baths_K))
        np.testing.assert_allclose(across, x, atol=0.01)
        np.testing.assert_allclose(down + shift, y, atol=0.03)


def test_marks_and_dip_are_in_their_places() -> None:
    log, fit = shop()
    svg, dip = chart(), fit.steel.dip("blue", "600 F")
    data, root = oxtint.chart_data(fit.steel, log, dip=dip), ElementTree.fromstring(svg)
    circles = root.findall(f".//{SVG}g[@id='coupons']/{SVG}circle")[1::2]
    assert len(circles) == len(data.marks) == 10
    for circle, mark in zip(circles, data.marks):
        x, y = places(svg, data, mark.bath_K, mark.equivalent_s)
        assert abs(float(circle.get("cx")) - x) < 0.01 and abs(float(circle.get("cy")) - y) < 0.01
        assert circle.get("fill") == "#" + "".join(f"{round(255 * value):02x}" for value in mark.srgb)
    drawn = pixels(svg)
    for time_s, black in ((data.window_s[1], True), (np.sqrt(data.window_s[0] * data.window_s[1]), True)):
        x, y = places(svg, data, dip.bath_K, time_s)
        assert drawn[int(ZOOM * y), int(ZOOM * x)].max() < 0.1
    label = [text for text in texts_of(svg) if text.startswith("lift after")]
    assert label == [f"lift after {oxtint.format_duration(dip.time_s)}"]


def test_coupons_in_one_place_stand_side_by_side() -> None:
    steel, log = shop()[1].steel, oxtint.TrialLog()
    for colour in ("straw", "straw", "brown", "blue"):
        log.add("Alder 1", finish="satin", bath="600 F", time="1:33", colour=colour)
    svg = oxtint.chart_svg(steel, log, time_range=(10.0, 400.0))
    circles = ElementTree.fromstring(svg).findall(f".//{SVG}g[@id='coupons']/{SVG}circle")[1::2]
    across = sorted(float(circle.get("cx")) for circle in circles)
    assert min(np.diff(across)) > 11.0 and len({circle.get("cy") for circle in circles}) == 1
    assert "3 coupons: straw, brown" in texts_of(svg)  # the fourth was seen as the chart has it


def test_units_are_the_callers_choice() -> None:
    for unit, label, tick in (("F", "bath temperature (°F)", "600"), ("C", "bath temperature (°C)", "320"),
                              ("K", "bath temperature (K)", "580")):
        texts = texts_of(chart(unit=unit))
        assert label in texts and tick in texts
    assert "blue at 315.6 C" in texts_of(chart(unit="C"))
    with pytest.raises(oxtint.OxtintValueError, match="unit is 'R'"):
        chart(unit="R")


# ---- the sheet ----


def test_sheet_has_the_dips_and_every_caution() -> None:
    steel = shop()[1].steel
    svg = sheet(BATHS, ["blue", "brown"], part=oxtint.Part("6 mm"), lift=oxtint.Lift("4 s"))
    texts, data = texts_of(svg), oxtint.chart_sheet(steel, BATHS, ["blue", "brown"], part=oxtint.Part("6 mm"),
                                                    lift=oxtint.Lift("4 s"))
    for row in data.dips:
        assert row[0].target.text in texts
        for dip in row:
            aim, first, last = map(oxtint.format_duration, (dip.time_s, dip.earliest_s, dip.latest_s))
            loose = any(caution.name == "LOOSE_FIT" for caution in dip.cautions)
            assert aim + " ?" * loose in texts and f"{first} to {last}" in texts
    running = " ".join(texts)
    for caution in data.cautions:
        assert running.count(caution.brief) == 1 and caution.text not in running  # whole they have no room in 9 points
    assert data.path_text in texts and data.film_text in texts and data.coverage in running
    assert {"bath at 550 F", "287.8 C", "Pot", "Thermometer", "Put up on"} < set(texts)
    assert f"2026-03-05, oxtint {oxtint.__version__}" in running


def test_sheet_is_the_picture_of_matplotlib(tmp_path) -> None:
    """The swatches and the ladder, which stand in the same places."""
    steel = shop()[1].steel
    ours = pixels(sheet(BATHS))
    oxtint.shop_sheet(steel, tmp_path / "wall.png", BATHS)
    theirs = imread(tmp_path / "wall.png")[:, :, :3]
    inch = (72.0 * ZOOM, 200.0)
    film = oxtint.Film()
    for row, name in enumerate(("straw", "brown", "purple", "dark blue", "blue", "light blue")):
        at = 0.6 + 0.2, 1.2 + 0.34 + 0.1 + 0.55 + 0.3 + 0.2 + 0.4 * row  # the middle of the swatch, inches
        for drawn, per_inch in zip((ours, theirs), inch):
            found = drawn[int(at[1] * per_inch), int(at[0] * per_inch)]
            np.testing.assert_allclose(found, film.srgb(film.target(name).aim_nm), atol=0.005)
    top, bottom = 4.97 + 0.2, 297.0 / 25.4 - 0.6 - 0.35 - 0.05
    for down in np.linspace(top, bottom, 60):
        one, other = (drawn[int(down * per), int((0.6 + 0.55 + 0.3) * per)] for drawn, per in zip((ours, theirs), inch))
        if max(one.min(), other.min()) > 0.85:  # a rung's white line
            continue
        np.testing.assert_allclose(one, other, atol=0.06)


def test_sheet_marks_times_beyond_the_trials() -> None:
    texts = texts_of(sheet(["600 F", "700 F"], ["blue"]))
    assert sum(text.endswith(" †?") for text in texts) == 1 and "Times marked † lie beyond them." in " ".join(texts)
    assert not any("†" in text for text in texts_of(sheet(["600 F"], ["blue"])))


def test_the_picture_of_the_readme_is_fresh() -> None:
    """docs/static/chart.svg: what chart_svg() gives for the demo shop."""
    kept, now = (ROOT / "docs/static/chart.svg").read_text(encoding="utf-8"), chart()
    number = r"-?\d+\.\d+"
    assert re.split(number, kept) == re.split(number, now)
    np.testing.assert_allclose(*([float(one) for one in re.findall(number, text)] for text in (kept, now)), atol=0.02)


def test_shop_sheet_and_the_command_write_it(tmp_path) -> None:
    steel = shop()[1].steel
    oxtint.shop_sheet(steel, tmp_path / "wall.svg", BATHS, date=datetime.date(2026, 3, 5))
    assert (tmp_path / "wall.svg").read_text(encoding="utf-8") == sheet(BATHS)
    steel.save(tmp_path / "card.json")
    for arguments in (["chart", "card.json", "--save", "chart.svg"], ["sheet", "card.json", "--save", "wall2.svg"]):
        subprocess.run([sys.executable, "-c",  # as where there is no matplotlib
                        "import sys; sys.modules['matplotlib'] = None\n"
                        "from oxtint.command import main; sys.exit(main(sys.argv[1:]))", *arguments],
                       cwd=tmp_path, check=True, capture_output=True)
    assert (tmp_path / "chart.svg").read_text(encoding="utf-8") == oxtint.chart_svg(steel)
    assert ElementTree.fromstring((tmp_path / "wall2.svg").read_text(encoding="utf-8")) is not None
