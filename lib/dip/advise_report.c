/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Advice as a report to read at the bench. */
#include "dip/advise.h"

/* What a half-width of ln time means for the time itself. */
static void add_interval(oxt_i_text *text, double half_width)
{
    oxt_i_text_add(text, "%.0f to +%.0f %%", 100.0 * expm1(-half_width), 100.0 * expm1(half_width));
}

static void add_dip(oxt_i_text *text, const oxt_advise *of, oxt_temperature_unit unit)
{
    oxt_i_text_add(text, "  %s%sat %s", of->target, of->target[0] ? " " : "a dip ",
                   oxt_i_show_temperature(of->bath_K, unit).text);
    if (of->time_s > 0.0)
        oxt_i_text_add(text, " after %s", oxt_i_show_time(of->time_s).text);
    oxt_i_text_add(text, ", known to ");
    add_interval(text, of->now);
    oxt_i_text_add(text, " (95 %%)\n");
}

static void add_purpose(oxt_i_text *text, const oxt_advise *of, oxt_temperature_unit unit)
{
    oxt_i_text_add(text, "%s: the next ", of->name);
    if (of->count > 1)
        oxt_i_text_add(text, "%zu ", of->count);
    static const char *const purposes[] = { "the time of one dip", "k_ref and Q together",
                                            "the law of growth" };
    oxt_i_text_add(text, "coupon%s, for %s\n", oxt_i_plural(of->count), purposes[of->criterion]);
    if (of->criterion == OXT_ADVISE_LAW)
        oxt_i_text_add(
            text,
            "  the film grows as time^m: m = %.3f, standard error %.3f; 1/2 is parabolic, "
            "1/3 cubic\n",
            of->exponent, of->exponent_stderr);
    else
        add_dip(text, of, unit);
    if (of->coupon[0])
        oxt_i_text_add(text, "  part: %s, as the coupons\n", of->coupon);
}

static void add_coupon(oxt_i_text *text, const oxt_advise *of, const oxt_advised_coupon *coupon,
                       oxt_temperature_unit unit)
{
    oxt_i_text_add(text, "  %-10s %-11s %-20s %6.1f nm  %5.0f %%   ",
                   oxt_i_show_temperature(coupon->bath_K, unit).text,
                   oxt_i_show_time(coupon->time_s).text, coupon->label, coupon->thickness_nm,
                   100.0 * coupon->chance);
    if (of->criterion == OXT_ADVISE_LAW)
        oxt_i_text_add(text, "%.3f", coupon->exponent_stderr);
    else
        add_interval(text, coupon->half_width);
    oxt_i_text_add(text, "\n");
}

oxt_status oxt_advise_report(const oxt_advise *advice, oxt_temperature_unit unit,
                             oxt_caution_detail detail, char *buffer, size_t capacity,
                             size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    if (!advice)
        return oxt_i_null(error, "advice");
    oxt_status status = oxt_format_temperature(advice->bath_K, unit, NULL, 0, NULL, error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    oxt_i_text text = { 0 };
    uint32_t cautions = 0;
    add_purpose(&text, advice, unit);
    oxt_i_text_add(&text, "  %-10s %-11s %-20s %9s  %7s   %s\n", "bath at", "lift after", "expect",
                   "film", "usable",
                   advice->criterion == OXT_ADVISE_LAW ? "error of m then"
                                                       : "lift time then known to");
    for (size_t i = 0; i < advice->count; i++) {
        add_coupon(&text, advice, &advice->coupons[i], unit);
        cautions |= advice->coupons[i].cautions;
    }
    oxt_i_text_add_cautions(&text, cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
