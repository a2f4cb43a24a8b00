/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Trade names, and targets. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "oxl.h"

/* ---- the object ---- */

static const oxl_field target_fields[] = {
    OXL_FIELD(oxt_target, aim_nm, OXL_NUMBER),    OXL_FIELD(oxt_target, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_target, high_nm, OXL_NUMBER),   OXL_FIELD(oxt_target, other_nm, OXL_NUMBER),
    OXL_FIELD(oxt_target, order, OXL_INT),        OXL_FIELD(oxt_target, text, OXL_TEXT),
    OXL_FIELD(oxt_target, description, OXL_TEXT), OXL_END,
};

static int target_tostring(lua_State *L)
{
    const oxl_target *object = lua_touserdata(L, 1);
    lua_pushstring(L, object->target.text);
    return 1;
}

const oxl_class oxl_target_class = {
    .name = "oxtint.target",
    .noun = "target",
    .size = sizeof(oxl_target),
    .by_value = true,
    .fields = target_fields,
    .structure = offsetof(oxl_target, target),
    .text = target_tostring,
};

bool oxl_is_same_target(const oxt_target *a, const oxt_target *b)
{
    return oxl_is_same_struct(target_fields, a, b);
}

void oxl_push_target(lua_State *L, const oxt_target *target)
{
    oxl_target *object = oxl_new(L, &oxl_target_class);
    object->target = *target;
    object->object.open = true;
}

/* ---- whatever may stand for a target ---- */

/* A bare number is read as its text, for the same bounds. The point is set by hand, because
 * the host may have chosen another decimal mark. */
static oxt_status from_number(double thickness_nm, const oxl_film *film, oxt_target *target,
                              oxt_error *error)
{
    char digits[40], text[48];
    size_t length = 0;
    if (!isfinite(thickness_nm))
        return oxt_tint_target_of_thickness(thickness_nm, thickness_nm, thickness_nm, target,
                                            error);
    snprintf(digits, sizeof digits, "%.17g", thickness_nm);
    for (const char *digit = digits; *digit; digit++)
        if (strchr("0123456789+-e", *digit))
            text[length++] = *digit;
        else if (length > 0 && text[length - 1] != '.')
            text[length++] = '.';
    strcpy(text + length, " nm");
    return oxt_tint_target(film->film, text, target, error);
}

typedef struct {
    double lab[3];
    double tolerance;
    int order;
} lab_target;

static oxt_status from_lab(lua_State *L, int arg, const oxl_film *film, oxt_target *target,
                           oxt_error *error)
{
    static const oxl_field names[] = {
        OXL_FIELD(lab_target, tolerance, OXL_NUMBER),
        OXL_FIELD(lab_target, order, OXL_INT),
        OXL_END,
    };
    lab_target wanted = { { 0.0, 0.0, 0.0 }, 10.0, 0 }; /* the tolerance of a colour as typed */
    oxl_read_table(L, arg, arg, NULL, names, 3, &wanted, NULL, error);
    if (!oxl_read_three(L, arg, wanted.lab))
        luaL_argerror(L, arg, "list of L*, a*, b* expected");
    return oxt_tint_target_of_lab(film->film, wanted.lab, wanted.tolerance, wanted.order, target,
                                  error);
}

oxt_status oxl_check_target(lua_State *L, int arg, const oxl_film *film, oxt_target *target,
                            oxt_error *error)
{
    switch (lua_type(L, arg)) {
    case LUA_TSTRING:
        return oxt_tint_target(film->film, oxl_check_text(L, arg), target, error);
    case LUA_TNUMBER:
        return from_number(lua_tonumber(L, arg), film, target, error);
    case LUA_TTABLE:
        return from_lab(L, arg, film, target, error);
    default:
        break;
    }
    if (!oxl_test(L, arg, &oxl_target_class))
        luaL_typeerror(L, arg, "trade name, thickness, L* a* b* or oxtint.target");
    const oxl_target *object = oxl_check(L, arg, &oxl_target_class);
    *target = object->target;
    return OXT_OK;
}

static int give_target(lua_State *L, int arg, const oxl_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_status status = oxl_check_target(L, arg, film, &target, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_target(L, &target);
    return 1;
}

static int new_target(lua_State *L)
{
    luaL_checkany(L, 1);
    return give_target(L, 1, oxl_film_argument(L, 2));
}

/* ---- bands ---- */

static const oxl_field tint_fields[] = {
    OXL_FIELD(oxt_tint, index, OXL_INT_PLACE),
    OXL_FIELD(oxt_tint, order, OXL_INT),
    OXL_FIELD(oxt_tint, other_index, OXL_INT_PLACE),
    OXL_FIELD(oxt_tint, name, OXL_TEXT),
    OXL_FIELD(oxt_tint, label, OXL_TEXT),
    OXL_FIELD(oxt_tint, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_tint, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_tint, centre_nm, OXL_NUMBER),
    OXL_END,
};

static int name_of(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double thickness_nm = oxl_check_number(L, 1);
    const oxl_film *film = oxl_film_argument(L, 2);
    oxt_status status = oxt_tint_at(film->film, thickness_nm, &tint, &error);
    if (status)
        return oxl_fail(L, status, &error);
    lua_pushstring(L, tint.label);
    return 1;
}

static int give_tint(lua_State *L, oxt_status status, const oxt_tint *tint, const oxt_error *error)
{
    if (status)
        return oxl_fail(L, status, error);
    oxl_push_struct(L, tint_fields, tint);
    return 1;
}

static int give_tints(lua_State *L, const oxl_film *film)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    lua_createtable(L, OXT_TINT_COUNT, 0);
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        oxl_expect(L, oxt_tint_band(film->film, i, &tint, &error), &error);
        oxl_push_struct(L, tint_fields, &tint);
        lua_rawseti(L, -2, i + 1);
    }
    return 1;
}

static int tints(lua_State *L)
{
    return give_tints(L, oxl_film_argument(L, 1));
}

/* ---- methods of a film ---- */

int oxl_film_tint(lua_State *L)
{
    const oxl_film *film = oxl_check(L, 1, &oxl_film_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    double thickness_nm = oxl_check_number(L, 2);
    return give_tint(L, oxt_tint_at(film->film, thickness_nm, &tint, &error), &tint, &error);
}

int oxl_film_find_tint(lua_State *L)
{
    const oxl_film *film = oxl_check(L, 1, &oxl_film_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    const char *name = oxl_check_text(L, 2);
    return give_tint(L, oxt_tint_find(film->film, name, &tint, &error), &tint, &error);
}

int oxl_film_tints(lua_State *L)
{
    return give_tints(L, oxl_check(L, 1, &oxl_film_class));
}

int oxl_film_target(lua_State *L)
{
    const oxl_film *film = oxl_check(L, 1, &oxl_film_class);
    lua_settop(L, 2);
    return give_target(L, 2, film);
}

const luaL_Reg oxl_tint_functions[] = {
    { "target", new_target },
    { "name_of", name_of },
    { "tints", tints },
    { NULL, NULL },
};
