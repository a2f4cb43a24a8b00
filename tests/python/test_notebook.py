# SPDX-License-Identifier: GPL-3.0-or-later
"""What a notebook shows of results: well-formed, escaped, in the colour that is meant."""
import builtins
import io
from xml.etree import ElementTree

import numpy as np
import oxtint
from matplotlib.image import imread

from conftest import DEMO


def cells(thing) -> list[str]:
    """All texts of the table; it must be well-formed."""
    return [text.strip() for text in ElementTree.fromstring(thing._repr_html_()).itertext()]


def test_dip_and_target(steel) -> None:
    dip = steel.dip("blue", "600 F")
    text = " ".join(cells(dip))
    assert "lift after" in text and "600 F" in text and "BURNS: molten salt" in text
    red, green, blue = (round(255.0 * x) for x in oxtint.Film().path_srgb(dip.target.aim_nm))
    for thing in (dip, dip.target):
        assert f"rgb({red},{green},{blue})" in thing._repr_html_()


def test_fit_and_steel_escape_what_people_write() -> None:
    log = oxtint.TrialLog()
    for trial in oxtint.read_trials(DEMO):
        if trial.steel == "Birch 2":
            log.add("A<b> & co", bath=trial.bath_K, time=trial.time_s, colour=trial.colour)
    fit = oxtint.fit(log)
    assert any("A<b> & co" in cell for cell in cells(fit))
    assert any("A<b> & co" in cell for cell in cells(fit.steel))
    assert "<b>" not in fit._repr_html_() and "kJ/mol" in fit._repr_html_()


def test_chance_is_said_as_in_the_report(steel) -> None:
    sure = oxtint.Steel.from_values(**steel.to_dict() | {"scatter": 0.01})
    dip = sure.dip("light blue", "600 F")
    assert dip.chance > 0.995 and "over 99 %" in cells(dip) and "over 99 %" in dip.report()


def test_steel_and_fit_show_the_run_of_their_films(fitted, steel) -> None:
    values = steel.to_dict()
    for thing in (steel, fitted):
        assert "14 to 83 nm" in " ".join(cells(thing))
        for film in (values["thickness_low_nm"], values["thickness_high_nm"]):
            red, green, blue = (round(255.0 * x) for x in oxtint.Film().path_srgb(film))
            assert f"rgb({red},{green},{blue})" in thing._repr_html_()


def test_no_swatch_of_another_film_than_was_meant(log, steel) -> None:
    oiled = oxtint.Film(coat_index=oxtint.OIL_INDEX)
    for thing in (oiled.target("blue"), steel.dip("blue", "600 F", film=oiled),
                  oxtint.fit(log, "Alder 1", "satin", film=oiled).steel,
                  steel.advise(film=oiled)):
        assert "rgb(" not in thing._repr_html_() and cells(thing)
    assert "rgb(" in oiled.target(57.0)._repr_html_()  # a bare thickness is of no film


def test_advice_names_its_coupons(steel) -> None:
    advice = steel.advise("blue", "600 F")
    text = " ".join(cells(advice))
    for coupon in advice.coupons:
        assert oxtint.format_temperature(coupon.bath_K, "F") in text and coupon.label in text
        assert f"{coupon.thickness_nm:.1f} nm" in advice._repr_html_()


def test_film_is_its_ladder() -> None:
    films = [oxtint.Film(), oxtint.Film(coat_index=oxtint.OIL_INDEX)]
    pictures = [imread(io.BytesIO(film._repr_png_())) for film in films]
    assert pictures[0].shape == pictures[1].shape and pictures[0].shape[0] > pictures[0].shape[1]
    for film, picture in zip(films, pictures):
        blue = film.path_srgb(film.find_tint("blue").centre_nm)
        off = np.abs(picture[:, :, :3] - blue).max(axis=2)
        assert np.count_nonzero(off < 0.03) > 100  # pixels in the colour of its blue


def test_film_without_matplotlib_is_its_words(monkeypatch) -> None:
    real = builtins.__import__

    def without(name, *arguments, **options):
        if name.startswith("matplotlib"):
            raise ImportError(name)
        return real(name, *arguments, **options)

    monkeypatch.setattr(builtins, "__import__", without)
    assert oxtint.Film()._repr_png_() is None
