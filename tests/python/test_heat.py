# SPDX-License-Identifier: GPL-3.0-or-later
"""Parts that warm up, against SciPy."""
import numpy as np
import oxtint
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.sparse import diags
from scipy.sparse.linalg import splu

GAS_CONSTANT = 8.314462618


@pytest.mark.parametrize("shape", ["plate", "cylinder", "sphere", "any"])
@pytest.mark.parametrize("size", ["1 mm", "6 mm", "40 mm"])
def test_exposure_equals_scipy(steel, shape, size, measured) -> None:
    part = oxtint.Part(size, shape)

    def rate(time: float) -> float:
        inverse = 1.0 / part.surface_temperature("620 F", time) - 1.0 / steel.T_ref_K
        return steel.k_ref_nm2_per_s * np.exp(-steel.Q_J_per_mol / GAS_CONSTANT * inverse)

    expected, _ = quad(rate, 0.0, 200.0, epsabs=0.0, epsrel=1e-11, limit=500)
    measured("scipy-exposure", part.exposure(steel, "620 F", 200.0) / expected - 1.0, 1e-8)
    for time in np.geomspace(0.1, 100.0, 10):
        expected, _ = quad(rate, 0.0, time, epsabs=0.0, epsrel=1e-11, limit=500)
        measured("scipy-exposure-early", part.exposure(steel, "620 F", float(time)) - expected, 1e-6)


def test_lumped_temperature_is_the_exponential() -> None:
    part = oxtint.Part("3 mm", "any")
    warming = part.warming("620 F")
    bath = oxtint.parse_temperature("620 F")
    assert warming.lumped and warming.biot < 0.1
    for time in (0.0, 5.0, 60.0):
        expected = bath - (bath - 293.15) * np.exp(-time / warming.tau_s)
        assert part.surface_temperature("620 F", time) == pytest.approx(expected, rel=1e-13)
    plate = oxtint.Part("6 mm").warming("620 F")
    assert not plate.lumped and plate.biot == warming.biot
    # a fin's length, Incropera and DeWitt, section 3.6
    fin = (plate.conductivity_W_per_mK * 0.003 / 600.0) ** 0.5
    assert plate.conduction_length_m == warming.conduction_length_m == pytest.approx(fin)


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
    for make, words in ((lambda: oxtint.Part(-0.001), "size is -0.001 m, expected 0 to 1 m"), (lambda: oxtint.Part("6"), "unit"),
                        (lambda: oxtint.Part("6 mm", "cube"), "cube"),
                        (lambda: oxtint.Part("6 mm", start="700 F").warming("600 F"), "start_K")):
        with pytest.raises(oxtint.OxtintValueError, match=words):
            make()


def test_lift_equals_scipy(steel, measured) -> None:
    """Lumped cooling with radiation (Incropera and DeWitt, section 5.3), by SciPy's integrator."""
    part = oxtint.Part("3 mm", heat_J_per_kgK=560.0)
    lift = oxtint.Lift("20 s", air="25 C", convection_W_per_m2K=15.0, emissivity=0.6)

    def slopes(_: float, state: list[float]) -> list[float]:
        T = state[0]
        flux = 15.0 * (T - 298.15) + 0.6 * 5.670374419e-8 * (T**4 - 298.15**4)
        rate = steel.k_ref_nm2_per_s * np.exp(-steel.Q_J_per_mol / GAS_CONSTANT * (1.0 / T - 1.0 / steel.T_ref_K))
        return [-flux / (7850.0 * 560.0 * 0.0015), rate]

    path = solve_ivp(slopes, (0.0, 20.0), [620.0, 0.0], method="DOP853", rtol=1e-12, atol=1e-12)
    found = part.lift_exposure(steel, 620.0, lift)
    assert found.quench_K == pytest.approx(path.y[0, -1], rel=1e-10)
    measured("scipy-lift", found.exposure_nm2 / path.y[1, -1] - 1.0, 1e-9)


def test_dip_of_a_part(steel) -> None:
    part, lift = oxtint.Part("6 mm"), oxtint.Lift("5 s")
    bare = steel.dip("blue", "600 F")
    same = steel.dip("blue", "600 F", coupon=part, coupon_lift=lift)
    assert same.time_s == pytest.approx(bare.time_s, rel=1e-9)
    sooner = steel.dip("blue", "600 F", part=part, lift=lift)
    assert sooner.time_s < steel.dip("blue", "600 F", part=part).time_s
    assert sooner.lag_s > 0.0 and sooner.lift_growth_nm > 0.0
    assert "heating-up time included" in str(sooner)
    assert steel.bath_for("blue", sooner.time_s, part=part, lift=lift) == pytest.approx(
        oxtint.parse_temperature("600 F"), rel=1e-9)
    assert sooner.to_dict()["lag_s"] == sooner.lag_s


def test_dip_on_top_of_a_film(steel) -> None:
    brown, blue = steel.dip("brown", "600 F"), steel.dip("blue", "600 F")
    rest = steel.dip("blue", "600 F", initial="brown")
    assert brown.time_s + rest.time_s == pytest.approx(blue.time_s)
    assert steel.dip("blue", "600 F", initial=30.0).initial_nm == 30.0
    with pytest.raises(oxtint.OxtintValueError, match="polish it off"):
        steel.dip("brown", "600 F", initial="blue")


def test_dip_in_a_salt_bath(steel) -> None:
    part = oxtint.Part("6 mm")
    pot = oxtint.Bath("ternary", thermometer_offset_K=5.0, wander_K=3.0, thermometer_sd_K=4.0,
                      salt_kg=15.0, heater_W=1000.0)
    here = steel.dip("blue", 595.0, part=part, salt_bath=pot)
    there = steel.dip("blue", 600.0, part=part, bath_wander_K=5.0)
    assert there.time_s + 2.0 < here.time_s < there.time_s + 5.0  # the closed form of bath.md says 3.5 s
    assert here.crust_s == pytest.approx(pot.crust(part, 600.0).melted_s) and there.crust_s == 0.0
    warm = steel.dip("blue", 595.0, part=oxtint.Part("6 mm", start=142.0 + 273.15), salt_bath=pot)
    assert here.time_s - warm.time_s == pytest.approx(here.preheat_saves_s) and warm.crust_s == 0.0
    assert "frozen salt melted after" in here.report() and "frozen" not in warm.report()
    loaded = steel.dip("blue", 595.0, part=part, salt_bath=pot, load_kg=3.0)
    assert loaded.time_s > here.time_s
    assert any(caution.name == "SAG" for caution in loaded.cautions)
    with pytest.raises(oxtint.OxtintValueError, match="expected the part"):
        steel.dip("blue", 595.0, salt_bath=pot, load_kg=1.0)


def test_hardened_part(steel) -> None:
    def names(last: tuple[float | str, float | str] | None) -> set[str]:
        return {caution.name for caution in steel.dip("blue", "600 F", last_temper=last).cautions}

    assert "HARDENED" in names(("400 F", "2 h"))
    assert "HARDENED" not in names(("700 F", "2 h")) and "HARDENED" not in names(None)
    with pytest.raises(oxtint.OxtintValueError, match="last_temper is"):
        names(("400 F",))


@pytest.mark.parametrize(("shape", "power"), [("plate", 0), ("cylinder", 1), ("sphere", 2)])
def test_series_equals_finite_differences(shape, power, measured) -> None:
    """Conduction in a slab, a long bar and a ball by Crank and Nicolson's scheme, which shares
    nothing with the series (J. Crank and P. Nicolson, Proc. Camb. Phil. Soc. 43 (1947) 50)."""
    size, h, k, rho, c, start, bath = 0.04, 900.0, 40.0, 7850.0, 560.0, 293.15, 600.0
    part = oxtint.Part(size, shape, start=start, transfer_W_per_m2K=h, density_kg_per_m3=rho,
                       heat_J_per_kgK=c, conductivity_W_per_mK=k)
    assert not part.warming(bath).lumped
    cells, step = 800, 0.01
    faces = np.linspace(0.0, size / 2.0, cells + 1)
    volume = np.diff(faces ** (power + 1)) / (power + 1)
    between = k * faces[1:-1] ** power / np.diff(0.5 * (faces[1:] + faces[:-1]))
    half = 0.5 * (faces[-1] - faces[-2])  # from the middle of the last cell to the surface
    outside = faces[-1] ** power / (1.0 / h + half / k)
    main = np.zeros(cells)
    main[:-1] -= between
    main[1:] -= between
    main[-1] -= outside
    rate = diags([between, main, between], [-1, 0, 1]) / (rho * c)
    mass = diags(volume)
    solve = splu((mass - 0.5 * step * rate).tocsc()).solve
    explicit = (mass + 0.5 * step * rate).tocsr()
    gap = np.full(cells, start - bath)
    for count in range(1, 12001):
        gap = solve(explicit @ gap)
        if count in (400, 1500, 12000):
            surface = bath + gap[-1] * (1.0 / h) / (1.0 / h + half / k)
            found = part.surface_temperature(bath, count * step)
            measured("finite-differences", (found - surface) / (bath - start), 1e-4)


@pytest.mark.parametrize(("speed", "expected"), [(0.05, 1100.0), (0.2, 2200.0)])
def test_stated_heat_transfer_of_a_moved_part(speed, expected) -> None:
    """S. W. Churchill and M. Bernstein, J. Heat Transfer 99 (1977) 300, from memory: cross-flow over a
    bar of 10 mm. Conductivity and viscosity of the 60/40 salt at 300 C: Sandia's correlations for solar
    salt, k = 0.443 + 1.9e-4 T and mu = 22.714 - 0.120 T + 2.281e-4 T^2 - 1.474e-7 T^3 mPa s."""
    T, size = 300.0, 0.01
    salt = oxtint.salt("binary 60/40", f"{T} C")
    k = 0.443 + 1.9e-4 * T
    mu = 1e-3 * (22.714 - 0.120 * T + 2.281e-4 * T**2 - 1.474e-7 * T**3)
    Re, Pr = salt.density_kg_per_m3 * speed * size / mu, salt.heat_J_per_kgK * mu / k
    Nu = 0.3 + (0.62 * Re**0.5 * Pr ** (1 / 3) / (1.0 + (0.4 / Pr) ** (2 / 3)) ** 0.25
                * (1.0 + (Re / 282000.0) ** (5 / 8)) ** (4 / 5))
    assert Nu * k / size == pytest.approx(expected, rel=0.05)


def test_a_still_bath_equals_scipy(steel) -> None:
    """Natural convection, h = 600 (dT/150 K)^n W/(m2 K), around a part of one temperature, by SciPy's integrator."""
    bath = 600.0
    for exponent in (0.25, 0.4):
        part = oxtint.Part("3 mm", "any", flow="still", transfer_at_K=150.0, transfer_exponent=exponent,
                           heat_J_per_kgK=560.0)

        def slopes(_: float, state: list[float], exponent: float = exponent) -> list[float]:
            gap = bath - state[0]
            return [600.0 * (gap / 150.0) ** exponent * gap / (7850.0 * 560.0 * 0.003)]

        times = [5.0, 20.0, 60.0, 120.0]
        expected = solve_ivp(slopes, (0.0, 120.0), [293.15], t_eval=times, rtol=1e-10).y[0]
        for time, surface in zip(times, expected):
            assert part.surface_temperature(bath, time) == pytest.approx(surface, abs=5e-3)


def test_a_part_against_the_pot() -> None:
    """One face of a plate wetted: that of a plate of twice the thickness."""
    half, whole = oxtint.Part("6 mm", wetted=0.5), oxtint.Part("12 mm")
    assert half.surface_temperature(600.0, 30.0) == pytest.approx(whole.surface_temperature(600.0, 30.0))
    with pytest.raises(oxtint.OxtintValueError, match="wetted"):
        oxtint.Part("6 mm", wetted=1.5).warming(600.0)
