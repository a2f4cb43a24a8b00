# SPDX-License-Identifier: GPL-3.0-or-later
"""
How sure is one time?
=====================

The same dip predicted from each replicate of a bootstrap, beside the two intervals of its report and the window that has
to be hit.
"""
import oxtint

fit = oxtint.fit(oxtint.read_trials("../demo/trials.csv"), "Alder 1", "satin")
oxtint.time_spread(fit, "blue", "600 F")

# sphinx_gallery_start_ignore
CAPTION = """Where the lift time of a dip to blue may lie: the bootstrap's replicates, the lift-time uncertainty by the fit only
and of the next dip, and the window in which the part is blue."""
ALT = """A histogram of lift times by the replicates of a bootstrap over a time axis, with two horizontal bars of the intervals
of the mean and of the next dip, and a shaded window of the colour blue: wider than the former, narrower than the latter."""
# sphinx_gallery_end_ignore
