# SPDX-License-Identifier: GPL-3.0-or-later
"""
How a part warms up
===================

A 6 mm plate goes into a bath at 600 F. For the first half minute it is too cold to grow a film; what that costs is the
heating-up time of a dip.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint
from bands import strip

steel = oxtint.fit(oxtint.read_trials("../demo/trials.csv"), "Alder 1", "satin").steel
time_s = np.linspace(0.5, 180.0, 120)
parts = {"2 mm plate": oxtint.Part("2 mm"), "6 mm plate": oxtint.Part("6 mm")}

# %%
# The temperature at the surface, where the film grows, and the film: its square is the exposure.

figure, (upper, lower) = plt.subplots(2, 1, figsize=(7.2, 5.6), layout="constrained", sharex=True, height_ratios=(1, 1.5))
upper.axhline(600.0, color="0.5", linewidth=1, linestyle=":")
lower.plot(time_s, steel.thickness("600 F", time_s), color="0.4", linestyle=":", linewidth=2)
lower.text(60.0, steel.thickness("600 F", 60.0) + 1.5, "hot at once", ha="right", color="0.3")
for (name, part), colour, style in zip(parts.items(), ("tab:blue", "tab:red"), ("--", "-")):
    surface_K = np.array([part.surface_temperature("600 F", time) for time in time_s])
    film_nm = np.sqrt([part.exposure(steel, "600 F", time) for time in time_s])
    upper.plot(time_s, 1.8 * surface_K - 459.67, color=colour, linestyle=style, linewidth=2, label=name)
    lower.plot(time_s, film_nm, color=colour, linestyle=style, linewidth=2)

# %%
# The lag of the thick plate: as long as it takes longer to the middle of blue than one that is hot at once.

blue = steel.film.find_tint("blue").centre_nm
lift_s, lag_s = parts["6 mm plate"].time_for(steel, blue, "600 F")
lower.annotate("", (lift_s, blue), (lift_s - lag_s, blue), arrowprops={"arrowstyle": "<->", "color": "black"})
lower.text(lift_s + 2.0, blue - 3.0, f"{lag_s:.0f} s of\nheating-up", va="top")
upper.legend(loc="lower right")
upper.set(ylabel="surface (°F)", ylim=(60.0, 640.0))
lower.set(xlabel="time in the bath (s)", ylabel="film (nm)", xlim=(0.0, 180.0), ylim=(0.0, 82.0))
strip(lower, steel.film)

# sphinx_gallery_start_ignore
CAPTION = """Above, the surface of two plates in a bath at 600 F (dotted); below, the film on them, and on one that is hot at
once (dotted). The 6 mm plate is blue later by its heating-up time."""
ALT = """Two panels over the time from 0 to 180 s. In the upper one the surface of a 2 mm plate is at bath temperature after about
30 s, that of a 6 mm plate after about 90 s. In the lower one the film of the 6 mm plate lags behind that of the 2 mm plate
and that of a part hot at once; an arrow at the blue marks the lag."""
# sphinx_gallery_end_ignore
