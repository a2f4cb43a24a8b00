/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip as a report to read at the bench. */
#include <string.h>

#include "optics/tint.h"
#include "dip/dip.h"

/* Two times of a span, each as read off a clock. */
static void add_span(oxt_i_text *text, const char *label, double low_s, double high_s)
{
    oxt_i_text_add(text, "  %-40s %s to %s\n", label, oxt_i_show_time(low_s).text,
                   oxt_i_show_time(high_s).text);
}

/* What the time includes. */
static void add_path(oxt_i_text *text, const oxt_dip *dip, oxt_temperature_unit unit)
{
    oxt_i_text_add(text, "  %-40s %s\n", "part", dip->part_text);
    if (dip->initial_nm > 0.0)
        oxt_i_text_add(text, "  %-40s %.1f nm\n", "film already on the part", dip->initial_nm);
    if (dip->lag_s > 0.0)
        oxt_i_text_add(text, "  %-40s %s\n", "heating-up time included",
                       oxt_i_show_time(dip->lag_s).text);
    if (dip->sag_K > 0.0)
        oxt_i_text_add(text, "  %-40s %s, included\n", "bath cooled by the load, up to",
                       oxt_i_show_difference(dip->sag_K, unit).text);
    if (dip->crust_s > 0.0)
        oxt_i_text_add(text, "  %-40s %s; preheating the part saves %s\n",
                       "frozen salt melted after", oxt_i_show_time(dip->crust_s).text,
                       oxt_i_show_time(dip->preheat_saves_s).text);
    if (dip->lift_growth_nm > 0.0)
        oxt_i_text_add(text, "  %-40s %.1f nm\n", "growth between lift and quench",
                       dip->lift_growth_nm);
}

oxt_status oxt_i_dip_in(oxt_dip *known, const oxt_dip *given, oxt_temperature_unit unit,
                        oxt_error *error)
{
    *known = (oxt_dip)OXT_DIP_INIT;
    if (!given)
        return oxt_i_null(error, "dip");
    oxt_status status = OXT_I_STRUCT_IN(oxt_dip, known, given, "dip", error);
    if (!status)
        status = oxt_i_check_bath(known->bath_K, error);
    if (!status)
        status = oxt_i_target_in(&known->target, &known->target, error);
    if (!status)
        status = oxt_format_temperature(known->bath_K, unit, NULL, 0, NULL, error);
    if (!status && !memchr(known->part_text, '\0', sizeof known->part_text))
        status = oxt_i_fail_text(error, OXT_EARG, "part_text", "part_text does not end");
    const double times[] = { known->time_s,          known->earliest_s,      known->latest_s,
                             known->interval_low_s,  known->interval_high_s, known->next_low_s,
                             known->next_high_s,     known->lag_s,           known->crust_s,
                             known->preheat_saves_s, known->coupon_time_s };
    for (size_t i = 0; i < OXT_I_COUNT(times) && !status; i++)
        status = oxt_format_duration(times[i], NULL, 0, NULL, error);
    return status;
}

oxt_status oxt_dip_report(const oxt_dip *dip, oxt_temperature_unit unit, oxt_caution_detail detail,
                          char *buffer, size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_dip known;
    oxt_status status = oxt_i_dip_in(&known, dip, unit, error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    static const char chance[] = "chance of the wanted colour";
    uint32_t cautions = known.cautions;
    char label[64];
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s (%.1f to %.1f nm, aim %.1f nm) in a bath at %s\n", known.target.text,
                   known.target.low_nm, known.target.high_nm, known.target.aim_nm,
                   oxt_i_show_temperature(known.bath_K, unit).text);
    oxt_i_text_add_forbidding(&text, &cautions, detail);
    oxt_i_text_add(&text, "  %-40s %s\n", "lift after", oxt_i_show_time(known.time_s).text);
    if (cautions & OXT_CAUTION_OTHER_LAW)
        oxt_i_text_add(&text, "  %-40s %s\n", "by the other law of growth",
                       oxt_i_show_time(known.law_time_s).text);
    add_path(&text, &known, unit);
    add_span(&text, "colour visible from", known.earliest_s, known.latest_s);
    oxt_i_snprintf(label, sizeof label, "lift-time uncertainty, fit only (%g %%)",
                   100.0 * known.confidence);
    add_span(&text, label, known.interval_low_s, known.interval_high_s);
    oxt_i_snprintf(label, sizeof label, "lift-time uncertainty, next dip (%g %%)",
                   100.0 * known.confidence);
    add_span(&text, label, known.next_low_s, known.next_high_s);
    if (known.chance > 0.995)
        oxt_i_text_add(&text, "  %-40s over 99 %%\n", chance);
    else
        oxt_i_text_add(&text, "  %-40s %.0f %%\n", chance, 100.0 * known.chance);
    oxt_i_text_add_cautions(&text, cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
