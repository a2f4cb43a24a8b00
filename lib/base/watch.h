/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reports the progress of a long call to the caller, who may stop it: at most every 50 ms, and at the end. */
#ifndef OXTINT_LIB_WATCH_H
#define OXTINT_LIB_WATCH_H

#include "base/internal.h"

typedef struct {
    oxt_progress_function progress; /* NULL: nobody */
    void *user;
    double from, to; /* the share of the work that is under way */
    double done;     /* of all of it; it never falls */
    double told_s;   /* when the caller heard last */
} oxt_i_watch;

oxt_i_watch oxt_i_watch_start(oxt_progress_function progress, void *user);
/* What follows is this share of the work. */
void oxt_i_watch_window(oxt_i_watch *watch, double from, double to);
/* So much of the window is done; OXT_ECANCEL when the caller asks to stop. `watch` NULL: no report. */
oxt_status oxt_i_watch_tick(oxt_i_watch *watch, double share, oxt_error *error);
/* All is done. */
oxt_status oxt_i_watch_end(oxt_i_watch *watch, oxt_error *error);

#endif
