# SPDX-License-Identifier: GPL-3.0-or-later
"""The salt was changed: one coupon brings the card up to date, and how sure the fit had been.

    python examples/new_salt.py
"""
import pathlib

import oxtint

DEMO = pathlib.Path(__file__).resolve().parent / "demo" / "trials.csv"


def main() -> None:
    fit = oxtint.fit(oxtint.read_trials(DEMO), "Alder 1", "satin")
    low, high = fit.profile("dip-time", "600 F")
    print(f"by profile:   a dip at 600 F takes {low:.3f} to {high:.3f} of the time that the fit says")
    boot = fit.bootstrap(2000, random_seed=12)
    low, high = boot.interval("dip-time", "600 F", method="bias-corrected")
    print(f"by bootstrap: a dip at 600 F takes {low:.3f} to {high:.3f} of the time that the fit says")

    new = oxtint.TrialLog()
    new.add(steel="Alder 1", finish="satin", bath="600 F", time="1:10", colour="purple")
    renewed = fit.steel.anchor(new, label="new salt")
    print(renewed.history[-1])
    for name, steel in (("before", fit.steel), ("after", renewed)):
        dip = steel.dip("blue", "600 F")
        print(f"{name:6} blue at 600 F after {oxtint.format_duration(dip.time_s)}")


if __name__ == "__main__":
    main()
