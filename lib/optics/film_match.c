/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colour -> thickness: all films whose colour is near a given one, on the prepared path. */
#include <string.h>

#include "base/solve.h"
#include "optics/colour.h"
#include "optics/film.h"
#include "optics/film_match.h"
#include "optics/tint.h"

/* A minimiser cannot tell places apart that are closer than the root of the machine's precision. */
static const double PLACE_TOLERANCE_NM = 1e-5;

/* ---- the search ---- */

typedef struct {
    const oxt_film *film;
    const oxt_i_wanted *wanted;
    double limit;
} comparison;

static double difference(const oxt_i_wanted *wanted, const double lab[3])
{
    return oxt_i_delta_e2000_by(wanted->lab, lab, wanted->lightness_factor, wanted->chroma_factor);
}

static double distance_at(double thickness_nm, void *context)
{
    const comparison *compared = context;
    double lab[3];
    oxt_i_path_lab(compared->film, thickness_nm, lab);
    return difference(compared->wanted, lab) - compared->limit;
}

/* Walk from the nearest point until the distance passes the limit; the path's ends stop the walk. */
static oxt_status stretch_end(comparison *compared, double aim_nm, int direction, double *end_nm,
                              oxt_error *error)
{
    const double last = OXT_I_PATH_STEP_NM * (OXT_I_PATH_COUNT - 1);
    double inside = aim_nm;
    for (;;) {
        double next = inside + direction * OXT_I_PATH_STEP_NM;
        if (next <= 0.0 || next >= last) {
            *end_nm = next <= 0.0 ? 0.0 : last;
            return OXT_OK;
        }
        if (distance_at(next, compared) > 0.0)
            return oxt_i_find_root(distance_at, compared, fmin(inside, next), fmax(inside, next),
                                   1e-6, end_nm, error);
        inside = next;
    }
}

oxt_status oxt_i_match_stretch(const oxt_film *film, const oxt_i_wanted *wanted, double aim_nm,
                               double limit, double *low_nm, double *high_nm, oxt_error *error)
{
    comparison compared = { film, wanted, limit };
    oxt_status status = stretch_end(&compared, aim_nm, -1, low_nm, error);
    return status ? status : stretch_end(&compared, aim_nm, 1, high_nm, error);
}

int oxt_i_order_of(const oxt_film *film, double thickness_nm)
{
    const double *edges = film->edges;
    if (thickness_nm > edges[OXT_TINT_COUNT])
        return 0;
    return thickness_nm < edges[OXT_I_FIRST_OF_SECOND] ? 1 : 2;
}

/* Keep the matches sorted, the nearest first; beyond the capacity the farthest is dropped. */
static size_t keep_match(oxt_i_match *matches, size_t count, size_t capacity,
                         const oxt_i_match *found)
{
    size_t at = count;
    while (at > 0 && matches[at - 1].distance > found->distance)
        at--;
    if (at == capacity)
        return count;
    size_t kept = count < capacity ? count + 1 : capacity;
    memmove(&matches[at + 1], &matches[at], (kept - at - 1) * sizeof *matches);
    matches[at] = *found;
    return kept;
}

static double distance_of_step(const oxt_film *film, const oxt_i_wanted *wanted, size_t step)
{
    return step < OXT_I_PATH_COUNT ? difference(wanted, film->path_lab[step]) : HUGE_VAL;
}

/* The nearest point around a step of the path, with its distance. */
static oxt_status nearest_around(const oxt_film *film, const oxt_i_wanted *wanted, size_t step,
                                 oxt_i_match *found, oxt_error *error)
{
    comparison compared = { film, wanted, 0.0 };
    double centre = OXT_I_PATH_STEP_NM * (double)step;
    double low = step == 0 ? 0.0 : centre - OXT_I_PATH_STEP_NM;
    double high = step == OXT_I_PATH_COUNT - 1 ? centre : centre + OXT_I_PATH_STEP_NM;
    oxt_status status = oxt_i_find_minimum(distance_at, &compared, low, high, PLACE_TOLERANCE_NM,
                                           &found->aim_nm, error);
    if (!status)
        found->distance = distance_at(found->aim_nm, &compared);
    return status;
}

oxt_status oxt_i_match_colour(const oxt_film *film, const oxt_i_wanted *wanted, double reach,
                              double tolerance, oxt_i_match *matches, size_t capacity,
                              size_t *count, oxt_error *error)
{
    double before = HUGE_VAL, here = distance_of_step(film, wanted, 0);
    *count = 0;
    for (size_t i = 0; i < OXT_I_PATH_COUNT; i++) {
        double after = distance_of_step(film, wanted, i + 1);
        if (here <= before && here < after) {
            oxt_i_match found = { 0 };
            oxt_status status = nearest_around(film, wanted, i, &found, error);
            if (!status && found.distance <= reach) {
                status = oxt_i_match_stretch(film, wanted, found.aim_nm, found.distance + tolerance,
                                             &found.low_nm, &found.high_nm, error);
                found.order = oxt_i_order_of(film, found.aim_nm);
                *count = keep_match(matches, *count, capacity, &found);
            }
            if (status)
                return status;
        }
        before = here;
        here = after;
    }
    return OXT_OK;
}

oxt_status oxt_i_check_lab(const double lab[3], oxt_error *error)
{
    const oxt_i_limit limits[] = {
        { "lab", lab[0], 0.0, 100.0, OXT_I_CLOSED },
        { "lab", lab[1], -200.0, 200.0, OXT_I_CLOSED },
        { "lab", lab[2], -200.0, 200.0, OXT_I_CLOSED },
    };
    return oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

/* ---- the public call ---- */

static oxt_status check_options(const oxt_match_options *options, oxt_error *error)
{
    const oxt_i_limit limits[] = {
        { "tolerance", options->tolerance, 0.0, 100.0, OXT_I_OPEN_LOW },
        { "reach", options->reach, 0.0, 1000.0, OXT_I_OPEN_LOW },
        { "lightness_factor", options->lightness_factor, 1.0, 1e12, OXT_I_CLOSED },
        { "chroma_factor", options->chroma_factor, 1.0, 1e12, OXT_I_CLOSED },
    };
    return oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
}

/* Matches that are as good as the nearest within the tolerance, and no two of one stretch. */
static size_t keep_apart(oxt_i_match *matches, size_t count, double tolerance)
{
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        bool apart = matches[i].distance <= matches[0].distance + tolerance;
        for (size_t j = 0; j < kept && apart; j++)
            apart = matches[i].aim_nm < matches[j].low_nm || matches[i].aim_nm > matches[j].high_nm;
        if (apart)
            matches[kept++] = matches[i];
    }
    return kept;
}

oxt_status oxt_film_match(const oxt_film *film, const double lab[3],
                          const oxt_match_options *options, size_t capacity, oxt_match *matches,
                          size_t *count, oxt_match_verdict *verdict, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film || !lab || !count || !verdict || (capacity && !matches))
        return oxt_i_null(error, !film      ? "film"
                                 : !lab     ? "lab"
                                 : !count   ? "count"
                                 : !verdict ? "verdict"
                                            : "matches");
    oxt_match_options chosen = OXT_MATCH_OPTIONS_INIT;
    oxt_status status = oxt_i_check_lab(lab, error);
    if (!status && options)
        status = OXT_I_STRUCT_IN(oxt_match_options, &chosen, options, "options", error);
    if (!status)
        status = check_options(&chosen, error);
    if (status)
        return status;
    oxt_i_match found[16];
    oxt_i_wanted wanted = { lab, chosen.lightness_factor, chosen.chroma_factor };
    size_t all;
    status = oxt_i_match_colour(film, &wanted, chosen.reach, chosen.tolerance, found,
                                OXT_I_COUNT(found), &all, error);
    if (status)
        return status;
    all = keep_apart(found, all, chosen.tolerance);
    size_t given = all < capacity ? all : capacity;
    oxt_match made[OXT_I_COUNT(found)];
    for (size_t i = 0; i < given; i++)
        made[i] = (oxt_match){ sizeof *made,
                               found[i].aim_nm,
                               found[i].low_nm,
                               found[i].high_nm,
                               0.5 * (found[i].high_nm - found[i].low_nm),
                               found[i].distance,
                               found[i].order };
    status = OXT_I_STRUCTS_OUT(oxt_match, matches, made, given, "matches", error);
    if (status)
        return status;
    *count = all;
    *verdict = all == 0 ? OXT_MATCH_OFF_PATH : all == 1 ? OXT_MATCH_UNIQUE : OXT_MATCH_AMBIGUOUS;
    return OXT_OK;
}
