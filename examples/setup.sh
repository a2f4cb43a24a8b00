# SPDX-License-Identifier: GPL-3.0-or-later
# Sourced by examples/quickstart.sh and tests/run.sh: what a fresh Debian 12 machine needs, then the
# Python package in a virtual environment under build/. Sets root and python.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
python=$root/build/venv/bin/python

# install_packages PACKAGE...: by apt, only what is missing, so that a machine that has it all needs
# neither root nor a network.
install_packages() {
    local missing=() package
    for package in "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' ||
            missing+=("$package")
    done
    [ ${#missing[@]} -eq 0 ] && return
    echo "Installing ${missing[*]}"
    local admin=()
    [ "$(id -u)" -eq 0 ] || admin=(sudo)
    "${admin[@]}" apt-get update -qq
    "${admin[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends \
        "${missing[@]}" >/dev/null
}

library_packages=(gcc libc6-dev make cmake pkg-config libgsl-dev libcsv-dev libjansson-dev
    python3 python3-dev python3-venv)

# install_python EXTRA: the package with one of its extras, into build/venv.
install_python() {
    [ -x "$python" ] || python3 -m venv "$root/build/venv"
    "$python" -m pip install --quiet --disable-pip-version-check "$root/bindings/python[$1]"
}
