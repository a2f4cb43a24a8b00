/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip as it happens: samples -> the film now, and when to lift. */
#include "optics/film.h"
#include "thermal/bath.h"
#include "growth/law.h"
#include "dip/dip.h"
#include "dip/track.h"

#include <string.h>

enum { BRIDGE_STEPS = 64 }; /* of a gap */

oxt_status oxt_track_restart(oxt_track *tracker, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!tracker)
        return oxt_i_null(error, "tracker");
    tracker->first_s = tracker->last_s = tracker->exposure_nm2 = tracker->bridged_s = 0.0;
    tracker->inverse_nm2_per_K = tracker->rate_inverse = 0.0;
    tracker->bath_K = tracker->surface_K = NAN;
    tracker->step_s = 0.0;
    tracker->leap_count = 0;
    tracker->leap_s = tracker->leap_K = 0.0;
    tracker->sample_count = tracker->refused_count = tracker->gap_count = 0;
    return OXT_OK;
}

/* ---- feeding ---- */

/* Make the modes ready for a step. One that differs by less than 1e-5, as the rounded difference of
 * two readings of a clock does, is taken for the same: it shifts the heating-up by as little. */
void oxt_i_track_ready(oxt_track *tracker, double step_s)
{
    if (fabs(step_s - tracker->step_s) <= 1e-5 * step_s)
        return;
    tracker->step_s = step_s;
    for (size_t i = 0; i < tracker->mode_count; i++) {
        oxt_i_track_mode *one = &tracker->modes[i];
        double x = one->rate_per_s * step_s;
        one->kept = exp(-x);
        one->moved = one->weight * (x > 0.0 ? -expm1(-x) / x : 1.0);
    }
}

/* One step of a bath that changes in a straight line: the modes exactly, the exposure by the
 * trapezoidal rule. */
static void advance(oxt_track *tracker, double step_s, double change_K)
{
    double gap_K = 0.0;
    for (size_t i = 0; i < tracker->mode_count; i++) {
        oxt_i_track_mode *one = &tracker->modes[i];
        one->gap_K = one->kept * one->gap_K - one->moved * change_K;
        gap_K += one->gap_K;
    }
    tracker->bath_K += change_K;
    tracker->surface_K = tracker->bath_K + gap_K;
    double rate_nm2_per_s = oxt_i_track_rate(tracker, tracker->surface_K);
    double rate_inverse = rate_nm2_per_s * oxt_i_track_inverse(tracker, tracker->surface_K);
    tracker->exposure_nm2 += 0.5 * step_s * (tracker->rate_nm2_per_s + rate_nm2_per_s);
    tracker->inverse_nm2_per_K += 0.5 * step_s * (tracker->rate_inverse + rate_inverse);
    tracker->rate_inverse = rate_inverse;
    tracker->rate_nm2_per_s = rate_nm2_per_s;
}

/* A part in a still bath, or under frozen salt: its own steps, by Simpson's rule. */
static void advance_course(oxt_track *tracker, double step_s, double change_K)
{
    oxt_i_body_state *state = &tracker->state;
    double left_s = step_s, ramp_K_per_s = change_K / step_s;
    while (left_s > 1e-9 * step_s) {
        double taken_s = oxt_i_body_step(state, &tracker->body, &tracker->outside, left_s,
                                         ramp_K_per_s);
        double rate_nm2_per_s = oxt_i_track_rate(tracker, state->surface_K);
        double middle_nm2_per_s = oxt_i_track_rate(tracker, state->middle_K);
        double rate_inverse = rate_nm2_per_s * oxt_i_track_inverse(tracker, state->surface_K);
        double middle_inverse = middle_nm2_per_s * oxt_i_track_inverse(tracker, state->middle_K);
        tracker->inverse_nm2_per_K += taken_s / 6.0 *
                                      (tracker->rate_inverse + 4.0 * middle_inverse + rate_inverse);
        tracker->rate_inverse = rate_inverse;
        tracker->exposure_nm2 +=
            taken_s / 6.0 * (tracker->rate_nm2_per_s + 4.0 * middle_nm2_per_s + rate_nm2_per_s);
        tracker->rate_nm2_per_s = rate_nm2_per_s;
        left_s -= taken_s;
        if (!(taken_s > 0.0))
            break;
    }
    tracker->surface_K = state->surface_K;
}

/* Steps between two samples while the part still warms up, so that the rate hardly bends within one. */
static int steps_of(const oxt_track *tracker, double step_s, double bath_K)
{
    static const double SAME_K = 0.1;
    bool follows = tracker->mode_count > 0 &&
                   (fabs(tracker->surface_K - tracker->bath_K) > SAME_K ||
                    fabs(bath_K - tracker->bath_K) > SAME_K);
    double steps = follows ? 1.0 + 20.0 * step_s * tracker->modes[0].rate_per_s : 1.0;
    return step_s > tracker->longest_gap_s ? BRIDGE_STEPS : (int)fmin(steps, BRIDGE_STEPS);
}

static void enter_bath(oxt_track *tracker, double time_s, double bath_K)
{
    tracker->first_s = time_s;
    tracker->bath_K = bath_K;
    bool cold = tracker->mode_count > 0 || tracker->coupled;
    tracker->surface_K = cold ? tracker->start_K : bath_K;
    if (tracker->coupled) {
        tracker->outside.set_K = bath_K;
        oxt_i_body_start(&tracker->state, &tracker->body, &tracker->outside, tracker->start_K);
    }
    tracker->rate_nm2_per_s = oxt_i_track_rate(tracker, tracker->surface_K);
    tracker->rate_inverse = tracker->rate_nm2_per_s *
                            oxt_i_track_inverse(tracker, tracker->surface_K);
    for (size_t i = 0; i < tracker->mode_count; i++)
        tracker->modes[i].gap_K = tracker->modes[i].weight * (tracker->start_K - bath_K);
}

static void advance_to(oxt_track *tracker, double step_s, double bath_K)
{
    int count = steps_of(tracker, step_s, bath_K);
    double change_K = (bath_K - tracker->bath_K) / count;
    if (tracker->coupled)
        advance_course(tracker, step_s, bath_K - tracker->bath_K);
    else {
        oxt_i_track_ready(tracker, step_s / count);
        for (int i = 0; i < count; i++)
            advance(tracker, step_s / count, change_K);
    }
    tracker->bath_K = bath_K; /* without the rounding of the changes */
    if (step_s <= tracker->longest_gap_s)
        return;
    tracker->gap_count++;
    tracker->bridged_s += step_s;
}

static oxt_status check_sample(const oxt_track *tracker, double time_s, double temperature_K,
                               oxt_error *error)
{
    double latest_s = tracker->first_s + OXT_TIME_HIGH_S;
    double last_s = tracker->leap_count > 0 ? tracker->leap_s : tracker->last_s;
    if (tracker->sample_count == 0) {
        oxt_status status = oxt_i_check(error, "time_s", time_s, -HUGE_VAL, HUGE_VAL, OXT_I_CLOSED);
        if (status)
            return status;
    } else if (!(time_s > last_s && time_s <= latest_s)) {
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", time_s, last_s, latest_s,
                          "time_s is %.15g, expected after %.15g, that of the last sample, and at "
                          "most %.15g",
                          time_s, last_s, latest_s);
    }
    return oxt_i_check(error, "temperature_K", temperature_K, OXT_SAMPLE_LOW_K, OXT_SAMPLE_HIGH_K,
                       OXT_I_CLOSED);
}

/* No bath leaps so far from one sample to the next and back: a spark or a loose contact. A leap is kept until the next
 * sample: taken when that is nearer to it than to the one before, else refused. */
static bool waits_for_another(oxt_track *tracker, double time_s, double bath_K)
{
    static const double LEAP_K = 100.0;
    bool was_doubtful = tracker->leap_count > 0;
    double back_K = fabs(bath_K - tracker->bath_K), on_K = fabs(bath_K - tracker->leap_K);
    bool measures_bath = tracker->mode_count > 0 || tracker->coupled;
    tracker->leap_count = 0;
    if (was_doubtful && on_K < back_K) {
        advance_to(tracker, tracker->leap_s - tracker->last_s, tracker->leap_K);
        tracker->last_s = tracker->leap_s;
        tracker->sample_count++;
        return false;
    }
    tracker->refused_count += was_doubtful;
    if (!measures_bath || back_K <= LEAP_K || time_s - tracker->last_s > tracker->longest_gap_s)
        return false;
    tracker->leap_count = 1;
    tracker->leap_s = time_s;
    tracker->leap_K = bath_K;
    return true;
}

oxt_status oxt_track_feed(oxt_track *tracker, double time_s, double temperature_K, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!tracker)
        return oxt_i_null(error, "tracker");
    oxt_status status = check_sample(tracker, time_s, temperature_K, error);
    double true_K = temperature_K + tracker->offset_K;
    if (status) {
        tracker->refused_count++;
        return status;
    }
    if (tracker->sample_count == 0)
        enter_bath(tracker, time_s, true_K);
    else if (waits_for_another(tracker, time_s, true_K))
        return OXT_OK;
    else
        advance_to(tracker, time_s - tracker->last_s, true_K);
    tracker->last_s = time_s;
    tracker->sample_count++;
    return OXT_OK;
}

/* ---- reading ---- */

static double thickness_of(const oxt_track *tracker, double exposure_nm2)
{
    double slope, own_nm2 = oxt_i_track_own(tracker, exposure_nm2, &slope);
    return oxt_i_film_of(&tracker->growth, tracker->initial_nm2 + own_nm2);
}

static void fill_times(const oxt_track *tracker, oxt_track_state *made)
{
    double time_s[3] = { HUGE_VAL, HUGE_VAL, HUGE_VAL };
    if (tracker->sample_count > 0)
        oxt_i_track_forecast(tracker, tracker->wanted_nm2, time_s);
    made->to_earliest_s = time_s[0];
    made->to_lift_s = time_s[1];
    made->to_latest_s = time_s[2];
}

static void fill_film(const oxt_track *tracker, oxt_track_state *made)
{
    const oxt_target *target = &tracker->target;
    double growing_nm2 = tracker->sample_count > 0 ? oxt_i_track_lift_exposure(tracker) : 0.0;
    made->thickness_nm = thickness_of(tracker, tracker->exposure_nm2);
    made->quench_nm = fmax(thickness_of(tracker, tracker->exposure_nm2 + growing_nm2),
                           made->thickness_nm); /* each has its rounding */
    made->state = made->quench_nm < target->low_nm    ? OXT_TRACK_GROWING
                  : made->quench_nm > target->high_nm ? OXT_TRACK_PAST
                                                      : OXT_TRACK_SHOWING;
}

static void fill_colour(const oxt_track *tracker, oxt_track_state *made)
{
    int index = OXT_TINT_COUNT - 1;
    while (index > 0 && made->thickness_nm < tracker->tints[index].low_nm)
        index--;
    made->tint_index = made->thickness_nm > tracker->tints[OXT_TINT_COUNT - 1].high_nm ? -1 : index;
    if (made->tint_index >= 0)
        memcpy(made->label, tracker->tints[index].label, sizeof made->label);
    double place = made->thickness_nm / OXT_I_PATH_STEP_NM;
    bool is_on_path = place <= OXT_I_COLOUR_STEPS;
    size_t i = is_on_path ? (size_t)fmin(place, OXT_I_COLOUR_STEPS - 1) : 0;
    double share = is_on_path ? place - (double)i : NAN;
    const double(*lab)[3] = &tracker->lab[i], (*srgb)[3] = &tracker->srgb[i];
    for (int j = 0; j < 3; j++) {
        made->lab[j] = lab[0][j] + share * (lab[1][j] - lab[0][j]);
        made->srgb[j] = srgb[0][j] + share * (srgb[1][j] - srgb[0][j]);
    }
}

static void fill_cautions(const oxt_track *tracker, oxt_track_state *made)
{
    made->cautions = oxt_i_salt_cautions(tracker->salt, oxt_i_track_bath_K(tracker));
    /* the temperature of a part that is still cold is not that of the bath */
    if (!tracker->has_part)
        made->cautions &= ~(uint32_t)(OXT_CAUTION_BELOW_MELTING | OXT_CAUTION_FREEZING);
    if (!tracker->lift_known)
        made->cautions |= OXT_CAUTION_AT_TEMPERATURE;
    if (tracker->uneven)
        made->cautions |= OXT_CAUTION_UNEVEN;
    if (tracker->coupons_unknown)
        made->cautions |= OXT_CAUTION_COUPONS_UNKNOWN;
    if (made->state != OXT_TRACK_PAST &&
        made->to_latest_s - made->to_earliest_s < OXT_I_SHORTEST_WINDOW_S)
        made->cautions |= OXT_CAUTION_SHORT_WINDOW;
}

oxt_status oxt_track_read(const oxt_track *tracker, oxt_track_state *tracking, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!tracker || !tracking)
        return oxt_i_null(error, tracker ? "tracking" : "tracker");
    oxt_track_state made = OXT_TRACK_STATE_INIT;
    made.time_s = tracker->last_s - tracker->first_s;
    made.bath_K = tracker->bath_K;
    made.surface_K = tracker->surface_K;
    made.exposure_nm2 = tracker->exposure_nm2;
    made.sample_count = tracker->sample_count;
    made.refused_count = tracker->refused_count;
    made.gap_count = tracker->gap_count;
    made.bridged_s = tracker->bridged_s;
    fill_film(tracker, &made);
    fill_colour(tracker, &made);
    fill_times(tracker, &made);
    fill_cautions(tracker, &made);
    oxt_i_track_fill_doubt(tracker, &made);
    return OXT_I_STRUCT_OUT(oxt_track_state, tracking, &made, "tracking", error);
}
