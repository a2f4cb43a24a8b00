# SPDX-License-Identifier: GPL-3.0-or-later
"""Is growth parabolic in the demo's shop? Its steels, one that it is not true of, and a newcomer that shares its law.

    python examples/growth_laws.py
"""
import pathlib

import oxtint

DEMO = pathlib.Path(__file__).resolve().parent / "demo" / "trials.csv"

# An invented steel with measured films, nm: two coupons each of short and long times in two baths.
ELM = {
    ("560 F", "0:30"): (20.2, 20.6), ("560 F", "2:00"): (32.0, 31.4), ("560 F", "8:00"): (51.6, 52.2),
    ("620 F", "0:15"): (26.1, 26.5), ("620 F", "1:00"): (41.7, 41.0), ("620 F", "4:00"): (66.0, 67.1),
}


def log_of_elm() -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for (bath, time), films in ELM.items():
        for film in films:
            log.add(steel="Elm 5", bath=bath, time=time, thickness_nm=film)
    return log


def dip_by_all_laws(log: oxtint.TrialLog, steel: str, finish: str, target: str, bath: str) -> oxtint.Dip:
    """The dip where nobody knows the law: each law's own, averaged by how well it agrees with the trials."""
    laws = oxtint.fit(log, steel, finish).laws()
    told = {name: result.weight for name, result in laws.items() if result.weight > 0.01}
    cards = [oxtint.fit(log, steel, finish, law=name).steel for name in told]
    return oxtint.dip_average([card.dip(target, bath) for card in cards], list(told.values()))


def main() -> None:
    log = oxtint.read_trials(DEMO)
    for steel, finish in (("Alder 1", "mirror"), ("Alder 1", "satin"), ("Birch 2", "mirror"),
                          ("Cedar 3", "satin")):
        print(f"{steel}, {finish}: {oxtint.fit(log, steel, finish).laws().sentence}")
    print()
    print(oxtint.fit(log_of_elm()).laws().report("F"))
    print()
    for name, dip in (("the parabolic law", oxtint.fit(log, "Alder 1", "satin").steel.dip("silver", "600 F")),
                      ("all laws", dip_by_all_laws(log, "Alder 1", "satin", "silver", "600 F"))):
        low, high = map(oxtint.format_duration, dip.interval_s)
        print(f"Alder 1, satin, silver at 600 F by {name}: {oxtint.format_duration(dip.time_s)}, mean time {low} to {high}")
    both = log_of_elm()
    for bath, time, film in (("560 F", "1:00", 31.0), ("560 F", "4:00", 51.5), ("600 F", "1:00", 42.5),
                             ("620 F", "2:00", 66.0)):
        both.add(steel="Fir 6", bath=bath, time=time, thickness_nm=film)
    print()
    print(oxtint.pool(both, law="power").report("F"))  # four coupons cannot show a law of their own


if __name__ == "__main__":
    main()
