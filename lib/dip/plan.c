/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Baths for a target compared, and the most forgiving of them. */
#include "oxtint/plan.h"

#include <string.h>

#include "base/solve.h"
#include "dip/dip.h"

/* Baths that are tried before the best of them is refined. */
enum { COARSE = 49 };

/* Baths that are compared at most. */
enum { MOST_ROWS = 200 };

static oxt_status take_range(oxt_bath_range *known, const oxt_bath_range *given, oxt_error *error)
{
    *known = (oxt_bath_range)OXT_BATH_RANGE_INIT;
    oxt_status status = OXT_OK;
    if (given)
        status = OXT_I_STRUCT_IN(oxt_bath_range, known, given, "range", error);
    if (!status)
        status = oxt_i_check(error, "high_K", known->high_K, OXT_BATH_LOW_K, OXT_BATH_HIGH_K,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check_order(error, known->low_K, known->high_K, false);
    if (!status)
        status = oxt_i_check(error, "low_K", known->low_K, OXT_BATH_LOW_K, known->high_K,
                             OXT_I_CLOSED);
    if (!status)
        status = oxt_i_check(error, "longest_s", known->longest_s, 0.0, OXT_TIME_HIGH_S,
                             OXT_I_OPEN_LOW);
    return status;
}

typedef struct {
    oxt_i_dip_plan plan; /* moved from bath to bath; its thermal paths point into it */
    oxt_bath_range range;
} search;

static oxt_status dip_at(search *in, double bath_K, oxt_dip *dip, oxt_error *error)
{
    oxt_status status = oxt_i_dip_meet(&in->plan, bath_K, error);
    return status ? status : oxt_i_dip_fill(&in->plan, dip, NULL, error);
}

/* 1 - chance, and 1 more where a caution bars the bath; FAILED where there is no dip, or one that takes too long. */
static const double FAILED = 3.0;

static double risk(double bath_K, void *context)
{
    search *in = context;
    double time_s, chance;
    bool barred;
    if (oxt_i_dip_meet(&in->plan, bath_K, NULL) ||
        oxt_i_dip_chance(&in->plan, &time_s, &chance, &barred, NULL))
        return FAILED;
    return time_s > in->range.longest_s ? FAILED : 1.0 - chance + (barred ? 1.0 : 0.0);
}

/* Why no bath allowed will do: the hottest is the quickest. */
static oxt_status fail_all(search *in, oxt_error *error)
{
    oxt_dip dip;
    oxt_status status = dip_at(in, in->range.high_K, &dip, error);
    if (status || dip.time_s <= in->range.longest_s)
        return status;
    return oxt_i_fail(error, OXT_EUNREACHABLE, "longest_s", in->range.longest_s, dip.time_s, NAN,
                      "even at %s %s takes %.3g s, longer than the %g s allowed",
                      oxt_i_mark(in->range.high_K, NULL).text, dip.target.text, dip.time_s,
                      in->range.longest_s);
}

static double bath_of(const oxt_bath_range *range, size_t index, size_t count)
{
    double share = (double)index / (double)(count - 1);
    return index + 1 == count ? range->high_K
                              : range->low_K + share * (range->high_K - range->low_K);
}

static oxt_status find_bath(search *in, double *bath_K, oxt_error *error)
{
    size_t best = COARSE - 1;
    double least = HUGE_VAL;
    for (size_t i = 0; i < COARSE; i++) {
        double at = risk(bath_of(&in->range, i, COARSE), in);
        if (at < least) {
            least = at;
            best = i;
        }
    }
    if (least >= FAILED)
        return fail_all(in, error);
    *bath_K = bath_of(&in->range, best, COARSE);
    if (in->range.low_K == in->range.high_K)
        return OXT_OK;
    double low_K = bath_of(&in->range, best ? best - 1 : 0, COARSE), found_K;
    double high_K = bath_of(&in->range, best + 1 < COARSE ? best + 1 : best, COARSE);
    oxt_status status = oxt_i_find_minimum(risk, in, low_K, high_K, 1e-3, &found_K, error);
    if (!status && risk(found_K, in) <= least)
        *bath_K = found_K;
    return status;
}

/* The dips in the baths of the range, of those that give the target in the time allowed. */
static oxt_status fill_rows(search *in, oxt_dip *const *dips, size_t *count, oxt_error *error)
{
    oxt_status status = OXT_OK;
    *count = 0;
    for (size_t i = 0; i < in->range.rows && !status; i++) {
        oxt_dip made;
        if (dip_at(in, bath_of(&in->range, i, in->range.rows), &made, NULL) ||
            made.time_s > in->range.longest_s)
            continue;
        status = OXT_I_STRUCT_OUT(oxt_dip, dips[*count], &made, "dips", error);
        ++*count;
    }
    return status;
}

oxt_status oxt_plan_baths(const oxt_steel *steel, const oxt_target *target,
                          const oxt_bath_range *range, const oxt_dip_options *options,
                          oxt_dip *best, oxt_dip *const *dips, size_t *count, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    search in;
    oxt_dip made;
    double bath_K = 0.0;
    if (!best || (dips && !count))
        return oxt_i_null(error, best ? "count" : "best");
    oxt_status status = take_range(&in.range, range, error);
    if (!status && dips && (in.range.rows < 2 || in.range.rows > MOST_ROWS))
        status = oxt_i_fail(error, OXT_EARG, "rows", (double)in.range.rows, 2.0, MOST_ROWS,
                            "rows is %zu, expected 2 to %d", in.range.rows, MOST_ROWS);
    if (!status)
        status = oxt_i_dip_take(&in.plan, steel, target, options, error);
    if (!status)
        status = find_bath(&in, &bath_K, error);
    if (!status)
        status = dip_at(&in, bath_K, &made, error);
    if (!status && dips)
        status = fill_rows(&in, dips, count, error);
    return status ? status : OXT_I_STRUCT_OUT(oxt_dip, best, &made, "best", error);
}

/* ---- the report ---- */

static void add_row(oxt_i_text *text, const oxt_dip *dip, oxt_temperature_unit unit)
{
    char window[88], bar[48] = "";
    const oxt_caution_info *by = oxt_i_dip_bar(dip->cautions);
    if (by) /* its lead word */
        oxt_i_snprintf(bar, sizeof bar, "  %.*s", (int)strcspn(by->brief, ":"), by->brief);
    oxt_i_snprintf(window, sizeof window, "%s to %s", oxt_i_show_time(dip->earliest_s).text,
                   oxt_i_show_time(dip->latest_s).text);
    oxt_i_text_add(text, "  %-10s %-10s %-20s %-9s %3.0f %%%s\n",
                   oxt_i_show_temperature(dip->bath_K, unit).text,
                   oxt_i_show_time(dip->time_s).text, window,
                   oxt_i_show_time(dip->latest_s - dip->earliest_s).text, 100.0 * dip->chance, bar);
}

oxt_status oxt_plan_baths_report(const oxt_dip *const *dips, size_t count, const oxt_dip *best,
                                 oxt_temperature_unit unit, oxt_caution_detail detail, char *buffer,
                                 size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_dip known, row;
    if (!best || (count > 0 && !dips))
        return oxt_i_null(error, best ? "dips" : "best");
    oxt_status status = oxt_i_check(error, "count", (double)count, 0.0, MOST_ROWS, OXT_I_CLOSED);
    if (!status)
        status = oxt_i_dip_in(&known, best, unit, error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    uint32_t cautions = known.cautions;
    for (size_t i = 0; i < count && !status; i++) {
        status = oxt_i_dip_in(&row, dips[i], unit, error);
        cautions |= row.cautions;
    }
    if (status)
        return status;
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s: comparison of baths\n", known.target.text);
    oxt_i_text_add_forbidding(&text, &cautions, detail);
    oxt_i_text_add(&text, "  part: %s\n", known.part_text);
    oxt_i_text_add(&text, "  %-10s %-10s %-20s %-9s %s\n", "bath at", "lift after",
                   "colour visible", "for", "chance");
    for (size_t i = 0; i < count; i++)
        if (!oxt_i_dip_in(&row, dips[i], unit, NULL))
            add_row(&text, &row, unit);
    oxt_i_text_add(&text, "Most forgiving bath:\n");
    add_row(&text, &known, unit);
    oxt_i_text_add_cautions(&text, cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
