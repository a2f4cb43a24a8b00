# SPDX-License-Identifier: GPL-3.0-or-later
"""
Laws of growth
==============

The parabolic law is not the only one. Four laws that agree on one film part on both sides of it: near the films of the
coupons the choice hardly matters, far from them it does.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint
from bands import strip

LAWS = {"parabolic": {}, "power, n = 3": {"law": "power", "law_shape": 3.0},
        "linear-parabolic, A = 30 nm": {"law": "linear-parabolic", "law_shape": 30.0},
        "logarithmic, L = 15 nm": {"law": "logarithmic", "law_shape": 15.0}}
steels = {name: oxtint.Steel.from_values(
    steel="Dogwood 4", k_ref_nm2_per_s=22.0, T_ref_K=588.7, Q_J_per_mol=75e3, dof=10.0, bath_low_K=560.0, bath_high_K=620.0,
    thickness_low_nm=28.0, thickness_high_nm=63.0, **law, **({"law_middle_nm": 42.0} if law else {})) for name, law in LAWS.items()}

# %%
# The films of each law in one bath, and the times for half and twice the middle film.

figure, axes = plt.subplots(figsize=(7.2, 4.6), layout="constrained")
time_s = np.geomspace(4.0, 1500.0, 200)
axes.axhspan(28.0, 63.0, color="0.93", zorder=0)
for (name, steel), style in zip(steels.items(), ("k-", "r--", "b:", "g-.")):
    axes.plot(time_s, steel.thickness(588.7, time_s), style, linewidth=2, label=name)
    half, twice = steel.time_for([21.0, 84.0], 588.7) / steel.time_for(42.0, 588.7)
    print(f"{name}: half the film in {half:.2f} of the time, twice the film in {twice:.1f} times it")
axes.text(1400.0, 29.5, "films of the coupons", ha="right", va="bottom", color="0.35")
axes.set(xscale="log", yscale="log", xlim=(4.0, 1500.0), ylim=(10.0, 130.0), xlabel="time in the bath (s)", ylabel="film (nm)")
axes.set_xticks([5, 10, 30, 60, 120, 300, 600, 1200], ["5", "10", "30", "60", "120", "300", "600", "1200"])
axes.set_yticks([10, 20, 30, 50, 70, 100], ["10", "20", "30", "50", "70", "100"])
axes.set_xticks([], minor=True)
axes.set_yticks([], minor=True)
axes.legend(loc="upper left")
strip(axes, oxtint.Film())

# sphinx_gallery_start_ignore
CAPTION = """Four laws through one film of 42 nm. Within the films of the coupons (grey) they lie close together; a straw or a
silver comes at quite different times."""
ALT = """Four lines of film against time on logarithmic axes that cross at 42 nm. Within a grey band from 28 to 63 nm they lie
close together; below and above they fan out, the logarithmic law flattest at long times."""
# sphinx_gallery_end_ignore
