/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What pictures show, as tables, and two of the pictures as SVG. */
#include <math.h>
#include <string.h>

#include "oxl.h"

/* ---- the fields ---- */

static const oxl_field chart_fields[] = {
    OXL_FIELD(oxt_chart, bath_low_K, OXL_NUMBER), OXL_FIELD(oxt_chart, bath_high_K, OXL_NUMBER),
    OXL_FIELD(oxt_chart, time_low_s, OXL_NUMBER), OXL_FIELD(oxt_chart, time_high_s, OXL_NUMBER),
    OXL_FIELD(oxt_chart, earliest_s, OXL_NUMBER), OXL_FIELD(oxt_chart, aim_s, OXL_NUMBER),
    OXL_FIELD(oxt_chart, latest_s, OXL_NUMBER),   OXL_FIELD(oxt_chart, band_count, OXL_COUNT),
    OXL_FIELD(oxt_chart, mark_count, OXL_COUNT),  OXL_FIELD(oxt_chart, cautions, OXL_CAUTIONS),
    OXL_FIELD(oxt_chart, tick_count, OXL_COUNT),  OXL_FIELD(oxt_chart, name, OXL_TEXT),
    OXL_FIELD(oxt_chart, time_label, OXL_TEXT),   OXL_END,
};

static const oxl_field band_fields[] = {
    OXL_FIELD(oxt_chart_band, index, OXL_INT_PLACE),
    OXL_FIELD(oxt_chart_band, leaves_below, OXL_FLAG),
    OXL_FIELD(oxt_chart_band, label, OXL_TEXT),
    OXL_FIELD(oxt_chart_band, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_chart_band, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_chart_band, label_s, OXL_NUMBER),
    OXL_FIELD(oxt_chart_band, srgb, OXL_NUMBERS),
    OXL_END,
};

static const oxl_field mark_fields[] = {
    OXL_FIELD(oxt_chart_mark, trial, OXL_PLACE),
    OXL_FIELD(oxt_chart_mark, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_chart_mark, equivalent_s, OXL_NUMBER),
    OXL_FIELD(oxt_chart_mark, seen_nm, OXL_NUMBER),
    OXL_FIELD(oxt_chart_mark, srgb, OXL_NUMBERS),
    OXL_FIELD(oxt_chart_mark, label, OXL_TEXT),
    OXL_END,
};

static const oxl_field sheet_fields[] = {
    OXL_FIELD(oxt_sheet, bath_count, OXL_COUNT),
    OXL_FIELD(oxt_sheet, target_count, OXL_COUNT),
    OXL_FIELD(oxt_sheet, outside_count, OXL_COUNT),
    OXL_FIELD(oxt_sheet, missing_count, OXL_COUNT),
    OXL_FIELD(oxt_sheet, cautions, OXL_CAUTIONS),
    OXL_FIELD(oxt_sheet, name, OXL_TEXT),
    OXL_FIELD(oxt_sheet, path_text, OXL_TEXT),
    OXL_FIELD(oxt_sheet, film_text, OXL_TEXT),
    OXL_FIELD(oxt_sheet, coverage, OXL_TEXT),
    OXL_END,
};

/* ---- steel:chart and steel:chart_svg ---- */

typedef struct {
    oxt_chart_options options;
    const oxl_steel *steel;
    const oxl_film *film;
    const oxl_trials *trials; /* NULL for none */
} chart_arguments;

static const oxl_field chart_names[] = {
    { "trials", OXL_OBJECT, offsetof(chart_arguments, trials), .class = &oxl_trials_class },
    { "dip", OXL_INSIDE, offsetof(chart_arguments, options.dip), .class = &oxl_dip_class },
    { "film", OXL_OBJECT, offsetof(chart_arguments, film), .class = &oxl_film_class },
    OXL_AS("bath_low", chart_arguments, options.bath_low_K, OXL_BATH),
    OXL_AS("bath_high", chart_arguments, options.bath_high_K, OXL_BATH),
    OXL_AS("time_low", chart_arguments, options.time_low_s, OXL_TIME),
    OXL_AS("time_high", chart_arguments, options.time_high_s, OXL_TIME),
    OXL_END,
};

static oxt_status read_chart(lua_State *L, chart_arguments *given, oxt_error *error)
{
    *given = (chart_arguments){ .options = OXT_CHART_OPTIONS_INIT };
    given->steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_status status = oxl_read_named(L, 2, chart_names, given, error);
    given->film = oxl_steel_film(L, given->film, 1);
    return status;
}

/* With the handle of the log as it is now: a finalizer may have closed it. */
static oxt_chart_options options_of(const chart_arguments *given)
{
    oxt_chart_options options = given->options;
    options.trials = given->trials ? given->trials->trials : NULL;
    return options;
}

/* Structs one after another, in memory that stays on the stack. */
static void *push_structs(lua_State *L, size_t count, const void *initial, size_t size)
{
    char *made = lua_newuserdatauv(L, (count + 1) * size, 0);
    for (size_t i = 0; i < count; i++)
        memcpy(made + i * size, initial, size);
    return made;
}

/* Set a field of the table at an index to a list of structs. */
static void set_list(lua_State *L, int table, const char *name, const oxl_field *fields,
                     const void *structs, size_t count, size_t size)
{
    lua_createtable(L, (int)count, 0);
    for (size_t i = 0; i < count; i++) {
        oxl_push_struct(L, fields, (const char *)structs + i * size);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, table, name);
}

int oxl_steel_chart(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    chart_arguments given;
    oxt_chart chart = OXT_CHART_INIT;
    const oxt_chart_band band = OXT_CHART_BAND_INIT;
    const oxt_chart_mark mark = OXT_CHART_MARK_INIT;
    lua_settop(L, 2);
    oxt_status status = read_chart(L, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    const size_t most = given.trials ? oxt_trials_count(given.trials->trials) : 0;
    oxt_chart_band *bands = push_structs(L, OXT_TINT_COUNT, &band, sizeof band);
    oxt_chart_mark *marks = push_structs(L, most, &mark, sizeof mark);
    const oxt_chart_options options = options_of(&given);
    status = oxt_chart_data(given.steel->steel, given.film->film, &options, &chart, OXT_TINT_COUNT,
                            bands, most, marks, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, chart_fields, &chart);
    int table = lua_gettop(L);
    oxl_push_numbers(L, chart.ticks_s, chart.tick_count);
    lua_setfield(L, table, "ticks_s");
    set_list(L, table, "bands", band_fields, bands, chart.band_count, sizeof band);
    set_list(L, table, "marks", mark_fields, marks, chart.mark_count, sizeof mark);
    return 1;
}

static oxt_status write_chart(const void *object, size_t unit, char *buffer, size_t capacity,
                              size_t *needed, oxt_error *error)
{
    const chart_arguments *given = object;
    oxt_chart_options options = options_of(given);
    return oxt_chart_svg(given->steel->steel, given->film->film, &options,
                         (oxt_temperature_unit)unit, buffer, capacity, needed, error);
}

int oxl_steel_chart_svg(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    chart_arguments given;
    lua_settop(L, 3);
    oxt_temperature_unit unit = oxl_check_unit(L, 3, OXT_UNIT_FAHRENHEIT);
    oxt_status status = read_chart(L, &given, &error);
    return status ? oxl_fail(L, status, &error) : oxl_give_text(L, write_chart, &given, unit);
}

/* ---- steel:chart_spread and steel:chart_map ---- */

int oxl_steel_chart_spread(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    const oxl_bootstrap *bootstrap = oxl_check(L, 2, &oxl_bootstrap_class);
    oxt_error error = OXT_ERROR_INIT;
    oxl_dip_arguments given = { .options = OXT_DIP_OPTIONS_INIT };
    oxt_target target = OXT_TARGET_INIT;
    double bath_K = 0.0;
    size_t count = bootstrap->values.replicates;
    lua_settop(L, 5);
    oxt_status status = oxl_read_named(L, 5, oxl_dip_names, &given, &error);
    if (!status)
        status = oxl_take_dip(L, 1, &given, &error);
    if (!status)
        status = oxl_check_target(L, 3, given.film, &target, &error);
    if (!status)
        status = oxl_check_temperature(L, 4, &bath_K, &error);
    if (status)
        return oxl_fail(L, status, &error);
    double *times_s = lua_newuserdatauv(L, (count + 1) * sizeof *times_s, 0);
    status = oxt_chart_spread(steel->steel, bootstrap->bootstrap, &target, bath_K, &given.options,
                              count, times_s, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_numbers(L, times_s, count);
    return 1;
}

typedef struct {
    oxt_advise_options options;
    const oxl_film *film;
    int target, bath; /* places on the stack */
} map_arguments;

static const oxl_field map_names[] = {
    OXL_FIELD(map_arguments, target, OXL_VALUE),
    OXL_FIELD(map_arguments, bath, OXL_VALUE),
    OXL_AS("highest_order", map_arguments, options.highest_order, OXL_INT),
    { "film", OXL_OBJECT, offsetof(map_arguments, film), .class = &oxl_film_class },
    OXL_END,
};

static oxt_status read_map(lua_State *L, map_arguments *given, oxt_target *target,
                           const oxl_column *baths, oxt_error *error)
{
    const double *baths_K = oxl_column_values(baths);
    oxt_status status = oxl_read_named(L, 4, map_names, given, error);
    given->film = oxl_steel_film(L, given->film, 1);
    /* the dip is in the middle of them, unless it is told */
    for (size_t i = 0; i < baths->count; i++) {
        given->options.low_K = i ? fmin(given->options.low_K, baths_K[i]) : baths_K[i];
        given->options.high_K = i ? fmax(given->options.high_K, baths_K[i]) : baths_K[i];
    }
    return status ? status
                  : oxl_check_aim(L, given->target, given->bath, given->film, &given->options,
                                  target, error);
}

int oxl_steel_chart_map(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    map_arguments given = { .options = OXT_ADVISE_OPTIONS_INIT };
    oxt_target target = OXT_TARGET_INIT;
    oxl_column baths, times;
    lua_settop(L, 4);
    oxt_status status = oxl_check_column(L, 2, oxt_parse_temperature, &baths, &error);
    if (!status)
        status = oxl_check_column(L, 3, oxt_parse_duration, &times, &error);
    if (!status)
        status = read_map(L, &given, &target, &baths, &error);
    if (status)
        return oxl_fail(L, status, &error);
    size_t columns = baths.count, rows = times.count > 0 ? times.count - 1 : 0;
    luaL_argcheck(L, columns <= 10000, 2, "at most 10000 baths expected");
    luaL_argcheck(L, rows <= 10000, 3, "at most 10001 times expected");
    double *ratios = lua_newuserdatauv(L, (rows * columns + 1) * sizeof *ratios, 0);
    status = oxt_chart_map(steel->steel, given.film->film, &given.options, columns,
                           oxl_column_values(&baths), rows, oxl_column_values(&times), ratios,
                           &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_createtable(L, (int)rows, 0);
    for (size_t i = 0; i < rows; i++) {
        oxl_push_numbers(L, &ratios[i * columns], columns);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

/* ---- steel:chart_sheet and steel:chart_sheet_svg ---- */

typedef struct {
    oxl_dip_arguments dip; /* its names are those of a dip */
    oxt_sheet_options options;
    const oxl_steel *steel;
    int baths, targets; /* places on the stack */
    oxl_column columns;
    oxt_target *wanted;
} sheet_arguments;

static const char *const papers[] = { "A4", "letter", NULL };

static const oxl_field sheet_names[] = {
    OXL_ALL(oxl_dip_names),
    OXL_FIELD(sheet_arguments, baths, OXL_VALUE),
    OXL_FIELD(sheet_arguments, targets, OXL_VALUE),
    { "unit", OXL_CHOICE, offsetof(sheet_arguments, options.unit), .choices = oxl_units },
    { "paper", OXL_CHOICE, offsetof(sheet_arguments, options.paper), .choices = papers },
    OXL_AS("date", sheet_arguments, options.date, OXL_STRING),
    OXL_END,
};

static oxt_status read_baths(lua_State *L, sheet_arguments *given, oxt_error *error)
{
    if (!given->baths)
        return OXT_OK;
    luaL_argcheck(L, lua_istable(L, given->baths), 2, "baths: list expected");
    oxt_status status = oxl_read_column(L, 2, given->baths, "baths", oxt_parse_temperature,
                                        &given->columns, error);
    given->options.baths_K = oxl_column_values(&given->columns);
    given->options.bath_count = given->columns.count;
    return status;
}

/* More than a sheet has are left to the library to refuse, which looks at none of them. */
static oxt_status read_targets(lua_State *L, sheet_arguments *given, oxt_error *error)
{
    if (!given->targets)
        return OXT_OK;
    luaL_argcheck(L, lua_istable(L, given->targets), 2, "targets: list expected");
    size_t all = lua_rawlen(L, given->targets);
    size_t count = all < OXT_SHEET_TARGETS ? all : OXT_SHEET_TARGETS;
    const oxt_target target = OXT_TARGET_INIT;
    oxt_status status = OXT_OK;
    given->wanted = push_structs(L, count, &target, sizeof target);
    const oxt_target **list = lua_newuserdatauv(L, (count + 1) * sizeof *list, 0);
    for (size_t i = 0; i < count && !status; i++) {
        lua_rawgeti(L, given->targets, (lua_Integer)i + 1);
        status = oxl_check_target(L, lua_gettop(L), given->dip.film, &given->wanted[i], error);
        lua_pop(L, 1);
        list[i] = &given->wanted[i];
    }
    given->options.targets = list;
    given->options.target_count = all;
    return status;
}

static oxt_status read_sheet(lua_State *L, sheet_arguments *given, oxt_error *error)
{
    *given = (sheet_arguments){ .dip = { .options = OXT_DIP_OPTIONS_INIT },
                                .options = OXT_SHEET_OPTIONS_INIT };
    lua_settop(L, 2);
    given->steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_status status = oxl_read_named(L, 2, sheet_names, given, error);
    oxt_status taken = oxl_take_dip(L, 1, &given->dip, status ? NULL : error);
    given->options.dip = &given->dip.options;
    if (!status)
        status = taken;
    if (!status)
        status = read_baths(L, given, error);
    return status ? status : read_targets(L, given, error);
}

int oxl_steel_chart_sheet(lua_State *L)
{
    enum { MOST = OXT_SHEET_BATHS * OXT_SHEET_TARGETS };
    oxt_error error = OXT_ERROR_INIT;
    sheet_arguments given;
    oxt_sheet sheet = OXT_SHEET_INIT;
    const oxt_dip dip = OXT_DIP_INIT;
    oxt_status status = read_sheet(L, &given, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxt_dip *dips = push_structs(L, MOST, &dip, sizeof dip);
    status = oxt_chart_sheet(given.steel->steel, given.dip.film->film, &given.options, MOST, dips,
                             &sheet, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, sheet_fields, &sheet);
    lua_createtable(L, (int)sheet.target_count, 0);
    for (size_t i = 0; i < sheet.target_count; i++) {
        lua_createtable(L, (int)sheet.bath_count, 0);
        for (size_t j = 0; j < sheet.bath_count; j++) {
            oxl_dip *object = oxl_new_dip(L, given.options.unit);
            object->dip = dips[i * sheet.bath_count + j];
            object->object.open = true;
            lua_rawseti(L, -2, (lua_Integer)j + 1);
        }
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "dips");
    return 1;
}

OXL_WRITER(write_sheet, sheet_arguments, oxt_chart_sheet_svg, of->steel->steel, of->dip.film->film,
           &of->options)

int oxl_steel_chart_sheet_svg(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    sheet_arguments given;
    oxt_status status = read_sheet(L, &given, &error);
    return status ? oxl_fail(L, status, &error) : oxl_give_text(L, write_sheet, &given, 0);
}
