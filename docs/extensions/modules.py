# SPDX-License-Identifier: GPL-3.0-or-later
"""The page of the Python reference: every public name, by the module it is made in, for autodoc."""
import importlib
import inspect

import oxtint
from oxtint._core import Computed
from oxtint.growth import Growth


def _directive(name: str, thing: object) -> list[str]:
    kind = ("autoexception" if inspect.isclass(thing) and issubclass(thing, Exception)
            else "autoclass" if inspect.isclass(thing)
            else "autofunction" if inspect.isfunction(thing) else "autodata")
    options = ["   :members:"] if kind in ("autoclass", "autoexception") else []
    # What a class of the package has from another one of it, such as Steel from Growth, and Fit its report.
    options += ["   :inherited-members: Frozen, Mapping"] if isinstance(thing, type) and issubclass(thing, (Growth, Computed)) else []
    options += ["   :no-value:"] if kind == "autodata" else []
    return [f".. {kind}:: {name}", *options, ""]


def public() -> dict[str, dict[str, object]]:
    """Module -> full name -> thing."""
    found: dict[str, dict[str, object]] = {}
    for name in oxtint.__all__:
        thing = getattr(oxtint, name)
        module = getattr(thing, "__module__", "oxtint.film")  # OIL_INDEX is a number
        found.setdefault(module, {})[f"oxtint.{name}"] = thing
    return dict(sorted(found.items()))


def page() -> str:
    """The whole package."""
    lines = [".. Made from the docstrings of the package; do not edit.", "", "Python", "======", "",
             ":doc:`../reference/python` tells how to install it and what holds for every call.", ""]
    for module, names in public().items():
        about = (inspect.getdoc(importlib.import_module(module)) or "").partition("\n\n")[0]
        lines += [module, "-" * len(module), "", " ".join(about.split()), ""]
        for name, thing in names.items():
            lines += _directive(name, thing)
    return "\n".join(lines)
