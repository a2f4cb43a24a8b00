/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What stands on a sheet for the wall. */
#include <stdlib.h>
#include <string.h>

#include "page/chart.h"
#include "thermal/heat.h"

static const char *const usual_targets[] = { "straw",     "brown", "purple",
                                             "dark blue", "blue",  "light blue" };

/* Everything that was given, checked. */
typedef struct {
    oxt_sheet_options options;
    oxt_dip_options dip;
    oxt_steel_values steel;
    double baths_K[OXT_SHEET_BATHS];
    size_t bath_count, target_count;
    oxt_target targets[OXT_SHEET_TARGETS];
    bool is_cold,
        is_far; /* cells are empty: for the coupon is still cold, or no lift gives the film */
} taken;

/* Of a card without a trial: to either side of the bath that its rate was taken for. Common practice, no source. */
static const double UNTRIED_K = 30.0;

/* The coldest, middle and hottest of the trials, as anyone would set a bath: in tens of F, in fives of C or K, within
 * the trials where that can be. */
static void choose_baths(taken *made)
{
    oxt_temperature_unit unit = made->options.unit;
    double step = unit == OXT_UNIT_FAHRENHEIT ? 10.0 : 5.0;
    const oxt_steel_values *steel = &made->steel;
    bool tried = steel->trial_count > 0;
    double about_K = steel->growth.T_ref_K;
    double low_K = tried ? steel->bath_low_K : fmax(steel->bath_low_K, about_K - UNTRIED_K);
    double high_K = tried ? steel->bath_high_K : fmin(steel->bath_high_K, about_K + UNTRIED_K);
    double low = oxt_i_kelvin_to(low_K, unit), high = oxt_i_kelvin_to(high_K, unit);
    double first = step * ceil(low / step - 1e-6), last = step * floor(high / step + 1e-6);
    if (first > last) /* all within one step */
        first = last = step * nearbyint(0.5 * (low + high) / step);
    const double found[] = { first, step * floor(0.5 * (first + last) / step + 0.5), last };
    for (size_t i = 0; i < OXT_I_COUNT(found); i++)
        if (i == 0 || found[i] > found[i - 1])
            made->baths_K[made->bath_count++] = oxt_i_kelvin_from(found[i], unit);
}

static oxt_status check_count(const char *name, size_t count, size_t most, oxt_error *error)
{
    if (count >= 1 && count <= most)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EARG, name, (double)count, 1.0, (double)most,
                      "%s are %zu, expected 1 to %zu on one page", name, count, most);
}

static oxt_status take_targets(taken *made, const oxt_film *film, oxt_error *error)
{
    const oxt_sheet_options *given = &made->options;
    oxt_status status = OXT_OK;
    made->target_count = given->targets ? given->target_count : OXT_I_COUNT(usual_targets);
    status = check_count("targets", made->target_count, OXT_SHEET_TARGETS, error);
    for (size_t i = 0; i < made->target_count && !status; i++) {
        made->targets[i] = (oxt_target)OXT_TARGET_INIT;
        if (!given->targets)
            status = oxt_tint_target(film, usual_targets[i], &made->targets[i], error);
        else if (!given->targets[i])
            status = oxt_i_null(error, "targets");
        else
            status = OXT_I_STRUCT_IN(oxt_target, &made->targets[i], given->targets[i], "targets",
                                     error);
    }
    return status;
}

static oxt_status take(taken *made, const oxt_steel *steel, const oxt_film *film,
                       const oxt_sheet_options *options, oxt_error *error)
{
    *made = (taken){ .options = OXT_SHEET_OPTIONS_INIT,
                     .dip = OXT_DIP_OPTIONS_INIT,
                     .steel = OXT_STEEL_VALUES_INIT };
    oxt_status status = OXT_I_OPTIONS_IN(oxt_sheet_options, &made->options, options, error);
    const oxt_sheet_options *given = &made->options;
    if (!status)
        status = oxt_i_check_choice("unit", (int)given->unit, OXT_UNIT_FAHRENHEIT, error);
    if (!status && given->dip)
        status = OXT_I_STRUCT_IN(oxt_dip_options, &made->dip, given->dip, "dip", error);
    if (!status)
        status = oxt_steel_get(steel, &made->steel, error);
    if (!status && given->baths_K)
        status = check_count("baths", given->bath_count, OXT_SHEET_BATHS, error);
    if (status)
        return status;
    if (!given->baths_K)
        choose_baths(made);
    else
        for (; made->bath_count < given->bath_count; made->bath_count++)
            made->baths_K[made->bath_count] = given->baths_K[made->bath_count];
    return take_targets(made, film, error);
}

static bool is_outside(const oxt_dip *dip)
{
    return (dip->cautions & (OXT_CAUTION_EXTRAPOLATED_BATH | OXT_CAUTION_EXTRAPOLATED_FILM)) != 0;
}

const char *oxt_i_sheet_mark(const oxt_dip *dip)
{
    bool loose = dip->cautions & OXT_CAUTION_LOOSE_FIT;
    if (isnan(dip->time_s))
        return OXT_I_EMPTY_MARK;
    return is_outside(dip) ? loose ? " \u2020?" : " \u2020" : loose ? " ?" : "";
}

/* What the times hold for. */
static oxt_status write_path(oxt_sheet *sheet, const taken *of, const oxt_dip *dip,
                             oxt_error *error)
{
    char coupon[64] = "";
    oxt_salt_values salt = OXT_SALT_VALUES_INIT;
    oxt_part part = OXT_PART_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_status status = OXT_OK;
    if (of->dip.coupon && dip->part_source == OXT_PATH_NAMED) {
        status = OXT_I_STRUCT_IN(oxt_part, &part, of->dip.coupon, "coupon", error);
        oxt_i_part_text(&part, coupon, sizeof coupon);
    }
    if (!status && of->dip.salt_bath) {
        status = OXT_I_STRUCT_IN(oxt_bath, &bath, of->dip.salt_bath, "salt_bath", error);
        if (!status)
            status = oxt_bath_salt(bath.salt, 0.0, &salt, error);
    }
    oxt_i_snprintf(sheet->path_text, sizeof sheet->path_text, "Part: %s%s%s%s%s", dip->part_text,
                   *coupon ? "; coupons of the trials: " : "", coupon, *salt.name ? "; salt: " : "",
                   salt.name);
    return status;
}

/* Why cells are empty. */
static void write_missing(oxt_sheet *sheet, const taken *of)
{
    size_t length = strlen(sheet->coverage);
    if (sheet->missing_count > 0)
        oxt_i_snprintf(sheet->coverage + length, sizeof sheet->coverage - length,
                       " Cells marked " OXT_I_EMPTY_MARK " have no time: %s%s%s.",
                       of->is_cold ? "the coupon named would still be cold when it has that film"
                                   : "",
                       of->is_cold && of->is_far ? ", or " : "",
                       of->is_far ? "no lift in that bath gives that film" : "");
}

static void write_coverage(oxt_sheet *sheet, const taken *of)
{
    const oxt_steel_values *steel = &of->steel;
    char *text = sheet->coverage;
    size_t room = sizeof sheet->coverage;
    const char *loose = sheet->cautions & OXT_CAUTION_LOOSE_FIT
                            ? " Times marked ? are less certain than the colour lasts."
                            : "";
    if (steel->trial_count == 0)
        oxt_i_snprintf(text, room, "No trial stands behind these times%s.%s",
                       sheet->outside_count ? " (marked \u2020)" : "", loose);
    else
        oxt_i_snprintf(
            text, room,
            "Behind these times stand %zu trial%s, in baths from %s to %s, of films from "
            "%.0f to %.0f nm (the bar beside the ladder).%s%s",
            steel->trial_count, oxt_i_plural(steel->trial_count),
            oxt_i_show_temperature(steel->bath_low_K, of->options.unit).text,
            oxt_i_show_temperature(steel->bath_high_K, of->options.unit).text,
            steel->thickness_low_nm, steel->thickness_high_nm,
            sheet->outside_count ? " Times marked \u2020 lie beyond them." : "", loose);
}

static oxt_status fill(oxt_sheet *sheet, const taken *of, const oxt_film *film, const oxt_dip *dips,
                       oxt_error *error)
{
    char description[128];
    *sheet = (oxt_sheet)OXT_SHEET_INIT;
    sheet->bath_count = of->bath_count;
    sheet->target_count = of->target_count;
    const oxt_dip *given = NULL;
    for (size_t i = of->bath_count * of->target_count; i-- > 0;) {
        bool is_empty = isnan(dips[i].time_s);
        sheet->cautions |= dips[i].cautions;
        sheet->outside_count += is_outside(&dips[i]);
        sheet->missing_count += is_empty;
        given = is_empty ? given : &dips[i];
    }
    oxt_i_chart_name(&of->steel, sheet->name);
    oxt_status status = oxt_film_description(film, description, sizeof description, NULL, error);
    oxt_i_snprintf(sheet->film_text, sizeof sheet->film_text, "Colours: %s",
                   status ? "" : description);
    write_coverage(sheet, of);
    write_missing(sheet, of);
    return status ? status : write_path(sheet, of, given, error);
}

static oxt_status predict(const taken *of, const oxt_steel *steel, size_t index, oxt_dip *dip,
                          oxt_error *error)
{
    *dip = (oxt_dip)OXT_DIP_INIT;
    return oxt_dip_predict(steel, &of->targets[index / of->bath_count],
                           of->baths_K[index % of->bath_count], of->options.dip, dip, error);
}

/* Every cell, those empty whose dip cannot be given; refused where all would be. */
static oxt_status fill_cells(taken *of, const oxt_steel *steel, oxt_dip *dips, oxt_error *error)
{
    size_t count = of->bath_count * of->target_count, empty = 0;
    for (size_t i = 0; i < count; i++) {
        oxt_error why = OXT_ERROR_INIT;
        oxt_dip *dip = &dips[i];
        oxt_status status = predict(of, steel, i, dip, &why);
        if (!status)
            continue;
        bool is_cold = status == OXT_EDOMAIN && strcmp(why.parameter, "coupon") == 0;
        empty++;
        if ((!is_cold && status != OXT_EUNREACHABLE) || empty == count)
            return predict(of, steel, i, dip, error);
        dip->target = of->targets[i / of->bath_count];
        dip->bath_K = of->baths_K[i % of->bath_count];
        dip->time_s = dip->earliest_s = dip->latest_s = dip->chance = NAN;
        dip->interval_low_s = dip->interval_high_s = dip->next_low_s = dip->next_high_s = NAN;
        *(is_cold ? &of->is_cold : &of->is_far) = true;
    }
    return OXT_OK;
}

oxt_status oxt_i_sheet_take(oxt_sheet *sheet, oxt_dip **dips, const oxt_steel *steel,
                            const oxt_film *film, const oxt_sheet_options *options,
                            oxt_error *error)
{
    taken made;
    *dips = NULL;
    if (!steel || !film)
        return oxt_i_null(error, steel ? "film" : "steel");
    oxt_status status = take(&made, steel, film, options, error);
    if (status)
        return status;
    size_t count = made.bath_count * made.target_count;
    oxt_dip *found = malloc(count * sizeof *found);
    if (!found)
        return oxt_i_no_memory(error);
    status = fill_cells(&made, steel, found, error);
    if (!status)
        status = fill(sheet, &made, film, found, error);
    if (status)
        free(found);
    else
        *dips = found;
    return status;
}

oxt_status oxt_chart_sheet(const oxt_steel *steel, const oxt_film *film,
                           const oxt_sheet_options *options, size_t capacity, oxt_dip *dips,
                           oxt_sheet *sheet, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_sheet made;
    oxt_dip *found = NULL;
    if (!sheet || (capacity && !dips))
        return oxt_i_null(error, sheet ? "dips" : "sheet");
    oxt_status status = oxt_i_sheet_take(&made, &found, steel, film, options, error);
    if (status)
        return status;
    size_t all = made.bath_count * made.target_count, given = all < capacity ? all : capacity;
    status = oxt_i_check_elements(dips, given, OXT_I_FIRST_oxt_dip, "dips", error);
    if (!status)
        status = OXT_I_STRUCT_OUT(oxt_sheet, sheet, &made, "sheet", error);
    if (!status)
        status = OXT_I_STRUCTS_OUT(oxt_dip, dips, found, given, "dips", error);
    free(found);
    return status;
}
