# SPDX-License-Identifier: GPL-3.0-or-later
"""Count what the test programs reported and print "N passed, N failed".

    python tests/summary.py RESULTS

RESULTS holds, as tests/run.sh leaves them: NAME.ctest.xml with a folder NAME of TAP files of
Criterion, other *.tap files with a plan, and python.xml and browser.xml of pytest. A program that died, spoke of a
sanitizer, or did not finish its plan counts as a failure although none of its tests says so.
"""
import pathlib
import re
import sys
import xml.etree.ElementTree as xml


def count_tap(path: pathlib.Path, planned: bool) -> tuple[int, int]:
    """Passed and failed of a TAP file; tests that the plan promises but that never came failed."""
    text = path.read_text(encoding="utf-8", errors="replace")
    passed = len(re.findall(r"^ok\b", text, re.MULTILINE))
    failed = len(re.findall(r"^not ok\b", text, re.MULTILINE))
    plan = re.search(r"^1\.\.(\d+)", text, re.MULTILINE)
    if plan:
        failed += max(0, int(plan[1]) - passed - failed)
    elif planned:
        failed += 1
    return passed, failed


def count_ctest(path: pathlib.Path) -> tuple[int, int]:
    """Programs run by ctest: those with a TAP file count by their tests, the others as one."""
    folder = path.parent / path.name.removesuffix(".ctest.xml")
    passed = failed = 0
    for case in xml.parse(path).getroot().iter("testcase"):
        good = case.get("status") == "run"
        tap = folder / f"{case.get('name')}.tap"
        ok, bad = count_tap(tap, planned=True) if tap.exists() else (int(good), int(not good))
        passed += ok
        failed += bad if good or bad else 1
    return passed, failed


def count_pytest(path: pathlib.Path) -> tuple[int, int]:
    """Tests of pytest; a skipped test is a failure: every test here must run."""
    suite = next(xml.parse(path).getroot().iter("testsuite"))
    bad = sum(int(suite.get(kind, 0)) for kind in ("failures", "errors", "skipped"))
    return int(suite.get("tests", 0)) - bad, bad


def main() -> int:
    results = pathlib.Path(sys.argv[1])
    suites = {}
    for path in sorted(results.glob("*.ctest.xml")):
        suites[path.name.removesuffix(".ctest.xml")] = count_ctest(path)
    for path in sorted(results.glob("*.tap")):
        suites[path.stem] = count_tap(path, planned=True)
    for name in ("python", "browser"):
        report = results / f"{name}.xml"
        suites[name] = count_pytest(report) if report.exists() else (0, 1)
    for name in ("c", "c-clang", "c-sanitized", "c-threads", "lua", "install", "wheel", "accuracy"):
        suites.setdefault(name, (0, 1))
    for name, (passed, failed) in suites.items():
        print(f"{name:<12} {passed:>5} passed {failed:>5} failed")
    passed, failed = (sum(column) for column in zip(*suites.values()))
    print(f"{passed} passed, {failed} failed")
    return 0 if passed and not failed else 1


if __name__ == "__main__":
    sys.exit(main())
