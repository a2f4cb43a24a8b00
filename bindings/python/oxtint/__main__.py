# SPDX-License-Identifier: GPL-3.0-or-later
"""The command: python -m oxtint fit TRIALS.csv, python -m oxtint dip CARD.json ..."""
from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

import oxtint

def _run_fit(options: argparse.Namespace) -> None:
    log = oxtint.read_trials(options.trials)
    found = oxtint.fit(log, options.steel, options.finish)
    print(found.summary(options.units), end="")
    print(oxtint.dip_table(found.steel, unit=options.units))
    if options.save:
        found.steel.save(options.save)
        print(f"Saved {options.save}")


def _run_dip(options: argparse.Namespace) -> None:
    steel = oxtint.load_steel(options.card)
    dip = steel.dip(options.target, options.bath)
    finish = f", {steel.finish}" if steel.finish else ""
    print(f"{steel.name}{finish}: {dip.report(options.units).rstrip()}")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m oxtint",
        description="From a log of test coupons to the time of a dip in a hot bath.")
    parser.add_argument("--version", action="version", version=f"oxtint {oxtint.__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    fit = commands.add_parser("fit", help="fit the growth constants of one steel",
                              description="Fit the growth constants of one steel to its trials.")
    fit.add_argument("trials", metavar="TRIALS.csv", help="log of test coupons")
    fit.add_argument("--steel", help="steel to fit; needed when the log holds several")
    fit.add_argument("--finish", help="take only trials of this finish")
    fit.add_argument("--save", metavar="CARD.json", help="save the steel's card here")
    fit.add_argument("--units", choices=("F", "C", "K"), default="F",
                     help="scale of temperatures (F)")
    fit.set_defaults(run=_run_fit)

    dip = commands.add_parser("dip", help="predict a dip",
                              description="Predict how long to dip for a colour.")
    dip.add_argument("card", metavar="CARD.json", help="card saved by fit")
    dip.add_argument("--target", required=True,
                     help='colour wanted: "blue", "second order blue", "57 nm", "#2b3a67"')
    dip.add_argument("--bath", required=True, help='bath temperature: "650 F", "343 C", "616 K"')
    dip.add_argument("--units", choices=("F", "C", "K"),
                     help="scale of temperatures (that of --bath)")
    dip.set_defaults(run=_run_dip)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; the exit status is 0, 1 for bad input, 2 for a wrong command line."""
    options = _parser().parse_args(arguments)
    try:
        options.run(options)
        sys.stdout.flush()
    except BrokenPipeError:  # the reader, such as head, has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except oxtint.TrialFileError as error:
        for fault in error.faults:
            print(f"{options.trials}: {fault}", file=sys.stderr)
        print(f"oxtint: {len(error.faults)} fault(s) in {options.trials}; nothing was read",
              file=sys.stderr)
        return 1
    except oxtint.OxtintError as error:
        print(f"oxtint: {error}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
