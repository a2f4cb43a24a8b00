# SPDX-License-Identifier: GPL-3.0-or-later
"""
What the finish does
====================

A polished part shows one film at one angle. On a satin or matte part the film varies and the facets tilt, so that each
spot mixes colours of films beside it: paler, in the same order.
"""
import matplotlib.pyplot as plt
import numpy as np
import oxtint

films = {"bright (mirror)": oxtint.Film(), "satin": oxtint.Film(finish="satin"), "matte": oxtint.Film(finish="matte"),
         "satin, oiled": oxtint.Film(finish="satin", coat_index=oxtint.OIL_INDEX)}
film_nm = np.linspace(1.0, 200.0, 800)

# %%
# The run of colours of each finish, where its bands begin and end, and how vivid each film is.

figure, (upper, lower) = plt.subplots(2, 1, figsize=(7.2, 5.8), layout="constrained", sharex=True)
for row, (name, film) in enumerate(films.items()):
    upper.imshow(film.srgb(film_nm)[np.newaxis], extent=(1.0, 200.0, row + 0.42, row - 0.42), aspect="auto")
    for tint in film.tints():
        if tint.high_nm < 200.0:
            upper.plot([tint.high_nm] * 2, [row - 0.42, row + 0.42], color="white", linewidth=0.8)
above = upper.secondary_xaxis("top")
named = [tint for tint in oxtint.Film().tints()[1:14] if tint.name not in ("dark straw", "dark blue")]
above.set_xticks([tint.centre_nm for tint in named], [tint.label.replace("second-order", "2nd") for tint in named],
                 rotation=90, fontsize=8.5)
upper.set_yticks(range(len(films)), list(films))
upper.set(ylim=(len(films) - 0.5, -0.5))
for (name, film), style, colour in zip(films.items(), ("-", "--", ":", "-."), ("black", "tab:blue", "tab:red", "tab:green")):
    _, a, b = film.lab(film_nm).T
    lower.plot(film_nm, np.hypot(a, b), style, color=colour, label=name, linewidth=2)
lower.set(xlim=(1.0, 200.0), ylim=(0.0, 115.0), xlabel="film (nm)", ylabel="chroma (how vivid)")
lower.legend(ncols=4, loc="upper center", fontsize=9)

# sphinx_gallery_start_ignore
CAPTION = """Above, the run of colours on four surfaces, with the ends of their bands in white; below, how vivid each film is.
A rough surface and oil pale the colours; their order stays."""
ALT = """Four horizontal strips with the colours of films from 0 to 200 nm on a mirror, satin, matte and oiled satin surface; they
run through the same colours at nearly the same films. Below, four curves of chroma with the same peaks, the mirror highest,
matte lower, oiled lowest in the first order."""
# sphinx_gallery_end_ignore
