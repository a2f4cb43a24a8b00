# SPDX-License-Identifier: GPL-3.0-or-later
"""A time that was written down wrong in the demo's log, and what becomes of the fit.

    python examples/blunder.py
"""
import pathlib

import oxtint

DEMO = pathlib.Path(__file__).resolve().parent / "demo" / "trials.csv"


def with_blunder(log: oxtint.TrialLog) -> oxtint.TrialLog:
    """The coupons of one steel, the time of the fourth with a zero too many."""
    spoilt = oxtint.TrialLog()
    for trial in log:
        if (trial.steel, trial.finish) == ("Alder 1", "satin"):
            time = trial.time_s * 10.0 if len(spoilt) == 3 else trial.time_s
            spoilt.add(steel=trial.steel, finish=trial.finish, bath=trial.bath_K, time=time,
                       colour=trial.colour)
    return spoilt


def main() -> None:
    log = oxtint.read_trials(DEMO)
    spoilt = with_blunder(log)
    fits = {
        "as logged": oxtint.fit(log, "Alder 1", "satin"),
        "with the blunder": oxtint.fit(spoilt),
        "Huber's weights": oxtint.fit(spoilt, robust="huber"),
        "Tukey's weights": oxtint.fit(spoilt, robust="tukey"),
    }
    for name, fit in fits.items():
        dip = fit.steel.dip("blue", "600 F")
        print(f"{name:17} Q {fit.Q_J_per_mol / 1e3:5.1f} kJ/mol, scatter {100 * fit.scatter:5.1f} %, "
              f"blue at 600 F after {oxtint.format_duration(dip.time_s)}")
    print()
    print(fits["Tukey's weights"].report("F"))


if __name__ == "__main__":
    main()
