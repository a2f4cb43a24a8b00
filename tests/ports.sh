#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The library on other processors: built by Debian's cross compilers against Debian's libraries, and run under
# qemu's user-mode emulation. Not part of tests/run.sh: it takes long.
#
#     tests/ports.sh [ARCHITECTURE...]        i386, arm64, armhf, s390x; all by default
#
# For each: every public call (tests/c/every_call.c), as it is, in threads and while each allocation fails;
# and the results of all calls beside those of this machine, within DIGITS significant digits. What is
# downloaded stays under build/ports; the machine gets the compilers and the emulator, no foreign library.
set -euo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/../examples/setup.sh"
cd "$root"
ports=$root/build/ports
DIGITS=${DIGITS:-7}
[ $# -gt 0 ] || set -- i386 arm64 armhf s390x

declare -A triple=([i386]=i686-linux-gnu [arm64]=aarch64-linux-gnu [armhf]=arm-linux-gnueabihf
    [s390x]=s390x-linux-gnu)
declare -A emulator=([i386]=i386 [arm64]=aarch64 [armhf]=arm [s390x]=s390x)
# Debian's folder of libraries, where it is not named like the compiler.
declare -A folder=([i386]=i386-linux-gnu [arm64]=aarch64-linux-gnu [armhf]=arm-linux-gnueabihf
    [s390x]=s390x-linux-gnu)
foreign=(libc6 libgcc-s1 libgsl27 libgslcblas0 libgsl-dev libcsv3 libcsv-dev libjansson4 libjansson-dev)

compilers=()
for port in "$@"; do
    [ -n "${triple[$port]:-}" ] || { echo "tests/ports.sh: unknown architecture $port" >&2; exit 2; }
    compilers+=("gcc-${triple[$port]}" "libc6-dev-$port-cross")
done
install_packages "${library_packages[@]}" qemu-user-static locales "${compilers[@]}"

# sysroot PORT: its libraries unpacked under build/ports, by an apt that has a state of its own.
sysroot() {
    local here=$ports/$1 package
    [ -e "$here/ready" ] && return
    mkdir -p "$here"/{root,packages} "$here"/apt/{lists/partial,cache/archives/partial,etc}
    : >"$here/apt/status"
    local apt=(-o "APT::Architecture=$1" -o "APT::Architectures=$1" -o "Dir::State::Lists=$here/apt/lists"
        -o "Dir::State::Status=$here/apt/status" -o "Dir::Cache=$here/apt/cache" -o APT::Sandbox::User=root)
    apt-get -qq "${apt[@]}" update || echo "tests/ports.sh: some lists of packages are missing" >&2
    (cd "$here/packages" && apt-get -qq "${apt[@]}" download "${foreign[@]}")
    for package in "$here"/packages/*.deb; do dpkg-deb -x "$package" "$here/root"; done
    touch "$here/ready"
}

# build PORT: the library and its calls.
build() {
    local here=$ports/$1 lib=$ports/$1/root/usr/lib/${folder[$1]}
    cat >"$here/toolchain.cmake" <<END
set(CMAKE_SYSTEM_NAME Linux)
set(CMAKE_SYSTEM_PROCESSOR $1)
set(CMAKE_C_COMPILER ${triple[$1]}-gcc)
set(CMAKE_FIND_ROOT_PATH $here/root)
set(CMAKE_LIBRARY_ARCHITECTURE ${folder[$1]})
set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
set(CMAKE_FIND_ROOT_PATH_MODE_LIBRARY ONLY)
set(CMAKE_C_FLAGS_INIT "-isystem $here/root/usr/include")
set(CMAKE_EXE_LINKER_FLAGS_INIT "-L$lib -Wl,-rpath-link,$lib:$here/root/lib/${folder[$1]}")
set(CMAKE_SHARED_LINKER_FLAGS_INIT "-L$lib")
END
    cmake -S . -B "$here/build" -DCMAKE_TOOLCHAIN_FILE="$here/toolchain.cmake" -DOXT_CALLS=ON -DOXT_WERROR=ON \
        >/dev/null
    cmake --build "$here/build" --target every_call | grep -E 'warning|error:' || true
}

# run PORT CIRCUMSTANCE: passed and failed calls.
run() {
    local here=$ports/$1 tap=$ports/$1/$2.tap log=$ports/$1/$2.log
    "qemu-${emulator[$1]}-static" -L "$here/root" \
        -E "LD_LIBRARY_PATH=$here/root/usr/lib/${folder[$1]}:$here/root/lib/${folder[$1]}" \
        "$here/build/tests/c/every_call" "$2" "$tap" >"$log" 2>&1 || true
    printf '%s, %s: %s passed, %s failed\n' "$1" "$2" "$(grep -c '^ok' "$tap")" \
        "$(grep -c '^not ok' "$tap" || true)"
    grep -q '^1\.\.' "$tap" && ! grep -q '^not ok' "$tap" || { head -5 "$log"; failed=1; }
}

failed=0
cmake -S . -B "$ports/here" -DOXT_CALLS=ON >/dev/null
cmake --build "$ports/here" --target every_call | grep -E "warning|error:" || true
"$ports/here/tests/c/every_call" print "$ports/here.tap" >"$ports/here.txt"
for port in "$@"; do
    sysroot "$port"
    build "$port"
    for circumstance in calls threads memory; do run "$port" "$circumstance"; done
    run "$port" print
    python3 tests/compare_results.py "$ports/here.txt" "$ports/$port/print.log" "$DIGITS" || failed=1
done
exit $failed
