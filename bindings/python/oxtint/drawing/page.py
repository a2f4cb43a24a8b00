# SPDX-License-Identifier: GPL-3.0-or-later
"""A page to print on, in inches: texts of measured width, rules, lines of whole words."""
from __future__ import annotations

from typing import Any

PAPERS = {"A4": (210.0 / 25.4, 297.0 / 25.4), "letter": (8.5, 11.0)}  # ISO 216, ANSI Y14.1
MARGIN_in = 0.6

_MEASURED_pt = 60.0  # large, so that rounding to pixels hardly counts
_ROUNDING = 1.02  # small letters are rounded to pixels, a little wider


class Page:
    """A page whose places are inches from the left and from the top."""

    def __init__(self, paper: str) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.width, self.height = PAPERS[paper]
        self.figure = Figure(figsize=PAPERS[paper], dpi=200)
        canvas: Any = FigureCanvasAgg(self.figure)
        self._renderer = canvas.get_renderer()
        self._widths: dict[tuple[str, str], float] = {}
        self.ax = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.ax.set_axis_off()
        self.ax.set_xlim(0.0, self.width)
        self.ax.set_ylim(self.height, 0.0)

    @property
    def right(self) -> float:
        """Where the right margin begins."""
        return self.width - MARGIN_in

    def text(self, x: float, y: float, text: str, size_pt: float, **how: Any) -> None:
        """A text whose baseline is at y."""
        self.ax.text(x, y, text, fontsize=size_pt, **how)

    def line(self, y: float) -> None:
        """A rule from margin to margin."""
        self.ax.plot([MARGIN_in, self.right], [y, y], color="black", linewidth=0.6)

    def width_of(self, text: str, size_pt: float, weight: str = "normal") -> float:
        """Inches that a text takes on a line."""
        from matplotlib.font_manager import FontProperties

        if (text, weight) not in self._widths:
            font = FontProperties(size=_MEASURED_pt, weight=weight)
            width, _, _ = self._renderer.get_text_width_height_descent(text, font, ismath=False)
            self._widths[text, weight] = _ROUNDING * float(width) / float(self.figure.dpi)
        return self._widths[text, weight] * size_pt / _MEASURED_pt

    def wrap(self, text: str, size_pt: float, room: float) -> list[str]:
        """Lines of whole words that fit into a width."""
        lines, taken, blank = [""], 0.0, self.width_of("n n", size_pt) - self.width_of("nn", size_pt)
        for word in text.split():
            width = self.width_of(word, size_pt)
            if lines[-1] and taken + blank + width > room:
                lines, taken = [*lines, word], width
            else:
                taken += width + (blank if lines[-1] else 0.0)
                lines[-1] = f"{lines[-1]} {word}".lstrip()
        return lines

    def fitting_size(self, text: str, size_pt: float, room: float, weight: str = "normal") -> float:
        """The size of a line, made smaller where it would be too wide."""
        return size_pt * min(1.0, room / self.width_of(text, size_pt, weight))
