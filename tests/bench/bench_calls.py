# SPDX-License-Identifier: GPL-3.0-or-later
"""What a call from Python costs, and arrays beside the same formula in NumPy.

    python tests/bench/bench_calls.py

Not a test. Each figure is the best of many repeats; in each line both sides take turns.
"""
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
import oxtint
from numpy.typing import NDArray

R = 8.314462618  # J/(mol K), SI of 2019
STEEL = oxtint.Steel.from_values(
    steel="Alder 1", k_ref_nm2_per_s=30.0, T_ref_K=588.7, Q_J_per_mol=76e3, dof=10.0, bath_low_K=560.0,
    bath_high_K=620.0, thickness_low_nm=20.0, thickness_high_nm=80.0)
FILM = oxtint.Film()
LONG, EDGE = np.linspace(540.0, 640.0, 1_000_000), np.linspace(540.0, 640.0, 1000)
TEN = LONG[::100_000]
CALLS: dict[str, Callable[[], object]] = {
    "steel.thickness(560.0, 30.0)": lambda: STEEL.thickness(560.0, 30.0),
    "steel.time_for(57.0, 560.0)": lambda: STEEL.time_for(57.0, 560.0),
    "film.tint(57.0)": lambda: FILM.tint(57.0),
    "name_of(57.0)": lambda: oxtint.name_of(57.0),
    "film.path_lab(57.0)": lambda: FILM.path_lab(57.0),
    "film.lab(57.0)": lambda: FILM.lab(57.0),
    "film.srgb(57.0)": lambda: FILM.srgb(57.0),
    'parse_temperature("600 F")': lambda: oxtint.parse_temperature("600 F"),
    'steel.thickness("600 F", "1:30")': lambda: STEEL.thickness("600 F", "1:30"),
    "steel.thickness of 10 baths": lambda: STEEL.thickness(TEN, 30.0),
    'steel.dip("blue", 588.7)': lambda: STEEL.dip("blue", 588.7),
}
ARRAYS: dict[str, tuple[object, object]] = {
    "1e6 baths, one time": (LONG, 30.0),
    "1e6 baths, 1e6 times": (LONG, LONG),
    "1000 baths by 1000 times": (EDGE[:, None], EDGE),
}


def formula(bath: NDArray[np.float64], second: NDArray[np.float64]) -> NDArray[np.float64]:
    """Thickness in nm, as anybody would write it with NumPy; it takes exp once for each bath given."""
    return np.sqrt(STEEL.k_ref_nm2_per_s * np.exp(-STEEL.Q_J_per_mol / R * (1.0 / bath - 1.0 / STEEL.T_ref_K)) * second)


def best_s(calls: list[Callable[[], object]], inner: int, repeats: int) -> list[float]:
    """Seconds of each call, the best of many; they take turns, so that all see the same machine."""
    best = [float("inf")] * len(calls)
    for _ in range(repeats):
        for place, call in enumerate(calls):
            start = time.perf_counter()
            for _ in range(inner):
                call()
            best[place] = min(best[place], (time.perf_counter() - start) / inner)
    return best


def beyond_the_result(call: Callable[[], NDArray[np.float64]]) -> int:
    """Bytes at the peak of a call, less those of its result."""
    tracemalloc.start()
    size = call().nbytes
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak - size


def main() -> None:
    empty = best_s([lambda: None], 1000, 200)[0]
    print("one call, less the loop around it")
    for name, call in CALLS.items():
        print(f"  {name:<34} {1e6 * (best_s([call], 200, 200)[0] - empty):9.2f} us")
    print(f"\n{'thickness of arrays':<34} {'oxtint':>12} {'NumPy':>12} {'oxtint':>14} {'NumPy':>12}"
          " beyond the result")
    for name, (bath, second) in ARRAYS.items():
        both: list[Callable[[], object]] = [lambda: STEEL.thickness(bath, second),
                                            lambda: formula(bath, second)]
        took = best_s(both, 1, 25)
        room = [beyond_the_result(call) for call in both]
        print(f"  {name:<32} {1e3 * took[0]:9.2f} ms {1e3 * took[1]:9.2f} ms {room[0] / 1e6:11.2f} MB "
              f"{room[1] / 1e6:9.2f} MB")
        difference = np.max(np.abs(both[0]() / both[1]() - 1.0))
        assert difference < 1e-13, difference


if __name__ == "__main__":
    main()
