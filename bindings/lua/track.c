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
    { "state", OXL_CHOICE, offsetof(oxt_track_state, state), .choices = states },
    OXL_FIELD(oxt_track_state, label, OXL_TEXT),
    OXL_FIELD(oxt_track_state, lab, OXL_NUMBERS),
    OXL_FIELD(oxt_track_state, srgb, OXL_NUMBERS),
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
    OXL_END,
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
    return oxl_give_true(L, status, &error);
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

OXL_WRITER(write_snapshot, oxl_tracker, oxt_track_snapshot, of->tracker)

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
    return oxl_give_true(L, status, &error);
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

typedef struct {
    oxt_track_options options;
    const oxl_film *film;
    int steel, target; /* places on the stack */
} tracker_arguments;

static const oxl_field tracker_names[] = {
    OXL_FIELD(tracker_arguments, steel, OXL_VALUE),
    OXL_FIELD(tracker_arguments, target, OXL_VALUE),
    { "film", OXL_OBJECT, offsetof(tracker_arguments, film), .class = &oxl_film_class },
    { "part", OXL_OTHER, offsetof(tracker_arguments, options.part), .read = oxl_read_part },
    OXL_AS("bath", tracker_arguments, options.bath_K, OXL_BATH),
    { "lift", OXL_OTHER, offsetof(tracker_arguments, options.lift), .read = oxl_read_lift },
    OXL_AS("initial_nm", tracker_arguments, options.initial_nm, OXL_NUMBER),
    { "coupon", OXL_OTHER, offsetof(tracker_arguments, options.coupon), .read = oxl_read_part },
    { "coupon_lift", OXL_OTHER, offsetof(tracker_arguments, options.coupon_lift),
      .read = oxl_read_lift },
    { "salt_bath", OXL_INSIDE, offsetof(tracker_arguments, options.salt_bath),
      .class = &oxl_bath_class },
    OXL_AS("longest_gap", tracker_arguments, options.longest_gap_s, OXL_TIME),
    OXL_AS("confidence", tracker_arguments, options.confidence, OXL_NUMBER),
    OXL_AS("time_wander_s", tracker_arguments, options.time_wander_s, OXL_TIME),
    OXL_END,
};

static int new_tracker(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    tracker_arguments given = { .options = OXT_TRACK_OPTIONS_INIT };
    oxt_target target = OXT_TARGET_INIT;
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, tracker_names, &given, &error);
    if (!given.steel)
        luaL_argerror(L, 1, "steel: oxtint.steel expected, got nothing");
    const oxl_steel *steel = oxl_check_named(L, 1, given.steel, "steel", &oxl_steel_class);
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
    oxl_owe(L, TRACKER_BYTES);
    return oxl_give_object(L, status, &object->object, &error);
}

const luaL_Reg oxl_track_functions[] = { { "tracker", new_tracker }, { NULL, NULL } };
