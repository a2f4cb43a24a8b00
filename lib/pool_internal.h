/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the pool share. */
#ifndef OXTINT_POOL_INTERNAL_H
#define OXTINT_POOL_INTERNAL_H

#include "fit_internal.h"

#define OXT_I_POOL_MODELS 3
#define OXT_I_POOL_NONE SIZE_MAX

/* One steel with one finish, with at least one usable row. */
typedef struct {
    oxt_fit *fit;  /* its rows, names and warnings */
    size_t steel;  /* place among the steels */
    size_t factor; /* place among the factors of finishes, OXT_I_POOL_NONE for one that is 1 */
    size_t used;
    oxt_pool_group result;
} oxt_i_pool_group;

struct oxt_pool {
    oxt_pool_values values;
    oxt_pool_comparison comparisons[OXT_I_POOL_MODELS];
    oxt_i_pool_group *groups;
    size_t group_count, steel_count, factor_count;
    size_t row_count, used_count;
    bool scatter_fitted;
    bool physical[OXT_I_POOL_MODELS]; /* hotter baths gave thicker films throughout */
    oxt_fit *notes;                   /* holds the warnings of the whole */
};

/* A sum of parameters, each with its factor. */
typedef struct {
    size_t at[3];
    double by[3];
    size_t count;
} oxt_i_pool_form;

/* Parameters: ln k of each group or steel; or when shrunk their mean, and how far each lies off it in
 * units of the standard deviation between them. Then ln of the factors of finishes, then the qs. What
 * stands after the rows, as priors do: the prior of each q, then the offsets' own, N(0, 1). */
typedef struct {
    oxt_i_fit_solution base; /* first: fit_solve.c settles it through this */
    const oxt_pool *pool;
    oxt_pool_model model;
    bool shrunk;
    double between_sd;
    size_t unit_count, factor_count, q_count;
    size_t *group_of;             /* of each row */
    double prior_q, prior_weight; /* weight 0: none */
    double *parameters, *before, *right;
    double *covariance; /* p by p */
    double ln_determinant;
    bool hold_weights; /* weights stay as they are */
    bool hold_rows;    /* so does all else of the rows */
} oxt_i_pool_solution;

/* Take the groups out of the log and read what was seen (pool_rows.c). */
oxt_status oxt_i_pool_read(oxt_pool *pool, const oxt_trials *trials, const oxt_film *film,
                           const oxt_fit_options *options, oxt_error *error);

/* pool_solve.c: `prior` NULL for none; free the solution whatever is returned. */
oxt_status oxt_i_pool_prepare(oxt_i_pool_solution *solution, const oxt_pool *pool,
                              oxt_pool_model model, const oxt_prior *prior, bool shrunk,
                              oxt_error *error);
void oxt_i_pool_free_solution(oxt_i_pool_solution *solution);
/* Constants, with weights that go with them, at a variance of the scatter. */
oxt_status oxt_i_pool_settle(oxt_i_fit_solution *base, double variance, oxt_error *error);
/* Are there enough rows, and do they tell Q? */
oxt_status oxt_i_pool_check(oxt_i_pool_solution *solution, oxt_error *error);
/* ln k_ref and q of a group as sums of parameters; their value and covariance. */
oxt_i_pool_form oxt_i_pool_ln_k(const oxt_i_pool_solution *solution, size_t group);
oxt_i_pool_form oxt_i_pool_q(const oxt_i_pool_solution *solution, size_t group);
double oxt_i_pool_value(const oxt_i_pool_solution *solution, const oxt_i_pool_form *form);
double oxt_i_pool_covariance(const oxt_i_pool_solution *solution, const oxt_i_pool_form *a,
                             const oxt_i_pool_form *b);
/* Corrected Akaike criterion at the errors that the rows hold. */
double oxt_i_pool_aicc(const oxt_i_pool_solution *solution);

/* The three models at common weights (pool_compare.c), and which one to take. */
oxt_status oxt_i_pool_compare(oxt_pool *pool, const oxt_fit_options *options, oxt_error *error);
oxt_pool_model oxt_i_pool_best(const oxt_pool *pool);

/* Estimate the width between the rates at the scatter of a solution, NAN for one rate, and settle
 * `shrunk` from there when it is wanted (pool_shrink.c). */
oxt_status oxt_i_pool_shrink(oxt_i_pool_solution *shrunk, const oxt_i_pool_solution *from,
                             double between_sd, oxt_error *error);
/* Share of the way to the others that a group's rate was pulled. */
double oxt_i_pool_pull(const oxt_i_pool_solution *shrunk, size_t group);

/* What to distrust (pool_warn.c). */
oxt_status oxt_i_pool_warn(oxt_pool *pool, const oxt_i_pool_solution *solution, oxt_error *error);

#endif
