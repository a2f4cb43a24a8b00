# SPDX-License-Identifier: GPL-3.0-or-later
"""A steel of the demo shop: has its bath drifted, and which coupons to run next, for a dip or
to tell whether growth is parabolic?

    python examples/next_coupons.py [TRIALS.csv STEEL]
"""
import pathlib
import sys

import oxtint

DEMO = pathlib.Path(__file__).resolve().parent / "demo/trials.csv"


def main() -> None:
    path, steel = sys.argv[1:3] if len(sys.argv) > 2 else (DEMO, "Birch 2")
    fit = oxtint.fit(oxtint.read_trials(path), steel)
    print(fit.drift())
    print()
    print(fit.steel.dip("blue", "600 F"))
    print()
    print(fit.steel.advise("blue", "600 F", shortest="20 s"))
    print()
    print(fit.steel.advise(criterion="law", highest_order=2, count=2, shortest="20 s"))


if __name__ == "__main__":
    main()
