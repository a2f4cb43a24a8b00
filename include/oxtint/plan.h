/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file plan.h: several dips at once: the most forgiving bath, and a set of parts to one colour. */
#ifndef OXTINT_PLAN_H
#define OXTINT_PLAN_H

#include "oxtint/dip.h"

/** Among which baths the most forgiving is looked for, and how many of them are compared. */
typedef struct oxt_bath_range {
    size_t struct_size;
    double low_K;     /* K   coldest bath allowed, OXT_BATH_LOW_K to high_K; 533.15 (500 F) */
    double high_K;    /* K   hottest bath allowed, up to OXT_BATH_HIGH_K; 644.26 (700 F) */
    double longest_s; /* s   longest dip allowed, above 0, up to OXT_TIME_HIGH_S; 3600 */
    size_t rows;      /* baths to compare, evenly from low_K to high_K, 2 to 200; 9 */
} oxt_bath_range;

#define OXT_BATH_RANGE_INIT { sizeof(oxt_bath_range), 533.15, 644.26, 3600.0, 9 }

/** One part of a set. */
typedef struct oxt_plan_part {
    size_t struct_size;
    char name[48];                  /* what it is called at the bench, UTF-8, may be empty */
    const oxt_steel *steel;         /* its steel; parts of one card share the error of its fit */
    const oxt_film *film;           /* how its finish shows a film */
    const oxt_target *target;       /* what is wanted of it */
    const oxt_dip_options *options; /* its part, lift, coupon and so on; NULL for the usual ones */
} oxt_plan_part;

#define OXT_PLAN_PART_INIT { sizeof(oxt_plan_part), "", NULL, NULL, NULL, NULL }

/** What may be chosen about a set. */
typedef struct oxt_plan_options {
    size_t struct_size;
    double spacing_s;     /* s   least time between two lifts, 0 to OXT_TIME_HIGH_S; 10 */
    double tolerance;     /* CIEDE2000 up to which two parts count as alike, > 0, up to 1000; 5 */
    double bath_wander_K; /* K   standard deviation of the bath, for all parts alike, 0 to 1000; 0 */
    double time_wander_s; /* s   standard deviation of each lift, 0 to OXT_TIME_HIGH_S; 0 */
    size_t draws;         /* random sets to simulate, 100 to 1000000; 4000 */
    uint32_t random_seed; /* the same one gives the same sets; 1 */
    oxt_progress_function progress; /* NULL for none */
    void *user;                     /* handed to `progress` */
} oxt_plan_options;

#define OXT_PLAN_OPTIONS_INIT \
    { sizeof(oxt_plan_options), 10.0, 5.0, 0.0, 0.0, 4000, 1, NULL, NULL }

/** What is to be expected of a set. */
typedef struct oxt_plan_values {
    size_t struct_size;
    size_t count;          /* number of parts */
    double bath_K;         /* K */
    double tolerance;      /* as in the options */
    double aim_mismatch;   /* largest CIEDE2000 between two parts if every part hits its aim */
    double mean_mismatch;  /* expected mismatch: the mean of the simulated sets */
    double high_mismatch;  /* not exceeded in 95 % of sets */
    double chance_match;   /* 0 to 1: that no two parts differ by more than the tolerance */
    double chance_targets; /* 0 to 1: that every part shows its target */
    double last_lift_s;    /* s   from entering the first part to lifting the last */
    uint32_t cautions;     /* bits of oxt_caution, of all dips together */
    double sag_K;          /* K   by which all loads together cool the bath at most, while a part is in it; 0 where
                                  no part states its load and a bath of limited size */
} oxt_plan_values;

#define OXT_PLAN_VALUES_INIT \
    { sizeof(oxt_plan_values), 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0.0 }

/** One part in the order of the work. */
typedef struct oxt_plan_step {
    size_t struct_size;
    size_t part;    /* index of the part as it was given, from 0 */
    char name[48];  /* its name */
    double enter_s; /* s   when it enters the bath, the first at 0 */
    double lift_s;  /* s   when it is lifted */
} oxt_plan_step;

#define OXT_PLAN_STEP_INIT { sizeof(oxt_plan_step), 0, "", 0.0, 0.0 }

/** A planned set: opaque, immutable, shared freely between threads. */
typedef struct oxt_plan oxt_plan;

OXT_BEGIN_DECLS

/**
 * Compare baths for a target: the most forgiving of those allowed, and the dip in each of several.
 *
 * Given:
 *   steel     the steel
 *   target    what is wanted
 *   range     the baths and times allowed; NULL for the usual ones
 *   options   NULL for the usual ones
 * Returned:
 *   best      the dip that has the best chance of showing the target [1], of those that no caution forbids and whose
 *             salt is liquid; of all where there are none
 *   dips      pointers to range.rows dips, of which the first `count` are filled, coldest bath first [2];
 *             NULL: only the best is wanted
 *   count     number of dips that were filled, 0 to range.rows; NULL where dips is NULL
 * Status:
 *   OXT_EDOMAIN, OXT_EUNREACHABLE no bath allowed gives the target in the time allowed, OXT_EARG,
 *   OXT_ENOCONV, OXT_ENOMEM
 * Notes:
 *   1. A hotter bath is quicker, but its window is shorter: the wander of the clock and of the bath then
 *      matters more. A cooler one may lie outside the trials, where the fit is less sure. State the wander
 *      in the options: without it only the fit and the scatter count.
 *   2. Baths in which the target takes longer than range.longest_s are left out.
 */
OXT_API oxt_status oxt_plan_baths(const oxt_steel *steel, const oxt_target *target,
                                  const oxt_bath_range *range, const oxt_dip_options *options,
                                  oxt_dip *best, oxt_dip *const *dips, size_t *count,
                                  oxt_error *error);

/**
 * The comparison of baths as a table to read at the bench, with the cautions of all its dips. Behind a row stands what
 * forbids its dip, or that its salt is frozen.
 *
 * Given:
 *   dips                the dips of oxt_plan_baths
 *   count               their number, 0 to 200
 *   best                the most forgiving one, which has a row of its own
 *   unit                scale for temperatures
 *   detail              how much of each caution
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_EDOMAIN, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_plan_baths_report(const oxt_dip *const *dips, size_t count,
                                         const oxt_dip *best, oxt_temperature_unit unit,
                                         oxt_caution_detail detail, char *buffer, size_t capacity,
                                         size_t *needed, oxt_error *error);

/**
 * Plan a set of parts to one colour in one bath: a dip each, an order of work [1], and how well they will
 * match [2].
 *
 * Given:
 *   parts     pointers to the parts; wander in their options is not used
 *   count     number of parts, 1 to 1000
 *   bath_K    K   OXT_BATH_LOW_K to OXT_BATH_HIGH_K
 *   options   NULL for the usual ones
 * Returned:
 *   set       free it with oxt_plan_free
 * Status:
 *   as oxt_dip_predict, with the part in the error's row; OXT_EARG also for two baths in one set, OXT_ECANCEL
 * Notes:
 *   1. Two lifts are never closer than the spacing. The slowest part goes first; then two entries are never
 *      closer than the spacing either. Where parts state their load_kg and a bath of limited size, that bath is
 *      one for all: salt, heater and all loads are followed from the first entry to the last lift, and the times
 *      are those at which every part has its film all the same. A part that names no bath is in that of the others.
 *   2. Found by simulating random sets: the error of each fit once for all parts of its steel, the wander of
 *      the bath once for all parts, the eyes that judge (reader_sd) once too, that of the lift and the scatter for each
 *      part. Colours are compared in
 *      daylight. Each set compares every part with every other: with the 4000 sets of the default 100 parts
 *      take a quarter of a second, 300 two seconds and 1000 half a minute. `progress` is called meanwhile.
 */
OXT_API oxt_status oxt_plan_set(oxt_plan **set, const oxt_plan_part *const *parts, size_t count,
                                double bath_K, const oxt_plan_options *options, oxt_error *error);

/**
 * Free a set.
 *
 * Given:
 *   set   NULL is ignored
 */
OXT_API void oxt_plan_free(oxt_plan *set);

/**
 * What is to be expected of a set.
 *
 * Given:
 *   set      the set
 * Returned:
 *   values   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_plan_get(const oxt_plan *set, oxt_plan_values *values, oxt_error *error);

/**
 * One part in the order of the work, and its dip.
 *
 * Given:
 *   set     the set
 *   index   0 to count - 1, in the order of entering and of lifting
 * Returned:
 *   step    a copy
 *   dip     a copy, the wander of the set included; NULL allowed
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_plan_get_step(const oxt_plan *set, size_t index, oxt_plan_step *step,
                                     oxt_dip *dip, oxt_error *error);

/**
 * The set as a report to read at the bench: the order of work, what to expect, the cautions.
 *
 * Given:
 *   set                 the set
 *   unit                scale for temperatures
 *   detail              how much of each caution
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_plan_report(const oxt_plan *set, oxt_temperature_unit unit,
                                   oxt_caution_detail detail, char *buffer, size_t capacity,
                                   size_t *needed, oxt_error *error);

/**
 * A set, with its steps and their dips, as JSON, for machines: fields by their names here, numbers in their units, null for what is not finite.
 *
 * Given:
 *   set                 the set
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_plan_json(const oxt_plan *set, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
