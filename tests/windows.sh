#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The library, its Lua module and its examples for Windows on x86-64: built by Debian's mingw-w64, run under Wine. Not
# part of tests/run.sh.
#
#     tests/windows.sh     prints TAP
#
# GSL, libcsv, jansson and Lua are built from Debian's source packages. All of it stays under build/windows.
set -uo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/../examples/setup.sh"
cd "$root"
here=$root/build/windows prefix=$root/build/windows/prefix host=x86_64-w64-mingw32
demo=examples/demo/trials.csv
export CMAKE_BUILD_PARALLEL_LEVEL=${CMAKE_BUILD_PARALLEL_LEVEL:-$(nproc)}
export WINEPREFIX=$here/wine WINEDEBUG=-all DISPLAY= LC_ALL=C.UTF-8
install_packages make cmake dpkg-dev gcc-mingw-w64-x86-64-posix g++-mingw-w64-x86-64-posix wine64 wine
mkdir -p "$here"/{sources,apt/lists/partial,bin}

# ---- what it needs ----

fetch() {
    sed 's/^Types: deb$/Types: deb-src/' /etc/apt/sources.list.d/debian.sources >"$here/apt/sources.sources"
    local apt=(-o Dir::Etc::sourceparts=/dev/null -o "Dir::Etc::sourcelist=$here/apt/sources.sources"
        -o "Dir::State::Lists=$here/apt/lists" -o APT::Sandbox::User=root)
    apt-get -qq "${apt[@]}" update && (cd "$here/sources" && apt-get -qq "${apt[@]}" source gsl libcsv jansson lua5.4)
}
# by_configure FOLDER OPTION...: a static library into the prefix.
by_configure() {
    (cd "$here/sources/$1"-*/ && ./configure --build=x86_64-linux-gnu --host=$host --prefix="$prefix" --disable-shared CC=$host-gcc-posix "${@:2}" &&
        sed -i '/^SUBDIRS/s/ doc$//' Makefile && # whose texts Debian leaves out
        make -j "$CMAKE_BUILD_PARALLEL_LEVEL" && make install)
}
toolchain() {
    cat >"$here/toolchain.cmake" <<END
set(CMAKE_SYSTEM_NAME Windows)
set(CMAKE_SYSTEM_PROCESSOR AMD64)
set(CMAKE_C_COMPILER $host-gcc-posix)
set(CMAKE_CXX_COMPILER $host-g++-posix)
set(CMAKE_RC_COMPILER $host-windres)
set(CMAKE_FIND_ROOT_PATH $prefix /usr/$host)
set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
set(CMAKE_FIND_ROOT_PATH_MODE_LIBRARY ONLY)
set(CMAKE_FIND_ROOT_PATH_MODE_INCLUDE ONLY)
set(CMAKE_C_FLAGS_INIT "-isystem $prefix/include")
set(CMAKE_EXE_LINKER_FLAGS_INIT "-L$prefix/lib")
set(CMAKE_SHARED_LINKER_FLAGS_INIT "-L$prefix/lib")
set(CMAKE_MODULE_LINKER_FLAGS_INIT "-L$prefix/lib")
END
}
jansson() {
    cmake -S "$here"/sources/jansson-*/ -B "$here/jansson" -DCMAKE_TOOLCHAIN_FILE="$here/toolchain.cmake" \
        -DCMAKE_INSTALL_PREFIX="$prefix" -DCMAKE_BUILD_TYPE=Release -DJANSSON_BUILD_DOCS=OFF -DJANSSON_EXAMPLES=OFF \
        -DJANSSON_WITHOUT_TESTS=ON && cmake --build "$here/jansson" --target install
}
lua() {
    (cd "$here"/sources/lua5.4-*/src && mkdir -p "$prefix"/{bin,include,lib} &&
        $host-gcc-posix -O2 -DLUA_BUILD_AS_DLL -shared -o "$prefix/bin/lua54.dll" \
            -Wl,--out-implib,"$prefix/lib/liblua54.a" $(ls l*.c | grep -v -e '^lua\.c' -e '^luac\.c') &&
        $host-gcc-posix -O2 -DLUA_BUILD_AS_DLL -o "$prefix/bin/lua.exe" lua.c "$prefix/lib/liblua54.a" &&
        cp lua.h luaconf.h lualib.h lauxlib.h "$prefix/include")
}
prepare() {
    toolchain
    [ -e "$here/ready" ] && return
    (fetch && by_configure libcsv && jansson && lua && by_configure gsl && touch "$here/ready") \
        >"$here/prepare.log" 2>&1 || { tail -20 "$here/prepare.log"; echo "Bail out! see $here/prepare.log"; exit 1; }
}
prepare

# ---- the library, and what is run ----

source tests/install/check.sh
bin=$here/bin # programs, and the DLLs that they need beside them
runtime() { cp "$(find "$@" | head -1)" "$bin"; }
library() {
    cmake -S . -B "$here/build" -DCMAKE_TOOLCHAIN_FILE="$here/toolchain.cmake" -DCMAKE_INSTALL_PREFIX="$prefix" \
        -DOXT_CALLS=ON -DOXT_LUA=ON -DOXT_LUA_INCLUDE="$prefix/include" -DOXT_LUA_LIBRARY="$prefix/lib/liblua54.a" &&
        cmake --build "$here/build" --target install oxtint_lua every_call && cp "$here"/build/liboxtint.dll "$bin" &&
        cp "$here"/build/tests/c/every_call.exe "$here"/build/lua/oxtint.dll "$prefix"/bin/lua* "$bin" &&
        runtime "/usr/$host" -name libwinpthread-1.dll &&
        runtime /usr/lib/gcc/$host -path '*posix*' -name libgcc_s_seh-1.dll &&
        runtime /usr/lib/gcc/$host -path '*posix*' -name libstdc++-6.dll
}
# calls CIRCUMSTANCE: every public call.
calls() {
    wine "$bin/every_call.exe" "$1" "$here/$1.tap" >"$here/$1.txt" 2>&1
    grep -v '^ok' "$here/$1.tap"
    cat "$here/$1.txt" | head -5
    [ "$(grep -c '^ok' "$here/$1.tap")" -gt 200 ] && ! grep -q '^not ok' "$here/$1.tap"
}
# The same numbers as on this machine, within DIGITS significant digits.
same_results() {
    cmake -S . -B "$here/linux" -DOXT_CALLS=ON && cmake --build "$here/linux" --target every_call &&
        "$here/linux/tests/c/every_call" print "$here/linux.tap" >"$here/linux.txt" && calls print &&
        tr -d '\r' <"$here/print.txt" >"$here/windows.txt" &&
        python3 tests/compare_results.py "$here/linux.txt" "$here/windows.txt" "${DIGITS:-7}"
}
# example COMPILER SOURCE OPTION...: built against the installed DLL.
example() {
    "$host-$1-posix" -Wall -Wextra -Werror -D__USE_MINGW_ANSI_STDIO=1 -I"$prefix/include" "examples/embed/$2" \
        -L"$prefix/lib" "${@:3}" -o "$bin/${2%.*}.exe"
}
lifts() { wine "$bin/$1.exe" $demo | grep -q 'lift after'; }
static_library() {
    example gcc embed.c -std=c11 -DOXT_STATIC -static -l:liboxtint.a -lgsl -lgslcblas -lcsv -ljansson -lpthread &&
        mv "$bin/embed.exe" "$bin/embed_static.exe" && lifts embed_static
}
wall() { (cd "$work" && wine "$bin/wall.exe" "$root/$demo" "Alder 1" satin "$@"); }
writes_files() {
    example gcc wall.c -std=c11 -loxtint && wall wall.svg chart.svg && wall wall.svg chart.svg &&
        xmllint --noout "$work"/*.svg && [ "$(ls "$work" | grep -c svg)" = 2 ] &&
        echo "not ours" >"$work/kept.svg" && ! wall wall.svg kept.svg && grep -q 'not ours' "$work/kept.svg" &&
        ! wall wall.svg none/chart.svg && [ -z "$(find "$work" -name '*.tmp')" ]
}
# A script's texts are UTF-8, and so are the names that it hands over.
utf8_names() {
    cat >"$work/names.lua" <<'END'
local oxtint = require "oxtint"
local steel = assert(oxtint.starting_steel("Dogwood 4"))
for _ = 1, 2 do assert(steel:save("W\u{e4}nde \u{394}.json")) end
assert(assert(oxtint.load_steel("W\u{e4}nde \u{394}.json")) == steel)
local none, message = steel:save("none/card.json")
assert(not none and message:find("No such file"), message)
none, message = steel:save(".")
assert(not none and message:find("a directory"), message)
none, message = oxtint.load_steel("\xff.json")
assert(not none, message)
print("good")
END
    (cd "$work" && wine "$bin/lua.exe" names.lua | grep -q good) && [ -s "$work/Wände Δ.json" ] &&
        [ -z "$(find "$work" -name '*.tmp')" ]
}
export LUA_CPATH
LUA_CPATH="$(echo "Z:$bin" | tr / '\\')\\?.dll"
# But those that need programs of Unix: localedef, cc, lua5.4.
lua_tests() {
    (cd tests/lua && wine "$bin/lua.exe" test.lua) | tr -d '\r' >"$here/lua.tap"
    grep '^not ok' "$here/lua.tap" |
        grep -v -e 'a host with a decimal comma' -e 'memory may run out' -e 'the example' >"$here/failed"
    cat "$here/failed"
    [ "$(grep -c '^ok' "$here/lua.tap")" -gt 500 ] && [ ! -s "$here/failed" ]
}
lua_examples() {
    wine "$bin/lua.exe" examples/dip.lua | grep -q 'lift after' &&
        wine "$bin/lua.exe" examples/wall.lua | grep -q '^blue .* 600 F' && wine "$bin/lua.exe" examples/controller.lua
}

check "the library, the Lua module and the calls are built" library
check "every public call" calls calls
check "every public call, with a decimal comma" calls comma
check "every public call, by eight threads" calls threads
check "every public call, each allocation failing in turn" calls memory
check "the numbers of every call are those of this machine" same_results
check "the example in C" eval "example gcc embed.c -std=c11 -loxtint && lifts embed"
check "the example in C++, asked from three threads" eval "example g++ embed.cpp -std=c++17 -loxtint && lifts embed"
check "the static library" static_library
check "files are written whole, and no other is replaced" writes_files
check "names of files are UTF-8" utf8_names
check "the tests of the Lua module" lua_tests
check "examples in Lua" lua_examples
echo "1..$count"
