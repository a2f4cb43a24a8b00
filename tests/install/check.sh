# SPDX-License-Identifier: GPL-3.0-or-later
# Sourced by the tests of what gets installed: root, a folder work that is removed in the end, and TAP.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
count=0

# check NAME COMMAND...: one test.
check() {
    local name=$1
    shift
    count=$((count + 1))
    if "$@" >"$work/log" 2>&1; then
        echo "ok $count - $name"
    else
        echo "not ok $count - $name"
        sed 's/^/# /' "$work/log"
    fi
}
