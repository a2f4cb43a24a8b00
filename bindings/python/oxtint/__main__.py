# SPDX-License-Identifier: GPL-3.0-or-later
"""python -m oxtint, the same as the command oxtint."""
import sys

from .command import main

if __name__ == "__main__":
    sys.exit(main())
