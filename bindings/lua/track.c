/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dips as they happen. */
#include "oxl.h"

static const char *const states[] = { "growing", "showing", "past" };

static const oxl_field tracking_fields[] = {
    OXL_FIELD(oxt_track_state, time_s, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, surface_K, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, exposure_nm2, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, thickness_nm, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, quench_nm, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, tint_index, OXL_INT_PLACE),
    { "state", OXL_CHOICE, offsetof(oxt_track_state, state), states, NULL },
    OXL_FIELD(oxt_track_state, label, OXL_TEXT),
    OXL_FIELD(oxt_track_state, lab, OXL_THREE),
    OXL_FIELD(oxt_track_state, srgb, OXL_THREE),
    OXL_FIELD(oxt_track_state, to_lift_s, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, to_earliest_s, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, to_latest_s, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, sample_count, OXL_COUNT),
    OXL_FIELD(oxt_track_state, refused_count, OXL_COUNT),
    OXL_FIELD(oxt_track_state, gap_count, OXL_COUNT),
    OXL_FIELD(oxt_track_state, bridged_s, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, cautions, OXL_CAUTIONS),
    OXL_FIELD(oxt_track_state, chance_now, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, chance, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, to_lift_low_s, OXL_NUMBER),
    OXL_FIELD(oxt_track_state, to_lift_high_s, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

/* ---- the object ---- */

OXL_RELEASE(release, oxl_tracker, tracker, oxt_track_free)

static int tracker_feed(lua_State *L)
{
    const oxl_tracker *object = oxl_check(L, 1, &oxl_tracker_class);
    oxt_error error = OXT_ERROR_INIT;
    double time_s = 0.0, temperature_K = 0.0;
    oxt_status status = oxl_check_time(L, 2, &time_s, &error);
    if (!status)
        status = oxl_check_temperature(L, 3, &temperature_K, &error);
    if (!status)
        status = oxt_track_feed(object->tracker, time_s, temperature_K, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_pushboolean(L, true);
    return 1;
}

static int tracker_read(lua_State *L)
{
    const oxl_tracker *object = oxl_check(L, 1, &oxl_tracker_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxl_expect(L, oxt_track_read(object->tracker, &now, &error), &error);
    oxl_push_struct(L, tracking_fields, &now);
    return 1;
}

static int tracker_restart(lua_State *L)
{
    const oxl_tracker *object = oxl_check(L, 1, &oxl_tracker_class);
    oxt_error error = OXT_ERROR_INIT;
    oxl_expect(L, oxt_track_restart(object->tracker, &error), &error);
    return 0;
}

static oxt_status write_snapshot(const void *object, size_t which, char *buffer, size_t capacity,
                                 size_t *needed, oxt_error *error)
{
    const oxl_tracker *tracker = object;
    (void)which;
    return oxt_track_snapshot(tracker->tracker, buffer, capacity, needed, error);
}

static int tracker_snapshot(lua_State *L)
{
    oxl_push_text(L, write_snapshot, oxl_check(L, 1, &oxl_tracker_class), 0);
    return 1;
}

static int tracker_resume(lua_State *L)
{
    const oxl_tracker *object = oxl_check(L, 1, &oxl_tracker_class);
    size_t length;
    const char *text = oxl_check_data(L, 2, &length);
    oxt_error error = OXT_ERROR_INIT;
    oxt_status status = oxt_track_resume(object->tracker, text, length, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_pushboolean(L, true);
    return 1;
}

static int tracker_tostring(lua_State *L)
{
    const oxl_tracker *object = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxt_track_state now = OXT_TRACK_STATE_INIT;
    oxl_expect(L, oxt_track_read(object->tracker, &now, &error), &error);
    lua_pushfstring(L, "dip of %f s, %f nm, %s", now.time_s, now.thickness_nm, states[now.state]);
    return 1;
}

static const luaL_Reg methods[] = {
    { "feed", tracker_feed },         { "read", tracker_read },     { "restart", tracker_restart },
    { "snapshot", tracker_snapshot }, { "resume", tracker_resume }, { NULL, NULL },
};

const oxl_class oxl_tracker_class = {
    .name = "oxtint.tracker",
    .noun = "tracker",
    .size = sizeof(oxl_tracker),
    .release = release,
    .methods = methods,
    .text = tracker_tostring,
};

/* ---- oxtint.tracker ---- */

/* About what a tracker takes, colours of the film and all. */
#define TRACKER_BYTES 50000

/* The options, and the places on the stack of what is looked at here. */
typedef struct {
    oxt_track_options options;
    oxl_film *film;
    int steel, target, part, lift, coupon, coupon_lift, salt_bath;
} tracker_arguments;

static const oxl_named tracker_names[] = {
    { "steel", OXL_NAMED_VALUE, offsetof(tracker_arguments, steel), 0 },
    { "target", OXL_NAMED_VALUE, offsetof(tracker_arguments, target), 0 },
    { "film", OXL_NAMED_FILM, offsetof(tracker_arguments, film), 0 },
    { "part", OXL_NAMED_VALUE, offsetof(tracker_arguments, part), 0 },
    { "bath", OXL_NAMED_BATH, offsetof(tracker_arguments, options.bath_K), 0 },
    { "lift", OXL_NAMED_VALUE, offsetof(tracker_arguments, lift), 0 },
    { "initial_nm", OXL_NAMED_NUMBER, offsetof(tracker_arguments, options.initial_nm), 0 },
    { "coupon", OXL_NAMED_VALUE, offsetof(tracker_arguments, coupon), 0 },
    { "coupon_lift", OXL_NAMED_VALUE, offsetof(tracker_arguments, coupon_lift), 0 },
    { "salt_bath", OXL_NAMED_VALUE, offsetof(tracker_arguments, salt_bath), 0 },
    { "longest_gap", OXL_NAMED_TIME, offsetof(tracker_arguments, options.longest_gap_s), 0 },
    { "confidence", OXL_NAMED_NUMBER, offsetof(tracker_arguments, options.confidence), 0 },
    { "time_wander_s", OXL_NAMED_TIME, offsetof(tracker_arguments, options.time_wander_s), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static int new_tracker(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    tracker_arguments given = { .options = OXT_TRACK_OPTIONS_INIT };
    oxt_lift lift = OXT_LIFT_INIT, coupon_lift = OXT_LIFT_INIT;
    oxt_target target = OXT_TARGET_INIT;
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, tracker_names, 0, &given, NULL, &error);
    if (!given.steel)
        luaL_argerror(L, 1, "steel: oxtint.steel expected, got nothing");
    const oxl_steel *steel = oxl_check_named(L, 1, given.steel, "steel", &oxl_steel_class);
    oxt_track_options *options = &given.options;
    if (!status)
        status = oxl_read_part(L, 1, given.part, "part", &options->part, &error);
    if (!status)
        status = oxl_read_part(L, 1, given.coupon, "coupon", &options->coupon, &error);
    if (!status)
        status = oxl_read_lift(L, 1, given.lift, "lift", &lift, &options->lift, &error);
    if (!status)
        status = oxl_read_lift(L, 1, given.coupon_lift, "coupon_lift", &coupon_lift,
                               &options->coupon_lift, &error);
    if (given.salt_bath)
        options->salt_bath = oxl_read_bath(L, 1, given.salt_bath, "salt_bath");
    if (!given.target)
        luaL_argerror(L, 1, "target: something to aim for expected, got nothing");
    const oxl_film *film = oxl_steel_film(L, given.film, given.steel);
    if (!status)
        status = oxl_check_target(L, given.target, film, &target, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_tracker *object = oxl_new(L, &oxl_tracker_class);
    status = oxt_track_new(&object->tracker, steel->steel, film->film, &target, &given.options,
                           &error);
    object->object.open = !status;
    if (status)
        return oxl_fail(L, status, &error);
    oxl_owe(L, TRACKER_BYTES);
    return 1;
}

void oxl_open_track(lua_State *L)
{
    oxl_register(L, &oxl_tracker_class);
    lua_pushcfunction(L, new_tracker);
    lua_setfield(L, -2, "tracker");
}
