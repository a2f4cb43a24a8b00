/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip as it happens: what comes, with the bath held as it is. */
#include "base/quadrature.h"
#include "base/solve.h"
#include "base/spline.h"
#include "dip/track.h"

#include <string.h>

/* ---- exposures ---- */

/* In straight lines from nothing through three points, and on along the last one. */
static double along(const double x[3], const double y[3], double at, double *slope)
{
    double from_x = 0.0, from_y = 0.0;
    *slope = 1.0;
    for (int i = 0; i < 3; i++) {
        if (x[i] <= from_x || y[i] <= from_y)
            continue;
        *slope = (y[i] - from_y) / (x[i] - from_x);
        if (at <= x[i])
            break;
        from_x = x[i];
        from_y = y[i];
    }
    return from_y + *slope * (at - from_x);
}

double oxt_i_track_own(const oxt_track *tracker, double exposure_nm2, double *slope)
{
    return along(tracker->wanted_nm2, tracker->own_nm2, exposure_nm2, slope);
}

double oxt_i_track_wanted(const oxt_track *tracker, double own_nm2)
{
    double slope;
    return along(tracker->own_nm2, tracker->wanted_nm2, own_nm2, &slope);
}

/* ---- the surface ---- */

static oxt_i_body_state state_after(const oxt_track *tracker, double more_s)
{
    oxt_i_body_state state = tracker->state;
    double left_s = more_s,
           taken_s = more_s; /* none is taken where it is lost beside the time so far */
    while (left_s > 1e-9 * more_s && taken_s > 0.0 && fabs(state.bath_K - state.surface_K) > 1e-6)
        left_s -= taken_s = oxt_i_body_step(&state, &tracker->body, &tracker->outside, left_s, 0.0);
    return state;
}

/* What is left of a mode after more time; 0: nothing, and of those behind it, which are faster, less. */
static double left_of(const oxt_i_track_mode *mode, double more_s)
{
    double x = mode->rate_per_s * more_s;
    return x > 40.0 ? 0.0 : mode->gap_K * exp(-x);
}

/* Surface after more time at the present bath. */
double oxt_i_track_surface_after(const oxt_track *tracker, double more_s)
{
    if (tracker->coupled && tracker->sample_count > 0)
        return state_after(tracker, more_s).surface_K;
    double gap_K = 0.0, left_K = 1.0;
    for (size_t i = 0; i < tracker->mode_count && left_K != 0.0; i++)
        gap_K += left_K = left_of(&tracker->modes[i], more_s);
    return tracker->bath_K + gap_K;
}

/* ---- the lift ---- */

static oxt_i_profile profile_of(const oxt_track *tracker, const oxt_i_body_state *state)
{
    oxt_i_profile made = { .mean_K = state->mean_K };
    if (tracker->body.count > 0)
        oxt_i_body_profile(&tracker->body, state, &made);
    return made;
}

static oxt_i_profile profile_after(const oxt_track *tracker, double more_s)
{
    oxt_i_profile made = { .mean_K = tracker->bath_K };
    if (tracker->coupled && tracker->sample_count > 0) {
        oxt_i_body_state state = state_after(tracker, more_s);
        return profile_of(tracker, &state);
    }
    double left_K = 1.0;
    for (size_t i = 0; i < tracker->mode_count && left_K != 0.0; i++) {
        const oxt_i_track_mode *one = &tracker->modes[i];
        left_K = left_of(one, more_s);
        made.mean_K += one->mean * left_K;
        for (int j = 0; j < OXT_I_PROFILE_MODES; j++)
            made.gap_K[j] += one->inner[j] * left_K;
    }
    return made;
}

/* Growth between a lift with this profile and the quench. */
static double lifted_nm2(const oxt_track *tracker, oxt_i_profile *from)
{
    if (!tracker->lift_cools)
        return oxt_i_track_rate(tracker, from->mean_K) * tracker->lift_equivalent_s[0];
    double equivalent_s = oxt_i_spline_at(tracker->lift_equivalent_s, tracker->lift_bend,
                                          OXT_I_LIFT_STEPS + 1,
                                          (from->mean_K - OXT_BATH_LOW_K) / OXT_I_LIFT_STEP_K);
    double slope = oxt_i_lift_slope(tracker->capacity_J_per_m2K, &tracker->lift, from->mean_K);
    memcpy(from->rate_per_s, tracker->inner_rate_per_s, sizeof from->rate_per_s);
    double exponent_K = tracker->growth.Q_J_per_mol / OXT_GAS_CONSTANT_J_PER_MOL_K;
    double more_s = oxt_i_profile_more_s(from, exponent_K, slope, tracker->lift.delay_s);
    return oxt_i_track_rate(tracker, from->mean_K) * (equivalent_s + more_s);
}

static double lifted_after(const oxt_track *tracker, double more_s)
{
    oxt_i_profile from = profile_after(tracker, more_s);
    return lifted_nm2(tracker, &from);
}

double oxt_i_track_lift_exposure(const oxt_track *tracker)
{
    return lifted_after(tracker, 0.0);
}

/* ---- the time to come ---- */

static double exposure_between(const oxt_track *tracker, double from_s, double to_s)
{
    const oxt_i_gauss *rule = &oxt_i_gauss_8;
    double sum = 0.0, at_s, weight;
    for (size_t i = 0; i < rule->count; i++) {
        oxt_i_gauss_point(rule, from_s, to_s, i, &at_s, &weight);
        sum += weight * oxt_i_track_rate(tracker, oxt_i_track_surface_after(tracker, at_s));
    }
    return sum;
}

/* A stretch of the time to come: exposure at its start, and how much a lift there would come to. */
typedef struct {
    double from_s, exposure_nm2, lifted_nm2;
} stretch;

static stretch stretch_from(const oxt_track *tracker, const stretch *before, double from_s)
{
    stretch next = { from_s, before->exposure_nm2, 0.0 };
    next.exposure_nm2 += exposure_between(tracker, before->from_s, from_s);
    next.lifted_nm2 = next.exposure_nm2 + lifted_after(tracker, from_s);
    return next;
}

typedef struct {
    const oxt_track *tracker;
    const stretch *start;
    double wanted_nm2;
} wait;

static double missing_nm2(double at_s, void *context)
{
    const wait *until = context;
    return stretch_from(until->tracker, until->start, at_s).lifted_nm2 - until->wanted_nm2;
}

/* When within a stretch a lift comes to what is wanted; it is passed at its end at the latest. */
static double time_within(const oxt_track *tracker, const stretch *start, const stretch *end,
                          double wanted_nm2)
{
    wait until = { tracker, start, wanted_nm2 };
    double at_s = end->from_s, precise_s = 1e-10 * (end->from_s - start->from_s);
    oxt_i_find_root(missing_nm2, &until, start->from_s, end->from_s, precise_s, &at_s, NULL);
    return at_s;
}

/* From here on the surface is as hot as the bath. */
static double settled_s(const oxt_track *tracker)
{
    static const double SETTLED_K = 1e-7;
    double gap_K = 0.0;
    for (size_t i = 0; i < tracker->mode_count; i++)
        gap_K += fabs(tracker->modes[i].gap_K);
    return gap_K > SETTLED_K ? log(gap_K / SETTLED_K) / tracker->modes[0].rate_per_s : 0.0;
}

/* When within a step a lift comes to what is wanted: exposures at its start, its middle and its end. */
static double time_in_step(const double lifted_nm2[3], double wanted_nm2)
{
    double linear = -3.0 * lifted_nm2[0] + 4.0 * lifted_nm2[1] - lifted_nm2[2];
    double square = 2.0 * lifted_nm2[0] - 4.0 * lifted_nm2[1] + 2.0 * lifted_nm2[2];
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 40; i++) {
        double middle = 0.5 * (low + high);
        bool reached = lifted_nm2[0] + middle * (linear + middle * square) >= wanted_nm2;
        low = reached ? low : middle;
        high = reached ? middle : high;
    }
    return high;
}

/* The same for a part whose own steps go on, until it is as hot as the bath. How many of the three are found. */
static int forecast_course(const oxt_track *tracker, const double wanted_nm2[3], double time_s[3],
                           stretch *now, int next)
{
    enum { MOST = 400 };
    oxt_i_body_state state = tracker->state;
    oxt_i_profile before = profile_of(tracker, &state);
    double rate = tracker->rate_nm2_per_s;
    for (int i = 0; i < MOST && next < 3 && fabs(state.bath_K - state.surface_K) > 1e-4; i++) {
        double taken_s = oxt_i_body_step(&state, &tracker->body, &tracker->outside, HUGE_VAL, 0.0);
        double middle = oxt_i_track_rate(tracker, state.middle_K);
        double end = oxt_i_track_rate(tracker, state.surface_K);
        double half_nm2 = taken_s / 24.0 * (5.0 * rate + 8.0 * middle - end);
        double all_nm2 = taken_s / 6.0 * (rate + 4.0 * middle + end);
        oxt_i_profile after = profile_of(tracker, &state), half_way = after;
        half_way.mean_K = 0.5 * (before.mean_K + after.mean_K);
        for (int j = 0; j < OXT_I_PROFILE_MODES; j++)
            half_way.gap_K[j] = 0.5 * (before.gap_K[j] + after.gap_K[j]);
        const double at_nm2[3] = { now->lifted_nm2,
                                   now->exposure_nm2 + half_nm2 + lifted_nm2(tracker, &half_way),
                                   now->exposure_nm2 + all_nm2 + lifted_nm2(tracker, &after) };
        for (; next < 3 && wanted_nm2[next] <= at_nm2[2]; next++)
            time_s[next] = now->from_s + taken_s * time_in_step(at_nm2, wanted_nm2[next]);
        *now = (stretch){ now->from_s + taken_s, now->exposure_nm2 + all_nm2, at_nm2[2] };
        before = after;
        rate = end;
    }
    return next;
}

/* While the part still warms up the times are sought in stretches, each twice as long as the one before. */
void oxt_i_track_forecast(const oxt_track *tracker, const double wanted_nm2[3], double time_s[3])
{
    double end_s = settled_s(tracker);
    double width_s = end_s > 0.0 ? 1.0 / (64.0 * tracker->modes[0].rate_per_s) : 0.0;
    stretch now = { 0.0, tracker->exposure_nm2, 0.0 };
    now.lifted_nm2 = now.exposure_nm2 + oxt_i_track_lift_exposure(tracker);
    int next = 0;
    while (next < 3 && wanted_nm2[next] <= now.lifted_nm2)
        time_s[next++] = 0.0;
    if (tracker->coupled)
        next = forecast_course(tracker, wanted_nm2, time_s, &now, next);
    while (next < 3 && now.from_s < end_s) {
        stretch then = stretch_from(tracker, &now, now.from_s + width_s);
        for (; next < 3 && wanted_nm2[next] <= then.lifted_nm2; next++)
            time_s[next] = time_within(tracker, &now, &then, wanted_nm2[next]);
        now = then;
        width_s *= 2.0;
    }
    double rate_nm2_per_s = oxt_i_track_rate(tracker, tracker->bath_K);
    for (; next < 3; next++)
        time_s[next] = now.from_s + (wanted_nm2[next] - now.lifted_nm2) / rate_nm2_per_s;
    for (int i = 0; i < 3; i++) {
        time_s[i] = i > 0 ? fmax(time_s[i], time_s[i - 1]) : time_s[i]; /* each has its rounding */
        if (!(time_s[i] <= OXT_TIME_HIGH_S))
            time_s[i] = HUGE_VAL;
    }
}
