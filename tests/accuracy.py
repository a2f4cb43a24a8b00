# SPDX-License-Identifier: GPL-3.0-or-later
"""Write or check docs/accuracy.md from what the tests measured.

    python tests/accuracy.py RESULTS           check; TAP, one test per figure and one for the page
    python tests/accuracy.py RESULTS --write   write the page

RESULTS is what tests/run.sh leaves in build/results: c/measured.txt, which measured() of
tests/c/support.c writes, and python.xml with the properties of the fixture `measured`. A line of either
is NAME VALUE LOW HIGH; of several lines of one name the worst counts.

Figures vary a little with compiler and processor. One that stands on the page is kept while it is true
and not idle; otherwise the page is stale.
"""
import math
import pathlib
import re
import sys
import xml.etree.ElementTree as xml
from dataclasses import dataclass

PAGE = pathlib.Path(__file__).resolve().parent.parent / "docs/accuracy.md"

INTRO = """\
<!-- Made by tests/accuracy.py from what the tests measured; do not edit. -->
# Accuracy

What the tests check against something outside the library, with the figure they measured and the bound
at which they fail. Every run of `tests/run.sh` measures all of it again and fails where a figure of this page
is no longer true. Differences are the largest that were found, rounded up; "rounding" is less than
1e-12. What a published number proves depends on its own digits: a difference of half a unit in the last
printed digit is the best there is.

Agreement with mathematics and with other programs says that the sums are right. Whether a steel grows as the
[model](model.md) says is a question for coupons; [laws](laws.md) asks it of a log.
"""

# Heading -> rows: name of the figure, what was checked, against what, how it is shown.
SECTIONS: dict[str, list[tuple[str, str, str, str]]] = {
    "Least squares": [
        ("nist-nonlinear", "constants of 14 nonlinear problems, from both published starts",
         "certified values, NIST/ITL Statistical Reference Datasets (`tests/data/nist_*.csv` names them)",
         "digits"),
        ("nist-linear", "the linear problems Norris and NoInt1", "the same collection", "digits"),
        ("nist-longley", "Longley's linear problem, by both ways of solving", "the same collection",
         "digits"),
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
        ("cie-whites", "chromaticities of the illuminants",
         "CIE 15:2018, four decimals, from memory", "error"),
        ("colour-science-lab", "Lab of films in seven lights, for both observers",
         "colour-science, its tables and sums", "error"),
        ("ciede2000-pairs", "CIEDE2000 of all 34 pairs",
         "Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21, four decimals", "error"),
        ("colour-science-ciede2000", "CIEDE2000 of 500 random pairs", "colour-science", "error"),
        ("colour-science-adaptation", "adaptation by CAT16", "colour-science", "error"),
        ("colour-science-srgb", "sRGB, 0 to 1", "colour-science, whose matrix has more digits", "error"),
    ],
    "Heat and histories": [
        ("heat-roots", "first roots of plate, cylinder and sphere, relative",
         "the equations of Incropera and DeWitt, table 5.1, solved to 30 digits", "error"),
        ("heat-textbook", "a thermocouple's bead and a pipe's wall, K",
         "the same book, examples 5.1 and 5.4, worked to seven digits", "error"),
        ("finite-differences", "surface of thick plates, bars and balls, of the whole step",
         "Crank and Nicolson's scheme on 800 cells, which has an error of its own", "error"),
        ("carbon-steel", "specific heat and conductivity of steel, J/(kg K) and W/(m K)",
         "EN 1993-1-2:2005, clauses 3.4.1.2 and 3.4.1.3, four decimals", "error"),
        ("salt-properties", "density and specific heat of salts, kg/m³ and J/(kg K)",
         "correlations of Sandia and INL/EXT-10-18297, three decimals", "error"),
        ("scipy-exposure", "exposure of a part that warms up, relative", "SciPy's `quad`", "error"),
        ("scipy-lift", "exposure on the way to the quench, relative", "SciPy's DOP853", "error"),
        ("scipy-sag", "exposure in a bath that sags, relative", "SciPy's DOP853", "error"),
        ("scipy-history", "exposure of a logged temperature, relative", "SciPy's `quad`", "error"),
        ("temper-parameter", "the parameter of Hollomon and Jaffe, relative",
         "Trans. AIME 162 (1945) 223, evaluated elsewhere, ten digits", "error"),
        ("scipy-temper", "the parameter of a history, relative", "SciPy's Radau", "error"),
    ],
    "Do intervals and chances hold?": [
        ("dip-mean-3", "95 % interval of the mean time holds, scatter 3 %",
         "2,000 made-up logs of 12 named coupons", "share"),
        ("dip-mean-6", "the same, scatter 6 %", "2,000 logs", "share"),
        ("dip-mean-10", "the same, scatter 10 %", "2,000 logs", "share"),
        ("dip-next-3", "interval for the next dip holds, scatter 3 %", "2,000 logs", "share"),
        ("dip-next-6", "the same for the next dip, scatter 6 %", "2,000 logs", "share"),
        ("dip-next-10", "the same for the next dip, scatter 10 %", "2,000 logs", "share"),
        ("dip-mean-noisy", "mean time, baths logged with an error of 5 °F and times of 2 s",
         "2,000 logs, fitted by orthogonal distance", "share"),
        ("dip-mean-effective", "the same by effective variance", "the same logs", "share"),
        ("dip-mean-bands", "mean time, names as bands, scatter 6 %", "2,000 logs", "share"),
        ("dip-mean-blunders", "mean time, one time in ten wrong by a factor of 2 to 5, robust weights",
         "twice 2,000 logs, by Huber's and Tukey's", "share"),
        ("Q-bias", "mean Q of all these simulations, relative", "the Q that the logs were made with",
         "share"),
        ("dip-mean-prior", "mean time, with a prior and one to four coupons (the one nearest to its bound)",
         "2,000 steels drawn from the prior for each", "share"),
        ("pool-many", "mean time of a pooled steel with 12 coupons", "1,200 logs", "share"),
        ("pool-few", "mean time of the steel with 4 beside it", "1,200 logs", "share"),
        ("chance-of-dips", "stated chance against what came out", "5,000 made-up dips of six scenes",
         "share"),
        ("chance-of-sets", "stated chance that a set matches", "5,000 made-up sets", "share"),
        ("advice-gain", "interval of the time after three advised coupons, narrower by",
         "three coupons on an even grid in the same 500 made-up shops", "share"),
        ("advice-wider", "shops in which it is wider", "the same shops", "share"),
        ("drift-false", "stable logs in which a drift is called", "twice 3,000 logs of 40 coupons", "share"),
        ("drift-found", "a change of 40 % is called within 8 coupons (the lower of fast and slow)",
         "twice 500 logs", "share"),
    ],
    "Against the trade": [
        ("handbook-least", "Q from four handbook tables of temper colours, kJ/mol: the least",
         "57 to 172, published for iron and mild steel ([prior](prior.md) has the sources)", "number"),
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


def one_digit_up(value: float) -> str:
    """Rounded up to one digit, with a fifth to spare."""
    ten = 10.0 ** math.floor(math.log10(1.2 * value))
    return f"{math.ceil(1.2 * value / ten) * ten:.0e}".replace("e-0", "e-")


def shown(figure: Figure, kind: str) -> str:
    """A figure as the page has it."""
    if kind == "digits":
        return f"{math.floor(figure.value)} digits"
    if kind == "share":
        return f"{100.0 * figure.value:.1f} %"
    if kind == "number":
        return f"{figure.value:.1f}"
    if figure.value < 1e-12:
        return "rounding"
    up = one_digit_up(figure.value)
    return up if float(up) <= figure.high else f"{figure.high:.0e}".replace("e-0", "e-")


def holds(text: str, figure: Figure, kind: str) -> bool:
    """Whether a figure that stands on the page is true, and not idle."""
    if text == "rounding":
        return kind == "error" and figure.value < 1e-12
    form = {"digits": r"\d+ digits", "share": r"[\d.]+ %", "number": r"[\d.]+", "error": r"\de-\d+"}
    if not re.fullmatch(form[kind], text):
        return False
    stated = float(text.split()[0])
    if kind == "digits":
        return stated <= figure.value < stated + 2.0
    if kind == "share":
        return abs(100.0 * figure.value - stated) <= 0.5
    if kind == "number":
        return abs(figure.value - stated) <= 0.01 * stated
    return 0.02 * stated <= figure.value <= stated * (1.0 + 1e-4)


def bound(figure: Figure, kind: str) -> str:
    if kind == "error":
        return f"{figure.high:.0e}".replace("e-0", "e-")
    scale, unit = (100.0, " %") if kind == "share" else (1.0, "")
    if math.isinf(figure.low):
        return f"{scale * figure.high:g}{unit} or less"
    if math.isinf(figure.high):
        return f"{scale * figure.low:g}{unit} or more"
    return f"{scale * figure.low:g} to {scale * figure.high:g}{unit}"


def page(found: dict[str, Figure], old: str) -> str:
    """The page; figures of the old one that hold are kept."""
    rows_of_old = (re.split(r" \| ", line.strip("| ")) for line in old.splitlines() if line[:2] == "| ")
    stated = {row[0]: row[2] for row in rows_of_old if len(row) == 4}
    lines = [INTRO]
    for heading, rows in SECTIONS.items():
        lines += [f"## {heading}", "", "| what | against | measured | bound |", "|---|---|---|---|"]
        for name, what, against, kind in rows:
            kept = stated.get(what, "")
            figure = found[name]
            number = kept if holds(kept, figure, kind) else shown(figure, kind)
            lines.append(f"| {what} | {against} | {number} | {bound(figure, kind)} |")
        lines.append("")
    return "\n".join(lines)


def main() -> int:
    found = figures(pathlib.Path(sys.argv[1]))
    wanted = [name for rows in SECTIONS.values() for name, *_ in rows]
    old = PAGE.read_text(encoding="utf-8") if PAGE.exists() else ""
    missing = sorted(set(wanted) - set(found))
    checks = [(f"{name} was measured", name in found) for name in wanted]
    checks += [(f"{name} stands on the page", name in wanted) for name in sorted(found)]
    new = old if missing else page(found, old)
    if "--write" in sys.argv[2:]:
        PAGE.write_text(new, encoding="utf-8")
        print(f"not measured: {missing}" if missing else f"{PAGE.name} is written")
        return 1 if missing else 0
    checks.append((f"{PAGE.name} says what was measured; else run tests/accuracy.py RESULTS --write",
                   not missing and new == old))
    print(f"1..{len(checks)}")
    for number, (words, good) in enumerate(checks, 1):
        print(f"{'ok' if good else 'not ok'} {number} - {words}")
    return 0 if all(good for _, good in checks) else 1


if __name__ == "__main__":
    sys.exit(main())
