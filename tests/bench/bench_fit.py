# SPDX-License-Identifier: GPL-3.0-or-later
"""How long a fit and a bootstrap take, beside SciPy's curve_fit and lmfit on the same rows.

    python tests/bench/bench_fit.py

Not a test. The others are given the errors of the rows; oxtint finds the scatter too, unless it is given.
"""
import math
import time
from collections.abc import Callable

import lmfit
import numpy as np
import oxtint
import scipy.optimize
from numpy.typing import NDArray

R = 8.314462618  # J/(mol K), SI of 2019
SCATTER = 0.06
OWN = 0.02  # the usual error of a measured thickness
REPLICATES = 10_000
Numbers = NDArray[np.float64]


def rows(count: int) -> tuple[Numbers, Numbers, Numbers]:
    """Baths, times and ln of the thickness of an invented steel."""
    dice = np.random.default_rng(count)
    bath = np.resize([560.0, 588.7, 616.5], count)
    seconds = np.exp(dice.uniform(math.log(20.0), math.log(200.0), count))
    return bath, seconds, model((bath, seconds), math.log(40.0), 0.8) + dice.normal(
        0.0, math.hypot(SCATTER, OWN), count)


def model(at: tuple[Numbers, Numbers], ln_k: float, q: float) -> Numbers:
    """ln of the thickness."""
    return 0.5 * (ln_k - 1e5 * q / R * (1.0 / at[0] - 1.0 / 588.7) + np.log(at[1]))


def log_of(bath: Numbers, seconds: Numbers, ln_x: Numbers) -> oxtint.TrialLog:
    lines = [f"Alder 1,{T!r},{t!r},{x!r}" for T, t, x in
             zip(bath.tolist(), seconds.tolist(), np.exp(ln_x).tolist())]
    return oxtint.read_trials_text("steel,bath_K,time_s,thickness_nm\n" + "\n".join(lines) + "\n")


def by_scipy(bath: Numbers, seconds: Numbers, ln_x: Numbers) -> Numbers:
    sigma = np.full(len(bath), math.hypot(SCATTER, OWN))
    return scipy.optimize.curve_fit(model, (bath, seconds), ln_x, (4.0, 0.7), sigma,
                                    absolute_sigma=True)[0]


def by_lmfit(bath: Numbers, seconds: Numbers, ln_x: Numbers) -> lmfit.minimizer.MinimizerResult:
    def residual(values: lmfit.Parameters) -> Numbers:
        return (model((bath, seconds), values["ln_k"].value, values["q"].value) - ln_x) / math.hypot(
            SCATTER, OWN)

    parameters = lmfit.Parameters()
    parameters.add("ln_k", 4.0)
    parameters.add("q", 0.7)
    return lmfit.minimize(residual, parameters, method="leastsq")


def median_s(call: Callable[[], object], repeats: int) -> float:
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        call()
        took.append(time.perf_counter() - start)
    return float(np.median(took))


def written(seconds: float) -> str:
    return f"{1e3 * seconds:12.3f} ms"


def main() -> None:
    print(f"{'fit of':>10} {'oxtint':>15} {'scatter given':>15} {'SciPy':>15} {'lmfit':>15}")
    for count, repeats in ((12, 301), (30, 301), (1000, 101), (1_000_000, 3)):
        data = rows(count)
        log = log_of(*data)
        print(f"{count:10,}", written(median_s(lambda: oxtint.fit(log), repeats)),
              written(median_s(lambda: oxtint.fit(log, scatter=SCATTER), repeats)),
              written(median_s(lambda: by_scipy(*data), repeats)),
              written(median_s(lambda: by_lmfit(*data), repeats)))

    print(f"\n{REPLICATES:,} replicates of 12 rows, drawn in pairs")
    data = rows(12)
    fit, dice = oxtint.fit(log_of(*data)), np.random.default_rng(1)

    def drawn(by: Callable[..., object], replicates: int) -> float:
        """Seconds for all of REPLICATES, from some of them."""
        picks = dice.integers(0, 12, (replicates, 12))
        start = time.perf_counter()
        for pick in picks:
            if np.ptp(data[0][pick]) > 5.0:
                by(*(column[pick] for column in data))
        return (time.perf_counter() - start) * REPLICATES / replicates

    for threads in (1, 0):
        took = median_s(lambda: fit.bootstrap(REPLICATES, threads=threads), 5)
        print(f"  oxtint, {threads or 'all'} thread{'s' * (threads != 1)}: {written(took)}")
    print(f"  SciPy: {written(drawn(by_scipy, 2000))}, from 2,000 of them")
    print(f"  lmfit: {written(drawn(by_lmfit, 1000))}, from 1,000 of them")


if __name__ == "__main__":
    main()
