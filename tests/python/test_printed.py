# SPDX-License-Identifier: GPL-3.0-or-later
"""Pages that show what their code prints: they run from top to bottom, and print just that."""
import contextlib
import io
import re

import pytest

from conftest import ROOT
from test_docs import run_block, shows
from test_project import DOCUMENTS, SHOWN, _prepare

PAGES = [page for page in DOCUMENTS if SHOWN.search(page.read_text(encoding="utf-8")) and page.name not in ("tutorial.md", "five_minutes.md")]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_prints_what_it_shows(page, tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    _prepare(tmp_path)
    text, names = page.read_text(encoding="utf-8"), {}
    shown = {match.start(): match[2] for match in SHOWN.finditer(text)}
    for block in re.finditer(r"^```python\n(.*?)^```", text, re.DOTALL | re.MULTILINE):
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            exec(block[1], names)
        if block.start() in shown:
            assert shows(shown[block.start()], said.getvalue()), said.getvalue()


SHELL = [pytest.param(block, id=f"{page.stem}-{i}") for page in PAGES for i, block in enumerate(
    re.findall(r"^```sh\n(.*?)^```", page.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE))]


@pytest.mark.parametrize("block", SHELL)
def test_what_is_said_at_the_command_line_runs(block, tmp_path) -> None:
    _prepare(tmp_path)
    assert run_block("sh", block, tmp_path)


def test_the_pages_that_show_a_report_are_among_them() -> None:
    assert {"read_report", "one_more_coupon", "match_set", "change_salt"} <= {page.stem for page in PAGES}
    assert ROOT / "docs/howto/read_report.md" in PAGES


def test_every_line_of_a_report_is_explained() -> None:
    """The page about reports has, after each report, a row or a heading for each of its lines."""
    text = (ROOT / "docs/howto/read_report.md").read_text(encoding="utf-8")
    reports = [match[2] for match in SHOWN.finditer(text)]
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.DOTALL | re.MULTILINE).lower()
    lines = [line.strip() for report in reports for line in report.splitlines()[1:]]
    heads = {re.split(r":| at |  +| \(|, | \d", line)[0].lower() for line in lines if line[:1].isalpha()}
    heads -= {"cautions for this case", "cautions for every salt bath"}
    unexplained = {head for head in heads if head not in prose}
    assert len(heads) > 12 and not unexplained, unexplained
