/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A bootstrap while it runs, and when it is done. */
#ifndef OXTINT_BOOTSTRAP_INTERNAL_H
#define OXTINT_BOOTSTRAP_INTERNAL_H

#include <gsl/gsl_rng.h>

#include "oxtint/interval.h"
#include "fit/fit.h"

struct oxt_bootstrap {
    oxt_bootstrap_values values;
    char name[140]; /* of the steel */
    bool Q_is_exact;
    double *ln_k, *Q; /* of each replicate; NAN for those left out */
};

/* What all threads read. */
typedef struct {
    oxt_bootstrap_options options;
    oxt_fit_values fit;
    double q; /* Q of the fit over R T_ref */
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
    bool fixed; /* nothing of the rows moves with the constants */
    gsl_rng *random;
} oxt_i_bootstrap_worker;

oxt_status oxt_i_bootstrap_prepare(oxt_i_bootstrap_worker *worker, oxt_i_bootstrap_job *job,
                                   const oxt_fit *fit, oxt_error *error);
void oxt_i_bootstrap_clear(oxt_i_bootstrap_worker *worker);
/* Draw, fit and note one replicate. */
void oxt_i_bootstrap_replicate(oxt_i_bootstrap_worker *worker, size_t index);

#endif
