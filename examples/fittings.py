# SPDX-License-Identifier: GPL-3.0-or-later
"""A set of fittings to one blue, in the demo shop: which bath, in which order, and what to do about the
one that came out brown.

    python examples/fittings.py
"""
import pathlib

import oxtint

HERE = pathlib.Path(__file__).parent
POT = oxtint.Bath("ternary", thermometer_sd_K=1.0, wander_K=1.5, salt_kg=12.0, heater_W=1200.0)
HAND_s = 1.5  # how much the lift wanders


def fitting(name: str, steel: oxtint.Steel, size: str, shape: str, finish: str) -> oxtint.SetPart:
    return oxtint.SetPart(name, steel, "blue", film=oxtint.Film(finish=finish),
                          part=oxtint.Part(size, shape), lift=oxtint.Lift("4 s"), salt_bath=POT)


def main() -> None:
    log = oxtint.read_trials(HERE / "demo/trials.csv")
    log.set_coupon("0.3 mm", lift="1 s")  # strips of thin sheet
    steel = oxtint.fit(log, steel="Alder 1", finish="satin").steel
    bezel = oxtint.Part("5 mm")

    best = steel.most_forgiving("blue", "550 F", "660 F", longest="8:00", part=bezel,
                                lift=oxtint.Lift("4 s"), salt_bath=POT, time_wander_s=HAND_s)
    bath = oxtint.format_temperature(best.bath_K, "F")
    print(f"The bath that forgives most is at {bath}: {100.0 * best.chance:.0f} % come out blue.\n")

    print(oxtint.plan_set(
        [fitting("bezel", steel, "5 mm", "plate", "satin"),
         fitting("finial", steel, "16 mm", "sphere", "mirror"),
         fitting("ring", steel, "2 mm", "plate", "satin")],
        bath, spacing="15 s", time_wander_s=HAND_s))

    print("\nThe ring came out brown. Back into the bath:")
    print(steel.dip("blue", bath, initial="brown", part=oxtint.Part("2 mm"), lift=oxtint.Lift("4 s"),
                    salt_bath=POT, time_wander_s=HAND_s))

    print("\nAnd a spring, tempered at 550 F for an hour, would it bear that bath?")
    print(oxtint.temper_dip(bath, best.time_s, steel="1095", last=("550 F", "1 h")))


if __name__ == "__main__":
    main()
