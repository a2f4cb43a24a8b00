/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Has the rate changed in the course of a log? The step in time that explains the residuals best,
 * or where days are stated a straight line over them, fitted together with the constants of the fit,
 * which have taken in a part of it. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sort.h>
#include <stdlib.h>

#include "oxtint/drift.h"
#include "thermal/bath.h"
#include "fit/fit.h"

enum { LEAST_SIDE = 3 }; /* coupons on either side of a step */

/* Residuals are drawn in to this many times the usual one: closely while a change is looked for, so
 * that one bad coupon makes none; less so once it is found, so that its size and limits are not too
 * small. */
static const double FARTHEST_SOUGHT = 2.0, FARTHEST_FOUND = 3.0;

/* Coupons that agree better than this share of their sigma do so by chance: a sigma holds the width
 * of the colour, and of the scatter at most what a drift added to it is too much. */
static const double LEAST_SCALE = 0.6;

/* Of the means of days: only that films without any scatter have an error. */
static const double LEAST_DAY_SCALE = 0.1;

/* One coupon that was used, in the order of the log. */
typedef struct {
    size_t trial, line;
    double inverse_T_offset; /* T_ref / bath_K - 1 */
    double weight;           /* 1 / sigma^2 */
    double residual;         /* ln (observed / predicted), with what its day did */
    size_t day;              /* from 1, in the order of the log; 0: no day is stated */
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

/* What is fitted beside the constants: of each coupon 1 from a step on, else 0; or of a trend its day, from 0. */
typedef struct {
    bool trend;
    size_t from;      /* of a step */
    double size;      /* of ln x: of the step, or from one day to the next */
    double precision; /* 1 / variance of the size, for sigmas as they are */
    double rest;      /* weighted squares left beside it, over their degrees of freedom */
    double dof;
    double before, slope; /* the constants fitted with it: 1 and inverse_T_offset */
} change;

/* Products of what is fitted with all else. */
typedef struct {
    double one, offset, y, itself;
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
    to->itself += w;
    if (of->day_count == 0)
        return;
    day_sums *day = &of->days[one->day - 1];
    double off = off_day(of, day) * w;
    to->one -= off * day->all.one;
    to->offset -= off * day->all.offset;
    to->y -= off * day->all.y;
    to->itself -= off * (2.0 * day->after + w);
    day->after += w;
}

/* Of a day all coupons alike, of whose weight its effect leaves a share. */
static products multiply_by_days(const series *of)
{
    products made = { 0.0, 0.0, 0.0, 0.0 };
    for (size_t d = 0; d < of->day_count; d++) {
        const sums *day = &of->days[d].all;
        double c = (double)d * (1.0 - off_day(of, &of->days[d]) * day->one);
        made.one += c * day->one;
        made.offset += c * day->offset;
        made.y += c * day->y;
        made.itself += (double)d * c * day->one;
    }
    return made;
}

/* ---- residuals ---- */

static double expected_of(const series *of, const change *found, size_t i)
{
    const coupon *one = &of->coupons[i];
    double by = found->trend ? (double)(one->day - 1) : i >= found->from ? 1.0 : 0.0;
    return found->before + found->slope * one->inverse_T_offset + found->size * by;
}

/* Draw in what lies far from what is expected of a coupon: `found` NULL expects a residual of 0. The
 * usual distance is the median, 0.6745 of a standard deviation when it is normal. */
static void draw_in(series *of, const change *found)
{
    for (size_t i = 0; i < of->count; i++) {
        coupon *one = &of->coupons[i];
        one->drawn = one->residual - (found ? expected_of(of, found, i) : 0.0);
        of->sorted[i] = fabs(one->drawn) * sqrt(one->weight);
    }
    gsl_sort(of->sorted, 1, of->count);
    double usual = fmax(of->sorted[of->count / 2] / 0.6745, LEAST_SCALE);
    for (size_t i = 0; i < of->count; i++) {
        coupon *one = &of->coupons[i];
        double most = (found ? FARTHEST_FOUND : FARTHEST_SOUGHT) * usual / sqrt(one->weight);
        double expected = one->residual - one->drawn;
        one->drawn = expected + fmin(fmax(one->drawn, -most), most);
    }
}

/* Days by their first coupon. */
static oxt_status order_days(series *made, oxt_error *error)
{
    size_t seen = 0, *place = calloc(made->day_count + 1, sizeof *place);
    if (!place)
        return oxt_i_no_memory(error);
    for (size_t i = 0; i < made->count && made->day_count > 0; i++) {
        coupon *one = &made->coupons[i];
        if (place[one->day] == 0)
            place[one->day] = ++seen;
        one->day = place[one->day];
    }
    free(place);
    return OXT_OK;
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
    return order_days(made, error);
}

/* ---- one change ---- */

/* Least squares of constant, inverse_T_offset (unless Q was held) and the change whose products these are; false
 * when it cannot be separated from them. */
static bool fit_change(const series *of, const sums *all, const products *by, change *made)
{
    double det = all->one * all->offset2 - all->offset * all->offset;
    double one, offset, y_one, y_offset; /* the change and the residuals by the constants */
    if (of->parameters == 2) {
        one = (all->offset2 * by->one - all->offset * by->offset) / det;
        offset = (all->one * by->offset - all->offset * by->one) / det;
        y_one = (all->offset2 * all->y - all->offset * all->offset_y) / det;
        y_offset = (all->one * all->offset_y - all->offset * all->y) / det;
    } else {
        one = by->one / all->one;
        y_one = all->y / all->one;
        offset = y_offset = 0.0;
    }
    made->precision = by->itself - one * by->one - offset * by->offset;
    if (!(made->precision > 1e-6 * by->itself))
        return false;
    made->size = (by->y - one * all->y - offset * all->offset_y) / made->precision;
    made->before = y_one - one * made->size;
    made->slope = y_offset - offset * made->size;
    double rest = all->y2 - y_one * all->y - y_offset * all->offset_y -
                  made->size * made->size * made->precision;
    made->dof = (double)(of->count - of->parameters - 1);
    made->rest = fmax(rest / made->dof, LEAST_SCALE * LEAST_SCALE);
    return true;
}

static double t_of(const change *found)
{
    return fabs(found->size) * sqrt(found->precision / found->rest);
}

/* Sums and products of a step at its place, or of the trend. */
static bool fit_at(const series *of, bool trend, size_t from, change *made)
{
    products by = { 0.0, 0.0, 0.0, 0.0 };
    sums all = sum_all(of);
    for (size_t i = from; i < of->count && !trend; i++)
        add_after(of, &of->coupons[i], &by);
    if (trend)
        by = multiply_by_days(of);
    made->trend = trend;
    made->from = from;
    return fit_change(of, &all, &by, made);
}

/* ---- steps ---- */

/* The step that stands out most, and its t; 0 when there is none. */
static double find_step(const series *of, change *found)
{
    products after = { 0.0, 0.0, 0.0, 0.0 };
    double most = 0.0;
    sums all = sum_all(of);
    for (size_t i = of->count; i-- > LEAST_SIDE;) {
        change step = { .from = i };
        add_after(of, &of->coupons[i], &after);
        if (i + LEAST_SIDE > of->count || !fit_change(of, &all, &after, &step))
            continue;
        if (t_of(&step) > most) {
            most = t_of(&step);
            *found = step;
        }
    }
    return most;
}

/* A step is called by Student's t for as many places as would do as much if they were independent,
 * which neighbours are not. In 10,000 stable logs each of 8, 16, 40 and 160 named
 * coupons they were 2, 8, 14 and 26 (false alarm 0.01, LEAST_SCALE 0.3); the line lies a little
 * above. */
static double places_of(const series *of)
{
    return 4.0 + 8.0 * log((double)of->count / OXT_DRIFT_COUPONS);
}

/* ---- a trend ---- */

/* The size of a trend is known by the days alone, however many coupons each has: from what their means leave, with
 * their degrees of freedom, of which Q takes the share that it is known between days. */
static void judge_by_days(const series *of, change *trend)
{
    sums all = sum_all(of);
    double middle = all.offset / all.one, squares = 0.0, between = 0.0;
    for (size_t d = 0; d < of->day_count; d++) {
        const sums *day = &of->days[d].all;
        double weight = day->one * (1.0 - off_day(of, &of->days[d]) * day->one);
        double offset = day->offset / day->one;
        double off = day->y / day->one -
                     (trend->before + trend->slope * offset + trend->size * (double)d);
        squares += weight * off * off;
        between += weight * (offset - middle) * (offset - middle);
    }
    if (of->parameters == 2)
        between /= all.offset2 - all.offset * middle;
    else
        between = 0.0;
    trend->dof = (double)of->day_count - 2.0 - between;
    trend->rest = fmax(squares / trend->dof, LEAST_DAY_SCALE * LEAST_DAY_SCALE);
}

static bool fit_trend(const series *of, change *made)
{
    if (!fit_at(of, true, 0, made))
        return false;
    judge_by_days(of, made);
    return true;
}

/* ---- either ---- */

/* With what lies far from what was found drawn in. */
static bool fit_found(series *of, change *found)
{
    enum { TURNS = 4 };
    for (int turn = 0; turn < TURNS; turn++) {
        if (found->trend ? !fit_trend(of, found) : !fit_at(of, false, found->from, found))
            return false;
        draw_in(of, found);
    }
    return true;
}

/* ---- the answer ---- */

static double on_last_day(const series *of, const change *trend)
{
    sums all = sum_all(of);
    return trend->before + trend->slope * all.offset / all.one +
           trend->size * (double)(of->day_count - 1);
}

static double mean_after(const series *of, size_t from)
{
    sums after = { 0 };
    for (size_t i = from; i < of->count; i++)
        add(&after, &of->coupons[i]);
    return after.y / after.one;
}

/* Is anything called, and what: of a step and a trend that both are beyond their limits the one that chance would do
 * less often. A trend takes half of the false alarms where it is looked for. */
static bool find_change(const series *of, const oxt_drift_options *options, change *found,
                        oxt_drift *made)
{
    change trend = { .trend = true };
    bool days = of->day_count >= OXT_DRIFT_DAYS && fit_trend(of, &trend);
    double share = options->false_alarm * (days ? 0.5 : 1.0);
    double dof = (double)(of->count - of->parameters - 1), places = places_of(of);
    made->limit = oxt_i_t_quantile(1.0 - share / places, dof);
    made->statistic = find_step(of, found);
    bool called = made->statistic > made->limit;
    if (!days)
        return called;
    made->trend_limit = oxt_i_t_quantile(1.0 - share, trend.dof);
    made->trend_statistic = t_of(&trend);
    if (!(made->trend_statistic > made->trend_limit))
        return called;
    if (!called || gsl_cdf_tdist_Q(made->trend_statistic, trend.dof) <
                       places * gsl_cdf_tdist_Q(made->statistic, dof))
        *found = trend;
    return true;
}

static void fill(series *of, const oxt_drift_options *options, oxt_drift *made)
{
    change found = { .trend = false };
    made->coupon_count = of->count;
    made->day_count = of->day_count;
    made->confidence = options->confidence;
    made->rate_factor = made->anchor_factor = made->rate_factor_per_day = 1.0;
    made->rate_factor_low = made->rate_factor_high = NAN;
    made->statistic = made->limit = made->trend_statistic = made->trend_limit = NAN;
    if (of->count < OXT_DRIFT_COUPONS)
        return;
    draw_in(of, NULL);
    if (!find_change(of, options, &found, made) || !fit_found(of, &found))
        return;
    double times = 2.0 * (found.trend ? (double)(of->day_count - 1) : 1.0);
    double half = oxt_i_t_quantile(options->confidence, found.dof) *
                  sqrt(found.rest / found.precision);
    made->called = 1;
    made->trend = found.trend;
    made->since = of->coupons[found.from].trial;
    made->line = of->coupons[found.from].line;
    made->after_count = of->count - found.from;
    made->rate_factor = exp(times * found.size);
    made->rate_factor_low = exp(times * (found.size - half));
    made->rate_factor_high = exp(times * (found.size + half));
    made->rate_factor_per_day = found.trend ? exp(2.0 * found.size) : 1.0;
    made->anchor_factor = exp(2.0 *
                              (found.trend ? on_last_day(of, &found) : mean_after(of, found.from)));
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
                               known->anchor_factor,
                               known->trend ? known->rate_factor_per_day : 1.0 };
    for (size_t i = 0; i < OXT_I_COUNT(factors) && !status; i++)
        status = oxt_i_check(error, "drift", factors[i], 0.0, 1e6, OXT_I_OPEN_LOW);
    if (!status && known->trend)
        status = oxt_i_check(error, "drift", (double)known->day_count, 1.0, HUGE_VAL,
                             OXT_I_OPEN_LOW);
    return status;
}

/* "12 % slower (95 %: 6 to 18 %)" of a factor and its limits. */
static void add_factor(oxt_i_text *text, double factor, double low, double high, double confidence)
{
    static const char *const words[] = { "faster", "fast", "slower", "slow" };
    bool slow = factor < 1.0;
    double large = slow ? 1.0 / factor : factor;
    if (large > 2.0) {
        oxt_i_text_add(text, "%s (%g %%: %s to %s times)", oxt_i_show_change(factor, 0, words).text,
                       100.0 * confidence, oxt_i_show_factor(slow ? 1.0 / high : low).text,
                       oxt_i_show_factor(slow ? 1.0 / low : high).text);
        return;
    }
    double nearest = 100.0 * (slow ? 1.0 - high : low - 1.0);
    double farthest = 100.0 * (slow ? 1.0 - low : high - 1.0);
    oxt_i_text_add(text, "%s (%g %%: %.0f to %.0f %%)", oxt_i_show_change(factor, 0, words).text,
                   100.0 * confidence, nearest, farthest);
}

static void add_called(oxt_i_text *text, const oxt_drift *of)
{
    if (of->trend) {
        double per_day = 1.0 / (double)(of->day_count - 1);
        oxt_i_text_add(text, "over the %zu days the film grows ", of->day_count);
        add_factor(text, of->rate_factor_per_day, pow(of->rate_factor_low, per_day),
                   pow(of->rate_factor_high, per_day), of->confidence);
        oxt_i_text_add(text,
                       " from each day to the next; multiply the k_ref of this fit by %.2f for the "
                       "last of them, and anchor the card by a coupon on the day of a dip",
                       of->anchor_factor);
        return;
    }
    oxt_i_text_add(text, "since coupon %zu", of->since + 1);
    if (of->line)
        oxt_i_text_add(text, " (line %zu)", of->line);
    oxt_i_text_add(text, " the film grows ");
    add_factor(text, of->rate_factor, of->rate_factor_low, of->rate_factor_high, of->confidence);
    oxt_i_text_add(text, "; multiply the k_ref of this fit by %.2f, or fit the coupons from %zu on",
                   of->anchor_factor, of->since + 1);
}

static void add_not_called(oxt_i_text *text, const oxt_drift *of)
{
    oxt_i_text_add(text, "no drift in %zu coupons: largest step t = %.1f (limit %.1f)",
                   of->coupon_count, of->statistic, of->limit);
    if (of->trend_limit > 0.0)
        oxt_i_text_add(text, ", trend over %zu days t = %.1f (limit %.1f)", of->day_count,
                       of->trend_statistic, of->trend_limit);
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
        oxt_i_text_add(&text, "%zu coupon%s too few to see a drift, which takes %d",
                       known.coupon_count, known.coupon_count == 1 ? " is" : "s are",
                       OXT_DRIFT_COUPONS);
    else
        add_not_called(&text, &known);
    oxt_i_text_add(&text, "\n");
    oxt_i_text_add_cautions(&text, known.cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}

/* Where days are stated, what they did is taken to be independent from day to day: the order of the log is then that of
 * time, and a change of its own. */
void oxt_i_fit_warn_drift(oxt_fit *fit)
{
    oxt_drift drift = OXT_DRIFT_INIT;
    oxt_i_text text = { 0 };
    if (fit->set.day_count == 0)
        return;
    if (oxt_drift_find(fit, NULL, &drift, NULL))
        fit->warnings.failed = true;
    if (!drift.called)
        return;
    add_called(&text, &drift);
    if (text.failed)
        fit->warnings.failed = true;
    else
        oxt_i_warn(&fit->warnings, "DRIFT", drift.rate_factor,
                   "The rate changed in the course of these days: %s.", text.data);
    oxt_i_text_free(&text);
}
