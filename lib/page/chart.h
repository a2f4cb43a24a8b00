/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a chart and of a sheet, for what draws them. */
#ifndef OXTINT_LIB_CHART_H
#define OXTINT_LIB_CHART_H

#include "oxtint/chart.h"
#include "base/internal.h"

/* What a chart is made from: everything that was given, checked. */
typedef struct {
    const oxt_film *film;
    oxt_steel_values steel;
    oxt_chart_options options;
    oxt_dip dip; /* where options.dip is one */
    oxt_chart frame;
    oxt_chart_band bands[OXT_TINT_COUNT]; /* frame.band_count */
    oxt_chart_mark *marks;                /* frame.mark_count; to be freed */
} oxt_i_chart;

/* After a failure there is nothing to free. */
oxt_status oxt_i_chart_take(oxt_i_chart *chart, const oxt_steel *steel, const oxt_film *film,
                            const oxt_chart_options *options, oxt_error *error);

/* Steel and finish in words. */
void oxt_i_chart_name(const oxt_steel_values *steel, char name[132]);
/* The thickest film whose colour is drawn: thicker ones have hardly any. */
#define OXT_I_CHART_THICKEST_NM OXT_THICKNESS_HIGH_NM

/* Why the colours of films look dull; docs/reference/pictures.md. */
#define OXT_I_ON_WHITE                                                                            \
    ", bare steel is a mid grey: straw looks greyer and purple darker than on a part, which the " \
    "eye judges beside other steel."
#define OXT_I_SCREEN_NOTE "On a screen, beside white paper" OXT_I_ON_WHITE

/* The dips of a sheet, which are to be freed, and what stands beside them. */
oxt_status oxt_i_sheet_take(oxt_sheet *sheet, oxt_dip **dips, const oxt_steel *steel,
                            const oxt_film *film, const oxt_sheet_options *options,
                            oxt_error *error);
/* In a cell without a time: an en dash. */
#define OXT_I_EMPTY_MARK "\u2013"
/* Behind a time: beyond what the trials cover, less certain than the colour lasts, both, or nothing. */
const char *oxt_i_sheet_mark(const oxt_dip *dip);

#endif
