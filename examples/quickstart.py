# SPDX-License-Identifier: GPL-3.0-or-later
"""The main job on the demo log: fit a steel, print its dips, draw its colour chart.

    python examples/quickstart.py [TRIALS.csv [STEEL [FINISH]]]
"""
import pathlib
import sys

import matplotlib

matplotlib.use("Agg")  # draw into a file, no window needed

import oxtint
from oxtint import colour_chart

HERE = pathlib.Path(__file__).resolve().parent


def main() -> None:
    given = sys.argv[1:] or [str(HERE / "demo" / "trials.csv"), "Alder 1", "satin"]
    path, steel, finish = (given + [None, None])[:3]

    log = oxtint.read_trials(path)
    fit = oxtint.fit(log, steel, finish)
    print(fit.report("F"))

    print(oxtint.dip_table(fit.steel))
    print()
    dip = fit.steel.dip("blue", "600 F")
    print(dip)
    print()

    card, picture = pathlib.Path("oxtint-card.json"), pathlib.Path("oxtint-chart.png")
    fit.steel.save(card)
    chart = colour_chart(fit.steel, log, dip=dip)
    chart.figure.savefig(picture, dpi=150)
    print(f"Saved the steel's card as {card.resolve()}")
    print(f"Saved the colour chart as {picture.resolve()}")


if __name__ == "__main__":
    try:
        main()
    except oxtint.TrialFileError as error:
        sys.exit("\n".join(f"{sys.argv[1]}: {fault}" for fault in error.faults))
    except oxtint.OxtintError as error:
        sys.exit(str(error))
