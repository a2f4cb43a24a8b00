# SPDX-License-Identifier: GPL-3.0-or-later
"""Ten thousand steels at once: their trials in a Parquet file, fitted by one call, and by the workers of a Dask cluster.

ALL DATA ARE INVENTED: steels, constants and scatter are drawn by chance, always the same.

    python examples/many_steels.py FOLDER [--steels 10000] [--workers 2] [--kind processes]

Leaves trials.parquet and constants.parquet in FOLDER, and says how the constants came out. Needs the
extra `tables` of the package.
"""
import argparse
import math
import os
import pathlib
import time

import numpy as np
import oxtint
import pandas
import pyarrow
import pyarrow.parquet
from dask.distributed import Client, LocalCluster, as_completed

GAS_CONSTANT = 8.314462618  # J/(mol K), SI of 2019
T_REF_K = 588.7
BATHS_F = (540.0, 575.0, 610.0, 650.0)
COUPONS = 12  # of each steel
SCATTER = 0.06  # of ln thickness from dip to dip
BATCH = 500  # steels: a row group of the file, and a task of a worker
SEED = 1704


def make_steels(count: int) -> pandas.DataFrame:
    """The constants that are to be found again."""
    dice = np.random.default_rng(SEED)
    return pandas.DataFrame({
        "steel": [f"Invented {number:05}" for number in range(1, count + 1)],
        "k_ref_nm2_per_s": np.exp(dice.normal(math.log(30.0), 0.4, count)),  # at T_REF_K
        "Q_J_per_mol": dice.normal(76e3, 6e3, count)})


def rate(k_ref: np.ndarray, Q: np.ndarray, bath_K: np.ndarray) -> np.ndarray:
    return k_ref * np.exp(-Q / GAS_CONSTANT * (1.0 / bath_K - 1.0 / T_REF_K))


def make_trials(steels: pandas.DataFrame) -> pyarrow.Table:
    """What a shop would log: round times towards films from straw to light blue, and trade names."""
    dice = np.random.default_rng(SEED + 1)
    shape = len(steels), COUPONS
    bath_F = np.resize(BATHS_F, COUPONS) + dice.choice([-2.0, 0.0, 3.0], shape)
    k = rate(steels[["k_ref_nm2_per_s"]].to_numpy(), steels[["Q_J_per_mol"]].to_numpy(),
             (bath_F + 459.67) / 1.8)
    wanted_nm = np.exp(dice.uniform(math.log(14.0), math.log(84.0), shape))
    time_s = np.maximum(5.0, 5.0 * np.round(wanted_nm**2 / k / 5.0))
    film_nm = np.sqrt(k * time_s) * np.exp(dice.normal(0.0, SCATTER, shape))
    bands = oxtint.columns(oxtint.Film().tints())
    colour = bands["label"][np.searchsorted(bands["high_nm"], film_nm)]
    return pyarrow.table({"steel": np.repeat(steels["steel"].to_numpy(), COUPONS),
                          "bath_F": bath_F.ravel(), "time_s": time_s.ravel(), "colour": colour.ravel()})


def fit_batch(path: str, batch: int) -> tuple[dict[str, np.ndarray], dict[tuple[str, str], str]]:
    """The constants of the steels of one row group, and what was said of those that could not be fitted.

    What comes back is small: columns, no fits.
    """
    fits = oxtint.fit_each(pyarrow.parquet.ParquetFile(path).read_row_group(batch), threads=1)
    return oxtint.columns(fits), fits.failed


def fit_at_once(path: str) -> tuple[pandas.DataFrame, float]:
    """The same of the whole file in one call on all processors, and how long it took with the reading (s)."""
    fit_batch(path, 0)  # what is done once
    start = time.perf_counter()
    frame = oxtint.fit_each(pyarrow.parquet.read_table(path)).to_frame()
    return frame.sort_values("steel", ignore_index=True), time.perf_counter() - start


def fit_all(path: str, kind: str, workers: int) -> tuple[pandas.DataFrame, list[str], float]:
    """The constants of all steels of a file, what was refused, and how long it took (s)."""
    batches = pyarrow.parquet.ParquetFile(path).num_row_groups
    processes = kind == "processes"
    with LocalCluster(n_workers=workers if processes else 1,
                      threads_per_worker=1 if processes else workers, processes=processes,
                      dashboard_address=None) as cluster, Client(cluster) as client:
        client.run(fit_batch, path, 0)  # what each process does once, such as to import and make the film
        start = time.perf_counter()
        jobs = client.map(fit_batch, [path] * batches, range(batches))
        found = [job.result() for job in as_completed(jobs)]
        took = time.perf_counter() - start
    tables = [pandas.DataFrame(columns) for columns, _ in found]
    constants = pandas.concat(tables, ignore_index=True).sort_values("steel", ignore_index=True)
    return constants, [f"{steel}: {words}" for _, failed in found for (steel, _), words in failed.items()], took


def tell(constants: pandas.DataFrame, steels: pandas.DataFrame) -> None:
    """True constants against fitted ones, and how often the 95 % intervals hold them."""
    both = constants.merge(steels, on="steel", suffixes=("", "_true"))
    Q, true_k = both["Q_J_per_mol_true"], rate(both["k_ref_nm2_per_s_true"],
                                               both["Q_J_per_mol_true"], both["T_ref_K"])
    count = len(both)
    print(f"{'':8} {'mean off':>12} {'spread':>12} {'stated':>12} {'intervals hold':>16}")
    for name, off, stated, low, high, true, unit in (
            ("ln k_ref", np.log(both["k_ref_nm2_per_s"] / true_k), both["ln_k_stderr"],
             both["k_ref_low_nm2_per_s"], both["k_ref_high_nm2_per_s"], true_k, ""),
            ("Q", (both["Q_J_per_mol"] - Q) / 1e3, both["Q_stderr_J_per_mol"] / 1e3,
             both["Q_low_J_per_mol"], both["Q_high_J_per_mol"], Q, "kJ/mol")):
        hold = 100.0 * ((low <= true) & (true <= high)).mean()
        error = math.sqrt(hold * (100.0 - hold) / count)
        print(f"{name:8} {off.mean():12.4f} {off.std():12.4f} {math.sqrt((stated**2).mean()):12.4f} "
              f"{hold:7.2f} +- {error:.2f} % {unit}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=pathlib.Path)
    parser.add_argument("--steels", type=int, default=10_000)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--kind", choices=["processes", "threads"], default="processes")
    options = parser.parse_args()
    path = options.folder / "trials.parquet"

    steels = make_steels(options.steels)
    pyarrow.parquet.write_table(make_trials(steels), path, row_group_size=BATCH * COUPONS)
    at_once, alone = fit_at_once(str(path))
    constants, refused, took = fit_all(str(path), options.kind, options.workers)
    assert (at_once["Q_J_per_mol"].to_numpy() == constants["Q_J_per_mol"].to_numpy()).all()
    constants.to_parquet(options.folder / "constants.parquet")

    print(f"{len(constants):,} of {options.steels:,} steels of {COUPONS} coupons fitted in {took:.1f} s, "
          f"{1e3 * took / options.steels:.2f} ms each, by {options.workers} {options.kind}")
    print(f"one call on {len(os.sched_getaffinity(0))} processors: {alone:.2f} s, {1e3 * alone / options.steels:.3f} ms each")
    for words in refused:
        print(f"  refused: {words}")
    tell(constants, steels)


if __name__ == "__main__":
    main()
