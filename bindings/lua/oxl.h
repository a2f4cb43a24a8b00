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

/* ---- structs of the library as fields of Lua (fields.c) ---- */

typedef enum {
    OXL_NUMBER,    /* double */
    OXL_INT,       /* int */
    OXL_COUNT,     /* size_t */
    OXL_PLACE,     /* size_t that counts from 0; from 1 in Lua */
    OXL_INT_PLACE, /* int that counts from 0, negative for none; from 1 or nil in Lua */
    OXL_FLAG,      /* int 0 or 1 */
    OXL_MAYBE,     /* int 0 or 1, negative for not known, which is nil in Lua */
    OXL_TEXT,      /* array of char */
    OXL_THREE,     /* three doubles */
    OXL_CHOICE,    /* enum from 0; one of `choices` in Lua */
    OXL_CAUTIONS,  /* bits of oxt_caution; a list in Lua */
    OXL_STRUCT     /* struct with fields of its own */
} oxl_kind;

/* One field; lists of them end with a NULL name. */
typedef struct oxl_field {
    const char *name;
    oxl_kind kind;
    size_t offset;
    const char *const *choices;
    const struct oxl_field *inner;
} oxl_field;

#define OXL_FIELD(type, member, kind)                     \
    {                                                     \
#member, kind, offsetof(type, member), NULL, NULL \
    }

extern const oxl_field oxl_growth_fields[];

const oxl_field *oxl_find_field(const oxl_field *fields, const char *name);
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

/* A field that is made when it is first asked for, from the object at index 1, and then kept. */
typedef struct {
    const char *name;
    lua_CFunction make;
} oxl_made;

/* A call of the library that writes a text of any length about an object. */
typedef oxt_status (*oxl_writer)(const void *object, size_t which, char *buffer, size_t capacity,
                                 size_t *needed, oxt_error *error);

typedef struct {
    const char *name; /* such as "oxtint.fit" */
    const char *noun; /* for messages, such as "fit" */
    size_t size;
    void (*release)(
        void *object); /* free what the object owns, which may be nothing; may be NULL */
    const luaL_Reg *methods;
    const oxl_field *fields; /* of the struct at offset `structure`; may be NULL */
    size_t structure;
    const oxl_made *made; /* may be NULL */
    lua_CFunction text; /* __tostring of an open object; NULL: its report, or else its name and how
                             many items it has */
    oxl_writer report;  /* what the method `report` writes; may be NULL */
    bool (*is_same)(lua_State *L, const void *a,
                    const void *b); /* what `==` says of two open objects;
                                                                    NULL: only an object and itself */
    oxl_writer json;    /* what the method `to_json` writes; may be NULL */
    size_t unit; /* offset of the scale that a report shows unless asked otherwise; 0: Celsius */
    size_t (*count)(const void *object); /* items; NULL where it has none */
    void (*item)(lua_State *L, const void *object, size_t index); /* push one, counted from 0 */
} oxl_class;

/* The `release` of a class whose objects own one handle of the library. */
#define OXL_RELEASE(name, type, handle, free_handle) \
    static void name(void *object)                   \
    {                                                \
        type *owner = object;                        \
        free_handle(owner->handle);                  \
        owner->handle = NULL;                        \
    }

void oxl_register(lua_State *L, const oxl_class *class);
/* The `is_same` of a class whose objects are a struct with fields. */
#define OXL_SAME(name, type, fields, member)                                \
    static bool name(lua_State *L, const void *a, const void *b)            \
    {                                                                       \
        const type *first = a, *second = b;                                 \
        (void)L;                                                            \
        return oxl_is_same_struct(fields, &first->member, &second->member); \
    }

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

extern const oxl_class oxl_words_class;

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

extern const oxl_class oxl_laws_class;

typedef struct {
    oxl_object object;
    oxt_cross_validation *validation;
    oxt_cross_validation_values values;
} oxl_cross_validation;

extern const oxl_class oxl_cross_validation_class;

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

extern const oxl_class oxl_record_class;

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

extern const oxl_class oxl_bath_class;

typedef struct {
    oxl_object object;
    oxt_track *tracker;
} oxl_tracker;

extern const oxl_class oxl_tracker_class;
extern const oxl_class oxl_advice_class, oxl_drift_class;
extern const oxl_class oxl_pool_class;

typedef struct {
    oxl_object object;
    oxt_bootstrap *bootstrap;
    oxt_bootstrap_values values;
} oxl_bootstrap;

extern const oxl_class oxl_bootstrap_class;
extern const oxl_class oxl_part_class, oxl_material_class, oxl_film_class, oxl_trials_class,
    oxl_faults_class, oxl_fit_class, oxl_steel_class, oxl_target_class, oxl_dip_class,
    oxl_set_class, oxl_baths_class, oxl_history_class, oxl_temper_class;

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

/* A number or a text with a unit, or a list of them, whose block stays on the stack. */
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

typedef enum {
    OXL_NAMED_NUMBER, /* double */
    OXL_NAMED_WHOLE,  /* int */
    OXL_NAMED_COUNT,  /* size_t */
    OXL_NAMED_TEXT,   /* char array of `size` bytes; too long a text is left without its NUL */
    OXL_NAMED_STRING, /* const char * */
    OXL_NAMED_THREE,  /* three doubles */
    OXL_NAMED_BATH,   /* double, K */
    OXL_NAMED_TIME,   /* double, s */
    OXL_NAMED_LENGTH, /* double, m */
    OXL_NAMED_SPREAD, /* double, K, a difference of temperature */
    OXL_NAMED_FILM,   /* oxl_film * */
    OXL_NAMED_VALUE   /* int, the place on the stack of a value that the caller looks at himself */
} oxl_named_kind;

/* One named argument; lists of them end with a NULL name. */
typedef struct {
    const char *name;
    oxl_named_kind kind;
    size_t offset, size;
} oxl_named;

/* Read a table of named arguments, or nothing at all, into a struct that holds the defaults. The
 * first `positions` places of the table may hold a list, which is left alone. Strings, films and
 * values stay on the stack, so that they outlive whatever a finalizer does to the table. `given`
 * (NULL allowed) gets a bit for each name that was there. Misuse raises an error; a failure is a text
 * with a quantity that cannot be read. */
oxt_status oxl_read_named(lua_State *L, int arg, const oxl_named *names, int positions, void *into,
                          uint32_t *given, oxt_error *error);

/* The same for a table at an index that is a part of an argument; `where` is put before what is said
 * of its names. */
oxt_status oxl_read_named_at(lua_State *L, int arg, int index, const char *where,
                             const oxl_named *names, int positions, void *into, uint32_t *given,
                             oxt_error *error);

/* What a save may replace, from a table with `overwrite` or nothing at all. */
oxt_replace oxl_check_replace(lua_State *L, int arg);

/* Raise an error when a table at an index, the part `where` of an argument, has other names than
 * these (all OXL_NAMED_NUMBER), and read their numbers. Gives a bit for each that was there. */
uint32_t oxl_read_numbers(lua_State *L, int arg, int index, const char *where,
                          const oxl_named *names, int positions, void *into);
/* Which of the choices, ended by NULL, the text at an index is. */
/* A named value that is true or false, at its place on the stack; false where that is 0. */
int oxl_flag(lua_State *L, int arg, int index, const char *name);
int oxl_choose(lua_State *L, int arg, int index, const char *name, const char *const *choices);

/* ---- progress of a long call (progress.c) ---- */

/* Who is told. An error that the function raises must not jump through the library. */
typedef struct {
    lua_State *L;
    int function; /* its place on the stack */
    bool raised;  /* what it raised is on top of the stack: raise it after the call */
} oxl_watcher;

/* Have the function at an index told, the field `progress` of an argument; index 0 for none. */
void oxl_watch(lua_State *L, int arg, int index, oxl_watcher *watcher,
               oxt_progress_function *progress, void **user);

/* ---- results (result.c) ---- */

/* nil, message, code, details. */
int oxl_fail(lua_State *L, oxt_status status, const oxt_error *error);
/* The one number, or what oxl_fail returns. */
int oxl_give_number(lua_State *L, oxt_status status, double value, const oxt_error *error);
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

void oxl_push_text(lua_State *L, oxl_writer writer, const void *object, size_t which);
/* A list of the texts of 0 to count - 1. */
void oxl_push_texts(lua_State *L, oxl_writer writer, const void *object, size_t count);

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
const oxl_film *oxl_choose_film(lua_State *L, oxl_film *given);
const oxl_film *oxl_steel_film(lua_State *L, oxl_film *given, int steel);
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
/* A list of the temperature and time of a last temper at an index, the part `where` of an argument.
 * A text that cannot be read is a failure; anything else is misuse. */
oxt_status oxl_read_last_temper(lua_State *L, int arg, int index, const char *where, double *last_K,
                                double *last_s, oxt_error *error);
/* history:temper(options), in temper.c. */
int oxl_history_temper(lua_State *L);
/* A lift at an index, the part `where` of an argument: a table of numbers, or its delay alone, as a number or a
 * text; into `lift`, to which `read` then points. A text that cannot be read is a failure; anything else is
 * misuse. At index 0 there is none, and nothing is done. */
oxt_status oxl_read_lift(lua_State *L, int arg, int index, const char *where, oxt_lift *lift,
                         const oxt_lift **read, oxt_error *error);
/* A part likewise: an open part, or the thickness of a plate of steel, whose part takes its place on the
 * stack. */
oxt_status oxl_read_part(lua_State *L, int arg, int index, const char *where, const oxt_part **part,
                         oxt_error *error);
/* A prior as a table of numbers at an index, part of an argument. */
void oxl_read_prior(lua_State *L, int arg, int index, oxt_prior *prior);
/* The open bath at an index, likewise. */
const oxt_bath *oxl_read_bath(lua_State *L, int arg, int index, const char *where);
/* What may be chosen about a dip, and the places on the stack of values that are not numbers; 0 for
 * none. */
typedef struct {
    oxt_dip_options options;
    oxl_film *film;
    int part, coupon, lift, coupon_lift, initial, salt_bath, last_temper, free_exponent;
    oxt_lift lifted, coupon_lifted;
    oxt_target there;
} oxl_dip_arguments;

/* Their names, for lists of oxl_named whose struct begins with oxl_dip_arguments. */
#define OXL_DIP_PART_NAMES                                                                \
    { "film", OXL_NAMED_FILM, offsetof(oxl_dip_arguments, film), 0 },                     \
        { "part", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, part), 0 },                \
        { "lift", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, lift), 0 },                \
        { "coupon", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, coupon), 0 },            \
        { "coupon_lift", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, coupon_lift), 0 },  \
        { "initial", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, initial), 0 },          \
        { "salt_bath", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, salt_bath), 0 },      \
        { "load_kg", OXL_NAMED_NUMBER, offsetof(oxl_dip_arguments, options.load_kg), 0 }, \
        { "free_exponent", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, free_exponent), 0 }, \
        { "reader_sd", OXL_NAMED_NUMBER, offsetof(oxl_dip_arguments, options.reader_sd), 0 }, \
    {                                                                                     \
        "last_temper", OXL_NAMED_VALUE, offsetof(oxl_dip_arguments, last_temper), 0       \
    }
#define OXL_DIP_NAMES                                                                            \
    { "confidence", OXL_NAMED_NUMBER, offsetof(oxl_dip_arguments, options.confidence), 0 },      \
        { "bath_wander_K", OXL_NAMED_SPREAD, offsetof(oxl_dip_arguments, options.bath_wander_K), \
          0 },                                                                                   \
        { "time_wander_s", OXL_NAMED_TIME, offsetof(oxl_dip_arguments, options.time_wander_s),   \
          0 },                                                                                   \
        OXL_DIP_PART_NAMES

/* After the names were read, in an argument: fill the options from the values on the stack. `film` is
 * the one that colours are read with, that of the steel at an index unless another is given. The options point
 * into `given`. */
oxt_status oxl_take_dip(lua_State *L, int arg, int steel, oxl_dip_arguments *given,
                        const oxl_film **film, oxt_error *error);
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
void oxl_push_pool_steel(lua_State *L, const oxl_pool *pool, size_t index);
/* fit:laws(options), in laws.c. */
int oxl_fit_laws(lua_State *L);
/* Finish a steel that the library has just made. */
oxt_status oxl_fill_steel(oxl_steel *steel, oxt_error *error);
/* steel:record(dip, seen, options), steel:track_record(options), steel.recorded and log:add_record(steel), in record.c. */
int oxl_steel_record(lua_State *L);
int oxl_steel_track_record(lua_State *L);
int oxl_make_recorded(lua_State *L);
int oxl_trials_add_record(lua_State *L);
/* fit:cross_validate(options), in cross_validation.c. */
int oxl_fit_cross_validate(lua_State *L);
/* The steel of a fit; `fit` is at index 1. */
int oxl_fit_steel(lua_State *L);
/* fit:profile(what, options) and fit:bootstrap(options), in interval.c. */
int oxl_fit_profile(lua_State *L);
int oxl_fit_bootstrap(lua_State *L);

/* Set the functions of a subject in the module's table on top of the stack. */
void oxl_open_units(lua_State *L);
void oxl_open_material(lua_State *L);
void oxl_open_light(lua_State *L);
void oxl_open_film(lua_State *L);
void oxl_open_heat(lua_State *L);
void oxl_open_bath(lua_State *L);
void oxl_open_tint(lua_State *L);
void oxl_open_trials(lua_State *L);
void oxl_open_words(lua_State *L);
/* The words that an argument may be; NULL for none. */
const oxt_words *oxl_words_argument(lua_State *L, int arg);
void oxl_open_prior(lua_State *L);
void oxl_open_fit(lua_State *L);
void oxl_open_pool(lua_State *L);
void oxl_open_laws(lua_State *L);
void oxl_open_cross_validation(lua_State *L);
void oxl_open_record(lua_State *L);
void oxl_open_interval(lua_State *L);
void oxl_open_steel(lua_State *L);
void oxl_open_dip(lua_State *L);
void oxl_open_plan(lua_State *L);
void oxl_open_advise(lua_State *L);
void oxl_open_drift(lua_State *L);
void oxl_open_history(lua_State *L);
void oxl_open_temper(lua_State *L);
void oxl_open_track(lua_State *L);

#endif
