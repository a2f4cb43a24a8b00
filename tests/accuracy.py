# SPDX-License-Identifier: GPL-3.0-or-later
"""Write or check docs/understand/accuracy.md from what the tests measured.

    python tests/accuracy.py RESULTS           check; TAP, one test per figure and one for the page
    python tests/accuracy.py RESULTS --write   write the page

RESULTS is what tests/run.sh leaves in build/results: c/measured.txt, which measured() of
tests/c/support.c writes, and python.xml with the properties of the fixture `measured`. A line of either
is NAME VALUE LOW HIGH; of several lines of one name the worst counts. NAME-count is a number of logs or dips
that the texts quote.

Figures vary a little with compiler and processor. The page states what is true on all of them, and the check fails
where a bound is broken, not where a figure moved by a digit: to renew the page belongs to a release.
"""
import math
import pathlib
import sys
import xml.etree.ElementTree as xml
from dataclasses import dataclass

PAGE = pathlib.Path(__file__).resolve().parent.parent / "docs/understand/accuracy.md"

INTRO = """\
<!-- Made by tests/accuracy.py from what the tests measured; do not edit. -->
# Accuracy

What the tests check against something outside the library, with what they found and the bound at
which they fail. Every run of `tests/run.sh` measures all of it again. Compilers and processors
round differently, so differences are rounded up: "below 1e-7" is the power of ten above three times
the largest one that was found. Shares are of made-up logs, always the same ones. What a published
number proves depends on its own digits: a difference of half a unit in the last printed digit is
the best there is.

Agreement with mathematics and with other programs says that the sums are right. Whether a steel
grows as the [model](model.md) says is a question for coupons; [laws](../reference/laws.md) asks it
of a log, and [validity](validity.md) of what others have published.
"""

AFTERWORD = """\
Of the heat it is checked that the sums are right: those of a plate, a bar or a sphere, or of one
temperature, in salt of one temperature that has the stated heat transfer, melting point and mass,
with the steel of EN 1993-1-2. Whether a pot has them is not checked. What a real bath does beside,
and by how much, is in [validity](validity.md#what-a-real-bath-does). A relative error of 1e-8 is
that of films of 10 nm and more. Where hardly anything has grown the exposure is right to 1e-6 nm²:
a millionth of that of a film of 1 nm, and 3e-3 of that of 0.02 nm, where nothing is to be seen.

A printed table of temper colours has two readings. As the trials of a fit, each colour an interval
of thickness that weighs by its width, the tables give the Q above. A plain line through the middles
of the same colours, each weighing alike, gives 91 and 96 kJ/mol (`tests/c/test_tint.c`): the first
faint colours, whose bands are widest in ratio, then count as much as the others.
"""

# Heading -> rows: name of the figure, what was checked, against what, how it is shown.
SECTIONS: dict[str, list[tuple[str, str, str, str]]] = {
    "Least squares": [
        ("nist-nonlinear", "constants of 14 nonlinear problems, from both published starts",
         "certified values, NIST/ITL Statistical Reference Datasets (`tests/data/nist_*.csv` names them)",
         "digits"),
        ("nist-linear", "the linear problems Norris and NoInt1", "the same collection", "digits"),
        ("nist-longley", "Longley's linear problem", "the same collection", "digits"),
        ("nist-moments", "the linear problem Norris by the moments of its rows", "the same collection", "digits"),
        ("curve-fit", "ln k_ref and Q of a fit, relative", "SciPy's `curve_fit` (MINPACK)", "error"),
        ("curve-fit-variance", "their variances, relative", "the same", "error"),
        ("odrpack", "ln k_ref and Q by orthogonal distance, relative", "ODRPACK, through SciPy", "error"),
        ("curve-fit-laws", "Q under each law of growth, relative", "SciPy's `curve_fit`", "error"),
        ("lstsq-pool", "Q of pooled steels, relative", "NumPy's `lstsq` on the design written out", "error"),
        ("lmfit", "limits by profile, in half widths", "lmfit's `conf_interval`", "error"),
    ],
    "Optics and colour": [
        ("matrices", "reflectance of 3,000 random stacks at any angle",
         "characteristic matrices (Born and Wolf, section 1.6) written anew in C", "error"),
        ("matrices-python", "reflectance of films on iron and chromium at five angles",
         "the same matrices, written anew in Python", "error"),
        ("tmm", "reflectance of the same films", "the package tmm", "error"),
        ("colour-science-reflectance", "reflectance of clear stacks at five angles",
         "the package colour-science", "error"),
        ("finish-tilt", "mean over tilted facets at 0 to 85°, tilts of 2 to 40°, any polarisation, CIEDE2000",
         "two million facets in NumPy, with matrices written anew", "error"),
        ("cie-whites", "chromaticities of the illuminants",
         "CIE 15:2018, four decimals, from memory", "error"),
        ("colour-science-lab", "Lab of films in seven lights, for both observers",
         "colour-science, its tables and sums", "error"),
        ("ciede2000-pairs", "CIEDE2000 of all 34 pairs",
         "Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21, four decimals", "error"),
        ("colour-science-ciede2000", "CIEDE2000 of 500 random pairs", "colour-science", "error"),
        ("colour-science-adaptation", "adaptation by CAT16", "colour-science", "error"),
        ("colour-science-srgb", "sRGB, 0 to 1", "colour-science, whose matrix has more digits", "error"),
        ("oklab-hue", "hue in Oklab of films that a screen cannot show, degrees",
         "colour-science, whose matrix has more digits", "error"),
    ],
    "Heat and histories": [
        ("heat-roots", "first roots of plate, cylinder and sphere, relative",
         "the equations of Incropera and DeWitt, table 5.1, solved to 30 digits", "error"),
        ("heat-textbook", "a thermocouple's bead and a pipe's wall, K",
         "the same book, examples 5.1 and 5.4, worked to seven digits", "error"),
        ("finite-differences", "surface of thick plates, bars and balls, of the whole step",
         "Crank and Nicolson's scheme on 800 cells, which has an error of its own", "error"),
        ("volumes-series", "surface of plates, bars and balls, Biot numbers from 0.01 to 5, K",
         "finite volumes in C, extrapolated from 60 and 120 shells", "error"),
        ("carbon-steel", "specific heat and conductivity of steel, J/(kg K) and W/(m K)",
         "EN 1993-1-2:2005, clauses 3.4.1.2 and 3.4.1.3, four decimals", "error"),
        ("salt-properties", "density and specific heat of salts, kg/m³ and J/(kg K)",
         "correlations of Sandia and INL/EXT-10-18297, three decimals", "error"),
        ("salt-convective", "their viscosity and conductivity, relative",
         "correlations of Sandia and of Chang and others, Energy Procedia 69 (2015) 779, five digits", "error"),
        ("scipy-exposure", "exposure of a part that warms up, after 200 s, relative", "SciPy's `quad`", "error"),
        ("scipy-exposure-early", "the same from 0.1 s on, nm²", "the same", "error"),
        ("scipy-lift", "exposure on the way to the quench, relative", "SciPy's DOP853", "error"),
        ("scipy-sag", "exposure in a bath that sags, relative", "SciPy's DOP853", "error"),
        ("volumes-properties", "time lost by a plate to heating up, relative",
         "finite volumes in C, with properties by temperature", "error"),
        ("volumes-lift", "growth on the way to the quench of parts that are not soaked, relative",
         "finite volumes in C", "error"),
        ("volumes-still", "surface in a still bath, K",
         "finite volumes in C, with properties by temperature", "error"),
        ("volumes-transfer", "heat transfer found from a thermocouple, relative",
         "finite volumes in C, with properties by temperature", "error"),
        ("volumes-exponent", "its exponent in a still bath", "the same", "error"),
        ("volumes-course", "time lost by a part in a still bath or under frozen salt, s",
         "finite volumes in C, with properties by temperature", "error"),
        ("curve-fit-by-law", "ln k_ref and Q of a fit by another law, relative", "SciPy's `curve_fit` on each law", "error"),
        ("shape-of-law", "ln of the shape of each law", "NumPy, the likelihood written out", "error"),
        ("pool-by-law", "ln k_ref and Q of a pool by a law, relative", "SciPy's `curve_fit` on each law and model", "error"),
        ("initial-film", "square of the film before the dips, over that of the middle film",
         "NumPy, the likelihood written out", "error"),
        ("curve-fit-initial", "that film, with ln k and Q, relative", "SciPy's `curve_fit`", "error"),
        ("reader-offset", "offset of a reader, in its standard error", "NumPy, the posterior on a grid", "error"),
        ("reader-stderr", "that standard error, relative", "the same", "error"),
        ("scipy-history", "exposure of a logged temperature, relative", "SciPy's `quad`", "error"),
        ("temper-parameter", "the parameter of Hollomon and Jaffe, relative",
         "Trans. AIME 162 (1945) 223, evaluated elsewhere, ten digits", "error"),
        ("scipy-temper", "the parameter of a history, relative", "SciPy's Radau", "error"),
    ],
    "Do intervals and chances hold?": [
        ("dip-mean-3", "95 % interval of the mean time holds, scatter 3 %",
         "{simulation} made-up logs of 12 named coupons", "share"),
        ("dip-mean-6", "the same, scatter 6 %", "{simulation} logs", "share"),
        ("dip-mean-10", "the same, scatter 10 %", "{simulation} logs", "share"),
        ("dip-next-3", "interval for the next dip holds, scatter 3 %", "{simulation} logs", "share"),
        ("dip-next-6", "the same for the next dip, scatter 6 %", "{simulation} logs", "share"),
        ("dip-next-10", "the same for the next dip, scatter 10 %", "{simulation} logs", "share"),
        ("promise-mean-12", "mean time of a blue dip, 12 names from dark straw to light blue at 560 to 640 °F, 6 %",
         "{promises} logs", "share"),
        ("promise-width-12", "its half width", "their geometric mean", "share"),
        ("promise-mean-24", "the mean time from 24 such names", "{promises} logs", "share"),
        ("promise-mean-48", "from 48", "{promises} logs", "share"),
        ("promise-next-12", "interval for the next dip holds, 12 such names", "{promises} logs", "share"),
        ("promise-next-24", "the same from 24", "{promises} logs", "share"),
        ("promise-next-48", "from 48", "{promises} logs", "share"),
        ("promise-next-on-colour", "from 12 lifted as the middle of a band showed, not stated: 24 hold in 90 %, 48 in 86 %",
         "{promises} logs", "share"),
        ("promise-next-lifted", "from 12, 24 or 48 lifted so that state it: the least", "{promises} logs of each", "share"),
        ("promise-bent-lifted", "of these, called not parabolic: the most", "the same logs", "share"),
        ("promise-next-careful", "from 12, scatter 3 %", "{promises} logs", "share"),
        ("promise-next-careless", "from 12, scatter 10 %", "{promises} logs", "share"),
        ("promise-next-3", "from 3 names and from 3 thicknesses (the lower)", "twice {promises} logs", "share"),
        ("promise-width-3", "the half width of the wider", "their geometric mean", "share"),
        ("promise-free", "mean times of three films with the exponent of time free, n of 1.6 to 3, 12 names: the least",
         "{promises} logs of each", "share"),
        ("promise-one-slow", "one coupon of a steel five times slower than is usual, its order not stated",
         "{promises} logs", "share"),
        ("promise-one-usual", "one coupon of a usual steel", "{promises} logs", "share"),
        ("promise-bent-12", "logs of 12 names with n = 2.5 that are told so", "{promises} logs", "share"),
        ("promise-bent-24", "of 24 names", "{promises} logs", "share"),
        ("promise-bent-false", "logs of parabolic growth that are told so", "{promises} logs", "share"),
        ("promise-by-law", "mean times of three films by the power law with its shape fitted, n of 2 and 3, 20 names: the least",
         "{promises} logs of each", "share"),
        ("prior-false", "logs of 12 that are told to contradict the usual prior, their steels drawn from it",
         "2,000 logs", "share"),
        ("prior-other-Q", "the same of a steel with Q = 138 kJ/mol", "2,000 logs", "share"),
        ("dip-mean-noisy", "mean time, baths logged with an error of 5 °F and times of 2 s",
         "{simulation} logs, fitted by orthogonal distance", "share"),
        ("dip-mean-effective", "the same by effective variance", "the same logs", "share"),
        ("dip-mean-middles", "mean time, names as middles, scatter 6 %", "{simulation} logs", "share"),
        ("half-width-6", "half width of the interval of the mean time, names as bands, scatter 6 %",
         "the geometric mean of {simulation} logs", "share"),
        ("repeated-3x4", "mean time, 3 coupons alike at each of 4 settings, scatter 2 %",
         "the least of 540, 600 and 650 °F, {repeated} logs", "share"),
        ("repeated-3x6", "the same, 3 alike at each of 6, 3 %", "{repeated} logs", "share"),
        ("repeated-5x3", "the same, 5 alike at each of 3, 3 %", "{repeated} logs", "share"),
        ("repeated-4x4", "the same, 4 alike at each of 4, 6 %", "{repeated} logs", "share"),
        ("repeated-films", "the same three films aimed at in 4 baths, 3 %", "{repeated} logs", "share"),
        ("repeated-ways", "the first three by Huber's and Tukey's weights and by orthogonal distance",
         "the least of them", "share"),
        ("dip-mean-blunders", "mean time, one time in ten wrong by a factor of 2 to 5, robust weights",
         "twice {simulation} logs, by Huber's and Tukey's", "share"),
        ("days-mixed", "mean time, days that differ by 5 % of the film and are stated, three baths a day",
         "{habit} logs of 12 coupons", "share"),
        ("days-next", "the same for the next dip, on another day", "the same logs", "share"),
        ("days-alone", "mean time, days that differ so, one bath a day", "{habit} logs of 24", "share"),
        ("days-drift", "a drift is called in them", "the same logs", "share"),
        ("reader-same", "mean time, names given at films 10 % thinner, judged by the same eyes",
         "{habit} logs of 12 coupons", "share"),
        ("reader-others", "the same judged by other eyes, off by a share with a stated deviation of 10 %",
         "{habit} logs", "share"),
        ("reader-measured", "mean time for either, the reader's bands fitted from 3, 6 or 9 measured films of 12: the least",
         "{habit} logs of each", "share"),
        ("reader-offset-mean", "offset of a reader who is off by -10 %, of which the prior takes a tenth",
         "{habit} logs", "share"),
        ("lifted-mean", "mean time, lifted at the first sight of a colour, at its best, or at its last, as stated",
         "the least of three times {habit} logs of 24", "share"),
        ("lifted-chance", "stated chance against what came out", "the same logs", "share"),
        ("clock-rounded", "mean time, times rounded to 15 s", "{habit} logs of 24", "share"),
        ("clock-cut", "mean time, times cut to 15 s, as stated", "{habit} logs of 24", "share"),
        ("Q-bias", "mean Q of these simulations of scattered coupons, relative: the largest",
         "the Q that the logs were made with", "share"),
        ("chance-promised-6", "chance of the blue that fitted logs promise, scatter 6 %",
         "{simulation} logs, and as many dips", "share"),
        ("chance-hit-6", "the same dips that came out blue: more, as the doubt about the scatter is in the promise",
         "the same logs", "share"),
        ("dip-mean-prior", "mean time, with a prior and one to four coupons (the one nearest to its bound)",
         "{simulation} steels drawn from the prior for each", "share"),
        ("pool-many", "mean time of a pooled steel with 12 coupons", "{pool} logs", "share"),
        ("pool-few", "mean time of the steel with 4 beside it", "{pool} logs", "share"),
        ("pool-Q-drawn", "mean time of 30 steels with 1 to 12 coupons whose Qs differ by 8 kJ/mol, shrunk",
         "{pool-Q} logs", "share"),
        ("pool-Q-alike", "the same of steels with one Q", "{pool-Q} logs", "share"),
        ("anchor-far", "rate after one coupon, its film measured, in a salt that makes films grow twice or half as fast",
         "{anchor} cards", "share"),
        ("anchor-far-named", "the same by a coupon of a named colour", "{anchor} cards", "share"),
        ("anchor-honest", "rate after one coupon, its film measured, where the shift is as wide as assumed",
         "{anchor} cards", "share"),
        ("sorted-shops", "a stated chance sorts shops: dips that hit where scatter is 3 %, less those where it is 10 %",
         "{promises} logs of each", "share"),
        ("sorted-dips", "it hardly sorts the dips of one shop: the half with the higher chances hits more often by",
         "{promises} logs", "share"),
        ("chance-of-dips", "stated chance against what came out", "{dips} made-up dips of six scenes",
         "share"),
        ("chance-of-sets", "stated chance that a set matches", "{sets} made-up sets", "share"),
        ("advice-gain", "interval of the time after three advised coupons, narrower by",
         "three coupons on an even grid in the same {shops} made-up shops", "share"),
        ("advice-wider", "shops in which it is wider", "the same shops", "share"),
        ("advice-missed", "promises missed, one coupon after another from a starting card",
         "300 steels of the prior, up to 6 coupons", "share"),
        ("advice-covers", "95 % interval of the mean time holds meanwhile", "the same", "share"),
        ("advice-law", "coupons more until a fit says that x^2.5 is not parabolic, advised with the second order",
         "200 shops with six coupons", "number"),
        ("advice-law-films", "on a grid of three baths by four films", "the same", "number"),
        ("advice-law-baths", "on a grid of three baths for one film", "the same", "number"),
        ("drift-false", "stable logs in which a drift is called", "twice {drift-false} logs of 40 coupons", "share"),
        ("record-false", "records of dips that keep their promises said not to", "{record-false} records of 25 dips", "share"),
        ("cross-validation-hits", "coupons of 400 logs of 12, each predicted from the others: hits over those promised",
         "the chances promised", "share"),
        ("drift-found", "a change of 40 % is called within 8 coupons (the lower of fast and slow)",
         "twice {drift-found} logs", "share"),
    ],
    "Against the trade": [
        ("handbook-least", "Q from four handbook tables of temper colours, kJ/mol: the least",
         "57 to 138, published for iron and mild steel ([prior](../reference/prior.md) has the sources)", "number"),
        ("handbook-most", "the same: the most", "the same", "number"),
        ("handbook-fifth", "Q from a fifth table, kJ/mol",
         "the others; it spreads the same colours over a wider range", "number"),
        ("rule-of-thumb", "Q from straw at 500 °F, brown at 550 °F, blue at 650 °F in a minute, kJ/mol",
         "common practice, no source; 71 is published for mild steel in nitrate", "number"),
    ],
}


@dataclass
class Figure:
    """The worst value of one name, and its bounds."""

    value: float
    low: float
    high: float

    def add(self, value: float, low: float, high: float) -> None:
        if min(value - low, high - value) < min(self.value - self.low, self.high - self.value):
            self.value, self.low, self.high = value, low, high


def notes(results: pathlib.Path) -> list[str]:
    """All lines NAME VALUE LOW HIGH."""
    lines = []
    if (results / "c/measured.txt").exists():
        lines += (results / "c/measured.txt").read_text(encoding="utf-8").splitlines()
    if (results / "python.xml").exists():
        lines += [f"{note.get('name')} {note.get('value')}"
                  for note in xml.parse(results / "python.xml").getroot().iter("property")]
    return [line for line in lines if not line.startswith("hypothesis-")]


def figures(results: pathlib.Path) -> dict[str, Figure]:
    found: dict[str, Figure] = {}
    for line in notes(results):
        name, value, low, high = line.split()
        found.setdefault(name, Figure(float(value), float(low), float(high))).add(
            float(value), float(low), float(high))
    return found


def power(value: float) -> str:
    return f"{value:.0e}".replace("e-0", "e-")


def shown(figure: Figure, kind: str) -> str:
    """A figure as the page has it, with room for other compilers and processors."""
    if kind == "digits":
        return f"{math.floor(figure.value - 0.3)} digits or more"
    if kind == "share":
        percent = 100.0 * figure.value
        return f"{percent:.0f} %" if percent >= 5.0 else f"{percent:.1f} %"
    if kind == "number":
        return f"{figure.value:.0f}"
    room = 10.0 ** math.ceil(math.log10(3.0 * max(figure.value, 1e-16)))
    return f"below {power(min(max(room, 1e-12), figure.high))}"


def bound(figure: Figure, kind: str) -> str:
    if kind == "error":
        return f"{figure.high:.0e}".replace("e-0", "e-")
    scale, unit = (100.0, " %") if kind == "share" else (1.0, "")
    if math.isinf(figure.low):
        return f"{scale * figure.high:g}{unit} or less"
    if math.isinf(figure.high):
        return f"{scale * figure.low:g}{unit} or more"
    return f"{scale * figure.low:g} to {scale * figure.high:g}{unit}"


def page(found: dict[str, Figure]) -> str:
    counts = {name.removesuffix("-count"): f"{figure.value:,.0f}"
              for name, figure in found.items() if name.endswith("-count")}
    lines = [INTRO]
    for heading, rows in SECTIONS.items():
        lines += [f"## {heading}", "", "| what | against | found | bound |", "|---|---|---|---|"]
        lines += [f"| {what} | {against.format_map(counts)} | {shown(found[name], kind)} | "
                  f"{bound(found[name], kind)} |" for name, what, against, kind in rows]
        lines.append("")
    return "\n".join(lines) + "\n" + AFTERWORD


def main() -> int:
    found = figures(pathlib.Path(sys.argv[1]))
    wanted = [name for rows in SECTIONS.values() for name, *_ in rows]
    missing = sorted(set(wanted) - set(found))
    extra = sorted(name for name in set(found) - set(wanted) if not name.endswith("-count"))
    if "--write" in sys.argv[2:]:
        if not missing:
            PAGE.write_text(page(found), encoding="utf-8")
        print(f"not measured: {missing}" if missing else f"{PAGE.name} is written")
        return 1 if missing else 0
    checks = [(f"{name} was measured", name in found) for name in wanted]
    checks += [(f"{name} stands on the page", False) for name in extra]
    checks += [(f"{name} is {figure.value:.3g}, within {figure.low:g} to {figure.high:g}",
                figure.low <= figure.value <= figure.high) for name, figure in sorted(found.items())]
    if not missing and page(found) != PAGE.read_text(encoding="utf-8"):
        print("# the page differs in what was found; before a release run tests/accuracy.py RESULTS --write")
    print(f"1..{len(checks)}")
    for number, (words, good) in enumerate(checks, 1):
        print(f"{'ok' if good else 'not ok'} {number} - {words}")
    return 0 if all(good for _, good in checks) else 1


if __name__ == "__main__":
    sys.exit(main())
