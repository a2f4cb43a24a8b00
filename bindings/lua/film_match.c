/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Films that have a measured colour. */
#include "oxl.h"

/* More than the library ever finds on the path of a film. */
enum { MATCH_ROOM = 16 };

static const oxl_field match_fields[] = {
    OXL_FIELD(oxt_match, thickness_nm, OXL_NUMBER),
    OXL_FIELD(oxt_match, low_nm, OXL_NUMBER),
    OXL_FIELD(oxt_match, high_nm, OXL_NUMBER),
    OXL_FIELD(oxt_match, uncertainty_nm, OXL_NUMBER),
    OXL_FIELD(oxt_match, difference, OXL_NUMBER),
    OXL_FIELD(oxt_match, order, OXL_INT),
    OXL_END,
};

static const oxl_field match_names[] = {
    OXL_FIELD(oxt_match_options, tolerance, OXL_NUMBER),
    OXL_FIELD(oxt_match_options, reach, OXL_NUMBER),
    OXL_FIELD(oxt_match_options, lightness_factor, OXL_NUMBER),
    OXL_FIELD(oxt_match_options, chroma_factor, OXL_NUMBER),
    OXL_END,
};

static void push_matches(lua_State *L, const oxt_match *matches, size_t count,
                         oxt_match_verdict verdict)
{
    static const char *const verdicts[] = { "unique", "ambiguous", "off path" };
    lua_newtable(L);
    lua_pushstring(L, verdicts[verdict]);
    lua_setfield(L, -2, "verdict");
    for (size_t i = 0; i < count && i < MATCH_ROOM; i++) {
        oxl_push_struct(L, match_fields, &matches[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

int oxl_film_match(lua_State *L)
{
    const oxl_film *film = oxl_check(L, 1, &oxl_film_class);
    oxt_error error = OXT_ERROR_INIT;
    oxt_match_options options = OXT_MATCH_OPTIONS_INIT;
    oxt_match matches[MATCH_ROOM];
    oxt_match_verdict verdict;
    double lab[3];
    size_t count;
    lua_settop(L, 3);
    oxl_check_three(L, 2, lab);
    oxl_read_named(L, 3, match_names, &options, &error);
    for (size_t i = 0; i < MATCH_ROOM; i++)
        matches[i] = (oxt_match)OXT_MATCH_INIT;
    oxt_status status = oxt_film_match(film->film, lab, &options, MATCH_ROOM, matches, &count,
                                       &verdict, &error);
    if (status)
        return oxl_fail(L, status, &error);
    push_matches(L, matches, count, verdict);
    return 1;
}
