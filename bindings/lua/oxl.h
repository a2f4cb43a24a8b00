/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the Lua module share. Every name begins with oxl_.
 *
 * Two rules keep memory safe:
 *   - an error in Lua jumps out of the function that raised it, so whatever the library allocates is
 *     written straight into an object of Lua that was made empty before
 *   - any allocation in Lua may run finalizers, and these may close any object, so a handle is taken
 *     out of its object in the very call that uses it; the library refuses NULL
 */
#ifndef OXTINT_LUA_OXL_H
#define OXTINT_LUA_OXL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <lauxlib.h>
#include <lua.h>

#include "oxtint.h"

/* ---- structs of the library as Lua sees them (fields.c, named.c) ----
 *
 * One list of fields makes a result of a struct, and reads a struct from a table of named arguments. */

typedef enum {
    OXL_NUMBER,    /* double */
    OXL_INT,       /* int */
    OXL_COUNT,     /* size_t */
    OXL_PLACE,     /* size_t that counts from 0; from 1 in Lua; a result alone */
    OXL_INT_PLACE, /* int that counts from 0, negative for none; from 1 or nil in Lua; a result alone */
    OXL_FLAG,      /* int 0 or 1 */
    OXL_MAYBE,     /* int 0 or 1, negative for not known, which is nil in Lua; a result alone */
    OXL_TEXT,      /* array of char; too long a text is read without its NUL, which the library refuses */
    OXL_NUMBERS,   /* array of double; only three are read */
    OXL_CHOICE,    /* enum from `first`; one of `choices` in Lua, nil below the first */
    OXL_CAUTIONS,  /* bits of oxt_caution; a list in Lua; a result alone */
    OXL_STRUCT,    /* struct with the fields `inner`; a result alone */
    OXL_FIELDS,    /* OXL_ALL */
    /* doubles whose texts have units */
    OXL_BATH,   /* K */
    OXL_SPREAD, /* K, a difference of temperature */
    OXL_TIME,   /* s */
    OXL_LENGTH, /* m */
    /* arguments alone; what they were given stays on the stack, so that it outlives whatever a finalizer does to
       the table */
    OXL_STRING, /* const char * */
    OXL_OBJECT, /* pointer to an open object of `class` */
    OXL_INSIDE, /* pointer to the struct that an open object of `class` shows */
    OXL_OTHER,  /* what `read` makes of it */
    OXL_VALUE   /* int, the place on the stack of a value that the caller looks at himself; 0 for none */
} oxl_kind;

/* Read the value on top of the stack, `name` of an argument, into a field. Whatever it leaves there is kept. Misuse
 * raises an error; a failure is a text with a quantity that cannot be read. */
typedef oxt_status (*oxl_reader)(lua_State *L, int arg, const char *name, void *into,
                                 oxt_error *error);

/* One field; lists of them end with OXL_END. */
typedef struct oxl_field {
    const char *name;
    oxl_kind kind;
    size_t offset, size;
    const char *const *choices;
    int first;
    const struct oxl_field *inner;
    const struct oxl_class *class;
    oxl_reader read;
} oxl_field;

/* A member of a struct, by a name of its own or by that in C. */
#define OXL_AS(name, type, member, kind) \
    { name, kind, offsetof(type, member), sizeof(((type *)NULL)->member), .inner = NULL }
#define OXL_FIELD(type, member, kind) OXL_AS(#member, type, member, kind)
/* The fields of another list of the same struct, as if they stood here. */
#define OXL_ALL(fields) { "", OXL_FIELDS, .inner = fields }
#define OXL_END { .name = NULL }

extern const oxl_field oxl_growth_fields[];

/* Push the field of this name; false when there is none. */
bool oxl_push_named(lua_State *L, const oxl_field *fields, const char *name, const void *structure);
void oxl_push_field(lua_State *L, const oxl_field *field, const void *structure);
/* Set every field of a struct in the table on top of the stack. */
void oxl_set_fields(lua_State *L, const oxl_field *fields, const void *structure);
void oxl_push_struct(lua_State *L, const oxl_field *fields, const void *structure);
/* Whether all fields are alike; NaN is like NaN. */
bool oxl_is_same_struct(const oxl_field *fields, const void *a, const void *b);

/* ---- objects (object.c) ---- */

/* Every object begins so; all of it is zero until it is filled. */
typedef struct {
    bool open;
} oxl_object;

/* A call of the library that writes a text of any length about an object. */
typedef oxt_status (*oxl_writer)(const void *object, size_t which, char *buffer, size_t capacity,
                                 size_t *needed, oxt_error *error);
/* Push one item of an object, counted from 0. */
typedef void (*oxl_pusher)(lua_State *L, const void *object, size_t index);

/* What may be said of a report: its scale, whether cautions are whole, both, or nothing. */
typedef enum { OXL_ASK_UNIT, OXL_ASK_DETAIL, OXL_ASK_BOTH, OXL_ASK_NOTHING } oxl_asked;

/* A field that is made when it is first asked for, and then kept: by a function, from the object at index 1; or a list
 * of items or of texts, as many as the size_t at an offset of the object; or, where that is 0, one text. */
typedef struct {
    const char *name;
    lua_CFunction make;
    oxl_pusher item;
    oxl_writer text;
    size_t count;
} oxl_made;

typedef struct oxl_class {
    const char *name; /* such as "oxtint.fit" */
    const char *noun; /* for messages, such as "fit" */
    size_t size;
    void (*release)(void *object); /* free what the object owns, which may be nothing; may be NULL */
    const luaL_Reg *methods;
    const oxl_field *fields; /* of the struct at offset `structure`; may be NULL */
    size_t structure;
    const oxl_made *made; /* ended by a NULL name; may be NULL */
    lua_CFunction text; /* __tostring of an open object; NULL: its report, or else its name and how many items it has */
    oxl_writer report;  /* what the method `report` writes; may be NULL */
    oxl_asked asked;    /* of it */
    size_t unit;        /* offset of the scale that it shows unless asked otherwise; 0: Celsius */
    oxl_writer json;    /* what the method `to_json` writes; may be NULL */
    bool by_value;      /* `==` compares the fields of two open objects */
    bool (*is_same)(lua_State *L, const void *a, const void *b); /* what `==` says otherwise; NULL: only itself */
    size_t (*count)(const void *object); /* items; NULL where it has none */
    oxl_pusher item;
} oxl_class;

/* The `release` of a class whose objects own one handle of the library. */
#define OXL_RELEASE(name, type, handle, free_handle) \
    static void name(void *object)                   \
    {                                                \
        type *owner = object;                        \
        free_handle(owner->handle);                  \
        owner->handle = NULL;                        \
    }

/* An oxl_writer by a call of the library, whose arguments before the buffer follow: in them `of` is the object, and `which`
 * what is asked for. */
#define OXL_WRITER(name, type, call, ...)                                                   \
    static oxt_status name(const void *object, size_t which, char *buffer, size_t capacity, \
                           size_t *needed, oxt_error *error)                                \
    {                                                                                       \
        const type *of = object;                                                            \
        (void)which;                                                                        \
        return call(__VA_ARGS__, buffer, capacity, needed, error);                          \
    }

/* An oxl_pusher by a call of the library that fills in a struct, the item of a handle. */
#define OXL_ITEM(name, type, handle, call, fields, struct_type, initial)       \
    static void name(lua_State *L, const void *object, size_t index)           \
    {                                                                          \
        const type *of = object;                                               \
        struct_type item = initial;                                            \
        oxt_error error = OXT_ERROR_INIT;                                      \
        oxl_expect(L, call(of->handle, index, &item, &error), &error);         \
        oxl_push_struct(L, fields, &item);                                     \
    }

void oxl_register(lua_State *L, const oxl_class *class);
/* Push a new, empty object. */
void *oxl_new(lua_State *L, const oxl_class *class);
/* The object at an index, or NULL when something else stands there. */
void *oxl_test(lua_State *L, int index, const oxl_class *class);
/* The open object that an argument must be. */
void *oxl_check(lua_State *L, int arg, const oxl_class *class);
/* The open object at an index, the part `where` of an argument. */
void *oxl_check_named(lua_State *L, int arg, int index, const char *where, const oxl_class *class);
void oxl_close(void *object, const oxl_class *class);
/* Tell the collector of memory that it does not see. */
void oxl_owe(lua_State *L, size_t bytes);

typedef struct {
    oxl_object object;
    oxt_material *material;
    char name[32];
} oxl_material;

typedef struct {
    oxl_object object;
    oxt_film *film;
    oxt_illuminant illuminant; /* D65 and 2 degrees are both 0 */
    oxt_observer observer;
} oxl_film;

typedef struct {
    oxl_object object;
    oxt_trials *trials;
    bool unit_set; /* the first text does not change it then */
} oxl_trials;

/* Never seen by a script: it only keeps the faults until they are in a table. */
typedef struct {
    oxl_object object;
    oxt_faults *faults;
} oxl_faults;

typedef struct {
    oxl_object object;
    oxt_words *words;
} oxl_words;

typedef struct {
    oxl_object object;
    oxt_history *history;
} oxl_history;

typedef struct {
    oxl_object object;
    oxt_temper temper;
    oxt_temperature_unit unit; /* that the bath was written in */
} oxl_temper;

typedef struct {
    oxl_object object;
    oxt_fit *fit;
    oxt_fit_values values;
} oxl_fit;

typedef struct {
    oxl_object object;
    oxt_pool *pool;
    oxt_pool_values values;
} oxl_pool;

typedef struct {
    oxl_object object;
    oxt_laws *laws;
    oxt_laws_values values;
} oxl_laws;

typedef struct {
    oxl_object object;
    oxt_cross_validation *validation;
    oxt_cross_validation_values values;
} oxl_cross_validation;

typedef struct {
    oxl_object object;
    oxt_steel *steel;
    oxt_steel_values values;
} oxl_steel;

typedef struct {
    oxl_object object;
    oxt_target target;
} oxl_target;

typedef struct {
    oxl_object object;
    oxt_dip dip;
    oxt_temperature_unit unit; /* that the bath was written in */
} oxl_dip;

typedef struct {
    oxl_object object;
    oxt_record record;
} oxl_record;

typedef struct {
    oxl_object object;
    oxt_part part;
} oxl_part;

typedef struct {
    oxl_object object;
    oxt_plan *set;
    oxt_plan_values values;
    oxt_temperature_unit unit; /* that the bath was written in */
} oxl_set;

/* Baths compared, in an array of its own. */
typedef struct {
    oxl_object object;
    oxt_dip *dips;
    size_t count;
    oxt_dip best;
    oxt_temperature_unit unit; /* that the coldest bath was written in */
} oxl_baths;

typedef struct {
    oxl_object object;
    oxt_advise *advice;
    size_t count;
    oxt_temperature_unit unit; /* that the bath was written in */
} oxl_advice;

typedef struct {
    oxl_object object;
    oxt_drift drift;
} oxl_drift;

typedef struct {
    oxl_object object;
    oxt_bath bath;
} oxl_bath;

typedef struct {
    oxl_object object;
    oxt_track *tracker;
} oxl_tracker;

typedef struct {
    oxl_object object;
    oxt_bootstrap *bootstrap;
    oxt_bootstrap_values values;
} oxl_bootstrap;

extern const oxl_class oxl_advice_class, oxl_bath_class, oxl_baths_class, oxl_bootstrap_class,
    oxl_cross_validation_class, oxl_dip_class, oxl_drift_class, oxl_faults_class, oxl_film_class,
    oxl_fit_class, oxl_fits_class, oxl_history_class, oxl_laws_class, oxl_material_class,
    oxl_part_class, oxl_pool_class, oxl_record_class, oxl_set_class, oxl_steel_class,
    oxl_target_class, oxl_temper_class, oxl_tracker_class, oxl_trials_class, oxl_words_class;

/* ---- arguments (argument.c, named.c) ---- */

/* A text without NUL bytes; a number will not do. */
const char *oxl_check_text(lua_State *L, int arg);
/* The contents of a file, any bytes. */
const char *oxl_check_data(lua_State *L, int arg, size_t *length);
/* A number; a text that looks like one will not do. */
double oxl_check_number(lua_State *L, int arg);
/* Three numbers in a list; false when something else stands there. */
bool oxl_read_three(lua_State *L, int index, double three[3]);
/* Three numbers in a list. */
void oxl_check_three(lua_State *L, int arg, double three[3]);
/* A list of numbers, copied into memory that stays on the stack; `name` (NULL: none) is put before
 * what is said of it. */
const double *oxl_check_numbers(lua_State *L, int arg, int index, const char *name, size_t *count);
/* A number in the library's unit, or a text with its own. */
typedef oxt_status (*oxl_parser)(const char *text, double *value, oxt_error *error);
/* One value for all (stride 0), or as many as a list holds. */
typedef struct {
    double one;
    const double *many; /* NULL for one value */
    size_t count;
} oxl_column;

/* A number or a text with a unit, or a list of them, whose block stays on the stack; at an index, the part `name` of
 * an argument, which is a list to begin with. */
oxt_status oxl_read_column(lua_State *L, int arg, int index, const char *name, oxl_parser parse,
                           oxl_column *into, oxt_error *error);
oxt_status oxl_check_column(lua_State *L, int arg, oxl_parser parse, oxl_column *into,
                            oxt_error *error);
static inline const double *oxl_column_values(const oxl_column *from)
{
    return from->many ? from->many : &from->one;
}
static inline ptrdiff_t oxl_column_stride(const oxl_column *from)
{
    return from->many ? (ptrdiff_t)sizeof(double) : 0;
}
/* "F", "C" or "K", or nothing. */
extern const char *const oxl_laws_of_growth[];
extern const char *const oxl_units[]; /* in the order of oxt_temperature_unit */
oxt_temperature_unit oxl_check_unit(lua_State *L, int arg, oxt_temperature_unit otherwise);
/* Names of oxt_caution_detail, in its order, ended by NULL. */
extern const char *const oxl_details[];
/* What a report is to show: the unit at an argument, and at the next "brief" or "whole" cautions. */
size_t oxl_check_report(lua_State *L, int arg, oxt_temperature_unit otherwise);
static inline oxt_temperature_unit oxl_report_unit(size_t which)
{
    return (oxt_temperature_unit)(which & 7);
}
static inline oxt_caution_detail oxl_report_detail(size_t which)
{
    return (oxt_caution_detail)(which >> 3);
}

/* False when something else is there; else `status` is that of reading the text. */
bool oxl_read_quantity(lua_State *L, int index, oxl_parser parse, double *value, oxt_status *status,
                       oxt_error *error);
oxt_status oxl_check_quantity(lua_State *L, int arg, oxl_parser parse, double *value,
                              oxt_error *error);
static inline oxt_status oxl_check_temperature(lua_State *L, int arg, double *temperature_K,
                                               oxt_error *error)
{
    return oxl_check_quantity(L, arg, oxt_parse_temperature, temperature_K, error);
}
static inline oxt_status oxl_check_time(lua_State *L, int arg, double *time_s, oxt_error *error)
{
    return oxl_check_quantity(L, arg, oxt_parse_duration, time_s, error);
}

/* Read a table of named arguments, or nothing at all, into a struct that holds the defaults. Misuse raises an error;
 * a failure is a text with a quantity that cannot be read. */
oxt_status oxl_read_named(lua_State *L, int arg, const oxl_field *names, void *into,
                          oxt_error *error);
/* The same for a table at an index; `where` is the part of the argument that it is, NULL for all of it. The
 * first `positions` places of the table may hold a list, which is left alone. `given` (NULL allowed) gets a bit for
 * each name of the list that was there. */
oxt_status oxl_read_table(lua_State *L, int arg, int index, const char *where,
                          const oxl_field *names, int positions, void *into, uint32_t *given,
                          oxt_error *error);
/* What a save may replace, from a table with `overwrite` or nothing at all. */
oxt_replace oxl_check_replace(lua_State *L, int arg);
/* Which of the choices, ended by NULL, the text at an index is. */
int oxl_choose(lua_State *L, int arg, int index, const char *name, const char *const *choices);

/* ---- progress of a long call (progress.c) ---- */

/* Who is told. An error that the function raises must not jump through the library. */
typedef struct {
    lua_State *L;
    int function; /* its place on the stack; 0 for none */
    bool raised;  /* what it raised is on top of the stack: raise it after the call */
} oxl_watcher;

/* An oxl_reader of a watcher. */
oxt_status oxl_read_progress(lua_State *L, int arg, const char *name, void *watcher,
                             oxt_error *error);
/* Have the function told, if there is one. */
void oxl_watch(oxl_watcher *watcher, oxt_progress_function *progress, void **user);

/* ---- results (result.c) ---- */

/* nil, message, code, details. */
int oxl_fail(lua_State *L, oxt_status status, const oxt_error *error);
/* The one number, or what oxl_fail returns. */
int oxl_give_number(lua_State *L, oxt_status status, double value, const oxt_error *error);
/* The two numbers, likewise. */
int oxl_give_two(lua_State *L, oxt_status status, double first, double second,
                 const oxt_error *error);
/* The struct as a table, likewise. */
int oxl_give_struct(lua_State *L, oxt_status status, const oxl_field *fields, const void *structure,
                    const oxt_error *error);
/* true, likewise. */
int oxl_give_true(lua_State *L, oxt_status status, const oxt_error *error);
/* The object on top of the stack, open from now on, likewise. */
int oxl_give_object(lua_State *L, oxt_status status, oxl_object *object, const oxt_error *error);
/* The three numbers, or what oxl_fail returns. */
int oxl_give_three(lua_State *L, oxt_status status, const double three[3], const oxt_error *error);
/* Push a list. */
void oxl_push_numbers(lua_State *L, const double *numbers, size_t count);
/* Push a list of the cautions of a result, in the order in which they are read. */
void oxl_push_cautions(lua_State *L, uint32_t cautions);
/* oxtint.cautions_report(cautions, detail). */
int oxl_cautions_report(lua_State *L);
/* For failures that only memory or a closing finalizer can cause. */
void oxl_expect(lua_State *L, oxt_status status, const oxt_error *error);

/* The text, or what oxl_fail returns. */
int oxl_give_text(lua_State *L, oxl_writer writer, const void *object, size_t which);
void oxl_push_text(lua_State *L, oxl_writer writer, const void *object, size_t which);
/* ---- the subjects ---- */

/* Names of oxt_shape, in its order, ended by NULL. */
extern const char *const oxl_shapes[];
/* Where a coupon was lifted, from OXT_LIFTED_FIRST on. */
extern const char *const oxl_lifted[];
/* Names of oxt_illuminant and oxt_finish, in their order, ended by NULL. */
extern const char *const oxl_illuminants[], *const oxl_grades[];
/* Push the published material whose name is at an index; `where` goes before the message about one that is none. */
void oxl_push_published(lua_State *L, int index, const char *where);
/* The observer of a field of 2 or 10 degrees. */
oxt_observer oxl_check_observer(lua_State *L, int arg, lua_Integer degrees);
/* Make a film from the table of choices at index 1, which may be missing. */
oxt_status oxl_make_film(lua_State *L, oxl_film *film, oxt_error *error);
/* Methods of a film, in film_colour.c, film_match.c and tint.c. */
int oxl_film_match(lua_State *L);
int oxl_film_tint(lua_State *L);
int oxl_film_tints(lua_State *L);
int oxl_film_find_tint(lua_State *L);
int oxl_film_target(lua_State *L);
extern const luaL_Reg oxl_film_methods[];
/* Colours of a film as results of a function. */
int oxl_give_colour(lua_State *L, const oxl_film *film, oxt_colour_space space,
                    double thickness_nm);
int oxl_give_spectrum(lua_State *L, const oxl_film *film, double thickness_nm);
/* The film given, or else the default one of this state, or that of the steel at an index, which speaks the
 * words of its card; on the stack until the function ends. */
const oxl_film *oxl_choose_film(lua_State *L, const oxl_film *given);
const oxl_film *oxl_steel_film(lua_State *L, const oxl_film *given, int steel);
/* Push the default film, or one that speaks a shop's words. */
void oxl_push_film(lua_State *L, const oxt_words *words);
/* A film as the only named argument. */
const oxl_film *oxl_film_argument(lua_State *L, int arg);
/* A target from whatever may stand for one. */
oxt_status oxl_check_target(lua_State *L, int arg, const oxl_film *film, oxt_target *target,
                            oxt_error *error);
/* The dip that advice is for: its target and bath, each where it is given (0: not). */
oxt_status oxl_check_aim(lua_State *L, int target_arg, int bath_arg, const oxl_film *film,
                         oxt_advise_options *options, oxt_target *target, oxt_error *error);
/* Push a target as an object. */
void oxl_push_target(lua_State *L, const oxt_target *target);
bool oxl_is_same_target(const oxt_target *a, const oxt_target *b);
/* What a file that could not be read returns: as oxl_fail, with
 * its faults among the details if there are any. */
int oxl_fail_file(lua_State *L, oxl_faults *faults, oxt_status status, const oxt_error *error);
/* A last temper, and the scale that it was written in. */
typedef struct {
    double last_K, last_s;
    oxt_temperature_unit unit;
} oxl_last_temper;

/* Each an oxl_reader: of a list of temperature and time into an oxl_last_temper; of a lift, a table of numbers or
 * its delay alone, into a const oxt_lift *; of a part, or the thickness of a plate of steel, into a const oxt_part *;
 * of a table of numbers into a const oxt_prior *. */
oxt_status oxl_read_last_temper(lua_State *L, int arg, const char *name, void *into,
                                oxt_error *error);
oxt_status oxl_read_lift(lua_State *L, int arg, const char *name, void *into, oxt_error *error);
oxt_status oxl_read_part(lua_State *L, int arg, const char *name, void *into, oxt_error *error);
oxt_status oxl_read_prior(lua_State *L, int arg, const char *name, void *into, oxt_error *error);
/* history:temper(options), in temper.c. */
int oxl_history_temper(lua_State *L);
/* What may be chosen about a dip. */
typedef struct {
    oxt_dip_options options;
    const oxl_film *film;
    oxl_last_temper last_temper;
    int initial; /* place on the stack */
    oxt_target there;
} oxl_dip_arguments;

/* Their names: of a part of a set, and of a dip. */
extern const oxl_field oxl_dip_part_names[], oxl_dip_names[];

/* After the names were read: fill in what is left of the options, which point into `given`. Its film is from now on
 * the one that colours are read with, that of the steel at an index unless another is given. */
oxt_status oxl_take_dip(lua_State *L, int steel, oxl_dip_arguments *given, oxt_error *error);
/* The scale that a bath was written in. */
oxt_temperature_unit oxl_unit_of(lua_State *L, int arg);
/* A new dip object, to be filled; it is shown in this scale. */
oxl_dip *oxl_new_dip(lua_State *L, oxt_temperature_unit unit);
/* steel:dip(target, bath, options) and steel:bath_for(target, time, options), in dip.c;
 * steel:most_forgiving(target, options) and steel:baths(target, options), in plan.c. */
int oxl_steel_dip(lua_State *L);
int oxl_steel_bath_for(lua_State *L);
int oxl_steel_dip_for_time(lua_State *L);
int oxl_steel_most_forgiving(lua_State *L);
int oxl_steel_baths(lua_State *L);
/* steel:advise(options), in advise.c; fit:drift(options), in drift.c. */
int oxl_steel_advise(lua_State *L);
int oxl_fit_drift(lua_State *L);
/* steel:chart(options) and steel:chart_svg(options, unit), steel:chart_spread(bootstrap, target, bath, options),
 * steel:chart_map(baths, times, options), steel:chart_sheet(options) and steel:chart_sheet_svg(options), in chart.c. */
int oxl_steel_chart(lua_State *L);
int oxl_steel_chart_svg(lua_State *L);
int oxl_steel_chart_spread(lua_State *L);
int oxl_steel_chart_map(lua_State *L);
int oxl_steel_chart_sheet(lua_State *L);
int oxl_steel_chart_sheet_svg(lua_State *L);
/* Names of oxt_robust, in its order, ended by NULL. */
extern const char *const oxl_robusts[];
extern const char *const oxl_name_readings[];
extern const char *const oxl_roundings[];
/* Push the steel of a group of a pool. */
void oxl_push_pool_steel(lua_State *L, const void *pool, size_t index);
/* fit:laws(options), in laws.c. */
int oxl_fit_laws(lua_State *L);
/* The steel on top of the stack that the library has just made, or what oxl_fail returns. */
int oxl_give_steel(lua_State *L, oxt_status status, oxl_steel *steel, oxt_error *error);
/* steel:record(dip, seen, options), steel:track_record(options) and log:add_record(steel), in record.c. */
int oxl_steel_record(lua_State *L);
int oxl_steel_track_record(lua_State *L);
int oxl_trials_add_record(lua_State *L);
/* fit:cross_validate(options), in cross_validation.c. */
int oxl_fit_cross_validate(lua_State *L);
/* The steel of a fit; `fit` is at index 1. */
int oxl_fit_steel(lua_State *L);
/* fit:profile(what, options) and fit:bootstrap(options), in interval.c. */
int oxl_fit_profile(lua_State *L);
int oxl_fit_bootstrap(lua_State *L);

/* The words that an argument may be; NULL for none. */
const oxt_words *oxl_words_argument(lua_State *L, int arg);
/* Functions of the module, by subject. */
extern const luaL_Reg oxl_units_functions[], oxl_material_functions[], oxl_light_functions[],
    oxl_film_functions[], oxl_tint_functions[], oxl_words_functions[], oxl_trials_functions[],
    oxl_prior_functions[], oxl_fit_functions[], oxl_pool_functions[], oxl_steel_functions[],
    oxl_heat_functions[], oxl_bath_functions[], oxl_dip_functions[], oxl_plan_functions[],
    oxl_history_functions[], oxl_temper_functions[], oxl_track_functions[];

#endif
