# SPDX-License-Identifier: GPL-3.0-or-later
"""How often the 95 % interval of a dip's mean time holds, and how far off Q is, over many made-up logs; then the
same with coupons that are repeated, at three baths.

    python tests/bench/coverage.py [LOGS]

Not a test: tests/c/test_simulation.c and test_pool_simulation.c are, with fewer logs, made elsewhere by other
dice. The standard error of a share of 0.95 of 10,000 logs is 0.002.
"""
import math
import sys
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import oxtint

R = 8.314462618  # J/(mol K), SI of 2019
K_REF, T_REF, Q = 55.0, 588.7, 80e3
BATHS_K, DIP_K = (560.9, 588.7, 616.5), 602.0  # 550, 600, 650 F; of the dip that is asked for
COUPONS = 12
FILM = oxtint.Film()
LEAST_nm, MOST_nm = (FILM.target(name).aim_nm for name in ("faint straw", "silver"))


@dataclass(frozen=True)
class Scene:
    """How logs are made, and how they are fitted."""

    name: str
    scatter: float = 0.06
    bath_sd_K: float = 0.0
    time_sd_s: float = 0.0
    blunders: float = 0.0
    options: dict[str, Any] = field(default_factory=dict)
    steels: dict[str, tuple[float, int]] = field(default_factory=lambda: {"Alder 1": (K_REF, COUPONS)})


NOISE: dict[str, Any] = {"bath_sd_K": 5.0 / 1.8, "time_sd_s": 2.0}
SCENES = [
    Scene("scatter 3 %", scatter=0.03), Scene("scatter 6 %"), Scene("scatter 10 %", scatter=0.10),
    Scene("names as middles", options={"names": "as-middles"}),
    Scene("5 F and 2 s, effective variance", **NOISE, options=NOISE),
    Scene("5 F and 2 s, orthogonal", **NOISE, options={**NOISE, "errors_in_variables": "orthogonal"}),
    Scene("blunders, Huber", blunders=0.1, options={"robust": "huber"}),
    Scene("blunders, Tukey", blunders=0.1, options={"robust": "tukey"}),
    Scene("two pooled steels", steels={"Alder 1": (K_REF, COUPONS), "Birch 2": (30.0, 4)}),
]


@dataclass(frozen=True)
class Repeated:
    """Settings of bath and time with some coupons alike at each; 0 settings are three films, drawn anew for each
    log, that are aimed at in each of four baths."""

    name: str
    settings: int
    alike: int
    scatter: float


REPEATED = [
    Repeated("3 alike x 4 settings, scatter 2 %", 4, 3, 0.02), Repeated("3 alike x 6, 3 %", 6, 3, 0.03),
    Repeated("5 alike x 3, 3 %", 3, 5, 0.03), Repeated("4 alike x 4, 6 %", 4, 4, 0.06),
    Repeated("the same three films in 4 baths, 2 %", 0, 1, 0.02),
]
FOUR_BATHS_K = (555.4, 577.6, 599.8, 622.0)  # 540, 580, 620, 660 F
REPEATED_DIPS_K = (555.4, 588.7, 616.5)  # 540, 600, 650 F


def rate(k_ref: float, bath_K: float) -> float:
    return k_ref * math.exp(-Q / R * (1.0 / bath_K - 1.0 / T_REF))


def coupon(dice: np.random.Generator, scene: Scene, k_ref: float, bath_K: float) -> tuple[float, float, str]:
    """Bath and time as they are written down, and the name of the film that came out."""
    aim_nm = LEAST_nm * (MOST_nm / LEAST_nm) ** dice.random()
    time_s = max(round(aim_nm ** 2 / rate(k_ref, bath_K)), 1.0)
    film_nm = math.sqrt(rate(k_ref, bath_K) * time_s) * math.exp(dice.normal(0.0, scene.scatter))
    wrong = dice.uniform(2.0, 5.0) ** dice.choice((-1.0, 1.0)) if dice.random() < scene.blunders else 1.0
    noted_s = max(time_s + dice.normal(0.0, scene.time_sd_s), 1.0) * wrong
    return bath_K + dice.normal(0.0, scene.bath_sd_K), noted_s, FILM.tint(film_nm).label


def made_up_log(dice: np.random.Generator, scene: Scene) -> oxtint.TrialLog:
    rows = [(steel, *coupon(dice, scene, k_ref, BATHS_K[i % 3]))
            for steel, (k_ref, count) in scene.steels.items() for i in range(count)]
    return oxtint.TrialLog.from_columns(dict(zip(("steel", "bath_K", "time_s", "colour"), zip(*rows))))


def steels_of(log: oxtint.TrialLog, scene: Scene) -> list[oxtint.Steel]:
    if len(scene.steels) > 1:
        return list(oxtint.pool(log, **scene.options).steels.values())
    return [oxtint.fit(log, **scene.options).steel]


def run(scene: Scene, logs: int, aim_nm: float) -> None:
    """Print how often the interval of each steel holds, of the logs that are not refused."""
    dice, held, sum_of_Q, fitted = np.random.default_rng(20), np.zeros(len(scene.steels)), 0.0, 0
    for _ in range(logs):
        log = made_up_log(dice, scene)
        try:
            found = steels_of(log, scene)
        except oxtint.OxtintValueError:  # blunders can turn the temperatures about
            continue
        fitted += 1
        sum_of_Q += found[0].Q_J_per_mol
        for i, (steel, (k_ref, _)) in enumerate(zip(found, scene.steels.values())):
            low, high = steel.dip("blue", DIP_K).interval_s
            held[i] += low <= aim_nm ** 2 / rate(k_ref, DIP_K) <= high
    for name, share in zip(scene.steels, held / fitted):
        of = f", {name}" if len(scene.steels) > 1 else ""
        print(f"{scene.name + of:34} {share:8.1%} {sum_of_Q / fitted / Q - 1.0:8.1%} {logs - fitted:8}",
              flush=True)


def repeated_log(dice: np.random.Generator, scene: Repeated) -> oxtint.TrialLog:
    rows: list[tuple[str, float, float, str]] = []
    films_nm: list[float] = []
    for setting in range(scene.settings or 12):
        if scene.settings or setting < 3:
            films_nm.append(LEAST_nm * (MOST_nm / LEAST_nm) ** dice.random())
        bath_K = BATHS_K[setting % 3] if scene.settings else FOUR_BATHS_K[setting // 3]
        aim_nm = films_nm[setting % len(films_nm)]
        time_s = max(round(aim_nm ** 2 / rate(K_REF, bath_K)), 1.0)
        for _ in range(scene.alike):
            film_nm = math.sqrt(rate(K_REF, bath_K) * time_s) * math.exp(dice.normal(0.0, scene.scatter))
            rows.append(("Alder 1", bath_K, time_s, FILM.tint(film_nm).label))
    return oxtint.TrialLog.from_columns(dict(zip(("steel", "bath_K", "time_s", "colour"), zip(*rows))))


def run_repeated(scene: Repeated, logs: int, aim_nm: float, names: str) -> None:
    """Print how often the interval of each of three dips holds."""
    dice, held, fitted = np.random.default_rng(20), np.zeros(len(REPEATED_DIPS_K)), 0
    for _ in range(logs):
        try:
            steel = oxtint.fit(repeated_log(dice, scene), names=names).steel
            limits = [steel.dip("blue", bath_K).interval_s for bath_K in REPEATED_DIPS_K]
        except oxtint.OxtintValueError:
            continue
        fitted += 1
        held += [low <= aim_nm ** 2 / rate(K_REF, bath_K) <= high
                 for bath_K, (low, high) in zip(REPEATED_DIPS_K, limits)]
    print(f"{scene.name:34} {names:10} {' '.join(f'{share:6.1%}' for share in held / fitted)} {logs - fitted:8}",
          flush=True)


def main() -> None:
    logs = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    print(f"{'':34} {'holds':>8} {'Q off':>8} {'refused':>8}   of {logs:,} logs")
    for scene in SCENES:
        run(scene, logs, FILM.target("blue").aim_nm)
    print(f"{'':34} {'names':10} {'540 F':>6} {'600 F':>6} {'650 F':>6} {'refused':>8}")
    for repeated in REPEATED:
        for names in ("as-bands", "as-middles"):
            run_repeated(repeated, logs, FILM.target("blue").aim_nm, names)


if __name__ == "__main__":
    main()
