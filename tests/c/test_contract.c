/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What oxtint.h promises of structs and texts, checked on every struct and every text. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "support.h"

/* ---- what the calls work with ---- */

static const oxt_film *film;
static oxt_trials *trials;
static oxt_fit *fit;
static oxt_fit_each *fits;
static oxt_pool *pool;
static oxt_laws *laws;
static oxt_bootstrap *bootstrap;
static oxt_cross_validation *validation;
static oxt_steel *recorded;
static oxt_record record = OXT_RECORD_INIT;
static oxt_steel *steel, *renewed;
static oxt_faults *faults;
static oxt_track *tracker;
static oxt_trial trial;
static oxt_growth growth;
static oxt_target target = OXT_TARGET_INIT;
static oxt_dip dip = OXT_DIP_INIT;
static oxt_steel_values values = OXT_STEEL_VALUES_INIT;
static const oxt_film_options film_options = OXT_FILM_OPTIONS_INIT;
static const oxt_part part = OXT_PART_INIT;
static const oxt_lift lift = OXT_LIFT_INIT;
static const oxt_bath bath = OXT_BATH_INIT;
static const oxt_match_options match_options = OXT_MATCH_OPTIONS_INIT;
static const oxt_prior prior = { sizeof(oxt_prior), 600.0, 4.0, 0.7, 71e3, 20e3 };
static const oxt_fit_options fit_options = OXT_FIT_OPTIONS_INIT;
static const oxt_fit_each_options fit_each_options = OXT_FIT_EACH_OPTIONS_INIT;
static const oxt_pool_options pool_options = OXT_POOL_OPTIONS_INIT;
static const oxt_laws_options laws_options = OXT_LAWS_OPTIONS_INIT;
static const oxt_interval_options interval_options = OXT_INTERVAL_OPTIONS_INIT;
static const oxt_anchor_options reanchor_options = OXT_ANCHOR_OPTIONS_INIT;
static const oxt_bootstrap_options bootstrap_options = OXT_BOOTSTRAP_OPTIONS_INIT;
static const oxt_record_options record_options = OXT_RECORD_OPTIONS_INIT;
static const oxt_recorded_dip recorded_dip_macro = OXT_RECORDED_DIP_INIT;
static const oxt_record record_macro = OXT_RECORD_INIT;
static const oxt_cross_validation_options validation_options = OXT_CROSS_VALIDATION_OPTIONS_INIT;
static const oxt_dip_options dip_options = OXT_DIP_OPTIONS_INIT;
static const oxt_bath_range bath_range = OXT_BATH_RANGE_INIT;
static const oxt_plan_options set_options = OXT_PLAN_OPTIONS_INIT;
static oxt_plan_part set_part = OXT_PLAN_PART_INIT;
static oxt_plan *set;
static const oxt_advise_options advice_options = OXT_ADVISE_OPTIONS_INIT;
static oxt_advise *advice;
static const oxt_chart_options chart_options = OXT_CHART_OPTIONS_INIT;
static const oxt_sheet_options sheet_options = OXT_SHEET_OPTIONS_INIT;
static const oxt_drift_options drift_options = OXT_DRIFT_OPTIONS_INIT;
static const oxt_drift drift = OXT_DRIFT_INIT;
static const oxt_temper_options temper_options = OXT_TEMPER_OPTIONS_INIT;
static oxt_temper temper = OXT_TEMPER_INIT;
static oxt_history *history;
static const oxt_track_options tracker_options = OXT_TRACK_OPTIONS_INIT;

static void prepare(void)
{
    static const char faulty[] = "steel,bath_F,time_s,colour\nAlder 1,hot,60,blue\n";
    oxt_error error = OXT_ERROR_INIT;
    oxt_trials *none;
    film = default_film();
    growth = growth_of(12.0, 573.15, 80e3);
    trials = new_log();
    for (int i = 0; i < 5; i++)
        add_thickness(trials, 560.0 + 10.0 * i, 120.0, 30.0 + 6.0 * i + (i == 2));
    trial = trial_at(573.15, 60.0);
    strcpy(trial.colour, "blue");
    OK(oxt_trials_add(trials, &trial, "edge of the \xC2\xB5-stage", &error));
    OK(oxt_tint_target(film, "blue", &target, &error));
    OK(oxt_fit_run(&fit, trials, film, NULL, &error));
    OK(oxt_fit_each_run(&fits, trials, film, NULL, &error));
    OK(oxt_pool_run(&pool, trials, film, NULL, &error));
    OK(oxt_laws_run(&laws, fit, NULL, &error));
    OK(oxt_bootstrap_run(&bootstrap, fit, NULL, &error));
    OK(oxt_cross_validation_run(&validation, fit, NULL, &error));
    OK(oxt_fit_steel(fit, &steel, &error));
    OK(oxt_steel_get(steel, &values, &error));
    OK(oxt_anchor_steel(&renewed, steel, trials, film, NULL, &error));
    OK(oxt_dip_predict(steel, &target, 573.15, NULL, &dip, &error));
    OK(oxt_record_add(&recorded, steel, film, &dip, "blue", NULL, &error));
    OK(oxt_record_get(recorded, 0.01, &record, &error));
    set_part.steel = steel;
    set_part.film = film;
    set_part.target = &target;
    OK(oxt_plan_set(&set, (const oxt_plan_part *[]){ &set_part }, 1, 573.15, NULL, &error));
    OK(oxt_temper_dip(573.15, 60.0, NULL, &temper, &error));
    OK(oxt_advise_run(&advice, steel, film, NULL, &error));
    const double times_s[] = { 0.0, 60.0 }, bath_K = 573.15;
    OK(oxt_history_new(&history, 2, times_s, sizeof(double), &bath_K, 0, 0.0, &error));
    OK(oxt_track_new(&tracker, steel, film, &target, NULL, &error));
    OK(oxt_track_feed(tracker, 0.0, 573.15, &error));
    OK(oxt_track_feed(tracker, 30.0, 573.15, &error));
    FAILS(oxt_trials_read_csv(&none, NULL, faulty, sizeof faulty - 1, NULL, &faults, &error),
          OXT_EPARSE);
}

static void clear(void)
{
    oxt_plan_free(set);
    oxt_history_free(history);
    oxt_track_free(tracker);
    oxt_advise_free(advice);
    oxt_faults_free(faults);
    oxt_steel_free(renewed);
    oxt_steel_free(steel);
    oxt_pool_free(pool);
    oxt_laws_free(laws);
    oxt_bootstrap_free(bootstrap);
    oxt_cross_validation_free(validation);
    oxt_steel_free(recorded);
    oxt_fit_each_free(fits);
    oxt_fit_free(fit);
    oxt_trials_free(trials);
}

/* ---- init ---- */

static const oxt_tint tint_macro = OXT_TINT_INIT;
static const oxt_target target_macro = OXT_TARGET_INIT;
static const oxt_warming warming_macro = OXT_WARMING_INIT;
static const oxt_salt_values salt_macro = OXT_SALT_VALUES_INIT;
static const oxt_sag sag_macro = OXT_SAG_INIT;
static const oxt_crust crust_macro = OXT_CRUST_INIT;
static const oxt_convection convection_macro = OXT_CONVECTION_INIT;
static const oxt_transfer transfer_macro = OXT_TRANSFER_INIT;
static const oxt_match match_macro = OXT_MATCH_INIT;
static const oxt_trial trial_macro = OXT_TRIAL_INIT;
static const oxt_fit_each_group fit_each_group_macro = OXT_FIT_EACH_GROUP_INIT;
static const oxt_trial_group trial_group_macro = OXT_TRIAL_GROUP_INIT;
static const oxt_fault fault_macro = OXT_FAULT_INIT;
static const oxt_steel_values values_macro = OXT_STEEL_VALUES_INIT;
static const oxt_prior prior_macro = OXT_PRIOR_INIT;
static const oxt_fit_values fit_values_macro = OXT_FIT_VALUES_INIT;
static const oxt_fit_row fit_row_macro = OXT_FIT_ROW_INIT;
static const oxt_pool_values pool_values_macro = OXT_POOL_VALUES_INIT;
static const oxt_pool_group pool_group_macro = OXT_POOL_GROUP_INIT;
static const oxt_pool_comparison comparison_macro = OXT_POOL_COMPARISON_INIT;
static const oxt_law_result law_result_macro = OXT_LAW_RESULT_INIT;
static const oxt_laws_values laws_values_macro = OXT_LAWS_VALUES_INIT;
static const oxt_steel_change entry_macro = OXT_STEEL_CHANGE_INIT;
static const oxt_bootstrap_values bootstrap_macro = OXT_BOOTSTRAP_VALUES_INIT;
static const oxt_cross_validation_values validation_macro = OXT_CROSS_VALIDATION_VALUES_INIT;
static const oxt_cross_validation_row left_row_macro = OXT_CROSS_VALIDATION_ROW_INIT;
static const oxt_dip dip_macro = OXT_DIP_INIT;
static const oxt_plan_values set_values_macro = OXT_PLAN_VALUES_INIT;
static const oxt_plan_step set_step_macro = OXT_PLAN_STEP_INIT;
static const oxt_chart chart_macro = OXT_CHART_INIT;
static const oxt_chart_band chart_band_macro = OXT_CHART_BAND_INIT;
static const oxt_chart_mark chart_mark_macro = OXT_CHART_MARK_INIT;
static const oxt_sheet sheet_macro = OXT_SHEET_INIT;
static const oxt_advised_coupon coupon_macro = OXT_ADVISED_COUPON_INIT;
static const oxt_temper temper_macro = OXT_TEMPER_INIT;
static const oxt_track_state tracking_macro = OXT_TRACK_STATE_INIT;

/* Padding holds nothing and may be anything: it is made equal before bytes are compared. These are
 * all the places that gcc -Wpadded names. */
typedef struct {
    size_t from, to;
} gap;

#define SIZE_OF(type, field) sizeof(((type *)0)->field)
#define GAP(type, last, next)                                            \
    {                                                                    \
        offsetof(type, last) + SIZE_OF(type, last), offsetof(type, next) \
    }
#define TAIL(type, last)                                         \
    {                                                            \
        offsetof(type, last) + SIZE_OF(type, last), sizeof(type) \
    }
#define INSIDE(type, member, inner, last, next)                                \
    {                                                                          \
        offsetof(type, member) + offsetof(inner, last) + SIZE_OF(inner, last), \
            offsetof(type, member) + offsetof(inner, next)                     \
    }
#define NO_MORE \
    {           \
        0, 0    \
    }

static const gap no_gaps[] = { NO_MORE };
static const gap warming_gaps[] = { GAP(oxt_warming, lumped, biot), NO_MORE };
static const gap sag_gaps[] = { TAIL(oxt_sag, cautions), NO_MORE };
static const gap match_gaps[] = { TAIL(oxt_match, order), NO_MORE };
static const gap tint_gaps[] = { GAP(oxt_tint, label, low_nm), NO_MORE };
static const gap target_gaps[] = { TAIL(oxt_target, description), NO_MORE };
static const gap trial_gaps[] = { GAP(oxt_trial, colour, thickness_nm),
                                  GAP(oxt_trial, part_shape, part_start_K), TAIL(oxt_trial, lifted),
                                  NO_MORE };
static const gap values_gaps[] = { INSIDE(oxt_steel_values, growth, oxt_growth, law,
                                          k_ref_nm2_per_s),
                                   GAP(oxt_steel_values, cautions, record_count), NO_MORE };
static const gap fit_values_gaps[] = {
    INSIDE(oxt_fit_values, growth, oxt_growth, law, k_ref_nm2_per_s),
    GAP(oxt_fit_values, Q_held, prior_share_Q), TAIL(oxt_fit_values, unit), NO_MORE
};
static const gap pool_values_gaps[] = { TAIL(oxt_pool_values, unit), NO_MORE },
                 bootstrap_gaps[] = { TAIL(oxt_bootstrap_values, unit), NO_MORE };
static const gap pool_group_gaps[] = {
    INSIDE(oxt_pool_group, growth, oxt_growth, law, k_ref_nm2_per_s), NO_MORE
};
static const gap law_result_gaps[] = { GAP(oxt_law_result, shape_at_limit, initial_nm),
                                       GAP(oxt_law_result, initial_at_zero, chi_square), NO_MORE };
static const gap laws_values_gaps[] = { GAP(oxt_laws_values, rival, exponent), NO_MORE };
static const gap fit_each_group_gaps[] = { TAIL(oxt_fit_each_group, status), NO_MORE };
static const gap dip_gaps[] = { { offsetof(oxt_dip, target) + offsetof(oxt_target, description) +
                                      SIZE_OF(oxt_target, description),
                                  offsetof(oxt_dip, time_s) },
                                GAP(oxt_dip, cautions, lag_s),
                                GAP(oxt_dip, part_shape, part_size_m),
                                NO_MORE };
static const gap temper_gaps[] = { TAIL(oxt_temper, cautions), NO_MORE };

static const gap set_values_gaps[] = { GAP(oxt_plan_values, cautions, sag_K), NO_MORE };
static const gap tracking_gaps[] = { GAP(oxt_track_state, cautions, chance_now), NO_MORE };
static const gap coupon_gaps[] = { GAP(oxt_advised_coupon, cautions, exponent_stderr), NO_MORE };
static const gap record_gaps[] = { GAP(oxt_record, name, dip_count),
                                   GAP(oxt_record, kept, bin_count), NO_MORE },
                 recorded_dip_gaps[] = { GAP(oxt_recorded_dip, hit, k_ref_nm2_per_s),
                                         GAP(oxt_recorded_dip, part_shape, part_size_m), NO_MORE };
static const gap validation_gaps[] = { NO_MORE },
                 left_row_gaps[] = { GAP(oxt_cross_validation_row, predicted, predicted_nm),
                                     GAP(oxt_cross_validation_row, hit, reason), NO_MORE };
static const gap chart_gaps[] = { GAP(oxt_chart, cautions, tick_count), TAIL(oxt_chart, time_label),
                                  NO_MORE };
static const gap drift_gaps[] = { GAP(oxt_drift, called, coupon_count), NO_MORE };

static void clear_padding(void *object, const gap *gaps)
{
    for (; gaps->to; gaps++) {
        cr_assert(gaps->from <= gaps->to && gaps->to - gaps->from < 8);
        memset((char *)object + gaps->from, 0, gaps->to - gaps->from);
    }
}

/* A default that a header's comment states. */
Test(contract, defaults_are_as_the_headers_state)
{
    cr_assert(film_options.absorption_scale == 1.0 && film_options.angle_deg == 0.0);
    cr_assert(film_options.illuminant == OXT_ILLUMINANT_D65 &&
              film_options.observer == OXT_OBSERVER_1931_2_DEGREE);
    cr_assert(match_options.tolerance == 3.0 && match_options.reach == 15.0);
    cr_assert(match_options.lightness_factor == 1.0 && match_options.chroma_factor == 1.0);
    cr_assert(fit_options.Q_J_per_mol == 0.0 && fit_options.scatter == -1.0);
    cr_assert(fit_options.thickness_uncertainty == 0.02 && fit_options.colour_tolerance == 3.0);
    cr_assert(fit_options.bath_sd_K == 0.0 && fit_options.time_sd_s == 0.0 && !fit_options.prior);
    cr_assert(fit_options.errors_in_variables == OXT_ERRORS_EFFECTIVE_VARIANCE);
    cr_assert(fit_options.robust == OXT_ROBUST_NONE);
    cr_assert(fit_options.names == OXT_NAMES_AS_BANDS);
    cr_assert(fit_options.confidence == 0.95 && dip_options.confidence == 0.95);
    cr_assert(pool_options.model == OXT_POOL_SHARED_Q && !pool_options.shrink);
    cr_assert(pool_options.between_sd == -1.0 && pool_options.scatter == -1.0);
    cr_assert(pool_options.thickness_uncertainty == 0.02 && pool_options.colour_tolerance == 3.0);
    cr_assert(pool_options.confidence == 0.95 && pool_options.robust == OXT_ROBUST_NONE);
    cr_assert(pool_options.bath_sd_K == 0.0 && pool_options.time_sd_s == 0.0 &&
              !pool_options.prior);
    cr_assert(laws_options.with_initial == 0 && laws_options.confidence == 0.95);
    cr_assert(interval_options.confidence == 0.95 &&
              interval_options.scale == OXT_INTERVAL_SCALE_STATED && !interval_options.progress);
    cr_assert(reanchor_options.shift_stderr == 0.3 && reanchor_options.colour_tolerance == 3.0);
    cr_assert(reanchor_options.thickness_uncertainty == 0.02 && !reanchor_options.label);
    cr_assert(bootstrap_options.replicates == 2000 && bootstrap_options.random_seed == 1);
    cr_assert(record_options.time_s == 0.0 && !record_options.label);
    cr_assert(validation_options.by_bath == 0 && validation_options.confidence == 0.95 &&
              validation_options.threads == 0 && !validation_options.progress);
    cr_assert(bootstrap_options.kind == OXT_BOOTSTRAP_PAIRS && bootstrap_options.threads == 0);
    cr_assert(dip_options.bath_wander_K == 0.0 && dip_options.time_wander_s == 0.0);
    cr_assert(!dip_options.part && !dip_options.lift && !dip_options.coupon);
    cr_assert(!dip_options.coupon_lift && !dip_options.initial && !dip_options.salt_bath &&
              dip_options.load_kg == 0.0 && dip_options.last_temper_K == 0.0 &&
              dip_options.last_temper_s == 0.0);
    cr_assert(lift.delay_s == 0.0 && lift.air_K == 293.15 && lift.emissivity == 0.3);
    cr_assert(lift.convection_W_per_m2K == 10.0 && part.transfer_W_per_m2K == 600.0);
    cr_assert(temper_options.constant == OXT_TEMPER_CONSTANT && temper_options.steel == NULL);
    cr_assert(temper_options.last_K == 0.0 && temper_options.last_s == 0.0);
    cr_assert(tracker_options.initial_nm == 0.0 && tracker_options.longest_gap_s == 5.0);
    cr_assert(!tracker_options.coupon && !tracker_options.coupon_lift);
    cr_assert(tracker_options.confidence == 0.0 && tracker_options.time_wander_s == 0.0);
    cr_assert(advice_options.low_K == 533.15 && advice_options.high_K == 644.26);
    cr_assert(advice_options.shortest_s == 15.0 && advice_options.longest_s == 3600.0);
    cr_assert(advice_options.count == 3 && advice_options.criterion == OXT_ADVISE_DIP);
    cr_assert(advice_options.highest_order == 1 && advice_options.target_bath_K == 0.0 &&
              !advice_options.target);
    cr_assert(drift_options.false_alarm == 0.01 && drift_options.confidence == 0.95);
}

/* ---- structs that go in ---- */

static oxt_status film_in(const void *given, oxt_error *error)
{
    oxt_film *made;
    oxt_status status = oxt_film_new(&made, given, error);
    oxt_film_free(made);
    return status;
}

static const double blue_lab[3] = { 44.7, 0.9, -41.6 };

static oxt_status match_in(const void *given, oxt_error *error)
{
    size_t count;
    oxt_match_verdict verdict;
    return oxt_film_match(film, blue_lab, given, 0, NULL, &count, &verdict, error);
}

static oxt_status growth_in(const void *given, oxt_error *error)
{
    double rate;
    return oxt_rate(given, 600.0, &rate, error);
}

static oxt_status growth_n_in(const void *given, oxt_error *error)
{
    double bath_K = 600.0, rate;
    return oxt_thickness_n(given, 1, &bath_K, 0, &bath_K, 0, &rate, NULL, error);
}

static oxt_status trial_in(const void *given, oxt_error *error)
{
    return oxt_trials_add(trials, given, NULL, error);
}

static const double some_time_s = 60.0;
static const oxt_column time_column = {
    sizeof(oxt_column), "time_s", &some_time_s, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE
};

static oxt_status column_in(const void *given, oxt_error *error)
{
    static const char *const alder = "Alder 1";
    static const double number = 600.0, film_nm = 40.0;
    const oxt_column others[] = {
        { sizeof(oxt_column), "bath_K", &number, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "thickness_nm", &film_nm, 0, NULL, 0, NULL, 0, OXT_COLUMN_DOUBLE },
        { sizeof(oxt_column), "steel", &alder, 0, NULL, 0, NULL, 0, OXT_COLUMN_TEXT },
    };
    const oxt_column *const all[] = { given, &others[0], &others[1], &others[2] };
    oxt_trials *log = new_log();
    oxt_status status = oxt_trials_add_columns(log, 1, all, 4, NULL, error);
    oxt_trials_free(log);
    return status;
}

static oxt_status values_in(const void *given, oxt_error *error)
{
    oxt_steel *made;
    oxt_status status = oxt_steel_new(&made, given, error);
    oxt_steel_free(made);
    return status;
}

static oxt_status fit_in(const void *given, oxt_error *error)
{
    oxt_fit *made;
    oxt_status status = oxt_fit_run(&made, trials, film, given, error);
    oxt_fit_free(made);
    return status;
}

static oxt_status laws_in(const void *given, oxt_error *error)
{
    oxt_laws *made;
    oxt_status status = oxt_laws_run(&made, fit, given, error);
    oxt_laws_free(made);
    return status;
}

static oxt_status interval_in(const void *given, oxt_error *error)
{
    double low, high;
    return oxt_interval_profile(fit, OXT_INTERVAL_LN_K, 0.0, given, &low, &high, error);
}

static oxt_status reanchor_in(const void *given, oxt_error *error)
{
    oxt_steel *made;
    oxt_status status = oxt_anchor_steel(&made, steel, trials, film, given, error);
    oxt_steel_free(made);
    return status;
}

static oxt_status fit_each_in(const void *given, oxt_error *error)
{
    oxt_fit_each *made;
    oxt_status status = oxt_fit_each_run(&made, trials, film, given, error);
    oxt_fit_each_free(made);
    return status;
}

static oxt_status fit_of_each_in(const void *given, oxt_error *error)
{
    oxt_fit_each_options options = OXT_FIT_EACH_OPTIONS_INIT;
    options.fit = given;
    return fit_each_in(&options, error);
}

static oxt_status record_options_in(const void *given, oxt_error *error)
{
    oxt_steel *made;
    oxt_status status = oxt_record_add(&made, steel, film, &dip, "blue", given, error);
    oxt_steel_free(made);
    return status;
}

static oxt_status record_in(const void *given, oxt_error *error)
{
    return oxt_record_report(given, NULL, 0, NULL, error);
}

static oxt_status validation_in(const void *given, oxt_error *error)
{
    oxt_cross_validation *made;
    oxt_status status = oxt_cross_validation_run(&made, fit, given, error);
    oxt_cross_validation_free(made);
    return status;
}

static oxt_status bootstrap_in(const void *given, oxt_error *error)
{
    oxt_bootstrap *made;
    oxt_status status = oxt_bootstrap_run(&made, fit, given, error);
    oxt_bootstrap_free(made);
    return status;
}

static oxt_status prior_in(const void *given, oxt_error *error)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.prior = given;
    return fit_in(&options, error);
}

static oxt_status pool_in(const void *given, oxt_error *error)
{
    oxt_pool *made;
    oxt_status status = oxt_pool_run(&made, trials, film, given, error);
    oxt_pool_free(made);
    return status;
}

static oxt_status prior_of_pool_in(const void *given, oxt_error *error)
{
    oxt_pool_options options = OXT_POOL_OPTIONS_INIT;
    options.prior = given;
    return pool_in(&options, error);
}

/* The target comes back inside the dip, with which a report must be possible. */
static oxt_status target_in(const void *given, oxt_error *error)
{
    oxt_dip found = OXT_DIP_INIT;
    oxt_status status = oxt_dip_predict(steel, given, 573.15, NULL, &found, error);
    if (status)
        return status;
    cr_assert_eq(found.target.struct_size, sizeof(oxt_target));
    return oxt_dip_report(&found, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, NULL, 0, NULL, error);
}

static oxt_status target_bath_in(const void *given, oxt_error *error)
{
    double bath_K;
    return bath_for_time(steel, given, 120.0, NULL, &bath_K, error);
}

static oxt_status dip_options_in(const void *given, oxt_error *error)
{
    oxt_dip found = OXT_DIP_INIT;
    return oxt_dip_predict(steel, &target, 573.15, given, &found, error);
}

static oxt_status part_in(const void *given, oxt_error *error)
{
    oxt_warming found = OXT_WARMING_INIT;
    return oxt_heat_warming(given, 573.15, &found, error);
}

static oxt_status initial_in(const void *given, oxt_error *error)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    oxt_dip found = OXT_DIP_INIT;
    options.initial = given;
    return oxt_dip_predict(steel, &target, 573.15, &options, &found, error);
}

static oxt_status bath_of_dip_in(const void *given, oxt_error *error)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.salt_bath = given;
    return dip_options_in(&options, error);
}

static oxt_status part_of_dip_in(const void *given, oxt_error *error)
{
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    options.part = options.coupon = given;
    return dip_options_in(&options, error);
}

static oxt_status part_lifted_in(const void *given, oxt_error *error)
{
    double exposure;
    return oxt_heat_lift_exposure(&growth, given, &lift, 573.15, &exposure, NULL, error);
}

static oxt_status lift_in(const void *given, oxt_error *error)
{
    double exposure;
    return oxt_heat_lift_exposure(&growth, &part, given, 573.15, &exposure, NULL, error);
}

static oxt_status range_in(const void *given, oxt_error *error)
{
    oxt_dip found = OXT_DIP_INIT;
    return oxt_plan_baths(steel, &target, given, NULL, &found, NULL, NULL, error);
}

static oxt_status set_with(const oxt_plan_part *given, const oxt_plan_options *options,
                           oxt_error *error)
{
    oxt_plan *made;
    oxt_status status = oxt_plan_set(&made, &given, 1, 573.15, options, error);
    oxt_plan_free(made);
    return status;
}

static oxt_status set_part_in(const void *given, oxt_error *error)
{
    return set_with(given, NULL, error);
}

static oxt_status set_options_in(const void *given, oxt_error *error)
{
    return set_with(&set_part, given, error);
}

static oxt_status chart_options_in(const void *given, oxt_error *error)
{
    oxt_chart made = OXT_CHART_INIT;
    return oxt_chart_data(steel, film, given, &made, 0, NULL, 0, NULL, error);
}

static oxt_status chart_dip_in(const void *given, oxt_error *error)
{
    oxt_chart_options options = chart_options;
    options.dip = given;
    return chart_options_in(&options, error);
}

static oxt_status sheet_options_in(const void *given, oxt_error *error)
{
    oxt_sheet made = OXT_SHEET_INIT;
    return oxt_chart_sheet(steel, film, given, 0, NULL, &made, error);
}

static oxt_status sheet_dip_options_in(const void *given, oxt_error *error)
{
    oxt_sheet_options options = sheet_options;
    options.dip = given;
    return sheet_options_in(&options, error);
}

static oxt_status sheet_target_in(const void *given, oxt_error *error)
{
    const oxt_target *targets[] = { given };
    oxt_sheet_options options = sheet_options;
    options.targets = targets;
    options.target_count = 1;
    return sheet_options_in(&options, error);
}

static oxt_status map_options_in(const void *given, oxt_error *error)
{
    double ratio;
    return oxt_chart_map(steel, film, given, 1, (const double[]){ 573.15 }, 1,
                         (const double[]){ 60.0, 120.0 }, &ratio, error);
}

static oxt_status advice_options_in(const void *given, oxt_error *error)
{
    oxt_advise *made;
    oxt_status status = oxt_advise_run(&made, steel, film, given, error);
    oxt_advise_free(made);
    return status;
}

static oxt_status advice_target_in(const void *given, oxt_error *error)
{
    oxt_advise_options options = advice_options;
    options.target = given;
    return advice_options_in(&options, error);
}

static oxt_status drift_options_in(const void *given, oxt_error *error)
{
    oxt_drift found = OXT_DRIFT_INIT;
    return oxt_drift_find(fit, given, &found, error);
}

static oxt_status drift_in(const void *given, oxt_error *error)
{
    return oxt_drift_report(given, OXT_CAUTION_BRIEF, NULL, 0, NULL, error);
}

static oxt_status bath_in(const void *given, oxt_error *error)
{
    double true_K;
    return oxt_bath_read(given, 573.15, &true_K, NULL, error);
}

static oxt_status dip_in(const void *given, oxt_error *error)
{
    return oxt_dip_report(given, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, NULL, 0, NULL, error);
}

static oxt_status averaged_dip_in(const void *given, oxt_error *error)
{
    oxt_dip average = OXT_DIP_INIT;
    return oxt_dip_average((const oxt_dip *[]){ given }, (double[]){ 1.0 }, 1, &average, error);
}

static oxt_status temper_options_in(const void *given, oxt_error *error)
{
    oxt_temper found = OXT_TEMPER_INIT;
    return oxt_temper_dip(573.15, 60.0, given, &found, error);
}

static oxt_status equivalent_in(const void *given, oxt_error *error)
{
    double time_s;
    return oxt_dip_equivalent_time(steel, given, &time_s, error);
}

static oxt_status temper_history_in(const void *given, oxt_error *error)
{
    oxt_temper found = OXT_TEMPER_INIT;
    return oxt_temper_history(history, given, &found, error);
}

static oxt_status temper_in(const void *given, oxt_error *error)
{
    return oxt_temper_report(given, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, NULL, 0, NULL, error);
}

static oxt_status make_tracker(const oxt_target *wanted, const oxt_track_options *given,
                               oxt_error *error)
{
    oxt_track *made;
    oxt_status status = oxt_track_new(&made, steel, film, wanted, given, error);
    oxt_track_free(made);
    return status;
}

static oxt_status tracker_target_in(const void *given, oxt_error *error)
{
    return make_tracker(given, NULL, error);
}

static oxt_status tracker_options_in(const void *given, oxt_error *error)
{
    return make_tracker(&target, given, error);
}

static oxt_status tracker_part_in(const void *given, oxt_error *error)
{
    oxt_track_options options = OXT_TRACK_OPTIONS_INIT;
    options.part = given;
    options.bath_K = 573.15;
    return make_tracker(&target, &options, error);
}

static const struct {
    const char *name;
    const void *sample;
    size_t size;
    oxt_status (*call)(const void *, oxt_error *);
} incoming[] = {
    { "film options", &film_options, sizeof film_options, film_in },
    { "part", &part, sizeof part, part_in },
    { "part of a dip", &part, sizeof part, part_of_dip_in },
    { "part lifted", &part, sizeof part, part_lifted_in },
    { "lift", &lift, sizeof lift, lift_in },
    { "bath of a dip", &bath, sizeof bath, bath_of_dip_in },
    { "bath", &bath, sizeof bath, bath_in },
    { "match options", &match_options, sizeof match_options, match_in },
    { "growth", &growth, sizeof growth, growth_in },
    { "growth of many", &growth, sizeof growth, growth_n_in },
    { "trial", &trial, sizeof trial, trial_in },
    { "column", &time_column, sizeof time_column, column_in },
    { "steel values", &values, sizeof values, values_in },
    { "prior", &prior, sizeof prior, prior_in },
    { "fit options", &fit_options, sizeof fit_options, fit_in },
    { "fit each options", &fit_each_options, sizeof fit_each_options, fit_each_in },
    { "fit options of each", &fit_options, sizeof fit_options, fit_of_each_in },
    { "pool options", &pool_options, sizeof pool_options, pool_in },
    { "prior of a pool", &prior, sizeof prior, prior_of_pool_in },
    { "laws options", &laws_options, sizeof laws_options, laws_in },
    { "interval options", &interval_options, sizeof interval_options, interval_in },
    { "reanchor options", &reanchor_options, sizeof reanchor_options, reanchor_in },
    { "bootstrap options", &bootstrap_options, sizeof bootstrap_options, bootstrap_in },
    { "record options", &record_options, sizeof record_options, record_options_in },
    { "record", &record, sizeof record, record_in },
    { "cross-validation options", &validation_options, sizeof validation_options, validation_in },
    { "target", &target, sizeof target, target_in },
    { "target of a bath", &target, sizeof target, target_bath_in },
    { "film already there", &target, sizeof target, initial_in },
    { "dip options", &dip_options, sizeof dip_options, dip_options_in },
    { "dip", &dip, sizeof dip, dip_in },
    { "dip of an average", &dip, sizeof dip, averaged_dip_in },
    { "trial worth a time", &trial, sizeof trial, equivalent_in },
    { "bath range", &bath_range, sizeof bath_range, range_in },
    { "part of a set", &set_part, sizeof set_part, set_part_in },
    { "set options", &set_options, sizeof set_options, set_options_in },
    { "advice options", &advice_options, sizeof advice_options, advice_options_in },
    { "target of advice", &target, sizeof target, advice_target_in },
    { "chart options", &chart_options, sizeof chart_options, chart_options_in },
    { "dip of a chart", &dip, sizeof dip, chart_dip_in },
    { "sheet options", &sheet_options, sizeof sheet_options, sheet_options_in },
    { "dip options of a sheet", &dip_options, sizeof dip_options, sheet_dip_options_in },
    { "target of a sheet", &target, sizeof target, sheet_target_in },
    { "advice options of a map", &advice_options, sizeof advice_options, map_options_in },
    { "drift options", &drift_options, sizeof drift_options, drift_options_in },
    { "drift", &drift, sizeof drift, drift_in },
    { "temper options", &temper_options, sizeof temper_options, temper_options_in },
    { "temper options of a history", &temper_options, sizeof temper_options, temper_history_in },
    { "temper", &temper, sizeof temper, temper_in },
    { "target of a tracker", &target, sizeof target, tracker_target_in },
    { "tracker options", &tracker_options, sizeof tracker_options, tracker_options_in },
    { "part of a tracker", &part, sizeof part, tracker_part_in },
};

#define MORE 24

/* A program built with a later oxtint: what this one does not know must be zero, that is unused. */
Test(contract, larger_structs_are_taken_when_the_rest_is_zero, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < sizeof incoming / sizeof incoming[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        size_t size = incoming[i].size + MORE;
        unsigned char *larger = calloc(1, size);
        cr_assert_not_null(larger);
        memcpy(larger, incoming[i].sample, incoming[i].size);
        memcpy(larger, &size, sizeof size);
        oxt_status status = incoming[i].call(larger, &error);
        cr_assert_eq(status, OXT_OK, "%s: %s", incoming[i].name, error.text);
        static const size_t places[] = { 0, 7, MORE - 1 };
        for (size_t j = 0; j < 3; j++) {
            larger[incoming[i].size + places[j]] = 1;
            status = incoming[i].call(larger, &error);
            cr_assert_eq(status, OXT_EARG, "%s took an unknown field", incoming[i].name);
            SAYS(oxt_version());
            larger[incoming[i].size + places[j]] = 0;
        }
        cr_assert_eq(incoming[i].call(larger, &error), OXT_OK);
        free(larger);
    }
}

/* A struct that was never initialised, or that is smaller than the first release's. Memory behind
 * the stated size is not read: the sanitizers watch the end of each block. */
Test(contract, smaller_structs_are_refused, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < sizeof incoming / sizeof incoming[0]; i++) {
        const size_t sizes[] = { 0, 1, sizeof(size_t),
                                 incoming[i].size - sizeof(double) }; /* more than its padding */
        for (size_t j = 0; j < 4; j++) {
            oxt_error error = OXT_ERROR_INIT;
            size_t room = sizes[j] > sizeof(size_t) ? sizes[j] : sizeof(size_t);
            unsigned char *smaller = malloc(room);
            cr_assert_not_null(smaller);
            memcpy(smaller, incoming[i].sample, room);
            memcpy(smaller, &sizes[j], sizeof sizes[j]);
            FAILS(incoming[i].call(smaller, &error), OXT_EARG);
            SAYS("struct_size");
            SAYS("INIT");
            cr_assert(error.value == (double)sizes[j] && error.low > error.value &&
                      error.low > (double)(incoming[i].size - sizeof(double)) &&
                      error.low <= (double)incoming[i].size);
            free(smaller);
        }
    }
}

/* ---- structs that come out ---- */

static oxt_status band_out(void *into, oxt_error *error)
{
    return oxt_tint_band(film, 7, into, error);
}

static oxt_status tint_at_out(void *into, oxt_error *error)
{
    return oxt_tint_at(film, 57.0, into, error);
}

static oxt_status tint_find_out(void *into, oxt_error *error)
{
    return oxt_tint_find(film, "second-order blue", into, error);
}

static oxt_status target_name_out(void *into, oxt_error *error)
{
    return oxt_tint_target(film, "blue", into, error);
}

static oxt_status target_thickness_out(void *into, oxt_error *error)
{
    return oxt_tint_target_of_thickness(57.0, 50.0, 60.0, into, error);
}

static oxt_status target_lab_out(void *into, oxt_error *error)
{
    return oxt_tint_target_of_lab(film, blue_lab, 5.0, 1, into, error);
}

static oxt_status match_out(void *into, oxt_error *error)
{
    size_t count;
    oxt_match_verdict verdict;
    return oxt_film_match(film, blue_lab, NULL, 1, into, &count, &verdict, error);
}

static oxt_status target_srgb_out(void *into, oxt_error *error)
{
    return oxt_tint_target(film, "#1e6daf", into, error);
}

static oxt_status trial_out(void *into, oxt_error *error)
{
    return oxt_trials_get(trials, 5, into, error);
}

static oxt_status trial_group_out(void *into, oxt_error *error)
{
    return oxt_trials_group(trials, 0, into, error);
}

static oxt_status fault_out(void *into, oxt_error *error)
{
    return oxt_faults_get(faults, 0, into, error);
}

static oxt_status values_out(void *into, oxt_error *error)
{
    return oxt_steel_get(steel, into, error);
}

static oxt_status prior_out(void *into, oxt_error *error)
{
    return oxt_prior_mild_steel(into, film, error);
}

static oxt_status fit_out(void *into, oxt_error *error)
{
    return oxt_fit_get(fit, into, error);
}

static oxt_status entry_out(void *into, oxt_error *error)
{
    return oxt_steel_history(renewed, 0, into, error);
}

static oxt_status fits_out(void *into, oxt_error *error)
{
    return oxt_fit_each_get(fits, 0, NULL, into, error);
}

static oxt_status fits_group_out(void *into, oxt_error *error)
{
    return oxt_fit_each_get(fits, 0, into, NULL, error);
}

static oxt_status record_out(void *into, oxt_error *error)
{
    return oxt_record_get(recorded, 0.01, into, error);
}

static oxt_status recorded_dip_out(void *into, oxt_error *error)
{
    return oxt_steel_recorded_dip(recorded, 0, into, error);
}

static oxt_status validation_out(void *into, oxt_error *error)
{
    return oxt_cross_validation_get(validation, into, error);
}

static oxt_status left_row_out(void *into, oxt_error *error)
{
    return oxt_cross_validation_get_row(validation, 0, into, error);
}

static oxt_status bootstrap_out(void *into, oxt_error *error)
{
    return oxt_bootstrap_get(bootstrap, into, 0, NULL, NULL, NULL, error);
}

static oxt_status row_out(void *into, oxt_error *error)
{
    return oxt_fit_get_row(fit, 1, into, error);
}

static oxt_status pool_out(void *into, oxt_error *error)
{
    return oxt_pool_get(pool, into, error);
}

static oxt_status pool_group_out(void *into, oxt_error *error)
{
    return oxt_pool_get_group(pool, 0, into, error);
}

static oxt_status comparison_out(void *into, oxt_error *error)
{
    return oxt_pool_get_comparison(pool, OXT_POOL_SEPARATE, into, error);
}

static oxt_status laws_out(void *into, oxt_error *error)
{
    return oxt_laws_get(laws, into, error);
}

static oxt_status law_out(void *into, oxt_error *error)
{
    return oxt_laws_get_law(laws, OXT_LAW_POWER, into, error);
}

static oxt_status set_out(void *into, oxt_error *error)
{
    return oxt_plan_get(set, into, error);
}

static oxt_status step_out(void *into, oxt_error *error)
{
    return oxt_plan_get_step(set, 0, into, NULL, error);
}

static oxt_status set_dip_out(void *into, oxt_error *error)
{
    return oxt_plan_get_step(set, 0, &(oxt_plan_step)OXT_PLAN_STEP_INIT, into, error);
}

static oxt_status coupon_out(void *into, oxt_error *error)
{
    return oxt_advise_get(advice, 0, into, error);
}

static oxt_status chart_out(void *into, oxt_error *error)
{
    return oxt_chart_data(steel, film, NULL, into, 0, NULL, 0, NULL, error);
}

static oxt_status chart_band_out(void *into, oxt_error *error)
{
    oxt_chart made = OXT_CHART_INIT;
    return oxt_chart_data(steel, film, NULL, &made, 1, into, 0, NULL, error);
}

static oxt_status chart_mark_out(void *into, oxt_error *error)
{
    oxt_chart made = OXT_CHART_INIT;
    oxt_chart_options options = chart_options;
    options.trials = trials;
    return oxt_chart_data(steel, film, &options, &made, 0, NULL, 1, into, error);
}

static oxt_status sheet_out(void *into, oxt_error *error)
{
    return oxt_chart_sheet(steel, film, NULL, 0, NULL, into, error);
}

static oxt_status sheet_dip_out(void *into, oxt_error *error)
{
    oxt_sheet made = OXT_SHEET_INIT;
    return oxt_chart_sheet(steel, film, NULL, 1, into, &made, error);
}

static oxt_status drift_out(void *into, oxt_error *error)
{
    return oxt_drift_find(fit, NULL, into, error);
}

static oxt_status warming_out(void *into, oxt_error *error)
{
    return oxt_heat_warming(&part, 573.15, into, error);
}

static oxt_status salt_out(void *into, oxt_error *error)
{
    return oxt_bath_salt(OXT_SALT_TERNARY, 600.0, into, error);
}

static oxt_status sag_out(void *into, oxt_error *error)
{
    oxt_part plate = part;
    oxt_bath pot = bath;
    plate.size_m = 0.006;
    pot.salt_kg = 10.0;
    pot.heater_W = 500.0;
    return oxt_bath_sag(&pot, &plate, 1.0, 573.15, into, error);
}

static oxt_status transfer_out(void *into, oxt_error *into_error)
{
    static const double time_s[] = { 0.0, 10.0, 20.0, 30.0, 90.0, 180.0 };
    static const double temperature_K[] = { 293.15, 380.0, 440.0, 480.0, 580.0, 589.0 };
    oxt_part plate = part;
    oxt_history *warming = NULL;
    plate.size_m = 0.006;
    oxt_status status = oxt_history_new(&warming, 6, time_s, sizeof(double), temperature_K,
                                        sizeof(double), 0.0, into_error);
    if (!status)
        status = oxt_heat_find_transfer(&plate, 589.15, warming, OXT_THERMOCOUPLE_CENTRE, into,
                                        into_error);
    oxt_history_free(warming);
    return status;
}

static oxt_status crust_out(void *into, oxt_error *error)
{
    oxt_part plate = part;
    oxt_bath pot = bath;
    plate.size_m = 0.006;
    pot.salt = OXT_SALT_TERNARY;
    return oxt_bath_crust(&pot, &plate, 573.15, into, error);
}

static oxt_status convection_out(void *into, oxt_error *error)
{
    return oxt_bath_convection(&bath, OXT_SURFACE_UPRIGHT, 0.05, 573.15, 100.0, into, error);
}

static oxt_status dip_out(void *into, oxt_error *error)
{
    return oxt_dip_predict(steel, &target, 573.15, NULL, into, error);
}

static oxt_status temper_out(void *into, oxt_error *error)
{
    return oxt_temper_dip(573.15, 60.0, NULL, into, error);
}

static oxt_status temper_history_out(void *into, oxt_error *error)
{
    return oxt_temper_history(history, NULL, into, error);
}

static oxt_status tracking_out(void *into, oxt_error *error)
{
    return oxt_track_read(tracker, into, error);
}

static const struct {
    const char *name;
    const void *empty;
    size_t size;
    const gap *gaps;
    oxt_status (*call)(void *, oxt_error *);
} outgoing[] = {
    { "band", &tint_macro, sizeof tint_macro, tint_gaps, band_out },
    { "band at", &tint_macro, sizeof tint_macro, tint_gaps, tint_at_out },
    { "band found", &tint_macro, sizeof tint_macro, tint_gaps, tint_find_out },
    { "target by name", &target_macro, sizeof target_macro, target_gaps, target_name_out },
    { "target by thickness", &target_macro, sizeof target_macro, target_gaps,
      target_thickness_out },
    { "target by lab", &target_macro, sizeof target_macro, target_gaps, target_lab_out },
    { "target by srgb", &target_macro, sizeof target_macro, target_gaps, target_srgb_out },
    { "warming", &warming_macro, sizeof warming_macro, warming_gaps, warming_out },
    { "salt", &salt_macro, sizeof salt_macro, no_gaps, salt_out },
    { "sag", &sag_macro, sizeof sag_macro, sag_gaps, sag_out },
    { "crust", &crust_macro, sizeof crust_macro, no_gaps, crust_out },
    { "convection", &convection_macro, sizeof convection_macro, no_gaps, convection_out },
    { "transfer", &transfer_macro, sizeof transfer_macro, no_gaps, transfer_out },
    { "match", &match_macro, sizeof match_macro, match_gaps, match_out },
    { "trial", &trial_macro, sizeof trial_macro, trial_gaps, trial_out },
    { "group", &trial_group_macro, sizeof trial_group_macro, no_gaps, trial_group_out },
    { "fault", &fault_macro, sizeof fault_macro, no_gaps, fault_out },
    { "steel values", &values_macro, sizeof values_macro, values_gaps, values_out },
    { "prior", &prior_macro, sizeof prior_macro, no_gaps, prior_out },
    { "fit values", &fit_values_macro, sizeof fit_values_macro, fit_values_gaps, fit_out },
    { "fit row", &fit_row_macro, sizeof fit_row_macro, no_gaps, row_out },
    { "pool values", &pool_values_macro, sizeof pool_values_macro, pool_values_gaps, pool_out },
    { "pool group", &pool_group_macro, sizeof pool_group_macro, pool_group_gaps, pool_group_out },
    { "pool comparison", &comparison_macro, sizeof comparison_macro, no_gaps, comparison_out },
    { "laws", &laws_values_macro, sizeof laws_values_macro, laws_values_gaps, laws_out },
    { "law", &law_result_macro, sizeof law_result_macro, law_result_gaps, law_out },
    { "entry of a card", &entry_macro, sizeof entry_macro, no_gaps, entry_out },
    { "one of many fits", &fit_values_macro, sizeof fit_values_macro, fit_values_gaps, fits_out },
    { "group of many fits", &fit_each_group_macro, sizeof fit_each_group_macro, fit_each_group_gaps,
      fits_group_out },
    { "bootstrap", &bootstrap_macro, sizeof bootstrap_macro, bootstrap_gaps, bootstrap_out },
    { "record", &record_macro, sizeof record_macro, record_gaps, record_out },
    { "recorded dip", &recorded_dip_macro, sizeof recorded_dip_macro, recorded_dip_gaps,
      recorded_dip_out },
    { "cross-validation", &validation_macro, sizeof validation_macro, validation_gaps,
      validation_out },
    { "row left out", &left_row_macro, sizeof left_row_macro, left_row_gaps, left_row_out },
    { "dip", &dip_macro, sizeof dip_macro, dip_gaps, dip_out },
    { "dip of a set", &dip_macro, sizeof dip_macro, dip_gaps, set_dip_out },
    { "set", &set_values_macro, sizeof set_values_macro, set_values_gaps, set_out },
    { "step of a set", &set_step_macro, sizeof set_step_macro, no_gaps, step_out },
    { "coupon", &coupon_macro, sizeof coupon_macro, coupon_gaps, coupon_out },
    { "chart", &chart_macro, sizeof chart_macro, chart_gaps, chart_out },
    { "band of a chart", &chart_band_macro, sizeof chart_band_macro, no_gaps, chart_band_out },
    { "mark of a chart", &chart_mark_macro, sizeof chart_mark_macro, no_gaps, chart_mark_out },
    { "sheet", &sheet_macro, sizeof sheet_macro, no_gaps, sheet_out },
    { "dip of a sheet", &dip_macro, sizeof dip_macro, dip_gaps, sheet_dip_out },
    { "drift", &drift, sizeof drift, drift_gaps, drift_out },
    { "temper", &temper_macro, sizeof temper_macro, temper_gaps, temper_out },
    { "temper of a history", &temper_macro, sizeof temper_macro, temper_gaps, temper_history_out },
    { "tracking", &tracking_macro, sizeof tracking_macro, tracking_gaps, tracking_out },
};

Test(contract, results_leave_the_rest_of_a_larger_struct_alone, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < sizeof outgoing / sizeof outgoing[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        size_t known = outgoing[i].size, size = known + MORE, found;
        unsigned char *usual = malloc(known), *larger = malloc(size);
        cr_assert(usual && larger);
        memcpy(usual, outgoing[i].empty, known);
        OK(outgoing[i].call(usual, &error));
        memset(larger, 0x5A, size);
        memcpy(larger, &size, sizeof size);
        OK(outgoing[i].call(larger, &error));
        memcpy(&found, larger, sizeof found);
        cr_assert_eq(found, size, "%s changed struct_size", outgoing[i].name);
        clear_padding(usual, outgoing[i].gaps);
        clear_padding(larger, outgoing[i].gaps);
        cr_assert_eq(memcmp(larger + sizeof size, usual + sizeof size, known - sizeof size), 0,
                     "%s", outgoing[i].name);
        for (size_t j = known; j < size; j++)
            cr_assert_eq(larger[j], 0x5A, "%s wrote beyond its end", outgoing[i].name);
        free(usual);
        free(larger);
    }
}

Test(contract, results_are_not_written_to_a_smaller_struct, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < sizeof outgoing / sizeof outgoing[0]; i++) {
        const size_t sizes[] = { 0, sizeof(size_t), outgoing[i].size - sizeof(double) };
        for (size_t j = 0; j < 3; j++) {
            oxt_error error = OXT_ERROR_INIT;
            size_t room = sizes[j] > sizeof(size_t) ? sizes[j] : sizeof(size_t);
            unsigned char *smaller = malloc(room), *before = malloc(room);
            cr_assert(smaller && before);
            memset(smaller, 0x5A, room);
            memcpy(smaller, &sizes[j], sizeof sizes[j]);
            memcpy(before, smaller, room);
            FAILS(outgoing[i].call(smaller, &error), OXT_EARG);
            SAYS("struct_size");
            cr_assert_eq(memcmp(smaller, before, room), 0, "%s", outgoing[i].name);
            free(smaller);
            free(before);
        }
    }
}

/* ---- texts ---- */

#define TEXT_CALL(name, ...)                                                                \
    static oxt_status name(char *buffer, size_t capacity, size_t *needed, oxt_error *error) \
    {                                                                                       \
        return __VA_ARGS__;                                                                 \
    }
static const double sky[3] = { 0.2, 0.5, 0.9 };
TEXT_CALL(temperature_text,
          oxt_format_temperature(616.0, OXT_UNIT_CELSIUS, buffer, capacity, needed, error))
TEXT_CALL(duration_text, oxt_format_duration(3750.0, buffer, capacity, needed, error))
TEXT_CALL(length_text, oxt_format_length(0.00635, OXT_UNIT_INCH, buffer, capacity, needed, error))
TEXT_CALL(srgb_text, oxt_format_srgb(sky, buffer, capacity, needed, error))
TEXT_CALL(film_text, oxt_film_description(film, buffer, capacity, needed, error))
TEXT_CALL(csv_text, oxt_trials_write_csv_text(trials, buffer, capacity, needed, error))
TEXT_CALL(note_text, oxt_trials_text(trials, "note", 5, buffer, capacity, needed, error))
TEXT_CALL(no_note_text, oxt_trials_text(trials, "note", 0, buffer, capacity, needed, error))
TEXT_CALL(steel_text, oxt_trials_text(trials, "steel", 0, buffer, capacity, needed, error))
TEXT_CALL(faults_text, oxt_faults_report(faults, buffer, capacity, needed, error))
TEXT_CALL(snapshot, oxt_track_snapshot(tracker, buffer, capacity, needed, error))
TEXT_CALL(card_text, oxt_steel_save_text(steel, buffer, capacity, needed, error))
TEXT_CALL(fit_json, oxt_fit_json(fit, buffer, capacity, needed, error))
TEXT_CALL(laws_json, oxt_laws_json(laws, buffer, capacity, needed, error))
TEXT_CALL(pool_json, oxt_pool_json(pool, buffer, capacity, needed, error))
TEXT_CALL(dip_json, oxt_dip_json(&dip, buffer, capacity, needed, error))
TEXT_CALL(advice_json, oxt_advise_json(advice, buffer, capacity, needed, error))
TEXT_CALL(fit_text, oxt_fit_report(fit, OXT_UNIT_FAHRENHEIT, buffer, capacity, needed, error))
TEXT_CALL(warning_text, oxt_fit_warning(fit, 0, buffer, capacity, needed, error))
TEXT_CALL(remarks_text, oxt_fit_each_remarks(fits, 0, buffer, capacity, needed, error))
TEXT_CALL(fits_text,
          oxt_fit_each_report(fits, OXT_UNIT_FAHRENHEIT, buffer, capacity, needed, error))
TEXT_CALL(pool_text, oxt_pool_report(pool, OXT_UNIT_FAHRENHEIT, buffer, capacity, needed, error))
TEXT_CALL(pool_warning_text, oxt_pool_warning(pool, 0, buffer, capacity, needed, error))
TEXT_CALL(record_text, oxt_record_report(&record, buffer, capacity, needed, error))
TEXT_CALL(validation_text, oxt_cross_validation_report(validation, OXT_UNIT_CELSIUS, buffer,
                                                       capacity, needed, error))
TEXT_CALL(bootstrap_text,
          oxt_bootstrap_report(bootstrap, OXT_UNIT_CELSIUS, buffer, capacity, needed, error))
TEXT_CALL(laws_text, oxt_laws_report(laws, OXT_UNIT_CELSIUS, buffer, capacity, needed, error))
TEXT_CALL(dip_text, oxt_dip_report(&dip, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, buffer, capacity,
                                   needed, error))
TEXT_CALL(temper_text, oxt_temper_report(&temper, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, buffer,
                                         capacity, needed, error))
TEXT_CALL(advice_text, oxt_advise_report(advice, OXT_UNIT_CELSIUS, OXT_CAUTION_BRIEF, buffer,
                                         capacity, needed, error))
TEXT_CALL(chart_picture,
          oxt_chart_svg(steel, film, NULL, OXT_UNIT_CELSIUS, buffer, capacity, needed, error))
TEXT_CALL(sheet_picture, oxt_chart_sheet_svg(steel, film, NULL, buffer, capacity, needed, error))
TEXT_CALL(drift_text, oxt_drift_report(&drift, OXT_CAUTION_BRIEF, buffer, capacity, needed, error))

static const struct {
    const char *name;
    oxt_status (*call)(char *, size_t, size_t *, oxt_error *);
} texts[] = {
    { "temperature", temperature_text },
    { "duration", duration_text },
    { "length", length_text },
    { "srgb", srgb_text },
    { "film", film_text },
    { "csv", csv_text },
    { "note", note_text },
    { "no note", no_note_text },
    { "level", steel_text },
    { "faults", faults_text },
    { "snapshot", snapshot },
    { "card", card_text },
    { "fit as JSON", fit_json },
    { "laws as JSON", laws_json },
    { "pool as JSON", pool_json },
    { "dip as JSON", dip_json },
    { "advice as JSON", advice_json },
    { "fit", fit_text },
    { "warning", warning_text },
    { "remarks", remarks_text },
    { "fits", fits_text },
    { "pool", pool_text },
    { "pool warning", pool_warning_text },
    { "bootstrap", bootstrap_text },
    { "record", record_text },
    { "cross-validation", validation_text },
    { "laws", laws_text },
    { "dip", dip_text },
    { "temper", temper_text },
    { "advice", advice_text },
    { "chart as SVG", chart_picture },
    { "sheet as SVG", sheet_picture },
    { "drift", drift_text },
};

/* Is it whole UTF-8? Only lengths are looked at: a cut text must not end inside a character. */
static bool ends_between_characters(const char *text)
{
    size_t at = 0, length = strlen(text);
    while (at < length) {
        unsigned char lead = (unsigned char)text[at];
        at += lead < 0x80 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
    }
    return at == length;
}

static void check_cut(size_t which, const char *whole, size_t capacity)
{
    oxt_error error = OXT_ERROR_INIT;
    size_t length = strlen(whole), needed = 99999;
    char *exact = malloc(capacity); /* its end is watched by the sanitizers */
    cr_assert_not_null(exact);
    memset(exact, '#', capacity);
    FAILS(texts[which].call(exact, capacity, &needed, &error), OXT_ESPACE);
    cr_assert_eq(needed, length, "%s", texts[which].name);
    cr_assert(error.value == (double)capacity && error.low == (double)length + 1.0);
    cr_assert_not_null(memchr(exact, '\0', capacity), "%s", texts[which].name);
    cr_assert_eq(memcmp(exact, whole, strlen(exact)), 0, "%s", texts[which].name);
    cr_assert(strlen(exact) + 4 >= capacity && ends_between_characters(exact));
    free(exact);
}

Test(contract, texts_go_into_the_callers_buffer, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        size_t length = 99999, needed = 99999;
        OK(texts[i].call(NULL, 0, &length, &error));
        cr_assert(length < 99999);
        char *whole = malloc(length + 1), untouched = '#';
        cr_assert_not_null(whole);
        memset(whole, '#', length + 1);
        OK(texts[i].call(whole, length + 1, &needed, &error));
        cr_assert(needed == length && strlen(whole) == length, "%s", texts[i].name);
        OK(texts[i].call(whole, length + 1, NULL, &error));
        OK(texts[i].call(NULL, 0, NULL, &error));
        FAILS(texts[i].call(NULL, length + 1, &needed, &error), OXT_EARG);
        FAILS(texts[i].call(&untouched, 0, &needed, &error), OXT_ESPACE);
        cr_assert(untouched == '#' && needed == length);
        for (size_t capacity = 1; capacity <= length; capacity += 1 + length / 97)
            check_cut(i, whole, capacity);
        if (length > 0)
            check_cut(i, whole, length);
        free(whole);
    }
}

/* ---- handles ---- */

Test(contract, freeing_nothing_does_nothing)
{
    oxt_film_free(NULL);
    oxt_material_free(NULL);
    oxt_trials_free(NULL);
    oxt_faults_free(NULL);
    oxt_fit_free(NULL);
    oxt_pool_free(NULL);
    oxt_laws_free(NULL);
    oxt_bootstrap_free(NULL);
    oxt_fit_each_free(NULL);
    oxt_steel_free(NULL);
    oxt_history_free(NULL);
    oxt_track_free(NULL);
    oxt_advise_free(NULL);
    cr_assert_eq(oxt_trials_count(NULL), 0);
    cr_assert_eq(oxt_trials_unit(NULL), OXT_UNIT_CELSIUS);
    cr_assert_eq(oxt_faults_count(NULL), 0);
    size_t failed = 1;
    cr_assert(oxt_fit_each_count(NULL, &failed) == 0 && failed == 0);
}

/* The result of a getter is a copy: changing it does not change the handle. */
Test(contract, getters_give_copies, .init = prepare, .fini = clear)
{
    for (size_t i = 0; i < sizeof outgoing / sizeof outgoing[0]; i++) {
        oxt_error error = OXT_ERROR_INIT;
        size_t size = outgoing[i].size;
        unsigned char *first = malloc(size), *second = malloc(size), *kept = malloc(size);
        cr_assert(first && second && kept);
        memcpy(first, outgoing[i].empty, size);
        memcpy(second, outgoing[i].empty, size);
        OK(outgoing[i].call(first, &error));
        memcpy(kept, first, size);
        memset(first + sizeof(size_t), 0x77, size - sizeof(size_t));
        OK(outgoing[i].call(second, &error));
        clear_padding(second, outgoing[i].gaps);
        clear_padding(kept, outgoing[i].gaps);
        cr_assert_eq(memcmp(second, kept, size), 0, "%s", outgoing[i].name);
        free(first);
        free(second);
        free(kept);
    }
}
