/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip as it happens, kept over a restart of the program that watches it. */
#include "base/json.h"
#include "dip/track.h"

#include <stdlib.h>
#include <string.h>

#define SNAPSHOT "oxtint_track"
enum { MAJOR = 1, MINOR = 0 };

/* A number of a tracker under its name in the snapshot. */
typedef struct {
    const char *key;
    size_t offset;
} field;

#define FIELD(member)                        \
    {                                        \
#member, offsetof(oxt_track, member) \
    }

/* What must be the same in the tracker that goes on. */
static const field settings[] = {
    { "k_ref_nm2_per_s", offsetof(oxt_track, growth.k_ref_nm2_per_s) },
    { "T_ref_K", offsetof(oxt_track, growth.T_ref_K) },
    { "Q_J_per_mol", offsetof(oxt_track, growth.Q_J_per_mol) },
    { "shape", offsetof(oxt_track, growth.shape) },
    { "middle_nm", offsetof(oxt_track, growth.middle_nm) },
    { "aim_nm", offsetof(oxt_track, target.aim_nm) },
    { "low_nm", offsetof(oxt_track, target.low_nm) },
    { "high_nm", offsetof(oxt_track, target.high_nm) },
    FIELD(initial_nm),
    FIELD(start_K),
    FIELD(offset_K),
    { "lift_s", offsetof(oxt_track, lift_equivalent_s) },
};

/* What is known of the dip. */
static const field numbers[] = {
    FIELD(first_s),           FIELD(last_s),         FIELD(bath_K),
    FIELD(surface_K),         FIELD(rate_nm2_per_s), FIELD(exposure_nm2),
    FIELD(inverse_nm2_per_K), FIELD(rate_inverse),   FIELD(step_s),
    FIELD(bridged_s),         FIELD(leap_s),         FIELD(leap_K),
};

/* Of a part that is followed step by step. */
#define STATE(member)                                                                     \
    {                                                                                     \
        "state." #member, offsetof(oxt_track, state) + offsetof(oxt_i_body_state, member) \
    }
static const field states[] = {
    STATE(time_s),    STATE(since_s),     STATE(first_s),        STATE(bath_K),
    STATE(mean_K),    STATE(surface_K),   STATE(flux),           STATE(content_J_per_m3),
    STATE(middle_K),  STATE(middle_flux), STATE(first_J_per_m3), STATE(given_J_per_m2),
    STATE(mode_K[0]), STATE(mode_K[1]),   STATE(mode_K[2]),      STATE(mode_K[3]),
    STATE(mode_K[4]), STATE(mode_K[5]),   STATE(mode_K[6]),      STATE(mode_K[7]),
};

static const field counts[] = { FIELD(sample_count), FIELD(refused_count), FIELD(gap_count),
                                FIELD(leap_count) };

/* ---- writing ---- */

static double number_at(const oxt_track *tracker, const field *of)
{
    return *(const double *)(const void *)((const char *)tracker + of->offset);
}

static json_t *numbers_to_json(const oxt_track *tracker, const field *list, size_t count,
                               bool *good)
{
    json_t *object = json_object();
    for (size_t i = 0; i < count; i++)
        oxt_i_json_put(object, list[i].key, oxt_i_json_number(number_at(tracker, &list[i])), good);
    return object;
}

static json_t *dip_to_json(const oxt_track *tracker, bool *good)
{
    json_t *dip = numbers_to_json(tracker, numbers, OXT_I_COUNT(numbers), good);
    for (size_t i = 0; i < OXT_I_COUNT(counts); i++) {
        const size_t *count = (const void *)((const char *)tracker + counts[i].offset);
        oxt_i_json_put(dip, counts[i].key, json_integer((json_int_t)*count), good);
    }
    json_t *gaps = json_array();
    for (size_t i = 0; i < tracker->mode_count; i++)
        oxt_i_json_append(gaps, oxt_i_json_number(tracker->modes[i].gap_K), good);
    oxt_i_json_put(dip, "gap_K", gaps, good);
    if (tracker->coupled && tracker->sample_count > 0) {
        json_t *state = numbers_to_json(tracker, states, OXT_I_COUNT(states), good);
        oxt_i_json_put(state, "stage", json_integer(tracker->state.stage), good);
        oxt_i_json_put(dip, "state", state, good);
    }
    return dip;
}

oxt_status oxt_track_snapshot(const oxt_track *tracker, char *buffer, size_t capacity,
                              size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    bool good = true;
    if (!tracker)
        return oxt_i_null(error, "tracker");
    json_t *whole = json_object(), *version = json_object();
    oxt_i_json_put(version, "major", json_integer(MAJOR), &good);
    oxt_i_json_put(version, "minor", json_integer(MINOR), &good);
    oxt_i_json_put(whole, SNAPSHOT, version, &good);
    oxt_i_json_put(whole, "settings",
                   numbers_to_json(tracker, settings, OXT_I_COUNT(settings), &good), &good);
    oxt_i_json_put(whole, "dip", dip_to_json(tracker, &good), &good);
    return oxt_i_json_emit(whole, good, buffer, capacity, needed, error);
}

/* ---- reading ---- */

static oxt_status bad(oxt_error *error, const char *key, const char *expected)
{
    return oxt_i_fail_text(error, OXT_EPARSE, key, "'%s' of the snapshot: expected %s", key,
                           expected);
}

static oxt_status check_settings(const oxt_track *tracker, const json_t *object, oxt_error *error)
{
    static const double ALIKE = 1e-9;
    for (size_t i = 0; i < OXT_I_COUNT(settings); i++) {
        const json_t *member = json_object_get(object, settings[i].key);
        double found = json_number_value(member), own = number_at(tracker, &settings[i]);
        if (!json_is_number(member))
            return bad(error, settings[i].key, "a number");
        if (!(fabs(found - own) <= ALIKE * fabs(own)))
            return oxt_i_fail(error, OXT_EARG, settings[i].key, found, own, own,
                              "the snapshot is of another tracker: its %s is %.10g, expected "
                              "%.10g",
                              settings[i].key, found, own);
    }
    return OXT_OK;
}

/* Before the first sample there is no temperature. */
static bool may_be_missing(const field *of)
{
    return of->offset == offsetof(oxt_track, bath_K) ||
           of->offset == offsetof(oxt_track, surface_K);
}

static oxt_status read_counts(oxt_track *read, const json_t *dip, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(counts); i++) {
        const json_t *member = json_object_get(dip, counts[i].key);
        if (!json_is_integer(member) || json_integer_value(member) < 0 ||
            (uintmax_t)json_integer_value(member) > SIZE_MAX)
            return bad(error, counts[i].key, "a whole number, 0 or more");
        *(size_t *)(void *)((char *)read + counts[i].offset) = (size_t)json_integer_value(member);
    }
    return OXT_OK;
}

static oxt_status read_numbers(oxt_track *read, const json_t *dip, oxt_error *error)
{
    for (size_t i = 0; i < OXT_I_COUNT(numbers); i++) {
        const json_t *member = json_object_get(dip, numbers[i].key);
        bool is_missing = json_is_null(member) && read->sample_count == 0 &&
                          may_be_missing(&numbers[i]);
        if (!json_is_number(member) && !is_missing)
            return bad(error, numbers[i].key, "a number");
        *(double *)(void *)((char *)read + numbers[i].offset) = is_missing
                                                                    ? NAN
                                                                    : json_number_value(member);
    }
    return OXT_OK;
}

static oxt_status read_gaps(oxt_track *read, const json_t *dip, oxt_error *error)
{
    const json_t *gaps = json_object_get(dip, "gap_K");
    if (json_array_size(gaps) != read->mode_count)
        return bad(error, "gap_K", "a number for each term of the part");
    for (size_t i = 0; i < read->mode_count; i++) {
        const json_t *gap = json_array_get(gaps, i);
        if (!json_is_number(gap))
            return bad(error, "gap_K", "a number for each term of the part");
        read->modes[i].gap_K = json_number_value(gap);
    }
    return OXT_OK;
}

static oxt_status read_state(oxt_track *read, const json_t *dip, oxt_error *error)
{
    const json_t *object = json_object_get(dip, "state"), *stage = json_object_get(object, "stage");
    if (!read->coupled || read->sample_count == 0)
        return OXT_OK;
    if (!json_is_integer(stage) || json_integer_value(stage) < OXT_I_CRUST ||
        json_integer_value(stage) > OXT_I_BARE)
        return bad(error, "state", "the state of a part that is followed step by step");
    for (size_t i = 0; i < OXT_I_COUNT(states); i++) {
        const json_t *member = json_object_get(object, states[i].key);
        if (!json_is_number(member))
            return bad(error, states[i].key, "a number");
        *(double *)(void *)((char *)read + states[i].offset) = json_number_value(member);
    }
    read->state.stage = (oxt_i_stage)json_integer_value(stage);
    read->state.held = true; /* its bath is the one that is measured */
    read->outside.set_K = read->state.bath_K;
    return OXT_OK;
}

/* No snapshot of ours has other numbers. */
static oxt_status check_dip(const oxt_track *read, oxt_error *error)
{
    const oxt_i_limit limits[] = {
        { "last_s", read->last_s, read->first_s, read->first_s + OXT_TIME_HIGH_S, OXT_I_CLOSED },
        { "exposure_nm2", read->exposure_nm2, 0.0, HUGE_VAL, OXT_I_CLOSED },
        { "rate_nm2_per_s", read->rate_nm2_per_s, 0.0, HUGE_VAL, OXT_I_CLOSED },
        { "step_s", read->step_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED },
        { "bridged_s", read->bridged_s, 0.0, OXT_TIME_HIGH_S, OXT_I_CLOSED },
    };
    oxt_status status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (!status && read->sample_count > 0)
        status = oxt_i_check(error, "bath_K", read->bath_K, 0.0, 2.0 * OXT_SAMPLE_HIGH_K,
                             OXT_I_OPEN_LOW);
    if (!status && read->sample_count > 0)
        status = oxt_i_check(error, "surface_K", read->surface_K, 0.0, 2.0 * OXT_SAMPLE_HIGH_K,
                             OXT_I_OPEN_LOW);
    return status;
}

static oxt_status read_version(const json_t *whole, oxt_error *error)
{
    const json_t *major = json_object_get(json_object_get(whole, SNAPSHOT), "major");
    if (!json_is_integer(major))
        return oxt_i_fail_text(error, OXT_EPARSE, "text",
                               "this is not the snapshot of a tracker: it lacks '%s'", SNAPSHOT);
    if (json_integer_value(major) > MAJOR)
        return oxt_i_fail_text(error, OXT_EVERSION, "text",
                               "the snapshot was written by a newer oxtint, which this one cannot "
                               "read");
    return OXT_OK;
}

static oxt_status take(oxt_track *read, const json_t *whole, oxt_error *error)
{
    const json_t *dip = json_object_get(whole, "dip");
    oxt_status status = read_version(whole, error);
    if (!status)
        status = check_settings(read, json_object_get(whole, "settings"), error);
    if (!status)
        status = read_counts(read, dip, error);
    if (!status)
        status = read_numbers(read, dip, error);
    if (!status)
        status = read_gaps(read, dip, error);
    if (!status)
        status = read_state(read, dip, error);
    return status ? status : check_dip(read, error);
}

oxt_status oxt_track_resume(oxt_track *tracker, const char *text, size_t length, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    json_error_t fault;
    json_t *whole;
    if (!tracker || !text)
        return oxt_i_null(error, tracker ? "text" : "tracker");
    oxt_status status = oxt_i_json_read(&whole, text, length, &fault, error);
    if (status == OXT_EPARSE)
        return oxt_i_fail_text(error, OXT_EPARSE, "text",
                               "this is not the snapshot of a tracker: line %d is not JSON",
                               fault.line);
    if (status)
        return status;
    oxt_track *read = malloc(sizeof *read);
    if (!read) {
        json_decref(whole);
        return oxt_i_no_memory(error);
    }
    *read = *tracker;
    status = take(read, whole, error);
    if (!status) {
        double step_s = read->step_s;
        *tracker = *read;
        tracker->step_s = 0.0;
        if (step_s > 0.0)
            oxt_i_track_ready(tracker, step_s);
    }
    free(read);
    json_decref(whole);
    return status;
}
