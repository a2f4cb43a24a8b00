# SPDX-License-Identifier: GPL-3.0-or-later
"""The colour chart, by what it draws."""
import matplotlib

matplotlib.use("Agg")

import numpy as np
import oxtint
import pytest
from matplotlib import pyplot
from oxtint.chart import colour_chart, colour_strip, spectrum


@pytest.fixture(autouse=True)
def _close_figures():
    yield
    pyplot.close("all")


def test_background_is_the_film_colour(steel, log) -> None:
    artists = colour_chart(steel, log, bath_range=(550.0, 640.0), time_range=(10.0, 400.0), unit="K")
    colours = np.asarray(artists.image.get_array()).reshape(241, 241, 3)
    # At one corner and the middle: the colour of the film that grows there.
    for i, j in ((0, 0), (120, 120), (200, 40)):
        bath = np.linspace(550.0, 640.0, 241)[j]
        time = np.geomspace(10.0, 400.0, 241)[i]
        np.testing.assert_allclose(colours[i, j], oxtint.film_srgb(steel.thickness(bath, time)),
                                   atol=1e-12)


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
    colours = np.asarray(artists.image.get_array()).reshape(241, 241, 3)
    bath, time = np.linspace(left, right, 241), np.geomspace(*artists.image.axes.get_ylim(), 241)
    under = colours[np.abs(time - dip.time_s).argmin(), np.abs(bath - 700.0).argmin()]
    np.testing.assert_allclose(under, oxtint.film_srgb(dip.target.aim_nm), atol=0.03)


def test_dip_of_another_road_or_steel_is_refused(steel, log) -> None:
    other = oxtint.fit(log, "Birch 2").steel
    for dip in (steel.dip("blue", "600 F", part=oxtint.Part("6 mm")), other.dip("blue", "600 F"),
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
    assert artists.otherwise[0].xy == pytest.approx((600.0, 94.0))
    assert colour_chart(steel, log).otherwise == []  # the demo's are where the fit has them


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
