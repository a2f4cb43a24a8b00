/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What profiles and the bootstrap share, and a bootstrap while it runs and when it is done. */
#ifndef OXTINT_INTERVAL_INTERNAL_H
#define OXTINT_INTERVAL_INTERNAL_H

#include "base/random.h"
#include "oxtint/interval.h"
#include "fit/fit.h"

/* Check what an interval is of, its bath and its confidence. */
oxt_status oxt_i_check_interval(oxt_interval_quantity what, double bath_K, double confidence,
                                oxt_error *error);
/* What ln k has of -q: T_ref/T - 1 in the bath of a dip, nothing at T_ref. */
double oxt_i_interval_offset(oxt_interval_quantity what, double bath_K, double T_ref_K);
/* Limits of ln k in a bath -> factors on the time there; `ln_k` is that of the fit. */
void oxt_i_interval_factors(double ln_k, double *low, double *high);

struct oxt_bootstrap {
    oxt_bootstrap_values values;
    char name[140]; /* of the steel */
    bool Q_is_exact;
    size_t coupons;
    double *ln_k, *Q, *shape; /* of each replicate; NAN for those left out */
    oxt_growth growth;        /* of the fit */
};

/* What all threads read. */
typedef struct {
    oxt_bootstrap_options options;
    oxt_fit_values fit;
    oxt_fit_options chosen; /* of the fit */
    double q;               /* Q of the fit over R T_ref */
    oxt_robust robust;
    oxt_i_reopened whole; /* with rows that nobody writes to */
    double *pool;         /* residuals in their errors, for the residual kind */
    size_t pool_count;
    oxt_bootstrap *results; /* each replicate is written by one thread */
} oxt_i_bootstrap_job;

/* What one thread writes to. */
typedef struct {
    oxt_i_bootstrap_job *job;
    oxt_i_reopened own;
    bool fixed;                               /* nothing of the rows moves with the constants */
    bool has_shape;                           /* each replicate finds its own */
    gsl_rng *streams[OXT_I_STREAMS], *random; /* the last: one of them */
    double *effects;                          /* of days, drawn anew; NULL: no day is stated */
} oxt_i_bootstrap_worker;

oxt_status oxt_i_bootstrap_prepare(oxt_i_bootstrap_worker *worker, oxt_i_bootstrap_job *job,
                                   const oxt_fit *fit, oxt_error *error);
void oxt_i_bootstrap_clear(oxt_i_bootstrap_worker *worker);
/* Draw, fit and note replicates. */
void oxt_i_bootstrap_replicates(oxt_i_bootstrap_worker *worker, size_t first, size_t count);

#endif
