/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steels, their cards, and what grows on them. */
#include "oxl.h"

/* ---- the object ---- */

OXL_RELEASE(release, oxl_steel, steel, oxt_steel_free)

/* In the order of oxt_basis. */
static const char *const bases[] = { "coupons", "steel", NULL };

#define VALUE(member, kind) OXL_FIELD(oxt_steel_values, member, kind)
#define GROWTH(name, member) OXL_AS(name, oxt_steel_values, growth.member, OXL_NUMBER)

/* What a steel is made from, and shows, by the same names. */
static const oxl_field told_fields[] = {
    VALUE(steel, OXL_TEXT),
    VALUE(finish, OXL_TEXT),
    GROWTH("k_ref_nm2_per_s", k_ref_nm2_per_s),
    GROWTH("T_ref_K", T_ref_K),
    GROWTH("Q_J_per_mol", Q_J_per_mol),
    VALUE(ln_shape_stderr, OXL_NUMBER),
    VALUE(initial_stderr_nm2, OXL_NUMBER),
    VALUE(variance_ln_k, OXL_NUMBER),
    VALUE(covariance_J_per_mol, OXL_NUMBER),
    VALUE(variance_Q_J2_per_mol2, OXL_NUMBER),
    VALUE(scatter, OXL_NUMBER),
    VALUE(day_sd, OXL_NUMBER),
    VALUE(dof, OXL_NUMBER),
    VALUE(scatter_dof, OXL_NUMBER),
    VALUE(time_exponent, OXL_NUMBER),
    VALUE(time_exponent_stderr, OXL_NUMBER),
    VALUE(middle_nm, OXL_NUMBER),
    VALUE(bath_low_K, OXL_NUMBER),
    VALUE(bath_high_K, OXL_NUMBER),
    VALUE(thickness_low_nm, OXL_NUMBER),
    VALUE(thickness_high_nm, OXL_NUMBER),
    VALUE(trial_count, OXL_COUNT),
    VALUE(description, OXL_TEXT),
    VALUE(origin, OXL_TEXT),
    { "basis", OXL_CHOICE, offsetof(oxt_steel_values, basis), .choices = bases },
    { "coupon_shape", OXL_CHOICE, offsetof(oxt_steel_values, coupon_shape), .choices = oxl_shapes },
    VALUE(coupon_size_m, OXL_NUMBER),
    VALUE(coupon_start_K, OXL_NUMBER),
    VALUE(coupon_transfer_W_per_m2K, OXL_NUMBER),
    VALUE(coupon_lift_s, OXL_NUMBER),
    VALUE(coupon_size_low_m, OXL_NUMBER),
    VALUE(coupon_size_high_m, OXL_NUMBER),
    VALUE(coupon_lift_low_s, OXL_NUMBER),
    VALUE(coupon_lift_high_s, OXL_NUMBER),
    OXL_END,
};

static const oxl_field steel_fields[] = {
    OXL_ALL(told_fields),
    { "growth", OXL_STRUCT, offsetof(oxt_steel_values, growth), .inner = oxl_growth_fields },
    VALUE(change_count, OXL_COUNT),
    VALUE(record_count, OXL_COUNT),
    VALUE(cautions, OXL_CAUTIONS),
    OXL_END,
};

static const oxl_field steel_names[] = {
    OXL_ALL(told_fields),
    { "law", OXL_CHOICE, offsetof(oxt_steel_values, growth.law), .choices = oxl_laws_of_growth },
    GROWTH("law_shape", shape),
    GROWTH("law_middle_nm", middle_nm),
    GROWTH("initial_nm", initial_nm),
    OXL_END,
};

static int steel_tostring(lua_State *L)
{
    const oxl_steel *steel = lua_touserdata(L, 1);
    const oxt_steel_values *values = &steel->values;
    lua_pushfstring(L, "%s: %s%s%s, %s", oxl_steel_class.name, values->steel,
                    values->finish[0] ? ", " : "", values->finish, values->origin);
    return 1;
}

static oxt_status fill_steel(oxl_steel *steel, oxt_error *error)
{
    steel->values = (oxt_steel_values)OXT_STEEL_VALUES_INIT;
    oxt_status status = oxt_steel_get(steel->steel, &steel->values, error);
    steel->object.open = !status;
    return status;
}

int oxl_give_steel(lua_State *L, oxt_status status, oxl_steel *steel, oxt_error *error)
{
    if (!status)
        status = fill_steel(steel, error);
    return status ? oxl_fail(L, status, error) : 1;
}

int oxl_fit_steel(lua_State *L)
{
    const oxl_fit *fit = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxl_steel *steel = oxl_new(L, &oxl_steel_class);
    oxl_expect(L, oxt_fit_steel(fit->fit, &steel->steel, &error), &error);
    oxl_expect(L, fill_steel(steel, &error), &error);
    return 1;
}

void oxl_push_pool_steel(lua_State *L, const void *object, size_t index)
{
    const oxl_pool *pool = object;
    oxt_error error = OXT_ERROR_INIT;
    oxl_steel *steel = oxl_new(L, &oxl_steel_class);
    oxl_expect(L, oxt_pool_steel(pool->pool, index, &steel->steel, &error), &error);
    oxl_expect(L, fill_steel(steel, &error), &error);
}

/* ---- methods ---- */

static int steel_save(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    const char *path = oxl_check_text(L, 2);
    oxt_replace replace = oxl_check_replace(L, 3);
    oxt_status status = oxt_steel_save(steel->steel, path, replace, &error);
    return oxl_give_true(L, status, &error);
}

OXL_WRITER(write_card, oxl_steel, oxt_steel_save_text, of->steel)

static int steel_to_card(lua_State *L)
{
    oxl_push_text(L, write_card, oxl_check(L, 1, &oxl_steel_class), 0);
    return 1;
}

/* By their cards, which say all there is. */
static bool is_same(lua_State *L, const void *a, const void *b)
{
    oxl_push_text(L, write_card, a, 0);
    oxl_push_text(L, write_card, b, 0);
    return lua_rawequal(L, -1, -2);
}

/* ---- the history of the card ---- */

static const oxl_field entry_fields[] = {
    OXL_FIELD(oxt_steel_change, what, OXL_TEXT),
    OXL_FIELD(oxt_steel_change, label, OXL_TEXT),
    OXL_FIELD(oxt_steel_change, k_ref_before_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_steel_change, k_ref_after_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_steel_change, trial_count, OXL_COUNT),
    OXL_FIELD(oxt_steel_change, origin, OXL_TEXT),
    OXL_END,
};

OXL_ITEM(push_change, oxl_steel, steel, oxt_steel_history, entry_fields, oxt_steel_change,
         OXT_STEEL_CHANGE_INIT)

static const oxl_field recorded_fields[] = {
    OXL_FIELD(oxt_recorded_dip, bath_K, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, time_s, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, chance, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, hit, OXL_FLAG),
    OXL_FIELD(oxt_recorded_dip, k_ref_nm2_per_s, OXL_NUMBER),
    { "part_shape", OXL_CHOICE, offsetof(oxt_recorded_dip, part_shape), .choices = oxl_shapes },
    OXL_FIELD(oxt_recorded_dip, part_size_m, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, lift_s, OXL_NUMBER),
    OXL_FIELD(oxt_recorded_dip, target, OXL_TEXT),
    OXL_FIELD(oxt_recorded_dip, seen, OXL_TEXT),
    OXL_FIELD(oxt_recorded_dip, label, OXL_TEXT),
    OXL_FIELD(oxt_recorded_dip, coupon_time_s, OXL_NUMBER),
    OXL_END,
};

OXL_ITEM(push_recorded, oxl_steel, steel, oxt_steel_recorded_dip, recorded_fields, oxt_recorded_dip,
         OXT_RECORDED_DIP_INIT)

OXL_WRITER(write_coupon, oxl_steel, oxt_steel_coupon_text, of->steel)

/* nil where the card has none. */
static int make_words(lua_State *L)
{
    const oxl_steel *of = lua_touserdata(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxl_words *words = oxl_new(L, &oxl_words_class);
    oxl_expect(L, oxt_steel_words(of->steel, &words->words, &error), &error);
    words->object.open = words->words != NULL;
    if (!words->words) {
        lua_pop(L, 1);
        lua_pushnil(L);
    }
    return 1;
}

static int make_film(lua_State *L)
{
    make_words(L);
    const oxl_words *words = lua_touserdata(L, -1); /* NULL for nil */
    oxl_push_film(L, words ? words->words : NULL);
    lua_remove(L, -2);
    return 1;
}

static int steel_with_words(lua_State *L)
{
    const oxl_steel *of = oxl_check(L, 1, &oxl_steel_class);
    const oxt_words *words = oxl_words_argument(L, 2);
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 2);
    oxl_steel *steel = oxl_new(L, &oxl_steel_class);
    oxt_status status = oxt_steel_with_words(&steel->steel, of->steel, words, &error);
    return oxl_give_steel(L, status, steel, &error);
}

static const oxl_made made[] = {
    { "words", .make = make_words },
    { "film", .make = make_film },
    { "history", .item = push_change, .count = offsetof(oxl_steel, values.change_count) },
    { "coupon_text", .text = write_coupon },
    { "recorded", .item = push_recorded, .count = offsetof(oxl_steel, values.record_count) },
    { .name = NULL },
};

typedef struct {
    oxt_anchor_options options;
    const oxl_film *film;
} anchor_arguments;

static int steel_anchor(lua_State *L)
{
    static const oxl_field names[] = {
        OXL_AS("shift_stderr", anchor_arguments, options.shift_stderr, OXL_NUMBER),
        OXL_AS("thickness_uncertainty", anchor_arguments, options.thickness_uncertainty,
               OXL_NUMBER),
        OXL_AS("colour_tolerance", anchor_arguments, options.colour_tolerance, OXL_NUMBER),
        OXL_AS("label", anchor_arguments, options.label, OXL_STRING),
        { "film", OXL_OBJECT, offsetof(anchor_arguments, film), .class = &oxl_film_class },
        OXL_END,
    };
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    const oxl_trials *log = oxl_check(L, 2, &oxl_trials_class);
    anchor_arguments given = { OXT_ANCHOR_OPTIONS_INIT, NULL };
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 3);
    oxl_read_named(L, 3, names, &given, &error);
    const oxl_film *film = oxl_steel_film(L, given.film, 1);
    oxl_steel *renewed = oxl_new(L, &oxl_steel_class);
    oxt_status status = oxt_anchor_steel(&renewed->steel, steel->steel, log->trials, film->film,
                                         &given.options, &error);
    return oxl_give_steel(L, status, renewed, &error);
}

/* ---- thickness of one or many ---- */

/* oxt_thickness_n and oxt_time_for_thickness_n. */
typedef oxt_status (*map)(const oxt_growth *growth, size_t n, const double *first,
                          ptrdiff_t first_stride, const double *second, ptrdiff_t second_stride,
                          double *result, size_t *failed, oxt_error *error);

/* A number for two numbers, a list where one of them or both are lists. */
static int give_map(lua_State *L, map call, oxl_parser first_unit, oxl_parser second_unit)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT, of_second = OXT_ERROR_INIT;
    oxl_column first, second;
    lua_settop(L, 3);
    oxt_status status = oxl_check_column(L, 2, first_unit, &first, &error);
    oxt_status second_status = oxl_check_column(L, 3, second_unit, &second, &of_second);
    if (first.many && second.many && first.count != second.count)
        luaL_argerror(L, 3, "list as long as the one before expected");
    if (status || second_status)
        return oxl_fail(L, status ? status : second_status, status ? &error : &of_second);
    size_t count = first.many ? first.count : second.count;
    double *result = lua_newuserdatauv(L, (count + 1) * sizeof *result, 0);
    status = call(&steel->values.growth, count, oxl_column_values(&first),
                  oxl_column_stride(&first), oxl_column_values(&second), oxl_column_stride(&second),
                  result, NULL, &error);
    if (!first.many && !second.many)
        return oxl_give_number(L, status, result[0], &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_numbers(L, result, count);
    return 1;
}

static int steel_thickness(lua_State *L)
{
    return give_map(L, oxt_thickness_n, oxt_parse_temperature, oxt_parse_duration);
}

static oxt_status parse_thickness(const char *text, double *thickness_nm, oxt_error *error)
{
    double length_m = 0.0;
    oxt_status status = oxt_parse_length(text, &length_m, error);
    *thickness_nm = length_m * 1e9;
    return status;
}

static int steel_time_for(lua_State *L)
{
    return give_map(L, oxt_time_for_thickness_n, parse_thickness, oxt_parse_temperature);
}

static int steel_equivalent_time(lua_State *L)
{
    const oxl_steel *steel = oxl_check(L, 1, &oxl_steel_class);
    const oxl_trials *log = oxl_check(L, 2, &oxl_trials_class);
    lua_Integer place = luaL_checkinteger(L, 3);
    luaL_argcheck(L, place >= 1 && (size_t)place <= oxt_trials_count(log->trials), 3,
                  "place of a trial of the log expected");
    oxt_error error = OXT_ERROR_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    double equivalent_s = 0.0;
    oxl_expect(L, oxt_trials_get(log->trials, (size_t)place - 1, &trial, &error), &error);
    oxt_status status = oxt_dip_equivalent_time(steel->steel, &trial, &equivalent_s, &error);
    return oxl_give_number(L, status, equivalent_s, &error);
}

static const luaL_Reg methods[] = {
    { "save", steel_save },
    { "dip", oxl_steel_dip },
    { "bath_for", oxl_steel_bath_for },
    { "dip_for_time", oxl_steel_dip_for_time },
    { "most_forgiving", oxl_steel_most_forgiving },
    { "baths", oxl_steel_baths },
    { "advise", oxl_steel_advise },
    { "chart", oxl_steel_chart },
    { "chart_svg", oxl_steel_chart_svg },
    { "chart_spread", oxl_steel_chart_spread },
    { "chart_map", oxl_steel_chart_map },
    { "chart_sheet", oxl_steel_chart_sheet },
    { "chart_sheet_svg", oxl_steel_chart_sheet_svg },
    { "thickness", steel_thickness },
    { "time_for", steel_time_for },
    { "to_card", steel_to_card },
    { "anchor", steel_anchor },
    { "record", oxl_steel_record },
    { "track_record", oxl_steel_track_record },
    { "with_words", steel_with_words },
    { "equivalent_time", steel_equivalent_time },
    { NULL, NULL },
};

const oxl_class oxl_steel_class = {
    .name = "oxtint.steel",
    .noun = "steel",
    .size = sizeof(oxl_steel),
    .release = release,
    .methods = methods,
    .fields = steel_fields,
    .structure = offsetof(oxl_steel, values),
    .made = made,
    .text = steel_tostring,
    .is_same = is_same,
};

/* ---- the function ---- */

static int load_from(lua_State *L, const char *path, const char *text, size_t length)
{
    oxt_error error = OXT_ERROR_INIT;
    oxl_steel *steel = oxl_new(L, &oxl_steel_class);
    oxt_status status = oxt_steel_load(&steel->steel, path, text, length, &error);
    return oxl_give_steel(L, status, steel, &error);
}

static int load_steel(lua_State *L)
{
    return load_from(L, oxl_check_text(L, 1), NULL, 0);
}

static int steel_from_card(lua_State *L)
{
    size_t length;
    const char *text = oxl_check_data(L, 1, &length);
    return load_from(L, NULL, text, length);
}

static int steel_from_values(lua_State *L)
{
    oxt_steel_values given = OXT_STEEL_VALUES_INIT;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxl_read_named(L, 1, steel_names, &given, &error);
    oxl_steel *steel = oxl_new(L, &oxl_steel_class);
    oxt_status status = oxt_steel_new(&steel->steel, &given, &error);
    return oxl_give_steel(L, status, steel, &error);
}

static int starting_steel(lua_State *L)
{
    const char *name = oxl_check_text(L, 1);
    lua_settop(L, 3);
    const char *finish = lua_isnil(L, 2) ? NULL : oxl_check_text(L, 2);
    const oxl_film *film = oxl_film_argument(L, 3);
    oxt_error error = OXT_ERROR_INIT;
    oxl_steel *steel = oxl_new(L, &oxl_steel_class);
    oxt_status status = oxt_prior_steel(&steel->steel, name, finish, film->film, &error);
    return oxl_give_steel(L, status, steel, &error);
}

const luaL_Reg oxl_steel_functions[] = {
    { "load_steel", load_steel },
    { "starting_steel", starting_steel },
    { "steel_from_card", steel_from_card },
    { "steel_from_values", steel_from_values },
    { NULL, NULL },
};
