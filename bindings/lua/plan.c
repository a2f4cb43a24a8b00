/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The most forgiving bath, and sets of parts. */
#include <stdio.h>
#include <stdlib.h>

#include "oxl.h"

/* ---- the most forgiving bath ---- */

typedef struct {
    oxl_dip_arguments dip; /* first: its names are those of a dip */
    oxt_bath_range range;
    int low; /* place on the stack, for its scale */
    double rows;
} forgiving_arguments;

static const oxl_field forgiving_names[] = {
    OXL_ALL(oxl_dip_names),
    OXL_FIELD(forgiving_arguments, low, OXL_VALUE),
    OXL_AS("high", forgiving_arguments, range.high_K, OXL_BATH),
    OXL_AS("longest", forgiving_arguments, range.longest_s, OXL_TIME),
    OXL_FIELD(forgiving_arguments, rows, OXL_NUMBER),
    OXL_END,
};

/* Target and options, the second and third argument. */
static oxt_status read_forgiving(lua_State *L, forgiving_arguments *given, oxt_target *target,
                                 oxt_error *error)
{
    *given = (forgiving_arguments){ .dip.options = OXT_DIP_OPTIONS_INIT,
                                    .range = OXT_BATH_RANGE_INIT,
                                    .rows = 9.0 };
    lua_settop(L, 3);
    oxt_status status = oxl_read_named(L, 3, forgiving_names, given, error);
    if (!status && given->low)
        status = oxl_check_temperature(L, given->low, &given->range.low_K, error);
    if (!status)
        status = oxl_take_dip(L, 1, &given->dip, error);
    given->range.rows = given->rows >= 0.0 && given->rows < 1e6 ? (size_t)given->rows : 0;
    return status ? status : oxl_check_target(L, 2, given->dip.film, target, error);
}

static oxt_temperature_unit scale_of(lua_State *L, const forgiving_arguments *given)
{
    return given->low ? oxl_unit_of(L, given->low) : OXT_UNIT_FAHRENHEIT;
}

int oxl_steel_most_forgiving(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    forgiving_arguments given;
    oxt_target target = OXT_TARGET_INIT;
    oxt_status status = read_forgiving(L, &given, &target, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_dip *object = oxl_new_dip(L, scale_of(L, &given));
    status = oxt_plan_baths(steel->steel, &target, &given.range, &given.dip.options, &object->dip,
                            NULL, NULL, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

/* ---- several baths ---- */

/* Baths that are compared at most, as in C. */
enum { MOST_ROWS = 200 };

static void release_baths(void *object)
{
    oxl_baths *of = object;
    free(of->dips);
    of->dips = NULL;
    of->count = 0;
}

static int push_dip(lua_State *L, const oxt_dip *dip, oxt_temperature_unit unit)
{
    oxt_dip copy = *dip; /* the object may be closed by a finalizer */
    oxl_dip *object = oxl_new_dip(L, unit);
    object->dip = copy;
    object->object.open = true;
    return 1;
}

static int make_best(lua_State *L)
{
    const oxl_baths *object = lua_touserdata(L, 1);
    return push_dip(L, &object->best, object->unit);
}

static size_t count_baths(const void *object)
{
    const oxl_baths *baths = object;
    return baths->count;
}

static void push_bath(lua_State *L, const void *object, size_t index)
{
    const oxl_baths *baths = object;
    push_dip(L, &baths->dips[index], baths->unit);
}

static oxt_status write_baths(const void *object, size_t which, char *buffer, size_t capacity,
                              size_t *needed, oxt_error *error)
{
    const oxl_baths *of = object;
    const oxt_dip *list[MOST_ROWS];
    for (size_t i = 0; i < of->count; i++)
        list[i] = &of->dips[i];
    return oxt_plan_baths_report(list, of->count, &of->best, oxl_report_unit(which),
                                 oxl_report_detail(which), buffer, capacity, needed, error);
}

static const oxl_made baths_made[] = { { "best", .make = make_best }, { .name = NULL } };

const oxl_class oxl_baths_class = {
    .name = "oxtint.baths",
    .noun = "comparison of baths",
    .size = sizeof(oxl_baths),
    .release = release_baths,
    .made = baths_made,
    .report = write_baths,
    .asked = OXL_ASK_BOTH,
    .unit = offsetof(oxl_baths, unit),
    .count = count_baths,
    .item = push_bath,
};

int oxl_steel_baths(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    forgiving_arguments given;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip *list[MOST_ROWS];
    oxt_status status = read_forgiving(L, &given, &target, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_baths *object = oxl_new(L, &oxl_baths_class);
    object->unit = scale_of(L, &given);
    object->best = (oxt_dip)OXT_DIP_INIT;
    /* of any other number the library takes none */
    size_t rows = given.range.rows < MOST_ROWS ? given.range.rows : MOST_ROWS;
    object->dips = malloc((rows + 1) * sizeof *object->dips);
    if (!object->dips)
        return luaL_error(L, "not enough memory");
    for (size_t i = 0; i < rows; i++) {
        object->dips[i] = (oxt_dip)OXT_DIP_INIT;
        list[i] = &object->dips[i];
    }
    status = oxt_plan_baths(steel->steel, &target, &given.range, &given.dip.options, &object->best,
                            list, &object->count, &error);
    return oxl_give_object(L, status, &object->object, &error);
}

/* ---- sets ---- */

static const oxl_field set_fields[] = {
    OXL_FIELD(oxt_plan_values, count, OXL_COUNT),
    OXL_FIELD(oxt_plan_values, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, tolerance, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, aim_mismatch, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, mean_mismatch, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, high_mismatch, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, chance_match, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, chance_targets, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, last_lift_s, OXL_NUMBER),
    OXL_FIELD(oxt_plan_values, cautions, OXL_CAUTIONS),
    OXL_FIELD(oxt_plan_values, sag_K, OXL_NUMBER),
    OXL_END,
};

static const oxl_field step_fields[] = {
    OXL_FIELD(oxt_plan_step, part, OXL_PLACE),
    OXL_FIELD(oxt_plan_step, name, OXL_TEXT),
    OXL_FIELD(oxt_plan_step, enter_s, OXL_NUMBER),
    OXL_FIELD(oxt_plan_step, lift_s, OXL_NUMBER),
    OXL_END,
};

OXL_RELEASE(release_set, oxl_set, set, oxt_plan_free)

static void push_step(lua_State *L, const void *object, size_t index)
{
    const oxl_set *of = object;
    oxt_error error = OXT_ERROR_INIT;
    oxt_plan_step step = OXT_PLAN_STEP_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    oxl_expect(L, oxt_plan_get_step(of->set, index, &step, &dip, &error), &error);
    oxl_push_struct(L, step_fields, &step);
    push_dip(L, &dip, of->unit);
    lua_setfield(L, -2, "dip");
}

static const oxl_made made[] = {
    { "steps", .item = push_step, .count = offsetof(oxl_set, values.count) },
    { .name = NULL },
};

OXL_WRITER(write_report, oxl_set, oxt_plan_report, of->set, oxl_report_unit(which),
           oxl_report_detail(which))

OXL_WRITER(write_json, oxl_set, oxt_plan_json, of->set)

const oxl_class oxl_set_class = {
    .name = "oxtint.set",
    .noun = "set",
    .size = sizeof(oxl_set),
    .release = release_set,
    .fields = set_fields,
    .structure = offsetof(oxl_set, values),
    .made = made,
    .json = write_json,
    .report = write_report,
    .asked = OXL_ASK_BOTH,
    .unit = offsetof(oxl_set, unit),
};

/* One part as it was given, and the library's view of it. */
typedef struct {
    oxl_dip_arguments dip; /* first: its names are those of a dip */
    oxt_plan_part part;
    oxt_target wanted;
    int steel, target; /* places on the stack */
    const oxl_steel *of;
} part_arguments;

static const oxl_field part_names[] = {
    OXL_AS("name", part_arguments, part.name, OXL_TEXT),
    OXL_FIELD(part_arguments, steel, OXL_VALUE),
    OXL_FIELD(part_arguments, target, OXL_VALUE),
    OXL_ALL(oxl_dip_part_names),
    OXL_END,
};

/* The part's table is on top of the stack; what it holds stays there. */
static oxt_status read_part(lua_State *L, size_t place, part_arguments *given, oxt_error *error)
{
    char where[32], steel[40];
    snprintf(where, sizeof where, "parts[%zu]", place + 1);
    snprintf(steel, sizeof steel, "%s: steel", where);
    *given = (part_arguments){ .dip.options = OXT_DIP_OPTIONS_INIT,
                               .part = OXT_PLAN_PART_INIT,
                               .wanted = OXT_TARGET_INIT };
    luaL_checkstack(L, 20, "too many parts");
    oxt_status status = oxl_read_table(L, 1, lua_gettop(L), where, part_names, 0, given, NULL,
                                       error);
    if (!given->target)
        luaL_argerror(L, 1, lua_pushfstring(L, "%s: target: expected", where));
    lua_pushnil(L); /* what stands there when no steel was given */
    int place_of_steel = given->steel ? given->steel : lua_gettop(L);
    given->of = oxl_check_named(L, 1, place_of_steel, steel, &oxl_steel_class);
    if (!status)
        status = oxl_take_dip(L, place_of_steel, &given->dip, error);
    if (!status)
        status = oxl_check_target(L, given->target, given->dip.film, &given->wanted, error);
    given->part.target = &given->wanted;
    given->part.options = &given->dip.options;
    return status;
}

typedef struct {
    oxt_plan_options options;
    int parts, bath; /* places on the stack */
    oxl_watcher watcher;
    double draws, random_seed;
} set_arguments;

static const oxl_field set_names[] = {
    OXL_FIELD(set_arguments, parts, OXL_VALUE),
    OXL_FIELD(set_arguments, bath, OXL_VALUE),
    OXL_AS("spacing", set_arguments, options.spacing_s, OXL_TIME),
    OXL_AS("tolerance", set_arguments, options.tolerance, OXL_NUMBER),
    OXL_AS("bath_wander_K", set_arguments, options.bath_wander_K, OXL_SPREAD),
    OXL_AS("time_wander_s", set_arguments, options.time_wander_s, OXL_TIME),
    OXL_FIELD(set_arguments, draws, OXL_NUMBER),
    OXL_FIELD(set_arguments, random_seed, OXL_NUMBER),
    { "progress", OXL_OTHER, offsetof(set_arguments, watcher), .read = oxl_read_progress },
    OXL_END,
};

static oxt_status read_set(lua_State *L, set_arguments *given, double *bath_K, oxt_error *error)
{
    *given = (set_arguments){ .options = OXT_PLAN_OPTIONS_INIT, .draws = 4000, .random_seed = 1 };
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, set_names, given, error);
    if (!given->parts || lua_type(L, given->parts) != LUA_TTABLE)
        luaL_argerror(L, 1, "parts: list expected");
    if (!given->bath)
        luaL_argerror(L, 1, "bath: number or text with a unit expected");
    given->options.draws = given->draws >= 0.0 && given->draws < 1e9 ? (size_t)given->draws : 0;
    given->options.random_seed = given->random_seed >= 0.0 && given->random_seed < 4294967296.0
                                     ? (uint32_t)given->random_seed
                                     : 0;
    return status ? status : oxl_check_temperature(L, given->bath, bath_K, error);
}

static int plan_set(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    set_arguments given;
    double bath_K = 0.0;
    lua_settop(L, 1);
    oxt_status status = read_set(L, &given, &bath_K, &error);
    oxl_watch(&given.watcher, &given.options.progress, &given.options.user);
    size_t count = lua_rawlen(L, given.parts);
    part_arguments *parts = lua_newuserdatauv(L, (count + 1) * sizeof *parts, 0);
    const oxt_plan_part **list = lua_newuserdatauv(L, (count + 1) * sizeof(void *), 0);
    for (size_t i = 0; i < count && !status; i++) {
        lua_rawgeti(L, given.parts, (lua_Integer)i + 1);
        status = read_part(L, i, &parts[i], &error);
        list[i] = &parts[i].part;
    }
    if (status)
        return oxl_fail(L, status, &error);
    oxl_set *object = oxl_new(L, &oxl_set_class);
    object->unit = oxl_unit_of(L, given.bath);
    object->values = (oxt_plan_values)OXT_PLAN_VALUES_INIT;
    for (size_t i = 0; i < count; i++) {
        parts[i].part.steel = parts[i].of->steel;
        parts[i].part.film = parts[i].dip.film->film;
    }
    status = oxt_plan_set(&object->set, list, count, bath_K, &given.options, &error);
    if (given.watcher.raised)
        return lua_error(L);
    object->object.open = !status;
    if (status)
        return oxl_fail(L, status, &error);
    oxl_expect(L, oxt_plan_get(object->set, &object->values, &error), &error);
    return 1;
}

const luaL_Reg oxl_plan_functions[] = { { "plan_set", plan_set }, { NULL, NULL } };
