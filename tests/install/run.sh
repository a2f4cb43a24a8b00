#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Install the library, move it, and build the C example against it in each way that a user would: installed,
# packed, and as a part of another project.
#
#     tests/install/run.sh BUILD     prints TAP
set -uo pipefail
build=$(cd "$1" && pwd)
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

install_and_move() {
    cmake --install "$build" --prefix "$work/first" && mv "$work/first" "$work/prefix"
}
library() { find "$work/prefix" -name 'liboxtint.so' -printf '%h'; }

runs() { "$@" "$root/examples/demo/trials.csv" | grep -q 'lift after'; }

by_cmake() { # TARGET PREFIX
    cmake -S "$root/examples/embed" -B "$2-$1" -DCMAKE_PREFIX_PATH="$2" -DOXTINT_TARGET="oxtint::$1" &&
        cmake --build "$2-$1" && runs "$2-$1/embed"
}
by_pkg_config() {
    export PKG_CONFIG_PATH="$(library)/pkgconfig"
    gcc -std=c11 -Wall -Werror "$root/examples/embed/embed.c" \
        $(pkg-config --cflags --libs oxtint) -o "$work/embed" &&
        runs env LD_LIBRARY_PATH="$(library)" "$work/embed"
}
by_pkg_config_static() {
    export PKG_CONFIG_PATH="$(library)/pkgconfig"
    gcc -std=c11 -Wall -Werror "$root/examples/embed/embed.c" $(pkg-config --cflags oxtint) \
        "$(library)/liboxtint.a" $(pkg-config --static --libs oxtint) -o "$work/embed-static" &&
        runs "$work/embed-static"
}
# The header for C++, with each compiler, with and without exceptions; and the controller, which has threads.
by_cpp() { # COMPILER OPTION...
    export PKG_CONFIG_PATH="$(library)/pkgconfig" LD_LIBRARY_PATH="$(library)"
    "$1" -std=c++17 -Wall -Wextra -Werror "${@:2}" "$root/examples/embed/embed.cpp" \
        $(pkg-config --cflags --libs oxtint) -pthread -o "$work/embed-cpp" && runs "$work/embed-cpp" &&
        ! "$work/embed-cpp" "$root/examples/demo/trials.csv" Nope 2>"$work/said" &&
        grep -q "^embed: no trial is of steel 'Nope'" "$work/said"
}
controller() {
    export PKG_CONFIG_PATH="$(library)/pkgconfig" LD_LIBRARY_PATH="$(library)"
    gcc -std=c11 -Wall -Wextra -Werror "$root/examples/embed/controller.c" $(pkg-config --cflags --libs oxtint) \
        -pthread -lm -o "$work/controller" && "$work/controller" "$root/examples/demo/trials.csv" >"$work/said" &&
        cat "$work/said" && [ "$(grep -c 'lift the .*: 57\.[0-9] nm .* 2 refused, 1 gap' "$work/said")" = 2 ]
}
wall() {
    export PKG_CONFIG_PATH="$(library)/pkgconfig" LD_LIBRARY_PATH="$(library)"
    gcc -std=c11 -Wall -Wextra -Werror "$root/examples/embed/wall.c" $(pkg-config --cflags --libs oxtint) \
        -o "$work/wall" && (cd "$work" && ./wall "$root/examples/demo/trials.csv" "Alder 1" satin wall.svg chart.svg) &&
        xmllint --noout "$work/wall.svg" "$work/chart.svg" && grep -q '<title>Alder 1, satin: when to lift' "$work/wall.svg"
}
has_soname() { readelf -d "$(library)/liboxtint.so" | grep -q 'SONAME.*liboxtint\.so\.0\.2'; }
has_no_build_path() { ! grep -rIl -e "$root" -e "$work" "$work/prefix"; }
lua_module_loads() {
    local module
    module=$(find "$work/prefix" -path '*lua/5.4/oxtint.so') && [ -n "$module" ] &&
        LUA_CPATH="$(dirname "$module")/?.so" lua5.4 -e 'assert(require("oxtint").version)'
}

# pack GENERATOR CONFIG: into work/packed.
pack() { (cd "$build" && cpack -G "$1" --config "$2" -B "$work/packed"); }
debian_package() {
    pack DEB CPackConfig.cmake && dpkg-deb -x "$work"/packed/oxtint_*.deb "$work/deb" &&
        dpkg-deb -f "$work"/packed/oxtint_*.deb Depends | grep -q libgsl &&
        LD_LIBRARY_PATH=$work/deb/usr/lib by_cmake oxtint "$work/deb/usr"
}
tarball() {
    pack TGZ CPackConfig.cmake && mkdir "$work/tarball" &&
        tar -xzf "$work"/packed/oxtint-*-Linux.tar.gz -C "$work/tarball" --strip-components=1 &&
        by_cmake oxtint "$work/tarball"
}
source_tarball() {
    pack TGZ CPackSourceConfig.cmake && mkdir "$work/source" &&
        tar -xzf "$work"/packed/oxtint-*-Source.tar.gz -C "$work/source" --strip-components=1 &&
        [ -f "$work/source/LICENSE" ] && [ ! -e "$work/source/build" ] && diff -r "$root/lib" "$work/source/lib"
}

# The builds from the sources are not optimised: they are only to link and to run.
exports() { nm -D --defined-only "$1" | grep -v ' _' | cut -d' ' -f3; }
static_alone() {
    cmake -S "$work/source" -B "$work/static" -DBUILD_SHARED_LIBS=OFF -DCMAKE_BUILD_TYPE=Debug \
        -DCMAKE_INSTALL_PREFIX="$work/archive" && cmake --build "$work/static" --target install &&
        [ -z "$(find "$work/archive" -name '*.so*')" ] && by_cmake oxtint "$work/archive" &&
        by_cmake oxtint_static "$work/archive" &&
        PKG_CONFIG_PATH=$(find "$work/archive" -name pkgconfig) &&
        gcc "$root/examples/embed/embed.c" $(PKG_CONFIG_PATH=$PKG_CONFIG_PATH pkg-config --cflags --libs oxtint) \
            -o "$work/embed-archive" && runs "$work/embed-archive"
}
# host NAME CMAKE OPTION...: a project that has the sources as a part; it installs its own program alone.
host() {
    local here=$work/$1
    "$2" -S "$root/tests/install/host" -B "$here" -DOXTINT_SOURCE="$work/source" -DCMAKE_BUILD_TYPE=Debug \
        -DCMAKE_INSTALL_PREFIX="$here-prefix" "${@:3}" && "$2" --build "$here" && runs "$here/embed" &&
        "$2" --install "$here" && [ "$(find "$here-prefix" -type f -printf '%f ')" = "embed " ]
}
subdirectory() { host subdirectory cmake -DOXT_HIDDEN=ON && ! ldd "$work/subdirectory/embed" | grep liboxtint; }
plugin_exports_its_own() { [ "$(exports "$work/subdirectory/libplugin.so")" = plugin_version ]; }
fetch_content() {
    python3 -m venv "$work/oldest" && "$work/oldest/bin/pip" install --quiet 'cmake==3.18.*' &&
        host fetched "$work/oldest/bin/cmake" -DBY_FETCH_CONTENT=ON -DBUILD_SHARED_LIBS=ON &&
        ldd "$work/fetched/embed" | grep liboxtint
}

# The rock, from the sources, into a tree of its own, and some of Lua's tests on it there. Not optimised, as above.
rock() { (cd "$work/source" && CMAKE_BUILD_TYPE=Debug luarocks --lua-version=5.4 --tree="$work/rocks" "$@"); }
rock_builds() {
    rock make bindings/lua/oxtint-dev-1.rockspec && [ "$(find "$work/rocks" -name '*.so' -printf '%P ')" = lib/lua/5.4/oxtint.so\  ] &&
        [ -z "$(find "$work/rocks" -name 'liboxtint*' -o -name 'oxtint.h')" ]
}
rock_passes() {
    export LUA_CPATH_5_4="$work/rocks/lib/lua/5.4/?.so"
    rock test bindings/lua/oxtint-dev-1.rockspec units trials steel dip arguments names pages >"$work/rock.tap" || { cat "$work/rock.tap"; return 1; }
    [ "$(grep -c '^ok' "$work/rock.tap")" -gt 200 ] && ! grep '^not ok' "$work/rock.tap"
}

check "installs, and the tree can be moved" install_and_move
check "the shared library has its SONAME" has_soname
check "nothing installed names the place of the build" has_no_build_path
check "find_package, shared" by_cmake oxtint "$work/prefix"
check "find_package, static" by_cmake oxtint_static "$work/prefix"
check "pkg-config, shared" by_pkg_config
check "pkg-config, static" by_pkg_config_static
check "C++17 by the header of handles" by_cpp g++
check "C++17 without exceptions, by clang" by_cpp clang++ -fno-exceptions
check "a controller on a thread that reads a pipe" controller
check "the page for the wall is written without Python" wall
check "the Lua module loads" lua_module_loads
check "the Debian package names what it needs, and works" debian_package
check "the tarball works where it is unpacked" tarball
check "the source tarball has the sources and no build" source_tarball
check "a static library alone is oxtint::oxtint, and pkg-config brings what it needs" static_alone
check "add_subdirectory, static; nothing of oxtint is installed" subdirectory
check "a plugin with hidden functions of oxtint exports its own alone" plugin_exports_its_own
check "FetchContent, shared, by CMake 3.18" fetch_content
check "the rockspec has no mistake that luarocks knows of" luarocks --lua-version=5.4 lint "$root/bindings/lua/oxtint-dev-1.rockspec"
check "luarocks make builds and installs the Lua module alone" rock_builds
check "luarocks test runs the tests of the module" rock_passes
echo "1..$count"
