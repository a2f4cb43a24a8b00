# SPDX-License-Identifier: GPL-3.0-or-later
"""What a save replaces: a file of its own kind, and nothing else without being told."""
import os
import pathlib
import stat
import subprocess
import sys

import oxtint
import pytest

LOG = "steel,bath_F,time_s,colour\n" + "".join(
    f"Alder 1,{bath},{time},{colour}\n" for bath, time, colour in (
        (550, 60, "straw"), (550, 300, "brown"), (600, 60, "brown"), (600, 130, "blue"), (650, 60, "blue")))


@pytest.fixture
def notebook(tmp_path: pathlib.Path) -> pathlib.Path:
    path = tmp_path / "lamp.csv"
    path.write_text(LOG)
    return path


def command(*words: object) -> "subprocess.CompletedProcess[str]":
    return subprocess.run([sys.executable, "-m", "oxtint", *map(str, words)], capture_output=True, text=True,
                          check=False)


def test_a_card_does_not_replace_a_notebook(notebook: pathlib.Path) -> None:
    steel = oxtint.fit(oxtint.read_trials(notebook)).steel
    with pytest.raises(FileExistsError, match="lamp.csv") as caught:
        steel.save(notebook)
    assert isinstance(caught.value, oxtint.OxtintFileExistsError)
    assert caught.value.code == "EEXIST"
    assert notebook.read_text() == LOG
    card = notebook.with_name("card.json")
    steel.save(card)
    steel.save(card)  # cards replace cards
    log = oxtint.read_trials(notebook)
    log.save(notebook)  # logs replace logs
    with pytest.raises(FileExistsError):
        log.save(card)
    log.save(card, overwrite=True)
    assert len(oxtint.read_trials(card)) == 5


def test_the_command_does_not_replace_its_input(notebook: pathlib.Path) -> None:
    done = command("fit", notebook, "--save", notebook)
    assert done.returncode != 0
    assert "is the file that is read" in done.stderr and "--force" in done.stderr
    assert done.stdout == ""
    assert notebook.read_text() == LOG
    other = notebook.with_name("other.txt")
    other.write_text("a letter")
    done = command("fit", notebook, "--save", other)
    assert done.returncode != 0 and "--force" in done.stderr
    assert other.read_text() == "a letter"
    assert command("fit", notebook, "--save", other, "--force").returncode == 0
    assert oxtint.load_steel(other).name == "Alder 1"
    # a card replaces a card, but not the one that is read
    assert command("fit", notebook, "--save", other).returncode == 0
    before = other.read_bytes()
    done = command("anchor", other, notebook, "--save", other)
    assert done.returncode != 0 and "is the file that is read" in done.stderr
    assert other.read_bytes() == before
    assert command("anchor", other, notebook, "--save", other, "--force").returncode == 0
    assert other.read_bytes() != before


def test_a_picture_replaces_a_picture_only(notebook: pathlib.Path) -> None:
    pytest.importorskip("matplotlib")
    card, picture = notebook.with_name("card.json"), notebook.with_name("wall.png")
    assert command("fit", notebook, "--save", card).returncode == 0
    picture.write_text(LOG)
    done = command("chart", card, "--save", picture)
    assert done.returncode != 0 and "--force" in done.stderr
    assert picture.read_text() == LOG
    assert command("chart", card, "--save", picture, "--force").returncode == 0
    assert picture.read_bytes().startswith(b"\x89PNG")
    picture.write_bytes(b"%PDF-1.4 another picture")
    assert command("chart", card, "--save", picture).returncode == 0
    picture.write_text(LOG)
    with pytest.raises(FileExistsError):
        oxtint.shop_sheet(oxtint.load_steel(card), picture)
    oxtint.shop_sheet(oxtint.load_steel(card), picture, overwrite=True)
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_what_is_no_file_is_left_alone(notebook: pathlib.Path) -> None:
    steel = oxtint.fit(oxtint.read_trials(notebook)).steel
    pipe, link = notebook.with_name("pipe"), notebook.with_name("link")
    os.mkfifo(pipe)
    link.symlink_to(notebook.with_name("nowhere"))
    for path in (pipe, link, notebook.parent, pathlib.Path("/dev/null")):
        with pytest.raises(OSError, match="cannot write"):
            steel.save(path, overwrite=True)
    assert stat.S_ISFIFO(pipe.lstat().st_mode) and link.is_symlink()
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)
