/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where marks and labels of a chart go, so that none covers another; in points. */
#ifndef OXTINT_LIB_CHART_LABELS_H
#define OXTINT_LIB_CHART_LABELS_H

#include "oxtint/chart.h"
#include "page/svg.h"

#define OXT_I_MOST_APART 400 /* marks; more of them are a cloud */
enum { OXT_I_WINDOW_POINTS = 9 };

typedef struct {
    double left, top, right, bottom;
} oxt_i_box;

/* A label, in lines, of a place. */
typedef struct {
    oxt_i_point at, middle; /* of what it names; of the label, once it is placed */
    double size_pt;
    bool framed;
    size_t line_count;
    char lines[3][96];
} oxt_i_label;

/* Places moved as little as can be so that none is nearer to the next than the gap, from `first` on and up to `last`
 * where there is room; a gap below 0 is for falling places. */
void oxt_i_spread_out(const double *places, double *spread, size_t count, double gap, double first,
                      double last);
/* Move marks sideways, to the nearest free place, where they would cover one another or the fixed places. */
void oxt_i_set_apart(oxt_i_point *marks, size_t count, const oxt_i_point *fixed, size_t fixed_count,
                     double left, double right);
/* The nearest place of each that hides no mark and no other label. */
void oxt_i_place_labels(oxt_i_label *labels, size_t count, const oxt_i_point *marks,
                        size_t mark_count, const oxt_i_box *frame);
void oxt_i_draw_label(oxt_i_text *svg, const oxt_i_label *label);

/* Coupons in one place have their names, each once, in one label: that of the first. */
bool oxt_i_name_again(const oxt_chart_mark *marks, size_t index);
void oxt_i_name_alike(const oxt_chart_mark *marks, size_t count, size_t index, char *text,
                      size_t capacity);

#endif
