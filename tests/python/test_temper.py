# SPDX-License-Identifier: GPL-3.0-or-later
"""What dips do to hardened steel."""
import copy
import math

import numpy as np
import oxtint
import pytest
from scipy.integrate import solve_ivp

LAST = ("400 F", "2 h")


def test_the_parameter_and_its_inverses() -> None:
    # P = T (20 + log10 t): Hollomon and Jaffe, Trans. AIME 162 (1945) 223.
    for celsius, hours in ((200.0, 1.0), (300.0, 1 / 6), (325.0, 1 / 12), (400.0, 2.0)):
        expected = (celsius + 273.15) * (20.0 + math.log10(hours))
        found = oxtint.temper_parameter(f"{celsius} C", hours * 3600.0)
        assert found == pytest.approx(expected, rel=1e-13)
        assert oxtint.temper_temperature(found, hours * 3600.0) == pytest.approx(celsius + 273.15)
        assert oxtint.temper_time(found, f"{celsius} C") == pytest.approx(hours * 3600.0)
    assert oxtint.temper_parameter(600.0, 3600.0, constant=18.0) == pytest.approx(600.0 * 18.0)


@pytest.mark.parametrize("last", [("220 F", "1 min"), ("400 F", "2 h"), ("650 F", "1 h")])
def test_a_history_equals_scipy(last, measured) -> None:
    # dP/dt = T / ln 10 * 10^(C - P/T), the rule for two tempers in the limit of short ones.
    times, kelvin = [0.0, 40.0, 160.0, 400.0], [293.15, 560.0, 610.0, 330.0]

    def slope(hours, state):
        now = np.interp(hours * 3600.0, times, kelvin)
        return now / math.log(10.0) * 10.0 ** (20.0 - state / now)

    expected = oxtint.temper_parameter(*last)
    for start, end in zip(times, times[1:]):
        expected = solve_ivp(slope, (start / 3600.0, end / 3600.0), [expected], method="Radau",
                             rtol=1e-10, atol=1e-8).y[0, -1]
    temper = oxtint.History(times, kelvin).temper(last=last)
    measured("scipy-temper", temper.total_parameter / expected - 1.0, 1e-9)


def test_a_dip_that_softens() -> None:
    temper = oxtint.temper_dip("600 F", "5 min", steel="1095", last=LAST)
    assert temper.softens is True and temper.below_floor is False
    assert {"SOFTENS", "HARDENED", "WATER"} <= {caution.name for caution in temper.cautions}
    # ASM Heat Treater's Guide, 1095, 2 h at 400 F, 500 F and 600 F: 58, 57 and 52 HRC.
    assert temper.hardness_before_HRC == pytest.approx(58.0)
    assert 52.0 < temper.hardness_after_HRC < 57.0
    assert str(temper).startswith("SOFTENS") and " F\n" in str(temper)
    assert " K\n" in temper.report("K")
    assert copy.copy(temper) == temper
    assert temper.to_dict()["cautions"][0]["name"] == "HARDENED"


def test_a_dip_that_does_not() -> None:
    temper = oxtint.temper_dip("350 F", "1 min", steel="1095", last=LAST)
    assert temper.softens is False
    assert not {"SOFTENS", "HARDENED"} & {caution.name for caution in temper.cautions}
    assert temper.hardness_after_HRC == pytest.approx(58.0, abs=0.01)
    assert str(temper).startswith("Does not soften")
    assert oxtint.temper_dip("350 F", 9.0, last=LAST).below_floor


def test_what_is_not_stated_is_not_known() -> None:
    temper = oxtint.temper_dip(600.0, 300.0)
    assert temper.softens is None and math.isnan(temper.last_parameter)
    assert math.isnan(temper.hardness_after_HRC)
    names = {caution.name for caution in temper.cautions}
    assert "SOFTENS" in names and "HARDENED" not in names
    assert str(temper).startswith("Whether it softens is not known")


def test_hardness() -> None:
    # ASM Heat Treater's Guide, 1095, 2 h at 700 F: 47 HRC.
    parameter = oxtint.temper_parameter("700 F", "2 h")
    assert oxtint.temper_hardness("1095", parameter) == pytest.approx(47.0)


@pytest.mark.parametrize(("action", "words"), [
    (lambda: oxtint.temper_dip(600.0, 60.0, steel="O1"), "'O1'"),
    (lambda: oxtint.temper_dip(600.0, 60.0, last=("400", "2 h")), "unit"),
    (lambda: oxtint.temper_dip(600.0, 60.0, last=("400 F",)), "expected a temperature and a time"),
    (lambda: oxtint.temper_dip(600.0, 60.0, last="400 F"), "expected a temperature and a time"),
    (lambda: oxtint.temper_dip(600.0, 60.0, last=(0.0, 0.0)), "above 0"),
    (lambda: oxtint.temper_dip(300.0, 60.0), "bath_K"),
    (lambda: oxtint.temper_dip(600.0, 60.0, constant=2.0), "constant"),
    (lambda: oxtint.temper_hardness("1095", 9000.0), "parameter"),
    (lambda: oxtint.temper_time(11463.0, 10.0), "longer than any time"),
])
def test_refusals(action, words) -> None:
    with pytest.raises(oxtint.OxtintValueError, match=words):
        action()
