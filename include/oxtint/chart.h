/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file chart.h: what pictures show, as numbers: the colour chart of a steel, the spread of a lift time, the map of the
 * next coupon, and the sheet for the wall.
 *
 * A chart has bath temperature across and time up, on a logarithmic scale. Its colours are oxt_thickness_n of the
 * baths and times of a grid, then oxt_film_colours; the edge of a band is oxt_time_for_thickness_n of its thickness
 * over the baths. A ladder is oxt_tint_band of each band, and oxt_film_colours between its ends.
 */
#ifndef OXTINT_CHART_H
#define OXTINT_CHART_H

#include "oxtint/advise.h"
#include "oxtint/dip.h"
#include "oxtint/interval.h"

/* Most ticks of a chart. */
#define OXT_CHART_TICKS 24

/* Most baths and targets of a sheet. */
#define OXT_SHEET_BATHS 4
#define OXT_SHEET_TARGETS 10

/** What a chart shows, beside the colours. */
typedef struct oxt_chart_options {
    size_t struct_size;
    const oxt_trials *trials; /* log whose coupons of the steel and its finish are marked; NULL: none */
    const oxt_dip *dip;       /* dip of this steel to mark, without a coupon or a film already there; NULL: none */
    double bath_low_K;        /* K   coldest and hottest bath, > 0; 0: those of trials and dip, and 15 K more */
    double bath_high_K;
    double time_low_s;        /* s   shortest and longest time, > 0; 0: 0.6 and 1.7 times those of trials and dip */
    double time_high_s;
} oxt_chart_options;

#define OXT_CHART_OPTIONS_INIT { sizeof(oxt_chart_options), NULL, NULL, 0.0, 0.0, 0.0, 0.0 }

/** The frame of a chart. */
typedef struct oxt_chart {
    size_t struct_size;
    double bath_low_K;  /* K   the left and the right end */
    double bath_high_K;
    double time_low_s;  /* s   the lower and the upper end */
    double time_high_s;
    double earliest_s;  /* s   equivalent times of the dip: from here on its colour shows, */
    double aim_s;       /*     its lift, */
    double latest_s;    /*     and from here on it no longer shows; NaN without a dip */
    size_t band_count;  /* bands in view, up to OXT_TINT_COUNT */
    size_t mark_count;  /* coupons of the steel in the log */
    uint32_t cautions;  /* bits of oxt_caution: of the dip, or else of the steel's baths */
    size_t tick_count;  /* times at which a clock would be read */
    double ticks_s[OXT_CHART_TICKS]; /* s */
    char name[132];     /* steel and finish in words */
    char time_label[48]; /* what its times are, in words */
} oxt_chart;

#define OXT_CHART_INIT \
    { sizeof(oxt_chart), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0, 0, 0, { 0.0 }, "", "" }

/** A band of trade colour in view. */
typedef struct oxt_chart_band {
    size_t struct_size;
    int index;        /* as in oxt_tint */
    int leaves_below; /* 1: it leaves the chart below before the right end; 0 */
    char label[32];   /* as in oxt_tint */
    double low_nm;    /* nm   where the band begins and ends */
    double high_nm;
    double label_s;   /* s    where its name belongs on the right end: in the middle of what is in view there */
    double srgb[3];   /* 0 to 1, colour of its middle film */
} oxt_chart_band;

#define OXT_CHART_BAND_INIT { sizeof(oxt_chart_band), 0, 0, "", 0.0, 0.0, 0.0, { 0.0, 0.0, 0.0 } }

/** A coupon on a chart. */
typedef struct oxt_chart_mark {
    size_t struct_size;
    size_t trial;        /* its index in the log */
    double bath_K;       /* K */
    double equivalent_s; /* s    as oxt_dip_equivalent_time */
    double seen_nm;      /* nm   film that was seen; NaN for an sRGB colour, which is taken as it is */
    double srgb[3];      /* 0 to 1, the colour that was seen */
    char label[32];      /* its trade name, where the chart has another colour there; "" */
} oxt_chart_mark;

#define OXT_CHART_MARK_INIT { sizeof(oxt_chart_mark), 0, 0.0, 0.0, 0.0, { 0.0, 0.0, 0.0 }, "" }

/** Paper of a sheet: ISO 216, ANSI Y14.1. */
typedef enum oxt_paper { OXT_PAPER_A4 = 0, OXT_PAPER_LETTER = 1 } oxt_paper;

/** What stands on a sheet for the wall. */
typedef struct oxt_sheet_options {
    size_t struct_size;
    const double *baths_K;      /* K   bath_count numbers; NULL: the coldest, middle and hottest of the trials, of a card
                                       without a trial that of its rate and 30 K beside it; rounded to 10 F, 5 C or 5 K */
    size_t bath_count;          /* 1 to OXT_SHEET_BATHS; 0 with NULL */
    const oxt_target *const *targets; /* a pointer to each; NULL: straw, brown, purple, dark blue, blue, light blue */
    size_t target_count;        /* 1 to OXT_SHEET_TARGETS; 0 with NULL */
    const oxt_dip_options *dip; /* part, lift, coupon, bath; NULL: the usual ones */
    oxt_temperature_unit unit;  /* scale of temperatures; OXT_UNIT_FAHRENHEIT */
    oxt_paper paper;            /* OXT_PAPER_A4 */
    const char *date;           /* of the picture, UTF-8, such as "2026-03-05"; NULL: none */
} oxt_sheet_options;

#define OXT_SHEET_OPTIONS_INIT \
    { sizeof(oxt_sheet_options), NULL, 0, NULL, 0, NULL, OXT_UNIT_FAHRENHEIT, OXT_PAPER_A4, NULL }

/** A sheet for the wall, beside its dips. */
typedef struct oxt_sheet {
    size_t struct_size;
    size_t bath_count;   /* columns, the coldest bath that was taken first, or in the order given */
    size_t target_count; /* rows */
    size_t outside_count; /* dips beyond what the trials cover */
    uint32_t cautions;   /* bits of oxt_caution of all dips */
    char name[132];      /* steel and finish in words */
    char path_text[320]; /* part, coupons and salt in words */
    char film_text[160]; /* film of the colours in words */
    char coverage[560];  /* what the trials cover, and why a cell is empty, in a few sentences */
    size_t missing_count; /* empty cells: dips that cannot be given, whose times and chance are NaN [1] */
} oxt_sheet;

#define OXT_SHEET_INIT { sizeof(oxt_sheet), 0, 0, 0, 0, "", "", "", "", 0 }

OXT_BEGIN_DECLS

/**
 * What a chart shows, as numbers: its ends, its ticks, the dip on it, its bands of trade colour and its coupons.
 *
 * Given:
 *   steel           the steel
 *   film            film that colours are computed with
 *   options         NULL for the usual ones
 *   band_capacity   number of elements of bands; OXT_TINT_COUNT are always enough; 0 with NULL
 *   mark_capacity   number of elements of marks; oxt_trials_count of the log are always enough; 0 with NULL
 * Returned:
 *   chart           the frame, with how many bands and coupons there are
 *   bands           the first ones in view, the thinnest first, each started with OXT_CHART_BAND_INIT by the caller
 *   marks           the first coupons of the steel, in the order of the log, each started with OXT_CHART_MARK_INIT
 * Status:
 *   OXT_EDOMAIN also ends that are not in order, or a dip of another steel, with a coupon or a film already there;
 *   OXT_EUNREACHABLE the film does not grow at all; OXT_EARG, OXT_EPARSE, OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   Trials and dip stand at their equivalent times at bath temperature (oxt_dip_equivalent_time), so that each lies
 *   on the colour that the steel has by then.
 */
OXT_API oxt_status oxt_chart_data(const oxt_steel *steel, const oxt_film *film,
                                  const oxt_chart_options *options, oxt_chart *chart,
                                  size_t band_capacity, oxt_chart_band *bands, size_t mark_capacity,
                                  oxt_chart_mark *marks, oxt_error *error);

/**
 * How far the time of a dip may be off: when to lift by each replicate of a bootstrap.
 *
 * Given:
 *   steel       the steel of the fit that was drawn from
 *   bootstrap   its bootstrap
 *   target      what is wanted
 *   bath_K      K   as in oxt_dip_predict
 *   options     part, lift and what else a dip may be told; NULL for the usual ones
 *   capacity    elements of time_s, at least the number of replicates
 * Returned:
 *   time_s      s   the lift by each replicate, in their order; NaN where it was left out or has no such dip
 *   failed      number of elements that are NaN; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM; what oxt_dip_predict gives for the steel itself
 */
OXT_API oxt_status oxt_chart_spread(const oxt_steel *steel, const oxt_bootstrap *bootstrap,
                                    const oxt_target *target, double bath_K,
                                    const oxt_dip_options *options, size_t capacity, double *time_s,
                                    size_t *failed, oxt_error *error);

/**
 * What one more coupon would leave of the interval of a dip, for each cell of baths and times: the best coupon in it.
 *
 * Given:
 *   steel, film    as in oxt_advise_run
 *   options        target, target_bath_K (0: the middle of low_K and high_K in 1/T), criterion and highest_order count;
 *                  NULL for the usual ones
 *   columns        number of baths, 1 to 10000
 *   bath_K         K   bath of each column, in the middle of its cells
 *   rows           number of stretches of time, 1 to 10000
 *   time_s         s   rows + 1 edges, above 0, rising: equivalent times at bath temperature
 * Returned:
 *   ratios         rows times columns numbers, the row of the shortest times first: interval_ratio of an advised coupon;
 *                  NaN where a coupon gives no information, or its usual coupon cannot have such a time
 * Status:
 *   as oxt_advise_run, but OXT_EUNREACHABLE of a cell, which is NaN
 */
OXT_API oxt_status oxt_chart_map(const oxt_steel *steel, const oxt_film *film,
                                 const oxt_advise_options *options, size_t columns,
                                 const double *bath_K, size_t rows, const double *time_s,
                                 double *ratios, oxt_error *error);

/**
 * The dips of a sheet for the wall, and what stands beside them.
 *
 * Given:
 *   steel      the steel
 *   film       film that the targets are read with
 *   options    NULL for the usual ones
 *   capacity   number of elements of dips; OXT_SHEET_BATHS times OXT_SHEET_TARGETS are always enough
 * Returned:
 *   dips       the first ones, each started with OXT_DIP_INIT by the caller: the baths of the first target first
 *   sheet      what stands beside them
 * Status:
 *   OXT_EARG also too many baths or targets; what oxt_dip_predict gives [1]
 * Notes:
 *   1. A cell whose film is out of reach in its bath, or which the coupon named shows while it is still cold, is
 *   empty: its dip has bath_K, target and NaN. The sheet is refused where all cells are.
 */
OXT_API oxt_status oxt_chart_sheet(const oxt_steel *steel, const oxt_film *film,
                                   const oxt_sheet_options *options, size_t capacity, oxt_dip *dips,
                                   oxt_sheet *sheet, oxt_error *error);

/**
 * A chart as a picture: SVG 1.1, 254 by 178 mm, which fits on A4 and Letter across.
 *
 * Given:
 *   steel, film, options   as in oxt_chart_data
 *   unit                   scale of temperatures
 *   buffer, capacity       where the picture goes; 30 to 120 kB
 * Returned:
 *   needed                 its length without the final NUL; NULL allowed
 * Status:
 *   as oxt_chart_data; OXT_ESPACE
 * Notes:
 *   1. Texts are escaped, and numbers have a decimal point whatever the locale of the host. Title and description
 *      name the steel, the ends, the bands and the dip.
 *   2. Coupons that would cover one another stand side by side, each with a line to its place; more than 400 are
 *      left where they are.
 */
OXT_API oxt_status oxt_chart_svg(const oxt_steel *steel, const oxt_film *film,
                                 const oxt_chart_options *options, oxt_temperature_unit unit,
                                 char *buffer, size_t capacity, size_t *needed, oxt_error *error);

/**
 * A sheet for the wall as a picture: SVG 1.1 of one page, with the ladder of colours and every caution.
 *
 * Given:
 *   steel, film, options   as in oxt_chart_sheet
 *   buffer, capacity       where the picture goes; 40 to 60 kB
 * Returned:
 *   needed                 its length without the final NUL; NULL allowed
 * Status:
 *   as oxt_chart_sheet; OXT_EDOMAIN no room for all cautions; OXT_ESPACE
 * Notes:
 *   1 as in oxt_chart_svg.
 */
OXT_API oxt_status oxt_chart_sheet_svg(const oxt_steel *steel, const oxt_film *film,
                                       const oxt_sheet_options *options, char *buffer,
                                       size_t capacity, size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
