# SPDX-License-Identifier: GPL-3.0-or-later
"""
What is left of each coupon
===========================

How far each coupon lies from what the fit predicts, in its own error, and how much it determines of its own
prediction. Points beyond 2 and coupons of high leverage are the ones to look up.
"""
import oxtint

log = oxtint.read_trials("../demo/trials.csv")
oxtint.residuals(oxtint.fit(log, "Cedar 3", "satin"), log)

# sphinx_gallery_start_ignore
CAPTION = """The residuals of ten coupons of the demo shop, in the order of the log; the size of a mark is its leverage."""
ALT = """A mark for each of ten coupons along the lines of the log, at the height of its residual over its error, all within a
grey band from minus two to plus two. The larger the mark, the more the coupon determines of its own prediction."""
# sphinx_gallery_end_ignore
