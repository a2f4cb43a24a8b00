# SPDX-License-Identifier: GPL-3.0-or-later
# The extension module that CFFI makes: the C library's functions, constants and types.
from typing import Any

ffi: Any
lib: Any
