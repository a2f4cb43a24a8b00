/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logged temperatures. */
#include "oxl.h"

static void release(void *object)
{
    oxl_history *history = object;
    oxt_history_free(history->history);
    history->history = NULL;
}

static int history_tostring(lua_State *L)
{
    const oxl_history *object = lua_touserdata(L, 1);
    lua_pushfstring(L, "%s: %I", oxl_history_class.name,
                    (LUAI_UACINT)oxt_history_count(object->history));
    return 1;
}

static int history_length(lua_State *L)
{
    const oxl_history *object = lua_touserdata(L, 1);
    lua_pushinteger(L, (lua_Integer)oxt_history_count(object->history));
    return 1;
}

/* history[i]: a table, or nil past the ends. */
static int history_item(lua_State *L)
{
    const oxl_history *object = lua_touserdata(L, 1);
    int whole;
    lua_Integer place = lua_tointegerx(L, 2, &whole);
    double time_s, temperature_K;
    if (!whole || place < 1 ||
        oxt_history_sample(object->history, (size_t)place - 1, &time_s, &temperature_K, NULL)) {
        lua_pushnil(L);
        return 1;
    }
    lua_createtable(L, 0, 2);
    lua_pushnumber(L, time_s);
    lua_setfield(L, -2, "time_s");
    lua_pushnumber(L, temperature_K);
    lua_setfield(L, -2, "temperature_K");
    return 1;
}

/* One number of every sample. */
static int make_list(lua_State *L, int which)
{
    const oxl_history *object = lua_touserdata(L, 1);
    double sample[2];
    lua_newtable(L);
    for (size_t i = 0; !oxt_history_sample(object->history, i, &sample[0], &sample[1], NULL); i++) {
        lua_pushnumber(L, sample[which]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static int make_times(lua_State *L)
{
    return make_list(L, 0);
}

static int make_temperatures(lua_State *L)
{
    return make_list(L, 1);
}

static const oxl_made made[] = {
    { "time_s", make_times },
    { "temperature_K", make_temperatures },
    { NULL, NULL },
};

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
    double temperature_K;
    size_t count = oxt_history_count(object->history);
    oxt_status status = oxt_history_sample(object->history, 0, from_s, &temperature_K, error);
    if (!status)
        status = oxt_history_sample(object->history, count - 1, to_s, &temperature_K, error);
    if (!status && !lua_isnoneornil(L, 3))
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
    lua_settop(L, 2);
    oxt_status status = read_span(L, object, &from_s, &to_s, &error);
    if (!status)
        status = oxt_history_exposure(object->history, &steel->values.growth, from_s, to_s,
                                      &exposure_nm2, &error);
    if (!status)
        status = oxt_thickness_of_exposure(&steel->values.growth, initial_nm, exposure_nm2,
                                           &thickness_nm, &error);
    return oxl_give_number(L, status, thickness_nm, &error);
}

static const luaL_Reg methods[] = {
    { "temperature", history_temperature },
    { "exposure", history_exposure },
    { "thickness", history_thickness },
    { "temper", oxl_history_temper },
    { NULL, NULL },
};

const oxl_class oxl_history_class = {
    .name = "oxtint.history",
    .noun = "history",
    .size = sizeof(oxl_history),
    .release = release,
    .methods = methods,
    .made = made,
    .text = history_tostring,
    .length = history_length,
    .item = history_item,
};

/* ---- functions ---- */

/* Places on the stack of the two lists. */
typedef struct {
    int time, temperature;
    double longest_gap_s;
} history_arguments;

static const oxl_named history_names[] = {
    { "time_s", OXL_NAMED_VALUE, offsetof(history_arguments, time), 0 },
    { "temperature_K", OXL_NAMED_VALUE, offsetof(history_arguments, temperature), 0 },
    { "longest_gap_s", OXL_NAMED_TIME, offsetof(history_arguments, longest_gap_s), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

/* A list of numbers, or of texts with units, as numbers. */
static double *read_list(lua_State *L, int index, const char *name, oxl_parser parse, size_t *count,
                         oxt_status *status, oxt_error *error)
{
    if (!lua_istable(L, index))
        luaL_argerror(
            L, 1, lua_pushfstring(L, "%s: list expected, got %s", name, luaL_typename(L, index)));
    *count = lua_rawlen(L, index);
    double *numbers = lua_newuserdatauv(L, (*count + 1) * sizeof *numbers, 0);
    for (size_t i = 0; i < *count && !*status; i++) {
        lua_rawgeti(L, index, (lua_Integer)i + 1);
        if (!oxl_read_quantity(L, -1, parse, &numbers[i], status, error))
            luaL_argerror(
                L, 1,
                lua_pushfstring(L, "%s: element %I: number or text with a unit expected, got %s",
                                name, (LUAI_UACINT)i + 1, luaL_typename(L, -1)));
        lua_pop(L, 1);
    }
    return numbers;
}

/* One temperature for all has the stride 0. */
static const double *read_temperatures(lua_State *L, int index, size_t times, double *one,
                                       ptrdiff_t *stride, oxt_status *status, oxt_error *error)
{
    static const char name[] = "temperature_K";
    size_t count;
    *stride = 0;
    if (oxl_read_quantity(L, index, oxt_parse_temperature, one, status, error))
        return one;
    const double *list = read_list(L, index, name, oxt_parse_temperature, &count, status, error);
    if (count != times)
        luaL_argerror(L, 1,
                      lua_pushfstring(L, "%s has %I numbers, but time_s has %I", name,
                                      (LUAI_UACINT)count, (LUAI_UACINT)times));
    *stride = sizeof(double);
    return list;
}

static int new_history(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    history_arguments given = { 0, 0, 0.0 };
    size_t count;
    double one;
    ptrdiff_t stride;
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, history_names, 0, &given, NULL, &error);
    if (!given.time || !given.temperature)
        luaL_argerror(L, 1, given.time ? "temperature_K is missing" : "time_s is missing");
    const double *time_s = NULL, *temperature_K = NULL;
    if (!status)
        time_s = read_list(L, given.time, "time_s", oxt_parse_duration, &count, &status, &error);
    if (!status)
        temperature_K = read_temperatures(L, given.temperature, count, &one, &stride, &status,
                                          &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_history *object = oxl_new(L, &oxl_history_class);
    status = oxt_history_new(&object->history, count, time_s, sizeof(double), temperature_K, stride,
                             given.longest_gap_s, &error);
    if (status)
        return oxl_fail(L, status, &error);
    object->object.open = true;
    oxl_owe(L, 2 * count * sizeof(double));
    return 1;
}

static int read_history(lua_State *L)
{
    const char *path = oxl_check_text(L, 1);
    double longest_gap_s = 0.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_status status = OXT_OK;
    if (!lua_isnoneornil(L, 2))
        status = oxl_check_quantity(L, 2, oxt_parse_duration, &longest_gap_s, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_faults *faults = oxl_new(L, &oxl_faults_class);
    oxl_history *object = oxl_new(L, &oxl_history_class);
    status = oxt_history_read_csv(&object->history, path, NULL, 0, longest_gap_s, &faults->faults,
                                  &error);
    if (status)
        return oxl_fail_file(L, faults, status, &error);
    object->object.open = true;
    oxl_owe(L, 2 * oxt_history_count(object->history) * sizeof(double));
    return 1;
}

void oxl_open_history(lua_State *L)
{
    static const luaL_Reg functions[] = {
        { "history", new_history },
        { "read_history", read_history },
        { NULL, NULL },
    };
    oxl_register(L, &oxl_history_class);
    luaL_setfuncs(L, functions, 0);
}
