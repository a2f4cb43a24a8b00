/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/watch.h"

#include <time.h>

static double now_s(void)
{
    struct timespec now;
#ifdef _WIN32 /* whose older runtime has no timespec_get */
    return clock_gettime(CLOCK_REALTIME, &now) == 0
               ? (double)now.tv_sec + 1e-9 * (double)now.tv_nsec
               : 0.0;
#else
    return timespec_get(&now, TIME_UTC) ? (double)now.tv_sec + 1e-9 * (double)now.tv_nsec : 0.0;
#endif
}

oxt_i_watch oxt_i_watch_start(oxt_progress_function progress, void *user)
{
    return (oxt_i_watch){ progress, user, 0.0, 1.0, 0.0, progress ? now_s() : 0.0 };
}

void oxt_i_watch_window(oxt_i_watch *watch, double from, double to)
{
    watch->from = from;
    watch->to = to;
}

oxt_status oxt_i_watch_tick(oxt_i_watch *watch, double share, oxt_error *error)
{
    static const double PAUSE_S = 0.05;
    if (!watch || !watch->progress)
        return OXT_OK;
    watch->done = fmax(watch->done, watch->from + share * (watch->to - watch->from));
    double now = now_s();
    if (fabs(now - watch->told_s) < PAUSE_S) /* a clock that was set back must not silence it */
        return OXT_OK;
    watch->told_s = now;
    return oxt_i_progress(watch->progress, watch->user, watch->done, error);
}

oxt_status oxt_i_watch_end(oxt_i_watch *watch, oxt_error *error)
{
    return oxt_i_progress(watch->progress, watch->user, 1.0, error);
}
