# SPDX-License-Identifier: GPL-3.0-or-later
"""How often intervals hold, over many logs made by chance: of 90 % for the Q of an invented steel, and of 95 % for the
mean time of dips of another whose film grows as time^(1/3), with the shape of the law found by each replicate.

    python tests/bench/coverage_bootstrap.py [LOGS]
    python tests/bench/coverage_bootstrap.py [LOGS] law

Not a test. The standard error of a share of 0.9 of 1,000 logs is 0.009, of 0.95 of 2,000 0.005.
"""
import math
import sys

import numpy as np
import oxtint

R = 8.314462618  # J/(mol K), SI of 2019
Q = 80e3
REPLICATES = 1000
WAYS = ("t", "profile", "pairs", "pairs, bias-corrected", "residual", "residual, bias-corrected")


def made_up_log(dice: np.random.Generator, count: int, scatter: float) -> oxtint.TrialLog:
    log = oxtint.TrialLog()
    for i in range(count):
        bath, time = (560.0, 588.7, 616.5)[i % 3], math.exp(dice.uniform(3.0, 5.3))
        x = math.sqrt(40.0 * math.exp(-Q / R * (1.0 / bath - 1.0 / 588.7)) * time)
        log.add(steel="Alder 1", bath=bath, time=time,
                thickness_nm=x * math.exp(dice.normal(0.0, scatter)))
    return log


def intervals(fit: oxtint.Fit) -> list[tuple[float, float]]:
    found = [fit.Q_interval_J_per_mol, fit.profile("Q", confidence=0.9)]
    for kind in ("pairs", "residual"):
        boot = fit.bootstrap(REPLICATES, kind=kind, threads=1)
        found += [boot.interval("Q", confidence=0.9, method=method)
                  for method in ("percentile", "bias-corrected")]
    return found


def cube_root_log(dice: np.random.Generator, count: int, scatter: float) -> oxtint.TrialLog:
    """Three baths, films of 20 to 62 nm: dark straw to light blue."""
    log = oxtint.TrialLog()
    for i in range(count):
        bath, film = (560.0, 588.7, 616.5)[i % 3], math.exp(dice.uniform(math.log(20.0), math.log(62.0)))
        log.add(steel="Alder 1", bath=bath, time=time_for(film, bath), thickness_nm=film * math.exp(dice.normal(0.0, scatter)))
    return log


def time_for(film: float, bath: float) -> float:
    return 60.0 * (film / 35.0) ** 3 * math.exp(Q / R * (1.0 / bath - 1.0 / 588.7))


def by_law(logs: int) -> None:
    films, ways, dice = (15.0, 35.0, 62.0, 85.0), ("Student's t", "pairs", "residual"), np.random.default_rng(1989)
    for count in (12, 20, 60):
        held, width = np.zeros((len(ways), len(films))), np.zeros((len(ways), len(films)))
        for _ in range(logs):
            fit = oxtint.fit(cube_root_log(dice, count, 0.06), law="power")
            boots = [fit.bootstrap(400, kind=kind, threads=1) for kind in ("pairs", "residual")]
            for place, film in enumerate(films):
                aim = fit.steel.time_for(film, 600.0)
                limits = [fit.steel.dip(film, 600.0).interval_s]
                limits += [tuple(aim * factor for factor in boot.interval("dip-time", 600.0, thickness_nm=film))
                           for boot in boots]
                for way, (low, high) in enumerate(limits):
                    held[way, place] += low <= time_for(film, 600.0) <= high
                    width[way, place] += 0.5 * math.log(high / low)
        for way, shares, half in zip(ways, held / logs, width / logs):
            print(f"{count:4} coupons, {way:12} " + "  ".join(
                f"{film:.0f} nm {share:.3f} (+- {100 * math.expm1(one):.0f} %)" for film, share, one in zip(films, shares, half)),
                flush=True)


def main() -> None:
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    if sys.argv[2:] == ["law"]:
        by_law(logs)
        return
    dice = np.random.default_rng(1979)
    print(f"{'coupons':>8} " + " ".join(f"{way:>24}" for way in WAYS))
    for count in (6, 12, 30, 100):
        held = np.zeros(len(WAYS))
        for _ in range(logs):
            found = intervals(oxtint.fit(made_up_log(dice, count, 0.08), confidence=0.9))
            held += [low <= Q <= high for low, high in found]
        print(f"{count:8} " + " ".join(f"{share:24.3f}" for share in held / logs))


if __name__ == "__main__":
    main()
