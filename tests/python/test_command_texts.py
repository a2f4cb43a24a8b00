# SPDX-License-Identifier: GPL-3.0-or-later
"""Every text of the command, whole: sessions in tests/data/command, run anew and compared.

A session is a file of lines "$ command", each followed by all it prints and, where it is not 0, its exit
status. To add a case, write its line. To take over what the commands print now, then read the difference:

    OXTINT_WRITE_TEXTS=1 build/venv/bin/python -m pytest tests/python/test_command_texts.py
    git diff tests/data/command
"""
import contextlib
import io
import os
import pathlib
import re
import shlex
import subprocess
import sys

import oxtint
import pytest
from oxtint.command import main
from oxtint.command.arguments import parser

from conftest import DEMO, ROOT

SESSIONS = sorted((ROOT / "tests/data/command").glob("*.txt"))


def settled(text: str) -> str:
    """What may differ without a fault: the version of oxtint, and where Python breaks a usage."""
    text = text.replace(f"oxtint {oxtint.__version__}", "oxtint VERSION")
    return re.sub(r"^usage: .*?\n\n", lambda found: " ".join(found[0].split()) + "\n\n", text,
                  flags=re.MULTILINE | re.DOTALL)


def run_here(words: list[str]) -> tuple[str, int]:
    """A command without pipes and files runs in this process: the start of Python takes the most time."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            status = main(words)
        except SystemExit as ended:
            status = int(str(ended.code or 0))
    return said.getvalue(), status


def run_by_shell(line: str) -> tuple[str, int]:
    """Any other line, as a person would run it."""
    ran = subprocess.run(["bash", "-c", line], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.STDOUT, text=True, check=False)
    return ran.stdout, ran.returncode


def replay(session: str) -> str:
    """The session as it runs now, in the folder where we are."""
    told = ""
    for line in re.findall(r"^\$ (.*)$", session, re.MULTILINE):
        plain = line.startswith("oxtint ") and not re.search(r"[|<>;$&]", line)
        said, status = run_here(shlex.split(line)[1:]) if plain else run_by_shell(line)
        told += f"$ {line}\n{settled(said)}"
        told += "\n" * (not told.endswith("\n")) + f"[exit {status}]\n" * (status != 0)
    return told


@pytest.fixture
def folder(tmp_path, steel, monkeypatch) -> None:
    """Where sessions run: with the demo log, the card of one of its steels, and no terminal."""
    (tmp_path / "trials.csv").write_bytes(DEMO.read_bytes())
    steel.save(tmp_path / "card.json")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATH", f"{pathlib.Path(sys.executable).parent}:{os.environ['PATH']}")
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("LC_ALL", "C.UTF-8")


@pytest.mark.parametrize("session", SESSIONS, ids=lambda path: path.stem)
def test_session(session, folder) -> None:
    told = session.read_text(encoding="utf-8")
    made = replay(told)
    if "OXTINT_WRITE_TEXTS" in os.environ:
        session.write_text(made, encoding="utf-8")
    assert made == told
    assert "Traceback" not in made


def test_no_line_parts_a_number_from_its_unit() -> None:
    for path in SESSIONS:
        parted = re.findall(r"^.*\d\n +(?:%|s|min|h|C|F|K|nm|mm|kJ/mol|nm\^2/s)(?!\w).*", path.read_text(encoding="utf-8"),
                            re.MULTILINE)
        assert not parted, path.name


def test_every_verb_is_told_of() -> None:
    told = "".join(path.read_text(encoding="utf-8") for path in SESSIONS)
    steps = re.findall(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", told, re.MULTILINE)
    verbs = next(action.choices for action in parser()._actions if action.dest == "command")
    for verb in verbs:
        mine = [(line, "[exit " in said) for line, said in steps if f"oxtint {verb}" in line]
        assert (f"oxtint {verb} --help", False) in mine
        assert any(not failed and "--help" not in line for line, failed in mine), f"no success of {verb}"
        assert any(failed for line, failed in mine), f"no failure of {verb}"
