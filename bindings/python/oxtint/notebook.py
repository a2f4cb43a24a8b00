# SPDX-License-Identifier: GPL-3.0-or-later
"""How results look in a notebook: a small table with swatches of the colours, or a picture."""
from __future__ import annotations

import io
from collections.abc import Iterable
from html import escape

import numpy as np

from . import _core
from .advise import Advice
from .dip import Dip, Dips
from .drawing.ladder import colour_ladder
from .film import Film, default_film
from .tint import Target
from .fit import Fit
from .steel import Steel
from .units import format_duration, format_temperature

Row = tuple[str, str] | tuple[str, str, str]


def _rgb(thickness_nm: float) -> str:
    red, green, blue = (round(255.0 * float(x)) for x in default_film().path_srgb(thickness_nm))
    return f"rgb({red},{green},{blue})"


def _is_default(description: str) -> bool:
    """Whether swatches, which are of the default film, show what is described; a bare thickness is."""
    return description in ("", default_film().description)


def swatch(thickness_nm: float, description: str = "") -> str:
    """A square in the colour of a film; "" for another kind of film than the default one, and beyond what
    is computed quickly."""
    if not (0.0 <= thickness_nm <= 400.0 and _is_default(description)):
        return ""
    return ('<span style="display:inline-block;width:1em;height:1em;border:1px solid #888;'
            f'background:{_rgb(thickness_nm)}" title="{thickness_nm:.1f} nm"></span> ')


def strip(low_nm: float, high_nm: float, description: str) -> str:
    """The run of colours from one film to another; "" where swatch() has none."""
    if not (0.0 <= low_nm < high_nm <= 400.0 and _is_default(description)):
        return ""
    run = ",".join(map(_rgb, np.linspace(low_nm, high_nm, 25).tolist()))
    return ('<span style="display:inline-block;width:8em;height:1em;border:1px solid #888;'
            f'background:linear-gradient(to right,{run})"></span> ')


def table(title: str, rows: Iterable[Row], drawn: str = "") -> str:
    """A title, and lines of two cells; all text is escaped.

    What is drawn before the title, or, as a third item of a row, before its value, is HTML of this
    module.
    """
    body = "".join(f"<tr><th>{escape(row[0])}</th><td>{row[2] if len(row) == 3 else ''}"
                   f"{escape(row[1])}</td></tr>" for row in rows)
    return f"<table><caption>{drawn}{escape(title)}</caption>{body}</table>"


@_core.as_png.register
def _ladder_png(film: Film) -> bytes | None:
    """The ladder of a film as a PNG, None where matplotlib is missing."""
    try:
        from matplotlib.figure import Figure
    except ImportError:
        return None
    figure, data = Figure(figsize=(3.2, 5.5), layout="constrained"), io.BytesIO()
    colour_ladder(film, ax=figure.add_subplot())
    figure.savefig(data, format="png", dpi=80)
    return data.getvalue()


def temperature(kelvin: float) -> str:
    """A temperature as all displays write it: in both scales of the trade, whatever was typed."""
    return f"{format_temperature(kelvin, 'F')} ({format_temperature(kelvin, 'C')})"


def grid(heads: Iterable[str], rows: Iterable[tuple[str, ...]], drawn: Iterable[str]) -> str:
    """A table with a line of heads; all text is escaped. What is drawn before the first cell of each row
    is HTML of this module."""
    head = "".join(f"<th>{escape(text)}</th>" for text in heads)
    body = "".join(f"<tr>{''.join(f'<td>{before}{escape(text)}</td>' for before, text in zip((square, *[''] * len(row)), row))}</tr>"
                   for square, row in zip(drawn, rows))
    return f"<table><tr>{head}</tr>{body}</table>"


def span(times: tuple[float, float]) -> str:
    """Two times, as read off a clock."""
    return " to ".join(map(format_duration, times))


@_core.as_html.register
def _target(target: Target) -> str:
    return table(target.text, [("aim", f"{target.aim_nm:.1f} nm"),
                             ("shows from", f"{target.low_nm:.1f} to {target.high_nm:.1f} nm")],
                 swatch(target.aim_nm, target.description))


@_core.as_html.register
def _dip(dip: Dip) -> str:
    chance = "over 99 %" if dip.chance > 0.995 else f"{100.0 * dip.chance:.0f} %"

    return table(
        f"{dip.target.text}: lift after {format_duration(dip.time_s)}",
        [("bath", temperature(dip.bath_K)), ("part", dip.part_text),
         ("colour visible from", span((dip.earliest_s, dip.latest_s))),
         (f"lift-time uncertainty, fit only ({100.0 * dip.confidence:g} %)", span(dip.interval_s)),
         (f"lift-time uncertainty, next dip ({100.0 * dip.confidence:g} %)",
          span(dip.next_interval_s)),
         ("chance of the wanted colour", chance),
         *(("caution", caution.brief) for caution in dip.cautions)],
        swatch(dip.target.aim_nm, dip.target.description))


@_core.as_html.register
def _dips(dips: Dips) -> str:
    return grid(("target", "bath", "lift after", "colour visible from", "chance"), [
        (dip.target.text, temperature(dip.bath_K), format_duration(dip.time_s),
         span((dip.earliest_s, dip.latest_s)), f"{100.0 * dip.chance:.0f} %") for dip in dips],
        [swatch(dip.target.aim_nm, dip.target.description) for dip in dips])


@_core.as_html.register
def _steel(steel: Steel) -> str:
    low, high = map(temperature, steel.bath_range_K)
    thin, thick = steel._fields["thickness_low_nm"], steel._fields["thickness_high_nm"]
    return table(steel.text,
                 [("k_ref", f"{steel.k_ref_nm2_per_s:.4g} nm²/s at {temperature(steel.T_ref_K)}"),
                  ("Q", f"{steel.Q_J_per_mol / 1e3:.3g} kJ/mol"), ("scatter", f"{100 * steel.scatter:.1f} %"),
                  ("trials", f"{steel._fields['trial_count']}, {low} to {high}"),
                  ("films", f"{thin:.0f} to {thick:.0f} nm",
                   strip(thin, thick, str(steel._fields["description"])))])


@_core.as_html.register
def _fit(fit: Fit) -> str:
    values = fit.steel.to_dict()
    thin, thick = values["thickness_low_nm"], values["thickness_high_nm"]
    rows: list[Row] = [
        ("k_ref", f"{fit.k_ref_nm2_per_s:.4g} ± {fit.stderr.k_ref_nm2_per_s:.2g} nm²/s at "
         f"{temperature(fit.T_ref_K)}"),
        ("Q", f"{fit.Q_J_per_mol / 1e3:.3g} ± {fit.stderr.Q_J_per_mol / 1e3:.2g} kJ/mol"),
        ("scatter", f"{100 * fit.scatter:.1f} %"),
        ("films", f"{thin:.0f} to {thick:.0f} nm", strip(thin, thick, values["description"]))]
    rows += [("warning", text) for text in fit.warnings]
    return table(f"{fit.steel.text}: {fit.used_count} of {fit.row_count} trial{'s' * (fit.row_count != 1)}", rows)


@_core.as_html.register
def _advice(advice: Advice) -> str:
    return table("the next coupons", [
        (f"{number}", f"{temperature(coupon.bath_K)}, lift after "
         f"{format_duration(coupon.time_s)}: expect {coupon.label}, leaves "
         f"{100.0 * coupon.interval_ratio:.0f} % of the interval",
         swatch(coupon.thickness_nm, advice._description))
        for number, coupon in enumerate(advice.coupons, 1)])
