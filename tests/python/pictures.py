# SPDX-License-Identifier: GPL-3.0-or-later
"""The pictures that tests look at, each drawn from the demo log, and the images they are held against.

    python tests/python/pictures.py    draws tests/data/pictures anew: look at them before you commit
"""
from __future__ import annotations

import functools
import pathlib
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any
from unittest import mock

import matplotlib

matplotlib.use("Agg")

import matplotlib.style  # noqa: E402
import oxtint  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402
from matplotlib.text import Text  # noqa: E402
from oxtint.drawing import certainty, chart, curves, ladder  # noqa: E402

ROOT = pathlib.Path(__file__).resolve().parents[2]
IMAGES = ROOT / "tests/data/pictures"
OILED = oxtint.Film(finish="satin", coat_index=oxtint.OIL_INDEX)


@functools.cache
def shop() -> tuple[oxtint.TrialLog, oxtint.Fit]:
    log = oxtint.read_trials(ROOT / "examples/demo/trials.csv")
    return log, oxtint.fit(log, "Alder 1", "satin")


def draw_chart(**where: Any) -> Figure:
    log, fit = shop()
    return chart.colour_chart(fit.steel, log, dip=fit.steel.dip("blue", "600 F"), **where).image.figure


def draw_otherwise(**where: Any) -> Figure:
    """A log with a coupon that was seen as another colour than the chart has there."""
    log, fit = shop()
    wrong = oxtint.TrialLog()
    wrong.add("Alder 1", finish="satin", bath="600 F", time="1:30", colour="straw")
    wrong.add("Alder 1", finish="satin", bath="560 F", time="20 s", colour="purple")
    return chart.colour_chart(fit.steel, wrong, time_range=(10.0, 300.0), unit="K", **where).image.figure


def draw_growth(**where: Any) -> Figure:
    return curves.growth_curve(shop()[1].steel, "blue", "600 F", part=oxtint.Part("6 mm"),
                               lift=oxtint.Lift("8 s"), **where).line.figure


def draw_short_growth(**where: Any) -> Figure:
    """A long lift after a short dip: the quench is near the right end."""
    return curves.growth_curve(shop()[1].steel, "straw", "600 F", part=oxtint.Part("6 mm"),
                               lift=oxtint.Lift("20 s"), unit="C", **where).line.figure


def draw_arrhenius(**where: Any) -> Figure:
    log, fit = shop()
    return curves.arrhenius(fit, log, unit="C", **where).line.figure


def draw_residuals(**where: Any) -> Figure:
    log, fit = shop()
    return curves.residuals(fit, log, **where).figure


def draw_spread(**where: Any) -> Figure:
    return certainty.time_spread(shop()[1], "blue", "600 F", **where).aim.figure


def draw_map(**where: Any) -> Figure:
    log, fit = shop()
    return certainty.coupon_map(fit.steel, "blue", "600 F", trials=log, **where).cells.figure


def draw_second_map(**where: Any) -> Figure:
    """Two of its three coupons are the same."""
    log, _ = shop()
    return certainty.coupon_map(oxtint.fit(log, "Birch 2").steel, trials=log, highest_order=2, unit="C",
                                **where).cells.figure


# By name: a function that draws on the axes `ax`, or on new ones without it.
PICTURES: dict[str, Callable[..., Figure]] = {
    "chart": draw_chart,
    "otherwise": draw_otherwise,
    "strip": lambda **where: chart.colour_strip(**where).figure,
    "ladder": lambda **where: ladder.colour_ladder(**where).image.figure,
    "ladder_oiled": lambda **where: ladder.colour_ladder(OILED, **where).image.figure,
    "growth": draw_growth,
    "short_growth": draw_short_growth,
    "arrhenius": draw_arrhenius,
    "residuals": draw_residuals,
    "spread": draw_spread,
    "map": draw_map,
    "second_map": draw_second_map,
}


def sheet_figure(*arguments: Any, **options: Any) -> Figure:
    """The figure that shop_sheet() would save."""
    saved: list[Figure] = []
    with mock.patch("oxtint.drawing.sheet.save_figure", lambda figure, *_, **__: saved.append(figure)):
        oxtint.shop_sheet(shop()[1].steel, "wall.pdf", *arguments, **options)
    return saved[0]


def bare(name: str) -> Figure:
    """A picture without its words, on axes of fixed size: what fonts cannot move."""
    with matplotlib.style.context("default"):
        if name == "sheet":
            figure = sheet_figure(["550 F", "600 F", "650 F"])
        else:
            figure = Figure(figsize=(4.0, 3.0))
            PICTURES[name](ax=figure.add_axes((0.1, 0.1, 0.8, 0.8)))
        for text in figure.findobj(Text):
            text.set_visible(False)
        for ax in figure.axes:
            if ax.get_legend():
                ax.get_legend().remove()
    return figure


def save_bare(name: str, folder: pathlib.Path) -> pathlib.Path:
    path = folder / f"{name}.png"
    with matplotlib.style.context("default"):
        bare(name).savefig(path, dpi=48 if name == "sheet" else 80, metadata={"Software": None})
    return path


@contextmanager
def _noting(drawn: list[Text]) -> Iterator[None]:
    """Each text that is really drawn, which ticks outside the view are not."""
    draw = Text.draw

    def note(text: Text, *arguments: Any, **options: Any) -> None:
        draw(text, *arguments, **options)
        if text.get_visible() and text.get_text().strip():
            drawn.append(text)

    with mock.patch.object(Text, "draw", note):
        yield


def drawn_texts(figure: Figure) -> list[Text]:
    """All texts of a picture, drawn once; a glyph that the font lacks is an error."""
    drawn: list[Text] = []
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        if figure.get_layout_engine() is not None:
            figure.canvas.draw()  # and lay out
        with _noting(drawn):
            figure.canvas.draw()
    return drawn


if __name__ == "__main__":
    IMAGES.mkdir(exist_ok=True)
    for each in (*PICTURES, "sheet"):
        print(save_bare(each, IMAGES))
