/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far a long call is, told a few times a second. */
#include "base/watch.h"
#include "support.h"

static int keep(double done, void *user)
{
    *(double *)user = done;
    return done > 0.9;
}

/* Contract: shares count within the window of the step at hand, never go back, and a return value stops the call. */
Test(watch, shares_count_within_their_window)
{
    oxt_error error = OXT_ERROR_INIT;
    double told = -1.0;
    oxt_i_watch watch = oxt_i_watch_start(keep, &told);
    OK(oxt_i_watch_tick(&watch, 0.5, &error));
    cr_assert_eq(told, -1.0, "too soon to be told");
    oxt_i_watch_window(&watch, 0.25, 0.75);
    watch.told_s -= 1.0; /* a second later */
    OK(oxt_i_watch_tick(&watch, 0.8, &error));
    NEAR(told, 0.65, 1e-15);
    watch.told_s -= 1.0;
    OK(oxt_i_watch_tick(&watch, 0.2, &error));
    NEAR(told, 0.65, 1e-15);
    watch.told_s += 1e6; /* the clock was set back */
    oxt_i_watch_window(&watch, 0.75, 1.0);
    FAILS(oxt_i_watch_tick(&watch, 1.0, &error), OXT_ECANCEL);
    OK(oxt_i_watch_tick(NULL, 0.5, &error));
    watch = oxt_i_watch_start(NULL, NULL);
    OK(oxt_i_watch_tick(&watch, 0.5, &error));
    OK(oxt_i_watch_end(&watch, &error));
}
