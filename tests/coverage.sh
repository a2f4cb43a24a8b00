#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Which lines and branches of lib/ the C and Lua tests run. Not part of tests/run.sh.
#
#     tests/coverage.sh [LINES BRANCHES]      per cent that must be reached; 99 and 92
#
# build/coverage/index.html shows where the gaps are.
set -euo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/../examples/setup.sh"
cd "$root"
install_packages "${library_packages[@]}" g++ binutils libcriterion-dev lua5.4 liblua5.4-dev locales gcovr
build=$root/build/coverage
cmake -S . -B "$build" -DCMAKE_BUILD_TYPE=Debug -DCMAKE_C_FLAGS="--coverage -fprofile-update=atomic -DOXT_I_ONE_LOOP" -DOXT_TESTS=ON -DOXT_LUA=ON \
    -DCMAKE_SHARED_LINKER_FLAGS="-Wl,--exclude-libs,libgcov.a" >/dev/null
cmake --build "$build" --parallel "$(nproc)" | grep -E 'warning|error:' || true
find "$build" -name '*.gcda' -delete
ctest --test-dir "$build" --parallel "$(nproc)" --quiet || echo "tests/coverage.sh: some tests failed" >&2
LUA_CPATH="$build/lua/?.so" lua5.4 tests/lua/test.lua >/dev/null || echo "tests/coverage.sh: Lua failed" >&2
# The loops of vector.c are there once: copies for other processors than this one would count as not run.
# A branch of a macro's own, or one that only the compiler made, is no branch of the source.
gcovr --root "$root" --filter lib/ --exclude-throw-branches --exclude-unreachable-branches \
    --html-details "$build/index.html" --print-summary --sort-uncovered \
    --fail-under-line "${1:-99}" --fail-under-branch "${2:-92}" "$build"
