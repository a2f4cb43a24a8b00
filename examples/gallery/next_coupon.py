# SPDX-License-Identifier: GPL-3.0-or-later
"""
The next coupon
===============

What would one more coupon leave of the uncertainty of a dip? The map answers for every bath and time; the numbers are
the coupons that are advised.
"""
import oxtint

log = oxtint.read_trials("../demo/trials.csv")
steel = oxtint.fit(log, "Birch 2", "mirror").steel
oxtint.coupon_map(steel, "blue", "650 F", trials=log, low="540 F", high="660 F", shortest="20 s", count=2)

# sphinx_gallery_start_ignore
CAPTION = """The dip is to blue at 650 F; dark cells are the coupons that help it most. Hatched cells would tell nothing."""
ALT = """A map with bath temperature across and time up, shaded by how much of the interval of a dip one more coupon would leave.
A dark band of short times on the hot side helps most; numbered marks are the advised coupons."""
# sphinx_gallery_end_ignore
