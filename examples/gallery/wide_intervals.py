# SPDX-License-Identifier: GPL-3.0-or-later
"""
What widens an interval
=======================

How sure is the time of a dip? Logs of one invented steel, made with four habits, each fitted by oxtint: how many coupons,
in which baths, and how much one dip differs from the next.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint

film = oxtint.Film()
true = oxtint.Steel.from_values(steel="Dogwood 4", k_ref_nm2_per_s=22.0, T_ref_K=588.7, Q_J_per_mol=75e3, dof=10.0,
                                bath_low_K=560.0, bath_high_K=620.0, thickness_low_nm=20.0, thickness_high_nm=80.0)


def made(coupons: int, baths: list[str], scatter: float, seed: int) -> oxtint.TrialLog:
    """A log of named coupons, with colours from dark straw to blue in each bath."""
    random, log = np.random.default_rng(seed), oxtint.TrialLog()
    for i in range(coupons):
        bath, aim_nm = baths[i % len(baths)], (26.0, 34.0, 43.0, 55.0)[i // len(baths) % 4]
        time_s = round(true.time_for(aim_nm, bath))
        seen = film.tint(true.thickness(bath, time_s) * np.exp(scatter * random.standard_normal()))
        log.add("Dogwood 4", bath=bath, time=time_s, colour=seen.label)
    return log


# %%
# The half width of the 95 % interval of the mean time, bath by bath; the median of nine logs of each kind.

HABITS = {"12 coupons, three baths, 6 % scatter": (12, ["560 F", "600 F", "640 F"], 0.06),
          "24 coupons": (24, ["560 F", "600 F", "640 F"], 0.06),
          "baths only 30 F apart": (12, ["585 F", "600 F", "615 F"], 0.06),
          "12 % scatter": (12, ["560 F", "600 F", "640 F"], 0.12)}
baths_F = np.arange(520.0, 681.0, 10.0)
figure, axes = plt.subplots(figsize=(7.2, 4.4), layout="constrained")
for (habit, (coupons, baths, scatter)), style in zip(HABITS.items(), ("k-", "g-.", "b--", "r:")):
    widths = []
    for seed in range(9):
        fit = oxtint.fit(made(coupons, baths, scatter, seed))
        widths.append([np.expm1(np.log(fit.profile("dip-time", f"{bath} F")[1])) for bath in baths_F])
    axes.plot(baths_F, 100.0 * np.median(widths, axis=0), style, linewidth=2, label=habit)
axes.axvspan(560.0, 640.0, color="0.93", zorder=0)
axes.text(600.0, 1.0, "baths of the coupons", ha="center", color="0.35")
axes.set(xlim=(520.0, 680.0), ylim=(0.0, 75.0), xlabel="bath of the dip (°F)", ylabel="mean time uncertain by up to (%)")
axes.legend(loc="upper center", fontsize=9)

# sphinx_gallery_start_ignore
CAPTION = """How far the mean lift time may be above the predicted one (95 %), by the bath of the dip. More coupons narrow it
everywhere; baths farther apart narrow it away from the middle; a rougher shop widens it everywhere."""
ALT = """Four curves over the bath of the dip from 520 to 680 F, each lowest near 600 F. The curve of 24 coupons is lowest, that
of 12 coupons in three baths somewhat above. With baths only 30 F apart the curve is as low in the middle and rises steeply
on both sides. With 12 % scatter it is higher everywhere."""
# sphinx_gallery_end_ignore
