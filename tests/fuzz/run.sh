#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Fuzz the library: each target for so many seconds, one after the other; what is learnt is kept in build/fuzz.
#
#     tests/fuzz/run.sh SECONDS [TARGET...]
#
# A line for each target: executions, edges of the library reached, and whether something was found. With 0
# seconds each target is built and tries what is kept, as tests/run.sh has it. The input of a finding lies in
# build/fuzz/found; once mended, keep it in tests/fuzz/corpus/TARGET, where tests/run.sh tries it for ever.
set -euo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/../../examples/setup.sh"
cd "$root"
seconds=${1:?"usage: tests/fuzz/run.sh SECONDS [TARGET...]"}
shift
[ $# -gt 0 ] || set -- texts trials history card fit numbers lua
install_packages "${library_packages[@]}" clang libclang-rt-14-dev llvm-14 liblua5.4-dev
cmake -S . -B build/fuzz -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=Debug -DOXT_SANITIZE=ON -DOXT_FUZZ=ON \
    >/dev/null
cmake --build build/fuzz --target "${@/#/fuzz_}" >build/fuzz/build.log 2>&1 ||
    { tail -20 build/fuzz/build.log >&2; exit 1; }
limits=("-max_total_time=$seconds" -timeout=60)
[ "$seconds" -gt 0 ] || limits=(-runs=0 -timeout=3600)
declare -A dictionary=([texts]=texts [trials]=csv [history]=csv [card]=card)
failed=0
for target in "$@"; do
    learnt=build/fuzz/learnt/$target found=build/fuzz/found/$target
    log=build/fuzz/$target.log
    mkdir -p "$learnt" "$found"
    options=("${limits[@]}" -print_final_stats=1 -rss_limit_mb=4096 -artifact_prefix="$found/")
    [ -z "${dictionary[$target]:-}" ] || options+=(-dict="tests/fuzz/${dictionary[$target]}.dict")
    state=clean
    build/fuzz/tests/fuzz/fuzz_$target "${options[@]}" "$learnt" "tests/fuzz/corpus/$target" >"$log" 2>&1 ||
        state="FOUND SOMETHING: $log"
    [ "$state" = clean ] || failed=1
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
    edges=$(grep -oE 'cov: [0-9]+' "$log" | tail -1 | cut -d' ' -f2)
    all=$(sed -n 's/.*Loaded 1 modules.*(\([0-9]*\) inline.*/\1/p' "$log" | head -1)
    printf '%-8s %9s executions, %5s of %5s edges, %s\n' "$target" "${runs:-?}" "${edges:-?}" "${all:-?}" "$state"
done
exit $failed
