# SPDX-License-Identifier: GPL-3.0-or-later
"""The package as its users type it: mypy and pyright read this file, nothing runs it."""
from pathlib import Path
from typing import Any

import numpy as np
import oxtint
import pandas
from numpy.typing import NDArray
from typing_extensions import assert_type

steel = oxtint.load_steel(Path("card.json"))

# A float in is a float out, an array an array.
assert_type(steel.thickness(600.0, 60), float)
assert_type(steel.thickness("600 F", "1:30"), float)
assert_type(steel.thickness(np.float64(600.0), 60.0), float)
assert_type(steel.thickness([560.0, 600.0], 60.0), NDArray[np.float64])
assert_type(steel.thickness(600.0, ["1:00", "2:00"]), NDArray[np.float64])
assert_type(steel.thickness(np.linspace(560.0, 640.0, 5), (30.0, 60.0)), NDArray[np.float64])
assert_type(steel.time_for(57.0, "600 F"), float)
assert_type(steel.time_for("57 nm", 600.0), float)
assert_type(steel.time_for([40.0, 57.0], "600 F"), NDArray[np.float64])
assert_type(steel.time_for(57.0, np.array([560.0, 600.0])), NDArray[np.float64])
assert_type(oxtint.name_of(57.0), str)
assert_type(oxtint.name_of([57.0, 60.0]), NDArray[np.object_])
assert_type(oxtint.Material("iron").index(550.0), complex)
assert_type(oxtint.Material("iron").index([550.0, 600.0]), NDArray[np.complex128])
assert_type(oxtint.film_lab(57.0), NDArray[np.float64])

frame = pandas.DataFrame({"bath": ["600 F"], "seconds": [60.0]})
films: NDArray[np.float64] = steel.thickness(frame["bath"], frame["seconds"])

# What a dip may be told is declared once, and has its types wherever it is taken.
assert_type(steel.dip("blue", "600 F", part="6 mm", lift="4 s", bath_wander_K="5 F"), oxtint.Dip)
assert_type(steel.dip(57.0, 600.0, part=oxtint.Part("6 mm"), last_temper=("400 F", "2 h")), oxtint.Dip)
assert_type(steel.bath_for("blue", "2:00", coupon=0.002), float)
told: oxtint.DipOptions = {"part": "6 mm", "load_kg": 0.5, "initial": "straw"}
assert_type(steel.most_forgiving("blue", **told), oxtint.Dip)
rows = steel.baths("blue", rows=5, **told)
assert_type(rows, oxtint.Baths)
for dip in rows:
    assert_type(dip, oxtint.Dip)
assert_type(rows.best.time_s, float)
oxtint.plan_set([("ring", steel, "blue"), oxtint.SetPart("bezel", steel, "blue", **told)], "600 F")

# Whatever a log can be is taken for one.
records: list[dict[str, Any]] = [{"steel": "Alder 1", "bath": "600 F", "time_s": 60, "colour": "blue"}]
for found in (oxtint.fit("trials.csv"), oxtint.fit(Path("trials.csv")), oxtint.fit(frame),
              oxtint.fit({"steel": ["Alder 1"]}), oxtint.fit(records),
              oxtint.fit(oxtint.read_trials("trials.csv")[2:])):
    assert_type(found, oxtint.Fit)
assert_type(oxtint.fit("trials.csv").rows[0].seen, str)
