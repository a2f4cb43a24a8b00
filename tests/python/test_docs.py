# SPDX-License-Identifier: GPL-3.0-or-later
"""The documentation: it builds, nothing public is missing from the reference, links and words hold."""
import contextlib
import html
import importlib.util
import io
import os
import pathlib
import re
import subprocess
import sys
import urllib.parse
import zlib
from types import ModuleType

import oxtint
import pytest
from bs4 import BeautifulSoup
from markdown_it import MarkdownIt
from markdown_it.token import Token
from mdit_py_plugins.anchors.index import slugify

from conftest import ROOT
from test_project import DOCUMENTS, functions

PAGES = [*DOCUMENTS, ROOT / "DEVELOPERS.md"]
PARTS = ("start", "howto", "understand", "reference")


def module_of(path: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location("made", ROOT / path)
    assert spec and spec.loader
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_prose_keeps_to_100_columns(page) -> None:
    prose = re.sub(r"^( *)```.*?^\1```$", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE | re.DOTALL)
    long = [line for line in prose.splitlines()
            if len(line) > 100 and not line.startswith(("|", "    ", "$$", "<", "!["))]
    assert not long, f"{page.name}: {long[0]}"


@pytest.fixture(scope="module")
def built():
    """The pages as HTML, all made anew; the command is that of docs/conf.py. tests/browser looks at them."""
    folder = ROOT / "build/docs"
    result = subprocess.run([sys.executable, "-m", "sphinx", "-W", "-n", "-E", "--keep-going", "-q", "-b", "html",
                             "-d", ROOT / "build/doctrees", ROOT / "docs", folder], capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr
    return folder


@pytest.fixture(scope="module")
def inventory(built) -> set[tuple[str, str]]:
    """What the reference defines: kind, such as "c:function", and name."""
    packed = (built / "objects.inv").read_bytes().split(b"\n", 4)[4]
    lines = zlib.decompress(packed).decode().splitlines()
    return {(words[1], words[0]) for words in (re.split(r" (?=\S+:\S+ )| (?=-?\d+ )", line)
                                               for line in lines)}


def names_of(inventory, domain: str) -> set[str]:
    return {name for kind, name in inventory if kind.startswith(domain)}


def test_every_public_name_of_the_headers_is_in_the_reference(inventory) -> None:
    # The declarations as the preprocessor gives them, which the pages are not made from.
    generate = module_of("bindings/generate.py")
    plain = generate.plain_declarations() + generate.constants()
    wanted = set(re.findall(r"\b(oxt_\w+)\(|} (oxt_\w+);|typedef struct (oxt_\w+)|\(\*(oxt_\w+)\)"
                            r"|#define (OXT_\w+)|double (OXT_\w+);|\b(OXT_\w+) = ", plain))
    wanted = {name for found in wanted for name in found if name}
    text = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "include/oxtint").glob("*.h"))
    wanted |= set(re.findall(r"#define (OXT_\w+_INIT)\b", text))
    assert len(wanted) > 400
    # A scoped enumerator is listed under its enum too; all stand under their own name.
    assert wanted - names_of(inventory, "c:") == set()


def test_the_reference_says_what_the_headers_say(built) -> None:
    pages = "".join(page.read_text(encoding="utf-8") for page in (built / "api/c").glob("*.html"))
    whole = re.sub(r"[\s‘’“”'\"()]+", "", html.unescape(re.sub(r"<[^>]*>", "", pages)))
    for comment, _, name, _ in functions():
        # Lines of a comment are joined; quotes and brackets come out typographic, or with links.
        for line in re.sub(r"^\s*/?\*+/? ?", "", comment, flags=re.MULTILINE).splitlines():
            said = re.sub(r"^\s*(\w+(, \w+)*)(  +|$)|^\s*\w+:\s*", "", line)
            said = re.sub(r"^(\S+) {2,}", "", said)
            said = re.sub(r"^\s*\d+\. ", "", said)  # the number of a note is the browser's
            bare = re.sub(r"[\s‘’“”'\"()`]+", "", said).replace("--", "–").replace("...", "…")
            assert bare in whole, f"{name}: {line}"


def test_every_public_name_of_python_is_in_the_reference(inventory) -> None:
    known = names_of(inventory, "py:")
    for name in oxtint.__all__:
        thing = getattr(oxtint, name)
        assert f"oxtint.{name}" in known
        if isinstance(thing, type):
            for member, value in vars(thing).items():
                if callable(value) and not member.startswith("_") and value.__doc__:
                    assert f"oxtint.{name}.{member}" in known


def test_what_the_pages_import_is_in_the_reference(inventory) -> None:
    known = names_of(inventory, "py:")
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        for module, names in re.findall(r"^from oxtint\.(\w+) import (.*)", text, re.MULTILINE):
            for name in names.split(", "):
                assert f"oxtint.{module}.{name}" in known, page.name


def test_every_function_of_lua_is_in_the_reference(inventory) -> None:
    library = (ROOT / "bindings/lua/library/oxtint.lua").read_text(encoding="utf-8")
    calls = [name for kind, name in inventory if kind == "std:luafunction"]
    defined = re.findall(r"^function \w+[.:](\w+)\(", library, re.MULTILINE)
    assert sorted(re.search(r"(\w+)\(", name)[1] for name in calls) == sorted(defined)
    classes = re.findall(r"^---@(?:class|alias) ([\w.]+)", library, re.MULTILINE)
    assert names_of(inventory, "std:luatype") == set(classes)


def test_pictures_of_the_gallery_have_a_description_and_lead_to_their_program(built) -> None:
    extension = module_of("docs/extensions/gallery.py")
    model = (built / "understand/model.html").read_text(encoding="utf-8")
    for name in ("growth_curves", "same_times"):
        alt = html.escape(extension.said(extension.PROGRAMS / f"{name}.py")["ALT"])
        assert f'alt="{alt}"' in model and f'href="../gallery/{name}.html"' in model
        page = (built / f"gallery/{name}.html").read_text(encoding="utf-8")
        assert page.index(f"sphx_glr_{name}_001.png") < page.index('class="highlight')  # the program is below


# ---- links ----

def tokens_of(path) -> list[Token]:
    """All tokens of a page, those of a line after its own."""
    found = []
    for token in MarkdownIt("commonmark").enable("table").parse(path.read_text(encoding="utf-8")):
        found += [token, *(token.children or [])]
    return found


def anchors_of(path) -> set[str]:
    tokens = tokens_of(path)
    return {slugify(tokens[i + 1].content) for i, token in enumerate(tokens)
            if token.type == "heading_open"}


def links() -> list[pytest.param]:
    return [pytest.param(page, str(token.attrs["href"]), id=f"{page.name}-{token.attrs['href']}")
            for page in PAGES for token in tokens_of(page) if token.type == "link_open"]


@pytest.mark.parametrize(("page", "link"), links())
def test_links_resolve(page, link) -> None:
    parts = urllib.parse.urlsplit(link)
    if parts.scheme:  # nothing is fetched
        assert parts.scheme == "https" and re.fullmatch(r"[\w-]+(\.[\w-]+)+", parts.netloc), link
        return
    there = (page.parent / parts.path).resolve() if parts.path else page
    assert there.exists(), link
    if parts.fragment:
        assert parts.fragment in anchors_of(there), link


@pytest.mark.parametrize("part", PARTS)
def test_every_page_has_a_place_in_the_index_of_its_part(part) -> None:
    folder = ROOT / "docs" / part
    listed = {(folder / str(token.attrs["href"])).resolve()
              for token in tokens_of(folder / "index.md") if token.type == "link_open"}
    for page in {*folder.glob("*.md"), *folder.glob("*/index.md")} - {folder / "index.md"}:
        assert page in listed, page.name


def test_the_navigation_begins_with_few_entries() -> None:
    trees = re.findall(r"^```{toctree}\n(?::.*\n)*\n((?:.+\n)+)```", (ROOT / "docs/index.md").read_text(encoding="utf-8"),
                       re.MULTILINE)
    entries = "".join(trees).split()
    assert entries[:4] == [f"{part}/index" for part in PARTS] and len(entries) <= 8


def test_links_and_pictures_of_the_built_pages_are_there(built) -> None:
    """Addresses within the pages, with their anchors; nothing is fetched."""
    pages = {page: BeautifulSoup(page.read_bytes(), "html.parser") for page in built.rglob("*.html")}
    anchors = {page: {str(one["id"]) for one in soup.find_all(id=True)} for page, soup in pages.items()}
    broken = []
    for page, soup in pages.items():
        for one in soup.select("[href], [src]"):
            parts = urllib.parse.urlsplit(str(one.get("href") or one.get("src")))
            if parts.scheme or parts.netloc or page.name == "search.html":
                continue
            there = (page.parent / urllib.parse.unquote(parts.path)).resolve() if parts.path else page
            if not there.exists() or parts.fragment and there in anchors and parts.fragment not in anchors[there]:
                broken.append(f"{page.relative_to(built)}: {parts.geturl()}")
    assert len(pages) > 80 and not broken


# ---- pages that show what is printed ----

def shows(shown: str, printed: str) -> bool:
    """Whether a page shows what is printed; a line of dots stands for lines that are left out."""
    pattern = re.escape(shown).replace(re.escape("  ...\n"), "(?:  .*\n)+").replace(re.escape("...\n"), "(?:.*\n)+")
    return bool(re.fullmatch(pattern, printed.rstrip("\n") + "\n"))


def test_the_tutorial_prints_what_it_shows(tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    page = (ROOT / "docs/start/tutorial.md").read_text(encoding="utf-8")
    assert page.count("```python\n") == page.count("```text\n") >= 10
    names: dict[str, object] = {}
    for code, shown in re.findall(r"```python\n(.*?)```\n\n```text\n(.*?)```", page, re.DOTALL):
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            exec(code, names)
        assert shows(shown, said.getvalue()), said.getvalue()


def run_block(language: str, code: str, folder) -> str:
    """What a block prints; nothing may go to stderr."""
    environment = os.environ | {"PATH": f"{pathlib.Path(sys.executable).parent}:{os.environ['PATH']}",
                                "LUA_CPATH": f"{ROOT}/build/release/lua/?.so", "MPLBACKEND": "Agg"}
    if language == "c":
        (folder / "program.c").write_text(code, encoding="utf-8")
        code = (f"gcc -std=c11 -Wall -Wextra -Werror -I{ROOT}/include program.c {ROOT}/build/release/liboxtint.a "
                "-lgsl -lgslcblas -lcsv -ljansson -lm -o program && ./program")
    start = {"python": [sys.executable, "-c"], "lua": ["lua5.4", "-e"]}.get(language, ["bash", "-e", "-o", "pipefail", "-c"])
    ran = subprocess.run([*start, code], cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert ran.returncode == 0 and ran.stderr == "", f"{code}\n{ran.stderr}"
    return ran.stdout


def blocks(page: str, *languages: str, tab: str = "") -> list[tuple[str, str]]:
    """The blocks of a page; of its tabs only those that are named so."""
    text = (ROOT / page).read_text(encoding="utf-8")
    if tab:
        text = re.sub(rf"^:::{{tab-item}} [^\n]*\n:sync: (?!{tab}\n).*?^:::$", "", text, flags=re.DOTALL | re.MULTILINE)
    return re.findall(rf"^```({'|'.join(languages)})\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)


@pytest.fixture
def shop(tmp_path):
    """A folder with the demo log and the examples, and an environment that is entered."""
    (tmp_path / "trials.csv").write_bytes((ROOT / "examples/demo/trials.csv").read_bytes())
    (tmp_path / "build/venv/bin").mkdir(parents=True)
    (tmp_path / "build/venv/bin/activate").write_text("")
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    return tmp_path


@pytest.mark.parametrize("page", ["README.md", "docs/start/install.md", "docs/start/tutorial_command.md", "docs/howto/log.md"],
                         ids=lambda page: page.split("/")[-1])
def test_commands_print_what_their_page_shows(page, shop) -> None:
    printed, compared = "", 0
    for language, code in blocks(page, "sh", "text"):
        if language == "text":
            assert shows(code, printed), printed
            compared += 1
        elif re.search(r"^oxtint ", code, re.MULTILINE):
            printed = run_block(language, code, shop)
    assert compared


@pytest.mark.parametrize("language", ["sh", "python", "c", "lua"])
def test_all_tabs_print_the_same(language, shop) -> None:
    printed, compared = "", 0
    tab = {"sh": "command"}.get(language, language)
    for kind, code in blocks("docs/start/five_minutes.md", language, "text", tab=tab):
        if kind == "text":
            code = code if language == "sh" else code.replace("Alder 1, satin: ", "")
            assert shows(code, printed), printed
            compared += 1
        else:
            printed = run_block(language, code, shop)
    assert compared == 3


def test_the_packages_to_install_are_those_of_the_script() -> None:
    script = (ROOT / "examples/setup.sh").read_text(encoding="utf-8")
    for page in ("docs/start/install.md",):
        named = re.search(r"^sudo apt-get install ((?:.*\\\n)*.*)$", (ROOT / page).read_text(encoding="utf-8"), re.MULTILINE)
        listed = re.search(r"library_packages=\((.*?)\)", script, re.DOTALL)
        assert named and listed and named[1].replace("\\", "").split() == listed[1].split()


# ---- pages that are read at the bench ----

READ = [page for page in DOCUMENTS if page.parent.name in ("start", "howto") or page.name == "README.md"]


def read_tokens(page) -> list[Token]:
    """The tokens of a page without the lines of directives that MyST knows and Markdown does not."""
    text = re.sub(r"^(:{3,}.*|:[a-z-]+:.*)$", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return MarkdownIt("commonmark").enable("table").parse(text)


def sentences(page) -> list[str]:
    """Those of paragraphs and lists; a piece of code is one word."""
    found, inside = [], ""
    for token in read_tokens(page):
        if token.type.endswith("_open"):
            inside = token.type
        if token.type == "inline" and inside == "paragraph_open":
            said = "".join("code" if part.type == "code_inline" else " " if part.type == "softbreak" else part.content
                           for part in token.children or [])
            found += re.split(r"(?<=[.!?])[\"\u201d)]* +(?=[A-Z\"(])", said)
    return [one for one in found if re.search(r"\w", one)]


@pytest.mark.parametrize("page", READ, ids=lambda page: f"{page.parent.name}/{page.name}")
def test_sentences_are_short(page) -> None:
    lengths = {one: len(one.split()) for one in sentences(page)}
    longest = sorted(lengths, key=lambda one: -lengths[one])[:3]
    assert sum(lengths.values()) <= 18 * len(lengths), longest


@pytest.mark.parametrize("page", READ, ids=lambda page: f"{page.parent.name}/{page.name}")
def test_lists_are_short(page) -> None:
    counts = []
    for token in read_tokens(page):
        if token.type in ("bullet_list_open", "ordered_list_open"):
            counts.append(0)
        elif token.type == "list_item_open":
            counts[-1] += 1
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            assert counts.pop() <= 7


@pytest.mark.parametrize("page", [page for page in DOCUMENTS if page.name not in ("README.md", "changelog.md")],
                         ids=lambda page: f"{page.parent.name}/{page.name}")
def test_a_page_begins_with_what_it_is_about(page) -> None:
    kinds = [token.type for token in read_tokens(page) if token.type != "html_block"]
    assert kinds[:4] == ["heading_open", "inline", "heading_close", "paragraph_open"]


@pytest.mark.parametrize("page", DOCUMENTS, ids=lambda page: f"{page.parent.name}/{page.name}")
def test_no_line_is_taken_for_a_comment(page) -> None:
    """MyST leaves out a line that begins with a percent sign, such as the end of "97.6 %"."""
    assert not re.search(r"^\s*%", page.read_text(encoding="utf-8"), re.MULTILINE)


# ---- words ----

# British spelling, and the words of the trade as the rest of the project has them.
WRONG = {
    r"[Cc]olor(s|ed|ing|less|imeter)?(?! Res\.)": "colour", r"[Gg]ra(y|ys|yish)": "grey",
    r"[Cc]enter(s|ed)?": "centre", r"[Bb]ehavior": "behaviour", r"[Aa]luminum": "aluminium",
    r"[Mm]old(s|ed)?": "mould", r"[Ll]iter(s)?": "litre", r"[Ss]ulfur": "sulphur",
    r"[Nn]eighbor(s|ing)?": "neighbour", r"[Bb]lueing": "bluing", r"[Nn]itre": "niter",
    r"[Ss]traw[- ]yellow|[Ll]ight straw|[Pp]ale straw": "faint straw, straw or dark straw",
    r"[Pp]eacock|[Vv]iolet(?!-pumped)": "purple, dark blue or blue", r"[Pp]ale blue": "light blue",
    r"[Tt]empering colou?rs?|[Tt]emper-colou?rs": "temper colours",
    r"[Ss]alt-?pot": "bath", r"[Tt]est pieces?|[Ss]pecimens?": "coupon",
    r"[Mm]agnetit(?!e)\w*|[Hh]aematite": "magnetite, hematite",
    r"(?!([Rr]e)?[Ss]iz|[Pp]riz|[Ss]eiz)\w+(iz|yz)(e|ed|es|ing|ation)": "-ise",
}
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_words_of_the_trade(page) -> None:
    prose = " ".join(token.content for token in tokens_of(page)
                     if token.type == "text" and not token.children)
    for wrong, right in WRONG.items():
        found = re.search(rf"\b(?:{wrong})\b", prose)
        assert not found, f"{found[0]}: write {right}"


# Names, a word of the trade, and words of other languages that look like mistakes.
RIGHT = "finial,querry,mater,stoer,numer,fro,espace"
SPELT = ("README.md", "DEVELOPERS.md", "docs", "include", "lib", "bindings/python/oxtint", "bindings/lua", "examples")


def test_spelling() -> None:
    files = [path for name in SPELT for path in ([ROOT / name] if "." in name else (ROOT / name).rglob("*.*"))
             if path.suffix in (".md", ".c", ".h", ".hpp", ".py", ".lua", ".js", ".rst")
             and not path.is_relative_to(ROOT / "docs/api") and not path.is_relative_to(ROOT / "docs/gallery")]
    found = subprocess.run([sys.executable, "-m", "codespell_lib", "--ignore-words-list", RIGHT, *files], cwd=ROOT,
                           capture_output=True, text=True, check=False)
    assert len(files) > 300 and found.returncode == 0, found.stdout
