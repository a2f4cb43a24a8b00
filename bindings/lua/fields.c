/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Structs of the library as fields of Lua. */
#include <math.h>
#include <string.h>

#include "oxl.h"

const char *const oxl_laws_of_growth[] = { "parabolic", "power", "linear-parabolic", "logarithmic",
                                           NULL };

const oxl_field oxl_growth_fields[] = {
    { "law", OXL_CHOICE, offsetof(oxt_growth, law), .choices = oxl_laws_of_growth },
    OXL_FIELD(oxt_growth, k_ref_nm2_per_s, OXL_NUMBER),
    OXL_FIELD(oxt_growth, T_ref_K, OXL_NUMBER),
    OXL_FIELD(oxt_growth, Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_growth, shape, OXL_NUMBER),
    OXL_FIELD(oxt_growth, middle_nm, OXL_NUMBER),
    OXL_FIELD(oxt_growth, initial_nm, OXL_NUMBER),
    OXL_END,
};

static size_t count_numbers(const oxl_field *field)
{
    return field->size / sizeof(double);
}

static void push_count(lua_State *L, const size_t *count, lua_Integer first)
{
    lua_pushinteger(L, first + (lua_Integer)*count);
}

static void push_place(lua_State *L, int place)
{
    if (place < 0)
        lua_pushnil(L);
    else
        lua_pushinteger(L, place + 1);
}

static void push_maybe(lua_State *L, int truth)
{
    if (truth < 0)
        lua_pushnil(L);
    else
        lua_pushboolean(L, truth);
}

static void push_choice(lua_State *L, const oxl_field *field, int choice)
{
    if (choice < field->first)
        lua_pushnil(L);
    else
        lua_pushstring(L, field->choices[choice - field->first]);
}

void oxl_push_field(lua_State *L, const oxl_field *field, const void *structure)
{
    const void *at = (const char *)structure + field->offset;
    switch (field->kind) {
    case OXL_INT:
        lua_pushinteger(L, *(const int *)at);
        break;
    case OXL_COUNT:
        push_count(L, at, 0);
        break;
    case OXL_PLACE:
        push_count(L, at, 1);
        break;
    case OXL_INT_PLACE:
        push_place(L, *(const int *)at);
        break;
    case OXL_FLAG:
    case OXL_MAYBE:
        push_maybe(L, *(const int *)at);
        break;
    case OXL_TEXT:
        lua_pushstring(L, at);
        break;
    case OXL_NUMBERS:
        oxl_push_numbers(L, at, count_numbers(field));
        break;
    case OXL_CHOICE:
        push_choice(L, field, *(const int *)at);
        break;
    case OXL_CAUTIONS:
        oxl_push_cautions(L, *(const uint32_t *)at);
        break;
    case OXL_STRUCT:
        oxl_push_struct(L, field->inner, at);
        break;
    default:
        lua_pushnumber(L, *(const double *)at);
    }
}

static bool is_same_number(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static bool are_same_numbers(const double *a, const double *b, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!is_same_number(a[i], b[i]))
            return false;
    return true;
}

static bool is_same_field(const oxl_field *field, const void *a, const void *b)
{
    switch (field->kind) {
    case OXL_COUNT:
    case OXL_PLACE:
        return *(const size_t *)a == *(const size_t *)b;
    case OXL_INT:
    case OXL_INT_PLACE:
    case OXL_FLAG:
    case OXL_MAYBE:
    case OXL_CHOICE:
        return *(const int *)a == *(const int *)b;
    case OXL_CAUTIONS:
        return *(const uint32_t *)a == *(const uint32_t *)b;
    case OXL_TEXT:
        return strcmp(a, b) == 0;
    case OXL_STRUCT:
    case OXL_FIELDS:
        return oxl_is_same_struct(field->inner, a, b);
    default:
        return are_same_numbers(a, b, count_numbers(field));
    }
}

bool oxl_is_same_struct(const oxl_field *fields, const void *a, const void *b)
{
    for (const oxl_field *field = fields; field->name; field++)
        if (!is_same_field(field, (const char *)a + field->offset, (const char *)b + field->offset))
            return false;
    return true;
}

bool oxl_push_named(lua_State *L, const oxl_field *fields, const char *name, const void *structure)
{
    for (const oxl_field *field = fields; field && field->name; field++) {
        if (field->kind == OXL_FIELDS) {
            if (oxl_push_named(L, field->inner, name, (const char *)structure + field->offset))
                return true;
        } else if (strcmp(field->name, name) == 0) {
            oxl_push_field(L, field, structure);
            return true;
        }
    }
    return false;
}

void oxl_set_fields(lua_State *L, const oxl_field *fields, const void *structure)
{
    for (const oxl_field *field = fields; field && field->name; field++) {
        if (field->kind == OXL_FIELDS) {
            oxl_set_fields(L, field->inner, (const char *)structure + field->offset);
        } else {
            oxl_push_field(L, field, structure);
            lua_setfield(L, -2, field->name);
        }
    }
}

void oxl_push_struct(lua_State *L, const oxl_field *fields, const void *structure)
{
    lua_newtable(L);
    oxl_set_fields(L, fields, structure);
}
