/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where marks and labels of a chart go. */
#include <stdlib.h>
#include <string.h>

#include "page/chart_labels.h"

#define APART_PT 12.0 /* between the middles of two marks, each with its casing */
#define MARK_PT 7.0   /* half of a mark with its casing */

/* ---- a column of names ---- */

void oxt_i_spread_out(const double *places, double *spread, size_t count, double gap, double first,
                      double last)
{
    double sign = gap < 0.0 ? -1.0 : 1.0, step = fabs(gap);
    /* Each block has one place, of places less their number of gaps, which must not fall. */
    double sums[OXT_TINT_COUNT];
    size_t sizes[OXT_TINT_COUNT], blocks = 0;
    for (size_t i = 0; i < count; i++) {
        sums[blocks] = sign * places[i] - (double)i * step;
        sizes[blocks++] = 1;
        while (blocks > 1 && sums[blocks - 2] / (double)sizes[blocks - 2] >
                                 sums[blocks - 1] / (double)sizes[blocks - 1]) {
            blocks--;
            sums[blocks - 1] += sums[blocks];
            sizes[blocks - 1] += sizes[blocks];
        }
    }
    double low = sign * first, high = sign * last - step * ((double)count - 1.0);
    for (size_t b = 0, i = 0; b < blocks; b++) {
        double level = fmax(fmin(sums[b] / (double)sizes[b], high), low);
        for (size_t j = 0; j < sizes[b]; j++, i++)
            spread[i] = sign * (level + (double)i * step);
    }
}

/* ---- marks ---- */

/* From left to right, in one column from above. */
static int by_place(const void *a, const void *b)
{
    const oxt_i_point *first = *(oxt_i_point *const *)a, *second = *(oxt_i_point *const *)b;
    if (first->x != second->x)
        return first->x < second->x ? -1 : 1;
    return (first->y > second->y) - (first->y < second->y);
}

static bool is_near(oxt_i_point a, oxt_i_point b)
{
    return hypot(a.x - b.x, a.y - b.y) < 0.99 * APART_PT;
}

/* Whether a place is free of the fixed ones and of the marks that were set. */
static bool is_free(oxt_i_point place, oxt_i_point *const *set, size_t set_count,
                    const oxt_i_point *fixed, size_t fixed_count)
{
    for (size_t i = 0; i < set_count; i++)
        if (is_near(place, *set[i]))
            return false;
    for (size_t i = 0; i < fixed_count; i++)
        if (is_near(place, fixed[i]))
            return false;
    return true;
}

void oxt_i_set_apart(oxt_i_point *marks, size_t count, const oxt_i_point *fixed, size_t fixed_count,
                     double left, double right)
{
    enum { MOST_STEPS = 16 };
    oxt_i_point *order[OXT_I_MOST_APART];
    if (count > OXT_I_MOST_APART)
        return;
    for (size_t i = 0; i < count; i++)
        order[i] = &marks[i];
    qsort(order, count, sizeof *order, by_place);
    for (size_t i = 0; i < count; i++) {
        oxt_i_point own = *order[i];
        for (int step = 0; step <= 2 * MOST_STEPS; step++) {
            double aside = 0.5 * APART_PT * ((step + 1) / 2) * (step % 2 ? 1.0 : -1.0);
            oxt_i_point tried = { own.x + aside, own.y };
            bool inside = tried.x >= left + 0.5 * APART_PT && tried.x <= right - 0.5 * APART_PT;
            if ((step == 0 || inside) && is_free(tried, order, i, fixed, fixed_count)) {
                *order[i] = tried;
                break;
            }
        }
    }
}

/* ---- labels ---- */

static double width_of(const oxt_i_label *label)
{
    double widest = 0.0;
    for (size_t i = 0; i < label->line_count; i++)
        widest = fmax(widest, oxt_i_svg_width(label->lines[i], label->size_pt, false));
    return widest + (label->framed ? 8.0 : 3.0);
}

static double height_of(const oxt_i_label *label)
{
    return 1.25 * label->size_pt * (double)label->line_count + (label->framed ? 6.0 : 2.0);
}

static oxt_i_box box_at(const oxt_i_label *label, oxt_i_point middle)
{
    double w = 0.5 * width_of(label), h = 0.5 * height_of(label);
    return (oxt_i_box){ middle.x - w, middle.y - h, middle.x + w, middle.y + h };
}

static double shared(const oxt_i_box *a, const oxt_i_box *b)
{
    double w = fmin(a->right, b->right) - fmax(a->left, b->left);
    double h = fmin(a->bottom, b->bottom) - fmax(a->top, b->top);
    return fmax(w, 0.0) * fmax(h, 0.0);
}

/* How much a label would hide there, or lie outside. */
static double hidden(const oxt_i_box *box, const oxt_i_label *labels, size_t placed,
                     const oxt_i_point *marks, size_t mark_count, const oxt_i_box *frame)
{
    double outside = fmax(fmax(frame->left - box->left, box->right - frame->right),
                          fmax(frame->top - box->top, box->bottom - frame->bottom));
    double sum = 1e3 * fmax(outside, 0.0);
    for (size_t i = 0; i < mark_count; i++) {
        oxt_i_box mark = { marks[i].x - MARK_PT, marks[i].y - MARK_PT, marks[i].x + MARK_PT,
                           marks[i].y + MARK_PT };
        sum += shared(box, &mark);
    }
    for (size_t i = 0; i < placed; i++) {
        oxt_i_box other = box_at(&labels[i], labels[i].middle);
        sum += shared(box, &other);
    }
    return sum;
}

void oxt_i_place_labels(oxt_i_label *labels, size_t count, const oxt_i_point *marks,
                        size_t mark_count, const oxt_i_box *frame)
{
    static const double far_pt[] = { 10.0, 22.0, 36.0, 54.0, 76.0, 102.0 };
    static const double ways[][2] = { { 1, 0 },       { -1, 0 },    { 0.8, -0.8 }, { -0.8, 0.8 },
                                      { -0.8, -0.8 }, { 0.8, 0.8 }, { 0, -1 },     { 0, 1 } };
    for (size_t i = 0; i < count; i++) {
        oxt_i_label *label = &labels[i];
        double best = HUGE_VAL, w = 0.5 * width_of(label), h = 0.5 * height_of(label);
        for (size_t j = 0; j < OXT_I_COUNT(far_pt) * OXT_I_COUNT(ways) && best > 0.0; j++) {
            const double *way = ways[j % OXT_I_COUNT(ways)], far = far_pt[j / OXT_I_COUNT(ways)];
            double x = label->at.x + way[0] * far + (way[0] > 0.0) * w - (way[0] < 0.0) * w;
            double y = label->at.y + way[1] * far + (way[1] > 0.0) * h - (way[1] < 0.0) * h;
            oxt_i_box box = box_at(label, (oxt_i_point){ x, y });
            double hides = hidden(&box, labels, i, marks, mark_count, frame);
            if (hides < best) {
                best = hides;
                label->middle = (oxt_i_point){ x, y };
            }
        }
    }
}

void oxt_i_draw_label(oxt_i_text *svg, const oxt_i_label *label)
{
    oxt_i_box box = box_at(label, label->middle);
    oxt_i_point near = { fmin(fmax(label->at.x, box.left), box.right),
                         fmin(fmax(label->at.y, box.top), box.bottom) };
    double dx = near.x - label->at.x, dy = near.y - label->at.y, far = hypot(dx, dy);
    double skip = far > MARK_PT ? MARK_PT / far : 1.0;
    oxt_i_svg_line(svg, (oxt_i_point){ label->at.x + skip * dx, label->at.y + skip * dy }, near,
                   label->framed ? "stroke=\"black\" stroke-width=\"0.8\""
                                 : "stroke=\"white\" stroke-width=\"1\"");
    oxt_i_svg_rectangle(svg, (oxt_i_point){ box.left, box.top }, box.right - box.left,
                        box.bottom - box.top,
                        label->framed ? "rx=\"3\" fill=\"white\" stroke=\"black\" "
                                        "stroke-width=\"0.8\""
                                      : "fill=\"white\"");
    for (size_t i = 0; i < label->line_count; i++)
        oxt_i_svg_text(svg,
                       (oxt_i_point){ label->framed ? box.left + 4.0 : label->middle.x,
                                      box.top + (label->framed ? 3.0 : 1.0) +
                                          label->size_pt * (1.0 + 1.25 * (double)i) },
                       (oxt_i_font){ label->size_pt, label->framed ? OXT_I_START : OXT_I_MIDDLE,
                                     false },
                       label->lines[i]);
}

/* ---- names of coupons in one place ---- */

static bool is_alike(const oxt_chart_mark *a, const oxt_chart_mark *b)
{
    return a->bath_K == b->bath_K && a->equivalent_s == b->equivalent_s && *a->label && *b->label;
}

bool oxt_i_name_again(const oxt_chart_mark *marks, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (is_alike(&marks[i], &marks[index]))
            return true;
    return false;
}

void oxt_i_name_alike(const oxt_chart_mark *marks, size_t count, size_t index, char *text,
                      size_t capacity)
{
    size_t alike = 0, named = 0;
    for (size_t i = index; i < count; i++)
        alike += is_alike(&marks[index], &marks[i]);
    *text = '\0';
    if (alike > 1)
        oxt_i_snprintf(text, capacity, "%zu coupons: ", alike);
    for (size_t i = index; i < count; i++) {
        bool before = !is_alike(&marks[index], &marks[i]);
        for (size_t j = index; j < i && !before; j++)
            before = is_alike(&marks[index], &marks[j]) &&
                     strcmp(marks[j].label, marks[i].label) == 0;
        size_t length = strlen(text);
        if (!before)
            oxt_i_snprintf(text + length, capacity - length, "%s%s", named++ ? ", " : "",
                           marks[i].label);
    }
}
