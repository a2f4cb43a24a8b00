# SPDX-License-Identifier: GPL-3.0-or-later
"""One page for the bench: an HTML file for a phone beside the pot.

Needs Jinja2 (``pip install Jinja2``), which is imported only when a page is made.
"""
from __future__ import annotations

import base64
import functools
import hashlib
import importlib.resources
import os
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, Union

from .. import _core
from .._oxtint import lib
from ..conditions import DipOptions, check_names
from ..error import OxtintTypeError, OxtintValueError
from ..film import Film
from ..heat import PartLike
from ..plan import SetPlan
from ..steel import Steel
from ..tint import Wanted
from ..units import format_temperature
from .tables import Cautions, baths_of, plan_table, steel_table

if TYPE_CHECKING:
    from typing_extensions import Unpack

PartsLike = Mapping[str, Union[PartLike, DipOptions]]  #: parts by the name that the shop gives them

_MARGIN_K = 40.0  # of the tables, below the coldest bath of the trials
_HOTTEST_K = 930.0  # of the tables: past the limits of every salt, so that their cautions are on the page
_COUPON = "As the coupons"


def _presets(parts: PartsLike | None) -> dict[str, dict[str, Any]]:
    """What may be chosen as a part, by name: the coupons first."""
    found: dict[str, dict[str, Any]] = {_COUPON: {}}
    if parts is not None and not isinstance(parts, Mapping):
        raise OxtintTypeError(f"parts is {type(parts).__name__}, expected a mapping of names to parts")
    for name, part in (parts or {}).items():
        _core.expect(name, str, "parts")
        if name in found or not name.strip():
            raise OxtintValueError(f"parts has the name {name!r}, expected another one")
        found[name] = dict(part) if isinstance(part, Mapping) else {"part": part}
        check_names(found[name], bench_page)
    return found


def _range(steels: list[Steel], low: float | str | None, high: float | str | None,
           unit: str) -> tuple[float, float]:
    """The coldest and the hottest bath of the tables, K."""
    ranges = [steel.bath_range_K for steel in steels]
    coldest = min(one for one, _ in ranges) - _MARGIN_K if low is None else _core.kelvin(low, "low")
    hottest = max(_HOTTEST_K, *(one for _, one in ranges)) if high is None else _core.kelvin(high, "high")
    if not coldest < hottest:
        raise OxtintValueError(f"low ({format_temperature(coldest, unit)}) must be below high "
                               f"({format_temperature(hottest, unit)})")
    return coldest, hottest


def _unit(unit: str) -> str:
    if unit.upper() not in ("F", "C"):
        raise OxtintValueError(f"unit is {unit!r}, expected 'F' or 'C'")
    return unit.upper()


def _source(name: str) -> str:
    return importlib.resources.files(__name__).joinpath(name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    """How a page names the only script and the only style that it allows."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _template() -> Callable[..., str]:
    """What makes the page of its data."""
    try:
        import jinja2
    except ImportError:
        raise OxtintValueError("a page needs Jinja2: pip install Jinja2") from None
    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True,
                                     lstrip_blocks=True)
    environment.policies["json.dumps_kwargs"] = {"separators": (",", ":"), "ensure_ascii": False}
    style, script = _source("page.css"), _source("page.js")
    return functools.partial(environment.from_string(_source("page.html")).render, style=style, script=script,
                             style_hash=_hash(style), script_hash=_hash(script))


@_core.in_words
def bench_page(
    steels: Steel | Iterable[Steel],
    path: str | os.PathLike[str],
    *,
    parts: PartsLike | None = None,
    targets: Iterable[Wanted] | None = None,
    plan: SetPlan | None = None,
    low: float | str | None = None,
    high: float | str | None = None,
    unit: str = "F",
    film: Film | None = None,
    bath_wander_K: float | str = 0.0,
    time_wander_s: float | str = 0.0,
    overwrite: bool = False,
    notes: Iterable[str] = (),
    progress: Callable[[float], object] | None = None,
    **told: Unpack[DipOptions],
) -> None:
    """Write one HTML file for a phone beside the pot: choose, time, record.

    The file needs no network and no other file. It holds tables of dips, between which its script
    interpolates: within 0.3 % or half a second of Steel.dip(). It is written whole or not at all.

    Args:
        steels: the steel, or several
        path: where to; a page that is there is replaced
        parts: what can be chosen beside the coupons, by name: a part as in Steel.dip(), or a dict of what
            the dip is told: {"bezel": "6 mm", "finial": {"part": Part("14 mm", "sphere"), "lift": "4 s"}}
        targets: colours wanted, as in Film.target(); when None all bands of both orders, and the ranges of
            a card's own words
        plan: a set, shown as a timeline with the same clock
        low, high: K, or texts; coldest and hottest bath of the tables; when None 40 K below the trials, and
            930 K, past the limits of every salt
        unit: scale in which the page begins, "F" or "C"
        film: film that the targets are read with, and of the colours shown; as in Steel.dip()
        bath_wander_K, time_wander_s: as in Steel.dip()
        overwrite: whether any other file is replaced too
        notes: sentences shown at the top of the page, such as which card is missing and why
        progress: called now and then with the share done, 0 to 1; what it raises stops the work
        told: of every dip: part, lift, coupon, coupon_lift, initial, salt_bath, load_kg, last_temper: as
            in DipOptions; what `parts` says goes before it

    Raises:
        OxtintValueError: there is no steel, or what is told cannot be
        OxtintFileExistsError: there is a file that is no page of oxtint
        OxtintOSError: the file cannot be written
    """
    given = [steels] if isinstance(steels, Steel) else [
        _core.expect(one, Steel, "steels") for one in _core.listed(steels, "steels")]
    if not given:
        raise OxtintValueError("steels is empty, expected one or more")
    check_names(dict(told), bench_page)
    unit, presets, render = _unit(unit), _presets(parts), _template()
    wanted = None if targets is None else _core.listed(targets, "targets")
    _core.call(lib.oxt_file_check, _core.encode_path(path), lib.OXT_FILE_PAGE, _core.replace(overwrite))
    baths, cautions, done = baths_of(*_range(given, low, high, unit)), Cautions(), 0

    def tell() -> None:
        nonlocal done
        done += 1
        if progress is not None:
            progress(done / (len(given) * len(presets)))

    common = {"bath_wander_K": bath_wander_K, "time_wander_s": time_wander_s}
    tables = [steel_table(steel, {name: {**told, **own} for name, own in presets.items()}, common, film, wanted, baths,
                          cautions, tell) for steel in given]
    data = {"version": _core.decode(lib.oxt_version()), "unit": unit, "baths": baths, "steels": tables,
            "plan": None if plan is None else plan_table(_core.expect(plan, SetPlan, "plan"), cautions),
            "sets": cautions.sets(), "cautions": cautions.texts(),
            "notes": [_core.expect(one, str, "notes") for one in _core.listed(notes, "notes")]}
    text = render(data=data).encode()
    _core.call(lib.oxt_file_write, _core.encode_path(path), lib.OXT_FILE_PAGE, _core.replace(overwrite), text, len(text))


__all__ = ["bench_page"]
