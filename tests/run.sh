#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# All tests on a fresh Debian 12 machine: install what is needed, build, run, count. The last line is
# "N passed, N failed"; the exit status is 0 only when all passed.
#
#     tests/run.sh
set -uo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/../examples/setup.sh"
cd "$root"
results=$root/build/results
export CMAKE_BUILD_PARALLEL_LEVEL=${CMAKE_BUILD_PARALLEL_LEVEL:-$(nproc)}

say() { printf '\n== %s ==\n' "$*"; }
die() { printf 'tests/run.sh: %s\n' "$*" >&2; printf '0 passed, 1 failed\n'; exit 1; }

# run_ctest NAME BUILD: the C tests of one build; TAP and what was measured go to results/NAME.
run_ctest() {
    mkdir -p "$results/$1"
    rm -f "$2"/tests/c/*.tap "$2"/tests/c/measured.txt
    ctest --test-dir "$2" --parallel "$CMAKE_BUILD_PARALLEL_LEVEL" --output-on-failure \
        --output-junit "$results/$1.ctest.xml"
    cp "$2"/tests/c/*.tap "$2"/tests/c/measured.txt "$results/$1/"
}

say "what the machine needs"
install_packages "${library_packages[@]}" g++ binutils libcriterion-dev lua5.4 liblua5.4-dev \
    locales valgrind groff-base zsh fish || die "the packages could not be installed"
rm -rf "$results"
mkdir -p "$results"

say "build"
cmake -S . -B build/release -DOXT_TESTS=ON -DOXT_LUA=ON -DOXT_BENCH=ON -DOXT_WERROR=ON >/dev/null &&
    cmake --build build/release || die "the release build failed"
cmake -S . -B build/sanitized -DCMAKE_BUILD_TYPE=Debug -DOXT_SANITIZE=ON -DOXT_TESTS=ON \
    -DOXT_WERROR=ON >/dev/null && cmake --build build/sanitized || die "the sanitized build failed"
install_python test || die "the Python package could not be built"

say "C"
run_ctest c build/release
say "C under AddressSanitizer and UndefinedBehaviorSanitizer"
run_ctest c-sanitized build/sanitized
seed=$RANDOM
export HYPOTHESIS_PROFILE=ci
say "Python, in random order: --randomly-seed=$seed"
"$python" -m pytest -q -n auto --dist loadfile --randomly-seed=$seed -o cache_dir=build/pytest -o junit_family=xunit1 \
    --junitxml="$results/python.xml" tests/python
say "Lua"
LUA_CPATH="build/release/lua/?.so" lua5.4 tests/lua/test.lua | tee "$results/lua.tap" |
    grep -v '^ok' || true
say "installed library"
bash tests/install/run.sh build/release | tee "$results/install.tap"
say "sdist and wheel"
bash tests/install/wheel.sh | tee "$results/wheel.tap"
say "figures of docs/accuracy.md"
"$python" tests/accuracy.py "$results" | tee "$results/accuracy.tap" | grep -v '^ok' || true

say "summary"
exec "$python" tests/summary.py "$results"
