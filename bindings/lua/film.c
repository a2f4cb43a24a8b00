/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Films, and functions that look at the colour of one. */
#include "oxl.h"

/* ---- the object ---- */

OXL_RELEASE(release, oxl_film, film, oxt_film_free)

OXL_WRITER(write_description, oxl_film, oxt_film_description, of->film)

static int film_description(lua_State *L)
{
    oxl_push_text(L, write_description, lua_touserdata(L, 1), 0);
    return 1;
}

static const oxl_made made[] = { { "description", .make = film_description }, { .name = NULL } };

const oxl_class oxl_film_class = {
    .name = "oxtint.film",
    .noun = "film",
    .size = sizeof(oxl_film),
    .release = release,
    .methods = oxl_film_methods,
    .made = made,
    .text = film_description,
};

/* What a film takes at least: a path of 801 colours with its splines, and 81 wavelengths. */
enum { FILM_BYTES = 200 * 1024 };

static void open_film(lua_State *L, oxl_film *film)
{
    film->object.open = true;
    oxl_owe(L, FILM_BYTES);
}

static int new_film(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    lua_settop(L, 1);
    oxl_film *film = oxl_new(L, &oxl_film_class);
    oxt_status status = oxl_make_film(L, film, &error);
    if (status)
        return oxl_fail(L, status, &error);
    open_film(L, film);
    lua_settop(L, 2);
    return 1;
}

/* ---- which film ---- */

static const oxl_film *default_film(lua_State *L)
{
    static const char key;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &key);
    oxl_film *film = lua_touserdata(L, -1); /* NULL for nil */
    if (film && film->object.open)          /* a script can have closed it */
        return film;
    lua_pop(L, 1);
    oxt_error error = OXT_ERROR_INIT;
    film = oxl_new(L, &oxl_film_class);
    oxl_expect(L, oxt_film_new(&film->film, NULL, &error), &error);
    open_film(L, film);
    lua_pushvalue(L, -1);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &key);
    return film;
}

const oxl_film *oxl_choose_film(lua_State *L, const oxl_film *given)
{
    return given ? given : default_film(L);
}

const oxl_film *oxl_steel_film(lua_State *L, const oxl_film *given, int steel)
{
    if (given)
        return given;
    luaL_checkstack(L, 4, NULL);
    lua_getfield(L, steel, "film");
    return oxl_check_named(L, 1, -1, "film", &oxl_film_class);
}

void oxl_push_film(lua_State *L, const oxt_words *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_film_options options = OXT_FILM_OPTIONS_INIT;
    if (!words) {
        default_film(L);
        return;
    }
    options.words = words;
    oxl_film *film = oxl_new(L, &oxl_film_class);
    oxl_expect(L, oxt_film_new(&film->film, &options, &error), &error);
    open_film(L, film);
}

const oxl_film *oxl_film_argument(lua_State *L, int arg)
{
    static const oxl_field names[] = { { "film", OXL_OBJECT, .class = &oxl_film_class }, OXL_END };
    const oxl_film *given = NULL;
    oxl_read_named(L, arg, names, &given, NULL);
    return oxl_choose_film(L, given);
}

/* ---- functions ---- */

static int film_lab(lua_State *L)
{
    double thickness_nm = oxl_check_number(L, 1);
    return oxl_give_colour(L, oxl_film_argument(L, 2), OXT_SPACE_LAB, thickness_nm);
}

static int film_srgb(lua_State *L)
{
    double thickness_nm = oxl_check_number(L, 1);
    return oxl_give_colour(L, oxl_film_argument(L, 2), OXT_SPACE_SRGB, thickness_nm);
}

static int film_reflectance(lua_State *L)
{
    double thickness_nm = oxl_check_number(L, 1);
    return oxl_give_spectrum(L, oxl_film_argument(L, 2), thickness_nm);
}

const luaL_Reg oxl_film_functions[] = {
    { "film", new_film },
    { "film_lab", film_lab },
    { "film_srgb", film_srgb },
    { "film_reflectance", film_reflectance },
    { NULL, NULL },
};
