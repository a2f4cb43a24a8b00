# SPDX-License-Identifier: GPL-3.0-or-later
"""Write the C source of the extension module oxtint._oxtint (called by CMake)."""
import pathlib
import re
import sys

import cffi

# What people call in loops, without a result and an error made in Python each time. What fails
# comes back as NaN or -1, and Python makes the long call, which has the sentence.
SHORT_DECLARATIONS = """
double short_thickness(const oxt_growth *growth, double bath_K, double time_s);
double short_time_for(const oxt_growth *growth, double thickness_nm, double bath_K);
int short_tint(const oxt_film *film, double thickness_nm);
typedef oxt_status (*short_pairs)(const oxt_growth *, size_t, const double *, ptrdiff_t, const double *, ptrdiff_t,
                                  double *, size_t *, oxt_error *);
int short_rows(short_pairs function, const oxt_growth *growth, const ptrdiff_t shape[2], const double *a,
               const ptrdiff_t a_strides[2], const double *b, const ptrdiff_t b_strides[2], double *result,
               const ptrdiff_t result_strides[2]);
ptrdiff_t short_codes(const char *records, ptrdiff_t stride, size_t size, size_t count, int32_t *codes,
                      int64_t *firsts, size_t capacity);
"""
SHORT = r"""
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
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

typedef oxt_status (*short_pairs)(const oxt_growth *, size_t, const double *, ptrdiff_t, const double *, ptrdiff_t,
                                  double *, size_t *, oxt_error *);

static const void *moved(const void *array, ptrdiff_t bytes)
{
    return (const char *)array + bytes;
}

/* An _n call for each row of a table. Gives 1 when any of them fails. */
static int short_rows(short_pairs function, const oxt_growth *growth, const ptrdiff_t shape[2], const double *a,
                      const ptrdiff_t a_strides[2], const double *b, const ptrdiff_t b_strides[2], double *result,
                      const ptrdiff_t result_strides[2])
{
    int failed = 0;
    for (ptrdiff_t i = 0; i < shape[0]; i++)
        failed |= function(growth, (size_t)shape[1], moved(a, i * a_strides[0]), a_strides[1],
                           moved(b, i * b_strides[0]), b_strides[1],
                           (double *)moved(result, i * result_strides[0]), NULL, NULL) != OXT_OK;
    return failed;
}

/* Number records of bytes in order of appearance: a code for each, and where each code appears first. Gives how many
 * differ; -1 when they are more than the capacity, or when memory ran out. */
static ptrdiff_t short_codes(const char *records, ptrdiff_t stride, size_t size, size_t count,
                             int32_t *codes, int64_t *firsts, size_t capacity)
{
    size_t slots = 16, found = 0;
    while (slots < 2 * capacity + 2)
        slots *= 2;
    int32_t *table = calloc(slots, sizeof *table); /* code + 1 */
    if (!table)
        return -1;
    for (size_t i = 0; i < count; i++) {
        const char *record = records + (ptrdiff_t)i * stride;
        if (i > 0 && memcmp(record, record - stride, size) == 0) {
            codes[i] = codes[i - 1];
            continue;
        }
        uint64_t hash = 0xCBF29CE484222325u; /* as lib/base/intern.c, by words */
        size_t at = 0;
        for (; at + 8 <= size; at += 8) {
            uint64_t word;
            memcpy(&word, record + at, 8);
            hash = (hash ^ word) * 0x9E3779B97F4A7C15u;
            hash ^= hash >> 29;
        }
        for (; at < size; at++)
            hash = (hash ^ (unsigned char)record[at]) * 0x100000001B3u;
        size_t slot = (size_t)(hash ^ hash >> 32) & (slots - 1);
        while (table[slot] && memcmp(records + (ptrdiff_t)firsts[table[slot] - 1] * stride, record, size))
            slot = (slot + 1) & (slots - 1);
        if (!table[slot]) {
            if (found == capacity) {
                free(table);
                return -1;
            }
            firsts[found] = (int64_t)i;
            table[slot] = (int32_t)++found;
        }
        codes[i] = table[slot] - 1;
    }
    free(table);
    return (ptrdiff_t)found;
}
"""

HERE = pathlib.Path(__file__).resolve().parent


def defaults(declarations: str) -> list[tuple[str, str]]:
    """Each struct with the name of what holds its defaults, which the headers have as macros."""
    structs = re.findall(r"{\nsize_t struct_size;[^}]*} (oxt_\w+);", declarations)
    return [(name, f"default_{name}") for name in structs]


def main() -> None:
    builder = cffi.FFI()
    declarations = (HERE / "declarations.h").read_text(encoding="utf-8")
    builder.cdef(declarations)
    builder.cdef("".join(f"extern {struct} {made};\n" for struct, made in defaults(declarations)))
    # What C calls while a long call runs; _core.py defines it.
    builder.cdef('extern "Python" int oxtint_progress(double done, void *user);')
    builder.cdef(SHORT_DECLARATIONS)
    builder.set_source("oxtint._oxtint", SHORT + "".join(
        f"static {struct} {made} = {struct.upper()}_INIT;\n"
        for struct, made in defaults(declarations)))
    builder.emit_c_code(sys.argv[1])


if __name__ == "__main__":
    main()
