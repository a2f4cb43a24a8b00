# SPDX-License-Identifier: GPL-3.0-or-later
"""How often 90 % intervals hold the Q of an invented steel, over many logs made by chance.

    python tests/bench/coverage_bootstrap.py [LOGS]

Not a test. The standard error of a share of 0.9 of 1,000 logs is 0.009.
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


def main() -> None:
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
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
