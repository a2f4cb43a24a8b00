# SPDX-License-Identifier: GPL-3.0-or-later
"""The binary interface, as tests/data/abi.txt pins it for 64-bit Linux: structs with the place of every field,
enumerations with their numbers, functions with their types.

A difference is a decision: a field is added at the end of its struct only, a number of an enumeration never
changes, and what breaks a program that was built before raises the minor version (docs/understand/decisions/05). Then

    build/venv/bin/python tests/python/test_abi.py --write

renews the file; read the difference.
"""
import difflib
import pathlib
import platform
import re
import sys

import pytest
from oxtint._oxtint import ffi, lib

ROOT = pathlib.Path(__file__).parents[2]
PINNED = ROOT / "tests/data/abi.txt"


def is_open(name: str) -> bool:
    """A struct whose fields a host sees. cffi lays it out when it is first asked for its size."""
    kind = ffi.typeof(name)
    if kind.kind != "struct":
        return False
    try:
        ffi.sizeof(kind)
    except (ffi.error, TypeError, ValueError):
        return False
    return True


def struct(name: str) -> list[str]:
    kind = ffi.typeof(name)
    lines = [f"struct {name}, {ffi.sizeof(kind)} bytes"]
    for field_name, field in kind.fields or ():
        lines.append(f"    {field.offset:>5} {field.type.cname} {field_name}, "
                     f"{ffi.sizeof(field.type)} bytes")
    return lines


def enumeration(name: str) -> list[str]:
    numbers = ffi.typeof(name).elements
    return [f"enum {name}"] + [f"    {number} {symbol}" for number, symbol in sorted(numbers.items())]


def interface() -> str:
    lines = []
    for name in sorted(ffi.list_types()[0]):
        if not name.startswith("oxt_"):
            continue
        kind = ffi.typeof(name)
        if kind.kind == "enum":
            lines += enumeration(name)
        elif is_open(name):
            lines += struct(name)
        else:
            lines.append(f"{kind.kind} {name}: {kind.cname}")
    for name in sorted(dir(lib)):
        if name.startswith("oxt_"):
            kind = ffi.typeof(ffi.addressof(lib, name))
            arguments = ", ".join(argument.cname for argument in kind.args)
            lines.append(f"function {kind.result.cname} {name}({arguments})")
    return "\n".join(lines) + "\n"


@pytest.mark.skipif(sys.platform != "linux" or platform.architecture()[0] != "64bit",
                    reason="places of fields are pinned for 64-bit Linux")
def test_interface_is_the_pinned_one() -> None:
    pinned, now = PINNED.read_text(encoding="utf-8"), interface()
    difference = "\n".join(difflib.unified_diff(pinned.splitlines(), now.splitlines(), "pinned",
                                                "now", lineterm="", n=1))
    assert pinned == now, f"{difference}\nsee the head of {__file__}"


#: Elements of an array that a caller gives with their number.
ROWS = {"oxt_given", "oxt_caution_info"}


def test_the_size_comes_first() -> None:
    for name in ffi.list_types()[0]:
        if name.startswith("oxt_") and name not in ROWS and is_open(name):
            field_name, field = ffi.typeof(name).fields[0]
            assert (field_name, field.offset) == ("struct_size", 0), name


#: Functions whose names have no prefix of their header: verbs of growth, colour and units, and second subjects.
OTHER_PREFIXES = {
    "colour": "(lab|xyz|srgb)_|parse_srgb$|format_srgb$|delta_e2000", "error": "status_name$|caution_",
    "growth": "rate$|exposure$|thickness|time_for_thickness|temperature_for_thickness", "interval": "bootstrap_",
    "units": "(parse|format)_(temperature|duration|length)"}


def test_functions_begin_with_their_header() -> None:
    for header in sorted((ROOT / "include/oxtint").glob("*.h")):
        prefix = f"oxt_({header.stem}(_|$)|{OTHER_PREFIXES.get(header.stem, '$')})"
        for name in re.findall(r"^OXT_API [^;(]*?(oxt_\w+)\(", header.read_text(encoding="utf-8"), re.MULTILINE):
            assert re.match(prefix, name), f"{header.name}: {name}"


if __name__ == "__main__" and sys.argv[1:] == ["--write"]:
    PINNED.write_text(interface(), encoding="utf-8")
