# SPDX-License-Identifier: GPL-3.0-or-later
"""A dip as it happens: samples of temperature -> the film now, and when to lift."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from . import _core
from ._core import call
from ._oxtint import ffi, lib
from .bath import Bath
from .conditions import film_of, point_to
from .film import Film
from .tint import Wanted
from .growth import steel_of
from .heat import LiftLike, PartLike
from .caution import Caution, cautions_of
from .error import OxtintTypeError
from .steel import Steel

_STATES = {lib.OXT_TRACK_GROWING: "growing", lib.OXT_TRACK_SHOWING: "showing", lib.OXT_TRACK_PAST: "past"}


@dataclass(frozen=True, repr=False)
class Tracking:
    """The state of a dip at the last sample.

    Attributes:
        time_s: s, since the first sample
        bath_K: K, the last sample
        surface_K: K, of the part; both are NaN before the first sample
        exposure_nm2: nm^2, so far
        thickness_nm: nm, now
        quench_nm: nm, in the quench, when it is lifted now
        tint_index: band of thickness_nm, -1 beyond the second order
        label: trade name of thickness_nm, "" beyond the second order
        lab, srgb: colour of thickness_nm; NaN beyond 400 nm
        state: what a lift now would give: "growing" (too thin), "showing", or "past" (polish it off
            and start again)
        to_lift_s: s, from the last sample until a lift gives the aim, with the bath as it is; 0 when
            it would now, infinite when it never would
        to_earliest_s, to_latest_s: s, the same for the thinnest and thickest film that shows the target
        sample_count, refused_count: samples taken and refused
        gap_count, bridged_s: gaps longer than the longest allowed, and the time (s) inside them
        cautions: what to mind
        chance_now: 0 to 1, of the wanted colour if it is lifted now; NaN before the first sample
        chance: 0 to 1, the same at the best moment, to_lift_s from now
        to_lift_interval_s: (low, high), lift-time uncertainty of this dip, with its scatter
    """

    time_s: float
    bath_K: float
    surface_K: float
    exposure_nm2: float
    thickness_nm: float
    quench_nm: float
    tint_index: int
    label: str
    lab: tuple[float, float, float]
    srgb: tuple[float, float, float]
    state: str
    to_lift_s: float
    to_earliest_s: float
    to_latest_s: float
    sample_count: int
    refused_count: int
    gap_count: int
    bridged_s: float
    cautions: tuple[Caution, ...]
    chance_now: float
    chance: float
    to_lift_interval_s: tuple[float, float]

    def __repr__(self) -> str:
        return (f"<Tracking after {self.time_s:.4g} s: {self.thickness_nm:.1f} nm, {self.state}, "
                f"{self.to_lift_s:.4g} s to the lift, {len(self.cautions)} cautions>")


class Tracker:
    """One dip, fed with temperatures as they are measured; the first sample is when the part enters
    the bath. It belongs to one thread.

    Args:
        steel: the steel
        target: as in Film.target(): "blue", "second order blue", "57 nm", "#2b3a67", ...
        film: film that is seen, and that the target is read with; as in Steel.dip()
        part: the part, when the samples are the temperature of the bath; Part(0): they are the part's own;
            None: like `coupon`, or the usual coupon of a card that states it, where the bath is given, else
            they are the part's own
        bath: K or a text, the bath that is meant; needed with a part, whose properties are taken
            between its start and this
        lift: the way to the quench; None: `coupon_lift`, or as the coupons of a card that states them, else
            quenched at once
        initial_nm: nm, film already there, as thick as that with which the trials began at least; 0: none but that
        longest_gap: s or a text; a longer gap between samples is reported
        coupon, coupon_lift: what the trials were run with, as in Steel.dip(); needs the bath
        salt_bath: its thermometer's offset is added to the samples, the error of its thermometer counts, its
            salt determines the cautions
        confidence: of the limits of the lift, 0.5 to 0.9999
        time_wander_s: s or a text, standard deviation of the lift beyond that of the trials

    >>> steel = Steel.from_values(steel="T-coupon", k_ref_nm2_per_s=30.0, T_ref_K=588.7,
    ...     Q_J_per_mol=76e3, dof=1.0, bath_low_K=560.0, bath_high_K=620.0, thickness_low_nm=20.0,
    ...     thickness_high_nm=80.0)
    >>> tracker = Tracker(steel, "60 nm")
    >>> for second in range(61):
    ...     tracker.feed(second, 588.7)
    >>> now = tracker.read()
    >>> f"{now.thickness_nm:.1f} nm, {now.state}, {now.to_lift_s:.0f} s to go"
    '42.4 nm, growing, 60 s to go'
    """

    @_core.in_words
    def __init__(
        self,
        steel: Steel,
        target: Wanted,
        *,
        film: Film | None = None,
        part: PartLike | None = None,
        bath: float | str | None = None,
        lift: LiftLike | None = None,
        initial_nm: float | str = 0.0,
        longest_gap: float | str = 5.0,
        coupon: PartLike | None = None,
        coupon_lift: LiftLike | None = None,
        salt_bath: Bath | None = None,
        confidence: float = 0.95,
        time_wander_s: float | str = 0.0,
    ) -> None:
        film = film_of(film, steel)
        options = _core.new_struct("oxt_track_options")
        if part is not None and bath is None:
            raise OxtintTypeError("a tracker of a part needs the bath that is meant")
        if bath is not None:
            options.bath_K = _core.kelvin(bath)
        kept = point_to(options, part, lift, coupon, coupon_lift, salt_bath)
        options.initial_nm = _core.nanometres(initial_nm, "initial_nm")
        options.confidence = _core.number(confidence, "confidence")
        options.time_wander_s = _core.seconds(time_wander_s, "time_wander_s")
        options.longest_gap_s = _core.seconds(longest_gap, "longest_gap")
        self._handle: Any = _core.owned("oxt_track", lib.oxt_track_new, steel_of(steel)._handle, film._handle,
                                        film.target(target)._struct(), options)
        del kept  # the tracker has copies

    def __reduce__(self) -> Any:
        raise OxtintTypeError("a Tracker follows one dip in one thread and is not copied or pickled: send its "
                        "snapshot(), and resume() in a new one")

    @_core.in_words
    def feed(self, time: float | str, temperature: float | str) -> None:
        """Take one sample: time (s, of any clock) and temperature (K, or a text).

        Raises:
            OxtintValueError: the sample is refused, counted, and changes nothing
        """
        call(lib.oxt_track_feed, self._handle, _core.seconds(time), _core.kelvin(temperature, "temperature"))

    def feed_all(self, times: ArrayLike, temperatures: ArrayLike) -> int:
        """Take many samples, or one temperature at many times; gives how many were refused."""
        time = np.asarray(_core.quantities(times, _core.seconds, "times"), dtype=np.float64)
        temperature = np.asarray(_core.quantities(temperatures, _core.kelvin, "temperatures"), dtype=np.float64)
        time, temperature = np.broadcast_arrays(time, temperature)
        feed, handle, nothing = lib.oxt_track_feed, self._handle, ffi.NULL
        return sum(feed(handle, *sample, nothing) != 0
                   for sample in zip(time.ravel().tolist(), temperature.ravel().tolist()))

    def read(self) -> Tracking:
        """The state of the dip, and when to lift if the bath stays as it is."""
        fields = _core.filled("oxt_track_state", lib.oxt_track_read, self._handle)
        limits = fields.pop("to_lift_low_s"), fields.pop("to_lift_high_s")
        return Tracking(**{**fields, "to_lift_interval_s": limits, "state": _STATES[fields["state"]],
                           "cautions": cautions_of(fields["cautions"])})

    def snapshot(self) -> str:
        """The dip so far as text (JSON), from which resume() goes on in a program that was restarted."""
        return _core.text_of(lib.oxt_track_snapshot, self._handle)

    def resume(self, snapshot: str) -> None:
        """Go on with the dip of a snapshot, taken by a tracker made from the same steel, target and options. What
        passed since is a gap, which the next sample bridges; its clock must go on too.

        Raises:
            OxtintValueError: this is no snapshot, or one of another tracker; the dip so far is kept
        """
        data = _core.encode(snapshot, "snapshot")
        call(lib.oxt_track_resume, self._handle, data, len(data))

    def restart(self) -> None:
        """Begin a new dip of the same part for the same target."""
        call(lib.oxt_track_restart, self._handle)
