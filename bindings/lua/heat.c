/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts and how they warm up. */
#include "oxl.h"

const char *const oxl_shapes[] = { "plate", "cylinder", "sphere", "any", NULL };

static const char *const flows[] = { "stirred", "still", NULL };

static const char *const metals[] = { "steel", "brass", "bronze", "nickel silver", NULL };

/* What a part is told, and shows, by the same names. */
static const oxl_field told_fields[] = {
    { "shape", OXL_CHOICE, offsetof(oxt_part, shape), .choices = oxl_shapes },
    OXL_FIELD(oxt_part, size_m, OXL_LENGTH),
    OXL_FIELD(oxt_part, transfer_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_part, density_kg_per_m3, OXL_NUMBER),
    OXL_FIELD(oxt_part, heat_J_per_kgK, OXL_NUMBER),
    OXL_FIELD(oxt_part, conductivity_W_per_mK, OXL_NUMBER),
    { "metal", OXL_CHOICE, offsetof(oxt_part, metal), .choices = metals },
    { "flow", OXL_CHOICE, offsetof(oxt_part, flow), .choices = flows },
    OXL_FIELD(oxt_part, transfer_at_K, OXL_NUMBER),
    OXL_FIELD(oxt_part, transfer_exponent, OXL_NUMBER),
    OXL_FIELD(oxt_part, wetted, OXL_NUMBER),
    OXL_END,
};

static const oxl_field part_fields[] = {
    OXL_ALL(told_fields),
    OXL_FIELD(oxt_part, start_K, OXL_NUMBER),
    OXL_END,
};

static const oxl_field part_names[] = {
    OXL_ALL(told_fields),
    OXL_AS("start", oxt_part, start_K, OXL_BATH),
    OXL_END,
};

static const oxl_field warming_fields[] = {
    OXL_FIELD(oxt_warming, lumped, OXL_FLAG),
    OXL_FIELD(oxt_warming, biot, OXL_NUMBER),
    OXL_FIELD(oxt_warming, tau_s, OXL_NUMBER),
    OXL_FIELD(oxt_warming, heat_J_per_kgK, OXL_NUMBER),
    OXL_FIELD(oxt_warming, conductivity_W_per_mK, OXL_NUMBER),
    OXL_FIELD(oxt_warming, conduction_length_m, OXL_NUMBER),
    OXL_END,
};

static int part_tostring(lua_State *L)
{
    const oxl_part *part = lua_touserdata(L, 1);
    lua_pushfstring(L, "%s of %f mm", oxl_shapes[part->part.shape], part->part.size_m * 1e3);
    return 1;
}

static int part_warming(lua_State *L)
{
    const oxl_part *part = oxl_check(L, 1, &oxl_part_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_warming warming = OXT_WARMING_INIT;
    double bath_K = 0.0;
    oxt_status status = oxl_check_temperature(L, 2, &bath_K, &error);
    if (!status)
        status = oxt_heat_warming(&part->part, bath_K, &warming, &error);
    return oxl_give_struct(L, status, warming_fields, &warming, &error);
}

static int part_surface_temperature(lua_State *L)
{
    const oxl_part *part = oxl_check(L, 1, &oxl_part_class);
    oxt_error error = OXT_ERROR_INIT;
    double bath_K = 0.0, time_s = 0.0, temperature_K = 0.0;
    oxt_status status = oxl_check_temperature(L, 2, &bath_K, &error);
    if (!status)
        status = oxl_check_time(L, 3, &time_s, &error);
    if (!status)
        status = oxt_heat_surface_temperature(&part->part, bath_K, time_s, &temperature_K, &error);
    return oxl_give_number(L, status, temperature_K, &error);
}

static int part_exposure(lua_State *L)
{
    const oxl_part *part = oxl_check(L, 1, &oxl_part_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    double bath_K = 0.0, time_s = 0.0, exposure_nm2 = 0.0;
    oxt_status status = oxl_check_temperature(L, 3, &bath_K, &error);
    if (!status)
        status = oxl_check_time(L, 4, &time_s, &error);
    if (!status)
        status = oxt_bath_exposure(&steel->values.growth, NULL, &part->part, 0.0, bath_K, time_s,
                                   &exposure_nm2, &error);
    return oxl_give_number(L, status, exposure_nm2, &error);
}

static int part_time_for(lua_State *L)
{
    const oxl_part *part = oxl_check(L, 1, &oxl_part_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    double bath_K = 0.0, time_s = 0.0, lag_s = 0.0, at_once_s = 0.0;
    double thickness_nm = oxl_check_number(L, 3);
    const oxt_growth *growth = &steel->values.growth;
    oxt_status status = oxl_check_temperature(L, 4, &bath_K, &error);
    if (!status)
        status = oxt_time_for_thickness(growth, thickness_nm, growth->T_ref_K, &at_once_s, &error);
    if (!status)
        status = oxt_heat_time_for_exposure(growth, &part->part, bath_K,
                                            at_once_s * growth->k_ref_nm2_per_s, &time_s, &lag_s,
                                            &error);
    return oxl_give_two(L, status, time_s, lag_s, &error);
}

oxt_status oxl_read_lift(lua_State *L, int arg, const char *name, void *into, oxt_error *error)
{
    static const oxl_field names[] = {
        OXL_FIELD(oxt_lift, delay_s, OXL_NUMBER),
        OXL_FIELD(oxt_lift, air_K, OXL_NUMBER),
        OXL_FIELD(oxt_lift, convection_W_per_m2K, OXL_NUMBER),
        OXL_FIELD(oxt_lift, emissivity, OXL_NUMBER),
        OXL_END,
    };
    int index = lua_gettop(L);
    oxt_status status;
    oxt_lift *lift = lua_newuserdatauv(L, sizeof *lift, 0);
    *lift = (oxt_lift)OXT_LIFT_INIT;
    *(const oxt_lift **)into = lift;
    if (oxl_read_quantity(L, index, oxt_parse_duration, &lift->delay_s, &status, error))
        return status;
    if (lua_type(L, index) != LUA_TTABLE)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: table, time or text with a unit expected, got %s",
                                      name, luaL_typename(L, index)));
    return oxl_read_table(L, arg, index, name, names, 0, lift, NULL, error);
}

oxt_status oxl_read_part(lua_State *L, int arg, const char *name, void *into, oxt_error *error)
{
    oxt_status status;
    double size_m = 0.0;
    int index = lua_gettop(L);
    if (oxl_read_quantity(L, index, oxt_parse_length, &size_m, &status, error)) {
        if (status)
            return status;
        if (!(size_m > 0.0))
            luaL_argerror(L, arg, lua_pushfstring(L, "%s: a size above 0 expected", name));
        oxl_part *plate = oxl_new(L, &oxl_part_class); /* in its place, where it is kept */
        plate->part = (oxt_part)OXT_PART_INIT;
        plate->part.size_m = size_m;
        plate->object.open = true;
        lua_replace(L, index);
    }
    const oxl_part *part = oxl_check_named(L, arg, index, name, &oxl_part_class);
    *(const oxt_part **)into = &part->part;
    return OXT_OK;
}

static int part_lift_exposure(lua_State *L)
{
    const oxl_part *part = oxl_check(L, 1, &oxl_part_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    double from_K = 0.0, exposure_nm2 = 0.0, quench_K = 0.0;
    lua_settop(L, 4);
    oxt_status status = oxl_check_temperature(L, 3, &from_K, &error);
    const oxt_lift *lift;
    oxt_error of_lift = OXT_ERROR_INIT;
    oxt_status lift_status = oxl_read_lift(L, 4, "lift", &lift, &of_lift);
    if (!status && lift_status)
        return oxl_fail(L, lift_status, &of_lift);
    if (!status)
        status = oxt_heat_lift_exposure(&steel->values.growth, &part->part, lift, from_K,
                                        &exposure_nm2, &quench_K, &error);
    return oxl_give_two(L, status, exposure_nm2, quench_K, &error);
}

static const luaL_Reg methods[] = {
    { "warming", part_warming },
    { "surface_temperature", part_surface_temperature },
    { "exposure", part_exposure },
    { "time_for", part_time_for },
    { "lift_exposure", part_lift_exposure },
    { NULL, NULL },
};

const oxl_class oxl_part_class = {
    .name = "oxtint.part",
    .noun = "part",
    .size = sizeof(oxl_part),
    .methods = methods,
    .by_value = true,
    .fields = part_fields,
    .structure = offsetof(oxl_part, part),
    .text = part_tostring,
};

static int new_part(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_part given = OXT_PART_INIT;
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, part_names, &given, &error);
    double start_K; /* what is sound in the hottest bath is sound */
    if (!status)
        status = oxt_heat_surface_temperature(&given, OXT_BATH_HIGH_K, 0.0, &start_K, &error);
    oxl_part *object = oxl_new(L, &oxl_part_class);
    object->part = given;
    return oxl_give_object(L, status, &object->object, &error);
}

const luaL_Reg oxl_heat_functions[] = {
    { "part", new_part },
    { NULL, NULL },
};
