/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Several steels and finishes fitted together: against single fits, closed forms and known constants. */
#include <stdio.h>
#include <string.h>

#include "support.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
static const double baths_K[] = { 560.9, 588.7, 616.5 };

/* A made-up steel and finish, and how its coupons are made. */
typedef struct {
    const char *steel, *finish;
    double k_ref, Q;
    size_t rows;
    double noise; /* of ln x */
} made_up;

static oxt_trial coupon(const made_up *of, size_t i)
{
    oxt_growth growth = growth_of(of->k_ref, 588.7, of->Q);
    oxt_trial trial = trial_at(baths_K[i % 3], 30.0 + 11.0 * (double)i);
    strcpy(trial.steel, of->steel);
    strcpy(trial.finish, of->finish);
    oxt_thickness(&growth, trial.bath_K, trial.time_s, &trial.thickness_nm, NULL);
    trial.thickness_nm *= exp(of->noise *
                              sin(2.5 * (double)i + (double)strlen(of->steel) * of->k_ref));
    trial.seen = OXT_SEEN_THICKNESS;
    return trial;
}

static void add(oxt_trials *trials, const oxt_trial *trial)
{
    oxt_error error = OXT_ERROR_INIT;
    OK(oxt_trials_add(trials, trial, NULL, &error));
}

static oxt_trials *log_of(const made_up *steels, size_t count)
{
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < steels[i].rows; j++) {
            oxt_trial trial = coupon(&steels[i], j);
            add(trials, &trial);
        }
    return trials;
}

static oxt_pool *pool_of(const oxt_trials *trials, const oxt_pool_options *options)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool *pool;
    OK(oxt_pool_run(&pool, trials, default_film(), options, &error));
    return pool;
}

static oxt_pool_values values_of(const oxt_pool *pool)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool_values values = OXT_POOL_VALUES_INIT;
    OK(oxt_pool_get(pool, &values, &error));
    return values;
}

static oxt_pool_group group_of(const oxt_pool *pool, size_t index)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool_group group = OXT_POOL_GROUP_INIT;
    OK(oxt_pool_get_group(pool, index, &group, &error));
    return group;
}

static oxt_pool_comparison comparison_of(const oxt_pool *pool, oxt_pool_model model)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool_comparison comparison = OXT_POOL_COMPARISON_INIT;
    OK(oxt_pool_get_comparison(pool, model, &comparison, &error));
    return comparison;
}

static bool warns(const oxt_pool *pool, const char *words)
{
    for (size_t i = 0; i < pool_warning_count(pool); i++) {
        char text[600];
        oxt_pool_warning(pool, i, text, sizeof text, NULL, NULL);
        if (strstr(text, words))
            return true;
    }
    return false;
}

static void run_fails(const oxt_trials *trials, const oxt_pool_options *options, oxt_status status,
                      const char *words)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool *pool;
    FAILS(oxt_pool_run(&pool, trials, default_film(), options, &error), status);
    cr_assert_null(pool);
    SAYS(words);
}

/* ---- against single fits ---- */

static const made_up alder = { "Alder 1", "mirror", 55.0, 80e3, 12, 0.06 };

/* What goes in beside the coupons. */
typedef struct {
    const char *name;
    double scatter, bath_sd_K;
    oxt_robust robust;
    bool prior, roads, colours;
    oxt_law law;
    double shape, shape_sd;
} setting;

static const setting settings[] = {
    { "plain", -1.0, 0.0, OXT_ROBUST_NONE, false, false, false, OXT_LAW_PARABOLIC, 0.0, 0.0 },
    { "scatter given", 0.08, 0.0, OXT_ROBUST_NONE, false, false, false, OXT_LAW_PARABOLIC, 0.0,
      0.0 },
    { "errors of the bath", -1.0, 2.0, OXT_ROBUST_NONE, false, false, false, OXT_LAW_PARABOLIC, 0.0,
      0.0 },
    { "Huber", -1.0, 0.0, OXT_ROBUST_HUBER, false, false, false, OXT_LAW_PARABOLIC, 0.0, 0.0 },
    { "Tukey and bath", -1.0, 1.5, OXT_ROBUST_TUKEY, false, false, false, OXT_LAW_PARABOLIC, 0.0,
      0.0 },
    { "prior", -1.0, 0.0, OXT_ROBUST_NONE, true, false, false, OXT_LAW_PARABOLIC, 0.0, 0.0 },
    { "parts and lifts", -1.0, 0.0, OXT_ROBUST_NONE, false, true, false, OXT_LAW_PARABOLIC, 0.0,
      0.0 },
    { "colours of two orders", -1.0, 0.0, OXT_ROBUST_NONE, false, false, true, OXT_LAW_PARABOLIC,
      0.0, 0.0 },
    { "all of it", -1.0, 1.0, OXT_ROBUST_HUBER, true, true, true, OXT_LAW_PARABOLIC, 0.0, 0.0 },
    { "a law", -1.0, 0.0, OXT_ROBUST_NONE, false, false, true, OXT_LAW_POWER, 2.4, 0.0 },
    { "a shape", -1.0, 0.0, OXT_ROBUST_NONE, false, false, false, OXT_LAW_LOGARITHMIC, 0.0, 0.0 },
    { "a shape, thicknesses", 0.05, 0.0, OXT_ROBUST_NONE, false, false, false, OXT_LAW_POWER, 0.0,
      0.0 },
    { "a shape about 2.6", -1.0, 1.0, OXT_ROBUST_HUBER, true, true, true, OXT_LAW_POWER, 2.6, 0.2 },
};

static oxt_trials *log_with(const setting *with)
{
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < alder.rows; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_trial trial = coupon(&alder, i);
        oxt_tint tint = OXT_TINT_INIT;
        if (i == 5)
            trial.thickness_nm *= 1.4;
        if (with->roads && i % 2) {
            trial.part_size_m = 0.003;
            trial.lift_s = 2.0;
        }
        if (with->colours && i != 5) {
            OK(oxt_tint_at(default_film(), trial.thickness_nm, &tint, &error));
            trial.seen = OXT_SEEN_COLOUR;
            strcpy(trial.colour, strstr(tint.label, "blue") ? "blue" : tint.label);
        }
        add(trials, &trial);
    }
    return trials;
}

static void check_equal(const oxt_pool *pool, const oxt_fit *fit, const char *name)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values single = OXT_FIT_VALUES_INIT;
    OK(oxt_fit_get(fit, &single, &error));
    oxt_pool_values values = values_of(pool);
    oxt_pool_group group = group_of(pool, 0);
    double within = single.ln_shape_stderr > 0.0 ? 2e-5 : 1e-9; /* a shape is found to 1e-6 */
    const double pairs[][2] = {
        { group.growth.k_ref_nm2_per_s, single.growth.k_ref_nm2_per_s },
        { group.growth.T_ref_K, single.growth.T_ref_K },
        { group.growth.Q_J_per_mol, single.growth.Q_J_per_mol },
        { values.Q_J_per_mol, single.growth.Q_J_per_mol },
        { group.ln_k_stderr, single.ln_k_stderr },
        { group.Q_stderr_J_per_mol, single.Q_stderr_J_per_mol },
        { group.k_ref_low_nm2_per_s, single.k_ref_low_nm2_per_s },
        { group.Q_high_J_per_mol, single.Q_high_J_per_mol },
        { values.scatter, single.scatter },
        { values.dof, single.dof },
        { values.chi_square, single.chi_square },
        { values.aicc, single.aicc },
        { values.law_shape, single.growth.shape },
        { values.law_middle_nm, single.growth.middle_nm },
        { values.ln_shape_stderr, single.ln_shape_stderr },
        { group.growth.shape, single.growth.shape },
    };
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++)
        cr_assert(fabs(pairs[i][0] - pairs[i][1]) <= within * fabs(pairs[i][1]),
                  "%s, number %zu: %.17g, the fit has %.17g", name, i, pairs[i][0], pairs[i][1]);
    NEAR(group.covariance_J_per_mol, single.covariance_J_per_mol,
         within * group.ln_k_stderr * group.Q_stderr_J_per_mol);
    cr_assert(values.used_count == single.used_count && values.row_count == single.row_count);
    cr_assert(values.law == single.growth.law && group.growth.law == single.growth.law);
}

/* Contract: a log of one group gives what oxt_fit_run gives, whatever is asked of both. */
Test(pool, one_steel_is_a_fit)
{
    for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        oxt_prior prior = { sizeof prior, 0.0, 0.0, 0.0, 71e3, 8e3 };
        oxt_fit_options single = OXT_FIT_OPTIONS_INIT;
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        options.scatter = single.scatter = settings[i].scatter;
        options.bath_sd_K = single.bath_sd_K = settings[i].bath_sd_K;
        options.robust = single.robust = settings[i].robust;
        options.law = single.law = settings[i].law;
        options.law_shape = single.law_shape = settings[i].shape;
        options.ln_shape_sd = single.ln_shape_sd = settings[i].shape_sd;
        options.prior = single.prior = settings[i].prior ? &prior : NULL;
        oxt_trials *trials = log_with(&settings[i]);
        oxt_fit *fit;
        OK(oxt_fit_run(&fit, trials, default_film(), &single, &error));
        for (int model = 0; model < 2; model++) {
            options.model = (oxt_pool_model)model;
            oxt_pool *pool = pool_of(trials, &options);
            check_equal(pool, fit, settings[i].name);
            oxt_pool_free(pool);
        }
        oxt_fit_free(fit);
        oxt_trials_free(trials);
    }
}

static const made_up three[] = { { "Alder 1", "mirror", 55.0, 80e3, 9, 0.06 },
                                 { "Alder 1", "satin", 70.0, 72e3, 7, 0.06 },
                                 { "Birch 2", "satin", 30.0, 90e3, 8, 0.06 } };

/* Contract: with nothing in common but the scatter, each is its own fit: rate, and its error at any
 * bath. */
Test(pool, separate_is_single_fits)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of(three, 3);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.model = OXT_POOL_SEPARATE;
    options.scatter = 0.05;
    oxt_pool *pool = pool_of(trials, &options);
    for (size_t i = 0; i < 3; i++) {
        oxt_fit_options single = OXT_FIT_OPTIONS_INIT;
        oxt_fit_values found = OXT_FIT_VALUES_INIT;
        oxt_fit *fit;
        single.steel = three[i].steel;
        single.finish = three[i].finish;
        single.scatter = 0.05;
        OK(oxt_fit_run(&fit, trials, default_film(), &single, &error));
        OK(oxt_fit_get(fit, &found, &error));
        oxt_pool_group group = group_of(pool, i);
        double rate,
            inverse_T_offset = (1.0 / group.growth.T_ref_K - 1.0 / found.growth.T_ref_K) / R;
        OK(oxt_rate(&found.growth, group.growth.T_ref_K, &rate, &error));
        CLOSE(group.growth.k_ref_nm2_per_s, rate, 1e-9);
        CLOSE(group.growth.Q_J_per_mol, found.growth.Q_J_per_mol, 1e-9);
        CLOSE(group.variance_Q_J2_per_mol2, found.variance_Q_J2_per_mol2, 1e-9);
        CLOSE(group.variance_ln_k,
              found.variance_ln_k - 2.0 * inverse_T_offset * found.covariance_J_per_mol +
                  inverse_T_offset * inverse_T_offset * found.variance_Q_J2_per_mol2,
              1e-9);
        oxt_fit_free(fit);
    }
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

/* ---- known constants ---- */

static const made_up exact[] = { { "Alder 1", "mirror", 27.0, 76e3, 5, 0.0 },
                                 { "Alder 1", "satin", 36.0, 76e3, 5, 0.0 },
                                 { "Birch 2", "mirror", 15.0, 76e3, 5, 0.0 },
                                 { "Birch 2", "satin", 20.0, 76e3, 1, 0.0 } };

/* A shared Q takes no part in the factors, however many finishes there are: exact coupons give it back. */
Test(pool, a_shared_Q_with_many_finishes)
{
    static const char *const finishes[] = { "mirror", "satin", "ground", "etched", "blasted" };
    made_up all[10];
    for (size_t i = 0; i < 10; i++) {
        all[i] =
            (made_up){ i < 5 ? "Alder 1" : "Birch 2", "", 20.0 + 3.0 * (double)i, 76e3, 4, 0.0 };
        all[i].finish = finishes[i % 5];
    }
    oxt_trials *trials = log_of(all, 10);
    for (int model = OXT_POOL_SHARED_Q; model <= OXT_POOL_SEPARATE; model++) {
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        options.model = (oxt_pool_model)model;
        if (options.model == OXT_POOL_FINISH_FACTORS)
            continue;
        oxt_pool *pool = pool_of(trials, &options);
        for (size_t i = 0; i < 10; i++) {
            CLOSE(group_of(pool, i).growth.Q_J_per_mol, 76e3, 1e-6);
            CLOSE(group_of(pool, i).growth.k_ref_nm2_per_s *
                      exp(-76e3 / R * (1.0 / 588.7 - 1.0 / group_of(pool, i).growth.T_ref_K)),
                  all[i].k_ref, 1e-6);
        }
        oxt_pool_free(pool);
    }
    oxt_trials_free(trials);
}

/* Coupons without scatter give back the constants that made them, by each model that holds of them; a
 * satin finish takes on 4/3 as fast in all. */
Test(pool, constants_come_back)
{
    oxt_trials *trials = log_of(exact, 4);
    for (int model = 0; model < 2; model++) {
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        options.model = (oxt_pool_model)model;
        oxt_pool *pool = pool_of(trials, &options);
        CLOSE(values_of(pool).Q_J_per_mol, 76e3, 1e-9);
        cr_assert_eq(values_of(pool).parameter_count, model ? 4 : 5);
        for (size_t i = 0; i < 4; i++) {
            oxt_pool_group group = group_of(pool, i);
            double rate;
            cr_assert_eq(oxt_rate(&group.growth, 588.7, &rate, NULL), OXT_OK);
            CLOSE(rate, exact[i].k_ref, 1e-9);
            cr_assert_str_eq(group.finish, exact[i].finish);
            if (model)
                CLOSE(group.finish_factor, i % 2 ? 4.0 / 3.0 : 1.0, 1e-9);
            else
                cr_assert(isnan(group.finish_factor));
        }
        oxt_pool_free(pool);
    }
    oxt_trials_free(trials);
}

/* Two steels that one finish links: what the second steel alone was given is measured by the first one's. */
Test(pool, factors_pass_from_steel_to_steel)
{
    static const made_up linked[] = { { "Alder 1", "mirror", 24.0, 76e3, 4, 0.0 },
                                      { "Alder 1", "satin", 30.0, 76e3, 4, 0.0 },
                                      { "Birch 2", "satin", 60.0, 76e3, 4, 0.0 },
                                      { "Birch 2", "matte", 84.0, 76e3, 4, 0.0 } };
    static const double factors[] = { 1.0, 30.0 / 24.0, 30.0 / 24.0, 30.0 / 24.0 * 84.0 / 60.0 };
    oxt_trials *trials = log_of(linked, 4);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.model = OXT_POOL_FINISH_FACTORS;
    oxt_pool *pool = pool_of(trials, &options);
    cr_assert_eq(values_of(pool).parameter_count, 5); /* two steels, two finishes, Q */
    for (size_t i = 0; i < 4; i++)
        CLOSE(group_of(pool, i).finish_factor, factors[i], 1e-9);
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

/* One coupon more than there are constants is enough, as the refusal says. */
Test(pool, as_few_coupons_as_the_refusal_asks_for)
{
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < 2; i++)
        for (size_t j = 0; j < 2; j++) {
            oxt_trial trial = coupon(&exact[2 * i], j);
            add(trials, &trial);
        }
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.scatter = 0.02;
    oxt_pool *pool = pool_of(trials, &options);
    cr_assert_eq(values_of(pool).parameter_count, 3);
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

/* Finishes of steels that no finish links cannot be compared: each lot has a measure of its own, and
 * there is then no more to say than the rates of the groups. */
Test(pool, finishes_that_nothing_links)
{
    static const made_up apart[] = { { "Alder 1", "mirror", 27.0, 76e3, 4, 0.02 },
                                     { "Birch 2", "satin", 20.0, 76e3, 4, 0.02 },
                                     { "Birch 2", "matte", 30.0, 76e3, 4, 0.02 } };
    oxt_trials *trials = log_of(apart, 3);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.model = OXT_POOL_FINISH_FACTORS;
    oxt_pool *pool = pool_of(trials, &options);
    cr_assert(group_of(pool, 0).finish_factor == 1.0 && group_of(pool, 1).finish_factor == 1.0);
    CLOSE(group_of(pool, 2).finish_factor, 1.5, 0.1);
    oxt_pool_comparison factors = comparison_of(pool, OXT_POOL_FINISH_FACTORS);
    oxt_pool_comparison shared = comparison_of(pool, OXT_POOL_SHARED_Q);
    cr_assert_eq(factors.parameter_count, shared.parameter_count);
    CLOSE(factors.chi_square, shared.chi_square, 1e-9);
    cr_assert(isnan(factors.F) && isfinite(shared.F));
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

/* The model with the lowest AICc is the one that made the coupons, when they tell it plainly. */
Test(pool, the_best_model_is_found)
{
    static const made_up by_model[3][4] = {
        { { "Alder 1", "mirror", 27.0, 76e3, 9, 0.02 },
          { "Alder 1", "satin", 27.0, 76e3, 9, 0.02 },
          { "Birch 2", "mirror", 15.0, 76e3, 9, 0.02 },
          { "Birch 2", "satin", 35.0, 76e3, 9, 0.02 } },
        { { "Alder 1", "mirror", 27.0, 76e3, 9, 0.02 },
          { "Alder 1", "satin", 36.0, 76e3, 9, 0.02 },
          { "Birch 2", "mirror", 15.0, 76e3, 9, 0.02 },
          { "Birch 2", "satin", 20.0, 76e3, 9, 0.02 } },
        { { "Alder 1", "mirror", 27.0, 60e3, 9, 0.02 },
          { "Alder 1", "satin", 36.0, 100e3, 9, 0.02 },
          { "Birch 2", "mirror", 15.0, 76e3, 9, 0.02 },
          { "Birch 2", "satin", 20.0, 130e3, 9, 0.02 } },
    };
    for (int model = 0; model < 3; model++) {
        oxt_trials *trials = log_of(by_model[model], 4);
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        options.model = OXT_POOL_BEST;
        oxt_pool *pool = pool_of(trials, &options);
        cr_assert_eq((int)values_of(pool).model, model);
        cr_assert(isnan(values_of(pool).Q_J_per_mol) == (model == OXT_POOL_SEPARATE));
        cr_assert(!warns(pool, "contradict"));
        oxt_pool_free(pool);
        options.model = OXT_POOL_FINISH_FACTORS;
        pool = pool_of(trials, &options);
        cr_assert_eq(warns(pool, "contradict one factor"), model == OXT_POOL_SHARED_Q);
        oxt_pool_free(pool);
        oxt_trials_free(trials);
    }
}

/* ---- shrinking ---- */

enum { LIKE = 5, ROWS = 6 };

/* Steels whose coupons ran in the same baths, so that the rates are told apart from Q. */
static oxt_trials *balanced_log(void)
{
    made_up steels[LIKE];
    static const char *const names[] = { "Alder 1", "Birch 2", "Cedar 3", "Dogwood 4", "Elm 5" };
    for (size_t i = 0; i < LIKE; i++)
        steels[i] = (made_up){ names[i], "", 20.0 + 4.0 * (double)(i * i), 76e3, ROWS, 0.05 };
    return log_of(steels, LIKE);
}

static void ln_rates(const oxt_trials *trials, const oxt_pool_options *options, double rates[LIKE],
                     double *pull)
{
    oxt_pool *pool = pool_of(trials, options);
    cr_assert(values_of(pool).between_sd == options->between_sd || !options->shrink);
    for (size_t i = 0; i < LIKE; i++)
        rates[i] = log(group_of(pool, i).growth.k_ref_nm2_per_s);
    *pull = group_of(pool, 2).shrunk_by;
    oxt_pool_free(pool);
}

/* Thermodynamics: no oxide grows slower in a hotter bath. Few coupons that scatter widely may say so: of such a
 * pool no steel is given, shrunk or not; and the steels of every other pool predict. Seeded. */
Test(pool, a_negative_Q_is_never_given)
{
    oxt_error error = OXT_ERROR_INIT;
    uint32_t seed = 20250214;
    size_t given[2] = { 0, 0 }, refused[2] = { 0, 0 };
    for (int i = 0; i < 120; i++) {
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        oxt_trials *trials = new_log();
        oxt_pool *pool;
        char steel[20];
        for (int group = 0; group < 3; group++)
            for (size_t j = 0; j < 3; j++) {
                made_up of = { steel, "", 55.0, 30e3, 3, 0.0 };
                snprintf(steel, sizeof steel, "Alder %d", group);
                oxt_trial trial = coupon(&of, j);
                seed = 1664525u * seed + 1013904223u; /* Numerical Recipes, 2nd ed., 7.1 */
                trial.thickness_nm *= exp(1.6 * (seed / 4294967296.0 - 0.5));
                add(trials, &trial);
            }
        options.shrink = i % 2;
        options.model = i % 4 < 2 ? OXT_POOL_SHARED_Q : OXT_POOL_BEST;
        oxt_status status = oxt_pool_run(&pool, trials, default_film(), &options, &error);
        oxt_trials_free(trials);
        if (status) {
            cr_assert_eq(status, OXT_EIDENT, "%s", error.text);
            SAYS("hotter baths gave thinner films");
            refused[options.shrink]++;
            continue;
        }
        given[options.shrink]++;
        for (size_t j = 0; j < 3; j++) {
            oxt_steel *made;
            double film_nm;
            oxt_pool_group group = group_of(pool, j);
            cr_assert(group.growth.Q_J_per_mol > 0.0);
            OK(oxt_pool_steel(pool, j, &made, &error));
            OK(oxt_thickness(&group.growth, 588.7, 90.0, &film_nm, &error));
            oxt_steel_free(made);
        }
        oxt_pool_free(pool);
    }
    for (int shrink = 0; shrink < 2; shrink++)
        cr_assert(given[shrink] > 10 && refused[shrink] > 5, "%zu given, %zu refused",
                  given[shrink], refused[shrink]);
}

/* Where each steel has a Q of its own, the coupon that contradicts its own steel is named, as a fit of that steel alone
 * names it, and no coupon of another. */
Test(pool, the_coupon_that_contradicts_its_steel_is_named)
{
    oxt_error error = OXT_ERROR_INIT, of_fit;
    oxt_trials *trials = log_of(&alder, 1);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_fit_options alone = OXT_FIT_OPTIONS_INIT;
    oxt_pool *pool;
    oxt_fit *fit;
    for (size_t i = 0; i < 7; i++) {
        const made_up birch = { "Birch 2", "mirror", 40.0, 60e3, 7, 0.0 };
        oxt_trial trial = coupon(&birch, i);
        trial.line = 100 + i;
        trial.thickness_nm *= i == 5 ? 0.02 : 1.0; /* in the hottest bath */
        add(trials, &trial);
    }
    alone.steel = "Birch 2";
    options.model = OXT_POOL_SEPARATE;
    FAILS(oxt_fit_run(&fit, trials, default_film(), &alone, &error), OXT_EIDENT);
    SAYS("line 105 contradicts the others most");
    of_fit = error;
    FAILS(oxt_pool_run(&pool, trials, default_film(), &options, &error), OXT_EIDENT);
    const char *one = strstr(of_fit.text, "line 105"), *other = strstr(error.text, "line 105");
    cr_assert(other && strcmp(one, other) == 0, "%s\n%s", of_fit.text, error.text);
    oxt_trials_free(trials);
}

/* With n rows each, of variance s^2 in ln k, a rate is pulled to n / (n + s^2/t^2) of its distance from
 * the mean; entirely at t = 0, not at all as t grows. The textbook result of the one-way random model;
 * from memory. */
Test(pool, shrinking_follows_the_closed_form)
{
    static const double widths[] = { 0.0, 0.02, 0.1, 0.5, 10.0 };
    oxt_trials *trials = balanced_log();
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    double own[LIKE], pulled[LIKE], mean = 0.0, pull, s = 0.06;
    options.scatter = s;
    ln_rates(trials, &options, own, &pull);
    cr_assert_eq(pull, 0.0);
    for (size_t i = 0; i < LIKE; i++)
        mean += own[i] / LIKE;
    options.shrink = 1;
    for (size_t w = 0; w < sizeof widths / sizeof widths[0]; w++) {
        double t = widths[w], square = 4.0 * (s * s + 0.02 * 0.02);
        double share = t > 0.0 ? ROWS / (ROWS + square / (t * t)) : 0.0;
        options.between_sd = t;
        ln_rates(trials, &options, pulled, &pull);
        NEAR(pull, 1.0 - share, 1e-9);
        for (size_t i = 0; i < LIKE; i++)
            NEAR(pulled[i], mean + share * (own[i] - mean), 1e-9);
    }
    oxt_trials_free(trials);
}

/* Of rates that are known well the width is their standard deviation, and hardly moves them; the errors
 * of a shrunk rate are never larger than those of its own coupons. */
Test(pool, the_width_between_rates_is_estimated)
{
    oxt_trials *trials = balanced_log();
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    double mean = 0.0, square = 0.0;
    oxt_pool *plain = pool_of(trials, &options);
    options.shrink = 1;
    oxt_pool *shrunk = pool_of(trials, &options);
    for (size_t i = 0; i < LIKE; i++) {
        oxt_pool_group before = group_of(plain, i), after = group_of(shrunk, i);
        mean += log(before.growth.k_ref_nm2_per_s) / LIKE;
        cr_assert(after.ln_k_stderr < before.ln_k_stderr);
        cr_assert(after.shrunk_by > 0.0 && after.shrunk_by < 0.02);
    }
    for (size_t i = 0; i < LIKE; i++)
        square += pow(log(group_of(plain, i).growth.k_ref_nm2_per_s) - mean, 2.0) / (LIKE - 1);
    double width = values_of(shrunk).between_sd;
    cr_assert(width > 0.8 * sqrt(square) && width < 1.5 * sqrt(square), "%g", width);
    cr_assert_eq(values_of(plain).between_sd, width);
    cr_assert(values_of(shrunk).shrunk && !values_of(plain).shrunk);
    cr_assert_eq(values_of(shrunk).dof, values_of(plain).dof);
    oxt_pool_free(plain);
    oxt_pool_free(shrunk);
    oxt_trials_free(trials);
}

/* A shape is shared by all steels: of exact films it comes back, shrunk or not, as do Q and the rates, which a width far
 * above their own spread leaves where they are; with no width all have one rate. */
Test(pool, shrinking_with_a_shape)
{
    oxt_error error = OXT_ERROR_INIT;
    static const double rates[] = { 40.0, 48.0, 56.0, 64.0 };
    oxt_trials *trials = new_log();
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    for (size_t g = 0; g < 4; g++)
        for (int i = 0; i < 12; i++) {
            oxt_growth growth = growth_of(rates[g], 588.7, 80e3);
            double bath_K = baths_K[i % 3], time_s;
            growth.law = OXT_LAW_POWER;
            growth.shape = 2.6;
            growth.middle_nm = 45.0;
            OK(oxt_time_for_thickness(&growth, 20.0 + 5.0 * i, bath_K, &time_s, &error));
            oxt_trial trial = trial_at(bath_K, time_s);
            snprintf(trial.steel, sizeof trial.steel, "Alder %zu", g + 1);
            trial.seen = OXT_SEEN_THICKNESS;
            trial.thickness_nm = 20.0 + 5.0 * i;
            add(trials, &trial);
        }
    options.law = OXT_LAW_POWER;
    options.law_middle_nm = 20.0;
    options.scatter = 0.01;
    oxt_pool *plain = pool_of(trials, &options);
    for (int shrink = 0; shrink < 2; shrink++) {
        options.shrink = shrink;
        options.between_sd = 10.0;
        oxt_pool *pool = pool_of(trials, &options);
        oxt_pool_values v = values_of(pool);
        CLOSE(v.law_shape, 2.6, 2e-3);
        CLOSE(v.Q_J_per_mol, 80e3, 1e-3);
        cr_assert(v.ln_shape_stderr > 0.0 && v.ln_shape_stderr < 0.05);
        for (size_t g = 0; g < 4; g++) {
            const oxt_pool_group group = group_of(pool, g);
            CLOSE(group.growth.k_ref_nm2_per_s,
                  group_of(pool, 0).growth.k_ref_nm2_per_s * rates[g] / rates[0], 1e-3);
            /* away from the middle film an error of the shape is one of the rate */
            CLOSE(group.ln_k_stderr, group_of(plain, g).ln_k_stderr, 0.01);
        }
        oxt_pool_free(pool);
    }
    options.between_sd = 0.0;
    oxt_pool *one = pool_of(trials, &options);
    for (size_t g = 1; g < 4; g++)
        CLOSE(group_of(one, g).growth.k_ref_nm2_per_s, group_of(one, 0).growth.k_ref_nm2_per_s,
              1e-9);
    oxt_pool_free(one);
    oxt_pool_free(plain);
    oxt_trials_free(trials);
}

/* ---- few coupons ---- */

/* One coupon tells a rate when Q is shared, less well than many do; it cannot tell a Q. */
Test(pool, a_single_coupon_takes_part)
{
    static const made_up few[] = { { "Alder 1", "mirror", 27.0, 76e3, 9, 0.04 },
                                   { "Birch 2", "mirror", 20.0, 76e3, 1, 0.04 } };
    oxt_trials *trials = log_of(few, 2);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.model = OXT_POOL_BEST;
    oxt_pool *pool = pool_of(trials, &options);
    cr_assert_eq(values_of(pool).model, OXT_POOL_SHARED_Q);
    oxt_pool_group many = group_of(pool, 0), one = group_of(pool, 1);
    cr_assert(one.used_count == 1 && one.ln_k_stderr > 2.0 * many.ln_k_stderr);
    cr_assert(warns(pool, "Birch 2, mirror: a single coupon"));
    cr_assert(!comparison_of(pool, OXT_POOL_SEPARATE).fitted);
    cr_assert(isnan(comparison_of(pool, OXT_POOL_SHARED_Q).F));
    oxt_pool_free(pool);
    options.model = OXT_POOL_SEPARATE;
    run_fails(trials, &options, OXT_EIDENT, "Birch 2, mirror ran at one bath");
    oxt_prior prior = { sizeof prior, 0.0, 0.0, 0.0, 71e3, 8e3 };
    options.prior = &prior;
    pool = pool_of(trials, &options);
    CLOSE(group_of(pool, 1).growth.Q_J_per_mol, 71e3, 0.02);
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

Test(pool, what_cannot_be_used_is_left_out)
{
    oxt_trials *trials = log_of(three, 2);
    oxt_trial bright = trial_at(573.15, 1.0);
    strcpy(bright.steel, "Cedar 3");
    strcpy(bright.colour, "bright");
    add(trials, &bright);
    oxt_pool *pool = pool_of(trials, NULL);
    cr_assert_eq(values_of(pool).group_count, 2);
    cr_assert_eq(values_of(pool).row_count, values_of(pool).used_count + 1);
    cr_assert(warns(pool, "Cedar 3 is left out: no trial of its 1 can be used"));
    oxt_pool_free(pool);
    oxt_trials_free(trials);
    trials = new_log();
    add(trials, &bright);
    run_fails(trials, NULL, OXT_EFEW, "no trial of the log's 1");
    oxt_trials_free(trials);
}

/* One bath tells no Q: with a prior of it there is a pool, and no model that the trials alone could be compared by. */
Test(pool, nothing_to_compare_in_one_bath)
{
    static const made_up steels[] = { { "Alder 1", "", 27.0, 76e3, 1, 0.02 },
                                      { "Birch 2", "", 15.0, 76e3, 1, 0.02 } };
    oxt_trials *trials = new_log();
    for (size_t i = 0; i < 2; i++)
        for (size_t j = 0; j < 12; j += 3) {
            oxt_trial trial = coupon(&steels[i], j);
            add(trials, &trial);
        }
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_prior prior = { sizeof prior, 0.0, 0.0, 0.0, 71e3, 8e3 };
    options.prior = &prior;
    oxt_pool *pool = pool_of(trials, &options);
    CLOSE(values_of(pool).Q_J_per_mol, 71e3, 1e-9);
    for (int model = 0; model < 3; model++) {
        oxt_pool_comparison found = comparison_of(pool, (oxt_pool_model)model);
        cr_assert(!found.fitted && isnan(found.F) && isnan(found.aicc));
    }
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

Test(pool, refusals)
{
    oxt_trials *trials = log_of(three, 3), *few = log_of(three, 0), *backwards = new_log();
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    run_fails(few, NULL, OXT_EFEW, "the log holds no trials");
    for (size_t i = 0; i < 3; i++) {
        oxt_trial trial = coupon(&three[i], 0);
        add(few, &trial);
    }
    run_fails(few, NULL, OXT_EFEW, "only 3 of 3 trials can be used, expected at least 5");
    for (size_t i = 0; i < 3; i++)
        for (size_t j = 3; j < 12; j += 3) {
            oxt_trial trial = coupon(&three[i], j);
            add(few, &trial);
        }
    run_fails(few, NULL, OXT_EIDENT, "every steel ran at one bath");
    for (size_t i = 0; i < 1000; i++) {
        oxt_trial trial = coupon(&three[i % 3], 3 * (i % 9));
        add(few, &trial);
    }
    oxt_trial elsewhere = coupon(&three[0], 1);
    add(few, &elsewhere);
    run_fails(few, NULL, OXT_EIDENT, "the trials determine the temperature dependence");
    for (size_t i = 0; i < 2; i++)
        for (size_t j = 0; j < 6; j++) {
            oxt_trial trial = coupon(&three[i], j);
            trial.thickness_nm = 40.0 - 10.0 * (double)(j % 3);
            add(backwards, &trial);
        }
    run_fails(backwards, NULL, OXT_EIDENT, "hotter baths gave thinner films");
    options.model = (oxt_pool_model)4;
    run_fails(trials, &options, OXT_EARG, "model is 4");
    options = (oxt_pool_options)OXT_POOL_OPTIONS_INIT;
    options.shrink = 2;
    run_fails(trials, &options, OXT_EARG, "shrink is 2");
    options = (oxt_pool_options)OXT_POOL_OPTIONS_INIT;
    options.between_sd = 11.0;
    run_fails(trials, &options, OXT_EDOMAIN, "between_sd");
    options = (oxt_pool_options)OXT_POOL_OPTIONS_INIT;
    oxt_prior of_rate = { sizeof of_rate, 600.0, 4.0, 0.7, 0.0, 0.0 };
    options.prior = &of_rate;
    run_fails(trials, &options, OXT_EARG, "prior of a pool is of Q");
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool *pool = pool_of(trials, NULL);
    oxt_pool_comparison comparison = OXT_POOL_COMPARISON_INIT;
    FAILS(oxt_pool_get_comparison(pool, (oxt_pool_model)3, &comparison, &error), OXT_EARG);
    FAILS(oxt_pool_get_comparison(pool, (oxt_pool_model)-1, &comparison, &error), OXT_EARG);
    oxt_pool_free(pool);
    oxt_trials_free(trials);
    oxt_trials_free(few);
    oxt_trials_free(backwards);
}

/* ---- what comes out ---- */

/* Contract: the card has the constants of the pool and the reach of its own trials. */
Test(pool, each_group_has_its_card)
{
    static const made_up cool_first[] = { { "Alder 1", "mirror", 27.0, 76e3, 9, 0.04 },
                                          { "Birch 2", "satin", 20.0, 76e3, 2, 0.04 } };
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of(cool_first, 2);
    oxt_pool *pool = pool_of(trials, NULL);
    oxt_steel *steel;
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    OK(oxt_pool_steel(pool, 1, &steel, &error));
    OK(oxt_steel_get(steel, &values, &error));
    oxt_pool_group group = group_of(pool, 1);
    cr_assert_str_eq(values.steel, "Birch 2");
    cr_assert_str_eq(values.finish, "satin");
    cr_assert(values.trial_count == 2 && values.bath_low_K == 560.9 && values.bath_high_K == 588.7);
    cr_assert_eq(values.growth.k_ref_nm2_per_s, group.growth.k_ref_nm2_per_s);
    cr_assert_eq(values.covariance_J_per_mol, group.covariance_J_per_mol);
    /* Q comes from differences within each steel, so that it and the rate at T_ref go together by the
     * way from the middle of the steel's own baths alone. */
    double inverse = 0.5 / 560.9 + 0.5 / 588.7 - 1.0 / group.growth.T_ref_K;
    CLOSE(group.covariance_J_per_mol, inverse / R * group.variance_Q_J2_per_mol2, 1e-9);
    cr_assert(values.scatter == values_of(pool).scatter && values.dof == values_of(pool).dof);
    cr_assert_not_null(strstr(values.origin, "pool of 11 trials of 2"));
    oxt_steel_free(steel);
    FAILS(oxt_pool_steel(pool, 2, &steel, &error), OXT_EARG);
    cr_assert_null(steel);
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

Test(pool, the_report_begins_with_the_steels)
{
    char text[4000];
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *trials = log_of(three, 3);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.model = OXT_POOL_BEST;
    options.shrink = 1;
    oxt_pool *pool = pool_of(trials, &options);
    OK(oxt_pool_report(pool, OXT_UNIT_CELSIUS, text, sizeof text, NULL, &error));
    static const char *const parts[] = { "3 steels and finishes: 24 of 24 trials used\n",
                                         "\n  Alder 1, mirror  k_ref ",
                                         "\n  Birch 2, satin   k_ref ",
                                         " 8 of 8, shrunk ",
                                         "\nModel\n",
                                         "degrees of freedom, p = ",
                                         "AICc is ",
                                         "\nWarnings\n",
                                         "\nNumbers\n",
                                         "rates lie apart by a factor of " };
    const char *at = text;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        at = strstr(at, parts[i]);
        cr_assert_not_null(at, "'%s' is not there, or not in its place:\n%s", parts[i], text);
    }
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}

/* Does the report hold these numbers, as they are printed? */
#define HOLDS(...)                                                             \
    do {                                                                       \
        char wanted_[200];                                                     \
        snprintf(wanted_, sizeof wanted_, __VA_ARGS__);                        \
        cr_assert(strstr(text, wanted_), "'%s' is not in\n%s", wanted_, text); \
    } while (0)

static void check_numbers(const char *text, const oxt_pool *pool)
{
    oxt_pool_values values = values_of(pool);
    HOLDS("%zu", values.row_count);
    HOLDS("limits of %g %%", 100.0 * values.confidence);
    HOLDS("%.1f %% in thickness, %.1f %% in time", 100.0 * values.scatter, 200.0 * values.scatter);
    HOLDS("degrees of freedom %.3g, chi-square %.3g", values.dof, values.chi_square);
    HOLDS("AICc %.2f", values.aicc);
    HOLDS("by a factor of %.2f", exp(values.between_sd));
    if (values.model != OXT_POOL_SEPARATE)
        HOLDS("Q = %.1f (%.1f to %.1f) kJ/mol", values.Q_J_per_mol / 1e3,
              values.Q_low_J_per_mol / 1e3, values.Q_high_J_per_mol / 1e3);
    for (size_t i = 0; i < values.group_count; i++) {
        oxt_pool_group group = group_of(pool, i);
        HOLDS("k_ref %.1f (%.1f to %.1f) nm^2/s", group.growth.k_ref_nm2_per_s,
              group.k_ref_low_nm2_per_s, group.k_ref_high_nm2_per_s);
        HOLDS("%zu of %zu", group.used_count, group.row_count);
        if (values.model == OXT_POOL_SEPARATE)
            HOLDS("Q %.0f (%.0f to %.0f) kJ/mol", group.growth.Q_J_per_mol / 1e3,
                  group.Q_low_J_per_mol / 1e3, group.Q_high_J_per_mol / 1e3);
        if (values.model == OXT_POOL_FINISH_FACTORS)
            HOLDS("x %.2f", group.finish_factor);
        if (values.shrunk)
            HOLDS("%.0f %%\n", 100.0 * group.shrunk_by);
    }
    oxt_pool_comparison next = comparison_of(pool, values.model == OXT_POOL_FINISH_FACTORS
                                                       ? OXT_POOL_FINISH_FACTORS
                                                       : OXT_POOL_SHARED_Q);
    if (isfinite(next.F))
        HOLDS("F = %.2f on %.0f and %.0f degrees of freedom, p = %.2g", next.F, next.dof1,
              next.dof2, next.p_value);
    oxt_pool_comparison taken = comparison_of(pool, values.model);
    for (int model = OXT_POOL_SHARED_Q; model <= OXT_POOL_SEPARATE; model++) {
        oxt_pool_comparison other = comparison_of(pool, (oxt_pool_model)model);
        if (other.parameter_count != values.parameter_count)
            HOLDS("AICc is %.1f %s", fabs(other.aicc - taken.aicc),
                  other.aicc >= taken.aicc ? "lower" : "higher");
    }
}

Test(pool, the_report_holds_the_numbers)
{
    static const oxt_pool_model models[] = { OXT_POOL_SEPARATE, OXT_POOL_SHARED_Q,
                                             OXT_POOL_FINISH_FACTORS };
    oxt_trials *trials = log_of(three, 3);
    for (int i = 0; i < 6; i++) {
        char text[6000];
        oxt_error error = OXT_ERROR_INIT;
        oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
        options.model = models[i % 3];
        options.shrink = i / 3;
        oxt_pool *pool = pool_of(trials, &options);
        OK(oxt_pool_report(pool, OXT_UNIT_CELSIUS, text, sizeof text, NULL, &error));
        check_numbers(text, pool);
        cr_assert_eq(strstr(text, "Warnings\n  none") != NULL, pool_warning_count(pool) == 0);
        oxt_pool_free(pool);
    }
    oxt_trials_free(trials);
}

/* A coupon that lies far off is named with its steel, though another steel swells the scatter. */
Test(pool, an_outlier_is_named)
{
    oxt_trials *trials = log_of(three, 3);
    oxt_trial off = coupon(&three[2], 4);
    off.thickness_nm *= 2.0;
    add(trials, &off);
    oxt_pool *pool = pool_of(trials, NULL);
    cr_assert(warns(pool, "Birch 2, satin: Trial 25: the film is "));
    oxt_pool_free(pool);
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.robust = OXT_ROBUST_TUKEY;
    pool = pool_of(trials, &options);
    cr_assert(warns(pool, "has little weight (0.0"));
    oxt_pool_free(pool);
    oxt_trials_free(trials);
}
