/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files that compare laws of growth share. */
#ifndef OXTINT_LAWS_INTERNAL_H
#define OXTINT_LAWS_INTERNAL_H

#include "oxtint/laws.h"
#include "base/lsq.h"
#include "fit/fit.h"
#include "growth/law.h"

/* ---- the laws on the trials (laws_solve.c) ---- */

/* The rows of a fit, for every law alike. */
typedef struct {
    oxt_i_trial_set set; /* copies of the used rows */
    oxt_i_fit_row *rows;
    const char *name;
    double fit_ln_k;
    double *weights;
    double *scratch; /* three for each row */
    size_t *sets;    /* for each row the first that it is like */
    size_t n;
    double T_ref_K;
    double middle_ln_x; /* weighted */
    double fit_q;
    bool Q_held, has_initial;
    double confidence;
    oxt_i_watch *watch;
    double share;       /* of the work that is done */
    oxt_status stopped; /* OXT_ECANCEL once the caller asked to stop */
    oxt_error *error;
} oxt_i_laws_data;

/* Where one law ended. */
typedef struct {
    oxt_i_law law;
    double ln_time;    /* ln of the time that the middle film takes at T_ref from bare metal */
    double q;          /* Q / (R T_ref) */
    double initial_nm; /* 0: none */
    bool shape_held;   /* at a limit */
    bool found;        /* a minimum was found */
    double chi_square;
    size_t p;                          /* parameters that were free */
    size_t q_at, shape_at, initial_at; /* their places; p when held */
    double covariance[16];             /* of ln_time (its sign changed), q, ln shape, ln x0 */
} oxt_i_law_solution;

/* The best fit of a law. A failure other than OXT_ENOMEM only leaves `found` false. */
oxt_status oxt_i_law_solve(oxt_i_laws_data *data, oxt_law kind, oxt_i_law_solution *best,
                           oxt_error *error);
/* ln x of each row by a solution less what was seen. */
void oxt_i_law_residuals(const oxt_i_laws_data *data, const oxt_i_law_solution *solution,
                         double *residuals);

struct oxt_laws {
    oxt_laws_values values;
    oxt_law_result results[OXT_LAW_COUNT];
    char name[140];
    bool with_initial;
    double middle_s; /* time of the middle film at T_ref_K by the parabolic law */
};

/* The verdict in words, into the values (laws_report.c). */
oxt_status oxt_i_laws_put_sentence(oxt_laws *laws, oxt_error *error);

#endif
