/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A logged temperature, and the exposure that it gives. Reading is in history_csv.c. */
#include "base/intern.h"
#include "base/quadrature.h"
#include "growth/growth.h"
#include "growth/history.h"

#include <stdlib.h>

static const double R = OXT_GAS_CONSTANT_J_PER_MOL_K;

/* ---- making ---- */

bool oxt_i_time_holds(double time_s)
{
    return fabs(time_s) <= OXT_HISTORY_TIME_HIGH_S;
}

bool oxt_i_sample_temperature_holds(double temperature_K)
{
    return temperature_K >= OXT_HISTORY_LOW_K && temperature_K <= OXT_HISTORY_HIGH_K;
}

oxt_status oxt_i_check_gap(double longest_gap_s, oxt_error *error)
{
    return oxt_i_check(error, "longest_gap_s", longest_gap_s, 0.0, HUGE_VAL, OXT_I_CLOSED);
}

bool oxt_i_history_append(oxt_history *history, oxt_i_sample sample)
{
    if (!oxt_i_grow(&history->samples, &history->capacity, history->count + 1, sizeof sample))
        return false;
    history->samples[history->count++] = sample;
    return true;
}

static oxt_status at_sample(oxt_error *error, oxt_status status, size_t index)
{
    oxt_i_locate(error, index + 1, NULL);
    return status;
}

/* Is this sample one, and does it follow the last one? */
static oxt_status check_sample(const oxt_history *history, oxt_i_sample sample,
                               double longest_gap_s, oxt_error *error)
{
    size_t number = history->count + 1;
    if (!oxt_i_time_holds(sample.time_s))
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", sample.time_s, -OXT_HISTORY_TIME_HIGH_S,
                          OXT_HISTORY_TIME_HIGH_S,
                          "time %g s of sample %zu is not between -1e12 s and 1e12 s",
                          sample.time_s, number);
    if (!oxt_i_sample_temperature_holds(sample.temperature_K))
        return oxt_i_fail(error, OXT_EDOMAIN, "temperature_K", sample.temperature_K,
                          OXT_HISTORY_LOW_K, OXT_HISTORY_HIGH_K,
                          "temperature %g K of sample %zu is not between 200 K and 1300 K",
                          sample.temperature_K, number);
    if (history->count == 0)
        return OXT_OK;
    double before_s = history->samples[history->count - 1].time_s;
    if (sample.time_s <= before_s)
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", sample.time_s, before_s, NAN,
                          "time %s s of sample %zu is not after %s s",
                          oxt_i_shortest(sample.time_s).text, number,
                          oxt_i_shortest(before_s).text);
    double gap_s = sample.time_s - before_s;
    if (longest_gap_s > 0.0 && gap_s > longest_gap_s)
        return oxt_i_fail(error, OXT_EDOMAIN, "longest_gap_s", gap_s, NAN, longest_gap_s,
                          "%g s pass between sample %zu and sample %zu, more than %g s", gap_s,
                          number - 1, number, longest_gap_s);
    return OXT_OK;
}

static oxt_status fill(oxt_history *made, size_t n, const double *time_s, ptrdiff_t time_stride,
                       const double *temperature_K, ptrdiff_t temperature_stride,
                       double longest_gap_s, oxt_error *error)
{
    for (size_t i = 0; i < n; i++) {
        oxt_i_sample sample = { *oxt_i_at(time_s, i, time_stride),
                                *oxt_i_at(temperature_K, i, temperature_stride) };
        oxt_status status = check_sample(made, sample, longest_gap_s, error);
        if (status)
            return at_sample(error, status, i);
        if (!oxt_i_history_append(made, sample))
            return oxt_i_no_memory(error);
    }
    return OXT_OK;
}

oxt_status oxt_history_new(oxt_history **history, size_t n, const double *time_s,
                           ptrdiff_t time_stride, const double *temperature_K,
                           ptrdiff_t temperature_stride, double longest_gap_s, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!history)
        return oxt_i_null(error, "history");
    *history = NULL;
    if (!time_s || !temperature_K)
        return oxt_i_null(error, time_s ? "temperature_K" : "time_s");
    oxt_status status = oxt_i_check_gap(longest_gap_s, error);
    if (status)
        return status;
    if (n < 2)
        return oxt_i_fail(error, OXT_EFEW, "n", (double)n, 2.0, NAN,
                          "a history of %zu samples, expected 2 or more", n);
    oxt_history *made = calloc(1, sizeof *made);
    if (!made)
        return oxt_i_no_memory(error);
    status = fill(made, n, time_s, time_stride, temperature_K, temperature_stride, longest_gap_s,
                  error);
    if (status)
        oxt_history_free(made);
    else
        *history = made;
    return status;
}

void oxt_history_free(oxt_history *history)
{
    if (!history)
        return;
    free(history->samples);
    free(history);
}

/* ---- reading back ---- */

oxt_status oxt_history_samples(const oxt_history *history, size_t capacity, double *time_s,
                               ptrdiff_t time_stride, double *temperature_K,
                               ptrdiff_t temperature_stride, size_t *count, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!history || !count)
        return oxt_i_null(error, history ? "count" : "history");
    if (capacity > 0 && (!time_s || !temperature_K))
        return oxt_i_null(error, time_s ? "temperature_K" : "time_s");
    *count = history->count;
    if (capacity == 0)
        return OXT_OK;
    if (capacity < history->count)
        return oxt_i_fail(error, OXT_ESPACE, "capacity", (double)capacity, (double)history->count,
                          NAN, "capacity is %zu, expected 0 or at least the %zu samples", capacity,
                          history->count);
    for (size_t i = 0; i < history->count; i++) {
        *oxt_i_at_out(time_s, i, time_stride) = history->samples[i].time_s;
        *oxt_i_at_out(temperature_K, i, temperature_stride) = history->samples[i].temperature_K;
    }
    return OXT_OK;
}

/* A time between the first sample, or a later `low_s`, and the last. */
static oxt_status check_time(const oxt_history *history, const char *name, double time_s,
                             double low_s, oxt_error *error)
{
    return oxt_i_check(error, name, time_s, low_s, history->samples[history->count - 1].time_s,
                       OXT_I_CLOSED);
}

/* The sample at the start of the piece in which a time of the history lies. */
static size_t piece_at(const oxt_history *history, double time_s)
{
    size_t low = 0, high = history->count - 1;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (history->samples[middle].time_s <= time_s)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static double temperature_in(const oxt_i_sample *piece, double time_s)
{
    if (time_s >= piece[1].time_s)
        return piece[1].temperature_K;
    double share = (time_s - piece[0].time_s) / (piece[1].time_s - piece[0].time_s);
    return piece[0].temperature_K + share * (piece[1].temperature_K - piece[0].temperature_K);
}

oxt_status oxt_history_temperature(const oxt_history *history, double time_s, double *temperature_K,
                                   oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!history || !temperature_K)
        return oxt_i_null(error, history ? "temperature_K" : "history");
    oxt_status status = check_time(history, "time_s", time_s, history->samples[0].time_s, error);
    if (!status)
        *temperature_K = temperature_in(&history->samples[piece_at(history, time_s)], time_s);
    return status;
}

/* ---- exposure ---- */

/* Gauss-Legendre panels over a straight change of temperature, from its hotter end to where the rest is
 * too small to count. They have equal widths in 1/T, in which ln k is linear; ln k changes by at most 2
 * in each, and a wide change of T is split also where k hardly changes. */
typedef struct {
    size_t count;
    double width; /* in 1/T, of all together; 0: up to the colder end */
} panels;

static panels choose_panels(double hot_K, double cold_K, double activation_K)
{
    double change = activation_K * (1.0 / cold_K - 1.0 / hot_K); /* of ln k */
    double counted = fmin(change, 40.0 + log1p(change));
    return (panels){ 1 + (size_t)(0.5 * counted + 4.0 * log(hot_K / cold_K)),
                     counted < change ? counted / activation_K : 0.0 };
}

/* Mean of k over the change, in units of k at its hotter end. */
static double mean_rate(double hot_K, double cold_K, double activation_K)
{
    const oxt_i_gauss *rule = &oxt_i_gauss_12;
    panels split = choose_panels(hot_K, cold_K, activation_K);
    double width = split.width > 0.0 ? split.width : 1.0 / cold_K - 1.0 / hot_K;
    double sum = 0.0, from = 0.0, to;
    for (size_t panel = 1; panel <= split.count; panel++, from = to) {
        double below = width * (double)panel / (double)split.count * hot_K;
        bool last = panel == split.count && split.width == 0.0;
        to = last ? 1.0 : hot_K * below / (1.0 + below) / (hot_K - cold_K);
        for (size_t i = 0; i < rule->count; i++) {
            double at, weight;
            oxt_i_gauss_point(rule, from, to, i, &at, &weight);
            double gap_K = at * (hot_K - cold_K); /* 1/T - 1/hot is gap/(hot T) */
            sum += weight * exp(-activation_K * gap_K / (hot_K * (hot_K - gap_K)));
        }
    }
    return sum;
}

static double piece_exposure(const oxt_growth *growth, oxt_i_sample from, oxt_i_sample to)
{
    double hot_K = fmax(from.temperature_K, to.temperature_K);
    double cold_K = fmin(from.temperature_K, to.temperature_K);
    double activation_K = growth->Q_J_per_mol / R;
    double hot_rate = growth->k_ref_nm2_per_s *
                      exp(-activation_K * (1.0 / hot_K - 1.0 / growth->T_ref_K));
    double mean = hot_K == cold_K ? 1.0 : mean_rate(hot_K, cold_K, activation_K);
    return hot_rate * mean * (to.time_s - from.time_s);
}

/* With Kahan's correction: a log may have a million pieces. */
static double sum_exposure(const oxt_history *history, const oxt_growth *growth, double from_s,
                           double to_s)
{
    double sum = 0.0, lost = 0.0;
    for (size_t i = piece_at(history, from_s); i + 1 < history->count; i++) {
        const oxt_i_sample *piece = &history->samples[i];
        if (piece[0].time_s >= to_s)
            break;
        double start_s = fmax(from_s, piece[0].time_s), end_s = fmin(to_s, piece[1].time_s);
        double part = piece_exposure(growth,
                                     (oxt_i_sample){ start_s, temperature_in(piece, start_s) },
                                     (oxt_i_sample){ end_s, temperature_in(piece, end_s) });
        double corrected = part - lost, next = sum + corrected;
        lost = (next - sum) - corrected;
        sum = next;
    }
    return sum;
}

oxt_status oxt_history_exposure(const oxt_history *history, const oxt_growth *growth, double from_s,
                                double to_s, double *exposure_nm2, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!history || !exposure_nm2)
        return oxt_i_null(error, history ? "exposure_nm2" : "history");
    oxt_status status = oxt_i_check_growth(growth, error);
    if (!status)
        status = check_time(history, "from_s", from_s, history->samples[0].time_s, error);
    if (!status)
        status = check_time(history, "to_s", to_s, from_s, error);
    if (status)
        return status;
    double sum = sum_exposure(history, growth, from_s, to_s);
    if (!isfinite(sum))
        return oxt_i_fail(error, OXT_EDOMAIN, "exposure_nm2", HUGE_VAL, NAN, NAN,
                          "exposure_nm2 is too large for a number: check the growth constants");
    *exposure_nm2 = sum;
    return OXT_OK;
}
