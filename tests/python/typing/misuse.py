# SPDX-License-Identifier: GPL-3.0-or-later
"""Each line that ends in a mark is a mistake, which mypy and pyright must find; nothing runs it."""
import oxtint

steel = oxtint.load_steel("card.json")
steel.dip("blue", "600 F", prat="6 mm")  # wrong
steel.dip("blue", "600 F", part=["6 mm"])  # wrong
steel.dip("blue", "600 F", lift={})  # wrong
steel.bath_for("blue", "2:00", load_kg="1 kg")  # wrong
steel.baths("blue", last_temper="400 F")  # wrong
oxtint.SetPart("ring", "Alder 1", "blue")  # wrong
oxtint.SetPart("ring", steel, "blue", coupon=None, salt_bath="ternary")  # wrong
steel.thickness(600.0, 60.0).shape  # wrong
steel.thickness([600.0], 60.0).hex()  # wrong
oxtint.fit(57.0)  # wrong
