# SPDX-License-Identifier: GPL-3.0-or-later
"""Write the C source of the extension module oxtint._oxtint (called by CMake)."""
import pathlib
import sys

import cffi

HERE = pathlib.Path(__file__).resolve().parent


def main() -> None:
    builder = cffi.FFI()
    builder.cdef((HERE / "declarations.h").read_text(encoding="utf-8"))
    # What C calls while a bootstrap runs; spread.py says what it does.
    builder.cdef('extern "Python" int oxtint_progress(double done, void *user);')
    builder.set_source("oxtint._oxtint", '#include "oxtint.h"')
    builder.emit_c_code(sys.argv[1])


if __name__ == "__main__":
    main()
