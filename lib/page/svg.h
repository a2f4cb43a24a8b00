/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Writing SVG 1.1, in points from the upper left corner: escaped texts of known width, lines, rectangles. */
#ifndef OXTINT_LIB_SVG_H
#define OXTINT_LIB_SVG_H

#include "base/internal.h"

typedef struct {
    double x, y;
} oxt_i_point;

typedef enum { OXT_I_START, OXT_I_MIDDLE, OXT_I_END_ANCHOR } oxt_i_anchor;

/* How a text is set. */
typedef struct {
    double size_pt;
    oxt_i_anchor anchor;
    bool bold;
} oxt_i_font;

/* From here on all is inside one group of texts. */
void oxt_i_svg_begin(oxt_i_text *svg, double width_pt, double height_pt, const char *title,
                     const char *description);
void oxt_i_svg_end(oxt_i_text *svg);

void oxt_i_svg_escape(oxt_i_text *svg, const char *text);
/* A line of text whose baseline begins, has its middle or ends at a place. */
void oxt_i_svg_text(oxt_i_text *svg, oxt_i_point at, oxt_i_font font, const char *text);
/* `stroke` is its attributes beside the ends. */
void oxt_i_svg_line(oxt_i_text *svg, oxt_i_point from, oxt_i_point to, const char *stroke);
void oxt_i_svg_rectangle(oxt_i_text *svg, oxt_i_point at, double width_pt, double height_pt,
                         const char *paint);
/* An attribute that fills with a colour of 0 to 1. */
typedef struct {
    char text[24];
} oxt_i_fill;
oxt_i_fill oxt_i_svg_fill(const double srgb[3]);

/* ---- measuring, in the widest of the usual fonts ---- */

double oxt_i_svg_width(const char *text, double size_pt, bool bold);
/* The size of a line, made smaller where it would be too wide. */
double oxt_i_svg_fitting(const char *text, double size_pt, bool bold, double room_pt);
/* The next line of whole words that fits, and where the rest begins; NULL after the last. */
typedef struct {
    char text[512];
} oxt_i_svg_row;
const char *oxt_i_svg_wrap(const char *text, double size_pt, bool bold, double room_pt,
                           oxt_i_svg_row *row);

#endif
