/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "support.h"

/* G. Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30 (2005) 21-30, table 1: all 34 pairs. */
Test(colour, ciede2000_of_the_published_pairs)
{
    oxt_error error = OXT_ERROR_INIT;
    table pairs = read_table("ciede2000.csv");
    cr_assert_eq(pairs.rows, 34);
    for (size_t i = 0; i < pairs.rows; i++) {
        const double *row = &pairs.cells[i * pairs.columns];
        double forth, back;
        OK(oxt_delta_e2000(row + 1, row + 4, &forth, &error));
        OK(oxt_delta_e2000(row + 4, row + 1, &back, &error));
        NEAR(forth, row[7], 5e-5 + 1e-9);
        NEAR(back, forth, 1e-12);
    }
    free_table(&pairs);
}
