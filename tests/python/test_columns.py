# SPDX-License-Identifier: GPL-3.0-or-later
"""The page of columns has every column that the readers know, and each of its columns is known to them."""
import re

import oxtint
import pytest

from conftest import ROOT

PAGE = (ROOT / "docs/reference/columns.md").read_text(encoding="utf-8")


def columns(heading: str) -> list[str]:
    """The names in the first cells of the tables below a heading."""
    section = re.search(rf"^## {heading}\n(.*?)(?=^## |\Z)", PAGE, re.DOTALL | re.MULTILINE)[1]
    return [name for line in section.splitlines() if line.startswith("| `")
            for name in re.findall(r"`([^`]+)`", line.split(" | ")[0])]


def log_with(column: str) -> str:
    """A log of one coupon with that column, empty where another states it as well."""
    cells = {"steel": "lamp", "bath_F": "600", "time_s": "60", "colour": "blue"}
    for instead in ("bath", "time", "colou?r"):
        if re.fullmatch(rf"{instead}(_[A-Za-z]+)?", column) and "_sd" not in column and "tolerance" not in column:
            old = next(name for name in cells if re.match(instead, name))
            kept = {"bath_C": "320", "time_h": "0.02"}.get(column, cells[old])
            cells = {name: cell for name, cell in cells.items() if name != old} | {column: kept}
    together = [name + column[1:] for name in "Lab"] if column.rstrip("*") in ("L", "a", "b") else [column]
    for name in together:
        cells.setdefault(name, "")
    return ",".join(cells) + "\n" + ",".join(cells.values()) + "\n"


@pytest.mark.parametrize("column", columns("A log of trials"))
def test_each_column_of_a_log_is_known(column) -> None:
    log = oxtint.read_trials_text(log_with(column))
    assert len(log) == 1 and not [remark for remark in log.check() if remark.column == column]
    assert [remark for remark in oxtint.read_trials_text(log_with("x" + column)).check() if remark.column == "x" + column]


def test_every_column_of_the_reader_is_on_the_page() -> None:
    source = (ROOT / "lib/trials/trials_csv.c").read_text(encoding="utf-8")
    plain = re.findall(r'^    \{ "([^"]+)", (?:OXT_I_ROLE|NUMBER)', source, re.MULTILINE)
    units = re.findall(r'^    \{ "([^"]+)", "(\w+)", NUMBER', source, re.MULTILINE)
    named = set(re.findall(r"`([^`]+)`", PAGE))
    assert len(plain) > 20 and set(plain) - named - {"thickness", "thickness_sd"} == set()
    assert {f"{name}_{unit}" for name, unit in units} - named == set()
    assert len(columns("A log of trials")) > 40


def test_the_columns_of_a_history() -> None:
    names = columns("A temperature history")
    assert len(names) == 8
    for time in names[:3]:
        for temperature, value in zip(names[4:7], ("300", "400", "500")):
            assert len(oxtint.read_history_text(f"{time},{temperature},x\n0,{value},\n1,{value},\n").time_s) == 2
    assert len(oxtint.read_history_text("time,temperature\n0 s,300 F\n1:00,600 F\n").time_s) == 2


def test_the_columns_of_words(tmp_path) -> None:
    path = tmp_path / "shop.csv"
    assert columns("A shop's words") == ["word", "band", "low_nm", "high_nm"]
    path.write_text("word,band,low_nm,high_nm\nlamp blue,blue,,\nclock blue,,47,55\n", encoding="utf-8")
    assert len(oxtint.Words(path)) == 2


def test_the_columns_of_the_parts_of_a_set() -> None:
    from oxtint.command import sets
    assert sorted(columns("The parts of a set")) == sorted(sets._COLUMNS)
