# SPDX-License-Identifier: GPL-3.0-or-later
"""The ladder of colours of a film: a rung for each trade name, and where it begins and ends.

Needs matplotlib (``pip install matplotlib``), which is imported only when a ladder is drawn.
"""
from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from .common import new_axes
from ..conditions import film_of
from ..film import Film

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_STEPS = 24  # of colour on one rung


class LadderArtists(NamedTuple):
    """What colour_ladder() drew."""

    image: Any  #: the colours, the thinnest film at the bottom
    names: list[Any]  #: the trade names, in order of thickness
    lines: Any  #: between the rungs

    @property
    def figure(self) -> Any:
        """The figure that holds it, to save."""
        return self.image.figure


def colour_ladder(
    film: Film | None = None, *, ax: Axes | None = None, fontsize: float = 9.0
) -> LadderArtists:
    """Draw the trade names of a film as rungs of one height, the films between them in nm on the left.

    On its rung each film has its own colour; the names stand beside it, where they can be read in a
    print without colours too.

    Args:
        film: the film, of any finish, light and oil; the one as tabulated when None
        ax: axes to draw on; new ones when None
        fontsize: points, of names and numbers
    """
    film = film_of(film)
    tints = film.tints()
    edges_nm = [tints[0].low_nm, *(tint.high_nm for tint in tints)]
    ax = new_axes(ax, (3.2, 5.5))
    rungs = (np.arange(len(tints) * _STEPS) + 0.5) / _STEPS
    films = np.interp(rungs, range(len(edges_nm)), edges_nm)
    image = ax.imshow(film.path_srgb(films)[:, np.newaxis], extent=(0.0, 1.0, 0.0, float(len(tints))),
                      origin="lower", aspect="auto", interpolation="bilinear")
    lines = ax.hlines(range(1, len(tints)), 0.0, 1.0, color="white", linewidth=1.0)
    names = [ax.annotate(tint.label, (1.0, index + 0.5), (4.0, 0.0), textcoords="offset points",
                         va="center", fontsize=fontsize, annotation_clip=False)
             for index, tint in enumerate(tints)]
    ax.set_xticks([])
    ax.set_yticks(range(len(edges_nm)), [f"{edge:.0f}" for edge in edges_nm], fontsize=fontsize)
    ax.set_ylabel("film (nm)", fontsize=fontsize)
    return LadderArtists(image, names, lines)


__all__ = ["LadderArtists", "colour_ladder"]
