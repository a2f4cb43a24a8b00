# SPDX-License-Identifier: GPL-3.0-or-later
"""The bootstrap of a fit, beside the fit's own intervals."""
from __future__ import annotations

import argparse
import math
from typing import Any

import oxtint

from .terminal import progress

_Limits = tuple[float, float]


def run(fit: oxtint.Fit, options: argparse.Namespace) -> oxtint.Bootstrap:
    """The bootstrap that --bootstrap and --seed ask for."""
    with progress("bootstrap") as tell:
        return fit.bootstrap(options.bootstrap, random_seed=options.seed, progress=tell)


def _baths_K(fit: oxtint.Fit) -> tuple[float, ...]:
    """Those of the table of dips."""
    low, high = fit.steel.bath_range_K
    return tuple(dict.fromkeys((low, 0.5 * (low + high), high)))


def values(fit: oxtint.Fit, boot: oxtint.Bootstrap, seed: int) -> dict[str, Any]:
    """What --json prints of it."""
    low, high = boot.interval("ln-k")
    return {
        **boot.to_dict(), "random_seed": seed, "confidence": 0.95,
        "k_ref_interval_nm2_per_s": (math.exp(low), math.exp(high)),
        "Q_interval_J_per_mol": boot.interval("Q"),
        "dip_time_factors": [{"bath_K": bath, "interval": boot.interval("dip-time", bath)}
                             for bath in _baths_K(fit)]}


def _line(what: str, limits: list[_Limits], form: str, tail: str = "") -> str:
    cells = (f"{low:{form}} to {high:{form}}{tail}" for low, high in limits)
    return f"  {what:<36}" + "".join(f"{cell:<20}" for cell in cells).rstrip()


def report(fit: oxtint.Fit, boot: oxtint.Bootstrap, options: argparse.Namespace) -> str:
    """A few lines to read at the bench."""
    def percent(limits: _Limits) -> _Limits:
        return 100.0 * (limits[0] - 1.0), 100.0 * (limits[1] - 1.0)

    low, high = boot.interval("ln-k")
    ref = oxtint.format_temperature(fit.T_ref_K, options.units)
    lines = [f"Bootstrap: {boot.replicates} logs drawn from these coupons by seed {options.seed}, "
             f"{boot.failed} of them left out",
             f"  {'95 % interval of':<36}{'by the fit':<20}by the bootstrap",
             _line(f"rate at {ref}, nm^2/s", [fit.k_ref_interval_nm2_per_s, (math.exp(low), math.exp(high))], ".1f"),
             _line("activation energy, kJ/mol", [(low / 1e3, high / 1e3) for low, high in
                                                 (fit.Q_interval_J_per_mol, boot.interval("Q"))], ".1f")]
    for bath in _baths_K(fit):
        where = oxtint.format_temperature(bath, options.units)
        lines.append(_line(f"mean time of a dip at {where}",
                           [percent(fit.profile("dip-time", bath)), percent(boot.interval("dip-time", bath))],
                           "+.0f", " %"))
    lines.append("  with few coupons these limits are too narrow; use the wider ones")
    return "\n".join(lines) + "\n"
