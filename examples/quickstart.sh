#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# On a fresh Debian 12 machine: install what is needed, build, and run the main job on the demo log.
#
#     examples/quickstart.sh [TRIALS.csv [STEEL [FINISH]]]
set -euo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/setup.sh"

install_packages "${library_packages[@]}"
install_python plot,page
# The card and the chart are left in build/.
[ $# -eq 0 ] || set -- "$(realpath -- "$1")" "${@:2}"
cd "$root/build"
exec "$python" "$root/examples/quickstart.py" "$@"
