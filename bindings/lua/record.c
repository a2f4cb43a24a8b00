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
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field dip_fields[] = {
    OXL_FIELD(oxt_recorded_dip, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, time_s, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, chance, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, hit, OXL_FLAG),
    OXL_FIELD(oxt_recorded_dip, k_ref_nm2_per_s, OXL_NUMBER),
    { "part_shape", OXL_CHOICE, offsetof(oxt_recorded_dip, part_shape), oxl_shapes, NULL },
    OXL_FIELD(oxt_recorded_dip, part_size_m, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, lift_s, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, target, OXL_TEXT),
    OXL_FIELD(oxt_recorded_dip, seen, OXL_TEXT),
    OXL_FIELD(oxt_recorded_dip, label, OXL_TEXT),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static oxt_status write_report(const void *object, size_t which, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    const oxl_record *of = object;
    (void)which;
    return oxt_record_report(&of->record, buffer, capacity, needed, error);
}

static int record_report(lua_State *L)
{
    oxl_push_text(L, write_report, oxl_check(L, 1, &oxl_record_class), 0);
    return 1;
}

static int push_bins(lua_State *L, const double bins[OXT_RECORD_BINS])
{
    oxl_push_numbers(L, bins, OXT_RECORD_BINS);
    return 1;
}

static int make_count(lua_State *L)
{
    return push_bins(L, ((const oxl_record *)lua_touserdata(L, 1))->record.bin_count);
}

static int make_expected(lua_State *L)
{
    return push_bins(L, ((const oxl_record *)lua_touserdata(L, 1))->record.bin_expected);
}

static int make_hits(lua_State *L)
{
    return push_bins(L, ((const oxl_record *)lua_touserdata(L, 1))->record.bin_hits);
}

static const oxl_made made[] = { { "bin_count", make_count },
                                 { "bin_expected", make_expected },
                                 { "bin_hits", make_hits },
                                 { NULL, NULL } };

static const luaL_Reg methods[] = { { "report", record_report }, { NULL, NULL } };

const oxl_class oxl_record_class = {
    .name = "oxtint.record",
    .noun = "record",
    .size = sizeof(oxl_record),
    .methods = methods,
    .fields = record_fields,
    .structure = offsetof(oxl_record, record),
    .made = made,
    .text = record_report,
};

/* steel:track_record(options) */
int oxl_steel_track_record(lua_State *L)
{
    static const oxl_named names[] = { { "false_alarm", OXL_NAMED_NUMBER, 0, 0 },
                                       { NULL, OXL_NAMED_NUMBER, 0, 0 } };
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    double false_alarm = 0.01;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_read_named(L, 2, names, 0, &false_alarm, NULL, &error);
    oxl_record *object = oxl_new(L, &oxl_record_class);
    object->record = (oxt_record)OXT_RECORD_INIT;
    oxt_status status = oxt_record_get(steel->steel, false_alarm, &object->record, &error);
    object->object.open = !status;
    return status ? oxl_fail(L, status, &error) : 1;
}

/* The list of dips, as a field of the steel. */
int oxl_make_recorded(lua_State *L)
{
    const oxl_steel *steel = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxt_recorded_dip dip = OXT_RECORDED_DIP_INIT;
    lua_createtable(L, (int)steel->values.record_count, 0);
    for (size_t i = 0; i < steel->values.record_count; i++) {
        oxl_expect(L, oxt_steel_recorded_dip(steel->steel, i, &dip, &error), &error);
        oxl_push_struct(L, dip_fields, &dip);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

/* ---- recording ---- */

typedef struct {
    oxt_record_options options;
    oxl_film *film;
} record_arguments;

/* steel:record(dip, seen, options) */
int oxl_steel_record(lua_State *L)
{
    static const oxl_named names[] = {
        { "time", OXL_NAMED_TIME, offsetof(record_arguments, options.time_s), 0 },
        { "label", OXL_NAMED_STRING, offsetof(record_arguments, options.label), 0 },
        { "film", OXL_NAMED_FILM, offsetof(record_arguments, film), 0 },
        { NULL, OXL_NAMED_NUMBER, 0, 0 },
    };
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    const oxl_dip *dip = oxl_check(L, 2, &oxl_dip_class);
    const char *seen = luaL_checkstring(L, 3);
    record_arguments given = { OXT_RECORD_OPTIONS_INIT, NULL };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 4);
    oxt_status status = oxl_read_named(L, 4, names, 0, &given, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    bool is_named = lua_istable(L, 4) && lua_getfield(L, 4, "time") != LUA_TNIL;
    luaL_argcheck(L, !is_named || given.options.time_s != 0.0, 4, /* which is the default in C */
                  "time is 0 s, expected when it was lifted; leave it out for a lift as predicted");
    const oxl_film *film = oxl_steel_film(L, given.film, 1);
    oxl_steel *recorded = oxl_new(L, &oxl_steel_class);
    status = oxt_record_add(&recorded->steel, steel->steel, film->film, &dip->dip, seen,
                            &given.options, &error);
    if (!status)
        status = oxl_fill_steel(recorded, &error);
    return status ? oxl_fail(L, status, &error) : 1;
}

/* log:add_record(steel) */
int oxl_trials_add_record(lua_State *L)
{
    const oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_status status = oxt_record_trials(steel->steel, log->trials, &error);
    lua_pushboolean(L, 1);
    return status ? oxl_fail(L, status, &error) : 1;
}

void oxl_open_record(lua_State *L)
{
    oxl_register(L, &oxl_record_class);
}
