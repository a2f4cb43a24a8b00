# SPDX-License-Identifier: GPL-3.0-or-later
"""The command, run as a person would run it."""
import json
import os
import pty
import signal
import subprocess
import sys

import pytest

from conftest import DEMO


def run(*arguments: object, said: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "oxtint", *map(str, arguments)], input=said,
                          capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def card(tmp_path_factory):
    """The card of one steel of the demo shop."""
    path = tmp_path_factory.mktemp("cards") / "alder.json"
    assert run("fit", DEMO, "--steel", "Alder 1", "--finish", "satin", "--save",
               path).returncode == 0
    return path


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
    ("steel,bath_F,time_s\nA,600,60\n", [":1:colour: found nothing"]),
    ("steel,bath_F,time_s,colour\nA,6500,60,blue\nA,600,0,mauve\n",
     ["log.csv:2:bath_F: found '6500'", "log.csv:3:time_s: found", "'mauve'", "3 fault(s)"]),
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


def test_check() -> None:
    result = run("check", DEMO)
    assert result.returncode == 0 and "40 trials, no fault" in result.stdout
    assert "Alder 1, satin" in result.stdout and "540 F to 650 F" in result.stdout
    groups = json.loads(run("check", DEMO, "--json").stdout)
    assert sum(group["trials"] for group in groups) == 40


def test_json_of_everything(card, tmp_path) -> None:
    fit = json.loads(run("fit", DEMO, "--steel", "Birch 2", "--json").stdout)
    assert fit["growth"]["Q_J_per_mol"] > 0.0
    assert len(fit["rows"]) == fit["row_count"] and fit["rows"][0]["worth_s"] > 0.0
    dip = json.loads(run("dip", card, "--target", "blue", "--bath", "600 F", "--json").stdout)
    assert dip["earliest_s"] < dip["time_s"] < dip["latest_s"]
    assert dip["cautions"][0]["name"] == "MOLTEN_SALT" and dip["cautions"][0]["source"]
    best = json.loads(run("baths", card, "--target", "blue", "--json").stdout)
    assert 0.0 < best["chance"] <= 1.0
    cards = json.loads(run("card", card, card, "--json").stdout)
    assert len(cards) == 2 and cards[0]["steel"] == "Alder 1"


def test_dip_of_a_part(card) -> None:
    bare = ("dip", card, "--target", "blue", "--bath", "600 F")
    result = run(*bare, "--part", "6 mm", "--lift", "4 s", "--over", "straw", "--bath-wander", "3 F")
    for words in ("lost to heating up", "growth between lift and quench", "on top of a film of"):
        assert words in result.stdout
    assert "do not dip it" in run(*bare, "--last-temper", "400 F", "2 h").stdout.lower()
    past = run("dip", card, "--target", "brown", "--bath", "600 F", "--over", "blue")
    assert past.returncode == 1 and "polish it off" in past.stderr
    assert "needs a unit" in run(*bare, "--bath-wander", "3").stderr


def test_baths_set_and_cards(card, tmp_path) -> None:
    baths = run("baths", card, "--target", "blue", "--low", "560 F", "--high", "640 F",
                "--time-wander", "3 s")
    assert baths.returncode == 0 and "The most forgiving" in baths.stdout
    parts = tmp_path / "parts.csv"
    head = "name,card,target,finish,part,shape,lift\n"
    parts.write_text(head + f"guard,{card},blue,satin,6 mm,,4 s\npommel,{card},blue,,14 mm,sphere,4 s\n")
    plan = run("set", parts, "--bath", "600 F", "--spacing", "12 s")
    assert plan.returncode == 0 and "pommel: blue" in plan.stdout and "guard: blue" in plan.stdout
    values = json.loads(run("set", parts, "--bath", "600 F", "--json", "--seed", 7).stdout)
    assert len(values["steps"]) == 2 and 0.0 <= values["chance_match"] <= 1.0
    for text, words in ((head + "guard,,blue,,,,\n", "parts.csv:2:card: found nothing"),
                        (head + f"guard,{card},mauve,,,,\n", "parts.csv:2: "),
                        (head + f"guard,{card},blue,,6 mm,,4000 s\n", "parts.csv:2: delay_s"),
                        ("name,colour\n", "parts.csv:1:colour: an unknown column")):
        parts.write_text(text)
        result = run("set", parts, "--bath", "600 F")
        assert result.returncode == 1 and words in result.stderr and "Traceback" not in result.stderr
    shown = run("card", card, "--bath", "600 F")
    assert "Alder 1, satin" in shown.stdout and "kJ/mol" in shown.stdout


@pytest.mark.parametrize(("name", "start"), [("chart.png", b"\x89PNG"), ("chart.svg", b"<?xml"),
                                             ("chart.pdf", b"%PDF")])
def test_chart(card, tmp_path, name: str, start: bytes) -> None:
    assert run("chart", card, "--trials", DEMO, "--save", tmp_path / name).returncode == 0
    assert (tmp_path / name).read_bytes().startswith(start)
    assert [path.name for path in tmp_path.iterdir()] == [name]  # nothing half-written is left
    refused = run("chart", card, "--save", tmp_path / "chart.txt")
    assert refused.returncode == 1 and ".png, .svg or .pdf" in refused.stderr


def test_chart_marks_a_dip(card, tmp_path) -> None:
    path = tmp_path / "chart.svg"
    assert run("chart", card, "--save", path, "--target", "blue", "--bath", "600 F").returncode == 0
    assert "<!-- lift after 1:33 -->" in path.read_text(encoding="utf-8")
    refused = run("chart", card, "--save", path, "--target", "blue")
    assert refused.returncode == 1 and "both --target and --bath" in refused.stderr


@pytest.mark.parametrize("name", ["wall.pdf", "wall.svg", "wall.png"])
def test_sheet(card, tmp_path, name: str) -> None:
    made = run("sheet", card, "--bath", "600 F", "--bath", "650 F", "--target", "blue", "--finish",
               "satin", "--oiled", "--part", "6 mm", "--lift", "4 s", "--coupon", "2 mm", "--paper",
               "letter", "--units", "C", "--output", tmp_path / name)
    assert made.returncode == 0 and made.stderr == "" and f"Saved {tmp_path / name}" in made.stdout
    assert [path.name for path in tmp_path.iterdir()] == [name]
    if name == "wall.svg":
        words = (tmp_path / name).read_text(encoding="utf-8")
        for line in ("Alder 1, satin", "bath at 315.6 C", "bath at 343.3 C", "second-order purple",
                     "Part: plate of 6 mm; coupons of the trials: plate of 2 mm; quench 4 s after the lift"):
            assert f"<!-- {line} -->" in words
    refused = run("sheet", card, "--output", tmp_path / "wall.doc")
    assert refused.returncode == 1 and ".png, .svg or .pdf" in refused.stderr


def test_watch(card) -> None:
    lines = [f"{second} 315.6" for second in range(150)]
    lines[40:40] = ["# stirred", "", "40 oops"]
    result = run("watch", card, "--target", "blue", "--bath", "600 F", "--part", "4 mm", "--lift",
                 "4 s", "--every", "20 s", said="\n".join(lines))
    assert result.returncode == 0 and "LIFT NOW" in result.stdout
    assert "input:43: time_s is nan" in result.stderr
    assert result.stdout.count("\n") > 6 and "straw" in result.stdout
    assert run("watch", card, "--target", "blue", "--bath", "600 F").returncode == 1


def test_stopped_by_hand(card) -> None:
    watching = subprocess.Popen(
        [sys.executable, "-m", "oxtint", "watch", str(card), "--target", "blue", "--bath", "600 F",
         "--every", "0 s"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True)
    assert watching.stdin and watching.stdout and watching.stderr
    watching.stdin.write("0 315\n1 315\n")
    watching.stdin.flush()
    assert "nm" in watching.stdout.readline()
    watching.send_signal(signal.SIGINT)
    assert watching.wait(30) == 130
    assert "Traceback" not in watching.stderr.read()


def on_terminal(card, **variables: str) -> str:
    """What dip prints to a pseudo-terminal."""
    keys = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLORTERM")}
    leader, follower = pty.openpty()
    with subprocess.Popen([sys.executable, "-m", "oxtint", "dip", str(card), "--target", "blue",
                           "--bath", "600 F"], stdout=follower, env=keys | variables) as process:
        os.close(follower)
        text = b""
        try:
            while block := os.read(leader, 4096):
                text += block
        except OSError:  # the other end is closed
            pass
        assert process.wait() == 0
    os.close(leader)
    return text.decode()


def test_coupons_and_drift(card) -> None:
    text = run("coupons", card, "--bath", "600 F", "--count", 2).stdout
    assert "Alder 1, satin" in text and "the next 2 coupons" in text and " F" in text
    assert len(json.loads(run("coupons", card, "--json").stdout)["coupons"]) == 3
    assert "no drift" in run("drift", DEMO, "--steel", "Birch 2").stdout
    assert json.loads(run("drift", DEMO, "--steel", "Birch 2", "--json").stdout)["called"] in (0, False)


def test_anchor_and_laws(card, tmp_path) -> None:
    log, new = tmp_path / "new.csv", tmp_path / "new.json"
    log.write_text("steel,finish,bath_F,time_s,colour\nAlder 1,satin,600,70,purple\n")
    result = run("anchor", card, log, "--save", new, "--label", "new salt")
    assert result.returncode == 0 and "new salt: 1 coupon" in result.stdout
    assert new.exists() and "new salt" in new.read_text(encoding="utf-8")
    log.write_text("steel,finish,bath_F,time_s,colour\nAlder 1,satin,600,70,mauve\n")
    refused = run("anchor", card, log, "--save", tmp_path / "none.json")
    assert refused.returncode == 1 and "new.csv:2:colour" in refused.stderr
    assert not (tmp_path / "none.json").exists()
    laws = run("laws", DEMO, "--steel", "Birch 2")
    assert laws.returncode == 0 and "parabolic law" in laws.stdout
    assert "verdict" in json.loads(run("laws", DEMO, "--steel", "Birch 2", "--json").stdout)


def test_swatches_only_where_they_show(card) -> None:
    assert "\x1b[48;2;" in on_terminal(card, COLORTERM="truecolor")
    assert "\x1b" not in on_terminal(card, COLORTERM="truecolor", NO_COLOR="1")
    assert "\x1b" not in on_terminal(card)
    assert "\x1b" not in run("dip", card, "--target", "blue", "--bath", "600 F").stdout


def test_help_names_every_command() -> None:
    text = run("--help").stdout
    for name in ("check", "fit", "laws", "drift", "dip", "baths", "set", "coupons", "card", "anchor",
                 "chart", "sheet", "watch"):
        assert f"\n    {name} " in text
        assert run(name, "--help").stdout.startswith(f"usage: oxtint {name}")
