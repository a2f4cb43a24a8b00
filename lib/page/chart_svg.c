/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A chart as SVG. By each law of growth the times of all films have one curve over the baths, moved up or down on the
 * logarithmic scale: the picture has it once, and uses it for each colour and each edge. */
#include <stdlib.h>
#include <string.h>

#include "growth/law.h"
#include "optics/film.h"
#include "page/chart.h"
#include "page/chart_labels.h"
#include "page/svg.h"

#define WIDTH_PT 720.0
#define HEIGHT_PT 504.0
#define LEFT 78.0
#define RIGHT 596.0
#define TOP 52.0
#define BOTTOM 408.0
#define FAR_PT 2000.0 /* beyond every edge of the picture */

enum { CURVE_POINTS = 61 };

/* Why the colours of films look dull on a screen; docs/reference/pictures.md. */
static const char screen_note[] = OXT_I_SCREEN_NOTE;

/* ---- places ---- */

static double across(const oxt_chart *frame, double bath_K)
{
    return LEFT +
           (RIGHT - LEFT) * (bath_K - frame->bath_low_K) / (frame->bath_high_K - frame->bath_low_K);
}

static double per_ln(const oxt_chart *frame)
{
    return (BOTTOM - TOP) / log(frame->time_high_s / frame->time_low_s);
}

static double down(const oxt_chart *frame, double time_s)
{
    return BOTTOM - per_ln(frame) * log(time_s / frame->time_low_s);
}

/* ---- the colours ---- */

/* The thinnest and the thickest film in view. */
static oxt_status film_range(const oxt_i_chart *of, double *thinnest_nm, double *thickest_nm,
                             oxt_error *error)
{
    const oxt_chart *frame = &of->frame;
    oxt_status status = oxt_thickness(&of->steel.growth, frame->bath_low_K, frame->time_low_s,
                                      thinnest_nm, error);
    return status ? status
                  : oxt_thickness(&of->steel.growth, frame->bath_high_K, frame->time_high_s,
                                  thickest_nm, error);
}

/* The curve of an exposure of 1 nm^2, as it is, and all that lies above it. */
static oxt_status define_curve(oxt_i_text *svg, const oxt_i_chart *of, oxt_error *error)
{
    const oxt_chart *frame = &of->frame;
    double heights[CURVE_POINTS];
    for (int i = 0; i < CURVE_POINTS; i++) {
        double share = i / (CURVE_POINTS - 1.0), rate_nm2_per_s;
        double bath_K = frame->bath_low_K + share * (frame->bath_high_K - frame->bath_low_K);
        oxt_status status = oxt_rate(&of->steel.growth, bath_K, &rate_nm2_per_s, error);
        if (status)
            return status;
        heights[i] = down(frame, 1.0 / rate_nm2_per_s);
    }
    oxt_i_text_add(svg, "<defs>\n<clipPath id=\"view\">");
    oxt_i_svg_rectangle(svg, (oxt_i_point){ LEFT, TOP }, RIGHT - LEFT, BOTTOM - TOP, "");
    oxt_i_text_add(svg, "</clipPath>\n");
    for (int closed = 0; closed < 2; closed++) {
        oxt_i_text_add(svg, "<path id=\"%s\" d=\"M", closed ? "above" : "curve");
        for (int i = 0; i < CURVE_POINTS; i++)
            oxt_i_text_add(svg, "%.2f %.2f ", LEFT + (RIGHT - LEFT) * i / (CURVE_POINTS - 1.0),
                           heights[i]);
        if (closed)
            oxt_i_text_add(svg, "V%.0f H%.0f Z", heights[0] - FAR_PT, LEFT);
        oxt_i_text_add(svg, "\"/>\n");
    }
    oxt_i_text_add(svg, "</defs>\n");
    return OXT_OK;
}

/* How far the curve of a film lies above that; of one that is there before the dip next to nothing has grown. */
static double above_pt(const oxt_i_chart *of, double film_nm)
{
    return per_ln(&of->frame) * fmax(oxt_i_ln_exposure_of(&of->steel.growth, film_nm), 0.0);
}

static oxt_status colour_at(const oxt_i_chart *of, double film_nm, oxt_i_fill *fill,
                            oxt_error *error)
{
    double srgb[3];
    oxt_colour_space space = film_nm <= OXT_PATH_HIGH_NM ? OXT_SPACE_PATH_SRGB : OXT_SPACE_SRGB;
    oxt_status status = oxt_film_colour(of->film, space, film_nm, srgb, NULL, error);
    if (!status)
        *fill = oxt_i_svg_fill(srgb);
    return status;
}

/* The thinnest films first; each thicker one is painted over what lies above it, so that no seam shows. */
static oxt_status paint(oxt_i_text *svg, const oxt_i_chart *of, oxt_error *error)
{
    double thinnest_nm, thickest_nm;
    oxt_i_fill fill, last;
    oxt_status status = film_range(of, &thinnest_nm, &thickest_nm, error);
    if (!status)
        status = colour_at(of, fmin(thinnest_nm, OXT_I_CHART_THICKEST_NM), &last, error);
    if (status)
        return status;
    oxt_i_text_add(svg, "<g id=\"colours\" clip-path=\"url(#view)\">\n");
    oxt_i_svg_rectangle(svg, (oxt_i_point){ LEFT, TOP }, RIGHT - LEFT, BOTTOM - TOP, last.text);
    thickest_nm = fmin(thickest_nm, OXT_I_CHART_THICKEST_NM);
    for (double nm = thinnest_nm; nm < thickest_nm && !status;) {
        double step_nm = nm < OXT_PATH_HIGH_NM ? 0.25 : 2.0;
        double middle_nm = fmin(nm + 0.5 * step_nm, OXT_I_CHART_THICKEST_NM);
        status = colour_at(of, middle_nm, &fill, error);
        if (!status && strcmp(fill.text, last.text) != 0)
            oxt_i_text_add(svg, "<use xlink:href=\"#above\" y=\"%.2f\" %s/>\n",
                           -above_pt(of, fmax(nm, 1e-3)), fill.text);
        last = fill;
        nm += step_nm;
    }
    oxt_i_text_add(svg, "</g>\n");
    return status;
}

/* The edges of the bands, and what the trials cover. */
static oxt_status draw_edges(oxt_i_text *svg, const oxt_i_chart *of, oxt_error *error)
{
    const oxt_chart *frame = &of->frame;
    const oxt_steel_values *steel = &of->steel;
    oxt_status status = OXT_OK;
    oxt_i_text_add(svg, "<g id=\"edges\" clip-path=\"url(#view)\" fill=\"none\" stroke=\"white\" "
                        "stroke-width=\"0.5\" stroke-opacity=\"0.5\">\n");
    const double *edges = of->film->edges;
    for (int i = 1; i <= OXT_TINT_COUNT; i++)
        if (edges[i] > edges[i - 1])
            oxt_i_text_add(svg, "<use xlink:href=\"#curve\" y=\"%.2f\"/>\n",
                           -above_pt(of, edges[i]));
    oxt_i_text_add(svg, "</g>\n");
    if (steel->trial_count == 0)
        return OXT_OK;
    oxt_i_text path = { 0 };
    for (int i = 0; i < 2 * CURVE_POINTS && !status; i++) {
        int at = i < CURVE_POINTS ? i : 2 * CURVE_POINTS - 1 - i;
        double share = at / (CURVE_POINTS - 1.0), time_s = 0.0;
        double bath_K = steel->bath_low_K + share * (steel->bath_high_K - steel->bath_low_K);
        status = oxt_time_for_thickness(&steel->growth,
                                        i < CURVE_POINTS ? steel->thickness_low_nm
                                                         : steel->thickness_high_nm,
                                        bath_K, &time_s, error);
        oxt_i_text_add(&path, "%.2f %.2f ", across(frame, bath_K), down(frame, time_s));
    }
    oxt_i_text_add(svg,
                   "<g id=\"covered\" clip-path=\"url(#view)\" fill=\"none\">\n"
                   "<path d=\"M%sZ\" stroke=\"white\" stroke-width=\"2.6\"/>\n"
                   "<path d=\"M%sZ\" stroke=\"black\" stroke-width=\"1.2\" "
                   "stroke-dasharray=\"6 3.6\"/>\n</g>\n",
                   path.failed ? "" : path.data, path.failed ? "" : path.data);
    svg->failed = svg->failed || path.failed;
    oxt_i_text_free(&path);
    return status;
}

/* ---- axes ---- */

#define GRID "stroke=\"white\" stroke-width=\"0.5\" stroke-opacity=\"0.45\""
#define TICK "stroke=\"black\" stroke-width=\"0.8\""

static void draw_times(oxt_i_text *svg, const oxt_chart *frame)
{
    for (size_t i = 0; i < frame->tick_count; i++) {
        double y = down(frame, frame->ticks_s[i]);
        oxt_i_svg_line(svg, (oxt_i_point){ LEFT, y }, (oxt_i_point){ RIGHT, y }, GRID);
        oxt_i_svg_line(svg, (oxt_i_point){ LEFT - 3.5, y }, (oxt_i_point){ LEFT, y }, TICK);
        oxt_i_svg_text(svg, (oxt_i_point){ LEFT - 6.0, y + 3.5 },
                       (oxt_i_font){ 10.0, OXT_I_END_ANCHOR, false },
                       oxt_i_show_time(frame->ticks_s[i]).text);
    }
    oxt_i_text_add(svg, "<g transform=\"translate(18 %.2f) rotate(-90)\">\n", 0.5 * (TOP + BOTTOM));
    oxt_i_svg_text(svg, (oxt_i_point){ 0.0, 0.0 }, (oxt_i_font){ 10.0, OXT_I_MIDDLE, false },
                   frame->time_label);
    oxt_i_text_add(svg, "</g>\n");
}

/* A step of 1, 2 or 5 that gives up to 9 ticks. */
static double round_step(double range)
{
    double step = pow(10.0, floor(log10(range / 9.0)));
    return range / step <= 9.0    ? step
           : range / step <= 18.0 ? 2.0 * step
           : range / step <= 45.0 ? 5.0 * step
                                  : 10.0 * step;
}

static void draw_baths(oxt_i_text *svg, const oxt_chart *frame, oxt_temperature_unit unit)
{
    static const char *const labels[] = { "bath temperature (K)", "bath temperature (\u00B0C)",
                                          "bath temperature (\u00B0F)" };
    double low = oxt_i_kelvin_to(frame->bath_low_K, unit);
    double high = oxt_i_kelvin_to(frame->bath_high_K, unit), step = round_step(high - low);
    for (double tick = step * ceil(low / step); tick <= high; tick += step) {
        char text[32];
        double x = across(frame, oxt_i_kelvin_from(tick, unit));
        oxt_i_svg_line(svg, (oxt_i_point){ x, TOP }, (oxt_i_point){ x, BOTTOM }, GRID);
        oxt_i_svg_line(svg, (oxt_i_point){ x, BOTTOM }, (oxt_i_point){ x, BOTTOM + 3.5 }, TICK);
        oxt_i_snprintf(text, sizeof text, "%.6g", fabs(tick) < 1e-9 * step ? 0.0 : tick);
        oxt_i_svg_text(svg, (oxt_i_point){ x, BOTTOM + 14.0 },
                       (oxt_i_font){ 10.0, OXT_I_MIDDLE, false }, text);
    }
    oxt_i_svg_text(svg, (oxt_i_point){ 0.5 * (LEFT + RIGHT), BOTTOM + 29.0 },
                   (oxt_i_font){ 10.0, OXT_I_MIDDLE, false }, labels[unit]);
}

/* Name and what is drawn above, each made smaller where it would be cut off. */
static void draw_title(oxt_i_text *svg, const oxt_i_chart *of)
{
    const char *what = of->frame.mark_count ? "colour of the film; circles: coupons as seen"
                       : of->options.trials ? "colour of the film; no coupon of it in the log"
                                            : "colour of the film";
    double middle = 0.5 * (LEFT + RIGHT), room = 2.0 * (WIDTH_PT - middle) - 24.0;
    double size = oxt_i_svg_fitting(of->frame.name, 14.0, true, room);
    oxt_i_svg_text(svg, (oxt_i_point){ middle, 24.0 }, (oxt_i_font){ size, OXT_I_MIDDLE, true },
                   of->frame.name);
    oxt_i_svg_text(svg, (oxt_i_point){ middle, 42.0 }, (oxt_i_font){ 11.0, OXT_I_MIDDLE, false },
                   what);
}

/* Small words below the axis, and the lead words of the cautions. */
static void draw_caption(oxt_i_text *svg, const oxt_i_chart *of)
{
    oxt_i_text words[2] = { { 0 }, { 0 } };
    double y = BOTTOM + 46.0;
    oxt_i_text_add(&words[0], "%s%s",
                   of->steel.trial_count ? "Dashed: what the trials cover. " : "", screen_note);
    uint32_t cautions = of->frame.cautions;
    for (const oxt_caution_info *one; (one = oxt_caution_get(cautions))->bit; cautions &= ~one->bit)
        oxt_i_text_add(&words[1], "%s%.*s",
                       words[1].length ? ", " : "Cautions: ", (int)strcspn(one->brief, ":"),
                       one->brief);
    for (size_t i = 0; i < 2; i++) {
        oxt_i_svg_row row;
        for (const char *rest = words[i].failed || !words[i].data ? "" : words[i].data;
             (rest = oxt_i_svg_wrap(rest, 7.5, false, WIDTH_PT - 2.0 * 24.0, &row)); y += 9.5)
            oxt_i_svg_text(svg, (oxt_i_point){ 24.0, y }, (oxt_i_font){ 7.5, OXT_I_START, false },
                           row.text);
        svg->failed = svg->failed || words[i].failed;
        oxt_i_text_free(&words[i]);
    }
}

/* Names in a column on the right, each with a line to its place on the edge. */
static void draw_names(oxt_i_text *svg, const oxt_i_chart *of)
{
    const oxt_chart_band *bands = of->bands;
    const size_t count = of->frame.band_count;
    double places[OXT_TINT_COUNT], spread[OXT_TINT_COUNT];
    for (size_t i = 0; i < count; i++)
        places[i] = BOTTOM -
                    (bands[i].leaves_below ? 0.0 : BOTTOM - down(&of->frame, bands[i].label_s));
    oxt_i_spread_out(places, spread, count, -11.5, BOTTOM - 2.0, TOP + 4.0);
    oxt_i_text_add(svg, "<g id=\"names\">\n");
    for (size_t i = 0; i < count; i++) {
        char text[48];
        oxt_i_snprintf(text, sizeof text, "%s%s", bands[i].label,
                       bands[i].leaves_below ? " \u2199" : "");
        if (!bands[i].leaves_below)
            oxt_i_svg_line(svg, (oxt_i_point){ RIGHT, places[i] },
                           (oxt_i_point){ RIGHT + 10.0, spread[i] },
                           "stroke=\"black\" stroke-width=\"0.6\"");
        oxt_i_svg_text(svg, (oxt_i_point){ RIGHT + 12.0, spread[i] + 3.0 },
                       (oxt_i_font){ 8.5, OXT_I_START, false }, text);
    }
    oxt_i_text_add(svg, "</g>\n");
}

/* ---- coupons and dip ---- */

static void draw_marks(oxt_i_text *svg, const oxt_i_chart *of, const oxt_i_point *places)
{
    oxt_i_text_add(svg, "<g id=\"coupons\">\n");
    for (size_t i = 0; i < of->frame.mark_count; i++) {
        const oxt_chart_mark *mark = &of->marks[i];
        oxt_i_point own = { across(&of->frame, mark->bath_K),
                            down(&of->frame, mark->equivalent_s) };
        if (own.x != places[i].x) {
            oxt_i_svg_line(svg, own, places[i], "stroke=\"white\" stroke-width=\"2.4\"");
            oxt_i_svg_line(svg, own, places[i], "stroke=\"black\" stroke-width=\"0.8\"");
        }
    }
    for (size_t i = 0; i < of->frame.mark_count; i++)
        oxt_i_text_add(svg,
                       "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"5.6\" fill=\"black\"/>"
                       "<circle cx=\"%.2f\" cy=\"%.2f\" r=\"4.2\" %s stroke=\"white\" "
                       "stroke-width=\"1.4\"/>\n",
                       places[i].x, places[i].y, places[i].x, places[i].y,
                       oxt_i_svg_fill(of->marks[i].srgb).text);
    oxt_i_text_add(svg, "</g>\n");
}

static void draw_dip(oxt_i_text *svg, const oxt_i_chart *of)
{
    const oxt_chart *frame = &of->frame;
    double x = across(frame, of->dip.bath_K), aim = down(frame, frame->aim_s);
    double first = down(frame, frame->earliest_s), last = down(frame, frame->latest_s);
    static const struct {
        const char *colour;
        double width, reach;
    } strokes[] = { { "white", 5.0, 8.0 }, { "black", 2.0, 7.0 } };
    oxt_i_text_add(svg, "<g id=\"dip\">\n");
    for (size_t i = 0; i < OXT_I_COUNT(strokes); i++)
        oxt_i_text_add(
            svg,
            "<path d=\"M%.2f %.2f V%.2f M%.2f %.2f h%.2f M%.2f %.2f h%.2f\" fill=\"none\" "
            "stroke=\"%s\" stroke-width=\"%.1f\"/>\n",
            x, first, last, x - strokes[i].reach, first, 2.0 * strokes[i].reach,
            x - strokes[i].reach, last, 2.0 * strokes[i].reach, strokes[i].colour,
            strokes[i].width);
    oxt_i_text_add(svg,
                   "<path d=\"M%.2f %.2f l5.5 5.5 l-5.5 5.5 l-5.5 -5.5 Z\" fill=\"black\" "
                   "stroke=\"white\" stroke-width=\"1\"/>\n</g>\n",
                   x, aim - 5.5);
}

static void dip_label(oxt_i_label *label, const oxt_i_chart *of, oxt_temperature_unit unit)
{
    const oxt_dip *dip = &of->dip;
    *label = (oxt_i_label){ .at = { across(&of->frame, dip->bath_K),
                                    down(&of->frame, of->frame.aim_s) },
                            .size_pt = 8.5,
                            .framed = true,
                            .line_count = 3 };
    oxt_i_snprintf(label->lines[0], sizeof label->lines[0], "%s at %s", dip->target.text,
                   oxt_i_show_temperature(dip->bath_K, unit).text);
    oxt_i_snprintf(label->lines[1], sizeof label->lines[1], "lift after %s",
                   oxt_i_show_time(dip->time_s).text);
    oxt_i_snprintf(label->lines[2], sizeof label->lines[2], "shows %s to %s",
                   oxt_i_show_time(dip->earliest_s).text, oxt_i_show_time(dip->latest_s).text);
}

/* Labels of the dip and of coupons that were seen as another colour, off the marks and one another. */
static void draw_labels(oxt_i_text *svg, const oxt_i_chart *of, oxt_temperature_unit unit,
                        const oxt_i_point *places, size_t place_count)
{
    const oxt_i_box frame = { LEFT, TOP, RIGHT, BOTTOM };
    size_t marks = of->frame.mark_count, count = 0;
    oxt_i_label *labels = malloc((marks + 1) * sizeof *labels);
    if (!labels) {
        svg->failed = true;
        return;
    }
    if (of->options.dip)
        dip_label(&labels[count++], of, unit);
    for (size_t i = 0; i < marks && marks <= OXT_I_MOST_APART; i++) {
        const oxt_chart_mark *mark = &of->marks[i];
        if (!*mark->label || oxt_i_name_again(of->marks, i))
            continue;
        labels[count] = (oxt_i_label){ .at = places[i], .size_pt = 7.5, .line_count = 1 };
        oxt_i_name_alike(of->marks, marks, i, labels[count].lines[0],
                         sizeof labels[count].lines[0]);
        count++;
    }
    oxt_i_place_labels(labels, count, places, marks <= OXT_I_MOST_APART ? place_count : 0, &frame);
    oxt_i_text_add(svg, "<g id=\"labels\">\n");
    for (size_t i = 0; i < count; i++)
        oxt_i_draw_label(svg, &labels[i]);
    oxt_i_text_add(svg, "</g>\n");
    free(labels);
}

/* ---- the call ---- */

static void describe(oxt_i_text *text, const oxt_i_chart *of, oxt_temperature_unit unit)
{
    const oxt_chart *frame = &of->frame;
    oxt_i_text_add(text,
                   "Bath temperature from %s to %s across, time from %s to %s up, and the colour "
                   "of the film at each point.",
                   oxt_i_show_temperature(frame->bath_low_K, unit).text,
                   oxt_i_show_temperature(frame->bath_high_K, unit).text,
                   oxt_i_show_time(frame->time_low_s).text,
                   oxt_i_show_time(frame->time_high_s).text);
    for (size_t i = 0; i < frame->band_count; i++)
        oxt_i_text_add(text, "%s%s (%.0f to %.0f nm)%s",
                       i ? ", " : " The bands from below: ", of->bands[i].label,
                       of->bands[i].low_nm, of->bands[i].high_nm,
                       i + 1 == frame->band_count ? "." : "");
    if (of->options.dip)
        oxt_i_text_add(text, " A dip: %s at %s, lift after %s; it shows %s to %s.",
                       of->dip.target.text, oxt_i_show_temperature(of->dip.bath_K, unit).text,
                       oxt_i_show_time(of->dip.time_s).text,
                       oxt_i_show_time(of->dip.earliest_s).text,
                       oxt_i_show_time(of->dip.latest_s).text);
}

/* Everything but the marks. */
static oxt_status draw_frame(oxt_i_text *svg, const oxt_i_chart *of, oxt_temperature_unit unit,
                             oxt_error *error)
{
    oxt_i_text title = { 0 }, description = { 0 };
    oxt_i_text_add(&title, "%s: colour chart", of->frame.name);
    describe(&description, of, unit);
    svg->failed = title.failed || description.failed;
    if (!svg->failed)
        oxt_i_svg_begin(svg, WIDTH_PT, HEIGHT_PT, title.data, description.data);
    oxt_i_text_free(&title);
    oxt_i_text_free(&description);
    oxt_status status = define_curve(svg, of, error);
    if (!status)
        status = paint(svg, of, error);
    if (status)
        return status;
    draw_times(svg, &of->frame);
    draw_baths(svg, &of->frame, unit);
    status = draw_edges(svg, of, error);
    oxt_i_svg_rectangle(svg, (oxt_i_point){ LEFT, TOP }, RIGHT - LEFT, BOTTOM - TOP,
                        "fill=\"none\" stroke=\"black\" stroke-width=\"0.8\"");
    draw_names(svg, of);
    draw_title(svg, of);
    draw_caption(svg, of);
    return status;
}

/* The coupons and the dip; `places` has room for the coupons and for points of the window, which nothing may hide. */
static void draw_marked(oxt_i_text *svg, const oxt_i_chart *of, oxt_temperature_unit unit,
                        oxt_i_point *places)
{
    const oxt_chart *frame = &of->frame;
    size_t marks = frame->mark_count, window = of->options.dip ? OXT_I_WINDOW_POINTS : 0;
    for (size_t i = 0; i < marks; i++)
        places[i] = (oxt_i_point){ across(frame, of->marks[i].bath_K),
                                   down(frame, of->marks[i].equivalent_s) };
    for (size_t i = 0; i < window; i++) {
        double share = (double)i / (OXT_I_WINDOW_POINTS - 1.0);
        places[marks + i] = (oxt_i_point){ across(frame, of->dip.bath_K),
                                           down(frame, frame->earliest_s) * (1.0 - share) +
                                               down(frame, frame->latest_s) * share };
    }
    oxt_i_set_apart(places, marks, &places[marks], window, LEFT, RIGHT);
    draw_marks(svg, of, places);
    if (of->options.dip)
        draw_dip(svg, of);
    draw_labels(svg, of, unit, places, marks + window);
}

oxt_status oxt_chart_svg(const oxt_steel *steel, const oxt_film *film,
                         const oxt_chart_options *options, oxt_temperature_unit unit, char *buffer,
                         size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_i_chart of;
    oxt_i_text svg = { 0 };
    oxt_status status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_FAHRENHEIT, error);
    if (!status)
        status = oxt_i_chart_take(&of, steel, film, options, error);
    if (status)
        return status;
    oxt_i_point *places = malloc((of.frame.mark_count + OXT_I_WINDOW_POINTS) * sizeof *places);
    status = places ? draw_frame(&svg, &of, unit, error) : oxt_i_no_memory(error);
    if (!status) {
        draw_marked(&svg, &of, unit, places);
        oxt_i_svg_end(&svg);
    }
    free(places);
    free(of.marks);
    if (status) {
        oxt_i_text_free(&svg);
        return status;
    }
    return oxt_i_emit_text(&svg, buffer, capacity, needed, error);
}
