# SPDX-License-Identifier: GPL-3.0-or-later
"""What a notebook shows of results: well-formed, escaped, in the colour that is meant."""
from xml.etree import ElementTree

import oxtint

from conftest import DEMO


def cells(thing) -> list[str]:
    """All texts of the table; it must be well-formed."""
    return [text.strip() for text in ElementTree.fromstring(thing._repr_html_()).itertext()]


def test_dip_and_target(steel) -> None:
    dip = steel.dip("blue", "600 F")
    text = " ".join(cells(dip))
    assert "lift after" in text and "600 F" in text and "MOLTEN_SALT" in text
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
