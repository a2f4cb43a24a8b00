/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the fit share. */
#ifndef OXTINT_FIT_INTERNAL_H
#define OXTINT_FIT_INTERNAL_H

#include "base/json.h"
#include <math.h>

#include "oxtint/cross_validation.h"
#include "oxtint/fit.h"
#include "oxtint/tint.h"
#include "base/internal.h"
#include "base/watch.h"
#include "growth/law.h"
#include "trials/trials.h"
#include "fit/fit_path.h"
#include "fit/linear.h"

/* One way to read what was seen, as a film. */
typedef struct {
    double low_nm, high_nm;
    double ln_low, ln_high;
    double ln_x;  /* middle of ln thickness */
    double sigma; /* standard deviation of ln thickness within what was seen */
    int order;    /* 0 for a thickness */
    double seen_nm,
        seen_sigma; /* middle and deviation of the film itself: under another law than the parabolic one the
                                   logarithms are of the film of that law which takes as long */
} oxt_i_reading;

/* One trial of the steel that is fitted. */
typedef struct {
    size_t trial, line;
    double bath_K, time_s;
    double true_K,
        true_s; /* what they are taken to have been; as logged but in an orthogonal fit */
    /* What the model needs of them: ln true_s, and T_ref/true_K - 1. Of a coupon with a thermal
     * path of its own, ln of its equivalent time at the bath, as a straight line in q. */
    double ln_time, inverse_T_offset;
    bool has_path;                 /* the coupon's size or its lift is known */
    const oxt_i_coupon_path *path; /* as logged; the fit owns it */
    oxt_part part;
    oxt_lift lift;
    double bath_sd_K, time_sd_s; /* standard errors of bath and time */
    double slope_K, slope_s;     /* d ln x/d bath, d ln x/d time */
    double shift;                /* ln x from the true bath and time back to the logged ones */
    oxt_i_reading readings[4];   /* the likeliest first; more than one where the order is open */
    size_t reading_count;        /* 0: not used, for the reason given */
    size_t reading;              /* which one the fit took */
    bool is_colour;              /* measured */
    bool is_name;                /* given by a reader */
    bool is_lifted;      /* as soon as a place in a band was reached: the scatter is in its time */
    bool is_band;        /* a trade name: somewhere between the ends of its band */
    double aim;          /* ln x that the solution aims at: what was seen, or within its band */
    double aim_sigma;    /* standard deviation of the aim: `sigma`, but for a band */
    double band_sd;      /* of ln x about the model where the name counts as a band, else 0 */
    size_t day;          /* from 1, of its set; 0: the log states no days */
    double day_effect;   /* ln x by which films of its day are thicker */
    double day_share;    /* how far that is the mean of the day's rows */
    double day_u;        /* their mean inverse_T_offset */
    double day_variance; /* of twice the effect, at given constants */
    const char *reason;  /* static text */
    char text[56];       /* what was seen, for messages */
    double residual, sigma, studentized, leverage, weight, cooks_distance, dip_change, equivalent_s;
} oxt_i_fit_row;

/* Another reading must be nearer than this share of the distance of the one that stands. */
static const double OXT_I_CLEARLY_NEARER = 0.6;

static inline const oxt_i_reading *oxt_i_seen(const oxt_i_fit_row *row)
{
    return &row->readings[row->reading];
}

/* What is known beforehand, as an observation: of_ln_k ln k_ref + of_q q = value. */
typedef struct {
    double of_ln_k, of_q, value, weight;
} oxt_i_prior_row;

/* ln x by the constants, at the bath and time that were logged: along the row's straight lines in q and
 * from its true bath and time. */
static inline double oxt_i_fit_tangent(const oxt_i_fit_row *row, double ln_k, double q)
{
    return 0.5 * (ln_k - q * row->inverse_T_offset + row->ln_time) + row->shift + row->day_effect;
}

/* How the coupons were run: the usual one, and the range. */
typedef struct {
    bool included; /* their thermal paths are: some trial states its part or its lift */
    oxt_part part;
    oxt_lift lift;
    double size_low_m, size_high_m, lift_low_s, lift_high_s;
} oxt_i_coupons;

/* Sentences for whoever reads the result (warnings.c). `failed` remembers that memory ran out. */
typedef struct {
    struct oxt_i_warning {
        const char *code; /* static, and never another: those who read JSON go by it */
        double number;    /* what the sentence is about, NaN where it is no number */
        char *text;
        double
            bath_K; /* that the text names on both scales, NaN for none: a report names it on its own */
    } * list;
    size_t count;
    bool failed;
} oxt_i_warnings;

void oxt_i_warn(oxt_i_warnings *warnings, const char *code, double number, const char *format, ...)
    OXT_I_PRINTF(4, 5);
/* A bath on both scales, for a sentence that is read without its report. */
oxt_i_shown oxt_i_both_scales(double bath_K);
/* The sentence said last names this bath on both scales. */
void oxt_i_warned_of(oxt_i_warnings *warnings, double bath_K);
/* As a list of JSON. */
json_t *oxt_i_warnings_json(const oxt_i_warnings *warnings, bool *good);
void oxt_i_warnings_free(oxt_i_warnings *warnings);
/* One of them in the manner of a public text. */
oxt_status oxt_i_warnings_give(const oxt_i_warnings *warnings, size_t index, char *buffer,
                               size_t capacity, size_t *needed, oxt_error *error);
/* All of them as a section of a report, whose scale is theirs. */
void oxt_i_text_add_warnings(oxt_i_text *text, const oxt_i_warnings *warnings,
                             oxt_temperature_unit unit);

/* The trials of one steel with one finish, or with all of them (fit_rows.c). */
typedef struct {
    char steel[64], finish[64];
    char name[140];      /* steel and finish, for messages */
    oxt_i_films films;   /* where all are bare measured thicknesses */
    oxt_i_fit_row *rows; /* where they are not */
    size_t row_count, used_count, bright_count;
    size_t day_count;   /* of the used rows; 0: none states one */
    double within_days; /* share of the squares of 1/T within days: what tells a bath from a day */
    double low_K, high_K;     /* baths of the used rows */
    double inverse_per_K;     /* sum of 1/T over them */
    oxt_growth law;           /* by which the logarithms of the rows are */
    oxt_i_coupon_path *paths; /* of the rows that have one */
    oxt_i_coupons coupons;
} oxt_i_trial_set;

/* The model: ln x = (ln k_ref - q u + ln t) / 2, with q = Q / (R T_ref) and the inverse_T_offset u = T_ref/T - 1; or
 * z = ln k_ref - q u with z = 2 ln x - ln t. The used rows are columns, set after set. */
typedef struct {
    const oxt_i_trial_set *const *sets;
    size_t set_count;
    const size_t *first;  /* the rows of set g are first[g] to first[g + 1] - 1 */
    oxt_i_fit_row **rows; /* NULL where all sets are of bare thicknesses */
    size_t n;
    /* own: variance of ln x beside the scatter and the errors of bath and time. Thicknesses have none of the three where
     * their classes are enough, as there may be millions: see oxt_i_fit_take_columns(). */
    double *u, *z, *own;
    double T_ref_K;
    double held_q;            /* NAN when q is fitted */
    oxt_i_prior_row prior[2]; /* of one steel; of a pool what is known of each q */
    size_t prior_count;
    bool orthogonal;
    bool uncertain; /* some row's bath or time is */
    bool has_paths; /* some row's equivalent time moves with q */
} oxt_i_fit_model;

/* Rows of one set and one own variance, by their number and moments. */
typedef struct {
    double own;
    oxt_i_moments_3 rows; /* of u and z, and of thicknesses ln x */
} oxt_i_fit_class;

typedef struct oxt_i_fit_solution {
    oxt_i_fit_model model;
    oxt_i_linear system;
    size_t p;
    oxt_i_constants *at, *before; /* of each set */
    double *step;                 /* two for each set */
    oxt_i_linear_sums sums;
    oxt_i_moments *moments;    /* of each set, weighted */
    double *space;             /* of the linear problem */
    double *weights, *scratch; /* of each row; NULL where the classes have the weights */
    oxt_i_fit_class *classes;
    size_t *first_class; /* of each set, and the end */
    size_t class_count;  /* 0: each row has its own weight */
    double variance;     /* of the scatter, at which it stands */
    double scatter;
    double scatter_dof;                   /* degrees of freedom behind it; 0: it was given */
    double mean_variance, scatter_spread; /* its square: mean, and variance about that */
    size_t day_count; /* of all sets, as draws; 0: there are none, or nothing to tell them by */
    double day_sd;    /* standard deviation of the effects on ln x */
    double day_logs; /* what they add to the logarithm of the determinant of the rows' covariance */
    oxt_i_moments *days;            /* space, for those of the set that has most */
    oxt_i_constants day_covariance; /* of the constants of the first set, over all deviations */
    double day_dof;                 /* that go with it */
    oxt_growth *law;                /* of the sets; NULL where it does not change */
    double ln_shape, ln_shape_sd;   /* of its shape, beforehand; deviation 0: nothing is known */
    double reader_offset,
        reader_sd;         /* of ln x, at which the names stand, and its deviation beforehand */
    double extra_variance; /* of the reader's offset or of ln shape; 0: neither is fitted */
    oxt_i_constants *extra_slope; /* b and q of each set by it */
    oxt_robust robust;            /* in force */
    bool by_band;                 /* trade names count as bands, once there is a start */
    bool hold_weights;            /* they stay as they are */
    bool hold_rows;               /* so does all else of the rows, and the moments */
    bool hold_orders;             /* colours are not read anew */
    bool roughly;       /* close enough for a likelihood, whose error is the square of theirs */
    double prior_trust; /* factor on the weight of the prior; 1 but at the start */
    oxt_i_watch *watch; /* NULL: nobody waits */
    double share;       /* of the watch's window that is done */
} oxt_i_fit_solution;

struct oxt_fit {
    oxt_fit_values values;
    oxt_i_trial_set set;
    const oxt_i_trial_set *one; /* `set`, as an array of one, and where its rows begin and end */
    size_t first[2];
    char description[128];
    double edges[OXT_TINT_COUNT + 1]; /* nm, of the bands of its film (optics/tint.h) */
    oxt_words *words;                 /* the shop's own, for the card; NULL: none */
    oxt_i_warnings warnings;
    /* What its rows are compared with: the constants without the error of a held Q. */
    oxt_i_constants constants;
    double counted_dof;
    size_t parameters;
    /* How it was made, for what goes on from it; without the pointers of the options. */
    oxt_fit_options options;
    oxt_i_prior_row prior[2];
    size_t prior_count;
};

/* With a prior the errors are not left to the rows alone: in simulated logs of one to six coupons the
 * intervals hold with this many (docs/reference/prior.md). */
#define OXT_I_LEAST_DOF_WITH_PRIOR 4.0

/* Limits of what determines Q, and the Q of the condition (fit_solve.c). Baths closer together than the first are
 * one bath read with a thermometer's jitter. At the second a rate known to 5 %, which few logs of colours reach, is
 * a Q known to 100 %. */
#define OXT_I_LEAST_SPREAD_K 5.0
#define OXT_I_WORST_CONDITION 20.0
#define OXT_I_PUBLISHED_Q 71e3
/* What is published for iron and mild steel is above and below these; beyond is a warning. */
#define OXT_I_LEAST_USUAL_Q 40e3
#define OXT_I_MOST_USUAL_Q 180e3

/* Huber's and Tukey's constants for 95 % efficiency with normal errors. */
#define OXT_I_HUBER 1.345
#define OXT_I_TUKEY 4.685
/* A thickness or colour known better than this would still not count for more: the model is not. */
#define OXT_I_LEAST_SIGMA 1e-3

/* ---- one row (fit_row.c) ---- */

/* "Line 12" or "Trial 3"; what was seen, for messages; "45 %" or "a factor of 20". */
void oxt_i_row_name(const oxt_i_fit_row *row, char *buffer, size_t capacity);
void oxt_i_row_text(const oxt_i_fit_row *row, char *buffer, size_t capacity);
void oxt_i_fit_how_far(double off, char *buffer, size_t capacity);
void oxt_i_fit_read_thickness(oxt_i_fit_row *row, double thickness_nm, double uncertainty);
/* A thickness as a row like all others. */
oxt_i_fit_row oxt_i_fit_film_row(const oxt_i_films *films, size_t i);
/* Variance of ln x from the errors of a row's bath and time. */
double oxt_i_fit_spread(const oxt_i_fit_row *row);
/* Share of its own prediction that a row determines; how much of that is by the constants, and by the rate in its
 * bath. */
typedef struct {
    double all, constants, rate;
} oxt_i_fit_leverages;
oxt_i_fit_leverages oxt_i_fit_leverage(const oxt_i_constants *at, const oxt_i_fit_row *row,
                                       double u, double weight);
/* Robust weight, 0 to 1, of a residual that is so many times its error. */
static inline double oxt_i_fit_trust(oxt_robust robust, double errors)
{
    double size = fabs(errors), share = size / OXT_I_TUKEY;
    if (robust == OXT_ROBUST_HUBER)
        return size > OXT_I_HUBER ? OXT_I_HUBER / size : 1.0;
    if (robust == OXT_ROBUST_TUKEY)
        return share < 1.0 ? (1.0 - share * share) * (1.0 - share * share) : 0.0;
    return 1.0;
}

/* ---- reading (fit_rows.c) ---- */

/* Take the trials of the steel and finish out of the log and read what was seen; `steel`: its number in the log where it is
 * known. */
#define OXT_I_NO_STEEL SIZE_MAX
oxt_status oxt_i_fit_read_rows(oxt_i_trial_set *set, oxt_i_warnings *warnings,
                               const oxt_trials *trials, size_t steel, const oxt_film *film,
                               const oxt_fit_options *options, oxt_error *error);
/* Rows with all of their fields, where there were only thicknesses. */
oxt_status oxt_i_fit_expand(oxt_i_trial_set *set, oxt_error *error);
void oxt_i_fit_free_set(oxt_i_trial_set *set);
/* The usual coupon of the used rows, which is taken for those that state none where others do; and into
 * the values of a steel (fit_coupon.c). */
oxt_status oxt_i_fit_take_coupons(oxt_i_trial_set *set, oxt_i_warnings *warnings, oxt_error *error);
void oxt_i_fit_put_coupons(const oxt_i_trial_set *set, oxt_steel_values *values);
/* The thermal paths of the used rows that state a part or a lift (fit_path.c). */
oxt_status oxt_i_fit_lay_paths(oxt_i_trial_set *set, oxt_error *error);
/* Baths of the used rows, into the set. */
void oxt_i_fit_measure_baths(oxt_i_trial_set *set);
/* Names, count, baths, thicknesses and coupons of the used rows, into the values of a steel. */
void oxt_i_fit_reach(const oxt_i_trial_set *set, oxt_steel_values *values);

/* ---- a row by the model (fit_path.c, fit_band.c) ---- */

/* The start of a row's bath and time, before any constants are known. */
void oxt_i_fit_linearise_row(const oxt_i_fit_model *model, oxt_i_fit_row *row, double q,
                             double true_K, double true_s);
/* ln of the equivalent time of a coupon at bath temperature; `by_q` its slope, NULL allowed. */
double oxt_i_fit_ln_equivalent(double T_ref_K, const oxt_i_fit_row *row, double q, double bath_K,
                               double time_s, double *by_q);
/* ln x by the constants; `by_q` its slope, NULL allowed. */
double oxt_i_fit_ln_x(double T_ref_K, const oxt_i_fit_row *row, double ln_k, double q,
                      double bath_K, double time_s, double *by_q);
/* Where a trade name as a band draws the solution from this ln x, by its band_sd; that of many into their rows, but for
 * those that are no bands. */
typedef struct {
    double ln_x, sigma;
} oxt_i_aim;
oxt_i_aim oxt_i_fit_aim_at_band(const oxt_i_fit_row *row, double ln_x, size_t row_count);
void oxt_i_fit_aim_at_bands(size_t n, oxt_i_fit_row *const *rows, const double *ln_x,
                            size_t row_count);
/* Logarithm of the chance of its band with the model at its middle; `off` beyond the aim, with a trust below 1 as much less
 * below the best; and the sum of those of many at these ln x. */
double oxt_i_fit_best_log_chance(const oxt_i_fit_row *row);
double oxt_i_fit_log_chance(const oxt_i_fit_row *row, double off, double trust);
double oxt_i_fit_log_chances(size_t n, oxt_i_fit_row *const *rows, const double *ln_x);
/* Residual in ln x at another ln x: of a band the root of its deviance, times sigma. `slope` by ln x; NULL
 * allowed. */
double oxt_i_fit_off(const oxt_i_fit_row *row, double ln_x, double *slope);
/* The same in errors, `off` beyond the aim. */
double oxt_i_fit_errors(const oxt_i_fit_row *row, double off);

/* ---- solving, each on those before: fit_model.c, fit_start.c, fit_weights.c, fit_scatter.c, fit_solve.c ---- */

/* Columns of these sets, with the middle temperature; what is shared is in `system`, whose groups they are. Free
 * the solution whatever is returned. */
oxt_status oxt_i_fit_new_solution(oxt_i_fit_solution *solution, const oxt_i_trial_set *const *sets,
                                  const size_t *first, const oxt_fit_options *options, bool as_left,
                                  oxt_error *error);
void oxt_i_fit_free_solution(oxt_i_fit_solution *solution);
/* The columns, and besides them room for a number for each row, where there are none yet; false when memory runs out. */
bool oxt_i_fit_take_columns(oxt_i_fit_solution *solution);
bool oxt_i_fit_take_scratch(oxt_i_fit_solution *solution);
/* Choose the rows and the middle temperature of one steel, or say what is missing. */
oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error);
/* Constants, scatter (estimated when negative) and orders. */
oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                           oxt_error *error);
/* The same with the orders as they stand. */
oxt_status oxt_i_fit_solve_as_read(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                   oxt_error *error);
/* Columns from the rows as they were logged and read, or as an earlier solution left them; and classes of equal own
 * variance. */
void oxt_i_fit_fill_columns(oxt_i_fit_solution *solution, bool as_left);
/* Does nothing of the rows move with the constants? */
bool oxt_i_fit_is_fixed(const oxt_i_fit_solution *solution);
/* Are the moments of its classes enough for a solution? */
bool oxt_i_fit_by_classes(const oxt_i_fit_solution *solution);
/* Columns of some thicknesses of a set. */
enum {
    OXT_I_FILM_BLOCK = 256
}; /* as many as stay in the nearest cache from one loop to the next */
typedef struct {
    double u[OXT_I_FILM_BLOCK], z[OXT_I_FILM_BLOCK], own[OXT_I_FILM_BLOCK];
} oxt_i_film_block;
void oxt_i_fit_fill_films(const oxt_i_films *films, double T_ref_K, size_t first, size_t n,
                          double *u, double *z, double *own);
/* Moments of u, z and ln x of thicknesses, at the weights of the solution. */
oxt_i_moments_3 oxt_i_fit_film_moments(const oxt_i_fit_solution *solution);
/* Residual, model minus aim, of row i of set g. */
static inline double oxt_i_fit_residual(const oxt_i_fit_solution *solution, size_t g, size_t i)
{
    const oxt_i_constants *at = &solution->at[g];
    double effect = solution->day_count > 0 ? solution->model.rows[i]->day_effect : 0.0;
    return 0.5 * (at->b - at->q * solution->model.u[i] - solution->model.z[i]) + effect;
}
/* Its variance, by the scatter at which the solution stands, and its weight. */
double oxt_i_fit_variance(const oxt_i_fit_solution *solution, size_t i);
double oxt_i_fit_weight(const oxt_i_fit_solution *solution, size_t i);
/* How many observations the prior is. */
size_t oxt_i_fit_prior_parts(const oxt_i_fit_solution *solution);
/* Rows and parts of the prior less parameters. */
double oxt_i_fit_counted_dof(const oxt_i_fit_solution *solution);
/* Degrees of freedom of the errors of the constants: by what is known of the scatter. Where that was given, those of
 * the rows, of a variance of which the errors that were stated for baths and times are a part: Welch and
 * Satterthwaite's, with the stated part known exactly (JCGM 100:2008, G.4). */
double oxt_i_fit_effective_dof(const oxt_i_fit_solution *solution, double of_rows);
/* Degrees of freedom of the rows, for the errors of the constants. */
double oxt_i_fit_dof_of_rows(const oxt_i_fit_solution *solution);
/* Variances of ln k_ref and Q, a held Q's own among them (fit.c). */
void oxt_i_fit_fill_covariance(oxt_fit_values *values, const oxt_i_fit_solution *solution,
                               const oxt_fit_options *options);
/* Corrected Akaike criterion, at the weights of the rows; NaN with too few of them. `more`: parameters beside the
 * constants. */
double oxt_i_fit_aicc(const oxt_i_fit_solution *solution, size_t more);
/* The exponent of time beside the constants, its error, and the middle film, into the values (fit_exponent.c). */
void oxt_i_fit_find_exponent(const oxt_i_fit_solution *solution, oxt_fit_values *values);
/* Of the residuals as the solution stands. */
double oxt_i_fit_restricted_likelihood(const oxt_i_fit_solution *solution);
/* Where the scatter is to be looked for. */
oxt_status oxt_i_fit_scatter_range(oxt_i_fit_solution *solution, double *low, double *high,
                                   oxt_error *error);
/* Logarithm of what is known of the scatter before any row, by that of the scatter, of which it is a density. */
double oxt_i_fit_log_prior(double ln_scatter);
/* The scatter with its degrees of freedom, from the restricted likelihood and what is usual. */
oxt_status oxt_i_fit_find_scatter(oxt_i_fit_solution *solution, oxt_error *error);
/* Errors of times and baths that were read off a coarse scale (fit_grid.c). */
oxt_status oxt_i_fit_find_grids(oxt_i_trial_set *set, oxt_i_warnings *warnings,
                                oxt_rounding rounding, oxt_error *error);

/* ---- one parameter more beside the constants (fit_extra.c), which the caller's `move` sets in the rows ---- */

typedef struct {
    void (*move)(oxt_i_fit_solution *solution, double value);
    double (*cost)(const oxt_i_fit_solution *solution,
                   double value); /* beside the likelihood of the rows */
    double low, high, step;       /* where it is looked for, and a small step */
    /* With which the scatter grows while it moves; NULL: it stays. */
    double (*steepness)(const oxt_i_fit_solution *solution);
} oxt_i_extra;

/* Its place by the likelihood, the rows at it, its variance, and how the constants of each set go with it. */
oxt_status oxt_i_fit_find_extra(oxt_i_fit_solution *solution, const oxt_i_extra *extra,
                                double start, const oxt_fit_options *options, double *found,
                                oxt_error *error);
/* Its place alone, at the scatter and the days that the solution stands at, and the constants there. */
oxt_status oxt_i_fit_seek_extra(oxt_i_fit_solution *solution, const oxt_i_extra *extra,
                                double *found, oxt_error *error);
/* The same as the first where the place is known and the solution stands there. */
oxt_status oxt_i_fit_know_extra(oxt_i_fit_solution *solution, const oxt_i_extra *extra,
                                double place, oxt_error *error);

/* ---- the law (fit_law.c, fit_shape.c) ---- */

/* Make the rows of sets those of the law that is asked for, where it is not the parabolic one, about the middle film of
 * all. */
oxt_status oxt_i_fit_take_law(oxt_i_trial_set *const *sets, size_t count,
                              const oxt_fit_options *options, oxt_error *error);
/* The middle film of its used rows, nm. */
double oxt_i_fit_middle_of(const oxt_i_trial_set *set);
oxt_status oxt_i_fit_check_law(const oxt_fit_options *options, oxt_error *error);
/* A row by it; and where its shape is looked for: those of laws that films about the middle one can tell apart. */
void oxt_i_fit_move_row(const oxt_growth *law, oxt_i_fit_row *row);
/* All rows of a solution by its law, which has changed. */
void oxt_i_fit_move_rows(oxt_i_fit_solution *solution);
/* Scatter that is alike in ln of the film is so many times that in logarithms of the parabolic law, at the middle film. */
double oxt_i_fit_steepness(const oxt_i_fit_solution *solution);
void oxt_i_fit_shape_range(const oxt_growth *law, double *low, double *high);
/* Rows that are points are so in ln of the film, whatever the law makes of it: the logarithm of that, for likelihoods. */
double oxt_i_fit_logs_of_law(const oxt_i_fit_solution *solution);
/* The rows of all sets by another shape. */
void oxt_i_fit_move_shape(oxt_i_fit_solution *solution, double ln_shape);
#define OXT_I_SHAPE_STEP 0.05 /* of ln shape, for slopes by it */
/* Is its shape fitted? And its place, with what it adds to the errors of the constants. */
bool oxt_i_fit_has_shape(const oxt_fit_options *options);
oxt_status oxt_i_fit_find_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                oxt_error *error);
/* Its place alone, within so many of its errors, at the scatter that the solution stands at: of a replicate. */
oxt_status oxt_i_fit_seek_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                double within, double *ln_shape);
/* The same as the first where it is known and the solution stands there. */
oxt_status oxt_i_fit_know_shape(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                oxt_error *error);
/* The film before every dip, likewise (fit_initial.c). */
oxt_status oxt_i_fit_find_initial(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                  oxt_error *error);
/* The scatter was found beside one parameter more than is counted: one degree of freedom less is behind it. */
void oxt_i_fit_count_extra(oxt_i_fit_solution *solution);
/* The film of a logarithm of the rows. */
static inline double oxt_i_fit_film_nm(const oxt_i_trial_set *set, double ln_x)
{
    return oxt_i_grows_plainly(&set->law) ? exp(ln_x) : oxt_i_film_of(&set->law, exp(2.0 * ln_x));
}

/* ---- who read the names (fit_reader.c) ---- */

/* Do measured films tell the reader's offset? */
bool oxt_i_fit_has_reader(const oxt_i_fit_model *model, const oxt_fit_options *options);
oxt_status oxt_i_fit_find_reader(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                 oxt_error *error);
/* The reader's bands in the place of those of the film, and as words in that of `words`; false when memory runs out. */
bool oxt_i_fit_take_reader(oxt_words **words, double edges[OXT_TINT_COUNT + 1], double offset);

/* ---- days (fit_days.c) ---- */

/* Number the days of the used rows, which so far are those of the log. */
oxt_status oxt_i_fit_number_days(oxt_i_trial_set *set, oxt_error *error);
/* Moments of each day of a set, as its rows are. */
void oxt_i_fit_sum_days(const oxt_i_fit_solution *solution, size_t g);
/* Moments of a set with the effects of its days integrated out. */
oxt_i_moments oxt_i_fit_moments_of_days(oxt_i_fit_solution *solution, size_t g);
/* The likeliest effects at the constants as they stand, and their squares over their variance. */
void oxt_i_fit_take_day_effects(oxt_i_fit_solution *solution);
double oxt_i_fit_squares_of_days(const oxt_i_fit_solution *solution);
/* Scatter, unless it is given, and deviation of the days, from their likelihood and what is usual
 * (fit_deviations.c). */
oxt_status oxt_i_fit_find_deviations(oxt_i_fit_solution *solution, oxt_error *error);

/* Is any used row a trade name that counts as a band? */
bool oxt_i_fit_by_band(const oxt_i_fit_model *model, oxt_names names);
/* Constants that no single row can move, by least absolute residuals, into `at` of each set. */
void oxt_i_fit_resistant(oxt_i_fit_solution *solution, oxt_i_constants *at);
/* The row farthest from them, as a copy; false with fewer than 4. By how much in ln x, and what is usual. */
bool oxt_i_fit_contradicting(oxt_i_fit_solution *solution, size_t set, oxt_i_fit_row *which,
                             double *off, double *usual);
/* A failure that names this row; `set` is the one that is meant, OXT_I_ALL_SETS for any. */
#define OXT_I_ALL_SETS SIZE_MAX
oxt_status oxt_i_fit_contradiction(oxt_i_fit_solution *solution, size_t set, oxt_error *error,
                                   oxt_status status, const char *parameter, const char *what);
/* Do baths of the sets determine each q that is fitted? */
oxt_status oxt_i_fit_check_design(oxt_i_fit_solution *solution, oxt_error *error);
/* Is this an answer? `set` is the one whose constants are given. */
oxt_status oxt_i_fit_check_answer(oxt_i_fit_solution *solution, size_t set,
                                  const oxt_growth *growth, double ln_k_stderr,
                                  double Q_stderr_J_per_mol, oxt_error *error);
/* Weights and aims of the rows by the constants as they stand, and the linear problem solved once more. */
oxt_status oxt_i_fit_weigh_again(oxt_i_fit_solution *solution, oxt_error *error);
/* The constants at a variance of the scatter, with weights and true baths and times that go with them. */
oxt_status oxt_i_fit_converge(oxt_i_fit_solution *solution, double variance, oxt_error *error);
/* One solution with the columns and weights as they stand. */
oxt_status oxt_i_fit_solve_linear(oxt_i_fit_solution *solution, oxt_error *error);
oxt_status oxt_i_fit_not_determined(const oxt_i_fit_solution *solution, oxt_error *error);
/* Weight of a row at these constants; its error and robust weight are written into it. */
double oxt_i_fit_weigh_row(const oxt_i_fit_solution *solution, oxt_i_fit_row *row, double ln_k,
                           double q, double variance);

/* ---- results (fit.c, fit_influence.c, fit_warn.c) ---- */

/* What the influence of a row is computed from. */
typedef struct {
    oxt_i_constants at;
    double T_ref_K, variance, chi_square, dof;
    size_t parameters;
    oxt_robust robust;
    bool orthogonal;
} oxt_i_fit_answer;

/* A residual over its own standard error, the row left out; `own` is the standard deviation of what was seen,
 * `sigma` that of the row, `aim_sigma` of its aim. NaN without a degree of freedom for it. */
double oxt_i_fit_studentized(const oxt_i_fit_answer *answer, double off, double own, double sigma,
                             double aim_sigma, double weight, double leverage);
/* Residual, leverage, influence and the rest of a used row. */
void oxt_i_fit_finish_row(const oxt_i_fit_answer *answer, oxt_i_fit_row *row);
/* A thickness as a row with all of its fields. */
oxt_i_fit_row oxt_i_fit_answered_film(const oxt_i_fit_answer *answer, const oxt_i_films *films,
                                      size_t i);
oxt_i_fit_answer oxt_i_fit_answer_of(const oxt_fit *fit);
/* Row i of the log's steel, with all of its fields. */
oxt_i_fit_row oxt_i_fit_row_at(const oxt_fit *fit, size_t index);
/* A finished fit, taken up again on copies of the rows that it used (fit_reopen.c). Closed whatever is returned; it
 * must stay where it is. */
typedef struct {
    oxt_i_trial_set set;
    const oxt_i_trial_set *one;
    size_t first[2];
    oxt_i_fit_solution solution;
} oxt_i_reopened;
oxt_status oxt_i_fit_reopen(oxt_i_reopened *made, const oxt_fit *fit, oxt_error *error);
void oxt_i_fit_close(oxt_i_reopened *made);
/* Copies of the used rows with their paths, which outlive the fit; a set to be freed whatever is returned. */
oxt_status oxt_i_fit_copy_used(oxt_i_trial_set *made, const oxt_fit *fit, oxt_error *error);
/* Shares of the information on ln k_ref and Q that come from the prior; and a warning where the trials contradict it
 * (fit_prior.c). */
void oxt_i_fit_prior_shares(oxt_i_fit_solution *solution, oxt_fit_values *values);
void oxt_i_fit_warn_prior(oxt_fit *fit, const oxt_prior *prior);
oxt_status oxt_i_fit_check_options(const oxt_fit_options *options, oxt_error *error);
/* oxt_fit_run with options that were checked. */
oxt_status oxt_i_fit_run(oxt_fit **fit, const oxt_trials *trials, size_t steel, const oxt_film *film,
                         const oxt_fit_options *options, oxt_error *error);
/* Is no law chosen where the trials are to choose it (laws.c)? */
oxt_status oxt_i_laws_check_choice(const oxt_fit_options *options, oxt_error *error);
/* A prior of the caller, checked (prior.c). */
oxt_status oxt_i_prior_in(oxt_prior *into, const oxt_prior *prior, oxt_error *error);
/* Name the rows of a set that were read anew, have little weight, or lie far off; `used`: of all rows that were fitted. */
void oxt_i_fit_warn_rows(oxt_i_warnings *warnings, const oxt_i_trial_set *set,
                         const oxt_i_fit_answer *answer, size_t used);
/* Name a row that bent the constants until it fits (fit_warn.c). */
void oxt_i_fit_warn_contradiction(oxt_i_warnings *warnings, oxt_i_fit_solution *solution,
                                  const oxt_i_fit_answer *answer);
void oxt_i_fit_warn_scatter(oxt_i_warnings *warnings, double scatter, size_t used);
/* `whose` NULL: of one steel. */
void oxt_i_fit_warn_Q(oxt_i_warnings *warnings, const char *whose, double Q, double stderr_of_Q);
void oxt_i_fit_warn(oxt_fit *fit);
/* Of a drift over stated days (drift.c). */
void oxt_i_fit_warn_drift(oxt_fit *fit);
/* "11 of 12 coupons show the colour predicted from the others (10.4 expected)" (cross_validation.c). */
void oxt_i_text_add_hits(oxt_i_text *text, const oxt_cross_validation_values *of);

/* "power law, n = 2.61 (95 %: 2.30 to 2.96)": a line of a report, none of the parabolic law; and scatter or the like as
 * shares of the middle film and of time (fit_report.c). */
void oxt_i_text_add_law(oxt_i_text *text, const oxt_growth *growth, double ln_shape_stderr,
                        double confidence, double dof);
void oxt_i_text_add_scatter(oxt_i_text *text, const oxt_growth *growth, const char *between,
                            double sd);
/* Growth constants as JSON (fit_json.c). */
json_t *oxt_i_growth_json(const oxt_growth *growth, bool *good);

#endif
