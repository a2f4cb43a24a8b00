# SPDX-License-Identifier: GPL-3.0-or-later
"""Threads share what never changes, and run while the library works."""
import concurrent.futures
import sys
import threading
import time
from typing import Any

import oxtint
from oxtint._core import new_error, new_struct
from oxtint._oxtint import ffi, lib

from test_pickles import BATH, LIFT, PART, seen

THREADS = 8
ROUNDS = 6


def together(work: Any, *arguments: Any) -> list[Any]:
    """What each of 8 threads, all let go at once, gets from the same call, several times over."""
    gate = threading.Barrier(THREADS)

    def one() -> list[Any]:
        gate.wait()
        return [work(*arguments) for _ in range(ROUNDS)]

    with concurrent.futures.ThreadPoolExecutor(THREADS) as executor:
        jobs = [executor.submit(one) for _ in range(THREADS)]
        return [result for job in jobs for result in job.result()]


def use_steel(steel: oxtint.Steel) -> Any:
    dip = steel.dip("blue", "600 F", part=PART, lift=LIFT, salt_bath=BATH, load_kg=0.5)
    return (repr(dip), str(dip), steel.to_card(), steel.bath_for("straw", "1:00"),
            str(steel.advise("blue", count=1)))


def use_film(film: oxtint.Film) -> Any:
    colours = film.lab([0.0, 30.0, 57.0, 130.0])
    return colours.tobytes(), repr(film.match(colours[2])), repr(film.tints()), film.description


def use_log(log: oxtint.TrialLog) -> Any:
    return (list(log), log.to_csv(), seen(oxtint.fit(log, "Alder 1", "satin")),
            seen(oxtint.pool(log)))


def use_fit(fit: oxtint.Fit) -> Any:
    bootstrap = fit.bootstrap(100, threads=2)
    return (seen(fit), fit.steel.to_card(), str(fit.laws()), str(fit.drift()), fit.profile("Q"),
            bootstrap.ln_k.tobytes(), bootstrap.interval("dip-time", "600 F", confidence=0.9))


def test_eight_threads_on_one_steel(steel) -> None:
    assert together(use_steel, steel) == [use_steel(steel)] * (THREADS * ROUNDS)


def test_eight_threads_on_one_film() -> None:
    film = oxtint.Film(1.1, finish="satin", light="A")
    assert together(use_film, film) == [use_film(oxtint.Film(1.1, finish="satin", light="A"))] * (
        THREADS * ROUNDS)


def test_eight_threads_on_one_log(log) -> None:
    assert together(use_log, log) == [use_log(log)] * (THREADS * ROUNDS)


def test_eight_threads_on_one_fit(log) -> None:
    fresh = oxtint.fit(log, "Alder 1", "satin")  # its rows, warnings and steel are not yet looked up
    assert together(use_fit, fresh) == [use_fit(oxtint.fit(log, "Alder 1", "satin"))] * (
        THREADS * ROUNDS)


def bootstrap_run(fit: oxtint.Fit) -> Any:
    """A call of C alone, some hundredths of a second long, without a callback, which would take the GIL."""
    options, made, error = new_struct("oxt_bootstrap_options"), ffi.new("oxt_bootstrap **"), new_error()
    options.replicates, options.threads = 2000, 1

    def run() -> None:
        assert lib.oxt_bootstrap_run(made, fit._handle, options, error) == lib.OXT_OK
        lib.oxt_bootstrap_free(made[0])

    return run


# With a switch interval of a day no thread is made to give way: the other one can count only while this
# one is in a call that lets go of the GIL. The call is made until that is seen, so that a busy machine, which
# may leave the other asleep during one call, cannot fail the test.
def test_others_run_during_a_bootstrap(fitted) -> None:
    stop, counted, run = threading.Event(), [0], bootstrap_run(fitted)

    def count() -> None:
        while not stop.is_set():
            counted[0] += 1
            time.sleep(0)  # gives way of its own accord

    other, interval = threading.Thread(target=count, daemon=True), sys.getswitchinterval()
    sys.setswitchinterval(86400.0)
    try:
        other.start()
        during = calls = 0
        while not during and calls < 1000:
            before = counted[0]
            run()
            during, calls = counted[0] - before, calls + 1
    finally:
        sys.setswitchinterval(interval)
        stop.set()
        other.join()
    assert during > 0
