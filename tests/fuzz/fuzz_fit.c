/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Logs of coupons into fits and pools of every kind: what is fitted is reported, saved, loaded, and predicts
 * dips that hold. A log is mostly that of a steel, with scatter and slips. */
#include "fuzz.h"

static const char *const colours[] = { "faint straw",
                                       "straw",
                                       "dark straw",
                                       "brown",
                                       "purple",
                                       "dark blue",
                                       "blue",
                                       "light blue",
                                       "silver",
                                       "bright",
                                       "second order blue",
                                       "second order yellow" };
static const char *const codes[] = { "#4482b8", "#d8b75c", "#7b4a6b", "#00ff00", "#1e6daf" };

/* A coupon of a steel of 30 nm^2/s and 76 kJ/mol, or anything. */
static void fill(bytes *from, oxt_trial *trial)
{
    oxt_growth growth = OXT_GROWTH_INIT;
    oxt_error error = OXT_ERROR_INIT;
    double film_nm = 50.0;
    unsigned kind = next_byte(from);
    growth.k_ref_nm2_per_s = 30.0;
    growth.T_ref_K = 588.7;
    growth.Q_J_per_mol = 76e3;
    snprintf(trial->steel, sizeof trial->steel, "Alder %u", kind & 128 ? choice(from, 4) : 1);
    snprintf(trial->finish, sizeof trial->finish, "%s", kind & 64 ? "ground" : "polished");
    trial->bath_K = number(from, 540.0, 640.0);
    trial->time_s = number(from, 10.0, 900.0);
    if (oxt_thickness(&growth, trial->bath_K, trial->time_s, &film_nm, &error) != OXT_OK)
        film_nm = 50.0;
    film_nm *= number(from, 0.9, 1.1);
    trial->thickness_nm = film_nm;
    trial->seen = (oxt_seen)(kind % 4);
    oxt_tint tint = OXT_TINT_INIT;
    snprintf(trial->colour, sizeof trial->colour, "%s", colours[choice(from, 12)]);
    if (kind & 16 && oxt_tint_at(film(), film_nm, &tint, &error) == OXT_OK)
        snprintf(trial->colour, sizeof trial->colour, "%s", tint.label);
    snprintf(trial->srgb, sizeof trial->srgb, "%s", codes[choice(from, 5)]);
    if (oxt_film_colour(film(), OXT_SPACE_LAB, film_nm, trial->lab, NULL, &error) != OXT_OK)
        for (int i = 0; i < 3; i++)
            trial->lab[i] = number(from, -20.0, 80.0);
    if (kind & 32) {
        trial->part_size_m = number(from, 0.001, 0.03);
        trial->part_shape = (oxt_shape)choice(from, 4);
        trial->lift_s = number(from, 0.0, 20.0);
        trial->bath_sd_K = sometimes(from, 0.0, 0.0, 10.0);
        trial->time_sd_s = sometimes(from, 0.0, 0.0, 10.0);
        trial->thickness_sd_nm = sometimes(from, 0.0, 0.1, 10.0);
        trial->colour_tolerance = sometimes(from, 0.0, 1.0, 10.0);
        trial->lifted = (oxt_lifted)choice(from, OXT_LIFTED_AFTER + 1);
        if (kind & 8)
            snprintf(trial->day, sizeof trial->day, "day %u", choice(from, 3));
    }
}

static oxt_trials *read_log(bytes *from)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *log;
    MUST(oxt_trials_new(&log, NULL, &error) == OXT_OK, "%s", error.text);
    for (unsigned count = 2 + choice(from, 14); count > 0; count--) {
        oxt_trial trial = OXT_TRIAL_INIT;
        fill(from, &trial);
        oxt_status status = oxt_trials_add(log, &trial, NULL, &error);
        SAYS_WHY(status, error);
    }
    return log;
}

static void predict(bytes *from, const oxt_steel *steel)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_target target = OXT_TARGET_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    check_card(steel);
    MUST(oxt_tint_target(film(), colours[choice(from, 9)], &target, &error) == OXT_OK, "%s",
         error.text);
    oxt_status status = oxt_dip_predict(steel, &target, number(from, 540.0, 640.0), NULL, &dip,
                                        &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK)
        check_dip(&dip);
}

static void use_fit(bytes *from, const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_values values = OXT_FIT_VALUES_INIT;
    oxt_steel *steel;
    oxt_drift drift = OXT_DRIFT_INIT;
    MUST(oxt_fit_get(fit, &values, &error) == OXT_OK, "%s", error.text);
    MUST(values.growth.Q_J_per_mol > 0.0 && values.growth.k_ref_nm2_per_s > 0.0, "k %g, Q %g",
         values.growth.k_ref_nm2_per_s, values.growth.Q_J_per_mol);
    MUST(values.k_ref_low_nm2_per_s <= values.growth.k_ref_nm2_per_s &&
             values.growth.k_ref_nm2_per_s <= values.k_ref_high_nm2_per_s,
         "k_ref lies beside its limits");
    for (size_t i = 0; i < values.row_count; i++) {
        oxt_fit_row row = OXT_FIT_ROW_INIT;
        MUST(oxt_fit_get_row(fit, i, &row, &error) == OXT_OK, "%s", error.text);
    }
    for (size_t i = 0; i < values.warning_count; i++)
        PRINTS(oxt_fit_warning(fit, i, buffer, capacity, needed, &error));
    PRINTS(oxt_fit_report(fit, OXT_UNIT_FAHRENHEIT, buffer, capacity, needed, &error));
    oxt_status status = oxt_drift_find(fit, NULL, &drift, &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK)
        PRINTS(oxt_drift_report(&drift, OXT_CAUTION_BRIEF, buffer, capacity, needed, &error));
    status = oxt_fit_steel(fit, &steel, &error);
    SAYS_WHY(status, error);
    if (status)
        return;
    predict(from, steel);
    oxt_steel_free(steel);
}

static void run_more(bytes *from, const oxt_fit *fit)
{
    oxt_error error = OXT_ERROR_INIT;
    double low, high;
    oxt_status status;
    if (next_byte(from) & 1) {
        oxt_laws *laws;
        oxt_laws_options options = OXT_LAWS_OPTIONS_INIT;
        options.with_initial = (int)choice(from, 2);
        status = oxt_laws_run(&laws, fit, &options, &error);
        SAYS_WHY(status, error);
        if (status == OXT_OK)
            PRINTS(oxt_laws_report(laws, OXT_UNIT_CELSIUS, buffer, capacity, needed, &error));
        oxt_laws_free(laws);
    }
    if (next_byte(from) & 1) {
        oxt_bootstrap *bootstrap;
        oxt_bootstrap_options options = OXT_BOOTSTRAP_OPTIONS_INIT;
        options.replicates = 100;
        options.threads = 1;
        options.kind = (oxt_bootstrap_kind)choice(from, 2);
        status = oxt_bootstrap_run(&bootstrap, fit, &options, &error);
        SAYS_WHY(status, error);
        if (status == OXT_OK && oxt_bootstrap_interval(bootstrap, OXT_INTERVAL_LN_K, 0.0, 0.0, 0.9,
                                                       (oxt_bootstrap_method)choice(from, 2), &low,
                                                       &high, &error) == OXT_OK)
            MUST(low <= high, "%g %g", low, high);
        oxt_bootstrap_free(bootstrap);
    }
    oxt_interval_options chosen = OXT_INTERVAL_OPTIONS_INIT;
    oxt_interval_quantity what = (oxt_interval_quantity)choice(from, 3);
    double bath_K = number(from, 540.0, 640.0);
    chosen.scale = (oxt_interval_scale)choice(from, 2);
    status = oxt_interval_profile(fit, what, bath_K, &chosen, &low, &high, &error);
    SAYS_WHY(status, error);
    if (status == OXT_OK)
        MUST(low <= high, "%g %g", low, high);
}

static void fit(bytes *from, const oxt_trials *log, const oxt_prior *prior)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *made;
    unsigned kind = next_byte(from);
    options.steel = kind & 1 ? "Alder 1" : NULL;
    options.finish = kind & 2 ? "polished" : NULL;
    options.prior = kind & 4 ? prior : NULL;
    options.robust = (oxt_robust)choice(from, 3);
    options.names = (oxt_names)choice(from, 2);
    options.errors_in_variables = (oxt_errors_in_variables)choice(from, 2);
    options.bath_sd_K = sometimes(from, 0.0, 0.0, 5.0);
    options.time_sd_s = sometimes(from, 0.0, 0.0, 5.0);
    options.scatter = sometimes(from, -1.0, 0.0, 0.3);
    options.Q_J_per_mol = sometimes(from, 0.0, 40e3, 250e3);
    options.Q_stderr_J_per_mol = sometimes(from, 0.0, 0.0, 40e3);
    if (kind & 16) {
        options.lifted = (oxt_lifted)choice(from, 5);
        options.rounding = (oxt_rounding)choice(from, 3);
        options.reader_sd = sometimes(from, 0.0, 0.0, 1.0);
    }
    if (kind & 32) {
        options.law = (oxt_law)choice(from, OXT_LAW_COUNT);
        options.law_shape = sometimes(from, 0.0, 0.0, 60.0);
        options.ln_shape_sd = sometimes(from, 0.0, 0.0, 2.0);
        options.law_middle_nm = sometimes(from, 0.0, 0.0, 200.0);
    }
    oxt_status status = oxt_fit_run(&made, log, film(), &options, &error);
    SAYS_WHY(status, error);
    MUST((status == OXT_OK) == (made != NULL), "a handle with a failure");
    if (!made)
        return;
    use_fit(from, made);
    if (kind & 8 && oxt_trials_count(log) <= 8) /* each fits the log a hundred times */
        run_more(from, made);
    oxt_fit_free(made);
}

static void pool(bytes *from, const oxt_trials *log, const oxt_prior *prior)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    oxt_pool_values values = OXT_POOL_VALUES_INIT;
    oxt_pool *made;
    options.model = (oxt_pool_model)choice(from, 4);
    options.shrink = (int)choice(from, 2);
    options.robust = (oxt_robust)choice(from, 3);
    options.prior = choice(from, 2) ? prior : NULL;
    options.between_sd = sometimes(from, -1.0, 0.0, 1.0);
    options.scatter = sometimes(from, -1.0, 0.0, 0.3);
    oxt_status status = oxt_pool_run(&made, log, film(), &options, &error);
    SAYS_WHY(status, error);
    if (status)
        return;
    MUST(oxt_pool_get(made, &values, &error) == OXT_OK, "%s", error.text);
    PRINTS(oxt_pool_report(made, OXT_UNIT_CELSIUS, buffer, capacity, needed, &error));
    for (size_t i = 0; i < values.warning_count; i++)
        PRINTS(oxt_pool_warning(made, i, buffer, capacity, needed, &error));
    for (size_t i = 0; i < values.group_count; i++) {
        oxt_pool_group group = OXT_POOL_GROUP_INIT;
        oxt_steel *steel;
        MUST(oxt_pool_get_group(made, i, &group, &error) == OXT_OK, "%s", error.text);
        MUST(group.growth.Q_J_per_mol > 0.0 && group.growth.k_ref_nm2_per_s > 0.0, "k %g, Q %g",
             group.growth.k_ref_nm2_per_s, group.growth.Q_J_per_mol);
        status = oxt_pool_steel(made, i, &steel, &error);
        SAYS_WHY(status, error);
        if (status)
            continue;
        predict(from, steel);
        oxt_steel_free(steel);
    }
    oxt_pool_free(made);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    bytes from = { data, data + size };
    oxt_error error = OXT_ERROR_INIT;
    oxt_prior prior = OXT_PRIOR_INIT;
    MUST(oxt_prior_mild_steel(&prior, film(), &error) == OXT_OK, "%s", error.text);
    unsigned kind = choice(&from, 4);
    oxt_trials *log = read_log(&from);
    if (kind == 0)
        pool(&from, log, &prior);
    else
        fit(&from, log, &prior);
    oxt_trials_free(log);
    return 0;
}
