/* SPDX-License-Identifier: GPL-3.0-or-later */
/**
 * @file interval.h: how uncertain a fit is, other than by Student's t: profiles and the bootstrap.
 *
 * Sources: profile by the F test: D. M. Bates and D. G. Watts, Nonlinear Regression Analysis and Its
 * Applications, 1988, chapter 6; bootstrap, and intervals by percentile and corrected for bias: B. Efron
 * and R. J. Tibshirani, An Introduction to the Bootstrap, 1993, chapters 6, 9, 13 and 14. All from memory.
 */
#ifndef OXTINT_INTERVAL_H
#define OXTINT_INTERVAL_H

#include "oxtint/fit.h"

/** What an interval is of. */
typedef enum oxt_interval_quantity {
    OXT_INTERVAL_LN_K = 0,    /* ln k_ref, at the T_ref of the fit */
    OXT_INTERVAL_Q = 1,       /* Q, J/mol */
    OXT_INTERVAL_DIP_TIME = 2, /* time to a thickness in a bath, as a factor on that of the fit; of the
                               mean of many dips, without the scatter of the next one */
    OXT_INTERVAL_SHAPE = 3    /* shape of the law, where the fit found it; of a bootstrap alone */
} oxt_interval_quantity;

/** Scale of the errors of the rows in a profile. */
typedef enum oxt_interval_scale {
    OXT_INTERVAL_SCALE_STATED = 0, /* as the fit has them, like its own intervals */
    OXT_INTERVAL_SCALE_REDUCED = 1 /* times the root of reduced_chi_square: only their ratios count */
} oxt_interval_scale;

/** What may be chosen about a profile. */
typedef struct oxt_interval_options {
    size_t struct_size;
    double confidence;        /* 0.5 to 0.9999; 0.95 */
    oxt_interval_scale scale; /* of the errors of the rows; OXT_INTERVAL_SCALE_STATED */
    oxt_progress_function progress; /* told now and then, the last time with 1; NULL for none */
    void *user;                     /* handed to `progress` */
} oxt_interval_options;

#define OXT_INTERVAL_OPTIONS_INIT \
    { sizeof(oxt_interval_options), 0.95, OXT_INTERVAL_SCALE_STATED, NULL, NULL }

/** What a replicate of the bootstrap is made from. */
typedef enum oxt_bootstrap_kind {
    OXT_BOOTSTRAP_PAIRS = 0,   /* as many rows, drawn with replacement */
    OXT_BOOTSTRAP_RESIDUAL = 1 /* all rows, each at its prediction plus the residual of a drawn one, in
                                  units of their errors and cleared of leverage */
} oxt_bootstrap_kind;

/** How an interval is read off the replicates. */
typedef enum oxt_bootstrap_method {
    OXT_BOOTSTRAP_PERCENTILE = 0,    /* between two quantiles */
    OXT_BOOTSTRAP_BIAS_CORRECTED = 1 /* quantiles moved so that the fit itself is the median */
} oxt_bootstrap_method;

/** What may be chosen about a bootstrap. */
typedef struct oxt_bootstrap_options {
    size_t struct_size;
    size_t replicates; /* 100 to 1000000; 2000 */
    oxt_bootstrap_kind kind;
    uint64_t random_seed; /* the same one gives the same numbers on any number of threads; 1 */
    int threads;          /* 1 to 256; 0: one for each processor that the calling thread may run on, and
                             no more than the quota of its control group */
    oxt_progress_function progress; /* NULL for none */
    void *user;                     /* handed to `progress` */
} oxt_bootstrap_options;

#define OXT_BOOTSTRAP_OPTIONS_INIT \
    { sizeof(oxt_bootstrap_options), 2000, OXT_BOOTSTRAP_PAIRS, 1, 0, NULL, NULL }

/** The numbers of a bootstrap. */
typedef struct oxt_bootstrap_values {
    size_t struct_size;
    size_t replicates;       /* how many were asked for */
    size_t failed;           /* of them left out: what was drawn could not be fitted */
    double T_ref_K;          /* K   temperature of k_ref, that of the fit */
    double ln_k;             /* ln k_ref of the fit itself */
    double Q_J_per_mol;      /* J/mol   Q of the fit itself */
    double mean_ln_k;        /* mean of the replicates */
    double mean_Q_J_per_mol;
    double sd_ln_k;          /* standard deviation of the replicates: the standard error */
    double sd_Q_J_per_mol;
    double correlation;      /* of ln k_ref and Q; NaN when Q was held without an error */
    oxt_law law;             /* of the fit */
    double law_shape;        /* of the fit itself; 0 of the parabolic law, as the next */
    double law_middle_nm;    /* nm   film at which it is scaled */
    double mean_ln_shape;    /* mean of the replicates; 0 where the fit did not find the shape, as the next */
    double sd_ln_shape;      /* standard deviation of the replicates */
    oxt_temperature_unit unit;    /* of the log, for reports: oxt_trials_unit when it was read */
} oxt_bootstrap_values;

#define OXT_BOOTSTRAP_VALUES_INIT \
    { sizeof(oxt_bootstrap_values), 0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,         \
      OXT_LAW_PARABOLIC, 0.0, 0.0, 0.0, 0.0, OXT_UNIT_CELSIUS }

/** A finished bootstrap: opaque, immutable, shared freely between threads. */
typedef struct oxt_bootstrap oxt_bootstrap;

OXT_BEGIN_DECLS

/**
 * Limits of a fit by the rise of chi-square when one number is held and the others are fitted anew.
 *
 * Given:
 *   fit          the fit; not read any more once `progress` is called
 *   what         what the interval is of
 *   bath_K       K   bath of the dip, OXT_BATH_LOW_K to OXT_BATH_HIGH_K; unused for the constants
 *   options      NULL for the usual ones
 * Returned:
 *   low, high    limits, of a dip factors on its time; -HUGE_VAL or HUGE_VAL (of a dip 0 or HUGE_VAL) where
 *                chi-square never rises so far
 * Status:
 *   OXT_EARG; OXT_EDOMAIN; OXT_EIDENT the limits of a Q that was held; OXT_ECANCEL `progress` asked to stop;
 *   OXT_ENOCONV; OXT_ENOMEM
 * Notes:
 *   1. The rise is the F(1, dof) quantile, times the scale. The weights are held as the fit left them, and in
 *   an orthogonal fit the true baths and times.
 *   2. Where the trials state no part and no lift the model is a straight line, and at
 *   OXT_INTERVAL_SCALE_STATED these are the limits by Student's t. With a held Q they always are, its own
 *   error carried through.
 */
OXT_API oxt_status oxt_interval_profile(const oxt_fit *fit, oxt_interval_quantity what, double bath_K,
                                        const oxt_interval_options *options, double *low, double *high,
                                        oxt_error *error);

/**
 * Fit many logs drawn from the rows of a fit.
 *
 * Given:
 *   fit         the fit; not read any more once `progress` is called
 *   options     NULL for the usual ones
 * Returned:
 *   bootstrap   free it with oxt_bootstrap_free
 * Status:
 *   OXT_EARG; OXT_EDOMAIN; OXT_ECANCEL `progress` asked to stop; OXT_ENOMEM
 * Notes:
 *   The scatter, the orders of the colours and T_ref are those of the fit; robust weights, the errors of
 *   baths and times, and the shape of a law where the fit found it, are found anew each time, the shape within six of
 *   its errors. What does not come from the rows is drawn from a normal distribution of its standard error: a prior,
 *   of the shape too, and a Q that was held.
 */
OXT_API oxt_status oxt_bootstrap_run(oxt_bootstrap **bootstrap, const oxt_fit *fit,
                                     const oxt_bootstrap_options *options, oxt_error *error);

/**
 * Free a bootstrap.
 *
 * Given:
 *   bootstrap   NULL is ignored
 */
OXT_API void oxt_bootstrap_free(oxt_bootstrap *bootstrap);

/**
 * The numbers of a bootstrap, and the constants of every replicate.
 *
 * Given:
 *   bootstrap     the bootstrap
 *   capacity      elements in each array, at least the number of replicates; unused without arrays
 * Returned:
 *   values        a copy; NULL allowed
 *   ln_k          ln k_ref of each replicate, NaN for those left out; NULL allowed
 *   Q_J_per_mol   J/mol   Q of each replicate, likewise; NULL allowed
 *   law_shape     n, A in nm or L in nm of each replicate, likewise; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE
 */
OXT_API oxt_status oxt_bootstrap_get(const oxt_bootstrap *bootstrap, oxt_bootstrap_values *values,
                                     size_t capacity, double *ln_k, double *Q_J_per_mol,
                                     double *law_shape, oxt_error *error);

/**
 * Limits by the bootstrap.
 *
 * Given:
 *   bootstrap    the bootstrap
 *   what         what the interval is of
 *   bath_K       K   bath of the dip, OXT_BATH_LOW_K to OXT_BATH_HIGH_K; unused for the constants
 *   thickness_nm  nm   film of the dip, on bare steel, 0 to 10000; 0: the middle one. All films of the parabolic law are
 *                alike
 *   confidence   0.5 to 0.9999
 *   method       how they are read off
 * Returned:
 *   low, high    limits, of a dip factors on its time
 * Status:
 *   OXT_EARG; OXT_EDOMAIN; OXT_EIDENT the limits of a Q that was held without an error, or of a shape that was not
 *   found; OXT_EFEW less than one replicate is expected beyond each limit; OXT_ENOMEM
 */
OXT_API oxt_status oxt_bootstrap_interval(const oxt_bootstrap *bootstrap, oxt_interval_quantity what,
                                          double bath_K, double thickness_nm, double confidence,
                                          oxt_bootstrap_method method, double *low, double *high,
                                          oxt_error *error);

/**
 * The bootstrap as a report to read at the bench: the constants with their standard errors and limits by
 * percentile, 95 %.
 *
 * Given:
 *   bootstrap           the bootstrap
 *   unit                scale for temperatures
 *   buffer, capacity    where the text goes
 * Returned:
 *   needed              length of the text without the final NUL; NULL allowed
 * Status:
 *   OXT_EARG, OXT_ESPACE, OXT_ENOMEM
 */
OXT_API oxt_status oxt_bootstrap_report(const oxt_bootstrap *bootstrap, oxt_temperature_unit unit,
                                        char *buffer, size_t capacity, size_t *needed,
                                        oxt_error *error);

OXT_END_DECLS

#endif
