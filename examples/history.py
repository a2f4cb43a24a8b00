# SPDX-License-Identifier: GPL-3.0-or-later
"""A logged dip of the demo shop: the film that it grew, and what it did to a hardened part.

    python examples/history.py [HISTORY.csv]
"""
import pathlib
import sys

import oxtint

DEMO = pathlib.Path(__file__).resolve().parent / "demo"


def main() -> None:
    history = oxtint.read_history(sys.argv[1] if len(sys.argv) > 1 else DEMO / "history.csv",
                                  longest_gap_s=5.0)
    steel = oxtint.fit(oxtint.read_trials(DEMO / "trials.csv"), "Alder 1", "satin").steel
    start, end = history.time_s[0], history.time_s[-1]
    hottest = history.temperature_K.max()
    print(f"{len(history)} samples over {end - start:.0f} s, up to "
          f"{oxtint.format_temperature(hottest, 'F')}")

    film_nm = history.thickness(steel)
    exposure = history.exposure(steel)
    print(f"{steel.name} grew {film_nm:.1f} nm: {oxtint.name_of(film_nm)}")
    print(f"as much as {steel.time_for(film_nm, hottest):.0f} s at the hottest sample")
    for time in range(int(start), int(end) - 9, 15):
        share = history.exposure(steel, time, min(time + 15, end)) / exposure
        print(f"  {time:3d} s to {min(time + 15, end):3.0f} s  {100 * share:5.1f} % of it")

    print()
    print("A spring of 1095, tempered at 400 F for 2 h")
    print(history.temper(steel="1095", last=("400 F", "2 h")).report("F"))
    print("One tempered at 750 F for 2 h")
    print(history.temper(steel="1095", last=("750 F", "2 h")).report("F"))


if __name__ == "__main__":
    main()
