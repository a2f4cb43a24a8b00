# SPDX-License-Identifier: GPL-3.0-or-later
"""Several dips at once: the most forgiving bath, and a set of parts to one colour."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Union

from . import _core
from ._core import call
from ._oxtint import ffi, lib
from .conditions import DipOptions, check_names, film_of, options_of, put_spread
from .error import OxtintTypeError, OxtintValueError
from .film import Film
from .tint import Wanted
from .caution import Caution, cautions_of
from .dip import Dip
from .steel import Steel
from .units import format_duration, format_temperature

if TYPE_CHECKING:
    from typing_extensions import Unpack


class SetPart(_core.Frozen):
    """One part of a set; the arguments are those of Steel.dip(). It never changes.

    Attributes:
        name: what it is called at the bench
        steel: its steel; parts of one card share the error of its fit
        target: what is wanted of it
        film: how its finish shows a film; as in Steel.dip() when None
        told: part, lift, coupon, coupon_lift, initial, salt_bath, load_kg, last_temper where they
            were given: as in DipOptions

    >>> import oxtint
    >>> SetPart("bezel", oxtint.starting_steel("Dogwood 4"), "blue", part="6 mm", lift="4 s")
    <SetPart bezel of Dogwood 4: blue, part, lift>
    """

    def __init__(self, name: str, steel: Steel, target: Wanted, film: Film | None = None,
                 **told: Unpack[DipOptions]) -> None:
        check_names(dict(told), SetPart)
        self.name, self.steel = _core.expect(name, str, "name"), _core.expect(steel, Steel, "steel")
        self.target, self.film = target, film
        self.told: Mapping[str, Any] = MappingProxyType(dict(told))
        self._struct()  # which refuses what cannot be
        self._finish()

    @classmethod
    def _read(cls, part: SetPartLike, name: str) -> SetPart:
        """A part as it is, or from a tuple of its arguments."""
        if isinstance(part, cls):
            return part
        if not isinstance(part, (tuple, list)):
            raise OxtintTypeError(f"{name} is {type(part).__name__}, expected SetPart or (name, steel, target)")
        named = bool(part) and isinstance(part[-1], Mapping)
        given, told = (part[:-1], part[-1]) if named else (part, {})
        if not 3 <= len(given) <= 4:
            raise OxtintValueError(f"{name} has {len(part)} items, expected (name, steel, target), a film "
                                   "and a dict of the rest where there are any")
        try:
            return cls(*given, **told)
        except (TypeError, OxtintValueError) as raised:
            raised.args = (f"{name}: {raised}",)
            raise

    def __repr__(self) -> str:
        return f"<SetPart {', '.join([f'{self.name} of {self.steel.text}: {self.target}', *self.told])}>"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, SetPart) and self._alike() == other._alike()

    def _alike(self) -> tuple[Any, ...]:
        """What makes two parts equal; films by what they are, in words."""
        return self.name, self.steel, self.target, film_of(self.film, self.steel).description, dict(self.told)

    def __hash__(self) -> int:
        return hash((self.name, self.steel))

    def __reduce__(self) -> Any:
        return SetPart._made, self._arguments()

    def _arguments(self) -> tuple[Any, ...]:
        return self.name, self.steel, self.target, self.film, dict(self.told)

    @staticmethod
    def _made(name: str, steel: Steel, target: Wanted, film: Film | None, told: DipOptions) -> SetPart:
        return SetPart(name, steel, target, film, **told)

    def _struct(self) -> tuple[Any, list[Any]]:
        """An oxt_plan_part, and what must be kept as long as it."""
        film = film_of(self.film, self.steel)
        target = film.target(self.target)._struct()
        told: Any = self.told
        options, kept = options_of(film, told, SetPart)
        struct = _core.new_struct("oxt_plan_part")
        _core.put_text(struct.name, self.name, "name")
        struct.steel, struct.film = self.steel._handle, film._handle
        struct.target, struct.options = target, options
        return struct, [target, options, kept, film]


#: A part of a set: a SetPart, or its arguments in order, those by name in a dict at the end.
SetPartLike = Union[SetPart, tuple[Any, ...]]


@dataclass(frozen=True, repr=False)
class SetStep:
    """One part in the order of the work.

    Attributes:
        part: index of the part as it was given
        name: its name
        enter_s: s, when it enters the bath, the first at 0
        lift_s: s, when it is lifted
        dip: its dip, the wander of the set included
    """

    part: int
    name: str
    enter_s: float
    lift_s: float
    dip: Dip

    def __repr__(self) -> str:
        return (f"<SetStep {self.name}: enters at {format_duration(self.enter_s)}, lifted at "
                f"{format_duration(self.lift_s)}>")


@dataclass(frozen=True, repr=False)
class SetPlan(_core.Remade):
    """A planned set of parts.

    Attributes:
        steps: the parts in the order of entering and of lifting
        bath_K: K
        tolerance: CIEDE2000 up to which two parts count as alike
        aim_mismatch: largest CIEDE2000 between two parts if every part hits its aim
        mean_mismatch: expected mismatch, the mean of the sets that were simulated
        high_mismatch: not exceeded in 95 % of sets
        chance_match: 0 to 1, that no two parts differ by more than the tolerance
        chance_targets: 0 to 1, that every part shows its target
        last_lift_s: s, from entering the first part to lifting the last
        cautions: of all dips together
        sag_K: K, by which all loads together cool the bath at most, while a part is in it; 0 where no part
            states its load and a bath of limited size
    """

    steps: tuple[SetStep, ...]
    bath_K: float
    tolerance: float
    aim_mismatch: float
    mean_mismatch: float
    high_mismatch: float
    chance_match: float
    chance_targets: float
    last_lift_s: float
    cautions: tuple[Caution, ...]
    sag_K: float
    _handle: Any = field(repr=False, compare=False)
    _unit: str = field(repr=False, compare=False)
    _made_by: Any = field(repr=False, compare=False)

    def report(self, unit: str | None = None, *, cautions: str = "brief") -> str:
        """The set to read at the bench; temperatures in "F", "C" or "K", cautions "brief" or "whole"."""
        return _core.text_of(lib.oxt_plan_report, self._handle,
                             _core.unit_number(unit or self._unit), _core.detail_number(cautions))

    def to_json(self) -> str:
        """The same as JSON, for machines: fields by their names in C, null for what is not finite (docs/reference/json.md)."""
        return _core.text_of(lib.oxt_plan_json, self._handle)

    def __str__(self) -> str:
        return self.report().rstrip("\n")

    def __repr__(self) -> str:
        return (f"<SetPlan of {len(self.steps)} parts at {format_temperature(self.bath_K, self._unit)}: "
                f"alike {100.0 * self.chance_match:.0f} %, {len(self.cautions)} cautions>")


def _steps(handle: Any, count: int, unit: str) -> tuple[SetStep, ...]:
    steps = []
    for index in range(count):
        step, dip = _core.new_struct("oxt_plan_step"), _core.new_struct("oxt_dip")
        call(lib.oxt_plan_get_step, handle, index, step, dip)
        steps.append(SetStep(**_core.take(step), dip=Dip._of(dip, unit)))
    return tuple(steps)


@_core.in_words
def plan_set(
    parts: Iterable[SetPartLike],
    bath: float | str,
    *,
    spacing: float | str = 10.0,
    tolerance: float = 5.0,
    bath_wander_K: float | str = 0.0,
    time_wander_s: float | str = 0.0,
    draws: int = 4000,
    random_seed: int = 1,
    progress: Callable[[float], object] | None = None,
) -> SetPlan:
    """Plan a set of parts to one colour in one bath: a dip each, and an order of work.

    Two lifts are never closer than the spacing. The slowest part goes first; then two entries are
    never closer than the spacing either. The mismatch is found by simulating random sets.

    >>> import oxtint
    >>> steel = oxtint.starting_steel("Dogwood 4")
    >>> plan = plan_set([("ring", steel, "blue"), ("bezel", steel, "blue", {"part": "6 mm"})],
    ...                 "600 F", spacing="15 s")
    >>> [step.name for step in plan.steps]
    ['bezel', 'ring']

    Args:
        parts: the parts: each a SetPart, or a tuple of its name, steel and target, with a dict of what
            else it is told at the end
        bath: K, or a text such as "600 F"
        spacing: s or a text, least time between two lifts
        tolerance: CIEDE2000 up to which two parts count as alike
        bath_wander_K: K or a text such as "5 F", standard deviation of the bath, for all parts alike
        time_wander_s: s or a text, standard deviation of each lift
        draws: random sets to simulate, 100 to 1000000
        random_seed: the same one gives the same sets
        progress: called now and then with the share done, 0 to 1; what it raises stops the plan, and so
            does Ctrl-C
    """
    given = tuple(SetPart._read(part, f"parts[{index}]")
                  for index, part in enumerate(_core.listed(parts, "parts")))
    made = [part._struct() for part in given]
    options = _core.new_struct("oxt_plan_options")
    options.spacing_s = _core.seconds(spacing, "spacing")
    options.tolerance = _core.number(tolerance, "tolerance")
    put_spread(options, bath_wander_K, time_wander_s)
    _core.put(options, _core.whole, draws=draws, random_seed=random_seed)
    handle = ffi.new("oxt_plan **")
    structs = ffi.new("oxt_plan_part *[]", [struct for struct, _ in made])
    _core.call_with_progress(lib.oxt_plan_set, options, progress, handle, structs, len(made),
                             _core.kelvin(bath), options)
    owned = ffi.gc(handle[0], lib.oxt_plan_free)
    fields = _core.filled("oxt_plan_values", lib.oxt_plan_get, owned)
    count, bits = fields.pop("count"), fields.pop("cautions")
    unit = _core.unit_of(bath)
    made_by = plan_set, (given, bath), dict(
        spacing=spacing, tolerance=tolerance, bath_wander_K=bath_wander_K,
        time_wander_s=time_wander_s, draws=draws, random_seed=random_seed)
    return SetPlan(steps=_steps(owned, count, unit), cautions=cautions_of(bits), _handle=owned,
                   _unit=unit, _made_by=made_by, **fields)
