# SPDX-License-Identifier: GPL-3.0-or-later
"""The film against independent general-purpose implementations."""
import csv

import colour
import numpy as np
import oxtint
import pytest
from colour.phenomena import multilayer_tmm

from conftest import ROOT

THICKNESSES = np.array([0.0, 1.0, 7.5, 23.0, 40.0, 57.0, 88.0, 130.0, 175.0, 240.0, 400.0, 1000.0])


def index_table(name: str) -> np.ndarray:
    """The tables of lib/optics/optics_data.c, read as text: the test has no copy of its own to agree with."""
    text = (ROOT / "lib/optics/optics_data.c").read_text(encoding="utf-8")
    body = text.split(f"oxt_i_{name}[")[1].split("{", 1)[1].split("};")[0]
    numbers = [float(x) for x in body.replace("{", " ").replace("}", " ").replace(",", " ").split()]
    return np.array(numbers).reshape(-1, 3)


def index_at(name: str, waves: np.ndarray) -> np.ndarray:
    table = index_table(name)
    return np.interp(waves, table[:, 0], table[:, 1]) + 1j * np.interp(
        waves, table[:, 0], table[:, 2])


def reflectance_by_matrices(waves: np.ndarray, thickness_nm: float) -> np.ndarray:
    """Characteristic matrices (M. Born and E. Wolf, Principles of Optics, section 1.6), written anew
    for this test; the library uses a recursion instead. Signs: index n - ik, phase exp(+i w t)."""
    film, metal = np.conj(index_at("magnetite", waves)), np.conj(index_at("iron", waves))
    phase = 2 * np.pi * film * thickness_nm / waves
    matrix = np.array([[np.cos(phase), 1j * np.sin(phase) / film],
                       [1j * film * np.sin(phase), np.cos(phase)]])
    b, c = np.einsum("ijw,jw->iw", matrix, np.array([np.ones_like(metal), metal]))
    return np.abs((b - c) / (b + c)) ** 2


@pytest.mark.parametrize("thickness_nm", THICKNESSES)
def test_reflectance_equals_characteristic_matrices(thickness_nm: float) -> None:
    waves, R = oxtint.film_reflectance(thickness_nm)
    np.testing.assert_allclose(R, reflectance_by_matrices(waves, thickness_nm), rtol=0, atol=1e-9)


def test_reflectance_between_grid_points() -> None:
    waves = np.linspace(380.0, 780.0, 1237)
    _, R = oxtint.Film().reflectance(57.0, waves)
    np.testing.assert_allclose(R, reflectance_by_matrices(waves, 57.0), rtol=0, atol=1e-9)


@pytest.mark.parametrize("thickness_nm", THICKNESSES[1:])
def test_reflectance_equals_colour_science(thickness_nm: float) -> None:
    # The multilayer transfer matrices of the general-purpose library colour-science.
    waves, R = oxtint.film_reflectance(thickness_nm)
    indices = np.array([np.ones_like(waves, dtype=complex), index_at("magnetite", waves),
                        index_at("iron", waves)])
    for i in range(0, waves.size, 8):
        theirs, _ = multilayer_tmm(indices[:, i], [thickness_nm], waves[i], 0)
        assert R[i] == pytest.approx(float(np.mean(theirs)), abs=1e-9)


def test_bare_iron_is_fresnel_of_johnson_and_christy() -> None:
    # P. B. Johnson and R. W. Christy, Phys. Rev. B 9 (1974) 5056: n, k of iron at 549 nm, as printed.
    n = 2.95 + 2.93j
    _, R = oxtint.Film().reflectance(0.0, [549.0])
    assert R[0] == pytest.approx(abs((1 - n) / (1 + n)) ** 2, abs=1e-12)


def test_lab_equals_colour_science() -> None:
    # Independent sum over the observer and D65 tables that colour-science carries (CIE 15), at the
    # same 5 nm: agreement says that our copies of the tables are right too.
    waves, _ = oxtint.film_reflectance(0.0)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    light = colour.SDS_ILLUMINANTS["D65"]
    weights = np.array([observer[w] * light[w] for w in waves])
    weights *= 100.0 / weights[:, 1].sum()
    white = weights.sum(axis=0)
    for thickness_nm in THICKNESSES:
        _, R = oxtint.film_reflectance(thickness_nm)
        lab = colour.XYZ_to_Lab(R @ weights / 100.0, colour.XYZ_to_xy(white / 100.0))
        np.testing.assert_allclose(oxtint.film_lab(thickness_nm), lab, rtol=0, atol=1e-6)


def test_srgb_equals_colour_science(measured) -> None:
    # IEC 61966-2-1 as colour-science has it, for the colours that a screen can show.
    film = oxtint.Film()
    inside = [x for x in np.arange(0.0, 250.0, 2.0) if not film.out_of_gamut(x)]
    assert len(inside) > 60
    for thickness_nm in inside:
        theirs = colour.XYZ_to_sRGB(film.xyz(thickness_nm) / 100.0, apply_cctf_encoding=True)
        # Its matrix is derived anew from the primaries, ours is the standard's four digits.
        measured("colour-science-srgb", film.srgb(thickness_nm) - theirs, 2e-3)


def test_ciede2000_equals_colour_science_on_random_pairs(measured) -> None:
    dice = np.random.default_rng(3)
    a = dice.uniform((0, -100, -100), (100, 100, 100), (500, 3))
    b = a + dice.normal(0, 10, a.shape)
    theirs = colour.delta_E(a, b, method="CIE 2000")
    measured("colour-science-ciede2000", oxtint.delta_e2000(a, b) - theirs, 1e-9)


def test_ciede2000_of_the_published_pairs() -> None:
    # G. Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, table 1.
    with open(ROOT / "tests/data/ciede2000.csv", encoding="utf-8") as file:
        rows = [row for row in csv.reader(line for line in file if line[0] != "#")][1:]
    pairs = np.array(rows, dtype=float)
    assert len(pairs) == 34
    np.testing.assert_allclose(oxtint.delta_e2000(pairs[:, 1:4], pairs[:, 4:7]), pairs[:, 7],
                               rtol=0, atol=1e-4)


def test_the_run_of_colours() -> None:
    # The order of every published temper-colour table (for example Colvin and Juthe, The Working of
    # Steel): straw, brown, purple, blue, light blue.
    names = list(dict.fromkeys(oxtint.name_of(np.arange(0.0, 103.0, 0.5))))
    assert names == ["bright", "faint straw", "straw", "dark straw", "brown", "purple", "dark blue",
                     "blue", "light blue", "silver"]
    lab = {name: oxtint.film_lab(oxtint.Film().find_tint(name).centre_nm) for name in names[1:10]}
    assert lab["straw"][2] > 10 and abs(lab["straw"][1]) < 5  # yellow, pale
    assert lab["brown"][2] > 30 and lab["brown"][0] < 50  # yellow-red, dark
    assert lab["purple"][1] > 20 and lab["purple"][2] < -20  # between red and blue
    assert lab["blue"][2] < -30 and abs(lab["blue"][1]) < 15
    assert lab["light blue"][0] > lab["blue"][0] > lab["dark blue"][0]
    assert np.hypot(*lab["silver"][1:]) < 10  # nearly without colour
