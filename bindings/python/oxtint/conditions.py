# SPDX-License-Identifier: GPL-3.0-or-later
"""What a dip may be told beside its target and its bath; declared here once for all that take it."""
from __future__ import annotations

import difflib
import inspect
from collections.abc import Callable
from typing import Any, TypedDict, Union

from . import _core
from ._core import call
from ._oxtint import lib
from .bath import Bath
from .error import OxtintTypeError, OxtintValueError
from .film import Film, default_film
from .tint import Wanted
from .growth import steel_of
from .heat import Lift, LiftLike, Part, PartLike

LastTemper = tuple[Union[float, str], Union[float, str]]


class DipOptions(TypedDict, total=False):
    """What Steel.dip(), bath_for(), most_forgiving(), baths() and a SetPart may be told by name.

    Attributes:
        part: what goes in: a Part, or the thickness of a plate of steel in m or as a text such as
            "6 mm"; like the coupons when None, at bath temperature at once when Part(0)
        lift: its way to the quench: a Lift, or its delay in s or as a text such as "4 s"; as the
            coupons' when None
        coupon: what the trials were run with, as part, for a card that does not state it; at bath
            temperature at once when None
        coupon_lift: its way to the quench, as lift; quenched at once when None
        initial: film already there: nm, or a colour as a target; bare steel when None
        salt_bath: its thermometer, wander and salt; as the trials' when None
        load_kg: kg, all such parts that go in together, and cool a salt_bath of limited salt
        last_temper: of a hardened part, such as ("400 F", "2 h"); a dip that would soften it
            carries the caution HARDENED
        free_exponent: whether the intervals do without the parabolic law: the film grows as time^m, with
            m known from the trials and beforehand as 1/2 within 0.1
        reader_sd: standard deviation of ln thickness by which whoever judges the dip may see each colour
            begin and end elsewhere than whoever read the trials, 0 to 1, such as 0.1; 0: the same eyes
    """

    part: PartLike | None
    lift: LiftLike | None
    coupon: PartLike | None
    coupon_lift: LiftLike | None
    initial: Wanted | None
    salt_bath: Bath | None
    load_kg: float
    last_temper: LastTemper | None
    free_exponent: bool
    reader_sd: float


def check_names(told: dict[str, Any], function: Callable[..., Any], options: Any = DipOptions) -> None:
    """Refuse a name that a dip, or whatever else has such options, may not be told; those that the function
    declares itself, by a default, are among the expected ones."""
    for name in told:
        if name not in options.__annotations__:
            own = [one.name for one in inspect.signature(function).parameters.values()
                   if one.default is not one.empty]
            known = [*options.__annotations__, *own]
            near = difflib.get_close_matches(name, known, 1)
            raise OxtintTypeError(f"{function.__name__}() got an unexpected argument {name!r}, expected some of "
                            + ", ".join(known) + (f"; did you mean {near[0]!r}?" if near else ""))


def film_of(film: Film | None, steel: Any = None) -> Film:
    """A film; when None the one as tabulated, in the words of a steel's card where there is a steel."""
    if film is not None:
        return _core.expect(film, Film, "film")
    return default_film() if steel is None else _core.expect(steel_of(steel).film, Film, "film")


def last_temper_of(last: LastTemper, name: str) -> tuple[float, float]:
    """Temperature (K) and time (s) of a part's last temper."""
    if not isinstance(last, (tuple, list)) or len(last) != 2:
        raise OxtintValueError(
            f"{name} is {last!r}, expected a temperature and a time such as ('400 F', '2 h')")
    last_K, last_s = _core.kelvin(last[0], name), _core.seconds(last[1], name)
    if not (last_K > 0.0 and last_s > 0.0):
        raise OxtintValueError(f"{name} is {last!r}, expected both above 0")
    return last_K, last_s


def _film_there(film: Film, initial: Wanted) -> Any:
    """A film already there: a thickness known exactly, or whatever else may stand for a target."""
    if isinstance(initial, (int, float)):
        there = _core.new_struct("oxt_target")
        call(lib.oxt_tint_target_of_thickness, initial, initial, initial, there)
        return there
    return film._target(initial, "initial")._struct()


def point_to(
    options: Any,
    part: PartLike | None,
    lift: LiftLike | None,
    coupon: PartLike | None,
    coupon_lift: LiftLike | None,
    salt_bath: Bath | None,
) -> list[Any]:
    """Let options of C point to the structs of these; what is returned must outlive their use."""
    kept: list[Any] = []
    for name, part_of in (("part", part), ("coupon", coupon)):
        if part_of is not None:
            kept.append(Part._read(part_of, name)._part)
            setattr(options, name, kept[-1])
    for name, lift_of in (("lift", lift), ("coupon_lift", coupon_lift)):
        if lift_of is not None:
            kept.append(Lift._read(lift_of, name)._lift)
            setattr(options, name, kept[-1])
    if salt_bath is not None:
        kept.append(_core.expect(salt_bath, Bath, "salt_bath")._bath)
        options.salt_bath = kept[-1]
    return kept


def options_of(film: Film, told: DipOptions, function: Callable[..., Any]) -> tuple[Any, list[Any]]:
    """An oxt_dip_options, and what must be kept as long as it."""
    options = _core.new_struct("oxt_dip_options")
    if not told:
        return options, []
    check_names(dict(told), function)
    kept = point_to(options, told.get("part"), told.get("lift"), told.get("coupon"),
                    told.get("coupon_lift"), told.get("salt_bath"))
    initial, last_temper = told.get("initial"), told.get("last_temper")
    if initial is not None:
        kept.append(_film_there(film, initial))
        options.initial = kept[-1]
    options.load_kg = _core.number(told.get("load_kg", 0.0), "load_kg")
    options.free_exponent = _core.truth(told.get("free_exponent", False), "free_exponent")
    options.reader_sd = _core.number(told.get("reader_sd", 0.0), "reader_sd")
    if last_temper is not None:
        options.last_temper_K, options.last_temper_s = last_temper_of(last_temper, "last_temper")
    return options, kept


def put_spread(options: Any, bath_wander_K: float | str, time_wander_s: float | str) -> None:
    """The wander of bath and clock, into options of C."""
    options.bath_wander_K = _core.kelvin_difference(bath_wander_K, "bath_wander_K")
    options.time_wander_s = _core.seconds(time_wander_s, "time_wander_s")
