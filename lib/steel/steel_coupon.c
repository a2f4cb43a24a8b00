/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the coupons of a card were run: checked, and taken as the part of a dip. */
#include <string.h>

#include "thermal/heat.h"
#include "steel/steel.h"

#define NUMBER(key, high)                                                                          \
    {                                                                                              \
#key, "coupon_" #key, offsetof(oxt_steel_values, coupon_##key), 0, 0.0, high, OXT_I_CLOSED \
    }
static const oxt_i_card_field numbers[] = {
    NUMBER(size_m, 1.0),        NUMBER(start_K, OXT_BATH_HIGH_K), NUMBER(transfer_W_per_m2K, 1e6),
    NUMBER(lift_s, 3600.0),     NUMBER(size_low_m, 1.0),          NUMBER(size_high_m, 1.0),
    NUMBER(lift_low_s, 3600.0), NUMBER(lift_high_s, 3600.0),
};
const oxt_i_card_fields oxt_i_coupon_numbers = { numbers, OXT_I_COUNT(numbers), false };

/* ---- checking ---- */

static oxt_status check_range(const char *name, double *low, double usual, double *high,
                              oxt_error *error)
{
    if (*low == 0.0 && *high == 0.0)
        *low = *high = usual;
    if (*low <= usual && usual <= *high)
        return OXT_OK;
    return oxt_i_fail(error, OXT_EDOMAIN, name, usual, *low, *high,
                      "%s is %g, expected one within its own range, %g to %g", name, usual, *low,
                      *high);
}

oxt_status oxt_i_steel_check_coupon(oxt_steel_values *values, oxt_error *error)
{
    bool stated = values->coupon_shape != OXT_SHAPE_PLATE;
    oxt_status status = oxt_i_check_choice("basis", (int)values->basis, OXT_BASIS_STEEL, error);
    if (!status)
        status = oxt_i_check_choice("coupon_shape", (int)values->coupon_shape, OXT_SHAPE_ANY,
                                    error);
    for (size_t i = 0; i < OXT_I_COUNT(numbers); i++)
        stated = stated || *(double *)(void *)((char *)values + numbers[i].offset) != 0.0;
    if (!status && values->coupon_start_K != 0.0)
        status = oxt_i_check(error, "coupon_start_K", values->coupon_start_K, 200.0,
                             OXT_BATH_HIGH_K, OXT_I_CLOSED);
    if (!status && stated && values->basis != OXT_BASIS_STEEL)
        status = oxt_i_fail_text(error, OXT_EARG, "basis",
                                 "a coupon is stated, but the constants include its thermal path: "
                                 "expected basis OXT_BASIS_STEEL, or no coupon");
    if (!status)
        status = check_range("coupon_size_m", &values->coupon_size_low_m, values->coupon_size_m,
                             &values->coupon_size_high_m, error);
    return status ? status
                  : check_range("coupon_lift_s", &values->coupon_lift_low_s, values->coupon_lift_s,
                                &values->coupon_lift_high_s, error);
}

/* ---- as the part of a dip ---- */

bool oxt_i_steel_coupon(const oxt_steel_values *values, oxt_part *part, oxt_lift *lift)
{
    *part = (oxt_part)OXT_PART_INIT;
    *lift = (oxt_lift)OXT_LIFT_INIT;
    part->shape = values->coupon_shape;
    part->size_m = values->coupon_size_m;
    if (values->coupon_start_K > 0.0)
        part->start_K = values->coupon_start_K;
    if (values->coupon_transfer_W_per_m2K > 0.0)
        part->transfer_W_per_m2K = values->coupon_transfer_W_per_m2K;
    lift->delay_s = values->coupon_lift_s;
    return values->basis == OXT_BASIS_STEEL;
}

/* ---- in words ---- */

void oxt_i_steel_coupon_text(const oxt_steel_values *values, char *buffer, size_t capacity)
{
    oxt_part part;
    oxt_lift lift;
    char usual[96], low[48], high[48], sizes[112] = "", lifts[112] = "";
    if (!oxt_i_steel_coupon(values, &part, &lift)) {
        oxt_i_copy_text(buffer, capacity, "not stated");
        return;
    }
    oxt_i_path_text(&part, &lift, usual, sizeof usual);
    if (values->coupon_size_low_m < values->coupon_size_high_m) {
        oxt_format_length(values->coupon_size_low_m, OXT_UNIT_MILLIMETRE, low, sizeof low, NULL,
                          NULL);
        oxt_format_length(values->coupon_size_high_m, OXT_UNIT_MILLIMETRE, high, sizeof high, NULL,
                          NULL);
        oxt_i_snprintf(sizes, sizeof sizes, "; sizes %s to %s", low, high);
    }
    if (values->coupon_lift_low_s < values->coupon_lift_high_s) {
        oxt_format_duration(values->coupon_lift_low_s, low, sizeof low, NULL, NULL);
        oxt_format_duration(values->coupon_lift_high_s, high, sizeof high, NULL, NULL);
        oxt_i_snprintf(lifts, sizeof lifts, "; lifts %s to %s", low, high);
    }
    oxt_i_snprintf(buffer, capacity, "%s%s%s", usual, sizes, lifts);
}

oxt_status oxt_steel_coupon_text(const oxt_steel *steel, char *buffer, size_t capacity,
                                 size_t *needed, oxt_error *error)
{
    OXT_I_HOLD_TRAPS;
    char text[320];
    if (!steel)
        return oxt_i_null(error, "steel");
    oxt_i_steel_coupon_text(&steel->values, text, sizeof text);
    return oxt_i_emit(text, buffer, capacity, needed, error);
}

void oxt_i_fill_coupon(oxt_trial *trial, const oxt_steel_values *card)
{
    oxt_part part;
    oxt_lift lift;
    if (!oxt_i_steel_coupon(card, &part, &lift) || trial->part_size_m > 0.0)
        return;
    if (part.size_m > 0.0) {
        trial->part_size_m = part.size_m;
        trial->part_shape = part.shape;
        trial->part_start_K = fmin(part.start_K, trial->bath_K);
        trial->transfer_W_per_m2K = part.transfer_W_per_m2K;
    }
    if (trial->lift_s == 0.0)
        trial->lift_s = lift.delay_s;
}
