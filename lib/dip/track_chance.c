/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip as it happens: how sure the film is, and what that is worth. */
#include "base/quadrature.h"
#include "growth/law.h"
#include "dip/dip.h"
#include "dip/track.h"

static const double USUAL_CONFIDENCE = 0.95;

oxt_status oxt_i_track_take_doubt(oxt_i_track_doubt *made, const oxt_steel_values *steel,
                                  const oxt_target *target, const oxt_track_options *options,
                                  const oxt_bath *bath, double bath_K, oxt_error *error)
{
    double confidence = options->confidence == 0.0 ? USUAL_CONFIDENCE : options->confidence;
    oxt_status status = oxt_i_check(error, "confidence", confidence, 0.5, 0.9999, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "time_wander_s", options->time_wander_s, 0.0, OXT_TIME_HIGH_S,
                             OXT_I_CLOSED);
    if (status)
        return status;
    made->variance_ln_k = steel->variance_ln_k;
    made->covariance_J_per_mol = steel->covariance_J_per_mol;
    made->variance_Q_J2_per_mol2 = steel->variance_Q_J2_per_mol2;
    made->scatter = hypot(steel->scatter, steel->day_sd);
    made->dof = steel->dof;
    made->ln_shape_stderr = steel->ln_shape_stderr;
    made->initial_stderr_nm2 = steel->initial_stderr_nm2;
    made->scatter_dof = steel->scatter_dof > 0.0 ? steel->scatter_dof : steel->dof;
    /* Where the coupons are known, the constants hold for their thermal path as they stand. */
    made->per_Q = options->coupon
                      ? -(1.0 / bath_K - 1.0 / steel->growth.T_ref_K) / OXT_GAS_CONSTANT_J_PER_MOL_K
                      : NAN;
    made->confidence = confidence;
    made->time_wander_s = options->time_wander_s;
    made->thermometer_sd_K = bath->thermometer_sd_K;
    made->is_tried = steel->trial_count > 0;
    made->bath_low_K = steel->bath_low_K;
    made->bath_high_K = steel->bath_high_K;
    made->cautions = oxt_i_target_cautions(target, steel);
    return OXT_OK;
}

/* ---- one lift ---- */

/* A lift that gives an exposure, while the film grows at a temperature. */
typedef struct {
    double exposure_nm2;
    double inverse_nm2_per_K; /* integral of the rate times 1/T - 1/T_ref */
    double temperature_K;
} lift;

enum { LOW, AIM, HIGH }; /* of a target */

/* Variances of ln exposure: of the fit, and of the next dip besides. */
typedef struct {
    double fit, dip;
} variances;

static variances variances_of(const oxt_track *tracker, const lift *of)
{
    const oxt_i_track_doubt *doubt = &tracker->doubt;
    const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
    const oxt_steel_values steel = { .growth = tracker->growth,
                                     .initial_stderr_nm2 = doubt->initial_stderr_nm2 };
    double per_Q = isnan(doubt->per_Q) ? -of->inverse_nm2_per_K / (R * of->exposure_nm2)
                                       : doubt->per_Q;
    double T = of->temperature_K;
    /* a film that is still too thin has all the way to the target to go: its logarithm alone would make little of it */
    double slope, own_nm2 = oxt_i_track_own(tracker, of->exposure_nm2, &slope);
    double per_s = slope * oxt_i_track_rate(tracker, T) / fmax(own_nm2, tracker->own_nm2[LOW]);
    double in_time = per_s * doubt->time_wander_s, scatter = 2.0 * doubt->scatter;
    double in_bath = tracker->growth.Q_J_per_mol / (R * T * T) * doubt->thermometer_sd_K;
    double fit = doubt->variance_ln_k + per_Q * (2.0 * doubt->covariance_J_per_mol +
                                                 per_Q * doubt->variance_Q_J2_per_mol2);
    double in_shape = oxt_i_dip_by_shape(&tracker->growth, tracker->target.aim_nm,
                                         tracker->initial_nm) *
                      doubt->ln_shape_stderr;
    double in_initial = oxt_i_dip_by_initial(&steel, tracker->target.aim_nm, tracker->initial_nm);
    fit = fmax(fit, 0.0) + in_shape * in_shape + in_initial * in_initial;
    return (variances){ fit, scatter * scatter + in_time * in_time + in_bath * in_bath };
}

static double next_dof(const oxt_i_track_doubt *doubt, const variances *found)
{
    double scatter = 4.0 * doubt->scatter * doubt->scatter;
    return oxt_i_combined_dof(found->fit, doubt->dof, scatter, doubt->scatter_dof,
                              found->dip - scatter);
}

static double chance_of(const oxt_track *tracker, const lift *of)
{
    double slope, own_nm2 = oxt_i_track_own(tracker, of->exposure_nm2, &slope);
    double low_nm2 = tracker->own_nm2[LOW], high_nm2 = tracker->own_nm2[HIGH];
    if (of->exposure_nm2 <= 0.0) /* nothing has grown: the film is what it was */
        return low_nm2 <= 0.0 && high_nm2 >= 0.0 ? 1.0 : 0.0;
    if (high_nm2 <= 0.0)
        return 0.0;
    variances found = variances_of(tracker, of);
    return oxt_i_t_chance(low_nm2 / own_nm2, high_nm2 / own_nm2, sqrt(found.fit + found.dip),
                          next_dof(&tracker->doubt, &found));
}

/* ---- the state ---- */

/* A lift now, and one at the aim; growth on the way to the quench is at the temperature of the lift. */
static lift lift_now(const oxt_track *tracker)
{
    double exposure_nm2 = tracker->exposure_nm2 + oxt_i_track_lift_exposure(tracker);
    double inverse = oxt_i_track_inverse(tracker, tracker->surface_K);
    return (lift){ exposure_nm2,
                   tracker->inverse_nm2_per_K + (exposure_nm2 - tracker->exposure_nm2) * inverse,
                   tracker->surface_K };
}

/* Until then the bath stays as it is. */
static lift lift_at_aim(const oxt_track *tracker, double to_lift_s)
{
    const oxt_i_gauss *rule = &oxt_i_gauss_8;
    double aim_nm2 = tracker->wanted_nm2[AIM];
    double sum_nm2 = tracker->exposure_nm2, inverse_nm2_per_K = tracker->inverse_nm2_per_K;
    double wait_s = fmin(to_lift_s, OXT_TIME_HIGH_S);
    for (size_t i = 0; i < rule->count; i++) {
        double at_s, weight_s;
        oxt_i_gauss_point(rule, 0.0, wait_s, i, &at_s, &weight_s);
        double surface_K = oxt_i_track_surface_after(tracker, at_s);
        double grown_nm2 = weight_s * oxt_i_track_rate(tracker, surface_K);
        sum_nm2 += grown_nm2;
        inverse_nm2_per_K += grown_nm2 * oxt_i_track_inverse(tracker, surface_K);
    }
    /* the rest grows on the way to the quench, or is the error of the rule */
    double end_K = oxt_i_track_surface_after(tracker, wait_s);
    inverse_nm2_per_K += (aim_nm2 - sum_nm2) * oxt_i_track_inverse(tracker, end_K);
    return (lift){ aim_nm2, inverse_nm2_per_K, end_K };
}

static void fill_limits(const oxt_track *tracker, const lift *best, oxt_track_state *made)
{
    variances found = variances_of(tracker, best);
    const oxt_i_track_doubt *doubt = &tracker->doubt;
    double next_t = oxt_i_t_quantile(doubt->confidence, next_dof(doubt, &found));
    double factor = exp(next_t * sqrt(found.fit + found.dip));
    double fit_factor = exp(oxt_i_t_quantile(doubt->confidence, doubt->dof) * sqrt(found.fit));
    const double aim_nm2 = tracker->own_nm2[AIM];
    const double wanted_nm2[] = { oxt_i_track_wanted(tracker, aim_nm2 / factor), best->exposure_nm2,
                                  oxt_i_track_wanted(tracker, aim_nm2 * factor) };
    double time_s[3];
    oxt_i_track_forecast(tracker, wanted_nm2, time_s);
    made->to_lift_low_s = time_s[0];
    made->to_lift_high_s = time_s[2];
    double window_nm2 = tracker->own_nm2[HIGH] - fmax(tracker->own_nm2[LOW], 0.0);
    if (aim_nm2 * (fit_factor - 1.0 / fit_factor) > window_nm2)
        made->cautions |= OXT_CAUTION_LOOSE_FIT;
}

static uint32_t bath_cautions(const oxt_track *tracker)
{
    const oxt_i_track_doubt *doubt = &tracker->doubt;
    /* a part that is still cold has not the temperature of its bath */
    double bath_K = oxt_i_track_bath_K(tracker);
    bool is_colder = tracker->has_part && bath_K < doubt->bath_low_K;
    bool is_outside = !doubt->is_tried || is_colder || bath_K > doubt->bath_high_K;
    return is_outside ? OXT_CAUTION_EXTRAPOLATED_BATH : 0;
}

void oxt_i_track_fill_doubt(const oxt_track *tracker, oxt_track_state *made)
{
    made->cautions |= tracker->doubt.cautions | bath_cautions(tracker);
    made->chance_now = made->chance = NAN;
    made->to_lift_low_s = made->to_lift_high_s = made->to_lift_s;
    if (tracker->sample_count == 0)
        return;
    lift now = lift_now(tracker), best = lift_at_aim(tracker, made->to_lift_s);
    made->chance_now = chance_of(tracker, &now);
    made->chance = best.exposure_nm2 > now.exposure_nm2 ? chance_of(tracker, &best)
                                                        : made->chance_now;
    if (best.exposure_nm2 > 0.0)
        fill_limits(tracker, &best, made);
}
