#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Make the demo log trials.csv. ALL DATA ARE INVENTED: shop, steels, constants and scatter.

Three steels that do not exist, one of them in two finishes, are dipped at the baths and times that a
shop would choose; parabolic growth with 6 % scatter gives a thickness, and its trade name is logged.

    python3 examples/demo/make_trials.py > examples/demo/trials.csv
"""
import math
import random

import oxtint

GAS_CONSTANT = 8.314462618  # J/(mol K)
T_REF_K = 588.7

# steel, finish, k_ref at 588.7 K (nm^2/s), Q (J/mol): all invented
STEELS = [
    ("Alder 1", "mirror", 27.0, 76e3),
    ("Alder 1", "satin", 35.0, 76e3),
    ("Birch 2", "mirror", 16.0, 88e3),
    ("Cedar 3", "satin", 44.0, 68e3),
]
BATHS_F = [540, 575, 610, 650]
SCATTER = 0.06


def choose_time(k_ref: float, q: float, bath_k: float, wanted_nm: float) -> int:
    """The round time a person would try for a thickness."""
    rate = k_ref * math.exp(-q / GAS_CONSTANT * (1 / bath_k - 1 / T_REF_K))
    seconds = wanted_nm ** 2 / rate
    step = 5 if seconds < 60 else 10 if seconds < 180 else 30
    return max(step, step * round(seconds / step))


def main() -> None:
    dice = random.Random(20)
    print("# Invented data of an invented shop, made by make_trials.py; no steel here exists.")
    print("steel,finish,bath_F,time_s,colour,note")
    for steel, finish, k_ref, q in STEELS:
        for i in range(10):
            bath_f = BATHS_F[i % len(BATHS_F)] + dice.choice([-2, 0, 0, 3])
            bath_k = (bath_f + 459.67) / 1.8
            time_s = choose_time(k_ref, q, bath_k, math.exp(dice.uniform(math.log(14), math.log(84))))
            rate = k_ref * math.exp(-q / GAS_CONSTANT * (1 / bath_k - 1 / T_REF_K))
            film_nm = math.sqrt(rate * time_s) * math.exp(dice.gauss(0.0, SCATTER))
            note = "salt freshly stirred" if i == 0 else "hung on the second hook" if i == 6 else ""
            print(f"{steel},{finish},{bath_f},{time_s},{oxtint.name_of(film_nm)},{note}")


if __name__ == "__main__":
    main()
