/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of a steel before its trials: a table of numbers. */
#include "oxl.h"

void oxl_read_prior(lua_State *L, int arg, int index, oxt_prior *prior)
{
    static const oxl_named names[] = {
        { "temperature_K", OXL_NAMED_NUMBER, offsetof(oxt_prior, temperature_K), 0 },
        { "ln_k", OXL_NAMED_NUMBER, offsetof(oxt_prior, ln_k), 0 },
        { "ln_k_stderr", OXL_NAMED_NUMBER, offsetof(oxt_prior, ln_k_stderr), 0 },
        { "Q_J_per_mol", OXL_NAMED_NUMBER, offsetof(oxt_prior, Q_J_per_mol), 0 },
        { "Q_stderr_J_per_mol", OXL_NAMED_NUMBER, offsetof(oxt_prior, Q_stderr_J_per_mol), 0 },
        { NULL, OXL_NAMED_NUMBER, 0, 0 },
    };
    if (lua_type(L, index) != LUA_TTABLE)
        luaL_argerror(L, arg,
                      lua_pushfstring(L, "prior: table expected, got %s", luaL_typename(L, index)));
    oxl_read_numbers(L, arg, index, "prior", names, 0, prior);
}

static int mild_steel_prior(lua_State *L)
{
    static const oxl_field fields[] = {
        OXL_FIELD(oxt_prior, temperature_K, OXL_NUMBER),
        OXL_FIELD(oxt_prior, ln_k, OXL_NUMBER),
        OXL_FIELD(oxt_prior, ln_k_stderr, OXL_NUMBER),
        OXL_FIELD(oxt_prior, Q_J_per_mol, OXL_NUMBER),
        OXL_FIELD(oxt_prior, Q_stderr_J_per_mol, OXL_NUMBER),
        { NULL, OXL_NUMBER, 0, NULL, NULL },
    };
    oxt_error error = OXT_ERROR_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    lua_settop(L, 1);
    oxt_status status = oxt_prior_mild_steel(&prior, oxl_film_argument(L, 1)->film, &error);
    if (status)
        return oxl_fail(L, status, &error);
    oxl_push_struct(L, fields, &prior);
    return 1;
}

void oxl_open_prior(lua_State *L)
{
    static const luaL_Reg functions[] = { { "mild_steel_prior", mild_steel_prior },
                                          { NULL, NULL } };
    luaL_setfuncs(L, functions, 0);
}
