/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The module itself. */
#include "oxl.h"

static const oxl_class *const classes[] = {
    &oxl_advice_class,
    &oxl_bath_class,
    &oxl_baths_class,
    &oxl_bootstrap_class,
    &oxl_cross_validation_class,
    &oxl_dip_class,
    &oxl_drift_class,
    &oxl_faults_class,
    &oxl_film_class,
    &oxl_fit_class,
    &oxl_fits_class,
    &oxl_history_class,
    &oxl_laws_class,
    &oxl_material_class,
    &oxl_part_class,
    &oxl_pool_class,
    &oxl_record_class,
    &oxl_set_class,
    &oxl_steel_class,
    &oxl_target_class,
    &oxl_temper_class,
    &oxl_tracker_class,
    &oxl_trials_class,
    &oxl_words_class,
};

static const luaL_Reg *const functions[] = {
    oxl_bath_functions,   oxl_dip_functions,     oxl_film_functions,  oxl_fit_functions,
    oxl_heat_functions,   oxl_history_functions, oxl_light_functions, oxl_material_functions,
    oxl_plan_functions,   oxl_pool_functions,    oxl_prior_functions, oxl_steel_functions,
    oxl_temper_functions, oxl_tint_functions,    oxl_track_functions, oxl_trials_functions,
    oxl_units_functions,  oxl_words_functions,
};

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
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        oxl_register(L, classes[i]);
    for (size_t i = 0; i < sizeof functions / sizeof *functions; i++)
        luaL_setfuncs(L, functions[i], 0);
    lua_pushnumber(L, OXT_OIL_INDEX);
    lua_setfield(L, -2, "OIL_INDEX");
    lua_pushcfunction(L, oxl_cautions_report);
    lua_setfield(L, -2, "cautions_report");
    lua_pushstring(L, oxt_version());
    lua_setfield(L, -2, "version");
    return 1;
}
