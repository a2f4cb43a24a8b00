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
simulations="^test_(simulation|pool_simulation|promises|habits|virtual_dips|drift)$"
export CMAKE_BUILD_PARALLEL_LEVEL=${CMAKE_BUILD_PARALLEL_LEVEL:-$(nproc)}

say() { printf '\n== %s ==\n' "$*"; }
die() { printf 'tests/run.sh: %s\n' "$*" >&2; printf '0 passed, 1 failed\n'; exit 1; }

# configure BUILD OPTION...: warnings are errors in every build.
configure() { cmake -S . -B "build/$1" --fresh -DOXT_WERROR=ON "${@:2}" >/dev/null; }

# run_ctest NAME BUILD OPTION...: the C tests of one build; TAP and what was measured go to results/NAME.
run_ctest() {
    local tests=build/$2/tests
    mkdir -p "$results/$1"
    rm -f "$tests"/{c,fuzz}/*.tap "$tests"/c/measured.txt
    ctest --test-dir "build/$2" --parallel "$CMAKE_BUILD_PARALLEL_LEVEL" --output-on-failure \
        --output-junit "$results/$1.ctest.xml" "${@:3}"
    find "$tests"/{c,fuzz} -maxdepth 1 \( -name '*.tap' -o -name measured.txt \) -exec cp -t "$results/$1" {} +
}

say "what the machine needs"
install_packages "${library_packages[@]}" g++ binutils libcriterion-dev lua5.4 liblua5.4-dev luarocks \
    clang libclang-rt-14-dev llvm-14 \
    locales valgrind groff-base zsh fish \
    chromium chromium-driver firefox-esr fonts-dejavu-core librsvg2-bin libxml2-utils || die "the packages could not be installed"
rm -rf "$results"
mkdir -p "$results"

say "build"
install_python test,browser & # keeps one processor busy at most
installing=$!
configure release -DOXT_TESTS=ON -DOXT_LUA=ON -DOXT_BENCH=ON && cmake --build build/release ||
    die "the release build failed"
configure clang -DCMAKE_C_COMPILER=clang -DOXT_TESTS=ON -DOXT_LUA=ON && cmake --build build/clang ||
    die "clang's build failed"
configure sanitized -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Debug -DOXT_SANITIZE=ON -DOXT_TESTS=ON -DOXT_LUA=ON &&
    cmake --build build/sanitized || die "the sanitized build failed"
configure thread -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Debug -DOXT_SANITIZE=thread -DOXT_TESTS=ON &&
    cmake --build build/thread --target every_call || die "the build for threads failed"
tests/fuzz/run.sh 0 || die "the fuzz targets do not build, or fail on what they have kept"
wait $installing || die "the Python package could not be built"

say "C"
run_ctest c release
# Made-up shops by the thousand judge the statistics, which one compiler shows.
say "C by clang"
run_ctest c-clang clang --exclude-regex "$simulations"
say "C by clang under AddressSanitizer and UndefinedBehaviorSanitizer"
run_ctest c-sanitized sanitized --exclude-regex "$simulations"
say "threads under ThreadSanitizer"
run_ctest c-threads thread --tests-regex every_call-threads
seed=$RANDOM
export HYPOTHESIS_PROFILE=ci
say "Python, in random order: --randomly-seed=$seed"
"$python" -m pytest -q -n auto --dist loadfile --randomly-seed=$seed -o cache_dir=build/pytest -o junit_family=xunit1 \
    --junitxml="$results/python.xml" tests/python
bash tests/install/wheel.sh >"$results/wheel.tap" & # keeps one processor busy, as what follows does
wheel=$!
say "the page for the bench and the documentation, in browsers"
"$python" -m pytest -q -n 2 --dist loadfile -p no:randomly -o cache_dir=build/pytest-browser -o junit_family=xunit1 \
    --junitxml="$results/browser.xml" tests/browser
say "Lua"
LUA_CPATH="build/release/lua/?.so" lua5.4 tests/lua/test.lua | tee "$results/lua.tap" |
    grep -v '^ok' || true
say "installed library"
bash tests/install/run.sh build/release | tee "$results/install.tap"
say "sdist and wheel"
wait $wheel
cat "$results/wheel.tap"
say "figures of docs/understand/accuracy.md"
"$python" tests/accuracy.py "$results" | tee "$results/accuracy.tap" | grep -v '^ok' || true

say "summary"
exec "$python" tests/summary.py "$results"
