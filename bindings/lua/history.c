/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logged temperatures. */
#include "oxl.h"

OXL_RELEASE(release, oxl_history, history, oxt_history_free)

static size_t count_samples(const void *object)
{
    const oxl_history *history = object;
    size_t found = 0;
    oxt_history_samples(history->history, 0, NULL, 0, NULL, 0, &found, NULL);
    return found;
}

/* Numbers of every sample, in memory that stays on the stack: the times, then the temperatures. */
static const double *read_samples(lua_State *L, const oxl_history *history, size_t *samples)
{
    *samples = count_samples(history);
    double *numbers = lua_newuserdatauv(L, (2 * *samples + 1) * sizeof *numbers, 0);
    oxt_error error = OXT_ERROR_INIT;
    oxl_expect(L,
               oxt_history_samples(history->history, *samples, numbers, sizeof *numbers,
                                   numbers + *samples, sizeof *numbers, samples, &error),
               &error);
    return numbers;
}

static int make_times(lua_State *L)
{
    size_t samples;
    const double *numbers = read_samples(L, lua_touserdata(L, 1), &samples);
    oxl_push_numbers(L, numbers, samples);
    lua_remove(L, -2);
    return 1;
}

static int make_temperatures(lua_State *L)
{
    size_t samples;
    const double *numbers = read_samples(L, lua_touserdata(L, 1), &samples);
    oxl_push_numbers(L, numbers + samples, samples);
    lua_remove(L, -2);
    return 1;
}

static const oxl_made made[] = {
    { "time_s", .make = make_times },
    { "temperature_K", .make = make_temperatures },
    { .name = NULL },
};

/* From the lists of the object, which is at index 1. */
static void push_sample(lua_State *L, const void *object, size_t index)
{
    (void)object;
    lua_createtable(L, 0, 2);
    for (const oxl_made *field = made; field->name; field++) {
        lua_getfield(L, 1, field->name);
        lua_rawgeti(L, -1, (lua_Integer)index + 1);
        lua_setfield(L, -3, field->name);
        lua_pop(L, 1);
    }
}

/* ---- methods ---- */

static int history_temperature(lua_State *L)
{
    const oxl_history *object = oxl_check(L, 1, &oxl_history_class);
    oxt_error error = OXT_ERROR_INIT;
    double time_s = 0.0, temperature_K = 0.0;
    oxt_status status = oxl_check_quantity(L, 2, oxt_parse_duration, &time_s, &error);
    if (!status)
        status = oxt_history_temperature(object->history, time_s, &temperature_K, &error);
    return oxl_give_number(L, status, temperature_K, &error);
}

/* The first and last time of the history where none is given. */
static oxt_status read_span(lua_State *L, const oxl_history *object, double *from_s, double *to_s,
                            oxt_error *error)
{
    size_t samples;
    const double *times_s = read_samples(L, object, &samples);
    oxt_status status = OXT_OK;
    *from_s = times_s[0];
    *to_s = times_s[samples - 1];
    if (!lua_isnoneornil(L, 3))
        status = oxl_check_quantity(L, 3, oxt_parse_duration, from_s, error);
    if (!status && !lua_isnoneornil(L, 4))
        status = oxl_check_quantity(L, 4, oxt_parse_duration, to_s, error);
    return status;
}

static int history_exposure(lua_State *L)
{
    const oxl_history *object = oxl_check(L, 1, &oxl_history_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    double from_s = 0.0, to_s = 0.0, exposure_nm2 = 0.0;
    lua_settop(L, 4);
    oxt_status status = read_span(L, object, &from_s, &to_s, &error);
    if (!status)
        status = oxt_history_exposure(object->history, &steel->values.growth, from_s, to_s,
                                      &exposure_nm2, &error);
    return oxl_give_number(L, status, exposure_nm2, &error);
}

static int history_thickness(lua_State *L)
{
    const oxl_history *object = oxl_check(L, 1, &oxl_history_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    double initial_nm = lua_isnoneornil(L, 3) ? 0.0 : oxl_check_number(L, 3);
    double from_s = 0.0, to_s = 0.0, exposure_nm2 = 0.0, thickness_nm = 0.0;
    lua_settop(L, 2); /* no span */
    lua_settop(L, 4);
    oxt_status status = read_span(L, object, &from_s, &to_s, &error);
    if (!status)
        status = oxt_history_exposure(object->history, &steel->values.growth, from_s, to_s,
                                      &exposure_nm2, &error);
    if (!status)
        status = oxt_thickness_of_exposure(&steel->values.growth, initial_nm, exposure_nm2,
                                           &thickness_nm, &error);
    return oxl_give_number(L, status, thickness_nm, &error);
}

static const oxl_field transfer_fields[] = {
    OXL_FIELD(oxt_transfer, transfer_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_transfer, transfer_stderr_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_transfer, exponent, OXL_NUMBER),
    OXL_FIELD(oxt_transfer, exponent_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_transfer, enter_s, OXL_NUMBER),
    OXL_FIELD(oxt_transfer, rms_K, OXL_NUMBER),
    OXL_FIELD(oxt_transfer, used, OXL_COUNT),
    OXL_END,
};

static int history_find_transfer(lua_State *L)
{
    static const char *const places[] = { "centre", "surface", NULL };
    const oxl_history *object = oxl_check(L, 1, &oxl_history_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_transfer found = OXT_TRANSFER_INIT;
    double bath_K = 0.0;
    const oxl_part *part = oxl_check(L, 2, &oxl_part_class);
    int place = luaL_checkoption(L, 4, "centre", places);
    oxt_status status = oxl_check_temperature(L, 3, &bath_K, &error);
    if (!status)
        status = oxt_heat_find_transfer(&part->part, bath_K, object->history,
                                        (oxt_thermocouple)place, &found, &error);
    return oxl_give_struct(L, status, transfer_fields, &found, &error);
}

static const luaL_Reg methods[] = {
    { "temperature", history_temperature }, { "exposure", history_exposure },
    { "thickness", history_thickness },     { "find_transfer", history_find_transfer },
    { "temper", oxl_history_temper },       { NULL, NULL },
};

const oxl_class oxl_history_class = {
    .name = "oxtint.history",
    .noun = "history",
    .size = sizeof(oxl_history),
    .release = release,
    .methods = methods,
    .made = made,
    .count = count_samples,
    .item = push_sample,
};

/* ---- functions ---- */

/* Places on the stack of the two lists. */
typedef struct {
    int time, temperature;
    double longest_gap_s;
} history_arguments;

static const oxl_field history_names[] = {
    OXL_AS("time_s", history_arguments, time, OXL_VALUE),
    OXL_AS("temperature_K", history_arguments, temperature, OXL_VALUE),
    OXL_FIELD(history_arguments, longest_gap_s, OXL_TIME),
    OXL_END,
};

static int new_history(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    history_arguments given = { 0, 0, 0.0 };
    oxl_column time_s = { .count = 0 }, temperature_K = { .count = 0 };
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, history_names, &given, &error);
    if (!given.time || !given.temperature)
        luaL_argerror(L, 1, given.time ? "temperature_K is missing" : "time_s is missing");
    luaL_argcheck(L, lua_istable(L, given.time), 1, "time_s: list expected");
    if (!status)
        status = oxl_read_column(L, 1, given.time, "time_s", oxt_parse_duration, &time_s, &error);
    if (!status)
        status = oxl_read_column(L, 1, given.temperature, "temperature_K", oxt_parse_temperature,
                                 &temperature_K, &error);
    if (status)
        return oxl_fail(L, status, &error);
    if (temperature_K.many && temperature_K.count != time_s.count)
        luaL_argerror(L, 1,
                      lua_pushfstring(L, "temperature_K has %I numbers, but time_s has %I",
                                      (LUAI_UACINT)temperature_K.count, (LUAI_UACINT)time_s.count));
    oxl_history *object = oxl_new(L, &oxl_history_class);
    status = oxt_history_new(&object->history, time_s.count, time_s.many, sizeof(double),
                             oxl_column_values(&temperature_K), oxl_column_stride(&temperature_K),
                             given.longest_gap_s, &error);
    oxl_owe(L, 2 * time_s.count * sizeof(double));
    return oxl_give_object(L, status, &object->object, &error);
}

static int read_from(lua_State *L, const char *path, const char *text, size_t length)
{
    double longest_gap_s = 0.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_status status = OXT_OK;
    if (!lua_isnoneornil(L, 2))
        status = oxl_check_quantity(L, 2, oxt_parse_duration, &longest_gap_s, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_faults *faults = oxl_new(L, &oxl_faults_class);
    oxl_history *object = oxl_new(L, &oxl_history_class);
    status = oxt_history_read_csv(&object->history, path, text, length, longest_gap_s,
                                  &faults->faults, &error);
    if (status)
        return oxl_fail_file(L, faults, status, &error);
    object->object.open = true;
    oxl_owe(L, 2 * count_samples(object) * sizeof(double));
    return 1;
}

static int read_history(lua_State *L)
{
    return read_from(L, oxl_check_text(L, 1), NULL, 0);
}

static int read_history_text(lua_State *L)
{
    size_t length;
    const char *text = oxl_check_data(L, 1, &length);
    return read_from(L, NULL, text, length);
}

const luaL_Reg oxl_history_functions[] = {
    { "history", new_history },
    { "read_history", read_history },
    { "read_history_text", read_history_text },
    { NULL, NULL },
};
