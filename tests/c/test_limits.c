/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ranges that the headers state: the limits themselves are taken, what lies beyond them and what is no
 * number is refused, by name and with the range. */
#include <string.h>

#include "optics.h"
#include "support.h"

typedef struct {
    const char *name; /* of the parameter in the error */
    size_t offset;
    double low, high;
    bool above_low; /* the lower limit itself is out */
} range;

#define RANGE(kind, field, low, high)                   \
    {                                                   \
#field, offsetof(kind, field), low, high, false \
    }
#define ABOVE(kind, field, low, high)                  \
    {                                                  \
#field, offsetof(kind, field), low, high, true \
    }

/* A call that is given a struct of which all but one field are as usual. */
typedef oxt_status (*taker)(const void *given, oxt_error *error);

static oxt_steel *steel;
static oxt_target blue;
static oxt_trials *coupons;
static oxt_fit *fit;

static void set_up(void)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_steel_values values = some_steel();
    steel = steel_of(&values);
    blue = target_of("blue");
    coupons = new_log();
    for (int i = 0; i < 12; i++) { /* x^2 = 50 t at 580 K, a little off */
        double bath_K = 560.0 + 20.0 * (i % 3), time_s = 20.0 + 10.0 * i;
        add_thickness(coupons, bath_K, time_s,
                      sqrt(50.0 * time_s) * exp(0.012 * (bath_K - 580.0)) * (1.0 + 0.01 * (i % 4)));
    }
    OK(oxt_fit_run(&fit, coupons, default_film(), NULL, &error));
}

static void tear_down(void)
{
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    oxt_trials_free(coupons);
}

/* Is this field what the error is about? */
static bool blames(const oxt_error *error, const char *name)
{
    const char *dot = strrchr(error->parameter, '.');
    return strcmp(dot ? dot + 1 : error->parameter, name) == 0;
}

static void check_range(taker take, const void *usual, size_t size, const range *of)
{
    char given[512];
    double just_in[2] = { of->above_low ? of->low + 1e-9 : of->low, of->high };
    double out[3] = { of->above_low ? of->low : of->low - 1e-9 * fmax(fabs(of->low), 1.0),
                      of->high * (1.0 + 1e-9), NAN };
    cr_assert(size <= sizeof given);
    for (int i = 0; i < 3; i++) {
        oxt_error error = OXT_ERROR_INIT;
        memcpy(given, usual, size);
        if (i < 2 && isfinite(just_in[i])) {
            memcpy(given + of->offset, &just_in[i], sizeof(double));
            oxt_status status = take(given, &error);
            cr_assert(status != OXT_EDOMAIN || !blames(&error, of->name), "%s of %.17g: %s",
                      of->name, just_in[i], error.text);
        }
        if (i == 1 && isinf(of->high))
            continue;
        memcpy(given + of->offset, &out[i], sizeof(double));
        error = (oxt_error)OXT_ERROR_INIT;
        oxt_status status = take(given, &error);
        cr_assert(status == OXT_EDOMAIN && blames(&error, of->name), "%s of %.17g: %s (%s)",
                  of->name, out[i], oxt_status_name(status), error.text);
        cr_assert(error.low == of->low, "%s is from %g on, not from %g", of->name, of->low,
                  error.low);
        cr_assert(isinf(of->high) || error.high == of->high, "%s is up to %g, not up to %g",
                  of->name, of->high, error.high);
    }
}

#define CHECK(take, usual, ranges)                                         \
    do {                                                                   \
        for (size_t i_ = 0; i_ < sizeof(ranges) / sizeof(ranges)[0]; i_++) \
            check_range(take, &(usual), sizeof(usual), &(ranges)[i_]);     \
    } while (0)

/* ---- parts, lifts, baths ---- */

static oxt_status take_part(const void *given, oxt_error *error)
{
    oxt_warming warming = OXT_WARMING_INIT;
    return oxt_heat_warming(given, 600.0, &warming, error);
}

static oxt_status take_lift(const void *given, oxt_error *error)
{
    oxt_growth growth = growth_of(55.0, 588.7, 80e3);
    oxt_part part = OXT_PART_INIT;
    double exposure_nm2;
    return oxt_heat_lift_exposure(&growth, &part, given, 600.0, &exposure_nm2, NULL, error);
}

static oxt_status take_bath(const void *given, oxt_error *error)
{
    double true_K;
    return oxt_bath_read(given, 600.0, &true_K, NULL, error);
}

Test(limits, parts_lifts_and_baths)
{
    oxt_part part = OXT_PART_INIT;
    part.size_m = 0.004;
    static const range of_part[] = {
        RANGE(oxt_part, size_m, 0.0, 1.0),
        RANGE(oxt_part, start_K, 200.0, 600.0),
        ABOVE(oxt_part, transfer_W_per_m2K, 0.0, 1e6),
        RANGE(oxt_part, density_kg_per_m3, 1.0, 1e5),
        RANGE(oxt_part, heat_J_per_kgK, 0.0, 1e5),
        RANGE(oxt_part, conductivity_W_per_mK, 0.0, 1e4),
    };
    CHECK(take_part, part, of_part);
    const oxt_lift lift = OXT_LIFT_INIT;
    static const range of_lift[] = {
        RANGE(oxt_lift, delay_s, 0.0, 3600.0),
        RANGE(oxt_lift, air_K, 200.0, 400.0),
        RANGE(oxt_lift, convection_W_per_m2K, 0.0, 1000.0),
        RANGE(oxt_lift, emissivity, 0.0, 1.0),
    };
    CHECK(take_lift, lift, of_lift);
    const oxt_bath bath = OXT_BATH_INIT;
    static const range of_bath[] = {
        RANGE(oxt_bath, thermometer_offset_K, -50.0, 50.0),
        RANGE(oxt_bath, thermometer_sd_K, 0.0, 1000.0),
        RANGE(oxt_bath, wander_K, 0.0, 1000.0),
        RANGE(oxt_bath, salt_kg, 0.0, 1e6),
        RANGE(oxt_bath, heater_W, 0.0, 1e7),
    };
    CHECK(take_bath, bath, of_bath);
}

/* ---- predictions ---- */

static oxt_status take_dip(const void *given, oxt_error *error)
{
    oxt_dip dip = OXT_DIP_INIT;
    return oxt_dip_predict(steel, &blue, 600.0, given, &dip, error);
}

static oxt_status take_target(const void *given, oxt_error *error)
{
    oxt_dip dip = OXT_DIP_INIT;
    return oxt_dip_predict(steel, given, 600.0, NULL, &dip, error);
}

static oxt_status take_set(const void *given, oxt_error *error)
{
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    const oxt_plan_part *parts[] = { &part };
    oxt_plan *set;
    part.steel = steel;
    part.film = default_film();
    part.target = &blue;
    oxt_status status = oxt_plan_set(&set, parts, 1, 600.0, given, error);
    oxt_plan_free(set);
    return status;
}

static oxt_status take_range(const void *given, oxt_error *error)
{
    oxt_dip dip = OXT_DIP_INIT;
    return oxt_plan_baths(steel, &blue, given, NULL, &dip, NULL, NULL, error);
}

static oxt_status take_advice(const void *given, oxt_error *error)
{
    oxt_advise *advice;
    oxt_status status = oxt_advise_run(&advice, steel, default_film(), given, error);
    oxt_advise_free(advice);
    return status;
}

static oxt_status take_tracker(const void *given, oxt_error *error)
{
    oxt_track *tracker;
    oxt_status status = oxt_track_new(&tracker, steel, default_film(), &blue, given, error);
    oxt_track_free(tracker);
    return status;
}

static oxt_status take_temper(const void *given, oxt_error *error)
{
    oxt_temper temper = OXT_TEMPER_INIT;
    return oxt_temper_dip(600.0, 60.0, given, &temper, error);
}

Test(limits, predictions, .init = set_up, .fini = tear_down)
{
    oxt_part part = OXT_PART_INIT;
    oxt_bath bath = OXT_BATH_INIT;
    oxt_dip_options options = OXT_DIP_OPTIONS_INIT;
    part.size_m = 0.004;
    options.part = &part;
    options.salt_bath = &bath;
    static const range of_dip[] = {
        RANGE(oxt_dip_options, confidence, 0.5, 0.9999),
        RANGE(oxt_dip_options, bath_wander_K, 0.0, 1000.0),
        RANGE(oxt_dip_options, time_wander_s, 0.0, OXT_TIME_HIGH_S),
        RANGE(oxt_dip_options, load_kg, 0.0, 1e6),
    };
    CHECK(take_dip, options, of_dip);
    oxt_target target = OXT_TARGET_INIT;
    cr_assert(!oxt_tint_target_of_thickness(57.0, 50.0, 60.0, &target, NULL));
    static const range of_target[] = {
        RANGE(oxt_target, low_nm, 0.0, 57.0),
        RANGE(oxt_target, high_nm, 57.0, OXT_THICKNESS_HIGH_NM),
    };
    CHECK(take_target, target, of_target);
    oxt_plan_options set = OXT_PLAN_OPTIONS_INIT;
    set.draws = 100;
    static const range of_set[] = {
        RANGE(oxt_plan_options, spacing_s, 0.0, OXT_TIME_HIGH_S),
        ABOVE(oxt_plan_options, tolerance, 0.0, 1000.0),
        RANGE(oxt_plan_options, bath_wander_K, 0.0, 1000.0),
        RANGE(oxt_plan_options, time_wander_s, 0.0, OXT_TIME_HIGH_S),
    };
    CHECK(take_set, set, of_set);
    const oxt_bath_range baths = OXT_BATH_RANGE_INIT;
    static const range of_range[] = {
        RANGE(oxt_bath_range, low_K, OXT_BATH_LOW_K, 644.26),
        ABOVE(oxt_bath_range, longest_s, 0.0, OXT_TIME_HIGH_S),
    };
    CHECK(take_range, baths, of_range);
    const oxt_track_options tracker = OXT_TRACK_OPTIONS_INIT;
    static const range of_tracker[] = {
        RANGE(oxt_track_options, initial_nm, 0.0, OXT_THICKNESS_HIGH_NM),
        ABOVE(oxt_track_options, longest_gap_s, 0.0, OXT_TIME_HIGH_S),
    };
    CHECK(take_tracker, tracker, of_tracker);
    oxt_temper_options temper = OXT_TEMPER_OPTIONS_INIT;
    temper.last_K = 600.0;
    temper.last_s = 60.0;
    static const range of_temper[] = {
        RANGE(oxt_temper_options, constant, OXT_TEMPER_CONSTANT_LOW, OXT_TEMPER_CONSTANT_HIGH),
        RANGE(oxt_temper_options, last_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K),
        ABOVE(oxt_temper_options, last_s, 0.0, OXT_TIME_HIGH_S),
    };
    CHECK(take_temper, temper, of_temper);
}

Test(limits, advice, .init = set_up, .fini = tear_down)
{
    const oxt_advise_options advice = OXT_ADVISE_OPTIONS_INIT;
    static const range of_advice[] = {
        RANGE(oxt_advise_options, low_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K),
        RANGE(oxt_advise_options, high_K, 533.15, OXT_BATH_HIGH_K),
        ABOVE(oxt_advise_options, longest_s, 0.0, OXT_TIME_HIGH_S),
        ABOVE(oxt_advise_options, shortest_s, 0.0, 3600.0),
    };
    CHECK(take_advice, advice, of_advice);
}

/* ---- films and fits ---- */

static oxt_status take_film(const void *given, oxt_error *error)
{
    oxt_film *film;
    oxt_status status = oxt_film_new(&film, given, error);
    oxt_film_free(film);
    return status;
}

static oxt_status take_match(const void *given, oxt_error *error)
{
    oxt_match matches[8];
    size_t count;
    oxt_match_verdict verdict;
    for (int i = 0; i < 8; i++)
        matches[i] = (oxt_match)OXT_MATCH_INIT;
    return oxt_film_match(default_film(), (const double[]){ 30.0, 5.0, -40.0 }, given, 8, matches,
                          &count, &verdict, error);
}

static oxt_status take_fit(const void *given, oxt_error *error)
{
    oxt_fit *made;
    oxt_status status = oxt_fit_run(&made, coupons, default_film(), given, error);
    oxt_fit_free(made);
    return status;
}

static oxt_status take_prior(const void *given, oxt_error *error)
{
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    options.prior = given;
    return take_fit(&options, error);
}

static oxt_status take_pool(const void *given, oxt_error *error)
{
    oxt_pool *pool;
    oxt_status status = oxt_pool_run(&pool, coupons, default_film(), given, error);
    oxt_pool_free(pool);
    return status;
}

static oxt_status take_laws(const void *given, oxt_error *error)
{
    oxt_laws *laws;
    oxt_status status = oxt_laws_run(&laws, fit, given, error);
    oxt_laws_free(laws);
    return status;
}

static oxt_status take_drift(const void *given, oxt_error *error)
{
    oxt_drift drift = OXT_DRIFT_INIT;
    return oxt_drift_find(fit, given, &drift, error);
}

Test(limits, films)
{
    const oxt_film_options film = OXT_FILM_OPTIONS_INIT;
    static const range of_film[] = {
        RANGE(oxt_film_options, absorption_scale, 0.0, 5.0),
        RANGE(oxt_film_options, angle_deg, 0.0, 85.0),
        RANGE(oxt_film_options, thickness_spread, 0.0, 0.5),
        RANGE(oxt_film_options, angle_spread_deg, 0.0, 40.0),
        RANGE(oxt_film_options, coat_index, 1.0, 2.5),
    };
    CHECK(take_film, film, of_film);
    const oxt_match_options match = OXT_MATCH_OPTIONS_INIT;
    static const range of_match[] = {
        ABOVE(oxt_match_options, tolerance, 0.0, 100.0),
        ABOVE(oxt_match_options, reach, 0.0, 1000.0),
        RANGE(oxt_match_options, lightness_factor, 1.0, 1e12),
        RANGE(oxt_match_options, chroma_factor, 1.0, 1e12),
    };
    CHECK(take_match, match, of_match);
}

Test(limits, fits, .init = set_up, .fini = tear_down)
{
    const oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    static const range of_fit[] = {
        RANGE(oxt_fit_options, Q_J_per_mol, 0.0, 1e6),
        RANGE(oxt_fit_options, Q_stderr_J_per_mol, 0.0, 1e6),
        RANGE(oxt_fit_options, scatter, -1.0, 10.0),
        ABOVE(oxt_fit_options, thickness_uncertainty, 0.0, 1.0),
        ABOVE(oxt_fit_options, colour_tolerance, 0.0, 50.0),
        RANGE(oxt_fit_options, confidence, 0.5, 0.9999),
        RANGE(oxt_fit_options, bath_sd_K, 0.0, 100.0),
        RANGE(oxt_fit_options, time_sd_s, 0.0, OXT_TIME_HIGH_S),
    };
    CHECK(take_fit, options, of_fit);
    const oxt_prior prior = { sizeof prior, 588.7, log1p(54.0), 0.5, 80e3, 1e4 };
    static const range of_prior[] = {
        RANGE(oxt_prior, temperature_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K),
        RANGE(oxt_prior, ln_k, -100.0, 100.0),
        RANGE(oxt_prior, ln_k_stderr, 0.0, 100.0),
        ABOVE(oxt_prior, Q_J_per_mol, 0.0, 1e6),
        RANGE(oxt_prior, Q_stderr_J_per_mol, 0.0, 1e6),
    };
    CHECK(take_prior, prior, of_prior);
    oxt_pool_options pool = OXT_POOL_OPTIONS_INIT;
    static const range of_pool[] = {
        RANGE(oxt_pool_options, between_sd, -1.0, 10.0),
        RANGE(oxt_pool_options, between_Q_sd_J_per_mol, -1.0, 1e6),
        RANGE(oxt_pool_options, scatter, -1.0, 10.0),
        RANGE(oxt_pool_options, confidence, 0.5, 0.9999),
    };
    CHECK(take_pool, pool, of_pool);
    const oxt_laws_options laws = OXT_LAWS_OPTIONS_INIT;
    static const range of_laws[] = { RANGE(oxt_laws_options, confidence, 0.5, 0.9999) };
    CHECK(take_laws, laws, of_laws);
    const oxt_drift_options drift = OXT_DRIFT_OPTIONS_INIT;
    static const range of_drift[] = {
        RANGE(oxt_drift_options, false_alarm, 0.001, 0.1),
        RANGE(oxt_drift_options, confidence, 0.5, 0.9999),
    };
    CHECK(take_drift, drift, of_drift);
}

/* ---- what is read by its number ---- */

/* The last can be read, the next is refused with the range; where there is nothing, there is no range. */
#define READS(count, call)                                                                \
    do {                                                                                  \
        size_t count_ = (count), index = count_ - 1;                                      \
        if (count_ > 0)                                                                   \
            OK(call);                                                                     \
        for (index = count_; index < count_ + 2; index++) {                               \
            FAILS(call, OXT_EARG);                                                        \
            cr_assert_str_eq(error.parameter, "index");                                   \
            cr_assert(error.value == (double)index, #call);                               \
            cr_assert(count_ > 0 ? error.low == 0.0 && error.high == (double)count_ - 1.0 \
                                 : isnan(error.low) && isnan(error.high),                 \
                      #call " says %g to %g", error.low, error.high);                     \
        }                                                                                 \
    } while (0)

Test(limits, indices, .init = set_up, .fini = tear_down)
{
    oxt_error error = OXT_ERROR_INIT;
    oxt_fit_row row = OXT_FIT_ROW_INIT;
    oxt_trial trial = OXT_TRIAL_INIT;
    oxt_steel_change entry = OXT_STEEL_CHANGE_INIT;
    char text[600];
    READS(12, oxt_fit_get_row(fit, index, &row, &error));
    READS(fit_warning_count(fit), oxt_fit_warning(fit, index, text, sizeof text, NULL, &error));
    READS(12, oxt_trials_get(coupons, index, &trial, &error));
    READS(12, oxt_trials_text(coupons, "note", index, text, sizeof text, NULL, &error));
    READS(0, oxt_steel_history(steel, index, &entry, &error));

    oxt_pool *pool;
    oxt_pool_group group = OXT_POOL_GROUP_INIT;
    oxt_steel *one;
    OK(oxt_pool_run(&pool, coupons, default_film(), NULL, &error));
    READS(1, oxt_pool_get_group(pool, index, &group, &error));
    READS(pool_warning_count(pool), oxt_pool_warning(pool, index, text, sizeof text, NULL, &error));
    OK(oxt_pool_steel(pool, 0, &one, &error));
    oxt_steel_free(one);
    FAILS(oxt_pool_steel(pool, 1, &one, &error), OXT_EARG);
    oxt_pool_free(pool);

    oxt_advise *advice;
    oxt_advised_coupon coupon = OXT_ADVISED_COUPON_INIT;
    OK(oxt_advise_run(&advice, steel, default_film(), NULL, &error));
    READS(3, oxt_advise_get(advice, index, &coupon, &error));
    oxt_advise_free(advice);

    oxt_plan *set;
    oxt_plan_part part = OXT_PLAN_PART_INIT;
    const oxt_plan_part *parts[] = { &part, &part };
    oxt_plan_step step = OXT_PLAN_STEP_INIT;
    oxt_dip dip = OXT_DIP_INIT;
    part.steel = steel;
    part.film = default_film();
    part.target = &blue;
    OK(oxt_plan_set(&set, parts, 2, 600.0, NULL, &error));
    READS(2, oxt_plan_get_step(set, index, &step, &dip, &error));
    oxt_plan_free(set);
}
