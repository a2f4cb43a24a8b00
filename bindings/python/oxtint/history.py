# SPDX-License-Identifier: GPL-3.0-or-later
"""A logged temperature, such as that of a thermocouple in a coupon, and the film that it grows."""
from __future__ import annotations

import os
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from . import _core
from ._core import Array, call, choose
from ._oxtint import ffi, lib
from .error import HistoryFileError, OxtintValueError
from .faults import Cells, read_csv
from .conditions import LastTemper
from .growth import steel_of
from .heat import Part, PartLike
from .steel import Steel
from .tables import Columns, cells_of, csv_of
from .temper import Temper, options_of


@dataclass(frozen=True)
class Transfer:
    """The heat transfer of a bath, found from a thermocouple in a part.

    Attributes:
        transfer_W_per_m2K: of a still bath at the part's transfer_at_K
        transfer_stderr_W_per_m2K: its standard error, as if the errors of the samples were independent
        exponent: by which it falls with the difference in a still bath; 0 of a stirred one
        exponent_stderr: its standard error; 0 of a stirred one
        enter_s: s, when the part entered, by the clock of the history
        rms_K: K, root of the mean square of what is left
        used: samples that were used
    """

    transfer_W_per_m2K: float
    transfer_stderr_W_per_m2K: float
    exponent: float
    exponent_stderr: float
    enter_s: float
    rms_K: float
    used: int


PLACES = {"centre": lib.OXT_THERMOCOUPLE_CENTRE, "surface": lib.OXT_THERMOCOUPLE_SURFACE}


class History(_core.Frozen):
    """A logged temperature, linear between its samples; it never changes.

    Args:
        times: s, or texts such as "1:30"; each later than the one before, not necessarily from 0
        temperatures: K, or texts such as "650 F"; one for all, or one for each time
        longest_gap_s: s or a text, longest time between two samples; 0 for no limit

    >>> dip = History([0.0, 8.0, 90.0], ["68 F", "600 F", "600 F"])
    >>> len(dip), round(dip.temperature(4.0), 3)
    (3, 440.928)
    """

    def __init__(
        self,
        times: ArrayLike,
        temperatures: ArrayLike | str,
        *,
        longest_gap_s: float | str = 0.0,
    ) -> None:
        time = np.array(_core.quantities(times, _core.seconds, "times"), dtype=np.float64)
        if time.ndim != 1:
            raise OxtintValueError(f"times have the shape {time.shape}, expected a list")
        kelvin = np.asarray(_core.quantities(temperatures, _core.kelvin, "temperatures"), dtype=np.float64)
        if kelvin.shape not in ((), time.shape):
            raise OxtintValueError(
                f"temperatures have the shape {kelvin.shape}, expected {time.shape}")
        kelvin = np.ascontiguousarray(np.broadcast_to(kelvin, time.shape))
        self._own(_core.owned("oxt_history", lib.oxt_history_new, time.size, ffi.from_buffer("double[]", time),
                              time.itemsize, ffi.from_buffer("double[]", kelvin), kelvin.itemsize,
                              _core.seconds(longest_gap_s, "longest_gap_s")))

    def _own(self, handle: Any) -> None:
        self._handle = handle
        count = ffi.new("size_t *")
        call(lib.oxt_history_samples, self._handle, 0, ffi.NULL, 0, ffi.NULL, 0, count)
        samples = np.empty((2, count[0]))
        data, stride = ffi.from_buffer("double[]", samples.reshape(-1)), samples.itemsize
        call(lib.oxt_history_samples, self._handle, count[0], data, stride, data + count[0], stride, count)
        samples.flags.writeable = False
        self._samples = samples
        self._finish()

    @classmethod
    def from_columns(cls, table: Columns, *, longest_gap_s: float | str = 0.0) -> History:
        """A history from a DataFrame of pandas or polars, or a dict of columns, as read_history().

        Raises:
            HistoryFileError: the contents are at fault; it lists every fault by row and column
        """
        cells = cells_of(table)
        return cls._read(csv_of(cells), longest_gap_s, cells)

    @classmethod
    def _read(
        cls,
        source: str | os.PathLike[str] | bytes,
        longest_gap_s: float | str,
        cells: Cells | None = None,
    ) -> History:
        """A history from a CSV file, or from the bytes of one, which may stand for the cells of a table."""
        history, gap_s = cls.__new__(cls), _core.seconds(longest_gap_s, "longest_gap_s")
        history._own(read_csv("oxt_history", HistoryFileError, source, gap_s, cells=cells))
        return history

    def _columns(self) -> dict[str, Array]:
        return {"time_s": self.time_s.copy(), "temperature_K": self.temperature_K.copy()}

    def __len__(self) -> int:
        return int(self._samples.shape[1])

    def __repr__(self) -> str:
        return (f"<History of {len(self)} samples, {self.time_s[0]:g} to {self.time_s[-1]:g} s, "
                f"{self.temperature_K.min():.1f} to {self.temperature_K.max():.1f} K>")

    def __reduce__(self) -> tuple[Any, tuple[Array, Array]]:
        return History, (self.time_s, self.temperature_K)

    @property
    def time_s(self) -> Array:
        """Times of the samples, s; read-only."""
        return np.asarray(self._samples[0])

    @property
    def temperature_K(self) -> Array:
        """Temperatures of the samples, K; read-only."""
        return np.asarray(self._samples[1])

    def temperature(self, time: float | str) -> float:
        """Temperature (K) at a time between its first sample and its last."""
        return _core.number_of(lib.oxt_history_temperature, self._handle, _core.seconds(time))

    @_core.in_words
    def find_transfer(self, part: PartLike, bath: float | str, thermocouple: str = "centre") -> Transfer:
        """The heat transfer of a bath, from the thermocouple of a part that was dipped into it, by least squares.

        Args:
            part: what was dipped; with flow="still" its exponent is found too. Preheat it above the melting
                point of the salt: a crust is not counted
            bath: K or a text, steady
            thermocouple: "centre" or "surface", where it is
        """
        return Transfer(**_core.filled(
            "oxt_transfer", lib.oxt_heat_find_transfer, Part._read(part, "part")._part, _core.kelvin(bath), self._handle,
            choose(PLACES, thermocouple, "thermocouple")))

    def exposure(
        self,
        steel: Steel,
        from_time: float | str | None = None,
        to_time: float | str | None = None,
    ) -> float:
        """Exposure (nm^2) of a stretch; its root is the film on bare steel.

        Args:
            steel: the steel
            from_time, to_time: s, or texts; the first and the last sample when None
        """
        start = self.time_s[0] if from_time is None else _core.seconds(from_time, "from_time")
        end = self.time_s[-1] if to_time is None else _core.seconds(to_time, "to_time")
        return _core.number_of(lib.oxt_history_exposure, self._handle, steel_of(steel)._constants, start, end)

    def thickness(self, steel: Steel, initial_nm: float | str = 0.0) -> float:
        """Thickness (nm) after the whole history, on a film of initial_nm."""
        return _core.number_of(lib.oxt_thickness_of_exposure, steel_of(steel)._constants,
                               _core.nanometres(initial_nm, "initial_nm"), self.exposure(steel))

    def temper(
        self,
        *,
        steel: str | None = None,
        last: LastTemper | None = None,
        constant: float = lib.OXT_TEMPER_CONSTANT,
    ) -> Temper:
        """What the whole history does to a hardened part; arguments as in temper_dip()."""
        options, keep = options_of(steel, last, constant)
        temper = _core.new_struct("oxt_temper")
        call(lib.oxt_temper_history, self._handle, options, temper)
        del keep
        return Temper._of(temper, _core.unit_of(last[0]) if last else "C")


def read_history(path: str | os.PathLike[str], *, longest_gap_s: float | str = 0.0) -> History:
    """Read a logged temperature from a CSV file.

    Columns, in any order: ``time_s``, ``time_min`` or ``time_h``; ``temperature_F``,
    ``temperature_C`` or ``temperature_K``; or ``time`` and ``temperature`` with units in the cells.
    Other columns are left out.

    Raises:
        HistoryFileError: the contents are at fault; it lists every fault, and nothing was loaded
        OxtintOSError: the file cannot be read
    """
    return History._read(path, longest_gap_s)


def read_history_text(text: str, *, longest_gap_s: float | str = 0.0) -> History:
    """Read a logged temperature from CSV text; as read_history().

    >>> trace = read_history_text("time_min,temperature_F\\n0,68\\n0.2,600\\n2,600\\n")
    >>> len(trace), round(trace.temperature(60.0), 2)
    (3, 588.71)
    """
    return History._read(_core.encode(text, "text"), longest_gap_s)
