# SPDX-License-Identifier: GPL-3.0-or-later
"""How long a log takes from a table and into one, beside CSV text, plain lists and pandas' own reader.

    python tests/bench/bench_tables.py

Not a test. The best of several runs, in microseconds for each trial; all logs come out the same.
"""
import io
import math
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import oxtint
import pandas
import polars
import pyarrow

NAMES = ["straw", "brown", "purple", "dark blue", "blue", "light blue"]


def made_up(count: int) -> dict[str, list[Any]]:
    dice = np.random.default_rng(count)
    return {"steel": ["Alder 1"] * count, "bath_K": dice.uniform(555.0, 620.0, count).tolist(),
            "time_s": np.exp(dice.uniform(3.0, 5.3, count)).tolist(),
            "colour": dice.choice(NAMES, count).tolist()}


def added(columns: dict[str, list[Any]]) -> oxtint.TrialLog:
    """Row by row, in Python."""
    log = oxtint.TrialLog()
    for steel, bath, seconds, colour in zip(*columns.values()):
        log.add(steel, bath=bath, time=seconds, colour=colour)
    return log


def ways_in(columns: dict[str, list[Any]]) -> dict[str, Callable[[], oxtint.TrialLog]]:
    take, frame = oxtint.TrialLog.from_columns, pandas.DataFrame(columns)
    text = frame.to_csv(index=False)
    arrays = {name: np.array(values) for name, values in columns.items()}
    tables = {"dict of lists": columns, "dict of arrays": arrays, "pandas": frame,
              "polars": polars.DataFrame(columns), "pyarrow": pyarrow.table(columns)}
    ways: dict[str, Callable[[], oxtint.TrialLog]] = {
        "CSV text": lambda: oxtint.read_trials_text(text), "add(), row by row": lambda: added(columns)}
    for name, table in tables.items():
        ways[f"from {name}"] = lambda table=table: take(table)
    return ways


def ways_out(log: oxtint.TrialLog) -> dict[str, Callable[[], Any]]:
    return {
        "CSV text": log.to_csv,
        "list of trials": lambda: list(log),
        "columns()": lambda: oxtint.columns(log),
        "columns() to pandas": lambda: pandas.DataFrame(oxtint.columns(log)),
        "columns() to polars": lambda: polars.DataFrame(oxtint.columns(log)),
        "CSV text read by pandas": lambda: pandas.read_csv(io.StringIO(log.to_csv())),
    }


def best_us(call: Callable[[], Any], count: int) -> float:
    """Microseconds for each of count trials."""
    best = math.inf
    for _ in range(max(5, 5_000 // count)):
        start = time.perf_counter()
        call()
        best = min(best, time.perf_counter() - start)
    return 1e6 * best / count


def main() -> None:
    counts = (12, 1000, 20_000)
    logs = {count: made_up(count) for count in counts}
    print(f"{'microseconds for each trial of':32}" + "".join(f"{count:>10,}" for count in counts))
    for title, ways in (("in", lambda count: ways_in(logs[count])),
                        ("out", lambda count: ways_out(added(logs[count])))):
        made = {count: ways(count) for count in counts}
        print(title)
        for name in made[counts[0]]:
            print(f"  {name:30}" + "".join(f"{best_us(made[count][name], count):10.2f}"
                                           for count in counts))


if __name__ == "__main__":
    main()
