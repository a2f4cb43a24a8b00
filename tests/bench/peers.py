# SPDX-License-Identifier: GPL-3.0-or-later
"""oxtint beside what a good numerical programmer would otherwise use, job by job, in one run.

    python tests/bench/peers.py [--only KEY ...] [--quick] [--write docs/understand/performance.md]
    python tests/bench/peers.py --cost [--write docs/understand/performance.md]

Not a test. In each row oxtint and its peer take turns, call by call; the ratio is the median over the pairs. Seconds are
those of processors, so that other work on the machine counts little; none of the calls uses more than one. A row
with a figure of its own has no peer and is the median of its calls. Prints a Markdown table with what is asked for and
a verdict; --write puts it between the marks in a page. --cost: how the cost of a job grows, the least of its calls.
"""
import argparse
import gc
import math
import os
import pathlib
import platform
import re
import select
import signal
import statistics
import tempfile
import textwrap
import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import Any, NamedTuple

import numpy as np
import oxtint
import pandas
import scipy
import scipy.optimize
from numpy.typing import NDArray
from oxtint import _core
from oxtint._oxtint import ffi, lib

ROOT = pathlib.Path(__file__).resolve().parents[2]
R = 8.314462618  # J/(mol K), SI of 2019
SCATTER, OWN = 0.06, 0.02
Numbers = NDArray[np.float64]
Call = Callable[[], object]


class Row(NamedTuple):
    """A job. `theirs` None: `least` is the most that ours may take, in seconds; else the least ratio theirs/ours."""

    job: str
    peer: str
    ours: Call
    theirs: Call | None
    least: float
    each: float = 1.0  #: pieces in one call of ours and of theirs
    theirs_each: float | None = None
    unit: str = ""
    slow: float = 0.0  #: s, run in a process of its own that is ended after so long


# ---- made-up data ----

def model(at: tuple[Numbers, Numbers], ln_k: float, q: float) -> Numbers:
    """ln of the thickness."""
    return 0.5 * (ln_k - 1e5 * q / R * (1.0 / at[0] - 1.0 / 588.7) + np.log(at[1]))


def coupons(count: int, seed: int = 0) -> tuple[Numbers, Numbers, Numbers]:
    """Baths, times and ln thickness of an invented steel."""
    dice = np.random.default_rng(seed + count)
    bath = np.resize([560.0, 588.7, 616.5], count)
    seconds = np.exp(dice.uniform(math.log(20.0), math.log(200.0), count))
    return bath, seconds, model((bath, seconds), math.log(40.0), 0.8) + dice.normal(
        0.0, math.hypot(SCATTER, OWN), count)


def log_of(data: tuple[Numbers, Numbers, Numbers]) -> oxtint.TrialLog:
    return oxtint.TrialLog.from_columns({
        "steel": np.full(len(data[0]), "Alder 1"), "bath_K": data[0], "time_s": data[1],
        "thickness_nm": np.exp(data[2])})


def by_scipy(data: tuple[Numbers, Numbers, Numbers], sigma: float = math.hypot(SCATTER, OWN)) -> Call:
    bath, seconds, ln_x = data
    errors = np.full(len(bath), sigma)
    return lambda: scipy.optimize.curve_fit(model, (bath, seconds), ln_x, (4.0, 0.7), errors, absolute_sigma=True)


def many_steels(count: int) -> pandas.DataFrame:
    """12 coupons of each of so many invented steels."""
    dice = np.random.default_rng(count)
    bath = np.tile(np.resize([560.0, 588.7, 616.5], 12), count)
    seconds = np.round(np.exp(dice.uniform(math.log(20.0), math.log(200.0), 12 * count)), 1)
    ln_k = np.repeat(dice.normal(math.log(40.0), 0.3, count), 12)
    film = np.exp(model((bath, seconds), 0.0, 0.8) + 0.5 * ln_k + dice.normal(0.0, SCATTER, 12 * count))
    return pandas.DataFrame({"steel": np.repeat([f"Invented {i:06}" for i in range(count)], 12),
                             "bath_K": bath, "time_s": seconds, "thickness_nm": np.round(film, 2)})


def log_in_C(log: oxtint.TrialLog) -> Call:
    """The call of C alone: what Python adds is one call through CFFI."""
    made, error, film = ffi.new("oxt_fit **"), _core.new_error(), oxtint.Film()

    def call() -> None:
        assert lib.oxt_fit_run(made, log._handle, film._handle, ffi.NULL, error) == 0
        lib.oxt_fit_free(made[0])

    return call


def lab_in_numpy() -> Call:
    """Lab of one film of magnetite on iron in NumPy: interference in one film, then sums over the spectrum."""
    def table(name: str) -> Numbers:
        lines = (ROOT / f"tests/data/{name}").read_text(encoding="utf-8").splitlines()
        return np.array([[float(cell) for cell in text.split(",")] for text in lines if text[:1].isdigit()])

    cie = table("cie_5nm.csv")
    nm = cie[:, 0]
    magnetite, iron = (np.interp(nm, data[:, 0], data[:, 1]) + 1j * np.interp(nm, data[:, 0], data[:, 2])
                       for data in (table("magnetite_index.csv"), table("iron_index.csv")))
    first, second = (1 - magnetite) / (1 + magnetite), (magnetite - iron) / (magnetite + iron)
    weights = (cie[:, 1:4] * cie[:, 4:5]).T
    weights = weights * (100.0 / weights[1].sum())
    white = weights.sum(axis=1)

    def lab(film_nm: float = 57.0) -> Numbers:
        phase = np.exp(4j * np.pi * magnetite * film_nm / nm)
        r = (first + second * phase) / (1 + first * second * phase)
        f = np.cbrt(weights @ (r.real**2 + r.imag**2) / white)
        return np.array([116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])])

    assert np.abs(lab() - oxtint.Film().lab(57.0)).max() < 1.5
    return lab


def warm_log(size: str, count: int = 12, scatter: float = SCATTER, seed: int = 1, lift: float = 4.0) -> oxtint.TrialLog:
    """Coupons that warm up and are carried to the quench, made by the model itself."""
    dice, part = np.random.default_rng(seed), oxtint.Part(size)
    log = oxtint.TrialLog()
    for bath, target in zip(np.resize([573.15, 593.15, 613.15], count), np.linspace(28.0, 80.0, count)):
        dip = STEEL.dip(f"{target} nm", float(bath), part=part,
                        lift=lift)
        log.add("Alder 1", bath=float(bath), time=dip.time_s, part=size, lift=lift,
                thickness_nm=target * math.exp(dice.normal(0.0, scatter)))
    return log


STEEL = oxtint.Steel.from_values(
    steel="Alder 1", k_ref_nm2_per_s=40.0, T_ref_K=588.7, Q_J_per_mol=80e3, dof=10.0, bath_low_K=560.0,
    bath_high_K=620.0, thickness_low_nm=20.0, thickness_high_nm=80.0, basis="steel")


# ---- the rows ----

def fits(scratch: pathlib.Path) -> Iterator[tuple[str, Callable[[], Row]]]:
    data = coupons(12)

    def names() -> Row:
        bands = oxtint.columns(oxtint.Film().tints())
        place = np.searchsorted(bands["high_nm"], np.exp(data[2]))
        log = oxtint.TrialLog.from_columns({"steel": ["Alder 1"] * 12, "bath_K": data[0], "time_s": data[1],
                                            "colour": bands["label"][place]})
        middles = (data[0], data[1], np.log(np.sqrt(bands["low_nm"] * bands["high_nm"])[place]))
        return Row("fit of 12 named colours as bands, from Python", "curve_fit on their middles",
                   lambda: oxtint.fit(log), by_scipy(middles, 0.1), 3.0)

    def million() -> Row:
        data = coupons(1_000_000)
        log = log_of(data)
        return Row("fit of 1e6 thickness rows, scatter estimated", "curve_fit", lambda: oxtint.fit(log),
                   by_scipy(data), 3.0)

    def ten_million() -> Row:
        short, long = log_of(coupons(1_000_000)), log_of(coupons(10_000_000))
        return Row("fit of 1e7 rows", "12 fits of 1e6 rows", lambda: oxtint.fit(long), lambda: oxtint.fit(short), 1.0,
                   each=1.0, theirs_each=1.0 / 12.0)

    def each(count: int) -> pathlib.Path:
        path = scratch / f"{count}.csv"
        if not path.exists():
            many_steels(count).to_csv(path, index=False)
        return path

    def by_file(count: int, threads: int = 1) -> oxtint.Fits:
        return oxtint.fit_each(oxtint.read_trials(each(count)), threads=threads)

    def pooled() -> Row:
        log = oxtint.TrialLog.from_columns(many_steels(1000))
        return Row("pool of 1,000 steels with a shared Q", "fit_each over them, three times", lambda: oxtint.pool(log),
                   lambda: oxtint.fit_each(log, threads=1), 1.0, theirs_each=1.0 / 3.0)

    def bootstrap() -> Row:
        fit, dice = oxtint.fit(log_of(data)), np.random.default_rng(1)

        def scipys() -> None:
            for pick in dice.integers(0, 12, (200, 12)):
                if np.ptp(data[0][pick]) > 5.0:
                    by_scipy((data[0][pick], data[1][pick], data[2][pick]))()

        return Row("bootstrap, 10,000 x 12, one thread", "curve_fit in a loop, from 200 of them",
                   lambda: fit.bootstrap(10_000, threads=1), scipys, 100.0, 10_000.0, 200.0)

    yield "fit 12 C", lambda: Row("fit of 12 thickness rows, the call in C", "curve_fit", log_in_C(log_of(data)), by_scipy(data), 30.0)
    yield "fit 12 Python", lambda: Row("the same from Python", "curve_fit", (lambda log: lambda: oxtint.fit(log))(log_of(data)),
                      by_scipy(data), 8.0)
    yield "fit 12 colours", names
    yield "fit 1000", lambda: Row("fit of 1,000 thickness rows", "curve_fit",
                      (lambda log: lambda: oxtint.fit(log))(log_of(coupons(1000))), by_scipy(coupons(1000)), 5.0)
    yield "fit 1e6", million
    yield "fit 1e7", ten_million
    yield "fit_each 10000", lambda: Row("fit_each of 10,000 steels x 12 from a CSV file, one thread, a steel", "", lambda: by_file(10_000),
                      None, 60e-6, 10_000.0)
    yield "fit_each 100000", lambda: Row("fit_each of 100,000 steels", "11 times 10,000", lambda: by_file(100_000), lambda: by_file(10_000), 1.0,
                      each=1.0, theirs_each=1.0 / 11.0)
    yield "pool 1000 steels", pooled
    yield "bootstrap 12", bootstrap


def growth(scratch: pathlib.Path) -> Iterator[tuple[str, Callable[[], Row]]]:
    long, edge = np.linspace(540.0, 640.0, 1_000_000), np.linspace(540.0, 640.0, 1000)

    def formula(bath: Numbers, second: Numbers) -> Numbers:
        return np.sqrt(STEEL.k_ref_nm2_per_s * np.exp(-STEEL.Q_J_per_mol / R * (1.0 / bath - 1.0 / STEEL.T_ref_K)) * second)

    yield "thickness pairs", lambda: Row("thickness of 1e6 pairs", "NumPy's shortest expression", lambda: STEEL.thickness(long, long),
                      lambda: formula(long, long), 1.8)
    yield "thickness grid", lambda: Row("thickness of 1000 baths by 1000 times", "NumPy's shortest expression",
                      lambda: STEEL.thickness(edge[:, None], edge), lambda: formula(edge[:, None], edge), 1.5)


def optics(scratch: pathlib.Path) -> Iterator[tuple[str, Callable[[], Row]]]:
    film = oxtint.Film()
    some = np.linspace(1.0, 250.0, 10_000)

    def exact() -> Row:
        hundred = np.linspace(20.0, 80.0, 1000)
        return Row("Lab of one film, exact (of an array)", "NumPy", lambda: film.lab(hundred), lab_in_numpy(), 75.0, 1000.0,
                   1.0)

    def matte() -> Row:
        made, few = oxtint.Film(finish="satin"), np.linspace(20.0, 80.0, 100)
        return Row("Lab of a matte film, exact", "", lambda: made.lab(few), None, 114e-6 / 4.0, 100.0)

    yield "lab exact", exact
    yield "lab matte", matte
    yield "film matte prepare", lambda: Row("preparing a matte film", "", lambda: oxtint.Film(finish="satin"), None, 8.4e-3 / 4.0)
    yield "lab path", lambda: Row("Lab from the prepared path (of an array)", "", lambda: film.path_lab(some), None, 0.03e-6, 10_000.0)


def tables(scratch: pathlib.Path) -> Iterator[tuple[str, Callable[[], Row]]]:
    dice = np.random.default_rng(3)
    count = 1_000_000

    def frame() -> pandas.DataFrame:
        return pandas.DataFrame({
            "steel": pandas.Categorical.from_codes(np.arange(count) // 100, [f"Invented {i}" for i in range(count // 100)]),
            "bath_K": np.round(dice.uniform(555.0, 620.0, count), 2),
            "time_s": np.round(dice.uniform(20.0, 200.0, count), 1),
            "thickness_nm": np.round(dice.uniform(20.0, 80.0, count), 2)})

    def file() -> pathlib.Path:
        path = scratch / "rows.csv"
        if not path.exists():
            frame().to_csv(path, index=False)
        return path

    def columns() -> Row:
        table, path = frame(), file()
        columns = {name: table[name].to_numpy() if name != "steel" else table[name] for name in table}
        return Row("1e6 rows from NumPy arrays and a categorical name", "pandas.read_csv of the same rows",
                   lambda: oxtint.TrialLog.from_columns(columns), lambda: pandas.read_csv(path), 3.0)

    yield "csv 1e6", lambda: Row("1e6 rows of CSV", "pandas.read_csv (C engine)", (lambda path: lambda: oxtint.read_trials(path))(file()),
                      (lambda path: lambda: pandas.read_csv(path))(file()), 1.0)
    yield "columns 1e6", columns


def dips(scratch: pathlib.Path) -> Iterator[tuple[str, Callable[[], Row]]]:
    yield "dip", lambda: Row("Steel.dip from Python", "", lambda: STEEL.dip("blue", 588.7), None, 15e-6)


def paths(scratch: pathlib.Path) -> Iterator[tuple[str, Callable[[], Row]]]:
    part = oxtint.Part("20 mm")

    def fit() -> Row:
        log = warm_log("20 mm")
        return Row("fit of 12 coupons of 20 mm with a lift of 4 s", "", lambda: oxtint.fit(log), None, 0.3e-3)

    def bootstrap() -> Row:
        made = oxtint.fit(warm_log("20 mm"))
        return Row("its bootstrap, 2,000 replicates, one thread", "", lambda: made.bootstrap(2000, threads=1), None, 0.3,
                   slow=20.0)

    def laws() -> Row:
        made = oxtint.fit(warm_log("20 mm"))
        return Row("its laws", "", made.laws, None, 20e-3, slow=20.0)

    def converges() -> Row:
        logs = [warm_log("25 mm", scatter=0.04, seed=seed) for seed in range(20)]

        def all_of_them() -> None:
            for log in logs:
                oxtint.fit(log)

        return Row("25 mm, 4 % noise, 20 logs of 1,000: each converges, a fit", "", all_of_them, None, 0.3e-3, 20.0, slow=20.0)

    def dip_in_C() -> Row:
        target, options, made = oxtint.Film().target("blue"), _core.new_struct("oxt_dip_options"), _core.new_struct("oxt_dip")
        sized, lifted, error = part._part, _core.new_struct("oxt_lift"), _core.new_error()
        lifted.delay_s = 4.0
        options.part, options.lift, wanted = sized, lifted, target._struct()

        def call(keep: object = (part, sized, lifted, wanted)) -> None:  # what the options point to
            assert lib.oxt_dip_predict(STEEL._handle, wanted, 588.7, options, made, error) == 0

        return Row("dip with part and lift, the call in C", "", call, None, 10e-6)

    def a_set() -> None:
        oxtint.plan_set([oxtint.SetPart(name, STEEL, "blue", part=oxtint.Part(size)) for name, size in
                         (("ring", "4 mm"), ("cap", "6 mm"), ("stem", "8 mm"))], 588.7)

    yield "coupons fit", fit
    yield "coupons bootstrap", bootstrap
    yield "coupons laws", laws
    yield "coupons converge", converges
    yield "coupons dip", dip_in_C
    yield "coupons forgiving", lambda: Row("most forgiving bath with a part", "", lambda: STEEL.most_forgiving("blue", part=part), None, 1e-3)
    yield "coupons set", lambda: Row("a set of three with parts", "", a_set, None, 1e-3)


# ---- how cost grows ----

def costs() -> Iterator[tuple[str, list[tuple[str, Call]]]]:
    """Jobs, each with the sizes that it is done in."""
    films = {count: oxtint.Film(layers=["magnetite"] * count) for count in (1, 2, 4, 8)}
    nm, names = np.linspace(20.0, 80.0, 1000), oxtint.fit(log_of(coupons(12)))
    logs = {count: log_of(coupons(count)) for count in (10, 100, 1000, 10_000, 100_000, 1_000_000)}
    many = {count: oxtint.TrialLog.from_columns(many_steels(count)) for count in (10, 100, 1000, 10_000)}
    yield "rows of a fit", [(f"{count:,}", partial(oxtint.fit, log)) for count, log in logs.items()]
    yield "steels of 12 rows each, all fitted on one thread", [
        (f"{count:,}", partial(oxtint.fit_each, log, threads=1)) for count, log in many.items()]
    yield "steels of a log of which one is fitted", [
        (f"{count:,}", partial(oxtint.fit, log, "Invented 000007")) for count, log in many.items()]
    yield "layers of a film: the Lab of 1,000 thicknesses", [
        (f"{count}", partial(film.lab, nm)) for count, film in films.items()]
    yield "replicates of a bootstrap on one thread", [
        (f"{count:,}", partial(names.bootstrap, count, threads=1)) for count in (1000, 10_000, 100_000)]
    yield "a million rows in one bath with Q held, all equal, each with an error of its own", list(worst(1_000_000))
    yield "a million rows of a table, each of a steel of its own", [
        ("read", partial(oxtint.TrialLog.from_columns, one_name_each(1_000_000)))]
    yield "threads of a bootstrap of 2,000", [
        (f"{count}", partial(names.bootstrap, 2000, threads=count)) for count in (1, 2)]
    yield "threads that fit 1,000 steels", [
        (f"{count}", partial(oxtint.fit_each, many[1000], threads=count)) for count in (1, 2)]


def worst(count: int) -> Iterator[tuple[str, Call]]:
    """Fits of rows that are hard to tell from one another, or that have a class each."""
    bath, seconds, ln_x = coupons(count)
    columns = {"steel": np.full(count, "Alder 1"), "bath_K": bath, "time_s": seconds, "thickness_nm": np.exp(ln_x)}
    read, alone = oxtint.TrialLog.from_columns, np.full(count, 588.7)
    yield "one bath", partial(oxtint.fit, read({**columns, "bath_K": alone}), Q=80e3)
    yield "equal", partial(oxtint.fit, read({**columns, "bath_K": alone, "time_s": np.full(count, 60.0),
                                             "thickness_nm": np.full(count, 50.0)}), Q=80e3)
    yield "own errors", partial(oxtint.fit, read({**columns, "thickness_sd_nm": np.linspace(0.5, 2.0, count)}))


def one_name_each(count: int) -> dict[str, object]:
    bath, seconds, ln_x = coupons(count)
    return {"steel": [f"Invented {i:07}" for i in range(count)], "bath_K": bath, "time_s": seconds,
            "thickness_nm": np.exp(ln_x)}


def memory_line() -> str:
    """What a log of columns takes beside them, and its fit beside it, by the pages of the process."""
    def pages() -> int:
        return int(pathlib.Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")

    found = []
    for count in (1_000_000, 10_000_000):
        data = coupons(count)
        steel = pandas.Categorical(["Alder 1"]).repeat(count)
        columns = {"steel": steel, "bath_K": data[0], "time_s": data[1], "thickness_nm": np.exp(data[2])}
        before = pages()
        log = oxtint.TrialLog.from_columns(columns)
        after = pages()
        fit = oxtint.fit(log)
        found.append(f"{count:,}: {(after - before) / count:.0f}, {(pages() - after) / count:.0f}")
        del fit, log
    return f"| bytes a row, of a log and of its fit beside it | {'; '.join(found)} |"


def waited(call: Call) -> float:
    """By the clock on the wall: threads are to shorten it."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def cost_lines() -> Iterator[str]:
    yield "| with | took |"
    yield "|---|---|"
    for what, jobs in costs():
        clock = waited if what.startswith("threads") else took
        least = [min(clock(call) for _ in range(max(15, min(300, int(1.0 / max(took(call), 1e-3)))))) for _, call in jobs]
        yield f"| {what} | {', '.join(f'{size}: {written(seconds)}' for (size, _), seconds in zip(jobs, least))} |"
    yield memory_line()


# ---- measuring ----

def took(call: Call) -> float:
    start = time.process_time()
    call()
    return time.process_time() - start


def loops(call: Call) -> int:
    """Calls in one measurement, so that the clock does not count."""
    return max(1, min(1000, int(2e-3 / max(took(call), 1e-7))))


def measure(row: Row, seconds: float) -> tuple[float, float, float]:
    """Seconds of a piece of ours and of theirs, and the ratio: medians over the pairs."""
    for call in (row.ours, row.theirs):
        if call is not None:
            call()
    counts = [loops(call) if call is not None else 0 for call in (row.ours, row.theirs)]
    pieces = row.each, row.each if row.theirs_each is None else row.theirs_each
    found: list[tuple[float, float]] = []
    start = time.perf_counter()
    while len(found) < 3 or (time.perf_counter() - start < seconds and len(found) < 401):
        pair = []
        for call, count, piece in zip((row.ours, row.theirs), counts, pieces):
            begin = time.process_time()
            for _ in range(count):
                call()  # type: ignore[misc]
            pair.append((time.process_time() - begin) / max(count, 1) / piece)
        found.append((pair[0], pair[1]))
        if len(found) >= 3 and time.perf_counter() - start > 4.0 * seconds:
            break
    ours, theirs = (statistics.median(side) for side in zip(*found))
    return ours, theirs, statistics.median(second / first for first, second in found)


def apart(row: Row, seconds: float) -> tuple[float, float, float] | None:
    """The same in a process of its own, which is ended when it takes too long."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        text = "failed"
        try:
            text = repr(measure(row, seconds))
        except Exception as error:  # what it says is the result
            text = f"failed: {error}"
        finally:
            os.write(writing, text.encode())
            os._exit(0)
    os.close(writing)
    ready, _, _ = select.select([reading], [], [], row.slow)
    text = os.read(reading, 65536).decode() if ready else ""
    os.close(reading)
    if not ready:
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    numbers = re.findall(r"[-+.\de]+", text) if text.startswith("(") else []
    return (float(numbers[0]), float(numbers[1]), float(numbers[2])) if len(numbers) == 3 else None


def written(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("us", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"


def line(row: Row, seconds: float) -> str:
    gc.collect()
    gc.disable()
    try:
        found = apart(row, seconds) if row.slow else measure(row, seconds)
    finally:
        gc.enable()
    if found is None:
        return f"| {row.job} | not within {row.slow:.0f} s, or failed | | | {written(row.least)} | short |"
    ours, theirs, ratio = found
    if row.theirs is None:
        return (f"| {row.job} | {written(ours)} | | | {written(row.least)} | "
                f"{'reached' if ours <= row.least else f'short: {ours / row.least:.2g} times that'} |")
    return (f"| {row.job} | {written(ours)} | {written(theirs)}, {row.peer} | {ratio:.2f}x | {row.least:g}x | "
            f"{'reached' if ratio >= row.least else 'short'} |")


def machine() -> str:
    """What it ran on."""
    name = next((text.split(":")[1].strip() for text in pathlib.Path("/proc/cpuinfo").read_text().splitlines()
                 if text.startswith("model name")), platform.machine())
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return (f"{name}, {len(os.sched_getaffinity(0))} processors, {memory:.0f} GiB, Python {platform.python_version()}, "
            f"NumPy {np.__version__}, SciPy {scipy.__version__}, pandas {pandas.__version__}, oxtint {oxtint.__version__}")


def renew(path: pathlib.Path | None, mark: str, lines: list[str]) -> None:
    """Put a table between its marks in a page."""
    if path is None:
        return
    page, table = path.read_text(encoding="utf-8"), "\n".join(lines)
    renewed, count = re.subn(rf"(<!-- {mark} -->\n).*?(<!-- end of {mark} -->)",
                             lambda found: f"{found[1]}\n{table}\n\n{found[2]}", page, flags=re.DOTALL)
    if count != 1:
        raise SystemExit(f"{path} has {count} places for the table, expected one")
    path.write_text(renewed, encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", nargs="+", default=[], help="keys of rows, as patterns: 'fit 12 .*' 'coupons .*'")
    parser.add_argument("--quick", action="store_true", help="a few pairs of each row")
    parser.add_argument("--write", type=pathlib.Path, help="page whose table is renewed")
    parser.add_argument("--cost", action="store_true", help="how cost grows, in the place of the table of peers")
    options = parser.parse_args()
    if options.cost:
        lines = []
        for text in cost_lines():
            print(text, flush=True)
            lines.append(text)
        renew(options.write, "cost", lines)
        return
    lines = [*textwrap.wrap(f"Measured on: {machine()}.", 100), "",
             "| job | oxtint | peer | ratio | at least, or at most | verdict |", "|---|---|---|---|---|---|"]
    print("\n".join(lines), flush=True)
    with tempfile.TemporaryDirectory() as scratch:
        for group in (fits, growth, optics, tables, dips, paths):
            for key, make in group(pathlib.Path(scratch)):
                if options.only and not any(re.fullmatch(only, key) for only in options.only):
                    continue
                try:
                    lines.append(line(make(), 0.3 if options.quick else 3.0))
                except Exception as error:  # what it says is the result, and the other rows go on
                    lines.append(f"| {key} | failed: {error} | | | | short |")
                print(lines[-1], flush=True)
    renew(options.write, "peers", lines)


if __name__ == "__main__":
    main()
