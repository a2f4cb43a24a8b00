/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs of trials, and the faults of their files. */
#include <math.h>
#include <string.h>

#include "oxl.h"

/* ---- faults ---- */

OXL_RELEASE(release_faults, oxl_faults, faults, oxt_faults_free)

const oxl_class oxl_faults_class = {
    .name = "oxtint.faults",
    .noun = "list of faults",
    .size = sizeof(oxl_faults),
    .release = release_faults,
};

static const oxl_field fault_fields[] = {
    OXL_FIELD(oxt_fault, line, OXL_COUNT), OXL_FIELD(oxt_fault, column, OXL_TEXT),
    OXL_FIELD(oxt_fault, found, OXL_TEXT), OXL_FIELD(oxt_fault, expected, OXL_TEXT),
    OXL_FIELD(oxt_fault, row, OXL_COUNT),  OXL_END,
};

/* The library keeps a thousand of them, and counts the rest. */
static void push_faults(lua_State *L, oxl_faults *faults)
{
    oxt_fault fault = OXT_FAULT_INIT;
    lua_newtable(L);
    for (size_t i = 0; oxt_faults_get(faults->faults, i, &fault, NULL) == OXT_OK; i++) {
        oxl_push_struct(L, fault_fields, &fault);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

OXL_WRITER(write_faults, oxl_faults, oxt_faults_report, of->faults)

int oxl_fail_file(lua_State *L, oxl_faults *faults, oxt_status status, const oxt_error *error)
{
    int count = oxl_fail(L, status, error);
    if (!faults->faults)
        return count;
    oxl_push_text(L, write_faults, faults, 0);
    lua_setfield(L, -2, "report");
    push_faults(L, faults);
    lua_setfield(L, -2, "faults");
    oxl_close(faults, &oxl_faults_class);
    return count;
}

/* ---- the object ---- */

OXL_RELEASE(release, oxl_trials, trials, oxt_trials_free)

static size_t count_trials(const void *object)
{
    const oxl_trials *log = object;
    return oxt_trials_count(log->trials);
}

const char *const oxl_lifted[] = { "first", "middle", "last", "after", NULL };

/* `seen` names the one of these fields that counts; the others are left out. */
static const char *const seen_names[] = { "colour", "thickness_nm", "lab", "srgb" };

#define LIFTED(type, member)                                                    \
    {                                                                           \
        "lifted", OXL_CHOICE, offsetof(type, member), .choices = oxl_lifted,    \
                                                      .first = OXT_LIFTED_FIRST \
    }

static const oxl_field trial_fields[] = {
    OXL_FIELD(oxt_trial, steel, OXL_TEXT),
    OXL_FIELD(oxt_trial, finish, OXL_TEXT),
    OXL_FIELD(oxt_trial, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_trial, time_s, OXL_NUMBER),
    { "seen", OXL_CHOICE, offsetof(oxt_trial, seen), .choices = seen_names },
    OXL_FIELD(oxt_trial, colour, OXL_TEXT),
    OXL_FIELD(oxt_trial, thickness_nm, OXL_NUMBER),
    OXL_FIELD(oxt_trial, lab, OXL_NUMBERS),
    OXL_FIELD(oxt_trial, srgb, OXL_TEXT),
    OXL_FIELD(oxt_trial, line, OXL_COUNT),
    LIFTED(oxt_trial, lifted),
    OXL_END,
};

/* Left out where they are not stated. */
static const oxl_field stated_fields[] = {
    OXL_FIELD(oxt_trial, part_size_m, OXL_NUMBER),
    OXL_FIELD(oxt_trial, part_start_K, OXL_NUMBER),
    OXL_FIELD(oxt_trial, transfer_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_trial, lift_s, OXL_NUMBER),
    OXL_FIELD(oxt_trial, bath_sd_K, OXL_NUMBER),
    OXL_FIELD(oxt_trial, time_sd_s, OXL_NUMBER),
    OXL_FIELD(oxt_trial, thickness_sd_nm, OXL_NUMBER),
    OXL_FIELD(oxt_trial, colour_tolerance, OXL_NUMBER),
    OXL_END,
};

/* Set them in the table on top of the stack. */
static void set_stated(lua_State *L, const oxt_trial *trial)
{
    for (const oxl_field *field = stated_fields; field->name; field++) {
        oxl_push_field(L, field, trial);
        if (lua_tonumber(L, -1) != 0.0)
            lua_setfield(L, -2, field->name);
        else
            lua_pop(L, 1);
    }
    if (trial->part_size_m != 0.0) {
        lua_pushstring(L, oxl_shapes[trial->part_shape]);
        lua_setfield(L, -2, "part_shape");
    }
    if (*trial->day) {
        lua_pushstring(L, trial->day);
        lua_setfield(L, -2, "day");
    }
}

/* A column of texts, of which oxl_push_text pushes that of one trial. */
typedef struct {
    const oxl_trials *log;
    const char *name;
} text_column;

OXL_WRITER(write_text, text_column, oxt_trials_text, of->log->trials, of->name, which)

static void push_trial(lua_State *L, const void *object, size_t index)
{
    const oxl_trials *log = object;
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_trials_get(log->trials, index, &trial, NULL);
    oxl_push_struct(L, trial_fields, &trial);
    for (unsigned i = 0; i < sizeof seen_names / sizeof *seen_names; i++)
        if (i != trial.seen) {
            lua_pushnil(L);
            lua_setfield(L, -2, seen_names[i]);
        }
    set_stated(L, &trial);
    oxl_push_text(L, write_text, &(text_column){ log, "note" }, index);
    lua_setfield(L, -2, "note");
}

/* ---- methods ---- */

typedef struct {
    oxt_trial trial;
    const char *note;
    int shape; /* -1 where none is stated: a plate is 0 in C, as is no shape at all */
} named_trial;

static const oxl_field trial_names[] = {
    OXL_AS("steel", named_trial, trial.steel, OXL_TEXT),
    OXL_AS("finish", named_trial, trial.finish, OXL_TEXT),
    OXL_AS("bath", named_trial, trial.bath_K, OXL_BATH),
    OXL_AS("time", named_trial, trial.time_s, OXL_TIME),
    /* from here on in the order of oxt_seen */
    OXL_AS("colour", named_trial, trial.colour, OXL_TEXT),
    OXL_AS("thickness_nm", named_trial, trial.thickness_nm, OXL_NUMBER),
    OXL_AS("lab", named_trial, trial.lab, OXL_NUMBERS),
    OXL_AS("srgb", named_trial, trial.srgb, OXL_TEXT),
    OXL_FIELD(named_trial, note, OXL_STRING),
    OXL_AS("part", named_trial, trial.part_size_m, OXL_LENGTH),
    { "shape", OXL_CHOICE, offsetof(named_trial, shape), .choices = oxl_shapes },
    OXL_AS("start", named_trial, trial.part_start_K, OXL_BATH),
    OXL_AS("transfer_W_per_m2K", named_trial, trial.transfer_W_per_m2K, OXL_NUMBER),
    OXL_AS("lift", named_trial, trial.lift_s, OXL_TIME),
    OXL_AS("bath_sd", named_trial, trial.bath_sd_K, OXL_SPREAD),
    OXL_AS("time_sd", named_trial, trial.time_sd_s, OXL_TIME),
    OXL_AS("thickness_sd_nm", named_trial, trial.thickness_sd_nm, OXL_NUMBER),
    OXL_AS("colour_tolerance", named_trial, trial.colour_tolerance, OXL_NUMBER),
    OXL_AS("day", named_trial, trial.day, OXL_TEXT),
    LIFTED(named_trial, trial.lifted),
    OXL_END,
};

static bool take_bit(uint32_t given, int place)
{
    return given & UINT32_C(1) << place;
}

/* Steel, bath and time, and exactly one thing seen. */
static void check_given(lua_State *L, uint32_t given, oxt_trial *trial)
{
    enum { STEEL = 0, BATH = 2, TIME = 3, SEEN = 4, SEEN_COUNT = 4 };
    static const int needed[] = { STEEL, BATH, TIME };
    for (size_t i = 0; i < sizeof needed / sizeof *needed; i++)
        if (!take_bit(given, needed[i]))
            luaL_argerror(L, 2, lua_pushfstring(L, "%s is missing", trial_names[needed[i]].name));
    int count = 0;
    for (int i = 0; i < SEEN_COUNT; i++)
        if (take_bit(given, SEEN + i)) {
            trial->seen = (oxt_seen)i;
            count++;
        }
    if (count != 1)
        luaL_argerror(L, 2, "exactly one of colour, thickness_nm, lab and srgb expected");
}

static void take_shape(lua_State *L, named_trial *given)
{
    if (given->shape < 0)
        return;
    luaL_argcheck(L, given->trial.part_size_m != 0.0, 2, "shape: a part with it expected");
    given->trial.part_shape = (oxt_shape)given->shape;
}

static int trials_add(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    named_trial given = { OXT_TRIAL_INIT, NULL, -1 };
    oxt_error error = OXT_ERROR_INIT;
    uint32_t names = 0;
    luaL_checktype(L, 2, LUA_TTABLE);
    oxt_status status = oxl_read_table(L, 2, 2, NULL, trial_names, 0, &given, &names, &error);
    check_given(L, names, &given.trial);
    if (!status)
        take_shape(L, &given);
    if (!status)
        status = oxt_trials_add(log->trials, &given.trial, given.note, &error);
    if (status)
        return oxl_fail(L, status, &error);
    if (oxt_trials_count(log->trials) == 1 && !log->unit_set &&
        lua_getfield(L, 2, "bath") == LUA_TSTRING)
        oxt_trials_set_unit(log->trials, oxl_unit_of(L, -1), NULL);
    lua_pushboolean(L, true);
    return 1;
}

/* ---- columns ---- */

/* A column as a block of numbers or of texts, which the table on the stack keeps alive. */
typedef struct {
    oxt_column column;
    union {
        double *numbers;
        const char **texts;
    } values;
} lua_column;

static bool is_empty(lua_State *L, int index)
{
    return lua_isnil(L, index) || (lua_isboolean(L, index) && !lua_toboolean(L, index));
}

/* Whether all that a list holds are numbers, or nothing. */
static bool all_numbers(lua_State *L, int index, lua_Unsigned count)
{
    bool good = true;
    for (lua_Unsigned i = 1; good && i <= count; i++) {
        lua_rawgeti(L, index, (lua_Integer)i);
        good = lua_type(L, -1) == LUA_TNUMBER || is_empty(L, -1);
        lua_pop(L, 1);
    }
    return good;
}

/* The list at the top of the stack; what is made of it stays in the table `anchors`. */
static void read_column(lua_State *L, const char *name, int anchors, lua_column *made)
{
    int list = lua_gettop(L);
    lua_Unsigned count = lua_rawlen(L, list);
    bool numbers = all_numbers(L, list, count);
    void *block = lua_newuserdatauv(L, (count + 1) * sizeof *made->values.numbers, 0);
    luaL_ref(L, anchors);
    made->column = (oxt_column)OXT_COLUMN_INIT;
    made->column.name = name;
    made->column.kind = numbers ? OXT_COLUMN_DOUBLE : OXT_COLUMN_TEXT;
    made->column.values = block;
    made->column.stride = numbers ? sizeof(double) : sizeof(const char *);
    for (lua_Unsigned i = 0; i < count; i++) {
        lua_rawgeti(L, list, (lua_Integer)i + 1);
        if (numbers) {
            ((double *)block)[i] = is_empty(L, -1) ? NAN : lua_tonumber(L, -1);
        } else if (is_empty(L, -1)) {
            ((const char **)block)[i] = NULL;
        } else {
            size_t length;
            bool kept = lua_type(L, -1) == LUA_TSTRING; /* by the list */
            const char *text = luaL_tolstring(L, -1, &length);
            if (strlen(text) != length)
                luaL_argerror(
                    L, 2, lua_pushfstring(L, "%s: row %I holds a NUL", name, (LUAI_UACINT)i + 1));
            ((const char **)block)[i] = text;
            if (kept)
                lua_pop(L, 1);
            else
                luaL_ref(L, anchors);
        }
        lua_pop(L, 1);
    }
}

/* add_columns{ steel = { ... }, bath_F = { ... } }: false for what is missing. */
static int trials_add_columns(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    oxt_error error = OXT_ERROR_INIT;
    luaL_checktype(L, 2, LUA_TTABLE);
    lua_settop(L, 2);
    lua_newtable(L); /* 3: anchors */
    oxl_faults *faults = oxl_new(L, &oxl_faults_class);
    size_t count = 0, rows = 0;
    const char *first = NULL;
    lua_pushnil(L);
    while (lua_next(L, 2)) {
        lua_pop(L, 1);
        count++;
    }
    lua_column *columns = lua_newuserdatauv(L, (count + 1) * sizeof *columns, 0);
    const oxt_column **all = lua_newuserdatauv(L, (count + 1) * sizeof(void *), 0);
    count = 0;
    lua_pushnil(L);
    while (lua_next(L, 2)) {
        if (lua_type(L, -2) != LUA_TSTRING)
            luaL_argerror(L, 2, "columns by their names expected");
        const char *name = lua_tostring(L, -2);
        if (lua_type(L, -1) != LUA_TTABLE)
            luaL_argerror(
                L, 2, lua_pushfstring(L, "%s: list expected, got %s", name, luaL_typename(L, -1)));
        size_t length = lua_rawlen(L, -1);
        if (first && length != rows)
            luaL_argerror(L, 2,
                          lua_pushfstring(L, "%s has %I values, expected %I as in %s", name,
                                          (LUAI_UACINT)length, (LUAI_UACINT)rows, first));
        first = name;
        rows = length;
        read_column(L, name, 3, &columns[count]);
        all[count] = &columns[count].column;
        count++;
        lua_pop(L, 1);
    }
    size_t before = oxt_trials_count(log->trials);
    oxt_status status = oxt_trials_add_columns(log->trials, rows, all, count, &faults->faults,
                                               &error);
    if (status)
        return oxl_fail_file(L, faults, status, &error);
    oxl_owe(L, (oxt_trials_count(log->trials) - before) * 64);
    lua_pushboolean(L, true);
    return 1;
}

static void push_number_column(lua_State *L, const oxl_trials *log, const char *name, bool always)
{
    size_t trials = oxt_trials_count(log->trials), known = 0;
    double *values = lua_newuserdatauv(L, (trials + 1) * sizeof *values, 0);
    oxt_trials_numbers(log->trials, name, trials, values, sizeof *values, NULL);
    for (size_t i = 0; i < trials; i++)
        known += !isnan(values[i]);
    if (known > 0 || always) {
        oxl_push_numbers(L, values, trials);
        lua_setfield(L, -3, name);
    }
    lua_pop(L, 1);
}

/* Texts, "" where there is none. Each is made once, and kept by its code. */
static void push_text_column(lua_State *L, const oxl_trials *log, const char *name, bool always)
{
    size_t trials = oxt_trials_count(log->trials);
    const text_column column = { log, name };
    int32_t *codes = lua_newuserdatauv(L, (trials + 1) * sizeof *codes, 0);
    oxt_error error = OXT_ERROR_INIT;
    oxl_expect(L, oxt_trials_codes(log->trials, name, trials, codes, sizeof *codes, &error),
               &error);
    bool stated = always;
    for (size_t i = 0; i < trials && !stated; i++)
        stated = codes[i] >= 0;
    if (!stated) {
        lua_pop(L, 1);
        return;
    }
    lua_newtable(L);
    lua_createtable(L, (int)trials, 0);
    for (size_t i = 0; i < trials; i++) {
        if (lua_rawgeti(L, -2, codes[i] + 1) == LUA_TNIL) {
            lua_pop(L, 1);
            oxl_push_text(L, write_text, &column, i);
            lua_pushvalue(L, -1);
            lua_rawseti(L, -4, codes[i] + 1);
        }
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -4, name);
    lua_pop(L, 2);
}

/* The columns of the log's file. */
static int trials_columns(lua_State *L)
{
    static const char *const texts[] = { "steel", "finish", "colour", "srgb", "note" };
    static const char *const numbers[] = { "bath_K", "time_s", "thickness_nm", "L", "a", "b" };
    static const char *const stated[] = {
        "part_m",    "start_K",   "transfer_W_per_m2K", "lift_s",
        "bath_sd_K", "time_sd_s", "thickness_sd_nm",    "colour_tolerance",
    };
    static const char *const texts_stated[] = { "shape", "day", "lifted" };
    const oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    lua_newtable(L);
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        push_text_column(L, log, texts[i], true);
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        push_number_column(L, log, numbers[i], true);
    for (size_t i = 0; i < sizeof stated / sizeof *stated; i++)
        push_number_column(L, log, stated[i], false);
    for (size_t i = 0; i < sizeof texts_stated / sizeof *texts_stated; i++)
        push_text_column(L, log, texts_stated[i], false);
    return 1;
}

static const oxl_field group_fields[] = {
    OXL_FIELD(oxt_trial_group, steel, OXL_TEXT),
    OXL_FIELD(oxt_trial_group, finish, OXL_TEXT),
    OXL_FIELD(oxt_trial_group, count, OXL_COUNT),
    OXL_END,
};

static int trials_groups(lua_State *L)
{
    const oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    oxt_trial_group group = OXT_TRIAL_GROUP_INIT;
    lua_newtable(L);
    for (size_t i = 0; oxt_trials_group(log->trials, i, &group, NULL) == OXT_OK; i++) {
        oxl_push_struct(L, group_fields, &group);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static int trials_write(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    oxt_error error = OXT_ERROR_INIT;
    const char *path = oxl_check_text(L, 2);
    oxt_replace replace = oxl_check_replace(L, 3);
    oxt_status status = oxt_trials_write_csv(log->trials, path, replace, &error);
    return oxl_give_true(L, status, &error);
}

OXL_WRITER(write_csv, oxl_trials, oxt_trials_write_csv_text, of->trials)

static int trials_to_csv(lua_State *L)
{
    oxl_push_text(L, write_csv, oxl_check(L, 1, &oxl_trials_class), 0);
    return 1;
}

/* check(unit, { film = ... }): what looks like a slip. */
static int trials_check(lua_State *L)
{
    const oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    oxt_temperature_unit unit = oxl_check_unit(L, 2, oxt_trials_unit(log->trials));
    const oxl_film *film = oxl_film_argument(L, 3);
    oxt_error error = OXT_ERROR_INIT;
    oxl_faults *remarks = oxl_new(L, &oxl_faults_class);
    oxt_status status = oxt_check_log(&remarks->faults, log->trials, film->film, unit, &error);
    if (status)
        return oxl_fail(L, status, &error);
    push_faults(L, remarks);
    oxl_close(remarks, &oxl_faults_class);
    return 1;
}

static int trials_unit(lua_State *L)
{
    const oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    lua_pushstring(L, oxl_units[oxt_trials_unit(log->trials)]);
    return 1;
}

static int trials_set_unit(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    luaL_checkany(L, 2);
    oxt_trials_set_unit(log->trials, oxl_check_unit(L, 2, OXT_UNIT_CELSIUS), NULL);
    log->unit_set = true;
    return 0;
}

static int trials_set_coupon(lua_State *L)
{
    oxl_trials *log = oxl_check(L, 1, &oxl_trials_class);
    oxt_error error = OXT_ERROR_INIT;
    const oxt_part *part = NULL;
    const oxt_lift *lift = NULL;
    oxt_status status = OXT_OK;
    lua_settop(L, 3);
    lua_pushvalue(L, 2); /* readers take the last one */
    if (!lua_isnil(L, 2))
        status = oxl_read_part(L, 2, "coupon", &part, &error);
    lua_pushvalue(L, 3);
    if (!status && !lua_isnil(L, 3))
        status = oxl_read_lift(L, 3, "lift", &lift, &error);
    if (!status)
        status = oxt_trials_set_coupon(log->trials, part, lift, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_settop(L, 1);
    return 1;
}

static const luaL_Reg methods[] = {
    { "add_record", oxl_trials_add_record },
    { "add", trials_add },
    { "add_columns", trials_add_columns },
    { "check", trials_check },
    { "columns", trials_columns },
    { "groups", trials_groups },
    { "set_coupon", trials_set_coupon },
    { "set_unit", trials_set_unit },
    { "to_csv", trials_to_csv },
    { "unit", trials_unit },
    { "write", trials_write },
    { NULL, NULL },
};

const oxl_class oxl_trials_class = {
    .name = "oxtint.trials",
    .noun = "log",
    .size = sizeof(oxl_trials),
    .release = release,
    .methods = methods,
    .count = count_trials,
    .item = push_trial,
};

/* ---- functions ---- */

static int new_trials(lua_State *L)
{
    lua_settop(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxl_words_argument(L, 1);
    oxl_trials *log = oxl_new(L, &oxl_trials_class);
    oxt_status status = oxt_trials_new(&log->trials, oxl_words_argument(L, 1), &error);
    return oxl_give_object(L, status, &log->object, &error);
}

static int read_from(lua_State *L, const char *path, const char *text, size_t length)
{
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_words_argument(L, 2);
    oxl_faults *faults = oxl_new(L, &oxl_faults_class);
    oxl_trials *log = oxl_new(L, &oxl_trials_class);
    oxt_status status = oxt_trials_read_csv(&log->trials, path, text, length,
                                            oxl_words_argument(L, 2), &faults->faults, &error);
    if (status)
        return oxl_fail_file(L, faults, status, &error);
    log->object.open = true;
    oxl_owe(L, oxt_trials_count(log->trials) * sizeof(oxt_trial));
    return 1;
}

static int read_trials(lua_State *L)
{
    return read_from(L, oxl_check_text(L, 1), NULL, 0);
}

static int read_trials_text(lua_State *L)
{
    size_t length;
    const char *text = oxl_check_data(L, 1, &length);
    return read_from(L, NULL, text, length);
}

const luaL_Reg oxl_trials_functions[] = {
    { "new_trials", new_trials },
    { "read_trials", read_trials },
    { "read_trials_text", read_trials_text },
    { NULL, NULL },
};
