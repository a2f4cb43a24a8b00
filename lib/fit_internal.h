/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the three files of the fit share. */
#ifndef OXTINT_FIT_INTERNAL_H
#define OXTINT_FIT_INTERNAL_H

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
    double ln_time, lateness;  /* what the model needs of them: ln time_s, and T_ref/bath_K - 1 */
    oxt_i_reading readings[4]; /* the likeliest first; more than one where the order is open */
    size_t reading_count;      /* 0: not used, for the reason given */
    size_t reading;            /* which one the fit took */
    const char *reason;        /* static text */
    char text[56];             /* what was seen, for messages */
    double residual, sigma, studentized, leverage;
} oxt_i_seen_row;

static inline const oxt_i_reading *oxt_i_seen(const oxt_i_seen_row *row)
{
    return &row->readings[row->reading];
}

struct oxt_fit {
    oxt_fit_values values;
    char steel[64], finish[64];
    char name[140]; /* steel and finish, for messages */
    char description[128];
    oxt_i_seen_row *rows;
    size_t row_count, bright_count;
    char **warnings;
    size_t warning_count;
    bool memory_failed;
};

/* The model: ln x = (ln k_ref - q (T_ref/T - 1) + ln t) / 2, with q = Q / (R T_ref). */
typedef struct {
    oxt_i_seen_row **rows; /* the used ones */
    size_t n;
    double T_ref_K;
    double held_q; /* NAN when q is fitted */
} oxt_i_fit_model;

typedef struct {
    oxt_i_fit_model model;
    size_t p;
    oxt_i_lsq *solver;
    oxt_i_lsq_result result;
    double *weights, *residuals;
    double scatter;
} oxt_i_fit_solution;

/* Choose the rows and the middle temperature, or say what is missing. */
oxt_status oxt_i_fit_prepare(oxt_i_fit_solution *solution, oxt_fit *fit,
                             const oxt_fit_options *options, oxt_error *error);
/* Parameters, scatter (estimated when negative) and orders. */
oxt_status oxt_i_fit_solve(oxt_i_fit_solution *solution, double given_scatter, oxt_error *error);
/* How much row i decides its own prediction, 0 to 1. */
double oxt_i_fit_leverage(const oxt_i_fit_solution *solution, size_t i);
void oxt_i_fit_free_solution(oxt_i_fit_solution *solution);

/* Take the trials of the steel and finish out of the log and read what was seen. */
oxt_status oxt_i_fit_read_rows(oxt_fit *fit, const oxt_trials *trials, const oxt_film *film,
                               const oxt_fit_options *options, oxt_error *error);
void oxt_i_fit_warn(oxt_fit *fit, const char *format, ...) OXT_I_PRINTF(2, 3);
/* "Line 12" or "Trial 3". */
void oxt_i_row_name(const oxt_i_seen_row *row, char *buffer, size_t capacity);

#endif
