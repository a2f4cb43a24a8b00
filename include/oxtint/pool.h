/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file pool.h: several steels and finishes of one log, fitted together.
 *
 * A group is one steel with one finish. The groups share the scatter, and as much of the growth
 * constants as the model states, so that the coupons of one help the others.
 *
 * Sources: F against a richer model: R. A. Fisher; AICc as in fit.h; rates drawn from a common normal
 * (C. R. Henderson, Biometrics 31 (1975) 423), its width by the mean over the restricted likelihood
 * (H. D. Patterson and R. Thompson, Biometrika 58 (1971) 545). All from memory.
 */
#ifndef OXTINT_POOL_H
#define OXTINT_POOL_H

#include "oxtint/fit.h"

/** What the groups have in common. */
typedef enum oxt_pool_model {
    OXT_POOL_SHARED_Q = 0,       /* one Q; a rate of its own for each group */
    OXT_POOL_FINISH_FACTORS = 1, /* one Q; a rate for each steel, times a factor for each finish that is
                                    the same for all steels */
    OXT_POOL_SEPARATE = 2,       /* Q and rate of its own for each group */
    OXT_POOL_BEST = 3            /* of the three that with the lowest AICc; the first unless beaten */
} oxt_pool_model;

/** What may be chosen about a pool. */
typedef struct oxt_pool_options {
    size_t struct_size;
    oxt_pool_model model;         /* what the groups have in common */
    int shrink;                   /* 1: the rates are draws from a common normal distribution, and a rate
                                     with few coupons is shrunk towards the others; 0: not */
    double between_sd;            /* its standard deviation, of ln k, 0 to 10; negative to estimate it:
                                     -1. It counts with shrink only */
    double scatter;               /* scatter of ln x, >= 0; negative to estimate it: -1 */
    double thickness_uncertainty; /* relative standard error of a measured thickness, > 0; 0.02 */
    double colour_tolerance;      /* CIEDE2000 by which a measured colour may be wrong, > 0; 3 */
    double confidence;            /* of the intervals, 0.5 to 0.9999; 0.95 */
    double bath_sd_K;             /* K   standard deviation of each logged bath, 0 to 100; 0 */
    double time_sd_s;             /* s   standard deviation of each logged time, 0 to OXT_TIME_HIGH_S;
                                     0 */
    oxt_robust robust;            /* weights of rows far from the rest */
    oxt_names names;              /* how a trade name is read */
    const oxt_prior *prior;       /* what is known beforehand of each Q that is fitted; its rate is not
                                     used. NULL: nothing */
    oxt_progress_function progress; /* told now and then, the last time with 1; NULL for none */
    void *user;                   /* handed to `progress` */
    double between_Q_sd_J_per_mol; /* J/mol   with shrink and a shared Q the Qs of the groups are draws as well,
                                     about one mean: their standard deviation, 0 to 1e6; 0: one Q for all;
                                     negative to estimate it: -1 */
    oxt_lifted lifted;            /* where in the band of its colour a coupon was lifted that states nothing */
    oxt_rounding rounding;        /* of times and baths whose errors are not stated */
    oxt_law law;                  /* by which the films of all groups grow [4] */
    double law_shape;             /* of the law, of all groups; ranges as in oxt_growth; 0: fitted */
    double ln_shape_sd;           /* standard deviation of ln shape about this shape, 0 to 10, with which it is fitted;
                                     0: it is held */
    double law_middle_nm;         /* nm   film at which the law is scaled, 1 to 1000; 0: the middle one of the trials */
} oxt_pool_options;

#define OXT_POOL_OPTIONS_INIT                                                                 \
    { sizeof(oxt_pool_options), OXT_POOL_SHARED_Q, 0, -1.0, -1.0, 0.02, 3.0, 0.95, 0.0, 0.0,  \
      OXT_ROBUST_NONE, OXT_NAMES_AS_BANDS, NULL, NULL, NULL, -1.0, OXT_LIFTED_NOT_STATED,       \
      OXT_ROUNDING_NEAREST, OXT_LAW_PARABOLIC, 0.0, 0.0, 0.0 }

/** The numbers of a pool. */
typedef struct oxt_pool_values {
    size_t struct_size;
    oxt_pool_model model;       /* the one taken, never OXT_POOL_BEST */
    int shrunk;                 /* 1 when rates were shrunk towards each other */
    double T_ref_K;             /* K   at which the rates of all groups hold: middle of all trials in
                                   1/T */
    double Q_J_per_mol;         /* J/mol   the shared one, or the mean where Qs are draws; NaN in the separate
                                   model, as the next three */
    double Q_stderr_J_per_mol;
    double Q_low_J_per_mol;     /* limits, Student's t */
    double Q_high_J_per_mol;
    double confidence;          /* of all limits */
    double scatter;             /* standard deviation of ln x from one dip to the next, of all groups */
    double dof;                 /* degrees of freedom of the errors, as in oxt_fit_values; before
                                   shrinking, as the next two */
    double chi_square;          /* as in oxt_fit_values */
    double aicc;                /* of the model taken, at its own scatter; NaN with too few rows */
    double between_sd;          /* standard deviation of ln k between the groups (between the steels with
                                   finish factors); NaN when there is only one */
    size_t parameter_count;     /* rates, factors, Qs and a shape that is fitted; not the scatter */
    size_t group_count;
    size_t row_count;           /* trials of the log */
    size_t used_count;          /* of them used */
    size_t warning_count;       /* sentences that oxt_pool_warning gives */
    double scatter_dof;         /* as in oxt_fit_values */
    double between_Q_sd_J_per_mol; /* J/mol   of Q between the groups where they are draws; else NaN */
    double day_sd;              /* as in oxt_fit_values, of all groups; 0 where none states two days */
    oxt_law law;                /* of all groups */
    double law_shape;           /* of the law; 0 of the parabolic one, as the next two */
    double law_middle_nm;       /* nm   film that grows as by the parabolic law, at which the rates of the groups hold */
    double ln_shape_stderr;     /* standard error of ln of the shape; 0 where it was held */
    oxt_temperature_unit unit;    /* of the log, for reports: oxt_trials_unit when it was read */
} oxt_pool_values;

#define OXT_POOL_VALUES_INIT                                                                  \
    { sizeof(oxt_pool_values), OXT_POOL_SHARED_Q, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, \
      0.0, 0.0, 0, 0, 0, 0, 0, 0.0, 0.0, 0.0, OXT_LAW_PARABOLIC, 0.0, 0.0, 0.0, OXT_UNIT_CELSIUS }

/** One steel with one finish. */
typedef struct oxt_pool_group {
    size_t struct_size;
    char steel[64];
    char finish[64];
    oxt_growth growth;             /* k_ref at the T_ref of the pool, Q, the law */
    double ln_k_stderr;            /* standard error of ln k_ref */
    double Q_stderr_J_per_mol;     /* J/mol */
    double variance_ln_k;          /* variance of ln k_ref */
    double covariance_J_per_mol;   /* covariance of ln k_ref and Q */
    double variance_Q_J2_per_mol2; /* variance of Q */
    double k_ref_low_nm2_per_s;    /* nm^2/s   limits of k_ref, Student's t on ln k_ref */
    double k_ref_high_nm2_per_s;
    double Q_low_J_per_mol;        /* J/mol    limits of Q, Student's t */
    double Q_high_J_per_mol;
    double finish_factor;          /* of the finish on the rate, against the first finish that the steel
                                      can be compared by; NaN but with finish factors */
    double shrunk_by;              /* 0 to 1: share of the way to the others that its rate was shrunk */
    size_t row_count;              /* its trials */
    size_t used_count;             /* of them used */
} oxt_pool_group;

#define OXT_POOL_GROUP_INIT                                                                   \
    { sizeof(oxt_pool_group), "", "", OXT_GROWTH_INIT, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, \
      0.0, 0.0, 0, 0 }

/** One of the three models beside the others: each fitted without shrinking and without the prior, at
 *  the row weights of the richest one that the trials determine, and the shape by which colours were read. */
typedef struct oxt_pool_comparison {
    size_t struct_size;
    oxt_pool_model model;
    int fitted;             /* 0: the trials do not determine all of its parameters; the rest is NaN */
    size_t parameter_count; /* as in oxt_pool_values */
    double chi_square;      /* weighted sum of squared residuals */
    double aicc;            /* NaN with too few rows */
    double F;               /* against the next richer model; NaN for the richest, where that has no
                               more parameters, or was not fitted */
    double dof1;            /* parameters that the richer one has more */
    double dof2;            /* rows less the parameters of the richer one */
    double p_value;         /* chance of so large an F when the poorer model is true */
} oxt_pool_comparison;

#define OXT_POOL_COMPARISON_INIT                                                              \
    { sizeof(oxt_pool_comparison), OXT_POOL_SHARED_Q, 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }

/** A finished pool: opaque, immutable, shared freely between threads. */
typedef struct oxt_pool oxt_pool;

OXT_BEGIN_DECLS

/**
 * Fit all steels and finishes of a log together.
 *
 * Given:
 *   trials    the log (notes 1 and 2)
 *   film      the film that colours are read with
 *   options   NULL for the usual ones (notes 3 and 4)
 * Returned:
 *   pool      free it with oxt_pool_free
 * Status:
 *   OXT_EARG a choice that is none, or a prior without a Q; OXT_EFEW no more usable rows than parameters, or with a
 *   shape that is fitted fewer than 6;
 *   OXT_EIDENT no group ran in baths 5 K apart (in the separate model: some group did not), baths that
 *   determine Q more than 20 times less well than the rate (neither where there is a prior), hotter baths
 *   gave no thicker films, or robust weights leave too few rows; OXT_ENOCONV; OXT_EDOMAIN;
 *   OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM
 * Notes:
 *   1. Rows are read and weighted, and the scatter is estimated, as in oxt_fit_run; a log of one group gives
 *   the same. A group with a single usable coupon is used where its Q is shared; one with none is left out,
 *   with a warning.
 *   2. Orders of colours are read by the model that was asked for (with OXT_POOL_BEST by the shared Q), and
 *   stay so when the models are compared.
 *   3. With shrink a rate combines its own coupons and the other groups; its error is that of the prediction
 *   of this steel, at the estimated width of the common normal distribution. With finish factors the rates
 *   of the steels are shrunk, not the factors.
 *   4. As in oxt_fit_run, note 6, with one shape and one middle film for all groups: the rates compare the groups at
 *   that film. The shape is fitted by the likelihood of all rows; its error goes into the constants of each group and
 *   into its card, which is scaled at the middle film of the group's own trials.
 */
OXT_API oxt_status oxt_pool_run(oxt_pool **pool, const oxt_trials *trials, const oxt_film *film,
                                const oxt_pool_options *options, oxt_error *error);

/**
 * Free a pool.
 *
 * Given:
 *   pool   NULL is ignored
 */
OXT_API void oxt_pool_free(oxt_pool *pool);

/**
 * The numbers of a pool.
 *
 * Given:
 *   pool     the pool
 * Returned:
 *   values   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_pool_get(const oxt_pool *pool, oxt_pool_values *values, oxt_error *error);

/**
 * One steel with one finish.
 *
 * Given:
 *   pool    the pool
 *   index   0 to group_count - 1, in the order in which they come first in the log
 * Returned:
 *   group   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_pool_get_group(const oxt_pool *pool, size_t index, oxt_pool_group *group,
                                      oxt_error *error);

/**
 * One of the three models beside the others.
 *
 * Given:
 *   pool         the pool
 *   model        one of the three
 * Returned:
 *   comparison   a copy
 * Status:
 *   OXT_EARG
 */
OXT_API oxt_status oxt_pool_get_comparison(const oxt_pool *pool, oxt_pool_model model,
                                           oxt_pool_comparison *comparison, oxt_error *error);

/**
 * One warning of a pool, a sentence.
 *
 * Given:
 *   pool                the pool
 *   index               0 to warning_count - 1 of oxt_pool_values
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE
 */
OXT_API oxt_status oxt_pool_warning(const oxt_pool *pool, size_t index, char *buffer,
                                    size_t capacity, size_t *needed, oxt_error *error);

/**
 * The pool as a report to read at the bench: the steels, why this model, warnings, the numbers.
 *
 * Given:
 *   pool                the pool
 *   unit                scale for temperatures
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_pool_report(const oxt_pool *pool, oxt_temperature_unit unit, char *buffer,
                                   size_t capacity, size_t *needed, oxt_error *error);

/**
 * The steel of one group: constants and errors from the whole pool, baths and thicknesses from its own
 * trials.
 *
 * Given:
 *   pool    the pool
 *   index   0 to group_count - 1
 * Returned:
 *   steel   free it with oxt_steel_free
 * Status:
 *   OXT_EARG, OXT_ENOMEM
 */
OXT_API oxt_status oxt_pool_steel(const oxt_pool *pool, size_t index, oxt_steel **steel,
                                  oxt_error *error);

/**
 * A pool, with its groups, comparison and warnings, as JSON, for machines: fields by their names here, numbers in their units, null for what is not finite.
 *
 * Given:
 *   pool                the pool
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_pool_json(const oxt_pool *pool, char *buffer, size_t capacity,
                                size_t *needed, oxt_error *error);

OXT_END_DECLS

#endif
