# SPDX-License-Identifier: GPL-3.0-or-later
"""What was published on real steel against what oxtint gives: the rows of docs/understand/validity.md.

The published figures stand in tests/data/validity_*.csv, each with its source and how much of the source was read.
validity_expected.csv has what oxtint's side of each was found to be, TOLERANCE by how much that may move, and WHY says in a
line why oxtint misses where it does. validity_page.py makes the page of them.
"""
from __future__ import annotations

import csv
import functools
import inspect
import itertools
import math
import pathlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import oxtint

ROOT = pathlib.Path(__file__).resolve().parents[2]
DATA = ROOT / "tests/data"
PAGE = ROOT / "docs/understand/validity.md"
R = 8.314462618  # J/(mol K)
# Magnetite that holds 1 g/cm2 of oxygen, in nm: molar masses 231.533 and 4 x 15.999, density 5.17 g/cm3.
NM_PER_G_PER_CM2 = 231.533 / 63.996 / 5.17 * 1e7


def table(name: str) -> list[dict[str, str]]:
    """A table of published figures; "the same" in its first words stands for the source above."""
    with (DATA / f"validity_{name}.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    for before, row in itertools.pairwise(rows):
        if row.get("source") == "the same":
            row["source"] = before["source"]
    return rows


@dataclass(frozen=True)
class Row:
    """One published figure beside oxtint's.

    value is what validity_expected.csv has: the ratio, oxtint over published, or what oxtint gives.
    """

    key: str
    source: str
    stated: str
    gives: str
    value: float
    ratio: str
    verdict: str

    @property
    def misses(self) -> bool:
        return self.verdict.startswith("misses")

    @property
    def why(self) -> str:
        return WHY.get(self.key, "")


def cited(row: dict[str, str]) -> str:
    """The source, and how much of it was read."""
    if row["seen"] == "read":
        return f"{row['source']}; read: {row['extent']}"
    return f"{row['source']}; {'from memory' if row['seen'] == 'memory' else 'computed'}"


def figures(value: float, digits: int = 2) -> str:
    """A number to so many digits, without an exponent."""
    if value == 0.0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    shown = f"{round(value, places):,.{max(places, 0)}f}"
    return shown if digits < 3 or "." not in shown else shown.rstrip("0").rstrip(".")


def spread(low: float, high: float, digits: int = 2) -> str:
    return figures(low, digits) if low == high else f"{figures(low, digits)} to {figures(high, digits)}"


# ---- rates ----

@functools.cache
def prior() -> oxtint.Prior:
    return oxtint.Prior.mild_steel()


@functools.cache
def card() -> oxtint.Steel:
    """The card of a steel of which nothing has been tried: oxtint's word on any mild steel."""
    return oxtint.starting_steel("Dogwood 4")


@functools.cache
def film() -> oxtint.Film:
    return oxtint.Film()


def rate(T_C: float) -> float:
    """k of the starting card, nm2/s."""
    return card().thickness(T_C + 273.15, 100.0) ** 2 / 100.0


def doubt(T_C: float) -> float:
    """Standard error of ln k of the starting card."""
    across = (1.0 / (T_C + 273.15) - 1.0 / prior().temperature_K) / R
    return math.hypot(prior().ln_k_stderr, prior().Q_stderr_J_per_mol * across)


def published_rate(row: dict[str, str]) -> tuple[float, float]:
    """Limits of a published k, nm2/s."""
    T_K = float(row["T_C"]) + 273.15
    if row["colour"]:
        band = film().find_tint(row["colour"])
        return band.low_nm ** 2 / float(row["time_high_s"]), band.high_nm ** 2 / float(row["time_low_s"])
    if row["k0"]:
        to_nm = NM_PER_G_PER_CM2 * {"g2 cm-4 s-1": 1.0, "g2 m-4 s-1": 1e-4}[row["k0_unit"]]
        k = float(row["k0"]) * math.exp(-4.184 * float(row["Q_cal_per_mol"]) / (R * T_K)) * to_nm ** 2
        return k, (2.0 * k if row["key"].startswith("surman") else k)
    return float(row["k_low"]), float(row["k_high"])


def judge(ln_ratio_low: float, ln_ratio_high: float, stderr: float) -> str:
    """Verdict on ln(oxtint / published), which lies between two values, by oxtint's own standard error."""
    if ln_ratio_low <= 0.0 <= ln_ratio_high:
        return "agrees"
    nearest = min(ln_ratio_low, ln_ratio_high, key=abs)
    if abs(nearest) <= stderr:
        return "agrees"
    if abs(nearest) <= 1.96 * stderr:
        return "within the prior's 95 %"
    return f"misses: {figures(math.exp(abs(nearest)))} times too {'fast' if nearest > 0.0 else 'slow'}"


def rates() -> Iterator[Row]:
    for row in table("rates"):
        low, high = published_rate(row)
        T_C = float(row["T_C"])
        k = rate(T_C)
        ratio = k / math.sqrt(low * high)
        yield Row(row["key"], cited(row), f"{row['stated']}; {row['steel']} in {row['medium']}: {spread(low, high)}",
                  figures(k), ratio, figures(ratio), judge(math.log(k / high), math.log(k / low), doubt(T_C)))


# ---- activation energies ----

def judge_Q(low: float, high: float, own: float = 0.0) -> str:
    """Verdict on a published Q, kJ/mol, by the standard error of the prior."""
    middle, error = prior().Q_J_per_mol / 1e3, math.hypot(prior().Q_stderr_J_per_mol / 1e3, own)
    nearest = min(max(middle, low), high)
    if abs(nearest - middle) <= error:
        return "agrees"
    if abs(nearest - middle) <= 1.96 * error:
        return "within the prior's 95 %"
    return f"misses: {abs(nearest - middle) / error:.1f} standard errors"


def published_Q() -> Iterator[Row]:
    for row in table("Q"):
        low, high = (float(row[end] or row["Q"]) for end in ("low", "high"))
        ratio = prior().Q_J_per_mol / 1e3 / float(row["Q"])
        yield Row(row["key"], cited(row), f"{row['material']}, {row['medium']}, {row['from_C']} to {row['to_C']} C, "
                  f"{row['law']}: {spread(low, high, 3)}", "71", ratio, figures(ratio), judge_Q(low, high))


def two_point_Q(first: tuple[str, float, float], second: tuple[str, float, float]) -> tuple[float, float]:
    """Q, kJ/mol, and its standard error from two colours, each at a temperature in C for a time in s."""
    ln_k, variance, inverse = [], 0.0, []
    for colour, T_C, time_s in (first, second):
        band = film().find_tint(colour)
        ln_k.append(math.log(band.low_nm * band.high_nm / time_s))
        variance += 4.0 * math.log(band.high_nm / band.low_nm) ** 2 / 12.0
        inverse.append(1.0 / (T_C + 273.15))
    across = R * 1e-3 / (inverse[0] - inverse[1])
    return across * (ln_k[1] - ln_k[0]), abs(across) * math.sqrt(variance)


def fitted_Q(log: oxtint.TrialLog, steel: str) -> tuple[float, float]:
    """Q, kJ/mol, and its standard error by oxtint's own fit."""
    found = oxtint.fit(log, steel)
    return found.Q_J_per_mol / 1e3, found.stderr.Q_J_per_mol / 1e3


@functools.cache
def colour_log() -> oxtint.TrialLog:
    """Tables of temper colours of carbon steel as coupons that all stayed a minute."""
    log = oxtint.TrialLog()
    for row in table("temper_colours"):
        if row["steel"] == "carbon" and row["band"]:
            log.add(row["key"], bath=float(row["T_C"]) + 273.15, time=60.0,
                    colour=row["colour"] if row["band"] == "word" else row["band"])
    return log


def surman_log() -> oxtint.TrialLog:
    """Films that the law of Surman grows in a minute, 350 to 600 C."""
    log = oxtint.TrialLog()
    law = next(row for row in table("rates") if row["key"] == "surman-350")
    for T_C in range(350, 601, 50):
        k, _ = published_rate({**law, "T_C": str(T_C)})
        log.add("surman-law", bath=f"{T_C} C", time=60.0, thickness_nm=math.sqrt(60.0 * k))
    return log


# Two colours with temperatures in C and times in s, and what is printed; Rapatz as in validity_rates.csv. "A few minutes" cancel
# in the first; in the second they are read as 3.
PAIRS = {
    "rapatz-short": (("faint straw", 200.0, 180.0), ("silver", 400.0, 180.0),
                     "pale yellow at 200 C and grey at 400 C, both within a few minutes"),
    "rapatz-blue": (("blue", 230.0, 2700.0), ("blue", 293.0, 180.0),
                    "cornflower blue after 45 min at 230 C; in a few minutes at 293 C by the lexicon below"),
}


@functools.cache
def colour_Q() -> tuple[tuple[str, str, str, float, float], ...]:
    """Key, source, what is printed, Q and its standard error, of all that oxtint reads from published colours."""
    found = []
    sources = {row["key"]: (cited({**row, "extent": "table"}), row) for row in table("temper_colours")}
    for key in colour_log().steels:
        rows = [row for row in table("temper_colours") if row["key"] == key and row["band"]]
        stated = (f"{len(rows)} colours, `{rows[0]['colour']}` at {float(rows[0]['T_C']):.0f} C to "
                  f"`{rows[-1]['colour']}` at {float(rows[-1]['T_C']):.0f} C")
        found.append((key, sources[key][0], stated, *fitted_Q(colour_log(), key)))
    second_hand = cited(next(row for row in table("rates") if row["key"] == "air-230-45"))
    for key, (first, second, stated) in PAIRS.items():
        found.append((key, second_hand, stated, *two_point_Q(first, second)))
    law = next(row for row in table("rates") if row["key"] == "surman-350")
    found.append(("surman-law", cited(law), "films made by its law at 350 to 600 C, fitted by oxtint: 126",
                  *fitted_Q(surman_log(), "surman-law")))
    return tuple(found)


def Q_from_colours() -> Iterator[Row]:
    for key, source, stated, Q, error in colour_Q():
        if key == "surman-law":  # against its own 30,000 cal/mol
            ratio = Q / (30.0 * 4.184)
            yield Row(key, source, stated, figures(Q, 3), ratio, f"{ratio:.3f}",
                      "agrees" if abs(ratio - 1.0) < 1e-3 else "misses")
        else:
            yield Row(key, source, stated, f"{Q:.0f} ± {error:.0f}", Q, figures(Q * 1e3 / prior().Q_J_per_mol),
                      judge_Q(Q, Q, error))


# ---- colours ----

def thicknesses() -> Iterator[Row]:
    for row in table("thickness"):
        low, high = float(row["low_nm"]), float(row["high_nm"])
        band = film().find_tint(row["colour"])
        ratio = 2.0 * band.centre_nm / (low + high)
        apart = max(low - band.high_nm, band.low_nm - high, 0.0)
        yield Row(f"{row['key']}-{row['colour'].replace(' ', '-')}", cited(row),
                  f"`{row['colour']}` on {row['substrate']}: {spread(low, high, 3)} nm",
                  f"{band.label.removeprefix('first-order ')}, {band.low_nm:.0f} to {band.high_nm:.0f} nm", ratio, figures(ratio),
                  "agrees" if apart == 0.0 else f"misses by {figures(apart)} nm")


def band_of(row: dict[str, str]) -> oxtint.Tint:
    return film().find_tint(row["colour"] if row["band"] == "word" else row["band"])


def order() -> Iterator[Row]:
    """Pairs of colours of one table: does the hotter one have the thicker film, as oxtint orders them?"""
    for key, rows in itertools.groupby(table("temper_colours"), lambda row: row["key"]):
        printed = list(rows)
        read = [row for row in printed if row["band"]]
        pairs = [(first, second) for first, second in itertools.combinations(read, 2)
                 if band_of(first).index != band_of(second).index]
        reversed_ = [(first, second) for first, second in pairs if band_of(first).index > band_of(second).index]
        share = 1.0 - len(reversed_) / len(pairs)
        at = "; ".join(f"`{first['colour']}` below `{second['colour']}`" for first, second in reversed_)
        left_out = f", {len(printed) - len(read)} left out" if len(printed) > len(read) else ""
        yield Row(f"order-{key}", cited({**printed[0], "extent": "table"}),
                  f"{len(read)} colours of {printed[0]['steel']} steel{left_out}, {len(pairs)} pairs",
                  f"{len(pairs) - len(reversed_)} pairs in its order", share, figures(share, 3) if share < 1.0 else "1",
                  "agrees" if not reversed_ else f"misses: {at}")


# ---- the law, films, temper, heat ----

def exponent(initial_nm: float, x_nm: float) -> float:
    """Slope of ln time by ln thickness on top of a film, by the starting card at 300 C."""
    def time(x: float) -> float:
        return card().time_for(x, 573.15) - (card().time_for(initial_nm, 573.15) if initial_nm else 0.0)
    step = 1e-4
    return (math.log(time(x_nm * (1 + step))) - math.log(time(x_nm * (1 - step)))) / (2.0 * step)


def power_of_T(T_K: float = 600.0) -> float:
    """Slope of ln thickness by ln temperature after equal times."""
    step = 1e-4
    x = card().thickness([T_K * (1 - step), T_K * (1 + step)], 60.0)
    return float(np.log(x[1] / x[0])) / (2.0 * step)


def time_ratio(first: str, second: str) -> tuple[float, float, float]:
    """Time of one colour over that of another: by their middles, the least and the most."""
    a, b = film().find_tint(first), film().find_tint(second)
    return ((b.centre_nm / a.centre_nm) ** 2, max(b.low_nm / a.high_nm, 1.0) ** 2, (b.high_nm / a.low_nm) ** 2)


# XYZ and L*a*b* of five films (Vazquez-Santoyo and others, 2005), as read.
FIVE_FILMS = np.array([[16.85, 18.80, 4.07, 50.45, -19.85, 17.15], [19.77, 13.28, 5.65, 43.18, 26.05, -6.68],
                       [20.71, 13.99, 2.62, 44.22, 25.96, 19.67], [12.01, 12.43, 4.11, 41.89, -11.38, 2.02],
                       [7.83, 5.95, 1.72, 29.29, 11.26, 4.95]])


def lab_error(observer_deg: int) -> float:
    """Largest difference of L*, a*, b* from XYZ by oxtint's white of illuminant A, CIE 15, from the published ones."""
    f = np.cbrt(FIVE_FILMS[:, :3] / oxtint.Light("A", observer_deg).white_xyz)
    f = np.where(f > 6.0 / 29.0, f, f ** 3 / (3.0 * (6.0 / 29.0) ** 2) + 4.0 / 29.0)
    lab = np.column_stack([116.0 * f[:, 1] - 16.0, 500.0 * (f[:, 0] - f[:, 1]), 200.0 * (f[:, 1] - f[:, 2])])
    return float(np.abs(lab - FIVE_FILMS[:, 3:]).max())


def hardness(temperature: str, time: str, steel: str = "1095") -> float:
    return oxtint.temper_hardness(steel, oxtint.temper_parameter(temperature, time))


def first(low: float, high: float, holds: Callable[[float], bool]) -> float:
    """The least number between two for which something holds, as it does for all above."""
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def ramp_s() -> float:
    """What heating at 600 K an hour from 20 to 350 C is as good as at 350 C, s."""
    ramp = oxtint.History([0.0, 330.0 / 600.0 * 3600.0], [293.15, 623.15])
    return oxtint.temper_time(ramp.temper().parameter, "350 C")


def bar_min() -> float:
    """Minutes until the surface of a bar of 25 mm is within a hundredth of a step to 300 C."""
    bar, bath_K = oxtint.Part("25 mm", "cylinder"), 573.15
    return first(1.0, 2000.0, lambda time: bath_K - bar.surface_temperature(bath_K, time) <= 0.01 * (bath_K - 293.15)) / 60.0


def steel_at(T_K: float) -> oxtint.Warming:
    """Properties of carbon steel at one temperature."""
    return oxtint.Part("6 mm", start=T_K).warming(T_K)


def first_wustite_C() -> float:
    """The bath above which a dip is said to be outside the model."""
    return first(500.0, 640.0, lambda T_C: "ABOVE_MODEL" in {one.name for one in card().dip("blue", f"{T_C} C").cautions})


# What oxtint gives: the value, and how it is shown with its unit.
OTHERS: dict[str, tuple[Callable[[], float], str]] = {
    "baraka-law": (lambda: exponent(0.0, 57.0), "{:.0f}"),
    "delcampo-law": (lambda: exponent(0.0, 57.0), "{:.0f}"),
    "mcadam-thick": (lambda: exponent(3.0, 57.0), "{:.2f}, on top of 3 nm"),
    "sakai-law": (lambda: exponent(0.0, 57.0), "{:.0f}, without a first stage"),
    "mcadam-thin": (lambda: exponent(3.0, 4.0), "{:.1f} at 4 nm on top of 3 nm"),
    "powder-law": (lambda: exponent(0.0, 57.0), "{:.0f}"),
    "goods-law": (lambda: exponent(0.0, 57.0), "{:.0f}"),
    "rapatz-times": (lambda: time_ratio("blue", "light blue")[0], "{:.1f} by the middles of the bands, 1 to 2.6 in all"),
    "mcadam-T": (power_of_T, "{:.1f} at 600 K"),
    "native": (lambda: film().find_tint("bright").high_nm, "bright below {:.1f} nm"),
    "native-old": (lambda: film().find_tint("bright").high_nm, "bright below {:.1f} nm"),
    "vazquez": (lambda: lab_error(10), "their L\\*a\\*b\\* from their XYZ within {:.2f}; 1.2 with 2 degrees"),
    "temper-sequence": (lambda: oxtint.temper_dip("300 C", "5 min", last=("200 C", "1 h")).total_parameter, "{:,.1f}"),
    "temper-ramp": (ramp_s, "{:.0f} s"),
    "temper-spring": (lambda: hardness("750 F", "2 h"), "{:.0f} HRC"),
    "temper-spring-1060": (lambda: hardness("700 F", "2 h", "1060"), "{:.0f} HRC for 1060"),
    "temper-45": (lambda: hardness("425 F", "2 h"), "{:.0f} HRC after 2 h"),
    "temper-58": (lambda: hardness("400 F", "2 h"), "{:.0f} HRC, at 400 F (204 C), where its table begins"),
    "temper-rate": (lambda: hardness("450 F", "1 h") - hardness("450 F", "4 h"), "{:.1f} HRC less, at 450 F"),
    "conductivity-1010": (lambda: steel_at(300.0).conductivity_W_per_mK, "{:.1f} W/(m K)"),
    "specific-heat-1010": (lambda: steel_at(300.0).heat_J_per_kgK, "{:.0f} J/(kg K)"),
    "conductivity-plain": (lambda: steel_at(600.0).conductivity_W_per_mK, "{:.1f} W/(m K)"),
    "specific-heat-plain": (lambda: steel_at(600.0).heat_J_per_kgK, "{:.0f} J/(kg K)"),
    "transfer": (lambda: float(inspect.signature(oxtint.Part).parameters["transfer_W_per_m2K"].default),
                 "{:.0f} W/(m2 K) unless it is stated"),
    "bar": (bar_min, "{:.1f} min to 1 % of the step"),
    "range-top": (lambda: oxtint.salt("unstated").working_high_K - 273.15, "warns above {:.0f} C"),
    "range-bottom": (lambda: oxtint.salt("unstated").working_low_K - 273.15, "warns below {:.0f} C"),
    "ternary-cp": (lambda: oxtint.salt("ternary", "300 C").heat_J_per_kgK, "{:,.0f} J/(kg K) at 300 C"),
    "wustite": (first_wustite_C, "warns above {:.0f} C"),
}


def others(section: str) -> Iterator[Row]:
    for row in table("other"):
        if row["section"] != section:
            continue
        value, shown = OTHERS[row["key"]][0](), OTHERS[row["key"]][1]
        low, high = float(row["low"]), float(row["high"])
        ratio = value / (0.5 * (low + high))
        good = low * (1.0 - 1e-6) <= value <= high * (1.0 + 1e-6)
        if row["key"] == "rapatz-times":
            good = time_ratio("blue", "light blue")[1] <= low and high <= time_ratio("blue", "light blue")[2]
        if row["key"].startswith("native"):  # a film that is not seen is thinner than the first colour
            good = value >= 0.5 * (low + high)
        if row["key"] == "transfer":
            ratio = value / math.sqrt(low * high)
        as_ratio = "" if row["section"] == "film" else figures(ratio)
        verdict = "agrees" if good else f"misses: {figures(ratio)} times as much" if as_ratio else "misses"
        if not good and abs(ratio - 1.0) <= 0.05:
            verdict = "agrees within 5 %"
        yield Row(row["key"], cited(row), row["stated"], shown.format(value), value, as_ratio, verdict)


@functools.cache
def sections() -> dict[str, tuple[Row, ...]]:
    """All rows by section."""
    return {"rates": tuple(rates()), "Q": tuple(published_Q()), "colour Q": tuple(Q_from_colours()),
            "thickness": tuple(thicknesses()), "order": tuple(order()), "law": tuple(others("law")),
            "film": tuple(others("film")), "temper": tuple(others("temper")), "heat": tuple(others("heat"))}


# Why oxtint misses, a line each; a row that does not miss may have one too.
GAS = "gas at 200 °C and above; melts and thin films are published with about half of it"
SCALE = "by charge or weight, not optical; see below the table"
CHROMIUM = "another oxide, rich in chromium"
WORD = "the table has its own word for a later blue or an earlier straw; shops differ"
WHY = {
    "air-274": "air, not salt; and an alloy steel, which needs its own coupons",
    "nitrate-274": "the same shop, in salt; with the remark below it would need a Q of about 215 kJ/mol",
    "air-230-45": "air, not salt",
    "air-230-60": "air, not salt",
    "air-290": "air, not salt; and the screws' heating up is in the time",
    "nitrate-343": "no thermometer, no clock: a remark",
    "goods-316": "an average over 7,000 h, which the source calls linear; a dip ends long before",
    "jmes-550": "order of magnitude: film and mass gain are not the same, and parabolic for a month is assumed",
    "surman-350": "carbon oxides, no oxygen and no melt; and the prior's Q is the lower by 55 kJ/mol",
    "stanley-500": "the prior ends at 450 °C; its Q is half of that in air",
    "stanley-300": "an extrapolation over 200 K",
    "stanley-230": "carried down 270 K, the published law is 15 times slower than the colour at 230 °C above: do not extrapolate",
    "stainless-ferritic": CHROMIUM,
    "stainless-austenitic": CHROMIUM,
    "powder": "a powder, and linear",
    "surman": GAS,
    "graham": GAS,
    "stanley": GAS,
    "paidassi": "wustite, which oxtint leaves out",
    "solution": "the rate of the bare metal in water; no melt",
    "rapatz-blue": "two sources, and a few minutes read as three",
    "lexicon": "its straw and its blue are 50 K apart, where other tables have 60 to 110",
    **{f"order-{key}": WORD for key in ("colvin-26", "butt", "machinery", "encyclopaedia-1", "encyclopaedia-3", "lexicon")},
    "order-encyclopaedia-stainless": "and the same words 60 to 300 K hotter than on carbon steel: another oxide",
    "sakai-law": "the first stage is not in the model; an initial film stands for it",
    "mcadam-thin": "only an initial film bends the law; [laws](../reference/laws.md) looks for more in a log",
    "powder-law": "a powder",
    "goods-law": "over 7,000 h; a dip ends long before",
    "mcadam-T": "thick films in air; by Q = 2 p R T it would be 220 kJ/mol at 600 K, as for thick scale",
    "native-old": "a film of 6 nm is at the edge of what an eye sees",
    "vazquez": "XYZ of two decimals",
    "temper-sequence": "another encyclopaedia has minutes for the hours of this parameter, which its authors and this page do not",
    "temper-ramp": "the series has further terms; 10 % are left open",
    "temper-spring-1060": "another quench and another hand; measure one part",
    "temper-45": "the page contradicts the printed table by 13 HRC; 45 HRC is about 750 F by that",
    "temper-58": "another quench and another hand; measure one part",
    "temper-rate": "its temperature is not stated; the table is flat at 450 F",
    "conductivity-1010": "EN 1993 is for structural steel at large; it cancels in thin parts (see below)",
    "conductivity-plain": "EN 1993 is for structural steel at large; it cancels in thin parts (see below)",
    "transfer": "in a molten fluoride such correlations held within 20 % (J. Heat Transfer 140 (2018) 042501, abstract)",
    "bar": "at hardening heat and in chloride; moved parts and larger bars differ",
    "ternary-cp": "two published values; with a limited mass of salt the sag is smaller by as much",
}
for _row in table("thickness"):
    _key = f"{_row['key']}-{_row['colour'].replace(' ', '-')}"
    WHY[_key] = CHROMIUM if _row["key"] == "stainless" else (
        "interference films in general, of no one index" if _row["key"] == "metallography" else SCALE)

# By how much the value of a row may move before its test fails: of the value, and below that in its own unit.
TOLERANCE = {"rates": 0.05, "Q": 0.01, "colour Q": 0.03, "thickness": 0.02, "order": 1e-5, "law": 0.01, "film": 0.02,
             "temper": 0.02, "heat": 0.01}


def expected() -> dict[str, float]:
    """The values that rows are held to."""
    return {row["key"]: float(row["value"]) for row in table("expected")}


def extrapolated() -> tuple[float, float]:
    """How many times too slow the law published for 500 to 900 C is at 230 C, against the colour there: by oxtint's thickness
    of blue, and by the 72 nm of the older scale."""
    law = next(row for row in table("rates") if row["key"] == "stanley-230")
    k = published_rate(law)[0]
    return film().find_tint("blue").centre_nm ** 2 / 2700.0 / k, 72.0 ** 2 / 2700.0 / k
