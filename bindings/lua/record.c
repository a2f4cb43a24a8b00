/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dips made by a card, recorded: does it keep what it promises? */
#include "oxl.h"

/* ---- the record ---- */

static const oxl_field record_fields[] = {
    OXL_FIELD(oxt_record, name, OXL_TEXT),
    OXL_FIELD(oxt_record, dip_count, OXL_COUNT),
    OXL_FIELD(oxt_record, promised_count, OXL_COUNT),
    OXL_FIELD(oxt_record, hit_count, OXL_COUNT),
    OXL_FIELD(oxt_record, expected_hits, OXL_NUMBER),
    OXL_FIELD(oxt_record, confidence, OXL_NUMBER),
    OXL_FIELD(oxt_record, hits_low, OXL_NUMBER),
    OXL_FIELD(oxt_record, hits_high, OXL_NUMBER),
    OXL_FIELD(oxt_record, p_value, OXL_NUMBER),
    OXL_FIELD(oxt_record, recent_p_value, OXL_NUMBER),
    OXL_FIELD(oxt_record, false_alarm, OXL_NUMBER),
    OXL_FIELD(oxt_record, kept, OXL_FLAG),
    OXL_FIELD(oxt_record, bin_count, OXL_NUMBERS),
    OXL_FIELD(oxt_record, bin_expected, OXL_NUMBERS),
    OXL_FIELD(oxt_record, bin_hits, OXL_NUMBERS),
    OXL_END,
};

OXL_WRITER(write_report, oxl_record, oxt_record_report, &of->record)

const oxl_class oxl_record_class = {
    .name = "oxtint.record",
    .noun = "record",
    .size = sizeof(oxl_record),
    .fields = record_fields,
    .structure = offsetof(oxl_record, record),
    .report = write_report,
    .asked = OXL_ASK_NOTHING,
};

/* steel:track_record(options) */
int oxl_steel_track_record(lua_State *L)
{
    static const oxl_field names[] = { { "false_alarm", OXL_NUMBER, .size = sizeof(double) },
                                       OXL_END };
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    double false_alarm = 0.01;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, names, &false_alarm, &error);
    oxl_record *object = oxl_new(L, &oxl_record_class);
    object->record = (oxt_record)OXT_RECORD_INIT;
    oxt_status status = oxt_record_get(steel->steel, false_alarm, &object->record, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

/* ---- recording ---- */

typedef struct {
    oxt_record_options options;
    const oxl_film *film;
} record_arguments;

/* steel:record(dip, seen, options) */
int oxl_steel_record(lua_State *L)
{
    static const oxl_field names[] = {
        OXL_AS("time", record_arguments, options.time_s, OXL_TIME),
        OXL_AS("label", record_arguments, options.label, OXL_STRING),
        { "film", OXL_OBJECT, offsetof(record_arguments, film), .class = &oxl_film_class },
        OXL_END,
    };
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    const oxl_dip *dip = oxl_check(L, 2, &oxl_dip_class);
    const char *seen = luaL_checkstring(L, 3);
    record_arguments given = { OXT_RECORD_OPTIONS_INIT, NULL };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 4);
    oxt_status status = oxl_read_named(L, 4, names, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    bool is_named = lua_istable(L, 4) && lua_getfield(L, 4, "time") != LUA_TNIL;
    luaL_argcheck(L, !is_named || given.options.time_s != 0.0, 4, /* which is the default in C */
                  "time is 0 s, expected when it was lifted; leave it out for a lift as predicted");
    const oxl_film *film = oxl_steel_film(L, given.film, 1);
    oxl_steel *recorded = oxl_new(L, &oxl_steel_class);
    status = oxt_record_add(&recorded->steel, steel->steel, film->film, &dip->dip, seen,
                            &given.options, &error);
    return oxl_give_steel(L, status, recorded, &error);
}

/* log:add_record(steel) */
int oxl_trials_add_record(lua_State *L)
{
    const oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_status status = oxt_record_trials(steel->steel, log->trials, &error);
    return oxl_give_true(L, status, &error);
}
