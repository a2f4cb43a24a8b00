/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One dip of several predictions, of which each may be the right one. */
#include <string.h>

#include "base/solve.h"
#include "dip/dip.h"

#include <gsl/gsl_cdf.h>

enum { MOST = 64 };

/* ln time: normal on either side of its middle, each as wide as its limit says; without end where there is none. */
typedef struct {
    double middle, below, above; /* ln s, and its deviations downwards and upwards */
} belief;

typedef struct {
    size_t count;
    double share[MOST], heaviest;
    belief mean[MOST], next[MOST]; /* the mean time, and that of the next dip */
    double earliest_s[MOST], latest_s[MOST], chance[MOST];
    double time_s; /* of all */
} mixture;

static double chance_below(belief of, double ln_s)
{
    double deviation = ln_s < of.middle ? of.below : of.above;
    if (isinf(deviation))
        return 0.5;
    if (deviation == 0.0)
        return ln_s < of.middle ? 0.0 : 1.0;
    return gsl_cdf_ugaussian_P((ln_s - of.middle) / deviation);
}

static belief take_limits(double time_s, double low_s, double high_s, double confidence)
{
    double z = gsl_cdf_ugaussian_Pinv(0.5 + 0.5 * confidence);
    return (belief){ log(time_s), log(time_s / low_s) / z, log(high_s / time_s) / z };
}

typedef struct {
    const mixture *of;
    const belief *beliefs; /* of->mean or of->next */
    double chance;         /* wanted below */
} sought;

static double chance_missing(double ln_s, void *context)
{
    const sought *at = context;
    double sum = 0.0;
    for (size_t i = 0; i < at->of->count; i++)
        sum += at->of->share[i] * chance_below(at->beliefs[i], ln_s);
    return sum - at->chance;
}

/* The time with this chance below it: 0 or without end where too much of the mixture is so. */
static oxt_status find_limit(const mixture *of, const belief *beliefs, double chance,
                             double *limit_s, oxt_error *error)
{
    static const double ALL = 40.0; /* standard deviations */
    sought at = { of, beliefs, chance };
    double from = HUGE_VAL, to = -HUGE_VAL, ln_s;
    for (size_t i = 0; i < of->count; i++) {
        from = fmin(from,
                    beliefs[i].middle - (isinf(beliefs[i].below) ? 0.0 : ALL * beliefs[i].below));
        to = fmax(to, beliefs[i].middle + (isinf(beliefs[i].above) ? 0.0 : ALL * beliefs[i].above));
    }
    from -= 1e-9; /* of no width where nothing is uncertain */
    to += 1e-9;
    *limit_s = chance_missing(from, &at) > 0.0 ? 0.0 : HUGE_VAL;
    if (*limit_s == 0.0 || chance_missing(to, &at) < 0.0)
        return OXT_OK;
    oxt_status status = oxt_i_find_root(chance_missing, &at, from, to, 1e-12, &ln_s, error);
    if (!status)
        *limit_s = exp(ln_s);
    return status;
}

static oxt_status find_limits(const mixture *of, const belief *beliefs, double confidence,
                              double *low_s, double *high_s, oxt_error *error)
{
    oxt_status status = find_limit(of, beliefs, 0.5 - 0.5 * confidence, low_s, error);
    if (!status)
        status = find_limit(of, beliefs, 0.5 + 0.5 * confidence, high_s, error);
    *low_s = fmin(*low_s, of->time_s);
    *high_s = fmax(*high_s, of->time_s);
    return status;
}

/* Chance to end between the times at which one of them has the target show, of a dip lifted at time_s. */
static double chance_within(const mixture *of, size_t i, double time_s)
{
    /* what is late for one is early for the other */
    belief at = { log(time_s), of->next[i].above, of->next[i].below };
    return chance_below(at, log(of->latest_s[i])) - chance_below(at, log(of->earliest_s[i]));
}

/* The chance that each states, less what lifting at another time than its own costs. */
static double average_chance(const mixture *of)
{
    double sum = 0.0;
    for (size_t i = 0; i < of->count; i++) {
        double own = chance_within(of, i, exp(of->next[i].middle));
        double here = chance_within(of, i, of->time_s);
        sum += of->share[i] * of->chance[i] * (own > 0.0 ? fmin(here / own, 1.0) : 1.0);
    }
    return sum;
}

static oxt_status check_dip(const oxt_dip *dip, size_t index, oxt_error *error)
{
    oxt_status status = oxt_i_check(error, "confidence", dip->confidence, 0.5, 0.9999,
                                    OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "chance", dip->chance, 0.0, 1.0, OXT_I_CLOSED);
    if (status)
        return status;
    if (!(dip->time_s > 0.0))
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", dip->time_s, 0.0, HUGE_VAL,
                          "dip %zu is lifted at once: only dips that take time are averaged",
                          index + 1);
    if (!(dip->earliest_s <= dip->time_s && dip->time_s <= dip->latest_s &&
          dip->interval_low_s <= dip->time_s && dip->time_s <= dip->interval_high_s &&
          dip->next_low_s <= dip->time_s && dip->time_s <= dip->next_high_s))
        return oxt_i_fail(error, OXT_EDOMAIN, "time_s", dip->time_s, 0.0, HUGE_VAL,
                          "dip %zu is lifted after %g s, beside its own window or limits",
                          index + 1, dip->time_s);
    return OXT_OK;
}

static oxt_status check_alike(const oxt_dip *dip, const oxt_dip *first, size_t index,
                              oxt_error *error)
{
    if (dip->bath_K != first->bath_K)
        return oxt_i_fail(error, OXT_EARG, "bath_K", dip->bath_K, NAN, NAN,
                          "dip %zu is in a bath at %s, the first at %s: only dips in one bath are "
                          "averaged",
                          index + 1, oxt_i_mark(dip->bath_K, NULL).text,
                          oxt_i_mark(first->bath_K, NULL).text);
    if (dip->target.low_nm != first->target.low_nm || dip->target.aim_nm != first->target.aim_nm ||
        dip->target.high_nm != first->target.high_nm)
        return oxt_i_fail(
            error, OXT_EARG, "target", dip->target.aim_nm, NAN, NAN,
            "dip %zu is for %s, aim %.1f nm, the first for %s, aim %.1f nm: only dips "
            "for one target are averaged",
            index + 1, dip->target.text, dip->target.aim_nm, first->target.text,
            first->target.aim_nm);
    if (strcmp(dip->part_text, first->part_text) != 0)
        return oxt_i_fail(error, OXT_EARG, "part", (double)(index + 1), NAN, NAN,
                          "dip %zu is of a part %s, the first %s: only dips of one part are "
                          "averaged",
                          index + 1, dip->part_text, first->part_text);
    if (dip->confidence != first->confidence)
        return oxt_i_fail(
            error, OXT_EARG, "confidence", dip->confidence, NAN, NAN,
            "dip %zu has limits at %g %%, the first at %g %%: they are averaged at one "
            "confidence",
            index + 1, 100.0 * dip->confidence, 100.0 * first->confidence);
    return OXT_OK;
}

/* One more, unless its weight is 0. `average` has the heaviest yet, and the cautions of all. */
static void add_dip(mixture *of, const oxt_dip *dip, double weight, oxt_dip *average)
{
    uint32_t cautions = average->cautions | dip->cautions;
    size_t i = of->count;
    if (weight == 0.0)
        return;
    of->share[i] = weight;
    of->mean[i] = take_limits(dip->time_s, dip->interval_low_s, dip->interval_high_s,
                              dip->confidence);
    of->next[i] = take_limits(dip->time_s, dip->next_low_s, dip->next_high_s, dip->confidence);
    of->earliest_s[i] = dip->earliest_s;
    of->latest_s[i] = dip->latest_s;
    of->chance[i] = dip->chance;
    of->count++;
    if (weight > of->heaviest)
        *average = *dip;
    of->heaviest = fmax(of->heaviest, weight);
    average->cautions = cautions;
}

static oxt_status take_dips(mixture *of, const oxt_dip *const *dips, const double *weights,
                            size_t count, oxt_dip *average, oxt_error *error)
{
    oxt_dip first = OXT_DIP_INIT, dip;
    of->count = 0;
    of->heaviest = 0.0;
    *average = (oxt_dip)OXT_DIP_INIT;
    for (size_t i = 0; i < count; i++) {
        oxt_status status = oxt_i_dip_in(&dip, dips[i], OXT_UNIT_KELVIN, error);
        if (!status)
            status = check_dip(&dip, i, error);
        first = i == 0 ? dip : first;
        if (!status)
            status = check_alike(&dip, &first, i, error);
        if (!status)
            status = oxt_i_check(error, "weights", weights[i], 0.0, 1e300, OXT_I_CLOSED);
        if (status)
            return status;
        add_dip(of, &dip, weights[i], average);
    }
    if (of->count == 0)
        return oxt_i_fail(error, OXT_EDOMAIN, "weights", 0.0, 0.0, 1e300,
                          "the weights are all 0, expected one above 0");
    return OXT_OK;
}

oxt_status oxt_dip_average(const oxt_dip *const *dips, const double *weights, size_t count,
                           oxt_dip *average, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    mixture all;
    oxt_dip made;
    if (!dips || !weights || !average)
        return oxt_i_null(error, !dips ? "dips" : !weights ? "weights" : "average");
    oxt_status status = oxt_i_check(error, "count", (double)count, 1.0, MOST, OXT_I_CLOSED);
    if (!status)
        status = take_dips(&all, dips, weights, count, &made, error);
    if (status)
        return status;
    double sum = 0.0, ln_s = 0.0, ln_earliest = 0.0, ln_latest = 0.0;
    for (size_t i = 0; i < all.count; i++)
        sum += all.share[i];
    for (size_t i = 0; i < all.count; i++) {
        all.share[i] /= sum;
        ln_s += all.share[i] * all.mean[i].middle;
        ln_earliest += all.share[i] * log(all.earliest_s[i]);
        ln_latest += all.share[i] * log(all.latest_s[i]);
    }
    if (made.coupon_time_s > 0.0) /* both are warm by then */
        made.coupon_time_s = fmax(made.coupon_time_s + exp(ln_s) - made.time_s, 0.0);
    all.time_s = made.time_s = made.law_time_s = exp(ln_s);
    made.earliest_s = fmin(exp(ln_earliest), made.time_s); /* what rounding may part */
    made.latest_s = fmax(exp(ln_latest), made.time_s);
    made.chance = average_chance(&all);
    made.cautions &= ~(uint32_t)OXT_CAUTION_OTHER_LAW; /* the limits have it */
    status = find_limits(&all, all.mean, made.confidence, &made.interval_low_s,
                         &made.interval_high_s, error);
    if (!status)
        status = find_limits(&all, all.next, made.confidence, &made.next_low_s, &made.next_high_s,
                             error);
    made.next_low_s = fmin(made.next_low_s, made.interval_low_s);
    made.next_high_s = fmax(made.next_high_s, made.interval_high_s);
    return status ? status : OXT_I_STRUCT_OUT(oxt_dip, average, &made, "average", error);
}
