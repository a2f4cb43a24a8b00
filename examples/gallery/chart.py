# SPDX-License-Identifier: GPL-3.0-or-later
"""
The chart of a steel
====================

Bath temperature across, time up, the film's colour at each point: one look shows what a bath and a time give. The
coupons stand on it in the colour that was seen, and a dip with its window.
"""
import oxtint

log = oxtint.read_trials("../demo/trials.csv")
steel = oxtint.fit(log, "Alder 1", "satin").steel
oxtint.colour_chart(steel, log, dip=steel.dip("blue", "600 F"))

# sphinx_gallery_start_ignore
CAPTION = """The chart of an invented bar of the demo shop. Within the dashed line are the baths and films of its coupons."""
ALT = """A chart with bath temperature across and time up on a logarithmic scale, filled with the colours of the film in
bands that fall to the right, their names at the right edge. Round marks of coupons lie on it, and a vertical bar for the
window of a dip to blue at 600 F."""
# sphinx_gallery_end_ignore
