/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lights, finishes, and colours that belong to no film. */
#include "oxl.h"

const char *const oxl_illuminants[] = {
    "D65", "D50", "A", "FL2", "FL11", "LED-B3", "LED-V1", NULL
};
const char *const oxl_grades[] = { "mirror", "satin", "matte", NULL };

oxt_observer oxl_check_observer(lua_State *L, int arg, lua_Integer degrees)
{
    if (degrees != 2 && degrees != 10)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "observer_deg: 2 or 10 expected, got %I",
                                      (LUAI_UACINT)degrees));
    return degrees == 2 ? OXT_OBSERVER_1931_2_DEGREE : OXT_OBSERVER_1964_10_DEGREE;
}

static int light_white(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double white_xyz[3];
    oxt_illuminant illuminant = OXT_ILLUMINANT_D65;
    oxt_observer observer = OXT_OBSERVER_1931_2_DEGREE;
    if (!lua_isnoneornil(L, 1))
        illuminant = (oxt_illuminant)oxl_choose(L, 1, 1, "illuminant", oxl_illuminants);
    if (!lua_isnoneornil(L, 2)) {
        luaL_checktype(L, 2, LUA_TNUMBER);
        observer = oxl_check_observer(L, 2, luaL_checkinteger(L, 2));
    }
    return oxl_give_three(L, oxt_light_white(illuminant, observer, white_xyz, &error), white_xyz,
                          &error);
}

static int adapt_white(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double xyz[3], from_xyz[3], to_xyz[3], adapted_xyz[3];
    oxl_check_three(L, 1, xyz);
    oxl_check_three(L, 2, from_xyz);
    oxl_check_three(L, 3, to_xyz);
    oxt_status status = oxt_light_adapt(xyz, from_xyz, to_xyz, adapted_xyz, &error);
    return oxl_give_three(L, status, adapted_xyz, &error);
}

static int finish(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double thickness_spread, angle_spread_deg;
    oxt_finish grade = (oxt_finish)oxl_choose(L, 1, 1, "grade", oxl_grades);
    oxl_expect(L, oxt_film_finish(grade, &thickness_spread, &angle_spread_deg, &error), &error);
    lua_pushnumber(L, thickness_spread);
    lua_pushnumber(L, angle_spread_deg);
    return 2;
}

static int srgb_keeping_hue(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double xyz[3], srgb[3];
    int out_of_gamut;
    oxl_check_three(L, 1, xyz);
    oxt_status status = oxt_srgb_from_xyz(xyz, OXT_GAMUT_KEEP_HUE, srgb, &out_of_gamut, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_give_three(L, status, srgb, &error);
    lua_pushboolean(L, out_of_gamut);
    return 4;
}

static int delta_e2000(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double lab1[3], lab2[3], difference = 0.0;
    oxl_check_three(L, 1, lab1);
    oxl_check_three(L, 2, lab2);
    oxt_status status = oxt_delta_e2000(1, lab1, 0, lab2, 0, &difference, NULL, &error);
    return oxl_give_number(L, status, difference, &error);
}

/* The white of daylight, or that at an argument. */
static void white_argument(lua_State *L, int arg, double white_xyz[3])
{
    if (lua_isnoneornil(L, arg))
        oxt_light_white(OXT_ILLUMINANT_D65, OXT_OBSERVER_1931_2_DEGREE, white_xyz, NULL);
    else
        oxl_check_three(L, arg, white_xyz);
}

typedef oxt_status (*from_white)(const double from[3], const double white_xyz[3], double to[3],
                                 oxt_error *error);

static int convert(lua_State *L, from_white call)
{
    oxt_error error = OXT_ERROR_INIT;
    double from[3], white_xyz[3], to[3];
    oxl_check_three(L, 1, from);
    white_argument(L, 2, white_xyz);
    return oxl_give_three(L, call(from, white_xyz, to, &error), to, &error);
}

static int lab_from_xyz(lua_State *L)
{
    return convert(L, oxt_lab_from_xyz);
}

static int xyz_from_lab(lua_State *L)
{
    return convert(L, oxt_xyz_from_lab);
}

static int xyz_from_srgb(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double srgb[3], xyz[3];
    oxl_check_three(L, 1, srgb);
    return oxl_give_three(L, oxt_xyz_from_srgb(srgb, xyz, &error), xyz, &error);
}

const luaL_Reg oxl_light_functions[] = {
    { "light_white", light_white },
    { "adapt_white", adapt_white },
    { "finish", finish },
    { "srgb_keeping_hue", srgb_keeping_hue },
    { "delta_e2000", delta_e2000 },
    { "lab_from_xyz", lab_from_xyz },
    { "xyz_from_lab", xyz_from_lab },
    { "xyz_from_srgb", xyz_from_srgb },
    { NULL, NULL },
};
