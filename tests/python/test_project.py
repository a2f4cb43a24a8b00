# SPDX-License-Identifier: GPL-3.0-or-later
"""The project about itself: generated files, documentation of the headers, snippets, rules."""
import ast
import doctest
import importlib
import os
import pkgutil
import re
import shutil
import subprocess
import sys

import oxtint
import pandas
import pytest

from conftest import ROOT

HEADERS = sorted((ROOT / "include/oxtint").glob("*.h"))
DOCUMENTS = sorted([ROOT / "README.md", *(ROOT / "docs").rglob("*.md")])
FUNCTION = re.compile(r"(/\*\*(?:(?!\*/).)*\*/)\s*OXT_API ([^;]*?)(\boxt_\w+)\(([^;]*?)\);",
                      re.DOTALL)


def test_declarations_are_not_stale() -> None:
    subprocess.run([sys.executable, ROOT / "bindings/generate.py", "--check"], check=True)


def functions() -> list[tuple[str, str, str, str]]:
    found = []
    for header in HEADERS:
        text = header.read_text(encoding="utf-8")
        documented = FUNCTION.findall(text)
        assert len(documented) == text.count("\nOXT_API "), f"{header.name}: undocumented function"
        found += documented
    return found


@pytest.mark.parametrize(("comment", "kind", "name", "parameters"), functions(),
                         ids=lambda value: value if str(value).startswith("oxt_") else "")
def test_every_function_is_documented(comment, kind, name, parameters) -> None:
    names = re.findall(r"(\w+)(?:\[\d*\])?(?:,|$)", " ".join(parameters.split()))
    for parameter in set(names) - {"error", "void"}:
        assert re.search(rf"\b{parameter}\b", comment), f"{name}: {parameter} is not documented"
    if kind.split()[0] == "oxt_status":
        assert "Status:" in comment, f"{name} does not say what it returns"


def test_python_has_every_public_name() -> None:
    for name in oxtint.__all__:
        thing = getattr(oxtint, name)
        assert thing.__doc__, f"{name} has no docstring"


MODULES = [found.name for found in pkgutil.walk_packages(oxtint.__path__, "oxtint.")
           if not found.name.endswith(("._oxtint", ".__main__"))]


def test_a_function_keeps_its_name_beside_the_module_of_its_name() -> None:
    for name in ("fit", "fit_each", "pool"):
        found = subprocess.run([sys.executable, "-c", f"import oxtint.{name}, oxtint; assert callable(oxtint.{name})"],
                               capture_output=True, text=True, check=False)
        assert found.returncode == 0, found.stderr


@pytest.mark.parametrize("module", MODULES)
def test_docstring_examples(module) -> None:
    result = doctest.testmod(importlib.import_module(module))
    assert result.failed == 0


def test_the_main_calls_have_examples() -> None:
    finder = doctest.DocTestFinder()
    sources = "".join(example.source for module in MODULES
                      for test in finder.find(importlib.import_module(module))
                      for example in test.examples)
    for call in ("read_trials_text", "read_history_text", "fit", "pool", "starting_steel", "from_values",
                 "thickness", "time_for", "dip", "bath_for", "most_forgiving", "to_card", "dip_table",
                 "plan_set", "Film", "tint", "find_tint", "target", "match", "film_lab", "film_srgb",
                 "film_reflectance", "name_of", "delta_e2000", "adapt_white", "Part", "Tracker", "feed",
                 "temper_dip", "temper_parameter", "temper_temperature", "temper_time",
                 "temper_hardness", "salt", "parse_temperature",
                 "parse_duration", "parse_length", "format_temperature", "format_duration"):
        assert re.search(rf"\b{call}\(", sources), f"{call} has no example"


# A block of Python with what it prints below it.
SHOWN = re.compile(r"^```python\n((?:(?!^```).)*)```\n\n```text\n(.*?)^```", re.DOTALL | re.MULTILINE)


def snippets(language: str) -> list[pytest.param]:
    found = []
    for document in DOCUMENTS:
        if document.name in ("lua.md", "tutorial.md", "five_minutes.md"):  # their snippets build on each other:
            continue  # tests/lua/test_pages.lua, test_docs.py
        text = document.read_text(encoding="utf-8")
        if language == "python" and SHOWN.search(text):
            continue  # likewise: test_printed.py
        blocks = re.findall(rf"^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)
        found += [pytest.param(block, id=f"{document.name}-{i}") for i, block in enumerate(blocks)]
    return found


@pytest.mark.parametrize("code", snippets("python"))
def test_python_snippet(code, tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("MPLBACKEND", "Agg")
    _prepare(tmp_path)
    result = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True,
                            text=True, check=False)
    assert result.returncode == 0, result.stderr


@pytest.mark.parametrize("code", snippets("c"))
def test_c_snippet(code, tmp_path) -> None:
    _prepare(tmp_path)
    (tmp_path / "snippet.c").write_text(code, encoding="utf-8")
    library = ROOT / "build/release/liboxtint.a"
    subprocess.run(["gcc", "-std=c11", "-Wall", "-Wextra", "-Werror", f"-I{ROOT}/include",
                    "snippet.c", library, "-lgsl", "-lgslcblas", "-lcsv", "-ljansson", "-lm", "-o",
                    "snippet"], cwd=tmp_path, check=True)
    result = subprocess.run(["./snippet"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.parametrize("code", snippets("lua"))
def test_lua_snippet(code, tmp_path) -> None:
    _prepare(tmp_path)
    environment = os.environ | {"LUA_CPATH": f"{ROOT}/build/release/lua/?.so"}
    result = subprocess.run(["lua5.4", "-e", code], cwd=tmp_path, env=environment,
                            capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr


def _prepare(folder) -> None:
    """The files that snippets name: the demo log and trace, and the card of one of its steels."""
    demo = ROOT / "examples/demo/trials.csv"
    (folder / "trials.csv").write_bytes(demo.read_bytes())
    (folder / "history.csv").write_bytes((demo.parent / "history.csv").read_bytes())
    oxtint.fit(oxtint.read_trials(demo), "Alder 1", "satin").steel.save(folder / "card.json")


def test_quickstart_example(tmp_path) -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/quickstart.py"], cwd=tmp_path,
                            capture_output=True, text=True, check=True)
    for words in ("k_ref", "Lift after", "blue", "oxtint-chart.png"):
        assert words in result.stdout
    assert (tmp_path / "oxtint-chart.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


def test_quickstart_says_plainly_what_is_wrong(tmp_path) -> None:
    (tmp_path / "log.csv").write_text("steel,bath_F,time_s,colour\nA,6500,-1,mauve\n", encoding="utf-8")
    for arguments, words in ((["log.csv"], "line 2, column colour: found 'mauve'"),
                             (["none.csv"], "No such file"),
                             ([ROOT / "examples/demo/trials.csv", "Dogwood 9"], "Birch 2")):
        result = subprocess.run([sys.executable, ROOT / "examples/quickstart.py", *arguments],
                                cwd=tmp_path, capture_output=True, text=True, check=False)
        assert result.returncode == 1 and words in result.stderr
        assert "Traceback" not in result.stderr


def test_finishes_example(tmp_path) -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/finishes.py", tmp_path],
                            capture_output=True, text=True, check=True)
    assert "oiled" in result.stdout and "7.3" in result.stdout  # the figure of docs/reference/film.md
    assert {path.name for path in tmp_path.iterdir()} == {"finishes.png", "spectra.png"}


def test_fittings_example_runs(tmp_path) -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/fittings.py"], cwd=tmp_path,
                            capture_output=True, text=True, check=True)
    assert "enter at" in result.stdout and "finial: blue" in result.stdout
    assert "film already on the part" in result.stdout and "hardness after" in result.stdout


def test_next_coupons_example(tmp_path) -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/next_coupons.py"], cwd=tmp_path,
                            capture_output=True, text=True, check=True)
    assert result.stdout.startswith("no drift in 10 coupons")
    assert "Birch 2, mirror: the next 3 coupons, for the time of one dip" in result.stdout


def test_history_example(tmp_path) -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/history.py"], cwd=tmp_path,
                            capture_output=True, text=True, check=True)
    for words in ("97 samples", "Alder 1 grew", "SOFTENS", "Does not soften"):
        assert words in result.stdout


def test_demo_trace_is_what_its_script_makes() -> None:
    made = subprocess.run([sys.executable, ROOT / "examples/demo/make_history.py"],
                          capture_output=True, text=True, check=True).stdout
    assert made == (ROOT / "examples/demo/history.csv").read_text(encoding="utf-8")


def test_blunder_example() -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/blunder.py"], capture_output=True,
                            text=True, check=True)
    Q = {line[:17].strip(): float(line[20:25]) for line in result.stdout.splitlines()[:4]}
    assert abs(Q["with the blunder"] - Q["as logged"]) > 20.0  # kJ/mol
    assert abs(Q["Huber's weights"] - Q["as logged"]) < 15.0
    assert abs(Q["Tukey's weights"] - Q["as logged"]) < 3.0
    assert "has little weight" in result.stdout


def test_newcomer_example() -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/newcomer.py"], capture_output=True,
                            text=True, check=True)
    lines = result.stdout.splitlines()
    assert "only 2 of 2 trials of Birch 2, mirror can be used" in lines[0]
    shares = [line[:31].strip() for line in lines[1:4]]
    assert shares == ["two coupons, one Q for all", "and shrunk towards the others",
                      "all ten coupons, alone"]
    assert "4 steels and finishes: 40 of 40 trials used" in result.stdout


def test_new_salt_example() -> None:
    result = subprocess.run([sys.executable, ROOT / "examples/new_salt.py"], capture_output=True,
                            text=True, check=True)
    for line in result.stdout.splitlines()[:2]:
        low, high = re.findall(r"[0-9]\.[0-9]{3}", line)
        assert 0.8 < float(low) < 1.0 < float(high) < 1.2
    assert "new salt: 1 coupon: film grows" in result.stdout and "after  blue" in result.stdout


def test_many_steels_example(tmp_path) -> None:
    constants = []
    for kind in ("processes", "threads"):
        result = subprocess.run(
            [sys.executable, ROOT / "examples/many_steels.py", tmp_path, "--steels", "200", "--kind", kind],
            capture_output=True, text=True, check=True)
        lines = result.stdout.splitlines()
        assert lines[0].startswith("200 of 200 steels of 12 coupons fitted in")
        assert lines[0].endswith(f"by 2 {kind}") and len(lines) == 5
        assert lines[1].startswith("one call on")
        for line in lines[3:]:  # 95 % intervals; three standard errors of a share of 200 are 0.046
            assert float(re.search(r"([0-9.]+) \+-", line)[1]) > 100.0 * (0.95 - 0.046)
        constants.append(pandas.read_parquet(tmp_path / "constants.parquet"))
    pandas.testing.assert_frame_equal(*constants, check_exact=True)


def test_types_are_complete() -> None:
    subprocess.run([sys.executable, "-m", "mypy", "--strict", "--cache-dir", ROOT / "build/mypy",
                    ROOT / "bindings/python/oxtint"], check=True, capture_output=True)


TYPED = ROOT / "tests/python/typing"
CHECKERS = {"mypy": ["mypy", "--strict", "--cache-dir", ROOT / "build/mypy"],
            "pyright": ["pyright", "--pythonpath", sys.executable]}


def checked(checker: str, source: str) -> list[int]:
    """The lines of a file of tests/python/typing in which a checker of types finds a mistake."""
    result = subprocess.run([sys.executable, "-m", *CHECKERS[checker], TYPED / source],
                            capture_output=True, text=True, check=False)
    assert result.returncode in (0, 1), result.stdout + result.stderr
    lines = re.findall(rf"{source}:(\d+):(?:\d+ -)? error", result.stdout)
    assert bool(lines) == bool(result.returncode), result.stdout + result.stderr
    return sorted({int(line) for line in lines})


@pytest.mark.parametrize("checker", CHECKERS)
def test_types_fit_how_the_package_is_used(checker) -> None:
    assert checked(checker, "use.py") == []


@pytest.mark.parametrize("checker", CHECKERS)
def test_types_show_each_mistake(checker) -> None:
    lines = (TYPED / "misuse.py").read_text(encoding="utf-8").splitlines()
    wrong = [number for number, line in enumerate(lines, 1) if line.endswith("# wrong")]
    assert checked(checker, "misuse.py") == wrong and len(wrong) == 10


def test_stubs_are_those_of_the_installed_package(tmp_path) -> None:
    environment = os.environ | {"MYPY_CACHE_DIR": f"{ROOT}/build/stubtest"}
    result = subprocess.run([sys.executable, "-m", "mypy.stubtest", "oxtint", "--allowlist",
                             ROOT / "tests/python/stubtest.txt"], cwd=tmp_path, env=environment,
                            capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stdout


@pytest.mark.parametrize("source", sorted((ROOT / "bindings/python").rglob("*.py")),
                         ids=lambda path: path.stem)
def test_syntax_is_that_of_the_oldest_python(source) -> None:
    ast.parse(source.read_text(encoding="utf-8"), feature_version=(3, 10))


def test_demo_log_is_what_its_script_makes() -> None:
    made = subprocess.run([sys.executable, ROOT / "examples/demo/make_trials.py"],
                          capture_output=True, text=True, check=True).stdout
    assert made == (ROOT / "examples/demo/trials.csv").read_text(encoding="utf-8")


def test_links_of_the_documents_resolve() -> None:
    for document in [*DOCUMENTS, ROOT / "DEVELOPERS.md"]:
        text = document.read_text(encoding="utf-8")
        for link in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", text):
            assert (document.parent / link).exists(), f"{document.name}: {link}"


# The one stem from a header to its page; what stands elsewhere, and where.
FLOORS = {"base": 1, "growth": 2, "optics": 2, "thermal": 3, "trials": 4, "steel": 5, "fit": 6, "dip": 6, "page": 7}
ELSEWHERE = {
    "lib/version.c": "lib/base/error.c",
    "docs/reference/error.md": "docs/understand/decisions/01-errors.md",
    "docs/reference/version.md": "DEVELOPERS.md",
    **dict.fromkeys(("tests/c/test_faults.c", "tests/python/test_faults.py"), "tests/c/test_csv.c"),
    "tests/c/test_version.c": "tests/c/test_error.c",
    **dict.fromkeys((f"tests/python/test_{stem}.py" for stem in ("dip", "error", "growth", "steel", "units")),
                    "tests/python/test_api.py"),
    **dict.fromkeys((f"tests/python/test_{stem}.py" for stem in ("light", "material", "tint")),
                    "tests/python/test_film.py"),
    **dict.fromkeys((f"tests/python/test_{stem}.py" for stem in ("drift", "prior")), "tests/python/test_fit.py"),
    **dict.fromkeys((f"tests/lua/test_{stem}.lua" for stem in ("drift", "prior")), "tests/lua/test_fit.lua"),
    "tests/lua/test_words.lua": "tests/lua/test_tint.lua",
}
# Headers of which a language has a method or two in the room of a neighbour, and no room.
WITHIN = {
    "bindings/python/oxtint": {"anchor": "steel", "check": "trials", "file": "_core", "version": "__init__"},
    "bindings/lua": {"anchor": "steel", "check": "trials", "colour": "film_colour", "error": "result",
                     "faults": "trials", "file": "argument", "fit_each": "fit", "growth": "steel",
                     "version": "module"},
}


def floor_of(stem: str) -> str:
    """The folder of lib that has what a public header declares."""
    found = {path.parent.name for path in (ROOT / "lib").glob(f"*/{stem}.c")} or {
        path.parent.name for path in (ROOT / "lib").glob(f"*/{stem}_*.c")}
    return found.pop() if len(found) == 1 else ""


@pytest.mark.parametrize("stem", [header.stem for header in HEADERS])
def test_one_stem_from_header_to_page(stem) -> None:
    wanted = [f"docs/reference/{stem}.md", f"tests/c/test_{stem}.c"]
    assert floor_of(stem) in FLOORS or f"lib/{stem}.c" in ELSEWHERE, f"lib/*/{stem}*.c"
    for folder, end, tests in (("bindings/python/oxtint", "py", "tests/python"), ("bindings/lua", "c", "tests/lua")):
        room = WITHIN[folder].get(stem, stem)
        assert (ROOT / f"{folder}/{room}.{end}").exists(), f"{folder}/{stem}.{end}"
        assert room == stem or not (ROOT / f"{folder}/{stem}.{end}").exists(), f"{stem} has a room of its own"
        if room == stem:
            wanted.append(f"{tests}/test_{stem}.{end.replace('c', 'lua')}")
    for path in wanted:
        assert (ROOT / path).exists() != (path in ELSEWHERE), path
        assert (ROOT / ELSEWHERE.get(path, path)).exists(), path


def test_no_include_goes_up() -> None:
    upwards = []
    for source in sorted([*(ROOT / "lib").glob("*/*.[ch]"), *HEADERS]):
        here = (floor_of(source.stem) or "base") if source in HEADERS else source.parent.name
        for folder, stem in re.findall(r'^#include "(\w+)/(\w+)\.h"', source.read_text(encoding="utf-8"), re.MULTILINE):
            there = (floor_of(stem) or "base") if folder == "oxtint" else folder
            if there != here and FLOORS[there] >= FLOORS[here]:
                upwards.append(f"{source.relative_to(ROOT)}: {folder}/{stem}.h")
    assert not upwards


def package_imports() -> dict[str, set[str]]:
    """Module -> the modules of the package that it imports, wherever in it."""
    package = ROOT / "bindings/python/oxtint"
    modules = {".".join(path.relative_to(package).with_suffix("").parts).removesuffix(".__init__"): path
               for path in package.rglob("*.py") if path.name != "__main__.py"}
    found: dict[str, set[str]] = {}
    for name, path in modules.items():
        inside = path.relative_to(package).parts[:-1]
        found[name] = set()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.level:
                base = [*inside[:len(inside) + 1 - node.level], *(node.module or "").split(".")]
                stem = ".".join(part for part in base if part)
                names = {".".join(filter(None, (stem, alias.name))) for alias in node.names}
                found[name] |= names & modules.keys() or {stem} & modules.keys()
            elif isinstance(node, ast.FunctionDef):
                hidden = [one for one in ast.walk(node) if isinstance(one, ast.ImportFrom) and one.level]
                assert not hidden, f"{name}.{node.name} imports a module of the package"
    return found


def circle(uses: dict[str, set[str]]) -> set[str]:
    """What is left when all that use nothing of the rest are taken away, again and again: empty without a circle."""
    left = dict(uses)
    while lowest := [name for name, used in left.items() if not used & left.keys() - {name}]:
        for name in lowest:
            del left[name]
    return set(left)


def test_files_of_the_library_call_each_other_in_no_circle() -> None:
    symbols = subprocess.run(["nm", "-A", "-P", ROOT / "build/release/liboxtint.a"], capture_output=True, text=True,
                             check=True).stdout
    found = re.findall(r"\[(\w+)\.c\.o\]: (oxt\w+) ([A-Z])", symbols)
    home = {symbol: name for name, symbol, kind in found if kind != "U"}
    uses: dict[str, set[str]] = {name: set() for name in home.values()}
    for name, symbol, kind in found:
        if kind == "U":
            uses[name].add(home[symbol])
    assert len(uses) > 80 and "thermal_path" in uses["dip"]
    assert not circle(uses)


def test_python_modules_do_not_import_in_a_circle() -> None:
    found = package_imports()
    assert found["steel"] >= {"growth", "dip", "advise"} and "drawing.common" in found["drawing.chart"]
    for name, imported in found.items():
        room = name.split(".")[0]
        if room not in ("__init__", "drawing", "command", "notebook"):
            upwards = {one for one in imported if one.split(".")[0] in ("drawing", "command", "notebook")}
            assert not upwards, f"{name} imports {upwards}"
        assert room == "command" or not {one for one in imported if one.startswith("command")}, name
    assert not circle(found)


def test_top_level_is_fixed() -> None:
    # What a user leaves beside the project does not count, where git can tell.
    if (ROOT / ".git").exists() and shutil.which("git"):
        listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True,
                                check=True).stdout.split()
        found = {name.split("/")[0] for name in listed}
    else:
        found = {path.name for path in ROOT.iterdir()} - {"build"}
    assert {name for name in found if name[0] != "."} == {
        "README.md", "DEVELOPERS.md", "LICENSE", "CMakeLists.txt", "lib", "include", "bindings",
        "tests", "examples", "docs"}
