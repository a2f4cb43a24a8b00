# SPDX-License-Identifier: GPL-3.0-or-later
"""Coupons that warm up, with one time written down wrong: tests/bench/slips.py does the same with 1,000 logs."""
import pathlib
import sys

import pytest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "bench"))
import slips  # noqa: E402


@pytest.mark.parametrize("kind, robust", [("names", None), ("names", "huber"), ("thicknesses", None),
                                          ("thicknesses", "tukey")])
def test_a_fit_answers_or_names_the_line_with_the_slip(kind: str, robust: str | None) -> None:
    found = slips.count(kind, robust, 60)
    assert found.neither == 0
    assert found.right >= 0.95 * found.naming
    assert found.big_right >= (0.8 if kind == "names" else 0.9) * found.big
