# SPDX-License-Identifier: GPL-3.0-or-later
"""Every picture: as it was, nothing cut off, no words on words, and readable without colours."""
import io
import shutil
import subprocess
import sys

import matplotlib
import numpy as np
import oxtint
import pytest
from matplotlib import pyplot
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.testing.compare import compare_images
from matplotlib.text import Text
from oxtint.drawing import certainty, chart
from pictures import IMAGES, PICTURES, drawn_texts, save_bare, sheet_figure, shop

# RMS of 255. The largest between matplotlib 3.7.5, 3.10.9 and 3.11.2 is 0.62; a window whose ends are off
# by 0.5 % makes 5 or more.
TOLERANCE = 1.0


@pytest.fixture(autouse=True)
def _close_figures():
    yield
    pyplot.close("all")


@pytest.mark.parametrize("name", [*PICTURES, "sheet"])
def test_picture_is_as_it_was(name, tmp_path) -> None:
    shutil.copy(IMAGES / f"{name}.png", tmp_path / "expected.png")
    drawn = save_bare(name, tmp_path)
    assert compare_images(str(tmp_path / "expected.png"), str(drawn), TOLERANCE) is None


def test_every_image_has_its_picture() -> None:
    assert {path.stem for path in IMAGES.iterdir()} == {*PICTURES, "sheet"}


def luminance(rgb) -> np.ndarray:
    """Relative luminance of sRGB, IEC 61966-2-1."""
    rgb = np.asarray(rgb, dtype=float)
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    return linear @ [0.2126, 0.7152, 0.0722]


def contrast(first, second) -> np.ndarray:
    """Contrast ratio, WCAG 2.1."""
    a, b = luminance(first) + 0.05, luminance(second) + 0.05
    return np.maximum(a, b) / np.minimum(a, b)


def pixels(figure: Figure) -> np.ndarray:
    """sRGB of the picture, the row at the bottom first as in matplotlib's own places."""
    data = io.BytesIO()
    figure.savefig(data, format="raw", dpi=figure.dpi)
    across, up = figure.canvas.get_width_height()
    return np.frombuffer(data.getvalue(), np.uint8).reshape(up, across, 4)[::-1, :, :3] / 255.0


def make(name: str) -> Figure:
    if name == "sheet":
        return sheet_figure(["480 F", "600 F", "650 F", "700 F"], paper="letter")
    return PICTURES[name]()


@pytest.mark.parametrize("name", [*PICTURES, "sheet"])
def test_no_words_are_cut_off_or_on_each_other(name) -> None:
    figure = make(name)
    texts = drawn_texts(figure)
    assert len(texts) >= 10
    boxes = [Text.get_window_extent(text) for text in texts]  # without the lines that lead to them
    for text, box in zip(texts, boxes):
        assert box.x0 >= 0.0 and box.y0 >= 0.0, text
        assert box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, text
        if text.get_bbox_patch() is not None:  # a box would hide what stands beside the axes
            frame = text.get_bbox_patch().get_window_extent()
            assert text.axes.bbox.x0 <= frame.x0 and frame.x1 <= text.axes.bbox.x1, text
    for i, one in enumerate(boxes):
        for text, other in zip(texts[i + 1:], boxes[i + 1:]):
            across = min(one.x1, other.x1) - max(one.x0, other.x0)
            up = min(one.y1, other.y1) - max(one.y0, other.y0)
            # line boxes hold descenders that most words have not
            assert across <= 1.0 or up <= 0.25 * min(one.height, other.height), (texts[i], text)


def ground_of(text: Text, ground: np.ndarray) -> np.ndarray:
    """The colours that a text is read against: its casing, its box, or what is under it."""
    if text.get_path_effects():
        return np.array([to_rgb(text.get_path_effects()[0]._gc["foreground"])])
    if text.get_bbox_patch() is not None:
        return np.array([text.get_bbox_patch().get_facecolor()[:3]])
    box = Text.get_window_extent(text)
    return ground[int(box.y0):int(np.ceil(box.y1)), int(box.x0):int(np.ceil(box.x1))].reshape(-1, 3)


@pytest.mark.parametrize("name", [*PICTURES, "sheet"])
def test_words_can_be_read_in_grey(name) -> None:
    figure = make(name)
    texts = drawn_texts(figure)
    figure.set_layout_engine("none")
    for text in texts:
        text.set_alpha(0.0)
    ground = pixels(figure)
    for text in texts:
        ratio = contrast(to_rgb(text.get_color()), ground_of(text, ground))
        assert np.quantile(ratio, 0.05) >= 4.5, text  # level AA of WCAG 2.1, 1.4.3; lines may cross


@pytest.mark.parametrize("name", ["chart", "map"])
def test_marks_show_in_grey(name) -> None:
    log, fit = shop()
    if name == "chart":
        drawn = chart.colour_chart(fit.steel, log, dip=fit.steel.dip("blue", "600 F"))
        ax, places = drawn.image.axes, [*drawn.trials.get_offsets(), *drawn.dip.aim.get_xydata(),
                                        *drawn.dip.window.get_xydata()]
    else:
        drawn = certainty.coupon_map(fit.steel, "blue", "600 F", trials=log)
        ax, places = drawn.cells.axes, [*drawn.trials.get_offsets(), *drawn.coupons.get_offsets()]
    places = [place for place in places if ax.get_ylim()[0] < place[1] < ax.get_ylim()[1]]
    ax.figure.canvas.draw()
    ax.figure.set_layout_engine("none")
    grey = luminance(pixels(ax.figure))
    assert len(places) >= 11
    for place in places:
        x, y = ax.transData.transform(place).astype(int)
        near = grey[y - 9:y + 10, x - 9:x + 10]
        assert near.min() < 0.05 and near.max() > 0.9, place


def test_example_draws_them_all(tmp_path) -> None:
    root = IMAGES.parents[2]
    result = subprocess.run([sys.executable, root / "examples/pictures.py", tmp_path],
                            capture_output=True, text=True, check=True)
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {"chart.png", "ladder.png", "ladder_oiled.png", "growth.png", "arrhenius.png",
                     "residuals.png", "spread.png", "map.png", "wall.pdf"}
    assert all(name in result.stdout for name in names)


def test_drawing_leaves_settings_alone(tmp_path) -> None:
    before = dict(matplotlib.rcParams)
    oxtint.shop_sheet(shop()[1].steel, tmp_path / "wall.svg", ["600 F"])
    assert dict(matplotlib.rcParams) == before and not pyplot.get_fignums()
