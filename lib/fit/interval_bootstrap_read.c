/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a bootstrap found: its numbers, its replicates and intervals. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <stdlib.h>
#include <string.h>

#include "fit/interval.h"

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

oxt_status oxt_bootstrap_get(const oxt_bootstrap *bootstrap, oxt_bootstrap_values *values,
                             size_t capacity, double *ln_k, double *Q_J_per_mol, double *law_shape,
                             oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!bootstrap)
        return oxt_i_null(error, "bootstrap");
    size_t count = bootstrap->values.replicates;
    if ((ln_k || Q_J_per_mol || law_shape) && capacity < count)
        return oxt_i_fail(error, OXT_ESPACE, "capacity", (double)capacity, (double)count, NAN,
                          "capacity is %zu, but there are %zu replicates", capacity, count);
    oxt_status status = OXT_OK;
    if (values)
        status = OXT_I_STRUCT_OUT(oxt_bootstrap_values, values, &bootstrap->values, "values",
                                  error);
    if (!status && ln_k)
        memcpy(ln_k, bootstrap->ln_k, count * sizeof *ln_k);
    if (!status && Q_J_per_mol)
        memcpy(Q_J_per_mol, bootstrap->Q, count * sizeof *Q_J_per_mol);
    if (!status && law_shape)
        memcpy(law_shape, bootstrap->shape, count * sizeof *law_shape);
    return status;
}

/* ---- intervals ---- */

/* What is asked for, and where. */
typedef struct {
    oxt_interval_quantity what;
    double inverse_T_offset, T_ref_K;
    double film_nm;    /* 0: no law bends the time of a dip */
    oxt_growth growth; /* of the fit */
} subject;

/* Of one replicate: Q, the shape, or ln of the rate; of a dip that over the exposure of its film. */
static double number_of(subject *of, double ln_k, double Q, double shape)
{
    if (of->what == OXT_INTERVAL_Q)
        return Q;
    if (of->what == OXT_INTERVAL_SHAPE)
        return shape;
    double ln_rate = ln_k - Q / (R * of->T_ref_K) * of->inverse_T_offset;
    of->growth.shape = shape;
    return of->film_nm > 0.0 ? ln_rate - oxt_i_ln_exposure_of(&of->growth, of->film_nm) : ln_rate;
}

static subject subject_of(const oxt_bootstrap *bootstrap, oxt_interval_quantity what, double bath_K,
                          double thickness_nm)
{
    const oxt_growth *growth = &bootstrap->growth;
    bool bent = what == OXT_INTERVAL_DIP_TIME && growth->law != OXT_LAW_PARABOLIC;
    return (subject){ .what = what,
                      .inverse_T_offset = oxt_i_interval_offset(what, bath_K, growth->T_ref_K),
                      .T_ref_K = growth->T_ref_K,
                      .film_nm = bent ? thickness_nm : 0.0,
                      .growth = *growth };
}

/* Share of the sorted replicates below the fit itself, those equal to it half; never 0 or 1. */
static double share_below(const double *sorted, size_t count, double itself)
{
    size_t below = 0, equal = 0;
    for (size_t i = 0; i < count; i++) {
        below += sorted[i] < itself;
        equal += sorted[i] == itself;
    }
    double all = (double)count, share = ((double)below + 0.5 * (double)equal) / all;
    return fmin(fmax(share, 0.5 / all), 1.0 - 0.5 / all);
}

/* The quantile at the tail. */
static double corrected(double tail, double below)
{
    return gsl_cdf_ugaussian_P(2.0 * gsl_cdf_ugaussian_Pinv(below) + gsl_cdf_ugaussian_Pinv(tail));
}

static oxt_status check_call(const oxt_bootstrap *bootstrap, oxt_interval_quantity what,
                             double bath_K, double thickness_nm, double confidence,
                             oxt_bootstrap_method method, oxt_error *error)
{
    oxt_status status = oxt_i_check_interval(what, bath_K, confidence, error);
    if (!status && what == OXT_INTERVAL_DIP_TIME)
        status = oxt_i_check(error, "thickness_nm", thickness_nm, 0.0, 1e4, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_choice("method", (int)method, OXT_BOOTSTRAP_BIAS_CORRECTED, error);
    if (status)
        return status;
    if (what == OXT_INTERVAL_Q && bootstrap->Q_is_exact)
        return oxt_i_fail_text(error, OXT_EIDENT, "what",
                               "Q was held: the trials do not determine its limits");
    if (what == OXT_INTERVAL_SHAPE && bootstrap->values.sd_ln_shape == 0.0)
        return oxt_i_fail_text(error, OXT_EIDENT, "what",
                               "the fit did not find the shape of a law: it has no limits");
    double good = (double)(bootstrap->values.replicates - bootstrap->values.failed);
    double fewest = 2.0 / (1.0 - confidence);
    if (good >= fewest * (1.0 - 1e-9))
        return OXT_OK;
    return oxt_i_fail(error, OXT_EFEW, "replicates", good, fewest, NAN,
                      "limits at a confidence of %g need at least %.0f replicates that could be "
                      "fitted, there are %.0f",
                      confidence, fewest, good);
}

oxt_status oxt_bootstrap_interval(const oxt_bootstrap *bootstrap, oxt_interval_quantity what,
                                  double bath_K, double thickness_nm, double confidence,
                                  oxt_bootstrap_method method, double *low, double *high,
                                  oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!bootstrap || !low || !high)
        return oxt_i_null(error, !bootstrap ? "bootstrap" : !low ? "low" : "high");
    oxt_status status = check_call(bootstrap, what, bath_K, thickness_nm, confidence, method,
                                   error);
    if (status)
        return status;
    const oxt_bootstrap_values *values = &bootstrap->values;
    double *numbers = malloc(values->replicates * sizeof *numbers);
    if (!numbers)
        return oxt_i_no_memory(error);
    subject of = subject_of(bootstrap, what, bath_K, thickness_nm);
    size_t count = 0;
    for (size_t i = 0; i < values->replicates; i++)
        if (!isnan(bootstrap->ln_k[i]))
            numbers[count++] = number_of(&of, bootstrap->ln_k[i], bootstrap->Q[i],
                                         bootstrap->shape[i]);
    gsl_sort(numbers, 1, count);
    double itself = number_of(&of, values->ln_k, values->Q_J_per_mol, values->law_shape);
    double tail = 0.5 * (1.0 - confidence), ends[2] = { tail, 1.0 - tail };
    for (int i = 0; i < 2; i++) {
        if (method == OXT_BOOTSTRAP_BIAS_CORRECTED)
            ends[i] = corrected(ends[i], share_below(numbers, count, itself));
        ends[i] = gsl_stats_quantile_from_sorted_data(numbers, 1, count, ends[i]);
    }
    free(numbers);
    if (what == OXT_INTERVAL_DIP_TIME)
        oxt_i_interval_factors(itself, &ends[0], &ends[1]);
    *low = ends[0];
    *high = ends[1];
    return OXT_OK;
}

/* ---- the report ---- */

/* By percentile; nothing where too many replicates were left out. */
static void add_limits(oxt_i_text *text, const oxt_bootstrap *from, oxt_interval_quantity what)
{
    static const double CONFIDENCE = 0.95;
    double low, high;
    bool of_rate = what == OXT_INTERVAL_LN_K;
    double unit = what == OXT_INTERVAL_Q ? 1e3 : 1.0;
    oxt_status status = oxt_bootstrap_interval(from, what, 0.0, 0.0, CONFIDENCE,
                                               OXT_BOOTSTRAP_PERCENTILE, &low, &high, NULL);
    text->failed = text->failed || status == OXT_ENOMEM;
    if (!status)
        oxt_i_text_add(text, " (%g %%: %.4g to %.4g)", 100.0 * CONFIDENCE,
                       of_rate ? exp(low) : low / unit, of_rate ? exp(high) : high / unit);
}

oxt_status oxt_bootstrap_report(const oxt_bootstrap *bootstrap, oxt_temperature_unit unit,
                                char *buffer, size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!bootstrap)
        return oxt_i_null(error, "bootstrap");
    oxt_status status = oxt_i_check_choice("unit", (int)unit, OXT_UNIT_FAHRENHEIT, error);
    if (status)
        return status;
    enum { ENOUGH = 30 };
    const oxt_bootstrap_values *values = &bootstrap->values;
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s: bootstrap of %zu replicates, %zu could not be fitted\n",
                   bootstrap->name, values->replicates, values->failed);
    oxt_i_text_add(&text, "  rate at %s: k_ref = %.4g nm^2/s, standard error %.1f %%",
                   oxt_i_show_temperature(values->T_ref_K, unit).text, exp(values->ln_k),
                   100.0 * values->sd_ln_k);
    add_limits(&text, bootstrap, OXT_INTERVAL_LN_K);
    oxt_i_text_add(&text, "\n  activation energy: Q = %.4g kJ/mol", values->Q_J_per_mol / 1e3);
    if (bootstrap->Q_is_exact)
        oxt_i_text_add(&text, ", given");
    else
        oxt_i_text_add(&text, ", standard error %.2g kJ/mol", values->sd_Q_J_per_mol / 1e3);
    add_limits(&text, bootstrap, OXT_INTERVAL_Q);
    if (values->sd_ln_shape > 0.0) {
        oxt_i_text_add(&text, "\n  %s law: %s = %.3g%s, standard error %.1f %%",
                       oxt_i_law_names[values->law], oxt_i_law_letters[values->law],
                       values->law_shape, oxt_i_law_units[values->law],
                       100.0 * values->sd_ln_shape);
        add_limits(&text, bootstrap, OXT_INTERVAL_SHAPE);
    }
    if (isfinite(values->correlation))
        oxt_i_text_add(&text, "\n  correlation of ln k_ref and Q %.3f", values->correlation);
    oxt_i_text_add(&text, "\n");
    if (bootstrap->coupons < ENOUGH) /* 0.85 of 90 % with 6 to 12 coupons: interval.md */
        oxt_i_text_add(&text,
                       "  %zu coupons are few for a bootstrap: of limits of 90 %% some 85 %% hold, "
                       "while the fit's own hold\n",
                       bootstrap->coupons);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
