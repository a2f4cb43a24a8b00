/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The frame of a chart, its bands, and the coupons and the dip on it. */
#include <stdlib.h>
#include <string.h>

#include "dip/dip.h"
#include "optics/colour.h"
#include "optics/film.h"
#include "optics/tint.h"
#include "page/chart.h"
#include "trials/trials.h"
#include "growth/law.h"

void oxt_i_chart_name(const oxt_steel_values *steel, char name[132])
{
    oxt_i_snprintf(name, 132, "%s%s%s", steel->steel, *steel->finish ? ", " : "", steel->finish);
}

/* ---- what is marked ---- */

/* What was seen, as a film; NaN for a colour off a photograph. */
static oxt_status seen_film(const oxt_film *film, const oxt_trial *trial, double *seen_nm,
                            oxt_error *error)
{
    oxt_target target = OXT_TARGET_INIT;
    oxt_tint tint = OXT_TINT_INIT;
    oxt_status status = OXT_OK;
    *seen_nm = trial->seen == OXT_SEEN_THICKNESS ? trial->thickness_nm : NAN;
    if (trial->seen == OXT_SEEN_LAB) {
        status = oxt_tint_target_of_lab(film, trial->lab, 1e3, 0, &target, error);
        *seen_nm = target.aim_nm;
    } else if (trial->seen == OXT_SEEN_COLOUR) {
        status = oxt_tint_find(film, trial->colour, &tint, error);
        *seen_nm = tint.centre_nm;
    }
    return status;
}

/* The name of what was seen, where the chart has another colour; beyond the second order there are no names. */
static void name_otherwise(const oxt_i_chart *of, oxt_chart_mark *mark)
{
    const double *edges = oxt_i_film_edges(of->film);
    double grown_nm = 0.0;
    if (oxt_thickness(&of->steel.growth, mark->bath_K, mark->equivalent_s, &grown_nm, NULL) ||
        !(fmax(mark->seen_nm, grown_nm) < edges[OXT_TINT_COUNT]))
        return;
    int seen = oxt_i_band_at(edges, mark->seen_nm), grown = oxt_i_band_at(edges, grown_nm);
    if (grown != seen && grown != oxt_i_tint_other(seen))
        oxt_i_copy_text(mark->label, sizeof mark->label, oxt_i_band_label(of->film->words, seen));
}

static oxt_status make_mark(const oxt_i_chart *of, const oxt_steel *steel, size_t index,
                            oxt_chart_mark *mark, oxt_error *error)
{
    oxt_trial trial = oxt_i_trial(of->options.trials, index);
    *mark = (oxt_chart_mark)OXT_CHART_MARK_INIT;
    mark->trial = index;
    mark->bath_K = trial.bath_K;
    oxt_status status = oxt_dip_equivalent_time(steel, &trial, &mark->equivalent_s, error);
    if (!status)
        status = seen_film(of->film, &trial, &mark->seen_nm, error);
    if (!status && isnan(mark->seen_nm))
        return oxt_parse_srgb(trial.srgb, mark->srgb, error);
    if (!status)
        status = oxt_film_colour(of->film, OXT_SPACE_SRGB, mark->seen_nm, mark->srgb, NULL, error);
    if (!status)
        name_otherwise(of, mark);
    return status;
}

static oxt_status make_marks(oxt_i_chart *made, const oxt_steel *steel, oxt_error *error)
{
    size_t number, count = 0, *rows = NULL;
    const oxt_trials *trials = made->options.trials;
    if (!trials || !oxt_i_log_find_steel(trials, made->steel.steel, &number))
        return OXT_OK;
    oxt_status status = oxt_i_log_rows(trials, number,
                                       *made->steel.finish ? made->steel.finish : NULL, &rows,
                                       &count, error);
    if (!status && count > 0) {
        made->marks = malloc(count * sizeof *made->marks);
        if (!made->marks)
            status = oxt_i_no_memory(error);
    }
    for (size_t i = 0; i < count && !status; i++)
        status = make_mark(made, steel, rows[i], &made->marks[i], error);
    free(rows);
    made->frame.mark_count = count;
    return status;
}

/* The chart shows bare steel at temperature; another dip would stand on a colour not its own. */
static oxt_status check_dip(const oxt_i_chart *of, oxt_error *error)
{
    const oxt_dip *dip = &of->dip;
    double in_bath_nm = 0.0, before_nm = dip->quench_nm - dip->lift_growth_nm;
    oxt_status status = oxt_thickness(&of->steel.growth, dip->bath_K,
                                      fmax(dip->time_s - dip->lag_s, 0.0), &in_bath_nm, error);
    const oxt_growth *growth = &of->steel.growth;
    double grown_nm = oxt_i_film_of(growth, oxt_i_exposure_of(growth, in_bath_nm) +
                                                oxt_i_exposure_of(growth, dip->quench_nm) -
                                                oxt_i_exposure_of(growth, before_nm));
    if (status || fabs(grown_nm / dip->target.aim_nm - 1.0) <= 1e-3)
        return status;
    return oxt_i_fail(
        error, OXT_EDOMAIN, "dip", grown_nm, dip->target.aim_nm, dip->target.aim_nm,
        "dip aims at %.1f nm, and %s grows %.1f nm in it, expected the same: a dip of "
        "this steel, without a coupon or a film already there",
        dip->target.aim_nm, of->steel.steel, grown_nm);
}

static oxt_status take_dip(oxt_i_chart *made, oxt_error *error)
{
    oxt_chart *frame = &made->frame;
    frame->earliest_s = frame->aim_s = frame->latest_s = NAN;
    if (!made->options.dip)
        return OXT_OK;
    oxt_status status = oxt_i_dip_in(&made->dip, made->options.dip, OXT_UNIT_KELVIN, error);
    if (!status)
        status = check_dip(made, error);
    const oxt_target *target = &made->dip.target;
    const double films_nm[] = { target->low_nm, target->aim_nm, target->high_nm };
    double *times_s[] = { &frame->earliest_s, &frame->aim_s, &frame->latest_s };
    for (size_t i = 0; i < 3 && !status; i++)
        status = oxt_time_for_thickness(&made->steel.growth, films_nm[i], made->dip.bath_K,
                                        times_s[i], error);
    return status;
}

/* ---- the frame ---- */

static void choose_ends(oxt_i_chart *made)
{
    oxt_chart *frame = &made->frame;
    const oxt_chart_options *given = &made->options;
    bool has_dip = given->dip != NULL;
    double coldest = made->steel.bath_low_K, hottest = made->steel.bath_high_K;
    double shortest = HUGE_VAL, longest = 0.0;
    for (size_t i = 0; i < frame->mark_count; i++) {
        shortest = fmin(shortest, made->marks[i].equivalent_s);
        longest = fmax(longest, made->marks[i].equivalent_s);
    }
    if (frame->mark_count == 0) { /* any coupons */
        shortest = 10.0;
        longest = 600.0;
    }
    if (has_dip) {
        coldest = fmin(coldest, made->dip.bath_K);
        hottest = fmax(hottest, made->dip.bath_K);
        shortest = fmin(shortest, frame->earliest_s);
        longest = fmax(longest, frame->latest_s);
    }
    frame->bath_low_K = given->bath_low_K != 0.0 ? given->bath_low_K : coldest - 15.0;
    frame->bath_high_K = given->bath_high_K != 0.0 ? given->bath_high_K : hottest + 15.0;
    frame->time_low_s = given->time_low_s != 0.0 ? given->time_low_s : 0.6 * shortest;
    frame->time_high_s = given->time_high_s != 0.0 ? given->time_high_s : 1.7 * longest;
}

static oxt_status check_ends(const oxt_chart *frame, oxt_error *error)
{
    if (frame->bath_low_K > 0.0 && frame->bath_low_K < frame->bath_high_K &&
        frame->time_low_s > 0.0 && frame->time_low_s < frame->time_high_s &&
        isfinite(frame->bath_high_K) && isfinite(frame->time_high_s))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_EDOMAIN, "options",
                           "ranges are %g to %g K and %g to %g s, expected each from low to high, "
                           "above 0",
                           frame->bath_low_K, frame->bath_high_K, frame->time_low_s,
                           frame->time_high_s);
}

/* As a clock is read: few round ones where they are enough, else up to nine of all. */
static void set_ticks(oxt_chart *frame)
{
    static const double few[] = { 1,   2,    5,    10,   30,    60,    120,  300,
                                  600, 1800, 3600, 7200, 18000, 36000, 86400 };
    static const double all[] = { 1,    2,    5,    10,   15,   20,    30,    45,
                                  60,   90,   120,  180,  300,  450,   600,   900,
                                  1200, 1800, 3600, 5400, 7200, 14400, 28800, 86400 };
    size_t count = 0, kept = 0;
    double found[OXT_CHART_TICKS];
    for (size_t i = 0; i < OXT_I_COUNT(few); i++)
        if (few[i] >= frame->time_low_s && few[i] <= frame->time_high_s)
            found[count++] = few[i];
    size_t step = 1;
    if (count < 4) {
        count = 0;
        for (size_t i = 0; i < OXT_I_COUNT(all); i++)
            if (all[i] >= frame->time_low_s && all[i] <= frame->time_high_s)
                found[count++] = all[i];
        step = count / 9 + 1;
    }
    for (size_t i = 0; i < count; i += step)
        frame->ticks_s[kept++] = found[i];
    frame->tick_count = kept;
}

/* Whether a band is in view, and where its name belongs. */
static oxt_status place_band(const oxt_i_chart *of, const double edges[2], double *label_s,
                             bool *in_view, bool *leaves_below, oxt_error *error)
{
    const oxt_chart *frame = &of->frame;
    const oxt_growth *growth = &of->steel.growth;
    double first = 0.0, last = 0.0, last_cold = 0.0;
    oxt_status status = oxt_time_for_thickness(growth, edges[0], frame->bath_high_K, &first, error);
    if (!status)
        status = oxt_time_for_thickness(growth, edges[1], frame->bath_high_K, &last, error);
    if (!status)
        status = oxt_time_for_thickness(growth, edges[1], frame->bath_low_K, &last_cold, error);
    *in_view = first < frame->time_high_s && last_cold > frame->time_low_s;
    double low = fmax(first, frame->time_low_s), high = fmin(last, frame->time_high_s);
    *label_s = sqrt(low * high);
    *leaves_below = !(high > low);
    return status;
}

static oxt_status find_bands(oxt_i_chart *chart, oxt_error *error)
{
    oxt_status status = OXT_OK;
    const double *edges = oxt_i_film_edges(chart->film);
    for (int i = 0; i < OXT_TINT_COUNT && !status; i++) {
        oxt_chart_band band = OXT_CHART_BAND_INIT;
        bool in_view = false, leaves_below = false;
        status = place_band(chart, &edges[i], &band.label_s, &in_view, &leaves_below, error);
        if (status || !in_view)
            continue;
        band.index = i;
        band.leaves_below = leaves_below;
        oxt_i_copy_text(band.label, sizeof band.label, oxt_i_band_label(chart->film->words, i));
        band.low_nm = edges[i];
        band.high_nm = edges[i + 1];
        status = oxt_film_colour(chart->film, OXT_SPACE_PATH_SRGB,
                                 0.5 * (band.low_nm + band.high_nm), band.srgb, NULL, error);
        chart->bands[chart->frame.band_count++] = band;
    }
    return status;
}

static oxt_status fill_frame(oxt_i_chart *made, oxt_error *error)
{
    oxt_chart *frame = &made->frame;
    choose_ends(made);
    oxt_status status = check_ends(frame, error);
    if (!status)
        status = find_bands(made, error);
    if (status)
        return status;
    set_ticks(frame);
    frame->cautions = made->options.dip ? made->dip.cautions : made->steel.cautions;
    oxt_i_chart_name(&made->steel, frame->name);
    oxt_i_copy_text(frame->time_label, sizeof frame->time_label,
                    made->steel.basis == OXT_BASIS_STEEL ? "equivalent time at bath temperature"
                                                         : "time in the bath, as the coupons");
    return OXT_OK;
}

oxt_status oxt_i_chart_take(oxt_i_chart *chart, const oxt_steel *steel, const oxt_film *film,
                            const oxt_chart_options *options, oxt_error *error)
{
    *chart = (oxt_i_chart){ .film = film,
                            .steel = OXT_STEEL_VALUES_INIT,
                            .options = OXT_CHART_OPTIONS_INIT,
                            .dip = OXT_DIP_INIT,
                            .frame = OXT_CHART_INIT };
    if (!steel || !film)
        return oxt_i_null(error, steel ? "film" : "steel");
    oxt_status status = OXT_I_OPTIONS_IN(oxt_chart_options, &chart->options, options, error);
    if (!status)
        status = oxt_steel_get(steel, &chart->steel, error);
    if (!status)
        status = make_marks(chart, steel, error);
    if (!status)
        status = take_dip(chart, error);
    if (!status)
        status = fill_frame(chart, error);
    if (status) {
        free(chart->marks);
        chart->marks = NULL;
    }
    return status;
}

/* ---- the calls ---- */

oxt_status oxt_chart_data(const oxt_steel *steel, const oxt_film *film,
                          const oxt_chart_options *options, oxt_chart *chart, size_t band_capacity,
                          oxt_chart_band *bands, size_t mark_capacity, oxt_chart_mark *marks,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_chart made;
    if (!chart || (band_capacity && !bands) || (mark_capacity && !marks))
        return oxt_i_null(error, !chart ? "chart" : band_capacity && !bands ? "bands" : "marks");
    oxt_status status = oxt_i_chart_take(&made, steel, film, options, error);
    if (status)
        return status;
    size_t band_count = made.frame.band_count, mark_count = made.frame.mark_count;
    band_count = band_count < band_capacity ? band_count : band_capacity;
    mark_count = mark_count < mark_capacity ? mark_count : mark_capacity;
    status = oxt_i_check_elements(bands, band_count, OXT_I_FIRST_oxt_chart_band, "bands", error);
    if (!status)
        status = oxt_i_check_elements(marks, mark_count, OXT_I_FIRST_oxt_chart_mark, "marks",
                                      error);
    if (!status)
        status = OXT_I_STRUCT_OUT(oxt_chart, chart, &made.frame, "chart", error);
    if (!status)
        status = OXT_I_STRUCTS_OUT(oxt_chart_band, bands, made.bands, band_count, "bands", error);
    if (!status)
        status = OXT_I_STRUCTS_OUT(oxt_chart_mark, marks, made.marks, mark_count, "marks", error);
    free(made.marks);
    return status;
}
