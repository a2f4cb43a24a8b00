# SPDX-License-Identifier: GPL-3.0-or-later
"""
The path of colours
===================

As the film thickens, its colour runs along one path. Trade names are stretches of that path: they come from the optics
and not from a table of temperatures.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint

film = oxtint.Film()
film_nm = np.arange(0.0, 231.0, 0.1)
L, a, b = film.lab(film_nm).T

# %%
# The plane of a* and b* of CIE Lab: the farther from the middle, the more vivid; the direction is the hue.

PLACES = {"bright": (12, -13), "faint straw": (14, -4), "straw": (13, 7), "dark straw": (38, 45), "brown": (28, 56),
          "purple": (25, -30), "dark blue": (28, -49), "blue": (13, -36), "light blue": (10, -22), "silver": (-23, -8),
          "second-order yellow": (-38, 56), "second-order red": (57, 22), "second-order purple": (87, -42),
          "second-order blue": (-24, -66), "second-order green": (-64, 14)}

figure, axes = plt.subplots(figsize=(7.2, 6.2), layout="constrained")
axes.axhline(0.0, color="0.85", linewidth=0.8, zorder=0)
axes.axvline(0.0, color="0.85", linewidth=0.8, zorder=0)
axes.scatter(a, b, c=film.srgb(film_nm), s=50, linewidths=0, rasterized=True)
for tint in film.tints():
    middle_nm = max(tint.centre_nm, 0.5)
    at = tuple(film.lab(middle_nm)[1:])
    axes.annotate(tint.label, at, PLACES[tint.label], ha="center", va="center", fontsize=8.5,
                  arrowprops={"arrowstyle": "-", "color": "0.4", "linewidth": 0.7, "shrinkB": 5})
    axes.plot(*at, "o", color=film.srgb(middle_nm), markersize=11, markeredgecolor="black")
axes.set(xlim=(-85, 108), ylim=(-75, 68))
axes.set(xlabel="a*   (green to red)", ylabel="b*   (blue to yellow)", aspect="equal")

# sphinx_gallery_start_ignore
CAPTION = """The colours of a magnetite film on iron in daylight, from bare steel to the second-order green at 230 nm; each
name stands at the middle of its band."""
ALT = """A closed, looping curve in the plane of a* and b*, each point in its own colour. It starts near the middle at bright,
goes up through the straws, right to brown and purple, far down to dark blue and blue, left to light blue and silver, and
runs a second, smaller loop of second-order yellow, red, purple, blue and green."""
# sphinx_gallery_end_ignore
