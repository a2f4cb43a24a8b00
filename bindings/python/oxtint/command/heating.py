# SPDX-License-Identifier: GPL-3.0-or-later
"""How a bath heats a part, from a thermocouple in one."""
from __future__ import annotations

import argparse

import oxtint

from .bench import dipped_part
from .files import read_trace
from .terminal import print_json


def _report(found: oxtint.Transfer, options: argparse.Namespace) -> str:
    value, error = found.transfer_W_per_m2K, found.transfer_stderr_W_per_m2K
    at = options.transfer_at or "100 K"
    lines = [f"{'heat transfer':<24}{value:.4g} W/(m2 K), standard error {error:.2g}"
             + (f", at a difference of {at}" if options.still else "")]
    told = f"--transfer {value:.4g}"
    if options.still:
        lines.append(f"{'exponent':<24}{found.exponent:.3f}, standard error {found.exponent_stderr:.2g}")
    if found.exponent >= 5e-4:  # else the transfer is that of a stirred bath
        told += f' --still --transfer-at "{at}" --transfer-exponent {found.exponent:.3f}'
    return "\n".join([*lines, f"{'the part went in':<24}at {found.enter_s:.4g} s of the log",
                      f"{'differences left':<24}{found.rms_K:.2g} K, root mean square of {found.used} samples",
                      f"In dip and watch: {told}"])


def transfer(options: argparse.Namespace) -> None:
    """Find the heat transfer of a bath."""
    part = dipped_part(options)
    if part is None or options.part == "none":
        raise oxtint.OxtintValueError(f"found --part '{options.part}', expected the size of the part that was dipped")
    found = read_trace(options.history).find_transfer(part, options.bath, options.thermocouple)
    if options.json:
        print_json(found)
        return
    print(_report(found, options))
