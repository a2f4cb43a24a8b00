/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Salts, and the baths that hold them. */
#include "oxl.h"

static const char *const salts[] = { "unstated", "binary 60/40", "binary eutectic", "ternary",
                                     NULL };

static const oxl_field bath_fields[] = {
    { "salt", OXL_CHOICE, offsetof(oxt_bath, salt), .choices = salts },
    OXL_FIELD(oxt_bath, thermometer_offset_K, OXL_SPREAD),
    OXL_FIELD(oxt_bath, thermometer_sd_K, OXL_SPREAD),
    OXL_FIELD(oxt_bath, wander_K, OXL_SPREAD),
    OXL_FIELD(oxt_bath, salt_kg, OXL_NUMBER),
    OXL_FIELD(oxt_bath, heater_W, OXL_NUMBER),
    OXL_END,
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
    OXL_END,
};

static const oxl_field crust_fields[] = {
    OXL_FIELD(oxt_crust, melting_K, OXL_NUMBER),
    OXL_FIELD(oxt_crust, melted_s, OXL_NUMBER),
    OXL_FIELD(oxt_crust, thickest_m, OXL_NUMBER),
    OXL_END,
};

static const char *const surfaces[] = { "upright", "lying", "sphere", NULL };

static const oxl_field convection_fields[] = {
    OXL_FIELD(oxt_convection, transfer_W_per_m2K, OXL_NUMBER),
    OXL_FIELD(oxt_convection, exponent, OXL_NUMBER),
    OXL_FIELD(oxt_convection, film_K, OXL_NUMBER),
    OXL_FIELD(oxt_convection, rayleigh, OXL_NUMBER),
    OXL_FIELD(oxt_convection, prandtl, OXL_NUMBER),
    OXL_FIELD(oxt_convection, nusselt, OXL_NUMBER),
    OXL_END,
};

static const oxl_field sag_fields[] = {
    OXL_FIELD(oxt_sag, lowest_K, OXL_NUMBER),
    OXL_FIELD(oxt_sag, lowest_s, OXL_NUMBER),
    OXL_FIELD(oxt_sag, sag_K, OXL_NUMBER),
    OXL_FIELD(oxt_sag, recovery_s, OXL_NUMBER),
    OXL_FIELD(oxt_sag, heat_J, OXL_NUMBER),
    OXL_FIELD(oxt_sag, cautions, OXL_CAUTIONS),
    OXL_END,
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
    return oxl_give_struct(L, status, sag_fields, &sag, &error);
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
    return oxl_give_struct(L, status, crust_fields, &crust, &error);
}

typedef struct {
    double size_m, bath_K, difference_K;
    oxt_surface surface;
} convection_arguments;

static int bath_convection(lua_State *L)
{
    static const oxl_field names[] = {
        OXL_FIELD(convection_arguments, size_m, OXL_LENGTH),
        OXL_AS("bath", convection_arguments, bath_K, OXL_BATH),
        OXL_FIELD(convection_arguments, difference_K, OXL_SPREAD),
        { "surface", OXL_CHOICE, offsetof(convection_arguments, surface), .choices = surfaces },
        OXL_END,
    };
    const oxl_bath *object = oxl_check(L, 1, &oxl_bath_class);
    convection_arguments given = { .difference_K = 100.0, .surface = OXT_SURFACE_UPRIGHT };
    oxt_error error = OXT_ERROR_INIT;
    oxt_convection made = OXT_CONVECTION_INIT;
    lua_settop(L, 2);
    luaL_checktype(L, 2, LUA_TTABLE);
    oxt_status status = oxl_read_named(L, 2, names, &given, &error);
    if (!status)
        status = oxt_bath_convection(&object->bath, given.surface, given.size_m, given.bath_K,
                                     given.difference_K, &made, &error);
    return oxl_give_struct(L, status, convection_fields, &made, &error);
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

const oxl_class oxl_bath_class = {
    .name = "oxtint.salt_bath",
    .noun = "bath",
    .size = sizeof(oxl_bath),
    .methods = methods,
    .by_value = true,
    .fields = bath_fields,
    .structure = offsetof(oxl_bath, bath),
    .text = bath_tostring,
};

static int new_bath(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_bath given = OXT_BATH_INIT;
    lua_settop(L, 1);
    oxt_status status = oxl_read_named(L, 1, bath_fields, &given, &error);
    oxl_bath *object = oxl_new(L, &oxl_bath_class);
    object->bath = given;
    return oxl_give_object(L, status, &object->object, &error);
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
    return oxl_give_struct(L, status, salt_fields, &values, &error);
}

const luaL_Reg oxl_bath_functions[] = {
    { "bath", new_bath },
    { "salt", salt },
    { NULL, NULL },
};
