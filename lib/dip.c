/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Steel, target and bath -> time, window, intervals, chance, cautions; and back. */
#include <gsl/gsl_cdf.h>
#include <string.h>

#include "bath.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

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

static oxt_status check_target(const oxt_target *target, oxt_error *error)
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

/* ---- the numbers ---- */

/* Variance of ln k at a temperature, from the fit. */
static double rate_variance(const oxt_steel_values *steel, double bath_K)
{
    double slope = -(1.0 / bath_K - 1.0 / steel->growth.T_ref_K) / R; /* d ln k / dQ */
    return fmax(steel->variance_ln_k + 2.0 * slope * steel->covariance_J_per_mol +
                    slope * slope * steel->variance_Q_J2_per_mol2,
                0.0);
}

/* Variance of ln x of one dip about the mean: scatter of the trials, and what wanders beyond it. */
static double dip_variance(const oxt_steel_values *steel, const oxt_dip *dip,
                           const oxt_dip_options *options)
{
    double in_time = 0.5 * options->time_wander_s / dip->time_s;
    double in_bath = 0.5 * steel->growth.Q_J_per_mol / (R * dip->bath_K * dip->bath_K) *
                     options->bath_wander_K;
    return steel->scatter * steel->scatter + in_time * in_time + in_bath * in_bath;
}

/* Chance that ln x, spread about ln aim with Student's t, falls between the bounds. */
static double chance_between(const oxt_target *target, double deviation, double dof)
{
    if (deviation == 0.0)
        return 1.0;
    double above = gsl_cdf_tdist_Q(log(target->high_nm / target->aim_nm) / deviation, dof);
    double below = target->low_nm > 0.0
                       ? gsl_cdf_tdist_P(log(target->low_nm / target->aim_nm) / deviation, dof)
                       : 0.0;
    return fmax(1.0 - above - below, 0.0);
}

static void fill_intervals(const oxt_steel_values *steel, const oxt_dip_options *options,
                           oxt_dip *dip)
{
    double t = oxt_i_t_quantile(options->confidence, steel->dof);
    double of_mean = rate_variance(steel, dip->bath_K); /* of ln t at a given thickness */
    double of_next = of_mean + 4.0 * dip_variance(steel, dip, options);
    dip->confidence = options->confidence;
    dip->interval_low_s = dip->time_s * exp(-t * sqrt(of_mean));
    dip->interval_high_s = dip->time_s * exp(t * sqrt(of_mean));
    dip->next_low_s = dip->time_s * exp(-t * sqrt(of_next));
    dip->next_high_s = dip->time_s * exp(t * sqrt(of_next));
    dip->chance = chance_between(&dip->target, 0.5 * sqrt(of_next), steel->dof);
}

static uint32_t all_cautions(const oxt_steel_values *steel, const oxt_dip *dip)
{
    const oxt_target *target = &dip->target;
    uint32_t cautions = oxt_i_salt_cautions(OXT_SALT_UNSTATED, dip->bath_K) |
                        OXT_CAUTION_AT_TEMPERATURE;
    if (dip->bath_K < steel->bath_low_K || dip->bath_K > steel->bath_high_K)
        cautions |= OXT_CAUTION_EXTRAPOLATED_BATH;
    if (target->aim_nm < steel->thickness_low_nm || target->aim_nm > steel->thickness_high_nm)
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

static oxt_status fill_times(const oxt_steel_values *steel, oxt_dip *dip, oxt_error *error)
{
    const oxt_target *target = &dip->target;
    oxt_status status = oxt_time_for_thickness(&steel->growth, target->aim_nm, dip->bath_K,
                                               &dip->time_s, error);
    if (!status && dip->time_s > OXT_TIME_HIGH_S)
        status = oxt_i_fail(error, OXT_EUNREACHABLE, "bath_K", dip->bath_K, NAN, NAN,
                            "%s would take %.3g s at %.1f C, longer than %g s: use a hotter bath",
                            target->text, dip->time_s, dip->bath_K - 273.15, OXT_TIME_HIGH_S);
    if (!status)
        status = oxt_time_for_thickness(&steel->growth, target->low_nm, dip->bath_K,
                                        &dip->earliest_s, error);
    if (!status)
        status = oxt_time_for_thickness(&steel->growth, target->high_nm, dip->bath_K,
                                        &dip->latest_s, error);
    return status;
}

oxt_status oxt_dip_predict(const oxt_steel *steel, const oxt_target *target, double bath_K,
                           const oxt_dip_options *options, oxt_dip *dip, oxt_error *error)
{
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    oxt_dip_options chosen = OXT_DIP_OPTIONS_INIT;
    oxt_status status = oxt_steel_get(steel, &values, error);
    /* outside this range the distribution of Student has no quantile that a double holds, and GSL
     * would call its error handler */
    if (!status)
        status = oxt_i_check(error, "dof", values.dof, 1.0, 1e15, OXT_I_CLOSED);
    if (!status)
        status = check_target(target, error);
    if (!status)
        status = check_bath(bath_K, error);
    if (!status && options)
        status = oxt_i_struct_in(&chosen, options, sizeof chosen, sizeof chosen, "options", error);
    if (!status)
        status = check_options(&chosen, error);
    if (status)
        return status;
    oxt_dip made = OXT_DIP_INIT;
    made.bath_K = bath_K;
    made.target = *target;
    made.target.struct_size = sizeof made.target; /* the caller's may be larger */
    status = fill_times(&values, &made, error);
    if (status)
        return status;
    fill_intervals(&values, &chosen, &made);
    made.cautions = all_cautions(&values, &made);
    return oxt_i_struct_out(dip, &made, sizeof made, sizeof made, "dip", error);
}

oxt_status oxt_dip_bath_for_time(const oxt_steel *steel, const oxt_target *target, double time_s,
                                 double *bath_K, oxt_error *error)
{
    if (!bath_K)
        return oxt_i_null(error, "bath_K");
    oxt_steel_values values = OXT_STEEL_VALUES_INIT;
    double found_K;
    oxt_status status = oxt_steel_get(steel, &values, error);
    if (!status)
        status = check_target(target, error);
    if (!status)
        status = oxt_i_check(error, "time_s", time_s, 0.0, OXT_TIME_HIGH_S, OXT_I_OPEN_LOW);
    if (!status)
        status = oxt_temperature_for_thickness(&values.growth, target->aim_nm, time_s, &found_K,
                                               error);
    if (status)
        return status;
    if (check_bath(found_K, NULL))
        return oxt_i_fail(
            error, OXT_EUNREACHABLE, "time_s", time_s, NAN, NAN,
            "%s in %g s would take a bath at %.0f C, expected one from 100 C to 700 C",
            target->text, time_s, found_K - 273.15);
    *bath_K = found_K;
    return OXT_OK;
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

static oxt_status check_report(const oxt_dip *dip, oxt_temperature_unit unit, oxt_error *error)
{
    oxt_dip known = OXT_DIP_INIT;
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = oxt_i_struct_in(&known, dip, sizeof known, sizeof known, "dip", error);
    if (!status)
        status = check_bath(known.bath_K, error);
    if (!status)
        status = check_target(&known.target, error);
    if (!status)
        status = oxt_format_temperature(known.bath_K, unit, NULL, 0, NULL, error);
    const double times[] = { known.time_s,         known.earliest_s,      known.latest_s,
                             known.interval_low_s, known.interval_high_s, known.next_low_s,
                             known.next_high_s };
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
