# SPDX-License-Identifier: GPL-3.0-or-later
"""
Growth curves by bath temperature
=================================

The film grows as the root of time, and faster in a hotter bath. The card is that of an invented bar of the demo shop.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint
from bands import strip

steel = oxtint.fit(oxtint.read_trials("../demo/trials.csv"), "Alder 1", "satin").steel
time_s = np.linspace(1.0, 240.0, 240)

# %%
# One call of ``thickness`` gives a whole curve. A stay of four times the time gives twice the film.

figure, axes = plt.subplots(figsize=(7.2, 4.4), layout="constrained")
axes.set(xlim=(0.0, 240.0), ylim=(0.0, 100.0), xlabel="time in the bath (s)", ylabel="film (nm)")
for bath, colour in zip(["540 F", "570 F", "600 F", "630 F"], plt.get_cmap("inferno")(np.linspace(0.2, 0.75, 4))):
    film_nm = steel.thickness(bath, time_s)
    axes.plot(time_s, film_nm, color=colour, linewidth=2)
    where = np.searchsorted(film_nm, 85.0) if film_nm[-1] > 90.0 else 215
    axes.text(time_s[where], film_nm[where] + 1.5, bath, ha="right", va="bottom", color=colour, weight="bold")
for name in ("purple", "blue", "light blue"):
    axes.axhline(steel.film.find_tint(name).low_nm, color="0.75", linewidth=0.8, zorder=0)
strip(axes, steel.film)
axes.grid(axis="x", color="0.9")

# sphinx_gallery_start_ignore
CAPTION = """Film against time in four baths, with the trade names on the right. A hotter bath reaches the same blue
sooner, and leaves it sooner."""
ALT = """Four curves of film thickness against time from 0 to 240 s, rising steeply and then flattening. The higher the bath,
from 540 to 630 F, the higher the curve. A bar at the right edge shows the colours from straw at the bottom to silver at
the top with their names."""
# sphinx_gallery_end_ignore
