# SPDX-License-Identifier: GPL-3.0-or-later
"""All pictures of one steel of the demo shop, and a sheet for the wall.

    python examples/pictures.py [FOLDER]
"""
import pathlib
import sys

import matplotlib

matplotlib.use("Agg")  # draw into files, no window needed

import oxtint
from oxtint import arrhenius, colour_chart, colour_ladder, coupon_map, growth_curve, residuals, time_spread

DEMO = pathlib.Path(__file__).resolve().parent / "demo/trials.csv"


def main() -> None:
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ".")
    log = oxtint.read_trials(DEMO)
    fit = oxtint.fit(log, "Alder 1", "satin")
    steel, part, lift = fit.steel, oxtint.Part("6 mm"), oxtint.Lift("4 s")
    oiled = oxtint.Film(finish="satin", coat_index=oxtint.OIL_INDEX)

    drawn = {
        "chart": colour_chart(steel, log, dip=steel.dip("blue", "600 F")).image,
        "ladder": colour_ladder().image,
        "ladder_oiled": colour_ladder(oiled).image,
        "growth": growth_curve(steel, "blue", "600 F", part=part, lift=lift).line,
        "arrhenius": arrhenius(fit, log).line,
        "residuals": residuals(fit, log),
        "spread": time_spread(fit, "blue", "600 F", part=part, lift=lift).aim,
        "map": coupon_map(steel, "blue", "600 F", trials=log).cells,
    }
    for name, artist in drawn.items():
        artist.figure.savefig(folder / f"{name}.png", dpi=120)
        print(f"Saved {folder / name}.png")
    oxtint.shop_sheet(steel, folder / "wall.pdf", ["550 F", "600 F", "650 F"], part=part, lift=lift)
    print(f"Saved {folder / 'wall.pdf'}")


if __name__ == "__main__":
    main()
