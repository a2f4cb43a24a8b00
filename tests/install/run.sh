#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Install the library, move it, and build the C example against it in each way that a user would.
#
#     tests/install/run.sh BUILD     prints TAP
set -uo pipefail
build=$(cd "$1" && pwd)
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

install_and_move() {
    cmake --install "$build" --prefix "$work/first" && mv "$work/first" "$work/prefix"
}
library() { find "$work/prefix" -name 'liboxtint.so' -printf '%h'; }

by_cmake() { # TARGET
    cmake -S "$root/examples/embed" -B "$work/cmake-$1" -DCMAKE_PREFIX_PATH="$work/prefix" \
        -DOXTINT_TARGET="oxtint::$1" && cmake --build "$work/cmake-$1" &&
        "$work/cmake-$1/embed" "$root/examples/demo/trials.csv" | grep -q 'lift after'
}
by_pkg_config() {
    export PKG_CONFIG_PATH="$(library)/pkgconfig"
    gcc -std=c11 -Wall -Werror "$root/examples/embed/embed.c" \
        $(pkg-config --cflags --libs oxtint) -o "$work/embed" &&
        LD_LIBRARY_PATH=$(library) "$work/embed" "$root/examples/demo/trials.csv" |
        grep -q 'lift after'
}
by_pkg_config_static() {
    export PKG_CONFIG_PATH="$(library)/pkgconfig"
    gcc -std=c11 -Wall -Werror "$root/examples/embed/embed.c" $(pkg-config --cflags oxtint) \
        "$(library)/liboxtint.a" $(pkg-config --static --libs oxtint) -o "$work/embed-static" &&
        "$work/embed-static" "$root/examples/demo/trials.csv" | grep -q 'lift after'
}
has_soname() { readelf -d "$(library)/liboxtint.so" | grep -q 'SONAME.*liboxtint\.so\.0\.1'; }
has_no_build_path() { ! grep -rIl -e "$root" -e "$work" "$work/prefix"; }
lua_module_loads() {
    local module
    module=$(find "$work/prefix" -path '*lua/5.4/oxtint.so') && [ -n "$module" ] &&
        LUA_CPATH="$(dirname "$module")/?.so" lua5.4 -e 'assert(require("oxtint").version)'
}

check "installs, and the tree can be moved" install_and_move
check "the shared library has its SONAME" has_soname
check "nothing installed names the place of the build" has_no_build_path
check "find_package, shared" by_cmake oxtint
check "find_package, static" by_cmake oxtint_static
check "pkg-config, shared" by_pkg_config
check "pkg-config, static" by_pkg_config_static
check "the Lua module loads" lua_module_loads
echo "1..$count"
