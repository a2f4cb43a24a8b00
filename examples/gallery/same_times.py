# SPDX-License-Identifier: GPL-3.0-or-later
"""
Why an error of the optics cancels
==================================

A coupon shows a colour, the optics turn it into a film x, and x²/t is the rate. The target goes back through the same
optics. So if every film were really 1.3 times as thick as the tables say, the rate would be 1.3² times as high, and the
lift time the same.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint
from bands import ink

log = oxtint.read_trials("../demo/trials.csv")
film = oxtint.Film()

# %%
# A film whose bands all begin and end 1.3 times as far out, and the same log read with either.

thicker = oxtint.Film(words={tint.label: (1.3 * tint.low_nm, 1.3 * tint.high_nm) for tint in film.tints()[1:]})
readings = {"as tabulated": film, "as if 1.3 times as thick": thicker}
fits = {name: oxtint.fit(log, "Alder 1", "satin", film=read) for name, read in readings.items()}
dips = {name: fits[name].steel.dip("blue", "575 F", film=read) for name, read in readings.items()}
for name, dip in dips.items():
    print(f"{name}: k_ref {fits[name].k_ref_nm2_per_s:.1f} nm²/s, blue at {dip.target.aim_nm:.1f} nm after {dip.time_s:.1f} s")

# %%
# On logarithmic axes x²/t is a line of slope one half. Bands and line move up together, and each colour is crossed at
# the same time.

figure, both = plt.subplots(1, 2, figsize=(7.2, 4.4), layout="constrained", sharey=True)
time_s = np.geomspace(3.0, 300.0, 2)
for axes, (name, fit), factor in zip(both, fits.items(), (1.0, 1.3)):
    axes.set(xscale="log", yscale="log", xlim=(3.0, 300.0), ylim=(14.0, 110.0), xlabel="time at 575 F (s)")
    axes.set_title(f"{name}: k_ref = {fit.k_ref_nm2_per_s:.0f} nm²/s", fontsize=10)
    for tint in film.tints()[2:9]:
        low, high = factor * tint.low_nm, factor * tint.high_nm
        axes.axhspan(low, high, color=film.srgb(tint.centre_nm), linewidth=0)
        axes.text(3.3, np.sqrt(low * high), tint.label, va="center", fontsize=8.5, color=ink(film.srgb(tint.centre_nm)))
    axes.plot(time_s, fit.steel.thickness("575 F", time_s), color="white", linewidth=4)
    axes.plot(time_s, fit.steel.thickness("575 F", time_s), color="black", linewidth=2)
    for limit in (dips[name].earliest_s, dips[name].latest_s):
        axes.axvline(limit, color="black", linewidth=1.0, linestyle="--")
    axes.set_xticks([5, 10, 20, 50, 100, 200], ["5", "10", "20", "50", "100", "200"])
    axes.set_xticks([], minor=True)
    axes.set_yticks([20, 30, 50, 70, 100], ["20", "30", "50", "70", "100"])
    axes.set_yticks([], minor=True)
both[0].set_ylabel("film (nm)")

# sphinx_gallery_start_ignore
CAPTION = """The same ten coupons read in two ways. On the axis of ln x each band is as high in one as in the other; the dashed
lines, between which the part is blue, stand at the same times in both."""
ALT = """Two panels with film against time, both on logarithmic axes, with bands of trade colours across. In the right panel
bands and growth line stand higher by a factor of 1.3. Dashed vertical lines where the line enters and leaves the blue band
are at the same times in both panels."""
# sphinx_gallery_end_ignore
