# SPDX-License-Identifier: GPL-3.0-or-later
"""How the time of blue changes with each assumption, for a usual card: one table of docs/understand/validity.md.

The card is fitted to the satin coupons of Alder 1 in the demo log, which are invented. Each assumption is changed twice: for
the coupons and the dip alike, as a shop would that has always been wrong in the same way; and for the dip alone.
"""
from __future__ import annotations

import csv
import functools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import oxtint

from validity import DATA, ROOT, R

TARGET, BATH_F = "blue", 600.0
PART, COUPON, LIFT_S = "6 mm", "2 mm", 3.0


@dataclass(frozen=True)
class Change:
    """What one assumption does: the time of blue over that of the usual card, less 1; NaN where it has no such side."""

    assumption: str
    alike: float
    dip_only: float
    why: str


@functools.cache
def log() -> oxtint.TrialLog:
    return oxtint.read_trials(ROOT / "examples/demo/trials.csv")


def fitted(film: oxtint.Film, *, bath_offset_K: float = 0.0, **told: Any) -> oxtint.Fit:
    """The fit of the usual coupons as one film has them, in baths that were off by so much."""
    moved = oxtint.TrialLog()
    for trial in log():
        if (trial.steel, trial.finish) == ("Alder 1", "satin"):
            moved.add("Alder 1", finish="satin", bath=trial.bath_K + bath_offset_K, time=trial.time_s, colour=trial.colour)
    return oxtint.fit(moved, film=film, **told)


@functools.cache
def usual_film() -> oxtint.Film:
    return oxtint.Film(finish="satin")


@functools.cache
def usual() -> oxtint.Fit:
    return fitted(usual_film())


def blue(steel: oxtint.Steel, film: oxtint.Film, *, bath_offset_K: float = 0.0, **told: Any) -> float:
    """Time of blue, s."""
    return steel.dip(TARGET, (BATH_F + 459.67) / 1.8 + bath_offset_K, film=film, **told).time_s


@functools.cache
def usual_s() -> float:
    return blue(usual().steel, usual_film())


def querry_iron() -> oxtint.Material:
    """Iron of another source than oxtint's own."""
    with (DATA / "iron_querry_index.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return oxtint.Material("iron (Querry)", *([float(row[name]) for row in rows] for name in ("wavelength_nm", "n", "k")))


def films() -> Iterator[tuple[str, oxtint.Film, str]]:
    """Films that differ in one thing from the usual one."""
    yield ("iron of another source (Querry 1985 for Johnson and Christy 1974)",
           oxtint.Film(finish="satin", substrate=querry_iron()), "")
    yield "absorption of the film times 4", oxtint.Film(4.0, finish="satin"), "moves the edges between the late colours most"
    yield ("a tenth of the film is hematite, outside",
           oxtint.Film(finish="satin", layers=[("hematite", 0.1), ("magnetite", 0.9)]), "")
    yield "finish mirror for satin", oxtint.Film(finish="mirror"), ""
    yield "finish matte for satin", oxtint.Film(finish="matte"), ""
    yield "lamplight (A) for daylight", oxtint.Film(finish="satin", light="A"), ""
    yield "a white LED (LED-B3) for daylight", oxtint.Film(finish="satin", light="LED-B3"), ""
    yield "observer of 10° for 2°", oxtint.Film(finish="satin", light=oxtint.Light("D65", 10)), ""
    yield "seen under oil", oxtint.Film(finish="satin", coat_index=oxtint.OIL_INDEX), "its blue reaches farther"


def over_usual(assumption: str, alike_s: float, dip_only_s: float, why: str = "") -> Change:
    """A change by two times of blue, s; NaN for one that there is not."""
    return Change(assumption, alike_s / usual_s() - 1.0, dip_only_s / usual_s() - 1.0, why)


def by_film() -> Iterator[Change]:
    for assumption, film, why in films():
        yield over_usual(assumption, blue(fitted(film).steel, film), blue(usual().steel, film), why)


def by_thermometer() -> Iterator[Change]:
    """The salt is hotter than its thermometer says: the true time over the one that is promised."""
    true = fitted(usual_film(), bath_offset_K=3.0).steel
    yield over_usual("salt 3 K hotter than the thermometer says", blue(true, usual_film(), bath_offset_K=3.0),
                     blue(usual().steel, usual_film(), bath_offset_K=3.0),
                     "an old offset is in the constants; a new one is not")


def heated(coupon: dict[str, Any], part: dict[str, Any]) -> float:
    """Time of blue of a thicker part than the coupons, s."""
    return blue(usual().steel, usual_film(), coupon=oxtint.Part(COUPON, **coupon), part=oxtint.Part(PART, **part),
                coupon_lift=LIFT_S, lift=LIFT_S)


def by_heat() -> Iterator[Change]:
    usual_part = heated({}, {})
    middle = oxtint.Part(PART).warming(f"{BATH_F} F")
    for assumption, told, why in (
        ("transfer coefficient halved (600 to 300 W/(m² K))", {"transfer_W_per_m2K": 300.0}, ""),
        ("transfer coefficient doubled (600 to 1200 W/(m² K))", {"transfer_W_per_m2K": 1200.0}, ""),
        ("specific heat of the steel 10 % more", {"heat_J_per_kgK": 1.1 * middle.heat_J_per_kgK}, ""),
        ("conductivity of the steel 20 % more", {"conductivity_W_per_mK": 1.2 * middle.conductivity_W_per_mK},
         "a thin part is hardly colder inside"),
    ):
        yield Change(assumption, heated(told, told) / usual_part - 1.0, heated({}, told) / usual_part - 1.0, why)
    yield Change("heating up left out: the part is thought to be like the coupons", math.nan,
                 blue(usual().steel, usual_film()) / usual_part - 1.0, "name part and coupon")


@dataclass(frozen=True)
class Left:
    """What a real bath does that a plain dip of a 6 mm plate leaves out: by how much the lift is later, s."""

    what: str
    later_s: float
    told: str


@functools.cache
def left_out() -> tuple[Left, ...]:
    def later(*, load_kg: float = 0.0, salt_bath: oxtint.Bath | None = None, **part: Any) -> float:
        told: dict[str, Any] = {"load_kg": load_kg, **({"salt_bath": salt_bath} if salt_bath else {})}
        steel, film = usual().steel, usual_film()
        return blue(steel, film, part=oxtint.Part(PART, **part), **told) - blue(steel, film, part=oxtint.Part(PART))
    return (
        Left("salt that freezes on a part from 20 °C, 60/40", later(salt_bath=oxtint.Bath("binary 60/40")),
             "the salt of the `Bath`; or preheat"),
        Left("the same, ternary", later(salt_bath=oxtint.Bath("ternary")), "the same"),
        Left("a still bath, 600 W/(m² K) at 100 K", later(flow="still"), '`Part(..., flow="still")`'),
        Left("the same, 600 W/(m² K) at 300 K", later(flow="still", transfer_at_K=300.0), "and `transfer_at_K`"),
        Left("a heat transfer of 400, not 600 W/(m² K)", later(transfer_W_per_m2K=400.0), "`transfer_W_per_m2K`"),
        Left("one of 900", later(transfer_W_per_m2K=900.0), "the same"),
        Left("one face against the pot or another part", later(wetted=0.5), "`wetted=0.5`"),
        Left("a load of 1.5 kg in 5 kg of salt, heater 1.5 kW",
             later(load_kg=1.5, salt_bath=oxtint.Bath(salt_kg=5.0, heater_W=1500.0)), "`load_kg` and the `Bath`; a set: [plan](../reference/plan.md)"),
        Left("a part from 10 °C, not 20 °C", later(start="10 C"), "`start`"),
    )


def measured_fit(initial_nm: float) -> oxtint.Steel:
    """A card of the usual coupons, whose films are what grew on top of one that was there."""
    grown = oxtint.TrialLog()
    for row in usual().rows:
        grown.add("Alder 1", finish="satin", bath=row.bath_K, time=row.time_s,
                  thickness_nm=math.sqrt(row.observed_nm ** 2 - initial_nm ** 2))
    return oxtint.fit(grown, film=usual_film()).steel


def by_initial_film() -> Iterator[Change]:
    clean = blue(measured_fit(0.0), usual_film())
    for initial_nm in (2.0, 4.0, 6.0):
        yield Change(f"a film of {initial_nm:.0f} nm before the dip",
                     blue(measured_fit(initial_nm), usual_film(), initial=initial_nm) / clean - 1.0,
                     blue(measured_fit(0.0), usual_film(), initial=initial_nm) / clean - 1.0, "")


def law_time(law: oxtint.LawResult, x_nm: float, T_K: float, T_ref_K: float) -> float:
    """Time that a law takes for a film, s; the laws are those of docs/reference/laws.md."""
    G = {"parabolic": lambda: x_nm ** 2, "power": lambda: x_nm ** law.shape,
         "linear-parabolic": lambda: x_nm ** 2 + law.shape * x_nm,
         "logarithmic": lambda: law.shape * math.expm1(x_nm / law.shape)}[law.kind]()
    return G / (law.k_ref * math.exp(-law.Q_J_per_mol / R * (1.0 / T_K - 1.0 / T_ref_K)))


def by_law() -> Iterator[Change]:
    laws = usual().laws()
    bath_K, aim = (BATH_F + 459.67) / 1.8, usual_film().target(TARGET).aim_nm
    parabolic = law_time(laws["parabolic"], aim, bath_K, laws.T_ref_K)
    for name in ("power", "linear-parabolic", "logarithmic"):
        shape = f"n {laws[name].shape:.1f}" if name == "power" else f"{laws[name].shape:.0f} nm"
        yield Change(f"the {name} law ({shape}) for the parabolic one",
                     law_time(laws[name], aim, bath_K, laws.T_ref_K) / parabolic - 1.0, math.nan,
                     f"weight {100.0 * laws[name].weight:.0f} %; parabolic {100.0 * laws['parabolic'].weight:.0f} %")


def by_fit() -> Iterator[Change]:
    film = usual_film()
    with_prior, as_middles = fitted(film, prior=oxtint.Prior.mild_steel(film)), fitted(film, names="as-middles")
    yield over_usual("the prior of mild steel beside 10 coupons", blue(with_prior.steel, film), math.nan)
    yield over_usual("names read as middles for bands", blue(as_middles.steel, film), math.nan)
    alone = oxtint.starting_steel("Alder 1", film=film)
    yield over_usual("no coupon, the prior alone", blue(alone, film), math.nan, "run a coupon")


@functools.cache
def changes() -> tuple[Change, ...]:
    return (*by_film(), *by_thermometer(), *by_heat(), *by_initial_film(), *by_law(), *by_fit())


if __name__ == "__main__":
    print(usual_s())
    for one in changes():
        print(f"{one.assumption:70} {100 * one.alike:+7.2f} {100 * one.dip_only:+7.2f} {one.why}")
