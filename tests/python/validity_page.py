# SPDX-License-Identifier: GPL-3.0-or-later
"""docs/understand/validity.md and its pictures, made of what validity.py and sensitivity.py find.

    python tests/python/validity_page.py               writes docs/understand/validity.md and docs/static/validity_*.png anew: look at them
    python tests/python/validity_page.py --take-over   first writes what oxtint now gives to tests/data/validity_expected.csv:
                                                       read the difference, and say in docs/changelog.md why it moved
"""
from __future__ import annotations

import functools
import json
import math
import pathlib
import re
import sys
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import matplotlib

matplotlib.use("Agg")

import matplotlib.style  # noqa: E402
import numpy as np  # noqa: E402
import oxtint  # noqa: E402
from matplotlib.axes import Axes  # noqa: E402
from matplotlib.figure import Figure  # noqa: E402
from matplotlib.patheffects import withStroke  # noqa: E402
from matplotlib.text import Text  # noqa: E402
from PIL import Image  # noqa: E402

import sensitivity  # noqa: E402
import validity  # noqa: E402
from validity import ROOT, TOLERANCE, Row, film, prior, rate, doubt, sections  # noqa: E402

PAGE = ROOT / "docs/understand/validity.md"
PICTURES = ROOT / "docs/static"

# ---- what was not checked ----

BLUE_600F = ("blue", "600 F")


def names(cautions: Iterable[oxtint.Caution]) -> set[str]:
    return {caution.name for caution in cautions}


def of_dip(*target_and_bath: str, **told: Any) -> set[str]:
    return names(sensitivity.usual().steel.dip(*(target_and_bath or BLUE_600F), **told).cautions)


def plain(*target_and_bath: str, **told: Any) -> set[str]:
    """Of a dip whose film is that of the trials."""
    return of_dip(*target_and_bath, film=sensitivity.usual_film(), **told)


def scattered() -> set[str]:
    """Of a card with three coupons, one of which disagrees."""
    log = oxtint.TrialLog()
    for bath, time, colour in (("560 F", 60, "dark straw"), ("600 F", 60, "purple"), ("640 F", 60, "brown")):
        log.add("Cedar 3", bath=bath, time=time, colour=colour)
    return names(oxtint.fit(log).steel.dip("blue", "600 F").cautions)


@dataclass(frozen=True)
class Limit:
    """Something outside what was checked: the cautions that say so, each with a case that raises it, or no case."""

    outside: str
    checked: str
    cautions: dict[str, Callable[[], set[str]]]
    do: str


LIMITS = (
    Limit("a bath that no coupon was run in",
          "250 to 450 °C, where the one rate law published for mild steel in nitrate holds; else the card's own baths",
          {"EXTRAPOLATED_BATH": lambda: plain("blue", "480 F")}, "run a coupon in that bath first"),
    Limit("a film thinner or thicker than those of the coupons", "the films of the card's own coupons",
          {"EXTRAPOLATED_FILM": lambda: plain("second-order blue", "600 F")}, "run a coupon to that colour first"),
    Limit("thin straws on bare steel, where air is published with another law", "nothing below the thinnest coupon",
          {"EXTRAPOLATED_FILM": lambda: plain("faint straw", "600 F")},
          "log faint coupons too, and ask `fit.laws()`"),
    Limit("above 570 °C", "nothing: wustite grows", {"ABOVE_MODEL": lambda: plain("blue", "580 C")}, "do not use these times"),
    Limit("above 538 °C, and above 649 °C", "no shop's bath",
          {"ABOVE_WORKING": lambda: plain("blue", "1010 F"), "ABOVE_LEGAL": lambda: plain("silver", "1220 F")},
          "do not heat nitrate so far"),
    Limit("a bath near its freezing point", "nothing: slow salt is not in the rate",
          {"FREEZING": lambda: plain("straw", "450 F"), "BELOW_MELTING": lambda: plain("faint straw", "340 F")},
          "state the salt (`Bath`), or use a hotter bath"),
    Limit("second order and beyond", "computed colours only; no published film of nitrate",
          {"OTHER_ORDER": lambda: plain()}, "watch the whole sequence of colours"),
    Limit("coupons and part of different size, not stated", "plates, cylinders and balls against textbook mathematics",
          {"COUPONS_UNKNOWN": lambda: plain(part="6 mm"), "AT_TEMPERATURE": lambda: plain()},
          "state part, shape and lift of coupons and dip"),
    Limit("a load that cools the bath", "a heat balance only",
          {"SAG": lambda: plain(part="6 mm", coupon="2 mm", salt_bath=oxtint.Bath("ternary", salt_kg=5.0), load_kg=1.0)},
          "dip fewer parts, or log the temperature"),
    Limit("another finish, light, oil or film than the coupons were read with", "mirror against optics; satin and matte are assumed",
          {"OTHER_OPTICS": lambda: of_dip(film=oxtint.Film(finish="matte", coat_index=oxtint.OIL_INDEX))},
          "own coupons for each finish, judged in the same light, dry"),
    Limit("few coupons, or coupons that disagree", "made-up logs only ([accuracy](accuracy.md))",
          {"LOOSE_FIT": scattered}, "log more coupons near this bath"),
    Limit("hardened steel", "carbon steels 1030 to 1095 of one table, typical values",
          {"SOFTENS": lambda: plain(), "HARDENED": lambda: plain(last_temper=("400 F", "2 h"))},
          "measure the hardness of one part"),
    Limit("a steel unlike mild or carbon steel", "mild steel and iron, by published Q; no alloy steel", {},
          "own coupons, five or more in three baths; the prior of mild steel does not hold for it"),
    Limit("stainless steel and others rich in chromium", "nothing: the figures above miss by design", {},
          "do not use oxtint's thicknesses; coupons of the wanted colour alone, at the bath of use"),
    Limit("patterned or etched surfaces, scale, weld, deep scratches, plated or decarburised skin", "nothing", {},
          "coupons with the very surface; judge each phase of a pattern by itself"),
    Limit("a salt other than nitrate or nitrite, an old or dirty bath", "nothing: salts set limits and heat, not the rate", {},
          "anchor the card by a coupon after each change of salt ([anchor](../reference/anchor.md)); watch [drift](../reference/drift.md)"),
    Limit("air, oven, sand, flame or hot plate in place of salt", "the figures above: air is slower, by up to 10 times", {},
          "coupons of that heat; a card from salt does not carry over"),
    Limit("hours in place of minutes", "published long runs are slower than the prior by 16 times and more", {},
          "no dip beyond the longest coupon"),
)


@functools.cache
def places(caution: str) -> str:
    """The files of lib that raise a caution."""
    found = [path.relative_to(ROOT) for path in sorted((ROOT / "lib").rglob("*.c"))
             if re.search(rf"\bOXT_CAUTION_{caution}\b", path.read_text(encoding="utf-8"))
             and path.name not in ("error.c", "track.c", "advise.c")]
    return ", ".join(f"`{path}`" for path in found)


# ---- pictures ----

INK, GREY, PALE, DEEPER = "#1b1b1b", "#707070", "#d9e4ef", "#b6cbe0"


def celsius_axis(ax: Axes, ticks: list[int]) -> None:
    top = ax.secondary_xaxis("top", functions=(lambda x: x, lambda x: x))
    top.set_xticks([1000.0 / (T + 273.15) for T in ticks], [str(T) for T in ticks])
    top.set_xlabel("°C")


def halo(text: Text) -> None:
    """A pale edge around words that stand on lines."""
    text.set_path_effects([withStroke(linewidth=2.5, foreground="white")])


# Label of each point of the rates, and where it stands: points across and up, and its side. Those without one share a neighbour's.
LABELS = {
    "air-230-45": ("blue 45 min, light blue 1 h, in air", 12, -30, "right"),
    "air-274": ("blue in 1 h, both in an oven and in nitrate", -9, -3, "right"),
    "air-290": ("dark blue, 9 to 13 min, air", 8, -5, "left"),
    "nitrate-343": ("a matter of seconds, in nitrate", 9, -1, "left"),
    "goods-316": ("7,000 h in nitrate", -9, -3, "right"),
    "jmes-550": ("a month in nitrate and nitrite", 6, 9, "left"),
}


def draw_rates() -> Figure:
    """All published rates over 1/T, with the prior and its band."""
    figure = Figure(figsize=(8.0, 5.6), layout="constrained")
    ax = figure.subplots()
    T = np.linspace(212.0, 580.0, 80)
    k, error = np.array([rate(float(x)) for x in T]), np.array([doubt(float(x)) for x in T])
    x = 1000.0 / (T + 273.15)
    ax.fill_between(x, k * np.exp(-1.96 * error), k * np.exp(1.96 * error), color=PALE, label="prior, 95 %")
    ax.fill_between(x, k * np.exp(-error), k * np.exp(error), color=DEEPER, label="prior, one standard error")
    ax.plot(x, k, color=INK, label="prior: 71 kJ/mol, blue in a minute at 650 °F")
    for row in validity.table("rates"):
        if row["k0"] or row["key"] == "nitrate-274":  # the same point as that of the oven
            continue
        low, high = validity.published_rate(row)
        at, middle = 1000.0 / (float(row["T_C"]) + 273.15), math.sqrt(low * high)
        in_air = row["medium"].startswith("air")
        ax.errorbar([at], [middle], [[middle - low], [high - middle]], fmt="o" if in_air else "s", color=INK, capsize=3,
                    markerfacecolor="white" if in_air else INK)
        if row["key"] in LABELS:
            label, across, up, side = LABELS[row["key"]]
            halo(ax.annotate(label, (at, middle), (across, up), textcoords="offset points", ha=side, fontsize=8))
    for key, name, low_C, colour in (("surman-350", "iron in CO-CO₂", 350, "#2f6f4f"), ("stanley-500", "iron in air", 500, "#a0522d")):
        law = next(row for row in validity.table("rates") if row["key"] == key)
        for ends, style in (((low_C, 580), "-"), ((222, low_C), ":")):
            over = np.linspace(*ends, 20)
            ax.plot(1000.0 / (over + 273.15), [validity.published_rate({**law, "T_C": str(one)})[0] for one in over], style,
                    color=colour, label=name if style == "-" else None)
    ax.plot([], [], ":", color=GREY, label="the same, extrapolated")
    ax.plot([], [], "o", color=INK, markerfacecolor="white", label="a colour in air")
    ax.plot([], [], "s", color=INK, label="in a nitrate bath")
    ax.set_yscale("log")
    ax.set_ylim(0.003, 3e4)
    ax.set_xlim(1000.0 / (580 + 273.15), 1000.0 / (212 + 273.15))
    ax.set_xlabel("1000 K / T")
    ax.set_ylabel("k, nm²/s")
    celsius_axis(ax, [250, 300, 350, 400, 450, 500, 550])
    ax.legend(fontsize=8, loc="lower left")
    return figure


def draw_Q() -> Figure:
    """Q by source, a forest plot."""
    groups: dict[str, list[tuple[str, float, float]]] = {}
    for row in validity.table("Q"):
        Q = float(row["Q"])
        reach = max(Q - float(row["low"] or Q), float(row["high"] or Q) - Q)
        name = {"melt-mild": "mild steel (Baraka)", "melt-iron": "iron, nitrate and nitrite",
                "stainless-ferritic": "15 % chromium", "stainless-austenitic": "20 % chromium, 8 % nickel",
                "thin-film": "thin films, 22-227 °C", "powder": "nanopowder, linear law",
                "surman": "CO-CO₂ (Surman)", "graham": "oxygen, 200-400 °C (Graham)", "stanley": "air, 500-900 °C (Stanley)",
                "paidassi": "air, above 700 °C (from memory)", "solution": "NaOH and NaNO₂ in water"}[row["key"]]
        groups.setdefault(row["group"], []).append((name, Q, reach))
    short = {"dooley": "Dooley", "colvin-average": "Colvin and Juthe, average", "colvin-26": "the same, table 26", "butt": "Butt",
             "andrews": "Andrews", "machinery": "Machinery's Handbook (memory)", "encyclopaedia-1": "an encyclopaedia",
             "encyclopaedia-2": "another", "encyclopaedia-3": "a third", "lexicon": "a lexicon of electroplating",
             "smiths": "a smiths' page", "watch": "blued screws",
             "caption": "a caption", "rapatz-short": "Rapatz, a few minutes", "rapatz-blue": "Rapatz, 45 min to 3 min",
             **{f"colvin-{one}": f"the same, source {one.upper()}" for one in "abcde"}}
    groups["published colours, read by oxtint"] = [(short[key], Q, error) for key, _, _, Q, error in validity.colour_Q()
                                                   if key in short]
    count = sum(len(rows) + 1 for rows in groups.values())
    figure = Figure(figsize=(8.0, 0.6 + 0.205 * count), layout="constrained")
    ax = figure.subplots()
    middle, error = prior().Q_J_per_mol / 1e3, prior().Q_stderr_J_per_mol / 1e3
    ax.axvspan(middle - 1.96 * error, middle + 1.96 * error, color=PALE)
    ax.axvspan(middle - error, middle + error, color=DEEPER)
    ax.axvline(middle, color=INK, linewidth=1.0)
    place, ticks = 0, []
    for group, rows in groups.items():
        ticks.append((place, group.capitalize(), True))
        for offset, (name, Q, reach) in enumerate(rows, 1):
            ax.errorbar([Q], [place + offset], xerr=[reach], fmt="o" if group.startswith("published") else "s", color=INK,
                        markersize=4.5, capsize=2.5, markerfacecolor="white" if group.startswith("published") else INK)
            ticks.append((place + offset, name, False))
        place += len(rows) + 1
    ax.set_yticks([one[0] for one in ticks], [one[1] for one in ticks], fontsize=8)
    for label, (_, _, head) in zip(ax.get_yticklabels(), ticks):
        label.set_fontweight("bold" if head else "normal")
    ax.tick_params(axis="y", length=0)
    ax.set_ylim(place - 0.3, -0.8)
    ax.set_xlim(0.0, 185.0)
    ax.set_xlabel("Q, kJ/mol. Bars: ranges as published, or one standard error.\nShaded: the prior, one and 1.96 standard errors.")
    ax.grid(axis="x", color="#e5e5e5", linewidth=0.6)
    ax.set_axisbelow(True)
    return figure


SERIES = {"evans": "Evans and after (from memory)", "lexicon": "a lexicon of electroplating", "kopyt": "Kopyt and others",
          "metallography": "interference films in general", "stainless": "stainless steel: another oxide"}


def draw_colours() -> Figure:
    """Published thicknesses of colours below the strip of computed ones."""
    figure = Figure(figsize=(8.0, 6.4), layout="constrained")
    ax = figure.subplots()
    end = 132.0
    x = np.arange(0.0, end, 0.5)
    ax.imshow(film().srgb(x)[np.newaxis], extent=(0.0, end, -0.5, 0.5), aspect="auto", interpolation="nearest")
    for tint in film().tints():
        if tint.low_nm < end:
            ax.plot([tint.low_nm] * 2, [-0.5, 0.5], color=INK, linewidth=0.7)
            ax.text(0.5 * (tint.low_nm + min(tint.high_nm, end)) - 1.0, 0.62, tint.name, rotation=50, fontsize=8,
                    ha="left", va="bottom")
    for line, (key, name) in enumerate(SERIES.items(), 1):
        y = -2.0 * line + 0.1
        ax.text(-1.5, y, name, ha="right", va="center", fontsize=8)
        points = sorted((row for row in validity.table("thickness") if row["key"] == key),
                        key=lambda row: float(row["low_nm"]))
        last: dict[float, float] = {}  # where the last word of each level stands
        for place, row in enumerate(points):
            low, high = float(row["low_nm"]), min(float(row["high_nm"]), end)
            if low > end - 10.0:
                continue
            ax.plot([low, high], [y] * 2, color=GREY, linewidth=1.0)
            ax.plot([0.5 * (low + high)], [y], "o", color=film().srgb(film().find_tint(row["colour"]).centre_nm),
                    markeredgecolor=INK, markersize=9)
            levels = (0.42, 0.78) if place % 2 == 0 else (-0.42, -0.78)
            level = next((one for one in levels if low - last.get(one, -99.0) > 11.5), None)
            if level is None:  # between its neighbours' words
                continue
            last[level] = low
            halo(ax.text(0.5 * (low + high), y + level, row["colour"].replace("cornflower ", ""), fontsize=6.5,
                         ha="center", va="center"))
    ax.set_xlim(0.0, end)
    ax.set_ylim(-2.0 * len(SERIES) - 0.8, 0.5)
    ax.set_yticks([])
    ax.set_xlabel("Thickness, nm. Above: magnetite on iron as oxtint computes it.\n"
                  "Marks: published thicknesses, filled with oxtint's colour of that word.")
    for side in ("left", "right", "top"):
        ax.spines[side].set_visible(False)
    return figure


DRAWN: dict[str, Callable[[], Figure]] = {"rates": draw_rates, "Q": draw_Q, "colours": draw_colours}


def drawn_data(figure: Figure) -> list[list[float]]:
    """The numbers of a picture: points of its lines, ends of its bars and areas, and the strip of colours."""
    found = []
    for ax in figure.axes:
        found += [np.asarray(line.get_xydata(), float) for line in ax.lines]
        found += [path.vertices for collection in ax.collections for path in collection.get_paths()]
        found += [np.asarray(image.get_array(), float) for image in ax.images]
    return [one.ravel().tolist() for one in found]


def save(name: str) -> pathlib.Path:
    """Draw a picture of the page; its numbers go into the file, so that a test can tell whether it is stale."""
    path = PICTURES / f"validity_{name}.png"
    with matplotlib.style.context("default"):
        figure = DRAWN[name]()
        data = json.dumps([[float(f"{value:.6g}") for value in one] for one in drawn_data(figure)])
        figure.savefig(path, dpi=110, metadata={"Software": None, "Numbers": data})
    return path


def saved_data(name: str) -> list[list[float]]:
    with Image.open(PICTURES / f"validity_{name}.png") as image:
        found: list[list[float]] = json.loads(image.info["Numbers"])
    return found


# ---- the page ----

INTRO = """\
<!-- Made by tests/python/validity_page.py from what the tests find; do not edit. -->
# Validity

[Accuracy](accuracy.md) says that the sums are right. This page asks whether steel behaves as oxtint
says: what others have published, beside what oxtint gives, with a verdict. Misses stay on the page.

- **Sources.** Few could be read whole. Each row says how much was read: an abstract, a page, a remark.
  *From memory* and *computed* are said where they hold. Data: `tests/data/validity_*.csv`.
- **oxtint's side** is that of a card without coupons: the [prior](../reference/prior.md), magnetite on iron as
  tabulated, daylight. A card with a shop's own coupons does not depend on any of these rates: it is
  proven by [cross-validation](../reference/cross_validation.md), and by a [record](../reference/record.md) of its dips.
- **Verdict.** A rate or Q *agrees* within one standard error of the prior, lies *within the prior's
  95 %* up to 1.96 of them, and *misses* beyond. Elsewhere it agrees within the range that the source
  gives, or where that is said within 5 %.
- **Tests.** Each row has one: it fails where oxtint's value moves by more than the tolerance that the
  section states, whether the row agrees or misses (`tests/python/test_validity.py`).

{summary}

In short:

- **The order of colours holds**: {in_order} of {pairs} pairs in printed tables; the others are a table's own use of
  dark, pale or yellow.
- **Q of the prior holds for melts and thin films** (42 to 84 kJ/mol published, 71 assumed) and for what
  printed colours say (median {Q_colours:.0f}); iron in gas above 200 °C has about twice as much.
- **The rate of the prior is a guess**: over published rates from 230 to 350 °C it is {least:.1f} to {most:.0f}, mostly too fast.
  One coupon corrects it; no table does.
- **Thickness in nm is oxtint's own**: the older scale has thicker straws. It matters for times only where
  coupons of one colour are used to predict another.
- **Hardness and heat** mostly agree within a fifth, within a third at worst, but for how fast a cool temper softens.
"""

RATES = """
## Rates of growth

k in nm²/s, x² = k t. A colour with a time gives k from both ends of oxtint's band of that word. The
prior's rate at 650 °F is itself common practice without a source, give or take a factor of 2. Ratio:
oxtint over the middle of what is published; a verdict counts from its nearer end. Tolerance of the tests: 5 % of the ratio.

![Published rates over 1/T with the prior and its band](../static/validity_rates.png)

{table}

Published rates in air at 230 to 290 °C and the prior differ by 1.7 to 10 times (one law carried down from 500 °C aside), those in melts by 0.3 to
65: the rate of a steel in a bath must come from coupons, and a first dip from the prior alone is a
guess within a factor of several. A law from 500 to 900 °C is no better: carried down to 230 °C it is {optical:.0f}
times too slow against the colour there ({older:.0f} by the thicknesses of the older scale), which is why a dip
outside the baths of its card carries the caution EXTRAPOLATED_BATH.
"""

Q_TEXT = """
## Activation energy

Published Q against the prior's 71 ± 20 kJ/mol. Tolerance of the tests: 1 % of the ratio.

![Q by source, with the prior](../static/validity_Q.png)

{published}

And what oxtint's own fit finds in published colours: each table as coupons that all stayed equally
long (no table states a time, so that only Q can be had), each word the band that oxtint reads it as.
Words of a change between two colours are left out. Four tables of
[accuracy](accuracy.md) are here too, there read by hand. Tolerance of the tests: 3 % of Q.

{found}
"""

COLOURS = """
## Thickness of colours

Published thicknesses beside oxtint's bands. Tolerance of the tests: 2 % of the ratio.

![Published thickness of each colour on the strip of computed colours](../static/validity_colours.png)

{table}

The scale of 46 to 72 nm lies {apart:.0f} nm above computed magnetite on average. It was found by charge
and by weight, which count pores, hematite and hydroxide too; no source with an optical thickness
could be read. An equal distance would do no harm, but a time needs the ratio of two thicknesses read
on one scale, and there the two differ: blue over straw is {theirs:.1f} on theirs and {ours:.1f} on oxtint's. By the
lexicon's own temperatures its scale has a Q of {Q_theirs:.0f} kJ/mol from straw to cornflower blue, oxtint's {Q_ours:.0f};
from its light yellow of 25 nm on, {Q_theirs_all:.0f} and {Q_ours_all:.0f}.
Coupons of several colours in one bath show which holds: their times go as the square of the ratio.

## Order of colours

Of all pairs of different colours in a printed table: does the hotter one have the thicker film in
oxtint? Ratio: the share that does. Tolerance of the tests: none.

{order}
"""

REST = """
## Law of growth

Tolerance of the tests: 1 %.

{law}

## Films

Tolerance of the tests: 2 %.

{film}

## Tempering

Tolerance of the tests: 2 %. The library's own table of hardness (ASM Heat Treater's Guide) proves
nothing here and is left out.

{temper}

## Heat

Tolerance of the tests: 1 %.

{heat}
"""

UNREAD = """
## Read, but without a figure to test

- V. Goossens and others, Surf. Interface Anal. 38 (2006), abstract: oxide of hematite and magnetite
  grown on steel at 250 °C; a stack of thin films predicts its colour, by interference and absorption.
- B. Pujilaksono and others, Corros. Sci. 52 (2010), abstract: iron in oxygen at 400 to 600 °C, magnetite
  in two layers under hematite; water vapour speeds it up from 500 °C.
- N. Sakai and others, as above, and a study of zone-refined iron (220 to 450 °C), abstracts: the rate
  depends on the pressure of oxygen, since hematite protects. A melt is another case.
- R. L. Higginson and others, Mater. High Temp. 32 (2015) 113, abstract: colours of 304 with time.
- An encyclopaedia on tempering: 205 °C for a long time turns brown, purple or blue. No time is stated; the
  prior has purple after {purple:.0f} min there and blue after {blue:.0f}.

Not obtained: Kopyt and others, both parts; the Sandia reports on carbon steel in 60/40 salt at 400 and
450 °C; McAdam and Geil whole; Tammann and Köster's tables of thickness by colour (NACA translation).
"""

SENSITIVITY = """
## How much each assumption matters

The time of blue at 600 °F on a card of ten coupons ({seconds:.0f} s; the satin coupons of the demo, read with a satin film, which are
**invented**). *Alike*: coupons and dip both with the change, as in a shop that has always been wrong in
the same way. *Dip only*: the card stays as it was. Heat: a plate of 6 mm by a card whose coupons were
of 2 mm, 3 s to the quench. Computed anew by every run of the tests.

| assumption | alike | dip only | remark |
|---|---|---|---|
{rows}

Of magnetite only one table could be had; its absorption times 4, as dense films are reported to have
([film](../reference/film.md)), stands for a second one.

**What cancels:** an old error of the thermometer, wholly; finish and an initial film, all but a few
percent; conductivity, wholly, in parts like these. **What does not:** the film's absorption, since it
moves late edges more than early ones, so that names do not keep their ratios; the light, the observer
and oil, for the same reason, by a tenth or so; the bath's heat transfer, as soon as part and coupon differ
in size; and whatever changes between the coupons and the dip.
"""

LEFT_OUT = """
## What a real bath does

A plain dip knows a bath that is stirred, does not cool and freezes on nothing. By how much the lift of a
plate of 6 mm is later where it is not so, for blue at 600 °F, and what then has to be stated. Coupons
that were heated in the same way hold most of it already.

| the bath | lift later by | state |
|---|---|---|
{rows}

Left out whatever is stated, and without a figure: salt that is colder between parts which hang close,
corners and edges, which are sooner hot than the middle of a face, a crust that falls off in pieces, and the
salt that clings to a part on its way to the quench. A series has one set of properties for a dip: 0.5 % of
the heating-up time ([accuracy](accuracy.md)).
"""

LIMITS_TEXT = """
## Limits

What lies outside of what was checked, the caution that says so with the file that raises it, and what
a shop should do there. Where *nothing warns*, the library cannot know: that part is the reader's.

| outside | what was checked | what warns | what to do |
|---|---|---|---|
{rows}

Everywhere the answer is the same: own coupons, in the bath, with the steel and the surface that count.
"""


def cell(text: str) -> str:
    return text.replace("|", "\\|")


def table_of(rows: Iterable[Row], *, ratio: bool = True, stated: str = "published") -> str:
    rows = list(rows)
    head = ["source", stated, "oxtint gives", *(["ratio"] if ratio else []), "verdict", "remark"]
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    before, reason = "", ""
    for row in rows:
        source = "the same" if row.source == before else row.source
        why = "as above" if row.why and row.why == reason else row.why
        before, reason = row.source, row.why
        verdict = f"**{row.verdict}**" if row.misses else row.verdict
        cells = [source, row.stated, row.gives, *([row.ratio] if ratio else []), verdict, why]
        lines.append("| " + " | ".join(cell(units(one)) for one in cells) + " |")
    return "\n".join(lines)


def units(text: str) -> str:
    """Typographic units, outside of `printed words`."""
    parts = text.split("`")
    for place in range(0, len(parts), 2):
        part = parts[place]
        part = re.sub(r"\b(\d[\d.,]*) (C|F)\b", r"\1 °\2", part)
        part = part.replace("g2 m-4 s-1", "g² m⁻⁴ s⁻¹").replace("g2 cm-4 s-1", "g² cm⁻⁴ s⁻¹").replace("mg/cm2", "mg/cm²")
        part = part.replace(" um ", " µm ").replace("W/(m2 K)", "W/(m² K)").replace("L*a*b*", "L\\*a\\*b\\*").replace(")^", ")\\^")
        part = part.replace("NaNO3", "NaNO₃").replace("KNO3", "KNO₃").replace("NaNO2", "NaNO₂").replace("CO2", "CO₂")
        parts[place] = part
    return "`".join(parts)


def percent(value: float) -> str:
    if math.isnan(value):
        return "–"
    return "0 %" if abs(value) < 5e-4 else f"{100.0 * value:+.1f} %".replace("-", "−")


def summary() -> str:
    """How many rows agree, by section."""
    lines = ["| section | rows | agree | within the prior's 95 % | miss |", "|---|---|---|---|---|"]
    titles = {"rates": "rates of growth", "Q": "Q, published", "colour Q": "Q, from published colours",
              "thickness": "thickness of colours", "order": "order of colours, tables", "law": "law of growth", "film": "films", "temper": "tempering", "heat": "heat"}
    for key, title in titles.items():
        rows = sections()[key]
        missed = sum(row.misses for row in rows)
        within = sum(row.verdict.startswith("within") for row in rows)
        lines.append(f"| {title} | {len(rows)} | {len(rows) - missed - within} | {within} | {missed} |")
    return "\n".join(lines)


def mean_apart() -> float:
    """By how much the scale of 46 to 72 nm on iron and steel lies above oxtint's middles, nm."""
    rows = [row for row in validity.table("thickness") if row["key"] in ("evans", "kopyt")]
    return float(np.mean([float(row["low_nm"]) - film().find_tint(row["colour"]).centre_nm for row in rows]))


def conclusions() -> dict[str, float]:
    """The figures of the first lines of the page."""
    found = sections()
    counts = [re.match(r".*, (\d+) pairs", row.stated) for row in found["order"]]
    pairs = sum(int(count[1]) for count in counts if count)
    in_order = sum(int(row.gives.split()[0]) for row in found["order"])
    cold = {row["key"] for row in validity.table("rates") if float(row["T_C"]) <= 350.0 and not row["k0"]}
    ratios = [row.value for row in found["rates"] if row.key in cold]
    Q = [row.value for row in found["colour Q"] if row.key != "surman-law"]
    return {"in_order": in_order, "pairs": pairs, "Q_colours": float(np.median(Q)), "least": min(ratios), "most": max(ratios)}


def lexicon_Q(first: str, ratio: float) -> float:
    """Q, kJ/mol, of a ratio of thicknesses between a colour of the lexicon and its cornflower blue."""
    T_C = {row["colour"]: float(row["T_C"]) for row in validity.table("temper_colours") if row["key"] == "lexicon"}
    across = 1.0 / (T_C[first] + 273.15) - 1.0 / (T_C["cornflower blue"] + 273.15)
    return 2e-3 * validity.R * math.log(ratio) / across


def limit_row(limit: Limit) -> str:
    warns = "; ".join(f"{caution} ({places(caution)})" for caution in limit.cautions) or "nothing warns"
    return f"| {limit.outside} | {limit.checked} | {warns} | {limit.do} |"


def filled(text: str) -> str:
    """Prose in lines of 100 at most; tables, headings, pictures and comments as they are."""
    blocks = []
    for block in text.split("\n\n"):
        start, body = re.match(r"(\n*)(.*)", block, re.DOTALL).groups()  # type: ignore[union-attr]
        if body and body[0] not in "|#!<":
            items = re.split(r"\n(?=- )", body)
            body = "\n".join(textwrap.fill(" ".join(item.split()), 98, break_on_hyphens=False, break_long_words=False,
                                           subsequent_indent="  " if item.startswith("- ") else "") for item in items)
        blocks.append(start + body)
    return "\n\n".join(blocks) + ("" if blocks[-1].endswith("\n") else "\n")


def page() -> str:
    found = sections()
    bands = {name: film().find_tint(name).centre_nm for name in ("faint straw", "straw", "purple", "blue")}
    optical, older = validity.extrapolated()
    long_s = {name: validity.card().time_for(bands[name], 205.0 + 273.15) / 60.0 for name in ("purple", "blue")}
    parts = [
        INTRO.format(summary=summary(), **conclusions()),
        RATES.format(table=table_of(found["rates"]), optical=optical, older=older),
        Q_TEXT.format(published=table_of(found["Q"]), found=table_of(found["colour Q"], stated="printed")),
        COLOURS.format(table=table_of(found["thickness"]), order=table_of(found["order"], stated="printed"), apart=mean_apart(),
                       theirs=72.0 / 46.0, ours=bands["blue"] / bands["straw"],
                       Q_theirs=lexicon_Q("straw", 72.0 / 46.0), Q_theirs_all=lexicon_Q("light yellow", 72.0 / 25.0),
                       Q_ours=lexicon_Q("straw", bands["blue"] / bands["straw"]),
                       Q_ours_all=lexicon_Q("light yellow", bands["blue"] / bands["faint straw"])),
        REST.format(**{name: table_of(found[name]) for name in ("law", "film", "temper", "heat")}),
        UNREAD.format(**long_s),
        SENSITIVITY.format(seconds=sensitivity.usual_s(), rows="\n".join(
            f"| {one.assumption} | {percent(one.alike)} | {percent(one.dip_only)} | {one.why} |" for one in sensitivity.changes())),
        LEFT_OUT.format(rows="\n".join(
            f"| {one.what} | {one.later_s:+.0f} s | {one.told} |".replace("-", "−") for one in sensitivity.left_out())),
        LIMITS_TEXT.format(rows="\n".join(map(limit_row, LIMITS))),
    ]
    return "".join(map(filled, parts))


def take_over() -> None:
    """Hold all rows to what oxtint now gives."""
    path = validity.DATA / "validity_expected.csv"
    head = [line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#")]
    rows = [f"{row.key},{row.value:.6g}" for found in sections().values() for row in found]
    path.write_text("\n".join([*head, "key,value", *rows]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    if "--take-over" in sys.argv[1:]:
        take_over()
    PAGE.write_text(page(), encoding="utf-8")
    print(PAGE)
    for each in DRAWN:
        print(save(each))
