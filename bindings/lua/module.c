/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The module itself. */
#include "oxl.h"

#ifdef _WIN32
__declspec(dllexport)
#else
OXT_API
#endif
    int luaopen_oxtint(lua_State *L);

int luaopen_oxtint(lua_State *L)
{
    luaL_checkversion(L);
    lua_newtable(L);
    oxl_open_units(L);
    oxl_open_material(L);
    oxl_open_light(L);
    oxl_open_film(L);
    oxl_open_tint(L);
    oxl_open_words(L);
    oxl_open_trials(L);
    oxl_open_prior(L);
    oxl_open_fit(L);
    oxl_open_pool(L);
    oxl_open_laws(L);
    oxl_open_cross_validation(L);
    oxl_open_record(L);
    oxl_open_interval(L);
    oxl_open_steel(L);
    oxl_open_heat(L);
    oxl_open_bath(L);
    oxl_open_dip(L);
    oxl_open_plan(L);
    oxl_open_advise(L);
    oxl_open_drift(L);
    oxl_open_history(L);
    oxl_open_temper(L);
    oxl_open_track(L);
    lua_pushcfunction(L, oxl_cautions_report);
    lua_setfield(L, -2, "cautions_report");
    lua_pushstring(L, oxt_version());
    lua_setfield(L, -2, "version");
    return 1;
}
