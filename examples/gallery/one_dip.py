# SPDX-License-Identifier: GPL-3.0-or-later
"""
One dip
=======

From entering the salt to the quench: heating-up, the colours that are passed, when to lift, and what still grows on the
way to the quench.
"""
import oxtint

steel = oxtint.fit(oxtint.read_trials("../demo/trials.csv"), "Alder 1", "satin").steel
oxtint.growth_curve(steel, "blue", "600 F", part=oxtint.Part("6 mm"), lift=oxtint.Lift("4 s"))

# sphinx_gallery_start_ignore
CAPTION = """The film of a 6 mm plate at 600 F, lifted at the best moment and quenched 4 s later. How the coupons were
run is not stated here, so their own heating-up is in these times too, and they are too long by it."""
ALT = """The film thickness of one dip against time, flat at first while the part warms up, then rising through bands of
trade colours; a shaded window marks when the part is blue, a line the lift."""
# sphinx_gallery_end_ignore
