# SPDX-License-Identifier: GPL-3.0-or-later
"""Write the manual page of the command, bindings/python/oxtint.1, from its parser.

    build/venv/bin/python bindings/man.py           with the package installed
    build/venv/bin/python bindings/man.py --check   fails when the page is stale

argparse-manpage 4.8 was tried first: it breaks a help text that begins with a full stop, and its usage lines
depend on the version of Python.
"""
import argparse
import pathlib
import sys
from collections.abc import Iterator

import oxtint
from oxtint.command.arguments import parser

PAGE = pathlib.Path(__file__).parent / "python/oxtint.1"

ABOUT = """
oxtint models the skin of oxide that gives steel its colour in a hot salt bath or an oven. It fits a
steel's growth constants to a log of test coupons, and says how long to dip for a colour, how long the
colour lasts, how sure that is, and what to mind.

Sizes, times and temperatures are written with their unit, as "6 mm", "1:30" and "600 F". A log or a card
named "-" is standard input. Options are written in full.
"""
STATUSES = [
    ("0", "all went well"), ("1", "bad input, or a file that could not be read or written"),
    ("2", "a wrong command line"), ("130", "stopped by Ctrl-C; no file was left half-written"),
    ("141", "what reads the output, such as head, has seen enough")]
VARIABLES = [
    ("COLORTERM", "truecolor or 24bit: a terminal is shown swatches of the colours"),
    ("NO_COLOR", "when set, no swatch is shown"),
    ("COLUMNS", "width of help and of tables of cards, where that of the terminal is not known")]
EXAMPLES = [
    ("Fit one steel of a log and save its card:",
     'oxtint fit trials.csv --steel "Alder 1" --finish satin --save card.json'),
    ("When to lift for blue at 600 F, a bezel 6 mm thick that takes 4 s to the quench:",
     'oxtint dip card.json --target blue --bath "600 F" --part "6 mm" --lift "4 s"'),
    ("Follow a dip from a thermocouple that prints a time in s and a temperature in C, line by line:",
     'read_thermocouple | oxtint watch card.json --target blue --bath "600 F"')]


def roff(text: str) -> str:
    """A text as roff takes it: no escapes, dashes as they are typed, no line that looks like a request."""
    text = text.strip().replace("%%", "%")
    for plain, escape in (("\\", "\\e"), ("-", "\\-"), ("'", "\\(aq")):
        text = text.replace(plain, escape)
    return "\n".join("\\&" + line if line.startswith(".") else line for line in text.splitlines())


def item(tag: str, text: str) -> Iterator[str]:
    """One entry of a list."""
    yield from (".TP", tag, roff(text))


def values(action: argparse.Action) -> str:
    """What follows an option, or stands for an argument."""
    if action.nargs == 0:
        return ""
    names = [action.metavar] if isinstance(action.metavar, str) else list(action.metavar or ())
    if not names:
        names = ["|".join(map(str, action.choices))] if action.choices else [action.dest.upper()]
    return " ".join(f"\\fI{roff(name)}\\fR" for name in names) + (" ..." if action.nargs == "+" else "")


def argument(action: argparse.Action) -> Iterator[str]:
    """One argument or option of a verb."""
    tag = ", ".join(f"\\fB{roff(name)}\\fR" for name in action.option_strings)
    needed = " (needed)" if action.option_strings and action.required else ""
    yield from item(f"{tag} {values(action)}".strip(), (action.help or "") + needed)


def verb(name: str, made: argparse.ArgumentParser) -> Iterator[str]:
    """One verb with its options, in their groups."""
    yield f".SS oxtint {name}"
    yield roff(made.description or "")
    for group in made._action_groups:
        actions = [one for one in group._group_actions if one.dest != "help"]
        if actions and group.title not in ("positional arguments", "options"):
            yield from (".PP", f"Options for {roff(group.title or '')}:")
        for action in actions:
            yield from argument(action)


def page() -> str:
    """The whole page."""
    made = parser()
    about = roff(made.description or "").rstrip(".")
    verbs = next(one for one in made._actions if isinstance(one, argparse._SubParsersAction))
    lines = [".\\\" Made by bindings/man.py; do not edit.",
             f'.TH OXTINT 1 "" "oxtint {oxtint.__version__}" "User Commands"',
             ".SH NAME", f"oxtint \\- {about[0].lower()}{about[1:]}",
             ".SH SYNOPSIS", ".B oxtint", "\\fICOMMAND\\fR [\\fIARGUMENT\\fR ...]", ".PP",
             ".B oxtint", "[\\fICOMMAND\\fR] \\fB\\-\\-help\\fR", ".PP", ".B oxtint \\-\\-version",
             ".SH DESCRIPTION", roff(ABOUT).replace("\n\n", "\n.PP\n"), ".SH COMMANDS"]
    for name, one in verbs.choices.items():
        lines += verb(name, one)
    lines.append(".SH EXIT STATUS")
    for status, text in STATUSES:
        lines += item(f"\\fB{status}\\fR", text)
    lines.append(".SH ENVIRONMENT")
    for name, text in VARIABLES:
        lines += item(f"\\fB{name}\\fR", text)
    lines.append(".SH EXAMPLES")
    for text, command in EXAMPLES:
        lines += [roff(text), ".PP", ".RS 4", ".nf", roff(command), ".fi", ".RE", ".PP"]
    return "\n".join(lines[:-1]) + "\n"


def main() -> int:
    made = page()
    if sys.argv[1:] == ["--check"]:
        if PAGE.read_text(encoding="utf-8") != made:
            print(f"{PAGE} is stale: run bindings/man.py", file=sys.stderr)
            return 1
        return 0
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
