# SPDX-License-Identifier: GPL-3.0-or-later
"""Several dips at once: the most forgiving bath, and a set of parts to one colour."""
from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from . import _core
from ._core import call
from ._oxtint import ffi, lib
from .bath import Bath
from .film import Film, default_film
from .heat import Lift, Part
from .steel import Caution, Dip, LastTemper, Steel, Wanted, _dip_options, cautions_of


@dataclass(frozen=True)
class SetPart:
    """One part of a set; the arguments are those of Steel.dip().

    Attributes:
        name: what it is called at the bench
        steel: its steel; parts of one card share the error of its fit
        target: what is wanted of it
        film: how its finish shows a film; the one as tabulated when None
        part, lift, coupon, coupon_lift, initial, salt_bath, load_kg, skin, last_temper: as in
            Steel.dip()
    """

    name: str
    steel: Steel
    target: Wanted
    film: Film | None = None
    part: Part | None = None
    lift: Lift | None = None
    coupon: Part | None = None
    coupon_lift: Lift | None = None
    initial: Wanted | None = None
    salt_bath: Bath | None = None
    load_kg: float = 0.0
    skin: float | str = 0.0
    last_temper: LastTemper | None = None

    def _struct(self) -> tuple[Any, list[Any]]:
        """An oxt_set_part, and what must be kept as long as it."""
        film = self.film or default_film()
        target = film.target(self.target)._struct()
        options, there = _dip_options(film, self.part, self.lift, self.coupon, self.coupon_lift,
                                      self.initial, self.salt_bath, self.load_kg, self.skin,
                                      self.last_temper)
        struct = _core.new_struct("oxt_set_part")
        _core.put_text(struct.name, self.name, "name")
        struct.steel, struct.film = self.steel._handle, film._handle
        struct.target, struct.options = target, options
        return struct, [target, options, there, film]


@dataclass(frozen=True)
class SetStep:
    """One part in the order of the work.

    Attributes:
        part: index of the part as it was given
        name: its name
        enter_s: s, when it enters the bath, the first at 0
        lift_s: s, when it is lifted
        dip: its dip, the wander of the set reckoned in
    """

    part: int
    name: str
    enter_s: float
    lift_s: float
    dip: Dip


@dataclass(frozen=True)
class SetPlan(_core.Remade):
    """A planned set of parts.

    Attributes:
        steps: the parts in the order of entering and of lifting
        bath_K: K
        tolerance: CIEDE2000 up to which two parts count as alike
        aim_mismatch: largest CIEDE2000 between two parts, each at its aim
        mean_mismatch: the same as it will come out, on average
        high_mismatch: 95 of 100 sets stay below it
        chance_match: 0 to 1, that no two parts differ by more than the tolerance
        chance_targets: 0 to 1, that every part shows its target
        last_lift_s: s, from entering the first part to lifting the last
        cautions: of all dips together
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
    _handle: Any = field(repr=False, compare=False)
    _unit: str = field(repr=False, compare=False)
    _made_by: Any = field(repr=False, compare=False)

    def report(self, unit: str | None = None) -> str:
        """The set to read at the bench; temperatures in "F", "C" or "K"."""
        return _core.text_of(lib.oxt_set_report, self._handle,
                             _core.unit_number(unit or self._unit))

    def __str__(self) -> str:
        return self.report().rstrip("\n")


def _steps(handle: Any, count: int, unit: str) -> tuple[SetStep, ...]:
    steps = []
    for index in range(count):
        step, dip = _core.new_struct("oxt_set_step"), _core.new_struct("oxt_dip")
        call(lib.oxt_set_get_step, handle, index, step)
        call(lib.oxt_set_get_dip, handle, index, dip)
        steps.append(SetStep(**_core.take(step), dip=Dip._of(dip, unit)))
    return tuple(steps)


def plan_set(
    parts: Sequence[SetPart],
    bath: float | str,
    *,
    spacing: float | str = 10.0,
    tolerance: float = 5.0,
    bath_wander_K: float = 0.0,
    time_wander_s: float = 0.0,
    draws: int = 4000,
    random_seed: int = 1,
) -> SetPlan:
    """Plan a set of parts to one colour in one bath: a dip each, and an order of work.

    Two lifts are never closer than the spacing. The slowest part goes first; then two entries are
    never closer than the spacing either. The mismatch is found by drawing sets by chance.

    >>> import oxtint
    >>> steel = oxtint.starting_steel("Dogwood 4")
    >>> plan = plan_set([SetPart("ring", steel, "blue"),
    ...     SetPart("bezel", steel, "blue", part=oxtint.Part("6 mm"))], "600 F", spacing="15 s")
    >>> [step.name for step in plan.steps]
    ['bezel', 'ring']

    Args:
        parts: the parts
        bath: K, or a text such as "600 F"
        spacing: s or a text, least time between two lifts
        tolerance: CIEDE2000 up to which two parts count as alike
        bath_wander_K: K, standard deviation of the bath, for all parts alike
        time_wander_s: s, standard deviation of each lift
        draws: sets made by chance, 100 to 1000000
        random_seed: the same one draws the same sets
    """
    made = [part._struct() for part in parts]
    options = _core.new_struct("oxt_set_options")
    options.spacing_s = _core.seconds(spacing)
    options.tolerance = _core.number(tolerance, "tolerance")
    options.bath_wander_K = _core.number(bath_wander_K, "bath_wander_K")
    options.time_wander_s = _core.number(time_wander_s, "time_wander_s")
    options.draws, options.random_seed = draws, random_seed
    handle = ffi.new("oxt_set **")
    structs = ffi.new("oxt_set_part *[]", [struct for struct, _ in made])
    call(lib.oxt_set_plan, handle, structs, len(made), _core.kelvin(bath), options)
    owned = ffi.gc(handle[0], lib.oxt_set_free)
    values = _core.new_struct("oxt_set_values")
    call(lib.oxt_set_get, owned, values)
    fields = _core.take(values)
    count, bits = fields.pop("count"), fields.pop("cautions")
    unit = _core.unit_of(bath)
    made_by = plan_set, (tuple(parts), bath), dict(
        spacing=spacing, tolerance=tolerance, bath_wander_K=bath_wander_K,
        time_wander_s=time_wander_s, draws=draws, random_seed=random_seed)
    return SetPlan(steps=_steps(owned, count, unit), cautions=cautions_of(bits), _handle=owned,
                   _unit=unit, _made_by=made_by, **fields)
