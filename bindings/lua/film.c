/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Films and their colours. */
#include "oxl.h"

/* ---- the object ---- */

static void release(void *object)
{
    oxl_film *film = object;
    oxt_film_free(film->film);
    film->film = NULL;
}

static oxt_status write_description(const void *object, size_t unused, char *buffer,
                                    size_t capacity, size_t *needed, oxt_error *error)
{
    const oxl_film *film = object;
    (void)unused;
    return oxt_film_description(film->film, buffer, capacity, needed, error);
}

static int film_description(lua_State *L)
{
    oxl_push_text(L, write_description, lua_touserdata(L, 1), 0);
    return 1;
}

static const oxl_made made[] = { { "description", film_description }, { NULL, NULL } };

const oxl_class oxl_film_class = {
    .name = "oxtint.film",
    .noun = "film",
    .size = sizeof(oxl_film),
    .release = release,
    .made = made,
    .text = film_description,
};

/* What a film takes: tables of 81 wavelengths and a path of 561 colours. */
enum { FILM_BYTES = 18000 };

static oxt_status fill(lua_State *L, oxl_film *film, const oxt_film_options *options,
                       oxt_error *error)
{
    oxt_status status = oxt_film_new(&film->film, options, error);
    film->object.open = !status;
    oxl_owe(L, FILM_BYTES);
    return status;
}

static int new_film(lua_State *L)
{
    static const oxl_named names[] = {
        { "absorption_scale", OXL_NAMED_NUMBER, offsetof(oxt_film_options, absorption_scale), 0 },
        { NULL, OXL_NAMED_NUMBER, 0, 0 },
    };
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 1);
    oxl_read_named(L, 1, names, 0, &options, NULL, &error);
    oxl_film *film = oxl_new(L, &oxl_film_class);
    oxt_status status = fill(L, film, &options, &error);
    return status ? oxl_fail(L, status, &error) : 1;
}

/* ---- which film ---- */

static const oxl_film *default_film(lua_State *L)
{
    static const char key;
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &key) == LUA_TUSERDATA)
        return lua_touserdata(L, -1);
    lua_pop(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    oxl_film *film = oxl_new(L, &oxl_film_class);
    oxl_expect(L, fill(L, film, NULL, &error), &error);
    lua_pushvalue(L, -1);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &key);
    return film;
}

const oxl_film *oxl_choose_film(lua_State *L, oxl_film *given)
{
    return given ? given : default_film(L);
}

const oxl_film *oxl_film_argument(lua_State *L, int arg)
{
    static const oxl_named names[] = { { "film", OXL_NAMED_FILM, 0, 0 },
                                       { NULL, OXL_NAMED_NUMBER, 0, 0 } };
    oxl_film *given = NULL;
    oxl_read_named(L, arg, names, 0, &given, NULL, NULL);
    return oxl_choose_film(L, given);
}

/* ---- colours ---- */

static int film_lab(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double lab[3];
    double thickness_nm = oxl_check_number(L, 1);
    const oxl_film *film = oxl_film_argument(L, 2);
    oxt_status status = oxt_film_lab(film->film, thickness_nm, lab, &error);
    if (status)
        return oxl_fail(L, status, &error);
    for (int i = 0; i < 3; i++)
        lua_pushnumber(L, lab[i]);
    return 3;
}

static int film_srgb(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double srgb[3];
    int out_of_gamut;
    double thickness_nm = oxl_check_number(L, 1);
    const oxl_film *film = oxl_film_argument(L, 2);
    oxt_status status = oxt_film_srgb(film->film, thickness_nm, srgb, &out_of_gamut, &error);
    if (status)
        return oxl_fail(L, status, &error);
    for (int i = 0; i < 3; i++)
        lua_pushnumber(L, srgb[i]);
    lua_pushboolean(L, out_of_gamut);
    return 4;
}

static void push_list(lua_State *L, const double *numbers, int count)
{
    lua_createtable(L, count, 0);
    for (int i = 0; i < count; i++) {
        lua_pushnumber(L, numbers[i]);
        lua_rawseti(L, -2, i + 1);
    }
}

static int film_reflectance(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double wavelength_nm[OXT_WAVELENGTH_COUNT], reflectance[OXT_WAVELENGTH_COUNT];
    for (int i = 0; i < OXT_WAVELENGTH_COUNT; i++)
        wavelength_nm[i] = OXT_WAVELENGTH_LOW_NM + OXT_WAVELENGTH_STEP_NM * i;
    double thickness_nm = oxl_check_number(L, 1);
    const oxl_film *film = oxl_film_argument(L, 2);
    oxt_status status = oxt_film_reflectance(film->film, thickness_nm, OXT_WAVELENGTH_COUNT,
                                             wavelength_nm, reflectance, &error);
    if (status)
        return oxl_fail(L, status, &error);
    push_list(L, wavelength_nm, OXT_WAVELENGTH_COUNT);
    push_list(L, reflectance, OXT_WAVELENGTH_COUNT);
    return 2;
}

static void check_lab(lua_State *L, int arg, double lab[3])
{
    if (!oxl_read_three(L, arg, lab))
        luaL_typeerror(L, arg, "list of three numbers");
}

static int delta_e2000(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    double lab1[3], lab2[3], difference = 0.0;
    check_lab(L, 1, lab1);
    check_lab(L, 2, lab2);
    oxt_status status = oxt_delta_e2000(lab1, lab2, &difference, &error);
    return oxl_give_number(L, status, difference, &error);
}

void oxl_open_film(lua_State *L)
{
    static const luaL_Reg functions[] = {
        { "film", new_film },           { "film_lab", film_lab },
        { "film_srgb", film_srgb },     { "film_reflectance", film_reflectance },
        { "delta_e2000", delta_e2000 }, { NULL, NULL },
    };
    oxl_register(L, &oxl_film_class);
    luaL_setfuncs(L, functions, 0);
}
