# SPDX-License-Identifier: GPL-3.0-or-later
"""The bar of the tutorial, read from its page, for the pictures that are drawn of it."""
import pathlib
import re

import oxtint

_PAGE = pathlib.Path(__file__).parents[1] / "start/tutorial_command.md"
_LOG = re.search(r"cat > dogwood.csv <<'END'\n(.*?)END\n", _PAGE.read_text(encoding="utf-8"), re.DOTALL)
assert _LOG

wrong = oxtint.read_trials_text(_LOG[1])  # with the slip in line 6
log = oxtint.read_trials_text(_LOG[1].replace("590,30,", "590,150,"))
fit = oxtint.fit(log)
steel = fit.steel
