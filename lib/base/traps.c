/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A host may let the processor trap overflow, division by zero and invalid operations, which a library
 * that looks at whatever it is given cannot avoid: to compare with a NaN is one of them. */
#define _GNU_SOURCE /* fegetexcept */

#include "base/internal.h"

/* Does any exception trap? Where this cannot be found out, as if one did. */
static bool is_trapping(void)
{
#ifdef __GLIBC__
    return fegetexcept() != 0;
#else
    return true;
#endif
}

oxt_i_traps oxt_i_hold_traps(void)
{
    oxt_i_traps traps = { .held = is_trapping() };
    if (traps.held)
        traps.held = feholdexcept(&traps.of_host) == 0;
    return traps;
}

void oxt_i_release_traps(oxt_i_traps *traps)
{
    if (traps->held)
        fesetenv(&traps->of_host);
}
