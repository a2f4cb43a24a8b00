/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up logs whose rate changes, for the drift. Whoever includes it defines OK(call), which must
 * hold, and default_film(). */
#ifndef OXTINT_TEST_LOGS_H
#define OXTINT_TEST_LOGS_H

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>

#include "oxtint.h"

typedef struct {
    int coupons, from; /* from this coupon on the rate is another */
    double factor;
    double low_nm, high_nm; /* films aimed at, evenly in ln thickness */
} log_plan;

/* Coupons at three baths in any order with 6 % scatter, named by the film that came out. */
static oxt_trials *drifting_log(gsl_rng *random, const log_plan *plan)
{
    static const double baths_K[] = { 560.9, 588.7, 616.5 }; /* 550, 600 and 650 F */
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *made;
    OK(oxt_trials_new(&made, NULL, &error));
    for (int i = 0; i < plan->coupons;) {
        oxt_growth growth = OXT_GROWTH_INIT;
        oxt_trial trial = OXT_TRIAL_INIT;
        oxt_tint tint = OXT_TINT_INIT;
        double film_nm = 0.0;
        growth.k_ref_nm2_per_s = 55.0;
        growth.T_ref_K = 588.7;
        growth.Q_J_per_mol = 80e3;
        strcpy(trial.steel, "Alder 1");
        trial.bath_K = baths_K[gsl_rng_uniform_int(random, 3)];
        double aim_nm = exp(gsl_ran_flat(random, log(plan->low_nm), log(plan->high_nm)));
        OK(oxt_time_for_thickness(&growth, aim_nm, trial.bath_K, &trial.time_s, &error));
        trial.time_s = fmax(round(trial.time_s), 1.0);
        if (i >= plan->from)
            growth.k_ref_nm2_per_s *= plan->factor;
        OK(oxt_thickness(&growth, trial.bath_K, trial.time_s, &film_nm, &error));
        film_nm *= exp(gsl_ran_gaussian(random, 0.06));
        OK(oxt_tint_at(default_film(), film_nm, &tint, &error));
        strcpy(trial.colour, tint.label);
        if (tint.index == 0)
            continue; /* bright: nothing to log */
        OK(oxt_trials_add(made, &trial, NULL, &error));
        i++;
    }
    return made;
}

#endif
