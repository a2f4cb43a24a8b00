# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds of the library in which one source file is exchanged, and the tests run against them.

All tests are linked once, with a shared library that hides nothing; a mutant is one compiled file and
one linked library. The C programs that wrap the allocator inside the library are linked anew, last of the
C tests. What survives them all runs under the sanitizers too.
"""
import dataclasses
import gzip
import json
import os
import pathlib
import resource
import shutil
import signal
import subprocess
from collections.abc import Iterable

COMPILER = os.environ.get("CC", "gcc").split()  # "ccache gcc" makes a second build quick
FLAGS = ["-std=c11", "-fPIC", "-w", "-DOXT_BUILDING", "-fno-semantic-interposition"]
LIBRARIES = ["-lgsl", "-lgslcblas", "-lcsv", "-ljansson", "-lm", "-lpthread"]
SANITIZERS = ["-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-fno-omit-frame-pointer"]
# They look at headers and symbols, which no mutant changes.
NOT_RUN = {"test_headers"}
# Linked to each C test: what is neither a test nor of every_call.
SHARED = sorted(path.stem for path in pathlib.Path(__file__).parents[1].glob("c/*.c")
                if not path.stem.startswith("test_") and path.stem not in ("every_call", "calls"))
CRITERION = ["-j1", "--fail-fast", "--short-filename"]
GIGABYTE = 1 << 30


@dataclasses.dataclass
class Outcome:
    passed: bool
    timed_out: bool
    cpu_s: float
    output: str


def run(command: list[str], cwd: pathlib.Path, environment: dict[str, str], cpu_s: float,
        address_space: int) -> Outcome:
    """One program in a process group of its own, with limits on its time and memory. The processor
    time counts for each process, the time on the clock for all."""
    limits = ["prlimit", f"--cpu={int(cpu_s) + 1}:{int(cpu_s) + 3}", "--core=0"]
    if address_space:
        limits.append(f"--as={address_space}")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    with (cwd / "output.txt").open("wb+") as file:
        process = subprocess.Popen([*limits, *command], cwd=cwd, env=environment, stdin=subprocess.DEVNULL,
                                   stdout=file, stderr=subprocess.STDOUT, start_new_session=True)
        late = False
        try:
            process.wait(timeout=120.0 + 20.0 * cpu_s)
        except subprocess.TimeoutExpired:
            late = True
        try:  # its own group: it and what it started
            os.killpg(process.pid, signal.SIGKILL)
        except ProcessLookupError:
            pass
        process.wait()
        file.seek(0)
        output = file.read(2_000_000).decode(errors="replace")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    late = late or "CPU time limit" in output or process.returncode in (-signal.SIGXCPU, 128 + signal.SIGXCPU)
    return Outcome(process.returncode == 0 and not late, late, used, output)


def command(arguments: list[object], **options: object) -> subprocess.CompletedProcess:
    return subprocess.run([str(one) for one in arguments], check=True, **options)


@dataclasses.dataclass(frozen=True)
class Test:
    """A C program, a file of Python tests, or all Lua tests."""
    name: str
    kind: str  # c, memory, python, lua


@dataclasses.dataclass(frozen=True)
class Wrapped:
    """A program of which the library is a part, with allocations that it makes fail; how it is run."""
    sources: tuple[str, ...]
    calls: tuple[str, ...]
    libraries: tuple[str, ...]
    arguments: tuple[str, ...]


STATIC = ("-l:libgsl.a", "-l:libgslcblas.a", "-l:libcsv.a", "-l:libjansson.a", "-lm", "-lpthread")
WRAPPED = {
    "test_memory": Wrapped(("test_memory", *SHARED), ("malloc", "calloc", "realloc", "strdup"),
                           ("-lcriterion", *LIBRARIES), tuple(CRITERION)),
    **{f"every_call {circumstance}": Wrapped(("every_call", "calls"), ("malloc", "calloc", "realloc", "strdup", "free"),
                                             STATIC, (circumstance, "-"))
       for circumstance in ("memory", "traps")},
}


class Bench:
    """What all trials share: objects and tests as they are without a mutation."""

    def __init__(self, root: pathlib.Path, work: pathlib.Path, python: str) -> None:
        self.root, self.work, self.python = root, work, python
        self.sources = sorted((root / "lib").glob("*/*.c"))
        tests = sorted(path.stem for path in (root / "tests/c").glob("test_*.c"))
        self.tests = [Test(name, "c") for name in tests if name not in NOT_RUN and name not in WRAPPED]
        self.tests += [Test(name, "memory") for name in WRAPPED]
        self.tests += [Test(path.name, "python") for path in sorted((root / "tests/python").glob("test_*.py"))]
        self.tests.append(Test("lua", "lua"))

    # ---- building ----

    def variant(self, name: str) -> pathlib.Path:
        return self.work / name

    def flags(self, variant: str) -> list[str]:
        return {"plain": ["-O1"], "coverage": ["-O1", "--coverage", "-fprofile-update=atomic"],
                "sanitized": ["-O1", *SANITIZERS]}[variant]

    def compile(self, source: pathlib.Path, made: pathlib.Path, variant: str, cwd: pathlib.Path) -> None:
        """Given by the name in its folder, so that equal code is an equal object file."""
        command([*COMPILER, *FLAGS, *self.flags(variant), f"-I{self.root}/include", f"-I{self.root}/lib",
                 "-c", source, "-o", made], cwd=cwd, capture_output=True)

    def link(self, objects: Iterable[pathlib.Path], made: pathlib.Path, variant: str) -> None:
        command([*COMPILER, "-shared", "-Wl,-soname,liboxtint.so", *self.flags(variant)[1:], *objects, *LIBRARIES,
                 "-o", made], capture_output=True)

    def objects(self, variant: str) -> dict[str, pathlib.Path]:
        return {source.name: self.variant(variant) / f"{source.stem}.o" for source in self.sources}

    def _many(self, jobs: list[list[str]], cwd: pathlib.Path, count: int) -> None:
        """Commands side by side; the first that fails stops it."""
        running: list[subprocess.Popen] = []
        for job in jobs:
            while len(running) >= count:
                if running.pop(0).wait():
                    raise SystemExit("the build without mutations failed")
            running.append(subprocess.Popen([str(one) for one in job], cwd=cwd))
        codes = [process.wait() for process in running]
        if any(codes):
            raise SystemExit("the build without mutations failed")

    def build_library(self, variant: str, jobs: int) -> None:
        place = self.variant(variant)
        place.mkdir(parents=True, exist_ok=True)
        for source in self.sources:
            shutil.copy(source, place / source.name)
        self._many([[*COMPILER, *FLAGS, *self.flags(variant), f"-I{self.root}/include",
                     f"-I{self.root}/lib", "-c", source.name, "-o", f"{source.stem}.o"]
                    for source in self.sources], place, jobs)
        self.link(self.objects(variant).values(), place / "liboxtint.so", variant)

    def build_c_tests(self, variant: str, jobs: int) -> None:
        place = self.variant(variant) / "tests"
        place.mkdir(parents=True, exist_ok=True)
        definitions = [f'-DTEST_DATA="{self.root}/tests/data"', '-DTEST_SCRATCH="."',
                       f'-DTEST_SOURCE="{self.root}/tests/c"', f'-DTEST_INCLUDE="{self.root}/include"',
                       '-DTEST_SHARED=""', f'-DTEST_STATIC="{self.variant(variant)}/liboxtint.so"',
                       f'-DTEST_CC="{COMPILER[-1]}"', '-DTEST_CXX="g++"', '-DTEST_FLAGS=""',
                       '-DTEST_NM="nm"', '-DTEST_LOCALEDEF="localedef"']
        sanitizers = SANITIZERS if variant == "sanitized" else []
        names = sorted(path.stem for path in (self.root / "tests/c").glob("test_*.c") if path.stem not in NOT_RUN)
        self._many([[*COMPILER, "-std=c11", "-w", "-O1", "-D_POSIX_C_SOURCE=200809L", *sanitizers, *definitions,
                     f"-I{self.root}/include", f"-I{self.root}/lib", "-c", self.root / f"tests/c/{name}.c",
                     "-o", place / f"{name}.o"] for name in [*names, *SHARED, "every_call", "calls"]], place, jobs)
        self._many([[*COMPILER, *sanitizers, place / f"{name}.o", *(place / f"{one}.o" for one in SHARED),
                     f"-L{self.variant(variant)}", "-loxtint", "-lcriterion", *LIBRARIES, "-o", place / name]
                    for name in names if name not in WRAPPED], place, jobs)

    def build_bindings(self) -> None:
        """The Python package and the Lua module as they stand, with the shared library."""
        plain, package = self.variant("plain"), self.work / "python/oxtint"
        shutil.rmtree(package, ignore_errors=True)
        shutil.copytree(self.root / "bindings/python/oxtint", package,
                        ignore=shutil.ignore_patterns("__pycache__", "*.so"))
        made = self.work / "python/extension.c"
        command([self.python, self.root / "bindings/python/build_ffi.py", made])
        where = "import sysconfig; print(sysconfig.get_path('include'))"
        headers = subprocess.run([self.python, "-c", where], check=True, capture_output=True, text=True).stdout
        command([*COMPILER, "-O1", "-w", "-fPIC", "-shared", "-DPy_LIMITED_API=0x030a0000", f"-I{headers.strip()}",
                 f"-I{self.root}/include", made, f"-L{plain}", "-loxtint", "-o", package / "_oxtint.abi3.so"])
        lua = self.work / "lua"
        lua.mkdir(exist_ok=True)
        flags = subprocess.run(["pkg-config", "--cflags", "lua5.4"], check=True, capture_output=True,
                               text=True).stdout.split()
        command([*COMPILER, "-std=c11", "-O1", "-w", "-fPIC", "-shared", *flags, f"-I{self.root}/include",
                 *sorted((self.root / "bindings/lua").glob("*.c")), f"-L{plain}", "-loxtint", "-o", lua / "oxtint.so"])

    # ---- running ----

    def place(self, name: str) -> pathlib.Path:
        """A folder for one worker: its library, its scratch files."""
        made = self.work / name
        (made / "scratch").mkdir(parents=True, exist_ok=True)
        return made

    def environment(self, library: pathlib.Path) -> dict[str, str]:
        known = os.environ | {"LD_LIBRARY_PATH": str(library), "MALLOC_PERTURB_": "165",
                              "PYTHONPATH": str(self.work / "python"), "PYTHONDONTWRITEBYTECODE": "1",
                              "OPENBLAS_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "2", "MPLBACKEND": "Agg",
                              "HYPOTHESIS_PROFILE": "ci",
                              "LUA_CPATH": str(self.work / "lua/?.so")}
        known.pop("GCOV_PREFIX", None)
        return known

    def run_test(self, test: Test, place: pathlib.Path, variant: str, cpu_s: float, **more: str) -> Outcome:
        """With the library and, of the test of memory, the program that lie in `place`."""
        environment = self.environment(place) | more
        scratch = place / "scratch"
        if test.kind in ("c", "memory"):
            arguments = [str(self.variant(variant) / f"tests/{test.name}"), *CRITERION]
            if test.kind == "memory":
                arguments = [str(place / "wrapped"), *WRAPPED[test.name].arguments]
            outcome = run(arguments, scratch, environment, cpu_s, 0 if variant == "sanitized" else 4 * GIGABYTE)
            if "Sanitizer" in outcome.output or "runtime error:" in outcome.output:
                outcome.passed = False
            return outcome
        if test.kind == "lua":
            return run(["lua5.4", str(self.root / "tests/lua/test.lua")], scratch, environment, cpu_s, 4 * GIGABYTE)
        return run([self.python, "-m", "pytest", "-x", "-q", "-p", "no:randomly", "-p", "no:cacheprovider",
                    "-p", "no:xdist", f"--rootdir={self.root}", f"--basetemp={scratch}/pytest",
                    str(self.root / f"tests/python/{test.name}")], scratch, environment, cpu_s, 12 * GIGABYTE)

    def link_wrapped(self, test: Test, objects: Iterable[pathlib.Path], place: pathlib.Path, variant: str) -> None:
        tests = self.variant("sanitized" if variant == "sanitized" else "plain") / "tests"
        of = WRAPPED[test.name]
        command([*COMPILER, *(f"-Wl,--wrap={call}" for call in of.calls), *self.flags(variant)[1:],
                 *(tests / f"{name}.o" for name in of.sources), *objects, *of.libraries, "-o", place / "wrapped"],
                capture_output=True)

    # ---- which test reaches which line ----

    def lines_reached(self, counted: pathlib.Path) -> dict[str, dict[int, int]]:
        """Counts by file and line of one run, from what gcov left under `counted`."""
        made: dict[str, dict[int, int]] = {}
        where = counted / str(self.variant("coverage")).lstrip("/")
        if not where.is_dir():
            return made
        for notes in self.variant("coverage").glob("*.gcno"):
            if (where / f"{notes.stem}.gcda").exists():
                shutil.copy(notes, where / notes.name)
        data = sorted(path.name for path in where.glob("*.gcda"))
        if data:
            command(["gcov", "--json-format", *data], cwd=where, capture_output=True)
        for path in where.glob("*.gcov.json.gz"):
            for file in json.loads(gzip.decompress(path.read_bytes()))["files"]:
                if file["file"] in {source.name for source in self.sources}:
                    lines = made.setdefault(file["file"], {})
                    for line in file["lines"]:
                        lines[line["line_number"]] = max(lines.get(line["line_number"], 0), line["count"])
        return made

    def baseline(self, test: Test) -> dict:
        """Runs a test with line counts: its time, whether it passes, what it reaches."""
        place = self.place("baseline")
        shutil.copy(self.variant("coverage") / "liboxtint.so", place / "liboxtint.so")
        if test.kind == "memory":
            self.link_wrapped(test, self.objects("coverage").values(), place, "coverage")
        counted = self.work / "counted"
        shutil.rmtree(counted, ignore_errors=True)
        outcome = self.run_test(test, place, "plain", 3600.0, GCOV_PREFIX=str(counted))
        lines = self.lines_reached(counted)
        if not outcome.passed:
            (self.work / f"failed-{test.name}.txt").write_text(outcome.output)
        return {"passed": outcome.passed, "cpu_s": round(outcome.cpu_s, 2),
                "lines": {file: {str(line): count for line, count in counts.items()}
                          for file, counts in lines.items()}}

    def sources_of(self, test: Test) -> list[pathlib.Path]:
        """What a test is made of, besides the library."""
        if test.kind == "python":
            return [self.root / f"tests/python/{test.name}", self.root / "tests/python/conftest.py"]
        if test.kind == "lua":
            return sorted((self.root / "tests/lua").glob("*"))
        names = WRAPPED[test.name].sources if test.kind == "memory" else [test.name, *SHARED]
        return [*(self.root / f"tests/c/{name}.c" for name in names), *sorted((self.root / "tests/c").glob("*.h"))]


def reachers(baseline: dict, tests: list[Test], file: str, first: int, statement: int, line: int) -> list[Test]:
    """Tests that execute a statement up to a line of it, or where gcov knows no such line the nearest before it in
    its function (from line `first`); of a table, all that reach its file, or all tests where it holds nothing but
    tables. Those whose name begins its name come first, then the quickest."""
    has_lines = any(baseline[test.name]["lines"].get(file) for test in tests)

    def count(name: str) -> bool:
        lines = baseline[name]["lines"].get(file, {})
        if first == 0:
            return any(lines.values()) or not has_lines
        known = [lines[str(at)] for at in range(statement, line + 1) if str(at) in lines]
        if not known:
            known = [lines[str(at)] for at in range(first, statement) if str(at) in lines][-1:]
        return any(known)
    found = [test for test in tests if baseline[test.name]["passed"] and count(test.name)]
    kinds = {"c": 0, "memory": 2, "lua": 1, "python": 3}
    stem = pathlib.Path(file).stem
    return sorted(found, key=lambda test: (kinds[test.kind], not stem.startswith(test.name.removeprefix("test_").removesuffix(".py")),
                                           baseline[test.name]["cpu_s"]))
