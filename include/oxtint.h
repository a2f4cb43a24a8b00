/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file oxtint.h: growth of coloured oxide films on steel.
 *
 * One chain: temperature history -> exposure -> thickness -> reflectance -> colour -> trade name.
 * A prediction follows it forwards, a target backwards, and a fit compares the two ends.
 *
 * Rules that hold for every call:
 *   - units are in the names: _K kelvin, _s seconds, _nm nanometres, _m metres, _J_per_mol, ...
 *   - a call that can fail returns an oxt_status; results come through pointers, which are written
 *     only when it succeeds (a handle is NULL after a failure); the last argument takes an
 *     oxt_error or NULL
 *   - handles come from _new, _read, _load, _run or _plan and go with _free, which accepts NULL; a finished
 *     handle never changes and may be read by many threads at once (oxt_trials may be added to, and
 *     then belongs to one thread)
 *   - structs that cross the border begin with struct_size and have an OXT_..._INIT
 *   - texts go into the caller's buffer: buffer, capacity, and the needed length without the final
 *     NUL (NULL allowed); buffer NULL with capacity 0 only asks for the length
 *   - calls that take a count n work on n elements; an array that goes in has a stride in bytes, 0 = the same
 *     value for all; results lie one after another; a failed element is NaN and counted
 *   - floating-point exceptions never trap inside a call, whatever the host has enabled; the host's environment
 *     is as it was when the call returns. While none is enabled the exception flags are left as the call sets them.
 *     A callback runs with the traps off
 *   - nothing is printed, nothing exits, no locale is read, no global state is kept, and the error
 *     handler of GSL stays the host's own
 */
#ifndef OXTINT_H
#define OXTINT_H

#include "oxtint/version.h"
#include "oxtint/error.h"
#include "oxtint/faults.h"
#include "oxtint/file.h"
#include "oxtint/units.h"
#include "oxtint/growth.h"
#include "oxtint/colour.h"
#include "oxtint/heat.h"
#include "oxtint/bath.h"
#include "oxtint/light.h"
#include "oxtint/material.h"
#include "oxtint/words.h"
#include "oxtint/film.h"
#include "oxtint/tint.h"
#include "oxtint/trials.h"
#include "oxtint/steel.h"
#include "oxtint/prior.h"
#include "oxtint/fit.h"
#include "oxtint/fit_each.h"
#include "oxtint/check.h"
#include "oxtint/pool.h"
#include "oxtint/laws.h"
#include "oxtint/interval.h"
#include "oxtint/anchor.h"
#include "oxtint/dip.h"
#include "oxtint/record.h"
#include "oxtint/plan.h"
#include "oxtint/advise.h"
#include "oxtint/chart.h"
#include "oxtint/cross_validation.h"
#include "oxtint/drift.h"
#include "oxtint/history.h"
#include "oxtint/temper.h"
#include "oxtint/track.h"

#endif
