/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Materials: published tables of complex index, and the caller's own. */
#include <string.h>

#include "oxl.h"

/* ---- the object ---- */

static const oxl_field material_fields[] = {
    OXL_FIELD(oxl_material, name, OXL_TEXT),
    OXL_END,
};

OXL_RELEASE(release, oxl_material, material, oxt_material_free)

static int material_tostring(lua_State *L)
{
    const oxl_material *object = lua_touserdata(L, 1);
    lua_pushstring(L, object->name);
    return 1;
}

static int material_index(lua_State *L)
{
    const oxl_material *object = oxl_check(L, 1, &oxl_material_class);
    oxt_error error = OXT_ERROR_INIT;
    double n, k;
    double wavelength_nm = oxl_check_number(L, 2);
    oxt_status status = oxt_material_index(object->material, wavelength_nm, &n, &k, &error);
    return oxl_give_two(L, status, n, k, &error);
}

static const luaL_Reg methods[] = { { "index", material_index }, { NULL, NULL } };

const oxl_class oxl_material_class = {
    .name = "oxtint.material",
    .noun = "material",
    .size = sizeof(oxl_material),
    .release = release,
    .methods = methods,
    .fields = material_fields,
    .text = material_tostring,
};

static void open_as(oxl_material *object, const char *name)
{
    strncpy(object->name, name, sizeof object->name - 1);
    object->object.open = true;
}

/* ---- as published ---- */

/* A name at an index of the stack; `where` goes before the message. */
static const char *check_name(lua_State *L, int index, const char *where)
{
    if (lua_type(L, index) != LUA_TSTRING)
        luaL_argerror(
            L, 1, lua_pushfstring(L, "%s: text expected, got %s", where, luaL_typename(L, index)));
    const char *name = lua_tostring(L, index);
    if (strlen(name) != lua_rawlen(L, index))
        luaL_argerror(L, 1, lua_pushfstring(L, "%s: text without NUL bytes expected", where));
    return name;
}

void oxl_push_published(lua_State *L, int index, const char *where)
{
    oxt_error error = OXT_ERROR_INIT;
    const char *name = check_name(L, index, where);
    oxl_material *object = oxl_new(L, &oxl_material_class);
    if (oxt_material_new(&object->material, name, 0, NULL, NULL, NULL, &error))
        luaL_argerror(L, 1, lua_pushfstring(L, "%s: %s", where, error.text));
    open_as(object, name);
}

/* ---- the caller's own ---- */

/* The name, and the places on the stack of the columns. */
typedef struct {
    const char *name;
    int columns[3];
} table_places;

static const oxl_field table_names[] = {
    OXL_FIELD(table_places, name, OXL_STRING),
    OXL_AS("wavelength_nm", table_places, columns[0], OXL_VALUE),
    OXL_AS("n", table_places, columns[1], OXL_VALUE),
    OXL_AS("k", table_places, columns[2], OXL_VALUE),
    OXL_END,
};

/* The message names the row at fault. */
static int fail_at_row(lua_State *L, oxt_status status, const oxt_error *error)
{
    oxl_fail(L, status, error);
    if (error->row > 0) {
        lua_pushfstring(L, "row %I: %s", (LUAI_UACINT)error->row, error->text);
        lua_replace(L, -4);
    }
    return 4;
}

static int own_material(lua_State *L)
{
    table_places places = { NULL, { 0, 0, 0 } };
    const double *columns[3];
    size_t counts[3];
    oxt_error error = OXT_ERROR_INIT;
    uint32_t given = 0;
    oxl_read_table(L, 1, 1, NULL, table_names, 0, &places, &given, &error);
    for (int i = 0; table_names[i].name; i++)
        if (!(given & (UINT32_C(1) << i)))
            luaL_argerror(L, 1, lua_pushfstring(L, "%s is missing", table_names[i].name));
    for (int i = 0; i < 3; i++)
        columns[i] = oxl_check_numbers(L, 1, places.columns[i], table_names[i + 1].name,
                                       &counts[i]);
    if (counts[0] != counts[1] || counts[0] != counts[2])
        luaL_argerror(L, 1, "wavelength_nm, n and k: lists of one length expected");
    oxl_material *object = oxl_new(L, &oxl_material_class);
    oxt_status status = oxt_material_new(&object->material, places.name, counts[0], columns[0],
                                         columns[1], columns[2], &error);
    if (status)
        return fail_at_row(L, status, &error);
    open_as(object, places.name);
    return 1;
}

static int new_material(lua_State *L)
{
    lua_settop(L, 1);
    if (lua_istable(L, 1))
        return own_material(L);
    if (lua_type(L, 1) != LUA_TSTRING)
        luaL_typeerror(L, 1, "name or table");
    oxl_push_published(L, 1, "material");
    return 1;
}

const luaL_Reg oxl_material_functions[] = { { "material", new_material }, { NULL, NULL } };
