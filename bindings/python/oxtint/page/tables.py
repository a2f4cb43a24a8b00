# SPDX-License-Identifier: GPL-3.0-or-later
"""What the page for the bench holds: tables of dips, as C predicts them, that its script interpolates."""
from __future__ import annotations

import dataclasses
import functools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from ..caution import Caution, in_order
from ..conditions import film_of
from ..dip import Dip
from ..error import OxtintError
from ..film import Film, default_film
from ..heat import SHAPES, Part
from ..plan import SetPart, SetPlan
from ..steel import Steel
from ..tint import Target, Wanted

#: 1/K, between two baths of the tables: 9 K at 600 K. Between them a cubic in 1/T is within 0.3 % of ln time.
_STEP_per_K = 2.5e-5
#: Least ratio of one film of the tables to the next that has another put between.
_RATIO = 1.2
_THINNEST_nm = 3.0
_STEP_K = 5.0  # the change of a bath for which the delay of a part is taken
_SURE_K = 0.01  # how exactly the bath is known in which a caution begins


SHAPE_NAMES = tuple(SHAPES)


class Cautions:
    """The cautions of all tables, each once, and the sets of them that occur."""

    def __init__(self) -> None:
        self._sets: list[tuple[str, ...]] = []
        self._found: set[Caution] = set()
        self._numbers: dict[tuple[str, ...], int] = {}

    def number(self, cautions: Iterable[Caution]) -> int:
        """The number of a set of cautions, in the order in which they are read."""
        found = tuple(cautions)
        names = tuple(one.name for one in found)
        if names not in self._numbers:
            self._numbers[names] = len(self._sets)
            self._sets.append(names)
            self._found |= set(found)
        return self._numbers[names]

    def texts(self) -> list[dict[str, str]]:
        """All that occur, in the order in which they are read."""
        return [{"name": one.name, "brief": one.brief, "text": one.text, "kind": one.kind}
                for one in in_order(self._found)]

    def sets(self) -> list[list[int]]:
        """The sets, each as places in texts()."""
        places = {one["name"]: place for place, one in enumerate(self.texts())}
        return [[places[name] for name in names] for names in self._sets]


def baths_of(low_K: float, high_K: float) -> list[float]:
    """Baths evenly spaced in 1/T, the coldest first; five or more, as a cubic needs four."""
    count = max(5, math.ceil((1.0 / low_K - 1.0 / high_K) / _STEP_per_K) + 1)
    return [float(1.0 / inverse) for inverse in np.linspace(1.0 / low_K, 1.0 / high_K, count)]


def _short(value: float | None, digits: int = 4) -> float | None:
    """A number with so many figures, four being 0.05 %, which keeps the page small; None where there is none."""
    if value is None or not math.isfinite(value):
        return None
    short = float(f"{value:.{digits}g}")
    return int(short) if short == int(short) else short


def _hex(film: Film, thickness_nm: float) -> str:
    return "#" + "".join(f"{round(255.0 * float(part)):02x}" for part in film.srgb(thickness_nm))


def _tints(film: Film) -> list[dict[str, Any]]:
    """The bands by which films are named and coupons recorded; `label` is what every log may hold."""
    plain = default_film().tints()
    return [{"name": tint.label, "label": plain[tint.index].label, "order": tint.order,
             "low": _short(tint.low_nm), "high": _short(tint.high_nm),
             "rgb": _hex(film, tint.centre_nm if tint.index else 0.0)} for tint in film.tints()]


def _wanted(film: Film, steel: Steel, targets: Sequence[Wanted] | None) -> list[Target]:
    """The targets that are asked for; when none are, every band but bare steel, and the ranges of the shop's own
    words."""
    if targets is not None:
        return [film._target(target, "targets") for target in targets]
    ranges = [word.word for word in steel.words or () if word.index is None]
    return [film.target(tint.label) for tint in film.tints() if tint.index] + [film.target(word) for word in ranges]


def _films(targets: Sequence[Target], film: Film) -> list[float]:
    """Films (nm) of which the tables hold the time: those that bound the targets, their aims, and enough between
    them for the run of colours."""
    wanted = {_THINNEST_nm, *(tint.high_nm for tint in film.tints())}
    for target in targets:
        wanted |= {target.low_nm, target.aim_nm, target.high_nm}
    rising = sorted(one for one in wanted if one >= _THINNEST_nm)
    films: list[float] = []
    for thin, thick in zip(rising, rising[1:]):
        between = max(1, math.ceil(math.log(thick / thin) / math.log(_RATIO) - 1e-9))
        films += [thin * (thick / thin) ** (part / between) for part in range(between)]
    return [*films, rising[-1]]


def _in_threes(films: Sequence[float]) -> list[Target]:
    """Targets whose low, aim and high are the films one after another: one dip gives three times."""
    padded = [*films, *[films[-1]] * (-len(films) % 3)]
    return [Target(low_nm=padded[i], aim_nm=padded[i + 1], high_nm=padded[i + 2], other_nm=math.nan, order=0,
                   text=f"{padded[i + 1]:.4g} nm", description="") for i in range(0, len(padded), 3)]


def _tried(predict: Callable[..., Dip], *asked: Any) -> Dip | None:
    """A dip, or None where there is none: a target out of reach in this bath, or a coupon that would have been lifted
    before it was hot."""
    try:
        return predict(*asked)
    except OxtintError as error:
        if error.code != "EUNREACHABLE" and (error.code, error.parameter) != ("EDOMAIN", "coupon"):
            raise
        return None


def curve_of(films: Sequence[float], predict: Callable[[Target], Dip]) -> list[float | None]:
    """When to lift (s) for each film, in one bath; None where it is out of reach."""
    times: list[float | None] = []
    for target in _in_threes(films):
        dip = _tried(predict, target)
        if dip is not None:
            times += (dip.earliest_s, dip.time_s, dip.latest_s)
            continue
        alone = (dataclasses.replace(target, low_nm=film, aim_nm=film, high_nm=film)
                 for film in (target.low_nm, target.aim_nm, target.high_nm))
        times += (None if found is None else found.time_s for found in (_tried(predict, one) for one in alone))
    return [_short(time) for time in times[:len(films)]]


def _spans(baths: Sequence[float], dips: Sequence[Dip | None], predict: Callable[[float], Dip], cautions: Cautions) -> list[tuple[float, int]]:
    """From which bath (K) on which set of cautions applies; -1 where there is no dip."""
    def number(dip: Dip | None) -> int:
        return -1 if dip is None else cautions.number(dip.cautions)

    def walk(low_K: float, low: int, high_K: float, high: int) -> None:
        if low == high:
            return
        if high_K - low_K <= _SURE_K:
            spans.append((round(high_K, 2), high))
            return
        middle_K = 0.5 * (low_K + high_K)
        middle = number(_tried(predict, middle_K))
        walk(low_K, low, middle_K, middle)
        walk(middle_K, middle, high_K, high)

    spans = [(round(baths[0], 2), number(dips[0]))]
    for i in range(len(baths) - 1):
        walk(baths[i], number(dips[i]), baths[i + 1], number(dips[i + 1]))
    return spans


def _part_of(told: Mapping[str, Any], steel: Steel) -> Part | None:
    """The part that a dip is of; None where it is like the coupons of a card that states none."""
    return Part._read(told["part"], "part") if told.get("part") is not None else steel.coupon


def _part_fields(dip: Dip | None, part: Part | None) -> dict[str, Any]:
    """What a coupon of this part is recorded with: nothing where it is like the coupons of a card that states
    none."""
    fields: dict[str, Any] = {"text": dip.part_text if dip is not None else ""}
    if dip is not None and dip.part_source != "inside" and dip.part_size_m > 0.0:
        fields |= {"part_mm": _short(1e3 * dip.part_size_m, 6), "shape": dip.part_shape}
        if part is not None:
            fields |= {"start_K": _short(part._part.start_K, 6), "transfer": _short(part._part.transfer_W_per_m2K, 6)}
    if dip is not None and dip.lift_source != "inside" and dip.lift_s > 0.0:
        fields["lift_s"] = _short(dip.lift_s, 6)
    return fields


def _warming(steel: Steel, part: Part | None, target: Target, common: Mapping[str, Any], film: Film,
             baths: Sequence[float]) -> dict[str, Any] | None:
    """How a part warms up, for a bath that changes under it: its surface (K) in the coldest and the hottest bath at
    some times, between which it is linear, and in each bath by how much (s for each K) it is later for being colder.
    None for a part that is at bath temperature at once."""
    if part is None or not part._part.size_m:
        return None
    own, delays = part._part, []
    for bath_K in baths:
        warm = Part(own.size_m, SHAPE_NAMES[own.shape], start=bath_K - _STEP_K,
                    transfer_W_per_m2K=own.transfer_W_per_m2K, density_kg_per_m3=own.density_kg_per_m3,
                    heat_J_per_kgK=own.heat_J_per_kgK or None, conductivity_W_per_mK=own.conductivity_W_per_mK or None)
        dip = _tried(functools.partial(steel.dip, film=film, **{**common, "part": warm}), target, bath_K)
        delays.append(0 if dip is None else _short(dip.lag_s / _STEP_K, 3))
    tau_s = part.warming(baths[-1]).tau_s
    times = [tau_s * place * place / 32.0 for place in range(17)]  # to 8 time constants
    return {"delays": delays, "times": [_short(time, 4) for time in times],
            **{name: [_short(part.surface_temperature(bath_K, time), 6) for time in times]
               for name, bath_K in (("cold", baths[0]), ("hot", baths[-1]))}}


def _part_table(steel: Steel, name: str, told: Mapping[str, Any], common: Mapping[str, Any], film: Film,
                targets: Sequence[Target], films: Sequence[float], baths: Sequence[float],
                cautions: Cautions) -> dict[str, Any]:
    """The tables of one part: times by film and bath, and what else there is to each target."""
    predict = functools.partial(steel.dip, film=film, **common, **told)
    times = [curve_of(films, functools.partial(predict, bath=bath_K)) for bath_K in baths]
    rows, some = [], None
    for target in targets:
        dips = [_tried(predict, target, bath_K) for bath_K in baths]
        some = next((dip for dip in dips if dip is not None), some)
        spans = _spans(baths, dips, functools.partial(predict, target), cautions)
        rows.append({"early": [None if dip is None else _short(dip.next_interval_s[0], 4) for dip in dips],
                     "late": [None if dip is None else _short(dip.next_interval_s[1], 4) for dip in dips],
                     "chance": [None if dip is None else _short(dip.chance, 3) for dip in dips],
                     "cautions": spans})
    part = _part_of(told, steel)
    warming = _warming(steel, part, targets[-1], {**common, **told}, film, baths)
    return {"name": name, **_part_fields(some, part), "targets": rows, "warming": warming,
            "times": [list(column) for column in zip(*times)]}


def steel_table(steel: Steel, presets: Mapping[str, Mapping[str, Any]], common: Mapping[str, Any],
                film: Film | None, targets: Sequence[Wanted] | None, baths: Sequence[float],
                cautions: Cautions, progress: Callable[[], None]) -> dict[str, Any]:
    """All that the page knows of one steel."""
    chosen = film_of(film, steel)
    wanted = _wanted(chosen, steel, targets)
    films = _films(wanted, chosen)
    values = steel.to_dict()
    parts = []
    for name, told in presets.items():
        parts.append(_part_table(steel, name, told, common, chosen, wanted, films, baths, cautions))
        progress()
    return {
        "text": steel.text, "name": steel.name, "finish": steel.finish, "origin": values["origin"],
        "trials": values["trial_count"], "low": _short(values["bath_low_K"], 7),
        "high": _short(values["bath_high_K"], 7),
        "tints": _tints(chosen), "colours": [_hex(chosen, nm) for nm in range(math.ceil(films[-1]) + 1)],
        "films": [_short(one, 7) for one in films],
        "targets": [{"name": target.text, "order": target.order, "rgb": _hex(chosen, target.aim_nm),
                     "at": [_nearest(films, one) for one in (target.low_nm, target.aim_nm, target.high_nm)]}
                    for target in wanted],
        "parts": parts}


def _nearest(films: Sequence[float], thickness_nm: float) -> int:
    return min(range(len(films)), key=lambda index: abs(films[index] - thickness_nm))


def plan_table(plan: SetPlan, cautions: Cautions) -> dict[str, Any]:
    """A planned set, each part with the run of its colours in the bath of the set."""
    given: Sequence[SetPart] = plan._made_by[1][0]
    steps = []
    for step in plan.steps:
        part = given[step.part]
        film = film_of(part.film, part.steel)
        films = _films([step.dip.target], film)
        times = curve_of(films, functools.partial(part.steel.dip, bath=plan.bath_K, film=film, **part.told))
        steps.append({
            "name": step.name, "steel": part.steel.name, "finish": part.steel.finish, "target": step.dip.target.text,
            "rgb": _hex(film, step.dip.target.aim_nm), "enter": _short(step.enter_s, 7),
            "time": _short(step.dip.time_s), "earliest": _short(step.dip.earliest_s),
            "latest": _short(step.dip.latest_s), "chance": _short(step.dip.chance, 3),
            "part": _part_fields(step.dip, _part_of(part.told, part.steel)),
            "tints": _tints(film), "colours": [_hex(film, nm) for nm in range(math.ceil(films[-1]) + 1)],
            "films": [_short(one, 7) for one in films], "times": times})
    return {"bath": _short(plan.bath_K, 7), "chance": _short(plan.chance_targets, 3),
            "match": _short(plan.chance_match, 3), "tolerance": plan.tolerance,
            "cautions": cautions.number(plan.cautions), "steps": steps}
