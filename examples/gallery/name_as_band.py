# SPDX-License-Identifier: GPL-3.0-or-later
"""
A name is a band
================

A coupon that is straw has a film somewhere between the ends of straw. How well each film of the model agrees with that is
the likelihood of the interval; a narrow band says more than a wide one.
"""
from statistics import NormalDist

import matplotlib.pyplot as plt
import numpy as np
import oxtint

film = oxtint.Film()
scatter = 0.08  # of ln x, from one dip to the next
predicted_nm = np.geomspace(10.0, 90.0, 600)
below = np.vectorize(NormalDist().cdf)

# %%
# The chance that a coupon is seen as a name, for each film that the model predicts; and, dashed, what is left of the name
# when it is read as the middle of its band, give or take its width over the root of 12.

figure, axes = plt.subplots(figsize=(7.2, 4.0), layout="constrained")
for name in ("straw", "brown", "dark blue", "light blue"):
    tint = film.find_tint(name)
    colour = film.srgb(tint.centre_nm)
    low, high, middle = np.log([tint.low_nm, tint.high_nm, tint.centre_nm])
    ln_x = np.log(predicted_nm)
    chance = below((high - ln_x) / scatter) - below((low - ln_x) / scatter)
    axes.fill_between(predicted_nm, chance, color=colour, alpha=0.35, linewidth=0)
    axes.plot(predicted_nm, chance, color=colour, linewidth=2)
    spread = np.sqrt(scatter**2 + (high - low) ** 2 / 12.0)
    axes.plot(predicted_nm, np.exp(-((ln_x - middle) ** 2) / (2.0 * spread**2)) * chance.max(), "--", color="0.25",
              linewidth=1)
    axes.text(tint.centre_nm, chance.max() + 0.03, name, ha="center", weight="bold")
    axes.hlines(-0.05, tint.low_nm, tint.high_nm, color=colour, linewidth=7)
axes.set(xscale="log", xlim=(10.0, 90.0), ylim=(-0.1, 1.15), xlabel="film predicted for the coupon (nm)",
         ylabel="chance that it is seen so")
axes.set_xticks([10, 20, 30, 40, 50, 60, 80], ["10", "20", "30", "40", "50", "60", "80"])
axes.set_xticks([], minor=True)

# sphinx_gallery_start_ignore
CAPTION = """Four names as the fit takes them, with a scatter of 8 % from dip to dip. The bars below are the bands. Straw is wide and
flat: anywhere within it agrees. Dark blue is narrow and decides more. Dashed: the same names as middles."""
ALT = """Four humps over the film thickness on a logarithmic axis: straw wide with a flat top, brown, dark blue narrow and
pointed, light blue wide. Dashed bell curves of the same height and about the same width lie over them; over the wide bands
they are rounder than the humps."""
# sphinx_gallery_end_ignore
