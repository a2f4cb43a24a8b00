#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Make bindings/python/declarations.h, what CFFI reads, from the public headers.

The headers go through the C preprocessor with OXT_DECLARATIONS_ONLY, which leaves plain
declarations; the numeric constants, which the preprocessor swallows, are added from the #defines.
A test fails when the result in the repository is stale.

    python3 bindings/generate.py           write the file
    python3 bindings/generate.py --check   only compare; exit status 1 when it is stale
"""
import os
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
TARGET = ROOT / "bindings/python/declarations.h"
HEADING = "/* Made from include/oxtint.h by bindings/generate.py; do not edit. */\n"


def plain_declarations() -> str:
    command = [os.environ.get("CC", "cc"), "-E", "-P", "-DOXT_DECLARATIONS_ONLY",
               f"-I{ROOT}/include", f"{ROOT}/include/oxtint.h"]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    # Compilers differ in the white space they leave.
    lines = (" ".join(line.split()) for line in text.splitlines())
    return "\n".join(line for line in lines if line) + "\n"


def constants() -> str:
    lines = []
    for header in sorted((ROOT / "include/oxtint").glob("*.h")):
        for name, value in re.findall(r"^#define (OXT_[A-Z0-9_]+) ([0-9.e+-]+)$",
                                      header.read_text(encoding="utf-8"), re.MULTILINE):
            whole = re.fullmatch(r"[0-9]+", value)
            lines.append(f"#define {name} ..." if whole else f"static const double {name};")
    return "\n".join(lines) + "\n"


def main() -> int:
    text = HEADING + plain_declarations() + constants()
    if "--check" in sys.argv[1:]:
        if TARGET.exists() and TARGET.read_text(encoding="utf-8") == text:
            return 0
        print(f"{TARGET.name} is stale: run python3 bindings/generate.py", file=sys.stderr)
        return 1
    TARGET.write_text(text, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
