/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Has the rate changed in the course of a log? The step in time that explains the residuals best,
 * fitted together with the constants of the fit, which have taken in a part of it. */
#include <gsl/gsl_sort.h>
#include <stdlib.h>

#include "oxtint/drift.h"
#include "thermal/bath.h"
#include "fit/fit.h"

enum { LEAST_SIDE = 3 }; /* coupons on either side of a step */

/* Residuals are drawn in to this many times the usual one: closely while a step is looked for, so
 * that one bad coupon makes none; less so once it is found, so that its size and limits are not too
 * small. */
static const double FARTHEST_SOUGHT = 2.0, FARTHEST_FOUND = 3.0;

/* Coupons that agree better than this share of their sigma do so by chance: a sigma holds the width
 * of the colour, and of the scatter at most what a drift added to it is too much. */
static const double LEAST_SCALE = 0.6;

/* One coupon that was used, in the order of the log. */
typedef struct {
    size_t trial, line;
    double inverse_T_offset; /* T_ref / bath_K - 1 */
    double weight;           /* 1 / sigma^2 */
    double residual;         /* ln (observed / predicted), with what its day did */
    size_t day;              /* from 1; 0: no day is stated */
    double drawn;            /* the same, drawn in */
} coupon;

/* Weighted sums of 1 and inverse_T_offset with themselves and with the drawn residuals. */
typedef struct {
    double one, offset, offset2, y, offset_y, y2;
} sums;

/* Sums of one day, all of it and what is after a step. Coupons of a day share an effect of unknown size: products with
 * the inverse of their covariance are these sums less a share of those of the day, squared. */
typedef struct {
    sums all;
    double after;
} day_sums;

typedef struct {
    coupon *coupons;
    size_t count, parameters; /* of the fit: ln k_ref, and Q unless it was held */
    double *sorted;           /* space for a median */
    day_sums *days;
    size_t day_count; /* 0: none is stated */
    double day_variance;
} series;

typedef struct {
    double step;          /* of ln x */
    double precision;     /* 1 / variance of the step, for sigmas as they are */
    double rest;          /* weighted squares left beside the step, over their degrees of freedom */
    double before, slope; /* the constants fitted with it: 1 and inverse_T_offset */
} fitted_step;

/* Products of the step itself with all else. */
typedef struct {
    double one, offset, y, step; /* `step`: with itself */
} products;

static void add(sums *to, const coupon *of)
{
    double w = of->weight, l = of->inverse_T_offset, y = of->drawn;
    to->one += w;
    to->offset += w * l;
    to->offset2 += w * l * l;
    to->y += w * y;
    to->offset_y += w * l * y;
    to->y2 += w * y * y;
}

/* By how much of the square of its sums a day is taken off. */
static double off_day(const series *of, const day_sums *day)
{
    return of->day_variance / (1.0 + of->day_variance * day->all.one);
}

/* Sums over all coupons, of each day too. */
static sums sum_all(const series *of)
{
    sums all = { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 };
    for (size_t d = 0; d < of->day_count; d++)
        of->days[d] = (day_sums){ { 0.0, 0.0, 0.0, 0.0, 0.0, 0.0 }, 0.0 };
    for (size_t i = 0; i < of->count; i++) {
        add(&all, &of->coupons[i]);
        if (of->day_count > 0)
            add(&of->days[of->coupons[i].day - 1].all, &of->coupons[i]);
    }
    for (size_t d = 0; d < of->day_count; d++) {
        const sums *day = &of->days[d].all;
        double off = off_day(of, &of->days[d]);
        all.one -= off * day->one * day->one;
        all.offset -= off * day->one * day->offset;
        all.offset2 -= off * day->offset * day->offset;
        all.y -= off * day->one * day->y;
        all.offset_y -= off * day->offset * day->y;
        all.y2 -= off * day->y * day->y;
    }
    return all;
}

/* A coupon more is after the step. */
static void add_after(const series *of, const coupon *one, products *to)
{
    double w = one->weight;
    to->one += w;
    to->offset += w * one->inverse_T_offset;
    to->y += w * one->drawn;
    to->step += w;
    if (of->day_count == 0)
        return;
    day_sums *day = &of->days[one->day - 1];
    double off = off_day(of, day) * w;
    to->one -= off * day->all.one;
    to->offset -= off * day->all.offset;
    to->y -= off * day->all.y;
    to->step -= off * (2.0 * day->after + w);
    day->after += w;
}

/* ---- residuals ---- */

/* Draw in what lies far from what is expected of a coupon: `step` NULL expects a residual of 0. The
 * usual distance is the median, 0.6745 of a standard deviation when it is normal. */
static void draw_in(series *of, const fitted_step *step, size_t from)
{
    for (size_t i = 0; i < of->count; i++) {
        coupon *one = &of->coupons[i];
        double expected = step ? step->before + step->slope * one->inverse_T_offset +
                                     (i >= from ? step->step : 0.0)
                               : 0.0;
        one->drawn = one->residual - expected;
        of->sorted[i] = fabs(one->drawn) * sqrt(one->weight);
    }
    gsl_sort(of->sorted, 1, of->count);
    double usual = fmax(of->sorted[of->count / 2] / 0.6745, LEAST_SCALE);
    for (size_t i = 0; i < of->count; i++) {
        coupon *one = &of->coupons[i];
        double most = (step ? FARTHEST_FOUND : FARTHEST_SOUGHT) * usual / sqrt(one->weight);
        double expected = one->residual - one->drawn;
        one->drawn = expected + fmin(fmax(one->drawn, -most), most);
    }
}

static oxt_status read_coupons(series *made, const oxt_fit *fit, oxt_error *error)
{
    double T_ref_K = fit->values.growth.T_ref_K;
    made->coupons = malloc((fit->set.row_count + 1) * sizeof *made->coupons);
    made->sorted = malloc((fit->set.row_count + 1) * sizeof *made->sorted);
    if (!made->coupons || !made->sorted)
        return oxt_i_no_memory(error);
    made->parameters = fit->values.Q_held ? 1 : 2;
    if (fit->values.day_sd > 0.0) {
        /* of Student's t, whose variance is larger than the square of its scale */
        made->day_variance = fit->values.day_sd * fit->values.day_sd /
                             (1.0 - 2.0 / fit->values.scatter_dof);
        made->day_count = fit->set.day_count;
    }
    made->days = malloc((made->day_count + 1) * sizeof *made->days);
    if (!made->days)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < fit->set.row_count; i++) {
        const oxt_i_fit_row row = oxt_i_fit_row_at(fit, i);
        if (row.reading_count > 0)
            made->coupons[made->count++] = (coupon){
                row.trial,
                row.line,
                T_ref_K / row.bath_K - 1.0,
                1.0 / (row.sigma * row.sigma),
                row.residual + row.day_effect,
                row.day,
                0.0,
            };
    }
    return OXT_OK;
}

/* ---- steps ---- */

/* Least squares of constant, inverse_T_offset (unless Q was held) and the step of `after`; false when the
 * step cannot be separated from them. */
static bool fit_step(const series *of, const sums *all, const products *after, fitted_step *made)
{
    double det = all->one * all->offset2 - all->offset * all->offset;
    double one, offset, y_one, y_offset; /* the step and the residuals by the constants */
    if (of->parameters == 2) {
        one = (all->offset2 * after->one - all->offset * after->offset) / det;
        offset = (all->one * after->offset - all->offset * after->one) / det;
        y_one = (all->offset2 * all->y - all->offset * all->offset_y) / det;
        y_offset = (all->one * all->offset_y - all->offset * all->y) / det;
    } else {
        one = after->one / all->one;
        y_one = all->y / all->one;
        offset = y_offset = 0.0;
    }
    made->precision = after->step - one * after->one - offset * after->offset;
    if (!(made->precision > 1e-6 * after->step))
        return false;
    made->step = (after->y - one * all->y - offset * all->offset_y) / made->precision;
    made->before = y_one - one * made->step;
    made->slope = y_offset - offset * made->step;
    double rest = all->y2 - y_one * all->y - y_offset * all->offset_y -
                  made->step * made->step * made->precision;
    made->rest = fmax(rest / (double)(of->count - of->parameters - 1), LEAST_SCALE * LEAST_SCALE);
    return true;
}

static double t_of(const fitted_step *step)
{
    return fabs(step->step) * sqrt(step->precision / step->rest);
}

/* The place of the step that stands out most, and its t; 0 when there is none. */
static double find_step(const series *of, size_t *from)
{
    products after = { 0.0, 0.0, 0.0, 0.0 };
    double most = 0.0;
    sums all = sum_all(of);
    for (size_t i = of->count; i-- > LEAST_SIDE;) {
        fitted_step step;
        add_after(of, &of->coupons[i], &after);
        if (i + LEAST_SIDE > of->count || !fit_step(of, &all, &after, &step))
            continue;
        if (t_of(&step) > most) {
            most = t_of(&step);
            *from = i;
        }
    }
    return most;
}

/* The step at its place, with what lies far from either level drawn in. */
static bool fit_found(series *of, size_t from, fitted_step *step)
{
    enum { TURNS = 4 };
    for (int turn = 0; turn < TURNS; turn++) {
        products after = { 0.0, 0.0, 0.0, 0.0 };
        sums all = sum_all(of);
        for (size_t i = from; i < of->count; i++)
            add_after(of, &of->coupons[i], &after);
        if (!fit_step(of, &all, &after, step))
            return false;
        draw_in(of, step, from);
    }
    return true;
}

/* From which t on a step is called: Student's, for as many places as would do as much if they were
 * independent, which neighbours are not. In 10,000 stable logs each of 8, 16, 40 and 160 named
 * coupons they were 2, 8, 14 and 26 (false alarm 0.01, LEAST_SCALE 0.3); the line lies a little
 * above. */
static double limit_of(const series *of, double false_alarm)
{
    double places = 4.0 + 8.0 * log((double)of->count / OXT_DRIFT_COUPONS);
    return oxt_i_t_quantile(1.0 - false_alarm / places, (double)(of->count - of->parameters - 1));
}

/* ---- the answer ---- */

static double mean_after(const series *of, size_t from)
{
    sums after = { 0 };
    for (size_t i = from; i < of->count; i++)
        add(&after, &of->coupons[i]);
    return after.y / after.one;
}

static void fill(series *of, const oxt_drift_options *options, oxt_drift *made)
{
    size_t from = 0;
    fitted_step step;
    made->coupon_count = of->count;
    made->confidence = options->confidence;
    made->rate_factor = made->anchor_factor = 1.0;
    made->rate_factor_low = made->rate_factor_high = NAN;
    made->statistic = made->limit = NAN;
    if (of->count < OXT_DRIFT_COUPONS)
        return;
    draw_in(of, NULL, 0);
    made->limit = limit_of(of, options->false_alarm);
    made->statistic = find_step(of, &from);
    if (!(made->statistic > made->limit) || !fit_found(of, from, &step))
        return;
    double t = oxt_i_t_quantile(options->confidence, (double)(of->count - of->parameters - 1));
    double half = t * sqrt(step.rest / step.precision);
    made->called = 1;
    made->since = of->coupons[from].trial;
    made->line = of->coupons[from].line;
    made->after_count = of->count - from;
    made->rate_factor = exp(2.0 * step.step);
    made->rate_factor_low = exp(2.0 * (step.step - half));
    made->rate_factor_high = exp(2.0 * (step.step + half));
    made->anchor_factor = exp(2.0 * mean_after(of, from));
}

static uint32_t log_cautions(const oxt_fit *fit)
{
    oxt_steel_values reach = OXT_STEEL_VALUES_INIT;
    oxt_i_fit_reach(&fit->set, &reach);
    return oxt_i_range_cautions(reach.bath_low_K, reach.bath_high_K);
}

oxt_status oxt_drift_find(const oxt_fit *fit, const oxt_drift_options *options, oxt_drift *drift,
                          oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_drift_options chosen = OXT_DRIFT_OPTIONS_INIT;
    oxt_drift made = OXT_DRIFT_INIT;
    series of = { 0 };
    if (!fit || !drift)
        return oxt_i_null(error, fit ? "drift" : "fit");
    oxt_status status = OXT_I_OPTIONS_IN(oxt_drift_options, &chosen, options, error);
    if (!status)
        status = oxt_i_check(error, "false_alarm", chosen.false_alarm, 0.001, 0.1, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "confidence", chosen.confidence, 0.5, 0.9999, OXT_I_CLOSED);
    if (!status)
        status = read_coupons(&of, fit, error);
    if (!status) {
        fill(&of, &chosen, &made);
        made.cautions = log_cautions(fit);
        status = OXT_I_STRUCT_OUT(oxt_drift, drift, &made, "drift", error);
    }
    free(of.coupons);
    free(of.sorted);
    free(of.days);
    return status;
}

/* ---- the sentence ---- */

static oxt_status check(oxt_drift *known, const oxt_drift *drift, oxt_error *error)
{
    if (!drift)
        return oxt_i_null(error, "drift");
    oxt_status status = OXT_I_STRUCT_IN(oxt_drift, known, drift, "drift", error);
    if (status || !known->called)
        return status;
    const double factors[] = { known->rate_factor, known->rate_factor_low, known->rate_factor_high,
                               known->anchor_factor };
    for (size_t i = 0; i < OXT_I_COUNT(factors) && !status; i++)
        status = oxt_i_check(error, "drift", factors[i], 0.0, 1e6, OXT_I_OPEN_LOW);
    return status;
}

static void add_called(oxt_i_text *text, const oxt_drift *of)
{
    bool slow = of->rate_factor < 1.0;
    double nearest = 100.0 * (slow ? 1.0 - of->rate_factor_high : of->rate_factor_low - 1.0);
    double farthest = 100.0 * (slow ? 1.0 - of->rate_factor_low : of->rate_factor_high - 1.0);
    oxt_i_text_add(text, "since coupon %zu", of->since + 1);
    if (of->line)
        oxt_i_text_add(text, " (line %zu)", of->line);
    oxt_i_text_add(
        text,
        " the film grows %.0f %% %s (%g %%: %.0f to %.0f %%); multiply the k_ref of this "
        "fit by %.2f, or fit the coupons from %zu on",
        100.0 * fabs(of->rate_factor - 1.0), slow ? "slower" : "faster", 100.0 * of->confidence,
        nearest, farthest, of->anchor_factor, of->since + 1);
}

oxt_status oxt_drift_report(const oxt_drift *drift, oxt_caution_detail detail, char *buffer,
                            size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_drift known = OXT_DRIFT_INIT;
    oxt_status status = check(&known, drift, error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    if (known.called)
        add_called(&text, &known);
    else if (known.coupon_count < OXT_DRIFT_COUPONS)
        oxt_i_text_add(&text, "%zu coupons are too few to see a drift, which takes %d",
                       known.coupon_count, OXT_DRIFT_COUPONS);
    else
        oxt_i_text_add(&text, "no drift in %zu coupons: largest step t = %.1f (limit %.1f)",
                       known.coupon_count, known.statistic, known.limit);
    oxt_i_text_add(&text, "\n");
    oxt_i_text_add_cautions(&text, known.cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
