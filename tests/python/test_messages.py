# SPDX-License-Identifier: GPL-3.0-or-later
"""The page of messages has every caution, status, warning, remark and verdict of the sources, and what to do about it."""
import builtins
import re

import oxtint
import pytest

from conftest import ROOT

PAGE = (ROOT / "docs/reference/messages.md").read_text(encoding="utf-8")
HEADER = (ROOT / "include/oxtint/error.h").read_text(encoding="utf-8")
ROWS = [[cell.strip() for cell in line[1:-1].split("|")] for line in PAGE.splitlines() if line.startswith("|")]


def rows(pattern: str) -> dict[str, list[str]]:
    """Rows of the page by what stands in backticks in their first cell."""
    found = {match[1]: row for row in ROWS if (match := re.fullmatch(rf"`({pattern})`", row[0]))}
    for name, row in found.items():
        assert row[-1] or name == "OXT_OK", f"{name} has nothing to do"
    return found


def listed(name: str) -> list[tuple[str, int, str]]:
    """Symbol, number and first text of each line of a list of error.h."""
    text = re.search(rf"#define {name}\(X\)((?:[^\n]*\\\n)*[^\n]*)", HEADER)[1].replace("\\\n", " ")
    return [(symbol, int(number), words) for symbol, number, words in
            re.findall(r'X\((OXT_\w+), (-?\d+),(?: OXT_\w+,)?\s*"([^"]*)"', text)]


def plain(text: str) -> str:
    return " ".join(re.sub(r"[`*]", "", text).split())


def test_every_caution_has_its_row() -> None:
    wanted = {symbol.removeprefix("OXT_CAUTION_"): lead for symbol, _, lead in listed("OXT_CAUTION_LIST")}
    assert len(wanted) == HEADER.count("    X(OXT_CAUTION_") > 25
    heads = [part.partition("\n")[2] for part in PAGE.partition("## Warnings")[0].split("### ")[1:]]
    found = {match[1]: match[2] for match in re.finditer(r"^\| `([A-Z_]+)` \| ([A-Z ]+?) \| \S", "".join(heads), re.MULTILINE)}
    assert found == wanted
    for kind, text in zip(("FORBIDS", "CASE", "BATH"), heads):
        own = re.findall(rf"X\(OXT_CAUTION_(\w+), \d+, OXT_CAUTION_KIND_{kind}", HEADER)
        assert re.findall(r"^\| `([A-Z_]+)`", text, re.MULTILINE) == own  # in the order of a report


def test_every_status_has_its_row() -> None:
    found = rows(r"OXT_E\w+|OXT_OK")
    wanted = listed("OXT_STATUS_LIST")
    assert set(found) == {symbol for symbol, _, _ in wanted} and len(wanted) > 12
    for symbol, number, sentence in wanted:
        assert found[symbol][1] == str(number) and sentence.partition(";")[0].startswith(found[symbol][3].partition(";")[0])


@pytest.mark.parametrize(("call", "status"), [
    (lambda: oxtint.parse_temperature("600"), "OXT_EUNIT"),
    (lambda: oxtint.load_steel("no such card.json"), "OXT_EIO"),
    (lambda: oxtint.read_trials_text("steel,bath,time,colour\nlamp,650 F,2:30,bleu\n"), "OXT_EPARSE"),
    (lambda: oxtint.fit(oxtint.TrialLog()), "OXT_EFEW"),
    (lambda: oxtint.starting_steel("A").dip("blue", "6500 F"), "OXT_EDOMAIN"),
    (lambda: oxtint.starting_steel("A").dip("blue", "600 F", initial="light blue"), "OXT_EUNREACHABLE")])
def test_the_exception_is_the_one_of_the_page(call, status) -> None:
    with pytest.raises(oxtint.OxtintError) as caught:
        call()
    assert caught.value.code == status.removeprefix("OXT_")
    assert isinstance(caught.value, getattr(builtins, rows(r"OXT_E\w+")[status][2].strip("`")))


# ---- sentences of the sources ----

def c_strings(text: str) -> str:
    """Adjoining strings of C as one, without the quotes."""
    return "".join(re.findall(r'"((?:[^"\\]|\\.)*)"', text))


def pieces(pattern: str) -> list[str]:
    """What stays of a format, between what belongs to a log; the longest comes first."""
    parts = re.split(r"%%|%[-+*.0-9]*z?[a-z]", pattern)
    return sorted((part.strip(" ,.;:()") for part in parts), key=len, reverse=True)


def said(pattern: str) -> bool:
    """Whether the longest piece of a format stands on the page, up to its second sentence."""
    piece = pieces(pattern)[0].partition(". ")[0]
    assert len(piece) > 12, pattern
    return plain(piece) in plain(PAGE)


def warnings() -> list[tuple[str, str]]:
    """Code and format of each warning of the sources."""
    found = []
    for path in sorted((ROOT / "lib/fit").glob("*.c")):
        text = path.read_text(encoding="utf-8")
        for call in re.finditer(r"oxt_i_warn\(\s*[^,\"]+, \"([A-Z_]+)\",", text):
            strings = re.match(r'[^"]*((?:"(?:[^"\\]|\\.)*"\s*)+)', text[call.end():])
            found.append((call[1], c_strings(strings[1])))
    return found


def test_every_warning_is_found() -> None:
    sources = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "lib").rglob("*.c"))
    # Beside them: its own definition, and those that a pool repeats of its groups.
    assert len(warnings()) == sources.count("oxt_i_warn(") - 2 and len(warnings()) > 22


@pytest.mark.parametrize(("code", "pattern"), warnings(), ids=lambda value: value if value.isupper() else "")
def test_every_warning_has_its_row(code, pattern) -> None:
    row = rows("[A-Z_]+").get(code)
    assert row, f"{code} is not on the page"
    parts = [piece.partition(". ")[0] for piece in pieces(pattern)]
    words = plain(row[1])
    assert any(len(part) > 12 and (plain(part) in words or words.strip(" …:.") in plain(part)) for part in parts), pattern


def test_the_page_has_no_warning_that_is_gone() -> None:
    cautions = {symbol.removeprefix("OXT_CAUTION_") for symbol, _, _ in listed("OXT_CAUTION_LIST")}
    named = re.findall(r"^\| `([A-Z_]+)` \|", PAGE.partition("## Warnings of a fit")[2].partition("## When a call")[0], re.MULTILINE)
    assert sorted(named) == sorted({code for code, _ in warnings()}) and not set(named) & (cautions - {"OTHER_LAW"})


def test_every_remark_of_a_check_has_its_row() -> None:
    text = (ROOT / "lib/fit/check.c").read_text(encoding="utf-8")
    formats = [c_strings(found) for found in re.findall(
        r'sentence, sizeof sentence,\s*((?:"(?:[^"\\]|\\.)*"\s*)+)', text)]
    formats += [c_strings(found) for found in re.findall(r'remark\(in, [^;]*?found,\s*((?:"(?:[^"\\]|\\.)*"\s*)+)\)', text)]
    assert len(formats) == text.count("remark(in,")
    for pattern in formats:
        assert said(pattern), pattern


def test_every_verdict_on_the_law_has_its_row() -> None:
    text = (ROOT / "lib/fit/laws_report.c").read_text(encoding="utf-8")
    verdicts = re.findall(r'"(the (?:parabolic law holds|trials (?:cannot|contradict))[^"]*)"', text)
    assert len(verdicts) == 3
    for verdict in verdicts:
        assert f"| {verdict.strip()}" in PAGE
