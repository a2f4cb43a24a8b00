# SPDX-License-Identifier: GPL-3.0-or-later
"""How often 95 % intervals hold where every coupon had a film before its dip: of that film (as its square), and of the
mean time of dips, over many logs made by chance.

    python tests/bench/coverage_initial.py [LOGS [COUPONS]]

Not a test. The standard error of a share of 0.95 of 2,000 logs is 0.005.
"""
import math
import sys

import numpy as np
import oxtint
import scipy.stats

R = 8.314462618  # J/(mol K), SI of 2019
Q, K_REF, SCATTER = 80e3, 30.0, 0.06
FILMS = (25.0, 40.0, 62.0, 85.0)


def time_for(film: float, bath: float, initial: float) -> float:
    return (film ** 2 - initial ** 2) / (K_REF * math.exp(-Q / R * (1.0 / bath - 1.0 / 588.7)))


def made_up_log(dice: np.random.Generator, count: int, initial: float) -> oxtint.TrialLog:
    """Three baths, films of 22 to 70 nm; what grows beyond the film before scatters."""
    log = oxtint.TrialLog()
    for i in range(count):
        bath, film = (560.0, 588.7, 616.5)[i % 3], math.exp(dice.uniform(math.log(22.0), math.log(70.0)))
        grown = (film ** 2 - initial ** 2) * math.exp(2.0 * dice.normal(0.0, SCATTER))
        log.add(steel="Alder 1", bath=bath, time=time_for(film, bath, initial), thickness_nm=math.sqrt(initial ** 2 + grown))
    return log


def main() -> None:
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    for count in [int(sys.argv[2])] if len(sys.argv) > 2 else (12, 20, 60):
        for initial in (0.0, 8.0, 15.0):
            dice, held, bare, refused = np.random.default_rng(1923), np.zeros(1 + len(FILMS)), np.zeros(len(FILMS)), 0
            errors = []
            for _ in range(logs):
                log = made_up_log(dice, count, initial)
                plain = oxtint.fit(log).steel
                bare += [low <= time_for(film, 600.0, initial) <= high
                         for film in FILMS for low, high in [plain.dip(film, 600.0).interval_s]]
                try:
                    fit = oxtint.fit(log, with_initial=True)
                except oxtint.OxtintValueError:
                    refused += 1
                    continue
                off = (fit.initial_nm ** 2 - initial ** 2) / fit.initial_stderr_nm2
                errors.append(fit.initial_nm ** 2 - initial ** 2)
                held[0] += abs(off) <= scipy.stats.t.ppf(0.975, fit.dof)
                held[1:] += [low <= time_for(film, 600.0, initial) <= high
                             for film in FILMS for low, high in [fit.steel.dip(film, 600.0).interval_s]]
            times = "  ".join(f"{film:.0f} nm {a:.3f} (bare {b:.3f})" for film, a, b in
                              zip(FILMS, held[1:] / (logs - refused), bare / logs))
            print(f"{count:3} coupons, {initial:4.0f} nm: square of it {held[0] / (logs - refused):.3f} "
                  f"(bias {np.mean(errors):.0f}, sd {np.std(errors):.0f} nm^2), {times}; {refused} refused", flush=True)


if __name__ == "__main__":
    main()
