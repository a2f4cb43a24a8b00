# SPDX-License-Identifier: GPL-3.0-or-later
"""What may stand on the command line."""
from __future__ import annotations

import argparse

import oxtint

from . import bench, cards, completing, drawings, logs, many, sets, watching
from .parsing import Parser, a_number, whole_number

_UNITS = ("F", "C", "K")
_ROBUST = ("huber", "tukey")
_SHAPES = ("plate", "cylinder", "sphere", "any")
_LOG = "log of test coupons; - reads standard input"
_CARD = "card saved by fit; - reads standard input"
_OF_LOG = "that of the log"
_SAVE = "; - prints it in place of the report"
_SEED = whole_number(0, 2**64 - 1)


def _add_json(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print JSON, numbers in SI units")


def _add_save(command: argparse.ArgumentParser, metavar: str, what: str, *, required: bool = True) -> None:
    command.add_argument("--save", required=required, metavar=metavar, help=what)
    command.add_argument("--force", action="store_true",
                         help="replace what --save names, whatever it is")


def _add_words(command: argparse.ArgumentParser) -> None:
    command.add_argument("--words", metavar="WORDS.csv",
                         help="the shop's own words for colours: word, and band or low_nm and high_nm; a card "
                              "keeps those that it was fitted with")


def _add_cautions(command: argparse.ArgumentParser) -> None:
    command.add_argument("--cautions", choices=("brief", "whole"), default="brief",
                         help="a line each, or all there is to say (brief)")


def _add_units(command: argparse.ArgumentParser, usual: str, default: str | None = None) -> None:
    command.add_argument("--units", choices=_UNITS, default=default, help=f"scale of temperatures ({usual})")


def _add_output(command: argparse.ArgumentParser, usual: str, default: str | None = None) -> None:
    _add_units(command, usual, default)
    _add_json(command)


def _add_log(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = commands.add_parser(
        "check", help="read a log and say what is in it",
        description="Read a log of test coupons as a proof-reader: name every error, or what each steel has, "
                    "which columns became notes, what lies far from the rest, and what a fit still needs. "
                    "Remarks are no errors; the exit status is 1 only where the log cannot be read.")
    check.add_argument("trials", metavar="TRIALS.csv", help=_LOG)
    _add_output(check, _OF_LOG)
    _add_words(check)
    check.set_defaults(run=logs.check)

    fit = commands.add_parser("fit", help="fit the growth constants of one steel",
                              description="Fit the growth constants of one steel to its trials, or with --each of every "
                                          "steel and finish of a log.")
    fit.add_argument("trials", metavar="TRIALS.csv", help=_LOG)
    fit.add_argument("--steel", help="steel to fit; needed when the log holds several")
    fit.add_argument("--finish", help="take only trials of this finish")
    _add_save(fit, "CARD.json", "save the steel's card here" + _SAVE, required=False)
    fit.add_argument("--bath-sd", default="0 K", metavar="DIFFERENCE",
                     help='how well baths are known, such as "5 F"; a row that states its own goes first')
    fit.add_argument("--time-sd", default="0 s", metavar="TIME", help='how well times are known: "2 s"')
    fit.add_argument("--robust", choices=_ROBUST, help="trust rows less that lie far from the others")
    fit.add_argument("--prior", action="store_true",
                     help="begin with what is known of steels at large; for the first few coupons")
    fit.add_argument("--bootstrap", type=whole_number(100, 1_000_000), metavar="N",
                     help="draw this many logs from the coupons, and show their intervals too")
    fit.add_argument("--seed", type=_SEED, default=1, help="of the draws (1)")
    fit.add_argument("--each", action="store_true",
                     help="fit every steel and finish of the log by itself, and show a table of them")
    fit.add_argument("--save-dir", metavar="DIRECTORY", help="with --each: save a card of each here")
    fit.add_argument("--csv", action="store_true", help="with --each: print the table as CSV")
    _add_output(fit, _OF_LOG)
    _add_words(fit)
    _add_cautions(fit)
    fit.set_defaults(run=many.fit)

    prior = commands.add_parser(
        "prior", help="make a card of a steel before its first coupon",
        description="A card of a steel that has not been tried, from what is known of mild steel in nitrate "
                    "salt: to choose a first coupon by.")
    prior.add_argument("steel", metavar="STEEL", help="its name")
    prior.add_argument("--finish", default="", help="its finish")
    _add_save(prior, "CARD.json", "save the card here" + _SAVE, required=False)
    _add_output(prior, "F", "F")
    _add_words(prior)
    prior.set_defaults(run=cards.prior)

    laws = commands.add_parser(
        "laws", help="is growth parabolic at all?",
        description="Compare laws of growth on the trials of one steel.")
    laws.add_argument("trials", metavar="TRIALS.csv", help=_LOG)
    laws.add_argument("--steel", help="steel to look at; needed when the log holds several")
    laws.add_argument("--finish", help="take only trials of this finish")
    _add_output(laws, _OF_LOG)
    _add_words(laws)
    laws.set_defaults(run=logs.laws)

    drift = commands.add_parser(
        "drift", help="has the rate changed in the course of a log?",
        description="Look for the coupon since which a bath runs fast or slow; the order of the log is "
                    "taken for that of time.")
    drift.add_argument("trials", metavar="TRIALS.csv", help=_LOG)
    drift.add_argument("--steel", help="steel to look at; needed when the log holds several")
    drift.add_argument("--finish", help="take only trials of this finish")
    _add_output(drift, _OF_LOG)
    _add_words(drift)
    _add_cautions(drift)
    drift.set_defaults(run=logs.drift)


def _add_target(command: argparse.ArgumentParser, card: str = _CARD) -> None:
    command.add_argument("card", metavar="CARD.json", help=card)
    command.add_argument("--target", required=True,
                         help='colour wanted: "blue", "second order blue", "57 nm", "#2b3a67"')


def _add_roads(command: argparse.ArgumentParser, title: str,
               none: str = "at bath temperature at once") -> argparse._ArgumentGroup:
    """What the part and the coupons of the trials are, and how long either takes to the quench."""
    part = command.add_argument_group(title)
    part.add_argument("--part", metavar="SIZE", help=f'what goes in: "6 mm", "1/4 in", or none: {none} '
                                                      '(as the coupons of the card)')
    part.add_argument("--shape", choices=_SHAPES, default="plate",
                      help="of the part (plate)")
    part.add_argument("--lift", metavar="TIME",
                      help="from leaving the bath to the quench (as the coupons of the card)")
    part.add_argument("--coupon", metavar="SIZE",
                      help="plate that the trials were run with, for a card that does not state it")
    part.add_argument("--coupon-lift", metavar="TIME", help="from bath to quench, in the trials")
    return part


def _add_part(command: argparse.ArgumentParser) -> None:
    part = _add_roads(command, "the part, the coupons of the trials, and the hand")
    part.add_argument("--over", metavar="COLOUR", help="film already there: a colour or a thickness")
    part.add_argument("--last-temper", nargs=2, metavar=("TEMPERATURE", "TIME"),
                      help="of a hardened part; a dip that would soften it says so")
    part.add_argument("--bath-wander", default="0 K", metavar="DIFFERENCE",
                      help='standard deviation of the bath, such as "3 F"')
    part.add_argument("--time-wander", default="0 s", metavar="TIME",
                      help="standard deviation of the lift")


def _add_bench(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    dip = commands.add_parser("dip", help="predict a dip",
                              description="Predict how long to dip for a colour, or with --time in which bath.")
    _add_target(dip)
    dip.add_argument("--bath", help='bath temperature: "650 F", "343 C", "616 K"')
    dip.add_argument("--time", help='time in the bath, in place of --bath: the bath that gives the colour in it')
    _add_part(dip)
    _add_output(dip, "that of --bath; F with --time")
    _add_words(dip)
    _add_cautions(dip)
    dip.set_defaults(run=bench.dip)

    baths = commands.add_parser(
        "baths", help="compare baths for a colour, and name the most forgiving",
        description="Time, window and chance of a colour in several baths, and the best of all.")
    _add_target(baths)
    baths.add_argument("--low", default="500 F", help="coldest bath allowed (500 F)")
    baths.add_argument("--high", default="700 F", help="hottest bath allowed (700 F)")
    baths.add_argument("--longest", default="1 h", metavar="TIME", help="longest dip allowed (1 h)")
    _add_part(baths)
    _add_output(baths, "that of --low")
    _add_words(baths)
    _add_cautions(baths)
    baths.set_defaults(run=bench.baths)

    parts = commands.add_parser(
        "set", help="plan a set of parts to one colour",
        description="Order of work and expected match of several parts in one bath. PARTS.csv has a "
                    "header and a line for each part: name, card (CARD.json, beside the file), "
                    "target, and, where they apply, finish (mirror, satin, matte), part, shape, lift, coupon, "
                    "coupon_lift.")
    parts.add_argument("parts", metavar="PARTS.csv", help="list of the parts; - reads standard input")
    parts.add_argument("--bath", required=True, help="bath temperature")
    parts.add_argument("--spacing", default="10 s", metavar="TIME", help="between two lifts (10 s)")
    parts.add_argument("--tolerance", type=a_number, default=5.0, metavar="DIFFERENCE",
                       help="CIEDE2000 up to which two parts count as alike (5)")
    parts.add_argument("--bath-wander", default="0 K", metavar="DIFFERENCE",
                       help='standard deviation of the bath, such as "3 F"')
    parts.add_argument("--time-wander", default="0 s", metavar="TIME",
                       help="standard deviation of each lift")
    parts.add_argument("--seed", type=_SEED, default=1, help="of the draws (1)")
    _add_output(parts, "that of --bath")
    _add_words(parts)
    _add_cautions(parts)
    parts.set_defaults(run=sets.parts)

    coupons = commands.add_parser(
        "coupons", help="name the next coupons that help most",
        description="The next coupons that narrow the time of a dip most.")
    coupons.add_argument("card", metavar="CARD.json", help=_CARD)
    coupons.add_argument("--bath", help="bath of the dip that they are for; the middle of the range")
    coupons.add_argument("--low", default="500 F", help="coldest bath allowed (500 F)")
    coupons.add_argument("--high", default="700 F", help="hottest bath allowed (700 F)")
    coupons.add_argument("--shortest", default="15 s", metavar="TIME", help="shortest time that can be kept well (15 s)")
    coupons.add_argument("--longest", default="1 h", metavar="TIME", help="longest time allowed (1 h)")
    coupons.add_argument("--criterion", choices=("dip", "constants"), default="dip",
                         help="what they are to narrow: the time of a dip, or the rate and Q together (dip)")
    coupons.add_argument("--count", type=whole_number(1, 4), default=3, metavar="N", help="1 to 4 (3)")
    _add_output(coupons, "that of --bath or --low")
    _add_words(coupons)
    _add_cautions(coupons)
    coupons.set_defaults(run=bench.coupons)

    card = commands.add_parser(
        "card", help="show one card, or compare several",
        description="What cards hold, their rates beside one another, and how long each steel takes to a "
                    "colour.")
    card.add_argument("cards", nargs="+", metavar="CARD.json", help=_CARD)
    card.add_argument("--bath", default="600 F", help="bath to compare in (600 F)")
    card.add_argument("--target", default="blue", help="colour to compare by (blue)")
    _add_output(card, "that of --bath")
    _add_words(card)
    _add_cautions(card)
    card.set_defaults(run=cards.cards)

    anchor = commands.add_parser(
        "anchor", help="bring a card up to date by a new coupon or two",
        description="New salt, another thermometer: the coupons move the rate of a card, Q stays; the "
                    "card remembers what was done.")
    anchor.add_argument("card", metavar="CARD.json", help=_CARD)
    anchor.add_argument("trials", metavar="TRIALS.csv", help="log of the new coupons; - reads standard input")
    _add_save(anchor, "CARD.json", "save the new card here" + _SAVE)
    anchor.add_argument("--label", default="", help="kept with the entry, such as a date")
    _add_output(anchor, _OF_LOG)
    _add_words(anchor)
    _add_cautions(anchor)
    anchor.set_defaults(run=cards.anchor)

    chart = commands.add_parser(
        "chart", help="draw the colour chart of a steel",
        description="Draw bath across, time up, and the colour of the film at each point.")
    chart.add_argument("card", metavar="CARD.json", help=_CARD)
    chart.add_argument("--trials", metavar="TRIALS.csv", help="log whose coupons are marked")
    chart.add_argument("--target", help="colour of a dip to mark with its window; needs --bath")
    chart.add_argument("--bath", help="bath of that dip")
    _add_save(chart, "CHART.png", ".png, .svg or .pdf")
    _add_units(chart, "that of --bath, or of the log; F")
    _add_words(chart)
    _add_cautions(chart)
    chart.set_defaults(run=drawings.chart)


def _add_sheet(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    sheet = commands.add_parser(
        "sheet", help="write a page for the wall beside the bath",
        description="One page: when to lift for several colours and baths, the ladder of colours, what "
                    "the trials cover, and the cautions.")
    sheet.add_argument("card", metavar="CARD.json", help=_CARD)
    sheet.add_argument("--bath", action="append", metavar="TEMPERATURE",
                       help="may be given up to 4 times; the coldest, middle and hottest of the trials")
    sheet.add_argument("--target", action="append", metavar="COLOUR",
                       help="may be given up to 10 times; straw to light blue")
    sheet.add_argument("--finish", choices=("mirror", "satin", "matte"), default="mirror",
                       help="of the part, for its colours (mirror)")
    sheet.add_argument("--oiled", action="store_true", help="the part is oiled, waxed or lacquered")
    _add_roads(sheet, "the part and the coupons of the trials")
    sheet.add_argument("--paper", choices=("A4", "letter"), default="A4", help="size of the page (A4)")
    _add_save(sheet, "WALL.pdf", ".pdf, .svg or .png")
    _add_units(sheet, "that of --bath; F")
    _add_words(sheet)
    sheet.set_defaults(run=drawings.sheet)


def _add_watch(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    watch = commands.add_parser(
        "watch", help="follow a dip from a thermocouple, or by the clock",
        description="Read lines of time (s) and temperature, such as '12 600' or '12 315.5 C', from standard "
                    "input as they come, and say how the film stands and when to lift. With --clock, count "
                    "down by the clock alone.")
    _add_target(watch, "card saved by fit")
    watch.add_argument("--bath", required=True, help="bath that is meant")
    watch.add_argument("--every", default="1 s", metavar="TIME", help="between two lines (1 s)")
    watch.add_argument("--read", choices=_UNITS, help="scale of readings that state none (that of --bath)")
    watch.add_argument("--clock", action="store_true",
                       help="count down without a thermocouple, in a bath that stays at --bath")
    _add_roads(watch, "the part, when the bath is measured, and the coupons of the trials",
               "the part itself is measured")
    _add_cautions(watch)
    _add_words(watch)
    watch.set_defaults(run=watching.watch)


def _add_completion(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    completion = commands.add_parser(
        "completion", help="print a script that lets a shell complete this command",
        description="Print a script by which a shell completes the verbs, options and file names of this "
                    "command.")
    completion.add_argument("shell", metavar="SHELL", choices=completing.SHELLS, help="bash, zsh or fish")
    completion.set_defaults(run=lambda options: completing.completion(options, parser()))


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    made: argparse.ArgumentParser = Parser(
        prog="oxtint", description="From a log of test coupons to the time of a dip in a hot bath.")
    made.add_argument("--version", action="version", version=f"oxtint {oxtint.__version__}")
    commands = made.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _add_log(commands)
    _add_bench(commands)
    _add_sheet(commands)
    _add_watch(commands)
    _add_completion(commands)
    return made
