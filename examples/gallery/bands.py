# SPDX-License-Identifier: GPL-3.0-or-later
"""What the pictures of the gallery share: the trade names beside an axis of films, each in its colour."""
import matplotlib.axes
import numpy as np
import oxtint


def ink(srgb: np.ndarray) -> str:
    """Black or white, whichever is read better on a colour."""
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    luminance = linear @ (0.2126, 0.7152, 0.0722)
    return "black" if luminance > 0.18 else "white"


def strip(axes: matplotlib.axes.Axes, film: oxtint.Film, *, left: float = 1.0, width: float = 0.17,
          names: bool = True) -> None:
    """The colours of a film along the vertical axis, from `left` on in widths of the axes, with their names."""
    low, high = axes.get_ylim()
    scale = axes.yaxis.get_transform()
    edges = scale.inverted().transform(np.linspace(*scale.transform(np.array([low, high])), 401))
    colours = film.srgb(np.sqrt(edges[1:] * edges[:-1]))
    bar = axes.inset_axes((left, 0.0, width, 1.0), sharey=axes)
    bar.pcolormesh([0.0, 1.0], edges, colours[:, np.newaxis], rasterized=True)
    bar.set(xlim=(0.0, 1.0), xticks=[])
    bar.tick_params(axis="y", which="both", left=False, labelleft=False)
    height = axes.bbox.height * 72.0 / axes.figure.dpi
    for tint in film.tints():
        first, last = max(tint.low_nm, low), min(tint.high_nm, high)
        if not names or last <= first:
            continue
        ends = scale.transform(np.array([first, last]))
        whole = np.diff(scale.transform(np.array([low, high])))[0]
        if np.diff(ends)[0] / whole * height < 11.0:  # no room for a line of letters
            continue
        middle = scale.inverted().transform(ends.mean(keepdims=True))[0]
        bar.axhline(last, color="white", linewidth=0.6)
        bar.text(0.5, middle, tint.label.replace("second-order", "2nd"), ha="center", va="center", fontsize=8,
                 color=ink(film.srgb(middle)))
