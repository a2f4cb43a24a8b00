# SPDX-License-Identifier: GPL-3.0-or-later
"""How one film looks on other surfaces and in other light: strips, spectra and figures.

    python examples/finishes.py [FOLDER]    leaves finishes.png and spectra.png there
"""
import pathlib
import sys

import matplotlib

matplotlib.use("Agg")  # draw into files, no window needed

import oxtint
from matplotlib import pyplot
from oxtint import colour_strip, spectrum

FILMS = {
    "mirror, dry": oxtint.Film(),
    "mirror, oiled": oxtint.Film(coat_index=oxtint.OIL_INDEX),
    "satin": oxtint.Film(finish="satin"),
    "matte": oxtint.Film(finish="matte"),
    "under a workshop LED": oxtint.Film(light="LED-B3"),
    "hematite on the outside": oxtint.Film(layers=[("hematite", 0.1), ("magnetite", 0.9)]),
}


def main() -> None:
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    day = FILMS["mirror, dry"]
    blue = day.target("blue").aim_nm
    print(f"The blue of {blue:.1f} nm")
    for name, film in FILMS.items():
        L, a, b = film.lab(blue)
        print(f"  {name:<24} L* {L:5.1f} a* {a:6.1f} b* {b:6.1f}  {film.tint(blue).label:<10} "
              f"CIEDE2000 from the dry mirror in daylight {day.difference(film, blue):4.1f}")

    figure, axes = pyplot.subplots(len(FILMS), figsize=(9.0, 11.0), layout="constrained")
    for ax, (name, film) in zip(axes, FILMS.items()):
        colour_strip(film, ax=ax)
        ax.set_title(name)
    figure.savefig(folder / "finishes.png", dpi=120)
    lines = spectrum([0.0, 18.0, 33.0, 40.0, 57.0, 73.0])
    lines[0].figure.savefig(folder / "spectra.png", dpi=120)
    print(f"Saved {folder / 'finishes.png'} and {folder / 'spectra.png'}")


if __name__ == "__main__":
    main()
