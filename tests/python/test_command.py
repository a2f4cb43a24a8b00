# SPDX-License-Identifier: GPL-3.0-or-later
"""The command, run as a person would run it."""
import subprocess
import sys

import pytest

from conftest import DEMO


def run(*arguments: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "oxtint", *map(str, arguments)],
                          capture_output=True, text=True, check=False)


def test_fit_and_dip(tmp_path) -> None:
    card = tmp_path / "card.json"
    fit = run("fit", DEMO, "--steel", "Alder 1", "--finish", "satin", "--save", card)
    assert fit.returncode == 0 and fit.stderr == ""
    for words in ("k_ref", "kJ/mol", "What to distrust", "Lift after", "Molten nitrate salt"):
        assert words in fit.stdout
    dip = run("dip", card, "--target", "blue", "--bath", "650 F")
    assert dip.returncode == 0 and dip.stderr == ""
    for words in ("Alder 1, satin", "blue", "650 F", "lift after", "95 % interval", "Cautions",
                  "licensed practice"):
        assert words in dip.stdout
    assert "343.3 C" in run("dip", card, "--target", "blue", "--bath", "650 F", "--units",
                            "C").stdout


@pytest.mark.parametrize(("text", "words"), [
    ("steel,bath_F,time_s\nA,600,60\n", ["column colour"]),
    ("steel,bath_F,time_s,colour\nA,6500,60,blue\nA,600,0,mauve\n",
     ["line 2, column bath_F", "'6500'", "line 3, column time_s", "'mauve'", "3 fault(s)"]),
    ("", ["header"]),
    ("steel,bath_F,time_s,colour\nA,600,60,blue\n", ["at least 3"]),
    ("steel,bath_F,time_s,colour\nA,600,60,bright\nA,650,60,bright\nA,550,60,bright\n",
     ["all 3 trials of A came out bright"]),
    ("steel,bath_F,time_s,colour\nA,600,60,blue\nB,650,60,blue\n", ["choose one", "'A', 'B'"]),
])
def test_bad_logs(tmp_path, text: str, words: list[str]) -> None:
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    result = run("fit", path)
    assert result.returncode == 1 and result.stdout == ""
    for word in words:
        assert word in result.stderr
    assert "Traceback" not in result.stderr


def test_bad_cards_and_arguments(tmp_path) -> None:
    card = tmp_path / "card.json"
    for text, words in (("", "damaged"), ('{"oxtint_card": {"major": 1', "damaged"),
                        ("[]", "not the card")):
        card.write_text(text, encoding="utf-8")
        result = run("dip", card, "--target", "blue", "--bath", "650 F")
        assert result.returncode == 1 and words in result.stderr
        assert "Traceback" not in result.stderr
    good = tmp_path / "good.json"
    assert run("fit", DEMO, "--steel", "Birch 2", "--save", good).returncode == 0
    for target, bath, words in (("mauve", "650 F", "mauve"), ("blue", "650", "unit"),
                                ("blue", "6500 F", "100 C to 700 C"), ("bright", "650 F", "bare")):
        result = run("dip", good, "--target", target, "--bath", bath)
        assert result.returncode == 1 and words in result.stderr
    assert run("dip", good).returncode == 2  # argparse: a wrong command line
    assert run().returncode == 2
    assert run("fit", tmp_path).returncode == 1


def test_a_card_that_cannot_be_written_loses_nothing(tmp_path) -> None:
    result = run("fit", DEMO, "--steel", "Birch 2", "--save", tmp_path / "missing" / "card.json")
    assert result.returncode == 1 and "No such file" in result.stderr
    assert list(tmp_path.iterdir()) == []
