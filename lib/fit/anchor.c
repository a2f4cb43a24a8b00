/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A card brought up to date: Bayes' rule through the core of the fit. */
#include <string.h>

#include "oxtint/anchor.h"
#include "oxtint/fit.h"
#include "oxtint/version.h"
#include "optics/words.h"
#include "thermal/heat.h"
#include "trials/trials.h"
#include "steel/steel.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;
/* A prior without an error would count as none; this one is effectively exact. */
static const double LEAST_STDERR = 1e-9;

/* ---- the coupons as the card has them ---- */

/* Where the card's own coupons have theirs inside the constants, nobody knows what another part differs from. */
static oxt_status check_unstated(const oxt_trial *trial, size_t index, const oxt_steel_values *card,
                                 oxt_error *error)
{
    oxt_part part;
    oxt_lift lift;
    char path[96];
    bool is_line = trial->line > 0;
    if (!oxt_i_trial_path(trial, &part, &lift) || strcmp(trial->steel, card->steel) != 0 ||
        (card->finish[0] && strcmp(trial->finish, card->finish) != 0))
        return OXT_OK;
    oxt_i_path_text(&part, &lift, path, sizeof path);
    oxt_status status = oxt_i_fail_text(
        error, OXT_EARG, trial->part_size_m > 0.0 ? "part_size_m" : "lift_s",
        "%s %zu states how it was run (%s), and the constants of %s include how its coupons were run, "
        "which the card does not state: if it was run like them, leave part and lift out; if not, "
        "run a coupon like them, or fit all coupons anew with their parts and lifts stated",
        is_line ? "line" : "trial", is_line ? trial->line : index + 1, path, card->steel);
    oxt_i_locate(error, trial->line, NULL);
    return status;
}

/* The log as one of the card's kind. The first coupons of a card determine its kind, and stay as they are. */
static oxt_status read_as_card(oxt_trials **made, const oxt_trials *trials,
                               const oxt_steel_values *card, oxt_error *error)
{
    oxt_status status = oxt_trials_new(made, NULL, error);
    for (size_t i = 0; i < oxt_trials_count(trials) && !status; i++) {
        oxt_trial trial = oxt_i_trial(trials, i);
        if (card->basis == OXT_BASIS_STEEL)
            oxt_i_fill_coupon(&trial, card);
        else if (card->trial_count > 0)
            status = check_unstated(&trial, i, card, error);
        if (!status)
            status = oxt_i_trials_append(*made, &trial, "", error);
    }
    return status;
}

/* ---- from the card to the coupons ---- */

/* The card as a prior of ln k alone, at the temperature where it has nothing to do with Q: there a Q that
 * is held takes nothing from it. */
static oxt_status prior_of(oxt_prior *prior, const oxt_steel_values *card, double shift_stderr,
                           oxt_error *error)
{
    double across = card->covariance_J_per_mol, of_Q = card->variance_Q_J2_per_mol2;
    double by_Q = of_Q > 0.0 ? across / of_Q : 0.0;
    double inverse_K = 1.0 / card->growth.T_ref_K + R * by_Q;
    double own = fmax(card->variance_ln_k - by_Q * across, 0.0);
    prior->temperature_K = 1.0 / inverse_K;
    prior->ln_k = log(card->growth.k_ref_nm2_per_s) - card->growth.Q_J_per_mol * by_Q;
    prior->ln_k_stderr = fmax(sqrt(own + shift_stderr * shift_stderr), LEAST_STDERR);
    if (prior->temperature_K >= OXT_BATH_LOW_K && prior->temperature_K <= OXT_BATH_HIGH_K)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, "covariance_J_per_mol", across, NAN, NAN,
                      "k_ref and Q of the card are so correlated that they have nothing to do with "
                      "each other at %s only, expected a bath from %s to %s",
                      oxt_i_mark(prior->temperature_K, NULL).text,
                      oxt_i_mark(OXT_BATH_LOW_K, NULL).text,
                      oxt_i_mark(OXT_BATH_HIGH_K, NULL).text);
}

/* `shift`: of ln k from the card to the coupons. */
static oxt_status fit_coupons(oxt_steel_values *found, double *shift, const oxt_steel_values *card,
                              const oxt_trials *trials, const oxt_film *film,
                              const oxt_anchor_options *chosen, oxt_error *error)
{
    oxt_prior prior = OXT_PRIOR_INIT;
    oxt_fit_options options = OXT_FIT_OPTIONS_INIT;
    oxt_fit *fit = NULL;
    oxt_steel *steel = NULL;
    options.steel = card->steel;
    options.finish = card->finish[0] ? card->finish : NULL;
    options.Q_J_per_mol = card->growth.Q_J_per_mol;
    options.Q_stderr_J_per_mol = sqrt(card->variance_Q_J2_per_mol2);
    options.scatter = card->scatter;
    options.thickness_uncertainty = chosen->thickness_uncertainty;
    options.colour_tolerance = chosen->colour_tolerance;
    options.prior = &prior;
    options.law = card->growth.law;
    options.law_shape = card->growth.shape;
    options.law_middle_nm = card->growth.middle_nm;
    oxt_status status = prior_of(&prior, card, chosen->shift_stderr, error);
    if (!status)
        status = oxt_fit_run(&fit, trials, film, &options, error);
    if (!status)
        status = oxt_fit_steel(fit, &steel, error);
    if (!status)
        status = oxt_steel_get(steel, found, error);
    if (!status) {
        const oxt_growth *growth = &found->growth;
        double inverse_K = 1.0 / prior.temperature_K - 1.0 / growth->T_ref_K;
        *shift = log(growth->k_ref_nm2_per_s) - growth->Q_J_per_mol / R * inverse_K - prior.ln_k;
    }
    oxt_steel_free(steel);
    oxt_fit_free(fit);
    return status;
}

/* A shift is normal to one standard deviation, and beyond that falls off as one over itself: what lies farther counts
 * as wide as it is, until the coupons move it no more. */
static oxt_status fit_shifted(oxt_steel_values *found, double *shift, const oxt_steel_values *card,
                              const oxt_trials *trials, const oxt_film *film,
                              const oxt_anchor_options *chosen, oxt_error *error)
{
    enum { ROUNDS = 100 };
    static const double CLOSE_ENOUGH = 1e-8;
    oxt_anchor_options wide = *chosen;
    oxt_status status = fit_coupons(found, shift, card, trials, film, &wide, error);
    for (int i = 0; i < ROUNDS && !status && chosen->shift_stderr > 0.0; i++) {
        double before = wide.shift_stderr;
        wide.shift_stderr = fmax(chosen->shift_stderr, fabs(*shift));
        if (fabs(wide.shift_stderr - before) <= CLOSE_ENOUGH)
            break;
        status = fit_coupons(found, shift, card, trials, film, &wide, error);
    }
    return status;
}

/* ---- from the coupons to the card ---- */

/* k_ref by the coupons, moved to the T_ref of the card. */
static void take_rate(oxt_steel_values *renewed, const oxt_steel_values *found)
{
    double by_Q = (1.0 / renewed->growth.T_ref_K - 1.0 / found->growth.T_ref_K) / R;
    double across = found->covariance_J_per_mol, of_Q = renewed->variance_Q_J2_per_mol2;
    renewed->growth.k_ref_nm2_per_s = found->growth.k_ref_nm2_per_s *
                                      exp(-renewed->growth.Q_J_per_mol * by_Q);
    renewed->variance_ln_k = found->variance_ln_k - 2.0 * by_Q * across + by_Q * by_Q * of_Q;
    renewed->covariance_J_per_mol = across - by_Q * of_Q;
}

/* The ranges of a card without trials are not of coupons. */
static void take_ranges(oxt_steel_values *renewed, const oxt_steel_values *found)
{
    bool first = renewed->trial_count == 0;
    renewed->bath_low_K = first ? found->bath_low_K : fmin(renewed->bath_low_K, found->bath_low_K);
    renewed->bath_high_K = first ? found->bath_high_K
                                 : fmax(renewed->bath_high_K, found->bath_high_K);
    renewed->thickness_low_nm = first ? found->thickness_low_nm
                                      : fmin(renewed->thickness_low_nm, found->thickness_low_nm);
    renewed->thickness_high_nm = first ? found->thickness_high_nm
                                       : fmax(renewed->thickness_high_nm, found->thickness_high_nm);
    renewed->trial_count += found->trial_count;
}

static void take_coupons(oxt_steel_values *renewed, const oxt_steel_values *found, bool first)
{
    if (first) {
        renewed->basis = found->basis;
        renewed->coupon_shape = found->coupon_shape;
        renewed->coupon_size_m = found->coupon_size_m;
        renewed->coupon_start_K = found->coupon_start_K;
        renewed->coupon_transfer_W_per_m2K = found->coupon_transfer_W_per_m2K;
        renewed->coupon_lift_s = found->coupon_lift_s;
        renewed->coupon_size_low_m = found->coupon_size_low_m;
        renewed->coupon_size_high_m = found->coupon_size_high_m;
        renewed->coupon_lift_low_s = found->coupon_lift_low_s;
        renewed->coupon_lift_high_s = found->coupon_lift_high_s;
    } else if (renewed->basis == OXT_BASIS_STEEL && found->basis == OXT_BASIS_STEEL) {
        renewed->coupon_size_low_m = fmin(renewed->coupon_size_low_m, found->coupon_size_low_m);
        renewed->coupon_size_high_m = fmax(renewed->coupon_size_high_m, found->coupon_size_high_m);
        renewed->coupon_lift_low_s = fmin(renewed->coupon_lift_low_s, found->coupon_lift_low_s);
        renewed->coupon_lift_high_s = fmax(renewed->coupon_lift_high_s, found->coupon_lift_high_s);
    }
}

static void describe(oxt_steel_change *entry, const oxt_steel_values *before,
                     const oxt_steel_values *after, size_t count, oxt_temperature_unit unit)
{
    static const char *const words[] = { "faster than", "fast as", "slower than", "slow as" };
    double ratio = after->growth.k_ref_nm2_per_s / before->growth.k_ref_nm2_per_s;
    entry->k_ref_before_nm2_per_s = before->growth.k_ref_nm2_per_s;
    entry->k_ref_after_nm2_per_s = after->growth.k_ref_nm2_per_s;
    entry->trial_count = count;
    oxt_i_copy_text(entry->origin, sizeof entry->origin, before->origin);
    oxt_i_snprintf(entry->what, sizeof entry->what,
                   "%zu coupon%s: film grows %s by the card; k_ref %.4g -> %.4g nm^2/s at %s",
                   count, count == 1 ? "" : "s", oxt_i_show_change(ratio, 1, words).text,
                   entry->k_ref_before_nm2_per_s, entry->k_ref_after_nm2_per_s,
                   oxt_i_show_temperature(before->growth.T_ref_K, unit).text);
}

/* One shift in twenty as wide as was assumed. */
static void warn_far(oxt_steel_change *entry, double shift, double shift_stderr)
{
    static const double FAR = 1.96;
    size_t length = strlen(entry->what);
    if (shift_stderr > 0.0 && fabs(shift) > FAR * shift_stderr)
        oxt_i_snprintf(entry->what + length, sizeof entry->what - length,
                       "; beyond the shift assumed: check with another coupon");
}

/* ---- the call ---- */

static oxt_status check_options(const oxt_anchor_options *options, oxt_steel_change *entry,
                                oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "shift_stderr", options->shift_stderr, 0.0, 10.0,
                                    OXT_I_CLOSED);
    if (status || !options->label)
        return status;
    return oxt_i_take_text(entry->label, sizeof entry->label, options->label, "label", error);
}

static oxt_status check_card(const oxt_steel_values *card, oxt_error *error)
{
    return oxt_i_check(error, "Q_J_per_mol", card->growth.Q_J_per_mol, 0.0, HUGE_VAL,
                       OXT_I_OPEN_LOW);
}

oxt_status oxt_anchor_steel(oxt_steel **renewed, const oxt_steel *steel, const oxt_trials *trials,
                            const oxt_film *film, const oxt_anchor_options *options,
                            oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (renewed)
        *renewed = NULL;
    if (!renewed || !steel || !trials || !film)
        return oxt_i_null(error, !renewed  ? "renewed"
                                 : !steel  ? "steel"
                                 : !trials ? "trials"
                                           : "film");
    oxt_anchor_options chosen = OXT_ANCHOR_OPTIONS_INIT;
    oxt_steel_change entry = OXT_STEEL_CHANGE_INIT;
    oxt_steel_values found = OXT_STEEL_VALUES_INIT, values = steel->values;
    oxt_trials *as_card = NULL;
    double shift = 0.0;
    oxt_status status = OXT_I_OPTIONS_IN(oxt_anchor_options, &chosen, options, error);
    if (!status)
        status = check_options(&chosen, &entry, error);
    if (!status)
        status = check_card(&values, error);
    if (!status)
        status = read_as_card(&as_card, trials, &values, error);
    if (!status)
        status = fit_shifted(&found, &shift, &values, as_card, film, &chosen, error);
    oxt_trials_free(as_card);
    if (status)
        return status;
    take_rate(&values, &found);
    take_coupons(&values, &found, values.trial_count == 0);
    take_ranges(&values, &found);
    describe(&entry, &steel->values, &values, found.trial_count, oxt_trials_unit(trials));
    warn_far(&entry, shift, chosen.shift_stderr);
    oxt_i_snprintf(values.origin, sizeof values.origin, "re-anchored on %zu coupon%s by oxtint %s",
                   found.trial_count, found.trial_count == 1 ? "" : "s", oxt_version());
    const oxt_words *words = oxt_i_words_of_fit(trials, film);
    return oxt_i_steel_renew(renewed, steel, &values, &entry, words ? words : steel->words, error);
}
