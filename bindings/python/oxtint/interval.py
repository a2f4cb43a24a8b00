# SPDX-License-Identifier: GPL-3.0-or-later
"""How uncertain a fit is, other than by Student's t: profiles and the bootstrap."""
from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any, Literal

import numpy as np

from . import _core
from ._core import Array, call, choose
from ._oxtint import ffi, lib
from .error import OxtintTypeError
from .growth import LAWS, LawName

What = Literal["ln-k", "Q", "dip-time", "shape"]

_WHAT = {"ln-k": lib.OXT_INTERVAL_LN_K, "Q": lib.OXT_INTERVAL_Q, "dip-time": lib.OXT_INTERVAL_DIP_TIME,
         "shape": lib.OXT_INTERVAL_SHAPE}
_SCALES = {"stated": lib.OXT_INTERVAL_SCALE_STATED, "reduced": lib.OXT_INTERVAL_SCALE_REDUCED}
_KINDS = {"pairs": lib.OXT_BOOTSTRAP_PAIRS, "residual": lib.OXT_BOOTSTRAP_RESIDUAL}
_METHODS = {"percentile": lib.OXT_BOOTSTRAP_PERCENTILE, "bias-corrected": lib.OXT_BOOTSTRAP_BIAS_CORRECTED}


def _subject(what: str, bath: float | str | None) -> tuple[int, float]:
    number = choose(_WHAT, what, "what")
    if what != "dip-time":
        return number, 0.0
    if bath is None:
        raise OxtintTypeError("bath is missing: the interval of a dip's time needs one")
    return number, _core.kelvin(bath)


def profile(handle: Any, what: str, bath: float | str | None, confidence: float, scale: str,
            progress: Callable[[float], object] | None) -> tuple[float, float]:
    """Fit.profile of the fit behind a handle."""
    options = _core.new_struct("oxt_interval_options")
    options.confidence = _core.number(confidence, "confidence")
    options.scale = choose(_SCALES, scale, "scale")
    limits = ffi.new("double[2]")
    _core.call_with_progress(lib.oxt_interval_profile, options, progress, handle, *_subject(what, bath), options,
                             limits, limits + 1)
    return float(limits[0]), float(limits[1])


class Bootstrap(_core.Computed):
    """Many fits of logs drawn from the rows of one; make it by Fit.bootstrap(). It never changes.

    Attributes:
        replicates, failed: how many were asked for, and how many of them could not be fitted
        T_ref_K: of the fit
        mean_ln_k, mean_Q_J_per_mol: means of the replicates
        sd_ln_k, sd_Q_J_per_mol: their standard deviations, that is standard errors
        correlation: of ln k_ref and Q
        law: of the fit
        law_middle_nm: nm, film at which it is scaled; 0 of the parabolic law
        mean_ln_shape, sd_ln_shape: of ln of the shape; 0 where the fit did not find it
        ln_k, Q_J_per_mol, law_shape: ln k_ref, Q and the shape of the law of each replicate, NaN for those left out
    """

    _prefix = "oxt_bootstrap"
    _how = "a Bootstrap by Fit.bootstrap()"
    _behind = (0, ffi.NULL, ffi.NULL, ffi.NULL)
    replicates = _core.Field[int]()
    failed = _core.Field[int]()
    T_ref_K = _core.Field[float]()
    mean_ln_k = _core.Field[float]()
    mean_Q_J_per_mol = _core.Field[float]()
    sd_ln_k = _core.Field[float]()
    sd_Q_J_per_mol = _core.Field[float]()
    correlation = _core.Field[float]()
    law = _core.Field[LawName]()
    law_middle_nm = _core.Field[float]()
    mean_ln_shape = _core.Field[float]()
    sd_ln_shape = _core.Field[float]()

    @functools.cached_property
    def _arrays(self) -> tuple[Array, ...]:
        arrays = tuple(np.empty(self.replicates) for _ in range(3))
        call(lib.oxt_bootstrap_get, self._handle, ffi.NULL, self.replicates,
             *(ffi.from_buffer("double[]", array) for array in arrays))
        for array in arrays:
            array.flags.writeable = False
        return arrays

    @property
    def ln_k(self) -> Array:
        """ln k_ref of each replicate, NaN for those left out."""
        return self._arrays[0]

    @property
    def Q_J_per_mol(self) -> Array:
        """Q (J/mol) of each replicate, NaN for those left out."""
        return self._arrays[1]

    @property
    def law_shape(self) -> Array:
        """Shape of the law (n, A in nm or L in nm) of each replicate, NaN for those left out; 0 of the parabolic law."""
        return self._arrays[2]

    def interval(
        self,
        what: What,
        bath: float | str | None = None,
        *,
        thickness_nm: float = 0.0,
        confidence: float = 0.95,
        method: Literal["percentile", "bias-corrected"] = "percentile",
    ) -> tuple[float, float]:
        """Limits by the bootstrap.

        Args:
            what: "ln-k" (of k_ref), "Q" (J/mol), "shape" (of the law, where the fit found it), or "dip-time":
                factors on the mean time of a dip
            bath: K, or a text such as "600 F"; for "dip-time"
            thickness_nm: nm, film of the dip, on bare steel, for "dip-time"; 0: the middle one. All films of the
                parabolic law are alike
            confidence: 0.5 to 0.9999
            method: "percentile", or "bias-corrected" so that the fit itself is the median
        """
        return _core.two_of(lib.oxt_bootstrap_interval, self._handle, *_subject(what, bath),
                            _core.number(thickness_nm, "thickness_nm"), _core.number(confidence, "confidence"),
                            choose(_METHODS, method, "method"))

    def _columns(self) -> dict[str, Array]:
        return {"ln_k": self.ln_k.copy(), "Q_J_per_mol": self.Q_J_per_mol.copy(), "law_shape": self.law_shape.copy()}

    def __repr__(self) -> str:
        return (f"<Bootstrap of {self.replicates} replicates, {self.failed} left out: standard "
                f"errors {self.sd_ln_k:.3g} of ln k_ref, {self.sd_Q_J_per_mol / 1e3:.3g} kJ/mol of Q>")


def bootstrap(fit: Any, replicates: int, kind: str, random_seed: int, threads: int,
              progress: Callable[[float], object] | None) -> Bootstrap:
    """What Fit.bootstrap() does."""
    options = _core.new_struct("oxt_bootstrap_options")
    _core.put(options, _core.whole, replicates=replicates, random_seed=random_seed, threads=threads)
    options.kind = choose(_KINDS, kind, "kind")
    found = Bootstrap._run(lib.oxt_bootstrap_run, options, progress, fit._handle)
    found._fields |= {"law": LAWS[found._fields["law"]]}
    found._remember(type(fit).bootstrap, (fit, replicates), dict(
        kind=kind, random_seed=random_seed, threads=threads))
    return found
