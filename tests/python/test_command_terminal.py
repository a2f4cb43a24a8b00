# SPDX-License-Identifier: GPL-3.0-or-later
"""The command in a terminal: colour, progress, Ctrl-C, completion, the manual page."""
import fcntl
import os
import pathlib
import pty
import select
import struct
import subprocess
import sys
import termios

import oxtint
import oxtint.command.watching as watching
import pyte
import pytest
from oxtint.command import main
from oxtint.command.arguments import parser

from conftest import DEMO, ROOT

ALDER = ("fit", DEMO, "--steel", "Alder 1", "--finish", "satin")
ROWS, COLUMNS = 100, 80


class Terminal:
    """A program in a pseudo-terminal, and what its screen shows."""

    def __init__(self, *command: object, **variables: str) -> None:
        keys = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLORTERM")}
        self.leader, follower = pty.openpty()
        fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        self.process = subprocess.Popen(
            [*map(str, command)], stdin=follower, stdout=follower, stderr=follower, start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),  # so that Ctrl-C is a signal
            env=keys | {"TERM": "xterm-256color", "LC_ALL": "C.UTF-8"} | variables)
        os.close(follower)
        self.screen = pyte.Screen(COLUMNS, ROWS)
        self.stream = pyte.ByteStream(self.screen)
        self.told = b""

    def type(self, text: str) -> None:
        os.write(self.leader, text.encode())

    def _read(self) -> bool:
        ready, _, _ = select.select([self.leader], [], [], 60.0)
        assert ready, f"nothing more came after {self.told!r}"
        try:
            block = os.read(self.leader, 4096)
        except OSError:  # the program has ended
            return False
        self.told += block
        self.stream.feed(block)
        return bool(block)

    def wait_for(self, words: str) -> None:
        while words.encode() not in self.told:
            assert self._read(), f"ended without {words}: {self.told!r}"

    def wait_to_see(self, words: str) -> None:
        while not any(words in line for line in self.screen.display):
            assert self._read(), f"ended without {words}: {self.told!r}"

    def end(self) -> int:
        while self._read():
            pass
        os.close(self.leader)
        return self.process.wait(60)

    @property
    def lines(self) -> list[str]:
        """What stands on the screen."""
        return [line.rstrip() for line in self.screen.display if line.strip()]


def command(*words: object, **variables: str) -> Terminal:
    return Terminal(sys.executable, "-m", "oxtint", *words, **variables)


@pytest.fixture
def card(tmp_path, steel):
    steel.save(tmp_path / "card.json")
    return tmp_path / "card.json"


def test_a_swatch_has_the_colour_of_the_film(card) -> None:
    shown = command("dip", card, "--target", "blue", "--bath", "600 F", COLORTERM="truecolor")
    assert shown.end() == 0
    srgb = oxtint.Film().srgb(oxtint.Film().target("blue").aim_nm)
    expected = "".join(f"{round(255.0 * x):02x}" for x in srgb)
    row = shown.screen.buffer[0]
    assert [row[x].bg for x in range(3)] == [expected, expected, "default"]
    assert shown.lines[0].startswith("   Alder 1, satin: blue")


@pytest.mark.parametrize("variables", [{}, {"COLORTERM": "truecolor", "NO_COLOR": "1"}])
def test_no_swatch_where_it_is_not_wanted(card, variables) -> None:
    shown = command("dip", card, "--target", "blue", "--bath", "600 F", **variables)
    assert shown.end() == 0 and b"\x1b" not in shown.told
    assert shown.lines[0].startswith("Alder 1, satin: blue")


def test_no_swatch_in_a_pipe(card) -> None:
    ran = subprocess.run([sys.executable, "-m", "oxtint", "dip", card, "--target", "blue", "--bath", "600 F"],
                         env=os.environ | {"COLORTERM": "truecolor"}, capture_output=True, check=True)
    assert b"\x1b" not in ran.stdout


def test_progress_is_shown_and_goes() -> None:
    shown = command(*ALDER, "--bootstrap", 20000)
    shown.wait_for("bootstrap |")
    assert shown.end() == 0
    assert any(line.startswith("Bootstrap: 20000 logs") for line in shown.lines)
    assert not any("bootstrap |" in line for line in shown.lines)


def test_no_progress_in_a_pipe() -> None:
    ran = subprocess.run([sys.executable, "-m", "oxtint", *ALDER, "--bootstrap", "1000"], capture_output=True,
                         check=True)
    assert ran.stderr == b""


def test_ctrl_c_in_long_work_leaves_nothing(tmp_path) -> None:
    shown = command(*ALDER, "--bootstrap", 1_000_000, "--save", tmp_path / "card.json")
    shown.wait_for("bootstrap |")
    shown.type("\x03")
    assert shown.end() == 130
    assert list(tmp_path.iterdir()) == []
    assert shown.lines == []


@pytest.mark.parametrize(("key", "status"), [("\x03", 130), ("\x04", 0)])  # Ctrl-C, Ctrl-D
def test_a_dip_is_watched_until_a_key_ends_it(card, key, status) -> None:
    shown = command("watch", card, "--target", "blue", "--bath", "600 F", "--every", "0 s",
                    COLORTERM="truecolor")
    shown.wait_for("lift after about 1:33")
    told = shown.told.decode()  # before any sample: the cautions first
    assert told.startswith("Cautions") and told.index("BURNS") < told.index("WATER") < told.index("Alder 1")
    shown.type("0 600\n")
    shown.wait_for("600 F    0.0 nm")
    assert b"\a" not in shown.told
    shown.type("95 600\n")
    shown.wait_for("LIFT NOW")
    shown.wait_for("\a")
    shown.type("99 600\n")
    shown.wait_for("LIFT NOW, 6.4 s overdue")
    assert shown.told.count(b"\a") == 1
    shown.type(key)
    assert shown.end() == status
    assert b"\x1b[48;2;" in shown.told and b"Traceback" not in shown.told


class Passing:
    """A clock that passes as fast as it is waited for."""

    def __init__(self) -> None:
        self.at_s, self.waits = 1000.0, []

    def now(self) -> float:
        return self.at_s

    def wait(self, seconds: float) -> None:
        self.waits.append(seconds)
        self.at_s += seconds


def counted_down(card, monkeypatch, capsys, *words: str) -> tuple[list[str], Passing]:
    clock = Passing()
    monkeypatch.setattr(watching, "_clock", clock)
    monkeypatch.setattr(sys, "stdin", open(os.devnull, encoding="utf-8"))
    assert main(["watch", str(card), "--target", "blue", "--bath", "600 F", "--clock", *words]) == 0
    return capsys.readouterr().out.splitlines(), clock


def test_a_countdown_by_the_clock(card, steel, monkeypatch, capsys) -> None:
    lines, clock = counted_down(card, monkeypatch, capsys, "--every", "10 s")
    dip = steel.dip("blue", "600 F")
    assert lines[0] == "Cautions for this case"
    count = lines[next(i for i, line in enumerate(lines) if "lift after about" in line) + 1:]
    assert count[0].startswith("   0 s    0.0 nm  bright") and count[0].endswith("lift in 1:33")
    due = next(line for line in count if "LIFT NOW" in line)
    assert due.split()[0] == oxtint.format_duration(dip.time_s) and "57.4 nm  blue" in due
    assert any(line.endswith("LIFT NOW, 10 s overdue") for line in count)
    assert count[-1].endswith("too late: polish off and start again")
    # it ends with the first line after the window, whose end is that of the dip
    assert dip.latest_s < clock.at_s - 1000.0 <= dip.latest_s + 10.0
    assert max(clock.waits) <= 10.01


def test_a_countdown_counts_part_and_lift(card, steel, monkeypatch, capsys) -> None:
    lines, _ = counted_down(card, monkeypatch, capsys, "--part", "6 mm", "--lift", "4 s", "--every", "60 s")
    dip = steel.dip("blue", "600 F", part=oxtint.Part("6 mm"), lift=oxtint.Lift("4 s"))
    due = next(line for line in lines if "LIFT NOW" in line)
    assert abs(oxtint.parse_duration(due.split()[0]) - dip.time_s) <= 1.0


def test_a_countdown_begins_with_enter(card) -> None:
    shown = command("watch", card, "--target", "faint straw", "--bath", "900 F", "--clock", "--every", "1 s")
    shown.wait_for("Press Enter")
    assert b"LIFT NOW" not in shown.told and b" nm  " not in shown.told
    shown.type("\n")
    shown.wait_for("LIFT NOW")
    shown.wait_for("\a")
    shown.type("\x03")
    shown.end()
    assert b"Traceback" not in shown.told


def script(shell: str) -> str:
    return subprocess.run([sys.executable, "-m", "oxtint", "completion", shell], capture_output=True,
                          text=True, check=True).stdout


SHELLS = {
    "bash": (["bash", "--norc", "--noprofile", "-i"], "source ./_oxtint"),
    "zsh": (["zsh", "-f", "-i"], "fpath=($PWD $fpath); autoload -U compinit; compinit -D -u")}


@pytest.mark.parametrize("shell", SHELLS)
def test_a_shell_completes(tmp_path, monkeypatch, shell) -> None:
    (tmp_path / "trials.csv").touch()
    (tmp_path / "_oxtint").write_text(script(shell))
    monkeypatch.chdir(tmp_path)
    program, prepare = SHELLS[shell]
    shown = Terminal(*program, PS1="> ", HISTFILE="")
    shown.type(f"{prepare}; echo read\\ in\n")
    shown.wait_for("read in\r\n")
    for typed, completed in (("oxtint dr", "oxtint drift "), ("oxtint fit tri", "oxtint fit trials.csv "),
                             ("oxtint dip --tar", "oxtint dip --target"),
                             ("oxtint fit --robust h", "oxtint fit --robust huber ")):
        shown.type(f"{typed}\t")
        shown.wait_to_see(completed)
        shown.type("\x15")  # Ctrl-U empties the line
    shown.type("exit\n")
    assert shown.end() == 0


def test_fish_completes(tmp_path) -> None:
    (tmp_path / "oxtint.fish").write_text(script("fish"))
    ran = subprocess.run(["fish", "--no-config", "-c", 'source oxtint.fish; complete -C "oxtint d"; '
                          'complete -C "oxtint fit --robust "'], cwd=tmp_path, capture_output=True, text=True,
                         check=True, env=os.environ | {"HOME": str(tmp_path)})
    assert [line.split("\t")[0] for line in ran.stdout.splitlines()] == ["dip", "drift", "huber", "tukey"]
    assert ran.stderr == ""


PAGE = ROOT / "bindings/python/oxtint.1"


def test_the_manual_page_is_not_stale() -> None:
    subprocess.run([sys.executable, ROOT / "bindings/man.py", "--check"], check=True)


def test_the_manual_page_is_good_roff_and_tells_all() -> None:
    ran = subprocess.run(["groff", "-man", "-ww", "-Tascii", "-P-cbou", PAGE], capture_output=True, text=True,
                         check=True)
    assert ran.stderr == ""
    verbs = next(action.choices for action in parser()._actions if action.dest == "command")
    for name, verb in verbs.items():
        told = ran.stdout.split(f"   oxtint {name}\n")[1].split("\n   oxtint ")[0]
        for action in verb._actions:
            for option in action.option_strings[:0 if action.dest == "help" else None]:
                assert f"       {option}" in told, f"{name} {option}"


def test_the_manual_page_is_installed() -> None:
    installed = pathlib.Path(sys.prefix, "share/man/man1/oxtint.1")
    assert installed.read_bytes() == PAGE.read_bytes()
