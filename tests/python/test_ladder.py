# SPDX-License-Identifier: GPL-3.0-or-later
"""The ladder of colours has the bands of its film."""
import matplotlib

matplotlib.use("Agg")

import numpy as np
import oxtint
import pytest
from matplotlib import pyplot
from oxtint import colour_ladder

FILMS = {"dry": oxtint.Film(), "oiled": oxtint.Film(coat_index=oxtint.OIL_INDEX),
         "matte": oxtint.Film(finish="matte")}


@pytest.fixture(autouse=True)
def _close_figures():
    yield
    pyplot.close("all")


@pytest.mark.parametrize("name", FILMS)
def test_rungs_are_the_bands(name) -> None:
    film = FILMS[name]
    drawn = colour_ladder(film)
    tints, ax = film.tints(), drawn.image.axes
    assert [text.get_text() for text in drawn.names] == [tint.label for tint in tints]
    assert [text.xy[1] for text in drawn.names] == [index + 0.5 for index in range(15)]
    assert [label.get_text() for label in ax.get_yticklabels()] == [
        f"{edge:.0f}" for edge in (0.0, *(tint.high_nm for tint in tints))]
    assert list(ax.get_yticks()) == list(range(16)) and "nm" in ax.get_ylabel()


@pytest.mark.parametrize("name", FILMS)
def test_colours_run_evenly_along_each_rung(name) -> None:
    film = FILMS[name]
    colours = np.asarray(colour_ladder(film).image.get_array())
    steps = len(colours) // 15
    for index, tint in enumerate(film.tints()):
        films = tint.low_nm + (tint.high_nm - tint.low_nm) * (np.arange(steps) + 0.5) / steps
        np.testing.assert_allclose(colours[index * steps:(index + 1) * steps, 0], film.path_srgb(films),
                                   atol=1e-9)


def test_given_axes_are_drawn_on() -> None:
    _, ax = pyplot.subplots()
    assert colour_ladder(ax=ax).image.axes is ax and len(pyplot.get_fignums()) == 1
