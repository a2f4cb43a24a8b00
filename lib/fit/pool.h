/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the pool share. */
#ifndef OXTINT_POOL_INTERNAL_H
#define OXTINT_POOL_INTERNAL_H

#include "oxtint/pool.h"
#include "fit/fit.h"

#define OXT_I_POOL_MODELS 3

/* One steel with one finish, with at least one usable row. */
typedef struct {
    oxt_i_trial_set set;
    oxt_i_warnings warnings; /* about its trials */
    oxt_pool_group result;
    double slope_b, slope_q; /* of ln k_ref and q by ln shape */
} oxt_i_pool_group;

struct oxt_pool {
    oxt_pool_values values;
    oxt_pool_comparison comparisons[OXT_I_POOL_MODELS];
    oxt_i_pool_group *groups;
    size_t group_count, steel_count, factor_count;
    oxt_i_trial_set **sets; /* of the groups */
    /* Of each group: its first row, with the end; its steel; the factor of its finish, OXT_I_NO_FACTOR for one
     * that is 1. The groups, steel after steel. */
    size_t *first, *steel_of, *factor_of, *by_steel;
    size_t row_count, used_count;
    size_t more;                  /* parameters beside rates, factors and Qs: scatter, shape */
    oxt_growth law;               /* of all groups, with the shape at which their rows are */
    bool has_shape, middle_given; /* the shape is fitted; the film at which it is scaled is given */
    bool draws_Q;                 /* the Qs of the groups differ as draws do */
    bool physical[OXT_I_POOL_MODELS]; /* hotter baths gave thicker films throughout */
    char description[128];
    oxt_words *words; /* the shop's own, for the cards; NULL: none */
    oxt_i_warnings warnings;
};

/* Take the groups out of the log and read what was seen (pool_rows.c). */
oxt_status oxt_i_pool_read(oxt_pool *pool, const oxt_trials *trials, const oxt_film *film,
                           const oxt_fit_options *options, oxt_error *error);

/* pool_solve.c: `prior` NULL for none; free the solution whatever is returned. */
oxt_status oxt_i_pool_prepare(oxt_i_fit_solution *solution, oxt_pool *pool, oxt_pool_model model,
                              const oxt_prior *prior, bool shrunk, const oxt_fit_options *options,
                              oxt_error *error);
/* Are there enough rows, and do they determine Q? */
oxt_status oxt_i_pool_check(oxt_i_fit_solution *solution, const oxt_pool *pool, oxt_error *error);

/* The three models at common weights (pool_compare.c), and which one to take. */
oxt_status oxt_i_pool_compare(oxt_pool *pool, const oxt_fit_options *options, oxt_i_watch *watch,
                              oxt_error *error);
oxt_pool_model oxt_i_pool_best(const oxt_pool *pool);

/* Settle `shrunk` at the scatter of a solution, the width between the rates estimated when it is negative
 * (pool_shrink.c). */
oxt_status oxt_i_pool_shrink(oxt_i_fit_solution *shrunk, const oxt_i_fit_solution *from,
                             double between_sd, oxt_error *error);
/* Share of the way to the others that the rate of each group was shrunk, into its result. */
void oxt_i_pool_pull(oxt_pool *pool, const oxt_i_fit_solution *shrunk);

/* Qs that are draws as the rates are (pool_draws.c): the mean of b and q with its errors, and their width. */
typedef struct {
    oxt_i_constants mean;
    double between_sd_J_per_mol;
} oxt_i_pool_Qs;

/* The constants of each group by that, from its moments; a negative width is estimated. */
oxt_status oxt_i_pool_draw_Qs(oxt_i_fit_solution *shrunk, double between_sd,
                              double between_Q_sd_J_per_mol, oxt_i_pool_Qs *made, oxt_error *error);

/* Warnings (pool_warn.c). */
oxt_status oxt_i_pool_warn(oxt_pool *pool, oxt_i_fit_solution *solution, oxt_error *error);

#endif
