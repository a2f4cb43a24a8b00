/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may be chosen about a film. */
#include <stdio.h>

#include "oxl.h"

/* The options, and places on the stack of what must be looked at first (0: not given). The blocks
 * that the options point to are Lua's, so that an error frees them. */
typedef struct {
    oxt_film_options options;
    int layers, substrate, polarisation, finish, illuminant, words;
    int observer_deg;
    int materials; /* a list of objects, one for each layer */
    int metal;     /* an object */
    double *shares;
} request;

#define NUMBER(member)                                                  \
    {                                                                   \
#member, OXL_NAMED_NUMBER, offsetof(request, options.member), 0 \
    }
#define VALUE(member)                                          \
    {                                                          \
#member, OXL_NAMED_VALUE, offsetof(request, member), 0 \
    }

static const oxl_named film_names[] = {
    NUMBER(absorption_scale),
    VALUE(layers),
    VALUE(substrate),
    NUMBER(angle_deg),
    VALUE(polarisation),
    VALUE(finish),
    NUMBER(coat_index),
    VALUE(illuminant),
    VALUE(words),
    { "observer_deg", OXL_NAMED_WHOLE, offsetof(request, observer_deg), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static const oxl_named share_names[] = { { "share", OXL_NAMED_NUMBER, 0, 0 },
                                         { NULL, OXL_NAMED_NUMBER, 0, 0 } };

static const oxl_named finish_names[] = {
    { "thickness_spread", OXL_NAMED_NUMBER, offsetof(oxt_film_options, thickness_spread), 0 },
    { "angle_spread_deg", OXL_NAMED_NUMBER, offsetof(oxt_film_options, angle_spread_deg), 0 },
    { NULL, OXL_NAMED_NUMBER, 0, 0 },
};

static const oxl_named no_names[] = { { NULL, OXL_NAMED_NUMBER, 0, 0 } };

/* Make the value on top of the stack, a material or the name of one, a material; give its place. */
static int take_material(lua_State *L, const char *where)
{
    if (lua_type(L, -1) == LUA_TSTRING)
        oxl_push_published(L, lua_gettop(L), where);
    else if (!oxl_test(L, -1, &oxl_material_class))
        luaL_argerror(L, 1,
                      lua_pushfstring(L, "%s: oxtint.material or its name expected, got %s", where,
                                      luaL_typename(L, -1)));
    return lua_gettop(L);
}

/* Take one layer from the top of the stack: a material, a name, or a list of either with its share. */
static bool read_layer(lua_State *L, size_t place, request *wanted)
{
    char where[32];
    uint32_t given = 0;
    int layer = lua_gettop(L);
    snprintf(where, sizeof where, "layers[%zu]", place + 1);
    if (lua_istable(L, -1)) {
        given = oxl_read_numbers(L, 1, layer, where, share_names, 1, &wanted->shares[place]);
        lua_rawgeti(L, layer, 1);
    }
    take_material(L, where);
    lua_rawseti(L, wanted->materials, (lua_Integer)place + 1);
    lua_settop(L, layer - 1);
    return given;
}

static void read_layers(lua_State *L, request *wanted)
{
    if (!lua_istable(L, wanted->layers))
        luaL_argerror(L, 1,
                      lua_pushfstring(L, "layers: list expected, got %s",
                                      luaL_typename(L, wanted->layers)));
    size_t count = lua_rawlen(L, wanted->layers), shares = 0;
    wanted->options.layer_count = count;
    oxl_read_numbers(L, 1, wanted->layers, "layers", no_names, (int)count, NULL);
    wanted->shares = lua_newuserdatauv(L, count * sizeof *wanted->shares, 0);
    lua_newtable(L);
    wanted->materials = lua_gettop(L);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, wanted->layers, (lua_Integer)i + 1);
        shares += read_layer(L, i, wanted);
    }
    if (shares != 0 && shares != count)
        luaL_argerror(L, 1, "layers: a share of the thickness for each expected, or for none");
    if (shares != 0)
        wanted->options.shares = wanted->shares;
}

static void read_finish(lua_State *L, int index, oxt_film_options *options)
{
    if (lua_istable(L, index)) {
        oxl_read_numbers(L, 1, index, "finish", finish_names, 0, options);
        return;
    }
    oxt_finish grade = (oxt_finish)oxl_choose(L, 1, index, "finish", oxl_grades);
    oxt_film_finish(grade, &options->thickness_spread, &options->angle_spread_deg, NULL);
}

static void read_choices(lua_State *L, request *wanted)
{
    static const char *const polarisations[] = { "none", "s", "p", NULL };
    oxt_film_options *options = &wanted->options;
    if (wanted->polarisation)
        options->polarisation = (oxt_polarisation)oxl_choose(L, 1, wanted->polarisation,
                                                             "polarisation", polarisations);
    if (wanted->finish)
        read_finish(L, wanted->finish, options);
    if (wanted->illuminant)
        options->illuminant = (oxt_illuminant)oxl_choose(L, 1, wanted->illuminant, "illuminant",
                                                         oxl_illuminants);
    options->observer = oxl_check_observer(L, 1, wanted->observer_deg);
    if (wanted->layers)
        read_layers(L, wanted);
    if (wanted->substrate) {
        lua_pushvalue(L, wanted->substrate);
        wanted->metal = take_material(L, "substrate");
    }
}

/* The handle of a material, which may have been closed since. */
static const oxt_material *handle_at(lua_State *L, int index)
{
    const oxl_material *material = lua_touserdata(L, index);
    if (!material->object.open)
        luaL_argerror(L, 1, "the material is closed");
    return material->material;
}

static const oxt_material **layer_handles(lua_State *L, const request *wanted)
{
    size_t count = wanted->options.layer_count;
    const oxt_material **handles = lua_newuserdatauv(L, count * sizeof *handles, 0);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, wanted->materials, (lua_Integer)i + 1);
        handles[i] = handle_at(L, -1);
        lua_pop(L, 1);
    }
    return handles;
}

oxt_status oxl_make_film(lua_State *L, oxl_film *film, oxt_error *error)
{
    request wanted = { .options = OXT_FILM_OPTIONS_INIT, .observer_deg = 2 };
    luaL_checkstack(L, 40, NULL);
    oxl_read_named(L, 1, film_names, 0, &wanted, NULL, error);
    read_choices(L, &wanted);
    if (wanted.options.layer_count > 0)
        wanted.options.layers = layer_handles(L, &wanted);
    if (wanted.metal)
        wanted.options.substrate = handle_at(L, wanted.metal);
    if (wanted.words) {
        const oxl_words *words = oxl_check_named(L, 1, wanted.words, "words", &oxl_words_class);
        wanted.options.words = words->words;
    }
    film->illuminant = wanted.options.illuminant;
    film->observer = wanted.options.observer;
    return oxt_film_new(&film->film, &wanted.options, error);
}
