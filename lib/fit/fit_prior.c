/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was known beforehand in a fit: its share of the answer, and whether the trials contradict it.
 *
 * Source: a prior against the data that it was combined with, by the variance of its change: M. Evans and H. Moshonov,
 * Bayesian Analysis 1 (2006) 893; degrees of freedom of a sum of variances: JCGM 100:2008, G.4; the first from memory. */
#include <gsl/gsl_cdf.h>

#include "fit/fit.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- shares ---- */

static double share(double trials, double both)
{
    return both > 0.0 ? fmin(fmax(1.0 - trials / both, 0.0), 1.0) : 0.0;
}

/* Information of the trials alone on one parameter, the other being fitted with it, over that of both. */
void oxt_i_fit_prior_shares(oxt_i_fit_solution *solution, oxt_fit_values *values)
{
    const oxt_i_fit_model *model = &solution->model;
    const oxt_i_constants *at = &solution->at[0];
    if (model->prior_count == 0)
        return;
    oxt_i_moments of = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 };
    if (solution->day_count > 0) { /* the mean of a day counts for less */
        double logs = solution->day_logs;
        of = oxt_i_fit_moments_of_days(solution, 0);
        solution->day_logs = logs;
    }
    if (!model->rows) {
        of = oxt_i_fit_film_moments(solution).of;
        oxt_i_moments_scale(&of, 0.25);
    }
    for (size_t i = 0; i < model->n && model->rows && solution->day_count == 0; i++) {
        oxt_i_moments row = {
            0.25 * oxt_i_fit_weight(solution, i), model->u[i], 0.0, 0.0, 0.0, 0.0
        };
        oxt_i_moments_add(&of, &row);
    }
    if (!isnan(model->held_q)) {
        values->prior_share_ln_k = share(of.w, 1.0 / at->variance_b);
        return;
    }
    static const double NOWHERE_ELSE =
        1e-9; /* baths that lie at T_ref tell its rate, whatever Q is */
    double own = fabs(of.u) < NOWHERE_ELSE ? of.w
                 : of.uu > 0.0             ? of.w * of.uu / (of.uu + of.w * of.u * of.u)
                                           : 0.0;
    values->prior_share_ln_k = share(own, 1.0 / at->variance_b);
    values->prior_share_Q = share(of.uu, 1.0 / at->variance_q);
}

/* ---- contradictions ---- */

/* What was known of the rate at a temperature and of Q, or of one of them: in standard errors of that knowledge, by how
 * much the answer differs from it, and what that difference would vary by were it true. */
typedef struct {
    size_t parts;
    bool of_Q[2];
    double beforehand[2], stderr_of[2]; /* ln k; J/mol */
    double moved[2];
    double variance[2][2];
} change;

static void add_part(change *of, bool of_Q, double beforehand, double stderr_of, double now,
                     double variance)
{
    size_t j = of->parts++;
    of->of_Q[j] = of_Q;
    of->beforehand[j] = beforehand;
    of->stderr_of[j] = stderr_of;
    of->moved[j] = (now - beforehand) / stderr_of;
    of->variance[j][j] = 1.0 - variance / (stderr_of * stderr_of);
}

static change change_of(const oxt_fit_values *values, const oxt_prior *prior)
{
    change made = { .parts = 0 };
    double variance_Q = values->variance_Q_J2_per_mol2, covariance = values->covariance_J_per_mol;
    double s = 0.0; /* d ln k/dQ */
    if (prior->ln_k_stderr > 0.0)
        s = (1.0 / values->growth.T_ref_K - 1.0 / prior->temperature_K) / R;
    double Q = values->growth.Q_J_per_mol;
    if (prior->ln_k_stderr > 0.0)
        add_part(&made, false, prior->ln_k, prior->ln_k_stderr,
                 log(values->growth.k_ref_nm2_per_s) + s * Q,
                 values->variance_ln_k + 2.0 * s * covariance + s * s * variance_Q);
    if (prior->Q_stderr_J_per_mol > 0.0)
        add_part(&made, true, prior->Q_J_per_mol, prior->Q_stderr_J_per_mol, Q, variance_Q);
    if (made.parts == 2)
        made.variance[0][1] = made.variance[1][0] = -(covariance + s * variance_Q) /
                                                    (made.stderr_of[0] * made.stderr_of[1]);
    return made;
}

/* Directions of which the trials determine less than this share have nothing to say against the prior. */
static const double LEAST_SHARE = 0.02;

/* Sum of the squares of the changes, each over its variance, along the axes of that; their number, and the degrees of
 * freedom behind the trials' part of the variance. */
static double chi_square_of(const change *of, double dof, size_t *directions, double *effective_dof)
{
    double a = of->variance[0][0], c = of->parts == 2 ? of->variance[1][1] : 0.0;
    double b = of->parts == 2 ? of->variance[0][1] : 0.0, turn = 0.5 * atan2(2.0 * b, a - c);
    double sum = 0.0;
    *directions = 0;
    *effective_dof = HUGE_VAL;
    for (size_t i = 0; i < of->parts; i++, turn += 0.5 * OXT_I_PI) {
        double x = cos(turn), y = sin(turn);
        double variance = x * x * a + 2.0 * x * y * b + y * y * c;
        double moved = x * of->moved[0] + (of->parts == 2 ? y * of->moved[1] : 0.0);
        if (variance < LEAST_SHARE)
            continue;
        ++*directions;
        sum += moved * moved / variance;
        *effective_dof = fmin(*effective_dof, dof / ((1.0 - variance) * (1.0 - variance)));
    }
    return sum;
}

/* The part that is farther off, with what the trials alone would say of it; those of one bath, nothing of Q. */
static void write_part(const change *of, bool one_bath, const char *whose, char *buffer,
                       size_t capacity)
{
    double errors[2] = { 0.0, 0.0 };
    for (size_t j = 0; j < of->parts; j++)
        if (of->variance[j][j] >= LEAST_SHARE && !(one_bath && of->of_Q[j]))
            errors[j] = fabs(of->moved[j]) / sqrt(of->variance[j][j]);
    size_t j = errors[1] > errors[0] ? 1 : 0;
    double off = of->stderr_of[j] * of->moved[j] / of->variance[j][j];
    if (of->of_Q[j])
        oxt_i_snprintf(buffer, capacity,
                       "Q by %s alone is about %.0f kJ/mol, beforehand %.0f +/- %.0f kJ/mol", whose,
                       (of->beforehand[j] + off) / 1e3, of->beforehand[j] / 1e3,
                       of->stderr_of[j] / 1e3);
    else
        oxt_i_snprintf(buffer, capacity,
                       "by %s alone the film grows about %.2g times as %s as was known "
                       "beforehand, within a factor of %.2g",
                       whose, exp(fabs(off)), off > 0.0 ? "fast" : "slow", exp(of->stderr_of[j]));
}

void oxt_i_fit_warn_prior(oxt_fit *fit, const oxt_prior *prior)
{
    static const double RARE = 0.01;
    size_t directions;
    double dof;
    char text[200];
    change of = change_of(&fit->values, prior);
    double chi_square = chi_square_of(&of, fit->values.dof, &directions, &dof);
    if (directions == 0)
        return;
    double chance = gsl_cdf_fdist_Q(chi_square / (double)directions, (double)directions,
                                    fmin(dof, 1e6));
    if (chance >= RARE)
        return;
    bool alone = fit->set.used_count == 1;
    write_part(&of, fit->set.high_K - fit->set.low_K < OXT_I_LEAST_SPREAD_K,
               alone ? "the trial" : "the trials", text, sizeof text);
    oxt_i_warn(&fit->warnings, "PRIOR_CONTRADICTED", chance,
               "%s the prior: %s. Check baths and steel of the log, or fit without the prior.",
               alone ? "This trial contradicts" : "These trials contradict", text);
}
