# SPDX-License-Identifier: GPL-3.0-or-later
"""
The ladder of colours
=====================

Every trade name of a film, and where each begins and ends: here of a satin part that will be oiled.
"""
import oxtint

oxtint.colour_ladder(oxtint.Film(finish="satin", coat_index=oxtint.OIL_INDEX))

# sphinx_gallery_start_ignore
CAPTION = """The trade names of an oiled satin surface, from bright at the bottom to the second-order green at the top, with the
films in nm at which each ends."""
ALT = """A tall strip of the colours of a film, from grey at the bottom through brown, purple and blue to silver, and on through
the second order to green. Beside it stand the trade names, and the thickness in nm at which each band ends."""
# sphinx_gallery_end_ignore
