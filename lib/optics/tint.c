/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Colour -> trade name, and a wanted colour -> interval of thickness. */
#include <string.h>

#include "base/solve.h"
#include "optics/colour.h"
#include "optics/film.h"
#include "optics/film_match.h"
#include "optics/tint.h"
#include "optics/words.h"

/* What ends a band, walking up in thickness: a difference from the bare steel, a share of the largest
 * such difference, a turn of the hue away from where it stood in the straws, or the hue angle falling
 * past a value (from yellow, 90, through red, 0 = 360, to blue, 270, and on to green). */
typedef enum { BY_DIFFERENCE, BY_SHARE, BY_TURN, BY_HUE } edge_kind;

static const struct {
    edge_kind ends;
    double at;
} bands[OXT_TINT_COUNT] = {
    { BY_DIFFERENCE, 3.0 }, /* bright */
    { BY_SHARE, 0.146 },    /* faint straw */
    { BY_SHARE, 0.35 },     /* straw */
    { BY_TURN, 6.2 },       /* dark straw */
    { BY_HUE, 30.0 },       /* brown */
    { BY_HUE, 310.0 },      /* purple */
    { BY_HUE, 287.0 },      /* dark blue */
    { BY_HUE, 267.0 },      /* blue */
    { BY_HUE, 245.0 },      /* light blue */
    { BY_HUE, 125.0 },      /* silver */
    { BY_HUE, 70.0 },       /* second-order yellow */
    { BY_HUE, 345.0 },      /* second-order red */
    { BY_HUE, 305.0 },      /* second-order purple */
    { BY_HUE, 235.0 },      /* second-order blue */
    { BY_HUE, 100.0 },      /* second-order green */
};

/* ---- where the bands end ---- */

/* Lab at a thickness, in daylight: names are what the adapted eye calls a colour. */
static void named_lab(const oxt_film *film, double thickness_nm, double lab[3])
{
    oxt_i_path_daylight_lab(film, thickness_nm, lab);
}

static double hue_of(const double lab[3])
{
    return atan2(lab[2], lab[1]) * (180.0 / OXT_I_PI);
}

typedef struct {
    const oxt_film *film;
    const double (*path)[3]; /* named_lab at every step */
    bool by_hue;
    double at;
} edge;

/* Below 0 before the edge, above 0 behind it. Hues are compared by the short way round. */
static double past_edge(const edge *wanted, const double lab[3])
{
    if (wanted->by_hue)
        return remainder(wanted->at - hue_of(lab), 360.0);
    return oxt_i_delta_e2000(wanted->path[0], lab) - wanted->at;
}

static double past_edge_at(double thickness_nm, void *context)
{
    const edge *wanted = context;
    double lab[3];
    named_lab(wanted->film, thickness_nm, lab);
    return past_edge(wanted, lab);
}

static double largest_difference(const double (*path)[3])
{
    double most = 0.0;
    for (size_t i = 0; i < OXT_I_PATH_COUNT; i++)
        most = fmax(most, oxt_i_delta_e2000(path[0], path[i]));
    return most;
}

/* The yellowest hue between two thicknesses: where it stood before it turned to brown. */
static double straw_hue(const double (*path)[3], double low_nm, double high_nm)
{
    double most = 0.0;
    size_t last = (size_t)(high_nm / OXT_I_PATH_STEP_NM);
    for (size_t i = (size_t)(low_nm / OXT_I_PATH_STEP_NM) + 1; i <= last; i++)
        most = fmax(most, hue_of(path[i]));
    return most;
}

static edge edge_of(const oxt_film *film, const double (*path)[3], int band, const double *edges)
{
    edge wanted = { film, path, true, bands[band].at };
    switch (bands[band].ends) {
    case BY_DIFFERENCE:
        wanted.by_hue = false;
        break;
    case BY_SHARE:
        wanted.by_hue = false;
        wanted.at *= largest_difference(path);
        break;
    case BY_TURN:
        wanted.at = straw_hue(path, edges[band - 2], edges[band]) - wanted.at;
        break;
    case BY_HUE:
        break;
    }
    return wanted;
}

/* The thickness at which an edge is passed, from `low_nm` on. A film that is past it already gives
 * `low_nm`, so that the band is empty; one that never passes it, because it is too faded, gives the
 * place where it comes nearest. A hue opposite to the edge flips the sign too, but by a jump of nearly
 * 360 degrees: that is no passing. */
static oxt_status passing(edge *wanted, double low_nm, double *found_nm, oxt_error *error)
{
    size_t first = (size_t)(low_nm / OXT_I_PATH_STEP_NM) + 1;
    double before = past_edge_at(low_nm, wanted), before_nm = low_nm;
    double nearest = -HUGE_VAL;
    *found_nm = low_nm;
    if (before >= 0.0)
        return OXT_OK;
    for (size_t i = first; i < OXT_I_PATH_COUNT; i++) {
        double here_nm = OXT_I_PATH_STEP_NM * (double)i, here = past_edge(wanted, wanted->path[i]);
        if (before < 0.0 && here >= 0.0 && here - before < 90.0)
            return oxt_i_find_root(past_edge_at, wanted, before_nm, here_nm, 1e-9, found_nm, error);
        if (here > nearest && here < 0.0) {
            nearest = here;
            *found_nm = here_nm;
        }
        before = here;
        before_nm = here_nm;
    }
    return OXT_OK;
}

oxt_status oxt_i_tint_edges(const oxt_film *film, double edges[OXT_TINT_COUNT + 1],
                            oxt_error *error)
{
    double path[OXT_I_PATH_COUNT][3];
    for (size_t i = 0; i < OXT_I_PATH_COUNT; i++)
        named_lab(film, OXT_I_PATH_STEP_NM * (double)i, path[i]);
    edges[0] = 0.0;
    for (int i = 0; i < OXT_TINT_COUNT; i++) {
        edge wanted = edge_of(film, (const double(*)[3])path, i, edges);
        oxt_status status = passing(&wanted, edges[i], &edges[i + 1], error);
        if (status)
            return status;
    }
    return OXT_OK;
}

/* ---- names ---- */

bool oxt_i_tint_read(const char *text, const oxt_words *words, oxt_i_tint_word *found)
{
    const oxt_word *own = oxt_i_words_find(words, text);
    if (!own)
        return oxt_i_tint_read_name(text, found);
    int other = own->index < 0 ? -1 : oxt_i_tint_other(own->index);
    *found = (oxt_i_tint_word){ own->index, other, true, own->low_nm, own->high_nm };
    return true;
}

/* The name or word of the shop that is nearest to a text, and all there are: the shop's own ones first, as many as
 * there is room for. */
static oxt_i_nearest look_for(const char *text, const oxt_words *words, const char *trade,
                              char *names, size_t capacity)
{
    oxt_i_nearest nearest = oxt_i_tint_nearest(text);
    oxt_word word = OXT_WORD_INIT;
    size_t most = capacity - strlen(trade) - 1, length = 0;
    for (size_t i = 0; oxt_words_get(words, i, &word, NULL) == OXT_OK; i++) {
        oxt_i_tint_try(&nearest, word.word);
        if (length + strlen(word.word) + 2 < most)
            length += (size_t)oxt_i_snprintf(names + length, capacity - length, "%s, ", word.word);
        else
            most = 0;
    }
    oxt_i_copy_text(names + length, capacity - length, trade);
    return nearest;
}

oxt_i_sentence oxt_i_tint_expected(const char *text, const oxt_words *words, bool *listed)
{
    char names[240];
    oxt_i_nearest nearest = look_for(text, words, OXT_I_TINT_NAMES, names, sizeof names);
    return oxt_i_tint_expected_of(&nearest, names, listed);
}

oxt_status oxt_i_no_tint(const char *text, const oxt_words *words, const char *trade,
                         oxt_error *error)
{
    char names[240];
    oxt_i_nearest nearest = look_for(text, words, trade, names, sizeof names);
    bool found = nearest.word[0] != '\0';
    return oxt_i_fail_text(error, OXT_EPARSE, "colour", "'%s' is no trade name of a colour%s%s%s",
                           oxt_i_quoted(text).text, found ? "; did you mean '" : ", expected ",
                           found ? nearest.word : names, found ? "'?" : "");
}

/* ---- bands ---- */

static oxt_status give_band(const oxt_film *film, int index, int other, oxt_tint *tint,
                            oxt_error *error)
{
    const double *edges = film->edges;
    oxt_tint made = OXT_TINT_INIT;
    made.index = index;
    made.order = oxt_i_tint_order(index);
    made.other_index = other;
    oxt_i_copy_text(made.name, sizeof made.name, oxt_i_tint_name(index));
    oxt_i_copy_text(made.label, sizeof made.label, oxt_i_band_label(film->words, index));
    made.low_nm = edges[index];
    made.high_nm = edges[index + 1];
    made.centre_nm = sqrt(made.low_nm * made.high_nm);
    return OXT_I_STRUCT_OUT(oxt_tint, tint, &made, "tint", error);
}

int oxt_i_band_at(const double *edges, double thickness_nm)
{
    int index = 0;
    while (index + 1 < OXT_TINT_COUNT && thickness_nm >= edges[index + 1])
        index++;
    return index;
}

const char *oxt_i_band_label(const oxt_words *words, int band)
{
    const oxt_word *own = oxt_i_words_of_band(words, band);
    return own ? own->word : oxt_i_tint_label(band);
}

/* A shop's range: its band and order are those of its middle. */
static oxt_status give_range(const oxt_film *film, const oxt_word *own, oxt_tint *tint,
                             oxt_error *error)
{
    oxt_tint made = OXT_TINT_INIT;
    made.centre_nm = sqrt(own->low_nm * own->high_nm);
    made.index = oxt_i_band_at(film->edges, made.centre_nm);
    made.order = oxt_i_tint_order(made.index);
    made.other_index = oxt_i_tint_other(made.index);
    made.low_nm = own->low_nm;
    made.high_nm = own->high_nm;
    oxt_i_copy_text(made.name, sizeof made.name, oxt_i_tint_name(made.index));
    oxt_i_copy_text(made.label, sizeof made.label, own->word);
    return OXT_I_STRUCT_OUT(oxt_tint, tint, &made, "tint", error);
}

oxt_status oxt_tint_band(const oxt_film *film, int index, oxt_tint *tint, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film || !tint)
        return oxt_i_null(error, film ? "tint" : "film");
    if (index < 0 || index >= OXT_TINT_COUNT)
        return oxt_i_fail(error, OXT_EARG, "index", index, 0, OXT_TINT_COUNT - 1,
                          "index is %d, expected 0 to %d", index, OXT_TINT_COUNT - 1);
    return give_band(film, index, oxt_i_tint_other(index), tint, error);
}

oxt_status oxt_tint_at(const oxt_film *film, double thickness_nm, oxt_tint *tint, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film || !tint)
        return oxt_i_null(error, film ? "tint" : "film");
    const double *edges = film->edges;
    double end = edges[OXT_TINT_COUNT];
    if (!(thickness_nm >= 0.0) || !(thickness_nm <= end))
        return oxt_i_fail(
            error, OXT_EDOMAIN, "thickness_nm", thickness_nm, 0.0, end,
            "thickness_nm is %g, expected 0 to %.1f: the end of the second order, past "
            "which the trade has no names",
            thickness_nm, end);
    const oxt_word *own = oxt_i_words_of_thickness(film->words, thickness_nm);
    return own ? give_range(film, own, tint, error)
               : oxt_tint_band(film, oxt_i_band_at(film->edges, thickness_nm), tint, error);
}

/* `trade`: the names of the trade that are expected. */
static oxt_status find_tint(const oxt_film *film, const char *text, const char *trade,
                            oxt_tint *tint, oxt_error *error)
{
    oxt_i_tint_word found;
    const oxt_words *words = film->words;
    if (!oxt_i_tint_read(text, words, &found))
        return oxt_i_no_tint(text, words, trade, error);
    if (found.band < 0)
        return give_range(film, oxt_i_words_find(words, text), tint, error);
    return give_band(film, found.band, found.other, tint, error);
}

oxt_status oxt_tint_find(const oxt_film *film, const char *text, oxt_tint *tint, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film || !text || !tint)
        return oxt_i_null(error, !film ? "film" : !text ? "text" : "tint");
    return find_tint(film, text, OXT_I_TINT_NAMES, tint, error);
}

/* ---- targets ---- */

static oxt_status give_target(const oxt_film *film, double aim_nm, double low_nm, double high_nm,
                              double other_nm, int order, const char *text, oxt_target *target,
                              oxt_error *error)
{
    oxt_target made = OXT_TARGET_INIT;
    made.aim_nm = aim_nm;
    made.low_nm = low_nm;
    made.high_nm = high_nm;
    made.other_nm = other_nm;
    made.order = order;
    oxt_i_copy_text(made.text, sizeof made.text, text);
    if (film)
        oxt_film_description(film, made.description, sizeof made.description, NULL, NULL);
    return OXT_I_STRUCT_OUT(oxt_target, target, &made, "target", error);
}

static oxt_status target_of_name(const oxt_film *film, const char *text, oxt_target *target,
                                 oxt_error *error)
{
    oxt_tint tint = OXT_TINT_INIT, other = OXT_TINT_INIT;
    oxt_status status = find_tint(film, text, OXT_I_TARGET_NAMES, &tint, error);
    if (status)
        return status;
    if (!(tint.low_nm > 0.0))
        return oxt_i_fail(error, OXT_EDOMAIN, "target", tint.centre_nm, tint.high_nm, NAN,
                          "'bright' is bare steel, not a target");
    if (!(tint.low_nm < tint.high_nm))
        return oxt_i_fail(error, OXT_EUNREACHABLE, "target", tint.low_nm, NAN, NAN,
                          "this film never shows '%s': it is too faded", tint.label);
    double other_nm = NAN;
    if (tint.other_index >= 0) {
        oxt_tint_band(film, tint.other_index, &other, NULL);
        other_nm = other.centre_nm;
    }
    return give_target(film, tint.centre_nm, tint.low_nm, tint.high_nm, other_nm, tint.order,
                       tint.label, target, error);
}

oxt_status oxt_tint_target_of_thickness(double thickness_nm, double low_nm, double high_nm,
                                        oxt_target *target, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!target)
        return oxt_i_null(error, "target");
    const oxt_i_limit limits[] = {
        { "thickness_nm", thickness_nm, 0.0, OXT_THICKNESS_HIGH_NM, OXT_I_OPEN_LOW },
        { "low_nm", low_nm, 0.0, thickness_nm, OXT_I_CLOSED },
        { "high_nm", high_nm, thickness_nm, OXT_THICKNESS_HIGH_NM, OXT_I_CLOSED },
    };
    oxt_status status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (status)
        return status;
    char text[48];
    oxt_i_snprintf(text, sizeof text, "%.4g nm", thickness_nm);
    return give_target(NULL, thickness_nm, low_nm, high_nm, NAN, 0, text, target, error);
}

static bool in_order(const oxt_i_match *match, int order)
{
    return order == 0 ? match->order != 0 : match->order == order;
}

/* The nearest step of the path within an order. Unlike the matches it may lie at the order's end,
 * where the colour would come nearer still beyond it. */
static oxt_i_match nearest_step(const oxt_film *film, const double lab[3], int order)
{
    oxt_i_match nearest = { 0.0, 0.0, 0.0, HUGE_VAL, 0 };
    for (size_t i = 0; i < OXT_I_PATH_COUNT; i++) {
        oxt_i_match here = { OXT_I_PATH_STEP_NM * (double)i, 0.0, 0.0, 0.0, 0 };
        here.order = oxt_i_order_of(film, here.aim_nm);
        here.distance = oxt_i_delta_e2000(lab, film->path_lab[i]);
        if (in_order(&here, order) && here.distance < nearest.distance)
            nearest = here;
    }
    return nearest;
}

oxt_status oxt_tint_target_of_lab(const oxt_film *film, const double lab[3], double tolerance,
                                  int order, oxt_target *target, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film || !lab || !target)
        return oxt_i_null(error, !film ? "film" : !lab ? "lab" : "target");
    oxt_status status = oxt_i_check_lab(lab, error);
    if (!status)
        status = oxt_i_check(error, "tolerance", tolerance, 0.0, HUGE_VAL, OXT_I_OPEN_LOW);
    if (status)
        return status;
    if (order < 0 || order > 2)
        return oxt_i_fail(error, OXT_EARG, "order", order, 0, 2, "order is %d, expected 0, 1 or 2",
                          order);
    oxt_i_match matches[8];
    size_t count;
    oxt_i_wanted wanted = { lab, 1.0, 1.0 };
    status = oxt_i_match_colour(film, &wanted, tolerance, 0.0, matches, OXT_I_COUNT(matches),
                                &count, error);
    if (status)
        return status;
    const oxt_i_match *best = NULL;
    for (size_t i = 0; i < count && !best; i++)
        if (in_order(&matches[i], order))
            best = &matches[i];
    oxt_i_match nearest;
    if (!best) {
        nearest = nearest_step(film, lab, order);
        best = &nearest;
    }
    if (best->distance > tolerance)
        return oxt_i_fail(error, OXT_EUNREACHABLE, "lab", best->distance, 0.0, tolerance,
                          "no film%s comes within CIEDE2000 %.3g of this colour; the nearest, at "
                          "%.1f nm, is %.3g away",
                          order == 1   ? " of the first order"
                          : order == 2 ? " of the second order"
                                       : "",
                          tolerance, best->aim_nm, best->distance);
    double low_nm, high_nm;
    status = oxt_i_match_stretch(film, &wanted, best->aim_nm, tolerance, &low_nm, &high_nm, error);
    if (status)
        return status;
    /* A second minimum inside the same stretch is not another film. */
    double other_nm = NAN;
    for (size_t i = count; i-- > 0;)
        if (in_order(&matches[i], 0) && (matches[i].aim_nm < low_nm || matches[i].aim_nm > high_nm))
            other_nm = matches[i].aim_nm;
    char text[48];
    oxt_i_snprintf(text, sizeof text, "L* %.1f a* %.1f b* %.1f", lab[0], lab[1], lab[2]);
    return give_target(film, best->aim_nm, low_nm, high_nm, other_nm, best->order, text, target,
                       error);
}

/* A colour as typed: the first order when it has one, else the second. The end of the first order is
 * not preferred to a nearer film just beyond it. */
static oxt_status target_from_srgb(const oxt_film *film, const char *text, oxt_target *target,
                                   oxt_error *error)
{
    static const double tolerance = 10.0;
    double lab[3];
    oxt_status status = oxt_i_film_lab_of_srgb(film, text, lab, error);
    if (status)
        return status;
    oxt_target found = OXT_TARGET_INIT, first = OXT_TARGET_INIT;
    status = oxt_tint_target_of_lab(film, lab, tolerance, 0, &found, error);
    if (status)
        return status;
    if (found.order != 1) {
        status = oxt_tint_target_of_lab(film, lab, tolerance, 1, &first, NULL);
        if (status == OXT_ENOMEM)
            return oxt_i_no_memory(error);
        if (!status && first.high_nm < found.low_nm)
            found = first;
    }
    oxt_i_snprintf(found.text, sizeof found.text, "%.7s", text); /* as it was typed */
    return OXT_I_STRUCT_OUT(oxt_target, target, &found, "target", error);
}

oxt_status oxt_tint_target(const oxt_film *film, const char *text, oxt_target *target,
                           oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!film || !text || !target)
        return oxt_i_null(error, !film ? "film" : !text ? "text" : "target");
    const char *start = text;
    while (*start == ' ' || *start == '\t')
        start++;
    if (*start == '#')
        return target_from_srgb(film, start, target, error);
    double number;
    const char *rest = start;
    bool ordinal_first = strncmp(start, "1st", 3) == 0 || strncmp(start, "2nd", 3) == 0;
    if (ordinal_first || !oxt_i_read_number(&rest, &number))
        return target_of_name(film, start, target, error);
    double length_m;
    oxt_status status = oxt_parse_length(start, &length_m, error);
    if (status)
        return status;
    double thickness_nm = length_m * 1e9;
    return oxt_tint_target_of_thickness(thickness_nm, 0.95 * thickness_nm,
                                        fmin(1.05 * thickness_nm, OXT_THICKNESS_HIGH_NM), target,
                                        error);
}

/* ---- targets ---- */

static oxt_status check_text(const char *text, size_t capacity, const char *name, oxt_error *error)
{
    if (memchr(text, '\0', capacity))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_EARG, name, "%s does not end within %zu bytes", name,
                           capacity);
}

oxt_status oxt_i_target_in(oxt_target *into, const oxt_target *target, oxt_error *error)
{
    oxt_target known = OXT_TARGET_INIT;
    if (!target)
        return oxt_i_null(error, "target");
    oxt_status status = OXT_I_STRUCT_IN(oxt_target, &known, target, "target", error);
    const oxt_i_limit limits[] = {
        { "target.aim_nm", known.aim_nm, 0.0, OXT_THICKNESS_HIGH_NM, OXT_I_OPEN_LOW },
        { "target.low_nm", known.low_nm, 0.0, known.aim_nm, OXT_I_CLOSED },
        { "target.high_nm", known.high_nm, known.aim_nm, OXT_THICKNESS_HIGH_NM, OXT_I_CLOSED },
    };
    if (!status)
        status = oxt_i_check_all(error, limits, OXT_I_COUNT(limits));
    if (!status)
        status = check_text(known.text, sizeof known.text, "target.text", error);
    if (!status)
        status = check_text(known.description, sizeof known.description, "target.description",
                            error);
    known.struct_size = sizeof known; /* the caller's may be larger */
    if (!status)
        *into = known;
    return status;
}
