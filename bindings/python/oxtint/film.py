# SPDX-License-Identifier: GPL-3.0-or-later
"""Film -> colour -> trade name, and a wanted colour -> thickness."""
from __future__ import annotations

import copyreg
import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from . import _core
from ._core import PLAIN, Array, Many, call, choose
from ._oxtint import ffi, lib
from .error import OxtintValueError
from .light import Light
from .material import Material
from .tint import Target, Tint, Wanted
from .words import Words, WordsLike, handle_of, words_of


GRADES = {"mirror": lib.OXT_FINISH_MIRROR, "satin": lib.OXT_FINISH_SATIN, "matte": lib.OXT_FINISH_MATTE}
_POLARISATIONS = {"none": lib.OXT_POLARISATION_NONE, "s": lib.OXT_POLARISATION_S, "p": lib.OXT_POLARISATION_P}
_VERDICTS = {lib.OXT_MATCH_UNIQUE: "unique", lib.OXT_MATCH_AMBIGUOUS: "ambiguous",
             lib.OXT_MATCH_OFF_PATH: "not on this film's path"}

OIL_INDEX = float(lib.OXT_OIL_INDEX)  #: of oil, wax or clear lacquer; common practice, no source


@dataclass(frozen=True)
class Finish:
    """A surface as spreads: of thickness (standard deviation of ln), and the tilt of its facets.

    >>> Finish.named("satin")
    Finish(thickness_spread=0.05, angle_spread_deg=8.0)
    """

    thickness_spread: float = 0.0
    angle_spread_deg: float = 0.0

    @classmethod
    def named(cls, grade: str) -> Finish:
        """ "mirror", "satin" or "matte"; their values are the project's own assumption."""
        return cls(*_core.two_of(lib.oxt_film_finish, choose(GRADES, grade, "grade")))


@dataclass(frozen=True)
class Match:
    """One film whose colour is near a measured one.

    Attributes:
        thickness_nm: nm, where the colour is nearest
        low_nm, high_nm: nm, between them it is as near as the colour is certain
        uncertainty_nm: nm, half of that stretch
        difference: CIEDE2000 at thickness_nm
        order: order of interference, 1 or 2; 0 beyond the second
    """

    thickness_nm: float
    low_nm: float
    high_nm: float
    uncertainty_nm: float
    difference: float
    order: int


@dataclass(frozen=True)
class Matches:
    """What Film.match() found: the films, the nearest first, and a verdict: "unique", "ambiguous" or
    "not on this film's path"."""

    verdict: str
    films: tuple[Match, ...]


class Film(_core.Frozen):
    """Films on a metal, seen in a light; by default air | magnetite | iron, straight on, in daylight.

    A film never changes and may be shared by threads.

    Args:
        absorption_scale: factor on the tabulated absorption of the films, 0 to 5
        layers: the films, the outermost first: materials, names, or pairs with a share of the
            thickness; shares are equal when not given
        substrate: what they grow on, a material or a name
        angle_deg: degrees, angle of incidence, 0 to 85
        polarisation: "none", "s" or "p"
        finish: a Finish, or "mirror", "satin" or "matte"
        coat_index: index of oil, wax or lacquer on top (OIL_INDEX), 0 for none
        light: a Light, or the name of an illuminant
        words: a shop's own words for colours, which are then read and written: a Words, or what makes one

    >>> Film().lab([0.0, 57.0]).shape
    (2, 3)
    >>> film = Film(finish="matte")
    >>> film.tint(57.0).label, round(film.find_tint("blue").centre_nm, 1)
    ('blue', 57.9)
    >>> film.target("blue").order, round(film.target("60 nm").high_nm, 6)
    (1, 63.0)
    >>> seen = film.match(film.lab(57.0))
    >>> seen.verdict, round(seen.films[0].thickness_nm, 1)
    ('unique', 57.0)
    """

    def __init__(
        self,
        absorption_scale: float = 1.0,
        *,
        layers: Sequence[Material | str | tuple[Material | str, float]] = (),
        substrate: Material | str | None = None,
        angle_deg: float = 0.0,
        polarisation: str = "none",
        finish: Finish | str = "mirror",
        coat_index: float = 0.0,
        light: Light | str = "D65",
        words: WordsLike | None = None,
    ) -> None:
        words = words_of(words)
        finish = Finish.named(finish) if isinstance(finish, str) else _core.expect(finish, Finish, "finish")
        light = Light(light) if isinstance(light, str) else _core.expect(light, Light, "light")
        layers = _core.listed(layers, "layers")
        self._made_of: dict[str, Any] = {
            "layers": tuple(layers), "substrate": substrate, "angle_deg": angle_deg,
            "polarisation": polarisation, "finish": finish, "coat_index": coat_index,
            "light": light, "words": words}
        options = _core.new_struct("oxt_film_options")
        keep = self._fill_stack(options, layers, substrate)
        options.polarisation = choose(_POLARISATIONS, polarisation, "polarisation")
        _core.put(options, _core.number, absorption_scale=absorption_scale, angle_deg=angle_deg, coat_index=coat_index,
                  thickness_spread=finish.thickness_spread, angle_spread_deg=finish.angle_spread_deg)
        options.illuminant, options.observer = light._numbers()
        options.words = handle_of(words)
        self._handle = _core.owned("oxt_film", lib.oxt_film_new, options)
        del keep  # the film has copies of its materials
        self._ranges = words is not None and any(one.index is None for one in words)
        self.absorption_scale = float(absorption_scale)
        self._targets: dict[str, Target] = {}  # by the texts that were read
        self._finish()

    @staticmethod
    def _fill_stack(options: Any, layers: Sequence[Any], substrate: Material | str | None) -> Any:
        pairs = [layer if isinstance(layer, tuple) else (layer, None) for layer in layers]
        given = [share for _, share in pairs if share is not None]
        if given and len(given) != len(pairs):
            raise OxtintValueError("give every layer a share of the thickness, or none")
        materials = [Material(m) if isinstance(m, str) else _core.expect(m, Material, "layers")
                     for m, _ in pairs]
        handles = ffi.new("oxt_material *[]", [m._handle for m in materials]) if pairs else ffi.NULL
        shares = ffi.new("double[]", [_core.number(s, "layers") for s in given]) if given else ffi.NULL
        metal = None if substrate is None else (
            Material(substrate) if isinstance(substrate, str) else
            _core.expect(substrate, Material, "substrate"))
        options.layer_count, options.layers, options.shares = len(pairs), handles, shares
        if metal is not None:
            options.substrate = metal._handle
        return materials, handles, shares, metal

    @property
    def description(self) -> str:
        """What the film is, in words; films of the same description give the same colours."""
        return _core.text_of(lib.oxt_film_description, self._handle)

    def __repr__(self) -> str:
        return f"<Film {self.description}>"

    def _repr_png_(self) -> bytes | None:
        return _core.as_png(self)

    def __reduce__(self) -> tuple[Any, tuple[Any, ...]]:
        return functools.partial(Film, **self._made_of), (self.absorption_scale,)

    @property
    def white_xyz(self) -> Array:
        """XYZ of the white of the film's light, Y = 100."""
        light: Light = self._made_of["light"]
        return light.white_xyz

    def reflectance(
        self, thickness_nm: float | str, wavelength_nm: ArrayLike | None = None
    ) -> tuple[Array, Array]:
        """Wavelengths (nm) and reflectance (0 to 1) of a film.

        Args:
            thickness_nm: nm, 0 to 1000
            wavelength_nm: nm, 380 to 780; every 5 nm when None
        """
        if wavelength_nm is None:
            wavelength_nm = lib.OXT_WAVELENGTH_LOW_NM + lib.OXT_WAVELENGTH_STEP_NM * np.arange(
                lib.OXT_WAVELENGTH_COUNT)
        waves = _core.numbers(wavelength_nm, "wavelength_nm")
        result = np.empty_like(waves)
        call(lib.oxt_film_reflectance, self._handle, _core.nanometres(thickness_nm),
             waves.size, ffi.from_buffer("double[]", waves.reshape(-1)),
             ffi.from_buffer("double[]", result.reshape(-1)))
        return waves, result

    def _colours(self, space: str, thickness_nm: ArrayLike) -> tuple[Array, NDArray[np.bool_]]:
        return _core.map_colours(lib.oxt_film_colours, self._handle, getattr(lib, f"OXT_SPACE_{space}"),
                                 thickness_nm)

    def xyz(self, thickness_nm: float | str) -> Array:
        """XYZ (white Y = 100) of a film of 0 to 1000 nm."""
        return self._colours("XYZ", _core.nanometres(thickness_nm))[0]

    def lab(self, thickness_nm: ArrayLike) -> Array:
        """CIE L*, a*, b* of films of 0 to 1000 nm; shape (..., 3)."""
        return self._colours("LAB", thickness_nm)[0]

    def srgb(self, thickness_nm: ArrayLike) -> Array:
        """sRGB (0 to 1) of films of 0 to 1000 nm, adapted to D65; shape (..., 3).

        Where a screen cannot show a colour its chroma is reduced, lightness and hue in Oklab kept.
        """
        return self._colours("SRGB", thickness_nm)[0]

    def out_of_gamut(self, thickness_nm: ArrayLike) -> NDArray[np.bool_]:
        """Where a screen cannot show the colour, so that srgb() reduced its chroma."""
        return self._colours("SRGB", thickness_nm)[1]

    def path_lab(self, thickness_nm: ArrayLike) -> Array:
        """As lab(), 0 to 400 nm, from the prepared path: fast, within CIEDE2000 0.02."""
        return self._colours("PATH_LAB", thickness_nm)[0]

    def path_xyz(self, thickness_nm: ArrayLike) -> Array:
        """XYZ (white Y = 100) of films of 0 to 400 nm from the prepared path; shape (..., 3)."""
        return self._colours("PATH_XYZ", thickness_nm)[0]

    def path_srgb(self, thickness_nm: ArrayLike) -> Array:
        """As srgb(), 0 to 400 nm, from the prepared path."""
        return self._colours("PATH_SRGB", thickness_nm)[0]

    def difference(self, other: Film, thickness_nm: float | str) -> float:
        """How far the colour of a thickness moves to another film: CIEDE2000, both adapted to D65.

        With the same stack in daylight and under a lamp this is a figure of metamerism.
        """
        return _core.number_of(lib.oxt_film_difference, self._handle, _core.expect(other, Film, "other")._handle,
                               _core.nanometres(thickness_nm))

    def match(
        self,
        lab: ArrayLike,
        *,
        tolerance: float = 3.0,
        reach: float = 15.0,
        lightness_factor: float = 1.0,
        chroma_factor: float = 1.0,
    ) -> Matches:
        """All films (0 to 280 nm) that have a measured colour, the nearest first.

        Args:
            lab: measured L*, a*, b* against the white of the film's light
            tolerance: CIEDE2000 by which the colour may be wrong
            reach: CIEDE2000 beyond which it is no colour of this film
            lightness_factor: k_L of CIEDE2000, 1 or more; large for a photograph
            chroma_factor: k_C of CIEDE2000, 1 or more; with both at 1e9, hue alone counts
        """
        colour = _core.colour(lab, "lab")
        options = _core.new_struct("oxt_match_options")
        _core.put(options, _core.number, tolerance=tolerance, reach=reach, lightness_factor=lightness_factor,
                  chroma_factor=chroma_factor)
        capacity = 16
        found = ffi.new("oxt_match[]", [_core.new_struct("oxt_match")[0]] * capacity)
        count, verdict = ffi.new("size_t *"), ffi.new("oxt_match_verdict *")
        call(lib.oxt_film_match, self._handle, ffi.from_buffer("double[]", colour), options, capacity,
             found, count, verdict)
        return Matches(_VERDICTS[verdict[0]],
                       tuple(Match(**_core.take(found[i])) for i in range(min(count[0], capacity))))

    def tint(self, thickness_nm: float | str) -> Tint:
        """The band of trade colour that a thickness lies in (from 0 to the end of the second order)."""
        if type(thickness_nm) in PLAIN and not self._ranges:
            index: int = lib.short_tint(self._handle, thickness_nm)
            if index >= 0:
                return self._bands[index]
        return Tint(**_core.filled("oxt_tint", lib.oxt_tint_at, self._handle, _core.nanometres(thickness_nm)))

    def tints(self) -> tuple[Tint, ...]:
        """All bands, in order of thickness."""
        return self._bands

    @functools.cached_property
    def _bands(self) -> tuple[Tint, ...]:
        return tuple(Tint(**_core.filled("oxt_tint", lib.oxt_tint_band, self._handle, index))
                     for index in range(lib.OXT_TINT_COUNT))

    def find_tint(self, name: str) -> Tint:
        """The band that a trade name means, such as "blue" or "second order blue"."""
        return Tint(**_core.filled("oxt_tint", lib.oxt_tint_find, self._handle, _core.encode(name, "name")))

    def target(
        self,
        wanted: Wanted,
        *,
        tolerance: float = 10.0,
        order: int = 0,
    ) -> Target:
        """A wanted colour as an aim and an interval of thickness.

        Args:
            wanted: a trade name ("blue", "second order blue"), a thickness ("57 nm", or a number in
                nm, with bounds 5 % to either side), an sRGB colour ("#2b3a67"), or L*, a*, b*
            tolerance: largest CIEDE2000 that still counts as the colour L*, a*, b*
            order: order of interference wanted of L*, a*, b*: 1, 2, or 0 for the nearest of both
        """
        return self._target(wanted, "target", tolerance, order)

    def _target(self, wanted: Wanted, name: str, tolerance: float = 10.0, order: int = 0) -> Target:
        """What target() does, of an argument of another name."""
        if isinstance(wanted, Target):
            return wanted
        if wanted.__class__ is str and wanted in self._targets:
            return self._targets[wanted]
        target = _core.new_struct("oxt_target")
        if isinstance(wanted, str):
            call(lib.oxt_tint_target, self._handle, _core.encode(wanted, name), target)
            if len(self._targets) < 256:
                self._targets[wanted] = Target._of(target)
        elif np.ndim(wanted) == 0:
            text = f"{_core.number(wanted, name, 'nm, a text such as blue or 57 nm, or L*, a*, b*')!r} nm"
            call(lib.oxt_tint_target, self._handle, text.encode(), target)
        else:
            lab = _core.colour(wanted, name)
            call(lib.oxt_tint_target_of_lab, self._handle, ffi.from_buffer("double[]", lab),
                 _core.number(tolerance, "tolerance"), _core.whole(order, "order", 2**31 - 1), target)
        return Target._of(target)


#: The film as tabulated, made once.
default_film: Callable[[], Film] = functools.cache(Film)


def _words_again(words: Words) -> tuple[Any, tuple[Any, ...]]:
    """How words are pickled and copied: a band by its name, which a film knows."""
    tints = default_film().tints()
    return Words, ({one.word: (one.low_nm, one.high_nm) if one.index is None else tints[one.index].label
                    for one in words},)


copyreg.pickle(Words, _words_again)


#: The film as tabulated, in a shop's words.
film_in: Callable[[Words], Film] = functools.lru_cache(maxsize=16)(lambda words: Film(words=words))


def film_lab(thickness_nm: ArrayLike) -> Array:
    """CIE L*, a*, b* of magnetite films of 0 to 1000 nm on iron; shape (..., 3).

    >>> film_lab([0.0, 57.0]).shape
    (2, 3)
    """
    return default_film().lab(thickness_nm)


def film_srgb(thickness_nm: ArrayLike) -> Array:
    """sRGB (0 to 1) of magnetite films of 0 to 1000 nm on iron, brought into the gamut; (..., 3).

    >>> film_srgb([0.0, 57.0]).round(2).tolist()
    [[0.75, 0.74, 0.73], [0.0, 0.37, 0.64]]
    """
    return default_film().srgb(thickness_nm)


def film_reflectance(thickness_nm: float | str) -> tuple[Array, Array]:
    """Wavelengths (nm, every 5 from 380 to 780) and reflectance (0 to 1) of a film of 0 to 1000 nm.

    >>> wavelength_nm, reflectance = film_reflectance(57.0)
    >>> wavelength_nm.size, bool(reflectance[0] > reflectance.min())
    (81, True)
    """
    return default_film().reflectance(thickness_nm)


@overload
def name_of(thickness_nm: float | str) -> str: ...


@overload
def name_of(thickness_nm: Many) -> NDArray[np.object_]: ...


def name_of(thickness_nm: float | str | Many) -> str | NDArray[np.object_]:
    """Trade name of a film (nm or a text such as "57 nm"), with its order where needed; an array of names
    for an array, None where it has NaN.

    >>> name_of(57.0)
    'blue'
    >>> name_of(175.0)
    'second-order blue'
    """
    tint = default_film().tint
    if isinstance(thickness_nm, (float, str)):
        return tint(thickness_nm).label
    thickness = np.asarray(_core.quantities(thickness_nm, _core.nanometres, "thickness_nm"),
                           dtype=np.float64)
    if thickness.ndim == 0:
        return tint(float(thickness)).label
    names = [None if math.isnan(x) else tint(x).label for x in thickness.ravel().tolist()]
    return np.array(names, dtype=object).reshape(thickness.shape)
