/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may be chosen about a film. */
#include <stdio.h>

#include "oxl.h"

/* The options, and what they are made from. The blocks that the options point to are Lua's, so that an error frees
 * them. */
typedef struct {
    oxt_film_options options;
    int observer_deg;
    int materials; /* place of a list of objects, one for each layer; 0 for none */
    int metal;     /* place of an object; 0 for none */
    double *shares;
    const oxl_words *words;
} request;

static const oxl_field share_names[] = { { "share", OXL_NUMBER, .size = sizeof(double) }, OXL_END };

static const oxl_field finish_names[] = {
    OXL_FIELD(oxt_film_options, thickness_spread, OXL_NUMBER),
    OXL_FIELD(oxt_film_options, angle_spread_deg, OXL_NUMBER),
    OXL_END,
};

static const oxl_field no_names[] = { OXL_END };

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
        oxl_read_table(L, 1, layer, where, share_names, 1, &wanted->shares[place], &given, NULL);
        lua_rawgeti(L, layer, 1);
    }
    take_material(L, where);
    lua_rawseti(L, wanted->materials, (lua_Integer)place + 1);
    lua_settop(L, layer - 1);
    return given;
}

/* The readers of film_names: oxl_reader each. */
static oxt_status read_layers(lua_State *L, int arg, const char *name, void *into, oxt_error *error)
{
    request *wanted = into;
    int list = lua_gettop(L);
    (void)error;
    if (!lua_istable(L, list))
        luaL_argerror(
            L, arg, lua_pushfstring(L, "%s: list expected, got %s", name, luaL_typename(L, list)));
    size_t count = lua_rawlen(L, list), shares = 0;
    wanted->options.layer_count = count;
    oxl_read_table(L, arg, list, name, no_names, (int)count, NULL, NULL, NULL);
    wanted->shares = lua_newuserdatauv(L, count * sizeof *wanted->shares, 0);
    lua_newtable(L);
    wanted->materials = lua_gettop(L);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, list, (lua_Integer)i + 1);
        shares += read_layer(L, i, wanted);
    }
    if (shares != 0 && shares != count)
        luaL_argerror(L, arg, "layers: a share of the thickness for each expected, or for none");
    if (shares != 0)
        wanted->options.shares = wanted->shares;
    return OXT_OK;
}

static oxt_status read_substrate(lua_State *L, int arg, const char *name, void *into,
                                 oxt_error *error)
{
    (void)arg;
    (void)error;
    *(int *)into = take_material(L, name);
    return OXT_OK;
}

static oxt_status read_finish(lua_State *L, int arg, const char *name, void *into, oxt_error *error)
{
    oxt_film_options *options = into;
    int index = lua_gettop(L);
    if (lua_istable(L, index))
        return oxl_read_table(L, arg, index, name, finish_names, 0, options, NULL, error);
    oxt_finish grade = (oxt_finish)oxl_choose(L, arg, index, name, oxl_grades);
    return oxt_film_finish(grade, &options->thickness_spread, &options->angle_spread_deg, NULL);
}

static const char *const polarisations[] = { "none", "s", "p", NULL };

static const oxl_field film_names[] = {
    OXL_AS("absorption_scale", request, options.absorption_scale, OXL_NUMBER),
    { "layers", OXL_OTHER, .read = read_layers },
    { "substrate", OXL_OTHER, offsetof(request, metal), .read = read_substrate },
    OXL_AS("angle_deg", request, options.angle_deg, OXL_NUMBER),
    { "polarisation", OXL_CHOICE, offsetof(request, options.polarisation),
      .choices = polarisations },
    { "finish", OXL_OTHER, offsetof(request, options), .read = read_finish },
    OXL_AS("coat_index", request, options.coat_index, OXL_NUMBER),
    { "illuminant", OXL_CHOICE, offsetof(request, options.illuminant), .choices = oxl_illuminants },
    { "words", OXL_OBJECT, offsetof(request, words), .class = &oxl_words_class },
    OXL_FIELD(request, observer_deg, OXL_INT),
    OXL_END,
};

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
    oxl_read_named(L, 1, film_names, &wanted, error);
    wanted.options.observer = oxl_check_observer(L, 1, wanted.observer_deg);
    if (wanted.options.layer_count > 0)
        wanted.options.layers = layer_handles(L, &wanted);
    if (wanted.metal)
        wanted.options.substrate = handle_at(L, wanted.metal);
    if (wanted.words)
        wanted.options.words = wanted.words->words;
    film->illuminant = wanted.options.illuminant;
    film->observer = wanted.options.observer;
    return oxt_film_new(&film->film, &wanted.options, error);
}
