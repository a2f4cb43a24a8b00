/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colours of a film, by the full computation and from its path. */
#include "oxl.h"

/* ---- results ---- */

int oxl_give_colour(lua_State *L, const oxl_film *film, oxt_colour_space space, double thickness_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    double colour[3];
    int out_of_gamut = 0;
    oxt_status status = oxt_film_colour(film->film, space, thickness_nm, colour, &out_of_gamut,
                                        &error);
    bool is_srgb = space == OXT_SPACE_SRGB || space == OXT_SPACE_PATH_SRGB;
    int count = oxl_give_three(L, status, colour, &error);
    if (!status && is_srgb)
        lua_pushboolean(L, out_of_gamut);
    return count + (!status && is_srgb);
}

int oxl_give_spectrum(lua_State *L, const oxl_film *film, double thickness_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    double wavelength_nm[OXT_WAVELENGTH_COUNT], reflectance[OXT_WAVELENGTH_COUNT];
    for (int i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        wavelength_nm[i] = OXT_WAVELENGTH_LOW_NM + OXT_WAVELENGTH_STEP_NM * i;
    oxt_status status = oxt_film_reflectance(film->film, thickness_nm, OXT_WAVELENGTH_COUNT,
                                             wavelength_nm, reflectance, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_numbers(L, wavelength_nm, OXT_WAVELENGTH_COUNT);
    oxl_push_numbers(L, reflectance, OXT_WAVELENGTH_COUNT);
    return 2;
}

/* ---- the full computation ---- */

static const oxl_film *self(lua_State *L)
{
    return oxl_check(L, 1, &oxl_film_class);
}

static int film_lab(lua_State *L)
{
    return oxl_give_colour(L, self(L), OXT_SPACE_LAB, oxl_check_number(L, 2));
}

static int film_srgb(lua_State *L)
{
    return oxl_give_colour(L, self(L), OXT_SPACE_SRGB, oxl_check_number(L, 2));
}

static int film_xyz(lua_State *L)
{
    return oxl_give_colour(L, self(L), OXT_SPACE_XYZ, oxl_check_number(L, 2));
}

/* At one wavelength, or at those of a list. */
static int reflectance_at(lua_State *L, const oxl_film *film, double thickness_nm)
{
    oxt_error error = OXT_ERROR_INIT;
    if (lua_type(L, 3) == LUA_TNUMBER) {
        double wavelength_nm = lua_tonumber(L, 3), one = 0.0;
        oxt_status status = oxt_film_reflectance(film->film, thickness_nm, 1, &wavelength_nm, &one,
                                                 &error);
        return oxl_give_number(L, status, one, &error);
    }
    size_t count;
    const double *wavelength_nm = oxl_check_numbers(L, 3, 3, NULL, &count);
    double *reflectance = lua_newuserdatauv(L, (count + 1) * sizeof *reflectance, 0);
    oxt_status status = oxt_film_reflectance(film->film, thickness_nm, count, wavelength_nm,
                                             reflectance, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_numbers(L, reflectance, count);
    return 1;
}

static int film_reflectance(lua_State *L)
{
    const oxl_film *film = self(L);
    double thickness_nm = oxl_check_number(L, 2);
    lua_settop(L, 3);
    return lua_isnil(L, 3) ? oxl_give_spectrum(L, film, thickness_nm)
                           : reflectance_at(L, film, thickness_nm);
}

static int film_white(lua_State *L)
{
    const oxl_film *film = self(L);
    oxt_error error = OXT_ERROR_INIT;
    double white_xyz[3];
    return oxl_give_three(L, oxt_light_white(film->illuminant, film->observer, white_xyz, &error),
                          white_xyz, &error);
}

static int film_difference(lua_State *L)
{
    const oxl_film *film = self(L), *other = oxl_check(L, 2, &oxl_film_class);
    oxt_error error = OXT_ERROR_INIT;
    double difference = 0.0, thickness_nm = oxl_check_number(L, 3);
    oxt_status status = oxt_film_difference(film->film, other->film, thickness_nm, &difference,
                                            &error);
    return oxl_give_number(L, status, difference, &error);
}

/* ---- the path ---- */

static int give_path_colours(lua_State *L, const oxl_film *film, oxt_colour_space space)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t count;
    const double *thickness_nm = oxl_check_numbers(L, 2, 2, NULL, &count);
    double *colours = lua_newuserdatauv(L, 3 * (count + 1) * sizeof *colours, 0);
    int *flags = lua_newuserdatauv(L, (count + 1) * sizeof *flags, 0);
    oxt_status status = oxt_film_colours(film->film, space, count, thickness_nm,
                                         sizeof *thickness_nm, colours, flags, NULL, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_newtable(L);
    for (size_t i = 0; i < count; i++) {
        oxl_push_numbers(L, colours + 3 * i, 3);
        if (space == OXT_SPACE_PATH_SRGB) {
            lua_pushboolean(L, flags[i]);
            lua_setfield(L, -2, "out_of_gamut");
        }
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static int give_path(lua_State *L, oxt_colour_space space)
{
    const oxl_film *film = self(L);
    lua_settop(L, 2);
    if (lua_istable(L, 2))
        return give_path_colours(L, film, space);
    if (lua_type(L, 2) != LUA_TNUMBER)
        luaL_typeerror(L, 2, "number or list of numbers");
    return oxl_give_colour(L, film, space, lua_tonumber(L, 2));
}

static int film_path_lab(lua_State *L)
{
    return give_path(L, OXT_SPACE_PATH_LAB);
}

static int film_path_xyz(lua_State *L)
{
    return give_path(L, OXT_SPACE_PATH_XYZ);
}

static int film_path_srgb(lua_State *L)
{
    return give_path(L, OXT_SPACE_PATH_SRGB);
}

const luaL_Reg oxl_film_methods[] = {
    { "lab", film_lab },
    { "srgb", film_srgb },
    { "xyz", film_xyz },
    { "reflectance", film_reflectance },
    { "white", film_white },
    { "difference", film_difference },
    { "path_lab", film_path_lab },
    { "path_xyz", film_path_xyz },
    { "path_srgb", film_path_srgb },
    { "match", oxl_film_match },
    { "tint", oxl_film_tint },
    { "tints", oxl_film_tints },
    { "find_tint", oxl_film_find_tint },
    { "target", oxl_film_target },
    { NULL, NULL },
};
