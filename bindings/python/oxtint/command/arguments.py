# SPDX-License-Identifier: GPL-3.0-or-later
"""What may stand on the command line."""
from __future__ import annotations

import argparse
from collections.abc import Callable

import oxtint

from ..advise import CRITERIA
from ..bath import SALTS
from ..chart import PAPERS
from ..film import GRADES
from ..fit import ROBUST, ROUNDINGS
from ..growth import LAWS
from ..heat import SHAPES
from ..history import PLACES
from ..trials import LIFTED
from . import bench, cards, completing, drawings, heating, logs, many, pages, sets, watching
from .parsing import Parser, a_number, whole_number

_UNITS = ("F", "C", "K")
_LOGS = "log of test coupons, or several whose rows come one after another; - reads standard input"
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


def _finish(command: argparse.ArgumentParser, run: Callable[[argparse.Namespace], None], usual: str,
            default: str | None = None, *, cautions: bool = True) -> None:
    """What most commands end with: the scale and form of what they print, and the shop's words."""
    _add_output(command, usual, default)
    _add_words(command)
    if cautions:
        _add_cautions(command)
    command.set_defaults(run=run)


def _add_steel(command: argparse.ArgumentParser, done: str = "look at") -> None:
    command.add_argument("trials", metavar="TRIALS.csv", nargs="+", help=_LOGS)
    command.add_argument("--steel", help=f"steel to {done}; needed when the log holds several")
    command.add_argument("--finish", help="take only trials of this finish")


def _add_wander(command: argparse._ActionsContainer, lift: str = "the lift") -> None:
    command.add_argument("--bath-wander", default="0 K", metavar="DIFFERENCE",
                         help='standard deviation of the bath, such as "3 F"')
    command.add_argument("--time-wander", default="0 s", metavar="TIME", help=f"standard deviation of {lift}")


def _add_spacing(command: argparse._ActionsContainer) -> None:
    command.add_argument("--spacing", default="10 s", metavar="TIME", help="between two lifts (10 s)")
    command.add_argument("--tolerance", type=a_number, default=5.0, metavar="DIFFERENCE",
                         help="CIEDE2000 up to which two parts count as alike (5)")
    command.add_argument("--seed", type=_SEED, default=1, help="of the draws (1)")


def _add_range(command: argparse.ArgumentParser) -> None:
    command.add_argument("--low", default="500 F", help="coldest bath allowed (500 F)")
    command.add_argument("--high", default="700 F", help="hottest bath allowed (700 F)")


def _add_coupon(command: argparse.ArgumentParser) -> None:
    """How the coupons of a log were run."""
    command.add_argument("--coupon", metavar="SIZE",
                         help="plate that they were, of rows that state no part; the card is then of the steel itself")
    command.add_argument("--coupon-lift", metavar="TIME", help="from bath to quench, of rows that state no lift")


def _add_log(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    check = commands.add_parser(
        "check", help="read a log and report what is in it",
        description="Read a log of test coupons as a proof-reader: name every error, or what each steel has, "
                    "which columns became notes, what lies far from the rest, and what a fit still needs. "
                    "Remarks are no errors; the exit status is 1 only where the log cannot be read.")
    check.add_argument("trials", metavar="TRIALS.csv", nargs="+", help=_LOGS)
    _finish(check, logs.check, _OF_LOG, cautions=False)

    fit = commands.add_parser("fit", help="fit the growth constants of one steel",
                              description="Fit the growth constants of one steel to its trials, or with --each of every "
                                          "steel and finish of a log.")
    _add_steel(fit, "fit")
    _add_save(fit, "CARD.json", "save the steel's card here" + _SAVE, required=False)
    fit.add_argument("--bath-sd", default="0 K", metavar="DIFFERENCE",
                     help='how well baths are known, such as "5 F"; a row that states its own overrides it')
    fit.add_argument("--time-sd", default="0 s", metavar="TIME", help='how well times are known: "2 s"')
    fit.add_argument("--lifted", choices=tuple(LIFTED),
                     help="where in its colour a coupon was lifted that does not say (after: by the clock)")
    fit.add_argument("--rounding", choices=tuple(ROUNDINGS), default="nearest",
                     help="how times and baths were read that are all multiples of a coarse step (nearest)")
    fit.add_argument("--reader-sd", type=a_number, default=0.0, metavar="SHARE",
                     help="by how much of the film the reader may see colours elsewhere, such as 0.1; found where "
                          "films were measured too (0)")
    fit.add_argument("--law", choices=(*LAWS, "best"), default="parabolic",
                     help="by which the film grows; best: parabolic unless the trials contradict it (parabolic)")
    fit.add_argument("--law-shape", type=a_number, default=0.0, metavar="SHAPE",
                     help="of the law: n, A in nm or L in nm (0: found from the trials)")
    fit.add_argument("--with-initial", action="store_true",
                     help="the coupons had a film before their dips: find it; another law then needs --law-shape")
    fit.add_argument("--robust", choices=tuple(filter(None, ROBUST)), help="trust rows less that lie far from the others")
    fit.add_argument("--prior", action="store_true",
                     help="begin with what is known of steels at large; for the first few coupons")
    fit.add_argument("--proof", action="store_true",
                     help="predict each coupon from the others, and show what came out")
    fit.add_argument("--bootstrap", type=whole_number(100, 1_000_000), metavar="N",
                     help="draw this many logs from the coupons, and show their intervals too")
    fit.add_argument("--seed", type=_SEED, default=1, help="of the draws (1)")
    fit.add_argument("--each", action="store_true",
                     help="fit every steel and finish of the log by itself, and show a table of them")
    fit.add_argument("--save-dir", metavar="DIRECTORY", help="with --each: save a card of each here")
    fit.add_argument("--csv", action="store_true", help="with --each: print the table as CSV")
    _add_coupon(fit)
    _finish(fit, many.fit, _OF_LOG)

    prior = commands.add_parser(
        "prior", help="make a card of a steel before its first coupon",
        description="A card of a steel that has not been tried, from what is known of mild steel in nitrate "
                    "salt: to choose a first coupon by.")
    prior.add_argument("steel", metavar="STEEL", help="its name")
    prior.add_argument("--finish", default="", help="its finish")
    _add_save(prior, "CARD.json", "save the card here" + _SAVE, required=False)
    _finish(prior, cards.prior, "F", "F", cautions=False)

    laws = commands.add_parser(
        "laws", help="is growth parabolic at all?",
        description="Compare laws of growth on the trials of one steel.")
    _add_steel(laws)
    _add_coupon(laws)
    _finish(laws, logs.laws, _OF_LOG, cautions=False)

    drift = commands.add_parser(
        "drift", help="has the rate changed in the course of a log?",
        description="Look for the coupon since which a bath runs fast or slow; the order of the log is "
                    "taken for that of time.")
    _add_steel(drift)
    _add_coupon(drift)
    _finish(drift, logs.drift, _OF_LOG)


def _add_target(command: argparse.ArgumentParser, card: str = _CARD) -> None:
    command.add_argument("card", metavar="CARD.json", help=card)
    command.add_argument("--target", required=True,
                         help='colour wanted: "blue", "second order blue", "57 nm", "#2b3a67"')


def _add_heat(part: argparse._ArgumentGroup) -> None:
    """How the bath heats the part."""
    part.add_argument("--start", metavar="TEMPERATURE", help="of the part before the dip: preheated (20 C)")
    part.add_argument("--transfer", type=float, metavar="W", help="heat transfer of the bath, W/(m2 K) (600)")
    part.add_argument("--still", action="store_true",
                      help="a still bath, whose heat transfer falls with the difference of temperatures")
    part.add_argument("--transfer-at", metavar="DIFFERENCE",
                      help="of bath and surface, at which a still bath has --transfer (100 K)")
    part.add_argument("--transfer-exponent", type=float, metavar="N", help="of a still bath, up to 1 (0.25)")
    part.add_argument("--wetted", type=float, metavar="SHARE",
                      help="of the surface that the salt reaches, such as 0.5 flat against the pot (1)")


def _add_paths(command: argparse.ArgumentParser, title: str,
               none: str = "at bath temperature at once", *, several: bool = False) -> argparse._ArgumentGroup:
    """What the part and the coupons of the trials are, and how long either takes to the quench."""
    part = command.add_argument_group(title)
    if several:
        part.add_argument("--part", action="append", default=[], metavar="[NAME=]SIZE",
                          help='a part to choose beside the coupons: "6 mm", "bezel=1/4 in"; may be given several '
                               'times')
    else:
        part.add_argument("--part", metavar="SIZE", help=f'what goes in: "6 mm", "1/4 in", or none: {none} '
                                                          '(as the coupons of the card)')
    part.add_argument("--shape", choices=tuple(SHAPES), default="plate",
                      help="of the part (plate)")
    if not several:
        _add_heat(part)
    part.add_argument("--lift", metavar="TIME",
                      help="from leaving the bath to the quench (as the coupons of the card)")
    part.add_argument("--coupon", metavar="SIZE",
                      help="plate that the trials were run with, for a card that does not state it")
    part.add_argument("--coupon-lift", metavar="TIME", help="from bath to quench, in the trials")
    return part


def _add_salt(bath: argparse._ActionsContainer) -> None:
    """What is in the pot, and heats it."""
    bath.add_argument("--salt", choices=tuple(SALTS), default="unstated",
                      help="of the bath; a stated one freezes on a cold part")
    bath.add_argument("--salt-kg", type=a_number, default=0.0, metavar="KG",
                      help="of salt, which a load cools (0: unlimited)")
    bath.add_argument("--heater", type=a_number, default=0.0, metavar="W",
                      help="power beyond the bath's own losses, W (0)")


def _add_hand(part: argparse._ArgumentGroup) -> None:
    part.add_argument("--last-temper", nargs=2, metavar=("TEMPERATURE", "TIME"),
                      help="of a hardened part; a dip that would soften it carries a caution")
    _add_wander(part)


def _add_part(command: argparse.ArgumentParser) -> None:
    part = _add_paths(command, "the part, the coupons of the trials, and the hand")
    _add_salt(part)
    part.add_argument("--load", type=a_number, default=0.0, metavar="KG",
                      help="of all such parts that go in together, which cool a bath of --salt-kg")
    part.add_argument("--reader-sd", type=a_number, default=0.0, metavar="SHARE",
                      help="by how much of the film whoever judges it may see colours elsewhere than whoever read "
                           "the trials, such as 0.1 (0: the same eyes)")
    part.add_argument("--over", metavar="COLOUR", help="film already there: a colour or a thickness")
    _add_hand(part)


def _add_bench(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    dip = commands.add_parser("dip", help="predict a dip",
                              description="Predict how long to dip for a colour, or with --time in which bath.")
    _add_target(dip)
    dip.add_argument("--bath", help='bath temperature: "650 F", "343 C", "616 K"')
    dip.add_argument("--time", help='time in the bath, in place of --bath: the bath that gives the colour in it')
    _add_part(dip)
    _finish(dip, bench.dip, "that of --bath; F with --time")

    record = commands.add_parser(
        "record", help="record what came out of a dip with its card, and show whether it keeps its promises",
        description="With --target, --bath and --seen: keep in the card what it promised of a dip and what came out. "
                    "Shows the hits of all dips recorded beside the chances promised, in either case.")
    record.add_argument("card", metavar="CARD.json", help=_CARD)
    record.add_argument("--target", help="colour wanted, as in dip")
    record.add_argument("--bath", help="bath temperature, as in dip")
    record.add_argument("--seen", metavar="COLOUR", help='what came out: a colour, "bright", a thickness, or "#2b3a67"')
    record.add_argument("--time", help="when it was lifted (as predicted)")
    record.add_argument("--label", default="", help="kept with the dip, such as a date")
    _add_save(record, "TRIALS.csv", "write all dips recorded as a log of coupons" + _SAVE, required=False)
    _add_part(record)
    _finish(record, bench.record, "that of --bath")

    baths = commands.add_parser(
        "baths", help="compare baths for a colour, and name the most forgiving",
        description="Time, window and chance of a colour in several baths, and the best of all.")
    _add_target(baths)
    _add_range(baths)
    baths.add_argument("--longest", default="1 h", metavar="TIME", help="longest dip allowed (1 h)")
    _add_part(baths)
    _finish(baths, bench.baths, "that of --low")

    parts = commands.add_parser(
        "plan", help="plan a set of parts to one colour",
        description="Order of work and expected match of several parts in one bath. PARTS.csv has a "
                    "header and a line for each part: name, card (CARD.json, beside the file), "
                    "target, and, where they apply, finish (mirror, satin, matte), part, shape, lift, coupon, "
                    "coupon_lift, load_kg (of such parts together, which cool a bath of --salt-kg).")
    parts.add_argument("parts", metavar="PARTS.csv", help="list of the parts; - reads standard input")
    parts.add_argument("--bath", required=True, help="bath temperature")
    _add_salt(parts)
    _add_spacing(parts)
    _add_wander(parts, "each lift")
    _finish(parts, sets.plan, "that of --bath")

    coupons = commands.add_parser(
        "advise", help="name the next coupons that help most",
        description="The next coupons that narrow the time of a dip most.")
    coupons.add_argument("card", metavar="CARD.json", help=_CARD)
    coupons.add_argument("--bath", help="bath of the dip that they are for; the middle of the range")
    _add_range(coupons)
    coupons.add_argument("--shortest", default="15 s", metavar="TIME", help="shortest time that can be kept well (15 s)")
    coupons.add_argument("--longest", default="1 h", metavar="TIME", help="longest time allowed (1 h)")
    coupons.add_argument("--criterion", choices=tuple(CRITERIA), default="dip",
                         help="what they are to tell: the time of a dip, the rate and Q together, or the law of "
                              "growth (dip)")
    coupons.add_argument("--second-order", action="store_true",
                         help="colours of the second order count too; log them with their order")
    coupons.add_argument("--count", type=whole_number(1, 4), default=3, metavar="N", help="1 to 4 (3)")
    _finish(coupons, bench.advise, "that of --bath or --low")

    card = commands.add_parser(
        "card", help="show one card, or compare several",
        description="What cards hold, their rates beside one another, and how long each steel takes to a "
                    "colour.")
    card.add_argument("cards", nargs="+", metavar="CARD.json", help=_CARD)
    card.add_argument("--bath", default="600 F", help="bath to compare in (600 F)")
    card.add_argument("--target", default="blue", help="colour to compare by (blue)")
    _finish(card, cards.cards, "that of --bath")

    anchor = commands.add_parser(
        "anchor", help="bring a card up to date by a new coupon or two",
        description="New salt, another thermometer: the coupons move the rate of a card, Q stays; the "
                    "card remembers what was done.")
    anchor.add_argument("card", metavar="CARD.json", help=_CARD)
    anchor.add_argument("trials", metavar="TRIALS.csv", nargs="+", help="log of the new coupons, or several; - reads standard input")
    _add_save(anchor, "CARD.json", "save the new card here" + _SAVE)
    anchor.add_argument("--label", default="", help="kept with the entry, such as a date")
    _finish(anchor, cards.anchor, _OF_LOG)

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
    sheet.add_argument("--finish", choices=tuple(GRADES), default="mirror",
                       help="of the part, for its colours (mirror)")
    sheet.add_argument("--oiled", action="store_true", help="the part is oiled, waxed or lacquered")
    _add_paths(sheet, "the part and the coupons of the trials")
    sheet.add_argument("--paper", choices=tuple(PAPERS), default="A4", help="size of the page (A4)")
    _add_save(sheet, "WALL.pdf", ".pdf, .svg or .png")
    _add_units(sheet, "that of --bath; F")
    _add_words(sheet)
    sheet.set_defaults(run=drawings.sheet)


def _add_page(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    page = commands.add_parser(
        "page", help="write a page for a phone beside the pot",
        description="One HTML file that needs no network: choose a dip, time it, record what came out, and take "
                    "the records home as a log of coupons.")
    page.add_argument("cards", nargs="+", metavar="CARD.json", help=_CARD)
    page.add_argument("--target", action="append", metavar="COLOUR",
                      help="may be given several times; all colours of both orders")
    page.add_argument("--low", metavar="TEMPERATURE", help="coldest bath (72 F below the trials)")
    page.add_argument("--high", metavar="TEMPERATURE", help="hottest bath (past the limits of every salt)")
    _add_hand(_add_paths(page, "the parts, the coupons of the trials, and the hand", several=True))
    work = page.add_argument_group("a set, shown as a timeline")
    work.add_argument("--set", dest="parts", metavar="PARTS.csv", help="list of the parts, as for plan; needs --bath")
    work.add_argument("--bath", metavar="TEMPERATURE", help="bath of the set")
    _add_salt(work)
    _add_spacing(work)
    _add_save(page, "BENCH.html", "where to")
    page.add_argument("--units", choices=_UNITS[:2], help="scale in which the page begins (that of --bath; F)")
    _add_words(page)
    page.set_defaults(run=pages.page)


def _add_watch(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    watch = commands.add_parser(
        "watch", help="follow a dip from a thermocouple, or by the clock",
        description="Read lines of time (s) and temperature, such as '12 600' or '12 315.5 C', from standard "
                    "input as they come, and report the film and when to lift. With --clock, count "
                    "down by the clock alone.")
    _add_target(watch, "card saved by fit")
    watch.add_argument("--bath", required=True, help="bath that is meant")
    watch.add_argument("--every", default="1 s", metavar="TIME", help="between two lines (1 s)")
    watch.add_argument("--read", choices=_UNITS, help="scale of readings that state none (that of --bath)")
    watch.add_argument("--clock", action="store_true",
                       help="count down without a thermocouple, in a bath that stays at --bath")
    part = _add_paths(watch, "the part, when the bath is measured, and the coupons of the trials",
               "the part itself is measured")
    part.add_argument("--salt", choices=tuple(SALTS), default="unstated",
                      help="of the bath; a stated one freezes on a cold part")
    _add_cautions(watch)
    _add_words(watch)
    watch.set_defaults(run=watching.watch)


def _add_transfer(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    transfer = commands.add_parser(
        "transfer", help="find the heat transfer of a bath from a thermocouple in a part",
        description="The heat transfer of a bath, by least squares, from a log of the thermocouple of a part that "
                    "was dipped into it: a CSV with time_s and temperature_C, from before the part goes in until "
                    "it is as hot as the bath. The search begins at --transfer. Preheat the part above the melting "
                    "point of the salt.")
    transfer.add_argument("history", metavar="DIP.csv", help="the log; - reads standard input")
    transfer.add_argument("--bath", required=True, help="bath temperature, steady")
    part = transfer.add_argument_group("the part")
    part.add_argument("--part", required=True, metavar="SIZE", help='what was dipped: "6 mm", "1/4 in"')
    part.add_argument("--shape", choices=tuple(SHAPES), default="plate", help="of the part (plate)")
    part.add_argument("--thermocouple", choices=tuple(PLACES), default="centre",
                      help="where in the part it is (centre)")
    _add_heat(part)
    _add_json(transfer)
    transfer.set_defaults(run=heating.transfer)


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
    _add_page(commands)
    _add_watch(commands)
    _add_transfer(commands)
    _add_completion(commands)
    return made
