# SPDX-License-Identifier: GPL-3.0-or-later
"""Does any test notice a small change of the library?

    python tests/mutate/run.py                         some 600 mutants of all of lib/
    python tests/mutate/run.py --count 60 --file dip.c  60 of one file
    python tests/mutate/run.py --again survived        once more what survived, after adding tests
    python tests/mutate/run.py --report                what is known so far, without running anything

Needs what tests/run.sh needs, a build/venv with the package's tests, and from PyPI tree-sitter and
tree-sitter-c (python -m pip install tree-sitter tree-sitter-c). Everything is made under build/mutate.
A first run with --c-only --no-sanitizers takes seconds for most mutants; then --again survived tries the others.
An interrupted run goes on where it stopped; results are kept by the text of the mutated file. With
CC="ccache gcc" in the environment a later build is quick. All of it takes about two hours on two processors
that have nothing else to do, most of it for the Python tests of what survived the others.

A mutant is killed when a test fails or does not end. One whose machine code is that of the original is
equivalent and does not count. Those known to be equivalent, each with its reason, are listed in
equivalent.txt and do not count either; an entry that matches no source line is reported as stale.
"""
import argparse
import collections
import concurrent.futures
import dataclasses
import hashlib
import json
import os
import pathlib
import queue
import subprocess
import sys
import time

import mutants
import trial

ROOT = pathlib.Path(__file__).resolve().parents[2]
WORK = ROOT / "build/mutate"
EQUIVALENT = pathlib.Path(__file__).with_name("equivalent.txt")
COUNTED = ("killed", "timed out", "survived")


def say(text: str) -> None:
    print(text, flush=True)


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=600, help="number of mutants (default 600)")
    parser.add_argument("--seed", type=int, default=1, help="other seeds draw other mutants (default 1)")
    parser.add_argument("--file", action="append", default=[], help="only this file of lib/; may be repeated")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="mutants at a time")
    parser.add_argument("--python", default=str(ROOT / "build/venv/bin/python"),
                        help="interpreter that has what the Python tests need")
    parser.add_argument("--c-only", action="store_true", help="do not run the Python and Lua tests")
    parser.add_argument("--without", action="append", default=[], metavar="TEST",
                        help="leave out this test, such as test_memory; may be repeated")
    parser.add_argument("--only", action="append", default=[], metavar="TEST",
                        help="only this test, such as test_fit, test_fit.py or lua; may be repeated")
    parser.add_argument("--no-sanitizers", action="store_true", help="no last run under the sanitizers")
    parser.add_argument("--again", choices=("survived", "timed out", "all"), help="run these once more")
    parser.add_argument("--at", help="only mutants whose file:line is this")
    parser.add_argument("--minutes", type=float, help="stop after so many minutes")
    parser.add_argument("--list", action="store_true", help="print the mutants and stop")
    parser.add_argument("--report", action="store_true", help="print what is known and stop")
    return parser.parse_args()


# ---- what is kept ----

def key_of(mutant: mutants.Mutant) -> str:
    return hashlib.sha256(mutant.apply((ROOT / mutant.file).read_bytes())).hexdigest()


def results() -> dict[str, dict]:
    known = {}
    path = WORK / "results.jsonl"
    if path.exists():
        for line in path.read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            known[row["key"]] = row
    return known


def read_equivalents() -> dict[tuple[str, str, str], str]:
    """Paragraphs of three parts: file, without its folder, and line as they are, `=>` and the line as
    changed, the reason."""
    found = {}
    if not EQUIVALENT.exists():
        return found
    text = "\n".join(line for line in EQUIVALENT.read_text(encoding="utf-8").splitlines()
                     if not line.startswith("#"))
    for paragraph in text.split("\n\n"):
        lines = paragraph.strip("\n").splitlines()
        if not lines:
            continue
        file, before = lines[0].split(": ", 1)
        if not lines[1].startswith("=> ") or len(lines) < 3:
            raise SystemExit(f"{EQUIVALENT}: not three parts: {lines[0]}")
        found[file, before, lines[1][3:]] = " ".join(line.strip() for line in lines[2:])
    return found


def report(drawn: list[mutants.Mutant], known: dict[str, dict]) -> int:
    equivalents = read_equivalents()
    count: collections.Counter[str] = collections.Counter()
    survivors, excused, used = [], [], set()
    for mutant in drawn:
        row = known.get(key_of(mutant))
        status = row["status"] if row else "not run"
        name = (mutant.name, mutant.before, mutant.after)
        if name in equivalents:
            used.add(name)
            if status == "survived":
                status = "equivalent"
                excused.append((mutant, equivalents[name]))
        count[status] += 1
        if status == "survived":
            survivors.append((mutant, row))
    for mutant, reason in excused:
        say(f"equivalent {mutant.file}:{mutant.line}: {mutant.before}\n           => {mutant.after}\n"
            f"           {reason}")
    for mutant, row in survivors:
        say(f"SURVIVED   {mutant.file}:{mutant.line}: {mutant.before}\n           => {mutant.after}"
            + ("" if row["reached"] else "\n           no test reaches it"))
    sources = {path.name: path for path in (ROOT / "lib").glob("*/*.c")}
    for file, before, after in equivalents.keys() - used:
        text = sources[file].read_text(encoding="utf-8") if file in sources else ""
        if before not in " ".join(text.split()):
            say(f"stale in equivalent.txt: {file}: {before}")
    total = sum(count[status] for status in COUNTED)
    killed = total - count["survived"]
    say(", ".join(f"{number} {status}" for status, number in sorted(count.items())))
    if total:
        say(f"killed {killed} of {total}: {100.0 * killed / total:.1f} %")
    return 0 if total and killed >= 0.95 * total else 1


# ---- running ----

def digest_of(paths: list[pathlib.Path]) -> str:
    digest = hashlib.sha256()
    for path in paths:
        if path.is_file() and "__pycache__" not in path.parts:
            digest.update(path.read_bytes())
    return digest.hexdigest()


def prepare(bench: trial.Bench, jobs: int, sanitizers: bool) -> dict:
    """Everything that does not depend on the mutant: builds, and each test once that is new or has
    changed, or all when the library has."""
    library = digest_of([path for folder, pattern in (("lib", "*/*.[ch]"), ("include", "**/*.h"),
                                                      ("bindings", "**/*.[chp]*"))
                         for path in sorted((ROOT / folder).glob(pattern))])
    stamps = {test.name: library + digest_of(bench.sources_of(test)) for test in bench.tests}
    path = WORK / "baseline.json"
    known = json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}
    todo = [test for test in bench.tests if known.get(test.name, {}).get("stamp") != stamps[test.name]]
    # Only the sources of the C tests count here: the others are read as they stand.
    built = digest_of(sorted((ROOT / "tests/c").glob("*.[ch]"))) + library
    for variant in ("plain", "coverage", *(["sanitized"] if sanitizers else [])):
        stamp = bench.variant(variant) / "stamp"
        if stamp.exists() and stamp.read_text(encoding="utf-8") == built:
            continue
        say(f"building: {variant}")
        bench.build_library(variant, jobs)
        if variant != "coverage":
            bench.build_c_tests(variant, jobs)
        if variant == "plain":
            bench.build_bindings()
        stamp.write_text(built, encoding="utf-8")
    if not todo:
        return known
    say("tests without a mutation")
    for test in todo:
        found = bench.baseline(test)
        say(f"{test.name:28} {found['cpu_s']:7.1f} s" + ("" if found["passed"] else "  fails, left out"))
        known[test.name] = found | {"stamp": stamps[test.name]}
        path.write_text(json.dumps(known), encoding="utf-8")
    return known


def first_lines(mutant: mutants.Mutant) -> tuple[int, int]:
    """Where the function of a mutant begins, and its statement in it; 0 outside of one."""
    if not mutant.function:
        return 0, 0
    source = (ROOT / mutant.file).read_bytes()
    node = mutants.PARSER.parse(source).root_node
    lines = []
    while node := next((child for child in node.children if child.start_byte <= mutant.start < child.end_byte), None):
        if not lines or node.type == "declaration" or node.type.endswith("_statement") and "compound" not in node.type:
            lines.append(node.start_point.row + 1)
    return lines[0], lines[-1]


def try_mutant(bench: trial.Bench, baseline: dict, options: argparse.Namespace, name: str,
               mutant: mutants.Mutant) -> dict:
    began = time.monotonic()
    place = bench.place(name)
    source = pathlib.Path(mutant.file)
    path = place / source.name
    path.write_bytes(mutant.apply((ROOT / mutant.file).read_bytes()))
    made = place / f"{source.stem}.o"
    row = {"key": key_of(mutant), **dataclasses.asdict(mutant), "reached": 0, "by": ""}
    row.pop("text")

    def done(status: str, by: str = "") -> dict:
        return row | {"status": status, "by": by, "seconds": round(time.monotonic() - began, 1)}

    def trial_of(test: trial.Test, variant: str) -> trial.Outcome:
        if test.kind == "memory":
            bench.link_wrapped(test, (bench.objects(variant) | {source.name: made}).values(), place, variant)
        slower = 4.0 if variant == "sanitized" else 1.0
        cpu_s = slower * (3.0 + 4.0 * baseline[test.name]["cpu_s"])
        return bench.run_test(test, place, variant, cpu_s)

    def build(variant: str) -> None:
        bench.compile(pathlib.Path(source.name), made, variant, place)
        bench.link((bench.objects(variant) | {source.name: made}).values(), place / "liboxtint.so", variant)

    try:
        bench.compile(pathlib.Path(source.name), made, "plain", place)
    except subprocess.CalledProcessError:
        return done("did not compile")
    if made.read_bytes() == bench.objects("plain")[source.name].read_bytes():
        return done("same code")
    build("plain")
    tests = trial.reachers(baseline, bench.tests, source.name, *first_lines(mutant), mutant.line)
    row["reached"] = len(tests)
    for test in tests:
        outcome = trial_of(test, "plain")
        if not outcome.passed:
            return done("timed out" if outcome.timed_out else "killed", test.name)
    if not options.no_sanitizers:
        build("sanitized")
        for test in tests:
            if test.kind == "c" and not trial_of(test, "sanitized").passed:
                return done("killed", f"{test.name} under the sanitizers")
    return done("survived")


def wanted(options: argparse.Namespace, drawn: list[mutants.Mutant], known: dict[str, dict]) -> list[mutants.Mutant]:
    equivalents = read_equivalents()

    def open_still(mutant: mutants.Mutant) -> bool:
        row = known.get(key_of(mutant))
        if (mutant.name, mutant.before, mutant.after) in equivalents and options.again != "all":
            return False
        if options.at and options.at != f"{mutant.file}:{mutant.line}":
            return False
        if row is None:
            return not options.again
        return options.again in ("all", row["status"])
    return [mutant for mutant in drawn if open_still(mutant)]


def run_all(options: argparse.Namespace, drawn: list[mutants.Mutant]) -> None:
    todo = wanted(options, drawn, results())
    if not todo:
        return
    bench = trial.Bench(ROOT, WORK, options.python)
    bench.tests = [test for test in bench.tests if test.name not in options.without and
                   (not options.only or test.name in options.only)]
    if options.c_only:
        bench.tests = [test for test in bench.tests if test.kind in ("c", "memory")]
    baseline = prepare(bench, options.jobs, not options.no_sanitizers)
    # spread over the files, so that a run that is stopped has seen something of each
    todo.sort(key=lambda one: hashlib.sha256(f"{options.seed}|{one.rank}".encode()).digest())
    workers: queue.Queue[str] = queue.Queue()
    for i in range(options.jobs):
        workers.put(f"worker-{i}")
    end = time.monotonic() + 60.0 * options.minutes if options.minutes else float("inf")

    def work(mutant: mutants.Mutant) -> dict | None:
        if time.monotonic() > end:
            return None
        name = workers.get()
        try:
            return try_mutant(bench, baseline, options, name, mutant)
        finally:
            workers.put(name)

    with concurrent.futures.ThreadPoolExecutor(options.jobs) as pool, \
            (WORK / "results.jsonl").open("a", encoding="utf-8") as file:
        jobs = [pool.submit(work, mutant) for mutant in todo]
        try:
            for number, job in enumerate(concurrent.futures.as_completed(jobs), 1):
                row = job.result()
                if row is None:
                    continue
                print(json.dumps(row), file=file, flush=True)
                say(f"{number}/{len(todo)} {row['seconds']:6.1f} s  {row['status']:15} {row['file']}:{row['line']} "
                    f"{row['after'][:60]}  {row['by']}")
        except KeyboardInterrupt:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def main() -> int:
    options = arguments()
    WORK.mkdir(parents=True, exist_ok=True)
    drawn = mutants.chosen(ROOT, options.count, options.seed, options.file)
    if options.list:
        for mutant in drawn:
            say(f"{mutant.file}:{mutant.line}: {mutant.before} => {mutant.after}")
        return 0
    if not options.report:
        run_all(options, drawn)
    return report(drawn, results())


if __name__ == "__main__":
    sys.exit(main())
