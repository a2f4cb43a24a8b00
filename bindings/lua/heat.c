/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts and how they warm up. */
#include "oxl.h"

const char *const oxl_shapes[] = { "plate", "cylinder", "sphere", "any", NULL };

static const char *const flows[] = { "stirred", "still", NULL };

static const char *const metals[] = { "steel", "brass", "bronze", "nickel silver", NULL };

static const oxl_field part_fields[] = {
    { "shape", OXL_CHOICE, offsetof(oxt_part, shape), oxl_shapes, NULL },
    OXL_FIELD(oxt_part, size_m, OXL_NUMBER),
    OXL_FIELD(oxt_part, start_K, OXL_NUMBER),
    OXL_FIELD(oxt_part, transfer_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_part, density_kg_per_m3, OXL_NUMBER),
    OXL_FIELD(oxt_part, heat_J_per_kgK, OXL_NUMBER),
    OXL_FIELD(oxt_part, conductivity_W_per_mK, OXL_NUMBER),
    { "metal", OXL_CHOICE, offsetof(oxt_part, metal), metals, NULL },
    { "flow", OXL_CHOICE, offsetof(oxt_part, flow), flows, NULL },
    OXL_FIELD(oxt_part, transfer_at_K, OXL_NUMBER),
    OXL_FIELD(oxt_part, transfer_exponent, OXL_NUMBER),
    OXL_FIELD(oxt_part, wetted, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field warming_fields[] = {
    OXL_FIELD(oxt_warming, lumped, OXL_FLAG),
    OXL_FIELD(oxt_warming, biot, OXL_NUMBER),
    OXL_FIELD(oxt_warming, tau_s, OXL_NUMBER),
    OXL_FIELD(oxt_warming, heat_J_per_kgK, OXL_NUMBER),
    OXL_FIELD(oxt_warming, conductivity_W_per_mK, OXL_NUMBER),
    OXL_FIELD(oxt_warming, conduction_length_m, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
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
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, warming_fields, &warming);
    return 1;
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
    if (status)
        return oxl_fail(L, status, &error);
    lua_pushnumber(L, time_s);
    lua_pushnumber(L, lag_s);
    return 2;
}

oxt_status oxl_read_lift(lua_State *L, int arg, int index, const char *where, oxt_lift *lift,
                         const oxt_lift **read, oxt_error *error)
{
    oxt_status status;
    if (!index)
        return OXT_OK;
    *lift = (oxt_lift)OXT_LIFT_INIT;
    *read = lift;
    if (oxl_read_quantity(L, index, oxt_parse_duration, &lift->delay_s, &status, error))
        return status;
    static const oxl_named names[] = {
        { "delay_s", OXL_NAMED_NUMBER, offsetof(oxt_lift, delay_s), 0 },
        { "air_K", OXL_NAMED_NUMBER, offsetof(oxt_lift, air_K), 0 },
        { "convection_W_per_m2K", OXL_NAMED_NUMBER, offsetof(oxt_lift, convection_W_per_m2K), 0 },
        { "emissivity", OXL_NAMED_NUMBER, offsetof(oxt_lift, emissivity), 0 },
        { NULL, OXL_NAMED_NUMBER, 0, 0 },
    };
    if (lua_type(L, index) != LUA_TTABLE)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "%s: table, time or text with a unit expected, got %s",
                                      where, luaL_typename(L, index)));
    oxl_read_numbers(L, arg, index, where, names, 0, lift);
    return OXT_OK;
}

oxt_status oxl_read_part(lua_State *L, int arg, int index, const char *where, const oxt_part **part,
                         oxt_error *error)
{
    oxt_status status;
    double size_m = 0.0;
    if (!index)
        return OXT_OK;
    if (oxl_read_quantity(L, index, oxt_parse_length, &size_m, &status, error)) {
        if (status)
            return status;
        if (!(size_m > 0.0))
            luaL_argerror(L, arg, lua_pushfstring(L, "%s: a size above 0 expected", where));
        oxl_part *plate = oxl_new(L, &oxl_part_class); /* in its place, where it is kept */
        plate->part = (oxt_part)OXT_PART_INIT;
        plate->part.size_m = size_m;
        plate->object.open = true;
        lua_replace(L, index);
    }
    const oxl_part *own = oxl_check_named(L, arg, index, where, &oxl_part_class);
    *part = &own->part;
    return OXT_OK;
}

static int part_lift_exposure(lua_State *L)
{
    const oxl_part *part = oxl_check(L, 1, &oxl_part_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_lift lift = OXT_LIFT_INIT;
    double from_K = 0.0, exposure_nm2 = 0.0, quench_K = 0.0;
    lua_settop(L, 4);
    oxt_status status = oxl_check_temperature(L, 3, &from_K, &error);
    const oxt_lift *read = &lift;
    oxt_error of_lift = OXT_ERROR_INIT;
    oxt_status lift_status = oxl_read_lift(L, 4, 4, "lift", &lift, &read, &of_lift);
    if (!status && lift_status)
        return oxl_fail(L, lift_status, &of_lift);
    if (!status)
        status = oxt_heat_lift_exposure(&steel->values.growth, &part->part, read, from_K,
                                        &exposure_nm2, &quench_K, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_pushnumber(L, exposure_nm2);
    lua_pushnumber(L, quench_K);
    return 2;
}

static const luaL_Reg methods[] = {
    { "warming", part_warming },
    { "surface_temperature", part_surface_temperature },
    { "exposure", part_exposure },
    { "time_for", part_time_for },
    { "lift_exposure", part_lift_exposure },
    { NULL, NULL },
};

OXL_SAME(is_same, oxl_part, part_fields, part)

const oxl_class oxl_part_class = {
    .name = "oxtint.part",
    .noun = "part",
    .size = sizeof(oxl_part),
    .methods = methods,
    .is_same = is_same,
    .fields = part_fields,
    .structure = offsetof(oxl_part, part),
    .text = part_tostring,
};

/* The struct, and the places on the stack of the names of shape and metal. */
typedef struct {
    oxt_part part;
    int shape, metal, flow;
} part_arguments;

static const oxl_named part_names[] = {
    { "shape", OXL_NAMED_VALUE, offsetof(part_arguments, shape), 0 },
    { "size_m", OXL_NAMED_LENGTH, offsetof(part_arguments, part.size_m), 0 },
    { "start", OXL_NAMED_BATH, offsetof(part_arguments, part.start_K), 0 },
    { "transfer_W_per_m2K", OXL_NAMED_NUMBER, offsetof(part_arguments, part.transfer_W_per_m2K),
      0 },
    { "density_kg_per_m3", OXL_NAMED_NUMBER, offsetof(part_arguments, part.density_kg_per_m3), 0 },
    { "heat_J_per_kgK", OXL_NAMED_NUMBER, offsetof(part_arguments, part.heat_J_per_kgK), 0 },
    { "conductivity_W_per_mK", OXL_NAMED_NUMBER,
      offsetof(part_arguments, part.conductivity_W_per_mK), 0 },
    { "metal", OXL_NAMED_VALUE, offsetof(part_arguments, metal), 0 },
    { "flow", OXL_NAMED_VALUE, offsetof(part_arguments, flow), 0 },
    { "transfer_at_K", OXL_NAMED_NUMBER, offsetof(part_arguments, part.transfer_at_K), 0 },
    { "transfer_exponent", OXL_NAMED_NUMBER, offsetof(part_arguments, part.transfer_exponent), 0 },
    { "wetted", OXL_NAMED_NUMBER, offsetof(part_arguments, part.wetted), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static int new_part(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    part_arguments given = { OXT_PART_INIT, 0, 0, 0 };
    lua_settop(L, 1);
    luaL_checktype(L, 1, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 1, part_names, 0, &given, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    if (given.shape)
        given.part.shape = (oxt_shape)oxl_choose(L, 1, given.shape, "shape", oxl_shapes);
    if (given.metal)
        given.part.metal = (oxt_metal)oxl_choose(L, 1, given.metal, "metal", metals);
    if (given.flow)
        given.part.flow = (oxt_flow)oxl_choose(L, 1, given.flow, "flow", flows);
    double start_K; /* what is sound in the hottest bath is sound */
    status = oxt_heat_surface_temperature(&given.part, OXT_BATH_HIGH_K, 0.0, &start_K, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_part *object = oxl_new(L, &oxl_part_class);
    object->part = given.part;
    object->object.open = true;
    return 1;
}

void oxl_open_heat(lua_State *L)
{
    static const luaL_Reg functions[] = {
        { "part", new_part },
        { NULL, NULL },
    };
    oxl_register(L, &oxl_part_class);
    luaL_setfuncs(L, functions, 0);
}
