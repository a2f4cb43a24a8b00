/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of a steel before its trials: a table of numbers. */
#include "oxl.h"

static const oxl_field prior_fields[] = {
    OXL_FIELD(oxt_prior, temperature_K, OXL_NUMBER),
    OXL_FIELD(oxt_prior, ln_k, OXL_NUMBER),
    OXL_FIELD(oxt_prior, ln_k_stderr, OXL_NUMBER),
    OXL_FIELD(oxt_prior, Q_J_per_mol, OXL_NUMBER),
    OXL_FIELD(oxt_prior, Q_stderr_J_per_mol, OXL_NUMBER),
    OXL_END,
};

oxt_status oxl_read_prior(lua_State *L, int arg, const char *name, void *into, oxt_error *error)
{
    int index = lua_gettop(L);
    oxt_prior *prior = lua_newuserdatauv(L, sizeof *prior, 0);
    *prior = (oxt_prior)OXT_PRIOR_INIT;
    *(const oxt_prior **)into = prior;
    return oxl_read_table(L, arg, index, name, prior_fields, 0, prior, NULL, error);
}

static int mild_steel_prior(lua_State *L)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    lua_settop(L, 1);
    oxt_status status = oxt_prior_mild_steel(&prior, oxl_film_argument(L, 1)->film, &error);
    return oxl_give_struct(L, status, prior_fields, &prior, &error);
}

const luaL_Reg oxl_prior_functions[] = { { "mild_steel_prior", mild_steel_prior }, { NULL, NULL } };
