/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A sheet for the wall as SVG. */
#include <stdlib.h>
#include <string.h>

#include "oxtint/version.h"

#include "optics/film.h"
#include "optics/tint.h"
#include "page/chart.h"
#include "page/svg.h"

#define MARGIN_PT 43.2
#define ROW_PT 28.8   /* of the table */
#define NAME_PT 151.2 /* its first column */
#define LADDER_PT 183.6
#define LEGIBLE_PT 9.0 /* from an arm away, for sentences that are read whole */
#define THIN "stroke=\"black\" stroke-width=\"0.6\""

/* The page and what stands on it. */
typedef struct {
    oxt_i_text *svg;
    double width_pt, height_pt, right;
    const oxt_sheet *sheet;
    const oxt_dip *dips;
    const oxt_film *film;
    const oxt_sheet_options *options;
    oxt_steel_values steel;
} page;

static void rule(const page *on, double y)
{
    oxt_i_svg_line(on->svg, (oxt_i_point){ MARGIN_PT, y }, (oxt_i_point){ on->right, y }, THIN);
}

/* A line of text from a place on, made smaller where it would be too wide. */
static void fitted(const page *on, double x, double y, double size_pt, bool bold, double room_pt,
                   const char *text)
{
    oxt_i_font font = { oxt_i_svg_fitting(text, size_pt, bold, room_pt), OXT_I_START, bold };
    oxt_i_svg_text(on->svg, (oxt_i_point){ x, y }, font, text);
}

static void centred(const page *on, double x, double y, double size_pt, bool bold, double room_pt,
                    const char *text)
{
    oxt_i_font font = { oxt_i_svg_fitting(text, size_pt, bold, room_pt), OXT_I_MIDDLE, bold };
    oxt_i_svg_text(on->svg, (oxt_i_point){ x, y }, font, text);
}

/* Name, what the times hold for, and room to write for which pot it is; where the table begins. */
static double draw_head(const page *on)
{
    static const char *const blanks[] = { "Pot", "Thermometer", "Put up on" };
    double room = on->right - MARGIN_PT, each = room / 3.0, y = 118.0;
    fitted(on, MARGIN_PT, 68.4, 22.0, true, room, on->sheet->name);
    fitted(on, MARGIN_PT, 86.4, 9.0, false, room, on->sheet->path_text);
    fitted(on, MARGIN_PT, 98.6, 9.0, false, room, on->sheet->film_text);
    for (size_t i = 0; i < OXT_I_COUNT(blanks); i++) {
        double left = MARGIN_PT + (double)i * each;
        double start = left + oxt_i_svg_width(blanks[i], 9.0, false) + 6.0;
        fitted(on, left, y + 13.0, 9.0, false, each, blanks[i]);
        oxt_i_svg_line(on->svg, (oxt_i_point){ start, y + 14.4 },
                       (oxt_i_point){ left + each - (i < 2 ? 10.8 : 0.0), y + 14.4 },
                       "stroke=\"black\" stroke-width=\"0.5\"");
    }
    return y + 39.6;
}

/* One target: when to lift, and below it from when to when the colour shows. */
static oxt_status draw_row(const page *on, double y, const oxt_dip *dips, double column_pt,
                           oxt_error *error)
{
    char text[96];
    double srgb[3], first = MARGIN_PT + NAME_PT + 0.5 * column_pt;
    const oxt_target *target = &dips[0].target;
    oxt_status status = oxt_film_colour(on->film, OXT_SPACE_SRGB, target->aim_nm, srgb, NULL,
                                        error);
    if (status)
        return status;
    oxt_i_fill fill = oxt_i_svg_fill(srgb);
    oxt_i_snprintf(text, sizeof text, "%s " THIN, fill.text);
    oxt_i_svg_rectangle(on->svg, (oxt_i_point){ MARGIN_PT, y + 4.3 }, 28.8, ROW_PT - 8.6, text);
    fitted(on, MARGIN_PT + 36.0, y + 13.7, 11.0, false, NAME_PT - 43.2, target->text);
    oxt_i_snprintf(text, sizeof text, "%.0f nm", target->aim_nm);
    fitted(on, MARGIN_PT + 36.0, y + 23.8, 8.0, false, NAME_PT, text);
    for (size_t i = 0; i < on->sheet->bath_count; i++) {
        double x = first + (double)i * column_pt;
        if (isnan(dips[i].time_s)) {
            centred(on, x, y + 18.0, 12.0, true, column_pt, oxt_i_sheet_mark(&dips[i]));
            continue;
        }
        oxt_i_snprintf(text, sizeof text, "%s%s", oxt_i_show_time(dips[i].time_s).text,
                       oxt_i_sheet_mark(&dips[i]));
        centred(on, x, y + 13.7, 12.0, true, column_pt, text);
        oxt_i_snprintf(text, sizeof text, "%s to %s", oxt_i_show_time(dips[i].earliest_s).text,
                       oxt_i_show_time(dips[i].latest_s).text);
        centred(on, x, y + 23.8, 8.0, false, column_pt, text);
    }
    return OXT_OK;
}

/* The table from `top` on; where it ends. */
static oxt_status draw_table(const page *on, double top, double *bottom, oxt_error *error)
{
    size_t columns = on->sheet->bath_count;
    double column_pt = (on->right - MARGIN_PT - NAME_PT) / (double)columns;
    oxt_temperature_unit unit = on->options->unit;
    oxt_temperature_unit other = unit == OXT_UNIT_FAHRENHEIT ? OXT_UNIT_CELSIUS
                                                             : OXT_UNIT_FAHRENHEIT;
    fitted(on, MARGIN_PT, top, 11.0, true, NAME_PT, "Lift after");
    fitted(on, MARGIN_PT, top + 14.4, 8.0, false, NAME_PT, "the colour shows from ... to");
    for (size_t i = 0; i < columns; i++) {
        char head[64];
        double x = MARGIN_PT + NAME_PT + ((double)i + 0.5) * column_pt;
        oxt_i_snprintf(head, sizeof head, "bath at %s",
                       oxt_i_show_temperature(on->dips[i].bath_K, unit).text);
        centred(on, x, top, 11.0, true, column_pt - 10.8, head);
        centred(on, x, top + 14.4, 9.0, false, column_pt,
                oxt_i_show_temperature(on->dips[i].bath_K, other).text);
    }
    oxt_status status = OXT_OK;
    *bottom = top + 21.6;
    for (size_t row = 0; row < on->sheet->target_count && !status; row++) {
        rule(on, *bottom);
        status = draw_row(on, *bottom, &on->dips[row * columns], column_pt, error);
        *bottom += ROW_PT;
    }
    rule(on, *bottom);
    return status;
}

/* Where on the ladder a film is, in rungs from below. */
static double rung_of(const double *edges, double film_nm)
{
    if (film_nm >= edges[OXT_TINT_COUNT])
        return OXT_TINT_COUNT;
    int band = oxt_i_band_at(edges, film_nm);
    double width = edges[band + 1] - edges[band];
    return band + (width > 0.0 ? (film_nm - edges[band]) / width : 0.0);
}

/* One rung in steps of colour, its name, and where it begins in nm. */
static oxt_status draw_rung(const page *on, int band, double left, double y, double height_pt,
                            oxt_error *error)
{
    enum { STEPS = 24 };
    const double *edges = on->film->edges;
    char text[32];
    oxt_status status = OXT_OK;
    for (int i = 0; i < STEPS && !status; i++) {
        double srgb[3], share = (i + 0.5) / STEPS;
        status = oxt_film_colour(on->film, OXT_SPACE_PATH_SRGB,
                                 edges[band] + share * (edges[band + 1] - edges[band]), srgb, NULL,
                                 error);
        /* each reaches to the top, and the next is painted over it, so that no seam shows */
        if (!status)
            oxt_i_svg_rectangle(on->svg, (oxt_i_point){ left, y - height_pt }, 39.6,
                                height_pt * (STEPS - i) / STEPS, oxt_i_svg_fill(srgb).text);
    }
    if (band > 0)
        oxt_i_svg_line(on->svg, (oxt_i_point){ left, y }, (oxt_i_point){ left + 39.6, y },
                       "stroke=\"white\" stroke-width=\"1\"");
    fitted(on, left + 43.6, y - 0.5 * height_pt + 3.0, 8.0, false, 104.0,
           oxt_i_band_label(on->film->words, band));
    oxt_i_snprintf(text, sizeof text, "%.0f", edges[band]);
    oxt_i_svg_text(on->svg, (oxt_i_point){ left - 9.0, y + 3.0 },
                   (oxt_i_font){ 8.0, OXT_I_END_ANCHOR, false }, text);
    return status;
}

/* The ladder, and beside it a bar as far as the films of the trials reach. */
static oxt_status draw_ladder(const page *on, double top, double bottom, oxt_error *error)
{
    const double *edges = on->film->edges;
    const oxt_steel_values *steel = &on->steel;
    double left = MARGIN_PT + 39.6, height_pt = (bottom - top) / OXT_TINT_COUNT;
    char text[32];
    oxt_status status = OXT_OK;
    oxt_i_text_add(on->svg, "<g id=\"ladder\">\n");
    for (int band = 0; band < OXT_TINT_COUNT && !status; band++)
        status = draw_rung(on, band, left, bottom - band * height_pt, height_pt, error);
    oxt_i_snprintf(text, sizeof text, "%.0f", edges[OXT_TINT_COUNT]);
    oxt_i_svg_text(on->svg, (oxt_i_point){ left - 9.0, top + 3.0 },
                   (oxt_i_font){ 8.0, OXT_I_END_ANCHOR, false }, text);
    oxt_i_svg_rectangle(on->svg, (oxt_i_point){ left, top }, 39.6, bottom - top,
                        "fill=\"none\" " THIN);
    oxt_i_text_add(on->svg, "<g transform=\"translate(%.2f %.2f) rotate(-90)\">\n", MARGIN_PT + 8.0,
                   0.5 * (top + bottom));
    oxt_i_svg_text(on->svg, (oxt_i_point){ 0.0, 0.0 }, (oxt_i_font){ 8.0, OXT_I_MIDDLE, false },
                   "film (nm)");
    oxt_i_text_add(on->svg, "</g>\n");
    if (steel->trial_count > 0) {
        double x = left - 4.8;
        oxt_i_svg_line(
            on->svg,
            (oxt_i_point){ x, bottom - height_pt * rung_of(edges, steel->thickness_low_nm) },
            (oxt_i_point){ x, bottom - height_pt * rung_of(edges, steel->thickness_high_nm) },
            "id=\"covered\" stroke=\"black\" stroke-width=\"3\"");
    }
    oxt_i_text_add(on->svg, "</g>\n");
    return status;
}

/* ---- the sentences beside the ladder ---- */

/* One paragraph; where the next begins. Nothing is written without a page. */
static double paragraph(oxt_i_text *svg, double x, double y, double size_pt, bool bold,
                        double room_pt, const char *text)
{
    oxt_i_svg_row row;
    for (const char *rest = text; (rest = oxt_i_svg_wrap(rest, size_pt, bold, room_pt, &row));) {
        y += 1.25 * size_pt;
        if (svg)
            oxt_i_svg_text(svg, (oxt_i_point){ x, y }, (oxt_i_font){ size_pt, OXT_I_START, bold },
                           row.text);
    }
    return y + 0.5 * size_pt;
}

/* All of them in one size; where they end. */
static double words_in(const page *on, oxt_i_text *svg, double top, double size_pt, bool whole)
{
    double x = MARGIN_PT + LADDER_PT, room = on->right - x, y = top;
    y = paragraph(svg, x, y, size_pt, false, room, on->sheet->coverage);
    y = paragraph(svg, x, y, size_pt, true, room,
                  "Cautions that apply to some or all of these dips");
    uint32_t cautions = on->sheet->cautions;
    for (const oxt_caution_info *one; (one = oxt_caution_get(cautions))->bit; cautions &= ~one->bit)
        y = paragraph(svg, x, y, size_pt, false, room, whole ? one->text : one->brief);
    y = paragraph(svg, x, y, size_pt, false, room, "On white paper" OXT_I_ON_WHITE);
    return y - 0.5 * size_pt;
}

/* In the largest size that has room for all of them; cautions in short where they have no room whole in a legible
 * one. */
static oxt_status draw_words(const page *on, double top, double bottom, oxt_error *error)
{
    double end = 0.0;
    for (int whole = 1; whole >= 0; whole--)
        for (double size_pt = 12.0; size_pt >= (whole ? LEGIBLE_PT : 6.0); size_pt -= 0.5) {
            end = words_in(on, NULL, top, size_pt, whole);
            if (end <= bottom) {
                words_in(on, on->svg, top, size_pt, whole);
                return OXT_OK;
            }
        }
    return oxt_i_fail(
        error, OXT_EDOMAIN, "targets", end - top, 0.0, bottom - top,
        "the cautions need %.0f points of height in the smallest letters and %.0f are "
        "left, expected fewer targets or baths",
        end - top, bottom - top);
}

/* Date, version and where the card came from; where the room above ends. */
static double draw_foot(const page *on)
{
    char text[320];
    const char *date = on->options->date ? on->options->date : "";
    double y = on->height_pt - MARGIN_PT;
    oxt_i_snprintf(text, sizeof text, "%s%soxtint %s%s%s", date, *date ? ", " : "", oxt_version(),
                   *on->steel.origin ? "; card: " : "", on->steel.origin);
    rule(on, y - 12.2);
    fitted(on, MARGIN_PT, y, 8.0, false, on->right - MARGIN_PT, text);
    return y - 25.2;
}

static void begin(const page *on)
{
    char title[160], description[256];
    oxt_i_snprintf(title, sizeof title, "%s: when to lift", on->sheet->name);
    oxt_i_snprintf(
        description, sizeof description,
        "A table of lift times for %zu target%s in %zu bath%s, the ladder of colours, what "
        "the trials cover, and cautions.",
        on->sheet->target_count, oxt_i_plural(on->sheet->target_count), on->sheet->bath_count,
        oxt_i_plural(on->sheet->bath_count));
    oxt_i_svg_begin(on->svg, on->width_pt, on->height_pt, title, description);
}

static oxt_status draw_page(const page *on, oxt_error *error)
{
    double table, bottom = draw_foot(on);
    oxt_status status = draw_table(on, draw_head(on), &table, error);
    if (!status)
        status = draw_ladder(on, table + 18.0, bottom, error);
    return status ? status : draw_words(on, table + 18.0, bottom, error);
}

oxt_status oxt_chart_sheet_svg(const oxt_steel *steel, const oxt_film *film,
                               const oxt_sheet_options *options, char *buffer, size_t capacity,
                               size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    static const double papers_pt[][2] = { { 210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0 },
                                           { 612.0, 792.0 } };
    oxt_sheet sheet;
    oxt_dip *dips;
    oxt_sheet_options known = OXT_SHEET_OPTIONS_INIT;
    oxt_i_text svg = { 0 };
    oxt_status status = OXT_I_OPTIONS_IN(oxt_sheet_options, &known, options, error);
    if (!status)
        status = oxt_i_check_choice("paper", (int)known.paper, OXT_PAPER_LETTER, error);
    if (!status && known.date && !oxt_i_is_utf8(known.date, strlen(known.date)))
        status = oxt_i_fail_text(error, OXT_EARG, "date", "date is not UTF-8");
    if (!status)
        status = oxt_i_sheet_take(&sheet, &dips, steel, film, options, error);
    if (status)
        return status;
    const double *paper = papers_pt[known.paper];
    page on = { &svg, paper[0], paper[1], paper[0] - MARGIN_PT, &sheet,
                dips, film,     &known,   OXT_STEEL_VALUES_INIT };
    status = oxt_steel_get(steel, &on.steel, error);
    if (!status) {
        begin(&on);
        status = draw_page(&on, error);
        oxt_i_svg_end(&svg);
    }
    free(dips);
    if (status) {
        oxt_i_text_free(&svg);
        return status;
    }
    return oxt_i_emit_text(&svg, buffer, capacity, needed, error);
}
