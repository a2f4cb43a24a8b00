# SPDX-License-Identifier: GPL-3.0-or-later
"""Compare what all public calls gave on two processors.

    python tests/compare_results.py HERE THERE DIGITS

HERE and THERE are what "every_call print" printed. Numbers that stand alone agree within DIGITS significant
digits; numbers inside texts, which are rounded, within 1 %; all other words are the same.
"""
import pathlib
import re
import sys

NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"


def calls(path: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    lines: list[str] = []
    for line in pathlib.Path(path).read_text(encoding="utf-8").splitlines():
        if line.startswith("== "):
            lines = found.setdefault(line[3:], [])
        else:
            lines.append(line)
    return found


def apart(here: str, there: str) -> float:
    """By how much two numbers differ, relative to the larger; near 0 absolutely."""
    a, b = float(here), float(there)
    return abs(a - b) / max(abs(a), abs(b), 1e-6) if a != b else 0.0


def main() -> int:
    here, there, digits = calls(sys.argv[1]), calls(sys.argv[2]), float(sys.argv[3])
    bad, worst, count = 0, 0.0, 0
    for name, lines in here.items():
        others = there.get(name, [])
        reason = "" if len(lines) == len(others) else f"{len(lines)} lines here, {len(others)} there"
        for a, b in zip(lines, others):
            alone = re.fullmatch(NUMBER, a) is not None
            if re.sub(NUMBER, "0", a) != re.sub(NUMBER, "0", b):
                reason = f"{a!r} here, {b!r} there"
            for one, other in zip(re.findall(NUMBER, a), re.findall(NUMBER, b)):
                difference = apart(one, other)
                count += 1
                if alone:
                    worst = max(worst, difference)
                if difference > (10.0 ** -digits if alone else 0.01):
                    reason = f"{one} here, {other} there"
        if reason:
            bad += 1
            print(f"{name}: {reason}")
    print(f"{len(here)} calls, {count} numbers compared; those that stand alone differ by {worst:.1e} at most; "
          f"{bad} calls differ")
    return 1 if bad or not here else 0


if __name__ == "__main__":
    sys.exit(main())
