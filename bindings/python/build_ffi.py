# SPDX-License-Identifier: GPL-3.0-or-later
"""Write the C source of the extension module oxtint._oxtint (called by CMake)."""
import pathlib
import sys

import cffi

# What people call in loops, without room for a result and an error to make in Python each time. What fails
# comes back as NaN or -1, and Python makes the long call, which has the sentence.
SHORT_DECLARATIONS = """
double short_thickness(const oxt_growth *growth, double bath_K, double time_s);
double short_time_for(const oxt_growth *growth, double thickness_nm, double bath_K);
int short_tint(const oxt_film *film, double thickness_nm);
"""
SHORT = r"""
#include <math.h>
#include "oxtint.h"

static double short_thickness(const oxt_growth *growth, double bath_K, double time_s)
{
    double thickness_nm = NAN;
    oxt_status status = oxt_thickness(growth, bath_K, time_s, &thickness_nm, NULL);
    return status ? NAN : thickness_nm;
}

static double short_time_for(const oxt_growth *growth, double thickness_nm, double bath_K)
{
    double time_s = NAN;
    oxt_status status = oxt_time_for_thickness(growth, thickness_nm, bath_K, &time_s, NULL);
    return status ? NAN : time_s;
}

static int short_tint(const oxt_film *film, double thickness_nm)
{
    oxt_tint tint = OXT_TINT_INIT;
    oxt_status status = oxt_tint_at(film, thickness_nm, &tint, NULL);
    return status ? -1 : tint.index;
}
"""

HERE = pathlib.Path(__file__).resolve().parent


def main() -> None:
    builder = cffi.FFI()
    builder.cdef((HERE / "declarations.h").read_text(encoding="utf-8"))
    # What C calls while a bootstrap runs; spread.py says what it does.
    builder.cdef('extern "Python" int oxtint_progress(double done, void *user);')
    builder.cdef(SHORT_DECLARATIONS)
    builder.set_source("oxtint._oxtint", SHORT)
    builder.emit_c_code(sys.argv[1])


if __name__ == "__main__":
    main()
