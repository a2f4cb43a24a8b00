/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A dip as a report to read at the bench. */
#include "optics/tint.h"
#include "dip/dip.h"

/* Two times of a span, each as read off a clock. */
static void add_span(oxt_i_text *text, const char *label, double low_s, double high_s)
{
    char low[40], high[40];
    oxt_format_duration(low_s, low, sizeof low, NULL, NULL);
    oxt_format_duration(high_s, high, sizeof high, NULL, NULL);
    oxt_i_text_add(text, "  %-40s %s to %s\n", label, low, high);
}

/* "2 mm plate, 4 s to the quench, as the coupons". */
static void write_part(const oxt_dip *dip, char *buffer, size_t capacity)
{
    oxt_part part = OXT_PART_INIT;
    char size[64], delay[40], lift[80] = "";
    part.shape = dip->part_shape;
    part.size_m = dip->part_size_m;
    oxt_i_part_text(&part, size, sizeof size);
    oxt_format_duration(dip->lift_s, delay, sizeof delay, NULL, NULL);
    if (dip->part_source == OXT_PATH_INSIDE)
        oxt_i_copy_text(size, sizeof size, "like the coupons");
    bool of_coupon = dip->part_source == OXT_PATH_COUPON;
    bool both = of_coupon && dip->lift_source == OXT_PATH_COUPON;
    if (dip->lift_s > 0.0)
        oxt_i_snprintf(lift, sizeof lift, "%s %s to the quench%s",
                       dip->part_source == dip->lift_source ? "," : ";", delay,
                       dip->lift_source == OXT_PATH_COUPON ? ", as the coupons" : "");
    oxt_i_snprintf(buffer, capacity, "%s%s%s", size,
                   of_coupon && !(both && dip->lift_s > 0.0) ? ", as the coupons" : "", lift);
}

/* What the time was reckoned with. */
static void add_road(oxt_i_text *text, const oxt_dip *dip)
{
    char lag[40], part[200];
    oxt_format_duration(dip->lag_s, lag, sizeof lag, NULL, NULL);
    write_part(dip, part, sizeof part);
    oxt_i_text_add(text, "  %-40s %s\n", "part", part);
    if (dip->initial_nm > 0.0)
        oxt_i_text_add(text, "  %-40s %.1f nm\n", "film already on the part", dip->initial_nm);
    if (dip->lag_s > 0.0)
        oxt_i_text_add(text, "  %-40s %s\n", "heating-up time included", lag);
    if (dip->lift_growth_nm > 0.0)
        oxt_i_text_add(text, "  %-40s %.1f nm\n", "growth between lift and quench",
                       dip->lift_growth_nm);
}

static oxt_status check_part(const oxt_dip *dip, oxt_error *error)
{
    oxt_status status = oxt_i_check_choice("part_source", (int)dip->part_source, OXT_PATH_NAMED,
                                           error);
    if (!status)
        status = oxt_i_check_choice("lift_source", (int)dip->lift_source, OXT_PATH_NAMED, error);
    if (!status)
        status = oxt_i_check_choice("part_shape", (int)dip->part_shape, OXT_SHAPE_ANY, error);
    if (!status)
        status = oxt_i_check(error, "part_size_m", dip->part_size_m, 0.0, 1.0, OXT_I_CLOSED);
    return status ? status : oxt_i_check(error, "lift_s", dip->lift_s, 0.0, 3600.0, OXT_I_CLOSED);
}

static oxt_status check_report(const oxt_dip *dip, oxt_temperature_unit unit, oxt_error *error)
{
    oxt_dip known = OXT_DIP_INIT;
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = OXT_I_STRUCT_IN(oxt_dip, &known, dip, "dip", error);
    if (!status)
        status = oxt_i_check_bath(known.bath_K, error);
    if (!status)
        status = oxt_i_target_in(&known.target, &known.target, error);
    if (!status)
        status = oxt_format_temperature(known.bath_K, unit, NULL, 0, NULL, error);
    const double times[] = { known.time_s,          known.earliest_s,
                             known.latest_s,        known.interval_low_s,
                             known.interval_high_s, known.next_low_s,
                             known.next_high_s,     known.lag_s };
    for (size_t i = 0; i < OXT_I_COUNT(times) && !status; i++)
        status = oxt_format_duration(times[i], NULL, 0, NULL, error);
    return status ? status : check_part(&known, error);
}

oxt_status oxt_dip_part_text(const oxt_dip *dip, char *buffer, size_t capacity, size_t *needed,
                             oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_dip known = OXT_DIP_INIT;
    char text[200];
    if (!dip)
        return oxt_i_null(error, "dip");
    oxt_status status = OXT_I_STRUCT_IN(oxt_dip, &known, dip, "dip", error);
    if (!status)
        status = check_part(&known, error);
    if (status)
        return status;
    write_part(&known, text, sizeof text);
    return oxt_i_emit(text, buffer, capacity, needed, error);
}

oxt_status oxt_dip_report(const oxt_dip *dip, oxt_temperature_unit unit, oxt_caution_detail detail,
                          char *buffer, size_t capacity, size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    oxt_status status = check_report(dip, unit, error);
    if (!status)
        status = oxt_i_check_detail(detail, error);
    if (status)
        return status;
    static const char chance[] = "chance of the wanted colour";
    uint32_t cautions = dip->cautions;
    char bath[32], aim[40], label[64];
    oxt_format_temperature(dip->bath_K, unit, bath, sizeof bath, NULL, NULL);
    oxt_format_duration(dip->time_s, aim, sizeof aim, NULL, NULL);
    oxt_i_text text = { 0 };
    oxt_i_text_add(&text, "%s (%.1f to %.1f nm, aim %.1f nm) in a bath at %s\n", dip->target.text,
                   dip->target.low_nm, dip->target.high_nm, dip->target.aim_nm, bath);
    oxt_i_text_add_forbidding(&text, &cautions, detail);
    oxt_i_text_add(&text, "  %-40s %s\n", "lift after", aim);
    add_road(&text, dip);
    add_span(&text, "colour visible from", dip->earliest_s, dip->latest_s);
    oxt_i_snprintf(label, sizeof label, "lift-time uncertainty, fit only (%g %%)",
                   100.0 * dip->confidence);
    add_span(&text, label, dip->interval_low_s, dip->interval_high_s);
    oxt_i_snprintf(label, sizeof label, "lift-time uncertainty, next dip (%g %%)",
                   100.0 * dip->confidence);
    add_span(&text, label, dip->next_low_s, dip->next_high_s);
    if (dip->chance > 0.995)
        oxt_i_text_add(&text, "  %-40s over 99 %%\n", chance);
    else
        oxt_i_text_add(&text, "  %-40s %.0f %%\n", chance, 100.0 * dip->chance);
    oxt_i_text_add_cautions(&text, cautions, detail);
    return oxt_i_emit_text(&text, buffer, capacity, needed, error);
}
