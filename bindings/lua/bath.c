/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Salts, and the baths that hold them. */
#include "oxl.h"

static const char *const salts[] = { "unstated", "binary 60/40", "binary eutectic", "ternary",
                                     NULL };

static const oxl_field bath_fields[] = {
    { "salt", OXL_CHOICE, offsetof(oxt_bath, salt), salts, NULL },
    OXL_FIELD(oxt_bath, thermometer_offset_K, OXL_NUMBER),
    OXL_FIELD(oxt_bath, thermometer_sd_K, OXL_NUMBER),
    OXL_FIELD(oxt_bath, wander_K, OXL_NUMBER),
    OXL_FIELD(oxt_bath, salt_kg, OXL_NUMBER),
    OXL_FIELD(oxt_bath, heater_W, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field salt_fields[] = {
    OXL_FIELD(oxt_salt_values, melting_low_K, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, melting_high_K, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, working_low_K, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, working_high_K, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, legal_high_K, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, density_kg_per_m3, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, heat_J_per_kgK, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, name, OXL_TEXT),
    OXL_FIELD(oxt_salt_values, source, OXL_TEXT),
    OXL_FIELD(oxt_salt_values, viscosity_Pa_s, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, conductivity_W_per_mK, OXL_NUMBER),
    OXL_FIELD(oxt_salt_values, expansion_per_K, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field crust_fields[] = {
    OXL_FIELD(oxt_crust, melting_K, OXL_NUMBER),
    OXL_FIELD(oxt_crust, melted_s, OXL_NUMBER),
    OXL_FIELD(oxt_crust, thickest_m, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const char *const surfaces[] = { "upright", "lying", "sphere", NULL };

static const oxl_field convection_fields[] = {
    OXL_FIELD(oxt_convection, transfer_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_convection, exponent, OXL_NUMBER),
    OXL_FIELD(oxt_convection, film_K, OXL_NUMBER),
    OXL_FIELD(oxt_convection, rayleigh, OXL_NUMBER),
    OXL_FIELD(oxt_convection, prandtl, OXL_NUMBER),
    OXL_FIELD(oxt_convection, nusselt, OXL_NUMBER),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static const oxl_field sag_fields[] = {
    OXL_FIELD(oxt_sag, lowest_K, OXL_NUMBER), OXL_FIELD(oxt_sag, lowest_s, OXL_NUMBER),
    OXL_FIELD(oxt_sag, sag_K, OXL_NUMBER),    OXL_FIELD(oxt_sag, recovery_s, OXL_NUMBER),
    OXL_FIELD(oxt_sag, heat_J, OXL_NUMBER),   OXL_FIELD(oxt_sag, cautions, OXL_CAUTIONS),
    { NULL, OXL_NUMBER, 0, NULL, NULL },
};

static int bath_tostring(lua_State *L)
{
    const oxl_bath *object = lua_touserdata(L, 1);
    const char *salt = salts[object->bath.salt];
    if (object->bath.salt_kg > 0.0)
        lua_pushfstring(L, "bath of %f kg of salt, %s", object->bath.salt_kg, salt);
    else
        lua_pushfstring(L, "bath of salt, %s", salt);
    return 1;
}

static int bath_true(lua_State *L)
{
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    oxt_error error = OXT_ERROR_INIT;
    double reading_K = 0.0, true_K = 0.0;
    oxt_status status = oxl_check_temperature(L, 2, &reading_K, &error);
    if (!status)
        status = oxt_bath_read(&object->bath, reading_K, &true_K, NULL, &error);
    return oxl_give_number(L, status, true_K, &error);
}

static int bath_cautions(lua_State *L)
{
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    oxt_error error = OXT_ERROR_INIT;
    double reading_K = 0.0, true_K = 0.0;
    uint32_t cautions = 0;
    oxt_status status = oxl_check_temperature(L, 2, &reading_K, &error);
    if (!status)
        status = oxt_bath_read(&object->bath, reading_K, &true_K, &cautions, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_cautions(L, cautions);
    return 1;
}

static int bath_sag(lua_State *L)
{
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    const oxl_part *part = oxl_check(L, 2, &oxl_part_class);
    double load_kg = oxl_check_number(L, 3), bath_K = 0.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_sag sag = OXT_SAG_INIT;
    oxt_status status = oxl_check_temperature(L, 4, &bath_K, &error);
    if (!status)
        status = oxt_bath_sag(&object->bath, &part->part, load_kg, bath_K, &sag, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, sag_fields, &sag);
    return 1;
}

static int bath_exposure(lua_State *L)
{
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    const oxl_steel *steel = oxl_check(L, 2, &oxl_steel_class);
    const oxl_part *part = oxl_check(L, 3, &oxl_part_class);
    double load_kg = oxl_check_number(L, 4), bath_K = 0.0, time_s = 0.0, exposure_nm2 = 0.0;
    oxt_error error = OXT_ERROR_INIT;
    oxt_status status = oxl_check_temperature(L, 5, &bath_K, &error);
    if (!status)
        status = oxl_check_time(L, 6, &time_s, &error);
    if (!status)
        status = oxt_bath_exposure(&steel->values.growth, &object->bath, &part->part, load_kg,
                                   bath_K, time_s, &exposure_nm2, &error);
    return oxl_give_number(L, status, exposure_nm2, &error);
}

static int bath_crust(lua_State *L)
{
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    const oxl_part *part = oxl_check(L, 2, &oxl_part_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_crust crust = OXT_CRUST_INIT;
    double bath_K = 0.0;
    oxt_status status = oxl_check_temperature(L, 3, &bath_K, &error);
    if (!status)
        status = oxt_bath_crust(&object->bath, &part->part, bath_K, &crust, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, crust_fields, &crust);
    return 1;
}

typedef struct {
    double size_m, bath_K, difference_K;
    int surface; /* the place on the stack of its name */
} convection_arguments;

static int bath_convection(lua_State *L)
{
    static const oxl_named names[] = {
        { "size_m", OXL_NAMED_LENGTH, offsetof(convection_arguments, size_m), 0 },
        { "bath", OXL_NAMED_BATH, offsetof(convection_arguments, bath_K), 0 },
        { "difference_K", OXL_NAMED_SPREAD, offsetof(convection_arguments, difference_K), 0 },
        { "surface", OXL_NAMED_VALUE, offsetof(convection_arguments, surface), 0 },
        { NULL, OXL_NAMED_NUMBER, 0, 0 },
    };
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    convection_arguments given = { 0.0, 0.0, 100.0, 0 };
    oxt_error error = OXT_ERROR_INIT;
    oxt_convection made = OXT_CONVECTION_INIT;
    oxt_surface surface = OXT_SURFACE_UPRIGHT;
    lua_settop(L, 2);
    luaL_checktype(L, 2, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 2, names, 0, &given, NULL, &error);
    if (!status && given.surface)
        surface = (oxt_surface)oxl_choose(L, 2, given.surface, "surface", surfaces);
    if (!status)
        status = oxt_bath_convection(&object->bath, surface, given.size_m, given.bath_K,
                                     given.difference_K, &made, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, convection_fields, &made);
    return 1;
}

static const luaL_Reg methods[] = {
    { "true_K", bath_true },
    { "sag", bath_sag },
    { "exposure", bath_exposure },
    { "crust", bath_crust },
    { "convection", bath_convection },
    { "cautions", bath_cautions },
    { NULL, NULL },
};

OXL_SAME(is_same, oxl_bath, bath_fields, bath)

const oxl_class oxl_bath_class = {
    .name = "oxtint.salt_bath",
    .noun = "bath",
    .size = sizeof(oxl_bath),
    .methods = methods,
    .is_same = is_same,
    .fields = bath_fields,
    .structure = offsetof(oxl_bath, bath),
    .text = bath_tostring,
};

/* The struct, and the place on the stack of the salt's name. */
typedef struct {
    oxt_bath bath;
    int salt;
} bath_arguments;

static const oxl_named bath_names[] = {
    { "salt", OXL_NAMED_VALUE, offsetof(bath_arguments, salt), 0 },
    { "thermometer_offset_K", OXL_NAMED_SPREAD, offsetof(bath_arguments, bath.thermometer_offset_K),
      0 },
    { "thermometer_sd_K", OXL_NAMED_SPREAD, offsetof(bath_arguments, bath.thermometer_sd_K), 0 },
    { "wander_K", OXL_NAMED_SPREAD, offsetof(bath_arguments, bath.wander_K), 0 },
    { "salt_kg", OXL_NAMED_NUMBER, offsetof(bath_arguments, bath.salt_kg), 0 },
    { "heater_W", OXL_NAMED_NUMBER, offsetof(bath_arguments, bath.heater_W), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static int new_bath(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    bath_arguments given = { OXT_BATH_INIT, 0 };
    lua_settop(L, 1);
    oxt_status status = oxl_read_named(L, 1, bath_names, 0, &given, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    if (given.salt)
        given.bath.salt = (oxt_salt)oxl_choose(L, 1, given.salt, "salt", salts);
    oxl_bath *object = oxl_new(L, &oxl_bath_class);
    object->bath = given.bath;
    object->object.open = true;
    return 1;
}

static int salt(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_salt_values values = OXT_SALT_VALUES_INIT;
    double temperature_K = 0.0;
    oxt_salt named = (oxt_salt)oxl_choose(L, 1, 1, "salt", salts);
    oxt_status status = OXT_OK;
    if (!lua_isnoneornil(L, 2))
        status = oxl_check_temperature(L, 2, &temperature_K, &error);
    if (!status)
        status = oxt_bath_salt(named, temperature_K, &values, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, salt_fields, &values);
    return 1;
}

const oxt_bath *oxl_read_bath(lua_State *L, int arg, int index, const char *where)
{
    const oxl_bath *bath = oxl_check_named(L, arg, index, where, &oxl_bath_class);
    return &bath->bath;
}

void oxl_open_bath(lua_State *L)
{
    static const luaL_Reg functions[] = {
        { "bath", new_bath },
        { "salt", salt },
        { NULL, NULL },
    };
    oxl_register(L, &oxl_bath_class);
    luaL_setfuncs(L, functions, 0);
}
