# SPDX-License-Identifier: GPL-3.0-or-later
"""Every steel and finish of a log fitted by itself."""
from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from . import _core
from ._oxtint import ffi, lib
from .conditions import film_of
from .film import Film
from .fit import Fit, FitOptions, fit, fit_options
from .growth import LAWS
from .tables import pandas
from .trials import Logged, Snapshot, TrialGroup, log_of

if TYPE_CHECKING:
    from typing_extensions import Unpack

#: The numbers of each fit that are columns of its table.
_NUMBERS = ("ln_k_stderr", "Q_stderr_J_per_mol", "variance_ln_k", "covariance_J_per_mol", "variance_Q_J2_per_mol2",
            "correlation", "confidence", "k_ref_low_nm2_per_s", "k_ref_high_nm2_per_s", "Q_low_J_per_mol",
            "Q_high_J_per_mol", "scatter", "chi_square", "dof", "reduced_chi_square", "r_squared", "aicc", "condition",
            "used_count", "prior_share_Q", "prior_share_ln_k", "day_count", "day_sd", "ln_shape_stderr",
            "initial_stderr_nm2")


class Fits(_core.Computed):
    """The fits of all groups of a log; make it by fit_each(). It never changes.

    ``len()`` is the number of groups; going through it gives the whole Fit of each that could be fitted, and
    ``fits["Alder 1"]`` or ``fits["Alder 1", "satin"]`` that of one, to the last bit what fit() gives.

    Attributes:
        groups: steel, finish and number of trials of each, in order of appearance
        fitted: whether each could be fitted, an array
        failed: why a group could not be fitted, by (steel, finish)
        remarks: the warnings of each fit, a line each, or why there is none
    """

    _prefix = "oxt_fit_each"
    _how = "Fits by oxtint.fit_each()"

    def _read(self) -> None:
        failed = ffi.new("size_t *")
        count = int(lib.oxt_fit_each_count(self._handle, failed))
        self._fields = {"group_count": count, "failed_count": int(failed[0])}

    def __len__(self) -> int:
        return int(self._fields["group_count"])

    @functools.cached_property
    def _groups(self) -> Any:
        return _core.take_all("oxt_fit_each_group", len(self), lambda handle, index, group, error: (
            lib.oxt_fit_each_get(handle, index, group, ffi.NULL, error)), self._handle)

    @functools.cached_property
    def _values(self) -> Any:
        return _core.take_all("oxt_fit_values", len(self), lambda handle, index, values, error: (
            lib.oxt_fit_each_get(handle, index, ffi.NULL, values, error)), self._handle)

    @property
    def _unit(self) -> int:
        return int(self._values["unit"][0])

    @functools.cached_property
    def groups(self) -> tuple[TrialGroup, ...]:
        """Steel, finish and number of trials of each group."""
        names = ([text.decode() for text in self._groups[name].tolist()] for name in ("steel", "finish"))
        return tuple(map(TrialGroup, *names, self._groups["trial_count"].tolist()))

    @functools.cached_property
    def fitted(self) -> Any:
        """Whether each could be fitted."""
        return self._groups["status"] == lib.OXT_OK

    @functools.cached_property
    def remarks(self) -> tuple[str, ...]:
        """The warnings of each fit, a line each, or why there is none."""
        said = (self._values["warning_count"] > 0) | ~self.fitted
        return tuple(_core.text_of(lib.oxt_fit_each_remarks, self._handle, index) if some else ""
                     for index, some in enumerate(said.tolist()))

    @functools.cached_property
    def failed(self) -> dict[tuple[str, str], str]:
        """Why a group could not be fitted, by (steel, finish)."""
        return {(self.groups[index].steel, self.groups[index].finish): self.remarks[index]
                for index in np.flatnonzero(~self.fitted).tolist()}

    def _columns(self) -> dict[str, Any]:
        columns: dict[str, Any] = {}
        for name in ("steel", "finish"):
            columns[name] = np.array([getattr(group, name) for group in self.groups], dtype=object)
        columns["status"] = np.array([_core.decode(lib.oxt_status_name(status)).removeprefix("OXT_")
                                      for status in self._groups["status"].tolist()], dtype=object)
        growth = self._values["growth"]
        for name in ("k_ref_nm2_per_s", "T_ref_K", "Q_J_per_mol"):
            columns[name] = growth[name].copy()
        columns["law"] = np.array([LAWS[law] for law in growth["law"].tolist()], dtype=object)
        columns |= {"law_" + name: growth[name].copy() for name in ("shape", "middle_nm")}
        columns["initial_nm"] = growth["initial_nm"].copy()
        columns |= {name: np.where(self.fitted, self._values[name], np.nan) for name in _NUMBERS}
        columns["trial_count"] = self._groups["trial_count"].astype(np.int64)
        columns["remarks"] = np.array(self.remarks, dtype=object)
        return columns

    def to_frame(self) -> Any:
        """A row for each group as a DataFrame of pandas, which must be installed."""
        return pandas().DataFrame(self._columns())

    def _at(self, index: int) -> Fit:
        group, (_, arguments, named) = self.groups[index], self._made_by
        options = {name: value for name, value in named.items() if name != "threads"}
        return fit(arguments[0]._log, group.steel, group.finish, **options)

    def __getitem__(self, key: Any) -> Fit:
        if isinstance(key, (int, np.integer)):
            return self._at(range(len(self))[key])
        steel, finish = key if isinstance(key, tuple) else (key, None)
        found = [index for index, group in enumerate(self.groups)
                 if group.steel == steel and finish in (None, group.finish)]
        if not found:
            raise KeyError(key)
        if len(found) > 1:
            raise KeyError(f"{steel} has the finishes " + ", ".join(repr(self.groups[i].finish) for i in found)
                           + ": give (steel, finish)")
        return self._at(found[0])

    def __iter__(self) -> Iterator[Fit]:
        return (self._at(index) for index in np.flatnonzero(self.fitted).tolist())

    def __repr__(self) -> str:
        return f"<Fits of {len(self)} steels and finishes, {self._fields['failed_count']} not fitted>"


def fit_each(
    log: Logged,
    steel: str | None = None,
    finish: str | None = None,
    *,
    film: Film | None = None,
    threads: int = 0,
    progress: Callable[[float], object] | None = None,
    **told: Unpack[FitOptions],
) -> Fits:
    """Fit each steel with each of its finishes by itself, on the threads of the machine.

    >>> import oxtint
    >>> log = oxtint.read_trials_text('''steel,bath_F,time_s,thickness_nm
    ... Alder 1,550,60,35.0
    ... Alder 1,550,240,71.5
    ... Alder 1,600,60,51.0
    ... Alder 1,650,30,49.0
    ... Birch 2,600,60,50.0
    ... ''')
    >>> fits = oxtint.fit_each(log)
    >>> fits, list(fits.failed)
    (<Fits of 2 steels and finishes, 1 not fitted>, [('Birch 2', '')])
    >>> fits["Alder 1"].Q_J_per_mol == oxtint.fit(log, "Alder 1").Q_J_per_mol == oxtint.columns(fits)["Q_J_per_mol"].tolist()[0]
    True

    Args:
        log: the trials, as fit() takes them
        steel, finish: only the groups of this steel, or of this finish; None for all
        film: film that colours are read with; the one as tabulated when None
        told: of each fit, as in FitOptions
        threads: 0 for one per processor; the results are the same on any number
        progress: called now and then with the share done, 1 at the end; what it raises stops the call

    Raises:
        OxtintValueError: no group is asked for; a group that cannot be fitted raises nothing and is in
            ``failed``
    """
    of_each, keep, best = fit_options(fit_each, steel, finish, told)
    log = log_of(log)
    options = _core.new_struct("oxt_fit_each_options")
    options.fit, options.threads, options.best_law = of_each, _core.whole(threads, "threads"), best
    found = Fits._run(lib.oxt_fit_each_run, options, progress, log._handle, film_of(film)._handle)
    del keep
    found._remember(fit_each, (Snapshot(log), steel, finish), dict(film=film, threads=threads, **told))
    return found
