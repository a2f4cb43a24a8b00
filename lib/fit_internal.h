/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the fit share. */
#ifndef OXTINT_FIT_INTERNAL_H
#define OXTINT_FIT_INTERNAL_H

#include "fit_path.h"
#include "internal.h"
#include "lsq.h"

/* One way to read what was seen, as a film. */
typedef struct {
    double low_nm, high_nm;
    double ln_x;  /* middle of ln thickness */
    double sigma; /* standard deviation of ln thickness within what was seen */
    int order;    /* 0 for a thickness */
} oxt_i_reading;

/* One trial of the steel that is fitted. */
typedef struct {
    size_t trial, line;
    double bath_K, time_s;
    double true_K,
        true_s; /* what they are taken to have been; as logged but in an orthogonal fit */
    /* What the model needs of them: ln true_s, and T_ref/true_K - 1. Of a coupon with a thermal
     * path of its own, ln of its equivalent time at the bath, as a straight line in q. */
    double ln_time, lateness;
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
    bool is_band;                /* a trade name: somewhere between the ends of its band */
    double aim;             /* ln x that the solution aims at: what was seen, or within its band */
    double aim_sigma;       /* standard deviation of the aim: `sigma`, but for a band */
    double band_sd;         /* of ln x about the model where the name counts as a band, else 0 */
    double best_log_chance; /* of its band, with the model at its middle */
    const char *reason;     /* static text */
    char text[56];          /* what was seen, for messages */
    double residual, sigma, studentized, leverage, weight, cooks_distance, dip_change, worth_s;
} oxt_i_seen_row;

static inline const oxt_i_reading *oxt_i_seen(const oxt_i_seen_row *row)
{
    return &row->readings[row->reading];
}

/* What is known beforehand, as an observation: of_ln_k ln k_ref + of_q q = value. */
typedef struct {
    double of_ln_k, of_q, value, weight;
} oxt_i_prior_row;

/* ln x by the constants, at the bath and time that were logged: along the row's straight lines in q and
 * from its true bath and time. */
static inline double oxt_i_fit_tangent(const oxt_i_seen_row *row, double ln_k, double q)
{
    return 0.5 * (ln_k - q * row->lateness + row->ln_time) + row->shift;
}

/* How the coupons were run: the usual one, and the range. */
typedef struct {
    bool included; /* their thermal paths are: some trial states its part or its lift */
    oxt_part part;
    oxt_lift lift;
    double size_low_m, size_high_m, lift_low_s, lift_high_s;
} oxt_i_coupons;

struct oxt_fit {
    oxt_fit_values values;
    char steel[64], finish[64];
    char name[140]; /* steel and finish, for messages */
    char description[128];
    oxt_i_seen_row *rows;
    oxt_i_coupon_path *paths; /* of the rows that have one */
    size_t row_count, bright_count;
    oxt_i_coupons coupons;
    char **warnings;
    size_t warning_count;
    bool memory_failed;
    /* How it was made, for what goes on from it; without the pointers of the options. */
    oxt_fit_options options;
    oxt_i_prior_row prior[2];
    size_t prior_count;
};

/* The model: ln x = (ln k_ref - q (T_ref/T - 1) + ln t) / 2, with q = Q / (R T_ref). */
typedef struct {
    oxt_i_seen_row **rows; /* the used ones */
    size_t n;
    double T_ref_K;
    double held_q;            /* NAN when q is fitted */
    oxt_i_prior_row prior[2]; /* stand after the rows in all that has a row each */
    size_t prior_count;
    bool orthogonal;
    bool uncertain; /* some row's bath or time is */
    bool has_paths; /* some row's equivalent time moves with q */
} oxt_i_fit_model;

typedef struct oxt_i_fit_solution oxt_i_fit_solution;

/* How the constants of several steels are settled together (pool_solve.c). */
typedef struct {
    oxt_status (*settle)(oxt_i_fit_solution *solution, double variance, oxt_error *error);
    double (*leverage)(const oxt_i_fit_solution *solution, size_t i);
    double (*ln_determinant)(const oxt_i_fit_solution *solution); /* of the covariance */
} oxt_i_fit_pooled;

struct oxt_i_fit_solution {
    oxt_i_fit_model model;
    const oxt_i_fit_pooled *pooled; /* NULL: one steel */
    size_t p;
    oxt_i_lsq *solver;
    oxt_i_lsq_result result;
    double *weights, *residuals, *scratch;
    double scatter;
    oxt_robust robust;  /* in force */
    bool by_band;       /* trade names count as bands, once there is a start */
    double prior_trust; /* factor on the weight of the prior; 1 but at the start */
};

/* With a prior the errors are not left to the rows alone: in simulated logs of one to six coupons the
 * intervals hold with this many (docs/prior.md). */
#define OXT_I_LEAST_DOF_WITH_PRIOR 4.0

/* Degrees of freedom of a variance of which the errors that were stated for baths and times are a part, from
 * those of the rows: Welch and Satterthwaite's, with the stated part known exactly (JCGM 100:2008, G.4). */
double oxt_i_fit_effective_dof(const oxt_i_fit_solution *solution, double of_rows);

/* Limits of what tells Q, and the Q that a condition is reckoned by; fit_solve.c says why. Baths closer
 * together than the first are one bath read with a thermometer's jitter. */
#define OXT_I_LEAST_SPREAD_K 5.0
#define OXT_I_WORST_CONDITION 20.0
#define OXT_I_PUBLISHED_Q 71e3

/* Huber's k for 95 % efficiency with normal errors. */
#define OXT_I_HUBER 1.345

/* Choose the rows and the middle temperature, or say what is missing. */
oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error);
/* Memory for a model whose counts are known. */
oxt_status oxt_i_fit_make_solver(oxt_i_fit_solution *solution, oxt_error *error);
/* Is any used row a trade name that counts as a band? */
bool oxt_i_fit_by_band(const oxt_i_fit_model *model, oxt_names names);
/* Constants that no single row can move, by least absolute residuals (fit_start.c). */
void oxt_i_fit_resistant(const oxt_i_fit_solution *solution, double *ln_k, double *q);
/* The row farthest from them, NULL with fewer than 4; by how much in ln x, and what is usual. */
const oxt_i_seen_row *oxt_i_fit_contradicting(const oxt_i_fit_solution *solution, double *off,
                                              double *usual);
/* "145 %" or "a factor of 20". */
void oxt_i_fit_how_far(double off, char *buffer, size_t capacity);
/* A failure that names this row. */
oxt_status oxt_i_fit_contradiction(const oxt_i_fit_solution *solution, oxt_error *error,
                                   oxt_status status, const char *parameter, const char *what);
/* What a row adds to twice minus the logarithm of the likelihood at other constants, its errors held. */
double oxt_i_fit_row_cost(const oxt_i_fit_solution *solution, const oxt_i_seen_row *row,
                          double ln_k, double q);
/* Parameters, scatter (estimated when negative) and orders. */
oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                           oxt_error *error);
/* The same with the orders as they stand. */
oxt_status oxt_i_fit_solve_as_read(oxt_i_fit_solution *solution, const oxt_fit_options *options,
                                   oxt_error *error);
/* Of the residuals as the solution stands. */
double oxt_i_fit_restricted_likelihood(const oxt_i_fit_solution *solution);
/* Residuals, model minus seen: of the rows and of the prior. */
void oxt_i_fit_residuals(oxt_i_fit_solution *solution);
/* The constants at a variance of the scatter, with weights and true baths and times that go with them
 * (fit_weights.c). */
oxt_status oxt_i_fit_settle(oxt_i_fit_solution *solution, double variance, oxt_error *error);
/* What a row weighs at these constants; its error and trust are written into it. */
double oxt_i_fit_weigh_row(const oxt_i_fit_solution *solution, oxt_i_seen_row *row, double ln_k,
                           double q, double variance);
/* The start of a row's bath and time, before any constants are known. */
void oxt_i_fit_stand_at(const oxt_i_fit_model *model, oxt_i_seen_row *row, double q, double true_K,
                        double true_s);
/* The thermal paths of the used rows that state a part or a lift (fit_path.c). */
oxt_status oxt_i_fit_lay_paths(oxt_fit *fit, oxt_error *error);
/* ln of the equivalent time of a coupon at bath temperature; `by_q` its slope, NULL allowed. */
double oxt_i_fit_ln_equivalent(const oxt_i_fit_model *model, const oxt_i_seen_row *row, double q,
                               double bath_K, double time_s, double *by_q);
/* ln x by the constants; `by_q` its slope, NULL allowed. */
double oxt_i_fit_ln_x(const oxt_i_fit_model *model, const oxt_i_seen_row *row, double ln_k,
                      double q, double bath_K, double time_s, double *by_q);
/* Aim and chances of a trade name as a band, from the ln x of the constants (fit_band.c). */
void oxt_i_fit_aim_at_band(oxt_i_seen_row *row, double ln_x, double variance, size_t row_count);
/* Residual in ln x at another ln x: of a band the root of its deviance, times sigma. `slope` by ln x; NULL
 * allowed. */
double oxt_i_fit_off(const oxt_i_seen_row *row, double ln_x, double *slope);
/* The same in errors, `off` beyond the aim. */
double oxt_i_fit_errors(const oxt_i_seen_row *row, double off);
/* Variance of ln x from the errors of a row's bath and time. */
double oxt_i_fit_spread(const oxt_i_seen_row *row);
/* Cook's distance and change of a dip of every used row; leverages must stand. */
void oxt_i_fit_influence(const oxt_i_fit_solution *solution);
/* Shares of what is known of ln k_ref and of Q that came from the prior. */
void oxt_i_fit_prior_shares(const oxt_i_fit_solution *solution, oxt_fit_values *values);
/* How much row i decides its own prediction, 0 to 1. */
double oxt_i_fit_leverage(const oxt_i_fit_solution *solution, size_t i);
void oxt_i_fit_free_solution(oxt_i_fit_solution *solution);

/* The model of a finished fit, on copies of its used rows (fit_again.c). The copies are freed by
 * the caller, the pointers to them with the solution. */
oxt_i_seen_row *oxt_i_fit_used_rows(const oxt_fit *fit);
oxt_status oxt_i_fit_take_up(oxt_i_fit_model *model, const oxt_fit *fit, oxt_i_seen_row *rows,
                             oxt_error *error);

/* Take the trials of the steel and finish out of the log and read what was seen. */
oxt_status oxt_i_fit_read_rows(oxt_fit *fit, const oxt_trials *trials, const oxt_film *film,
                               const oxt_fit_options *options, oxt_error *error);
oxt_status oxt_i_fit_check_options(const oxt_fit_options *options, oxt_error *error);
/* Twice the logarithm of the likelihood of a used row, at its weight. */
double oxt_i_fit_twice_log_likelihood(const oxt_i_fit_solution *solution, size_t i);
/* ln(observed / predicted) of a used row, a name taken at the middle of its band. */
double oxt_i_fit_residual(const oxt_i_fit_solution *solution, size_t i);
/* A residual over its own standard error, the row left out. */
double oxt_i_fit_studentized(const oxt_i_seen_row *row, double off, double chi_square, double dof);
/* The usual coupon of the used rows, which stands for those that state none where others do; and into
 * the values of a steel (fit_coupon.c). */
oxt_status oxt_i_fit_take_coupons(oxt_fit *fit, oxt_error *error);
void oxt_i_fit_put_coupons(const oxt_fit *fit, oxt_steel_values *values);
/* Baths, thicknesses and coupons of the used rows, into the values of a steel. */
void oxt_i_fit_reach(const oxt_fit *fit, oxt_steel_values *values);
/* Name the rows that were read anew, distrusted, or lie far off; `dof` is that of the residuals. */
void oxt_i_fit_warn_rows(oxt_fit *fit, double dof);
void oxt_i_fit_warn(oxt_fit *fit, const char *format, ...) OXT_I_PRINTF(2, 3);
/* A prior of the caller, checked (prior.c). */
oxt_status oxt_i_prior_in(oxt_prior *into, const oxt_prior *prior, oxt_error *error);
/* "Line 12" or "Trial 3". */
void oxt_i_row_name(const oxt_i_seen_row *row, char *buffer, size_t capacity);

#endif
