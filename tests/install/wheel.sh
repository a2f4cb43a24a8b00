#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Make the sdist and the wheel of a release, install the wheel alone into a fresh virtual environment, and
# do the main job there with nothing else of this machine in sight.
#
#     tests/install/wheel.sh [FOLDER]     prints TAP; the folder keeps the sdist and the wheel
set -uo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
demo=$root/examples/demo/trials.csv
dist=${1:-$work/dist}
mkdir "$work/job"

# As on a machine without a compiler: no programs but those of the virtual environment, no settings.
alone() { (cd "$work/job" && env -i PATH="$work/venv/bin" MPLBACKEND=Agg "$@"); }

# The wheel is made from the sdist, unpacked where no checkout is in reach.
makes() { "$root/bindings/python/wheel.sh" "$dist" && ls "$dist"/oxtint-*.tar.gz; }
has_abi3_tag() { ls "$dist"/oxtint-*-cp310-abi3-manylinux_*.whl; }
sdist_has_every_source() {
    tar -xzf "$dist"/oxtint-*.tar.gz -C "$work"
    diff -r "$root/lib" "$work"/oxtint-*/library/lib &&
        diff -r "$root/include" "$work"/oxtint-*/library/include
}
installs() {
    python3 -m venv --without-pip "$work/venv" &&
        "$root/build/venv/bin/pip" --python "$work/venv/bin/python" install --quiet --no-compile \
            --only-binary :all: "$(ls "$dist"/*.whl)[plot]"
}
version_is_that_of_the_header() {
    alone python -c '
import importlib.metadata, re, sys, oxtint
numbers = re.findall(r"VERSION_(?:MAJOR|MINOR|PATCH) (\d+)", open(sys.argv[1]).read())
assert ".".join(numbers) == oxtint.__version__ == importlib.metadata.version("oxtint"), numbers
' "$root/include/oxtint/version.h"
}
needed_libraries_are_its_own() {
    alone python -c '
import re, sys, oxtint
maps = open("/proc/self/maps").read()
mapped = set(re.findall(r"/\S+/lib(?:gsl|gslcblas|csv|jansson)[-.]\S+", maps))
print(*sorted(mapped), sep="\n")
assert len(mapped) == 4
assert all(path.startswith(sys.prefix) and "/oxtint.libs/" in path for path in mapped)'
}
fits_and_draws() {
    alone python "$root/examples/quickstart.py" "$demo" "Alder 1" satin | grep -q 'Lift after' &&
        [ "$(head -c 4 "$work/job/oxtint-chart.png" | tail -c 3)" = PNG ]
}
command_runs() {
    alone oxtint fit "$demo" --steel "Alder 1" --finish satin --save card.json &&
        alone oxtint dip card.json --target blue --bath "600 F" | grep -q 'lift after'
}
licences_are_there() {
    alone python -c '
import importlib.metadata as metadata
wheel = metadata.distribution("oxtint")
noted = set(wheel.metadata.get_all("License-File"))
assert noted == {"LICENSE", "LGPL-2.1", "libgsl27", "libgslcblas0", "libcsv3", "libjansson4"}, noted
for name in noted:
    assert len(wheel.read_text(f"licenses/{name}")) > 1000, name'
}
# Where the wheel was installed from, pip notes beside it.
has_no_build_path() { ! grep -rl --exclude=direct_url.json -e "$root" "$work"/venv/lib/python3*/site-packages/oxtint*; }

check "the sdist and a wheel from it are made" makes
check "the wheel is for every Python from 3.10" has_abi3_tag
check "the sdist has the sources of the library" sdist_has_every_source
check "the wheel installs where nothing can be built" installs
check "the version is that of the header" version_is_that_of_the_header
check "each library it needs is its own" needed_libraries_are_its_own
check "fits the demo log and draws the chart" fits_and_draws
check "the command runs" command_runs
check "the licences of what it carries are there" licences_are_there
check "nothing in it names the place of the checkout" has_no_build_path
echo "1..$count"
