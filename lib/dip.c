/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steel, target and bath -> time, window, intervals, chance, cautions; and back. */
#include <gsl/gsl_cdf.h>
#include <string.h>

#include "road.h"
#include "solve.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* Limits behind the cautions, K; their sources stand with oxt_caution_text. */
static const double TEMPERING_K = 423.15;    /* 150 C: where tempering begins; common practice */
static const double WORKING_LOW_K = 450.15;  /* 177 C, 350 F */
static const double WORKING_HIGH_K = 811.15; /* 538 C, 1000 F */
static const double WUSTITE_K = 843.15;      /* 570 C */
static const double LEGAL_HIGH_K = 922.15;   /* 649 C, 1200 F */
static const double SHORTEST_WINDOW_S = 3.0;

void oxt_dip_options_init(oxt_dip_options *options)
{
    if (options)
        *options = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
}

void oxt_dip_init(oxt_dip *dip)
{
    if (dip)
        *dip = (oxt_dip)OXT_DIP_INIT;
}

/* ---- checking ---- */

static oxt_status check_text(const char *text, size_t capacity, const char *name, oxt_error *error)
{
    if (memchr(text, '\0', capacity))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_EARG, name, "%s does not end within %zu bytes", name,
                           capacity);
}

oxt_status oxt_i_target_in(oxt_target *into, const oxt_target *target, oxt_error *error)
{
    oxt_target known = OXT_TARGET_INIT;
    if (!target)
        return oxt_i_null(error, "target");
    oxt_status status = oxt_i_struct_in(&known, target, sizeof known, sizeof known, "target",
                                        error);
    if (!status)
        status = oxt_i_check(error, "target.aim_nm", known.aim_nm, 0.0, OXT_THICKNESS_HIGH_NM,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "target.low_nm", known.low_nm, 0.0, known.aim_nm, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "target.high_nm", known.high_nm, known.aim_nm,
                             OXT_THICKNESS_HIGH_NM, OXT_I_CLOSED);
    if (!status)
        status = check_text(known.text, sizeof known.text, "target.text", error);
    if (!status)
        status = check_text(known.description, sizeof known.description, "target.description",
                            error);
    known.struct_size = sizeof known; /* the caller's may be larger */
    if (!status)
        *into = known;
    return status;
}

static oxt_status check_bath(double bath_K, oxt_error *error)
{
    const char *expected;
    if (oxt_i_field_holds(OXT_I_BATH, bath_K, &expected))
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, "bath_K", bath_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                      "bath_K is %g, expected %s", bath_K, expected);
}

static oxt_status check_options(const oxt_dip_options *options, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "confidence", options->confidence, 0.5, 0.9999,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "bath_wander_K", options->bath_wander_K, 0.0, 1000.0,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "time_wander_s", options->time_wander_s, 0.0, OXT_TIME_HIGH_S,
                             OXT_I_CLOSED);
    return status;
}

/* ---- what a dip is reckoned from ---- */

typedef struct {
    oxt_steel_values steel;
    oxt_dip_options options;
    oxt_target target;
    double initial_nm, initial_stderr_nm; /* film already there */
    oxt_i_road part, coupon;
    double needed_s; /* what the dip must be worth, for the aim and the ends of the window */
    double needed_low_s, needed_high_s;
} plan;

/* What a film on a coupon of the trials was worth. */
static oxt_status coupon_worth(const plan *of, double film_nm, double *worth_s, oxt_error *error)
{
    double time_s;
    oxt_status status = oxt_time_for_thickness(&of->steel.growth, film_nm, of->coupon.bath_K,
                                               &time_s, error);
    return status ? status : oxt_i_road_worth(&of->coupon, time_s, worth_s, error);
}

/* What must be added to the film already there; 0 when it is thicker. */
static oxt_status worth_needed(const plan *of, double film_nm, double *worth_s, oxt_error *error)
{
    double there_s = 0.0, wanted_s;
    oxt_status status = coupon_worth(of, film_nm, &wanted_s, error);
    if (!status && of->initial_nm > 0.0)
        status = coupon_worth(of, of->initial_nm, &there_s, error);
    *worth_s = fmax(wanted_s - there_s, 0.0);
    return status;
}

static oxt_status prepare_roads(plan *made, double bath_K, oxt_error *error)
{
    const oxt_growth *growth = &made->steel.growth;
    const oxt_dip_options *options = &made->options;
    const oxt_part *part = options->part ? options->part : options->coupon;
    const oxt_lift *lift = options->lift ? options->lift : options->coupon_lift;
    oxt_status status = oxt_i_road_prepare(&made->coupon, growth, options->coupon,
                                           options->coupon_lift, bath_K, error);
    if (!status)
        status = oxt_i_road_prepare(&made->part, growth, part, lift, bath_K, error);
    if (!status)
        status = worth_needed(made, made->target.aim_nm, &made->needed_s, error);
    if (!status)
        status = worth_needed(made, made->target.low_nm, &made->needed_low_s, error);
    return status ? status : worth_needed(made, made->target.high_nm, &made->needed_high_s, error);
}

/* ---- the numbers ---- */

/* By how much the logarithm of what a dip grows moves with what is uncertain. */
typedef struct {
    double per_Q; /* mol/J  relative to ln k at T_ref */
    double per_K; /* 1/K    of the bath */
    double per_s; /* 1/s    of the time of the lift */
} slopes;

/* ln of the exposure of a dip with another activation energy, bath or time; NaN when it fails. */
static double log_grown(const plan *of, double Q_J_per_mol, double bath_K, double time_s)
{
    oxt_growth growth = of->steel.growth;
    oxt_i_road road;
    double worth_s;
    growth.Q_J_per_mol = Q_J_per_mol;
    const oxt_part *part = of->options.part ? of->options.part : of->options.coupon;
    if (oxt_i_road_prepare(&road, &growth, part, &of->part.lift, bath_K, NULL) ||
        oxt_i_road_worth(&road, time_s, &worth_s, NULL))
        return NAN;
    return log(road.rate_nm2_per_s * worth_s);
}

/* A part that is hot at once moves as its rate does. While another warms up it feels the bath and the
 * clock less, which differences along its road tell. */
static oxt_status find_slopes(const plan *of, double time_s, slopes *found, oxt_error *error)
{
    double Q = of->steel.growth.Q_J_per_mol, bath_K = of->part.bath_K;
    const double dQ = 1.0 + 1e-4 * Q, ds = 1e-4 * time_s;
    /* hotter, so that no part is hotter than the bath, but where no bath is hotter */
    const double dK = bath_K < 900.0 ? 1e-3 : -1e-3;
    found->per_Q = -(1.0 / bath_K - 1.0 / of->steel.growth.T_ref_K) / R;
    found->per_K = Q / (R * bath_K * bath_K);
    found->per_s = 1.0 / of->needed_s;
    if (of->part.part.at_once || time_s == 0.0)
        return OXT_OK;
    double here = log_grown(of, Q, bath_K, time_s);
    found->per_K = (log_grown(of, Q, bath_K + dK, time_s) - here) / dK;
    found->per_s = (log_grown(of, Q, bath_K, time_s + ds) - here) / ds;
    /* Where the coupons are known, the constants hold for their road as they stand. */
    if (!of->options.coupon)
        found->per_Q = (log_grown(of, Q + dQ, bath_K, time_s) - here) / dQ;
    if (isfinite(found->per_K) && isfinite(found->per_s) && isfinite(found->per_Q))
        return OXT_OK;
    return oxt_i_fail_text(error, OXT_ENOCONV, "part", "the part's road could not be varied");
}

/* Variance of what the fit says of it. */
static double mean_variance(const plan *of, const slopes *by)
{
    const oxt_steel_values *steel = &of->steel;
    return fmax(steel->variance_ln_k + 2.0 * by->per_Q * steel->covariance_J_per_mol +
                    by->per_Q * by->per_Q * steel->variance_Q_J2_per_mol2,
                0.0);
}

/* Variance of one dip: scatter of the trials, which is that of ln x = 1/2 ln exposure, what wanders
 * beyond it, and how well the film already there is known. */
static double dip_variance(const plan *of, const slopes *by)
{
    double scatter = 2.0 * of->steel.scatter;
    double in_time = by->per_s * of->options.time_wander_s;
    double in_bath = by->per_K * of->options.bath_wander_K;
    double in_initial = 2.0 * of->initial_nm * of->initial_stderr_nm /
                        (of->part.rate_nm2_per_s * of->needed_s);
    return scatter * scatter + in_time * in_time + in_bath * in_bath + in_initial * in_initial;
}

/* Chance that the logarithm of what the dip is worth, spread about its aim with Student's t, falls
 * between the bounds. */
static double chance_between(const plan *of, double deviation)
{
    double dof = of->steel.dof;
    if (deviation == 0.0)
        return 1.0;
    double above = gsl_cdf_tdist_Q(log(of->needed_high_s / of->needed_s) / deviation, dof);
    double below = of->needed_low_s > 0.0
                       ? gsl_cdf_tdist_P(log(of->needed_low_s / of->needed_s) / deviation, dof)
                       : 0.0;
    return fmax(1.0 - above - below, 0.0);
}

/* Times at which a dip that is off by these factors reaches its aim. */
static oxt_status fill_interval(const plan *of, double variance, double *low_s, double *high_s,
                                oxt_error *error)
{
    double factor = exp(oxt_i_t_quantile(of->options.confidence, of->steel.dof) * sqrt(variance));
    oxt_status status = oxt_i_road_time(&of->part, of->needed_s / factor, low_s, error);
    return status ? status : oxt_i_road_time(&of->part, of->needed_s * factor, high_s, error);
}

static oxt_status fill_window(const plan *of, oxt_dip *dip, oxt_error *error)
{
    oxt_status status = oxt_i_road_time(&of->part, of->needed_s, &dip->time_s, error);
    if (!status)
        status = oxt_i_road_time(&of->part, of->needed_low_s, &dip->earliest_s, error);
    return status ? status : oxt_i_road_time(&of->part, of->needed_high_s, &dip->latest_s, error);
}

static oxt_status fill_intervals(const plan *of, oxt_dip *dip, oxt_error *error)
{
    slopes by;
    oxt_status status = find_slopes(of, dip->time_s, &by, error);
    if (status)
        return status;
    double of_mean = mean_variance(of, &by), of_next = of_mean + dip_variance(of, &by);
    status = fill_interval(of, of_mean, &dip->interval_low_s, &dip->interval_high_s, error);
    if (!status)
        status = fill_interval(of, of_next, &dip->next_low_s, &dip->next_high_s, error);
    if (!status)
        dip->chance = chance_between(of, sqrt(of_next));
    return status;
}

/* How the time comes about: heating up before, growth after the lift. */
static oxt_status fill_road(const plan *of, oxt_dip *dip, oxt_error *error)
{
    double lift_s, initial_nm = of->initial_nm, aim_nm = of->target.aim_nm;
    oxt_status status = oxt_i_road_lift_worth(&of->part, dip->time_s, &lift_s, error);
    if (!status)
        status = oxt_i_heating_lag(&of->steel.growth, &of->part.part, dip->time_s, &dip->lag_s,
                                   error);
    double share = fmin(lift_s / of->needed_s, 1.0);
    double grown_nm2 = aim_nm * aim_nm - initial_nm * initial_nm;
    dip->lift_growth_nm = aim_nm - sqrt(aim_nm * aim_nm - share * grown_nm2);
    return status;
}

/* The film already there is at the aim or past it: nothing is left to do. */
static void fill_done(const plan *of, oxt_dip *dip)
{
    double deviation = of->initial_stderr_nm, at_nm = of->initial_nm;
    dip->chance = 1.0;
    if (deviation > 0.0)
        dip->chance = gsl_cdf_ugaussian_P((of->target.high_nm - at_nm) / deviation) -
                      gsl_cdf_ugaussian_P((of->target.low_nm - at_nm) / deviation);
}

static uint32_t bath_cautions(double bath_K)
{
    uint32_t cautions = OXT_CAUTION_MOLTEN_SALT;
    if (bath_K >= TEMPERING_K)
        cautions |= OXT_CAUTION_SOFTENS;
    if (bath_K < WORKING_LOW_K)
        cautions |= OXT_CAUTION_BELOW_MELTING;
    if (bath_K > WORKING_HIGH_K)
        cautions |= OXT_CAUTION_ABOVE_WORKING;
    if (bath_K > LEGAL_HIGH_K)
        cautions |= OXT_CAUTION_ABOVE_LEGAL;
    if (bath_K > WUSTITE_K)
        cautions |= OXT_CAUTION_ABOVE_MODEL;
    return cautions;
}

static uint32_t all_cautions(const plan *of, const oxt_dip *dip)
{
    const oxt_target *target = &of->target;
    const oxt_steel_values *steel = &of->steel;
    uint32_t cautions = bath_cautions(dip->bath_K);
    if (!of->options.part || !of->options.lift)
        cautions |= OXT_CAUTION_AT_TEMPERATURE;
    bool untried = steel->trial_count == 0; /* every dip is outside of no trials */
    if (untried || dip->bath_K < steel->bath_low_K || dip->bath_K > steel->bath_high_K)
        cautions |= OXT_CAUTION_EXTRAPOLATED_BATH;
    if (untried || target->aim_nm < steel->thickness_low_nm ||
        target->aim_nm > steel->thickness_high_nm)
        cautions |= OXT_CAUTION_EXTRAPOLATED_FILM;
    if (isfinite(target->other_nm))
        cautions |= OXT_CAUTION_OTHER_ORDER;
    if (target->description[0] && steel->description[0] &&
        strcmp(target->description, steel->description) != 0)
        cautions |= OXT_CAUTION_OTHER_OPTICS;
    if (dip->latest_s - dip->earliest_s < SHORTEST_WINDOW_S)
        cautions |= OXT_CAUTION_SHORT_WINDOW;
    if (dip->interval_high_s - dip->interval_low_s > dip->latest_s - dip->earliest_s)
        cautions |= OXT_CAUTION_LOOSE_FIT;
    return cautions;
}

/* ---- predicting ---- */

static oxt_status take_initial(plan *made, oxt_error *error)
{
    oxt_target there = OXT_TARGET_INIT;
    made->initial_nm = made->initial_stderr_nm = 0.0;
    if (!made->options.initial)
        return OXT_OK;
    oxt_status status = oxt_i_target_in(&there, made->options.initial, error);
    if (status)
        return status;
    made->initial_nm = there.aim_nm;
    made->initial_stderr_nm = (there.high_nm - there.low_nm) / sqrt(12.0);
    if (there.aim_nm < made->target.high_nm)
        return OXT_OK;
    return oxt_i_fail(
        error, OXT_EUNREACHABLE, "initial", there.aim_nm, 0.0, made->target.high_nm,
        "the film is %.1f nm already, past %s (up to %.1f nm), and only grows: polish "
        "it off and start again",
        there.aim_nm, made->target.text, made->target.high_nm);
}

/* Everything but the bath. */
static oxt_status take(plan *made, const oxt_steel *steel, const oxt_target *target,
                       const oxt_dip_options *options, oxt_error *error)
{
    made->steel = (oxt_steel_values)OXT_STEEL_VALUES_INIT;
    made->options = (oxt_dip_options)OXT_DIP_OPTIONS_INIT;
    oxt_status status = oxt_steel_get(steel, &made->steel, error);
    /* outside this range the distribution of Student has no quantile that a double holds, and GSL
     * would call its error handler */
    if (!status)
        status = oxt_i_check(error, "dof", made->steel.dof, 1.0, 1e15, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_target_in(&made->target, target, error);
    if (!status && options)
        status = oxt_i_struct_in(&made->options, options, sizeof made->options,
                                 sizeof made->options, "options", error);
    if (!status)
        status = check_options(&made->options, error);
    return status ? status : take_initial(made, error);
}

/* A film that takes too long, found before the roads are walked. */
static oxt_status check_reach(const plan *of, oxt_error *error)
{
    if (of->needed_s <= OXT_TIME_HIGH_S)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", of->part.bath_K, NAN, NAN,
                      "%s would take %.3g s at %.1f C, longer than %g s: use a hotter bath",
                      of->target.text, of->needed_s, of->part.bath_K - 273.15, OXT_TIME_HIGH_S);
}

oxt_status oxt_dip_predict(const oxt_steel *steel, const oxt_target *target, double bath_K,
                           const oxt_dip_options *options, oxt_dip *dip, oxt_error *error)
{
    plan of;
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = take(&of, steel, target, options, error);
    if (!status)
        status = check_bath(bath_K, error);
    if (!status)
        status = prepare_roads(&of, bath_K, error);
    if (!status)
        status = check_reach(&of, error);
    if (status)
        return status;
    oxt_dip made = OXT_DIP_INIT;
    made.bath_K = bath_K;
    made.target = of.target;
    made.confidence = of.options.confidence;
    made.initial_nm = of.initial_nm;
    status = fill_window(&of, &made, error);
    if (of.needed_s == 0.0)
        fill_done(&of, &made);
    else if (!status)
        status = fill_intervals(&of, &made, error);
    if (!status && of.needed_s > 0.0)
        status = fill_road(&of, &made, error);
    if (status)
        return status;
    made.cautions = all_cautions(&of, &made);
    return oxt_i_struct_out(dip, &made, sizeof made, sizeof made, "dip", error);
}

/* ---- bath for a time ---- */

typedef struct {
    plan *of;
    double time_s;
} wanted_time;

static double time_left(double bath_K, void *context)
{
    const wanted_time *wanted = context;
    double time_s;
    if (prepare_roads(wanted->of, bath_K, NULL) ||
        oxt_i_road_time(&wanted->of->part, wanted->of->needed_s, &time_s, NULL))
        return NAN;
    return time_s - wanted->time_s;
}

/* No bath below this is hotter than what goes in. */
static double coldest_bath_K(const oxt_dip_options *options)
{
    double coldest_K = OXT_BATH_LOW_K;
    if (options->part)
        coldest_K = fmax(coldest_K, options->part->start_K);
    if (options->coupon)
        coldest_K = fmax(coldest_K, options->coupon->start_K);
    return coldest_K;
}

static oxt_status search_bath(plan *of, double time_s, double *bath_K, oxt_error *error)
{
    wanted_time wanted = { of, time_s };
    double low_K = coldest_bath_K(&of->options);
    oxt_status status = prepare_roads(of, OXT_BATH_HIGH_K,
                                      error); /* says what is wrong, if anything */
    if (status)
        return status;
    bool too_short = time_left(OXT_BATH_HIGH_K, &wanted) > 0.0;
    if (too_short || time_left(low_K, &wanted) < 0.0)
        return oxt_i_fail(error, OXT_EUNREACHABLE, "time_s", time_s, NAN, NAN,
                          "%s in %g s would take a bath %s, expected one from 100 C to 700 C",
                          of->target.text, time_s,
                          too_short ? "above 700 C" : "below 100 C, or colder than the part");
    return oxt_i_find_root(time_left, &wanted, low_K, OXT_BATH_HIGH_K, 1e-10, bath_K, error);
}

oxt_status oxt_dip_bath_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
                                 const oxt_dip_options *options, double *bath_K, oxt_error *error)
{
    plan of;
    double found_K;
    if (!bath_K)
        return oxt_i_null(error, "bath_K");
    oxt_status status = take(&of, steel, target, options, error);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_i_check(error, "Q_J_per_mol", of.steel.growth.Q_J_per_mol, 0.0, HUGE_VAL,
                             OXT_I_OPEN_LOW);
    if (!status)
        status = search_bath(&of, time_s, &found_K, error);
    if (!status)
        *bath_K = found_K;
    return status;
}

/* ---- the report ---- */

/* Two times of a span, each as read off a clock. */
static void add_span(oxt_i_text *text, const char *label, double low_s, double high_s)
{
    char low[40], high[40];
    oxt_format_duration(low_s, low, sizeof low, NULL, NULL);
    oxt_format_duration(high_s, high, sizeof high, NULL, NULL);
    oxt_i_text_add(text, "  %-36s %s to %s\n", label, low, high);
}

/* What the time was reckoned with. */
static void add_road(oxt_i_text *text, const oxt_dip *dip)
{
    char lag[40];
    oxt_format_duration(dip->lag_s, lag, sizeof lag, NULL, NULL);
    if (dip->initial_nm > 0.0)
        oxt_i_text_add(text, "  %-36s %.1f nm\n", "on top of a film of", dip->initial_nm);
    if (dip->lag_s > 0.0)
        oxt_i_text_add(text, "  %-36s %s\n", "of it lost to heating up", lag);
    if (dip->lift_growth_nm > 0.0)
        oxt_i_text_add(text, "  %-36s %.1f nm\n", "growth between lift and quench",
                       dip->lift_growth_nm);
}

static oxt_status check_report(const oxt_dip *dip, oxt_temperature_unit unit, oxt_error *error)
{
    oxt_dip known = OXT_DIP_INIT;
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = oxt_i_struct_in(&known, dip, sizeof known, sizeof known, "dip", error);
    if (!status)
        status = check_bath(known.bath_K, error);
    if (!status)
        status = oxt_i_target_in(&known.target, &known.target, error);
    if (!status)
        status = oxt_format_temperature(known.bath_K, unit, NULL, 0, NULL, error);
    const double times[] = { known.time_s,          known.earliest_s,
                             known.latest_s,        known.interval_low_s,
                             known.interval_high_s, known.next_low_s,
                             known.next_high_s,     known.lag_s };
    for (size_t i = 0; i < OXT_I_COUNT(times) && !status; i++)
        status = oxt_i_check(error, "dip", times[i], 0.0, 1e12, OXT_I_CLOSED);
    return status;
}

oxt_status oxt_dip_report(const oxt_dip *dip, oxt_temperature_unit unit, char *buffer,
                          size_t capacity, size_t *needed, oxt_error *error)
{
    oxt_status status = check_report(dip, unit, error);
    if (status)
        return status;
    static const char chance[] = "chance that the next dip comes out";
    char bath[32], aim[40], label[64];
    oxt_format_temperature(dip->bath_K, unit, bath, sizeof bath, NULL, NULL);
    oxt_format_duration(dip->time_s, aim, sizeof aim, NULL, NULL);
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s (%.1f to %.1f nm, aim %.1f nm) in a bath at %s\n", dip->target.text,
                   dip->target.low_nm, dip->target.high_nm, dip->target.aim_nm, bath);
    oxt_i_text_add(&text, "  %-36s %s\n", "lift after", aim);
    add_road(&text, dip);
    add_span(&text, "the colour shows from", dip->earliest_s, dip->latest_s);
    oxt_i_snprintf(label, sizeof label, "%g %% interval of the mean time", 100.0 * dip->confidence);
    add_span(&text, label, dip->interval_low_s, dip->interval_high_s);
    oxt_i_snprintf(label, sizeof label, "%g %% interval for the next dip", 100.0 * dip->confidence);
    add_span(&text, label, dip->next_low_s, dip->next_high_s);
    if (dip->chance > 0.995)
        oxt_i_text_add(&text, "  %-36s over 99 %%\n", chance);
    else
        oxt_i_text_add(&text, "  %-36s %.0f %%\n", chance, 100.0 * dip->chance);
    oxt_i_text_add(&text, "Cautions\n");
    for (uint32_t bit = 1; bit != 0; bit <<= 1)
        if (dip->cautions & bit)
            oxt_i_text_add_item(&text, oxt_caution_text(bit));
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
