# SPDX-License-Identifier: GPL-3.0-or-later
"""The folder in which the pages draw their pictures: the files that a reader of Start has made by then."""
import atexit
import pathlib
import re
import shutil
import tempfile

_DOCS = pathlib.Path(__file__).parents[1]

FOLDER = pathlib.Path(tempfile.mkdtemp(prefix="oxtint-docs-"))
atexit.register(shutil.rmtree, FOLDER)

_log = re.search(r"cat > slips.csv <<'END'\n(.*?)END\n", (_DOCS / "start/tutorial_command.md").read_text(encoding="utf-8"),
                 re.DOTALL)
assert _log
shutil.copy(_DOCS.parent / "examples/demo/trials.csv", FOLDER)
(FOLDER / "slips.csv").write_text(_log[1], encoding="utf-8")
(FOLDER / "dogwood.csv").write_text(_log[1].replace("590,30,", "590,150,"), encoding="utf-8")
