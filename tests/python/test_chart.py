# SPDX-License-Identifier: GPL-3.0-or-later
"""The colour chart, by what it draws."""
import matplotlib

matplotlib.use("Agg")

import numpy as np
import oxtint
import pytest
from matplotlib import pyplot
from matplotlib.collections import LineCollection
from matplotlib.text import Text
from oxtint import colour_chart, colour_strip, spectrum


@pytest.fixture(autouse=True)
def _close_figures():
    yield
    pyplot.close("all")


def test_background_is_the_film_colour(steel, log) -> None:
    artists = colour_chart(steel, log, bath_range=(550.0, 640.0), time_range=(10.0, 400.0), unit="K")
    colours = artists.image.to_rgba(np.asarray(artists.image.get_array())).reshape(241, 241, 4)[..., :3]
    # At one corner and the middle: the colour of the film that grows there.
    for i, j in ((0, 0), (120, 120), (200, 40)):
        bath = np.linspace(550.0, 640.0, 241)[j]
        time = np.geomspace(10.0, 400.0, 241)[i]
        np.testing.assert_allclose(colours[i, j], oxtint.film_srgb(steel.thickness(bath, time)),
                                   atol=5e-3)  # one of 2048 steps of the colours


def test_marks_are_this_steels_trials(steel, log) -> None:
    artists = colour_chart(steel, log, unit="F")
    marks = artists.trials.get_offsets()
    mine = [trial for trial in log if (trial.steel, trial.finish) == ("Alder 1", "satin")]
    np.testing.assert_allclose(marks[:, 0], [trial.bath_K * 1.8 - 459.67 for trial in mine])
    np.testing.assert_allclose(marks[:, 1], [trial.time_s for trial in mine])
    blue = next(i for i, trial in enumerate(mine) if trial.colour == "dark blue")
    centre = oxtint.Film().find_tint("dark blue").centre_nm
    np.testing.assert_allclose(artists.trials.get_facecolors()[blue][:3],
                               oxtint.film_srgb(centre), atol=1e-9)


def test_dip_is_marked_with_its_window(steel, log) -> None:
    dip = steel.dip("blue", "700 F")
    artists = colour_chart(steel, log, dip=dip, unit="F")
    across, times = artists.dip.window.get_data()
    assert list(across) == pytest.approx([700.0, 700.0])
    assert list(times) == [dip.earliest_s, dip.latest_s]
    assert artists.dip.aim.get_xydata()[0] == pytest.approx((700.0, dip.time_s))
    written = artists.dip.label.get_text()
    for words in ("blue at 700 F", "lift after " + oxtint.format_duration(dip.time_s),
                  " to " + oxtint.format_duration(dip.latest_s)):
        assert words in written
    # The hottest trial is at 650 F: the chart reaches as far as the dip.
    left, right = artists.image.axes.get_xlim()
    assert left < 540.0 and right > 700.0
    colours = artists.image.to_rgba(np.asarray(artists.image.get_array())).reshape(241, 241, 4)[..., :3]
    bath, time = np.linspace(left, right, 241), np.geomspace(*artists.image.axes.get_ylim(), 241)
    under = colours[np.abs(time - dip.time_s).argmin(), np.abs(bath - 700.0).argmin()]
    np.testing.assert_allclose(under, oxtint.film_srgb(dip.target.aim_nm), atol=0.03)


def test_dip_of_another_road_or_steel_is_refused(steel, log) -> None:
    other = oxtint.fit(log, "Birch 2").steel
    for dip in (other.dip("blue", "600 F"),
                steel.dip("blue", "600 F", initial="straw")):
        with pytest.raises(oxtint.OxtintValueError, match="expected the same: a dip of this steel"):
            colour_chart(steel, dip=dip)


def test_trials_seen_otherwise_are_named(steel, log) -> None:
    # At 600 F blue comes at 1:33 and straw at 9.4 s, by the fit itself.
    logged = oxtint.TrialLog()
    for time, seen in (("1:33", {"colour": "blue"}), ("1:34", {"colour": "straw"}),
                       ("9.4 s", {"lab": oxtint.film_lab(40.0)}), ("10 s", {"srgb": "#ff0000"}),
                       ("20 s", {"thickness_nm": 900.0})):
        logged.add("Alder 1", finish="satin", bath="600 F", time=time, **seen)
    artists = colour_chart(steel, logged)
    assert [name.get_text() for name in artists.otherwise] == ["straw", "purple"]
    assert artists.otherwise[0].xy == pytest.approx(tuple(artists.trials.get_offsets()[1]))
    assert artists.otherwise[0].xy[1] == 94.0 and abs(artists.otherwise[0].xy[0] - 600.0) < 6.0
    assert colour_chart(steel, log).otherwise == []  # the demo's are where the fit has them


def box_of(text) -> object:
    """Where a text stands, in pixels; what leads from an annotation to its mark is no part of it."""
    return Text.get_window_extent(text)


def test_many_coupons_in_one_place_keep_their_names_and_marks(steel) -> None:
    logged = oxtint.TrialLog()
    for place in range(5):
        for seen in ("straw", "purple", "straw"):
            logged.add("Alder 1", finish="satin", bath=f"{590 + 5 * place} F", time=100.0, colour=seen)
    drawn = colour_chart(steel, logged, dip=steel.dip("blue", "600 F"))
    drawn.image.figure.canvas.draw()
    assert [name.get_text() for name in drawn.otherwise] == 5 * ["3 coupons: straw, purple"]
    boxes = [box_of(label) for label in (*drawn.otherwise, drawn.dip.label)]
    ax = drawn.image.axes
    marks = ax.transData.transform(drawn.trials.get_offsets())
    for number, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[number + 1:])
        assert not any(box.padded(5.0).contains(*mark) for mark in marks)
        assert ax.bbox.x0 <= box.x0 and box.x1 <= ax.bbox.x1 and ax.bbox.y0 <= box.y0


@pytest.mark.parametrize("size", [(8.0, 5.5), (5.0, 4.0)])
def test_a_long_name_is_set_smaller_not_cut_off(steel, size) -> None:
    name = "a bar whose name is as long as a card will hold, number 7 of 26"
    long = oxtint.Steel.from_values(**{**steel.to_dict(), "steel": name, "finish": "satin, by 400 grit"})
    ax = pyplot.figure(figsize=size, layout="constrained").add_subplot()
    colour_chart(long, ax=ax)
    ax.figure.canvas.draw()
    box = ax.title.get_window_extent()
    written = " ".join(ax.title.get_text().split())
    assert written.startswith(f"{name}, satin, by 400 grit") and ax.title.get_fontsize() > 7.0
    assert 0.0 <= box.x0 and box.x1 <= ax.figure.bbox.x1 and box.y1 <= ax.figure.bbox.y1


def test_all_bands_are_named_on_one_side(steel) -> None:
    drawn = colour_chart(steel, bath_range=("540 F", "660 F"), time_range=(5.0, 900.0))
    ax = drawn.image.axes
    ax.figure.canvas.draw()
    grown = np.asarray(drawn.image.get_array())
    bands = {tint.label for tint in oxtint.Film().tints() if grown.min() < tint.high_nm and
             tint.low_nm < grown.max()}
    names = [text for text in ax.texts if text.get_text().removesuffix(" \u2199") in bands]
    assert {text.get_text().removesuffix(" \u2199") for text in names} == bands and len(names) == len(bands)
    boxes = [box_of(text) for text in names]
    for low, high in zip(boxes, boxes[1:]):
        assert low.x0 > ax.bbox.x1 and low.y1 <= high.y0 + 2.0  # thicker films higher up; descenders
    assert boxes[0].y0 >= ax.bbox.y0 - 2.0
    # An arrow where a band leaves the chart below its right edge, and nowhere else.
    thin = oxtint.name_of(steel.thickness("660 F", 5.0))
    below = [text.get_text()[:-2] for text in names if text.get_text().endswith("\u2199")]
    labels = [tint.label for tint in oxtint.Film().tints()]
    assert below == labels[labels.index(oxtint.name_of(float(grown.min()))):labels.index(thin)]


def test_what_the_trials_cover_is_outlined(steel) -> None:
    corners = colour_chart(steel, unit="K").covered.get_xy()
    assert (corners[:, 0].min(), corners[:, 0].max()) == pytest.approx(steel.bath_range_K)
    films = [steel.thickness(*corner) for corner in corners]
    values = steel.to_dict()
    assert (min(films), max(films)) == pytest.approx((values["thickness_low_nm"],
                                                      values["thickness_high_nm"]))
    untried = colour_chart(oxtint.starting_steel("Elm 9"), unit="K", time_range=(10.0, 100.0))
    assert untried.covered is None


def test_ticks_are_those_of_a_clock(steel) -> None:
    ax = colour_chart(steel, time_range=(10.0, 310.0)).image.axes
    assert ax.get_yticks().tolist() == [10.0, 30.0, 60.0, 120.0, 300.0]
    assert ax.yaxis.get_gridlines()[0].get_visible()


def test_a_log_without_a_coupon_of_the_steel_is_told(steel, log) -> None:
    others = [trial for trial in log if trial.steel == "Birch 2"]
    drawn = colour_chart(steel, others)
    assert drawn.trials is None and "no coupon of it in the log" in drawn.image.axes.get_title()
    assert "no coupon" not in colour_chart(steel).image.axes.get_title()


def test_names_are_not_taken_for_formulas(log) -> None:
    steel = oxtint.Steel.from_values(**{**oxtint.fit(log, "Birch 2").steel.to_dict(), "steel": "a$_b$"})
    title = colour_chart(steel).image.axes.title
    assert title.get_text().startswith("a$_b$") and not title.get_parse_math()


def test_axes_and_labels(steel) -> None:
    _, ax = pyplot.subplots()
    artists = colour_chart(steel, ax=ax, unit="C", bath_range=("280 C", "345 C"),
                           time_range=("10 s", "5:00"))
    assert artists.trials is None and artists.image.axes is ax
    assert "°C" in ax.get_xlabel() and ax.get_yscale() == "log"
    assert ax.get_xlim() == pytest.approx((280.0, 345.0)) and ax.get_ylim() == (10.0, 300.0)
    written = {text.get_text() for text in ax.texts}
    assert {"brown", "purple", "dark blue", "blue"} <= written
    ax.figure.canvas.draw()
    assert "1:00" in [label.get_text() for label in ax.get_yticklabels()]


def test_bad_requests(steel) -> None:
    with pytest.raises(oxtint.OxtintValueError, match="unit"):
        colour_chart(steel, unit="R")
    with pytest.raises(oxtint.OxtintValueError, match="from low to high"):
        colour_chart(steel, time_range=(60.0, 10.0))


def test_strip_is_the_run_of_colours() -> None:
    film = oxtint.Film(coat_index=oxtint.OIL_INDEX)
    image = colour_strip(film, thickness_nm=(0.0, 250.0))
    drawn = np.asarray(image.get_array())
    assert drawn.shape == (1, 1001, 3)
    np.testing.assert_allclose(drawn[0, 400], film.path_srgb(100.0), atol=1e-12)
    assert {text.get_text() for text in image.axes.texts} == {band.label for band in film.tints()}
    assert "nm" in image.axes.get_xlabel()
    with pytest.raises(oxtint.OxtintValueError, match="0 to 400"):
        colour_strip(film, thickness_nm=(0.0, 500.0))


def test_spectrum_draws_reflectance_in_its_own_colour() -> None:
    lines = spectrum([0.0, 57.0])
    waves, R = oxtint.film_reflectance(57.0)
    np.testing.assert_array_equal(lines[1].get_xdata(), waves)
    np.testing.assert_array_equal(lines[1].get_ydata(), R)
    np.testing.assert_allclose(lines[1].get_color(), oxtint.film_srgb(57.0))
    assert lines[0].axes.get_legend() is not None and "nm" in lines[0].axes.get_xlabel()


def test_every_picture_says_its_figure(steel, log) -> None:
    fit = oxtint.fit(log, "Alder 1", "satin")
    for draw in (lambda: colour_chart(steel, log), oxtint.colour_ladder, lambda: oxtint.arrhenius(fit, log),
                 lambda: oxtint.growth_curve(steel, "blue", "600 F"), lambda: oxtint.residuals(fit, log),
                 colour_strip, lambda: oxtint.time_spread(fit, "blue", "600 F", replicates=100),
                 lambda: oxtint.coupon_map(steel, "blue", "600 F", trials=log)):
        assert draw().figure is pyplot.gcf()


def test_one_film_has_a_spectrum_too() -> None:
    alone, = spectrum("57 nm")
    assert [line.get_label() for line in spectrum([57.0, 30])] == ["57 nm", "30 nm"]
    assert alone.get_label() == "57 nm"


def test_a_dip_is_a_dip(steel, log) -> None:
    with pytest.raises(TypeError, match="dip is str, expected Dip"):
        colour_chart(steel, log, dip="blue")


def gaps_pt(ax, marks) -> np.ndarray:
    """Distances between all marks, in points, as they are drawn."""
    ax.figure.canvas.draw()
    at = ax.transData.transform(marks) * 72.0 / ax.figure.dpi
    return np.hypot(*(at[:, np.newaxis] - at).T)[np.triu_indices(len(at), 1)]


def test_coupons_a_few_pixels_apart_stand_side_by_side(steel) -> None:
    """A circle with its casing is 12 points wide: none covers another, nor the dip, and its time is its own."""
    logged = oxtint.TrialLog()
    rows = [("600 F", 60.0, "purple"), ("600 F", 60.0, "brown"), ("600 F", 61.0, "purple"), ("601 F", 59.0, "purple"),
            ("600 F", 93.0, "blue"), ("640 F", 50.0, "blue")]
    for bath, time_s, seen in rows:
        logged.add("Alder 1", finish="satin", bath=bath, time=time_s, colour=seen)
    drawn = colour_chart(steel, logged, dip=steel.dip("blue", "600 F"), bath_range=("560 F", "660 F"))
    ax, marks = drawn.image.axes, np.asarray(drawn.trials.get_offsets())
    assert gaps_pt(ax, [*marks, drawn.dip.aim.get_xydata()[0]]).min() > 11.5
    assert marks[:, 1].tolist() == [time_s for _, time_s, _ in rows]
    true = np.array([[float(bath.split()[0]), time_s] for bath, time_s, _ in rows])
    moved = np.abs(marks - true)[:, 0]
    assert moved[5] == 0.0  # alone
    assert 0.0 < moved[:4].max() < 12.0 and np.count_nonzero(moved[:4] < 1e-9) >= 1
    (lines,) = [one for one in ax.collections if type(one) is LineCollection and 2.8 < one.get_zorder() < 3.0]
    for ends, own, mark in zip(lines.get_segments(), true[moved > 0.0], marks[moved > 0.0]):
        np.testing.assert_allclose(ends, [own, mark])
    names = {name.get_text(): name.xy for name in drawn.otherwise}  # a name leads to its circle, one of two to their place
    assert names["2 coupons: purple, brown"] == pytest.approx((600.0, 60.0))
    assert tuple(marks[2]) in [pytest.approx(name.xy) for name in drawn.otherwise]


def test_coupons_that_do_not_touch_stay(steel) -> None:
    logged = oxtint.TrialLog()
    for bath in (580, 600, 620):
        logged.add("Alder 1", finish="satin", bath=f"{bath} F", time=90.0, colour="purple")
    marks = colour_chart(steel, logged).trials.get_offsets()
    np.testing.assert_allclose(marks, [[580.0, 90.0], [600.0, 90.0], [620.0, 90.0]])


def test_a_cloud_of_coupons_is_left_where_it_is(steel) -> None:
    logged = oxtint.TrialLog()
    for _ in range(401):
        logged.add("Alder 1", finish="satin", bath="600 F", time=90.0, colour="purple")
    assert np.allclose(colour_chart(steel, logged).trials.get_offsets(), [[600.0, 90.0]])


def test_a_chart_names_the_cautions_below_it(steel, log) -> None:
    """Of the dip where it has one, else of the steel's baths; within the picture."""
    hot = steel.dip("blue", "700 F")
    for drawn, cautions in ((colour_chart(steel, log), steel.cautions), (colour_chart(steel, dip=hot), hot.cautions)):
        (caption,) = [text for text in drawn.image.axes.texts if "Cautions: " in text.get_text()]
        told = " ".join(caption.get_text().split("Cautions: ")[1].split())
        assert told == ", ".join(caution.brief.split(":")[0] for caution in cautions)
        drawn.image.figure.canvas.draw()
        assert drawn.image.figure.bbox.y0 <= caption.get_window_extent().y0


def test_long_words_have_room_in_the_column_of_names(steel, log) -> None:
    words = {"sorrel of the old lamp shop": "brown", "lamp blue": "blue", "plum": "purple"}
    drawn = colour_chart(steel.with_words(words), log, dip=steel.dip("blue", "600 F"), time_range=(15.0, 400.0))
    ax = drawn.image.axes
    ax.figure.canvas.draw()
    column = [text for text in ax.texts if text.xycoords == ("axes fraction", "data")]
    ups = sorted(box_of(text).y0 * 72.0 / ax.figure.dpi for text in column)
    assert "lamp blue" in [text.get_text() for text in column] and len(ups) > 8
    assert np.diff(ups).min() > 9.0
