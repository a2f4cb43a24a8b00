# SPDX-License-Identifier: GPL-3.0-or-later
"""The programs of the gallery: each draws one picture, whose words can be read, and says what it shows."""
import ast
import itertools
import runpy

import matplotlib
import matplotlib.pyplot as plt
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from conftest import ROOT
from test_docs import module_of

matplotlib.use("Agg")
FOLDER = ROOT / "examples/gallery"
PROGRAMS = sorted(path for path in FOLDER.glob("*.py") if path.name != "bands.py")
gallery = module_of("docs/extensions/gallery.py")


@pytest.fixture(scope="module", params=PROGRAMS, ids=lambda path: path.stem)
def drawn(request):
    """What a program leaves, and its picture; as sphinx-gallery runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(FOLDER)
        patch.syspath_prepend(FOLDER)
        plt.close("all")
        names = runpy.run_path(str(request.param))
        assert len(plt.get_fignums()) == 1
        yield names, plt.figure(plt.get_fignums()[0])
        plt.close("all")


def words_of(figure: Figure, monkeypatch) -> list[tuple[str, Bbox]]:
    """The words of a picture that are drawn, and where they stand."""
    canvas = FigureCanvasAgg(figure)  # whatever backend another test has chosen
    canvas.draw()  # lays it out
    found = []

    def draw(text: Text, renderer, draw=Text.draw) -> None:
        if text.get_visible() and text.get_text().strip():
            found.append((text.get_text(), Text.get_window_extent(text, renderer)))
        draw(text, renderer)

    with monkeypatch.context() as patch:
        patch.setattr(Text, "draw", draw)
        canvas.draw()
    return found


def test_words_do_not_overlap_and_lie_within_the_picture(drawn, monkeypatch) -> None:
    _, figure = drawn
    words = words_of(figure, monkeypatch)
    assert len(words) > 10
    for (first, one), (second, other) in itertools.combinations(words, 2):
        both = Bbox.intersection(one, other)
        assert both is None or both.width < 1.0 or both.height < 1.0, f"{first!r} on {second!r}"
    for word, box in words:
        assert -1.0 <= box.x0 and box.x1 <= figure.bbox.x1 + 1.0, word
        assert -1.0 <= box.y0 and box.y1 <= figure.bbox.y1 + 1.0, word


def test_a_picture_says_what_it_shows_to_those_who_do_not_see_it(drawn) -> None:
    names, figure = drawn
    assert len(str(names["ALT"])) > 150 > 60 < len(str(names["CAPTION"])) < 400
    labelled = [axes for axes in figure.axes if axes.get_xlabel() or axes.get_ylabel()]
    assert labelled  # what is drawn along an axis, with its unit


def test_every_program_has_its_place_in_the_gallery() -> None:
    assert sorted(gallery.ORDER) == [path.stem for path in PROGRAMS]
    for program in PROGRAMS:
        assert set(gallery.said(program)) == {"CAPTION", "ALT"}


def test_every_picture_stands_on_a_page() -> None:
    pages = "".join(page.read_text(encoding="utf-8") for page in (ROOT / "docs").rglob("*.md"))
    for program in PROGRAMS:
        assert f"```{{gallery}} {program.stem}\n" in pages, program.stem


def test_the_gallery_needs_no_more_than_the_docs_do() -> None:
    for program in PROGRAMS:
        tree = ast.parse(program.read_text(encoding="utf-8"))
        modules = {name.name for node in tree.body if isinstance(node, ast.Import) for name in node.names}
        modules |= {str(node.module) for node in tree.body if isinstance(node, ast.ImportFrom)}
        assert modules <= {"matplotlib.pyplot", "numpy", "oxtint", "bands", "statistics"}, program.name
