# SPDX-License-Identifier: GPL-3.0-or-later
"""
Rate against temperature
========================

On these axes the rate is a straight line, whose slope is the activation energy. Each coupon gives one point of it, from
whatever colour it shows.
"""
import oxtint

log = oxtint.read_trials("../demo/trials.csv")
oxtint.arrhenius(oxtint.fit(log, "Alder 1", "satin"), log)

# sphinx_gallery_start_ignore
CAPTION = """The rates of ten coupons of the demo shop with the line of the fit. The inner band is where the line may lie, the
outer one where one more coupon may."""
ALT = """The growth rate on a logarithmic axis against bath temperature, which rises to the right evenly in 1/T. Ten coupons lie
near a straight line from 13 to 77 nm²/s; a band about it opens towards both ends, and a wider one holds all coupons."""
# sphinx_gallery_end_ignore
