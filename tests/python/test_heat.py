# SPDX-License-Identifier: GPL-3.0-or-later
"""Parts that warm up, against SciPy."""
import numpy as np
import oxtint
import pytest
from scipy.integrate import quad

GAS_CONSTANT = 8.314462618


@pytest.mark.parametrize("shape", ["plate", "cylinder", "sphere", "any"])
@pytest.mark.parametrize("size", ["1 mm", "6 mm", "40 mm"])
def test_exposure_equals_scipy(steel, shape, size) -> None:
    part = oxtint.Part(size, shape)

    def rate(time: float) -> float:
        inverse = 1.0 / part.surface_temperature("620 F", time) - 1.0 / steel.T_ref
        return steel.k_ref * np.exp(-steel.Q / GAS_CONSTANT * inverse)

    expected, _ = quad(rate, 0.0, 200.0, epsabs=0.0, epsrel=1e-11, limit=500)
    assert part.exposure(steel, "620 F", 200.0) == pytest.approx(expected, rel=1e-8)


def test_lumped_temperature_is_the_exponential() -> None:
    part = oxtint.Part("6 mm")
    warming = part.warming("620 F")
    bath = oxtint.parse_temperature("620 F")
    assert warming.lumped and warming.biot < 0.1
    for time in (0.0, 5.0, 60.0):
        expected = bath - (bath - 293.15) * np.exp(-time / warming.tau_s)
        assert part.surface_temperature("620 F", time) == pytest.approx(expected, rel=1e-13)
    assert not oxtint.Part("60 mm").warming("620 F").lumped


def test_time_and_lag(steel) -> None:
    thin, thick = oxtint.Part("3 mm"), oxtint.Part("1/4 in")
    for part in (thin, thick):
        time, lag = part.time_for(steel, 57.0, "600 F")
        assert part.exposure(steel, "600 F", time) ** 0.5 == pytest.approx(57.0)
        assert time - lag == pytest.approx(steel.time_for(57.0, "600 F"))
    assert thick.time_for(steel, 57.0, "600 F").lag_s > thin.time_for(steel, 57.0, "600 F").lag_s
    warm = oxtint.Part("3 mm", start="400 F")
    assert warm.time_for(steel, 57.0, "600 F").lag_s < thin.time_for(steel, 57.0, "600 F").lag_s


def test_bad_parts() -> None:
    for make, words in ((lambda: oxtint.Part(0.0), "above 0"), (lambda: oxtint.Part("6"), "unit"),
                        (lambda: oxtint.Part("6 mm", "cube"), "cube"),
                        (lambda: oxtint.Part("6 mm", start="700 F").warming("600 F"), "start_K")):
        with pytest.raises(oxtint.OxtintValueError, match=words):
            make()
