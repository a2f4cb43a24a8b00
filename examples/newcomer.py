# SPDX-License-Identifier: GPL-3.0-or-later
"""A steel with two coupons in the demo's log: what the other steels say for it.

    python examples/newcomer.py
"""
import pathlib

import oxtint

DEMO = pathlib.Path(__file__).resolve().parent / "demo" / "trials.csv"
NEWCOMER = ("Birch 2", "mirror")


def early(log: oxtint.TrialLog) -> oxtint.TrialLog:
    """The log as it was when the newcomer had two coupons."""
    kept, seen = oxtint.TrialLog(), 0
    for trial in log:
        seen += (trial.steel, trial.finish) == NEWCOMER
        if (trial.steel, trial.finish) != NEWCOMER or seen <= 2:
            kept.add(steel=trial.steel, finish=trial.finish, bath=trial.bath_K, time=trial.time_s,
                     colour=trial.colour)
    return kept


def tell(name: str, steel: oxtint.Steel) -> None:
    dip = steel.dip("blue", "600 F")
    low, high = (oxtint.format_duration(time) for time in dip.interval_s)
    print(f"{name:32} blue at 600 F after {oxtint.format_duration(dip.time_s)} ({low} to {high})")


def main() -> None:
    log = oxtint.read_trials(DEMO)
    first = early(log)
    try:
        oxtint.fit(first, *NEWCOMER)
    except oxtint.OxtintValueError as error:
        print(f"alone: {error}")
    tell("two coupons, one Q for all", oxtint.pool(first).steels[NEWCOMER])
    tell("and shrunk towards the others", oxtint.pool(first, shrink=True).steels[NEWCOMER])
    tell("all ten coupons, alone", oxtint.fit(log, *NEWCOMER).steel)
    print()
    print(oxtint.pool(log, model="best").report("F"))


if __name__ == "__main__":
    main()
