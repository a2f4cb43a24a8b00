# SPDX-License-Identifier: GPL-3.0-or-later
"""Logs of coupons that warm up, in each of which one time is wrong: does every fit answer, and is the line named?

    python tests/bench/slips.py [LOGS]

Not a test. Coupons are 1 to 25 mm
thick, 12 in three baths, 6 % scatter; the time of one is written down wrong by a factor of 0.1 to 10, evenly in its
logarithm. A line is named in the error, by a warning, or by robust weights below one half. A slip of less than a
factor of 3 may drown in the scatter and the width of the colours, and then no line need be named.
"""
import math
import re
import sys

import numpy as np
import oxtint

K_REF, T_REF, Q = 55.0, 588.7, 80e3
BATHS_K = (560.9, 588.7, 616.5)
COUPONS, SCATTER = 12, 0.06
FILM = oxtint.Film()
NAMED = re.compile(r"\b[Ll]ine (\d+)(?=: the film|: .* has little weight| contradicts)")


def log_of(dice: np.random.Generator, steel: oxtint.Steel, kind: str) -> tuple[str, int, float]:
    """The log as CSV, the line with the slip, and its factor."""
    line, factor = int(dice.integers(COUPONS)), 10.0 ** dice.uniform(-1.0, 1.0)
    lines = ["steel,bath_K,time_s,part_mm," + ("colour" if kind == "names" else "thickness_nm")]
    for i in range(COUPONS):
        bath_K, size_m = BATHS_K[i % 3], 1e-3 * 25.0 ** dice.random()
        aim_nm = 20.0 * 4.0 ** dice.random()
        part = oxtint.Part(size_m)
        time_s = round(part.time_for(steel, aim_nm, bath_K).time_s)
        grown_nm2 = part.exposure(steel, bath_K, time_s)
        film_nm = math.sqrt(grown_nm2) * math.exp(dice.normal(0.0, SCATTER))
        seen = FILM.tint(film_nm).label if kind == "names" else f"{film_nm:.1f}"
        noted = time_s * (factor if i == line else 1.0)
        lines.append(f"Alder 1,{bath_K},{noted:.0f},{1e3 * size_m:.2f},{seen}")
    return "\n".join(lines) + "\n", line + 2, factor


def named(log: oxtint.TrialLog, robust: str | None) -> tuple[bool, list[int]]:
    """Whether the fit answered, and the lines that it or its error names."""
    try:
        words = [str(warning) for warning in oxtint.fit(log, robust=robust).warnings]
    except oxtint.OxtintError as error:
        return False, [int(number) for number in NAMED.findall(str(error))]
    return True, [int(number) for sentence in words for number in NAMED.findall(sentence)]


class Count:
    """How many logs of a kind answered, were named a line, and that with the slip; of big slips too."""

    answers = naming = right = neither = big = big_right = 0


def count(kind: str, robust: str | None, logs: int) -> Count:
    """Fit so many logs, the same for each kind of weights."""
    steel = oxtint.Steel.from_values(
        steel="Alder 1", k_ref_nm2_per_s=K_REF, T_ref_K=T_REF, Q_J_per_mol=Q, dof=9.0, bath_low_K=560.0,
        bath_high_K=620.0, thickness_low_nm=10.0, thickness_high_nm=200.0)
    dice, found = np.random.default_rng(31), Count()
    for _ in range(logs):
        text, line, factor = log_of(dice, steel, kind)
        answered, lines = named(oxtint.read_trials_text(text), robust)
        found.answers += answered
        found.neither += not answered and not lines
        found.naming += bool(lines)
        found.right += line in lines
        if abs(math.log(factor)) > math.log(3.0):
            found.big += 1
            found.big_right += line in lines
    return found


def main() -> None:
    """Print a line for each kind of log and of weights."""
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    print(f"{'':22} {'answers':>8} {'names':>6} {'right':>6} {'neither':>8} {'slips > 3':>10} {'named':>6}   of {logs:,}")
    for kind in ("names", "thicknesses"):
        for robust in (None, "huber", "tukey"):
            it = count(kind, robust, logs)
            print(f"{kind + ', ' + str(robust):22} {it.answers:8} {it.naming:6} {it.right / it.naming:6.1%} "
                  f"{it.neither:8} {it.big:10} {it.big_right / it.big:6.1%}", flush=True)


if __name__ == "__main__":
    main()
